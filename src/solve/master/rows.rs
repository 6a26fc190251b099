//! The rows of the master's program, and their right-hand sides for a node.

use super::super::lp::{Lp, Sense};
use super::super::problem::Problem;
use super::pool::ColumnSource;
use super::state::{Between, NodeState};
use super::{float, sources_of};

/// The two rows that bound a number of boards, or the use of a column.
#[derive(Clone, Copy, Debug)]
pub(super) struct BoundRows {
    pub(super) least: usize,
    pub(super) most: usize,
}

/// Which row of the program says what.
pub(super) struct MasterRows {
    /// Each item is cut as often as wanted.
    pub(super) item: Vec<usize>,
    /// No more boards of a kind are used than there are, where that is a limit.
    pub(super) supply: Vec<Option<usize>>,
    /// No more strips of a kind are cut than boards yield, where they yield any.
    pub(super) link: Vec<Option<usize>>,
    /// Sets of sources, with the rows that bound the number of their boards.
    pub(super) sets: Vec<(Vec<usize>, BoundRows)>,
    /// Columns with the rows that bound their use.
    caps: Vec<(usize, BoundRows)>,
    /// More boards than any plan has; a far larger number would cost the program its digits.
    no_limit: f64,
}

impl MasterRows {
    /// The rows of a problem, put into a program that has none.
    pub(super) fn new(problem: &Problem, sources: &[ColumnSource], lp: &mut Lp) -> MasterRows {
        let demand = problem.demand.iter();
        let item = demand.map(|&demand| lp.add_row(Sense::AtLeast, f64::from(demand), &[]));
        let item = item.collect();
        let kinds = problem.kinds.iter().enumerate();
        let supply = kinds.map(|(idx, kind)| {
            let own = sources_of(sources, idx);
            kind.limited
                .then(|| lp.add_row(Sense::AtMost, f64::from(kind.limit), &own))
        });
        let supply = supply.collect();
        let mut link = vec![None; problem.strips.len()];
        for (idx, source) in sources.iter().enumerate() {
            if let ColumnSource::Strip { strip } = *source {
                link[strip] = Some(lp.add_row(Sense::AtMost, 0.0, &[idx]));
            }
        }
        let items = problem.demand.iter().zip(&problem.weights);
        let pieces: u64 = items
            .map(|(&demand, &pieces)| u64::from(demand) * u64::from(pieces))
            .sum();
        MasterRows {
            item,
            supply,
            link,
            sets: Vec::new(),
            caps: Vec::new(),
            no_limit: float(i64::try_from(pieces.saturating_add(1)).unwrap_or(i64::MAX)),
        }
    }

    /// A row for an item more.
    pub(super) fn add_item(&mut self, lp: &mut Lp) {
        self.item.push(lp.add_row(Sense::AtLeast, 0.0, &[]));
    }

    /// The set of exactly these sources, with its rows made when it is new.
    pub(super) fn set_of(&mut self, sources: &[usize], lp: &mut Lp) -> usize {
        let known = self.sets.iter().position(|(own, _)| own == sources);
        known.unwrap_or_else(|| {
            let rows = self.bound_rows(sources, lp);
            self.sets.push((sources.to_vec(), rows));
            self.sets.len() - 1
        })
    }

    /// The cap of a column, with its rows made when it is new.
    pub(super) fn cap_of(&mut self, column: usize, lp: &mut Lp) -> usize {
        let known = self.caps.iter().position(|&(own, _)| own == column);
        known.unwrap_or_else(|| {
            let rows = self.bound_rows(&[], lp);
            lp.attach(rows.least, column);
            lp.attach(rows.most, column);
            self.caps.push((column, rows));
            self.caps.len() - 1
        })
    }

    fn bound_rows(&self, sources: &[usize], lp: &mut Lp) -> BoundRows {
        BoundRows {
            least: lp.add_row(Sense::AtLeast, 0.0, sources),
            most: lp.add_row(Sense::AtMost, self.no_limit, sources),
        }
    }

    /// Sets all right-hand sides for `state`.
    pub(super) fn set_sides(&self, state: &NodeState, lp: &mut Lp) {
        for (item, &row) in self.item.iter().enumerate() {
            let demand = state.demand.get(item).copied().unwrap_or(0);
            lp.set_side(row, f64::from(demand));
        }
        let supply = self.supply.iter().zip(&state.supply);
        let loose = self.link.iter().zip(&state.loose);
        for (row, &number) in supply.chain(loose) {
            if let Some(row) = *row {
                lp.set_side(row, f64::from(number));
            }
        }
        let mut bound = |rows: BoundRows, number: Option<Between>| {
            let Between { least, most } = number.unwrap_or(Between::ANY);
            lp.set_side(rows.least, f64::from(least));
            lp.set_side(rows.most, f64::from(most).min(self.no_limit));
        };
        for (idx, &(_, rows)) in self.sets.iter().enumerate() {
            let known = state.sets.iter().find(|known| known.set == idx);
            bound(rows, known.map(|known| known.number));
        }
        for (idx, &(_, rows)) in self.caps.iter().enumerate() {
            let known = state.caps.iter().find(|known| known.cap == idx);
            bound(rows, known.map(|known| known.number));
        }
    }
}
