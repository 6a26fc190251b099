//! The rack: pieces in hand, what they are worth, and how much of that goes on to a piece cut from one.

use crate::length::Length;
use crate::money::Money;
use crate::stock::price::greatest_common_divisor;
use crate::stock::{Age, Board, CostFault, Date, Price, board_cost};

/// What is known of a piece on the rack beyond its size.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct InHand {
    /// What taking it costs the plan, where its owner says so; else its wood counts at what it cost.
    pub value: Option<Price>,
    /// What its wood cost.
    pub paid: Option<Price>,
    /// The profile to which it is milled already, so that it serves nothing else; `None` of plain wood.
    pub moulding: Option<String>,
    /// The board it was cut from.
    pub from: Option<String>,
    /// The job that left it.
    pub job: Option<String>,
    /// The day on which it came to the rack.
    pub since: Option<Date>,
    /// Whether it is a board that was bought for the job, rather than a piece on the rack.
    pub is_bought: bool,
}

/// The most characters of a name or a title that the rack tells where it says whence a piece comes; a file's own names may
/// have as many.
pub const LONGEST_TRACE: usize = 100;

/// As much of a job's title as the rack tells.
pub fn title_on_rack(title: &str) -> String {
    title.chars().take(LONGEST_TRACE).collect()
}

impl InHand {
    /// Whether a job of this title has left it there.
    pub fn is_left_by(&self, title: &str) -> bool {
        let own = self.job.as_ref();
        // A title that is cut off may end in a blank, which no table keeps.
        own.is_some_and(|by| by.trim_end() == title_on_rack(title).trim_end())
    }
}

/// What wood in hand that has no value of its own counts of what it cost: `part` out of `of`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Worth {
    /// The share, no more than `of`.
    pub part: u32,
    /// What it is a share of, 1 or more.
    pub of: u32,
}

impl Worth {
    /// All of it.
    pub const COST: Worth = Worth { part: 1, of: 1 };
}

/// How a shop deals with wood in hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InHandRules {
    /// What it counts where no value is stated.
    pub worth: Worth,
    /// Whether it is used before any board is bought: then it counts nothing in a plan, whatever it is worth.
    pub first: bool,
    /// Pieces shorter than this are offered for the stove.
    pub stove_below: Option<Length>,
    /// So are those that have lain on the rack for so long.
    pub stove_after: Option<Age>,
}

impl Default for InHandRules {
    /// Wood in hand counts what it cost, and is kept.
    fn default() -> InHandRules {
        InHandRules {
            worth: Worth::COST,
            first: false,
            stove_below: None,
            stove_after: None,
        }
    }
}

impl InHand {
    /// What taking `board`, of which this is the story, counts in a plan; `None` where nothing was said.
    ///
    /// # Errors
    /// [`CostFault`] where what its wood cost cannot be worked out.
    pub fn price(&self, board: &Board, rules: &InHandRules) -> Result<Option<Price>, CostFault> {
        if rules.first {
            return Ok(Some(Price::Each(Money::ZERO)));
        }
        match (self.value, rules.worth, self.paid) {
            (Some(value), ..) => Ok(Some(value)),
            (None, Worth { part: 0, .. }, _) => Ok(Some(Price::Each(Money::ZERO))),
            (None, worth, paid) if worth.part == worth.of => Ok(paid),
            (None, worth, Some(paid)) => {
                share(board, paid, u128::from(worth.part), u128::from(worth.of)).map(Some)
            }
            (None, _, None) => Ok(None),
        }
    }
}

impl Board {
    /// Whether it lies on the rack.
    pub fn is_from_rack(&self) -> bool {
        self.in_hand
            .as_ref()
            .is_some_and(|in_hand| !in_hand.is_bought)
    }

    /// Whether it is one that was bought for the job already.
    pub fn is_bought(&self) -> bool {
        self.in_hand
            .as_ref()
            .is_some_and(|in_hand| in_hand.is_bought)
    }

    /// Whether what it costs makes money the measure of a plan: a price does, but of a piece in hand only one above zero,
    /// which says no more than that it should be used up first.
    ///
    /// # Panics
    /// If the price cannot be worked out; `load` refuses such boards.
    pub fn counts_in_money(&self) -> bool {
        self.price.is_some() && (self.in_hand.is_none() || self.cost() > Money::ZERO)
    }

    /// What taking it counts where no board is counted in money: its length, but nothing for a piece in hand that is
    /// worth nothing.
    ///
    /// # Panics
    /// If the price cannot be worked out; `load` refuses such boards.
    pub fn cost_in_length(&self) -> Length {
        let is_worthless =
            self.in_hand.is_some() && self.price.is_some() && self.cost() == Money::ZERO;
        if is_worthless {
            Length::ZERO
        } else {
            self.length
        }
    }

