//! Parts that share slanting cuts, every other one of them turned end for end.

use super::{BarCut, Row};
use crate::report::document::Tone;
use crate::report::text::ink::Glyphs;

/// Columns of a slanting cut in the upper and in the lower row.
type Slant = (usize, usize);

/// Draws one part of a run, whose outer edge takes the columns `from..to`, and returns its right end.
///
/// `left` is the cut it shares with its left neighbor, which is drawn already; without it the part has an end of its
/// own there.
pub(super) fn draw(
    (upper, lower): (&mut Row, &mut Row),
    left: Option<Slant>,
    (from, to): (usize, usize),
    cut: &BarCut,
    number: &str,
    glyphs: Glyphs,
) -> Slant {
    // One column a row, from the long point inwards.
    let slant = |long: usize, short: usize| {
        if cut.turned {
            (short, long)
        } else {
            (long, short)
        }
    };
    let (falling, rising) = if cut.turned {
        (glyphs.rising, glyphs.falling)
    } else {
        (glyphs.falling, glyphs.rising)
    };
    let left = left.unwrap_or_else(|| {
        let own = slant(from, from + 1);
        upper.put(own.0, falling, Tone::Plain);
        lower.put(own.1, falling, Tone::Plain);
        own
    });
    let right = slant(to.saturating_sub(1), to.saturating_sub(2));
    upper.put(right.0, rising, Tone::Plain);
    lower.put(right.1, rising, Tone::Plain);
    upper.center(left.0 + 1, right.0, number, Tone::Strong);
    lower.center(left.1 + 1, right.1, &cut.length_text, Tone::Plain);
    right
}
