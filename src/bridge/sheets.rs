//! Between frames and the sheet solver: what a job wants of each material, and the solver's plan with names and places.

mod face;

use std::collections::{BTreeMap, VecDeque};

use crate::cutting::End;
use crate::frame::rectangle_round;
use crate::job::{Job, Material, MaterialKey, SheetTrim};
use crate::length::Length;
use crate::plan::Verdict;
use crate::plan::sheets::{
    MaterialPlan, PlannedSheet, SheetCut, SheetPiece, SheetSource, SheetStack, SheetStrip,
};
use crate::sheets::job::{Along, Cutter, Item, Kind, LARGEST_SIZE, SheetJob, Stages, Trim};
use crate::sheets::plan::{CutSheet, Piece, SheetPlan, Stack};

/// Which materials are planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Materials {
    /// Those whose sheets the job states.
    Stated,
    /// All that its frames need; those whose sheets it does not state in the usual ones.
    All,
}

/// What a job wants of one material, as the solver knows it.
#[derive(Clone, Debug)]
pub struct LoweredSheets {
    key: MaterialKey,
    /// What is wanted, and from what.
    pub sheet_job: SheetJob,
    /// By item: the pieces of that size, in the order of the job.
    pieces: Vec<Vec<SheetPiece>>,
    /// By kind.
    sources: Vec<Source>,
    has_fallout: bool,
    /// How many pieces fit no sheet that is there, and so are missing in every plan.
    n_hindered: u64,
}

/// What a kind of sheet is.
#[derive(Clone, Copy, Debug)]
enum Source {
    /// An index into the material's stock.
    Stock(usize),
    /// What drops out of windows of this size.
    Fallout(Size),
}

/// Width and height.
type Size = (Length, Length);

/// What is wanted of each material, in the order of their uses and names.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn lower_sheets(job: &Job, which: Materials) -> Vec<LoweredSheets> {
    let mut wanted: BTreeMap<MaterialKey, BTreeMap<Size, Vec<SheetPiece>>> = BTreeMap::new();
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        for sheet in job.sheets_to_cut(frame_idx) {
            let key = job.material_of(&sheet);
            if which == Materials::Stated && job.stated_material(&key).is_none() {
                continue;
            }
            let alike = wanted.entry(key).or_default();
            let alike = alike.entry(rectangle_round(sheet.size)).or_default();
            alike.extend((1..=frame.quantity).map(|copy| SheetPiece {
                frame_idx,
                copy,
                sheet_use: sheet.sheet_use,
            }));
        }
    }
    let lowered = wanted.into_iter().map(|(key, pieces)| {
        let has_fallout = job.material(&key).cutting.fallout.is_some();
        LoweredSheets::new(job, key, pieces, has_fallout)
    });
    lowered.collect()
}

