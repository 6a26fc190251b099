//! All that the page shows, as it is known now.

use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use crate::compare::{Comparison, Exchange, Reasons};
use crate::desk::Desk;
use crate::diag::Diagnostic;
use crate::job::{FileText, Job, Texts};
use crate::load::{Boards, load_job};
use crate::pipeline::Planned;
use crate::plan::Plan;
use crate::replan::{Bench, Marks, Replanned};
use crate::report::document::Document;
use crate::report::sections::plan_sheet;
use crate::stations::{SawOrder, saw_order};
use crate::tally::Summary;

use super::past::Past;
use super::share::Share;

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
    /// What lets a tablet in; `None` where the page is for this machine alone.
    pub share: Option<Share>,
}

/// A job that is worked at.
#[derive(Clone, Debug)]
pub struct Work {
    /// The job file, by its path from the folder that was opened.
    pub path: PathBuf,
    /// Counts the changes of all its files; what is done on the page is done to one of them.
    pub version: u64,
    /// Counts the changes of what the job is read from; an answer belongs to one of them.
    pub texts_version: u64,
    /// All files that were read for it, each by its path from the folder of the job file, which stands first.
    pub texts: Texts,
    /// The same opened to be worked on, once somebody asks for it.
    pub desk: Opened,
    /// The job; `None` while there are faults in its files.
    pub job: Option<Arc<Job>>,
    /// Faults, or warnings where there are none.
    pub diagnostics: Arc<Vec<Diagnostic>>,
    /// The way of buying that is gone, by its name; `None` is the best mix.
    pub way: Option<String>,
    /// The plan, as far as it is known.
    pub answer: Answer,
    /// The ways of buying, as far as they are known.
    pub ways: Ways,
    /// What is cut, and what has been; `None` before the plan is at the bench.
    pub cutting: Option<Arc<Cutting>>,
    /// Whether the rest is being planned anew.
    pub replans: bool,
    /// What was measured, and the rest is not planned with yet.
    pub measured: Measurements,
    /// What was done on the page, to be taken back from the last on.
    pub past: Past,
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
    pub planned: Arc<Planned>,
    /// What may stand in for each kind of board that is bought; `None` until that is searched for.
    pub exchanges: Option<Vec<Exchange>>,
    /// The plan beside a view, made once.
    pub(super) shown: OnceLock<String>,
}

/// Ways of buying, as far as they are known.
#[derive(Clone, Debug, Default)]
pub struct Ways {
    /// Whether they are being compared, and how many of how many searches are done.
    pub runs: Option<(usize, usize)>,
    /// The last comparison.
    pub found: Option<Arc<Compared>>,
}

/// A comparison, and what it is of.
#[derive(Debug)]
pub struct Compared {
    /// The version of the texts.
    pub version: u64,
    /// The job whose ways they are: where boards were bought, that of what is still to be bought.
    pub job: Job,
    /// The ways.
    pub comparison: Comparison,
    /// What the purchase depends on; `None` until that is searched for.
    pub reasons: Option<Reasons>,
}

/// What is being cut.
#[derive(Debug)]
pub struct Cutting {
    /// Where its files lie, from the folder of the job file.
    pub folder: PathBuf,
    /// The plan, or the bench once something has come between, as a file.
    pub file: FileText,
    /// The list of cuts in which they are marked.
    pub list: Option<FileText>,
    /// The same, read; or why it cannot be.
    pub bench: Result<Arc<AtBench>, String>,
    /// What is marked in the list.
    pub marks: Marks,
    /// What is wrong with the list.
    pub faults: Vec<Diagnostic>,
    /// What changed when the rest was planned anew last, as long as the page is open.
    pub changed: Option<Arc<Replanned>>,
}

/// A desk that is opened when it is first asked for.
#[derive(Clone, Debug, Default)]
pub struct Opened(Arc<OnceLock<Desk>>);

/// What was measured of boards at the saw, as it is typed for a command: `A=94 1/2`, and of a knot `B=30 to 31 1/2`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Measurements {
    /// Boards and how long they are.
    pub lengths: Vec<String>,
    /// Boards and where a knot lies.
    pub knots: Vec<String>,
}

/// A bench, with all that is shown of its sheets.
#[derive(Debug)]
pub struct AtBench {
    /// The bench.
    pub bench: Bench,
    /// The job as it now is.
    pub now: Job,
    /// Whether that is another than the one that was planned last.
    pub has_changed: bool,
    /// Of each sheet the order in which it is sawn.
    pub(super) orders: Vec<SawOrder>,
    /// Of each sheet what its plan says.
    pub(super) documents: Vec<Document>,
}

impl Found {
    /// A plan of these texts.
    pub fn new(work: &Work, planned: Arc<Planned>, exchanges: Option<Vec<Exchange>>) -> Found {
        Found {
            version: work.texts_version,
            way: work.way.clone(),
            texts: work.texts.clone(),
            planned,
            exchanges,
            shown: OnceLock::new(),
        }
    }
}

impl AtBench {
    /// A bench, and the job as it now is with what the bench says of it.
    pub fn new(bench: Bench, now: Job) -> AtBench {
        let plans = || bench.sheets().iter().map(|sheet| &sheet.plan);
        let orders = plans().map(saw_order).collect();
        let documents = plans().map(|plan: &Plan| plan_sheet(&Summary::new(plan)));
        AtBench {
            has_changed: !bench.job().as_read().is_cut_as(&now),
            documents: documents.collect(),
            orders,
            bench,
            now,
        }
    }
}

impl Work {
    /// The desk of the texts.
    pub(super) fn desk(&self) -> &Desk {
        self.desk.0.get_or_init(|| {
            let job = self.texts.job_path().map(Path::to_path_buf);
            let job = job.or_else(|| self.path.file_name().map(Into::into));
            Desk::open(&job.unwrap_or_default(), &self.texts)
        })
    }

    /// The plan of the texts as they are now, if it is there.
    pub fn plan(&self) -> Option<&Arc<Found>> {
        let found = self.answer.found.as_ref();
        found.filter(|found| found.version == self.texts_version && found.way == self.way)
    }

    /// The ways of buying of the texts as they are now, if they are there.
    pub fn compared(&self) -> Option<&Arc<Compared>> {
        let found = self.ways.found.as_ref();
        found.filter(|found| found.version == self.texts_version)
    }

    /// The job as far as sizes need it, which is without boards; `None` while there are faults in the rest.
    pub fn sized(&self) -> Option<Job> {
        let path = self.texts.job_path()?;
        let (job, _) = load_job(path, &self.texts, Boards::NotNeeded).ok()?;
        Some(job)
    }

    /// What the job is called: its title, or the name of its file while it cannot be read.
    pub fn title(&self) -> String {
        match &self.job {
            Some(job) => job.title.clone(),
            None => self.path.display().to_string(),
        }
    }

    /// Where the plan lies that is cut by, see [`plan_folder`].
    pub fn plan_folder(&self) -> PathBuf {
        plan_folder(&self.path)
    }
}

/// Where the plan of a job lies that is cut by, from the folder of the job file: `show-plan` for `show.toml`.
pub fn plan_folder(job: &Path) -> PathBuf {
    let stem = job.file_stem().unwrap_or_default();
    PathBuf::from(format!("{}-plan", stem.to_string_lossy()))
}
