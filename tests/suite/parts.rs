//! All parts of a frame, through the whole program: frames in frames, spacers, polygons and ovals in mats, hardware.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use longpoint::compare::share_boards;
use longpoint::frame::{Outline, package};
use longpoint::job::{Job, Line, Purpose};
use longpoint::length::{Length, Unit, exact_text};
use longpoint::money::Money;
use longpoint::plan::Part;
use longpoint::quote::{count_costs, quote};
use longpoint::report::csv::{frames_csv, hardware_cuts_csv, sheets_csv};
use longpoint::report::sections::{customer_sheet, plan_sheet, stations_sheet};
use longpoint::report::text::set;
use longpoint::stations::{hardware, hung};
use longpoint::tally::Summary;

use crate::jobs::{load_text, planned};
use crate::look::LOOK;

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

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What was told across its flats is told so to the customer and to whoever cuts its mat; to the saw by its side.
#[test]
fn a_polygon_is_told_as_it_was_given() {
    let job = job("[price]\nmarkup = \"50 %\"\n\
         [[sheets]]\nname = \"white\"\nuse = \"mat\"\nthickness = \"1/16\"\n\
         [[frames]]\nframe = \"Chart\"\nart-width = 10\nsides = 6\nmeasured = \"flats\"\nmat = \"white\"\n\
         mat-border = 2\nmoulding = \"cap\"\nglazing = \"glass\"\n\
         [[frames]]\nframe = \"Comb\"\nart-width = 6\nsides = 8\nmoulding = \"cap\"\n");
    let planned = planned(&job);
    let job = &planned.plan.job;
    let costs = count_costs(&planned.plan, &planned.materials).unwrap();
    let made = quote(costs.sold.clone(), &[], &job.prices).unwrap();
    let customer = words(&set(&customer_sheet(job, &costs, &made), LOOK));
    assert!(
        customer.contains("art of 6 sides, 10 in across flats;"),
        "{customer}"
    );
    assert!(customer.contains("art of 8 sides of 6 in;"), "{customer}");
    let summary = Summary::new(&planned.plan).with_sheets(planned.materials.clone());
    let stations = set(&stations_sheet(&summary), LOOK);
    // Derived: lap 1/4: window 10 - 1/2 = 9 1/2 across the flats, package 9 1/2 + 4 = 13 1/2; the frame 13 1/2 + 1/8 + 3 1/2.
    let lines: Vec<String> = stations.lines().map(words).collect();
    for line in [
        "1 white 13 1/2 6 flats 9 1/2, 6 flats Chart",
        "Chart 13 1/2 6 flats 2 2 2 2",
    ] {
        assert!(lines.iter().any(|own| own == line), "{line}\n{stations}");
    }
    let plan = set(&plan_sheet(&summary), LOOK);
    let lines: Vec<String> = plan.lines().map(words).collect();
    assert!(
        lines
            .iter()
            .any(|line| line == "Chart flats 10 9 1/2 13 1/2 13 5/8 13 1/8 17 1/8"),
        "{plan}"
    );
    // Derived: 17 1/8 / cos 30 = 19.7742 in from corner to corner, 19 24.8/32: up to the 32nd 19 25/32, in every place.
    let across = "~19 25/32";
    assert!(
        plan.contains(&format!("outside {across} across corners")),
        "{plan}"
    );
    assert!(stations.contains(across), "{stations}");
    let table = frames_csv(job);
    let head: Vec<&str> = table.lines().next().unwrap().split(',').collect();
    let row: Vec<&str> = table.lines().nth(1).unwrap().split(',').collect();
    let cell = |name: &str| row[head.iter().position(|own| *own == name).unwrap()];
    assert_eq!(
        (cell("art-across-flats-in"), cell("outside-across-flats-in")),
        ("10", "17.125")
    );
    assert!(sheets_csv(job).contains(",13.5,"), "{}", sheets_csv(job));
}

