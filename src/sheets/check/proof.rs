//! Whether a certificate proves what it says, by the rule in [`crate::sheets::certificate`].

use super::leaf::{Condition, Worths, is_bed, lies, usable};
use super::sets::Sets;
use super::stacked::StackedWorths;
use crate::sheets::certificate::{Certificate, Count, InThree, Node, PricesInThree};
use crate::sheets::job::{Along, Bed, SheetJob};

/// Why a certificate proves nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProofFault {
    /// Fewer pieces are said to be missing than fit no sheet.
    Claim,
    /// A node names what is not there, a child before its parent, or one that has a parent already.
    Shape {
        /// Index of the node.
        node: usize,
    },
    /// A leaf has prices of the wrong number or sign.
    Prices {
        /// Index of the node.
        node: usize,
    },
    /// A leaf does not prove its case.
    Short {
        /// Index of the node.
        node: usize,
    },
    /// The prices for three stages do not rule out every cheaper set of sheets, or have the wrong number or sign.
    InThree,
    /// To follow it is more work than is allowed.
    TooMuchWork,
}

/// Pairs of size and worth that are looked at before a certificate counts as too much work; some minutes.
pub(super) const MOST_WORK: u64 = 40_000_000_000;
/// Sums of prices that are looked at one by one; beyond, only their common divisor is.
const MOST_SUMS: i64 = 8_000_000;

/// Follows a certificate: no plan leaves fewer than its `missing` pieces missing, and none that leaves so many costs less than
/// its `cost`.
///
/// # Errors
/// The first reason why that is not proved.
pub fn check_certificate(job: &SheetJob, certificate: &Certificate) -> Result<(), ProofFault> {
    let facts = Facts::new(job);
    let missing = certificate
        .missing
        .checked_sub(facts.set_aside)
        .ok_or(ProofFault::Claim)?;
    let missing = i64::try_from(missing).map_err(|_| ProofFault::Claim)?;
    let mut work = 0;
    if missing > 0 {
        let claim = Claim {
            proves: missing,
            missing: None,
        };
        facts.follow(&certificate.missing_nodes, claim, &mut work)?;
    }
    if certificate.cost > 0 {
        let claim = Claim {
            proves: certificate.cost,
            missing: Some(missing),
        };
        facts.follow(&certificate.cost_nodes, claim, &mut work)?;
    }
    match &certificate.in_three {
        Some(in_three) => facts.follow_in_three(in_three, missing, &mut work),
        None => Ok(()),
    }
}

/// What is to be proved.
#[derive(Clone, Copy)]
struct Claim {
    /// No plan is worth less.
    proves: i64,
    /// How many pieces are missing where it is a cost; otherwise missing pieces are what is counted.
    missing: Option<i64>,
}

/// What follows from the job.
struct Facts<'a> {
    job: &'a SheetJob,
    /// By item: whether it fits a sheet that is there.
    fits: Vec<bool>,
    /// Pieces of those that do not.
    set_aside: u64,
    /// By kind: the ways it can be parted into strips.
    beds: Vec<Vec<Bed>>,
    /// By kind: how many can be of use.
    most: Vec<i64>,
}

