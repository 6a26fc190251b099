//! What parts are called, and how they are named together.

use crate::frame::{Frame, Outline, side_name};
use crate::job::{Job, StopAt};
use crate::length::Length;
use crate::money::Money;
use crate::plan::{
    self, ChalkMark, ChalkMarks, LeftoverKind, Part, Plan, PlannedBoard, Stretch, StripMark,
};
use crate::stations::{Batch, SawOrder};
use crate::stock::{Board, Run};
use crate::tally::{Fate, Taken};

use super::document::{Inline, Text, count_of, listed, money, name, place, say, together};
use super::way_words::label_length;

/// Length of a part along its longest edge, and for a rail its short point.
pub(crate) fn part_sizes(job: &Job, part: Part) -> (Length, Option<Length>) {
    match part {
        Part::Rail {
            frame_idx, side, ..
        } => {
            let rail = job.frame_sizes(frame_idx).rail(side);
            (rail.long_point, Some(rail.short_point))
        }
        Part::Loose { piece_idx, .. } => (job.pieces[piece_idx].length, None),
    }
}

/// What of a board that is parted a stretch is: from where to where, and which slice.
pub(crate) fn part_of(planned: &PlannedBoard, stretch: usize) -> Text {
    let Stretch { from, to, .. } = &planned.stretches[stretch];
    let along = planned
        .is_cut_at_yard()
        .then(|| say!("{} to {}", place(*from), place(*to)));
    let slice = planned.resawn.is_some().then(|| {
        let nth = u64::try_from(stretch % planned.n_slices() + 1);
        say!("slice {}", nth.expect("a board has few slices"))
    });
    Text::join([along, slice].into_iter().flatten(), ", ")
}

/// What one saws from, in a word: boards, or where there is more than one stick to a board, sticks.
pub(crate) fn stick_word(order: &SawOrder) -> &'static str {
    if order.n_sticks == order.n_boards {
        "board"
    } else {
        "stick"
    }
}

/// How many there are of them.
pub(crate) fn sticks(order: &SawOrder) -> Text {
    let boards = count_of(order.n_boards, "board");
    if order.n_sticks == order.n_boards {
        boards
    } else {
        say!(
            "{}, {} to saw from",
            boards,
            count_of(order.n_sticks, "stick")
        )
    }
}

/// From where to where a stretch lies, from the trimmed near end on.
pub(crate) fn from_trim(job: &Job, (from, to): Run) -> Text {
    let trim = job.shop.end_trim;
    say!("{} to {}", place(from - trim), place(to - trim))
}

/// What the stop of the saw measures.
pub(crate) fn stop_word(at: StopAt) -> &'static str {
    match at {
        StopAt::LongPoint => "long point",
        StopAt::Rabbet => "rabbet",
        StopAt::ShortPoint => "short point",
    }
}

/// The same in full.
pub(crate) fn stop_measures(at: StopAt) -> &'static str {
    match at {
        StopAt::LongPoint => "long point to long point",
        StopAt::Rabbet => "from wall to wall of the rabbet",
        StopAt::ShortPoint => "short point to short point",
    }
}

/// What is cut from a moulding, and how its ends are cut: `walnut cap, 45°`.
pub(crate) fn batch_name(job: &Job, batch: &Batch) -> Text {
    let moulding = batch.moulding_idx.map(|idx| name(&job.mouldings[idx].name));
    let moulding = moulding.unwrap_or_else(|| "plain wood".into());
    say!("{}, {}", moulding, Inline::Miter(batch.miter))
}

/// What becomes of a piece that is left.
pub(crate) fn fate_words(fate: Fate) -> &'static str {
    match fate {
        Fate::Spare => "the spare offcut",
        Fate::Rack => "back to the rack",
        Fate::Scrap => "scrap",
    }
}

/// A corner of an outline by its number from 0, which lies behind the side of that number.
pub(crate) fn corner_name(outline: Outline, corner: u32) -> String {
    match (outline, corner) {
        (Outline::Rectangle { .. }, 0) => "top right".to_owned(),
        (Outline::Rectangle { .. }, 1) => "bottom right".to_owned(),
        (Outline::Rectangle { .. }, 2) => "bottom left".to_owned(),
        (Outline::Rectangle { .. }, 3) => "top left".to_owned(),
        _ => {
            let n_sides = outline.n_sides();
            format!("{}-{}", corner % n_sides + 1, (corner + 1) % n_sides + 1)
        }
    }
}

