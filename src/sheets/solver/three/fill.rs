//! A set of sheets filled one after another, and some of them anew, until nothing that is wanted is left.

use super::tables::{Stack, StripTable, best_stack};
use crate::sheets::solver::model::{Lane, Model};
use crate::solve::draw::Draw;
use crate::solve::meter::Meter;

/// A sheet with its strips, each a row of stacks.
#[derive(Clone, Debug)]
pub(super) struct Stacked {
    pub(super) bed: usize,
    pub(super) strips: Vec<Vec<Stack>>,
}

impl Stacked {
    /// The items of its pieces.
    fn items(&self, model: &Model) -> impl Iterator<Item = usize> {
        let lane = &model.lanes[model.beds[self.bed].lane];
        let stacks = self.strips.iter().flatten().flatten();
        stacks.map(|&lay| lane.lays[lay].item)
    }
}

/// Sheets, and what they leave of the demand.
#[derive(Clone, Debug)]
pub(super) struct Filling {
    pub(super) sheets: Vec<Stacked>,
    pub(super) left: Vec<u32>,
}

/// Fills sheets at values of the items that learn from what is left over.
pub(super) struct Filler<'m> {
    model: &'m Model,
    base: Vec<i64>,
    values: Vec<i64>,
    draw: Draw,
}

