//! Spacers: strips that keep the glazing off what lies behind it, as in a shadow box.
//!
//! They lie in the rabbet, along the edge of the package, which is so long and wide over all of them: with mitered ends
//! each strip is as long as its side, with butted ends those across run through, and the upright ones are shorter by twice
//! the width of a strip. Derived.

use super::{Frame, Holding, Outline, Package};
use crate::length::Length;

/// Strips round a package, between the glazing and what lies behind it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spacer {
    /// What it is called.
    pub name: String,
    /// Width of a strip, seen from the front.
    pub width: Length,
    /// How far it keeps the glazing off.
    pub depth: Length,
    /// Whether its ends are butted, those across running through; else they are mitered.
    pub is_butted: bool,
    /// What its strips are cut from.
    pub stock: SpacerStock,
}

/// What strips of a spacer are cut from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SpacerStock {
    /// Strips as they are sold; no wood of the job.
    Bought,
    /// Boards of the job, with the rails.
    Boards {
        /// The wood; `None` fits any board.
        material: Option<String>,
        /// Whether a strip stands on edge: boards are as thick as it is wide, and ripped to its depth. Else it lies flat:
        /// boards are as thick as it is deep, and ripped to its width.
        on_edge: bool,
    },
}

/// Strips of a spacer that are alike, for one frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpacerStrips {
    /// Which they are.
    pub place: SpacerPlace,
    /// How many.
    pub count: u32,
    /// Length of each over all.
    pub length: Length,
}

/// Where strips of a spacer lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SpacerPlace {
    /// On all sides alike.
    Around,
    /// At top and bottom.
    Across,
    /// Left and right.
    Upright,
}

/// The strips of the spacer of one frame, in the order of the sides; none where it has no spacer.
///
/// The ends of a polygon's are mitered, as nothing else closes it. Too wide a spacer gives lengths of zero or less.
pub fn spacer_strips(frame: &Frame, package: &Package) -> Vec<SpacerStrips> {
    let Some(spacer) = frame
        .spacer
        .as_ref()
        .filter(|_| frame.holding == Holding::Rabbet)
    else {
        return Vec::new();
    };
    let strips = |place, count, length| SpacerStrips {
        place,
        count,
        length,
    };
    match package.size {
        Outline::Rectangle { width, height } => {
            let upright = if spacer.is_butted {
                height - spacer.width * 2
            } else {
                height
            };
            if upright == width {
                return vec![strips(SpacerPlace::Around, 4, width)];
            }
            vec![
                strips(SpacerPlace::Across, 2, width),
                strips(SpacerPlace::Upright, 2, upright),
            ]
        }
        Outline::Regular { sides, side, .. } => vec![strips(SpacerPlace::Around, sides, side)],
    }
}

/// Whether the strips of a frame's spacer leave something between them.
pub fn spacer_is_open(frame: &Frame, package: &Package) -> bool {
    let width = frame
        .spacer
        .as_ref()
        .map_or(Length::ZERO, |spacer| spacer.width);
    let inside = package.size.grown(-width * 2);
    (0..2).all(|side| inside.side(side) > Length::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::package;
    use crate::samples::{frame, in16, inches, rectangle};

    /// A frame with a spacer 3/8 in wide, and its strips.
    fn strips(art: Outline, is_butted: bool) -> Vec<(SpacerPlace, u32, Length)> {
        let mut boxed = frame("box", 1, art, 0);
        boxed.spacer = Some(Spacer {
            name: "strip".to_owned(),
            width: in16(6),
            depth: inches(1),
            is_butted,
            stock: SpacerStock::Bought,
        });
        let package = package(&boxed, &[], Length::ZERO);
        assert!(spacer_is_open(&boxed, &package));
        let strips = spacer_strips(&boxed, &package).into_iter();
        strips.map(|of| (of.place, of.count, of.length)).collect()
    }

    #[test]
    fn mitered_strips_are_as_long_as_their_sides_and_butted_ones_fit_between() {
        use SpacerPlace::{Across, Around, Upright};
        // Derived: package 11 x 14, strips 3/8 wide: mitered 11 and 14; butted 11 and 14 - 3/4 = 13-1/4.
        let mitered = strips(rectangle(11, 14), false);
        assert_eq!(mitered, [(Across, 2, inches(11)), (Upright, 2, inches(14))]);
        let butted = strips(rectangle(11, 14), true);
        assert_eq!(butted, [(Across, 2, inches(11)), (Upright, 2, in16(212))]);
        let square = strips(rectangle(10, 10), false);
        assert_eq!(square, [(Around, 4, inches(10))]);
        // Butted in a square they differ.
        assert_eq!(strips(rectangle(10, 10), true).len(), 2);
        let side = inches(6);
        let hexagon = strips(Outline::of_side(6, side), true);
        assert_eq!(hexagon, [(Around, 6, side)]);
    }

    #[test]
    fn strips_that_meet_leave_nothing_open() {
        let mut narrow = frame("box", 1, rectangle(3, 8), 0);
        narrow.spacer = Some(Spacer {
            name: "strip".to_owned(),
            width: in16(24),
            depth: inches(1),
            is_butted: false,
            stock: SpacerStock::Bought,
        });
        let package = package(&narrow, &[], Length::ZERO);
        assert!(!spacer_is_open(&narrow, &package));
    }
}
