//! From which boards the rails of a frame may be cut, where that is wished.

use std::collections::BTreeSet;

/// The lines of boards that somebody has chosen for a frame; unless chosen, any that suits will do.
///
/// Boards that are chosen for one frame may serve others as well.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct ChosenBoards(Option<BTreeSet<usize>>);

impl ChosenBoards {
    /// Any board that suits.
    pub const ANY: ChosenBoards = ChosenBoards(None);

    /// None but these, which are indices into `Job::boards`.
    pub fn only(board_indices: impl IntoIterator<Item = usize>) -> ChosenBoards {
        ChosenBoards(Some(board_indices.into_iter().collect()))
    }

    /// The chosen ones, as indices into `Job::boards`, rising; `None` where nothing is chosen.
    pub fn chosen(&self) -> Option<impl Iterator<Item = usize> + '_> {
        self.0.as_ref().map(|chosen| chosen.iter().copied())
    }

    /// Whether the board of this index may be taken.
    pub fn allow(&self, board_idx: usize) -> bool {
        let chosen = self.0.as_ref();
        chosen.is_none_or(|chosen| chosen.contains(&board_idx))
    }

    /// The same choice among other boards: of `n_boards` those for which `is_one_of` says that they are one of the boards
    /// chosen here.
    #[must_use]
    pub fn among(&self, n_boards: usize, is_one_of: impl Fn(usize, usize) -> bool) -> ChosenBoards {
        self.0.as_ref().map_or(ChosenBoards::ANY, |chosen| {
            let is_chosen = |new: &usize| chosen.iter().any(|&old| is_one_of(*new, old));
            ChosenBoards::only((0..n_boards).filter(is_chosen))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn none_but_the_chosen_boards_are_allowed() {
        let chosen = ChosenBoards::only([0, 2]);
        let allowed = [0, 1, 2, 3].map(|idx| chosen.allow(idx));
        assert_eq!(allowed, [true, false, true, false]);
        assert!(ChosenBoards::ANY.allow(7));
    }

    #[test]
    fn a_choice_is_the_same_among_other_boards() {
        // The new list has the old ones in reverse order, and one more.
        let old_of = [Some(2), Some(1), Some(0), None];
        let is_one_of = |new: usize, old: usize| old_of[new] == Some(old);
        let chosen = ChosenBoards::only([1, 2]);
        assert_eq!(chosen.among(4, is_one_of), ChosenBoards::only([0, 1]));
        // What is on the new list no more is chosen all the same, so nothing is allowed.
        assert_eq!(chosen.among(0, is_one_of), ChosenBoards::only([]));
        assert_eq!(ChosenBoards::ANY.among(4, is_one_of), ChosenBoards::ANY);
    }
}
