//! Sizes of regular polygons, derived once more and in another way than `frame` does: no tangent, sine or cosine is ever worked
//! out, so that nothing is near enough but exact.
//!
//! Let `t` be the angle below a right one with `cos t = x / sqrt(s)`, and `b_k = sin(k t) / sin t * sqrt(s)^(k-1)`. Then
//! `b_1 = 1`, `b_2 = 2 x` and `b_(k+1) = 2 x b_k - s b_(k-1)`, whole where `x` and `s` are. While `m t` is below 180 degrees
//! `b_1 .. b_m` are all positive; else the first of them that is not is zero only if it is `b_m` and `t` is just 180/m degrees.
//! So ratios of whole numbers are compared with those of a corner without rounding, and each size is the least whole number
//! that is enough, found by halving.

use std::cmp::Ordering;

use crate::frame::Outline;
use crate::length::Length;

use super::nm;

/// The outline whose opposite sides, or of a polygon whose sides from the center twice, are `by` farther apart. The side of a
/// polygon follows from that distance where it is known, else it is longer by what follows from `by`; rounded up.
pub(super) fn grown(outline: Outline, by: Length) -> Outline {
    match outline {
        Outline::Rectangle { width, height } => Outline::Rectangle {
            width: width + by,
            height: height + by,
        },
        Outline::Regular { sides, side, flats } => Outline::Regular {
            sides,
            side: match flats {
                Some(flats) => length(run(nm(flats) + nm(by), sides)),
                None => side + length(run(nm(by), sides)),
            },
            flats: flats.map(|flats| flats + by),
        },
    }
}

/// Width and height of the rectangle that an outline is cut from; of a polygon the one that it fills with a side along an edge.
///
/// Let `f` be the distance of opposite sides, from the center twice; where it is not known, the least at which a side, rounded
/// up, is as long as this one. Then `c = f / cos(180/n)`, rounded up, is that of opposite corners. With a number of sides that four divides both
/// measures are `f`; with another even one it is `c` wide. With an odd number it is as high as the halves of both, rounded
/// down and a nanometer more, and as wide as its longest diagonal: the least `d` for which `d / cos(90/n)`, rounded up, is
/// `c`.
pub(super) fn bounds(outline: Outline) -> (Length, Length) {
    let (sides, side, flats) = match outline {
        Outline::Rectangle { width, height } => return (width, height),
        Outline::Regular { sides, side, flats } => (sides, nm(side), flats),
    };
    let flats = match flats {
        Some(flats) => nm(flats),
        // Rounded up it is as long once it is longer than a nanometer less.
        None => least(side * i128::from(sides), |flats| {
            slope(flats, side - 1, sides) == Ordering::Less
        }),
    };
    let corners = || {
        least(2 * flats, |corners| {
            angle(flats, corners * corners, sides) != Ordering::Less
        })
    };
    let (width, height) = match sides % 4 {
        0 => (flats, flats),
        2 => (corners(), flats),
        _ => {
            let corners = corners();
            let below = corners - 1;
            let diagonal = least(corners, |width| {
                angle(width, below * below, 2 * sides) == Ordering::Less
            });
            (diagonal, i128::midpoint(flats, corners) + 1)
        }
    };
    (length(width), length(height))
}

/// The side of a polygon that is `by` across, from the center twice, or how much longer one is that is `by` farther across:
/// `by tan(180/n)`, rounded up.
fn run(by: i128, sides: u32) -> i128 {
    let width = by.abs();
    // The tangent of no corner is 2.
    let reaches = |run: i128| slope(width, run, sides) != Ordering::Less;
    let up = least(2 * width, reaches);
    match by.signum() {
        // Of less the whole number above is that below of more.
        -1 if slope(width, up, sides) == Ordering::Equal => -up,
        -1 => 1 - up,
        _ => up,
    }
}

/// The angle whose tangent is `across / along`, both of them zero or more, beside 180/n degrees.
fn slope(along: i128, across: i128, parts: u32) -> Ordering {
    if across <= 0 && along > 0 {
        return Ordering::Less;
    }
    angle(along, along * along + across * across, parts)
}

