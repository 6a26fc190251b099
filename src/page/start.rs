//! Before a job is open: the jobs of the folder, or a beginning.

use askama::Template;

use super::state::State;

#[derive(Template)]
#[template(path = "start.html", config = "src/page/askama.toml")]
struct Start {
    jobs: Vec<Choice>,
}

struct Choice {
    name: String,
    deed: String,
}

/// Which job to open.
pub(super) fn view(state: &State) -> askama::Result<String> {
    let jobs = state.jobs.iter().map(|path| {
        let name = path.display().to_string();
        Choice {
            deed: serde_json::json!({ "open": { "job": name } }).to_string(),
            name,
        }
    });
    Start {
        jobs: jobs.collect(),
    }
    .render()
}
