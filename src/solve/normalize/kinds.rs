//! Kinds of board out of stocks: equal stocks are merged, dominated ones dropped.

use crate::cutting::Instance;

use super::super::problem::{GroupedStrip, StockKind};
use super::{KindOrigin, LayoutOrigin};

/// Kinds with their origins: stocks of equal cost and equal layouts are one kind.
pub(super) fn merge_kinds(
    instance: &Instance,
    strip_of: &[Option<usize>],
) -> (Vec<StockKind>, Vec<Vec<KindOrigin>>) {
    let mut kinds: Vec<StockKind> = Vec::new();
    let mut origins: Vec<Vec<KindOrigin>> = Vec::new();
    for (stock_idx, stock) in instance.stocks.iter().enumerate() {
        let mut layouts: Vec<(bool, Vec<usize>, LayoutOrigin)> = Vec::new();
        for (layout_idx, layout) in stock.layouts.iter().enumerate() {
            let mut order: Vec<(usize, usize)> = layout
                .strips
                .iter()
                .enumerate()
                .filter_map(|(place, &strip)| strip_of[strip].map(|kept| (kept, place)))
                .collect();
            order.sort_unstable();
            if order.is_empty() {
                continue;
            }
            let mut places = vec![None; layout.strips.len()];
            for (new, &(_, old)) in order.iter().enumerate() {
                places[old] = Some(new);
            }
            let strips: Vec<usize> = order.into_iter().map(|(strip, _)| strip).collect();
            let is_known = |known: &(bool, Vec<usize>, LayoutOrigin)| {
                (known.0, &known.1) == (layout.kept, &strips)
            };
            if !layouts.iter().any(is_known) {
                layouts.push((
                    layout.kept,
                    strips,
                    LayoutOrigin {
                        layout: layout_idx,
                        places,
                    },
                ));
            }
        }
        layouts.sort_by(|a, b| (a.0, &a.1).cmp(&(b.0, &b.1)));
        let n_kept = layouts.iter().filter(|layout| layout.0).count();
        let (layouts, layout_origins): (Vec<_>, Vec<_>) = layouts
            .into_iter()
            .map(|(_, strips, origin)| (strips, origin))
            .unzip();
        let origin = KindOrigin {
            stock: stock_idx,
            unlimited: stock.supply.is_none(),
            layouts: layout_origins,
        };
        let same = kinds.iter().position(|kind| {
            (kind.cost, kind.length, kind.n_kept) == (stock.cost, stock.length, n_kept)
                && kind.layouts == layouts
        });
        if let Some(kind) = same {
            origins[kind].push(origin);
            let known = &mut kinds[kind];
            known.limited &= stock.supply.is_some();
            known.limit = known.limit.saturating_add(stock.supply.unwrap_or(u32::MAX));
        } else {
            kinds.push(StockKind {
                cost: stock.cost,
                length: stock.length,
                limit: stock.supply.unwrap_or(u32::MAX),
                limited: stock.supply.is_some(),
                layouts,
                n_kept,
                absent: false,
            });
            origins.push(vec![origin]);
        }
    }
    (kinds, origins)
}

/// Drops kinds that an unlimited kind replaces at no more cost and no more length.
///
/// Returns, for each kind that stays, the stocks that it replaces.
pub(super) fn drop_dominated(
    kinds: &mut Vec<StockKind>,
    origins: &mut Vec<Vec<KindOrigin>>,
    strips: &[GroupedStrip],
    groups: &[Vec<usize>],
) -> Vec<Vec<usize>> {
    let replaces = |better: usize, worse: usize| {
        let (b, w): (&GroupedStrip, &GroupedStrip) = (&strips[better], &strips[worse]);
        b.capacity >= w.capacity
            && (b.group == w.group
                || groups[w.group]
                    .iter()
                    .all(|item| groups[b.group].binary_search(item).is_ok()))
    };
    let dominates = |better: &StockKind, worse: &StockKind| {
        !better.limited
            // What may be kept for nothing has no equal.
            && better.n_kept + worse.n_kept == 0
            && (better.cost, better.length) <= (worse.cost, worse.length)
            && worse.layouts.iter().all(|layout| {
                layout.len() == 1
                    && better
                        .layouts
                        .iter()
                        .any(|other| other.iter().any(|&strip| replaces(strip, layout[0])))
            })
    };
    let n_kinds = kinds.len();
    let mut better_of: Vec<Option<usize>> = vec![None; n_kinds];
    for worse in 0..n_kinds {
        better_of[worse] = (0..n_kinds).find(|&better| {
            better != worse
                && better_of[better].is_none()
                && dominates(&kinds[better], &kinds[worse])
                && (better < worse || !dominates(&kinds[worse], &kinds[better]))
        });
    }
    let mut replaced: Vec<Vec<usize>> = vec![Vec::new(); n_kinds];
    for (worse, own) in origins.iter().enumerate() {
        let mut top = worse;
        while let Some(better) = better_of[top] {
            top = better;
        }
        if top != worse {
            let stocks: Vec<usize> = own.iter().map(|origin| origin.stock).collect();
            replaced[top].extend(stocks);
        }
    }
    let mut keep = better_of.iter();
    kinds.retain(|_| keep.next().expect("one entry for each kind").is_none());
    let mut keep = better_of.iter();
    origins.retain(|_| keep.next().expect("one entry for each kind").is_none());
    let mut keep = better_of.iter();
    replaced.retain(|_| keep.next().expect("one entry for each kind").is_none());
    replaced
}
