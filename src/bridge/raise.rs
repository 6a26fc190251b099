//! From a solution of the cutting model to every cut at its place.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::bridge::Origins;
use crate::cutting::{BoardUse, Bound, End, Solution};
use crate::job::Job;
use crate::length::Length;
use crate::plan::{
    Beside, Cut, GivenNumbers, KeptPiece, Part, Plan, PlannedBoard, PlannedStrip, SpareOffcut,
    Stretch, Verdict, is_short,
};
use crate::stock::{Parting, Rip, Taking};

/// How a strip is cut: by item, the more of an item the earlier in the order.
///
/// Items stand with falling length within a kerf, so this order puts patterns with long cuts first.
type PatternKey = Vec<(usize, Reverse<u32>)>;

/// How a strip of a board is cut.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct StripKey {
    /// The stretch of the board that it lies on.
    stretch: usize,
    /// Its clear runs that are cut, each with where it begins.
    runs: Vec<(PatternKey, Length)>,
    /// Where it must begin across the board, if that matters.
    from_edge: Option<Length>,
}

/// How a board is cut: its strips that are, in their order, its index, and how it is parted.
///
/// The first part puts boards without cuts, which a sound solution has none of, behind all others.
type BoardKey = (bool, Vec<StripKey>, usize, Parting);

/// Raises `solution` of the instance lowered from `job` to a plan.
///
/// Boards stand by the section of their first strip, then by pattern with long cuts first, equal patterns side by side.
/// Strips that stay empty are not ripped: what they would take stays in one piece beside the others, unless defects give
/// the others places of their own.
/// Within a clear run of a strip the cuts stand as the items do: with falling kerf, then with falling overlap, then with
/// falling length, see `in_sequence` for what is too short to hold. Of a run that may be turned every other rail is.
/// Parts are dealt to their places frame by frame, so that the rails of one frame lie near each other.
/// The value is the solution's own; the audit sums it again.
///
/// Cost O(parts log parts).
///
/// # Panics
/// If `solution` does not belong to the instance: a pattern cuts more of an item than is demanded, or what is missing
/// is not what is left.
pub fn raise(job: &Job, origins: &Origins, solution: &Solution) -> Plan {
    let mut dealer = Dealer::new(origins);
    let given = job.boards.iter().map(|board| board.given.boards);
    let mut n_boards_of_kind: Vec<u32> = given.collect();
    let mut boards = Vec::new();
    let mut spare_offcuts = Vec::new();
    for (pattern, ((_, key, board_idx, parting), times)) in (1..).zip(patterns(origins, solution)) {
        for _ in 0..times {
            n_boards_of_kind[board_idx] += 1;
            let number = n_boards_of_kind[board_idx];
            let on = (board_idx, &parting);
            let (strips, stretches, left) = rip(job, origins, &key, on, &mut dealer);
            let board = boards.len();
            spare_offcuts.extend(left.into_iter().map(|left| SpareOffcut { board, ..left }));
            boards.push(PlannedBoard {
                board_idx,
                number,
                pattern,
                resawn: parting.slices.map(|slices| slices.thickness),
                stretches,
                strips,
                used_again: Vec::new(),
            });
        }
    }
    let kept_pieces = keep(origins, solution, &mut dealer);
    let missing = dealer.left(solution);
    let n_missing = u64::try_from(missing.len()).expect("a count of parts fits 64 bits");
    // Of an instance that lacks ways to rip, only what holds for any plan is a bound.
    let bound = if origins.is_complete {
        solution.bound
    } else {
        Bound {
            missing_pieces: 0,
            cost: 0,
        }
    };
    let is_proved = bound.missing_pieces == n_missing && bound.cost == solution.cost;
    let verdict = match solution.end {
        _ if is_proved => Verdict::Optimal,
        End::Stopped => Verdict::Stopped,
        End::Proved | End::WorkLimit => Verdict::WorkLimit,
    };
    Plan {
        job: job.clone(),
        boards,
        spare_offcuts,
        kept_pieces,
        given_numbers: GivenNumbers::default(),
        missing,
        measure: origins.measure,
        value: solution.cost,
        // The bound on cost holds only for plans that miss as few parts as the bound on those says;
        // while that is open, nothing is known of this plan's cost but that it is no gift.
        lower_bound: if bound.missing_pieces == n_missing {
            bound.cost
        } else {
            0
        },
        missing_lower_bound: bound.missing_pieces,
        verdict,
    }
}

/// The pieces that stay on the rack as they lie.
fn keep(origins: &Origins, solution: &Solution, dealer: &mut Dealer<'_>) -> Vec<KeptPiece> {
    let is_kept = |board: &&BoardUse| origins.is_kept(board);
    let mut kept = Vec::new();
    for board in solution.boards.iter().filter(is_kept) {
        let counts = board.patterns.iter().flat_map(|pattern| &pattern.counts);
        for &(item_idx, count) in counts {
            for _ in 0..count * board.times {
                kept.extend(dealer.next(item_idx).iter().map(|&part| KeptPiece {
                    part,
                    board_idx: origins.board_indices[board.stock],
                }));
            }
        }
    }
    kept.sort_unstable();
    kept
}

