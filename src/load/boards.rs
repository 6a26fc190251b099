//! Boards: what can be bought or taken from the rack.

use super::fields::{Fields, Found, Least, Reported};
use super::price::{PriceError, parse_price};
use super::record::{Column, optional, required};
use crate::diag::{code, quoted};
use crate::money::MoneyError;
use crate::stock::{Board, CostFault, Price, board_cost};

pub(super) const COLUMNS: &[Column] = &[
    required("board"),
    required("length"),
    optional("quantity"),
    optional("price"),
    optional("material"),
    optional("thickness"),
    optional("width"),
];

/// Reads one line of boards.
pub(super) fn read_board(mut fields: Fields<'_, '_>) -> Found<Board> {
    let name = fields.name("board");
    let name = fields.required("board", name);
    let length = fields.length("length", Least::Positive);
    let length = fields.required("length", length);
    let quantity = fields.quantity("quantity", 0..=super::MOST_PARTS, code::NOT_A_QUANTITY);
    let price = read_price(&mut fields);
    let material = fields.name("material");
    let thickness = fields.length("thickness", Least::Positive);
    let width = fields.length("width", Least::Positive);
    let board = Board {
        name: name?,
        material: material?,
        thickness: thickness?,
        width: width?,
        length: length?,
        quantity: quantity?,
        price: price?,
    };
    check_cost(&mut fields, &board)?;
    Ok(board)
}

fn read_price(fields: &mut Fields<'_, '_>) -> Found<Option<Price>> {
    let Some(field) = fields.field("price") else {
        return if fields.record.spoiled.contains(&"price") {
            Err(Reported)
        } else {
            Ok(None)
        };
    };
    let comma = fields.record.has_decimal_comma();
    match parse_price(&field.text, &fields.scope.currency, comma) {
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
fn check_cost(fields: &mut Fields<'_, '_>, board: &Board) -> Found<()> {
    let Err(fault) = board_cost(board) else {
        return Ok(());
    };
    let (code, what) = match fault {
        CostFault::NoThickness => (
            code::BOARD_FOOT_SIZE,
            "a price per board foot needs `thickness`",
        ),
        CostFault::NoWidth => (code::BOARD_FOOT_SIZE, "a price per board foot needs `width`"),
        CostFault::TooLarge => (code::BOARD_TOO_DEAR, "one board costs more than the limit"),
    };
    Err(match fields.field("price") {
        Some(field) => fields.fault(field, code, what, None),
        None => fields.record_fault(code, what, None),
    })
}
