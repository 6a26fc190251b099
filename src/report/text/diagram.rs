//! The cutting diagram: every board drawn, and the list of its cuts.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Part, Plan, PlannedBoard};
use crate::report::bar::{Bar, BarCut, FRAME_COLUMNS};
use crate::report::figures::count_of;
use crate::report::ink::Tone;
use crate::report::layout::{Align, Table, fit, one_line, width_of};
use crate::report::naming::{miter_of, name_together};
use crate::report::summary::{Group, Summary, is_kept};

use super::boards::made_into;
use super::page::Page;

pub(super) fn write(page: &mut Page<'_>, job: &Job, plan: &Plan, summary: &Summary) {
    if plan.boards.is_empty() {
        return;
    }
    page.heading("Where to cut");
    write_how_to_read(page, job);
    let longest = plan
        .boards
        .iter()
        .map(|board| job.boards[board.board_idx].length)
        .max()
        .unwrap_or(Length::ZERO);
    for group in &summary.groups {
        page.space();
        write_group(page, job, &plan.boards[group.boards.clone()], group, longest);
    }
}

fn write_how_to_read(page: &mut Page<'_>, job: &Job) {
    let figures = &page.figures;
    let trim = if job.shop.end_trim > Length::ZERO {
        format!(
            "Trim {} off the near end of the board first: 0 is where that cut meets the outer edge.",
            figures.exact(job.shop.end_trim)
        )
    } else {
        "Nothing is trimmed: 0 is the near end of the board.".to_owned()
    };
    let text = format!(
        "Drawings show the outer edge on top and the sight edge below; long points are to scale, slants are not. {trim} \
         All distances run along the outer edge from 0, to the nearest {step}, with kerfs of {kerf} allowed for. \
         They tell where a part lies; its length is set by the stop block, long point to long point, and comes first. \
         A length marked ~ is between two marks of the rule: parts are rounded up, boards and offcuts down. \
         Write its name on the back of each part as it comes off the saw.",
        step = figures.step(),
        kerf = figures.exact(job.shop.kerf),
    );
    page.prose(2, Tone::Faint, &text);
}

fn write_group(
    page: &mut Page<'_>,
    job: &Job,
    boards: &[PlannedBoard],
    group: &Group,
    longest: Length,
) {
    let first = &boards[0];
    write_title(page, job, boards);
    let board = &job.boards[first.board_idx];
    let bar = Bar {
        board: board.length,
        end_trim: job.shop.end_trim,
        cuts: first
            .cuts
            .iter()
            .map(|cut| BarCut {
                from: cut.from,
                to: cut.to,
                miter: miter_of(job, cut.part),
                length_text: page.figures.needed(cut.to - cut.from),
                place_text: page.figures.place(cut.to - job.shop.end_trim),
            })
            .collect(),
        offcut: first.offcut,
        offcut_text: page.figures.there(first.offcut),
        offcut_kept: is_kept(job, first.offcut),
    };
    for line in bar.lines(longest, page.width - FRAME_COLUMNS, page.ink) {
        page.line(&line);
    }
    write_cut_list(page, job, boards);
    if let Some(overrun) = group.overrun {
        let text = format!(
            "Tight: cut to the rounded lengths, these parts would overrun the board by {}. Print with a finer step, or \
             take the exact lengths from the tables.",
            page.figures.with_unit(&page.figures.needed(overrun))
        );
        page.prose(2, Tone::Watch, &text);
    }
}

