//! What frames of some sizes may cost, and what would be asked for them; sizes are written as a price list is read.

use crate::job::{CostKind, Job};
use crate::length::exact_text;
use crate::money::Money;
use crate::quote::{Estimate, Estimated, Lack};
use crate::report::lacks::LackNamed;
use crate::report::sections::why_no_estimate;

use super::rows::{Cell, Rows, decimal, figures};

const KIND: &str = "estimate";

fn amount(job: &Job, money: Option<Money>) -> Cell {
    let form = job.display.tables;
    let text = money.map(|money| form.amount(&job.display.currency.format_amount(money)));
    decimal(text.unwrap_or_default())
}

fn head(job: &Job, of: &Estimated) -> Vec<Cell> {
    vec![
        KIND.into(),
        figures(exact_text(of.art.0, job.display.unit)),
        figures(exact_text(of.art.1, job.display.unit)),
        job.mouldings[of.moulding_idx].name.as_str().into(),
        if of.has_mat() { "mat" } else { "none" }.into(),
    ]
}

fn note(job: &Job, of: &Estimated) -> Cell {
    match &of.found {
        Ok(_) => "".into(),
        Err(why) => why_no_estimate(why)
            .plain(&job.display, str::to_owned)
            .into(),
    }
}

/// A row for each thing that is in no price, with what it is behind so many empty cells.
fn not_final(rows: &mut Rows, job: &Job, lacks: &[Lack], n_empty: usize) {
    for lack in lacks {
        let lack = LackNamed::new(job, lack).in_a_cell();
        let mut cells: Vec<Cell> = vec!["not-final".into()];
        cells.extend((0..n_empty).map(|_| Cell::from("")));
        cells.push(format!("nothing is asked yet for it: {lack}").into());
        rows.row(cells);
    }
}

/// For customers: one row for each frame, which `quote --prices` reads as a price list; last a row `not-final`, without a price,
/// for all that nothing is asked for yet. No costs.
///
/// # Panics
/// If `estimate` is not of `job`.
pub fn estimate_csv(job: &Job, estimate: &Estimate) -> String {
    let heads = [
        "kind", "width", "height", "moulding", "mat", "price", "currency", "note",
    ];
    let mut rows = Rows::new(&job.display, &heads);
    for of in &estimate.frames {
        let mut cells = head(job, of);
        cells.extend([
            amount(job, of.found.as_ref().ok().map(|found| found.priced.each)),
            job.display.currency.code.as_str().into(),
            note(job, of),
        ]);
        rows.row(cells);
    }
    not_final(&mut rows, job, &estimate.lacks, heads.len() - 2);
    rows.into_text()
}

/// For the shop: the same with the board that is reckoned with, all costs, the least price that covers them, and what stays of the
/// price without tax; last the rows `not-final`.
///
/// # Panics
/// If `estimate` is not of `job`.
pub fn estimated_costs_csv(job: &Job, estimate: &Estimate) -> String {
    let heads = [
        "kind", "width", "height", "moulding", "mat", "board", "wood", "mats", "glazing",
        "backing", "hardware", "labor", "waste", "overhead", "cost", "at-least", "price", "net",
        "currency", "note",
    ];
    let mut rows = Rows::new(&job.display, &heads);
    for of in &estimate.frames {
        let found = of.found.as_ref().ok();
        let priced = found.map(|found| &found.priced);
        let mut cells = head(job, of);
        cells.push(
            found
                .map_or("", |found| &job.boards[found.board_idx].name)
                .into(),
        );
        cells.extend(
            CostKind::ALL.map(|kind| amount(job, priced.map(|priced| priced.of.costs.of(kind)))),
        );
        cells.extend([
            amount(job, priced.map(|priced| priced.of.costs.sum())),
            amount(job, priced.and_then(|priced| priced.least_each)),
            amount(job, priced.map(|priced| priced.each)),
            amount(job, priced.map(|priced| priced.net)),
            job.display.currency.code.as_str().into(),
            note(job, of),
        ]);
        rows.row(cells);
    }
    not_final(&mut rows, job, &estimate.lacks, heads.len() - 2);
    rows.into_text()
}
