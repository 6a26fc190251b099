//! All parts of a frame, through the whole program: frames in frames, spacers, polygons and ovals in mats, hardware.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use longpoint::compare::share_boards;
use longpoint::frame::{Outline, package};
use longpoint::job::{Job, Line, Purpose};
use longpoint::length::{Length, Unit, exact_text};
use longpoint::money::Money;
use longpoint::plan::Part;
use longpoint::stations::{hardware, hung};

use crate::jobs::{load_text, planned};

/// Two mouldings, their boards, and what else a test is about.
fn job(more: &str) -> Job {
    load_text(format!(
        "[[mouldings]]\nname = \"cap\"\nface-width = 2\nmaterial = \"walnut\"\n\
         [[mouldings]]\nname = \"liner\"\nface-width = 1\nmaterial = \"basswood\"\ngrain = \"frame\"\n\
         [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\n\
         [[boards]]\nboard = \"walnut\"\nlength = 120\nmaterial = \"walnut\"\nprice = 31\n\
         [[boards]]\nboard = \"basswood\"\nlength = 120\nmaterial = \"basswood\"\nprice = 17\n{more}"
    ))
}

fn inches(length: Length) -> String {
    exact_text(length, Unit::Inch)
}

#[test]
fn a_liner_is_planned_with_its_frame_and_each_has_its_cost() {
    let job = job(
        "[[frames]]\nframe = \"Estuary\"\nquantity = 2\nart-width = 16\nart-height = 20\nmoulding = \"cap\"\n\
         liner = \"liner\"\nliner-play = \"1/16\"\nglazing = \"glass\"\n",
    );
    let names: Vec<&str> = job.frames.iter().map(|frame| frame.name.as_str()).collect();
    assert_eq!(names, ["Estuary", "Estuary liner"]);
    // Derived by the rule "opening + allowance + twice the width from rabbet wall to back edge" (Fine Woodworking 275, 2019,
    // tips), twice: 16 + 1/8 + 1 1/2 = 17 5/8, and 17 5/8 + 1/16 + 3 1/2 = 21 3/16.
    let outside = [0, 1].map(|idx| inches(job.frame_sizes(idx).outside.side(0)));
    assert_eq!(outside, ["21 3/16 in", "17 5/8 in"]);
    let planned = planned(&job);
    assert!(planned.plan.missing.is_empty());
    // The liner's own grain is kept: its four rails follow each other on one strip.
    let strips = planned.plan.boards.iter().flat_map(|board| &board.strips);
    let of_liner = |part: Part| matches!(part, Part::Rail { frame_idx: 1, .. });
    let with_liner = strips.filter(|strip| strip.cuts.iter().any(|cut| of_liner(cut.part)));
    assert_eq!(with_liner.count(), 2);
    let shares = share_boards(&planned.plan).unwrap();
    let sum: Money = shares.values().copied().sum();
    assert!(shares[&Line::Frame(1)] > Money::ZERO);
    let all = planned
        .plan
        .boards
        .iter()
        .map(|board| match board.board_idx {
            0 => Money::from_minor(3_100),
            _ => Money::from_minor(1_700),
        });
    assert_eq!(sum, all.sum());
    // One more picture is one more of both, and only the outer one hangs.
    let more = job.with_one_more(Line::Frame(0));
    assert_eq!(
        more.frames
            .iter()
            .map(|frame| frame.quantity)
            .collect::<Vec<_>>(),
        [3, 3]
    );
    let fewer = job
        .with_one_fewer(Line::Frame(0))
        .with_one_fewer(Line::Frame(0));
    assert!(fewer.frames.is_empty());
    assert_eq!(hung(&job).len(), 1);
}

