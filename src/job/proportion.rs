//! Prices of boards far from those of all others that serve the same, which look as if a decimal were misplaced.
//!
//! What one board costs is divided by its volume, or where either of two lacks a thickness by its face, or where one lacks a
//! width by its length. A price is far where it is more than twenty times the dearest of all others, or less than a
//! twentieth of the cheapest; of two boards alone the dearer one is told. Only boards to buy of one wood that suit
//! one section of the job are compared: what is on the rack has a value of its own, and figured wood another name.

use super::{Finding, JobSpec, moulding_section, piece_section};
use crate::length::Length;
use crate::money::Money;
use crate::stock::{Board, Section, board_cost, same_material, suits};

/// More than so many times the price of all others is far.
const FAR: u128 = 20;

/// With more boards than these nothing is compared: it would take long, and a list as long comes from a table of its own.
const MOST_COMPARED: usize = 500;

/// What two prices are compared by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Extent {
    /// Length alone, as the width of one is not known.
    Length,
    /// Length and width.
    Face,
    /// Length, width and thickness.
    Volume,
}

/// Looks at the prices of boards to buy.
pub(super) fn check_proportion(job: &JobSpec, findings: &mut Vec<Finding>) {
    let mut sections: Vec<Section<'_>> = job.mouldings.iter().map(moulding_section).collect();
    for piece in &job.pieces {
        let section = piece_section(piece, &job.mouldings);
        if !sections.contains(&section) {
            sections.push(section);
        }
    }
    let priced: Vec<Priced<'_>> = job
        .boards
        .iter()
        .enumerate()
        .filter(|(_, board)| board.in_hand.is_none())
        .filter_map(|(idx, board)| Priced::of(job, &sections, idx, board))
        .collect();
    if priced.len() > MOST_COMPARED {
        return;
    }
    for own in &priced {
        let others = priced
            .iter()
            .filter(|other| other.idx != own.idx && own.serves_as(other));
        let compared: Vec<Compared> = others.map(|other| own.compared(other)).collect();
        let is_dear = !compared.is_empty() && compared.iter().all(|pair| pair.is_dearer(FAR));
        let is_cheap = compared.len() > 1 && compared.iter().all(|pair| pair.is_cheaper(FAR));
        if !is_dear && !is_cheap {
            continue;
        }
        // The nearest is that of the least ratio.
        let nearest = compared.iter().min_by_key(|pair| pair.times());
        findings.extend(nearest.map(|pair| Finding::OutOfProportion {
            board_idx: own.idx,
            other_idx: pair.other_idx,
            times: pair.times(),
            is_dear,
            by: pair.by,
        }));
    }
}

/// A board with a price, and the sections that it suits.
struct Priced<'a> {
    idx: usize,
    board: &'a Board,
    cost: u128,
    suited: Vec<bool>,
}

impl<'a> Priced<'a> {
    fn of(
        job: &JobSpec,
        sections: &[Section<'_>],
        idx: usize,
        board: &'a Board,
    ) -> Option<Priced<'a>> {
        let cost = board_cost(board).ok().flatten().map(Money::minor)?;
        let rip = job.shop.rip.as_ref();
        let suited = sections.iter().map(|section| suits(section, board, rip));
        Some(Priced {
            idx,
            board,
            cost: u128::try_from(cost).ok().filter(|&cost| cost > 0)?,
            suited: suited.collect(),
        })
    }

    /// Whether both are of one wood and suit some section.
    fn serves_as(&self, other: &Priced<'_>) -> bool {
        let is_alike = match (&self.board.material, &other.board.material) {
            (Some(own), Some(other)) => same_material(own, other),
            (own, other) => own == other,
        };
        let mut both = self.suited.iter().zip(&other.suited);
        is_alike && both.any(|(own, other)| *own && *other)
    }