/// The angle whose cosine is `x / sqrt(square)` beside 180/m degrees; where `x` is as long as the root, or longer, it is none,
/// and below.
fn angle(x: i128, square: i128, parts: u32) -> Ordering {
    let (twice, square) = (2 * x.unsigned_abs(), square.unsigned_abs());
    let (mut before, mut last) = (Whole(Vec::new()), Whole(vec![1]));
    for k in 2..=parts {
        let (more, less) = (last.times(twice), before.times(square));
        let Some(next) = more.minus(&less) else {
            return Ordering::Greater;
        };
        if next.0.is_empty() {
            return if k == parts {
                Ordering::Equal
            } else {
                Ordering::Greater
            };
        }
        (before, last) = (last, next);
    }
    Ordering::Less
}

/// The least whole number from zero to `most` that is enough; every larger one is too, and `most` counts as enough.
fn least(most: i128, is_enough: impl Fn(i128) -> bool) -> i128 {
    let (mut low, mut high) = (0, most);
    while low < high {
        let middle = i128::midpoint(low, high);
        if is_enough(middle) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    high
}

fn length(nm: i128) -> Length {
    Length::from_nm(i64::try_from(nm).expect("lengths are capped when read, so a few of one fit"))
}

/// A whole number of any size, zero or more: its digits to the base of [`BASE`], the least first, the last of them not zero.
struct Whole(Vec<u128>);

/// A product of two digits, with another and what is carried, fits 128 bits.
const BASE: u128 = 1 << 60;

impl Whole {
    fn times(&self, factor: u128) -> Whole {
        let digits = [factor % BASE, factor / BASE % BASE, factor / BASE / BASE];
        let mut product = vec![0; self.0.len() + digits.len()];
        for (place, digit) in digits.into_iter().enumerate() {
            let mut carried = 0;
            for (own, at) in self.0.iter().zip(place..) {
                let sum = own * digit + product[at] + carried;
                product[at] = sum % BASE;
                carried = sum / BASE;
            }
            product[place + self.0.len()] = carried;
        }
        Whole(product).trimmed()
    }

    /// `None` where that is less than zero.
    fn minus(mut self, less: &Whole) -> Option<Whole> {
        if self.0.len() < less.0.len() {
            return None;
        }
        let mut borrowed = 0;
        for (at, own) in self.0.iter_mut().enumerate() {
            let taken = less.0.get(at).copied().unwrap_or(0) + borrowed;
            borrowed = u128::from(*own < taken);
            *own = *own + borrowed * BASE - taken;
        }
        (borrowed == 0).then(|| self.trimmed())
    }

    fn trimmed(mut self) -> Whole {
        while self.0.last() == Some(&0) {
            self.0.pop();
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::rectangle_round;
    use proptest::prelude::*;

    fn regular(sides: u32, nm: i64) -> Outline {
        Outline::of_side(sides, Length::from_nm(nm))
    }

    #[test]
    fn whole_numbers_of_any_size_are_multiplied_and_subtracted() {
        // (2^60 - 1) squared is 2^120 - 2^61 + 1, and cubed 2^180 - 3 * 2^120 + 3 * 2^60 - 1.
        let most = BASE - 1;
        let squared = Whole(vec![most]).times(most);
        assert_eq!(squared.0, [1, BASE - 2]);
        let cubed = squared.times(most);
        assert_eq!(cubed.0, [most, 2, BASE - 3]);
        assert_eq!(cubed.times(1 << 120).0, [0, 0, most, 2, BASE - 3]);
        assert!(Whole(vec![5, 1]).minus(&Whole(vec![6, 1])).is_none());
        let rest = Whole(vec![5, 1]).minus(&Whole(vec![6]));
        assert_eq!(rest.map(|rest| rest.0), Some(vec![most]));
        let nothing = Whole(vec![7, 7]).minus(&Whole(vec![7, 7]));
        assert_eq!(nothing.map(|rest| rest.0), Some(Vec::new()));
    }

    #[test]
    fn angles_are_compared_exactly() {
        // The tangent of 45 degrees is 1, and the cosine of 60 degrees a half.
        assert_eq!(slope(7, 7, 4), Ordering::Equal);
        assert_eq!(
            slope(10_i128.pow(13), 10_i128.pow(13) - 1, 4),
            Ordering::Less
        );
        assert_eq!(
            slope(10_i128.pow(13), 10_i128.pow(13) + 1, 4),
            Ordering::Greater
        );
        assert_eq!(angle(5, 100, 3), Ordering::Equal);
        // From any table: the tangent of 36 degrees is 0.7265425280, that of 3.75 degrees 0.0655434628.
        assert_eq!(slope(10_i128.pow(10), 7_265_425_280, 5), Ordering::Less);
        assert_eq!(slope(10_i128.pow(10), 7_265_425_281, 5), Ordering::Greater);
        assert_eq!(slope(10_i128.pow(10), 655_434_628, 48), Ordering::Less);
        assert_eq!(slope(10_i128.pow(10), 655_434_629, 48), Ordering::Greater);
    }

    /// From any table of regular polygons, per unit of side: triangle 1 x 0.866025404, pentagon 1.618033989 x 1.538841769,
    /// hexagon 2 x 1.732050808, octagon 2.414213562 both ways; a side follows its polygon by the tangent of 180/n degrees.
    #[test]
    fn known_polygons_have_their_known_sizes() {
        for (sides, width, height) in [
            (3, 1_000_000_000, 866_025_404),
            (5, 1_618_033_989, 1_538_841_769),
            (6, 2_000_000_000, 1_732_050_808),
            (8, 2_414_213_562, 2_414_213_562),
        ] {
            let (own_width, own_height) = bounds(regular(sides, 1_000_000_000));
            let is_near = |own: Length, nm: i64| (own.nm() - nm).abs() <= 4;
            assert!(
                is_near(own_width, width) && is_near(own_height, height),
                "{sides} sides: {own_width:?} x {own_height:?}"
            );
        }
        // 10 mm of tan 60 are 17.320508075..., of tan 22.5 4.142135623...; up, of more and of less.
        assert_eq!(run(10_000_000, 3), 17_320_509);
        assert_eq!(run(-10_000_000, 3), -17_320_508);
        assert_eq!(run(-10_000_000, 8), -4_142_135);
        assert_eq!((run(9, 4), run(-9, 4), run(0, 5)), (9, -9, 0));
    }

    proptest! {
        #![proptest_config(cases!(300))]

        /// A side is the least that reaches as far as its flats ask for.
        #[test]
        fn the_side_of_flats_is_the_least_that_is_enough(sides in 3_u32..=48, flats in 1_i64..10_000_000_000) {
            let side = nm(Outline::of_flats(sides, Length::from_nm(flats)).side(0));
            let flats = i128::from(flats);
            prop_assert!(slope(flats, side, sides) != Ordering::Less);
            prop_assert!(slope(flats, side - 1, sides) == Ordering::Less);
        }

        /// The two derivations share no arithmetic, and agree to the nanometer: all numbers of sides that a job may have, sides
        /// up to 10 m, near to round figures too.
        #[test]
        fn frame_has_the_same_sizes(
            sides in 3_u32..=48,
            side in prop_oneof![
                1_i64..2_000,
                1_i64..10_000_000_000,
                (1_i64..6_400, -1_i64..=1).prop_map(|(of_an_inch, off)| of_an_inch * 396_875 + off),
            ],
            is_flats in any::<bool>(),
            by in prop_oneof![-400_i64..400, -400_000_000_i64..400_000_000, (-6_400_i64..6_400).prop_map(|n| n * 396_875)],
        ) {
            let given = Length::from_nm(side.max(1));
            let outline = if is_flats { Outline::of_flats(sides, given) } else { Outline::of_side(sides, given) };
            prop_assert_eq!(bounds(outline), rectangle_round(outline));
            let by = Length::from_nm(by);
            prop_assert_eq!(grown(outline, by), outline.grown(by));
        }
    }
}
