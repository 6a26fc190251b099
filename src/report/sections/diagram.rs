//! The cutting diagram: every board drawn, and the list of its cuts.

use crate::job::{Job, StopAt};
use crate::length::Length;
use crate::plan::{
    ChalkMark, ChalkMarks, Plan, PlannedBoard, PlannedStrip, StripMark, defects_on, gaps,
    is_edge_kept, is_kept, uncut,
};
use crate::report::document::{
    Block, BoardSheet, Document, Drawing, DrawnCut, DrawnDefect, DrawnEdge, DrawnRest, DrawnStrip,
    Inline, Kind, Table, Text, Tone, count_of, exact, needed, needed_with_unit, place, say, there,
    there_with_unit,
};
use crate::report::naming::{
    board_name, cut_places, fate_words, marks_together, name_together, part_of, stop_measures,
};
use crate::stations::stop_figure;
use crate::stock::{Across, Board, Run};
use crate::tally::{Fate, Group, Summary, any_turned, is_ripped, planed_off, saved};

use super::boards::made_into;
use super::cut_list::{Columns, cut_list};

pub(super) fn write(doc: &mut Document, summary: &Summary<'_>) {
    let plan = summary.plan;
    if plan.boards.is_empty() {
        return;
    }
    let any_ripped = !summary.fences.is_empty();
    doc.heading("cuts", "Where to cut");
    doc.table(how_to_read(plan, any_ripped));
    let columns = Columns::new(plan, any_ripped);
    let marks = plan.marks();
    let boards = plan.boards.iter().flat_map(|board| {
        let stretches = 0..board.stretches.len();
        stretches.map(|stretch| board.wood(&plan.job, stretch).lying_length())
    });
    let lengths = boards;
    let longest = lengths.max().unwrap_or(Length::ZERO);
    for group in &summary.groups {
        let sheet = board_sheet(plan, group, &marks, &columns, longest);
        doc.blocks.push(Block::Board(Box::new(sheet)));
    }
}

/// Whether any board of a plan has a defect.
fn has_defects(plan: &Plan) -> bool {
    let mut boards = plan.boards.iter();
    boards.any(|board| !plan.job.boards[board.board_idx].defects.is_empty())
}

/// What is chalked on a board, and what the label of a cut says, by one of the plan: one that is not the first on its board or
/// strip, if there is one.
fn chalked(plan: &Plan) -> Text {
    let marks = plan.marks();
    let strips = plan.boards.iter().enumerate().flat_map(|(board, planned)| {
        let strips = planned.strips.iter().enumerate();
        strips.filter_map(move |(strip, cuts)| {
            let cut = cuts.cuts.len().min(3).checked_sub(1)?;
            Some((planned.has_strip_marks(), cut, board, strip))
        })
    });
    // The first of those that tell most.
    let telling = strips
        .rev()
        .max_by_key(|&(is_marked, cut, ..)| (is_marked, cut));
    let example = telling.map(|(_, cut, board, strip)| {
        let label = marks.cut(board, strip, cut);
        // Of a board that is parted the numbers are of slices, stretches or strips, which are told below.
        let strip_number = label
            .strip
            .strip
            .filter(|_| !plan.boards[board].is_parted());
        let of_strip = strip_number.map(|strip| {
            let mark = label.strip.to_string();
            say!(
                "{} is strip {} of board {}, and ",
                mark,
                strip,
                label.strip.board.to_string()
            )
        });
        let on = label.strip.to_string();
        say!(
            "; {}{} is cut {} on {}",
            of_strip,
            label.to_string(),
            label.cut,
            on
        )
    });
    let marks = (0..plan.boards.len()).map(|board| marks.board(board));
    let skips = marks.max() > ChalkMark::parse("H");
    say!(
        "chalk its letter on each board{}{}",
        skips.then_some(" (there is no I, O or Q)"),
        example
    )
}

