//! Names that every reader of the format takes: letters, digits and underscores, each name once.

use std::collections::{BTreeMap, BTreeSet};

/// A name is cut off here, before its number; the format allows 255.
const LONGEST: usize = 60;

/// The names given so far, in lower case, as some readers do not tell capitals apart.
#[derive(Default)]
pub(super) struct Names {
    given: BTreeSet<String>,
    /// The last number that was tried behind the same words, so that many equal names are not counted through anew.
    last: BTreeMap<String, u64>,
}

impl Names {
    /// A name of these words that was not given before. The first word is one of ours, so no name begins with a digit, or as a
    /// number does.
    pub(super) fn new_name(&mut self, words: &str) -> String {
        let mut base = String::new();
        for sign in words.chars() {
            let is_plain = sign.is_ascii_alphanumeric();
            if is_plain || !base.ends_with('_') {
                base.push(if is_plain { sign } else { '_' });
            }
            if base.len() == LONGEST {
                break;
            }
        }
        let base = base.trim_end_matches('_').to_owned();
        let mut name = base.clone();
        while !self.given.insert(name.to_ascii_lowercase()) {
            let number = self.last.entry(base.to_ascii_lowercase()).or_insert(1);
            *number += 1;
            name = format!("{base}_n{number}");
        }
        name
    }
}

/// A text for a comment: one line of plain signs, `?` for all others.
pub(super) fn ascii(text: &str) -> String {
    let signs = text.chars().take(120);
    signs
        .map(|sign| {
            if sign == ' ' || sign.is_ascii_graphic() {
                sign
            } else {
                '?'
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_plain_and_unlike_each_other() {
        let mut names = Names::default();
        assert_eq!(
            names.new_name("need Große Tür, oben"),
            "need_Gro_e_T_r_oben"
        );
        assert_eq!(
            names.new_name("need GRO_E T:r oben!"),
            "need_GRO_E_T_r_oben_n2"
        );
        assert_eq!(names.new_name("take 6 ft"), "take_6_ft");
        assert_eq!(names.new_name("take 6/ft "), "take_6_ft_n2");
        let long = names.new_name(&format!("cut {}", "x".repeat(500)));
        assert_eq!(long.len(), LONGEST);
        assert_ne!(names.new_name(&format!("cut {}", "x".repeat(400))), long);
        // A number that was given by words is not given again.
        for (words, name) in [
            ("cap n2", "cap_n2"),
            ("cap", "cap"),
            ("Cap", "Cap_n3"),
            ("cap", "cap_n4"),
        ] {
            assert_eq!(names.new_name(words), name);
        }
        assert_eq!(ascii("a\\nb\nc\u{202e}"), "a\\nb?c?");
    }
    /// Counted from 1 for each, that would be more than a thousand million tries.
    #[test]
    fn many_equal_names_are_told_apart_in_no_time() {
        let mut names = Names::default();
        let all: BTreeSet<String> = (0..50_000).map(|_| names.new_name("cut rail")).collect();
        assert_eq!(all.len(), 50_000);
        assert!(all.contains("cut_rail") && all.contains("cut_rail_n50000"));
    }
}
