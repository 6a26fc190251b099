//! A job as the solver sees it: equal items and kinds merged, edges and kerfs taken off, strips by their length.

use super::places::Places;
use crate::sheets::job::{Along, Bed, Item, Kind, SheetJob};

/// Equal items of the job that fit some sheet.
#[derive(Clone, Debug)]
pub(super) struct ModelItem {
    pub(super) width: i64,
    pub(super) height: i64,
    pub(super) turnable: bool,
    /// How many are wanted in all.
    pub(super) demand: u32,
    /// Their indices in the job, rising.
    pub(super) own: Vec<usize>,
}

/// Kinds of the job that are as good as each other, and hold something.
#[derive(Clone, Debug)]
pub(super) struct ModelKind {
    pub(super) price: i64,
    /// How many can be of use at most.
    pub(super) limit: u32,
    /// The same of each of the job's own kinds.
    pub(super) own_limits: Vec<u32>,
    /// Whether there are no more than that.
    pub(super) limited: bool,
    /// Their indices in the job, rising.
    pub(super) own: Vec<usize>,
}

/// Sheets of a kind whose strips run one way.
#[derive(Clone, Debug)]
pub(super) struct ModelBed {
    pub(super) kind: usize,
    pub(super) along: Along,
    /// Whether sheets that lie the other way are the same, and stand here too.
    pub(super) both_ways: bool,
    pub(super) lane: usize,
    /// Usable size across the strips, and one kerf.
    pub(super) room: i64,
}

/// An item as it lies on a strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Lay {
    /// Its size across the strip, and one kerf.
    pub(super) across: i64,
    /// Its size along the strip, and one kerf.
    pub(super) along: i64,
    pub(super) item: usize,
}

/// Strips of one length: all that may lie on them, and the beds they are cut from.
#[derive(Debug)]
pub(super) struct Lane {
    /// Usable length of a strip, and one kerf.
    pub(super) length: i64,
    /// Whether strips of beds that run along the height are meant; with items that may not be turned they differ.
    along: Along,
    /// By rising size across.
    pub(super) lays: Vec<Lay>,
    /// Widths of strips, each with a kerf, rising: the sizes across.
    pub(super) widths: Vec<i64>,
    /// `ends[w]` lays are no wider than `widths[w]`.
    pub(super) ends: Vec<usize>,
    pub(super) beds: Vec<usize>,
    /// No strip is wider, a kerf included: the widest bed has no more room, or the cutter makes no longer second cut.
    pub(super) widest: i64,
    /// Sums of sizes along.
    pub(super) along_places: Places,
    /// Sums of widths.
    pub(super) across_places: Places,
}

/// The whole job.
#[derive(Debug)]
pub(super) struct Model {
    pub(super) items: Vec<ModelItem>,
    pub(super) kinds: Vec<ModelKind>,
    pub(super) beds: Vec<ModelBed>,
    pub(super) lanes: Vec<Lane>,
    /// Items of the job that fit no sheet.
    pub(super) unplaced: Vec<usize>,
    /// Number of items of the job.
    pub(super) n_items: usize,
    /// Whether tables hold every sum of sizes, so that bounds can be proved.
    pub(super) exact: bool,
}

impl Model {
    /// Lowers a job.
    pub(super) fn new(job: &SheetJob) -> Model {
        let (items, unplaced) = merged_items(job);
        let is_fixed = items.iter().any(|item| !item.turnable);
        let mut model = Model {
            items,
            kinds: Vec::new(),
            beds: Vec::new(),
            lanes: Vec::new(),
            unplaced,
            n_items: job.items().len(),
            exact: true,
        };
        for (own, lead, supply) in merged_kinds(job) {
            model.add_kind(job, own, &lead, supply, is_fixed);
        }
        for lane in &mut model.lanes {
            lane.finish(
                &model.items,
                &model.beds,
                job.cutter()
                    .longest_second
                    .map(|most| most + job.cutter().kerf),
            );
        }
        model.exact = model
            .lanes
            .iter()
            .all(|lane| lane.along_places.exact() && lane.across_places.exact());
        model
    }

