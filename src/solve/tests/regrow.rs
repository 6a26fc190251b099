//! Trees that are given up for others prove what one tree does.

use super::super::Share;
use super::super::branch::BranchAndPrice;
use super::super::certify::{ProofTree, certify};
use super::super::heuristic::greedy::{FillRule, first_fit_decreasing};
use super::super::meter::Meter;
use super::super::normalize::Normalized;
use super::lehmer::Lehmer;
use super::{boards, check_proof, oracle, solved};
use crate::cutting::{End, Instance, PartProof};

/// What a search found and proved whose first tree may have `first_tree` nodes and that may solve `node_limit` at all.
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

/// Pieces of up to 40 units out of three kinds of board of 40 to 70 units, at prices of about their lengths.
fn drawn(seed: u64) -> Instance {
    let mut draw = Lehmer::new(seed);
    let kinds = [0; 3].map(|_| {
        let length = draw.between(40, 70);
        (length, 10 * length + draw.between(-20, 20), None)
    });
    let mut items: Vec<(i64, u32)> = Vec::new();
    for _ in 0..draw.between(6, 9) {
        let size = draw.between(7, 40);
        if items.iter().all(|known| known.0 != size) {
            items.push((size, if size > 20 { 1 } else { 2 }));
        }
    }
    boards(&kinds, &items)
}

#[test]
fn a_search_that_begins_anew_proves_what_it_claims() {
    let mut n_given_up = 0;
    for seed in 1..=100 {
        let instance = drawn(seed);
        let whole = solved(&instance);
        assert_eq!(whole.end, End::Proved, "{seed}");
        let many = grown(&instance, 1, u64::MAX);
        assert_eq!((many.cost, many.bound), (whole.cost, whole.cost), "{seed}");
        assert_eq!(many.proof.proves, whole.cost, "{seed}");
        check_proof(&instance, &many.proof);
        if many.gave_up {
            n_given_up += 1;
            // Also where all that there is for a proof was given up.
            let cut_short = grown(&instance, 1, 2);
            assert!(cut_short.bound <= whole.cost, "{seed}");
            assert_eq!(cut_short.proof.proves, cut_short.bound, "{seed}");
            check_proof(&instance, &cut_short.proof);
        }
    }
    assert!(n_given_up >= 5, "{n_given_up} trees were given up");
    // One small enough for trying everything.
    let instance = boards(&[(10, 7, None), (14, 9, None)], &[(3, 2), (4, 2), (6, 1)]);
    assert_eq!(oracle(&instance), (0, grown(&instance, 1, u64::MAX).cost));
}
