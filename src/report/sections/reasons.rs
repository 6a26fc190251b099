//! What the best mix depends on: its limits, prices that would pay, changes of the job.

use crate::compare::{Change, Comparison, NotBought, Reasons, Row, WhatIf};
use crate::job::{Job, Line, Way};
use crate::length::Length;
use crate::plan::{Plan, Verdict};
use crate::report::document::{
    self, Document, Kind, Table, Text, Tone, amount, count_of, exact, name, needed_with_unit, say,
    worth, worth_amount,
};
use crate::report::way_words::line_name;

pub(super) fn write(doc: &mut Document, job: &Job, comparison: &Comparison, reasons: &Reasons) {
    write_limits(doc, job, comparison);
    write_not_bought(doc, job, reasons);
    write_changes(doc, job, comparison, reasons);
    write_lines(doc, job, comparison, reasons);
    if reasons.n_untried > 0 {
        let untried = count_of(reasons.n_untried as u64, "change");
        doc.line(
            Tone::Watch,
            say!("Not tried, as the time was over: {}.", untried),
        );
    }
}

fn write_limits(doc: &mut Document, job: &Job, comparison: &Comparison) {
    doc.heading("limits", "What limits the purchase");
    let best = comparison.best_mix();
    let rows = comparison.rows.iter();
    let mut limits: Vec<Text> = rows
        .filter_map(|row| limit_sentence(comparison, row))
        .collect();
    if let Some((length, of)) = longest_part(&best.plan) {
        limits.push(say!(
            "The longest part, {} for {}, needs a board of at least {}, trims included.",
            needed_with_unit(length),
            of,
            needed_with_unit(length + job.shop.end_trim * 2)
        ));
    }
    doc.lines(limits.into_iter().map(document::Line::item).collect());
}

/// What lifting a limit would change, or doing without the rack; nothing of other ways.
pub(super) fn limit_sentence(comparison: &Comparison, row: &Row) -> Option<Text> {
    let (limit, without) = match row.way {
        Way::EnoughOfAll => ("The yard's quantities", "with enough of every board"),
        Way::AnyLength => ("The vehicle", "with boards of any length"),
        Way::WithoutRack => ("The rack", "without it"),
        _ => return None,
    };
    let worth = |value: i64| worth(comparison.measure(), value);
    let best = comparison.best_mix();
    let effect = match comparison.above(row, best) {
        Some(0) => "the cost is the same".into(),
        Some(more) if more < 0 => say!("{} less", worth(-more)),
        Some(more) => say!("{} more", worth(more)),
        None if row.is_complete() => say!("all parts can be cut, for {}", worth(row.plan.value)),
        None => {
            let n_missing = u64::try_from(row.plan.missing.len()).ok()?;
            say!("{} left without wood", count_of(n_missing, "part"))
        }
    };
    Some(say!("{}: {}, {}.", limit, without, effect))
}

/// The longest part of the job and whose it is.
fn longest_part(plan: &Plan) -> Option<(Length, Text)> {
    let job = &plan.job;
    let cuts = plan
        .boards
        .iter()
        .flat_map(|board| board.cuts().map(|cut| (cut.to - cut.from, cut.part)));
    let (length, part) = cuts.max_by_key(|&(length, part)| (length, std::cmp::Reverse(part)))?;
    let of = match part {
        crate::plan::Part::Rail { frame_idx, .. } => &job.frames[frame_idx].name,
        crate::plan::Part::Loose { piece_idx, .. } => &job.pieces[piece_idx].name,
    };
    Some((length, name(of)))
}

