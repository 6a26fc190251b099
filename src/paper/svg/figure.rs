//! A length as it is read at arm's length: whole, numerator and denominator apart, so that a fraction can be set as one.
//!
//! A [`Figure`] is made of the text that all formats print, so it never says anything else than they do; it is only taken
//! apart. Both forms read, copy and are found as `21 5/8`: a small blank stands before the numerator, for without it the
//! text of the page is `215/8`.
//!
//! The HTML form is `<span class="len">21<span class="sp"> </span><span class="fr"><span class="nu">5</span><span
//! class="sl">/</span><span class="de">8</span></span></span>`, whose classes the page sets; the SVG form is one `<text>`,
//! set by its own attributes.

use crate::job::Display;
use crate::length::Length;
use crate::report::document::Show;
use crate::report::figures::length_text;

use super::xml::Element;

/// A length as it is set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// From left to right.
    pub pieces: Vec<Piece>,
}

/// One stretch of a [`Figure`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// Whole or decimal numbers, units and signs, as they are printed.
    Plain(String),
    /// A number with a fraction.
    Mixed {
        /// Its digits before the fraction; none where it is less than one.
        whole: String,
        /// Digits above.
        numerator: String,
        /// Digits below.
        denominator: String,
    },
}

/// Digits of a fraction beside those of the whole number, in hundredths.
const SMALL: i64 = 72;

/// How far the numerator is raised, in hundredths of the size: its head stands as high as that of the whole number.
const RAISED: i64 = 22;

/// How far the denominator is lowered, in hundredths of the size.
const LOWERED: i64 = 3;

impl Figure {
    /// A length as `show` has it.
    pub fn new(display: &Display, length: Length, show: Show) -> Figure {
        Figure::read(&length_text(display, length, show))
    }

    /// Width and height: `7 1/2 × 9 1/2`.
    pub fn by(width: &Figure, height: &Figure) -> Figure {
        Figure::read(&format!("{} × {}", width.text(), height.text()))
    }

    /// Takes a printed figure apart.
    pub fn read(text: &str) -> Figure {
        let text = text.replace('\u{a0}', " ");
        let mut pieces = Vec::new();
        let mut rest = &*text;
        while let Some(at) = rest.find('/') {
            let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
            let digits_before = |text: &str| {
                text.len()
                    - text
                        .trim_end_matches(|symbol: char| symbol.is_ascii_digit())
                        .len()
            };
            let (before, after) = (&rest[..at], &rest[at + 1..]);
            let (above, below) = (digits_before(before), digits(after));
            let (before, numerator) = before.split_at(before.len() - above);
            let whole = before.strip_suffix(' ').map_or(0, digits_before);
            let (before, whole) = match whole {
                0 => (before, ""),
                _ => before[..before.len() - 1].split_at(before.len() - 1 - whole),
            };
            if !before.is_empty() {
                pieces.push(Piece::Plain(before.to_owned()));
            }
            let (denominator, behind) = after.split_at(below);
            pieces.push(Piece::Mixed {
                whole: whole.to_owned(),
                numerator: numerator.to_owned(),
                denominator: denominator.to_owned(),
            });
            rest = behind;
        }
        if !rest.is_empty() {
            pieces.push(Piece::Plain(rest.to_owned()));
        }
        Figure { pieces }
    }

    /// As plain text, with plain blanks.
    pub fn text(&self) -> String {
        let pieces = self.pieces.iter();
        pieces.map(Piece::text).collect()
    }

    /// As a `<span>` of HTML.
    pub fn html(&self) -> String {
        let span = |class: &str| Element::new("span").set("class", class);
        let mut len = span("len");
        for piece in &self.pieces {
            match piece {
                // What stands together stays on one line: the class sees to it.
                Piece::Plain(text) => len = len.text(text),
                Piece::Mixed {
                    whole,
                    numerator,
                    denominator,
                } => {
                    if !whole.is_empty() {
                        len = len.text(whole).with(&span("sp").text(" "));
                    }
                    let fraction = span("fr")
                        .with(&span("nu").text(numerator))
                        .with(&span("sl").text("/"))
                        .with(&span("de").text(denominator));
                    len.push(&fraction);
                }
            }
        }
        len.to_string()
    }

