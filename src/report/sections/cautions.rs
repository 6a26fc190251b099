//! What to look out for, where the job's own numbers call for it.

use crate::job::Job;
use crate::plan::Plan;
use crate::report::document::{
    Document, Line, Text, Tone, count_of, exact, needed_with_unit, say, there_with_unit,
};
use crate::report::naming::name_together;
use crate::tally::{Caution, PUSH_STICK, SHORT_WORK, cautions};

/// What the sheet is not.
const DEFERRAL: &str = "This sheet never replaces the manual of your machines, the rules of the place you work in, or \
                        the advice of someone trained.";

pub(super) fn write(doc: &mut Document, plan: &Plan) {
    doc.heading("cautions", "Before you cut");
    let cautions = cautions(plan);
    let sentences = cautions
        .into_iter()
        .filter(|&caution| caution != Caution::Deferral)
        .map(|caution| Line::item(sentence(&plan.job, caution)));
    doc.lines(sentences.collect());
    write_deferral(doc);
}

/// Only the closing word, under a list of sizes.
pub(super) fn write_deferral(doc: &mut Document) {
    doc.line(Tone::Strong, DEFERRAL);
}

/// One caution, in the job's units.
fn sentence(job: &Job, caution: Caution) -> Text {
    let short = exact(SHORT_WORK);
    match caution {
        Caution::ShortParts {
            n_parts,
            shortest,
            length,
        } => say!(
            "Short work: {} under {}, the shortest {} ({}). Cut them from a longer piece, and clamp them or use a \
             carrier; never hold them by hand near the blade.",
            count_of(n_parts, "part"),
            short,
            needed_with_unit(length),
            name_together(job, &[shortest])
        ),
        Caution::ShortMilledAfterCutting { n_parts, length } => say!(
            "Short milling: {} under {} to be milled after cutting, the shortest {}. Do not run them through a planer.",
            count_of(n_parts, "part"),
            short,
            needed_with_unit(length)
        ),
        Caution::ShortOffcuts { n_strips, shortest } => say!(
            "Short offcuts: less than {} left on {}, the least {}. Let such an end lie free: the stop goes on the held \
             side only, and you wait until the blade stands still before you reach for it.",
            short,
            count_of(
                n_strips,
                if job.shop.rip.is_some() {
                    "strip"
                } else {
                    "board"
                }
            ),
            there_with_unit(shortest)
        ),
        Caution::Ripping {
            n_boards,
            narrowest,
        } => say!(
            "Ripping: {} to be ripped to width, the narrowest strip {}. Guard and riving knife in place, push sticks at \
             hand: a push stick, not a hand, brings the last {} of every rip past the blade, and clears narrow strips \
             from beside it.",
            count_of(n_boards, "board"),
            there_with_unit(narrowest),
            exact(PUSH_STICK)
        ),
        Caution::Glazing { n_sheets } => say!(
            "Glazing: {}. With glass, gloves and eye protection, and one sheet at a time.",
            count_of(n_sheets, "sheet")
        ),
        Caution::MeasureFirst { kerf, n_boards } => say!(
            "Measure first: one real kerf (reckoned with: {}) and one real board of each kind, before you rely on this \
             sheet for {}.",
            exact(kerf),
            count_of(n_boards, "board")
        ),
        Caution::Deferral => DEFERRAL.into(),
    }
}
