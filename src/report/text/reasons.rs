//! What the best mix depends on: its limits, prices that would pay, changes of the job.

use crate::compare::{Change, Comparison, Reasons, Row, Way, WhatIf};
use crate::job::Job;
use crate::job::Line;
use crate::length::Length;
use crate::plan::{Plan, Verdict};
use crate::report::figures::{count_of, gap, percent_of_gap};
use crate::report::ink::Tone;
use crate::report::layout::{capitalized, one_line};
use crate::report::table::{Align, Table};
use crate::report::way_words::line_name;

use super::page::Page;

pub(super) fn write(page: &mut Page<'_>, job: &Job, comparison: &Comparison, reasons: &Reasons) {
    write_limits(page, job, comparison);
    write_not_bought(page, job, reasons);
    write_changes(page, job, comparison, reasons);
    write_lines(page, job, comparison, reasons);
}

fn write_limits(page: &mut Page<'_>, job: &Job, comparison: &Comparison) {
    page.heading("What limits the purchase");
    let best = comparison.best_mix();
    let mut lines: Vec<String> = comparison
        .rows
        .iter()
        .filter_map(|row| limit_sentence(page, comparison, row))
        .collect();
    if let Some((length, name)) = longest_part(&best.plan) {
        let needed = length + job.shop.end_trim * 2;
        lines.push(format!(
            "The longest part, {} of {name}, needs a board of {} with its trims.",
            page.figures.with_unit(&page.figures.needed(length)),
            page.figures.with_unit(&page.figures.needed(needed))
        ));
    }
    for line in lines {
        page.hanging("  - ", Tone::Plain, &line);
    }
}

/// What lifting a limit would change, or doing without the rack; nothing of other ways.
pub(super) fn limit_sentence(
    page: &Page<'_>,
    comparison: &Comparison,
    row: &Row,
) -> Option<String> {
    let (limit, without) = match row.way {
        Way::EnoughOfAll => ("the yard's quantities", "with enough of every board"),
        Way::AnyLength => ("the vehicle", "with boards of any length"),
        Way::WithoutRack => ("the rack", "without it"),
        _ => return None,
    };
    let worth = |value: i64| page.figures.worth(comparison.measure(), value);
    let best = comparison.best_mix();
    let effect = match comparison.above(row, best) {
        Some(0) => "it costs as much".to_owned(),
        Some(more) if more < 0 => format!("{} less", worth(-more)),
        Some(more) => format!("{} more", worth(more)),
        None if row.is_complete() => format!("all parts can be cut, for {}", worth(row.plan.value)),
        None => {
            let n_missing = u64::try_from(row.plan.missing.len()).ok()?;
            format!("{} left without wood", count_of(n_missing, "part"))
        }
    };
    Some(format!("{}: {without} {effect}.", capitalized(limit)))
}

/// The longest part of the job and whose it is.
fn longest_part(plan: &Plan) -> Option<(Length, String)> {
    let job = &plan.job;
    let cuts = plan
        .boards
        .iter()
        .flat_map(|board| board.cuts().map(|cut| (cut.to - cut.from, cut.part)));
    let (length, part) = cuts.max_by_key(|&(length, part)| (length, std::cmp::Reverse(part)))?;
    let name = match part {
        crate::plan::Part::Rail { frame_idx, .. } => &job.frames[frame_idx].name,
        crate::plan::Part::Loose { piece_idx, .. } => &job.pieces[piece_idx].name,
    };
    Some((length, one_line(name)))
}

fn write_not_bought(page: &mut Page<'_>, job: &Job, reasons: &Reasons) {
    if reasons.not_bought.is_empty() {
        return;
    }
    page.heading("Boards left at the yard");
    let mut table = Table::new()
        .column("board", Align::Name, Tone::Strong)
        .column("costs", Align::Right, Tone::Plain)
        .column("would pay at", Align::Right, Tone::Strong)
        .column("cheaper by", Align::Right, Tone::Plain)
        .column("proof", Align::Left, Tone::Faint);
    for board in &reasons.not_bought {
        let (pays, cheaper) = match board.pays_at {
            Some(pays) => (
                page.figures.amount(pays),
                page.figures.amount(board.price - pays),
            ),
            None => ("no price".to_owned(), String::new()),
        };
        table.row(vec![
            one_line(&job.boards[board.board_idx].name),
            page.figures.amount(board.price),
            pays,
            cheaper,
            if board.is_proved { "proved" } else { "open" }.to_owned(),
        ]);
    }
    page.table(2, &table);
    page.space();
    page.prose(
        2,
        Tone::Faint,
        "The highest price at which some of them would make the best mix cheaper, all other prices unchanged; found by \
         planning anew at each price tried.",
    );
}

