//! Checks a certificate from the job alone.
//!
//! Nothing here is shared with the solver: `model` groups the parts anew, `worth` and `knapsack` find the worth of boards
//! by a method of their own, `proof` adds up what prices prove.

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

use crate::plan::Plan;
use crate::plan::certificate::Certificate;

pub use claims::Proved;
pub use finding::Finding;
use model::Model;

/// What `certificate` proves of the value of every plan of the job that cuts all parts, and what of it does not hold; a
/// bound of `plan` that is higher than that is found too.
pub fn prove(plan: &Plan, certificate: &Certificate) -> (Proved, Vec<Finding>) {
    let model = Model::new(&plan.job);
    let mut findings = Vec::new();
    let proved = match read::claims(certificate) {
        Ok(claims) => claims::check_claims(&model, &claims, &mut findings),
        Err(finding) => {
            findings.push(finding);
            Proved::default()
        }
    };
    // Claims are about plans that cut every part; a shorter plan may cost less.
    let of_plan = if plan.missing.is_empty() {
        proved.value
    } else {
        0
    };
    if plan.lower_bound > of_plan {
        findings.push(Finding::BoundNotProved {
            says: plan.lower_bound,
            proved: of_plan,
        });
    }
    (proved, findings)
}
