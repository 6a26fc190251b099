//! The command `replan`.

use crate::load::Boards;
use crate::planfile::{bench_text, read_bench};
use crate::replan::{self, Marks};
use crate::report::csv_files::{boards_csv, missing_csv, open_cuts_csv};
use crate::report::text::rest_text;
use crate::solve::Control;
use crate::tally::Summary;

use super::args::ReplanArgs;
use super::files::{self, Output};
use super::watch::Watch;
use super::{Ended, Fault, disk, look, marks, plain_look, print, read};

/// Plans the rest of a job.
pub(super) fn replan(args: &ReplanArgs) -> Result<Ended, Fault> {
    let (job, mut inputs) = read(&args.job.path, Boards::Needed)?;
    let fault = |what: String| Fault::PlanFile {
        path: args.plan.clone(),
        what,
        hint: None,
    };
    let text = disk::read_text(&args.plan).map_err(fault)?;
    inputs.push(args.plan.clone());
    let bench = read_bench(&job, &text)
        .map_err(|unreadable| Fault::unreadable(&args.plan, &unreadable))?
        .map_err(|findings| {
            let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
            fault(format!("it is no plan of this job: {}", found.join("; ")))
        })?;
    let cuts = marks::Cuts::new(&bench);
    let mut made = Marks::default();
    if let Some(path) = &args.marks {
        let usage = |what: String| Fault::Usage(format!("{}: {what}", path.display()));
        let list = disk::read_text(path).map_err(usage)?;
        inputs.push(path.clone());
        marks::add_listed(&mut made, &cuts, &list).map_err(usage)?;
    }
    for (texts, is_spoiled) in [(&args.done, false), (&args.spoiled, true)] {
        for text in texts {
            marks::add_typed(&mut made, &cuts, text, is_spoiled).map_err(Fault::Usage)?;
        }
    }
    let watch = Watch::start(args.limit.time);
    let stop = || watch.stop();
    let progress = |progress| watch.tell(progress);
    let rest = replan::replan(
        &bench,
        &made,
        &Control {
            stop: &stop,
            progress: &progress,
        },
    );
    watch.end();
    let rest = rest.map_err(|violations| {
        Fault::Rejected(violations.iter().map(ToString::to_string).collect())
    })?;
    if let Some(dir) = &args.out {
        let sheet = rest.bench.last();
        let counted = Summary::new(&sheet.plan);
        let output = |name, text| Output { name, text };
        let outputs = [
            output("rest.txt", rest_text(&rest, plain_look())),
            output("rest.json", bench_text(&rest)),
            output("rest-cut-list.csv", open_cuts_csv(&rest.bench)),
            output("rest-boards.csv", boards_csv(&sheet.plan.job, &counted)),
            output(
                "rest-missing.csv",
                missing_csv(rest.bench.job(), rest.bench.missing()),
            ),
        ];
        files::write_all(dir, &outputs, &inputs)?;
    }
    print(&rest_text(&rest, look(args.look.width)))?;
    Ok(if rest.planned.plan.missing.is_empty() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}
