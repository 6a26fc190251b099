//! Patterns of a strip that nothing more can be added to.

/// Steps of the search for patterns; a strip for which it takes longer has too many to list.
const MOST_STEPS: usize = 2_000_000;

/// All ways to fill `capacity` with items of `(size, demand)`, each no more often than it is wanted, to which no item can be
/// added; each a count for every item. `None` if there are more than `most`.
///
/// Whatever fits is part of one of them, so nothing is lost where more may be cut than is wanted.
pub(super) fn maximal_patterns(
    capacity: i64,
    items: &[(i64, u32)],
    most: usize,
) -> Option<Vec<Vec<u32>>> {
    let mut search = Search {
        items,
        counts: vec![0; items.len()],
        found: Vec::new(),
        most,
        n_steps: 0,
    };
    if items.is_empty() {
        return Some(Vec::new());
    }
    search.fill(0, capacity)?;
    Some(search.found)
}

struct Search<'a> {
    items: &'a [(i64, u32)],
    counts: Vec<u32>,
    found: Vec<Vec<u32>>,
    most: usize,
    n_steps: usize,
}

impl Search<'_> {
    /// Chooses the counts from `at` on, with so much room.
    fn fill(&mut self, at: usize, room: i64) -> Option<()> {
        self.n_steps += 1;
        if self.n_steps > MOST_STEPS {
            return None;
        }
        let Some(&(size, demand)) = self.items.get(at) else {
            let mut all = self.items.iter().zip(&self.counts);
            if all.any(|(&(size, demand), &count)| count < demand && size <= room) {
                return Some(());
            }
            if self.found.len() == self.most {
                return None;
            }
            self.found.push(self.counts.clone());
            return Some(());
        };
        let fits = u32::try_from(room / size).unwrap_or(u32::MAX).min(demand);
        // Of the last item nothing less than all that fits is maximal.
        let least = if at + 1 == self.items.len() { fits } else { 0 };
        for count in (least..=fits).rev() {
            self.counts[at] = count;
            self.fill(at + 1, room - size * i64::from(count))?;
        }
        self.counts[at] = 0;
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 10 of 5, 4 and 3, wanted twice, twice, once: 5+5, 5+4, 5+3, 4+4, of which 4+3+... is 4+3 (room 3, 3 is wanted
    /// once) no more than 4+4 in room, and maximal as 4 does not fit: 7 + 4 = 11.
    #[test]
    fn maximal_patterns_by_hand() {
        let items = [(5, 2), (4, 2), (3, 1)];
        let found = maximal_patterns(10, &items, 10);
        let by_hand = [[2, 0, 0], [1, 1, 0], [1, 0, 1], [0, 2, 0], [0, 1, 1]];
        let by_hand: Vec<Vec<u32>> = by_hand.iter().map(|counts| counts.to_vec()).collect();
        assert_eq!(found, Some(by_hand));
        assert_eq!(maximal_patterns(10, &items, 4), None);
        assert_eq!(maximal_patterns(10, &[], 4), Some(Vec::new()));
    }
}
