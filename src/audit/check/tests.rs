//! A sound plan, and everything that can be done to it; nothing may pass.

use std::collections::BTreeMap;

use super::*;
use crate::bridge::{lower, raise};
use crate::frame::{Grain, Milled, Outline, Profile};
use crate::job::{Ends, Job, Piece, Purpose};
use crate::length::Length;
use crate::plan::Measure;
use crate::plan::{Beside, Cut, Part, SpareOffcut};
use crate::samples::{
    board, empty_job, first_fit, frame, in64, inches, mixed_job, moulding, piece, rectangle, slat,
};
use crate::stock::{Across, Board, Defect, InHand, Price, Rip};

fn sound() -> (Job, Plan) {
    let job = mixed_job();
    let (instance, origins) = lower(&job);
    let plan = raise(&job, &origins, &first_fit(&instance));
    assert_eq!(check(&plan), []);
    (job, plan)
}

/// What `check` says after `tamper` has been at a sound plan.
fn after(tamper: impl FnOnce(&mut Plan)) -> Vec<Violation> {
    let (_, mut plan) = sound();
    tamper(&mut plan);
    check(&plan)
}

/// What `check` says of a sound plan after `tamper` has been at its job.
fn under(tamper: impl FnOnce(&mut Job)) -> Vec<Violation> {
    let (_, mut plan) = sound();
    tamper(&mut plan.job);
    check(&plan)
}

/// Whether one of `found` is of the given form.
macro_rules! assert_found {
    ($found:expr, $form:pat) => {
        let found: Vec<Violation> = $found;
        assert!(
            found.iter().any(|violation| matches!(violation, $form)),
            "{found:?}"
        );
    };
}

const NM: Length = Length::from_nm(1);

#[test]
fn the_sample_has_what_the_tampering_needs() {
    let (_, plan) = sound();
    assert!(plan.boards.len() >= 5);
    assert!(plan.boards[0].strips[0].cuts.len() >= 3);
    assert!(
        plan.boards
            .iter()
            .any(|board| board.strips[0].moulding_idx.is_none())
    );
}

#[test]
fn an_unknown_board_is_caught() {
    assert_found!(
        after(|plan| plan.boards[0].board_idx = 99),
        Violation {
            place: Place {
                board: Some(0),
                line: Some(99),
                ..
            },
            kind: Kind::UnknownBoard
        }
    );
}

#[test]
fn unknown_parts_are_caught() {
    for part in [
        Part::Rail {
            frame_idx: 99,
            copy: 1,
            side: 0,
        },
        Part::Rail {
            frame_idx: 0,
            copy: 0,
            side: 0,
        },
        Part::Rail {
            frame_idx: 0,
            copy: 3,
            side: 0,
        },
        Part::Rail {
            frame_idx: 0,
            copy: 1,
            side: 4,
        },
        Part::Loose {
            piece_idx: 99,
            copy: 1,
        },
        Part::Loose {
            piece_idx: 0,
            copy: u32::MAX,
        },
    ] {
        let found = after(|plan| plan.boards[0].strips[0].cuts[0].part = part);
        assert!(
            found.contains(&Place::part(part).has(Kind::UnknownPart)),
            "{found:?}"
        );
    }
}

#[test]
fn a_part_cut_twice_is_caught_and_so_is_the_one_it_replaced() {
    let (_job, mut plan) = sound();
    let kept = plan.boards[0].strips[0].cuts[0].part;
    let replaced = plan.boards[0].strips[0].cuts[1].part;
    plan.boards[0].strips[0].cuts[1].part = kept;
    let found = check(&plan);
    assert!(found.contains(&Place::part(kept).has(Kind::RepeatedPart)));
    assert!(found.contains(&Place::part(replaced).has(Kind::LostPart)));
}

#[test]
fn every_single_part_left_out_is_caught_by_name() {
    let (_job, plan) = sound();
    for (board, planned) in plan.boards.iter().enumerate() {
        for (position, cut) in planned.strips[0].cuts.iter().enumerate() {
            let mut less = plan.clone();
            less.boards[board].strips[0].cuts.remove(position);
            let found = check(&less);
            assert!(found.contains(&Place::part(cut.part).has(Kind::LostPart)));
        }
    }
}

