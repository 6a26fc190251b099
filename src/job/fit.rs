//! What hinders a piece from being cut from any sheet of its material.

use super::{Material, SheetStock, SheetTrim};
use crate::length::Length;

/// Why a piece cannot be cut, however many sheets of each size there were.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hindrance {
    /// There is no sheet of the material at all.
    NoSheet,
    /// It is larger than each sheet between its trims; this is the largest of these, by face.
    TooLarge {
        /// Width.
        width: Length,
        /// Height.
        height: Length,
    },
    /// It would fit turned by a right angle, which the material must not be.
    NotTurned,
    /// The cutter makes no cut across a sheet as long as is needed at least.
    FirstCut {
        /// What is needed.
        needed: Length,
        /// What the cutter takes.
        most: Length,
    },
    /// The cutter makes no cut across a strip as long as is needed at least.
    SecondCut {
        /// What is needed.
        needed: Length,
        /// What the cutter takes.
        most: Length,
    },
}

/// A way to cut a piece from a sheet: how long the first cuts are then, and the second.
#[derive(Clone, Copy)]
struct Way {
    first: Length,
    second: Length,
}

impl Material {
    /// Whether a piece as it is in its frame could be cut from one line of its sheets, if there is any sheet of it.
    ///
    /// # Panics
    /// If there is no such line.
    pub fn fits_on(&self, stock_idx: usize, width: Length, height: Length) -> bool {
        let alone = std::slice::from_ref(&self.stock[stock_idx]);
        self.hindrance_on(alone, width, height).is_none()
    }

    /// What hinders a piece as it is in its frame; `None` where it fits some sheet that is there.
    pub fn hindrance(&self, width: Length, height: Length) -> Option<Hindrance> {
        self.hindrance_on(&self.stock, width, height)
    }

    /// The same where there are no sheets of it but these.
    fn hindrance_on(
        &self,
        stock: &[SheetStock],
        width: Length,
        height: Length,
    ) -> Option<Hindrance> {
        let there = || stock.iter().filter(|stock| stock.quantity != Some(0));
        let largest = there().map(usable);
        let largest = largest.max_by_key(|&(width, height)| face(width, height));
        let Some((most_wide, most_high)) = largest else {
            return Some(Hindrance::NoSheet);
        };
        let upright: Vec<Way> = there()
            .flat_map(|sheet| ways(sheet, width, height))
            .collect();
        let turned: Vec<Way> = there()
            .flat_map(|sheet| ways(sheet, height, width))
            .collect();
        let ways = if self.cutting.may_turn {
            [upright, turned].concat()
        } else if upright.is_empty() && !turned.is_empty() {
            return Some(Hindrance::NotTurned);
        } else {
            upright
        };
        let first = self.cutting.longest_first;
        let second = self.cutting.longest_second;
        let is_within =
            |length: Length, most: Option<Length>| most.is_none_or(|most| length <= most);
        let with_first = ways.iter().filter(|way| is_within(way.first, first));
        // Of the ways that the first cuts allow the one with the least second cut is the one to look at.
        match (with_first.map(|way| way.second).min(), second, first) {
            (Some(needed), Some(most), _) if needed > most => {
                Some(Hindrance::SecondCut { needed, most })
            }
            (Some(_), ..) => None,
            (None, _, Some(most)) if !ways.is_empty() => {
                let needed = ways.iter().map(|way| way.first).min();
                needed.map(|needed| Hindrance::FirstCut { needed, most })
            }
            (None, ..) => Some(Hindrance::TooLarge {
                width: most_wide,
                height: most_high,
            }),
        }
    }
}

fn face(width: Length, height: Length) -> i128 {
    i128::from(width.nm()) * i128::from(height.nm())
}

/// Width and height of a sheet between its trims.
fn usable(stock: &SheetStock) -> (Length, Length) {
    let SheetTrim {
        left,
        right,
        bottom,
        top,
    } = stock.trim;
    (stock.width - left - right, stock.height - bottom - top)
}

/// The ways to cut what lies so on a sheet: strips along its width, or along its height; none where it is too large.
fn ways(stock: &SheetStock, width: Length, height: Length) -> Vec<Way> {
    let (wide, high) = usable(stock);
    if width > wide || height > high {
        return Vec::new();
    }
    vec![
        Way {
            first: stock.width,
            second: height,
        },
        Way {
            first: stock.height,
            second: width,
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Serves, SheetCutting};

    fn inches(whole: i64) -> Length {
        Length::INCH * whole
    }

    fn material(stock: &[(i64, i64, Option<u32>)], cutting: SheetCutting) -> Material {
        let stock = stock.iter().map(|&(width, height, quantity)| SheetStock {
            width: inches(width),
            height: inches(height),
            trim: SheetTrim::all(inches(1)),
            quantity,
            price: None,
            label: None,
        });
        Material {
            name: Some("white".to_owned()),
            serves: Serves::Mat,
            cutting,
            stock: stock.collect(),
        }
    }

    #[test]
    fn each_limit_is_named_with_its_figures() {
        let hindrance = |stock: &[(i64, i64, Option<u32>)], cutting, width, height| {
            material(stock, cutting).hindrance(inches(width), inches(height))
        };
        let plain = SheetCutting::scored();
        let sheets = [(32, 40, None), (20, 60, None)];
        // Derived: a trim of 1 leaves 30 x 38 and 18 x 58.
        assert_eq!(hindrance(&sheets, plain, 30, 38), None);
        assert_eq!(hindrance(&sheets, plain, 58, 18), None);
        assert_eq!(
            hindrance(&sheets, plain, 31, 39),
            Some(Hindrance::TooLarge {
                width: inches(30),
                height: inches(38),
            })
        );
        assert_eq!(
            hindrance(&[(32, 40, Some(0))], plain, 3, 4),
            Some(Hindrance::NoSheet)
        );
        let fixed = SheetCutting {
            may_turn: false,
            ..plain
        };
        assert_eq!(
            hindrance(&sheets, fixed, 38, 30),
            Some(Hindrance::NotTurned)
        );
        assert_eq!(hindrance(&sheets, fixed, 30, 38), None);
        let short = SheetCutting {
            longest_first: Some(inches(31)),
            ..plain
        };
        // The sheet of 20 x 60 has strips along its 20, that of 32 x 40 none.
        assert_eq!(
            hindrance(&sheets, short, 30, 38),
            Some(Hindrance::FirstCut {
                needed: inches(32),
                most: inches(31),
            })
        );
        assert_eq!(hindrance(&sheets, short, 18, 58), None);
        let narrow = SheetCutting {
            longest_second: Some(inches(19)),
            ..plain
        };
        assert_eq!(
            hindrance(&sheets, narrow, 20, 38),
            Some(Hindrance::SecondCut {
                needed: inches(20),
                most: inches(19),
            })
        );
        assert_eq!(hindrance(&sheets, narrow, 19, 38), None);
    }
}
