//! The disk, as `load` asks for it.

use std::cell::RefCell;
use std::fs;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use crate::load::{FileFault, Files, LARGEST_FILE};

/// Reads files, and remembers which.
#[derive(Debug, Default)]
pub(super) struct Disk {
    read: RefCell<Vec<PathBuf>>,
}

impl Disk {
    /// Every file that was read, so that none of them is written over.
    pub(super) fn into_read(self) -> Vec<PathBuf> {
        self.read.into_inner()
    }
}

impl Files for Disk {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        self.read.borrow_mut().push(path.to_path_buf());
        let about = fs::metadata(path).map_err(|error| fault(&error))?;
        if about.is_dir() {
            return Err(FileFault::Directory);
        }
        if about.len() > LARGEST_FILE {
            return Err(FileFault::TooLarge { size: about.len() });
        }
        // A device or a growing file may give more than its stated size: stop one byte beyond the limit.
        let mut bytes = Vec::new();
        let file = fs::File::open(path).map_err(|error| fault(&error))?;
        file.take(LARGEST_FILE + 1)
            .read_to_end(&mut bytes)
            .map_err(|error| fault(&error))?;
        let size = bytes.len() as u64;
        if size > LARGEST_FILE {
            Err(FileFault::TooLarge { size })
        } else {
            Ok(bytes)
        }
    }
}

/// The text of one file.
///
/// # Errors
/// Why there is none, in words.
pub(super) fn read_text(path: &Path) -> Result<String, String> {
    let bytes = Disk::default().read(path).map_err(|fault| match fault {
        FileFault::Missing => "there is no such file".to_owned(),
        FileFault::Directory => "a directory, not a file".to_owned(),
        FileFault::NotAllowed => "may not be read".to_owned(),
        FileFault::TooLarge { size } => format!("too large ({size} bytes)"),
        FileFault::Unreadable(kind) => format!("cannot be read: {kind}"),
    })?;
    String::from_utf8(bytes).map_err(|_| "not UTF-8 text".to_owned())
}

fn fault(error: &io::Error) -> FileFault {
    match error.kind() {
        io::ErrorKind::NotFound => FileFault::Missing,
        io::ErrorKind::PermissionDenied => FileFault::NotAllowed,
        io::ErrorKind::IsADirectory => FileFault::Directory,
        kind => FileFault::Unreadable(kind),
    }
}
