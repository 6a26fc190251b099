//! The answer beside what is typed: what the plan costs, how sure that is, and what to take.

use askama::Template;

use crate::job::Job;
use crate::paper::{Words, blocks_html};
use crate::plan::{Measure, Verdict};
use crate::report::document::{Block, Show};
use crate::report::progress::progress_text;
use crate::report::sections::plan_sheet;
use crate::stations::saw_order;
use crate::tally::Summary;

use super::state::{Found, Search, Work};

#[derive(Template)]
#[template(path = "answer.html", config = "src/page/askama.toml")]
struct Beside {
    /// How it stands, in a few words.
    standing: String,
    /// Whether nothing better is possible, something is known of it, or it is of earlier texts.
    class: &'static str,
    /// What a search that runs has found so far.
    so_far: Option<String>,
    may_stop: bool,
    found: Option<String>,
}

/// What a plan comes to.
#[derive(Template)]
#[template(path = "found.html", config = "src/page/askama.toml")]
struct Shown {
    value: String,
    count: String,
    take: Vec<Take>,
    settings: Option<Settings>,
    says: String,
}

struct Take {
    count: u64,
    name: String,
}

struct Settings {
    count: u64,
    longest: String,
}

/// The answer as it stands beside a view.
pub(super) fn beside(work: &Work) -> askama::Result<String> {
    let answer = &work.answer;
    let runs = matches!(answer.search, Search::Runs { .. });
    let (class, standing) = standing(work);
    let so_far = match (&answer.search, &work.job) {
        (
            &Search::Runs {
                so_far: Some((value, bound)),
            },
            Some(job),
        ) => Some(progress_text(Measure::of(job), &job.display, value, bound)),
        _ => None,
    };
    Beside {
        standing,
        class,
        so_far,
        may_stop: runs,
        found: answer.found.as_deref().map(shown).transpose()?,
    }
    .render()
}

/// How the answer stands: a class for its look, and words.
fn standing(work: &Work) -> (&'static str, String) {
    let is_now = work.plan().is_some();
    let older = |words: &str| {
        let words = if work.answer.found.is_some() {
            format!("Older answer; {words}")
        } else {
            let mut letters = words.chars();
            letters
                .next()
                .map(|first| first.to_uppercase().collect::<String>() + letters.as_str())
                .unwrap_or_default()
        };
        ("older", words)
    };
    match &work.answer.search {
        Search::Rejected(_) => {
            older("longpoint made a plan that its own check rejects; please report it")
        }
        Search::NoPlan => older("no choice of boards was found that goes this way"),
        _ if work.job.is_none() => older("the files have errors"),
        Search::Runs { .. } if !is_now && work.answer.found.is_some() => {
            older("the new one is searched for")
        }
        Search::Runs { .. } if !is_now => older("the plan is searched for"),
        _ => match work.plan() {
            None => older("no plan yet"),
            Some(found) => of_plan(found),
        },
    }
}

fn of_plan(found: &Found) -> (&'static str, String) {
    let plan = &found.planned.plan;
    let what = match plan.measure {
        Measure::Price => "costs less",
        Measure::BoardLength => "takes less board",
    };
    let is_best = plan.verdict == Verdict::Optimal;
    match (plan.missing.len(), is_best) {
        (0, true) => ("proved", format!("Proved: nothing {what}")),
        (0, false) => ("open", "Complete; something cheaper may exist".to_owned()),
        (1, _) => ("missing", "There is no wood for 1 part".to_owned()),
        (count, _) => ("missing", format!("There is no wood for {count} parts")),
    }
}

/// The plan, put into words once.
fn shown(found: &Found) -> askama::Result<String> {
    if let Some(shown) = found.shown.get() {
        return Ok(shown.clone());
    }
    let shown = plan_shown(found).render()?;
    Ok(found.shown.get_or_init(|| shown).clone())
}

fn plan_shown(found: &Found) -> Shown {
    let plan = &found.planned.plan;
    let job: &Job = &plan.job;
    let words = Words::new(&job.display);
    let summary = Summary::new(plan)
        .beside(found.planned.aside.clone())
        .with_sheets(found.planned.materials.clone());
    let order = saw_order(plan);
    let stops = order.settings().map(|setting| setting.stop);
    let document = plan_sheet(&summary);
    let opening = document.blocks.iter();
    let opening = opening
        .take_while(|block| !matches!(block, Block::Heading(..)))
        .filter(|block| !matches!(block, Block::Title(..)));
    let frames: u64 = job
        .frames
        .iter()
        .map(|frame| u64::from(frame.quantity))
        .sum();
    let counted = |count: u64, word: &str| match count {
        1 => format!("1 {word}"),
        _ => format!("{count} {word}s"),
    };
    let boards = u64::try_from(plan.boards.len()).unwrap_or(u64::MAX);
    Shown {
        value: plan.measure.text(&job.display, plan.value),
        count: format!("{}, {}", counted(boards, "board"), counted(frames, "frame")),
        take: summary
            .taken
            .iter()
            .map(|line| Take {
                count: line.count,
                name: crate::paper::named(&job.boards[line.board_idx].name),
            })
            .collect(),
        settings: stops.max().map(|longest| Settings {
            count: order.n_by_stop,
            longest: words.length(longest, Show::Needed),
        }),
        says: blocks_html(words, &opening.collect::<Vec<_>>(), "answer"),
    }
}
