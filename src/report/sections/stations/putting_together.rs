//! The stations where frames are put together: glue-up, keys and splines, mats, sheets, points and dust cover.

use crate::frame::Outline;
use crate::job::{Job, SHEET_GOODS_HEAD};
use crate::length::Length;
use crate::plan::Plan;
use crate::report::document::{
    Document, Kind, Table, Text, Tone, count_of, exact, listed, name, needed, needed_with_unit,
    place, say, there, together,
};
use crate::report::hardware_words::cuts_words;
use crate::report::naming::{polygon_cells, polygon_cells_words};
use crate::stations::{
    Across, Closing, Corner, FrameSheet, HingeSide, clamp_length, closings, count_points,
    frame_sheets, hardware, keys, mats, most_difference, out_of_square, splines,
};
use crate::tally::Caution;

use super::super::frames::write_sheets;
use super::{Sheet, fine};

pub(super) fn write(sheet: &mut Sheet<'_>, plan: &Plan) {
    write_splines(sheet);
    write_glue(sheet, plan);
    write_keys(sheet);
    // A window is cut once its board has its size.
    write_glazing(sheet);
    write_mats(sheet);
    write_closing(sheet);
}

fn write_glue(sheet: &mut Sheet<'_>, plan: &Plan) {
    let sheets = frame_sheets(plan);
    if sheets.is_empty() {
        return;
    }
    sheet.station("glue", "Glue up");
    let is_rectangle = |it: &&FrameSheet<'_>| it.outside().is_some();
    let (rectangles, polygons): (Vec<_>, Vec<_>) = sheets.iter().partition(is_rectangle);
    write_rectangles(sheet, &rectangles);
    write_polygons(sheet, &polygons);
    sheet.doc.line(
        Tone::Plain,
        "Rails stand in the order in which they go round: each shares a corner with the next, and the last with the first. \
         Lay them out dry, mark each corner on both rails, and try the joints with the clamp before any glue.",
    );
    sheet.doc.line(
        Tone::Plain,
        "Miters are half end grain: brush them with thinned glue, let it dry, then glue as usual.",
    );
    let most = most_difference(sheet.job.display.unit);
    if sheet.job.assembly.clamp_spare > Length::ZERO {
        let text = say!(
            "Band: once round the frame, and {} more to pull by.",
            exact(sheet.job.assembly.clamp_spare)
        );
        sheet.doc.line(Tone::Plain, text);
    }
    if let Some(worst) = steepest(&rectangles, most) {
        let text = say!(
            "Measure both diagonals in the clamp: they may differ by {}, which leans the frame by up to {}. Equal \
             diagonals prove a rectangle only where opposite rails are equal.",
            exact(most),
            fine(sheet.job, worst)
        );
        sheet.doc.line(Tone::Plain, text);
    }
}

/// By how much a frame leans at most if its diagonals differ as far as they may.
fn steepest(rectangles: &[&FrameSheet<'_>], most: Length) -> Option<Length> {
    let leans = rectangles.iter().filter_map(|it| it.outside());
    leans
        .map(|(width, height)| out_of_square(width, height, most))
        .max()
}

/// The copy's number, where there are several.
fn copy_number(sheet: &FrameSheet<'_>, copy: u32) -> Text {
    (sheet.sized.frame.quantity > 1)
        .then(|| say!("#{}", copy))
        .into()
}

fn write_rectangles(sheet: &mut Sheet<'_>, rectangles: &[&FrameSheet<'_>]) {
    if rectangles.is_empty() {
        return;
    }
    let mut table = Table::new()
        .column("frame", Kind::Name, Tone::Strong)
        .column("", Kind::Words, Tone::Strong)
        .column("top", Kind::Words, Tone::Strong)
        .column("right", Kind::Words, Tone::Strong)
        .column("bottom", Kind::Words, Tone::Strong)
        .column("left", Kind::Words, Tone::Strong)
        .column("diagonal", Kind::Length, Tone::Plain)
        .column("band", Kind::Length, Tone::Plain);
    for it in rectangles {
        for copy in &it.copies {
            let mut cells = vec![name(&it.sized.frame.name), copy_number(it, copy.copy)];
            let rails = copy.rails.iter();
            cells.extend(rails.map(|place| label(place.map(|at| at.label.to_string()))));
            cells.push(needed(it.across.length()));
            cells.push(needed(clamp_length(sheet.job, it.sized.sizes.outside)));
            table.row(cells);
        }
    }
    sheet.doc.table(table);
}

