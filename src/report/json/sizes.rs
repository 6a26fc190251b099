//! Frames and sheets as JSON objects.

use serde::Serialize;

use crate::frame::{Depth, Holding, Miter, Mount, Outline, SheetUse};
use crate::length::Length;
use crate::tally::{AlikeSheets, FrameSheet, Unweighed, frame_weight};

/// Width and height of a rectangle; of a polygon its side and no height.
#[derive(Serialize)]
struct SizeObject {
    width_nm: i64,
    height_nm: Option<i64>,
}

impl SizeObject {
    fn new(outline: Outline) -> SizeObject {
        match outline {
            Outline::Rectangle { width, height } => SizeObject {
                width_nm: width.nm(),
                height_nm: Some(height.nm()),
            },
            Outline::Regular { side, .. } => SizeObject {
                width_nm: side.nm(),
                height_nm: None,
            },
        }
    }
}

/// One line of the list of frames with all its sizes.
#[derive(Serialize)]
pub(super) struct FrameObject<'a> {
    name: &'a str,
    quantity: u32,
    moulding: &'a str,
    sides: u32,
    miter_millidegrees: u32,
    art: SizeObject,
    art_thickness_nm: i64,
    mat: Option<MatObject<'a>>,
    windows: Vec<WindowObject>,
    package: SizeObject,
    rabbet: Option<SizeObject>,
    sight: SizeObject,
    outside: SizeObject,
    glazing: Option<&'a str>,
    backing: Option<&'a str>,
    tray_gap_nm: Option<i64>,
    stack_height_nm: i64,
    rabbet_depth_nm: Option<i64>,
    too_deep_by_nm: i64,
    /// Without the artwork, rounded up to the gram.
    weight_g: i128,
    /// What of it is not known.
    weight_without: Vec<&'static str>,
}

#[derive(Serialize)]
struct MatObject<'a> {
    /// `null` where the frame names none.
    name: Option<&'a str>,
    mount: &'static str,
    overlap_nm: Option<i64>,
    layers: u32,
    reveal_nm: i64,
    top_nm: i64,
    right_nm: i64,
    bottom_nm: i64,
    left_nm: i64,
}

/// The window of one mat board; the innermost stands first.
#[derive(Serialize)]
struct WindowObject {
    width_nm: i64,
    height_nm: i64,
}

impl<'a> FrameObject<'a> {
    pub(super) fn new(sheet: &FrameSheet<'a>) -> FrameObject<'a> {
        let frame = sheet.frame;
        let weight = frame_weight(sheet);
        FrameObject {
            name: &frame.name,
            quantity: frame.quantity,
            moulding: &sheet.moulding.name,
            sides: frame.art.n_sides(),
            miter_millidegrees: millidegrees(frame.art.miter()),
            art: SizeObject::new(frame.art),
            art_thickness_nm: frame.art_thickness.nm(),
            mat: frame.mat.as_ref().map(|mat| MatObject {
                name: mat.name.as_deref(),
                mount: match mat.mount {
                    Mount::Overlap(_) => "overlap",
                    Mount::Float => "float",
                },
                overlap_nm: match mat.mount {
                    Mount::Overlap(overlap) => Some(overlap.nm()),
                    Mount::Float => None,
                },
                layers: mat.layers,
                reveal_nm: mat.reveal.nm(),
                top_nm: mat.borders.top.nm(),
                right_nm: mat.borders.right.nm(),
                bottom_nm: mat.borders.bottom.nm(),
                left_nm: mat.borders.left.nm(),
            }),
            windows: sheet
                .package
                .windows
                .iter()
                .map(|window| WindowObject {
                    width_nm: window.width.nm(),
                    height_nm: window.height.nm(),
                })
                .collect(),
            package: SizeObject::new(sheet.package.size),
            rabbet: sheet.sizes.rabbet.map(SizeObject::new),
            sight: SizeObject::new(sheet.sizes.sight),
            outside: SizeObject::new(sheet.sizes.outside),
            glazing: frame.glazing.as_ref().map(|sheet| sheet.name.as_str()),
            backing: frame.backing.as_ref().map(|sheet| sheet.name.as_str()),
            tray_gap_nm: match frame.holding {
                Holding::Rabbet => None,
                Holding::Tray { gap } => Some(gap.nm()),
            },
            stack_height_nm: sheet.stack_height.nm(),
            rabbet_depth_nm: sheet.depth.map(|depth| depth.rabbet_depth.nm()),
            too_deep_by_nm: sheet.depth.and_then(Depth::excess).map_or(0, Length::nm),
            weight_g: weight.known.grams(),
            weight_without: weight.without.into_iter().map(unweighed).collect(),
        }
    }
}

fn unweighed(part: Unweighed) -> &'static str {
    match part {
        Unweighed::Wood => "wood",
        Unweighed::Glazing => "glazing",
        Unweighed::Backing => "backing",
    }
}

/// Sheets to cut alike.
#[derive(Serialize)]
pub(super) struct SheetObject<'a> {
    r#use: &'static str,
    mat_layer: Option<u32>,
    name: Option<String>,
    count: u64,
    size: SizeObject,
    window: Option<WindowObject>,
    frames: Vec<&'a str>,
}

impl<'a> SheetObject<'a> {
    pub(super) fn new(alike: &AlikeSheets<'a>) -> SheetObject<'a> {
        let (sheet_use, mat_layer) = match alike.sheet_use {
            SheetUse::Glazing => ("glazing", None),
            SheetUse::Mat { layer } => ("mat", Some(layer)),
            SheetUse::Backing => ("backing", None),
        };
        SheetObject {
            r#use: sheet_use,
            mat_layer,
            name: alike.name.clone(),
            count: alike.count,
            size: SizeObject::new(alike.size),
            window: alike.window.map(|(width, height)| WindowObject {
                width_nm: width.nm(),
                height_nm: height.nm(),
            }),
            frames: alike
                .frames
                .iter()
                .map(|frame| frame.name.as_str())
                .collect(),
        }
    }
}

/// Degrees off square in thousandths, to the nearest.
pub(super) fn millidegrees(miter: Miter) -> u32 {
    let (numerator, denominator) = miter.degrees();
    (numerator * 1000 + denominator / 2) / denominator
}
