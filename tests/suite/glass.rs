//! Sheets of glass and board: plans of whole jobs against what must hold of each, worked examples, and forgeries.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeSet;

use proptest::prelude::*;

use longpoint::audit::{check_sheets, prove_sheets};
use longpoint::compare::share_sheets;
use longpoint::frame::SheetUse;
use longpoint::job::{Job, Serves};
use longpoint::length::Length;
use longpoint::money::Money;
use longpoint::pipeline::{Materials, plan_sheets};
use longpoint::plan::Verdict;
use longpoint::plan::sheets::{Among, MaterialPlan, PlannedSheet, SheetPiece, SheetSource};
use longpoint::planfile::{PlanFile, Standing, verify};
use longpoint::report::csv::{needs_csv, sheet_rack_csv};
use longpoint::report::sections::plan_sheet;
use longpoint::report::text::{Look, set};
use longpoint::sheets::job::{Along, Stages};
use longpoint::tally::{LeftOf, SheetLeft, Summary, WhySheetUnused, material_tallies};

use crate::jobs::{CONTROL, demo, load, planned};
use crate::look::LOOK;
use crate::texts::Texts;

/// A job of these frames, kinds of sheet, sizes and pieces on the rack; one board is long enough for every rail.
fn job(frames: &str, sheets: &str, stock: &str, rack: &str) -> Job {
    let toml = format!(
        "currency = \"USD\"\nframes = \"frames.csv\"\nsheet-stock = \"stock.csv\"\nsheet-rack = \"rack.csv\"\n\
         [saw]\nkerf = \"1/8\"\n[[mouldings]]\nname = \"flat\"\nface-width = 1\n{sheets}\
         [[boards]]\nboard = \"slat\"\nlength = 240\nprice = 9\n"
    );
    let frames = format!(
        "frame,quantity,art-width,art-height,mat-border,mat-layers,mat,lower-mat,glazing\n{frames}"
    );
    load(&Texts::from([
        ("job.toml", toml),
        ("frames.csv", frames),
        (
            "stock.csv",
            format!("sheet,width,height,quantity,price,trim\n{stock}"),
        ),
        (
            "rack.csv",
            // A rack that was written has its own headings.
            if rack.starts_with("label,") {
                rack.to_owned()
            } else {
                format!("label,sheet,width,height,quantity,value,trim\n{rack}")
            },
        ),
    ]))
}

/// A kind of sheet, with more said of it.
fn kind(name: &str, usage: &str, more: &str) -> String {
    format!("[[sheets]]\nname = \"{name}\"\nuse = \"{usage}\"\nthickness = \"1/16\"\n{more}\n")
}

fn plans(job: &Job) -> Vec<MaterialPlan> {
    plan_sheets(job, Materials::Stated, &CONTROL).unwrap()
}

fn inches(whole: i64) -> Length {
    Length::INCH * whole
}

#[test]
fn panes_stand_where_more_of_them_lie_on_a_sheet() {
    // Derived: of 18 x 24 a strip of 10 holds three panes of 8 x 10, 3 x 8 = 24, and beside it one of 8 holds two, 20 of
    // 24; a sixth has no room, as six of 80 are 480 square inches of 432.
    let panes = |count: u32, turn: &str| {
        let job = job(
            &format!("Heron,{count},10,8,,,,,glass\n"),
            &kind("glass", "glazing", turn),
            "glass,18,24,,11,\n",
            "",
        );
        let [plan] = &plans(&job)[..] else {
            unreachable!("one material")
        };
        assert_eq!(plan.verdict, Verdict::Optimal);
        (plan.sheets.len(), plan.value)
    };
    assert_eq!(panes(4, ""), (1, 1100));
    assert_eq!(panes(5, ""), (1, 1100));
    assert_eq!(panes(6, ""), (2, 2200));
    // Not turned they lie one to a row, three rows of 8 in 24.
    assert_eq!(panes(4, "turn = false"), (2, 2200));
}

#[test]
fn trim_and_kerf_are_lost_and_the_cutter_has_its_limits() {
    let value = |more: &str, stock: &str| {
        let job = job(
            "Heron,4,10,10,,,,,plex\n",
            &kind("plex", "glazing", more),
            stock,
            "",
        );
        plans(&job)[0].value
    };
    // Derived: 2 x 10 fill 20 exactly; with any kerf or trim only one row and one column fit.
    assert_eq!(value("", "plex,20,20,,7,\n"), 700);
    assert_eq!(value("cut = \"sawn\"", "plex,20,20,,7,\n"), 2800);
    assert_eq!(value("cut = \"sawn\"\nkerf = 0", "plex,20,20,,7,\n"), 700);
    assert_eq!(value("trim = \"1/8\"", "plex,20,20,,7,\n"), 2800);
    // A trim at one edge alone costs a row, or a column: two pieces a sheet.
    assert_eq!(value("trim-left = \"1/8\"", "plex,20,20,,7,\n"), 1400);
    assert_eq!(value("", "plex,20,20,,7,1/8\n"), 2800);
    // The sheet is longer than the cutter takes one way; then its strips run the other way, 10 wide and 20 long.
    assert_eq!(value("longest-first-cut = 20", "plex,20,40,,7,\n"), 700);
    let too_long = job(
        "Heron,4,10,10,,,,,plex\n",
        &kind("plex", "glazing", "longest-second-cut = 9"),
        "plex,20,20,,7,\n",
        "",
    );
    let plan = &plans(&too_long)[0];
    assert_eq!((plan.missing.len(), plan.missing_lower_bound), (4, 4));
}

