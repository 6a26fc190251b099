//! The guide that the program carries: topics in Markdown, one file each below `topics`.
//!
//! What can be counted or listed (columns, codes) is no text of a topic: a placeholder such as `{{columns of boards}}` is
//! filled from the lists that the readers work from, so that no topic can fall behind them.
//! [`screen`] lays a topic out for a terminal; it knows nothing of topics.

pub mod screen;

use std::fmt::Write as _;

use crate::diag::code;
use crate::load::schema::{HEAD, JOB, MARKS, PRICE_LIST, SIZE_LIST, Schema, columns_guide};

/// What stands for the keys above the first table, which have no name of their own.
const HEAD_NAME: &str = "head";

/// One topic of the guide.
#[derive(Clone, Copy, Debug)]
pub struct Topic {
    /// What is typed for it.
    pub name: &'static str,
    /// Its text with placeholders.
    source: &'static str,
}

/// Makes the list of topics, each from the file of its name.
macro_rules! topics {
    ($($name:literal),* $(,)?) => {
        /// All topics, in the order in which they are best read.
        pub const TOPICS: &[Topic] = &[$(Topic {
            name: $name,
            source: include_str!(concat!("topics/", $name, ".md")),
        }),*];
    };
}

topics! {
    "first-job", "job", "lists", "lengths", "frames", "mats", "liners", "boxes", "sheets", "mouldings", "pieces", "boards", "rip", "defects", "rack", "shop", "grain",
    "turned", "stops", "color", "spare", "offcuts", "buying", "bought", "replan", "page", "papers", "stations", "hanging", "hardware", "labels", "quote", "proof", "files",
    "terminal", "safety", "errors",
}

/// The topic of this name.
pub fn topic(name: &str) -> Option<Topic> {
    TOPICS.iter().copied().find(|topic| topic.name == name)
}

impl Topic {
    /// Its heading.
    ///
    /// # Panics
    /// If the file does not begin with one; a test reads them all.
    pub fn title(self) -> &'static str {
        let first = self.source.lines().next();
        first
            .and_then(|line| line.strip_prefix("# "))
            .expect("every topic begins with its heading")
    }

    /// Its lines without examples, tables and placeholders.
    fn prose(self) -> impl Iterator<Item = &'static str> {
        let mut is_example = false;
        self.source.lines().filter(move |line| {
            let is_fence = line.starts_with("```");
            is_example ^= is_fence;
            !is_example && !is_fence && !line.starts_with(['|', '{']) && !line.is_empty()
        })
    }

    /// Its text in Markdown, with every placeholder filled.
    ///
    /// # Panics
    /// If the file has an unknown placeholder; a test reads them all.
    pub fn markdown(self) -> String {
        let mut filled = String::new();
        let mut rest = self.source;
        while let Some((before, (placeholder, after))) = rest
            .split_once("{{")
            .and_then(|(before, open)| Some((before, open.split_once("}}")?)))
        {
            filled += before;
            filled += value(placeholder)
                .expect("topics have placeholders that are known")
                .trim_end();
            rest = after;
        }
        filled + rest
    }
}

/// What a code of an error or a warning means, and a way out, in Markdown.
pub fn of_code(subject: &str) -> Option<String> {
    let mut all = code::ALL.iter();
    let entry = all.find(|entry| entry.code.eq_ignore_ascii_case(subject))?;
    Some(format!(
        "# {}\n\n{}.\n\nA way out: {}.\n",
        entry.code, entry.meaning, entry.way_out
    ))
}

/// The topics whose own words speak of something, each with the line that does so first; examples are passed over.
///
/// Capitals do not matter, and of a word its beginning is enough, so that `miter` finds miters as well.
pub fn speaking_of(word: &str) -> Vec<(Topic, &'static str)> {
    let wanted = word.to_lowercase();
    let says = |line: &str| {
        let line = line.to_lowercase();
        let mut places = line.match_indices(&wanted);
        places.any(|(at, _)| !line[..at].ends_with(char::is_alphanumeric))
    };
    let found = TOPICS.iter().filter_map(|&topic| {
        let line = topic.prose().find(|line| says(line))?;
        Some((topic, line.trim_start_matches(['-', '#', ' '])))
    });
    found.collect()
}

/// What a placeholder stands for.
fn value(placeholder: &str) -> Option<String> {
    match placeholder {
        "codes" => Some(codes()),
        "tables" => Some(tables()),
        _ => schema(placeholder.strip_prefix("columns of ")?).map(columns_guide),
    }
}

/// The table of this name.
fn schema(name: &str) -> Option<&'static Schema> {
    if name == HEAD_NAME {
        return Some(&HEAD);
    }
    let mut all = JOB.into_iter().chain([&MARKS, &PRICE_LIST, &SIZE_LIST]);
    all.find(|schema| schema.name == name)
}

/// All tables of a job file, and what each is for.
fn tables() -> String {
    let mut list = "| table | what it says |\n| --- | --- |\n".to_owned();
    for schema in JOB.iter().filter(|schema| !schema.name.is_empty()) {
        let _ = writeln!(list, "| `{}` | {} |", schema.name, schema.meaning);
    }
    list
}

/// All codes, with a way out for each.
fn codes() -> String {
    let mut list = "| code | what is wrong | way out |\n| --- | --- | --- |\n".to_owned();
    for entry in code::ALL {
        let _ = writeln!(
            list,
            "| {} | {} | {} |",
            entry.code, entry.meaning, entry.way_out
        );
    }
    list
}

#[cfg(test)]
mod tests;
