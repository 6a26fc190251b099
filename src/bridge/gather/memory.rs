//! Gathers plans component by component, each only once.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use super::{any_parted, gather, on_rack, worth_beside_cost};
use crate::bridge::{Lowered, Origins, Place};
use crate::cutting::{BoardUse, Component, Instance, Solution};
use crate::job::Job;
use crate::length::Length;
use crate::plan::Gathered;
use crate::stock::Parting;

/// All that gathering a component depends on, besides what its boards cut.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Content {
    instance: Instance,
    /// Kerf and overlap of each item, and whether it is left.
    items: Vec<(Length, Length, bool)>,
    places: Vec<Vec<Vec<Place>>>,
    partings: Vec<Vec<Parting>>,
    /// Trim and shortest offcut.
    lengths: (Length, Length),
    long_offcuts: u32,
    /// Whether each stock lies on the rack.
    on_rack: Vec<bool>,
    /// What it is worth beside its cost.
    worth: Vec<i128>,
    /// Whether any board of the job has a defect or is cut at the yard, or any of the component may be resawn.
    any_parted: bool,
}

impl Content {
    fn of(job: &Job, instance: &Instance, origins: &Origins) -> Content {
        let items = origins.items.iter();
        Content {
            instance: instance.clone(),
            items: items
                .map(|item| (item.kerf_along, item.overlap, item.is_left))
                .collect(),
            places: origins.places.clone(),
            partings: origins.partings.clone(),
            lengths: (job.shop.end_trim, job.shop.shortest_offcut),
            long_offcuts: job.shop.long_offcuts,
            worth: worth_beside_cost(job, origins),
            on_rack: on_rack(job, origins),
            any_parted: any_parted(job, origins),
        }
    }
}

/// What was gathered, each with the boards before.
type Known = BTreeMap<Content, Vec<(Vec<BoardUse>, Arc<(Solution, Gathered)>)>>;

/// Leaves the wood in few, long pieces, and remembers the components for which it has done so.
#[derive(Debug, Default)]
pub struct Gatherer {
    known: Mutex<Known>,
}

impl Gatherer {
    /// The solution of `lowered` that those of its components make up, each gathered, with what is known of it.
    ///
    /// # Panics
    /// If these are not all components of `lowered`, each with a solution of it.
    pub fn gather(
        &self,
        lowered: &Lowered,
        solved: &[(Component, Arc<Solution>)],
    ) -> (Solution, Gathered) {
        let one = |(own, solution): &(Component, Arc<Solution>)| {
            self.gather_component(lowered, own, solution)
        };
        let gathered: Vec<Arc<(Solution, Gathered)>> = solved.iter().map(one).collect();
        let components = solved.iter().map(|(own, _)| own);
        let solutions = gathered.iter().map(|gathered| &gathered.0);
        let whole = Solution::of_components(&lowered.instance, components.zip(solutions));
        let is_best = whole.missing.iter().all(|&count| count == 0)
            && gathered.iter().all(|gathered| gathered.1 == Gathered::Best);
        let known = if is_best {
            Gathered::Best
        } else {
            Gathered::Unproved
        };
        (whole, known)
    }

    fn gather_component(
        &self,
        lowered: &Lowered,
        own: &Component,
        solution: &Solution,
    ) -> Arc<(Solution, Gathered)> {
        let origins = lowered.origins.of_component(own);
        let content = Content::of(&lowered.job, &own.instance, &origins);
        let locked = || {
            let known = self.known.lock();
            known.expect("no task panics while it holds what is gathered")
        };
        // What is proved is the solution's own, whichever was gathered first.
        let is_proved_as = |known: &Solution| {
            let proved = (&known.bound, known.end, &known.certificate);
            proved == (&solution.bound, solution.end, &solution.certificate)
        };
        let find = |known: &Known| {
            let mut all = known.get(&content)?.iter();
            let found = all
                .find(|(before, gathered)| *before == solution.boards && is_proved_as(&gathered.0));
            found.map(|(_, gathered)| Arc::clone(gathered))
        };
        let found = find(&locked());
        if let Some(found) = found {
            return found;
        }
        let gathered = gather(&lowered.job, &own.instance, &origins, solution.clone());
        let gathered = Arc::new(gathered);
        let entry = (solution.boards.clone(), Arc::clone(&gathered));
        locked().entry(content).or_default().push(entry);
        gathered
    }
}
