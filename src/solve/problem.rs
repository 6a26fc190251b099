//! One component of an instance in the form the search works on: distinct sizes, distinct kinds of board.
//!
//! Indices here are the component's own; `normalize` knows the way back.

/// A connected part of an instance, normalized.
///
/// Items stand by falling size.
/// Every item fits some strip of some kind, every kind holds some item, and costs have no common divisor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Problem {
    /// `sizes[i]` is what item `i` takes from a strip, in nanometers.
    pub(super) sizes: Vec<i64>,
    /// `demand[i]` pieces of item `i` are needed.
    pub(super) demand: Vec<u32>,
    /// `weights[i]` is what one of item `i` weighs when it is left out: its pieces, divided by their common divisor.
    pub(super) weights: Vec<u32>,
    /// Whether item `i` is a single one of the instance, not several that are alike.
    pub(super) is_single: Vec<bool>,
    /// The strips that kinds yield.
    pub(super) strips: Vec<GroupedStrip>,
    /// Sets of items, rising, that some strips share.
    pub(super) groups: Vec<Vec<usize>>,
    /// The kinds of board.
    pub(super) kinds: Vec<StockKind>,
    /// What every plan costs besides, where the costs of kinds do not tell it.
    pub(super) besides: i64,
}

/// A strip: its capacity in nanometers and the set of items that may lie on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct GroupedStrip {
    /// Usable length in nanometers.
    pub(super) capacity: i64,
    /// Index into [`Problem::groups`].
    pub(super) group: usize,
}

/// The capacity of the longest strip of each of `n_groups` groups; 0 for a group without a strip.
pub(super) fn longest_strips(strips: &[GroupedStrip], n_groups: usize) -> Vec<i64> {
    let mut longest = vec![0; n_groups];
    for strip in strips {
        longest[strip.group] = strip.capacity.max(longest[strip.group]);
    }
    longest
}

/// A kind of board, or the make-believe kind that leaves an item out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct StockKind {
    /// Cost of one, divided by the common divisor of all costs of the component.
    pub(super) cost: i64,
    /// Board length, for ties.
    pub(super) length: i64,
    /// How many may be used; for an unlimited kind, more than any sensible plan uses.
    pub(super) limit: u32,
    /// Whether `limit` is a real supply, so that it needs a row of its own.
    pub(super) limited: bool,
    /// The strips of each way to divide it.
    pub(super) layouts: Vec<Vec<usize>>,
    /// So many of them, the last ones, are to keep it as it lies, which costs nothing.
    pub(super) n_kept: usize,
    /// Whether using this kind means to leave an item out; a board of it has one item, and weighs what that does.
    pub(super) absent: bool,
}

/// A board: which kind, how divided, what is cut from each strip.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct CutBoard {
    /// Index of the kind.
    pub(super) kind: usize,
    /// Index of the layout within the kind.
    pub(super) layout: usize,
    /// `(item, count)` over the whole board, items rising, counts positive.
    pub(super) counts: Vec<(usize, u32)>,
    /// The same for each strip; empty when the layout has one strip only.
    pub(super) parts: Vec<Vec<(usize, u32)>>,
}

/// Boards with their numbers: a plan for one component.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct BoardPlan {
    /// Each board and how many are cut so.
    pub(super) boards: Vec<(CutBoard, u32)>,
    /// Cost, in the component's unit.
    pub(super) cost: i64,
    /// Board length, for ties; capped at the largest number.
    pub(super) length: i64,
    /// Number of boards, for ties.
    pub(super) n_boards: u64,
}

impl StockKind {
    /// Whether boards in a layout stay as they lie.
    pub(super) fn is_kept(&self, layout: usize) -> bool {
        layout + self.n_kept >= self.layouts.len() && !self.absent
    }

    /// Cost of one board in a layout.
    pub(super) fn cost_in(&self, layout: usize) -> i64 {
        if self.is_kept(layout) { 0 } else { self.cost }
    }
}

impl Problem {
    /// Cost of the dearest kind of board, 1 at the least: the unit in which duals are told.
    pub(super) fn dearest(&self) -> i64 {
        let costs = self.kinds.iter().map(|kind| kind.cost);
        costs.max().unwrap_or(1).max(1)
    }

    /// Number of items.
    pub(super) fn n_items(&self) -> usize {
        self.sizes.len()
    }

    /// The problem of what is left, with the index here of each of its items.
    ///
    /// Loose strips of ripped boards, `loose[s]` of strip `s`, are kinds of their own behind the others, one strip each
    /// and free; the third value is the strip of each.
    pub(super) fn restricted(
        &self,
        demand: &[u32],
        supply: &[u32],
        loose: &[u32],
    ) -> (Problem, Vec<usize>, Vec<usize>) {
        let items: Vec<usize> = (0..self.n_items())
            .filter(|&item| demand[item] > 0)
            .collect();
        let mut place = vec![usize::MAX; self.n_items()];
        for (new, &old) in items.iter().enumerate() {
            place[old] = new;
        }
        let groups = self
            .groups
            .iter()
            .map(|group| {
                group
                    .iter()
                    .filter(|&&item| demand[item] > 0)
                    .map(|&item| place[item])
                    .collect()
            })
            .collect();
        let mut kinds: Vec<StockKind> = self
            .kinds
            .iter()
            .zip(supply)
            .map(|(kind, &left)| StockKind {
                limit: left,
                ..kind.clone()
            })
            .collect();
        let at_hand: Vec<usize> = (0..loose.len()).filter(|&strip| loose[strip] > 0).collect();
        kinds.extend(at_hand.iter().map(|&strip| StockKind {
            cost: 0,
            length: 0,
            limit: loose[strip],
            limited: true,
            layouts: vec![vec![strip]],
            n_kept: 0,
            absent: false,
        }));
        let problem = Problem {
            sizes: items.iter().map(|&item| self.sizes[item]).collect(),
            demand: items.iter().map(|&item| demand[item]).collect(),
            is_single: items.iter().map(|&item| self.is_single[item]).collect(),
            weights: items.iter().map(|&item| self.weights[item]).collect(),
            strips: self.strips.clone(),
            groups,
            kinds,
            besides: self.besides,
        };
        (problem, items, at_hand)
    }

