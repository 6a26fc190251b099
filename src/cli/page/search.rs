//! The thread that plans, one thing after the other; what is newer goes before, and ends what is older.

use std::mem;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use crate::compare::{Steer, find_exchanges, plan_way};
use crate::job::Way;
use crate::page::{Found, Search, Work};
use crate::report::way_words::find_way;
use crate::solve::{Control, Progress};

use super::session::Session;

/// A search tells no more often how far it is.
const PAUSE: Duration = Duration::from_millis(200);

/// What may be searched for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Wanted {
    /// The plan of the job as it is now.
    Plan,
}

/// What is to be searched for, and the stop of what is.
#[derive(Default)]
pub(super) struct Searcher {
    orders: Mutex<Orders>,
    more: Condvar,
}

#[derive(Default)]
struct Orders {
    plan: bool,
    end: bool,
    /// Stops the search that runs.
    stop: Arc<AtomicBool>,
}

impl Searcher {
    fn orders(&self) -> MutexGuard<'_, Orders> {
        self.orders.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Searches for something from now on, and ends what is searched for.
    pub(super) fn want(&self, wanted: Wanted) {
        let mut orders = self.orders();
        match wanted {
            Wanted::Plan => orders.plan = true,
        }
        orders.stop.store(true, Ordering::Relaxed);
        drop(orders);
        self.more.notify_one();
    }

    /// Ends what is searched for with its best.
    pub(super) fn stop(&self) {
        self.orders().stop.store(true, Ordering::Relaxed);
    }

    /// Searches for nothing any more.
    pub(super) fn end(&self) {
        let mut orders = self.orders();
        orders.end = true;
        orders.stop.store(true, Ordering::Relaxed);
        drop(orders);
        self.more.notify_one();
    }

    /// Waits for the next thing to search for, with its stop; `None` at the end.
    fn next(&self) -> Option<(Wanted, Arc<AtomicBool>)> {
        let mut orders = self.orders();
        loop {
            if orders.end {
                return None;
            }
            if mem::take(&mut orders.plan) {
                orders.stop = Arc::default();
                return Some((Wanted::Plan, Arc::clone(&orders.stop)));
            }
            orders = self
                .more
                .wait(orders)
                .unwrap_or_else(PoisonError::into_inner);
        }
    }
}

/// Starts the thread, which ends with the session.
pub(super) fn start(session: &Arc<Session>) {
    let session = Arc::clone(session);
    thread::spawn(move || {
        while let Some((wanted, stop)) = session.searcher.next() {
            match wanted {
                Wanted::Plan => plan(&session, &stop),
            }
        }
    });
}

/// Tells something of the work that a search is for; nothing if that has become another.
fn tell(session: &Session, version: u64, way: Option<&str>, change: impl FnOnce(&mut Work)) {
    let is_same = |work: &Work| work.version == version && work.way.as_deref() == way;
    if session
        .state()
        .work
        .as_ref()
        .is_none_or(|work| !is_same(work))
    {
        return;
    }
    session.tell(|state| {
        if let Some(work) = state.work.as_mut().filter(|work| is_same(work)) {
            change(work);
        }
    });
}

/// Plans the job as it is now.
fn plan(session: &Session, stop: &AtomicBool) {
    let state = session.state();
    let Some((work, job)) = state
        .work
        .as_ref()
        .and_then(|work| Some((work, work.job.as_ref()?)))
    else {
        return;
    };
    let (version, name) = (work.version, work.way.as_deref());
    let tell =
        |change: &mut dyn FnMut(&mut Work)| tell(session, version, name, |work| change(work));
    let way = match name.map(|name| find_way(job, name)) {
        None => Way::BestMix,
        Some(Ok(way)) => way,
        Some(Err(_)) => {
            tell(&mut |work| work.answer.search = Search::NoPlan);
            return;
        }
    };
    let told = Mutex::new(Instant::now());
    let stops = || stop.load(Ordering::Relaxed);
    let progress = |Progress { value, bound }| {
        let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
        if told.elapsed() >= PAUSE {
            *told = Instant::now();
            let so_far = Some((value, bound));
            tell(&mut |work| work.answer.search = Search::Runs { so_far });
        }
    };
    let control = Control {
        stop: &stops,
        progress: &progress,
    };
    let planned = match plan_way(job, &way, &control) {
        Ok(Some(planned)) => planned,
        Ok(None) => {
            tell(&mut |work| work.answer.search = Search::NoPlan);
            return;
        }
        Err(violations) => {
            let words: Vec<String> = violations.iter().map(ToString::to_string).collect();
            tell(&mut |work| work.answer.search = Search::Rejected(words.clone()));
            return;
        }
    };
    let found = |planned, exchanges| {
        Arc::new(Found {
            version,
            way: work.way.clone(),
            texts: work.texts.clone(),
            planned,
            exchanges,
        })
    };
    let first = found(planned.clone(), None);
    tell(&mut |work| {
        work.answer.search = Search::Still;
        work.answer.found = Some(Arc::clone(&first));
    });
    let steer = Steer {
        stop: &stops,
        progress: &|_, _| {},
    };
    // Of a search that was stopped the papers say no less than the command does then.
    if let Ok(exchanges) = find_exchanges(planned.aside.to_buy(&planned.plan), &steer) {
        let whole = found(planned.clone(), Some(exchanges));
        tell(&mut |work| work.answer.found = Some(Arc::clone(&whole)));
    }
}
