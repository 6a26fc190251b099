//! The desk: the tables and settings of the job to type into, what is wrong beside its field, and the frame that is being
//! edited.
//!
//! A part of the job at a time: its pictures, its boards and so on. The address says which, and which row is looked at:
//! `part=pictures&at=2-3`, the fourth row of the third table. What is typed is an [`Edit`](crate::desk::Edit) of the desk.

mod fields;
mod front;
mod parts;
mod rows;

use askama::Template;

use crate::desk::{Change, Content, Desk, Fault, Spot};
use crate::diag::{Diagnostic, Place, Severity, code, safe_text};

use super::action::{Edit, Step};
use super::state::Work;
use fields::ShownForm;
use parts::{Part, PartLink};
use rows::{Names, ShownTable};

#[derive(Template)]
#[template(path = "desk.html", config = "src/page/askama.toml")]
struct Shown {
    here: String,
    parts: Vec<PartLink>,
    name: &'static str,
    about: String,
    apart: Vec<Told>,
    names: Names,
    tables: Vec<ShownTable>,
    forms: Vec<ShownForm>,
    files: Vec<ShownFile>,
}

/// A file to be looked at, and to be mended where it cannot be read as tables.
struct ShownFile {
    id: String,
    name: String,
    text: String,
    deed: String,
    /// Whether it is to be mended before anything else can be done.
    is_broken: bool,
}

/// A fault in the words of the command line.
struct Told {
    id: String,
    words: String,
    code: &'static str,
    /// The class of its paragraph, and the sign in front of it.
    looks: (&'static str, &'static str),
}

impl Told {
    /// A fault; `within` is the field where it stands, if that is not seen beside it.
    fn of(fault: &Fault, id: String, within: &str) -> Told {
        let diagnostic = &fault.diagnostic;
        let mut words = String::new();
        if !within.is_empty() {
            words = format!("{within}: ");
        }
        words += &safe_text(&diagnostic.what);
        if let Some(hint) = &diagnostic.hint {
            words += &format!("; {}", safe_text(hint));
        }
        Told {
            id,
            words,
            code: diagnostic.code,
            looks: match diagnostic.severity {
                Severity::Error => ("wrong", "▲"),
                Severity::Warning => ("wrong odd", "△"),
                Severity::Note => ("noted", "–"),
            },
        }
    }
}

/// A desk, and what is looked at on it.
pub(super) struct AtDesk {
    desk: Desk,
    part: Part,
    /// The table and the row that is looked at, in this part.
    at: Option<(usize, usize)>,
}

/// The step that a change of the desk is.
pub(super) fn step(change: Change) -> Step {
    let mut words = change.says;
    if !change.left_out.is_empty() {
        words += &format!(", without {}", change.left_out.join(", "));
    }
    let edits = change.texts.into_iter().map(|text| Edit {
        path: text.path,
        before: text.before,
        after: text.after,
        is_own: false,
    });
    Step {
        words,
        edits: edits.collect(),
        leads_on: false,
    }
}

/// What whoever has the files says of one that is not among the texts: why it could not be read, at the same place, or of a
/// file that is no text, what is wrong with it.
fn why_not_read<'w>(work: &'w Work, missing: &Diagnostic) -> Option<&'w Diagnostic> {
    let place = |diagnostic: &Diagnostic| match &diagnostic.place {
        Place::Text {
            line, column, path, ..
        } => Some((
            *line,
            *column,
            path.file_name().map(std::ffi::OsStr::to_owned),
        )),
        _ => None,
    };
    let here = place(missing);
    let mut known = work.diagnostics.iter();
    let at_same = known.find(|known| here.is_some() && place(known) == here);
    at_same.or_else(|| {
        let mut known = work.diagnostics.iter();
        known.find(|known| {
            let name = known
                .place
                .path()
                .file_name()
                .map(|name| name.to_string_lossy());
            known.code == code::FILE_NOT_TEXT
                && name.is_some_and(|name| missing.what.contains(&*name))
        })
    })
}

