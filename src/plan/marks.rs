//! Chalk marks: the letters that tell one board from another at the bench.

/// The letters in use: without I, O and Q, which are read as figures.
const LETTERS: &[u8; 23] = b"ABCDEFGHJKLMNPRSTUVWXYZ";

/// The mark of the board at this position, from 0: `A` to `Z`, then `AA`, `AB` and so on.
///
/// ```
/// use longpoint::plan::chalk_mark;
/// let marks: Vec<String> = [0, 8, 22, 23, 24].into_iter().map(chalk_mark).collect();
/// assert_eq!(marks, ["A", "J", "Z", "AA", "AB"]);
/// ```
pub fn chalk_mark(position: usize) -> String {
    let mut letters = Vec::new();
    // As many marks of one letter as there are letters come before the first of two, and so on.
    let mut left = position + 1;
    while left > 0 {
        left -= 1;
        letters.push(char::from(LETTERS[left % LETTERS.len()]));
        left /= LETTERS.len();
    }
    letters.iter().rev().collect()
}