impl LoweredSheets {
    fn new(
        job: &Job,
        key: MaterialKey,
        pieces: BTreeMap<Size, Vec<SheetPiece>>,
        has_fallout: bool,
    ) -> LoweredSheets {
        let material = job.material(&key);
        let cutting = material.cutting;
        let items = pieces.iter().map(|(&(width, height), pieces)| Item {
            // What is longer than any sheet fits none, however long it is.
            width: width.nm().min(LARGEST_SIZE),
            height: height.nm().min(LARGEST_SIZE),
            demand: u32::try_from(pieces.len()).expect("a job has far fewer parts"),
            turnable: cutting.may_turn,
        });
        let items: Vec<Item> = items.collect();
        let mut kinds = Vec::new();
        let mut sources = Vec::new();
        for (idx, stock) in material.stock.iter().enumerate() {
            kinds.push(Kind {
                width: stock.width.nm(),
                height: stock.height.nm(),
                price: counted(&material, idx),
                supply: stock.quantity,
                trim: lower_trim(stock.trim),
            });
            sources.push(Source::Stock(idx));
        }
        let is_hindered = |size: Size| material.hindrance(size.0, size.1).is_some();
        let hindered = pieces.iter().filter(|&(&size, _)| is_hindered(size));
        let n_hindered = hindered.map(|(_, pieces)| pieces.len()).sum::<usize>();
        if let Some(loss) = cutting.fallout.filter(|_| has_fallout) {
            // What fits no sheet is never cut, and nothing drops out of it.
            let cut = pieces.iter().filter(|&(&size, _)| !is_hindered(size));
            let all = cut.flat_map(|(_, pieces)| pieces);
            for (window, count) in windows(job, all, loss, cutting.least_piece) {
                kinds.push(Kind {
                    width: window.0.nm(),
                    height: window.1.nm(),
                    price: 0,
                    supply: Some(count),
                    trim: Trim::all(loss.nm()),
                });
                sources.push(Source::Fallout(window));
            }
        }
        let cutter = Cutter {
            kerf: cutting.kerf.nm().min(LARGEST_SIZE),
            strips: None,
            longest_first: cutting.longest_first.map(Length::nm),
            longest_second: cutting.longest_second.map(Length::nm),
            stages: if cutting.third_cuts {
                Stages::Three
            } else {
                Stages::Two
            },
        };
        LoweredSheets {
            key,
            sheet_job: SheetJob::new(items, kinds, cutter)
                .expect("load refuses what the solver would"),
            pieces: pieces.into_values().collect(),
            sources,
            has_fallout,
            n_hindered: u64::try_from(n_hindered).expect("a count in memory fits 64 bits"),
        }
    }

    /// The same without what drops out of windows, where that is counted on and `solution` is no plan with it: sheets were too
    /// few for pieces that fit one, so that not all mats are cut.
    pub fn without_fallout(&self, job: &Job, solution: &SheetPlan) -> Option<LoweredSheets> {
        let is_short = solution.n_missing() > self.n_hindered;
        let sized = self.pieces.iter().map(|pieces| {
            let size = pieces[0].size(job);
            (size, pieces.clone())
        });
        (self.has_fallout && is_short)
            .then(|| LoweredSheets::new(job, self.key.clone(), sized.collect(), false))
    }

    /// The solver's plan with names and places.
    ///
    /// # Panics
    /// If it is not a plan of this.
    pub fn raise(&self, job: &Job, solution: &SheetPlan) -> MaterialPlan {
        let mut left: Vec<VecDeque<SheetPiece>> = self
            .pieces
            .iter()
            .map(|pieces| pieces.iter().copied().collect())
            .collect();
        let mut sheets: Vec<Laid> = Vec::new();
        for cut in &self.rather_of_windows(solution) {
            let strips = cut.strips.iter().map(|strip| SheetStrip {
                from: Length::from_nm(strip.at),
                width: Length::from_nm(strip.width),
                stacks: (strip.stacks.iter())
                    .map(|stack| self.raise_stack(cut.along, stack, &mut left))
                    .collect(),
            });
            sheets.push(Laid {
                source: self.sources[cut.kind],
                along: cut.along,
                strips: strips.collect(),
            });
        }
        let mut missing: Vec<SheetPiece> = left.into_iter().flatten().collect();
        missing.sort_unstable();
        let any_cuts = solution.n_missing() == 0 && face::asks_for(&self.sheet_job, solution.cost);
        MaterialPlan {
            key: self.key.clone(),
            sheets: in_order(job, sheets),
            missing,
            value: solution.cost,
            lower_bound: solution.bound.cost,
            missing_lower_bound: solution.bound.missing_pieces,
            verdict: match solution.end {
                // What is proved of two stages is not enough for it.
                _ if solution.stages() == Stages::Three
                    && (any_cuts || solution.certificate.cost_in_three() == solution.cost) =>
                {
                    Verdict::Optimal
                }
                End::Proved => Verdict::Optimal,
                End::WorkLimit => Verdict::WorkLimit,
                End::Stopped => Verdict::Stopped,
            },
            has_fallout: self.has_fallout,
            any_cuts,
            certificate: solution.certificate.clone(),
        }
    }

