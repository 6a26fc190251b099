//! The wood of a job, by balance: what was there and what was bought is in the parts, is in hand, or is lost, to the nanometer.

use std::collections::{BTreeMap, BTreeSet};

use crate::length::Length;
use crate::plan::{LeftoverKind, Part, PieceKind, Plan, PlannedBoard, gaps, is_edge_kept, is_kept};
use crate::stock::{Board, folded_material};
use crate::tally::{rack_added, rack_left};

use super::rack::is_of_rack;
use super::summary::is_ripped;

/// How wood is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CountedBy {
    /// By length along the outer edge, in nanometers: no board is ripped.
    Length,
    /// By face, in square nanometers: some board is ripped.
    Face,
}

/// Where the wood of one material comes from, and what becomes of it: `before`, `bought` and `resawn` are the sum of all the
/// others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Balance {
    /// The material, in lower case; `None` of boards that name none.
    pub material: Option<String>,
    /// What the figures are.
    pub counted_by: CountedBy,
    /// The rack before the job.
    pub before: i128,
    /// Boards that are bought.
    pub bought: i128,
    /// What resawing adds, as every slice is as long and as wide as its board.
    pub resawn: i128,
    /// Rails and pieces of the job; what two of them span together, by sharing a slanting cut, counts once.
    pub parts: i128,
    /// What was cut and is in no frame, less what of it is cut again or goes on the rack.
    pub spoiled: i128,
    /// The rack after the job.
    pub after: i128,
    /// Trims at the ends of boards that are not part of a piece on the rack.
    pub trims: i128,
    /// Kerfs beside the parts.
    pub kerfs: i128,
    /// Ends and edges that are not kept, defects, and what is sawn off a spare that stands for a shorter rail.
    pub scrap: i128,
    /// What ripping, straightening and planing take from the width; 0 where wood is counted by length.
    pub ripped: i128,
}

/// Parts that were cut and are in no frame, each with the board of the job that it is, if something is cut from it or it is
/// good for something.
pub type Idle = BTreeMap<Part, Option<usize>>;

impl Balance {
    /// All that there was.
    pub fn sources(&self) -> i128 {
        self.before + self.bought + self.resawn
    }

    /// All that becomes of it.
    pub fn uses(&self) -> i128 {
        self.parts + self.spoiled + self.after + self.lost()
    }

    /// What is neither in a part nor in hand, nor was spoiled.
    pub fn lost(&self) -> i128 {
        self.trims + self.kerfs + self.scrap + self.ripped
    }

    fn new(material: Option<String>) -> Balance {
        Balance {
            material,
            counted_by: CountedBy::Length,
            before: 0,
            bought: 0,
            resawn: 0,
            parts: 0,
            spoiled: 0,
            after: 0,
            trims: 0,
            kerfs: 0,
            scrap: 0,
            ripped: 0,
        }
    }

    /// A stretch of this width, as it counts here.
    fn size(&self, length: Length, width: Option<Length>) -> i128 {
        let length = i128::from(length.nm());
        match self.counted_by {
            CountedBy::Length => length,
            CountedBy::Face => length * i128::from(width.unwrap_or(Length::ZERO).nm()),
        }
    }

    fn of_board(&self, board: &Board) -> i128 {
        self.size(board.lying_length(), board.width)
    }
}