    /// Takes in a kind with its beds, if anything fits it.
    fn add_kind(
        &mut self,
        job: &SheetJob,
        own: Vec<usize>,
        lead: &Kind,
        supply: Option<u32>,
        is_fixed: bool,
    ) {
        let kerf = job.cutter().kerf;
        let fitting = self.items.iter().filter(|item| {
            let one = Item {
                width: item.width,
                height: item.height,
                demand: 1,
                turnable: item.turnable,
            };
            fits(job, lead, &one)
        });
        let most: u64 = fitting.map(|item| u64::from(item.demand)).sum();
        let limit = u64::from(supply.unwrap_or(u32::MAX)).min(most);
        if limit == 0 {
            return;
        }
        let kind = self.kinds.len();
        self.kinds.push(ModelKind {
            price: lead.price,
            limit: u32::try_from(limit).expect("no more than all pieces"),
            own_limits: own
                .iter()
                .map(|&kind| {
                    let supply = job.kinds()[kind].supply.unwrap_or(u32::MAX);
                    u32::try_from(most).map_or(supply, |most| supply.min(most))
                })
                .collect(),
            limited: supply.is_some(),
            own,
        });
        let ways: Vec<Along> = Along::BOTH
            .into_iter()
            .filter(|&along| may_cut(job, lead, along))
            .collect();
        let both_alike = ways.len() == 2
            && !is_fixed
            && usable(lead, Along::Width) == usable(lead, Along::Height);
        for along in ways {
            if both_alike && along == Along::Height {
                continue;
            }
            let (length, room) = usable(lead, along);
            let (length, room) = (length + kerf, room + kerf);
            let key = if is_fixed { along } else { Along::Width };
            let lanes = &mut self.lanes;
            let known = lanes
                .iter()
                .position(|lane| lane.length == length && lane.along == key);
            let lane = known.unwrap_or_else(|| {
                lanes.push(Lane::empty(length, key, kerf, &self.items));
                lanes.len() - 1
            });
            lanes[lane].beds.push(self.beds.len());
            self.beds.push(ModelBed {
                kind,
                along,
                both_ways: both_alike,
                lane,
                room,
            });
        }
    }

    /// The beds of a kind.
    pub(super) fn beds_of(&self, kind: usize) -> Vec<usize> {
        (0..self.beds.len())
            .filter(|&bed| self.beds[bed].kind == kind)
            .collect()
    }

    /// Beds of the job that some of the model's stand for, rising.
    pub(super) fn job_beds(&self, beds: &[usize]) -> Vec<Bed> {
        let mut found = Vec::new();
        for &bed in beds {
            let own = &self.beds[bed];
            for &kind in &self.kinds[own.kind].own {
                found.push(Bed {
                    kind,
                    along: own.along,
                });
                if own.both_ways {
                    found.push(Bed {
                        kind,
                        along: Along::Height,
                    });
                }
            }
        }
        found.sort_unstable();
        found
    }

    /// Prices of its items by item of the job; those of items that fit no sheet are 0.
    pub(super) fn prices_in_job(&self, prices: &[i64]) -> Vec<i64> {
        let mut own = vec![0; self.n_items];
        for (item, &price) in self.items.iter().zip(prices) {
            for &idx in &item.own {
                own[idx] = price;
            }
        }
        own
    }

    /// Price of the dearest kind, 1 or more.
    pub(super) fn dearest(&self) -> i64 {
        self.kinds
            .iter()
            .map(|kind| kind.price)
            .max()
            .unwrap_or(1)
            .max(1)
    }
}

impl Lane {
    fn empty(length: i64, along: Along, kerf: i64, items: &[ModelItem]) -> Lane {
        let mut lays = Vec::new();
        for (item, own) in items.iter().enumerate() {
            let (width, height) = (own.width + kerf, own.height + kerf);
            let (natural, turned) = match along {
                Along::Width => ((height, width), (width, height)),
                Along::Height => ((width, height), (height, width)),
            };
            let mut lay = |(across, along): (i64, i64)| {
                if along <= length {
                    lays.push(Lay {
                        across,
                        along,
                        item,
                    });
                }
            };
            lay(natural);
            if own.turnable && natural != turned {
                lay(turned);
            }
        }
        lays.sort_unstable();
        Lane {
            length,
            along,
            lays,
            widths: Vec::new(),
            ends: Vec::new(),
            beds: Vec::new(),
            widest: 0,
            along_places: Places::default(),
            across_places: Places::default(),
        }
    }

