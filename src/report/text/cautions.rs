//! What to look out for, where the job's own numbers call for it.

use crate::job::Job;
use crate::plan::Plan;
use crate::report::figures::{Figures, count_of};
use crate::report::ink::Tone;
use crate::report::layout::fit;
use crate::report::naming::name_together;
use crate::tally::{Caution, PUSH_STICK, SHORT_WORK, cautions};

use super::page::Page;

/// What the sheet is not.
const DEFERRAL: &str = "This sheet never replaces the manual of your machines, the rules of the place you work in, or \
                        the advice of someone trained.";

pub(super) fn write(page: &mut Page<'_>, plan: &Plan) {
    let job = &plan.job;
    page.heading("Before you cut");
    for caution in cautions(plan) {
        if caution == Caution::Deferral {
            continue;
        }
        let text = sentence(page, job, caution);
        page.hanging("  - ", Tone::Plain, &text);
    }
    page.space();
    page.prose(2, Tone::Strong, DEFERRAL);
}

/// Only the closing word, under a list of sizes.
pub(super) fn write_deferral(page: &mut Page<'_>) {
    page.space();
    page.prose(2, Tone::Strong, DEFERRAL);
}

/// One caution, in the job's units.
fn sentence(page: &Page<'_>, job: &Job, caution: Caution) -> String {
    let figures: &Figures<'_> = &page.figures;
    let there = |length| figures.with_unit(&figures.there(length));
    let part_length = |length| figures.with_unit(&figures.needed(length));
    let short = figures.exact(SHORT_WORK);
    match caution {
        Caution::ShortParts {
            n_parts,
            shortest,
            length,
        } => {
            let name = fit(&name_together(job, &[shortest], 30, page.ink), 44, page.ink);
            format!(
                "Short work: {} under {short}, the shortest {} ({name}). Cut them from a longer piece, and clamp them \
                 or use a carrier; never hold them by hand near the blade.",
                count_of(n_parts, "part"),
                part_length(length)
            )
        }
        Caution::ShortMilledAfterCutting { n_parts, length } => format!(
            "Short milling: {} under {short} to be milled after cutting, the shortest {}. Do not run them through a \
             planer.",
            count_of(n_parts, "part"),
            part_length(length)
        ),
        Caution::ShortOffcuts { n_strips, shortest } => format!(
            "Short offcuts: less than {short} left on {}, the least {}. Let such an end lie free: the stop goes on the \
             held side only, and you wait until the blade stands still before you reach for it.",
            count_of(
                n_strips,
                if job.shop.rip.is_some() {
                    "strip"
                } else {
                    "board"
                }
            ),
            there(shortest)
        ),
        Caution::Ripping {
            n_boards,
            narrowest,
        } => format!(
            "Ripping: {} to be ripped to width, the narrowest strip {}. Guard and riving knife in place, push sticks \
             at hand: a push stick, not a hand, brings the last {} of every rip past the blade, and clears narrow \
             strips from beside it.",
            count_of(n_boards, "board"),
            there(narrowest),
            figures.exact(PUSH_STICK)
        ),
        Caution::Glazing { n_sheets } => format!(
            "Glazing: {}. With glass, gloves and eye protection, and one sheet at a time.",
            count_of(n_sheets, "sheet")
        ),
        Caution::MeasureFirst { kerf, n_boards } => format!(
            "Measure first: one real kerf (reckoned with: {}) and one real board of each kind, before you rely on this \
             sheet for {}.",
            figures.exact(kerf),
            count_of(n_boards, "board")
        ),
        Caution::Deferral => DEFERRAL.to_owned(),
    }
}
