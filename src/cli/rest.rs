//! The command `replan`.

use crate::load::Boards;
use crate::replan::{self, Marks};
use crate::report::csv::{boards_csv, missing_csv, open_cuts_csv};
use crate::report::json::bench_json;
use crate::report::sections::rest_sheet;
use crate::report::text::set;
use crate::solve::Control;
use crate::tally::Summary;

use super::args::ReplanArgs;
use super::files::{self, Output};
use super::watch::Watch;
use super::{Ended, Fault, bench_file, disk, look, marks, plain_look, print, read};

/// Plans the rest of a job.
pub(super) fn replan(args: &ReplanArgs) -> Result<Ended, Fault> {
    let (job, mut inputs) = read(&args.job.path, Boards::Needed)?;
    let fault = |what: String| Fault::PlanFile {
        path: args.plan.clone(),
        what,
    };
    let text = disk::read_text(&args.plan).map_err(fault)?;
    inputs.push(args.plan.clone());
    let bench = bench_file::read(job, &text).map_err(fault)?;
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
            output("rest.txt", set(&rest_sheet(&rest), plain_look())),
            output("rest.json", bench_json(&rest)),
            output("rest-cut-list.csv", open_cuts_csv(&rest.bench)),
            output("rest-boards.csv", boards_csv(&sheet.plan.job, &counted)),
            output("rest-missing.csv", missing_csv(&sheet.plan)),
        ];
        files::write_all(dir, &outputs, &inputs)?;
    }
    print(&set(&rest_sheet(&rest), look(args.look.width)))?;
    Ok(if rest.planned.plan.missing.is_empty() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}
