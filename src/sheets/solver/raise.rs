//! Plans laid out: every strip and piece at its place.

use super::loaded::Loaded;
use super::model::{Lane, Lay, Model};
use crate::sheets::job::{Along, SheetJob};
use crate::sheets::plan::{CutSheet, Piece, Stack, Strip};

/// A plan laid out.
#[derive(Clone, Debug)]
pub(super) struct Laid {
    pub(super) sheets: Vec<CutSheet>,
    /// By item of the job.
    pub(super) missing: Vec<u32>,
    pub(super) cost: i64,
}

impl Laid {
    /// How many pieces are missing.
    pub(super) fn n_missing(&self) -> u64 {
        self.missing.iter().map(|&count| u64::from(count)).sum()
    }
}

/// Lays sheets out.
pub(super) fn lay_out(job: &SheetJob, model: &Model, loaded: &[Loaded]) -> Laid {
    let mut hand = Hand::new(job, model);
    let sheets = loaded.iter().filter_map(|sheet| hand.lay(sheet)).collect();
    hand.done(sheets)
}

/// Lays out sheets in three stages: each a bed with its strips, each of these a row of stacks, and a stack the lays of its pieces.
pub(super) fn lay_out_stacked<'s>(
    job: &SheetJob,
    model: &Model,
    stacked: impl Iterator<Item = (usize, &'s [Vec<Vec<usize>>])>,
) -> Laid {
    let mut hand = Hand::new(job, model);
    let sheets = stacked.filter_map(|(bed, strips)| hand.lay_stacked(bed, strips));
    let sheets = sheets.collect();
    hand.done(sheets)
}

/// What is left of demand and supply while sheets are laid.
struct Hand<'a> {
    job: &'a SheetJob,
    model: &'a Model,
    /// By item of the job.
    left: Vec<u32>,
    /// By kind of the job.
    supply: Vec<u32>,
}

