//! What frames of some sizes may cost, and what would be asked for them: an estimate, for which nothing is planned.

use std::collections::BTreeSet;

use super::asked::{Priced, TooLarge, money, quote};
use super::costs::{Costs, Lack, SoldCosts};
use super::labor::labor;
use super::waste::{WasteOf, Wastes};
use crate::frame::{ChosenBoards, Frame, Grain, Holding, Outline, rectangle_round};
use crate::job::{
    AskedSize, CostKind, Finding, HardwareUse, Hindrance, Job, Line, Lot, Material, MaterialKey,
    PriceRules, Serves,
};
use crate::length::Length;
use crate::money::{Money, Percent};
use crate::stations::{HardwareAmount, WhyLacking, hardware};
use crate::stock::{Taking, board_cost, greatest_common_divisor};

/// Estimates for a list of sizes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Estimate {
    /// What was reckoned with.
    pub wastes: Wastes,
    /// Of what waste was taken into account.
    pub wasted: BTreeSet<WasteOf>,
    /// Moulding by moulding, in the order of the job, of each all sizes in their order, without a mat and then with one.
    pub frames: Vec<Estimated>,
    /// What is in no cost: materials and hardware without a price.
    pub lacks: Vec<Lack>,
}

/// The estimate for one frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Estimated {
    /// Width and height of its art.
    pub art: (Length, Length),
    /// Index into the job's mouldings.
    pub moulding_idx: usize,
    /// Index of the job's frame that it is made like.
    pub like: usize,
    /// Index of the job's frame whose mat it has; `None` where it has none.
    pub mat_of: Option<usize>,
    /// What it may cost, or why that cannot be said.
    pub found: Result<Box<Found>, NoEstimate>,
}

impl Estimated {
    /// Whether it has a mat, or was to have one.
    pub fn has_mat(&self) -> bool {
        self.mat_of.is_some() || self.found == Err(NoEstimate::NoMat)
    }
}

/// What a frame may cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Costs, and the price by the rules of the shop, of one.
    pub priced: Priced,
    /// The board that is reckoned with: an index into the job's boards.
    pub board_idx: usize,
}

/// Why there is no estimate for a frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoEstimate {
    /// No board with a price suits the moulding.
    NoBoard,
    /// No board with a price is as long as its longest rail.
    TooLong,
    /// No sheet of a material that has a price yields what it needs, for this reason.
    NoSheet(MaterialKey, Hindrance),
    /// No hardware of the job serves this use, for this reason.
    NoHardware(HardwareUse, WhyLacking),
    /// It is to have a mat, and no frame of the job has one that it could take.
    NoMat,
    /// It cannot be made: nothing of it would be seen, say.
    CannotBe,
}

/// Why there is no estimate at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CannotEstimate {
    /// An amount does not fit.
    TooLarge,
    /// The job has no frame that others could be made like.
    NoFrame,
    /// Nothing tells how much of these is wasted.
    NoWaste(BTreeSet<WasteOf>),
}

impl From<TooLarge> for CannotEstimate {
    fn from(_: TooLarge) -> CannotEstimate {
        CannotEstimate::TooLarge
    }
}

/// Usual sizes of art in inches. Common practice, no source.
pub fn usual_inch_sizes() -> Vec<AskedSize> {
    const SIZES: [(i64, i64); 14] = [
        (4, 6),
        (5, 7),
        (8, 8),
        (8, 10),
        (9, 12),
        (11, 14),
        (12, 12),
        (12, 16),
        (12, 18),
        (16, 20),
        (18, 24),
        (20, 24),
        (24, 30),
        (24, 36),
    ];
    let sizes = SIZES.into_iter();
    let size = |(width, height)| AskedSize::any(Length::INCH * width, Length::INCH * height);
    sizes.map(size).collect()
}

/// Usual sizes of art in millimeters: A5 to A1 of ISO 216, the others common practice, no source.
pub fn usual_metric_sizes() -> Vec<AskedSize> {
    const SIZES: [(i64, i64); 16] = [
        (100, 150),
        (130, 180),
        (148, 210),
        (180, 240),
        (200, 300),
        (210, 297),
        (240, 300),
        (297, 420),
        (300, 400),
        (400, 500),
        (420, 594),
        (500, 600),
        (500, 700),
        (594, 841),
        (600, 800),
        (700, 1_000),
    ];
    let sizes = SIZES.into_iter();
    let millimetres = |count| Length::MILLIMETRE * count;
    let size = |(width, height)| AskedSize::any(millimetres(width), millimetres(height));
    sizes.map(size).collect()
}

