//! What a bound on the number of boards would cost at least, as far as the columns at hand tell.
//!
//! # Source
//! N. J. Driebeek, An algorithm for the solution of mixed integer programming problems, Management Science 12 (1966);
//! J. A. Tomlin, An improved branch-and-bound method for integer programming, Operations Research 19 (1971).

use super::{Basic, Lp};

impl Lp {
    /// By how much the value rises for each unit by which the total use of some kinds of column is pressed below, and
    /// above, what it is in the solution just found; infinite where no column at hand can move it.
    ///
    /// `is_member` tells by kind; a column counts with its weight.
    pub(in super::super) fn rates(&mut self, is_member: &[bool]) -> (f64, f64) {
        let members: Vec<f64> = self
            .basis
            .iter()
            .map(|&basic| match basic {
                Basic::Column(column) if is_member[self.column_kind[column] as usize] => {
                    self.column_weight[column]
                }
                _ => 0.0,
            })
            .collect();
        let row = self.inverse.by(&members);
        let (mut down, mut up) = (f64::INFINITY, f64::INFINITY);
        // One more of a variable takes `taken` off the total.
        let mut consider = |reduced: f64, taken: f64| {
            if taken > SMALLEST {
                down = down.min(reduced.max(0.0) / taken);
            } else if taken < -SMALLEST {
                up = up.min(reduced.max(0.0) / -taken);
            }
        };
        for (at, &entry) in row.iter().enumerate() {
            if !self.slack_basic[at] {
                let slack = self.rows[at].sense.slack();
                consider(-slack * self.y[at], slack * entry);
            }
        }
        self.fill_row(&row);
        for slot in 0..self.live.len() {
            let reduced = self.live.reduced[slot];
            if reduced < f64::INFINITY {
                let own = if is_member[self.live.kinds[slot] as usize] {
                    self.live.weights[slot]
                } else {
                    0.0
                };
                consider(reduced, self.live.entries[slot] - own);
            }
        }
        (down, up)
    }
}

/// A smaller entry does not move the total.
const SMALLEST: f64 = 1e-7;
