//! The command `papers`.

use std::path::Path;
use std::time::Instant;

use crate::audit::Violation;
use crate::compare::{Exchange, find_exchanges, plan_way};
use crate::job::{Job, Way};
use crate::load::Boards;
use crate::paper::{boards_svg, papers_page};
use crate::plan::{Aside, Plan};
use crate::planfile::read_bench;
use crate::report::csv::{frame_labels_csv, labels_csv, saw_order_csv};
use crate::solve::Control;
use crate::stations::saw_order;
use crate::tally::Summary;

use super::args::PapersArgs;
use super::files::Output;
use super::plan::steer;
use super::watch::Watch;
use super::{Ended, Fault, Input, disk, print, read, write};

/// Runs the command.
pub(super) fn papers(args: &PapersArgs) -> Result<Ended, Fault> {
    let started = Instant::now();
    let mut typed = vec![args.job.path.as_path()];
    typed.extend(args.plan.as_deref());
    disk::check_one_input(&typed).map_err(Fault::Usage)?;
    let Input { job, files, .. } = read(&args.job, Boards::Needed)?;
    let watch = Watch::start(&job, started, args.limit.time, args.out.as_deref());
    let stop = || watch.stop();
    let progress = |progress| watch.tell(progress);
    let control = Control {
        stop: &stop,
        progress: &progress,
    };
    let rejected = |violations: Vec<Violation>| {
        Fault::Rejected(violations.iter().map(ToString::to_string).collect())
    };
    let found = match &args.plan {
        Some(path) => plan_of_file(&job, path).map(|(plan, sheet)| (plan, Aside::default(), sheet)),
        None => plan_way(&job, &Way::BestMix, &control)
            .map_err(rejected)
            .map(|planned| {
                let planned = planned.expect("the best mix is a way that every job has");
                (planned.plan, planned.aside, 1)
            }),
    };
    let found = found.and_then(|(plan, aside, sheet)| {
        let exchanges =
            find_exchanges(aside.beyond_bought.as_ref().unwrap_or(&plan), &steer(&stop))
                .map_err(rejected)?;
        Ok((plan, aside, sheet, exchanges))
    });
    watch.end();
    let (plan, aside, sheet, exchanges) = found?;
    let counted = Summary::new(&plan).beside(aside);
    match &args.out {
        Some(dir) => write(
            dir,
            &outputs(&counted, &exchanges, sheet),
            &files,
            args.replace,
        )?,
        None => print(&papers_page(&counted, &saw_order(&plan), &exchanges, sheet))?,
    }
    Ok(if plan.missing.is_empty() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// The plan of a file, of a bench that of its last sheet, and the number of that.
fn plan_of_file(job: &Job, path: &Path) -> Result<(Plan, usize), Fault> {
    let fault = |what: String| Fault::PlanFile {
        path: path.to_path_buf(),
        what,
        hint: None,
    };
    let text = disk::read_text(path).map_err(fault)?;
    let (bench, now) = read_bench(job, &text)
        .map_err(|unreadable| Fault::unreadable(path, &unreadable))?
        .map_err(|findings| {
            let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
            fault(format!(
                "it is not a plan of this job: {}",
                found.join("; ")
            ))
        })?;
    if bench.job().as_read() != now {
        return Err(fault(
            "the job has changed since it was made: plan again, or `replan`".to_owned(),
        ));
    }
    Ok((bench.last().plan.clone(), bench.rounds().len() + 1))
}

/// All papers of a plan, which is the sheet of this number at the bench.
pub(super) fn outputs(counted: &Summary<'_>, exchanges: &[Exchange], sheet: usize) -> Vec<Output> {
    let plan = counted.plan;
    let order = saw_order(plan);
    let output = |name, text| Output { name, text };
    vec![
        output(
            "papers.html",
            papers_page(counted, &order, exchanges, sheet),
        ),
        output("boards.svg", boards_svg(counted)),
        output("saw-order.csv", saw_order_csv(plan, &order)),
        output("labels.csv", labels_csv(plan, &order)),
        output("frame-labels.csv", frame_labels_csv(&plan.job)),
    ]
}
