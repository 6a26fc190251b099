//! The ways of buying as a page: a bar for what each costs more than the cheapest, then all that the comparison says.

use crate::compare::{Comparison, Row};
use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::plan::Measure;
use crate::report::document::{Block, Document, count_of, money, total};
use crate::report::way_words::row_name;

use super::document::blocks;
use super::svg::bars::{WayBar, ways};
use super::words::Words;

/// A chapter each for the bars with the comparison.
pub(super) fn chapter(
    words: Words<'_>,
    job: &Job,
    comparison: &Comparison,
    document: &Document,
) -> askama::Result<String> {
    let best = comparison.best();
    let rows = comparison.rows.iter().map(|row| {
        let name = row_name(job, comparison, &row.way);
        (name, beside(words, comparison, row), row)
    });
    let rows: Vec<(String, String, &Row)> = rows.collect();
    let bars = rows.iter().map(|(name, beside, row)| WayBar {
        name,
        words: beside,
        more: comparison.difference(row),
        is_chosen: std::ptr::eq(*row, best),
    });
    let bars = ways(&bars.collect::<Vec<_>>(), "ways");
    let all = document.blocks.iter();
    let all: Vec<&Block> = all
        .filter(|block| !matches!(block, Block::Title(..)))
        .collect();
    Ok(bars + &blocks(words, &all, ("way", 3))?)
}

/// What a way costs beside the cheapest, or why it will not do.
fn beside(words: Words<'_>, comparison: &Comparison, row: &Row) -> String {
    let Some(more) = comparison.difference(row) else {
        let missing = u64::try_from(row.plan.missing.len()).unwrap_or(u64::MAX);
        return match missing {
            0 => "counts otherwise".to_owned(),
            _ => words.plain(count_of(missing, "part")) + " missing",
        };
    };
    let amount = words.plain(match comparison.measure() {
        Measure::Price => money(Money::from_minor(more.abs())),
        Measure::BoardLength => total(Length::from_nm(more.abs())),
    });
    let than = match more {
        0 => "the cheapest".to_owned(),
        1.. => format!("{amount} more"),
        _ => format!("{amount} less"),
    };
    if row.way.is_open() {
        than
    } else if more == 0 {
        "costs the same".to_owned()
    } else {
        format!("{than}, not to be had")
    }
}
