//! The boards to take, and what becomes of them.

use std::collections::BTreeMap;

use crate::job::Job;
use crate::length::Length;
use crate::plan::{ChalkMarks, Gathered, Plan};
use crate::report::document::{
    Document, Inline, Kind, Table, Text, Tone, amount, count_of, exact, in_currency, name, say,
    there, there_with_unit, together, total,
};
use crate::report::figures::shares;
use crate::report::naming::{board_name, marks_together, order_note, stick_mark, sticks_together};
use crate::stations::planed_edges;
use crate::stock::Price;
use crate::tally::{Face, Kept, KeptKind, Lumber, Summary, Taken};

use super::rack::{in_hand_words, where_it_lies, write_rack};
use super::spare;

pub(super) fn write(doc: &mut Document, summary: &Summary<'_>) {
    write_taken(doc, summary);
    // On a later sheet most of what is in hand lies at the bench, and what is cut already would count as lost: what all sheets
    // leave, and what becomes of all wood, is told by the sheet of the rest.
    let is_later = summary.plan.job.is_later_sheet();
    if summary.n_boards > 0 && is_later {
        write_left(doc, summary);
    } else if summary.n_boards > 0 {
        write_wood(doc, summary);
    }
    if let Some(rack) = summary.rack.as_ref().filter(|_| !is_later) {
        write_rack(doc, summary.plan, rack);
    }
}

/// What a board is taken for: its moulding, or pieces that are not milled.
pub(super) fn made_into(job: &Job, moulding_idx: Option<usize>) -> Text {
    moulding_idx.map_or_else(
        || "loose pieces".into(),
        |idx| name(&job.mouldings[idx].name),
    )
}

/// The boards to take; nothing where none is.
pub(super) fn write_taken(doc: &mut Document, summary: &Summary<'_>) {
    if summary.n_boards == 0 {
        return;
    }
    let job = &summary.plan.job;
    doc.heading("boards", "Boards to take");
    let ripped = !summary.fences.is_empty();
    let mut table = Table::new()
        .column("take", Kind::Number, Tone::Strong)
        .column("board", Kind::Name, Tone::Strong)
        .column("mark", Kind::Prose, Tone::Strong)
        .column("for", Kind::Prose, Tone::Plain)
        .column("wood", Kind::Name, Tone::Plain)
        .column("length", Kind::Length, Tone::Plain)
        .column("width", Kind::Length, Tone::Plain)
        .column("each", Kind::Number, Tone::Plain)
        .column(in_currency(job, "all"), Kind::Number, Tone::Plain);
    let marks = summary.plan.marks();
    for line in &summary.taken {
        let board = &job.boards[line.board_idx];
        let of_line = summary.plan.boards.iter().enumerate();
        let of_line = of_line.filter(|(_, taken)| taken.board_idx == line.board_idx);
        table.row(vec![
            line.count.into(),
            board_name(job, line.board_idx),
            marks_together(&marks, of_line.map(|(at, _)| at)),
            uses(job, line, ripped),
            board.material.as_deref().map(name).into(),
            there(board.lying_length()),
            board.width.filter(|_| ripped).map(there).into(),
            line.price_each.map(amount).into(),
            line.price().map(amount).into(),
        ]);
        if let Some(order) = order_note(job, line) {
            table.note(Tone::Watch, order);
        }
        for (planed, marks) in planed_off_line(summary.plan, line.board_idx, &marks) {
            let text = say!(
                "{}: plane {} off the edge, for it is {} wide",
                marks,
                exact(planed),
                board.width.map(there_with_unit)
            );
            table.note(Tone::Watch, text);
        }
        if let Some(in_hand) = board.in_hand.as_ref().filter(|in_hand| !in_hand.is_bought) {
            table.note(Tone::Faint, where_it_lies(board, in_hand));
        }
    }
    let sum = |count: u64, what: &str, money: Option<_>| {
        let mut cells = vec![count.into(), what.into()];
        cells.resize(8, Text::default());
        cells.push(money.map(amount).into());
        cells
    };
    let in_all = sum(summary.n_boards, "in all", summary.price);
    let is_on_sale = job.buying.purchase.is_none();
    match summary
        .rack
        .filter(|rack| rack.taken.count > 0 && is_on_sale)
    {
        Some(rack) => {
            let n_bought = summary.n_boards - rack.taken.count;
            let worth = summary.price.map(|_| rack.taken.worth);
            table.total(sum(n_bought, "to buy", summary.bought));
            let words = in_hand_words(job, rack.taken.count);
            table.row(sum(rack.taken.count, words, worth));
            table.row(in_all);
        }
        None if summary.taken.len() > 1 => table.total(in_all),
        None => {}
    }
    doc.table(table);
}

