//! Remembers what is solved already, so that no component is solved twice.
//!
//! Instances that differ a little have most of their components in common.
//! Each component is solved by itself and kept under its whole content, so that what is found again is the same,
//! whichever instance asks for it.

use std::cell::Cell;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard};

use crate::cutting::{BoardUse, Component, End, Instance, Solution};

use super::dealt::{Search, deal};
use super::meter::{Meter, Share};
use super::{Control, Known, Progress, blocks, in_parallel, in_turn, put_together};

/// An instance to be solved with others.
#[derive(Clone, Copy, Debug)]
pub struct Task<'a> {
    /// The instance.
    pub instance: &'a Instance,
    /// Boards to begin with, as in [`Known::start`].
    pub start: &'a [BoardUse],
    /// How much work each component may take.
    pub share: Share,
}

/// What a component is asked for besides its content: a share of work, what a plan must cost less than, a start.
type Query = (Share, Option<i64>, Vec<BoardUse>);
/// Answers by the content of their components, each with what was asked.
type Answers = BTreeMap<Instance, Vec<(Query, Arc<Solution>)>>;

/// Solves instances and remembers their components.
///
/// A share of work is for each component. Answers carry a certificate only of a session that [keeps
/// proofs](Session::with_proofs).
///
/// No answer depends on which thread ends first: what [`Session::prepare`] solves is there for all that come after it;
/// what [`Session::solve`] solves, on any number of threads, is found again only by one that asks for just the same.
#[derive(Debug, Default)]
pub struct Session {
    /// What was prepared, with its share; it does not change while anything is solved from several threads.
    prepared: BTreeMap<Instance, (Share, Arc<Solution>)>,
    /// What was solved since.
    later: Mutex<Answers>,
    work: AtomicU64,
    keeps_proofs: bool,
}

impl Session {
    /// A session that knows nothing yet.
    #[must_use]
    pub fn new() -> Session {
        Session::default()
    }

    /// A session that knows nothing yet and will keep a certificate with each answer, which takes memory.
    #[must_use]
    pub fn with_proofs() -> Session {
        Session {
            keeps_proofs: true,
            ..Session::default()
        }
    }

    /// Work spent so far, in the steps of a [`Share`].
    pub fn work(&self) -> u64 {
        self.work.load(Ordering::Relaxed)
    }