impl<'m> Filler<'m> {
    /// A start from some values, all above 0.
    pub(super) fn new(model: &'m Model, values: Vec<i64>) -> Filler<'m> {
        Filler {
            model,
            values: values.clone(),
            base: values,
            draw: Draw::new(),
        }
    }

    /// All sheets of a set, `set[k]` of kind `k`, filled with what is wanted.
    pub(super) fn pass(&mut self, mut set: Vec<u32>, left: Vec<u32>, meter: &Meter<'_>) -> Filling {
        let mut filling = Filling {
            sheets: Vec::new(),
            left,
        };
        while filling.left.iter().any(|&count| count > 0) && !meter.halted() {
            let Some((sheet, left)) = self.next_sheet(&set, &filling.left, meter) else {
                break;
            };
            set[self.model.beds[sheet.bed].kind] -= 1;
            filling.sheets.push(sheet);
            filling.left = left;
        }
        filling
    }

    /// The values changed a little, those of what is left over raised.
    pub(super) fn learn(&mut self, left: &[u32], from_start: bool) {
        if from_start {
            self.values.clone_from(&self.base);
        }
        for (item, value) in self.values.iter_mut().enumerate() {
            let raised = if left[item] > 0 { 1_150 } else { 1_000 };
            let share = raised * (880 + i64::try_from(self.draw.below(241)).unwrap_or(0)) / 1_000;
            *value = (*value * share / 1_000).clamp(1, 1 << 40);
        }
    }

    /// Two or three sheets are filled anew, with what is left over; tells whether less is left now.
    pub(super) fn refill(&mut self, filling: &mut Filling, meter: &Meter<'_>) -> bool {
        let model = self.model;
        let n_emptied = (2 + self.draw.below(2)).min(filling.sheets.len());
        let mut emptied = Vec::new();
        let mut left = filling.left.clone();
        let mut set = vec![0; model.kinds.len()];
        for _ in 0..n_emptied {
            let at = self.draw.below(filling.sheets.len());
            let sheet = filling.sheets.swap_remove(at);
            set[model.beds[sheet.bed].kind] += 1;
            for item in sheet.items(model) {
                left[item] += 1;
            }
            emptied.push(sheet);
        }
        let found = self.pass(set, left, meter);
        let (before, after) = (self.face(&filling.left), self.face(&found.left));
        if after > before {
            filling.sheets.extend(emptied);
            return false;
        }
        filling.sheets.extend(found.sheets);
        filling.left = found.left;
        after < before
    }

    /// The face of what is left over.
    fn face(&self, left: &[u32]) -> i128 {
        let items = self.model.items.iter().zip(left);
        let face = |width: i64, height: i64| i128::from(width) * i128::from(height);
        items
            .map(|(item, &count)| face(item.width, item.height) * i128::from(count))
            .sum()
    }

    /// The sheet of a set worth most for its face, with what is left of the demand then; the first that takes all that is left.
    fn next_sheet(
        &mut self,
        set: &[u32],
        left: &[u32],
        meter: &Meter<'_>,
    ) -> Option<(Stacked, Vec<u32>)> {
        let model = self.model;
        let mut best: Option<(i128, i128, Stacked, Vec<u32>)> = None;
        for bed in (0..model.beds.len()).filter(|&bed| set[model.beds[bed].kind] > 0) {
            let Some((sheet, rest)) = self.fill(bed, left, meter) else {
                continue;
            };
            if rest.iter().all(|&count| count == 0) {
                return Some((sheet, rest));
            }
            let worth: i128 = sheet
                .items(model)
                .map(|item| i128::from(self.values[item]))
                .sum();
            let lane = &model.lanes[model.beds[bed].lane];
            let face = i128::from(lane.length) * i128::from(model.beds[bed].room);
            let is_better = best
                .as_ref()
                .is_none_or(|(own, of, ..)| worth * of > own * face);
            if is_better {
                best = Some((worth, face, sheet, rest));
            }
        }
        best.map(|(_, _, sheet, rest)| (sheet, rest))
    }

    /// A sheet of a bed filled strip by strip, of the best strips side by side those worth most for their width first.
    fn fill(&self, bed: usize, left: &[u32], meter: &Meter<'_>) -> Option<(Stacked, Vec<u32>)> {
        let model = self.model;
        let lane = &model.lanes[model.beds[bed].lane];
        let mut sheet = Stacked {
            bed,
            strips: Vec::new(),
        };
        let mut left = left.to_vec();
        let mut room = model.beds[bed].room;
        while let Some(table) = StripTable::new(lane, &self.values, &left, room, meter) {
            let Some((_, widths)) = table.side_by_side(room, meter) else {
                break;
            };
            if widths.is_empty() {
                break;
            }
            for width in widths {
                let best = table.strip(width);
                let is_there = takes(lane, &best, &mut left);
                let strip = if is_there {
                    best
                } else {
                    self.strip_of_rest(lane, table.width(width), &mut left, meter)
                };
                // What would fill it lies on the strips before it; the first of them never is empty.
                let Some(width) = strip.iter().map(|stack| across(lane, stack)).max() else {
                    break;
                };
                room -= width;
                sheet.strips.push(strip);
                if !is_there {
                    break;
                }
            }
        }
        (!sheet.strips.is_empty()).then_some((sheet, left))
    }

    /// A strip filled stack by stack with no more than is left.
    fn strip_of_rest(
        &self,
        lane: &Lane,
        width: i64,
        left: &mut [u32],
        meter: &Meter<'_>,
    ) -> Vec<Stack> {
        let mut strip = Vec::new();
        let mut length = lane.length;
        while let Some(stack) = best_stack(lane, (&self.values, left), (length, width), meter) {
            let stack = within(lane, &stack, left);
            length -= along(lane, &stack);
            strip.push(stack);
        }
        strip
    }
}

/// Size of a stack across the strip, its kerfs included.
pub(super) fn across(lane: &Lane, stack: &Stack) -> i64 {
    stack.iter().map(|&lay| lane.lays[lay].across).sum()
}

/// Length of a stack, with a kerf.
fn along(lane: &Lane, stack: &Stack) -> i64 {
    let lengths = stack.iter().map(|&lay| lane.lays[lay].along);
    lengths.max().unwrap_or(0)
}

/// Takes the pieces of a strip, if all are wanted.
fn takes(lane: &Lane, strip: &[Stack], left: &mut [u32]) -> bool {
    let mut counts = left.to_vec();
    for &lay in strip.iter().flatten() {
        let count = &mut counts[lane.lays[lay].item];
        if *count == 0 {
            return false;
        }
        *count -= 1;
    }
    left.copy_from_slice(&counts);
    true
}

/// The pieces of a stack that are wanted, which then are so no more; the first always is.
fn within(lane: &Lane, stack: &Stack, left: &mut [u32]) -> Stack {
    let mut kept = stack.clone();
    kept.retain(|&lay| {
        let count = &mut left[lane.lays[lay].item];
        let is_wanted = *count > 0;
        *count -= u32::from(is_wanted);
        is_wanted
    });
    kept
}
