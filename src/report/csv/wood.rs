//! The wood balance as a table.

use crate::job::Job;
use crate::length::Length;
use crate::tally::{Balance, CountedBy};

use super::rows::{Cell, Rows, length};

/// A row for each material, or one without a material for all wood: where its wood comes from, and what becomes of it, by length, or by face where a board of it is
/// ripped. The first three sizes are the sum of all the others.
///
/// # Panics
/// Never: a job's boards end to end are no longer than a length may be.
pub fn wood_balance_csv(job: &Job, balances: &[Balance]) -> String {
    let sizes = [
        "rack-before",
        "bought",
        "resawn",
        "parts",
        "spoiled",
        "rack-after",
        "end-trims",
        "kerfs",
        "scrap",
        "ripped",
    ];
    let by_length = sizes.iter().map(|size| format!("{size}@"));
    let by_face = sizes.iter().map(|size| format!("{size}-nm2"));
    let heads = ["material".to_owned(), "counted-by".to_owned()];
    let heads: Vec<String> = heads.into_iter().chain(by_length).chain(by_face).collect();
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    let mut rows = Rows::new(&job.display, &heads);
    for balance in balances {
        let sizes = [
            balance.before,
            balance.bought,
            balance.resawn,
            balance.parts,
            balance.spoiled,
            balance.after,
            balance.trims,
            balance.kerfs,
            balance.scrap,
            balance.ripped,
        ];
        let is_length = balance.counted_by == CountedBy::Length;
        let by_length = sizes.map(|nm| {
            let nm = i64::try_from(nm).ok().filter(|_| is_length);
            length(nm.map(Length::from_nm))
        });
        let by_face = sizes.map(|nm2| {
            let text = if is_length {
                String::new()
            } else {
                nm2.to_string()
            };
            Cell::from(text)
        });
        let words = [
            balance.material.clone().unwrap_or_default(),
            if is_length { "length" } else { "face" }.to_owned(),
        ];
        let cells = words.into_iter().map(Cell::from);
        rows.row(cells.chain(by_length).chain(by_face).collect());
    }
    rows.into_text()
}
