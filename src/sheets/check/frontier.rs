//! What can be had within some room: pairs of size and worth of which none is both smaller and worth as much as another.

/// The pairs, rising in both.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Frontier(Vec<(i64, i128)>);

impl Frontier {
    /// Nothing taken, worth nothing.
    pub(super) fn start() -> Frontier {
        Frontier(vec![(0, 0)])
    }

    /// The most that can be had within a room.
    pub(super) fn within(&self, room: i64) -> Option<i128> {
        let n_fitting = self.0.partition_point(|&(size, _)| size <= room);
        let last = n_fitting.checked_sub(1)?;
        Some(self.0[last].1)
    }

    /// All pairs with something added, as far as they are within `room`.
    pub(super) fn with(&self, size: i64, worth: i128, room: i64) -> Frontier {
        let added = self
            .0
            .iter()
            .map(|&(own, value)| (own + size, value + worth));
        Frontier(added.take_while(|&(size, _)| size <= room).collect())
    }

    /// The pairs of both.
    pub(super) fn or(&self, other: &Frontier) -> Frontier {
        let mut pairs = Vec::with_capacity(self.0.len() + other.0.len());
        let (mut one, mut two) = (self.0.iter().peekable(), other.0.iter().peekable());
        loop {
            let next = match (one.peek(), two.peek()) {
                (Some(first), Some(second)) if first.0 <= second.0 => one.next(),
                (_, Some(_)) => two.next(),
                (Some(_), None) => one.next(),
                (None, None) => break,
            };
            let &(size, worth) = next.expect("one of both was there");
            match pairs.last_mut() {
                Some(&mut (_, before)) if before >= worth => {}
                Some(last) if last.0 == size => *last = (size, worth),
                _ => pairs.push((size, worth)),
            }
        }
        Frontier(pairs)
    }

    /// The sizes, rising.
    pub(super) fn sizes(&self) -> impl Iterator<Item = i64> {
        self.0.iter().map(|&(size, _)| size)
    }

    /// Number of pairs.
    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether nothing fits.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_larger_and_worth_no_more_falls_away() {
        let one = Frontier(vec![(0, 0), (4, 5), (9, 9)]);
        let other = Frontier(vec![(4, 6), (5, 6), (8, 10)]);
        assert_eq!(one.or(&other), Frontier(vec![(0, 0), (4, 6), (8, 10)]));
        assert_eq!(one.with(3, 2, 10), Frontier(vec![(3, 2), (7, 7)]));
        assert_eq!(one.within(8), Some(5));
        assert_eq!(Frontier::default().within(8), None);
    }
}
