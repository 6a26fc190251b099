//! How files come in: only the command line touches the disk, so it is told to this module as [`Files`].

use std::io;
use std::path::Path;

use crate::job::Texts;

#[cfg(doc)]
use super::limits::LARGEST_FILE;

/// Where the texts of a job come from.
///
/// `load` asks once for the job file, and once for each table that it names, with paths relative to the working
/// directory or absolute.
/// A path may name a sheet behind its file, as in `list.xlsx#Pictures`: see [`super::file_and_sheet`]. Whoever has the
/// file gives its bytes; whoever has kept the text of the sheet ([`super::table_text`]) gives that.
pub trait Files {
    /// All bytes of a file.
    ///
    /// The size is to be looked up before anything is read, and a file above [`LARGEST_FILE`] left unread.
    ///
    /// # Errors
    /// [`FileFault`] if there is nothing to be read.
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault>;

    /// All bytes of a file of the job's shop, which is to lie in `folder` or below it: the shop's own file, or a table that
    /// this one names. `folder` is that of the job, or one above it.
    ///
    /// Where files may lie anywhere, this is [`Files::read`].
    ///
    /// # Errors
    /// As [`Files::read`].
    fn read_of_shop(&self, path: &Path, folder: &Path) -> Result<Vec<u8>, FileFault> {
        let _ = folder;
        self.read(path)
    }
}

/// The files of a job as they were when it was read before.
impl Files for Texts {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        let text = self.text(path).ok_or(FileFault::Missing)?;
        Ok(text.as_bytes().to_vec())
    }
}

/// Why a file gave no bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileFault {
    /// There is no such file.
    Missing,
    /// It is a directory.
    Directory,
    /// It is a pipe, a socket or a device.
    Special,
    /// It lies outside of the folder of the job, which the user has not allowed.
    Outside,
    /// The user may not read it.
    NotAllowed,
    /// It is larger than [`LARGEST_FILE`].
    TooLarge {
        /// Its size in bytes.
        size: u64,
    },
    /// The system could not read it.
    Unreadable(io::ErrorKind),
}
