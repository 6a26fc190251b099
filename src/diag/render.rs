//! Diagnostics drawn for people.
//!
//! ```text
//! error[E006]: unknown key `kerff`
//!  --> show.toml:3:1
//!   |
//! 3 | kerff = "1/8"
//!   | ^^^^^
//! hint: did you mean `kerf`?
//! ```

use std::fmt::Write;

use anstyle::{AnsiColor, Style};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::safe::{quoted, safe_text};
use super::{Diagnostic, Place, Severity};

/// Widest stretch of a source line that is shown, so that a picture fits 80 columns beside its line number.
const WIDEST_SOURCE: usize = 72;

/// Columns kept free left of the marked stretch when a long line is cut.
const LEAD: usize = 24;

/// All diagnostics, one below the other, a blank line between them; colored only if asked.
///
/// The text says the same without color.
pub fn render(diagnostics: &[Diagnostic], colored: bool) -> String {
    let mut out = String::new();
    for (idx, diagnostic) in diagnostics.iter().enumerate() {
        if idx > 0 {
            out.push('\n');
        }
        draw(&mut out, diagnostic, colored);
    }
    out
}

/// How many errors and warnings there are, such as `2 errors, 1 warning`; empty if there are none.
pub fn summary(diagnostics: &[Diagnostic]) -> String {
    let count = |severity| {
        diagnostics
            .iter()
            .filter(|diagnostic| diagnostic.severity == severity)
            .count()
    };
    [(Severity::Error, "error"), (Severity::Warning, "warning")]
        .into_iter()
        .filter_map(|(severity, noun)| match count(severity) {
            0 => None,
            1 => Some(format!("1 {noun}")),
            number => Some(format!("{number} {noun}s")),
        })
        .collect::<Vec<_>>()
        .join(", ")
}

/// Writes one diagnostic, each of its lines ended.
fn draw(out: &mut String, diagnostic: &Diagnostic, colored: bool) {
    let (word, color) = match diagnostic.severity {
        Severity::Error => ("error", AnsiColor::Red),
        Severity::Warning => ("warning", AnsiColor::Yellow),
    };
    let strong = color.on_default().bold();
    let quiet = AnsiColor::Blue.on_default();
    let paint = |text: &str, style: Style| {
        if colored {
            format!("{style}{text}{style:#}")
        } else {
            text.to_owned()
        }
    };
    let head = paint(&format!("{word}[{}]", diagnostic.code), strong);
    let place = diagnostic.place.to_string();
    let picture = Picture::of(&diagnostic.place);
    let margin = picture.as_ref().map_or(0, |picture| picture.number.len());
    let mut line = |text: &str| {
        out.push_str(text);
        out.push('\n');
    };
    line(&format!("{head}: {}", safe_text(&diagnostic.what)));
    let mut arrow = format!(
        "{:margin$}{} {}",
        "",
        paint("-->", quiet),
        safe_text(&place)
    );
    if margin == 0 {
        arrow.insert(0, ' ');
    }
    if let Place::Field { text, .. } = &diagnostic.place {
        let _ = write!(arrow, ": {}", quoted(text));
    }
    line(&arrow);
    if let Some(picture) = &picture {
        let bar = paint("|", quiet);
        line(&format!("{:margin$} {bar}", ""));
        line(&format!(
            "{} {bar} {}",
            paint(&picture.number, quiet),
            picture.source
        ));
        let carets = paint(&"^".repeat(picture.width), strong);
        line(&format!(
            "{:margin$} {bar} {:offset$}{carets}",
            "",
            "",
            offset = picture.offset
        ));
    }
    if let Some(hint) = &diagnostic.hint {
        line(&format!(
            "{}: {}",
            paint("hint", quiet.bold()),
            safe_text(hint)
        ));
    }
}

/// A source line fit to be shown, and where its carets go, counted in columns of the terminal.
struct Picture {
    number: String,
    source: String,
    offset: usize,
    width: usize,
}

impl Picture {
    /// The picture of a stretch of text; other places have none.
    fn of(place: &Place) -> Option<Picture> {
        let Place::Text {
            line,
            column,
            width,
            source,
            ..
        } = place
        else {
            return None;
        };
        let safe = safe_text(source);
        let before: String = safe.chars().take(column.saturating_sub(1)).collect();
        let marked: String = safe
            .chars()
            .skip(before.chars().count())
            .take(*width)
            .collect();
        let start = before.width();
        // A place at the end of the line has nothing to underline but gets its caret.
        let end = start + marked.width().max(1);
        let total = safe.width();
        if total.max(end) <= WIDEST_SOURCE {
            return Some(Picture {
                number: line.to_string(),
                source: safe.trim_end().to_owned(),
                offset: start,
                width: end - start,
            });
        }
        let from = start.saturating_sub(LEAD);
        let cut = stretch(&safe, from, WIDEST_SOURCE);
        let lead = if from > 0 { "…" } else { "" };
        let tail = if from + WIDEST_SOURCE < total {
            "…"
        } else {
            ""
        };
        let offset = start - cut.from + lead.width();
        Some(Picture {
            number: line.to_string(),
            source: format!("{lead}{}{tail}", cut.text.trim_end()),
            offset,
            width: (end - start)
                .min(WIDEST_SOURCE.saturating_sub(start - cut.from))
                .max(1),
        })
    }
}

/// Part of a line, and the column at which it begins.
struct Stretch {
    text: String,
    from: usize,
}

/// The characters whose columns lie within `from .. from + width`.
fn stretch(line: &str, from: usize, width: usize) -> Stretch {
    let mut column = 0;
    let mut text = String::new();
    let mut first = None;
    for symbol in line.chars() {
        let next = column + symbol.width().unwrap_or(0);
        if column >= from && next <= from + width {
            first.get_or_insert(column);
            text.push(symbol);
        }
        column = next;
    }
    Stretch {
        text,
        from: first.unwrap_or(from),
    }
}

#[cfg(test)]
mod tests;
