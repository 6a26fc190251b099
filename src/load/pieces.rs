//! Loose pieces: spacers, liners, spline stock and anything else that is cut to length.

use super::fields::{Fields, Found};
use super::limits::SHORTEST_PART;
use super::lumber::read_thickness;
use super::woods::Profiles;
use super::words::ENDS;
use crate::diag::code;
use crate::frame::ChosenBoards;
use crate::job::{Piece, Purpose};

/// Reads one line of pieces.
pub(super) fn read_piece(mut fields: Fields<'_, '_>, mouldings: &Profiles<'_>) -> Found<Piece> {
    let name = fields.name("piece");
    let length = fields.length("length");
    let quantity = fields.count("quantity");
    let ends = fields.word("ends", &ENDS);
    let profile = fields.reference(
        "moulding",
        &mouldings.names,
        code::UNKNOWN_MOULDING,
        "moulding",
    );
    let moulding_idx = match (profile, fields.field("wood")) {
        (Ok(Some(profile)), _) => mouldings.in_wood(&mut fields, profile).map(Some),
        (Ok(None), Some(wood)) => {
            let what = "`wood` needs `moulding`";
            let hint = "for plain wood write `material`".to_owned();
            Err(fields.fault(wood, code::NEEDS, what, hint))
        }
        (Ok(None), None) => Ok(None),
        (Err(reported), _) => Err(reported),
    };
    let material = fields.optional_name("material");
    let thickness = read_thickness(&mut fields);
    let width = fields.optional_length("width");
    let mut excluded = Ok(());
    if fields.is_filled("moulding") {
        for name in ["material", "thickness", "width"] {
            excluded = fields.check_excluded(name, "`moulding`").and(excluded);
        }
    }
    excluded?;
    let length = length.and_then(|length| {
        let field = fields.field("length").filter(|_| length < SHORTEST_PART);
        field.map_or(Ok(length), |field| {
            let what = "no part can be shorter than 0.5 mm";
            Err(fields.fault(field, code::LENGTH_RANGE, what, None))
        })
    });
    Ok(Piece {
        name: name?,
        length: length?,
        quantity: quantity?,
        ends: ends?,
        moulding_idx: moulding_idx?,
        material: material?,
        thickness: thickness?,
        width: width?,
        boards: ChosenBoards::ANY,
        on_edge: false,
        purpose: Purpose::Wanted,
    })
}
