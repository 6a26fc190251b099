//! Strips that are fixed put on sheets: the widest first, each into the narrowest room that is left or a new sheet, going
//! back a limited number of times.

use super::columns::Column;
use super::loaded::Used;
use super::model::Model;
use super::params::PACK_NODES;
use crate::solve::meter::Meter;

/// A sheet on which strips lie.
struct Open {
    bed: usize,
    left: i64,
    /// Classes of the strips on it.
    strips: Vec<usize>,
}

/// A search for sheets.
struct Packing<'a> {
    model: &'a Model,
    /// `(lane, class)` by falling width.
    strips: Vec<(usize, usize)>,
    /// By kind.
    supply: Vec<u32>,
    sheets: Vec<Open>,
    cost: i64,
    /// Only what costs less is of interest.
    cutoff: i64,
    nodes_left: u32,
}

/// A sheet for each strip, within the supply and cheaper than `cutoff`, if one is found.
pub(super) fn pack(
    model: &Model,
    strips: &[(usize, usize)],
    cutoff: i64,
    meter: &Meter<'_>,
) -> Option<Used> {
    let mut strips = strips.to_vec();
    strips.sort_by_key(|&(lane, class)| (std::cmp::Reverse(model.lanes[lane].widths[class]), lane));
    let mut packing = Packing {
        model,
        strips,
        supply: model.kinds.iter().map(|kind| kind.limit).collect(),
        sheets: Vec::new(),
        cost: 0,
        cutoff,
        nodes_left: PACK_NODES,
    };
    let is_found = packing.place(0);
    meter.spend(u64::from(PACK_NODES - packing.nodes_left) * 20);
    is_found.then(|| {
        packing
            .sheets
            .iter()
            .map(|sheet| (column(sheet), 1))
            .collect()
    })
}

fn column(sheet: &Open) -> Column {
    let mut strips = Vec::new();
    for &class in &sheet.strips {
        crate::cutting::add_count(&mut strips, class, 1);
    }
    Column::Sheet {
        bed: sheet.bed,
        strips,
    }
}

impl Packing<'_> {
    /// Puts the strips from `first` on somewhere.
    fn place(&mut self, first: usize) -> bool {
        if self.cost >= self.cutoff {
            return false;
        }
        let Some(&(lane, class)) = self.strips.get(first) else {
            return true;
        };
        if self.nodes_left == 0 {
            return false;
        }
        self.nodes_left -= 1;
        let width = self.model.lanes[lane].widths[class];
        // Rooms that are alike need but one try.
        let mut rooms: Vec<(i64, usize, usize)> = Vec::new();
        for (idx, sheet) in self.sheets.iter().enumerate() {
            let is_new = rooms
                .iter()
                .all(|&(left, bed, _)| (left, bed) != (sheet.left, sheet.bed));
            if self.model.beds[sheet.bed].lane == lane && sheet.left >= width && is_new {
                rooms.push((sheet.left, sheet.bed, idx));
            }
        }
        rooms.sort_unstable();
        for (_, _, idx) in rooms {
            self.sheets[idx].left -= width;
            self.sheets[idx].strips.push(class);
            if self.place(first + 1) {
                return true;
            }
            self.sheets[idx].strips.pop();
            self.sheets[idx].left += width;
        }
        let model = self.model;
        let mut beds: Vec<usize> = model.lanes[lane].beds.clone();
        beds.sort_by_key(|&bed| {
            (
                model.kinds[model.beds[bed].kind].price,
                model.beds[bed].room,
            )
        });
        for bed in beds {
            let kind = model.beds[bed].kind;
            if model.beds[bed].room < width || self.supply[kind] == 0 {
                continue;
            }
            self.supply[kind] -= 1;
            self.cost += model.kinds[kind].price;
            self.sheets.push(Open {
                bed,
                left: model.beds[bed].room - width,
                strips: vec![class],
            });
            if self.place(first + 1) {
                return true;
            }
            self.sheets.pop();
            self.cost -= model.kinds[kind].price;
            self.supply[kind] += 1;
        }
        false
    }
}
