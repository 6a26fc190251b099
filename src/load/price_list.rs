//! A price list: what is asked for frames by their name, or by their size.

use std::path::Path;

use super::csv_file::CsvTable;
use super::fields::{Fields, Found, Scope};
use super::files::Files;
use super::limits::MOST_LISTED;
use super::near::did_you_mean;
use super::price::read_amount;
use super::schema::PRICE_LIST;
use super::tables::read_table_by;
use super::words::MATTED;
use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};
use crate::job::{AskedOf, AskedPrice, AskedSize, Job};

/// Reads the rows of a price list that have a price.
///
/// What is wrong with the list is added to `faults`; rows that are sound are read all the same.
/// Bare numbers are of the unit of `job`, amounts in its currency; names of which it has neither frame nor piece are noted.
pub fn read_price_list(
    path: &Path,
    files: &dyn Files,
    job: &Job,
    faults: &mut Diagnostics,
) -> Vec<AskedPrice> {
    let place = Place::File(path.to_owned());
    let Ok(text) = read_table_by(path, |path| files.read(path), &place, faults) else {
        return Vec::new();
    };
    let table = CsvTable::open(path, text, &PRICE_LIST, faults);
    let display = &job.display;
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
    note_unknown_names(path, &prices, job, faults);
    prices
}

/// Notes the names in a list that are none of the job's: a list may be of more than a job, or have a slip.
fn note_unknown_names(path: &Path, prices: &[AskedPrice], job: &Job, faults: &mut Diagnostics) {
    let frames = job.frames.iter().map(|frame| frame.name.as_str());
    let names: Vec<&str> = frames
        .chain(job.pieces.iter().map(|piece| piece.name.as_str()))
        .collect();
    let unknown: Vec<&str> = prices
        .iter()
        .filter_map(|asked| match &asked.of {
            AskedOf::Name(name) => Some(name.as_str()),
            AskedOf::Size { .. } => None,
        })
        .filter(|name| !names.contains(name))
        .collect();
    if unknown.is_empty() {
        return;
    }
    let listed: Vec<String> = unknown
        .iter()
        .take(MOST_LISTED)
        .map(|name| quoted(name))
        .collect();
    let n_more = unknown.len() - listed.len();
    let more = match n_more {
        0 => String::new(),
        _ => format!(" and {n_more} more"),
    };
    let what = format!(
        "the job has no frame or piece named {}{more}: nothing is asked by {}",
        listed.join(", "),
        if unknown.len() == 1 {
            "that row"
        } else {
            "those rows"
        }
    );
    let mut near = unknown.iter().filter_map(|name| {
        let hint = did_you_mean(name, names.clone())?;
        Some(if unknown.len() == 1 {
            hint
        } else {
            format!("for {}: {hint}", quoted(name))
        })
    });
    let hint = near.next();
    faults.push(
        Diagnostic::note(code::LIST_AS_READ, Place::File(path.to_owned()), what).with_hint(hint),
    );
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
        let job = empty_job();
        let rows = read_price_list(Path::new("list.csv"), &memory, &job, &mut faults);
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
