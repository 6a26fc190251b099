//! Price lists by size: an estimate by hand, equal frames against the plan in which the waste was measured, the list read back.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use longpoint::diag::Diagnostics;
use longpoint::job::{AskedSize, CostKind, Hindrance, Job};
use longpoint::length::Length;
use longpoint::load::read_price_list;
use longpoint::money::{Money, Percent};
use longpoint::pipeline::Planned;
use longpoint::quote::{
    CannotEstimate, Estimated, NoEstimate, Past, WasteOf, Wastes, count_costs, estimate,
    usual_inch_sizes,
};
use longpoint::report::csv::{estimate_csv, estimated_costs_csv};
use proptest::prelude::*;

use crate::command::{longpoint, text};
use crate::jobs::{load_text, planned};
use crate::texts::Texts;

const JOB: &str = "currency = \"USD\"\n\
    [[mouldings]]\nname = \"ash flat\"\nface-width = 2\n\
    [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\nwidth = 36\nheight = 48\nprice = 24.53\n\
    [[sheets]]\nname = \"4-ply\"\nuse = \"mat\"\nthickness = \"1/16\"\nwidth = 32\nheight = 40\nprice = 15.81\n\
    [[hardware]]\nname = \"ring\"\nuse = \"hangers\"\nlot-count = 7\nprice = 3.47\n\
    [[boards]]\nboard = \"six\"\nlength = \"6 ft\"\nprice = 13.10\n\
    [[boards]]\nboard = \"eight\"\nlength = \"8 ft\"\nprice = 17.60\n";

const FRAME: &str = "[[frames]]\nframe = \"heron\"\nart-width = 12\nart-height = 9\nglazing = \"glass\"\n\
    mat = \"4-ply\"\nmat-border = 2\n";

const RULES: &str = "[price]\nhour = 46\nper-frame = \"15 min\"\nper-corner = 1.50\noverhead = \"8 %\"\nmarkup = \"40 %\"\n\
    markup-wood = \"60 %\"\nround-to = 5\ndiscount = \"50 %\"\ndiscount-from = 2\ntax-name = \"VAT\"\ntax = \"19 %\"\n\
    tax-included = true\n";

fn stated(percent: &str) -> Wastes {
    Wastes::measure(&[], Percent::parse(percent))
}

fn inches(width: i64, height: i64) -> AskedSize {
    AskedSize::any(Length::INCH * width, Length::INCH * height)
}

/// By hand, 8 by 10 in, 20 % wasted. Without a mat: outside 8 + 1/8 - 2/4 + 4 = 11 5/8 by 13 5/8, rails 50 1/2 in; 13.10 x
/// 50.5 / 72 / 0.8 = 11.4852. Glass 8 by 10 of 36 by 48: 24.53 x 80 / 1728 / 0.8 = 1.4196. Two rings of seven: 0.9914. Labor 11.50
/// and 6.00. Overhead 8 % of 11.49 + 1.42 + 0.99 + 17.50 = 31.40: 2.51. Cost 33.91; markup 6.89 on wood, 0.57, 0.40, 7.00, 1.00: 49.77;
/// with 19 % 59.2263, raised to 59.23 and to 60.00.
/// With a mat: the art laps 1/4 in, so the package is 8 - 1/2 + 4 = 11 1/2 by 13 1/2, rails 64.5 in: 13.10 x 64.5 / 72 / 0.8 =
/// 14.6693.
/// Mat board 155.25 of 1280 sq in: 15.81 x 155.25 / 1280 / 0.8 = 2.3970. Glass: 24.53 x 155.25 / 1728 / 0.8 = 2.7549.
#[test]
fn an_estimate_is_what_it_is_by_hand() {
    let job = load_text(format!("{JOB}{FRAME}{RULES}"));
    let made = estimate(&job, &[inches(8, 10)], &stated("20")).unwrap();
    let costs = |of: &Estimated| {
        let costs = of.found.as_ref().unwrap().priced.of.costs;
        CostKind::ALL.map(|kind| costs.of(kind).minor())
    };
    let [without, with] = &made.frames[..] else {
        unreachable!("one without a mat and one with it");
    };
    assert!(!without.has_mat() && with.has_mat());
    assert_eq!(costs(without), [1_149, 0, 142, 0, 99, 1_750, 0, 251]);
    let priced = &without.found.as_ref().unwrap().priced;
    assert_eq!(
        (priced.marked_up.minor(), priced.each.minor()),
        (4_977, 6_000)
    );
    // 60.00 / 1.19 is 50.4202.
    assert_eq!(priced.net.minor(), 5_042);
    assert_eq!(costs(with)[..5], [1_467, 240, 275, 0, 99]);
}

