//! What a job costs and what is asked for it: sums of parts against totals over drawn jobs, shares against stated rules, the
//! sheet for a customer without a cost, and prices that are too large.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use longpoint::compare::{Steer, find_forced};
use longpoint::job::{CostKind, Job, Line, Serves};
use longpoint::money::Money;
use longpoint::pipeline::Planned;
use longpoint::plan::Verdict;
use longpoint::quote::{JobCosts, Quote, count_costs, quote};
use longpoint::report::csv::{quote_costs_csv, quote_csv};
use longpoint::report::json::{quote_costs_json, quote_json};
use longpoint::report::sections::customer_sheet;
use longpoint::report::text::set;
use longpoint::stations::hardware;
use longpoint::stock::board_cost;
use proptest::prelude::*;

use crate::command::{longpoint, text};
use crate::jobs::{demo, load_text, planned};
use crate::look::LOOK;

/// What a job costs and what is asked.
fn priced(planned: &Planned) -> (JobCosts, Quote) {
    let costs = count_costs(&planned.plan, &planned.materials).unwrap();
    let made = quote(costs.sold.clone(), &[], &planned.plan.job.prices).unwrap();
    (costs, made)
}

fn sum_of(costs: &JobCosts, kind: CostKind) -> Money {
    costs.sold.iter().map(|sold| sold.costs.of(kind)).sum()
}

/// Everything that is paid for stands in the costs, and nothing else does.
fn check_costs(planned: &Planned, costs: &JobCosts) {
    let job = &planned.plan.job;
    let boards = planned.plan.boards.iter().map(|board| {
        board_cost(&job.boards[board.board_idx])
            .unwrap()
            .unwrap_or_default()
    });
    let boards: Money = boards.sum();
    let wood = costs.wood.as_ref().unwrap();
    assert_eq!(wood.boards, boards);
    assert_eq!(sum_of(costs, CostKind::Wood) + wood.kept, boards);
    for (kind, serves) in [
        (CostKind::Mats, Serves::Mat),
        (CostKind::Glazing, Serves::Glazing),
        (CostKind::Backing, Serves::Backing),
    ] {
        // Dust covers in sheets are paid with what lies before them.
        let serves =
            |own: Serves| own == serves || (own, serves) == (Serves::DustCover, Serves::Backing);
        let of_it = planned
            .materials
            .iter()
            .filter(|plan| serves(plan.key.serves));
        let sheets: i64 = of_it.map(|plan| plan.value).sum();
        assert_eq!(sum_of(costs, kind).minor(), sheets, "{kind:?}");
    }
    let lots: Money = hardware(job)
        .needs
        .iter()
        .filter_map(|need| need.money)
        .sum();
    assert_eq!(sum_of(costs, CostKind::Hardware), lots);
}

/// The column of a table, summed in cents.
fn column_sum(table: &str, column: &str) -> i64 {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let at = reader
        .headers()
        .unwrap()
        .iter()
        .position(|head| head == column)
        .unwrap();
    let cents = |row: csv::StringRecord| row[at].replace('.', "").parse::<i64>().unwrap();
    let rows = reader.records().map(Result::unwrap);
    rows.filter(|row| &row[0] != "not-final").map(cents).sum()
}

fn check_tables(job: &Job, costs: &JobCosts, made: &Quote) {
    let table = quote_costs_csv(job, costs, made, &[]);
    let kinds = [
        "wood", "mats", "glazing", "backing", "hardware", "labor", "waste", "overhead",
    ];
    let parts: i64 = kinds.iter().map(|kind| column_sum(&table, kind)).sum();
    assert_eq!(parts, made.cost.minor());
    for (column, money) in [
        ("cost", made.cost),
        ("price", made.sum),
        ("net", made.net),
        ("margin", made.margin()),
    ] {
        assert_eq!(column_sum(&table, column), money.minor(), "{column}");
    }
}

