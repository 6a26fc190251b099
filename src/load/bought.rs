//! What was really bought: the list to buy by, filled in.

use std::collections::{BTreeMap, BTreeSet};

use super::boards::read_line;
use super::fields::{Fields, Found, Reported, Scope};
use super::record::Origin;
use super::tables::{Kept, Table};
use super::words::{FROM, Lies};
use crate::diag::{Diagnostic, Diagnostics, code};
use crate::length::{Unit, exact_text};
use crate::stock::{Board, BoardMeasure, InHand};

/// What was bought; nothing where the job has no such table.
#[derive(Default)]
pub(super) struct Bought<'a> {
    /// The name on the list that each was bought by.
    pub(super) labels: Vec<String>,
    /// The boards, in hand, each under a name of its own.
    pub(super) boards: Vec<Board>,
    /// Where each stands.
    pub(super) origins: Vec<Origin<'a>>,
}

/// Reads all that was bought.
///
/// `taken` are names that other boards in hand have.
pub(super) fn read_bought<'a>(
    tables: &'a [Table<'a>],
    measure: BoardMeasure,
    scope: &Scope,
    taken: &[&str],
    whole_file: &Origin<'_>,
    faults: &mut Diagnostics,
) -> Found<Bought<'a>> {
    if tables.is_empty() {
        return Ok(Bought::default());
    }
    let rows: Kept<'a, Option<Board>> = Table::read(tables, faults, |record, faults| {
        read_row(Fields::new(record, scope, faults), measure)
    });
    if !rows.is_sound {
        return Err(Reported);
    }
    let bought = rows.items.into_iter().zip(&rows.origins);
    let bought: Vec<(Board, &Origin<'a>)> = bought
        .filter_map(|(board, origin)| Some((board?, origin)))
        .collect();
    if bought.is_empty() {
        let what = "nothing is bought: no row of `bought` says how many boards were";
        let hint = "fill in its column `bought`, or leave the table out until then";
        faults.push(
            Diagnostic::error(code::NOTHING_BOUGHT, whole_file.place(), what)
                .with_hint(hint.to_owned()),
        );
        return Err(Reported);
    }
    let (boards, origins) = bought
        .into_iter()
        .map(|(board, origin)| (board, origin.clone()))
        .unzip();
    let (labels, boards) = name_apart(boards, taken, scope.unit);
    Ok(Bought {
        labels,
        boards,
        origins,
    })
}

/// One row; `None` where it says that nothing was bought, or lies on the rack.
fn read_row(mut fields: Fields<'_, '_>, measure: BoardMeasure) -> Found<Option<Board>> {
    // What the list told for the yard is looked at, so that nothing stands there unread, and not used.
    let told = [
        fields.optional_count("take").map(|_| ()),
        fields.optional_length("at-least").map(|_| ()),
        fields.optional_name("all").map(|_| ()),
        fields.optional_name("currency").map(|_| ()),
        fields.optional_name("board-feet").map(|_| ()),
        fields.optional_name("surface-feet").map(|_| ()),
    ];
    let lies = fields.optional_word("from", &FROM);
    let count = fields.optional_count("bought");
    let measured = fields.optional_length("measured");
    let board = read_line(&mut fields, measured, measure);
    if let (Ok(None), Some(field)) = (&count, fields.field("measured")) {
        let what = "`measured` needs `bought`: how many boards of this length were bought";
        return Err(fields.fault(field, code::NEEDS, what, None));
    }
    told.into_iter().collect::<Found<()>>()?;
    let (lies, count, board) = (lies?, count?.unwrap_or(0), board?);
    Ok((count > 0 && lies != Some(Lies::OnRack)).then_some(Board {
        quantity: Some(count),
        in_hand: Some(InHand {
            value: None,
            paid: board.price,
            from: None,
            is_bought: true,
        }),
        ..board
    }))
}

/// The names of boards, and the boards with names of their own, by their lengths where several have one name.
fn name_apart(boards: Vec<Board>, taken: &[&str], unit: Unit) -> (Vec<String>, Vec<Board>) {
    let mut n_rows: BTreeMap<String, usize> = BTreeMap::new();
    for board in &boards {
        *n_rows.entry(board.name.clone()).or_default() += 1;
    }
    let mut names: BTreeSet<String> = taken.iter().map(|&name| name.to_owned()).collect();
    let apart = boards.into_iter().map(|board| {
        let label = board.name.clone();
        let own = match n_rows.get(&label) {
            Some(1) => label.clone(),
            _ => format!("{label}, {}", exact_text(board.length, unit)),
        };
        let numbered = (2..).map(|number: usize| format!("{own} ({number})"));
        let mut free = std::iter::once(own.clone()).chain(numbered);
        let name = free.find(|name| names.insert(name.clone()));
        let name = name.expect("there are more numbers than boards");
        (label, Board { name, ..board })
    });
    apart.unzip()
}
