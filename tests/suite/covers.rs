//! Dust covers cut from sheets: sizes by hand, each counted once, plans that hold and forged ones that do not, their money.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use longpoint::audit::check_sheets;
use longpoint::frame::SheetUse;
use longpoint::job::{AskedSize, CostKind, HardwareUse, Job, Serves};
use longpoint::length::{Length, Unit, exact_text};
use longpoint::money::{Money, Percent};
use longpoint::pipeline::{Materials, plan_sheets};
use longpoint::plan::Verdict;
use longpoint::plan::sheets::{MaterialPlan, PlannedSheet};
use longpoint::planfile::{MaterialUse, PlanFile, Standing, verify};
use longpoint::quote::{Wastes, count_costs, estimate};
use longpoint::stations::{closings, hardware};
use longpoint::tally::{frame_weight, sized_frames};

use crate::jobs::{CONTROL, load_text, planned};

const PAPER: &str = "[[sheets]]\nname = \"kraft\"\nuse = \"dust-cover\"\nthickness = \"0.1 mm\"\nwidth = 24\nheight = 36\nprice = 1.20\n";
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
            Some(closing.dust_cover)
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