/// What is asked for more frames, of other boards or a second time, changes nothing: each frame is estimated by itself.
#[test]
fn each_size_stands_by_itself() {
    let job = load_text(format!("{JOB}{FRAME}{RULES}"));
    let sizes = usual_inch_sizes();
    let together = estimate(&job, &sizes, &stated("12.5")).unwrap();
    let alone = sizes.iter().flat_map(|size| {
        let one = std::slice::from_ref(size);
        estimate(&job, one, &stated("12.5")).unwrap().frames
    });
    assert_eq!(together.frames, alone.collect::<Vec<_>>());
    // Turned it costs the same.
    for (one, other) in [
        (inches(8, 10), inches(10, 8)),
        (inches(24, 36), inches(36, 24)),
    ] {
        let of = |size| estimate(&job, &[size], &stated("0")).unwrap().frames;
        let prices = |frames: &[Estimated]| -> Vec<Money> {
            frames
                .iter()
                .map(|of| of.found.as_ref().unwrap().priced.each)
                .collect()
        };
        assert_eq!(prices(&of(one)), prices(&of(other)));
    }
}

fn past(planned: &Planned) -> Wastes {
    let (plan, idle) = (&planned.plan, BTreeMap::new());
    let past = Past {
        plan,
        idle: &idle,
        materials: &planned.materials,
        of_sheets: &plan.job,
    };
    Wastes::measure(&[past], None)
}

/// Equal frames from one kind of board and one of each sheet.
fn equal_frames() -> impl Strategy<Value = (Job, u32, AskedSize)> {
    let sizes = (5_i64..20, 5_i64..20, 1_u32..25);
    let rip = prop_oneof![Just(None), (1_u32..4).prop_map(Some)];
    (sizes, rip, any::<bool>(), 500_u32..9_000).prop_map(|((width, height, quantity), rip, has_mat, cents)| {
        let mut text = String::from(
            "currency = \"USD\"\n[[mouldings]]\nname = \"flat\"\nface-width = \"1 3/4\"\n\
             [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\nwidth = 36\nheight = 48\nprice = 24.53\n\
             [[sheets]]\nname = \"4-ply\"\nuse = \"mat\"\nthickness = \"1/16\"\nwidth = 32\nheight = 40\nprice = 15.81\n\
             [in-hand]\nworth = \"nothing\"\n[price]\nmarkup = 0\n",
        );
        if rip.is_some() {
            text += "[rip]\nkerf = \"1/8\"\n";
        }
        let board_width = rip.map_or(String::new(), |strips| format!("width = {}\n", strips * 2));
        let _ = writeln!(
            text,
            "[[boards]]\nboard = \"eight\"\nlength = \"8 ft\"\nprice = {}.{:02}\n{board_width}",
            cents / 100,
            cents % 100
        );
        let mat = if has_mat { "mat = \"4-ply\"\nmat-border = 2\n" } else { "" };
        let _ = writeln!(
            text,
            "[[frames]]\nframe = \"all\"\nquantity = {quantity}\nart-width = {width}\nart-height = {height}\n\
             glazing = \"glass\"\n{mat}"
        );
        let size = AskedSize {
            has_mat: Some(has_mat),
            ..inches(width, height)
        };
        (load_text(text), quantity, size)
    })
}

