//! Sheets drawn, each with its cuts in order.

use crate::job::{Job, SheetTrim};
use crate::length::Length;
use crate::plan::sheets::{PlannedSheet, SheetPiece, SheetSource};
use crate::report::document::{
    DrawnPanel, Kind, Line, PanelDrawing, PanelSheet, Table, Text, Tone, count_of, exact, name,
    say, there, there_with_unit,
};
use crate::sheets::job::{Along, Stages};
use crate::tally::{LeftOf, MaterialTally, SheetLeft};

use super::{count, names_together, piece_name};

/// How it is cut, and with the first material in which order.
pub(super) fn how_to_cut(tally: &MaterialTally<'_>, with_order: bool) -> Vec<Line> {
    let cutting = &tally.material.cutting;
    let cuts = if cutting.kerf > Length::ZERO {
        say!("Sawn, kerf {}; ", exact(cutting.kerf))
    } else {
        "Scored or cut by a knife, which takes nothing; ".into()
    };
    let turned = if cutting.may_turn {
        "pieces may be turned by a right angle."
    } else {
        "no piece is turned: its width lies along the width of the sheet."
    };
    let order = "Order: first the cuts across the whole sheet, one after another from the reference edge, then those \
                 across each strip from its end. The fence stands at the figure for each; a piece narrower than its \
                 strip is trimmed last.";
    let mut lines = vec![Line::new(Tone::Faint, say!("{}{}", cuts, turned))];
    if with_order {
        lines.push(Line::new(Tone::Faint, order));
    }
    if tally.plan.stages() == Stages::Three {
        let third = "Third cuts: a length of a strip that holds several pieces is turned by a right angle and cut along the strip, \
                     from the edge where the strip begins; the fence stands at the figure for each, and what is longer than its \
                     piece is trimmed last.";
        lines.push(Line::new(Tone::Watch, third));
    }
    lines
}

/// Sheets that are cut alike: drawing, and cuts in order.
pub(super) fn panel(
    job: &Job,
    tally: &MaterialTally<'_>,
    group: &std::ops::Range<usize>,
    longest: Length,
) -> PanelSheet {
    let sheets = &tally.plan.sheets[group.clone()];
    let sheet = &sheets[0];
    let blank = sheet.blank(job, &tally.material);
    let source = match sheet.source {
        SheetSource::Stock(idx) => match &tally.stock(idx).label {
            Some(label) => say!("from the rack: {}", name(label)),
            None => "to buy".into(),
        },
        SheetSource::Fallout(mat) => {
            say!("out of the window of {}", piece_name(job, mat))
        }
    };
    let label = match group.len() {
        1 => say!("Sheet {}", group.start + 1),
        _ => say!("Sheets {}–{}", group.start + 1, group.end),
    };
    let mut pieces = Vec::new();
    for stack in sheet.strips.iter().flat_map(|strip| &strip.stacks) {
        for cut in &stack.cuts {
            let (along, across) = ((stack.from, cut.along), (cut.from, cut.across()));
            let ((left, width), (bottom, height)) = match sheet.along {
                Along::Width => (along, across),
                Along::Height => (across, along),
            };
            pieces.push(DrawnPanel {
                number: u32::try_from(pieces.len() + 1).unwrap_or(u32::MAX),
                left,
                bottom,
                width,
                height,
            });
        }
    }
    let of_it =
        |left: &&SheetLeft| matches!(left.of, LeftOf::Sheet { sheet, .. } if sheet == group.start);
    let kept = tally.left.iter().filter(of_it).filter_map(|piece| {
        let LeftOf::Sheet { left, bottom, .. } = piece.of else {
            return None;
        };
        // As it lies on the rack: with the edges that are not cut.
        let (width, height) = piece.whole();
        Some(DrawnPanel {
            number: 0,
            left: left - piece.trim.left,
            bottom: bottom - piece.trim.bottom,
            width,
            height,
        })
    });
    PanelSheet {
        label,
        count: count(group.len()),
        name: tally
            .plan
            .key
            .name
            .as_deref()
            .map_or("mat board".into(), name),
        detail: say!(
            "{} × {}, {}",
            there(blank.width),
            there_with_unit(blank.height),
            source
        ),
        drawing: PanelDrawing {
            width: blank.width,
            height: blank.height,
            longest,
            trim: blank.trim,
            kept: kept.collect(),
            pieces,
        },
        cuts: cut_order(job, sheets, blank.trim),
    }
}

