//! From wood to paper.

use crate::length::Length;

use super::wood::{Corner, Patch};
use super::xml::Mm;

/// So much paper for so much wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Scale {
    paper: Length,
    wood: Length,
}

impl Scale {
    /// True size.
    pub(super) const TRUE: Scale = Scale {
        paper: Length::INCH,
        wood: Length::INCH,
    };

    /// `paper` for `wood`; nothing is drawn at no size, so either is at least a nanometer.
    pub(super) fn new(paper: Length, wood: Length) -> Scale {
        let least = Length::from_nm(1);
        Scale {
            paper: paper.max(least),
            wood: wood.max(least),
        }
    }

    /// A length of wood on paper, to the nearest nanometer.
    pub(super) fn of(self, wood: Length) -> Length {
        let (paper, whole) = (i128::from(self.paper.nm()), i128::from(self.wood.nm()));
        let nm = (i128::from(wood.nm()) * paper * 2 + whole).div_euclid(whole * 2);
        Length::from_nm(
            i64::try_from(nm).expect("a drawing is no larger than what it shows, or fits a page"),
        )
    }

    /// As a factor with ten decimals: over the longest board the last of them is less than a nanometer of paper.
    fn factor(self) -> String {
        const DECIMALS: i128 = 10_000_000_000;
        let (paper, whole) = (i128::from(self.paper.nm()), i128::from(self.wood.nm()));
        let scaled = (paper * DECIMALS * 2 + whole) / (whole * 2);
        let text = format!("{}.{:010}", scaled / DECIMALS, scaled % DECIMALS);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

/// Where a piece of wood lies on paper: the scales along and across, and where its corner is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    pub(super) along: Scale,
    pub(super) across: Scale,
    pub(super) left: Length,
    pub(super) top: Length,
}

/// A rectangle of paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct Area {
    pub(super) x: Length,
    pub(super) y: Length,
    pub(super) width: Length,
    pub(super) height: Length,
}

impl Sheet {
    pub(super) fn place(&self, (x, y): Corner) -> Corner {
        (self.left + self.along.of(x), self.top + self.across.of(y))
    }

    pub(super) fn area(&self, patch: Patch) -> Area {
        let (x, y) = self.place((patch.along.0, patch.across.0));
        let (right, bottom) = self.place((patch.along.1, patch.across.1));
        Area {
            x,
            y,
            width: right - x,
            height: bottom - y,
        }
    }

    /// The same for what is written in millimeters of wood.
    pub(super) fn transform(&self) -> String {
        let moved = format!("translate({} {})", Mm(self.left), Mm(self.top));
        if (self.along, self.across) == (Scale::TRUE, Scale::TRUE) {
            moved
        } else {
            format!(
                "{moved} scale({} {})",
                self.along.factor(),
                self.across.factor()
            )
        }
    }
}

impl Area {
    pub(super) fn middle(&self) -> Corner {
        let half = |length: Length| Length::from_nm(length.nm() / 2);
        (self.x + half(self.width), self.y + half(self.height))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::millimeters;

    #[test]
    fn a_factor_has_ten_decimals_and_halves_go_up() {
        // Derived: 2/3 = 0.66666666666...
        let scale = Scale::new(millimeters(2), millimeters(3));
        assert_eq!(scale.factor(), "0.6666666667");
        assert_eq!(scale.of(Length::from_nm(3)), Length::from_nm(2));
        assert_eq!(scale.of(Length::from_nm(-1)), Length::from_nm(-1));
        let half = Scale::new(millimeters(1), millimeters(2));
        assert_eq!(half.of(Length::from_nm(1)), Length::from_nm(1));
        assert_eq!(half.factor(), "0.5");
    }
}
