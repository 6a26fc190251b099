//! What parts and boards of a job are called on every sheet but the first: the same on all of them.

use std::collections::{BTreeMap, BTreeSet};

use crate::job::Job;
use crate::plan::{LeftoverKind, Part, PlannedBoard, StripMark, part_label};

/// The parts of a job by names of their own.
pub(super) struct PartNames {
    names: BTreeMap<Part, String>,
}

impl PartNames {
    /// Names for these parts, each that of [`part_label`]; where two are the same, the later has a star.
    pub(super) fn new(job: &Job, parts: impl IntoIterator<Item = Part>) -> PartNames {
        let parts: BTreeSet<Part> = parts.into_iter().collect();
        let mut taken = BTreeSet::new();
        let name = |part| (part, unique_name(&mut taken, part_label(job, part)));
        PartNames {
            names: parts.into_iter().map(name).collect(),
        }
    }

    pub(super) fn name(&self, part: Part) -> String {
        self.names[&part].clone()
    }
}

/// The name of a stick that an earlier sheet takes, or of one of its strips: its own, and its mark; it is that of no line of
/// boards.
pub(super) fn stick_name(job: &Job, own: &str, mark: StripMark) -> String {
    let others = job.boards.iter().map(|board| board.name.clone());
    let mut others = others.filter(|other| other != own).collect();
    unique_name(&mut others, format!("{own}, {mark}"))
}

/// What a piece of a board is called that no strip takes: `slice 3`, `stretch 2`, `edge 1 of slice 3`.
pub(super) fn piece_name(planned: &PlannedBoard, kind: LeftoverKind) -> String {
    let at = kind.stretch(planned);
    let n_slices = planned.n_slices();
    let slice = planned.resawn.is_some();
    let slice = slice.then(|| format!("slice {}", at % n_slices + 1));
    let stretch = planned.is_cut_at_yard();
    let stretch = stretch.then(|| format!("stretch {}", at / n_slices + 1));
    let edge = match kind {
        LeftoverKind::Edge { stretch, nth } => match planned.stretches[stretch].beside.len() {
            1 => Some("edge".to_owned()),
            _ => Some(format!("edge {}", nth + 1)),
        },
        LeftoverKind::End(_) | LeftoverKind::Stretch(_) => None,
    };
    let words: Vec<String> = [edge, slice, stretch].into_iter().flatten().collect();
    words.join(" of ")
}

/// `name` with as many stars as it takes to be a new one; from then on it is taken.
pub(super) fn unique_name(taken: &mut BTreeSet<String>, mut name: String) -> String {
    while !taken.insert(name.clone()) {
        name.push('*');
    }
    name
}
