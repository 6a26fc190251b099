//! Limits on buying and the user's own ways of buying: the table `[buying]` and the list `[[ways]]`.

use std::path::Path;

use toml::de::{DeTable, DeValue};

use super::boards::read_board;
use super::fields::{Fields, Found, Names, Reported, Scope};
use super::near::nearest_or_all;
use super::price::read_amount;
use super::record::{Field, Record};
use super::schema::{Kind, WAYS};
use super::tables::{Kept, Table};
use super::toml_file::{JobFile, Rows, TomlText, trimmed};
use crate::diag::{Diagnostic, Diagnostics, code, quoted};
use crate::job::{Buying, OwnBoards, OwnWay, YardCuts, YardFault};
use crate::length::Length;
use crate::stock::{AtYard, Board, BoardMeasure, InHandRules, YardPlaces};

/// What `boards` of a way may be.
const EXPECTED: &str = "a list of names of boards, or the path of a CSV file or several";

/// One of `[[ways]]`.
pub(super) struct WayRecord<'a> {
    /// Its name.
    pub(super) record: Record<'a>,
    /// A yard's list, in files of its own; absent where boards are named.
    pub(super) list: Rows<'a>,
    /// Names of the job's boards.
    pub(super) named: Vec<Field<'a>>,
}

impl TomlText {
    /// The list `[[ways]]`.
    pub(super) fn ways<'a>(
        &'a self,
        root: &DeTable<'a>,
        faults: &mut Diagnostics,
    ) -> Vec<WayRecord<'a>> {
        let Some(value) = root.get("ways") else {
            return Vec::new();
        };
        let hint = || "write `[[ways]]` for each way of buying".to_owned();
        let DeValue::Array(items) = value.get_ref() else {
            faults.push(
                self.wrong_type("ways", value, "a list of tables")
                    .with_hint(hint()),
            );
            return Vec::new();
        };
        let mut ways = Vec::new();
        for item in items {
            let DeValue::Table(table) = item.get_ref() else {
                faults.push(
                    self.wrong_type("ways", item, "a list of tables")
                        .with_hint(hint()),
                );
                continue;
            };
            let mut way = WayRecord {
                record: self.empty_record(&WAYS),
                list: Rows::Absent,
                named: Vec::new(),
            };
            way.record.origin = self.origin(item.span());
            for (key, value) in table {
                match WAYS.column(key.get_ref()) {
                    None => faults.push(self.unknown_key(key, &WAYS)),
                    Some(column) if column.kind == Kind::Boards => {
                        self.way_boards(&mut way, value, faults);
                    }
                    Some(column) => self.add_field(&mut way.record, column, value, faults),
                }
            }
            ways.push(way);
        }
        ways
    }

    /// The boards of a way: a path, or names.
    fn way_boards<'a>(
        &'a self,
        way: &mut WayRecord<'a>,
        value: &toml::Spanned<DeValue<'a>>,
        faults: &mut Diagnostics,
    ) {
        let field = |text, value: &toml::Spanned<DeValue<'a>>| Field {
            name: "boards",
            text: trimmed(text),
            origin: self.origin(value.span()),
        };
        match value.get_ref() {
            DeValue::String(path) => way.list = Rows::Files(vec![field(path, value)]),
            DeValue::Array(names) => {
                for name in names {
                    if let DeValue::String(text) = name.get_ref() {
                        way.named.push(field(text, name));
                    } else {
                        faults.push(self.wrong_type("boards", name, EXPECTED));
                        way.record.spoiled.push("boards");
                    }
                }
                if way.named.iter().any(|name| is_path(&name.text)) {
                    way.list = Rows::Files(std::mem::take(&mut way.named));
                }
            }
            _ => {
                faults.push(self.wrong_type("boards", value, EXPECTED));
                way.record.spoiled.push("boards");
            }
        }
    }
}

/// Whether a text names a table rather than a board.
fn is_path(text: &str) -> bool {
    Path::new(text)
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("csv"))
}

/// What ways of buying refer to.
pub(super) struct Shelf<'s, 'a> {
    /// Names of the job's boards.
    pub(super) board_names: &'s Names<'a>,
    /// The job's boards.
    pub(super) boards: &'s Kept<'a, Board>,
    /// How board feet are counted.
    pub(super) measure: BoardMeasure,
}

/// Reads `[buying]` and all ways.
pub(super) fn read_buying<'a>(
    file: &JobFile<'a>,
    yards: &'a [Vec<Table<'a>>],
    shelf: &Shelf<'_, 'a>,
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Found<Buying> {
    let mut fields = Fields::new(&file.buying, scope, faults);
    let longest = fields.optional_length("longest");
    let yard_cuts = read_yard_cuts(&mut fields);
    if longest == Ok(None) {
        fields.warn_no_effect(
            "yard-cuts",
            "where no `longest` says what the vehicle takes",
        );
    }
    let mut way_names = Names::default();
    let mut ways: Vec<Found<OwnWay>> = Vec::new();
    // Without boards, as when only sizes are asked for, nothing can be said of ways.
    for (way, yard) in file.ways.iter().zip(yards) {
        let unique = way_names.add(&way.record, "name", code::DUPLICATE_WAY, "ways", faults);
        let mut own = Fields::new(&way.record, scope, faults);
        let name = own.name("name");
        let boards = if let Rows::Absent = way.list {
            named_boards(&mut own, &way.named, shelf)
        } else {
            listed_boards(yard, shelf, scope, faults)
        };
        ways.push(unique.and(name).and_then(|name| {
            Ok(OwnWay {
                name,
                boards: boards?,
            })
        }));
    }
    Ok(Buying {
        longest: longest?,
        gone: None,
        yard_cuts: yard_cuts?,
        purchase: None,
        ways: ways.into_iter().collect::<Found<_>>()?,
    })
}

