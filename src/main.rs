//! The `longpoint` command.

fn main() {}
