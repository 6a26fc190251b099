//! Sizes of the frames and of what goes into them.

use crate::frame::{
    Borders, Depth, Holding, Mount, Opening, Outline, SheetUse, across_corners, across_flats,
    spacer_strips,
};
use crate::job::{Ends, Job, StopAt};
use crate::length::Length;
use crate::plan::Part;
use crate::report::document::{
    Document, Inline, Kind, Line, Show, Table, Text, Tone, name, needed, needed_with_unit, say,
    there, together,
};
use crate::report::naming::{polygon_cells, polygon_cells_words};
use crate::tally::{
    AlikeSheets, PaneTrouble, SizedFrame, Unweighed, Weight, alike_sheets, frame_weight,
    pane_troubles, sized_frames,
};

use super::boards::made_into;
use super::sheets::oversize_words;

/// The table of all frames.
pub(super) fn write(doc: &mut Document, job: &Job) {
    if job.frames.is_empty() {
        return;
    }
    doc.heading("frames", "Sizes of the frames");
    let mut table = Table::new()
        .column("frame", Kind::Name, Tone::Strong)
        .column("", Kind::Words, Tone::Strong)
        .column("", Kind::Words, Tone::Faint)
        .column("art", Kind::Length, Tone::Plain)
        .column("window", Kind::Length, Tone::Plain)
        .column("package", Kind::Length, Tone::Plain)
        .column("rabbet", Kind::Length, Tone::Plain)
        .column("sight", Kind::Length, Tone::Plain)
        .column("outside", Kind::Length, Tone::Strong);
    for sheet in sized_frames(job) {
        add_frame(&mut table, &sheet, rabbet_shown(job));
    }
    doc.table(table);
    let sheets = sized_frames(job);
    let mut weighed = sheets.iter().map(frame_weight);
    let mut lines = Vec::new();
    if weighed.any(|weight| weight.known > Weight::ZERO) {
        lines.push(Line::new(
            Tone::Faint,
            "Weights are rounded up and without the artwork; wood of one kind differs by a tenth.",
        ));
    }
    let rounded_up = match rabbet_shown(job) {
        Show::Needed => "rabbet, sight and outside",
        _ => "sight and outside",
    };
    lines.push(Line::new(
        Tone::Faint,
        say!(
            "Outside is the long point of a rail, sight its short point; glazing, mats and backing are cut to the package. \
             With ~, {} are rounded up, all others down.",
            rounded_up
        ),
    ));
    doc.lines(lines);
}

/// How the size of a rabbet is rounded: down, as a package must fit it; up where rails are cut to it, so that it is the
/// figure at which the stop is set.
pub(crate) fn rabbet_shown(job: &Job) -> Show {
    match job.shop.stop {
        StopAt::Rabbet => Show::Needed,
        StopAt::LongPoint | StopAt::ShortPoint => Show::There,
    }
}

/// What a row of the table tells of every outline.
#[derive(Clone, Copy)]
enum Dimension {
    /// The length of a side.
    Side(u32),
    /// Across the flats of a polygon.
    Flats,
}

impl Dimension {
    fn of(self, outline: Outline) -> Option<Length> {
        match (self, outline) {
            (Dimension::Side(side), _) => Some(outline.side(side)),
            (Dimension::Flats, Outline::Regular { flats, .. }) => flats,
            (Dimension::Flats, Outline::Rectangle { .. }) => None,
        }
    }
}

