//! What a plan comes to, counted once for all formats.

mod lumber;
mod rack;
mod resaws;
mod rips;

use std::collections::BTreeMap;

use crate::frame::Outline;
use crate::job::Job;
use crate::length::{Length, Rounding};
use crate::money::Money;
use crate::plan::sheets::MaterialPlan;
use crate::plan::{
    Aside, LeftoverKind, Measure, Part, PieceKind, Plan, PlannedBoard, PlannedStrip, gaps, is_kept,
    uncut,
};
use crate::stock::board_cost;
use crate::tally::rack_added;

use super::turning::{count_shared, saved_on_strip};

pub use lumber::{BothWays, Face, Lumber};
pub use rack::{Pile, Rack};
pub use resaws::Resawing;
pub use rips::{Fence, RippedStick, is_ripped, planed_off};

/// Totals of a plan, and its boards grouped for reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Summary<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Frames of the job, copies counted.
    pub n_frames: u64,
    /// Rails of all frames.
    pub n_rails: u64,
    /// Loose pieces, copies counted.
    pub n_pieces: u64,
    /// Boards the plan uses.
    pub n_boards: u64,
    /// Parts for which there was no wood.
    pub n_missing: u64,
    /// The boards to take, one line for each kind, in the order of the job.
    pub taken: Vec<Taken>,
    /// Price of all boards used that have one, and value of what is taken from the rack; `None` where none has.
    pub price: Option<Money>,
    /// Of this, the price of what is bought; `None` where nothing that is bought has one.
    pub bought: Option<Money>,
    /// The rack; `None` where the job has none.
    pub rack: Option<Rack>,
    /// Boards to buy that have no price, where others have.
    pub n_without_price: u64,
    /// What becomes of the wood, by length along the outer edge.
    pub wood: Wood,
    /// What becomes of the wood, by face, where boards are ripped; `None` where none is, or a width is unknown.
    pub face: Option<Face>,
    /// Board feet; `None` where a size that they need is unknown.
    pub lumber: Option<Lumber>,
    /// The resaw list, thickest slices first; empty where no board is resawn.
    pub resaws: Vec<Resawing>,
    /// The rip list, widest strips first; empty where no board is ripped.
    pub fences: Vec<Fence>,
    /// Offcuts long enough to keep, longest first within each kind of board.
    pub kept: Vec<Kept>,
    /// Slanting cuts that neighbors share, one of them turned end for end.
    pub n_shared_cuts: u64,
    /// What they save along the strips.
    pub saved_by_sharing: Length,
    /// Boards that are cut alike, in the plan's order.
    pub groups: Vec<Group>,
    /// What was found beside the plan.
    pub aside: Aside,
    /// What is cut from sheets; nothing where that is told elsewhere.
    pub materials: Vec<MaterialPlan>,
}

/// Boards of one kind to take.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Index into `Job::boards`.
    pub board_idx: usize,
    /// What they are taken for: how many strips to be milled to which moulding, `None` being plain wood, which comes
    /// first; a board that is not ripped is one strip.
    pub uses: Vec<(Option<usize>, u64)>,
    /// How many in all.
    pub count: u64,
    /// Price of one, with the yard's cuts; `None` where no price was given.
    pub price_each: Option<Money>,
    /// Of those that the yard is to cut, the places of the cuts in one, and how many are cut so.
    pub yard_cuts: Vec<(Vec<Length>, u64)>,
    /// Board feet of all of them; `None` where a size that they need is unknown.
    pub board_feet: Option<BothWays>,
}

/// What becomes of the strips' length; the four parts sum to the whole. A board that is not ripped is one strip.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Wood {
    /// All strips end to end.
    pub boards: Length,
    /// Rails and pieces, long points; what two of them span together, by sharing a slanting cut, counts once.
    pub parts: Length,
    /// Offcuts that go back on the rack.
    pub kept: Length,
    /// Offcuts too short to keep; of those with defects the longest clear stretch.
    pub short_ends: Length,
    /// Kerfs and end trims, and defects that are not part of an offcut to keep.
    pub kerf_and_trim: Length,
}

