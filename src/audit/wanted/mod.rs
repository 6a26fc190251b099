//! What a job asks for, derived from it alone and once: the length, kerf and section of every part, which parts are
//! alike, what boards there are for them, and what a board costs.

mod chains;
mod kerf;
mod wood;
mod yard;

use std::collections::BTreeMap;

use super::nm;
use super::polygon::grown;
use crate::frame::{ChosenBoards, Frame, Holding, Milled, Moulding, Mount, Outline, Profile};
use crate::job::{Ends, Job, Piece, Purpose};
use crate::length::Length;
use crate::plan::{Measure, Part};

pub(super) use chains::Link;
use chains::links;
pub(super) use kerf::KerfRange;
use kerf::run_of_slant;
pub(super) use wood::{Stretch, Taken, supply};
pub(super) use yard::Stick;

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
    /// Of what is not to be cut but left, the length of the rail that is to be cut from it.
    pub(super) rail_nm: Option<i128>,
    /// Its place among rails that must follow each other on one strip.
    pub(super) link: Option<Link>,
    /// What it is cut as: an index into [`Wanted::classes`].
    pub(super) class: usize,
}

impl WantedPart {
    /// Whether it is not to be cut but left.
    pub(super) fn is_left(&self) -> bool {
        self.rail_nm.is_some()
    }
}

/// Parts, or chains of parts, that are alike for the saw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Class {
    /// An index into [`Wanted::sections`].
    pub(super) section: usize,
    /// What the saw takes along the strip at their ends at least.
    pub(super) kerf_nm: i128,
    /// What each of a run saves where neighbors lie turned end for end; zero where they may not.
    pub(super) saving_nm: i128,
    /// Length along the outer edge; of a chain from the first long point to the last.
    pub(super) length_nm: i128,
    /// Of what is not to be cut but left, the length of the rail that is to be cut from it; the length above is then what
    /// that takes behind cuts.
    pub(super) rail_nm: Option<i128>,
    /// The boards they must come from.
    pub(super) boards: ChosenBoards,
    /// How many there are, a chain counting as one.
    pub(super) count: u64,
    /// How many parts each is: 1, or the rails of a chain.
    pub(super) n_rails: u64,
}

/// Section, whether left, kerf, saving, the lengths of the chain, and the boards they must come from.
type ClassKey = (usize, bool, i128, i128, Vec<i128>, ChosenBoards);

/// So many miters of a moulding are turned end for end at most: those of the fewest sides.
const MOST_TURNED: usize = 6;

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
    /// The profile of which strips that are milled already will do.
    pub(super) profile: Option<String>,
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

/// Everything a job asks for.
pub(super) struct Wanted<'j> {
    pub(super) job: &'j Job,
    frames: Vec<Line>,
    pieces: Vec<Line>,
    /// Every section that is wanted.
    pub(super) sections: Vec<WantedSection>,
    /// All classes of parts.
    pub(super) classes: Vec<Class>,
    /// Number of parts in all.
    pub(super) n_parts: usize,
    /// `widest_kerfs[q]`: the widest kerf of a part of section `q`.
    widest_kerfs: Vec<i128>,
    /// `takings[b][q]`: how section `q` is taken from a board of line `b`, or from a slice of it, if either suits it.
    pub(super) takings: Vec<Vec<Option<Taken>>>,
    /// What values are measured in.
    pub(super) measure: Measure,
    /// `costs[b]`: what one board of line `b` costs in it; `None` where that cannot be worked out.
    pub(super) costs: Vec<Option<i64>>,
}

/// What is numbered while a job is gone through.
#[derive(Default)]
struct Numbers {
    sections: BTreeMap<WantedSection, usize>,
    classes: BTreeMap<ClassKey, usize>,
}

/// What the saw does at the corners of a job, worked out once for each number of sides.
struct Corners<'j> {
    job: &'j Job,
    kerfs: BTreeMap<u32, KerfRange>,
    slants: BTreeMap<(usize, u32), i128>,
    /// Numbers of sides whose rails may lie turned end for end, of each moulding.
    turned: Vec<Vec<u32>>,
}

