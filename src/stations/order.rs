//! The order of sawing: by stop, with as few settings as can be, and board by board.
//!
//! What lies first on a strip is cut before what lies behind it. Where a defect parts the cuts of a strip, the board may be
//! cut there first, and its clear runs are then sticks of their own; that is done where it spares a setting.

mod by_stop;
mod fewest;
mod runs;

use std::collections::{BTreeMap, BTreeSet};

use crate::frame::Miter;
use crate::job::StopAt;
use crate::length::Length;
use crate::plan::{Cut, CutLabel, Part, Plan, StripMark};
use crate::stock::Run;

use super::stop::{StopFigure, stop_figure};
use by_stop::by_stop;

pub use by_stop::opposite_part;
use runs::{ClearRun, Placed, clear_runs};

/// In which order the cuts of a plan are made, in two ways: every cut is in each of them once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SawOrder {
    /// By stop: moulding by moulding in the order of the job, plain wood last, and of each one miter after the other; a
    /// moulding has several batches of one miter where its strips allow no other order.
    pub batches: Vec<Batch>,
    /// Board by board: all cuts in the order of the plan.
    pub by_board: Vec<CutRef>,
    /// Strips to be cut at a defect before anything else, in the order of the plan. Board by board that need not be done.
    pub parted: Vec<Parted>,
    /// How often the stop is set by stop: the settings of all batches.
    pub n_by_stop: u64,
    /// How often it is set board by board: for the first cut, and for each that asks for another stop, miter or moulding
    /// than the one before.
    pub n_board_by_board: u64,
    /// How often a stick is picked up by stop; board by board each is picked up once.
    pub n_picked_up: u64,
    /// Sticks that are brought to the saw: boards, of a ripped board its strips, of a parted strip its parts.
    pub n_sticks: u64,
    /// Boards from which anything is cut.
    pub n_boards: u64,
    /// Whether no order that takes one moulding after the other has fewer settings; `false` where the search for one reached its
    /// limit. A setting that two mouldings could share counts for each.
    pub is_fewest: bool,
}

/// Settings that follow each other for one moulding and miter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Batch {
    /// Index into `Job::mouldings`; `None` of plain wood.
    pub moulding_idx: Option<usize>,
    /// How both ends of its parts are cut.
    pub miter: Miter,
    /// Its settings, in order.
    pub settings: Vec<Setting>,
    /// Whether all batches of the moulding together have the fewest settings; as for [`SawOrder::is_fewest`].
    pub is_fewest: bool,
}

/// What is cut while the stop stays where it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Its number, from 1, through all batches.
    pub number: u64,
    /// What is read at the stop: the longest figure of its cuts. Rounded up to the step of the job, all of them are alike.
    pub stop: Length,
    /// What that measures.
    pub at: StopAt,
    /// The sticks to take, in the order of the plan, each once; never empty.
    pub sticks: Vec<Stick>,
    /// Cuts in all.
    pub n_cuts: u64,
    /// Pairs of opposite rails of one frame among them.
    pub n_pairs: u64,
}

/// A stick at a setting of the stop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stick {
    /// Position of the board in `Plan::boards`.
    pub board: usize,
    /// Position of the strip on its board.
    pub strip: usize,
    /// Which part of the strip, from 0, where it is cut at a defect first; `None` where it is one stick.
    pub run: Option<usize>,
    /// What is chalked on it.
    pub mark: StripMark,
    /// What is cut from it now, from the near end on; never empty.
    pub cuts: Vec<CutRef>,
}

/// A cut of the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CutRef {
    /// Position of the board in `Plan::boards`.
    pub board: usize,
    /// Position of the strip on its board.
    pub strip: usize,
    /// Position of the cut on its strip.
    pub cut: usize,
    /// What is chalked: `G-3`.
    pub label: CutLabel,
    /// What it makes.
    pub part: Part,
    /// Whether it lies end for end.
    pub turned: bool,
    /// Whether one slanting cut parts it from the cut before it on its strip.
    pub shares_cut: bool,
    /// The stretch before it that is left out for its defects, from the untrimmed near end: behind that its strip has a fresh
    /// end. See [`SawOrder::skip_before`].
    pub skips: Option<Run>,
}

/// A strip that is cut at defects first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Parted {
    /// Position of the board in `Plan::boards`.
    pub board: usize,
    /// Position of the strip on its board.
    pub strip: usize,
    /// What is chalked on it.
    pub mark: StripMark,
    /// Where to cut, from the near end of the strip: one stretch between each two parts, from and to, which is a defect.
    pub at: Vec<Run>,
}

