//! The least that a small job costs, by trying every set of rails on every board.
//!
//! The rules are worked out again from the numbers of the job, in nanometers; nothing is taken from the library.

use super::shop::{ADDED, FACE, KERF, Line, RIP_KERF, SHORTEST_OFFCUT, STRAIGHTENING, Shop, Wish};

const EIGHTH: i64 = 3_175_000;

/// A rail, or rails in a row.
#[derive(Clone, Debug)]
struct Unit {
    /// From the first long point to the last, in nanometers.
    length: i64,
    n_rails: usize,
    may_be_turned: bool,
    /// The only line of boards that it may come from.
    line: Option<usize>,
}

/// The fewest parts that are missing, and the least cost with as few.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Best {
    pub(super) missing: usize,
    pub(super) cost: i64,
}

/// A job as sets of units; where an offcut is asked for it is one more bit behind them.
pub(super) struct Program<'s> {
    shop: &'s Shop,
    boards: Vec<Line>,
    units: Vec<Unit>,
    /// The longest rail, where an offcut is asked for.
    offcut: Option<i64>,
    /// What the saw takes along a strip.
    kerf: i64,
}

impl<'s> Program<'s> {
    /// `in_pairs[f]`: whether frame `f` parts for want of boards.
    pub(super) fn new(shop: &'s Shop, in_pairs: &[bool], with_offcut: bool) -> Program<'s> {
        let square = 2 * (KERF * EIGHTH) * (KERF * EIGHTH);
        let root = square.isqrt();
        let mut program = Program {
            shop,
            boards: shop.boards(),
            units: Vec::new(),
            offcut: None,
            kerf: root + i64::from(root * root < square),
        };
        for (frame, &in_pairs) in in_pairs.iter().enumerate() {
            program.add_frame(frame, in_pairs);
        }
        let rails = shop
            .frames
            .iter()
            .map(|&(width, height, _)| width.max(height) + ADDED);
        let longest = rails.max().unwrap() * EIGHTH;
        if shop.asks(Wish::SpareRails) && !shop.asks(Wish::SpareOffcut) {
            for _ in 0..shop.n_spare {
                program.units.push(Unit {
                    length: longest,
                    n_rails: 1,
                    may_be_turned: shop.asks(Wish::Turned),
                    line: None,
                });
            }
        }
        program.offcut = with_offcut.then_some(longest);
        program
    }

    fn add_frame(&mut self, frame: usize, in_pairs: bool) {
        let shop = self.shop;
        let (width, height, quantity) = shop.frames[frame];
        let (wide, high) = ((width + ADDED) * EIGHTH, (height + ADDED) * EIGHTH);
        let line = (frame == 0 && shop.asks(Wish::Chosen)).then_some(0);
        let row = 2 * (wide + high) + 3 * self.kerf;
        let boards = self.boards.iter().enumerate();
        let open = boards.filter(|(idx, _)| line.is_none_or(|line| line == *idx));
        let longest = open
            .flat_map(|(_, board)| self.runs(board))
            .max()
            .unwrap_or(0);
        let grain = match (
            shop.asks(Wish::Grain).then_some(shop.grain),
            shop.long_chains,
        ) {
            (Some(0), Some(pairs)) if in_pairs || row > longest => Some(pairs),
            (grain, _) => grain,
        };
        let chains = match grain {
            None => vec![vec![wide], vec![wide], vec![high], vec![high]],
            Some(0) => vec![vec![wide, high, wide, high]],
            Some(1) => vec![vec![wide, wide], vec![high, high]],
            Some(_) => vec![vec![wide, high], vec![wide, high]],
        };
        for _ in 0..quantity {
            for chain in &chains {
                let gaps = i64::try_from(chain.len()).unwrap() - 1;
                self.units.push(Unit {
                    length: chain.iter().sum::<i64>() + gaps * self.kerf,
                    n_rails: chain.len(),
                    may_be_turned: chain.len() == 1 && shop.asks(Wish::Turned),
                    line,
                });
            }
        }
    }

    /// Lengths of the clear runs of a strip of a board, each with whether something may be left on it behind cuts: what
    /// follows must leave room for the trim of its other end.
    fn open_runs(&self, board: &Line) -> Vec<(i64, bool)> {
        let mut open = Vec::new();
        let runs = self.stretches(board);
        for (idx, &(from, to)) in runs.iter().enumerate() {
            let next = runs.get(idx + 1);
            let room = next.is_none_or(|next| next.0 - to >= self.shop.trim * EIGHTH + self.kerf);
            open.push((to - from, room));
        }
        open
    }

    fn runs(&self, board: &Line) -> Vec<i64> {
        self.stretches(board)
            .iter()
            .map(|(from, to)| to - from)
            .collect()
    }

    /// The clear runs of a strip of a board, from and to.
    fn stretches(&self, board: &Line) -> Vec<(i64, i64)> {
        let end = (board.length - self.shop.trim) * EIGHTH;
        let mut at = self.shop.trim * EIGHTH;
        let mut runs = Vec::new();
        for &(from, to) in &board.knots {
            runs.push((at, (from * EIGHTH).min(end)));
            at = at.max((to * EIGHTH).max(from * EIGHTH + self.kerf));
        }
        runs.push((at, end));
        runs.retain(|&(from, to)| from < to);
        runs
    }

    /// How many strips a board gives.
    fn n_strips(&self) -> i64 {
        if !self.shop.asks(Wish::Rip) || self.shop.width == FACE {
            return 1;
        }
        let taken = FACE + self.shop.planing + RIP_KERF;
        (self.shop.width - STRAIGHTENING + RIP_KERF) / taken
    }

    /// The bit of the offcut.
    fn offcut_bit(&self) -> usize {
        1 << self.units.len()
    }

    fn n_sets(&self) -> usize {
        1 << (self.units.len() + usize::from(self.offcut.is_some()))
    }

    /// Whether a run of a strip from which something is cut holds a set.
    fn run_holds(&self, set: usize, run: i64) -> bool {
        let slant = FACE * EIGHTH;
        let (mut size, mut any_turned, mut any) = (0, false, false);
        let units = self.units.iter().enumerate();
        for (_, unit) in units.filter(|(bit, _)| set >> bit & 1 == 1) {
            size += unit.length + self.kerf;
            any = true;
            if unit.may_be_turned {
                size -= slant;
                any_turned = true;
            }
        }
        size += if any_turned { slant } else { 0 };
        match self.offcut {
            Some(rail) if set & self.offcut_bit() > 0 => {
                let behind = (rail + self.shop.trim * EIGHTH).max(SHORTEST_OFFCUT * EIGHTH);
                size + behind <= run
            }
            _ => !any || size - self.kerf <= run,
        }
    }

    /// The sets that a strip of a board holds.
    fn of_strip(&self, board: &Line, allowed: usize) -> Vec<bool> {
        let n_sets = self.n_sets();
        let runs = self.open_runs(board);
        let mut holds = vec![false; n_sets];
        holds[0] = true;
        for &(run, may_leave) in &runs {
            let one: Vec<bool> = (0..n_sets)
                .map(|set| {
                    set & !allowed == 0
                        && (may_leave || set & self.offcut_bit() == 0 || self.offcut.is_none())
                        && self.run_holds(set, run)
                })
                .collect();
            holds = joined(&holds, &one);
        }
        if let Some(rail) = self.offcut {
            let uncut = rail.max(SHORTEST_OFFCUT * EIGHTH);
            holds[self.offcut_bit()] |= runs.iter().any(|&(run, _)| run >= uncut);
        }
        holds
    }

    /// The best plan.
    pub(super) fn best(&self) -> Best {
        let n_sets = self.n_sets();
        let mut cost: Vec<Option<i64>> = vec![None; n_sets];
        cost[0] = Some(0);
        for (idx, board) in self.boards.iter().enumerate() {
            let mut allowed = n_sets - 1;
            for (bit, unit) in self.units.iter().enumerate() {
                if unit.line.is_some_and(|line| line != idx) {
                    allowed &= !(1 << bit);
                }
            }
            let strip = self.of_strip(board, allowed);
            let mut holds = vec![false; n_sets];
            holds[0] = true;
            for _ in 0..self.n_strips() {
                let more = joined(&holds, &strip);
                if more == holds {
                    break;
                }
                holds = more;
            }
            let may_stay = board.is_rack
                && self.offcut.is_some_and(|rail| {
                    self.n_strips() > 0 && self.runs(board).iter().any(|&run| run >= rail)
                });
            let most = board
                .quantity
                .map_or(self.units.len() + 1, |most| usize::try_from(most).unwrap());
            for _ in 0..most {
                let before = cost.clone();
                for set in 0..n_sets {
                    let mut part = set;
                    while part > 0 {
                        let price = if may_stay && part == self.offcut_bit() {
                            Some(0)
                        } else {
                            holds[part].then_some(board.cents)
                        };
                        if let (Some(price), Some(rest)) = (price, before[set ^ part]) {
                            let sum = price + rest;
                            cost[set] = Some(cost[set].map_or(sum, |known| known.min(sum)));
                        }
                        part = (part - 1) & set;
                    }
                }
                if cost == before {
                    break;
                }
            }
        }
        let missing = |set: usize| -> usize {
            let rails = self.units.iter().enumerate();
            let rails = rails
                .filter(|(bit, _)| set >> bit & 1 == 0)
                .map(|(_, unit)| unit.n_rails);
            let no_offcut = self.offcut.is_some() && set & self.offcut_bit() == 0;
            rails.sum::<usize>() + usize::from(no_offcut)
        };
        let found = cost.iter().enumerate().filter_map(|(set, &cost)| {
            Some(Best {
                missing: missing(set),
                cost: cost?,
            })
        });
        found.min().unwrap()
    }
}

/// The sets that are made of one of these and one of those.
fn joined(one: &[bool], other: &[bool]) -> Vec<bool> {
    let is_made = |set: usize| {
        let mut part = set;
        loop {
            if one[part] && other[set ^ part] {
                return true;
            }
            if part == 0 {
                return false;
            }
            part = (part - 1) & set;
        }
    };
    (0..one.len()).map(is_made).collect()
}
