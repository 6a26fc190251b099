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
//! `groups` makes the items, and a board that is ripped is a stock with a layout for each maximal way to rip it; `ways`
//! collects the layouts of a board, and `rips` finds those.
//! A strip from which nothing is cut may be left for a spare offcut, and a piece on the rack from which nothing is cut may
//! stay there for one: that is a layout of its own, which costs nothing.
//! Of a board with defects every clear run is a strip of its own; `runs` finds what of them one board gives together.
//! Of a board that is cut at the yard, or resawn, every stick is used as a board of its own would be, and a way to use the
//! board is one for each stick together: so it costs once, and its supply is that of all its ways.

mod groups;
mod rips;
mod runs;
mod strips;
mod ways;

use std::collections::{BTreeMap, BTreeSet};

use crate::cutting::{Instance, Item, Layout, Stock};
use crate::frame::ChosenBoards;
use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Measure, Part};
use crate::stock::{Board, Parting, Rip, board_cost, suits, usable_length};
use groups::{SectionKey, group_parts, section};
use runs::OpenRun;
use strips::StripKinds;
use ways::{SectionItems, Way, Ways, left_item};

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
    /// `partings[s][l]`: how stock `s` is parted for layout `l`.
    pub partings: Vec<Vec<Parting>>,
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
    /// Which stick of its parting that strip lies on; 0 where the board is whole.
    pub stretch: usize,
    /// Where that strip begins across the straightened board, if that matters; else strips may stand in any order.
    pub from_edge: Option<Length>,
    /// Where the run begins along the board, or along the stretch.
    pub from: Length,
}

/// The parts behind one item: all alike in section, kerf, saving, length and the boards they must come from, and all cut or
/// all left; or chains of parts that are alike.
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
    /// Whether another item is alike in all but the parts behind it.
    pub(super) fn is_cut_like(&self, other: &ItemOrigin) -> bool {
        let key = |item: &ItemOrigin| {
            (
                (item.moulding_idx, item.width, item.is_left),
                (item.kerf_along, item.overlap, item.length),
            )
        };
        key(self) == key(other) && self.lengths == other.lengths && self.boards == other.boards
    }

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
/// Where boards are ripped, all sections whose strips share a board are one stock; so are all that suit a board which is
/// cut at the yard, or may be resawn, as each stick may be used for another.
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
    let mut partings = Vec::new();
    let mut is_complete = true;
    // A stick is used as it lies there: that a board may be resawn for a section is a parting of its own.
    let rip = job.shop.rip.as_ref();
    let as_it_lies = rip.map(|&rip| Rip { resaw: None, ..rip });
    for (board_idx, board) in job.boards.iter().enumerate() {
        if job.supply(board_idx) == Some(0)
            || usable_length(board.length, job.shop.end_trim).is_none()
        {
            continue;
        }
        // What must come from other boards is on none of this one's strips.
        let may_come = |&item: &usize| item_origins[item].boards.allow(board_idx);
        let open: Vec<Vec<usize>> = sections
            .iter()
            .map(|(_, items)| items.iter().copied().filter(may_come).collect())
            .collect();
        // The sections of which something fits the board.
        let mut serves: BTreeSet<usize> = BTreeSet::new();
        let mut ways_of = |wood: &Board| {
            let mut ways = Ways::default();
            for (idx, ((key, of_all), item_indices)) in sections.iter().zip(&open).enumerate() {
                let section = section(job, key);
                if !suits(&section, wood, as_it_lies.as_ref()) {
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
                if ways.add_section(job, wood, &section, of_section, &mut kinds_of) {
                    serves.insert(idx);
                }
                ways.keep(job, wood, &section, of_section);
            }
            ways.rip(job, wood, &mut |of_section, run| {
                strips.of_run(of_section, run, &item_origins)
            });
            ways
        };
        let suited = sections.iter().map(|(key, _)| section(job, key));
        let suited = suited.filter(|section| suits(section, board, rip));
        let wanted: BTreeSet<Length> = suited.filter_map(|section| section.thickness).collect();
        let of_board = board.partings(rip, &wanted);
        let mut ways = if board.at_yard.is_none() && of_board.len() == 1 {
            ways_of(board)
        } else {
            Ways::of_partings(board, &of_board, &mut ways_of)
        };
        let served = serves.iter().map(|&idx| parts_in(&open[idx], &items));
        ways.n_parts += served.sum::<u64>();
        is_complete &= ways.is_complete;
        // No plan takes more boards than there are parts, so such a supply is no limit.
        let supply = job
            .supply(board_idx)
            .filter(|&quantity| u64::from(quantity) < ways.n_parts);
        // A piece that may stay as it lies stands for a section that other ways may cut.
        let any_kept = ways.apart.iter().flatten().any(|way| way.is_kept);
        let numbered = ways.apart.into_iter().enumerate().map(|(group, ways)| {
            let group = if any_kept { 0 } else { group };
            ways.into_iter().map(|way| (group, way)).collect()
        });
        let mut apart: Vec<Vec<(usize, Way)>> = numbered.collect();
        if supply.is_some() {
            apart = vec![apart.concat()];
        }
        for ways in apart.into_iter().filter(|ways| !ways.is_empty()) {
            kept.push(ways.iter().map(|(_, way)| way.is_kept).collect());
            partings.push(ways.iter().map(|(_, way)| way.parting.clone()).collect());
            let (layouts, places_of_layouts) = ways
                .into_iter()
                .map(|(group, way)| {
                    let layout = Layout {
                        strips: way.strips,
                        kept: way.is_kept,
                        group,
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
        partings,
        measure,
        is_complete,
    };
    (instance, origins)
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
