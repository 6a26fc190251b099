//! The command `replan`.

use crate::load::Boards;
use crate::replan::{self, Marks};
use crate::report::csv_files::{boards_csv, missing_csv, open_cuts_csv};
use crate::report::json::bench_json;
use crate::report::text::rest_text;
use crate::solve::Control;
use crate::tally::Summary;

use super::args::ReplanArgs;
use super::files::{self, Output};
use super::screen::Screen;
use super::watch::Watch;
use super::{Ended, Fault, bench_file, disk, marks, print, read};

/// Plans the rest of a job.
pub(super) fn replan(args: &ReplanArgs, screen: Screen) -> Result<Ended, Fault> {
    let mut typed = vec![args.job.path.as_path(), &args.plan];
    typed.extend(args.marks.as_deref());
    disk::check_one_input(&typed).map_err(Fault::Usage)?;
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
        let usage = |what: String| Fault::Usage(format!("{}: {what}", disk::shown(path)));
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
            output("rest.txt", rest_text(&rest, screen.file_look())),
            output("rest.json", bench_json(&rest)),
            output("rest-cut-list.csv", open_cuts_csv(&rest.bench)),
            output("rest-boards.csv", boards_csv(&sheet.plan.job, &counted)),
            output("rest-missing.csv", missing_csv(&sheet.plan)),
        ];
        files::write_all(dir, &outputs, &inputs)?;
    }
    print(&rest_text(&rest, screen.look(args.look.width)))?;
    Ok(if rest.planned.plan.missing.is_empty() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}