impl Wood {
    /// What goes into the parts, back to the rack, and is lost.
    pub fn uses(&self) -> [i128; 3] {
        let lost = self.short_ends + self.kerf_and_trim;
        [self.parts, self.kept, lost].map(|length| length.nm().into())
    }
}

/// Alike offcuts to keep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Index into `Job::boards`: what they were cut from.
    pub board_idx: usize,
    /// What they are.
    pub kind: KeptKind,
    /// Whether they are left of slices of resawn boards.
    pub is_of_slice: bool,
    /// Their width, where it is known.
    pub width: Option<Length>,
    /// Length between the last cut and the far trim, or of the whole board.
    pub length: Length,
    /// The longest stretch of it that is clear of defects.
    pub clear: Length,
    /// What the rack's table calls them, one for each.
    pub names: Vec<String>,
    /// Positions of their boards in `Plan::boards`, and what of these they are, one for each.
    pub left_of: Vec<(usize, LeftoverKind)>,
}

/// What an offcut to keep is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum KeptKind {
    /// The end of a strip milled to this moulding, if any.
    End(Option<usize>),
    /// What is left beside the strips of a ripped board.
    Edge,
    /// All of a stretch that the yard has cut off.
    Stretch,
}

/// Boards that are cut alike and stand side by side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// Indices into `Plan::boards`: a stretch of neighbors, never empty.
    pub boards: std::ops::Range<usize>,
    /// By how much the printed lengths of one strip's parts, rounded up to the job's step, exceed what the strip has
    /// to spare, at most; `None` where all fit.
    pub overrun: Option<Length>,
}

impl<'a> Summary<'a> {
    /// Counts up a plan.
    pub fn new(plan: &'a Plan) -> Summary<'a> {
        let job = &plan.job;
        let taken = count_taken(plan);
        let is_bought = |line: &&Taken| job.boards[line.board_idx].in_hand.is_none();
        let (n_shared_cuts, saved_by_sharing) = count_shared(plan);
        let prices = || taken.iter().filter_map(Taken::price);
        let bought = || taken.iter().filter(is_bought).filter_map(Taken::price);
        let n_without_price = taken
            .iter()
            .filter(is_bought)
            .filter(|line| line.price_each.is_none())
            .map(|line| line.count)
            .sum();
        Summary {
            plan,
            n_frames: job
                .frames
                .iter()
                .map(|frame| u64::from(frame.quantity))
                .sum(),
            n_rails: job
                .frames
                .iter()
                .map(|frame| u64::from(frame.quantity) * u64::from(frame.art.n_sides()))
                .sum(),
            n_pieces: job
                .pieces
                .iter()
                .map(|piece| u64::from(piece.quantity))
                .sum(),
            n_boards: count(plan.boards.len()),
            n_missing: count(plan.missing.len()),
            price: prices().next().is_some().then(|| prices().sum()),
            bought: bought().next().is_some().then(|| bought().sum()),
            rack: Rack::of(plan),
            n_without_price: if plan.measure == Measure::Price {
                n_without_price
            } else {
                0
            },
            wood: measure_wood(plan),
            face: Face::of(plan),
            lumber: Lumber::of(plan, &taken),
            resaws: resaws::resaws(plan),
            fences: rips::fences(plan),
            taken,
            kept: count_kept(plan),
            n_shared_cuts,
            saved_by_sharing,
            groups: group_boards(plan),
            aside: Aside::default(),
            materials: Vec::new(),
        }
    }

    /// With what is cut from sheets.
    #[must_use]
    pub fn with_sheets(self, materials: Vec<MaterialPlan>) -> Summary<'a> {
        Summary { materials, ..self }
    }

    /// With what was found beside the plan.
    #[must_use]
    pub fn beside(self, aside: Aside) -> Summary<'a> {
        Summary { aside, ..self }
    }
}

impl Kept {
    /// How many there are.
    pub fn count(&self) -> u64 {
        count(self.names.len())
    }

    fn is_like(&self, other: &Kept) -> bool {
        let looks = |kept: &Kept| {
            (
                kept.board_idx,
                kept.kind,
                kept.is_of_slice,
                kept.width,
                kept.length,
                kept.clear,
            )
        };
        looks(self) == looks(other)
    }
}

