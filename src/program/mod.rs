//! The integer program of a job, so that any general solver can be asked what a plan must cost at least.
//!
//! It is made of the same [instance](crate::cutting::Instance) that the program's own solver has. For each kind of board and
//! each way to divide it a column counts how many are taken so; for each maximal pattern (`patterns`) of a kind of strip one
//! counts how many strips are cut so. Rows say that there are no more strips than the boards yield, no more boards than there
//! are, and as many of each part as are wanted. Where a strip has too many patterns, its strips are columns one by one, and
//! parts are assigned to them; that is as complete.
//! [`Program::lp`] writes it down; `names` are those of parts and boards. All numbers are whole.

mod lp;
mod names;
mod patterns;

use std::collections::BTreeMap;

use crate::bridge::Lowered;
use crate::cutting::{Instance, common_divisor};
use crate::job::Job;
use crate::length::exact_text;
use crate::plan::{Measure, part_label};

use names::{Names, ascii};
use patterns::maximal_patterns;

/// Patterns of one kind of strip that are listed by default; with more of them its strips stand one by one.
pub const MOST_PATTERNS: usize = 10_000;
/// Entries of the table of a program; with more of them no solver would get through it.
const MOST_TERMS: usize = 2_000_000;
/// No number is larger: solvers that reckon in floats still tell all whole numbers up to here apart.
const LARGEST: i128 = 1 << 50;

/// A variable: a whole number of 0 or more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Unlike any other of the program.
    pub name: String,
    /// What one costs in the objective.
    pub cost: i64,
    /// The most that it can be; `None` where rows alone limit it.
    pub most: Option<u64>,
    /// What it counts.
    pub means: String,
}

/// A row: a sum that is no less, or no more, than its side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Unlike any other of the program.
    pub name: String,
    /// Factors, never 0, and the columns they stand before.
    pub terms: Vec<(i64, usize)>,
    /// Whether the sum must be no less; else it must be no more.
    pub is_at_least: bool,
    /// What it is compared with.
    pub side: i64,
    /// What it says.
    pub means: String,
}

/// An integer program whose objective is to be least.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Program {
    /// Title of the job.
    pub title: String,
    /// What costs are measured in.
    pub measure: Measure,
    /// One unit of cost: minor units of money, or nanometers.
    pub unit: i64,
    /// What a missing part costs in the objective, more than any plan; `None` where there is wood for all parts.
    pub missing: Option<i64>,
    /// Whether every way to rip every board is in it; if not, it proves nothing of those that are not.
    pub is_complete: bool,
    /// Whether rails are to lie in rows, which `plan` parts where boards are too few for them.
    pub has_rows: bool,
    /// How many kinds of strip have columns for single strips.
    pub n_assigned: usize,
    /// Its variables.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Row>,
}

/// The program has more than two million entries, or a number that is too large to be told apart by all solvers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLarge;

/// The integer program of a job; up to `most_patterns` are listed of each kind of strip.
///
/// # Errors
/// [`TooLarge`].
///
/// # Panics
/// If a board's cost cannot be worked out; `load` refuses such boards.
pub fn program(job: &Job, most_patterns: usize) -> Result<Program, TooLarge> {
    let lowered = Lowered::new(job);
    let instance = &lowered.instance;
    let n_items = instance.items.len();
    let mut work = Work {
        names: Names::default(),
        items: (0..n_items).map(|item| item_name(&lowered, item)).collect(),
        needs: vec![Vec::new(); n_items],
        columns: Vec::new(),
        rows: Vec::new(),
        n_terms: 0,
        lowered: &lowered,
    };
    let measure = lowered.origins.measure;
    let unit = unit(instance, measure);
    let missing = price_of_missing(instance, unit)?;
    let mut strips: BTreeMap<usize, Vec<Yielding>> = BTreeMap::new();
    let haves = work.boards(unit, &mut strips)?;
    let mut links = Vec::new();
    let mut n_assigned = 0;
    for (&strip, boards) in &strips {
        let called = work.strip_name(strip);
        let (cut, is_listed) = work.cuts(strip, &called, boards, most_patterns)?;
        n_assigned += usize::from(!is_listed);
        let yielded = boards.iter().map(|of| (-of.count, of.column));
        let terms: Vec<(i64, usize)> = cut.into_iter().chain(yielded).collect();
        if terms.iter().any(|&(factor, _)| factor > 0) {
            let means = format!("no more {called} are cut than the boards yield");
            work.count(terms.len())?;
            links.push(work.row(&format!("strips {called}"), terms, false, 0, means)?);
        }
    }
    for (item, mut terms) in std::mem::take(&mut work.needs).into_iter().enumerate() {
        let of = instance.items[item];
        let (called, means) = work.items[item].clone();
        if let Some(price) = missing {
            let cost = i128::from(price) * i128::from(of.pieces);
            let means = format!("{called} that are missing");
            let most = Some(u64::from(of.demand));
            terms.push((
                1,
                work.column(&format!("missing {called}"), cost, most, means)?,
            ));
        }
        let row = work.row(
            &format!("need {called}"),
            terms,
            true,
            of.demand.into(),
            means,
        )?;
        work.rows.push(row);
    }
    work.rows.extend(links);
    work.rows.extend(haves);
    Ok(Program {
        title: ascii(&job.title),
        measure,
        unit,
        missing,
        is_complete: lowered.origins.is_complete,
        has_rows: job.asks_for_rows(),
        n_assigned,
        columns: work.columns,
        rows: work.rows,
    })
}

