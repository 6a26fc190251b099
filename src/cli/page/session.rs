//! What is known now, and the one writer who changes it.
//!
//! Readers take the state as it is, whole and shared; whoever changes something makes another one. What is done on the page is
//! written by one at a time, who first looks whether the files are still those that the page has shown.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::watch;

use crate::cli::files::Output;
use crate::cli::{plan, stow};
use crate::page::{
    Action, Answer, Cutting, From, Measurements, Opened, Outcome, Past, Search, Share, State, Step,
    View, Ways, Work, act, plan_folder,
};
use crate::planfile::PlanFile;
use crate::replan::Replanned;
use crate::report::sections::plan_sheet;
use crate::report::text::{Look, set};
use crate::tally::Summary;

use super::cutting;
use super::folder::{Folder, Looks, Read};
use super::gate::Gate;
use super::search::{Searcher, Wanted};

/// What has been written.
enum Done {
    /// A step.
    Step(Step),
    /// More of the last one.
    More(Step),
    /// The last step, back.
    Back(Step),
}

impl Done {
    fn step(&self) -> &Step {
        let (Done::Step(step) | Done::More(step) | Done::Back(step)) = self;
        step
    }
}

/// A session of the page.
pub(super) struct Session {
    pub(super) folder: Folder,
    /// How texts look that are written into files.
    pub(super) look: Look,
    state: Mutex<Arc<State>>,
    /// Held while something is written, or read again.
    writer: Mutex<Looks>,
    news: watch::Sender<u64>,
    is_closed: watch::Sender<bool>,
    pub(super) searcher: Searcher,
}

impl Session {
    /// A session in a folder, which begins with this job, or with the only one.
    pub(super) fn new(folder: Folder, job: Option<PathBuf>, look: Look) -> Session {
        let mut jobs = folder.jobs();
        let job = match (job, &jobs[..]) {
            (Some(job), _) => Some(job),
            (None, [only]) => Some(only.clone()),
            _ => None,
        };
        if let Some(job) = job.as_ref().filter(|job| !jobs.contains(job)) {
            jobs.insert(0, job.clone());
        }
        let state = State {
            jobs,
            ..State::default()
        };
        let session = Session {
            folder,
            look,
            state: Mutex::new(Arc::new(state)),
            writer: Mutex::default(),
            news: watch::Sender::new(0),
            is_closed: watch::Sender::new(false),
            searcher: Searcher::default(),
        };
        if let Some(job) = job {
            session.open(&mut session.writer(), &job);
        }
        session
    }

    /// What is known now.
    pub(super) fn state(&self) -> Arc<State> {
        Arc::clone(&self.state.lock().unwrap_or_else(PoisonError::into_inner))
    }

    fn writer(&self) -> MutexGuard<'_, Looks> {
        self.writer.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Makes something known.
    pub(super) fn tell(&self, change: impl FnOnce(&mut State)) {
        let mut now = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        let mut state = State::clone(&now);
        change(&mut state);
        state.news += 1;
        let news = state.news;
        *now = Arc::new(state);
        drop(now);
        self.news.send_replace(news);
    }

    /// Shows an address by which the next tablet comes in through this gate.
    pub(super) fn share(&self, gate: &Gate) -> Option<Share> {
        let share = gate.invite().ok().map(|address| Share { address });
        let shown = share.clone();
        self.tell(|state| state.share = shown);
        share
    }

    /// Waits until more is known than this.
    pub(super) async fn news_since(&self, seen: u64) {
        let mut news = self.news.subscribe();
        // The session outlives whoever waits.
        let _ = news.wait_for(|news| *news != seen).await;
    }

    /// Waits until the session is closed.
    pub(super) async fn closed(&self) {
        let mut closed = self.is_closed.subscribe();
        let _ = closed.wait_for(|closed| *closed).await;
    }

    /// Closes the session.
    pub(super) fn close(&self) {
        self.searcher.end();
        self.is_closed.send_replace(true);
    }