/// A small job of drawn frames, boards and rules.
fn jobs() -> impl Strategy<Value = Job> {
    let frame = (
        1_u32..4,
        5_u32..16,
        5_u32..20,
        0_usize..2,
        any::<[bool; 3]>(),
    );
    let frames = proptest::collection::vec(frame, 1..4);
    let boards = proptest::collection::vec((4_u32..9, 100_u32..3_000), 2..4);
    let rules = (
        0_u32..300,
        0_u32..200,
        0_u32..400,
        0_u32..900,
        0_u32..50,
        any::<[bool; 6]>(),
    );
    let worth = prop_oneof![Just("cost"), Just("nothing"), Just("1/3")];
    (frames, boards, rules, worth).prop_map(|(frames, boards, rules, worth)| {
        let mut text = String::from(
            "currency = \"USD\"\n[shop]\nshortest-offcut = 8\n\
             [[mouldings]]\nname = \"ash flat\"\nface-width = \"1 1/2\"\nmaterial = \"ash\"\n\
             [[mouldings]]\nname = \"oak cap\"\nface-width = 1\nmaterial = \"oak\"\n\
             [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\nwidth = 36\nheight = 48\nprice = 24.53\n\
             [[sheets]]\nname = \"4-ply\"\nuse = \"mat\"\nthickness = \"1/16\"\nwidth = 32\nheight = 40\nprice = 15.81\n\
             [[sheets]]\nname = \"foam\"\nuse = \"backing\"\nthickness = \"3/16\"\nwidth = 40\nheight = 60\nprice = 17.23\n\
             [[sheets]]\nname = \"kraft\"\nuse = \"dust-cover\"\nthickness = \"0.1 mm\"\nwidth = 24\nheight = 36\nprice = 1.37\n\
             [[hardware]]\nname = \"ring\"\nuse = \"hangers\"\nlot-count = 6\nprice = 3.47\n",
        );
        let _ = writeln!(text, "[in-hand]\nworth = \"{worth}\"");
        for (idx, (quantity, width, height, moulding, [mat, glass, foam])) in frames.into_iter().enumerate() {
            let _ = writeln!(
                text,
                "[[frames]]\nframe = \"picture {idx}\"\nquantity = {quantity}\nart-width = {width}\n\
                 art-height = {height}\nmoulding = \"{}\"",
                ["ash flat", "oak cap"][moulding]
            );
            if mat {
                text += "mat-border = 2\nmat = \"4-ply\"\n";
            }
            if glass {
                text += "glazing = \"glass\"\n";
            }
            if foam {
                text += "backing = \"foam\"\n";
            }
        }
        text += "[[pieces]]\npiece = \"shelf\"\nlength = 20\nmaterial = \"ash\"\nquantity = 2\n";
        for (idx, (feet, cents)) in boards.into_iter().enumerate() {
            for wood in ["ash", "oak"] {
                let (whole, part) = (cents / 100, cents % 100);
                let _ = writeln!(
                    text,
                    "[[boards]]\nboard = \"{wood} {idx}\"\nlength = \"{feet}'\"\nmaterial = \"{wood}\"\nprice = \"{whole}.{part:02}\""
                );
            }
        }
        let (waste, overhead, markup, labor, minutes, is_there) = rules;
        let [has_tax, is_included, is_rounded, has_discount, has_deposit, by_the_hour] = is_there;
        let tenths = |value: u32| format!("{}.{} %", value / 10, value % 10);
        let _ = writeln!(
            text,
            "[price]\nwaste = \"{}\"\noverhead = \"{}\"\nmarkup = \"{}\"\nper-corner = \"{}.{:02}\"\nglass-square-foot = \"0.37\"",
            tenths(waste), tenths(overhead), tenths(markup * 3), labor / 100, labor % 100
        );
        if by_the_hour {
            let _ = writeln!(text, "hour = \"37.13\"\nper-frame = \"{minutes} min\"\nper-window = \"7 min\"");
        }
        if has_tax {
            let _ = writeln!(text, "tax = \"8.875 %\"\ntax-included = {is_included}");
        }
        if is_rounded {
            text += "round-to = 5\nending = \"4.95\"\n";
        }
        if has_discount {
            text += "discount = \"7.5 %\"\ndiscount-from = 4\n";
        }
        if has_deposit {
            text += "deposit = \"33.3333 %\"\n";
        }
        load_text(text)
    })
}

proptest! {
    #![proptest_config(cases!(1_000))]

    #[test]
    fn sums_of_parts_are_totals_of_drawn_jobs(job in jobs()) {
        let planned = planned(&job);
        let (costs, made) = priced(&planned);
        if costs.wood.is_some() {
            check_costs(&planned, &costs);
        }
        check_tables(&planned.plan.job, &costs, &made);
    }
}