fn write_polygons(sheet: &mut Sheet<'_>, polygons: &[&FrameSheet<'_>]) {
    if polygons.is_empty() {
        return;
    }
    let mut table = Table::new()
        .column("frame", Kind::Name, Tone::Strong)
        .column("", Kind::Words, Tone::Strong)
        .column("rails", Kind::Prose, Tone::Strong)
        .column("across", Kind::Length, Tone::Plain)
        .column("band", Kind::Length, Tone::Plain);
    let mut is_odd = false;
    for it in polygons {
        is_odd |= matches!(it.across, Across::CornerToSide(_));
        for copy in &it.copies {
            let rails = copy.rails.iter();
            let labels = rails.map(|place| label(place.map(|at| at.label.to_string())));
            table.row(vec![
                name(&it.sized.frame.name),
                copy_number(it, copy.copy),
                Text::join(labels, ", "),
                needed(it.across.length()),
                needed(clamp_length(sheet.job, it.sized.sizes.outside)),
            ]);
        }
    }
    sheet.doc.table(table);
    let mut text = say!("Across is from corner to opposite corner");
    if is_odd {
        text.push(
            ", with an odd number of sides from each corner to the middle of the side opposite",
        );
    }
    text.push(": a frame is true where all are alike.");
    sheet.doc.line(Tone::Plain, text);
}

/// A label, or a dash for a rail that this plan does not cut.
fn label(label: Option<String>) -> Text {
    label.map_or_else(|| "–".into(), |label| together(Text::from(label)))
}

/// The moulding of a corner, and how many sides its frames have where that is not four.
fn corner_name(sheet: &Sheet<'_>, corner: Corner) -> Text {
    let moulding = listed(&sheet.job.mouldings[corner.moulding_idx].name);
    match corner.sides {
        4 => moulding,
        sides => say!("{}, {} sides", moulding, sides),
    }
}

fn write_splines(sheet: &mut Sheet<'_>) {
    let settings = splines(sheet.job);
    let Some(depth) = sheet
        .job
        .assembly
        .spline_depth
        .filter(|_| !settings.is_empty())
    else {
        return;
    };
    sheet.station("splines", "Slots for splines");
    let mut table = Table::new()
        .column("moulding", Kind::Name, Tone::Strong)
        .column("splines", Kind::Number, Tone::Strong)
        .column("thick", Kind::Length, Tone::Strong)
        .column("from the front", Kind::Length, Tone::Strong)
        .column("strip wide", Kind::Length, Tone::Plain)
        .column("slot at most", Kind::Length, Tone::Plain);
    for setting in settings {
        table.row(vec![
            corner_name(sheet, setting.corner),
            setting.n_splines.into(),
            setting.thickness.map(place).into(),
            setting.thickness.map(place).into(),
            there(setting.strip_width),
            there(setting.longest),
        ]);
    }
    sheet.doc.table(table);
    let text = say!(
        "Slots {} deep in the face of each miter, before gluing, a third of the thickness wide and as far from the front; \
         all with the front on the same side, so that they meet. Longer than \u{201c}slot at most\u{201d} along the joint \
         they open into the rabbet. The grain of a spline runs across the joint.",
        exact(depth)
    );
    sheet.doc.line(Tone::Plain, text);
}

fn write_keys(sheet: &mut Sheet<'_>) {
    let settings = keys(sheet.job);
    let Some(rule) = sheet.job.assembly.keys.filter(|_| !settings.is_empty()) else {
        return;
    };
    sheet.station("keys", "Keys across the corners");
    let mut table = Table::new()
        .column("moulding", Kind::Name, Tone::Strong)
        .column("keys", Kind::Number, Tone::Strong)
        .column("from the front", Kind::Prose, Tone::Strong)
        .column("on each edge", Kind::Length, Tone::Plain)
        .column("key long", Kind::Length, Tone::Plain);
    for setting in settings {
        let places = setting.places.iter();
        table.row(vec![
            corner_name(sheet, setting.corner),
            setting.n_keys.into(),
            Text::join(places.map(|&at| place(at)), ", "),
            place(setting.on_edge),
            needed(setting.strip_width),
        ]);
        if setting.places.is_empty() {
            let text = "Its thickness is not told: set the slots evenly over it.";
            table.note(Tone::Watch, text);
        }
        if !setting.is_apart {
            let text = "Too deep: on the shortest side the slots of both corners would meet.";
            table.note(Tone::Watch, text);
        }
        if !setting.is_clear {
            let text = say!(
                "Too deep: from {} on such a slot opens into the rabbet.",
                there(setting.clear_depth)
            );
            table.note(Tone::Watch, text);
        }
    }
    sheet.doc.table(table);
    let text = say!(
        "Slots {} deep from the corner, {} wide, when the glue is hard, in a cradle that holds both rails. On each edge one \
         sees so much of the slot: mark it there. A key is as thick as the slot, so long along its grain as the table says, \
         and {} and a little more wide; its grain runs across the joint. Trim it when its glue is hard.",
        exact(rule.depth),
        exact(rule.kerf),
        exact(rule.depth)
    );
    sheet.doc.line(Tone::Plain, text);
}

