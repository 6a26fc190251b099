//! Ripping from job to checked plan: what is lowered, what is raised, and what the check catches.

use std::sync::atomic::{AtomicU32, Ordering};

use super::*;
use crate::audit::{Figure, Kind, Place, Violation, check};
use crate::cutting::Instance;
use crate::job::{Ends, Job, Piece};
use crate::length::Length;
use crate::pipeline;
use crate::plan::{Beside, LeftoverKind, Plan, leftovers};
use crate::samples::{
    board, empty_job, first_fit, frame, in64, inches, moulding, piece, priced, rectangle, slat,
};
use crate::solve::Control;
use crate::stock::{Across, Board, Defect, Rip};
use crate::tally::{Caution, cautions};
use proptest::prelude::*;

fn rip(straightening: Length, planing: Length) -> Rip {
    Rip {
        kerf: in64(8),
        straightening,
        planing,
        plane_off: Length::ZERO,
        ..crate::samples::rip()
    }
}

fn wide(name: &str, length: Length, width: Length) -> Board {
    Board {
        width: Some(width),
        ..board(name, length, None)
    }
}

/// Two widths of slats from boards 5-1/2 in wide, with kerfs of 1/8 in.
fn two_widths() -> Job {
    let mut job = empty_job();
    job.shop.rip = Some(rip(in64(16), in64(4)));
    job.pieces = vec![
        slat("broad", inches(40), 3, inches(2)),
        slat("slim", inches(30), 4, inches(1)),
    ];
    job.boards = vec![wide("plank", Length::FOOT * 8, in64(352))];
    job
}

fn planned(job: &Job) -> Plan {
    let (instance, origins) = lower(job);
    raise(job, &origins, &first_fit(&instance))
}

/// The plan of the solver, which is stopped soon: what is tested here is not its proofs.
fn solved(job: &Job) -> Plan {
    let n_asked = AtomicU32::new(0);
    let control = Control {
        stop: &|| n_asked.fetch_add(1, Ordering::Relaxed) > 100,
        progress: &|_| {},
    };
    pipeline::plan(job, &control).unwrap().plan
}

/// The sections of the strips of each layout: how many of each item's.
fn layouts(instance: &Instance) -> Vec<Vec<usize>> {
    instance.stocks[0]
        .layouts
        .iter()
        .map(|layout| layout.strips.clone())
        .collect()
}

#[test]
fn a_board_is_one_stock_with_a_layout_for_each_way_to_rip_it() {
    let job = two_widths();
    let (instance, origins) = lower(&job);
    // Derived, in sixty-fourths: room 352 - 16 = 336; strips of 128 + 4 = 132 and 64 + 4 = 68, with kerf 140 and 76 of
    // 344: 2 + 0 (280, 64 left), 1 + 2 (292), 0 + 4 (304). The slim section comes first, as its width is the lesser.
    assert_eq!(instance.stocks.len(), 1);
    assert_eq!(
        layouts(&instance),
        [vec![0, 0, 0, 0], vec![0, 0, 1], vec![1, 1]]
    );
    assert_eq!(origins.items[0].width, Some(inches(1)));
    assert!(origins.is_complete);
}

#[test]
fn strips_lie_one_kerf_apart_and_what_they_leave_is_told() {
    let job = two_widths();
    let plan = solved(&job);
    // Derived: a strip holds two broad ones (80-1/8 of 95 in) or three slim ones (90-1/4), so two broad strips and two
    // slim ones are needed, more than any layout has; one broad and two slim strips, and one broad one, are enough.
    assert_eq!(plan.boards.len(), 2);
    for planned in &plan.boards {
        let mut from_edge = Length::ZERO;
        for strip in &planned.strips {
            assert_eq!(strip.from_edge, from_edge);
            from_edge += strip.width.unwrap() + in64(8);
        }
        let left = in64(336) - from_edge;
        let expected = (left > Length::ZERO).then_some(Beside {
            from_edge,
            width: left,
        });
        assert_eq!(planned.stretches[0].beside, Vec::from_iter(expected));
    }
}

