//! Dust covers cut from sheets: sizes by hand, each counted once, plans that hold and forged ones that do not, their money.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::path::Path;

use longpoint::audit::check_sheets;
use longpoint::diag::{Diagnostic, code, render};
use longpoint::frame::SheetUse;
use longpoint::job::{AskedSize, CostKind, HardwareUse, Hindrance, Job, Serves};
use longpoint::length::{Length, Unit, exact_text};
use longpoint::load::{Boards, load_job};
use longpoint::money::{Money, Percent};
use longpoint::pipeline::{Materials, plan_sheets};
use longpoint::plan::Verdict;
use longpoint::plan::sheets::{MaterialPlan, PlannedSheet};
use longpoint::planfile::{MaterialUse, PlanFile, Standing, verify};
use longpoint::quote::{NoEstimate, Wastes, count_costs, estimate};
use longpoint::report::csv::sheets_csv;
use longpoint::report::sections::{plan_sheet, stations_sheet};
use longpoint::report::text::set;
use longpoint::stations::{WhyLacking, closings, hardware};
use longpoint::tally::{Summary, frame_weight, sized_frames};

use crate::jobs::{CONTROL, load_text, planned};
use crate::look::LOOK;
use crate::texts::Texts;

const PAPER: &str = "[[sheets]]\nname = \"kraft\"\nuse = \"dust-cover\"\nthickness = \"0.1 mm\"\nwidth = 24\nheight = 36\nprice = 1.20\n";
const BOARD: &str = "[[sheets]]\nname = \"board\"\nuse = \"backing\"\nthickness = \"1/8\"\n";
const ROLL: &str = "[[hardware]]\nname = \"kraft roll\"\nuse = \"dust-cover\"\nroll-width = 36\nlot-length = \"50 ft\"\nprice = 12\n";
const TAPE: &str = "[[hardware]]\nname = \"tape\"\nuse = \"tape\"\nlot-length = \"100 ft\"\n";
const ESTUARY: &str = "[[frames]]\nframe = \"Estuary\"\nquantity = 2\nart-width = 16\nart-height = 20\nmoulding = \"cap\"\n";

/// Two mouldings, a board for all rails, and what else a test is about.
fn job(more: &str) -> Job {
    load_text(format!(
        "currency = \"USD\"\n\
         [[mouldings]]\nname = \"cap\"\nface-width = 2\n\
         [[mouldings]]\nname = \"slip\"\nface-width = 1\n\
         [[boards]]\nboard = \"slat\"\nlength = 240\nprice = 9\n{more}"
    ))
}

/// What is said of a job of one text.
fn said_of(text: String) -> Vec<Diagnostic> {
    let texts = Texts::from([("job.toml", text)]);
    match load_job(Path::new("job.toml"), &texts, Boards::Needed) {
        Ok((_, said)) | Err(said) => said,
    }
}

fn plans(job: &Job) -> Vec<MaterialPlan> {
    plan_sheets(job, Materials::Stated, &CONTROL).unwrap()
}

/// Frame, width and height of each cover that is cut, as it is in the frame, in the order of the job.
fn covers(job: &Job) -> Vec<(String, String, String)> {
    let plans = plans(job);
    assert_eq!(check_sheets(job, &plans, false), []);
    let mut covers: Vec<_> = plans
        .iter()
        .filter(|plan| plan.key.serves == Serves::DustCover)
        .inspect(|plan| assert_eq!(plan.missing, []))
        .flat_map(|plan| plan.sheets.iter().flat_map(PlannedSheet::cuts))
        .map(|cut| cut.piece)
        .collect();
    covers.sort_unstable();
    let inches = |length: Length| exact_text(length, Unit::Inch);
    let told = covers.into_iter().map(|piece| {
        assert_eq!(piece.sheet_use, SheetUse::DustCover);
        let (width, height) = piece.size(job);
        let frame = job.frames[piece.frame_idx].name.clone();
        (frame, inches(width), inches(height))
    });
    told.collect()
}

