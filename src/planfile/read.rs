//! A plan file, read back: names become indices into the job, and nothing else is believed.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::boards::Board;
use super::frames::GrainWish;
use super::parts::Part;
use super::told::Ended;
use super::{FORMAT_NUMBER, PlanFile};
use crate::frame::side_name;
use crate::job::{Grains, Job};
use crate::length::Length;
use crate::plan::certificate::Certificate;
use crate::plan::sheets::MaterialPlan;
use crate::plan::{
    self, Cut, GivenNumbers, KeptPiece, Plan, PlannedBoard, PlannedStrip, SpareOffcut, Verdict,
};

/// Why a text could not be read as a plan file at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unreadable {
    /// It is no file of this program.
    NoPlan {
        /// What it is instead.
        what: String,
    },
    /// It is a plan file of another format.
    OtherFormat {
        /// The number it has.
        number: String,
    },
    /// It begins as a plan file does, and does not go on so.
    Damaged {
        /// Line, from 1.
        line: usize,
        /// Column, from 1; 0 where a line ends too early.
        column: usize,
        /// What was found there.
        what: String,
    },
}

/// The head of a file, whatever else is in it.
#[derive(Deserialize)]
struct Head {
    format: Option<Value>,
    format_number: Option<Value>,
}

/// The fields of `text`, typed and as they stand, where its head names `format`; `None` where it names another.
///
/// # Errors
/// [`Unreadable`], where it is no such file of this format number.
pub(super) fn parse<T: DeserializeOwned>(
    text: &str,
    format: &str,
) -> Result<Option<(T, Value)>, Unreadable> {
    let damaged = |error: &serde_json::Error| Unreadable::Damaged {
        line: error.line(),
        column: error.column(),
        // The place is told by the fields; the crate repeats it at the end of its message.
        what: error
            .to_string()
            .split(" at line ")
            .next()
            .unwrap_or_default()
            .to_owned(),
    };
    let no_plan = |what: &str| Unreadable::NoPlan {
        what: what.to_owned(),
    };
    let head: Head = serde_json::from_str(text).map_err(|error| {
        let begins_so = text.trim_start().starts_with('{')
            && text
                .chars()
                .take(200)
                .collect::<String>()
                .contains(super::PROGRAM);
        match error.classify() {
            _ if begins_so => damaged(&error),
            serde_json::error::Category::Data => no_plan("it is JSON, but no object"),
            _ => no_plan("it is not JSON"),
        }
    })?;
    match &head.format {
        Some(Value::String(name)) if name == format => {}
        Some(Value::String(name)) if [super::FORMAT, super::BENCH_FORMAT].contains(&&**name) => {
            return Ok(None);
        }
        _ => {
            return Err(no_plan(
                "it is JSON, but does not name the format of a plan",
            ));
        }
    }
    if head.format_number != Some(Value::from(FORMAT_NUMBER)) {
        return Err(Unreadable::OtherFormat {
            number: head.format_number.unwrap_or_default().to_string(),
        });
    }
    let typed = serde_json::from_str(text).map_err(|error| damaged(&error))?;
    let value = serde_json::from_str(text).map_err(|error| damaged(&error))?;
    Ok(Some((typed, value)))
}

impl fmt::Display for Unreadable {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unreadable::NoPlan { what } => write!(out, "not a plan of longpoint: {what}"),
            Unreadable::OtherFormat { number } => write!(
                out,
                "a plan file of format {number}, and this program reads format {FORMAT_NUMBER}"
            ),
            Unreadable::Damaged { line, column, what } => {
                write!(
                    out,
                    "a damaged plan file: {what} (line {line}, column {column})"
                )
            }
        }
    }
}

impl Unreadable {
    /// A way out.
    pub fn hint(&self) -> &'static str {
        match self {
            Unreadable::NoPlan { .. } => {
                "write one with `longpoint plan JOB.toml --out DIR`, as `DIR/plan.json`"
            }
            Unreadable::OtherFormat { .. } => {
                "plan the job again with this program, or use the version that `written_by` names in the file"
            }
            Unreadable::Damaged { .. } => {
                "write it again with `longpoint plan JOB.toml --out DIR`, or take it from a copy"
            }
        }
    }
}

