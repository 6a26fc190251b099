//! The starter job: a small one that plans as it stands, with every setting explained.

use super::files::Output;

/// The files of the starter job.
pub(super) fn outputs() -> Vec<Output> {
    let file = |name, text: &str| Output {
        name,
        text: text.to_owned(),
    };
    vec![
        file("job.toml", include_str!("../../data/starter/job.toml")),
        file("frames.csv", include_str!("../../data/starter/frames.csv")),
        file("pieces.csv", include_str!("../../data/starter/pieces.csv")),
        file("boards.csv", include_str!("../../data/starter/boards.csv")),
        file("rack.csv", include_str!("../../data/starter/rack.csv")),
    ]
}
