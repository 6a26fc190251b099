//! What a job wants, derived from it alone: the length, kerf and section of every part.

use std::collections::BTreeMap;

use super::boards::fits_section;
use super::chains::{Link, links};
use super::kerf::{KerfRange, run_of_slant};
use crate::frame::{Frame, Holding, Milled, Moulding, Mount, Outline, Profile, frame_sizes};
use crate::job::{Ends, Job, Purpose};
use crate::length::Length;
use crate::plan::Part;

/// What one part must be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct WantedPart {
    /// Length along the outer edge.
    pub(super) length_nm: i128,
    /// What the saw takes along the strip at its ends.
    pub(super) kerf: KerfRange,
    /// How far its slanting ends run along the strip; zero where they do not slant, or the width is unknown.
    pub(super) slant_nm: i128,
    /// Whether it may lie turned end for end.
    pub(super) may_be_turned: bool,
    /// Its section, an index into [`Wanted::sections`].
    pub(super) section: usize,
    /// Whether it is not to be cut but left.
    pub(super) is_left: bool,
    /// Its place among rails that must follow each other on one strip.
    pub(super) link: Option<Link>,
}

/// A section of wood, as the board it is cut from must be.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct WantedSection {
    /// The moulding, if it is one.
    pub(super) moulding_idx: Option<usize>,
    /// In lower case, trimmed.
    pub(super) material: Option<String>,
    pub(super) thickness: Option<Length>,
    /// Whether a thicker board will do.
    pub(super) may_be_thicker: bool,
    pub(super) width: Option<Length>,
}

/// One line of frames or of pieces.
struct Line {
    /// Number of its first part among all parts of the job.
    first_part: usize,
    quantity: u32,
    /// Parts of one copy.
    per_copy: u32,
    /// Of each side.
    by_side: Vec<WantedPart>,
}

/// Everything a job wants.
pub(super) struct Wanted {
    frames: Vec<Line>,
    pieces: Vec<Line>,
    /// Every section that is wanted.
    pub(super) sections: Vec<WantedSection>,
    /// Number of parts in all.
    pub(super) n_parts: usize,
}

impl Wanted {
    pub(super) fn by(job: &Job) -> Wanted {
        let mut wanted = Wanted {
            frames: Vec::with_capacity(job.frames.len()),
            pieces: Vec::with_capacity(job.pieces.len()),
            sections: Vec::new(),
            n_parts: 0,
        };
        let mut section_numbers = BTreeMap::new();
        let mut corner_kerfs = BTreeMap::new();
        let kerf_nm = job.shop.kerf.nm();
        let mut corner_kerf = |n_sides| {
            *corner_kerfs
                .entry(n_sides)
                .or_insert_with(|| KerfRange::corner(kerf_nm, n_sides))
        };
        let mut corner_slants = BTreeMap::new();
        let mut corner_slant = |moulding_idx: usize, n_sides| {
            *corner_slants
                .entry((moulding_idx, n_sides))
                .or_insert_with(|| {
                    run_of_slant(job.mouldings[moulding_idx].face_width.nm(), n_sides)
                })
        };
        let mut longest = BTreeMap::new();
        for frame in &job.frames {
            let section = wanted.section(
                moulding_section(job, frame.moulding_idx),
                &mut section_numbers,
            );
            let (n_sides, lengths) = long_points(job, frame);
            let kerf = corner_kerf(n_sides);
            let lengths_nm: Vec<i128> = (0..n_sides)
                .map(|side| lengths[usize::from(side % 2 == 1)].nm().into())
                .collect();
            let longest_nm = *longest
                .entry(frame.moulding_idx)
                .or_insert_with(|| longest_board(job, &wanted.sections[section]));
            let links = links(job, frame, &lengths_nm, kerf.most, longest_nm);
            let parts = lengths_nm
                .iter()
                .zip(links)
                .map(|(&length_nm, link)| WantedPart {
                    length_nm,
                    kerf,
                    slant_nm: corner_slant(frame.moulding_idx, n_sides),
                    // Turned rails would not carry the grain on.
                    may_be_turned: link.is_none()
                        && is_turnable(&job.mouldings[frame.moulding_idx]),
                    section,
                    is_left: false,
                    link,
                });
            let line = wanted.line(frame.quantity, parts.collect());
            wanted.frames.push(line);
        }
        for piece in &job.pieces {
            let section = match piece.moulding_idx {
                Some(moulding_idx) => moulding_section(job, moulding_idx),
                None => WantedSection {
                    moulding_idx: None,
                    material: piece.material.as_deref().map(comparable),
                    thickness: piece.thickness,
                    may_be_thicker: false,
                    width: piece.width,
                },
            };
            let length_nm = i128::from(piece.length.nm());
            let slant_nm = match (piece.moulding_idx, piece.ends) {
                (Some(moulding_idx), Ends::Miter) => corner_slant(moulding_idx, 4),
                _ => 0,
            };
            // What is no trapezoid has no end that runs all across the strip; it is judged as if it were square.
            let slant_nm = if length_nm > 2 * slant_nm {
                slant_nm
            } else {
                0
            };
            let part = WantedPart {
                length_nm,
                slant_nm,
                may_be_turned: slant_nm > 0
                    && piece
                        .moulding_idx
                        .is_some_and(|idx| is_turnable(&job.mouldings[idx])),
                kerf: match (piece.purpose, piece.ends) {
                    // Nothing is sawn there.
                    (Purpose::SpareOffcut, _) => KerfRange::square(0),
                    (_, Ends::Square) => KerfRange::square(kerf_nm),
                    (_, Ends::Miter) => corner_kerf(4),
                    (_, Ends::Corner { sides }) => corner_kerf(sides),
                },
                is_left: piece.purpose == Purpose::SpareOffcut,
                section: wanted.section(section, &mut section_numbers),
                link: None,
            };
            let line = wanted.line(piece.quantity, vec![part]);
            wanted.pieces.push(line);
        }
        wanted
    }

