//! Whether a plan can be cut, and cuts what is wanted.

use std::collections::BTreeMap;

use crate::sheets::job::{Along, Item, Kind, SheetJob, Stages, Trim};
use crate::sheets::plan::{CutSheet, SheetPlan, Stack, Strip};

/// What is wrong with a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PlanFault {
    /// A sheet, piece or list names what the job does not have.
    NoSuch,
    /// There are fewer sheets of a kind.
    Supply {
        /// Index of the kind.
        kind: usize,
    },
    /// A sheet is longer along its strips than the cutter's first cut, or strips may not run so.
    FirstCut {
        /// Index of the sheet in the plan.
        sheet: usize,
    },
    /// A strip is wider than the cutter's second cut.
    SecondCut {
        /// Index of the sheet in the plan.
        sheet: usize,
        /// Index of the strip.
        strip: usize,
    },
    /// Third cuts are needed for a stack, and the cutter makes none.
    ThirdCut {
        /// Index of the sheet in the plan.
        sheet: usize,
        /// Index of the strip.
        strip: usize,
    },
    /// A sheet has no strip, a strip no stack, or a stack no piece.
    Empty {
        /// Index of the sheet in the plan.
        sheet: usize,
    },
    /// Strips, stacks of a strip, or pieces of a stack, lie nearer to each other than a cut is wide, on each other, out of order or on a trim.
    Place {
        /// Index of the sheet in the plan.
        sheet: usize,
        /// Index of the strip.
        strip: usize,
    },
    /// A strip is not as wide as its widest stack, or a stack not as long as its longest piece.
    Width {
        /// Index of the sheet in the plan.
        sheet: usize,
        /// Index of the strip.
        strip: usize,
    },
    /// A piece is turned that must not be.
    Turned {
        /// Index of the sheet in the plan.
        sheet: usize,
        /// Index of the strip.
        strip: usize,
    },
    /// An item is not cut as often as wanted less what is missing.
    Number {
        /// Index of the item.
        item: usize,
    },
    /// The sheets do not cost what the plan says.
    Cost,
    /// What is claimed to be proved is more than the plan is worth.
    Bound,
}

/// Everything that is wrong with a plan.
pub fn check_plan(job: &SheetJob, plan: &SheetPlan) -> Vec<PlanFault> {
    let is_known = |sheet: &CutSheet| {
        let mut pieces = sheet.pieces();
        sheet.kind < job.kinds().len() && pieces.all(|piece| piece.item < job.items().len())
    };
    if !plan.sheets.iter().all(is_known) || plan.missing.len() != job.items().len() {
        return vec![PlanFault::NoSuch];
    }
    let mut faults = Vec::new();
    for (idx, sheet) in plan.sheets.iter().enumerate() {
        check_sheet(job, idx, sheet, &mut faults);
    }
    check_numbers(job, plan, &mut faults);
    faults
}

/// Numbers of sheets and pieces, cost and claims.
fn check_numbers(job: &SheetJob, plan: &SheetPlan, faults: &mut Vec<PlanFault>) {
    let mut used: BTreeMap<usize, u32> = BTreeMap::new();
    let mut cut: BTreeMap<usize, u64> = BTreeMap::new();
    for sheet in &plan.sheets {
        *used.entry(sheet.kind).or_default() += 1;
        for piece in sheet.pieces() {
            *cut.entry(piece.item).or_default() += 1;
        }
    }
    for (&kind, &count) in &used {
        if job.kinds()[kind]
            .supply
            .is_some_and(|supply| count > supply)
        {
            faults.push(PlanFault::Supply { kind });
        }
    }
    for (idx, (item, &missing)) in job.items().iter().zip(&plan.missing).enumerate() {
        let there = cut.get(&idx).copied().unwrap_or(0) + u64::from(missing);
        if there != u64::from(item.demand) {
            faults.push(PlanFault::Number { item: idx });
        }
    }
    let price =
        |(&kind, &count): (&usize, &u32)| i128::from(job.kinds()[kind].price) * i128::from(count);
    if used.iter().map(price).sum::<i128>() != i128::from(plan.cost) {
        faults.push(PlanFault::Cost);
    }
    let missing = plan.n_missing();
    let claimed = &plan.bound;
    // A plan in three stages may cost less than any in two.
    let is_bounded = plan.stages() == Stages::Two;
    if claimed.missing_pieces > missing
        || is_bounded && claimed.missing_pieces == missing && claimed.cost > plan.cost
    {
        faults.push(PlanFault::Bound);
    }
}

