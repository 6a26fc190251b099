//! Papers and files: all that a command gives, to look at, to print and to save.

use askama::Template;

use crate::job::PriceRules;

use super::action::From;
use super::state::Work;

/// What a file is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// The job alone; its sizes need no boards.
    Job,
    /// The plan.
    Plan,
    /// The comparison of ways of buying.
    Ways,
    /// The bench.
    Bench,
}

/// Files that tell what the shop pays and asks, or that carry the files of the job: not for a tablet at the bench, as are all of
/// [`Of::Ways`]. The papers, which it has, tell no more of money than what is to be fetched costs.
const OF_THE_SHOP: [&str; 15] = [
    "check.txt",
    "plan.txt",
    "plan.json",
    "verified.txt",
    "pocket.txt",
    "buying-list.csv",
    "sheets-to-buy.csv",
    "rack.csv",
    "sheet-rack.csv",
    "not-used.csv",
    "rest.txt",
    "rest.json",
    "rest-buying-list.csv",
    "rest-rack.csv",
    "rest-verified.txt",
];

/// Whether a file may be looked at from there.
pub fn is_open_to(of: Of, name: &str, from: From) -> bool {
    let is_told = name.starts_with("quote") || OF_THE_SHOP.contains(&name);
    from == From::Here || !(is_told || of == Of::Ways)
}

/// The files that the page gives: as a command writes or prints them, under the name that it gives them.
pub const FILES: [(Of, &str, &str); 59] = [
    (
        Of::Job,
        "check.txt",
        "what `check` says of its files: every error and warning at its place",
    ),
    (Of::Job, "sizes.txt", "the sizes as a terminal shows them"),
    (Of::Job, "sizes.json", "the sizes for scripts"),
    (Of::Job, "frame-sizes.csv", "the sizes of all frames"),
    (
        Of::Job,
        "sheets.csv",
        "glass, mats, backings and dust covers",
    ),
    (
        Of::Job,
        "hardware-cuts.csv",
        "what to cut off rolls, of wire and of cleats",
    ),
    (
        Of::Plan,
        "papers.html",
        "all papers on one page; follow a link in it to print a chapter alone",
    ),
    (Of::Plan, "plan.txt", "the plan as a terminal shows it"),
    (
        Of::Plan,
        "plan.json",
        "the plan with its proof, for `verify` and `replan`",
    ),
    (
        Of::Plan,
        "verified.txt",
        "what `verify` says of it: all derived again, and the proof checked",
    ),
    (Of::Plan, "boards.svg", "all boards at true scale"),
    (Of::Plan, "stops.txt", "the order of sawing by stop"),
    (Of::Plan, "stations.txt", "what each station is set to"),
    (Of::Plan, "pocket.txt", "what to take, for a phone"),
    (
        Of::Plan,
        "buying-list.csv",
        "what to take, to fill in at the yard",
    ),
    (Of::Plan, "cut-list.csv", "every cut at its place"),
    (Of::Plan, "saw-order.csv", "every cut in the order by stop"),
    (Of::Plan, "rip-list.csv", "where to rip"),
    (Of::Plan, "resaw-list.csv", "what to resaw"),
    (Of::Plan, "rails.csv", "all rails"),
    (Of::Plan, "labels.csv", "a label for each part"),
    (Of::Plan, "frame-labels.csv", "a label for each frame"),
    (
        Of::Plan,
        "sheet-cuts.csv",
        "every cut of what comes in sheets",
    ),
    (Of::Plan, "sheets-to-buy.csv", "sheets to buy"),
    (Of::Plan, "sheet-rack.csv", "the rack of sheets afterwards"),
    (Of::Plan, "offcuts.csv", "what is left over"),
    (Of::Plan, "rack.csv", "the rack afterwards"),
    (
        Of::Plan,
        "not-used.csv",
        "what stays on the rack as it lies",
    ),
    (Of::Plan, "missing.csv", "parts for which there is no wood"),
    (Of::Plan, "wood-balance.csv", "what becomes of the wood"),
    (
        Of::Plan,
        "quote.html",
        "the price for the customer, to print",
    ),
    (
        Of::Plan,
        "quote.txt",
        "the price as a terminal shows it, without costs",
    ),
    (Of::Plan, "quote.csv", "the price, a row for each line"),
    (Of::Plan, "quote.json", "the price for scripts"),
    (
        Of::Plan,
        "quote-costs.txt",
        "for the shop: costs, price and margin of each line, with every rule",
    ),
    (
        Of::Plan,
        "quote-costs.csv",
        "the same as a table, with what one fewer of each saves",
    ),
    (Of::Ways, "ways.html", "ways of buying on one page"),
    (Of::Ways, "ways.txt", "the same as a terminal shows it"),
    (Of::Ways, "ways.json", "the same for scripts"),
    (Of::Ways, "ways.csv", "a row for each way"),
    (Of::Ways, "what-if.csv", "what the purchase depends on"),
    (
        Of::Ways,
        "boards-not-bought.csv",
        "prices at which other boards would pay",
    ),
    (Of::Ways, "materials.csv", "what else the job needs"),
    (Of::Ways, "cost-by-frame.csv", "what each frame costs"),
    (
        Of::Bench,
        "rest-papers.html",
        "papers of what is new in the last plan",
    ),
    (Of::Bench, "rest.txt", "what changed last, and what is new"),
    (Of::Bench, "rest.json", "all plans, for the next `replan`"),
    (
        Of::Bench,
        "rest-cut-list.csv",
        "the cuts that are still to be made",
    ),
    (
        Of::Bench,
        "rest-buying-list.csv",
        "what is still to be bought",
    ),
    (Of::Bench, "rest-rack.csv", "the rack once all is cut"),
    (Of::Bench, "rest-rip-list.csv", "where to rip"),
    (Of::Bench, "rest-resaw-list.csv", "what to resaw"),
    (
        Of::Bench,
        "rest-rails.csv",
        "all rails, and which cut each is",
    ),
    (Of::Bench, "rest-offcuts.csv", "what is left over"),
    (
        Of::Bench,
        "rest-missing.csv",
        "parts for which there is no wood any more",
    ),
    (
        Of::Bench,
        "rest-wood-balance.csv",
        "what becomes of the wood",
    ),
    (
        Of::Bench,
        "rest-frame-sizes.csv",
        "the sizes of all frames as they now are",
    ),
    (
        Of::Bench,
        "rest-sheets.csv",
        "glass, mats and backings as they now are",
    ),
    (
        Of::Bench,
        "rest-verified.txt",
        "what `verify` says of the bench: every plan derived again",
    ),
];