proptest! {
    #![proptest_config(cases!(60))]

    /// So many times the estimate is what the plan costs in which the waste was measured. Tolerance, by the rules of rounding:
    /// the waste is raised by less than a tenth of a percent of what was bought, w to less than w + 0.001, so the estimate is
    /// higher by no more than 0.001 / (1 - w - 0.001) of it; and each of its amounts is rounded by half a minor unit.
    #[test]
    fn equal_frames_cost_what_their_plan_does((job, quantity, size) in equal_frames()) {
        let planned = planned(&job);
        let wastes = past(&planned);
        let made = estimate(&job, &[size], &wastes).unwrap();
        let estimated = made.frames[0].found.as_ref().unwrap().priced.of.costs;
        let of_plan = count_costs(&planned.plan, &planned.materials).unwrap();
        let boards = made.wasted.iter().find(|of| !matches!(of, WasteOf::Sheets(_))).unwrap();
        for (kind, of) in [
            (CostKind::Wood, *boards),
            (CostKind::Mats, WasteOf::Sheets(longpoint::job::Serves::Mat)),
            (CostKind::Glazing, WasteOf::Sheets(longpoint::job::Serves::Glazing)),
        ] {
            let cost = i128::from(of_plan.sold[0].costs.of(kind).minor());
            let times = i128::from(estimated.of(kind).minor()) * i128::from(quantity);
            let Some(waste) = wastes.of(of) else {
                prop_assert_eq!((cost, times), (0, 0));
                continue;
            };
            prop_assert!(!waste.is_stated);
            let left = i128::from(1_000_000 - waste.share.millionths());
            let rounding = i128::from(quantity);
            prop_assert!(2 * (cost - times) <= rounding, "{kind:?}: {times} for {cost}");
            prop_assert!(
                (2 * (times - cost) - rounding) * left <= 2 * cost * 1_000,
                "{kind:?}: {times} for {cost}, {waste:?}"
            );
        }
    }
}

#[test]
fn waste_is_of_what_was_bought_alone() {
    // Two rails of 40 in from a board of 96: 16 of 96 are wasted, 16.666 %, raised to 16.7 %.
    let body = "[[pieces]]\npiece = \"bar\"\nlength = 40\nquantity = 2\n\
                [[boards]]\nboard = \"eight\"\nlength = \"8 ft\"\nprice = 10\n";
    let bought = past(&planned(&load_text(body)));
    assert_eq!(
        bought.of(WasteOf::Boards).unwrap().share,
        Percent::parse("16.7").unwrap()
    );
    let rack = "[[rack]]\nboard = \"R\"\nlength = 96\n";
    assert_eq!(
        past(&planned(&load_text(format!("{body}{rack}")))).of(WasteOf::Boards),
        None
    );
    let both = Wastes::measure(&[], None);
    assert_eq!(both.of(WasteOf::Boards), None);
}

/// Mats of white board, 32 by 40 in: that of 22 by 32 in art, 3 in of border, is 27 1/2 by 37 1/2, that of 9 by 12, 2 in, 12 1/2
/// by 15 1/2, that of 4 by 6, 2 in, 7 1/2 by 9 1/2. The first leaves no room beside it, and its window holds both others.
#[test]
fn what_is_cut_from_the_board_of_a_window_is_in_a_part() {
    let head = "currency = \"USD\"\n[[mouldings]]\nname = \"flat\"\nface-width = 1\n\
         [[sheets]]\nname = \"white\"\nuse = \"mat\"\nthickness = \"1/16\"\nfallout = true\nleast-piece = 4\nwidth = 32\n\
         height = 40\nprice = 9\n[[boards]]\nboard = \"eight\"\nlength = \"8 ft\"\nprice = 10\n";
    let frame = |name: &str, width: u32, height: u32, border: u32| {
        format!(
            "[[frames]]\nframe = \"{name}\"\nart-width = {width}\nart-height = {height}\nmat = \"white\"\nmat-border = {border}\n"
        )
    };
    let two = format!(
        "{head}{}{}",
        frame("tall", 22, 32, 3),
        frame("middle", 9, 12, 2)
    );
    let three = format!("{two}{}", frame("small", 4, 6, 2));
    // 1031.25 + 193.75 of 1280 are in parts, 55 are not: 4.297 %. With 71.25 more it is more than was bought.
    for (text, share) in [(two, "4.3"), (three, "0")] {
        let wastes = past(&planned(&load_text(text)));
        let of_mats = wastes.of(WasteOf::Sheets(longpoint::job::Serves::Mat));
        assert_eq!(of_mats.unwrap().share, Percent::parse(share).unwrap());
    }
}

