//! The jobs of the folder, and the beginning of another one by a few questions.

use std::path::Path;

use askama::Template;

use super::state::State;

/// So many lines are there to be filled in; more are typed on the desk.
const N_BOARDS: usize = 3;
const N_PICTURES: usize = 5;

#[derive(Template)]
#[template(path = "start.html", config = "src/page/askama.toml")]
struct Start {
    jobs: Vec<Choice>,
    boards: Vec<usize>,
    pictures: Vec<usize>,
}

struct Choice {
    /// Its folder, or where several jobs may lie in one, its file.
    name: String,
    path: String,
    deed: String,
    /// Whether it is the one that is worked at.
    is_open: bool,
}

/// Which job to open, and the questions from whose answers another begins.
pub(super) fn view(state: &State) -> askama::Result<String> {
    let jobs = state.jobs.iter().map(|path| {
        let folder = path.parent().and_then(Path::file_name);
        let folder = folder.filter(|_| path.ends_with("job.toml"));
        let name = folder.or(path.file_stem()).unwrap_or_default();
        let name = name.to_string_lossy().into_owned();
        let path_text = path.display().to_string();
        Choice {
            deed: serde_json::json!({ "open": { "job": path_text } }).to_string(),
            name,
            path: path_text,
            is_open: state.work.as_ref().is_some_and(|work| work.path == *path),
        }
    });
    Start {
        jobs: jobs.collect(),
        boards: (0..N_BOARDS).collect(),
        pictures: (0..N_PICTURES).collect(),
    }
    .render()
}