    /// The number of a section, new if it was not met before.
    fn section(
        &mut self,
        section: WantedSection,
        numbers: &mut BTreeMap<WantedSection, usize>,
    ) -> usize {
        let next = self.sections.len();
        let number = *numbers.entry(section.clone()).or_insert(next);
        if number == next {
            self.sections.push(section);
        }
        number
    }

    /// A line of `quantity` times these parts, numbered on from the last.
    fn line(&mut self, quantity: u32, by_side: Vec<WantedPart>) -> Line {
        let first_part = self.n_parts;
        let per_copy = u32::try_from(by_side.len()).expect("a frame has few sides");
        let n_parts = u64::from(quantity) * u64::from(per_copy);
        self.n_parts += usize::try_from(n_parts).expect("load caps the number of parts");
        Line {
            first_part,
            quantity,
            per_copy,
            by_side,
        }
    }

    /// The number of a part among all parts, and what it must be; `None` if the job has no such part.
    pub(super) fn part(&self, part: Part) -> Option<(usize, WantedPart)> {
        let (line, copy, side) = match part {
            Part::Rail {
                frame_idx,
                copy,
                side,
            } => (self.frames.get(frame_idx)?, copy, side),
            Part::Loose { piece_idx, copy } => (self.pieces.get(piece_idx)?, copy, 0),
        };
        if !(1..=line.quantity).contains(&copy) || side >= line.per_copy {
            return None;
        }
        let within = u64::from(copy - 1) * u64::from(line.per_copy) + u64::from(side);
        let number = line.first_part + usize::try_from(within).ok()?;
        Some((number, line.by_side[usize::try_from(side).ok()?]))
    }

    /// The part of a number.
    pub(super) fn part_of_number(&self, number: usize) -> Option<Part> {
        let in_lines = |lines: &[Line]| {
            let line_idx = lines
                .partition_point(|line| line.first_part <= number)
                .checked_sub(1)?;
            let line = &lines[line_idx];
            let within = u32::try_from(number - line.first_part).ok()?;
            let copy = within.checked_div(line.per_copy)? + 1;
            (copy <= line.quantity).then_some((line_idx, copy, within % line.per_copy))
        };
        if let Some((frame_idx, copy, side)) = in_lines(&self.frames) {
            return Some(Part::Rail {
                frame_idx,
                copy,
                side,
            });
        }
        in_lines(&self.pieces).map(|(piece_idx, copy, _)| Part::Loose { piece_idx, copy })
    }
}

/// What the trims leave of the longest board there is that a section allows; nothing where there is none.
fn longest_board(job: &Job, section: &WantedSection) -> i128 {
    let trims = 2 * i128::from(job.shop.end_trim.nm());
    (0..job.boards.len())
        .filter(|&idx| job.boards[idx].quantity != Some(0) && fits_section(job, idx, section))
        .map(|idx| i128::from(job.boards[idx].length.nm()) - trims)
        .max()
        .unwrap_or(0)
}

/// Whether a strip of this moulding is the same from either edge when the rails are sawn.
fn is_turnable(moulding: &Moulding) -> bool {
    matches!(
        (moulding.milled, moulding.section),
        (Milled::AfterCutting, _) | (_, Profile::Symmetric)
    )
}

/// The form in which materials are compared.
pub(super) fn comparable(material: &str) -> String {
    material.to_lowercase().trim().to_owned()
}

fn moulding_section(job: &Job, moulding_idx: usize) -> WantedSection {
    let moulding = &job.mouldings[moulding_idx];
    WantedSection {
        moulding_idx: Some(moulding_idx),
        material: moulding.material.as_deref().map(comparable),
        thickness: moulding.thickness,
        may_be_thicker: moulding.thicker_stock,
        width: Some(moulding.face_width),
    }
}

/// Number of sides, and the long points of the even and of the odd sides.
///
/// Rectangles are summed up here from the frame's own numbers; polygons are left to `frame`, which has the tangents.
fn long_points(job: &Job, frame: &Frame) -> (u32, [Length; 2]) {
    let moulding = &job.mouldings[frame.moulding_idx];
    let (width, height) = match frame.art {
        Outline::Rectangle { width, height } => (width, height),
        Outline::Regular { sides, .. } => {
            let sizes = frame_sizes(frame, moulding, job.shop.fit_allowance);
            return (sides, [sizes.rail(0).long_point; 2]);
        }
    };
    let full_width = moulding.face_width * 2;
    let added = match frame.holding {
        Holding::Tray { gap } => [gap * 2 + full_width; 2],
        Holding::Rabbet => {
            let round_package = job.shop.fit_allowance + full_width - moulding.lip * 2;
            match &frame.mat {
                None => [round_package; 2],
                Some(mat) => {
                    let hidden = match mat.mount {
                        Mount::Overlap(overlap) => overlap * 2,
                        Mount::Float => Length::ZERO,
                    };
                    let beside = mat.borders.left + mat.borders.right;
                    let above_and_below = mat.borders.top + mat.borders.bottom;
                    [
                        round_package + beside - hidden,
                        round_package + above_and_below - hidden,
                    ]
                }
            }
        }
    };
    (4, [width + added[0], height + added[1]])
}