    /// Drops what is too wide for all beds, and finds the places.
    fn finish(&mut self, items: &[ModelItem], beds: &[ModelBed], widest: Option<i64>) {
        let room = self
            .beds
            .iter()
            .map(|&bed| beds[bed].room)
            .max()
            .unwrap_or(0);
        let most = widest.map_or(room, |widest| widest.min(room));
        self.widest = most;
        self.lays.retain(|lay| lay.across <= most);
        for (idx, lay) in self.lays.iter().enumerate() {
            if self.widths.last() == Some(&lay.across) {
                *self.ends.last_mut().expect("as long as the widths") = idx + 1;
            } else {
                self.widths.push(lay.across);
                self.ends.push(idx + 1);
            }
        }
        let lays = self
            .lays
            .iter()
            .map(|lay| (lay.along, items[lay.item].demand));
        self.along_places = Places::new(&lays.collect::<Vec<_>>(), self.length);
        let widths = self.widths.iter().map(|&width| (width, u32::MAX));
        self.across_places = Places::new(&widths.collect::<Vec<_>>(), room);
    }

    /// The width of the narrowest strip that some lays need, as an index of `widths`.
    pub(super) fn class_of(&self, across: i64) -> usize {
        self.widths.partition_point(|&width| width < across)
    }
}

/// The usable size along the strips and across them.
fn usable(kind: &Kind, along: Along) -> (i64, i64) {
    let width = kind.width - kind.trim.left - kind.trim.right;
    let height = kind.height - kind.trim.bottom - kind.trim.top;
    match along {
        Along::Width => (width, height),
        Along::Height => (height, width),
    }
}

/// Whether the cutter can part such a sheet into strips that run so.
fn may_cut(job: &SheetJob, kind: &Kind, along: Along) -> bool {
    let cutter = job.cutter();
    let longest = match along {
        Along::Width => kind.width,
        Along::Height => kind.height,
    };
    cutter.strips.is_none_or(|only| only == along)
        && cutter.longest_first.is_none_or(|most| longest <= most)
}

/// Whether a piece can be cut from a sheet.
fn fits(job: &SheetJob, kind: &Kind, item: &Item) -> bool {
    let widest = job.cutter().longest_second.unwrap_or(i64::MAX);
    Along::BOTH
        .into_iter()
        .filter(|&along| may_cut(job, kind, along))
        .any(|way| {
            let (length, room) = usable(kind, way);
            let lies = |width: i64, height: i64| {
                let (along, across) = match way {
                    Along::Width => (width, height),
                    Along::Height => (height, width),
                };
                along <= length && across <= room && across <= widest
            };
            lies(item.width, item.height) || item.turnable && lies(item.height, item.width)
        })
}

/// Equal items together, and those that fit no sheet.
fn merged_items(job: &SheetJob) -> (Vec<ModelItem>, Vec<usize>) {
    let mut items: Vec<ModelItem> = Vec::new();
    let mut unplaced = Vec::new();
    for (idx, item) in job
        .items()
        .iter()
        .enumerate()
        .filter(|(_, item)| item.demand > 0)
    {
        let there = job.kinds().iter().filter(|kind| kind.supply != Some(0));
        if !there.into_iter().any(|kind| fits(job, kind, item)) {
            unplaced.push(idx);
            continue;
        }
        let (mut width, mut height) = (item.width, item.height);
        // A square does not change by turning.
        let turnable = item.turnable || width == height;
        if turnable && width < height {
            (width, height) = (height, width);
        }
        let known = items
            .iter_mut()
            .find(|own| (own.width, own.height, own.turnable) == (width, height, turnable));
        if let Some(own) = known {
            own.demand += item.demand;
            own.own.push(idx);
        } else {
            items.push(ModelItem {
                width,
                height,
                turnable,
                demand: item.demand,
                own: vec![idx],
            });
        }
    }
    (items, unplaced)
}

/// Kinds that are as good as each other together: their indices, the first of them, the supply of all.
fn merged_kinds(job: &SheetJob) -> Vec<(Vec<usize>, Kind, Option<u32>)> {
    let mut merged: Vec<(Vec<usize>, Kind, Option<u32>)> = Vec::new();
    let same = |one: &Kind, other: &Kind| {
        Along::BOTH.into_iter().all(|along| {
            usable(one, along) == usable(other, along)
                && may_cut(job, one, along) == may_cut(job, other, along)
        }) && one.price == other.price
    };
    for (idx, kind) in job.kinds().iter().enumerate() {
        if let Some((own, _, supply)) = merged.iter_mut().find(|(_, lead, _)| same(lead, kind)) {
            own.push(idx);
            *supply = supply
                .zip(kind.supply)
                .map(|(one, other)| one.saturating_add(other));
        } else {
            merged.push((vec![idx], *kind, kind.supply));
        }
    }
    merged
}
