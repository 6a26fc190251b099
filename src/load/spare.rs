//! Spare rails: what a moulding asks for beyond its frames, as loose pieces.

use std::collections::BTreeSet;

use super::fields::{Fields, Found};
use crate::diag::{code, quoted};
use crate::frame::{Frame, Moulding, Outline, frame_sizes};
use crate::job::{Ends, MOST_PARTS, Piece};
use crate::length::Length;

/// How many spare rails a moulding asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Spare {
    /// So many.
    Count(u32),
    /// So many for each hundred of its rails, rounded up.
    PerCent(u32),
}

/// Reads `spare` of a moulding: a number of rails, or a share such as `10 %`.
pub(super) fn read_spare(mut fields: Fields<'_, '_>) -> Found<Option<Spare>> {
    let Some(field) = fields.present("spare")? else {
        return Ok(None);
    };
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
    let what = format!("{} is no number of spare rails", quoted(&field.text));
    let hint =
        "write a number such as `2`, or a share of the moulding's rails from `0 %` to `100 %`";
    Err(fields.fault(field, code::NOT_A_QUANTITY, what, hint.to_owned()))
}

/// The spare rails of each moulding with those that asked for none left out, each with the moulding's index.
///
/// They are as long as the moulding's longest rail, from which any of its rails can be cut again; mitered as the rails of
/// rectangles are, square where that rail is of another polygon. `taken` are the names of all pieces; a spare has a name
/// of its own.
pub(super) fn spare_pieces(
    spares: &[Option<Spare>],
    mouldings: &[Moulding],
    frames: &[Frame],
    fit_allowance: Length,
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
            let sizes = frame_sizes(frame, moulding, fit_allowance);
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
        };
        let (Some((length, is_rectangle)), Ok(quantity @ 1..)) = (longest, u32::try_from(count))
        else {
            continue;
        };
        let mut name = format!("spare {}", moulding.name);
        while !names.insert(name.clone()) {
            name.push('+');
        }
        let piece = Piece {
            name,
            length,
            quantity,
            ends: if is_rectangle {
                Ends::Miter
            } else {
                Ends::Square
            },
            moulding_idx: Some(moulding_idx),
            material: None,
            thickness: None,
            width: None,
            is_spare: true,
        };
        pieces.push((moulding_idx, piece));
    }
    pieces
}
