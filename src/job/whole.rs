//! A job that was checked as a whole.

use std::ops::Deref;
use std::sync::Arc;

use super::{Finding, JobSpec, check};

/// A job that can be planned: its fields, read only, are those of its [`JobSpec`].
///
/// Names are unique within frames, boards and mouldings; every `moulding_idx` is in range; every quantity is 1 or
/// more; all lengths are positive, except kerf, trim and allowances, which may be zero. A clone shares the fields.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Job(Arc<JobSpec>);

/// Why something asked for is no job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// What was asked for.
    pub spec: JobSpec,
    /// All findings, errors and remarks, in the order of the checks.
    pub findings: Vec<Finding>,
}

impl Job {
    /// Checks what is asked for as a whole, and makes a job of it; with it come remarks on what can be planned but is odd.
    ///
    /// # Errors
    /// [`Refused`], where any finding is an error.
    ///
    /// # Panics
    /// If a `moulding_idx` is out of range.
    pub fn new(spec: JobSpec) -> Result<(Job, Vec<Finding>), Box<Refused>> {
        let findings = check(&spec);
        if findings.iter().any(Finding::is_error) {
            return Err(Box::new(Refused { spec, findings }));
        }
        Ok((Job(Arc::new(spec)), findings))
    }

    /// A job that follows from one that was checked.
    pub(super) fn derived(spec: JobSpec) -> Job {
        Job(Arc::new(spec))
    }

    /// Its fields, to make another job from.
    pub fn spec(&self) -> JobSpec {
        JobSpec::clone(&self.0)
    }
}

impl Deref for Job {
    type Target = JobSpec;

    fn deref(&self) -> &JobSpec {
        &self.0
    }
}

/// Tests also try jobs that no check has passed.
#[cfg(test)]
impl std::ops::DerefMut for Job {
    fn deref_mut(&mut self) -> &mut JobSpec {
        Arc::make_mut(&mut self.0)
    }
}

#[cfg(test)]
impl From<JobSpec> for Job {
    fn from(spec: JobSpec) -> Job {
        Job::derived(spec)
    }
}
