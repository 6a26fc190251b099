//! The job file: its syntax, its tables, and where each of its values stands.
//!
//! The file is walked by hand rather than deserialized, so that all its unknown keys and wrong types are found
//! at once, and so that numbers keep the digits with which they were written.

mod job_file;
mod values;

use std::ops::Range;
use std::path::{Path, PathBuf};

use toml::de::DeTable;

use super::record::{Mark, Origin, Record, Source};
use super::schema::Schema;
use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};

pub(super) use job_file::{JobFile, Rows};
pub(super) use values::trimmed;

/// What a job alone may hold, and no shop.
const OF_JOBS: [&str; 6] = ["title", "date", "shop-file", "frames", "pieces", "bought"];

/// Whether a key of the job file, or a table of it, has no place in the file of a shop.
pub fn is_of_jobs(key: &str) -> bool {
    OF_JOBS.contains(&key)
}

/// The text of a job file, or of the file of its shop.
pub(super) struct TomlText {
    path: PathBuf,
    text: String,
    /// Whether it is the shop's.
    is_of_shop: bool,
    /// Byte at which each line begins.
    line_starts: Vec<usize>,
}

impl TomlText {
    /// Keeps a text and notes where its lines begin.
    pub(super) fn new(path: &Path, text: String) -> TomlText {
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(end, _)| end + 1))
            .collect();
        TomlText {
            path: path.to_owned(),
            text,
            is_of_shop: false,
            line_starts,
        }
    }

    /// The same, as the file of a shop.
    pub(super) fn of_shop(self) -> TomlText {
        TomlText {
            is_of_shop: true,
            ..self
        }
    }

    /// Whether it is the file of a shop.
    pub(super) fn is_of_shop(&self) -> bool {
        self.is_of_shop
    }

    /// The folder it lies in.
    pub(super) fn folder(&self) -> &Path {
        self.path.parent().unwrap_or(Path::new(""))
    }

    /// The file as a whole.
    pub(super) fn file_place(&self) -> Place {
        Place::File(self.path.clone())
    }

    /// The place of a stretch of bytes; of several lines, its part of the first.
    pub(super) fn place(&self, span: &Range<usize>) -> Place {
        let start = char_start(&self.text, span.start);
        let line = self.line_starts.partition_point(|line| *line <= start);
        let line_start = self.line_starts[line - 1];
        let source = self.text[line_start..].lines().next().unwrap_or_default();
        let line_end = line_start + source.len();
        let end = char_start(&self.text, span.end.clamp(start, line_end.max(start)));
        Place::Text {
            path: self.path.clone(),
            line,
            column: self.text[line_start..start].chars().count() + 1,
            width: self.text[start..end].chars().count().max(1),
            source: source.to_owned(),
        }
    }

    /// The whole file as records; `None` if it is not TOML, which is reported.
    pub(super) fn read(&self, faults: &mut Diagnostics) -> Option<JobFile<'_>> {
        let (root, errors) = DeTable::parse_recoverable(&self.text);
        let mut told_line = 0;
        for error in &errors {
            let place = error
                .span()
                .map_or_else(|| self.file_place(), |span| self.place(&span));
            let what = format!("not valid TOML: {}", error.message());
            let mut hint = None;
            if let Place::Text { line, source, .. } = &place
                && let Some(quoted_line) = with_quotes(source)
            {
                // What else is wrong in such a line comes of its missing quotes.
                if std::mem::replace(&mut told_line, *line) == *line {
                    continue;
                }
                hint = Some(format!(
                    "texts, fractions and units stand in quotes: write the line as {}",
                    quoted(&quoted_line)
                ));
            }
            faults.push(Diagnostic::error(code::TOML_SYNTAX, place, what).with_hint(hint));
        }
        errors
            .is_empty()
            .then(|| self.job_file(root.get_ref(), faults))
    }

    pub(super) fn empty_record(&self, schema: &'static Schema) -> Record<'_> {
        Record {
            schema,
            origin: self.origin(0..0),
            fields: Vec::new(),
            spoiled: Vec::new(),
            lists: Vec::new(),
        }
    }

    pub(super) fn origin(&self, span: Range<usize>) -> Origin<'_> {
        Origin {
            source: Source::Toml(self),
            mark: Mark::Span(span),
        }
    }
}

/// A line `key = value` that is no TOML, with its value in quotes, if it is TOML then.
fn with_quotes(line: &str) -> Option<String> {
    let is_toml = |line: &str| DeTable::parse(line).is_ok();
    if is_toml(line) {
        return None;
    }
    let (key, value) = line.split_once('=')?;
    let value = value.trim();
    // A quote that was opened and not closed, or one of the slanted kind; behind a number it is a mark of feet or inches.
    let is_slanted = |symbol: char| ('\u{2018}'..='\u{201e}').contains(&symbol);
    let is_quote = |symbol: char| matches!(symbol, '"' | '\'') || is_slanted(symbol);
    let value = match value.strip_prefix(is_quote) {
        Some(opened) => opened.strip_suffix(is_slanted).unwrap_or(opened),
        None => value,
    };
    let line = if value.contains('"') && !value.contains('\'') {
        format!("{} = '{value}'", key.trim())
    } else {
        let escaped = value.replace('\\', "\\\\").replace('"', "\\\"");
        format!("{} = \"{escaped}\"", key.trim())
    };
    (!value.is_empty() && is_toml(&line)).then_some(line)
}

/// The byte at or before `byte` at which a character begins.
fn char_start(text: &str, byte: usize) -> usize {
    let mut start = byte.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    start
}

#[cfg(test)]
mod tests {
    use super::with_quotes;

    #[test]
    fn a_line_that_lacks_its_quotes_is_shown_with_them() {
        for (line, quoted) in [
            ("kerf = 1/8", "kerf = \"1/8\""),
            ("kerf=3,2", "kerf = \"3,2\""),
            ("  length = 8 ft", "length = \"8 ft\""),
            ("length = \"8 ft", "length = \"8 ft\""),
            ("width = 14 1/8\"", "width = '14 1/8\"'"),
            ("length = 8'", "length = \"8'\""),
            ("length = 8' 2 1/2\"", "length = \"8' 2 1/2\\\"\""),
            ("name = \u{201c}oak\u{201d}", "name = \"oak\""),
            ("price = $18.90", "price = \"$18.90\""),
            ("unit = mm", "unit = \"mm\""),
        ] {
            assert_eq!(with_quotes(line).as_deref(), Some(quoted), "{line}");
        }
        for line in [
            "kerf = \"1/8\"",
            "kerf = 3",
            "[saw",
            "kerf",
            "kerf =",
            "a b = 1/8",
        ] {
            assert_eq!(with_quotes(line), None, "{line}");
        }
    }
}
