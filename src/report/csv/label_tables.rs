//! What labels say.

use crate::frame::{Outline, side_name};
use crate::job::Job;
use crate::plan::{Part, Plan, part_label};
use crate::report::naming::{corner_name, stop_word};
use crate::stations::{Mate, SawOrder, frame_labels, part_labels};

use super::plan_tables::{from_one, moulding_name, naming_cells};
use super::rows::{Cell, Rows, length, number};

/// A row for each label of a part, in the order in which they are printed, with its place on the sheets of labels.
pub fn labels_csv(plan: &Plan, order: &SawOrder) -> String {
    let job = &plan.job;
    let mut rows = Rows::new(
        &job.display,
        &[
            "sheet",
            "row",
            "column",
            "part",
            "kind",
            "frame",
            "piece",
            "copy",
            "side",
            "mark",
            "setting",
            "stop@",
            "measured",
            "long-point@",
            "short-point@",
            "opposite",
            "opposite-side",
            "before",
            "before-side",
            "before-corner",
            "after",
            "after-side",
            "after-corner",
        ],
    );
    for (position, label) in part_labels(plan, order).iter().enumerate() {
        let place = job.labels.place(position);
        let mut cells = vec![
            number(from_one(place.sheet)),
            number(from_one(place.row)),
            number(from_one(place.column)),
            part_label(job, label.part).into(),
        ];
        cells.extend(naming_cells(job, label.part));
        cells.extend([
            label.cut.to_string().into(),
            number(label.setting),
            length(label.stop.length),
            stop_word(label.stop.at).replace(' ', "-").into(),
            length(label.long_point),
            length(label.short_point),
        ]);
        let opposite = label.mates.and_then(|place| place.opposite);
        cells.extend(mate(job, label.part, opposite));
        let of_place = label.mates.map(|place| [place.before, place.after]);
        for beside in of_place.map_or([None; 2], |beside| beside.map(Some)) {
            cells.extend(mate(job, label.part, beside.map(|(mate, _)| mate)));
            let corner = beside.map(|(_, corner)| corner);
            cells.push(in_frame(job, label.part, corner, corner_name));
        }
        rows.row(cells);
    }
    rows.into_text()
}

/// The cut of another rail of the frame, and its side.
fn mate(job: &Job, part: Part, mate: Option<Mate>) -> [Cell; 2] {
    let cut = mate.and_then(|mate| mate.cut);
    [
        cut.map_or_else(String::new, |cut| cut.to_string()).into(),
        in_frame(job, part, mate.map(|mate| mate.side), |outline, side| {
            side_name(outline, side).into_owned()
        }),
    ]
}

/// A side or a corner of a part's frame by its name.
fn in_frame(
    job: &Job,
    part: Part,
    number: Option<u32>,
    name: impl Fn(Outline, u32) -> String,
) -> Cell {
    match (part, number) {
        (Part::Rail { frame_idx, .. }, Some(number)) => {
            name(job.frames[frame_idx].art, number).into()
        }
        _ => "".into(),
    }
}

/// A row for each frame, copies counted; its price is to be filled in.
pub fn frame_labels_csv(job: &Job) -> String {
    let mut rows = Rows::new(
        &job.display,
        &[
            "sheet", "row", "column", "frame", "copy", "of", "moulding", "sides", "width@",
            "height@", "price",
        ],
    );
    for (position, label) in frame_labels(job).iter().enumerate() {
        let place = job.labels.place(position);
        let frame = &job.frames[label.frame_idx];
        let (width, height) = match label.outside {
            Outline::Rectangle { width, height } => (width, Some(height)),
            Outline::Regular { side, .. } => (side, None),
        };
        rows.row(vec![
            number(from_one(place.sheet)),
            number(from_one(place.row)),
            number(from_one(place.column)),
            frame.name.as_str().into(),
            number(label.copy),
            number(frame.quantity),
            moulding_name(job, Some(frame.moulding_idx)).into(),
            number(label.outside.n_sides()),
            length(width),
            length(height),
            "".into(),
        ]);
    }
    rows.into_text()
}
