//! Checks a plan against its job, by a derivation of its own.
//!
//! Nothing here is shared with what makes a plan: not `lower`, not `raise`, not the cutting model.
//! Lengths are added up as 128-bit integers, so that even a nonsensical plan is judged and not a panic.
//! Start at [`check()`]; `wanted` derives what the job asks for, `kerf` what the blade takes.

mod across;
mod chains;
mod kerf;
mod sequence;
mod violation;
mod wanted;

use std::collections::BTreeMap;

pub use violation::Violation;

use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Cut, Measure, Plan, PlannedBoard, PlannedStrip, Verdict};
use crate::stock::{Board, board_cost};
use across::{check_across, reaches};
use kerf::KerfRange;
use wanted::{Wanted, WantedPart, WantedSection, comparable};

/// Every way in which `plan` contradicts `job` or itself; empty for a sound plan.
///
/// That a bound holds cannot be seen from a plan; that it is not above its value can, and is.
///
/// Cost O(parts log boards).
///
/// # Panics
/// Only if `job` breaks its own invariants.
pub fn check(job: &Job, plan: &Plan) -> Vec<Violation> {
    let wanted = Wanted::by(job);
    let mut found = Vec::new();
    check_presence(&wanted, plan, &mut found);
    let mut boards = BoardCheck {
        job,
        wanted: &wanted,
        suitable: BTreeMap::new(),
    };
    let mut left: BTreeMap<(usize, usize), Vec<Cut>> = BTreeMap::new();
    for spare in &plan.spare_offcuts {
        let is_known = wanted
            .part(spare.part)
            .is_some_and(|(_, part)| part.is_left);
        let board = plan.boards.get(spare.board);
        if !is_known || board.is_none_or(|board| spare.strip >= board.strips.len()) {
            found.push(Violation::NotLeft {
                board: spare.board,
                part: spare.part,
            });
        }
        left.entry((spare.board, spare.strip))
            .or_default()
            .push(Cut {
                part: spare.part,
                from: spare.from,
                to: spare.to,
                turned: false,
            });
    }
    for (position, board) in plan.boards.iter().enumerate() {
        let left_on = |strip| left.get(&(position, strip)).map_or(&[][..], Vec::as_slice);
        boards.check(position, board, &left_on, &mut found);
    }
    check_numbers_and_supply(job, plan, &mut found);
    check_patterns(&wanted, plan, &mut found);
    check_value(job, plan, &mut found);
    check_bounds(plan, &mut found);
    found
}

/// Nanometres of a length, wide enough for any sum.
fn nm(length: Length) -> i128 {
    length.nm().into()
}

/// Every part of the job stands in the plan exactly once, cut or missing, and no other does.
fn check_presence(wanted: &Wanted, plan: &Plan, found: &mut Vec<Violation>) {
    let mut seen = vec![false; wanted.n_parts];
    let cut = plan.boards.iter().flat_map(PlannedBoard::cuts);
    let left = plan.spare_offcuts.iter().map(|left| left.part);
    let cut_or_left = cut.map(|cut| cut.part).chain(left);
    for part in cut_or_left.chain(plan.missing.iter().copied()) {
        match wanted.part(part) {
            None => found.push(Violation::UnknownPart { part }),
            Some((number, _)) if seen[number] => found.push(Violation::RepeatedPart { part }),
            Some((number, _)) => seen[number] = true,
        }
    }
    let lost = (0..wanted.n_parts).filter(|&number| !seen[number]);
    found.extend(
        lost.filter_map(|number| wanted.part_of_number(number))
            .map(|part| Violation::LostPart { part }),
    );
}

/// The checks of single boards, with what they remember between boards.
struct BoardCheck<'a> {
    job: &'a Job,
    wanted: &'a Wanted,
    /// Section and board index to whether they suit.
    suitable: BTreeMap<(usize, usize), bool>,
}

