//! The working directory, which is that of the package when tests run.

use std::path::Path;
use std::{fs, io};

use longpoint::load::{FileFault, Files};

/// Reads files as they lie there.
pub(crate) struct Disk;

impl Files for Disk {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        if path.is_dir() {
            return Err(FileFault::Directory);
        }
        fs::read(path).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => FileFault::Missing,
            kind => FileFault::Unreadable(kind),
        })
    }
}
