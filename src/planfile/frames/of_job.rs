//! Mouldings, frames, loose pieces and sheets of a job, as a plan file tells of them.

use super::{
    Frame, GrainWish, Inner, Layer, LayerUse, Mat, MatMount, MilledWhen, Moulding, Opening, Piece,
    PiecePurpose, Rail, Sheet, Size, Spacer, SpacerStrips, Unweighed, Window,
};
use crate::frame::{self, Depth, Holding, Milled, Mount, Outline, Profile, SheetUse, side_name};
use crate::job::{Ends, Grains, Job, Purpose};
use crate::length::Length;
use crate::plan::Part;
use crate::planfile::boards::millidegrees;
use crate::tally::{AlikeSheets, SizedFrame, alike_sheets, sized_frames};

/// All mouldings of a job.
pub(in crate::planfile) fn mouldings(job: &Job) -> Vec<Moulding> {
    let moulding = |moulding: &frame::Moulding| Moulding {
        name: moulding.name.clone(),
        profile: moulding.profile.clone(),
        face_nm: moulding.face_width.nm(),
        lip_nm: moulding.lip.nm(),
        rabbet_depth_nm: moulding.rabbet_depth.map(Length::nm),
        material: moulding.material.clone(),
        thickness_nm: moulding.thickness.map(Length::nm),
        thicker_stock: moulding.thicker_stock,
        milled: match moulding.milled {
            Milled::BeforeCutting => MilledWhen::BeforeCutting,
            Milled::AfterCutting => MilledWhen::AfterCutting,
        },
        symmetric: moulding.section == Profile::Symmetric,
    };
    job.mouldings.iter().map(moulding).collect()
}

/// All frames of a job, and the sheets for them.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn frames_and_sheets(job: &Job) -> (Vec<Frame>, Vec<Sheet>) {
    let sheets = sized_frames(job);
    let grains = Grains::new(job);
    let frames = sheets.iter().enumerate();
    (
        frames
            .map(|(frame_idx, sheet)| {
                let grain = GrainWish::of(grains.granted(frame_idx));
                frame(job, sheet, grain, job.matches_color(frame_idx))
            })
            .collect(),
        alike_sheets(&sheets).iter().map(Sheet::of).collect(),
    )
}

fn frame(job: &Job, sheet: &SizedFrame<'_>, grain: GrainWish, match_color: bool) -> Frame {
    let frame = sheet.frame;
    let weight = crate::tally::frame_weight(sheet);
    Frame {
        name: frame.name.clone(),
        quantity: frame.quantity,
        moulding: sheet.moulding.name.clone(),
        sides: frame.art.n_sides(),
        miter_millidegrees: millidegrees(frame.art.miter()),
        art: Size::of(frame.art),
        package: Size::of(sheet.package.size),
        rabbet: sheet.sizes.rabbet.map(Size::of),
        sight: Size::of(sheet.sizes.sight),
        outside: Size::of(sheet.sizes.outside),
        rails: (0..frame.art.n_sides())
            .map(|side| {
                let rail = sheet.sizes.rail(side);
                Rail {
                    side: side_name(frame.art, side).into_owned(),
                    long_point_nm: rail.long_point.nm(),
                    short_point_nm: rail.short_point.nm(),
                }
            })
            .collect(),
        inner: frame
            .inner
            .iter()
            .zip(&sheet.inner)
            .map(|(inner, moulding)| Inner {
                moulding: moulding.name.clone(),
                play_nm: inner.play.nm(),
            })
            .collect(),
        held_by: frame.held_by.clone(),
        mat: frame.own_mat().map(Mat::of),
        spacer: Spacer::of(sheet),
        windows: sheet.package.windows.iter().map(Window::of).collect(),
        tray_gap_nm: match frame.holding {
            Holding::Rabbet => None,
            Holding::Tray { gap } => Some(gap.nm()),
        },
        stack: stack(job, sheet),
        stack_height_nm: sheet.stack_height.nm(),
        rabbet_depth_nm: sheet.depth.map(|depth| depth.rabbet_depth.nm()),
        too_deep_by_nm: sheet.depth.and_then(Depth::excess).map_or(0, Length::nm),
        weight_g: weight.known.grams(),
        weight_without: weight
            .without
            .into_iter()
            .map(|part| match part {
                crate::tally::Unweighed::Wood => Unweighed::Wood,
                crate::tally::Unweighed::Glazing => Unweighed::Glazing,
                crate::tally::Unweighed::Backing => Unweighed::Backing,
                crate::tally::Unweighed::Spacer => Unweighed::Spacer,
            })
            .collect(),
        grain,
        match_color,
    }
}

