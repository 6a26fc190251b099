//! What is cut from sheets, as it is written and read.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::read::{Names, Unknown};
use super::sheet_certificate::{SheetCertificate, along};
use crate::frame::SheetUse;
use crate::job::{Job, MaterialKey, Serves};
use crate::length::Length;
use crate::money::Money;
use crate::plan::Verdict;
use crate::plan::sheets::{
    MaterialPlan, PlannedSheet, SheetCut, SheetPiece, SheetSource, SheetStack, SheetStrip,
};
use crate::sheets::job::Along;

/// All that is cut of one material that comes in sheets.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each says something of its own in the file"
)]
pub struct Material {
    /// What it is for.
    #[serde(rename = "use")]
    pub serves: MaterialUse,
    /// Its name; null for mat board that frames do not name.
    pub name: Option<String>,
    /// What the sheets cost, or are worth on the rack, in minor units; where nothing of it that is sold has a price, their
    /// faces in whole square millimeters, of each rounded up, and those on the rack nothing.
    pub value: i64,
    /// Proved: no plan in two stages of cuts with as few pieces missing has a smaller value; that of a plan in three may be
    /// smaller.
    pub lower_bound: i64,
    /// Proved: no plan in two stages of cuts leaves fewer pieces missing.
    pub missing_lower_bound: u64,
    /// Of a plan in two stages whether both bounds are met; of one in three whether `any_cuts` is true, or the certificate's
    /// bound in three stages is met.
    pub proved_optimal: bool,
    /// Whether the search was stopped before it had ended by itself; not verified.
    pub stopped: bool,
    /// Whether what drops out of windows was there to be cut.
    pub fallout: bool,
    /// Whether no plan has a smaller value in however many stages of cuts, as sheets that count less have too little face.
    pub any_cuts: bool,
    /// The sheets, in an order in which they can be cut.
    pub sheets: Vec<SheetOfMaterial>,
    /// Pieces for which there is no sheet.
    pub missing: Vec<PieceOfSheet>,
    /// What proves the bounds.
    pub certificate: SheetCertificate,
}

/// What a material is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum MaterialUse {
    /// Round the art.
    Mat,
    /// In front of it.
    Glazing,
    /// Behind it.
    Backing,
    /// Over the back of the frame.
    DustCover,
}

/// One mat, pane, backing or dust cover.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceOfSheet {
    /// Its frame.
    pub frame: String,
    /// Which of the alike frames, from 1.
    pub copy: u32,
    /// What it is in the frame.
    #[serde(rename = "use")]
    pub serves: MaterialUse,
    /// Of a mat which layer, from 1, the outermost.
    pub mat_layer: Option<u32>,
}

/// A sheet that is cut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetOfMaterial {
    /// Which of the material's sheets, as they stand in the job, from 0; null where it drops out of a window.
    pub stock: Option<usize>,
    /// The mat out of whose window it drops; null for all others.
    pub window_of: Option<PieceOfSheet>,
    /// What is written on it, on the rack; null for all others.
    pub label: Option<String>,
    /// Its width.
    pub width_nm: i64,
    /// Its height.
    pub height_nm: i64,
    /// What it costs, or is worth on the rack; null where nothing was said.
    pub price_minor: Option<i64>,
    /// Whether its strips run along its width; else along its height.
    pub strips_along_width: bool,
    /// Its strips, in the order of the first cuts.
    pub strips: Vec<StripOfSheet>,
}

/// A strip of a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StripOfSheet {
    /// Where it begins across the strips: from the lower edge, or where they run along the height from the left one.
    pub from_nm: i64,
    /// Its width.
    pub width_nm: i64,
    /// Its stacks, one after another.
    pub stacks: Vec<StackOfSheet>,
}

/// What second cuts part from a strip: one piece, or several one above another, which third cuts part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StackOfSheet {
    /// Where it begins along the strip, from the left edge of the sheet, or the lower one.
    pub from_nm: i64,
    /// Its length along the strip.
    pub length_nm: i64,
    /// Its pieces, one above another.
    pub cuts: Vec<CutOfSheet>,
}

