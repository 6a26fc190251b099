//! What a way of buying comes to, and all of them side by side.

use crate::audit::check;
use crate::job::{Job, Way};
use crate::pipeline::Start;
use crate::plan::sheets::MaterialPlan;
use crate::plan::{Measure, Plan, Verdict};
use crate::stock::Board;

use super::woods::Wood;

/// A way of buying with its plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The way.
    pub way: Way,
    /// The job that the plan is of. Its boards have the indices of the compared job's, those left out being there
    /// with quantity 0; another yard's list has its own.
    pub job: Job,
    /// The plan, checked.
    pub plan: Plan,
    /// Proved: nothing bought in this way that cuts as many parts costs less. Of [`Way::AtMost`] it holds for every
    /// choice of as few lengths, not only the chosen ones.
    pub bound: i64,
}

impl Row {
    /// A way whose bound is that of its plan.
    pub(super) fn of(job: Job, way: Way, plan: Plan) -> Row {
        Row {
            way,
            job,
            bound: plan.lower_bound,
            plan,
        }
    }

    /// This way with the plan of another row, of which all parts are cut; `None` where it cannot be bought in this way.
    pub(super) fn with_plan_of(&self, other: &Row) -> Option<Row> {
        let boards = (&self.job.boards, &other.job.boards);
        let is_same = |(own, other)| is_same_board(own, other);
        if boards.0.len() != boards.1.len() || !boards.0.iter().zip(boards.1).all(is_same) {
            return None;
        }
        let plan = Plan {
            job: self.job.clone(),
            lower_bound: self.plan.lower_bound,
            missing_lower_bound: self.plan.missing_lower_bound,
            verdict: if self.plan.lower_bound == other.plan.value {
                Verdict::Optimal
            } else {
                self.plan.verdict
            },
            ..other.plan.clone()
        };
        check(&plan).is_empty().then(|| Row {
            way: self.way.clone(),
            job: self.job.clone(),
            bound: self.bound.min(plan.value),
            plan,
        })
    }

    /// Whether no plan bought in this way is better, by proof.
    pub fn is_proved(&self) -> bool {
        self.bound == self.plan.value
            && (self.is_complete() || self.plan.verdict == Verdict::Optimal)
    }

    /// Whether all parts are cut.
    pub fn is_complete(&self) -> bool {
        self.plan.missing.is_empty()
    }
}

/// Whether boards of two ways are the same ones, however many there are of them.
pub(super) fn is_same_board(one: &Board, other: &Board) -> bool {
    // Uncut it costs less, and gives more.
    (&one.name, one.length, one.price, &one.at_yard)
        == (&other.name, other.length, other.price, &other.at_yard)
}

/// Ways of buying side by side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Comparison {
    /// The woods of the job.
    pub woods: Vec<Wood>,
    /// The ways, the best mix first.
    pub rows: Vec<Row>,
    /// What is cut from sheets, in every way alike.
    pub materials: Vec<MaterialPlan>,
    /// Ways of a few lengths for which nothing was found that cuts all parts.
    pub not_found: Vec<Way>,
    /// The best mix's own plan, for others to begin with.
    pub(super) start: Start,
    /// Ways that were not looked at, or not to the end, as the search was to stop.
    pub not_tried: Vec<Way>,
}

impl Comparison {
    /// The best mix of the job's own boards.
    pub fn best_mix(&self) -> &Row {
        &self.rows[0]
    }

    /// Boards of the best mix's job that could be bought and serve no part.
    pub fn useless_boards(&self) -> impl Iterator<Item = &Board> {
        let boards = self.best_mix().job.boards.iter().enumerate();
        let job = &self.best_mix().job;
        boards
            .filter(|(idx, board)| job.supply(*idx) != Some(0) && board.in_hand.is_none())
            .filter(|(idx, _)| self.woods.iter().all(|wood| !wood.boards.contains(idx)))
            .map(|(_, board)| board)
    }

    /// What the best mix is measured in.
    pub fn measure(&self) -> Measure {
        self.best_mix().plan.measure
    }

    /// The cheapest open way that cuts all parts, the first of them; the best mix where there is none.
    pub fn best(&self) -> &Row {
        let mix = self.best_mix();
        self.rows
            .iter()
            .filter(|row| row.is_complete() && row.way.is_open())
            .filter(|row| row.plan.measure == mix.plan.measure)
            .min_by_key(|row| row.plan.value)
            .unwrap_or(mix)
    }

    /// How much more a row costs than [`Comparison::best`]; see [`Comparison::above`]. Only a way that is not open may
    /// cost less.
    pub fn difference(&self, row: &Row) -> Option<i64> {
        self.above(row, self.best())
    }

    /// How much more a row costs than another; `None` where they cannot be compared, because parts are missing or one
    /// counts money and the other length.
    pub fn above(&self, row: &Row, other: &Row) -> Option<i64> {
        (row.is_complete() && other.is_complete() && row.plan.measure == other.plan.measure)
            .then(|| row.plan.value - other.plan.value)
    }
}