    fn cost(&self) -> Money {
        board_cost(self)
            .expect("load refuses a price that cannot be worked out")
            .unwrap_or(Money::ZERO)
    }
}

/// The price at which a piece cut from `board` counts, where the board itself counts at `price`: so much for each length.
///
/// A price per length goes on as it is; any other becomes what the whole board comes to, for its length.
/// A piece that is narrower than the board, by `width`, or one of `n_slices` that it is resawn into, carries that share of it:
/// `money * w` for `per * b`, with `w / b` the share in lowest terms. Both stay whole, so nothing is lost, but where one of them leaves its range:
/// there the money for one `per` is rounded half up to the minor unit.
///
/// # Errors
/// [`CostFault`] where what the board comes to cannot be worked out.
///
/// # Panics
/// Never: a rounded share is no more than its whole.
pub fn share_of_price(
    board: &Board,
    price: Price,
    width: Option<Length>,
    n_slices: usize,
) -> Result<Price, CostFault> {
    let (part, all) = match (width, board.width) {
        (Some(width), Some(whole)) if width < whole => (positive(width.nm()), positive(whole.nm())),
        _ => (1, 1),
    };
    let n_slices = u128::try_from(n_slices).unwrap_or(1);
    share(board, price, part, all * n_slices)
}

/// The price at which `part` of `all` of a board counts, by its length, where all of it counts at `price`.
fn share(board: &Board, price: Price, part: u128, all: u128) -> Result<Price, CostFault> {
    let (money, per) = match price {
        Price::PerLength { money, per } => (money, per),
        Price::Each(_)
        | Price::PerBoardFoot { .. }
        | Price::PerSquareMeter(_)
        | Price::PerCubicMeter(_) => {
            let whole = Board {
                price: Some(price),
                // It is the wood that goes on, not what was paid for cutting it.
                at_yard: None,
                ..board.clone()
            };
            let cost = board_cost(&whole)?.unwrap_or(Money::ZERO);
            (cost, board.length)
        }
    };
    if money == Money::ZERO {
        return Ok(Price::Each(Money::ZERO));
    }
    if part == all {
        return Ok(Price::PerLength { money, per });
    }
    let common = greatest_common_divisor(part, all);
    let (part, all) = (part / common, all / common);
    let exact = exact_share(money, per, part, all);
    Ok(exact.unwrap_or_else(|| {
        let product = positive(money.minor()) * part;
        let rounded = (product * 2 + all) / (all * 2);
        let minor = i64::try_from(rounded).expect("a share is no more than its whole");
        Price::PerLength {
            money: Money::from_minor(minor),
            per,
        }
    }))
}

/// `money * part` for `per * all`, where both keep to what a file may state, if need be in lower terms.
fn exact_share(money: Money, per: Length, part: u128, all: u128) -> Option<Price> {
    let in_range = |minor: u128, nm: u128| {
        let money = Money::from_minor(i64::try_from(minor).ok()?);
        let per = Length::from_nm(i64::try_from(nm).ok()?);
        (money <= Money::LARGEST && per <= Length::LONGEST)
            .then_some(Price::PerLength { money, per })
    };
    let (minor, nm) = (positive(money.minor()) * part, positive(per.nm()) * all);
    in_range(minor, nm).or_else(|| {
        let common = greatest_common_divisor(minor, nm);
        in_range(minor / common, nm / common)
    })
}

