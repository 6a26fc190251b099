//! What can be done on the page, and what it comes to.

use std::collections::BTreeMap;
use std::path::PathBuf;

use serde::Deserialize;

use crate::desk;
use crate::diag::quoted;

use super::bought;
use super::desk::step;
use super::marking::{Said, mark};
use super::state::{Measurements, State, Work};

/// No folder that is begun has a longer name, in bytes.
const LONGEST_NAME: usize = 100;

/// Something that is done on the page, as its script sends it: `{"open":{"job":"show/job.toml"}}`.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Action {
    /// Works at a job of the folder.
    Open {
        /// Its path from there.
        job: PathBuf,
    },
    /// Begins a job from a few answers.
    Begin {
        /// The new folder below the one that was opened; empty for that itself.
        #[serde(default)]
        folder: String,
        /// What was answered.
        answers: Box<desk::Answers>,
    },
    /// Begins with the starter job as it is.
    Starter {
        /// As for [`Action::Begin`].
        #[serde(default)]
        folder: String,
    },
    /// Changes a table or a setting on the desk.
    Desk(desk::Edit),
    /// Takes back what was done last.
    Undo {},
    /// Goes a way of buying from now on.
    Way {
        /// Its name; empty for the best mix.
        name: String,
    },
    /// Says what was bought, by the fields of the list: `bought-1`, `measured-1`, `price-1` and so on.
    Bought(BTreeMap<String, String>),
    /// Stops the search and keeps its best plan.
    Enough {},
    /// Takes the plan to the bench: writes it with its tables and papers.
    Lay {},
    /// Cuts are made well, or not made after all.
    Cut {
        /// Their labels, such as `G-3`, with blanks between.
        cuts: String,
        /// Whether they are made.
        made: bool,
    },
    /// A cut is spoiled.
    Spoil {
        /// Its label.
        cut: String,
        /// The longest good piece left of the rail; nothing where there is none.
        good: String,
    },
    /// A board is not as the plan has it.
    Measure {
        /// Its mark.
        board: String,
        /// How long it is; empty where that is as planned.
        #[serde(default)]
        length: String,
        /// Where a knot begins, from the near end of the board as it was before the first cut; empty where none was found.
        #[serde(default)]
        from: String,
        /// Where the knot ends.
        #[serde(default)]
        to: String,
    },
    /// Plans the rest anew, from what is cut and from the job as it now is.
    Replan {},
    /// Puts what is left on the rack of the shop.
    Stow {},
    /// Stops the program.
    Close {},
}

/// From where the page is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// The machine that has the files: all may be done.
    Here,
    /// A tablet at the bench, which may look at bench and papers, and tick cuts.
    Tablet,
}

/// What an action comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Files change, and what may be taken back later is more by one.
    Do(Step),
    /// Files change as the last step changed them, and are taken back with it: more of the same was typed.
    More(Step),
    /// Files change back; what may be taken back is less by one.
    Back(Step),
    /// This job is opened.
    Open(PathBuf),
    /// The files of a new job are written and opened.
    Begin {
        /// Their folder, below the one that was opened.
        folder: PathBuf,
        /// The job file first.
        files: Vec<(PathBuf, String)>,
    },
    /// Another way of buying is gone.
    Way(Option<String>),
    /// The search is stopped.
    Enough,
    /// The plan is written to be cut by.
    Lay,
    /// What follows is planned anew, with what has been measured besides.
    Measure(Measurements),
    /// What follows is planned anew.
    Replan,
    /// What is left goes on the rack.
    Stow,
    /// The program is stopped.
    Close,
}

/// A change of files that is made as a whole, and taken back as a whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What was done, as the button that takes it back says: "8 wide instead of 9".
    pub words: String,
    /// The files, each once.
    pub edits: Vec<Edit>,
    /// Whether what follows at the bench is planned anew then, which is taken back together with it.
    pub leads_on: bool,
}

/// A change of one file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// Its path from the folder of the job file.
    pub path: PathBuf,
    /// Its text before; `None` where there is no such file. If it is another by now, nothing is changed.
    pub before: Option<String>,
    /// Its text afterwards; `None` where there is to be none.
    pub after: Option<String>,
    /// Whether the program has made that text, as it makes a plan; not where the user has a hand in it.
    pub is_own: bool,
}

