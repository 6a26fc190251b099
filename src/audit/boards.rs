//! Single boards: the section of each strip, lengths and places along it, and what is left on purpose.

use std::collections::BTreeMap;

use super::across::{check_across, reaches};
use super::kerf::KerfRange;
use super::wanted::{Wanted, WantedPart, WantedSection, comparable};
use super::{Violation, nm, sequence};
use crate::job::Job;
use crate::plan::{Cut, Plan, PlannedBoard, PlannedStrip};

/// Every board by itself: sections, lengths, places, and what lies where across it.
pub(super) fn check_boards(wanted: &Wanted, plan: &Plan, found: &mut Vec<Violation>) {
    let job = &plan.job;
    let mut boards = BoardCheck {
        job,
        wanted,
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
        boards.check(position, board, &left_on, found);
    }
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
pub(super) fn fits_section(job: &Job, board_idx: usize, section: &WantedSection) -> bool {
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