impl<'a> Facts<'a> {
    fn new(job: &'a SheetJob) -> Facts<'a> {
        let n_items = job.items().len();
        let mut facts = Facts {
            job,
            fits: vec![false; n_items],
            set_aside: 0,
            beds: Vec::new(),
            most: Vec::new(),
        };
        for (idx, kind) in job.kinds().iter().enumerate() {
            let both = Along::BOTH
                .into_iter()
                .map(|along| Bed { kind: idx, along });
            let beds: Vec<Bed> = both.filter(|&bed| is_bed(job, bed)).collect();
            let supply = i64::from(kind.supply.unwrap_or(u32::MAX));
            let mut pieces = 0;
            for item in 0..n_items {
                let is_within = |bed: &Bed| {
                    let (length, room) = usable(kind, bed.along);
                    let mut ways = lies(job, item, bed.along).into_iter();
                    ways.any(|(along, across)| along <= length && across <= room)
                };
                if supply > 0 && beds.iter().any(is_within) {
                    facts.fits[item] = true;
                    pieces += i64::from(job.items()[item].demand);
                }
            }
            facts.beds.push(beds);
            facts.most.push(supply.min(pieces));
        }
        let aside = job
            .items()
            .iter()
            .zip(&facts.fits)
            .filter(|(_, fits)| !**fits);
        facts.set_aside = aside.map(|(item, _)| u64::from(item.demand)).sum();
        facts
    }

    /// Follows the nodes of one proof.
    fn follow(&self, nodes: &[Node], claim: Claim, work: &mut u64) -> Result<(), ProofFault> {
        // `(parent, whether its number is more)` of each node.
        let mut parents: Vec<Option<(usize, bool)>> = vec![None; nodes.len()];
        for (idx, node) in nodes.iter().enumerate() {
            let shape = ProofFault::Shape { node: idx };
            if idx > 0 && parents[idx].is_none() {
                return Err(shape);
            }
            if let Node::Split {
                count, under, over, ..
            } = node
            {
                self.check_count(count).ok_or(shape)?;
                for (child, is_over) in [(*under, false), (*over, true)] {
                    let parent = parents
                        .get_mut(child)
                        .filter(|parent| parent.is_none() && child > idx);
                    *parent.ok_or(shape)? = Some((idx, is_over));
                }
            }
        }
        if nodes.is_empty() {
            return Err(ProofFault::Shape { node: 0 });
        }
        let top = self.top(claim);
        for (idx, node) in nodes.iter().enumerate() {
            if let Node::Leaf {
                denominator,
                prices,
                conditions,
            } = node
            {
                let path = path(nodes, &parents, idx, conditions)
                    .ok_or(ProofFault::Prices { node: idx })?;
                if *denominator < 1
                    || prices.len() != self.fits.len()
                    || prices.iter().any(|&price| price < 0)
                {
                    return Err(ProofFault::Prices { node: idx });
                }
                let bound = self.bound(*denominator, prices, &path, claim, work);
                if *work > MOST_WORK {
                    return Err(ProofFault::TooMuchWork);
                }
                if bound <= i128::from(*denominator) * i128::from(top) {
                    return Err(ProofFault::Short { node: idx });
                }
            }
        }
        Ok(())
    }

    /// Follows the prices for plans in three stages; `missing` pieces are missing that fit a sheet.
    fn follow_in_three(
        &self,
        in_three: &InThree,
        missing: i64,
        work: &mut u64,
    ) -> Result<(), ProofFault> {
        if missing > 0 || in_three.cost < 1 {
            return Err(ProofFault::InThree);
        }
        let mut sets = Sets::new(self.job, &self.most);
        for PricesInThree {
            denominator,
            prices,
        } in &in_three.prices
        {
            let has_fault = *denominator < 0
                || prices.len() != self.fits.len()
                || prices.iter().any(|&price| price < 0);
            if has_fault {
                return Err(ProofFault::InThree);
            }
            let prices = self.without_aside(prices);
            let mut worths = StackedWorths::new(self.job, &prices);
            let mut of_kind = |beds: &Vec<Bed>| beds.iter().map(|&bed| worths.of(bed)).max();
            let of_kinds = self.beds.iter().map(|beds| of_kind(beds).unwrap_or(0));
            sets.add(*denominator, &prices, of_kinds.collect());
            *work += worths.work;
            if *work > MOST_WORK {
                return Err(ProofFault::TooMuchWork);
            }
        }
        let claim = Claim {
            proves: in_three.cost,
            missing: Some(0),
        };
        match sets.are_ruled_out(self.top(claim)) {
            Some(true) => Ok(()),
            Some(false) => Err(ProofFault::InThree),
            None => Err(ProofFault::TooMuchWork),
        }
    }

    /// Prices of which those of items that fit no sheet are 0.
    fn without_aside(&self, prices: &[i64]) -> Vec<i64> {
        let fits = prices.iter().zip(&self.fits);
        fits.map(|(&price, &fits)| if fits { price } else { 0 })
            .collect()
    }

    /// Whether a count names what is there.
    fn check_count(&self, count: &Count) -> Option<()> {
        let (beds, items) = match count {
            Count::Sheets { beds, .. } | Count::Strips { beds, .. } => (beds, Vec::new()),
            Count::Pieces { beds, items, .. } => (beds, vec![items]),
            Count::Holding { beds, least, .. } => {
                let is_some = !least.is_empty() && least.iter().all(|hold| hold.at_least > 0);
                (is_some && least.len() <= self.fits.len()).then_some(())?;
                (beds, least.iter().map(|hold| &hold.items).collect())
            }
        };
        // Each but once, or it would count twice.
        let is_known = |items: &&Vec<usize>| {
            items.windows(2).all(|two| two[0] < two[1])
                && items.iter().all(|&item| item < self.fits.len())
        };
        let beds_known = beds.windows(2).all(|two| two[0] < two[1])
            && beds.iter().all(|bed| bed.kind < self.beds.len());
        (beds_known && items.iter().all(is_known)).then_some(())
    }

    /// The greatest value below what is to be proved that a plan could have.
    fn top(&self, claim: Claim) -> i64 {
        let below = claim.proves - 1;
        if claim.missing.is_none() {
            return below;
        }
        let priced: Vec<(i64, i64)> = (self.job.kinds().iter().zip(&self.most))
            .filter(|(kind, most)| kind.price > 0 && **most > 0)
            .map(|(kind, &most)| (kind.price, most))
            .collect();
        let step = priced
            .iter()
            .fold(0, |step, &(price, _)| common_divisor(step, price));
        if step == 0 {
            return 0;
        }
        let n_cells = below / step + 1;
        if n_cells > MOST_SUMS {
            return below / step * step;
        }
        let n_cells = usize::try_from(n_cells).expect("few enough");
        let mut is_sum = vec![false; n_cells];
        is_sum[0] = true;
        for (price, most) in priced {
            // In bundles of 1, 2, 4 and so on, which make up every number up to `most`.
            let mut left = most.min(below / price);
            let mut bundle = 1;
            while left > 0 {
                let own = left.min(bundle);
                let shift = usize::try_from(own * (price / step)).expect("within the cells");
                for cell in (shift..n_cells).rev() {
                    is_sum[cell] |= is_sum[cell - shift];
                }
                left -= own;
                bundle *= 2;
            }
        }
        let top = is_sum.iter().rposition(|&is_sum| is_sum).unwrap_or(0);
        i64::try_from(top).expect("few enough") * step
    }

    /// The denominator times a bound on the value of all plans of a leaf.
    ///
    /// Prices are below 2^63, pieces, strips and sheets at most 2^20 each, conditions at most as many as there are nodes:
    /// 128 bits hold every sum.
    fn bound(
        &self,
        denominator: i64,
        prices: &[i64],
        path: &[Condition<'_>],
        claim: Claim,
        work: &mut u64,
    ) -> i128 {
        let prices = self.without_aside(prices);
        let mut bound: i128 = 0;
        for (item, &price) in self.job.items().iter().zip(&prices) {
            bound += i128::from(item.demand) * i128::from(price);
        }
        for condition in path {
            bound += i128::from(condition.number) * i128::from(condition.price);
        }
        let mut worths = Worths::new(self.job, &prices, path);
        for (idx, kind) in self
            .job
            .kinds()
            .iter()
            .enumerate()
            .filter(|&(idx, _)| self.most[idx] > 0)
        {
            let price = if claim.missing.is_some() {
                kind.price
            } else {
                0
            };
            let mut excess = 0;
            for &bed in &self.beds[idx] {
                let own = worths.of(bed) - i128::from(denominator) * i128::from(price);
                excess = own.max(excess);
            }
            let mut most = self.most[idx];
            if price > 0 {
                most = most.min((claim.proves - 1) / price);
            }
            for condition in path.iter().filter(|condition| !condition.over) {
                if self.beds[idx]
                    .iter()
                    .all(|&bed| counts_sheet(condition.count, bed))
                {
                    most = most.min(condition.number);
                }
            }
            bound -= excess * i128::from(most);
        }
        *work += worths.work;
        match claim.missing {
            None => {
                let above = |&price: &i64| i128::from(price) - i128::from(denominator);
                let items = self.job.items().iter().zip(&prices);
                bound
                    - items
                        .map(|(item, price)| i128::from(item.demand) * above(price).max(0))
                        .sum::<i128>()
            }
            Some(missing) => {
                bound - i128::from(missing) * i128::from(prices.iter().copied().max().unwrap_or(0))
            }
        }
    }
}

/// Whether a count counts all sheets of a bed.
fn counts_sheet(count: &Count, bed: Bed) -> bool {
    matches!(count, Count::Sheets { beds, width } if *width <= 0 && beds.contains(&bed))
}

/// The conditions from the root to a leaf with their prices; `None` where these are too few, too many or of the wrong sign.
fn path<'a>(
    nodes: &'a [Node],
    parents: &[Option<(usize, bool)>],
    leaf: usize,
    prices: &[i64],
) -> Option<Vec<Condition<'a>>> {
    let mut path = Vec::new();
    let mut at = leaf;
    while let Some((parent, over)) = parents[at] {
        let Node::Split { count, at_most, .. } = &nodes[parent] else {
            return None;
        };
        let price = *prices
            .len()
            .checked_sub(path.len() + 1)
            .and_then(|idx| prices.get(idx))?;
        if price != 0 && (price > 0) != over {
            return None;
        }
        path.push(Condition {
            count,
            number: i64::from(*at_most) + i64::from(over),
            over,
            price,
        });
        at = parent;
    }
    path.reverse();
    (path.len() == prices.len()).then_some(path)
}

fn common_divisor(one: i64, other: i64) -> i64 {
    let (mut one, mut other) = (one, other);
    while other != 0 {
        (one, other) = (other, one % other);
    }
    one
}