impl Step {
    /// This step and the one that followed it by itself, as one.
    #[must_use]
    pub fn with(&self, next: &Step) -> Step {
        let mut both = Step {
            leads_on: next.leads_on,
            ..self.clone()
        };
        for edit in &next.edits {
            match both.edits.iter_mut().find(|known| known.path == edit.path) {
                Some(known) => {
                    known.after.clone_from(&edit.after);
                    known.is_own = edit.is_own;
                }
                None => both.edits.push(edit.clone()),
            }
        }
        both
    }

    /// Whether the next step finds every file as this one left it.
    pub(super) fn leads_to(&self, next: &Step) -> bool {
        next.edits.iter().all(|edit| {
            let mut own = self.edits.iter().filter(|own| own.path == edit.path);
            own.all(|own| own.after == edit.before)
        })
    }

    /// The step that takes this one back.
    #[must_use]
    pub fn reversed(&self) -> Step {
        let edits = self.edits.iter().rev().cloned();
        Step {
            words: self.words.clone(),
            edits: edits
                .map(|edit| Edit {
                    before: edit.after,
                    after: edit.before,
                    is_own: false,
                    ..edit
                })
                .collect(),
            leads_on: false,
        }
    }
}

/// What an action comes to.
///
/// # Errors
/// Why it cannot be done, in words for whoever did it.
pub fn act(state: &State, action: &Action, from: From) -> Result<Outcome, String> {
    if from == From::Tablet && !matches!(action, Action::Cut { .. }) {
        return Err("from here cuts can be ticked, and nothing else".to_owned());
    }
    match action {
        Action::Open { job } if state.jobs.contains(job) => Ok(Outcome::Open(job.clone())),
        Action::Open { job } => Err(format!(
            "there is no job {} in this folder any more",
            job.display()
        )),
        Action::Begin { folder, answers } => {
            let begun = desk::begin(answers).map_err(|refusal| refusal.to_string())?;
            begin(folder, begun.files)
        }
        Action::Starter { folder } => {
            let files = desk::starter().into_iter();
            let files = files.map(|(name, text)| (PathBuf::from(name), text.to_owned()));
            begin(folder, files.collect())
        }
        Action::Close {} => Ok(Outcome::Close),
        at_work => {
            let work = state.work.as_ref().ok_or("no job is open")?;
            act_at(work, at_work)
        }
    }
}

/// The beginning of a job in a folder of this name.
fn begin(folder: &str, files: Vec<(PathBuf, String)>) -> Result<Outcome, String> {
    let folder = folder.trim();
    let is_plain = |letter: char| letter.is_alphanumeric() || " -_.,()".contains(letter);
    let is_name = folder.chars().all(is_plain)
        && !folder.starts_with('.')
        && !folder.ends_with('.')
        && folder.len() <= LONGEST_NAME;
    if !is_name {
        return Err(format!(
            "{} cannot be the name of a folder here: take letters, digits, blanks and hyphens",
            quoted(folder)
        ));
    }
    let folder = PathBuf::from(folder);
    Ok(Outcome::Begin { folder, files })
}

/// What was measured of a board, with what was before and is not planned with yet.
fn measure(work: &Work, action: [&String; 4]) -> Result<Measurements, String> {
    let [board, length, from, to] = action.map(|text| text.trim());
    let mut all = work.measured.clone();
    if !length.is_empty() {
        all.lengths.push(format!("{board}={length}"));
    }
    match (from.is_empty(), to.is_empty()) {
        (true, true) if length.is_empty() => {
            Err("say how long the board is, or where the knot lies".to_owned())
        }
        (true, true) => Ok(all),
        (false, false) => {
            all.knots.push(format!("{board}={from} to {to}"));
            Ok(all)
        }
        _ => Err("say where the knot begins and where it ends".to_owned()),
    }
}