/// A board by its name; one of an earlier sheet by that of its line, as its mark stands beside it.
pub(crate) fn board_name(job: &Job, board_idx: usize) -> Text {
    let board = &job.boards[board_idx];
    let own = board.given.mark.map(|mark| StripMark {
        board: ChalkMark::nth(mark),
        strip: board.given.strip,
    });
    let line = own.and_then(|mark| board.name.strip_suffix(&format!(", {mark}")));
    name(line.unwrap_or(&board.name))
}

/// The chalk marks of boards by their positions in the plan, in order, stretches drawn together: `A–C, G, B4`.
pub(crate) fn marks_together(
    marks: &ChalkMarks<'_>,
    boards: impl IntoIterator<Item = usize>,
) -> Text {
    drawn_together(boards.into_iter().map(|at| marks.chalked(at)).collect())
}

/// What of the boards of a plan pieces are left of, by the marks: `A–C`, `B4` of a strip, `stretch 2 of B`.
pub(crate) fn sticks_together(plan: &Plan, left_of: &[(usize, LeftoverKind)]) -> Text {
    let marks = plan.marks();
    let mut whole = Vec::new();
    let mut pieces = Vec::new();
    for &(at, kind) in left_of {
        match kind {
            LeftoverKind::End(strip) => whole.push(marks.strip(at, strip)),
            LeftoverKind::Piece(piece) => {
                match plan::piece_name(&plan.boards[at], piece).as_str() {
                    // That it is the edge is told beside.
                    "" | "edge" => whole.push(marks.chalked(at)),
                    piece => pieces.push(say!("{} of {}", piece, marks.chalked(at).to_string())),
                }
            }
        }
    }
    let whole = (!whole.is_empty()).then(|| drawn_together(whole));
    Text::join(whole.into_iter().chain(pieces), ", ")
}

/// Marks in order, stretches of whole boards drawn together.
fn drawn_together(mut chalked: Vec<StripMark>) -> Text {
    chalked.sort_unstable();
    chalked.dedup();
    let follows = |one: &StripMark, next: &StripMark| {
        (one.strip, next.strip) == (None, None) && next.board.follows(one.board)
    };
    let shown = |mark: &StripMark| Text::from(mark.to_string());
    let runs = chalked.chunk_by(follows).flat_map(|run| match run {
        [first, _, .., last] => vec![say!("{}–{}", shown(first), shown(last))],
        few => few.iter().map(shown).collect(),
    });
    Text::join(runs.map(together), ", ")
}

/// What is chalked on the board at this position, or on the strips of a stretch of it where the yard cuts it: `B`, `B2`,
/// `B2 to B4`.
pub(crate) fn stick_mark(
    marks: &ChalkMarks<'_>,
    planned: &PlannedBoard,
    position: usize,
    stretch: usize,
) -> String {
    if !planned.is_parted() {
        return marks.chalked(position).to_string();
    }
    let strips = 0..planned.strips.len();
    let on: Vec<String> = strips
        .filter(|&strip| planned.strips[strip].stretch == stretch)
        .map(|strip| marks.strip(position, strip).to_string())
        .collect();
    match &on[..] {
        [first, .., last] => format!("{first} to {last}"),
        few => few.concat(),
    }
}

/// What is done already to wood that lies there; `None` of wood that is neither cut at its ends nor milled.
pub(crate) fn done_already(board: &Board) -> Option<&'static str> {
    match (board.given.rail, board.milled_to()) {
        (Some(Length::ZERO), _) => Some("both ends are cut already"),
        (Some(_), Some(_)) => Some("milled and mitered already; both ends are cut"),
        (Some(_), None) => Some("mitered already; both ends are cut"),
        // A cut of an earlier sheet stays on it, which may not be made yet.
        (None, Some(_)) if board.is_at_bench() => Some("milled as the plan before has it"),
        (None, Some(_)) => Some("milled already"),
        (None, None) => None,
    }
}

/// Places of cuts at the yard: `6 ft`, or `6 ft and 12 ft`.
pub(crate) fn cut_places(job: &Job, cuts: &[Length]) -> String {
    let places: Vec<String> = cuts.iter().map(|&at| label_length(job, at)).collect();
    places.join(" and ")
}

