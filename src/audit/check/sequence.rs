//! The sequence of cuts along a strip: chains in one piece, and everything in its order.

use super::{Kind, Link, Place, Violation, WantedPart, nm};
use crate::plan::{Cut, Part};

/// Rails that must follow each other do, one kerf apart; and what stands for one cut stands in its order.
pub(super) fn check(place: Place, cuts: &[(&Cut, WantedPart)], found: &mut Vec<Violation>) {
    let mut last: Option<(WantedPart, i128)> = None;
    let mut rest = cuts;
    while let Some(&(first_cut, first)) = rest.first() {
        let n_rails = chain_at_head(rest);
        if n_rails.is_none() {
            found.push(place.with_part(first_cut.part).has(Kind::BrokenChain));
        }
        let (chain, after) = rest.split_at(n_rails.unwrap_or(1));
        let (last_cut, _) = chain[chain.len() - 1];
        let length_nm = nm(last_cut.to) - nm(first_cut.from);
        if let Some((left, left_length_nm)) = last
            && should_change_places((&left, left_length_nm), (&first, length_nm))
        {
            found.push(place.with_part(first_cut.part).has(Kind::OutOfOrder));
        }
        last = Some((first, length_nm));
        rest = after;
    }
}

/// How many cuts at the head of `cuts` are a whole chain, or one that is in none; `None` where a chain is broken.
fn chain_at_head(cuts: &[(&Cut, WantedPart)]) -> Option<usize> {
    let (first_cut, first) = cuts[0];
    let Some(link) = first.link else {
        return Some(1);
    };
    let n_rails = usize::try_from(link.n_rails).ok()?;
    let chain = cuts.get(..n_rails)?;
    let is_whole = chain.iter().zip(0..).all(|((cut, part), place)| {
        part.link == Some(Link { place, ..link }) && of_one_frame(first_cut.part, cut.part)
    });
    let is_close = chain
        .windows(2)
        .all(|pair| nm(pair[1].0.from) - nm(pair[0].0.to) <= pair[0].1.kerf.most);
    (is_whole && is_close).then_some(n_rails)
}

/// Whether two rails are of one frame, one copy of it.
fn of_one_frame(one: Part, other: Part) -> bool {
    let owner = |part: Part| match part {
        Part::Rail {
            frame_idx, copy, ..
        } => Some((frame_idx, copy)),
        Part::Loose { .. } => None,
    };
    owner(one).is_some() && owner(one) == owner(other)
}

/// Whether the left of two neighbors should stand behind the right one; each with its length, or its chain's.
fn should_change_places(
    (left, left_length_nm): (&WantedPart, i128),
    (right, right_length_nm): (&WantedPart, i128),
) -> bool {
    // What is left stands behind all that is cut.
    if left.is_left || right.is_left {
        return left.is_left && !right.is_left;
    }
    // Runs of different miters, which no kerf tells apart on a chopper, may follow each other either way.
    let of_one_run = (left.slant_nm, left.may_be_turned) == (right.slant_nm, right.may_be_turned);
    let is_longer = of_one_run && left_length_nm < right_length_nm;
    left.kerf < right.kerf || (left.kerf == right.kerf && is_longer)
}