#[derive(Template)]
#[template(path = "papers.html", config = "src/page/askama.toml")]
struct View {
    says: Option<&'static str>,
    groups: Vec<Group>,
    /// The page of papers that is wanted at the bench now.
    first: Option<&'static str>,
    can_stow: bool,
}

struct Group {
    title: &'static str,
    id: &'static str,
    rows: Vec<Row>,
    command: String,
}

struct Row {
    name: &'static str,
    about: String,
}

/// Papers and files of what is known now.
pub(super) fn view(work: &Work, from: From) -> askama::Result<String> {
    let found = work.plan();
    let says = match (found, &work.answer.found) {
        (Some(found), _) if found.exchanges.is_some() => None,
        (Some(_), _) => Some(
            "The papers are there in a moment: what may stand in for each board is searched for.",
        ),
        (None, Some(_)) => Some("The papers of the new plan are there as soon as it is."),
        (None, None) => Some("There is no plan yet."),
    };
    let path = work.path.display();
    let way = work
        .way
        .as_ref()
        .map(|way| format!(" --way \"{way}\""))
        .unwrap_or_default();
    let is_priced = work.plan().is_some() && is_there(work, Of::Plan, "quote.txt");
    let priced = if is_priced {
        format!(", longpoint quote {path}{way} --out DIR")
    } else {
        String::new()
    };
    let group = |of: Of, title, id, command: String| {
        let rows = FILES.iter().filter(|(kind, ..)| *kind == of);
        Group {
            title,
            id,
            rows: rows
                .filter(|(_, name, _)| is_open_to(of, name, from) && is_there(work, of, name))
                .map(|&(_, name, about)| Row {
                    name,
                    about: about.replace('`', ""),
                })
                .collect(),
            command,
        }
    };
    let groups = [
        group(
            Of::Plan,
            "The plan",
            "of-plan",
            format!("longpoint plan {path}{way} --out DIR{priced}"),
        ),
        group(
            Of::Ways,
            "Ways of buying",
            "of-ways",
            format!("longpoint buy {path} --out DIR"),
        ),
        group(
            Of::Bench,
            "At the bench",
            "of-bench",
            format!("longpoint replan {path} … --out DIR"),
        ),
        group(
            Of::Job,
            "The job",
            "of-job",
            format!("longpoint check {path}, longpoint sizes {path} --out DIR"),
        ),
    ];
    let first = [(Of::Bench, "rest-papers.html"), (Of::Plan, "papers.html")];
    let mut first = first
        .into_iter()
        .filter(|(of, name)| is_there(work, *of, name));
    View {
        first: first.next().map(|(_, name)| name),
        says,
        groups: groups
            .into_iter()
            .filter(|group| !group.rows.is_empty())
            .collect(),
        can_stow: from == From::Here
            && work
                .cutting
                .as_ref()
                .is_some_and(|cutting| cutting.bench.is_ok())
            && !work.replans,
    }
    .render()
}

/// Whether there is a file of this name now.
fn is_there(work: &Work, of: Of, name: &str) -> bool {
    match of {
        Of::Job => name == "check.txt" || work.sized().is_some(),
        Of::Plan => {
            let to_buy = ["pocket.txt", "buying-list.csv"].contains(&name);
            let is_bought = work
                .job
                .as_ref()
                .is_some_and(|job| job.buying.purchase.is_some());
            let is_quote = name.starts_with("quote");
            let is_priced = work
                .job
                .as_ref()
                .is_some_and(|job| job.prices != PriceRules::default());
            let found = work.plan().filter(|found| found.exchanges.is_some());
            found.is_some() && !(to_buy && is_bought) && (!is_quote || is_priced)
        }
        Of::Ways => work
            .compared()
            .is_some_and(|compared| compared.reasons.is_some()),
        Of::Bench => work.cutting.as_ref().is_some_and(|cutting| {
            let rounds = cutting
                .bench
                .as_ref()
                .map_or(0, |at| at.bench.rounds().len());
            rounds > 0
        }),
    }
}
