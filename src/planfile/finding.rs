//! What does not hold of a plan file, in words.

use std::fmt;

use super::compare::Difference;
use super::rack::RackChange;
use super::read::Unknown;
use crate::audit::{Kind, Violation};
use crate::diag::quoted;
use crate::job::Job;
use crate::length::{Length, Rounding, Unit, exact_text, format as format_length};
use crate::replan::{Impossible, Place, Stick};

/// Something in a file that does not hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Finding {
    /// A name or position that the job, or the file itself, does not have.
    Unknown(Unknown),
    /// The plan contradicts the job, or a claim of the certificate does not hold.
    Audit(Violation),
    /// The bound on missing parts is higher than what the certificate proves.
    MissingNotProved {
        /// The bound.
        says: u64,
        /// What is proved.
        proved: u64,
    },
    /// The bound on the value is higher than what the certificate proves.
    BoundNotProved {
        /// The bound.
        says: i64,
        /// What is proved.
        proved: i64,
    },
    /// A frame comes in pairs though its rails in a row would fit on some board: that more parts would be missing then is
    /// the word of the program that searched for it.
    PairsNotProved {
        /// Index into the job's frames.
        frame_idx: usize,
    },
    /// A field does not say what follows from job, plan and certificate.
    Field(Difference),
    /// A bench has not one round for each sheet but the first.
    RoundForEachSheet,
    /// What a round says cannot have happened then.
    Impossible(Impossible),
    /// The files that a plan or a round carries hold no job.
    NoJob,
    /// The job is not the one that the files hold which the plan, or its newest sheet, was made from.
    JobHasChanged,
    /// What lies on the racks of the job is not what the files hold, and nothing else is another: the file is judged by the racks as
    /// they were.
    RackHasChanged(RackChange),
    /// A finding on one sheet of a bench.
    OnSheet {
        /// Which sheet, from 0.
        sheet: usize,
        /// What was found there.
        finding: Box<Finding>,
    },
}

/// More of a value than this is not repeated.
const LONGEST_SHOWN: usize = 80;

/// A JSON value in a sentence.
fn shown(value: Option<&String>) -> String {
    match value {
        None => "nothing".to_owned(),
        Some(text) if text.chars().count() <= LONGEST_SHOWN => text.clone(),
        Some(text) => text.chars().take(LONGEST_SHOWN).chain(['…']).collect(),
    }
}

/// A length in the unit of a job, exactly; where an inch has no finite decimal for it, to 1/64 in with the exact value beside.
fn told_length(nm: i128, unit: Unit) -> String {
    // No length of a job is as long, and what is longer cannot be rounded.
    let told = i64::try_from(nm)
        .ok()
        .filter(|nm| nm.unsigned_abs() < 1 << 62);
    let Some(nm) = told else {
        return format!("{nm} nm");
    };
    let length = Length::from_nm(nm);
    let exact = exact_text(length, unit);
    if !unit.is_imperial() || !exact.ends_with(" mm") {
        return format!("`{exact}`");
    }
    let step = Length::from_nm(Length::INCH.nm() / 64);
    let near = format_length(length, unit, step, Rounding::Nearest);
    format!("about `{near}` (`{exact}` exactly)")
}

/// A value of a plan file whose name ends in `_nm`, as the length that it is.
fn told_field(path: &str, value: Option<&String>, unit: Unit) -> String {
    let is_length = path.ends_with("_nm");
    let nm = value
        .filter(|_| is_length)
        .and_then(|text| text.parse().ok());
    nm.map_or_else(|| shown(value), |nm| told_length(nm, unit))
}

