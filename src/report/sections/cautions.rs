//! What to look out for, where the job's own numbers call for it.

use std::collections::BTreeSet;

use crate::frame::Holding;
use crate::job::{HardwareUse, Job};
use crate::plan::Plan;
use crate::report::document::{
    Document, Inline, Line, Text, Tone, count_of, exact, listed, name, needed_with_unit,
    round_figure, say, there_with_unit,
};
use crate::report::hardware_words::{lacking_amount, lacking_words, use_name};
use crate::report::naming::{frames_together, name_together};
use crate::stations::{Lacking, WhyLacking, hardware};
use crate::tally::{
    Caution, HEAVY_PANE, LARGE_PANE, Limits, NARROW_PANE, PUSH_STICK, Untold, cautions,
    chosen_by_weight, half_weighed, sized_frames, sizes_cautions, untold,
};

/// What the sheet is not.
pub(super) const DEFERRAL: &str = "This plan never replaces the manual of your machines, the rules of the place you work in, or \
                        the advice of someone trained.";

pub(super) fn write(doc: &mut Document, plan: &Plan) {
    doc.heading("cautions", "Before you cut");
    write_all(doc, &plan.job, unserved(&plan.job), &cautions(plan));
}

/// Hardware that the job has and that serves some frames not: for each use and reason the first frame, and which others, those
/// that need as much together.
fn unserved(job: &Job) -> Vec<Line> {
    let mut told: Vec<Vec<Lacking>> = Vec::new();
    for one in hardware(job).lacking {
        let is_like = |others: &&mut Vec<Lacking>| {
            others[0].hardware_use == one.hardware_use
                && std::mem::discriminant(&others[0].why) == std::mem::discriminant(&one.why)
        };
        match told.iter_mut().find(is_like) {
            Some(others) => others.push(one),
            None => told.push(vec![one]),
        }
    }
    let lines = told.into_iter().map(|all| {
        let mut amounts: Vec<(WhyLacking, Vec<usize>)> = Vec::new();
        for one in &all {
            match amounts.iter_mut().find(|(why, _)| *why == one.why) {
                Some((_, frames)) => frames.push(one.frame_idx),
                None => amounts.push((one.why, vec![one.frame_idx])),
            }
        }
        let mut words = lacking_words(job, &all[0]);
        for (at, (why, frames)) in amounts.iter().enumerate() {
            if at > 0 {
                let frames = frames_together(job, frames);
                words = say!("{} For {}: {}.", words, frames, lacking_amount(*why));
            } else if frames.len() > 1 {
                words = say!(
                    "{} So it is with {}.",
                    words,
                    frames_together(job, &frames[1..])
                );
            }
        }
        Line::item(words)
    });
    lines.collect()
}

/// What sizes alone call for, under a list of them.
pub(super) fn write_for_sizes(doc: &mut Document, job: &Job) {
    let cautions = sizes_cautions(job);
    if cautions.len() > 1 {
        doc.heading("cautions", "Before you begin");
    }
    write_all(doc, job, Vec::new(), &cautions);
}

/// What stands before the cautions, each of them, and the closing word by itself.
fn write_all(doc: &mut Document, job: &Job, mut lines: Vec<Line>, cautions: &[Caution]) {
    let others = cautions.iter().filter(|&&it| it != Caution::Deferral);
    lines.extend(others.map(|&caution| Line::item(sentence(job, caution))));
    doc.lines(lines);
    doc.line(Tone::Strong, DEFERRAL);
}

/// Those of the cautions that belong to one step.
pub(super) fn write_at_step(
    doc: &mut Document,
    job: &Job,
    cautions: &[Caution],
    belongs: impl Fn(&Caution) -> bool,
) {
    let here = cautions.iter().filter(|&caution| belongs(caution));
    let lines = here.map(|&caution| Line::new(Tone::Watch, sentence(job, caution)));
    doc.lines(lines.collect());
}