#[test]
fn a_part_both_cut_and_called_missing_is_caught() {
    assert_found!(
        after(|plan| {
            let part = plan.boards[0].strips[0].cuts[0].part;
            plan.missing.push(part);
        }),
        Violation {
            kind: Kind::RepeatedPart,
            ..
        }
    );
}

#[test]
fn a_length_off_by_a_nanometer_is_caught_on_every_cut() {
    let (_job, plan) = sound();
    for board in 0..plan.boards.len() {
        for cut in 0..plan.boards[board].strips[0].cuts.len() {
            for off in [NM, -NM] {
                let mut wrong = plan.clone();
                wrong.boards[board].strips[0].cuts[cut].to += off;
                let part = plan.boards[board].strips[0].cuts[cut].part;
                assert!(check(&wrong).iter().any(|violation| matches!(
                    violation,
                    Violation { place: Place { part: Some(named), .. }, kind: Kind::Wrong { figure: Figure::Length, .. } } if *named == part
                )));
            }
        }
    }
}

#[test]
fn a_cut_moved_by_a_nanometer_in_either_direction_is_caught() {
    let (_job, plan) = sound();
    for board in 0..plan.boards.len() {
        for cut in 0..plan.boards[board].strips[0].cuts.len() {
            let mut left = plan.clone();
            left.boards[board].strips[0].cuts[cut].from -= NM;
            left.boards[board].strips[0].cuts[cut].to -= NM;
            assert_ne!(check(&left), [], "board {board}, cut {cut}, left");
            let mut right = plan.clone();
            right.boards[board].strips[0].cuts[cut].from += NM;
            right.boards[board].strips[0].cuts[cut].to += NM;
            assert_ne!(check(&right), [], "board {board}, cut {cut}, right");
        }
    }
}

#[test]
fn cuts_in_the_trims_are_caught() {
    assert_found!(
        after(|plan| {
            let first = &mut plan.boards[0].strips[0].cuts[0];
            first.from -= NM;
            first.to -= NM;
        }),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::InNearTrim { .. }
        }
    );
    assert_found!(
        after(|plan| {
            let board = &mut plan.boards[0].strips[0];
            let shift = board.offcut + Length::INCH;
            let last = board.cuts.last_mut().unwrap();
            last.from += shift;
            last.to += shift;
        }),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::InFarTrim { .. }
        }
    );
    assert_found!(
        under(|job| job.shop.end_trim += NM),
        Violation {
            kind: Kind::InNearTrim { .. },
            ..
        }
    );
    assert_found!(
        under(|job| job.boards[0].length = Length::FOOT * 7),
        Violation {
            kind: Kind::InFarTrim { .. },
            ..
        }
    );
}

#[test]
fn gaps_below_the_kerf_and_overlaps_are_caught() {
    assert_found!(
        after(|plan| {
            for cut in &mut plan.boards[0].strips[0].cuts[1..] {
                cut.from -= NM;
                cut.to -= NM;
            }
        }),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::NarrowGap { .. }
        }
    );
    assert_found!(
        after(|plan| {
            let cuts = &mut plan.boards[0].strips[0].cuts;
            cuts[1] = Cut {
                turned: false,
                part: cuts[1].part,
                ..cuts[0]
            };
        }),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::NarrowGap { .. }
        }
    );
    assert_found!(
        under(|job| job.shop.kerf += NM),
        Violation {
            kind: Kind::NarrowGap { .. },
            ..
        }
    );
}

