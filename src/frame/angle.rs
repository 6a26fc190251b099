//! Miter angles, and exact integer products with their secant and tangent.
//!
//! An angle is never a number here but the count of sides of the regular polygon whose corner it closes, so that
//! nothing is rounded before a length is multiplied by it.
//! Every result is rounded up to the nanometer.
//!
//! For 3, 4 and 6 sides the factors are square roots of rationals and an integer square root settles them.
//! For all others sine and cosine are summed in fixed point with 120 fractional bits and a proven error margin;
//! see [`SERIES_MARGIN`] for the proof.

use std::cmp::Ordering;

use crate::length::Length;

/// How an end is cut, as exact data: square across, or the miter that closes a corner of a regular polygon.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Miter {
    /// Square across: 0 degrees off square.
    Square,
    /// Half the turn at a corner of a regular polygon: 180 / `sides` degrees off square.
    Corner {
        /// Number of sides of the polygon, 3 or more; 4 is the corner of every rectangle.
        sides: u32,
    },
}

impl Miter {
    /// The miter of a rectangle's corner, 45 degrees off square.
    pub const RECTANGLE: Miter = Miter::Corner { sides: 4 };

    /// What a blade of thickness `kerf` takes along the strip: `k / cos m`, rounded up to the nanometer.
    ///
    /// `kerf` is zero or more.
    ///
    /// # Panics
    /// If `kerf` is negative, if there are fewer than 3 sides, or if the result does not fit a [`Length`].
    pub fn kerf_along(self, kerf: Length) -> Length {
        match self {
            Miter::Square => kerf,
            Miter::Corner { sides } => length(ceil_sec(magnitude(kerf), sides)),
        }
    }

    /// How far along the strip the cut runs while it crosses `width` of it: `width * tan m`, rounded up.
    ///
    /// Of a negative width the result is negative or zero, and still rounded towards more.
    ///
    /// # Panics
    /// If there are fewer than 3 sides, or if the result does not fit a [`Length`].
    pub fn run_along(self, width: Length) -> Length {
        let Miter::Corner { sides } = self else {
            return Length::ZERO;
        };
        if width >= Length::ZERO {
            return length(ceil_tan(magnitude(width), sides));
        }
        let up = length(ceil_tan(magnitude(-width), sides));
        // The tangent of 180/n degrees is irrational for every n but 4 (Niven's theorem on rational multiples of
        // pi, for the tangent), so away from zero the product is never whole and its floor is one below its ceiling.
        let down = if sides == 4 {
            up
        } else {
            up - Length::from_nm(1)
        };
        -down
    }

    /// How far two neighbors with this miter lie over each other along a strip of `width`, one of them turned end for
    /// end so that they share one slanting cut: `width * tan m`, rounded down, so that never less than the kerf lies
    /// between them.
    ///
    /// # Panics
    /// If `width` is negative, if there are fewer than 3 sides, or if the result does not fit a [`Length`].
    pub fn overlap(self, width: Length) -> Length {
        assert!(width >= Length::ZERO, "no strip has a negative width");
        -self.run_along(-width)
    }

    /// `length / sin m`, rounded up to the nanometer: of the side of a regular polygon, the distance between opposite corners;
    /// of a slot cut so deep along the line that halves a corner, what is seen of it on each edge.
    ///
    /// # Panics
    /// If it is square, if `length` is negative, if there are fewer than 3 sides, or if the result does not fit a [`Length`].
    pub fn over_sine(self, of: Length) -> Length {
        length(ceil_over_sin(magnitude(of), self.corner()))
    }

    /// `length / tan m`, rounded up to the nanometer: of the side of a regular polygon, the distance between opposite sides; of
    /// a slot cut so deep along the line that halves a corner, half of its width there.
    ///
    /// # Panics
    /// As [`Miter::over_sine`].
    pub fn over_tangent(self, of: Length) -> Length {
        length(ceil_over_tan(magnitude(of), self.corner()))
    }

    /// `length * sin m`, rounded up to the nanometer: of the distance between opposite corners of a regular polygon, its side.
    ///
    /// # Panics
    /// As [`Miter::over_sine`].
    pub fn times_sine(self, of: Length) -> Length {
        length(ceil_times_sin(magnitude(of), self.corner()))
    }

    /// As [`Miter::sides`], of an end that closes a corner.
    fn corner(self) -> u32 {
        self.sides().expect("a square end closes no corner")
    }

