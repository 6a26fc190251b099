//! A text changed in some places, and the rest of it byte for byte as it was.

use std::ops::Range;

/// Puts `with` where the bytes `at` are now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Splice {
    pub(super) at: Range<usize>,
    pub(super) with: String,
}

impl Splice {
    /// Puts a text in place of another.
    pub(super) fn new(at: Range<usize>, with: impl Into<String>) -> Splice {
        Splice {
            at,
            with: with.into(),
        }
    }

    /// Puts a text between two bytes.
    pub(super) fn insert(at: usize, with: impl Into<String>) -> Splice {
        Splice::new(at..at, with)
    }
}

/// The text with all splices made; those at one place stand in the order in which they are given.
///
/// # Panics
/// If two of them overlap.
pub(super) fn spliced(text: &str, mut splices: Vec<Splice>) -> String {
    splices.sort_by_key(|splice| (splice.at.start, splice.at.end));
    let mut made = String::with_capacity(text.len() + 64);
    let mut done = 0;
    for splice in splices {
        assert!(done <= splice.at.start, "splices never overlap");
        made.push_str(&text[done..splice.at.start]);
        made.push_str(&splice.with);
        done = splice.at.end;
    }
    made.push_str(&text[done..]);
    made
}

/// What ends the first line of a text, and so its others; a line feed where none is ended.
pub(super) fn line_end(text: &str) -> &'static str {
    match text.find(['\n', '\r']) {
        Some(at) if text[at..].starts_with("\r\n") => "\r\n",
        Some(at) if text[at..].starts_with('\r') => "\r",
        _ => "\n",
    }
}

/// Where the line begins in which a byte stands.
pub(super) fn line_start(text: &str, byte: usize) -> usize {
    text[..byte].rfind('\n').map_or(0, |end| end + 1)
}

/// Where the line ends in which a byte stands, before what ends it.
pub(super) fn line_stop(text: &str, byte: usize) -> usize {
    let rest = &text[byte..];
    let stop = rest.find('\n').unwrap_or(rest.len());
    let stop = byte + stop;
    if text[byte..stop].ends_with('\r') {
        stop - 1
    } else {
        stop
    }
}

/// Where the next line begins; the end of the text where there is none.
pub(super) fn next_line(text: &str, byte: usize) -> usize {
    text[byte..]
        .find('\n')
        .map_or(text.len(), |at| byte + at + 1)
}

/// The texts of some stretches, each put where another was: `order[i]` says whose text comes to the place of stretch `i`.
pub(super) fn permuted(text: &str, stretches: &[Range<usize>], order: &[usize]) -> Vec<Splice> {
    let places = stretches.iter().zip(order).enumerate();
    let moved = places.filter(|(idx, (_, from))| idx != *from);
    moved
        .map(|(_, (at, from))| Splice::new(at.clone(), &text[stretches[*from].clone()]))
        .collect()
}

/// The order of `n` things when one of them is moved: `order[i]` is the one that comes to place `i`.
pub(super) fn moved(n: usize, from: usize, to: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..n).collect();
    let one = order.remove(from);
    order.insert(to, one);
    order
}