/// The balances of a plan, by the names of the materials; none of a material of which some board is ripped and the width of
/// another is not known. Where some board names no material, what is left of it may: then all wood is one.
///
/// # Panics
/// If `plan` names a board that its job does not have.
pub fn balances(plan: &Plan, idle: &Idle) -> Vec<Balance> {
    let job = &plan.job;
    let taken: BTreeSet<usize> = plan.boards.iter().map(|board| board.board_idx).collect();
    let counts = |(idx, board): &(usize, &Board)| board.in_hand.is_some() || taken.contains(idx);
    let of_job = || job.boards.iter().enumerate().filter(counts);
    let mut count = Count {
        plan,
        idle,
        is_one: of_job().any(|(_, board)| board.material.is_none()),
        all: BTreeMap::new(),
        idle_left: BTreeMap::new(),
        pieces: BTreeMap::new(),
    };
    for board in &job.boards {
        let wood = count.wood(board);
        let new = || Balance::new(wood.clone());
        count.all.entry(wood.clone()).or_insert_with(new);
    }
    for planned in &plan.boards {
        if is_ripped(job, planned) {
            count.of(planned).counted_by = CountedBy::Face;
        }
    }
    let unknown = of_job().filter(|(_, board)| board.width.is_none());
    let unknown: BTreeSet<Option<String>> = unknown.map(|(_, board)| count.wood(board)).collect();
    count.bought();
    for board in job.boards.iter().filter(|board| is_of_rack(board)) {
        let quantity = i128::from(board.quantity.unwrap_or(1));
        let balance = count.of_wood(board);
        balance.before += balance.of_board(board) * quantity;
    }
    count.racks();
    // Rails in hand are counted when what they were cut from has been.
    let is_rail = |planned: &PlannedBoard| job.boards[planned.board_idx].given.rail.is_some();
    for rails in [false, true] {
        let boards = plan.boards.iter().enumerate();
        for (at, planned) in boards.filter(|(_, planned)| is_rail(planned) == rails) {
            count.board(at, planned);
        }
    }
    count.spoiled();
    let is_known = |balance: &Balance| {
        balance.counted_by == CountedBy::Length || !unknown.contains(&balance.material)
    };
    let is_there = |balance: &Balance| balance.sources() > 0;
    let all = count.all.into_values();
    all.filter(|balance| is_known(balance) && is_there(balance))
        .collect()
}

struct Count<'p> {
    plan: &'p Plan,
    idle: &'p Idle,
    /// Whether all wood counts together.
    is_one: bool,
    all: BTreeMap<Option<String>, Balance>,
    /// What of each part that was cut and is in no frame is neither cut again nor kept.
    idle_left: BTreeMap<Part, (Option<String>, i128)>,
    /// The sizes of what goes on the rack, by board, what of it they are, and where they begin.
    pieces: BTreeMap<(usize, LeftoverKind, Length), i128>,
}

