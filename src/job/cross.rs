//! Checks of the job as a whole: what no row can tell on its own.

use std::collections::{BTreeMap, BTreeSet};

use super::grain::check_grain;
use super::proportion::{Extent, check_proportion};
use super::scale::check_scale;
use super::vehicle::check_vehicle;
use super::{JobSpec, Piece};
use crate::frame::{ChosenBoards, Holding, Moulding, Rail, depth, package, spacer_is_open};
use crate::length::{Length, Unit};
use crate::stock::{
    Board, Misfit, Section, Taking, misfits, same_material, suits, taking, usable_length,
};

/// A job may ask for this many parts in all: as many of [`Length::LONGEST`], each with a kerf as wide, still sum in
/// whole nanometers, and a plan, in which every part has its place, fits the memory of any machine.
pub const MOST_PARTS: u32 = 200_000;

/// Something in a job, by its index.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// A frame.
    Frame(usize),
    /// A line of loose pieces.
    Piece(usize),
    /// A moulding.
    Moulding(usize),
    /// A board.
    Board(usize),
}

/// What is wrong, or odd, with a job whose rows are all right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Finding {
    /// More parts than [`MOST_PARTS`].
    TooManyParts {
        /// How many, unless the sum is out of range.
        count: u64,
    },
    /// The end trim leaves nothing of a board.
    TrimEatsBoard {
        /// Index of the board.
        board_idx: usize,
    },
    /// Defects leave nothing of a board clear.
    NothingClear {
        /// Index of the board.
        board_idx: usize,
    },
    /// The lips of the moulding cover the whole package.
    NoSight {
        /// Index of the frame.
        frame_idx: usize,
    },
    /// A part is longer than every board that suits it.
    PartTooLong {
        /// The frame or the piece.
        subject: Subject,
        /// Length of the part; of a frame, of its longest rail.
        part: Length,
        /// Index of the suitable board with the most usable length.
        board_idx: usize,
        /// What the trims leave of it, of a board with defects its longest clear stretch.
        usable: Length,
    },
    /// Rails that are to follow each other on one strip are longer than every board that suits them.
    ChainTooLong {
        /// Index of the frame.
        frame_idx: usize,
        /// How many rails.
        n_rails: usize,
        /// Their length, with the kerfs between them.
        length: Length,
        /// Index of the suitable board with the longest clear run.
        board_idx: usize,
        /// That run.
        usable: Length,
    },
    /// Of the boards that suit a part, or rails that are to follow each other, only such are long enough as the vehicle does
    /// not take.
    BeyondVehicle {
        /// The frame or the piece.
        subject: Subject,
        /// How many rails are to follow each other; 1 of a part by itself.
        n_rails: usize,
        /// Length of the part, or of the rails with the kerfs between them.
        length: Length,
        /// Index of a board that would do.
        board_idx: usize,
        /// The longest board that the vehicle takes.
        longest: Length,
    },
    /// A frame with an odd number of sides is to have opposite rails side by side.
    NoOppositeSides {
        /// Index of the frame.
        frame_idx: usize,
    },
    /// No board suits what is to be cut.
    NoSuitableBoard {
        /// The moulding or the piece.
        subject: Subject,
        /// Index of the board that fails by the fewest properties; the first of them.
        board_idx: usize,
        /// How it fails, never empty.
        misfits: Vec<Misfit>,
    },
    /// The board that is chosen for a frame does not suit its moulding.
    ChosenBoardUnsuitable {
        /// Index of the frame.
        frame_idx: usize,
        /// Index of the board.
        board_idx: usize,
        /// How it fails, never empty.
        misfits: Vec<Misfit>,
    },
    /// Straightening leaves nothing of a board's width.
    StraighteningEatsBoard {
        /// Index of the board.
        board_idx: usize,
        /// What asks for the narrowest strip; `None` in a job without parts.
        narrowest: Option<Subject>,
    },
    /// A board of a wood that the job needs is too narrow or of a wrong thickness for all of it; it is left out.
    UnusedBoard {
        /// Index of the board.
        board_idx: usize,
        /// The moulding or the piece that it fails by the fewest properties; the first of them.
        subject: Subject,
        /// How it fails that one, never empty.
        misfits: Vec<Misfit>,
    },
    /// A piece states no width, and takes a board whole that others would be ripped from.
    WholeBoards {
        /// Index of the piece.
        piece_idx: usize,
        /// Index of the first board it would take.
        board_idx: usize,
    },
    /// The package stands out of the rabbet; the job can be cut all the same.
    ShallowRabbet {
        /// Index of the frame.
        frame_idx: usize,
        /// The depth that would do.
        needed: Length,
        /// The depth there is.
        rabbet_depth: Length,
    },
    /// A frame inside of another has no play in the rabbet that holds it; the job can be cut all the same.
    NoPlay {
        /// Index of the outer frame.
        frame_idx: usize,
    },
    /// The strips of a spacer meet: nothing is open between them.
    SpacersMeet {
        /// Index of the frame.
        frame_idx: usize,
    },
    /// Keys side by side are as thick as the moulding whose corners they cross, or thicker.
    KeysTakeAll {
        /// Index of the moulding.
        moulding_idx: usize,
    },
    /// The margins of a dust cover leave nothing of it.
    NoCover {
        /// Index of the frame.
        frame_idx: usize,
    },
    /// A size is far from the others of its row or list, and would not be if it were read in another unit.
    OutOfScale {
        /// The frame or the board.
        subject: Subject,
        /// The size.
        size: Length,
        /// The unit in which it would be among the others.
        unit: Unit,
        /// The least of the others.
        least: Length,
        /// The largest of them.
        largest: Length,
    },
    /// The price of a board is far from those of all others that serve the same, as if its decimal were misplaced.
    OutOfProportion {
        /// Index of the board.
        board_idx: usize,
        /// Index of the nearest in price of the others.
        other_idx: usize,
        /// How many times the price of one that of the other is, rounded down.
        times: u128,
        /// Whether the board is the dearer one.
        is_dear: bool,
        /// What the prices are compared by.
        by: Extent,
    },
    /// Some boards have prices, and this one has none.
    PriceMissing {
        /// Index of the board.
        board_idx: usize,
    },
}

