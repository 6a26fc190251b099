//! The disk, as `load` asks for it.

use std::cell::{Cell, RefCell};
use std::fs;
use std::io::{self, Read as _};
use std::path::{Component, Path, PathBuf};

use crate::diag::{Place, STANDARD_INPUT};
use crate::job::{FileText, Texts};
use crate::load::{FileFault, Files, LARGEST_FILE, file_and_sheet, table_text};

/// Reads files, and remembers which.
///
/// The file that was typed may be any; a file that it names lies in its folder or below, one that its shop names in that
/// folder or below, unless more is allowed, so that a stranger's job cannot look at what is not its own. Pipes and devices are not read: they may never end, and what is
/// read from a pipe is gone from it.
#[derive(Debug)]
pub(super) struct Disk {
    typed: PathBuf,
    /// Whether files may lie anywhere.
    is_free: bool,
    read: RefCell<Vec<PathBuf>>,
    /// What was read, in that order.
    texts: RefCell<Vec<FileText>>,
    /// Whether `-` is standard input; it is read once, and a table of that name is a file like any other.
    takes_input: Cell<bool>,
}

impl Disk {
    /// The disk for the file that was typed, and for those that it names.
    pub(super) fn new(typed: &Path) -> Disk {
        Disk {
            typed: typed.to_path_buf(),
            is_free: false,
            read: RefCell::default(),
            texts: RefCell::default(),
            takes_input: Cell::new(typed == Path::new(STANDARD_INPUT)),
        }
    }

    /// The same, which reads tables wherever they lie if `is_free`.
    pub(super) fn anywhere(self, is_free: bool) -> Disk {
        Disk { is_free, ..self }
    }

    /// Whether a file may be read: the typed one, or one in or below a folder, also when links are followed.
    fn may_read(&self, path: &Path, folder: &Path) -> bool {
        if self.is_free || path == self.typed {
            return true;
        }
        let Ok(below) = path.strip_prefix(folder) else {
            return false;
        };
        let is_below = below
            .components()
            .all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
        let folder = if folder == Path::new("") {
            Path::new(".")
        } else {
            folder
        };
        // What is not there is told to be missing; a link that leads nowhere as well.
        is_below
            && match (folder.canonicalize(), path.canonicalize()) {
                (Ok(folder), Ok(path)) => path.starts_with(folder),
                _ => true,
            }
    }

    /// Every file that was read, so that none of them is written over.
    pub(super) fn into_read(self) -> Vec<PathBuf> {
        self.read.into_inner()
    }

    /// What has been read so far, each file by its path from the folder of the one that was typed.
    pub(super) fn texts(&self) -> Texts {
        Texts::new(self.texts.borrow().clone())
    }

    /// Notes what was read, a table of an older program or in a workbook as the text that it has for its readers; what is no
    /// text is told by the reader.
    fn note(&self, path: &Path, bytes: Vec<u8>) -> Vec<u8> {
        let folder = self.typed.parent().unwrap_or(Path::new(""));
        let text = match str::from_utf8(&bytes) {
            Ok(text) => Some(text.to_owned()),
            Err(_) => table_text(path, &bytes),
        };
        if let Some(text) = text {
            self.texts.borrow_mut().push(FileText {
                path: from_folder(folder, path),
                text,
            });
        }
        bytes
    }

    fn bytes(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        if path == Path::new(STANDARD_INPUT) && self.takes_input.replace(false) {
            return read_limited(io::stdin().lock());
        }
        let folder = self.typed.parent().unwrap_or(Path::new(""));
        self.read_below(path, folder)
    }
}

impl Disk {
    /// The bytes of a file that must lie in a folder or below it.
    fn read_below(&self, path: &Path, folder: &Path) -> Result<Vec<u8>, FileFault> {
        let (path, _) = file_and_sheet(path);
        let path = path.as_path();
        if !self.may_read(path, folder) {
            return Err(FileFault::Outside);
        }
        self.read.borrow_mut().push(path.to_path_buf());
        let about = fs::metadata(path).map_err(|error| fault(&error))?;
        if about.is_dir() {
            return Err(FileFault::Directory);
        }
        if !about.is_file() {
            return Err(FileFault::Special);
        }
        if about.len() > LARGEST_FILE {
            return Err(FileFault::TooLarge { size: about.len() });
        }
        read_limited(fs::File::open(path).map_err(|error| fault(&error))?)
    }
}

/// A path as one would name it from a folder: with `..` for what lies above, as the file of a shop does.
fn from_folder(folder: &Path, path: &Path) -> PathBuf {
    let shared = folder.components().zip(path.components());
    let shared = shared.take_while(|(one, other)| one == other).count();
    let up = folder.components().skip(shared);
    let up: Vec<Component<'_>> = up.collect();
    if up.iter().any(|part| !matches!(part, Component::Normal(_))) {
        return path.to_path_buf();
    }
    let above = up.iter().map(|_| Component::ParentDir);
    above.chain(path.components().skip(shared)).collect()
}

impl Files for Disk {
    fn read_of_shop(&self, path: &Path, folder: &Path) -> Result<Vec<u8>, FileFault> {
        let bytes = self.read_below(path, folder);
        bytes.map(|bytes| self.note(path, bytes))
    }

    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        self.bytes(path).map(|bytes| self.note(path, bytes))
    }
}

/// All bytes; a device or a growing file may give more than its stated size, so reading stops one byte beyond the limit.
fn read_limited(from: impl io::Read) -> Result<Vec<u8>, FileFault> {
    let mut bytes = Vec::new();
    from.take(LARGEST_FILE + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| fault(&error))?;
    let size = bytes.len() as u64;
    if size > LARGEST_FILE {
        Err(FileFault::TooLarge { size })
    } else {
        Ok(bytes)
    }
}

/// Refuses that several files are read from standard input, which holds one.
///
/// # Errors
/// What is wrong, in words.
pub(super) fn check_one_input(typed: &[&Path]) -> Result<(), String> {
    let from_input = typed
        .iter()
        .filter(|path| **path == Path::new(STANDARD_INPUT));
    if from_input.count() > 1 {
        Err("only one file can be read from standard input: give `-` once".to_owned())
    } else {
        Ok(())
    }
}

/// What was typed for a file, as it is shown.
pub(super) fn shown(path: &Path) -> String {
    Place::File(path.to_path_buf()).to_string()
}

/// The text of one file.
///
/// # Errors
/// Why there is none, in words.
pub(super) fn read_text(path: &Path) -> Result<String, String> {
    let bytes = Disk::new(path).read(path).map_err(|fault| match fault {
        FileFault::Missing => "there is no such file".to_owned(),
        FileFault::Directory => "a directory, not a file".to_owned(),
        FileFault::Special => "a pipe or a device, not a file; `-` reads standard input".to_owned(),
        FileFault::Outside | FileFault::NotAllowed => "may not be read".to_owned(),
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
