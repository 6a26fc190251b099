//! Checks a plan file and its certificate from the job and the file alone.
//!
//! Nothing here is shared with the solver: [`crate::plan::check()`] derives every cut again, `model` groups the parts
//! anew, `worth` and `knapsack` find the worth of boards by a method of their own, `proof` adds up what prices prove.
//! What is shown to hold is said in words by [`Verified`], what is not in [`Finding`]s.

mod across;
mod boards;
mod claims;
mod finding;
mod knapsack;
mod model;
mod proof;
mod read;
mod rips;
mod strips;
mod turned;
mod worth;

use std::fmt;

use crate::audit::check;
use crate::job::Job;
use crate::plan::{Measure, Plan};

pub use finding::Finding;
use model::Model;
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
    /// The plan's value, as its boards come to it.
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
    let model = Model::new(job);
    match read::plan(&file, &names) {
        Ok(plan) => judge_plan(&model, &file, &plan, &mut verified),
        Err(finding) => verified.findings.push(finding),
    }
    match read::claims(&file, &names) {
        Ok(claims) => {
            let proved = claims::check_claims(&model, &claims, &mut verified.findings);
            verified.proved = proved.value;
            verified.n_tables = proved.n_tables;
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
            let found: Vec<Finding> = check(&plan).into_iter().map(Finding::Plan).collect();
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
fn judge_plan(model: &Model<'_>, file: &PlanFile, plan: &Plan, verified: &mut Verified) {
    verified
        .findings
        .extend(check(plan).into_iter().map(Finding::Plan));
    verified.n_boards = plan.boards.len();
    verified.n_cut = plan.boards.iter().map(|board| board.cuts().count()).sum();
    verified.n_missing = plan.missing.len();
    verified.measure = plan.measure;
    let value: i128 = plan
        .boards
        .iter()
        .map(|board| i128::from(model.costs[board.board_idx]))
        .sum();
    verified.value = i64::try_from(value).unwrap_or(i64::MAX);
    let mut figure = |figure: &'static str, says: String, must_say: String| {
        if says != must_say {
            verified.findings.push(Finding::Summary {
                figure,
                says,
                must_say,
            });
        }
    };
    let summary = &file.summary;
    figure(
        "boards",
        summary.boards.to_string(),
        plan.boards.len().to_string(),
    );
    figure(
        "unplaced",
        summary.unplaced.to_string(),
        plan.missing.len().to_string(),
    );
    figure("value", summary.value.to_string(), value.to_string());
    let measure = if model.measure == Measure::Price {
        "price"
    } else {
        "board_length_nm"
    };
    figure("measure", summary.measure.clone(), measure.to_owned());
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
