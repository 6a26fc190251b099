//! Two boards repacked at a time, while that leaves the wood better.

use crate::cutting::add_count;

use super::{Load, Score, Wood, plus};

/// `(item, count)`, items rising.
type Counts = Vec<(usize, u32)>;

/// Divisions of two boards' parts that are looked at before the search ends: some hundredths of a second.
const MOST_STEPS: u32 = 60_000;
/// Two boards whose parts can be divided in more ways are left as they are.
const MOST_WAYS: u64 = 4_096;
/// Pairs of boards that are looked at before the search ends, so that thousands of boards take no longer.
const MOST_PAIRS: u32 = 400_000;

/// `loads` bettered by repacking two boards at a time, each onto a board of its own cost; the first pair that can be
/// bettered is, in the best way there is for it, until none can.
pub(super) fn search(
    wood: &Wood<'_>,
    mut loads: Vec<Load>,
    stocks: &[usize],
    supply: &[Option<u32>],
) -> Vec<Load> {
    let mut spare: Vec<Option<u32>> = supply.to_vec();
    for load in &loads {
        spare[load.stock] = spare[load.stock].map(|left| left.saturating_sub(1));
    }
    let mut steps = 0;
    let mut pairs = 0;
    loop {
        let mut improved = false;
        for one in 0..loads.len() {
            for other in one + 1..loads.len() {
                pairs += 1;
                if steps >= MOST_STEPS || pairs >= MOST_PAIRS {
                    return loads;
                }
                if loads[one] == loads[other] && other > one + 1 {
                    continue;
                }
                let pair = [loads[one].clone(), loads[other].clone()];
                if let Some([first, second]) = repack(wood, &pair, stocks, &mut spare, &mut steps) {
                    loads[one] = first;
                    loads[other] = second;
                    improved = true;
                }
            }
        }
        if !improved {
            return loads;
        }
    }
}

/// The best way to cut the parts of two boards from two boards of the same costs, if it is better than theirs.
fn repack(
    wood: &Wood<'_>,
    pair: &[Load; 2],
    stocks: &[usize],
    spare: &mut [Option<u32>],
    steps: &mut u32,
) -> Option<[Load; 2]> {
    let mut parts: Vec<(usize, u32)> = pair[0].counts.clone();
    for &(item, count) in &pair[1].counts {
        add_count(&mut parts, item, count);
    }
    let n_ways = parts.iter().fold(1_u64, |ways, part| {
        ways.saturating_mul(u64::from(part.1) + 1)
    });
    if n_ways > MOST_WAYS {
        return None;
    }
    // Both boards are there to be taken again.
    let give_back = |spare: &mut [Option<u32>], stock: usize| {
        spare[stock] = spare[stock].map(|left| left + 1);
    };
    let take = |spare: &mut [Option<u32>], stock: usize| {
        spare[stock] = spare[stock].map(|left| left.saturating_sub(1));
    };
    for load in pair {
        give_back(spare, load.stock);
    }
    let mut best: Option<[Load; 2]> = None;
    let mut best_score = wood.total(pair);
    let (mut first, mut second) = (Counts::new(), Counts::new());
    for way in 0..n_ways {
        *steps += 1;
        divide(&parts, way, &mut first, &mut second);
        if first.is_empty() || second.is_empty() {
            continue;
        }
        let Some(one) = best_board(wood, pair[0].stock, &first, stocks, spare) else {
            continue;
        };
        take(spare, one.stock);
        let other = best_board(wood, pair[1].stock, &second, stocks, spare);
        give_back(spare, one.stock);
        if let Some(other) = other {
            let score = plus(one.score, other.score);
            if score < best_score {
                best_score = score;
                best = Some([one.load(&first), other.load(&second)]);
            }
        }
    }
    for load in best.as_ref().unwrap_or(pair) {
        take(spare, load.stock);
    }
    best
}

/// The `way`-th division of parts in two, into `first` and `second`: its digits, to the bases of the counts, say how many
/// the first takes.
fn divide(parts: &[(usize, u32)], mut way: u64, first: &mut Counts, second: &mut Counts) {
    first.clear();
    second.clear();
    for &(item, count) in parts {
        let base = u64::from(count) + 1;
        let taken = u32::try_from(way % base).expect("a digit is no more than its count");
        way /= base;
        if taken > 0 {
            first.push((item, taken));
        }
        if taken < count {
            second.push((item, count - taken));
        }
    }
}

/// A board for some parts.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Choice {
    score: Score,
    stock: usize,
    layout: usize,
}

impl Choice {
    fn load(&self, counts: &Counts) -> Load {
        Load {
            stock: self.stock,
            layout: self.layout,
            counts: counts.clone(),
        }
    }
}

/// The best board that costs what `like` does and holds `counts`.
fn best_board(
    wood: &Wood<'_>,
    like: usize,
    counts: &Counts,
    stocks: &[usize],
    spare: &[Option<u32>],
) -> Option<Choice> {
    let cost = wood.instance.stocks[like].cost;
    stocks
        .iter()
        .filter(|&&stock| wood.instance.stocks[stock].cost == cost && spare[stock] != Some(0))
        .filter_map(|&stock| {
            let layout = wood.layout_for(stock, counts)?;
            Some(Choice {
                score: wood.score(stock, counts),
                stock,
                layout,
            })
        })
        .min()
}
