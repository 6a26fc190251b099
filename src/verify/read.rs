//! A plan file, read back: names become indices into the job, and nothing else is believed.

mod claims;

use std::collections::BTreeMap;

use serde::Deserialize;

use super::finding::Finding;
use crate::frame::side_name;
use crate::job::Job;
use crate::length::Length;
use crate::plan::{Cut, Measure, Part, Plan, PlannedBoard, PlannedStrip, SpareOffcut, Verdict};

use claims::CertificateFields;
pub(super) use claims::certificate;

/// The fields of a plan file that are checked; others are passed over.
#[derive(Debug, Deserialize)]
pub(super) struct PlanFile {
    pub(super) summary: SummaryFields,
    boards: Vec<BoardFields>,
    #[serde(default)]
    spare_offcuts: Vec<SpareOffcutFields>,
    missing: Vec<PartFields>,
    certificate: CertificateFields,
}

#[derive(Debug, Deserialize)]
pub(super) struct SummaryFields {
    pub(super) boards: u64,
    pub(super) value: i64,
    pub(super) lower_bound: i64,
    pub(super) unplaced: u64,
    pub(super) unplaced_lower_bound: u64,
    pub(super) measure: String,
    pub(super) proved_optimal: bool,
}

#[derive(Debug, Deserialize)]
struct BoardFields {
    name: String,
    number: u32,
    pattern: u32,
    length_nm: i64,
    edge_left_nm: i64,
    strips: Vec<StripFields>,
    cuts: Vec<CutFields>,
}

#[derive(Debug, Deserialize)]
struct StripFields {
    width_nm: Option<i64>,
    from_edge_nm: i64,
    moulding: Option<String>,
    offcut_nm: i64,
}

#[derive(Debug, Deserialize)]
struct PartFields {
    item: String,
    frame: Option<String>,
    copy: u32,
    side: Option<String>,
}

#[derive(Debug, Deserialize)]
struct CutFields {
    #[serde(flatten)]
    part: PartFields,
    from_nm: i64,
    to_nm: i64,
    #[serde(default)]
    turned: bool,
    strip: usize,
}

#[derive(Debug, Deserialize)]
struct SpareOffcutFields {
    #[serde(flatten)]
    part: PartFields,
    board: usize,
    strip: usize,
    from_nm: i64,
    to_nm: i64,
}

/// The names of a job, to be looked up.
pub(super) struct Names<'j> {
    job: &'j Job,
    boards: BTreeMap<&'j str, usize>,
    frames: BTreeMap<&'j str, usize>,
    pieces: BTreeMap<&'j str, usize>,
    mouldings: BTreeMap<&'j str, usize>,
}

