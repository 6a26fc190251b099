//! The boards to take, and what becomes of them.

use std::cmp::Ordering;

use crate::frame::Outline;
use crate::job::{Job, Piece};
use crate::length::Length;
use crate::plan::Gathered;
use crate::plan::Plan;
use crate::report::figures::{board_feet, count_of, per_mille_down, per_mille_of_face, percent};
use crate::report::ink::Tone;
use crate::report::layout::{fit, one_line, tie};
use crate::report::table::{Align, Table};
use crate::stock::Price;
use crate::tally::{Face, Kept, KeptKind, Lumber, Summary, Taken};

use super::page::Page;
use super::rack::{in_hand_words, where_it_lies, write_rack};
use super::spare;

pub(super) fn write(page: &mut Page<'_>, plan: &Plan, summary: &Summary) {
    let job = &plan.job;
    if summary.n_boards > 0 {
        write_taken(page, job, summary);
        write_wood(page, plan, summary);
    }
    if let Some(rack) = &summary.rack {
        write_rack(page, rack);
    }
    write_by_eye(page, plan, summary);
}

/// The boards to take, and no more.
pub(super) fn write_new(page: &mut Page<'_>, job: &Job, summary: &Summary) {
    if summary.n_boards > 0 {
        write_taken(page, job, summary);
    }
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
    let ripped = !summary.fences.is_empty();
    let mut table = Table::new()
        .column("take", Align::Right, Tone::Strong)
        .column("board", Align::Name, Tone::Strong)
        .column(
            if ripped { "strips for" } else { "for" },
            Align::Prose,
            Tone::Plain,
        )
        .column("wood", Align::Name, Tone::Plain)
        .column("length", Align::Figure, Tone::Plain);
    if ripped {
        table = table.column("width", Align::Figure, Tone::Plain);
    }
    table = table.column("each", Align::Right, Tone::Plain).column(
        &total_head,
        Align::Right,
        Tone::Plain,
    );
    let amount =
        |money: Option<_>| money.map_or_else(String::new, |money| page.figures.amount(money));
    for line in &summary.taken {
        let board = &job.boards[line.board_idx];
        let mut cells = vec![
            line.count.to_string(),
            one_line(&board.name),
            uses(job, line, ripped),
            board.material.as_deref().map_or_else(String::new, one_line),
            page.figures.there(board.length),
        ];
        if ripped {
            let width = board.width.map(|width| page.figures.there(width));
            cells.push(width.unwrap_or_default());
        }
        cells.extend([amount(line.price_each), amount(line.price())]);
        table.row(cells);
        if let Some(in_hand) = &board.in_hand {
            table.note(Tone::Faint, where_it_lies(board, in_hand));
        }
    }
    let sum = |count: u64, what: &str, money| {
        let mut cells = vec![count.to_string(), what.to_owned()];
        cells.resize(if ripped { 7 } else { 6 }, String::new());
        cells.push(amount(money));
        cells
    };
    let in_all = sum(summary.n_boards, "in all", summary.price);
    match summary.rack.filter(|rack| rack.taken.count > 0) {
        Some(rack) => {
            let n_bought = summary.n_boards - rack.taken.count;
            let worth = summary.price.map(|_| rack.taken.worth);
            table.total(sum(n_bought, "to buy", summary.bought));
            table.row(sum(rack.taken.count, in_hand_words(job), worth));
            table.row(in_all);
        }
        None if summary.taken.len() > 1 => table.total(in_all),
        None => {}
    }
    page.table(2, &table);
}

