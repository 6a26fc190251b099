//! Sheets of mat board, glazing and backing: the table `[[sheets]]`.

use super::fields::{Fields, Found, Least, Names};
use super::record::{Column, required};
use crate::diag::{code, quoted};
use crate::frame::Sheet;

pub(super) const COLUMNS: &[Column] = &[required("name"), required("use"), required("thickness")];

/// What a sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Use {
    /// Glass or acrylic.
    Glazing,
    /// Behind the art.
    Backing,
    /// Round the art.
    Mat,
}

const USES: [(&str, Use); 3] = [
    ("glazing", Use::Glazing),
    ("backing", Use::Backing),
    ("mat", Use::Mat),
];

impl Use {
    /// The word for it in the job file, which is also the column of a frame that names such a sheet.
    fn word(self) -> &'static str {
        match self {
            Use::Glazing => "glazing",
            Use::Backing => "backing",
            Use::Mat => "mat",
        }
    }
}

/// All sheets of a job; a faulty one is there without its data.
#[derive(Default)]
pub(super) struct Sheets<'a> {
    pub(super) names: Names<'a>,
    pub(super) sheets: Vec<Found<(Use, Sheet)>>,
}

/// Reads one sheet.
pub(super) fn read_sheet(mut fields: Fields<'_, '_>) -> Found<(Use, Sheet)> {
    let name = fields.name("name");
    let name = fields.required("name", name);
    let sheet_use = fields.word("use", &USES);
    let sheet_use = fields.required("use", sheet_use);
    let thickness = fields.length("thickness", Least::Positive);
    let thickness = fields.required("thickness", thickness);
    Ok((
        sheet_use?,
        Sheet {
            name: name?,
            thickness: thickness?,
        },
    ))
}

/// The sheet that a frame names for a use.
pub(super) fn find_sheet(
    fields: &mut Fields<'_, '_>,
    sheets: &Sheets<'_>,
    wanted: Use,
) -> Found<Option<Sheet>> {
    let column = wanted.word();
    let Some(idx) = fields.reference(column, &sheets.names, code::UNKNOWN_SHEET, "sheet")? else {
        return Ok(None);
    };
    let (given, sheet) = sheets.sheets.get(idx).ok_or(super::fields::Reported)?.clone()?;
    if let Some(field) = fields.field(column)
        && given != wanted
    {
        let what = format!(
            "sheet {} is for {}, not for {column}",
            quoted(&field.text),
            given.word()
        );
        return Err(fields.fault(field, code::UNKNOWN_SHEET, what, None));
    }
    Ok(Some(sheet))
}
