//! What a quote or an estimate has no cost of, for scripts: one way to name it in tables and JSON.

use serde::Serialize;

use crate::job::Job;
use crate::quote::Lack;

use super::hardware_words::use_name;

/// One thing that is in no cost, as JSON has it too.
#[derive(Serialize)]
pub(super) struct LackNamed<'a> {
    /// What kind of thing: `wood`, `boards`, `material`, `hardware` or `missing-parts`.
    pub(super) what: &'static str,
    /// Which, where there are several.
    pub(super) name: Option<&'a str>,
    /// How many, where they are counted.
    pub(super) count: Option<u64>,
}

impl<'a> LackNamed<'a> {
    pub(super) fn new(job: &'a Job, lack: &'a Lack) -> LackNamed<'a> {
        let (what, name, count) = match lack {
            Lack::Wood => ("wood", None, None),
            Lack::Boards(count) => ("boards", None, Some(*count)),
            Lack::Material(key) => {
                let name = key.name.as_deref().unwrap_or("mat board");
                ("material", Some(name), None)
            }
            Lack::Hardware(idx) => ("hardware", Some(job.hardware[*idx].name.as_str()), None),
            Lack::Unserved(of) => ("hardware", Some(use_name(*of)), None),
            Lack::Parts(count) => ("missing-parts", None, Some(*count)),
        };
        LackNamed { what, name, count }
    }

    /// In one cell: names of materials and hardware may be alike, so what it is stands before.
    pub(super) fn in_a_cell(&self) -> String {
        match self.name {
            Some(name) => format!("{} {name}", self.what),
            None => self.what.to_owned(),
        }
    }
}
