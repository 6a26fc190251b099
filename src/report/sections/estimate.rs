//! What frames of some sizes may cost: a price list for customers that tells no costs, and the estimate behind it for the shop.

use std::collections::BTreeSet;

use crate::job::{CostKind, Hindrance, Job, Serves};
use crate::length::Length;
use crate::money::Money;
use crate::quote::{Estimate, Estimated, NoEstimate, WasteOf};
use crate::report::document::{
    Document, Kind, Line, Table, Text, Tone, amount, count_of, in_currency, money, name, say,
    there, there_with_unit, together,
};
use crate::report::hardware_words::use_name;
use crate::stations::WhyLacking;
use crate::stock::board_cost;

use super::frames::border_words;
use super::price_rules::{cost_rules, faint, markup_rule, raised_words};
use super::quote::{not_final, write_lacks};
use super::sheets::material_name;

/// The price list for customers.
///
/// # Panics
/// If `estimate` is not of `job`.
pub fn estimate_sheet(job: &Job, estimate: &Estimate) -> Document {
    let mut doc = Document::new(job);
    super::opening::write_title(&mut doc, job);
    let mut text = Text::from("Estimated prices of one frame, by the size of its art");
    if let Some(tax) = &job.prices.tax {
        let rate = together(tax.rate.to_string());
        text.push(if tax.is_included {
            say!(", with {} {}", name(&tax.name), rate)
        } else {
            say!(", without {} {}", name(&tax.name), rate)
        });
    }
    text.push(". What is ordered is priced anew.");
    doc.line(Tone::Plain, text);
    for (moulding_idx, frames) in by_moulding(estimate) {
        let own = name(&job.mouldings[moulding_idx].name);
        doc.heading("price", in_currency_text(job, own));
        let mut table = Table::new()
            .column("art", Kind::Words, Tone::Strong)
            .column("without a mat", Kind::Number, Tone::Strong)
            .column("with a mat", Kind::Number, Tone::Strong);
        let is_matted = |of: &&&Estimated| of.has_mat() && of.found.is_ok();
        let borders = frames.iter().find(is_matted);
        let borders = borders.and_then(|of| mat_borders(job, of));
        let price = |of: Option<&&Estimated>| {
            let found = of.and_then(|of| of.found.as_ref().ok());
            Text::from(found.map(|found| amount(found.priced.each)))
        };
        let mut arts: Vec<_> = frames.iter().map(|of| of.art).collect();
        arts.dedup();
        for art in arts {
            let of = |has_mat| {
                let mut frames = frames.iter();
                frames.find(|of| of.art == art && of.has_mat() == has_mat)
            };
            let (without, with) = (of(false), of(true));
            let row = vec![art_words(art), price(without), price(with)];
            if row[1..].iter().any(|cell| *cell != Text::default()) {
                table.row(row);
            }
        }
        if !table.rows.is_empty() {
            doc.table(table);
        }
        if let Some(borders) = borders {
            doc.line(Tone::Faint, say!("With a mat of {}.", borders));
        }
        for untold in untold(&frames) {
            doc.line(Tone::Plain, untold);
        }
    }
    doc.lines(not_final(job, &estimate.lacks));
    doc
}

/// The borders of the mat that a frame has.
fn mat_borders(job: &Job, of: &Estimated) -> Option<Text> {
    let mat = job.frames[of.mat_of?].mat.as_ref()?;
    let borders = mat.borders;
    let sides = [borders.top, borders.right, borders.bottom, borders.left];
    Some(if sides.iter().all(|&side| side == borders.top) {
        there_with_unit(borders.top)
    } else {
        border_words(borders)
    })
}

/// The sizes of which no price can be told, those with one reason together.
fn untold(frames: &[&Estimated]) -> Vec<Text> {
    let reason = |of: &Estimated| of.found.as_ref().err().map(why_no_estimate);
    let mut reasons: Vec<(Text, Vec<Text>)> = Vec::new();
    for of in frames {
        let Some(why) = reason(of) else {
            continue;
        };
        let mut others = frames.iter();
        let other = others.find(|other| other.art == of.art && other.has_mat() != of.has_mat());
        let is_same = other.and_then(|other| reason(other)).as_ref() == Some(&why);
        let art = match (of.has_mat(), other.is_some()) {
            (true, _) if is_same => continue,
            (true, _) => say!("{} with a mat", art_words(of.art)),
            (false, true) if !is_same => say!("{} without a mat", art_words(of.art)),
            (false, _) => art_words(of.art),
        };
        match reasons.iter_mut().find(|(own, _)| *own == why) {
            Some((_, arts)) => arts.push(art),
            None => reasons.push((why, vec![art])),
        }
    }
    let reasons = reasons.into_iter().map(|(why, arts)| {
        say!(
            "No price can be told yet, as {}: {}.",
            why,
            Text::join(arts, ", ")
        )
    });
    reasons.collect()
}

