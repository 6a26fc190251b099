//! Loose pieces: spacers, liners, spline stock and anything else that is cut to length.

use super::fields::{Fields, Found, Least, Names};
use super::lumber::read_thickness;
use super::record::{Column, optional, required};
use crate::diag::code;
use crate::job::{Ends, MOST_PARTS, Piece, Purpose};

pub(super) const COLUMNS: &[Column] = &[
    required("piece"),
    required("length"),
    optional("quantity"),
    optional("ends"),
    optional("moulding"),
    optional("material"),
    optional("thickness"),
    optional("width"),
];

const ENDS: [(&str, Ends); 2] = [("square", Ends::Square), ("miter", Ends::Miter)];

/// Reads one line of pieces.
pub(super) fn read_piece(mut fields: Fields<'_, '_>, mouldings: &Names<'_>) -> Found<Piece> {
    let name = fields.name("piece");
    let name = fields.required("piece", name);
    let length = fields.length("length", Least::Positive);
    let length = fields.required("length", length);
    let quantity = fields.quantity("quantity", 1..=MOST_PARTS, code::NOT_A_QUANTITY);
    let ends = fields.word("ends", &ENDS);
    let moulding_idx = fields.reference("moulding", mouldings, code::UNKNOWN_MOULDING, "moulding");
    let material = fields.name("material");
    let thickness = read_thickness(&mut fields);
    let width = fields.length("width", Least::Positive);
    let mut excluded = Ok(());
    if fields.is_filled("moulding") {
        for name in ["material", "thickness", "width"] {
            excluded = fields.check_excluded(name, "`moulding`").and(excluded);
        }
    }
    excluded?;
    Ok(Piece {
        name: name?,
        length: length?,
        quantity: quantity?.unwrap_or(1),
        ends: ends?.unwrap_or(Ends::Square),
        moulding_idx: moulding_idx?,
        material: material?,
        thickness: thickness?,
        width: width?,
        purpose: Purpose::Wanted,
    })
}
