//! The command `stow`: the racks of a plan become those of the shop, and back.

mod undo;

use std::path::{Path, PathBuf};

use crate::load::{Boards, RackPlace, load_job_with_rack};
use crate::planfile::read_bench;
use crate::replan::Bench;
use crate::report::csv::{rack_csv, sheet_rack_csv};
use crate::tally::{RackMoves, rack_moves, sheet_rack_moves};

use super::args::StowArgs;
use super::disk::{self, Disk};
use super::files::Replacement;
use super::{Ended, Fault, files, print, warn};

/// Runs the command.
pub(super) fn stow(args: &StowArgs) -> Result<Ended, Fault> {
    disk::check_one_input(&[&args.job.path, &args.plan]).map_err(Fault::Usage)?;
    let is_free = args.job.tables_anywhere;
    let said = if args.undo {
        undo::take_back(&args.job.path, &args.plan, is_free)?
    } else {
        put_on_rack(&args.job.path, &args.plan, is_free, |_| true)?
    };
    print(&said)?;
    Ok(Ended::Complete)
}

/// Puts what the plan of a file leaves on the racks of its job, of boards and of sheets, and takes off what it used, if
/// `may_write` their tables; says what it did.
pub(super) fn put_on_rack(
    job_file: &Path,
    plan_file: &Path,
    is_free: bool,
    may_write: impl Fn(&Path) -> bool,
) -> Result<String, Fault> {
    let disk = Disk::new(job_file).anywhere(is_free);
    let (job, racks, warnings) =
        load_job_with_rack(job_file, &disk, Boards::Needed).map_err(Fault::Input)?;
    warn(&warnings);
    // A shop that has glass and board elsewhere still has its boards put in order.
    let (of_sheets, stays) = match table(racks.sheets, &OF_SHEETS) {
        Ok(table) => (Some(Rack::open(table, &OF_SHEETS, &may_write)?), None),
        Err((what, _)) => (None, Some(what)),
    };
    let of_boards = match (racks.boards, &of_sheets) {
        (RackPlace::Nowhere, Some(_)) => None,
        (place, _) => {
            let table = table(place, &OF_BOARDS);
            let table = table.map_err(|(what, hint)| Fault::Usage(format!("{what}\n{hint}")))?;
            Some(Rack::open(table, &OF_BOARDS, &may_write)?)
        }
    };
    let fault = |what: String, hint| Fault::PlanFile {
        path: plan_file.to_path_buf(),
        what,
        hint,
    };
    let text = disk::read_text(plan_file).map_err(|what| fault(what, None))?;
    let tables = of_boards
        .iter()
        .chain(&of_sheets)
        .map(|rack| disk::shown(&rack.table));
    let tables: Vec<String> = tables.collect();
    let other_rack = || {
        fault(
            format!(
                "it is no plan of this job with the rack that lies in {} now",
                tables.join(" and ")
            ),
            Some("it may be there already; else plan the job again, from the rack as it is"),
        )
    };
    let (bench, job) = read_bench(&job, &text)
        .map_err(|unreadable| Fault::unreadable(plan_file, &unreadable))?
        .map_err(|_| other_rack())?;
    if !bench.job().as_read().is_cut_as(&job) {
        return Err(other_rack());
    }
    let mut said = Vec::new();
    let mut changes = Vec::new();
    if let Some(rack) = of_boards {
        let (after, moves) = boards_after(&bench);
        said.push(rack.said(moves));
        changes.push(rack.with(after));
    }
    let (after, moves) = sheets_after(&bench);
    if let Some(rack) = of_sheets {
        said.push(rack.said(moves));
        changes.push(rack.with(after));
    } else if let Some(what) = stays.filter(|_| moves.taken + moves.added > 0) {
        let RackMoves { taken, added } = moves;
        said.push(format!(
            "of glass and board {taken} to take off and {added} to put on are left to you: {what}"
        ));
    }
    let kept = files::replace_keeping(&changes)?;
    let (rack, is) = match changes.len() {
        1 => ("rack", "is"),
        _ => ("racks", "are"),
    };
    said.push(format!(
        "the {rack} before {is} kept as {}",
        files::listed(&kept)
    ));
    Ok(said.join("\n") + "\n")
}

/// The rack of boards once all is cut, of a bench by all sheets together, and what that moves.
fn boards_after(bench: &Bench) -> (String, RackMoves) {
    let total = bench.rounds().last().map(|_| bench.total().plan);
    let plan = total.as_ref().unwrap_or(&bench.last().plan);
    (rack_csv(plan), rack_moves(plan))
}

/// The rack of sheets once all is cut, and what that moves: glass and board are cut as the first plan has them.
fn sheets_after(bench: &Bench) -> (String, RackMoves) {
    let first = &bench.sheets()[0];
    let after = sheet_rack_csv(&first.plan.job, &first.materials);
    (after, sheet_rack_moves(&first.plan.job, &first.materials))
}

/// What a rack is called, and how it is named in a job.
struct Words {
    what: &'static str,
    key: &'static str,
    all: &'static str,
    columns: &'static str,
}

const OF_BOARDS: Words = Words {
    what: "rack",
    key: "rack",
    all: "all pieces",
    columns: "board,length",
};
const OF_SHEETS: Words = Words {
    what: "rack of sheets",
    key: "sheet-rack",
    all: "all sheets and pieces",
    columns: "label,sheet,width,height",
};

/// A rack that stands in a table of its own.
struct Rack {
    table: PathBuf,
    before: String,
}

impl Rack {
    fn open(
        table: PathBuf,
        words: &Words,
        may_write: &impl Fn(&Path) -> bool,
    ) -> Result<Rack, Fault> {
        if !may_write(&table) {
            return Err(Fault::Usage(format!(
                "the {} lies in {}, outside of the folder that was opened",
                words.what,
                disk::shown(&table)
            )));
        }
        let before = disk::read_text(&table)
            .map_err(|what| Fault::Usage(format!("cannot read {}: {what}", disk::shown(&table))))?;
        Ok(Rack { table, before })
    }

    fn said(&self, RackMoves { taken, added }: RackMoves) -> String {
        format!(
            "{}: {taken} taken off, {added} put on",
            disk::shown(&self.table)
        )
    }

    fn with(self, after: String) -> Replacement {
        Replacement {
            place: self.table,
            before: self.before,
            after,
        }
    }
}

/// The table in which a rack stands; if it does not in one of its own, that, and a way out.
fn table(place: RackPlace, words: &Words) -> Result<PathBuf, (String, String)> {
    let Words {
        what: rack,
        key,
        all,
        columns,
    } = words;
    let what = match place {
        RackPlace::Table(table) => return Ok(table),
        RackPlace::Nowhere => format!("neither the job nor its shop names a {rack}"),
        RackPlace::Scattered => format!("the {rack} does not stand in one table of its own"),
        RackPlace::NotOurs => format!(
            "the {rack} stands in a workbook, or in a table that is not UTF-8 or has columns, titles or sums of its own, and what \
             is not read would be lost"
        ),
    };
    let hint = format!(
        "hint: write `{key} = \"{key}.csv\"` into the shop, or the job, and {all} into that table; its first row \
         names the columns, such as `{columns}`"
    );
    Err((what, hint))
}