fn add_frame(table: &mut Table, sheet: &SizedFrame<'_>, rabbet_shown: Show) {
    let frame = sheet.frame;
    let quantity = (frame.quantity > 1).then(|| say!("×{}", frame.quantity));
    // A polygon as it was told, and by its side, to which its rails are cut.
    let dimensions: &[(&str, Dimension)] = match frame.art {
        Outline::Rectangle { .. } => &[("wide", Dimension::Side(0)), ("high", Dimension::Side(1))],
        Outline::Regular { flats: None, .. } => &[("side", Dimension::Side(0))],
        Outline::Regular { .. } => &[("flats", Dimension::Flats), ("side", Dimension::Side(0))],
    };
    for (idx, &(called, dimension)) in dimensions.iter().enumerate() {
        let window = sheet.package.windows.first();
        let window = window.and_then(|window| dimension.of(window.opening.size));
        let rabbet = sheet.sizes.rabbet.and_then(|it| dimension.of(it));
        let is_first = idx == 0;
        table.row(vec![
            is_first.then(|| name(&frame.name)).into(),
            quantity.clone().filter(|_| is_first).into(),
            called.into(),
            dimension.of(frame.art).map(there).into(),
            window.map(there).into(),
            dimension.of(sheet.package.size).map(there).into(),
            rabbet
                .map(|rabbet| Inline::Length(rabbet, rabbet_shown))
                .into(),
            dimension.of(sheet.sizes.sight).map(needed).into(),
            dimension.of(sheet.sizes.outside).map(needed).into(),
        ]);
    }
    table.note(Tone::Faint, description(sheet));
    let troubles = pane_troubles(sheet);
    if !troubles.is_empty() {
        let words = troubles.iter().map(|trouble| match trouble {
            PaneTrouble::Large => "large enough to ask for the local rule",
            PaneTrouble::Thin => "larger than is usual for glass of its thickness",
            PaneTrouble::Vast => "larger than is usual for glass in frames",
            PaneTrouble::Heavy => "heavy for one person",
            PaneTrouble::Narrow => "narrow for cut glass",
        });
        let words: Vec<&str> = words.collect();
        table.note(
            Tone::Watch,
            say!("its pane is {}: acrylic instead?", words.join(", ")),
        );
    }
    if let Some(depth) = sheet.depth
        && let Some(tight) = tight_words(depth)
    {
        let needed = needed_with_unit(depth.needed);
        table.note(Tone::Watch, say!("{}: it needs one {} deep", tight, needed));
    }
}

/// How far a package stands out of its rabbet, or what its points lack; `None` where all has room.
pub(crate) fn tight_words(depth: Depth) -> Option<Text> {
    let excess = depth.excess()?;
    Some(match depth.proud() {
        Some(proud) => say!(
            "the package stands {} out of the rabbet",
            needed_with_unit(proud)
        ),
        None => say!(
            "the points have {} less room than they ask for",
            needed_with_unit(excess)
        ),
    })
}

/// Moulding, mat, sheets and stack of one frame, in one line.
fn description(sheet: &SizedFrame<'_>) -> Text {
    let frame = sheet.frame;
    let mut facts = vec![name(&sheet.moulding.name)];
    if let Outline::Regular { sides, .. } = frame.art {
        let miter = Inline::Miter(frame.art.miter());
        facts.push(say!("{} sides, miter {}", sides, miter));
        // Across what is opposite; with an odd number of sides nothing is.
        if let Outline::Regular { side, flats, .. } = sheet.sizes.outside
            && sides.is_multiple_of(2)
        {
            let corners = needed(across_corners(sides, side, flats));
            facts.push(match flats {
                Some(_) => say!("outside {} across corners", corners),
                None => say!(
                    "outside {} across flats, {} across corners",
                    needed(across_flats(sides, side, flats)),
                    corners
                ),
            });
        }
    }
    if !sheet.inner.is_empty() {
        let inner = sheet
            .inner
            .iter()
            .rev()
            .map(|moulding| name(&moulding.name));
        facts.push(say!(
            "holds {}, play {}",
            Text::join(inner, ", which holds "),
            there(sheet.package.play)
        ));
    }
    if let Some(outer) = &frame.held_by {
        facts.push(say!("inside of {}", name(outer)));
    }
    if let Some(mat) = frame.own_mat() {
        let mut text = say!("mat {}", border_words(mat.borders));
        if mat.layers > 1 {
            text.push(say!(
                ", {} layers, reveal {}",
                mat.layers,
                there(mat.reveal)
            ));
        }
        if mat.is_oval {
            text.push(", oval");
        }
        if mat.mount == Mount::Float {
            text.push(", art floated");
        }
        if let Some(of) = &mat.name {
            text.push(say!(", {}", name(of)));
            for below in &mat.lower {
                text.push(say!(" over {}", name(&below.name)));
            }
        }
        facts.push(text);
    }
    if let Holding::Tray { gap } = frame.holding {
        facts.push(say!("tray, gap {}", there(gap)));
    }
    let sheets: Vec<Text> = [&frame.glazing, &frame.backing]
        .into_iter()
        .flatten()
        .map(|sheet| name(&sheet.name))
        .collect();
    if !sheets.is_empty() {
        facts.push(Text::join(sheets, ", "));
    }
    facts.extend(spacer_words(sheet));
    if let Some(depth) = sheet.depth.filter(|depth| depth.needed > Length::ZERO) {
        let rabbet = there(depth.rabbet_depth);
        facts.push(say!("stack {}, rabbet {}", needed(depth.needed), rabbet));
    }
    let facts = facts.into_iter().map(together);
    Text::join(facts.chain(weight_words(sheet)), " · ")
}

