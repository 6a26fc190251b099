//! What the frames want of each material, what of it fits a sheet, what drops out of its windows, and what a sheet counts.

use std::collections::BTreeMap;

use crate::audit::nm;
use crate::audit::polygon::{bounds, grown};
use crate::audit::wanted::{in_rabbet, outside};
use crate::frame::{Frame, Holding, Mount, Outline, SheetUse};
use crate::job::{Job, Material, MaterialKey, Serves, SheetStock, SheetTrim};
use crate::length::Length;
use crate::plan::sheets::SheetPiece;
use crate::sheets::job::LARGEST_SIZE;

/// Width and height.
pub(super) type Size = (Length, Length);

/// What is wanted of one material.
pub(super) type Pieces = BTreeMap<SheetPiece, WantedPiece>;

/// A mat, pane, backing or dust cover that is wanted.
#[derive(Clone, Copy, Debug)]
pub(super) struct WantedPiece {
    /// Its width and height, as it is in the frame.
    pub(super) size: Size,
    /// Those of what drops out of its window, if a rectangle does.
    pub(super) window: Option<Size>,
    /// Whether some sheet that is there is large enough and can be cut so.
    pub(super) fits: bool,
}

/// What the frames want, by material.
pub(super) fn wanted(job: &Job, all: bool) -> BTreeMap<MaterialKey, Pieces> {
    let mut wanted: BTreeMap<MaterialKey, Pieces> = BTreeMap::new();
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        // The sizes of a polygon are found by halving, so they are kept for all that is as large.
        let (mut package, mut cover) = (None, None);
        for (sheet_use, name) in uses(job, frame) {
            let kept = if sheet_use == SheetUse::DustCover {
                &mut cover
            } else {
                &mut package
            };
            let size = *kept.get_or_insert_with(|| size_of(job, frame, sheet_use));
            let key = key(job, sheet_use, name);
            if !all && job.stated_material(&key).is_none() {
                continue;
            }
            let piece = WantedPiece {
                size,
                window: window(frame, sheet_use),
                fits: fits(&job.material(&key), size),
            };
            let pieces = wanted.entry(key).or_default();
            pieces.extend((1..=frame.quantity).map(|copy| {
                let name = SheetPiece {
                    frame_idx,
                    copy,
                    sheet_use,
                };
                (name, piece)
            }));
        }
    }
    wanted
}

/// The sheets of a frame, each with the name that the frame has for it.
fn uses<'j>(job: &'j Job, frame: &'j Frame) -> Vec<(SheetUse, Option<&'j String>)> {
    let mut uses = Vec::new();
    let glazing = frame.glazing.as_ref();
    uses.extend(glazing.map(|glazing| (SheetUse::Glazing, Some(&glazing.name))));
    // Artwork and mat are in the innermost frame, and in a tray there is no mat.
    if let (Some(mat), Holding::Rabbet, []) = (&frame.mat, frame.holding, &frame.inner[..]) {
        uses.extend((1..=mat.layers).map(|layer| {
            let below_top = usize::try_from(layer - 1).unwrap_or(usize::MAX);
            let lower = below_top
                .checked_sub(1)
                .and_then(|at| mat.lower.get(at).or(mat.lower.last()));
            let name = lower.map_or(mat.name.as_ref(), |lower| Some(&lower.name));
            (SheetUse::Mat { layer }, name)
        }));
    }
    let backing = frame.backing.as_ref();
    uses.extend(backing.map(|backing| (SheetUse::Backing, Some(&backing.name))));
    // A tray stays open behind, and what another frame holds is closed by the cover of that.
    if let (Some(paper), Holding::Rabbet, None, true) = (
        &job.dust_cover,
        frame.holding,
        &frame.held_by,
        frame.gets_cover,
    ) {
        uses.push((SheetUse::DustCover, Some(&paper.name)));
    }
    uses
}

