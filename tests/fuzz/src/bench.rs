//! Plan files, benches, certificates and marks: what is changed is found out, or does no harm.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use longpoint::diag::{Diagnostics, disturbs, render};
use longpoint::job::Job;
use longpoint::length::{Length, Unit};
use longpoint::load::{Boards, FileFault, Files, State, load_job, read_marks};
use longpoint::pipeline;
use longpoint::plan::Verdict;
use longpoint::planfile::{PlanFile, bench_text, read_bench, verify};
use longpoint::replan::{self, Bench, Marks};
use longpoint::solve::Control;
use serde_json::Value;

use crate::script::Script;

// The command line's own reader of marks, which is private there.
#[rustfmt::skip]
#[path = "../../../src/cli/marks.rs"]
mod typed;

const CONTROL: Control<'static> = Control {
    stop: &|| false,
    progress: &|_| {},
};

/// A job with its best plan.
struct Sample {
    job: Job,
    bench: Bench,
    /// Its plan file, and where something can be spoiled the file of a bench.
    files: Vec<Value>,
    /// Its least value with all parts cut, where that is known.
    best: Option<i64>,
    /// The fewest parts missing.
    missing: usize,
}

struct Disk;

impl Files for Disk {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        fs::read(path).map_err(|_| FileFault::Missing)
    }
}

struct One(&'static str);

impl Files for One {
    fn read(&self, _: &Path) -> Result<Vec<u8>, FileFault> {
        Ok(self.0.as_bytes().to_vec())
    }
}

/// Jobs whose proofs need cases of boards, cases of rips, two claims, and one that is short of wood.
const JOBS: [&str; 4] = [
    include_str!("../jobs/cases.toml"),
    include_str!("../jobs/rips.toml"),
    include_str!("../jobs/two-claims.toml"),
    include_str!("../jobs/short.toml"),
];

const DEMOS: [&str; 7] = [
    "starter/job",
    "color/color",
    "spare/spare",
    "rack/rack",
    "miscut/miscut",
    "turned/turned",
    "grain/grain",
];

static SAMPLES: LazyLock<Vec<Sample>> = LazyLock::new(|| {
    let data = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../data"));
    let demos = DEMOS.map(|name| {
        let path = data.join(name).with_extension("toml");
        load_job(&path, &Disk, Boards::Needed)
    });
    let jobs = JOBS.map(|text| load_job(Path::new("job.toml"), &One(text), Boards::Needed));
    let loaded = jobs.into_iter().chain(demos);
    let samples = loaded.map(|job| {
        sample(
            job.unwrap_or_else(|errors| panic!("{}", render(&errors, false)))
                .0,
        )
    });
    samples.collect()
});

fn sample(job: Job) -> Sample {
    let planned = pipeline::plan(&job, &CONTROL).expect("every plan is checked");
    let mut texts = vec![PlanFile::of(&planned).text()];
    let plan = planned.plan;
    let (value, missing, verdict) = (plan.value, plan.missing.len(), plan.verdict);
    assert_eq!(verdict, Verdict::Optimal);
    let bench = Bench::new(plan, planned.certificate);
    let mut places = bench.places();
    if let (Some(spoiled), done) = (places.next(), places.next()) {
        let marks = Marks {
            done: done.into_iter().collect(),
            spoiled: [(spoiled, Length::ZERO)].into(),
        };
        if texts[0].len() < 60_000 {
            let rest = replan::replan(&bench, &marks.into(), &CONTROL).expect("every plan is checked");
            texts.push(bench_text(&rest));
        }
    }
    drop(places);
    let files = texts.iter().map(|text| {
        let verified = verify(&job, text).expect("it is a plan file");
        assert_eq!(verified.findings, [], "what is not changed holds");
        serde_json::from_str(text).expect("it is JSON")
    });
    Sample {
        files: files.collect(),
        best: (missing == 0).then_some(value),
        missing,
        bench,
        job,
    }
}

/// Verifies a changed file; what passes must be true.
fn judge(sample: &Sample, text: &str) {
    let _ = read_bench(&sample.job, text);
    let Ok(verified) = verify(&sample.job, text) else {
        return;
    };
    // Of a later sheet, what is proved is of another job.
    if verified.n_sheets == 1
        && let Some(best) = sample.best
    {
        assert!(
            verified.proved <= best,
            "{} is proved of a job that can be cut for {best}",
            verified.proved
        );
    }
    for finding in &verified.findings {
        let said = finding.to_string();
        assert!(!said.is_empty());
    }
    if !verified.findings.is_empty() || verified.n_sheets != 1 {
        return;
    }
    assert!(verified.n_missing >= sample.missing);
    if let Some(best) = sample.best
        && verified.n_missing == 0
    {
        assert!(verified.value >= best, "a plan for less than is possible");
        let file: Value = serde_json::from_str(text).expect("it was read");
        let is_best = file.pointer("/summary/proved_optimal") == Some(&Value::Bool(true));
        assert!(!is_best || verified.value == best, "best is another plan");
    }
}

/// The sample that the first two bytes choose, and one of its files.
fn chosen<'s>(script: &mut Script<'_>) -> (&'s Sample, Value) {
    let sample = &SAMPLES[script.below(SAMPLES.len())];
    let file = sample.files[script.below(sample.files.len())].clone();
    (sample, file)
}

