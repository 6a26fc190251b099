//! The starter job: a small one that plans as it stands, with every setting explained.

use super::files::Output;
use crate::desk::starter;

/// The files of the starter job.
pub(super) fn outputs() -> Vec<Output> {
    let files = starter().into_iter();
    files
        .map(|(name, text)| Output {
            name,
            text: text.to_owned(),
        })
        .collect()
}
