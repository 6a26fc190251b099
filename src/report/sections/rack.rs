//! The rack: where a piece in hand comes from, and what a plan makes of the rack.

use crate::job::Job;
use crate::report::document::{
    Document, Kind, Table, Text, Tone, amount, in_currency, name, say, total,
};
use crate::stock::{Board, InHand};
use crate::tally::Rack;

/// Where a piece in hand is, and what it was cut from; a board that an earlier plan of the job takes lies at the bench.
pub(super) fn where_it_lies(board: &Board, in_hand: &InHand) -> Text {
    if board.given.rail.is_some() {
        return "in hand, milled and mitered; long point to long point".into();
    }
    if board.given.mark.is_some() {
        return "paid for".into();
    }
    let mut story = Text::from("from the rack");
    if let Some(since) = in_hand.since {
        story.push(say!(" since {}", since.to_string()));
    }
    if let Some(profile) = &in_hand.moulding {
        story.push(say!("; milled to {} already", name(profile)));
    }
    if let Some(from) = &in_hand.from {
        story.push(say!("; cut from {}", name(from)));
    }
    if let Some(job) = &in_hand.job {
        story.push(say!("; left by {}", name(job)));
    }
    story
}

/// Where pieces in hand come from, in short.
pub(super) fn in_hand_words(job: &Job) -> &'static str {
    let is_paid = |board: &Board| {
        let is_at_bench = board.given.mark.is_some() || board.given.rail.is_some();
        is_at_bench || board.is_bought()
    };
    if job.boards.iter().any(is_paid) {
        "in hand"
    } else {
        "from the rack"
    }
}

/// The rack before and after.
pub(super) fn write_rack(doc: &mut Document, job: &Job, rack: &Rack) {
    doc.heading("rack", "The rack");
    let mut table = Table::new()
        .column("", Kind::Words, Tone::Plain)
        .column("pieces", Kind::Number, Tone::Strong)
        .column("end to end", Kind::Number, Tone::Plain)
        .column(in_currency(job, "value"), Kind::Number, Tone::Plain);
    let cells = |words: &str, pile: crate::tally::Pile| {
        vec![
            words.into(),
            pile.count.into(),
            total(pile.length),
            amount(pile.worth),
        ]
    };
    table.row(cells("before the job", rack.before));
    if rack.bought.count > 0 {
        table.row(cells("bought", rack.bought));
    }
    let taken = if rack.bought.count > 0 {
        "cut"
    } else {
        "taken from it"
    };
    table.row(cells(taken, rack.taken));
    table.row(cells("offcuts added", rack.added));
    table.total(cells("after the job", rack.after));
    doc.table(table);
}
