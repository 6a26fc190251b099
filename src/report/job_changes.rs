//! How a job differs from what it was: row by row, and field by field in the words of its tables.

use crate::frame::{Frame, Grain, Holding, Moulding, Mount, Outline, Sheet};
use crate::job::{Display, Ends, Job, Piece, Purpose};
use crate::length::{Length, exact_text};
use crate::report::csv::{defects_text, price_text};
use crate::report::document::{Text, name, say};
use crate::stock::Board;

/// The fields of a row, each with what it says; what is not stated is not among them.
type Fields = Vec<(&'static str, String)>;

/// What stands for a field that is not stated.
const NOTHING: &str = "not stated";

/// How two jobs differ, in what is cut and from what; each a sentence. Empty where only other settings do.
pub(crate) fn job_changes(old: &Job, new: &Job) -> Vec<Text> {
    let jobs = (old, new);
    let mut lines = settings(old, new);
    lines.extend(rows(
        jobs,
        "Moulding",
        |job| job.mouldings.iter().collect(),
        |moulding| &moulding.name,
        moulding_fields,
    ));
    lines.extend(rows(
        jobs,
        "Frame",
        |job| job.frames.iter().collect(),
        |frame| &frame.name,
        frame_fields,
    ));
    lines.extend(rows(
        jobs,
        "Piece",
        stated,
        |piece| &piece.name,
        piece_fields,
    ));
    lines.extend(rows(
        jobs,
        "Board",
        |job| job.boards.iter().collect(),
        |board| &board.name,
        board_fields,
    ));
    lines
}

/// What of the settings decides sizes and cuts.
fn settings(old: &Job, new: &Job) -> Vec<Text> {
    let settings = [
        ("kerf", old.shop.kerf, new.shop.kerf),
        ("end trim", old.shop.end_trim, new.shop.end_trim),
        (
            "fit allowance",
            old.shop.fit_allowance,
            new.shop.fit_allowance,
        ),
        ("room for points", old.shop.point_room, new.shop.point_room),
        (
            "shortest offcut",
            old.shop.shortest_offcut,
            new.shop.shortest_offcut,
        ),
    ];
    let other = settings.into_iter().filter(|(_, was, is)| was != is);
    let line = |(what, was, is): (&str, Length, Length)| {
        let unit = new.display.unit;
        say!(
            "The {} is {}, not {}.",
            what,
            exact_text(is, unit),
            exact_text(was, unit)
        )
    };
    other.map(line).collect()
}

/// Rows of one kind that are new, gone, or others under the same name.
fn rows<Row: PartialEq>(
    (old, new): (&Job, &Job),
    kind: &str,
    of: impl Fn(&Job) -> Vec<&Row>,
    named: impl Fn(&Row) -> &str,
    fields: impl Fn(&Job, &Row, &Display) -> Fields,
) -> Vec<Text> {
    let (before, now) = (of(old), of(new));
    let display = &new.display;
    let mut lines = Vec::new();
    for &row in &now {
        let own = named(row);
        let Some(&was) = before.iter().find(|was| named(was) == own) else {
            lines.push(say!("{} {} is new.", kind, name(own)));
            continue;
        };
        let unlike = unlike(&fields(old, was, display), &fields(new, row, display));
        if !unlike.is_empty() {
            let told = Text::join(unlike.into_iter().map(Text::from), "; ");
            lines.push(say!("{} {}: {}.", kind, name(own), told));
        } else if was != row && is_numbered_alike(old, new) {
            lines.push(say!(
                "{} {} is another in what is not told here.",
                kind,
                name(own)
            ));
        }
    }
    for row in before {
        let own = named(row);
        if !now.iter().any(|is| named(is) == own) {
            lines.push(say!("{} {} is gone.", kind, name(own)));
        }
    }
    lines
}

/// Pieces that have a row of their own.
fn stated(job: &Job) -> Vec<&Piece> {
    let pieces = job.pieces.iter();
    pieces
        .filter(|piece| piece.purpose == Purpose::Wanted)
        .collect()
}

/// Whether the rows of both jobs name mouldings and boards by the same numbers.
fn is_numbered_alike(old: &Job, new: &Job) -> bool {
    let mouldings = new.mouldings.iter().map(|moulding| &moulding.name);
    let boards = new.boards.iter().map(|board| &board.name);
    let same_mouldings = old
        .mouldings
        .iter()
        .map(|moulding| &moulding.name)
        .eq(mouldings);
    same_mouldings && old.boards.iter().map(|board| &board.name).eq(boards)
}

/// Each field of a row that says something else: what it was and what it is.
fn unlike(before: &Fields, now: &Fields) -> Vec<String> {
    let said = |fields: &Fields, key: &str| {
        let found = fields.iter().find(|(field, _)| *field == key);
        found.map_or_else(|| NOTHING.to_owned(), |(_, said)| said.clone())
    };
    let keys = now.iter().map(|(key, _)| *key);
    let lost = before.iter().map(|(key, _)| *key);
    let lost = lost.filter(|key| !now.iter().any(|(is, _)| is == key));
    keys.chain(lost)
        .filter_map(|key| {
            let (was, is) = (said(before, key), said(now, key));
            (was != is).then(|| format!("{key} was {was}, is {is}"))
        })
        .collect()
}

/// What a row says, in one unit for both jobs.
struct Said<'d> {
    display: &'d Display,
    fields: Fields,
}

