//! Solves one component: first the missing pieces, then the cost.

use crate::cutting::{BoardUse, Bound, End, Instance, InstanceProof, Solution};

use super::branch::BranchAndPrice;
use super::certify::{ProofTree, certify};
use super::heuristic::greedy::{FillRule, first_fit_decreasing};
use super::meter::Meter;
use super::normalize::Normalized;
use super::params::OUT_OF_PROPORTION;
use super::problem::{BoardPlan, CutBoard, Problem, StockKind};
use super::tiers::{Found, by_tiers};
use super::{Known, Progress};

/// The answer for a normalized component.
struct Answer {
    /// The problem that the plan's columns refer to: the component's own, perhaps with an absent kind at the end.
    problem: Problem,
    /// The plan.
    plan: BoardPlan,
    /// Its cost in the component's unit, absent pieces free.
    cost: i64,
    /// No plan leaves less missing, by weight.
    missing_bound: u64,
    /// No plan with no more than `missing_bound` missing costs less.
    cost_bound: i64,
    /// Whether both values are proved.
    proved: bool,
    /// The tree behind the bound on missing pieces, where some are.
    missing_tree: Option<ProofTree>,
    /// The tree behind the bound on cost.
    tree: ProofTree,
    /// Boards of the program's solution at the root, and of what comes near to it.
    patterns: Vec<CutBoard>,
}

impl Answer {
    /// What was found of `problem` in two tiers of price, where nothing is missing.
    fn of(found: Found, problem: &Problem) -> Answer {
        Answer {
            problem: problem.clone(),
            cost: found.plan.cost,
            missing_bound: 0,
            cost_bound: found.bound,
            proved: found.bound >= found.plan.cost,
            plan: found.plan,
            missing_tree: None,
            tree: found.tree,
            patterns: Vec::new(),
        }
    }
}

/// What is asked of a search.
struct PlanAsked {
    /// Only plans below this cost are of interest.
    below: i64,
    /// No plan that lacks nothing costs less.
    floor: i64,
    /// Plans to begin with, or boards that make one with others.
    starts: Vec<Vec<(CutBoard, u32)>>,
}

/// What is known of a component by its blocks.
#[derive(Default)]
pub(super) struct Apart<'a> {
    /// No plan that lacks nothing costs less.
    pub(super) floor: i64,
    /// Their boards, of some of which there may be less than they take.
    pub(super) boards: &'a [BoardUse],
}

/// Solves a connected instance as one.
pub(super) fn solve_whole(
    instance: &Instance,
    known: &Known<'_>,
    apart: &Apart<'_>,
    meter: &Meter<'_>,
    progress: &dyn Fn(Progress),
) -> Solution {
    let mut normalized = Normalized::of(instance);
    if let Some(cost) = cost_without_dear(&normalized.problem, meter) {
        normalized.drop_dearer(cost);
    }
    let unit = normalized.cost_unit;
    let report = |value: i64, bound: i64| {
        progress(Progress {
            value: value.saturating_mul(unit),
            bound: bound.saturating_mul(unit),
        });
    };
    let in_units = |cost: i64| cost.div_euclid(unit) + i64::from(cost.rem_euclid(unit) > 0);
    let wanted = PlanAsked {
        below: known.below.map_or(i64::MAX, in_units),
        floor: in_units(apart.floor),
        starts: [known.start, apart.boards]
            .map(|boards| normalized.lower(boards))
            .into(),
    };
    let answer = solve_problem(&normalized.problem, &wanted, meter, &report);
    let (boards, missing) = normalized.raise(instance, &answer.problem, &answer.plan);
    let proof = certify(&normalized, answer.missing_tree.as_ref(), &answer.tree);
    let patterns = answer
        .patterns
        .iter()
        .filter_map(|board| normalized.raise_pattern(board))
        .collect();
    Solution {
        boards,
        missing,
        cost: answer.cost.saturating_mul(unit),
        bound: Bound {
            missing_pieces: answer
                .missing_bound
                .saturating_mul(normalized.weigh_one.into()),
            cost: answer.cost_bound.saturating_mul(unit),
        },
        end: if answer.proved {
            End::Proved
        } else {
            meter.end().unwrap_or(End::WorkLimit)
        },
        certificate: Some(InstanceProof { parts: vec![proof] }),
        patterns,
    }
}

