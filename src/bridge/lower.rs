//! From a job to the integer cutting model.
//!
//! A cut of length `l` whose ends take `K` along the strip becomes an item of size `l + K`.
//! A strip on which the cuts lie with falling `K` leaves its last, smallest kerf unused, so a set of cuts fits a board
//! iff `sum (l + K) <= usable + min K`; `strips` makes the kinds of strip that say so.
//! Where rails may be turned end for end, neighbors with one miter share a slanting cut, and of what each takes along
//! the strip the overlap `T = F tan m` is saved: its item has size `l - T + K`.
//! A strip then carries a run of each of some miters, long points apart between one run and the next:
//! `sum (l - T + K) <= usable + min K - sum of T over the runs`.
//!
//! `groups` makes the items, and a board that is ripped is a stock with a layout for each maximal way to rip it; `rips`
//! finds those.
//! A strip from which nothing is cut may be left for a spare offcut, and a piece on the rack from which nothing is cut may
//! stay there for one: that is a layout of its own, which costs nothing.
//! Of a board with defects every clear run is a strip of its own; `runs` finds what of them one board gives together.

mod groups;
mod rips;
mod runs;
mod strips;

use std::collections::BTreeMap;

use crate::cutting::{Instance, Item, Layout, Stock};
use crate::frame::ChosenBoards;
use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Measure, Part};
use crate::stock::{Board, Section, Taking, board_cost, suits, taking, usable_length};
use groups::{SectionKey, group_parts, section};
use rips::maximal_rips;
use runs::{Lane, OpenRun, open_runs, uncut_way, ways_across, ways_of_runs};
use strips::StripKinds;

/// A board has no more ways to be used than this in the model; only jobs with very many narrow mouldings, or boards with
/// very many defects, have more, and their plans are then not called optimal.
const MOST_WAYS: usize = 5_000;

/// What [`raise`](super::raise()) must know to name the parts of an instance again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Origins {
    /// One for each item of the instance, in its order: by section (mouldings in the order of the job, then plain
    /// wood), then with falling kerf, then with falling overlap, then with falling length.
    pub items: Vec<ItemOrigin>,
    /// `board_indices[s]`: which of the job's boards stock `s` is; several stocks may be the same board.
    pub board_indices: Vec<usize>,
    /// `places[s][l][n]`: where strip `n` of layout `l` of stock `s` lies on the board.
    pub places: Vec<Vec<Vec<Place>>>,
    /// `kept[s][l]`: whether layout `l` of stock `s` is a piece on the rack that stays as it lies.
    pub kept: Vec<Vec<bool>>,
    /// What the instance's costs are.
    pub measure: Measure,
    /// Whether the instance has every way to rip every board; if not, its bounds prove nothing of the job.
    pub is_complete: bool,
}

/// Where a strip of the model lies on its board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Which of the board's strips it is part of: a strip with defects is several of the model, one for each clear run.
    pub strip: usize,
    /// Where that strip begins across the straightened board, if that matters; else strips may stand in any order.
    pub from_edge: Option<Length>,
    /// Where the run begins along the board.
    pub from: Length,
}

/// One way to use a board: strips of the model, each with its place.
#[derive(Clone, Debug, Default)]
struct Way {
    strips: Vec<usize>,
    places: Vec<Place>,
    /// Whether it is a piece on the rack that stays as it lies.
    is_kept: bool,
}

/// The parts behind one item: all alike in section, kerf and length; or chains of parts that are alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ItemOrigin {
    /// The moulding they are cut from; `None` for plain wood.
    pub moulding_idx: Option<usize>,
    /// Width of their section; `None` takes the whole board.
    pub width: Option<Length>,
    /// Whether they are not cut but left, as spare offcuts.
    pub is_left: bool,
    /// What the saw takes along the strip at each of their ends.
    pub kerf_along: Length,
    /// How far neighbors lie over each other where they share a slanting cut; zero for what is never turned.
    pub overlap: Length,
    /// Their length along the outer edge; of a chain, from its first long point to its last.
    pub length: Length,
    /// One length, or those of a chain in its order, whose rails lie one kerf apart and all the same way round.
    pub lengths: Vec<Length>,
    /// The boards they must come from.
    pub boards: ChosenBoards,
    /// The parts, frame by frame in the order of the job, then loose pieces; of chains one after the other.
    pub parts: Vec<Part>,
}