#[test]
fn what_is_on_the_rack_is_used_first_and_what_is_missing_is_named() {
    let job = job(
        "Heron,3,10,8,,,,,glass\nTern,1,30,20,,,,,glass\n",
        &kind("glass", "glazing", ""),
        "glass,18,24,1,11,\n",
        "G7,glass,12,10,2,,\n",
    );
    let plan = &plans(&job)[0];
    // Derived: two panes come from the rack at no cost, one from the sheet; the large one fits nothing.
    assert_eq!((plan.value, plan.verdict), (1100, Verdict::Optimal));
    let missing: Vec<SheetPiece> = plan.missing.clone();
    assert_eq!(missing.len(), 1);
    assert_eq!(job.frames[missing[0].frame_idx].name, "Tern");
    let tally = &material_tallies(&job, std::slice::from_ref(plan))[0];
    assert_eq!(tally.taken, [(0, 1), (1, 2)]);
    assert_eq!(tally.bought, Some(Money::from_minor(1100)));
}

#[test]
fn layers_are_cut_from_boards_of_their_own() {
    let sheets = ["white", "black", "cream"]
        .map(|name| kind(name, "mat", ""))
        .concat();
    let stock = "white,32,40,,9,\nblack,32,40,,9,\ncream,32,40,,9,\n";
    let names = |row: &str| -> Vec<(String, u32)> {
        let job = job(row, &sheets, stock, "");
        let mut layers: Vec<(String, u32)> = plans(&job)
            .iter()
            .flat_map(|plan| {
                let cuts = plan.sheets.iter().flat_map(PlannedSheet::cuts);
                cuts.map(|cut| match cut.piece.sheet_use {
                    SheetUse::Mat { layer } => (plan.key.name.clone().unwrap(), layer),
                    _ => unreachable!("only mats are wanted"),
                })
                .collect::<Vec<_>>()
            })
            .collect();
        layers.sort_by_key(|&(_, layer)| layer);
        layers
    };
    let owned = |layers: &[(&str, u32)]| -> Vec<(String, u32)> {
        layers
            .iter()
            .map(|&(name, layer)| (name.to_owned(), layer))
            .collect()
    };
    // Layer 1 is the top one, and the others follow as `lower-mat` names them.
    assert_eq!(
        names("Heron,1,10,8,3,3,white,black;cream,\n"),
        owned(&[("white", 1), ("black", 2), ("cream", 3)])
    );
    assert_eq!(
        names("Heron,1,10,8,3,3,white,black,\n"),
        owned(&[("white", 1), ("black", 2), ("black", 3)])
    );
    assert_eq!(
        names("Heron,1,10,8,3,2,white,,\n"),
        owned(&[("white", 1), ("white", 2)])
    );
}

#[test]
fn what_drops_out_of_a_window_is_cut_after_the_mat() {
    let frames = "Tall,1,22,32,3,1,white,,\nMiddle,1,9,12,2,1,white,,\nSmall,1,4,6,2,1,white,,\n";
    let value = |more: &str| {
        let job = job(frames, &kind("white", "mat", more), "white,32,40,,9,\n", "");
        let plan = plans(&job).remove(0);
        (plan.value, plan)
    };
    // Derived: the tall mat is 27 1/2 x 37 1/2; beside it 4 1/2 of 32 and 2 1/2 of 40 are left, for neither of the others
    // (12 1/2 x 15 1/2 and 7 1/2 x 9 1/2). Its window of 21 1/2 x 31 1/2 holds both, 12 1/2 + 7 1/2 = 20.
    let (without, _) = value("");
    let (with, plan) = value("fallout = true\nleast-piece = 4");
    assert_eq!((without, with), (1800, 900));
    let of_window = plan
        .sheets
        .iter()
        .position(|sheet| matches!(sheet.source, SheetSource::Fallout(_)));
    assert!(of_window.unwrap() > 0);
    // A mat that fits no sheet leaves nothing of its window; the others are planned as before, and the plan is called best.
    let all = format!("{frames}Huge,1,60,60,3,1,white,,\n");
    let whole = job(
        &all,
        &kind("white", "mat", "fallout = true\nleast-piece = 4"),
        "white,32,40,,9,\n",
        "",
    );
    let plan = plans(&whole).remove(0);
    assert_eq!((plan.missing.len(), plan.has_fallout), (1, true));
    assert_eq!(plan.value, 900);
    assert!(plan.is_best(&whole.material(&plan.key)));
    assert_eq!(check_sheets(&whole, std::slice::from_ref(&plan), false), []);
    // It alone drops nothing: a forger who counts on its window is told.
    let mut forged = plan.clone();
    let huge = forged.missing[0];
    for sheet in &mut forged.sheets {
        if let SheetSource::Fallout(mat) = &mut sheet.source {
            *mat = huge;
        }
    }
    assert_ne!(check_sheets(&whole, &[forged], false), []);
    // Where sheets are too few for mats that fit one, there is fallout of none: no such plan is called best.
    let short = job(
        frames,
        &kind("white", "mat", "fallout = true\nleast-piece = 4"),
        "white,28,38,1,9,\nwhite,16,16,0,4,\nwhite,27,37,,9,\n",
        "",
    );
    let plan = plans(&short).remove(0);
    assert_eq!((plan.missing.len(), plan.has_fallout), (0, true));
    let short = job(
        &frames.replace("Tall,1", "Tall,2"),
        &kind("white", "mat", "fallout = true\nleast-piece = 4"),
        "white,28,38,1,9,\n",
        "",
    );
    let plan = plans(&short).remove(0);
    assert!(!plan.missing.is_empty() && !plan.has_fallout);
    assert!(plan.verdict == Verdict::Optimal && !plan.is_best(&short.material(&plan.key)));
    // A window that leaves less than is of use is not used: 21 1/2 less twice 1/8 is 21 1/4.
    assert_eq!(value("fallout = true\nleast-piece = \"21 1/4\"").0, 900);
    assert_eq!(value("fallout = true\nleast-piece = \"21 5/16\"").0, 1800);
}