/// A frame without a mat takes that of a frame of its own moulding before that of another.
#[test]
fn a_mat_is_that_of_the_own_moulding_first() {
    let job = format!("{JOB}[[mouldings]]\nname = \"oak\"\nface-width = 1\n");
    let frame = |name: &str, moulding: &str, mat: &str| {
        format!(
            "[[frames]]\nframe = \"{name}\"\nart-width = 12\nart-height = 9\nmoulding = \"{moulding}\"\n{mat}"
        )
    };
    let mat = |border: u32| format!("mat = \"4-ply\"\nmat-border = {border}\n");
    let frames = [
        frame("bare", "ash flat", ""),
        frame("other", "oak", &mat(3)),
        frame("own", "ash flat", &mat(2)),
    ];
    let job = load_text(format!("{job}{}{RULES}", frames.concat()));
    let made = estimate(&job, &[inches(8, 10)], &stated("20")).unwrap();
    let mats: Vec<_> = made.frames.iter().map(|of| (of.like, of.mat_of)).collect();
    assert_eq!(mats, [(0, None), (0, Some(2)), (1, None), (1, Some(1))]);
}

/// Glass of 36 by 48 in holds a pane of 32 by 32, but not by cuts of 30 in.
#[test]
fn what_the_cutter_does_not_take_is_not_called_too_large() {
    let short = JOB.replace("width = 36\n", "width = 36\nlongest-first-cut = 30\n");
    let none = AskedSize {
        has_mat: Some(false),
        ..inches(32, 32)
    };
    for (text, is_too_large) in [(short.as_str(), false), (JOB, true)] {
        let job = load_text(format!("{text}{FRAME}{RULES}"));
        let size = if is_too_large {
            AskedSize {
                width: Length::INCH * 60,
                ..none.clone()
            }
        } else {
            none.clone()
        };
        let made = estimate(&job, &[size], &stated("20")).unwrap();
        let Err(NoEstimate::NoSheet(_, why)) = &made.frames[0].found else {
            unreachable!("{:?}", made.frames[0].found);
        };
        assert_eq!(
            matches!(why, Hindrance::TooLarge { .. }),
            is_too_large,
            "{why:?}"
        );
        assert_eq!(
            matches!(why, Hindrance::FirstCut { .. }),
            !is_too_large,
            "{why:?}"
        );
    }
}

/// A row that asks for a mat where no frame has one is told, not passed over; one that asks for either stands without.
#[test]
fn a_mat_that_no_frame_has_is_not_passed_over() {
    let plain = FRAME
        .lines()
        .filter(|line| !line.starts_with("mat"))
        .fold(String::new(), |text, line| text + line + "\n");
    let job = load_text(format!("{JOB}{plain}{RULES}"));
    assert!(job.frames.iter().all(|frame| frame.mat.is_none()));
    let asked = AskedSize {
        has_mat: Some(true),
        ..inches(8, 10)
    };
    let made = estimate(&job, &[asked, inches(11, 14)], &stated("20")).unwrap();
    let of_mouldings = made.frames.chunks(2);
    for of_moulding in of_mouldings {
        assert_eq!(of_moulding[0].found, Err(NoEstimate::NoMat));
        assert!(of_moulding[0].has_mat());
        assert!(of_moulding[1].found.is_ok() && !of_moulding[1].has_mat());
    }
    assert_eq!(made.frames.len(), 2 * job.mouldings.len());
}

/// Tables with decimal commas have them in lengths and amounts too.
#[test]
fn the_tables_are_in_the_form_of_the_job() {
    let form = "[tables]\nseparator = \"semicolon\"\ndecimal-mark = \"comma\"\n";
    let job = load_text(format!("{JOB}{FRAME}{RULES}{form}"));
    // 8.1 in, which is no fraction of a 64th.
    let size = AskedSize {
        has_mat: Some(false),
        ..AskedSize::any(Length::from_nm(205_740_000), Length::INCH * 10)
    };
    let made = estimate(&job, &[size], &stated("20")).unwrap();
    for table in [estimate_csv(&job, &made), estimated_costs_csv(&job, &made)] {
        let row = table.lines().nth(1).unwrap();
        assert!(
            row.starts_with("estimate;8,1 in;10 in;ash flat;none;") && row.contains(",00;"),
            "{row}"
        );
        assert!(!row.contains('.'), "{row}");
    }
}