impl<'j> Names<'j> {
    pub(super) fn new(job: &'j Job) -> Names<'j> {
        Names {
            job,
            boards: job
                .boards
                .iter()
                .enumerate()
                .map(|(idx, board)| (board.name.as_str(), idx))
                .collect(),
            frames: job
                .frames
                .iter()
                .enumerate()
                .map(|(idx, frame)| (frame.name.as_str(), idx))
                .collect(),
            pieces: job
                .pieces
                .iter()
                .enumerate()
                .map(|(idx, piece)| (piece.name.as_str(), idx))
                .collect(),
            mouldings: job
                .mouldings
                .iter()
                .enumerate()
                .map(|(idx, moulding)| (moulding.name.as_str(), idx))
                .collect(),
        }
    }

    fn board(&self, name: &str) -> Result<usize, Finding> {
        self.boards
            .get(name)
            .copied()
            .ok_or_else(|| unknown("board", name))
    }

    fn moulding(&self, name: Option<&str>) -> Result<Option<usize>, Finding> {
        name.map(|name| {
            self.mouldings
                .get(name)
                .copied()
                .ok_or_else(|| unknown("moulding", name))
        })
        .transpose()
    }

    fn part(&self, fields: &PartFields) -> Result<Part, Finding> {
        let Some(frame) = &fields.frame else {
            let piece_idx = self.pieces.get(fields.item.as_str()).copied();
            return piece_idx
                .map(|piece_idx| Part::Loose {
                    piece_idx,
                    copy: fields.copy,
                })
                .ok_or_else(|| unknown("piece", &fields.item));
        };
        let frame_idx = self
            .frames
            .get(frame.as_str())
            .copied()
            .ok_or_else(|| unknown("frame", frame))?;
        let outline = self.job.frames[frame_idx].art;
        let side = fields.side.as_deref().unwrap_or_default();
        (0..outline.n_sides())
            .find(|&side_idx| side_name(outline, side_idx) == side)
            .map(|side| Part::Rail {
                frame_idx,
                copy: fields.copy,
                side,
            })
            .ok_or_else(|| unknown("side", &format!("{frame} {side}")))
    }
}

fn unknown(what: &'static str, name: &str) -> Finding {
    Finding::UnknownName {
        what,
        name: name.to_owned(),
    }
}

/// The plan that a file tells of.
///
/// # Errors
/// The first name that the job does not have, or the first index or length that cannot be.
pub(super) fn plan(file: &PlanFile, names: &Names<'_>) -> Result<Plan, Finding> {
    let boards = file
        .boards
        .iter()
        .map(|board| planned_board(board, names))
        .collect::<Result<_, _>>()?;
    let spare_offcuts = file
        .spare_offcuts
        .iter()
        .map(|fields| {
            Ok(SpareOffcut {
                part: names.part(&fields.part)?,
                board: fields.board,
                strip: fields.strip,
                from: Length::from_nm(fields.from_nm),
                to: Length::from_nm(fields.to_nm),
            })
        })
        .collect::<Result<_, _>>()?;
    let missing = file
        .missing
        .iter()
        .map(|part| names.part(part))
        .collect::<Result<_, _>>()?;
    let measure = match file.summary.measure.as_str() {
        "price" => Measure::Price,
        "board_length_nm" => Measure::BoardLength,
        other => return Err(unknown("measure", other)),
    };
    Ok(Plan {
        job: names.job.clone(),
        boards,
        spare_offcuts,
        missing,
        measure,
        value: file.summary.value,
        lower_bound: file.summary.lower_bound,
        missing_lower_bound: file.summary.unplaced_lower_bound,
        verdict: if file.summary.proved_optimal {
            Verdict::Optimal
        } else {
            Verdict::WorkLimit
        },
    })
}

fn planned_board(fields: &BoardFields, names: &Names<'_>) -> Result<PlannedBoard, Finding> {
    let board_idx = names.board(&fields.name)?;
    let length = names.job.boards[board_idx].length;
    if length != Length::from_nm(fields.length_nm) {
        let (says, must_say) = (fields.length_nm.to_string(), length.nm().to_string());
        return Err(Finding::Summary {
            figure: "length_nm",
            says,
            must_say,
        });
    }
    let mut strips = Vec::with_capacity(fields.strips.len());
    for strip in &fields.strips {
        strips.push(PlannedStrip {
            moulding_idx: names.moulding(strip.moulding.as_deref())?,
            width: strip.width_nm.map(Length::from_nm),
            from_edge: Length::from_nm(strip.from_edge_nm),
            cuts: Vec::new(),
            offcut: Length::from_nm(strip.offcut_nm),
        });
    }
    for cut in &fields.cuts {
        let part = names.part(&cut.part)?;
        let strip = strips
            .get_mut(cut.strip)
            .ok_or_else(|| unknown("strip", &cut.strip.to_string()))?;
        strip.cuts.push(Cut {
            part,
            from: Length::from_nm(cut.from_nm),
            to: Length::from_nm(cut.to_nm),
            turned: cut.turned,
        });
    }
    Ok(PlannedBoard {
        board_idx,
        number: fields.number,
        pattern: fields.pattern,
        strips,
        edge_left: Length::from_nm(fields.edge_left_nm),
    })
}
