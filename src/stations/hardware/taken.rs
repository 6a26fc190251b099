//! What one frame takes of each kind of hardware.

use crate::frame::{SpacerStock, rectangle_round, spacer_strips};
use crate::job::{HangBy, Hardware, HardwareUse, Job, Weight};
use crate::length::Length;
use crate::stations::closing::{Closing, Cover};
use crate::stations::hanging::Hung;
use crate::tally::{SizedFrame, untold};

/// Bumpers that a frame gets where the job says nothing.
const BUMPERS: u32 = 2;

/// What one frame takes of something.
#[derive(Clone, Copy, Debug)]
pub(super) struct Taken {
    /// Pieces for one frame.
    pub(super) count: u64,
    /// Length of each; `None` of what is sold by the piece.
    pub(super) length: Option<Length>,
    /// What of it must lie across a roll.
    pub(super) across: Option<Length>,
    /// What each must bear of the weight that is known, doubled; `None` where nothing is known, or it bears nothing.
    pub(super) rating: Option<Weight>,
    /// Whether much of what it must bear is not known.
    pub(super) is_much_unknown: bool,
}

/// One line of frames with what is known of it.
pub(super) struct Known<'a> {
    pub(super) sized: &'a SizedFrame<'a>,
    pub(super) hung: Option<&'a Hung>,
    pub(super) closing: Option<&'a Closing>,
}

/// What one frame takes for a use.
pub(super) fn taken(
    job: &Job,
    known: &Known<'_>,
    hardware_use: HardwareUse,
    kinds: &[(usize, &Hardware)],
) -> Vec<Taken> {
    let (sized, frame) = (known.sized, known.sized.frame);
    let sides = u64::from(frame.art.n_sides());
    let plain = |count: u64| Taken {
        count,
        length: None,
        across: None,
        rating: None,
        is_much_unknown: known.hung.is_some() && !untold(sized).is_empty(),
    };
    let long = |count: u64, length: Length| Taken {
        length: Some(length),
        ..plain(count)
    };
    let places = known.hung.map(|hung| (&hung.places, hung.weight.known));
    let twice = |weight: Weight, hundredths: u64| {
        (weight > Weight::ZERO).then(|| weight.hundredths(hundredths * 2))
    };
    let cover = known.closing.and_then(|closing| closing.dust_cover);
    let one = match hardware_use {
        HardwareUse::Keys => job
            .assembly
            .keys
            .map(|keys| plain(sides * u64::from(keys.count))),
        HardwareUse::Splines => job.assembly.spline_depth.map(|_| plain(sides)),
        HardwareUse::Hangers => {
            places
                .filter(|(at, _)| at.by != HangBy::Cleat)
                .map(|(at, weight)| {
                    let count = if at.span.is_some() { 2 } else { 1 };
                    let hundredths = match &at.wire {
                        Some(wire) => wire.pull_hundredths,
                        None => 100 / count,
                    };
                    Taken {
                        rating: twice(weight, hundredths),
                        ..plain(count)
                    }
                })
        }
        HardwareUse::Hooks => {
            places
                .filter(|(at, _)| at.by != HangBy::Cleat)
                .map(|(at, weight)| {
                    let count = if at.hooks_apart.is_some() { 2 } else { 1 };
                    Taken {
                        rating: twice(weight, 100 / count),
                        ..plain(count)
                    }
                })
        }
        HardwareUse::Wire => places.and_then(|(at, weight)| {
            let wire = at.wire.as_ref()?;
            Some(Taken {
                rating: twice(weight, wire.pull_hundredths),
                ..long(1, wire.to_cut(&job.display))
            })
        }),
        HardwareUse::Cleat => places.and_then(|(at, _)| Some(long(2, at.cleat?))),
        HardwareUse::Bumpers => known.hung.map(|_| {
            let each = kinds.first().and_then(|(_, of)| of.each).unwrap_or(BUMPERS);
            plain(each.into())
        }),
        HardwareUse::DustCover => cover.map(|cover| {
            let (width, height) = rectangle_round(cover.cut);
            let roll = kinds
                .first()
                .and_then(|(_, of)| of.roll_width)
                .unwrap_or(width);
            let (short, long_side) = (width.min(height), width.max(height));
            // Across the roll where it is wide enough, so that the shorter side is taken off it.
            let (off, across) = if long_side <= roll {
                (short, long_side)
            } else {
                (long_side, short)
            };
            Taken {
                across: Some(across),
                ..long(1, off)
            }
        }),
        HardwareUse::Tape => cover.map(|Cover { size: cover, .. }| {
            let around: Length = (0..cover.n_sides()).map(|side| cover.side(side)).sum();
            long(1, around)
        }),
        HardwareUse::Points => known
            .closing
            .and_then(|closing| closing.points.as_ref().map(|points| plain(points.count))),
        HardwareUse::Spacer => {
            let strips = spacer_strips(frame, &sized.package).into_iter();
            let is_bought = frame
                .spacer
                .as_ref()
                .is_some_and(|spacer| spacer.stock == SpacerStock::Bought);
            let strips = strips.filter(|_| is_bought);
            return strips.map(|of| long(of.count.into(), of.length)).collect();
        }
    };
    one.filter(|one| one.count > 0).into_iter().collect()
}