impl Finding {
    /// Whether the job cannot be planned so; else it is only odd.
    pub fn is_error(&self) -> bool {
        !matches!(
            self,
            Finding::UnusedBoard { .. }
                | Finding::BeyondVehicle { .. }
                | Finding::WholeBoards { .. }
                | Finding::ShallowRabbet { .. }
                | Finding::NoPlay { .. }
                | Finding::OutOfScale { .. }
                | Finding::OutOfProportion { .. }
                | Finding::PriceMissing { .. }
        )
    }
}

/// What the rails of a moulding, and the pieces that name it, ask of a board.
pub fn moulding_section(moulding: &Moulding) -> Section<'_> {
    Section {
        material: moulding.material.as_deref(),
        thickness: moulding.thickness,
        may_be_thicker: moulding.thicker_stock,
        width: Some(moulding.face_width),
        profile: moulding.profile_of_strips(),
    }
}

/// What a loose piece asks of a board.
///
/// # Panics
/// If the piece names a moulding that is not there.
pub fn piece_section<'a>(piece: &'a Piece, mouldings: &'a [Moulding]) -> Section<'a> {
    match piece.moulding_idx {
        Some(moulding_idx) => moulding_section(&mouldings[moulding_idx]),
        None => Section {
            material: piece.material.as_deref(),
            thickness: piece.thickness,
            may_be_thicker: false,
            width: piece.width,
            profile: None,
        },
    }
}

/// All findings, in the order of the checks.
///
/// The job may have no boards, or fewer frames than its files; what is there must keep the invariants of [`Job`](super::Job).
/// The supply of boards is left to the plan.
///
/// # Panics
/// If a `moulding_idx` is out of range.
pub fn check(job: &JobSpec) -> Vec<Finding> {
    let mut findings = Vec::new();
    check_count(job, &mut findings);
    check_trim(job, &mut findings);
    check_sight(job, &mut findings);
    check_fit(job, &mut findings);
    // Whether the vehicle takes the boards is asked for itself, as it is no fault of the job.
    if job.buying.longest.is_some() {
        let mut free = job.clone();
        free.buying.longest = None;
        check_grain(&free, &mut findings);
        check_vehicle(job, &mut findings);
    } else {
        check_grain(job, &mut findings);
    }
    check_rip(job, &mut findings);
    check_depth(job, &mut findings);
    check_play(job, &mut findings);
    check_spacers(job, &mut findings);
    check_assembly(job, &mut findings);
    check_scale(job, &mut findings);
    check_prices(job, &mut findings);
    check_proportion(job, &mut findings);
    findings
}

fn check_count(job: &JobSpec, findings: &mut Vec<Finding>) {
    let count = job.n_parts();
    if count > u64::from(MOST_PARTS) {
        findings.push(Finding::TooManyParts { count });
    }
}