#[test]
fn where_face_alone_asks_for_as_much_no_other_cuts_are_cheaper() {
    let any_cuts = |copies: u32| {
        let job = job(
            &format!("Heron,{copies},10,10,,,,,glass\n"),
            &kind("glass", "glazing", ""),
            "glass,25,25,,7,\n",
            "",
        );
        let plan = plans(&job).remove(0);
        let is_sound = |plan: &MaterialPlan| check_sheets(&job, std::slice::from_ref(plan), false);
        assert_eq!(is_sound(&plan), []);
        let mut other = plan.clone();
        other.any_cuts = !plan.any_cuts;
        assert_ne!(is_sound(&other), []);
        (plan.value, plan.any_cuts)
    };
    // Derived: four panes lie on a sheet, whose 625 are the face of six.
    assert_eq!(any_cuts(4), (700, true));
    assert_eq!(any_cuts(5), (1400, false));
    assert_eq!(any_cuts(7), (1400, true));
}

#[test]
fn of_two_that_cost_nothing_the_one_out_of_a_window_is_cut() {
    let frames = "Tall,1,22,32,3,1,white,,\nSmall,1,4,6,2,1,white,,\n";
    // The small mat, 7 1/2 x 9 1/2, fits a piece of the rack that is worth nothing, and the window of the tall one.
    let plan = |more: &str, rack: &str| {
        let kinds = kind("white", "mat", more);
        plans(&job(frames, &kinds, "white,32,40,,9,\n", rack)).remove(0)
    };
    let rack = "W1,white,16,16,1,,\n";
    let without = plan("", rack);
    let from_rack = |plan: &MaterialPlan| {
        let mut sheets = plan.sheets.iter();
        sheets.any(|sheet| sheet.source == SheetSource::Stock(1))
    };
    assert!(from_rack(&without));
    for turn in [true, false] {
        let with = plan(
            &format!("fallout = true\nleast-piece = 4\nturn = {turn}"),
            rack,
        );
        assert!(!from_rack(&with), "{with:?}");
        assert_eq!((with.value, with.sheets.len()), (900, 2));
    }
    // Into a window that is too small it is not moved: of 21 1/2 twice 7 1/8 leave 7 1/4.
    let narrow = plan(
        "fallout = true\nleast-piece = 4\nfallout-loss = \"7 1/8\"",
        rack,
    );
    assert!(from_rack(&narrow));
}

#[test]
fn plywood_is_a_backing_that_is_sawn_and_not_turned() {
    let value = |more: &str| {
        let texts = Texts::from([(
            "job.toml",
            format!(
                "currency = \"USD\"\n[saw]\nkerf = \"1/8\"\n[[mouldings]]\nname = \"flat\"\nface-width = 1\n\
                 [[frames]]\nframe = \"Heron\"\nart-width = 12\nart-height = 24\nquantity = 4\nbacking = \"ply\"\n\
                 [[boards]]\nboard = \"slat\"\nlength = 240\n\
                 [[sheets]]\nname = \"ply\"\nuse = \"plywood\"\nthickness = \"1/4\"\nwidth = 24\nheight = 48\nprice = 8\n{more}"
            ),
        )]);
        let job = load(&texts);
        let plan = plans(&job).remove(0);
        (plan.key.serves, plan.value)
    };
    // Derived: 12 x 24 lies four times in 24 x 48 where nothing is lost; with a kerf of 1/8 in once beside and once above
    // nothing fits but one.
    let backing = Serves::Backing;
    assert_eq!(value("cut = \"scored\""), (backing, 800));
    assert_eq!(value(""), (backing, 3200));
    // Turned by a right angle, 24 x 12 lies three times over each other: 3 x 12 1/8 are 36 3/8 of 48.
    assert_eq!(value("turn = true"), (backing, 1600));
}