/// `Pattern 3  2 × walnut 8 ft  boards 1–2 · walnut cap`.
fn write_title(page: &mut Page<'_>, job: &Job, boards: &[PlannedBoard]) {
    let ink = page.ink;
    let first = &boards[0];
    let pattern = format!("Pattern {}", first.pattern);
    let count = if boards.len() > 1 {
        format!("{} {} ", boards.len(), ink.times())
    } else {
        String::new()
    };
    let room = page.width - width_of(&pattern) - width_of(&count) - 6;
    let name = fit(&one_line(&job.boards[first.board_idx].name), room / 2, ink);
    let numbers: Vec<u32> = boards.iter().map(|board| board.number).collect();
    let noun = if boards.len() > 1 { "boards" } else { "board" };
    let tail = format!(
        "{noun} {}{}{}",
        ranges(&numbers, ink.to()),
        ink.dot(),
        made_into(job, first.moulding_idx)
    );
    let tail = fit(&tail, room - width_of(&name), ink);
    let line = format!(
        " {}  {}  {}",
        ink.paint(Tone::Strong, &pattern),
        ink.paint(Tone::Strong, &format!("{count}{name}")),
        ink.paint(Tone::Faint, &tail)
    );
    page.line(&line);
}

/// Rising numbers with stretches drawn together: `1–3, 7`.
fn ranges(numbers: &[u32], to: &str) -> String {
    let mut shown = Vec::new();
    for run in numbers.chunk_by(|a, b| a.checked_add(1) == Some(*b)) {
        shown.push(match run {
            [only] => only.to_string(),
            [first, .., last] => format!("{first}{to}{last}"),
            [] => continue,
        });
    }
    shown.join(", ")
}

fn write_cut_list(page: &mut Page<'_>, job: &Job, boards: &[PlannedBoard]) {
    let figures = &page.figures;
    let first = &boards[0];
    let mark_head = match boards.len() {
        1 => "mark on the back".to_owned(),
        n => format!("mark on the back, {}", count_of(u64::try_from(n).unwrap_or(u64::MAX), "board")),
    };
    let mut table = Table::new()
        .column("cut", Align::Right, Tone::Strong)
        .column("stop block", Align::Figure, Tone::Strong)
        .column("ends", Align::Left, Tone::Plain)
        .column("from", Align::Figure, Tone::Faint)
        .column("to", Align::Figure, Tone::Plain)
        .column(&mark_head, Align::Prose, Tone::Plain);
    // No mark takes more of the line than this, so that copy and side stay beside the name.
    let name_width = page.width / 4;
    let mut idx = 0;
    while idx < first.cuts.len() {
        let last = last_alike(boards, idx);
        let number = if last > idx {
            format!("{}{}{}", idx + 1, page.ink.to(), last + 1)
        } else {
            (idx + 1).to_string()
        };
        let parts: Vec<Part> = boards
            .iter()
            .flat_map(|board| &board.cuts[idx..=last])
            .map(|cut| cut.part)
            .collect();
        let cut = &first.cuts[idx];
        table.row(vec![
            number,
            figures.needed(cut.to - cut.from),
            figures.miter(miter_of(job, cut.part)),
            figures.place(cut.from - job.shop.end_trim),
            figures.place(first.cuts[last].to - job.shop.end_trim),
            name_together(job, &parts, name_width, page.ink),
        ]);
        idx = last + 1;
    }
    if first.offcut > Length::ZERO {
        let fate = if is_kept(job, first.offcut) {
            "back to the rack"
        } else {
            "scrap"
        };
        table.row(vec![
            "left".to_owned(),
            figures.there(first.offcut),
            String::new(),
            String::new(),
            String::new(),
            fate.to_owned(),
        ]);
    }
    page.table(2, &table);
}

/// The last of the cuts from `idx` on that are pieces of one line on every board: they share a row.
fn last_alike(boards: &[PlannedBoard], idx: usize) -> usize {
    let piece_at = |board: &PlannedBoard, at: usize| match board.cuts.get(at).map(|cut| cut.part) {
        Some(Part::Loose { piece_idx, .. }) => Some(piece_idx),
        _ => None,
    };
    let Some(piece_idx) = piece_at(&boards[0], idx) else {
        return idx;
    };
    let alike = |at: usize| {
        boards
            .iter()
            .all(|board| piece_at(board, at) == Some(piece_idx))
    };
    if !alike(idx) {
        return idx;
    }
    let mut last = idx;
    while alike(last + 1) {
        last += 1;
    }
    last
}