fn of(frame: &str, width: &str, height: &str) -> (String, String, String) {
    (frame.to_owned(), width.to_owned(), height.to_owned())
}

/// That the paper stays 1/8 in inside of each edge: common practice, no source. The outside is "opening + allowance + twice the
/// width from rabbet wall to back edge" (Fine Woodworking 275, 2019, tips).
#[test]
fn covers_are_the_outside_less_the_margins_and_trays_and_liners_have_none() {
    let others = "[[frames]]\nframe = \"Dunes\"\nart-width = 8\nart-height = 10\nmoulding = \"cap\"\nliner = \"slip\"\n\
                  [[frames]]\nframe = \"Mesa\"\nart-width = 12\nart-height = 12\nmoulding = \"cap\"\ntray-gap = \"1/4\"\n";
    let frames = format!("{ESTUARY}{others}{PAPER}");
    // Derived: 16 + 1/8 + 3 1/2 = 19 5/8, less 1/4: 19 3/8; 20 likewise 23 3/8. Round the liner 8 + 1/8 + 1 1/2 = 9 5/8, round
    // that 9 5/8 + 1/8 + 3 1/2 = 13 1/4, less 1/4: 13; 10 likewise 15. The tray stays open.
    let found = covers(&job(&frames));
    let estuary = of("Estuary", "19 3/8 in", "23 3/8 in");
    assert_eq!(
        found,
        [estuary.clone(), estuary, of("Dunes", "13 in", "15 in")]
    );
    // Derived: with 1/2 in at each edge 19 5/8 - 1 = 18 5/8, and so on.
    let wide = job(&format!(
        "{frames}[assembly]\ndust-cover-margin = \"1/2\"\n"
    ));
    let wider = of("Estuary", "18 5/8 in", "22 5/8 in");
    assert_eq!(
        covers(&wide),
        [wider.clone(), wider, of("Dunes", "12 1/4 in", "14 1/4 in")]
    );
    // What the bench is told is what is cut.
    for closing in closings(&wide) {
        assert_eq!(
            wide.dust_cover_size(closing.frame_idx),
            closing.dust_cover.map(|cover| cover.size)
        );
    }
}

#[test]
fn the_cover_of_a_polygon_is_cut_from_the_rectangle_round_it() {
    let hexagon = "[[frames]]\nframe = \"Comb\"\nsides = 6\nart-width = 8\nmoulding = \"cap\"\n";
    let job = job(&format!("{hexagon}{PAPER}"));
    let plans = plans(&job);
    assert_eq!(check_sheets(&job, &plans, false), []);
    let (width, height) = plans[0].sheets[0].cuts().next().unwrap().piece.size(&job);
    // Derived: a hexagon is as high as its side times the root of 3, and twice its side wide. From flat to flat 8 x 1.7320508076
    // = 13.8564064606, and 1/8 + 3 1/2 - 1/4 = 3 3/8 more: 17.2314064606 in, a side of 9.9485571585, 19.8971143170 across.
    for (found, derived) in [(height, 437_677_724), (width, 505_386_704)] {
        assert!((found.nm() - derived).abs() <= 8, "{found:?}");
    }
}

/// Sheets are cut by a knife, which takes nothing, and turned, if the job says nothing else.
#[test]
fn paper_is_cut_by_a_knife_and_turned_unless_the_job_says_otherwise() {
    // Derived: art of 8 5/8 in has an outside of 8 5/8 + 3 5/8 = 12 1/4, and a cover of 12; one of 4 5/8 one of 8.
    let plan = |height: &str, size: (u32, u32), more: &str| {
        let job = job(&format!(
            "[[frames]]\nframe = \"Reed\"\nquantity = 4\nart-width = \"8 5/8\"\nart-height = \"{height}\"\nmoulding = \"cap\"\n\
             [[sheets]]\nname = \"kraft\"\nuse = \"dust-cover\"\nthickness = \"0.1 mm\"\nprice = 1\nwidth = {}\nheight = {}\n{more}",
            size.0, size.1
        ));
        let mut plans = plans(&job);
        assert_eq!(check_sheets(&job, &plans, false), []);
        let plan = plans.remove(0);
        assert_eq!(plan.verdict, Verdict::Optimal);
        (plan.sheets.len(), plan.missing.len())
    };
    // Four of 12 x 12 fill 24 x 24; with any kerf there is room for one.
    assert_eq!(plan("8 5/8", (24, 24), ""), (1, 0));
    assert_eq!(plan("8 5/8", (24, 24), "cut = \"sawn\"\n"), (4, 0));
    // Of 12 x 8 turned two lie in 8 x 24; as they are none does.
    assert_eq!(plan("4 5/8", (8, 24), ""), (2, 0));
    assert_eq!(plan("4 5/8", (8, 24), "turn = false\n"), (0, 4));
}