#[test]
fn what_the_last_cut_trims_off_is_kept_where_it_is_large_enough() {
    // Derived: a strip of 20 in 36 x 20 holds 20 x 20 and, turned or not, 16 x 9: beside that 16 x 11 are trimmed off.
    let job = job(
        "Heron,1,20,20,,,,,glass\nTern,1,16,9,,,,,glass\n",
        &kind("glass", "glazing", "least-piece = 10\nturn = false"),
        "glass,36,20,,7,\n",
        "",
    );
    let planned = plans(&job);
    let tally = &material_tallies(&job, &planned)[0];
    let sizes: Vec<(Length, Length)> = tally.left.iter().map(SheetLeft::whole).collect();
    assert_eq!(sizes, [(inches(16), inches(11))]);
    let rack = sheet_rack_csv(&job, &planned);
    assert!(
        rack.contains("glass 1,glass,16 in,11 in,1,,0 in,"),
        "{rack}"
    );
}

/// Left, right, lower and upper edge of the pieces of a sheet, and of what is left of it.
fn rectangles(job: &Job, plan: &MaterialPlan, number: usize) -> Vec<[Length; 4]> {
    let sheet = &plan.sheets[number];
    let mut found = Vec::new();
    for stack in sheet.strips.iter().flat_map(|strip| &strip.stacks) {
        for cut in &stack.cuts {
            let (along, across) = ((stack.from, stack.from + cut.along), (cut.from, cut.to));
            let ((left, right), (low, high)) = match sheet.along {
                Along::Width => (along, across),
                Along::Height => (across, along),
            };
            found.push([left, right, low, high]);
        }
    }
    let tally = &material_tallies(job, std::slice::from_ref(plan))[0];
    found.extend(tally.left.iter().filter_map(|piece| match piece.of {
        LeftOf::Sheet {
            sheet,
            left,
            bottom,
        } if sheet == number => Some([left, left + piece.width, bottom, bottom + piece.height]),
        _ => None,
    }));
    found
}