    /// As a `<text>` of SVG with its middle at `middle` of the baseline `y`, in type of `size`.
    pub fn svg(&self, class: &str, (middle, y): (Length, Length), size: Length) -> Element {
        let part = |hundredths: i64| Length::from_nm(size.nm() * hundredths / 100);
        let mut text = Element::new("text")
            .set("class", class)
            .mm("x", middle)
            .mm("y", y)
            .mm("font-size", size)
            .set("text-anchor", "middle");
        // Where the last digits stand below the baseline; what is moved for one piece is taken back for the next.
        let mut below = Length::ZERO;
        for piece in &self.pieces {
            match piece {
                Piece::Plain(words) => text = back(text, words, &mut below),
                Piece::Mixed {
                    whole,
                    numerator,
                    denominator,
                } => {
                    if !whole.is_empty() {
                        text = back(text, whole, &mut below)
                            .with(&Element::new("tspan").mm("font-size", part(30)).text(" "));
                    }
                    let small = |up: Length, digits: &str| {
                        Element::new("tspan")
                            .mm("dy", up)
                            .mm("font-size", part(SMALL))
                            .text(digits)
                    };
                    text.push(&small(-part(RAISED) - below, numerator));
                    text.push(
                        &Element::new("tspan")
                            .mm("dx", -part(4))
                            .mm("dy", part(RAISED))
                            .text("/"),
                    );
                    text.push(&small(part(LOWERED), denominator).mm("dx", -part(4)));
                    below = part(LOWERED);
                }
            }
        }
        text
    }

    /// About how wide it is in type of `size`, on the safe side for the fonts that pages are shown in.
    ///
    /// Digits are .54 to .64 of the size wide in five common ones: measured.
    pub fn width(&self, size: Length) -> Length {
        let of = |text: &str| text.chars().map(thousandths).sum::<i64>();
        let pieces = self.pieces.iter().map(|piece| match piece {
            Piece::Plain(text) => of(text),
            Piece::Mixed {
                whole,
                numerator,
                denominator,
            } => {
                let small = of(numerator) + of(denominator);
                let blank = if whole.is_empty() { 0 } else { 80 };
                of(whole) + blank + small * SMALL / 100 + thousandths('/') - 80
            }
        });
        Length::from_nm(size.nm() * pieces.sum::<i64>() / 1000)
    }
}

impl Piece {
    fn text(&self) -> String {
        match self {
            Piece::Plain(text) => text.clone(),
            Piece::Mixed {
                whole,
                numerator,
                denominator,
            } if whole.is_empty() => format!("{numerator}/{denominator}"),
            Piece::Mixed {
                whole,
                numerator,
                denominator,
            } => format!("{whole} {numerator}/{denominator}"),
        }
    }
}

/// `words` behind what stands in `text`, on its baseline.
fn back(text: Element, words: &str, below: &mut Length) -> Element {
    let moved = std::mem::take(below);
    if moved == Length::ZERO {
        text.text(words)
    } else {
        text.with(&Element::new("tspan").mm("dy", -moved).text(words))
    }
}

/// About how wide words are in type of `size`.
pub(super) fn wide(words: &str, size: Length) -> Length {
    let letters: i64 = words.chars().map(thousandths).sum();
    Length::from_nm(size.nm() * letters / 1000)
}