/// One caution, in the job's units.
#[expect(clippy::too_many_lines, reason = "one case for each caution")]
fn sentence(job: &Job, caution: Caution) -> Text {
    let limits = Limits::of(job.display.unit);
    let short = || round_figure(limits.short_work);
    match caution {
        Caution::LongBoards { n_boards, longest } => say!(
            "On the road: {} to be cut at the yard, the longest piece {}. Ask before you pay whether the yard cuts, and \
             measure the pieces before you load them. Tie them down at both ends, flag what stands out behind, and keep \
             to the local rules on loads.",
            count_of(n_boards, "board"),
            there_with_unit(longest)
        ),
        Caution::Chopper { n_cuts } => say!(
            "Chopper: {} under its knives. Guard on; both hands away from the knives before your foot moves to the \
             pedal; foot off the pedal before you reach for a piece.",
            count_of(n_cuts, "cut")
        ),
        Caution::ShortParts {
            n_parts,
            shortest,
            length,
            n_unheld,
            n_all_short,
            n_tiny,
        } => {
            let (near, off) = if job.shop.chops() {
                ("under the knives", "cut")
            } else {
                ("near the blade", "sawn")
            };
            let mut text = say!(
                "Short work: {} under {}, the shortest {} ({}). Keep to the order of the cuts, so that they \
                 are {} off while the board is long, and hold the board: never a short part by hand {}.",
                count_of(n_parts, "part"),
                short(),
                needed_with_unit(length),
                name_together(job, &[shortest]),
                off,
                near
            );
            // Where a longer part could not be put last, and where there is none.
            let last = match n_all_short {
                1 => "comes last on boards that give short parts only",
                _ => "come last on boards that give short parts only",
            };
            for (n_parts, why) in [
                (n_unheld - n_all_short, "cannot come before longer ones"),
                (n_all_short, last),
            ] {
                if n_parts > 0 {
                    text.push(say!(" {} of them {}: with less than {} left to hold, clamp the board or use a carrier.", n_parts, why, short()));
                }
            }
            if n_tiny > 0 {
                text.push(say!(" {} of them are under {}: only in a carrier or with a hold-down, whatever the order.", n_tiny, round_figure(limits.tiny_work)));
            }
            text
        }
        Caution::ShortMilledAfterCutting { n_parts, length } => say!(
            "Short milling: {} under {} to be milled after cutting, the shortest {}. Do not put them through a \
             planer.",
            count_of(n_parts, "part"),
            short(),
            needed_with_unit(length)
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
                "Let such an end lie free: set the stop on the side that you hold, and wait until the blade stands still \
                 before you reach for the end."
            };
            say!(
                "Short offcuts: less than {} left on {}, the least {}. {}",
                short(),
                count_of(n_strips, stock),
                there_with_unit(shortest),
                what_to_do
            )
        }
        Caution::LooseTriangles { n_triangles } => {
            let wait = if job.shop.chops() {
                "brush it away with your foot off the pedal"
            } else {
                "leave it until the blade stands still, and see that it cannot wedge between blade and stop or fence"
            };
            say!(
                "Loose triangles: {} between miters that do not share a cut. Each falls free at the second cut: {}.",
                count_of(n_triangles, "triangle"),
                wait
            )
        }
        Caution::Ripping {
            n_boards,
            narrowest,
        } => say!(
            "Ripping: {} to be ripped to width, the narrowest strip {}. Guard and riving knife in place, push sticks \
             at hand: a push stick, not a hand, brings the last {} of every rip past the blade, and clears narrow \
             strips from beside it.",
            count_of(n_boards, "board"),
            there_with_unit(narrowest),
            round_figure(PUSH_STICK)
        ),
        Caution::ThinRips {
            n_strips,
            narrowest,
        } => say!(
            "Thin rips: {} under {} wide, the narrowest {}. Between fence and blade use a push block that holds the \
             strip down and may be cut into; or set a thin-strip guide before the blade, so that the strip falls on \
             the free side and is not caught against the fence. What falls there stays until the blade stands still.",
            count_of(n_strips, "strip"),
            round_figure(limits.thin_rip),
            there_with_unit(narrowest)
        ),
        Caution::ThickBoards {
            n_strips,
            board_idx,
            given,
            moulding_idx,
            wanted,
        } => say!(
            "Thick boards: of {} more than half of the thickness is planed away, most of it of {}, {} thick, for {}, {} \
             thick. Look for thinner boards; or have them sawn in two on edge first, on a bandsaw, by its manual and by \
             someone trained. Plane a little at each pass, from both faces.",
            count_of(n_strips, "strip"),
            listed(&job.boards[board_idx].name),
            there_with_unit(given),
            listed(&job.mouldings[moulding_idx].name),
            there_with_unit(wanted)
        ),
        Caution::Glazing {
            n_sheets,
            n_glass,
            n_large,
            n_thin,
            n_vast,
            n_heavy,
            n_narrow,
        } => {
            let mut text = say!("Glazing: {}.", count_of(n_sheets, "sheet"));
            if n_glass > 0 {
                text.push(
                    " With glass, gloves and eye protection, and one sheet at a time, on edge; large ones by two \
                     people. A sheet that slips is left to fall.",
                );
            }
            if n_thin > 0 {
                text.push(say!(" {} larger than is usual for glass of that thickness: take thicker glass, or acrylic.", are(n_thin)));
            }
            if n_vast > 0 {
                text.push(say!(
                    " {} larger than is usual for glass in frames, however thick: take acrylic.",
                    are(n_vast)
                ));
            }
            if n_large > 0 {
                let face = i128::from(LARGE_PANE.nm()) * i128::from(LARGE_PANE.nm());
                text.push(say!(" {} larger than {}: offer acrylic or laminated glass, and ask for the local rule.", are(n_large), Inline::Face(face)));
            }
            if n_heavy > 0 {
                text.push(say!(" {} heavier than {}: two people to each, or acrylic, which weighs less than half.", are(n_heavy), Inline::Weight(HEAVY_PANE)));
            }
            if n_narrow > 0 {
                text.push(say!(" {} narrower than {}: narrow glass breaks as it is parted; have it cut, or take acrylic.", are(n_narrow), round_figure(NARROW_PANE)));
            }
            text
        }
        Caution::HeavyFrames {
            n_frames,
            heaviest,
            weight,
        } => say!(
            "Hanging: {} over {} without the artwork, the heaviest {} ({}). No single wire: two points on the wall or \
             a cleat, hardware rated for twice the weight at least, and the advice of someone trained on what the \
             wall can bear.",
            count_of(n_frames, "frame"),
            Inline::Weight(limits.one_wire),
            Inline::Weight(weight),
            listed(&job.frames[heaviest].name)
        ),
        Caution::HalfWeighed { .. } => half_weighed_words(job),
        Caution::Shop => {
            let chops_only = job.shop.chops() && job.shop.rip.is_none();
            if chops_only {
                "Yourself: eye protection; no gloves, rings or loose sleeves at the chopper.".into()
            } else {
                "Yourself: eye and hearing protection, and dust drawn off or a mask against it; no gloves, rings or \
                 loose sleeves at a saw."
                    .into()
            }
        }
        Caution::MeasureFirst { kerf, n_boards } => say!(
            "Measure first: one real kerf (this plan assumes {}) and one real board of each kind, before you rely on this \
             plan{}.",
            exact(kerf),
            (n_boards > 0).then(|| say!(" for {}", count_of(n_boards, "board")))
        ),
        Caution::Deferral => DEFERRAL.into(),
    }
}