impl Corners<'_> {
    fn new(job: &Job) -> Corners<'_> {
        let of_moulding = |idx: usize| {
            if !is_turnable(&job.mouldings[idx]) {
                return Vec::new();
            }
            let frames = job.frames.iter().filter(|frame| frame.moulding_idx == idx);
            let mut sides: Vec<u32> = frames.map(|frame| frame.art.n_sides()).collect();
            let is_mitered =
                |piece: &&Piece| piece.moulding_idx == Some(idx) && piece.ends == Ends::Miter;
            sides.extend(job.pieces.iter().filter(is_mitered).map(|_| 4));
            sides.sort_unstable();
            sides.dedup();
            sides.truncate(MOST_TURNED);
            sides
        };
        Corners {
            job,
            kerfs: BTreeMap::new(),
            slants: BTreeMap::new(),
            turned: (0..job.mouldings.len()).map(of_moulding).collect(),
        }
    }

    fn kerf(&mut self, n_sides: u32) -> KerfRange {
        let kerf = self.job.shop.kerf.nm();
        let make = || KerfRange::corner(kerf, n_sides);
        *self.kerfs.entry(n_sides).or_insert_with(make)
    }

    /// How far the ends of a part run along the strip, and whether it may lie turned.
    ///
    /// What is no trapezoid has no end that runs all across the strip; it is judged as if it were square.
    fn slant(&mut self, moulding_idx: usize, n_sides: u32, length_nm: i128) -> (i128, bool) {
        let face_width = self.job.mouldings[moulding_idx].face_width.nm();
        let make = || run_of_slant(face_width, n_sides);
        let slants = self.slants.entry((moulding_idx, n_sides));
        let slant_nm = *slants.or_insert_with(make);
        if length_nm > 2 * slant_nm {
            (slant_nm, self.turned[moulding_idx].contains(&n_sides))
        } else {
            (0, false)
        }
    }
}

