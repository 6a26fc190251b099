//! What is cut from sheets: which sheet each mat, pane, backing and dust cover comes from, and where on it.
//!
//! The frames need them however the boards are bought, so the plan of the sheets stands beside that of the boards.

use crate::frame::{SheetToCut, SheetUse, rectangle_round};
use crate::job::{Job, Material, MaterialKey, SheetStock, SheetTrim};
use crate::length::Length;
use crate::money::Money;
use crate::sheets::certificate::Certificate;
use crate::sheets::job::{Along, Stages};

use super::Verdict;

/// One mat, pane, backing or dust cover, by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SheetPiece {
    /// Index into `Job::frames`.
    pub frame_idx: usize,
    /// Which of the alike frames, from 1.
    pub copy: u32,
    /// What it is in the frame.
    pub sheet_use: SheetUse,
}

impl SheetPiece {
    /// Width and height to which it is cut, as it is in the frame; of a polygon those of the rectangle round it.
    ///
    /// # Panics
    /// If it is not of `job`.
    pub fn size(self, job: &Job) -> (Length, Length) {
        rectangle_round(self.of(job).expect("the frame has such a sheet").size)
    }

    /// Width and height of the board that drops out of the window that is cut in it; `None` where no rectangle does.
    ///
    /// # Panics
    /// If it is not of `job`.
    pub fn dropped(self, job: &Job) -> Option<(Length, Length)> {
        self.of(job)?.window?.opening.rectangle()
    }

    /// What it is cut as.
    fn of(self, job: &Job) -> Option<SheetToCut> {
        let mut sheets = job.sheets_to_cut(self.frame_idx).into_iter();
        sheets.find(|sheet| sheet.sheet_use == self.sheet_use)
    }
}

/// All that is cut of one material.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MaterialPlan {
    /// The material.
    pub key: MaterialKey,
    /// The sheets, in an order in which they can be cut: what drops out of a window comes after the mat.
    pub sheets: Vec<PlannedSheet>,
    /// Pieces for which there is no sheet.
    pub missing: Vec<SheetPiece>,
    /// What the sheets cost, in minor units of money; where none has a price, their face in whole square millimeters, of
    /// each sheet rounded up.
    pub value: i64,
    /// Proved: no plan in two stages of cuts with as few pieces missing has a smaller value. It is above the plan's own where
    /// that needs the third stage to be so cheap.
    pub lower_bound: i64,
    /// Proved: no plan in two stages of cuts leaves fewer pieces missing.
    pub missing_lower_bound: u64,
    /// What was proved, or why not: of a plan in two stages that none in two stages is better, of one in three that none is in
    /// three, or in whatever stages.
    pub verdict: Verdict,
    /// Whether what drops out of windows was there to be cut; never where a piece is missing that fits some sheet.
    pub has_fallout: bool,
    /// Proved: no plan whose cuts run from edge to edge has a smaller value, in however many stages, as sheets that count less
    /// have too little face for what is wanted. Only said where nothing is missing, and where it is not much
    /// work to see.
    pub any_cuts: bool,
    /// What proves the bounds, for the [sheets and pieces in this order](crate::plan::sheets::MaterialPlan#order).
    ///
    /// # Order
    /// Its items are the different sizes that are wanted, by width and then by height; its kinds the sheets of the
    /// material in the order of the job, and then the different windows whose fallout is used, by width and then by height.
    pub certificate: Certificate,
}

/// Of which plans it is proved that none is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Among {
    /// Those in two stages of cuts.
    TwoStages,
    /// Those in three stages, too.
    ThreeStages,
    /// All whose cuts run from edge to edge, in however many stages.
    AllCuts,
}

impl MaterialPlan {
    /// Of which plans it is proved that none is better; `None` where of none, as where what drops out of windows was to be cut
    /// and is not, since sheets are too few for all mats. `material` is its own.
    pub fn best_among(&self, material: &Material) -> Option<Among> {
        if self.verdict != Verdict::Optimal || self.lacks_fallout(material) {
            return None;
        }
        // Of a plan in three stages the verdict speaks of three; of one in two the bound in three may reach it.
        let is_met = self.missing.is_empty() && self.lower_bound_in_three() == self.value;
        Some(if self.any_cuts {
            Among::AllCuts
        } else if is_met || self.stages() == Stages::Three {
            Among::ThreeStages
        } else {
            Among::TwoStages
        })
    }

    /// Whether of all plans in so many stages as its cutter may cut none is better, as was proved. `material` is its own.
    pub fn is_best(&self, material: &Material) -> bool {
        let asked = if material.cutting.third_cuts {
            Among::ThreeStages
        } else {
            Among::TwoStages
        };
        self.best_among(material).is_some_and(|of| of >= asked)
    }

    /// No plan in three stages of cuts has a smaller value, as was proved; 0 where nothing was.
    pub fn lower_bound_in_three(&self) -> i64 {
        self.certificate.cost_in_three()
    }

    /// Whether what drops out of windows was to be cut, and is not, as sheets are too few for all mats; `material` is
    /// its own.
    pub fn lacks_fallout(&self, material: &Material) -> bool {
        !self.has_fallout && material.cutting.fallout.is_some()
    }
}