impl Count<'_> {
    fn of(&mut self, planned: &PlannedBoard) -> &mut Balance {
        self.of_wood(&self.plan.job.boards[planned.board_idx])
    }

    /// The wood that a board counts as.
    fn wood(&self, board: &Board) -> Option<String> {
        let material = board.material.as_deref().filter(|_| !self.is_one);
        material.map(folded_material)
    }

    /// The balance of that.
    fn of_wood(&mut self, board: &Board) -> &mut Balance {
        let balance = self.all.get_mut(&self.wood(board));
        balance.expect("each board of the job has one, and what is left of it")
    }

    /// What was bought already, and what the yard has cut off what of it stays whole.
    fn bought(&mut self) {
        let job = &self.plan.job;
        for (board_idx, board) in job.boards.iter().enumerate() {
            if !board.is_bought() || board.given.rail.is_some() {
                continue;
            }
            let is_it = |planned: &&PlannedBoard| planned.board_idx == board_idx;
            let taken = self.plan.boards.iter().filter(is_it).count();
            let all = i128::from(board.quantity.unwrap_or(1));
            let whole = all - i128::try_from(taken).expect("boards in memory can be counted");
            let balance = self.of_wood(board);
            balance.bought += balance.of_board(board) * all;
            if let Some(at_yard) = &board.at_yard {
                let n_cuts = i128::from(board.n_yard_cuts());
                balance.kerfs += balance.size(at_yard.kerf, board.width) * n_cuts * whole;
            }
        }
    }

    /// The rack after the job.
    fn racks(&mut self) {
        for board in rack_left(self.plan) {
            let balance = self.of_wood(&board);
            let quantity = i128::from(board.quantity.unwrap_or(1));
            balance.after += balance.of_board(&board) * quantity;
        }
        for new in rack_added(self.plan) {
            let balance = self.of_wood(&new.board);
            let size = balance.of_board(&new.board);
            balance.after += size;
            let left = &new.left;
            self.pieces.insert((left.board, left.kind, left.from), size);
        }
    }

    /// What becomes of a board.
    fn board(&mut self, at: usize, planned: &PlannedBoard) {
        let job = &self.plan.job;
        let board = &job.boards[planned.board_idx];
        let is_rail = board.given.rail.is_some();
        let size = self.of(planned).of_board(board);
        if is_rail {
            let part = self
                .idle
                .iter()
                .find(|(_, idx)| **idx == Some(planned.board_idx));
            if let Some((part, _)) = part
                && let Some((_, left)) = self.idle_left.get_mut(part)
            {
                *left -= size;
            }
        } else if board.in_hand.is_none() && !board.given.is_piece {
            self.of(planned).bought += size;
        }
        let of_stretches = planned.stretches.iter().map(|on| on.to - on.from);
        let of_runs = planned.runs().into_iter().map(|(from, to)| to - from);
        let added = of_stretches.sum::<Length>() - of_runs.sum::<Length>();
        let resawn = self.of(planned).size(added, board.width);
        self.of(planned).resawn += resawn;
        let (mut wood, mut of_strips) = (size + resawn, 0);
        for strip_idx in 0..planned.strips.len() {
            of_strips += self.strip(at, planned, strip_idx);
        }
        wood -= of_strips;
        for stretch in 0..planned.stretches.len() {
            for nth in 0..planned.stretches[stretch].beside.len() {
                wood -= self.edge(at, planned, stretch, nth);
            }
            if planned.is_parted() && planned.strips_of(stretch).next().is_none() {
                wood -= self.uncut(at, planned, stretch);
            }
        }
        if let Some(at_yard) = &board.at_yard {
            let n_cuts = i64::try_from(planned.yard_cuts().count()).expect("a few cuts");
            let kerfs = self.of(planned).size(at_yard.kerf * n_cuts, board.width);
            self.of(planned).kerfs += kerfs;
            wood -= kerfs;
        }
        // By length a board counts once for each strip, and is one strip.
        self.of(planned).ripped += wood;
    }

    /// What becomes of a piece beside the strips of a stretch; returns all of it.
    fn edge(&mut self, at: usize, planned: &PlannedBoard, stretch: usize, nth: usize) -> i128 {
        let job = &self.plan.job;
        let width = planned.stretches[stretch].beside[nth].width;
        let length = planned.wood(job, stretch).length;
        let edge = self.of(planned).size(length, Some(width));
        let kind = PieceKind::Edge { stretch, nth };
        // What is a board itself is counted with that.
        if planned.used_again.contains(&kind) {
            return edge;
        }
        if is_edge_kept(job, planned, stretch, nth) {
            let kept = self
                .pieces
                .get(&(at, LeftoverKind::Piece(kind), Length::ZERO));
            let kept = kept.copied().unwrap_or(0);
            self.of(planned).ripped += edge - kept;
        } else {
            self.of(planned).scrap += edge;
        }
        edge
    }

    /// What becomes of a stretch from which nothing is cut; returns all of it.
    fn uncut(&mut self, at: usize, planned: &PlannedBoard, stretch: usize) -> i128 {
        let wood = planned.wood(&self.plan.job, stretch);
        let size = self.of(planned).of_board(&wood);
        let whole = PieceKind::Stretch(stretch);
        if planned.used_again.contains(&whole) {
            return size;
        }
        let kept = self.pieces.iter();
        let kept = kept
            .filter(|((board, kind, _), _)| (*board, *kind) == (at, LeftoverKind::Piece(whole)));
        let kept: i128 = kept.map(|(_, size)| size).sum();
        self.of(planned).scrap += size - kept;
        size
    }

    /// What becomes of a strip; returns all of it.
    fn strip(&mut self, at: usize, planned: &PlannedBoard, strip_idx: usize) -> i128 {
        let job = &self.plan.job;
        let board = &job.boards[planned.board_idx];
        let strip = &planned.strips[strip_idx];
        let trim = job.shop.end_trim;
        // The trims of a rail in hand are not there.
        let absent = if board.given.rail.is_some() {
            trim
        } else {
            Length::ZERO
        };
        let wood = planned.wood_of_strip(job, strip_idx);
        let (near, far) = (absent, wood.length - absent);
        // From where to where, and of what kind.
        let mut taken: Vec<(Length, Length, Option<usize>)> = Vec::new();
        for (idx, cut) in strip.cuts.iter().enumerate() {
            taken.push((cut.from, cut.to, Some(idx)));
        }
        for gap in gaps(job, planned, strip_idx) {
            if is_kept(job, gap.clear) {
                taken.push((gap.from.max(near), gap.to.min(far), None));
            }
        }
        taken.sort_unstable();
        let mut end = near;
        let mut last_kerf = Length::ZERO;
        for (from, to, cut) in taken {
            let kerf = cut.map(|idx| strip.cuts[idx].part.kerf_along(job));
            self.between(
                planned,
                strip_idx,
                (end, from),
                (last_kerf, kerf.unwrap_or(Length::ZERO)),
            );
            let begin = from.max(end);
            let size = self
                .of(planned)
                .size((to - begin).max(Length::ZERO), strip.width);
            match cut.map(|idx| strip.cuts[idx].part) {
                Some(part) if self.idle.contains_key(&part) => {
                    let of = self.wood(board);
                    self.idle_left.insert(part, (of, size));
                }
                Some(part) => {
                    // What is sawn off a spare that stands for a shorter rail is in no part.
                    let sawn_off = (to - from - part.length(job)).max(Length::ZERO);
                    let balance = self.of(planned);
                    let sawn_off = balance.size(sawn_off, strip.width).min(size);
                    balance.parts += size - sawn_off;
                    balance.scrap += sawn_off;
                }
                None => {
                    let kept = self.pieces.get(&(at, LeftoverKind::End(strip_idx), from));
                    let kept = kept.copied().unwrap_or(0);
                    let balance = self.of(planned);
                    match balance.counted_by {
                        CountedBy::Length => balance.scrap += size - kept,
                        CountedBy::Face => balance.ripped += size - kept,
                    }
                }
            }
            end = end.max(to);
            last_kerf = kerf.unwrap_or(Length::ZERO);
        }
        self.between(planned, strip_idx, (end, far), (last_kerf, Length::ZERO));
        self.of(planned).size(far - near, strip.width)
    }

    /// What lies between two parts or pieces that are kept: the trims of the board, the kerfs beside parts, and scrap.
    fn between(
        &mut self,
        planned: &PlannedBoard,
        strip_idx: usize,
        (from, to): (Length, Length),
        (kerf_behind, kerf_before): (Length, Length),
    ) {
        if from >= to {
            return;
        }
        let job = &self.plan.job;
        let board = &job.boards[planned.board_idx];
        let width = planned.strips[strip_idx].width;
        let trim = if board.given.rail.is_some() {
            Length::ZERO
        } else {
            job.shop.end_trim
        };
        let far = planned.wood_of_strip(job, strip_idx).length - trim;
        let within = |begin: Length, end: Length| (end.min(to) - begin.max(from)).max(Length::ZERO);
        let trims = within(Length::ZERO, trim) + within(far, board.length);
        let (begin, end) = (from.max(trim), to.min(far));
        let clear = (end - begin).max(Length::ZERO);
        let behind = if from >= trim {
            kerf_behind
        } else {
            Length::ZERO
        };
        let before = if to <= far { kerf_before } else { Length::ZERO };
        let kerfs = (behind + before).min(clear);
        let sizes = [trims, kerfs, clear - kerfs];
        let balance = self.of(planned);
        let [trims, kerfs, scrap] = sizes.map(|length| balance.size(length, width));
        balance.trims += trims;
        balance.kerfs += kerfs;
        balance.scrap += scrap;
    }

    /// What was cut and is in no frame, less what is cut from it or goes on the rack.
    fn spoiled(&mut self) {
        let job = &self.plan.job;
        let planned: BTreeSet<usize> = self
            .plan
            .boards
            .iter()
            .map(|board| board.board_idx)
            .collect();
        let kept: BTreeMap<String, i128> = rack_left(self.plan)
            .iter()
            .filter(|board| board.given.rail.is_some())
            .map(|board| {
                let balance = &self.all[&self.wood(board)];
                (board.name.clone(), balance.of_board(board))
            })
            .collect();
        for (part, board) in self.idle {
            let Some((of, mut left)) = self.idle_left.get(part).cloned() else {
                continue;
            };
            if let Some(board_idx) = board.filter(|idx| !planned.contains(idx)) {
                left -= kept.get(&job.boards[board_idx].name).copied().unwrap_or(0);
            }
            self.all.get_mut(&of).expect("each board has one").spoiled += left;
        }
    }
}