/// A piece at its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CutOfSheet {
    /// What it is.
    pub piece: PieceOfSheet,
    /// Where it begins across the strip, from the lower edge of the sheet, or the left one.
    pub from_nm: i64,
    /// Where it ends.
    pub to_nm: i64,
    /// Its size along the strip.
    pub along_nm: i64,
    /// Whether it is turned by a right angle from how it is in its frame.
    pub turned: bool,
}

impl From<Serves> for MaterialUse {
    fn from(serves: Serves) -> MaterialUse {
        match serves {
            Serves::Mat => MaterialUse::Mat,
            Serves::Glazing => MaterialUse::Glazing,
            Serves::Backing => MaterialUse::Backing,
            Serves::DustCover => MaterialUse::DustCover,
        }
    }
}

impl From<MaterialUse> for Serves {
    fn from(serves: MaterialUse) -> Serves {
        match serves {
            MaterialUse::Mat => Serves::Mat,
            MaterialUse::Glazing => Serves::Glazing,
            MaterialUse::Backing => Serves::Backing,
            MaterialUse::DustCover => Serves::DustCover,
        }
    }
}

impl Material {
    pub(super) fn of(job: &Job, plan: &MaterialPlan) -> Material {
        let sheets = plan.sheets.iter();
        let missing = plan.missing.iter();
        Material {
            serves: plan.key.serves.into(),
            name: plan.key.name.clone(),
            value: plan.value,
            lower_bound: plan.lower_bound,
            missing_lower_bound: plan.missing_lower_bound,
            proved_optimal: plan.verdict == Verdict::Optimal,
            stopped: plan.verdict == Verdict::Stopped,
            fallout: plan.has_fallout,
            any_cuts: plan.any_cuts,
            sheets: sheets
                .map(|sheet| SheetOfMaterial::of(job, plan, sheet))
                .collect(),
            missing: missing.map(|&piece| PieceOfSheet::of(job, piece)).collect(),
            certificate: SheetCertificate::of(&plan.certificate),
        }
    }

    /// The plan that is told of, in terms of `job`; nothing of it is believed.
    pub(super) fn raise(&self, job: &Job, names: &Names<'_>) -> Result<MaterialPlan, Unknown> {
        let key = MaterialKey {
            serves: self.serves.into(),
            name: self.name.clone(),
        };
        let Some(material) = job.stated_material(&key) else {
            let name = self.name.as_deref().unwrap_or("mat board");
            return Err(Unknown::new("sheet", name));
        };
        let n_stock = material.stock.len();
        let sheets = self.sheets.iter().map(|sheet| sheet.raise(n_stock, names));
        let missing = self.missing.iter().map(|piece| piece.raise(names));
        Ok(MaterialPlan {
            key,
            sheets: sheets.collect::<Result<_, _>>()?,
            missing: missing.collect::<Result<_, _>>()?,
            value: self.value,
            lower_bound: self.lower_bound,
            missing_lower_bound: self.missing_lower_bound,
            verdict: match (self.proved_optimal, self.stopped) {
                (true, _) => Verdict::Optimal,
                (false, true) => Verdict::Stopped,
                (false, false) => Verdict::WorkLimit,
            },
            has_fallout: self.fallout,
            any_cuts: self.any_cuts,
            certificate: self.certificate.raise(),
        })
    }
}

impl PieceOfSheet {
    fn of(job: &Job, piece: SheetPiece) -> PieceOfSheet {
        PieceOfSheet {
            frame: job.frames[piece.frame_idx].name.clone(),
            copy: piece.copy,
            serves: Serves::of(piece.sheet_use).into(),
            mat_layer: match piece.sheet_use {
                SheetUse::Mat { layer } => Some(layer),
                SheetUse::Glazing | SheetUse::Backing | SheetUse::DustCover => None,
            },
        }
    }

