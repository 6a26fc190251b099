//! Prices in two tiers: a kind of board out of all proportion that no plan does without.
//!
//! Duals are told in units of the dearest board, so beside one at a million all other prices would be rounding.
//! With `c` its price, two searches take the place of one:
//! the fewest dear boards `n` that any plan has, all others being free; then the least `v` that the others cost, `n` dear
//! boards being free. A plan with more dear boards costs `(n + 1) c` at least, which is no less than `n c + v` as long as
//! `c` is no less than `v`.
//!
//! The certificate splits by the number of dear boards, and takes the duals of both searches to prices of the whole
//! problem:
//!
//! - fewer than `n`: the duals of the first search, each worth more than a dear board, and the condition pays for those;
//! - just `n`: the duals of the second, and the condition on `n` is worth `c`;
//! - more: only that condition counts.

use std::rc::Rc;

use super::bound::IntegerDuals;
use super::branch::{BranchAndPrice, Cases, NodeProof, NodeRecord, SplitBy};
use super::certify::ProofTree;
use super::meter::Meter;
use super::params::{MOST_OF_CASE, MOST_OF_CLASS, MOST_TIMES, OUT_OF_PROPORTION, TIER_NODES};
use super::problem::{BoardPlan, CutBoard, Problem};

/// What a search comes to.
pub(super) struct Found {
    pub(super) plan: BoardPlan,
    /// No plan costs less.
    pub(super) bound: i64,
    pub(super) tree: ProofTree,
}

/// The set of dear boards in certificates; behind all sets that a search makes.
const DEAR_SET: usize = usize::MAX;

/// The cheapest plan, dear boards first; `None` where no kind is out of proportion, the fewest of them are not proved, the
/// others cost more than one of them, or prices would be too large for a certificate.
///
/// The plans that were found on the way are put to `starts`.
pub(super) fn by_tiers(
    problem: &Problem,
    starts: &mut Vec<Vec<(CutBoard, u32)>>,
    meter: &Meter<'_>,
    report: &dyn Fn(i64, i64),
) -> Option<Found> {
    let dearest = problem.dearest();
    let others = problem.kinds.iter().map(|kind| kind.cost);
    let next = others.filter(|&cost| cost < dearest).max()?;
    let mut dear = (0..problem.kinds.len()).filter(|&kind| problem.kinds[kind].cost == dearest);
    let (Some(dear), None) = (dear.next(), dear.next()) else {
        return None;
    };
    if dearest / OUT_OF_PROPORTION < next.max(1) || problem.kinds[dear].n_kept > 0 {
        return None;
    }
    let mut numbers = problem.clone();
    for kind in &mut numbers.kinds {
        kind.cost = i64::from(kind.cost == dearest);
    }
    let mut search = BranchAndPrice::new(&numbers, meter, &|_, _| {});
    search.node_limit = TIER_NODES;
    for boards in starts.iter() {
        search.offer(boards);
    }
    search.run();
    let fewest = ProofTree::of(&search);
    let first = search.incumbent.take()?;
    starts.push(first.boards);
    if search.bound < first.cost || fewest.proves < first.cost {
        return None;
    }
    let number = u32::try_from(first.cost).ok()?;
    let paid = first.cost.checked_mul(dearest)?;
    let tiers = Tiers {
        n_items: problem.n_items(),
        dear,
        dearest,
        number,
    };
    let mut rest = problem.clone();
    rest.besides = problem.besides.checked_add(paid)?;
    rest.kinds[dear].cost = 0;
    rest.kinds[dear].limit = number;
    rest.kinds[dear].limited = true;
    if !tiers.fit(&fewest, rest.dearest()) {
        return None;
    }
    // With one dear board more the others may be cheaper, so nothing above its price is a bound of the whole.
    let report = |value: i64, bound: i64| {
        report(
            value.saturating_add(paid),
            bound.min(dearest).saturating_add(paid),
        );
    };
    let mut search = BranchAndPrice::new(&rest, meter, &report);
    search.ceiling = dearest.saturating_add(1);
    for boards in starts.iter() {
        search.offer(boards);
    }
    search.run();
    let found = search.incumbent.take()?;
    if found.cost > dearest && !meter.halted() {
        starts.push(found.boards);
        return None;
    }
    let tree = tiers.tree(fewest, ProofTree::of(&search), rest.dearest())?;
    Some(Found {
        plan: problem.plan_from(&found.boards)?,
        bound: search.bound.min(dearest).checked_add(paid)?,
        tree,
    })
}

/// What is known of the tiers.
struct Tiers {
    n_items: usize,
    dear: usize,
    dearest: i64,
    /// The fewest dear boards.
    number: u32,
}