impl BoardCheck<'_> {
    /// Checks one board; `left_on(strip)` are the stretches that are left of a strip, as if they were cut.
    fn check<'p>(
        &mut self,
        position: usize,
        board: &'p PlannedBoard,
        left_on: &dyn Fn(usize) -> &'p [Cut],
        found: &mut Vec<Violation>,
    ) {
        if self.job.boards.get(board.board_idx).is_none() {
            found.push(Violation::UnknownBoard {
                board: position,
                board_idx: board.board_idx,
            });
            return;
        }
        if board.strips.is_empty() {
            found.push(Violation::EmptyBoard { board: position });
            return;
        }
        let mut sections = Vec::with_capacity(board.strips.len());
        for (strip_idx, strip) in board.strips.iter().enumerate() {
            // Unknown parts were reported already, and nothing else can be said of them.
            let known = |cut: &'p Cut| Some((cut, self.wanted.part(cut.part)?.1));
            let mut cuts: Vec<(&Cut, WantedPart)> = strip.cuts.iter().filter_map(known).collect();
            let left = cuts.iter().filter(|(_, part)| part.is_left);
            found.extend(left.map(|(cut, _)| Violation::MustBeLeft {
                board: position,
                part: cut.part,
            }));
            let left = left_on(strip_idx);
            cuts.extend(left.iter().filter_map(known));
            if !left.is_empty() {
                cuts.sort_by_key(|(cut, _)| cut.from);
            }
            if cuts.is_empty() {
                found.push(Violation::EmptyStrip {
                    board: position,
                    strip: strip_idx,
                });
                continue;
            }
            sections.push(&self.wanted.sections[cuts[0].1.section]);
            self.check_section((position, board.board_idx), strip, &cuts, found);
            self.check_places((position, board.board_idx), strip, &cuts, found);
        }
        // Of an empty strip no width is known, so nothing can be said of those beside it.
        if sections.len() == board.strips.len() {
            check_across(self.job, position, board, &sections, found);
        }
    }

    /// One section on the strip, the one it is said to be milled to, and one that its board suits.
    fn check_section(
        &mut self,
        (position, board_idx): (usize, usize),
        strip: &PlannedStrip,
        cuts: &[(&Cut, WantedPart)],
        found: &mut Vec<Violation>,
    ) {
        let (first, WantedPart { section, .. }) = cuts[0];
        for (cut, part) in cuts {
            if part.section != section {
                found.push(Violation::MixedSections {
                    board: position,
                    part: cut.part,
                });
            }
        }
        let needs = &self.wanted.sections[section];
        if strip.moulding_idx != needs.moulding_idx {
            found.push(Violation::WrongMoulding {
                board: position,
                planned: strip.moulding_idx,
                wanted: needs.moulding_idx,
            });
        }
        let job = self.job;
        let suits = *self
            .suitable
            .entry((section, board_idx))
            .or_insert_with(|| fits_section(job, board_idx, needs));
        if !suits {
            found.push(Violation::UnsuitableBoard {
                board: position,
                part: first.part,
            });
        }
    }

    /// Lengths, trims, gaps, order and offcut along one strip.
    fn check_places(
        &self,
        (position, board_idx): (usize, usize),
        strip: &PlannedStrip,
        cuts: &[(&Cut, WantedPart)],
        found: &mut Vec<Violation>,
    ) {
        let end_trim = nm(self.job.shop.end_trim);
        let far_trim = nm(self.job.boards[board_idx].length) - end_trim;
        for (cut, part) in cuts {
            let planned_nm = nm(cut.to) - nm(cut.from);
            if planned_nm != part.length_nm {
                found.push(Violation::WrongLength {
                    part: cut.part,
                    planned_nm,
                    wanted_nm: part.length_nm,
                });
            }
            if cut.turned && !part.may_be_turned {
                found.push(Violation::MayNotBeTurned {
                    board: position,
                    part: cut.part,
                });
            }
            if nm(cut.from) < end_trim {
                found.push(Violation::InNearTrim {
                    board: position,
                    part: cut.part,
                    from_nm: nm(cut.from),
                });
            }
            if nm(cut.to) > far_trim {
                found.push(Violation::InFarTrim {
                    board: position,
                    part: cut.part,
                    to_nm: nm(cut.to),
                });
            }
        }
        let hit: Vec<(i128, i128)> = self.job.boards[board_idx]
            .defects
            .iter()
            .filter(|defect| reaches(self.job, board_idx, defect, strip))
            .map(|defect| (nm(defect.from), nm(defect.to)))
            .collect();
        for (cut, _) in cuts {
            let touches = |&(from, to): &(i128, i128)| nm(cut.from) < to && from < nm(cut.to);
            if hit.iter().any(touches) {
                found.push(Violation::OnDefect {
                    board: position,
                    part: cut.part,
                });
            }
        }
        for neighbors in cuts.windows(2) {
            check_gap(position, neighbors[0], neighbors[1], found);
        }
        // Between two defects everything stands in its order.
        let is_parted = |left: &(&Cut, WantedPart), right: &(&Cut, WantedPart)| {
            let gap = nm(left.0.to)..=nm(right.0.from);
            hit.iter()
                .any(|(from, to)| gap.contains(from) && gap.contains(to))
        };
        for run in cuts.chunk_by(|left, right| !is_parted(left, right)) {
            sequence::check(position, run, found);
        }
        let last = cuts.iter().rfind(|(_, part)| !part.is_left);
        let (left, kerf) = match last {
            Some((cut, part)) => (far_trim - nm(cut.to), part.kerf),
            None => (far_trim - end_trim, KerfRange::square(0)),
        };
        let at_most = (left - kerf.least).max(0);
        let at_least = (left - kerf.most).max(0);
        if !(at_least..=at_most).contains(&nm(strip.offcut)) {
            found.push(Violation::WrongOffcut {
                board: position,
                planned_nm: nm(strip.offcut),
                wanted_nm: at_least,
            });
        }
    }
}

