//! The chapter by stop: every setting of the stop once, with the cuts that it serves.

use std::collections::BTreeSet;

use askama::Template;

use crate::plan::{Part, Plan};
use crate::report::document::{Show, Text, count_of, say};
use crate::report::naming::{
    batch_name, done_already, from_trim, name_behind, stick_word, sticks, stop_measures, stop_word,
};
use crate::stations::{Batch, SawOrder, Stick, is_measured_elsewhere, opposite_part};

use super::boards::{part_words, tick_name};
use super::cautions::at_the_saw;
use super::words::Words;

#[derive(Template)]
#[template(path = "stops.html", config = "src/paper/askama.toml")]
struct Stops {
    /// What is said of the order, sentence by sentence.
    about: Vec<String>,
    /// What to look out for.
    watch: Option<String>,
    /// What lies at the saw, in a word.
    stick: &'static str,
    /// Rails in hand that are cut again, and strips that are cut at a defect before anything else.
    first: Vec<String>,
    batches: Vec<ShownBatch>,
}

struct ShownBatch {
    title: String,
    settings: Vec<ShownSetting>,
}

struct ShownSetting {
    stop: String,
    /// Whether the figure is another than the batch's, in words.
    measures: Option<String>,
    n_cuts: u64,
    sticks: Vec<ShownStick>,
}

struct ShownStick {
    mark: String,
    cuts: Vec<ShownCut>,
}

struct ShownCut {
    tick: String,
    number: String,
    /// What it makes; of a frame that the cut before it on the stick is of, only the side.
    part: String,
    says: String,
    is_turned: bool,
    /// What is left out before it for a defect, from and to.
    skip: Option<String>,
}

/// The chapter.
pub(super) fn chapter(words: Words<'_>, plan: &Plan, order: &SawOrder) -> askama::Result<String> {
    Stops {
        about: about(words, plan, order),
        watch: at_the_saw(words, plan),
        stick: stick_word(order),
        first: [rails(words, plan), parted(words, plan, order)].concat(),
        batches: order
            .batches
            .iter()
            .map(|batch| shown_batch(words, plan, order, batch))
            .collect(),
    }
    .render()
}

fn about(words: Words<'_>, plan: &Plan, order: &SawOrder) -> Vec<String> {
    let settings = count_of(order.n_by_stop, "setting");
    let fewest = match (order.is_fewest, order.n_by_stop < order.n_board_by_board) {
        (true, true) => say!(
            "{} of the stop, for each moulding the fewest that its strips allow; board by board it is set {} times.",
            settings,
            order.n_board_by_board
        ),
        (true, false) => say!(
            "{} of the stop, for each moulding the fewest that its strips allow.",
            settings
        ),
        (false, _) => say!(
            "{} of the stop; fewer may do. Board by board it is set {} times.",
            settings,
            order.n_board_by_board
        ),
    };
    let handled = say!(
        "{}, picked up {} in all.",
        sticks(order),
        count_of(order.n_picked_up, "time")
    );
    let measures = say!("The stop measures {}.", stop_measures(plan.job.shop.stop));
    let keep = say!(
        "Cut what lies first on a {} before what lies behind it: this order keeps to that.",
        stick_word(order)
    );
    let any_turned = order.by_board.iter().any(|cut| cut.turned);
    let turned = any_turned.then(|| Text::from("3t: the part of cut 3 lies turned end for end, its outer edge where the others have their sight edge."));
    let lines = [
        Some(measures),
        Some(fewest),
        Some(handled),
        Some(keep),
        turned,
        pairs(plan, order),
    ];
    lines
        .into_iter()
        .flatten()
        .map(|text| words.html(text))
        .collect()
}

/// How many pairs of opposite rails come from one setting of the stop, which makes them alike.
fn pairs(plan: &Plan, order: &SawOrder) -> Option<Text> {
    let cut: BTreeSet<Part> = order.by_board.iter().map(|cut| cut.part).collect();
    let with_opposite = cut.iter().filter(|&&part| {
        let opposite = opposite_part(&plan.job, part);
        opposite.is_some_and(|opposite| cut.contains(&opposite))
    });
    let all = u64::try_from(with_opposite.count() / 2).unwrap_or(u64::MAX);
    let at_once: u64 = order.settings().map(|setting| setting.n_pairs).sum();
    match (at_once, all) {
        (_, 0) => None,
        _ if at_once >= all => {
            Some("Opposite rails come from one setting of the stop, so that they are alike.".into())
        }
        _ => Some(say!(
            "{} of {} pairs of opposite rails come from one setting of the stop; lay the others together and see that they \
             are alike.",
            at_once,
            all
        )),
    }
}

/// Rails that were cut before and are cut again: what is done to them already.
fn rails(words: Words<'_>, plan: &Plan) -> Vec<String> {
    let marks = plan.marks();
    let boards = plan.boards.iter().enumerate();
    let rails = boards.filter_map(|(at, planned)| {
        let board = &plan.job.boards[planned.board_idx];
        let already = done_already(board).filter(|_| board.given.rail.is_some())?;
        Some(say!("{}: {}.", marks.chalked(at).to_string(), already))
    });
    rails.map(|text| words.html(text)).collect()
}

fn parted(words: Words<'_>, plan: &Plan, order: &SawOrder) -> Vec<String> {
    let shown = order.parted.iter().map(|parted| {
        let at = parted.at.iter().map(|&run| from_trim(&plan.job, run));
        say!(
            "{}: cut through it in the defect from {}, before anything else; each piece is then a stick of its own.",
            parted.mark.to_string(),
            Text::join(at, ", ")
        )
    });
    shown.map(|text| words.html(text)).collect()
}

fn shown_batch(words: Words<'_>, plan: &Plan, order: &SawOrder, batch: &Batch) -> ShownBatch {
    ShownBatch {
        title: words.html(batch_name(&plan.job, batch)),
        settings: batch
            .settings
            .iter()
            .map(|setting| ShownSetting {
                stop: words.length(setting.stop, Show::Needed),
                measures: is_measured_elsewhere(&plan.job, batch.miter, setting.at)
                    .then(|| format!("at the {}", stop_word(setting.at))),
                n_cuts: setting.n_cuts,
                sticks: setting
                    .sticks
                    .iter()
                    .map(|stick| shown_stick(words, plan, order, stick))
                    .collect(),
            })
            .collect(),
    }
}

fn shown_stick(words: Words<'_>, plan: &Plan, order: &SawOrder, stick: &Stick) -> ShownStick {
    let before = std::iter::once(None).chain(stick.cuts.iter().map(|cut| Some(cut.part)));
    ShownStick {
        mark: stick.mark.to_string(),
        cuts: stick
            .cuts
            .iter()
            .zip(before)
            .map(|(&cut, before)| ShownCut {
                part: words.html(name_behind(&plan.job, before, cut.part)),
                tick: tick_name(cut.label),
                number: cut.label.cut.to_string(),
                says: format!("{}, {}", cut.label, part_words(words, plan, cut)),
                is_turned: cut.turned,
                skip: order.skip_before(&cut).map(|skip| {
                    words.html(say!(
                        "defect {}: leave it out, saw a fresh end behind it, then",
                        from_trim(&plan.job, skip)
                    ))
                }),
            })
            .collect(),
    }
}
