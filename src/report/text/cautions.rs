//! What to look out for, where the job's own numbers call for it.

use crate::job::Job;
use crate::plan::{Plan, SHORT_WORK, TINY_WORK};
use crate::report::figures::{Figures, count_of};
use crate::report::ink::Tone;
use crate::report::layout::{fit, one_line};
use crate::report::naming::name_together;
use crate::tally::{
    Caution, LARGE_PANE, PUSH_STICK, THIN_RIP, WIRE_LIMIT, cautions, sizes_cautions,
};

use super::page::Page;

/// What the sheet is not.
const DEFERRAL: &str = "This sheet never replaces the manual of your machines, the rules of the place you work in, or \
                        the advice of someone trained.";

pub(super) fn write(page: &mut Page<'_>, plan: &Plan) {
    page.heading("Before you cut");
    write_all(page, &plan.job, &cautions(plan));
}

/// What sizes alone call for, under a list of them.
pub(super) fn write_for_sizes(page: &mut Page<'_>, job: &Job) {
    let cautions = sizes_cautions(job);
    if cautions.len() > 1 {
        page.heading("Before you begin");
    } else {
        page.space();
    }
    write_all(page, job, &cautions);
}

/// Each caution, and the closing word by itself.
fn write_all(page: &mut Page<'_>, job: &Job, cautions: &[Caution]) {
    for &caution in cautions.iter().filter(|&&it| it != Caution::Deferral) {
        let text = sentence(page, job, caution);
        page.hanging("  - ", Tone::Plain, &text);
    }
    if cautions.len() > 1 {
        page.space();
    }
    page.prose(2, Tone::Strong, DEFERRAL);
}

/// One caution, in the job's units.
fn sentence(page: &Page<'_>, job: &Job, caution: Caution) -> String {
    let figures: &Figures<'_> = &page.figures;
    let there = |length| figures.with_unit(&figures.there(length));
    let part_length = |length| figures.with_unit(&figures.needed(length));
    let short = figures.exact(SHORT_WORK);
    match caution {
        Caution::Chopper { n_cuts } => format!(
            "Chopper: {} under its knives. Guard on; both hands away from the knives before your foot moves to the \
             pedal; foot off the pedal before you reach for a piece.",
            count_of(n_cuts, "cut")
        ),
        Caution::ShortParts {
            n_parts,
            shortest,
            length,
            n_unheld,
            n_tiny,
        } => {
            let name = fit(&name_together(job, &[shortest], 30, page.ink), 44, page.ink);
            let (near, off) = if job.shop.chops() {
                ("under the knives", "cut")
            } else {
                ("near the blade", "sawn")
            };
            let mut text = format!(
                "Short work: {} under {short}, the shortest {} ({name}). Keep to the order of the cuts, so that they \
                 are {off} off while the board is long, and hold the board: never a short part by hand {near}.",
                count_of(n_parts, "part"),
                part_length(length)
            );
            if n_unheld > 0 {
                text.push_str(&format!(
                    " {n_unheld} of them cannot come before longer ones: with less than {short} left to hold, clamp \
                     the board or use a carrier."
                ));
            }
            if n_tiny > 0 {
                text.push_str(&format!(
                    " {n_tiny} of them are under {}: only in a carrier or with a hold-down, whatever the order.",
                    figures.exact(TINY_WORK)
                ));
            }
            text
        }
        Caution::ShortMilledAfterCutting { n_parts, length } => format!(
            "Short milling: {} under {short} to be milled after cutting, the shortest {}. Do not run them through a \
             planer.",
            count_of(n_parts, "part"),
            part_length(length)
        ),
        Caution::ShortOffcuts { n_strips, shortest } => {
            let stock = if job.shop.rip.is_some() {
                "strip"
            } else {
                "board"
            };
            let what_to_do = if job.shop.chops() {
                "Do not hold such an end with your fingers near the knives: clamp it, or let it lie free until your \
                 foot is off the pedal."
            } else {
                "Let such an end lie free: the stop goes on the held side only, and you wait until the blade stands \
                 still before you reach for it."
            };
            format!(
                "Short offcuts: less than {short} left on {}, the least {}. {what_to_do}",
                count_of(n_strips, stock),
                there(shortest)
            )
        }
        Caution::LooseTriangles { n_triangles } => {
            let wait = if job.shop.chops() {
                "brush it away with your foot off the pedal"
            } else {
                "leave it until the blade stands still, and see that it cannot wedge between blade and stop or fence"
            };
            format!(
                "Loose triangles: {} between miters that do not share a cut. Each falls free at the second cut: {wait}.",
                count_of(n_triangles, "triangle")
            )
        }
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
        Caution::ThinRips {
            n_strips,
            narrowest,
        } => format!(
            "Thin rips: {} under {} wide, the narrowest {}. Between fence and blade use a push block that holds the \
             strip down and may be cut into; or set a thin-strip guide before the blade, so that the strip falls on \
             the free side and is not caught against the fence. What falls there stays until the blade stands still.",
            count_of(n_strips, "strip"),
            figures.exact(THIN_RIP),
            there(narrowest)
        ),
        Caution::Glazing {
            n_sheets,
            n_glass,
            n_large,
            n_thin,
        } => {
            let mut text = format!("Glazing: {}.", count_of(n_sheets, "sheet"));
            if n_glass > 0 {
                text.push_str(
                    " With glass, gloves and eye protection, and one sheet at a time, on edge; large ones by two \
                     people. A sheet that slips is left to fall.",
                );
            }
            if n_thin > 0 {
                text.push_str(&format!(
                    " {} larger than is usual for glass of that thickness: take thicker glass, or plastic.",
                    are(n_thin)
                ));
            }
            if n_large > 0 {
                let face = i128::from(LARGE_PANE.nm()) * i128::from(LARGE_PANE.nm());
                text.push_str(&format!(
                    " {} larger than {}: offer acrylic or laminated glass, and ask for the local rule.",
                    are(n_large),
                    figures.face(face)
                ));
            }
            text
        }
        Caution::HeavyFrames {
            n_frames,
            heaviest,
            weight,
        } => format!(
            "Hanging: {} over {} without the artwork, the heaviest {} ({}). No single wire: two points on the wall or \
             a cleat, hardware rated for twice the weight at least, and the advice of someone trained on what the \
             wall can bear.",
            count_of(n_frames, "frame"),
            figures.weight(WIRE_LIMIT),
            figures.weight(weight),
            fit(&one_line(&job.frames[heaviest].name), 30, page.ink)
        ),
        Caution::Shop => {
            let chops_only = job.shop.chops() && job.shop.rip.is_none();
            if chops_only {
                "Yourself: eye protection; no gloves, rings or loose sleeves at the chopper."
                    .to_owned()
            } else {
                "Yourself: eye and hearing protection, and dust drawn off or a mask against it; no gloves, rings or \
                 loose sleeves at a saw."
                    .to_owned()
            }
        }
        Caution::MeasureFirst { kerf, n_boards } => format!(
            "Measure first: one real kerf (this plan assumes {}) and one real board of each kind, before you rely on this \
             sheet for {}.",
            figures.exact(kerf),
            count_of(n_boards, "board")
        ),
        Caution::Deferral => DEFERRAL.to_owned(),
    }
}

/// A count and its verb.
fn are(count: u64) -> String {
    let verb = if count == 1 { "is" } else { "are" };
    format!("{count} {verb}")
}
