//! The texts that a job was read from, so that it can be read again whatever becomes of its files.

use std::path::{Path, PathBuf};

/// One of the files of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileText {
    /// Its path from the folder of the job file; or as it was named, where it lies elsewhere.
    pub path: PathBuf,
    /// All of it.
    pub text: String,
}

/// The files of a job, the job file itself first; empty of a job that was read from none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Texts(Vec<FileText>);

impl Texts {
    /// Of these files, the job file first.
    pub fn new(files: Vec<FileText>) -> Texts {
        Texts(files)
    }

    /// Whether the job was read from no file.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// All files, the job file first.
    pub fn files(&self) -> &[FileText] {
        &self.0
    }

    /// The path of the job file; `None` where there is none.
    pub fn job_path(&self) -> Option<&Path> {
        self.0.first().map(|file| file.path.as_path())
    }

    /// The text of the file that a job asks for by `path`, by its own path or, where the job names it from the root of the
    /// disk, by the end of that.
    pub fn text(&self, path: &Path) -> Option<&str> {
        let by = |is_it: &dyn Fn(&FileText) -> bool| self.0.iter().find(|file| is_it(file));
        let found = by(&|file| file.path == path).or_else(|| {
            path.is_absolute()
                .then(|| by(&|file| path.ends_with(&file.path)))
                .flatten()
        });
        found.map(|file| file.text.as_str())
    }
}
