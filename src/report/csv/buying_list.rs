//! The list to buy by, as a table that a job can be given as what was bought.

use crate::compare::{YardLine, yard_list};
use crate::diag::guarded;
use crate::length::{Length, exact_text};
use crate::money::Money;
use crate::plan::Plan;
use crate::report::figures::{board_feet, in_board_feet};
use crate::report::pocket::at_least;
use crate::stock::{Board, BoardFeet, NominalSize};
use crate::tally::{Summary, Taken};

use super::rack_table::defects_text;
use super::rows::Records;

/// Columns of the list, as `load` reads them; the last two only where board feet are told.
const COLUMNS: [&str; 19] = [
    "take",
    "bought",
    "measured",
    "board",
    "length",
    "cut-at",
    "at-least",
    "price",
    "material",
    "thickness",
    "width",
    "nominal",
    "surfaced",
    "defects",
    "from",
    "all",
    "currency",
    "board-feet",
    "surface-feet",
];

/// The boards that a plan takes, one row for each kind, and each way in which the yard is to cut it: what to buy, then what
/// lies on the rack.
///
/// `bought` and `measured` are empty, to be filled in; `price` is what one board costs. Every length has its unit, so that a
/// job of any unit reads the same.
///
/// # Panics
/// Never: the summary counts every board of a plan.
pub fn buying_list_csv(plan: &Plan) -> String {
    let summary = Summary::new(plan);
    let n_columns = if in_board_feet(&plan.job) {
        COLUMNS.len()
    } else {
        COLUMNS.len() - 2
    };
    let header = COLUMNS.map(str::to_owned);
    let mut records = Records::new(plan.job.display.tables, &header[..n_columns]);
    let mut record =
        |cells: [String; COLUMNS.len()]| records.record(&cells.map(guarded)[..n_columns]);
    let (rack, bought): (Vec<YardLine>, Vec<YardLine>) =
        yard_list(plan).into_iter().partition(|line| line.is_rack);
    for line in bought.iter().chain(&rack) {
        let mut taken = summary.taken.iter();
        let taken = taken.find(|taken| taken.board_idx == line.board_idx);
        let taken = taken.expect("every board is counted");
        if taken.yard_cuts.is_empty() {
            record(cells(plan, line, taken, (&[], taken.count)));
        }
        for (cuts, count) in &taken.yard_cuts {
            record(cells(plan, line, taken, (cuts, *count)));
        }
    }
    records.into_text()
}

fn cells(
    plan: &Plan,
    line: &YardLine,
    taken: &Taken,
    (cuts, count): (&[Length], u64),
) -> [String; COLUMNS.len()] {
    let job = &plan.job;
    let board = &job.boards[line.board_idx];
    let unit = job.display.unit;
    let form = job.display.tables;
    let size = |length: Option<Length>| {
        length.map_or_else(String::new, |length| {
            form.figures(&exact_text(length, unit))
        })
    };
    let money = |money: Option<Money>| {
        money.map_or_else(String::new, |money| {
            form.amount(&job.display.currency.format_amount(money))
        })
    };
    let feet = |feet: Option<BoardFeet>| {
        feet.map_or_else(String::new, |feet| form.decimal(&board_feet(feet)))
    };
    let feet = |all: Option<BoardFeet>| {
        // Boards of a kind are alike, so each has its share.
        let one = all.map(|all| BoardFeet {
            denominator: all.denominator * u128::from(taken.count),
            ..all
        });
        feet(one.and_then(|one| one.checked_times(count)))
    };
    let cut_at: Vec<String> = cuts.iter().map(|&at| size(Some(at))).collect();
    let [thickness, nominal, surfaced] = sold_as(board, size(board.thickness));
    [
        count.to_string(),
        String::new(),
        String::new(),
        board.name.clone(),
        size(Some(board.lying_length())),
        cut_at.join("; "),
        form.figures(&at_least(plan, line)),
        money(taken.price_each),
        board.material.clone().unwrap_or_default(),
        thickness,
        size(board.width),
        nominal,
        surfaced,
        form.figures(&defects_text(&board.defects, unit)),
        if line.is_rack { "rack" } else { "yard" }.to_owned(),
        money(
            Taken {
                count,
                ..taken.clone()
            }
            .price(),
        ),
        job.display.currency.code.clone(),
        feet(taken.board_feet.map(|feet| feet.exact)),
        feet(taken.board_feet.map(|feet| feet.by_surface_measure)),
    ]
}

/// Thickness, nominal size and surface by which a board is read to the same sizes, those by which it is sold too.
fn sold_as(board: &Board, thickness: String) -> [String; 3] {
    let inches = |length: Length| (length.nm() / Length::INCH.nm()).to_string();
    match board.nominal {
        None => [thickness, String::new(), String::new()],
        Some(NominalSize {
            thickness: sold,
            width: Some(width),
        }) => {
            let nominal = [inches(sold), inches(width)].join("x");
            [thickness, nominal, String::new()]
        }
        Some(NominalSize { thickness, .. }) => {
            let quarters = thickness.nm() * 4 / Length::INCH.nm();
            [
                [quarters.to_string(), "4".to_owned()].join("/"),
                String::new(),
                "s2s".to_owned(),
            ]
        }
    }
}