/// How much is planed off the edges of boards of a line, with the marks of those from which it is.
fn planed_off_line(plan: &Plan, board_idx: usize, marks: &ChalkMarks<'_>) -> Vec<(Length, Text)> {
    let mut by_width: BTreeMap<Length, (Vec<usize>, Vec<Text>)> = BTreeMap::new();
    for edge in planed_edges(plan) {
        let planned = &plan.boards[edge.board];
        if planned.board_idx != board_idx {
            continue;
        }
        let (whole, parted) = by_width.entry(edge.width).or_default();
        if planned.is_parted() {
            let mark = stick_mark(marks, planned, edge.board, edge.stretch);
            parted.push(together(mark));
        } else {
            whole.push(edge.board);
        }
    }
    let named = |(whole, parted): (Vec<usize>, Vec<Text>)| {
        let whole = (!whole.is_empty()).then(|| marks_together(marks, whole));
        Text::join(whole.into_iter().chain(parted), ", ")
    };
    by_width
        .into_iter()
        .map(|(planed, sticks)| (planed, named(sticks)))
        .collect()
}

/// What boards of a kind are taken for, with the number of strips where they are ripped, or for more than one use.
fn uses(job: &Job, line: &Taken, ripped: bool) -> Text {
    match &line.uses[..] {
        [(only, _)] if !ripped => made_into(job, *only),
        uses => {
            let uses = uses.iter();
            Text::join(
                uses.map(|&(idx, count)| {
                    let count = (count > 1).then(|| say!(" ×{}", count));
                    together(say!("{}{}", made_into(job, idx), count))
                }),
                ", ",
            )
        }
    }
}

fn write_wood(doc: &mut Document, summary: &Summary<'_>) {
    doc.heading("wood", "What becomes of the wood");
    doc.table(match summary.face {
        Some(face) => face_table(summary, face),
        None => length_table(summary),
    });
    if let Some(lumber) = summary.lumber.filter(|_| counts_board_feet(summary)) {
        write_board_feet(doc, lumber);
    }
    write_offcuts(doc, summary);
}

/// What a later sheet leaves of its boards, if it leaves something.
fn write_left(doc: &mut Document, summary: &Summary<'_>) {
    doc.heading("wood", "What is left of the wood");
    let n_blocks = doc.blocks.len();
    write_offcuts(doc, summary);
    if doc.blocks.len() == n_blocks {
        doc.blocks.pop();
    }
}

/// Which offcuts are kept, which are spare, and how far the plan was bettered for longer ones.
fn write_offcuts(doc: &mut Document, summary: &Summary<'_>) {
    write_kept(doc, summary);
    spare::write(doc, summary.plan);
    if let Some(text) = gathered(summary) {
        doc.line(Tone::Faint, text);
    }
}

/// How many offcuts are kept, in words.
fn kept_note(summary: &Summary<'_>) -> Text {
    if summary.kept.is_empty() {
        return "none long enough to keep".into();
    }
    say!(
        "{} of {} or more",
        count_of(summary.kept.iter().map(Kept::count).sum(), "offcut"),
        exact(summary.plan.job.shop.shortest_offcut)
    )
}

/// Whether any board taken has a defect.
fn has_defects(summary: &Summary<'_>) -> bool {
    let mut taken = summary.taken.iter();
    taken.any(|line| !summary.plan.job.boards[line.board_idx].defects.is_empty())
}

/// What the length of the parts is, in words.
fn long_points(summary: &Summary<'_>) -> Text {
    if summary.n_shared_cuts == 0 {
        return "long points".into();
    }
    say!(
        "long points, less {} by {}",
        total(summary.saved_by_sharing),
        count_of(summary.n_shared_cuts, "shared cut")
    )
}

