//! The chapter of labels: one for each part as it comes off the saw, one for each frame, on the sheets that the job names.

use askama::Template;

use crate::frame::{Miter, Outline, side_name};
use crate::job::{Job, LabelSheet, Paper, StopAt};
use crate::length::Length;
use crate::plan::{Part, Plan};
use crate::report::document::{Show, Text, name, needed, say};
use crate::report::naming::{copy_name, corner_name, name_together, polygon_words};
use crate::stations::{FrameLabel, Mate, PartLabel, SawOrder, frame_labels, part_labels};

use super::svg::xml::Mm;
use super::words::Words;

#[derive(Template)]
#[template(path = "labels.html", config = "src/paper/askama.toml")]
struct Sheets {
    /// Sheets of paper; on each the labels in their places, row by row.
    sheets: Vec<Vec<Shown>>,
}

enum Shown {
    Part {
        at: String,
        long: String,
        /// Whether that figure is to be told from the stop's.
        is_long_named: bool,
        name: String,
        side: String,
        mates: Vec<String>,
    },
    Frame {
        name: String,
        size: String,
        title: String,
    },
}

/// The chapter.
pub(super) fn chapter(words: Words<'_>, plan: &Plan, order: &SawOrder) -> askama::Result<String> {
    let job = &plan.job;
    let parts: Vec<Shown> = part_labels(plan, order)
        .iter()
        .map(|label| part(words, job, label))
        .collect();
    let frames: Vec<Shown> = frame_labels(job)
        .iter()
        .map(|label| frame(words, job, label))
        .collect();
    let on_sheet = usize::try_from(job.labels.columns * job.labels.rows).unwrap_or(1);
    let mut sheets = Vec::new();
    // Labels of parts and of frames go on different things, so each kind begins a sheet.
    for kind in [parts, frames] {
        let mut kind = kind.into_iter().peekable();
        while kind.peek().is_some() {
            sheets.push(kind.by_ref().take(on_sheet.max(1)).collect());
        }
    }
    Sheets { sheets }.render()
}

/// The grid on paper, as the job has it.
pub(super) fn grid_style(sheet: &LabelSheet) -> String {
    let size = match sheet.paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    let mm = |length: Length| format!("{}mm", Mm(length));
    let ((_, paper), (_, labels)) = (sheet.paper.size(), sheet.labels_size());
    // What is written on a label is 31 mm high in its full size, and a low label has it smaller.
    let share = (sheet.height.nm() * 100 / (Length::MILLIMETRE * 31).nm()).clamp(50, 100);
    let lines = if share < 100 { 1 } else { 2 };
    let top = sheet.top.max(Length::ZERO);
    format!(
        "@page labels {{ size: {size}; margin: 0; }}\n\
         @media print {{ .labels {{ grid-template-columns: repeat({}, {}); grid-auto-rows: {}; column-gap: {}; row-gap: {}; \
         padding: {} 0 0 {}; height: {}; transform: translate({}, {}); --lines: {lines}; --share: {}; }} }}",
        sheet.columns,
        mm(sheet.width),
        mm(sheet.height),
        mm(sheet.gap_across),
        mm(sheet.gap_down),
        mm(top),
        mm(sheet.left.max(Length::ZERO)),
        // No higher than the paper, or a sheet would be two.
        mm((labels + top).min(paper)),
        mm(sheet.shift_right),
        mm(sheet.shift_down),
        format_args!("{}.{:02}", share / 100, share % 100),
    )
}

