//! Fills boards whose numbers are settled, with wood in place of cost as what is to be spared.
//!
//! When the numbers of all boards are whole and only patterns are fractional, every plan with these numbers costs the
//! same, so the program has no reason to spare wood, and a dive burns the little slack early.
//! Here the same boards are a problem of their own, in which a board costs as much as it holds: short boards are settled
//! by its program, the long ones filled by chance within a budget of reduced costs (`boards`), the last few by trying
//! all (`last`).
//! Where that fails the program settles more of the boards, and chance is asked anew.
#![expect(
    clippy::float_arithmetic,
    reason = "values only steer the choice of patterns; plans are checked in integers"
)]
#![expect(clippy::cast_precision_loss, reason = "capacities as values only")]

mod boards;
mod last;

use super::super::draw::Draw;
use super::super::master::{Ask, ColumnSource, Master, NodeState, Outcome};
use super::super::meter::Meter;
use super::super::params::{
    CAPACITY_COST, DIVE_ROUNDS, FILL_FEWER, FILL_LEFT, FILL_SHARE, INTEGRAL_WITHIN, LEAST_BUDGET,
    MAX_ROUNDS, SHORT_BOARD,
};
use super::super::problem::{CutBoard, Problem, StockKind};
use super::super::taken::TakenBoards;
use super::dive::{fix, whole_part};
use boards::{Boards, Sort};

/// Boards of one kind, divided in one way into a single strip, of which there are so many.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) struct SettledBoards {
    /// Index of the kind.
    pub(in super::super) kind: usize,
    /// Index of the layout within the kind.
    pub(in super::super) layout: usize,
    /// The strip that the board is.
    pub(in super::super) strip: usize,
    /// How many; 1 or more.
    pub(in super::super) number: u32,
}

/// How much is done for a fill.
#[derive(Clone, Copy, Debug)]
pub(in super::super) struct Effort {
    /// Steps of work, about.
    pub(in super::super) work: u64,
    /// How often the same boards were tried before; each time the draws differ, and what is left to them.
    pub(in super::super) turn: u32,
}

/// Looks for patterns by which exactly these boards hold all that is wanted.
///
/// `known` are patterns to begin with, each with the index of its entry in `settled`.
/// `None` where none were found, which proves nothing.
pub(in super::super) fn fill(
    problem: &Problem,
    settled: &[SettledBoards],
    known: &[(usize, Vec<(usize, u32)>)],
    meter: &Meter<'_>,
    effort: Effort,
) -> Option<Vec<(CutBoard, u32)>> {
    let derived = by_capacity(problem, settled)?;
    let mut filling = Filling::new(&derived, settled, known);
    let boards = filling.run(meter, effort)?;
    let back = |(board, times): (CutBoard, u32)| {
        let own = settled[board.kind];
        let board = CutBoard {
            kind: own.kind,
            layout: own.layout,
            ..board
        };
        (board, times)
    };
    Some(boards.into_iter().map(back).collect())
}

/// The problem in which the settled boards are all there are, and cost what they hold.
fn by_capacity(problem: &Problem, settled: &[SettledBoards]) -> Option<Problem> {
    let capacity = |own: &SettledBoards| problem.strips[own.strip].capacity;
    let longest = settled.iter().map(capacity).max()?.max(1);
    let kinds = settled.iter().map(|own| {
        let cost = i128::from(capacity(own)) * i128::from(CAPACITY_COST) / i128::from(longest);
        StockKind {
            cost: i64::try_from(cost).unwrap_or(CAPACITY_COST).max(1),
            length: 0,
            limit: own.number,
            limited: true,
            layouts: vec![vec![own.strip]],
            n_kept: 0,
            absent: false,
        }
    });
    Some(Problem {
        kinds: kinds.collect(),
        besides: 0,
        ..problem.clone()
    })
}

/// The problem on its way to a plan.
struct Filling<'p> {
    problem: &'p Problem,
    master: Master<'p>,
    /// What is left to be cut, and from what.
    left: NodeState,
    taken: TakenBoards,
    /// Cost of what was taken.
    fixed: i64,
    /// Cost of all the boards.
    most: i64,
    /// Whether boards of a kind are so short that few patterns fill them.
    is_short: Vec<bool>,
}