    /// Does what was done on the page, seen with the texts of `version`; whether the program stops.
    ///
    /// # Errors
    /// Why it was not done, in words.
    pub(super) fn act(&self, version: u64, action: &Action, from: From) -> Result<bool, String> {
        let mut writer = self.writer();
        let state = self.state();
        let now = state.work.as_ref().map_or(0, |work| work.version);
        if version != now && *action != (Action::Close {}) {
            return Err("something has changed meanwhile, in another window or outside: look, and do it again".to_owned());
        }
        match act(&state, action, from)? {
            // What stands there already is not written again.
            Outcome::Do(step) | Outcome::More(step) if step.edits.is_empty() => {}
            Outcome::Do(step) => {
                let leads_on = step.leads_on;
                self.write(&mut writer, Done::Step(step))?;
                if leads_on {
                    self.replan();
                }
            }
            Outcome::More(step) => self.write(&mut writer, Done::More(step))?,
            Outcome::Back(step) => self.write(&mut writer, Done::Back(step))?,
            Outcome::Open(job) => self.open(&mut writer, &job),
            Outcome::Begin { folder, files } => {
                let job = self.folder.begin(&folder, &files);
                let job = job.map_err(|fault| format!("{fault}: {}", fault.hint()))?;
                self.look_for_jobs();
                self.open(&mut writer, &job);
            }
            Outcome::Way(way) => {
                self.tell(|state| {
                    if let Some(work) = &mut state.work {
                        work.way = way;
                        work.answer.search = Search::Runs { so_far: None };
                    }
                });
                self.searcher.want(Wanted::Plan);
            }
            Outcome::Enough => self.searcher.stop(),
            Outcome::Lay => {
                let work = state.work.as_ref().ok_or("no job is open")?;
                let step = cutting::step(
                    &self.folder,
                    work,
                    self.plan_files(work)?,
                    "the plan taken to the bench",
                )?;
                self.write(&mut writer, Done::Step(step))?;
            }
            Outcome::Measure(measured) => {
                let work = state.work.as_ref().ok_or("no job is open")?;
                cutting::measured(work, &measured)?;
                self.tell(|state| {
                    if let Some(work) = &mut state.work {
                        work.measured = measured;
                    }
                });
                self.replan();
            }
            Outcome::Replan => self.replan(),
            Outcome::Stow => self.stow(&mut writer, &state)?,
            Outcome::Close => {
                drop(writer);
                self.close();
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// All files of the plan as it is now, as `plan --out` writes them.
    fn plan_files(&self, work: &Work) -> Result<Vec<Output>, String> {
        let found = work.plan().ok_or("there is no plan yet")?;
        let planned = &found.planned;
        let exchanges = found
            .exchanges
            .as_deref()
            .ok_or("the plan is not whole yet")?;
        let counted = Summary::new(&planned.plan)
            .beside(planned.aside.clone())
            .with_sheets(planned.materials.clone());
        let text = set(&plan_sheet(&counted), self.look);
        let file = PlanFile::of(planned).from_files(&found.texts).text();
        Ok(plan::outputs(planned, exchanges, text, file))
    }

    /// Puts what the bench leaves on the rack.
    fn stow(&self, writer: &mut Looks, state: &State) -> Result<(), String> {
        let work = state.work.as_ref().ok_or("no job is open")?;
        let cutting = work.cutting.as_ref().ok_or("nothing is at the bench yet")?;
        let job = self.folder.job_path(&work.path);
        let file = self.folder.beside(&work.path, &cutting.file.path);
        // The rack may be that of a shop above the folder, which is not ours to write.
        let stowed = stow::put_on_rack(&job, &file, false, |table| self.folder.holds(table));
        let said = stowed.map_err(|fault| crate::cli::explain(&fault).0)?;
        self.read_again(writer, work, None);
        self.tell(|state| state.notice = Some(said));
        Ok(())
    }

    /// Plans what follows anew, once the thread comes to it.
    fn replan(&self) {
        self.tell(|state| {
            if let Some(work) = &mut state.work {
                work.replans = true;
            }
        });
        self.searcher.want(Wanted::Replan);
    }

    /// Writes what was planned anew for a work; whether that still is the same.
    pub(super) fn replanned(&self, of: &Work, rest: Replanned, outputs: Vec<Output>) -> bool {
        let mut writer = self.writer();
        let state = self.state();
        let is_same = |work: &&Work| work.version == of.version && work.measured == of.measured;
        let Some(work) = state.work.as_ref().filter(is_same) else {
            return false;
        };
        let step = cutting::step(&self.folder, work, outputs, "the rest planned anew");
        let written = step.and_then(|step| {
            // What was tapped and what came of it are taken back together.
            let is_of_last = work.past.last().is_some_and(|last| last.leads_on);
            let done = if is_of_last { Done::More } else { Done::Step };
            self.write(&mut writer, done(step))
        });
        self.tell(|state| {
            let Some(work) = &mut state.work else {
                return;
            };
            work.replans = false;
            match written {
                Ok(()) => {
                    work.measured = Measurements::default();
                    let cutting = work.cutting.as_ref().map(|cutting| Cutting {
                        changed: Some(Arc::new(rest)),
                        folder: cutting.folder.clone(),
                        file: cutting.file.clone(),
                        list: cutting.list.clone(),
                        bench: cutting.bench.clone(),
                        marks: cutting.marks.clone(),
                        faults: cutting.faults.clone(),
                    });
                    work.cutting = cutting.map(Arc::new);
                }
                Err(fault) => state.notice = Some(fault),
            }
        });
        true
    }

    /// Says why what follows is not planned anew.
    pub(super) fn give_up(&self, why: &str) {
        self.tell(|state| {
            state.notice = Some(format!("The rest is not planned anew: {why}."));
            if let Some(work) = &mut state.work {
                work.replans = false;
                work.measured = Measurements::default();
            }
        });
    }

    /// Looks what jobs there are now.
    fn look_for_jobs(&self) {
        let mut jobs = self.folder.jobs();
        let state = self.state();
        // One that was opened by its name may be called otherwise than jobs mostly are.
        let open = state.work.as_ref().map(|work| &work.path);
        if let Some(open) = open.filter(|open| !jobs.contains(open)) {
            jobs.insert(0, open.clone());
        }
        if jobs != state.jobs {
            self.tell(|state| state.jobs = jobs);
        }
    }

    /// Does what a view needs that is not there before it is looked at.
    pub(super) fn look_at(&self, view: View) {
        // What is shown is what lies there, also where no window has waited.
        self.look_at_files();
        if view == View::Jobs {
            self.look_for_jobs();
        }
        if view != View::Yard {
            return;
        }
        let state = self.state();
        let is_wanted = state.work.as_ref().is_some_and(|work| {
            let is_whole = work.compared().is_some_and(|found| found.reasons.is_some());
            work.job.is_some() && !is_whole && work.ways.runs.is_none()
        });
        if is_wanted {
            self.tell(|state| {
                if let Some(work) = &mut state.work {
                    work.ways.runs = Some((0, 0));
                }
            });
            self.searcher.want(Wanted::Ways);
        }
    }

    /// The bench of a job.
    fn cutting(
        &self,
        path: &Path,
        read: &Read,
        before: Option<&Arc<Cutting>>,
    ) -> Option<Arc<Cutting>> {
        let folder = plan_folder(path);
        cutting::read(&self.folder, path, folder, read.job.as_ref(), before)
    }

    /// How all files of a job look from outside.
    fn looks(&self, path: &Path, read: &Read) -> Looks {
        let folder = plan_folder(path);
        let more = cutting::paths(&folder).map(|file| self.folder.beside(path, &file));
        read.looks.clone().and(more.collect::<Vec<_>>())
    }

    /// Works at a job from now on.
    fn open(&self, writer: &mut Looks, job: &Path) {
        let read = self.folder.read(job);
        *writer = self.looks(job, &read);
        let cutting = self.cutting(job, &read, None);
        let before = self.state();
        let before = before.work.as_ref();
        let work = Work {
            path: job.to_path_buf(),
            version: before.map_or(1, |work| work.version + 1),
            texts_version: before.map_or(1, |work| work.texts_version + 1),
            texts: read.texts,
            desk: Opened::default(),
            diagnostics: Arc::new(read.diagnostics),
            way: None,
            answer: Answer {
                search: search_of(read.job.is_some()),
                found: None,
            },
            ways: Ways::default(),
            cutting,
            replans: false,
            measured: Measurements::default(),
            job: read.job,
            past: Past::default(),
            kept_in: Vec::new(),
        };
        self.tell(|state| {
            state.notice = None;
            state.work = Some(work);
        });
        self.searcher.want(Wanted::Plan);
    }

    /// Changes files as a step says, and reads the job again.
    fn write(&self, writer: &mut Looks, done: Done) -> Result<(), String> {
        let state = self.state();
        let work = state.work.as_ref().ok_or("no job is open")?;
        if let Err(fault) = self.folder.change(&work.path, done.step()) {
            // What lies there now is shown, if it is that.
            self.read_again(writer, work, None);
            return Err(format!("not written: {fault}"));
        }
        self.read_again(writer, work, Some(done));
        Ok(())
    }

    /// Looks whether files were changed outside, and then shows them as they are.
    pub(super) fn look_at_files(&self) {
        // Whoever writes looks, too.
        let Ok(mut writer) = self.writer.try_lock() else {
            return;
        };
        let state = self.state();
        let Some(work) = &state.work else {
            return;
        };
        if writer.may_differ() {
            self.read_again(&mut writer, work, None);
        }
    }

    /// Reads the files of a job as they are now; `done` is what has just been written.
    fn read_again(&self, writer: &mut Looks, before: &Work, done: Option<Done>) {
        let read = self.folder.read(&before.path);
        *writer = self.looks(&before.path, &read);
        let cutting = self.cutting(&before.path, &read, before.cutting.as_ref());
        let Read {
            job,
            diagnostics,
            texts,
            ..
        } = read;
        let files = |cutting: Option<&Arc<Cutting>>| {
            cutting.map(|cutting| (cutting.file.clone(), cutting.list.clone()))
        };
        let is_job_same = texts == before.texts && diagnostics == *before.diagnostics;
        let is_bench_same = files(cutting.as_ref()) == files(before.cutting.as_ref());
        if is_job_same && is_bench_same && done.is_none() {
            return;
        }
        let notice = (done.is_none()).then(|| {
            let others = texts
                .files()
                .iter()
                .filter(|file| before.texts.text(&file.path) != Some(&file.text));
            let mut names: Vec<String> =
                others.map(|file| file.path.display().to_string()).collect();
            if !is_bench_same {
                names.push("what is at the bench".to_owned());
            }
            match &names[..] {
                [] => "A file was changed outside; this is how it is now.".to_owned(),
                names => format!(
                    "Changed outside: {}. This is how it is now.",
                    names.join(", ")
                ),
            }
        });
        self.tell(|state| {
            state.notice = notice;
            let Some(work) = &mut state.work else {
                return;
            };
            work.version += 1;
            if !is_job_same {
                work.texts_version += 1;
                work.answer.search = search_of(job.is_some());
                work.ways.runs = None;
                work.texts = texts;
                work.desk = Opened::default();
                work.job = job;
                work.diagnostics = Arc::new(diagnostics);
            }
            work.cutting = cutting;
            let edits = done.iter().flat_map(|done| &done.step().edits);
            work.kept_in = edits.map(|edit| edit.path.clone()).collect();
            match done {
                Some(Done::Step(step)) => work.past.keep(step),
                Some(Done::More(step)) => work.past.keep_more(step),
                Some(Done::Back(_)) => {
                    // What was to be planned anew for it is not any more.
                    work.replans = false;
                    work.past.forget_last();
                }
                None => {}
            }
        });
        if !is_job_same {
            self.searcher.want(Wanted::Plan);
        }
    }
}

fn search_of(is_sound: bool) -> Search {
    if is_sound {
        Search::Runs { so_far: None }
    } else {
        Search::Still
    }
}
