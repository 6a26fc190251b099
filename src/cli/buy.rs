//! The command `buy`: ways of buying side by side.

use crate::compare::{Steer, compare};
use crate::length::{Length, Notation, Unit, parse};
use crate::load::load_job_to_buy;
use crate::report::text::ways_text;

use super::args::{BuyArgs, BuyFormat};
use super::disk::Disk;
use super::watch::Watch;
use super::{Ended, Fault, look, print, warn};

/// Runs the command.
pub(super) fn buy(args: &BuyArgs) -> Result<Ended, Fault> {
    let disk = Disk::default();
    let (job, mut buying, warnings) = load_job_to_buy(&args.job, &disk).map_err(Fault::Input)?;
    warn(&warnings);
    if let Some(longest) = &args.longest {
        buying.longest = Some(read_longest(longest, job.display.unit)?);
    }
    let watch = Watch::start(args.time);
    let compared = compare(
        &job,
        &buying,
        &Steer {
            stop: &|| watch.stop(),
            progress: &|done, of| watch.count(done, of),
        },
    );
    watch.end();
    let comparison = compared.map_err(|violations| {
        Fault::Rejected(violations.iter().map(ToString::to_string).collect())
    })?;
    print(&match args.format {
        BuyFormat::Text => ways_text(&job, &buying, &comparison, look(args.look.width)),
    })?;
    Ok(if comparison.best().is_complete() {
        Ended::Complete
    } else {
        Ended::Incomplete
    })
}

/// The longest board that the vehicle takes, as it was typed.
fn read_longest(text: &str, unit: Unit) -> Result<Length, Fault> {
    let notation = Notation {
        unit,
        decimal_comma: false,
    };
    match parse(text, notation) {
        Ok(Length::ZERO) => Err(Fault::Usage("--longest must be more than zero".to_owned())),
        Ok(length) => Ok(length),
        Err(error) => Err(Fault::Usage(format!(
            "`{text}` is not a length for --longest: {error}"
        ))),
    }
}
