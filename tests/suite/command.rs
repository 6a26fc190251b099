//! The command as it is run from a shell.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::path::Path;
use std::process::{Command, Output, Stdio};

/// Runs the command in a folder, with nothing on its standard input and no wish for color.
pub(crate) fn longpoint(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .current_dir(folder)
        .env_remove("NO_COLOR")
        .env_remove("CLICOLOR_FORCE")
        .args(args)
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

/// What was printed.
pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// What was said in one line, however it is broken.
pub(crate) fn in_one_line(said: &str) -> String {
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}
