//! The choice of the number by which a case is split: sheets of a kind, sheets that are cut one way, strips at least so
//! wide, pieces in such strips, sheets with such strips, such strips that hold certain pieces, each only where all before are
//! whole.
#![expect(
    clippy::float_arithmetic,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "fractions only steer the search"
)]

use std::collections::BTreeMap;

use super::columns::Column;
use super::count::{Condition, Tally};
use super::master::Master;
use super::params::{LEAST_FRACTION, MOST_HOLDING};

/// A number by which to split: at most `at`, or more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Split {
    pub(super) tally: Tally,
    pub(super) at: u32,
    /// Whether the program's solution is nearer to more than to `at`.
    pub(super) is_nearer_over: bool,
}

/// The split of the program's present solution, if any of these numbers is not whole.
///
/// `path` leads to the case: there are no more than [`MOST_HOLDING`] conditions on what strips hold on it.
pub(super) fn choose(master: &Master<'_>, path: &[Condition]) -> Option<Split> {
    let primal = master.primal();
    let columns = master.pool.columns();
    let number = |tally: &Tally| -> f64 {
        let counted = primal
            .iter()
            .map(|&(column, value)| value * f64::from(tally.of(&columns[column])));
        counted.sum()
    };
    let model = master.model;
    let sheets = |beds: Vec<usize>| Tally::Sheets { beds };
    let all = sheets((0..model.beds.len()).collect());
    let kinds = (0..model.kinds.len()).map(|kind| sheets(model.beds_of(kind)));
    let kinds = std::iter::once(all).chain(kinds);
    let beds = (0..model.beds.len()).map(|bed| sheets(vec![bed]));
    let valued = |tally: Tally| (number(&tally), tally);
    let is_holding = |own: &&Condition| matches!(master.tallies[own.tally], Tally::Holding { .. });
    let may_hold = path.iter().filter(is_holding).count() < MOST_HOLDING;
    let held = |n_items: usize| {
        let found = may_hold.then(|| holding(master, &primal, n_items));
        most_fractional(found.into_iter().flatten())
    };
    most_fractional(kinds.map(valued))
        .or_else(|| most_fractional(beds.map(valued)))
        .or_else(|| most_fractional(strips(master, &primal)))
        .or_else(|| most_fractional(pieces(master, &primal)))
        .or_else(|| most_fractional(widest(master, &primal)))
        .or_else(|| held(1))
        .or_else(|| held(2))
        .or_else(|| held(usize::MAX))
}

/// Numbers of strips of each class or wider ones, where there are such.
fn strips(master: &Master<'_>, primal: &[(usize, f64)]) -> impl Iterator<Item = (f64, Tally)> {
    let mut exact: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for &(column, value) in primal {
        if let Column::Strip { lane, class, .. } = master.pool.columns()[column] {
            *exact.entry((lane, class)).or_default() += value;
        }
    }
    let number = |lane: usize, class: usize| -> f64 {
        let wide = exact.range((lane, class)..(lane + 1, 0));
        wide.map(|(_, value)| value).sum()
    };
    let found: Vec<(f64, Tally)> = exact
        .keys()
        .map(|&(lane, class)| (number(lane, class), Tally::Strips { lane, class }))
        .collect();
    found.into_iter()
}

/// Numbers of sheets with such strips.
fn widest(master: &Master<'_>, primal: &[(usize, f64)]) -> impl Iterator<Item = (f64, Tally)> {
    let mut exact: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for &(column, value) in primal {
        if let Column::Sheet { bed, strips } = &master.pool.columns()[column] {
            let class = strips.last().map_or(0, |strip| strip.0);
            *exact.entry((*bed, class)).or_default() += value;
        }
    }
    let number = |bed: usize, class: usize| -> f64 {
        let wide = exact.range((bed, class)..(bed + 1, 0));
        wide.map(|(_, value)| value).sum()
    };
    let found: Vec<(f64, Tally)> = exact
        .keys()
        .map(|&(bed, class)| {
            (
                number(bed, class),
                Tally::Widest {
                    lane: master.model.beds[bed].lane,
                    bed,
                    class,
                },
            )
        })
        .collect();
    found.into_iter()
}

