//! A job in the cutting model, and plans of one job as a start for another's.

use std::collections::{BTreeMap, BTreeSet};

use super::{Origins, lower, match_color, raise};
use crate::cutting::{BoardUse, Component, Instance, Pattern, Solution, add_count};
use crate::job::Job;
use crate::plan::Plan;

/// A job in the cutting model.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lowered {
    /// The job.
    pub job: Job,
    /// What it is in the model.
    pub instance: Instance,
    /// What names the parts of the model again.
    pub origins: Origins,
}

/// Boards that serve the same parts, and the mouldings of these; `None` is plain wood.
pub type Kin = (BTreeSet<usize>, BTreeSet<Option<usize>>);

impl Lowered {
    /// Lowers `job`.
    ///
    /// # Panics
    /// As [`lower()`].
    pub fn new(job: &Job) -> Lowered {
        let (instance, origins) = lower(job);
        Lowered {
            job: job.clone(),
            instance,
            origins,
        }
    }

    /// The plan that a solution is, equal rails named for their color.
    ///
    /// # Panics
    /// As [`raise()`].
    pub fn raise(&self, solution: &Solution) -> Plan {
        let mut plan = raise(&self.job, &self.origins, solution);
        match_color(&mut plan);
        plan
    }

    /// How many of each board of the job a solution takes, by index.
    pub fn taken(&self, solution: &Solution) -> BTreeMap<usize, u32> {
        let mut taken = BTreeMap::new();
        let cut = |board: &&BoardUse| !self.origins.is_kept(board);
        for board in solution.boards.iter().filter(cut) {
            *taken
                .entry(self.origins.board_indices[board.stock])
                .or_default() += board.times;
        }
        taken
    }

    /// Boards that may stand in for each other, and nothing else may, in the order of the boards.
    ///
    /// Two boards belong together when some part fits both of them, directly or by way of other boards.
    pub fn kin(&self) -> Vec<Kin> {
        let mut all: Vec<Kin> = Vec::new();
        for (items, stocks) in self.instance.connected() {
            let boards = stocks
                .iter()
                .map(|&stock| self.origins.board_indices[stock]);
            let sections = items
                .iter()
                .map(|&item| self.origins.items[item].moulding_idx);
            let (mut boards, mut sections): Kin = (boards.collect(), sections.collect());
            // A board that suits two sections is two stocks; it joins their parts all the same.
            all.retain(|(others, other_sections)| {
                let is_apart = others.is_disjoint(&boards);
                if !is_apart {
                    boards.extend(others);
                    sections.extend(other_sections);
                }
                is_apart
            });
            all.push((boards, sections));
        }
        all.sort();
        all
    }

    /// A solution of another job in terms of this one; `None` where parts are missing or of another size, or where this
    /// job lacks a board, or has too few of it.
    pub fn start_from(&self, other: &Lowered, solution: &Solution) -> Option<Vec<BoardUse>> {
        let sizes = |instance: &Instance| -> Vec<(i64, u32)> {
            let items = instance.items.iter();
            items.map(|item| (item.size, item.pieces)).collect()
        };
        let is_whole = solution.missing.iter().all(|&count| count == 0);
        if !is_whole || sizes(&other.instance) != sizes(&self.instance) {
            return None;
        }
        let stocks = self.instance.stocks.iter();
        let mut left: Vec<Option<u32>> = stocks.map(|stock| stock.supply).collect();
        let carried = solution.boards.iter().map(|board| {
            let stock = counterpart(board.stock, &other.origins, &self.origins)?;
            let own = strips_of(&other.instance, board.stock, board.layout);
            let is_kept =
                |origins: &Origins, stock: usize| origins.kept[stock].get(board.layout).copied();
            if is_kept(&other.origins, board.stock) != is_kept(&self.origins, stock)
                || own != strips_of(&self.instance, stock, board.layout)
            {
                return None;
            }
            if let Some(left) = &mut left[stock] {
                *left = left.checked_sub(board.times)?;
            }
            Some(BoardUse {
                stock,
                ..board.clone()
            })
        });
        carried.collect()
    }

