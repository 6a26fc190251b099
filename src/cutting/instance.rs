//! What is to be cut, and from what.

use std::ops::Rem;

/// A whole cutting-stock instance; immutable once made.
///
/// Indices (`usize`) into the three vectors name items, strips and stocks everywhere in `cutting` and `solve`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Instance {
    /// What is to be cut.
    pub items: Vec<Item>,
    /// Kinds of strip that stocks can yield.
    pub strips: Vec<Strip>,
    /// What it can be cut from.
    pub stocks: Vec<Stock>,
}

/// A size that is to be cut some number of times.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Item {
    /// What one takes from a strip's capacity, its kerf included, in nanometers; positive.
    pub size: i64,
    /// How many are needed, 1 or more.
    pub demand: u32,
    /// How many pieces are missing when one of this item is: 1, or the length of a chain kept together.
    pub pieces: u32,
}

/// A kind of strip: a capacity and the items that may be cut from it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Strip {
    /// Usable length plus the one kerf that the last item does not need, in nanometers.
    pub capacity: i64,
    /// Indices of the items that may lie on it, rising.
    pub items: Vec<usize>,
}

/// A kind of board.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stock {
    /// Cost of using one, in units of the objective (minor units of money, or nanometers); 0 or more.
    pub cost: i64,
    /// Board length, for ties in cost; 0 or more.
    pub length: i64,
    /// How many there are; `None` means as many as needed.
    pub supply: Option<u32>,
    /// The ways to divide it into strips; one of them is chosen for each board.
    pub layouts: Vec<Layout>,
}

/// One way to divide a stock into strips.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Layout {
    /// Indices of the strips it yields, repeated where it yields several alike.
    /// A board that is one strip has exactly one entry.
    pub strips: Vec<usize>,
    /// Whether the stock stays as it lies: it then costs nothing, but there is one less of it.
    pub kept: bool,
    /// Which layouts of its stock it belongs with: of one group are those that are not told apart where it is asked what a board
    /// may hold together; such as all ways to rip it.
    pub group: usize,
}

impl Stock {
    /// Cost of using one in this layout.
    ///
    /// # Panics
    /// If there is no such layout.
    #[must_use]
    pub fn cost_in(&self, layout: usize) -> i64 {
        if self.layouts[layout].kept {
            0
        } else {
            self.cost
        }
    }
}

/// The greatest common divisor of two whole numbers that are not negative; 0 only of two zeros.
#[must_use]
pub fn common_divisor<T: Copy + Default + PartialEq + Rem<Output = T>>(
    mut one: T,
    mut other: T,
) -> T {
    while other != T::default() {
        (one, other) = (other, one % other);
    }
    one
}

impl Instance {
    /// How many pieces are missing when `missing[i]` of item `i` are.
    #[must_use]
    pub fn pieces(&self, missing: &[u32]) -> u64 {
        let items = self.items.iter().zip(missing);
        items
            .map(|(item, &count)| u64::from(item.pieces) * u64::from(count))
            .sum()
    }
}
