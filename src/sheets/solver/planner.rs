//! The whole way of a job: greedy plans, then fewest missing pieces where some are missing, then least cost.
#![expect(
    clippy::float_arithmetic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    reason = "the program's duals become values that only steer greedy plans"
)]

use crate::cutting::{Bound, End};
use crate::sheets::certificate::{Certificate, Node};
use crate::sheets::job::SheetJob;
use crate::sheets::plan::SheetPlan;
use crate::solve::meter::Meter;
use crate::solve::{Control, Progress};

use super::bound::Prices;
use super::columns::Pool;
use super::correction::Correction;
use super::loaded::{Loaded, Used, load};
use super::master::{Goal, Master};
use super::model::Model;
use super::params::{
    FIRST_PASSES, NODE_ROUNDS, REFILL_FROM, REFILL_PART, ROOT_PASSES, VALUE_SCALE,
};
use super::raise::{Laid, lay_out};
use super::sums::Sums;
use super::tree::{Searched, Tree, TreeNode, Watcher};

/// A job with the best plan so far.
pub(super) struct Planner<'a> {
    job: &'a SheetJob,
    model: &'a Model,
    meter: &'a Meter<'a>,
    control: &'a Control<'a>,
    best: Laid,
    /// The same before it was laid out; sheets may have changed places with others that cost as much.
    sheets: Vec<Loaded>,
    correction: Correction<'a>,
    /// Work that went into filling sheets anew.
    refill_work: u64,
    /// Pieces that fit no sheet.
    unplaced: u64,
    pool: Pool,
}