/// Estimates one frame of each size in each moulding of the job, with and without a mat as far as the sizes say nothing of that.
/// A moulding that no frame is of, and for which there is no board with a price, is left out unless the sizes name mouldings.
///
/// A frame is made like the first frame of its moulding that is hung, else like the first one of the job: glazing, backing, and
/// how it holds them. Its mat is that of the frame that it is made like, else that of the first frame of its moulding that has
/// one, else the first of the job; a tray gets none of another. It has no frame inside of it and no spacer, asks nothing of the
/// grain and takes any board.
///
/// The rules, each amount in minor units, rounded to the nearest, half up: of the boards on sale that hold the longest rail the
/// one that comes cheapest, its price by length (where boards are ripped by face), times all rails, divided by what is not
/// wasted; of each pane or board the same by face. Hardware is the share of its lot. Labor, waste, overhead, markup, rounding
/// and tax are those of a quote for this frame alone, without a discount.
///
/// # Errors
/// [`CannotEstimate`].
///
/// # Panics
/// Never: what is reckoned with was loaded.
pub fn estimate(
    job: &Job,
    sizes: &[AskedSize],
    wastes: &Wastes,
) -> Result<Estimate, CannotEstimate> {
    let hung = job.frames.iter().enumerate();
    let hung: Vec<(usize, &Frame)> = hung.filter(|(_, frame)| !frame.is_held()).collect();
    let first = hung.first().ok_or(CannotEstimate::NoFrame)?;
    let matted = job.frames.iter().enumerate();
    let matted: Vec<(usize, &Frame)> = matted.filter(|(_, frame)| frame.mat.is_some()).collect();
    let mut work = Work {
        job,
        wastes,
        wasted: BTreeSet::new(),
        unknown: BTreeSet::new(),
        lacks: Vec::new(),
    };
    let mut frames = Vec::new();
    for (moulding_idx, moulding) in job.mouldings.iter().enumerate() {
        let mut of_it = hung.iter();
        let of_it = of_it.find(|(_, frame)| frame.moulding_idx == moulding_idx);
        let (like, model) = of_it.unwrap_or(first);
        let is_tray = matches!(model.holding, Holding::Tray { .. });
        let of_moulding = matted.iter();
        let mut of_moulding = of_moulding.filter(|(_, frame)| frame.moulding_idx == moulding_idx);
        let mat_of = if model.mat.is_some() {
            Some(*like)
        } else if is_tray {
            None
        } else {
            let nearest = of_moulding.next().or(matted.first());
            nearest.map(|(frame_idx, _)| *frame_idx)
        };
        let n_before = frames.len();
        for (size, has_mat) in sizes.iter().flat_map(|size| [(size, false), (size, true)]) {
            if !size.is_of(moulding, has_mat) {
                continue;
            }
            let mat_of = mat_of.filter(|_| has_mat);
            if has_mat && mat_of.is_none() {
                // Where either would do, the frame without a mat stands for both.
                if size.has_mat == Some(true) {
                    frames.push(Estimated {
                        art: (size.width, size.height),
                        moulding_idx,
                        like: *like,
                        mat_of,
                        found: Err(NoEstimate::NoMat),
                    });
                }
                continue;
            }
            let frame = Frame {
                quantity: 1,
                art: Outline::Rectangle {
                    width: size.width,
                    height: size.height,
                },
                mat: mat_of.and_then(|frame_idx| job.frames[frame_idx].mat.clone()),
                spacer: None,
                moulding_idx,
                inner: Vec::new(),
                held_by: None,
                grain: Some(Grain::Free),
                in_pairs: false,
                match_color: Some(false),
                boards: ChosenBoards::ANY,
                ..(*model).clone()
            };
            frames.push(Estimated {
                art: (size.width, size.height),
                moulding_idx,
                like: *like,
                mat_of,
                found: work.frame(frame)?,
            });
        }
        // What no frame is of, no size names, and no board with a price could be made into, is not on offer.
        let is_named = || sizes.iter().any(|size| size.moulding.is_some());
        let has_board = |of: &Estimated| of.found != Err(NoEstimate::NoBoard);
        if of_it.is_none() && !frames[n_before..].iter().any(has_board) && !is_named() {
            frames.truncate(n_before);
        }
    }
    if !work.unknown.is_empty() {
        return Err(CannotEstimate::NoWaste(work.unknown));
    }
    Ok(Estimate {
        wastes: wastes.clone(),
        wasted: work.wasted,
        frames,
        lacks: work.lacks,
    })
}

struct Work<'a> {
    job: &'a Job,
    wastes: &'a Wastes,
    wasted: BTreeSet<WasteOf>,
    unknown: BTreeSet<WasteOf>,
    lacks: Vec<Lack>,
}

