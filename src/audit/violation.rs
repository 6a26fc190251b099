//! What can be wrong with a plan, or with the proof of its bound.

use std::fmt;

use crate::job::Job;
use crate::plan::{Measure, Part, Verdict, part_label};

/// A way in which a plan contradicts its job, or itself, or in which a certificate proves less than it claims.
///
/// Of a plan that was just made any of them is an error of the program, never of the user.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Violation {
    /// Where.
    pub place: Place,
    /// What.
    pub kind: Kind,
}

/// What a violation concerns, as far as it is one thing; all positions count from 0.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Place {
    /// Position in `Certificate::claims`.
    pub claim: Option<usize>,
    /// Index into `Job::boards`.
    pub line: Option<usize>,
    /// Position in `Plan::boards`.
    pub board: Option<usize>,
    /// Position among the strips of that board.
    pub strip: Option<usize>,
    /// The part.
    pub part: Option<Part>,
    /// Position of its plan among those of materials that come in sheets.
    pub material: Option<usize>,
    /// Position in `MaterialPlan::sheets`.
    pub sheet: Option<usize>,
}

impl Place {
    /// The plan as a whole.
    pub(super) const WHOLE: Place = Place {
        claim: None,
        line: None,
        board: None,
        strip: None,
        part: None,
        material: None,
        sheet: None,
    };

    /// A board of the plan.
    pub(super) fn board(board: usize) -> Place {
        Place {
            board: Some(board),
            ..Place::WHOLE
        }
    }

    /// A line of boards of the job.
    pub(super) fn line(line: usize) -> Place {
        Place::WHOLE.with_line(line)
    }

    /// A part, wherever it is.
    pub(super) fn part(part: Part) -> Place {
        Place::WHOLE.with_part(part)
    }

    /// A claim of the certificate.
    pub(super) fn claim(claim: usize) -> Place {
        Place {
            claim: Some(claim),
            ..Place::WHOLE
        }
    }

    /// What is cut of a material.
    pub(super) fn material(material: usize) -> Place {
        Place {
            material: Some(material),
            ..Place::WHOLE
        }
    }

    /// A sheet of this material.
    pub(super) fn with_sheet(self, sheet: usize) -> Place {
        Place {
            sheet: Some(sheet),
            ..self
        }
    }

    /// A strip of this board or sheet.
    pub(super) fn with_strip(self, strip: usize) -> Place {
        Place {
            strip: Some(strip),
            ..self
        }
    }

    /// A part on this board or strip.
    pub(super) fn with_part(self, part: Part) -> Place {
        Place {
            part: Some(part),
            ..self
        }
    }

    /// A line of boards in this claim.
    pub(super) fn with_line(self, line: usize) -> Place {
        Place {
            line: Some(line),
            ..self
        }
    }

    /// A violation here.
    pub(super) fn has(self, kind: Kind) -> Violation {
        Violation { place: self, kind }
    }
}

