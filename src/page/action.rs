//! What can be done on the page, and what it comes to.

use std::collections::BTreeMap;
use std::path::PathBuf;

use serde::Deserialize;

use crate::desk;

use super::bought;
use super::desk::{opened, step};
use super::marking::{Said, mark};
use super::state::{State, Work};

/// Something that is done on the page, as its script sends it: `{"open":{"job":"show/job.toml"}}`.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Action {
    /// Works at a job of the folder.
    Open {
        /// Its path from there.
        job: PathBuf,
    },
    /// Begins a job with that of the starter, in the folder itself.
    Begin {},
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
    /// The starter's files are written.
    Begin,
    /// Another way of buying is gone.
    Way(Option<String>),
    /// The search is stopped.
    Enough,
    /// The plan is written to be cut by.
    Lay,
    /// Files change, and what follows is planned anew.
    DoAndReplan(Step),
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
        let mut both = self.clone();
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
        Action::Begin {} if state.jobs.is_empty() => Ok(Outcome::Begin),
        Action::Begin {} => Err("this folder has a job already".to_owned()),
        Action::Close {} => Ok(Outcome::Close),
        at_work => {
            let work = state.work.as_ref().ok_or("no job is open")?;
            act_at(work, at_work)
        }
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
            let desk = opened(work);
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
            let step = mark(work, std::slice::from_ref(cut), Said::Spoiled(good))?;
            Outcome::DoAndReplan(step)
        }
        Action::Replan {} => {
            let cutting = work.cutting.as_ref().ok_or("nothing is at the bench yet")?;
            cutting.bench.as_ref().map_err(Clone::clone)?;
            if work.replans {
                return Err("the rest is being planned anew already".to_owned());
            }
            Outcome::Replan
        }
        Action::Stow {} => Outcome::Stow,
        _ => Outcome::Enough,
    })
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
        };
        assert_eq!(step.reversed().edits[0].after.as_deref(), Some("one"));
        assert_eq!(step.reversed().reversed(), step);
    }
}
