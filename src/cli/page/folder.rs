//! The folder that was opened: what jobs it has, the files of one of them, and changes of those. Nothing outside of it is read
//! or written, also where a link leads there.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};

use crate::cli::disk::{Disk, read_text, shown};
use crate::cli::files::{self, Exchange, Over, WriteFault};
use crate::diag::Diagnostic;
use crate::job::{Job, Texts};
use crate::load::{Boards, FileFault, Files, file_and_sheet, load_job};
use crate::page::{Edit, Step};

/// So many jobs are listed at most, and so many entries of a folder are looked at.
const MOST_JOBS: usize = 200;
const MOST_ENTRIES: usize = 5_000;

/// A file that was written as late as this may be written again within what a file system tells of time.
const FRESH: Duration = Duration::from_secs(3);

/// The folder.
#[derive(Debug)]
pub(super) struct Folder {
    /// As it was typed, so that faults name files as the other commands do.
    typed: PathBuf,
    /// Where it really lies.
    real: PathBuf,
}

/// The files of a job, read.
pub(super) struct Read {
    /// The job, if there are no faults.
    pub(super) job: Option<Arc<Job>>,
    /// Faults, or warnings.
    pub(super) diagnostics: Vec<Diagnostic>,
    /// All texts that were read.
    pub(super) texts: Texts,
    /// How each file looks from outside.
    pub(super) looks: Looks,
}

/// How files look from outside: when they were written last, and how long they are; `None` where there is none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Looks(Vec<(PathBuf, Look)>);

type Look = Option<(SystemTime, u64)>;

impl Looks {
    fn of(paths: impl IntoIterator<Item = PathBuf>) -> Looks {
        Looks(
            paths
                .into_iter()
                .map(|path| (look(&path), path))
                .map(|(look, path)| (path, look))
                .collect(),
        )
    }

    /// Whether any file may have become another since; one that was written just now may, though it looks the same.
    pub(super) fn may_differ(&self) -> bool {
        let is_fresh = |at: SystemTime| {
            SystemTime::now()
                .duration_since(at)
                .is_ok_and(|age| age < FRESH)
        };
        self.0.iter().any(|(path, before)| {
            let now = look(path);
            now != *before || now.is_some_and(|(at, _)| is_fresh(at))
        })
    }

    /// The same of some more files.
    pub(super) fn and(mut self, more: impl IntoIterator<Item = PathBuf>) -> Looks {
        self.0.append(&mut Looks::of(more).0);
        self
    }
}

fn look(path: &Path) -> Look {
    let about = fs::metadata(path).ok()?;
    Some((about.modified().ok()?, about.len()))
}

/// A disk that ends where the folder does.
struct Within<'f> {
    folder: &'f Folder,
    disk: &'f Disk,
}

impl Files for Within<'_> {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        self.folder.check(&file_and_sheet(path).0)?;
        self.disk.read(path)
    }

    fn read_of_shop(&self, path: &Path, folder: &Path) -> Result<Vec<u8>, FileFault> {
        self.folder.check(&file_and_sheet(path).0)?;
        self.disk.read_of_shop(path, folder)
    }
}

impl Folder {
    /// Opens a folder, or that of a job, which is then told by its path from there.
    ///
    /// # Errors
    /// Why not, in words.
    pub(super) fn open(typed: &Path) -> Result<(Folder, Option<PathBuf>), String> {
        let about = fs::metadata(typed)
            .map_err(|error| format!("cannot open {}: {error}", shown(typed)))?;
        let (folder, job) = if about.is_dir() {
            (typed, None)
        } else if about.is_file() {
            let folder = typed.parent().filter(|folder| *folder != Path::new(""));
            let name = typed.file_name().map(PathBuf::from);
            (folder.unwrap_or(Path::new(".")), name)
        } else {
            return Err(format!("{} is neither a folder nor a file", shown(typed)));
        };
        let real = folder.canonicalize();
        let real = real.map_err(|error| format!("cannot open {}: {error}", shown(folder)))?;
        let folder = Folder {
            typed: folder.to_path_buf(),
            real,
        };
        Ok((folder, job))
    }

    /// A path as the other commands would be given it.
    fn typed_path(&self, below: &Path) -> PathBuf {
        if self.typed == Path::new(".") {
            below.to_path_buf()
        } else {
            self.typed.join(below)
        }
    }

    /// Whether something that is there lies in the folder.
    pub(super) fn holds(&self, path: &Path) -> bool {
        path.canonicalize()
            .is_ok_and(|real| real.starts_with(&self.real))
    }

    /// Whether a path lies in the folder; what is not there is told by whoever reads it.
    fn check(&self, path: &Path) -> Result<(), FileFault> {
        match path.canonicalize() {
            Ok(real) if !real.starts_with(&self.real) => Err(FileFault::Outside),
            _ => Ok(()),
        }
    }

    /// The jobs in the folder and in those directly below it: all files that end in `.toml` but shops, sorted.
    pub(super) fn jobs(&self) -> Vec<PathBuf> {
        let mut jobs = jobs_in(&self.real);
        let folders = entries(&self.real).filter(|path| path.is_dir());
        for folder in folders.collect::<Vec<_>>() {
            if self.check(&folder).is_ok() {
                jobs.extend(jobs_in(&folder));
            }
        }
        let below = jobs
            .iter()
            .filter_map(|job| job.strip_prefix(&self.real).ok());
        let mut below: Vec<PathBuf> = below.map(Path::to_path_buf).collect();
        below.sort();
        below.truncate(MOST_JOBS);
        below
    }