/// The strips of a frame's spacer, with their ends, and how far they are seen.
pub(crate) fn spacer_words(sheet: &SizedFrame<'_>) -> Option<Text> {
    let spacer = sheet.frame.spacer.as_ref()?;
    let strips = spacer_strips(sheet.frame, &sheet.package).into_iter();
    let strips = strips.map(|strips| say!("{} of {}", strips.count, needed(strips.length)));
    let ends = if spacer.is_butted {
        "butted"
    } else {
        "mitered"
    };
    let mut text = say!(
        "spacer {}, {} wide, {} deep, {}: {}",
        name(&spacer.name),
        there(spacer.width),
        there(spacer.depth),
        ends,
        Text::join(strips, ", ")
    );
    // Of the package all but the lip, less half of its play, can be seen.
    let hidden = sheet.moulding.lip - Length::from_nm(sheet.package.play.nm() / 2);
    if spacer.width > hidden {
        text.push(say!(
            ", seen {} inside of the lip",
            needed(spacer.width - hidden)
        ));
    }
    Some(text)
}

/// What a frame weighs, as far as that is known; nothing where nothing is.
pub(crate) fn weight_words(sheet: &SizedFrame<'_>) -> Option<Text> {
    let weight = frame_weight(sheet);
    if weight.known == Weight::ZERO {
        return None;
    }
    let known = Inline::Weight(weight.known);
    if weight.without.is_empty() {
        return Some(say!("about {}", known));
    }
    let unknown = |part: &Unweighed| match part {
        Unweighed::Wood => "wood",
        Unweighed::Glazing => "glazing",
        Unweighed::Backing => "backing",
        Unweighed::Spacer => "spacer",
    };
    let without: Vec<&str> = weight.without.iter().map(unknown).collect();
    Some(say!("{} without {}", known, without.join(" and ")))
}

/// The four borders of a mat, those that are alike named once.
pub(crate) fn border_words(borders: Borders) -> Text {
    let Borders {
        top,
        right,
        bottom,
        left,
    } = borders;
    if top == left && left == right {
        if bottom == top {
            return say!("{} all round", there(top));
        }
        return say!("{}, bottom {}", there(top), there(bottom));
    }
    say!(
        "top {}, right {}, bottom {}, left {}",
        there(top),
        there(right),
        there(bottom),
        there(left)
    )
}

