//! What is to be looked out for with a pane.

use crate::frame::Outline;
use crate::job::Weight;
use crate::length::Length;

use super::sheet::SizedFrame;
use super::weights::{SheetKind, of_sheet, twice_face};

/// The side of a square as large as the largest pane that asks for no second thought: 3 ft, 9 sq ft.
///
/// # Source
/// Derived from 16 CFR 1201.2(a), published, and IBC 2406.4.3, as restated; both are about doors and windows.
pub const LARGE_PANE: Length = Length::from_nm(3 * Length::FOOT.nm());

/// Glass thinner than this (3/32 in) is for no pane larger than [`THIN_GLASS`]. Common practice, no source.
const USUAL_GLASS: Length = Length::from_nm(6 * 396_875);

/// Width and height of the largest pane of thin glass, and of any glass (24 x 36, 32 x 40 in); beyond that plastic is
/// taken. Common practice, no source.
const THIN_GLASS: [i64; 2] = [24, 36];
const ANY_GLASS: [i64; 2] = [32, 40];

/// One person carries no pane that is heavier (22 lb). Common practice, no source.
pub const HEAVY_PANE: Weight = Weight::pounds(22);

/// No side of a cut pane is usually shorter (100 mm).
///
/// # Source
/// Published: EN 572-8, scope: it covers no side under 100 mm.
pub const NARROW_PANE: Length = Length::from_nm(100 * Length::MILLIMETRE.nm());

/// What is to be looked out for with a pane.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PaneTrouble {
    /// It is larger than a square of [`LARGE_PANE`].
    Large,
    /// It is larger than is usual for glass of its thickness, and thicker glass would do.
    Thin,
    /// It is larger than is usual for glass in frames, however thick.
    Vast,
    /// It is heavier than [`HEAVY_PANE`].
    Heavy,
    /// It is a strip narrower than [`NARROW_PANE`].
    Narrow,
}

/// What is to be looked out for with the pane of a frame, in the order of [`PaneTrouble`]; nothing where there is none, or it
/// is plastic by its name.
pub fn pane_troubles(sheet: &SizedFrame<'_>) -> Vec<PaneTrouble> {
    let Some(pane) = &sheet.frame.glazing else {
        return Vec::new();
    };
    let kind = SheetKind::of(&pane.name);
    if matches!(kind, Some(SheetKind::Acrylic | SheetKind::Polycarbonate)) {
        return Vec::new();
    }
    let size = sheet.package.size;
    let is_glass = kind == Some(SheetKind::Glass);
    let square = i128::from(LARGE_PANE.nm()) * i128::from(LARGE_PANE.nm());
    let is_vast = !is_within(size, ANY_GLASS);
    let is_thin = !is_vast && pane.thickness < USUAL_GLASS && !is_within(size, THIN_GLASS);
    let is_narrow =
        matches!(size, Outline::Rectangle { width, height } if width.min(height) < NARROW_PANE);
    let found = [
        (PaneTrouble::Large, twice_face(size) > 2 * square),
        (PaneTrouble::Thin, is_glass && is_thin),
        (PaneTrouble::Vast, is_glass && is_vast),
        (
            PaneTrouble::Heavy,
            is_glass && of_sheet(size, pane.thickness, SheetKind::Glass) > HEAVY_PANE,
        ),
        (PaneTrouble::Narrow, is_narrow),
    ];
    found
        .into_iter()
        .filter_map(|(trouble, is_so)| is_so.then_some(trouble))
        .collect()
}

/// Whether a pane is within so many inches by so many, either way round; of a polygon its side counts twice.
fn is_within(size: Outline, most: [i64; 2]) -> bool {
    let sides = match size {
        Outline::Rectangle { width, height } => [width.min(height), width.max(height)],
        Outline::Regular { side, .. } => [side * 2; 2],
    };
    sides[0] <= Length::INCH * most[0] && sides[1] <= Length::INCH * most[1]
}