impl Wanted<'_> {
    pub(super) fn by(job: &Job) -> Wanted<'_> {
        let (measure, costs) = wood::costs(job);
        let mut wanted = Wanted {
            job,
            frames: Vec::with_capacity(job.frames.len()),
            pieces: Vec::with_capacity(job.pieces.len()),
            sections: Vec::new(),
            classes: Vec::new(),
            n_parts: 0,
            widest_kerfs: Vec::new(),
            takings: Vec::new(),
            measure,
            costs,
        };
        let mut numbers = Numbers::default();
        let mut corners = Corners::new(job);
        wanted.note_widest_kerfs(&mut corners, &mut numbers);
        let mut longest = BTreeMap::new();
        for frame in &job.frames {
            let moulding_idx = frame.moulding_idx;
            let section = wanted.section(moulding_section(job, moulding_idx), &mut numbers);
            let (n_sides, lengths) = long_points(job, frame);
            let kerf = corners.kerf(n_sides);
            let lengths_nm: Vec<i128> = (0..n_sides)
                .map(|side| nm(lengths[usize::from(side % 2 == 1)]))
                .collect();
            let longest_nm = *longest
                .entry((moulding_idx, &frame.boards))
                .or_insert_with(|| wanted.longest_clear(section, &frame.boards));
            let links = links(job, frame, &lengths_nm, kerf.most, longest_nm);
            let parts = lengths_nm.iter().zip(links).map(|(&length_nm, link)| {
                let (slant_nm, may_be_turned) = corners.slant(moulding_idx, n_sides, length_nm);
                WantedPart {
                    length_nm,
                    kerf,
                    slant_nm,
                    // Turned rails would not carry the grain on.
                    may_be_turned: may_be_turned && link.is_none(),
                    section,
                    rail_nm: None,
                    link,
                    class: 0,
                }
            });
            let of_line = (frame.quantity, &frame.boards);
            let line = wanted.line(of_line, parts.collect(), &mut numbers);
            wanted.frames.push(line);
        }
        for piece in &job.pieces {
            let part = wanted.loose(piece, &mut corners, &mut numbers);
            let of_line = (piece.quantity, &piece.boards);
            let line = wanted.line(of_line, vec![part], &mut numbers);
            wanted.pieces.push(line);
        }
        let sections = &wanted.sections;
        let taken = |board| {
            sections
                .iter()
                .map(move |section| wood::taken(job, board, section))
        };
        wanted.takings = job
            .boards
            .iter()
            .map(|board| taken(board).collect())
            .collect();
        wanted
    }

    /// Notes the widest kerf of each moulding that is used; what is clear beside a defect depends on it.
    fn note_widest_kerfs(&mut self, corners: &mut Corners<'_>, numbers: &mut Numbers) {
        let job = self.job;
        for frame in &job.frames {
            let kerf = corners.kerf(frame.art.n_sides());
            let section = self.section(moulding_section(job, frame.moulding_idx), numbers);
            self.widest_kerfs[section] = self.widest_kerfs[section].max(kerf.least);
        }
        for piece in &job.pieces {
            let part = self.loose(piece, corners, numbers);
            self.widest_kerfs[part.section] = self.widest_kerfs[part.section].max(part.kerf.least);
        }
    }

    /// What a loose piece must be.
    fn loose(
        &mut self,
        piece: &Piece,
        corners: &mut Corners<'_>,
        numbers: &mut Numbers,
    ) -> WantedPart {
        let job = self.job;
        let section = match piece.moulding_idx {
            Some(moulding_idx) => moulding_section(job, moulding_idx),
            None => WantedSection {
                moulding_idx: None,
                material: piece.material.as_deref().map(comparable),
                thickness: piece.thickness,
                may_be_thicker: false,
                width: piece.width,
                profile: None,
            },
        };
        let is_left = piece.purpose == Purpose::SpareOffcut;
        let rail_nm = is_left.then_some(nm(piece.length));
        // The end that is cut is trimmed again by the next job, and what is too short is not kept.
        let length_nm = rail_nm.map_or(nm(piece.length), |rail_nm| {
            (rail_nm + nm(job.shop.end_trim)).max(nm(job.shop.shortest_offcut))
        });
        let n_sides = match piece.ends {
            Ends::Square => None,
            Ends::Miter => Some(4),
            Ends::Corner { sides } => Some(sides),
        };
        let (slant_nm, may_be_turned) = match (piece.moulding_idx, n_sides) {
            (Some(moulding_idx), Some(sides)) => corners.slant(moulding_idx, sides, length_nm),
            _ => (0, false),
        };
        WantedPart {
            length_nm,
            slant_nm,
            may_be_turned,
            kerf: match n_sides {
                // Nothing is sawn there.
                _ if is_left => KerfRange::square(0),
                None => KerfRange::square(job.shop.kerf.nm()),
                Some(sides) => corners.kerf(sides),
            },
            rail_nm,
            section: self.section(section, numbers),
            link: None,
            class: 0,
        }
    }

    /// The number of a section, new if it was not met before.
    fn section(&mut self, section: WantedSection, numbers: &mut Numbers) -> usize {
        let next = self.sections.len();
        let number = *numbers.sections.entry(section.clone()).or_insert(next);
        if number == next {
            self.sections.push(section);
            self.widest_kerfs.push(0);
        }
        number
    }

    /// A line of `quantity` times these parts, all from `boards`, numbered on from the last; their classes are told to them.
    fn line(
        &mut self,
        (quantity, boards): (u32, &ChosenBoards),
        mut by_side: Vec<WantedPart>,
        numbers: &mut Numbers,
    ) -> Line {
        // What must stay together is cut as one.
        #[expect(clippy::type_complexity, reason = "a table that lives for a few lines")]
        let mut chains: BTreeMap<(Option<u32>, usize), Vec<(u32, usize)>> = BTreeMap::new();
        for (side, part) in by_side.iter().enumerate() {
            let (chain, place) = match part.link {
                Some(link) => ((Some(link.chain), 0), link.place),
                None => ((None, side), 0),
            };
            chains.entry(chain).or_default().push((place, side));
        }
        for mut chain in chains.into_values() {
            chain.sort_unstable();
            let lengths = chain.iter().map(|&(_, side)| by_side[side].length_nm);
            let class = self.class(&by_side[chain[0].1], lengths.collect(), boards, numbers);
            self.classes[class].count += u64::from(quantity);
            for (_, side) in chain {
                by_side[side].class = class;
            }
        }
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

    /// The number of the class of a part, or of the chain it begins, new if it was not met before.
    fn class(
        &mut self,
        part: &WantedPart,
        lengths: Vec<i128>,
        boards: &ChosenBoards,
        numbers: &mut Numbers,
    ) -> usize {
        let (section, kerf_nm) = (part.section, part.kerf.least);
        let saving_nm = if part.may_be_turned { part.slant_nm } else { 0 };
        let with_kerfs: i128 = lengths.iter().map(|length| length + kerf_nm).sum();
        let n_rails = u64::try_from(lengths.len()).expect("a frame has few sides");
        let next = self.classes.len();
        let (is_left, chosen) = (part.is_left(), boards.clone());
        let key = (section, is_left, kerf_nm, saving_nm, lengths, chosen);
        let number = *numbers.classes.entry(key).or_insert(next);
        if number == next {
            self.widest_kerfs[section] = self.widest_kerfs[section].max(kerf_nm);
            self.classes.push(Class {
                section,
                kerf_nm,
                saving_nm,
                length_nm: with_kerfs - kerf_nm,
                rail_nm: part.rail_nm,
                boards: boards.clone(),
                count: 0,
                n_rails,
            });
        }
        number
    }

    /// Whether a board of this line may be cut into parts of a class, and suits them, resawn or not and length apart.
    pub(super) fn may_give(&self, board_idx: usize, class: usize) -> bool {
        let class = &self.classes[class];
        self.takings[board_idx][class.section].is_some() && class.boards.allow(board_idx)
    }

    /// How long a strip from which nothing is cut must be clear, so that it is kept and a rail of this length can be cut from
    /// it: only its raw ends are trimmed.
    pub(super) fn uncut_nm(&self, rail_nm: i128) -> i128 {
        rail_nm.max(nm(self.job.shop.shortest_offcut))
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

/// Whether a strip of this moulding is the same from either edge when the rails are sawn.
fn is_turnable(moulding: &Moulding) -> bool {
    matches!(
        (moulding.milled, moulding.section),
        (Milled::AfterCutting, _) | (_, Profile::Symmetric)
    )
}

/// The form in which materials are compared.
fn comparable(material: &str) -> String {
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
        // A handed strip that is milled has every rail the same way round, which one milled later need not have.
        profile: match (moulding.milled, moulding.section) {
            (Milled::AfterCutting, Profile::Handed) => None,
            (Milled::BeforeCutting, _) | (_, Profile::Symmetric) => Some(moulding.profile.clone()),
        },
    }
}

/// Number of sides, and the long points of the even and of the odd sides.
fn long_points(job: &Job, frame: &Frame) -> (u32, [Length; 2]) {
    match outside(job, frame) {
        Outline::Rectangle { width, height } => (4, [width, height]),
        Outline::Regular { sides, side, .. } => (sides, [side; 2]),
    }
}

/// What a frame measures over everything, summed up from its own numbers.
pub(super) fn outside(job: &Job, frame: &Frame) -> Outline {
    let (held, play) = in_rabbet(job, frame);
    let moulding = &job.mouldings[frame.moulding_idx];
    let round = match frame.holding {
        Holding::Rabbet => play + beside(moulding),
        Holding::Tray { gap } => gap * 2 + moulding.face_width * 2,
    };
    grown(held, round)
}

/// Two faces of a moulding without the lips that cover what is inside.
fn beside(moulding: &Moulding) -> Length {
    moulding.face_width * 2 - moulding.lip * 2
}

/// All that a frame holds, and its play in the rabbet.
pub(super) fn in_rabbet(job: &Job, frame: &Frame) -> (Outline, Length) {
    let mut held = frame.art;
    if let (Holding::Rabbet, Some(mat)) = (frame.holding, &frame.mat) {
        let hidden = match mat.mount {
            Mount::Overlap(overlap) => overlap * 2,
            Mount::Float => Length::ZERO,
        };
        held = match held {
            Outline::Rectangle { width, height } => Outline::Rectangle {
                width: width + mat.borders.left + mat.borders.right - hidden,
                height: height + mat.borders.top + mat.borders.bottom - hidden,
            },
            // It has one border all round.
            Outline::Regular { .. } => grown(held, mat.borders.top * 2 - hidden),
        };
    }
    // From the artwork outwards: each frame inside, with the play of what it holds.
    let mut play = job.shop.fit_allowance;
    for inner in &frame.inner {
        held = grown(held, play + beside(&job.mouldings[inner.moulding_idx]));
        play = inner.play;
    }
    (held, play)
}

#[cfg(test)]
mod tests;
