//! The list for the pocket: what to take at the yard, how long at least, and what may stand in for it.

use askama::Template;

use crate::compare::{Exchange, YardLine, yard_list};
use crate::plan::Plan;
use crate::plan::sheets::MaterialPlan;
use crate::report::document::{Inline, name, one_line, say};
use crate::report::naming::{board_name, cuts_to_order};
use crate::report::other_needs::sheets_in_hand;
use crate::report::pocket::{at_least, instead, worth_in_hand};
use crate::tally::Summary;

use super::besides::Besides;
use super::first::section;
use super::svg::figure::Figure;
use super::words::{Words, named};

/// The list for the pocket.
#[derive(Template)]
#[template(path = "pocket.html", config = "src/paper/askama.toml")]
struct Pocket {
    title: String,
    lines: Vec<PocketLine>,
    rack: Vec<PocketLine>,
    /// Sheets of the rack: tick and words.
    sheets: Vec<(String, String)>,
    to_pay: Option<String>,
    /// What the wood in hand that is taken counts.
    worth: Option<String>,
    /// Sheets and hardware, as the job says that they are sold.
    besides: Besides,
    /// Parts for which there is no wood.
    n_missing: usize,
}

struct PocketLine {
    tick: String,
    count: u64,
    name: String,
    at_least: String,
    section: String,
    notes: Vec<String>,
}

/// The chapter for the yard: what to take, how long at least, and what may stand in for it.
pub(super) fn chapter(
    words: Words<'_>,
    plan: &Plan,
    exchanges: &[Exchange],
    materials: &[MaterialPlan],
) -> askama::Result<String> {
    let summary = Summary::new(plan);
    let job = &plan.job;
    let lines = yard_list(plan).into_iter();
    let (rack, buy): (Vec<YardLine>, Vec<YardLine>) = lines
        .filter(|line| !job.boards[line.board_idx].is_at_bench())
        .partition(|line| line.is_rack);
    let shown = |line: &YardLine| {
        let mut taken = summary.taken.iter();
        let taken = taken.find(|taken| taken.board_idx == line.board_idx);
        let order = taken.and_then(|taken| cuts_to_order(job, taken));
        let mut exchanges = exchanges.iter();
        let exchange = exchanges.find(|exchange| exchange.board_idx == line.board_idx);
        let exchange = exchange.map(|exchange| format!("none left: {}", instead(plan, exchange)));
        PocketLine {
            tick: format!("take {}", line.board_idx),
            count: line.count,
            name: words.html(board_name(job, line.board_idx)),
            at_least: Figure::read(&at_least(plan, line)).html(),
            section: words.html(section(job, line.board_idx)),
            notes: [order, exchange]
                .into_iter()
                .flatten()
                .map(|note| words.html(note))
                .collect(),
        }
    };
    let sheets = sheets_in_hand(job, materials).into_iter().enumerate();
    let sheets = sheets.map(|(at, of)| {
        let text = say!("{} × {}: {}", of.count, name(&of.label), of.what);
        (format!("take sheet {at}"), words.html(text))
    });
    Pocket {
        sheets: sheets.collect(),
        title: named(&one_line(&job.title)),
        lines: buy.iter().map(shown).collect(),
        rack: rack.iter().map(shown).collect(),
        to_pay: summary
            .bought
            .map(|bought| words.html(Inline::Money(bought))),
        worth: worth_in_hand(plan)
            .filter(|_| !rack.is_empty())
            .map(|worth| words.html(Inline::Money(worth))),
        besides: Besides::new(words, job, summary.bought, materials),
        n_missing: plan.missing.len(),
    }
    .render()
}
