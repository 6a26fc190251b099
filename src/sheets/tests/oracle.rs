//! The best plan of a tiny job by trying every set of pieces: on a strip, on a sheet, from a kind, from several kinds.
//! Shares no code with solver or check.

use crate::sheets::job::{Along, Kind, SheetJob, Stages};

/// Fewest missing pieces, and the least cost with as few.
pub(crate) fn best(job: &SheetJob) -> (u64, i64) {
    let pieces: Vec<usize> = (job.items().iter().enumerate())
        .flat_map(|(idx, item)| std::iter::repeat_n(idx, item.demand as usize))
        .collect();
    assert!(pieces.len() <= 9, "3 to the power of the pieces");
    let n_sets = 1usize << pieces.len();
    // The least cost of cutting just these pieces from the kinds so far.
    let mut cost: Vec<Option<i64>> = vec![None; n_sets];
    cost[0] = Some(0);
    for kind in job.kinds() {
        let sheets = sheets_for(job, kind, &pieces);
        let before = cost.clone();
        for (set, best) in cost.iter_mut().enumerate() {
            for part in parts(set) {
                let Some((rest, number)) = before[set ^ part].zip(sheets[part]) else {
                    continue;
                };
                if kind.supply.is_none_or(|supply| number <= supply) {
                    let own = rest + i64::from(number) * kind.price;
                    *best = Some(best.map_or(own, |best| best.min(own)));
                }
            }
        }
    }
    let missing = |set: usize| pieces.len() as u64 - u64::from(set.count_ones());
    let plans = cost
        .iter()
        .enumerate()
        .filter_map(|(set, cost)| cost.map(|cost| (missing(set), cost)));
    plans.min().expect("nothing at all can always be cut")
}

/// The non-empty subsets of a set.
fn parts(set: usize) -> impl Iterator<Item = usize> {
    let next = move |part: &usize| part.checked_sub(1).map(|part| part & set);
    std::iter::successors(Some(set), next).take_while(|&part| part != 0)
}

/// How many sheets of a kind just these pieces need, by set.
fn sheets_for(job: &SheetJob, kind: &Kind, pieces: &[usize]) -> Vec<Option<u32>> {
    let one: Vec<bool> = {
        let ways = Along::BOTH.map(|along| one_sheet(job, kind, along, pieces));
        (0..1 << pieces.len())
            .map(|set| ways[0][set] || ways[1][set])
            .collect()
    };
    let mut number: Vec<Option<u32>> = vec![None; one.len()];
    number[0] = Some(0);
    for set in 1..one.len() {
        let ways = parts(set).filter(|&part| one[part]);
        number[set] = ways
            .filter_map(|part| number[set ^ part].map(|rest| rest + 1))
            .min();
    }
    number
}

/// Whether just these pieces can be cut from one sheet whose strips run so, by set.
fn one_sheet(job: &SheetJob, kind: &Kind, along: Along, pieces: &[usize]) -> Vec<bool> {
    let cutter = job.cutter();
    let n_sets = 1usize << pieces.len();
    let (length, room, raw) = match along {
        Along::Width => (
            kind.width - kind.trim.left - kind.trim.right,
            kind.height - kind.trim.bottom - kind.trim.top,
            kind.width,
        ),
        Along::Height => (
            kind.height - kind.trim.bottom - kind.trim.top,
            kind.width - kind.trim.left - kind.trim.right,
            kind.height,
        ),
    };
    if cutter.strips.is_some_and(|only| only != along)
        || cutter.longest_first.is_some_and(|most| raw > most)
    {
        return vec![false; n_sets];
    }
    let widths: Vec<Option<i64>> = match cutter.stages {
        Stages::Two => (0..n_sets)
            .map(|set| strip_width(job, along, length, &members(set, pieces)))
            .collect(),
        Stages::Three => stacked_widths(job, along, length, pieces),
    };
    let strip: Vec<Option<i64>> = (widths.into_iter())
        .map(|width| width.filter(|&width| cutter.longest_second.is_none_or(|most| width <= most)))
        .collect();
    // The least width across that strips with just these pieces take, cuts between them included.
    let mut across: Vec<Option<i64>> = vec![None; n_sets];
    across[0] = Some(-cutter.kerf);
    for set in 1..n_sets {
        let ways = parts(set).filter_map(|part| {
            let rest = across[set ^ part]?;
            Some(rest + cutter.kerf + strip[part]?)
        });
        across[set] = ways.min();
    }
    across
        .into_iter()
        .map(|width| width.is_some_and(|width| width <= room))
        .collect()
}

