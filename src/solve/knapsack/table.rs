//! The table over cells: one row for each item, each made of the row below.

use super::Layer;

pub(super) fn count_profit(profit: i32, count: u32) -> i32 {
    i32::try_from(count).map_or(i32::MAX, |count| profit.saturating_mul(count))
}

/// Computes `row[c] = max over counts k <= most of below[c - k cells] + k profit`; returns steps.
///
/// The first pass reads `below`, so that no row is only copied.
pub(super) fn add_layer(row: &mut [i32], below: &[i32], layer: Layer) -> u64 {
    let width = row.len();
    let cells = layer.cells.max(1);
    if cells >= width {
        row.copy_from_slice(below);
        return width as u64;
    }
    let fits = (width - 1) / cells;
    if layer.most as usize >= fits && fits > 1 {
        take_any_number(row, below, cells, layer.profit);
        return width as u64;
    }
    row[..cells].copy_from_slice(&below[..cells]);
    let targets = row[cells..].iter_mut().zip(&below[cells..]);
    for ((target, &same), &before) in targets.zip(below) {
        *target = same.max(before + layer.profit);
    }
    // Binary splitting: counts 1, 2, 4, ... and a rest reach every count up to the limit.
    let mut rest = (layer.most as usize).min(fits) - 1;
    let mut block = 2usize;
    let mut steps = width as u64;
    while rest > 0 {
        let taken = block.min(rest);
        let profit = count_profit(layer.profit, u32::try_from(taken).unwrap_or(u32::MAX));
        take_once(row, cells * taken, profit);
        steps += width as u64;
        rest -= taken;
        block *= 2;
    }
    steps
}

/// `row[c] = max(below[c], row[c - cells] + profit)` upwards, so that an item may be taken again.
fn take_any_number(row: &mut [i32], below: &[i32], cells: usize, profit: i32) {
    row[..cells].copy_from_slice(&below[..cells]);
    let mut start = cells;
    while start < row.len() {
        let end = (start + cells).min(row.len());
        let (left, right) = row.split_at_mut(start);
        let targets = right[..end - start].iter_mut().zip(&below[start..end]);
        for ((target, &same), &before) in targets.zip(&left[start - cells..]) {
            *target = same.max(before + profit);
        }
        start = end;
    }
}

/// `row[c] = max(row[c], row[c - cells] + profit)` downwards, so that an item is taken once.
fn take_once(row: &mut [i32], cells: usize, profit: i32) {
    let mut end = row.len();
    while end > cells {
        let start = end.saturating_sub(cells).max(cells);
        let (left, right) = row.split_at_mut(start);
        let source = &left[start - cells..];
        for (target, &before) in right[..end - start].iter_mut().zip(source) {
            *target = (*target).max(before + profit);
        }
        end = start;
    }
}
