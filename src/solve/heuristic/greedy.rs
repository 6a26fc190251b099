//! First fit decreasing over kinds of board: fill each kind longest item first, take the cheapest per length filled.
//!
//! # Source
//! D. S. Johnson, Near-optimal bin packing algorithms, MIT 1973, for first fit decreasing; the choice among kinds by
//! cost per filled length is the usual one for boards of several lengths.

use crate::cutting::add_count;

use super::super::meter::Meter;
use super::super::problem::{CutBoard, Problem, times_within};

/// What the choice among kinds looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in super::super) enum FillRule {
    /// Cost per length that the pattern fills.
    CostPerFill,
    /// Cost per length of the board, so that long runs of one kind come out; ties by fill.
    CostPerBoard,
}

/// Builds boards for `left` pieces from `supply`; the boards found, and what could not be placed.
///
/// Patterns are repeated as often as they fit the demand, so the work grows with the number of sizes only.
pub(in super::super) fn first_fit_decreasing(
    problem: &Problem,
    demand: &[u32],
    supply: &[u32],
    choice: FillRule,
    meter: &Meter<'_>,
) -> (Vec<(CutBoard, u32)>, Vec<u32>) {
    let mut left = demand.to_vec();
    let mut supply = supply.to_vec();
    let mut boards = Vec::new();
    let mut open = Open::new(problem, &left);
    while open.n_pieces > 0 {
        let mut best: Option<(i128, i128, CutBoard)> = None;
        let mut last: Option<(i64, i64, CutBoard)> = None;
        for (kind_idx, kind) in problem.kinds.iter().enumerate() {
            if supply[kind_idx] == 0 || kind.absent {
                continue;
            }
            for (layout_idx, layout) in kind.layouts.iter().enumerate() {
                let (column, filled) = fill(problem, &open, kind_idx, layout_idx, &mut left);
                // Counted, but not cut off: even a search that is stopped at once needs one plan.
                meter.spend(left.len() as u64);
                if filled == 0 {
                    continue;
                }
                if n_pieces(&column.counts) == open.n_pieces
                    && last.as_ref().is_none_or(|known| {
                        (kind.cost_in(layout_idx), kind.length) < (known.0, known.1)
                    })
                {
                    last = Some((kind.cost_in(layout_idx), kind.length, column.clone()));
                }
                let whole: i64 = layout
                    .iter()
                    .map(|&strip| problem.strips[strip].capacity)
                    .sum();
                let per = match choice {
                    FillRule::CostPerFill => filled,
                    FillRule::CostPerBoard => whole,
                };
                // cost / per compared by cross multiplication; ties by the larger fill.
                let (cost, per) = (i128::from(kind.cost_in(layout_idx)), i128::from(per.max(1)));
                let better = best.as_ref().is_none_or(|(known_cost, known_per, _)| {
                    let (mine, theirs) = (cost * known_per, known_cost * per);
                    mine < theirs || (mine == theirs && per > *known_per)
                });
                if better {
                    best = Some((cost, per, column));
                }
            }
        }
        // A board that takes all that is left at the least cost ends the plan.
        let column = match (last, best) {
            (Some((cost, _, last)), Some((best_cost, ..))) if i128::from(cost) <= best_cost => last,
            (_, Some((_, _, column))) => column,
            (Some((_, _, last)), None) => last,
            (None, None) => break,
        };
        let times = times_within(&column.counts, &left).min(supply[column.kind]);
        for &(item, count) in &column.counts {
            left[item] -= count * times;
        }
        supply[column.kind] -= times;
        open.take(&column.counts, times, &left);
        boards.push((column, times));
    }
    (boards, left)
}

/// What is still to be cut, by groups, so that no search for what fits passes all that is cut already.
struct Open {
    /// The items of each group, longest first; some of them may be cut by now.
    groups: Vec<Vec<usize>>,
    n_pieces: u64,
    /// Items that the groups had when they were last sifted, and those of them that are cut.
    n_items: usize,
    n_cut: usize,
}