/// The cuts of sheets that are cut alike, in order, with what the fence is set to.
fn cut_order(job: &Job, sheets: &[PlannedSheet], trim: SheetTrim) -> Table {
    let mut table = Table::new()
        .column("cut", Kind::Words, Tone::Strong)
        .column("fence", Kind::Length, Tone::Strong)
        .column("piece", Kind::Number, Tone::Strong)
        .column("for", Kind::Prose, Tone::Plain)
        .column("then trim to", Kind::Length, Tone::Watch);
    let sheet = &sheets[0];
    let (edge, first_trim, end, second_trim) = match sheet.along {
        Along::Width => ("lower", trim.bottom, "left", trim.left),
        Along::Height => ("left", trim.left, "lower", trim.bottom),
    };
    let across = match sheet.along {
        Along::Width => "first cuts run from left to right",
        Along::Height => "first cuts run from bottom to top",
    };
    if first_trim > Length::ZERO {
        table.row(vec![
            say!("{} edge off", edge),
            there(first_trim),
            Text::default(),
            Text::default(),
            Text::default(),
        ]);
    }
    let strips = &sheet.strips;
    let mut at = 0;
    for alike in strips.chunk_by(|one, next| one.width == next.width) {
        let range = at..at + alike.len();
        at = range.end;
        table.row(vec![
            match alike.len() {
                1 => say!("strip {}", range.start + 1),
                _ => say!("strips {}–{}", range.start + 1, range.end),
            },
            there(alike[0].width),
            Text::default(),
            Text::default(),
            Text::default(),
        ]);
    }
    table.note(Tone::Faint, across);
    if second_trim > Length::ZERO {
        table.row(vec![
            say!("{} ends off", end),
            there(second_trim),
            Text::default(),
            Text::default(),
            Text::default(),
        ]);
    }
    let mut number = 0;
    let none = Text::default;
    for (position, strip) in strips.iter().enumerate() {
        for (nth, stack) in strip.stacks.iter().enumerate() {
            let lead = (nth == 0).then(|| say!("of strip {}", position + 1));
            if let [cut] = &stack.cuts[..] {
                number += 1;
                let trim_to = (cut.across() < strip.width).then(|| cut.across());
                let fence = stack.length;
                table.row(piece_row(job, sheets, number, lead.into(), fence, trim_to));
                continue;
            }
            let several = count_of(count(stack.cuts.len()), "piece");
            let several = say!("{} one above another:", several);
            table.row(vec![
                lead.into(),
                there(stack.length),
                none(),
                several,
                none(),
            ]);
            for (nth, cut) in stack.cuts.iter().enumerate() {
                number += 1;
                let lead = if nth == 0 {
                    "third cuts".into()
                } else {
                    none()
                };
                let trim_to = (cut.along < stack.length).then_some(cut.along);
                table.row(piece_row(job, sheets, number, lead, cut.across(), trim_to));
            }
        }
    }
    table
}

/// The cut that gives the piece of this number, which counts from 1, of sheets that are cut alike.
fn piece_row(
    job: &Job,
    sheets: &[PlannedSheet],
    number: usize,
    lead: Text,
    fence: Length,
    trim_to: Option<Length>,
) -> Vec<Text> {
    let same = |sheet: &PlannedSheet| sheet.cuts().nth(number - 1).map(|cut| cut.piece);
    let mut own: Vec<SheetPiece> = sheets.iter().filter_map(same).collect();
    own.sort_unstable();
    vec![
        lead,
        there(fence),
        number.into(),
        names_together(job, &own),
        trim_to.map(there).into(),
    ]
}