/// A kind of violation; lengths are in nanometers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The job has no such line of boards.
    UnknownBoard,
    /// The job has no such part.
    UnknownPart,
    /// A part is cut, or called missing, or named by a claim, more than once.
    RepeatedPart,
    /// A part is neither cut nor called missing.
    LostPart,
    /// A board has no strip.
    EmptyBoard,
    /// A strip carries no cut.
    EmptyStrip,
    /// What is to be left is cut.
    MustBeLeft,
    /// What is to be cut is called left, or left on a strip that is not there.
    NotLeft,
    /// The yard does not cut a board of its line so.
    NotCutSo,
    /// A strip lies on a stretch that is not there, or before one of an earlier stretch.
    MisplacedStrip,
    /// A strip that takes its board whole has another beside it.
    SharedBoard,
    /// A strip carries cuts of two sections.
    MixedSections,
    /// A strip is said to be milled to another moulding than its parts.
    WrongMoulding {
        /// What the plan says.
        planned: Option<usize>,
        /// What its first part needs.
        wanted: Option<usize>,
    },
    /// A board does not suit what is cut from it.
    UnsuitableBoard,
    /// A figure is not what it must be.
    Wrong {
        /// Which.
        figure: Figure,
        /// What the plan says; `None` if unknown.
        planned: Option<i128>,
        /// What it must be; `None` if unknown.
        wanted: Option<i128>,
    },
    /// The strips and the kerfs between them are wider than the straightened board.
    BeyondEdge {
        /// Where the last strip ends, from the straightened edge.
        end_nm: i128,
        /// Width of the straightened board.
        room_nm: i128,
    },
    /// A cut begins before the near trim ends.
    InNearTrim {
        /// Where it begins.
        from_nm: i128,
    },
    /// A cut ends after the far trim, or the end of the board, begins.
    InFarTrim {
        /// Where it ends.
        to_nm: i128,
    },
    /// A cut lies on a defect of its board.
    OnDefect,
    /// A cut and its left neighbor are closer than the kerf between them, or overlap.
    NarrowGap {
        /// The gap, negative for an overlap.
        gap_nm: i128,
        /// The least gap.
        needed_nm: i128,
    },
    /// A part lies turned end for end where it may not.
    MayNotBeTurned,
    /// A rail that must follow another one of its frame on the strip, one kerf apart, or be followed by one, does not.
    BrokenChain,
    /// A cut should stand before its left neighbor: larger kerfs come first, then longer cuts.
    OutOfOrder,
    /// More boards of a line are taken than there are.
    SupplyExceeded {
        /// How many are taken.
        taken: u64,
        /// How many there are.
        supply: u32,
    },
    /// The cost of a board cannot be worked out.
    UnknownCost,
    /// The value is measured in something else than the job asks for.
    WrongMeasure {
        /// What the plan says.
        planned: Measure,
        /// What the job asks for.
        wanted: Measure,
    },
    /// The lower bound exceeds the value.
    BoundAboveValue {
        /// The bound.
        lower_bound: i64,
        /// The value.
        value: i64,
    },
    /// More parts are said to be missing in every plan than are missing in this one.
    MissingBoundAboveMissing {
        /// The bound.
        missing_lower_bound: u64,
        /// How many are missing.
        n_missing: u64,
    },
    /// The verdict is `Optimal` while a bound differs from the value, or is not while both meet.
    WrongVerdict {
        /// What the plan says.
        planned: Verdict,
        /// Whether both bounds meet their values.
        bounds_meet: bool,
    },
    /// Materials are planned that the job does not need, or others than it does, or out of order.
    WrongMaterials,
    /// There is no such sheet: the job has none, or nothing has dropped out of that window then.
    NoSuchSheet,
    /// The cutter makes no cut as long as the sheet or the strip asks for.
    CutTooLong,
    /// A stack has several pieces, and third cuts may not be made.
    ThirdCut,
    /// To follow the proof of a material is more work than is allowed; its bound rests on the word of the program that
    /// searched for it.
    TooMuchWork,
    /// A claim refers to what it does not list, lists more than there is, or has numbers out of range.
    Malformed,
    /// A claim forgets a line of boards that its parts can be cut from.
    ForgottenBoard,
    /// Parts of two claims can be cut from one board.
    BoardOfTwoClaims,
    /// The prices of a claim do not prove how many parts are missing.
    MissingNotProved {
        /// How many it claims.
        missing: u64,
    },
    /// The prices of a claim do not prove its bound.
    NotProved {
        /// The bound that is claimed.
        bound: i64,
    },
}

/// A figure of a plan that follows from the job and the cuts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// Length of a cut.
    Length,
    /// Width of a strip: what its section and the planing ask for, or its board's if that is not ripped.
    StripWidth,
    /// Length of a stack along its strip: that of its longest piece.
    StackLength,
    /// Where the first piece of a stack begins: at the edge of its strip.
    Begin,
    /// Where a strip begins: one rip kerf behind the one before, the first at the straightened edge.
    StripPlace,
    /// Where a piece begins that is left beside the strips, a kerf behind one of them or at the straightened edge.
    EdgePlace,
    /// Width of such a piece, up to the kerf before the next strip, or behind the last one to the far edge.
    EdgeLeft,
    /// What is left behind the last cut of a strip and its kerf.
    Offcut,
    /// Number among the boards of its kind, which rise in the order of the plan.
    Number,
    /// Number of the pattern: boards cut alike stand together under one, and no others.
    Pattern,
    /// Sum over the boards.
    Value,
    /// Whether face alone rules out other cuts: 1 or 0.
    AnyCuts,
}

