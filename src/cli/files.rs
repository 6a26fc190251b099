//! The files the command writes: all of them, or none.

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// A file to be written: its name within the folder, and its text.
#[derive(Debug)]
pub(super) struct Output {
    /// File name without a folder.
    pub(super) name: &'static str,
    /// Whole content.
    pub(super) text: String,
}

/// Why the files could not be written.
#[derive(Debug)]
pub(super) enum WriteFault {
    /// Writing this file would destroy a file the job is read from.
    WouldOverwriteInput(PathBuf),
    /// A file is there already and must not be written over.
    Exists(PathBuf),
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
                    "`{}` is read by this job and would be written over",
                    path.display()
                )
            }
            WriteFault::Exists(path) => write!(out, "`{}` is there already", path.display()),
            WriteFault::Io { path, error } => {
                write!(out, "cannot write `{}`: {error}", path.display())
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
            WriteFault::Io { .. } => {
                "see that the folder can be made and written to, and that the disk is not full"
            }
        }
    }
}

/// Writes `outputs` into `dir` as [`write_texts`] does.
///
/// # Errors
/// As [`write_texts`].
pub(super) fn write_all(
    dir: &Path,
    outputs: &[Output],
    inputs: &[PathBuf],
) -> Result<(), WriteFault> {
    let texts = outputs
        .iter()
        .map(|output| (output.name, output.text.as_str()));
    write_texts(dir, texts, inputs)
}

/// Writes texts under their names into `dir`, which is made if need be: first all of them beside their places, then all
/// renamed, so that a full disk leaves the earlier files as they were.
///
/// # Errors
/// When one would replace one of `inputs`, or the system refuses.
pub(super) fn write_texts<'t>(
    dir: &Path,
    texts: impl Iterator<Item = (&'t str, &'t str)>,
    inputs: &[PathBuf],
) -> Result<(), WriteFault> {
    let texts: Vec<(&str, &str)> = texts.collect();
    let fault = |path: &Path| {
        let path = path.to_path_buf();
        move |error| WriteFault::Io { path, error }
    };
    fs::create_dir_all(dir).map_err(fault(dir))?;
    let inputs: Vec<PathBuf> = inputs
        .iter()
        .filter_map(|path| path.canonicalize().ok())
        .collect();
    let places: Vec<PathBuf> = texts.iter().map(|(name, _)| dir.join(name)).collect();
    for place in &places {
        if place
            .canonicalize()
            .is_ok_and(|place| inputs.contains(&place))
        {
            return Err(WriteFault::WouldOverwriteInput(place.clone()));
        }
    }
    let beside: Vec<PathBuf> = texts
        .iter()
        .map(|(name, _)| dir.join(format!(".{name}.part")))
        .collect();
    let written = texts.iter().zip(&beside).try_for_each(|((_, text), part)| {
        let mut file = fs::File::create(part).map_err(fault(part))?;
        file.write_all(text.as_bytes())
            .and_then(|()| file.sync_all())
            .map_err(fault(part))
    });
    let renamed = written.and_then(|()| {
        beside
            .iter()
            .zip(&places)
            .try_for_each(|(part, place)| fs::rename(part, place).map_err(fault(place)))
    });
    if renamed.is_err() {
        for part in &beside {
            // A part that was never made, or is renamed already, need not be removed.
            let _ = fs::remove_file(part);
        }
    }
    renamed
}

/// Writes `outputs` into `dir` only where none of them is there yet.
///
/// # Errors
/// When one of them exists, or the system refuses; then nothing was written.
pub(super) fn write_new(dir: &Path, outputs: &[Output]) -> Result<(), WriteFault> {
    for output in outputs {
        let place = dir.join(output.name);
        if place.symlink_metadata().is_ok() {
            return Err(WriteFault::Exists(place));
        }
    }
    write_all(dir, outputs, &[])
}
