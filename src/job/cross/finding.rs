//! What the checks of a whole job find.

use super::super::proportion::Extent;
use crate::frame::Depth;
use crate::length::{Length, Unit};
use crate::stock::Misfit;

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
    /// More parts than [`MOST_PARTS`](super::MOST_PARTS).
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
    /// The package stands out of the rabbet, or leaves its points too little room; the job can be cut all the same.
    ShallowRabbet {
        /// Index of the frame.
        frame_idx: usize,
        /// Its stack against the rabbet, which is too high.
        depth: Depth,
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
    /// Two kinds of paper in sheets are for dust covers, so that each would be counted twice.
    TwoPapers {
        /// Index of the material that is to be left out.
        material_idx: usize,
        /// Index of the first of them.
        before_idx: usize,
    },
    /// Paper for dust covers comes in sheets and off a roll, so that each would be counted twice.
    PaperAndRoll {
        /// Index of the material.
        material_idx: usize,
        /// Index of the roll among the hardware.
        hardware_idx: usize,
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
    /// The rack has pieces that this very job has left.
    LeftByItself {
        /// Index of the first of them.
        board_idx: usize,
        /// How many lines of the rack have such.
        n_lines: usize,
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
                | Finding::LeftByItself { .. }
        )
    }
}
