//! Sizes of the frames and of what goes into them.

use crate::frame::{Borders, Holding, Mount, Outline, SheetUse};
use crate::job::{Ends, Job};
use crate::length::Length;
use crate::plan::Part;
use crate::report::figures::Figures;
use crate::report::ink::{Ink, Tone};
use crate::report::layout::{one_line, tie};
use crate::report::table::{Align, Table};
use crate::tally::{FrameSheet, Unweighed, Weight, alike_sheets, frame_sheets, frame_weight};

use super::boards::made_into;
use super::page::Page;

/// The table of all frames.
pub(super) fn write(page: &mut Page<'_>, job: &Job) {
    if job.frames.is_empty() {
        return;
    }
    page.heading("Sizes of the frames");
    let mut table = Table::new()
        .column("frame", Align::Name, Tone::Strong)
        .column("", Align::Left, Tone::Strong)
        .column("", Align::Left, Tone::Faint)
        .column("art", Align::Figure, Tone::Plain)
        .column("window", Align::Figure, Tone::Plain)
        .column("package", Align::Figure, Tone::Plain)
        .column("rabbet", Align::Figure, Tone::Plain)
        .column("sight", Align::Figure, Tone::Plain)
        .column("outside", Align::Figure, Tone::Strong);
    for sheet in frame_sheets(job) {
        add_frame(&mut table, &page.figures, page.ink, &sheet);
    }
    page.table(2, &table);
    page.space();
    let sheets = frame_sheets(job);
    let mut weighed = sheets.iter().map(frame_weight);
    if weighed.any(|weight| weight.known > Weight::ZERO) {
        page.prose(
            2,
            Tone::Faint,
            "Weights are rounded up and without the artwork; wood of one kind differs by a tenth.",
        );
    }
    page.prose(
        2,
        Tone::Faint,
        "Outside is the long point of a rail, sight its short point; glazing, mats and backing are cut to the package. \
         With ~, sight and outside are rounded up, all others down.",
    );
}

fn add_frame(table: &mut Table, figures: &Figures<'_>, ink: Ink, sheet: &FrameSheet<'_>) {
    let frame = sheet.frame;
    let quantity = if frame.quantity > 1 {
        format!("{}{}", ink.times(), frame.quantity)
    } else {
        String::new()
    };
    let name = one_line(&frame.name);
    let dimensions: &[(u32, &str)] = match frame.art {
        Outline::Rectangle { .. } => &[(0, "wide"), (1, "high")],
        Outline::Regular { .. } => &[(0, "side")],
    };
    for &(side, dimension) in dimensions {
        let window = sheet.package.windows.first().map(|window| {
            if side == 0 {
                window.width
            } else {
                window.height
            }
        });
        let first_line = |text: &str| {
            if side == 0 {
                text.to_owned()
            } else {
                String::new()
            }
        };
        table.row(vec![
            first_line(&name),
            first_line(&quantity),
            dimension.to_owned(),
            figures.there(frame.art.side(side)),
            window.map_or_else(String::new, |window| figures.there(window)),
            figures.there(sheet.package.size.side(side)),
            sheet
                .sizes
                .rabbet
                .map_or_else(String::new, |rabbet| figures.there(rabbet.side(side))),
            figures.needed(sheet.sizes.sight.side(side)),
            figures.needed(sheet.sizes.outside.side(side)),
        ]);
    }
    table.note(Tone::Faint, description(figures, ink, sheet));
    if let Some((depth, excess)) = sheet
        .depth
        .and_then(|depth| depth.excess().map(|excess| (depth, excess)))
    {
        table.note(
            Tone::Watch,
            format!(
                "the stack is {} deeper than the rabbet: it needs a rabbet {} deep",
                figures.with_unit(&figures.needed(excess)),
                figures.with_unit(&figures.needed(depth.needed))
            ),
        );
    }
}

/// Moulding, mat, sheets and stack of one frame, in one line.
fn description(figures: &Figures<'_>, ink: Ink, sheet: &FrameSheet<'_>) -> String {
    let frame = sheet.frame;
    let mut facts = vec![one_line(&sheet.moulding.name)];
    if let Outline::Regular { sides, .. } = frame.art {
        facts.push(format!(
            "{sides} sides, miter {}",
            figures.miter(frame.art.miter())
        ));
    }
    if let Some(mat) = &frame.mat {
        let mut text = format!("mat {}", borders(figures, mat.borders));
        if mat.layers > 1 {
            text = format!(
                "{text}, {} layers, reveal {}",
                mat.layers,
                figures.there(mat.reveal)
            );
        }
        if mat.mount == Mount::Float {
            text.push_str(", art floated");
        }
        if let Some(name) = &mat.name {
            text = format!("{text}, {}", one_line(name));
        }
        facts.push(text);
    }
    if let Holding::Tray { gap } = frame.holding {
        facts.push(format!("tray, gap {}", figures.there(gap)));
    }
    let sheets: Vec<String> = [&frame.glazing, &frame.backing]
        .into_iter()
        .flatten()
        .map(|sheet| one_line(&sheet.name))
        .collect();
    if !sheets.is_empty() {
        facts.push(sheets.join(", "));
    }
    if let Some(depth) = sheet.depth.filter(|depth| depth.needed > Length::ZERO) {
        facts.push(format!(
            "stack {}, rabbet {}",
            figures.needed(depth.needed),
            figures.there(depth.rabbet_depth)
        ));
    }
    let mut facts: Vec<String> = facts.iter().map(|fact| tie(fact)).collect();
    facts.extend(weight(figures, sheet));
    facts.join(ink.dot())
}