/// A name or position in a file that the job, or the file itself, does not have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unknown {
    /// What is named: a board, a frame, a side, a strip.
    pub what: &'static str,
    /// How.
    pub name: String,
}

impl Unknown {
    pub(super) fn new(what: &'static str, name: &str) -> Unknown {
        Unknown {
            what,
            name: name.to_owned(),
        }
    }
}

/// The names of a job, to be looked up.
pub(super) struct Names<'j> {
    job: &'j Job,
    boards: BTreeMap<&'j str, usize>,
    frames: BTreeMap<&'j str, usize>,
    pieces: BTreeMap<&'j str, usize>,
    mouldings: BTreeMap<&'j str, usize>,
}

/// Each name with its position.
fn by_name<'j>(names: impl Iterator<Item = &'j String>) -> BTreeMap<&'j str, usize> {
    names.map(String::as_str).zip(0..).collect()
}

impl<'j> Names<'j> {
    pub(super) fn new(job: &'j Job) -> Names<'j> {
        Names {
            job,
            boards: by_name(job.boards.iter().map(|board| &board.name)),
            frames: by_name(job.frames.iter().map(|frame| &frame.name)),
            pieces: by_name(job.pieces.iter().map(|piece| &piece.name)),
            mouldings: by_name(job.mouldings.iter().map(|moulding| &moulding.name)),
        }
    }

    pub(super) fn board(&self, name: &str) -> Result<usize, Unknown> {
        let found = self.boards.get(name).copied();
        found.ok_or_else(|| Unknown::new("board", name))
    }

    fn moulding(&self, name: &str) -> Result<usize, Unknown> {
        let found = self.mouldings.get(name).copied();
        found.ok_or_else(|| Unknown::new("moulding", name))
    }

    pub(super) fn frame(&self, name: &str) -> Result<usize, Unknown> {
        let found = self.frames.get(name).copied();
        found.ok_or_else(|| Unknown::new("frame", name))
    }

    pub(super) fn part(&self, part: &Part) -> Result<plan::Part, Unknown> {
        match (&part.frame, &part.piece) {
            (Some(frame), _) => {
                let frame_idx = self.frame(frame)?;
                let outline = self.job.frames[frame_idx].art;
                let name = part.side.as_deref().unwrap_or_default();
                let mut sides = 0..outline.n_sides();
                let side = sides.find(|&side| side_name(outline, side) == name);
                Ok(plan::Part::Rail {
                    frame_idx,
                    copy: part.copy,
                    side: side.ok_or_else(|| Unknown::new("side", &format!("{frame} {name}")))?,
                })
            }
            (None, Some(piece)) => {
                let found = self.pieces.get(piece.as_str()).copied();
                Ok(plan::Part::Loose {
                    piece_idx: found.ok_or_else(|| Unknown::new("piece", piece))?,
                    copy: part.copy,
                })
            }
            (None, None) => Err(Unknown::new("part", &part.item)),
        }
    }
}

impl PlanFile {
    /// A job by the way of buying that the file names.
    ///
    /// # Errors
    /// The first name of the way that the job does not have.
    pub(super) fn by_way(&self, job: &Job) -> Result<Job, Unknown> {
        match &self.way {
            Some(way) => Ok(job.by_way(&way.raise(job)?)),
            None => Ok(job.clone()),
        }
    }

    /// The frames that the file says come in pairs, though their rails in a row would fit on some board.
    fn in_pairs(&self, job: &Job) -> BTreeSet<usize> {
        let grains = Grains::new(job);
        let may_part = grains.rows_that_may_part().into_iter();
        let says_so = |&idx: &usize| {
            let granted = grains.pairs(idx).map(GrainWish::of);
            self.frames
                .get(idx)
                .is_some_and(|frame| Some(frame.grain) == granted)
        };
        may_part.filter(says_so).collect()
    }

