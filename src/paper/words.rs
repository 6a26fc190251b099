//! Words and figures as HTML.

use crate::job::Display;
use crate::length::Length;
use crate::report::document::{Inline, Show, Text};

use super::svg::figure::Figure;
use super::svg::xml::escaped;

/// Keeps words together.
const TIED: char = '\u{a0}';

/// Sets words and figures with the unit, step and currency of a job; they never differ from those of the text.
#[derive(Clone, Copy, Debug)]
pub struct Words<'a> {
    display: &'a Display,
}

impl<'a> Words<'a> {
    /// For a job that is shown so.
    pub fn new(display: &'a Display) -> Words<'a> {
        Words { display }
    }

    /// How lengths and money are printed.
    pub(super) fn display(self) -> &'a Display {
        self.display
    }

    /// A text as HTML: names stand apart, so that one that is written from the right does not turn what is beside it.
    pub fn html(self, text: impl Into<Text>) -> String {
        let inlines = text.into().0;
        inlines.iter().map(|inline| self.inline(inline)).collect()
    }

    /// A text without any markup, for what cannot have it; a template escapes it.
    pub fn plain(self, text: impl Into<Text>) -> String {
        let plain = text.into().plain(self.display, str::to_owned);
        plain.replace(TIED, " ")
    }

    /// A length as HTML.
    pub fn length(self, length: Length, show: Show) -> String {
        Figure::new(self.display, length, show).html()
    }

    fn inline(self, inline: &Inline) -> String {
        match inline {
            Inline::Name(name) | Inline::Listed(name) => named(name),
            Inline::Together(text) => {
                format!("<span class=\"tied\">{}</span>", self.html(text.clone()))
            }
            &Inline::Length(length, show) => self.length(length, show),
            Inline::Step => self.length(self.display.step, Show::Exact),
            Inline::ScrapSign => key("scrap", "slanting hatch"),
            Inline::DefectSign => key("defect", "crossed hatch"),
            &Inline::Bar { part, whole } => beam(part, whole),
            other => quoted(&escaped(&other.plain(self.display, str::to_owned))),
        }
    }
}

/// What stands between accents, which no name does here, as what is typed or read as it is.
fn quoted(html: &str) -> String {
    let mut parts: Vec<String> = html.split('`').map(str::to_owned).collect();
    if parts.len().is_multiple_of(2) {
        return html.to_owned();
    }
    for part in parts.iter_mut().skip(1).step_by(2) {
        *part = format!("<code>{part}</code>");
    }
    parts.concat()
}

/// A hatch as in the drawings.
fn key(class: &str, words: &str) -> String {
    format!("<span class=\"key {class}\" role=\"img\" aria-label=\"{words}\"></span>")
}

/// A name from a file.
pub fn named(name: &str) -> String {
    format!("<bdi>{}</bdi>", escaped(name))
}

/// A bar as long as `part` is beside `whole`, in tenths of a percent.
fn beam(part: i64, whole: i64) -> String {
    if part <= 0 || whole <= 0 {
        return String::new();
    }
    let share = (i128::from(part) * 1000 / i128::from(whole)).clamp(1, 1000);
    // No style in the element: a page that takes styles from its own file alone shows it too.
    format!(
        "<svg class=\"beam\" width=\"{}.{}%\" aria-hidden=\"true\"></svg>",
        share / 10,
        share % 10
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::empty_job;

    #[test]
    fn what_is_read_as_it_is_stands_apart_and_a_single_accent_stays() {
        let job = empty_job();
        let html = |text: &'static str| Words::new(&job.display).html(text);
        assert_eq!(
            html("see `rack.csv`, <b>"),
            "see <code>rack.csv</code>, &lt;b&gt;"
        );
        assert_eq!(html("a ` b"), "a ` b");
    }

    #[test]
    fn names_stand_apart_and_cannot_be_markup() {
        let html = named("</bdi><script>alert('x')</script> & \"y\"");
        assert!(html.starts_with("<bdi>") && html.ends_with("</bdi>"));
        assert_eq!(html.matches('<').count(), 2, "{html}");
        assert!(!html[5..html.len() - 6].contains(['"', '\'']));
    }
}
