//! The boards to take, and what becomes of them.

use std::cmp::Ordering;

use crate::frame::Outline;
use crate::job::Job;
use crate::length::Length;
use crate::plan::Plan;
use crate::report::figures::{count_of, per_mille_down, percent};
use crate::report::ink::Tone;
use crate::report::layout::{fit, one_line, tie};
use crate::report::summary::Summary;
use crate::report::table::{Align, Table};

use super::page::Page;

pub(super) fn write(page: &mut Page<'_>, job: &Job, plan: &Plan, summary: &Summary) {
    if summary.n_boards > 0 {
        write_taken(page, job, summary);
        write_wood(page, job, summary);
    }
    write_by_eye(page, job, plan, summary);
}

/// What a board is taken for: its moulding, or plain wood.
pub(super) fn made_into(job: &Job, moulding_idx: Option<usize>) -> String {
    moulding_idx.map_or_else(
        || "plain".to_owned(),
        |idx| one_line(&job.mouldings[idx].name),
    )
}

fn write_taken(page: &mut Page<'_>, job: &Job, summary: &Summary) {
    page.heading("Boards to take");
    let currency = fit(&one_line(&job.display.currency.code), 8, page.ink);
    let total_head = if currency.is_empty() {
        "all".to_owned()
    } else {
        format!("all, {currency}")
    };
    let mut table = Table::new()
        .column("take", Align::Right, Tone::Strong)
        .column("board", Align::Name, Tone::Strong)
        .column("for", Align::Prose, Tone::Plain)
        .column("wood", Align::Name, Tone::Plain)
        .column("length", Align::Figure, Tone::Plain)
        .column("each", Align::Right, Tone::Plain)
        .column(&total_head, Align::Right, Tone::Plain);
    let amount =
        |money: Option<_>| money.map_or_else(String::new, |money| page.figures.amount(money));
    for line in &summary.taken {
        let board = &job.boards[line.board_idx];
        table.row(vec![
            line.count.to_string(),
            one_line(&board.name),
            uses(job, &line.uses),
            board.material.as_deref().map_or_else(String::new, one_line),
            page.figures.there(board.length),
            amount(line.price_each),
            amount(line.price()),
        ]);
    }
    if summary.taken.len() > 1 {
        table.total(vec![
            summary.n_boards.to_string(),
            "in all".to_owned(),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
            amount(summary.price),
        ]);
    }
    page.table(2, &table);
}

/// What boards of a kind are taken for, with counts where there is more than one use.
fn uses(job: &Job, uses: &[(Option<usize>, u64)]) -> String {
    match uses {
        [(only, _)] => made_into(job, *only),
        _ => uses
            .iter()
            .map(|&(moulding_idx, count)| tie(&format!("{count} {}", made_into(job, moulding_idx))))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

fn write_wood(page: &mut Page<'_>, job: &Job, summary: &Summary) {
    page.heading("What becomes of the wood");
    let wood = &summary.wood;
    let shortest = page.figures.exact(job.shop.shortest_offcut);
    let used = per_mille_down(wood.parts, wood.boards);
    let kept = per_mille_down(wood.kept, wood.boards);
    let kept_note = if summary.kept.is_empty() {
        "none long enough to keep".to_owned()
    } else {
        let pieces: u64 = summary.kept.iter().map(|kept| kept.count).sum();
        format!("{} of {shortest} or more", count_of(pieces, "offcut"))
    };
    let mut table = Table::new()
        .column("", Align::Left, Tone::Plain)
        .column("", Align::Right, Tone::Plain)
        .column("", Align::Right, Tone::Strong)
        .column("", Align::Prose, Tone::Faint);
    let mut row = |name: &str, length: Length, share: String, note: String| {
        table.row(vec![
            name.to_owned(),
            page.figures.total(length),
            share,
            note,
        ]);
    };
    row(
        "in the parts",
        wood.parts,
        percent(used),
        "long points".to_owned(),
    );
    row("back to the rack", wood.kept, percent(kept), kept_note);
    row(
        "lost",
        wood.short_ends + wood.kerf_and_trim,
        percent(1000 - used - kept),
        format!(
            "ends under {shortest} {}, kerf and trims {}",
            page.figures.total(wood.short_ends),
            page.figures.total(wood.kerf_and_trim)
        ),
    );
    row(
        "all boards",
        wood.boards,
        String::new(),
        "end to end".to_owned(),
    );
    page.table(2, &table);
    if summary.kept.is_empty() {
        return;
    }
    page.space();
    let mut table = Table::new()
        .column("keep", Align::Right, Tone::Good)
        .column("offcut", Align::Figure, Tone::Strong)
        .column("from", Align::Name, Tone::Plain)
        .column("for", Align::Name, Tone::Plain);
    for kept in &summary.kept {
        table.row(vec![
            kept.count.to_string(),
            page.figures.there(kept.length),
            one_line(&job.boards[kept.board_idx].name),
            made_into(job, kept.moulding_idx),
        ]);
    }
    page.table(2, &table);
}

fn write_by_eye(page: &mut Page<'_>, job: &Job, plan: &Plan, summary: &Summary) {
    if summary.by_eye.is_empty() {
        return;
    }
    page.heading("Beside buying by eye");
    let mut table = Table::new()
        .column("moulding", Align::Name, Tone::Plain)
        .column("frames", Align::Right, Tone::Plain)
        .column("rails alone", Align::Right, Tone::Plain)
        .column("by eye", Align::Right, Tone::Plain)
        .column("boards here", Align::Right, Tone::Strong)
        .column("difference", Align::Right, Tone::Plain);
    for line in &summary.by_eye {
        let difference = match line.boards.cmp(&line.estimate) {
            Ordering::Greater => {
                format!("{} more", page.figures.rough(line.boards - line.estimate))
            }
            Ordering::Less => format!("{} less", page.figures.rough(line.estimate - line.boards)),
            Ordering::Equal => "none".to_owned(),
        };
        table.row(vec![
            made_into(job, Some(line.moulding_idx)),
            line.n_frames.to_string(),
            page.figures.rough(line.rails),
            page.figures.rough(line.estimate),
            page.figures.rough(line.boards),
            difference,
        ]);
    }
    page.table(2, &table);
    page.space();
    let times = page.ink.times();
    let mut explained = format!(
        "By eye: 2 {times} (art width + 2 faces) + 2 {times} (art height + 2 faces) + {} for each frame. It knows no \
         mat, kerf or trim, nor that boards come in whole lengths; the boards here cover them all. To the nearest {}.",
        page.figures.exact(Length::INCH * 2),
        page.figures.rough_step(),
    );
    if job
        .frames
        .iter()
        .any(|frame| matches!(frame.art, Outline::Regular { .. }))
    {
        explained.push_str(" A polygon likewise: each side and 2 faces.");
    }
    if job.pieces.iter().any(|piece| piece.moulding_idx.is_some()) {
        explained.push_str(" They also carry the loose pieces of the moulding.");
    }
    if !plan.missing.is_empty() {
        explained
            .push_str(" Parts are missing from the plan, so its boards are too few to compare.");
    }
    page.prose(2, Tone::Faint, &explained);
}
