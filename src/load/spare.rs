//! Spare rails and offcuts: what a moulding asks for beyond its frames, as loose pieces.

use std::collections::BTreeSet;

use super::fields::{Fields, Found};
use crate::diag::{code, quoted};
use crate::frame::{ChosenBoards, Frame, Moulding, Outline, frame_sizes};
use crate::job::{Ends, MOST_PARTS, Piece, Purpose, Shop};
use crate::length::Length;

/// How many spare rails a moulding asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Spare {
    /// So many.
    Count(u32),
    /// So many for each hundred of its rails, rounded up.
    PerCent(u32),
    /// None, but an offcut from which the longest can be cut.
    Offcut,
}

/// Reads `spare` of a moulding: a number of rails, a share such as `10 %`, or `offcut`.
pub(super) fn read_spare(mut fields: Fields<'_, '_>) -> Found<Option<Spare>> {
    let Some(field) = fields.present("spare")? else {
        return Ok(None);
    };
    if field.text.trim().eq_ignore_ascii_case("offcut") {
        return Ok(Some(Spare::Offcut));
    }
    let number = |text: &str| text.trim().parse::<u32>().ok();
    let spare = match field.text.strip_suffix('%') {
        Some(share) => number(share)
            .filter(|&share| share <= 100)
            .map(Spare::PerCent),
        None => number(&field.text)
            .filter(|&count| count <= MOST_PARTS)
            .map(Spare::Count),
    };
    if spare.is_some() {
        return Ok(spare);
    }
    let what = format!("{} is not a number of spare rails", quoted(&field.text));
    let hint = "write a number such as `2`, a share of the moulding's rails from `0 %` to `100 %`, or `offcut`";
    Err(fields.fault(field, code::NOT_A_QUANTITY, what, hint.to_owned()))
}

/// What each moulding asks for, each with the moulding's index; nothing where it asks for none.
///
/// Spare rails are as long as the moulding's longest rail, from which any of its rails can be cut again; mitered as the
/// rails of rectangles are, square where that rail is of another polygon.
/// A spare offcut is as long as it takes to cut that rail from it as from a piece on the rack, whose two ends are both
/// trimmed again: the trim of the end that is freshly cut comes on top, while the other one stays on its board. It is
/// never too short to be kept.
/// `taken` are the names of all pieces; a spare has a name of its own.
pub(super) fn spare_pieces(
    spares: &[Option<Spare>],
    mouldings: &[Moulding],
    frames: &[Frame],
    shop: &Shop,
    taken: &[Piece],
) -> Vec<(usize, Piece)> {
    let mut names: BTreeSet<String> = taken.iter().map(|piece| piece.name.clone()).collect();
    let mut pieces = Vec::new();
    for (moulding_idx, (spare, moulding)) in spares.iter().zip(mouldings).enumerate() {
        let mut n_rails = 0_u64;
        // The longest, and of equally long ones that of a rectangle.
        let mut longest: Option<(Length, bool)> = None;
        for frame in frames
            .iter()
            .filter(|frame| frame.moulding_idx == moulding_idx)
        {
            let sizes = frame_sizes(frame, moulding, shop.fit_allowance);
            n_rails += u64::from(frame.quantity) * u64::from(sizes.n_sides());
            let is_rectangle = matches!(frame.art, Outline::Rectangle { .. });
            for side in 0..sizes.n_sides() {
                longest = longest.max(Some((sizes.rail(side).long_point, is_rectangle)));
            }
        }
        let count = match spare {
            None => 0,
            Some(Spare::Count(count)) => u64::from(*count),
            Some(Spare::PerCent(share)) => (n_rails * u64::from(*share)).div_ceil(100),
            Some(Spare::Offcut) => 1,
        };
        let (Some((length, is_rectangle)), Ok(quantity @ 1..)) = (longest, u32::try_from(count))
        else {
            continue;
        };
        let is_offcut = *spare == Some(Spare::Offcut);
        let mut name = if is_offcut {
            format!("spare offcut {}", moulding.name)
        } else {
            format!("spare {}", moulding.name)
        };
        while !names.insert(name.clone()) {
            name.push('+');
        }
        let (length, purpose) = if is_offcut {
            let length = (length + shop.end_trim).max(shop.shortest_offcut);
            (length, Purpose::SpareOffcut)
        } else {
            (length, Purpose::SpareRail)
        };
        let ends = if is_rectangle && !is_offcut {
            Ends::Miter
        } else {
            Ends::Square
        };
        let piece = Piece {
            name,
            length,
            quantity,
            ends,
            moulding_idx: Some(moulding_idx),
            material: None,
            thickness: None,
            width: None,
            // A spare is for whichever rail is spoiled, so it comes from any board.
            boards: ChosenBoards::ANY,
            purpose,
        };
        pieces.push((moulding_idx, piece));
    }
    pieces
}
