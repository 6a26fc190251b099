//! Tables of a plan.

use crate::frame::{Miter, side_name};
use crate::job::{Job, Purpose};
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Part, Plan, gaps, is_edge_kept, is_kept, part_label, part_side};
use crate::report::figures::{board_feet, degrees};
use crate::report::naming::part_sizes;
use crate::stock::BoardFeet;
use crate::tally::{Summary, Unused, WhyUnused, unused};

use super::rows::{Cell, Rows, length, number};

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

/// The shopping list: one row for each kind of board, with the board feet of all of that kind.
///
/// # Panics
/// If `summary` is not of a plan of `job`.
pub fn boards_csv(job: &Job, summary: &Summary) -> String {
    let mut rows = Rows::new(
        job.display.unit,
        &[
            "board",
            "take",
            "material",
            "length@",
            "width@",
            "thickness@",
            "price-each",
            "price-all",
            "currency",
            "board-feet",
            "board-feet-by-surface-measure",
            "from-rack",
        ],
    );
    let amount = |money: Option<Money>| -> Cell {
        money
            .map_or_else(String::new, |money| {
                job.display.currency.format_amount(money)
            })
            .into()
    };
    let feet =
        |feet: Option<BoardFeet>| -> Cell { feet.map_or_else(String::new, board_feet).into() };
    for line in &summary.taken {
        let board = &job.boards[line.board_idx];
        rows.row(vec![
            board.name.as_str().into(),
            number(line.count),
            board.material.as_deref().unwrap_or_default().into(),
            length(board.length),
            length(board.width),
            length(board.thickness),
            amount(line.price_each),
            amount(line.price()),
            job.display.currency.code.as_str().into(),
            feet(line.board_feet.map(|feet| feet.exact)),
            feet(line.board_feet.map(|feet| feet.by_surface_measure)),
            if board.in_hand.is_some() { "yes" } else { "no" }.into(),
        ]);
    }
    rows.into_text()
}

/// Every rail, frame by frame, with its board; the board of a missing one is empty.
pub fn rails_csv(plan: &Plan) -> String {
    let job = &plan.job;
    let mut rows = Rows::new(
        job.display.unit,
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
    let mut placed: Vec<(Part, Option<[usize; 3]>)> = plan
        .boards
        .iter()
        .enumerate()
        .flat_map(|(at, board)| {
            let strips = board.strips.iter().enumerate();
            strips.flat_map(move |(strip_idx, strip)| {
                let cuts = strip.cuts.iter().enumerate();
                cuts.map(move |(cut_idx, cut)| (cut.part, Some([at, strip_idx, cut_idx])))
            })
        })
        .chain(plan.missing.iter().map(|&part| (part, None)))
        .collect();
    placed.sort_unstable();
    let marks = plan.marks();
    for (part, place) in placed {
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
        let [mark, board, board_number, pattern, strip, cut] = match place {
            Some([at, strip_idx, cut_idx]) => {
                let board = &plan.boards[at];
                [
                    marks.strip(at, strip_idx).to_string().into(),
                    job.boards[board.board_idx].name.as_str().into(),
                    number(board.number),
                    number(board.pattern),
                    number(from_one(strip_idx)),
                    number(from_one(cut_idx)),
                ]
            }
            None => ["", "", "", "", "", ""].map(Cell::from),
        };
        rows.row(vec![
            frame.name.as_str().into(),
            number(copy),
            side_name(frame.art, side).into(),
            moulding_name(job, Some(frame.moulding_idx)).into(),
            degrees(frame.art.miter(), 3).into(),
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

/// What is left of every strip, and beside the strips of every ripped board, kept or not.
pub fn offcuts_csv(plan: &Plan) -> String {
    let job = &plan.job;
    let mut rows = Rows::new(
        job.display.unit,
        &[
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
    for board in &plan.boards {
        let of = &job.boards[board.board_idx];
        let mut row = |moulding: &str, is_kept: bool, kind: &str, left: Length, width| {
            rows.row(vec![
                of.name.as_str().into(),
                number(board.number),
                moulding.into(),
                of.material.as_deref().unwrap_or_default().into(),
                if is_kept { "yes" } else { "no" }.into(),
                kind.into(),
                length(left),
                length(width),
            ]);
        };
        for (strip_idx, strip) in board.strips.iter().enumerate() {
            for gap in gaps(job, board, strip_idx) {
                let moulding = moulding_name(job, strip.moulding_idx);
                let is_kept = is_kept(job, gap.clear);
                let kind = if gap.is_last { "end" } else { "between" };
                row(moulding, is_kept, kind, gap.between_trims, strip.width);
            }
        }
        if board.edge_left > Length::ZERO {
            let is_kept = is_edge_kept(job, board);
            row("", is_kept, "edge", of.length, Some(board.edge_left));
        }
    }
    rows.into_text()
}

/// The rip list: a row for each board at each setting of the fence, widest strips first.
pub fn rip_list_csv(plan: &Plan, summary: &Summary) -> String {
    let job = &plan.job;
    let mut rows = Rows::new(
        job.display.unit,
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
        for &(at, n_strips) in &fence.boards {
            let board = &plan.boards[at];
            let of = &job.boards[board.board_idx];
            let mut mouldings: Vec<&str> = board
                .strips
                .iter()
                .filter(|strip| strip.width == Some(fence.width))
                .map(|strip| moulding_name(job, strip.moulding_idx))
                .collect();
            mouldings.dedup();
            rows.row(vec![
                number(n_strips),
                marks.chalked(at).to_string().into(),
                of.name.as_str().into(),
                number(board.number),
                number(board.pattern),
                mouldings.join("; ").into(),
                length(fence.width),
                length(of.width),
                length(of.length),
                length(board.edge_left),
            ]);
        }
    }
    rows.into_text()
}

/// The wood in hand that the plan leaves while it buys boards or lacks some, board by board, and why.
pub fn not_used_csv(plan: &Plan) -> String {
    let job = &plan.job;
    let mut rows = Rows::new(
        job.display.unit,
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
        job.display.unit,
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