#[test]
fn strips_of_a_spacer_are_planned_with_the_rails_and_follow_their_frames() {
    let job = job(
        "[[spacers]]\nname = \"strip\"\nwidth = \"3/8\"\nmaterial = \"basswood\"\nends = \"butted\"\n\
         [[frames]]\nframe = \"Shells\"\nquantity = 2\nart-width = 11\nart-height = 14\nmoulding = \"cap\"\n\
         glazing = \"glass\"\nspacer = \"strip\"\nbox-depth = \"1 1/4\"\n",
    );
    let pieces: Vec<(&str, u32, String)> = job
        .pieces
        .iter()
        .map(|piece| (piece.name.as_str(), piece.quantity, inches(piece.length)))
        .collect();
    // Derived: a package of 11 x 14, butted: 14 - 2 x 3/8 = 13 1/4.
    let expected = [
        ("Shells spacer across", 4, "11 in".to_owned()),
        ("Shells spacer upright", 4, "13 1/4 in".to_owned()),
    ];
    assert_eq!(pieces, expected);
    assert!(
        job.pieces
            .iter()
            .all(|piece| piece.purpose == Purpose::Spacer)
    );
    let plan = planned(&job).plan;
    let cuts = plan
        .boards
        .iter()
        .flat_map(longpoint::plan::PlannedBoard::cuts);
    let of_spacer = cuts.filter(|cut| matches!(cut.part, Part::Loose { .. }));
    assert_eq!((of_spacer.count(), plan.missing.len()), (8, 0));
    let more = job.with_one_more(Line::Frame(0));
    assert_eq!(more.pieces[0].quantity, 6);
}

#[test]
fn a_polygon_across_its_flats_and_an_oval_are_sized_with_their_mats() {
    let job = job(
        "[[frames]]\nframe = \"Chart\"\nart-width = 10\nsides = 6\nmeasured = \"flats\"\nmat-border = 2\nmoulding = \"cap\"\n\
         [[frames]]\nframe = \"Miniature\"\nart-width = 5\nart-height = 7\nshape = \"oval\"\nmat-border = 2\n\
         moulding = \"cap\"\n",
    );
    let of = |idx: usize| package(&job.frames[idx], &job.mouldings, job.shop.fit_allowance);
    // Derived: lap 1/4: window 9 1/2 across the flats, package 13 1/2; a side is that times tan 30 = 0.57735.
    let about = |outline: Outline, ten_thousandths: i64| {
        let off = (outline.side(0).nm() - 2_540 * ten_thousandths).abs();
        assert!(off <= 1_270, "{outline:?} is not {ten_thousandths}e-4 in");
    };
    about(of(0).windows[0].opening.size, 54_848);
    about(of(0).size, 77_942);
    // Derived: 5 - 1/2 + 4 = 8 1/2 by 7 - 1/2 + 4 = 10 1/2, a rectangle, with an oval of 4 1/2 by 6 1/2 in it.
    let oval = of(1);
    assert!(oval.windows[0].opening.is_oval);
    let sides = [oval.windows[0].opening.size, oval.size].map(|of| inches(of.side(0)));
    assert_eq!(sides, ["4 1/2 in", "8 1/2 in"]);
    assert!(planned(&job).plan.missing.is_empty());
}

#[test]
fn hardware_has_its_money_shared_to_the_cent() {
    let job = job(
        "[[hardware]]\nname = \"ring\"\nuse = \"hangers\"\nlot-count = 10\nprice = 4.21\nbears = \"15 lb\"\n\
         [[hardware]]\nname = \"wire\"\nuse = \"wire\"\nlot-length = \"5 ft\"\nprice = 1.99\n\
         [[frames]]\nframe = \"Wren\"\nquantity = 2\nart-width = 8\nart-height = 10\nmoulding = \"cap\"\n\
         [[frames]]\nframe = \"Gull\"\nquantity = 3\nart-width = 11\nart-height = 14\nmoulding = \"cap\"\n",
    );
    let list = hardware(&job);
    assert!(list.lacking.is_empty());
    // Ten hangers are one lot.
    assert_eq!(
        (list.needs[0].lots, list.needs[0].money),
        (1, Some(Money::from_minor(421)))
    );
    let all: Money = list.needs.iter().filter_map(|need| need.money).sum();
    let shares: Money = hardware(&job).shares().values().copied().sum();
    assert_eq!(shares, all);
}