    /// A stack of a sheet whose strips run so, its pieces named by the first that are `left`.
    fn raise_stack(
        &self,
        way: Along,
        stack: &Stack,
        left: &mut [VecDeque<SheetPiece>],
    ) -> SheetStack {
        let cuts = stack.pieces.iter().map(|piece| {
            let (along, across) = self.lies(way, piece);
            SheetCut {
                piece: left[piece.item]
                    .pop_front()
                    .expect("no more are cut than are wanted"),
                from: Length::from_nm(piece.at),
                to: Length::from_nm(piece.at + across),
                along: Length::from_nm(along),
                turned: piece.turned,
            }
        });
        SheetStack {
            from: Length::from_nm(stack.at),
            length: Length::from_nm(stack.length),
            cuts: cuts.collect(),
        }
    }

    /// Size of a piece along strips that run so, and across them.
    fn lies(&self, way: Along, piece: &Piece) -> (i64, i64) {
        let item = self.sheet_job.items()[piece.item];
        if (way == Along::Width) == piece.turned {
            (item.height, item.width)
        } else {
            (item.width, item.height)
        }
    }
}

impl LoweredSheets {
    /// The sheets of a solution, where one that counts nothing is not taken if all its pieces fit, as they lie, into what drops
    /// out of a window and is not used: of two that cost the same that is the one to cut.
    fn rather_of_windows(&self, solution: &SheetPlan) -> Vec<CutSheet> {
        let kinds = self.sheet_job.kinds();
        let is_window = |kind: usize| matches!(self.sources[kind], Source::Fallout(_));
        let mut unused: Vec<(usize, usize)> = Vec::new();
        for (idx, kind) in kinds.iter().enumerate().filter(|&(idx, _)| is_window(idx)) {
            let used = solution.sheets.iter().filter(|cut| cut.kind == idx).count();
            let there = usize::try_from(kind.supply.unwrap_or(0)).unwrap_or(usize::MAX);
            unused.push((idx, there.saturating_sub(used)));
        }
        let face = |idx: usize| i128::from(kinds[idx].width) * i128::from(kinds[idx].height);
        unused.sort_by_key(|&(idx, _)| (face(idx), idx));
        let mut sheets = solution.sheets.clone();
        for cut in &mut sheets {
            if kinds[cut.kind].price > 0 || is_window(cut.kind) {
                continue;
            }
            let moved = unused.iter_mut().find_map(|(idx, left)| {
                let moved = (*left > 0).then(|| self.moved(cut, *idx)).flatten()?;
                *left -= 1;
                Some(moved)
            });
            if let Some(moved) = moved {
                *cut = moved;
            }
        }
        sheets
    }

    /// The same strips and pieces on a sheet of another kind, as they lie or all turned by a right angle.
    fn moved(&self, cut: &CutSheet, kind: usize) -> Option<CutSheet> {
        let may_turn = self.sheet_job.items().iter().all(|item| item.turnable);
        let ways = Along::BOTH.iter().copied();
        let mut ways = ways.filter(|&along| along == cut.along || may_turn);
        ways.find_map(|along| self.moved_so(cut, kind, along))
    }

    /// The same with strips that run so.
    fn moved_so(&self, cut: &CutSheet, kind: usize, along: Along) -> Option<CutSheet> {
        let spans = |kind: &Kind, along: Along| {
            let Trim {
                left,
                right,
                bottom,
                top,
            } = kind.trim;
            let across_page = (left, kind.width - right, kind.width);
            let up_page = (bottom, kind.height - top, kind.height);
            match along {
                Along::Width => (across_page, up_page),
                Along::Height => (up_page, across_page),
            }
        };
        let kinds = self.sheet_job.kinds();
        let (old_along, old_across) = spans(&kinds[cut.kind], cut.along);
        let (new_along, new_across) = spans(&kinds[kind], along);
        let longest = self.sheet_job.cutter().longest_first;
        if longest.is_some_and(|most| new_along.2 > most) {
            return None;
        }
        let mut moved = CutSheet {
            kind,
            along,
            ..cut.clone()
        };
        for strip in &mut moved.strips {
            strip.at += new_across.0 - old_across.0;
            if strip.at + strip.width > new_across.1 {
                return None;
            }
            for stack in &mut strip.stacks {
                stack.at += new_along.0 - old_along.0;
                if stack.at + stack.length > new_along.1 {
                    return None;
                }
                for piece in &mut stack.pieces {
                    piece.at += new_across.0 - old_across.0;
                    piece.turned ^= along != cut.along;
                }
            }
        }
        Some(moved)
    }
}