/// Numbers of pieces in such strips.
fn pieces(master: &Master<'_>, primal: &[(usize, f64)]) -> impl Iterator<Item = (f64, Tally)> {
    let mut exact: BTreeMap<(usize, usize, usize), f64> = BTreeMap::new();
    for &(column, value) in primal {
        if let Column::Strip {
            lane,
            class,
            pieces,
        } = &master.pool.columns()[column]
        {
            for &(item, count) in pieces {
                *exact.entry((*lane, item, *class)).or_default() += value * f64::from(count);
            }
        }
    }
    let number = |lane: usize, item: usize, class: usize| -> f64 {
        let wide = exact.range((lane, item, class)..(lane, item + 1, 0));
        wide.map(|(_, value)| value).sum()
    };
    let found: Vec<(f64, Tally)> = exact
        .keys()
        .map(|&(lane, item, class)| {
            (
                number(lane, item, class),
                Tally::Pieces { lane, class, item },
            )
        })
        .collect();
    found.into_iter()
}

/// Numbers of strips that hold as many of some items as a strip of the solution which is there in part: of each one, of each
/// two, or of all of its items.
///
/// Some number of the last kind is not whole as long as any such strip is left, but for what adds up by chance: that of a strip to which no other compares that is as wide
/// and holds as much of everything, as all others that are counted are there in whole numbers.
fn holding(
    master: &Master<'_>,
    primal: &[(usize, f64)],
    n_items: usize,
) -> impl Iterator<Item = (f64, Tally)> {
    let columns = master.pool.columns();
    let mut found: BTreeMap<Tally, f64> = BTreeMap::new();
    for &(column, value) in primal {
        let is_whole = (value - value.round()).abs() <= LEAST_FRACTION;
        if let Column::Strip {
            lane,
            class,
            pieces,
        } = &columns[column]
            && !is_whole
        {
            let leasts: Vec<Vec<(usize, u32)>> = match n_items {
                1 => pieces.iter().map(|&own| vec![own]).collect(),
                2 => pairs(pieces).collect(),
                _ => vec![pieces.clone()],
            };
            for least in leasts {
                let (lane, class) = (*lane, *class);
                found.insert(Tally::Holding { lane, class, least }, 0.0);
            }
        }
    }
    for (tally, number) in &mut found {
        let counted = primal
            .iter()
            .map(|&(column, value)| value * f64::from(tally.of(&columns[column])));
        *number = counted.sum();
    }
    found.into_iter().map(|(tally, number)| (number, tally))
}

/// Each two of some pieces.
fn pairs(pieces: &[(usize, u32)]) -> impl Iterator<Item = Vec<(usize, u32)>> {
    let behind = |(idx, &one): (usize, &(usize, u32))| {
        let others = pieces[idx + 1..].iter();
        others.map(move |&other| vec![one, other])
    };
    pieces.iter().enumerate().flat_map(behind)
}

/// The split by the number that is farthest from whole.
fn most_fractional(numbers: impl Iterator<Item = (f64, Tally)>) -> Option<Split> {
    let mut best: Option<(f64, f64, Tally)> = None;
    for (number, tally) in numbers {
        let fraction = number - number.floor();
        let distance = fraction.min(1.0 - fraction);
        if distance > LEAST_FRACTION
            && best
                .as_ref()
                .is_none_or(|best| distance > best.0 + LEAST_FRACTION)
        {
            best = Some((distance, number, tally));
        }
    }
    best.map(|(_, number, tally)| Split {
        tally,
        at: number.floor() as u32,
        is_nearer_over: number - number.floor() > 0.5,
    })
}
