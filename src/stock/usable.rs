//! The length of a board that may carry cuts.

use crate::length::Length;

/// Length between the trims at both ends of a board of `board_length`; `None` where the trims leave nothing.
///
/// `end_trim` is what is lost at each end, zero or more.
pub fn usable_length(board_length: Length, end_trim: Length) -> Option<Length> {
    let left = board_length - end_trim * 2;
    (left > Length::ZERO).then_some(left)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_are_trimmed() {
        // Derived: 8 ft less 1/2 in at each end is 95 in.
        let half_inch = Length::from_nm(12_700_000);
        assert_eq!(
            usable_length(Length::FOOT * 8, half_inch),
            Some(Length::INCH * 95)
        );
        // A trim of zero is legal.
        assert_eq!(
            usable_length(Length::FOOT, Length::ZERO),
            Some(Length::FOOT)
        );
    }

    #[test]
    fn a_board_no_longer_than_its_trims_has_no_usable_length() {
        assert_eq!(usable_length(Length::FOOT, Length::INCH * 6), None);
        assert_eq!(usable_length(Length::FOOT, Length::INCH * 7), None);
    }
}