/// The unit of cost: of lengths the longest that measures all of them.
fn unit(instance: &Instance, measure: Measure) -> i64 {
    let costs = instance.stocks.iter().map(|stock| stock.cost);
    let common = costs.fold(0, common_divisor);
    match measure {
        Measure::Price => 1,
        Measure::BoardLength => common.max(1),
    }
}

/// What a missing piece costs where parts may be missing: more than any plan, which takes no more boards than there are parts.
fn price_of_missing(instance: &Instance, unit: i64) -> Result<Option<i64>, TooLarge> {
    let mut has_enough = vec![false; instance.items.len()];
    for stock in instance
        .stocks
        .iter()
        .filter(|stock| stock.supply.is_none())
    {
        for &strip in stock.layouts.iter().flat_map(|layout| &layout.strips) {
            for item in instance.fitting(strip) {
                has_enough[item] = true;
            }
        }
    }
    if has_enough.iter().all(|&is_so| is_so) {
        return Ok(None);
    }
    let costs = instance.stocks.iter().map(|stock| stock.cost / unit);
    let dearest = i128::from(costs.max().unwrap_or(0));
    let parts: i128 = instance
        .items
        .iter()
        .map(|item| i128::from(item.demand))
        .sum();
    whole(dearest * parts + 1).map(Some)
}

/// A number that all solvers tell apart from the next.
fn whole(number: i128) -> Result<i64, TooLarge> {
    if number.abs() > LARGEST {
        return Err(TooLarge);
    }
    i64::try_from(number).map_err(|_| TooLarge)
}

/// Boards taken in one way that yield strips of a kind.
struct Yielding {
    /// The column that counts the boards.
    column: usize,
    /// How many strips one yields.
    count: i64,
    /// How many boards there are; `None` for as many as needed.
    supply: Option<u32>,
}

struct Work<'a> {
    names: Names,
    /// What each item is called, and what its row says.
    items: Vec<(String, String)>,
    /// By item what cuts it.
    needs: Vec<Vec<(i64, usize)>>,
    columns: Vec<Column>,
    rows: Vec<Row>,
    n_terms: usize,
    lowered: &'a Lowered,
}

