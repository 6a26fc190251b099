//! Counts work, so that limits are the same on every machine, and asks the caller now and then whether to stop.

use std::cell::Cell;

use crate::cutting::End;

use super::params::{POLL_EVERY, WORK_LIMIT};

/// A counter of elementary steps (a cell of a table, a nonzero of a column) with the caller's stop condition.
///
/// Shared by reference, so the counts are cells.
pub(super) struct Meter<'a> {
    stop: &'a dyn Fn() -> bool,
    work: Cell<u64>,
    next_poll: Cell<u64>,
    limit: Cell<u64>,
    end: Cell<Option<End>>,
}

impl<'a> Meter<'a> {
    /// A fresh counter.
    pub(super) fn new(stop: &'a dyn Fn() -> bool) -> Meter<'a> {
        Meter {
            stop,
            work: Cell::new(0),
            next_poll: Cell::new(0),
            limit: Cell::new(WORK_LIMIT),
            end: Cell::new(None),
        }
    }

    /// Adds `steps` and tells whether to go on.
    pub(super) fn spend(&self, steps: u64) -> bool {
        let work = self.work.get().saturating_add(steps);
        self.work.set(work);
        if self.end.get().is_some() {
            return false;
        }
        if work >= self.limit.get() {
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
    pub(super) fn halted(&self) -> bool {
        self.end.get().is_some()
    }

    /// Why the search has been ended, if it has.
    pub(super) fn end(&self) -> Option<End> {
        self.end.get()
    }

    /// Steps counted so far.
    pub(super) fn work(&self) -> u64 {
        self.work.get()
    }
}
