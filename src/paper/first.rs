//! The first page: what to buy, what to set, what comes first.

use askama::Template;

use crate::frame::Milled;
use crate::job::Job;
use crate::length::Length;
use crate::plan::Plan;
use crate::plan::sheets::MaterialPlan;
use crate::report::document::{
    Block, Document, Inline, Show, Text, amount, count_of, exact, in_currency, name, one_line, say,
};
use crate::report::naming::{
    batch_name, board_name, cuts_to_order, done_already, marks_together, stop_measures,
};
use crate::report::other_needs::{SheetsInHand, sheets_in_hand};
use crate::stations::{Batch, Milling, SawOrder, Setting, millings};
use crate::tally::{Summary, Taken};

use super::besides::Besides;
use super::document::blocks;
use super::page::AtBench;
use super::words::{Words, named};

/// The first page.
#[derive(Template)]
#[template(path = "first.html", config = "src/paper/askama.toml")]
struct First {
    title: String,
    /// Of a later sheet at the bench its number, and what is to be said of the sheets before.
    sheet: Option<(usize, String)>,
    /// What was found.
    found: String,
    /// What the boards' prices are in.
    all_head: String,
    buy: Vec<Take>,
    /// What is there already, under a heading for where that is.
    there: [(&'static str, Vec<Take>); 2],
    /// Money for what is bought.
    to_pay: Option<String>,
    n_to_buy: u64,
    besides: Besides,
    measures: &'static str,
    kerf: String,
    end_trim: Option<String>,
    /// Where the end trim comes off.
    trimmed: &'static str,
    /// Rails in hand, whose ends are cut already.
    untrimmed: Option<String>,
    settings: Vec<SetUp>,
    steps: Vec<String>,
}

/// Boards of a kind to take.
struct Take {
    tick: String,
    count: u64,
    name: String,
    /// For whoever hears it.
    says: String,
    marks: String,
    length: String,
    /// Wood, width and thickness, as far as they are given.
    section: String,
    note: Option<String>,
    all: Option<String>,
}

/// What is cut at the miter saw from one moulding with one miter.
struct SetUp {
    title: String,
    size: String,
    n_settings: usize,
    longest: Option<String>,
}

/// The chapter.
pub(super) fn chapter(
    words: Words<'_>,
    summary: &Summary<'_>,
    order: &SawOrder,
    document: &Document,
    at_bench: Option<&AtBench>,
) -> askama::Result<String> {
    let plan = summary.plan;
    let job = &plan.job;
    // Whoever is at the bench has bought them.
    let materials = if at_bench.is_some() {
        &[][..]
    } else {
        &summary.materials
    };
    let (rack, buy): (Vec<&Taken>, Vec<&Taken>) = summary
        .taken
        .iter()
        .partition(|line| job.boards[line.board_idx].in_hand.is_some());
    let (bench, rack): (Vec<&Taken>, Vec<&Taken>) = rack
        .into_iter()
        .partition(|line| job.boards[line.board_idx].is_at_bench());
    let take = |line: &&Taken| take(words, plan, line);
    First {
        title: named(&one_line(&job.title)),
        sheet: at_bench
            .map(|at| {
                let before: Vec<&Block> = at.before.blocks.iter().collect();
                Ok::<_, askama::Error>((at.sheet, blocks(words, &before, ("before", 2))?))
            })
            .transpose()?,
        found: blocks(words, &opening(document), ("found", 2))?,
        all_head: words.html(in_currency(job, "all")),
        to_pay: summary.bought.map(|bought| words.html(amount(bought))),
        n_to_buy: buy.iter().map(|line| line.count).sum(),
        besides: Besides::new(words, job, summary.bought, materials),
        buy: buy.iter().map(take).collect(),
        there: [
            (
                "Take from the rack",
                rack.iter()
                    .map(take)
                    .chain(rack_sheets(words, job, materials))
                    .collect(),
            ),
            ("At the bench already", bench.iter().map(take).collect()),
        ],
        measures: stop_measures(job.shop.stop),
        kerf: words.html(exact(job.shop.kerf)),
        end_trim: (job.shop.end_trim > Length::ZERO).then(|| words.html(exact(job.shop.end_trim))),
        trimmed: if bench.is_empty() {
            "both ends of every board"
        } else {
            "every end that is still raw"
        },
        untrimmed: untrimmed(words, plan),
        settings: order
            .batches
            .iter()
            .map(|batch| set_up(words, plan, batch))
            .collect(),
        steps: steps(words, summary, order),
    }
    .render()
}

/// What stands before the first heading of a document: what the job holds and what was found.
fn opening(document: &Document) -> Vec<&Block> {
    let blocks = document.blocks.iter();
    let opening = blocks.take_while(|block| !matches!(block, Block::Heading(..)));
    opening
        .filter(|block| !matches!(block, Block::Title(..)))
        .collect()
}

/// The marks of rails in hand.
fn untrimmed(words: Words<'_>, plan: &Plan) -> Option<String> {
    let boards = plan.boards.iter().enumerate();
    let rails = boards.filter(|(_, planned)| {
        let board = &plan.job.boards[planned.board_idx];
        board.given.rail.is_some()
    });
    let rails: Vec<usize> = rails.map(|(at, _)| at).collect();
    let marks = plan.marks();
    (!rails.is_empty()).then(|| words.html(marks_together(&marks, rails)))
}

fn take(words: Words<'_>, plan: &Plan, line: &Taken) -> Take {
    let job = &plan.job;
    let marks = plan.marks();
    let of_line = plan.boards.iter().enumerate();
    let of_line = of_line.filter(|(_, taken)| taken.board_idx == line.board_idx);
    Take {
        tick: format!("take {}", line.board_idx),
        count: line.count,
        name: words.html(board_name(job, line.board_idx)),
        says: words.plain(say!("{} × {}", line.count, board_name(job, line.board_idx))),
        marks: words.html(marks_together(&marks, of_line.map(|(at, _)| at))),
        length: words.length(job.boards[line.board_idx].lying_length(), Show::There),
        section: words.html(section(job, line.board_idx)),
        note: cuts_to_order(job, line)
            .or_else(|| done_already(&job.boards[line.board_idx]).map(str::to_owned))
            .map(|note| words.html(note)),
        all: line.price().map(|price| words.html(amount(price))),
    }
}

/// The sheets that come from the rack.
fn rack_sheets(words: Words<'_>, job: &Job, materials: &[MaterialPlan]) -> Vec<Take> {
    let sheets = sheets_in_hand(job, materials).into_iter().enumerate();
    let take = |(at, of): (usize, SheetsInHand)| Take {
        tick: format!("take sheet {at}"),
        count: of.count,
        name: words.html(name(&of.label)),
        says: words.plain(say!("{} × {}", of.count, name(&of.label))),
        marks: String::new(),
        length: String::new(),
        section: words.html(of.what),
        note: None,
        all: of.worth.map(|worth| words.html(amount(worth))),
    };
    sheets.map(take).collect()
}

/// The wood of a board, its width and its thickness.
pub(super) fn section(job: &Job, board_idx: usize) -> Text {
    let board = &job.boards[board_idx];
    let facts = [
        board.material.as_deref().map(name),
        board.width.map(|width| say!("{} wide", exact(width))),
        board.thickness.map(|thick| say!("{} thick", exact(thick))),
    ];
    Text::join(facts.into_iter().flatten(), ", ")
}

/// Face, lip and rabbet of what is cut, and how many settings.
fn set_up(words: Words<'_>, plan: &Plan, batch: &Batch) -> SetUp {
    let size = batch.moulding_idx.map(|idx| {
        let moulding = &plan.job.mouldings[idx];
        let rabbet = (moulding.lip > Length::ZERO).then(|| {
            let depth = moulding
                .rabbet_depth
                .map(|depth| say!(", {} deep", exact(depth)));
            say!("; rabbet {} wide{}", exact(moulding.lip), depth)
        });
        say!("face {}{}", exact(moulding.face_width), rabbet)
    });
    let longest = batch
        .settings
        .iter()
        .max_by_key(|setting: &&Setting| setting.stop);
    SetUp {
        title: words.html(batch_name(&plan.job, batch)),
        size: words.html(size),
        n_settings: batch.settings.len(),
        longest: longest.map(|setting| words.length(setting.stop, Show::Needed)),
    }
}

fn steps(words: Words<'_>, summary: &Summary<'_>, order: &SawOrder) -> Vec<String> {
    let job = &summary.plan.job;
    let mut steps: Vec<Text> = Vec::new();
    if !job.shop.chops() {
        steps.push(say!("Saw a test kerf and measure it. The plan reckons with {}; if it is wider, write it into the job and plan again before you cut.", exact(job.shop.kerf)));
    }
    steps.push(if job.is_later_sheet() {
        "Lay out the boards, and chalk its letter on each that has none yet, as the drawings board by board have it."
            .into()
    } else {
        "Lay out the boards and chalk on each its letter, as the drawings board by board have it."
            .into()
    });
    // What is milled already is in no step.
    let mut milled = millings(summary.plan);
    milled.retain(|milling| milling.count > 0);
    let (first, later): (Vec<&Milling>, Vec<&Milling>) = milled
        .iter()
        .partition(|milling| milling.milled == Milled::BeforeCutting);
    let names = |of: &[&Milling]| {
        let of = of
            .iter()
            .map(|it| name(&job.mouldings[it.moulding_idx].name));
        Text::join(of, ", ")
    };
    let of_first = (!later.is_empty()).then(|| say!(" of {}", names(&first)));
    let work = [
        (!summary.resaws.is_empty()).then(|| "resaw and plane the slices".into()),
        (!summary.fences.is_empty()).then(|| "rip".into()),
        (!first.is_empty()).then(|| say!("mill rabbet and profile{}", of_first)),
    ];
    let work: Vec<Text> = work.into_iter().flatten().collect();
    if !work.is_empty() {
        let not_yet = (!later.is_empty()).then(|| {
            say!(
                " Not yet: rabbet and profile of {}, which come after the saw.",
                names(&later)
            )
        });
        let text = say!(
            "{} as the stations say, and mark every strip as its board, or with its own letter and number.{}",
            Text::join(work, ", then "),
            not_yet
        );
        steps.push(text.capitalized());
    }
    if let Some(first) = order.settings().next() {
        let sticks = first
            .sticks
            .iter()
            .map(|stick| say!("{}", stick.mark.to_string()));
        steps.push(say!(
            "Set the stop to {} and cut {} from {}; go on down the list by stop. Cut a test pair from scrap first, and close the corner.",
            Inline::Length(first.stop, Show::NeededWithUnit),
            count_of(first.n_cuts, "part"),
            Text::join(sticks, ", ")
        ));
    }
    let stick = "Stick its label on each part as it comes off the saw, or write what the list by board says";
    // A later sheet has no pages of frames; its list says how those go together that have other rails now.
    let glue_up = if job.is_later_sheet() {
        "glue up from the pages of the frames of the first papers, and by the list of frames with other rails"
    } else {
        "glue up from the pages of the frames"
    };
    if later.is_empty() {
        steps.push(say!("{}; {}.", stick, glue_up));
    } else {
        steps.push(say!("{}.", stick));
        steps.push(say!(
            "Mill rabbet and profile of {} on the sawn rails, as the stations say, then {}.",
            names(&later),
            glue_up
        ));
    }
    steps.into_iter().map(|step| words.html(step)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples::{job, plan};
    use crate::stations::saw_order;

    /// The steps of the sample with its mouldings milled so: cap and tray.
    fn said(milled: [Milled; 2]) -> Vec<String> {
        let mut job = job();
        for (moulding, milled) in job.mouldings.iter_mut().zip(milled) {
            moulding.milled = milled;
        }
        let plan = plan(&job);
        let words = Words::new(&job.display);
        steps(words, &Summary::new(&plan), &saw_order(&plan))
    }

    #[test]
    fn milling_stands_before_or_behind_the_saw_as_each_moulding_has_it() {
        let all_before = said([Milled::BeforeCutting; 2]);
        assert!(all_before[2].starts_with("Mill rabbet and profile as"));
        let mixed = said([Milled::BeforeCutting, Milled::AfterCutting]);
        assert!(
            mixed[2].starts_with("Mill rabbet and profile of <bdi>cherry cap</bdi> as"),
            "{mixed:?}"
        );
        assert!(
            mixed[2].contains("Not yet: rabbet and profile of <bdi>cherry tray</bdi>"),
            "{mixed:?}"
        );
        assert!(mixed[3].starts_with("Set the stop"), "{mixed:?}");
        let after = "Mill rabbet and profile of <bdi>cherry tray</bdi> on the sawn rails";
        assert!(mixed[5].starts_with(after), "{mixed:?}");
        let all_after = said([Milled::AfterCutting; 2]);
        assert!(all_after[2].starts_with("Set the stop"), "{all_after:?}");
        assert!(all_after[4].starts_with("Mill rabbet"), "{all_after:?}");
    }
}