/// What goes where: amount, share in tenths of a percent, and what it is.
fn use_table<T: Copy>(rows: [(&str, T, Option<i64>, Text); 4], shown: impl Fn(T) -> Text) -> Table {
    let mut table = Table::new()
        .column("", Kind::Words, Tone::Plain)
        .column("", Kind::Number, Tone::Plain)
        .column("", Kind::Number, Tone::Strong)
        .column("", Kind::Prose, Tone::Faint);
    for (words, size, share, note) in rows {
        let share = share.map(Inline::PerMille);
        table.row(vec![words.into(), shown(size), share.into(), note]);
    }
    table
}

/// By length: strip and board are the same.
fn length_table(summary: &Summary<'_>) -> Table {
    let wood = &summary.wood;
    let [used, kept, gone] = shares(wood.uses());
    let lost = say!(
        "ends under {}: {}; {}: {}",
        exact(summary.plan.job.shop.shortest_offcut),
        total(wood.short_ends),
        if has_defects(summary) {
            "kerf, trims and defects"
        } else {
            "kerf and trims"
        },
        total(wood.kerf_and_trim)
    );
    let lost_length = wood.short_ends + wood.kerf_and_trim;
    use_table(
        [
            ("in the parts", wood.parts, Some(used), long_points(summary)),
            (
                "back to the rack",
                wood.kept,
                Some(kept),
                kept_note(summary),
            ),
            ("lost", lost_length, Some(gone), lost),
            ("all boards", wood.boards, None, "end to end".into()),
        ],
        total,
    )
}

/// By face: boards are ripped, so lengths alone do not tell.
fn face_table(summary: &Summary<'_>, face: Face) -> Table {
    let [used, kept, gone] = shares(face.uses());
    let lost = say!(
        "ends and edges too small to keep: {}; straightening, kerfs{}: {}",
        Inline::Face(face.scrap_nm2),
        if has_defects(summary) {
            ", trims and defects"
        } else {
            " and trims"
        },
        Inline::Face(face.sawn_nm2)
    );
    let in_parts = "long points by width of strip".into();
    let any_resawn = !summary.resaws.is_empty();
    let in_all = if any_resawn {
        "length by width, as measured; each slice by itself"
    } else {
        "length by width, as measured"
    }
    .into();
    let lost_nm2 = face.scrap_nm2 + face.sawn_nm2;
    use_table(
        [
            ("in the parts", face.parts_nm2, Some(used), in_parts),
            (
                "back to the rack",
                face.kept_nm2,
                Some(kept),
                kept_note(summary),
            ),
            ("lost", lost_nm2, Some(gone), lost),
            ("all boards", face.boards_nm2, None, in_all),
        ],
        |face_nm2| Inline::Face(face_nm2).into(),
    )
}

/// Whether board feet are of interest: boards are bought by them, or ripped in a job in inches.
fn counts_board_feet(summary: &Summary<'_>) -> bool {
    let by_board_foot = |line: &Taken| {
        matches!(
            summary.plan.job.boards[line.board_idx].price,
            Some(Price::PerBoardFoot { .. })
        )
    };
    let is_ripped = !summary.fences.is_empty();
    is_ripped && summary.plan.job.display.unit.is_imperial()
        || summary.taken.iter().any(by_board_foot)
}

fn write_board_feet(doc: &mut Document, lumber: Lumber) {
    let mut table = Table::new()
        .column("board feet", Kind::Words, Tone::Plain)
        .column("exact", Kind::Number, Tone::Plain)
        .column("by surface measure", Kind::Number, Tone::Plain)
        .column("", Kind::Prose, Tone::Faint);
    for (words, both, note) in [
        (
            "as bought",
            lumber.bought,
            "boards, by the sizes they are sold by",
        ),
        ("as used", lumber.used, "the parts cut from each of them"),
    ] {
        table.row(vec![
            words.into(),
            Inline::BoardFeet(both.exact).into(),
            Inline::BoardFeet(both.by_surface_measure).into(),
            note.into(),
        ]);
    }
    doc.table(table);
    doc.line(
        Tone::Faint,
        "Surface measure is the face of each board in whole square feet, times its thickness. Stock under 1 inch \
         counts as 1 inch.",
    );
}

