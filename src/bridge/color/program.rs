//! The integer program of a deal, through a general solver.
//!
//! It computes in floats; whoever asks counts anew what it answers.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

use ::microlp::SolveOptions;
use good_lp::solvers::microlp::MicroLpProblem;
use good_lp::{Expression, ProblemVariables, SolverModel as _, Variable, microlp, variable};

/// Frames that deal slots among themselves.
#[derive(Clone, Debug)]
pub(super) struct Asked {
    /// `free[g][b]`: slots of group `g` on board `b` that they may have, none of them 0.
    pub(super) free: Vec<BTreeMap<usize, u32>>,
    /// What each needs of each group.
    pub(super) needs: Vec<BTreeMap<usize, u32>>,
    /// The fewest boards from which each can come.
    pub(super) least: Vec<usize>,
    /// Only fewer pairs of a frame and a board are of interest.
    pub(super) below: usize,
}

impl Asked {
    /// Places of each frame: a group and a board, in a fixed order.
    fn places(&self) -> impl Iterator<Item = (usize, usize, usize)> {
        self.needs
            .iter()
            .enumerate()
            .flat_map(move |(frame, needs)| {
                let of_group = move |&group: &usize| {
                    let boards = self.free[group].keys();
                    boards.map(move |&board| (frame, group, board))
                };
                needs.keys().flat_map(of_group)
            })
    }

    /// Number of variables `x`.
    pub(super) fn n_places(&self) -> usize {
        self.places().count()
    }
}

/// What each frame gets of each group on each board.
type Given = Vec<BTreeMap<(usize, usize), u32>>;

/// A deal of fewer pairs, if the search finds one within `most_nodes`, and the nodes that it took.
///
/// A fault of the solver is no answer: it must not cost the plan.
pub(super) fn fewer(asked: &Asked, most_nodes: usize) -> (Option<Given>, usize) {
    let solved = catch_unwind(AssertUnwindSafe(|| solve(asked, most_nodes)));
    solved.unwrap_or((None, most_nodes))
}

fn solve(asked: &Asked, most_nodes: usize) -> (Option<Given>, usize) {
    let mut variables = ProblemVariables::new();
    let mut amounts: BTreeMap<(usize, usize, usize), Variable> = BTreeMap::new();
    // In the order in which they are added, as the answer has them.
    let places: Vec<(usize, usize, usize)> = asked.places().collect();
    for &(frame, group, board) in &places {
        let most = asked.needs[frame][&group].min(asked.free[group][&board]);
        let amount = variable().integer().min(0).max(most);
        amounts.insert((frame, group, board), variables.add(amount));
    }
    let mut uses: BTreeMap<(usize, usize), Variable> = BTreeMap::new();
    for &(frame, _, board) in &places {
        uses.entry((frame, board))
            .or_insert_with(|| variables.add(variable().binary()));
    }
    let n_pairs: Expression = uses.values().sum();
    let mut model = variables.minimise(n_pairs.clone()).using(microlp);
    rows(asked, &amounts, &uses, &mut model);
    let most = whole(asked.below) - 1;
    model.add_constraint(n_pairs.leq(most));
    let mut options = SolveOptions::default();
    options.node_limit = u64::try_from(most_nodes).ok();
    // The number of pairs is whole, so the search may end less than one from its bound.
    #[expect(clippy::float_arithmetic, reason = "it only tells when to stop")]
    {
        options.mip_gap = 0.99 / f64::from(most.max(1));
    }
    let Ok(outcome) = model.as_inner().solve_with(options) else {
        return (None, 1);
    };
    let n_nodes = usize::try_from(outcome.stats().nodes_solved).unwrap_or(most_nodes);
    let Ok(solution) = outcome.into_solution() else {
        return (None, n_nodes);
    };
    let mut given = vec![BTreeMap::new(); asked.needs.len()];
    for (&(frame, group, board), (_, value)) in places.iter().zip(&solution) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count within the bounds of its variable, and counted anew"
        )]
        let count = value.round().max(0.0) as u32;
        if count > 0 {
            given[frame].insert((group, board), count);
        }
    }
    (Some(given), n_nodes)
}

fn rows(
    asked: &Asked,
    amounts: &BTreeMap<(usize, usize, usize), Variable>,
    uses: &BTreeMap<(usize, usize), Variable>,
    model: &mut MicroLpProblem,
) {
    // Each frame gets what it needs of each group; no board gives more than it has.
    let mut got: BTreeMap<(usize, usize), Expression> = BTreeMap::new();
    let mut gives: BTreeMap<(usize, usize), Expression> = BTreeMap::new();
    for (&(frame, group, board), &amount) in amounts {
        *got.entry((frame, group)).or_default() += amount;
        *gives.entry((group, board)).or_default() += amount;
        let most = asked.needs[frame][&group].min(asked.free[group][&board]);
        let used = uses[&(frame, board)];
        model.add_constraint((amount - f64::from(most) * used).leq(0));
    }
    for ((frame, group), sum) in got {
        model.add_constraint(sum.eq(asked.needs[frame][&group]));
    }
    for ((group, board), sum) in gives {
        model.add_constraint(sum.leq(asked.free[group][&board]));
    }
    for (frame, &least) in asked.least.iter().enumerate() {
        let of_frame = uses.range((frame, 0)..(frame + 1, 0));
        let boards: Expression = of_frame.map(|(_, used)| used).sum();
        model.add_constraint(boards.geq(whole(least)));
    }
}

/// A number of boards, which are far fewer than that.
fn whole(count: usize) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX)
}
