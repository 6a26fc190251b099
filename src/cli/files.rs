//! The files the command writes: all of them, or none; what somebody else has made or changed is replaced only where that is
//! asked for, and then it is kept under another name.
//!
//! A folder is written by one process at a time, under a lock. All texts are first written beside their places, in a
//! folder of their own that no other process can have made, then renamed one by one while the files before them are
//! kept; if one cannot be renamed, all are put back. Whoever is killed between leaves whole files, old or new, and the
//! next to write clears up.
//!
//! What the program has written itself it knows again by `manifest`.

mod lock;
mod manifest;

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::process;

use crate::diag::quoted_path;

use lock::Lock;
use manifest::Manifest;

/// The names of the folders in which texts lie before they are renamed begin like this.
const BESIDE: &str = ".longpoint-part-";

/// A file to be written: its name within the folder, and its text.
#[derive(Debug)]
pub(super) struct Output {
    /// File name without a folder.
    pub(super) name: &'static str,
    /// Whole content.
    pub(super) text: String,
}

/// What may be replaced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Over<'t> {
    /// Nothing.
    Nothing,
    /// What the program has written itself and nobody has changed since.
    Own,
    /// Any file that the job is not read from; what is not the program's own is kept under another name.
    All,
    /// Files with just these texts, by name, whoever wrote them; they are kept under other names.
    Kept(&'t [(&'t str, &'t str)]),
}

/// Why the files could not be written.
#[derive(Debug)]
pub(super) enum WriteFault {
    /// Writing this file would destroy a file the job is read from.
    WouldOverwriteInput(PathBuf),
    /// A file is there already and must not be written over.
    Exists(PathBuf),
    /// Files that this program has not written, or that were changed since.
    NotOurs(Vec<PathBuf>),
    /// It is not as it was read.
    Changed(PathBuf),
    /// This file knows of sheets and marks that what would be written does not know.
    KnowsMore(PathBuf),
    /// Another process is writing into the folder.
    Locked(PathBuf),
    /// The folder or a file could not be made.
    Io {
        /// What was being written.
        path: PathBuf,
        /// What the system said.
        error: io::Error,
    },
}

impl std::fmt::Display for WriteFault {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            WriteFault::WouldOverwriteInput(path) => {
                write!(
                    out,
                    "{} is read by this job and would be written over",
                    quoted_path(path)
                )
            }
            WriteFault::Exists(path) => write!(out, "{} is there already", quoted_path(path)),
            WriteFault::NotOurs(paths) => {
                let (is, was) = match paths.len() {
                    1 => ("is", "was"),
                    _ => ("are", "were"),
                };
                write!(
                    out,
                    "{} {is} not as longpoint wrote it, or {was} never written by it; nothing was written",
                    listed(paths)
                )
            }
            WriteFault::Changed(path) => write!(
                out,
                "{} has changed since it was read; nothing was written",
                quoted_path(path)
            ),
            WriteFault::KnowsMore(path) => write!(
                out,
                "{} has sheets, or marks of what was cut, that do not follow from this plan; nothing was written",
                quoted_path(path)
            ),
            WriteFault::Locked(path) => write!(
                out,
                "another longpoint is writing into {}; nothing was written",
                quoted_path(path)
            ),
            WriteFault::Io { path, error } => {
                write!(out, "cannot write {}: {error}", quoted_path(path))
            }
        }
    }
}

impl WriteFault {
    /// A way out.
    pub(super) fn hint(&self) -> &'static str {
        match self {
            WriteFault::WouldOverwriteInput(_) => "choose another folder with --out",
            WriteFault::Exists(_) => "choose a new folder, or move the file away first",
            WriteFault::NotOurs(_) => {
                "choose another folder with --out; with --replace, what is there gets another name"
            }
            WriteFault::Changed(_) => "run the command again",
            WriteFault::KnowsMore(_) => {
                "replan from that file, or choose another folder with --out"
            }
            WriteFault::Locked(_) => "try again when it is done",
            WriteFault::Io { .. } => {
                "see that the folder can be made and written to, and that the disk is not full"
            }
        }
    }
}

/// Paths in one line.
pub(super) fn listed(paths: &[PathBuf]) -> String {
    let shown: Vec<String> = paths.iter().map(|path| quoted_path(path)).collect();
    shown.join(", ")
}

/// Writes `outputs` into `dir` as [`write_texts`] does.
///
/// # Errors
/// As [`write_texts`].
pub(super) fn write_all(
    dir: &Path,
    outputs: &[Output],
    inputs: &[PathBuf],
    over: Over<'_>,
) -> Result<Vec<PathBuf>, WriteFault> {
    let texts = outputs
        .iter()
        .map(|output| (output.name, output.text.as_str()));
    write_texts(dir, texts, inputs, &[], over)
}