/// The material of a name for a use; without a name it is the only one of which the job states the sheets, if there is just
/// one.
fn key(job: &Job, sheet_use: SheetUse, name: Option<&String>) -> MaterialKey {
    let serves = match sheet_use {
        SheetUse::Mat { .. } => Serves::Mat,
        SheetUse::Glazing => Serves::Glazing,
        SheetUse::Backing => Serves::Backing,
        SheetUse::DustCover => Serves::DustCover,
    };
    let of_use = job.materials.iter().filter(|own| own.serves == serves);
    let stated: Vec<&Material> = of_use.filter(|own| !own.stock.is_empty()).collect();
    let only = match stated[..] {
        [only] => only.name.clone(),
        _ => None,
    };
    MaterialKey {
        serves,
        name: name.cloned().or(only),
    }
}

/// To what a sheet of a frame is cut: as large as what lies in the rabbet; a dust cover as the outside less two margins, and
/// what is trimmed of it at both edges.
fn size_of(job: &Job, frame: &Frame, sheet_use: SheetUse) -> Size {
    bounds(if sheet_use == SheetUse::DustCover {
        let hidden = job.assembly.dust_cover_margin - job.assembly.dust_cover_oversize;
        grown(outside(job, frame), -hidden * 2)
    } else {
        in_rabbet(job, frame).0
    })
}

/// What drops out of the window of a mat: the artwork less two laps, or all of a floated one, which leaves the lowest
/// layer without a window; each layer above opens by two reveals more. Nothing that is an oval or a polygon is cut again.
fn window(frame: &Frame, sheet_use: SheetUse) -> Option<Size> {
    let (SheetUse::Mat { layer }, Some(mat)) = (sheet_use, &frame.mat) else {
        return None;
    };
    let Outline::Rectangle { width, height } = frame.art else {
        return None;
    };
    let hidden = match mat.mount {
        Mount::Float if layer == mat.layers => return None,
        Mount::Float => Length::ZERO,
        Mount::Overlap(lap) => lap * 2,
    };
    let shown = mat.reveal * i64::from(2 * (mat.layers - layer));
    (!mat.is_oval).then_some((width - hidden + shown, height - hidden + shown))
}

/// Whether a piece of this size can be cut from some sheet that is there.
fn fits(material: &Material, (width, height): Size) -> bool {
    let cutting = &material.cutting;
    let is_within = |length: Length, most: Option<Length>| most.is_none_or(|most| length <= most);
    let fits = |stock: &SheetStock| {
        let SheetTrim {
            left,
            right,
            bottom,
            top,
        } = stock.trim;
        let (wide, high) = (stock.width - left - right, stock.height - bottom - top);
        let lies = [(width, height), (height, width)];
        let mut lies = lies.iter().take(if cutting.may_turn { 2 } else { 1 });
        let lies_so = |&(own_width, own_height): &Size| {
            let along_width = (stock.width, own_height);
            let along_height = (stock.height, own_width);
            let is_cut = |(first, second): Size| {
                is_within(first, cutting.longest_first) && is_within(second, cutting.longest_second)
            };
            own_width <= wide && own_height <= high && (is_cut(along_width) || is_cut(along_height))
        };
        stock.quantity != Some(0) && lies.any(lies_so)
    };
    material.stock.iter().any(fits)
}

/// What a sheet of the stock counts: its price, and without one nothing; where no sheet on sale has a price, its face in
/// square millimeters, and nothing on the rack.
pub(super) fn counts(material: &Material, idx: usize) -> i128 {
    let stock = &material.stock[idx];
    let mut on_sale = material.stock.iter().filter(|stock| stock.label.is_none());
    if on_sale.any(|stock| stock.price.is_some()) {
        return stock.price.map_or(0, |price| price.minor().into());
    }
    if stock.label.is_some() {
        return 0;
    }
    let square_mm = 1_000_000_000_000;
    (nm(stock.width) * nm(stock.height) + square_mm - 1) / square_mm
}

/// Width and height of the window of a mat whose fallout may be cut: the mat itself can be, and what is left of the fallout at
/// both sides is not too small.
pub(super) fn droppable(material: &Material, piece: &WantedPiece) -> Option<Size> {
    let loss = material.cutting.fallout?;
    let (width, height) = piece.window.filter(|_| piece.fits)?;
    let least = nm(material.cutting.least_piece) + 2 * nm(loss);
    let is_enough = nm(width) >= least
        && nm(height) >= least
        && nm(width.max(height)) <= i128::from(LARGEST_SIZE);
    (is_enough && material.serves == Serves::Mat).then_some((width, height))
}