/// What a sheet counts: its price, on the rack its worth; where nothing that is sold has a price, its face in whole square
/// millimeters, rounded up, and on the rack nothing.
fn counted(material: &Material, idx: usize) -> i64 {
    let stock = &material.stock[idx];
    if material.has_prices() {
        return stock.price.map_or(0, super::super::money::Money::minor);
    }
    if stock.label.is_some() {
        return 0;
    }
    let face = i128::from(stock.width.nm()) * i128::from(stock.height.nm());
    let square = i128::from(Length::MILLIMETRE.nm()) * i128::from(Length::MILLIMETRE.nm());
    i64::try_from(face / square + i128::from(face % square > 0))
        .expect("a sheet is no larger than 100 m by 100 m")
}

fn lower_trim(trim: SheetTrim) -> Trim {
    Trim {
        left: trim.left.nm(),
        right: trim.right.nm(),
        bottom: trim.bottom.nm(),
        top: trim.top.nm(),
    }
}

/// The windows of some mats from whose fallout something worth cutting is left, with how many there are of each size.
fn windows<'p>(
    job: &Job,
    pieces: impl Iterator<Item = &'p SheetPiece>,
    loss: Length,
    least: Length,
) -> BTreeMap<Size, u32> {
    let mut windows = BTreeMap::new();
    for piece in pieces {
        if let Some((width, height)) = piece.dropped(job)
            && width - loss * 2 >= least
            && height - loss * 2 >= least
            && width.max(height).nm() <= LARGEST_SIZE
        {
            *windows.entry((width, height)).or_default() += 1;
        }
    }
    windows
}

/// The sheets in an order in which they can be cut, each fallout told which mat it drops out of.
///
/// What is cut from a fallout is smaller than the window, and that is smaller than its mat: so from the largest window down,
/// each mat has been cut before its fallout is.
fn in_order(job: &Job, sheets: Vec<Laid>) -> Vec<PlannedSheet> {
    let (mut fallouts, mut ordered): (Vec<(Size, Laid)>, Vec<PlannedSheet>) = Default::default();
    for laid in sheets {
        match laid.source {
            Source::Stock(idx) => ordered.push(laid.from(SheetSource::Stock(idx))),
            Source::Fallout(window) => fallouts.push((window, laid)),
        }
    }
    let face = |size: Size| i128::from(size.0.nm()) * i128::from(size.1.nm());
    fallouts.sort_by_key(|&(window, _)| (-face(window), window));
    let mut cut = FreshMats::default();
    for sheet in &ordered {
        cut.add(job, sheet);
    }
    for (window, laid) in fallouts {
        let mats = cut.0.get_mut(&window).and_then(VecDeque::pop_front);
        let mat = mats.expect("there are as many fallouts as mats with the window");
        let sheet = laid.from(SheetSource::Fallout(mat));
        cut.add(job, &sheet);
        ordered.push(sheet);
    }
    ordered
}

/// A sheet laid out, before it is known which mat it drops out of.
struct Laid {
    source: Source,
    along: Along,
    strips: Vec<SheetStrip>,
}

impl Laid {
    fn from(self, source: SheetSource) -> PlannedSheet {
        PlannedSheet {
            source,
            along: self.along,
            strips: self.strips,
        }
    }
}

/// Mats that are cut, by window, whose fallout is not used yet.
#[derive(Default)]
struct FreshMats(BTreeMap<Size, VecDeque<SheetPiece>>);

impl FreshMats {
    fn add(&mut self, job: &Job, sheet: &PlannedSheet) {
        for cut in sheet.cuts() {
            if let Some(dropped) = cut.piece.dropped(job) {
                let alike = self.0.entry(dropped).or_default();
                alike.push_back(cut.piece);
            }
        }
    }
}
