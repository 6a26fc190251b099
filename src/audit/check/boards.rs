//! Single boards: the section of each strip, lengths and places along it, and what is left on purpose.

use std::collections::BTreeMap;

use super::super::wanted::{Stick, Stretch};
use super::across::check_across;
use super::{Figure, KerfRange, Kind, Place, Violation, Wanted, WantedPart, nm, sequence, wrong};
use crate::plan::{Cut, Plan, PlannedBoard, PlannedStrip};

/// Every board by itself: sections, lengths, places, and what lies where across it.
pub(super) fn check_boards(wanted: &Wanted<'_>, plan: &Plan, found: &mut Vec<Violation>) {
    let mut left: BTreeMap<(usize, usize), Vec<Cut>> = BTreeMap::new();
    for spare in &plan.spare_offcuts {
        let part = spare.part;
        let is_known = wanted.part(part).is_some_and(|(_, part)| part.is_left());
        let board = plan.boards.get(spare.board);
        if !is_known || board.is_none_or(|board| spare.strip >= board.strips.len()) {
            let place = Place::board(spare.board).with_strip(spare.strip);
            found.push(place.with_part(part).has(Kind::NotLeft));
        }
        let stretch = Cut {
            part,
            from: spare.from,
            to: spare.to,
            turned: false,
        };
        let of_strip = left.entry((spare.board, spare.strip)).or_default();
        of_strip.push(stretch);
    }
    for (position, board) in plan.boards.iter().enumerate() {
        let left_on = |strip| left.get(&(position, strip)).map_or(&[][..], Vec::as_slice);
        check_board(wanted, position, board, &left_on, found);
    }
}

/// Checks one board; `left_on(strip)` are the stretches that are left of a strip, as if they were cut.
fn check_board<'p>(
    wanted: &Wanted<'_>,
    position: usize,
    board: &'p PlannedBoard,
    left_on: &dyn Fn(usize) -> &'p [Cut],
    found: &mut Vec<Violation>,
) {
    let place = Place::board(position);
    if board.board_idx >= wanted.job.boards.len() {
        found.push(place.with_line(board.board_idx).has(Kind::UnknownBoard));
        return;
    }
    if board.strips.is_empty() {
        found.push(place.has(Kind::EmptyBoard));
        return;
    }
    let mut sticks: Vec<Stick> = board
        .stretches
        .iter()
        .map(|stretch| Stick {
            board_idx: board.board_idx,
            along: (nm(stretch.from), nm(stretch.to)),
            slice: board.resawn,
        })
        .collect();
    if !wanted.partings(board.board_idx).contains(&sticks) {
        found.push(place.has(Kind::NotCutSo));
        if wanted.may_be_parted(board.board_idx) || sticks.len() != 1 {
            return;
        }
        // What is not parted is the board that the job has, whatever the plan says of it.
        sticks = vec![wanted.whole(board.board_idx)];
    }
    let strips = board.strips.iter().map(|strip| strip.stretch);
    let is_there = |stretch: usize| stretch < sticks.len();
    if !strips.clone().all(is_there) || !strips.is_sorted() {
        found.push(place.has(Kind::MisplacedStrip));
        return;
    }
    let mut sections = Vec::with_capacity(board.strips.len());
    for (strip_idx, strip) in board.strips.iter().enumerate() {
        let place = place.with_strip(strip_idx);
        // Unknown parts were reported already, and nothing else can be said of them.
        let known = |cut: &'p Cut| Some((cut, wanted.part(cut.part)?.1));
        let mut cuts: Vec<(&Cut, WantedPart)> = strip.cuts.iter().filter_map(known).collect();
        let left = cuts.iter().filter(|(_, part)| part.is_left());
        found.extend(left.map(|(cut, _)| place.with_part(cut.part).has(Kind::MustBeLeft)));
        let left = left_on(strip_idx);
        cuts.extend(left.iter().filter_map(known));
        if !left.is_empty() {
            cuts.sort_by_key(|(cut, _)| cut.from);
        }
        if cuts.is_empty() {
            found.push(place.has(Kind::EmptyStrip));
            continue;
        }
        let section = cuts[0].1.section;
        sections.push(section);
        let on = (place, sticks[strip.stretch]);
        check_section(wanted, on, strip, &cuts, found);
        check_places(wanted, on, strip, &cuts, found);
    }
    // Of an empty strip no width is known, so nothing can be said of those beside it.
    if sections.len() == board.strips.len() {
        for (stretch, &stick) in sticks.iter().enumerate() {
            let on = (board, stretch, stick);
            check_across(wanted, position, on, &sections, found);
        }
    }
}

/// One section on the strip, the one it is said to be milled to, and one that its board suits.
fn check_section(
    wanted: &Wanted<'_>,
    (place, stick): (Place, Stick),
    strip: &PlannedStrip,
    cuts: &[(&Cut, WantedPart)],
    found: &mut Vec<Violation>,
) {
    let WantedPart { section, .. } = cuts[0].1;
    let mixed = cuts.iter().filter(|(_, part)| part.section != section);
    found.extend(mixed.map(|(cut, _)| place.with_part(cut.part).has(Kind::MixedSections)));
    let (planned, wanted_idx) = (strip.moulding_idx, wanted.sections[section].moulding_idx);
    if planned != wanted_idx {
        found.push(place.has(Kind::WrongMoulding {
            planned,
            wanted: wanted_idx,
        }));
    }
    // What no part of a section can be cut from is said of its first part only.
    let is_taken = |section: usize| wanted.taken(stick, section).is_some();
    let unsuited = |part: &WantedPart| {
        !is_taken(part.section) || !wanted.may_give(stick.board_idx, part.class)
    };
    let unsuited = cuts.iter().filter(|(_, part)| unsuited(part));
    let suits_section = is_taken(section);
    let told = if suits_section { cuts.len() } else { 1 };
    let unsuited = unsuited.take(told);
    found.extend(unsuited.map(|(cut, _)| place.with_part(cut.part).has(Kind::UnsuitableBoard)));
}

