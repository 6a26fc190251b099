//! Trees that are given up for others prove what one tree does.

use super::super::Share;
use super::super::branch::BranchAndPrice;
use super::super::certify::{ProofTree, certify};
use super::super::heuristic::greedy::{FillRule, first_fit_decreasing};
use super::super::meter::Meter;
use super::super::normalize::Normalized;
use super::{boards, check_proof, solved};
use crate::cutting::{End, Instance, PartProof};

/// What a search found and proved whose first tree may be split by `first_tree` pairs and that may solve `node_limit` nodes.
struct Grown {
    cost: i64,
    bound: i64,
    gave_up: bool,
    proof: PartProof,
}

/// Grows trees for an instance with enough boards of each kind.
fn grown(instance: &Instance, first_tree: u64, node_limit: u64) -> Grown {
    let normalized = Normalized::of(instance);
    let problem = &normalized.problem;
    let stop = || false;
    let meter = Meter::new(&stop, Share::FULL);
    let supply: Vec<u32> = problem.kinds.iter().map(|kind| kind.limit).collect();
    let rule = FillRule::CostPerBoard;
    let (start, left) = first_fit_decreasing(problem, &problem.demand, &supply, rule, &meter);
    assert!(left.iter().all(|&count| count == 0));
    let mut search = BranchAndPrice::new(problem, &meter, &|_, _| {});
    search.first_tree = first_tree;
    search.node_limit = node_limit;
    search.offer(&start);
    search.run();
    Grown {
        cost: search.incumbent.as_ref().expect("a start was offered").cost * normalized.cost_unit,
        bound: search.bound * normalized.cost_unit,
        gave_up: search.given_up().is_some(),
        proof: certify(&normalized, None, &ProofTree::of(&search)),
    }
}

/// Pieces of 15, 10 and 6 whose wood is that of some boards of 30 less 1, with the number of boards that they need, one
/// more: pieces of one length alone fill a board, and none take 29.
///
/// After D. Fieldhouse, The duality gap in trim problems, SICUP Bulletin 5 (1990), as we remember it.
fn short_by_one(more: [u32; 3]) -> (Instance, i64) {
    let items = [
        (15, 1 + 2 * more[0]),
        (10, 2 + 3 * more[1]),
        (6, 4 + 5 * more[2]),
    ];
    let needed = 3 + more.iter().sum::<u32>();
    (boards(&[(30, 1, None)], &items), needed.into())
}

#[test]
fn a_search_that_begins_anew_proves_what_it_claims() {
    let mut n_given_up = 0;
    for number in 0..27 {
        let (instance, needed) = short_by_one([number % 3, number / 3 % 3, number / 9]);
        let whole = solved(&instance);
        assert_eq!((whole.end, whole.cost), (End::Proved, needed), "{number}");
        let many = grown(&instance, 1, u64::MAX);
        assert_eq!((many.cost, many.bound), (needed, needed), "{number}");
        assert_eq!(many.proof.proves, needed, "{number}");
        check_proof(&instance, &many.proof);
        n_given_up += u32::from(many.gave_up);
        // Also where what there is of a proof was given up.
        for node_limit in 1..6 {
            let cut_short = grown(&instance, 1, node_limit);
            assert!(cut_short.bound <= needed, "{number}");
            assert_eq!(cut_short.proof.proves, cut_short.bound, "{number}");
            check_proof(&instance, &cut_short.proof);
        }
    }
    assert!(n_given_up >= 5, "{n_given_up} trees were given up");
}