/// Any fields of a plan file.
pub fn plan(bytes: &[u8]) {
    let mut script = Script(bytes);
    let (sample, mut file) = chosen(&mut script);
    let roots = [
        "", "/boards", "/summary", "/missing", "/sheets", "/rounds", "/offcuts",
    ];
    script.change(&mut file, &roots);
    judge(sample, &file.to_string());
}

/// Fields of the certificate only; the plan and its bound go with it.
pub fn certificate(bytes: &[u8]) {
    let mut script = Script(bytes);
    let sample = &SAMPLES[script.below(SAMPLES.len())];
    let mut file = sample.files[0].clone();
    script.change(
        &mut file,
        &[
            "/certificate",
            "/certificate/claims",
            "/certificate/claims/0/proof",
        ],
    );
    judge(sample, &file.to_string());
}

/// A text that may be a plan file; the first byte says of which job.
pub fn plan_text(bytes: &[u8]) {
    let Some((&first, text)) = bytes.split_first() else {
        return;
    };
    if let Ok(text) = std::str::from_utf8(text) {
        judge(&SAMPLES[usize::from(first) % SAMPLES.len()], text);
    }
}

struct List<'b>(&'b [u8]);

impl Files for List<'_> {
    fn read(&self, _: &Path) -> Result<Vec<u8>, FileFault> {
        Ok(self.0.to_vec())
    }
}

/// A cut list with marks, or where the first byte is odd the text of `--done`.
pub fn marks(bytes: &[u8]) {
    let [first, which, text @ ..] = bytes else {
        return;
    };
    let bench = &SAMPLES[usize::from(*which) % SAMPLES.len()].bench;
    let mut faults = Diagnostics::default();
    let marked = if first % 2 == 0 {
        read_marks(Path::new("cut-list.csv"), &List(text), Unit::Inch, &mut faults)
    } else {
        let Ok(text) = std::str::from_utf8(text) else {
            return;
        };
        typed::read_typed("--done", text, State::Done, Unit::Inch, &mut faults)
    };
    let found = typed::find(bench, &marked, &mut faults);
    let n_errors = faults.n_errors();
    assert!(n_errors > 0 || found.made().count() > 0 || marked.is_empty());
    let said = render(&faults.into_sorted(), false);
    assert!(!said.lines().any(|line| line.chars().any(disturbs)), "{said:?}");
    if n_errors == 0 {
        let places: BTreeMap<_, _> = found.made().map(|place| (place, ())).collect();
        assert_eq!(places.len(), found.made().count(), "a cut is marked twice");
        let kept = bench
            .open()
            .into_iter()
            .filter(|&place| !found.is_made(place))
            .collect();
        assert!(
            bench.draft(found, kept).is_ok(),
            "a mark that was found is none"
        );
    }
}