impl ItemOrigin {
    /// What one takes from a strip's capacity, in nanometers.
    fn size(&self) -> i64 {
        (self.length - self.overlap + self.kerf_along).nm()
    }
}

/// Lowers `job` to an instance, with what is needed to raise its solution.
///
/// Boards of which there are none, which the trims use up, or which suit nothing are left out.
/// Costs are minor units of money if any board has a price, or a piece in hand a value, a board without one then costing
/// nothing; otherwise they are board lengths in nanometers, but nothing for a piece in hand that is worth nothing.
/// A board of which there are enough for every part that suits it is one stock for each section: what one section
/// takes then never touches another, and each can be bounded, and rounded, on its own.
/// A board in short supply is one stock, which ties its sections together.
/// The clear runs between the defects of a board are strips that come together: the board costs once.
/// Where boards are ripped, all sections whose strips share a board are one stock.
/// A part that must come from certain boards is an item of its own, and only on strips of those.
/// A part that fits no board stays an item that is on no strip, to be reported as missing.
///
/// # Panics
/// If a board's cost cannot be worked out; `load` refuses such boards.
#[expect(
    clippy::too_many_lines,
    reason = "one step for each level of the model"
)]
pub fn lower(job: &Job) -> (Instance, Origins) {
    let groups = group_parts(job);
    let mut sections: Vec<(SectionKey, Vec<usize>)> = Vec::new();
    let mut items = Vec::with_capacity(groups.len());
    let mut item_origins = Vec::with_capacity(groups.len());
    for (item_idx, (key, parts)) in groups.into_iter().enumerate() {
        let (kerf_along, overlap, length) = (key.kerf_along.0, key.overlap.0, key.length.0);
        let (is_left, boards) = (key.is_left, key.boards);
        let (key, lengths) = (key.section, key.lengths);
        let origin = ItemOrigin {
            moulding_idx: match key {
                SectionKey::Moulding(moulding_idx) => Some(moulding_idx),
                SectionKey::Plain(..) => None,
            },
            width: section(job, &key).width,
            is_left,
            kerf_along,
            overlap,
            length,
            lengths,
            boards,
            parts,
        };
        let n_rails = origin.lengths.len();
        items.push(Item {
            size: origin.size(),
            demand: u32::try_from(origin.parts.len() / n_rails)
                .expect("load caps the number of parts"),
            pieces: u32::try_from(n_rails).expect("a chain is within one frame"),
        });
        item_origins.push(origin);
        match sections.last_mut() {
            Some((last, item_indices)) if *last == key => item_indices.push(item_idx),
            _ => sections.push((key, vec![item_idx])),
        }
    }

    let measure = Measure::of(job);
    let mut strips = StripKinds::default();
    let mut lists: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
    let mut stocks = Vec::new();
    let mut board_indices = Vec::new();
    let mut places = Vec::new();
    let mut kept = Vec::new();
    let mut is_complete = true;
    for (board_idx, board) in job.boards.iter().enumerate() {
        if board.quantity == Some(0) || usable_length(board.length, job.shop.end_trim).is_none() {
            continue;
        }
        // What must come from other boards is on none of this one's strips.
        let may_come = |&item: &usize| item_origins[item].boards.allow(board_idx);
        let open: Vec<Vec<usize>> = sections
            .iter()
            .map(|(_, items)| items.iter().copied().filter(may_come).collect())
            .collect();
        let mut ways = Ways::default();
        for ((key, of_all), item_indices) in sections.iter().zip(&open) {
            let section = section(job, key);
            if !suits(&section, board, job.shop.rip.as_ref()) {
                continue;
            }
            let next = lists.len();
            let of_section = SectionItems {
                list: *lists.entry(item_indices.clone()).or_insert(next),
                item_indices,
                // Items stand with falling kerf, and what is left has none. That of all of the section counts, so that a
                // clear run is one for whatever comes from the board.
                widest_kerf: item_origins[of_all[0]].kerf_along,
                left: left_item(job, item_indices, &item_origins, &mut strips),
            };
            let mut kinds_of = |run: OpenRun| strips.of_run(&of_section, run, &item_origins);
            if ways.add_section(job, board, &section, of_section, &mut kinds_of) {
                ways.n_parts += parts_in(item_indices, &items);
            }
            ways.keep(job, board, &section, of_section);
        }
        ways.rip(job, board, &mut |of_section, run| {
            strips.of_run(of_section, run, &item_origins)
        });
        is_complete &= ways.is_complete;
        // No plan takes more boards than there are parts, so such a supply is no limit.
        let supply = board
            .quantity
            .filter(|&quantity| u64::from(quantity) < ways.n_parts);
        if supply.is_some() {
            ways.apart = vec![ways.apart.concat()];
        }
        for group in ways.apart.into_iter().filter(|group| !group.is_empty()) {
            kept.push(group.iter().map(|way| way.is_kept).collect());
            let (layouts, places_of_layouts) = group
                .into_iter()
                .map(|way| {
                    let layout = Layout {
                        strips: way.strips,
                        kept: way.is_kept,
                    };
                    (layout, way.places)
                })
                .unzip();
            stocks.push(Stock {
                cost: cost(board, measure),
                length: board.length.nm(),
                supply,
                layouts,
            });
            places.push(places_of_layouts);
            board_indices.push(board_idx);
        }
    }
    let instance = Instance {
        items,
        strips: strips.strips,
        stocks,
    };
    let origins = Origins {
        items: item_origins,
        board_indices,
        places,
        kept,
        measure,
        is_complete,
    };
    (instance, origins)
}

