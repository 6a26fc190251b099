//! What each frame costs: the price of the boards shared out, to the last minor unit.

use std::collections::BTreeMap;

use crate::job::Line;
use crate::money::Money;
use crate::plan::{Measure, Part, Plan};
use crate::stock::board_cost;

/// What the boards cost, by line of the job, all copies together; `None` where no board has a price.
///
/// The rule: the price of each board is shared by the parts that are cut from it, or left of it on purpose, in proportion to their lengths, of a
/// ripped board to their faces; so each part pays for the scrap of its own board. Minor units that are left over go to
/// the largest remainders, the earlier part first.
/// The shares sum to the price of all boards exactly. A line whose parts are all missing is not there.
///
/// # Panics
/// Never: the prices of a job can be worked out.
pub fn share_boards(plan: &Plan) -> Option<BTreeMap<Line, Money>> {
    let job = &plan.job;
    if plan.measure != Measure::Price {
        return None;
    }
    let mut shares: BTreeMap<Line, Money> = BTreeMap::new();
    for (position, board) in plan.boards.iter().enumerate() {
        let cost = board_cost(&job.boards[board.board_idx])
            .expect("load refuses a price that cannot be worked out")
            .unwrap_or(Money::ZERO);
        let (lines, weights): (Vec<Line>, Vec<i128>) = parts_on(plan, position).into_iter().unzip();
        for (line, share) in lines.into_iter().zip(shared(cost.minor(), &weights)) {
            *shares.entry(line).or_default() += Money::from_minor(share);
        }
    }
    Some(shares)
}

/// The parts on a board, cut or left on purpose, with what they weigh: their length, or where every strip has a width their
/// face.
fn parts_on(plan: &Plan, position: usize) -> Vec<(Line, i128)> {
    let board = &plan.boards[position];
    let has_widths = board.strips.iter().all(|strip| strip.width.is_some());
    let mut parts = Vec::new();
    for (strip_idx, strip) in board.strips.iter().enumerate() {
        let width = strip
            .width
            .filter(|_| has_widths)
            .map_or(1, |width| i128::from(width.nm()));
        let cuts = strip.cuts.iter().map(|cut| (cut.part, cut.to - cut.from));
        let left = plan.spare_offcuts.iter();
        let left = left.filter(|left| (left.board, left.strip) == (position, strip_idx));
        for (part, length) in cuts.chain(left.map(|left| (left.part, left.to - left.from))) {
            let line = match part {
                Part::Rail { frame_idx, .. } => Line::Frame(frame_idx),
                Part::Loose { piece_idx, .. } => Line::Piece(piece_idx),
            };
            parts.push((line, i128::from(length.nm()) * width));
        }
    }
    parts
}

/// `amount` in whole shares that are as `weights`, by largest remainder; the shares sum to `amount`.
pub(super) fn shared(amount: i64, weights: &[i128]) -> Vec<i64> {
    let total: i128 = weights.iter().sum();
    if total <= 0 {
        return vec![0; weights.len()];
    }
    let product = |weight: i128| i128::from(amount) * weight;
    let mut shares: Vec<i64> = weights
        .iter()
        .map(|&weight| {
            i64::try_from(product(weight) / total).expect("a share is no larger than its whole")
        })
        .collect();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by_key(|&idx| std::cmp::Reverse(product(weights[idx]) % total));
    let left = amount - shares.iter().sum::<i64>();
    for &idx in order.iter().take(usize::try_from(left).unwrap_or(0)) {
        shares[idx] += 1;
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_whole_and_sum_to_the_amount() {
        // Derived: 100 in three equal shares is 33 and a third each; the first takes the one that is left.
        assert_eq!(shared(100, &[1, 1, 1]), [34, 33, 33]);
        // Derived: 10 by 1 : 2 : 4 is 1.43, 2.86, 5.71; the two left over go to the largest fractions.
        assert_eq!(shared(10, &[1, 2, 4]), [1, 3, 6]);
        assert_eq!(shared(0, &[3, 4]), [0, 0]);
        assert_eq!(shared(5, &[]), Vec::<i64>::new());
    }
}