impl AtDesk {
    /// Opens the desk at what an address asks for.
    pub(super) fn open(work: &Work, query: &str) -> AtDesk {
        let mut desk = work.desk().clone();
        for fault in &mut desk.faults {
            if fault.diagnostic.code == code::FILE_MISSING
                && let Some(known) = why_not_read(work, &fault.diagnostic)
            {
                fault.diagnostic = known.clone();
            }
        }
        let asked = |name: &str| {
            let pairs = query.split('&').filter_map(|pair| pair.split_once('='));
            let mut pairs = pairs.filter(|(own, _)| *own == name);
            pairs.next().map(|(_, value)| value)
        };
        let part = Part::of_key(asked("part").unwrap_or_default());
        let at = asked("at").and_then(|at| {
            let (table, row) = at.split_once('-')?;
            let (table, row) = (table.parse().ok()?, row.parse().ok()?);
            let of: &crate::desk::Table = desk.tables.get(table)?;
            // The row below the last is the one that waits to be filled.
            (part.has(of) && row <= of.rows.len()).then_some((table, row))
        });
        // Something is looked at from the beginning.
        let first = || {
            let mut tables = desk.tables.iter();
            let table = tables.position(|table| part.has(table) && !table.rows.is_empty())?;
            Some((table, 0))
        };
        AtDesk {
            at: at.or_else(first),
            desk,
            part,
        }
    }

    /// The view.
    pub(super) fn view(&self) -> askama::Result<String> {
        let (desk, part) = (&self.desk, self.part);
        let is_broken = desk.forms.is_empty();
        let apart = desk.faults_apart().enumerate();
        let tables = (0..desk.tables.len()).filter(|table| part.has(&desk.tables[*table]));
        let forms = (0..desk.forms.len()).filter(|_| part == Part::Settings);
        let files = desk.files.iter().enumerate();
        let files = files.filter(|(_, file)| {
            let is_there = matches!(file.content, Content::Text(_));
            is_there && (part == Part::Files || is_broken)
        });
        Shown {
            here: self.address(self.at),
            parts: PartLink::all(desk, part),
            name: part.name(),
            about: part.about(desk),
            apart: apart
                .map(|(idx, fault)| Told::of(fault, format!("apart-{idx}"), &Self::place(fault)))
                .collect(),
            names: Names::of(desk),
            tables: tables.map(|table| self.shown_table(table)).collect(),
            forms: forms.map(|form| self.shown_form(form)).collect(),
            files: files
                .map(|(idx, file)| ShownFile {
                    id: format!("file-{idx}"),
                    name: file.path.display().to_string(),
                    text: match &file.content {
                        Content::Text(text) => text.clone(),
                        Content::Converted(_) | Content::Missing | Content::Unreadable => {
                            String::new()
                        }
                    },
                    deed: deed(&serde_json::json!({ "do": "file", "file": idx })),
                    is_broken: is_broken && idx == 0,
                })
                .collect(),
        }
        .render()
    }

    /// The address of a row.
    fn address(&self, at: Option<(usize, usize)>) -> String {
        let part = self.part.key();
        match at {
            Some((table, row)) => format!("/desk?part={part}&at={table}-{row}"),
            None => format!("/desk?part={part}"),
        }
    }

    /// The file in which a fault stands that belongs to no field.
    fn place(fault: &Fault) -> String {
        match fault.spot {
            Spot::File(_) => fault.diagnostic.place.to_string(),
            _ => String::new(),
        }
    }

    /// The name of a file.
    fn file_name(&self, file: usize) -> String {
        self.desk.files[file].path.display().to_string()
    }
}

/// What does an edit, for the script.
fn deed(edit: &serde_json::Value) -> String {
    serde_json::json!({ "desk": edit }).to_string()
}

/// What is said of a column, without the marks that the guide has round what is typed.
fn plain(meaning: &str) -> String {
    meaning.replace('`', "")
}

/// A key or a heading as words.
fn in_words(key: &str) -> String {
    key.replace('-', " ")
}
