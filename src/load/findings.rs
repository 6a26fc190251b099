//! The findings of the cross checks as diagnostics, each at the row it is about.

mod covers;
mod grain;

use super::record::Origin;
use crate::diag::{Diagnostic, Place, code, quoted};
use crate::frame::Depth;
use crate::job::{Extent, Finding, JobSpec, MOST_PARTS, Subject, moulding_section, piece_section};
use crate::length::{Length, Rounding, Unit, exact_text, format as format_length};
use crate::stock::{Misfit, Section};

/// Where the rows of a job stand, by its indices.
pub(super) struct Origins<'a> {
    pub(super) mouldings: Vec<Origin<'a>>,
    pub(super) frames: Vec<Origin<'a>>,
    pub(super) materials: Vec<Origin<'a>>,
    pub(super) pieces: Vec<Origin<'a>>,
    pub(super) boards: Vec<Origin<'a>>,
}

impl<'a> Origins<'a> {
    pub(super) fn of(&self, subject: Subject) -> &Origin<'a> {
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

/// What the longest board is called among all that suit, and where boards were chosen.
const LONGEST: &str = "the longest board that suits";
const LONGEST_CHOSEN: &str = "the board chosen for it";

/// What the longest board for a frame or a piece is called.
fn longest_board(job: &JobSpec, subject: Subject) -> &'static str {
    match subject {
        Subject::Frame(idx) if job.frames[idx].boards.chosen().is_some() => LONGEST_CHOSEN,
        _ => LONGEST,
    }
}

/// The words for findings.
pub(super) struct Words<'a> {
    pub(super) job: &'a JobSpec,
    pub(super) origins: &'a Origins<'a>,
    pub(super) job_file: &'a Origin<'a>,
}

