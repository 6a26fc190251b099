//! The files of a job, carried by what was made from them.

use std::path::PathBuf;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::{FileText, Job, Texts};
use crate::load::{Boards, load_job};

/// One file of a job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SourceText {
    /// Its path from the folder of the job file, or as the job names it, where it lies elsewhere; parts with `/` between.
    pub path: String,
    /// All of it.
    pub text: String,
}

/// The files as they are carried.
pub(super) fn of(texts: &Texts) -> Vec<SourceText> {
    let files = texts.files().iter();
    files
        .map(|file| SourceText {
            path: file.path.to_string_lossy().into_owned(),
            text: file.text.clone(),
        })
        .collect()
}

/// The files that are carried.
pub(super) fn texts(sources: &[SourceText]) -> Texts {
    let files = sources.iter().map(|source| FileText {
        path: PathBuf::from(&source.path),
        text: source.text.clone(),
    });
    Texts::new(files.collect())
}

/// The job as it was when it was read from these files; `None` where there are none, or they hold no job.
pub(super) fn job(texts: &Texts) -> Option<Job> {
    let path = texts.job_path()?;
    load_job(path, texts, Boards::Needed)
        .ok()
        .map(|(job, _)| job)
}
