//! What options may be given, and how their texts are read.

use std::path::PathBuf;
use std::time::Duration;

use clap::ValueEnum;

use crate::money::Percent;

/// No search is told to take longer; a year is as good as no limit.
const LONGEST_SEARCH: Duration = Duration::from_secs(31_557_600);

/// When to print in color.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum ColorWhen {
    /// On a terminal, unless `NO_COLOR` is set
    Auto,
    /// Also into files and pipes
    Always,
    /// Not at all
    Never,
}

/// Signs to draw with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum Drawing {
    /// Lines, but ASCII on a terminal without UTF-8 or without such signs
    Auto,
    /// Letters, digits and signs that every printer has
    Ascii,
    /// Lines and blocks
    Lines,
}

/// How `estimate` prints.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum EstimateFormat {
    /// Tables, for reading and printing
    Text,
    /// One row for each frame, exact values; `quote --prices` reads it
    Csv,
}

/// Reads a share that is less than all.
pub(super) fn waste(text: &str) -> Result<Percent, String> {
    let share = Percent::parse(text).filter(|&share| share < Percent::ALL);
    share.ok_or_else(|| "expected a share below 100 %, such as `20 %`".to_owned())
}

/// For whom a quote is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum QuoteFor {
    /// Prices alone
    Customer,
    /// Costs, prices and margins
    Shop,
}

/// How `quote` prints.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum QuoteFormat {
    /// Tables, for reading and printing
    Text,
    /// One row for each line, exact values
    Csv,
    /// One JSON object, for scripts
    Json,
}

/// Reads a number of seconds above 0, up to a year.
pub(super) fn seconds(text: &str) -> Result<Duration, String> {
    let limit = text
        .parse::<f64>()
        .ok()
        .and_then(|seconds| Duration::try_from_secs_f64(seconds).ok());
    match limit {
        Some(limit) if !limit.is_zero() && limit <= LONGEST_SEARCH => Ok(limit),
        _ => Err("expected a number of seconds above 0, such as `5` or `0.5`".to_owned()),
    }
}

/// Reads the name of a folder; what goes to standard output is chosen by `--format`.
pub(super) fn folder(text: &str) -> Result<PathBuf, String> {
    if text == "-" {
        Err("expected a folder; without --out, standard output gets what --format says".to_owned())
    } else {
        Ok(PathBuf::from(text))
    }
}

/// What `schema` describes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum SchemaOf {
    /// The job file, with the columns of its tables
    Job,
    /// The plan, as `plan --format json` prints it
    Plan,
    /// The rest.json of `replan`
    Rest,
}

/// What `plan` prints.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum PlanFormat {
    /// The whole plan, for reading and printing
    Text,
    /// The order of sawing by stop: each setting once, and all that is cut at it
    Stops,
    /// What to take, in 40 columns for a phone, with what may stand in for each board
    Pocket,
    /// What each station of the bench is set to, from ripping to hanging
    Stations,
    /// One JSON object, for scripts
    Json,
}

/// A section of the text of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum Section {
    /// Which boards to take
    Boards,
    /// What becomes of the wood
    Wood,
    /// The rack
    Rack,
    /// Where to rip
    Rips,
    /// Where to cut: the drawings and lists of all boards
    Cuts,
    /// Grain and color
    Grain,
    /// Sizes of the frames
    Frames,
    /// Glass and board: sheets to take, drawn with their cuts
    Sheets,
    /// What to look out for
    Cautions,
}

impl Section {
    /// The kinds of the headings that it has.
    pub(in crate::cli) fn headings(self) -> &'static [&'static str] {
        match self {
            Section::Boards => &["boards"],
            Section::Wood => &["wood"],
            Section::Rack => &["rack", "unused"],
            Section::Rips => &["rips"],
            Section::Cuts => &["cuts"],
            Section::Grain => &["grain", "color"],
            Section::Frames => &["frames"],
            Section::Sheets => &["sheets"],
            Section::Cautions => &["cautions"],
        }
    }
}

/// What `buy` prints.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum BuyFormat {
    /// Tables, for reading and printing
    Text,
    /// What to take, in 40 columns for a phone, with what may stand in for each board
    Pocket,
    /// One row for each way, exact values
    Csv,
    /// One JSON object, for scripts
    Json,
}

/// What `sizes` prints.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum SizesFormat {
    /// A table, for reading and printing
    Text,
    /// One row for each frame, exact values
    Csv,
    /// One JSON object, for scripts
    Json,
}