fn write_not_bought(doc: &mut Document, job: &Job, reasons: &Reasons) {
    if reasons.not_bought.is_empty() {
        return;
    }
    doc.heading("not-bought", "Boards left at the yard");
    let mut table = Table::new()
        .column("board", Kind::Name, Tone::Strong)
        .column("costs now", Kind::Number, Tone::Plain)
        .column("worth it at", Kind::Number, Tone::Strong)
        .column("which is less by", Kind::Number, Tone::Plain);
    for board in &reasons.not_bought {
        let (pays, cheaper) = worth_it(board);
        table.row(vec![
            name(&job.boards[board.board_idx].name),
            amount(board.price),
            pays,
            cheaper,
        ]);
    }
    doc.table(table);
    doc.line(
        Tone::Faint,
        "Costs now: what is asked for one. Worth it at: the highest price of one at which taking some of them would make the \
         whole purchase cheaper, with all other prices as they are. Found by planning again at each price tried.",
    );
    if reasons.not_bought.iter().any(|board| !board.is_proved()) {
        doc.line(
            Tone::Faint,
            "Of two prices, at the first it is worth it, and above the second it is not, by proof; between them it is not \
             known. By how much each is less than the board costs now stands in the same order.",
        );
    }
}

/// The price at which a board is worth it, and by how much it would have to be cheaper.
fn worth_it(board: &NotBought) -> (Text, Text) {
    let cheaper = |price| amount(board.price - price);
    match (board.pays_at, board.at_most) {
        (Some(pays), Some(most)) if pays < most => (
            say!("{} to {}", amount(pays), amount(most)),
            say!("{} to {}", cheaper(pays), cheaper(most)),
        ),
        (Some(pays), _) => (amount(pays), cheaper(pays)),
        (None, Some(most)) => (
            say!("at most {}", amount(most)),
            say!("at least {}", cheaper(most)),
        ),
        (None, None) => ("no price".into(), Text::default()),
    }
}

/// The difference that a change makes, in words: an amount that is proved, or between which two it lies.
fn answer(comparison: &Comparison, what_if: &WhatIf) -> Text {
    let best = &comparison.best_mix().plan;
    let plan = &what_if.plan;
    let Some((least, most)) = what_if.more(best) else {
        let (n_least, n_most) = (plan.missing_lower_bound, plan.missing.len());
        return if plan.verdict == Verdict::Optimal || n_least == n_most as u64 {
            say!("{} missing", n_most)
        } else {
            say!("{} to {} missing", n_least, n_most)
        };
    };
    let amount = |value: i64| worth_amount(comparison.measure(), value.abs());
    // Where nothing is proved of the changed job, the plan that was found is all that is known.
    if plan.lower_bound <= 0 && least < most {
        return match most {
            0 => "the same or less".into(),
            1.. => say!("at most {} more, or less", amount(most)),
            _ => say!("at least {} less", amount(most)),
        };
    }
    match (least, most) {
        (0, 0) => "the same".into(),
        (least, most) if least == most => say!("{} {}", amount(most), direction(most)),
        (0, most) => say!("at most {} more", amount(most)),
        (least, 0) => say!("at most {} less", amount(least)),
        (1.., _) => say!("{} to {} more", amount(least), amount(most)),
        (_, ..0) => say!("{} to {} less", amount(most), amount(least)),
        _ => say!("{} less to {} more", amount(least), amount(most)),
    }
}

fn direction(value: i64) -> &'static str {
    if value > 0 { "more" } else { "less" }
}

/// What two amounts mean, where some change has two.
fn write_ranges<'a>(
    doc: &mut Document,
    comparison: &Comparison,
    mut what_ifs: impl Iterator<Item = &'a WhatIf>,
) {
    let best = &comparison.best_mix().plan;
    let is_range = |what_if: &WhatIf| {
        what_if
            .more(best)
            .map_or(what_if.plan.verdict != Verdict::Optimal, |(least, most)| {
                least < most
            })
    };
    if best.verdict != Verdict::Optimal {
        doc.line(
            Tone::Watch,
            "The purchase itself is not proved best, and so none of these amounts is: beside a cheaper one each saving would be \
             smaller.",
        );
    } else if what_ifs.any(is_range) {
        doc.line(
            Tone::Faint,
            "A single amount is proved. Where there are two, a plan was found for the dearer one, and by proof none is cheaper \
             than the other; with --time 60 the two come nearer to each other.",
        );
    } else {
        doc.line(Tone::Faint, "All amounts are proved.");
    }
}

