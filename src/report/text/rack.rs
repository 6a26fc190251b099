//! The rack: where a piece in hand comes from, and what a plan makes of the rack.

use crate::job::Job;
use crate::report::ink::Tone;
use crate::report::layout::{fit, one_line};
use crate::report::table::{Align, Table};
use crate::stock::{Board, InHand};
use crate::tally::Rack;

use super::page::Page;

/// Where a piece in hand is, and what it was cut from; a board that an earlier plan of the job takes lies at the bench.
pub(super) fn where_it_lies(board: &Board, in_hand: &InHand) -> String {
    match &in_hand.from {
        _ if board.given.cuts > 0 => "paid for".to_owned(),
        Some(from) => format!("from the rack; cut from {}", one_line(from)),
        None => "from the rack".to_owned(),
    }
}

/// Where pieces in hand come from, in short.
pub(super) fn in_hand_words(job: &Job) -> &'static str {
    if job.boards.iter().any(|board| board.given.cuts > 0) {
        "in hand"
    } else {
        "from the rack"
    }
}

/// The rack before and after.
pub(super) fn write_rack(page: &mut Page<'_>, rack: &Rack) {
    page.heading("The rack");
    let currency = fit(&one_line(&page.figures.currency().code), 8, page.ink);
    let worth_head = if currency.is_empty() {
        "value".to_owned()
    } else {
        format!("value, {currency}")
    };
    let mut table = Table::new()
        .column("", Align::Left, Tone::Plain)
        .column("pieces", Align::Right, Tone::Strong)
        .column("end to end", Align::Right, Tone::Plain)
        .column(&worth_head, Align::Right, Tone::Plain);
    for (name, pile) in [
        ("before the job", rack.before),
        ("taken from it", rack.taken),
        ("offcuts added", rack.added),
        ("after the job", rack.after),
    ] {
        let cells = vec![
            name.to_owned(),
            pile.count.to_string(),
            page.figures.total(pile.length),
            page.figures.amount(pile.worth),
        ];
        if name == "after the job" {
            table.total(cells);
        } else {
            table.row(cells);
        }
    }
    page.table(2, &table);
}