/// The least distance along the strip between two neighbors.
///
/// Each is a trapezoid: its outer edge along one edge of the strip, and shorter by a slant at either end along the
/// other. Ends are straight, so the distance is least along one of the two edges.
/// Where every two neighbors are apart, so are any two parts: on each line along the strip all of them stand in order.
fn gap(left: &Cut, left_slant_nm: i128, right: &Cut, right_slant_nm: i128) -> i128 {
    let along = |edge_is_turned: bool| {
        let set_back = |cut: &Cut, slant_nm: i128| {
            if cut.turned == edge_is_turned {
                0
            } else {
                slant_nm
            }
        };
        (nm(right.from) + set_back(right, right_slant_nm))
            - (nm(left.to) - set_back(left, left_slant_nm))
    };
    along(false).min(along(true))
}

/// The gap between two neighbors.
fn check_gap(
    position: usize,
    (left_cut, left): (&Cut, WantedPart),
    (right_cut, right): (&Cut, WantedPart),
    found: &mut Vec<Violation>,
) {
    let gap_nm = gap(left_cut, left.slant_nm, right_cut, right.slant_nm);
    let needed_nm = left.kerf.least.max(right.kerf.least);
    if gap_nm < needed_nm {
        found.push(Violation::NarrowGap {
            board: position,
            part: right_cut.part,
            gap_nm,
            needed_nm,
        });
    }
}

/// Whether a board's wood, thickness and width allow a section; what either leaves open always does.
fn fits_section(job: &Job, board_idx: usize, section: &WantedSection) -> bool {
    let board = &job.boards[board_idx];
    let same_wood = match (&section.material, &board.material) {
        (Some(wanted), Some(given)) => *wanted == comparable(given),
        _ => true,
    };
    let same_thickness = match (section.thickness, board.thickness) {
        (Some(wanted), Some(given)) => {
            wanted == given || (section.may_be_thicker && wanted < given)
        }
        _ => true,
    };
    let wide_enough = match (section.width, board.width) {
        (Some(wanted), Some(given)) => wanted <= given,
        _ => true,
    };
    same_wood && same_thickness && wide_enough
}

/// Boards of a kind are numbered in the order of the plan, from 1 or on from what an earlier plan has numbered, and there
/// are no more of them than there are.
fn check_numbers_and_supply(job: &Job, plan: &Plan, found: &mut Vec<Violation>) {
    let mut taken = vec![0_u32; job.boards.len()];
    for (position, board) in plan.boards.iter().enumerate() {
        let Some(taken) = taken.get_mut(board.board_idx) else {
            continue;
        };
        *taken += 1;
        let wanted = job.boards[board.board_idx].given.boards + *taken;
        if board.number != wanted {
            found.push(Violation::WrongNumber {
                board: position,
                planned: board.number,
                wanted,
            });
        }
    }
    for (board_idx, (board, taken)) in job.boards.iter().zip(taken).enumerate() {
        if let Some(supply) = board.quantity
            && taken > supply
        {
            found.push(Violation::SupplyExceeded {
                board_idx,
                taken: taken.into(),
                supply,
            });
        }
    }
}

/// What makes two boards alike: their kind, where their strips begin, and of each cut its strip, its place and way round,
/// its kerf and its section; and what is left on purpose.
type Likeness = (
    usize,
    Vec<Length>,
    Vec<Option<CutLikeness>>,
    Vec<(usize, Length, Length)>,
);

/// Strip, place, way round, kerf, section, and place in a chain of so many.
type CutLikeness = (usize, Length, Length, bool, i128, usize, Option<(u32, u32)>);

