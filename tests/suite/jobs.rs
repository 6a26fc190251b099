//! Jobs read from texts as the program reads them, and their plans.
//!
//! A text says what the test is about; all else is what the reader fills in, so a new key or column touches no test.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

use std::path::Path;

use longpoint::job::Job;
use longpoint::load::{Boards, Files, load_job};
use longpoint::pipeline::{Planned, plan};
use longpoint::solve::Control;

use crate::disk::Disk;
use crate::texts::Texts;

/// A search that nobody stops or watches.
pub(crate) const CONTROL: Control<'static> = Control {
    stop: &|| false,
    progress: &|_| {},
};

/// The job whose file has this path.
pub(crate) fn load_from(path: &str, files: &dyn Files) -> Job {
    match load_job(Path::new(path), files, Boards::Needed) {
        Ok((job, _)) => job,
        Err(faults) => panic!("{path}: {faults:?}"),
    }
}

/// The job of some texts, the first of which is `job.toml`.
pub(crate) fn load(texts: &Texts) -> Job {
    load_from("job.toml", texts)
}

/// The job of one text.
pub(crate) fn load_text(text: impl Into<String>) -> Job {
    load(&Texts::from([("job.toml", text.into())]))
}

/// A demo of the project.
pub(crate) fn demo(name: &str) -> Job {
    let path = match name {
        "starter" => "data/starter/job.toml".to_owned(),
        _ => format!("data/{name}/{name}.toml"),
    };
    load_from(&path, &Disk)
}

/// The plan of a job, searched to the end.
pub(crate) fn planned(job: &Job) -> Planned {
    plan(job, &CONTROL).unwrap()
}