    /// What a board of `kind` weighs in its kind's supply and cost: 1, or the weight of what it leaves out.
    pub(super) fn weight(&self, kind: usize, counts: &[(usize, u32)]) -> u32 {
        match counts.first() {
            Some(&(item, _)) if self.kinds[kind].absent => self.weights[item].max(1),
            _ => 1,
        }
    }

    /// Boards that may cut too much or too little as a part of a plan: what of them is needed and in supply, the demand that
    /// they leave and the supply.
    pub(super) fn part_from(
        &self,
        boards: &[(CutBoard, u32)],
    ) -> (Vec<(CutBoard, u32)>, Vec<u32>, Vec<u32>) {
        let mut left = self.demand.clone();
        let mut supply: Vec<u32> = self.kinds.iter().map(|kind| kind.limit).collect();
        let mut part = Vec::new();
        for (board, times) in boards {
            let times = (*times).min(supply[board.kind]);
            for (trimmed, times) in cut_from(board, times, &mut left) {
                supply[board.kind] -= times;
                part.push((trimmed, times));
            }
        }
        (part, left, supply)
    }

    /// Makes a plan of boards that may cut too much: surplus pieces are left out, empty boards put back.
    ///
    /// Returns `None` when some piece is not cut or a supply is exceeded.
    pub(super) fn plan_from(&self, boards: &[(CutBoard, u32)]) -> Option<BoardPlan> {
        let mut left = self.demand.clone();
        let mut used: Vec<u64> = vec![0; self.kinds.len()];
        let mut merged: Vec<(CutBoard, u32)> = Vec::new();
        for (board, times) in boards {
            for (trimmed, times) in cut_from(board, *times, &mut left) {
                used[board.kind] +=
                    u64::from(times) * u64::from(self.weight(trimmed.kind, &trimmed.counts));
                merged.push((trimmed, times));
            }
        }
        if left.iter().any(|&count| count > 0) {
            return None;
        }
        if self
            .kinds
            .iter()
            .zip(&used)
            .any(|(kind, &used)| kind.limited && used > u64::from(kind.limit))
        {
            return None;
        }
        merged.sort();
        merged.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            if same {
                kept.1 += next.1;
            }
            same
        });
        let mut plan = BoardPlan {
            boards: merged,
            ..BoardPlan::default()
        };
        let (mut cost, mut length) = (0i128, 0i128);
        for (board, times) in &plan.boards {
            let kind = &self.kinds[board.kind];
            let weight = i128::from(*times) * i128::from(self.weight(board.kind, &board.counts));
            cost += i128::from(kind.cost_in(board.layout)) * weight;
            if !kind.absent && !kind.is_kept(board.layout) {
                length += i128::from(kind.length) * weight;
                plan.n_boards += u64::from(*times);
            }
        }
        plan.cost = i64::try_from(cost).unwrap_or(i64::MAX);
        plan.length = i64::try_from(length).unwrap_or(i64::MAX);
        Some(plan)
    }
}

impl BoardPlan {
    /// What makes one plan better than another: cost, then board length, then number of boards.
    pub(super) fn rank(&self) -> (i64, i64, u64) {
        (self.cost, self.length, self.n_boards)
    }
}

/// How often a pattern fits into what is left of the demand; an empty one without end.
pub(super) fn times_within(counts: &[(usize, u32)], left: &[u32]) -> u32 {
    let fits = counts.iter().map(|&(item, count)| left[item] / count);
    fits.min().unwrap_or(u32::MAX)
}

/// What is needed of a board that is there so many times, and how often; the pieces are then `left` no more.
fn cut_from(board: &CutBoard, times: u32, left: &mut [u32]) -> Vec<(CutBoard, u32)> {
    let mut cut = Vec::new();
    let mut rest = times;
    while rest > 0 {
        let trimmed = trim(board, left);
        if trimmed.counts.is_empty() {
            break;
        }
        let times = times_within(&trimmed.counts, left).min(rest);
        for &(item, count) in &trimmed.counts {
            left[item] -= count * times;
        }
        rest -= times;
        cut.push((trimmed, times));
    }
    cut
}

/// The part of `board` that is still needed when `left` pieces are.
pub(super) fn trim(board: &CutBoard, left: &[u32]) -> CutBoard {
    if board
        .counts
        .iter()
        .all(|&(item, count)| count <= left[item])
    {
        return board.clone();
    }
    let mut counts = Vec::new();
    for &(item, count) in &board.counts {
        let kept = count.min(left[item]);
        if kept > 0 {
            counts.push((item, kept));
        }
    }
    let mut rest: Vec<(usize, u32)> = counts.clone();
    let mut parts = Vec::new();
    for part in &board.parts {
        let mut kept_part = Vec::new();
        for &(item, count) in part {
            if let Some(entry) = rest.iter_mut().find(|entry| entry.0 == item) {
                let kept = count.min(entry.1);
                if kept > 0 {
                    kept_part.push((item, kept));
                    entry.1 -= kept;
                }
            }
        }
        parts.push(kept_part);
    }
    CutBoard {
        kind: board.kind,
        layout: board.layout,
        counts,
        parts,
    }
}