#[test]
fn a_cover_is_counted_once_in_sheets_or_off_a_roll() {
    let has_covers = |job: &Job| {
        let kinds = hardware(job).needs.into_iter();
        let mut kinds = kinds.map(|need| job.hardware[need.hardware_idx].hardware_use);
        let by_sheets = job.sheets_to_cut(0).len();
        (by_sheets, kinds.any(|of| of == HardwareUse::DustCover))
    };
    let (sheets, roll) = (
        job(&format!("{ESTUARY}{PAPER}{TAPE}")),
        job(&format!("{ESTUARY}{ROLL}{TAPE}")),
    );
    assert_eq!(has_covers(&sheets), (1, false));
    assert_eq!(has_covers(&roll), (0, true));
    assert_eq!(plans(&roll), []);
    // Tape goes round either: 2 x 2 x (19 3/8 + 23 3/8) = 171 in for two.
    let tape = |job: &Job| {
        let needs = hardware(job).needs.into_iter();
        let mut tapes =
            needs.filter(|need| job.hardware[need.hardware_idx].hardware_use == HardwareUse::Tape);
        tapes.next().map(|need| need.amount)
    };
    let around = longpoint::stations::HardwareAmount::Length(Length::INCH * 171);
    assert_eq!(tape(&sheets), Some(around));
    assert_eq!(tape(&roll), Some(around));
    // What has no weight known of the wood is told by the paper alone: 19.375 x 23.375 sq in = 0.292187 sq m of 80 g.
    let weight = |job: &Job| frame_weight(&sized_frames(job)[0]).known.grams();
    assert_eq!((weight(&sheets), weight(&roll)), (24, 0));
}

#[test]
fn covers_of_other_sizes_and_plans_without_them_are_refused() {
    let honest = job(&format!("{ESTUARY}{PAPER}"));
    let mut other = format!("{ESTUARY}{PAPER}[assembly]\ndust-cover-margin = ");
    let plans_of = |more: &str| plans(&job(&format!("{other}{more}\n")));
    assert_eq!(check_sheets(&honest, &plans_of("\"1/8\""), false), []);
    // As large as the frame, as large as the package (two faces without their lips less: 1 3/4 and 1/16 at each edge), and a
    // nanometer off.
    for margin in ["0", "\"1 13/16\"", "\"3.175001 mm\"", "\"3.174999 mm\""] {
        let found = check_sheets(&honest, &plans_of(margin), false);
        assert!(!found.is_empty(), "{margin}");
    }
    assert!(!check_sheets(&honest, &[], false).is_empty());
    let mut named = plans(&honest);
    named[0].key.serves = Serves::Backing;
    assert!(!check_sheets(&honest, &named, false).is_empty());
    // A tray has none, so a plan with one is none.
    other = format!("{ESTUARY}tray-gap = \"1/4\"\n{PAPER}");
    assert!(!check_sheets(&job(&other), &plans(&honest), false).is_empty());
    assert_eq!(plans(&job(&other)), []);
}

