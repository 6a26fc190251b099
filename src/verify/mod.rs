//! Checks a plan file and its certificate from the job and the file alone.
//!
//! Only what is in the file is read here; [`crate::audit`] judges it.
//! What is shown to hold is said in words by [`Verified`], what is not in [`Finding`]s.

mod finding;
mod read;

use std::fmt;

use crate::audit::{check, prove};
use crate::job::Job;
use crate::plan::{Measure, Plan};

pub use finding::Finding;
use read::{Names, PlanFile};

/// What a plan file was found to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verified {
    /// All that does not hold; empty if all of the file does.
    pub findings: Vec<Finding>,
    /// Boards of the plan.
    pub n_boards: usize,
    /// Parts it cuts.
    pub n_cut: usize,
    /// Parts it leaves out.
    pub n_missing: usize,
    /// What values are measured in.
    pub measure: Measure,
    /// The plan's value.
    pub value: i64,
    /// What the certificate proves: no plan that cuts every part has a smaller value.
    pub proved: i64,
    /// Tables of prices that were checked for it.
    pub n_tables: usize,
}

/// Why a file could not be judged at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAPlan {
    /// Line, from 1; 0 if the file as a whole.
    pub line: usize,
    /// Column, from 1.
    pub column: usize,
    /// What was found.
    pub what: String,
}

/// Checks the plan file `text` against `job`.
///
/// # Errors
/// If `text` is not JSON of the form that `plan --format json` writes.
pub fn verify(job: &Job, text: &str) -> Result<Verified, NotAPlan> {
    let file = parse(text)?;
    let names = Names::new(job);
    let mut verified = Verified {
        findings: Vec::new(),
        n_boards: 0,
        n_cut: 0,
        n_missing: 0,
        measure: Measure::BoardLength,
        value: 0,
        proved: 0,
        n_tables: 0,
    };
    match read::plan(&file, &names) {
        Ok(plan) => judge_plan(&file, &plan, &mut verified),
        Err(finding) => verified.findings.push(finding),
    }
    match read::certificate(&file, &names) {
        Ok(certificate) => {
            let proved = prove(job, &certificate);
            verified.proved = proved.value;
            verified.n_tables = proved.n_tables;
            let findings = proved.findings.into_iter().map(Finding::Audit);
            verified.findings.extend(findings);
        }
        Err(finding) => verified.findings.push(finding),
    }
    // Claims are about plans that cut every part; a shorter plan may cost less.
    let proved = if verified.n_missing == 0 {
        verified.proved
    } else {
        0
    };
    if file.summary.lower_bound > proved {
        verified.findings.push(Finding::BoundNotProved {
            says: file.summary.lower_bound,
            proved,
        });
    }
    Ok(verified)
}

/// Reads the plan file `text`, and checks the plan in it against `job`.
///
/// # Errors
/// If `text` is not JSON of the form that `plan --format json` writes.
pub fn read_plan(job: &Job, text: &str) -> Result<Result<Plan, Vec<Finding>>, NotAPlan> {
    let file = parse(text)?;
    Ok(match read::plan(&file, &Names::new(job)) {
        Ok(plan) => {
            let found: Vec<Finding> = check(&plan).into_iter().map(Finding::Audit).collect();
            if found.is_empty() {
                Ok(plan)
            } else {
                Err(found)
            }
        }
        Err(finding) => Err(vec![finding]),
    })
}

/// The fields of a plan file.
fn parse(text: &str) -> Result<PlanFile, NotAPlan> {
    serde_json::from_str(text).map_err(|error| NotAPlan {
        line: error.line(),
        column: error.column(),
        // The place is told by the fields; the crate repeats it at the end of its message.
        what: error
            .to_string()
            .split(" at line ")
            .next()
            .unwrap_or_default()
            .to_owned(),
    })
}

/// The plan against the job, and the summary against the plan.
fn judge_plan(file: &PlanFile, plan: &Plan, verified: &mut Verified) {
    let violations = check(plan).into_iter().map(Finding::Audit);
    verified.findings.extend(violations);
    verified.n_boards = plan.boards.len();
    verified.n_cut = plan.boards.iter().map(|board| board.cuts().count()).sum();
    verified.n_missing = plan.missing.len();
    verified.measure = plan.measure;
    verified.value = plan.value;
    for (figure, says, must_say) in [
        ("boards", file.summary.boards, plan.boards.len()),
        ("unplaced", file.summary.unplaced, plan.missing.len()),
    ] {
        if usize::try_from(says) != Ok(must_say) {
            let (says, must_say) = (says.to_string(), must_say.to_string());
            verified.findings.push(Finding::Summary {
                figure,
                says,
                must_say,
            });
        }
    }
}

impl fmt::Display for NotAPlan {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            out,
            "not a plan as `longpoint plan --format json` writes it: {}",
            self.what
        )
    }
}
