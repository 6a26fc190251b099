//! The thread that plans, one thing after the other; what is newer goes before, and ends what is older.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use crate::cli::rest;
use crate::compare::{Comparison, Steer, compare, find_exchanges, find_reasons, plan_way};
use crate::job::{Job, Way};
use crate::page::{Compared, Found, Search, Work};
use crate::planfile::bench_text;
use crate::replan::{self, News};
use crate::report::way_words::find_way;
use crate::solve::{Control, Progress};

use super::cutting;
use super::session::Session;

/// A search tells no more often how far it is.
const PAUSE: Duration = Duration::from_millis(200);

/// What may be searched for, what goes first before the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Wanted {
    /// What follows at the bench.
    Replan,
    /// The plan of the job as it is now.
    Plan,
    /// The ways of buying.
    Ways,
}

/// What is to be searched for, and the stop of what is.
#[derive(Default)]
pub(super) struct Searcher {
    orders: Mutex<Orders>,
    more: Condvar,
}

#[derive(Default)]
struct Orders {
    wanted: BTreeSet<Wanted>,
    end: bool,
    /// Stops the search that runs.
    stop: Arc<AtomicBool>,
}

impl Searcher {
    fn orders(&self) -> MutexGuard<'_, Orders> {
        self.orders.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Searches for something from now on, and ends what is searched for, but for the sake of ways of buying, which can wait.
    pub(super) fn want(&self, wanted: Wanted) {
        let mut orders = self.orders();
        orders.wanted.insert(wanted);
        if wanted != Wanted::Ways {
            orders.stop.store(true, Ordering::Relaxed);
        }
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
            if let Some(next) = orders.wanted.pop_first() {
                orders.stop = Arc::default();
                return Some((next, Arc::clone(&orders.stop)));
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
                Wanted::Replan => replan(&session, &stop),
                Wanted::Ways => ways(&session, &stop),
            }
        }
    });
}

/// Tells something of the work that a search is for; nothing if that has become another.
fn tell(session: &Session, version: u64, way: Option<&str>, change: impl FnOnce(&mut Work)) {
    let is_same = |work: &Work| work.texts_version == version && work.way.as_deref() == way;
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
    let (version, name) = (work.texts_version, work.way.as_deref());
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
    let planned = Arc::new(planned);
    let first = Arc::new(Found::new(work, Arc::clone(&planned), None));
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
        let whole = Arc::new(Found::new(work, planned, Some(exchanges)));
        tell(&mut |work| work.answer.found = Some(Arc::clone(&whole)));
    }
}

/// Plans what follows at the bench anew, and has it written.
fn replan(session: &Session, stop: &AtomicBool) {
    let state = session.state();
    // Meanwhile another job may have been opened, or what asked for it taken back.
    let Some(work) = state.work.as_ref().filter(|work| work.replans) else {
        return;
    };
    let Some(cutting) = &work.cutting else {
        session.give_up("nothing is at the bench any more");
        return;
    };
    let Ok(at) = &cutting.bench else {
        session.give_up("what is at the bench cannot be read");
        return;
    };
    if !cutting.faults.is_empty() {
        session.give_up("what is marked in the list of cuts has errors");
        return;
    }
    if let Some(why_not) = rest::why_not(&at.bench, &at.now) {
        session.give_up(&why_not.to_string());
        return;
    }
    let measured = match cutting::measured(work, &work.measured) {
        Ok(measured) => measured,
        Err(why_not) => {
            session.give_up(&why_not);
            return;
        }
    };
    let news = News {
        marks: cutting.marks.clone(),
        job: at.has_changed.then(|| (at.now.clone(), work.texts.clone())),
        measured,
    };
    let stops = || stop.load(Ordering::Relaxed);
    let control = Control {
        stop: &stops,
        progress: &|_| {},
    };
    let rest = match replan::replan(&at.bench, &news, &control) {
        Ok(rest) => rest,
        Err(violations) => {
            let words: Vec<String> = violations.iter().map(ToString::to_string).collect();
            session.give_up(&format!(
                "longpoint made a plan that its own check rejects: {}",
                words.join("; ")
            ));
            return;
        }
    };
    let outputs = rest::outputs(&rest, bench_text(&rest), session.look);
    if !session.replanned(work, rest, outputs) {
        // Something was done meanwhile, which the next plan is to know.
        session.searcher.want(Wanted::Replan);
    }
}

/// Compares the ways of buying.
fn ways(session: &Session, stop: &AtomicBool) {
    let state = session.state();
    let Some((work, job)) = state
        .work
        .as_ref()
        .and_then(|work| Some((work, work.job.as_ref()?)))
    else {
        return;
    };
    let version = work.texts_version;
    let tell = |change: &mut dyn FnMut(&mut Work)| {
        let is_same = |work: &Work| work.texts_version == version;
        if session.state().work.as_ref().is_some_and(is_same) {
            session.tell(|state| {
                if let Some(work) = state.work.as_mut().filter(|work| is_same(work)) {
                    change(work);
                }
            });
        }
    };
    let job = job.beyond_bought().unwrap_or_else(|| Job::clone(job));
    let told = Mutex::new(Instant::now());
    let stops = || stop.load(Ordering::Relaxed);
    let progress = |done, of| {
        let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
        if told.elapsed() >= PAUSE {
            *told = Instant::now();
            tell(&mut |work| work.ways.runs = Some((done, of)));
        }
    };
    let steer = Steer {
        stop: &stops,
        progress: &progress,
    };
    let found = |comparison: &Comparison, reasons| {
        Arc::new(Compared {
            version,
            job: job.clone(),
            comparison: comparison.clone(),
            reasons,
        })
    };
    let known = work.compared().map(|found| found.comparison.clone());
    let comparison = match known {
        Some(comparison) => Some(comparison),
        // Stopped, as something else goes before; whoever looks asks again.
        None => compare(&job, &steer).ok().filter(|_| !stops()),
    };
    if let Some(comparison) = comparison {
        let first = found(&comparison, None);
        tell(&mut |work| work.ways.found = Some(Arc::clone(&first)));
        if let (Ok(reasons), false) = (find_reasons(&comparison, &steer), stops()) {
            let whole = found(&comparison, Some(reasons));
            tell(&mut |work| work.ways.found = Some(Arc::clone(&whole)));
        }
    }
    tell(&mut |work| work.ways.runs = None);
}
