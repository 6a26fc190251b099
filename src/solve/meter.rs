//! Counts work, so that limits are the same on every machine, and asks the caller now and then whether to stop.

use std::cell::Cell;

use crate::cutting::End;

use super::params::{BRIEF_WORK, FULL_WORK, LONG_WORK, MANY_WORK, POLL_EVERY, SHORT_WORK};

/// How much work a search may take, in the solver's own steps, so that it ends alike on every machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Share(u64);

impl Share {
    /// All that the solver allows itself: about a minute on one core.
    pub const FULL: Share = Share(FULL_WORK);
    /// For the one answer that others are measured by: some ten seconds.
    pub const LONG: Share = Share(LONG_WORK);
    /// For one answer among many: a second or two.
    pub const SHORT: Share = Share(SHORT_WORK);
    /// For all answers to one question together, where they are many: some five seconds on two cores.
    pub const MANY: Share = Share(MANY_WORK);
    /// For a trial: what is not decided then is asked for in another way.
    pub const BRIEF: Share = Share(BRIEF_WORK);

    /// So many steps of work; a million take about a millisecond.
    #[must_use]
    pub const fn steps(steps: u64) -> Share {
        Share(steps)
    }

    /// The number of steps.
    #[must_use]
    pub const fn work(self) -> u64 {
        self.0
    }
}

/// A counter of elementary steps (a cell of a table, a nonzero of a column) with the caller's stop condition.
///
/// Shared by reference, so the counts are cells.
pub(crate) struct Meter<'a> {
    stop: &'a dyn Fn() -> bool,
    work: Cell<u64>,
    next_poll: Cell<u64>,
    limit: u64,
    end: Cell<Option<End>>,
}

impl<'a> Meter<'a> {
    /// A fresh counter that ends the search after `share`.
    pub(crate) fn new(stop: &'a dyn Fn() -> bool, share: Share) -> Meter<'a> {
        Meter {
            stop,
            work: Cell::new(0),
            next_poll: Cell::new(0),
            limit: share.0,
            end: Cell::new(None),
        }
    }

    /// A counter for a part of the work, with its own limit; what it has counted is to be added to this one.
    pub(crate) fn part(&self, share: Share) -> Meter<'a> {
        Meter::new(self.stop, share)
    }

    /// Steps until the limit.
    pub(crate) fn left(&self) -> u64 {
        self.limit.saturating_sub(self.work.get())
    }

    /// Adds `steps` and tells whether to go on.
    pub(crate) fn spend(&self, steps: u64) -> bool {
        let work = self.work.get().saturating_add(steps);
        self.work.set(work);
        if self.end.get().is_some() {
            return false;
        }
        if work >= self.limit {
            self.end.set(Some(End::WorkLimit));
            return false;
        }
        if work >= self.next_poll.get() {
            self.next_poll.set(work + POLL_EVERY);
            if (self.stop)() {
                self.end.set(Some(End::Stopped));
                return false;
            }
        }
        true
    }

    /// Whether the search has been ended.
    pub(crate) fn halted(&self) -> bool {
        self.end.get().is_some()
    }

    /// Why the search has been ended, if it has.
    pub(crate) fn end(&self) -> Option<End> {
        self.end.get()
    }

    /// Steps counted so far.
    pub(crate) fn work(&self) -> u64 {
        self.work.get()
    }
}