#[test]
fn the_demo_of_a_quote_is_priced_and_adds_up() {
    let planned = planned(&demo("quote"));
    let (costs, made) = priced(&planned);
    check_costs(&planned, &costs);
    check_tables(&planned.plan.job, &costs, &made);
    assert_eq!(costs.lacks, []);
    assert_eq!(made.to_pay.minor(), 88_018);
    assert_eq!(made.cost.minor(), 57_472);
    // Derived: 15 min, four corners of 4 min and a window of 6 min at 46.00 an hour are 11.50 + 12.27 + 4.60; the pane is
    // 12 by 14 in, 7/6 of a square foot at 0.90, so 1.05 more, four times: 117.68.
    let labor = costs.sold[0].costs.of(CostKind::Labor).minor();
    assert_eq!(labor, 4 * (1_150 + 1_227 + 460 + 97));
}

/// Equal frames cost alike from whichever board their rails come, and a frame with a board of its own pays for that board.
#[test]
fn wood_is_shared_by_length_and_a_chosen_board_is_paid_by_its_frame() {
    let frames = |board: &str| {
        format!(
            "[saw]\nend-trim = 0\n[shop]\nshortest-offcut = 10\n\
             [[mouldings]]\nname = \"flat\"\nface-width = 1\nlip = 0\n\
             [[frames]]\nframe = \"first\"\nart-width = 10\nart-height = 10\nquantity = 2\n\
             [[frames]]\nframe = \"second\"\nart-width = 10\nart-height = 10\nquantity = 3\n{board}\
             [[boards]]\nboard = \"stick\"\nlength = 60\nprice = 20\nquantity = 12\n\
             [[boards]]\nboard = \"figured\"\nlength = 60\nprice = 90\nquantity = 5\n"
        )
    };
    let wood = |text: &str| {
        let (costs, _) = priced(&planned(&load_text(text)));
        let each = costs
            .sold
            .iter()
            .map(|sold| sold.costs.of(CostKind::Wood).minor());
        (each.collect::<Vec<i64>>(), costs.wood.unwrap().kept.minor())
    };
    let (alike, kept) = wood(&frames(""));
    assert!((alike[0] * 3 - alike[1] * 2).abs() <= 5, "{alike:?}");
    // 20 rails of 12 1/8 in, four to a stick of 60 in, as five are longer: five sticks; the ends, more than 10 in, are kept.
    assert_eq!(alike.iter().sum::<i64>() + kept, 5 * 2_000);
    assert!(kept > 0, "{kept}");
    let (chosen, kept) = wood(&frames("board = \"figured\"\n"));
    // Two frames from sticks, three from figured boards.
    assert!(
        chosen[0] < 2 * 2_000 && chosen[1] > 9 * chosen[0] / 2,
        "{chosen:?}"
    );
    assert_eq!(chosen.iter().sum::<i64>() + kept, 2 * 2_000 + 3 * 9_000);
    // Offcuts that count nothing on the rack are paid by the frames.
    let text = frames("") + "[in-hand]\nworth = \"nothing\"\n";
    let (paid, kept) = wood(&text);
    assert_eq!((paid.iter().sum::<i64>(), kept), (5 * 2_000, 0));
}

/// Spares are paid by the frames of their moulding, spacers and liners by their frame.
/// A width that is told of wood on the rack, and not of boards to buy, changes the price of no frame.
#[test]
fn frames_pay_alike_whether_a_width_is_told_or_not() {
    let wood = |width: &str| {
        let planned = planned(&load_text(format!(
            "currency = \"USD\"\n\
             [[mouldings]]\nname = \"flat\"\nface-width = \"1 1/2\"\n\
             [[boards]]\nboard = \"maple\"\nlength = 96\nprice = 19.80\n\
             [[rack]]\nboard = \"stub\"\nlength = \"27 1/4\"\nquantity = 2\n{width}value = 5\n\
             [[frames]]\nframe = \"Heron\"\nquantity = 6\nart-width = \"11 1/2\"\nart-height = \"13 1/2\"\nmoulding = \"flat\"\n\
             [[frames]]\nframe = \"Shore\"\nart-width = \"34 1/2\"\nart-height = \"12 1/2\"\nmoulding = \"flat\"\n"
        )));
        let (costs, _) = priced(&planned);
        costs
            .sold
            .iter()
            .map(|sold| sold.costs.of(CostKind::Wood))
            .collect::<Vec<_>>()
    };
    let told = wood("width = \"1 1/2\"\n");
    assert_eq!(told, wood(""));
    // Derived: rails of 4 times the face more than the sides of the rabbet; by length the one frame pays about a quarter of
    // what the six do.
    assert!(
        told.iter().all(|&money| money > Money::from_minor(500)),
        "{told:?}"
    );
}