#[test]
fn a_strip_that_nothing_is_cut_from_stays_in_one_piece_with_the_edge() {
    let mut job = two_widths();
    job.pieces.truncate(1);
    job.pieces[0].quantity = 2;
    let plan = solved(&job);
    assert_eq!(plan.boards.len(), 1);
    assert_eq!(plan.boards[0].strips.len(), 1);
    // Derived: 336 - 132 - 8 = 196 sixty-fourths, wide enough for another strip of 132.
    let beside = &plan.boards[0].stretches[0].beside;
    assert_eq!(beside.len(), 1);
    assert_eq!(beside[0].width, in64(196));
}

#[test]
fn what_lies_before_a_strip_past_a_defect_is_left_beside_it() {
    let mut job = two_widths();
    job.pieces.truncate(1);
    job.pieces[0].quantity = 1;
    job.boards[0].quantity = Some(1);
    // So much of the left edge is gone along all of the board that a strip cannot begin there.
    job.boards[0].defects = vec![Defect {
        from: Length::ZERO,
        to: Length::FOOT * 8,
        across: Across::Left(Some(inches(1))),
    }];
    let plan = solved(&job);
    assert_eq!(check(&plan), []);
    let [strip] = &plan.boards[0].strips[..] else {
        unreachable!("one strip");
    };
    let before = Beside {
        from_edge: Length::ZERO,
        width: strip.from_edge - in64(8),
    };
    assert!(before.width > Length::ZERO);
    let from_edge = strip.from_edge + in64(132) + in64(8);
    let behind = Beside {
        from_edge,
        width: in64(336) - from_edge,
    };
    assert_eq!(plan.boards[0].stretches[0].beside, [before, behind]);
    // The one behind is clear, the one before has no clear wood at all.
    let clear = leftovers(&plan)
        .into_iter()
        .filter(|left| matches!(left.kind, LeftoverKind::Edge { .. }))
        .map(|left| (left.width, left.clear));
    let behind = (Some(behind.width), Length::FOOT * 8);
    assert_eq!(clear.collect::<Vec<_>>(), [behind]);
}

#[test]
fn a_board_exactly_as_wide_as_its_section_and_one_of_unknown_width_are_not_ripped() {
    let mut job = two_widths();
    job.boards = vec![
        wide("lath", Length::FOOT * 8, inches(2)),
        board("stick", Length::FOOT * 8, None),
    ];
    let (instance, _) = lower(&job);
    // The lath suits the broad slats only: ripped to 1 in, it would give strips of 68 sixty-fourths, room 112, one.
    for stock in &instance.stocks {
        for layout in &stock.layouts {
            assert_eq!(layout.strips.len(), 1);
        }
    }
    let plan = solved(&job);
    assert!(plan.boards.iter().all(
        |board| board.stretches[0].beside.is_empty() || board.strips[0].width == Some(in64(68))
    ));
}

#[test]
fn mouldings_are_cut_from_thicker_boards_only_where_that_is_allowed() {
    let mut job = empty_job();
    let mut cap = moulding("cap", inches(2), None);
    cap.thickness = Some(in64(52));
    job.mouldings = vec![cap];
    job.frames = vec![frame("Dunes", 1, rectangle(10, 12), 0)];
    let mut rough = wide("rough", Length::FOOT * 8, inches(6));
    rough.thickness = Some(inches(1));
    job.boards = vec![rough];
    job.shop.rip = Some(rip(Length::ZERO, Length::ZERO));
    assert_eq!(lower(&job).0.stocks, []);
    job.mouldings[0].thicker_stock = true;
    let mut plan = solved(&job);
    assert_eq!(plan.missing, []);
    plan.job.mouldings[0].thicker_stock = false;
    assert!(check(&plan).iter().any(|violation| matches!(
        violation,
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::UnsuitableBoard
        }
    )));
    plan.job.mouldings[0].thicker_stock = true;
    plan.job.boards[0].thickness = Some(in64(51));
    assert!(!check(&plan).is_empty());
}

