//! What finished frames weigh, from the sizes of their parts.
//!
//! A rail is its face by its thickness between the means of its long and short points, less its rabbet:
//! with `LP`, `SP` and `R` the long point, the short point and the rabbet of each side, `F` the face, `T` the thickness,
//! `L` the lip and `D` the depth of the rabbet,
//!
//! `V = sum (F T (LP + SP) - L D (SP + R)) / 2`.
//!
//! Nothing is taken off for a profile, nor for a rabbet whose depth is not given, and mats count without their windows,
//! so a frame is rather lighter than this. Boards of one species differ by a tenth: published, Forest Products Laboratory
//! Technical Note 218 (1931). The artwork and hardware, a dust cover off a roll among it, are never in it; one that is cut
//! from a sheet is.
//!
//! What wood and sheets weigh is told from their `names`; what no name tells is said to be unknown, and no weight is made up.

mod names;

use crate::frame::{
    Frame, FrameSizes, Holding, Moulding, Outline, SpacerStock, across_flats, spacer_strips,
};
use crate::job::Weight;
use crate::length::Length;
use crate::tally::SizedFrame;

use names::wood_density;

pub use names::SheetKind;

/// What of a frame's weight is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unweighed {
    /// The moulding: its wood or its thickness is not given, or not known here.
    Wood,
    /// The glazing.
    Glazing,
    /// The backing.
    Backing,
    /// The spacer.
    Spacer,
}

/// What a finished frame weighs without its artwork.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FrameWeight {
    /// All of it that is known.
    pub known: Weight,
    /// What is not in it but should be, in the order of [`Unweighed`].
    pub without: Vec<Unweighed>,
    /// Whether the frame is a tray: what stands in it is a canvas or a panel, which may weigh more than the frame.
    pub is_of_tray: bool,
}

impl FrameWeight {
    /// Whether what hangs may weigh much more than is known: something is missing, or a canvas or panel stands in a tray.
    pub fn is_known_in_part(&self) -> bool {
        self.is_of_tray || !self.without.is_empty()
    }
}

