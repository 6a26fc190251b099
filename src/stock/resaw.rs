//! Resawing: how a thick board gives several thinner ones.
//!
//! A board is resawn as a whole, before it is ripped, into slices of one thickness: each is as long and as wide as the board,
//! has its defects, and is a stick of its own from then on. What is left of the thickness is gone.

use crate::length::Length;
use crate::stock::{Across, Board, Rip, Run};

/// What is lost when boards are resawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Resaw {
    /// Kerf of the saw that resaws, between any two slices; zero or more.
    pub kerf: Length,
    /// Thickness added to every slice, to be planed off again; zero or more.
    pub planing: Length,
    /// The widest board that the saw takes in its height; `None` where there is no such limit.
    pub widest: Option<Length>,
}

impl Resaw {
    /// No board is resawn into more slices than this.
    pub const MOST_SLICES: i64 = 8;

    /// How thick a slice comes from the saw that is to be planed to this thickness.
    pub fn set_to(&self, thickness: Length) -> Length {
        thickness + self.planing
    }

    /// How many slices of thickness `t` a board of thickness `T` gives, and no more than
    /// [`MOST_SLICES`](Resaw::MOST_SLICES): `floor((T + k) / (t + a + k))` with kerf `k` and planing `a`, so that
    /// `n (t + a) + (n - 1) k <= T`.
    ///
    /// # Panics
    /// If the slice, kerf and planing are all zero, which no section is.
    pub fn most_slices(&self, board: Length, slice: Length) -> i64 {
        let each = self.set_to(slice) + self.kerf;
        ((board + self.kerf).nm() / each.nm()).min(Resaw::MOST_SLICES)
    }
}

impl Board {
    /// Into how many slices of a thickness it is resawn where the shop does so; `None` where it is not, as it is no board
    /// as it was sold, too wide, or gives fewer than two.
    pub fn slices(&self, rip: Option<&Rip>, thickness: Length) -> Option<usize> {
        let (resaw, given) = (rip?.resaw?, self.thickness?);
        if !self.may_be_ripped() || self.milled_to().is_some() {
            return None;
        }
        let is_too_wide = |widest| self.width.is_none_or(|width| width > widest);
        if resaw.widest.is_some_and(is_too_wide) {
            return None;
        }
        let n_slices = resaw.most_slices(given, thickness);
        usize::try_from(n_slices).ok().filter(|&n| n >= 2)
    }

    /// Whether it may still be ripped and resawn: it is no strip of an earlier sheet and no rail in hand, and nothing has been cut
    /// off it. A piece that lies beside strips may.
    pub(super) fn may_be_ripped(&self) -> bool {
        let mut defects = self.defects.iter();
        !self.given.is_strip
            && self.given.rail.is_none()
            && defects.all(|defect| defect.across != Across::Gone)
    }

    /// A slice of a stretch of it, planed to this thickness, as a board of its own.
    #[must_use]
    pub fn slice(&self, run: Run, thickness: Length) -> Board {
        Board {
            thickness: Some(thickness),
            nominal: None,
            ..self.stretch(run)
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::samples::{self, in16, inches};
    use crate::stock::{Defect, Given, InHand};

    fn shop(widest: Option<Length>) -> Rip {
        Rip {
            resaw: Some(Resaw {
                kerf: in16(1),
                planing: in16(2),
                widest,
            }),
            ..samples::rip()
        }
    }

    fn thick() -> Board {
        Board {
            thickness: Some(inches(2)),
            width: Some(inches(6)),
            ..samples::board("thick", inches(96), None)
        }
    }

    #[test]
    fn slices_with_their_planing_and_the_kerfs_between_them_fill_a_board() {
        let rip = shop(None);
        // Derived, of 2 in with 1/8 of planing and a kerf of 1/16: two of 3/4 take 1 13/16, three would take 2 3/4; three of
        // 3/8 take 1 5/8, four would take 2 3/16.
        assert_eq!(thick().slices(Some(&rip), in16(12)), Some(2));
        assert_eq!(thick().slices(Some(&rip), in16(6)), Some(3));
        // No kerf is lost behind the last: 1 13/16 is enough for two, a nanometer less is not.
        let of = |thickness| {
            let thickness = Some(thickness);
            let board = Board {
                thickness,
                ..thick()
            };
            board.slices(Some(&rip), in16(12))
        };
        assert_eq!(of(in16(29)), Some(2));
        assert_eq!(of(in16(29) - Length::from_nm(1)), None);
        // However thick it is.
        assert_eq!(of(inches(100)), Some(8));
    }

    #[test]
    fn only_a_whole_board_that_the_saw_takes_is_resawn() {
        let rip = shop(Some(inches(6)));
        let is_resawn = |board: Board| board.slices(Some(&rip), in16(12)).is_some();
        assert!(is_resawn(thick()));
        assert!(thick().slices(None, in16(12)).is_none());
        assert!(thick().slices(Some(&samples::rip()), in16(12)).is_none());
        for width in [Some(inches(6) + Length::from_nm(1)), None] {
            assert!(!is_resawn(Board { width, ..thick() }));
        }
        let gone = Defect {
            from: inches(1),
            to: inches(2),
            across: Across::Gone,
        };
        let milled = InHand {
            moulding: Some("cap".to_owned()),
            ..InHand::default()
        };
        let strip = Given {
            is_strip: true,
            ..Given::default()
        };
        let rail = Given {
            rail: Some(Length::ZERO),
            ..Given::default()
        };
        for board in [
            Board {
                thickness: None,
                ..thick()
            },
            Board {
                defects: vec![gone],
                ..thick()
            },
            Board {
                in_hand: Some(milled),
                ..thick()
            },
            Board {
                given: strip,
                ..thick()
            },
            Board {
                given: rail,
                ..thick()
            },
        ] {
            assert!(!is_resawn(board));
        }
    }

    proptest! {
        #![proptest_config(cases!())]

        #[test]
        fn as_many_slices_as_fit_and_not_one_more(
            board in 1_i64..400,
            slice in 1_i64..60,
            kerf in 0_i64..6,
            planing in 0_i64..6,
        ) {
            let nm = Length::from_nm;
            let resaw = Resaw { kerf: nm(kerf), planing: nm(planing), widest: None };
            let fits = |n: i64| n * (slice + planing) + (n - 1) * kerf <= board;
            let found = (1..=Resaw::MOST_SLICES).take_while(|&n| fits(n)).count();
            prop_assert_eq!(usize::try_from(resaw.most_slices(nm(board), nm(slice))), Ok(found));
        }
    }
}
