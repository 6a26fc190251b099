//! Boards: what can be bought or taken from the rack.

use super::defects::{check_defects, read_defects};
use super::fields::{Fields, Found};
use super::lumber::read_sizes;
use super::price::{PriceError, parse_price, without_each};
use super::record::{Field, Record, Source};
use super::schema::TALLY;
use crate::diag::{code, quoted};
use crate::length::Length;
use crate::money::MoneyError;
use crate::stock::{Board, BoardMeasure, CostFault, Given, InHand, InHandRules, Price, board_cost};

/// A row of a tally with a name: its own, or that of its file and its number there, from 1 below the heading.
///
/// A row in the job file has no file to be named by, and stays without.
pub(super) fn named<'a>(record: &Record<'a>, number: usize) -> Record<'a> {
    let mut named = record.clone();
    if let (None, Source::Csv(table)) = (record.field("board"), record.origin.source) {
        named.fields.push(Field {
            name: "board",
            text: format!("{} row {number}", table.stem()).into(),
            origin: record.origin.clone(),
        });
    }
    named
}

/// Reads one line of boards, of a tally or of the rack.
pub(super) fn read_board(
    mut fields: Fields<'_, '_>,
    measure: BoardMeasure,
    rules: &InHandRules,
) -> Found<Board> {
    let quantity = fields.optional_count("quantity");
    let board = read_line(&mut fields, Ok(None), measure);
    let mut board = Board {
        quantity: quantity?,
        ..board?
    };
    if let Some(in_hand) = &board.in_hand {
        let price = in_hand.price(&board, rules);
        board.price = price.expect("what it is worth and what it cost have been checked");
    }
    Ok(board)
}

/// What a line of boards says but how many there are; a length that was measured goes before that on the label.
pub(super) fn read_line(
    fields: &mut Fields<'_, '_>,
    measured: Found<Option<Length>>,
    measure: BoardMeasure,
) -> Found<Board> {
    let name = fields.name("board");
    let label = fields.length("length");
    let price = read_price(fields, "price", measure);
    // What is on the rack has a value, not a price.
    let is_in_hand = fields.record.schema.column("value").is_some();
    let in_hand = is_in_hand.then(|| read_in_hand(fields, measure));
    let material = fields.optional_name("material");
    let sizes = read_sizes(fields);
    let defects = read_defects(fields);
    let length = label.and_then(|label| Ok(measured?.unwrap_or(label)));
    if let (Ok(defects), Ok(length), Ok(sizes)) = (&defects, &length, &sizes) {
        check_defects(fields, defects, *length, sizes.width)?;
    }
    let (sizes, in_hand) = (sizes?, in_hand.transpose()?);
    let board = Board {
        name: name?,
        material: material?,
        thickness: sizes.thickness,
        width: sizes.width,
        nominal: sizes.nominal,
        length: length?,
        quantity: None,
        price: price?,
        in_hand,
        is_tallied: fields.record.schema.name == TALLY.name,
        defects: defects?,
        at_yard: None,
        given: Given::default(),
    };
    check_costs(fields, &board)?;
    Ok(board)
}

/// What is said of a piece on the rack besides its size.
fn read_in_hand(fields: &mut Fields<'_, '_>, measure: BoardMeasure) -> Found<InHand> {
    let value = read_price(fields, "value", measure);
    let paid = read_price(fields, "paid", measure);
    let moulding = fields.optional_name("moulding");
    let from = fields.optional_name("from");
    let job = fields.optional_name("job");
    let since = fields.optional_date("since");
    Ok(InHand {
        value: value?,
        paid: paid?,
        moulding: moulding?,
        from: from?,
        job: job?,
        since: since?,
        is_bought: false,
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
    fields.check_currency(field)?;
    let notation = fields.notation_of(field);
    // What the heading says that prices are for.
    let per = field.heading().and_then(|heading| heading.per.as_ref());
    let per = per.filter(|_| !field.text.contains('/'));
    let text = Fields::price_text(field);
    let text = match per {
        Some(per) => format!("{}/{per}", without_each(text.trim())),
        None => text,
    };
    let currency = &fields.scope.currency;
    match parse_price(&text, currency, notation, field.decimal_mark(), measure) {
        Ok(price) => Ok(Some(price)),
        Err(error) => {
            let hint = match &error {
                PriceError::Amount(MoneyError::TooManyDecimals { .. }) => {
                    "round the price, or set `currency-decimals` in the job file".to_owned()
                }
                PriceError::Amount(MoneyError::TwoReadings { .. }) => {
                    "write it with its decimals, or without a sign between its digits".to_owned()
                }
                PriceError::Amount(MoneyError::OtherCurrency { .. }) => {
                    "write prices in the `currency` of the job, or correct that".to_owned()
                }
                _ => "write `12.50`, `1.20/ft`, `4.10/m`, `7.80/bf`, `38.50/m2` or `1250/m3`"
                    .to_owned(),
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
            "a price by the volume of wood needs `thickness`",
        ),
        CostFault::NoWidth => (
            code::BOARD_FOOT_SIZE,
            "a price by the face or volume of wood needs `width`",
        ),
        CostFault::TooLarge => (code::BOARD_TOO_DEAR, "one board costs more than the limit"),
    };
    Err(match fields.field(name) {
        Some(field) => fields.fault(field, code, what, None),
        None => fields.record_fault(code, what, None),
    })
}