#[test]
fn what_hinders_a_piece_is_named_with_its_figures() {
    let text = |more: &str, stock: &str| {
        let job = job(
            "Heron,2,20,18,,,,,glass\n",
            &kind("glass", "glazing", more),
            stock,
            "",
        );
        let planned = planned(&job);
        let summary = Summary::new(&planned.plan).with_sheets(planned.materials.clone());
        let text = set(&plan_sheet(&summary), LOOK);
        assert!(text.lines().all(|line| line.chars().count() <= 80));
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    for (more, stock, reason) in [
        (
            "",
            "glass,18,24,,7,1/2\n",
            "it is too large: the largest sheet is 17 × 23 between its trims",
        ),
        ("", "glass,24,36,0,7,\n", "there is no sheet of it"),
        ("", "glass,24,20,1,7,\n", "all sheets that it fits are used"),
        (
            "turn = false",
            "glass,18,24,,7,\n",
            "it would fit turned, and `turn` is false",
        ),
        (
            "longest-first-cut = 23",
            "glass,24,36,,7,\n",
            "it needs a cut of 24 in across a sheet, and `longest-first-cut` is 23 in",
        ),
        (
            "longest-second-cut = 17",
            "glass,24,36,,7,\n",
            "it needs a cut of 18 in across a strip, and `longest-second-cut` is 17 in",
        ),
    ] {
        let text = text(more, stock);
        // The words wrap within their column, beside those of the others.
        let mut words = reason.split(' ');
        assert!(words.all(|word| text.contains(word)), "{text}");
    }
}

#[test]
fn a_size_in_the_sheets_table_means_what_it_did() {
    let texts = |more: &str| {
        Texts::from([(
            "job.toml",
            format!(
                "currency = \"USD\"\n[[mouldings]]\nname = \"flat\"\nface-width = 1\n\
                 [[frames]]\nframe = \"Heron\"\nart-width = 10\nart-height = 8\nquantity = 4\nglazing = \"glass\"\n\
                 [[boards]]\nboard = \"slat\"\nlength = 120\n\
                 [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\n{more}"
            ),
        )])
    };
    let job = load(&texts("width = 18\nheight = 24\nprice = 11\n"));
    assert_eq!(plans(&job)[0].value, 1100);
    // Without a price the face counts: 18 x 24 in are 278709.12 square millimeters, rounded up.
    let job = load(&texts("width = 18\nheight = 24\n"));
    assert_eq!(plans(&job)[0].value, 278_710);
    // Without a size nothing is planned, but for what `buy` reckons in usual sheets.
    let job = load(&texts(""));
    assert_eq!(plans(&job), []);
    let all = plan_sheets(&job, Materials::All, &CONTROL).unwrap();
    assert_eq!((all.len(), all[0].sheets.len()), (1, 1));
}

#[test]
fn the_rack_of_sheets_is_read_again_by_the_next_job() {
    let job = demo("show");
    let first = planned(&job);
    let rack = sheet_rack_csv(&job, &first.materials);
    let mut lines = rack.lines();
    assert_eq!(
        lines.next(),
        Some("label,sheet,width,height,quantity,value,trim-left,trim-right,trim-top,trim-bottom")
    );
    let n_lines = lines.count();
    assert!(n_lines > 0);
    let sheets = ["glass", "acrylic", "foam board", "4-ply", "slate 4-ply"].map(|name| {
        let usage = match name {
            "foam board" => "backing",
            "glass" | "acrylic" => "glazing",
            _ => "mat",
        };
        kind(name, usage, "")
    });
    let next = self::job("Heron,1,10,8,,,,,glass\n", &sheets.concat(), "", &rack);
    let read: usize = next.materials.iter().map(|own| own.stock.len()).sum();
    assert_eq!(read, n_lines);
    // Nothing that was left is smaller than what is worth keeping.
    let tallies = material_tallies(&job, &first.materials);
    let left = tallies.iter().flat_map(|tally| &tally.left);
    for piece in left {
        assert!(piece.width >= inches(8) && piece.height >= inches(8));
    }
}

#[test]
fn every_line_of_the_demo_fits_80_columns_and_its_file_holds() {
    let job = demo("show");
    let planned = planned(&job);
    assert!(planned.materials.len() > 3);
    let summary = Summary::new(&planned.plan).with_sheets(planned.materials.clone());
    for unicode in [true, false] {
        let look = Look {
            width: 80,
            color: false,
            unicode,
        };
        let text = set(&plan_sheet(&summary), look);
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
    let file = PlanFile::of(&planned);
    assert_eq!(
        verify(&job, &file.text()).unwrap().standing(),
        Standing::Holds
    );
    // What a forger would change: each is found.
    let forged = |change: &dyn Fn(&mut PlanFile)| {
        let mut file = file.clone();
        change(&mut file);
        assert_ne!(
            verify(&job, &file.text()).map(|found| found.standing()),
            Ok(Standing::Holds)
        );
    };
    forged(&|file| file.materials[0].value -= 1);
    forged(&|file| file.materials[0].certificate.cost += 1);
    forged(&|file| file.materials[0].certificate.proof.clear());
    forged(&|file| {
        file.materials.remove(0);
    });
    forged(&|file| {
        file.materials[0].sheets.remove(0);
    });
    forged(&|file| file.materials[0].sheets[0].strips[0].stacks[0].from_nm += 1);
    forged(&|file| {
        file.materials[0].sheets[0].strips[0].stacks[0].cuts[0]
            .piece
            .copy += 100;
    });
    forged(&|file| file.materials[0].sheets[0].strips[0].stacks[0].length_nm += 1);
    forged(&|file| file.materials[0].sheets[0].strips[0].stacks[0].cuts[0].from_nm += 1);
    forged(&|file| {
        let stack = &mut file.materials[0].sheets[0].strips[0].stacks[0];
        stack.cuts.push(stack.cuts[0].clone());
    });
    forged(&|file| file.materials[0].sheets[0].stock = Some(1_000));
    forged(&|file| file.materials[0].sheets[0].width_nm += 1);
    // A plan that is worth more than another, called best.
    forged(&|file| {
        let material = &mut file.materials[0];
        let dearer = material.sheets[0].clone();
        material.sheets.push(dearer);
    });
    // The fallout of a window before its mat is cut.
    forged(&|file| file.materials[0].sheets.reverse());
}

/// What the text of a plan says, its blanks and line ends as single blanks.
fn said(job: &Job) -> String {
    let planned = planned(job);
    words(&Summary::new(&planned.plan).with_sheets(planned.materials.clone()))
}

fn words(summary: &Summary<'_>) -> String {
    let text = set(&plan_sheet(summary), LOOK);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn why_a_sheet_stays_on_the_rack_is_told_as_far_as_it_is_known() {
    // Derived: four panes of 10 by 8; two of them lie on G7 (12 by 17), for nothing, all on the sheet; one on G8, which is
    // worth more than the sheet; none on G9.
    let rack = "G7,glass,12,17,1,,\nG8,glass,11,9,1,90,\nG9,glass,9,9,2,,\n";
    let glass = kind("glass", "glazing", "");
    let job = job(
        "Heron,6,10,8,,,,,glass\n",
        &glass,
        "glass,20,16,,11,\n",
        rack,
    );
    let plan = plans(&job).remove(0);
    assert_eq!((plan.value, plan.verdict), (1100, Verdict::Optimal));
    let tally = material_tallies(&job, std::slice::from_ref(&plan)).remove(0);
    let unused: Vec<_> = tally
        .unused
        .iter()
        .map(|sheet| (sheet.stock_idx, sheet.count, sheet.why))
        .collect();
    assert_eq!(
        unused,
        [
            (2, 1, WhySheetUnused::SavesNothing(Among::AllCuts)),
            (3, 2, WhySheetUnused::FitsNothing)
        ]
    );
    let text = said(&job);
    for line in [
        "Left on the rack: G9 ×2: no piece can be cut from it.",
        "Left on the rack: G8: pieces fit on it, but no plan is better with it.",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
    // Where nothing is bought nobody asks why.
    let enough = "G7,glass,60,60,1,,\nG9,glass,9,9,2,,\n";
    let job = self::job(
        "Heron,2,10,8,,,,,glass\n",
        &glass,
        "glass,20,16,,11,\n",
        enough,
    );
    let plan = plans(&job);
    assert_eq!(material_tallies(&job, &plan)[0].unused, []);
}

#[test]
fn what_is_proved_of_two_stages_is_not_called_best_where_third_cuts_are_made() {
    let stock = "glass,50,45,,7,\nglass,60,60,,12,\n";
    let best = |job: &Job, plan: &MaterialPlan| {
        let material = job.material(&plan.key);
        (plan.best_among(&material), plan.is_best(&material))
    };
    let job = stacked("third-cuts = true", stock);
    let plan = plans(&job).remove(0);
    assert_eq!(best(&job, &plan), (Some(Among::AllCuts), true));
    // The rule of the list to buy by names the stages of its proof.
    let list = |job: &Job| needs_csv(job, &plans(job));
    assert!(
        list(&job).contains("in however many stages of cuts none is cheaper"),
        "{}",
        list(&job)
    );
    let dearer = stacked("third-cuts = true", &format!("{stock}glass,25,90,,6.50,\n"));
    assert!(
        list(&dearer).contains("in three stages of cuts none is cheaper"),
        "{}",
        list(&dearer)
    );
    // A plan in two stages with a proof for these alone.
    let job = stacked("", stock);
    let mut plan = plans(&job).remove(0);
    assert!(!plan.any_cuts);
    assert_eq!(best(&job, &plan), (Some(Among::TwoStages), true));
    assert!(said(&job).contains("of 1 material to buy for 12.00 USD, each proved best."));
    let free = stacked("third-cuts = true", stock);
    assert_eq!(best(&free, &plan), (Some(Among::TwoStages), false));
    let mut told = planned(&free);
    told.materials = vec![plan.clone()];
    let summary = Summary::new(&told.plan).with_sheets(told.materials);
    assert!(words(&summary).contains(
        "1 material to buy for 12.00 USD, 0 of 1 proved best; 1 in two stages of cuts only, not with third cuts."
    ));
    plan.verdict = Verdict::WorkLimit;
    assert_eq!(best(&job, &plan), (None, false));
}

/// A pane of 30 by 30, two of 20 by 15 and one of 50 by 15 in, none turned.
fn stacked(more: &str, stock: &str) -> Job {
    job(
        "Large,1,30,30,,,,,glass\nSmall,2,20,15,,,,,glass\nLong,1,50,15,,,,,glass\n",
        &kind(
            "glass",
            "glazing",
            &format!("turn = false\nleast-piece = 3\n{more}"),
        ),
        stock,
        "",
    )
}

#[test]
fn third_cuts_are_made_where_they_are_cheaper_and_the_shop_makes_them() {
    // Derived: a sheet of 50 by 45 is filled by a strip of 30 with the large pane and, beside it, the two small ones one above
    // the other, and by a strip of 15. In two stages but one small pane lies beside the large one, and the other needs a strip
    // more: the sheet of 60 by 60, or two of the small ones.
    let stock = "glass,50,45,,7,\nglass,60,60,,12,\n";
    let two = plans(&stacked("", stock)).remove(0);
    assert_eq!(
        (two.value, two.verdict, two.stages()),
        (1200, Verdict::Optimal, Stages::Two)
    );
    let job = stacked("third-cuts = true", stock);
    let plan = plans(&job).remove(0);
    assert_eq!(
        (plan.value, plan.lower_bound, plan.stages()),
        (700, 1200, Stages::Three)
    );
    // Nothing that costs less has face at all.
    assert!(plan.any_cuts && plan.verdict == Verdict::Optimal);
    let judged =
        |job: &Job, plan: &MaterialPlan| check_sheets(job, std::slice::from_ref(plan), false);
    assert_eq!(judged(&job, &plan), []);
    assert_eq!(prove_sheets(&job, std::slice::from_ref(&plan), false), []);
    assert_ne!(judged(&stacked("", stock), &plan), []);
    for forged in forgeries(&plan) {
        let is_found = !judged(&job, &forged).is_empty()
            || !prove_sheets(&job, std::slice::from_ref(&forged), false).is_empty();
        assert!(is_found, "{forged:?}");
    }
    // A sheet that costs less has the face of all, and holds not even the large pane: face proves nothing then, but that no
    // sheets which cost less hold all in three stages.
    let job = stacked("third-cuts = true", &format!("{stock}glass,25,90,,6.50,\n"));
    let plan = plans(&job).remove(0);
    assert_eq!(
        (plan.value, plan.any_cuts, plan.verdict),
        (700, false, Verdict::Optimal)
    );
    assert_eq!(plan.lower_bound_in_three(), 700);
    assert_eq!(judged(&job, &plan), []);
    assert_eq!(prove_sheets(&job, std::slice::from_ref(&plan), false), []);
    for forged in forgeries(&plan) {
        let is_found = !judged(&job, &forged).is_empty()
            || !prove_sheets(&job, std::slice::from_ref(&forged), false).is_empty();
        assert!(is_found, "{forged:?}");
    }
    let planned = planned(&job);
    let summary = Summary::new(&planned.plan).with_sheets(planned.materials.clone());
    let text = set(&plan_sheet(&summary), LOOK);
    let words: Vec<&str> = text.split_whitespace().collect();
    let words = words.join(" ");
    for said in [
        "PROVED BEST, with third cuts: no plan costs less in three stages of cuts (proved in exact arithmetic).",
        "In two stages of cuts no plan costs less than 12.00 USD (proved in exact arithmetic).",
        "2 pieces one above another:",
    ] {
        assert!(words.contains(said), "{said}\n{text}");
    }
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
    let file = PlanFile::of(&planned);
    assert_eq!(
        verify(&job, &file.text()).unwrap().standing(),
        Standing::Holds
    );
}

#[test]
fn what_third_cuts_leave_is_kept() {
    // Derived: the strip is 30 wide, the stack of two panes of 20 by 12 takes 24 of it: 20 by 6 are left above them, and right of
    // the shorter of two panes in a stack what it is shorter by.
    let job = job(
        "Large,1,30,30,,,,,glass\nWide,1,20,12,,,,,glass\nShort,1,16,12,,,,,glass\nLong,1,50,15,,,,,glass\n",
        &kind(
            "glass",
            "glazing",
            "turn = false\nleast-piece = 4\nthird-cuts = true",
        ),
        "glass,50,45,,7,\n",
        "",
    );
    let plan = plans(&job).remove(0);
    assert_eq!((plan.value, plan.stages()), (700, Stages::Three));
    let tally = &material_tallies(&job, std::slice::from_ref(&plan))[0];
    let left: BTreeSet<(Length, Length)> = tally.left.iter().map(SheetLeft::whole).collect();
    assert_eq!(
        left,
        BTreeSet::from([(inches(20), inches(6)), (inches(4), inches(12))])
    );
}

/// A row of frames with all that tells sheets apart.
fn row() -> impl Strategy<Value = String> {
    (
        1_u32..4,
        12_u32..60,
        12_u32..60,
        prop::option::of(8_u32..20),
        1_u32..3,
        any::<(bool, bool)>(),
    )
        .prop_map(|(quantity, width, height, border, layers, (own, glazed))| {
            let border = border.map_or(String::new(), |border| format!("{border}/4"));
            let mat = if border.is_empty() { "" } else { "white" };
            let lower = if own && layers > 1 && !mat.is_empty() {
                "black"
            } else {
                ""
            };
            let layers = if mat.is_empty() {
                String::new()
            } else {
                layers.to_string()
            };
            let glazing = if glazed { "glass" } else { "" };
            format!("{quantity},{width}/4,{height}/4,{border},{layers},{mat},{lower},{glazing}\n")
        })
}

/// A job with mats, glass and pieces on the rack; some have too few sheets.
fn whole() -> impl Strategy<Value = Job> {
    (
        prop::collection::vec(row(), 1..5),
        any::<(bool, bool, bool, bool)>(),
        prop::option::of(1_u32..4),
        prop::option::of(0_u32..30),
        0_u32..4,
    )
        .prop_map(|(rows, (fallout, turn, sawn, third), supply, second, trim)| {
            let rows: String = rows
                .into_iter()
                .enumerate()
                .map(|(idx, row)| format!("F{idx},{row}"))
                .collect();
            let mats = format!("trim = \"{trim}/8\"\nfallout = {fallout}\nleast-piece = 3\nturn = {turn}");
            let cut = if sawn { "sawn" } else { "scored" };
            let second = second.map_or(String::new(), |most| format!("longest-second-cut = {}", most + 10));
            let sheets = kind("white", "mat", &mats)
                + &kind("black", "mat", &mats)
                + &kind("glass", "glazing", &format!("cut = \"{cut}\"\nthird-cuts = {third}\n{second}"))
                + &kind("kraft", "dust-cover", &format!("third-cuts = {third}"));
            let supply = supply.map_or(String::new(), |supply| supply.to_string());
            let stock = format!(
                "white,32,40,{supply},11.80,\nblack,32,40,,11.80,\nglass,32,40,,18.50,\nglass,24,36,{supply},10.20,1/4\nkraft,24,36,{supply},1.20,\n"
            );
            let rack = "W1,white,14,22,2,1.20,\nG1,glass,16,20,1,,1/8\n";
            job(&rows, &sheets, &stock, rack)
        })
}

/// By how many ways a plan can be changed so that it is none any more.
fn forgeries(plan: &MaterialPlan) -> Vec<MaterialPlan> {
    let mut forged = Vec::new();
    let mut change = |change: &dyn Fn(&mut MaterialPlan)| {
        let mut other = plan.clone();
        change(&mut other);
        if other != *plan {
            forged.push(other);
        }
    };
    let nm = Length::from_nm(1);
    change(&|plan| plan.value -= 1);
    change(&|plan| plan.lower_bound += 1);
    change(&|plan| plan.missing_lower_bound += 1);
    change(&|plan| plan.any_cuts = !plan.any_cuts);
    change(&|plan| {
        if let Some(in_three) = &mut plan.certificate.in_three {
            in_three.cost += 1;
        }
    });
    change(&|plan| {
        if let Some(in_three) = &mut plan.certificate.in_three {
            in_three.prices.clear();
        }
    });
    change(&|plan| plan.missing.truncate(plan.missing.len().saturating_sub(1)));
    change(&|plan| plan.sheets.truncate(plan.sheets.len().saturating_sub(1)));
    for sheet in 0..plan.sheets.len() {
        change(&|plan| {
            let along = &mut plan.sheets[sheet].along;
            *along = if *along == Along::Width {
                Along::Height
            } else {
                Along::Width
            };
        });
        for strip in 0..plan.sheets[sheet].strips.len() {
            change(&|plan| plan.sheets[sheet].strips[strip].width += nm);
            change(&|plan| plan.sheets[sheet].strips[strip].from -= inches(40));
            change(&|plan| plan.sheets[sheet].strips[strip].stacks[0].from -= inches(40));
            change(&|plan| plan.sheets[sheet].strips[strip].stacks[0].length += nm);
            change(&|plan| plan.sheets[sheet].strips[strip].stacks[0].cuts[0].from += nm);
            change(&|plan| plan.sheets[sheet].strips[strip].stacks[0].cuts[0].along -= nm);
            change(&|plan| plan.sheets[sheet].strips[strip].stacks[0].cuts[0].to += nm);
            change(&|plan| {
                plan.sheets[sheet].strips[strip].stacks[0].cuts[0]
                    .piece
                    .copy += 9;
            });
            change(&|plan| {
                let stacks = &mut plan.sheets[sheet].strips[strip].stacks;
                stacks.push(stacks[stacks.len() - 1].clone());
            });
            change(&|plan| {
                let cuts = &mut plan.sheets[sheet].strips[strip].stacks[0].cuts;
                cuts.push(cuts[cuts.len() - 1]);
            });
        }
    }
    forged
}

proptest! {
    #![proptest_config(cases!(40))]

    #[test]
    fn plans_of_drawn_jobs_hold_and_no_forgery_does(job in whole()) {
        let plans = plans(&job);
        prop_assert_eq!(check_sheets(&job, &plans, false), []);
        prop_assert_eq!(prove_sheets(&job, &plans, false), []);
        for (position, plan) in plans.iter().enumerate() {
            for forged in forgeries(plan) {
                let mut others = plans.clone();
                others[position] = forged;
                let mut found = check_sheets(&job, &others, false);
                if found.is_empty() {
                    found = prove_sheets(&job, &others, false);
                }
                // Strips that run the other way are a plan as well where all is square and fits.
                let is_plan = others[position].along_is_all_that_differs(plan);
                prop_assert!(!found.is_empty() || is_plan, "{:?}", others[position]);
            }
        }
        // What the frames pay sums to what the sheets cost.
        let shares: Money = share_sheets(&job, &plans).values().copied().sum();
        let costs: i64 = plans.iter().map(|plan| plan.value).sum();
        prop_assert_eq!(shares.minor(), costs);
        // What is left lies on the sheet, beside its pieces and beside what else is left.
        for plan in &plans {
            let material = job.material(&plan.key);
            for (number, sheet) in plan.sheets.iter().enumerate() {
                let all = rectangles(&job, plan, number);
                let blank = sheet.blank(&job, &material);
                for (at, &[left, right, low, high]) in all.iter().enumerate() {
                    prop_assert!(left >= Length::ZERO && low >= Length::ZERO);
                    prop_assert!(right <= blank.width && high <= blank.height);
                    for &[l, r, d, u] in &all[at + 1..] {
                        prop_assert!(right <= l || r <= left || high <= d || u <= low);
                    }
                }
            }
        }
        // Nothing on the rack has the label of another.
        for tally in material_tallies(&job, &plans) {
            let labels: BTreeSet<&str> = tally.rack_after.iter().map(|line| &*line.label).collect();
            prop_assert_eq!(labels.len(), tally.rack_after.len());
        }
    }
}

/// What a forgery may leave sound.
trait Differs {
    fn along_is_all_that_differs(&self, other: &MaterialPlan) -> bool;
}

impl Differs for MaterialPlan {
    fn along_is_all_that_differs(&self, other: &MaterialPlan) -> bool {
        let mut same = self.clone();
        for (own, of) in same.sheets.iter_mut().zip(&other.sheets) {
            own.along = of.along;
        }
        same == *other
    }
}
