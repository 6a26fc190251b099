use super::*;
use crate::bridge::{lower, raise};
use crate::job::Ends;
use crate::plan::KeptPiece;
use crate::plan::Part;
use crate::samples::{board, empty_job, first_fit, in16, inches, moulding, piece, slat};
use crate::stock::{Defect, InHand, Rip};

/// A piece in hand, of walnut, 1 in thick and 2 in wide.
fn in_hand(name: &str, length: i64) -> Board {
    Board {
        thickness: Some(inches(1)),
        width: Some(inches(2)),
        quantity: Some(1),
        in_hand: Some(InHand::default()),
        ..board(name, inches(length), Some("walnut"))
    }
}

/// A job that wants 20 in of a walnut cap, 1 in thick and 2 in wide, and a slat of ash; it buys both from one line.
fn job() -> Job {
    let mut job = empty_job();
    let mut cap = moulding("cap", inches(2), Some("walnut"));
    cap.thickness = Some(inches(1));
    job.mouldings = vec![cap];
    let mut bar = piece("bar", inches(20), 1, Ends::Square);
    bar.moulding_idx = Some(0);
    let mut thin = slat("thin", inches(30), 1, inches(1));
    thin.material = Some("ash".to_owned());
    job.pieces = vec![bar, thin];
    job.shop.rip = Some(Rip {
        kerf: in16(2),
        straightening: in16(4),
        planing: in16(1),
        plane_off: in16(2),
        ..crate::samples::rip()
    });
    job.boards = vec![board("bought", inches(60), None)];
    job
}

/// Why each piece in hand is left by a plan that takes none of them.
fn why(pieces: Vec<Board>) -> Vec<(String, WhyUnused)> {
    let mut job = job();
    let bought = job.boards.len();
    let plain = {
        let (instance, origins) = lower(&job);
        raise(&job, &origins, &first_fit(&instance))
    };
    job.boards.extend(pieces);
    let plan = Plan { job, ..plain };
    let found = unused(&plan).into_iter();
    let named = found.map(|unused| {
        assert!(unused.board_idx >= bought && unused.count == 1);
        (plan.job.boards[unused.board_idx].name.clone(), unused.why)
    });
    named.collect()
}

#[test]
fn every_piece_that_is_left_has_its_reason() {
    let milled = |name: &str, profile: &str, wood: &str| Board {
        material: Some(wood.to_owned()),
        in_hand: Some(InHand {
            moulding: Some(profile.to_owned()),
            ..InHand::default()
        }),
        ..in_hand(name, 40)
    };
    let sized = |name: &str, thick: i64, wide: i64| Board {
        thickness: Some(in16(thick)),
        width: Some(in16(wide)),
        ..in_hand(name, 40)
    };
    let mut knotty = in_hand("knotty", 40);
    knotty.defects = vec![Defect {
        from: inches(18),
        to: inches(22),
        across: crate::stock::Across::Full,
    }];
    let found = why(vec![
        Board {
            material: Some("oak".to_owned()),
            ..in_hand("oak", 40)
        },
        milled("cove", "cove", "walnut"),
        milled("pale", "cap", "oak"),
        sized("thin", 12, 32),
        sized("thick", 20, 32),
        sized("narrow", 16, 31),
        // 2 in and up to 2/16 may be planed, from 2 5/16 on it is ripped.
        sized("hair", 16, 34),
        sized("between", 16, 35),
        in_hand("short", 20),
        in_hand("long", 21),
        knotty,
    ]);
    let expected = [
        ("oak", WhyUnused::OtherWood),
        ("cove", WhyUnused::Milled),
        ("pale", WhyUnused::OtherWood),
        ("thin", WhyUnused::TooThin),
        ("thick", WhyUnused::TooThick),
        ("narrow", WhyUnused::TooNarrow),
        ("hair", WhyUnused::NoUseFound),
        ("between", WhyUnused::BetweenWidths),
        // Two trims of 1/2 in leave 19 of 20, and 20 of 21.
        ("short", WhyUnused::TooShort { needed: inches(20) }),
        ("long", WhyUnused::NoUseFound),
        ("knotty", WhyUnused::TooShort { needed: inches(20) }),
    ];
    assert_eq!(found, expected.map(|(name, why)| (name.to_owned(), why)));
}

#[test]
fn nothing_is_said_where_nothing_is_bought_or_missing_nor_of_boards_to_buy_unless_parts_are() {
    let mut job = job();
    job.boards.push(Board {
        quantity: Some(3),
        ..board("few", inches(10), None)
    });
    job.boards.push(in_hand("short", 20));
    let (instance, origins) = lower(&job);
    let plan = raise(&job, &origins, &first_fit(&instance));
    let names = |plan: &Plan| -> Vec<(usize, u32)> {
        let found = unused(plan).into_iter();
        found
            .map(|unused| (unused.board_idx, unused.count))
            .collect()
    };
    assert_eq!(names(&plan), [(2, 1)]);
    let mut lacking = plan.clone();
    lacking.boards.clear();
    lacking.missing.push(Part::Loose {
        piece_idx: 0,
        copy: 1,
    });
    assert_eq!(names(&lacking), [(1, 3), (2, 1)]);
    let mut nothing = plan.clone();
    nothing.boards.clear();
    assert_eq!(names(&nothing), []);
}

#[test]
fn what_stays_for_a_spoiled_rail_is_left_on_purpose() {
    let mut job = job();
    job.boards.push(Board {
        quantity: Some(2),
        ..in_hand("end", 30)
    });
    let (instance, origins) = lower(&job);
    let mut plan = raise(&job, &origins, &first_fit(&instance));
    for planned in &mut plan.boards {
        planned.board_idx = 0;
    }
    plan.kept_pieces.push(KeptPiece {
        part: Part::Loose {
            piece_idx: 0,
            copy: 1,
        },
        board_idx: 1,
    });
    let found: Vec<_> = unused(&plan)
        .into_iter()
        .map(|unused| (unused.count, unused.why))
        .collect();
    assert_eq!(found.len(), 2);
    assert_eq!(found[0], (1, WhyUnused::Kept));
    assert_eq!(found[1].0, 1);
}