impl<'d> Said<'d> {
    fn by(display: &'d Display) -> Said<'d> {
        Said {
            display,
            fields: Vec::new(),
        }
    }

    fn text(&mut self, key: &'static str, text: Option<&str>) {
        self.fields.extend(text.map(|text| (key, text.to_owned())));
    }

    fn count(&mut self, key: &'static str, count: u32) {
        self.fields.push((key, count.to_string()));
    }

    fn length(&mut self, key: &'static str, length: Option<Length>) {
        let unit = self.display.unit;
        let said = length.map(|length| (key, exact_text(length, unit)));
        self.fields.extend(said);
    }
}

fn moulding_fields(_: &Job, moulding: &Moulding, display: &Display) -> Fields {
    let mut fields = Said::by(display);
    fields.length("face-width", Some(moulding.face_width));
    fields.length("lip", Some(moulding.lip));
    fields.length("rabbet-depth", moulding.rabbet_depth);
    fields.text("material", moulding.material.as_deref());
    fields.length("thickness", moulding.thickness);
    fields.fields
}

fn piece_fields(job: &Job, piece: &Piece, display: &Display) -> Fields {
    let mut fields = Said::by(display);
    fields.length("length", Some(piece.length));
    fields.count("quantity", piece.quantity);
    let ends = match piece.ends {
        Ends::Square => "square".to_owned(),
        Ends::Miter => "miter".to_owned(),
        Ends::Corner { sides } => format!("miter of {sides} sides"),
    };
    fields.text("ends", Some(&ends));
    let moulding = piece.moulding_idx.map(|idx| &*job.mouldings[idx].name);
    fields.text("moulding", moulding);
    fields.text("material", piece.material.as_deref());
    fields.length("thickness", piece.thickness);
    fields.length("width", piece.width);
    fields.fields
}

fn frame_fields(job: &Job, frame: &Frame, display: &Display) -> Fields {
    let mut fields = Said::by(display);
    fields.count("quantity", frame.quantity);
    fields.text("moulding", Some(&job.mouldings[frame.moulding_idx].name));
    match frame.art {
        Outline::Rectangle { width, height } => {
            fields.length("art-width", Some(width));
            fields.length("art-height", Some(height));
        }
        Outline::Regular { sides, side, flats } => {
            fields.count("sides", sides);
            match flats {
                Some(flats) => fields.length("width across flats", Some(flats)),
                None => fields.length("side", Some(side)),
            }
        }
    }
    fields.length("art-thickness", Some(frame.art_thickness));
    if let Some(mat) = &frame.mat {
        for (key, border) in [
            ("mat-top", mat.borders.top),
            ("mat-right", mat.borders.right),
            ("mat-bottom", mat.borders.bottom),
            ("mat-left", mat.borders.left),
        ] {
            fields.length(key, Some(border));
        }
        match mat.mount {
            Mount::Overlap(overlap) => fields.length("overlap", Some(overlap)),
            Mount::Float => fields.text("mount", Some("float")),
        }
        fields.count("mat-layers", mat.layers);
        if mat.layers > 1 {
            fields.length("reveal", Some(mat.reveal));
        }
        fields.text("mat", mat.name.as_deref());
        let lower: Vec<&str> = mat.lower.iter().map(|sheet| &*sheet.name).collect();
        fields.text(
            "lower-mat",
            (!lower.is_empty()).then(|| lower.join(", ")).as_deref(),
        );
        fields.text("shape", mat.is_oval.then_some("oval"));
    }
    let sheet = |sheet: &Option<Sheet>| {
        let sheet = sheet.as_ref()?;
        let thickness = exact_text(sheet.thickness, display.unit);
        Some(format!("{}, {thickness}", sheet.name))
    };
    fields.text("glazing", sheet(&frame.glazing).as_deref());
    fields.text("backing", sheet(&frame.backing).as_deref());
    if let Some(spacer) = &frame.spacer {
        fields.text("spacer", Some(&spacer.name));
        fields.length("box-depth", Some(spacer.depth));
    }
    if let Holding::Tray { gap } = frame.holding {
        fields.length("tray-gap", Some(gap));
    }
    let liners = frame.inner.iter();
    let liners: Vec<&str> = liners
        .map(|one| &*job.mouldings[one.moulding_idx].name)
        .collect();
    fields.text(
        "liner",
        (!liners.is_empty()).then(|| liners.join(", ")).as_deref(),
    );
    fields.text("grain", frame.grain.map(grain_word));
    let matches = frame.match_color.map(|matches| matches.to_string());
    fields.text("match-color", matches.as_deref());
    let chosen = frame.boards.chosen();
    let chosen = chosen.map(|chosen| {
        let names: Vec<&str> = chosen.map(|idx| &*job.boards[idx].name).collect();
        names.join(", ")
    });
    fields.text("board", chosen.as_deref());
    fields.fields
}

fn grain_word(grain: Grain) -> &'static str {
    match grain {
        Grain::Free => "none",
        Grain::Frame => "frame",
        Grain::Opposite => "opposite",
        Grain::Adjacent => "adjacent",
    }
}

fn board_fields(_: &Job, board: &Board, display: &Display) -> Fields {
    let mut fields = Said::by(display);
    fields.length("length", Some(board.length));
    let quantity = board
        .quantity
        .map_or_else(|| "any".to_owned(), |quantity| quantity.to_string());
    fields.text("quantity", Some(&quantity));
    fields.text("material", board.material.as_deref());
    fields.length("thickness", board.thickness);
    fields.length("width", board.width);
    let value = board.in_hand.as_ref().and_then(|in_hand| in_hand.value);
    let price = match board.in_hand {
        Some(_) => ("value", value),
        None => ("price", board.price),
    };
    let money = price.1.map(|price| price_text(price, display));
    fields.text(price.0, money.as_deref());
    let defects = defects_text(&board.defects, display.unit);
    fields.text("defects", (!defects.is_empty()).then_some(&*defects));
    fields.fields
}