    fn compared(&self, other: &Priced<'_>) -> Compared {
        let widths = self.board.width.zip(other.board.width);
        let thicknesses = widths.and(self.board.thickness.zip(other.board.thickness));
        let by = match (widths, thicknesses) {
            (None, _) => Extent::Length,
            (Some(_), None) => Extent::Face,
            (Some(_), Some(_)) => Extent::Volume,
        };
        let extent = |length: Length, side: fn((Length, Length)) -> Length| {
            let sides = [Some(length), widths.map(side), thicknesses.map(side)];
            sides.into_iter().flatten().map(tenths).product::<u128>()
        };
        Compared {
            other_idx: other.idx,
            own: self.cost * extent(other.board.length, |sides| sides.1),
            other: other.cost * extent(self.board.length, |sides| sides.0),
            by,
        }
    }
}

/// Tenths of a millimeter: near enough for a question, and small enough for a product of three, of up to 10 km each, with a
/// price and a factor.
fn tenths(length: Length) -> u128 {
    u128::from(length.nm().unsigned_abs() / 100_000).max(1)
}

/// Two prices by the same extent.
struct Compared {
    other_idx: usize,
    own: u128,
    other: u128,
    by: Extent,
}

impl Compared {
    fn is_dearer(&self, times: u128) -> bool {
        self.own > times * self.other
    }

    fn is_cheaper(&self, times: u128) -> bool {
        self.other > times * self.own
    }

    /// How many times the lower price the higher one is.
    fn times(&self) -> u128 {
        self.own.max(self.other) / self.own.min(self.other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{board, empty_job, inches, moulding, priced};

    /// What is remarked of boards of 96 in at these prices, in minor units.
    fn remarks(prices: &[i64]) -> Vec<(usize, usize, u128, bool)> {
        let boards = prices
            .iter()
            .map(|&price| priced(board("b", inches(96), None), price));
        found(boards.collect())
    }

    fn found(boards: Vec<Board>) -> Vec<(usize, usize, u128, bool)> {
        let mut job = empty_job().spec();
        job.mouldings = vec![moulding("cap", inches(1), Some("ash"))];
        job.boards = boards;
        let mut findings = Vec::new();
        check_proportion(&job, &mut findings);
        let told = findings.into_iter().filter_map(|finding| match finding {
            Finding::OutOfProportion {
                board_idx,
                other_idx,
                times,
                is_dear,
                ..
            } => Some((board_idx, other_idx, times, is_dear)),
            _ => None,
        });
        told.collect()
    }

    #[test]
    fn a_misplaced_decimal_is_told_with_the_nearest_of_the_others() {
        assert_eq!(remarks(&[1_200, 1_300, 120_000]), [(2, 1, 92, true)]);
        assert_eq!(remarks(&[1_200, 12, 1_300]), [(1, 0, 100, false)]);
        assert_eq!(remarks(&[1_200, 120_000]), [(1, 0, 100, true)]);
    }

    #[test]
    fn what_is_usual_says_nothing() {
        // Twenty times is not yet far; of two prices each far from two others, none is far from all others.
        for usual in [
            &[1_000, 20_000][..],
            &[1_000, 1_100, 50_000, 60_000],
            &[0, 1_000],
            &[1_000],
        ] {
            assert_eq!(remarks(usual), [], "{usual:?}");
        }
    }

    #[test]
    fn a_long_or_wide_board_and_another_wood_may_cost_more() {
        let wide = |length: i64, width: i64, price: i64| Board {
            width: Some(inches(width)),
            ..priced(board("b", inches(length), Some("ash")), price)
        };
        // Derived: 12 x 12 in and 144 x 24 in are 144 and 3,456 square inches, 24 times as much.
        assert_eq!(found(vec![wide(12, 12, 100), wide(144, 24, 2_400)]), []);
        assert_eq!(found(vec![wide(12, 12, 100), wide(12, 12, 2_400)]).len(), 1);
        let figured = Board {
            material: Some("figured ash".to_owned()),
            ..wide(12, 12, 2_400)
        };
        assert_eq!(found(vec![wide(12, 12, 100), figured]), []);
    }
}
