//! What a label says: of each rail that is cut, where it belongs and what it meets; of each frame, its size.

use std::collections::BTreeMap;

use crate::frame::Outline;
use crate::job::{Job, LabelOrder};
use crate::length::Length;
use crate::plan::{CutLabel, Part, Plan};

use super::order::SawOrder;
use super::stop::{StopFigure, opposite_side};

/// The label of a rail or a loose piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PartLabel {
    /// What it is on.
    pub part: Part,
    /// What is chalked on its board, and its cut there.
    pub cut: CutLabel,
    /// The number of the setting at which it is cut, by stop.
    pub setting: u64,
    /// What the stop is set to there.
    pub stop: StopFigure,
    /// Length along its longest edge.
    pub long_point: Length,
    /// Length along its shortest; `None` of a square part, and where its width is not known.
    pub short_point: Option<Length>,
    /// What it meets; `None` of a loose piece.
    pub mates: Option<RailMates>,
}

/// Where a rail belongs in its frame.
///
/// Corners are numbered from 0 as sides are: corner `k` lies between side `k` and the one after it, so those of a rectangle
/// are top right, bottom right, bottom left and top left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RailMates {
    /// The rail on the other side; `None` where the number of sides is odd.
    pub opposite: Option<Mate>,
    /// The rail before it, and the corner in which they meet.
    pub before: (Mate, u32),
    /// The rail after it, and the corner in which they meet.
    pub after: (Mate, u32),
}

/// Another rail of a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mate {
    /// Its side, from 0.
    pub side: u32,
    /// Its cut; `None` where there was no wood for it.
    pub cut: Option<CutLabel>,
}

/// The label of a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FrameLabel {
    /// Index into `Job::frames`.
    pub frame_idx: usize,
    /// Which of the alike frames, from 1.
    pub copy: u32,
    /// Over everything.
    pub outside: Outline,
}

/// One for each part that is cut, in the order that the job asks for; `order` is the plan's.
pub fn part_labels(plan: &Plan, order: &SawOrder) -> Vec<PartLabel> {
    let job = &plan.job;
    let cuts: BTreeMap<Part, CutLabel> = order
        .by_board
        .iter()
        .map(|cut| (cut.part, cut.label))
        .collect();
    let of_settings = order.settings().flat_map(|setting| {
        let cuts = setting.cuts();
        cuts.map(move |cut| (setting, cut))
    });
    let mut parts: Vec<PartLabel> = of_settings
        .map(|(setting, cut)| PartLabel {
            part: cut.part,
            cut: cut.label,
            setting: setting.number,
            stop: StopFigure {
                at: setting.at,
                length: setting.stop,
            },
            long_point: cut.part.length(job),
            short_point: cut.part.short_point(job),
            mates: rail_mates(plan, &cuts, cut.part),
        })
        .collect();
    if job.labels.order == LabelOrder::Frames {
        parts.sort_by_key(|label| label.part);
    }
    parts
}

/// One for each frame, copies counted, in the order of the job.
pub fn frame_labels(job: &Job) -> Vec<FrameLabel> {
    let frames = job.frames.iter().enumerate();
    let labels = frames.flat_map(|(frame_idx, frame)| {
        let outside = job.frame_sizes(frame_idx).outside;
        (1..=frame.quantity).map(move |copy| FrameLabel {
            frame_idx,
            copy,
            outside,
        })
    });
    labels.collect()
}

