//! What may be wrong with a plan file or its certificate.

use std::fmt;

use crate::audit::Violation;

/// Something in the file that does not hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Finding {
    /// The plan contradicts the job, or a claim fails.
    Audit(Violation),
    /// A figure of the summary is not what the plan comes to.
    Summary {
        /// The figure's name in the file.
        figure: &'static str,
        /// What the file says.
        says: String,
        /// What it must say.
        must_say: String,
    },
    /// A name in the file is not in the job.
    UnknownName {
        /// What is named: `board`, `part`.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// The bound in the summary is higher than what the claims prove.
    BoundNotProved {
        /// The bound in the summary.
        says: i64,
        /// What is proved.
        proved: i64,
    },
}

impl fmt::Display for Finding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Finding::Audit(violation) => write!(out, "{violation}"),
            Finding::Summary {
                figure,
                says,
                must_say,
            } => {
                write!(
                    out,
                    "`{figure}` is `{says}`, but the plan comes to `{must_say}`"
                )
            }
            Finding::UnknownName { what, name } => write!(out, "the job has no {what} `{name}`"),
            Finding::BoundNotProved { says, proved } => {
                write!(
                    out,
                    "a bound of {says} is claimed, but the certificate proves {proved} only"
                )
            }
        }
    }
}
