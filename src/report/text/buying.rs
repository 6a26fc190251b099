//! The lists to buy by: boards at the yard, everything else, and what each frame comes to.

use std::collections::{BTreeMap, BTreeSet};

use crate::compare::{Amount, Line, Need, Row, list_needs, share_boards, share_sheets, yard_list};
use crate::job::{Buying, Job};
use crate::length::{Length, exact_text};
use crate::money::Money;
use crate::report::figures::{board_feet, count_of};
use crate::report::ink::Tone;
use crate::report::layout::{one_line, tie};
use crate::report::summary::Summary;
use crate::report::table::{Align, Table};
use crate::report::way_lines::{kind_name, label_length, line_name, rule_words, sold_size};

use super::page::Page;

/// The boards of a row in the words of a yard.
pub(super) fn write_yard_list(page: &mut Page<'_>, row: &Row) {
    let lines = yard_list(&row.job, &row.plan);
    if lines.is_empty() {
        return;
    }
    let summary = Summary::new(&row.job, &row.plan);
    page.heading("At the yard: the cheapest way");
    let mut table = Table::new()
        .column("take", Align::Right, Tone::Strong)
        .column("board", Align::Name, Tone::Strong)
        .column("size", Align::Left, Tone::Plain)
        .column("length", Align::Right, Tone::Strong)
        .column("board feet", Align::Right, Tone::Plain)
        .column("money", Align::Right, Tone::Plain)
        .column("may be short by", Align::Figure, Tone::Watch);
    for line in &lines {
        let board = &row.job.boards[line.board_idx];
        let taken = summary
            .taken
            .iter()
            .find(|taken| taken.board_idx == line.board_idx);
        let money = taken.and_then(crate::report::summary::Taken::price);
        table.row(vec![
            line.count.to_string(),
            one_line(&board.name),
            sold_size(&row.job, board, page.ink),
            label_length(&row.job, board.length),
            taken
                .and_then(|taken| taken.board_feet)
                .map_or_else(String::new, |feet| board_feet(feet.exact)),
            if line.is_rack {
                "rack".to_owned()
            } else {
                money.map_or_else(String::new, |money| page.figures.amount(money))
            },
            if line.may_be_short == Length::ZERO {
                "nothing".to_owned()
            } else {
                page.figures.there(line.may_be_short)
            },
        ]);
    }
    if lines.len() > 1 {
        table.total(vec![
            summary.n_boards.to_string(),
            "in all".to_owned(),
            String::new(),
            String::new(),
            summary
                .lumber
                .as_ref()
                .map_or_else(String::new, |lumber| board_feet(lumber.bought.exact)),
            summary
                .bought
                .map_or_else(String::new, |money| page.figures.amount(money)),
            String::new(),
        ]);
    }
    page.table(2, &table);
    page.space();
    page.prose(
        2,
        Tone::Faint,
        "May be short by: how much less than its label every board of the kind may measure and still give all its parts.",
    );
}

/// Everything but the boards.
pub(super) fn write_needs(page: &mut Page<'_>, job: &Job, buying: &Buying) {
    let needs = list_needs(job, buying);
    if needs.is_empty() {
        return;
    }
    page.heading("For the whole job, besides the boards");
    let mut table = Table::new()
        .column("what", Align::Name, Tone::Strong)
        .column("how much", Align::Prose, Tone::Plain)
        .column("money", Align::Right, Tone::Plain);
    for need in &needs {
        table.row(vec![
            kind_name(&need.kind),
            amount_words(page, job, need),
            need.money
                .map_or_else(String::new, |money| page.figures.amount(money)),
        ]);
        table.note(Tone::Faint, rule_words(need.rule).to_owned());
    }
    page.table(2, &table);
    page.space();
    page.prose(
        2,
        Tone::Faint,
        "Simple rules, each as stated: numbers to buy by, not proved least.",
    );
}

fn amount_words(page: &Page<'_>, job: &Job, need: &Need) -> String {
    match need.amount {
        Amount::Count(count) => count.to_string(),
        Amount::Length(length) => page.figures.total(length),
        Amount::Sheets {
            sheets,
            size,
            pieces,
            too_large,
        } => {
            let side = |length| exact_text(length, job.display.unit);
            let size = tie(&format!(
                "{} {} {}",
                side(size.0),
                page.ink.times(),
                side(size.1)
            ));
            let mut words = format!(
                "{} {size} for {}",
                tie(&count_of(sheets, "sheet")),
                tie(&count_of(pieces, "piece"))
            );
            if sheets == 0 {
                words.clear();
            }
            if too_large > 0 {
                let joint = if words.is_empty() { "" } else { "; " };
                let pieces = tie(&count_of(too_large, "piece"));
                words = format!("{words}{joint}{pieces} too large for {size}");
            }
            words
        }
    }
}

/// What the boards and sheets of each frame cost.
pub(super) fn write_shares(page: &mut Page<'_>, row: &Row, buying: &Buying) {
    let Some(boards) = share_boards(&row.job, &row.plan) else {
        return;
    };
    let sheets = share_sheets(&row.job, buying);
    page.heading("Cost by frame: the cheapest way");
    let mut table = Table::new()
        .column("frame or piece", Align::Name, Tone::Strong)
        .column("how many", Align::Right, Tone::Plain)
        .column("boards", Align::Right, Tone::Plain)
        .column("sheets", Align::Right, Tone::Plain)
        .column("for all", Align::Right, Tone::Strong)
        .column("for one, about", Align::Right, Tone::Plain);
    let lines: BTreeSet<Line> = boards.keys().chain(sheets.keys()).copied().collect();
    let of =
        |shares: &BTreeMap<Line, Money>, line: Line| shares.get(&line).copied().unwrap_or_default();
    let shown = |money: Money| {
        if sheets.is_empty() {
            String::new()
        } else {
            page.figures.amount(money)
        }
    };
    for &line in &lines {
        let (name, quantity) = line_name(&row.job, line);
        let share = of(&boards, line) + of(&sheets, line);
        let half = i64::from(quantity) / 2;
        let one = Money::from_minor((share.minor() + half) / i64::from(quantity));
        table.row(vec![
            one_line(name),
            quantity.to_string(),
            page.figures.amount(of(&boards, line)),
            shown(of(&sheets, line)),
            page.figures.amount(share),
            page.figures.amount(one),
        ]);
    }
    let (all_boards, all_sheets): (Money, Money) = (
        boards.values().copied().sum(),
        sheets.values().copied().sum(),
    );
    table.total(vec![
        "in all".to_owned(),
        String::new(),
        page.figures.amount(all_boards),
        shown(all_sheets),
        page.figures.amount(all_boards + all_sheets),
        String::new(),
    ]);
    page.table(2, &table);
    page.space();
    page.prose(
        2,
        Tone::Faint,
        "Each board's price is shared by the parts cut from it, by length or where boards are ripped by face, so that \
         each part pays for the scrap of its own board; the price of sheets, where the job states it, by face. The sums \
         are exact.",
    );
}
