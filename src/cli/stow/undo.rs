//! `stow --undo`: what was put on the racks by mistake is taken back.

use std::path::Path;

use super::{Change, OTHER_JOB, boards_after, change, sheets_after};
use crate::cli::disk::{self, Disk};
use crate::cli::files::{self, Replacement};
use crate::cli::{Fault, warn_planning_nothing};
use crate::load::{Boards, FileFault, Files, RackPlace, load_job_with_rack};
use crate::planfile::{read_bench, read_past};

/// A table as a plan has left it, and as it was when the job was planned.
struct Moved {
    after: String,
    before: String,
}

/// The files of a job as they lie there, but with each table that a plan has moved as it was before.
struct Before<'a> {
    disk: &'a Disk,
    moved: &'a [Moved],
}

impl Before<'_> {
    fn back(&self, bytes: Vec<u8>) -> Vec<u8> {
        let mut moved = self.moved.iter();
        let moved = moved.find(|moved| moved.after.as_bytes() == bytes);
        moved.map_or(bytes, |moved| moved.before.as_bytes().to_vec())
    }
}

impl Files for Before<'_> {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        self.disk.read(path).map(|bytes| self.back(bytes))
    }

    fn read_of_shop(&self, path: &Path, folder: &Path) -> Result<Vec<u8>, FileFault> {
        let bytes = self.disk.read_of_shop(path, folder);
        bytes.map(|bytes| self.back(bytes))
    }
}

/// Puts the racks back as they were before the plan of a file was put there; says what it did.
///
/// Each rack must lie there byte for byte as `stow` has written it, and with the racks back the job must be the one of the
/// plan but for what is on sale, so that it can be put there again. The tables that are replaced are kept under other names.
pub(super) fn take_back(job_file: &Path, plan_file: &Path, is_free: bool) -> Result<String, Fault> {
    let fault = |what: String, hint| Fault::PlanFile {
        path: plan_file.to_path_buf(),
        what,
        hint,
    };
    let unreadable = |unreadable| Fault::unreadable(plan_file, &unreadable);
    let text = disk::read_text(plan_file).map_err(|what| fault(what, None))?;
    let none = || {
        fault(
            "it carries no files of its job, or is no plan of it".to_owned(),
            Some("the racks before are beside the tables, as `kept-1-rack.csv`"),
        )
    };
    let past = read_past(&text).map_err(unreadable)?.ok_or_else(none)?;
    let texts = &past.last().texts;
    let carried = texts
        .job_path()
        .and_then(|path| load_job_with_rack(path, texts, Boards::Needed).ok());
    let (_, racks, _) = carried.ok_or_else(none)?;
    let table_before = |place: &RackPlace| match place {
        RackPlace::Table(table) => texts.text(table).map(str::to_owned),
        _ => None,
    };
    let of_boards = table_before(&racks.boards).map(|before| (boards_after(&past).0, before));
    let of_sheets = table_before(&racks.sheets).map(|before| (sheets_after(&past).0, before));
    let moved = |both: Option<(String, String)>| {
        let (after, before) = both?;
        (after != before).then_some(Moved { after, before })
    };
    let moved: Vec<Moved> = [of_boards, of_sheets]
        .into_iter()
        .filter_map(moved)
        .collect();
    let disk = Disk::new(job_file).anywhere(is_free);
    let files = Before {
        disk: &disk,
        moved: &moved,
    };
    let (job, racks, warnings) =
        load_job_with_rack(job_file, &files, Boards::Needed).map_err(Fault::Input)?;
    warn_planning_nothing(&warnings);
    let mut changes: Vec<Replacement> = Vec::new();
    for place in [racks.boards, racks.sheets] {
        let RackPlace::Table(table) = place else {
            continue;
        };
        // A table that was not moved may be in any encoding.
        let Ok(lies) = Disk::new(&table).read(&table) else {
            continue;
        };
        let moved = moved.iter().find(|moved| moved.after.as_bytes() == lies);
        if let Some(moved) = moved {
            changes.push(Replacement {
                place: table,
                before: moved.after.clone(),
                after: moved.before.clone(),
            });
        }
    }
    let not_there = || {
        fault(
            "the rack there now is not what this plan has left there".to_owned(),
            Some(
                "it was not put there, was taken back already, or was changed since;\n\
                 the racks before are beside the tables, as `kept-1-rack.csv`",
            ),
        )
    };
    if changes.is_empty() || changes.len() < moved.len() {
        return Err(not_there());
    }
    let job = match read_bench(&job, &text).map_err(unreadable)? {
        Ok((_, job)) => job,
        // It may go a way of buying that the boards on sale now have not.
        Err(_) => job,
    };
    match change(&past.job().as_read(), &job) {
        None => {}
        Some(Change::Rack) => return Err(not_there()),
        Some(other) => return Err(fault(other.told().to_owned(), Some(OTHER_JOB))),
    }
    let kept = files::replace_keeping(&changes)?;
    let said = changes
        .iter()
        .map(|change| format!("{}: as it was before\n", disk::shown(&change.place)));
    Ok(said.collect::<String>() + &format!("what lay there is kept as {}\n", files::listed(&kept)))
}