impl Taken {
    /// Price of all of them.
    ///
    /// # Panics
    /// If it overflows, which that of a checked plan does not.
    pub fn price(&self) -> Option<Money> {
        let count = i64::try_from(self.count).expect("a count in memory fits 63 bits");
        self.price_each.map(|each| each * count)
    }
}

/// Parts that are missing, alike ones together, in the order of the job.
///
/// Alike are opposite sides of a rectangle, all sides of a polygon and the copies of a piece, so all parts of a group
/// are equally long.
pub fn group_missing(plan: &Plan) -> Vec<Vec<Part>> {
    let job = &plan.job;
    let kind = |part: Part| match part {
        Part::Rail {
            frame_idx, side, ..
        } => match job.frames[frame_idx].art {
            Outline::Rectangle { .. } => (0, frame_idx, side % 2),
            Outline::Regular { .. } => (0, frame_idx, 0),
        },
        Part::Loose { piece_idx, .. } => (1, piece_idx, 0),
    };
    let mut groups: BTreeMap<(u8, usize, u32), Vec<Part>> = BTreeMap::new();
    for &part in &plan.missing {
        groups.entry(kind(part)).or_default().push(part);
    }
    groups.into_values().collect()
}

/// A count of things in memory.
fn count(n: usize) -> u64 {
    u64::try_from(n).expect("a count in memory fits 64 bits")
}

fn count_taken(plan: &Plan) -> Vec<Taken> {
    let job = &plan.job;
    let mut counts: BTreeMap<(usize, Option<usize>), u64> = BTreeMap::new();
    let mut boards_of_kind: BTreeMap<usize, u64> = BTreeMap::new();
    let mut yard_cuts: BTreeMap<usize, BTreeMap<Vec<Length>, u64>> = BTreeMap::new();
    for board in &plan.boards {
        *boards_of_kind.entry(board.board_idx).or_default() += 1;
        if board.is_cut_at_yard() {
            let of_kind = yard_cuts.entry(board.board_idx).or_default();
            *of_kind.entry(board.yard_cuts().collect()).or_default() += 1;
        }
        for strip in &board.strips {
            *counts
                .entry((board.board_idx, strip.moulding_idx))
                .or_default() += 1;
        }
    }
    boards_of_kind
        .into_iter()
        .map(|(board_idx, count)| Taken {
            board_idx,
            uses: counts
                .range((board_idx, None)..(board_idx + 1, None))
                .map(|(&(_, moulding_idx), &count)| (moulding_idx, count))
                .collect(),
            count,
            price_each: price_of(job, board_idx),
            yard_cuts: yard_cuts
                .remove(&board_idx)
                .unwrap_or_default()
                .into_iter()
                .collect(),
            board_feet: lumber::of_boards(job, board_idx, count),
        })
        .collect()
}

/// What one board of a kind costs.
///
/// # Panics
/// If there is no such board.
pub fn price_of(job: &Job, board_idx: usize) -> Option<Money> {
    board_cost(&job.boards[board_idx])
        .expect("a job is loaded only if every board's price can be worked out")
}

fn measure_wood(plan: &Plan) -> Wood {
    let job = &plan.job;
    let mut wood = Wood::default();
    for board in &plan.boards {
        for (strip_idx, strip) in board.strips.iter().enumerate() {
            let stretch = &board.stretches[strip.stretch];
            wood.boards += stretch.to - stretch.from;
            // Where neighbors share a slanting cut, what both long points span counts once.
            wood.parts += strip.cuts.iter().map(|cut| cut.to - cut.from).sum();
            wood.parts -= saved_on_strip(job, strip);
            for gap in gaps(job, board, strip_idx) {
                if is_kept(job, gap.clear) {
                    wood.kept += gap.between_trims;
                } else {
                    wood.short_ends += gap.clear;
                }
            }
        }
        // What the yard's saw takes counts once, and a stretch from which nothing is cut as a strip.
        let of_runs = board.runs().into_iter().map(|(from, to)| to - from);
        let sawn = job.boards[board.board_idx].length - of_runs.sum();
        for (idx, stretch) in board.stretches.iter().enumerate() {
            if board.strips_of(idx).next().is_some() {
                continue;
            }
            wood.boards += stretch.to - stretch.from;
            match uncut(job, board, idx) {
                Some(uncut) if is_kept(job, uncut.clear) => wood.kept += uncut.between_trims,
                Some(uncut) => wood.short_ends += uncut.clear,
                None => {}
            }
        }
        wood.boards += sawn;
    }
    wood.kerf_and_trim = wood.boards - wood.parts - wood.kept - wood.short_ends;
    wood
}

