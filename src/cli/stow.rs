//! The command `stow`: the rack of a plan becomes that of the shop.

use std::path::{Path, PathBuf};

use crate::load::{Boards, RackPlace, load_job_with_rack};
use crate::planfile::read_bench;
use crate::report::csv::rack_csv;
use crate::tally::{RackMoves, rack_moves};

use super::args::StowArgs;
use super::disk::{self, Disk};
use super::{Ended, Fault, files, print, warn};

/// Runs the command.
pub(super) fn stow(args: &StowArgs) -> Result<Ended, Fault> {
    disk::check_one_input(&[&args.job.path, &args.plan]).map_err(Fault::Usage)?;
    let is_free = args.job.tables_anywhere;
    let said = put_on_rack(&args.job.path, &args.plan, is_free, |_| true)?;
    print(&said)?;
    Ok(Ended::Complete)
}

/// Puts what the plan of a file leaves on the rack of its job, and takes off what it used, if `may_write` the table of the rack;
/// says what it did.
pub(super) fn put_on_rack(
    job_file: &Path,
    plan_file: &Path,
    is_free: bool,
    may_write: impl Fn(&Path) -> bool,
) -> Result<String, Fault> {
    let disk = Disk::new(job_file).anywhere(is_free);
    let (job, place, warnings) =
        load_job_with_rack(job_file, &disk, Boards::Needed).map_err(Fault::Input)?;
    warn(&warnings);
    let table = table(place)?;
    if !may_write(&table) {
        return Err(Fault::Usage(format!(
            "the rack lies in {}, outside of the folder that was opened",
            disk::shown(&table)
        )));
    }
    let before = disk::read_text(&table)
        .map_err(|what| Fault::Usage(format!("cannot read {}: {what}", disk::shown(&table))))?;
    let fault = |what: String, hint| Fault::PlanFile {
        path: plan_file.to_path_buf(),
        what,
        hint,
    };
    let text = disk::read_text(plan_file).map_err(|what| fault(what, None))?;
    let other_rack = || {
        fault(
            format!(
                "it is no plan of this job with the rack that lies in {} now",
                disk::shown(&table)
            ),
            Some("it may be there already; else plan the job again, from the rack as it is"),
        )
    };
    let (bench, job) = read_bench(&job, &text)
        .map_err(|unreadable| Fault::unreadable(plan_file, &unreadable))?
        .map_err(|_| other_rack())?;
    if bench.job().as_read() != job {
        return Err(other_rack());
    }
    // Of a bench all sheets together.
    let total = bench.rounds().last().map(|_| bench.total().plan);
    let plan = total.as_ref().unwrap_or(&bench.last().plan);
    let after = rack_csv(plan);
    let RackMoves { taken, added } = rack_moves(plan);
    let kept = files::replace_keeping(&table, &before, &after)?;
    Ok(format!(
        "{}: {taken} taken off, {added} put on\nthe rack before is kept as {}\n",
        disk::shown(&table),
        files::listed(&kept)
    ))
}

/// The table in which the rack stands.
fn table(place: RackPlace) -> Result<PathBuf, Fault> {
    let what = match place {
        RackPlace::Table(table) => return Ok(table),
        RackPlace::Nowhere => "neither the job nor its shop names a rack",
        RackPlace::Scattered => "the rack does not stand in one table of its own",
        RackPlace::NotOurs => {
            "the rack stands in a workbook, or in a table that is not UTF-8 or has columns, titles or sums of its own, and what \
             is not read would be lost"
        }
    };
    Err(Fault::Usage(format!(
        "{what}\nhint: write `rack = \"rack.csv\"` into the shop, or the job, and all pieces into that table; its first row \
         names the columns, such as `board,length`"
    )))
}