impl<'p> Filling<'p> {
    fn new(
        problem: &'p Problem,
        settled: &[SettledBoards],
        known: &[(usize, Vec<(usize, u32)>)],
    ) -> Filling<'p> {
        let mut master = Master::new(problem);
        for (kind, counts) in known {
            master.add_board(&CutBoard {
                kind: *kind,
                layout: 0,
                counts: counts.clone(),
                parts: Vec::new(),
            });
        }
        let costs = problem.kinds.iter().zip(settled);
        let most = costs
            .map(|(kind, own)| kind.cost * i64::from(own.number))
            .sum();
        let is_short = problem.kinds.iter();
        let is_short = is_short
            .map(|kind| kind.cost * SHORT_BOARD.1 < CAPACITY_COST * SHORT_BOARD.0)
            .collect();
        Filling {
            problem,
            left: master.root(),
            master,
            taken: TakenBoards::default(),
            fixed: 0,
            most,
            is_short,
        }
    }

    fn run(&mut self, meter: &Meter<'_>, effort: Effort) -> Option<Vec<(CutBoard, u32)>> {
        let root = self.left.clone();
        self.master.enter(&root, None);
        if !self.relax(MAX_ROUNDS, meter) {
            return None;
        }
        for keep in FILL_LEFT {
            let (parts, tries) = FILL_FEWER;
            let keep = keep.map(|keep| keep - keep / parts * (effort.turn % tries));
            let before = self.n_left();
            if !self.settle(keep.unwrap_or(u32::MAX), meter) {
                return None;
            }
            if keep.is_some() && self.n_left() == before {
                continue;
            }
            if !self.relax(MAX_ROUNDS, meter) {
                return None;
            }
            if self.left.demand.iter().all(|&count| count == 0) {
                return std::mem::take(&mut self.taken).into_boards(self.problem);
            }
            if let Some(boards) = self.by_chance(meter, effort) {
                return Some(boards);
            }
        }
        None
    }

    /// How many boards are left.
    fn n_left(&self) -> u32 {
        self.left.supply.iter().sum()
    }

    /// Solves what is left; tells whether the boards left may hold it.
    fn relax(&mut self, max_rounds: usize, meter: &Meter<'_>) -> bool {
        let ask = Ask {
            fixed: self.fixed,
            cutoff: self.most + 1,
            max_rounds,
            settle: false,
            at_node: false,
        };
        let relaxed = self.master.relax(&self.left, ask, meter);
        let may_fit = relaxed.value <= self.most as f64 + INTEGRAL_WITHIN;
        !meter.halted() && !relaxed.short && relaxed.outcome != Outcome::Pruned && may_fit
    }

    /// Takes patterns of the program for short boards, and for others until no more than `keep` boards are left.
    fn settle(&mut self, keep: u32, meter: &Meter<'_>) -> bool {
        loop {
            let is_crowded = self.n_left() > keep;
            let open = self.master.primal().into_iter().filter(|&(column, value)| {
                let kind = self.kind_of(column);
                let is_due = kind.is_some_and(|kind| is_crowded || self.is_short[kind]);
                is_due
                    && value > INTEGRAL_WITHIN
                    && !self.master.columns()[column].counts.is_empty()
            });
            let open: Vec<(usize, f64)> = open.collect();
            let Some(&largest) = open.iter().max_by(|one, other| one.1.total_cmp(&other.1)) else {
                return true;
            };
            let mut moved = false;
            for &(column, value) in &open {
                let is_short = self.kind_of(column).is_some_and(|kind| self.is_short[kind]);
                let room = if is_short {
                    u32::MAX
                } else {
                    self.n_left().saturating_sub(keep)
                };
                moved |= self.take(column, whole_part(value).min(room));
            }
            if !moved && !self.take(largest.0, 1) {
                return false;
            }
            let left = self.left.clone();
            if !self.master.narrow(&left, meter) || !self.relax(DIVE_ROUNDS, meter) {
                return false;
            }
        }
    }

    fn kind_of(&self, column: usize) -> Option<usize> {
        self.master.source_of(column).kind()
    }

    fn take(&mut self, column: usize, times: u32) -> bool {
        let Filling {
            left,
            taken,
            fixed,
            master,
            ..
        } = self;
        times > 0 && fix(left, column, times, taken, fixed, master)
    }

    /// Fills the boards left by chance, again and again, for a stage's part of the work.
    fn by_chance(&self, meter: &Meter<'_>, effort: Effort) -> Option<Vec<(CutBoard, u32)>> {
        let items: Vec<usize> = (0..self.problem.n_items())
            .filter(|&item| self.left.demand[item] > 0)
            .collect();
        let duals = self.master.item_duals();
        let unit = self.problem.dearest() as f64;
        let kinds: Vec<usize> = (0..self.problem.kinds.len())
            .filter(|&kind| self.left.supply[kind] > 0)
            .collect();
        let sorts = kinds.iter().map(|&kind| {
            let strip = self.problem.strips[self.problem.kinds[kind].layouts[0][0]];
            let group = &self.problem.groups[strip.group];
            Sort {
                capacity: strip.capacity,
                number: self.left.supply[kind],
                price: self.problem.kinds[kind].cost as f64 / unit - self.master.supply_dual(kind),
                fits: items.iter().map(|item| group.contains(item)).collect(),
            }
        });
        let mut boards = Boards::new(
            items.iter().map(|&item| self.problem.sizes[item]).collect(),
            items.iter().map(|&item| duals[item]).collect(),
            sorts.collect(),
            Draw::from_turn(effort.turn),
            meter,
        );
        let demand: Vec<u32> = items.iter().map(|&item| self.left.demand[item]).collect();
        let budget = boards.budget(&demand);
        if budget < LEAST_BUDGET {
            return None;
        }
        let end = meter.work() + effort.work / FILL_SHARE;
        while meter.work() < end && !meter.halted() {
            let Some(filled) = boards.attempt(&demand, budget) else {
                continue;
            };
            let mut taken = self.taken.clone();
            for (sort, pattern) in filled {
                let kind = kinds[sort];
                let mut counts = Vec::new();
                for own in pattern {
                    crate::cutting::add_count(&mut counts, items[own], 1);
                }
                let source = ColumnSource::Whole {
                    kind,
                    layout: 0,
                    strip: self.problem.kinds[kind].layouts[0][0],
                };
                taken.add(&source, counts, 1);
            }
            return taken.into_boards(self.problem);
        }
        None
    }
}

#[cfg(test)]
mod tests;
