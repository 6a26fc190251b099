//! What the best mix depends on: its limits, prices that would pay, changes of the job.

use crate::compare::{Change, Comparison, Reasons, Way, WhatIf};
use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Measure, Plan, Verdict};
use crate::report::figures::{gap, percent_of_gap};
use crate::report::ink::Tone;
use crate::report::layout::{one_line, tie};
use crate::report::table::{Align, Table};
use crate::report::way_lines::label_length;

use super::page::Page;

pub(super) fn write(page: &mut Page<'_>, job: &Job, comparison: &Comparison, reasons: &Reasons) {
    write_limits(page, job, comparison);
    write_not_bought(page, job, reasons);
    write_changes(page, comparison, reasons);
    write_frames(page, job, comparison, reasons);
}

/// A value of a plan with its unit.
fn worth(page: &Page<'_>, measure: Measure, value: i64) -> String {
    match measure {
        Measure::Price => page.figures.money(Money::from_minor(value)),
        Measure::BoardLength => tie(&page.figures.total(Length::from_nm(value))),
    }
}

fn write_limits(page: &mut Page<'_>, job: &Job, comparison: &Comparison) {
    page.heading("What limits the purchase");
    let best = comparison.best_mix();
    let mut lines = Vec::new();
    for row in &comparison.rows {
        let Some(more) = comparison
            .difference(row)
            .zip(comparison.difference(best))
            .map(|(row, best)| row - best)
        else {
            continue;
        };
        let amount = worth(page, comparison.measure(), more.abs());
        let line = match &row.way {
            Way::EnoughOfAll if more < 0 => {
                format!("The yard's quantities: without them {amount} less.")
            }
            Way::EnoughOfAll => "The yard's quantities: without them it costs as much.".to_owned(),
            Way::Longest(longest) if more > 0 => {
                format!(
                    "The vehicle: boards up to {} cost {amount} more.",
                    label_length(job, *longest)
                )
            }
            Way::Longest(longest) => format!(
                "The vehicle: boards up to {} do as well.",
                label_length(job, *longest)
            ),
            Way::WithoutRack => format!("The rack: without it the boards cost {amount} more."),
            _ => continue,
        };
        lines.push(line);
    }
    if let Some((length, name)) = longest_part(job, &best.plan) {
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

/// The longest part of the job and whose it is.
fn longest_part(job: &Job, plan: &Plan) -> Option<(Length, String)> {
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
    let amount = match comparison.measure() {
        Measure::Price => page.figures.amount(Money::from_minor(more.abs())),
        Measure::BoardLength => page.figures.total(Length::from_nm(more.abs())),
    };
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

fn write_changes(page: &mut Page<'_>, comparison: &Comparison, reasons: &Reasons) {
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
            Change::Turned => "strips turned end for end, milled after cutting".to_owned(),
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

fn write_frames(page: &mut Page<'_>, job: &Job, comparison: &Comparison, reasons: &Reasons) {
    if job.frames.is_empty() {
        return;
    }
    page.heading("One frame more, one frame fewer");
    let mut table = Table::new()
        .column("frame", Align::Name, Tone::Strong)
        .column("there are", Align::Right, Tone::Plain)
        .column("one more", Align::Right, Tone::Plain)
        .column("proof", Align::Left, Tone::Faint)
        .column("one fewer", Align::Right, Tone::Plain)
        .column("proof", Align::Left, Tone::Faint);
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let find = |change| {
            reasons
                .what_ifs
                .iter()
                .find(|what_if| what_if.change == change)
        };
        let cells = |change| {
            find(change).map_or_else(Default::default, |what_if| {
                answer(page, comparison, what_if)
            })
        };
        let (more, more_proof) = cells(Change::OneMore(frame_idx));
        let (fewer, fewer_proof) = cells(Change::OneFewer(frame_idx));
        table.row(vec![
            one_line(&frame.name),
            frame.quantity.to_string(),
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