    /// Sides of the polygon whose corner it closes; `None` of a square end.
    pub fn sides(self) -> Option<u32> {
        match self {
            Miter::Square => None,
            Miter::Corner { sides } => Some(sides),
        }
    }

    /// The angle off square in degrees, as a fraction `(numerator, denominator)` that is not reduced.
    pub fn degrees(self) -> (u32, u32) {
        match self {
            Miter::Square => (0, 1),
            Miter::Corner { sides } => (180, sides),
        }
    }
}

/// The nanometers of a length that is not negative.
fn magnitude(length: Length) -> u64 {
    u64::try_from(length.nm()).expect("the caller passes no negative length")
}

/// Back to a length.
fn length(nm: u128) -> Length {
    Length::from_nm(i64::try_from(nm).expect("lengths are capped when read, so twice one fits"))
}

/// `ceil(k / cos(180/n degrees))` for `n` sides.
fn ceil_sec(k: u64, n: u32) -> u128 {
    assert!(n >= 3, "a polygon has 3 sides or more");
    let k_wide = u128::from(k);
    match n {
        3 => 2 * k_wide,
        4 => ceil_sqrt(2 * k_wide * k_wide),
        // k / cos 30 = 2k / sqrt 3 = sqrt(4 k^2 / 3); a whole number reaches the root of x iff its square
        // reaches x rounded up.
        6 => ceil_sqrt((4 * k_wide * k_wide).div_ceil(3)),
        _ => {
            let (_, cos) = sin_cos(n);
            least_multiple(cos - SERIES_MARGIN, product(k, ONE))
        }
    }
}

/// `ceil(f * tan(180/n degrees))` for `n` sides.
fn ceil_tan(f: u64, n: u32) -> u128 {
    assert!(n >= 3, "a polygon has 3 sides or more");
    let f_wide = u128::from(f);
    match n {
        3 => ceil_sqrt(3 * f_wide * f_wide),
        4 => f_wide,
        6 => ceil_sqrt((f_wide * f_wide).div_ceil(3)),
        _ => {
            let (sin, cos) = sin_cos(n);
            least_multiple(cos - SERIES_MARGIN, product(f, sin + SERIES_MARGIN))
        }
    }
}

/// `ceil(k / sin(180/n degrees))` for `n` sides.
fn ceil_over_sin(k: u64, n: u32) -> u128 {
    assert!(n >= 3, "a polygon has 3 sides or more");
    let k_wide = u128::from(k);
    match n {
        // sin 60 = cos 30, see `ceil_sec`.
        3 => ceil_sqrt((4 * k_wide * k_wide).div_ceil(3)),
        4 => ceil_sqrt(2 * k_wide * k_wide),
        6 => 2 * k_wide,
        _ => {
            let (sin, _) = sin_cos(n);
            least_multiple(sin - SERIES_MARGIN, product(k, ONE))
        }
    }
}

/// `ceil(k / tan(180/n degrees))` for `n` sides.
fn ceil_over_tan(k: u64, n: u32) -> u128 {
    assert!(n >= 3, "a polygon has 3 sides or more");
    let k_wide = u128::from(k);
    match n {
        3 => ceil_sqrt((k_wide * k_wide).div_ceil(3)),
        4 => k_wide,
        6 => ceil_sqrt(3 * k_wide * k_wide),
        _ => {
            let (sin, cos) = sin_cos(n);
            least_multiple(sin - SERIES_MARGIN, product(k, cos + SERIES_MARGIN))
        }
    }
}

/// `ceil(k * sin(180/n degrees))` for `n` sides.
fn ceil_times_sin(k: u64, n: u32) -> u128 {
    assert!(n >= 3, "a polygon has 3 sides or more");
    let k_wide = u128::from(k);
    match n {
        // k sin 60 = k sqrt 3 / 2 = sqrt(3 k^2 / 4), and so on; see `ceil_sec` for the rounding.
        3 => ceil_sqrt((3 * k_wide * k_wide).div_ceil(4)),
        4 => ceil_sqrt((k_wide * k_wide).div_ceil(2)),
        6 => k_wide.div_ceil(2),
        _ => {
            let (sin, _) = sin_cos(n);
            least_multiple(ONE, product(k, sin + SERIES_MARGIN))
        }
    }
}

