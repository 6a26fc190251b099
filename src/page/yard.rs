//! The yard: ways of buying side by side, and what was really bought.

use askama::Template;

use crate::compare::Row;
use crate::job::Way;
use crate::length::Length;
use crate::money::Money;
use crate::paper::{Words, blocks_html};
use crate::plan::Measure;
use crate::report::document::{Block, Text, count_of, money, total};
use crate::report::other_needs::stated_needs;
use crate::report::sections::ways_sheet;
use crate::report::way_words::{row_name, way_name};

use super::bought;
use super::cells::Cells;
use super::state::{Compared, Work};

#[derive(Template)]
#[template(path = "yard.html", config = "src/page/askama.toml")]
struct Yard {
    /// Whether the ways are being compared, and how far that is.
    runs: Option<(usize, usize)>,
    is_faulty: bool,
    ways: Vec<ShownWay>,
    more: Option<String>,
    list: Vec<Line>,
    besides: Vec<Besides>,
    was_bought: bool,
    command: String,
}

struct ShownWay {
    name: String,
    cost: String,
    beside: String,
    deed: String,
    is_gone: bool,
    is_open: bool,
    bar: String,
}

struct Line {
    record: usize,
    board: String,
    take: String,
    bought: String,
    measured: String,
    price: String,
    is_rack: bool,
}

/// Something to buy that is no board.
struct Besides {
    what: String,
    how_much: String,
    money: String,
}

/// Ways of buying, and the list to fill in.
pub(super) fn view(work: &Work) -> askama::Result<String> {
    let compared = work.compared();
    let was_bought = work
        .job
        .as_ref()
        .is_some_and(|job| job.buying.purchase.is_some());
    Yard {
        runs: work.ways.runs.filter(|_| compared.is_none()),
        is_faulty: work.job.is_none(),
        ways: compared.map_or_else(Vec::new, |compared| ways(work, compared)),
        more: compared.map(|compared| more(compared)),
        list: lines(work),
        besides: besides(work),
        was_bought,
        command: format!("longpoint buy {}", work.path.display()),
    }
    .render()
}

/// Sheets and hardware, as the job says that they are sold; nothing before there is a plan.
fn besides(work: &Work) -> Vec<Besides> {
    let (Some(job), Some(found)) = (&work.job, work.plan()) else {
        return Vec::new();
    };
    let words = Words::new(&job.display);
    let needs = stated_needs(&found.planned.plan.job, &found.planned.materials).into_iter();
    let needs = needs.map(|need| Besides {
        what: words.html(need.what),
        how_much: words.html(need.how_much),
        money: need
            .money
            .map_or_else(String::new, |price| words.html(money(price))),
    });
    needs.collect()
}

fn ways(work: &Work, compared: &Compared) -> Vec<ShownWay> {
    let comparison = &compared.comparison;
    let differences = comparison.rows.iter();
    let differences = differences.filter_map(|row| comparison.difference(row));
    let most = differences.clone().max().unwrap_or(0).max(0);
    let least = differences.min().unwrap_or(0).min(0);
    let rows = comparison.rows.iter();
    rows.map(|row| shown_way(work, compared, row, (least, most)))
        .collect()
}

fn shown_way(work: &Work, compared: &Compared, row: &Row, ends: (i64, i64)) -> ShownWay {
    let (job, comparison) = (&compared.job, &compared.comparison);
    let words = Words::new(&job.display);
    let plain = |text: Text| words.plain(text);
    let name = way_name(job, &comparison.woods, &row.way);
    let more = comparison.difference(row);
    let worth = |value: i64| match comparison.measure() {
        Measure::Price => plain(money(Money::from_minor(value))),
        Measure::BoardLength => plain(total(Length::from_nm(value))),
    };
    let n_missing = u64::try_from(row.plan.missing.len()).unwrap_or(u64::MAX);
    let beside = match (more, n_missing) {
        (None, 0) => "counts otherwise".to_owned(),
        (None, _) => format!(
            "will not do: no wood for {}",
            plain(count_of(n_missing, "part"))
        ),
        (Some(0), _) => "the cheapest".to_owned(),
        (Some(more @ 1..), _) => format!("{} more", worth(more)),
        (Some(less), _) => format!("{} less", worth(-less)),
    };
    let is_open = row.way.is_open() && more.is_some();
    let beside = if row.way.is_open() {
        beside
    } else if more == Some(0) {
        "costs the same".to_owned()
    } else {
        format!("{beside}, not to be had")
    };
    let is_mix = row.way == Way::BestMix;
    let is_gone = match &work.way {
        None => is_mix,
        Some(gone) => *gone == name,
    };
    let deed = if is_mix { "" } else { &name };
    ShownWay {
        cost: if row.is_complete() {
            worth(row.plan.value)
        } else {
            String::new()
        },
        beside,
        deed: serde_json::json!({ "way": { "name": deed } }).to_string(),
        is_gone,
        is_open,
        bar: more.map_or_else(String::new, |more| bar(more, ends)),
        name: row_name(job, comparison, &row.way),
    }
}

/// A bar from a zero line: what a way costs more to its right, less to its left.
fn bar(more: i64, (least, most): (i64, i64)) -> String {
    let whole = (i128::from(most) - i128::from(least)).max(1);
    // In thousandths of the room.
    let of = |value: i64| (i128::from(value) * 1000 / whole).clamp(-1000, 1000);
    let zero = of(-least);
    let (x, width) = if more < 0 {
        (zero + of(more), -of(more))
    } else {
        (zero, of(more))
    };
    let class = if more < 0 { "less" } else { "more" };
    format!(
        "<svg class=\"bar\" viewBox=\"0 0 1004 40\" preserveAspectRatio=\"none\" aria-hidden=\"true\">\
         <rect class=\"{class}\" x=\"{}\" y=\"6\" width=\"{width}\" height=\"28\"/>\
         <rect class=\"zero\" x=\"{zero}\" y=\"0\" width=\"4\" height=\"40\"/></svg>",
        x + 2
    )
}

/// All that the comparison says in words.
fn more(compared: &Compared) -> String {
    let Compared {
        job,
        comparison,
        reasons,
        ..
    } = compared;
    let document = ways_sheet(job, comparison, reasons.as_ref(), true);
    let blocks = document.blocks.iter();
    let blocks: Vec<&Block> = blocks
        .filter(|block| !matches!(block, Block::Title(..)))
        .collect();
    blocks_html(Words::new(&job.display), &blocks, "way")
}

/// The list to fill in.
fn lines(work: &Work) -> Vec<Line> {
    let Some(list) = bought::list(work) else {
        return Vec::new();
    };
    let was_bought = work
        .job
        .as_ref()
        .is_some_and(|job| job.buying.purchase.is_some());
    let cells = Cells::of(&list);
    let cell = |record: usize, head: &str| {
        let column = cells.column(head);
        column.map_or_else(String::new, |column| cells.cell(record, column))
    };
    let has = |head: &&str| cells.column(head).is_some();
    if !bought::FILLED.iter().all(has) {
        return Vec::new();
    }
    let lines = (1..cells.n_records()).map(|record| {
        let (take, bought) = (cell(record, "take"), cell(record, "bought"));
        Line {
            record,
            board: cell(record, "board"),
            bought: if was_bought || !bought.is_empty() {
                bought
            } else {
                take.clone()
            },
            take,
            measured: cell(record, "measured"),
            price: cell(record, "price"),
            is_rack: cell(record, "from") == "rack",
        }
    });
    lines.filter(|line| !line.is_rack).collect()
}