/// What an action at a job comes to.
fn act_at(work: &Work, action: &Action) -> Result<Outcome, String> {
    Ok(match action {
        Action::Undo {} => {
            let last = work.past.last().ok_or("there is nothing to take back")?;
            Outcome::Back(last.reversed())
        }
        Action::Desk(edit) => {
            let desk = work.desk();
            let change = desk.change(edit, &desk.version);
            let step = step(change.map_err(|refusal| refusal.to_string())?);
            let is_typed = matches!(edit, desk::Edit::Cell { .. } | desk::Edit::Setting { .. });
            let last = work.past.last();
            if is_typed && last.is_some_and(|last| last.words == step.words) {
                Outcome::More(step)
            } else {
                Outcome::Do(step)
            }
        }
        Action::Way { name } => Outcome::Way(Some(name.clone()).filter(|name| !name.is_empty())),
        Action::Bought(fields) => Outcome::Do(bought::fill_in(work, fields)?),
        Action::Lay {} => {
            let found = work.plan().ok_or("there is no plan yet")?;
            if found.exchanges.is_none() {
                return Err("the plan is there in a moment: what may stand in for each board is searched for".to_owned());
            }
            let cutting = work.cutting.as_ref();
            let is_begun = cutting.is_some_and(|cutting| {
                let is_later = |at: &std::sync::Arc<super::AtBench>| !at.bench.rounds().is_empty();
                cutting.marks.made().next().is_some() || cutting.bench.as_ref().is_ok_and(is_later)
            });
            if is_begun {
                return Err("cuts are made already: plan the rest anew instead".to_owned());
            }
            Outcome::Lay
        }
        Action::Cut { cuts, made } => {
            let labels: Vec<String> = cuts.split_whitespace().map(str::to_owned).collect();
            let said = if *made { Said::Cut } else { Said::Open };
            Outcome::Do(mark(work, &labels, said)?)
        }
        Action::Spoil { cut, good } => {
            let cut = std::slice::from_ref(cut);
            Outcome::Do(mark(work, cut, Said::Spoiled(good))?)
        }
        Action::Measure {
            board,
            length,
            from,
            to,
        } => {
            is_at_bench(work)?;
            Outcome::Measure(measure(work, [board, length, from, to])?)
        }
        Action::Replan {} => {
            is_at_bench(work)?;
            if work.replans {
                return Err("the rest is being planned anew already".to_owned());
            }
            Outcome::Replan
        }
        Action::Stow {} => Outcome::Stow,
        _ => Outcome::Enough,
    })
}

fn is_at_bench(work: &Work) -> Result<(), String> {
    let cutting = work.cutting.as_ref().ok_or("nothing is at the bench yet")?;
    cutting.bench.as_ref().map(|_| ()).map_err(Clone::clone)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn actions_are_read_as_the_script_sends_them() {
        let read = |text: &str| serde_json::from_str::<Action>(text).ok();
        assert_eq!(read(r#"{"undo":{}}"#), Some(Action::Undo {}));
        let open = Action::Open {
            job: "a/job.toml".into(),
        };
        assert_eq!(read(r#"{"open":{"job":"a/job.toml"}}"#), Some(open));
        assert_eq!(read(r#"{"undo":{},"close":{}}"#), None);
        assert_eq!(read(r#"{"way":{"name":"","else":1}}"#), None);
    }

    #[test]
    fn a_job_begins_in_no_folder_but_a_new_one_here() {
        let state = State::default();
        let starter = |folder: &str| {
            let folder = folder.to_owned();
            act(&state, &Action::Starter { folder }, From::Here)
        };
        for fine in ["", "Weber, 3 pictures", "Müller (2)", "a.b"] {
            let Ok(Outcome::Begin { folder, files }) = starter(fine) else {
                unreachable!("{fine} is a name");
            };
            assert_eq!(
                (folder.to_str(), files[0].0.to_str()),
                (Some(fine), Some("job.toml"))
            );
        }
        let long = "x".repeat(101);
        for wrong in [
            "..", ".hidden", "a/b", "a\\b", "/etc", "C:", "a\0", "end.", &long,
        ] {
            assert!(starter(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_step_taken_back_twice_is_the_step() {
        let edit = |path: &str| Edit {
            path: path.into(),
            before: Some("one".to_owned()),
            after: None,
            is_own: false,
        };
        let step = Step {
            words: "8 wide instead of 9".to_owned(),
            edits: vec![edit("a.csv"), edit("b.csv")],
            leads_on: false,
        };
        assert_eq!(step.reversed().edits[0].after.as_deref(), Some("one"));
        assert_eq!(step.reversed().reversed(), step);
    }
}
