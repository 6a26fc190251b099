//! Jobs and hand-made plans for the tests of the reports.

use crate::frame::{Borders, Holding, Moulding, Outline};
use crate::job::{Ends, Job};
use crate::length::Length;
use crate::money::Money;
use crate::plan::{
    Beside, Cut, GivenNumbers, Measure, Part, Plan, PlannedBoard, PlannedStrip, Stretch, Verdict,
};
use crate::samples::{
    board, empty_job, frame, in16, inches, mat, moulding, piece, priced, sheet, slat,
};
use crate::stock::{BoardMeasure, Price, Rip};

use super::naming::part_sizes;

/// A rail of the job's frames.
pub(crate) fn rail(frame_idx: usize, copy: u32, side: u32) -> Part {
    Part::Rail {
        frame_idx,
        copy,
        side,
    }
}

/// A loose piece of the job.
pub(crate) fn loose(piece_idx: usize, copy: u32) -> Part {
    Part::Loose { piece_idx, copy }
}

/// A job with all kinds of things in it: a matted pair, a hexagon, a tray, square and mitered pieces.
///
/// The matted pair is the frame of package 16 x 20, face 2, lip 1/4, allowance 1/8, whose long points are 19-5/8 and
/// 23-5/8 (derived: 16 + 1/8 + 2 (2 - 1/4) = 19-5/8, 20 + 1/8 + 3-1/2 = 23-5/8).
pub(crate) fn job() -> Job {
    let cherry = |name: &str, face_width, lip, rabbet_depth| Moulding {
        lip,
        rabbet_depth,
        ..moulding(name, face_width, Some("cherry"))
    };
    let stick = |name: &str, feet: i64, price: i64| {
        priced(board(name, Length::FOOT * feet, Some("cherry")), price)
    };
    let mut pair = frame(
        "Harbor at dawn",
        2,
        Outline::Rectangle {
            width: in16(11 * 16 + 8),
            height: in16(15 * 16 + 8),
        },
        0,
    );
    pair.mat = Some(mat(Borders {
        top: in16(40),
        right: in16(40),
        bottom: in16(40),
        left: in16(40),
    }));
    pair.glazing = Some(sheet("glass", in16(2)));
    pair.backing = Some(sheet("foam board", in16(3)));
    let hexagon = frame("Barometer", 1, Outline::of_side(6, inches(5)), 0);
    let mut tray = frame(
        "Kelp",
        1,
        Outline::Rectangle {
            width: inches(12),
            height: inches(9),
        },
        1,
    );
    tray.holding = Holding::Tray { gap: in16(4) };
    let mut job = empty_job();
    "Autumn wall".clone_into(&mut job.title);
    "USD".clone_into(&mut job.display.currency.code);
    job.mouldings = vec![
        cherry("cherry cap", inches(2), in16(4), Some(in16(6))),
        cherry("cherry tray", in16(12), Length::ZERO, None),
    ];
    job.frames = vec![pair, hexagon, tray];
    job.pieces = vec![
        piece("spacer", inches(10), 5, Ends::Square),
        piece("liner", inches(14) + in16(5), 1, Ends::Miter),
    ];
    job.boards = vec![stick("cherry 8 ft", 8, 2450), stick("cherry 5 ft", 5, 1525)];
    job
}

/// Parts laid on a board one after the other, as a plan has them.
///
/// Between neighbors lies the wider of their kerfs.
pub(crate) fn lay(
    job: &Job,
    board_idx: usize,
    number: u32,
    pattern: u32,
    parts: &[Part],
) -> PlannedBoard {
    let kerf = |part: Part| part.kerf_along(job);
    let mut cuts: Vec<Cut> = Vec::new();
    let mut from = job.shop.end_trim;
    for (idx, &part) in parts.iter().enumerate() {
        if let Some(last) = cuts.last() {
            from = last.to + kerf(part).max(kerf(last.part));
        }
        let to = from + part_sizes(job, part).0;
        cuts.push(Cut {
            part,
            from,
            to,
            turned: false,
        });
        debug_assert_eq!(cuts.len(), idx + 1);
    }
    let usable_end = job.boards[board_idx].length - job.shop.end_trim;
    let offcut = cuts.last().map_or(usable_end - job.shop.end_trim, |last| {
        usable_end - last.to - kerf(last.part)
    });
    PlannedBoard {
        board_idx,
        number,
        pattern,
        resawn: None,
        stretches: vec![Stretch {
            from: Length::ZERO,
            to: job.boards[board_idx].length,
            beside: Vec::new(),
        }],
        strips: vec![PlannedStrip {
            stretch: 0,
            moulding_idx: parts.first().and_then(|&part| match part {
                Part::Rail { frame_idx, .. } => Some(job.frames[frame_idx].moulding_idx),
                Part::Loose { piece_idx, .. } => job.pieces[piece_idx].moulding_idx,
            }),
            width: job.boards[board_idx].width,
            from_edge: Length::ZERO,
            cuts,
            offcut: offcut.max(Length::ZERO),
        }],
        used_again: Vec::new(),
    }
}