/// What the yard is to cut of the boards of a line, in words: `have one cut at 6 ft`; `None` where it is nothing, or done.
pub(crate) fn cuts_to_order(job: &Job, taken: &Taken) -> Option<String> {
    if job.boards[taken.board_idx].in_hand.is_some() {
        return None;
    }
    let counted = taken.yard_cuts.iter().map(|(cuts, count)| {
        let how_many = match (count, taken.count) {
            (1, 1) => "it".to_owned(),
            (1, _) => "one".to_owned(),
            (count, all) if *count == all => "each".to_owned(),
            (count, _) => count.to_string(),
        };
        format!("{how_many} cut at {}", cut_places(job, cuts))
    });
    let counted: Vec<String> = counted.collect();
    (!counted.is_empty()).then(|| format!("have {}", counted.join(", ")))
}

/// The same with what it costs, as a note below a board to be bought.
pub(crate) fn order_note(job: &Job, taken: &Taken) -> Option<Text> {
    let order = cuts_to_order(job, taken)?;
    let at_yard = job.boards[taken.board_idx].at_yard.as_ref();
    let charge = at_yard.map(|yard| yard.charge).unwrap_or_default();
    let is_charged = charge > Money::ZERO && taken.price_each.is_some();
    let charged = is_charged.then(|| say!("; {} for each cut is in the price", money(charge)));
    Some(say!("{}{}", order, charged))
}

/// A frame by its name, with the number of the copy where there are more.
pub(crate) fn copy_name(frame: &Frame, copy: u32) -> Text {
    with_copy(name(&frame.name), frame.quantity, copy)
}

fn with_copy(name: Text, quantity: u32, copy: u32) -> Text {
    if quantity > 1 {
        say!("{} #{}", name, copy)
    } else {
        name
    }
}

/// So many frames, boards or sheets are named in one sentence; of more all but this many are counted.
pub(crate) const MOST_NAMED: usize = 8;

/// Lines of frames by their names, in order: all of some, of many the first ones with how many more there are.
pub(crate) fn frames_together(job: &Job, frames: &[usize]) -> Text {
    let n_named = if frames.len() > MOST_NAMED {
        MOST_NAMED - 1
    } else {
        frames.len()
    };
    let names = frames.iter();
    let names = names.map(|&idx| together(listed(&job.frames[idx].name)));
    Text::first_of(names.collect(), n_named)
}

/// A name, and how often what is called so is there, where that is more than once.
pub(crate) fn name_times(name: &str, count: u32) -> Text {
    let times = (count > 1).then(|| say!(" ×{}", count));
    together(say!("{}{}", listed(name), times))
}

/// A polygon by what was told of it: `6 sides, 12 across flats`, or `6 sides of 7`.
pub(crate) fn polygon_words(
    sides: u32,
    side: Length,
    flats: Option<Length>,
    figure: impl Fn(Length) -> Text,
) -> Text {
    match flats {
        Some(flats) => say!("{} sides, {} across flats", sides, figure(flats)),
        None => say!("{} sides of {}", sides, figure(side)),
    }
}

/// The same for two columns: how far across its flats, or how long its sides are, and which of the two.
pub(crate) fn polygon_cells(
    sides: u32,
    side: Length,
    flats: Option<Length>,
    figure: impl Fn(Length) -> Text,
) -> [Text; 2] {
    match flats {
        Some(flats) => [figure(flats), say!("{} flats", sides)],
        None => [figure(side), say!("{} sides", sides)],
    }
}

/// What the columns of [`polygon_cells`] mean, where a job has polygons.
pub(crate) fn polygon_cells_words(wide: &'static str) -> Text {
    say!(
        "Of a polygon \u{201c}{}\u{201d} is a side, with the number of sides behind it; or where it was told so, the distance \
         across its flats.",
        wide
    )
}

/// A frame, one copy of it where there are more, or a piece: all of a part's name but the side.
fn owner(job: &Job, part: Part) -> Text {
    match part {
        Part::Rail {
            frame_idx, copy, ..
        } => {
            let frame = &job.frames[frame_idx];
            with_copy(listed(&frame.name), frame.quantity, copy)
        }
        Part::Loose { piece_idx, .. } => piece_name(&job.pieces[piece_idx].name),
    }
}