impl Words<'_> {
    /// One finding in words, at its place.
    #[expect(
        clippy::too_many_lines,
        reason = "an arm for each finding, of a few lines"
    )]
    pub(super) fn of(&self, finding: &Finding) -> Diagnostic {
        match finding {
            Finding::TooManyParts { count } => {
                let what = format!("the job has {count} parts, the limit is {MOST_PARTS}");
                Diagnostic::error(code::TOO_MANY_PARTS, self.job_file.place(), what)
            }
            Finding::TrimEatsBoard { board_idx } => {
                let what = format!(
                    "an end trim of {} at both ends leaves nothing of board {}, which is {} long",
                    self.length(self.job.shop.end_trim),
                    self.board_name(*board_idx),
                    self.length(self.job.boards[*board_idx].length)
                );
                self.error(Subject::Board(*board_idx), code::TRIM_EATS_BOARD, what)
            }
            Finding::NothingClear { board_idx } => {
                let name = self.board_name(*board_idx);
                let what = format!("the defects of board {name} leave nothing of it clear");
                self.error(Subject::Board(*board_idx), code::NOTHING_CLEAR, what)
                    .with_hint("take it off the list".to_owned())
            }
            Finding::NoSight { frame_idx } => {
                let frame = &self.job.frames[*frame_idx];
                let what = format!(
                    "the lip of {} on each side covers all of frame {}",
                    self.length(self.job.mouldings[frame.moulding_idx].lip),
                    quoted(&frame.name)
                );
                self.error(Subject::Frame(*frame_idx), code::NO_SIGHT, what)
            }
            Finding::PartTooLong {
                subject,
                part,
                board_idx,
                usable,
            } => self.part_too_long(*subject, *part, *board_idx, *usable),
            Finding::ChainTooLong { frame_idx, .. } | Finding::NoOppositeSides { frame_idx } => {
                let place = self.place(Subject::Frame(*frame_idx));
                grain::fault(finding, self.job, *frame_idx, place)
            }
            beyond @ Finding::BeyondVehicle { .. } => self.beyond_vehicle(beyond),
            Finding::NoSuitableBoard {
                subject,
                board_idx,
                misfits,
            } => {
                let what = format!(
                    "no board suits {}: the nearest, {}, has {}",
                    self.name(*subject),
                    self.board_name(*board_idx),
                    self.reasons(misfits, *subject, *board_idx)
                );
                self.error(*subject, code::NO_SUITABLE_BOARD, what)
                    .with_hint(self.what_would_suit(*subject, *board_idx))
            }
            Finding::ChosenBoardUnsuitable {
                frame_idx,
                board_idx,
                misfits,
            } => self.chosen_board_unsuitable(*frame_idx, *board_idx, misfits),
            Finding::StraighteningEatsBoard {
                board_idx,
                narrowest,
            } => self.straightening_eats_board(*board_idx, *narrowest),
            Finding::UnusedBoard {
                board_idx,
                subject,
                misfits,
            } => {
                let what = format!(
                    "board {} is left out, for it suits nothing in the job: {} comes nearest, but the board has {}",
                    self.board_name(*board_idx),
                    self.name(*subject),
                    self.reasons(misfits, *subject, *board_idx)
                );
                self.warning(Subject::Board(*board_idx), code::BOARD_UNUSED, what)
                    .with_hint(self.what_would_suit(*subject, *board_idx))
            }
            Finding::WholeBoards {
                piece_idx,
                board_idx,
            } => self.whole_boards(*piece_idx, *board_idx),
            Finding::ShallowRabbet { frame_idx, depth } => self.shallow_rabbet(*frame_idx, *depth),
            Finding::NoPlay { frame_idx } => {
                let name = quoted(&self.job.frames[*frame_idx].name);
                let what = format!("the liner of frame {name} has no play in its rabbet");
                self.warning(Subject::Frame(*frame_idx), code::NO_PLAY, what)
                    .with_hint("give some `liner-play`, such as `1/16 in`".to_owned())
            }
            Finding::SpacersMeet { frame_idx } => {
                let name = quoted(&self.job.frames[*frame_idx].name);
                let what = format!("the strips of the spacer of frame {name} meet in the middle");
                self.error(Subject::Frame(*frame_idx), code::SPACERS_MEET, what)
                    .with_hint("give the spacer less `width`".to_owned())
            }
            Finding::KeysTakeAll { moulding_idx } => self.keys_take_all(*moulding_idx),
            Finding::NoCover { frame_idx } => self.no_cover(*frame_idx),
            Finding::TwoPapers {
                material_idx,
                before_idx,
            } => self.two_papers(*material_idx, *before_idx),
            Finding::PaperAndRoll {
                material_idx,
                hardware_idx,
            } => self.paper_and_roll(*material_idx, *hardware_idx),
            Finding::OutOfScale {
                subject,
                size,
                unit,
                least,
                largest,
            } => self.out_of_scale(*subject, (*size, *unit), (*least, *largest)),
            Finding::OutOfProportion {
                board_idx,
                other_idx,
                times,
                is_dear,
                by,
            } => self.out_of_proportion((*board_idx, *other_idx), *times, *is_dear, *by),
            Finding::PriceMissing { board_idx } => self.price_missing(*board_idx),
            Finding::LeftByItself { board_idx, n_lines } => {
                let more = match n_lines - 1 {
                    0 => String::new(),
                    1 => " and one more".to_owned(),
                    more => format!(" and {more} more"),
                };
                let what = format!(
                    "the rack has {}{more}, which this very job has left: it was cut and put there, and what is planned now cuts all its parts once more",
                    self.board_name(*board_idx)
                );
                self.warning(Subject::Board(*board_idx), code::LEFT_BY_ITSELF, what)
            }
        }
    }

    fn place(&self, subject: Subject) -> Place {
        self.origins.of(subject).place()
    }

    fn error(&self, subject: Subject, code: &'static str, what: String) -> Diagnostic {
        Diagnostic::error(code, self.place(subject), what)
    }

    fn warning(&self, subject: Subject, code: &'static str, what: String) -> Diagnostic {
        Diagnostic::warning(code, self.place(subject), what)
    }

    /// A length as it was written.
    fn length(&self, length: Length) -> String {
        format!("`{}`", exact_text(length, self.job.display.unit))
    }

    fn length_or_none(&self, length: Option<Length>) -> String {
        length.map_or("none".to_owned(), |length| self.length(length))
    }

    /// A length that was worked out.
    fn fine(&self, length: Length, rounding: Rounding) -> String {
        fine(length, self.job.display.unit, rounding)
    }

    fn board_name(&self, board_idx: usize) -> String {
        quoted(&self.job.boards[board_idx].name)
    }

    fn name(&self, subject: Subject) -> String {
        let (kind, name) = match subject {
            Subject::Frame(idx) => ("frame", &self.job.frames[idx].name),
            Subject::Piece(idx) => ("piece", &self.job.pieces[idx].name),
            Subject::Moulding(idx) => ("moulding", &self.job.mouldings[idx].name),
            Subject::Board(idx) => ("board", &self.job.boards[idx].name),
        };
        format!("{kind} {}", quoted(name))
    }

    /// What a moulding or a piece asks of a board.
    fn section(&self, subject: Subject) -> Section<'_> {
        match subject {
            Subject::Moulding(idx) => moulding_section(&self.job.mouldings[idx]),
            Subject::Piece(idx) => piece_section(&self.job.pieces[idx], &self.job.mouldings),
            Subject::Frame(_) | Subject::Board(_) => Section {
                material: None,
                thickness: None,
                may_be_thicker: false,
                width: None,
                profile: None,
            },
        }
    }

    /// What is wrong with the board that is chosen for a frame, and which could be.
    fn chosen_board_unsuitable(
        &self,
        frame_idx: usize,
        board_idx: usize,
        misfits: &[Misfit],
    ) -> Diagnostic {
        let (frame, moulding) = (
            Subject::Frame(frame_idx),
            Subject::Moulding(self.job.frames[frame_idx].moulding_idx),
        );
        let what = format!(
            "board {}, chosen for {}, does not suit {}: it has {}",
            self.board_name(board_idx),
            self.name(frame),
            self.name(moulding),
            self.reasons(misfits, moulding, board_idx)
        );
        let would_suit = self.what_would_suit(moulding, board_idx);
        let hint = format!("leave `board` out, or choose another: {would_suit}");
        self.error(frame, code::CHOSEN_BOARD_UNSUITABLE, what)
            .with_hint(hint)
    }

    /// A part, or rails in a row, that no board which the vehicle takes can hold.
    fn beyond_vehicle(&self, finding: &Finding) -> Diagnostic {
        let Finding::BeyondVehicle {
            subject,
            n_rails,
            length,
            board_idx,
            longest,
        } = *finding
        else {
            unreachable!("only such a finding is told so");
        };
        let of = match (subject, n_rails) {
            (Subject::Frame(_), 1) => "a rail of ".to_owned(),
            (Subject::Frame(_), _) => format!("{n_rails} rails in a row of "),
            _ => String::new(),
        };
        let need = if n_rails == 1 { "needs" } else { "need" };
        let what = format!(
            "{of}{} {need} {}, and every board that has it, such as {}, is longer than the {} that the vehicle takes",
            self.name(subject),
            self.fine(length, Rounding::Up),
            self.board_name(board_idx),
            self.length(longest)
        );
        let hint = "it will be missing; have the board brought, and give a larger `longest`";
        self.warning(subject, code::BEYOND_VEHICLE, what)
            .with_hint(hint.to_owned())
    }

    /// A part, the longest board for it, and one that would do.
    fn part_too_long(
        &self,
        subject: Subject,
        part: Length,
        board_idx: usize,
        usable: Length,
    ) -> Diagnostic {
        let of_frame = match subject {
            Subject::Frame(_) => "a rail of ",
            _ => "",
        };
        let between = if self.job.boards[board_idx].defects.is_empty() {
            "trims"
        } else {
            "trims and defects"
        };
        let which = longest_board(self.job, subject);
        let or_not = if which == LONGEST_CHOSEN {
            "; or leave `board` out, and any that suits is taken"
        } else {
            ""
        };
        let what = format!(
            "{of_frame}{} needs {}, but {which}, {}, has {} between its {between}",
            self.name(subject),
            self.fine(part, Rounding::Up),
            self.board_name(board_idx),
            self.fine(usable, Rounding::Down)
        );
        let enough = part + self.job.shop.end_trim * 2;
        let hint = format!(
            "a board of {} would do{or_not}",
            self.fine(enough, Rounding::Up)
        );
        self.error(subject, code::PART_TOO_LONG, what)
            .with_hint(hint)
    }

    /// A board or a piece in hand of which nobody knows what it costs.
    fn price_missing(&self, board_idx: usize) -> Diagnostic {
        let name = self.board_name(board_idx);
        let board = &self.job.boards[board_idx];
        let what = if board.is_bought() {
            format!("bought board {name} has no price though others have one: it counts nothing")
        } else if board.in_hand.is_some() {
            format!("rack piece {name} has neither `value` nor `paid`: taking it costs nothing")
        } else {
            format!("board {name} has no price though others have one: it counts as paid for")
        };
        self.warning(Subject::Board(board_idx), code::PRICE_MISSING, what)
    }

    /// A size far from all others, and how it may have been meant.
    fn out_of_scale(
        &self,
        subject: Subject,
        (size, unit): (Length, Unit),
        (least, largest): (Length, Length),
    ) -> Diagnostic {
        let others = if least == largest {
            format!("the other is {}", self.length(least))
        } else {
            format!(
                "the others are {} to {}",
                self.length(least),
                self.length(largest)
            )
        };
        let what = format!(
            "a size of {} is read as {}, but {others}",
            self.name(subject),
            self.length(size)
        );
        let hint = format!(
            "if `{}` is meant, write so; else nothing need be done",
            self.job.display.unit.misread(size, unit)
        );
        self.warning(subject, code::OUT_OF_SCALE, what)
            .with_hint(hint)
    }

    /// A price that looks as if its decimal were misplaced.
    fn out_of_proportion(
        &self,
        (board_idx, other_idx): (usize, usize),
        times: u128,
        is_dear: bool,
        by: Extent,
    ) -> Diagnostic {
        let by = match by {
            Extent::Length => "length",
            Extent::Face => "face",
            Extent::Volume => "volume",
        };
        let [own, other] = [board_idx, other_idx].map(|idx| self.board_name(idx));
        let what = if is_dear {
            format!("the price of board {own} looks wrong: by {by} {times} times that of {other}")
        } else {
            format!(
                "the price of board {own} looks wrong: by {by} that of {other} is {times} times as much"
            )
        };
        self.warning(Subject::Board(board_idx), code::OUT_OF_PROPORTION, what)
            .with_hint("check the decimal; if the price is right, nothing need be done".to_owned())
    }

    /// A piece without a width among others that are ripped.
    fn whole_boards(&self, piece_idx: usize, board_idx: usize) -> Diagnostic {
        let subject = Subject::Piece(piece_idx);
        let what = format!(
            "{} has no width, so it takes boards such as {} whole and leaves nothing to rip",
            self.name(subject),
            self.board_name(board_idx)
        );
        self.warning(subject, code::WHOLE_BOARDS, what)
            .with_hint("write its `width`, and it is cut from a strip".to_owned())
    }

    /// How far the package stands out, or what its points lack, and what depth would do.
    fn shallow_rabbet(&self, frame_idx: usize, depth: Depth) -> Diagnostic {
        let rabbet = self.length(depth.rabbet_depth);
        let what = if let Some(proud) = depth.proud() {
            let is_exact = proud.is_exact_at(fine_step(self.job.display.unit));
            let nearly = if is_exact { "" } else { "nearly " };
            let proud = self.fine(proud, Rounding::Up);
            format!("the package stands {nearly}{proud} out of the rabbet, which is {rabbet} deep")
        } else {
            let left = depth.rabbet_depth - (depth.needed - depth.point_room);
            let left = if left > Length::ZERO {
                self.fine(left, Rounding::Down)
            } else {
                "no room".to_owned()
            };
            format!(
                "the rabbet, which is {rabbet} deep, leaves the points {left} behind the package; they ask for {}",
                self.length(depth.point_room)
            )
        };
        let points = match depth.point_room {
            Length::ZERO => String::new(),
            room => format!(", {} of it for points,", self.length(room)),
        };
        let needed = self.fine(depth.needed, Rounding::Up);
        let hint = format!("a rabbet of {needed}{points} would do");
        self.warning(Subject::Frame(frame_idx), code::SHALLOW_RABBET, what)
            .with_hint(hint)
    }

    /// How many keys are as thick as their moulding.
    fn keys_take_all(&self, moulding_idx: usize) -> Diagnostic {
        let keys = self.job.assembly.keys;
        let (count, kerf) = keys.map_or((0, Length::ZERO), |keys| (keys.count, keys.kerf));
        let moulding = &self.job.mouldings[moulding_idx];
        let what = format!(
            "{count} slots for keys, each {} wide, leave no wood of moulding {}, which is {} thick",
            self.length(kerf),
            quoted(&moulding.name),
            self.length_or_none(moulding.thickness)
        );
        self.error(Subject::Moulding(moulding_idx), code::KEYS_TOO_THICK, what)
            .with_hint("give fewer `keys`, or a smaller `key-kerf`".to_owned())
    }

    /// By how much the allowance is too large.
    fn straightening_eats_board(&self, board_idx: usize, narrowest: Option<Subject>) -> Diagnostic {
        let rip = self.job.shop.rip;
        let straightening = rip.map_or(Length::ZERO, |rip| rip.straightening);
        let width = self.job.boards[board_idx].width.unwrap_or(Length::ZERO);
        let what = format!(
            "straightening takes {} of board {}, which is {} wide: nothing is left of it",
            self.length(straightening),
            self.board_name(board_idx),
            self.length(width)
        );
        let hint = "`straightening` is the width that is lost at both edges together";
        let wanted = narrowest.and_then(|subject| Some((subject, self.section(subject).width?)));
        let hint = wanted.map_or(hint.to_owned(), |(subject, width)| {
            let wide = self.wide_enough(width);
            let name = self.name(subject);
            format!("{hint}; a board, {wide}, would do for {name}")
        });
        self.error(
            Subject::Board(board_idx),
            code::STRAIGHTENING_EATS_BOARD,
            what,
        )
        .with_hint(hint)
    }

    /// All that is wrong with a board, in one sentence.
    fn reasons(&self, misfits: &[Misfit], subject: Subject, board_idx: usize) -> String {
        let reasons: Vec<String> = misfits
            .iter()
            .map(|misfit| self.reason(*misfit, subject, board_idx))
            .collect();
        reasons.join(", and ")
    }

    /// What the nearest board has of a property, and what was wanted.
    fn reason(&self, misfit: Misfit, subject: Subject, board_idx: usize) -> String {
        let board = &self.job.boards[board_idx];
        let section = self.section(subject);
        let material = |material: Option<&str>| material.map_or("none".to_owned(), quoted);
        match misfit {
            Misfit::Material => format!(
                "material {}, not {}",
                material(board.material.as_deref()),
                material(section.material)
            ),
            Misfit::Thickness => format!(
                "thickness {}, {} {}",
                self.length_or_none(board.thickness),
                if section.may_be_thicker {
                    "less than"
                } else {
                    "not"
                },
                self.length_or_none(section.thickness)
            ),
            Misfit::Milled => format!(
                "its profile already, {}",
                board.milled_to().map_or("none".to_owned(), quoted)
            ),
            Misfit::Width if board.milled_to().is_some() => format!(
                "width {}, not {}",
                self.length_or_none(board.width),
                self.length_or_none(section.width)
            ),
            Misfit::Width => match (&self.job.shop.rip, board.width, section.width) {
                // Wide enough for the section, but not for what ripping loses.
                (Some(rip), Some(given), Some(wanted)) if wanted < given => format!(
                    "width {}, less than a strip of {} and {} for straightening",
                    self.length(given),
                    self.length(rip.strip_width(wanted)),
                    self.length(rip.straightening)
                ),
                _ => format!(
                    "width {}, less than {}",
                    self.length_or_none(board.width),
                    self.length_or_none(section.width)
                ),
            },
        }
    }

    /// A board that would suit, and how else the one that does not can be made to.
    fn what_would_suit(&self, subject: Subject, board_idx: usize) -> String {
        let section = self.section(subject);
        let of_material = section
            .material
            .map_or_else(String::new, |material| format!(" of {}", quoted(material)));
        let or_more = if section.may_be_thicker {
            " or more"
        } else {
            ""
        };
        let thick = section.thickness;
        let thick = thick.map(|thickness| format!("{}{or_more} thick", self.length(thickness)));
        let wide = section.width.map(|width| self.wide_enough(width));
        let sizes: Vec<String> = thick.into_iter().chain(wide).collect();
        let of_sizes = if sizes.is_empty() {
            String::new()
        } else {
            format!(", {},", sizes.join(" and "))
        };
        let mut hint = format!(
            "a board{of_material}{of_sizes} would do; a property that is left empty on either side suits"
        );
        let given = self.job.boards[board_idx].thickness;
        let is_thicker = given
            .zip(section.thickness)
            .is_some_and(|(given, wanted)| given > wanted);
        if is_thicker && !section.may_be_thicker && matches!(subject, Subject::Moulding(_)) {
            hint.push_str(
                "; `thicker-stock = true` lets a moulding be planed down from thicker boards",
            );
        }
        hint
    }

    /// The widths of boards from which a section of `width` can be cut.
    fn wide_enough(&self, width: Length) -> String {
        let rip = self.job.shop.rip;
        let least = rip.map_or(width, |rip| rip.strip_width(width) + rip.straightening);
        let planed = width + rip.map_or(Length::ZERO, |rip| rip.plane_off);
        if least <= planed {
            format!("{} or more wide", self.length(width))
        } else if planed > width {
            format!(
                "{} or more, or {} to {} (`plane-off`) wide",
                self.length(least),
                self.length(width),
                self.length(planed)
            )
        } else {
            format!(
                "{} or more, or exactly {} wide",
                self.length(least),
                self.length(width)
            )
        }
    }
}
