//! Blanks at which lines are not broken where it can be helped.

/// A blank at which a line is broken only where it is wider than a whole line.
pub(crate) const TIED: char = '\u{a0}';

/// `text` with the blank within every mixed number tied, as `26` at the end of a line and `1/8` on the next read as another
/// length.
pub(crate) fn tie_mixed_numbers(text: &str) -> String {
    let is_fraction = |word: &str| {
        let parts = word.split_once('/');
        parts.is_some_and(|(above, below)| {
            !above.is_empty()
                && above.bytes().all(|digit| digit.is_ascii_digit())
                && below.starts_with(|first: char| first.is_ascii_digit())
        })
    };
    tie_to_figures(text, is_fraction)
}

/// `text` with each word that belongs to a figure tied to the figure before it.
pub(crate) fn tie_to_figures(text: &str, belongs: impl Fn(&str) -> bool) -> String {
    let mut tied = String::with_capacity(text.len());
    for (idx, word) in text.split(' ').enumerate() {
        if idx > 0 {
            let is_figure = tied.ends_with(|last: char| last.is_ascii_digit());
            tied.push(if is_figure && belongs(word) {
                TIED
            } else {
                ' '
            });
        }
        tied.push_str(word);
    }
    tied
}

#[cfg(test)]
mod tests {
    use super::tie_mixed_numbers;

    #[test]
    fn the_blank_of_a_mixed_number_is_tied_and_no_other() {
        // Derived.
        let tied = tie_mixed_numbers("a board of 26 1/8 in, or 2 of 3/4, A 1/2 × 17 1/2; 5 a/b");
        let expected = "a board of 26\u{a0}1/8 in, or 2 of 3/4, A 1/2 × 17\u{a0}1/2; 5 a/b";
        assert_eq!(tied, expected);
    }
}
