//! What is asked of the program at a node.

use super::super::knapsack::Clash;

/// What is asked for at a node, or what is left of it in a dive.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in super::super) struct NodeState {
    /// `demand[i]` pieces of item `i`, merged items included; items beyond the end are not wanted.
    pub(in super::super) demand: Vec<u32>,
    /// `supply[k]` boards of kind `k` may be used.
    pub(in super::super) supply: Vec<u32>,
    /// `loose[s]` strips of kind `s` are at hand, out of boards that a dive has taken.
    pub(in super::super) loose: Vec<u32>,
    /// Bounds on the number of boards of some sets of sources.
    pub(in super::super) sets: Vec<SetBound>,
    /// Pairs that no pattern may hold together.
    pub(in super::super) clashes: Vec<Clash>,
    /// Bounds on the use of single columns.
    pub(in super::super) caps: Vec<CapBound>,
}

/// Bounds on how often one column is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in super::super) struct CapBound {
    /// Index of the cap in the master.
    pub(in super::super) cap: usize,
    /// The column.
    pub(in super::super) column: usize,
    /// How often.
    pub(in super::super) number: Between,
}

/// Bounds on the number of boards of a set of sources.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in super::super) struct SetBound {
    /// Index of the set in the master.
    pub(in super::super) set: usize,
    /// How many boards.
    pub(in super::super) number: Between,
}

/// A lower and an upper bound on a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in super::super) struct Between {
    /// At least so many.
    pub(in super::super) least: u32,
    /// At most so many, or [`UNBOUNDED`].
    pub(in super::super) most: u32,
}

/// In a bound: no upper bound.
pub(in super::super) const UNBOUNDED: u32 = u32::MAX;

impl Between {
    /// No bounds.
    pub(super) const ANY: Between = Between {
        least: 0,
        most: UNBOUNDED,
    };

    /// At most so many.
    pub(in super::super) fn at_most(most: u32) -> Between {
        Between { least: 0, most }
    }

    /// At least so many.
    pub(in super::super) fn at_least(least: u32) -> Between {
        Between {
            least,
            most: UNBOUNDED,
        }
    }

    /// What is within both.
    pub(in super::super) fn and(self, other: Between) -> Between {
        Between {
            least: self.least.max(other.least),
            most: self.most.min(other.most),
        }
    }

    /// Whether no number is within.
    pub(in super::super) fn is_empty(self) -> bool {
        self.least > self.most
    }

    /// What is left to ask for when `number` have been taken.
    pub(in super::super) fn less(self, number: u32) -> Between {
        Between {
            least: self.least.saturating_sub(number),
            most: if self.most == UNBOUNDED {
                UNBOUNDED
            } else {
                self.most.saturating_sub(number)
            },
        }
    }
}

impl NodeState {
    /// Bounds the number of boards of a set of sources, besides what bounds it has; gives what is then asked of it.
    pub(in super::super) fn bound_set(&mut self, set: usize, number: Between) -> Between {
        if let Some(known) = self.sets.iter_mut().find(|known| known.set == set) {
            known.number = known.number.and(number);
            return known.number;
        }
        self.sets.push(SetBound { set, number });
        number
    }

    /// Bounds the use of a column, besides what bounds it has.
    pub(in super::super) fn bound_column(&mut self, cap: usize, column: usize, number: Between) {
        match self.caps.iter_mut().find(|known| known.cap == cap) {
            Some(known) => known.number = known.number.and(number),
            None => self.caps.push(CapBound {
                cap,
                column,
                number,
            }),
        }
    }
}
