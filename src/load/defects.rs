//! Defects of a board: the column `defects`.

use std::fmt;

use super::fields::{Fields, Found};
use crate::diag::{code, quoted};
use crate::length::{Length, LengthError, Notation, exact_text, parse};
use crate::stock::{Across, Defect};

/// How a list of defects is written.
const FORM: &str = "write stretches along the board, each measured from its near end, such as `23 to 25 1/2; 61 to 62 left`, \
                    `61 to 62 right 2`";

/// Why a text is not a list of defects.
#[derive(Clone, Debug, PartialEq, Eq)]
enum DefectError {
    /// A stretch without the word `to`.
    NoTo(String),
    /// A length at fault.
    Length(String, LengthError),
    /// A stretch that ends where it begins, or before.
    Empty(String),
    /// A side of no depth.
    NoDepth(String),
}

impl fmt::Display for DefectError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DefectError::NoTo(text) => {
                write!(out, "{} does not say from where `to` where", quoted(text))
            }
            DefectError::Length(text, error) => write!(out, "{}: {error}", quoted(text)),
            DefectError::Empty(text) => write!(out, "{} ends before it begins", quoted(text)),
            DefectError::NoDepth(text) => {
                write!(out, "{} takes nothing of the width", quoted(text))
            }
        }
    }
}

/// Reads `defects`, sorted from the near end; none where the field is empty.
pub(super) fn read_defects(fields: &mut Fields<'_, '_>) -> Found<Vec<Defect>> {
    let Some(field) = fields.present("defects")? else {
        return Ok(Vec::new());
    };
    let notation = fields.notation_of(field);
    let stretches = field.text.split(';').map(str::trim);
    let found: Result<Vec<Defect>, DefectError> = stretches
        .filter(|text| !text.is_empty())
        .map(|text| parse_defect(text, notation))
        .collect();
    match found {
        Ok(mut defects) => {
            defects.sort_unstable();
            Ok(defects)
        }
        Err(error) => {
            let what = format!("{} is not a list of defects: {error}", quoted(&field.text));
            Err(fields.fault(field, code::NOT_DEFECTS, what, FORM.to_owned()))
        }
    }
}

/// Reads `23 to 25 1/2`, `61 to 62 left` or `61 to 62 right 2`.
fn parse_defect(text: &str, notation: Notation) -> Result<Defect, DefectError> {
    let length = |part: &str| {
        parse(part.trim(), notation).map_err(|error| DefectError::Length(text.to_owned(), error))
    };
    let (stretch, side) = split_at_word(text, &["left", "right"])
        .map_or((text, None), |(stretch, word, depth)| {
            (stretch, Some((word, depth.trim())))
        });
    let (from, _, to) =
        split_at_word(stretch, &["to"]).ok_or_else(|| DefectError::NoTo(text.to_owned()))?;
    let (from, to) = (length(from)?, length(to)?);
    if to <= from {
        return Err(DefectError::Empty(text.to_owned()));
    }
    let across = match side {
        None => Across::Full,
        Some((word, depth)) => {
            let depth = if depth.is_empty() {
                None
            } else {
                Some(length(depth)?)
            };
            if depth == Some(Length::ZERO) {
                return Err(DefectError::NoDepth(text.to_owned()));
            }
            if word == "left" {
                Across::Left(depth)
            } else {
                Across::Right(depth)
            }
        }
    };
    Ok(Defect { from, to, across })
}

/// What stands before and after the first of some words, in any case, and which of them it is.
fn split_at_word<'t>(
    text: &'t str,
    words: &[&'static str],
) -> Option<(&'t str, &'static str, &'t str)> {
    let mut from = 0;
    for word in text.split_whitespace() {
        let at = from + text[from..].find(word)?;
        from = at + word.len();
        if let Some(found) = words.iter().find(|known| word.eq_ignore_ascii_case(known)) {
            return Some((&text[..at], found, &text[from..]));
        }
    }
    None
}

/// Checks that the defects lie on their board, and no two of them on each other.
pub(super) fn check_defects(
    fields: &mut Fields<'_, '_>,
    defects: &[Defect],
    length: Length,
    width: Option<Length>,
) -> Found<()> {
    let Some(field) = fields.field("defects") else {
        return Ok(());
    };
    let unit = fields.notation_of(field).unit;
    let shown = |length| format!("`{}`", exact_text(length, unit));
    let mut fault = None;
    for defect in defects {
        if defect.to > length {
            fault = Some(format!(
                "a defect ends at {}, beyond the board, which is {} long",
                shown(defect.to),
                shown(length)
            ));
        }
        if let (Across::Left(Some(depth)) | Across::Right(Some(depth)), Some(width)) =
            (defect.across, width)
            && depth > width
        {
            fault = Some(format!(
                "a defect takes {} of the width, beyond the board, which is {} wide",
                shown(depth),
                shown(width)
            ));
        }
    }
    for (idx, one) in defects.iter().enumerate() {
        let other = defects[idx + 1..].iter().find(|other| {
            let may_lie_apart = matches!(
                (one.across, other.across),
                (Across::Left(_), Across::Right(_)) | (Across::Right(_), Across::Left(_))
            );
            !may_lie_apart && other.from < one.to
        });
        if let Some(other) = other {
            fault = fault.or_else(|| {
                Some(format!(
                    "two defects overlap: one goes from {} to {}, another begins at {}",
                    shown(one.from),
                    shown(one.to),
                    shown(other.from)
                ))
            });
        }
    }
    match fault {
        Some(what) => Err(fields.fault(field, code::DEFECT_MISPLACED, what, None)),
        None => Ok(()),
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;
    use crate::length::Unit;

    fn read(text: &str) -> Result<Defect, String> {
        let notation = Notation {
            unit: Unit::Inch,
            decimal_comma: false,
        };
        parse_defect(text, notation).map_err(|error| error.to_string())
    }

    #[test]
    fn a_defect_is_a_stretch_and_a_side_of_the_board() {
        let inches = |count| Length::INCH * count;
        let defect = |across| Defect {
            from: inches(61),
            to: inches(62),
            across,
        };
        for (text, across) in [
            ("61 to 62", Across::Full),
            ("61 TO 62 Left", Across::Left(None)),
            ("61in to 5' 2\" right 2", Across::Right(Some(inches(2)))),
            ("61 to 62 left 50.8 mm", Across::Left(Some(inches(2)))),
        ] {
            assert_eq!(read(text), Ok(defect(across)), "{text}");
        }
        assert_eq!(
            read("14-1/8 to 15 1/4").unwrap().from,
            Length::from_nm(358_775_000)
        );
    }

    #[test]
    fn every_fault_of_a_defect_is_told() {
        for (text, message) in [
            ("61", "`61` does not say from where `to` where"),
            ("61-62", "`61-62` does not say from where `to` where"),
            ("62 to 61", "`62 to 61` ends before it begins"),
            ("61 to 61", "`61 to 61` ends before it begins"),
            (
                "61 to 62 left 0",
                "`61 to 62 left 0` takes nothing of the width",
            ),
            (
                "61 to knot",
                "`61 to knot`: expected a number, found `knot`",
            ),
        ] {
            assert_eq!(read(text), Err(message.to_owned()), "{text}");
        }
    }
}
