//! What is solved already, so that no part of a job is solved twice.
//!
//! An instance falls into parts that share no board; most ways of buying change one of them only.
//! Each part is solved by itself and written down under its whole content, so that what is found again is the same
//! part, whichever way asks for it, and an answer never depends on who asked first.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, MutexGuard};

use crate::cutting::{
    BoardUse, Bound, End, Instance, Item, Layout, Pattern, Solution, Stock, Strip,
};
use crate::job::Job;
use crate::pipeline::finish_gathered;
use crate::plan::{Gathered, Origins, Plan, Violation, gather, lower};
use crate::solve::{Control, Known, solve_knowing};

use super::threads::in_parallel;

/// How often the search for a part of the best mix may ask whether to stop, which it does after equal stretches of
/// work, so that it ends alike on every machine: some ten seconds on one core. `plan` alone has the solver's whole
/// limit.
const BEST_PATIENCE: u32 = 3_000;
/// The same for a part of one way among many: a second or two.
const ROW_PATIENCE: u32 = 400;
/// The same for a set of lengths under trial; what is not decided then is divided further, so little is lost.
const TRIAL_PATIENCE: u32 = 100;

/// How long to search, and for what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Effort {
    /// Questions to the stop condition before the search gives up.
    patience: u32,
    /// A plan that costs as much as this or more is of no use.
    cutoff: Option<i64>,
}

impl Effort {
    /// For the best mix.
    pub(super) const BEST: Effort = Effort {
        patience: BEST_PATIENCE,
        cutoff: None,
    };
    /// For one way of buying among many.
    pub(super) const ROW: Effort = Effort {
        patience: ROW_PATIENCE,
        cutoff: None,
    };

    /// For a way of which only what costs less than `cutoff` is of use.
    pub(super) fn row_below(cutoff: i64) -> Effort {
        Effort {
            cutoff: Some(cutoff),
            ..Effort::ROW
        }
    }

    /// For a set of lengths under trial.
    pub(super) fn trial(cutoff: Option<i64>) -> Effort {
        Effort {
            patience: TRIAL_PATIENCE,
            cutoff,
        }
    }
}

/// An instance to be solved.
pub(super) struct Task<'t> {
    /// The instance.
    pub(super) instance: &'t Instance,
    /// How long to search.
    pub(super) effort: Effort,
    /// A plan of it that is known, in its own terms; empty where there is none.
    pub(super) start: &'t [BoardUse],
}

/// Solved parts by their content.
pub(super) struct Ledger<'a> {
    stop: &'a (dyn Fn() -> bool + Sync),
    solved: Mutex<BTreeMap<Key, Arc<Solution>>>,
    /// Solved parts of which the wood is left in few pieces; of a part there is only one answer without a cutoff.
    gathered: Mutex<BTreeMap<Vec<i64>, Arc<Solution>>>,
}

/// The content of a part; what is not decided depends on the patience too, and else that is 0.
type Key = (u32, Vec<i64>);

