//! What the plan of a material that comes in sheets comes to: sheets to take, what is left of them, the rack afterwards.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use crate::job::{Job, Material, SheetStock, SheetTrim};
use crate::length::Length;
use crate::money::Money;
use crate::plan::sheets::{Among, MaterialPlan, PlannedSheet, SheetBlank, SheetPiece, SheetSource};
use crate::sheets::job::Along;

use super::RackMoves;

/// A material counted up.
#[derive(Clone, Debug)]
pub struct MaterialTally<'a> {
    /// What is counted.
    pub plan: &'a MaterialPlan,
    /// The material with its sheets.
    pub material: Cow<'a, Material>,
    /// Sheets of the stock that are taken: its index, and how many.
    pub taken: Vec<(usize, u64)>,
    /// Sheets that drop out of windows and are cut.
    pub n_fallout: u64,
    /// What the sheets that are bought cost; `None` where none of the material has a price.
    pub bought: Option<Money>,
    /// What those from the rack are worth.
    pub worth_in_hand: Money,
    /// Sheets that are cut alike, as positions in the plan: stretches of neighbors, never empty.
    pub groups: Vec<Range<usize>>,
    /// Pieces left that are worth keeping, largest first.
    pub left: Vec<SheetLeft>,
    /// What lies on the rack afterwards, what was there before first.
    pub rack_after: Vec<RackSheet>,
    /// Sheets of the rack that are left while others are bought, or pieces are missing.
    pub unused: Vec<UnusedSheet>,
}

/// Sheets of a line of the rack that a plan leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UnusedSheet {
    /// Index into the material's stock.
    pub stock_idx: usize,
    /// How many.
    pub count: u32,
    /// Why.
    pub why: WhySheetUnused,
}

/// Why a plan leaves a sheet on the rack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WhySheetUnused {
    /// No piece of its material can be cut from it.
    FitsNothing,
    /// Pieces fit on it, and it is proved of these plans that none with it is better.
    SavesNothing(Among),
    /// Pieces fit on it, and the search found no better plan with it.
    NoUseFound,
}

/// A piece left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetLeft {
    /// Width of what is good of it, as it lies on its sheet.
    pub width: Length,
    /// Height of that.
    pub height: Length,
    /// What is to be cut off yet at edges that were not cut.
    pub trim: SheetTrim,
    /// What it is left of.
    pub of: LeftOf,
}

impl SheetLeft {
    /// Width and height of all of it.
    pub fn whole(&self) -> (Length, Length) {
        let SheetTrim {
            left,
            right,
            bottom,
            top,
        } = self.trim;
        (self.width + left + right, self.height + bottom + top)
    }
}

/// What a piece is left of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeftOf {
    /// A sheet of the plan.
    Sheet {
        /// Its position.
        sheet: usize,
        /// Where the piece begins from the left edge.
        left: Length,
        /// Where it begins from the lower edge.
        bottom: Length,
    },
    /// The window of a mat.
    Window(SheetPiece),
}

/// A line of the rack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RackSheet {
    /// What is written on it.
    pub label: String,
    /// Width.
    pub width: Length,
    /// Height.
    pub height: Length,
    /// How many.
    pub quantity: u32,
    /// What one is worth; `None` is nothing.
    pub value: Option<Money>,
    /// What is to be cut off at its edges.
    pub trim: SheetTrim,
}

/// What the plans of some materials move on the rack of sheets.
///
/// # Panics
/// If they are not of `job`.
pub fn sheet_rack_moves(job: &Job, plans: &[MaterialPlan]) -> RackMoves {
    let tallies = material_tallies(job, plans);
    let taken = tallies.iter().flat_map(|tally| {
        let of_rack = tally.taken.iter();
        of_rack.filter(|(idx, _)| tally.stock(*idx).label.is_some())
    });
    let added: usize = tallies.iter().map(|tally| tally.left.len()).sum();
    RackMoves {
        taken: taken.map(|&(_, count)| count).sum(),
        added: u64::try_from(added).expect("a count in memory fits 64 bits"),
    }
}

/// Counts the plans of some materials.
///
/// # Panics
/// If they are not of `job`.
pub fn material_tallies<'a>(job: &'a Job, plans: &'a [MaterialPlan]) -> Vec<MaterialTally<'a>> {
    plans
        .iter()
        .map(|plan| MaterialTally::new(job, plan))
        .collect()
}