/// The sheet for the shop.
///
/// # Panics
/// If `estimate` is not of `job`.
pub fn estimated_costs_sheet(job: &Job, estimate: &Estimate) -> Document {
    let mut doc = Document::new(job);
    super::opening::write_title(&mut doc, job);
    doc.line(
        Tone::Watch,
        "An estimate: nothing is planned here. What is really cut may cost more or less.",
    );
    write_lacks(&mut doc, job, &estimate.lacks);
    for (moulding_idx, frames) in by_moulding(estimate) {
        let own = name(&job.mouldings[moulding_idx].name);
        doc.heading("estimate", in_currency_text(job, say!("Estimate, {}", own)));
        let mut table = Table::new()
            .column("art", Kind::Words, Tone::Strong)
            .column("mat", Kind::Words, Tone::Plain)
            .column("wood", Kind::Number, Tone::Plain)
            .column("sheets", Kind::Number, Tone::Plain)
            .column("hardware", Kind::Number, Tone::Plain)
            .column("labor", Kind::Number, Tone::Plain)
            .column("on top", Kind::Number, Tone::Plain)
            .column("cost", Kind::Number, Tone::Plain)
            .column("price", Kind::Number, Tone::Strong);
        let is_used = |kinds: &[CostKind]| {
            let found = frames.iter().filter_map(|of| of.found.as_ref().ok());
            let mut costs = found.map(|found| found.priced.of.costs);
            costs.any(|costs| kinds.iter().any(|&kind| costs.of(kind) > Money::ZERO))
        };
        for of in &frames {
            let mut cells = vec![
                art_words(of.art),
                Text::from(of.has_mat().then_some("mat").map(Text::from)),
            ];
            let priced = of.found.as_ref().ok().map(|found| &found.priced);
            for kinds in COLUMNS {
                let sum = priced.filter(|_| is_used(kinds)).map(|priced| {
                    let kinds = kinds.iter();
                    amount(kinds.map(|&kind| priced.of.costs.of(kind)).sum())
                });
                cells.push(sum.into());
            }
            cells.push(priced.map(|priced| amount(priced.of.costs.sum())).into());
            cells.push(priced.map(|priced| amount(priced.each)).into());
            table.row(cells);
            if let Err(why) = &of.found {
                table.note(Tone::Watch, say!("No estimate: {}.", why_no_estimate(why)));
            }
        }
        doc.table(table);
        doc.lines(made_like(job, &frames));
    }
    doc.heading("rules", "How it is reckoned");
    doc.lines(rules(job, estimate));
    doc
}

/// The kinds of cost in a column each, from wood to what comes on top.
const COLUMNS: [&[CostKind]; 5] = [
    &[CostKind::Wood],
    &[CostKind::Mats, CostKind::Glazing, CostKind::Backing],
    &[CostKind::Hardware],
    &[CostKind::Labor],
    &[CostKind::Waste, CostKind::Overhead],
];

fn in_currency_text(job: &Job, words: Text) -> Text {
    let code = in_currency(job, "");
    if code == Text::from("") {
        words
    } else {
        say!("{}{}", words, code)
    }
}

/// The frames of each moulding that has any.
fn by_moulding(estimate: &Estimate) -> Vec<(usize, Vec<&Estimated>)> {
    let mut groups: Vec<(usize, Vec<&Estimated>)> = Vec::new();
    for of in &estimate.frames {
        match groups.last_mut() {
            Some((moulding_idx, frames)) if *moulding_idx == of.moulding_idx => frames.push(of),
            _ => groups.push((of.moulding_idx, vec![of])),
        }
    }
    groups
}

fn art_words((width, height): (Length, Length)) -> Text {
    together(say!("{} × {}", there(width), there_with_unit(height)))
}

/// Like which frame those of one moulding are made, and from which boards.
fn made_like(job: &Job, frames: &[&Estimated]) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some(of) = frames.first() {
        lines.push(faint(say!(
            "Made like {}: its glazing and backing, without spacers and frames inside.",
            name(&job.frames[of.like].name)
        )));
    }
    if let Some(of) = frames.iter().find(|of| of.has_mat())
        && let (Some(frame_idx), Some(borders)) = (of.mat_of, mat_borders(job, of))
    {
        lines.push(faint(say!(
            "With a mat: that of {}, {}.",
            name(&job.frames[frame_idx].name),
            borders
        )));
    }
    let found = frames.iter().filter_map(|of| of.found.as_ref().ok());
    let boards: BTreeSet<usize> = found.map(|found| found.board_idx).collect();
    let boards = boards.into_iter().map(|idx| {
        let board = &job.boards[idx];
        let price = board_cost(board).ok().flatten().unwrap_or_default();
        say!("{} at {}", name(&board.name), money(price))
    });
    let boards = Text::join(boards, ", ");
    if boards != Text::default() {
        lines.push(faint(say!("Wood by {}.", boards)));
    }
    lines
}