/// Mat boards, glazing, backing and dust covers: what to cut from sheets, alike ones together.
pub(super) fn write_sheets(doc: &mut Document, job: &Job, heading: impl Into<Text>) {
    let mut table = Table::new()
        .column("cut", Kind::Number, Tone::Strong)
        .column("of", Kind::Name, Tone::Strong)
        .column("width", Kind::Length, Tone::Plain)
        .column("height", Kind::Length, Tone::Plain)
        .column("window", Kind::Words, Tone::Plain)
        .column("frames", Kind::Prose, Tone::Faint);
    let sheets = alike_sheets(&sized_frames(job));
    let layered = sheets
        .iter()
        .any(|alike| matches!(alike.sheet_use, SheetUse::Mat { layer: 2.. }));
    for alike in &sheets {
        let (width, height) = match alike.size {
            Outline::Rectangle { width, height } => (there(width), there(height)),
            Outline::Regular { sides, side, flats } => {
                polygon_cells(sides, side, flats, there).into()
            }
        };
        let (use_name, layer) = match alike.sheet_use {
            SheetUse::Glazing => ("glazing", None),
            SheetUse::Mat { layer } => ("mat", layered.then(|| say!(", layer {}", layer))),
            SheetUse::Backing => ("backing", None),
            SheetUse::DustCover => ("dust cover", None),
        };
        let called = alike.name.as_deref().map_or(use_name.into(), name);
        let window = alike.window;
        let frames = alike.frames.iter();
        table.row(vec![
            alike.count.into(),
            say!("{}{}", called, layer),
            width,
            height,
            window.map(opening_words).into(),
            Text::join(frames.map(|frame| together(name(&frame.name))), ", "),
        ]);
        if let Some(trimmed) = alike.trimmed {
            let size = size_words(trimmed);
            table.note(Tone::Faint, say!("cut larger: {} once trimmed", size));
        }
    }
    if !sheets.is_empty() {
        doc.heading("sheets", heading);
        doc.table(table);
        if sheets.iter().any(|alike| alike.trimmed.is_some())
            && let Some(text) = oversize_words(job, "A dust cover")
        {
            doc.line(Tone::Plain, text);
        }
        let is_polygon = |alike: &AlikeSheets<'_>| matches!(alike.size, Outline::Regular { .. });
        if sheets.iter().any(is_polygon) {
            doc.line(Tone::Faint, polygon_cells_words("width"));
        }
        if layered {
            doc.line(
                Tone::Faint,
                "Layer 1 of a mat is the top one, the last lies next to the artwork.",
            );
        }
    }
}

/// A window by its size, and whether it is an oval.
fn opening_words(opening: Opening) -> Text {
    let oval = opening.is_oval.then_some(" oval");
    say!("{}{}", size_words(opening.size), oval)
}

/// Width and height, or of a polygon what was told of it.
fn size_words(size: Outline) -> Text {
    match size {
        Outline::Rectangle { width, height } => say!("{} × {}", there(width), there(height)),
        Outline::Regular { sides, side, flats } => {
            Text::join(polygon_cells(sides, side, flats, there), ", ")
        }
    }
}

/// The list of loose pieces.
pub(super) fn write_pieces(doc: &mut Document, job: &Job) {
    if job.pieces.is_empty() {
        return;
    }
    doc.heading("pieces", "Loose pieces");
    let mut table = Table::new()
        .column("cut", Kind::Number, Tone::Strong)
        .column("piece", Kind::Name, Tone::Strong)
        .column("length", Kind::Length, Tone::Plain)
        .column("ends", Kind::Words, Tone::Plain)
        .column("from", Kind::Name, Tone::Plain);
    for (piece_idx, piece) in job.pieces.iter().enumerate() {
        let part = Part::Loose { piece_idx, copy: 1 };
        let wood = match (piece.moulding_idx, &piece.material) {
            (None, Some(material)) => name(material),
            (moulding_idx, _) => made_into(job, moulding_idx),
        };
        table.row(vec![
            piece.quantity.into(),
            name(&piece.name),
            needed(piece.length),
            match piece.ends {
                Ends::Square => "square".into(),
                Ends::Miter | Ends::Corner { .. } => Inline::Miter(part.miter(job)).into(),
            },
            wood,
        ]);
    }
    doc.table(table);
}
