//! Tables of a plan.

use std::collections::BTreeMap;

use crate::frame::{Miter, side_name};
use crate::job::{Job, Purpose};
use crate::length::Length;
use crate::plan::{
    LeftoverKind, Part, PieceKind, Plan, gaps, is_edge_kept, is_kept, part_label, part_side,
    piece_name, uncut,
};
use crate::replan::Bench;
use crate::report::figures::degrees;
use crate::report::naming::{part_sizes, stick_mark};
use crate::tally::{RippedStick, Summary, Unused, WhyUnused, rack_added, unused};

use super::rows::{Cell, Rows, decimal, length, number};

/// The cells that name a part: what it is, its own name, copy and side.
pub(super) fn naming_cells(job: &Job, part: Part) -> [Cell; 5] {
    let (kind, frame, piece, copy) = match part {
        Part::Rail {
            frame_idx, copy, ..
        } => ("rail", job.frames[frame_idx].name.as_str(), "", copy),
        Part::Loose { piece_idx, copy } => {
            let piece = &job.pieces[piece_idx];
            let kind = match piece.purpose {
                Purpose::Wanted => "piece",
                Purpose::Spacer => "spacer",
                Purpose::SpareRail => "spare",
                Purpose::SpareOffcut => "offcut",
            };
            (kind, "", piece.name.as_str(), copy)
        }
    };
    [
        kind.into(),
        frame.into(),
        piece.into(),
        number(copy),
        part_side(job, part).unwrap_or_default().into(),
    ]
}

pub(super) fn moulding_name(job: &Job, moulding_idx: Option<usize>) -> &str {
    moulding_idx.map_or("", |idx| job.mouldings[idx].name.as_str())
}

/// An index as a number counted from one.
pub(super) fn from_one(idx: usize) -> u64 {
    u64::try_from(idx + 1).expect("a count in memory fits 64 bits")
}

pub(super) fn ends(miter: Miter) -> Cell {
    match miter {
        Miter::Square => "square".into(),
        Miter::Corner { .. } => "miter".into(),
    }
}

/// Every rail, frame by frame, with its board; the board of a missing one is empty.
pub fn rails_csv(plan: &Plan) -> String {
    let job = &plan.job;
    let marks = plan.marks();
    let boards = plan.boards.iter().enumerate();
    let placed = boards.flat_map(|(at, board)| {
        let strips = board.strips.iter().enumerate();
        strips.flat_map(move |(strip_idx, strip)| {
            let cuts = strip.cuts.iter().enumerate();
            cuts.map(move |(cut_idx, cut)| (cut.part, (at, strip_idx, cut_idx)))
        })
    });
    let placed = placed.map(|(part, (at, strip_idx, cut_idx))| {
        let board = &plan.boards[at];
        let cells = [
            marks.strip(at, strip_idx).to_string().into(),
            job.boards[board.board_idx].name.as_str().into(),
            number(board.number),
            number(board.pattern),
            number(from_one(strip_idx)),
            number(from_one(cut_idx)),
        ];
        (part, Some(cells))
    });
    rail_rows(job, placed, plan.missing.iter().copied())
}

/// The same of a bench: every rail of the job as it now is, with where it was cut, or is to be.
///
/// # Panics
/// Never, for a bench that `replan` made.
pub fn bench_rails_csv(bench: &Bench) -> String {
    let marks: Vec<_> = bench
        .sheets()
        .iter()
        .map(|sheet| sheet.plan.marks())
        .collect();
    let placed = bench.serving().into_iter().map(|(place, part)| {
        let (name, board_number) = bench.stick_name(bench.stick_at(place));
        let planned = &bench.sheets()[place.sheet].plan.boards[place.board];
        let mark = marks[place.sheet].strip(place.board, place.strip);
        let cells = [
            mark.to_string().into(),
            name.into(),
            number(board_number),
            number(planned.pattern),
            number(from_one(bench.strip(place))),
            number(bench.cut_number(place)),
        ];
        (part, Some(cells))
    });
    rail_rows(bench.job(), placed, bench.missing())
}

/// Where a rail is cut: mark, board and its number, pattern, strip and cut.
type PlaceCells = [Cell; 6];