impl Work<'_> {
    /// Counts entries that are to come.
    fn count(&mut self, n_terms: usize) -> Result<(), TooLarge> {
        self.n_terms += n_terms;
        if self.n_terms > MOST_TERMS {
            return Err(TooLarge);
        }
        Ok(())
    }

    fn column(
        &mut self,
        called: &str,
        cost: i128,
        most: Option<u64>,
        means: String,
    ) -> Result<usize, TooLarge> {
        let column = Column {
            name: self.names.new_name(called),
            cost: whole(cost)?,
            most,
            means,
        };
        self.columns.push(column);
        Ok(self.columns.len() - 1)
    }

    fn row(
        &mut self,
        called: &str,
        terms: Vec<(i64, usize)>,
        is_at_least: bool,
        side: i64,
        means: String,
    ) -> Result<Row, TooLarge> {
        for &(factor, _) in &terms {
            whole(factor.into())?;
        }
        Ok(Row {
            name: self.names.new_name(called),
            terms,
            is_at_least,
            side,
            means,
        })
    }

    /// Columns for the boards, each way to divide one a column, with the rows of those in short supply; `strips` is told which
    /// columns yield a kind of strip, and how many.
    fn boards(
        &mut self,
        unit: i64,
        strips: &mut BTreeMap<usize, Vec<Yielding>>,
    ) -> Result<Vec<Row>, TooLarge> {
        let (instance, origins) = (&self.lowered.instance, &self.lowered.origins);
        let mut haves = Vec::new();
        for (stock_idx, stock) in instance.stocks.iter().enumerate() {
            let board = ascii(&self.lowered.job.boards[origins.board_indices[stock_idx]].name);
            let mut all = Vec::new();
            for (number, layout) in stock.layouts.iter().enumerate() {
                let mut yielded: BTreeMap<usize, i64> = BTreeMap::new();
                for &strip in &layout.strips {
                    *yielded.entry(strip).or_default() += 1;
                }
                let parts = yielded
                    .iter()
                    .map(|(&strip, count)| format!("{count} {}", self.strip_name(strip)));
                let parts: Vec<String> = parts.collect();
                let kept = if layout.kept {
                    ", which stays on the rack"
                } else {
                    ""
                };
                let means = format!("{board}{kept}: {}", parts.join(", "));
                let cost = i128::from(stock.cost_in(number) / unit);
                let column = self.column(&format!("take {board}"), cost, None, means)?;
                all.push((1, column));
                for (strip, count) in yielded {
                    strips.entry(strip).or_default().push(Yielding {
                        column,
                        count,
                        supply: stock.supply,
                    });
                }
            }
            if let Some(supply) = stock.supply {
                let means = format!("there are {supply} of {board}");
                self.count(all.len())?;
                haves.push(self.row(&format!("have {board}"), all, false, supply.into(), means)?);
            }
        }
        Ok(haves)
    }

    /// Columns for what is cut from a kind of strip; what they cut is added to what is needed. Returns them as they count strips, and
    /// whether all patterns are listed.
    fn cuts(
        &mut self,
        strip: usize,
        called: &str,
        boards: &[Yielding],
        most_patterns: usize,
    ) -> Result<(Vec<(i64, usize)>, bool), TooLarge> {
        let instance = &self.lowered.instance;
        let items: Vec<usize> = instance.fitting(strip).collect();
        let capacity = instance.strips[strip].capacity;
        let sizes: Vec<(i64, u32)> = items
            .iter()
            .map(|&item| (instance.items[item].size, instance.items[item].demand))
            .collect();
        let mut strips = Vec::new();
        if let Some(patterns) = maximal_patterns(capacity, &sizes, most_patterns) {
            for pattern in patterns {
                let cut = items.iter().zip(pattern).filter(|&(_, count)| count > 0);
                let cut: Vec<(usize, u32)> = cut.map(|(&item, count)| (item, count)).collect();
                let words = cut
                    .iter()
                    .map(|&(item, count)| format!("{count} {}", self.items[item].0));
                let means = words.collect::<Vec<_>>().join(", ");
                let column = self.column(&format!("cut {called}"), 0, None, means)?;
                strips.push((1, column));
                self.count(cut.len())?;
                for (item, count) in cut {
                    self.needs[item].push((count.into(), column));
                }
            }
            return Ok((strips, true));
        }
        let divisor = sizes
            .iter()
            .fold(0, |divisor, &(size, _)| common_divisor(divisor, size))
            .max(1);
        let room = capacity / divisor;
        for number in 1..=most_strips(boards, &sizes) {
            let open = format!("strip {number} of {called} is cut");
            let open = self.column(&format!("open {called}"), 0, Some(1), open)?;
            strips.push((1, open));
            let mut terms = vec![(-room, open)];
            for (&item, &(size, demand)) in items.iter().zip(&sizes) {
                let part = self.items[item].0.clone();
                let means = format!("{part} from strip {number} of {called}");
                let most = Some(u64::from(demand));
                let column = self.column(&format!("lie {part}"), 0, most, means)?;
                terms.push((size / divisor, column));
                self.needs[item].push((1, column));
            }
            let means = format!("what is cut from strip {number} of {called} fits");
            // What is needed of each item, and room for names and meanings, besides.
            self.count(terms.len() + items.len() * 5)?;
            let row = self.row(&format!("fit {called}"), terms, false, 0, means)?;
            self.rows.push(row);
        }
        Ok((strips, false))
    }

    fn strip_name(&self, strip: usize) -> String {
        let (instance, origins) = (&self.lowered.instance, &self.lowered.origins);
        let mut items = instance.strips[strip].items.iter();
        let moulding = items
            .next()
            .and_then(|&item| origins.items[item].moulding_idx);
        let job = &self.lowered.job;
        let section = moulding.map_or("wood", |idx| &job.mouldings[idx].name);
        format!("{} strip {}", ascii(section), strip + 1)
    }
}

/// More strips of a kind are of no use, or are not there.
fn most_strips(boards: &[Yielding], sizes: &[(i64, u32)]) -> u64 {
    let wanted: u64 = sizes.iter().map(|&(_, demand)| u64::from(demand)).sum();
    let there = boards
        .iter()
        .map(|of| Some(u64::from(of.supply?) * of.count.unsigned_abs()));
    let there: Option<u64> = there.sum();
    there.map_or(wanted, |there| there.min(wanted))
}

/// What an item is called: as the first of its parts; and what its row says.
fn item_name(lowered: &Lowered, item: usize) -> (String, String) {
    let (job, origin) = (&lowered.job, &lowered.origins.items[item]);
    let labels = origin
        .parts
        .iter()
        .take(3)
        .map(|&part| ascii(&part_label(job, part)));
    let labels: Vec<String> = labels.collect();
    let of = lowered.instance.items[item];
    let more = if origin.parts.len() > labels.len() {
        " and more"
    } else {
        ""
    };
    let length = ascii(&exact_text(origin.length, job.display.unit));
    let means = format!("{} of {length}: {}{more}", of.demand, labels.join(", "));
    let first = labels.into_iter().next().unwrap_or_default();
    (format!("{first} {}", item + 1), means)
}
