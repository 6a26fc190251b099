//! The findings of the cross checks as diagnostics, each at the row it is about.

mod grain;

use super::record::Origin;
use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};
use crate::job::{Finding, JobSpec, MOST_PARTS, Subject, moulding_section, piece_section};
use crate::length::{Length, Rounding, Unit, exact_text, format as format_length};
use crate::stock::{Board, Misfit, Section};

/// Where the rows of a job stand, by its indices.
pub(super) struct Origins<'a> {
    pub(super) mouldings: Vec<Origin<'a>>,
    pub(super) frames: Vec<Origin<'a>>,
    pub(super) pieces: Vec<Origin<'a>>,
    pub(super) boards: Vec<Origin<'a>>,
}

impl Origins<'_> {
    fn of(&self, subject: Subject) -> &Origin<'_> {
        match subject {
            Subject::Frame(idx) => &self.frames[idx],
            Subject::Piece(idx) => &self.pieces[idx],
            Subject::Moulding(idx) => &self.mouldings[idx],
            Subject::Board(idx) => &self.boards[idx],
        }
    }
}

/// Sizes that are worked out may have no short text; they are shown to this step, up or down, never so that it misleads.
const fn fine_step(unit: Unit) -> Length {
    if unit.is_imperial() {
        Length::from_nm(396_875)
    } else {
        Length::from_nm(100_000)
    }
}

/// A length that was worked out.
fn fine(length: Length, unit: Unit, rounding: Rounding) -> String {
    format!(
        "`{}`",
        format_length(length, unit, fine_step(unit), rounding)
    )
}

/// Reports one finding.
#[expect(clippy::too_many_lines, reason = "one case for each finding")]
pub(super) fn report(
    finding: &Finding,
    job: &JobSpec,
    origins: &Origins<'_>,
    job_file: &Origin<'_>,
    faults: &mut Diagnostics,
) {
    let length = |length: Length| format!("`{}`", exact_text(length, job.display.unit));
    let fine = |length: Length, rounding| fine(length, job.display.unit, rounding);
    let error = |subject: Subject, code, what: String| {
        Diagnostic::error(code, origins.of(subject).place(), what)
    };
    faults.push(match finding {
        Finding::TooManyParts { count } => {
            let what = format!("the job has {count} parts, the limit is {MOST_PARTS}");
            Diagnostic::error(code::TOO_MANY_PARTS, job_file.place(), what)
        }
        Finding::TrimEatsBoard { board_idx } => {
            let board = &job.boards[*board_idx];
            let what = format!(
                "an end trim of {} at both ends leaves nothing of board {}, which is {} long",
                length(job.shop.end_trim),
                quoted(&board.name),
                length(board.length)
            );
            error(Subject::Board(*board_idx), code::TRIM_EATS_BOARD, what)
        }
        Finding::NothingClear { board_idx } => {
            let place = origins.of(Subject::Board(*board_idx)).place();
            nothing_clear(place, &job.boards[*board_idx])
        }
        Finding::NoSight { frame_idx } => {
            let frame = &job.frames[*frame_idx];
            let moulding = &job.mouldings[frame.moulding_idx];
            let what = format!(
                "the lip of {} on each side covers all of frame {}",
                length(moulding.lip),
                quoted(&frame.name)
            );
            error(Subject::Frame(*frame_idx), code::NO_SIGHT, what)
        }
        Finding::PartTooLong {
            subject,
            part,
            board_idx,
            usable,
        } => {
            let board = &job.boards[*board_idx];
            let what = format!(
                "{} needs {}, but the longest board that suits, {}, has {} between its {}",
                part_name(*subject, job),
                fine(*part, Rounding::Up),
                quoted(&board.name),
                fine(*usable, Rounding::Down),
                if board.defects.is_empty() {
                    "trims"
                } else {
                    "trims and defects"
                }
            );
            let enough = *part + job.shop.end_trim * 2;
            let hint = format!("a board of {} would do", fine(enough, Rounding::Up));
            error(*subject, code::PART_TOO_LONG, what).with_hint(hint)
        }
        Finding::ChainTooLong { frame_idx, .. } | Finding::NoOppositeSides { frame_idx } => {
            let place = origins.of(Subject::Frame(*frame_idx)).place();
            grain::fault(finding, job, *frame_idx, place)
        }
        Finding::NoSuitableBoard {
            subject,
            board_idx,
            misfits,
        } => {
            let what = format!(
                "no board suits {}: the nearest, {}, has {}",
                subject_name(*subject, job),
                quoted(&job.boards[*board_idx].name),
                reasons(misfits, *subject, *board_idx, job)
            );
            let hint = what_would_suit(*subject, *board_idx, job);
            error(*subject, code::NO_SUITABLE_BOARD, what).with_hint(hint)
        }
        Finding::StraighteningEatsBoard {
            board_idx,
            narrowest,
        } => straightening_eats_board(*board_idx, *narrowest, job, origins),
        Finding::UnusedBoard {
            board_idx,
            subject,
            misfits,
        } => unused_board(*board_idx, *subject, misfits, job, origins),
        Finding::WholeBoards {
            piece_idx,
            board_idx,
        } => whole_boards(*piece_idx, *board_idx, job, origins),
        Finding::ShallowRabbet {
            frame_idx,
            needed,
            rabbet_depth,
        } => {
            let place = origins.of(Subject::Frame(*frame_idx)).place();
            shallow_rabbet(place, *needed, *rabbet_depth, job.display.unit)
        }
        Finding::PriceMissing { board_idx } => {
            let place = origins.of(Subject::Board(*board_idx)).place();
            price_missing(place, &job.boards[*board_idx])
        }
    });
}