/// Boards cut alike stand side by side under one number, and the numbers rise from 1.
fn check_patterns(wanted: &Wanted, plan: &Plan, found: &mut Vec<Violation>) {
    let likeness = |position: usize, board: &PlannedBoard| -> Likeness {
        let of_cut = |(strip_idx, cut): (usize, &Cut)| {
            let (_, part) = wanted.part(cut.part)?;
            Some((
                strip_idx,
                cut.from,
                cut.to,
                cut.turned,
                part.kerf.least,
                part.section,
                part.link.map(|link| (link.place, link.n_rails)),
            ))
        };
        let cuts = board
            .strips
            .iter()
            .enumerate()
            .flat_map(|(strip_idx, strip)| strip.cuts.iter().map(move |cut| (strip_idx, cut)));
        let places = board.strips.iter().map(|strip| strip.from_edge);
        let left = plan.spare_offcuts.iter();
        let left = left.filter(|left| left.board == position);
        (
            board.board_idx,
            places.collect(),
            cuts.map(of_cut).collect(),
            left.map(|left| (left.strip, left.from, left.to)).collect(),
        )
    };
    let mut numbers: BTreeMap<Likeness, u32> = BTreeMap::new();
    let mut last: Option<(Likeness, u32)> = None;
    let mut next = 1;
    for (position, board) in plan.boards.iter().enumerate() {
        let likeness = likeness(position, board);
        let number = match &last {
            Some((last_likeness, number)) if *last_likeness == likeness => *number,
            _ => {
                let number = *numbers.entry(likeness.clone()).or_insert(next);
                // A pattern met again after another one keeps its number but breaks the sequence.
                if number != next {
                    found.push(Violation::WrongPattern {
                        board: position,
                        planned: board.pattern,
                        wanted: number,
                    });
                }
                next += u32::from(number == next);
                last = Some((likeness, number));
                number
            }
        };
        if board.pattern != number {
            found.push(Violation::WrongPattern {
                board: position,
                planned: board.pattern,
                wanted: number,
            });
        }
    }
}

/// The measure is the job's, and the value the sum over the boards.
fn check_value(job: &Job, plan: &Plan, found: &mut Vec<Violation>) {
    // Of a piece in hand a value of nothing says only that it should be used up first.
    let is_nothing = |board: &Board| matches!(board_cost(board), Ok(Some(Money::ZERO)));
    let priced = job
        .boards
        .iter()
        .any(|board| board.price.is_some() && !(board.in_hand.is_some() && is_nothing(board)));
    let measure = if priced {
        Measure::Price
    } else {
        Measure::BoardLength
    };
    if plan.measure != measure {
        found.push(Violation::WrongMeasure {
            planned: plan.measure,
            wanted: measure,
        });
    }
    let mut costs: Vec<i128> = Vec::with_capacity(job.boards.len());
    for (board_idx, board) in job.boards.iter().enumerate() {
        costs.push(match (measure, board_cost(board)) {
            (Measure::BoardLength, _) if board.in_hand.is_some() && is_nothing(board) => 0,
            (Measure::BoardLength, _) => nm(board.length),
            (Measure::Price, Ok(Some(cost))) => cost.minor().into(),
            (Measure::Price, Ok(None)) => 0,
            (Measure::Price, Err(_)) => {
                found.push(Violation::UnknownCost { board_idx });
                0
            }
        });
    }
    let sum: i128 = plan
        .boards
        .iter()
        .filter_map(|board| costs.get(board.board_idx))
        .sum();
    if i128::from(plan.value) != sum {
        found.push(Violation::WrongValue {
            planned: plan.value,
            wanted: sum,
        });
    }
}

/// No bound is above its value, and the verdict says whether they meet.
fn check_bounds(plan: &Plan, found: &mut Vec<Violation>) {
    if plan.lower_bound > plan.value {
        found.push(Violation::BoundAboveValue {
            lower_bound: plan.lower_bound,
            value: plan.value,
        });
    }
    let n_missing = u64::try_from(plan.missing.len()).expect("a count of parts fits 64 bits");
    if plan.missing_lower_bound > n_missing {
        found.push(Violation::MissingBoundAboveMissing {
            missing_lower_bound: plan.missing_lower_bound,
            n_missing,
        });
    }
    let bounds_meet = plan.lower_bound == plan.value && plan.missing_lower_bound == n_missing;
    if bounds_meet != (plan.verdict == Verdict::Optimal) {
        found.push(Violation::WrongVerdict {
            planned: plan.verdict,
            bounds_meet,
        });
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests;