/// The frame is of a wood that no table has, its back too: the strongest is taken, and what to tell is told before the first cut.
#[test]
fn a_weight_that_is_known_in_part_is_told_before_the_first_cut() {
    let text = |wood: &str, back: &str| {
        format!(
            "[[mouldings]]\nname = \"flach\"\nface-width = 2\nthickness = \"3/4\"\nmaterial = \"{wood}\"\n\
             [[sheets]]\nname = \"Museumsglas\"\nuse = \"glazing\"\nthickness = \"3/32\"\n\
             [[sheets]]\nname = \"{back}\"\nuse = \"backing\"\nthickness = \"1/8\"\n\
             [[hardware]]\nname = \"small ring\"\nuse = \"hangers\"\nlot-count = 10\nbears = \"30 lb\"\n\
             [[hardware]]\nname = \"large ring\"\nuse = \"hangers\"\nlot-count = 10\nbears = \"60 lb\"\n\
             [[frames]]\nframe = \"Wren\"\nart-width = 8\nart-height = 10\nglazing = \"Museumsglas\"\nbacking = \"{back}\"\n\
             [[boards]]\nboard = \"slat\"\nlength = 120\nmaterial = \"{wood}\"\nprice = 9\n"
        )
    };
    let taken = |job: &Job| {
        job.hardware[hardware(job).needs[0].hardware_idx]
            .name
            .clone()
    };
    let head = |job: &Job| {
        let planned = planned(job);
        let summary = Summary::new(&planned.plan);
        let text = set(&plan_sheet(&summary), LOOK);
        words(text.split("Before you cut").nth(1).unwrap())
    };
    let known = load_text(text("Kirsche", "Hartfaserplatte"));
    assert_eq!(taken(&known), "small ring");
    assert!(!head(&known).contains("only in part"));
    let half = load_text(text("Zirbe", "TG 12"));
    assert_eq!(taken(&half), "large ring");
    let said = head(&half);
    for part in [
        "the weight of Wren is known only in part. The strongest of the job’s hangers are taken",
        "how heavy Zirbe is (put",
        "what the back TG 12 is made of (put",
    ] {
        assert!(said.contains(part), "{part}\n{said}");
    }
}

/// All frames that a roll does not serve are named, not the first of them alone.
#[test]
fn frames_that_are_not_served_are_named() {
    let frame = |name: &str, width: u32| {
        format!(
            "[[frames]]\nframe = \"{name}\"\nart-width = {width}\nart-height = 40\nmoulding = \"cap\"\nglazing = \"glass\"\n"
        )
    };
    let roll = "[[hardware]]\nname = \"kraft\"\nuse = \"dust-cover\"\nroll-width = 24\nlot-length = \"20 yd\"\n";
    let job = job(&format!(
        "{roll}{}{}{}",
        frame("Wren", 30),
        frame("Gull", 30),
        frame("Tern", 28)
    ));
    let planned = planned(&job);
    let text = words(&set(&plan_sheet(&Summary::new(&planned.plan)), LOOK));
    // A narrower frame needs less of the roll, so it is told by itself.
    assert!(text.contains("So it is with Gull. For Tern: "), "{text}");
}

/// What is cut off a roll stands in a table, too.
#[test]
fn lengths_off_a_roll_are_in_a_table() {
    let job = job(
        "[[hardware]]\nname = \"kraft\"\nuse = \"dust-cover\"\nroll-width = 36\nlot-length = \"20 yd\"\n\
         [[frames]]\nframe = \"Wren\"\nquantity = 2\nart-width = 16\nart-height = 20\nmoulding = \"cap\"\nglazing = \"glass\"\n",
    );
    // Derived: 16 + 1/8 + 3 1/2 - 1/4 = 19 3/8 = 492.125 mm off the roll, 23 3/8 across it.
    assert_eq!(
        hardware_cuts_csv(&job),
        "hardware,use,frame,cut,length-in,length-nm\nkraft,dust-cover,Wren,2,19.375,492125000\n"
    );
}