/// What lies in a frame, from the front; its heights sum to [`frame::stack_height`].
fn stack(job: &Job, sized: &SizedFrame<'_>) -> Vec<Layer> {
    let frame = sized.frame;
    let layer = |r#use, name: Option<&String>, thickness: Length| Layer {
        r#use,
        name: name.cloned(),
        thickness_nm: thickness.nm(),
    };
    let sheet = |r#use, sheet: &frame::Sheet| layer(r#use, Some(&sheet.name), sheet.thickness);
    let (mut before, mut behind) = (Vec::new(), Vec::new());
    before.extend(frame.glazing.iter().map(|of| sheet(LayerUse::Glazing, of)));
    let spacers = frame.spacer.iter();
    before.extend(spacers.map(|of| layer(LayerUse::Spacer, Some(&of.name), of.depth)));
    if let Some(mat) = frame.own_mat() {
        // A floated artwork lies on the innermost board.
        let n_behind = u32::from(mat.mount == Mount::Float);
        for number in 1..=mat.layers {
            let (name, thickness) = mat.board(number);
            let of_mat = layer(LayerUse::Mat, name, thickness);
            if number > n_behind {
                before.push(of_mat);
            } else {
                behind.push(of_mat);
            }
        }
    }
    before.push(match sized.inner.last() {
        Some(moulding) => {
            let (height, _) = frame::inner_height(frame, &job.mouldings);
            layer(LayerUse::Inner, Some(&moulding.name), height)
        }
        None => layer(LayerUse::Art, None, frame.art_thickness),
    });
    before.append(&mut behind);
    before.extend(frame.backing.iter().map(|of| sheet(LayerUse::Backing, of)));
    before.push(layer(LayerUse::PointRoom, None, job.shop.point_room));
    before
}

impl Size {
    fn of(outline: Outline) -> Size {
        let (width_nm, height_nm, side_nm) = match outline {
            Outline::Rectangle { width, height } => (Some(width.nm()), Some(height.nm()), None),
            Outline::Regular { side, .. } => (None, None, Some(side.nm())),
        };
        Size {
            width_nm,
            height_nm,
            side_nm,
        }
    }
}

impl Mat {
    fn of(mat: &frame::Mat) -> Mat {
        let (mount, overlap) = match mat.mount {
            Mount::Overlap(overlap) => (MatMount::Overlap, Some(overlap)),
            Mount::Float => (MatMount::Float, None),
        };
        Mat {
            name: mat.name.clone(),
            lower: mat.lower.iter().map(|sheet| sheet.name.clone()).collect(),
            mount,
            overlap_nm: overlap.map(Length::nm),
            layers: mat.layers,
            reveal_nm: mat.reveal.nm(),
            thickness_nm: mat.thickness.nm(),
            top_nm: mat.borders.top.nm(),
            right_nm: mat.borders.right.nm(),
            bottom_nm: mat.borders.bottom.nm(),
            left_nm: mat.borders.left.nm(),
        }
    }
}

impl Window {
    fn of(window: &frame::Window) -> Window {
        Window {
            size: Size::of(window.opening.size),
            oval: window.opening.is_oval,
            top_nm: window.borders.top.nm(),
            right_nm: window.borders.right.nm(),
            bottom_nm: window.borders.bottom.nm(),
            left_nm: window.borders.left.nm(),
        }
    }
}

/// All loose pieces of a job.
pub(in crate::planfile) fn pieces(job: &Job) -> Vec<Piece> {
    let lines = job.pieces.iter().enumerate();
    lines
        .map(|(piece_idx, piece)| Piece {
            name: piece.name.clone(),
            quantity: piece.quantity,
            length_nm: piece.length.nm(),
            short_point_nm: Part::Loose { piece_idx, copy: 1 }
                .short_point(job)
                .map(Length::nm),
            miter_sides: match piece.ends {
                Ends::Square => None,
                Ends::Miter => Some(4),
                Ends::Corner { sides } => Some(sides),
            },
            moulding: piece
                .moulding_idx
                .map(|idx| job.mouldings[idx].name.clone()),
            material: piece.material.clone(),
            thickness_nm: piece.thickness.map(Length::nm),
            width_nm: piece.width.map(Length::nm),
            on_edge: piece.on_edge,
            purpose: match piece.purpose {
                Purpose::Wanted => PiecePurpose::Wanted,
                Purpose::Spacer => PiecePurpose::Spacer,
                Purpose::SpareRail => PiecePurpose::SpareRail,
                Purpose::SpareOffcut => PiecePurpose::SpareOffcut,
            },
        })
        .collect()
}

impl Sheet {
    fn of(alike: &AlikeSheets<'_>) -> Sheet {
        let (r#use, mat_layer) = match alike.sheet_use {
            SheetUse::Glazing => (LayerUse::Glazing, None),
            SheetUse::Mat { layer } => (LayerUse::Mat, Some(layer)),
            SheetUse::Backing => (LayerUse::Backing, None),
            SheetUse::DustCover => (LayerUse::DustCover, None),
        };
        Sheet {
            r#use,
            mat_layer,
            name: alike.name.clone(),
            count: alike.count,
            size: Size::of(alike.size),
            window: alike.window.map(|window| Opening {
                size: Size::of(window.size),
                oval: window.is_oval,
            }),
            frames: alike
                .frames
                .iter()
                .map(|frame| frame.name.clone())
                .collect(),
        }
    }
}

impl Spacer {
    fn of(sheet: &SizedFrame<'_>) -> Option<Spacer> {
        let spacer = sheet.frame.spacer.as_ref()?;
        let strips = frame::spacer_strips(sheet.frame, &sheet.package).into_iter();
        Some(Spacer {
            name: spacer.name.clone(),
            width_nm: spacer.width.nm(),
            depth_nm: spacer.depth.nm(),
            butted: spacer.is_butted,
            bought: spacer.stock == frame::SpacerStock::Bought,
            strips: strips
                .map(|strips| SpacerStrips {
                    count: strips.count,
                    length_nm: strips.length.nm(),
                })
                .collect(),
        })
    }
}
