//! A run of the command itself, with its time and memory.

use std::fs::{self, File};
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

/// What one run of `plan` came to.
pub struct Planned {
    /// Seconds of the whole process.
    pub seconds: f64,
    /// The most memory in use, in megabytes; 0 where `/proc` does not tell.
    pub megabytes: f64,
    /// The plan, or what was said in its place.
    pub answer: Result<serde_json::Value, String>,
}

/// The most memory a running process has used, in megabytes.
fn memory(pid: u32) -> Option<f64> {
    let status = fs::read_to_string(format!("/proc/{pid}/status")).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib * 1_024.0 / 1_000_000.0)
}

/// Plans a job within `limit` seconds; the plan is written beside it, as `answer.json`.
pub fn plan(job: &Path, limit: &str) -> Planned {
    let answer = job.with_file_name("answer.json");
    let said = job.with_file_name("said.txt");
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .arg("plan")
        .arg(job)
        .args(["--format", "json", "--time", limit])
        .stdout(File::create(&answer).unwrap())
        .stderr(File::create(&said).unwrap())
        .spawn()
        .unwrap();
    let mut megabytes: f64 = 0.0;
    while child.try_wait().unwrap().is_none() {
        megabytes = megabytes.max(memory(child.id()).unwrap_or_default());
        // Short beside the start of a process.
        std::thread::sleep(Duration::from_micros(200));
    }
    let seconds = start.elapsed().as_secs_f64();
    let answer = serde_json::from_slice(&fs::read(&answer).unwrap());
    Planned {
        seconds,
        megabytes,
        answer: answer.map_err(|_| {
            let said = fs::read_to_string(&said).unwrap_or_default();
            said.lines().next().unwrap_or("no answer").to_owned()
        }),
    }
}
