//! Whether keys can be let into the corners.

use std::collections::BTreeSet;

use super::Finding;
use crate::job::JobSpec;

/// Whether keys leave wood between them.
pub(super) fn check_keys(job: &JobSpec, findings: &mut Vec<Finding>) {
    if let Some(keys) = job.assembly.keys {
        let all = keys.kerf * i64::from(keys.count);
        let crossed: BTreeSet<usize> = job.frames.iter().map(|frame| frame.moulding_idx).collect();
        let taken = crossed.into_iter().filter(|&idx| {
            let thickness = job.mouldings[idx].thickness;
            thickness.is_some_and(|thickness| all >= thickness)
        });
        findings.extend(taken.map(|moulding_idx| Finding::KeysTakeAll { moulding_idx }));
    }
}