/// A sheet that is cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedSheet {
    /// Where it comes from.
    pub source: SheetSource,
    /// Which way its strips run: along its width or its height.
    pub along: Along,
    /// Its strips, in the order of the first cuts; at least one.
    pub strips: Vec<SheetStrip>,
}

/// Where a sheet comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SheetSource {
    /// It is sold, or on the rack: an index into the [stock](Material::stock) of its material.
    Stock(usize),
    /// It drops out of the window of this mat.
    Fallout(SheetPiece),
}

/// A strip that first cuts part from a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetStrip {
    /// Where it begins across the strips: from the lower edge of the sheet, or from the left one where strips run along
    /// the height.
    pub from: Length,
    /// How wide it is.
    pub width: Length,
    /// Its stacks, one after another; at least one.
    pub stacks: Vec<SheetStack>,
}

/// What second cuts part from a strip: one piece, or several one above another, which third cuts part along the strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetStack {
    /// Where it begins along the strip, from the edge of the sheet.
    pub from: Length,
    /// How long it is along the strip: as its longest piece.
    pub length: Length,
    /// Its pieces, one above another from where the strip begins; at least one.
    pub cuts: Vec<SheetCut>,
}

/// A piece at its place in a stack; along the strip it begins where that does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetCut {
    /// What is cut.
    pub piece: SheetPiece,
    /// Where it begins across the strip, from the edge of the sheet.
    pub from: Length,
    /// Where it ends across; what lies between the last piece of a stack and the edge of its strip is cut off.
    pub to: Length,
    /// Its size along the strip; what is less than the stack's length is trimmed by a last cut.
    pub along: Length,
    /// Whether it is turned by a right angle from how it is in its frame.
    pub turned: bool,
}

impl SheetCut {
    /// Size across the strip.
    pub fn across(&self) -> Length {
        self.to - self.from
    }
}

/// A sheet by its own: size, trims and price.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetBlank {
    /// Width.
    pub width: Length,
    /// Height.
    pub height: Length,
    /// What is lost at the edges.
    pub trim: SheetTrim,
    /// What it costs or is worth; `None` where nothing was said, and of what drops out of a window.
    pub price: Option<Money>,
}

impl MaterialPlan {
    /// How many pieces are cut.
    pub fn n_pieces(&self) -> usize {
        self.sheets.iter().flat_map(PlannedSheet::cuts).count()
    }

    /// In how many stages it is cut: three where a stack of some sheet has several pieces, else two; trimming is none.
    pub fn stages(&self) -> Stages {
        let mut strips = self.sheets.iter().flat_map(|sheet| &sheet.strips);
        if strips.any(SheetStrip::has_third_cuts) {
            Stages::Three
        } else {
            Stages::Two
        }
    }
}

impl SheetStrip {
    /// Whether a stack of it has several pieces, which third cuts part.
    pub fn has_third_cuts(&self) -> bool {
        self.stacks.iter().any(|stack| stack.cuts.len() > 1)
    }
}

impl PlannedSheet {
    /// The sheet as it is before it is cut.
    ///
    /// # Panics
    /// If it is not of `job`, or not of `material`.
    pub fn blank(&self, job: &Job, material: &Material) -> SheetBlank {
        match self.source {
            SheetSource::Stock(idx) => {
                let &SheetStock {
                    width,
                    height,
                    trim,
                    price,
                    ..
                } = &material.stock[idx];
                SheetBlank {
                    width,
                    height,
                    trim,
                    price,
                }
            }
            SheetSource::Fallout(mat) => {
                let dropped = mat.dropped(job);
                let (width, height) = dropped.expect("what drops out leaves a window");
                SheetBlank {
                    width,
                    height,
                    trim: SheetTrim::all(material.cutting.fallout.unwrap_or_default()),
                    price: None,
                }
            }
        }
    }

    /// Its pieces, strip by strip and there stack by stack.
    pub fn cuts(&self) -> impl Iterator<Item = &SheetCut> {
        let stacks = self.strips.iter().flat_map(|strip| &strip.stacks);
        stacks.flat_map(|stack| &stack.cuts)
    }

    /// Whether another one is cut alike, whatever the pieces are for.
    pub fn is_like(&self, other: &PlannedSheet) -> bool {
        let shape = |sheet: &PlannedSheet| {
            let strips = sheet.strips.iter().map(|strip| {
                let stacks = strip.stacks.iter().map(|stack| {
                    let cuts = stack.cuts.iter().map(|cut| (cut.from, cut.to, cut.along));
                    (stack.from, stack.length, cuts.collect::<Vec<_>>())
                });
                (strip.from, strip.width, stacks.collect::<Vec<_>>())
            });
            strips.collect::<Vec<_>>()
        };
        let is_stock = |sheet: &PlannedSheet| matches!(sheet.source, SheetSource::Stock(_));
        is_stock(self)
            && self.source == other.source
            && self.along == other.along
            && shape(self) == shape(other)
    }
}
