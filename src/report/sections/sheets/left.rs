//! What a plan leaves: sheets on the rack and why, and the rack afterwards.

use std::collections::BTreeMap;

use crate::job::Job;
use crate::plan::sheets::{Among, SheetPiece};
use crate::report::document::{Kind, Line, Table, Text, Tone, exact, name, say};
use crate::report::naming::{MOST_NAMED, name_times};
use crate::tally::{LeftOf, MaterialTally, UnusedSheet, WhySheetUnused};

use super::{names_together, numbers, size};

/// What of the rack is left while sheets are bought, or pieces are missing, and why: a line for each reason.
pub(super) fn unused(tally: &MaterialTally<'_>) -> Vec<Line> {
    let mut by_reason: BTreeMap<WhySheetUnused, Vec<&UnusedSheet>> = BTreeMap::new();
    for unused in &tally.unused {
        by_reason.entry(unused.why).or_default().push(unused);
    }
    let lines = by_reason.into_iter().map(|(why, sheets)| {
        let names = sheets.iter().map(|unused| {
            let label = tally.stock(unused.stock_idx).label.as_deref();
            name_times(label.unwrap_or_default(), unused.count)
        });
        let names = Text::first_of(names.collect(), MOST_NAMED);
        let stages = match why {
            WhySheetUnused::SavesNothing(Among::TwoStages) => " in two stages of cuts",
            WhySheetUnused::SavesNothing(Among::ThreeStages) => " in three stages of cuts",
            _ => "",
        };
        let reason = match why {
            WhySheetUnused::FitsNothing => "no piece can be cut from it".into(),
            WhySheetUnused::SavesNothing(_) => {
                say!("pieces fit on it, but no plan{} is better with it", stages)
            }
            WhySheetUnused::NoUseFound => {
                "pieces fit on it, but the search found nothing better with it".into()
            }
        };
        let text = say!("Left on the rack: {}: {}.", names, reason);
        Line::new(Tone::Plain, text)
    });
    lines.collect()
}

/// What lies on the rack afterwards; nothing where nothing does.
pub(super) fn rack(job: &Job, tally: &MaterialTally<'_>) -> Option<Table> {
    if tally.rack_after.is_empty() {
        return None;
    }
    let mut table = Table::new()
        .column("pieces", Kind::Number, Tone::Good)
        .column("label", Kind::Name, Tone::Plain)
        .column("size", Kind::Words, Tone::Plain)
        .column("left of", Kind::Prose, Tone::Faint);
    for line in &tally.rack_after {
        let of_it = tally
            .left
            .iter()
            .filter(|piece| (piece.whole(), piece.trim) == ((line.width, line.height), line.trim));
        let mut sheets: Vec<usize> = Vec::new();
        let mut windows: Vec<SheetPiece> = Vec::new();
        for piece in of_it {
            match piece.of {
                LeftOf::Sheet { sheet, .. } => sheets.push(sheet),
                LeftOf::Window(mat) => windows.push(mat),
            }
        }
        sheets.sort_unstable();
        windows.sort_unstable();
        let was_there = tally
            .material
            .stock
            .iter()
            .any(|stock| stock.label.as_ref() == Some(&line.label));
        let mut of = Vec::new();
        if was_there {
            of.push("was there".into());
        } else {
            if !sheets.is_empty() {
                let plural = if sheets.len() > 1 { "s" } else { "" };
                of.push(say!("sheet{} {}", plural, numbers(sheets.into_iter())));
            }
            if !windows.is_empty() {
                of.push(say!("the window of {}", names_together(job, &windows)));
            }
        }
        table.row(vec![
            line.quantity.into(),
            name(&line.label),
            size(line.width, line.height),
            Text::join(of, "; "),
        ]);
    }
    table.note(
        Tone::Faint,
        say!(
            "what is at least {} wide and high; an edge that was not cut is as it was, and comes off when the piece is used",
            exact(tally.material.cutting.least_piece)
        ),
    );
    Some(table)
}
