use super::*;
use crate::plan::is_edge_kept;
use crate::report::samples;
use crate::samples::{in16, inches};
use crate::tally::rule_of_thumb::{ByEye, compare_by_eye};

#[test]
fn parts_offcuts_kerf_and_trim_make_up_the_boards() {
    let job = samples::job();
    let plan = samples::plan(&job);
    let wood = Summary::new(&plan).wood;
    assert_eq!(wood.boards, Length::FOOT * (2 * 8 + 4 * 5));
    assert_eq!(
        wood.parts + wood.kept + wood.short_ends + wood.kerf_and_trim,
        wood.boards
    );
    // Derived, on the board of two spacers alone: 60 in, less two trims of 1/2, two spacers of 10 in and two kerfs of
    // 1/8 leaves 38 3/4 in.
    let plan = samples::plan_of(&job, plan.boards[5..].to_vec(), Vec::new());
    let wood = Summary::new(&plan).wood;
    assert_eq!(
        wood,
        Wood {
            boards: inches(60),
            parts: inches(20),
            kept: in16(38 * 16 + 12),
            short_ends: Length::ZERO,
            kerf_and_trim: in16(16 + 4),
        }
    );
}

#[test]
fn boards_of_a_kind_are_taken_together_whatever_they_are_for() {
    let job = samples::job();
    let plan = samples::plan(&job);
    let summary = Summary::new(&plan);
    assert_eq!(summary.taken.len(), 2);
    assert_eq!(summary.taken[1].count, 4);
    assert_eq!(
        summary.taken[1].uses,
        [(None, 2), (Some(0), 1), (Some(1), 1)]
    );
    // Derived: 2 x 24.50 + 4 x 15.25 = 110.00.
    assert_eq!(summary.price, Some(Money::from_minor(11000)));
    assert_eq!(summary.n_boards, 6);
    assert_eq!(
        (summary.n_frames, summary.n_rails, summary.n_pieces),
        (4, 18, 6)
    );
}

#[test]
fn only_neighbors_that_are_cut_alike_share_a_drawing() {
    let job = samples::job();
    let mut plan = samples::plan(&job);
    let ranges = |plan: &Plan| -> Vec<std::ops::Range<usize>> {
        Summary::new(plan)
            .groups
            .into_iter()
            .map(|group| group.boards)
            .collect()
    };
    assert_eq!(ranges(&plan), [0..2, 2..3, 3..4, 4..5, 5..6]);
    // The same pattern number is not enough.
    plan.boards[1].strips[0].cuts.swap(0, 2);
    assert_eq!(ranges(&plan)[0], 0..1);
}

#[test]
fn the_rule_of_thumb_stands_beside_rails_and_boards() {
    let job = samples::job();
    let plan = samples::plan(&job);
    // Derived: the tray is 12 x 9 with a gap of 1/4 and a face of 3/4, so 14 x 11 outside and 50 in round.
    // By eye: 2 (1 1/2 + 12) + 2 (1 1/2 + 9) + 2 = 50 in.
    assert_eq!(
        compare_by_eye(&plan)[1],
        ByEye {
            moulding_idx: 1,
            n_frames: 1,
            rails: inches(50),
            estimate: inches(50),
            boards: inches(60),
        }
    );
}

#[test]
fn an_offcut_is_kept_from_the_shortest_useful_length_on() {
    let mut job = samples::job();
    assert!(is_kept(&job, inches(12)));
    assert!(!is_kept(&job, inches(12) - Length::from_nm(1)));
    job.shop.shortest_offcut = Length::ZERO;
    assert!(!is_kept(&job, Length::ZERO));
}

#[test]
fn missing_parts_of_one_length_stand_together() {
    let job = samples::job();
    let rails = |frame_idx, sides: [u32; 4]| sides.map(|side| samples::rail(frame_idx, 1, side));
    let missing = [rails(0, [0, 1, 2, 3]), rails(1, [0, 1, 2, 5])].concat();
    let plan = samples::plan_of(&job, Vec::new(), missing);
    let groups = group_missing(&plan);
    let sizes: Vec<usize> = groups.iter().map(Vec::len).collect();
    assert_eq!(sizes, [2, 2, 4]);
}