fn how_to_read(plan: &Plan, any_ripped: bool) -> Table {
    let shop = &plan.job.shop;
    let zero = if shop.end_trim > Length::ZERO {
        say!(
            "the near end as trimmed, {} from the end of the raw board",
            exact(shop.end_trim)
        )
    } else {
        "the near end of the board; nothing is trimmed".into()
    };
    let any_turned = any_turned(plan);
    let drawing = say!(
        "{}; long points are to scale, slants are not; {} is scrap{}{}",
        if any_turned {
            "the outer edge is on top, or below where the list says so"
        } else {
            "the outer edge is on top"
        },
        Inline::ScrapSign,
        has_defects(plan).then(|| {
            // What is cut from a board at the bench, or is to be, is kept from new parts as a defect is.
            let at_bench = plan.job.is_later_sheet();
            let what = if at_bench {
                "what is cut already or as before, or a defect"
            } else {
                "a defect"
            };
            say!(", {} {}", Inline::DefectSign, what)
        }),
        (shop.stop != StopAt::LongPoint).then_some("; its figures are those of the stop block")
    );
    let from_to = say!(
        "along the outer edge from 0, in steps of {}, the end of a part rounded up; kerf {}",
        Inline::Step,
        exact(shop.kerf)
    );
    let strips = "a ripped board is seen from above, its straightened edge on top; lengths are to scale, widths are not";
    let marks = chalked(plan);
    let any_parted = plan.boards.iter().any(PlannedBoard::is_cut_at_yard);
    let any_resawn = plan.boards.iter().any(|board| board.resawn.is_some());
    let slices = "B1 and B2 are the slices of a resawn board B, or strips of them; the first lies at the face";
    let stretches = "A1 and A2 are what the yard cuts board A into, from its near end, or strips of them; each is \
                     measured from its own near end";
    let below = "the part lies turned end for end; the cut that ends the part before it makes its first end";
    let mut table =
        Table::new()
            .column("", Kind::Words, Tone::Strong)
            .column("", Kind::Prose, Tone::Faint);
    for (is_needed, word, meaning) in [
        (true, "A, B, C", marks),
        (any_ripped, "strips", strips.into()),
        (any_resawn, "slices", slices.into()),
        (any_parted, "stretches", stretches.into()),
        (true, "drawing", drawing),
        (true, "0", zero),
        (true, "from, to", from_to),
        (
            true,
            "stop block",
            match shop.stop {
                StopAt::LongPoint => {
                    "set it by this, long point to long point; from and to only show where".into()
                }
                at => say!(
                    "set it by this, {}, or where the ends say so between the long points; from and to only show where \
                     those are",
                    stop_measures(at)
                ),
            },
        ),
        (
            true,
            "~",
            "the true length lies between two marks of the rule; parts are rounded up, boards and offcuts down".into(),
        ),
        (
            true,
            "part",
            "its name: write it on the back as the part comes off the saw".into(),
        ),
        (any_turned, "outer: below", below.into()),
    ] {
        if is_needed {
            table.row(vec![word.into(), meaning]);
        }
    }
    table
}

/// Boards that are cut alike.
fn board_sheet(
    plan: &Plan,
    group: &Group,
    marks: &ChalkMarks<'_>,
    columns: &Columns,
    longest: Length,
) -> BoardSheet {
    let job = &plan.job;
    let boards = &plan.boards[group.boards.clone()];
    let first = &boards[0];
    let is_single = boards.len() == 1;
    let chalked: Vec<Vec<StripMark>> = (0..first.strips.len())
        .map(|at| {
            let on_each = group.boards.clone();
            on_each.map(|board| marks.strip(board, at)).collect()
        })
        .collect();
    let strips: Vec<Text> = (1_usize..)
        .zip(&chalked)
        .map(|(number, marks)| match marks[..] {
            [only] => only.to_string().into(),
            _ => number.into(),
        })
        .collect();
    let noun = match (is_single, job.boards[first.board_idx].given.strip) {
        (false, _) => "Boards",
        (true, None) => "Board",
        (true, Some(_)) => "Strip",
    };
    let watch = group.overrun.map(|overrun| {
        say!(
            "Tight: cut to the rounded lengths, these parts would overrun the {} by {}. Print with a finer step, or take \
             the exact lengths from the tables.",
            if first.has_strip_marks() {
                "strip"
            } else {
                "board"
            },
            needed_with_unit(overrun)
        )
    });
    BoardSheet {
        label: say!("{} {}", noun, marks_together(marks, group.boards.clone())),
        count: u64::try_from(boards.len()).expect("a count in memory fits 64 bits"),
        name: board_name(job, first.board_idx),
        detail: detail(job, first),
        drawings: drawings(job, first, longest, &strips, &chalked),
        cuts: cut_list(plan, group.boards.clone(), &strips, columns),
        watch,
    }
}

