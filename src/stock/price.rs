//! Board measure, and what one board costs.

use crate::length::Length;
use crate::money::Money;
use crate::stock::{Board, BoardMeasure, Price};

/// A volume of lumber in board feet, as an exact fraction in lowest terms.
///
/// One board foot is 144 cubic inches, a square foot of board 1 in thick.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoardFeet {
    /// Numerator.
    pub numerator: u128,
    /// Denominator, 1 or more.
    pub denominator: u128,
}

/// Why a board's cost cannot be worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CostFault {
    /// A price per board foot or cubic meter, and the board has no thickness.
    NoThickness,
    /// A price per board foot, square or cubic meter, and the board has no width.
    NoWidth,
    /// The cost of one board exceeds [`Money::LARGEST`].
    TooLarge,
}

/// What one `board` costs; `None` where it has no price.
///
/// A price per length, face or volume is multiplied out exactly and rounded once, half up, to the minor unit.
/// Face and volume are those of the size by which the board is sold; only board feet know a least thickness.
/// What the yard charges for its cuts comes on top of a price; a board without one has no cost.
///
/// # Errors
/// [`CostFault`] where a price per face or volume lacks a size, or where the cost is out of range.
pub fn board_cost(board: &Board) -> Result<Option<Money>, CostFault> {
    let Some(price) = board.price else {
        return Ok(None);
    };
    let cost = match price {
        Price::Each(money) => Some(money),
        Price::PerLength { money, per } => multiply_half_up(
            money,
            board.length.nm().unsigned_abs().into(),
            per.nm().unsigned_abs().into(),
        ),
        Price::PerBoardFoot { money, measure } => {
            let thickness = board.sold_thickness().ok_or(CostFault::NoThickness)?;
            let width = board.sold_width().ok_or(CostFault::NoWidth)?;
            let feet = match measure {
                BoardMeasure::Exact => board_feet(thickness, width, board.length),
                BoardMeasure::Surface => Some(BoardFeet::by_surface_measure(
                    thickness,
                    width,
                    board.length,
                )),
            };
            feet.and_then(|feet| multiply_half_up(money, feet.numerator, feet.denominator))
        }
        Price::PerSquareMeter(money) => {
            let width = board.sold_width().ok_or(CostFault::NoWidth)?;
            by_meters(money, &[width, board.length])
        }
        Price::PerCubicMeter(money) => {
            let thickness = board.sold_thickness().ok_or(CostFault::NoThickness)?;
            let width = board.sold_width().ok_or(CostFault::NoWidth)?;
            by_meters(money, &[thickness, width, board.length])
        }
    };
    let charge = board
        .at_yard
        .as_ref()
        .map_or(Money::ZERO, |yard| yard.charge);
    let charges = i128::from(charge.minor()) * i128::from(board.n_yard_cuts());
    let with_charges = |cost: Money| i64::try_from(i128::from(cost.minor()) + charges).ok();
    cost.and_then(|cost| Some(Money::from_minor(with_charges(cost)?)))
        .filter(|&cost| cost <= Money::LARGEST)
        .map(Some)
        .ok_or(CostFault::TooLarge)
}

/// What so many square or cubic meters cost, rounded half up; `None` if out of range.
fn by_meters(money: Money, sizes: &[Length]) -> Option<Money> {
    let meter = u128::from(Length::METRE.nm().unsigned_abs());
    let mut ratio = (1_u128, 1_u128);
    // Each ratio is reduced before it enters the product, so that the numbers stay small.
    for size in sizes {
        let size = u128::from(size.nm().unsigned_abs());
        let common = greatest_common_divisor(size, meter);
        ratio = (
            ratio.0.checked_mul(size / common)?,
            ratio.1.checked_mul(meter / common)?,
        );
    }
    multiply_half_up(money, ratio.0, ratio.1)
}

/// Exact board feet of a board; stock under 1 in thick counts as 1 in.
///
/// Sizes are taken as given: enter the nominal ones to get nominal board feet.
/// `None` if the fraction does not fit, far beyond any tree.
///
/// # Source
/// Formula: William Noyes, *Handwork in Wood* (1910), chapters III and IV.
/// The least thickness: US Navy Engineering Aid Basic, chapter 6, section 3.
pub fn board_feet(thickness: Length, width: Length, length: Length) -> Option<BoardFeet> {
    let thickness = thickness.max(Length::INCH);
    let inch = Length::INCH.nm().unsigned_abs().into();
    let mut numerator = 1_u128;
    let mut denominator = 1_u128;
    // One board foot is 1 in by 12 in by 12 in; each ratio is reduced before it enters the product, so that the
    // numbers stay small.
    for (size, unit) in [(thickness, inch), (width, inch * 12), (length, inch * 12)] {
        let size = size.nm().unsigned_abs().into();
        let common = greatest_common_divisor(size, unit);
        numerator = numerator.checked_mul(size / common)?;
        denominator = denominator.checked_mul(unit / common)?;
    }
    let common = greatest_common_divisor(numerator, denominator);
    Some(BoardFeet {
        numerator: numerator / common,
        denominator: denominator / common,
    })
}