/// What boards of a kind are taken for, with the number of strips where they are ripped, or for more than one use.
fn uses(job: &Job, line: &Taken, ripped: bool) -> String {
    match &line.uses[..] {
        [(only, _)] if !ripped => made_into(job, *only),
        uses => uses
            .iter()
            .map(|&(moulding_idx, count)| tie(&format!("{count} {}", made_into(job, moulding_idx))))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

fn write_wood(page: &mut Page<'_>, plan: &Plan, summary: &Summary) {
    let job = &plan.job;
    page.heading("What becomes of the wood");
    match summary.face {
        Some(face) => write_face(page, job, summary, face),
        None => write_lengths(page, job, summary),
    }
    if let Some(lumber) = summary.lumber.filter(|_| counts_board_feet(job, summary)) {
        page.space();
        write_board_feet(page, lumber);
    }
    write_kept(page, job, summary);
    spare::write(page, plan);
    write_gathered(page, job, summary);
}

/// How many offcuts are kept, in words.
fn kept_note(page: &Page<'_>, job: &Job, summary: &Summary) -> String {
    let shortest = page.figures.exact(job.shop.shortest_offcut);
    if summary.kept.is_empty() {
        "none long enough to keep".to_owned()
    } else {
        let pieces: u64 = summary.kept.iter().map(Kept::count).sum();
        format!("{} of {shortest} or more", count_of(pieces, "offcut"))
    }
}

/// Whether any board taken has a defect.
fn has_defects(job: &Job, summary: &Summary) -> bool {
    let mut taken = summary.taken.iter();
    taken.any(|line| !job.boards[line.board_idx].defects.is_empty())
}

/// What the length of the parts is, in words.
fn long_points(page: &Page<'_>, summary: &Summary) -> String {
    if summary.n_shared_cuts == 0 {
        return "long points".to_owned();
    }
    format!(
        "long points, less {} by {}",
        page.figures.total(summary.saved_by_sharing),
        count_of(summary.n_shared_cuts, "shared cut")
    )
}

/// By length: strip and board are the same.
fn write_lengths(page: &mut Page<'_>, job: &Job, summary: &Summary) {
    let wood = &summary.wood;
    let shortest = page.figures.exact(job.shop.shortest_offcut);
    let used = per_mille_down(wood.parts, wood.boards);
    let kept = per_mille_down(wood.kept, wood.boards);
    let kept_note = kept_note(page, job, summary);
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
        long_points(page, summary),
    );
    row("back to the rack", wood.kept, percent(kept), kept_note);
    row(
        "lost",
        wood.short_ends + wood.kerf_and_trim,
        percent(1000 - used - kept),
        format!(
            "ends under {shortest} {}, {} {}",
            page.figures.total(wood.short_ends),
            if has_defects(job, summary) {
                "kerf, trims and defects"
            } else {
                "kerf and trims"
            },
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
}

/// By face: boards are ripped, so lengths alone do not tell.
fn write_face(page: &mut Page<'_>, job: &Job, summary: &Summary, face: Face) {
    let figures = &page.figures;
    let used = per_mille_of_face(face.parts_nm2, face.boards_nm2);
    let kept = per_mille_of_face(face.kept_nm2, face.boards_nm2);
    let mut table = Table::new()
        .column("", Align::Left, Tone::Plain)
        .column("", Align::Right, Tone::Plain)
        .column("", Align::Right, Tone::Strong)
        .column("", Align::Prose, Tone::Faint);
    let lost = format!(
        "ends and edges too small to keep {}, straightening, kerfs{} {}",
        figures.face(face.scrap_nm2),
        if has_defects(job, summary) {
            ", trims and defects"
        } else {
            " and trims"
        },
        figures.face(face.sawn_nm2)
    );
    for (name, face_nm2, share, note) in [
        (
            "in the parts",
            face.parts_nm2,
            percent(used),
            "long points by width of strip".to_owned(),
        ),
        (
            "back to the rack",
            face.kept_nm2,
            percent(kept),
            kept_note(page, job, summary),
        ),
        (
            "lost",
            face.scrap_nm2 + face.sawn_nm2,
            percent(1000 - used - kept),
            lost,
        ),
        (
            "all boards",
            face.boards_nm2,
            String::new(),
            "length by width, as measured".to_owned(),
        ),
    ] {
        table.row(vec![name.to_owned(), figures.face(face_nm2), share, note]);
    }
    page.table(2, &table);
}

/// Whether board feet are of interest: boards are ripped, or bought by them.
fn counts_board_feet(job: &Job, summary: &Summary) -> bool {
    let by_board_foot = |line: &Taken| {
        matches!(
            job.boards[line.board_idx].price,
            Some(Price::PerBoardFoot { .. })
        )
    };
    !summary.fences.is_empty() || summary.taken.iter().any(by_board_foot)
}

fn write_board_feet(page: &mut Page<'_>, lumber: Lumber) {
    let mut table = Table::new()
        .column("board feet", Align::Left, Tone::Plain)
        .column("exact", Align::Right, Tone::Plain)
        .column("by surface measure", Align::Right, Tone::Plain)
        .column("", Align::Prose, Tone::Faint);
    for (name, both, note) in [
        (
            "as bought",
            lumber.bought,
            "boards, by the sizes they are sold by",
        ),
        ("as used", lumber.used, "the parts cut from each of them"),
    ] {
        table.row(vec![
            name.to_owned(),
            board_feet(both.exact),
            board_feet(both.by_surface_measure),
            note.to_owned(),
        ]);
    }
    page.table(2, &table);
    page.space();
    page.prose(
        2,
        Tone::Faint,
        "Surface measure is the face of each board in whole square feet, times its thickness. Stock under 1 inch \
         counts as 1 inch.",
    );
}

/// What is known of the wood that is left.
fn write_gathered(page: &mut Page<'_>, job: &Job, summary: &Summary) {
    let aim = match job.shop.long_offcuts {
        0 => "less board, nor leaves longer offcuts of as much",
        _ => "better by the weight that `long-offcuts` gives",
    };
    let text = match summary.aside.gathered {
        // A single offcut of a single board is what it is.
        _ if summary.n_boards < 2 && summary.fences.is_empty() => return,
        Some(Gathered::Best) if job.shop.long_offcuts == 0 => {
            format!("No plan of this cost takes {aim}: all were tried.")
        }
        Some(Gathered::Best) => format!("No plan of this cost is {aim}: all were tried."),
        Some(Gathered::Unproved) => {
            let between = if summary.fences.is_empty() {
                "boards"
            } else {
                "strips"
            };
            format!(
                "Parts were exchanged between {between} to leave longer offcuts for the same cost; that they are the \
                 longest is not proved."
            )
        }
        Some(Gathered::ForColor) => {
            "Parts changed boards so that frames match in color; other plans of this cost may leave longer offcuts."
                .to_owned()
        }
        None => return,
    };
    page.space();
    page.prose(2, Tone::Faint, &text);
}

/// The offcuts that go back on the rack.
fn write_kept(page: &mut Page<'_>, job: &Job, summary: &Summary) {
    if summary.kept.is_empty() {
        return;
    }
    page.space();
    let ripped = !summary.fences.is_empty();
    let mut table = Table::new()
        .column("keep", Align::Right, Tone::Good)
        .column("offcut", Align::Figure, Tone::Strong);
    if ripped {
        table = table.column("width", Align::Figure, Tone::Plain);
    }
    table = table
        .column("from", Align::Name, Tone::Plain)
        .column("for", Align::Name, Tone::Plain)
        .column("name", Align::Prose, Tone::Plain);
    for kept in &summary.kept {
        let mut cells = vec![kept.count().to_string(), page.figures.there(kept.length)];
        if ripped {
            let width = kept.width.map(|width| page.figures.there(width));
            cells.push(width.unwrap_or_default());
        }
        cells.extend([
            one_line(&job.boards[kept.board_idx].name),
            match kept.kind {
                KeptKind::End(moulding_idx) => made_into(job, moulding_idx),
                KeptKind::Edge => "edge, not ripped".to_owned(),
            },
            names_together(&kept.names),
        ]);
        table.row(cells);
    }
    page.table(2, &table);
    if job.shop.end_trim > Length::ZERO {
        page.space();
        let trim = page.figures.exact(job.shop.end_trim);
        let text = format!(
            "Write the name on each. The end of a board is longer by the trim of {trim} that is still on it; `rack.csv` \
             has it so."
        );
        page.prose(2, Tone::Faint, &text);
    }
}

/// `offcut 3`, or the first and the last of several, which are numbered on.
fn names_together(names: &[String]) -> String {
    match names {
        [first, .., last] => {
            let number = last.rsplit(' ').next().unwrap_or_default();
            tie(&format!("{first} to {number}"))
        }
        [only] => tie(only),
        [] => String::new(),
    }
}

fn write_by_eye(page: &mut Page<'_>, plan: &Plan, summary: &Summary) {
    let job = &plan.job;
    if summary.by_eye.is_empty() {
        return;
    }
    page.heading("Beside buying by eye");
    let ripped = !summary.fences.is_empty();
    let mut table = Table::new()
        .column("moulding", Align::Name, Tone::Plain)
        .column("frames", Align::Right, Tone::Plain)
        .column("rails alone", Align::Right, Tone::Plain)
        .column("by eye", Align::Right, Tone::Plain)
        .column(
            if ripped { "strips here" } else { "boards here" },
            Align::Right,
            Tone::Strong,
        )
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
    let stock = if ripped { "strips" } else { "boards" };
    let mut explained = format!(
        "By eye: 2 {times} (art width + 2 faces) + 2 {times} (art height + 2 faces) + {} for each frame. It knows no \
         mat, kerf or trim, nor that {stock} come in whole lengths; the {stock} here cover them all. To the nearest {}.",
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
    let is_cut_from_moulding = |piece: &Piece| piece.moulding_idx.is_some() && !piece.is_left();
    if job.pieces.iter().any(is_cut_from_moulding) {
        explained.push_str(" They also carry the loose pieces of the moulding.");
    }
    if !plan.missing.is_empty() {
        explained.push_str(" Parts are missing from the plan, so its ");
        explained.push_str(stock);
        explained.push_str(" are too few to compare.");
    }
    page.prose(2, Tone::Faint, &explained);
}