impl<'a> Hand<'a> {
    fn new(job: &'a SheetJob, model: &'a Model) -> Hand<'a> {
        Hand {
            job,
            model,
            left: job.items().iter().map(|item| item.demand).collect(),
            supply: job
                .kinds()
                .iter()
                .map(|kind| kind.supply.unwrap_or(u32::MAX))
                .collect(),
        }
    }

    /// All sheets, in order.
    fn done(self, mut sheets: Vec<CutSheet>) -> Laid {
        sheets.sort();
        let price = |sheet: &CutSheet| self.job.kinds()[sheet.kind].price;
        Laid {
            cost: sheets.iter().map(price).sum(),
            missing: self.left,
            sheets,
        }
    }

    /// One sheet, if anything is cut from it.
    fn lay(&mut self, loaded: &Loaded) -> Option<CutSheet> {
        let bed = &self.model.beds[loaded.bed];
        let lane = &self.model.lanes[bed.lane];
        let mut strips: Vec<Strip> = Vec::new();
        for (class, pieces) in &loaded.strips {
            strips.extend(self.strip(lane, bed.along, *class, pieces));
        }
        self.sheet(loaded.bed, strips)
    }

    /// A sheet with strips that begin at 0, as do their stacks, and the pieces of these.
    fn sheet(&mut self, bed: usize, mut strips: Vec<Strip>) -> Option<CutSheet> {
        if strips.is_empty() {
            return None;
        }
        let bed = &self.model.beds[bed];
        strips.sort_by(|one, other| other.width.cmp(&one.width).then_with(|| one.cmp(other)));
        let own = &self.model.kinds[bed.kind].own;
        let kind = *own
            .iter()
            .find(|&&kind| self.supply[kind] > 0)
            .expect("no more sheets than there are");
        self.supply[kind] -= 1;
        let trim = self.job.kinds()[kind].trim;
        let (first_along, first_across) = match bed.along {
            Along::Width => (trim.left, trim.bottom),
            Along::Height => (trim.bottom, trim.left),
        };
        let kerf = self.job.cutter().kerf;
        let mut at = first_across;
        for strip in &mut strips {
            strip.at = at;
            for stack in &mut strip.stacks {
                stack.at += first_along;
                for piece in &mut stack.pieces {
                    piece.at += at;
                }
            }
            at += strip.width + kerf;
        }
        Some(CutSheet {
            kind,
            along: bed.along,
            strips,
        })
    }

    /// One sheet of strips that are rows of stacks, which are lays of pieces.
    fn lay_stacked(&mut self, bed: usize, strips: &[Vec<Vec<usize>>]) -> Option<CutSheet> {
        let own = &self.model.beds[bed];
        let lane = &self.model.lanes[own.lane];
        let mut laid = Vec::new();
        for strip in strips {
            let stacks = strip.iter();
            let mut stacks: Vec<Stack> = stacks
                .filter_map(|stack| self.stack(lane, own.along, stack))
                .collect();
            let width = |stack: &Stack| self.end_of(own.along, stack);
            // The widest first, as with pieces that are stacks of their own.
            stacks.sort_by_key(|stack| {
                std::cmp::Reverse((width(stack), stack.length, stack.pieces.clone()))
            });
            let Some(widest) = stacks.first().map(width) else {
                continue;
            };
            let mut at = 0;
            for stack in &mut stacks {
                stack.at = at;
                at += stack.length + self.job.cutter().kerf;
            }
            laid.push(Strip {
                at: 0,
                width: widest,
                stacks,
            });
        }
        self.sheet(bed, laid)
    }

    /// Where the last piece of a stack ends across strips that run so.
    fn end_of(&self, way: Along, stack: &Stack) -> i64 {
        stack.pieces.last().map_or(0, |piece| {
            let item = self.job.items()[piece.item];
            let across = if (way == Along::Width) == piece.turned {
                item.width
            } else {
                item.height
            };
            piece.at + across
        })
    }

    /// A stack that begins at 0, of its lays those that are wanted; the longest pieces first.
    fn stack(&mut self, lane: &Lane, way: Along, lays: &[usize]) -> Option<Stack> {
        let kerf = self.job.cutter().kerf;
        let mut lays: Vec<Lay> = lays.iter().map(|&lay| lane.lays[lay]).collect();
        lays.sort_by_key(|lay| std::cmp::Reverse((lay.along, lay.across, lay.item)));
        let mut at = 0;
        let mut pieces = Vec::new();
        let mut length = 0;
        for lay in lays {
            let own = self.model.items[lay.item].own.iter();
            let mut wanted = own.filter(|&&own| self.left[own] > 0);
            let Some(&item) = wanted.next() else {
                continue;
            };
            self.left[item] -= 1;
            let (along, across) = (lay.along - kerf, lay.across - kerf);
            let lies_wide = match way {
                Along::Width => along,
                Along::Height => across,
            };
            pieces.push(Piece {
                item,
                at,
                turned: self.job.items()[item].width != lies_wide,
            });
            length = along.max(length);
            at += lay.across;
        }
        (!pieces.is_empty()).then_some(Stack {
            at: 0,
            length,
            pieces,
        })
    }

    /// A strip whose pieces begin at 0, if any piece of it is wanted.
    fn strip(
        &mut self,
        lane: &Lane,
        way: Along,
        class: usize,
        pieces: &[(usize, u32)],
    ) -> Option<Strip> {
        let kerf = self.job.cutter().kerf;
        // `(across, along, item)` of each piece: of the ways that fit the strip, the one that takes least of its length.
        let mut lies: Vec<(i64, i64, usize)> = Vec::new();
        for &(item, count) in pieces {
            let lays = lane.lays[..lane.ends[class]]
                .iter()
                .filter(|lay| lay.item == item);
            let lay = lays
                .min_by_key(|lay| lay.along)
                .expect("a piece fits its strip");
            for _ in 0..count {
                let own = self.model.items[item].own.iter();
                let mut wanted = own.filter(|&&own| self.left[own] > 0);
                if let Some(&own) = wanted.next() {
                    self.left[own] -= 1;
                    lies.push((lay.across - kerf, lay.along - kerf, own));
                }
            }
        }
        lies.sort_by_key(|&(across, along, item)| (std::cmp::Reverse((across, along)), item));
        let width = lies.first()?.0;
        let mut at = 0;
        let mut laid = Vec::new();
        for (across, along, item) in lies {
            let lies_wide = match way {
                Along::Width => along,
                Along::Height => across,
            };
            let piece = Piece {
                item,
                at: 0,
                turned: self.job.items()[item].width != lies_wide,
            };
            laid.push(Stack {
                at,
                length: along,
                pieces: vec![piece],
            });
            at += along + kerf;
        }
        Some(Strip {
            at: 0,
            width,
            stacks: laid,
        })
    }
}
