//! Tables to type into.

use serde_json::json;

use crate::desk::{Desk, RowSizes, Spot, Table, TableColumn};
use crate::load::schema::{
    BOARDS, BOUGHT, Column, FRAMES, HARDWARE, Kind, MOULDINGS, Need, PIECES, RACK, SHEET_RACK,
    SHEET_STOCK, SHEETS, SPACERS, TALLY, WAYS,
};
use crate::paper::svg::figure::Figure;

use super::{AtDesk, Told, deed, in_words, plain};

/// A table.
pub(super) struct ShownTable {
    pub(super) id: String,
    /// What it is called, where a part has several.
    pub(super) name: &'static str,
    pub(super) file: String,
    pub(super) columns: Vec<Head>,
    pub(super) has_sizes: bool,
    pub(super) n_columns: usize,
    pub(super) rows: Vec<ShownRow>,
    /// What is wrong with its headings.
    pub(super) faults: Vec<Told>,
    /// Whether it has nothing and is not looked at.
    pub(super) is_closed: bool,
    pub(super) now: Option<Now>,
    pub(super) paste: String,
}

pub(super) struct Head {
    pub(super) name: String,
    pub(super) meaning: String,
    pub(super) is_figure: bool,
}

pub(super) struct ShownRow {
    pub(super) id: String,
    pub(super) address: String,
    pub(super) number: usize,
    pub(super) is_now: bool,
    pub(super) is_new: bool,
    pub(super) name: String,
    /// In one line, for a narrow screen.
    pub(super) line: String,
    pub(super) cells: Vec<Field>,
    /// Its outside, as HTML.
    pub(super) outside: String,
    pub(super) faults: Vec<Told>,
}

/// A field to type into.
pub(super) struct Field {
    pub(super) id: String,
    pub(super) deed: String,
    pub(super) text: String,
    pub(super) head: String,
    /// Its name for who does not see the table.
    pub(super) label: String,
    pub(super) is_figure: bool,
    /// What may be chosen; empty of a text.
    pub(super) choices: Vec<Choice>,
    /// The list of names to choose from; empty where there is none.
    pub(super) list: &'static str,
    /// The faults that belong to it, by their ids.
    pub(super) faults: String,
    pub(super) hint: String,
    pub(super) meaning: String,
    /// How wide it is, as a class.
    pub(super) width: &'static str,
}

pub(super) struct Choice {
    pub(super) word: String,
    pub(super) is_chosen: bool,
}

/// What can be done with the row that is looked at.
pub(super) struct Now {
    pub(super) name: String,
    pub(super) up: Option<Move>,
    pub(super) down: Option<Move>,
    pub(super) out: String,
    /// What can be said of it besides.
    pub(super) more: Vec<Field>,
}

pub(super) struct Move {
    pub(super) deed: String,
    /// Where the row is looked at then.
    pub(super) then: String,
}

/// Names to choose from.
pub(super) struct Names {
    pub(super) lists: Vec<(&'static str, Vec<String>)>,
}

impl Names {
    /// The names that a desk has.
    pub(super) fn of(desk: &Desk) -> Names {
        let texts = |schemas: &[&str], column: &str, is_it: &dyn Fn(&Table, usize) -> bool| {
            let mut names: Vec<String> = Vec::new();
            for table in &desk.tables {
                let (true, Some(column)) =
                    (schemas.contains(&table.schema.name), table.column(column))
                else {
                    continue;
                };
                for (row, cells) in table.rows.iter().enumerate() {
                    if let Some(text) = cells.get(column).filter(|text| !text.is_empty())
                        && is_it(table, row)
                        && !names.contains(text)
                    {
                        names.push(text.clone());
                    }
                }
            }
            names
        };
        let any = |_: &Table, _: usize| true;
        let used = |word: &'static str| {
            move |table: &Table, row: usize| {
                let text = table
                    .column("use")
                    .and_then(|column| table.rows[row].get(column));
                // Plywood is a backing.
                let is_plywood =
                    |text: &str| word == "backing" && text.eq_ignore_ascii_case("plywood");
                text.is_some_and(|text| text.eq_ignore_ascii_case(word) || is_plywood(text))
            }
        };
        let boards = [BOARDS.name, TALLY.name, RACK.name];
        let woods = [BOARDS.name, TALLY.name, RACK.name, MOULDINGS.name];
        Names {
            lists: vec![
                ("names-moulding", texts(&[MOULDINGS.name], "name", &any)),
                ("names-spacer", texts(&[SPACERS.name], "name", &any)),
                ("names-mat", texts(&[SHEETS.name], "name", &used("mat"))),
                (
                    "names-glazing",
                    texts(&[SHEETS.name], "name", &used("glazing")),
                ),
                (
                    "names-backing",
                    texts(&[SHEETS.name], "name", &used("backing")),
                ),
                ("names-sheet", texts(&[SHEETS.name], "name", &any)),
                ("names-board", texts(&boards, "board", &any)),
                ("names-material", texts(&woods, "material", &any)),
            ],
        }
    }
}