impl Open {
    fn new(problem: &Problem, left: &[u32]) -> Open {
        let mut open = Open {
            groups: problem.groups.clone(),
            n_pieces: left.iter().map(|&count| u64::from(count)).sum(),
            n_items: 0,
            n_cut: 0,
        };
        open.sift(left);
        open
    }

    /// Takes so many times these pieces off; `left` is what is left then.
    fn take(&mut self, counts: &[(usize, u32)], times: u32, left: &[u32]) {
        self.n_pieces -= n_pieces(counts) * u64::from(times);
        self.n_cut += counts.iter().filter(|count| left[count.0] == 0).count();
        if self.n_cut * 4 > self.n_items {
            self.sift(left);
        }
    }

    fn sift(&mut self, left: &[u32]) {
        for group in &mut self.groups {
            group.retain(|&item| left[item] > 0);
        }
        self.n_items = self.groups.iter().map(Vec::len).sum();
        self.n_cut = 0;
    }
}

fn n_pieces(counts: &[(usize, u32)]) -> u64 {
    counts.iter().map(|&(_, count)| u64::from(count)).sum()
}

/// Patterns for loose strips, `loose[s]` of strip `s`, longest strip and longest item first.
///
/// What is placed is taken off `left`.
pub(in super::super) fn fill_strips(
    problem: &Problem,
    left: &mut [u32],
    loose: &[u32],
) -> Vec<(usize, Vec<(usize, u32)>)> {
    let mut order: Vec<usize> = (0..loose.len()).filter(|&strip| loose[strip] > 0).collect();
    order.sort_by_key(|&strip| (std::cmp::Reverse(problem.strips[strip].capacity), strip));
    let mut filled = Vec::new();
    for strip in order {
        for _ in 0..loose[strip] {
            let (counts, _) = fill_strip(problem, &problem.groups, strip, left);
            if counts.is_empty() {
                break;
            }
            filled.push((strip, counts));
        }
    }
    filled
}

/// Fills one strip, longest item first, and takes what lies on it off `left`; the pattern and its total size.
///
/// `groups` are those of the problem, perhaps without items of which nothing is left.
fn fill_strip(
    problem: &Problem,
    groups: &[Vec<usize>],
    strip: usize,
    left: &mut [u32],
) -> (Vec<(usize, u32)>, i64) {
    let strip = problem.strips[strip];
    let mut rest = strip.capacity;
    let mut counts = Vec::new();
    let mut items = &groups[strip.group][..];
    while let Some((&item, shorter)) = items.split_first() {
        let size = problem.sizes[item];
        if size > rest {
            let first = items.partition_point(|&item| problem.sizes[item] > rest);
            items = &items[first..];
            continue;
        }
        let count = u32::try_from(rest / size)
            .unwrap_or(u32::MAX)
            .min(left[item]);
        if count > 0 {
            rest -= i64::from(count) * size;
            left[item] -= count;
            counts.push((item, count));
        }
        items = shorter;
    }
    (counts, strip.capacity - rest)
}

/// Fills the strips of a layout, longest item first; the column and the total size in it. `left` is as before then.
fn fill(
    problem: &Problem,
    open: &Open,
    kind: usize,
    layout_idx: usize,
    left: &mut [u32],
) -> (CutBoard, i64) {
    let layout = &problem.kinds[kind].layouts[layout_idx];
    let mut parts = Vec::new();
    let mut filled = 0i64;
    for &strip in layout {
        let (part, size) = fill_strip(problem, &open.groups, strip, left);
        parts.push(part);
        filled += size;
    }
    let mut counts: Vec<(usize, u32)> = Vec::new();
    for &(item, count) in parts.iter().flatten() {
        left[item] += count;
        add_count(&mut counts, item, count);
    }
    if layout.len() == 1 {
        parts.clear();
    }
    (
        CutBoard {
            kind,
            layout: layout_idx,
            counts,
            parts,
        },
        filled,
    )
}
