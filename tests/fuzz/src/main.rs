//! Coverage-guided fuzzing of everything that the program reads from outside.
//!
//! `FUZZ` names the reader; a panic, an overflow, or something that is not as it should be is a find.

#![no_main]

mod bench;
mod files;
mod script;
mod values;

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
// The module of the command line that is read here by itself finds its neighbors where it expects them.
use longpoint::{diag, length, load, plan, replan};

/// What is done with the bytes that the fuzzer makes up.
static READER: LazyLock<fn(&[u8])> = LazyLock::new(|| match std::env::var("FUZZ").as_deref() {
    Ok("length") => values::length,
    Ok("money") => values::money,
    Ok("job") => files::job,
    Ok("tables") => files::tables,
    Ok("marks") => bench::marks,
    Ok("plan-text") => bench::plan_text,
    Ok("plan") => bench::plan,
    Ok("certificate") => bench::certificate,
    other => panic!(
        "FUZZ is {other:?}; it must be one of length, money, job, tables, marks, plan-text, plan, certificate"
    ),
});

fuzz_target!(|bytes: &[u8]| READER(bytes));
