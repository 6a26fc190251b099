//! A board laid out: where every part, saw cut and leftover of a [`Drawing`] lies, in nanometers of wood.
//!
//! Places run along the board from its near end, and across from its straightened edge, which lies above.
//! Slants and kerfs are exact to the nanometer, rounded up; what the blade takes beyond the ends of the wood is cut off.

use crate::frame::Miter;
use crate::length::Length;
use crate::report::document::{Drawing, DrawnCut, DrawnStrip};

/// A place on a board: along it and across.
pub(super) type Corner = (Length, Length);

/// A rectangle of a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Patch {
    /// Along the board, from and to.
    pub(super) along: (Length, Length),
    /// Across, from and to.
    pub(super) across: (Length, Length),
}

/// A board as it is cut.
#[derive(Clone, Debug)]
pub(super) struct Laid<'a> {
    pub(super) length: Length,
    pub(super) width: Length,
    pub(super) strips: Vec<LaidStrip<'a>>,
    /// What the blade takes where the board is ripped.
    pub(super) rips: Vec<Patch>,
    /// The raw ends that are trimmed off.
    pub(super) trims: Vec<Patch>,
    /// Pieces that go back on the rack, with their lengths along the board.
    pub(super) kept: Vec<Kept>,
    /// Defects, and whether the wood is gone there.
    pub(super) defects: Vec<(Patch, bool)>,
}

/// A piece that goes back on the rack.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kept {
    pub(super) patch: Patch,
    /// Whether it lies beside the strips and is as long as the board.
    pub(super) is_edge: bool,
}

/// A strip of a board.
#[derive(Clone, Debug)]
pub(super) struct LaidStrip<'a> {
    pub(super) drawn: &'a DrawnStrip,
    /// Across the board, from and to.
    pub(super) across: (Length, Length),
    pub(super) parts: Vec<LaidPart<'a>>,
}

/// A part on a strip.
#[derive(Clone, Debug)]
pub(super) struct LaidPart<'a> {
    pub(super) cut: &'a DrawnCut,
    /// Its outline: the outer edge from the near end on, and back along the other edge.
    pub(super) outline: [Corner; 4],
    /// How far each end runs along the strip while it crosses the part.
    pub(super) slant: Length,
    /// What the blade takes at either end, within the wood; nothing where it takes nothing.
    pub(super) kerfs: Vec<Vec<Corner>>,
}

/// The width of a part and a strip of which nothing is known: such drawings are to scale along the board alone.
const UNKNOWN_WIDTH: Length = Length::INCH;

/// Lays a drawing out.
pub(super) fn laid(drawing: &Drawing) -> Laid<'_> {
    let strips: Vec<LaidStrip<'_>> = drawing
        .strips
        .iter()
        .map(|strip| laid_strip(drawing, strip))
        .collect();
    let last = strips.last().map_or(Length::ZERO, |strip| strip.across.1);
    let edges = drawing.edges.iter();
    let edges = edges.map(|edge| ((edge.from_edge, edge.from_edge + edge.width), edge.is_kept));
    let last = edges.clone().map(|((_, to), _)| to).fold(last, Length::max);
    let width = drawing.width.unwrap_or(Length::ZERO).max(last);
    let length = drawing.length;
    let end = length - drawing.end_trim;
    let trims = [(Length::ZERO, drawing.end_trim), (end, length)];
    let trims = trims.into_iter().filter(|(from, to)| from < to);
    let mut kept = Vec::new();
    for strip in &strips {
        for rest in strip.drawn.left.iter().filter(|rest| rest.is_kept) {
            kept.push(Kept {
                patch: Patch {
                    along: (rest.from, rest.to),
                    across: strip.across,
                },
                is_edge: false,
            });
        }
    }
    for (across, _) in edges.filter(|(_, is_kept)| *is_kept) {
        kept.push(Kept {
            patch: Patch {
                along: (drawing.end_trim, end),
                across,
            },
            is_edge: true,
        });
    }
    let defects = drawing.defects.iter().map(|defect| {
        let (from, to) = defect.across.unwrap_or((Length::ZERO, width));
        let patch = Patch {
            along: (defect.from, defect.to),
            across: (from.min(width), to.min(width)),
        };
        (patch, defect.is_gone)
    });
    Laid {
        length,
        width,
        rips: rips(drawing, &strips, width),
        trims: trims
            .map(|along| Patch {
                along,
                across: (Length::ZERO, width),
            })
            .collect(),
        kept,
        defects: defects.collect(),
        strips,
    }
}