/// The list of names that a column is filled from.
fn list_of(column: &str) -> &'static str {
    match column {
        "moulding" | "liner" => "names-moulding",
        "spacer" => "names-spacer",
        "mat" | "lower-mat" => "names-mat",
        "glazing" => "names-glazing",
        "backing" => "names-backing",
        "sheet" => "names-sheet",
        "board" => "names-board",
        "material" | "wood" => "names-material",
        _ => "",
    }
}

/// Columns that are shown also where they are empty, if the table has them.
fn is_usual(column: &Column) -> bool {
    const USUAL: [&str; 12] = [
        "quantity",
        "art-height",
        "moulding",
        "mat-border",
        "glazing",
        "price",
        "material",
        "thickness",
        "lip",
        "bought",
        "measured",
        "value",
    ];
    column.need != Need::Never || USUAL.contains(&column.name)
}

fn is_figure(column: Option<&'static Column>) -> bool {
    column.is_some_and(|column| {
        matches!(
            column.kind,
            Kind::Length(_)
                | Kind::Thickness
                | Kind::Count(_)
                | Kind::Price
                | Kind::Amount
                | Kind::Weight
                | Kind::Nominal
        )
    })
}

/// What may be chosen for a column, and whether it is.
fn choices(column: Option<&'static Column>, text: &str) -> Vec<Choice> {
    let words: Vec<&str> = match column.map(|column| &column.kind) {
        Some(Kind::Word(words)) => words.to_vec(),
        Some(Kind::Flag) => vec!["true", "false"],
        _ => return Vec::new(),
    };
    let mut all: Vec<String> = vec![String::new()];
    all.extend(words.into_iter().map(str::to_owned));
    // What stands there may be no such word; then a fault says so.
    if !all.iter().any(|word| word == text) {
        all.push(text.to_owned());
    }
    let choice = |word: String| Choice {
        is_chosen: word == text,
        word,
    };
    all.into_iter().map(choice).collect()
}

impl AtDesk {
    /// A table as it is shown.
    pub(super) fn shown_table(&self, table: usize) -> ShownTable {
        let of = &self.desk.tables[table];
        let shown: Vec<usize> = (0..of.columns.len())
            .filter(|column| is_shown(of, *column))
            .collect();
        let heads = shown.iter().map(|column| head(&of.columns[*column]));
        let sizes = self.desk.sizes.as_ref().map(crate::desk::Sizes::texts);
        let has_sizes = of.schema.name == FRAMES.name;
        let looked_at = self.at.filter(|(at, _)| *at == table).map(|(_, row)| row);
        let rows = (0..=of.rows.len()).map(|row| {
            let mut all = sizes.iter().flatten();
            let sized = all.find(|sized| (sized.table, sized.row) == (table, row));
            self.shown_row(table, row, &shown, sized)
        });
        ShownTable {
            id: format!("t{table}"),
            name: name_of(of),
            file: self.file_name(of.file),
            columns: heads.collect(),
            has_sizes,
            n_columns: shown.len() + 1 + usize::from(has_sizes),
            rows: rows.collect(),
            faults: self.faults_of(table, |spot| match spot {
                Spot::Headings(_) => Some(None),
                Spot::Column { column, .. } => Some(Some(column)),
                _ => None,
            }),
            is_closed: of.rows.is_empty() && looked_at.is_none() && !name_of(of).is_empty(),
            now: looked_at
                .filter(|row| *row < of.rows.len())
                .map(|row| self.now(table, row, &shown)),
            paste: deed(&json!({ "do": "paste", "table": table, "row": of.rows.len() })),
        }
    }