/// A board that has nothing to give.
fn nothing_clear(place: Place, board: &Board) -> Diagnostic {
    let name = quoted(&board.name);
    let what = format!("the defects of board {name} leave nothing of it clear");
    Diagnostic::error(code::NOTHING_CLEAR, place, what).with_hint("take it off the list".to_owned())
}

/// A board or a piece in hand of which nobody knows what it costs.
fn price_missing(place: Place, board: &Board) -> Diagnostic {
    let name = quoted(&board.name);
    let what = if board.in_hand.is_some() {
        format!("rack piece {name} has neither `value` nor `paid`: taking it costs nothing")
    } else {
        format!("board {name} has no price though others have one: it counts as paid for")
    };
    Diagnostic::warning(code::PRICE_MISSING, place, what)
}

/// How far the package stands out, and what depth would do.
fn shallow_rabbet(place: Place, needed: Length, rabbet_depth: Length, unit: Unit) -> Diagnostic {
    let excess = needed - rabbet_depth;
    let nearly = if excess.is_exact_at(fine_step(unit)) {
        ""
    } else {
        "nearly "
    };
    let what = format!(
        "the package stands {nearly}{} out of the rabbet, which is `{}` deep",
        fine(excess, unit, Rounding::Up),
        exact_text(rabbet_depth, unit)
    );
    Diagnostic::warning(code::SHALLOW_RABBET, place, what).with_hint(format!(
        "a rabbet of {} would do",
        fine(needed, unit, Rounding::Up)
    ))
}

/// What is too long.
fn part_name(subject: Subject, job: &JobSpec) -> String {
    match subject {
        Subject::Frame(idx) => format!("a rail of frame {}", quoted(&job.frames[idx].name)),
        _ => subject_name(subject, job),
    }
}

fn subject_name(subject: Subject, job: &JobSpec) -> String {
    let (kind, name) = match subject {
        Subject::Frame(idx) => ("frame", &job.frames[idx].name),
        Subject::Piece(idx) => ("piece", &job.pieces[idx].name),
        Subject::Moulding(idx) => ("moulding", &job.mouldings[idx].name),
        Subject::Board(idx) => ("board", &job.boards[idx].name),
    };
    format!("{kind} {}", quoted(name))
}

/// What a moulding or a piece asks of a board.
fn section_of(subject: Subject, job: &JobSpec) -> Section<'_> {
    match subject {
        Subject::Moulding(idx) => moulding_section(&job.mouldings[idx]),
        Subject::Piece(idx) => piece_section(&job.pieces[idx], &job.mouldings),
        Subject::Frame(_) | Subject::Board(_) => Section {
            material: None,
            thickness: None,
            may_be_thicker: false,
            width: None,
        },
    }
}

/// A board that nothing in the job can be cut from.
fn unused_board(
    board_idx: usize,
    subject: Subject,
    misfits: &[Misfit],
    job: &JobSpec,
    origins: &Origins<'_>,
) -> Diagnostic {
    let what = format!(
        "board {} is left out, for it suits nothing in the job: {} comes nearest, but the board has {}",
        quoted(&job.boards[board_idx].name),
        subject_name(subject, job),
        reasons(misfits, subject, board_idx, job)
    );
    let place = origins.of(Subject::Board(board_idx)).place();
    Diagnostic::warning(code::BOARD_UNUSED, place, what)
        .with_hint(what_would_suit(subject, board_idx, job))
}

/// A piece without a width among others that are ripped.
fn whole_boards(
    piece_idx: usize,
    board_idx: usize,
    job: &JobSpec,
    origins: &Origins<'_>,
) -> Diagnostic {
    let what = format!(
        "piece {} has no width, so it takes boards such as {} whole and leaves nothing to rip",
        quoted(&job.pieces[piece_idx].name),
        quoted(&job.boards[board_idx].name)
    );
    let place = origins.of(Subject::Piece(piece_idx)).place();
    Diagnostic::warning(code::WHOLE_BOARDS, place, what)
        .with_hint("write its `width`, and it is cut from a strip".to_owned())
}

