//! The setups at each station of the bench, in the order of work, each with its figures from the job and the caution that
//! belongs to it.

mod hanging;
mod putting_together;
mod wood;

use crate::job::Job;
use crate::length::{Length, Rounding};
use crate::report::document::{Document, Text, Tone, count_of, exact, say};
use crate::tally::{Caution, Summary, cautions, sizes_cautions};

use super::cautions::{DEFERRAL, write_at_step};
use super::opening;

/// All stations. What a job has no use for is left out, and the others are numbered.
pub fn stations_sheet(summary: &Summary<'_>) -> Document {
    let plan = summary.plan;
    let job = &plan.job;
    let mut doc = Document::new(job);
    opening::write_title(&mut doc, job);
    doc.line(Tone::Strong, DEFERRAL);
    let mut cautions = cautions(plan);
    for caution in sizes_cautions(job) {
        if !cautions.contains(&caution) {
            cautions.push(caution);
        }
    }
    let mut sheet = Sheet {
        doc,
        job,
        cautions,
        n_stations: 0,
    };
    if !plan.missing.is_empty() {
        let text = say!(
            "{} left without wood: a dash stands for each rail that is missing.",
            count_of(summary.n_missing, "part")
        );
        sheet.doc.line(Tone::Bad, text);
    }
    sheet.cautions(|caution| matches!(caution, Caution::MeasureFirst { .. } | Caution::Shop));
    wood::write(&mut sheet, summary);
    putting_together::write(&mut sheet, plan);
    hanging::write(&mut sheet);
    sheet.doc
}

/// A sheet of stations being written.
struct Sheet<'p> {
    doc: Document,
    job: &'p Job,
    cautions: Vec<Caution>,
    n_stations: u64,
}

impl Sheet<'_> {
    /// The next station.
    fn station(&mut self, id: &'static str, words: &'static str) {
        let heading = self.next(words);
        self.doc.heading(id, heading);
    }

    /// Its number and its words.
    fn next(&mut self, words: impl Into<Text>) -> Text {
        self.n_stations += 1;
        say!("{}. {}", self.n_stations, words.into())
    }

    /// The cautions that belong to this step.
    fn cautions(&mut self, belongs: impl Fn(&Caution) -> bool) {
        write_at_step(&mut self.doc, self.job, &self.cautions, belongs);
    }
}

/// A small length that no rule shows, to a thousandth of an inch or a hundredth of a millimeter, rounded up.
fn fine(job: &Job, length: Length) -> Text {
    let step = if job.display.unit.is_imperial() {
        Length::from_nm(Length::INCH.nm() / 1_000)
    } else {
        Length::from_nm(Length::MILLIMETRE.nm() / 100)
    };
    exact(length.rounded(step, Rounding::Up))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests;