#[test]
fn cuts_out_of_order_are_caught() {
    // Two neighbors of unequal length change places, each in the other's gap.
    assert_found!(
        after(|plan| {
            let unequal =
                plan.boards
                    .iter_mut()
                    .find_map(|board| {
                        let at = board.strips[0].cuts.windows(2).position(|pair| {
                            pair[0].to - pair[0].from > pair[1].to - pair[1].from
                        })?;
                        Some(&mut board.strips[0].cuts[at..at + 2])
                    })
                    .unwrap();
            let gap = unequal[1].from - unequal[0].to;
            let short = unequal[1].to - unequal[1].from;
            let start = unequal[0].from;
            let end = unequal[1].to;
            unequal[1] = Cut {
                turned: false,
                from: start,
                to: start + short,
                ..unequal[1]
            };
            unequal[0] = Cut {
                turned: false,
                from: start + short + gap,
                to: end,
                ..unequal[0]
            };
            unequal.swap(0, 1);
        }),
        Violation {
            kind: Kind::OutOfOrder,
            ..
        }
    );
    assert_found!(
        after(|plan| plan.boards[0].strips[0].cuts.reverse()),
        Violation {
            kind: Kind::NarrowGap { .. },
            ..
        }
    );
}

/// A board with a short mitered strut before a long square slat, with the larger kerf between them.
fn two_kerfs() -> (Job, Plan) {
    let mut job = empty_job();
    job.pieces = vec![
        piece("strut", Length::INCH * 14, 1, Ends::Miter),
        piece("slat", Length::INCH * 40, 1, Ends::Square),
    ];
    job.boards = vec![board("stick", Length::FOOT * 8, None)];
    let (instance, origins) = lower(&job);
    let plan = raise(&job, &origins, &first_fit(&instance));
    assert_eq!(check(&plan), []);
    assert_eq!(plan.boards[0].strips[0].cuts.len(), 2);
    (job, plan)
}

#[test]
fn the_larger_of_two_kerfs_is_needed_between_neighbors() {
    let (_job, mut plan) = two_kerfs();
    let slat = &mut plan.boards[0].strips[0].cuts[1];
    slat.from -= NM;
    slat.to -= NM;
    plan.boards[0].strips[0].offcut += NM;
    let found = check(&plan);
    assert!(
        matches!(
            found[..],
            [Violation {
                place: Place { board: Some(0), .. },
                kind: Kind::NarrowGap { .. }
            }]
        ),
        "{found:?}"
    );
}

#[test]
fn the_larger_kerf_comes_first_even_on_a_shorter_cut() {
    let (job, mut plan) = two_kerfs();
    let kerf = plan.boards[0].strips[0].cuts[1].from - plan.boards[0].strips[0].cuts[0].to;
    let square_kerf = job.shop.kerf;
    let cuts = &mut plan.boards[0].strips[0].cuts;
    let strut = cuts[0];
    let start = strut.from;
    cuts[0] = Cut {
        turned: false,
        part: cuts[1].part,
        from: start,
        to: start + Length::INCH * 40,
    };
    cuts[1] = Cut {
        turned: false,
        part: strut.part,
        from: start + Length::INCH * 40 + kerf,
        to: start + Length::INCH * 54 + kerf,
    };
    plan.boards[0].strips[0].offcut -= kerf - square_kerf;
    let found = check(&plan);
    assert!(
        matches!(
            found[..],
            [Violation {
                place: Place { board: Some(0), .. },
                kind: Kind::OutOfOrder
            }]
        ),
        "{found:?}"
    );
}

#[test]
fn a_wrong_offcut_is_caught() {
    let (_, plan) = sound();
    for board in 0..plan.boards.len() {
        for off in [NM, -NM] {
            let found = after(|plan| plan.boards[board].strips[0].offcut += off);
            assert!(
                matches!(found[..], [Violation { place: Place { board: Some(named), .. }, kind: Kind::Wrong { figure: Figure::Offcut, .. } }] if named == board),
                "{found:?}"
            );
        }
    }
}

#[test]
fn an_empty_board_is_caught() {
    assert_found!(
        after(|plan| {
            let mut extra = plan.boards[0].clone();
            extra.strips.clear();
            plan.boards.push(extra);
        }),
        Violation {
            kind: Kind::EmptyBoard,
            ..
        }
    );
}

#[test]
fn sections_mixed_on_a_board_are_caught() {
    // A spacer of plain wood changes places with a rail.
    let (_job, mut plan) = sound();
    let loose = plan
        .boards
        .iter()
        .position(|board| board.strips[0].moulding_idx.is_none())
        .unwrap();
    let rail = plan.boards[0].strips[0].cuts[1].part;
    let spacer = plan.boards[loose].strips[0].cuts[0].part;
    plan.boards[0].strips[0].cuts[1].part = spacer;
    plan.boards[loose].strips[0].cuts[0].part = rail;
    assert_found!(
        check(&plan),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::MixedSections
        }
    );
}