fn rail_rows(
    job: &Job,
    placed: impl Iterator<Item = (Part, Option<PlaceCells>)>,
    missing: impl Iterator<Item = Part>,
) -> String {
    let mut rows = Rows::new(
        &job.display,
        &[
            "frame",
            "copy",
            "side",
            "moulding",
            "miter-degrees",
            "mark",
            "board",
            "board-number",
            "pattern",
            "strip",
            "cut",
            "long-point@",
            "short-point@",
        ],
    );
    let mut placed: Vec<(Part, Option<PlaceCells>)> =
        placed.chain(missing.map(|part| (part, None))).collect();
    placed.sort_by_key(|(part, _)| *part);
    for (part, cells) in placed {
        let Part::Rail {
            frame_idx,
            copy,
            side,
        } = part
        else {
            continue;
        };
        let frame = &job.frames[frame_idx];
        let (long_point, short_point) = part_sizes(job, part);
        let [mark, board, board_number, pattern, strip, cut] =
            cells.unwrap_or_else(|| ["", "", "", "", "", ""].map(Cell::from));
        rows.row(vec![
            frame.name.as_str().into(),
            number(copy),
            side_name(frame.art, side).into(),
            moulding_name(job, Some(frame.moulding_idx)).into(),
            decimal(degrees(frame.art.miter(), 3)),
            mark,
            board,
            board_number,
            pattern,
            strip,
            cut,
            length(long_point),
            length(short_point),
        ]);
    }
    rows.into_text()
}

/// What is left of every strip, beside the strips of every ripped board, and of what the yard has cut off, kept or not.
///
/// What is kept has the name by which the rack's table has it.
pub fn offcuts_csv(plan: &Plan) -> String {
    let job = &plan.job;
    let marks = plan.marks();
    let named: BTreeMap<(usize, LeftoverKind, Length), String> = rack_added(plan)
        .into_iter()
        .map(|new| {
            (
                (new.left.board, new.left.kind, new.left.from),
                new.board.name,
            )
        })
        .collect();
    let mut rows = Rows::new(
        &job.display,
        &[
            "name",
            "mark",
            "piece",
            "board",
            "board-number",
            "moulding",
            "material",
            "keep",
            "kind",
            "length@",
            "width@",
        ],
    );
    for (at, board) in plan.boards.iter().enumerate() {
        let of = &job.boards[board.board_idx];
        let mut row = |left: LeftoverKind, from: Length, is_kept: bool, kind: &str, size, width| {
            let name = named.get(&(at, left, from)).map_or("", String::as_str);
            let (mark, moulding_idx) = match left {
                LeftoverKind::End(strip) => {
                    (marks.strip(at, strip), board.strips[strip].moulding_idx)
                }
                LeftoverKind::Piece(_) => (marks.chalked(at), None),
            };
            let piece = match left {
                LeftoverKind::End(_) => String::new(),
                LeftoverKind::Piece(piece) => piece_name(board, piece),
            };
            rows.row(vec![
                name.into(),
                mark.to_string().into(),
                piece.into(),
                of.name.as_str().into(),
                number(board.number),
                moulding_name(job, moulding_idx).into(),
                of.material.as_deref().unwrap_or_default().into(),
                if is_kept { "yes" } else { "no" }.into(),
                kind.into(),
                length(size),
                length(width),
            ]);
        };
        for (strip_idx, strip) in board.strips.iter().enumerate() {
            for gap in gaps(job, board, strip_idx) {
                let is_kept = is_kept(job, gap.clear);
                let kind = if gap.is_last { "end" } else { "between" };
                let left = LeftoverKind::End(strip_idx);
                row(
                    left,
                    gap.from,
                    is_kept,
                    kind,
                    gap.between_trims,
                    strip.width,
                );
            }
        }
        for (idx, stretch) in board.stretches.iter().enumerate() {
            let is_used = |kind: PieceKind| board.used_again.contains(&kind);
            for (nth, edge) in stretch.beside.iter().enumerate() {
                let piece = PieceKind::Edge { stretch: idx, nth };
                if is_used(piece) {
                    continue;
                }
                let is_kept = is_edge_kept(job, board, idx, nth);
                let length = stretch.to - stretch.from;
                let (left, width) = (LeftoverKind::Piece(piece), Some(edge.width));
                row(left, Length::ZERO, is_kept, "edge", length, width);
            }
            let piece = PieceKind::Stretch(idx);
            if let Some(uncut) = uncut(job, board, idx)
                && !is_used(piece)
            {
                let is_kept = is_kept(job, uncut.clear);
                let left = LeftoverKind::Piece(piece);
                row(
                    left,
                    uncut.from,
                    is_kept,
                    "stretch",
                    uncut.between_trims,
                    of.width,
                );
            }
        }
    }
    rows.into_text()
}