#[test]
fn what_is_cut_beside_a_frame_is_paid_by_it() {
    let text = "[[mouldings]]\nname = \"oak\"\nface-width = 1\nmaterial = \"oak\"\nspare = 2\n\
         [[mouldings]]\nname = \"liner\"\nface-width = \"1/2\"\nmaterial = \"pine\"\n\
         [[spacers]]\nname = \"strips\"\nwidth = \"1/4\"\ndepth = \"1/2\"\nmaterial = \"ash\"\n\
         [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3/32\"\nwidth = 36\nheight = 48\nprice = 24\n\
         [[frames]]\nframe = \"box\"\nmoulding = \"oak\"\nart-width = 10\nart-height = 12\nglazing = \"glass\"\nspacer = \"strips\"\n\
         [[frames]]\nframe = \"lined\"\nmoulding = \"oak\"\nart-width = 8\nart-height = 9\nliner = \"liner\"\n\
         [[boards]]\nboard = \"oak\"\nlength = \"8'\"\nmaterial = \"oak\"\nprice = 20\n\
         [[boards]]\nboard = \"pine\"\nlength = \"8'\"\nmaterial = \"pine\"\nprice = 7\n\
         [[boards]]\nboard = \"ash\"\nlength = \"8'\"\nmaterial = \"ash\"\nthickness = \"1/4\"\nwidth = \"1/2\"\nprice = 5\n\
         [price]\nmarkup = 100\nper-corner = 2\n";
    let planned = planned(&load_text(text));
    let (costs, made) = priced(&planned);
    check_costs(&planned, &costs);
    let lines: Vec<Line> = costs.sold.iter().map(|sold| sold.line).collect();
    let job = &planned.plan.job;
    assert_eq!(lines.len(), 2, "{lines:?}");
    let named = |sold: usize| match costs.sold[sold].line {
        Line::Frame(idx) => job.frames[idx].name.as_str(),
        Line::Piece(_) => "",
    };
    let lined = (0..2).find(|&sold| named(sold) == "lined").unwrap();
    assert_eq!(costs.sold[lined].inner.len(), 1);
    // Eight corners, those of the liner too.
    assert_eq!(costs.sold[lined].costs.of(CostKind::Labor).minor(), 1_600);
    assert_eq!(made.sum, made.cost + made.cost);
}

/// What one frame fewer saves is what planning that job says.
#[test]
fn one_fewer_saves_what_its_own_plan_costs_less() {
    let planned_job = planned(&demo("quote"));
    let plan = &planned_job.plan;
    let steer = Steer {
        stop: &|| false,
        progress: &|_, _| {},
    };
    let forced = find_forced(plan, &steer).unwrap();
    assert_eq!(forced.len(), plan.job.frames.len());
    for one in forced {
        let fewer = planned(&plan.job.with_one_fewer(one.line)).plan;
        assert!(one.is_proved && fewer.verdict == Verdict::Optimal);
        assert_eq!(one.money.minor(), plan.value - fewer.value);
    }
}

