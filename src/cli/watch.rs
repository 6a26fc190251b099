//! Time limit, interrupt and progress of a long search.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::job::{Display, Job};
use crate::plan::Measure;
use crate::report::progress::progress_text;
use crate::solve::Progress;

/// A search that takes no longer than this shows no progress.
const QUIET: Duration = Duration::from_millis(500);

/// Kept of a time limit for each part: what comes behind the search, the check of the plan and its report, takes as much
/// on a machine of some years.
const TO_TELL: Duration = Duration::from_micros(15);

/// As much more where files are written.
const TO_WRITE: Duration = Duration::from_micros(50);

/// Watches one search.
pub(super) struct Watch {
    start: Instant,
    limit: Option<Duration>,
    interrupted: Arc<AtomicBool>,
    bar: ProgressBar,
    measure: Measure,
    display: Display,
    state: Mutex<State>,
}

/// What the search last said, and whether it is shown yet.
#[derive(Debug, Default)]
struct State {
    last: Option<Progress>,
    shown: bool,
    counted: Option<(usize, usize)>,
}

impl Watch {
    /// Watches a job's search, and takes Ctrl-C as a wish to stop with the best plan so far.
    ///
    /// The clock runs since `start`, when the command began, and time is kept for what comes behind the search, so that a
    /// limit holds for the whole command.
    pub(super) fn start(
        job: &Job,
        start: Instant,
        limit: Option<Duration>,
        out: Option<&Path>,
    ) -> Watch {
        let of_part = out.map_or(TO_TELL, |_| TO_TELL + TO_WRITE);
        let n_parts = u32::try_from(job.n_parts()).expect("load caps the number of parts");
        let limit = limit.map(|limit| limit.saturating_sub((of_part * n_parts).min(limit / 2)));
        let interrupted = Arc::new(AtomicBool::new(false));
        let flag = Arc::clone(&interrupted);
        // Where no handler can be set, Ctrl-C ends the program as it always did.
        let _ = ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed));
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{spinner} {elapsed}: {msg}") {
            // ASCII, which every terminal shows.
            bar.set_style(style.tick_chars("|/-\\ "));
        }
        Watch {
            start,
            limit,
            interrupted,
            bar,
            measure: Measure::of(job),
            display: job.display.clone(),
            state: Mutex::default(),
        }
    }

    /// Whether the search is to end now.
    pub(super) fn stop(&self) -> bool {
        if self.start.elapsed() >= QUIET {
            self.show(None);
        }
        self.interrupted.load(Ordering::Relaxed)
            || self
                .limit
                .is_some_and(|limit| self.start.elapsed() >= limit)
    }

    /// Takes a better value or bound.
    pub(super) fn tell(&self, progress: Progress) {
        self.show(Some(progress));
    }

    /// Takes how many of several searches are done.
    pub(super) fn count(&self, done: usize, of: usize) {
        if let Ok(mut state) = self.state.lock() {
            state.counted = Some((done, of));
        }
        if self.start.elapsed() >= QUIET {
            self.show(None);
        }
    }

    /// Does something, such as to print, while the line is off the terminal.
    pub(super) fn aside<T>(&self, run: impl FnOnce() -> T) -> T {
        self.bar.suspend(run)
    }

    /// Takes the line off the terminal.
    pub(super) fn end(&self) {
        self.bar.finish_and_clear();
    }

    fn show(&self, news: Option<Progress>) {
        let Ok(mut state) = self.state.lock() else {
            return;
        };
        state.last = news.or(state.last);
        if self.start.elapsed() < QUIET {
            return;
        }
        let first = !state.shown;
        if first {
            state.shown = true;
            // Draws nothing where standard error is no terminal.
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
        if let Some((done, of)) = state.counted {
            self.bar.set_message(format!(
                "{done} of {of} known  (Ctrl-C takes the best so far)"
            ));
            return;
        }
        if news.is_some() || first {
            self.bar.set_message(state.last.map_or_else(
                || "looking for a first plan".to_owned(),
                |last| self.describe(last),
            ));
        } else {
            self.bar.tick();
        }
    }

    /// The message beside the clock.
    fn describe(&self, progress: Progress) -> String {
        let Progress { value, bound } = progress;
        let text = progress_text(self.measure, &self.display, value, bound);
        if value == i64::MAX {
            text
        } else {
            format!("{text}  (Ctrl-C takes the best so far)")
        }
    }
}