fn write_changes(doc: &mut Document, job: &Job, comparison: &Comparison, reasons: &Reasons) {
    let mut table = Table::new()
        .column("if", Kind::Name, Tone::Strong)
        .column("it would cost", Kind::Number, Tone::Plain)
        .column("boards then", Kind::Number, Tone::Plain);
    let n_boards = comparison.best_mix().plan.boards.len();
    for what_if in &reasons.what_ifs {
        let change = match what_if.change {
            Change::Kerf(Length::ZERO) => "a chopper cut, without kerf".into(),
            Change::Kerf(kerf) => say!("the kerf were {}", exact(kerf)),
            Change::EndTrim(trim) => say!("the end trim were {}", exact(trim)),
            Change::NarrowerFaces(less) => say!("faces were {} narrower", exact(less)),
            Change::Turned => "strips were milled after cutting, so could be turned".into(),
            Change::FreeGrain => "grain did not matter".into(),
            Change::EnoughOf(idx) => say!("there were enough of {}", name(&job.boards[idx].name)),
            Change::OneFewer(_) | Change::OneMore(_) => continue,
        };
        table.row(vec![
            change,
            answer(comparison, what_if),
            change_of_boards(n_boards, what_if),
        ]);
    }
    if !table.rows.is_empty() {
        doc.heading("what-if", "If one thing were different");
        doc.table(table);
        let what_ifs = reasons.what_ifs.iter();
        write_ranges(
            doc,
            comparison,
            what_ifs.filter(|what_if| !is_of_line(what_if)),
        );
    }
}

/// Whether a change is one more or one fewer of a line.
fn is_of_line(what_if: &WhatIf) -> bool {
    matches!(what_if.change, Change::OneFewer(_) | Change::OneMore(_))
}

/// How many boards more or fewer.
fn change_of_boards(before: usize, what_if: &WhatIf) -> Text {
    let after = what_if.plan.boards.len();
    match after.cmp(&before) {
        std::cmp::Ordering::Equal => after.into(),
        std::cmp::Ordering::Less => say!("{}, {} fewer", after, before - after),
        std::cmp::Ordering::Greater => say!("{}, {} more", after, after - before),
    }
}

/// One more and one fewer of each line of the job.
fn write_lines(doc: &mut Document, job: &Job, comparison: &Comparison, reasons: &Reasons) {
    let head = match (job.frames.is_empty(), job.pieces.is_empty()) {
        (false, true) => "frame",
        (true, false) => "piece",
        _ => "frame or piece",
    };
    doc.heading("one-more", "One more, one fewer");
    let mut table = Table::new()
        .column(head, Kind::Name, Tone::Strong)
        .column("how many now", Kind::Number, Tone::Plain)
        .column("one more would cost", Kind::Number, Tone::Plain)
        .column("one fewer would cost", Kind::Number, Tone::Plain);
    let frames = (0..job.frames.len()).map(Line::Frame);
    for line in frames.chain((0..job.pieces.len()).map(Line::Piece)) {
        let cells = |change| {
            let mut what_ifs = reasons.what_ifs.iter();
            what_ifs
                .find(|what_if| what_if.change == change)
                .map_or_else(Default::default, |what_if| answer(comparison, what_if))
        };
        let (line_name, quantity) = line_name(job, line);
        table.row(vec![
            name(line_name),
            quantity.into(),
            cells(Change::OneMore(line)),
            cells(Change::OneFewer(line)),
        ]);
    }
    doc.table(table);
    doc.line(
        Tone::Faint,
        "Change of the cost of the job's own boards, found by planning the changed job.",
    );
    let what_ifs = reasons.what_ifs.iter();
    write_ranges(
        doc,
        comparison,
        what_ifs.filter(|what_if| is_of_line(what_if)),
    );
}