/// Lengths, trims, defects, gaps, order and offcut along one strip.
fn check_places(
    wanted: &Wanted<'_>,
    (place, stick): (Place, Stick),
    strip: &PlannedStrip,
    cuts: &[(&Cut, WantedPart)],
    found: &mut Vec<Violation>,
) {
    let (near_trim, far_trim) = wanted.between_trims(stick);
    // A strip as wide as its board is the board, with all that is on it.
    let is_ripped = strip.width != wanted.job.boards[stick.board_idx].width;
    let begin = nm(strip.from_edge);
    let across = strip.width.filter(|_| is_ripped);
    let across = across.map(|width| (begin, begin + nm(width)));
    let spoiled = wanted.spoiled(stick, cuts[0].1.section, across);
    let is_uncut = cuts.iter().all(|(_, part)| part.is_left());
    for (cut, part) in cuts {
        let place = place.with_part(cut.part);
        let (from_nm, to_nm) = (nm(cut.from), nm(cut.to));
        let length_nm = match part.rail_nm {
            Some(rail_nm) if is_uncut => wanted.uncut_nm(rail_nm),
            _ => part.length_nm,
        };
        if to_nm - from_nm != length_nm {
            let (planned, wanted) = (to_nm - from_nm, length_nm);
            found.push(wrong(place, Figure::Length, planned, wanted));
        }
        if cut.turned && !part.may_be_turned {
            found.push(place.has(Kind::MayNotBeTurned));
        }
        if from_nm < near_trim {
            found.push(place.has(Kind::InNearTrim { from_nm }));
        }
        if to_nm > far_trim {
            found.push(place.has(Kind::InFarTrim { to_nm }));
        }
        if spoiled
            .iter()
            .any(|&(from, to)| from_nm < to && from < to_nm)
        {
            found.push(place.has(Kind::OnDefect));
        }
    }
    for neighbors in cuts.windows(2) {
        check_gap(place, neighbors[0], neighbors[1], found);
    }
    if !is_uncut && cuts.iter().any(|(_, part)| part.is_left()) {
        let clear = wanted.clear(stick, cuts[0].1.section, across);
        for (cut, part) in cuts.iter().filter(|(_, part)| part.is_left()) {
            check_room_behind(wanted, place, (cut, *part), &clear, found);
        }
    }
    // Between two defects everything stands in its order.
    let is_parted = |left: &(&Cut, WantedPart), right: &(&Cut, WantedPart)| {
        let gap = nm(left.0.to)..=nm(right.0.from);
        let mut spoiled = spoiled.iter();
        spoiled.any(|(from, to)| gap.contains(from) && gap.contains(to))
    };
    for run in cuts.chunk_by(|left, right| !is_parted(left, right)) {
        sequence::check(place, run, found);
    }
    let last = cuts.iter().rfind(|(_, part)| !part.is_left());
    let (left, kerf) = match last {
        Some((cut, part)) => (far_trim - nm(cut.to), part.kerf),
        None => (far_trim - near_trim, KerfRange::square(0)),
    };
    let (at_least, at_most) = ((left - kerf.most).max(0), (left - kerf.least).max(0));
    if !(at_least..=at_most).contains(&nm(strip.offcut)) {
        found.push(wrong(place, Figure::Offcut, nm(strip.offcut), at_least));
    }
}

/// What is left before a defect may end at a cut behind that: the defect must have room for the kerf, and for the trim of the
/// end that is cut there, which the next job takes off.
fn check_room_behind(
    wanted: &Wanted<'_>,
    place: Place,
    (cut, part): (&Cut, WantedPart),
    clear: &[Stretch],
    found: &mut Vec<Violation>,
) {
    let lies_on = |&(from, to): &Stretch| from <= nm(cut.from) && nm(cut.to) <= to;
    let Some(nth) = clear.iter().position(lies_on) else {
        return;
    };
    if !wanted.may_leave(part.section, clear, nth) {
        let gap_nm = clear[nth + 1].0 - clear[nth].1;
        let needed_nm = wanted.lost_at_cut(part.section);
        let place = place.with_part(cut.part);
        found.push(place.has(Kind::NarrowGap { gap_nm, needed_nm }));
    }
}

/// The least distance along the strip between two neighbors.
///
/// Along the outer edge; but two that share a slanting cut, as one of them is turned, both may be and their miters are one,
/// are parallel there, and as much further apart as that slants.
/// Where every two neighbors are apart, so are any two parts: on each line along the strip all of them stand in order.
fn gap((left_cut, left): (&Cut, WantedPart), (right_cut, right): (&Cut, WantedPart)) -> i128 {
    let shares = left_cut.turned != right_cut.turned
        && left.may_be_turned
        && right.may_be_turned
        && left.slant_nm == right.slant_nm;
    let slant_nm = if shares { left.slant_nm } else { 0 };
    nm(right_cut.from) - nm(left_cut.to) + slant_nm
}

/// The gap between two neighbors.
fn check_gap(
    place: Place,
    left: (&Cut, WantedPart),
    right: (&Cut, WantedPart),
    found: &mut Vec<Violation>,
) {
    let gap_nm = gap(left, right);
    let needed_nm = left.1.kerf.least.max(right.1.kerf.least);
    if gap_nm < needed_nm {
        let place = place.with_part(right.0.part);
        found.push(place.has(Kind::NarrowGap { gap_nm, needed_nm }));
    }
}
