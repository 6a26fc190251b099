//! The command `replan`.

use crate::load::Boards;
use crate::plan::Plan;
use crate::replan::{self, Marks};
use crate::report::Summary;
use crate::report::csv_files::{boards_csv, cut_list_csv, missing_csv};
use crate::report::json::plan_json;
use crate::report::text::rest_text;
use crate::solve::Control;

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
    };
    let text = disk::read_text(&args.plan).map_err(fault)?;
    inputs.push(args.plan.clone());
    let old: Plan = crate::verify::read_plan(&job, &text)
        .map_err(|error| fault(error.to_string()))?
        .map_err(|findings| {
            let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
            fault(format!("it is no plan of this job: {}", found.join("; ")))
        })?;
    let mut made = Marks::default();
    if let Some(path) = &args.marks {
        let usage = |what: String| Fault::Usage(format!("{}: {what}", path.display()));
        let list = disk::read_text(path).map_err(usage)?;
        inputs.push(path.clone());
        marks::add_listed(&mut made, &job, &old, &list).map_err(usage)?;
    }
    for (texts, is_spoiled) in [(&args.done, false), (&args.spoiled, true)] {
        for text in texts {
            marks::add_typed(&mut made, &job, &old, text, is_spoiled).map_err(Fault::Usage)?;
        }
    }
    let watch = Watch::start(args.limit.time);
    let stop = || watch.stop();
    let progress = |progress| watch.tell(progress);
    let rest = replan::replan(
        &job,
        &old,
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
        let plan = &rest.planned.plan;
        let counted = Summary::new(&rest.job, plan);
        let output = |name, text| Output { name, text };
        let outputs = [
            output("rest.txt", rest_text(&job, &old, &rest, plain_look())),
            output(
                "rest.json",
                plan_json(&rest.job, plan, &rest.planned.certificate, &counted),
            ),
            output("rest-cut-list.csv", cut_list_csv(&rest.job, plan)),
            output("rest-boards.csv", boards_csv(&rest.job, &counted)),
            output("rest-missing.csv", missing_csv(&rest.job, plan)),
        ];
        files::write_all(dir, &outputs, &inputs)?;
    }
    print(&rest_text(&job, &old, &rest, look(args.look.width)))?;
    Ok(if rest.planned.plan.missing.is_empty() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}
