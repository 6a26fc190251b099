//! The cutting diagram: every board drawn, and the list of its cuts.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Part, Plan, PlannedBoard};
use crate::report::bar::{Bar, BarCut, FRAME_COLUMNS};
use crate::report::ink::Tone;
use crate::report::layout::{fit, one_line, width_of};
use crate::report::naming::{miter_of, name_together};
use crate::report::summary::{Summary, is_kept};
use crate::report::table::{Align, Table};

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
    let mut cut_lists: Vec<Table> = summary
        .groups
        .iter()
        .map(|group| cut_list(page, job, &plan.boards[group.boards.clone()]))
        .collect();
    Table::line_up(&mut cut_lists);
    for (group, cut_list) in summary.groups.iter().zip(&cut_lists) {
        page.space();
        let boards = &plan.boards[group.boards.clone()];
        write_title(page, job, boards);
        write_bar(page, job, &boards[0], longest);
        page.table(2, cut_list);
        if let Some(overrun) = group.overrun {
            let text = format!(
                "Tight: cut to the rounded lengths, these parts would overrun the board by {}. Print with a finer \
                 step, or take the exact lengths from the tables.",
                page.figures.with_unit(&page.figures.needed(overrun))
            );
            page.prose(2, Tone::Watch, &text);
        }
    }
}

fn write_how_to_read(page: &mut Page<'_>, job: &Job) {
    let figures = &page.figures;
    let scrap = page.ink.drawing().scrap;
    let zero = if job.shop.end_trim > Length::ZERO {
        format!(
            "the near end as trimmed, {} from the end of the raw board",
            figures.exact(job.shop.end_trim)
        )
    } else {
        "the near end of the board; nothing is trimmed".to_owned()
    };
    let mut table =
        Table::new()
            .column("", Align::Left, Tone::Strong)
            .column("", Align::Prose, Tone::Faint);
    for (word, meaning) in [
        (
            "drawing",
            format!("outer edge on top; long points to scale, slants not; {scrap} is scrap"),
        ),
        ("0", zero),
        (
            "from, to",
            format!(
                "along the outer edge from 0, to the nearest {}; kerf {}",
                figures.step(),
                figures.exact(job.shop.kerf)
            ),
        ),
        (
            "stop block",
            "long point to long point; it sets the length, from and to do not".to_owned(),
        ),
        (
            "~",
            "between two marks: parts are rounded up, boards and offcuts down".to_owned(),
        ),
        (
            "mark",
            "what to write on the back of the part as it comes off the saw".to_owned(),
        ),
    ] {
        table.row(vec![word.to_owned(), meaning]);
    }
    page.table(2, &table);
}

fn write_bar(page: &mut Page<'_>, job: &Job, planned: &PlannedBoard, longest: Length) {
    let bar = Bar {
        board: job.boards[planned.board_idx].length,
        end_trim: job.shop.end_trim,
        cuts: planned
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
        offcut: planned.offcut,
        offcut_text: page.figures.there(planned.offcut),
        offcut_kept: is_kept(job, planned.offcut),
    };
    for line in bar.lines(longest, page.width - FRAME_COLUMNS, page.ink) {
        page.line(&line);
    }
}

/// `Pattern 3  2 × walnut 8 ft  96 in · boards 1–2 · walnut cap`.
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
    let board = &job.boards[first.board_idx];
    let tail = format!(
        "{}{}{noun} {}{}{}",
        page.figures.with_unit(&page.figures.there(board.length)),
        ink.dot(),
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

/// Every cut of boards that are cut alike: its stop block, its place and the name of each part.
fn cut_list(page: &Page<'_>, job: &Job, boards: &[PlannedBoard]) -> Table {
    let figures = &page.figures;
    let first = &boards[0];
    let mark_head = if boards.len() > 1 {
        "marks, board by board"
    } else {
        "mark"
    };
    let mut table = Table::new()
        .column("cut", Align::Right, Tone::Strong)
        .column("stop block", Align::Figure, Tone::Strong)
        .column("ends", Align::Left, Tone::Plain)
        .column("from", Align::Figure, Tone::Faint)
        .column("to", Align::Figure, Tone::Plain)
        .column(mark_head, Align::Prose, Tone::Plain);
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
    table
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