/// What a frame weighs, as far as that is known; nothing where nothing is.
fn weight(figures: &Figures<'_>, sheet: &FrameSheet<'_>) -> Option<String> {
    let weight = frame_weight(sheet);
    if weight.known == Weight::ZERO {
        return None;
    }
    let known = figures.weight(weight.known);
    if weight.without.is_empty() {
        return Some(format!("about {known}"));
    }
    let unknown = |part: &Unweighed| match part {
        Unweighed::Wood => "wood",
        Unweighed::Glazing => "glazing",
        Unweighed::Backing => "backing",
    };
    let without: Vec<&str> = weight.without.iter().map(unknown).collect();
    Some(format!("{known} without {}", without.join(" and ")))
}

/// The four borders of a mat, those that are alike named once.
fn borders(figures: &Figures<'_>, borders: Borders) -> String {
    let Borders {
        top,
        right,
        bottom,
        left,
    } = borders;
    let print = |length: Length| figures.there(length);
    if top == left && left == right {
        if bottom == top {
            return format!("{} all round", print(top));
        }
        return format!("{}, bottom {}", print(top), print(bottom));
    }
    format!(
        "top {}, right {}, bottom {}, left {}",
        print(top),
        print(right),
        print(bottom),
        print(left)
    )
}

/// Mat boards, glazing and backing: what to cut from sheets, alike ones together.
pub(super) fn write_sheets(page: &mut Page<'_>, job: &Job) {
    let mut table = Table::new()
        .column("cut", Align::Right, Tone::Strong)
        .column("of", Align::Name, Tone::Strong)
        .column("width", Align::Figure, Tone::Plain)
        .column("height", Align::Figure, Tone::Plain)
        .column("window", Align::Left, Tone::Plain)
        .column("frames", Align::Prose, Tone::Faint);
    let sheets = alike_sheets(&frame_sheets(job));
    let layered = sheets
        .iter()
        .any(|alike| matches!(alike.sheet_use, SheetUse::Mat { layer: 2.. }));
    for alike in &sheets {
        let (width, height) = match alike.size {
            Outline::Rectangle { width, height } => {
                (page.figures.there(width), page.figures.there(height))
            }
            Outline::Regular { .. } => (
                page.figures.outline(alike.size, Figures::there),
                String::new(),
            ),
        };
        let (use_name, layer) = match alike.sheet_use {
            SheetUse::Glazing => ("glazing", String::new()),
            SheetUse::Mat { layer } if layered => ("mat", format!(", layer {layer}")),
            SheetUse::Mat { .. } => ("mat", String::new()),
            SheetUse::Backing => ("backing", String::new()),
        };
        let name = alike.name.as_deref().map_or(use_name.to_owned(), one_line);
        table.row(vec![
            alike.count.to_string(),
            format!("{name}{layer}"),
            width,
            height,
            alike.window.map_or_else(String::new, |(width, height)| {
                page.figures
                    .outline(Outline::Rectangle { width, height }, Figures::there)
            }),
            alike
                .frames
                .iter()
                .map(|frame| tie(&one_line(&frame.name)))
                .collect::<Vec<_>>()
                .join(", "),
        ]);
    }
    if !table.is_empty() {
        page.heading("Sheets to cut");
        page.table(2, &table);
        if layered {
            page.space();
            page.prose(2, Tone::Faint, "Layer 1 of a mat lies next to the artwork.");
        }
    }
}

/// The list of loose pieces.
pub(super) fn write_pieces(page: &mut Page<'_>, job: &Job) {
    if job.pieces.is_empty() {
        return;
    }
    page.heading("Loose pieces");
    let mut table = Table::new()
        .column("cut", Align::Right, Tone::Strong)
        .column("piece", Align::Name, Tone::Strong)
        .column("length", Align::Figure, Tone::Plain)
        .column("ends", Align::Left, Tone::Plain)
        .column("from", Align::Name, Tone::Plain);
    for (piece_idx, piece) in job.pieces.iter().enumerate() {
        let part = Part::Loose { piece_idx, copy: 1 };
        let wood = match (piece.moulding_idx, &piece.material) {
            (None, Some(material)) => one_line(material),
            (moulding_idx, _) => made_into(job, moulding_idx),
        };
        table.row(vec![
            piece.quantity.to_string(),
            one_line(&piece.name),
            page.figures.needed(piece.length),
            match piece.ends {
                Ends::Square => "square".to_owned(),
                Ends::Miter | Ends::Corner { .. } => page.figures.miter(part.miter(job)),
            },
            wood,
        ]);
    }
    page.table(2, &table);
}
