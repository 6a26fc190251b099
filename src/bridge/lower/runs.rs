//! The ways to use a board with defects: which clear runs its strips have, and where they lie.

use std::collections::BTreeSet;

use crate::length::Length;
use crate::stock::{Board, Parting, Rip, Run};

use super::Place;
use super::ways::{LeftItem, MOST_WAYS, Way};

/// A section that can be ripped from a board: the width of its strips and the widest kerf of its parts.
pub(super) struct Lane {
    /// Width as ripped.
    pub(super) width: Length,
    /// The widest kerf between its parts.
    pub(super) widest_kerf: Length,
    /// What is to be left of it, if anything.
    pub(super) left: Option<LeftItem>,
}

/// A clear run of a strip, and whether something may be left on it behind cuts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct OpenRun {
    pub(super) run: Run,
    pub(super) may_leave: bool,
}

/// The clear `runs` of one strip in order.
///
/// What is left before a defect ends at the next cut behind that, and the next job trims that end as well: so the defect
/// must be as long as the trim and the kerf.
pub(super) fn open_runs(runs: Vec<Run>, end_trim: Length, widest_kerf: Length) -> Vec<OpenRun> {
    let begins: Vec<Length> = runs.iter().skip(1).map(|run| run.0).collect();
    let next = begins.into_iter().map(Some).chain([None]);
    let open = runs.into_iter().zip(next).map(|(run, next)| OpenRun {
        run,
        may_leave: next.is_none_or(|next| next - run.1 >= end_trim + widest_kerf),
    });
    open.collect()
}

/// The `strip`-th of a board with nothing cut from its clear `runs`, left for a spare offcut, if that has room.
///
/// `None` too where one of them has room for it behind cuts, for that way will do without any as well.
pub(super) fn uncut_way(runs: &[OpenRun], left: Option<LeftItem>, strip: usize) -> Option<Way> {
    let left = left?;
    let holds = |open: &&OpenRun, needed: Length| open.run.1 - open.run.0 >= needed;
    let does_behind_cuts = |open: &OpenRun| open.may_leave && holds(&open, left.behind_cuts);
    if runs.iter().any(does_behind_cuts) {
        return None;
    }
    let from = runs.iter().find(|open| holds(open, left.uncut))?.run.0;
    Some(Way {
        strips: vec![left.kind],
        places: vec![Place {
            strip,
            stretch: 0,
            from_edge: None,
            from,
        }],
        is_kept: false,
        parting: Parting::default(),
    })
}

/// All ways to choose one of `kinds[r]` for each of the clear `runs` of one strip, which is the `strip`-th of its board;
/// runs without a kind carry nothing. `false` if there are too many.
pub(super) fn ways_of_runs(runs: &[(OpenRun, Vec<usize>)], strip: usize) -> (Vec<Way>, bool) {
    let mut ways = vec![Way::default()];
    for (open, kinds) in runs.iter().filter(|(_, kinds)| !kinds.is_empty()) {
        ways = ways
            .iter()
            .flat_map(|way| {
                kinds.iter().map(|&kind| {
                    let mut way = way.clone();
                    way.strips.push(kind);
                    way.places.push(Place {
                        strip,
                        stretch: 0,
                        from_edge: None,
                        from: open.run.0,
                    });
                    way
                })
            })
            .collect();
        if ways.len() > MOST_WAYS {
            ways.truncate(MOST_WAYS);
            return (ways, false);
        }
    }
    ways.retain(|way| !way.strips.is_empty());
    (ways, true)
}

/// All ways to rip a board on which a defect leaves part of the width clear, where strips must stand in a certain order.
///
/// Strips can be pushed to the left until each touches the one before, the straightened edge, or the end of a defect on
/// that edge that it would else run into; so they begin there. Of ways that give the same strips the first is kept.
/// `kinds_of(lane, run)` are the kinds of strip of a run of that lane. `false` if there are too many.
pub(super) fn ways_across(
    board: &Board,
    rip: &Rip,
    end_trim: Length,
    lanes: &[Lane],
    kinds_of: &mut dyn FnMut(usize, OpenRun) -> Vec<usize>,
) -> (Vec<Way>, bool) {
    let Some(width) = board.width else {
        return (Vec::new(), true);
    };
    let mut search = Search {
        board,
        rip,
        end_trim,
        room: rip.room(width),
        starts: board.starts(rip),
        lanes,
        kinds_of,
        seen: BTreeSet::new(),
        ways: Vec::new(),
        n_visited: 0,
    };
    search.visit(Length::ZERO, &Way::default(), 0);
    (search.ways, search.n_visited <= MOST_WAYS)
}

struct Search<'a> {
    board: &'a Board,
    rip: &'a Rip,
    end_trim: Length,
    room: Length,
    /// Where a defect on the left edge ends.
    starts: BTreeSet<Length>,
    lanes: &'a [Lane],
    kinds_of: &'a mut dyn FnMut(usize, OpenRun) -> Vec<usize>,
    /// The strips of each way found, in rising order.
    seen: BTreeSet<Vec<usize>>,
    ways: Vec<Way>,
    n_visited: usize,
}

impl Search<'_> {
    fn visit(&mut self, at: Length, way: &Way, n_strips: usize) {
        self.n_visited += 1;
        if self.n_visited > MOST_WAYS {
            return;
        }
        let mut is_full = true;
        for lane_idx in 0..self.lanes.len() {
            if at + self.lanes[lane_idx].width > self.room {
                continue;
            }
            let next = at + self.lanes[lane_idx].width + self.rip.kerf;
            // Where nothing is clear nothing need lie.
            for strip in self.strips_at(lane_idx, at, n_strips) {
                is_full = false;
                let mut longer = way.clone();
                longer.strips.extend(strip.strips);
                longer.places.extend(strip.places);
                self.visit(next, &longer, n_strips + 1);
            }
        }
        if let Some(&later) = self.starts.range(at + Length::from_nm(1)..).next() {
            // What lies between is left.
            self.visit(later, way, n_strips);
        } else if is_full && !way.strips.is_empty() {
            let mut strips = way.strips.clone();
            strips.sort_unstable();
            if self.seen.insert(strips) {
                self.ways.push(way.clone());
            }
        }
    }

    /// The ways to use a strip of a lane that begins at `at` across the board; none where nothing of it is clear.
    fn strips_at(&mut self, lane_idx: usize, at: Length, strip: usize) -> Vec<Way> {
        let lane = &self.lanes[lane_idx];
        let end = at + lane.width;
        let (board, rip) = (self.board, self.rip);
        let runs = board.clear_runs(self.end_trim, lane.widest_kerf, |defect| {
            defect.reaches(board, rip, (at, end))
        });
        let runs = open_runs(runs, self.end_trim, lane.widest_kerf);
        let uncut = uncut_way(&runs, lane.left, strip);
        let runs: Vec<(OpenRun, Vec<usize>)> = runs
            .into_iter()
            .map(|run| (run, (self.kinds_of)(lane_idx, run)))
            .collect();
        let (mut ways, is_complete) = ways_of_runs(&runs, strip);
        ways.extend(uncut);
        if !is_complete {
            self.n_visited = MOST_WAYS + 1;
        }
        for way in &mut ways {
            for place in &mut way.places {
                place.from_edge = Some(at);
            }
        }
        ways
    }
}
