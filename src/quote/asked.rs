//! From costs to prices, by the rules of the shop.

use super::costs::SoldCosts;
use crate::job::{CostKind, PriceRules, Tax};
use crate::money::{Money, Percent, shared};

/// An amount of a quote does not fit: more than nine million million million minor units, or too near to that.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLarge;

/// The largest amount in a quote, so that sums of a few of them fit too.
const LARGEST: i128 = i64::MAX as i128 / 8;

/// An amount, if it fits.
pub(super) fn money(minor: i128) -> Result<Money, TooLarge> {
    if minor > LARGEST {
        return Err(TooLarge);
    }
    i64::try_from(minor)
        .map(Money::from_minor)
        .map_err(|_| TooLarge)
}

/// What one line costs and what is asked for it, all copies together but where something else is said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Priced {
    /// What it costs.
    pub of: SoldCosts,
    /// What markups make of the costs; without tax, before it is raised to a round price.
    pub marked_up: Money,
    /// The price of one, as the customer reads it.
    pub each: Money,
    /// Whether a price list says so, and not the rules.
    pub is_listed: bool,
    /// The price of all, which is so many times that of one.
    pub price: Money,
    /// What stays of the price without its share of discount and tax.
    pub net: Money,
    /// The least price of one, as the customer reads it, that covers what it costs; `None` where all is taken off again.
    pub least_each: Option<Money>,
}

impl Priced {
    /// Whether the price is no less than the least that covers the cost. Shares are whole, so the margin of one that does may be
    /// a minor unit less than nothing.
    pub fn covers_cost(&self) -> bool {
        match self.least_each {
            Some(least) => self.each >= least,
            None => self.of.costs.sum() == Money::ZERO,
        }
    }

    /// What stays once costs are paid; less than nothing where they are not covered.
    pub fn margin(&self) -> Money {
        self.net - self.of.costs.sum()
    }
}

/// What a job costs, and what is asked for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quote {
    /// Line by line.
    pub lines: Vec<Priced>,
    /// All prices.
    pub sum: Money,
    /// What is taken off, where the order is large enough.
    pub discount: Option<Money>,
    /// What stays without discount and tax: the sum of what stays of each line.
    pub net: Money,
    /// The tax, where there is one.
    pub tax: Option<Money>,
    /// All that is to be paid: the net and the tax.
    pub to_pay: Money,
    /// What of it is paid before the work begins.
    pub deposit: Option<Money>,
    /// What all costs come to.
    pub cost: Money,
}

impl Quote {
    /// What stays once all costs are paid.
    pub fn margin(&self) -> Money {
        self.net - self.cost
    }

    /// What is paid once the work is done, where there is a deposit.
    pub fn balance(&self) -> Option<Money> {
        self.deposit.map(|deposit| self.to_pay - deposit)
    }
}