impl<'a> Planner<'a> {
    /// A start from the plan that cuts nothing.
    pub(super) fn new(
        job: &'a SheetJob,
        model: &'a Model,
        meter: &'a Meter<'a>,
        control: &'a Control<'a>,
    ) -> Planner<'a> {
        let unplaced = model
            .unplaced
            .iter()
            .map(|&item| u64::from(job.items()[item].demand));
        Planner {
            job,
            model,
            meter,
            control,
            best: lay_out(job, model, &[]),
            sheets: Vec::new(),
            correction: Correction::new(model, None),
            refill_work: 0,
            unplaced: unplaced.sum(),
            pool: Pool::default(),
        }
    }

    /// The plan with all that is proved of it.
    pub(super) fn plan(mut self) -> SheetPlan {
        self.correct(FIRST_PASSES, 0);
        let mut certificate = Certificate {
            missing: self.unplaced,
            ..Certificate::default()
        };
        if self.missing() > 0 {
            let searched = self.search(Goal::FewestMissing);
            certificate.missing += u64::try_from(searched.bound).unwrap_or(0);
            if searched.bound > 0 {
                certificate.missing_nodes = self.in_job(&searched);
            }
        }
        let missing = u32::try_from(self.missing()).expect("no more than all pieces");
        let searched = self.search(Goal::LeastCost { missing });
        certificate.cost = searched.bound;
        if searched.bound > 0 {
            certificate.cost_nodes = self.in_job(&searched);
        }
        let bound = Bound {
            missing_pieces: certificate.missing,
            cost: certificate.cost,
        };
        let value = Bound {
            missing_pieces: self.best.n_missing(),
            cost: self.best.cost,
        };
        let end = if bound == value {
            End::Proved
        } else {
            self.meter.end().unwrap_or(End::WorkLimit)
        };
        SheetPlan {
            sheets: self.best.sheets,
            missing: self.best.missing,
            cost: value.cost,
            bound,
            end,
            certificate,
        }
    }

    /// Pieces that are missing though they fit a sheet.
    fn missing(&self) -> u64 {
        self.best.n_missing() - self.unplaced
    }

    /// The value of the best plan in a goal.
    fn value(&self, goal: Goal) -> i64 {
        match goal {
            Goal::FewestMissing => i64::try_from(self.missing()).expect("no more than all pieces"),
            Goal::LeastCost { .. } => self.best.cost,
        }
    }

    /// Lays a plan out and keeps it if it is the best.
    fn keep(&mut self, sheets: Vec<Loaded>) {
        let laid = lay_out(self.job, self.model, &sheets);
        if (laid.n_missing(), laid.cost) < (self.best.n_missing(), self.best.cost) {
            self.best = laid;
            self.sheets = sheets;
        }
    }

    /// Passes of sequential value correction, while something cheaper than `bound` might be found; their columns are kept
    /// for the linear program.
    fn correct(&mut self, n_passes: u32, bound: i64) {
        for _ in 0..n_passes {
            if self.missing() == 0 && self.best.cost <= bound {
                break;
            }
            let left = self.model.items.iter().map(|item| item.demand).collect();
            let supply = self.model.kinds.iter().map(|kind| kind.limit).collect();
            let Some(greedy) = self.correction.pass(left, supply, i64::MAX, self.meter) else {
                break;
            };
            for column in greedy
                .sheets
                .iter()
                .flat_map(|sheet| sheet.columns(self.model))
            {
                self.pool.add(&column);
            }
            self.keep(greedy.sheets);
        }
    }

    /// Rounds of filling some sheets of the best plan anew, until it costs no more than `bound` or the rounds have taken
    /// their share of the work.
    fn refill(&mut self, n_rounds: u32, bound: i64) {
        for _ in 0..n_rounds {
            let before = self.meter.work();
            let may_take = before.saturating_sub(REFILL_FROM) / REFILL_PART;
            if self.best.cost <= bound || self.refill_work >= may_take {
                break;
            }
            let mut sheets = std::mem::take(&mut self.sheets);
            if self.correction.refill(&mut sheets, self.meter) {
                self.keep(sheets);
            } else {
                self.sheets = sheets;
            }
            self.refill_work += self.meter.work() - before;
        }
    }

    /// Searches for the best plan by a goal, and proves what it can.
    fn search(&mut self, goal: Goal) -> Searched {
        let sums = match goal {
            Goal::FewestMissing => Sums::of_pieces(),
            Goal::LeastCost { .. } => Sums::new(self.model, self.best.cost),
        };
        let model = self.model;
        let meter = self.meter;
        let mut master = Master::new(model, goal, &self.pool);
        let root = master.relax(&[], &sums, self.value(goal), meter);
        let is_cost = matches!(goal, Goal::LeastCost { .. });
        if is_cost && root.bound < self.best.cost && !meter.halted() {
            let values = (0..model.items.len())
                .map(|item| (master.item_dual(item) * VALUE_SCALE as f64) as i64);
            self.correction = Correction::new(model, Some(values.collect()));
            self.correct(ROOT_PASSES, root.bound);
            for column in self.pool.columns() {
                master.add(column);
            }
        }
        let mut teller = Teller {
            planner: self,
            goal,
            bound: 0,
        };
        Tree::search(&mut master, root, &sums, meter, &mut teller)
    }

    /// A proof in terms of the job.
    fn in_job(&self, searched: &Searched) -> Vec<Node> {
        let kerf = self.job.cutter().kerf;
        let node = |node: &TreeNode| match node {
            TreeNode::Split { split, under, over } => Node::Split {
                count: split.tally.in_job(self.model, kerf),
                at_most: split.at,
                under: *under,
                over: *over,
            },
            TreeNode::Leaf(prices) => self.leaf(prices),
        };
        searched.nodes.iter().map(node).collect()
    }

    /// The leaf of some prices.
    fn leaf(&self, prices: &Prices) -> Node {
        Node::Leaf {
            denominator: prices.denominator,
            prices: self.model.prices_in_job(&prices.items),
            conditions: prices.conditions.clone(),
        }
    }
}

/// Keeps the plans that a search finds, and tells how far it is.
struct Teller<'p, 'a> {
    planner: &'p mut Planner<'a>,
    goal: Goal,
    bound: i64,
}

impl Teller<'_, '_> {
    fn tell(&self) {
        if matches!(self.goal, Goal::LeastCost { .. }) {
            let progress = Progress {
                value: self.planner.best.cost,
                bound: self.bound,
            };
            (self.planner.control.progress)(progress);
        }
    }
}

impl Watcher for Teller<'_, '_> {
    fn offer(&mut self, used: &Used) {
        let before = self.best();
        let sheets = load(self.planner.model, used);
        self.planner.keep(sheets);
        if self.best() < before {
            self.tell();
        }
    }

    fn best(&self) -> i64 {
        self.planner.value(self.goal)
    }

    fn improve(&mut self, bound: i64) {
        if matches!(self.goal, Goal::LeastCost { .. }) {
            let before = self.best();
            self.planner.refill(NODE_ROUNDS, bound);
            if self.best() < before {
                self.tell();
            }
        }
    }

    fn bound(&mut self, bound: i64) {
        let bound = bound.min(self.best());
        if bound > self.bound {
            self.bound = bound;
            self.tell();
        }
    }
}
