//! What was really bought: the list to buy by, filled in.

use std::collections::BTreeSet;

use super::boards::read_line;
use super::fields::{Fields, Found, Reported, Scope};
use super::record::{Field, Origin};
use super::tables::{Kept, Table};
use super::words::{FROM, Lies};
use crate::diag::{Diagnostic, Diagnostics, code, quoted};
use crate::length::{Length, Unit, exact_text};
use crate::stock::{AtYard, Board, BoardMeasure, InHand, YardPlaces};

/// What the rest of the job says of what was bought.
pub(super) struct Terms<'t> {
    /// How board feet are counted.
    pub(super) measure: BoardMeasure,
    /// What the yard's saw takes; `None` where the yard does not cut, an error where what the job says of it has faults.
    pub(super) yard_kerf: Found<Option<Length>>,
    /// Names that other boards in hand have.
    pub(super) taken: &'t [&'t str],
}

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
pub(super) fn read_bought<'a>(
    tables: &'a [Table<'a>],
    terms: &Terms<'_>,
    scope: &Scope,
    whole_file: &Origin<'_>,
    faults: &mut Diagnostics,
) -> Found<Bought<'a>> {
    if tables.is_empty() {
        return Ok(Bought::default());
    }
    let rows: Kept<'a, Option<Board>> = Table::read(tables, faults, |record, faults| {
        read_row(Fields::new(record, scope, faults), terms)
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
    let (labels, boards) = name_apart(boards, terms.taken, scope.unit);
    Ok(Bought {
        labels,
        boards,
        origins,
    })
}

/// One row; `None` where it says that nothing was bought, or lies on the rack.
fn read_row(mut fields: Fields<'_, '_>, terms: &Terms<'_>) -> Found<Option<Board>> {
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
    let board = read_line(&mut fields, measured, terms.measure);
    let cut_at = read_cuts(&mut fields, terms, board.as_ref().ok());
    if let (Ok(None), Some(field)) = (&count, fields.field("measured")) {
        let what = "`measured` needs `bought`: how many boards of this length were bought";
        return Err(fields.fault(field, code::NEEDS, what, None));
    }
    told.into_iter().collect::<Found<()>>()?;
    let (lies, count, board, at_yard) = (lies?, count?.unwrap_or(0), board?, cut_at?);
    Ok((count > 0 && lies != Some(Lies::OnRack)).then_some(Board {
        quantity: Some(count),
        in_hand: Some(InHand {
            paid: board.price,
            is_bought: true,
            ..InHand::default()
        }),
        at_yard,
        ..board
    }))
}

/// Where the yard has cut the boards of a row: `48 in`, or several places, `4' ; 8'`.
fn read_cuts(
    fields: &mut Fields<'_, '_>,
    terms: &Terms<'_>,
    board: Option<&Board>,
) -> Found<Option<AtYard>> {
    let name = "cut-at";
    let Some(field) = fields.present(name)? else {
        return Ok(None);
    };
    let Some(kerf) = terms.yard_kerf? else {
        let what = format!("`{name}` needs `yard-cuts` of `[buying]`, by which the yard cuts");
        return Err(fields.fault(field, code::NEEDS, what, None));
    };
    let read: Vec<Found<Length>> = field
        .text
        .split(';')
        .map(|text| {
            let item = Field {
                text: text.trim().to_owned().into(),
                ..field.clone()
            };
            fields.length_of(name, &item)
        })
        .collect();
    let places = read.into_iter().collect::<Found<Vec<Length>>>()?;
    let Some(board) = board else {
        return Err(Reported);
    };
    let at_yard = AtYard::done(kerf, places.clone(), board.length);
    if at_yard.ways(board.length) != [places] {
        let what = format!("{} cannot be where the board was cut", quoted(&field.text));
        let hint = format!(
            "places rise, each leaves a piece, and a piece could be no longer: write a row for each piece, with its \
             length, if the board was cut otherwise ({} long)",
            exact_text(board.length, fields.scope.unit)
        );
        return Err(fields.fault(field, code::LENGTH_RANGE, what, Some(hint)));
    }
    Ok(Some(at_yard))
}

/// The names of boards, and the boards with names of their own, but for the first by their lengths where several have one name.
fn name_apart(boards: Vec<Board>, taken: &[&str], unit: Unit) -> (Vec<String>, Vec<Board>) {
    let mut labels: BTreeSet<String> = BTreeSet::new();
    let mut names: BTreeSet<String> = taken.iter().map(|&name| name.to_owned()).collect();
    let apart = boards.into_iter().map(|board| {
        let label = board.name.clone();
        // The first keeps its name, whatever is bought besides later.
        let own = if labels.insert(label.clone()) {
            label.clone()
        } else {
            match &board.at_yard {
                Some(AtYard {
                    places: YardPlaces::Listed(places),
                    ..
                }) => {
                    let places = places.iter().map(|&place| exact_text(place, unit));
                    let places: Vec<String> = places.collect();
                    format!("{label}, cut at {}", places.join(" and "))
                }
                _ => format!("{label}, {}", exact_text(board.length, unit)),
            }
        };
        let numbered = (2..).map(|number: usize| format!("{own} ({number})"));
        let mut free = std::iter::once(own.clone()).chain(numbered);
        let name = free.find(|name| names.insert(name.clone()));
        let name = name.expect("there are more numbers than boards");
        (label, Board { name, ..board })
    });
    apart.unzip()
}