/// What has no price is told in the tables, and so told they are still price lists.
#[test]
fn tables_that_are_not_final_say_so() {
    let unpriced = JOB.replace("price = 24.53\n", "");
    for (text, is_final) in [(JOB, true), (unpriced.as_str(), false)] {
        let job = load_text(format!("{text}{FRAME}{RULES}"));
        let made = estimate(&job, &[inches(8, 10)], &stated("20")).unwrap();
        for table in [estimate_csv(&job, &made), estimated_costs_csv(&job, &made)] {
            let told: Vec<&str> = table
                .lines()
                .filter(|line| line.starts_with("not-final,"))
                .collect();
            assert_eq!(told.is_empty(), is_final, "{table}");
            for line in told {
                assert!(
                    line.ends_with(",nothing is asked yet for it: material glass"),
                    "{line}"
                );
            }
            let mut reader = csv::Reader::from_reader(table.as_bytes());
            assert!(reader.records().all(|row| row.is_ok()), "{table}");
        }
        let texts = Texts::from([("list.csv", estimate_csv(&job, &made))]);
        let mut faults = Diagnostics::default();
        let prices = read_price_list(Path::new("list.csv"), &texts, &job, &mut faults);
        let priced = made.frames.iter().filter(|of| of.found.is_ok());
        assert_eq!(prices.len(), priced.count());
        assert_eq!(faults.n_errors(), 0);
    }
}

/// A wood that no frame is of and no board with a price could be made into is not on offer, unless it is asked for.
#[test]
fn woods_that_nobody_offers_are_left_out() {
    let woods = JOB
        .replace(
            "name = \"ash flat\"\nface-width = 2\n",
            "name = \"flat\"\nface-width = 2\nwoods = [\"ash\", \"oak\", \"walnut\"]\n",
        )
        .replace("board = \"six\"\n", "board = \"six\"\nmaterial = \"ash\"\n")
        .replace(
            "board = \"eight\"\n",
            "board = \"eight\"\nmaterial = \"oak\"\n",
        );
    let frame = format!("{FRAME}moulding = \"flat\"\nwood = \"ash\"\n");
    let job = load_text(format!("{woods}{frame}{RULES}"));
    let listed = |sizes: &[AskedSize]| {
        let made = estimate(&job, sizes, &stated("20")).unwrap();
        let names = made.frames.iter();
        let mut names: Vec<String> = names
            .map(|of| job.mouldings[of.moulding_idx].name.clone())
            .collect();
        names.dedup();
        names
    };
    let names: Vec<&str> = job.mouldings.iter().map(|own| own.name.as_str()).collect();
    assert_eq!(names.len(), 3);
    // Of oak no frame is, but a board is on sale.
    assert_eq!(listed(&[inches(8, 10)]), names[..2]);
    let walnut = AskedSize {
        moulding: Some(names[2].to_owned()),
        ..inches(8, 10)
    };
    assert_eq!(listed(&[walnut]), names[2..]);
}

#[test]
fn what_cannot_be_estimated_is_refused_or_named() {
    let job = load_text(format!("{JOB}{FRAME}{RULES}"));
    let none = estimate(&job, &[inches(8, 10)], &Wastes::default());
    assert!(matches!(none, Err(CannotEstimate::NoWaste(of)) if of.len() == 3));
    let pieces = "[[pieces]]\npiece = \"bar\"\nlength = 10\n";
    let no_frame = load_text(format!("{JOB}{pieces}{RULES}"));
    let none = estimate(&no_frame, &[inches(8, 10)], &stated("10"));
    assert_eq!(none, Err(CannotEstimate::NoFrame));
    let dear = "[price]\nglass-square-foot = 1000000000\nmarkup = 10000\n";
    let large = load_text(format!("{JOB}{FRAME}{dear}").replace("8 ft", "9000 m"));
    let none = estimate(&large, &[inches(100_000, 100_000)], &stated("10"));
    assert!(
        none.as_ref()
            .is_ok_and(|made| made.frames.iter().all(|of| of.found.is_err()))
            || none == Err(CannotEstimate::TooLarge)
    );
}