impl Setting {
    /// All its cuts, stick by stick.
    pub fn cuts(&self) -> impl Iterator<Item = &CutRef> {
        self.sticks.iter().flat_map(|stick| &stick.cuts)
    }
}

impl SawOrder {
    /// All settings, batch by batch.
    pub fn settings(&self) -> impl Iterator<Item = &Setting> {
        self.batches.iter().flat_map(|batch| &batch.settings)
    }

    /// What is left out right before a cut for its defects, and is not cut away before all else.
    pub fn skip_before(&self, cut: &CutRef) -> Option<Run> {
        let is_parted = |&(from, to): &Run| {
            let mut own = self.parted.iter();
            own.any(|parted| {
                (parted.board, parted.strip) == (cut.board, cut.strip)
                    && parted
                        .at
                        .iter()
                        .any(|&(start, end)| from <= start && end <= to)
            })
        };
        cut.skips.filter(|skip| !is_parted(skip))
    }

    /// All cuts in the order by stop.
    pub fn by_stop(&self) -> impl Iterator<Item = &CutRef> {
        self.settings().flat_map(Setting::cuts)
    }
}

impl CutRef {
    /// Its cut in the plan.
    ///
    /// # Panics
    /// If it is none of `plan`.
    pub fn of(self, plan: &Plan) -> &Cut {
        &plan.boards[self.board].strips[self.strip].cuts[self.cut]
    }

    /// What the stop is set to for it, exactly.
    ///
    /// # Panics
    /// If it is none of `plan`.
    pub fn stop(self, plan: &Plan) -> StopFigure {
        let planned = &plan.boards[self.board];
        stop_figure(&plan.job, planned, self.strip, self.of(plan))
    }
}

/// The order of sawing for a plan. Cost: that of the search for the fewest settings, which has a limit for each moulding.
///
/// # Panics
/// Never, for a plan that was checked.
pub fn saw_order(plan: &Plan) -> SawOrder {
    let marks = plan.marks();
    // By moulding; plain wood comes last.
    let mut runs_of: BTreeMap<(bool, Option<usize>), Vec<ClearRun>> = BTreeMap::new();
    let mut by_board: Vec<(Option<usize>, Placed)> = Vec::new();
    for (board_at, board) in plan.boards.iter().enumerate() {
        for (strip_at, strip) in board.strips.iter().enumerate() {
            let moulding_idx = strip.moulding_idx;
            let runs = clear_runs(plan, &marks, board_at, strip_at);
            let cuts = runs.iter().flat_map(|run| &run.cuts);
            by_board.extend(cuts.map(|&placed| (moulding_idx, placed)));
            let moulding = (moulding_idx.is_none(), moulding_idx);
            runs_of.entry(moulding).or_default().extend(runs);
        }
    }
    let is_reset = |pair: &&[(Option<usize>, Placed)]| {
        let [one, next] = [&pair[0], &pair[1]];
        (one.0, one.1.key) != (next.0, next.1.key)
    };
    let n_resets = by_board.windows(2).filter(is_reset).count();
    let boards: BTreeSet<usize> = by_board
        .iter()
        .map(|(_, placed)| placed.cut.board)
        .collect();
    let mut order = SawOrder {
        n_board_by_board: count(n_resets) + u64::from(!by_board.is_empty()),
        by_board: by_board.iter().map(|(_, placed)| placed.cut).collect(),
        batches: Vec::new(),
        parted: Vec::new(),
        n_by_stop: 0,
        n_picked_up: 0,
        n_sticks: 0,
        n_boards: count(boards.len()),
        is_fewest: true,
    };
    for ((_, moulding_idx), runs) in runs_of {
        let found = by_stop(&plan.job, moulding_idx, runs);
        order.batches.extend(found.batches);
        order.parted.extend(found.parted);
        order.n_sticks += found.n_sticks;
        order.is_fewest &= found.is_fewest;
    }
    order
        .parted
        .sort_by_key(|parted| (parted.board, parted.strip));
    for (number, setting) in (1..).zip(
        order
            .batches
            .iter_mut()
            .flat_map(|batch| &mut batch.settings),
    ) {
        setting.number = number;
        order.n_by_stop = number;
        order.n_picked_up += count(setting.sticks.len());
    }
    order
}

/// A count of things in memory.
fn count(things: usize) -> u64 {
    u64::try_from(things).expect("a count in memory fits 64 bits")
}

#[cfg(test)]
mod tests;
