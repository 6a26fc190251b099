//! What each thing that is sold costs the shop.

use std::collections::{BTreeMap, BTreeSet};

use super::asked::{TooLarge, money};
use super::labor::labor;
use super::wood::{WoodShares, share_wood};
use crate::compare::share_sheets;
use crate::job::{CostKind, HardwareUse, Job, Line, MaterialKey, PriceRules, Purpose, Serves};
use crate::money::{Money, Percent};
use crate::plan::Plan;
use crate::plan::sheets::MaterialPlan;
use crate::stations::{HardwareList, hardware};
use crate::stock::board_cost;

/// Costs by their kind, in the order of [`CostKind::ALL`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Costs([Money; CostKind::ALL.len()]);

impl Costs {
    /// Those of one kind.
    pub fn of(&self, kind: CostKind) -> Money {
        self.0[kind as usize]
    }

    /// All of them.
    pub fn sum(&self) -> Money {
        self.0.iter().copied().sum()
    }

    pub(super) fn set(&mut self, kind: CostKind, money: Money) {
        self.0[kind as usize] = money;
    }

    pub(super) fn add(&mut self, kind: CostKind, money: Money) {
        self.0[kind as usize] += money;
    }

    /// Adds waste and overhead to what is counted; each is rounded to the nearest minor unit, half up.
    pub(super) fn with_surcharges(mut self, rules: &PriceRules) -> Result<Costs, TooLarge> {
        let share = |percent: Option<Percent>, amount: i128| {
            let percent = percent.unwrap_or(Percent::ZERO);
            money(percent.of(amount).ok_or(TooLarge)?)
        };
        let spoiled = [
            CostKind::Wood,
            CostKind::Mats,
            CostKind::Glazing,
            CostKind::Backing,
        ];
        let spoiled = spoiled.map(|kind| i128::from(self.of(kind).minor()));
        self.set(CostKind::Waste, share(rules.waste, spoiled.iter().sum())?);
        let all = self.0.iter().map(|cost| i128::from(cost.minor())).sum();
        self.set(CostKind::Overhead, share(rules.overhead, all)?);
        // Each of them fits; that all do together is seen here.
        money(self.0.iter().map(|cost| i128::from(cost.minor())).sum())?;
        Ok(self)
    }
}

/// What one line costs, all its copies together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SoldCosts {
    /// The frame that is hung, or the piece.
    pub line: Line,
    /// The frames inside of it, from the outermost on.
    pub inner: Vec<usize>,
    /// How many.
    pub quantity: u32,
    /// What they cost.
    pub costs: Costs,
}

/// What a job costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobCosts {
    /// What is sold, frames before pieces, in the order of the job.
    pub sold: Vec<SoldCosts>,
    /// What boards cost and what is kept of them; `None` where no board has a price.
    pub wood: Option<WoodShares>,
    /// What is in no cost.
    pub lacks: Vec<Lack>,
}

/// What no cost has in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lack {
    /// No board has a price.
    Wood,
    /// So many boards of the plan have none, where others have.
    Boards(u64),
    /// A material without prices.
    Material(MaterialKey),
    /// Hardware without a price, by its index.
    Hardware(usize),
    /// Hardware for a use that some frame has and none of the job's kinds serves there.
    Unserved(HardwareUse),
    /// So many parts of wood or sheets for which there is nothing to cut them from.
    Parts(u64),
}

/// Counts what a plan costs, for each line that is sold, with waste and overhead by the rules of the job.
///
/// # Errors
/// [`TooLarge`] where a cost does not fit an amount.
///
/// # Panics
/// If `materials` are not of the plan's job.
pub fn count_costs(plan: &Plan, materials: &[MaterialPlan]) -> Result<JobCosts, TooLarge> {
    let job = &plan.job;
    let mut costs: BTreeMap<Line, Costs> = BTreeMap::new();
    let roots = roots(job);
    let mut add = |kind, shares: &BTreeMap<Line, Money>| {
        for (&line, &share) in shares {
            let seller = match line {
                Line::Frame(idx) => Line::Frame(roots[idx]),
                Line::Piece(_) => line,
            };
            costs.entry(seller).or_default().add(kind, share);
        }
    };
    let wood = share_wood(plan);
    if let Some(wood) = &wood {
        add(CostKind::Wood, &wood.by_line);
    }
    for (kind, serves) in [
        (CostKind::Mats, Serves::Mat),
        (CostKind::Glazing, Serves::Glazing),
        (CostKind::Backing, Serves::Backing),
        // What lies behind the frame; off a roll it is hardware.
        (CostKind::Backing, Serves::DustCover),
    ] {
        let of_it = materials.iter().filter(|plan| plan.key.serves == serves);
        let of_it: Vec<MaterialPlan> = of_it.cloned().collect();
        add(kind, &share_sheets(job, &of_it));
    }
    let hardware = hardware(job);
    add(CostKind::Hardware, &hardware.shares());
    let mut sold = Vec::new();
    for (line, inner, quantity) in list_sold(job, &roots) {
        let mut costs = costs.remove(&line).unwrap_or_default();
        if let Line::Frame(idx) = line {
            let frames: Vec<usize> = [idx].into_iter().chain(inner.iter().copied()).collect();
            let for_all = labor(job, &frames)?.checked_mul(quantity.into());
            costs.set(CostKind::Labor, money(for_all.ok_or(TooLarge)?)?);
        }
        sold.push(SoldCosts {
            line,
            inner,
            quantity,
            costs: costs.with_surcharges(&job.prices)?,
        });
    }
    Ok(JobCosts {
        sold,
        wood,
        lacks: list_lacks(plan, materials, &hardware),
    })
}

