//! The rack: where a piece in hand comes from, and what a plan makes of the rack.

use crate::job::Job;
use crate::money::Money;
use crate::plan::{Measure, Plan, Verdict};
use crate::report::document::{
    Document, Kind, Line, Table, Text, Tone, amount, exact, in_currency, money, name, say, there,
    total,
};
use crate::stock::{Board, InHand, board_cost};
use crate::tally::{ForStove, Rack, Summary, for_stove};

/// Where a piece in hand is, and what it was cut from; a board that an earlier plan of the job takes lies at the bench.
pub(super) fn where_it_lies(board: &Board, in_hand: &InHand) -> Text {
    if board.given.rail.is_some() {
        return "in hand, milled and mitered; long point to long point".into();
    }
    if board.given.is_piece {
        return "at the bench, paid for".into();
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

/// Where so many pieces in hand come from, in short.
pub(super) fn in_hand_words(job: &Job, count: u64) -> &'static str {
    if job.is_later_sheet() {
        match count {
            1 => "piece in hand",
            _ => "pieces in hand",
        }
    } else if job.boards.iter().any(Board::is_bought) {
        "in hand"
    } else {
        "from the rack"
    }
}

/// What it costs that wood in hand is used first; nothing where no price tells.
pub(super) fn what_first_costs(summary: &Summary<'_>, without: &Plan) -> Option<Line> {
    let plan = summary.plan;
    let free = plan.job.without_rack_first()?;
    let counts = |plan: &Plan| -> (Money, Money) {
        let mut sums = (Money::ZERO, Money::ZERO);
        for planned in &plan.boards {
            let board = &free.boards[planned.board_idx];
            let cost = board_cost(board).expect("load works out every price");
            let sum = match board.in_hand {
                Some(_) => &mut sums.1,
                None => &mut sums.0,
            };
            *sum += cost.unwrap_or(Money::ZERO);
        }
        sums
    };
    if Measure::of(&free) != Measure::Price || plan.missing.len() != without.missing.len() {
        return None;
    }
    let (here, there) = (counts(plan), counts(without));
    let all = |sums: (Money, Money)| sums.0 + sums.1;
    if all(here) <= all(there) {
        let text = "Wood in hand is used first, which costs nothing: no plan that counts it at its worth is cheaper.";
        return (without.verdict == Verdict::Optimal).then(|| Line::new(Tone::Plain, text));
    }
    let text = say!(
        "Wood in hand is used first. At its worth this plan comes to {}, {} of it bought; one that weighs that worth \
         buys for {} and comes to {}, so the wish costs {}.",
        money(all(here)),
        money(here.0),
        money(there.0),
        money(all(there)),
        money(all(here) - all(there))
    );
    Some(Line::new(Tone::Plain, text))
}

/// The pieces that the shop may burn.
fn write_for_stove(doc: &mut Document, plan: &Plan) {
    let found = for_stove(plan);
    if found.is_empty() {
        return;
    }
    let mut table = Table::new()
        .column("for the stove", Kind::Name, Tone::Plain)
        .column("pieces", Kind::Number, Tone::Strong)
        .column("length", Kind::Length, Tone::Plain)
        .column("why", Kind::Prose, Tone::Faint);
    let rules = &plan.job.shop.in_hand;
    for (piece, why) in found {
        let since = piece.in_hand.as_ref().and_then(|in_hand| in_hand.since);
        let why = match why {
            ForStove::Short => say!("shorter than {}", rules.stove_below.map(exact)),
            ForStove::Old => say!("on the rack since {}", since.map(|date| date.to_string())),
        };
        table.row(vec![
            name(&piece.name),
            piece.quantity.unwrap_or(1).into(),
            there(piece.length),
            why,
        ]);
    }
    doc.table(table);
    doc.line(
        Tone::Faint,
        "They stay on the list of the rack until you take them off.",
    );
}

/// The rack before and after.
pub(super) fn write_rack(doc: &mut Document, plan: &Plan, rack: &Rack) {
    let job = &plan.job;
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
    write_for_stove(doc, plan);
}
