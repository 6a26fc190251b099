//! Sheets with their strips and pieces, as the model has them: what plans are before they are laid out.

use std::cmp::Reverse;

use super::columns::Column;
use super::model::Model;

/// Columns with how often they are used: whole plans.
pub(super) type Used = Vec<(Column, u32)>;

/// `(item, how many)`, by rising item.
pub(super) type Pieces = Vec<(usize, u32)>;

/// A sheet with its strips: the class that each needs, and its pieces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Loaded {
    pub(super) bed: usize,
    pub(super) strips: Vec<(usize, Pieces)>,
}

impl Loaded {
    /// All pieces of the sheet.
    pub(super) fn pieces(&self) -> impl Iterator<Item = &(usize, u32)> {
        self.strips.iter().flat_map(|(_, pieces)| pieces)
    }

    /// The sheet and its strips as columns.
    pub(super) fn columns(&self, model: &Model) -> Vec<Column> {
        let lane = model.beds[self.bed].lane;
        let mut rooms = Vec::new();
        let mut columns = Vec::new();
        for (class, pieces) in &self.strips {
            crate::cutting::add_count(&mut rooms, *class, 1);
            columns.push(Column::Strip {
                lane,
                class: *class,
                pieces: pieces.clone(),
            });
        }
        columns.push(Column::Sheet {
            bed: self.bed,
            strips: rooms,
        });
        columns
    }
}

/// Puts the strips of columns on their sheets: by falling width, each into the widest room that is left. Pieces beyond the
/// demand are left out, and strips and sheets from which nothing is cut.
///
/// # Panics
/// Where the columns have more strips than sheets with room for them.
pub(super) fn load(model: &Model, used: &Used) -> Vec<Loaded> {
    let mut sheets: Vec<Loaded> = Vec::new();
    // By lane: `(class, sheet)` of rooms, `(class, pieces)` of strips.
    let mut rooms: Vec<Vec<(usize, usize)>> = vec![Vec::new(); model.lanes.len()];
    let mut strips: Vec<Vec<(usize, &Pieces)>> = vec![Vec::new(); model.lanes.len()];
    let each = used
        .iter()
        .flat_map(|(column, times)| std::iter::repeat_n(column, *times as usize));
    for column in each {
        match column {
            Column::Sheet { bed, strips } => {
                let own = &mut rooms[model.beds[*bed].lane];
                for &(class, count) in strips {
                    own.extend(std::iter::repeat_n((class, sheets.len()), count as usize));
                }
                sheets.push(Loaded {
                    bed: *bed,
                    strips: Vec::new(),
                });
            }
            Column::Strip {
                lane,
                class,
                pieces,
            } => strips[*lane].push((*class, pieces)),
            Column::Missing { .. } => {}
        }
    }
    let mut left: Vec<u32> = model.items.iter().map(|item| item.demand).collect();
    for (rooms, strips) in rooms.iter_mut().zip(&mut strips) {
        rooms.sort_by_key(|&(class, sheet)| (Reverse(class), sheet));
        strips.sort_by_key(|&(class, _)| Reverse(class));
        assert!(strips.len() <= rooms.len(), "each strip has a room");
        for (&(wide, sheet), &mut (class, pieces)) in rooms.iter().zip(strips) {
            assert!(class <= wide, "no strip is wider than its room");
            let pieces = wanted(pieces, &mut left);
            if !pieces.is_empty() {
                sheets[sheet].strips.push((class, pieces));
            }
        }
    }
    sheets.retain(|sheet| !sheet.strips.is_empty());
    sheets
}

/// The pieces that are still wanted, which then are so no more.
fn wanted(pieces: &Pieces, left: &mut [u32]) -> Pieces {
    let taken = pieces.iter().map(|&(item, count)| {
        let count = count.min(left[item]);
        left[item] -= count;
        (item, count)
    });
    taken.filter(|entry| entry.1 > 0).collect()
}