#[test]
fn a_board_said_to_be_milled_to_something_else_is_caught() {
    for moulding_idx in [None, Some(1), Some(99)] {
        assert_found!(
            after(|plan| plan.boards[0].strips[0].moulding_idx = moulding_idx),
            Violation {
                place: Place { board: Some(0), .. },
                kind: Kind::WrongMoulding { .. }
            }
        );
    }
}

#[test]
fn boards_that_do_not_suit_are_caught() {
    assert_found!(
        under(|job| job.boards[0].material = Some("pine".to_owned())),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::UnsuitableBoard
        }
    );
    assert_found!(
        under(|job| job.boards[0].width = Some(Length::INCH)),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::UnsuitableBoard
        }
    );
    assert_found!(
        under(|job| {
            job.mouldings[0].thickness = Some(Length::INCH);
            job.boards[0].thickness = Some(Length::INCH * 2);
        }),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::UnsuitableBoard
        }
    );
    assert_found!(
        under(|job| job.pieces[1].material = Some("ebony".to_owned())),
        Violation {
            kind: Kind::UnsuitableBoard,
            ..
        }
    );
}

#[test]
fn a_milled_piece_used_for_another_moulding_is_caught() {
    let milled_to = |profile: &str| {
        under(|job| {
            for board in &mut job.boards {
                board.quantity = None;
                board.in_hand = Some(InHand {
                    moulding: Some(profile.to_owned()),
                    ..InHand::default()
                });
            }
            // Plain wood is cut from no milled piece whatever.
            for board in &mut job.boards[3..] {
                board.in_hand = None;
            }
        })
    };
    let unsuitable = |profile: &str| -> Vec<usize> {
        let found = milled_to(profile).into_iter();
        found
            .filter(|violation| violation.kind == Kind::UnsuitableBoard)
            .filter_map(|violation| violation.place.board)
            .collect()
    };
    let (job, plan) = sound();
    let milled = |moulding_idx: usize| -> Vec<usize> {
        (0..plan.boards.len())
            .filter(|&at| plan.boards[at].board_idx < 3)
            .filter(|&at| plan.boards[at].strips[0].moulding_idx != Some(moulding_idx))
            .collect()
    };
    for (idx, moulding) in job.mouldings.iter().enumerate() {
        assert!(!milled(idx).is_empty());
        assert_eq!(unsuitable(&moulding.profile), milled(idx));
    }
}

#[test]
fn one_board_more_than_there_are_is_caught() {
    let (_, mut plan) = sound();
    let taken = plan.boards.iter().filter(|board| board.board_idx == 0);
    let taken = u32::try_from(taken.count()).unwrap();
    plan.job.boards[0].quantity = Some(taken);
    assert_eq!(check(&plan), []);
    plan.job.boards[0].quantity = Some(taken - 1);
    assert_eq!(
        check(&plan),
        [Place::line(0).has(Kind::SupplyExceeded {
            taken: taken.into(),
            supply: taken - 1
        })]
    );
}

#[test]
fn boards_where_there_are_none_are_caught() {
    let found = under(|job| job.boards[0].quantity = Some(0));
    assert!(
        matches!(
            found[..],
            [Violation {
                place: Place { line: Some(0), .. },
                kind: Kind::SupplyExceeded { supply: 0, .. }
            }]
        ),
        "{found:?}"
    );
}

#[test]
fn wrong_numbers_are_caught() {
    let found = after(|plan| plan.boards[1].number = 1);
    assert!(
        matches!(
            found[..],
            [Violation {
                place: Place { board: Some(1), .. },
                kind: Kind::Wrong {
                    figure: Figure::Number,
                    ..
                }
            }]
        ),
        "{found:?}"
    );
    assert_found!(
        after(|plan| plan.boards[0].number = 0),
        Violation {
            place: Place { board: Some(0), .. },
            kind: Kind::Wrong {
                figure: Figure::Number,
                ..
            }
        }
    );
}