/// Prices by the rules.
///
/// `listed`: prices of one, as a customer reads them, in the order of `sold`, which stand in place of those that the rules
/// make; the rules make those that are not there.
///
/// The rules, each amount in whole minor units: costs of each kind with their markup are rounded to the nearest, half up, and
/// added; with the tax where prices are told with it, this is divided among the copies and raised to the next minor unit,
/// and then to the next round price. The price of all is that of one times their number. The discount is rounded down; the tax
/// is rounded to the nearest, half up. What stays is shared by the lines in proportion to their prices, by largest remainder.
///
/// # Errors
/// [`TooLarge`] where an amount does not fit.
pub fn quote(
    sold: Vec<SoldCosts>,
    listed: &[Option<Money>],
    rules: &PriceRules,
) -> Result<Quote, TooLarge> {
    let n_sold: u64 = sold.iter().map(|of| u64::from(of.quantity)).sum();
    let discount = rules
        .discount
        .filter(|discount| n_sold >= u64::from(discount.from))
        .map(|discount| discount.share);
    let mut lines = Vec::with_capacity(sold.len());
    for (idx, of) in sold.into_iter().enumerate() {
        let mut marked_up = 0_i128;
        for kind in CostKind::ALL {
            let cost = i128::from(of.costs.of(kind).minor());
            marked_up += cost + rules.markup.on(kind).of(cost).ok_or(TooLarge)?;
        }
        let listed = listed.get(idx).copied().flatten();
        let each = match listed {
            Some(listed) => i128::from(listed.minor()),
            None => raised(per_one(marked_up, &of, rules)?, rules),
        };
        let price = each.checked_mul(of.quantity.into()).ok_or(TooLarge)?;
        lines.push(Priced {
            marked_up: money(marked_up)?,
            each: money(each)?,
            is_listed: listed.is_some(),
            price: money(price)?,
            net: Money::ZERO,
            least_each: least_each(&of, rules, discount)?,
            of,
        });
    }
    let sum_of = |amount: fn(&Priced) -> Money| {
        money(
            lines
                .iter()
                .map(|line| i128::from(amount(line).minor()))
                .sum(),
        )
    };
    let (sum, cost) = (
        sum_of(|line| line.price)?,
        sum_of(|line| line.of.costs.sum())?,
    );
    let off = discount.map(|share| {
        let millionths = i128::from(sum.minor()) * i128::from(share.millionths());
        money(millionths / WHOLE)
    });
    let discount = off.transpose()?;
    let told = sum - discount.unwrap_or_default();
    let (net, tax) = taxed(told, rules.tax.as_ref())?;
    let to_pay = money(i128::from(net.minor()) + i128::from(tax.unwrap_or_default().minor()))?;
    let prices: Vec<i128> = lines.iter().map(|line| line.price.minor().into()).collect();
    for (line, net) in lines.iter_mut().zip(shared(net.minor(), &prices)) {
        line.net = Money::from_minor(net);
    }
    let deposit = rules.deposit.map(|share| {
        let part = share.of(to_pay.minor().into()).ok_or(TooLarge)?;
        money(part)
    });
    Ok(Quote {
        lines,
        sum,
        discount,
        net,
        tax,
        to_pay,
        deposit: deposit.transpose()?,
        cost,
    })
}

/// Millionths in the whole.
const WHOLE: i128 = Percent::ALL.millionths() as i128;

/// An amount for all copies as the price of one: with the tax where prices are told with it, raised to the next minor unit.
fn per_one(for_all: i128, of: &SoldCosts, rules: &PriceRules) -> Result<i128, TooLarge> {
    let of_all = for_all.checked_mul(with_tax(rules)).ok_or(TooLarge)?;
    Ok(ceil(of_all, WHOLE * i128::from(of.quantity)))
}

/// What a customer is told of a price of one whole, in millionths.
fn with_tax(rules: &PriceRules) -> i128 {
    let included = rules.tax.as_ref().filter(|tax| tax.is_included);
    WHOLE + included.map_or(0, |tax| i128::from(tax.rate.millionths()))
}

/// The least price of one whose share, without discount and tax, is no less than the cost; `None` where all is taken off again.
fn least_each(
    of: &SoldCosts,
    rules: &PriceRules,
    discount: Option<Percent>,
) -> Result<Option<Money>, TooLarge> {
    let left = WHOLE - discount.map_or(0, |share| i128::from(share.millionths()));
    if left == 0 {
        return Ok(None);
    }
    let of_all = i128::from(of.costs.sum().minor()).checked_mul(with_tax(rules));
    let each = ceil(of_all.ok_or(TooLarge)?, left * i128::from(of.quantity));
    money(each).map(Some)
}

/// The next round price that is no less.
fn raised(each: i128, rules: &PriceRules) -> i128 {
    rules.rounding.map_or(each, |to| {
        let (step, ending) = (i128::from(to.step.minor()), i128::from(to.ending.minor()));
        each + (ending - each).rem_euclid(step)
    })
}

/// What stays of what a customer is told, and the tax.
fn taxed(told: Money, tax: Option<&Tax>) -> Result<(Money, Option<Money>), TooLarge> {
    let Some(tax) = tax else {
        return Ok((told, None));
    };
    let amount = i128::from(told.minor());
    if tax.is_included {
        let with_tax = WHOLE + i128::from(tax.rate.millionths());
        let net = money((2 * amount * WHOLE + with_tax).div_euclid(2 * with_tax))?;
        Ok((net, Some(told - net)))
    } else {
        let on_top = money(tax.rate.of(amount).ok_or(TooLarge)?)?;
        Ok((told, Some(on_top)))
    }
}

/// A quotient of what is not negative, rounded up.
fn ceil(part: i128, whole: i128) -> i128 {
    (part + whole - 1).div_euclid(whole)
}
