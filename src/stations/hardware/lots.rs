//! Pieces of hardware counted into lots as they are sold.

use std::collections::BTreeMap;

use super::{HardwareAmount, HardwareCut, HardwareNeed};
use crate::job::{Hardware, HardwareUse, Lot};
use crate::length::Length;
use crate::money::Money;

/// Pieces that a line of frames takes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pieces {
    pub(super) frame_idx: usize,
    /// For all its frames.
    pub(super) count: u64,
    /// How long each is; `None` of what is sold by the piece.
    pub(super) length: Option<Length>,
}

impl Pieces {
    fn cut(&self) -> Option<HardwareCut> {
        let &Pieces {
            frame_idx, count, ..
        } = self;
        let length = self.length?;
        Some(HardwareCut {
            frame_idx,
            count,
            length,
        })
    }
}

/// Larger sums are not told; no shop pays them, and sums of them would overflow.
const MOST_MONEY: i64 = 1_000_000_000_000_000;

/// What is needed of one kind for these pieces.
pub(super) fn need(of: &Hardware, hardware_idx: usize, pieces: &[Pieces]) -> HardwareNeed {
    let mut frames: BTreeMap<usize, i128> = BTreeMap::new();
    let mut all = 0_i128;
    for &Pieces {
        frame_idx,
        count,
        length,
    } in pieces
    {
        let each = length.map_or(1, |length| i128::from(length.nm()));
        let amount = i128::from(count) * each;
        *frames.entry(frame_idx).or_default() += amount;
        all += amount;
    }
    let amount = |number: i128| match of.lot {
        Lot::Count(_) => HardwareAmount::Count(u64::try_from(number).unwrap_or(u64::MAX)),
        Lot::Length(_) => {
            HardwareAmount::Length(Length::from_nm(i64::try_from(number).unwrap_or(i64::MAX)))
        }
    };
    let whole = |lot: i128| u64::try_from((all + lot - 1) / lot).unwrap_or(u64::MAX);
    let lots = match of.lot {
        Lot::Count(count) => whole(count.max(1).into()),
        Lot::Length(length) if of.hardware_use == HardwareUse::Tape => whole(length.nm().into()),
        Lot::Length(length) => {
            let cut = pieces
                .iter()
                .map(|of| (of.length.unwrap_or(length), of.count));
            lots_for(cut.collect(), length)
        }
    };
    HardwareNeed {
        hardware_idx,
        amount: amount(all),
        lots,
        // A sum beyond what is counted is none.
        money: of.price.and_then(|price| {
            let sum = i128::from(price.minor()) * i128::from(lots);
            let sum = i64::try_from(sum).ok().filter(|sum| *sum <= MOST_MONEY);
            sum.map(Money::from_minor)
        }),
        frames: frames
            .into_iter()
            .map(|(idx, number)| (idx, amount(number)))
            .collect(),
        cuts: pieces
            .iter()
            .filter(|_| of.hardware_use != HardwareUse::Tape)
            .filter_map(Pieces::cut)
            .collect(),
    }
}

/// How many lots are enough for pieces of some lengths, each so often and no longer than a lot: longest first, each from the
/// first lot with room (first fit decreasing).
fn lots_for(mut pieces: Vec<(Length, u64)>, lot: Length) -> u64 {
    pieces.sort_unstable_by(|one, other| other.cmp(one));
    // What is left of lots that are alike, and how many.
    let mut open: Vec<(Length, u64)> = Vec::new();
    let mut lots = 0;
    for (length, mut count) in pieces {
        if length <= Length::ZERO {
            continue;
        }
        let mut after: Vec<(Length, u64)> = Vec::with_capacity(open.len() + 2);
        let fit = |left: Length| u64::try_from(left.nm() / length.nm()).unwrap_or(0);
        let cut_from = |left: Length, alike: u64, count: &mut u64, after: &mut Vec<_>| {
            let most = fit(left);
            let full = count.checked_div(most).unwrap_or(0).min(alike);
            let used = |times: u64| left - length * i64::try_from(times).unwrap_or(0);
            if full > 0 {
                after.push((used(most), full));
                *count -= full * most;
            }
            let mut rest = alike - full;
            if rest > 0 && most > 0 && *count > 0 {
                after.push((used(*count), 1));
                *count = 0;
                rest -= 1;
            }
            if rest > 0 {
                after.push((left, rest));
            }
        };
        for &(left, alike) in &open {
            cut_from(left, alike, &mut count, &mut after);
        }
        if count > 0 {
            let new = count.div_ceil(fit(lot).max(1));
            lots += new;
            cut_from(lot, new, &mut count, &mut after);
        }
        open = after;
    }
    lots
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;

    /// Lots by first fit decreasing, piece by piece.
    fn plain_lots(pieces: &[(Length, u64)], lot: Length) -> u64 {
        let mut single: Vec<Length> = Vec::new();
        for &(length, count) in pieces {
            single.extend(std::iter::repeat_n(length, usize::try_from(count).unwrap()));
        }
        single.sort_unstable_by(|one, other| other.cmp(one));
        let mut open: Vec<Length> = Vec::new();
        for length in single {
            match open.iter_mut().find(|left| **left >= length) {
                Some(left) => *left -= length,
                None => open.push(lot - length),
            }
        }
        open.len() as u64
    }

    proptest::proptest! {
        #![proptest_config(cases!())]
        #[test]
        fn lots_of_alike_pieces_are_those_of_single_ones(
            pieces in proptest::collection::vec((1_i64..40, 0_u64..12), 0..6),
            lot in 40_i64..100,
        ) {
            let pieces: Vec<(Length, u64)> =
                pieces.into_iter().map(|(nm, count)| (Length::from_nm(nm), count)).collect();
            let lot = Length::from_nm(lot);
            assert_eq!(lots_for(pieces.clone(), lot), plain_lots(&pieces, lot));
        }
    }
}