fn positive(number: i64) -> u128 {
    u128::try_from(number).expect("prices and sizes are not negative")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    fn board(length: Length, width: Option<Length>) -> Board {
        Board {
            thickness: Some(Length::INCH),
            width,
            quantity: Some(1),
            ..samples::board("board", length, None)
        }
    }

    #[test]
    fn a_piece_is_left_by_the_job_of_its_whole_title() {
        let left_by = |job: &str, title: &str| {
            let own = InHand {
                job: Some(job.to_owned()),
                ..InHand::default()
            };
            own.is_left_by(title)
        };
        assert!(left_by("Harbor", "Harbor"));
        // A job whose title begins alike is another one.
        assert!(!left_by("Harbor", "Harbor in spring"));
        // Derived: 99 letters and a blank are told of it, and a table keeps no blank at the end.
        let long = format!("{} and more", "a".repeat(99));
        assert!(left_by(&"a".repeat(99), &long));
        assert_eq!(title_on_rack(&long).chars().count(), LONGEST_TRACE);
        assert!(!InHand::default().is_left_by("Harbor"));
    }

    fn each(minor: i64) -> Price {
        Price::Each(Money::from_minor(minor))
    }

    fn per(minor: i64, per: Length) -> Price {
        Price::PerLength {
            money: Money::from_minor(minor),
            per,
        }
    }

    #[test]
    fn a_piece_carries_what_its_length_cost() {
        let eight = board(Length::FOOT * 8, None);
        let per_foot = per(120, Length::FOOT);
        assert_eq!(share_of_price(&eight, per_foot, None, 1), Ok(per_foot));
        assert_eq!(
            share_of_price(&eight, each(1250), None, 1),
            Ok(per(1250, Length::FOOT * 8))
        );
        assert_eq!(share_of_price(&eight, each(0), None, 1), Ok(each(0)));
    }

    #[test]
    fn a_strip_carries_its_share_of_the_width_and_loses_nothing() {
        // Derived: a third of the width of a board of 10.00 for 6 ft is 10.00 for 18 ft; 6 ft of it come to 3.33.
        let wide = board(Length::FOOT * 6, Some(Length::INCH * 6));
        let third = share_of_price(&wide, each(1000), Some(Length::INCH * 2), 1);
        assert_eq!(third, Ok(per(1000, Length::FOOT * 18)));
        // Derived: the half of that in one of two slices, and of 10.00 for 6 ft in one of them as wide as the board.
        let sixth = share_of_price(&wide, each(1000), Some(Length::INCH * 2), 2);
        assert_eq!(sixth, Ok(per(1000, Length::FOOT * 36)));
        let slice = share_of_price(&wide, each(1000), None, 2);
        assert_eq!(slice, Ok(per(1000, Length::FOOT * 12)));
        // Derived: 1 x 6 in x 6 ft is 3 bf, at 7.00 it is 21.00.
        let feet = Price::PerBoardFoot {
            money: Money::from_minor(700),
            measure: crate::stock::BoardMeasure::Exact,
        };
        let half = share_of_price(&wide, feet, Some(Length::INCH * 3), 1);
        assert_eq!(half, Ok(per(2100, Length::FOOT * 12)));
    }

    #[test]
    fn a_share_that_no_file_may_state_is_put_in_lower_terms_first() {
        let wide = board(Length::FOOT, Some(Length::INCH * 3));
        let share = |price, inches| share_of_price(&wide, price, Some(Length::INCH * inches), 1);
        // Derived: 2 x 10^11 for 3 ft, 914 400 000 nm; both are divisible by 800 000.
        assert_eq!(
            share(per(Money::LARGEST.minor(), Length::FOOT), 2),
            Ok(per(250_000, Length::from_nm(1_143)))
        );
        // The longest length may be stated as it is, and 1 cent shares no factor with it.
        let half = Length::from_nm(Length::LONGEST.nm() / 2);
        let wide = board(Length::FOOT, Some(Length::INCH * 2));
        assert_eq!(
            share_of_price(&wide, per(1, half), Some(Length::INCH), 1),
            Ok(per(1, Length::LONGEST))
        );
    }

    #[test]
    fn a_piece_in_hand_counts_in_money_only_where_it_is_worth_some() {
        let bought = |price| Board {
            price,
            ..board(Length::FOOT, None)
        };
        let in_hand = |price| Board {
            in_hand: Some(InHand {
                value: price,
                ..InHand::default()
            }),
            ..bought(price)
        };
        let facts = |board: Board| (board.counts_in_money(), board.cost_in_length());
        assert_eq!(facts(bought(None)), (false, Length::FOOT));
        assert_eq!(facts(bought(Some(each(0)))), (true, Length::FOOT));
        assert_eq!(facts(bought(Some(each(5)))), (true, Length::FOOT));
        assert_eq!(facts(in_hand(None)), (false, Length::FOOT));
        assert_eq!(facts(in_hand(Some(each(0)))), (false, Length::ZERO));
        assert_eq!(facts(in_hand(Some(each(5)))), (true, Length::FOOT));
    }

    #[test]
    fn only_what_no_file_may_state_is_rounded() {
        // 1 nm of a width that shares no factor with it: the length would be 10 km a hundred million times over.
        let wide = board(Length::LONGEST, Some(Length::from_nm(100_000_007)));
        let price = per(999_999_937, Length::LONGEST);
        // Derived: 999 999 937 * 50 000 003 / 100 000 007 = 499 999 963.5000006..., half up
        assert_eq!(
            share_of_price(&wide, price, Some(Length::from_nm(50_000_003)), 1),
            Ok(per(499_999_964, Length::LONGEST))
        );
    }
}