#[test]
fn wrong_pattern_numbers_are_caught() {
    let (_, plan) = sound();
    for board in 0..plan.boards.len() {
        for wrong in [0, plan.boards[board].pattern + 1, u32::MAX] {
            assert_found!(
                after(|plan| plan.boards[board].pattern = wrong),
                Violation {
                    kind: Kind::Wrong {
                        figure: Figure::Pattern,
                        ..
                    },
                    ..
                }
            );
        }
    }
}

#[test]
fn boards_cut_alike_must_stand_together() {
    // The three boards of one pattern, and another pattern moved between them.
    let mut job = mixed_job();
    job.frames.truncate(1);
    job.frames[0].quantity = 9;
    job.pieces.clear();
    let (instance, origins) = lower(&job);
    let mut plan = raise(&job, &origins, &first_fit(&instance));
    assert_eq!(check(&plan), []);
    assert_eq!(plan.boards[0].pattern, plan.boards[1].pattern);
    let last = plan.boards.len() - 1;
    assert_ne!(plan.boards[0].pattern, plan.boards[last].pattern);
    plan.boards.swap(1, last);
    // Numbers put right, so that only the patterns are wrong.
    for (number, board) in (1..).zip(&mut plan.boards) {
        board.number = number;
    }
    let only_patterns = |plan: &Plan| {
        let found = check(plan);
        !found.is_empty()
            && found.iter().all(|violation| {
                matches!(
                    violation,
                    Violation {
                        kind: Kind::Wrong {
                            figure: Figure::Pattern,
                            ..
                        },
                        ..
                    }
                )
            })
    };
    assert!(only_patterns(&plan));
    // Nor does it help to number the patterns by their first appearance.
    let mut renumbered = BTreeMap::new();
    for board in &mut plan.boards {
        let next = u32::try_from(renumbered.len()).unwrap() + 1;
        board.pattern = *renumbered.entry(board.pattern).or_insert(next);
    }
    assert!(only_patterns(&plan));
}

#[test]
fn a_wrong_value_or_measure_is_caught() {
    assert_found!(
        after(|plan| plan.value += 1),
        Violation {
            kind: Kind::Wrong {
                figure: Figure::Value,
                ..
            },
            ..
        }
    );
    assert_found!(
        after(|plan| plan.measure = Measure::BoardLength),
        Violation {
            kind: Kind::WrongMeasure { .. },
            ..
        }
    );
    assert_found!(
        under(|job| job.boards[0].price = None),
        Violation {
            kind: Kind::Wrong {
                figure: Figure::Value,
                ..
            },
            ..
        }
    );
    assert_found!(
        under(|job| {
            for board in &mut job.boards {
                board.price = None;
            }
        }),
        Violation {
            kind: Kind::WrongMeasure { .. },
            ..
        }
    );
    assert_found!(
        under(|job| job.boards[0].price = Some(Price::PerBoardFoot {
            money: crate::money::Money::from_minor(1),
            measure: crate::stock::BoardMeasure::Exact,
        })),
        Violation {
            place: Place { line: Some(0), .. },
            kind: Kind::UnknownCost
        }
    );
}

#[test]
fn bounds_above_their_values_are_caught() {
    assert_found!(
        after(|plan| plan.lower_bound = plan.value + 1),
        Violation {
            kind: Kind::BoundAboveValue { .. },
            ..
        }
    );
    assert_found!(
        after(|plan| plan.missing_lower_bound = 1),
        Violation {
            kind: Kind::MissingBoundAboveMissing { .. },
            ..
        }
    );
}

#[test]
fn optimal_is_said_exactly_when_both_bounds_meet() {
    assert_found!(
        after(|plan| plan.verdict = Verdict::Optimal),
        Violation {
            kind: Kind::WrongVerdict {
                bounds_meet: false,
                ..
            },
            ..
        }
    );
    assert_found!(
        after(|plan| plan.lower_bound = plan.value),
        Violation {
            kind: Kind::WrongVerdict {
                bounds_meet: true,
                ..
            },
            ..
        }
    );
    assert_eq!(
        after(|plan| {
            plan.lower_bound = plan.value;
            plan.verdict = Verdict::Optimal;
        }),
        []
    );
}

