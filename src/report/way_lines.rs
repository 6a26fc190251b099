//! What each way of buying comes to, counted once for all formats.

use std::collections::BTreeMap;

use crate::compare::{Comparison, Row, Wood, find_woods};
use crate::job::{Job, OwnBoards, Way};
use crate::length::Length;
use crate::money::Money;
use crate::plan::Measure;
use crate::stock::Board;

use super::figures::shares;
use super::way_words::{row_name, short_name};
use crate::tally::{Kept, Lumber, Summary, Wood as WoodUse};

/// One way of buying, counted up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WayLine {
    /// What it is called, see [`row_name`].
    pub name: String,
    /// Boards that are bought, by length, the longest first: length and how many. Those of a tally are not among them.
    pub bought: Vec<(Length, u64)>,
    /// Boards of a tally that are bought, in the order of the job, by the mark that tells them from others, and how many.
    pub tallied: Vec<(String, u64)>,
    /// Pieces from the rack.
    pub n_from_rack: u64,
    /// Boards that were bought before.
    pub n_bought_before: u64,
    /// Boards in all, the pieces from the rack among them.
    pub n_boards: u64,
    /// All of them end to end.
    pub length: Length,
    /// What they count together, the rack's pieces at their value; `None` where nothing has a price.
    pub money: Option<Money>,
    /// What is paid of it, for what is bought.
    pub to_pay: Option<Money>,
    /// What becomes of their length.
    pub wood: WoodUse,
    /// All of them in board feet; `None` where one lacks a width or a thickness.
    pub lumber: Option<Lumber>,
    /// What goes into the parts, in tenths of a percent: of the length, or where boards are ripped of
    /// their faces.
    pub used: i64,
    /// Offcuts long enough to keep.
    pub n_kept: u64,
    /// They end to end; `None` where boards are ripped, as pieces of all widths have no sensible length together.
    pub kept_end_to_end: Option<Length>,
    /// Parts without wood.
    pub n_missing: u64,
    /// Cost above the best way, in what the plan's value is measured in; see [`Comparison::difference`].
    pub difference: Option<i64>,
    /// Whether nothing bought in this way is better, by proof.
    pub is_proved: bool,
    /// What the whole job costs in this way, in what the plan's value is measured in.
    pub value: i64,
    /// What no plan bought in this way can beat.
    pub bound: i64,
}

impl WayLine {
    /// Counts up a row; with a wood, only the boards of this wood.
    ///
    /// # Panics
    /// If `row` is not one of `comparison`.
    pub fn new(job: &Job, comparison: &Comparison, row: &Row, wood: Option<&Wood>) -> WayLine {
        let mut plan = row.plan.clone();
        if let Some(wood) = wood {
            plan.boards
                .retain(|board| wood.boards.contains(&board.board_idx));
        }
        let summary = Summary::new(&plan);
        let mut bought: BTreeMap<Length, u64> = BTreeMap::new();
        let mut tallied = Vec::new();
        let (mut n_from_rack, mut n_bought_before, mut length) = (0, 0, Length::ZERO);
        for taken in &summary.taken {
            let board = &row.job.boards[taken.board_idx];
            length += board.length * to_signed(taken.count);
            if board.is_bought() {
                n_bought_before += taken.count;
            } else if board.in_hand.is_some() {
                n_from_rack += taken.count;
            } else if board.is_tallied {
                tallied.push((board.name.clone(), taken.count));
            } else {
                *bought.entry(board.length).or_default() += taken.count;
            }
        }
        let priced =
            |sum: Option<Money>| sum.or((plan.measure == Measure::Price).then_some(Money::ZERO));
        WayLine {
            name: row_name(job, comparison, &row.way),
            bought: bought.into_iter().rev().collect(),
            tallied,
            n_from_rack,
            n_bought_before,
            n_boards: summary.n_boards,
            length,
            money: priced(summary.price),
            to_pay: priced(summary.bought),
            n_kept: summary.kept.iter().map(Kept::count).sum(),
            kept_end_to_end: summary.face.is_none().then_some(summary.wood.kept),
            wood: summary.wood,
            lumber: summary.lumber,
            used: shares(
                summary
                    .face
                    .map_or_else(|| summary.wood.uses(), |face| face.uses()),
            )[0],
            n_missing: summary.n_missing,
            difference: comparison.difference(row),
            is_proved: row.is_proved(),
            value: row.plan.value,
            bound: row.bound,
        }
    }
}

/// The woods of a row with what is bought of each, in words fit for a line of its own.
///
/// # Panics
/// If `row` is not one of `comparison`.
pub(super) fn by_wood(job: &Job, comparison: &Comparison, row: &Row) -> Vec<(String, WayLine)> {
    // Another yard has boards of its own, and without a limit there are boards that the comparison's woods lack.
    let woods = find_woods(&row.job);
    let line = |wood| WayLine::new(job, comparison, row, Some(wood));
    woods
        .iter()
        .map(|wood| (short_name(&row.job, wood), line(wood)))
        .collect()
}

fn to_signed(count: u64) -> i64 {
    i64::try_from(count).expect("a count in memory fits 63 bits")
}

/// Boards of a user's own way that the vehicle does not take, by name.
pub(super) fn left_behind<'a>(job: &'a Job, way: &Way) -> Vec<&'a str> {
    let (Way::Own(way_idx), Some(longest)) = (way, job.buying.longest) else {
        return Vec::new();
    };
    let boards: Vec<&Board> = match &job.buying.ways[*way_idx].boards {
        OwnBoards::Named(named) => named.iter().map(|&idx| &job.boards[idx]).collect(),
        OwnBoards::Listed(listed) => listed.iter().collect(),
    };
    // What the yard cuts comes along.
    let boards = boards.into_iter().filter(|board| board.at_yard.is_none());
    let too_long = boards.filter(|board| board.in_hand.is_none() && board.length > longest);
    too_long.map(|board| board.name.as_str()).collect()
}