fn members(set: usize, pieces: &[usize]) -> Vec<usize> {
    (0..pieces.len())
        .filter(|&idx| set >> idx & 1 == 1)
        .map(|idx| pieces[idx])
        .collect()
}

/// The least width of a strip with just these pieces in stacks on it, by set.
fn stacked_widths(job: &SheetJob, along: Along, length: i64, pieces: &[usize]) -> Vec<Option<i64>> {
    let kerf = job.cutter().kerf;
    let n_sets = 1usize << pieces.len();
    // `(width, length)` of a stack of each set, in every way that its pieces may lie.
    let stacks: Vec<Vec<(i64, i64)>> = (0..n_sets)
        .map(|set| {
            let mut sizes = vec![(-kerf, 0)];
            for item in members(set, pieces)
                .into_iter()
                .map(|item| job.items()[item])
            {
                let upright = match along {
                    Along::Width => (item.height, item.width),
                    Along::Height => (item.width, item.height),
                };
                let mut lies = vec![upright];
                if item.turnable {
                    lies.push((upright.1, upright.0));
                }
                let with = |&(width, long): &(i64, i64)| {
                    let lies = lies.clone().into_iter();
                    lies.map(move |(across, own)| (width + kerf + across, long.max(own)))
                };
                sizes = sizes.iter().flat_map(with).collect();
            }
            sizes
        })
        .collect();
    let mut limits: Vec<i64> = stacks.iter().flatten().map(|stack| stack.0).collect();
    limits.sort_unstable();
    limits.dedup();
    let mut least: Vec<Option<i64>> = vec![None; n_sets];
    for limit in limits {
        // The least length of stacks no wider than that, side by side.
        let of_stack = |set: usize| {
            let fitting = stacks[set].iter().filter(|stack| stack.0 <= limit);
            fitting.map(|stack| stack.1).min()
        };
        let own: Vec<Option<i64>> = (0..n_sets).map(of_stack).collect();
        let mut taken: Vec<Option<i64>> = vec![None; n_sets];
        taken[0] = Some(-kerf);
        for set in 1..n_sets {
            let ways = parts(set).filter_map(|part| Some(taken[set ^ part]? + kerf + own[part]?));
            taken[set] = ways.min();
            if least[set].is_none() && taken[set].is_some_and(|taken| taken <= length) {
                least[set] = Some(limit);
            }
        }
    }
    least
}

/// The least width of a strip with these pieces on it, each lying in every way it may.
fn strip_width(job: &SheetJob, along: Along, length: i64, items: &[usize]) -> Option<i64> {
    let ways = (0..1usize << items.len()).filter_map(|turned| {
        let mut used = -job.cutter().kerf;
        let mut width = 0;
        for (idx, &item) in items.iter().enumerate() {
            let item = job.items()[item];
            let is_turned = turned >> idx & 1 == 1;
            if is_turned && !item.turnable {
                return None;
            }
            let (wide, high) = if is_turned {
                (item.height, item.width)
            } else {
                (item.width, item.height)
            };
            let (long, across) = match along {
                Along::Width => (wide, high),
                Along::Height => (high, wide),
            };
            used += long + job.cutter().kerf;
            width = width.max(across);
        }
        (used <= length).then_some(width)
    });
    ways.min()
}