impl Tiers {
    /// Whether prices of both searches stay within what a certificate may have, with units of `rest_unit` in the second.
    fn fit(&self, fewest: &ProofTree, rest_unit: i64) -> bool {
        let factor = i64::from(self.number) + 1;
        let within = |price: i64, most: i64| price.checked_mul(factor).is_some_and(|it| it <= most);
        let duals = fewest.records.iter();
        let mut duals = duals.filter_map(|record| record.proof.duals.as_deref());
        let are_small = duals.all(|duals| {
            let mut sets = duals.sets.iter().flat_map(|set| [set.1, set.2]);
            duals.items.iter().all(|&dual| within(dual, MOST_OF_CLASS))
                && sets.all(|dual| within(dual.saturating_abs(), MOST_OF_CASE))
                && within(duals.scale, MOST_OF_CASE)
        });
        (self.number == 0 || are_small) && self.dearest / rest_unit.max(1) < MOST_TIMES
    }

    /// The tree of the whole problem, of those of the two searches: the fewest dear boards, and the rest, whose unit is
    /// `rest_unit`; `None` where a number is too large.
    fn tree(&self, fewest: ProofTree, rest: ProofTree, rest_unit: i64) -> Option<ProofTree> {
        // A whole multiple of the unit of the rest, so that its duals need no rounding, and no less than a dear board.
        let times = self.dearest.checked_add(rest_unit - 1)? / rest_unit;
        let unit = rest_unit.checked_mul(times)?;
        let paid = i64::from(self.number).checked_mul(self.dearest)?;
        let proves = paid.checked_add(rest.proves.min(self.dearest))?;
        let mut records = vec![NodeRecord::of(NodeProof::default())];
        let mut root = 0;
        if self.number > 0 {
            // Its duals prove more than `number - 1` boards by one part in their scale at the least. Each such part is made
            // worth more than the whole plan; what a dear board costs in that search is taken off by the condition.
            let factor = i64::from(self.number) + 1;
            let under = graft(&mut records, fewest, |duals| {
                let mut duals = duals.cloned()?;
                let sets = duals
                    .sets
                    .iter_mut()
                    .flat_map(|set| [&mut set.1, &mut set.2]);
                for dual in duals.items.iter_mut().chain(sets) {
                    *dual = dual.checked_mul(factor)?;
                }
                let most = duals.scale.checked_mul(-factor)?;
                Some(self.duals(Some(&duals), 1, (0, most)))
            })?;
            records.push(NodeRecord::of(NodeProof::default()));
            let over = records.len() - 1;
            records[root].cases = Some(self.cases(self.number - 1, (under, over)));
            root = over;
        }
        let under = graft(&mut records, rest, |duals| {
            let scale = duals.map_or(1, |duals| duals.scale).checked_mul(times)?;
            let least = rounded_up(i128::from(scale) * i128::from(self.dearest), unit)?;
            Some(self.duals(duals, scale, (least, 0)))
        })?;
        // One more dear board is worth what it costs, and nothing else counts.
        let beyond = self.duals(None, unit, (self.dearest, 0));
        records.push(NodeRecord::of(NodeProof {
            bound: proves,
            duals: Some(Rc::new(beyond)),
        }));
        records[root].cases = Some(self.cases(self.number, (under, records.len() - 1)));
        Some(ProofTree {
            proves,
            records,
            unit: Some(unit),
        })
    }

    fn cases(&self, below: u32, children: (usize, usize)) -> Cases {
        Cases {
            by: SplitBy::Boards {
                kinds: vec![self.dear],
                divided: Vec::new(),
                set: DEAR_SET,
                below,
            },
            children,
        }
    }

    /// `duals` at another scale, with the duals of the least and the most dear boards.
    fn duals(
        &self,
        duals: Option<&IntegerDuals>,
        scale: i64,
        (least, most): (i64, i64),
    ) -> IntegerDuals {
        let mut own = duals.cloned().unwrap_or_else(|| IntegerDuals {
            items: vec![0; self.n_items],
            sets: Vec::new(),
            scale,
            unit: self.dearest,
        });
        own.scale = scale;
        own.sets.push((DEAR_SET, least, most));
        own
    }
}

/// Puts a tree behind `records`, its duals changed; gives its root.
fn graft(
    records: &mut Vec<NodeRecord>,
    tree: ProofTree,
    change: impl Fn(Option<&IntegerDuals>) -> Option<IntegerDuals>,
) -> Option<usize> {
    let root = records.len();
    for mut record in tree.records {
        record.proof.duals = Some(Rc::new(change(record.proof.duals.as_deref())?));
        if let Some(cases) = &mut record.cases {
            cases.children.0 += root;
            cases.children.1 += root;
        }
        records.push(record);
    }
    Some(root)
}

fn rounded_up(number: i128, by: i64) -> Option<i64> {
    let by = i128::from(by);
    i64::try_from((number + by - 1) / by).ok()
}