    /// Boards of another job in terms of this one, as many of each as there are, with the items that both have.
    ///
    /// They may cut too little or too much, and may not hold what lies on them: a search makes a plan of them, or passes
    /// them over.
    pub fn boards_from(&self, other: &Lowered, boards: &[BoardUse]) -> Vec<BoardUse> {
        let own_items = self.counterparts(other);
        let stocks = self.instance.stocks.iter();
        let mut left: Vec<u32> = stocks
            .map(|stock| stock.supply.unwrap_or(u32::MAX))
            .collect();
        let carried = boards.iter().filter_map(|board| {
            let stock = counterpart(board.stock, &other.origins, &self.origins)?;
            let n_strips = self.instance.stocks[stock].layouts.get(board.layout)?;
            if n_strips.strips.len() != board.patterns.len() {
                return None;
            }
            let times = board.times.min(left[stock]);
            left[stock] -= times;
            let patterns = board.patterns.iter().map(|pattern| {
                let mut counts = Vec::new();
                for &(item, count) in &pattern.counts {
                    if let Some(item) = own_items[item] {
                        add_count(&mut counts, item, count);
                    }
                }
                Pattern { counts }
            });
            Some(BoardUse {
                stock,
                layout: board.layout,
                patterns: patterns.collect(),
                times,
            })
        });
        carried.collect()
    }

    /// The item of this job for each of another one's: the one in its place, where both ask for as many of each, else the one
    /// that is cut in the same way.
    fn counterparts(&self, other: &Lowered) -> Vec<Option<usize>> {
        let wanted = |instance: &Instance| -> Vec<(u32, u32)> {
            let items = instance.items.iter();
            items.map(|item| (item.demand, item.pieces)).collect()
        };
        let n_items = other.instance.items.len();
        if wanted(&other.instance) == wanted(&self.instance) {
            return (0..n_items).map(Some).collect();
        }
        let own = &self.origins.items;
        let of_other = other.origins.items.iter();
        of_other
            .map(|item| own.iter().position(|own| own.is_cut_like(item)))
            .collect()
    }
}

impl Origins {
    /// Whether a board of a solution is a piece on the rack that stays as it lies.
    pub(super) fn is_kept(&self, board: &BoardUse) -> bool {
        self.kept[board.stock][board.layout]
    }

    /// Those of a component of the instance, in its own terms.
    pub(super) fn of_component(&self, own: &Component) -> Origins {
        let stocks = || own.stocks.iter();
        Origins {
            items: own
                .items
                .iter()
                .map(|&item| self.items[item].clone())
                .collect(),
            board_indices: stocks().map(|&stock| self.board_indices[stock]).collect(),
            places: stocks().map(|&stock| self.places[stock].clone()).collect(),
            kept: stocks().map(|&stock| self.kept[stock].clone()).collect(),
            partings: stocks()
                .map(|&stock| self.partings[stock].clone())
                .collect(),
            measure: self.measure,
            is_complete: self.is_complete,
        }
    }
}

/// Capacity and items of each strip of a layout, if there is such a layout.
fn strips_of(instance: &Instance, stock: usize, layout: usize) -> Option<Vec<(i64, &[usize])>> {
    let layout = instance.stocks[stock].layouts.get(layout)?;
    let strips = layout.strips.iter().map(|&strip| &instance.strips[strip]);
    Some(
        strips
            .map(|strip| (strip.capacity, &strip.items[..]))
            .collect(),
    )
}

/// The stock that is the same board in another instance: of several, the one in the same place among them.
fn counterpart(stock: usize, from: &Origins, to: &Origins) -> Option<usize> {
    let board_idx = from.board_indices[stock];
    let before = from.board_indices[..stock].iter();
    let place = before.filter(|&&idx| idx == board_idx).count();
    let mut same = (0..to.board_indices.len()).filter(|&idx| to.board_indices[idx] == board_idx);
    same.nth(place)
}