impl Work<'_> {
    fn frame(&mut self, frame: Frame) -> Result<Result<Box<Found>, NoEstimate>, TooLarge> {
        let moulding_idx = frame.moulding_idx;
        let alone = match self.job.with_frame_alone(frame) {
            Ok(alone) => alone,
            Err(refused) => {
                let mut findings = refused.findings.iter().filter(|found| found.is_error());
                return Ok(Err(findings.next().map_or(NoEstimate::CannotBe, why_not)));
            }
        };
        let mut costs = Costs::default();
        let (board_idx, wood) = match self.wood(&alone, moulding_idx)? {
            Ok(found) => found,
            Err(why) => return Ok(Err(why)),
        };
        costs.set(CostKind::Wood, wood);
        if let Some(why) = self.sheets(&alone, &mut costs)? {
            return Ok(Err(why));
        }
        match self.hardware(&alone)? {
            Ok(hardware) => costs.set(CostKind::Hardware, hardware),
            Err(why) => return Ok(Err(why)),
        }
        costs.set(CostKind::Labor, money(labor(&alone, &[0])?)?);
        let sold = SoldCosts {
            line: Line::Frame(0),
            inner: Vec::new(),
            quantity: 1,
            costs: costs.with_surcharges(&alone.prices)?,
        };
        let rules = PriceRules {
            discount: None,
            deposit: None,
            ..alone.prices.clone()
        };
        let mut quote = quote(vec![sold], &[], &rules)?;
        let priced = quote.lines.remove(0);
        Ok(Ok(Box::new(Found { priced, board_idx })))
    }

    /// What the rails may cost, and the board that is reckoned with.
    fn wood(
        &mut self,
        alone: &Job,
        moulding_idx: usize,
    ) -> Result<Result<(usize, Money), NoEstimate>, TooLarge> {
        let moulding = &alone.mouldings[moulding_idx];
        let rip = alone.shop.rip.as_ref();
        let sizes = alone.frame_sizes(0);
        let rails: Vec<i64> = (0..4)
            .map(|side| sizes.rail(side).long_point.nm())
            .collect();
        let longest = rails.iter().copied().max().unwrap_or_default();
        let rails: i128 = rails.into_iter().map(i128::from).sum();
        let mut why = NoEstimate::NoBoard;
        let mut cheapest: Option<(usize, Money)> = None;
        for (board_idx, board) in alone.boards.iter().enumerate() {
            let run = alone.clear_run(moulding_idx, board_idx);
            let price = board_cost(board).ok().flatten();
            let (Some(run), Some(price)) = (run, price) else {
                continue;
            };
            if board.is_from_rack() || alone.supply(board_idx) == Some(0) {
                continue;
            }
            if run.nm() < longest {
                why = NoEstimate::TooLong;
                continue;
            }
            let mut part = rails;
            let mut whole = i128::from(board.length.nm());
            let mut of = WasteOf::Boards;
            if let (Some(_), Some(board_width)) = (rip, board.width) {
                of = WasteOf::RippedBoards;
                let width = match board.taking(rip, Some(moulding.face_width)) {
                    Some(Taking::Ripped { width }) => width,
                    _ => board_width,
                };
                part *= i128::from(width.nm());
                whole *= i128::from(board_width.nm());
            }
            let resawn = moulding
                .thickness
                .filter(|&wanted| board.thickness != Some(wanted));
            if let Some(slices) = resawn.and_then(|wanted| board.slices(rip, wanted)) {
                whole *= i128::try_from(slices).unwrap_or(1);
            }
            let amount = share(price, part, whole, self.waste(of))?;
            if cheapest.is_none_or(|(_, least)| amount < least) {
                cheapest = Some((board_idx, amount));
            }
        }
        Ok(cheapest.ok_or(why))
    }

    /// Adds what mats, glazing, backing and a dust cover in sheets may cost; or tells why that cannot be said.
    fn sheets(&mut self, alone: &Job, costs: &mut Costs) -> Result<Option<NoEstimate>, TooLarge> {
        let sheets = alone.sheets_to_cut(0);
        for (kind, serves) in [
            (CostKind::Mats, Serves::Mat),
            (CostKind::Glazing, Serves::Glazing),
            (CostKind::Backing, Serves::Backing),
            (CostKind::Backing, Serves::DustCover),
        ] {
            let mut sum = 0_i128;
            let of_it = sheets.iter();
            for sheet in of_it.filter(|sheet| Serves::of(sheet.sheet_use) == serves) {
                let key = alone.material_of(sheet);
                let material = alone.material(&key);
                if !material.has_prices() {
                    self.lack(Lack::Material(key));
                    continue;
                }
                let (width, height) = rectangle_round(sheet.size);
                let face = i128::from(width.nm()) * i128::from(height.nm());
                let waste = self.waste(WasteOf::Sheets(serves));
                let mut least: Option<Money> = None;
                let mut sold = material.clone().into_owned();
                sold.stock.retain(|stock| stock.label.is_none());
                sold.stock.retain(|stock| stock.price.is_some());
                for stock in &sold.stock {
                    let only = Material {
                        stock: vec![stock.clone()],
                        ..sold.clone()
                    };
                    let Some(price) = stock.price else {
                        continue;
                    };
                    if only.hindrance(width, height).is_none() {
                        let whole = i128::from(stock.width.nm()) * i128::from(stock.height.nm());
                        let amount = share(price, face, whole, waste)?;
                        least = Some(least.map_or(amount, |least| least.min(amount)));
                    }
                }
                let Some(amount) = least else {
                    let why = sold.hindrance(width, height);
                    let why = why.unwrap_or(Hindrance::NoSheet);
                    return Ok(Some(NoEstimate::NoSheet(key, why)));
                };
                sum += i128::from(amount.minor());
            }
            costs.add(kind, money(sum)?);
        }
        Ok(None)
    }

    /// What of each lot of hardware one frame takes, or which use nothing serves.
    fn hardware(&mut self, alone: &Job) -> Result<Result<Money, NoEstimate>, TooLarge> {
        let list = hardware(alone);
        if let Some(lacking) = list.lacking.first() {
            return Ok(Err(NoEstimate::NoHardware(
                lacking.hardware_use,
                lacking.why,
            )));
        }
        let mut sum = 0_i128;
        for need in list.needs {
            let of = &alone.hardware[need.hardware_idx];
            let Some(price) = of.price else {
                self.lack(Lack::Hardware(need.hardware_idx));
                continue;
            };
            let taken = match need.amount {
                HardwareAmount::Count(count) => i128::from(count),
                HardwareAmount::Length(length) => i128::from(length.nm()),
            };
            let lot = match of.lot {
                Lot::Count(count) => i128::from(count),
                Lot::Length(length) => i128::from(length.nm()),
            };
            sum += i128::from(share(price, taken, lot, Percent::ZERO)?.minor());
        }
        money(sum).map(Ok)
    }

    /// The share that is wasted; what nothing tells is noted, and reckoned as nothing.
    fn waste(&mut self, of: WasteOf) -> Percent {
        if let Some(waste) = self.wastes.of(of) {
            self.wasted.insert(of);
            waste.share
        } else {
            self.unknown.insert(of);
            Percent::ZERO
        }
    }

    fn lack(&mut self, lack: Lack) {
        if !self.lacks.contains(&lack) {
            self.lacks.push(lack);
        }
    }
}

