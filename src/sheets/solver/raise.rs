//! Plans laid out: every strip and piece at its place.

use super::loaded::Loaded;
use super::model::{Lane, Model};
use crate::sheets::job::{Along, SheetJob};
use crate::sheets::plan::{CutSheet, Piece, Strip};

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
    let mut sheets: Vec<CutSheet> = loaded.iter().filter_map(|sheet| hand.lay(sheet)).collect();
    sheets.sort();
    let price = |sheet: &CutSheet| job.kinds()[sheet.kind].price;
    Laid {
        cost: sheets.iter().map(price).sum(),
        missing: hand.left,
        sheets,
    }
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

    /// One sheet, if anything is cut from it.
    fn lay(&mut self, loaded: &Loaded) -> Option<CutSheet> {
        let bed = &self.model.beds[loaded.bed];
        let lane = &self.model.lanes[bed.lane];
        let mut strips: Vec<Strip> = Vec::new();
        for (class, pieces) in &loaded.strips {
            strips.extend(self.strip(lane, bed.along, *class, pieces));
        }
        if strips.is_empty() {
            return None;
        }
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
            at += strip.width + kerf;
            for piece in &mut strip.pieces {
                piece.at += first_along;
            }
        }
        Some(CutSheet {
            kind,
            along: bed.along,
            strips,
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
            laid.push(Piece {
                item,
                at,
                turned: self.job.items()[item].width != lies_wide,
            });
            at += along + kerf;
        }
        Some(Strip {
            at: 0,
            width,
            pieces: laid,
        })
    }
}
