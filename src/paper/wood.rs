//! The use of wood as a bar.

use crate::length::Length;
use crate::report::figures::shares;
use crate::tally::Summary;

use super::svg::bars::{Share, Use, use_of_wood};

/// What becomes of the wood; nothing where there is none, nor for a later sheet, of which what is cut already would count as
/// lost.
pub(super) fn bar(summary: &Summary<'_>) -> String {
    let wood = &summary.wood;
    let used = [
        (Use::Parts, "in the parts"),
        (Use::Rack, "back to the rack"),
        (Use::Ends, "too small to keep"),
        (Use::Saw, "kerf and trims"),
    ];
    if wood.boards == Length::ZERO || summary.plan.job.is_later_sheet() {
        return String::new();
    }
    // As the plan counts it: of ripped boards by their faces, and then what is lost in two.
    let (uses, ends, sawn) = if let Some(face) = summary.face {
        (face.uses(), face.scrap_nm2, face.sawn_nm2)
    } else {
        let nm = |length: Length| i128::from(length.nm());
        (wood.uses(), nm(wood.short_ends), nm(wood.kerf_and_trim))
    };
    let [parts, kept, lost] = shares(uses);
    let of_lost = i128::from(lost) * ends / (ends + sawn).max(1);
    let ends = i64::try_from(of_lost).unwrap_or(lost);
    let per_mille = [parts, kept, ends, lost - ends];
    let of = used.iter().zip(per_mille);
    let of: Vec<Share<'_>> = of
        .map(|(&(used, words), per_mille)| Share {
            used,
            words,
            per_mille,
        })
        .collect();
    use_of_wood(&of, "wood")
}