fn laid_strip<'a>(drawing: &Drawing, strip: &'a DrawnStrip) -> LaidStrip<'a> {
    let widest = strip.cuts.iter().filter_map(|cut| cut.width).max();
    let width = strip.width.or(widest).unwrap_or(UNKNOWN_WIDTH);
    LaidStrip {
        drawn: strip,
        across: (strip.from_edge, strip.from_edge + width),
        parts: strip
            .cuts
            .iter()
            .map(|cut| laid_part(drawing, strip.from_edge, cut.width.unwrap_or(width), cut))
            .collect(),
    }
}

fn laid_part<'a>(
    drawing: &Drawing,
    base: Length,
    width: Length,
    cut: &'a DrawnCut,
) -> LaidPart<'a> {
    let run = if cut.on_edge {
        Length::ZERO
    } else {
        cut.miter.run_along(width)
    };
    // A piece so short that its ends would meet has no other edge, and counts as cut square.
    let (slant, miter) = if cut.to - cut.from > run * 2 {
        (run, cut.miter)
    } else {
        (Length::ZERO, Miter::Square)
    };
    let (outer, inner) = if cut.is_turned {
        (base + width, base)
    } else {
        (base, base + width)
    };
    let (from, to) = (cut.from, cut.to);
    let along = miter.kerf_along(drawing.kerf);
    let bands = [
        [
            (from - along, outer),
            (from, outer),
            (from + slant, inner),
            (from + slant - along, inner),
        ],
        [
            (to, outer),
            (to + along, outer),
            (to - slant + along, inner),
            (to - slant, inner),
        ],
    ];
    let kerfs = bands
        .iter()
        .filter(|_| along > Length::ZERO)
        .map(|band| within(band, drawing.length))
        .filter(|band| band.len() > 2);
    LaidPart {
        cut,
        outline: [
            (from, outer),
            (to, outer),
            (to - slant, inner),
            (from + slant, inner),
        ],
        slant,
        kerfs: kerfs.collect(),
    }
}

/// What the blade takes where strips are parted: behind each strip where wood follows, and before one that does not
/// begin where the last kerf ends.
fn rips(drawing: &Drawing, strips: &[LaidStrip<'_>], width: Length) -> Vec<Patch> {
    let kerf = drawing.rip_kerf;
    if kerf == Length::ZERO || !drawing.is_ripped {
        return Vec::new();
    }
    let mut rips = Vec::new();
    let mut end = -kerf;
    for strip in strips {
        let (from, to) = strip.across;
        let first = (from - end > kerf).then(|| ((from - kerf).max(end), from));
        let next = (to < width).then(|| (to, (to + kerf).min(width)));
        let across = first.into_iter().chain(next);
        rips.extend(across.map(|across| Patch {
            along: (Length::ZERO, drawing.length),
            across,
        }));
        end = to + kerf;
    }
    rips
}

/// The part of a convex polygon between the ends of a board.
fn within(polygon: &[Corner], length: Length) -> Vec<Corner> {
    let kept = cut_off(polygon, |x| x);
    let kept = cut_off(&kept, |x| length - x);
    let mut corners: Vec<Corner> = Vec::new();
    for corner in kept {
        if corners.last() != Some(&corner) && corners.first() != Some(&corner) {
            corners.push(corner);
        }
    }
    corners
}

/// The part of a convex polygon where `inside` of a place along the board is not negative.
fn cut_off(polygon: &[Corner], inside: impl Fn(Length) -> Length) -> Vec<Corner> {
    let mut kept = Vec::new();
    for (idx, &(x, y)) in polygon.iter().enumerate() {
        let (next_x, next_y) = polygon[(idx + 1) % polygon.len()];
        let (here, there) = (inside(x), inside(next_x));
        if here >= Length::ZERO {
            kept.push((x, y));
        }
        if (here < Length::ZERO) != (there < Length::ZERO) {
            let part = |from: Length, to: Length| {
                let way = i128::from((to - from).nm()) * i128::from(here.nm());
                let way = way / i128::from((here - there).nm());
                from + Length::from_nm(i64::try_from(way).expect("a part of a length fits"))
            };
            kept.push((part(x, next_x), part(y, next_y)));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::millimeters;

    #[test]
    fn a_kerf_ends_with_the_wood() {
        let at = |x: i64, y: i64| (millimeters(x), millimeters(y));
        // Derived: the slant from (-4, 0) to (16, 20) meets the board's end at (0, 4).
        let band = [at(-4, 0), at(0, 0), at(20, 20), at(16, 20)];
        assert_eq!(
            within(&band, millimeters(100)),
            [at(0, 0), at(20, 20), at(16, 20), at(0, 4)]
        );
        // Derived: of that from (100, 0) to (120, 20) nothing but a corner is on 100 mm.
        let beyond = [at(100, 0), at(104, 0), at(124, 20), at(120, 20)];
        assert!(within(&beyond, millimeters(100)).len() < 3);
        assert_eq!(
            within(&band.map(|(x, y)| (x + millimeters(9), y)), millimeters(50)).len(),
            4
        );
    }
}
