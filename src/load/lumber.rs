//! Sizes of boards as lumber yards name them: nominal sizes, and thickness in quarters of an inch.

use super::fields::{Fields, Found};
use super::limits::MOST_QUARTERS;
use super::words::{SURFACES, Surface};
use crate::diag::{code, quoted};
use crate::length::Length;
use crate::stock::{
    NominalSize, dressed_softwood, softwood_sizes, surfaced_hardwood, surfaced_quarters,
};

/// The size of a board across its length.
pub(super) struct Sizes {
    pub(super) thickness: Option<Length>,
    pub(super) width: Option<Length>,
    pub(super) nominal: Option<NominalSize>,
}

/// Reads `thickness`, `width`, `nominal` and `surfaced`; what was measured wins over the tables.
pub(super) fn read_sizes(fields: &mut Fields<'_, '_>) -> Found<Sizes> {
    let thickness = read_thickness(fields);
    let width = fields.optional_length("width");
    let softwood = read_softwood(fields);
    let surface = fields.optional_word("surfaced", &SURFACES);
    let mut excluded = Ok(());
    if fields.is_filled("nominal") {
        excluded = fields.check_excluded("surfaced", "`nominal`");
    }
    let surfaced = match surface {
        Ok(Some(Surface::TwoSides)) if excluded.is_ok() => {
            thickness.and_then(|rough| read_surfaced(fields, rough).map(Some))
        }
        Ok(_) => Ok(None),
        Err(reported) => Err(reported),
    };
    excluded?;
    let (mut thickness, mut width) = (thickness?, width?);
    let mut nominal = None;
    if let Some((size, dressed)) = softwood? {
        thickness = thickness.or(Some(dressed.0));
        width = width.or(Some(dressed.1));
        nominal = Some(size);
    }
    if let Some((size, surfaced)) = surfaced? {
        thickness = Some(surfaced);
        nominal = Some(size);
    }
    Ok(Sizes {
        thickness,
        width,
        nominal,
    })
}

/// Reads `thickness`: a length, or quarters of an inch such as `5/4`, whatever the unit of the job.
pub(super) fn read_thickness(fields: &mut Fields<'_, '_>) -> Found<Option<Length>> {
    match fields
        .field("thickness")
        .and_then(|field| quarters(&field.text))
    {
        Some(count) => Ok(Some(quarter_inches(count))),
        None => fields.optional_length("thickness"),
    }
}

/// The count in a text such as `5/4`.
fn quarters(text: &str) -> Option<i64> {
    let count = text.strip_suffix("/4")?.trim_end();
    let is_plain = !count.is_empty() && count.bytes().all(|byte| byte.is_ascii_digit());
    let count = count.parse().ok().filter(|_| is_plain)?;
    (4..=MOST_QUARTERS).contains(&count).then_some(count)
}

fn quarter_inches(count: i64) -> Length {
    Length::from_nm(Length::INCH.nm() / 4 * count)
}

/// The nominal size of a softwood board, with its dressed thickness and width.
fn read_softwood(fields: &mut Fields<'_, '_>) -> Found<Option<(NominalSize, (Length, Length))>> {
    let Some(field) = fields.present("nominal")? else {
        return Ok(None);
    };
    let size = field
        .text
        .split_once(['x', 'X', '×'])
        .and_then(|(thickness, width)| {
            let inches = |text: &str| text.trim().parse::<i64>().ok();
            Some((inches(thickness)?, inches(width)?))
        });
    let dressed = size.and_then(|(thickness, width)| dressed_softwood(thickness, width));
    if let (Some((thickness, width)), Some(dressed)) = (size, dressed) {
        let nominal = NominalSize {
            thickness: Length::INCH * thickness,
            width: Some(Length::INCH * width),
        };
        return Ok(Some((nominal, dressed)));
    }
    let what = format!("{} is not a nominal size of softwood", quoted(&field.text));
    let (thicknesses, widths) = softwood_sizes();
    let hint = format!(
        "sizes are {} by {}, such as `1x6`; for any other board write `thickness` and `width`",
        listed(thicknesses),
        listed(widths)
    );
    Err(fields.fault(field, code::NOMINAL_SIZE, what, hint))
}

/// The thickness that surfacing leaves of a board `rough` in thickness.
fn read_surfaced(
    fields: &mut Fields<'_, '_>,
    rough: Option<Length>,
) -> Found<(NominalSize, Length)> {
    let (Some(rough), Some(field)) = (rough, fields.field("thickness")) else {
        let what = "`surfaced` needs `thickness`, in quarters such as `4/4`";
        return Err(match fields.field("surfaced") {
            Some(field) => fields.fault(field, code::NEEDS, what, None),
            None => fields.record_fault(code::NEEDS, what, None),
        });
    };
    if let Some(surfaced) = quarters(&field.text).and_then(surfaced_hardwood) {
        let nominal = NominalSize {
            thickness: rough,
            width: None,
        };
        return Ok((nominal, surfaced));
    }
    let what = format!(
        "no thickness is known for {} when it is surfaced",
        quoted(&field.text)
    );
    let known: Vec<String> = surfaced_quarters()
        .map(|count| format!("`{count}/4`"))
        .collect();
    let hint = format!(
        "thicknesses are {}; for any other write the one it has, and leave `surfaced` empty",
        known.join(", ")
    );
    Err(fields.fault(field, code::NOMINAL_SIZE, what, hint))
}

/// `2, 3, 4`.
fn listed(numbers: impl Iterator<Item = i64>) -> String {
    numbers
        .map(|number| number.to_string())
        .collect::<Vec<_>>()
        .join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_four_quarters_and_more_are_quarters() {
        for (text, count) in [
            ("4/4", Some(4)),
            ("5/4", Some(5)),
            ("16/4", Some(16)),
            ("8 /4", Some(8)),
            ("64/4", Some(64)),
            ("3/4", None),
            ("65/4", None),
            ("1 1/4", None),
            ("+5/4", None),
            ("/4", None),
            ("4/4 in", None),
            ("99999999999999999999/4", None),
        ] {
            assert_eq!(quarters(text), count, "{text}");
        }
        // Derived: 5/4 in is 31.75 mm.
        assert_eq!(quarter_inches(5), Length::from_nm(31_750_000));
    }
}