/// The items of one section that may come from a board.
#[derive(Clone, Copy)]
struct SectionItems<'a> {
    /// A number for these items, the same for all boards that they may come from.
    list: usize,
    item_indices: &'a [usize],
    /// The widest kerf of any item of the section.
    widest_kerf: Length,
    /// What is to be left of the section, if anything.
    left: Option<LeftItem>,
}

/// A spare offcut that a section asks for.
#[derive(Clone, Copy)]
struct LeftItem {
    /// The kind of strip that has room for it and nothing else.
    kind: usize,
    /// The rail that is to be cut from it.
    rail: Length,
    /// How long a strip must be clear from which nothing is cut.
    uncut: Length,
    /// What it takes behind cuts.
    behind_cuts: Length,
}

/// The spare offcut among the items of a section.
fn left_item(
    job: &Job,
    item_indices: &[usize],
    origins: &[ItemOrigin],
    strips: &mut StripKinds,
) -> Option<LeftItem> {
    let mut items = item_indices.iter();
    let item = *items.find(|&&item| origins[item].is_left)?;
    let rail = origins[item].parts[0].length(job);
    Some(LeftItem {
        kind: strips.uncut(item, origins),
        rail,
        uncut: job.shop.uncut_for(rail),
        behind_cuts: origins[item].length,
    })
}

/// The ways to use one board.
struct Ways<'a> {
    /// Ways in groups that share no section but for what is left on purpose.
    apart: Vec<Vec<Way>>,
    /// What is ripped from it: sections, each with the width of its strips.
    ripped: Vec<(SectionItems<'a>, Length)>,
    /// Parts of all sections that suit it.
    n_parts: u64,
    /// Whether these are all ways.
    is_complete: bool,
}

impl Default for Ways<'_> {
    fn default() -> Self {
        Ways {
            apart: Vec::new(),
            ripped: Vec::new(),
            n_parts: 0,
            is_complete: true,
        }
    }
}

impl<'a> Ways<'a> {
    /// Adds a section that suits `board`; `false` if no part of it fits any of the board's clear runs.
    ///
    /// A board that is one strip has all its defects in it, however little of the width they take; of one that is ripped
    /// those count that take all of it, others by where the strip lies.
    fn add_section(
        &mut self,
        job: &Job,
        board: &Board,
        section: &Section<'_>,
        items: SectionItems<'a>,
        kinds_of: &mut dyn FnMut(OpenRun) -> Vec<usize>,
    ) -> bool {
        let taking = taking(job.shop.rip.as_ref(), section.width, board.width);
        let runs = board.clear_runs(job.shop.end_trim, items.widest_kerf, |defect| {
            taking == Some(Taking::Whole) || defect.takes_all(board.width)
        });
        let runs = open_runs(runs, job.shop.end_trim, items.widest_kerf);
        let uncut = uncut_way(&runs, items.left, 0);
        let runs: Vec<(OpenRun, Vec<usize>)> =
            runs.into_iter().map(|run| (run, kinds_of(run))).collect();
        if runs.iter().all(|(_, kinds)| kinds.is_empty()) && uncut.is_none() {
            return false;
        }
        if let Some(Taking::Ripped { width }) = taking {
            self.ripped.push((items, width));
        } else {
            let (mut ways, is_complete) = ways_of_runs(&runs, 0);
            // A piece on the rack can stay as it lies for that.
            ways.extend(uncut.filter(|_| board.in_hand.is_none()));
            self.is_complete &= is_complete;
            self.apart.push(ways);
        }
        true
    }