/// How the yard cuts boards.
fn read_yard_cuts(fields: &mut Fields<'_, '_>) -> Found<Option<YardCuts>> {
    let kerf = fields.length("yard-kerf");
    let hint = "write what the yard charges for one cut, such as `1.50`";
    let charge = read_amount(fields, "yard-cut-price", hint);
    let Some(places) = read_places(fields)? else {
        for name in ["yard-kerf", "yard-cut-price"] {
            fields.warn_no_effect(name, "without `yard-cuts`");
        }
        return Ok(None);
    };
    let kerf = kerf?;
    if let Some(field) = fields
        .field("yard-cuts")
        .filter(|_| places.are_within(kerf))
    {
        let what = "two places in `yard-cuts` are no farther apart than the yard's saw is wide";
        let hint =
            "leave one of them out, or give a larger step or a smaller `yard-kerf`".to_owned();
        return Err(fields.fault(field, code::LENGTH_RANGE, what.to_owned(), Some(hint)));
    }
    Ok(Some(YardCuts {
        places,
        kerf,
        charge: charge?.unwrap_or_default(),
    }))
}

/// Where the yard cuts: at the multiples of one length, or at those of a list.
fn read_places(fields: &mut Fields<'_, '_>) -> Found<Option<YardPlaces>> {
    let name = "yard-cuts";
    let record = fields.record;
    let Some(items) = record.list(name) else {
        return Ok(fields.optional_length(name)?.map(YardPlaces::Every));
    };
    let read: Vec<Found<Length>> = items.map(|item| fields.length_of(name, item)).collect();
    let mut places: Vec<Length> = read.into_iter().collect::<Found<_>>()?;
    if record.is_spoiled(name) {
        return Err(Reported);
    }
    if places.is_empty() {
        let what = format!("`{name}` lists no place");
        return Err(fields.record_fault(code::EMPTY_FIELD, what, None));
    }
    places.sort_unstable();
    places.dedup();
    Ok(Some(YardPlaces::Listed(places)))
}

/// Has boards cut at the yard that the vehicle does not take.
pub(super) fn cut_at_yard(
    file: &JobFile<'_>,
    buying: &Buying,
    boards: &mut [Board],
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Found<()> {
    let mut fields = Fields::new(&file.buying, scope, faults);
    let mut sound = Ok(());
    for board in boards {
        let (key, code, what) = match buying.at_yard(board) {
            Ok(at_yard) => {
                // What is on the rack is cut no more.
                board.at_yard = at_yard;
                continue;
            }
            Err(YardFault::TooManyWays) => (
                "yard-cuts",
                code::TOO_MANY_YARD_CUTS,
                format!(
                    "board {} could be cut in more than {} ways",
                    quoted(&board.name),
                    AtYard::MOST_WAYS
                ),
            ),
            Err(YardFault::TooDear) => (
                "yard-cut-price",
                code::BOARD_TOO_DEAR,
                format!(
                    "with its cuts board {} costs more than the limit",
                    quoted(&board.name)
                ),
            ),
        };
        let hint = "take a larger step, or list the places, such as `[\"6'\", \"8'\"]`";
        let hint = (key == "yard-cuts").then(|| hint.to_owned());
        if let Some(field) = fields.field(key) {
            sound = Err(fields.fault(field, code, what, hint));
        }
    }
    sound
}

/// Boards of the job by name.
fn named_boards(
    own: &mut Fields<'_, '_>,
    named: &[Field<'_>],
    shelf: &Shelf<'_, '_>,
) -> Found<OwnBoards> {
    if named.is_empty() {
        return Err(own.missing("boards"));
    }
    let mut found = Ok(());
    let mut indices = Vec::new();
    for field in named {
        if let Some(idx) = shelf.board_names.find(&field.text) {
            indices.push(idx);
        } else {
            let what = format!("unknown board {}", quoted(&field.text));
            let all: Vec<&str> = shelf.board_names.all().collect();
            let hint = nearest_or_all(&field.text, "the job has", &all);
            found = Err(own.fault(field, code::UNKNOWN_BOARD, what, hint));
        }
    }
    found?;
    // With a faulty board left out, places in the list would not be those of the job.
    if !shelf.boards.is_sound || own.record.is_spoiled("boards") {
        return Err(Reported);
    }
    indices.sort_unstable();
    indices.dedup();
    Ok(OwnBoards::Named(indices))
}

/// A yard's list from files of its own.
fn listed_boards<'a>(
    yard: &'a [Table<'a>],
    shelf: &Shelf<'_, '_>,
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Found<OwnBoards> {
    let is_priced = shelf.boards.items.iter().any(|board| board.price.is_some());
    let mut names = Names::default();
    let listed = Table::read(yard, faults, |record, faults| {
        let unique = names.add(record, "board", code::DUPLICATE_BOARD, "boards", faults);
        let board = read_board(
            Fields::new(record, scope, faults),
            shelf.measure,
            &InHandRules::default(),
        )?;
        unique?;
        if is_priced && board.price.is_none() {
            let what = format!(
                "board {} has no price though the job's boards have one",
                quoted(&board.name)
            );
            let place = record.origin.place();
            faults.push(Diagnostic::error(code::YARD_PRICE, place, what));
            return Err(Reported);
        }
        Ok(board)
    });
    if listed.is_sound {
        Ok(OwnBoards::Listed(listed.items))
    } else {
        Err(Reported)
    }
}