/// Writes `outputs` into `dir` as [`write_texts`] does, also over files that they carry on.
///
/// # Errors
/// As [`write_texts`].
pub(super) fn write_on(
    dir: &Path,
    outputs: &[Output],
    inputs: &[PathBuf],
    carried: &[PathBuf],
    over: Over<'_>,
) -> Result<Vec<PathBuf>, WriteFault> {
    let texts = outputs
        .iter()
        .map(|output| (output.name, output.text.as_str()));
    write_texts(dir, texts, inputs, carried, over)
}

/// Writes texts under their names into `dir`, which is made if need be. What lay at one of their places and was not the
/// program's own, or was changed since, is kept under another name; these are returned. The files `carried` were read for what
/// is written, which knows all that they do, so it may take their places.
///
/// # Errors
/// When one would replace one of `inputs`, or what is not in `over`, or another process writes there, or the system
/// refuses; then the folder is as it was.
pub(super) fn write_texts<'t>(
    dir: &Path,
    texts: impl Iterator<Item = (&'t str, &'t str)>,
    inputs: &[PathBuf],
    carried: &[PathBuf],
    over: Over<'_>,
) -> Result<Vec<PathBuf>, WriteFault> {
    let texts: Vec<(&str, &str)> = texts.collect();
    fs::create_dir_all(dir).map_err(fault(dir))?;
    let lock = Lock::take(dir)?;
    let known = Manifest::read(dir);
    let replaced = check_places(dir, &texts, (inputs, carried), over, known.as_ref())?;
    if lock.is_held() {
        clear_up(dir);
    }
    let beside = beside(dir).map_err(fault(dir))?;
    let mut kept = Vec::new();
    let done = replaced
        .iter()
        .try_for_each(|place| {
            kept.push(keep_for_good(dir, place).map_err(fault(place))?);
            Ok(())
        })
        .and_then(|()| replace_all(dir, &beside, &texts, &known.unwrap_or_default()));
    if done.is_err() {
        // Nothing was replaced, so each lies at its own place too.
        for path in &kept {
            let _ = fs::remove_file(path);
        }
    }
    // What was put aside is of no more use; if it cannot be removed, the next to write does.
    let _ = fs::remove_dir_all(&beside);
    lock.sync();
    done.map(|()| kept)
}

/// A text that takes the place of another, which is kept.
#[derive(Clone, Debug)]
pub(super) struct Replacement {
    /// Where.
    pub(super) place: PathBuf,
    /// What must lie there now.
    pub(super) before: String,
    /// What is to lie there.
    pub(super) after: String,
}

/// Puts texts in the places of those that lie there, which are kept under other names beside them; these are returned.
///
/// # Errors
/// When another text lies at one of the places, and as [`write_texts`]; then all is as it was.
pub(super) fn replace_keeping(changes: &[Replacement]) -> Result<Vec<PathBuf>, WriteFault> {
    let folder = |change: &Replacement| match change.place.parent() {
        Some(dir) if dir != Path::new("") => dir.to_owned(),
        _ => PathBuf::from("."),
    };
    let name = |change: &Replacement| {
        let name = change.place.file_name().unwrap_or_default();
        name.to_string_lossy().into_owned()
    };
    let mut kept: Vec<PathBuf> = Vec::new();
    let mut done: Vec<&Replacement> = Vec::new();
    for changes in changes.chunk_by(|one, next| folder(one) == folder(next)) {
        let names: Vec<String> = changes.iter().map(name).collect();
        let with_names = || names.iter().map(String::as_str).zip(changes);
        let befores: Vec<_> = with_names()
            .map(|(name, change)| (name, change.before.as_str()))
            .collect();
        let texts = with_names().map(|(name, change)| (name, change.after.as_str()));
        match write_texts(&folder(&changes[0]), texts, &[], &[], Over::Kept(&befores)) {
            Ok(own) => kept.extend(own),
            Err(fault) => {
                // What was written in another folder is put back; what was kept there stays, as it harms nothing.
                for change in done {
                    let back = [(&*name(change), &*change.after)];
                    let text = std::iter::once((back[0].0, change.before.as_str()));
                    let _ = write_texts(&folder(change), text, &[], &[], Over::Kept(&back));
                }
                return Err(fault);
            }
        }
        done.extend(changes);
    }
    Ok(kept)
}

/// A text that is to take the place of another; `None` where there is no file, or is to be none.
#[derive(Clone, Copy, Debug)]
pub(super) struct Exchange<'t> {
    /// File name without a folder.
    pub(super) name: &'t str,
    /// What must lie there now.
    pub(super) before: Option<&'t str>,
    /// What is to lie there.
    pub(super) after: Option<&'t str>,
    /// Whether the program has made that text, and may replace it without asking.
    pub(super) is_own: bool,
}

