//! The cutting diagram: every board drawn, and the list of its cuts.

use crate::job::Job;
use crate::length::Length;
use crate::plan::{Plan, PlannedBoard, PlannedStrip, defects_on, gaps, is_edge_kept, is_kept};
use crate::report::bar::{Bar, BarCut, BarGap, EdgeBar, FRAME_COLUMNS, RippedBar};
use crate::report::figures::count_of;
use crate::report::ink::Tone;
use crate::report::layout::{fit, one_line, width_of};
use crate::report::table::{Align, Table};
use crate::tally::{Summary, is_ripped};
use crate::tally::{any_turned, saved};

use super::boards::made_into;
use super::cut_list::{Columns, cut_list, number_of_cut};
use super::page::Page;

pub(super) fn write(page: &mut Page<'_>, plan: &Plan, summary: &Summary) {
    let job = &plan.job;
    if plan.boards.is_empty() {
        return;
    }
    page.heading("Where to cut");
    write_how_to_read(page, plan, !summary.fences.is_empty());
    let columns = Columns::new(plan, !summary.fences.is_empty());
    let longest = plan
        .boards
        .iter()
        .map(|board| job.boards[board.board_idx].length)
        .max()
        .unwrap_or(Length::ZERO);
    let mut cut_lists: Vec<Table> = summary
        .groups
        .iter()
        .map(|group| {
            let boards = &plan.boards[group.boards.clone()];
            cut_list(page, job, boards, &columns)
        })
        .collect();
    Table::line_up(&mut cut_lists);
    for (group, cut_list) in summary.groups.iter().zip(&cut_lists) {
        page.space();
        let boards = &plan.boards[group.boards.clone()];
        write_title(page, job, boards);
        write_picture(page, job, &boards[0], longest);
        page.table(2, cut_list);
        if let Some(overrun) = group.overrun {
            let stock = if boards[0].strips.len() > 1 {
                "strip"
            } else {
                "board"
            };
            let text = format!(
                "Tight: cut to the rounded lengths, these parts would overrun the {stock} by {}. Print with a finer \
                 step, or take the exact lengths from the tables.",
                page.figures.with_unit(&page.figures.needed(overrun))
            );
            page.prose(2, Tone::Watch, &text);
        }
    }
}

/// Whether any board of a plan has a defect.
fn has_defects(plan: &Plan) -> bool {
    let job = &plan.job;
    let mut boards = plan.boards.iter();
    boards.any(|board| !job.boards[board.board_idx].defects.is_empty())
}