    /// Solves the components of all `tasks` on all cores, the largest first, and remembers them for all that come after.
    ///
    /// Of a component that several tasks have, the first one's share and start count; no progress is told.
    ///
    /// # Panics
    /// As [`super::solve_knowing`].
    pub fn prepare(&mut self, tasks: &[Task<'_>], control: &Control<'_>) {
        let fresh = self.fresh(tasks, control);
        let quiet = control.quiet();
        let solved = in_parallel(&fresh, |search| self.run(search, search.most, &quiet).0);
        for (search, solved) in fresh.into_iter().zip(solved) {
            self.prepared.insert(search.instance, (search.most, solved));
        }
    }

    /// Solves the components of all `tasks` on all cores, with no more than `budget` for all of them together, and remembers
    /// them for all that come after.
    ///
    /// Each is given the same first, and what is left goes to those that come near a proof; none more at once than the share
    /// of its task. `open` is told how many components are open still, after each round.
    ///
    /// # Panics
    /// As [`super::solve_knowing`].
    pub fn prepare_within(
        &mut self,
        tasks: &[Task<'_>],
        budget: Share,
        control: &Control<'_>,
        open: &dyn Fn(usize),
    ) {
        let mut searches = self.fresh(tasks, control);
        let quiet = control.quiet();
        let run = |search: &Search, share: Share| self.run(search, share, &quiet);
        deal(&mut searches, budget, run, open);
        for search in searches {
            if let Some(solved) = search.solved {
                self.prepared
                    .insert(search.instance, (search.given, solved));
            }
        }
    }

    /// Remembers what another session found of a component with a share of work.
    pub fn recall(&mut self, own: &Instance, share: Share, solved: &Arc<Solution>) {
        let known = (share, Arc::clone(solved));
        self.prepared.entry(own.clone()).or_insert(known);
    }

    /// The components of `tasks` that are not known, the largest first. Of one that several tasks have, the first one's share
    /// and start count.
    fn fresh(&self, tasks: &[Task<'_>], control: &Control<'_>) -> Vec<Search> {
        let mut fresh: Vec<Search> = Vec::new();
        for task in tasks {
            for own in task.instance.components() {
                let is_new = fresh.iter().all(|known| known.instance != own.instance);
                if is_new && self.look_up(&own.instance, task.share, control).is_none() {
                    let start = own.lower(task.start);
                    fresh.push(Search::new(own.instance, task.share, start));
                }
            }
        }
        fresh.sort_by_key(|search| std::cmp::Reverse(size(&search.instance)));
        fresh
    }

    /// What a search comes to with so much work, and the work that it took.
    fn run(&self, search: &Search, share: Share, control: &Control<'_>) -> (Arc<Solution>, u64) {
        let known = Known {
            below: None,
            start: &search.start,
        };
        self.solve_component(&search.instance, share, &known, control)
    }

    /// Prepares all `tasks` and gives their solutions, in their order.
    ///
    /// # Panics
    /// As [`super::solve_knowing`].
    pub fn solve_all(&mut self, tasks: &[Task<'_>], control: &Control<'_>) -> Vec<Solution> {
        self.prepare(tasks, control);
        let solve = |task: &Task<'_>| {
            let known = Known {
                below: None,
                start: task.start,
            };
            self.solve(task.instance, &known, task.share, control)
        };
        tasks.iter().map(solve).collect()
    }

    /// Solves `instance`.
    ///
    /// With [`Known::below`], the answer may end as soon as its bound shows that it is of no use.
    ///
    /// # Panics
    /// As [`super::solve_knowing`].
    pub fn solve(
        &self,
        instance: &Instance,
        known: &Known<'_>,
        share: Share,
        control: &Control<'_>,
    ) -> Solution {
        let solved = self.solve_components(instance, known, share, control);
        let solved = solved.iter().map(|(own, solution)| (own, solution));
        let mut whole = put_together(instance, solved);
        whole.certificate = whole.certificate.filter(|_| self.keeps_proofs);
        whole
    }

    /// Solves `instance` as [`Session::solve`] does, and gives its components with their solutions, for one who makes
    /// something of each; [`Solution::of_components`] puts them together again.
    ///
    /// # Panics
    /// As [`super::solve_knowing`].
    pub fn solve_components(
        &self,
        instance: &Instance,
        known: &Known<'_>,
        share: Share,
        control: &Control<'_>,
    ) -> Vec<(Component, Arc<Solution>)> {
        let components = instance.components();
        // What is known goes first, so that a limit on the cost of the whole bites as early as it can.
        let prepared: Vec<Option<Arc<Solution>>> = components
            .iter()
            .map(|own| self.look_up(&own.instance, share, control))
            .collect();
        if known.below.is_none() {
            let fresh = components.iter().zip(&prepared);
            let fresh = fresh.filter(|(_, prepared)| prepared.is_none());
            let fresh: Vec<&Component> = fresh.map(|(own, _)| own).collect();
            let none = Progress { value: 0, bound: 0 };
            let known_ones = prepared.iter().flatten();
            let so_far = known_ones.fold(none, |all, own| all.and(own.cost, own.bound.cost));
            self.solve_side_by_side(&fresh, known.start, share, so_far, control);
        }
        // What was solved side by side is found again here.
        let solved = in_turn(
            &components,
            prepared,
            known,
            control,
            |own, known, control| self.solve_later(&own.instance, share, known, control),
        );
        components.into_iter().zip(solved).collect()
    }

    /// Solves components on all cores, the largest first, and remembers them; the progress told is that of all together.
    fn solve_side_by_side(
        &self,
        components: &[&Component],
        start: &[BoardUse],
        share: Share,
        before: Progress,
        control: &Control<'_>,
    ) {
        // Each with how often it is there.
        let mut fresh: Vec<(&Component, i64)> = Vec::new();
        for own in components {
            let known = fresh
                .iter_mut()
                .find(|(known, _)| known.instance == own.instance);
            match known {
                Some((_, copies)) => *copies += 1,
                None => fresh.push((own, 1)),
            }
        }
        if fresh.len() < 2 {
            return;
        }
        fresh.sort_by_key(|(own, _)| std::cmp::Reverse(size(&own.instance)));
        let so_far = Mutex::new(vec![Progress { value: 0, bound: 0 }; fresh.len()]);
        let tasks: Vec<(usize, (&Component, i64))> = fresh.into_iter().enumerate().collect();
        in_parallel(&tasks, |&(idx, (own, copies))| {
            let progress = |progress: Progress| {
                let mut so_far = locked(&so_far);
                so_far[idx] = Progress {
                    value: progress.value.saturating_mul(copies),
                    bound: progress.bound.saturating_mul(copies),
                };
                let all = so_far
                    .iter()
                    .fold(before, |all, own| all.and(own.value, own.bound));
                (control.progress)(all);
            };
            let control = Control {
                stop: control.stop,
                progress: &progress,
            };
            let start = own.lower(start);
            let known = Known {
                below: None,
                start: &start,
            };
            self.solve_later(&own.instance, share, &known, &control);
        });
    }

    /// Solves `instance` with what is prepared and with `share` for all else together, and tells the work that it took.
    ///
    /// It remembers nothing of it, so that the work is the same whatever was asked before.
    ///
    /// # Panics
    /// As [`super::solve_knowing`].
    pub fn try_out(
        &self,
        instance: &Instance,
        known: &Known<'_>,
        share: Share,
        control: &Control<'_>,
    ) -> (Solution, u64) {
        let components = instance.components();
        let prepared = components
            .iter()
            .map(|own| self.look_up(&own.instance, Share::steps(0), control));
        let prepared: Vec<Option<Arc<Solution>>> = prepared.collect();
        let spent = Cell::new(0);
        let solve = |own: &Component, known: &Known<'_>, control: &Control<'_>| {
            let left = Share::steps(share.work().saturating_sub(spent.get()));
            let (solved, work) = self.solve_component(&own.instance, left, known, control);
            spent.set(spent.get() + work);
            solved
        };
        let solved = in_turn(&components, prepared, known, control, solve);
        let whole = put_together(instance, components.iter().zip(&solved));
        (whole, spent.get())
    }

    /// What is prepared of a component: its proved answer, or one for which no less work was allowed.
    fn look_up(
        &self,
        own: &Instance,
        share: Share,
        control: &Control<'_>,
    ) -> Option<Arc<Solution>> {
        let (given, solved) = self.prepared.get(own)?;
        let is_enough = solved.end == End::Proved || *given >= share;
        (is_enough && is_whole(solved, control)).then(|| Arc::clone(solved))
    }

    /// The answer to a component that is not prepared.
    fn solve_later(
        &self,
        own: &Instance,
        share: Share,
        known: &Known<'_>,
        control: &Control<'_>,
    ) -> Arc<Solution> {
        let asked: Query = (share, known.below, known.start.to_vec());
        let find = |shelf: &Answers| {
            let mut answers = shelf.get(own)?.iter();
            let found =
                answers.find(|(given, solved)| *given == asked && is_whole(solved, control));
            found.map(|(_, solved)| Arc::clone(solved))
        };
        let found = find(&locked(&self.later));
        found.unwrap_or_else(|| {
            let (solved, _) = self.solve_component(own, share, known, control);
            let mut later = locked(&self.later);
            let answers = later.entry(own.clone()).or_default();
            answers.retain(|(given, _)| *given != asked);
            answers.push((asked, Arc::clone(&solved)));
            solved
        })
    }

    /// The answer to a component, and the work that it took.
    fn solve_component(
        &self,
        own: &Instance,
        share: Share,
        known: &Known<'_>,
        control: &Control<'_>,
    ) -> (Arc<Solution>, u64) {
        let stop = || (control.stop)();
        let meter = Meter::new(&stop, share);
        let mut solved = blocks::solve(own, known, &meter, control.progress);
        solved.certificate = solved.certificate.filter(|_| self.keeps_proofs);
        self.work.fetch_add(meter.work(), Ordering::Relaxed);
        (Arc::new(solved), meter.work())
    }
}

/// How large a component is, so that the largest are begun with.
fn size(own: &Instance) -> usize {
    own.items.len() * own.stocks.len()
}

/// Whether an answer is all that its share of work gives: one that was stopped serves only while the search is to stop.
fn is_whole(solved: &Solution, control: &Control<'_>) -> bool {
    solved.end != End::Stopped || (control.stop)()
}

fn locked<T>(shelf: &Mutex<T>) -> MutexGuard<'_, T> {
    shelf
        .lock()
        .expect("no task panics while it holds what others write to")
}