/// What has no price yet is told in the tables for scripts too.
#[test]
fn a_quote_that_is_not_final_says_so_in_every_form() {
    let text = |price: &str| {
        format!(
            "[[mouldings]]\nname = \"flat\"\nface-width = 1\nlip = 0\n\
             [[sheets]]\nname = \"clear\"\nuse = \"glazing\"\nthickness = \"3/32\"\nwidth = 36\nheight = 48\n{price}\
             [[frames]]\nframe = \"only\"\nart-width = 10\nart-height = 10\nglazing = \"clear\"\n\
             [[boards]]\nboard = \"stick\"\nlength = 60\nprice = 20\n[price]\nmarkup = 100\n"
        )
    };
    for (price, is_final) in [("price = 24\n", true), ("", false)] {
        let planned = planned(&load_text(text(price)));
        let (costs, made) = priced(&planned);
        let job = &planned.plan.job;
        let object: serde_json::Value =
            serde_json::from_str(&quote_json(job, &costs, &made)).unwrap();
        assert_eq!(object["is_final"], is_final);
        for table in [
            quote_csv(job, &costs, &made),
            quote_costs_csv(job, &costs, &made, &[]),
        ] {
            assert_eq!(
                !table.contains("\nnot-final,material clear,"),
                is_final,
                "{table}"
            );
        }
    }
}

/// No amount of the shop's sheet stands on that of the customer but prices and totals.
#[test]
fn a_customer_reads_no_costs() {
    let planned = planned(&demo("quote"));
    let (costs, made) = priced(&planned);
    let job = &planned.plan.job;
    let mut told: BTreeSet<i64> = [made.sum, made.net, made.to_pay].map(Money::minor).into();
    told.extend(
        [made.discount, made.tax, made.deposit, made.balance()].map(|it| it.unwrap().minor()),
    );
    told.extend(
        made.lines
            .iter()
            .flat_map(|line| [line.each.minor(), line.price.minor()]),
    );
    // The rate of the tax is read as an amount below.
    told.insert(825);
    let sheet = set(&customer_sheet(job, &costs, &made), LOOK);
    for text in [sheet, quote_csv(job, &costs, &made)] {
        for word in text.split([' ', ',', '\n']) {
            if let Some((whole, cents)) = word.split_once('.')
                && cents.len() == 2
                && let Ok(minor) = format!("{whole}{cents}").parse::<i64>()
            {
                assert!(told.contains(&minor.abs()), "{word}\n{text}");
            }
        }
        for word in ["cost", "margin", "markup", "labor", "overhead", "waste"] {
            assert!(!text.contains(word), "{word}\n{text}");
        }
    }
    let object: serde_json::Value = serde_json::from_str(&quote_json(job, &costs, &made)).unwrap();
    let line = object["lines"][0].as_object().unwrap();
    let keys: BTreeSet<&str> = line.keys().map(String::as_str).collect();
    let known = ["each_minor", "kind", "name", "price_minor", "quantity"];
    assert_eq!(keys, known.into());
    assert_eq!(object["totals"]["to_pay_minor"], made.to_pay.minor());
    let shop: serde_json::Value =
        serde_json::from_str(&quote_costs_json(job, &costs, &made, &[])).unwrap();
    assert_eq!(shop["cost_minor"], made.cost.minor());
}

#[test]
fn a_customer_reads_how_large_the_frame_is() {
    let planned = planned(&demo("quote"));
    let (costs, made) = priced(&planned);
    let sheet = set(&customer_sheet(&planned.plan.job, &costs, &made), LOOK);
    // Derived: 8 art - 2 * 1/4 under the mat + 2 * 2 border + 1/8 fit - 2 * 1/4 lip + 2 * 1 1/2 face is 14 1/8.
    assert!(
        sheet.contains("art 8 × 10 in; outside 14 1/8 × 16 1/8 in; cherry flat;"),
        "{sheet}"
    );
}

#[test]
fn a_job_without_prices_or_with_too_large_ones_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let write = |text: &str| fs::write(folder.path().join("job.toml"), text).unwrap();
    let refused = |folder: &Path| {
        let output = longpoint(folder, &["quote", "job.toml"]);
        assert_eq!(
            (output.status.code(), text(&output.stdout).as_str()),
            (Some(2), "")
        );
        text(&output.stderr)
    };
    let body = "[[mouldings]]\nname = \"flat\"\nface-width = \"2 in\"\n\
                [[sheets]]\nname = \"glass\"\nuse = \"glazing\"\nthickness = \"3 mm\"\n\
                [[frames]]\nframe = \"wall\"\nquantity = 400\nart-width = \"9 m\"\nart-height = \"9 m\"\nglazing = \"glass\"\n\
                [[boards]]\nboard = \"beam\"\nlength = \"9.9 m\"\nprice = 10\n";
    write(body);
    assert_eq!(
        refused(folder.path()),
        "error: the job says nothing of prices, so all that could be asked is what it\n       costs\n\
         hint: say what the shop asks in a table `[price]`; see `longpoint help quote`\n"
    );
    write(&format!(
        "{body}[price]\nglass-square-foot = 1000000000\nmarkup = 10000\n"
    ));
    let error = refused(folder.path());
    assert!(
        error.starts_with("error: the prices of this job are too large"),
        "{error}"
    );
}