impl Figure {
    /// Its name, and whether it is a length.
    fn words(self) -> (&'static str, bool) {
        match self {
            Figure::Length => ("its length", true),
            Figure::StripWidth => ("its width", true),
            Figure::StackLength => ("the length of a stack", true),
            Figure::Begin => ("where a stack begins across", true),
            Figure::StripPlace => ("its distance from the edge", true),
            Figure::EdgePlace => ("where a piece beside its strips begins", true),
            Figure::EdgeLeft => ("the width of a piece beside its strips", true),
            Figure::Offcut => ("its offcut", true),
            Figure::Number => ("its number of its kind", false),
            Figure::Pattern => ("its pattern", false),
            Figure::Value => ("the value of the plan", false),
            Figure::AnyCuts => ("whether its face rules out other cuts", false),
        }
    }
}

impl fmt::Display for Part {
    /// Counts from 1: `frame 2, copy 1, side 3`, `piece 1, copy 4`. For people there is `part_label`.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Part::Rail {
                frame_idx,
                copy,
                side,
            } => write!(
                out,
                "frame {}, copy {copy}, side {}",
                frame_idx.saturating_add(1),
                side.saturating_add(1)
            ),
            Part::Loose { piece_idx, copy } => {
                write!(out, "piece {}, copy {copy}", piece_idx.saturating_add(1))
            }
        }
    }
}

impl fmt::Display for Place {
    /// Counts from 1; nothing for the plan as a whole.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let numbered = [
            (self.claim, "claim "),
            (self.line, "board line "),
            (self.board, "board of the plan "),
            (self.material, "material "),
            (self.sheet, "sheet "),
            (self.strip, "strip "),
        ];
        let mut parts: Vec<String> = numbered
            .iter()
            .filter_map(|(idx, word)| Some(format!("{word}{}", (*idx)?.saturating_add(1))))
            .collect();
        parts.extend(self.part.map(|part| format!("part `{part}`")));
        out.write_str(&parts.join(", "))
    }
}

impl fmt::Display for Violation {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.place != Place::WHOLE {
            write!(out, "{}: ", self.place)?;
        }
        write!(out, "{}", self.kind)
    }
}

impl Violation {
    /// For people who read the job: each part under its label where the job has it, and each length as `length` tells its
    /// nanometers.
    pub fn told(&self, job: &Job, length: &dyn Fn(i128) -> String) -> String {
        let known = self.place.part.filter(|&part| is_known(job, part));
        let mut told = match known {
            None => self.place.to_string(),
            Some(part) => {
                let place = Place {
                    part: None,
                    ..self.place
                };
                let part = format!("part `{}`", part_label(job, part));
                let place = Some(place.to_string()).filter(|place| !place.is_empty());
                place
                    .into_iter()
                    .chain([part])
                    .collect::<Vec<_>>()
                    .join(", ")
            }
        };
        if !told.is_empty() {
            told += ": ";
        }
        let written = self.kind.write(&mut told, length);
        debug_assert!(written.is_ok(), "a string takes all that is written");
        told
    }
}

/// Whether a job has a part of these positions.
fn is_known(job: &Job, part: Part) -> bool {
    match part {
        Part::Rail {
            frame_idx,
            copy,
            side,
        } => job.frames.get(frame_idx).is_some_and(|frame| {
            let sides = usize::try_from(frame.art.n_sides()).unwrap_or(usize::MAX);
            (1..=frame.quantity).contains(&copy)
                && usize::try_from(side).is_ok_and(|side| side < sides)
        }),
        Part::Loose { piece_idx, copy } => job
            .pieces
            .get(piece_idx)
            .is_some_and(|piece| (1..=piece.quantity).contains(&copy)),
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.write(out, &|nm| format!("{nm} nm"))
    }
}

