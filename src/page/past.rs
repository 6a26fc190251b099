//! What was done on the page, to be taken back step by step.

use std::sync::Arc;

use super::action::Step;

/// So many steps can be taken back, as long as their texts are no more than so many bytes together: nobody remembers what was
/// before.
const MOST_STEPS: usize = 200;
const MOST_BYTES: usize = 32 << 20;

/// Steps, the last of which can be taken back.
#[derive(Clone, Debug, Default)]
pub struct Past(Vec<Arc<Step>>);

impl Past {
    /// The last step.
    pub fn last(&self) -> Option<&Step> {
        self.0.last().map(Arc::as_ref)
    }

    /// A step more; the oldest are forgotten where there are too many.
    pub fn keep(&mut self, step: Step) {
        self.0.push(Arc::new(step));
        let size = |step: &Arc<Step>| {
            let edits = step.edits.iter();
            let texts = edits.flat_map(|edit| [&edit.before, &edit.after]);
            texts.flatten().map(String::len).sum::<usize>()
        };
        let mut bytes: usize = self.0.iter().map(size).sum();
        while self.0.len() > MOST_STEPS || (bytes > MOST_BYTES && self.0.len() > 1) {
            bytes -= size(&self.0.remove(0));
        }
    }

    /// More of the last step, which is taken back together; a step of its own where a file has become another between.
    pub fn keep_more(&mut self, step: Step) {
        let whole = self.last().filter(|last| last.leads_to(&step));
        let whole = whole.map(|last| last.with(&step));
        if whole.is_some() {
            self.forget_last();
        }
        self.keep(whole.unwrap_or(step));
    }

    /// The last step was taken back.
    pub fn forget_last(&mut self) {
        self.0.pop();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::Edit;

    fn step(before: &str, after: &str) -> Step {
        Step {
            words: format!("{} bytes", after.len()),
            edits: vec![Edit {
                path: "a.csv".into(),
                before: Some(before.to_owned()),
                after: Some(after.to_owned()),
                is_own: false,
            }],
            leads_on: false,
        }
    }

    #[test]
    fn steps_are_forgotten_once_they_are_too_many_or_too_large() {
        let mut past = Past::default();
        for number in 0..230 {
            past.keep(step(&number.to_string(), &(number + 1).to_string()));
        }
        let mut n_steps = 0;
        while past.last().is_some() {
            n_steps += 1;
            past.forget_last();
        }
        assert_eq!(n_steps, MOST_STEPS);
        let large = "x".repeat(MOST_BYTES / 4);
        past.keep(step("one", &large));
        past.keep(step(&large, "two"));
        past.keep(step("two", "three"));
        assert_eq!(past.0.len(), 3);
        past.keep(step("three", &large));
        past.keep(step(&large, "four"));
        // The first goes, with a quarter of the room, and then there is enough.
        assert_eq!(past.0.len(), 4);
        // One that is larger than all is kept alone.
        past.keep(step("four", &"x".repeat(MOST_BYTES + 1)));
        assert_eq!(past.0.len(), 1);
    }

    #[test]
    fn more_of_a_step_is_taken_back_with_it() {
        let mut past = Past::default();
        past.keep(step("1", "12"));
        past.keep_more(step("12", "123"));
        let back = past.last().map(Step::reversed);
        let edits = back.map(|back| back.edits).unwrap_or_default();
        let edit = &edits[0];
        assert_eq!(
            (edit.before.as_deref(), edit.after.as_deref()),
            (Some("123"), Some("1"))
        );
        // What another program wrote between is not taken back with what was typed.
        past.keep_more(step("1234", "12345"));
        let before = |past: &Past| past.last().and_then(|step| step.edits[0].before.clone());
        assert_eq!(before(&past).as_deref(), Some("1234"));
        past.forget_last();
        assert_eq!(before(&past).as_deref(), Some("1"));
        past.forget_last();
        assert!(past.last().is_none());
    }
}