/// What a rail meets.
fn rail_mates(plan: &Plan, cuts: &BTreeMap<Part, CutLabel>, part: Part) -> Option<RailMates> {
    let Part::Rail {
        frame_idx,
        copy,
        side,
    } = part
    else {
        return None;
    };
    let n_sides = plan.job.frames[frame_idx].art.n_sides();
    let mate = |side| {
        let part = Part::Rail {
            frame_idx,
            copy,
            side,
        };
        Mate {
            side,
            cut: cuts.get(&part).copied(),
        }
    };
    let before = (side + n_sides - 1) % n_sides;
    Some(RailMates {
        opposite: opposite_side(n_sides, side).map(mate),
        before: (mate(before), before),
        after: (mate((side + 1) % n_sides), side),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::StopAt;
    use crate::report::samples::{job, loose, plan, rail};
    use crate::samples::inches;
    use crate::stations::saw_order;

    #[test]
    fn a_rail_tells_what_it_meets_and_in_which_corner() {
        let plan = plan(&job());
        let labels = part_labels(&plan, &saw_order(&plan));
        let of = |part| labels.iter().find(|label| label.part == part).copied();
        // Board A has right, left, top and bottom of the first frame, in this order.
        let top = of(rail(0, 1, 0)).expect("it is cut");
        assert_eq!((top.cut.to_string(), top.setting), ("A-3".to_owned(), 2));
        let place = top.mates.expect("it is a rail");
        let said = |mate: Mate| (mate.side, mate.cut.map(|cut| cut.to_string()));
        let cut = |label: &str| Some(label.to_owned());
        assert_eq!(place.opposite.map(said), Some((2, cut("A-4"))));
        // The left rail in the top left corner, the right one in the top right.
        assert_eq!((said(place.before.0), place.before.1), ((3, cut("A-2")), 3));
        assert_eq!((said(place.after.0), place.after.1), ((1, cut("A-1")), 0));
        let spacer = of(loose(0, 1)).expect("it is cut");
        assert_eq!((spacer.mates, spacer.short_point), (None, None));
        assert_eq!(spacer.long_point, inches(10));
        // Two frames, a hexagon and a tray.
        assert_eq!(frame_labels(&plan.job).len(), 4);
        assert_eq!(labels.len(), 24);
    }

    #[test]
    fn a_label_has_the_figure_of_the_stop_where_that_is_not_the_long_point() {
        let mut job = job();
        job.shop.stop = StopAt::Rabbet;
        let plan = plan(&job);
        let labels = part_labels(&plan, &saw_order(&plan));
        let top = labels.iter().find(|label| label.part == rail(0, 1, 0));
        let top = top.expect("it is cut");
        // Derived: package 16, face 2, lip 1/4, allowance 1/8: long points 19-5/8, walls of the rabbet 16-1/8.
        assert_eq!(top.long_point, crate::samples::in16(314));
        let length = crate::samples::in16(258);
        let at = StopAt::Rabbet;
        assert_eq!(top.stop, StopFigure { at, length });
        let spacer = labels.iter().find(|label| label.part == loose(0, 1));
        let spacer = spacer.expect("it is cut");
        assert_eq!(spacer.stop.at, StopAt::LongPoint);
    }

    #[test]
    fn labels_come_as_the_rails_come_off_the_saw_or_frame_by_frame() {
        let mut job = job();
        let of = |job: &Job| {
            let plan = plan(job);
            part_labels(&plan, &saw_order(&plan))
        };
        let by_stop = of(&job);
        let settings: Vec<u64> = by_stop.iter().map(|label| label.setting).collect();
        assert!(settings.is_sorted());
        let parts =
            |labels: &[PartLabel]| -> Vec<Part> { labels.iter().map(|label| label.part).collect() };
        assert!(!parts(&by_stop).is_sorted());
        job.labels.order = LabelOrder::Frames;
        let by_frame = of(&job);
        assert!(parts(&by_frame).is_sorted());
    }

    #[test]
    fn a_rail_without_wood_has_no_label_and_is_not_named() {
        let mut plan = plan(&job());
        let gone = plan.boards[0].strips[0].cuts.pop().expect("it has cuts");
        plan.missing.push(gone.part);
        let labels = part_labels(&plan, &saw_order(&plan));
        assert_eq!(labels.len(), 23);
        let right = labels.iter().find(|label| label.part == rail(0, 1, 1));
        let place = right.and_then(|label| label.mates).expect("it is a rail");
        assert_eq!((place.after.0.side, place.after.0.cut), (2, None));
    }
}