/// The least whole number whose square is `square` or more.
fn ceil_sqrt(square: u128) -> u128 {
    let root = square.isqrt();
    if root * root == square {
        root
    } else {
        root + 1
    }
}

/// Fractional bits of the fixed-point numbers: enough that the margin below stays under 2^-44 nm on any length.
const FRACTION_BITS: u32 = 120;

/// One in fixed point.
const ONE: u128 = 1 << FRACTION_BITS;

/// How far [`sin_cos`] may be off, in units of the last fractional bit.
///
/// Proof. Each term of the arc tangents loses less than 2 units to truncation, so the 60 terms of `16 atan(1/5)` lose
/// less than 16 * 120 and the 20 of `4 atan(1/239)` less than 160, tails included: pi is within 2^12 units and pi / n
/// within 2^10, since n is 5 or more here. Sine and cosine move no faster than their argument.
/// A term of their series is a truncated product divided by 2 or more, and the argument is below 0.7, so each of the
/// 30 terms is within 3 units and 2 of carried error: 150 in all. The sum is below 2^11; the margin is 2^12.
///
/// A result can therefore be one nanometer above the true ceiling only where the exact product lies within
/// 2^-44 nm of a whole number, and it is never below it.
const SERIES_MARGIN: u128 = 1 << 12;

/// Sine and cosine of 180/n degrees in fixed point, each within [`SERIES_MARGIN`]; `n` is 5 or more.
fn sin_cos(n: u32) -> (u128, u128) {
    // Machin 1706: pi = 16 atan(1/5) - 4 atan(1/239).
    let pi = 16 * arc_tangent_of_inverse(5) - 4 * arc_tangent_of_inverse(239);
    let angle = pi / u128::from(n);
    let square = fixed_product(angle, angle);
    (
        alternating_series(angle, square, 2),
        alternating_series(ONE, square, 1),
    )
}

/// `atan(1/q)` in fixed point, by Gregory's series.
fn arc_tangent_of_inverse(q: u128) -> u128 {
    let mut power = ONE / q;
    let mut sum = power;
    let mut odd = 3;
    let mut minus = true;
    while power > 0 {
        power /= q * q;
        if minus {
            sum -= power / odd;
        } else {
            sum += power / odd;
        }
        minus = !minus;
        odd += 2;
    }
    sum
}

/// `first - first x / (d (d+1)) + ...`: Taylor's series of sine (`d` = 2) or cosine (`d` = 1), `x` the squared angle.
fn alternating_series(first: u128, square: u128, d: u128) -> u128 {
    let mut term = first;
    let mut sum = first;
    let mut divisor = d;
    let mut minus = true;
    while term > 0 {
        term = fixed_product(term, square) / (divisor * (divisor + 1));
        if minus {
            sum -= term;
        } else {
            sum += term;
        }
        minus = !minus;
        divisor += 2;
    }
    sum
}

/// Product of two fixed-point numbers of at most [`ONE`], truncated.
fn fixed_product(a: u128, b: u128) -> u128 {
    const HALF: u32 = FRACTION_BITS / 2;
    const LOW: u128 = (1 << HALF) - 1;
    let (a_high, a_low) = (a >> HALF, a & LOW);
    let (b_high, b_low) = (b >> HALF, b & LOW);
    let middle = a_high * b_low + a_low * b_high + ((a_low * b_low) >> HALF);
    a_high * b_high + (middle >> HALF)
}

/// A product of a 64-bit and a 128-bit number: the upper part, and the lower 64 bits.
type Product = (u128, u128);

/// `whole * fixed`, exactly.
fn product(whole: u64, fixed: u128) -> Product {
    const LOW: u128 = (1 << 64) - 1;
    let whole = u128::from(whole);
    let low = whole * (fixed & LOW);
    let high = whole * (fixed >> 64) + (low >> 64);
    (high, low & LOW)
}

/// The least whole number `m` with `m * factor >= target`.
fn least_multiple(factor: u128, target: Product) -> u128 {
    let (mut least, mut most) = (0_u64, u64::MAX);
    while least < most {
        let middle = least + (most - least) / 2;
        match product(middle, factor).cmp(&target) {
            Ordering::Less => least = middle + 1,
            Ordering::Equal | Ordering::Greater => most = middle,
        }
    }
    u128::from(most)
}

#[cfg(test)]
mod tests;