#[test]
fn the_plan_file_has_them_and_is_read_again() {
    let job = job(&format!("{ESTUARY}{PAPER}"));
    let planned = planned(&job);
    let file = PlanFile::of(&planned);
    let standing = |file: &PlanFile| verify(&job, &file.text()).map(|found| found.standing());
    assert_eq!(standing(&file), Ok(Standing::Holds));
    assert_eq!(file.materials[0].serves, MaterialUse::DustCover);
    assert_eq!(file.text().matches("\"use\": \"dust_cover\"").count(), 4);
    let forged = |change: &dyn Fn(&mut PlanFile)| {
        let mut file = file.clone();
        change(&mut file);
        assert_ne!(standing(&file), Ok(Standing::Holds));
    };
    forged(&|file| file.materials[0].serves = MaterialUse::Backing);
    forged(&|file| file.materials.clear());
    forged(&|file| file.sheets.clear());
    forged(&|file| {
        let strip = &mut file.materials[0].sheets[0].strips[0];
        strip.stacks[0].cuts[0].piece.serves = MaterialUse::Backing;
    });
    // Larger by a nanometer, and all that lies beside it too.
    forged(&|file| {
        let strip = &mut file.materials[0].sheets[0].strips[0];
        strip.width_nm += 1;
        strip.stacks[0].cuts[0].to_nm += 1;
    });
}

