//! Which variables are basic.

use super::program::{Basic, Program};

/// The basic variable of each place, and for each row whether its unit variables are basic.
#[derive(Debug, Default)]
pub(super) struct Basis {
    places: Vec<Basic>,
    slack: Vec<bool>,
    artificial: Vec<bool>,
}

impl Basis {
    /// A place more, for the unit variable of a row more.
    pub(super) fn add_row(&mut self, unit: Basic) {
        self.slack.push(false);
        self.artificial.push(false);
        self.mark(unit, true);
        self.places.push(unit);
    }

    /// The basic variables by place.
    pub(super) fn places(&self) -> &[Basic] {
        &self.places
    }

    /// Takes up an earlier basis; rows added since get their own unit variable.
    pub(super) fn reset(&mut self, places: &[Basic], program: &Program) {
        self.slack.fill(false);
        self.artificial.fill(false);
        self.places.clear();
        self.places.extend_from_slice(places);
        let units = (places.len()..program.n_rows()).map(|row| program.unit_of(row));
        self.places.extend(units);
        for place in 0..self.places.len() {
            self.mark(self.places[place], true);
        }
    }

    /// Puts a variable into `place`.
    pub(super) fn put(&mut self, place: usize, basic: Basic) {
        self.mark(self.places[place], false);
        self.mark(basic, true);
        self.places[place] = basic;
    }

    pub(super) fn has_slack(&self, row: usize) -> bool {
        self.slack[row]
    }

    pub(super) fn has_artificial(&self, row: usize) -> bool {
        self.artificial[row]
    }

    fn mark(&mut self, basic: Basic, inside: bool) {
        match basic {
            Basic::Slack(row) => self.slack[row] = inside,
            Basic::Artificial(row) => self.artificial[row] = inside,
            Basic::Column(_) => {}
        }
    }
}
