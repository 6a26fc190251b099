//! What parts and boards of a job are called on every sheet but the first: the same on all of them.

use std::collections::{BTreeMap, BTreeSet};

use crate::job::Job;
use crate::plan::{Part, StripMark, part_label};

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

/// `name` with as many stars as it takes to be a new one; from then on it is taken.
pub(super) fn unique_name(taken: &mut BTreeSet<String>, mut name: String) -> String {
    while !taken.insert(name.clone()) {
        name.push('*');
    }
    name
}
