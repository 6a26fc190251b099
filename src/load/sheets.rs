//! Sheets of mat board, glazing and backing: the table `[[sheets]]`.

use super::fields::{Fields, Found, Least, Names};
use super::record::{Column, optional, required};
use crate::diag::{code, quoted};
use crate::frame::Sheet;
use crate::job::SheetStock;
use crate::money::Money;

pub(super) const COLUMNS: &[Column] = &[
    required("name"),
    required("use"),
    required("thickness"),
    optional("width"),
    optional("height"),
    optional("price"),
];

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

/// Reads the size and price in which a sheet is sold; `None` where no size is stated.
pub(super) fn read_stock(
    mut fields: Fields<'_, '_>,
    sheet: &Found<(Use, Sheet)>,
) -> Found<Option<SheetStock>> {
    let width = fields.length("width", Least::Positive);
    let height = fields.length("height", Least::Positive);
    let price = read_price(&mut fields);
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

/// Reads the price of one sheet.
fn read_price(fields: &mut Fields<'_, '_>) -> Found<Option<Money>> {
    let Some(field) = fields.present("price")? else {
        return Ok(None);
    };
    match fields.scope.currency.parse_amount(&field.text, false) {
        Ok(price) => Ok(Some(price)),
        Err(error) => {
            let what = format!("{} is not a price: {error}", quoted(&field.text));
            Err(fields.fault(
                field,
                code::NOT_A_PRICE,
                what,
                "write the price of one sheet, such as `14.50`".to_owned(),
            ))
        }
    }
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
