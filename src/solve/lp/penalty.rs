//! What a bound on the number of boards would cost at least, as far as the columns at hand tell.
//!
//! # Source
//! N. J. Driebeek, An algorithm for the solution of mixed integer programming problems, Management Science 12 (1966);
//! J. A. Tomlin, An improved branch-and-bound method for integer programming, Operations Research 19 (1971).

use super::super::params::UNMOVED;
use super::Lp;
use super::program::Basic;

impl Lp {
    /// By how much the value rises for each unit by which the total use of some kinds of column is pressed below, and
    /// above, what it is in the solution just found; infinite where no column at hand can move it.
    ///
    /// `is_member` tells by kind; a column counts with its weight.
    pub(crate) fn rates(&mut self, is_member: &[bool]) -> (f64, f64) {
        let places = self.basis.places().iter();
        let members: Vec<f64> = places
            .map(|&basic| self.program.weight_within(basic, is_member))
            .collect();
        let row = self.inverse.by(&members);
        let (mut down, mut up) = (f64::INFINITY, f64::INFINITY);
        // One more of a variable takes `taken` off the total.
        let mut consider = |reduced: f64, taken: f64| {
            if taken > UNMOVED {
                down = down.min(reduced.max(0.0) / taken);
            } else if taken < -UNMOVED {
                up = up.min(reduced.max(0.0) / -taken);
            }
        };
        for (at, &entry) in row.iter().enumerate() {
            if !self.basis.has_slack(at) {
                let slack = self.program.sense(at).slack();
                consider(-slack * self.y[at], slack * entry);
            }
        }
        self.fill_row(&row);
        for slot in 0..self.live.len() {
            let reduced = self.live.reduced[slot];
            if reduced < f64::INFINITY {
                let column = Basic::Column(self.live.columns[slot]);
                let own = self.program.weight_within(column, is_member);
                consider(reduced, self.live.entries[slot] - own);
            }
        }
        (down, up)
    }
}
