//! The way in for a plan: boards of the instance in normalized terms.

use crate::cutting::{BoardUse, Pattern, add_count};

use super::super::problem::CutBoard;
use super::{LayoutOrigin, Normalized};

impl Normalized {
    /// `boards` in normalized terms; a board that the kinds do not have, or that is cut in a way that does not fit, is
    /// left out.
    pub(in super::super) fn lower(&self, boards: &[BoardUse]) -> Vec<(CutBoard, u32)> {
        let boards = boards.iter();
        boards
            .filter_map(|board| Some((self.lowered(board)?, board.times)))
            .collect()
    }

    fn lowered(&self, board: &BoardUse) -> Option<CutBoard> {
        let (kind, layout, origin) = self.way_of(board.stock, board.layout)?;
        let n_strips = self.problem.kinds[kind].layouts[layout].len();
        let mut parts: Vec<Vec<(usize, u32)>> = vec![Vec::new(); n_strips];
        for (pattern, place) in board.patterns.iter().zip(&origin.places) {
            for &(item, count) in &pattern.counts {
                add_count(&mut parts[(*place)?], self.item_of(item)?, count);
            }
        }
        let strips = &self.problem.kinds[kind].layouts[layout];
        if !strips
            .iter()
            .zip(&parts)
            .all(|(&strip, part)| self.holds(strip, part))
        {
            return None;
        }
        let mut counts = Vec::new();
        for &(item, count) in parts.iter().flatten() {
            add_count(&mut counts, item, count);
        }
        if n_strips == 1 {
            parts.clear();
        }
        Some(CutBoard {
            kind,
            layout,
            counts,
            parts,
        })
    }

    /// A board of one strip in terms of the instance, none of it: how it is cut is all that it tells.
    pub(in super::super) fn raise_pattern(&self, board: &CutBoard) -> Option<BoardUse> {
        let origin = self.kind_origins.get(board.kind)?.first()?;
        let layout = origin.layouts.get(board.layout)?;
        let place = layout.places.iter().position(|place| *place == Some(0))?;
        let mut patterns = vec![Pattern::default(); layout.places.len()];
        for &(item, count) in &board.counts {
            add_count(
                &mut patterns[place].counts,
                self.item_origins[item][0],
                count,
            );
        }
        Some(BoardUse {
            stock: origin.stock,
            layout: layout.layout,
            patterns,
            times: 0,
        })
    }

    /// Whether a strip may hold some items, and is long enough.
    fn holds(&self, strip: usize, counts: &[(usize, u32)]) -> bool {
        let strip = &self.problem.strips[strip];
        let members = &self.problem.groups[strip.group];
        let sizes = counts
            .iter()
            .map(|&(item, count)| i128::from(self.problem.sizes[item]) * i128::from(count));
        sizes.sum::<i128>() <= i128::from(strip.capacity)
            && counts.iter().all(|(item, _)| members.contains(item))
    }

    /// The kind and its layout that a layout of a stock became.
    fn way_of(&self, stock: usize, layout: usize) -> Option<(usize, usize, &LayoutOrigin)> {
        self.kind_origins
            .iter()
            .enumerate()
            .find_map(|(kind, origins)| {
                let origin = origins.iter().find(|origin| origin.stock == stock)?;
                let place = origin.layouts.iter().position(|own| own.layout == layout)?;
                Some((kind, place, &origin.layouts[place]))
            })
    }

    fn item_of(&self, item: usize) -> Option<usize> {
        let mut origins = self.item_origins.iter();
        origins.position(|origins| origins.contains(&item))
    }
}
