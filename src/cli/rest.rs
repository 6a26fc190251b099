//! The command `replan`.

use std::collections::BTreeSet;
use std::fmt;
use std::path::Path;
use std::time::Instant;

use crate::diag::{Diagnostics, quoted};
use crate::job::Job;
use crate::load::{Boards, State, read_marks};
use crate::planfile::{bench_text, is_carried_on, read_bench};
use crate::replan::{self, Bench, News, Replanned};
use crate::report::csv::{
    bench_rails_csv, buying_list_csv, frames_csv, missing_csv, offcuts_csv, open_cuts_csv,
    rack_csv, resaw_list_csv, rip_list_csv, sheets_csv, wood_balance_csv,
};
use crate::report::sections::rest_sheet;
use crate::report::text::{Look, set};
use crate::solve::Control;
use crate::tally::{Summary, balances};

use super::args::ReplanArgs;
use super::disk::Disk;
use super::files::Output;
use super::files::WriteFault;
use super::screen::Screen;
use super::watch::Watch;
use super::{Ended, Fault, Input, disk, marks, measured, print, read, write_on};

/// Plans the rest of a job.
pub(super) fn replan(args: &ReplanArgs, screen: Screen) -> Result<Ended, Fault> {
    let started = Instant::now();
    let mut typed = vec![args.job.path.as_path(), &args.plan];
    typed.extend(args.marks.as_deref());
    disk::check_one_input(&typed).map_err(Fault::Usage)?;
    let Input {
        job,
        texts,
        files: inputs,
    } = read(&args.job, Boards::Needed)?;
    let unit = job.display.unit;
    // What is written knows all that these do, so it may take their places.
    let mut carried = vec![args.plan.clone()];
    let (bench, job) = read_bench_file(&job, &args.plan)?;
    if let Some(stowed @ WhyNot::Stowed(_)) = why_not(&bench, &job) {
        return Err(Fault::Usage(format!(
            "{stowed}\nhint: plan what is still wanted as a job of its own, from the rack as it is"
        )));
    }
    let mut faults = Diagnostics::default();
    let mut marked = Vec::new();
    if let Some(path) = &args.marks {
        carried.push(path.clone());
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
    let has_changed = !bench.job().as_read().is_cut_as(&job);
    if let Some(why_not) = why_not(&bench, &job) {
        return Err(not_of_job(&args.plan, &why_not.to_string()));
    }
    let made = marks::find(&bench, &marked, &mut faults);
    let news = News {
        measured: measured::read(&bench, &made, unit, &args.board, &args.knot, &mut faults),
        marks: made,
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
        let text = bench_text(&rest);
        check_rest(dir, |lies| is_carried_on(lies, &text))?;
        let outputs = outputs(&rest, text, screen.file_look());
        write_on(dir, &outputs, &inputs, &carried, args.replace)?;
    }
    print(&set(&rest_sheet(&rest), screen.look(args.look.width)))?;
    Ok(if rest.planned.plan.missing.is_empty() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// Reads a plan file, or a bench; with it comes the job as it now is, with what the bench says of it.
pub(super) fn read_bench_file(job: &Job, path: &Path) -> Result<(Bench, Job), Fault> {
    let text = disk::read_text(path).map_err(|what| not_of_job(path, &what))?;
    read_bench(job, &text)
        .map_err(|unreadable| Fault::unreadable(path, &unreadable))?
        .map_err(|findings| {
            let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
            let what = format!("it is not a plan of this job: {}", found.join("; "));
            not_of_job(path, &what)
        })
}

/// A plan file that does not serve the job.
pub(super) fn not_of_job(path: &Path, what: &str) -> Fault {
    Fault::PlanFile {
        path: path.to_path_buf(),
        what: what.to_owned(),
        hint: None,
    }
}

/// Why what follows on a bench cannot be planned for the job as it now is.
pub(super) enum WhyNot {
    /// What the bench leaves is on the rack already, with this piece.
    Stowed(String),
    /// The job has nothing of the one that was planned.
    OtherJob,
}

impl fmt::Display for WhyNot {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            WhyNot::Stowed(piece) => write!(
                out,
                "the rack has {} already, which this very job has left: it was stowed",
                quoted(piece)
            ),
            WhyNot::OtherJob => out.write_str(
                "it is the plan of another job: none of its frames and pieces is in this one",
            ),
        }
    }
}

/// Why what follows on a bench cannot be planned for the job as it now is; nothing where it can.
pub(super) fn why_not(bench: &Bench, job: &Job) -> Option<WhyNot> {
    // What it has left lies there now, and did not when the bench began.
    if let Some(piece) = job.left_by_itself(&bench.sheets()[0].plan.job) {
        return Some(WhyNot::Stowed(piece.to_owned()));
    }
    let has_changed = !bench.job().as_read().is_cut_as(job);
    (has_changed && !has_in_common(bench.job(), job)).then_some(WhyNot::OtherJob)
}

/// Whether a job can be what another one has become: a frame or a piece of one has the name of one of the other.
fn has_in_common(one: &Job, other: &Job) -> bool {
    let names = |job: &Job| -> BTreeSet<String> {
        let frames = job.frames.iter().map(|frame| frame.name.clone());
        let pieces = job.pieces.iter().map(|piece| piece.name.clone());
        frames.chain(pieces).collect()
    };
    !names(one).is_disjoint(&names(other))
}

/// All that is written: of what is new on the newest sheet, and of all sheets together.
pub(super) fn outputs(rest: &Replanned, text: String, look: Look) -> Vec<Output> {
    let bench = &rest.bench;
    let (job, sheet) = (bench.job(), bench.last());
    let counted = Summary::new(&sheet.plan);
    let total = bench.total();
    let output = |name, text| Output { name, text };
    vec![
        output("rest.txt", set(&rest_sheet(rest), look)),
        output("rest.json", text),
        output("rest-cut-list.csv", open_cuts_csv(bench)),
        output("rest-buying-list.csv", buying_list_csv(&sheet.plan)),
        output("rest-resaw-list.csv", resaw_list_csv(&sheet.plan, &counted)),
        output("rest-rip-list.csv", rip_list_csv(&sheet.plan, &counted)),
        output("rest-missing.csv", missing_csv(job, bench.missing())),
        output("rest-rails.csv", bench_rails_csv(bench)),
        output("rest-offcuts.csv", offcuts_csv(&total.plan)),
        output("rest-rack.csv", rack_csv(&total.plan)),
        output(
            "rest-wood-balance.csv",
            wood_balance_csv(job, &balances(&total.plan, &total.idle)),
        ),
        output("rest-frame-sizes.csv", frames_csv(job)),
        output("rest-sheets.csv", sheets_csv(job)),
    ]
}

/// Refuses to write beside the bench that a folder holds, or over it, if what is marked there would no longer belong to it.
pub(super) fn check_rest(dir: &Path, will_do: impl Fn(&str) -> bool) -> Result<(), Fault> {
    let path = dir.join("rest.json");
    match disk::read_text(&path) {
        Ok(text) if !will_do(&text) => Err(WriteFault::KnowsMore(path).into()),
        // What is not there, or cannot be read, is nothing of ours.
        _ => Ok(()),
    }
}