    /// Plan, certificate and what is cut from sheets, as the file tells of them, in terms of `job`; nothing of it is believed.
    ///
    /// # Errors
    /// The first name that the job does not have, or the first strip that a board does not have.
    pub(super) fn raise(
        &self,
        job: &Job,
    ) -> Result<(Plan, Certificate, Vec<MaterialPlan>), Unknown> {
        let job = &job.with_pairs(&self.in_pairs(job));
        let names = Names::new(job);
        let boards = self.boards.iter().map(|board| planned(board, &names));
        let spares = self.spare_offcuts.iter().map(|left| {
            Ok(SpareOffcut {
                part: names.part(&left.part)?,
                board: left.board,
                strip: left.strip,
                from: Length::from_nm(left.from_nm),
                to: Length::from_nm(left.to_nm),
            })
        });
        let kept = self.kept_pieces.iter().map(|kept| {
            Ok(KeptPiece {
                part: names.part(&kept.part)?,
                board_idx: names.board(&kept.board)?,
            })
        });
        let missing = self.missing.iter().map(|missing| names.part(&missing.part));
        let summary = &self.summary;
        let plan = Plan {
            job: job.clone(),
            boards: boards.collect::<Result<_, _>>()?,
            spare_offcuts: spares.collect::<Result<_, _>>()?,
            kept_pieces: kept.collect::<Result<_, _>>()?,
            missing: missing.collect::<Result<_, _>>()?,
            given_numbers: GivenNumbers::default(),
            measure: summary.measure.into(),
            value: summary.value,
            lower_bound: summary.lower_bound,
            missing_lower_bound: summary.missing_lower_bound,
            verdict: match (summary.proved_optimal, self.not_verified.ended) {
                (true, _) => Verdict::Optimal,
                (false, Ended::Stopped) => Verdict::Stopped,
                (false, _) => Verdict::WorkLimit,
            },
        };
        let materials = self.materials.iter();
        let materials = materials.map(|material| material.raise(job, &names));
        Ok((
            plan,
            self.certificate.raise(&names)?,
            materials.collect::<Result<_, _>>()?,
        ))
    }
}

fn planned(board: &Board, names: &Names<'_>) -> Result<PlannedBoard, Unknown> {
    let mut strips = Vec::with_capacity(board.strips.len());
    for strip in &board.strips {
        let moulding = strip.moulding.as_deref();
        strips.push(PlannedStrip {
            stretch: strip.stretch,
            moulding_idx: moulding.map(|name| names.moulding(name)).transpose()?,
            width: strip.width_nm.map(Length::from_nm),
            from_edge: Length::from_nm(strip.from_edge_nm),
            cuts: Vec::new(),
            offcut: Length::from_nm(strip.offcut_nm),
        });
    }
    for cut in &board.cuts {
        let part = names.part(&cut.part)?;
        let strip = strips.get_mut(cut.strip);
        let strip = strip.ok_or_else(|| Unknown::new("strip", &cut.strip.to_string()))?;
        strip.cuts.push(Cut {
            part,
            from: Length::from_nm(cut.from_nm),
            to: Length::from_nm(cut.to_nm),
            turned: cut.turned,
        });
    }
    let stretches = board.stretches.iter().map(|stretch| plan::Stretch {
        from: Length::from_nm(stretch.from_nm),
        to: Length::from_nm(stretch.to_nm),
        beside: stretch
            .beside
            .iter()
            .map(|edge| plan::Beside {
                from_edge: Length::from_nm(edge.from_edge_nm),
                width: Length::from_nm(edge.width_nm),
            })
            .collect(),
    });
    Ok(PlannedBoard {
        board_idx: names.board(&board.name)?,
        number: board.number,
        pattern: board.pattern,
        strips,
        resawn: board.resawn_nm.map(Length::from_nm),
        stretches: stretches.collect(),
        used_again: Vec::new(),
    })
}