/// Exchanges texts of a folder, all of them or none, where each is still the one that it was; nothing is kept beside.
///
/// # Errors
/// When another text lies at one of the places, a link or a folder, or as [`write_texts`]; then all is as it was.
pub(super) fn exchange(dir: &Path, changes: &[Exchange<'_>]) -> Result<(), WriteFault> {
    fs::create_dir_all(dir).map_err(fault(dir))?;
    let lock = Lock::take(dir)?;
    for change in changes {
        let place = dir.join(change.name);
        let lies = match place.symlink_metadata() {
            Err(_) => None,
            Ok(about) if about.is_file() => Some(fs::read(&place).map_err(fault(&place))?),
            Ok(_) => return Err(WriteFault::Changed(place)),
        };
        if lies.as_deref() != change.before.map(str::as_bytes) {
            return Err(WriteFault::Changed(place));
        }
    }
    if lock.is_held() {
        clear_up(dir);
    }
    let own = changes.iter().filter(|change| change.is_own);
    let own: Vec<(&str, &str)> = own
        .filter_map(|change| Some((change.name, change.after?)))
        .collect();
    let known = Manifest::read(dir).filter(|_| !own.is_empty());
    // What was taken back is known again, too.
    let list = known.map(|known| known.beside(&Manifest::new(&own)).text());
    let list = list.as_deref().map(|list| (manifest::NAME, Some(list)));
    let swaps = changes.iter().map(|change| (change.name, change.after));
    let swaps = list.into_iter().chain(swaps);
    let swaps: Vec<(&str, Option<&str>)> = swaps
        .filter(|(name, after)| after.is_some() || dir.join(name).symlink_metadata().is_ok())
        .collect();
    let beside = beside(dir).map_err(fault(dir))?;
    let done = swap_all(dir, &beside, &swaps);
    let _ = fs::remove_dir_all(&beside);
    lock.sync();
    done
}

/// Writes `outputs` into `dir` only where none of them is there yet.
///
/// # Errors
/// When one of them exists, or the system refuses; then nothing was written.
pub(super) fn write_new(dir: &Path, outputs: &[Output]) -> Result<(), WriteFault> {
    write_all(dir, outputs, &[], Over::Nothing).map(|_| ())
}

/// An error of the system at `path`.
fn fault(path: &Path) -> impl FnOnce(io::Error) -> WriteFault {
    let path = path.to_path_buf();
    move |error| WriteFault::Io { path, error }
}

/// What lies at the places of `texts` and is not the program's own; nothing unless that may be written over.
fn check_places(
    dir: &Path,
    texts: &[(&str, &str)],
    (inputs, carried): (&[PathBuf], &[PathBuf]),
    over: Over<'_>,
    known: Option<&Manifest>,
) -> Result<Vec<PathBuf>, WriteFault> {
    let real = |paths: &[PathBuf]| -> Vec<PathBuf> {
        let paths = paths.iter();
        paths.filter_map(|path| path.canonicalize().ok()).collect()
    };
    let (inputs, carried) = (real(inputs), real(carried));
    let mut others = Vec::new();
    let mut carried_on = Vec::new();
    // A file of this name that is no list.
    others.extend(known.is_none().then(|| dir.join(manifest::NAME)));
    let is_input = |place: &Path| {
        let place = place.canonicalize();
        place.is_ok_and(|place| inputs.contains(&place))
    };
    let list = dir.join(manifest::NAME);
    if is_input(&list) {
        return Err(WriteFault::WouldOverwriteInput(list));
    }
    for (name, text) in texts {
        let place = dir.join(name);
        let Ok(about) = place.symlink_metadata() else {
            continue;
        };
        if is_input(&place) {
            return Err(WriteFault::WouldOverwriteInput(place));
        }
        if over == Over::Nothing {
            return Err(WriteFault::Exists(place));
        }
        if about.is_dir() {
            let error = io::ErrorKind::IsADirectory.into();
            return Err(WriteFault::Io { path: place, error });
        }
        let lies = about.is_file().then(|| fs::read(&place).ok()).flatten();
        if let Over::Kept(befores) = over {
            let before = befores.iter().find(|(of, _)| of == name);
            if lies.as_deref() != before.map(|(_, before)| before.as_bytes()) {
                return Err(WriteFault::Changed(place));
            }
            others.push(place);
            continue;
        }
        let is_own = lies.is_some_and(|lies| {
            lies == text.as_bytes() || known.is_some_and(|known| known.has_written(name, &lies))
        });
        let is_carried = || {
            place
                .canonicalize()
                .is_ok_and(|place| carried.contains(&place))
        };
        if !is_own && is_carried() {
            carried_on.push(place);
        } else if !is_own {
            others.push(place);
        }
    }
    if matches!(over, Over::All | Over::Kept(_)) || others.is_empty() {
        others.append(&mut carried_on);
        Ok(others)
    } else {
        Err(WriteFault::NotOurs(others))
    }
}

/// Removes what a process that was killed has left; only under the lock, as then no other is at work here.
fn clear_up(dir: &Path) {
    for entry in fs::read_dir(dir).into_iter().flatten().flatten() {
        let is_left = entry.file_name().to_string_lossy().starts_with(BESIDE);
        // Of a link, its own kind is told.
        if is_left && entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

/// Makes a folder in `dir` that was not there before.
fn beside(dir: &Path) -> io::Result<PathBuf> {
    let mut number = 0_u32;
    loop {
        let path = dir.join(format!("{BESIDE}{}-{number}", process::id()));
        match fs::create_dir(&path) {
            Ok(()) => return Ok(path),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && number < 100 => {
                number += 1;
            }
            Err(error) => return Err(error),
        }
    }
}

/// Writes all texts in `beside`, then renames them to their places in `dir`, or puts everything back.
///
/// Nothing is written any more once the first is renamed, so that a full disk is known before.
fn replace_all(
    dir: &Path,
    beside: &Path,
    texts: &[(&str, &str)],
    known: &Manifest,
) -> Result<(), WriteFault> {
    // Whoever is killed between two renames leaves some files new and some old: both are known as the program's own.
    let new = Manifest::new(texts);
    let (between, after) = (known.beside(&new).text(), known.with(&new).text());
    let lists = [&between, &after].map(|list| (manifest::NAME, list.as_str()));
    let steps = lists[..1].iter().chain(texts).chain(&lists[1..]);
    let steps: Vec<(&str, Option<&str>)> = steps.map(|&(name, text)| (name, Some(text))).collect();
    swap_all(dir, beside, &steps)
}

/// Writes all texts in `beside`, then renames them to their places in `dir`, or takes away what lies there where there is no
/// text; or puts everything back.
fn swap_all(dir: &Path, beside: &Path, steps: &[(&str, Option<&str>)]) -> Result<(), WriteFault> {
    let (mut parts, mut places, mut kept) = (Vec::new(), Vec::new(), Vec::new());
    for (number, (name, text)) in steps.iter().enumerate() {
        let part = beside.join(format!("new-{number}"));
        let place = dir.join(name);
        if let Some(text) = text {
            write_new_file(&part, text).map_err(fault(&place))?;
            // Whoever could read it before can now.
            if let Ok(about) = fs::metadata(&place) {
                let _ = fs::set_permissions(&part, about.permissions());
            }
        }
        kept.push(keep(&place, &beside.join(format!("old-{number}"))).map_err(fault(&place))?);
        parts.push(text.map(|_| part));
        places.push(place);
    }
    for (number, (part, place)) in parts.iter().zip(&places).enumerate() {
        let done = match part {
            Some(part) => fs::rename(part, place),
            None => fs::remove_file(place),
        };
        if let Err(error) = done {
            for (place, kept) in places.iter().zip(&kept).take(number) {
                // The error is told already; more cannot be done where putting back fails too.
                let _ = match kept {
                    Some(kept) => fs::rename(kept, place),
                    None => fs::remove_file(place),
                };
            }
            return Err(fault(place)(error));
        }
    }
    Ok(())
}

/// A file that must not be there yet, on the disk when this returns.
fn write_new_file(path: &Path, text: &str) -> io::Result<()> {
    let mut file = fs::File::create_new(path)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

/// Gives what lies at `place` a second name in `dir` that is free, and returns it.
fn keep_for_good(dir: &Path, place: &Path) -> io::Result<PathBuf> {
    let name = place.file_name().unwrap_or_default().to_string_lossy();
    let mut number = 1_u32;
    loop {
        let kept = dir.join(format!("kept-{number}-{name}"));
        if kept.symlink_metadata().is_err() {
            return keep(place, &kept).map(|_| kept);
        }
        number += 1;
    }
}

/// Keeps what lies at `place` also as `kept`, if there is anything; a link as it is.
fn keep(place: &Path, kept: &Path) -> io::Result<Option<PathBuf>> {
    if place.symlink_metadata().is_err() {
        return Ok(None);
    }
    // Not every file system has a second name for a file.
    match fs::hard_link(place, kept) {
        Ok(()) => Ok(Some(kept.to_path_buf())),
        Err(_) => fs::copy(place, kept).map(|_| Some(kept.to_path_buf())),
    }
}