/// What the check finds after `tamper` has been at a sound plan of two widths.
fn after(tamper: impl FnOnce(&mut Job, &mut Plan)) -> Vec<Violation> {
    let mut job = two_widths();
    let mut plan = planned(&job);
    assert_eq!(check(&plan), []);
    assert!(plan.boards[0].strips[0].width.is_some());
    tamper(&mut job, &mut plan);
    plan.job = job;
    check(&plan)
}

macro_rules! assert_found {
    ($found:expr, $form:pat) => {
        let found: Vec<Violation> = $found;
        assert!(
            found.iter().any(|violation| matches!(violation, $form)),
            "{found:?}"
        );
    };
}

#[test]
#[expect(clippy::too_many_lines, reason = "one case for each figure")]
fn whatever_is_wrong_across_a_board_is_caught() {
    const NM: Length = Length::from_nm(1);
    for off in [NM, -NM] {
        assert_found!(
            after(|_, plan| plan.boards[0].strips[0].from_edge += off),
            Violation {
                place: Place {
                    board: Some(0),
                    strip: Some(0),
                    ..
                },
                kind: Kind::Wrong {
                    figure: Figure::StripPlace,
                    ..
                }
            }
        );
        assert_found!(
            after(|_, plan| plan.boards[0].stretches[0].beside[0].width += off),
            Violation {
                place: Place { board: Some(0), .. },
                kind: Kind::Wrong {
                    figure: Figure::EdgeLeft,
                    ..
                }
            }
        );
        assert_found!(
            after(|_, plan| plan.boards[0].strips[0].width = Some(in64(68) + off)),
            Violation {
                place: Place {
                    board: Some(0),
                    strip: Some(0),
                    ..
                },
                kind: Kind::Wrong {
                    figure: Figure::StripWidth,
                    ..
                }
            }
        );
    }
    assert_found!(
        after(|_, plan| plan.boards[0].strips[0].width = None),
        Violation {
            kind: Kind::Wrong {
                figure: Figure::StripWidth,
                ..
            },
            ..
        }
    );
    assert_found!(
        after(|_, plan| plan.boards[0].strips[0].cuts.clear()),
        Violation {
            place: Place {
                board: Some(0),
                strip: Some(0),
                ..
            },
            kind: Kind::EmptyStrip
        }
    );
    assert_found!(
        after(|job, _| job.boards[0].width = Some(in64(290))),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::BeyondEdge { .. }
        }
    );
    assert_found!(
        after(|job, _| job.shop.rip = None),
        Violation {
            kind: Kind::Wrong {
                figure: Figure::StripWidth,
                ..
            },
            ..
        }
    );
    assert_found!(
        after(|job, _| job.shop.rip = Some(rip(in64(16), in64(5)))),
        Violation {
            kind: Kind::Wrong {
                figure: Figure::StripWidth,
                ..
            },
            ..
        }
    );
    assert_found!(
        after(|job, plan| {
            // Two strips on a board that is exactly as wide as one of them.
            let job_width = job.pieces[1].width;
            let second = plan.boards.pop().unwrap();
            plan.boards[0].strips.extend(second.strips);
            job.boards[0].width = job_width;
        }),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::SharedBoard
        }
    );
}

#[test]
fn the_kerf_between_two_strips_is_needed_in_full() {
    let job = two_widths();
    let mut plan = solved(&job);
    let two = plan
        .boards
        .iter()
        .position(|board| board.strips.len() > 1)
        .unwrap();
    plan.boards[two].strips[1].from_edge -= Length::from_nm(1);
    let found = check(&plan);
    assert!(
        matches!(
            found[..],
            [Violation {
                place: Place { strip: Some(1), .. },
                kind: Kind::Wrong {
                    figure: Figure::StripPlace,
                    ..
                }
            }]
        ),
        "{found:?}"
    );
    assert_eq!(
        found[0].to_string(),
        format!(
            "board of the plan {}, strip 2: its distance from the edge is given as {} nm and must be {} nm",
            two + 1,
            plan.boards[two].strips[1].from_edge.nm(),
            plan.boards[two].strips[1].from_edge.nm() + 1
        )
    );
}