fn why_not(finding: &Finding) -> NoEstimate {
    match finding {
        Finding::PartTooLong { .. } => NoEstimate::TooLong,
        Finding::NoSuitableBoard { .. } => NoEstimate::NoBoard,
        _ => NoEstimate::CannotBe,
    }
}

/// A price times `part / whole`, divided by what is not wasted; rounded once, to the nearest, half up.
fn share(price: Money, part: i128, whole: i128, waste: Percent) -> Result<Money, TooLarge> {
    let all = i128::from(Percent::ALL.millionths());
    let left = all - i128::from(waste.millionths());
    if left <= 0 || whole <= 0 {
        return Err(TooLarge);
    }
    let common = greatest_common_divisor(part.unsigned_abs(), whole.unsigned_abs());
    let common = i128::try_from(common).map_err(|_| TooLarge)?;
    let (part, whole) = (part / common, whole / common);
    let times = |one: i128, other: i128| one.checked_mul(other).ok_or(TooLarge);
    let above = times(times(price.minor().into(), part)?, all)?;
    let below = times(whole, left)?;
    let twice = times(above, 2)?.checked_add(below).ok_or(TooLarge)?;
    money(twice.div_euclid(times(below, 2)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived: 17.60 for 8 ft, 5 ft of rails, a fifth wasted: 17.60 x 5 / 8 / 0.8 = 13.75; a third of 0.01 is 0.00, a half 0.01.
    #[test]
    fn a_share_is_rounded_once_half_up() {
        let of = |minor, part, whole, waste| {
            let waste = Percent::parse(waste).ok_or(TooLarge)?;
            share(Money::from_minor(minor), part, whole, waste).map(Money::minor)
        };
        assert_eq!(of(1_760, 5, 8, "20"), Ok(1_375));
        assert_eq!(of(1, 1, 3, "0"), Ok(0));
        assert_eq!(of(1, 1, 2, "0"), Ok(1));
        assert_eq!(of(100, 1, 1, "100"), Err(TooLarge));
        assert_eq!(of(i64::MAX, i128::MAX, 3, "0"), Err(TooLarge));
    }
}
