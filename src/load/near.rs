//! The name that was probably meant.

use super::limits::{LONGEST_COMPARED, MOST_LISTED};
use crate::diag::quoted;

/// A hint naming the candidate nearest to `word`, if one is near: at most a third of its letters wrong.
///
/// Of equally near ones the first is taken.
pub fn did_you_mean<'c>(
    word: &str,
    candidates: impl IntoIterator<Item = &'c str>,
) -> Option<String> {
    let n_letters = word.chars().count();
    if n_letters > LONGEST_COMPARED {
        return None;
    }
    let word = word.to_lowercase();
    let allowed = (n_letters / 3).max(1);
    candidates
        .into_iter()
        .filter(|candidate| candidate.chars().count() <= LONGEST_COMPARED)
        .map(|candidate| {
            let distance = strsim::damerau_levenshtein(&word, &candidate.to_lowercase());
            (distance, candidate)
        })
        .filter(|(distance, candidate)| {
            *distance <= allowed && *distance < candidate.chars().count()
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| format!("did you mean {}?", quoted(candidate)))
}

/// A hint naming the nearest candidate or, where none is near, all of them if they are few enough to be read.
///
/// `kind` begins the list, such as `columns are`.
pub(super) fn nearest_or_all(word: &str, kind: &str, candidates: &[&str]) -> Option<String> {
    did_you_mean(word, candidates.iter().copied()).or_else(|| {
        let all: Vec<String> = candidates.iter().map(|name| quoted(name)).collect();
        (1..=MOST_LISTED)
            .contains(&all.len())
            .then(|| format!("{kind} {}", all.join(", ")))
    })
}

/// Names in a sentence, as many as can be read, and how many more there are.
pub(super) fn few(mut names: Vec<String>, between: &str) -> String {
    let n_more = names.len().saturating_sub(MOST_LISTED);
    names.truncate(MOST_LISTED);
    let shown = names.join(between);
    match n_more {
        0 => shown,
        _ => format!("{shown} and {n_more} more"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_list_is_longer_than_can_be_read() {
        let names = |count: usize| (0..count).map(|idx| format!("c{idx}")).collect();
        assert_eq!(few(names(2), ", "), "c0, c1");
        assert!(few(names(24), ", ").ends_with(", c23"));
        assert!(few(names(2_014), ", ").ends_with(", c23 and 1990 more"));
    }

    #[test]
    fn the_nearest_name_is_suggested_if_it_is_near() {
        let names = ["face-width", "lip", "rabbet-depth"];
        let hint = |word| did_you_mean(word, names);
        assert_eq!(
            hint("face_width"),
            Some("did you mean `face-width`?".to_owned())
        );
        assert_eq!(hint("LIP"), Some("did you mean `lip`?".to_owned()));
        assert_eq!(hint("lpi"), Some("did you mean `lip`?".to_owned()));
        assert_eq!(
            hint("rabet-depht"),
            Some("did you mean `rabbet-depth`?".to_owned())
        );
        assert_eq!(hint("color"), None);
        assert_eq!(hint("x"), None);
        assert_eq!(hint(&"lip".repeat(1000)), None);
    }
}
