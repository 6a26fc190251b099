//! Sheets of mat board, glazing and backing: the table `[[sheets]]`.

use super::fields::{Fields, Found, Names};
use super::price::read_amount;
use super::words::{USES, Use};
use crate::diag::{code, quoted};
use crate::frame::Sheet;
use crate::job::SheetStock;

/// All sheets of a job; a faulty one is there without its data.
#[derive(Default)]
pub(super) struct Sheets<'a> {
    pub(super) names: Names<'a>,
    pub(super) sheets: Vec<Found<(Use, Sheet)>>,
}

/// Reads one sheet.
pub(super) fn read_sheet(mut fields: Fields<'_, '_>) -> Found<(Use, Sheet)> {
    let name = fields.name("name");
    let sheet_use = fields.word("use", &USES);
    let thickness = fields.length("thickness");
    Ok((
        sheet_use?,
        Sheet {
            name: name?,
            thickness: thickness?,
        },
    ))
}

/// Reads the size and price in which a sheet is sold; `None` where no size is stated.
pub(super) fn read_stock(
    mut fields: Fields<'_, '_>,
    sheet: &Found<(Use, Sheet)>,
) -> Found<Option<SheetStock>> {
    let width = fields.optional_length("width");
    let height = fields.optional_length("height");
    let price = read_amount(
        &mut fields,
        "price",
        "write the price of one sheet, such as `14.50`",
    );
    let (width, height, price) = (width?, height?, price?);
    let (Some(width), Some(height)) = (width, height) else {
        let Some(given) = ["width", "height", "price"]
            .into_iter()
            .find(|&name| fields.is_filled(name))
        else {
            return Ok(None);
        };
        let what = format!("`{given}` of a sheet needs both `width` and `height`");
        return Err(fields.record_fault(code::NEEDS, what, None));
    };
    let (sheet_use, sheet) = sheet.clone()?;
    Ok(Some(SheetStock {
        name: sheet.name,
        is_mat: sheet_use == Use::Mat,
        width,
        height,
        price,
    }))
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
    let (given, sheet) = sheets
        .sheets
        .get(idx)
        .ok_or(super::fields::Reported)?
        .clone()?;
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
