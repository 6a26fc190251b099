//! Grain that runs on round a frame: which rails are to follow each other on one strip.

use super::{Outline, side_name};

/// What a frame asks of the grain of its rails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Nothing: each rail may come from anywhere.
    Free,
    /// All rails in order from one strip: the grain runs on round all corners but one.
    Frame,
    /// Opposite rails side by side from one strip: they look alike, and no corner matches.
    Opposite,
    /// Neighboring rails in order from one strip: every other corner matches.
    Adjacent,
}

impl Grain {
    /// Whether a frame of this outline can be cut so: only what has an even number of sides has opposite ones.
    pub fn suits(self, outline: Outline) -> bool {
        self != Grain::Opposite || outline.n_sides().is_multiple_of(2)
    }

    /// The rails of a frame in chains, each to be cut in its order from one strip; every side is in one of them.
    ///
    /// Of a rectangle the chain begins with the left rail and runs clockwise, so that the corner that cannot match is
    /// the one at the bottom left, where it is seen least (common practice, no source).
    /// What does not suit the outline asks for nothing.
    pub fn chains(self, outline: Outline) -> Vec<Vec<u32>> {
        let n_sides = outline.n_sides();
        let round: Vec<u32> = match outline {
            Outline::Rectangle { .. } => vec![3, 0, 1, 2],
            Outline::Regular { .. } => (0..n_sides).collect(),
        };
        match self {
            Grain::Frame => vec![round],
            Grain::Adjacent => round.chunks(2).map(<[u32]>::to_vec).collect(),
            Grain::Opposite if self.suits(outline) => {
                let half = n_sides / 2;
                (0..half).map(|side| vec![side, side + half]).collect()
            }
            Grain::Opposite | Grain::Free => (0..n_sides).map(|side| vec![side]).collect(),
        }
    }

    /// The corners round which the grain does not run on, by name, in the order of the sides.
    pub fn unmatched_corners(self, outline: Outline) -> Vec<String> {
        let n_sides = outline.n_sides();
        let chains = self.chains(outline);
        let matches = |side: u32, next: u32| {
            self != Grain::Opposite
                && chains
                    .iter()
                    .any(|chain| chain.windows(2).any(|pair| *pair == [side, next]))
        };
        (0..n_sides)
            .map(|side| (side, (side + 1) % n_sides))
            .filter(|&(side, next)| !matches(side, next))
            .map(|(side, next)| corner_name(outline, side, next))
            .collect()
    }
}

/// What the corner between two neighboring sides is called.
fn corner_name(outline: Outline, side: u32, next: u32) -> String {
    match (outline, side) {
        (Outline::Rectangle { .. }, 0) => "top right".to_owned(),
        (Outline::Rectangle { .. }, 1) => "bottom right".to_owned(),
        (Outline::Rectangle { .. }, 2) => "bottom left".to_owned(),
        (Outline::Rectangle { .. }, _) => "top left".to_owned(),
        (Outline::Regular { .. }, _) => {
            format!("{} to {}", side_name(outline, side), u64::from(next) + 1)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;

    const RECTANGLE: Outline = Outline::Rectangle {
        width: Length::FOOT,
        height: Length::INCH,
    };

    fn polygon(sides: u32) -> Outline {
        Outline::of_side(sides, Length::FOOT)
    }

    #[test]
    fn a_chain_goes_clockwise_from_the_left_rail_and_ends_at_the_bottom_left() {
        assert_eq!(Grain::Frame.chains(RECTANGLE), [[3, 0, 1, 2]]);
        assert_eq!(Grain::Frame.unmatched_corners(RECTANGLE), ["bottom left"]);
        assert_eq!(Grain::Frame.chains(polygon(3)), [[0, 1, 2]]);
        assert_eq!(Grain::Frame.unmatched_corners(polygon(3)), ["side 3 to 1"]);
    }

    #[test]
    fn pairs_match_every_other_corner_or_none() {
        assert_eq!(Grain::Adjacent.chains(RECTANGLE), [[3, 0], [1, 2]]);
        assert_eq!(
            Grain::Adjacent.unmatched_corners(RECTANGLE),
            ["top right", "bottom left"]
        );
        assert_eq!(Grain::Opposite.chains(RECTANGLE), [[0, 2], [1, 3]]);
        assert_eq!(Grain::Opposite.unmatched_corners(RECTANGLE).len(), 4);
        assert_eq!(
            Grain::Adjacent.chains(polygon(5)),
            [vec![0, 1], vec![2, 3], vec![4]]
        );
        assert_eq!(Grain::Opposite.chains(polygon(6)), [[0, 3], [1, 4], [2, 5]]);
        assert!(!Grain::Opposite.suits(polygon(5)));
        assert_eq!(Grain::Opposite.chains(polygon(3)).len(), 3);
        assert_eq!(Grain::Free.chains(RECTANGLE).len(), 4);
        assert_eq!(Grain::Free.unmatched_corners(RECTANGLE).len(), 4);
    }
}
