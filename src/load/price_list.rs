//! A price list: what is asked for frames by their name, or by their size.

use std::path::Path;

use super::csv_file::CsvTable;
use super::fields::{Fields, Found, Scope};
use super::files::Files;
use super::price::read_amount;
use super::schema::PRICE_LIST;
use super::tables::read_table_by;
use super::words::MATTED;
use crate::diag::{Diagnostics, Place, code};
use crate::job::{AskedOf, AskedPrice, AskedSize, Display};

/// Reads the rows of a price list that have a price.
///
/// What is wrong with the list is added to `faults`; rows that are sound are read all the same.
/// Bare numbers are of the unit of `display`, amounts in its currency.
pub fn read_price_list(
    path: &Path,
    files: &dyn Files,
    display: &Display,
    faults: &mut Diagnostics,
) -> Vec<AskedPrice> {
    let place = Place::File(path.to_owned());
    let Ok((text, encoding)) = read_table_by(path, |path| files.read(path), &place, faults) else {
        return Vec::new();
    };
    let table = CsvTable::open(path, text, encoding, &PRICE_LIST, faults);
    let scope = Scope {
        unit: display.unit,
        shop_unit: display.unit,
        currency: display.currency.clone(),
    };
    let mut prices = Vec::new();
    table.each_record(faults, |record, faults| {
        if record.field("price").is_some()
            && let Ok(row) = read_row(Fields::new(&record, &scope, faults))
        {
            prices.push(row);
        }
    });
    prices
}

fn read_row(mut fields: Fields<'_, '_>) -> Found<AskedPrice> {
    let name = fields.optional_name("frame");
    let width = fields.optional_length("width");
    let height = fields.optional_length("height");
    let moulding = fields.optional_name("moulding");
    let has_mat = fields.optional_word("mat", &MATTED);
    let price = read_amount(&mut fields, "price", "write an amount such as `95.00`");
    let (name, width, height) = (name?, width?, height?);
    let (moulding, has_mat, price) = (moulding?, has_mat?, price?.unwrap_or_default());
    let of = match (name, width, height) {
        (Some(name), ..) => AskedOf::Name(name),
        (None, Some(width), Some(height)) => AskedOf::Size(AskedSize {
            width,
            height,
            moulding,
            has_mat,
        }),
        _ => {
            let what =
                "a price needs the name of a `frame`, or the `width` and `height` of its art";
            let hint = "fill in one or the other".to_owned();
            return Err(fields.record_fault(code::NEEDS, what, hint));
        }
    };
    Ok(AskedPrice { of, price })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::load::tests::Memory;
    use crate::money::Money;
    use crate::samples::{empty_job, inches};

    fn read(text: &str) -> (Vec<AskedPrice>, usize) {
        let memory = Memory::new(&[("list.csv", text)]);
        let mut faults = Diagnostics::default();
        let display = empty_job().display.clone();
        let rows = read_price_list(Path::new("list.csv"), &memory, &display, &mut faults);
        (rows, faults.n_errors())
    }

    #[test]
    fn prices_stand_for_a_name_or_a_size() {
        let text = "frame,width,height,moulding,mat,price,note\n\
                    Heron,,,,,95.00,\n,8,10,oak,mat,49.95,\n,8 in,10,,,60,x\n,11,14,,,,open\n";
        let (rows, n_errors) = read(text);
        assert_eq!(n_errors, 0);
        assert_eq!(rows.len(), 3);
        assert_eq!(rows[0].of, AskedOf::Name("Heron".to_owned()));
        let size = |moulding: Option<&str>, has_mat| {
            AskedOf::Size(AskedSize {
                moulding: moulding.map(str::to_owned),
                has_mat,
                ..AskedSize::any(inches(8), inches(10))
            })
        };
        assert_eq!(rows[1].of, size(Some("oak"), Some(true)));
        assert_eq!(rows[1].price, Money::from_minor(4_995));
        assert_eq!(rows[2].of, size(None, None));
    }

    #[test]
    fn rows_without_name_and_size_or_with_other_words_are_refused() {
        for row in [",8,,,,5", ",8,10,,maybe,5", ",8,10,,,much", ",-8,10,,,5"] {
            let (rows, n_errors) = read(&format!("frame,width,height,moulding,mat,price\n{row}\n"));
            assert_eq!((rows.len(), n_errors), (0, 1), "{row}");
        }
        assert_eq!(read("frame,width,height\nHeron,8,10\n").1, 1);
    }
}
