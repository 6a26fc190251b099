//! The command `buy`: ways of buying side by side.

use std::time::{Duration, Instant};

use crate::audit::Violation;
use crate::compare::{Comparison, Reasons, Steer, compare, find_exchanges, find_reasons_within};
use crate::diag::safe_text;
use crate::job::Job;
use crate::load::Boards;
use crate::paper::ways_page;
use crate::report::csv::{
    buying_list_csv, needs_csv, not_bought_csv, shares_csv, ways_csv, what_if_csv,
};
use crate::report::json::ways_json;
use crate::report::pocket::{Purchase, pocket_text};
use crate::report::sections::ways_sheet;
use crate::report::text::{Look, set};
use crate::report::way_words::row_name;
use crate::solve::Share;

use super::args::{BuyArgs, BuyFormat};
use super::files::Output;
use super::screen::Screen;
use super::watch::Watch;
use super::{Ended, Fault, Input, print, read, write};

/// Runs the command.
pub(super) fn buy(args: &BuyArgs, screen: Screen) -> Result<Ended, Fault> {
    let started = Instant::now();
    if let Some(way) = &args.way {
        return Err(Fault::Usage(format!(
            "`buy` compares all ways of buying, so it goes none of them\n\
             hint: plan one by its name: `longpoint plan JOB.toml --way {}`; with `--format pocket` that is the list to buy by",
            typed_again(way)
        )));
    }
    let Input {
        job, files: inputs, ..
    } = read(&args.job, Boards::Needed)?;
    let job = args.vehicle.limit(job)?;
    // What was bought is bought: the question is what else is to be. The earlier list may be what says so.
    let list_name = match job.buying.purchase {
        Some(_) => "buy-more.csv",
        None => "buying-list.csv",
    };
    let job = job.beyond_bought().unwrap_or(job);
    let watch = Watch::start(&job, started, args.limit.time, args.out.as_deref());
    let asked = Asked {
        reasons: args.why || args.out.is_some(),
        budget: args.limit.time.map_or(Share::MANY, budget_for),
        exchanges: args.format == BuyFormat::Pocket || args.out.is_some(),
    };
    // What is known is shown while the rest comes, unless files are to be written, which is done before anything is shown.
    let is_shown_early = args.why && args.out.is_none() && args.format == BuyFormat::Text;
    let look = screen.look(args.look.width);
    let mut shown_early = String::new();
    let mut early = |comparison: &Comparison| -> Result<(), Fault> {
        if is_shown_early {
            shown_early = set(&ways_sheet(&job, comparison, None, false), look);
            watch.aside(|| print(&shown_early))?;
        }
        Ok(())
    };
    let found = search(&job, &asked, &watch, &mut early);
    watch.end();
    let (comparison, reasons, pocket) = found?;
    if let (Some(dir), Some(reasons)) = (&args.out, &reasons) {
        let mut outputs = outputs(&job, &comparison, reasons, screen.file_look());
        outputs.extend([
            Output {
                name: list_name,
                text: buying_list_csv(&comparison.best().plan),
            },
            Output {
                name: "pocket.txt",
                text: pocket.clone(),
            },
        ]);
        write(dir, &outputs, &inputs, args.replace)?;
    }
    let shown = reasons.as_ref().filter(|_| args.why);
    print(&match args.format {
        BuyFormat::Text => {
            let whole = set(&ways_sheet(&job, &comparison, shown, args.lists), look);
            match whole.strip_prefix(&shown_early) {
                Some(rest) => rest.to_owned(),
                None => whole,
            }
        }
        BuyFormat::Pocket => pocket,
        BuyFormat::Csv => ways_csv(&job, &comparison),
        BuyFormat::Json => ways_json(&job, &comparison, shown),
    })?;
    Ok(if comparison.best().is_complete() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// A name as it is typed once more.
fn typed_again(name: &str) -> String {
    format!("\"{}\"", safe_text(name))
}

/// What is to be found besides the ways.
struct Asked {
    /// What the best mix depends on.
    reasons: bool,
    /// What may stand in for each board of the cheapest way.
    exchanges: bool,
    /// Work for the first of these.
    budget: Share,
}

/// Seconds that [`Share::MANY`] takes, about.
const SECONDS_OF_MANY: u64 = 5;

/// Work for what is asked beside the ways: more for more time, which ends it all the same.
fn budget_for(time: Duration) -> Share {
    let times = time.as_secs().div_ceil(SECONDS_OF_MANY).max(1);
    Share::steps(Share::MANY.work().saturating_mul(times))
}

/// Plans all ways, which `early` is told of, and if asked what the best mix depends on.
fn search(
    job: &Job,
    asked: &Asked,
    watch: &Watch,
    early: &mut dyn FnMut(&Comparison) -> Result<(), Fault>,
) -> Result<(Comparison, Option<Reasons>, String), Fault> {
    let rejected = |violations: Vec<Violation>| Fault::rejected(&violations);
    let stop = || watch.stop();
    let progress = |done, of| watch.count(done, of);
    let steer = Steer {
        stop: &stop,
        progress: &progress,
    };
    let comparison = compare(job, &steer).map_err(rejected)?;
    early(&comparison)?;
    let reasons = if asked.reasons {
        let found = find_reasons_within(&comparison, asked.budget, &steer);
        Some(found.map_err(rejected)?)
    } else {
        None
    };
    let best = comparison.best();
    let pocket = if asked.exchanges {
        let way = row_name(job, &comparison, &best.way);
        pocket_text(
            &best.plan,
            Purchase::Way(&way),
            &find_exchanges(&best.plan, &steer).map_err(rejected)?,
            &comparison.materials,
        )
    } else {
        String::new()
    };
    Ok((comparison, reasons, pocket))
}

/// All that is written of a comparison but the lists to buy by.
pub(super) fn outputs(
    job: &Job,
    comparison: &Comparison,
    reasons: &Reasons,
    look: Look,
) -> Vec<Output> {
    let output = |name, text| Output { name, text };
    let best = comparison.best();
    let sheet = ways_sheet(job, comparison, Some(reasons), true);
    vec![
        output("ways.txt", set(&sheet, look)),
        output("ways.html", ways_page(job, comparison, &sheet)),
        output("ways.json", ways_json(job, comparison, Some(reasons))),
        output("ways.csv", ways_csv(job, comparison)),
        output("what-if.csv", what_if_csv(job, comparison, reasons)),
        output("boards-not-bought.csv", not_bought_csv(job, reasons)),
        output("materials.csv", needs_csv(job, &comparison.materials)),
        output("cost-by-frame.csv", shares_csv(best, &comparison.materials)),
    ]
}