fn count_kept(plan: &Plan) -> Vec<Kept> {
    let mut all: Vec<Kept> = Vec::new();
    for new in rack_added(plan) {
        let left = new.left;
        let kept = Kept {
            board_idx: plan.boards[left.board].board_idx,
            kind: match left.kind {
                LeftoverKind::End(_) => KeptKind::End(left.moulding_idx(plan)),
                LeftoverKind::Piece(PieceKind::Edge { .. }) => KeptKind::Edge,
                LeftoverKind::Piece(PieceKind::Stretch(_)) => KeptKind::Stretch,
            },
            is_of_slice: plan.boards[left.board].resawn.is_some(),
            width: left.width,
            length: left.usable,
            clear: left.clear,
            names: vec![new.board.name.clone()],
            left_of: vec![(left.board, left.kind)],
        };
        match all.last_mut() {
            Some(last) if last.is_like(&kept) => {
                last.names.extend(kept.names);
                last.left_of.extend(kept.left_of);
            }
            _ => all.push(kept),
        }
    }
    all
}

fn group_boards(plan: &Plan) -> Vec<Group> {
    let job = &plan.job;
    let mut groups: Vec<Group> = Vec::new();
    for (idx, board) in plan.boards.iter().enumerate() {
        match groups.last_mut() {
            Some(group) if cut_alike(job, &plan.boards[group.boards.start], board) => {
                group.boards.end = idx + 1;
            }
            _ => groups.push(Group {
                boards: idx..idx + 1,
                overrun: overrun(job, board),
            }),
        }
    }
    groups
}

/// Whether one drawing shows both boards.
fn cut_alike(job: &Job, one: &PlannedBoard, other: &PlannedBoard) -> bool {
    (one.pattern, one.board_idx, one.resawn) == (other.pattern, other.board_idx, other.resawn)
        && one.stretches == other.stretches
        && one.strips.len() == other.strips.len()
        && one
            .strips
            .iter()
            .zip(&other.strips)
            .all(|(one, other)| strips_cut_alike(job, one, other))
}

fn strips_cut_alike(job: &Job, one: &PlannedStrip, other: &PlannedStrip) -> bool {
    (
        one.stretch,
        one.moulding_idx,
        one.width,
        one.from_edge,
        one.offcut,
    ) == (
        other.stretch,
        other.moulding_idx,
        other.width,
        other.from_edge,
        other.offcut,
    ) && one.cuts.len() == other.cuts.len()
        && one.cuts.iter().zip(&other.cuts).all(|(a, b)| {
            (a.from, a.to, a.turned) == (b.from, b.to, b.turned)
                && a.part.miter(job) == b.part.miter(job)
        })
}

/// See [`Group::overrun`].
fn overrun(job: &Job, board: &PlannedBoard) -> Option<Length> {
    let of_strip = |strip: &PlannedStrip| {
        let end = strip.cuts.last()?.to;
        let stretch = &board.stretches[strip.stretch];
        let spare = stretch.to - stretch.from - job.shop.end_trim - end;
        let rounded_up: Length = strip
            .cuts
            .iter()
            .map(|cut| {
                let length = cut.to - cut.from;
                length.rounded(job.display.step, Rounding::Up) - length
            })
            .sum();
        (rounded_up > spare).then(|| rounded_up - spare)
    };
    board.strips.iter().filter_map(of_strip).max()
}

#[cfg(test)]
mod tests;