/// The boards that are not on the rack, with their indices: what lies there may wait for another job, so it is no fault
/// if this one cannot use it.
fn to_buy(job: &JobSpec) -> impl Iterator<Item = (usize, &Board)> {
    let boards = job.boards.iter().enumerate();
    boards.filter(|(_, board)| board.in_hand.is_none())
}

fn check_trim(job: &JobSpec, findings: &mut Vec<Finding>) {
    for (board_idx, board) in to_buy(job) {
        if usable_length(board.length, job.shop.end_trim).is_none() {
            findings.push(Finding::TrimEatsBoard { board_idx });
        } else if longest_run(job, board, true).is_none() {
            findings.push(Finding::NothingClear { board_idx });
        }
    }
}

/// The longest stretch of a board that can carry parts; of a board that is ripped only defects of its whole width count,
/// for strips can be ripped past others.
fn longest_run(job: &JobSpec, board: &Board, is_ripped: bool) -> Option<Length> {
    if board.at_yard.is_some() {
        let longest = |stretch: Board| longest_run(job, &stretch, is_ripped);
        return board.stretches().filter_map(longest).max();
    }
    if !is_ripped {
        return board.longest_clear(job.shop.end_trim);
    }
    let runs = board.clear_runs(job.shop.end_trim, Length::ZERO, |defect| {
        defect.takes_all(board.width)
    });
    runs.into_iter().map(|(from, to)| to - from).max()
}

/// The longest stretch of a board that can carry parts of a section; nothing where it does not suit.
pub(super) fn run_for(job: &JobSpec, section: &Section<'_>, board: &Board) -> Option<Length> {
    let rip = job.shop.rip.as_ref();
    let is_ripped = matches!(
        taking(rip, section.width, board.width),
        Some(Taking::Ripped { .. })
    );
    let run = suits(section, board, rip).then(|| longest_run(job, board, is_ripped));
    run.flatten()
}

fn frame_rails(job: &JobSpec, frame_idx: usize) -> impl Iterator<Item = Rail> {
    let sizes = job.frame_sizes(frame_idx);
    // Opposite rails are alike, and so are all of a regular polygon.
    (0..sizes.n_sides().min(2)).map(move |side_idx| sizes.rail(side_idx))
}

fn check_sight(job: &JobSpec, findings: &mut Vec<Finding>) {
    for frame_idx in 0..job.frames.len() {
        if frame_rails(job, frame_idx).any(|rail| rail.short_point <= Length::ZERO) {
            findings.push(Finding::NoSight { frame_idx });
        }
    }
}

/// The longest usable board for a section; none is usable if the trims eat them all.
enum Fit {
    Longest { board_idx: usize, usable: Length },
    Eaten,
    Unsuitable,
}

/// Whether every part fits some board that suits it.
fn check_fit(job: &JobSpec, findings: &mut Vec<Finding>) {
    if job.boards.is_empty() {
        return;
    }
    let mut mouldings = MouldingFits {
        job,
        fits: BTreeMap::new(),
    };
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let longest = frame_rails(job, frame_idx)
            .map(|rail| rail.long_point)
            .max();
        let subject = Subject::Frame(frame_idx);
        if let Some(chosen) = frame.boards.chosen() {
            let section = moulding_section(&job.mouldings[frame.moulding_idx]);
            let unsuitable = chosen.filter_map(|board_idx| {
                let board = &job.boards[board_idx];
                let misfits = misfits(&section, board, job.shop.rip.as_ref());
                (!misfits.is_empty()).then_some(Finding::ChosenBoardUnsuitable {
                    frame_idx,
                    board_idx,
                    misfits,
                })
            });
            findings.extend(unsuitable);
            let fit = section_fit(job, &section, &frame.boards);
            findings.extend(longest.and_then(|part| too_long(subject, part, &fit)));
            continue;
        }
        let fit = mouldings.fit(frame.moulding_idx, findings);
        findings.extend(longest.and_then(|part| too_long(subject, part, fit)));
    }
    for (piece_idx, piece) in job.pieces.iter().enumerate() {
        let subject = Subject::Piece(piece_idx);
        if let Some(moulding_idx) = piece.moulding_idx {
            let fit = mouldings.fit(moulding_idx, findings);
            findings.extend(too_long(subject, piece.length, fit));
            continue;
        }
        let section = piece_section(piece, &job.mouldings);
        let fit = section_fit(job, &section, &piece.boards);
        if let Fit::Unsuitable = fit {
            findings.push(unsuitable(job, subject, &section));
        }
        findings.extend(too_long(subject, piece.length, &fit));
    }
}