/// A piece by its name; of one that is called as a rail is, `Dunes #1 right`, copy and side are kept where the name is shortened.
fn piece_name(own: &str) -> Text {
    let Some((before, side)) = own.rsplit_once(' ') else {
        return listed(own);
    };
    let Some((frame, number)) = (match side {
        "top" | "right" | "bottom" | "left" => Some((before, None)),
        number if number.bytes().all(|digit| digit.is_ascii_digit()) => before
            .strip_suffix(" side")
            .map(|before| (before, Some(number))),
        _ => None,
    }) else {
        return listed(own);
    };
    let is_copy = |copy: &str| copy.bytes().all(|digit| digit.is_ascii_digit());
    let (frame, copy) = match frame.rsplit_once(" #") {
        Some((frame, copy)) if is_copy(copy) => (frame, Some(copy)),
        _ => (frame, None),
    };
    let copy = copy.map(|copy| say!(" #{}", copy.to_owned()));
    match number {
        Some(number) => say!("{}{} side {}", listed(frame), copy, number.to_owned()),
        None => say!("{}{} {}", listed(frame), copy, side.to_owned()),
    }
}

/// Several parts in their order, named together: `Dunes #1 top, bottom; Dunes #2 top; spacer ×4`.
///
/// Sides of one frame that follow each other share its name; alike pieces are counted.
pub(crate) fn name_together(job: &Job, parts: &[Part]) -> Text {
    let mut names: Vec<Text> = Vec::new();
    let mut rest = parts;
    while let Some(&first) = rest.first() {
        let same = rest
            .iter()
            .take_while(|&&part| same_owner(first, part))
            .count();
        let (these, after) = rest.split_at(same);
        let mut name = owner(job, first);
        match first {
            Part::Rail { frame_idx, .. } => {
                let sides: Vec<String> = these
                    .iter()
                    .filter_map(|&part| match part {
                        Part::Rail { side, .. } => Some(side),
                        Part::Loose { .. } => None,
                    })
                    .map(|side| side_name(job.frames[frame_idx].art, side).into_owned())
                    .collect();
                name.push(format!(" {}", sides.join(", ")));
            }
            Part::Loose { .. } if same > 1 => name.push(format!(" ×{same}")),
            Part::Loose { .. } => {}
        }
        names.push(together(name));
        rest = after;
    }
    Text::join(names, "; ")
}

/// A part in a list in which it follows another: only its side where both are of one frame, nothing where both are of one
/// line of pieces, else its name.
pub(crate) fn name_behind(job: &Job, before: Option<Part>, part: Part) -> Text {
    match part {
        _ if before.is_none_or(|before| !same_owner(before, part)) => name_together(job, &[part]),
        Part::Rail {
            frame_idx, side, ..
        } => side_name(job.frames[frame_idx].art, side)
            .into_owned()
            .into(),
        Part::Loose { .. } => Text::default(),
    }
}

/// Whether two parts are of one frame (one copy of it) or of one line of pieces.
fn same_owner(one: Part, other: Part) -> bool {
    match (one, other) {
        (
            Part::Rail {
                frame_idx, copy, ..
            },
            Part::Rail {
                frame_idx: other_idx,
                copy: other_copy,
                ..
            },
        ) => (frame_idx, copy) == (other_idx, other_copy),
        (
            Part::Loose { piece_idx, .. },
            Part::Loose {
                piece_idx: other_idx,
                ..
            },
        ) => piece_idx == other_idx,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples::{job, lay, loose};
    use crate::samples::in16;

    #[test]
    fn a_piece_called_as_a_rail_keeps_copy_and_side_where_its_name_is_shortened() {
        let text = |own: &str| piece_name(own).plain(&job().display, |name| format!("<{name}>"));
        assert_eq!(text("Leinwand #1 right"), "<Leinwand> #1 right");
        assert_eq!(text("Leinwand bottom"), "<Leinwand> bottom");
        assert_eq!(text("Wabe #12 side 6"), "<Wabe> #12 side 6");
        assert_eq!(text("Nr. 7 side"), "<Nr. 7 side>");
        assert_eq!(text("spacer 12"), "<spacer 12>");
        assert_eq!(text("No #x top"), "<No #x> top");
        assert_eq!(text("top"), "<top>");
    }

    #[test]
    fn a_stretch_of_a_resawn_board_is_called_by_its_slice() {
        let job = job();
        let mut planned = lay(&job, 0, 1, 1, &[loose(0, 1)]);
        let said = |planned: &PlannedBoard, stretch| {
            part_of(planned, stretch).plain(&job.display, str::to_owned)
        };
        assert_eq!(said(&planned, 0), "");
        planned.resawn = Some(in16(6));
        planned.stretches.push(planned.stretches[0].clone());
        assert_eq!(said(&planned, 0), "slice 1");
        assert_eq!(said(&planned, 1), "slice 2");
    }
}
