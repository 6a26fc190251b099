//! What a blade takes along the strip, derived once more and in another way than `frame` does.

/// The whole nanometers between which the rounded-up kerf along the strip certainly lies.
///
/// Both ends are equal but where the true value comes within a hair of a whole number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::audit) struct KerfRange {
    /// No gap may be smaller.
    pub(in crate::audit) least: i128,
    /// No gap need be larger.
    pub(in crate::audit) most: i128,
}

/// Fractional bits of a cosine: `2 x` times a value of the recurrence, up to `n` times one, fits 127 bits for `n` up
/// to 2^12.
const FRACTION_BITS: u32 = 56;

/// One in fixed point.
const ONE: i128 = 1 << FRACTION_BITS;

/// How far the bisected cosine may be off, in units of the last bit.
///
/// Truncation costs one unit a step and grows with the sum of the polynomials, `n^2 / 2` in all; the last polynomial
/// has a slope of `n / sin^2` at the root, so the root moves by at most `n / 2 * (pi / n)^2`, below 1 for n of 5 or more.
const COSINE_MARGIN: i128 = 4;

impl KerfRange {
    /// Of a square cut.
    pub(in crate::audit) fn square(kerf_nm: i64) -> KerfRange {
        KerfRange::exactly(kerf_nm.into())
    }

    /// Of the miter at the corner of a regular polygon of `n_sides`.
    pub(in crate::audit) fn corner(kerf_nm: i64, n_sides: u32) -> KerfRange {
        let kerf = i128::from(kerf_nm);
        match n_sides {
            // The cosine of 60 degrees is one half.
            3 => KerfRange::exactly(2 * kerf),
            4 => KerfRange::exactly(diagonal(kerf)),
            _ => {
                let cosine = cosine_of_corner(n_sides);
                KerfRange {
                    least: divide_up(kerf * ONE, cosine + COSINE_MARGIN),
                    most: divide_up(kerf * ONE, cosine - COSINE_MARGIN),
                }
            }
        }
    }

    fn exactly(nm: i128) -> KerfRange {
        KerfRange {
            least: nm,
            most: nm,
        }
    }
}

/// How far a slanting cut runs along the strip while it crosses `width_nm` of it, rounded down; where the true value
/// comes within a hair of a whole number, up.
pub(in crate::audit) fn run_of_slant(width_nm: i64, n_sides: u32) -> i128 {
    let width = i128::from(width_nm);
    match n_sides {
        // The tangent of 60 degrees is the square root of 3.
        3 => (3 * width * width).isqrt(),
        4 => width,
        _ => {
            // A sine from below the cosine that is surely too small is surely too large.
            let cosine = cosine_of_corner(n_sides) - COSINE_MARGIN;
            let sine = (ONE * ONE - cosine * cosine).isqrt() + 1;
            width * sine / cosine
        }
    }
}

/// The least whole number that is no shorter than the diagonal of a square of this side.
fn diagonal(side: i128) -> i128 {
    let (mut low, mut high) = (side, 2 * side);
    while low < high {
        let middle = i128::midpoint(low, high);
        if middle * middle >= 2 * side * side {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    low
}

/// Quotient of positive numbers, rounded up.
fn divide_up(numerator: i128, denominator: i128) -> i128 {
    (numerator + denominator - 1) / denominator
}

/// The cosine of 180/n degrees in fixed point, for `n` of 5 or more.
///
/// Chebyshev's polynomials of the second kind are `U_k(cos t) = sin((k+1) t) / sin t`, so `U_1 .. U_(n-1)` are all
/// positive exactly while `t` is below 180/n degrees. The bisection looks for the end of that stretch.
fn cosine_of_corner(n_sides: u32) -> i128 {
    let (mut not_above, mut above) = (0, ONE);
    while above - not_above > 1 {
        let middle = i128::midpoint(not_above, above);
        if all_positive(middle, n_sides) {
            above = middle;
        } else {
            not_above = middle;
        }
    }
    not_above
}

/// Whether `U_1(x) .. U_(n-1)(x)` are all positive, by `U_(k+1) = 2 x U_k - U_(k-1)`.
fn all_positive(x: i128, n_sides: u32) -> bool {
    let (mut previous, mut current) = (ONE, 2 * x);
    for _ in 2..n_sides {
        if current <= 0 {
            return false;
        }
        (previous, current) = (current, ((2 * x * current) >> FRACTION_BITS) - previous);
    }
    current > 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Miter;
    use crate::length::Length;

    #[test]
    fn cosines_agree_with_their_closed_forms() {
        // From any table: cos 36 = (1 + sqrt 5) / 4, cos 30 = sqrt 3 / 2; squared to stay whole.
        let pentagon = 4 * cosine_of_corner(5) - ONE;
        assert!((pentagon * pentagon - 5 * ONE * ONE).abs() < 4 * 5 * 4 * ONE);
        let hexagon = cosine_of_corner(6);
        assert!((4 * hexagon * hexagon - 3 * ONE * ONE).abs() < 8 * 4 * ONE);
    }

    #[test]
    fn both_derivations_give_the_same_slant() {
        for n_sides in 3..=48 {
            for width_nm in [1, 12_345_678, 38_100_000, 50_800_000, 99_999_999] {
                let other = Miter::Corner { sides: n_sides }.overlap(Length::from_nm(width_nm));
                let own = run_of_slant(width_nm, n_sides);
                assert_eq!(
                    own,
                    i128::from(other.nm()),
                    "{n_sides} sides, {width_nm} nm"
                );
            }
        }
        // From any table: the tangent of 60 degrees is 1.7320508, of 30 degrees 0.5773503.
        assert_eq!(run_of_slant(10_000_000, 3), 17_320_508);
        assert_eq!(run_of_slant(10_000_000, 6), 5_773_502);
    }

    #[test]
    fn both_derivations_give_the_same_kerf() {
        for n_sides in 3..=48 {
            for kerf_nm in [0, 1, 2_400_000, 3_175_000, 3_200_000, 12_345_678] {
                let range = KerfRange::corner(kerf_nm, n_sides);
                assert_eq!(range.least, range.most, "{n_sides} sides, {kerf_nm} nm");
                let other = Miter::Corner { sides: n_sides }.kerf_along(Length::from_nm(kerf_nm));
                assert_eq!(range.least, i128::from(other.nm()), "{n_sides} sides");
            }
        }
    }
}
