//! A list of sizes of which an estimate is wanted.

use std::path::Path;

use super::csv_file::CsvTable;
use super::fields::{Fields, Found, Scope};
use super::files::Files;
use super::schema::SIZE_LIST;
use super::tables::read_table_by;
use super::words::MATTED;
use crate::diag::{Diagnostics, Place, code, quoted};
use crate::frame::Moulding;
use crate::job::{AskedSize, JobSpec};

/// Reads the rows of a list of sizes for the mouldings of `job`, in whose unit bare numbers are.
///
/// What is wrong with the list is added to `faults`; rows that are sound are read all the same.
pub fn read_size_list(
    path: &Path,
    files: &dyn Files,
    job: &JobSpec,
    faults: &mut Diagnostics,
) -> Vec<AskedSize> {
    let place = Place::File(path.to_owned());
    let Ok(text) = read_table_by(path, |path| files.read(path), &place, faults) else {
        return Vec::new();
    };
    let table = CsvTable::open(path, text, &SIZE_LIST, faults);
    let scope = Scope {
        unit: job.display.unit,
        shop_unit: job.display.unit,
        currency: job.display.currency.clone(),
    };
    let mut sizes = Vec::new();
    table.each_record(faults, |record, faults| {
        let fields = Fields::new(&record, &scope, faults);
        if let Ok(size) = read_row(fields, &job.mouldings) {
            sizes.push(size);
        }
    });
    sizes
}

fn read_row(mut fields: Fields<'_, '_>, mouldings: &[Moulding]) -> Found<AskedSize> {
    let width = fields.length("width");
    let height = fields.length("height");
    let moulding = read_moulding(&mut fields, mouldings);
    let has_mat = fields.optional_word("mat", &MATTED);
    Ok(AskedSize {
        width: width?,
        height: height?,
        moulding: moulding?,
        has_mat: has_mat?,
    })
}

/// A moulding of the job by its name, or mouldings by their profile.
fn read_moulding(fields: &mut Fields<'_, '_>, mouldings: &[Moulding]) -> Found<Option<String>> {
    let Some(name) = fields.optional_name("moulding")? else {
        return Ok(None);
    };
    let mut known = mouldings.iter();
    if known.any(|own| own.name == name || own.profile == name) {
        return Ok(Some(name));
    }
    let what = format!("unknown moulding {}", quoted(&name));
    let all: Vec<String> = mouldings.iter().map(|own| quoted(&own.name)).collect();
    let hint = format!("the job has {}", all.join(", "));
    match fields.present("moulding")? {
        Some(field) => Err(fields.fault(field, code::UNKNOWN_MOULDING, what, hint)),
        None => Ok(None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;
    use crate::load::tests::Memory;
    use crate::samples::{empty_job, inches};

    fn read(text: &str) -> (Vec<AskedSize>, usize) {
        let memory = Memory::new(&[("sizes.csv", text)]);
        let mut faults = Diagnostics::default();
        let rows = read_size_list(Path::new("sizes.csv"), &memory, &empty_job(), &mut faults);
        (rows, faults.n_errors())
    }

    #[test]
    fn sizes_are_read_and_what_is_none_is_refused() {
        let (rows, n_errors) = read("width,height,mat,note\n8,10,,x\n20 in,16,none,\n");
        assert_eq!(n_errors, 0);
        assert_eq!(rows[0], AskedSize::any(inches(8), inches(10)));
        assert_eq!((rows[1].width, rows[1].has_mat), (inches(20), Some(false)));
        for row in ["8,,", "-8,10,", "8,10,perhaps", "0,10,"] {
            let (rows, n_errors) = read(&format!("width,height,mat\n{row}\n"));
            assert_eq!((rows.len(), n_errors), (0, 1), "{row}");
        }
        let (rows, n_errors) = read("Breite (cm);Höhe (cm);Leiste\n20,5;25;\n");
        assert_eq!(n_errors, 0);
        let size = AskedSize::any(Length::MILLIMETRE * 205, Length::MILLIMETRE * 250);
        assert_eq!(rows, [size]);
        assert_eq!(read("Art width,Art height\n8,10\n").0.len(), 1);
        let (rows, n_errors) = read("width,height,moulding\n8,10,no such\n");
        assert_eq!((rows.len(), n_errors), (0, 1));
    }
}