impl<'a> MaterialTally<'a> {
    fn new(job: &'a Job, plan: &'a MaterialPlan) -> MaterialTally<'a> {
        let material = job.material(&plan.key);
        let mut taken: BTreeMap<usize, u64> = BTreeMap::new();
        let mut n_fallout = 0;
        for sheet in &plan.sheets {
            match sheet.source {
                SheetSource::Stock(idx) => *taken.entry(idx).or_default() += 1,
                SheetSource::Fallout(_) => n_fallout += 1,
            }
        }
        let sum = |in_hand: bool| -> Money {
            let lines = taken.iter().filter_map(|(&idx, &count)| {
                let stock = &material.stock[idx];
                let price = stock.price.filter(|_| stock.label.is_some() == in_hand)?;
                Some(price * i64::try_from(count).expect("a count in memory fits 63 bits"))
            });
            lines.sum()
        };
        let bought = material.has_prices().then(|| sum(false));
        let worth_in_hand = sum(true);
        let left = pieces_left(job, &material, plan);
        let unused = unused(job, &material, plan, &taken);
        MaterialTally {
            plan,
            rack_after: rack_after(job, &material, &taken, &left),
            taken: taken.into_iter().collect(),
            n_fallout,
            bought,
            worth_in_hand,
            groups: groups(&plan.sheets),
            left,
            unused,
            material,
        }
    }

    /// What sheets of the plan are called: they are numbered from 1 in their order.
    ///
    /// # Panics
    /// Never: a count in memory fits 64 bits.
    pub fn n_sheets(&self) -> u64 {
        u64::try_from(self.plan.sheets.len()).expect("a count in memory fits 64 bits")
    }

    /// A line of the stock.
    pub fn stock(&self, idx: usize) -> &SheetStock {
        &self.material.stock[idx]
    }
}

/// The sheets of the rack that a plan leaves, and why; none where it buys nothing and lacks nothing.
fn unused(
    job: &Job,
    material: &Material,
    plan: &MaterialPlan,
    taken: &BTreeMap<usize, u64>,
) -> Vec<UnusedSheet> {
    let buys = taken.keys().any(|&idx| material.stock[idx].label.is_none());
    if !buys && plan.missing.is_empty() {
        return Vec::new();
    }
    let cut = plan.sheets.iter().flat_map(PlannedSheet::cuts);
    let cut = cut.map(|cut| cut.piece.size(job));
    let wanted: BTreeSet<(Length, Length)> = cut
        .chain(plan.missing.iter().map(|piece| piece.size(job)))
        .collect();
    let mut found = Vec::new();
    for (stock_idx, stock) in material.stock.iter().enumerate() {
        let taken = taken.get(&stock_idx).copied().unwrap_or(0);
        let taken = u32::try_from(taken).unwrap_or(u32::MAX);
        let count = stock.quantity.unwrap_or(0).saturating_sub(taken);
        if stock.label.is_none() || count == 0 {
            continue;
        }
        let mut sizes = wanted.iter();
        let why = if sizes.any(|&(width, height)| material.fits_on(stock_idx, width, height)) {
            plan.best_among(material)
                .map_or(WhySheetUnused::NoUseFound, WhySheetUnused::SavesNothing)
        } else {
            WhySheetUnused::FitsNothing
        };
        found.push(UnusedSheet {
            stock_idx,
            count,
            why,
        });
    }
    found
}

/// Neighbors that are cut alike.
fn groups(sheets: &[PlannedSheet]) -> Vec<Range<usize>> {
    let mut groups: Vec<Range<usize>> = Vec::new();
    for (position, sheet) in sheets.iter().enumerate() {
        match groups.last_mut() {
            Some(group) if sheets[group.start].is_like(sheet) => group.end = position + 1,
            _ => groups.push(position..position + 1),
        }
    }
    groups
}

/// What is left of the sheets, and of windows that are not used, as far as neither side is too short.
fn pieces_left(job: &Job, material: &Material, plan: &MaterialPlan) -> Vec<SheetLeft> {
    let mut left = Vec::new();
    let mut used: BTreeSet<SheetPiece> = BTreeSet::new();
    for (position, sheet) in plan.sheets.iter().enumerate() {
        if let SheetSource::Fallout(mat) = sheet.source {
            used.insert(mat);
        }
        left.extend(left_of(job, material, position, sheet));
    }
    if let Some(loss) = material.cutting.fallout {
        for piece in plan.sheets.iter().flat_map(PlannedSheet::cuts) {
            if let Some((width, height)) = piece.piece.dropped(job)
                && !used.contains(&piece.piece)
            {
                left.push(SheetLeft {
                    width: width - loss * 2,
                    height: height - loss * 2,
                    trim: SheetTrim::all(loss),
                    of: LeftOf::Window(piece.piece),
                });
            }
        }
    }
    let least = material.cutting.least_piece;
    left.retain(|piece| piece.width >= least && piece.height >= least);
    let face = |piece: &SheetLeft| i128::from(piece.width.nm()) * i128::from(piece.height.nm());
    // The largest first, alike ones together.
    left.sort_by_key(|piece| (std::cmp::Reverse(face(piece)), piece.whole(), piece.trim));
    left
}

