//! Tables of ways of buying, and of the lists to buy by.

use std::collections::BTreeSet;

use crate::compare::{
    Amount, Comparison, Need, Reasons, Row, list_needs, share_boards, share_paid_before,
    share_sheets,
};
use crate::job::{Job, Line};
use crate::length::Length;
use crate::money::Money;
use crate::plan::sheets::MaterialPlan;
use crate::plan::{Measure, Verdict};
use crate::report::figures::{board_feet, in_board_feet};
use crate::report::hardware_words;
use crate::report::way_lines::WayLine;
use crate::report::way_words::{
    ChangeCode, kind_name, label_length, line_kind, line_name, row_code, rule_words, wood_of,
};
use crate::stations::{HardwareAmount, hardware};

use super::rows::{Cell, Rows, decimal, figures, length, number};

/// A column that only jobs have in which board feet are told.
const BOARD_FEET: &str = "board-feet";

/// An amount as a decimal number, or nothing.
fn amount(job: &Job, money: Option<Money>) -> Cell {
    decimal(money.map_or_else(String::new, |money| {
        job.display.currency.format_amount(money)
    }))
}

/// A value of a plan as money, where it is money.
fn as_money(measure: Measure, value: Option<i64>) -> Option<Money> {
    value
        .filter(|_| measure == Measure::Price)
        .map(Money::from_minor)
}

/// A value of a plan as a length, where it is a length.
fn as_length(measure: Measure, value: Option<i64>) -> Option<Length> {
    value
        .filter(|_| measure == Measure::BoardLength)
        .map(Length::from_nm)
}

fn yes_no(yes: bool) -> Cell {
    if yes { "yes" } else { "no" }.into()
}

/// One row for each way of buying, the best mix first.
///
/// `more` and `more-length` are the difference from the cheapest way, as money or as board length, whichever the plan
/// counts.
///
/// # Panics
/// If `comparison` is not one of `job` and `buying`.
pub fn ways_csv(job: &Job, comparison: &Comparison) -> String {
    let told_feet = in_board_feet(job);
    let mut heads = vec![
        "way",
        "kind",
        "wood",
        "boards",
        "bought-by-length",
        "bought-of-tally",
        "from-rack",
        "bought-before",
        "money",
        "to-pay",
        "more",
        "currency",
        BOARD_FEET,
        "used-percent",
        "offcuts-kept",
        "parts-missing",
        "proved",
        "cheapest",
        "bound",
        "length@",
        "more-length@",
        "kept-length@",
        "bound-length@",
    ];
    if !told_feet {
        heads.retain(|head| *head != BOARD_FEET);
    }
    let mut rows = Rows::new(&job.display, &heads);
    let best = comparison.best();
    for row in &comparison.rows {
        let line = WayLine::new(job, comparison, row, None);
        let measure = row.plan.measure;
        let by_length: Vec<String> = line
            .bought
            .iter()
            .map(|&(length, count)| format!("{count} x {}", label_length(job, length)))
            .collect();
        let tallied: Vec<String> = line
            .tallied
            .iter()
            .map(|(board, count)| format!("{count} x {board}"))
            .collect();
        let mut cells = vec![
            line.name.clone().into(),
            row_code(comparison, &row.way).into(),
            wood_of(job, comparison, &row.way)
                .unwrap_or_default()
                .into(),
            number(line.n_boards),
            figures(by_length.join("; ")),
            tallied.join("; ").into(),
            number(line.n_from_rack),
            number(line.n_bought_before),
            amount(job, line.money),
            amount(job, line.to_pay),
            amount(job, as_money(measure, line.difference)),
            job.display.currency.code.as_str().into(),
        ];
        if told_feet {
            cells.push(decimal(line.lumber.map_or_else(String::new, |lumber| {
                board_feet(lumber.bought.exact)
            })));
        }
        cells.extend([
            decimal(format!("{}.{}", line.used / 10, line.used % 10)),
            number(line.n_kept),
            number(line.n_missing),
            yes_no(line.is_proved),
            yes_no(std::ptr::eq(row, best)),
            amount(job, as_money(measure, Some(line.bound))),
            length(line.length),
            length(as_length(measure, line.difference)),
            length(line.wood.kept),
            length(as_length(measure, Some(line.bound))),
        ]);
        rows.row(cells);
    }
    rows.into_text()
}

/// One row for each change of the job, planned anew.
///
/// `more` is by the plan that was found, and `more-at-least` is proved; where both agree the change is worth just that.
///
/// # Panics
/// If `comparison` or `reasons` are not of `job`.
pub fn what_if_csv(job: &Job, comparison: &Comparison, reasons: &Reasons) -> String {
    let mut rows = Rows::new(
        &job.display,
        &[
            "change",
            "kind",
            "name",
            "boards",
            "money",
            "more",
            "more-at-least",
            "currency",
            "parts-missing",
            "proved",
            "to@",
            "more-length@",
            "more-at-least-length@",
        ],
    );
    let best = &comparison.best_mix().plan;
    for what_if in &reasons.what_ifs {
        let plan = &what_if.plan;
        let ChangeCode { code, to, of } = ChangeCode::new(job, what_if.change);
        let (kind, name) = of.unwrap_or_default();
        let (least, more) = what_if.more(best).unzip();
        rows.row(vec![
            code.into(),
            kind.into(),
            name.into(),
            count(plan.boards.len()),
            amount(job, as_money(plan.measure, Some(plan.value))),
            amount(job, as_money(plan.measure, more)),
            amount(job, as_money(plan.measure, least)),
            job.display.currency.code.as_str().into(),
            count(plan.missing.len()),
            yes_no(plan.verdict == Verdict::Optimal),
            length(to),
            length(as_length(plan.measure, more)),
            length(as_length(plan.measure, least)),
        ]);
    }
    rows.into_text()
}

