//! The settings of one moulding, and what is cut at each.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::job::Job;
use crate::length::Length;
use crate::plan::Part;

use super::super::stop::opposite_side;
use super::fewest::{Fewest, fewest_settings};
use super::runs::{ClearRun, Key, Placed};
use super::{Batch, CutRef, Parted, Setting, Stick, count};

/// How many places of strips the search for the fewest settings of a moulding may look at: some hundredths of a second.
const WORK: u64 = 3_000_000;

/// How many defects are tried, whether the strip may stay whole there: each is a search of its own.
const MOST_JOINED: usize = 32;

/// What was found for a moulding.
pub(super) struct ByStop {
    /// Settings without their numbers.
    pub(super) batches: Vec<Batch>,
    pub(super) parted: Vec<Parted>,
    pub(super) n_sticks: u64,
    pub(super) is_fewest: bool,
}

/// A cut at a setting.
struct AtSetting {
    setting: usize,
    /// Position of its stick among all.
    stick: usize,
    placed: Placed,
}

/// Orders the cuts of a moulding; `runs` are those of all its strips, in the order of the plan.
pub(super) fn by_stop(job: &Job, moulding_idx: Option<usize>, runs: Vec<ClearRun>) -> ByStop {
    let places = places(&runs);
    let strips = |runs: &[ClearRun]| -> Vec<Vec<usize>> {
        let place = |placed: &Placed| places[&placed.key];
        let strips = runs.iter().map(|run| run.cuts.iter().map(place).collect());
        strips.collect()
    };
    let (runs, found) = parted_where_it_helps(runs, |runs| fewest_settings(&strips(runs), WORK));
    let runs = &runs;
    let mut settings = replay(&strips(runs), &found.order);
    bring_pairs_together(job, runs, &mut settings);
    let (sticks, parted, stick_of_run) = sticks(runs, &settings);
    let of_runs = runs.iter().zip(&settings).zip(stick_of_run);
    let mut cuts: Vec<AtSetting> = of_runs
        .flat_map(|((run, settings), stick)| {
            let cuts = run.cuts.iter().zip(settings);
            cuts.map(move |(&placed, &setting)| AtSetting {
                setting,
                stick,
                placed,
            })
        })
        .collect();
    // Stable: within a setting they stay in the order of the plan.
    cuts.sort_by_key(|cut| cut.setting);
    let at_settings = cuts.chunk_by(|one, next| one.setting == next.setting);
    let settings: Vec<_> = at_settings
        .map(|cuts| (cuts[0].placed.key.miter, setting(job, &sticks, cuts)))
        .collect();
    let of_one_miter = settings.chunk_by(|one, next| one.0 == next.0);
    let batches = of_one_miter.map(|settings| Batch {
        moulding_idx,
        miter: settings[0].0,
        settings: settings
            .iter()
            .map(|(_, setting)| setting.clone())
            .collect(),
        is_fewest: found.is_fewest,
    });
    ByStop {
        batches: batches.collect(),
        parted,
        n_sticks: count(sticks.len()),
        is_fewest: found.is_fewest,
    }
}

/// Joins the runs of strips that need not be parted at a defect, as that spares no setting.
///
/// Whether the order has the fewest settings is said of runs that all lie apart, so of any that are joined too.
fn parted_where_it_helps(
    mut runs: Vec<ClearRun>,
    search: impl Fn(&[ClearRun]) -> Fewest,
) -> (Vec<ClearRun>, Fewest) {
    let mut found = search(&runs);
    let joined_at = |runs: &[ClearRun], is_joined: &dyn Fn(usize) -> bool| {
        let mut joined: Vec<ClearRun> = Vec::new();
        for (idx, run) in runs.iter().enumerate() {
            match joined.last_mut() {
                Some(before) if run.behind.is_some() && is_joined(idx) => {
                    before.cuts.extend(&run.cuts);
                }
                _ => joined.push(run.clone()),
            }
        }
        joined
    };
    let mut keep_if_no_worse = |joined: Vec<ClearRun>, runs: &mut Vec<ClearRun>| {
        let Fewest { order, .. } = search(&joined);
        let is_kept = order.len() <= found.order.len();
        if is_kept {
            *runs = joined;
            found.order = order;
        }
        is_kept
    };
    if runs.iter().any(|run| run.behind.is_some()) {
        let all = joined_at(&runs, &|_| true);
        if !keep_if_no_worse(all, &mut runs) {
            let mut idx = 0;
            for _ in 0..MOST_JOINED {
                let at = (idx..runs.len()).find(|&idx| runs[idx].behind.is_some());
                let Some(at) = at else { break };
                let one = joined_at(&runs, &|idx| idx == at);
                idx = if keep_if_no_worse(one, &mut runs) {
                    at
                } else {
                    at + 1
                };
            }
        }
    }
    (runs, found)
}

/// The place of each key in the order in which one would rather cut: miter by miter, those that take the widest kerf first,
/// as on a strip, square cuts last; of each the longest parts first.
fn places(runs: &[ClearRun]) -> BTreeMap<Key, usize> {
    let mut longest: BTreeMap<Key, Length> = BTreeMap::new();
    for placed in runs.iter().flat_map(|run| &run.cuts) {
        let known = longest.entry(placed.key).or_default();
        *known = placed.length.max(*known);
    }
    let mut keys: Vec<(Key, Length)> = longest.into_iter().collect();
    let sides = |key: &Key| key.miter.sides().map_or((true, 0), |sides| (false, sides));
    keys.sort_by_key(|(key, length)| (sides(key), Reverse(*length), *key));
    keys.into_iter().map(|(key, _)| key).zip(0..).collect()
}