/// A plan of boards for a job, of its real value, as if proved best.
pub(crate) fn plan_of(job: &Job, boards: Vec<PlannedBoard>, missing: Vec<Part>) -> Plan {
    let value: i64 = boards
        .iter()
        .map(|board| crate::tally::price_of(job, board.board_idx).map_or(0, Money::minor))
        .sum();
    Plan {
        job: job.clone(),
        spare_offcuts: Vec::new(),
        kept_pieces: Vec::new(),
        given_numbers: GivenNumbers::default(),
        boards,
        missing_lower_bound: u64::try_from(missing.len()).unwrap_or(u64::MAX),
        missing,
        measure: Measure::Price,
        value,
        lower_bound: value,
        verdict: Verdict::Optimal,
    }
}

/// The sample job cut by hand: four long rails a board, twice alike; hexagon, tray and pieces.
pub(crate) fn plan(job: &Job) -> Plan {
    let pair = |copy| {
        [
            rail(0, copy, 1),
            rail(0, copy, 3),
            rail(0, copy, 0),
            rail(0, copy, 2),
        ]
    };
    let hexagon: Vec<Part> = (0..6).map(|side| rail(1, 1, side)).collect();
    let tray = [rail(2, 1, 0), rail(2, 1, 2), rail(2, 1, 1), rail(2, 1, 3)];
    let pieces = [loose(1, 1), loose(0, 1), loose(0, 2), loose(0, 3)];
    plan_of(
        job,
        vec![
            lay(job, 0, 1, 1, &pair(1)),
            lay(job, 0, 2, 1, &pair(2)),
            lay(job, 1, 1, 2, &hexagon),
            lay(job, 1, 2, 3, &tray),
            lay(job, 1, 3, 4, &pieces),
            lay(job, 1, 4, 5, &[loose(0, 4), loose(0, 5)]),
        ],
        Vec::new(),
    )
}

/// A job of two widths of slats from a rough board 6 in wide, and the plan that rips it, worked by hand.
///
/// Derived: straightening leaves 6 - 1/4 = 5-3/4 in; strips of 2 + 1/16, 1 + 1/16 and 1 + 1/16 with kerfs of 1/8
/// begin at 0, 2-3/16 and 3-3/8; behind the last one's kerf at 4-9/16 are left 1-3/16 in.
/// The boards 1 in thick are charged by surface measure: 6 in x 8 ft is 4 square feet.
pub(crate) fn ripped() -> (Job, Plan) {
    let mut job = job();
    job.frames.clear();
    job.mouldings.clear();
    job.shop.rip = Some(Rip {
        kerf: in16(2),
        straightening: in16(4),
        planing: in16(1),
        plane_off: Length::ZERO,
        ..crate::samples::rip()
    });
    job.pieces = vec![
        slat("broad", inches(40), 2, inches(2)),
        slat("slim", inches(30), 4, inches(1)),
    ];
    job.boards.truncate(1);
    let board = &mut job.boards[0];
    board.width = Some(inches(6));
    board.thickness = Some(inches(1));
    board.price = Some(Price::PerBoardFoot {
        money: Money::from_minor(700),
        measure: BoardMeasure::Surface,
    });
    let strips = [
        (33, 0, vec![loose(0, 1), loose(0, 2)]),
        (17, 35, vec![loose(1, 1), loose(1, 2), loose(1, 3)]),
        (17, 54, vec![loose(1, 4)]),
    ];
    let mut planned = lay(&job, 0, 1, 1, &[]);
    planned.strips = strips
        .into_iter()
        .map(|(width, from_edge, parts)| PlannedStrip {
            width: Some(in16(width)),
            from_edge: in16(from_edge),
            ..lay(&job, 0, 1, 1, &parts).strips.remove(0)
        })
        .collect();
    planned.stretches[0].beside = vec![Beside {
        from_edge: in16(73),
        width: in16(19),
    }];
    let plan = plan_of(&job, vec![planned], Vec::new());
    (job, plan)
}
