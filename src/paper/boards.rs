//! The chapter board by board: each board drawn, and the list of its cuts with a box to tick for each.

use askama::Template;

use crate::frame::Miter;
use crate::job::StopAt;
use crate::length::Length;
use crate::plan::{ChalkMarks, Plan, PlannedBoard};
use crate::report::document::{BoardSheet, Document, Inline, Show, Text, needed, say, there};
use crate::report::naming::{
    done_already, fate_words, name_together, part_of, stop_measures, stop_word,
};
use crate::stations::{CutRef, is_measured_elsewhere, stop_figure};
use crate::tally::{Chains, Course, Group, Summary, course, is_ripped};

use super::cautions::at_the_saw;
use super::svg::board::{high, stretched};
use super::svg::xml::escaped;
use super::words::Words;

/// All boards, those that are cut alike as one.
#[derive(Template)]
#[template(path = "boards.html", config = "src/paper/askama.toml")]
struct Chapter {
    /// What is to be known of all of them.
    about: Vec<String>,
    /// What to look out for.
    watch: Option<String>,
    boards: Vec<Board>,
}

struct Board {
    /// What a link leads to.
    id: String,
    /// What is chalked on each.
    chalk: Vec<String>,
    name: String,
    detail: String,
    drawings: Vec<String>,
    /// How high its drawings are, together.
    drawn: Length,
    strips: Vec<Strip>,
    watch: Option<String>,
}

impl Board {
    /// Lists that no page has room for beside the drawing, reckoned by their lines on paper.
    fn is_long(&self) -> bool {
        let lines = |strip: &Strip| (strip.lines.len() + strip.left.len()).div_ceil(2) + 1;
        let lines: usize = self.strips.iter().map(lines).sum();
        LINE * i64::try_from(lines).unwrap_or(i64::MAX >> 32) > ROOM - self.drawn
    }
}

/// How high a line of a list is on paper, or a heading in it.
const LINE: Length = Length::from_nm(6_500_000);

/// What drawings and lists of a board have of a page: letter has 252 mm between its margins, of which the board's name takes 10
/// and four lines stay free for names that take two.
const ROOM: Length = Length::from_nm(216_000_000);

struct Strip {
    /// Its mark, where the board is more than one stick.
    label: Option<String>,
    lines: Vec<Line>,
    /// What is left of it, in words.
    left: Vec<String>,
}

enum Line {
    Cut {
        number: String,
        /// How the rail lies: its number stands in a shape as the rail's.
        lies: &'static str,
        stop: String,
        note: String,
        ticks: Vec<Tick>,
    },
    Skip {
        from: String,
        to: String,
        what: &'static str,
    },
}

/// A box for one cut of one board.
struct Tick {
    /// By what it is remembered.
    name: String,
    /// What is chalked on the board, where several are cut alike.
    board: Option<String>,
    /// What the cut makes.
    part: String,
    /// The same for whoever hears it.
    says: String,
}

/// By what the box of a cut is remembered.
pub(super) fn tick_name(label: impl std::fmt::Display) -> String {
    format!("cut {label}")
}

/// The chapter.
pub(super) fn chapter(
    words: Words<'_>,
    summary: &Summary<'_>,
    document: &Document,
) -> askama::Result<String> {
    let plan = summary.plan;
    let marks = plan.marks();
    let chains = Chains::new(&plan.job);
    let boards = summary.groups.iter().zip(document.boards());
    let boards = boards.map(|(group, sheet)| {
        board(
            words,
            plan,
            group,
            sheet,
            &Marked {
                marks: &marks,
                chains: &chains,
            },
        )
    });
    Chapter {
        about: about(words, plan),
        watch: at_the_saw(words, plan),
        boards: boards.collect(),
    }
    .render()
}

/// What the drawings show, and what their figures are.
fn about(words: Words<'_>, plan: &Plan) -> Vec<String> {
    let drawn = "Lengths are to one scale; boards are drawn wider than they are, so slants look steeper. The heavy line is the outer edge; black is kerf and end trim, slanting hatch is scrap.";
    let stop = plan.job.shop.stop;
    let elsewhere = (stop != StopAt::LongPoint)
        .then_some("; where a part is measured elsewhere, the list says so");
    let read = say!(
        "Figures are what the stop reads, {}{}.",
        stop_measures(stop),
        elsewhere
    );
    let is_trimmed = plan.job.shop.end_trim > Length::ZERO;
    let trimmed = is_trimmed.then_some("; it is trimmed before anything else");
    let any_resawn = plan.boards.iter().any(|board| board.resawn.is_some());
    let slices = any_resawn.then_some(" Slice 1 of a resawn board lies at its good face.");
    let lies = say!(
        "Boards lie good face up, the near end on the left{}.{}",
        trimmed,
        slices
    );
    [words.html(drawn), words.html(lies), words.html(read)].into()
}

/// How all parts of a board end; `None` where they end in several ways.
fn only_miter(plan: &Plan, planned: &PlannedBoard) -> Option<Miter> {
    let mut miters = planned.cuts().map(|cut| cut.part.miter(&plan.job));
    let first = miters.next()?;
    miters.all(|miter| miter == first).then_some(first)
}

/// What all boards of a plan share.
struct Marked<'m> {
    marks: &'m ChalkMarks<'m>,
    chains: &'m Chains,
}