/// The difference of a change in words, and its proof.
fn answer(page: &Page<'_>, comparison: &Comparison, what_if: &WhatIf) -> (String, String) {
    let best = &comparison.best_mix().plan;
    let plan = &what_if.plan;
    if !plan.missing.is_empty() || !best.missing.is_empty() {
        return (format!("{} short", plan.missing.len()), proof(plan));
    }
    let more = plan.value - best.value;
    let amount = page.figures.worth_amount(comparison.measure(), more.abs());
    let text = match more.signum() {
        0 => "the same".to_owned(),
        1 => format!("{amount} more"),
        _ => format!("{amount} less"),
    };
    (text, proof(plan))
}

fn proof(plan: &Plan) -> String {
    match plan.verdict {
        Verdict::Optimal => "proved".to_owned(),
        _ => gap(plan.value, plan.lower_bound).map_or_else(|| "open".to_owned(), percent_of_gap),
    }
}

fn write_changes(page: &mut Page<'_>, job: &Job, comparison: &Comparison, reasons: &Reasons) {
    let mut table = Table::new()
        .column("what if", Align::Name, Tone::Strong)
        .column("costs", Align::Right, Tone::Plain)
        .column("boards", Align::Right, Tone::Plain)
        .column("proof", Align::Left, Tone::Faint);
    let n_boards = comparison.best_mix().plan.boards.len();
    for what_if in &reasons.what_ifs {
        let name = match what_if.change {
            Change::Kerf(Length::ZERO) => "cut without kerf, by a chopper".to_owned(),
            Change::Kerf(kerf) => format!("kerf of {}", page.figures.exact(kerf)),
            Change::EndTrim(trim) => format!("end trim of {}", page.figures.exact(trim)),
            Change::NarrowerFaces(less) => format!("faces {} narrower", page.figures.exact(less)),
            Change::Turned => "strips turned, milled after cutting".to_owned(),
            Change::FreeGrain => "nothing asked of the grain".to_owned(),
            Change::EnoughOf(idx) => format!("enough of {}", one_line(&job.boards[idx].name)),
            Change::OneFewer(_) | Change::OneMore(_) => continue,
        };
        let (costs, proof) = answer(page, comparison, what_if);
        table.row(vec![
            name.replace('\u{a0}', " "),
            costs,
            change_of_boards(n_boards, what_if),
            proof,
        ]);
    }
    if !table.is_empty() {
        page.heading("What if");
        page.table(2, &table);
    }
}

/// How many boards more or fewer.
fn change_of_boards(before: usize, what_if: &WhatIf) -> String {
    let after = what_if.plan.boards.len();
    match after.cmp(&before) {
        std::cmp::Ordering::Equal => after.to_string(),
        std::cmp::Ordering::Less => format!("{after}, {} fewer", before - after),
        std::cmp::Ordering::Greater => format!("{after}, {} more", after - before),
    }
}

/// One more and one fewer of each line of the job.
fn write_lines(page: &mut Page<'_>, job: &Job, comparison: &Comparison, reasons: &Reasons) {
    let head = match (job.frames.is_empty(), job.pieces.is_empty()) {
        (false, true) => "frame",
        (true, false) => "piece",
        _ => "frame or piece",
    };
    page.heading("One more, one fewer");
    let mut table = Table::new()
        .column(head, Align::Name, Tone::Strong)
        .column("there are", Align::Right, Tone::Plain)
        .column("one more", Align::Right, Tone::Plain)
        .column("proof", Align::Left, Tone::Faint)
        .column("one fewer", Align::Right, Tone::Plain)
        .column("proof", Align::Left, Tone::Faint);
    let frames = (0..job.frames.len()).map(Line::Frame);
    for line in frames.chain((0..job.pieces.len()).map(Line::Piece)) {
        let cells = |change| {
            let mut what_ifs = reasons.what_ifs.iter();
            what_ifs
                .find(|what_if| what_if.change == change)
                .map_or_else(Default::default, |what_if| {
                    answer(page, comparison, what_if)
                })
        };
        let (name, quantity) = line_name(job, line);
        let (more, more_proof) = cells(Change::OneMore(line));
        let (fewer, fewer_proof) = cells(Change::OneFewer(line));
        table.row(vec![
            one_line(name),
            quantity.to_string(),
            more,
            more_proof,
            fewer,
            fewer_proof,
        ]);
    }
    page.table(2, &table);
    page.space();
    page.prose(
        2,
        Tone::Faint,
        "Boards alone, in the best mix; each found by planning the changed job.",
    );
}
