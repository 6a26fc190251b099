//! The desk: what the files of the job hold, and what is wrong with them.

use askama::Template;

use crate::diag::{Severity, render};

use super::state::Work;

#[derive(Template)]
#[template(path = "desk.html", config = "src/page/askama.toml")]
struct Desk {
    faults: Option<String>,
    is_faulty: bool,
    files: Vec<File>,
}

struct File {
    name: String,
    text: String,
}

/// The files, with their faults before them.
pub(super) fn view(work: &Work) -> askama::Result<String> {
    let diagnostics = &work.diagnostics;
    let files = work.texts.files().iter().map(|file| File {
        name: file.path.display().to_string(),
        text: file.text.clone(),
    });
    Desk {
        faults: (!diagnostics.is_empty()).then(|| render(diagnostics, false)),
        is_faulty: diagnostics
            .iter()
            .any(|found| found.severity == Severity::Error),
        files: files.collect(),
    }
    .render()
}
