//! The rack after a job, as a table that a job can be given as its rack.

use crate::diag::guarded;
use crate::job::{Display, Job};
use crate::length::{Length, Unit, exact_text};
use crate::money::Money;
use crate::plan::Plan;
use crate::stock::{Across, Board, Defect, Price};
use crate::tally::{NewPiece, rack_added, rack_left};

use super::rows::Records;

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
    let mut records = Records::new(job.display.tables, &COLUMNS.map(str::to_owned));
    for board in rack_left(plan) {
        records.record(&cells(job, &board).map(guarded));
    }
    for NewPiece { board, .. } in rack_added(plan) {
        records.record(&cells(job, &board).map(guarded));
    }
    records.into_text()
}

fn cells(job: &Job, board: &Board) -> [String; COLUMNS.len()] {
    let unit = job.display.unit;
    let form = job.display.tables;
    let size = |length: Option<Length>| {
        length.map_or_else(String::new, |length| {
            form.figures(&exact_text(length, unit))
        })
    };
    let price = |price: Option<Price>| {
        price.map_or_else(String::new, |price| price_text(price, &job.display))
    };
    let in_hand = board.in_hand.as_ref();
    [
        board.name.clone(),
        size(Some(board.length)),
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
        form.figures(&defects_text(&board.defects, unit)),
    ]
}

/// Defects as a table of boards reads them: `23 in to 25 1/2 in; 61 in to 62 in left 2 in`.
pub(in crate::report) fn defects_text(defects: &[Defect], unit: Unit) -> String {
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

/// A price as the rack's table reads it: `12.50`, `1.20/ft`, `16.80/72 in`, `274.50/7844 in (0.42/ft)`, `7.80/bf`.
pub(in crate::report) fn price_text(price: Price, display: &Display) -> String {
    let form = display.tables;
    let amount = |money| form.amount(&display.currency.format_amount(money));
    match price {
        Price::Each(money) => amount(money),
        Price::PerBoardFoot { money, .. } => format!("{}/bf", amount(money)),
        Price::PerSquareMeter(money) => format!("{}/m2", amount(money)),
        Price::PerCubicMeter(money) => format!("{}/m3", amount(money)),
        Price::PerLength { money, per } => {
            let units = [Unit::Foot, Unit::Meter, Unit::Inch, Unit::Centimeter];
            let about = remark(money, per, display);
            let per = units
                .into_iter()
                .find(|unit| unit.length() == per)
                .map_or_else(
                    || form.figures(&exact_text(per, display.unit)),
                    |unit| unit.symbol().to_owned(),
                );
            format!("{}/{per}{about}", amount(money))
        }
    }
}

/// No board is sold that is longer: 20 ft.
const LONGEST_SOLD: Length = Length::from_nm(6_096_000_000);

/// What an exact price for a length that no board has comes to for a foot or a meter, to the nearest minor unit: ` (0.42/ft)`.
/// It stands behind it for the eye, and is not read; nothing behind any other.
fn remark(money: Money, per: Length, display: &Display) -> String {
    if per <= LONGEST_SOLD {
        return String::new();
    }
    let unit = if display.unit.is_imperial() {
        Unit::Foot
    } else {
        Unit::Meter
    };
    let (minor, one, all) = (
        i128::from(money.minor()),
        i128::from(unit.length().nm()),
        i128::from(per.nm()),
    );
    let nearest = (minor * one * 2 + all) / (all * 2);
    let Ok(nearest) = i64::try_from(nearest) else {
        return String::new();
    };
    let about = display.currency.format_amount(Money::from_minor(nearest));
    format!(" ({}/{})", display.tables.amount(&about), unit.symbol())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn an_exact_share_stands_with_what_a_foot_of_it_comes_to() {
        let display = &samples::job().display;
        let of = |minor, per| {
            let money = Money::from_minor(minor);
            price_text(Price::PerLength { money, per }, display)
        };
        // Derived: 274.50 for 7,844 in is 0.034995 for an inch, 0.41994 for a foot.
        let share = of(27_450, Length::INCH * 7_844);
        assert_eq!(share, "274.50/7844 in (0.42/ft)");
        assert_eq!(of(1_450, Length::INCH * 72), "14.50/72 in");
        assert_eq!(of(205, Length::FOOT), "2.05/ft");
    }
}
