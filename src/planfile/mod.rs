//! The plan file: one set of types that writes a plan as JSON and reads it again.
//!
//! [`PlanFile::of`] is a pure function of a plan, its certificate and what the search said of itself. [`verify()`] turns
//! that round: it reads a file, looks up its names in the job, lets [`crate::audit`] judge plan and certificate from the
//! job alone, then makes the file once more and compares it with the one it was given, field by field. So every field is
//! verified but `written_by`, `stopped` of a material and seven of `not_verified`.
//!
#![doc = include_str!("format.md")]

mod bench;
mod boards;
mod certificate;
mod compare;
mod finding;
mod frames;
mod materials;
mod parts;
mod rack;
mod read;
mod schema;
mod sheet_certificate;
mod sources;
mod summary;
mod told;
mod verify;
mod way;

pub use bench::{BenchFile, MeasuredBoard, Place, Round, Spoiled, bench_text};
pub use boards::{Board, Cut, KeptPiece, Missing, Offcut, SpareOffcut, Strip, TakenBoards};
pub use certificate::{Certificate, Claim, Kind, Node, RipKind, StripKind};
pub use compare::Difference;
pub use finding::Finding;
pub use frames::{
    Frame, GrainWish, Layer, LayerUse, Mat, MatMount, MilledWhen, Moulding, Piece, PiecePurpose,
    Rail, Sheet, Size, Window, frames_and_sheets,
};
pub use materials::{
    CutOfSheet, Material, MaterialUse, PieceOfSheet, SheetOfMaterial, StackOfSheet, StripOfSheet,
};
pub use parts::{Defect, DefectAcross, MeasuredIn, Part};
pub use rack::{OtherPiece, Otherwise, RackChange};
pub use read::{Unknown, Unreadable};
pub use schema::{bench_schema, plan_schema};
pub use sheet_certificate::{Counted, SheetBed, SheetCertificate, SheetNode};
pub use sources::SourceText;
pub use summary::{BoughtAndUsed, Caution, ColorOfFrame, Feet, Pile, Rack, Rip, Settings, Summary};
pub use told::{Ended, NotVerified, Without};
pub use verify::{
    Standing, Verified, VerifiedMaterial, is_carried_on, read_bench, read_past, verify,
};
pub use way::{GoneWay, WayKind, WoodInLengths};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::diag::safe_json;
use crate::job::Texts;
use crate::pipeline::Planned;
use crate::plan::sheets::MaterialPlan;
use crate::plan::{self, Plan};
use crate::tally;

/// The program, as files name it.
const PROGRAM: &str = "longpoint";

/// What the file of a plan says it is.
pub const FORMAT: &str = "longpoint plan";

/// What the file of a job at the bench says it is.
pub const BENCH_FORMAT: &str = "longpoint bench";

/// The number of the format; one that reads another number's files does not exist.
pub const FORMAT_NUMBER: u32 = 6;

/// A plan with all that is needed to draw and to verify it.
///
/// Lengths are whole nanometers (`_nm`), money whole minor units (`_minor`), angles thousandths of a degree
/// (`_millidegrees`). Every field is always there; what does not apply is null. Positions count from 0.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanFile {
    /// `longpoint plan`.
    pub format: String,
    /// Number of the format.
    pub format_number: u32,
    /// The program that wrote the file, with its version; not verified.
    pub written_by: String,
    /// The job's title.
    pub title: String,
    /// What the plan comes to.
    pub summary: Summary,
    /// The settings it is made with.
    pub settings: Settings,
    /// The way of buying that it goes; null where it is the best mix of all boards of the job.
    pub way: Option<GoneWay>,
    /// The job's mouldings.
    pub mouldings: Vec<Moulding>,
    /// The boards to take, one line for each kind, in the order of the job.
    pub boards_to_take: Vec<TakenBoards>,
    /// Every board with its cuts, in the order in which one would cut.
    pub boards: Vec<Board>,
    /// What is left uncut on purpose.
    pub spare_offcuts: Vec<SpareOffcut>,
    /// What stays on the rack as it lies, to the same end.
    pub kept_pieces: Vec<KeptPiece>,
    /// Parts for which there is no wood.
    pub missing: Vec<Missing>,
    /// What goes back on the rack.
    pub offcuts: Vec<Offcut>,
    /// The job's frames.
    pub frames: Vec<Frame>,
    /// The job's loose pieces.
    pub pieces: Vec<Piece>,
    /// Mat boards, panes and backings, alike ones together.
    pub sheets: Vec<Sheet>,
    /// What is cut of each material whose sheets the job states; of a later sheet of a bench nothing.
    pub materials: Vec<Material>,
    /// What to look out for.
    pub cautions: Vec<Caution>,
    /// Frames that are to match in color, copy by copy.
    pub color: Vec<ColorOfFrame>,
    /// What proves the lower bound.
    pub certificate: Certificate,
    /// What is said of the search, and cannot be verified.
    pub not_verified: NotVerified,
    /// The files of the job as they were when it was planned, the job file first, so that it can be read again whatever has
    /// become of them; empty where it was read from none, and of a later sheet of a bench.
    pub sources: Vec<SourceText>,
}

impl PlanFile {
    /// The file of a plan by itself: its boards are marked in their order.
    pub fn of(planned: &Planned) -> PlanFile {
        let not_verified = NotVerified::of(planned);
        let Planned {
            plan,
            certificate,
            materials,
            ..
        } = planned;
        PlanFile::with(plan, certificate, materials, not_verified)
    }

    /// The same, with the files that the job was read from.
    #[must_use]
    pub fn from_files(self, texts: &Texts) -> PlanFile {
        PlanFile {
            sources: sources::of(texts),
            ..self
        }
    }

    /// The file of a plan.
    fn with(
        plan: &Plan,
        certificate: &plan::certificate::Certificate,
        materials: &[MaterialPlan],
        not_verified: NotVerified,
    ) -> PlanFile {
        let job = &plan.job;
        let counted = tally::Summary::new(plan);
        let (frames, sheets) = frames_and_sheets(job);
        PlanFile {
            format: FORMAT.to_owned(),
            format_number: FORMAT_NUMBER,
            written_by: written_by(),
            title: job.title.clone(),
            summary: Summary::of(plan, certificate, &counted),
            settings: Settings::of(job),
            way: job.buying.gone.as_ref().map(|gone| GoneWay::of(job, gone)),
            mouldings: frames::mouldings(job),
            boards_to_take: boards::taken(plan, &counted),
            boards: boards::boards(plan),
            spare_offcuts: boards::spare_offcuts(plan),
            kept_pieces: boards::kept_pieces(plan),
            missing: boards::missing(plan),
            offcuts: boards::offcuts(plan),
            frames,
            pieces: frames::pieces(job),
            sheets,
            materials: materials
                .iter()
                .map(|plan| Material::of(job, plan))
                .collect(),
            cautions: summary::cautions(plan),
            color: summary::color(plan),
            certificate: Certificate::of(job, certificate),
            not_verified,
            sources: Vec::new(),
        }
    }

    /// The file's text: the same bytes every time.
    pub fn text(&self) -> String {
        json_text(self)
    }
}

/// This program with its version.
fn written_by() -> String {
    format!("{PROGRAM} {}", env!("CARGO_PKG_VERSION"))
}

/// An object as JSON, one field to a line.
///
/// # Panics
/// Never, for objects that hold no maps but such of texts.
pub fn json_text(object: &impl Serialize) -> String {
    let mut text = serde_json::to_string_pretty(object)
        .expect("only strings, integers and lists are written, and no map");
    text.push('\n');
    safe_json(text)
}

#[cfg(test)]
mod tests;