/// What is known of the wood that is left.
fn gathered(summary: &Summary<'_>) -> Option<Text> {
    let is_weighed = summary.plan.job.shop.long_offcuts > 0;
    let none_left = summary.kept.is_empty();
    Some(match summary.aside.gathered? {
        // A single offcut of a single board is what it is.
        _ if summary.n_boards < 2 && summary.fences.is_empty() => return None,
        Gathered::Best if is_weighed => {
            "No plan of the same cost is better by the weight that `long-offcuts` gives: all were tried.".into()
        }
        Gathered::Best if summary.plan.job.shop.in_hand.first => {
            "Of all plans that buy for as little, none takes wood in hand of less worth, and of those none buys less board or \
             leaves longer offcuts for it: all were tried.".into()
        }
        Gathered::Best if summary.rack.is_some() => {
            "Of all plans with this cost, none buys less board, and of those that buy as little none leaves longer offcuts: \
             all were tried.".into()
        }
        Gathered::Best => {
            "Of all plans with this cost, none takes less board, and of those that take as little none leaves longer \
             offcuts: all were tried.".into()
        }
        // Moved for nothing that is long enough to keep.
        Gathered::Unproved if none_left => return None,
        Gathered::Unproved => say!(
            "Parts were moved between {} to leave longer offcuts for the same cost; longer ones may be possible.",
            if summary.fences.is_empty() {
                "boards"
            } else {
                "strips"
            }
        ),
        Gathered::ForColor => {
            "Parts were moved between boards so that frames match in color; other plans of the same cost may leave longer \
             offcuts."
                .into()
        }
    })
}

/// The offcuts that go back on the rack.
fn write_kept(doc: &mut Document, summary: &Summary<'_>) {
    if summary.kept.is_empty() {
        return;
    }
    let job = &summary.plan.job;
    let ripped = !summary.fences.is_empty();
    let mut table = Table::new()
        .column("keep", Kind::Number, Tone::Good)
        .column("offcut", Kind::Length, Tone::Strong)
        .column("clear", Kind::Length, Tone::Strong)
        .column("width", Kind::Length, Tone::Plain)
        .column("from", Kind::Prose, Tone::Strong)
        .column("board", Kind::Name, Tone::Plain)
        .column("for", Kind::Name, Tone::Plain)
        .column("name", Kind::Prose, Tone::Plain);
    for kept in &summary.kept {
        table.row(vec![
            kept.count().into(),
            there(kept.length),
            (kept.clear < kept.length).then(|| there(kept.clear)).into(),
            kept.width.filter(|_| ripped).map(there).into(),
            sticks_together(summary.plan, &kept.left_of),
            board_name(job, kept.board_idx),
            match kept.kind {
                KeptKind::End(moulding_idx) => made_into(job, moulding_idx),
                KeptKind::Edge if kept.is_of_slice => "edge of a slice".into(),
                KeptKind::Edge => "edge of the board".into(),
                KeptKind::Stretch if kept.is_of_slice => "a slice as it is".into(),
                KeptKind::Stretch => "as the yard cut it off".into(),
            },
            names_together(&kept.names),
        ]);
    }
    doc.table(table);
    if summary.kept.iter().any(|kept| kept.clear < kept.length) {
        let text = "Clear: the longest stretch of it without a defect.";
        doc.line(Tone::Faint, text);
    }
    if job.shop.end_trim > Length::ZERO {
        let text = say!(
            "Write its name on each offcut. One that ends at the far end of its board still has the trim of {} on it, and is \
             longer by that; `{}` counts it.",
            exact(job.shop.end_trim),
            if job.is_later_sheet() {
                "rest-rack.csv"
            } else {
                "rack.csv"
            }
        );
        doc.line(Tone::Faint, text);
    }
}

/// `offcut 3`, or the first and the last of several that are numbered on; others one by one.
fn names_together(names: &[String]) -> Text {
    let number = |name: &String| -> Option<u64> { name.rsplit(' ').next()?.parse().ok() };
    let are_numbered_on = names.windows(2).all(|two| {
        let next = number(&two[0]).and_then(|number| number.checked_add(1));
        next.is_some() && next == number(&two[1])
    });
    match names {
        [first, .., last] if are_numbered_on => {
            let number = last.rsplit(' ').next().unwrap_or_default();
            together(say!("{} to {}", name(first), number))
        }
        names => Text::join(names.iter().map(|own| together(name(own))), ", "),
    }
}
