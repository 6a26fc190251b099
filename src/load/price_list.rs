//! A price list: what is asked for frames by their name, or by their size.

use std::path::Path;

use super::csv_file::CsvTable;
use super::fields::{Fields, Found, Scope};
use super::files::Files;
use super::near::{did_you_mean, few};
use super::price::read_amount;
use super::schema::PRICE_LIST;
use super::tables::read_table_by;
use super::words::MATTED;
use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};
use crate::frame::{Frame, Outline};
use crate::job::{AskedOf, AskedPrice, AskedSize, Job};

/// Reads the rows of a price list that have a price.
///
/// What is wrong with the list is added to `faults`; rows that are sound are read all the same.
/// Bare numbers are of the unit of `job`, amounts in its currency. Names of which it has neither frame nor piece are noted, so are
/// mouldings that it has not, and frames of which the list has the size, but with other mouldings or mats.
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
    note_unknown_mouldings(path, &prices, job, faults);
    note_passed_over(path, &prices, job, faults);
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
    note_unknown(
        path,
        "frame or piece",
        &unknown,
        unknown.len(),
        &names,
        faults,
    );
}

/// Notes the mouldings of sizes in a list that are none of the job's, each once.
fn note_unknown_mouldings(path: &Path, prices: &[AskedPrice], job: &Job, faults: &mut Diagnostics) {
    let mouldings = job.mouldings.iter();
    let names: Vec<&str> = mouldings
        .flat_map(|own| [own.name.as_str(), own.profile.as_str()])
        .collect();
    let mut unknown: Vec<&str> = Vec::new();
    let mut n_rows = 0;
    for asked in prices {
        if let AskedOf::Size(size) = &asked.of
            && let Some(name) = size.moulding.as_deref()
            && !names.contains(&name)
        {
            n_rows += 1;
            if !unknown.contains(&name) {
                unknown.push(name);
            }
        }
    }
    note_unknown(path, "moulding", &unknown, n_rows, &names, faults);
}

/// Notes the frames that no row is for, though rows have the size of their art: those are of another moulding, or of the same
/// with a mat instead of without.
fn note_passed_over(path: &Path, prices: &[AskedPrice], job: &Job, faults: &mut Diagnostics) {
    let is_passed_over = |frame: &&Frame| {
        let Outline::Rectangle { width, height } = frame.art else {
            return false;
        };
        let is_named =
            |asked: &AskedPrice| matches!(&asked.of, AskedOf::Name(name) if *name == frame.name);
        let sizes = prices.iter().filter_map(|asked| match &asked.of {
            AskedOf::Size(size) => Some(size),
            AskedOf::Name(_) => None,
        });
        let mut of_size = sizes
            .filter(|size| [(width, height), (height, width)].contains(&(size.width, size.height)))
            .peekable();
        let moulding = &job.mouldings[frame.moulding_idx];
        !frame.is_held()
            && !prices.iter().any(is_named)
            && of_size.peek().is_some()
            && !of_size.any(|size| size.is_of(moulding, frame.mat.is_some()))
    };
    let frames = job.frames.iter();
    let frames: Vec<&Frame> = frames.filter(is_passed_over).collect();
    if frames.is_empty() {
        return;
    }
    let told = |frame: &&Frame| {
        let moulding = &job.mouldings[frame.moulding_idx].name;
        let with = match frame.mat {
            Some(_) => "with",
            None => "without",
        };
        format!("{}, {} {with} a mat", quoted(&frame.name), quoted(moulding))
    };
    let what = format!(
        "no row with a price is for {}: those of the size are for another moulding or mat",
        few(frames.iter().map(told).collect(), "; ")
    );
    faults.push(Diagnostic::note(
        code::LIST_AS_READ,
        Place::File(path.to_owned()),
        what,
    ));
}

/// Notes what is unknown of a kind in so many rows, and which of the `names` that are known was probably meant.
fn note_unknown(
    path: &Path,
    kind: &str,
    unknown: &[&str],
    n_rows: usize,
    names: &[&str],
    faults: &mut Diagnostics,
) {
    if unknown.is_empty() {
        return;
    }
    let listed = unknown.iter().map(|name| quoted(name));
    let what = format!(
        "the job has no {kind} named {}: nothing is asked by {}",
        few(listed.collect(), ", "),
        if n_rows == 1 {
            "that row"
        } else {
            "those rows"
        }
    );
    let mut near = unknown.iter().filter_map(|name| {
        let hint = did_you_mean(name, names.iter().copied())?;
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
    use crate::length::Length;
    use crate::load::tests::Memory;
    use crate::money::Money;
    use crate::samples::{empty_job, frame, inches, moulding, rectangle};

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
    fn rows_of_sizes_that_are_for_no_frame_are_noted() {
        let mut job = empty_job();
        job.mouldings = vec![
            moulding("oak", inches(1), None),
            moulding("walnut", inches(1), None),
        ];
        job.frames = vec![frame("Heron", 1, rectangle(8, 10), 0)];
        let notes = |rows: &str| {
            let text = format!("width,height,moulding,mat,price\n{rows}");
            let memory = Memory::new(&[("list.csv", &text)]);
            let mut faults = Diagnostics::default();
            read_price_list(Path::new("list.csv"), &memory, &job, &mut faults);
            let told = faults.into_sorted();
            told.iter()
                .map(|told| format!("{} / {:?}", told.what, told.hint))
                .collect::<Vec<_>>()
                .join("\n")
        };
        let slip = notes("8,10,walnt,,5\n10,8,walnt,,6\n11,14,oak,,7\n");
        assert!(
            slip.contains("no moulding named `walnt`: nothing is asked by those rows")
                && slip.contains("did you mean `walnut`?")
                && slip.contains("no row with a price is for `Heron`, `oak` without a mat"),
            "{slip}"
        );
        let matted = notes("10,8,oak,mat,5\n");
        assert!(
            matted.contains("no row with a price is for `Heron`"),
            "{matted}"
        );
        // A list of all sizes, with a mat and without, of all mouldings, is in order.
        assert_eq!(
            notes("10,8,oak,mat,5\n10,8,oak,none,4\n10,8,walnut,none,4\n"),
            ""
        );
    }

    #[test]
    fn headings_in_german_and_french_are_read() {
        let (rows, n_errors) = read("Breite (cm);Höhe (cm);Preis\n20;25;95,00\n");
        assert_eq!((rows.len(), n_errors), (1, 0));
        let size = AskedSize::any(Length::MILLIMETRE * 200, Length::MILLIMETRE * 250);
        assert_eq!(rows[0].of, AskedOf::Size(size));
        assert_eq!(read("largeur,hauteur,prix\n8,10,95.00\n").0.len(), 1);
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
