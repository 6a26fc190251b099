//! The command `papers`.

use std::path::Path;
use std::time::Instant;

use crate::audit::Violation;
use crate::compare::{find_exchanges, plan_way};
use crate::job::{Job, Way};
use crate::load::Boards;
use crate::paper::Papers;
use crate::plan::Aside;
use crate::replan::Bench;
use crate::report::csv::{frame_labels_csv, labels_csv, saw_order_csv};
use crate::solve::Control;
use crate::tally::Summary;

use super::args::PapersArgs;
use super::files::Output;
use super::plan::steer;
use super::rest::{not_of_job, read_bench_file};
use super::screen::PIPED_WIDTH;
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
        Some(path) => bench_of_file(&job, path).map(|bench| {
            let newest = bench.last();
            let (plan, materials) = (newest.plan.clone(), newest.materials.clone());
            (plan, Aside::default(), materials, Some(bench))
        }),
        None => plan_way(&job, &Way::BestMix, &control)
            .map_err(rejected)
            .map(|planned| {
                let planned = planned.expect("the best mix is a way that every job has");
                (planned.plan, planned.aside, planned.materials, None)
            }),
    };
    let found = found.and_then(|(plan, aside, materials, bench)| {
        let exchanges = find_exchanges(aside.to_buy(&plan), &steer(&stop)).map_err(rejected)?;
        Ok((plan, aside, materials, bench, exchanges))
    });
    watch.end();
    let (plan, aside, materials, bench, exchanges) = found?;
    let is_complete =
        plan.missing.is_empty() && materials.iter().all(|material| material.missing.is_empty());
    let counted = Summary::new(&plan).beside(aside).with_sheets(materials);
    let mut papers = Papers::new(&counted, &exchanges);
    if let Some(bench) = &bench {
        papers = papers.at_bench(bench);
    }
    match &args.out {
        Some(dir) => {
            let outputs = outputs(&papers);
            write(dir, &outputs, &files, args.replace)?;
            print(&format!(
                "{}:\n{}\nopen {} in a browser; to print one chapter, follow its link first\n",
                disk::shown(dir),
                listed(outputs.iter().map(|output| output.name)),
                outputs[0].name
            ))?;
        }
        None => print(&papers.page())?,
    }
    Ok(if is_complete {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// Names of files, as many to a line as there is room for.
fn listed(names: impl Iterator<Item = &'static str>) -> String {
    let mut lines: Vec<String> = Vec::new();
    for name in names {
        match lines.last_mut() {
            Some(line) if line.len() + 2 + name.len() < PIPED_WIDTH => {
                line.push_str(", ");
                line.push_str(name);
            }
            Some(line) => {
                line.push(',');
                lines.push(format!("  {name}"));
            }
            None => lines.push(format!("  {name}")),
        }
    }
    lines.join("\n")
}

/// The bench of a file, which is of the job as it now is; of a plan file one with a single sheet.
fn bench_of_file(job: &Job, path: &Path) -> Result<Bench, Fault> {
    let (bench, now) = read_bench_file(job, path)?;
    if !bench.job().as_read().is_cut_as(&now) {
        let what = "the job has changed since it was made: plan again, or `replan`";
        return Err(not_of_job(path, what));
    }
    Ok(bench)
}

/// All papers of a plan, each a file; those of a later sheet lie beside the first plan's, and take the place of none.
pub(super) fn outputs(papers: &Papers<'_>) -> Vec<Output> {
    let (plan, order) = (papers.plan(), papers.order());
    let names = if papers.is_of_rest() {
        [
            "rest-papers.html",
            "rest-boards.svg",
            "rest-saw-order.csv",
            "rest-labels.csv",
            "rest-frame-labels.csv",
        ]
    } else {
        [
            "papers.html",
            "boards.svg",
            "saw-order.csv",
            "labels.csv",
            "frame-labels.csv",
        ]
    };
    let texts = [
        papers.page(),
        papers.boards_svg(),
        saw_order_csv(plan, order),
        labels_csv(plan, order),
        frame_labels_csv(&plan.job),
    ];
    let outputs = names.into_iter().zip(texts);
    outputs.map(|(name, text)| Output { name, text }).collect()
}