/// `96 in · walnut cap`; of a ripped board its width, and how many strips.
fn detail(job: &Job, first: &PlannedBoard) -> Text {
    let board = &job.boards[first.board_idx];
    if first.is_parted() {
        let cuts: Vec<Length> = first.yard_cuts().collect();
        let at_yard = say!(" · cut at the yard at {}", cut_places(job, &cuts));
        let resawn = first.resawn.map(|thickness| {
            let n_slices = u64::try_from(first.n_slices()).expect("a board has few slices");
            say!(
                " · resawn into {} of {}",
                n_slices,
                there_with_unit(thickness)
            )
        });
        let size = match board.width.filter(|_| is_ripped(job, first)) {
            Some(width) => say!("{} × {}", there(board.length), there_with_unit(width)),
            None => there_with_unit(board.length),
        };
        return say!(
            "{}{}{}",
            size,
            (!cuts.is_empty()).then_some(at_yard),
            resawn
        );
    }
    let (size, made_into) = match (board.width, &first.strips[..]) {
        (Some(width), strips) if is_ripped(job, first) => (
            say!("{} × {}", there(board.length), there_with_unit(width)),
            count_of(
                u64::try_from(strips.len()).expect("a board has few strips"),
                "strip",
            ),
        ),
        (_, strips) => (
            there_with_unit(board.lying_length()),
            made_into(job, strips.first().and_then(|strip| strip.moulding_idx)),
        ),
    };
    let planed = planed_off(job, first, 0);
    let plane = (planed > Length::ZERO).then(|| say!(" · plane {} off its edge", exact(planed)));
    say!("{} · {}{}", size, made_into, plane)
}

/// Rising numbers with stretches drawn together: `1–3, 7`.
pub(super) fn ranges(numbers: &[u32]) -> Text {
    let runs = numbers.chunk_by(|a, b| a.checked_add(1) == Some(*b));
    Text::join(
        runs.map(|run| match run {
            [first, .., last] => say!("{}–{}", *first, *last),
            only => only.first().copied().into(),
        }),
        ", ",
    )
}

/// A board as geometry, stretch by stretch.
fn drawings(
    job: &Job,
    planned: &PlannedBoard,
    longest: Length,
    labels: &[Text],
    chalked: &[Vec<StripMark>],
) -> Vec<Drawing> {
    let strips = (0..planned.strips.len()).zip(labels).zip(chalked);
    let drawn: Vec<(usize, DrawnStrip)> = strips
        .map(|((idx, label), marks)| {
            let stretch = planned.strips[idx].stretch;
            (stretch, drawn_strip(job, planned, idx, label, marks))
        })
        .collect();
    let stretches = 0..planned.stretches.len();
    stretches
        .map(|stretch| {
            let on = drawn.iter().filter(|(on, _)| *on == stretch);
            let strips = on.map(|(_, strip)| strip.clone()).collect();
            drawing(job, planned, stretch, longest, strips)
        })
        .collect()
}

fn drawing(
    job: &Job,
    planned: &PlannedBoard,
    stretch: usize,
    longest: Length,
    mut strips: Vec<DrawnStrip>,
) -> Drawing {
    let wood = planned.wood(job, stretch);
    let absent = absent_trim(job, &wood);
    let edges = planned.stretches[stretch].beside.iter().enumerate();
    let edges = edges.map(|(nth, edge)| {
        let is_kept = is_edge_kept(job, planned, stretch, nth);
        let fate = fate_words(if is_kept { Fate::Rack } else { Fate::Scrap });
        DrawnEdge {
            label: say!("edge: {} wide, {}", there(edge.width), fate),
            from_edge: edge.from_edge,
            width: edge.width,
            is_kept,
        }
    });
    strips.extend(drawn_uncut(job, planned, stretch));
    Drawing {
        length: wood.length - absent * 2,
        width: wood.width,
        longest,
        end_trim: job.shop.end_trim - absent,
        kerf: job.shop.kerf,
        rip_kerf: job.shop.rip.map_or(Length::ZERO, |rip| rip.kerf),
        is_ripped: is_ripped(job, planned) || planned.is_parted(),
        strips,
        edges: edges.collect(),
        defects: drawn_defects(job, &wood, absent),
    }
}

/// The defects of a board, without what lies beyond its ends.
fn drawn_defects(job: &Job, wood: &Board, absent: Length) -> Vec<DrawnDefect> {
    let on = wood.defects.iter().filter_map(|defect| {
        let from = defect.from.max(absent);
        let to = defect.to.min(wood.length - absent);
        let rip = job.shop.rip.filter(|_| !defect.takes_all(wood.width));
        (from < to).then(|| DrawnDefect {
            from: from - absent,
            to: to - absent,
            across: rip.map(|rip| defect.span(wood, &rip)),
            is_gone: defect.across == Across::Gone,
        })
    });
    on.collect()
}