#[test]
fn a_changed_job_is_caught() {
    assert_found!(
        under(|job| job.frames[0].quantity += 1),
        Violation {
            kind: Kind::LostPart,
            ..
        }
    );
    assert_found!(
        under(|job| job.shop.fit_allowance += NM),
        Violation {
            kind: Kind::Wrong {
                figure: Figure::Length,
                ..
            },
            ..
        }
    );
    assert_found!(
        under(|job| job.mouldings[0].lip += NM),
        Violation {
            kind: Kind::Wrong {
                figure: Figure::Length,
                ..
            },
            ..
        }
    );
    assert_found!(
        under(|job| job.frames[0].mat = None),
        Violation {
            kind: Kind::Wrong {
                figure: Figure::Length,
                ..
            },
            ..
        }
    );
    assert_found!(
        under(|job| job.mouldings[1].face_width += NM),
        Violation {
            kind: Kind::Wrong {
                figure: Figure::Length,
                ..
            },
            ..
        }
    );
}

#[test]
fn nonsense_is_judged_without_a_panic() {
    let far = Length::from_nm(i64::MAX);
    let near = Length::from_nm(i64::MIN);
    assert_found!(
        after(|plan| {
            plan.boards[0].strips[0].cuts[0].from = near;
            plan.boards[0].strips[0].cuts[0].to = far;
            plan.boards[0].strips[0].offcut = near;
            plan.value = i64::MIN;
            plan.lower_bound = i64::MAX;
        }),
        Violation {
            kind: Kind::InFarTrim { .. },
            ..
        }
    );
}

#[test]
fn violations_say_what_and_where() {
    let part = Part::Rail {
        frame_idx: 1,
        copy: 2,
        side: 3,
    };
    let place = Place::board(4).with_strip(0).with_part(part);
    let (gap_nm, needed_nm) = (10, 20);
    assert_eq!(
        place.has(Kind::NarrowGap { gap_nm, needed_nm }).to_string(),
        "board of the plan 5, strip 1, part `frame 2, copy 2, side 4`: 10 nm lie before it and the kerf takes 20 nm"
    );
    assert_eq!(
        wrong(Place::WHOLE, Figure::Value, 3, 4).to_string(),
        "the value of the plan is given as 3 and must be 4"
    );
    let (piece_idx, copy) = (0, 7);
    let lost = Place::part(Part::Loose { piece_idx, copy }).has(Kind::LostPart);
    assert_eq!(
        lost.to_string(),
        "part `piece 1, copy 7`: it is neither cut nor called missing"
    );
}

/// A frame of rails 14 1/8 and 22 1/8 in, faces of 1 1/4 in, on a moulding that is the same from either edge.
fn turned() -> (Job, Plan) {
    let mut job = empty_job();
    job.mouldings = vec![moulding("flat", in64(80), None)];
    job.mouldings[0].section = Profile::Symmetric;
    job.mouldings[0].lip = in64(80) - in64(16);
    job.frames = vec![frame("one", 1, rectangle(14, 22), 0)];
    job.boards = vec![board("b", inches(96), None)];
    let (instance, origins) = lower(&job);
    let plan = raise(&job, &origins, &first_fit(&instance));
    (job, plan)
}

#[test]
fn turned_rails_a_nanometer_too_near_are_caught_on_either_edge() {
    let (_job, plan) = turned();
    assert_eq!(check(&plan), []);
    let n_turned = plan.boards[0].cuts().filter(|cut| cut.turned).count();
    assert_eq!(n_turned, 2);
    for moved in 1..4 {
        let mut near = plan.clone();
        let strip = &mut near.boards[0].strips[0];
        for cut in &mut strip.cuts[moved..] {
            cut.from -= Length::from_nm(1);
            cut.to -= Length::from_nm(1);
        }
        strip.offcut += Length::from_nm(1);
        assert_found!(
            check(&near),
            Violation {
                kind: Kind::NarrowGap { .. },
                ..
            }
        );
    }
    // The same places lying all one way overlap along the outer edge.
    let mut straight = plan.clone();
    for cut in &mut straight.boards[0].strips[0].cuts {
        cut.turned = false;
    }
    assert_found!(
        check(&straight),
        Violation {
            kind: Kind::NarrowGap { .. },
            ..
        }
    );
}