    /// Reads a job with all its files.
    pub(super) fn read(&self, job: &Path) -> Read {
        let path = self.typed_path(job);
        let disk = Disk::new(&path);
        let within = Within {
            folder: self,
            disk: &disk,
        };
        let (job, diagnostics) = match load_job(&path, &within, Boards::Needed) {
            Ok((job, warnings)) => (Some(Arc::new(job)), warnings),
            Err(faults) => (None, faults),
        };
        Read {
            job,
            diagnostics,
            texts: disk.texts(),
            looks: Looks::of(disk.into_read()),
        }
    }

    /// The text of a file of a job, by its path from there; `None` where there is none in this folder.
    pub(super) fn text(&self, job: &Path, path: &Path) -> Option<String> {
        let place = self.place(job, path).ok()?;
        read_text(&place).ok()
    }

    /// Whether there is anything at a path from a job.
    pub(super) fn has(&self, job: &Path, path: &Path) -> bool {
        let place = self.place(job, path);
        place.is_ok_and(|place| place.symlink_metadata().is_ok())
    }

    /// Where a path from a job is, as it was typed.
    pub(super) fn beside(&self, job: &Path, path: &Path) -> PathBuf {
        let of_job = job.parent().unwrap_or(Path::new(""));
        self.typed_path(&of_job.join(path))
    }

    /// The job file as the other commands would be given it.
    pub(super) fn job_path(&self, job: &Path) -> PathBuf {
        self.typed_path(job)
    }

    /// Changes files of a job as a step says: all in one folder at once, folder by folder.
    ///
    /// # Errors
    /// Why not; what lies in that folder is then as it was.
    pub(super) fn change(&self, job: &Path, step: &Step) -> Result<(), WriteFault> {
        let mut rest: Vec<(PathBuf, &Edit)> = Vec::new();
        for edit in &step.edits {
            rest.push((self.place(job, &edit.path)?, edit));
        }
        while let Some((first, _)) = rest.first() {
            let dir = first.parent().unwrap_or(&self.real).to_path_buf();
            let (here, others): (Vec<_>, Vec<_>) = rest
                .into_iter()
                .partition(|(place, _)| place.parent() == Some(&dir));
            let names = here.iter().map(|(place, _)| {
                let name = place.file_name().unwrap_or_default();
                name.to_string_lossy().into_owned()
            });
            let names: Vec<String> = names.collect();
            let changes = here.iter().zip(&names).map(|((_, edit), name)| Exchange {
                name,
                before: edit.before.as_deref(),
                after: edit.after.as_deref(),
                is_own: edit.is_own,
            });
            files::exchange(&dir, &changes.collect::<Vec<_>>())?;
            rest = others;
        }
        Ok(())
    }

    /// Where a file of a job really lies, which must be in the folder.
    fn place(&self, job: &Path, path: &Path) -> Result<PathBuf, WriteFault> {
        let of_job = job.parent().unwrap_or(Path::new(""));
        let asked = self.real.join(of_job).join(path);
        let outside = || WriteFault::Io {
            path: path.to_path_buf(),
            error: std::io::Error::other("it lies outside of the folder that was opened"),
        };
        let place = real_place(&asked).ok_or_else(outside)?;
        if place.starts_with(&self.real) {
            Ok(place)
        } else {
            Err(outside())
        }
    }

    /// Writes the files of a new job, which are not there yet, into a folder below this one, or with an empty path into it; gives
    /// the first of them.
    ///
    /// # Errors
    /// When one is there, or the folder leads elsewhere.
    pub(super) fn begin(
        &self,
        folder: &Path,
        files: &[(PathBuf, String)],
    ) -> Result<PathBuf, WriteFault> {
        let job = folder.join(files.first().map_or(Path::new(""), |(path, _)| path));
        let place = self.place(&job, Path::new(""))?;
        let names = files.iter().map(|(path, _)| path.to_string_lossy());
        let names: Vec<_> = names.collect();
        let texts = names.iter().zip(files);
        let texts = texts.map(|(name, (_, text))| (&**name, text.as_str()));
        files::write_texts(&place, texts, &[], &[], Over::Nothing)?;
        Ok(job)
    }
}

/// Where a path really lies, or would.
fn real_place(path: &Path) -> Option<PathBuf> {
    if let Ok(real) = path.canonicalize() {
        return Some(real);
    }
    let (above, name) = (path.parent()?, path.file_name()?);
    Some(real_place(above)?.join(name))
}

fn entries(folder: &Path) -> impl Iterator<Item = PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let shown = entries.filter(|entry| !entry.file_name().to_string_lossy().starts_with('.'));
    shown.take(MOST_ENTRIES).map(|entry| entry.path())
}

fn jobs_in(folder: &Path) -> Vec<PathBuf> {
    let is_job = |path: &PathBuf| {
        path.extension().is_some_and(|ending| ending == "toml")
            && !path.ends_with("shop.toml")
            && path.is_file()
    };
    entries(folder).filter(is_job).collect()
}
