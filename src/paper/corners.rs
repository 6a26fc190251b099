//! The keys to the mouldings: the corner of each, full size.

use std::collections::BTreeSet;

use askama::Template;

use crate::frame::Miter;
use crate::job::StopAt;
use crate::plan::Plan;
use crate::report::document::one_line;

use super::svg::corner::{Key, Point, corner};

#[derive(Template)]
#[template(path = "corners.html", config = "src/paper/askama.toml")]
struct Corners {
    drawings: Vec<String>,
}

/// A drawing for each moulding and miter that the plan cuts; nothing where it cuts no moulding.
pub(super) fn chapter(plan: &Plan) -> askama::Result<String> {
    let job = &plan.job;
    let strips = plan.boards.iter().flat_map(|board| &board.strips);
    let cut: BTreeSet<(usize, Miter)> = strips
        .filter_map(|strip| Some((strip.moulding_idx?, &strip.cuts)))
        .flat_map(|(idx, cuts)| cuts.iter().map(move |cut| (idx, cut.part.miter(job))))
        .filter(|(_, miter)| *miter != Miter::Square)
        .collect();
    let drawings = cut.into_iter().enumerate().map(|(at, (idx, miter))| {
        let moulding = &job.mouldings[idx];
        let key = Key {
            name: &one_line(&moulding.name),
            miter,
            face: moulding.face_width,
            lip: moulding.lip,
            thickness: moulding.thickness,
            rabbet_depth: moulding.rabbet_depth,
            stop: match job.shop.stop {
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
