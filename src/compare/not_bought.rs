//! The price at which a board that is not bought would be.

use crate::job::Job;
use crate::money::Money;
use crate::pipeline::{Planner, Start};
use crate::plan::Measure;
use crate::solve::{Control, Share};
use crate::stock::{Price, board_cost};

use super::rows::{Comparison, Row};

/// Prices tried for one board; each at least halves what is left in practice, and the answer says if it ended here.
const MOST_PRICES: usize = 40;
/// One trial takes no more than this part of the work that is left for its board.
const TRIAL_PART: u64 = 3;
/// With less work than this a trial tells nothing.
const LEAST_TRIAL: u64 = 2_000_000;

/// A board that the best mix leaves at the yard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotBought {
    /// Index into `Job::boards`.
    pub board_idx: usize,
    /// What one costs.
    pub price: Money,
    /// The highest price at which a plan with some of it is known that is cheaper than the best mix, all else unchanged;
    /// `None` where none is known.
    pub pays_at: Option<Money>,
    /// Proved: at no higher price than this would the best mix be cheaper with some of it; `None` where it would not be even
    /// for nothing.
    pub at_most: Option<Money>,
}

impl NotBought {
    /// Whether it is proved that it does not pay at the next higher price.
    pub fn is_proved(&self) -> bool {
        self.pays_at == self.at_most
    }
}

/// Boards with a price of which the best mix takes none, and which serve some part.
pub(super) fn list_not_bought(comparison: &Comparison) -> Vec<(usize, Money)> {
    let best = comparison.best_mix();
    if best.plan.measure != Measure::Price || !best.is_proved() || !best.is_complete() {
        return Vec::new();
    }
    let is_taken = |idx: usize| best.plan.boards.iter().any(|board| board.board_idx == idx);
    let serves = |idx: usize| {
        comparison
            .woods
            .iter()
            .any(|wood| wood.boards.contains(&idx))
    };
    let boards = best.job.boards.iter().enumerate();
    boards
        .filter(|&(idx, board)| board.in_hand.is_none() && !is_taken(idx) && serves(idx))
        .filter_map(|(idx, board)| {
            let price =
                board_cost(board).expect("load refuses a price that cannot be worked out")?;
            Some((idx, price))
        })
        .collect()
}

/// What one trial told.
enum Trial {
    /// Nothing is cheaper than the best mix, by proof.
    None,
    /// A plan is cheaper, up to this price.
    Pays(i64),
    /// Neither was found in time.
    Open,
}

/// The search for the price of one board.
pub(super) struct PriceSearch<'a> {
    pub(super) best: &'a Row,
    /// What trials begin with.
    pub(super) near: &'a Start,
    pub(super) planner: &'a Planner,
    pub(super) control: &'a Control<'a>,
}

impl PriceSearch<'_> {
    /// The highest price at which the best mix with a board is cheaper than the best mix without it, as far as `budget` tells.
    ///
    /// A plan that takes `n` of the board and costs `r` besides is cheaper than `v` up to the price `ceil((v - r) / n) - 1`.
    /// From the price 0 on, each price tried is the first that the last plan does not bear; the plan found there, if it
    /// is cheaper than `v`, bears a higher one, and if there is none the last price was the highest.
    /// Where a trial ends undecided, what does not pay is sought half way to the lowest price of which it is known.
    ///
    /// # Source
    /// The method of Newton for fractional objectives (W. Dinkelbach, Management Science 13(7), 1967), in whole numbers.
    pub(super) fn run(&self, board_idx: usize, price: Money, budget: Share) -> NotBought {
        // It pays below `low`, and from `high` on it does not: nothing is cheaper at the board's own price than the proved
        // best mix.
        let (mut low, mut high) = (0, price.minor());
        let mut undecided = None;
        let mut left = budget.work();
        for _ in 0..MOST_PRICES {
            let next = match undecided {
                None => low,
                Some(tried) => tried + (high - tried) / 2,
            };
            if low >= high || undecided == Some(next) || left < LEAST_TRIAL {
                break;
            }
            if (self.control.stop)() {
                break;
            }
            let share = Share::steps((left / TRIAL_PART).max(LEAST_TRIAL));
            let (trial, work) = self.trial(board_idx, next, share.min(Share::SHORT));
            left = left.saturating_sub(work);
            match trial {
                Trial::None => high = next,
                Trial::Pays(bears) => (low, undecided) = (bears + 1, None),
                Trial::Open => undecided = Some(next),
            }
        }
        let below = |price: i64| (price > 0).then(|| Money::from_minor(price - 1));
        NotBought {
            board_idx,
            price,
            pays_at: below(low),
            at_most: below(high.max(low)),
        }
    }

    fn trial(&self, board_idx: usize, price: i64, share: Share) -> (Trial, u64) {
        let value = self.best.plan.value;
        let with_price = Price::Each(Money::from_minor(price));
        let tried: Job = self.best.job.with_price(board_idx, with_price);
        let (outcome, work) = self
            .planner
            .try_out(&tried, value, self.near, share, self.control);
        let Some(outcome) = outcome else {
            let is_proved = Planner::knows_all_ways(&tried);
            return (if is_proved { Trial::None } else { Trial::Open }, work);
        };
        let taken = outcome.taken.get(&board_idx).copied().map_or(0, i64::from);
        if !outcome.is_whole || outcome.value >= value || taken == 0 {
            return (Trial::Open, work);
        }
        let rest = outcome.value - price * taken;
        // The last price at which this plan is cheaper than the best mix: at least the one that was tried.
        (Trial::Pays((value - rest + taken - 1) / taken - 1), work)
    }
}
