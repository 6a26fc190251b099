//! The mat columns of a frame: borders given as such, or by the size of the package.

use super::fields::{Fields, Found, Reported};
use super::frames::Shelf;
use super::sheets::{find_lower, find_sheet};
use super::words::{MOUNTS, MountWord, SHAPES, Use};
use crate::diag::code;
use crate::frame::{Borders, Mat, Mount, Outline};
use crate::length::{Length, exact_text};

/// Published: mat board of 4 plies is nominally 1/16 in (S. Saitzyk, *Art Hardware*, 1987).
const THICKNESS: Length = Length::from_nm(1_587_500);

/// Any of these makes a mat.
const BORDERS: [&str; 5] = [
    "mat-border",
    "mat-top",
    "mat-right",
    "mat-bottom",
    "mat-left",
];
const PACKAGE: [&str; 2] = ["package-width", "package-height"];

/// Reads the mat of a frame; `None` where no border and no package is given.
pub(super) fn read_mat(
    fields: &mut Fields<'_, '_>,
    art: Found<Outline>,
    shelf: &Shelf<'_, '_>,
) -> Found<Option<Mat>> {
    let has_border = BORDERS.iter().any(|name| fields.is_filled(name));
    let has_package = PACKAGE.iter().any(|name| fields.is_filled(name));
    let sheet = find_sheet(fields, shelf.sheets, Use::Mat);
    let is_oval = read_oval(fields, has_border || has_package);
    let lower = find_lower(fields, shelf.sheets);
    if !has_border && !has_package {
        if let Some(field) = fields.field("mat") {
            let what = "`mat` needs the width of its border";
            let hint = "fill `mat-border`, or `package-width` and `package-height`".to_owned();
            return Err(fields.fault(field, code::NEEDS, what, hint));
        }
        for name in ["mount", "overlap", "mat-layers", "reveal", "lower-mat"] {
            fields.warn_no_effect(name, "on a frame without a mat");
        }
        return is_oval.map(|_| None);
    }
    let excluded = check_excluded(fields, has_border);
    let mount = read_mount(fields, shelf);
    let layers = read_layers(fields);
    let window = window(fields, art, mount);
    let borders = if has_package && !has_border {
        package_borders(fields, window)
    } else {
        written_borders(fields)
    };
    excluded?;
    window?;
    let (layers, reveal) = layers?;
    if layers == 1 {
        fields.warn_no_effect("lower-mat", "on a single mat");
    }
    let borders = borders?;
    check_top_border(fields, borders, layers, reveal)?;
    let (name, thickness) = match sheet? {
        Some(sheet) => (Some(sheet.name), sheet.thickness),
        None => (None, THICKNESS),
    };
    Ok(Some(Mat {
        name,
        borders,
        mount: mount?,
        layers,
        reveal,
        thickness,
        is_oval: is_oval?,
        lower: if layers == 1 { Vec::new() } else { lower? },
    }))
}

/// Whether the art is an oval, which only goes with a mat: the frame round it is a rectangle then.
fn read_oval(fields: &mut Fields<'_, '_>, has_mat: bool) -> Found<bool> {
    if !fields.word("shape", &SHAPES)? {
        return Ok(false);
    }
    if fields.is_filled("sides") {
        fields.check_excluded("shape", "`sides`")?;
    }
    if has_mat {
        return Ok(true);
    }
    let what = "an oval without a mat needs an oval frame, whose rails are not straight";
    let hint = "give it a mat, with an oval window in a frame of four rails; or plan its blocks as `pieces`, and leave it out here";
    Err(match fields.field("shape") {
        Some(field) => fields.fault(field, code::OVAL_RAILS, what, hint.to_owned()),
        None => fields.record_fault(code::OVAL_RAILS, what, hint.to_owned()),
    })
}

/// A mat goes with a rabbet, one round a polygon is as wide on all sides, and its size is given in one way only.
fn check_excluded(fields: &mut Fields<'_, '_>, has_border: bool) -> Found<()> {
    let mut result = Ok(());
    let all = || BORDERS.into_iter().chain(PACKAGE);
    if fields.is_filled("tray-gap") {
        for name in all() {
            let hint = format!(
                "a tray has no rabbet for a mat: for a mat behind glazing leave `tray-gap` empty; for art that is mounted on a \
                 board leave `{name}` empty, and give the size of that board as the art's"
            );
            result = fields
                .check_excluded_but(name, "`tray-gap`", hint)
                .and(result);
        }
    }
    if fields.is_filled("sides") {
        for name in all().filter(|name| *name != "mat-border") {
            result = fields.check_excluded(name, "`sides`").and(result);
        }
    }
    if has_border {
        for name in PACKAGE {
            result = fields.check_excluded(name, "a mat border").and(result);
        }
    }
    result
}