#[test]
fn rails_of_other_miters_share_no_cut() {
    let (mut job, _) = turned();
    let hexagon = Outline::of_side(6, inches(5));
    job.frames.push(frame("six", 1, hexagon, 0));
    job.boards = vec![board("b", inches(140), None)];
    let (instance, origins) = lower(&job);
    let sound = raise(&job, &origins, &first_fit(&instance));
    let cuts = &sound.boards[0].strips[0].cuts;
    let is_of_six = |cut: &Cut| cut.part.miter(&job) == cuts[0].part.miter(&job);
    let border = cuts.iter().position(|cut| !is_of_six(cut)).unwrap();
    assert_eq!((sound.missing.len(), cuts.len()), (0, 10));
    // A run may lie either way round as a whole.
    for flips in [false, true] {
        let mut plan = sound.clone();
        let cuts = &mut plan.boards[0].strips[0].cuts;
        cuts[border..]
            .iter_mut()
            .for_each(|cut| cut.turned ^= flips);
        assert_eq!(check(&plan), []);
        let strip = &mut plan.boards[0].strips[0];
        for cut in &mut strip.cuts[border..] {
            cut.from -= NM;
            cut.to -= NM;
        }
        strip.offcut += NM;
        assert_found!(
            check(&plan),
            Violation {
                kind: Kind::NarrowGap { .. },
                ..
            }
        );
    }
}

#[test]
fn a_rail_turned_where_edges_differ_is_caught() {
    let (_, mut plan) = turned();
    plan.job.mouldings[0].section = Profile::Handed;
    assert_found!(
        check(&plan),
        Violation {
            kind: Kind::MayNotBeTurned,
            ..
        }
    );
    plan.job.mouldings[0].milled = Milled::AfterCutting;
    assert_eq!(check(&plan), []);
    // Rails that carry the grain on lie all the same way round.
    plan.job.mouldings[0].grain = Grain::Opposite;
    assert_found!(
        check(&plan),
        Violation {
            kind: Kind::MayNotBeTurned,
            ..
        }
    );
}

/// Two slats of 2 in with a kerf of 1/8 in, ripped from a board that loses 1/4 in to straightening.
fn ripped(width: Length, defects: Vec<Defect>) -> Plan {
    let mut job = empty_job();
    job.shop.rip = Some(Rip {
        kerf: in64(8),
        straightening: in64(16),
        planing: Length::ZERO,
        plane_off: Length::ZERO,
        ..crate::samples::rip()
    });
    job.pieces = vec![slat("slat", inches(30), 2, inches(2))];
    job.boards = vec![Board {
        width: Some(width),
        defects,
        ..board("plank", inches(40), None)
    }];
    let (instance, origins) = lower(&job);
    raise(&job, &origins, &first_fit(&instance))
}

/// What is wrong across the first board.
fn figures(plan: &Plan) -> Vec<Figure> {
    let figures = check(plan)
        .into_iter()
        .filter_map(|violation| match violation.kind {
            Kind::Wrong { figure, .. } => Some(figure),
            _ => None,
        });
    figures.collect()
}

#[test]
fn strips_that_fill_a_board_to_the_nanometer_are_sound_and_no_other_place_is() {
    let sound = ripped(inches(4) + in64(24), Vec::new());
    assert_eq!(check(&sound), []);
    assert_eq!((sound.boards.len(), sound.boards[0].strips.len()), (1, 2));
    for strip in [0, 1] {
        for off in [NM, -NM] {
            let mut plan = sound.clone();
            plan.boards[0].strips[strip].from_edge += off;
            assert!(figures(&plan).contains(&Figure::StripPlace), "{strip}");
            let mut plan = sound.clone();
            let width = plan.boards[0].strips[strip].width.unwrap();
            plan.boards[0].strips[strip].width = Some(width + off);
            assert!(figures(&plan).contains(&Figure::StripWidth), "{strip}");
        }
    }
    let mut plan = sound.clone();
    plan.boards[0].stretches[0].beside.push(Beside {
        from_edge: Length::ZERO,
        width: NM,
    });
    assert_eq!(figures(&plan), [Figure::EdgePlace, Figure::EdgeLeft]);
    // A nanometer less of the board, and the second strip has no room.
    let mut plan = sound;
    plan.job.boards[0].width = Some(inches(4) + in64(24) - NM);
    assert_found!(
        check(&plan),
        Violation {
            kind: Kind::BeyondEdge { .. },
            ..
        }
    );
}

