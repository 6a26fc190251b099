//! Rails that must follow each other on one strip, derived once more.

use crate::frame::{Frame, Grain, Outline};
use crate::job::{Job, LongChains};

/// The place of a rail in its chain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::audit) struct Link {
    /// Which chain of its frame.
    pub(in crate::audit) chain: u32,
    /// Its place in the chain, from 0.
    pub(in crate::audit) place: u32,
    /// How many rails the chain has.
    pub(in crate::audit) n_rails: u32,
}

/// For each side of a frame its place in a chain, if it is in one.
///
/// `lengths_nm` are the long points by side, `kerf_nm` the most that the saw takes between two of them, `longest_nm` the
/// longest clear stretch of any board for the frame's section.
pub(in crate::audit) fn links(
    job: &Job,
    frame: &Frame,
    lengths_nm: &[i128],
    kerf_nm: i128,
    longest_nm: i128,
) -> Vec<Option<Link>> {
    let n_sides = lengths_nm.len();
    let asked = frame
        .grain
        .unwrap_or(job.mouldings[frame.moulding_idx].grain);
    let is_even = n_sides.is_multiple_of(2);
    let all: i128 = lengths_nm.iter().map(|length| length + kerf_nm).sum();
    let grain = match (asked, job.shop.long_chains) {
        (Grain::Frame, LongChains::InPairs(pairs))
            if (frame.in_pairs || all - kerf_nm > longest_nm)
                && (is_even || pairs != Grain::Opposite) =>
        {
            pairs
        }
        _ => asked,
    };
    // A rectangle is gone round from its left rail, a polygon from its first.
    let place_of = |side: usize| match frame.art {
        Outline::Rectangle { .. } => (side + 1) % 4,
        Outline::Regular { .. } => side,
    };
    let link = |side: usize| {
        let (chain, place, n_rails) = match grain {
            Grain::Free => return None,
            Grain::Opposite if !is_even => return None,
            Grain::Frame => (0, place_of(side), n_sides),
            Grain::Adjacent => {
                let place = place_of(side);
                (place / 2, place % 2, 2.min(n_sides - place / 2 * 2))
            }
            Grain::Opposite => {
                let half = n_sides / 2;
                (side % half, side / half, 2)
            }
        };
        let number = |n: usize| u32::try_from(n).ok();
        (n_rails > 1).then_some(Link {
            chain: number(chain)?,
            place: number(place)?,
            n_rails: number(n_rails)?,
        })
    };
    (0..n_sides).map(link).collect()
}