/// At which setting each cut of each strip is made, where each is made as early as can be.
fn replay(strips: &[Vec<usize>], order: &[usize]) -> Vec<Vec<usize>> {
    let mut settings = vec![Vec::new(); strips.len()];
    for (number, place) in order.iter().enumerate() {
        for (strip, settings) in strips.iter().zip(&mut settings) {
            let rest = &strip[settings.len()..];
            let n_cut = rest.iter().take_while(|next| *next == place).count();
            settings.extend(std::iter::repeat_n(number, n_cut));
        }
    }
    settings
}

/// Where a length is set more than once, a rail waits for the setting at which the opposite one of its frame is cut, if
/// nothing on its strip waits for it in turn.
fn bring_pairs_together(job: &Job, runs: &[ClearRun], settings: &mut [Vec<usize>]) {
    let cuts = runs.iter().enumerate().flat_map(|(run_idx, run)| {
        let cuts = run.cuts.iter().enumerate();
        cuts.map(move |(cut_idx, placed)| (placed.cut.part, (run_idx, cut_idx)))
    });
    let places: BTreeMap<Part, (usize, usize)> = cuts.collect();
    let key = |(run, cut): (usize, usize)| runs[run].cuts[cut].key;
    loop {
        let mut any = false;
        for (&part, &here) in &places {
            let there = opposite_part(job, part).and_then(|part| places.get(&part).copied());
            let Some(there) = there.filter(|&there| key(there) == key(here)) else {
                continue;
            };
            let wanted = settings[there.0][there.1];
            let follows = settings[here.0].get(here.1 + 1);
            // What lies behind it on its strip must not be cut before it.
            let last_of_run = runs.get(here.0 + 1);
            let is_last = last_of_run.is_none_or(|next| next.behind.is_none());
            let may_wait = follows.map_or(is_last, |&follows| follows >= wanted);
            if settings[here.0][here.1] < wanted && may_wait {
                settings[here.0][here.1] = wanted;
                any = true;
            }
        }
        if !any {
            return;
        }
    }
}

/// The rail on the other side of a frame.
///
/// # Panics
/// If the part is not of the job.
pub fn opposite_part(job: &Job, part: Part) -> Option<Part> {
    let Part::Rail {
        frame_idx,
        copy,
        side,
    } = part
    else {
        return None;
    };
    let n_sides = job.frames[frame_idx].art.n_sides();
    opposite_side(n_sides, side).map(|side| Part::Rail {
        frame_idx,
        copy,
        side,
    })
}

/// The sticks, without their cuts, what is parted for them, and which of them each run is on.
///
/// A strip is cut at a defect first where what lies behind it is cut before something that lies before it.
fn sticks(runs: &[ClearRun], settings: &[Vec<usize>]) -> (Vec<Stick>, Vec<Parted>, Vec<usize>) {
    let mut sticks: Vec<Stick> = Vec::new();
    let mut parted: Vec<Parted> = Vec::new();
    let mut stick_of_run = Vec::new();
    for (idx, run) in runs.iter().enumerate() {
        let behind = run.behind.map(|defect| {
            let goes_on = settings[idx - 1].last() <= settings[idx].first();
            (defect, goes_on)
        });
        let mut number = None;
        match behind {
            Some((_, true)) => {
                stick_of_run.push(sticks.len() - 1);
                continue;
            }
            Some((defect, false)) => {
                number = part(&mut sticks, &mut parted, run, defect);
            }
            None => {}
        }
        stick_of_run.push(sticks.len());
        sticks.push(Stick {
            board: run.board,
            strip: run.strip,
            run: number,
            mark: run.mark,
            cuts: Vec::new(),
        });
    }
    (sticks, parted, stick_of_run)
}

/// Notes that the strip of the last stick is cut at a defect, behind which `run` lies; the number of the stick that this
/// makes.
fn part(
    sticks: &mut [Stick],
    parted: &mut Vec<Parted>,
    run: &ClearRun,
    defect: (Length, Length),
) -> Option<usize> {
    let last = sticks.last_mut()?;
    let before = *last.run.get_or_insert(0);
    if before == 0 {
        parted.push(Parted {
            board: run.board,
            strip: run.strip,
            mark: run.mark,
            at: Vec::new(),
        });
    }
    if let Some(parted) = parted.last_mut() {
        parted.at.push(defect);
    }
    Some(before + 1)
}

/// The setting at which these cuts are made.
fn setting(job: &Job, sticks: &[Stick], cuts: &[AtSetting]) -> Setting {
    let of_sticks = cuts.chunk_by(|one, next| one.stick == next.stick);
    let figures = cuts.iter().map(|cut| cut.placed.stop);
    let parts: BTreeSet<Part> = cuts.iter().map(|cut| cut.placed.cut.part).collect();
    let has_opposite = |part: &&Part| {
        let opposite = opposite_part(job, **part);
        opposite.is_some_and(|opposite| parts.contains(&opposite))
    };
    Setting {
        number: 0,
        stop: figures.max().unwrap_or_default(),
        at: cuts[0].placed.key.at,
        sticks: of_sticks
            .map(|cuts| Stick {
                cuts: cuts
                    .iter()
                    .map(|cut| cut.placed.cut)
                    .collect::<Vec<CutRef>>(),
                ..sticks[cuts[0].stick].clone()
            })
            .collect(),
        n_cuts: count(cuts.len()),
        n_pairs: count(parts.iter().filter(has_opposite).count() / 2),
    }
}