#[test]
fn the_list_is_one_of_estimates_and_of_prices() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    write("job.toml", &format!("{JOB}{FRAME}{RULES}"));
    write(
        "sizes.csv",
        "width,height,moulding,mat\n12,9,,\n8 in,10,ash flat,none\n500,600,,none\n40,4,,none\n",
    );
    let run = |args: &[&str]| {
        let output = longpoint(folder.path(), args);
        let code = output.status.code();
        (code, text(&output.stdout), text(&output.stderr))
    };
    let sizes = ["estimate", "job.toml", "--sizes", "sizes.csv"];
    let (code, _, said) = run(&sizes);
    assert_eq!(code, Some(2));
    assert_eq!(
        said,
        "error: nothing tells how much is wasted of boards, mat board, glazing\n\
         hint: name plans that were cut (`--past plan.json`), or say it\n      (`--waste \"20 %\"`)\n"
    );
    assert_eq!(run(&["plan", "job.toml", "--out", "out"]).0, Some(0));
    let plan = run(&["plan", "job.toml", "--format", "json"]).1;
    write("plan.json", &plan);
    let past = [&sizes[..], &["--past", "plan.json", "--out", "show"]].concat();
    let (code, shown, said) = run(&past);
    // The sizes that are too large are named, and make it incomplete.
    assert_eq!((code, said.as_str()), (Some(1), ""));
    let costs = fs::read_to_string(folder.path().join("show/estimate-costs.txt")).unwrap();
    for sheet in [&shown, &costs] {
        assert!(
            sheet.lines().all(|line| line.chars().count() <= 80),
            "{sheet}"
        );
        assert!(sheet.contains("stimate") && !sheet.contains("best") && !sheet.contains("prove"));
    }
    assert!(
        costs.contains("by 1 past plan")
            && costs.contains("the rails are longer than every board that suits")
    );
    let page = fs::read_to_string(folder.path().join("show/estimate.html")).unwrap();
    for secret in ["Wasted", "ash 6", "overhead", "labor"] {
        assert!(
            !shown.contains(secret) && !page.contains(secret),
            "{secret}"
        );
    }
    assert!(
        shown.contains("No price can be told yet, as the rails are longer than every board")
            && shown.contains("With a mat of 2 in."),
        "{shown}"
    );
    assert!(
        costs.contains("With a mat: that of heron, 2 in."),
        "{costs}"
    );
    // The list is read as a price list: the frame of the job is in it with its mat.
    let (code, priced, said) = run(&[
        "quote",
        "job.toml",
        "--for",
        "shop",
        "--prices",
        "show/estimate.csv",
    ]);
    assert_eq!((code, said.as_str()), (Some(0), ""));
    assert!(!priced.contains("Not in the price list"), "{priced}");
    let list = fs::read_to_string(folder.path().join("show/estimate.csv")).unwrap();
    assert_eq!(
        list.lines().next(),
        Some("kind,width,height,moulding,mat,price,currency,note")
    );
    assert!(
        list.lines().skip(1).all(|row| row.starts_with("estimate,")),
        "{list}"
    );
    write("wrong.csv", "width,height,moulding\n8,10,oak\n-8,10,\n");
    let (code, _, said) = run(&[
        "estimate",
        "job.toml",
        "--sizes",
        "wrong.csv",
        "--waste",
        "10",
    ]);
    assert_eq!(code, Some(2));
    assert!(
        said.contains("wrong.csv, line 2")
            && said.contains("unknown moulding `oak`")
            && said.contains("line 3"),
        "{said}"
    );
}

#[test]
fn what_tells_no_waste_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    write("job.toml", &format!("{JOB}{FRAME}{RULES}"));
    write("sizes.csv", "width,height\n12,9\n");
    let run = |args: &[&str]| {
        let output = longpoint(folder.path(), args);
        let code = output.status.code();
        (code, text(&output.stdout), text(&output.stderr))
    };
    let plan = run(&["plan", "job.toml", "--format", "json"]).1;
    write("plan.json", &plan);
    let (code, _, said) = run(&["estimate", "job.toml", "--past", "sizes.csv"]);
    assert!(
        code == Some(2) && said.contains("not a plan of longpoint"),
        "{said}"
    );
    // A copy is the same plan.
    write("copy.json", &plan.replace('\n', "\r\n"));
    let (code, _, said) = run(&[
        "estimate",
        "job.toml",
        "--past",
        "plan.json",
        "--past",
        "copy.json",
    ]);
    assert!(
        code == Some(2) && said.contains("copy.json is the same plan as plan.json"),
        "{said}"
    );
    let (code, _, said) = run(&["estimate", "job.toml", "--waste", "100"]);
    assert!(code == Some(2) && said.contains("below 100 %"), "{said}");
}