    /// Lets a piece on the rack stay as it lies, where the longest rail of a section that asks for a spare offcut can be cut
    /// from it.
    fn keep(&mut self, job: &Job, board: &Board, section: &Section<'_>, items: SectionItems<'a>) {
        let Some(left) = items.left.filter(|_| board.in_hand.is_some()) else {
            return;
        };
        let rip = job.shop.rip.as_ref();
        let longest = board.longest_run(section, rip, job.shop.end_trim, items.widest_kerf);
        if longest.is_some_and(|longest| longest >= left.rail) {
            self.n_parts += 1;
            self.apart.push(vec![Way {
                strips: vec![left.kind],
                places: vec![Place {
                    strip: 0,
                    from_edge: None,
                    from: Length::ZERO,
                }],
                is_kept: true,
            }]);
        }
    }

    /// Adds the ways to rip `board`, once all sections are there.
    fn rip(
        &mut self,
        job: &Job,
        board: &Board,
        kinds_of: &mut dyn FnMut(&SectionItems<'a>, OpenRun) -> Vec<usize>,
    ) {
        let (Some(rip), Some(board_width)) = (&job.shop.rip, board.width) else {
            return;
        };
        let ripped = std::mem::take(&mut self.ripped);
        let end_trim = job.shop.end_trim;
        let (ways, is_complete) = if board.has_partial_defects() {
            let lanes: Vec<Lane> = ripped
                .iter()
                .map(|(items, width)| Lane {
                    width: *width,
                    widest_kerf: items.widest_kerf,
                    left: items.left,
                })
                .collect();
            ways_across(board, rip, end_trim, &lanes, &mut |lane, run| {
                kinds_of(&ripped[lane].0, run)
            })
        } else {
            let mut strips: Vec<(Way, Length)> = Vec::new();
            let mut all = true;
            for (items, width) in &ripped {
                let runs = board.clear_runs(end_trim, items.widest_kerf, |_| true);
                let runs = open_runs(runs, end_trim, items.widest_kerf);
                let uncut = uncut_way(&runs, items.left, 0);
                let runs: Vec<(OpenRun, Vec<usize>)> = runs
                    .into_iter()
                    .map(|run| (run, kinds_of(items, run)))
                    .collect();
                let (mut ways, is_complete) = ways_of_runs(&runs, 0);
                ways.extend(uncut);
                all &= is_complete;
                strips.extend(ways.into_iter().map(|way| (way, *width)));
            }
            let widths: Vec<Length> = strips.iter().map(|&(_, width)| width).collect();
            let rips = maximal_rips(&widths, rip.room(board_width), rip.kerf, MOST_WAYS);
            let side_by_side = |pattern: &Vec<usize>| {
                let mut whole = Way::default();
                for (strip, &at) in pattern.iter().enumerate() {
                    let way = &strips[at].0;
                    whole.strips.extend(&way.strips);
                    whole
                        .places
                        .extend(way.places.iter().map(|&place| Place { strip, ..place }));
                }
                whole
            };
            let ways = rips.patterns.iter().map(side_by_side).collect();
            (ways, rips.is_complete && all)
        };
        self.is_complete &= is_complete;
        if !ways.is_empty() {
            self.apart.push(ways);
        }
    }
}

/// Number of parts behind some items.
fn parts_in(item_indices: &[usize], items: &[Item]) -> u64 {
    item_indices
        .iter()
        .map(|&item_idx| u64::from(items[item_idx].demand))
        .sum()
}

/// Cost of one `board` in units of `measure`.
fn cost(board: &Board, measure: Measure) -> i64 {
    match measure {
        Measure::Price => board_cost(board)
            .expect("load refuses a price that cannot be worked out")
            .map_or(0, Money::minor),
        Measure::BoardLength => board.cost_in_length().nm(),
    }
}
