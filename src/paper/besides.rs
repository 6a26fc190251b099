//! What is bought besides boards, for the first page and for the pocket.

use crate::job::Job;
use crate::money::Money;
use crate::plan::sheets::MaterialPlan;
use crate::report::document::{amount, in_currency};
use crate::report::other_needs::stated_needs;

use super::words::Words;

/// Sheets and hardware, as the job says that they are sold.
pub(super) struct Besides {
    pub(super) lines: Vec<BesidesLine>,
    /// What the prices are in.
    pub(super) all_head: String,
    /// What all with a price costs.
    pub(super) to_pay: Option<String>,
    /// That and the boards.
    pub(super) in_all: Option<String>,
}

/// A thing to buy.
pub(super) struct BesidesLine {
    pub(super) tick: String,
    pub(super) what: String,
    pub(super) how_much: String,
    /// For whoever hears it.
    pub(super) says: String,
    pub(super) money: Option<String>,
}

impl Besides {
    /// `boards` is what the boards cost.
    pub(super) fn new(
        words: Words<'_>,
        job: &Job,
        boards: Option<Money>,
        materials: &[MaterialPlan],
    ) -> Besides {
        let needs = stated_needs(job, materials);
        let prices = needs.iter().filter_map(|need| need.money);
        let to_pay = prices.reduce(|sum, price| sum + price);
        let shown = |money: Money| words.html(amount(money));
        let lines = needs.into_iter().enumerate().map(|(at, need)| BesidesLine {
            tick: format!("besides {at}"),
            says: words.plain(need.what.clone()),
            what: words.html(need.what),
            how_much: words.html(need.how_much),
            money: need.money.map(shown),
        });
        Besides {
            lines: lines.collect(),
            all_head: words.html(in_currency(job, "all")),
            to_pay: to_pay.map(shown),
            in_all: to_pay
                .zip(boards)
                .map(|(other, boards)| shown(other + boards)),
        }
    }
}