/// Where things may lie in one direction: from, to.
type Span = (i64, i64);

/// The usable span along the strips, and that across them.
fn spans(kind: &Kind, along: Along) -> (Span, Span) {
    let Trim {
        left,
        right,
        bottom,
        top,
    } = kind.trim;
    let across_page = (left, kind.width - right);
    let up_page = (bottom, kind.height - top);
    match along {
        Along::Width => (across_page, up_page),
        Along::Height => (up_page, across_page),
    }
}

fn check_sheet(job: &SheetJob, idx: usize, sheet: &CutSheet, faults: &mut Vec<PlanFault>) {
    let kind = &job.kinds()[sheet.kind];
    let cutter = job.cutter();
    let raw_length = match sheet.along {
        Along::Width => kind.width,
        Along::Height => kind.height,
    };
    if cutter.strips.is_some_and(|only| only != sheet.along)
        || cutter.longest_first.is_some_and(|most| raw_length > most)
    {
        faults.push(PlanFault::FirstCut { sheet: idx });
    }
    if sheet.strips.is_empty() {
        faults.push(PlanFault::Empty { sheet: idx });
    }
    let (lengthwise, crosswise) = spans(kind, sheet.along);
    // The least place at which the next strip may begin.
    let mut free = crosswise.0;
    for (strip_idx, strip) in sheet.strips.iter().enumerate() {
        if strip.at < free || strip.width <= 0 || strip.at.saturating_add(strip.width) > crosswise.1
        {
            faults.push(PlanFault::Place {
                sheet: idx,
                strip: strip_idx,
            });
        }
        free = strip
            .at
            .saturating_add(strip.width)
            .saturating_add(cutter.kerf);
        if cutter.longest_second.is_some_and(|most| strip.width > most) {
            faults.push(PlanFault::SecondCut {
                sheet: idx,
                strip: strip_idx,
            });
        }
        check_strip(job, sheet, strip, lengthwise, (idx, strip_idx), faults);
    }
}

fn check_strip(
    job: &SheetJob,
    on: &CutSheet,
    strip: &Strip,
    lengthwise: Span,
    (sheet, idx): (usize, usize),
    faults: &mut Vec<PlanFault>,
) {
    let kerf = job.cutter().kerf;
    if strip.stacks.is_empty() {
        faults.push(PlanFault::Empty { sheet });
    }
    let mut free = lengthwise.0;
    let mut widest = 0;
    for stack in &strip.stacks {
        if stack.at < free
            || stack.length <= 0
            || stack.at.saturating_add(stack.length) > lengthwise.1
        {
            faults.push(PlanFault::Place { sheet, strip: idx });
        }
        free = stack.at.saturating_add(stack.length).saturating_add(kerf);
        if stack.pieces.len() > 1 && job.cutter().stages < Stages::Three {
            faults.push(PlanFault::ThirdCut { sheet, strip: idx });
        }
        let end = check_stack(job, on, strip.at, stack, (sheet, idx), faults);
        widest = widest.max(end.saturating_sub(strip.at));
    }
    if widest != strip.width {
        faults.push(PlanFault::Width { sheet, strip: idx });
    }
}

/// Looks at the pieces of a stack on a strip that begins at `base`; tells where the last of them ends across.
fn check_stack(
    job: &SheetJob,
    on: &CutSheet,
    base: i64,
    stack: &Stack,
    (sheet, strip): (usize, usize),
    faults: &mut Vec<PlanFault>,
) -> i64 {
    if stack.pieces.is_empty() {
        faults.push(PlanFault::Empty { sheet });
    }
    let mut end = base;
    let mut longest = 0;
    for (nth, piece) in stack.pieces.iter().enumerate() {
        let Item {
            width,
            height,
            turnable,
            ..
        } = job.items()[piece.item];
        if piece.turned && !turnable && width != height {
            faults.push(PlanFault::Turned { sheet, strip });
        }
        let (wide, high) = if piece.turned {
            (height, width)
        } else {
            (width, height)
        };
        let (long, across) = match on.along {
            Along::Width => (wide, high),
            Along::Height => (high, wide),
        };
        let free = if nth == 0 {
            base
        } else {
            end.saturating_add(job.cutter().kerf)
        };
        if piece.at < free || nth == 0 && piece.at != base {
            faults.push(PlanFault::Place { sheet, strip });
        }
        end = piece.at.saturating_add(across);
        longest = longest.max(long);
    }
    if longest != stack.length {
        faults.push(PlanFault::Width { sheet, strip });
    }
    end
}