/// The fit of each moulding that is used, found once; a moulding without a board is reported then.
struct MouldingFits<'a> {
    job: &'a JobSpec,
    fits: BTreeMap<usize, Fit>,
}

impl MouldingFits<'_> {
    fn fit(&mut self, moulding_idx: usize, findings: &mut Vec<Finding>) -> &Fit {
        let job = self.job;
        self.fits.entry(moulding_idx).or_insert_with(|| {
            let section = moulding_section(&job.mouldings[moulding_idx]);
            let fit = section_fit(job, &section, &ChosenBoards::ANY);
            if let Fit::Unsuitable = fit {
                findings.push(unsuitable(job, Subject::Moulding(moulding_idx), &section));
            }
            fit
        })
    }
}

fn section_fit(job: &JobSpec, section: &Section<'_>, boards: &ChosenBoards) -> Fit {
    let mut fit = Fit::Unsuitable;
    for (board_idx, board) in job.boards.iter().enumerate() {
        if !boards.allow(board_idx) || !suits(section, board, job.shop.rip.as_ref()) {
            continue;
        }
        let is_ripped = matches!(
            taking(job.shop.rip.as_ref(), section.width, board.width),
            Some(Taking::Ripped { .. })
        );
        match (longest_run(job, board, is_ripped), &fit) {
            (Some(usable), Fit::Longest { usable: most, .. }) if usable <= *most => {}
            (Some(usable), _) => fit = Fit::Longest { board_idx, usable },
            (None, Fit::Unsuitable) => fit = Fit::Eaten,
            (None, _) => {}
        }
    }
    fit
}

/// Boards eaten by their trims are reported as such, so parts that have no others are not.
fn too_long(subject: Subject, part: Length, fit: &Fit) -> Option<Finding> {
    match fit {
        Fit::Longest { board_idx, usable } if part > *usable => Some(Finding::PartTooLong {
            subject,
            part,
            board_idx: *board_idx,
            usable: *usable,
        }),
        Fit::Longest { .. } | Fit::Eaten | Fit::Unsuitable => None,
    }
}

fn unsuitable(job: &JobSpec, subject: Subject, section: &Section<'_>) -> Finding {
    let (board_idx, misfits) = job
        .boards
        .iter()
        .map(|board| misfits(section, board, job.shop.rip.as_ref()))
        .enumerate()
        .min_by_key(|(_, misfits)| misfits.len())
        .expect("the job has boards, else nothing is checked against them");
    Finding::NoSuitableBoard {
        subject,
        board_idx,
        misfits,
    }
}

/// Whether every board can be ripped, where boards are.
fn check_rip(job: &JobSpec, findings: &mut Vec<Finding>) {
    let Some(rip) = &job.shop.rip else {
        return;
    };
    let wanted = wanted_sections(job);
    let all_have_boards = !findings
        .iter()
        .any(|finding| matches!(finding, Finding::NoSuitableBoard { .. }));
    for (board_idx, board) in to_buy(job) {
        // A board that is not ripped for a section need not be straightened for it.
        let is_whole = |section: &Section<'_>| {
            taking(Some(rip), section.width, board.width) == Some(Taking::Whole)
        };
        if let Some(width) = board.width
            && rip.room(width) == Length::ZERO
            && !wanted.iter().any(|(_, section)| is_whole(section))
        {
            let narrowest = wanted.iter().min_by_key(|(_, section)| section.width);
            findings.push(Finding::StraighteningEatsBoard {
                board_idx,
                narrowest: narrowest.map(|(subject, _)| *subject),
            });
            continue;
        }
        let of_its_wood = |section: &Section<'_>| match (section.material, &board.material) {
            (Some(wanted), Some(given)) => same_material(wanted, given),
            _ => true,
        };
        let nearest = wanted
            .iter()
            .filter(|(_, section)| of_its_wood(section))
            .map(|(subject, section)| (*subject, misfits(section, board, Some(rip))))
            .min_by_key(|(_, misfits)| misfits.len());
        // Where something has no board at all, that is said already, and of which board it should have been.
        if let Some((subject, misfits)) = nearest
            && !misfits.is_empty()
            && all_have_boards
        {
            findings.push(Finding::UnusedBoard {
                board_idx,
                subject,
                misfits,
            });
        }
    }
    check_whole_boards(job, &wanted, findings);
}

