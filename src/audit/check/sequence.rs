//! The sequence of cuts along a strip: chains in one piece, and everything in its order.

use super::{Kind, Link, Place, Violation, WantedPart, nm};
use crate::length::Length;
use crate::plan::{Cut, Part, is_short};

/// A part that is in no chain, or a whole chain.
struct Row {
    part: Part,
    wanted: WantedPart,
    length_nm: i128,
    /// Whether its last part is too short to hold.
    ends_short: bool,
}

/// Rails that must follow each other do, one kerf apart; and what stands for one cut stands in its order: long ones
/// first, but none that is too short to hold behind all of its run.
pub(super) fn check(place: Place, cuts: &[(&Cut, WantedPart)], found: &mut Vec<Violation>) {
    let mut rows: Vec<Row> = Vec::new();
    let mut rest = cuts;
    while let Some(&(first_cut, wanted)) = rest.first() {
        let n_rails = chain_at_head(rest);
        if n_rails.is_none() {
            found.push(place.with_part(first_cut.part).has(Kind::BrokenChain));
        }
        let (chain, after) = rest.split_at(n_rails.unwrap_or(1));
        let (last_cut, _) = chain[chain.len() - 1];
        rows.push(Row {
            part: first_cut.part,
            wanted,
            length_nm: nm(last_cut.to) - nm(first_cut.from),
            ends_short: is_short(Length::from_nm(
                last_cut.to.nm().saturating_sub(last_cut.from.nm()),
            )),
        });
        rest = after;
    }
    for pair in rows.windows(2) {
        if should_change_places(&pair[0], &pair[1]) {
            found.push(place.with_part(pair[1].part).has(Kind::OutOfOrder));
        }
    }
    let mut last_first = rows.iter().rev().filter(|row| !row.wanted.is_left());
    if let Some(last) = last_first.next()
        && last.ends_short
        && last_first
            .take_while(|row| of_one_run(row, last) && row.wanted.kerf == last.wanted.kerf)
            .any(|row| !row.ends_short)
    {
        found.push(place.with_part(last.part).has(Kind::OutOfOrder));
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

/// Whether two rows are alike in their slant and in how they may lie.
///
/// Runs of different miters, which no kerf tells apart on a chopper, may follow each other either way.
fn of_one_run(one: &Row, other: &Row) -> bool {
    let lie = |row: &Row| (row.wanted.slant_nm, row.wanted.may_be_turned);
    lie(one) == lie(other)
}

/// Whether the left of two neighbors should stand behind the right one.
fn should_change_places(left: &Row, right: &Row) -> bool {
    // What is left stands behind all that is cut.
    if left.wanted.is_left() || right.wanted.is_left() {
        return left.wanted.is_left() && !right.wanted.is_left();
    }
    let may_wait = left.ends_short && !right.ends_short;
    let is_longer = of_one_run(left, right) && left.length_nm < right.length_nm && !may_wait;
    let (kerf, right_kerf) = (left.wanted.kerf, right.wanted.kerf);
    kerf < right_kerf || (kerf == right_kerf && is_longer)
}