    /// Faults of a table for which `column` says where they stand: within a column, or beside all.
    fn faults_of(&self, table: usize, column: impl Fn(Spot) -> Option<Option<usize>>) -> Vec<Told> {
        let mut told = Vec::new();
        for (idx, fault) in self.desk.faults.iter().enumerate() {
            let (Spot::Headings(own)
            | Spot::Column { table: own, .. }
            | Spot::Row { table: own, .. }
            | Spot::Cell { table: own, .. }) = fault.spot
            else {
                continue;
            };
            let Some(column) = column(fault.spot).filter(|_| own == table) else {
                continue;
            };
            let heading =
                column.map(|column| in_words(&self.desk.tables[table].columns[column].heading));
            told.push(Told::of(
                fault,
                format!("wrong-{idx}"),
                &heading.unwrap_or_default(),
            ));
        }
        told
    }

    fn shown_row(
        &self,
        table: usize,
        row: usize,
        shown: &[usize],
        sized: Option<&RowSizes>,
    ) -> ShownRow {
        let of = &self.desk.tables[table];
        let is_new = row == of.rows.len();
        let name = match of.row_name(row) {
            Some(name) => name.to_owned(),
            None if is_new => format!("new {}", thing(of)),
            None => format!("{} {}", thing(of), row + 1),
        };
        let cells = shown.iter().map(|column| {
            let text = of.rows.get(row).and_then(|cells| cells.get(*column));
            let text = text.cloned().unwrap_or_default();
            let known = of.columns[*column].column;
            self.field(
                table,
                row,
                (&of.columns[*column], *column),
                text,
                &name,
                known,
            )
        });
        let faults = self.faults_of(table, |spot| match spot {
            Spot::Row { row: own, .. } if own == row => Some(None),
            Spot::Cell {
                row: own, column, ..
            } if own == row => Some(Some(column)),
            _ => None,
        });
        let outside = sized.map(|sized| {
            let figures = sized.outside.iter().map(|text| Figure::read(text).html());
            figures.collect::<Vec<String>>().join(" × ")
        });
        ShownRow {
            id: format!("t{table}-r{row}"),
            address: self.address(Some((table, row))),
            number: row + 1,
            is_now: self.at == Some((table, row)),
            is_new,
            line: line(of, row),
            cells: cells.collect(),
            outside: outside.unwrap_or_default(),
            faults,
            name,
        }
    }

    fn field(
        &self,
        table: usize,
        row: usize,
        (column, at): (&TableColumn, usize),
        text: String,
        name: &str,
        known: Option<&'static Column>,
    ) -> Field {
        let faults = self.desk.faults.iter().enumerate().filter(|(_, fault)| {
            fault.spot
                == Spot::Cell {
                    table,
                    row,
                    column: at,
                }
        });
        let faults: Vec<String> = faults.map(|(idx, _)| format!("wrong-{idx}")).collect();
        let head = in_words(&column.heading);
        Field {
            id: format!("t{table}-r{row}-c{at}"),
            deed: deed(&json!({ "do": "cell", "table": table, "row": row, "column": at })),
            label: format!("{name}: {head}"),
            head,
            is_figure: is_figure(known),
            choices: choices(known, &text),
            list: known.map_or("", |known| list_of(known.name)),
            faults: faults.join(" "),
            hint: String::new(),
            meaning: known.map_or_else(String::new, |known| plain(known.meaning)),
            width: width(known),
            text,
        }
    }

