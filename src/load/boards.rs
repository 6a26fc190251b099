//! Boards: what can be bought or taken from the rack.

use super::defects::{check_defects, read_defects};
use super::fields::{Fields, Found, Least};
use super::lumber::read_sizes;
use super::price::{PriceError, parse_price};
use super::record::{Column, Field, Mark, Record, Source, optional, required};
use crate::diag::{code, quoted};
use crate::job::MOST_PARTS;
use crate::money::MoneyError;
use crate::stock::{Board, BoardMeasure, CostFault, Given, InHand, Price, board_cost};

/// What a line of boards is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Line {
    /// Boards of a kind: without a quantity, as many as needed.
    Kind,
    /// A line of a tally: without a quantity, one board.
    Tally,
    /// A piece on the rack: without a quantity, one of them.
    Rack,
}

/// The columns of a line of boards, of which `board` names it.
const fn columns(board: Column) -> [Column; 10] {
    [
        board,
        required("length"),
        optional("quantity"),
        optional("price"),
        optional("material"),
        optional("thickness"),
        optional("width"),
        optional("nominal"),
        optional("surfaced"),
        optional("defects"),
    ]
}

pub(super) const COLUMNS: &[Column] = &columns(required("board"));

/// The same, but a tally need not name its boards.
pub(super) const TALLY_COLUMNS: &[Column] = &columns(optional("board"));

/// The columns of the rack; pieces on it are measured, so there are no tables of sizes, and worth what is said of them.
pub(super) const RACK_COLUMNS: &[Column] = &[
    required("board"),
    required("length"),
    optional("quantity"),
    optional("material"),
    optional("thickness"),
    optional("width"),
    optional("value"),
    optional("paid"),
    optional("from"),
    optional("defects"),
];

/// A row of a tally with a name: its own, or that of its file and its line there.
///
/// A row in the job file has no line to be named by, and stays without.
pub(super) fn named<'a>(record: &Record<'a>) -> Record<'a> {
    let mut named = record.clone();
    if let (None, Source::Csv(table), Mark::Line(line)) = (
        record.field("board"),
        record.origin.source,
        &record.origin.mark,
    ) {
        named.fields.push(Field {
            name: "board",
            text: format!("{} row {line}", table.stem()).into(),
            mark: record.origin.mark.clone(),
        });
    }
    named
}

/// Reads one line of boards.
pub(super) fn read_board(
    mut fields: Fields<'_, '_>,
    line: Line,
    measure: BoardMeasure,
) -> Found<Board> {
    let name = fields.name("board");
    let name = fields.required("board", name);
    let length = fields.length("length", Least::Positive);
    let length = fields.required("length", length);
    let quantity = fields.quantity("quantity", 0..=MOST_PARTS, code::NOT_A_QUANTITY);
    let price = read_price(&mut fields, "price", measure);
    let in_hand = match line {
        Line::Kind | Line::Tally => Ok(None),
        Line::Rack => read_in_hand(&mut fields, measure).map(Some),
    };
    let material = fields.name("material");
    let sizes = read_sizes(&mut fields);
    let defects = read_defects(&mut fields);
    if let (Ok(defects), Ok(length), Ok(sizes)) = (&defects, &length, &sizes) {
        check_defects(&mut fields, defects, *length, sizes.width)?;
    }
    let (quantity, sizes, in_hand) = (quantity?, sizes?, in_hand?);
    let worth = in_hand
        .as_ref()
        .and_then(|in_hand: &InHand| in_hand.value.or(in_hand.paid));
    let board = Board {
        name: name?,
        material: material?,
        thickness: sizes.thickness,
        width: sizes.width,
        nominal: sizes.nominal,
        length: length?,
        quantity: match line {
            Line::Kind => quantity,
            Line::Tally | Line::Rack => quantity.or(Some(1)),
        },
        price: price?.or(worth),
        in_hand,
        defects: defects?,
        given: Given::default(),
    };
    check_costs(&mut fields, &board)?;
    Ok(board)
}

/// What is said of a piece on the rack besides its size.
fn read_in_hand(fields: &mut Fields<'_, '_>, measure: BoardMeasure) -> Found<InHand> {
    let value = read_price(fields, "value", measure);
    let paid = read_price(fields, "paid", measure);
    let from = fields.name("from");
    Ok(InHand {
        value: value?,
        paid: paid?,
        from: from?,
    })
}

fn read_price(
    fields: &mut Fields<'_, '_>,
    name: &str,
    measure: BoardMeasure,
) -> Found<Option<Price>> {
    let Some(field) = fields.present(name)? else {
        return Ok(None);
    };
    let comma = fields.record.has_decimal_comma();
    match parse_price(&field.text, fields.scope, comma, measure) {
        Ok(price) => Ok(Some(price)),
        Err(error) => {
            let hint = match &error {
                PriceError::Amount(MoneyError::TooManyDecimals { .. }) => {
                    "round the price, or set `currency-decimals` in the job file".to_owned()
                }
                _ => "write `12.50`, `1.20/ft`, `4.10/m` or `7.80/bf`".to_owned(),
            };
            let what = format!("{} is not a price: {error}", quoted(&field.text));
            Err(fields.fault(field, code::NOT_A_PRICE, what, hint))
        }
    }
}

/// What one board costs must be known, and bounded so that sums stay in range.
fn check_costs(fields: &mut Fields<'_, '_>, board: &Board) -> Found<()> {
    let Some(in_hand) = &board.in_hand else {
        return check_cost(fields, "price", board);
    };
    // What was paid goes on to what is left of the piece, even where its value is another.
    let mut sound = Ok(());
    for (name, price) in [("value", in_hand.value), ("paid", in_hand.paid)] {
        let board = Board {
            price,
            ..board.clone()
        };
        sound = check_cost(fields, name, &board).and(sound);
    }
    sound
}

/// Checks the price in one column, which is the board's.
fn check_cost(fields: &mut Fields<'_, '_>, name: &str, board: &Board) -> Found<()> {
    let Err(fault) = board_cost(board) else {
        return Ok(());
    };
    let (code, what) = match fault {
        CostFault::NoThickness => (
            code::BOARD_FOOT_SIZE,
            "a price per board foot needs `thickness`",
        ),
        CostFault::NoWidth => (
            code::BOARD_FOOT_SIZE,
            "a price per board foot needs `width`",
        ),
        CostFault::TooLarge => (code::BOARD_TOO_DEAR, "one board costs more than the limit"),
    };
    Err(match fields.field(name) {
        Some(field) => fields.fault(field, code, what, None),
        None => fields.record_fault(code, what, None),
    })
}