fn write_how_to_read(page: &mut Page<'_>, plan: &Plan, any_ripped: bool) {
    let job = &plan.job;
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
    if any_ripped {
        table.row(vec![
            "strips".to_owned(),
            "a ripped board lies as seen from above, the straightened edge on top; lengths are to scale, widths not"
                .to_owned(),
        ]);
    }
    let any_turned = any_turned(plan);
    let outer_edge = if any_turned {
        "outer edge on top, or below where the list says so"
    } else {
        "outer edge on top"
    };
    for (word, meaning) in [
        (
            "drawing",
            format!(
                "{outer_edge}; long points to scale, slants not; {scrap} is scrap{}",
                if has_defects(plan) {
                    format!(", {} a defect", page.ink.drawing().defect)
                } else {
                    String::new()
                }
            ),
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
    if any_turned {
        let meaning =
            "turned end for end: its first end is made by the cut that parts it from its neighbor";
        table.row(vec!["outer: below".to_owned(), meaning.to_owned()]);
    }
    page.table(2, &table);
}

/// The board drawn: one strip with its scale, or all strips side by side.
fn write_picture(page: &mut Page<'_>, job: &Job, planned: &PlannedBoard, longest: Length) {
    let columns = page.width - FRAME_COLUMNS;
    let lines = match &planned.strips[..] {
        [_] if !is_ripped(job, planned) => {
            strip_bar(page, job, planned, 0).lines(longest, columns, page.ink)
        }
        strips => RippedBar {
            strips: strips
                .iter()
                .enumerate()
                .map(|(idx, strip)| {
                    let width = strip.width.map_or_else(String::new, |width| {
                        format!("{} wide, ", page.figures.needed(width))
                    });
                    let label = format!(
                        "strip {}: {width}{}{}",
                        idx + 1,
                        made_into(job, strip.moulding_idx),
                        waste_before(page, job, strips, idx)
                    );
                    (label, strip_bar(page, job, planned, idx))
                })
                .collect(),
            edge: edge_bar(page, job, planned),
        }
        .lines(longest, columns, page.ink),
    };
    for line in lines {
        page.line(&line);
    }
}

/// Where a strip begins, if not beside the one before or at the edge: what lies between is waste to be ripped off.
fn waste_before(page: &Page<'_>, job: &Job, strips: &[PlannedStrip], idx: usize) -> String {
    let kerf = job.shop.rip.map_or(Length::ZERO, |rip| rip.kerf);
    let expected = match idx.checked_sub(1).map(|before| &strips[before]) {
        Some(before) => before.from_edge + before.width.unwrap_or(Length::ZERO) + kerf,
        None => Length::ZERO,
    };
    if strips[idx].from_edge <= expected {
        return String::new();
    }
    format!(
        ", begins {} from the left edge",
        page.figures.place(strips[idx].from_edge)
    )
}

/// What is left beside the strips.
fn edge_bar(page: &Page<'_>, job: &Job, planned: &PlannedBoard) -> Option<EdgeBar> {
    let is_kept = is_edge_kept(job, planned);
    let fate = if is_kept { "back to the rack" } else { "scrap" };
    (planned.edge_left > Length::ZERO).then(|| EdgeBar {
        label: format!(
            "edge: {} wide, {fate}",
            page.figures.there(planned.edge_left)
        ),
        is_kept,
    })
}

fn strip_bar(page: &Page<'_>, job: &Job, planned: &PlannedBoard, strip_idx: usize) -> Bar {
    let strip = &planned.strips[strip_idx];
    let defects = defects_on(job, planned, strip_idx);
    let gaps = if defects.is_empty() {
        Vec::new()
    } else {
        gaps(job, planned, strip_idx)
    };
    Bar {
        board: job.boards[planned.board_idx].length,
        end_trim: job.shop.end_trim,
        cuts: strip
            .cuts
            .iter()
            .enumerate()
            .map(|(idx, cut)| BarCut {
                from: cut.from,
                to: cut.to,
                miter: cut.part.miter(job),
                number: number_of_cut(job, planned, idx),
                length_text: page.figures.needed(cut.to - cut.from),
                place_text: page.figures.place(cut.to - job.shop.end_trim),
                turned: cut.turned,
                shares: idx > 0 && saved(job, &strip.cuts[idx - 1], cut) > Length::ZERO,
            })
            .collect(),
        offcut: if defects.is_empty() {
            strip.offcut
        } else {
            Length::ZERO
        },
        offcut_text: page.figures.there(strip.offcut),
        offcut_kept: is_kept(job, strip.offcut),
        gaps: gaps
            .into_iter()
            .map(|gap| BarGap {
                at: gap.clear_at,
                text: page.figures.there(gap.clear),
                is_kept: is_kept(job, gap.clear),
            })
            .collect(),
        defects,
    }
}

/// `Pattern 3  2 × walnut 8 ft  96 in · boards 1–2 · walnut cap`; of a ripped board its width, and how many strips.
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
    let length = page.figures.there(board.length);
    let (size, made_into) = match (board.width, &first.strips[..]) {
        (Some(width), strips) if is_ripped(job, first) => (
            format!("{length} {} {}", ink.times(), page.figures.there(width)),
            count_of(
                u64::try_from(strips.len()).expect("a board has few strips"),
                "strip",
            ),
        ),
        (_, strips) => (
            length,
            made_into(job, strips.first().and_then(|strip| strip.moulding_idx)),
        ),
    };
    // A board of an earlier plan has its number in its name.
    let which = if board.given.cuts > 0 {
        String::new()
    } else {
        format!("{noun} {}{}", ranges(&numbers, ink.to()), ink.dot())
    };
    let tail = format!(
        "{}{}{which}{made_into}",
        page.figures.with_unit(&size),
        ink.dot(),
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
pub(super) fn ranges(numbers: &[u32], to: &str) -> String {
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
