//! One process at a time writes into a folder.

use std::fs::{self, File, TryLockError};
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use super::{WriteFault, fault};

/// So long another process is waited for; writing takes some hundredths of a second.
const PATIENCE: Duration = Duration::from_secs(2);

/// Between two looks at a lock.
const PAUSE: Duration = Duration::from_millis(20);

/// A folder that no other process writes into while this lives. The system takes the lock off when the process ends,
/// however it ends, so none is ever left behind.
pub(super) struct Lock {
    file: Option<File>,
}

impl Lock {
    /// Locks a folder, if need be after a short wait.
    ///
    /// # Errors
    /// [`WriteFault::Locked`] if another process does not let it go.
    pub(super) fn take(dir: &Path) -> Result<Lock, WriteFault> {
        let file = open(dir).map_err(fault(dir))?;
        let started = Instant::now();
        loop {
            match file.try_lock() {
                Ok(()) => return Ok(Lock { file: Some(file) }),
                Err(TryLockError::WouldBlock) if started.elapsed() < PATIENCE => {
                    thread::sleep(PAUSE);
                }
                Err(TryLockError::WouldBlock) => {
                    return Err(WriteFault::Locked(dir.to_path_buf()));
                }
                // A file system without locks: names of their own still keep two processes apart.
                Err(TryLockError::Error(_)) => return Ok(Lock { file: None }),
            }
        }
    }

    /// Whether the system keeps others away; not every file system can.
    pub(super) fn is_held(&self) -> bool {
        self.file.is_some()
    }

    /// Has the names in the folder on the disk as well; where the system cannot, they are there a little later.
    pub(super) fn sync(&self) {
        if let Some(file) = &self.file {
            let _ = file.sync_all();
        }
    }
}

/// The folder itself where the system can lock one, else a file in it.
fn open(dir: &Path) -> std::io::Result<File> {
    if cfg!(unix) {
        File::open(dir)
    } else {
        fs::OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(dir.join(".longpoint-lock"))
    }
}