impl Kind {
    /// In words, each length as `length` tells its nanometers.
    #[expect(clippy::too_many_lines, reason = "one sentence for each kind")]
    fn write(&self, out: &mut dyn fmt::Write, length: &dyn Fn(i128) -> String) -> fmt::Result {
        let plain = match *self {
            Kind::UnknownBoard => "the job has no such board",
            Kind::WrongMaterials => {
                "the sheets planned are not those of the materials that the job needs"
            }
            Kind::NoSuchSheet => "there is no such sheet to be cut",
            Kind::CutTooLong => "no cut as long can be made",
            Kind::ThirdCut => "it needs third cuts, which may not be made",
            Kind::TooMuchWork => {
                "to follow its proof is more work than is allowed; its bound is not proved here"
            }
            Kind::UnknownPart => "the job has no such part",
            Kind::RepeatedPart => "it is counted already",
            Kind::LostPart => "it is neither cut nor called missing",
            Kind::EmptyBoard | Kind::EmptyStrip => "nothing is cut from it",
            Kind::MustBeLeft => "it must be left uncut",
            Kind::NotLeft => "it is not a part to be left, or it is left on no strip",
            Kind::SharedBoard => "the strip takes the board whole and is not alone on it",
            Kind::MixedSections => "it is of another section than the first part of its strip",
            Kind::UnsuitableBoard => "the board does not suit the part",
            Kind::OnDefect => "it lies on a defect",
            Kind::NotCutSo => "boards of its line are not cut at the yard, or resawn, so",
            Kind::MisplacedStrip => {
                "a strip lies on a stretch that is not there, or before one of an earlier stretch"
            }
            Kind::MayNotBeTurned => "it may not lie turned end for end",
            Kind::BrokenChain => "it is apart from the rails it must follow",
            Kind::OutOfOrder => "it should stand before its left neighbor",
            Kind::UnknownCost => "its cost cannot be worked out",
            Kind::Malformed => {
                "it refers to what it does not list, lists more than there is, or has numbers out of range"
            }
            Kind::ForgottenBoard => "the claim forgets that its parts can be cut from these boards",
            Kind::BoardOfTwoClaims => "parts of two claims can be cut from one of these boards",
            Kind::WrongMoulding { planned, wanted } => {
                return write!(
                    out,
                    "milled to moulding {planned:?}, but its parts need {wanted:?}"
                );
            }
            Kind::Wrong {
                figure,
                planned,
                wanted,
            } => {
                let (name, is_length) = figure.words();
                let figure = |figure: Option<i128>| match figure {
                    None => "unknown".to_owned(),
                    Some(nm) if is_length => length(nm),
                    Some(figure) => figure.to_string(),
                };
                return write!(
                    out,
                    "{name} is given as {} and must be {}",
                    figure(planned),
                    figure(wanted)
                );
            }
            Kind::BeyondEdge { end_nm, room_nm } => {
                return write!(
                    out,
                    "its strips end at {} from the edge and its width is {}",
                    length(end_nm),
                    length(room_nm)
                );
            }
            Kind::InNearTrim { from_nm } => {
                return write!(
                    out,
                    "it begins at {}, within the near trim",
                    length(from_nm)
                );
            }
            Kind::InFarTrim { to_nm } => {
                return write!(out, "it ends at {}, within the far trim", length(to_nm));
            }
            Kind::NarrowGap { gap_nm, needed_nm } => {
                return write!(
                    out,
                    "{} lie before it and the kerf takes {}",
                    length(gap_nm),
                    length(needed_nm)
                );
            }
            Kind::SupplyExceeded { taken, supply } => {
                return write!(out, "{taken} are taken and there are {supply}");
            }
            Kind::WrongMeasure { planned, wanted } => {
                return write!(
                    out,
                    "the value is measured in {planned:?} and must be in {wanted:?}"
                );
            }
            Kind::BoundAboveValue { lower_bound, value } => {
                return write!(
                    out,
                    "the lower bound {lower_bound} exceeds the value {value}"
                );
            }
            Kind::MissingBoundAboveMissing {
                missing_lower_bound,
                n_missing,
            } => {
                return write!(
                    out,
                    "{missing_lower_bound} parts are said to be missing in every plan, and here {n_missing} are"
                );
            }
            Kind::WrongVerdict {
                planned,
                bounds_meet,
            } => {
                let meet = if bounds_meet { "meet" } else { "do not meet" };
                return write!(
                    out,
                    "the verdict is {planned:?} and the bounds {meet} their values"
                );
            }
            Kind::MissingNotProved { missing } => {
                return write!(
                    out,
                    "its prices do not prove that at least {missing} of its parts are missing in every plan"
                );
            }
            Kind::NotProved { bound } => {
                return write!(out, "its prices do not prove its bound of {bound}");
            }
        };
        out.write_str(plain)
    }
}