/// The distinct patterns in the order of the plan, each with the number of times it is cut.
fn patterns(origins: &Origins, solution: &Solution) -> BTreeMap<BoardKey, u32> {
    let mut times_by_pattern = BTreeMap::new();
    let is_cut = |board: &&BoardUse| !origins.is_kept(board);
    for board_use in solution.boards.iter().filter(is_cut) {
        let places = &origins.places[board_use.stock][board_use.layout];
        let mut by_strip: BTreeMap<usize, StripKey> = BTreeMap::new();
        for (pattern, place) in board_use.patterns.iter().zip(places) {
            if pattern.counts.is_empty() {
                continue;
            }
            let key = pattern
                .counts
                .iter()
                .map(|&(item_idx, count)| (item_idx, Reverse(count)))
                .collect();
            let strip = by_strip.entry(place.strip).or_default();
            strip.runs.push((key, place.from));
            (strip.stretch, strip.from_edge) = (place.stretch, place.from_edge);
        }
        let mut strips: Vec<StripKey> = by_strip.into_values().collect();
        // Strips with a place of their own stand in the order of their places already.
        if strips.iter().all(|strip| strip.from_edge.is_none()) {
            strips.sort_unstable();
        }
        let board_idx = origins.board_indices[board_use.stock];
        let parting = origins.partings[board_use.stock][board_use.layout].clone();
        *times_by_pattern
            .entry((strips.is_empty(), strips, board_idx, parting))
            .or_insert(0) += board_use.times;
    }
    times_by_pattern
}

/// The strips of one board with their cuts, its stretches with the width that is left beside their strips, and its spare
/// offcuts.
fn rip(
    job: &Job,
    origins: &Origins,
    strip_keys: &[StripKey],
    (board_idx, parting): (usize, &Parting),
    dealer: &mut Dealer<'_>,
) -> (Vec<PlannedStrip>, Vec<Stretch>, Vec<SpareOffcut>) {
    let board = &job.boards[board_idx];
    let runs = parting.runs(board).into_iter();
    let mut stretches: Vec<Stretch> = runs
        .map(|(from, to)| Stretch {
            from,
            to,
            beside: Vec::new(),
        })
        .collect();
    let mut strips = Vec::with_capacity(strip_keys.len());
    let mut spare_offcuts = Vec::new();
    let mut from_edge = Length::ZERO;
    let mut last_stretch = None;
    for key in strip_keys {
        let (runs, stretch) = (&key.runs, key.stretch);
        let section = &origins.items[runs[0].0[0].0];
        if last_stretch.replace(stretch) != Some(stretch) {
            from_edge = Length::ZERO;
        }
        from_edge = key.from_edge.unwrap_or(from_edge);
        let on = &mut stretches[stretch];
        let way = board
            .taking(job.shop.rip.as_ref(), section.width)
            .expect("a board has only strips of sections that it suits");
        let (cuts, mut left) = lay_out(origins, runs, dealer);
        if cuts.is_empty() {
            for (part, from, to) in &mut left {
                *to = *from + job.shop.uncut_for(part.length(job));
            }
        }
        let strip_idx = strips.len();
        spare_offcuts.extend(left.into_iter().map(|(part, from, to)| SpareOffcut {
            part,
            board: 0,
            strip: strip_idx,
            from,
            to,
        }));
        let mut strip = PlannedStrip {
            stretch,
            moulding_idx: section.moulding_idx,
            width: board.width,
            from_edge,
            offcut: offcut_behind(job, cuts.last(), on.to - on.from),
            cuts,
        };
        if let (Taking::Ripped { width }, Some(rip), Some(board_width)) =
            (way, &job.shop.rip, board.width)
        {
            strip.width = Some(width);
            from_edge += width + rip.kerf;
            on.beside = beside(&strips, &strip, rip, board_width);
        }
        strips.push(strip);
    }
    (strips, stretches, spare_offcuts)
}

/// What lies beside the strips of a stretch, of which `last` is the last so far and `before` has the others.
fn beside(
    before: &[PlannedStrip],
    last: &PlannedStrip,
    rip: &Rip,
    board_width: Length,
) -> Vec<Beside> {
    let on = before.iter().filter(|strip| strip.stretch == last.stretch);
    let mut found = Vec::new();
    let mut from_edge = Length::ZERO;
    let mut add = |from_edge: Length, to: Length| {
        if from_edge < to {
            found.push(Beside {
                from_edge,
                width: to - from_edge,
            });
        }
    };
    for strip in on.chain([last]) {
        add(from_edge, strip.from_edge - rip.kerf);
        let width = strip.width.expect("a strip that is ripped has a width");
        from_edge = strip.from_edge + width + rip.kerf;
    }
    add(from_edge, rip.room(board_width));
    found
}

