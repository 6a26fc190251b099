//! Changes taken back and done again.

use std::collections::VecDeque;
use std::path::PathBuf;

use super::edit::{Change, NewText, Refusal};
use super::version::sum;
use super::{Content, Desk};

/// So many changes can be taken back; nobody remembers what was before.
const MOST_STEPS: usize = 200;

/// So many bytes of old texts are kept; a step that replaces a whole large file drops older ones.
const MOST_BYTES: usize = 32 * 1024 * 1024;

/// The changes of a desk, the last of which can be taken back.
///
/// It is a value: taking a change back gives the texts to be written and the history as it is when they are.
#[derive(Clone, Debug, Default)]
pub struct History {
    done: VecDeque<Step>,
    undone: Vec<Step>,
}

#[derive(Clone, Debug)]
struct Step {
    says: String,
    files: Vec<Swap>,
}

/// The stretch of a file in which two of its texts differ.
#[derive(Clone, Debug)]
struct Swap {
    path: PathBuf,
    at: usize,
    before: Side,
    after: Side,
}

/// A text but for what it has in common with the other one.
#[derive(Clone, Debug)]
struct Side {
    stretch: String,
    is_there: bool,
    sum: String,
}

impl History {
    /// The history with a change more; what was taken back before cannot be done again. A change of nothing is none.
    pub fn keep(&mut self, change: &Change) {
        if change.texts.is_empty() {
            return;
        }
        self.undone.clear();
        self.done.push_back(Step {
            says: change.says.clone(),
            files: change.texts.iter().map(Swap::of).collect(),
        });
        while self.done.len() > MOST_STEPS || (self.n_bytes() > MOST_BYTES && self.done.len() > 1) {
            self.done.pop_front();
        }
    }

    fn n_bytes(&self) -> usize {
        let swaps = self.done.iter().flat_map(|step| &step.files);
        swaps
            .map(|swap| swap.before.stretch.len() + swap.after.stretch.len())
            .sum()
    }

    /// What would be taken back, in a few words.
    pub fn says(&self) -> Option<&str> {
        self.done.back().map(|step| step.says.as_str())
    }

    /// What would be done again.
    pub fn says_again(&self) -> Option<&str> {
        self.undone.last().map(|step| step.says.as_str())
    }

    /// The texts without the last change, and the history then.
    ///
    /// # Errors
    /// [`Refusal::NothingToTakeBack`], or [`Refusal::ChangedSince`] where one of its files is no longer as the change left it.
    pub fn undo(&self, desk: &Desk) -> Result<(Change, History), Refusal> {
        let mut then = self.clone();
        let step = then.done.pop_back().ok_or(Refusal::NothingToTakeBack)?;
        let change = step.swapped(desk, true)?;
        then.undone.push(step);
        Ok((change, then))
    }

    /// The texts with the change that was taken back last, and the history then.
    ///
    /// # Errors
    /// As [`History::undo`].
    pub fn redo(&self, desk: &Desk) -> Result<(Change, History), Refusal> {
        let mut then = self.clone();
        let step = then.undone.pop().ok_or(Refusal::NothingToTakeBack)?;
        let change = step.swapped(desk, false)?;
        then.done.push_back(step);
        Ok((change, then))
    }
}

impl Step {
    fn swapped(&self, desk: &Desk, is_back: bool) -> Result<Change, Refusal> {
        let texts = self.files.iter().map(|swap| swap.swapped(desk, is_back));
        Ok(Change {
            says: self.says.clone(),
            texts: texts.collect::<Result<_, _>>()?,
            left_out: Vec::new(),
        })
    }
}

impl Swap {
    fn of(text: &NewText) -> Swap {
        let (before, after) = (text.before.as_deref(), text.after.as_deref());
        let (one, other) = (before.unwrap_or_default(), after.unwrap_or_default());
        let alike = |pairs: &mut dyn Iterator<Item = (u8, u8)>| {
            pairs.take_while(|(one, other)| one == other).count()
        };
        let mut at = alike(&mut one.bytes().zip(other.bytes()));
        while !(one.is_char_boundary(at) && other.is_char_boundary(at)) {
            at -= 1;
        }
        let mut end = alike(&mut one[at..].bytes().rev().zip(other[at..].bytes().rev()));
        while !(one.is_char_boundary(one.len() - end) && other.is_char_boundary(other.len() - end))
        {
            end -= 1;
        }
        let side = |text: &str, whole: Option<&str>| Side {
            stretch: text[at..text.len() - end].to_owned(),
            is_there: whole.is_some(),
            sum: sum(whole),
        };
        Swap {
            path: text.path.clone(),
            at,
            before: side(one, before),
            after: side(other, after),
        }
    }

    /// The file as it was before, or as it was after, if it now is the other.
    fn swapped(&self, desk: &Desk, is_back: bool) -> Result<NewText, Refusal> {
        let (from, to) = if is_back {
            (&self.after, &self.before)
        } else {
            (&self.before, &self.after)
        };
        let changed_since = || Refusal::ChangedSince(self.path.clone());
        let mut files = desk.files.iter();
        let now = match files
            .find(|file| file.path == self.path)
            .map(|file| &file.content)
        {
            Some(Content::Text(text)) => Some(text.as_str()),
            Some(Content::Missing) => None,
            // What is not on the desk any more cannot be looked at.
            Some(Content::Converted(_) | Content::Unreadable) | None => return Err(changed_since()),
        };
        if sum(now) != from.sum {
            return Err(changed_since());
        }
        let text = now.unwrap_or_default();
        let behind = &text[self.at + from.stretch.len()..];
        let made = format!("{}{}{behind}", &text[..self.at], to.stretch);
        Ok(NewText {
            path: self.path.clone(),
            before: now.map(str::to_owned),
            after: to.is_there.then_some(made),
        })
    }
}
