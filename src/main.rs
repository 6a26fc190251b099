//! The `longpoint` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    longpoint::cli::run(std::env::args_os())
}
