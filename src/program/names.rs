//! Names that every reader of the format takes: letters, digits and underscores, each name once.

use std::collections::BTreeSet;

/// A name is cut off here, before its number; the format allows 255.
const LONGEST: usize = 60;

/// The names given so far, in lower case, as some readers do not tell capitals apart.
#[derive(Default)]
pub(super) struct Names {
    given: BTreeSet<String>,
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
        let mut number = 1_u64;
        while !self.given.insert(name.to_ascii_lowercase()) {
            number += 1;
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
        assert_eq!(ascii("a\\nb\nc\u{202e}"), "a\\nb?c?");
    }
}
