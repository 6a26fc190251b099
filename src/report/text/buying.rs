//! The lists to buy by: boards at the yard, everything else, and what each frame comes to.

use std::collections::{BTreeMap, BTreeSet};

use crate::compare::{
    Amount, Need, Row, YardLine, list_needs, share_boards, share_sheets, yard_list,
};
use crate::job::Line;
use crate::job::{Buying, Job};
use crate::length::{Length, exact_text};
use crate::money::Money;
use crate::report::figures::{board_feet, count_of};
use crate::report::ink::Tone;
use crate::report::layout::{one_line, tie};
use crate::report::table::{Align, Table};
use crate::report::way_words::{kind_name, label_length, line_name, rule_words, sold_size};
use crate::stock::BoardFeet;
use crate::tally::{Summary, Taken};

use super::page::Page;

/// The boards of a way in the words of a yard, and what it takes from the rack.
pub(super) fn write_yard_list(page: &mut Page<'_>, row: &Row, way: &str) {
    let lines = yard_list(&row.plan);
    let summary = Summary::new(&row.plan);
    let (rack, bought): (Vec<YardLine>, Vec<YardLine>) =
        lines.into_iter().partition(|line| line.is_rack);
    if !bought.is_empty() {
        page.heading(&format!("At the yard: {way}"));
        write_boards(page, row, &summary, &bought);
    }
    if !rack.is_empty() {
        page.heading(&format!("From the rack: {way}"));
        write_boards(page, row, &summary, &rack);
    }
    if !(bought.is_empty() && rack.is_empty()) {
        page.space();
        page.prose(
            2,
            Tone::Faint,
            "May lack: how much shorter than its label every board of the kind may be and still give all its parts.",
        );
    }
}

/// Some boards to take, with their sum.
fn write_boards(page: &mut Page<'_>, row: &Row, summary: &Summary, lines: &[YardLine]) {
    let job = &row.job;
    let mut table = Table::new()
        .column("take", Align::Right, Tone::Strong)
        .column("board", Align::Name, Tone::Strong)
        .column("size", Align::Left, Tone::Plain)
        .column("length", Align::Right, Tone::Strong)
        .column("bd ft", Align::Right, Tone::Plain)
        .column(&page.money_head(), Align::Right, Tone::Plain)
        .column("may lack", Align::Figure, Tone::Watch);
    let taken: Vec<&Taken> = lines
        .iter()
        .map(|line| {
            let mut taken = summary.taken.iter();
            taken
                .find(|taken| taken.board_idx == line.board_idx)
                .expect("the summary counts every board of the plan")
        })
        .collect();
    let in_feet = |taken: &Taken| taken.board_feet.map(|feet| feet.exact);
    for (line, taken) in lines.iter().zip(&taken) {
        let board = &job.boards[line.board_idx];
        table.row(vec![
            line.count.to_string(),
            one_line(&board.name),
            sold_size(job, board, page.ink),
            label_length(job, board.length),
            in_feet(taken).map_or_else(String::new, board_feet),
            taken
                .price()
                .map_or_else(String::new, |money| page.figures.amount(money)),
            if line.may_be_short == Length::ZERO {
                "nothing".to_owned()
            } else {
                page.figures.there(line.may_be_short)
            },
        ]);
    }
    if lines.len() > 1 {
        let n_boards: u64 = lines.iter().map(|line| line.count).sum();
        let feet = taken.iter().try_fold(BoardFeet::ZERO, |sum, taken| {
            sum.checked_add(in_feet(taken)?)
        });
        let money = taken.iter().filter_map(|taken| taken.price());
        let has_money = taken.iter().any(|taken| taken.price_each.is_some());
        table.total(vec![
            n_boards.to_string(),
            "in all".to_owned(),
            String::new(),
            String::new(),
            feet.map_or_else(String::new, board_feet),
            if has_money {
                page.figures.amount(money.sum())
            } else {
                String::new()
            },
            String::new(),
        ]);
    }
    page.table(2, &table);
}

/// All that is to be bought: the boards of a row, and everything else.
pub(super) fn write_needs(page: &mut Page<'_>, row: &Row, buying: &Buying) {
    let job = &row.job;
    let needs = list_needs(job, buying);
    page.heading("For the whole job");
    let mut table = Table::new()
        .column("what", Align::Name, Tone::Strong)
        .column("how much", Align::Prose, Tone::Plain)
        .column(&page.money_head(), Align::Right, Tone::Plain);
    let summary = Summary::new(&row.plan);
    let is_bought = |taken: &&Taken| job.boards[taken.board_idx].in_hand.is_none();
    let n_bought = summary
        .taken
        .iter()
        .filter(is_bought)
        .map(|taken| taken.count);
    let amount =
        |money: Option<Money>| money.map_or_else(String::new, |money| page.figures.amount(money));
    table.row(vec![
        "wood".to_owned(),
        count_of(n_bought.sum(), "board"),
        amount(summary.bought),
    ]);
    table.note(Tone::Faint, "as listed for the yard".to_owned());
    for need in &needs {
        table.row(vec![
            kind_name(&need.kind),
            amount_words(page, job, need),
            amount(need.money),
        ]);
        table.note(Tone::Faint, rule_words(need.rule).to_owned());
    }
    let prices = || {
        needs
            .iter()
            .filter_map(|need| need.money)
            .chain(summary.bought)
    };
    if prices().count() > 1 {
        table.total(vec![
            "what has a price".to_owned(),
            String::new(),
            amount(Some(prices().sum())),
        ]);
    }
    page.table(2, &table);
    page.space();
    page.prose(
        2,
        Tone::Faint,
        "Everything but the wood by simple rules, each as stated: numbers to buy by, not proved least.",
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
    let Some(boards) = share_boards(&row.plan) else {
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
        "The price of each board, or the value of a piece from the rack, is shared by the parts cut from it, by length or \
         where boards are ripped by face, so that each part pays for the scrap of its own board; the price of sheets, \
         where the job states it, by face. The sums are exact.",
    );
}