/// What is left between the last cut's kerf and the far trim.
fn offcut_behind(job: &Job, last: Option<&Cut>, length: Length) -> Length {
    let from = last.map_or(job.shop.end_trim, |last| {
        last.to + last.part.kerf_along(job)
    });
    (length - job.shop.end_trim - from).max(Length::ZERO)
}

/// The cuts of one strip, run by run, and the stretches that are left, each with the part that asks for it.
fn lay_out(
    origins: &Origins,
    runs: &[(PatternKey, Length)],
    dealer: &mut Dealer<'_>,
) -> (Vec<Cut>, Vec<(Part, Length, Length)>) {
    let mut cuts: Vec<Cut> = Vec::new();
    let mut left = Vec::new();
    for (key, begins) in runs {
        let mut from = *begins;
        // The overlap and the kerf of the run that is being laid out.
        let mut run = None;
        for (item_idx, count) in in_sequence(origins, key) {
            let origin = &origins.items[item_idx];
            for _ in 0..count {
                let likeness = (origin.kerf_along, origin.overlap);
                let mut turned = false;
                if let Some(before) = cuts.last()
                    && run == Some(likeness)
                    && origin.overlap > Length::ZERO
                {
                    turned = !before.turned;
                    from -= origin.overlap;
                }
                run = Some(likeness);
                for (&part, &length) in dealer.next(item_idx).iter().zip(&origin.lengths) {
                    let to = from + length;
                    if origin.is_left {
                        left.push((part, from, to));
                        from = to;
                        continue;
                    }
                    cuts.push(Cut {
                        part,
                        from,
                        to,
                        turned,
                    });
                    // Kerfs fall along a run, so the kerf of the left neighbor is the larger one of every gap.
                    from = to + origin.kerf_along;
                }
            }
        }
    }
    (cuts, left)
}

/// The items of a clear run in the order in which they are cut, with their counts.
///
/// Long ones come first, as the key has them: what is spoiled can then still be cut from the rest. But nothing too short
/// to hold comes last where that costs nothing: among the last that are alike in kerf and overlap, which may stand in
/// any order, the shortest that can be held goes to the end, all its copies at one setting of the stop. So a short part
/// is sawn off while the board behind it is long.
fn in_sequence(origins: &Origins, key: &PatternKey) -> Vec<(usize, u32)> {
    let mut items: Vec<(usize, u32)> = key
        .iter()
        .map(|&(item_idx, Reverse(count))| (item_idx, count))
        .collect();
    let origin = |&(item_idx, _): &(usize, u32)| &origins.items[item_idx];
    let n_cut = items.iter().take_while(|item| !origin(item).is_left);
    let n_cut = n_cut.count();
    let alike = |item: &(usize, u32)| (origin(item).kerf_along, origin(item).overlap);
    let Some(last) = items[..n_cut].last().map(alike) else {
        return items;
    };
    let run = &items[..n_cut];
    let begin = n_cut
        - run
            .iter()
            .rev()
            .take_while(|item| alike(item) == last)
            .count();
    let can_be_held = |item: &(usize, u32)| {
        let lengths = &origin(item).lengths;
        lengths.last().is_some_and(|&length| !is_short(length))
    };
    if let Some(held) = run[begin..].iter().rposition(can_be_held) {
        items[begin + held..n_cut].rotate_left(1);
    }
    items
}

/// Deals the parts of each item in their order.
struct Dealer<'a> {
    origins: &'a Origins,
    /// `dealt[i]`: how many parts of item `i` have been dealt.
    dealt: Vec<usize>,
}

impl<'a> Dealer<'a> {
    fn new(origins: &'a Origins) -> Dealer<'a> {
        Dealer {
            origins,
            dealt: vec![0; origins.items.len()],
        }
    }

    /// The next part of an item, or the parts of its next chain.
    fn next(&mut self, item_idx: usize) -> &'a [Part] {
        let origin = &self.origins.items[item_idx];
        let first = self.dealt[item_idx];
        self.dealt[item_idx] += origin.lengths.len();
        origin
            .parts
            .get(first..self.dealt[item_idx])
            .expect("a solution cuts no item more often than is demanded")
    }

    /// The parts that were not dealt, in order.
    fn left(self, solution: &Solution) -> Vec<Part> {
        let mut left = Vec::new();
        for (item_idx, origin) in self.origins.items.iter().enumerate() {
            let rest = &origin.parts[self.dealt[item_idx]..];
            assert_eq!(
                u32::try_from(rest.len() / origin.lengths.len()).ok(),
                Some(solution.missing[item_idx]),
                "a solution's missing pieces are those it does not cut"
            );
            left.extend_from_slice(rest);
        }
        left.sort_unstable();
        left
    }
}