#[test]
fn past_a_defect_on_one_side_strips_may_stand_apart_but_a_kerf_from_the_edge() {
    let knot = Defect {
        from: inches(35),
        to: inches(36),
        across: Across::Left(Some(in64(1))),
    };
    let sound = ripped(inches(6), vec![knot]);
    assert_eq!((sound.boards.len(), sound.boards[0].strips.len()), (1, 2));
    let apart = |first, second| {
        let mut plan = sound.clone();
        plan.boards[0].strips[0].from_edge = first;
        plan.boards[0].strips[1].from_edge = second;
        figures(&plan).contains(&Figure::StripPlace)
    };
    let kerf = in64(8);
    let second = inches(2) + kerf;
    assert!(!apart(Length::ZERO, second));
    assert!(!apart(Length::ZERO, second + NM));
    assert!(apart(Length::ZERO, second - NM));
    // What is ripped off at the edge takes a kerf.
    assert!(!apart(kerf, second + kerf));
    assert!(apart(kerf - NM, second + kerf));
    assert!(apart(kerf, second + kerf - NM));
}

#[test]
fn a_board_that_is_one_strip_is_not_shared() {
    let mut plan = ripped(inches(6), Vec::new());
    plan.job.boards[0].width = None;
    assert_found!(
        check(&plan),
        Violation {
            kind: Kind::SharedBoard,
            ..
        }
    );
}

#[test]
fn what_is_left_on_purpose_lies_on_a_strip_of_the_plan() {
    let mut job = empty_job();
    let spare = Piece {
        purpose: Purpose::SpareOffcut,
        ..piece("spare", inches(20), 1, Ends::Square)
    };
    job.pieces = vec![piece("bar", inches(30), 1, Ends::Square), spare];
    job.boards = vec![board("stick", inches(60), None)];
    let (instance, origins) = lower(&job);
    let sound = raise(&job, &origins, &first_fit(&instance));
    assert_eq!(check(&sound), []);
    let of_spare = |tamper: fn(&mut SpareOffcut)| {
        let mut plan = sound.clone();
        tamper(&mut plan.spare_offcuts[0]);
        check(&plan)
    };
    let tampers: [fn(&mut SpareOffcut); 4] = [
        |spare| spare.board = 1,
        |spare| spare.strip = 1,
        // What is wanted is not left, and what nobody knows neither.
        |spare| {
            spare.part = Part::Loose {
                piece_idx: 0,
                copy: 1,
            };
        },
        |spare| {
            spare.part = Part::Loose {
                piece_idx: 9,
                copy: 1,
            };
        },
    ];
    for tamper in tampers {
        assert_found!(
            of_spare(tamper),
            Violation {
                kind: Kind::NotLeft,
                ..
            }
        );
    }
}

#[test]
fn a_chain_of_which_only_one_rail_is_there_is_broken() {
    let mut job = empty_job();
    job.mouldings = vec![moulding("cap", inches(1), None)];
    job.mouldings[0].grain = Grain::Frame;
    job.frames = vec![frame("Sea", 1, rectangle(8, 10), 0)];
    job.boards = vec![board("stick", inches(60), None)];
    let (instance, origins) = lower(&job);
    let mut plan = raise(&job, &origins, &first_fit(&instance));
    assert_eq!(check(&plan), []);
    for n_rails in [3, 2, 1] {
        plan.boards[0].strips[0].cuts.truncate(n_rails);
        assert_found!(
            check(&plan),
            Violation {
                kind: Kind::BrokenChain,
                ..
            }
        );
    }
}