    fn raise(&self, names: &Names<'_>) -> Result<SheetPiece, Unknown> {
        Ok(SheetPiece {
            frame_idx: names.frame(&self.frame)?,
            copy: self.copy,
            sheet_use: match self.serves {
                MaterialUse::Mat => SheetUse::Mat {
                    layer: self.mat_layer.unwrap_or(0),
                },
                MaterialUse::Glazing => SheetUse::Glazing,
                MaterialUse::Backing => SheetUse::Backing,
                MaterialUse::DustCover => SheetUse::DustCover,
            },
        })
    }
}

impl SheetOfMaterial {
    fn of(job: &Job, plan: &MaterialPlan, sheet: &PlannedSheet) -> SheetOfMaterial {
        let material = job.material(&plan.key);
        let blank = sheet.blank(job, &material);
        let (stock, window_of) = match sheet.source {
            SheetSource::Stock(idx) => (Some(idx), None),
            SheetSource::Fallout(mat) => (None, Some(PieceOfSheet::of(job, mat))),
        };
        let strips = sheet.strips.iter();
        SheetOfMaterial {
            label: stock.and_then(|idx| material.stock[idx].label.clone()),
            stock,
            window_of,
            width_nm: blank.width.nm(),
            height_nm: blank.height.nm(),
            price_minor: blank.price.map(Money::minor),
            strips_along_width: sheet.along == Along::Width,
            strips: strips.map(|strip| StripOfSheet::of(job, strip)).collect(),
        }
    }

    fn raise(&self, n_stock: usize, names: &Names<'_>) -> Result<PlannedSheet, Unknown> {
        let source = match (self.stock, &self.window_of) {
            (Some(idx), _) if idx < n_stock => SheetSource::Stock(idx),
            (None, Some(mat)) => SheetSource::Fallout(mat.raise(names)?),
            (idx, _) => {
                let idx = idx.map_or("without a place".to_owned(), |idx| idx.to_string());
                return Err(Unknown::new("sheet", &idx));
            }
        };
        let strips = self.strips.iter().map(|strip| strip.raise(names));
        Ok(PlannedSheet {
            source,
            along: along(self.strips_along_width),
            strips: strips.collect::<Result<_, _>>()?,
        })
    }
}

impl StripOfSheet {
    fn of(job: &Job, strip: &SheetStrip) -> StripOfSheet {
        let stacks = strip.stacks.iter();
        StripOfSheet {
            from_nm: strip.from.nm(),
            width_nm: strip.width.nm(),
            stacks: stacks.map(|stack| StackOfSheet::of(job, stack)).collect(),
        }
    }

    fn raise(&self, names: &Names<'_>) -> Result<SheetStrip, Unknown> {
        let stacks = self.stacks.iter().map(|stack| stack.raise(names));
        Ok(SheetStrip {
            from: Length::from_nm(self.from_nm),
            width: Length::from_nm(self.width_nm),
            stacks: stacks.collect::<Result<_, _>>()?,
        })
    }
}

impl StackOfSheet {
    fn of(job: &Job, stack: &SheetStack) -> StackOfSheet {
        let cuts = stack.cuts.iter().map(|cut| CutOfSheet {
            piece: PieceOfSheet::of(job, cut.piece),
            from_nm: cut.from.nm(),
            to_nm: cut.to.nm(),
            along_nm: cut.along.nm(),
            turned: cut.turned,
        });
        StackOfSheet {
            from_nm: stack.from.nm(),
            length_nm: stack.length.nm(),
            cuts: cuts.collect(),
        }
    }

    fn raise(&self, names: &Names<'_>) -> Result<SheetStack, Unknown> {
        let cuts = self.cuts.iter().map(|cut| {
            Ok(SheetCut {
                piece: cut.piece.raise(names)?,
                from: Length::from_nm(cut.from_nm),
                to: Length::from_nm(cut.to_nm),
                along: Length::from_nm(cut.along_nm),
                turned: cut.turned,
            })
        });
        Ok(SheetStack {
            from: Length::from_nm(self.from_nm),
            length: Length::from_nm(self.length_nm),
            cuts: cuts.collect::<Result<_, _>>()?,
        })
    }
}
