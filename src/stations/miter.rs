//! The miters of a job, and a test of the setting of the saw.

use std::collections::BTreeMap;

use crate::frame::Miter;
use crate::length::Length;
use crate::plan::{Part, Plan};

/// Parts of one moulding with one miter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MiterSetting {
    /// Index into `Job::mouldings`; `None` for plain wood.
    pub moulding_idx: Option<usize>,
    /// The angle of both ends, never square.
    pub miter: Miter,
    /// The polygon it closes has so many sides.
    pub sides: u32,
    /// How many parts are cut so.
    pub n_parts: u64,
    /// How far the last joint of a closed ring stands open at its far end if each cut is off by [`TEST_OFF`], for the widest
    /// of the parts; `None` where no width is known.
    pub open: Option<Length>,
}

/// The error for which [`MiterSetting::open`] is told: a tenth of a degree at each cut.
pub const TEST_OFF: Tenths = Tenths(1);

/// An angle in tenths of a degree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tenths(pub u32);

/// All settings for miters of a plan, by moulding and number of sides.
pub fn miters(plan: &Plan) -> Vec<MiterSetting> {
    let job = &plan.job;
    let mut counts: BTreeMap<(Option<usize>, u32), u64> = BTreeMap::new();
    for board in &plan.boards {
        for strip in &board.strips {
            for cut in &strip.cuts {
                if let Miter::Corner { sides } = cut.part.miter(job) {
                    *counts.entry((strip.moulding_idx, sides)).or_default() += 1;
                }
            }
        }
    }
    let widest_plain = |sides: u32| {
        let cuts = plan.boards.iter().flat_map(crate::plan::PlannedBoard::cuts);
        let widths = cuts.filter_map(|cut| match cut.part {
            Part::Loose { .. } if cut.part.miter(job) == (Miter::Corner { sides }) => {
                cut.part.across_miter(job)
            }
            _ => None,
        });
        widths.max()
    };
    counts
        .into_iter()
        .map(|((moulding_idx, sides), n_parts)| {
            let face = match moulding_idx {
                Some(idx) => Some(job.mouldings[idx].face_width),
                None => widest_plain(sides),
            };
            MiterSetting {
                moulding_idx,
                miter: Miter::Corner { sides },
                sides,
                n_parts,
                open: face.map(|face| opening(face, sides, TEST_OFF)),
            }
        })
        .collect()
}

/// How far the last joint of a ring of `sides` of wood that is `face` wide stands open at its far end if each of its `2 n`
/// cuts is off by `off`, all the same way: `F / cos m tan(2 n d)`, to the nanometer and a little less.
///
/// Derived: the joint runs slanting across the face, so it is `F / cos m` long. It is looked at, not set: the tangent is the first terms of its series, within 1e-8 of it.
///
/// # Panics
/// If it is no angle of a polygon, or overflows.
pub fn opening(face: Length, sides: u32, off: Tenths) -> Length {
    /// Fixed point of twelve decimals.
    const ONE: i128 = 1_000_000_000_000;
    const PI: i128 = 3_141_592_653_590;
    // 2 n d degrees, d in tenths, are pi n d / 900.
    let angle = PI * i128::from(sides) * i128::from(off.0) / 900;
    let times = |one: i128, other: i128| one * other / ONE;
    let square = times(angle, angle);
    let cube = times(angle, square);
    let fifth = times(cube, square);
    let seventh = times(fifth, square);
    let tangent = angle + cube / 3 + fifth * 2 / 15 + seventh * 17 / 315;
    let joint = Miter::Corner { sides }.kerf_along(face);
    let open = i128::from(joint.nm()) * tangent / ONE;
    Length::from_nm(i64::try_from(open).expect("a joint opens by less than it is long"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bridge::{lower, raise};
    use crate::job::Ends;
    use crate::report::samples::{job as sample_job, lay, loose, plan};
    use crate::samples::{board, empty_job, first_fit, inches, mixed_job, piece};

    #[test]
    fn a_wrong_setting_opens_the_last_joint_as_the_table_says() {
        // Derived: d 0.1 degrees, F 2 in, to four decimals (1e-4 in = 2540 nm): 2.8284 tan 0.8, 2.3094 tan 1.2 and
        // 2.1648 tan 1.6 degrees.
        for (sides, ten_thousandths) in [(4, 395), (6, 484), (8, 605)] {
            let open = opening(inches(2), sides, Tenths(1));
            let off = (open.nm() - 2_540 * ten_thousandths).abs();
            assert!(off <= 1_270, "{sides} sides: {open:?}");
        }
        // Derived: of 48 sides the angle is 9.6 degrees, the largest there is: 50.8 mm / cos 3.75 tan 9.6 = 8.610611 mm.
        let open = opening(inches(2), 48, Tenths(1));
        assert!((open.nm() - 8_610_611).abs() < 1_000, "{open:?}");
    }

    #[test]
    fn the_ring_of_plain_wood_is_told_for_the_widest() {
        let mut job = empty_job();
        let ends = Ends::Corner { sides: 4 };
        job.pieces = [("narrow", 1), ("wide", 3), ("unknown", 0)]
            .map(|(name, width)| {
                let mut piece = piece(name, inches(10), 1, ends);
                piece.width = (width > 0).then(|| inches(width));
                piece
            })
            .into();
        job.boards = vec![board("oak", inches(96), None)];
        let cuts: Vec<Part> = (0..3).map(|idx| loose(idx, 1)).collect();
        let mut plan = plan(&sample_job());
        plan.boards = vec![lay(&job, 0, 1, 1, &cuts)];
        plan.job = job;
        let [setting] = &miters(&plan)[..] else {
            unreachable!("one kind of miter");
        };
        assert_eq!((setting.n_parts, setting.moulding_idx), (3, None));
        assert_eq!(setting.open, Some(opening(inches(3), 4, TEST_OFF)));
    }

    #[test]
    fn every_mitered_part_is_counted_once() {
        let job = mixed_job();
        let (instance, origins) = lower(&job);
        let plan = raise(&job, &origins, &first_fit(&instance));
        let all = miters(&plan);
        let counted: u64 = all.iter().map(|setting| setting.n_parts).sum();
        let cuts = plan.boards.iter().flat_map(crate::plan::PlannedBoard::cuts);
        let mitered = cuts.filter(|cut| cut.part.miter(&job) != Miter::Square);
        assert_eq!(counted, mitered.count() as u64);
        let hexagon = all.iter().find(|setting| setting.sides == 6);
        assert_eq!(
            hexagon.map(|it| (it.moulding_idx, it.n_parts)),
            Some((Some(1), 6))
        );
    }
}
