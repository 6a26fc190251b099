//! The command `replan`.

use std::time::Instant;

use crate::diag::Diagnostics;
use crate::load::{Boards, State, read_marks};
use crate::planfile::{bench_text, read_bench};
use crate::replan::{self, News};
use crate::report::csv::{buying_list_csv, missing_csv, open_cuts_csv};
use crate::report::sections::rest_sheet;
use crate::report::text::set;
use crate::solve::Control;

use super::args::ReplanArgs;
use super::disk::Disk;
use super::files::Output;
use super::screen::Screen;
use super::watch::Watch;
use super::{Ended, Fault, Input, disk, marks, measured, print, read, write};

/// Plans the rest of a job.
pub(super) fn replan(args: &ReplanArgs, screen: Screen) -> Result<Ended, Fault> {
    let started = Instant::now();
    let mut typed = vec![args.job.path.as_path(), &args.plan];
    typed.extend(args.marks.as_deref());
    disk::check_one_input(&typed).map_err(Fault::Usage)?;
    let Input {
        job,
        texts,
        files: mut inputs,
    } = read(&args.job, Boards::Needed)?;
    let unit = job.display.unit;
    let fault = |what: String| Fault::PlanFile {
        path: args.plan.clone(),
        what,
        hint: None,
    };
    let text = disk::read_text(&args.plan).map_err(fault)?;
    inputs.push(args.plan.clone());
    let (bench, job) = read_bench(&job, &text)
        .map_err(|unreadable| Fault::unreadable(&args.plan, &unreadable))?
        .map_err(|findings| {
            let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
            fault(format!(
                "it is not a plan of this job: {}",
                found.join("; ")
            ))
        })?;
    let mut faults = Diagnostics::default();
    let mut marked = Vec::new();
    if let Some(path) = &args.marks {
        inputs.push(path.clone());
        marked.append(&mut read_marks(path, &Disk::new(path), unit, &mut faults));
    }
    let typed = [
        ("--done", &args.done, State::Done),
        ("--spoiled", &args.spoiled, State::Spoiled),
    ];
    for (option, texts, state) in typed {
        for text in texts {
            marked.append(&mut marks::read_typed(
                option,
                text,
                state,
                unit,
                &mut faults,
            ));
        }
    }
    let has_changed = bench.job().as_read() != job;
    let news = News {
        marks: marks::find(&bench, &marked, &mut faults),
        measured: measured::read(&bench, unit, &args.board, &args.knot, &mut faults),
        job: has_changed.then(|| (job.clone(), texts)),
    };
    if faults.n_errors() > 0 {
        return Err(Fault::Input(faults.into_sorted()));
    }
    let watch = Watch::start(&job, started, args.limit.time, args.out.as_deref());
    let stop = || watch.stop();
    let progress = |progress| watch.tell(progress);
    let rest = replan::replan(
        &bench,
        &news,
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
        let output = |name, text| Output { name, text };
        let outputs = [
            output("rest.txt", set(&rest_sheet(&rest), screen.file_look())),
            output("rest.json", bench_text(&rest)),
            output("rest-cut-list.csv", open_cuts_csv(&rest.bench)),
            output("rest-buying-list.csv", buying_list_csv(&sheet.plan)),
            output(
                "rest-missing.csv",
                missing_csv(rest.bench.job(), rest.bench.missing()),
            ),
        ];
        write(dir, &outputs, &inputs, args.replace)?;
    }
    print(&set(&rest_sheet(&rest), screen.look(args.look.width)))?;
    Ok(if rest.planned.plan.missing.is_empty() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}