/// `roots[idx]`: the frame that a customer buys with this one, which a frame inside of another belongs to.
fn roots(job: &Job) -> Vec<usize> {
    let frames = job.frames.iter().enumerate();
    let by_name: BTreeMap<&str, usize> = frames
        .map(|(idx, frame)| (frame.name.as_str(), idx))
        .collect();
    let root = |mut idx: usize| {
        while let Some(holder) = &job.frames[idx].held_by {
            let found = by_name.get(holder.as_str());
            idx = *found.expect("a frame that holds another is a line of the job");
        }
        idx
    };
    (0..job.frames.len()).map(root).collect()
}

/// What is sold: frames that no other holds with those inside, and pieces that are wanted.
fn list_sold(job: &Job, roots: &[usize]) -> Vec<(Line, Vec<usize>, u32)> {
    let mut inner: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (idx, &root) in roots.iter().enumerate() {
        if root != idx {
            inner.entry(root).or_default().push(idx);
        }
    }
    let mut sold = Vec::new();
    for (idx, frame) in job.frames.iter().enumerate() {
        if frame.is_held() {
            continue;
        }
        let inner = inner.remove(&idx).unwrap_or_default();
        sold.push((Line::Frame(idx), inner, frame.quantity));
    }
    for (idx, piece) in job.pieces.iter().enumerate() {
        if piece.purpose == Purpose::Wanted {
            sold.push((Line::Piece(idx), Vec::new(), piece.quantity));
        }
    }
    sold
}

fn list_lacks(plan: &Plan, materials: &[MaterialPlan], hardware: &HardwareList) -> Vec<Lack> {
    let job = &plan.job;
    let mut lacks = Vec::new();
    let priced = plan.boards.iter().filter(|board| {
        let board = &job.boards[board.board_idx];
        // What lies on the rack is worth nothing unless it is said; what was bought was paid for.
        let is_free = board.in_hand.as_ref().is_some_and(|own| !own.is_bought);
        is_free || matches!(board_cost(board), Ok(Some(_)))
    });
    let without = plan.boards.len() - priced.count();
    if without > 0 {
        lacks.push(if without == plan.boards.len() {
            Lack::Wood
        } else {
            Lack::Boards(count(without))
        });
    }
    let mut named: Vec<MaterialKey> = Vec::new();
    for frame_idx in 0..job.frames.len() {
        for sheet in job.sheets_to_cut(frame_idx) {
            let key = job.material_of(&sheet);
            let is_planned = materials.iter().any(|plan| plan.key == key);
            let is_counted = is_planned && job.material(&key).has_prices();
            if !is_counted && !named.contains(&key) {
                named.push(key);
            }
        }
    }
    lacks.extend(named.into_iter().map(Lack::Material));
    let without_price = hardware.needs.iter().filter(|need| need.money.is_none());
    lacks.extend(without_price.map(|need| Lack::Hardware(need.hardware_idx)));
    let unserved = hardware.lacking.iter().map(|lacking| lacking.hardware_use);
    lacks.extend(
        unserved
            .collect::<BTreeSet<_>>()
            .into_iter()
            .map(Lack::Unserved),
    );
    let pieces: usize = materials.iter().map(|plan| plan.missing.len()).sum();
    let missing = plan.missing.len() + pieces;
    if missing > 0 {
        lacks.push(Lack::Parts(count(missing)));
    }
    lacks
}

fn count(n: usize) -> u64 {
    u64::try_from(n).expect("a count in memory fits 64 bits")
}
