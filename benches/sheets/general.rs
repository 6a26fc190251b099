//! A general-purpose solver over all strips and all sets of strips: `microlp` through `good_lp`.
//!
//! As in P. C. Gilmore, R. E. Gomory, Operations Research 13(1), 1965, 94-120, strips and sheets are columns of their own, linked
//! by how many strips of each width there are; here all of them are listed, so that nothing is shared with the solver.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    reason = "the solver beside which ours stands computes in floats; its answer is rounded and only looked at"
)]

use std::collections::BTreeMap;

use good_lp::{Expression, ProblemVariables, Solution as _, SolverModel as _, microlp, variable};
use longpoint::sheets::job::{Along, Kind, SheetJob};

/// More than all sheets of a tiny job cost.
const A_PIECE: f64 = 10_000.0;

/// A piece as it may lie on a strip: its item, its size along and across.
type Lie = (usize, i64, i64);

/// Fewest missing pieces, and the least cost with as few; `None` where the solver fails.
pub(crate) fn best(job: &SheetJob) -> Option<(u64, i64)> {
    let mut variables = ProblemVariables::new();
    let mut cost = Expression::default();
    let mut made: Vec<Expression> = vec![Expression::default(); job.items().len()];
    let mut links = Vec::new();
    let mut supplies = Vec::new();
    let n_pieces: u32 = job.items().iter().map(|item| item.demand).sum();
    for kind in job.kinds() {
        let mut used = Expression::default();
        for along in Along::BOTH {
            let Some((length, room)) = bed(job, kind, along) else {
                continue;
            };
            let lies = lies(job, along);
            let mut room_for: BTreeMap<i64, Expression> = BTreeMap::new();
            let widths: Vec<i64> = {
                let mut widths: Vec<i64> = lies.iter().map(|lie| lie.2).collect();
                widths.sort_unstable();
                widths.dedup();
                widths
            };
            for width in &widths {
                room_for.insert(*width, Expression::default());
            }
            let mut strips = Vec::new();
            list_strips(job, &lies, 0, length, &mut Vec::new(), &mut strips);
            for strip in strips {
                let times = variables.add(variable().integer().min(0).max(n_pieces));
                let width = strip.iter().map(|&at| lies[at].2).max().unwrap_or(0);
                for &at in &strip {
                    made[lies[at].0] += times;
                }
                for (_, room) in room_for.range_mut(..=width) {
                    *room -= times;
                }
            }
            let mut sheets = Vec::new();
            let most = n_pieces as usize;
            list_sheets(job, (&widths, most), 0, room, &mut Vec::new(), &mut sheets);
            for sheet in sheets {
                let times = variables.add(variable().integer().min(0).max(n_pieces));
                cost += kind.price as f64 * times;
                used += times;
                for width in sheet {
                    for (_, room) in room_for.range_mut(..=width) {
                        *room += times;
                    }
                }
            }
            links.extend(room_for.into_values());
        }
        supplies.extend(kind.supply.map(|supply| (used, supply)));
    }
    for (made, item) in made.iter_mut().zip(job.items()) {
        let missing = variables.add(variable().integer().min(0).max(item.demand));
        cost += A_PIECE * missing;
        *made += missing;
    }
    let mut model = variables.minimise(cost.clone()).using(microlp);
    for (made, item) in made.into_iter().zip(job.items()) {
        model = model.with(made.geq(f64::from(item.demand)));
    }
    for link in links {
        model = model.with(link.geq(0));
    }
    for (used, supply) in supplies {
        model = model.with(used.leq(f64::from(supply)));
    }
    let value = model.solve().ok()?.eval(cost).round() as i64;
    let per_piece = A_PIECE as i64;
    let missing = u64::try_from(value / per_piece).ok()?;
    Some((missing, value % per_piece))
}

/// Usable length of a strip, and what strips may take across; `None` where sheets are not cut so.
fn bed(job: &SheetJob, kind: &Kind, along: Along) -> Option<(i64, i64)> {
    let trim = kind.trim;
    let (width, height) = (
        kind.width - trim.left - trim.right,
        kind.height - trim.bottom - trim.top,
    );
    let (length, room, first) = match along {
        Along::Width => (width, height, kind.width),
        Along::Height => (height, width, kind.height),
    };
    let cutter = job.cutter();
    let is_cut = cutter.strips.is_none_or(|only| only == along)
        && cutter.longest_first.is_none_or(|most| first <= most);
    is_cut.then_some((length, room))
}

/// The ways that pieces lie on strips.
fn lies(job: &SheetJob, along: Along) -> Vec<Lie> {
    let most = job.cutter().longest_second.unwrap_or(i64::MAX);
    let all = job.items().iter().enumerate().flat_map(|(idx, item)| {
        let (long, across) = match along {
            Along::Width => (item.width, item.height),
            Along::Height => (item.height, item.width),
        };
        let turned = (item.turnable && long != across).then_some((idx, across, long));
        std::iter::once((idx, long, across)).chain(turned)
    });
    all.filter(|lie| lie.2 <= most).collect()
}

/// All non-empty sets of pieces, by their ways to lie, that fit on a strip; of each item no more than are wanted.
fn list_strips(
    job: &SheetJob,
    lies: &[Lie],
    from: usize,
    room: i64,
    strip: &mut Vec<usize>,
    found: &mut Vec<Vec<usize>>,
) {
    if !strip.is_empty() {
        found.push(strip.clone());
    }
    for at in from..lies.len() {
        let (item, along, _) = lies[at];
        let own = strip.iter().filter(|&&other| lies[other].0 == item).count();
        if along <= room && own < job.items()[item].demand as usize {
            strip.push(at);
            list_strips(
                job,
                lies,
                at,
                room - along - job.cutter().kerf,
                strip,
                found,
            );
            strip.pop();
        }
    }
}

/// All sets of widths that fit on a sheet beside each other and leave no room for one more; no more than there are pieces.
fn list_sheets(
    job: &SheetJob,
    (widths, most): (&[i64], usize),
    from: usize,
    room: i64,
    sheet: &mut Vec<i64>,
    found: &mut Vec<Vec<i64>>,
) {
    let has_room = widths.first().is_some_and(|&least| least <= room);
    if !sheet.is_empty() && (!has_room || sheet.len() == most) {
        found.push(sheet.clone());
    }
    for at in from..widths.len() {
        if widths[at] <= room && sheet.len() < most {
            sheet.push(widths[at]);
            let left = room - widths[at] - job.cutter().kerf;
            list_sheets(job, (widths, most), at, left, sheet, found);
            sheet.pop();
        }
    }
}