/// Overlapped or floated, with the overlap of the row or else of the shop.
fn read_mount(fields: &mut Fields<'_, '_>, shelf: &Shelf<'_, '_>) -> Found<Mount> {
    let word = fields.word("mount", &MOUNTS);
    let overlap = fields.optional_length("overlap");
    match word? {
        MountWord::Float => {
            fields.warn_no_effect("overlap", "on a floated artwork");
            overlap?;
            Ok(Mount::Float)
        }
        MountWord::Overlap => {
            let overlap = overlap?.or(shelf.mat_overlap).ok_or(Reported)?;
            Ok(Mount::Overlap(overlap))
        }
    }
}

/// Number of mats and the reveal between them.
fn read_layers(fields: &mut Fields<'_, '_>) -> Found<(u32, Length)> {
    let layers = fields.count("mat-layers");
    let reveal = fields.length("reveal");
    let (layers, reveal) = (layers?, reveal?);
    if layers == 1 {
        fields.warn_no_effect("reveal", "on a single mat");
        return Ok((1, Length::ZERO));
    }
    Ok((layers, reveal))
}

/// What the mat leaves open: the window, or the floated artwork.
fn window(
    fields: &mut Fields<'_, '_>,
    art: Found<Outline>,
    mount: Found<Mount>,
) -> Found<(Length, Length)> {
    let art = art?;
    let (width, height) = (art.side(0), art.side(1));
    let Mount::Overlap(overlap) = mount? else {
        return Ok((width, height));
    };
    let open = art.grown(-overlap * 2);
    let open = (open.side(0), open.side(1));
    if open.0 > Length::ZERO && open.1 > Length::ZERO {
        return Ok(open);
    }
    let unit = fields.scope.unit;
    let what = format!(
        "an overlap of `{}` on each side leaves no window on art of `{}` by `{}`",
        exact_text(overlap, unit),
        exact_text(width, unit),
        exact_text(height, unit)
    );
    Err(match fields.field("overlap") {
        Some(field) => fields.fault(field, code::NO_WINDOW, what, None),
        None => fields.record_fault(code::NO_WINDOW, what, None),
    })
}

/// Borders as written: `mat-border` for all four, and one column for each that differs.
fn written_borders(fields: &mut Fields<'_, '_>) -> Found<Borders> {
    let all = fields.optional_length("mat-border");
    let mut side = |name: &str| {
        let own = fields.optional_length(name)?;
        match own.or(all?) {
            Some(border) => Ok(border),
            None => Err(fields.record_fault(
                code::NEEDS,
                format!("the mat has no width for `{name}`"),
                "fill `mat-border` for all sides, or all four of them".to_owned(),
            )),
        }
    };
    let top = side("mat-top");
    let right = side("mat-right");
    let bottom = side("mat-bottom");
    let left = side("mat-left");
    Ok(Borders {
        top: top?,
        right: right?,
        bottom: bottom?,
        left: left?,
    })
}

/// Borders that center the window in the package; an odd nanometer goes to the right and the bottom.
fn package_borders(fields: &mut Fields<'_, '_>, window: Found<(Length, Length)>) -> Found<Borders> {
    let package = PACKAGE.map(|name| {
        let size = fields.optional_length(name);
        match size {
            Ok(None) => Err(fields.record_fault(
                code::NEEDS,
                format!("the package has no size for `{name}`"),
                "fill both `package-width` and `package-height`".to_owned(),
            )),
            Ok(Some(size)) => Ok(size),
            Err(reported) => Err(reported),
        }
    });
    let (open_width, open_height) = window?;
    let mut halves = |name: &str, package: Found<Length>, open: Length| {
        let rest = package? - open;
        let first = Length::from_nm(rest.nm() / 2);
        if first > Length::ZERO {
            return Ok((first, rest - first));
        }
        let unit = fields.scope.unit;
        let what = format!(
            "a package of `{}` leaves no border round a window of `{}`",
            exact_text(package?, unit),
            exact_text(open, unit)
        );
        Err(match fields.field(name) {
            Some(field) => fields.fault(field, code::NO_BORDER, what, None),
            None => Reported,
        })
    };
    let across = halves(PACKAGE[0], package[0], open_width);
    let down = halves(PACKAGE[1], package[1], open_height);
    let ((left, right), (top, bottom)) = (across?, down?);
    Ok(Borders {
        top,
        right,
        bottom,
        left,
    })
}

/// The reveals of the lower mats must leave some of the top one on every side.
fn check_top_border(
    fields: &mut Fields<'_, '_>,
    borders: Borders,
    layers: u32,
    reveal: Length,
) -> Found<()> {
    let shown = reveal * i64::from(layers - 1);
    let narrowest = borders
        .top
        .min(borders.right)
        .min(borders.bottom)
        .min(borders.left);
    if narrowest > shown {
        return Ok(());
    }
    let unit = fields.scope.unit;
    let what = format!(
        "the lower mats show `{}`, which leaves nothing of the top mat at a border of `{}`",
        exact_text(shown, unit),
        exact_text(narrowest, unit)
    );
    Err(fields.record_fault(code::NO_BORDER, what, None))
}