    /// What can be done with a row.
    fn now(&self, table: usize, row: usize, shown: &[usize]) -> Now {
        let of = &self.desk.tables[table];
        let moved = |to: usize| Move {
            deed: deed(&json!({ "do": "move-row", "table": table, "row": row, "to": to })),
            then: self.address(Some((table, to))),
        };
        let name = of
            .row_name(row)
            .map_or_else(|| format!("{} {}", thing(of), row + 1), str::to_owned);
        let is_there = |column: &&'static Column| {
            let at = of.column(column.name);
            at.is_some_and(|at| shown.contains(&at))
        };
        let more = of.schema.columns.iter().filter(|column| !is_there(column));
        let more = more.map(|column| {
            let at = of.column(column.name);
            let text = at
                .and_then(|at| of.rows[row].get(at))
                .cloned()
                .unwrap_or_default();
            Field {
                id: format!("t{table}-r{row}-{}", column.name),
                deed: deed(
                    &json!({ "do": "cell", "table": table, "row": row, "column": column.name }),
                ),
                head: in_words(column.name),
                label: String::new(),
                is_figure: is_figure(Some(column)),
                choices: choices(Some(column), &text),
                list: list_of(column.name),
                faults: String::new(),
                hint: self.hint_of(column),
                meaning: plain(column.meaning),
                width: "",
                text,
            }
        });
        Now {
            up: row.checked_sub(1).map(moved),
            down: (row + 1 < of.rows.len()).then(|| moved(row + 1)),
            out: deed(&json!({ "do": "remove-row", "table": table, "row": row })),
            more: more.collect(),
            name,
        }
    }
}

fn is_shown(table: &Table, column: usize) -> bool {
    let known = table.columns[column].column;
    let is_used = table
        .rows
        .iter()
        .any(|row| row.get(column).is_some_and(|text| !text.is_empty()));
    is_used || known.is_none_or(is_usual)
}

fn head(column: &TableColumn) -> Head {
    Head {
        name: in_words(&column.heading),
        meaning: column
            .column
            .map_or_else(String::new, |known| plain(known.meaning)),
        is_figure: is_figure(column.column),
    }
}

/// How wide a field of a table is.
fn width(known: Option<&'static Column>) -> &'static str {
    match known.map(|known| &known.kind) {
        Some(Kind::Count(_)) => "narrow",
        Some(
            Kind::Length(_)
            | Kind::Thickness
            | Kind::Price
            | Kind::Amount
            | Kind::Weight
            | Kind::Nominal,
        ) => "middling",
        Some(Kind::Name) if known.is_some_and(|known| known.need != Need::Never) => "wider",
        Some(Kind::Defects | Kind::Boards | Kind::Names) => "wider",
        _ => "roomy",
    }
}

/// What a row of a table is.
fn thing(table: &Table) -> &'static str {
    let name = table.schema.name;
    match name {
        _ if name == FRAMES.name => "picture",
        _ if name == MOULDINGS.name => "moulding",
        _ if [SHEETS.name, SHEET_STOCK.name, SHEET_RACK.name].contains(&name) => "sheet",
        _ if name == SPACERS.name => "spacer",
        _ if name == HARDWARE.name => "kind of hardware",
        _ if name == PIECES.name => "piece",
        _ if name == WAYS.name => "way of buying",
        _ => "board",
    }
}

/// What a table is called among those of its part; empty of one that is the part.
fn name_of(table: &Table) -> &'static str {
    let name = table.schema.name;
    match name {
        _ if name == SHEETS.name => "Glass, mats, backs",
        _ if name == SPACERS.name => "Spacers",
        _ if name == HARDWARE.name => "Hardware",
        _ if name == BOARDS.name => "On sale",
        _ if name == TALLY.name => "Measured at the yard, board by board",
        _ if name == BOUGHT.name => "What was bought",
        _ if name == WAYS.name => "Ways of buying of your own",
        _ if name == SHEET_STOCK.name => "Sizes on sale",
        _ if name == SHEET_RACK.name => "Sheets and pieces of them",
        _ => "",
    }
}

/// A row in one line, beside its name: how many, and what tells it from others.
fn line(table: &Table, row: usize) -> String {
    let cell = |name: &str| {
        let text = table.rows.get(row)?.get(table.column(name)?)?;
        (!text.is_empty()).then(|| text.clone())
    };
    let size = match (cell("art-width"), cell("art-height")) {
        (Some(width), Some(height)) => Some(format!("{width} × {height}")),
        (width, _) => width,
    };
    let facts = [
        cell("quantity").map(|quantity| format!("{quantity} ×")),
        size,
        cell("length"),
        cell("face-width"),
        cell("use"),
        cell("moulding"),
        cell("material"),
        cell("price"),
    ];
    let facts: Vec<String> = facts.into_iter().flatten().collect();
    facts.join(", ")
}