/// What would be earned at a price list: rows by name and by size, lying or standing; what is not in it stays by the rules.
#[test]
fn a_price_list_tells_what_is_sold_below_cost() {
    let folder = tempfile::tempdir().unwrap();
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/quote/quote.toml");
    let at = |list: &str| {
        fs::write(folder.path().join("list.csv"), list).unwrap();
        let args = [
            "quote",
            job.to_str().unwrap(),
            "--for",
            "shop",
            "--prices",
            "list.csv",
        ];
        longpoint(folder.path(), &args)
    };
    let output = at("frame,width,height,moulding,mat,price\n\
         ,10,8,cherry flat,mat,67.48\n,16,24,,none,100\nLock keeper,,,,,52.30\n,6,8,,,1\n,11,14,oak cap,,1\n,11,14,,none,1\n");
    assert_eq!(output.status.code(), Some(0));
    let told = text(&output.stdout);
    // The least prices of the sheet without a list: 67.49, 52.30 and 68.36; those of 11 by 14 are of others.
    for words in [
        "Sold below cost: Towpath.",
        "Does not cover what it costs; 67.49 USD would.",
        "Not in the price list: by the rules of the shop.",
    ] {
        assert_eq!(told.matches(words).count(), 1, "{words}\n{told}");
    }
    for line in told.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let output = at("frame,price\nTowpath,67.49\nHeron,500\nLock keeper,60\nMap of the canal,70\n");
    let told = text(&output.stdout);
    assert!(
        told.contains("At these prices every line covers what it costs."),
        "{told}"
    );
    // A name that the job does not have is told, with the one that may be meant.
    let output = at("frame,price\nTowpath,67.49\nHerron,500\nWest wing,80\n");
    assert_eq!(output.status.code(), Some(0));
    let told = text(&output.stderr);
    // As it is wrapped for the terminal.
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = "note: the job has no frame or piece named `Herron`, `West wing`: nothing is asked by those rows";
    assert!(
        told.contains(said) && told.contains("for `Herron`: did you mean `Heron`?"),
        "{told}"
    );
    let output = at("frame,width,price\n,8,5\n");
    assert_eq!(output.status.code(), Some(2));
    let error = text(&output.stderr);
    assert!(
        error.contains("list.csv") && error.contains("a price needs"),
        "{error}"
    );
}

/// What one fewer saves is in the table of the shop as it is in its text; and whether a list says the price.
#[test]
fn the_table_of_the_shop_has_what_one_fewer_saves() {
    let folder = tempfile::tempdir().unwrap();
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/quote/quote.toml");
    fs::write(folder.path().join("list.csv"), "frame,price\nTowpath,80\n").unwrap();
    let args = [
        "quote",
        job.to_str().unwrap(),
        "--for",
        "shop",
        "--prices",
        "list.csv",
    ];
    let table = text(&longpoint(folder.path(), &[&args[..], &["--format", "csv"]].concat()).stdout);
    let json = text(&longpoint(folder.path(), &[&args[..], &["--format", "json"]].concat()).stdout);
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let head = reader.headers().unwrap().clone();
    let at = |name: &str| head.iter().position(|head| head == name).unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let listed = rows.iter().filter(|row| &row[at("listed")] == "yes");
    assert_eq!(
        listed.map(|row| &row[at("name")]).collect::<Vec<_>>(),
        ["Towpath"]
    );
    // Every frame that the plan cuts has one, in cents as the figures for scripts are.
    for row in &rows {
        let cents = row[at("saved-by-one-fewer")].replace('.', "");
        let cents: i64 = cents.parse().unwrap();
        assert!(json.contains(&format!(": {cents}")), "{cents}\n{json}");
        assert!(["yes", "no"].contains(&&row[at("saved-is-proved")]));
    }
}
