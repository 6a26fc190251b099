//! A quote as one JSON object: for the customer without costs, for the shop with all of them.

use serde::Serialize;

use crate::compare::Forced;
use crate::job::{CostKind, Job};
use crate::money::Money;
use crate::planfile::{Settings, json_text};
use crate::quote::{JobCosts, Priced, Quote};
use crate::report::lacks::LackNamed;
use crate::report::way_words::{line_kind, line_name};

/// What a customer is asked for, and for what nothing is asked yet.
///
/// # Panics
/// If anything is not of `job`.
pub fn quote_json(job: &Job, costs: &JobCosts, quote: &Quote) -> String {
    json_text(&CustomerObject {
        title: &job.title,
        settings: Settings::of(job),
        lines: quote.lines.iter().map(|line| asked(job, line)).collect(),
        totals: totals(job, quote),
        is_final: costs.lacks.is_empty(),
        nothing_asked_for: costs
            .lacks
            .iter()
            .map(|lack| LackNamed::new(job, lack))
            .collect(),
    })
}

/// The same with what it costs the shop.
///
/// # Panics
/// If anything is not of `job`.
pub fn quote_costs_json(job: &Job, costs: &JobCosts, quote: &Quote, forced: &[Forced]) -> String {
    let wood = costs.wood.as_ref();
    json_text(&ShopObject {
        title: &job.title,
        settings: Settings::of(job),
        lines: quote
            .lines
            .iter()
            .map(|line| CostedObject {
                asked: asked(job, line),
                costs: costs_of(|kind| line.of.costs.of(kind)),
                cost_minor: line.of.costs.sum().minor(),
                marked_up_minor: line.marked_up.minor(),
                least_each_minor: line.least_each.map(Money::minor),
                net_minor: line.net.minor(),
                margin_minor: line.margin().minor(),
                one_fewer: forced
                    .iter()
                    .find(|forced| forced.line == line.of.line)
                    .map(|forced| FewerObject {
                        saves_minor: forced.money.minor(),
                        saves_at_most_minor: forced.at_most.map(Money::minor),
                        proved: forced.is_proved,
                    }),
            })
            .collect(),
        totals: totals(job, quote),
        costs: costs_of(|kind| quote.lines.iter().map(|line| line.of.costs.of(kind)).sum()),
        cost_minor: quote.cost.minor(),
        margin_minor: quote.margin().minor(),
        boards_minor: wood.map(|wood| wood.boards.minor()),
        kept_minor: wood.map(|wood| wood.kept.minor()),
        is_final: costs.lacks.is_empty(),
        without_cost: costs
            .lacks
            .iter()
            .map(|lack| LackNamed::new(job, lack))
            .collect(),
    })
}

#[derive(Serialize)]
struct CustomerObject<'a> {
    title: &'a str,
    settings: Settings,
    lines: Vec<AskedObject<'a>>,
    totals: TotalsObject,
    /// Whether something is asked for all of it; else the prices may still rise.
    is_final: bool,
    /// What is in no price.
    nothing_asked_for: Vec<LackNamed<'a>>,
}

#[derive(Serialize)]
struct ShopObject<'a> {
    title: &'a str,
    settings: Settings,
    lines: Vec<CostedObject<'a>>,
    totals: TotalsObject,
    costs: CostsObject,
    cost_minor: i64,
    margin_minor: i64,
    /// What the boards cost: the wood of all lines and what is kept.
    boards_minor: Option<i64>,
    /// What offcuts that are kept are worth of it.
    kept_minor: Option<i64>,
    /// Whether there is a cost of all of it.
    is_final: bool,
    /// What is in no cost.
    without_cost: Vec<LackNamed<'a>>,
}

#[derive(Serialize)]
struct AskedObject<'a> {
    kind: &'static str,
    name: &'a str,
    quantity: u32,
    each_minor: i64,
    price_minor: i64,
}

#[derive(Serialize)]
struct CostedObject<'a> {
    #[serde(flatten)]
    asked: AskedObject<'a>,
    costs: CostsObject,
    cost_minor: i64,
    marked_up_minor: i64,
    /// `null` where all is taken off again.
    least_each_minor: Option<i64>,
    net_minor: i64,
    margin_minor: i64,
    /// `null` where it is not known.
    one_fewer: Option<FewerObject>,
}

#[derive(Serialize)]
struct FewerObject {
    /// By the plan that was found.
    saves_minor: i64,
    /// By proof; `null` where nothing is proved.
    saves_at_most_minor: Option<i64>,
    proved: bool,
}

#[derive(Serialize)]
#[expect(
    clippy::struct_field_names,
    reason = "a reader of the file sees that amounts are minor units"
)]
struct CostsObject {
    wood_minor: i64,
    mats_minor: i64,
    glazing_minor: i64,
    backing_minor: i64,
    hardware_minor: i64,
    labor_minor: i64,
    waste_minor: i64,
    overhead_minor: i64,
}

#[derive(Serialize)]
struct TotalsObject {
    sum_minor: i64,
    discount_minor: Option<i64>,
    net_minor: i64,
    tax_name: Option<String>,
    tax_minor: Option<i64>,
    to_pay_minor: i64,
    deposit_minor: Option<i64>,
    balance_minor: Option<i64>,
}

fn asked<'a>(job: &'a Job, line: &Priced) -> AskedObject<'a> {
    let (name, quantity) = line_name(job, line.of.line);
    AskedObject {
        kind: line_kind(line.of.line),
        name,
        quantity,
        each_minor: line.each.minor(),
        price_minor: line.price.minor(),
    }
}

fn costs_of(of: impl Fn(CostKind) -> Money) -> CostsObject {
    let minor = |kind| of(kind).minor();
    CostsObject {
        wood_minor: minor(CostKind::Wood),
        mats_minor: minor(CostKind::Mats),
        glazing_minor: minor(CostKind::Glazing),
        backing_minor: minor(CostKind::Backing),
        hardware_minor: minor(CostKind::Hardware),
        labor_minor: minor(CostKind::Labor),
        waste_minor: minor(CostKind::Waste),
        overhead_minor: minor(CostKind::Overhead),
    }
}

fn totals(job: &Job, quote: &Quote) -> TotalsObject {
    let minor = |money: Option<Money>| money.map(Money::minor);
    TotalsObject {
        sum_minor: quote.sum.minor(),
        discount_minor: minor(quote.discount),
        net_minor: quote.net.minor(),
        tax_name: job.prices.tax.as_ref().map(|tax| tax.name.clone()),
        tax_minor: minor(quote.tax),
        to_pay_minor: quote.to_pay.minor(),
        deposit_minor: minor(quote.deposit),
        balance_minor: minor(quote.balance()),
    }
}
