//! Closing a frame behind: points that hold the package, and the dust cover.

use crate::frame::{self, Depth, Holding, Outline};
use crate::job::Job;
use crate::length::Length;
use crate::tally;

/// How the frames of a line are closed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Closing {
    /// Index into `Job::frames`.
    pub frame_idx: usize,
    /// How many frames.
    pub n_frames: u64,
    /// The points along each side of a rectangle's width and height, or of a polygon's sides; `None` where there is no
    /// backing to hold, and where it stands out of the rabbet.
    pub points: Option<Points>,
    /// Where the rabbet is not deep enough; `None` where it is, or its depth is not known.
    pub shallow: Option<Depth>,
    /// Its dust cover; `None` where it is to have none.
    pub dust_cover: Option<Cover>,
}

/// The points of all frames together.
pub fn count_points(closings: &[Closing]) -> u64 {
    let in_frames = closings.iter().filter_map(|closing| {
        let points = closing.points.as_ref()?;
        Some(points.count * closing.n_frames)
    });
    in_frames.sum()
}

/// The dust cover of a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cover {
    /// On the frame, once it is trimmed.
    pub size: Outline,
    /// What it is cut to before it is glued.
    pub cut: Outline,
}

/// The points of one frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Points {
    /// Along a side across, and along a side up; alike for a polygon.
    pub along: [Row; 2],
    /// In one frame.
    pub count: u64,
}

/// Points along one side, the first half as far from the corner as they are apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Row {
    /// How many.
    pub count: u64,
    /// How far they are apart.
    pub apart: Length,
}

/// The fewest points along a side so that none are farther apart than `spacing`: `ceil(side / spacing)`. Derived.
///
/// # Panics
/// If `spacing` is not positive.
pub fn row(side: Length, spacing: Length) -> Row {
    let count = (side.nm().max(1) - 1) / spacing.nm() + 1;
    Row {
        count: u64::try_from(count).expect("a side is not negative"),
        apart: Length::from_nm(side.nm() / count),
    }
}

/// How each line of frames with a rabbet is closed, in the order of the job; trays stay open, and frames inside of others
/// are closed with those.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn closings(job: &Job) -> Vec<Closing> {
    let sized = tally::sized_frames(job).into_iter().enumerate();
    sized
        .filter_map(|(frame_idx, sized)| {
            if sized.frame.holding != Holding::Rabbet || sized.frame.is_held() {
                return None;
            }
            let cover = job
                .dust_cover_size(frame_idx)
                .zip(job.dust_cover_cut(frame_idx));
            let dust_cover = cover.map(|(size, cut)| Cover { size, cut });
            let spacing = job.assembly.point_spacing;
            let package = sized.package.size;
            let room = job.shop.point_room;
            let depth = frame::depth(sized.frame, &job.mouldings, room);
            let shallow = depth.filter(|depth| depth.excess().is_some());
            // What stands out of the rabbet is held by clips, not by points.
            let is_proud = shallow.is_some_and(|depth| depth.proud().is_some());
            let points = (sized.frame.backing.is_some() && !is_proud).then(|| {
                let along = [0, 1].map(|side| row(package.side(side), spacing));
                let count = match package {
                    Outline::Rectangle { .. } => 2 * (along[0].count + along[1].count),
                    Outline::Regular { sides, .. } => along[0].count * u64::from(sides),
                };
                Points { along, count }
            });
            Some(Closing {
                frame_idx,
                n_frames: u64::from(sized.frame.quantity),
                points,
                shallow,
                dust_cover,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{in16, inches, mixed_job, sheet};

    #[test]
    fn points_stand_no_farther_apart_than_asked() {
        // Derived: 8 in at most 3 apart: 3 points, 2 2/3 apart; 9 in: 3 points, 3 apart; 1 nm more: 4.
        let three = inches(3);
        let at = |side| row(side, three);
        assert_eq!((at(inches(8)).count, at(inches(9)).count), (3, 3));
        assert_eq!(at(inches(9)).apart, three);
        assert_eq!(at(inches(9) + Length::from_nm(1)).count, 4);
        assert_eq!(at(inches(1)).count, 1);
    }

    #[test]
    fn frames_with_a_backing_have_points_and_trays_stay_open() {
        let mut job = mixed_job();
        job.frames[0].backing = Some(sheet("foam board", in16(3)));
        let closings = closings(&job);
        let lines: Vec<usize> = closings.iter().map(|closing| closing.frame_idx).collect();
        assert_eq!(lines, [0, 1, 3], "the third is a tray");
        // Derived: 16 x 20, lap 1/4, borders 2, 2, 3, 2: package 19 1/2 by 24 1/2: 7 and 9 points, 32 in all.
        let counts = closings[0].points.as_ref().map(|points| points.count);
        assert_eq!(counts, Some(32));
        assert_eq!(closings[1].points, None);
        // Derived: outside 19 1/2 + 1/8 + 3 1/2 = 23 1/8, less 1/8 on each side.
        let cover = closings[0].dust_cover.expect("it is closed");
        assert_eq!((cover.size.side(0), cover.cut), (in16(366), cover.size));
        assert_eq!(closings[0].shallow, None, "no depth is known");
        // With 1 in over at each edge it is cut 2 in larger; a frame without one has its points all the same.
        job.assembly.dust_cover_oversize = inches(1);
        job.frames[1].gets_cover = false;
        let covers: Vec<_> = super::closings(&job)
            .iter()
            .map(|it| it.dust_cover)
            .collect();
        let sides = covers[0].map(|cover| (cover.size.side(0), cover.cut.side(0)));
        assert_eq!(sides, Some((in16(366), in16(398))));
        assert_eq!((covers.len(), covers[1]), (3, None));
        job.shop.point_room = in16(2);
        let told = |depth: Length| {
            let mut job = job.clone();
            job.mouldings[0].rabbet_depth = Some(depth);
            super::closings(&job)[0].shallow
        };
        let needed = told(Length::ZERO).map(|it| it.needed);
        let needed = needed.expect("the package is thicker than nothing");
        // A rabbet just as deep as the package leaves the points no room; one a sixteenth less lets it stand out by that.
        let proud = |depth| told(depth).map(Depth::proud);
        assert_eq!(proud(needed - in16(2)), Some(None));
        assert_eq!(proud(needed - in16(3)), Some(Some(in16(1))));
        assert_eq!(told(needed), None);
    }
}