fn count(n: usize) -> Cell {
    number(u64::try_from(n).expect("a count in memory fits 64 bits"))
}

/// One row for each board that the best mix leaves at the yard, with the price at which it would pay.
///
/// At `pays-at` a cheaper plan is known; above `at-most` there is none, by proof.
///
/// # Panics
/// If `reasons` are not of `job`.
pub fn not_bought_csv(job: &Job, reasons: &Reasons) -> String {
    let mut rows = Rows::new(
        &job.display,
        &[
            "board", "price", "pays-at", "at-most", "currency", "proved", "length@",
        ],
    );
    for board in &reasons.not_bought {
        rows.row(vec![
            job.boards[board.board_idx].name.as_str().into(),
            amount(job, Some(board.price)),
            amount(job, board.pays_at),
            amount(job, board.at_most),
            job.display.currency.code.as_str().into(),
            yes_no(board.is_proved()),
            length(job.boards[board.board_idx].length),
        ]);
    }
    rows.into_text()
}

/// What the frames need besides boards, each with its rule.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn needs_csv(job: &Job, materials: &[MaterialPlan]) -> String {
    let mut rows = Rows::new(
        &job.display,
        &[
            "what",
            "count",
            "pieces",
            "missing",
            "money",
            "currency",
            "rule",
            "length@",
            "sheet-width@",
            "sheet-height@",
        ],
    );
    for need in list_needs(job, materials) {
        let Need {
            kind,
            amount: how_much,
            rule,
            money,
        } = need;
        let (n, pieces, missing, whole, size) = match how_much {
            Amount::Count(n) => (Some(n), None, None, None, None),
            Amount::Length(whole) => (None, None, None, Some(whole), None),
            Amount::Sheets {
                sheets,
                size,
                pieces,
                missing,
            } => (Some(sheets), Some(pieces), Some(missing), None, Some(size)),
        };
        let text =
            |n: Option<u64>| -> Cell { n.map_or_else(String::new, |n| n.to_string()).into() };
        rows.row(vec![
            kind_name(&kind).into(),
            text(n),
            text(pieces),
            text(missing),
            amount(job, money),
            job.display.currency.code.as_str().into(),
            rule_words(job, rule).into(),
            length(whole),
            length(size.map(|size| size.0)),
            length(size.map(|size| size.1)),
        ]);
    }
    for need in hardware(job).needs {
        let of = &job.hardware[need.hardware_idx];
        let (count, whole) = match need.amount {
            HardwareAmount::Count(count) => (count.to_string(), None),
            HardwareAmount::Length(length) => (String::new(), Some(length)),
        };
        rows.row(vec![
            of.name.as_str().into(),
            count.into(),
            need.lots.to_string().into(),
            "".into(),
            amount(job, need.money),
            job.display.currency.code.as_str().into(),
            hardware_words::rule_words(of).into(),
            length(whole),
            length(None),
            length(None),
        ]);
    }
    rows.into_text()
}

/// What the boards and sheets of each line of the job cost in one way of buying; the amounts sum to the price of all
/// boards, and of all sheets that have one. `paid-before` is what wood is worth that was paid for before, and is in no other amount.
///
/// # Panics
/// If the row's plan is not one of its job.
pub fn shares_csv(row: &Row, materials: &[MaterialPlan]) -> String {
    let job = &row.job;
    let mut rows = Rows::new(
        &job.display,
        &[
            "kind",
            "name",
            "quantity",
            "boards",
            "sheets",
            "hardware",
            "paid-before",
            "currency",
        ],
    );
    let boards = share_boards(&row.plan).unwrap_or_default();
    let paid = share_paid_before(&row.plan).by_line;
    let sheets = share_sheets(job, materials);
    let hardware = hardware(job).shares();
    let lines = boards.keys().chain(sheets.keys()).chain(hardware.keys());
    let lines: BTreeSet<Line> = lines.copied().collect();
    for line in lines {
        let (name, quantity) = line_name(job, line);
        rows.row(vec![
            line_kind(line).into(),
            name.into(),
            number(quantity),
            amount(job, boards.get(&line).copied()),
            amount(job, sheets.get(&line).copied()),
            amount(job, hardware.get(&line).copied()),
            amount(job, paid.get(&line).copied()),
            job.display.currency.code.as_str().into(),
        ]);
    }
    rows.into_text()
}
