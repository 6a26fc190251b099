//! What can be done on the page, and what it comes to.

use std::path::PathBuf;

use serde::Deserialize;

use super::state::State;

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
    /// Takes back what was done last.
    Undo {},
    /// Goes a way of buying from now on.
    Way {
        /// Its name; empty for the best mix.
        name: String,
    },
    /// Stops the search and keeps its best plan.
    Enough {},
    /// Stops the program.
    Close {},
}

/// What an action comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Files change, and what may be taken back later is more by one.
    Do(Step),
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
}

impl Step {
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
pub fn act(state: &State, action: &Action) -> Result<Outcome, String> {
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
            Ok(match at_work {
                Action::Undo {} => {
                    let last = work.past.last().ok_or("there is nothing to take back")?;
                    Outcome::Back(last.reversed())
                }
                Action::Way { name } => {
                    Outcome::Way(Some(name.clone()).filter(|name| !name.is_empty()))
                }
                _ => Outcome::Enough,
            })
        }
    }
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
        };
        let step = Step {
            words: "8 wide instead of 9".to_owned(),
            edits: vec![edit("a.csv"), edit("b.csv")],
        };
        assert_eq!(step.reversed().edits[0].after.as_deref(), Some("one"));
        assert_eq!(step.reversed().reversed(), step);
    }
}