/// The cost of a plan at hand, where some kind is out of proportion and that plan has none that dear.
fn cost_without_dear(problem: &Problem, meter: &Meter<'_>) -> Option<i64> {
    let costs = || {
        problem
            .kinds
            .iter()
            .map(|kind| kind.cost)
            .filter(|&cost| cost > 0)
    };
    let (cheapest, dearest) = (costs().min()?, costs().max()?);
    if dearest / OUT_OF_PROPORTION < cheapest {
        return None;
    }
    let supply: Vec<u32> = problem.kinds.iter().map(|kind| kind.limit).collect();
    let plans = [FillRule::CostPerFill, FillRule::CostPerBoard].map(|rule| {
        let (boards, _) = first_fit_decreasing(problem, &problem.demand, &supply, rule, meter);
        problem.plan_from(&boards)
    });
    let costs = plans.into_iter().flatten().map(|plan| plan.cost);
    costs.min().filter(|&cost| cost < dearest)
}

/// Solves a problem.
fn solve_problem(
    problem: &Problem,
    wanted: &PlanAsked,
    meter: &Meter<'_>,
    report: &dyn Fn(i64, i64),
) -> Answer {
    let supply: Vec<u32> = problem.kinds.iter().map(|kind| kind.limit).collect();
    let mut starts = Vec::new();
    for start in wanted.starts.iter().filter(|start| !start.is_empty()) {
        if problem.plan_from(start).is_some() {
            starts.push(start.clone());
            continue;
        }
        let (mut boards, demand, supply) = problem.part_from(start);
        let (more, left) =
            first_fit_decreasing(problem, &demand, &supply, FillRule::CostPerFill, meter);
        if left.iter().all(|&count| count == 0) {
            boards.extend(more);
            starts.push(boards);
        }
    }
    let mut short = None;
    for choice in [FillRule::CostPerFill, FillRule::CostPerBoard] {
        let (boards, left) = first_fit_decreasing(problem, &problem.demand, &supply, choice, meter);
        if left.iter().all(|&count| count == 0) {
            starts.push(boards);
        } else if short.is_none() {
            short = Some((boards, left));
        }
    }
    if starts.is_empty() {
        let (boards, left) = short.expect("a start is complete or short");
        let fewest = fewest_missing(problem, boards, &left, meter);
        if fewest.plan.cost > 0 {
            return cheapest_with_missing(problem, fewest, meter, report);
        }
        starts.push(fewest.plan.boards);
    }
    // A ceiling tells of the cost as a whole.
    if wanted.below == i64::MAX
        && let Some(found) = by_tiers(problem, &mut starts, meter, report)
    {
        return Answer::of(found, problem);
    }
    let mut search = BranchAndPrice::new(problem, meter, report);
    search.ceiling = wanted.below;
    search.bound = wanted.floor;
    for boards in &starts {
        search.offer(boards);
    }
    for (board, _) in wanted.starts.iter().flatten() {
        search.suggest(board);
    }
    search.run();
    let patterns = std::mem::take(&mut search.root_boards);
    let plan = search
        .incumbent
        .take()
        .expect("a complete start was offered");
    // Below a ceiling the search may end without deciding the plan that it was offered.
    let proved = search.bound >= plan.cost;
    Answer {
        problem: problem.clone(),
        cost: plan.cost,
        missing_bound: 0,
        cost_bound: search.bound,
        proved,
        plan,
        missing_tree: None,
        tree: ProofTree::of(&search),
        patterns,
    }
}

/// `problem` with a kind that leaves items out, at `cost` for each unit of weight and no more than `limit` of them.
fn with_absent(problem: &Problem, cost: i64, limit: Option<u32>) -> Problem {
    let mut extended = problem.clone();
    let all = problem
        .demand
        .iter()
        .zip(&problem.weights)
        .fold(0u32, |sum, (&demand, &weight)| {
            sum.saturating_add(demand.saturating_mul(weight))
        });
    extended.kinds.push(StockKind {
        cost,
        length: 0,
        limit: limit.unwrap_or(all),
        limited: limit.is_some(),
        layouts: Vec::new(),
        n_kept: 0,
        absent: true,
    });
    extended
}

