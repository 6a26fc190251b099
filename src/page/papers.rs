//! Papers and files: all that a command gives, to look at, to print and to save.

use askama::Template;

use crate::paper::Papers;
use crate::planfile::PlanFile;
use crate::report::csv::buying_list_csv;
use crate::report::csv::{
    cut_list_csv, frame_labels_csv, frames_csv, labels_csv, offcuts_csv, rack_csv, rails_csv,
    saw_order_csv, sheets_csv,
};
use crate::report::json::sizes_json;
use crate::report::pocket::pocket_text;
use crate::report::way_words::gone_name;
use crate::tally::Summary;

use super::state::{Found, Work};

#[derive(Template)]
#[template(path = "papers.html", config = "src/page/askama.toml")]
struct View {
    is_older: bool,
    has_plan: bool,
    /// Whether what may stand in for each board is known yet, which the papers tell.
    has_papers: bool,
    files: Vec<Row>,
    command: String,
}

struct Row {
    name: &'static str,
    about: &'static str,
}

/// The files that the page gives, and what each is for.
pub const NAMES: [(&str, &str); 14] = [
    (
        "papers.html",
        "all papers on one page, to print chapter by chapter",
    ),
    (
        "plan.json",
        "the plan with its proof, for `verify` and `replan`",
    ),
    ("cut-list.csv", "every cut at its place"),
    (
        "saw-order.csv",
        "the order by stop, for a saw with a stop that is set by a table",
    ),
    (
        "buying-list.csv",
        "what to take, to be filled in at the yard",
    ),
    ("pocket.txt", "the same for a phone"),
    ("labels.csv", "a label for each part"),
    ("frame-labels.csv", "a label for each frame"),
    ("rails.csv", "all rails"),
    ("frame-sizes.csv", "the sizes of all frames"),
    ("sheets.csv", "glass, mats and backings"),
    ("sizes.json", "all sizes, for scripts"),
    ("offcuts.csv", "what is left over"),
    ("rack.csv", "the rack afterwards"),
];

/// Papers and files of the plan as it is now.
pub(super) fn view(work: &Work, _query: &str) -> askama::Result<String> {
    let found = work.plan();
    View {
        is_older: found.is_none() && work.answer.found.is_some(),
        has_plan: found.is_some(),
        has_papers: found.is_some_and(|found| found.exchanges.is_some()),
        files: NAMES
            .iter()
            .map(|&(name, about)| Row { name, about })
            .collect(),
        command: command(work),
    }
    .render()
}

/// The command that gives the same files.
fn command(work: &Work) -> String {
    let way = work.way.as_ref().map(|way| format!(" --way \"{way}\""));
    let path = work.path.display();
    format!("longpoint plan {path}{} --out DIR", way.unwrap_or_default())
}

/// The text of a file by its name, of the plan as it is now; `None` where there is none of that name, or no plan yet.
///
/// # Panics
/// Never: exchanges are of their plan.
pub fn file(work: &Work, name: &str) -> Option<String> {
    let found: &Found = work.plan()?;
    let plan = &found.planned.plan;
    let job = &plan.job;
    let summary = || Summary::new(plan).beside(found.planned.aside.clone());
    let exchanges = found.exchanges.as_deref();
    Some(match name {
        "plan.json" => PlanFile::of(&found.planned).from_files(&found.texts).text(),
        "cut-list.csv" => cut_list_csv(plan),
        "rails.csv" => rails_csv(plan),
        "offcuts.csv" => offcuts_csv(plan),
        "rack.csv" => rack_csv(plan),
        "buying-list.csv" => buying_list_csv(plan),
        "frame-sizes.csv" => frames_csv(job),
        "sheets.csv" => sheets_csv(job),
        "sizes.json" => sizes_json(job),
        "frame-labels.csv" => frame_labels_csv(job),
        "papers.html" => Papers::new(&summary(), exchanges?, 1).page(),
        "saw-order.csv" | "labels.csv" => {
            let order = crate::stations::saw_order(plan);
            if name == "labels.csv" {
                labels_csv(plan, &order)
            } else {
                saw_order_csv(plan, &order)
            }
        }
        "pocket.txt" => {
            let aside = &found.planned.aside;
            let head = match aside.beyond_bought {
                Some(_) => "To buy still",
                None => "To buy",
            };
            let plan = aside.to_buy(plan);
            let way = gone_name(&plan.job).unwrap_or_else(|| head.to_owned());
            pocket_text(plan, &way, exchanges?)
        }
        _ => return None,
    })
}
