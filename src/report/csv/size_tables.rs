//! Tables of sizes.

use crate::frame::{Depth, Holding, Mount, Outline, Sheet, SheetUse};
use crate::job::Job;
use crate::report::figures::degrees;
use crate::tally::{SizedFrame, alike_sheets, sized_frames};

use super::rows::{Cell, Rows, decimal, length, number};

/// Width and height of a rectangle; of a polygon its side, and no height.
fn pair(outline: Option<Outline>) -> [Cell; 2] {
    match outline {
        Some(Outline::Rectangle { width, height }) => [length(width), length(height)],
        Some(Outline::Regular { side, .. }) => [length(side), length(None)],
        None => [length(None), length(None)],
    }
}

/// How far a polygon is across its flats, where that was told.
fn flats(outline: Option<Outline>) -> Cell {
    length(match outline {
        Some(Outline::Regular { flats, .. }) => flats,
        _ => None,
    })
}

/// Every line of the list of frames with all its sizes.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn frames_csv(job: &Job) -> String {
    let sheets = sized_frames(job);
    let n_windows = sheets
        .iter()
        .map(|sheet| sheet.package.windows.len())
        .max()
        .unwrap_or(0);
    let window_heads: Vec<String> = (1..=n_windows)
        .flat_map(|window| {
            [
                format!("window-{window}-width@"),
                format!("window-{window}-height@"),
            ]
        })
        .collect();
    let mut heads = vec![
        "frame",
        "quantity",
        "moulding",
        "sides",
        "miter-degrees",
        "holding",
        "mount",
        "mat",
        "mat-layers",
        "glazing",
        "backing",
        "art-width@",
        "art-height@",
        "art-across-flats@",
        "art-thickness@",
        "overlap@",
        "reveal@",
        "mat-top@",
        "mat-right@",
        "mat-bottom@",
        "mat-left@",
    ];
    heads.extend(window_heads.iter().map(String::as_str));
    heads.extend([
        "package-width@",
        "package-height@",
        "rabbet-width@",
        "rabbet-height@",
        "sight-width@",
        "sight-height@",
        "outside-width@",
        "outside-height@",
        "outside-across-flats@",
        "stack-height@",
        "rabbet-depth@",
        "too-deep-by@",
        "tray-gap@",
    ]);
    let mut rows = Rows::new(&job.display, &heads);
    for sheet in &sheets {
        rows.row(frame_cells(sheet, n_windows));
    }
    rows.into_text()
}

/// One row of [`frames_csv`].
fn frame_cells(sheet: &SizedFrame<'_>, n_windows: usize) -> Vec<Cell> {
    let frame = sheet.frame;
    let mat = frame.own_mat();
    let (mount, overlap) = match mat.map(|mat| mat.mount) {
        None => ("", None),
        Some(Mount::Float) => ("float", None),
        Some(Mount::Overlap(overlap)) => ("overlap", Some(overlap)),
    };
    let (holding, gap) = match frame.holding {
        Holding::Rabbet => ("rabbet", None),
        Holding::Tray { gap } => ("tray", Some(gap)),
    };
    let sheet_name = |sheet: &Option<Sheet>| -> Cell {
        sheet
            .as_ref()
            .map_or("", |sheet| sheet.name.as_str())
            .into()
    };
    let mut cells: Vec<Cell> = vec![
        frame.name.as_str().into(),
        number(frame.quantity),
        sheet.moulding.name.as_str().into(),
        number(frame.art.n_sides()),
        decimal(degrees(frame.art.miter(), 3)),
        holding.into(),
        mount.into(),
        mat.and_then(|mat| mat.name.as_deref())
            .unwrap_or_default()
            .into(),
        mat.map_or_else(String::new, |mat| mat.layers.to_string())
            .into(),
        sheet_name(&frame.glazing),
        sheet_name(&frame.backing),
    ];
    cells.extend(pair(Some(frame.art)));
    cells.push(flats(Some(frame.art)));
    cells.extend([
        length(frame.art_thickness),
        length(overlap),
        length(mat.filter(|mat| mat.layers > 1).map(|mat| mat.reveal)),
        length(mat.map(|mat| mat.borders.top)),
        length(mat.map(|mat| mat.borders.right)),
        length(mat.map(|mat| mat.borders.bottom)),
        length(mat.map(|mat| mat.borders.left)),
    ]);
    for window_idx in 0..n_windows {
        let window = sheet.package.windows.get(window_idx);
        cells.extend(pair(window.map(|window| window.opening.size)));
    }
    cells.extend(pair(Some(sheet.package.size)));
    cells.extend(pair(sheet.sizes.rabbet));
    cells.extend(pair(Some(sheet.sizes.sight)));
    cells.extend(pair(Some(sheet.sizes.outside)));
    cells.push(flats(Some(sheet.sizes.outside)));
    cells.extend([
        length(sheet.stack_height),
        length(sheet.depth.map(|depth| depth.rabbet_depth)),
        length(sheet.depth.and_then(Depth::excess)),
        length(gap),
    ]);
    cells
}

/// Mat boards, glazing, backing and dust covers in sheets to cut, alike ones together. Dust covers that are cut larger have the
/// size to cut first, and that which stays once they are trimmed behind it.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn sheets_csv(job: &Job) -> String {
    let mut rows = Rows::new(
        &job.display,
        &[
            "use",
            "mat-layer",
            "sheet",
            "cut",
            "sides",
            "frames",
            "width@",
            "height@",
            "across-flats@",
            "trimmed-width@",
            "trimmed-height@",
            "trimmed-across-flats@",
            "window-width@",
            "window-height@",
            "window-across-flats@",
            "window-shape",
        ],
    );
    for alike in alike_sheets(&sized_frames(job)) {
        let (sheet_use, layer) = match alike.sheet_use {
            SheetUse::Glazing => ("glazing", String::new()),
            SheetUse::Mat { layer } => ("mat", layer.to_string()),
            SheetUse::Backing => ("backing", String::new()),
            SheetUse::DustCover => ("dust-cover", String::new()),
        };
        let frames: Vec<&str> = alike
            .frames
            .iter()
            .map(|frame| frame.name.as_str())
            .collect();
        let mut cells: Vec<Cell> = vec![
            sheet_use.into(),
            layer.into(),
            alike.name.unwrap_or_default().into(),
            number(alike.count),
            number(alike.size.n_sides()),
            frames.join("; ").into(),
        ];
        let window = alike.window.map(|window| window.size);
        for outline in [Some(alike.size), alike.trimmed, window] {
            cells.extend(pair(outline));
            cells.push(flats(outline));
        }
        let is_oval = alike.window.is_some_and(|window| window.is_oval);
        cells.push(if is_oval { "oval" } else { "" }.into());
        rows.row(cells);
    }
    rows.into_text()
}
