//! Instances whose pieces take all of as many boards as they need at the least: a better plan has none but full boards.

use proptest::prelude::*;

use super::{boards, check_proof, oracle, solved, value};
use crate::cutting::{End, Instance};

/// Boards of one length that are cut up without a rest, and a length taken off some pieces and given to others, so that
/// there may be no such plan any more; all in units of `unit`, with less than that to spare on a board.
fn without_spare() -> impl Strategy<Value = Instance> {
    let board = prop::collection::vec(1_i64..100, 2..5);
    (
        20_i64..60,
        prop::collection::vec(board, 2..5),
        prop::collection::vec((0_usize..20, 0_usize..20, 1_i64..6), 0..6),
        1_i64..2_000,
        0_i64..2_000,
    )
        .prop_map(|(length, shares, moves, unit, rest)| {
            let mut pieces = Vec::new();
            for shares in &shares {
                let all: i64 = shares.iter().sum();
                let cut = shares.iter().map(|share| (share * length / all).max(1));
                let mut cut: Vec<i64> = cut.collect();
                let others: i64 = cut[1..].iter().sum();
                cut[0] = length - others;
                // Where others were raised to one unit there may be nothing left for the first; the longest has more than it needs.
                let lacking = (1 - cut[0]).max(0);
                let longest = (0..cut.len())
                    .max_by_key(|&at| cut[at])
                    .expect("at least two");
                cut[longest] -= lacking;
                cut[0] += lacking;
                pieces.extend(cut);
            }
            for (from, to, by) in moves {
                let (from, to) = (from % pieces.len(), to % pieces.len());
                if from != to && pieces[from] > by && pieces[to] + by <= length {
                    pieces[from] -= by;
                    pieces[to] += by;
                }
            }
            pieces.sort_unstable();
            let mut items: Vec<(i64, u32)> = Vec::new();
            for piece in pieces {
                match items.last_mut() {
                    Some(last) if last.0 == piece * unit => last.1 += 1,
                    _ => items.push((piece * unit, 1)),
                }
            }
            boards(&[(length * unit + rest % unit, 700, None)], &items)
        })
}

proptest! {
    #![proptest_config(cases!(300))]

    #[test]
    fn pieces_that_fill_all_boards_have_the_value_of_brute_force(instance in without_spare()) {
        let solution = solved(&instance);
        let best = oracle(&instance);
        prop_assert_eq!(value(&instance, &solution), best);
        prop_assert!(solution.end == End::Proved, "open: {:?}", solution.end);
        let parts = &solution.certificate.as_ref().unwrap().parts;
        for proof in parts {
            check_proof(&instance, proof);
        }
        let proved: i64 = parts.iter().map(|part| part.proves).sum();
        prop_assert_eq!(proved, best.1);
    }
}
