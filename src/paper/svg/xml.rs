//! Elements of XML that are well-formed whatever stands in them, in the form that HTML reads too.
//!
//! Text and attributes are escaped here and nowhere else. Characters that no XML may hold, and those that HTML counts as
//! faulty, become blanks; what turns the direction of writing is kept within its name by [`isolated`].

use std::fmt::{self, Display, Write as _};

use crate::length::Length;

/// An element with its attributes in the order in which they were set, and what it holds.
#[derive(Clone, Debug)]
pub struct Element {
    name: &'static str,
    attributes: String,
    content: String,
}

impl Element {
    /// An element without attributes that holds nothing.
    pub fn new(name: &'static str) -> Element {
        Element {
            name,
            attributes: String::new(),
            content: String::new(),
        }
    }

    /// With one attribute more; none of this name may have been set.
    #[must_use]
    pub fn set(mut self, name: &str, value: impl Display) -> Element {
        debug_assert!(!self.attributes.contains(&format!(" {name}=")));
        write!(
            self.attributes,
            " {name}=\"{}\"",
            escaped(&value.to_string())
        )
        .expect("a string takes what is written");
        self
    }

    /// With one attribute more, a length in millimeters.
    #[must_use]
    pub fn mm(self, name: &str, length: Length) -> Element {
        self.set(name, Mm(length))
    }

    /// With text behind what it holds.
    #[must_use]
    pub fn text(mut self, text: &str) -> Element {
        self.content.push_str(&escaped(text));
        self
    }

    /// With an element behind what it holds.
    #[must_use]
    pub fn with(mut self, child: &Element) -> Element {
        self.push(child);
        self
    }

    /// Puts an element behind what it holds.
    pub fn push(&mut self, child: &Element) {
        write!(self.content, "{child}").expect("a string takes what is written");
    }
}

impl Display for Element {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Element {
            name,
            attributes,
            content,
        } = self;
        if content.is_empty() {
            write!(out, "<{name}{attributes}/>")
        } else {
            write!(out, "<{name}{attributes}>{content}</{name}>")
        }
    }
}

/// A length in millimeters to the nearest thousandth, without needless zeros: `810.94`.
#[derive(Clone, Copy, Debug)]
pub struct Mm(pub Length);

impl Display for Mm {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let micrometers = (self.0.nm() + 500).div_euclid(1000);
        let sign = if micrometers < 0 { "-" } else { "" };
        let size = micrometers.unsigned_abs();
        let text = format!("{sign}{}.{:03}", size / 1000, size % 1000);
        out.write_str(text.trim_end_matches('0').trim_end_matches('.'))
    }
}

/// Corners as the attribute `points` has them.
pub fn points(corners: &[(Length, Length)]) -> String {
    let corners = corners.iter();
    let written: Vec<String> = corners
        .map(|&(x, y)| format!("{},{}", Mm(x), Mm(y)))
        .collect();
    written.join(" ")
}

/// A name between marks that keep its direction of writing to itself.
pub fn isolated(name: &str) -> String {
    format!("\u{2068}{name}\u{2069}")
}

/// Text as it may stand in an element or between the quotes of an attribute.
pub fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for symbol in text.chars() {
        match symbol {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\n' => safe.push('\n'),
            _ if symbol.is_control() || is_none(symbol) => safe.push(' '),
            _ => safe.push(symbol),
        }
    }
    safe
}

/// Whether it is a number that stands for no character, now or ever.
fn is_none(symbol: char) -> bool {
    let number = u32::from(symbol);
    number & 0xfffe == 0xfffe || (0xfdd0..=0xfdef).contains(&number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_in_an_element_cannot_leave_it() {
        let element = Element::new("text")
            .set("data-name", "a\"b'<c>&\u{1}\u{0}")
            .text("</text><script>\u{b}\u{fffe}\u{85}");
        assert_eq!(
            element.to_string(),
            "<text data-name=\"a&quot;b&#39;&lt;c&gt;&amp;  \">&lt;/text&gt;&lt;script&gt;   </text>"
        );
    }

    #[test]
    fn millimeters_are_written_to_the_thousandth() {
        let written = |nm| Mm(Length::from_nm(nm)).to_string();
        assert_eq!(written(0), "0");
        assert_eq!(written(810_940_000), "810.94");
        assert_eq!(written(1_234_500), "1.235");
        assert_eq!(written(-1_234_501), "-1.235");
        assert_eq!(written(-400), "0");
        assert_eq!(written(120_000_000), "120");
    }
}