/// What is left of a sheet: beside its strips, behind the last stack of each, beside stacks that are narrower than their strip,
/// and behind pieces that are shorter than their stack.
fn left_of(
    job: &Job,
    material: &Material,
    position: usize,
    sheet: &PlannedSheet,
) -> Vec<SheetLeft> {
    let SheetBlank {
        width,
        height,
        trim,
        ..
    } = sheet.blank(job, material);
    let SheetTrim {
        left,
        right,
        bottom,
        top,
    } = trim;
    let kerf = material.cutting.kerf;
    let (across_page, up_page) = ((left, width - right), (bottom, height - top));
    let (lengthwise, crosswise) = match sheet.along {
        Along::Width => (across_page, up_page),
        Along::Height => (up_page, across_page),
    };
    // Places along and across the strips: from and to. Beside the last strip the ends are still as the sheet had them, and so
    // is the far edge; behind the last piece of a strip the far end is.
    let mut pieces = Vec::new();
    let clean = SheetTrim::all(Length::ZERO);
    if let Some(last) = sheet.strips.last() {
        let uncut = match sheet.along {
            Along::Width => SheetTrim {
                bottom: Length::ZERO,
                ..trim
            },
            Along::Height => SheetTrim {
                left: Length::ZERO,
                ..trim
            },
        };
        let across = (last.from + last.width + kerf, crosswise.1);
        pieces.push((lengthwise, across, uncut));
    }
    for strip in &sheet.strips {
        let far_edge = strip.from + strip.width;
        if let Some(last) = strip.stacks.last() {
            let across = (strip.from, far_edge);
            let uncut = match sheet.along {
                Along::Width => SheetTrim { right, ..clean },
                Along::Height => SheetTrim { top, ..clean },
            };
            let begin = last.from + last.length + kerf;
            pieces.push(((begin, lengthwise.1), across, uncut));
        }
        // What third and last cuts take off has been cut at all its edges.
        for stack in &strip.stacks {
            let end = stack.from + stack.length;
            if let Some(last) = stack.cuts.last() {
                pieces.push(((stack.from, end), (last.to + kerf, far_edge), clean));
            }
            pieces.extend(stack.cuts.iter().map(|cut| {
                let along = (stack.from + cut.along + kerf, end);
                (along, (cut.from, cut.to), clean)
            }));
        }
    }
    let pieces = pieces.into_iter().map(|(along, across, trim)| {
        let ((left, right), (bottom, top)) = match sheet.along {
            Along::Width => (along, across),
            Along::Height => (across, along),
        };
        SheetLeft {
            width: right - left,
            height: top - bottom,
            trim,
            of: LeftOf::Sheet {
                sheet: position,
                left,
                bottom,
            },
        }
    });
    pieces.collect()
}

/// What lies on the rack afterwards: what was there and is not cut, and the pieces left, alike ones together, under labels
/// that nothing else on the rack has.
fn rack_after(
    job: &Job,
    material: &Material,
    taken: &BTreeMap<usize, u64>,
    left: &[SheetLeft],
) -> Vec<RackSheet> {
    let mut rack = Vec::new();
    let on_rack = job.materials.iter().flat_map(|own| &own.stock);
    let labels: BTreeSet<&str> = on_rack.filter_map(|stock| stock.label.as_deref()).collect();
    for (idx, stock) in material.stock.iter().enumerate() {
        let Some(label) = &stock.label else { continue };
        let taken = taken.get(&idx).copied().unwrap_or(0);
        let taken = u32::try_from(taken).unwrap_or(u32::MAX);
        let quantity = stock.quantity.unwrap_or(0).saturating_sub(taken);
        if quantity > 0 {
            rack.push(RackSheet {
                label: label.clone(),
                width: stock.width,
                height: stock.height,
                quantity,
                value: stock.price,
                trim: stock.trim,
            });
        }
    }
    let name = material.name.as_deref().unwrap_or("mat board");
    let mut names = (1_u64..)
        .map(|number| format!("{name} {number}"))
        .filter(|name| !labels.contains(name.as_str()));
    for alike in left.chunk_by(|one, next| (one.whole(), one.trim) == (next.whole(), next.trim)) {
        let (width, height) = alike[0].whole();
        rack.extend(names.next().map(|label| RackSheet {
            label,
            width,
            height,
            quantity: u32::try_from(alike.len()).unwrap_or(u32::MAX),
            value: None,
            trim: alike[0].trim,
        }));
    }
    rack
}