/// A stretch from which nothing is cut.
fn drawn_uncut(job: &Job, planned: &PlannedBoard, stretch: usize) -> Option<DrawnStrip> {
    let uncut = uncut(job, planned, stretch)?;
    let wood = planned.wood(job, stretch);
    let is_kept = is_kept(job, uncut.clear);
    let defects = wood.defects.iter().map(|defect| (defect.from, defect.to));
    Some(DrawnStrip {
        label: say!(
            "{}: {}",
            part_of(planned, stretch),
            fate_words(if is_kept { Fate::Rack } else { Fate::Scrap })
        ),
        marks: Vec::new(),
        from_edge: Length::ZERO,
        width: wood.width,
        cuts: Vec::new(),
        left: vec![DrawnRest {
            from: uncut.clear_at.0,
            to: uncut.clear_at.1,
            is_kept,
        }],
        defects: defects.collect(),
    })
}

/// The trim that a board does not have at its ends, as these are cut already.
fn absent_trim(job: &Job, board: &Board) -> Length {
    match board.given.rail {
        Some(_) => job.shop.end_trim,
        None => Length::ZERO,
    }
}

fn drawn_strip(
    job: &Job,
    planned: &PlannedBoard,
    strip_idx: usize,
    label: &Text,
    marks: &[StripMark],
) -> DrawnStrip {
    let strip = &planned.strips[strip_idx];
    let wood = planned.wood_of_strip(job, strip_idx);
    let absent = absent_trim(job, &wood);
    let far_end = wood.length - job.shop.end_trim;
    let all_defects = defects_on(job, planned, strip_idx);
    let shown = |&(from, to): &Run| {
        let (from, to) = (from.max(absent), to.min(wood.length - absent));
        (from < to).then(|| (from - absent, to - absent))
    };
    let defects: Vec<Run> = all_defects.iter().filter_map(shown).collect();
    let left = if !all_defects.is_empty() {
        gaps(job, planned, strip_idx)
            .into_iter()
            .map(|gap| DrawnRest {
                from: gap.clear_at.0 - absent,
                to: gap.clear_at.1 - absent,
                is_kept: is_kept(job, gap.clear),
            })
            .collect()
    } else if strip.offcut > Length::ZERO {
        vec![DrawnRest {
            from: far_end - strip.offcut - absent,
            to: far_end - absent,
            is_kept: is_kept(job, strip.offcut),
        }]
    } else {
        Vec::new()
    };
    let cuts = strip.cuts.iter().enumerate().map(|(idx, cut)| DrawnCut {
        number: planned.cut_number(job, idx),
        name: name_together(job, &[cut.part]),
        from: cut.from - absent,
        to: cut.to - absent,
        stop: stop_figure(job, planned, strip_idx, cut).length,
        width: cut.part.width(job).or(strip.width),
        miter: cut.part.miter(job),
        on_edge: cut.part.is_on_edge(job),
        is_turned: cut.turned,
        shares_cut: idx > 0 && saved(job, &strip.cuts[idx - 1], cut) > Length::ZERO,
    });
    let planed = planed_off(job, planned, strip.stretch);
    let is_told_here = planned.is_parted() && planed > Length::ZERO;
    DrawnStrip {
        label: say!(
            "{} {}{}: {}{}{}{}",
            if is_ripped(job, planned) || planned.resawn.is_some() {
                "strip"
            } else {
                "stretch"
            },
            label.clone(),
            planned
                .is_parted()
                .then(|| say!(", {}", part_of(planned, strip.stretch))),
            strip.width.map(|width| say!("{} wide, ", needed(width))),
            made_into(job, strip.moulding_idx),
            is_told_here.then(|| say!(", plane {} off its edge", exact(planed))),
            waste_before(job, &planned.strips, strip_idx)
        ),
        marks: marks.to_vec(),
        from_edge: strip.from_edge,
        width: strip.width,
        cuts: cuts.collect(),
        left,
        defects,
    }
}

/// Where a strip begins, if not beside the one before or at the edge: what lies between is waste to be ripped off.
fn waste_before(job: &Job, strips: &[PlannedStrip], idx: usize) -> Option<Text> {
    let kerf = job.shop.rip.map_or(Length::ZERO, |rip| rip.kerf);
    let before = idx.checked_sub(1).map(|before| &strips[before]);
    let expected = match before.filter(|before| before.stretch == strips[idx].stretch) {
        Some(before) => before.from_edge + before.width.unwrap_or(Length::ZERO) + kerf,
        None => Length::ZERO,
    };
    let from_edge = strips[idx].from_edge;
    (from_edge > expected).then(|| say!(", begins {} from the left edge", place(from_edge)))
}