impl<'a> Ledger<'a> {
    /// An empty ledger; `stop` ends every search.
    pub(super) fn new(stop: &'a (dyn Fn() -> bool + Sync)) -> Ledger<'a> {
        Ledger {
            stop,
            solved: Mutex::default(),
            gathered: Mutex::default(),
        }
    }

    /// Plans `job` and checks the plan from the job alone.
    ///
    /// # Errors
    /// The violations, where the check rejects the plan; that is a fault of the program, never of the job.
    pub(super) fn plan(&self, job: &Job, effort: Effort) -> Result<Plan, Vec<Violation>> {
        let (instance, origins) = lower(job);
        let (plan, _) = self.plan_lowered(job, (&instance, &origins), effort)?;
        Ok(plan)
    }

    /// The same of a job that is lowered already, with the solution behind the plan.
    ///
    /// # Errors
    /// As [`Ledger::plan`].
    pub(super) fn plan_lowered(
        &self,
        job: &Job,
        (instance, origins): (&Instance, &Origins),
        effort: Effort,
    ) -> Result<(Plan, Solution), Vec<Violation>> {
        let gathered = self.answer(instance, effort, |part, solved| {
            self.gather_part(job, origins, part, &solved)
        });
        // What is said of the leftover is not asked here.
        let gathered = (gathered, Gathered::Unproved);
        let (plan, solution, _) = finish_gathered(job, instance, origins, gathered)?;
        Ok((plan, solution))
    }

    /// Solves all parts of some instances on all cores, the largest first, so that they are known; the tasks must have
    /// no cutoff.
    ///
    /// Of a part that several instances have, the first one's start counts.
    pub(super) fn prepare(&self, tasks: &[Task<'_>]) {
        let mut parts: BTreeMap<Key, (Part, Effort, Vec<BoardUse>)> = BTreeMap::new();
        for task in tasks {
            for part in split(task.instance).0 {
                if self.look_up(&part.key, task.effort).is_some() {
                    continue;
                }
                let start = part.lower(task.start);
                let key = (task.effort.patience, part.key.clone());
                parts.entry(key).or_insert((part, task.effort, start));
            }
        }
        let mut parts: Vec<(Part, Effort, Vec<BoardUse>)> = parts.into_values().collect();
        parts.sort_by_key(|(part, ..)| std::cmp::Reverse(part.items.len() * part.stocks.len()));
        in_parallel(&parts, |(part, effort, start)| {
            self.solve_part(part, *effort, start)
        });
    }

    /// Solves `instance` part by part.
    ///
    /// With a cutoff, the answer may end as soon as its bound shows that it is of no use.
    pub(super) fn solve(&self, instance: &Instance, effort: Effort) -> Solution {
        self.answer(instance, effort, |_, solved| solved)
    }

    /// Solves `instance` part by part, and makes another answer of each part's.
    fn answer(
        &self,
        instance: &Instance,
        effort: Effort,
        better: impl Fn(&Part, Arc<Solution>) -> Arc<Solution>,
    ) -> Solution {
        let (parts, mut missing) = split(instance);
        let mut whole = Solution {
            boards: Vec::new(),
            missing: Vec::new(),
            cost: 0,
            bound: Bound {
                missing_pieces: instance
                    .items
                    .iter()
                    .zip(&missing)
                    .map(|(item, &count)| u64::from(item.pieces) * u64::from(count))
                    .sum(),
                cost: 0,
            },
            end: End::Proved,
            certificate: None,
        };
        // What is known goes first, so that a cutoff bites as early as it can.
        let known: Vec<Option<Arc<Solution>>> = parts
            .iter()
            .map(|part| self.look_up(&part.key, effort))
            .collect();
        let mut bound: i64 = known
            .iter()
            .flatten()
            .fold(0, |sum, part| sum.saturating_add(part.bound.cost));
        for (part, known) in parts.iter().zip(known) {
            let solved = if let Some(known) = known {
                known
            } else {
                let left = Effort {
                    cutoff: effort.cutoff.map(|cutoff| cutoff.saturating_sub(bound)),
                    ..effort
                };
                let solved = self.solve_part(part, left, &[]);
                bound = bound.saturating_add(solved.bound.cost);
                solved
            };
            part.add(&better(part, solved), &mut whole, &mut missing);
        }
        whole.missing = missing;
        whole
    }

    /// What is known of a part: its proved answer, or that of the best mix, or what was found with as much patience.
    fn look_up(&self, key: &[i64], effort: Effort) -> Option<Arc<Solution>> {
        let solved = self.lock();
        let find = |patience: u32| solved.get(&(patience, key.to_vec())).map(Arc::clone);
        find(0).or_else(|| find(effort.patience).filter(|_| effort.cutoff.is_none()))
    }

    /// A part's solution gathered, once for all that have the part.
    fn gather_part(
        &self,
        job: &Job,
        origins: &Origins,
        part: &Part,
        solved: &Arc<Solution>,
    ) -> Arc<Solution> {
        let own = part.origins(origins);
        let mut key = part.key.clone();
        let items = own.items.iter();
        key.extend(items.flat_map(|item| [item.kerf_along.nm(), item.overlap.nm()]));
        let lock = || {
            let gathered = self.gathered.lock();
            gathered.expect("no task panics while it holds the ledger")
        };
        if let Some(known) = lock().get(&key) {
            return Arc::clone(known);
        }
        let (solution, _) = gather(job, &part.instance, &own, Solution::clone(solved));
        let solution = Arc::new(solution);
        Arc::clone(lock().entry(key).or_insert(solution))
    }

    fn lock(&self) -> MutexGuard<'_, BTreeMap<Key, Arc<Solution>>> {
        self.solved
            .lock()
            .expect("no task panics while it holds the ledger")
    }

    fn solve_part(&self, part: &Part, effort: Effort, start: &[BoardUse]) -> Arc<Solution> {
        let questions = AtomicU32::new(0);
        let stopped_here = AtomicBool::new(false);
        let stop = || {
            if (self.stop)() {
                stopped_here.store(true, Ordering::Relaxed);
                return true;
            }
            questions.fetch_add(1, Ordering::Relaxed) >= effort.patience
        };
        let known = Known {
            below: effort.cutoff,
            start,
        };
        let control = Control {
            stop: &stop,
            progress: &|_| {},
        };
        let mut solution = solve_knowing(&part.instance, &known, &control);
        // The whole has none, so the parts need not keep theirs.
        solution.certificate = None;
        let cut_short = stopped_here.load(Ordering::Relaxed);
        if solution.end == End::Stopped && !cut_short {
            // Its own patience ended it: a limit on work, the same on every machine.
            solution.end = End::WorkLimit;
        }
        let solution = Arc::new(solution);
        // What is not proved depends on the patience. Only the best mix, which comes before all others, is kept for all
        // of them nevertheless; else an answer would depend on which caller was first.
        let is_for_all = solution.end == End::Proved || effort.patience == BEST_PATIENCE;
        if !cut_short && (is_for_all || effort.cutoff.is_none()) {
            let patience = if is_for_all { 0 } else { effort.patience };
            self.lock()
                .entry((patience, part.key.clone()))
                .or_insert_with(|| Arc::clone(&solution));
        }
        solution
    }
}

/// A part of an instance that shares no board with the rest, as an instance of its own.
struct Part {
    /// Indices of its items in the whole, rising.
    items: Vec<usize>,
    /// Indices of its stocks in the whole, rising.
    stocks: Vec<usize>,
    instance: Instance,
    /// All numbers of `instance`.
    key: Vec<i64>,
}

impl Part {
    /// Where its items and stocks come from, out of that of the whole.
    fn origins(&self, whole: &Origins) -> Origins {
        let stocks = self.stocks.iter();
        Origins {
            items: self
                .items
                .iter()
                .map(|&item| whole.items[item].clone())
                .collect(),
            board_indices: stocks
                .clone()
                .map(|&stock| whole.board_indices[stock])
                .collect(),
            places: stocks.map(|&stock| whole.places[stock].clone()).collect(),
            measure: whole.measure,
            is_complete: whole.is_complete,
        }
    }