/// What is known of the fewest missing pieces.
struct Fewest {
    /// The problem with free boards, and a kind that leaves items out.
    problem: Problem,
    plan: BoardPlan,
    bound: u64,
    tree: ProofTree,
}

/// The fewest missing pieces: boards are free, each item left out costs what it weighs.
fn fewest_missing(
    problem: &Problem,
    mut boards: Vec<(CutBoard, u32)>,
    left: &[u32],
    meter: &Meter<'_>,
) -> Fewest {
    let mut extended = with_absent(problem, 1, None);
    let absent = extended.kinds.len() - 1;
    for kind in &mut extended.kinds[..absent] {
        kind.cost = 0;
    }
    boards.extend(absent_columns(absent, left));
    let mut search = BranchAndPrice::new(&extended, meter, &|_, _| {});
    search.offer(&boards);
    search.run();
    let bound = u64::try_from(search.bound).unwrap_or(0);
    let tree = ProofTree::of(&search);
    let plan = search
        .incumbent
        .take()
        .expect("leaving out what is left is a plan");
    Fewest {
        problem: extended,
        plan,
        bound,
        tree,
    }
}

fn absent_columns(kind: usize, left: &[u32]) -> Vec<(CutBoard, u32)> {
    left.iter()
        .enumerate()
        .filter(|(_, count)| **count > 0)
        .map(|(item, &count)| {
            (
                CutBoard {
                    kind,
                    layout: 0,
                    counts: vec![(item, 1)],
                    parts: Vec::new(),
                },
                count,
            )
        })
        .collect()
}

/// The least cost with the fewest missing pieces, where not everything can be cut.
fn cheapest_with_missing(
    problem: &Problem,
    fewest: Fewest,
    meter: &Meter<'_>,
    report: &dyn Fn(i64, i64),
) -> Answer {
    let Fewest {
        problem: free,
        plan,
        bound,
        tree: missing_tree,
    } = fewest;
    let missing = u64::try_from(plan.cost).unwrap_or(0);
    let cost_of = |plan: &BoardPlan, kinds: &[StockKind]| -> i64 {
        let sum: i128 = plan
            .boards
            .iter()
            .filter(|(column, _)| !kinds[column.kind].absent)
            .map(|(column, times)| {
                i128::from(kinds[column.kind].cost_in(column.layout)) * i128::from(*times)
            })
            .sum();
        i64::try_from(sum).unwrap_or(i64::MAX)
    };
    if bound < missing {
        // The fewest missing pieces are not known for certain: no claim about cost can be made.
        let mut paid = free;
        for (kind, real) in paid.kinds.iter_mut().zip(&problem.kinds) {
            kind.cost = real.cost;
        }
        let cost = cost_of(&plan, &paid.kinds);
        return Answer {
            problem: paid,
            plan,
            cost,
            missing_bound: bound,
            cost_bound: 0,
            proved: false,
            missing_tree: Some(missing_tree),
            tree: ProofTree::of_nothing(),
            patterns: Vec::new(),
        };
    }
    let budget = with_absent(problem, 0, Some(u32::try_from(missing).unwrap_or(u32::MAX)));
    let mut starts = vec![plan.boards.clone()];
    if let Some(found) = by_tiers(&budget, &mut starts, meter, report) {
        return Answer {
            problem: budget,
            missing_bound: bound,
            missing_tree: Some(missing_tree),
            ..Answer::of(found, problem)
        };
    }
    let mut search = BranchAndPrice::new(&budget, meter, report);
    search.offer(&plan.boards);
    search.run();
    let proved = search.proved();
    let cost_bound = search.bound;
    let tree = ProofTree::of(&search);
    let plan = search
        .incumbent
        .take()
        .expect("the plan with the fewest missing pieces was offered");
    let cost = plan.cost;
    Answer {
        problem: budget,
        plan,
        cost,
        missing_bound: bound,
        cost_bound,
        proved,
        missing_tree: Some(missing_tree),
        tree,
        patterns: Vec::new(),
    }
}