/// All that is wrong with a board, in one sentence.
fn reasons(misfits: &[Misfit], subject: Subject, board_idx: usize, job: &JobSpec) -> String {
    let reasons: Vec<String> = misfits
        .iter()
        .map(|misfit| reason(*misfit, subject, board_idx, job))
        .collect();
    reasons.join(", and ")
}

/// What the nearest board has of a property, and what was wanted.
fn reason(misfit: Misfit, subject: Subject, board_idx: usize, job: &JobSpec) -> String {
    let board = &job.boards[board_idx];
    let section = section_of(subject, job);
    let material = |material: Option<&str>| material.map_or("none".to_owned(), quoted);
    let length = |length: Option<Length>| {
        length.map_or("none".to_owned(), |length| {
            format!("`{}`", exact_text(length, job.display.unit))
        })
    };
    match misfit {
        Misfit::Material => format!(
            "material {}, not {}",
            material(board.material.as_deref()),
            material(section.material)
        ),
        Misfit::Thickness => format!(
            "thickness {}, {} {}",
            length(board.thickness),
            if section.may_be_thicker {
                "less than"
            } else {
                "not"
            },
            length(section.thickness)
        ),
        Misfit::Width => match (&job.shop.rip, board.width, section.width) {
            // Wide enough for the section, but not for what ripping loses.
            (Some(rip), Some(given), Some(wanted)) if wanted < given => format!(
                "width {}, less than a strip of {} and {} for straightening",
                length(board.width),
                length(Some(rip.strip_width(wanted))),
                length(Some(rip.straightening))
            ),
            _ => format!(
                "width {}, less than {}",
                length(board.width),
                length(section.width)
            ),
        },
    }
}

/// A board that would suit, and how else the one that does not can be made to.
fn what_would_suit(subject: Subject, board_idx: usize, job: &JobSpec) -> String {
    let section = section_of(subject, job);
    let length = |length: Length| format!("`{}`", exact_text(length, job.display.unit));
    let of_material = section
        .material
        .map_or_else(String::new, |material| format!(" of {}", quoted(material)));
    let mut sizes = Vec::new();
    if let Some(thickness) = section.thickness {
        let or_more = if section.may_be_thicker {
            " or more"
        } else {
            ""
        };
        sizes.push(format!("{}{or_more} thick", length(thickness)));
    }
    if let Some(width) = section.width {
        sizes.push(wide_enough(width, job));
    }
    let of_sizes = if sizes.is_empty() {
        String::new()
    } else {
        format!(", {},", sizes.join(" and "))
    };
    let mut hint = format!(
        "a board{of_material}{of_sizes} would do; a property that is left empty on either side suits"
    );
    let is_thicker = match (job.boards[board_idx].thickness, section.thickness) {
        (Some(given), Some(wanted)) => given > wanted,
        _ => false,
    };
    if is_thicker && !section.may_be_thicker && matches!(subject, Subject::Moulding(_)) {
        hint.push_str(
            "; `thicker-stock = true` lets a moulding be planed down from thicker boards",
        );
    }
    hint
}

/// The widths of boards from which a section of `width` can be cut.
fn wide_enough(width: Length, job: &JobSpec) -> String {
    let length = |length: Length| format!("`{}`", exact_text(length, job.display.unit));
    let least = job
        .shop
        .rip
        .map_or(width, |rip| rip.strip_width(width) + rip.straightening);
    if least == width {
        format!("{} or more wide", length(width))
    } else {
        format!(
            "{} or more, or exactly {} wide",
            length(least),
            length(width)
        )
    }
}

/// By how much the allowance is too large.
fn straightening_eats_board(
    board_idx: usize,
    narrowest: Option<Subject>,
    job: &JobSpec,
    origins: &Origins<'_>,
) -> Diagnostic {
    let length = |length: Length| format!("`{}`", exact_text(length, job.display.unit));
    let board = &job.boards[board_idx];
    let straightening = job.shop.rip.map_or(Length::ZERO, |rip| rip.straightening);
    let what = format!(
        "straightening takes {} of board {}, which is {} wide: nothing is left of it",
        length(straightening),
        quoted(&board.name),
        length(board.width.unwrap_or(Length::ZERO))
    );
    let hint = "`straightening` is the width that is lost at both edges together";
    let wanted = narrowest.and_then(|subject| Some((subject, section_of(subject, job).width?)));
    let hint = wanted.map_or(hint.to_owned(), |(subject, width)| {
        format!(
            "{hint}; a board, {}, would do for {}",
            wide_enough(width, job),
            subject_name(subject, job)
        )
    });
    let place = origins.of(Subject::Board(board_idx)).place();
    Diagnostic::error(code::STRAIGHTENING_EATS_BOARD, place, what).with_hint(hint)
}