fn write_mats(sheet: &mut Sheet<'_>) {
    let mats = mats(sheet.job);
    if mats.is_empty() {
        return;
    }
    sheet.station("mats", "Mats");
    let mut table = Table::new()
        .column("mat for", Kind::Name, Tone::Strong)
        .column("", Kind::Words, Tone::Strong)
        .column("layer", Kind::Words, Tone::Plain)
        .column("wide", Kind::Length, Tone::Plain)
        .column("high", Kind::Length, Tone::Plain)
        .column("left", Kind::Length, Tone::Strong)
        .column("right", Kind::Length, Tone::Strong)
        .column("top", Kind::Length, Tone::Strong)
        .column("bottom", Kind::Length, Tone::Strong)
        .column("hinge", Kind::Words, Tone::Plain);
    let layered = mats.iter().any(|mat| mat.layer > 1);
    let is_alike = mats.iter().all(|mat| mat.hinge == mats[0].hinge);
    for mat in &mats {
        let [width, height] = size_cells(Some(mat.size));
        table.row(vec![
            name(&sheet.job.frames[mat.frame_idx].name),
            (mat.count > 1).then(|| say!("×{}", mat.count)).into(),
            layered.then(|| Text::from(mat.layer)).into(),
            width,
            height,
            there(mat.drawn.left),
            there(mat.drawn.right),
            there(mat.drawn.top),
            there(mat.drawn.bottom),
            (!is_alike).then(|| hinge_name(mat.hinge)).into(),
        ]);
    }
    sheet.doc.table(table);
    let mut text = say!(
        "Left to bottom: from each edge of the board to the line, as one sees its back, so left and right have changed \
         places. The line is the inner edge of the bevel; seen from the front the opening is larger all round by the \
         thickness of the board."
    );
    text.push(if is_alike {
        say!(
            " Hinge along the {}, seen from the front.",
            hinge_name(mats[0].hinge)
        )
    } else {
        " The hinge is told as seen from the front.".into()
    });
    let openings = mats.iter().map(|mat| mat.window.opening);
    if openings.clone().any(|opening| opening.is_oval) {
        text.push(
            " An oval touches the four lines in the middle of each side: draw it by its axes, which are as long as those \
             lines are apart.",
        );
    }
    if openings
        .clone()
        .any(|opening| matches!(opening.size, Outline::Regular { .. }))
    {
        text.push(say!(
            " {} Its border is square to each side.",
            polygon_cells_words("wide")
        ));
    }
    if layered {
        text.push(" Layer 1 is the top one.");
    }
    sheet.doc.line(Tone::Plain, text);
    sheet.doc.line(
        Tone::Watch,
        "A fresh blade, a piece of waste board below, and the hand that holds the rule away from the path of the blade.",
    );
}

fn hinge_name(hinge: HingeSide) -> &'static str {
    match hinge {
        HingeSide::Top => "top",
        HingeSide::Left => "left",
    }
}

fn write_glazing(sheet: &mut Sheet<'_>) {
    let mut frames = 0..sheet.job.frames.len();
    if frames.all(|frame_idx| sheet.job.sheets_to_cut(frame_idx).is_empty()) {
        return;
    }
    let heading = sheet.next(say!("{} to size", SHEET_GOODS_HEAD));
    write_sheets(&mut sheet.doc, sheet.job, heading);
    let mut materials = sheet.job.materials.iter();
    if materials.any(|material| material.cutting.fallout.is_some()) {
        let text = "Pieces that the plan cuts from what drops out of a window wait until that window is cut; the list of \
                    sheets says which they are.";
        sheet.doc.line(Tone::Watch, text);
    }
    sheet.cautions(|caution| matches!(caution, Caution::Glazing { .. }));
}

