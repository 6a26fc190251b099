//! What is at the bench: the plan that is cut by and the list in which cuts are marked, as files.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::cli::files::Output;
use crate::cli::marks;
use crate::diag::{Diagnostics, quoted};
use crate::job::{FileText, Job, Texts};
use crate::load::read_marks;
use crate::page::{AtBench, Cutting, Edit, Step, Work};
use crate::planfile::read_bench;
use crate::replan::Marks;

use super::folder::Folder;

/// The file of the bench and its list of cuts, once something has come between, and before that.
const FILES: [(&str, &str); 2] = [
    ("rest.json", "rest-cut-list.csv"),
    ("plan.json", "cut-list.csv"),
];

/// All files that [`read`] looks at, from the folder of the job file.
pub(super) fn paths(work_folder: &Path) -> impl Iterator<Item = PathBuf> + '_ {
    let names = FILES.iter().flat_map(|&(file, list)| [file, list]);
    names.map(|name| work_folder.join(name))
}

/// Reads what is at the bench of a job; `before` is what was there when it was last read, and what is the same is not read anew.
pub(super) fn read(
    folder: &Folder,
    path: &Path,
    plan_folder: PathBuf,
    job: Option<&Arc<Job>>,
    before: Option<&Arc<Cutting>>,
) -> Option<Arc<Cutting>> {
    let text = |name: &str| {
        let below = plan_folder.join(name);
        let text = folder.text(path, &below)?;
        Some(FileText { path: below, text })
    };
    let (file, list) = FILES
        .iter()
        .find_map(|(file, list)| Some((text(file)?, text(list))))?;
    let same = before.filter(|before| before.file == file);
    let is_of_job = |at: &AtBench, job: &Job| at.now == job.as_read();
    let bench = match (job, same.map(|before| &before.bench)) {
        (None, Some(bench)) => bench.clone(),
        (Some(job), Some(Ok(at))) if is_of_job(at, job) => Ok(Arc::clone(at)),
        (None, None) => Err("the files of the job have errors: see the desk".to_owned()),
        (Some(job), _) => bench_of(job, &file.text).map(Arc::new),
    };
    if let Some(before) = same
        && before.list == list
        && let (Ok(one), Ok(other)) = (&before.bench, &bench)
        && Arc::ptr_eq(one, other)
    {
        return Some(Arc::clone(before));
    }
    let mut faults = Diagnostics::default();
    let marks = match (&bench, &list) {
        (Ok(at), Some(list)) => marks_of(at, list, &mut faults),
        _ => Marks::default(),
    };
    Some(Arc::new(Cutting {
        folder: plan_folder,
        changed: same.and_then(|before| before.changed.clone()),
        file,
        list,
        bench,
        marks,
        faults: faults.into_sorted(),
    }))
}

fn bench_of(job: &Job, text: &str) -> Result<AtBench, String> {
    let read = read_bench(job, text).map_err(|unreadable| unreadable.to_string())?;
    let (bench, now) = read.map_err(|findings| {
        let found: Vec<String> = findings.iter().map(ToString::to_string).collect();
        format!(
            "what is at the bench is no plan of this job: {}",
            found.join("; ")
        )
    })?;
    Ok(AtBench::new(bench, now))
}

/// What a list says has been cut.
fn marks_of(at: &AtBench, list: &FileText, faults: &mut Diagnostics) -> Marks {
    let texts = Texts::new(vec![list.clone()]);
    let unit = at.now.display.unit;
    let marked = read_marks(&list.path, &texts, unit, faults);
    marks::find(&at.bench, &marked, faults)
}

/// The step that writes files into the folder of the plan, over those that lie there; `words` say what it does.
///
/// # Errors
/// When a list in which cuts are marked would be lost.
pub(super) fn step(
    folder: &Folder,
    work: &Work,
    outputs: Vec<Output>,
    words: &str,
) -> Result<Step, String> {
    let plan_folder = work.plan_folder();
    let mut edits = Vec::new();
    for Output { name, text } in outputs {
        let path = plan_folder.join(name);
        let before = folder.text(&work.path, &path);
        if before.is_none() && folder.has(&work.path, &path) {
            return Err(format!(
                "{} is there already, and no text",
                quoted(&path.display().to_string())
            ));
        }
        if before.as_deref() != Some(&text) {
            edits.push(Edit {
                path,
                before,
                after: Some(text),
                is_own: true,
            });
        }
    }
    Ok(Step {
        words: words.to_owned(),
        edits,
    })
}
