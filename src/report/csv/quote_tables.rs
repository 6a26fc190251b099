//! What is asked for a job, and what it costs.

use crate::compare::Forced;
use crate::job::{CostKind, Job};
use crate::money::Money;
use crate::quote::{JobCosts, Lack, Priced, Quote};
use crate::report::lacks::LackNamed;
use crate::report::way_words::{line_kind, line_name};

use super::rows::{Cell, Rows, decimal, number};

fn amount(job: &Job, money: Money) -> Cell {
    decimal(job.display.currency.format_amount(money))
}

/// What stands in a row below the lines.
fn total(job: &Job, called: &str, money: Option<Money>) -> Option<Vec<Cell>> {
    let money = money?;
    Some(vec![
        called.into(),
        "".into(),
        "".into(),
        "".into(),
        amount(job, money),
        job.display.currency.code.as_str().into(),
    ])
}

/// A row for each thing that is in no price: its kind, what it is, how many, and so many empty cells behind.
fn not_final(rows: &mut Rows, job: &Job, lacks: &[Lack], n_empty: usize) {
    for lack in lacks {
        let lack = LackNamed::new(job, lack);
        let mut cells: Vec<Cell> = vec![
            "not-final".into(),
            lack.in_a_cell().into(),
            lack.count.map_or_else(|| "".into(), number),
        ];
        cells.extend((0..n_empty).map(|_| Cell::from("")));
        rows.row(cells);
    }
}

/// For the customer: one row for each line, with the price of one and of all, and then what is summed up: `sum`, `discount`,
/// `net`, `tax`, `to-pay`, `deposit` and `balance`, as far as there is one; last a row `not-final` for all that nothing is asked
/// for yet. No costs.
///
/// # Panics
/// If anything is not of `job`.
pub fn quote_csv(job: &Job, costs: &JobCosts, quote: &Quote) -> String {
    let mut rows = Rows::new(
        &job.display,
        &["kind", "name", "quantity", "each", "price", "currency"],
    );
    for line in &quote.lines {
        let (name, quantity) = line_name(job, line.of.line);
        rows.row(vec![
            line_kind(line.of.line).into(),
            name.into(),
            number(quantity),
            amount(job, line.each),
            amount(job, line.price),
            job.display.currency.code.as_str().into(),
        ]);
    }
    let totals = [
        total(job, "sum", Some(quote.sum)),
        total(job, "discount", quote.discount),
        total(job, "net", Some(quote.net)),
        total(job, "tax", quote.tax),
        total(job, "to-pay", Some(quote.to_pay)),
        total(job, "deposit", quote.deposit),
        total(job, "balance", quote.balance()),
    ];
    for row in totals.into_iter().flatten() {
        rows.row(row);
    }
    not_final(&mut rows, job, &costs.lacks, 3);
    rows.into_text()
}

const fn yes_no(is_so: bool) -> &'static str {
    if is_so { "yes" } else { "no" }
}

/// For the shop: one row for each line with all costs, price and margin; the columns of amounts but `each` and `at-least` sum to
/// the totals of the job. Behind them whether the price of one is from a price list, and what the wood would cost less with one
/// fewer, as far as `forced` tells it, by the plan that was found and at most by proof, with whether that is proved best. Last a
/// row `not-final` for all that is in no cost.
///
/// # Panics
/// If anything is not of `job`.
pub fn quote_costs_csv(job: &Job, costs: &JobCosts, quote: &Quote, forced: &[Forced]) -> String {
    let lacks = &costs.lacks;
    let heads = [
        "kind",
        "name",
        "quantity",
        "wood",
        "mats",
        "glazing",
        "backing",
        "hardware",
        "labor",
        "waste",
        "overhead",
        "cost",
        "marked-up",
        "each",
        "at-least",
        "price",
        "net",
        "margin",
        "currency",
        "listed",
        "saved-by-one-fewer",
        "saved-at-most",
        "saved-is-proved",
    ];
    let mut rows = Rows::new(&job.display, &heads);
    for line in &quote.lines {
        let (name, quantity) = line_name(job, line.of.line);
        let mut cells = vec![
            line_kind(line.of.line).into(),
            name.into(),
            number(quantity),
        ];
        let costs = &line.of.costs;
        cells.extend(CostKind::ALL.map(|kind| amount(job, costs.of(kind))));
        let Priced {
            marked_up,
            each,
            price,
            net,
            least_each,
            ..
        } = *line;
        cells.extend([
            amount(job, costs.sum()),
            amount(job, marked_up),
            amount(job, each),
            least_each.map_or_else(|| decimal(""), |least| amount(job, least)),
            amount(job, price),
            amount(job, net),
            amount(job, line.margin()),
            job.display.currency.code.as_str().into(),
            yes_no(line.is_listed).into(),
        ]);
        let saved = forced.iter().find(|forced| forced.line == line.of.line);
        cells.extend([
            saved.map_or_else(|| "".into(), |saved| amount(job, saved.money)),
            saved
                .and_then(|saved| saved.at_most)
                .map_or_else(|| "".into(), |most| amount(job, most)),
            saved.map_or("", |saved| yes_no(saved.is_proved)).into(),
        ]);
        rows.row(cells);
    }
    not_final(&mut rows, job, lacks, heads.len() - 3);
    rows.into_text()
}
