//! The rack after a job, as a table that a job can be given as its rack.

use crate::diag::guarded;
use crate::job::Job;
use crate::length::{Length, Unit, exact_text};
use crate::money::Currency;
use crate::plan::Plan;
use crate::stock::{Across, Board, Defect, Price};
use crate::tally::{NewPiece, rack_added, rack_left};

/// Columns of the rack, as `load` reads them.
const COLUMNS: [&str; 13] = [
    "board",
    "length",
    "quantity",
    "material",
    "thickness",
    "width",
    "moulding",
    "value",
    "paid",
    "from",
    "job",
    "since",
    "defects",
];

/// The rack as it will be when the plan is cut: what is not taken, then the new offcuts.
///
/// Every length has its unit and every price its measure, so that a job of any unit reads the same; unlike the other
/// tables this one is read again.
///
/// # Panics
/// Never: the pieces of a rack are measured.
pub fn rack_csv(plan: &Plan) -> String {
    let job = &plan.job;
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut record = |cells: &[String]| {
        let cells = cells.iter().cloned().map(guarded);
        writer
            .write_record(cells.collect::<Vec<_>>())
            .expect("every record has as many fields as the first, and memory takes all");
    };
    record(&COLUMNS.map(str::to_owned));
    for board in rack_left(plan) {
        record(&cells(job, &board));
    }
    for NewPiece { board, .. } in rack_added(plan) {
        record(&cells(job, &board));
    }
    let bytes = writer.into_inner().expect("memory takes all");
    String::from_utf8(bytes).expect("only text is written")
}

fn cells(job: &Job, board: &Board) -> [String; COLUMNS.len()] {
    let unit = job.display.unit;
    let size =
        |length: Option<Length>| length.map_or_else(String::new, |length| exact_text(length, unit));
    let price = |price: Option<Price>| {
        price.map_or_else(String::new, |price| {
            price_text(price, &job.display.currency, unit)
        })
    };
    let in_hand = board.in_hand.as_ref();
    [
        board.name.clone(),
        exact_text(board.length, unit),
        board.quantity.unwrap_or(1).to_string(),
        board.material.clone().unwrap_or_default(),
        size(board.thickness),
        size(board.width),
        board.milled_to().unwrap_or_default().to_owned(),
        price(in_hand.and_then(|in_hand| in_hand.value)),
        price(in_hand.and_then(|in_hand| in_hand.paid)),
        in_hand
            .and_then(|in_hand| in_hand.from.clone())
            .unwrap_or_default(),
        in_hand
            .and_then(|in_hand| in_hand.job.clone())
            .unwrap_or_default(),
        in_hand
            .and_then(|in_hand| in_hand.since)
            .map_or_else(String::new, |since| since.to_string()),
        defects_text(&board.defects, unit),
    ]
}

/// Defects as a table of boards reads them: `23 in to 25 1/2 in; 61 in to 62 in left 2 in`.
pub(super) fn defects_text(defects: &[Defect], unit: Unit) -> String {
    let text = |defect: &Defect| {
        let stretch = format!(
            "{} to {}",
            exact_text(defect.from, unit),
            exact_text(defect.to, unit)
        );
        let (word, depth) = match defect.across {
            Across::Full | Across::Gone => return stretch,
            Across::Left(depth) => ("left", depth),
            Across::Right(depth) => ("right", depth),
        };
        match depth {
            Some(depth) => format!("{stretch} {word} {}", exact_text(depth, unit)),
            None => format!("{stretch} {word}"),
        }
    };
    defects.iter().map(text).collect::<Vec<_>>().join("; ")
}

/// A price as the rack's table reads it: `12.50`, `1.20/ft`, `16.80/72 in`, `7.80/bf`.
fn price_text(price: Price, currency: &Currency, unit: Unit) -> String {
    match price {
        Price::Each(money) => currency.format_amount(money),
        Price::PerBoardFoot { money, .. } => format!("{}/bf", currency.format_amount(money)),
        Price::PerLength { money, per } => {
            let units = [Unit::Foot, Unit::Meter, Unit::Inch, Unit::Centimeter];
            let per = units
                .into_iter()
                .find(|unit| unit.length() == per)
                .map_or_else(|| exact_text(per, unit), |unit| unit.symbol().to_owned());
            format!("{}/{per}", currency.format_amount(money))
        }
    }
}