    /// Those of `boards`, which are of the whole, that are of this part, in its own terms.
    fn lower(&self, boards: &[BoardUse]) -> Vec<BoardUse> {
        let pattern = |pattern: &Pattern| -> Option<Pattern> {
            let counts = pattern.counts.iter();
            let counts =
                counts.map(|&(item, count)| Some((self.items.binary_search(&item).ok()?, count)));
            Some(Pattern {
                counts: counts.collect::<Option<_>>()?,
            })
        };
        boards
            .iter()
            .filter_map(|board| {
                Some(BoardUse {
                    stock: self.stocks.binary_search(&board.stock).ok()?,
                    layout: board.layout,
                    patterns: board.patterns.iter().map(pattern).collect::<Option<_>>()?,
                    times: board.times,
                })
            })
            .collect()
    }

    /// Adds this part's solution to that of the whole.
    fn add(&self, solved: &Solution, whole: &mut Solution, missing: &mut [u32]) {
        for board in &solved.boards {
            let patterns = board.patterns.iter().map(|pattern| Pattern {
                counts: pattern
                    .counts
                    .iter()
                    .map(|&(item, count)| (self.items[item], count))
                    .collect(),
            });
            whole.boards.push(BoardUse {
                stock: self.stocks[board.stock],
                layout: board.layout,
                patterns: patterns.collect(),
                times: board.times,
            });
        }
        for (&item, &count) in self.items.iter().zip(&solved.missing) {
            missing[item] = count;
        }
        whole.cost = whole.cost.saturating_add(solved.cost);
        whole.bound.cost = whole.bound.cost.saturating_add(solved.bound.cost);
        whole.bound.missing_pieces += solved.bound.missing_pieces;
        whole.end = match (whole.end, solved.end) {
            (End::Stopped, _) | (_, End::Stopped) => End::Stopped,
            (End::WorkLimit, _) | (_, End::WorkLimit) => End::WorkLimit,
            (End::Proved, End::Proved) => End::Proved,
        };
    }
}

/// The parts of `instance`, and how many of each item are missing because no board in supply holds it.
fn split(instance: &Instance) -> (Vec<Part>, Vec<u32>) {
    let groups = connected(instance);
    let mut missing: Vec<u32> = instance.items.iter().map(|item| item.demand).collect();
    let parts = groups
        .into_iter()
        .map(|(items, stocks)| {
            for &item in &items {
                missing[item] = 0;
            }
            part(instance, items, stocks)
        })
        .collect();
    (parts, missing)
}

/// Items and stocks of each part, by the first item.
///
/// An item belongs to a stock that has a strip which may hold it and is long enough.
pub(super) fn connected(instance: &Instance) -> Vec<(Vec<usize>, Vec<usize>)> {
    let mut parent: Vec<usize> = (0..instance.items.len()).collect();
    let mut first_item: Vec<Option<usize>> = vec![None; instance.stocks.len()];
    let mut is_placed = vec![false; instance.items.len()];
    for (stock, first) in instance.stocks.iter().zip(&mut first_item) {
        if stock.supply == Some(0) {
            continue;
        }
        for &strip in stock.layouts.iter().flat_map(|layout| &layout.strips) {
            for &item in fitting(instance, &instance.strips[strip]) {
                is_placed[item] = true;
                let anchor = *first.get_or_insert(item);
                let (one, other) = (root(&mut parent, anchor), root(&mut parent, item));
                parent[one.max(other)] = one.min(other);
            }
        }
    }
    let mut groups: BTreeMap<usize, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
    for (item, _) in is_placed
        .iter()
        .enumerate()
        .filter(|(_, is_placed)| **is_placed)
    {
        let part = groups.entry(root(&mut parent, item)).or_default();
        part.0.push(item);
    }
    for (stock, first) in first_item.iter().enumerate() {
        if let Some(first) = first {
            groups
                .entry(root(&mut parent, *first))
                .or_default()
                .1
                .push(stock);
        }
    }
    groups.into_values().collect()
}

fn fitting<'i>(instance: &'i Instance, strip: &'i Strip) -> impl Iterator<Item = &'i usize> {
    strip
        .items
        .iter()
        .filter(|&&item| instance.items[item].size <= strip.capacity)
}

fn root(parent: &mut [usize], mut item: usize) -> usize {
    while parent[item] != item {
        parent[item] = parent[parent[item]];
        item = parent[item];
    }
    item
}

fn part(instance: &Instance, items: Vec<usize>, stocks: Vec<usize>) -> Part {
    let place = |item: usize| {
        items
            .binary_search(&item)
            .expect("all that fits a part's strips is of the part")
    };
    let mut strip_of: BTreeMap<usize, usize> = BTreeMap::new();
    let mut strips: Vec<Strip> = Vec::new();
    let mut own_stocks: Vec<Stock> = Vec::new();
    for &stock in &stocks {
        let stock = &instance.stocks[stock];
        let layouts = stock.layouts.iter().map(|layout| Layout {
            strips: layout
                .strips
                .iter()
                .map(|&strip| {
                    *strip_of.entry(strip).or_insert_with(|| {
                        let whole = &instance.strips[strip];
                        strips.push(Strip {
                            capacity: whole.capacity,
                            items: fitting(instance, whole).map(|&item| place(item)).collect(),
                        });
                        strips.len() - 1
                    })
                })
                .collect(),
        });
        own_stocks.push(Stock {
            cost: stock.cost,
            length: stock.length,
            supply: stock.supply,
            layouts: layouts.collect(),
        });
    }
    let own_items: Vec<Item> = items.iter().map(|&item| instance.items[item]).collect();
    let instance = Instance {
        items: own_items,
        strips,
        stocks: own_stocks,
    };
    let key = content(&instance);
    Part {
        items,
        stocks,
        instance,
        key,
    }
}

/// All numbers of an instance in a row; equal rows are equal instances.
fn content(instance: &Instance) -> Vec<i64> {
    let count = |n: usize| i64::try_from(n).expect("a count in memory fits 63 bits");
    let mut row = vec![count(instance.items.len()), count(instance.strips.len())];
    for item in &instance.items {
        row.extend([item.size, i64::from(item.demand), i64::from(item.pieces)]);
    }
    for strip in &instance.strips {
        row.extend([strip.capacity, count(strip.items.len())]);
        row.extend(strip.items.iter().map(|&item| count(item)));
    }
    for stock in &instance.stocks {
        row.extend([
            stock.cost,
            stock.length,
            stock.supply.map_or(-1, i64::from),
            count(stock.layouts.len()),
        ]);
        for layout in &stock.layouts {
            row.push(count(layout.strips.len()));
            row.extend(layout.strips.iter().map(|&strip| count(strip)));
        }
    }
    row
}