fn any_rip() -> impl Strategy<Value = Rip> {
    (0_i64..12, 0_i64..24, 0_i64..6, prop::option::of(0_i64..64)).prop_map(
        |(kerf, straightening, planing, narrowest)| Rip {
            kerf: in64(kerf),
            straightening: in64(straightening),
            planing: in64(planing),
            plane_off: Length::ZERO,
            narrowest_offcut: narrowest.map(in64),
            ..crate::samples::rip()
        },
    )
}

fn any_rip_job() -> impl Strategy<Value = Job> {
    let pieces = prop::collection::vec(
        (
            8_i64..50,
            1_u32..5,
            any::<bool>(),
            prop::option::of(32_i64..160),
        ),
        1..5,
    );
    let boards = prop::collection::vec(
        (
            24_i64..120,
            prop::option::weighted(0.9, 32_i64..600),
            prop::option::of(1_u32..4),
            0_i64..4_000,
        ),
        1..5,
    );
    let frames = prop::collection::vec((5_i64..20, 5_i64..20, 0_usize..2), 0..4);
    (any_rip(), pieces, boards, frames).prop_map(|(rip, pieces, boards, frames)| {
        let mut job = empty_job();
        job.shop.rip = Some(rip);
        job.mouldings = vec![
            moulding("cap", in64(100), None),
            moulding("slip", in64(60), None),
        ];
        job.frames = frames
            .into_iter()
            .map(|(width, height, idx)| frame("frame", 1, rectangle(width, height), idx))
            .collect();
        job.pieces = pieces
            .into_iter()
            .map(|(length, quantity, square, width)| Piece {
                width: width.map(in64),
                ends: if square { Ends::Square } else { Ends::Miter },
                ..piece("piece", inches(length), quantity, Ends::Square)
            })
            .collect();
        job.boards = boards
            .into_iter()
            .map(|(length, width, quantity, price)| Board {
                width: width.map(in64),
                quantity,
                ..priced(board("board", inches(length), None), price)
            })
            .collect();
        job
    })
}

proptest! {
    #![proptest_config(cases!())]

    #[test]
    fn every_random_rip_job_gives_a_clean_plan(job in any_rip_job()) {
        let plan = planned(&job);
        prop_assert_eq!(check( &plan), []);
        prop_assert_eq!(cautions( &plan).last().copied(), Some(Caution::Deferral));
    }

    #[test]
    fn boards_exactly_one_strip_wide_give_the_one_stage_model(
        job in any_rip_job(),
        width in 32_i64..160,
    ) {
        let mut job = job;
        for piece in &mut job.pieces {
            piece.width = Some(in64(width));
        }
        for moulding in &mut job.mouldings {
            moulding.face_width = in64(width);
            moulding.lip = in64(16);
        }
        for board in &mut job.boards {
            board.width = Some(in64(width));
        }
        let mut one_stage = job.clone();
        one_stage.shop.rip = None;
        prop_assert_eq!(lower(&job), lower(&one_stage));
        let ripped = planned(&job);
        // But for the job itself.
        let whole = Plan { job, ..planned(&one_stage) };
        prop_assert_eq!(ripped, whole);
    }
}

proptest! {
    #![proptest_config(cases!(24))]

    #[test]
    fn small_rip_jobs_are_planned_and_checked_by_the_whole_pipeline(job in any_rip_job()) {
        let plan = solved(&job);
        prop_assert!(plan.lower_bound <= plan.value);
    }
}
