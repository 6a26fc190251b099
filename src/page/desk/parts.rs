//! The parts of a desk, each a row of tables or forms that belong together.

use crate::desk::{Desk, Spot, Table};
use crate::diag::Severity;
use crate::load::schema::{
    BOARDS, BOUGHT, FRAMES, HARDWARE, MOULDINGS, PIECES, RACK, SHEET_RACK, SHEET_STOCK, SHEETS,
    SPACERS, Schema, TALLY, WAYS,
};

/// A part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    Pictures,
    Mouldings,
    Boards,
    Rack,
    Sheets,
    Pieces,
    Settings,
    Files,
}

impl Part {
    /// All of them, in the order in which a framer thinks of them.
    const ALL: [Part; 8] = [
        Part::Pictures,
        Part::Mouldings,
        Part::Boards,
        Part::Rack,
        Part::Sheets,
        Part::Pieces,
        Part::Settings,
        Part::Files,
    ];

    /// As it stands in an address.
    pub(super) fn key(self) -> &'static str {
        match self {
            Part::Pictures => "pictures",
            Part::Mouldings => "mouldings",
            Part::Boards => "boards",
            Part::Rack => "rack",
            Part::Sheets => "sheets",
            Part::Pieces => "pieces",
            Part::Settings => "settings",
            Part::Files => "files",
        }
    }

    /// The part of an address; the first where it names none.
    pub(super) fn of_key(key: &str) -> Part {
        let mut parts = Part::ALL.into_iter();
        parts
            .find(|part| part.key() == key)
            .unwrap_or(Part::Pictures)
    }

    /// What it is called.
    pub(super) fn name(self) -> &'static str {
        match self {
            Part::Pictures => "Pictures",
            Part::Mouldings => "Mouldings",
            Part::Boards => "Boards",
            Part::Rack => "Rack",
            Part::Sheets => "Glass, mats, hardware",
            Part::Pieces => "Loose pieces",
            Part::Settings => "Saw and shop",
            Part::Files => "Files",
        }
    }

    /// The tables that it has.
    fn schemas(self) -> Vec<&'static Schema> {
        match self {
            Part::Pictures => vec![&FRAMES],
            Part::Mouldings => vec![&MOULDINGS],
            Part::Boards => vec![&BOARDS, &TALLY, &BOUGHT, &WAYS],
            Part::Rack => vec![&RACK, &SHEET_RACK],
            Part::Sheets => vec![&SHEETS, &SHEET_STOCK, &SPACERS, &HARDWARE],
            Part::Pieces => vec![&PIECES],
            Part::Settings | Part::Files => Vec::new(),
        }
    }

    /// Whether it has a table.
    pub(super) fn has(self, table: &Table) -> bool {
        let mut schemas = self.schemas().into_iter();
        schemas.any(|schema| schema.name == table.schema.name)
    }

    /// How much there is in it, in words.
    pub(super) fn about(self, desk: &Desk) -> String {
        let n_rows = self.n_rows(desk);
        match self {
            Part::Settings | Part::Files => String::new(),
            Part::Pictures => {
                let sizes = desk.sizes.as_ref();
                let frames = sizes.map(|sizes| {
                    let quantities = sizes
                        .job
                        .frames
                        .iter()
                        .map(|frame| u64::from(frame.quantity));
                    quantities.sum::<u64>()
                });
                match frames {
                    Some(frames) => format!("{n_rows} lines, {frames} frames"),
                    None => format!("{n_rows} lines"),
                }
            }
            _ => format!("{n_rows} lines"),
        }
    }

    fn n_rows(self, desk: &Desk) -> usize {
        let tables = desk.tables.iter().filter(|table| self.has(table));
        tables.map(|table| table.rows.len()).sum()
    }

    /// The part in which a fault is seen beside its field.
    fn of_spot(desk: &Desk, spot: Spot) -> Option<Part> {
        match spot {
            Spot::Apart | Spot::File(_) => None,
            Spot::Form(_) | Spot::Setting { .. } => Some(Part::Settings),
            Spot::Headings(table)
            | Spot::Column { table, .. }
            | Spot::Row { table, .. }
            | Spot::Cell { table, .. } => {
                let mut parts = Part::ALL.into_iter();
                parts.find(|part| part.has(&desk.tables[table]))
            }
        }
    }
}

/// The way to a part.
pub(super) struct PartLink {
    pub(super) address: String,
    pub(super) name: &'static str,
    /// How many rows it has; empty of settings.
    pub(super) count: String,
    /// How much is wrong in it; empty where nothing is.
    pub(super) wrong: String,
    pub(super) is_here: bool,
}

impl PartLink {
    /// The ways to all parts.
    pub(super) fn all(desk: &Desk, here: Part) -> Vec<PartLink> {
        let link = |part: Part| {
            let n_rows = part.n_rows(desk);
            let faults = desk.faults.iter().filter(|fault| {
                fault.diagnostic.severity == Severity::Error
                    && Part::of_spot(desk, fault.spot) == Some(part)
            });
            PartLink {
                address: format!("/desk?part={}", part.key()),
                name: part.name(),
                count: if n_rows > 0 {
                    n_rows.to_string()
                } else {
                    String::new()
                },
                wrong: match faults.count() {
                    0 => String::new(),
                    n => format!("{n} wrong"),
                },
                is_here: part == here,
            }
        };
        Part::ALL.into_iter().map(link).collect()
    }
}