fn write_closing(sheet: &mut Sheet<'_>) {
    let closings = closings(sheet.job);
    if closings.is_empty() {
        return;
    }
    sheet.station("closing", "Points and dust cover");
    // Covers that are trimmed have two sizes, too many for one table with the points.
    let is_trimmed = closings
        .iter()
        .filter_map(|closing| closing.dust_cover)
        .any(|cover| cover.cut != cover.size);
    let mut table = frame_table()
        .column("points across", Kind::Number, Tone::Plain)
        .column("apart", Kind::Length, Tone::Plain)
        .column("up", Kind::Number, Tone::Plain)
        .column("apart", Kind::Length, Tone::Plain);
    if !is_trimmed {
        table = table
            .column("cover wide", Kind::Length, Tone::Strong)
            .column("high", Kind::Length, Tone::Strong);
    }
    for closing in &closings {
        let mut cells = frame_cells(sheet, closing);
        cells.extend(point_cells(sheet, closing));
        if !is_trimmed {
            cells.extend(size_cells(closing.dust_cover.map(|cover| cover.size)));
        }
        table.row(cells);
        if let Some(shallow) = closing.shallow {
            let text = match shallow.proud() {
                Some(proud) => say!(
                    "The package stands {} out of the rabbet: offset clips that reach so far, not points; or a rabbet {} deep.",
                    needed_with_unit(proud),
                    needed_with_unit(shallow.needed)
                ),
                None => say!(
                    "The rabbet leaves the points less room than they ask for: offset clips, or a rabbet {} deep.",
                    needed_with_unit(shallow.needed)
                ),
            };
            table.note(Tone::Watch, text);
        }
    }
    sheet.doc.table(table);
    let in_all = count_points(&closings);
    if in_all > 0 {
        let text = say!(
            "{} in all, none farther apart than {} (common practice), the first half as far from the corner. Push them \
             into the wood flat, and never toward the hand that holds the frame.",
            count_of(in_all, "point"),
            exact(sheet.job.assembly.point_spacing)
        );
        sheet.doc.line(Tone::Plain, text);
    }
    if is_trimmed {
        let mut table = frame_table()
            .column("cut cover wide", Kind::Length, Tone::Strong)
            .column("high", Kind::Length, Tone::Strong)
            .column("trimmed wide", Kind::Length, Tone::Plain)
            .column("high", Kind::Length, Tone::Plain);
        for (closing, cover) in closings.iter().filter_map(|it| Some((it, it.dust_cover?))) {
            let mut cells = frame_cells(sheet, closing);
            cells.extend(size_cells(Some(cover.cut)));
            cells.extend(size_cells(Some(cover.size)));
            table.row(cells);
        }
        sheet.doc.table(table);
    }
    if closings.iter().any(|closing| closing.dust_cover.is_some()) {
        write_cover(&mut sheet.doc, sheet.job);
    }
    for need in &hardware(sheet.job).needs {
        if let Some(cuts) = cuts_words(sheet.job, need) {
            let own = name(&sheet.job.hardware[need.hardware_idx].name);
            sheet.doc.line(Tone::Plain, say!("{}, {}.", own, cuts));
        }
    }
}

fn write_cover(doc: &mut Document, job: &Job) {
    let assembly = &job.assembly;
    let done = if assembly.dust_cover_oversize > Length::ZERO {
        say!(
            "cut {} larger at each edge and trimmed when it is dry",
            exact(assembly.dust_cover_oversize)
        )
    } else if job.dust_cover.is_some() {
        // What a plan cuts to size has nothing over that could be trimmed.
        "cut to its size".into()
    } else {
        "trimmed when it is dry".into()
    };
    let text = say!(
        "The cover stays {} inside of every outer edge. Glue on the back of the rails, paper on it, {}.",
        exact(assembly.dust_cover_margin),
        done
    );
    doc.line(Tone::Plain, text);
}

/// A table of frames.
fn frame_table() -> Table {
    Table::new()
        .column("frame", Kind::Name, Tone::Strong)
        .column("", Kind::Words, Tone::Strong)
}

/// The first cells of a row in it.
fn frame_cells(sheet: &Sheet<'_>, closing: &Closing) -> Vec<Text> {
    let copies = (closing.n_frames > 1).then(|| say!("×{}", closing.n_frames));
    vec![
        name(&sheet.job.frames[closing.frame_idx].name),
        copies.into(),
    ]
}

/// How many points are across and up, and how far apart.
fn point_cells(sheet: &Sheet<'_>, closing: &Closing) -> Vec<Text> {
    let art = sheet.job.frames[closing.frame_idx].art;
    let is_polygon = matches!(art, Outline::Regular { .. });
    let mut cells = Vec::new();
    for row in [0, 1] {
        let points = closing.points.as_ref().filter(|_| row == 0 || !is_polygon);
        cells.push(points.map(|points| points.along[row].count).into());
        cells.push(points.map(|points| place(points.along[row].apart)).into());
    }
    cells
}

/// The two cells of a size, empty where there is none.
fn size_cells(outline: Option<Outline>) -> [Text; 2] {
    match outline {
        Some(Outline::Rectangle { width, height }) => [there(width), there(height)],
        Some(Outline::Regular { sides, side, flats }) => polygon_cells(sides, side, flats, there),
        None => [Text::default(), Text::default()],
    }
}