#[test]
fn a_ripped_board_is_counted_by_its_face() {
    let (_job, plan) = samples::ripped();
    assert_eq!(crate::audit::check(&plan), []);
    let summary = Summary::new(&plan);
    // Derived, in sixteenths of an inch: the board is 96 x 6, the parts 33 x 2 x 640 + 17 x 4 x 480, the edge is wider
    // than the narrowest strip and kept at 19 x 1536; of 1520 usable, the strips' ends are 1520 - 2 x 642 = 236,
    // 1520 - 3 x 482 = 74 and 1520 - 482 = 1038, of which those of 12 in = 192 or more are kept.
    let square = i128::from(in16(1).nm()) * i128::from(in16(1).nm());
    assert_eq!(
        summary.face,
        Some(Face {
            boards_nm2: 1536 * 96 * square,
            parts_nm2: (33 * 2 * 640 + 17 * 4 * 480) * square,
            kept_nm2: (33 * 236 + 17 * 1038 + 19 * 1536) * square,
            scrap_nm2: 17 * 74 * square,
            sawn_nm2: (1536 * 96
                - (33 * 2 * 640 + 17 * 4 * 480)
                - (33 * 236 + 17 * 1038 + 19 * 1536)
                - 17 * 74)
                * square,
        })
    );
    assert_eq!(summary.taken[0].uses, [(None, 3)]);
    assert_eq!(summary.price, Some(Money::from_minor(2_800)));
    let kept: Vec<(KeptKind, Option<Length>, Length)> = summary
        .kept
        .iter()
        .map(|kept| (kept.kind, kept.width, kept.length))
        .collect();
    assert_eq!(
        kept,
        [
            (KeptKind::End(None), Some(in16(33)), in16(236)),
            (KeptKind::End(None), Some(in16(17)), in16(1038)),
            (KeptKind::Edge, Some(in16(19)), inches(96)),
        ]
    );
}

#[test]
fn board_feet_are_told_both_ways_as_bought_and_as_used() {
    let (_, mut plan) = samples::ripped();
    let lumber = Summary::new(&plan).lumber.map(|lumber| {
        [
            lumber.bought.exact,
            lumber.bought.by_surface_measure,
            lumber.used.exact,
            lumber.used.by_surface_measure,
        ]
        .map(|feet| (feet.numerator, feet.denominator))
    });
    // Derived: 1 x 6 in x 8 ft is 4 bf; the parts are (33 x 2 x 640 + 17 x 4 x 480) / 192^2 = 74880 / 36864 = 65/32
    // square feet, 2 as a whole number.
    assert_eq!(lumber, Some([(4, 1), (4, 1), (65, 32), (2, 1)]));
    plan.job.boards[0].thickness = None;
    plan.job.boards[0].price = None;
    assert_eq!(Summary::new(&plan).lumber, None);
}

#[test]
fn the_rip_list_goes_by_the_setting_of_the_fence() {
    let (_job, plan) = samples::ripped();
    let fence = |width, n_strips| Fence {
        width: in16(width),
        n_strips,
        moulding_indices: vec![None],
        boards: vec![RippedStick {
            board: 0,
            stretch: 0,
            n_strips,
        }],
    };
    assert_eq!(Summary::new(&plan).fences, [fence(33, 1), fence(17, 2)]);
    let (_job, plan) = {
        let job = samples::job();
        let plan = samples::plan(&job);
        (job, plan)
    };
    assert_eq!(Summary::new(&plan).fences, []);
    assert_eq!(Summary::new(&plan).face, None);
}

#[test]
fn an_edge_is_kept_from_the_narrowest_useful_width_on() {
    let (mut job, mut plan) = samples::ripped();
    let is_kept = |job: &Job, plan: &Plan| is_edge_kept(job, &plan.boards[0], 0, 0);
    assert!(is_kept(&job, &plan));
    // The narrowest strip of the job is 1-1/16 in wide.
    plan.boards[0].stretches[0].beside[0].width = in16(17) - Length::from_nm(1);
    assert!(!is_kept(&job, &plan));
    let set = |job: &mut Job, width| {
        if let Some(rip) = &mut job.shop.rip {
            rip.narrowest_offcut = Some(width);
        }
    };
    set(&mut job, in16(8));
    assert!(is_kept(&job, &plan));
    job.shop.shortest_offcut = inches(97);
    assert!(!is_kept(&job, &plan));
}