/// Whether a piece without a width takes boards from which others are ripped.
fn check_whole_boards(
    job: &JobSpec,
    wanted: &[(Subject, Section<'_>)],
    findings: &mut Vec<Finding>,
) {
    let rip = job.shop.rip.as_ref();
    let is_ripped = |board: &Board| {
        wanted.iter().any(|(_, section)| {
            suits(section, board, rip)
                && matches!(
                    taking(rip, section.width, board.width),
                    Some(Taking::Ripped { .. })
                )
        })
    };
    for &(subject, section) in wanted {
        let (Subject::Piece(piece_idx), None) = (subject, section.width) else {
            continue;
        };
        let taken = job
            .boards
            .iter()
            .position(|board| suits(&section, board, rip) && is_ripped(board));
        if let Some(board_idx) = taken {
            findings.push(Finding::WholeBoards {
                piece_idx,
                board_idx,
            });
        }
    }
}

/// What the job cuts: each moulding that is used, in the order of the job, then each line of plain pieces.
///
/// # Panics
/// If a `moulding_idx` is out of range.
pub fn wanted_sections(job: &JobSpec) -> Vec<(Subject, Section<'_>)> {
    let by_frames = job.frames.iter().map(|frame| frame.moulding_idx);
    let by_pieces = job.pieces.iter().filter_map(|piece| piece.moulding_idx);
    let used: BTreeSet<usize> = by_frames.chain(by_pieces).collect();
    let mouldings = used.into_iter().map(|idx| {
        (
            Subject::Moulding(idx),
            moulding_section(&job.mouldings[idx]),
        )
    });
    let plain = job
        .pieces
        .iter()
        .enumerate()
        .filter(|(_, piece)| piece.moulding_idx.is_none())
        .map(|(idx, piece)| (Subject::Piece(idx), piece_section(piece, &job.mouldings)));
    mouldings.chain(plain).collect()
}

fn check_depth(job: &JobSpec, findings: &mut Vec<Finding>) {
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let Some(depth) = depth(frame, &job.mouldings, job.shop.point_room) else {
            continue;
        };
        if depth.excess().is_some() {
            findings.push(Finding::ShallowRabbet {
                frame_idx,
                needed: depth.needed,
                rabbet_depth: depth.rabbet_depth,
            });
        }
    }
}

/// Whether each frame inside of another has play in its rabbet; one in a tray stands free.
fn check_play(job: &JobSpec, findings: &mut Vec<Finding>) {
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let is_tight = frame
            .inner
            .last()
            .is_some_and(|inner| inner.play == Length::ZERO);
        if is_tight && frame.holding == Holding::Rabbet {
            findings.push(Finding::NoPlay { frame_idx });
        }
    }
}

/// Whether the strips of each spacer leave something between them.
fn check_spacers(job: &JobSpec, findings: &mut Vec<Finding>) {
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let package = package(frame, &job.mouldings, job.shop.fit_allowance);
        if frame.spacer.is_some() && !spacer_is_open(frame, &package) {
            findings.push(Finding::SpacersMeet { frame_idx });
        }
    }
}

/// Whether keys leave wood between them, and margins something of each dust cover.
fn check_assembly(job: &JobSpec, findings: &mut Vec<Finding>) {
    if let Some(keys) = job.assembly.keys {
        let all = keys.kerf * i64::from(keys.count);
        let crossed: BTreeSet<usize> = job.frames.iter().map(|frame| frame.moulding_idx).collect();
        let taken = crossed.into_iter().filter(|&idx| {
            let thickness = job.mouldings[idx].thickness;
            thickness.is_some_and(|thickness| all >= thickness)
        });
        findings.extend(taken.map(|moulding_idx| Finding::KeysTakeAll { moulding_idx }));
    }
    for frame_idx in 0..job.frames.len() {
        let cover = job.dust_cover_size(frame_idx);
        if cover.is_some_and(|cover| (0..2).any(|side| cover.side(side) <= Length::ZERO)) {
            findings.push(Finding::NoCover { frame_idx });
        }
    }
}

fn check_prices(job: &JobSpec, findings: &mut Vec<Finding>) {
    if !job.boards.iter().any(Board::counts_in_money) {
        return;
    }
    for (board_idx, board) in job.boards.iter().enumerate() {
        if board.price.is_none() {
            findings.push(Finding::PriceMissing { board_idx });
        }
    }
}