impl Finding {
    /// In words for people who read the job: lengths in its unit, parts under their labels.
    pub fn told(&self, job: &Job) -> String {
        let unit = job.display.unit;
        match self {
            Finding::Audit(violation) => violation.told(job, &|nm| told_length(nm, unit)),
            Finding::Field(Difference {
                path,
                says,
                must_be,
            }) => format!(
                "`{path}` is {}; it must be {}",
                told_field(path, says.as_ref(), unit),
                told_field(path, must_be.as_ref(), unit)
            ),
            Finding::OnSheet { sheet, finding } => {
                format!("sheet {}: {}", sheet + 1, finding.told(job))
            }
            _ => self.to_string(),
        }
    }

    /// Whether it says only that the racks are not what they were.
    pub(super) fn is_of_rack(&self) -> bool {
        matches!(self, Finding::RackHasChanged(_))
    }

    /// Whether it says only that a bound rests on the word of the program that searched for it.
    pub(super) fn is_on_trust(&self) -> bool {
        match self {
            Finding::MissingNotProved { .. }
            | Finding::BoundNotProved { .. }
            | Finding::PairsNotProved { .. }
            | Finding::Audit(Violation {
                kind: Kind::TooMuchWork,
                ..
            }) => true,
            Finding::OnSheet { finding, .. } => finding.is_on_trust(),
            _ => false,
        }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Finding::Unknown(Unknown { what, name }) => {
                let whose = match *what {
                    "strip" => "file",
                    _ => "job",
                };
                write!(out, "the {whose} has no {what} {}", quoted(name))
            }
            Finding::Audit(violation) => write!(out, "{violation}"),
            Finding::MissingNotProved { says, proved } => write!(
                out,
                "at least {says} parts are said to be missing in every plan, but the certificate proves only {proved}"
            ),
            Finding::BoundNotProved { says, proved } => write!(
                out,
                "a bound of {says} is claimed, but the certificate proves only {proved}"
            ),
            Finding::PairsNotProved { frame_idx } => write!(
                out,
                "frame {} comes in pairs, as in rows more parts would be missing: that is not proved here",
                frame_idx + 1
            ),
            Finding::Field(Difference {
                path,
                says,
                must_be,
            }) => write!(
                out,
                "`{path}` is {}; it must be {}",
                shown(says.as_ref()),
                shown(must_be.as_ref())
            ),
            Finding::RoundForEachSheet => {
                write!(out, "there is not one round for each sheet but the first")
            }
            Finding::Impossible(impossible) => write!(out, "{}", impossible_words(*impossible)),
            Finding::NoJob => write!(
                out,
                "the files under `sources` hold no job that can be planned"
            ),
            Finding::JobHasChanged => write!(
                out,
                "the job has changed since: it is not what the file has under `sources`"
            ),
            Finding::RackHasChanged(change) => write!(out, "{change}"),
            Finding::OnSheet { sheet, finding } => write!(out, "sheet {}: {finding}", sheet + 1),
        }
    }
}

/// What cannot have happened, in words.
fn impossible_words(impossible: Impossible) -> String {
    let cut = |Place {
                   sheet,
                   board,
                   strip,
                   cut,
               }| { format!("cut [{sheet}, {board}, {strip}, {cut}] of a round") };
    match impossible {
        Impossible::NotToBeMade(place) => {
            format!(
                "{} was not to be made then, or stands there twice",
                cut(place)
            )
        }
        Impossible::NotToBeKept(place) => {
            format!(
                "{} cannot stay: it does not fit, or nothing wants it",
                cut(place)
            )
        }
        Impossible::TooMuchGood(place) => {
            format!("{} has more of it good than there is", cut(place))
        }
        Impossible::NotMeasured(Stick::Board { sheet, board }) => {
            format!(
                "board [{sheet}, {board}] of a round is on no sheet before, or is not measured well"
            )
        }
        Impossible::NotMeasured(Stick::Piece { sheet, board, .. }) => {
            format!("a piece of board [{sheet}, {board}] of a round is not measured by itself")
        }
        Impossible::NotMeasured(Stick::Rail(place)) => {
            format!("{} is no board that can be measured", cut(place))
        }
    }
}