fn part(words: Words<'_>, job: &Job, label: &PartLabel) -> Shown {
    let mates = label.mates.map(|mates| {
        let met = |(mate, corner): (Mate, u32)| {
            let corner = match label.part {
                Part::Rail { frame_idx, .. } => corner_name(job.frames[frame_idx].art, corner),
                Part::Loose { .. } => String::new(),
            };
            say!("{}: {}", corner, mate_words(job, label.part, mate))
        };
        let opposite = mates
            .opposite
            .map(|mate| say!("opposite: {}", mate_words(job, label.part, mate)));
        let met = [Some(met(mates.before)), Some(met(mates.after)), opposite];
        met.into_iter().flatten().collect::<Vec<Text>>()
    });
    let stop = match label.stop.at {
        StopAt::LongPoint => None,
        StopAt::Rabbet => Some(say!("stop {}", needed(label.stop.length))),
        StopAt::ShortPoint => Some(say!("stop, short point {}", needed(label.stop.length))),
    };
    // There is little room beside the figure of the stop.
    let short = label.short_point.and_then(|short| match label.stop.at {
        StopAt::LongPoint => Some(say!("short point {}", needed(short))),
        StopAt::Rabbet => Some(say!("short {}", needed(short))),
        StopAt::ShortPoint => None,
    });
    let is_long_named =
        job.shop.stop != StopAt::LongPoint && label.part.miter(job) != Miter::Square;
    let (name, side) = match label.part {
        Part::Rail {
            frame_idx,
            copy,
            side,
        } => {
            let frame = &job.frames[frame_idx];
            let side = side_name(frame.art, side).into_owned();
            (copy_name(frame, copy), Some(side.into()))
        }
        Part::Loose { .. } => (name_together(job, &[label.part]), None),
    };
    Shown::Part {
        at: label.cut.to_string(),
        long: words.length(label.long_point, Show::Needed),
        name: words.html(name),
        is_long_named,
        side: words.html(Text::join([side, stop, short].into_iter().flatten(), ", ")),
        mates: mates
            .unwrap_or_default()
            .into_iter()
            .map(|mate| words.html(mate))
            .collect(),
    }
}

/// `right G-4`.
fn mate_words(job: &Job, part: Part, mate: Mate) -> Text {
    let side = match part {
        Part::Rail { frame_idx, .. } => side_name(job.frames[frame_idx].art, mate.side),
        Part::Loose { .. } => "".into(),
    };
    let cut = mate
        .cut
        .map_or_else(|| "missing".to_owned(), |cut| cut.to_string());
    format!("{side} {cut}").into()
}

fn frame(words: Words<'_>, job: &Job, label: &FrameLabel) -> Shown {
    let size = match label.outside {
        Outline::Rectangle { width, height } => say!("{} × {}", needed(width), needed(height)),
        Outline::Regular { sides, side, flats } => polygon_words(sides, side, flats, needed),
    };
    Shown::Frame {
        name: words.html(copy_name(&job.frames[label.frame_idx], label.copy)),
        size: words.html(size),
        title: words.html(name(&job.title)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples::{job, loose, plan, rail};
    use crate::samples::inches;
    use crate::stations::saw_order;

    #[test]
    fn a_label_names_the_long_point_where_the_stop_measures_another() {
        let said = |stop: StopAt, of: Part| {
            let mut job = job();
            job.shop.stop = stop;
            let plan = plan(&job);
            let labels = part_labels(&plan, &saw_order(&plan));
            let mut label = *labels.iter().find(|label| label.part == of).expect("cut");
            if matches!(of, Part::Loose { .. }) {
                label.short_point = Some(inches(8));
            }
            match part(Words::new(&job.display), &job, &label) {
                Shown::Part {
                    is_long_named,
                    side,
                    ..
                } => (is_long_named, side.matches(", ").count(), side),
                Shown::Frame { .. } => unreachable!("a part"),
            }
        };
        let (is_named, n_commas, side) = said(StopAt::LongPoint, rail(0, 1, 0));
        assert!(
            !is_named && n_commas == 1 && side.starts_with("top, short point "),
            "{side}"
        );
        let (is_named, n_commas, side) = said(StopAt::Rabbet, rail(0, 1, 0));
        assert!(
            is_named && n_commas == 2 && side.starts_with("top, stop "),
            "{side}"
        );
        let (is_named, _, side) = said(StopAt::ShortPoint, rail(0, 1, 0));
        assert!(
            is_named && side.starts_with("top, stop, short point "),
            "{side}"
        );
        // A piece has no corner before which a comma could stand.
        let (.., side) = said(StopAt::LongPoint, loose(1, 1));
        assert!(side.starts_with("short point "), "{side}");
    }
}