/// What would have to be told for all of a frame's weight to be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Untold<'a> {
    /// The wood of a moulding of this name.
    Wood(&'a str),
    /// What wood this name means, of a moulding's.
    WhichWood(&'a str),
    /// The thickness of a moulding of this name.
    Thickness(&'a str),
    /// What glazing of this name is made of.
    Glazing(&'a str),
    /// What a backing of this name is made of.
    Backing(&'a str),
    /// What the art in the tray of this frame weighs, a canvas or a panel.
    TrayArt(&'a str),
}

/// What of a frame is not known that may weigh more than all that is: a pane, a back; of its wood, and that of the frames inside
/// of it, each thing that is not told. What stands in a tray is a canvas or a panel, which may weigh more than the frame;
/// behind glazing it is paper, and weighs little beside that.
pub fn untold<'a>(sheet: &SizedFrame<'a>) -> Vec<Untold<'a>> {
    let mut untold = Vec::new();
    for moulding in [sheet.moulding].iter().chain(&sheet.inner) {
        match &moulding.material {
            None => untold.push(Untold::Wood(&moulding.name)),
            Some(wood) if wood_density(wood).is_none() => untold.push(Untold::WhichWood(wood)),
            Some(_) => {}
        }
        if moulding.thickness.is_none() {
            untold.push(Untold::Thickness(&moulding.name));
        }
    }
    let unknown = |given: Option<&'a crate::frame::Sheet>| {
        given.filter(|given| SheetKind::of(&given.name).is_none())
    };
    let glazing = unknown(sheet.frame.glazing.as_ref());
    untold.extend(glazing.map(|pane| Untold::Glazing(&pane.name)));
    let backing = unknown(sheet.frame.backing.as_ref());
    untold.extend(backing.map(|back| Untold::Backing(&back.name)));
    if sheet.frame.holding != Holding::Rabbet {
        untold.push(Untold::TrayArt(&sheet.frame.name));
    }
    untold
}

/// What a frame weighs, from its sizes, with the frames inside of it; all but the artwork.
pub fn frame_weight(sheet: &SizedFrame<'_>) -> FrameWeight {
    let frame = sheet.frame;
    let mut weight = FrameWeight {
        is_of_tray: frame.holding != Holding::Rabbet,
        ..FrameWeight::default()
    };
    let mut add = |part: Option<Weight>, unknown: Unweighed| match part {
        Some(part) => weight.known = weight.known.and(part),
        None => weight.without.push(unknown),
    };
    let inner = sheet.inner.iter().zip(&sheet.package.inner);
    let rails = [wood(sheet.moulding, &sheet.sizes)].into_iter();
    let rails = rails.chain(inner.map(|(moulding, sizes)| wood(moulding, sizes)));
    // What is known of the wood counts, as of all else, and what is not is told once.
    let rails: Vec<Option<Weight>> = rails.collect();
    if rails.contains(&None) {
        add(None, Unweighed::Wood);
    }
    for rails in rails.into_iter().flatten() {
        add(Some(rails), Unweighed::Wood);
    }
    let named = |given: Option<&crate::frame::Sheet>| {
        given.map(|given| {
            let kind = SheetKind::of(&given.name)?;
            Some(of_sheet(sheet.package.size, given.thickness, kind))
        })
    };
    if let Some(glazing) = named(frame.glazing.as_ref()) {
        add(glazing, Unweighed::Glazing);
    }
    if let Some(backing) = named(frame.backing.as_ref()) {
        add(backing, Unweighed::Backing);
    }
    if frame.spacer.is_some() {
        add(spacer(sheet), Unweighed::Spacer);
    }
    weight.known = weight.known.and(mats(frame, sheet));
    weight.known = weight.known.and(dust_cover(sheet));
    weight
}

/// The mat boards of a frame and of those inside of it, windows and all; none in a tray.
fn mats(frame: &Frame, sheet: &SizedFrame<'_>) -> Weight {
    let Some(mat) = frame
        .mat
        .as_ref()
        .filter(|_| frame.holding == Holding::Rabbet)
    else {
        return Weight::ZERO;
    };
    let size = sheet.package.content;
    let layers = (1..=mat.layers).map(|layer| mat.board(layer).1);
    layers.fold(Weight::ZERO, |all, thickness| {
        all.and(of_sheet(size, thickness, SheetKind::MatBoard))
    })
}

/// The dust cover as it is once it is trimmed, where it is cut from a sheet: of paper, unless its name tells otherwise.
fn dust_cover(sheet: &SizedFrame<'_>) -> Weight {
    let Some((paper, size)) = sheet.dust_cover else {
        return Weight::ZERO;
    };
    let kind = SheetKind::of(&paper.name).unwrap_or(SheetKind::Paper);
    of_sheet(size, paper.thickness, kind)
}

/// The strips of a spacer, each as a block; `None` where their wood is not known.
fn spacer(sheet: &SizedFrame<'_>) -> Option<Weight> {
    let spacer = sheet.frame.spacer.as_ref()?;
    let SpacerStock::Boards { material, .. } = &spacer.stock else {
        return None;
    };
    let density = wood_density(material.as_deref()?)?;
    let strips = spacer_strips(sheet.frame, &sheet.package).into_iter();
    let length: Length = strips.map(|of| of.length * i64::from(of.count)).sum();
    let section = times(wide(spacer.width), wide(spacer.depth));
    Some(Weight::of_halves(times(section, 2 * wide(length)), density))
}

/// A whole sheet of a size.
pub(super) fn of_sheet(size: Outline, thickness: Length, kind: SheetKind) -> Weight {
    Weight::of_halves(times(twice_face(size), wide(thickness)), kind.density())
}

/// Twice the face of an outline in square nanometers; of a polygon rounded up.
pub(super) fn twice_face(size: Outline) -> i128 {
    match size {
        Outline::Rectangle { width, height } => times(2 * wide(width), wide(height)),
        // As many triangles as sides, each half as high as the polygon is across.
        Outline::Regular { sides, side, flats } => {
            let around = wide(side) * i128::from(sides);
            times(around, wide(across_flats(sides, side, flats))) / 2 + 1
        }
    }
}

/// The rails of a frame; `None` where their wood or thickness is not known.
fn wood(moulding: &Moulding, sizes: &FrameSizes) -> Option<Weight> {
    let density = wood_density(moulding.material.as_deref()?)?;
    let thickness = moulding.thickness?;
    let half_nm3 = (0..sizes.n_sides())
        .map(|side| {
            let (long, short) = (sizes.outside.side(side), sizes.sight.side(side));
            let section = times(wide(moulding.face_width), wide(thickness));
            let solid = times(section, wide(long + short));
            let rabbet = sizes.rabbet.zip(moulding.rabbet_depth);
            let rabbet = rabbet.map_or(0, |(rabbet, depth)| {
                let step = times(wide(moulding.lip), wide(depth));
                times(step, wide(short + rabbet.side(side)))
            });
            solid.saturating_sub(rabbet)
        })
        .fold(0_i128, i128::saturating_add);
    Some(Weight::of_halves(half_nm3, density))
}

/// A product of measures; what is far beyond any frame stays the greatest number there is.
fn times(one: i128, other: i128) -> i128 {
    one.saturating_mul(other)
}

fn wide(length: Length) -> i128 {
    i128::from(length.nm())
}

#[cfg(test)]
mod tests;
