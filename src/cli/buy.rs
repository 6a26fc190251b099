//! The command `buy`: ways of buying side by side.

use std::time::Instant;

use crate::audit::Violation;
use crate::compare::{Comparison, Reasons, Steer, compare, find_reasons};
use crate::job::Job;
use crate::load::Boards;
use crate::report::csv::{
    needs_csv, not_bought_csv, shares_csv, ways_csv, what_if_csv, yard_list_csv,
};
use crate::report::json::ways_json;
use crate::report::sections::ways_sheet;
use crate::report::text::set;

use super::args::{BuyArgs, BuyFormat};
use super::files::Output;
use super::screen::Screen;
use super::watch::Watch;
use super::{Ended, Fault, Input, print, read, write};

/// Runs the command.
pub(super) fn buy(args: &BuyArgs, screen: Screen) -> Result<Ended, Fault> {
    let started = Instant::now();
    let Input {
        job, files: inputs, ..
    } = read(&args.job, Boards::Needed)?;
    let job = args.vehicle.limit(job)?;
    let watch = Watch::start(&job, started, args.limit.time, args.out.as_deref());
    let found = search(&job, args.why || args.out.is_some(), &watch);
    watch.end();
    let (comparison, reasons) = found.map_err(|violations| {
        Fault::Rejected(violations.iter().map(ToString::to_string).collect())
    })?;
    if let (Some(dir), Some(reasons)) = (&args.out, &reasons) {
        let outputs = outputs(&job, &comparison, reasons, screen);
        write(dir, &outputs, &inputs, args.replace)?;
    }
    let shown = reasons.as_ref().filter(|_| args.why);
    print(&match args.format {
        BuyFormat::Text => set(
            &ways_sheet(&job, &comparison, shown, args.lists),
            screen.look(args.look.width),
        ),
        BuyFormat::Csv => ways_csv(&job, &comparison),
        BuyFormat::Json => ways_json(&job, &comparison, shown),
    })?;
    Ok(if comparison.best().is_complete() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// Plans all ways, and if asked what the best mix depends on.
fn search(
    job: &Job,
    with_reasons: bool,
    watch: &Watch,
) -> Result<(Comparison, Option<Reasons>), Vec<Violation>> {
    let stop = || watch.stop();
    let progress = |done, of| watch.count(done, of);
    let steer = Steer {
        stop: &stop,
        progress: &progress,
    };
    let comparison = compare(job, &steer)?;
    let reasons = if with_reasons {
        Some(find_reasons(&comparison, &steer)?)
    } else {
        None
    };
    Ok((comparison, reasons))
}

/// All that is written of a comparison.
fn outputs(job: &Job, comparison: &Comparison, reasons: &Reasons, screen: Screen) -> Vec<Output> {
    let output = |name, text| Output { name, text };
    let best = comparison.best();
    vec![
        output(
            "ways.txt",
            set(
                &ways_sheet(job, comparison, Some(reasons), true),
                screen.file_look(),
            ),
        ),
        output("ways.json", ways_json(job, comparison, Some(reasons))),
        output("ways.csv", ways_csv(job, comparison)),
        output("what-if.csv", what_if_csv(job, comparison, reasons)),
        output("boards-not-bought.csv", not_bought_csv(job, reasons)),
        output("yard-list.csv", yard_list_csv(best)),
        output("materials.csv", needs_csv(job)),
        output("cost-by-frame.csv", shares_csv(best)),
    ]
}