/// The rip list: a row for each board at each setting of the fence, widest strips first.
pub fn rip_list_csv(plan: &Plan, summary: &Summary) -> String {
    let job = &plan.job;
    let mut rows = Rows::new(
        &job.display,
        &[
            "strips",
            "mark",
            "board",
            "board-number",
            "pattern",
            "mouldings",
            "fence@",
            "board-width@",
            "board-length@",
            "left-at-edge@",
        ],
    );
    let marks = plan.marks();
    for fence in &summary.fences {
        for &RippedStick {
            board: at,
            stretch,
            n_strips,
        } in &fence.boards
        {
            let board = &plan.boards[at];
            let of = &job.boards[board.board_idx];
            let on = &board.stretches[stretch];
            let room = job
                .shop
                .rip
                .zip(of.width)
                .map(|(rip, width)| rip.room(width));
            // What lies behind the last strip; what lies before it and between is in the table of offcuts.
            let at_edge = on
                .beside
                .last()
                .filter(|edge| Some(edge.from_edge + edge.width) == room);
            let mut mouldings: Vec<&str> = board
                .strips_of(stretch)
                .filter(|strip| strip.width == Some(fence.width))
                .map(|strip| moulding_name(job, strip.moulding_idx))
                .collect();
            mouldings.dedup();
            rows.row(vec![
                number(n_strips),
                stick_mark(&marks, board, at, stretch).into(),
                of.name.as_str().into(),
                number(board.number),
                number(board.pattern),
                mouldings.join("; ").into(),
                length(fence.width),
                length(of.width),
                length(on.to - on.from),
                length(at_edge.map_or(Length::ZERO, |edge| edge.width)),
            ]);
        }
    }
    rows.into_text()
}

/// The resaw list: a row for each board that is resawn, thickest slices first.
pub fn resaw_list_csv(plan: &Plan, summary: &Summary) -> String {
    let job = &plan.job;
    let mut rows = Rows::new(
        &job.display,
        &[
            "slices",
            "mark",
            "board",
            "board-number",
            "pattern",
            "fence@",
            "planed-to@",
            "board-thickness@",
            "board-width@",
            "board-length@",
        ],
    );
    let marks = plan.marks();
    for resawing in &summary.resaws {
        for &(at, n_slices) in &resawing.boards {
            let board = &plan.boards[at];
            let of = &job.boards[board.board_idx];
            rows.row(vec![
                number(n_slices),
                marks.chalked(at).to_string().into(),
                of.name.as_str().into(),
                number(board.number),
                number(board.pattern),
                length(resawing.set_to),
                length(resawing.thickness),
                length(of.thickness),
                length(of.width),
                length(of.length),
            ]);
        }
    }
    rows.into_text()
}

/// The wood in hand that the plan leaves while it buys boards or lacks some, board by board, and why.
pub fn not_used_csv(plan: &Plan) -> String {
    let job = &plan.job;
    let mut rows = Rows::new(
        &job.display,
        &[
            "board",
            "left",
            "material",
            "length@",
            "width@",
            "thickness@",
            "milled-to",
            "why",
            "needed@",
        ],
    );
    for Unused {
        board_idx,
        count,
        why,
    } in unused(plan)
    {
        let board = &job.boards[board_idx];
        let (word, needed) = match why {
            WhyUnused::Kept => ("left-on-purpose", None),
            WhyUnused::OtherWood => ("other-wood", None),
            WhyUnused::Milled => ("milled-otherwise", None),
            WhyUnused::TooThin => ("too-thin", None),
            WhyUnused::TooThick => ("too-thick", None),
            WhyUnused::TooNarrow => ("too-narrow", None),
            WhyUnused::BetweenWidths => ("between-widths", None),
            WhyUnused::OtherBoards => ("other-boards-chosen", None),
            WhyUnused::TooShort { needed } => ("too-short", Some(needed)),
            WhyUnused::SavesNothing => ("saves-nothing", None),
            WhyUnused::NoUseFound => ("no-use-found", None),
        };
        rows.row(vec![
            board.name.as_str().into(),
            number(count),
            board.material.as_deref().unwrap_or_default().into(),
            length(board.length),
            length(board.width),
            length(board.thickness),
            board.milled_to().unwrap_or_default().into(),
            word.into(),
            length(needed),
        ]);
    }
    rows.into_text()
}

/// Parts for which there was no wood.
pub fn missing_csv(job: &Job, missing: impl IntoIterator<Item = Part>) -> String {
    let mut rows = Rows::new(
        &job.display,
        &[
            "part", "kind", "frame", "piece", "copy", "side", "moulding", "length@",
        ],
    );
    for part in missing {
        let moulding_idx = match part {
            Part::Rail { frame_idx, .. } => Some(job.frames[frame_idx].moulding_idx),
            Part::Loose { piece_idx, .. } => job.pieces[piece_idx].moulding_idx,
        };
        let mut cells = vec![part_label(job, part).into()];
        cells.extend(naming_cells(job, part));
        cells.extend([
            moulding_name(job, moulding_idx).into(),
            length(part_sizes(job, part).0),
        ]);
        rows.row(cells);
    }
    rows.into_text()
}
