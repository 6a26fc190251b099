//! A plan file, read back: names become indices into the job, and nothing else is believed.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::claims::Claim;
use super::finding::Finding;
use super::proof::Tree;
use crate::frame::side_name;
use crate::job::Job;
use crate::length::Length;
use crate::plan::{Cut, Measure, Part, Plan, PlannedBoard, PlannedStrip, Verdict};

/// The fields of a plan file that are checked; others are passed over.
#[derive(Debug, Deserialize)]
pub(super) struct PlanFile {
    pub(super) summary: SummaryFields,
    boards: Vec<BoardFields>,
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
struct CertificateFields {
    claims: Vec<ClaimFields>,
}

#[derive(Debug, Deserialize)]
struct ClaimFields {
    bound: i64,
    unit: i64,
    parts: Vec<PartFields>,
    boards: Vec<KindFields>,
    proof: ProofFields,
}

#[derive(Debug, Deserialize)]
struct KindFields {
    name: String,
    parts: Vec<usize>,
}

#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum ProofFields {
    Prices {
        scale: i64,
        part_prices: Vec<i64>,
        case_prices: Vec<i64>,
    },
    Cases {
        boards: Vec<usize>,
        at_most: u32,
        under: Box<ProofFields>,
        over: Box<ProofFields>,
    },
}

/// The largest price that is read: far above what the solver writes, and small enough for every sum.
const LARGEST_PRICE: i64 = 1 << 40;

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
        boards,
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

/// The claims of a file.
///
/// # Errors
/// The first name that the job does not have, or the first index or price that cannot be.
pub(super) fn claims(file: &PlanFile, names: &Names<'_>) -> Result<Vec<Claim>, Finding> {
    file.certificate
        .claims
        .iter()
        .enumerate()
        .map(|(number, fields)| claim(number, fields, names))
        .collect()
}

fn claim(number: usize, fields: &ClaimFields, names: &Names<'_>) -> Result<Claim, Finding> {
    let malformed = || Finding::ClaimMalformed { claim: number };
    let parts = fields
        .parts
        .iter()
        .map(|part| names.part(part))
        .collect::<Result<Vec<Part>, _>>()?;
    let mut kinds = Vec::new();
    for kind in &fields.boards {
        if kind.parts.iter().any(|&part| part >= parts.len()) {
            return Err(malformed());
        }
        kinds.push((names.board(&kind.name)?, kind.parts.clone()));
    }
    if fields.bound < 0 || fields.unit < 1 {
        return Err(malformed());
    }
    let tree = tree(&fields.proof, kinds.len()).ok_or_else(malformed)?;
    Ok(Claim {
        bound: fields.bound,
        unit: fields.unit,
        parts,
        kinds,
        tree,
    })
}

/// The tree of a proof, or `None` where an index or a price is out of range.
fn tree(fields: &ProofFields, n_kinds: usize) -> Option<Tree> {
    match fields {
        ProofFields::Prices {
            scale,
            part_prices,
            case_prices,
        } => {
            let in_range = |price: &i64| (0..=LARGEST_PRICE).contains(price);
            let sound = (1..=LARGEST_PRICE).contains(scale)
                && part_prices.iter().chain(case_prices).all(in_range);
            sound.then(|| Tree::Leaf {
                scale: *scale,
                prices: part_prices.clone(),
                conditions: case_prices.clone(),
            })
        }
        ProofFields::Cases {
            boards,
            at_most,
            under,
            over,
        } => {
            let sound = boards.iter().all(|&kind| kind < n_kinds);
            sound.then_some(())?;
            Some(Tree::Split {
                kinds: boards.clone(),
                at_most: *at_most,
                under: Box::new(tree(under, n_kinds)?),
                over: Box::new(tree(over, n_kinds)?),
            })
        }
    }
}
