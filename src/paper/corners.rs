//! The keys to the mouldings: the corner of each, full size.

use std::collections::BTreeMap;

use askama::Template;

use crate::frame::Miter;
use crate::job::StopAt;
use crate::plan::Plan;
use crate::report::document::one_line;

use crate::stations::stop_figure;

use super::svg::corner::{Key, Point, corner};

#[derive(Template)]
#[template(path = "corners.html", config = "src/paper/askama.toml")]
struct Corners {
    drawings: Vec<String>,
}

/// A drawing for each moulding and miter that the plan cuts; nothing where it cuts no moulding.
pub(super) fn chapter(plan: &Plan) -> askama::Result<String> {
    let job = &plan.job;
    let boards = plan.boards.iter();
    let strips = boards.flat_map(|board| (0..board.strips.len()).map(move |at| (board, at)));
    let cut = strips.flat_map(|(planned, at)| {
        let strip = &planned.strips[at];
        strip.cuts.iter().filter_map(move |cut| {
            let stop = stop_figure(job, planned, at, cut).at;
            Some(((strip.moulding_idx?, cut.part.miter(job)), stop))
        })
    });
    let cut: BTreeMap<(usize, Miter), StopAt> = cut
        .filter(|((_, miter), _)| *miter != Miter::Square)
        .collect();
    let drawings = cut
        .into_iter()
        .enumerate()
        .map(|(at, ((idx, miter), stop))| {
            let moulding = &job.mouldings[idx];
            let key = Key {
                name: &one_line(&moulding.name),
                miter,
                face: moulding.face_width,
                lip: moulding.lip,
                thickness: moulding.thickness,
                rabbet_depth: moulding.rabbet_depth,
                stop: match stop {
                    StopAt::LongPoint => Point::Long,
                    StopAt::Rabbet => Point::Rabbet,
                    StopAt::ShortPoint => Point::Short,
                },
            };
            corner(&key, &job.display, &format!("corner-{at}"))
        });
    let drawings: Vec<String> = drawings.collect();
    if drawings.is_empty() {
        return Ok(String::new());
    }
    Corners { drawings }.render()
}