fn rules(job: &Job, estimate: &Estimate) -> Vec<Line> {
    let mut lines = Vec::new();
    for &of in &estimate.wasted {
        let Some(waste) = estimate.wastes.of(of) else {
            continue;
        };
        let what = match of {
            WasteOf::Boards => "boards, by length",
            WasteOf::RippedBoards => "boards, by face",
            WasteOf::Sheets(Serves::Mat) => "mat board",
            WasteOf::Sheets(Serves::Glazing) => "glazing",
            WasteOf::Sheets(Serves::Backing) => "backing",
            WasteOf::Sheets(Serves::DustCover) => "dust covers",
        };
        let share = together(waste.share.to_string());
        lines.push(Line::new(
            Tone::Plain,
            if waste.is_stated {
                say!("Wasted of {}: {}, as stated.", what, share)
            } else {
                let n_past = u64::try_from(estimate.wastes.n_past()).unwrap_or(u64::MAX);
                say!(
                    "Wasted of {}: {}, by {}.",
                    what,
                    share,
                    count_of(n_past, "past plan")
                )
            },
        ));
    }
    if estimate.wastes.n_past() > 0 {
        lines.push(faint(
            "Wasted in past plans is what was bought and is in no part, kept offcuts among it, rounded up to the next tenth of \
             a percent.",
        ));
        let mats = WasteOf::Sheets(Serves::Mat);
        let measured = estimate.wastes.of(mats).filter(|waste| !waste.is_stated);
        if measured.is_some() && estimate.wasted.contains(&mats) {
            lines.push(faint(
                "A mat counts with its window; what is cut from the board that drops out of it is in a part as well.",
            ));
        }
    }
    lines.push(faint(
        "Wood: of the boards on sale that hold the longest rail the one that comes cheapest; its price by length, where \
         boards are ripped by face, times all four rails at their long points, divided by what is not wasted. Each pane and \
         board the same, by face. Each amount is rounded to the nearest, half up.",
    ));
    if !job.hardware.is_empty() {
        lines.push(faint(
            "Hardware: of each lot what one frame takes, rounded to the nearest, half up.",
        ));
    }
    lines.extend(cost_rules(&job.prices));
    lines.extend(markup_rule(&job.prices));
    let mut text = Text::from("The price is that of one");
    if let Some(tax) = job.prices.tax.as_ref().filter(|tax| tax.is_included) {
        let rate = together(tax.rate.to_string());
        text.push(say!(", with {} {}", name(&tax.name), rate));
    }
    text.push(", raised to the next minor unit");
    text.push(raised_words(&job.prices));
    text.push(", without any discount.");
    lines.push(faint(text));
    lines
}

/// Why there is no estimate for a frame.
pub(crate) fn why_no_estimate(why: &NoEstimate) -> Text {
    match why {
        NoEstimate::NoBoard => "no board with a price suits the moulding".into(),
        NoEstimate::TooLong => "the rails are longer than every board that suits".into(),
        NoEstimate::NoSheet(key, why) => {
            let of = material_name(key);
            match why {
                Hindrance::NoSheet => say!("there is no sheet of {} with a price", of),
                Hindrance::TooLarge { .. } => {
                    say!("no sheet of {} with a price is as large", of)
                }
                Hindrance::NotTurned => {
                    say!("no sheet of {} yields it unless turned", of)
                }
                Hindrance::FirstCut { .. } | Hindrance::SecondCut { .. } => say!(
                    "no sheet of {} yields it within the longest cuts that the cutter takes",
                    of
                ),
            }
        }
        NoEstimate::NoHardware(hardware_use, why) => {
            let of = use_name(*hardware_use);
            match why {
                WhyLacking::Rated(_) => say!("none of the {} of the job is rated for enough", of),
                WhyLacking::Longer(_) => say!("none of the {} of the job is as long", of),
                WhyLacking::Wider(_) => say!("the roll for {} is too narrow", of),
            }
        }
        NoEstimate::NoMat => "no frame of the job has a mat that it could take".into(),
        NoEstimate::CannotBe => "no frame of this size can be made so".into(),
    }
}