/// How wide a character is, in thousandths of the size.
fn thousandths(symbol: char) -> i64 {
    match symbol {
        '0'..='9' | '~' => 600,
        ' ' | '.' | ',' | '\'' | '"' => 300,
        '/' => 400,
        'm' | 'w' | 'M' | 'W' => 950,
        'i' | 'l' | 'j' | 't' | 'f' => 380,
        'A'..='Z' => 720,
        _ => 620,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::length::Unit;
    use crate::samples::{empty_job, in64};

    fn mixed(whole: &str, numerator: &str, denominator: &str) -> Piece {
        Piece::Mixed {
            whole: whole.to_owned(),
            numerator: numerator.to_owned(),
            denominator: denominator.to_owned(),
        }
    }

    fn plain(text: &str) -> Piece {
        Piece::Plain(text.to_owned())
    }

    #[test]
    fn a_figure_is_taken_apart_as_it_is_printed() {
        for (text, pieces) in [
            ("21 5/8", vec![mixed("21", "5", "8")]),
            ("~21 5/8", vec![plain("~"), mixed("21", "5", "8")]),
            ("15/16", vec![mixed("", "15", "16")]),
            (
                "1\u{a0}1/8\u{a0}in",
                vec![mixed("1", "1", "8"), plain(" in")],
            ),
            ("550.5", vec![plain("550.5")]),
            (
                "8' 2 1/2\"",
                vec![plain("8' "), mixed("2", "1", "2"), plain("\"")],
            ),
            (
                "8' 1/2\"",
                vec![plain("8' "), mixed("", "1", "2"), plain("\"")],
            ),
            (
                "8 ft 2 1/2 in",
                vec![plain("8 ft "), mixed("2", "1", "2"), plain(" in")],
            ),
            ("96", vec![plain("96")]),
        ] {
            let figure = Figure::read(text);
            assert_eq!(figure.pieces, pieces, "{text}");
            assert_eq!(figure.text(), text.replace('\u{a0}', " "));
        }
    }

    #[test]
    fn a_fraction_is_set_apart_and_reads_as_before() {
        let figure = Figure::read("21 5/8");
        assert_eq!(
            figure.html(),
            "<span class=\"len\">21<span class=\"sp\"> </span><span class=\"fr\"><span class=\"nu\">5</span>\
             <span class=\"sl\">/</span><span class=\"de\">8</span></span></span>"
        );
        let at = (Length::MILLIMETRE * 10, Length::MILLIMETRE * 5);
        // Derived: of 7 mm, 72 % are 5.04, 30 % 2.1, 22 % 1.54, 3 % 0.21 and 4 % 0.28.
        assert_eq!(
            figure.svg("fig", at, Length::MILLIMETRE * 7).to_string(),
            "<text class=\"fig\" x=\"10\" y=\"5\" font-size=\"7\" text-anchor=\"middle\">21<tspan font-size=\"2.1\"> \
             </tspan><tspan dy=\"-1.54\" font-size=\"5.04\">5</tspan><tspan dx=\"-0.28\" dy=\"1.54\">/</tspan>\
             <tspan dy=\"0.21\" font-size=\"5.04\" dx=\"-0.28\">8</tspan></text>"
        );
    }

    proptest! {
        #![proptest_config(cases!())]

        #[test]
        fn a_figure_says_what_the_text_says(
            nm in 0_i64..4_000_000_000,
            exact in 0_i64..10_000,
            unit in prop::sample::select(vec![Unit::Inch, Unit::Foot, Unit::Millimeter, Unit::Centimeter, Unit::Meter]),
            show in prop::sample::select(vec![Show::Needed, Show::There, Show::NeededWithUnit, Show::Place, Show::Exact]),
        ) {
            let mut display = empty_job().display.clone();
            display.unit = unit;
            for length in [Length::from_nm(nm), in64(exact)] {
                let text = length_text(&display, length, show);
                let figure = Figure::new(&display, length, show);
                prop_assert_eq!(figure.text(), text.replace('\u{a0}', " "));
                let n_fractions = text.matches('/').count();
                let is_mixed = |piece: &&Piece| matches!(piece, Piece::Mixed { .. });
                prop_assert_eq!(figure.pieces.iter().filter(is_mixed).count(), n_fractions);
            }
        }
    }
}
