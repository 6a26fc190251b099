//! The files of a job as texts in memory.

use std::collections::BTreeMap;
use std::path::Path;

use longpoint::load::{FileFault, Files};

/// Texts by file name; the job file is `job.toml`.
#[derive(Clone, Default)]
pub(crate) struct Texts(pub(crate) BTreeMap<&'static str, String>);

impl<const N: usize> From<[(&'static str, String); N]> for Texts {
    fn from(files: [(&'static str, String); N]) -> Texts {
        Texts(BTreeMap::from(files))
    }
}

impl Files for Texts {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        let text = path.to_str().and_then(|name| self.0.get(name));
        text.map(|text| text.clone().into_bytes())
            .ok_or(FileFault::Missing)
    }
}