/// Surface measure of a board: its face in square feet, rounded half up to a whole number.
///
/// Times the nominal thickness in inches it gives the board feet by which hardwood bundles are tallied, which differ
/// from the exact ones of [`board_feet`].
///
/// # Source
/// NHLA grading rules, from memory; the rule's own text was not seen, so rounding of exact halves is our choice.
///
/// # Panics
/// If the face is beyond 2^64 square feet.
pub fn surface_measure(width: Length, length: Length) -> u64 {
    let face = u128::from(width.nm().unsigned_abs()) * u128::from(length.nm().unsigned_abs());
    u64::try_from(whole_square_feet(face))
        .expect("sizes are capped at 10 km when read, so a face holds fewer than 2^31 square feet")
}

/// A face in square feet, rounded half up.
fn whole_square_feet(face_nm2: u128) -> u128 {
    (face_nm2 + square_foot_nm2() / 2) / square_foot_nm2()
}

/// A square foot in square nanometers.
fn square_foot_nm2() -> u128 {
    let foot = u128::from(Length::FOOT.nm().unsigned_abs());
    foot * foot
}

impl BoardFeet {
    /// Board feet by surface measure: a whole number of square feet times the thickness, which counts as 1 in or more.
    pub fn by_surface_measure(thickness: Length, width: Length, length: Length) -> BoardFeet {
        let thickness = u128::from(thickness.max(Length::INCH).nm().unsigned_abs());
        let inch = u128::from(Length::INCH.nm().unsigned_abs());
        let common = greatest_common_divisor(thickness, inch);
        BoardFeet {
            numerator: u128::from(surface_measure(width, length)) * (thickness / common),
            denominator: inch / common,
        }
        .reduced()
    }

    /// No wood at all.
    pub const ZERO: BoardFeet = BoardFeet {
        numerator: 0,
        denominator: 1,
    };

    /// Exact board feet of a stretch of wood with this face, in square nanometers, out of a board sold as `thickness`
    /// thick, which counts as 1 in or more; `None` if the fraction does not fit.
    pub fn of_face(thickness: Length, face_nm2: u128) -> Option<BoardFeet> {
        let thickness = u128::from(thickness.max(Length::INCH).nm().unsigned_abs());
        let inch = u128::from(Length::INCH.nm().unsigned_abs());
        let square_foot = square_foot_nm2();
        let common = greatest_common_divisor(face_nm2, square_foot);
        let (face, unit) = (face_nm2 / common, square_foot / common);
        let common = greatest_common_divisor(thickness, inch);
        let feet = BoardFeet {
            numerator: face.checked_mul(thickness / common)?,
            denominator: unit * (inch / common),
        };
        Some(feet.reduced())
    }

    /// Board feet of such a stretch by its surface measure.
    pub fn of_face_by_surface_measure(thickness: Length, face_nm2: u128) -> Option<BoardFeet> {
        BoardFeet::of_face(thickness, whole_square_feet(face_nm2) * square_foot_nm2())
    }

    /// The sum of two; `None` if the fraction does not fit.
    pub fn checked_add(self, other: BoardFeet) -> Option<BoardFeet> {
        let common = greatest_common_divisor(self.denominator, other.denominator);
        let (ours, theirs) = (self.denominator / common, other.denominator / common);
        let sum = BoardFeet {
            numerator: self
                .numerator
                .checked_mul(theirs)?
                .checked_add(other.numerator.checked_mul(ours)?)?,
            denominator: self.denominator.checked_mul(theirs)?,
        };
        Some(sum.reduced())
    }

    /// So many times as much; `None` if the fraction does not fit.
    pub fn checked_times(self, count: u64) -> Option<BoardFeet> {
        let product = BoardFeet {
            numerator: self.numerator.checked_mul(count.into())?,
            denominator: self.denominator,
        };
        Some(product.reduced())
    }

    /// In hundredths of a board foot, rounded half up.
    pub fn hundredths(self) -> u128 {
        let whole = self.numerator / self.denominator;
        let rest = self.numerator % self.denominator;
        // The rest is below the denominator, which divides the cubic nanometers of a board foot: far from 2^120.
        whole * 100 + (rest * 200 + self.denominator) / (self.denominator * 2)
    }

    /// The same in lowest terms.
    fn reduced(self) -> BoardFeet {
        let common = greatest_common_divisor(self.numerator, self.denominator);
        BoardFeet {
            numerator: self.numerator / common,
            denominator: self.denominator / common,
        }
    }
}

/// `money * numerator / denominator`, rounded half up; `None` if out of range.
fn multiply_half_up(money: Money, numerator: u128, denominator: u128) -> Option<Money> {
    let minor = u128::try_from(money.minor()).ok()?;
    let product = minor.checked_mul(numerator)?;
    let whole = product.checked_div(denominator)?;
    let rest = product % denominator;
    // Half or more: rest >= denominator - rest, without doubling.
    let rounded = whole + u128::from(rest >= denominator - rest);
    i64::try_from(rounded).ok().map(Money::from_minor)
}

/// The greatest common divisor of two numbers that are not both zero.
pub(crate) fn greatest_common_divisor(mut a: u128, mut b: u128) -> u128 {
    while b > 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests;