/// Whose weight is known in part only, what is chosen by it, and what to tell so that it is known.
fn half_weighed_words(job: &Job) -> Text {
    let lines = half_weighed(job);
    let sized = sized_frames(job);
    let missing: BTreeSet<Untold<'_>> = lines.iter().flat_map(|&idx| untold(&sized[idx])).collect();
    let fields = missing.into_iter().filter_map(|one| match one {
        Untold::Wood(moulding) => Some(say!(
            "the wood of moulding {} (tell its `material`)",
            name(moulding)
        )),
        Untold::WhichWood(wood) => Some(say!(
            "how heavy {} is (put a known wood as heavy, such as spruce or oak, into the `material` of moulding and boards)",
            name(wood)
        )),
        Untold::Thickness(moulding) => Some(say!(
            "how thick moulding {} is (tell its `thickness`)",
            name(moulding)
        )),
        Untold::Glazing(pane) => Some(say!(
            "what the pane {} is made of (put glass or acrylic into its name)",
            name(pane)
        )),
        Untold::Backing(back) => Some(say!(
            "what the back {} is made of (put foam board, MDF, hardboard or plywood into its name)",
            name(back)
        )),
        Untold::TrayArt(_) => None,
    });
    let mut missing: Vec<Text> = fields.collect();
    let trays = lines.iter().copied();
    let trays: Vec<usize> = trays
        .filter(|&idx| job.frames[idx].holding != Holding::Rabbet)
        .collect();
    if !trays.is_empty() {
        missing.push(say!(
            "what stands in the tray of {} (no field tells it: weigh it)",
            frames_together(job, &trays)
        ));
    }
    let mut text = match &lines[..] {
        [idx] => say!(
            "Weights: the weight of {} is known only in part.",
            listed(&job.frames[*idx].name)
        ),
        _ => say!(
            "Weights: the weight of these frames is known only in part: {}.",
            frames_together(job, &lines)
        ),
    };
    let (cleat, rated): (Vec<_>, Vec<_>) = chosen_by_weight(job)
        .into_iter()
        .partition(|&of| of == HardwareUse::Cleat);
    if !rated.is_empty() {
        let rated = rated.into_iter().map(|of| use_name(of).into());
        text.push(say!(
            " The strongest of the job’s {} are taken; whether these bear it is not known.",
            Text::enumerated(rated.collect())
        ));
    }
    if !cleat.is_empty() {
        text.push(" Whether a cleat is called for (`cleat-above`) is not known.");
    }
    text.push(say!(" Missing: {}.", Text::join(missing, "; ")));
    text
}

/// A count and its verb.
fn are(count: u64) -> Text {
    let verb = if count == 1 { "is" } else { "are" };
    say!("{} {}", count, verb)
}
