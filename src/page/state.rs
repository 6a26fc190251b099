//! All that the page shows, as it is known now.

use std::path::PathBuf;
use std::sync::Arc;

use crate::compare::Exchange;
use crate::diag::Diagnostic;
use crate::job::{Job, Texts};
use crate::pipeline::Planned;

use super::action::Step;

/// What is known now. Copied whenever something becomes known, so what is large in it is shared.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// Counts everything that becomes known; a window that has seen this number has seen all.
    pub news: u64,
    /// The jobs in the folder that was opened, each by its path from there.
    pub jobs: Vec<PathBuf>,
    /// The job that is worked at; `None` until one is chosen, or begun.
    pub work: Option<Work>,
    /// What has happened that was not done on the page, such as a file changed outside.
    pub notice: Option<String>,
}

/// A job that is worked at.
#[derive(Clone, Debug)]
pub struct Work {
    /// The job file, by its path from the folder that was opened.
    pub path: PathBuf,
    /// Counts the changes of its texts; an answer belongs to one of them.
    pub version: u64,
    /// All files that were read for it, each by its path from the folder of the job file, which stands first.
    pub texts: Texts,
    /// The job; `None` while there are faults in its files.
    pub job: Option<Arc<Job>>,
    /// Faults, or warnings where there are none.
    pub diagnostics: Arc<Vec<Diagnostic>>,
    /// The way of buying that is gone, by its name; `None` is the best mix.
    pub way: Option<String>,
    /// The plan, as far as it is known.
    pub answer: Answer,
    /// What was done on the page, to be taken back from the last on.
    pub past: Vec<Step>,
    /// The files that the last step changed.
    pub kept_in: Vec<PathBuf>,
}

/// The plan of a job, as far as it is known.
#[derive(Clone, Debug, Default)]
pub struct Answer {
    /// What the search is doing.
    pub search: Search,
    /// The last plan; of an earlier version of the texts, perhaps.
    pub found: Option<Arc<Found>>,
}

/// What a search is doing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Search {
    /// Nothing: there is nothing to search for, or the answer is there.
    #[default]
    Still,
    /// It looks for a plan.
    Runs {
        /// Value of the best plan so far, `i64::MAX` before the first, and its bound; see [`crate::plan::Measure`].
        so_far: Option<(i64, i64)>,
    },
    /// It found no plan that goes the way that is wished.
    NoPlan,
    /// The check rejected its plan, which is a fault of the program.
    Rejected(Vec<String>),
}

/// A plan, and what it is of.
#[derive(Debug)]
pub struct Found {
    /// The version of the texts.
    pub version: u64,
    /// The way of buying by its name.
    pub way: Option<String>,
    /// The texts.
    pub texts: Texts,
    /// The plan, checked.
    pub planned: Planned,
    /// What may stand in for each kind of board that is bought; `None` until that is searched for.
    pub exchanges: Option<Vec<Exchange>>,
}

impl Work {
    /// The plan of the texts as they are now, if it is there.
    pub fn plan(&self) -> Option<&Arc<Found>> {
        let found = self.answer.found.as_ref();
        found.filter(|found| found.version == self.version && found.way == self.way)
    }

    /// What the job is called: its title, or the name of its file while it cannot be read.
    pub fn title(&self) -> String {
        match &self.job {
            Some(job) => job.title.clone(),
            None => self.path.display().to_string(),
        }
    }
}