#[test]
fn paper_of_two_kinds_or_in_two_forms_is_refused() {
    let gray = PAPER.replace("kraft", "gray");
    let text = format!(
        "[[mouldings]]\nname = \"cap\"\nface-width = 2\n[[boards]]\nboard = \"slat\"\nlength = 240\n{ESTUARY}{PAPER}{gray}{ROLL}"
    );
    let faults = said_of(text);
    // Derived: lines 1 to 6, the frame on 7 to 12, so the first `[[sheets]]` is on 13 and the second on 20.
    let found: Vec<(&str, String)> = faults
        .iter()
        .map(|fault| (fault.code, render(std::slice::from_ref(fault), false)))
        .collect();
    let [(one, roll), (other, second)] = &found[..] else {
        unreachable!("{found:?}");
    };
    assert_eq!((*one, *other), (code::EXCLUDES, code::EXCLUDES));
    assert!(
        roll.contains("line 13")
            && roll.contains("from sheets `kraft` and off hardware `kraft roll`"),
        "{roll}"
    );
    assert!(
        second.contains("line 20")
            && second.contains("sheets `kraft` and `gray` are both for dust covers"),
        "{second}"
    );
    for line in [roll, second].into_iter().flat_map(|text| text.lines()) {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn nobody_need_measure_paper_and_what_no_paper_is_is_told() {
    let thickness = |line: &str| PAPER.replace("thickness = \"0.1 mm\"\n", line);
    let unsaid = job(&format!("{ESTUARY}{}", thickness("")));
    let paper = unsaid.dust_cover.as_ref().unwrap();
    assert_eq!(paper.thickness, Length::from_nm(100_000));
    let codes = |paper: &str| {
        let text = format!(
            "currency = \"USD\"\n[[mouldings]]\nname = \"cap\"\nface-width = 2\n[[boards]]\nboard = \"slat\"\nlength = 240\nprice = 9\n{ESTUARY}{paper}"
        );
        said_of(text)
            .iter()
            .map(|said| said.code)
            .collect::<Vec<_>>()
    };
    assert_eq!(codes(&thickness("")), [""; 0]);
    assert_eq!(codes(PAPER), [""; 0]);
    // A tenth of an inch is 2.54 mm; a millimeter is the most.
    assert_eq!(codes(&thickness("thickness = 0.1\n")), [code::THICK_PAPER]);
    assert_eq!(codes(&thickness("thickness = \"1 mm\"\n")), [""; 0]);
    // All else is measured.
    let board = "[[sheets]]\nname = \"card\"\nuse = \"backing\"\n";
    assert_eq!(codes(board), [code::MISSING_KEY]);
    // Paper has no windows, and what does not drop out of one loses nothing.
    let loss = format!("{PAPER}fallout-loss = \"1/8\"\n");
    assert_eq!(codes(&loss), [code::NO_EFFECT]);
    let mat = "[[sheets]]\nname = \"white\"\nuse = \"mat\"\nthickness = \"1/16\"\nfallout-loss = \"1/8\"\n";
    assert_eq!(codes(mat), [code::NO_EFFECT]);
    assert_eq!(codes(&format!("{mat}fallout = true\n")), [""; 0]);
}

/// Of polygons each size is rounded once, however it is told: the audit works them out by itself.
#[test]
fn covers_of_polygons_with_oversize_hold() {
    for sides in [3, 5, 6, 7, 8, 12, 47] {
        for measured in ["", "measured = \"flats\"\n", "measured = \"corners\"\n"] {
            if !measured.is_empty() && sides % 2 == 1 {
                continue;
            }
            for (margin, oversize) in [
                ("1/8", "1/8"),
                ("1/8", "1/2"),
                ("3/16", "1/16"),
                ("0", "7/64"),
            ] {
                let job = job(&format!(
                    "[[frames]]\nframe = \"Window\"\nmoulding = \"cap\"\nsides = {sides}\nart-width = \"{}\"\n{measured}{PAPER}\
                     [assembly]\ndust-cover-margin = \"{margin}\"\ndust-cover-oversize = \"{oversize}\"\n",
                    if sides > 12 { "3/4" } else { "5 3/16" },
                ));
                let plans = plans(&job);
                assert_eq!(plans.len(), 1, "{sides} {measured}");
                assert_eq!(check_sheets(&job, &plans, false), []);
            }
        }
    }
}

/// A cover that is trimmed once it is glued: finished as without that, cut larger at each edge, from sheets and off a roll.
#[test]
fn a_cover_may_be_cut_larger_than_it_is_finished() {
    let oversize = "[assembly]\ndust-cover-oversize = \"1/2\"\n";
    let sheets = job(&format!("{ESTUARY}{PAPER}{oversize}"));
    // Derived: finished 19 3/8 x 23 3/8 as above, and 1/2 more at each edge: 20 3/8 x 24 3/8.
    let cut = of("Estuary", "20 3/8 in", "24 3/8 in");
    assert_eq!(covers(&sheets), [cut.clone(), cut]);
    let cover = closings(&sheets)[0].dust_cover.unwrap();
    let sides = |outline: longpoint::frame::Outline| {
        [0, 1].map(|side| exact_text(outline.side(side), Unit::Inch))
    };
    assert_eq!(sides(cover.size), ["19 3/8 in", "23 3/8 in"]);
    assert_eq!(sides(cover.cut), ["20 3/8 in", "24 3/8 in"]);
    // It weighs what is left of it, and tape goes round that.
    assert_eq!(frame_weight(&sized_frames(&sheets)[0]).known.grams(), 24);
    // A plan for the finished size is no plan of it, and neither is one that is cut larger a plan for the finished size.
    let honest = job(&format!("{ESTUARY}{PAPER}"));
    assert!(!check_sheets(&sheets, &plans(&honest), false).is_empty());
    assert!(!check_sheets(&honest, &plans(&sheets), false).is_empty());
    // Derived: off a roll of 36 in both lie across it, 24 3/8 in: 20 3/8 in each off it.
    let roll = job(&format!("{ESTUARY}{ROLL}{oversize}"));
    let list = hardware(&roll);
    let cuts: Vec<_> = list.needs[0]
        .cuts
        .iter()
        .map(|cut| (cut.count, exact_text(cut.length, Unit::Inch)))
        .collect();
    assert_eq!(cuts, [(2, "20 3/8 in".to_owned())]);
}

#[test]
fn a_single_frame_can_do_without_a_cover() {
    let bare = ESTUARY
        .replace("Estuary", "Heron")
        .replace("quantity = 2", "quantity = 1");
    let bare = format!(
        "{bare}dust-cover = false\nbacking = \"card\"\n[[sheets]]\nname = \"card\"\nuse = \"backing\"\nthickness = \"1/8\"\n"
    );
    let sheets = job(&format!("{ESTUARY}{bare}{PAPER}"));
    let estuary = of("Estuary", "19 3/8 in", "23 3/8 in");
    assert_eq!(covers(&sheets), [estuary.clone(), estuary]);
    // Its back is held by points all the same: 16 and 20 in at most 3 apart are 6 and 7, twice.
    let closed = closings(&sheets);
    assert_eq!(closed[1].dust_cover, None);
    assert_eq!(
        closed[1].points.as_ref().map(|points| points.count),
        Some(26)
    );
    let forged = plans(&job(&format!(
        "{ESTUARY}{}{PAPER}",
        bare.replace("false", "true")
    )));
    assert!(!check_sheets(&sheets, &forged, false).is_empty());
    let roll = job(&format!("{ESTUARY}{bare}{ROLL}{TAPE}"));
    let frames: Vec<usize> = hardware(&roll)
        .needs
        .iter()
        .flat_map(|need| need.frames.iter().map(|(idx, _)| *idx))
        .collect();
    assert_eq!(frames, [0, 0], "paper and tape for the first alone");
}

/// What is told across the flats stays what it is through mat, play and face.
#[test]
fn sheets_of_an_octagon_are_as_wide_as_its_figures_add_up() {
    let glass = "[[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\nwidth = 32\nheight = 40\n";
    let octagon = "[[frames]]\nframe = \"Star\"\nsides = 8\nmeasured = \"flats\"\nart-width = 10\nmat-border = \"1 9/16\"\n\
                   moulding = \"cap\"\nglazing = \"glass\"\n";
    let job = job(&format!("{octagon}{PAPER}{glass}"));
    let plans = plans(&job);
    assert_eq!(check_sheets(&job, &plans, false), []);
    let sizes: Vec<_> = plans
        .iter()
        .map(|plan| plan.sheets[0].cuts().next().unwrap().piece.size(&job))
        .map(|(width, height)| {
            (
                exact_text(width, Unit::Inch),
                exact_text(height, Unit::Inch),
            )
        })
        .collect();
    // Derived: 10 + 2 (1 9/16 - 1/4) = 12 5/8; 12 5/8 + 1/8 + 3 1/2 - 1/4 = 16.
    let both = |text: &str| (text.to_owned(), text.to_owned());
    assert_eq!(sizes, [both("12 5/8 in"), both("16 in")]);
}

/// What is cut larger is told where it is cut and where it is glued, in tables that fit a narrow page.
#[test]
fn a_cover_that_is_trimmed_is_told_in_both_its_sizes() {
    let backing = "backing = \"board\"\n";
    let oversize = "[assembly]\ndust-cover-oversize = \"1/2\"\n";
    let job = job(&format!(
        "{ESTUARY}{backing}[[frames]]\nframe = \"Granary door at noon\"\nart-width = 33\nart-height = \"27 5/16\"\nmoulding = \"cap\"\n\
         {backing}{}{oversize}",
        PAPER.replace("width = 24\nheight = 36", "width = 48\nheight = 60") + BOARD
    ));
    let planned = planned(&job);
    let summary = Summary::new(&planned.plan).with_sheets(planned.materials.clone());
    let stations = set(&stations_sheet(&summary), LOOK);
    assert!(
        stations.lines().all(|line| line.chars().count() <= 80),
        "{stations}"
    );
    let words = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
    let lines: Vec<String> = stations.lines().map(words).collect();
    // Where it is cut the list says so too, and the table has both sizes in columns of their own.
    let cut = "2 kraft 20 3/8 24 3/8 Estuary";
    let at = lines.iter().position(|line| line == cut);
    let note = at.map(|at| lines[at + 1].as_str());
    let trimmed = "cut larger: 19 3/8 × 23 3/8 once trimmed";
    assert_eq!(note, Some(trimmed), "{stations}");
    assert!(words(&stations).contains(
        "A dust cover is 1/2 in larger at each edge than it stays: trim it once it is glued."
    ));
    let table = sheets_csv(&planned.plan.job);
    let columns = "width-in,height-in,across-flats-in,trimmed-width-in,trimmed-height-in,";
    assert!(table.lines().next().unwrap().contains(columns), "{table}");
    assert!(table.contains(",20.375,24.375,,19.375,23.375,,"), "{table}");
    let head = lines
        .iter()
        .position(|line| line == "frame cut cover wide high trimmed wide high");
    // Derived: 19 3/8 x 23 3/8 as above, and 1/2 more at each edge.
    let row = head.map(|head| lines[head + 1].as_str());
    assert_eq!(
        row,
        Some("Estuary ×2 20 3/8 24 3/8 19 3/8 23 3/8"),
        "{stations}"
    );
    let plan = set(&plan_sheet(&summary), LOOK);
    assert!(
        plan.contains(
            "Each is 1/2 in larger at each edge than it stays: trim it once it is glued."
        ),
        "{plan}"
    );
}

/// A size for which the paper is too small is passed over, as one for which a pane is, and so is one that a roll does not serve.
#[test]
fn a_price_list_passes_over_what_no_paper_covers() {
    let small = PAPER.replace("height = 36", "height = 24");
    let narrow = ROLL.replace("roll-width = 36", "roll-width = 24");
    // Derived: 16 x 20 has a cover of 19 3/8 x 23 3/8, which 24 x 24 holds; 24 x 30 one of 27 3/8 x 33 3/8.
    let sizes = [(16, 20), (24, 30)]
        .map(|(width, height)| AskedSize::any(Length::INCH * width, Length::INCH * height));
    let of = |paper: &str| {
        let made = estimate(
            &job(&format!("{ESTUARY}{paper}")),
            &sizes,
            &Wastes::measure(&[], Percent::parse("0")),
        )
        .unwrap();
        made.frames
            .into_iter()
            .filter(|of| of.moulding_idx == 0)
            .map(|of| of.found.map(|_| ()))
            .collect::<Vec<_>>()
    };
    let [
        Ok(()),
        Err(NoEstimate::NoSheet(key, Hindrance::TooLarge { .. })),
    ] = &of(&small)[..]
    else {
        unreachable!("{:?}", of(&small));
    };
    assert_eq!(key.serves, Serves::DustCover);
    let found = of(&narrow);
    let [
        Ok(()),
        Err(NoEstimate::NoHardware(HardwareUse::DustCover, WhyLacking::Wider(_))),
    ] = &found[..]
    else {
        unreachable!("{found:?}");
    };
}

#[test]
fn covers_are_paid_with_the_backing_and_no_cent_twice() {
    let sheets = job(&format!("{ESTUARY}{PAPER}"));
    let planned = planned(&sheets);
    let costs = count_costs(&planned.plan, &planned.materials).unwrap();
    let of = |kind| -> Money { costs.sold.iter().map(|sold| sold.costs.of(kind)).sum() };
    // Derived: two covers of 19 3/8 are 38 3/4 wide, and two of 23 3/8 46 3/4 high, so each takes a sheet of 24 x 36: 2 x 1.20.
    assert_eq!(of(CostKind::Backing).minor(), 240);
    assert_eq!(of(CostKind::Hardware), Money::ZERO);
    assert_eq!(costs.lacks, []);
    let all: Money = costs.sold.iter().map(|sold| sold.costs.sum()).sum();
    assert_eq!(all, of(CostKind::Wood) + of(CostKind::Backing));
    // Derived: 1.20 x 19.375 x 23.375 / 864 = 0.6290, and with a tenth wasted 0.6989.
    for (waste, minor) in [("0", 63), ("10", 70)] {
        let wastes = Wastes::measure(&[], Percent::parse(waste));
        let size = AskedSize::any(Length::INCH * 16, Length::INCH * 20);
        let made = estimate(&sheets, &[size], &wastes).unwrap();
        let found = made.frames[0].found.as_ref().unwrap();
        assert_eq!(found.priced.of.costs.of(CostKind::Backing).minor(), minor);
    }
}