fn board(
    words: Words<'_>,
    plan: &Plan,
    group: &Group,
    sheet: &BoardSheet,
    marked: &Marked<'_>,
) -> Board {
    let first = &plan.boards[group.boards.start];
    let chalk: Vec<String> = group
        .boards
        .clone()
        .map(|board| marked.marks.chalked(board).to_string())
        .collect();
    let strips = 0..first.strips.len();
    let ends = only_miter(plan, first).map(|miter| say!(" · ends {}", Inline::Miter(miter)));
    let already = done_already(&plan.job.boards[first.board_idx]);
    let already = already.map(|already| say!(" · {}", already));
    let mut strips: Vec<Strip> = strips
        .map(|strip| strip_list(words, plan, group, strip, marked))
        .collect();
    let mut detail = words.html(say!("{}{}{}", sheet.detail.clone(), ends, already));
    // What is left stands beside the name, which is a line less, unless it is more than one thing.
    for strip in &mut strips {
        if let [left] = &strip.left[..] {
            match &mut strip.label {
                Some(label) => *label += &format!(" <small>· {left}</small>"),
                None => detail += &format!(" · {left}"),
            }
            strip.left.clear();
        }
    }
    Board {
        id: format!("board-{}", chalk[0]),
        name: words.html(sheet.name.clone()),
        detail,
        drawings: sheet
            .drawings
            .iter()
            .enumerate()
            .map(|(at, drawing)| {
                let id = format!("drawing-{}-{at}", chalk[0]);
                stretched(sheet, drawing, &plan.job.display, &id)
            })
            .collect(),
        drawn: sheet.drawings.iter().map(high).sum(),
        strips,
        watch: sheet.watch.clone().map(|watch| words.html(watch)),
        chalk,
    }
}

fn strip_list(
    words: Words<'_>,
    plan: &Plan,
    group: &Group,
    strip: usize,
    marked: &Marked<'_>,
) -> Strip {
    let job = &plan.job;
    let first = &plan.boards[group.boards.start];
    let mut lines = Vec::new();
    let mut left = Vec::new();
    for step in course(plan, group.boards.start, strip) {
        match step {
            Course::Cut(cut) => lines.push(cut_line(words, plan, group, (strip, cut), marked)),
            Course::Skip { from, to, is_gone } => lines.push(Line::Skip {
                from: words.length(from - job.shop.end_trim, Show::Place),
                to: words.length(to - job.shop.end_trim, Show::Place),
                what: if is_gone { "other plan" } else { "defect" },
            }),
            Course::Left { gap, fate } => {
                let clear = (gap.clear < gap.between_trims)
                    .then(|| say!(", {} clear of defects", there(gap.clear)));
                let fate = fate_words(fate);
                left.push(words.html(say!("left {}: {}{}", there(gap.between_trims), fate, clear)));
            }
        }
    }
    let label = first.has_strip_marks().then(|| {
        let kind = if is_ripped(job, first) || first.resawn.is_some() {
            "strip"
        } else {
            "stretch"
        };
        let of_boards = group.boards.clone();
        let strips: Vec<String> = of_boards
            .map(|board| marked.marks.strip(board, strip).to_string())
            .collect();
        let parted = first
            .is_parted()
            .then(|| say!(", {}", part_of(first, first.strips[strip].stretch)));
        let width = first.strips[strip]
            .width
            .map(|width| say!(", {} wide", needed(width)));
        words.html(say!("{} {}{}{}", kind, strips.join(" + "), parted, width))
    });
    Strip { label, lines, left }
}

fn cut_line(
    words: Words<'_>,
    plan: &Plan,
    group: &Group,
    (strip, cut): (usize, usize),
    marked: &Marked<'_>,
) -> Line {
    let job = &plan.job;
    let first = &plan.boards[group.boards.start];
    let lies = &first.strips[strip].cuts[cut];
    let is_one = group.boards.len() == 1;
    let ticks = group.boards.clone().map(|board| {
        let label = marked.marks.cut(board, strip, cut);
        let part: Text = name_together(job, &[plan.boards[board].strips[strip].cuts[cut].part]);
        Tick {
            name: tick_name(label),
            board: (!is_one).then(|| marked.marks.chalked(board).to_string()),
            says: format!("{label}, {}", words.plain(part.clone())),
            part: words.html(part),
        }
    });
    let chain = marked.chains.place(lies.part);
    let stop = stop_figure(job, first, strip, lies);
    let elsewhere = is_measured_elsewhere(job, lies.part.miter(job), stop.at);
    let elsewhere = elsewhere.then(|| format!("at the {}", stop_word(stop.at)));
    let chain = chain.map(|(place, of)| format!("{place} of {of} in a row"));
    let ends = only_miter(plan, first).is_none();
    let ends = ends.then(|| words.plain(Inline::Miter(lies.part.miter(job))));
    let on_edge = lies.part.is_on_edge(job) && lies.part.miter(job) != Miter::Square;
    let on_edge = on_edge.then(|| "mitered on edge".to_owned());
    let notes: Vec<String> = [ends, on_edge, elsewhere, chain]
        .into_iter()
        .flatten()
        .collect();
    Line::Cut {
        number: marked
            .marks
            .cut(group.boards.start, strip, cut)
            .cut
            .to_string(),
        lies: match (lies.part.miter(job), lies.turned) {
            (Miter::Square, _) => "square",
            _ if lies.part.is_on_edge(job) => "square",
            (_, false) => "upright",
            (_, true) => "turned",
        },
        stop: words.length(stop.length, Show::Needed),
        note: escaped(&notes.join(", ")),
        ticks: ticks.collect(),
    }
}

/// What a cut makes, in words.
pub(super) fn part_words(words: Words<'_>, plan: &Plan, cut: CutRef) -> String {
    words.plain(name_together(&plan.job, &[cut.part]))
}
