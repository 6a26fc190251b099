//! The command `stow`: the racks of a plan become those of the shop, and back.

mod undo;

use std::path::{Path, PathBuf};

use crate::diag::set_messages;
use crate::job::{Job, JobSpec, SHEET_GOODS};
use crate::load::{Boards, RackPlace, load_job_with_rack};
use crate::planfile::{read_bench, read_past};
use crate::replan::Bench;
use crate::report::csv::{rack_csv, sheet_rack_csv};
use crate::tally::{RackMoves, rack_moves, sheet_rack_moves};

use super::args::StowArgs;
use super::disk::{self, Disk};
use super::files::Replacement;
use super::{Ended, Fault, files, print, warn_planning_nothing};

/// Runs the command.
pub(super) fn stow(args: &StowArgs) -> Result<Ended, Fault> {
    disk::check_one_input(&[&args.job.path, &args.plan]).map_err(Fault::Usage)?;
    let is_free = args.job.tables_anywhere;
    let said = if args.undo {
        undo::take_back(&args.job.path, &args.plan, is_free)?
    } else {
        put_on_rack(&args.job.path, &args.plan, is_free, |_| true)?
    };
    print(&set_messages(&said))?;
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
    warn_planning_nothing(&warnings);
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
                "it was not planned from what lies in {} now",
                tables.join(" and ")
            ),
            Some("it may be there already; else plan again, from the rack as it is"),
        )
    };
    let unreadable = |unreadable| Fault::unreadable(plan_file, &unreadable);
    let (bench, job) = match read_bench(&job, &text).map_err(unreadable)? {
        Ok(both) => both,
        // It may go a way of buying that the boards on sale now have not.
        Err(_) => match read_past(&text).map_err(unreadable)? {
            Some(past) => (past, job),
            None => return Err(other_rack()),
        },
    };
    if let Some(later) = later_bench(plan_file, &bench) {
        let later = disk::shown(&later);
        return Err(fault(
            format!("{later} lies beside it and tells what has come between since"),
            Some("stow that file: it has this plan and all that was cut otherwise"),
        ));
    }
    match change(&bench.job().as_read(), &job) {
        None => {}
        Some(Change::Rack) => return Err(other_rack()),
        Some(other) => return Err(fault(other.told().to_owned(), Some(OTHER_JOB))),
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
            "of {SHEET_GOODS} {taken} to take off and {added} to put on are left to you:\n{what}"
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

/// The file beside a plan, or beside a bench, by which the same bench has gone on.
fn later_bench(plan_file: &Path, bench: &Bench) -> Option<PathBuf> {
    let beside = plan_file.with_file_name("rest.json");
    let later = read_past(&disk::read_text(&beside).ok()?).ok()??;
    let (own, later) = (bench.sheets(), later.sheets());
    let mut both = own.iter().zip(later);
    let goes_on =
        later.len() > own.len() && both.all(|(own, later)| own.plan.boards == later.plan.boards);
    goes_on.then_some(beside)
}

/// What of a job is not as a plan has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Change {
    /// What lies on its racks.
    Rack,
    /// What is made.
    Parts,
    /// How it is made.
    Settings,
}

/// A way out where the racks are as a plan has them and its job is not.
const OTHER_JOB: &str = "make the job as it was for as long as this takes, or plan it again";

impl Change {
    /// What is wrong with the plan, in words.
    fn told(self) -> &'static str {
        match self {
            Change::Rack => "what lies on the rack was changed since",
            Change::Parts => "frames, pieces or mouldings of the job were changed since",
            Change::Settings => "settings of the job or of its shop were changed since",
        }
    }
}

/// What of a job is not as it was planned, of all that tells what comes to its racks; `None` if nothing is.
///
/// What is on sale may have changed, what it costs and how it is bought: a plan that was cut has moved the same pieces. What
/// customers are asked may, too.
fn change(planned: &Job, job: &Job) -> Option<Change> {
    let JobSpec {
        title,
        date,
        display,
        shop,
        assembly,
        labels,
        prices: _,
        hardware,
        mouldings,
        frames,
        pieces,
        boards: _,
        materials: _,
        dust_cover,
        buying: _,
    } = &**planned;
    let boards = |job: &Job| {
        let boards = job.boards.iter().filter(|board| board.in_hand.is_some());
        boards.cloned().collect::<Vec<_>>()
    };
    let sheets = |job: &Job| {
        let all = job.materials.iter().flat_map(|material| {
            let on_rack = material.stock.iter().filter(|stock| stock.label.is_some());
            on_rack.map(|stock| (material.serves, material.name.clone(), stock.clone()))
        });
        all.collect::<Vec<_>>()
    };
    if boards(planned) != boards(job) || sheets(planned) != sheets(job) {
        return Some(Change::Rack);
    }
    if (mouldings, frames, pieces) != (&job.mouldings, &job.frames, &job.pieces) {
        return Some(Change::Parts);
    }
    let is_cut_alike = |one: &Job, other: &Job| {
        let mut materials = one.materials.iter();
        materials.all(|one| {
            let mut others = other.materials.iter();
            let other = others.find(|other| (one.serves, &one.name) == (other.serves, &other.name));
            other.is_none_or(|other| one.cutting == other.cutting)
        })
    };
    let is_set_alike = (title, date, display, shop)
        == (&job.title, &job.date, &job.display, &job.shop)
        && (assembly, labels) == (&job.assembly, &job.labels)
        && (hardware, dust_cover) == (&job.hardware, &job.dust_cover)
        && is_cut_alike(planned, job);
    (!is_set_alike).then_some(Change::Settings)
}

/// The rack of boards once all is cut, of a bench by all sheets together, and what that moves.
fn boards_after(bench: &Bench) -> (String, RackMoves) {
    let plan = bench.whole_plan();
    (rack_csv(&plan), rack_moves(&plan))
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
            "the {rack} stands in a workbook, or in a table that is not UTF-8\n\
             or has columns, titles or sums of its own, and what is not read would be lost"
        ),
    };
    let hint = format!(
        "hint: write `{key} = \"{key}.csv\"` into the shop, or the job,\n\
         and {all} into that table;\nits first row names the columns, such as `{columns}`"
    );
    Err((what, hint))
}
