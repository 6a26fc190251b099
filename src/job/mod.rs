//! A whole job: frames, loose pieces, boards and the shop's settings.
//!
//! A [`JobSpec`] is what somebody asks for; [`Job::new`] checks it and makes a [`Job`], which is never changed.
//! Other jobs that follow from one (without its wishes, with other boards, one frame more) are its methods, in
//! `variants`.

mod assembly;
mod bought;
mod buying;
mod cross;
mod derived;
mod fit;
mod grain;
mod hardware;
mod labels;
mod prices;
mod proportion;
mod scale;
mod sheets;
mod table_form;
mod texts;
mod variants;
mod vehicle;
mod weight;
mod whole;

use crate::frame::{ChosenBoards, Frame, FrameSizes, Miter, Moulding, Sheet, frame_sizes};
use crate::length::{Length, Unit};
use crate::money::Currency;
use crate::stock::{Board, Date, InHandRules, Rip};

pub use assembly::{Assembly, HangBy, Hanging, Hinge, Keys};
pub use bought::{BoughtLine, Purchase};
pub use buying::{Buying, GoneWay, OwnBoards, OwnWay, SomeLengths, Way, YardCuts, YardFault};
pub use cross::{
    Finding, MOST_PARTS, Subject, check, moulding_section, piece_section, wanted_sections,
};
pub use fit::Hindrance;
pub use grain::{Grains, LongChains, chain_length};
pub use hardware::{Hardware, HardwareUse, Lot};
pub use labels::{LabelOrder, LabelPlace, LabelSheet, Paper};
pub use prices::{
    AskedOf, AskedPrice, AskedSize, CostKind, Discount, Labor, Markup, PriceRules, RoundPrice, Tax,
    Work,
};
pub use proportion::Extent;
pub use sheets::{
    Material, MaterialKey, SHEET_GOODS, SHEET_GOODS_HEAD, Serves, SheetCutting, SheetStock,
    SheetTrim,
};
pub use table_form::{LineEnd, Separator, TableForm};
pub use texts::{FileText, Texts};
pub use variants::Line;
pub use weight::Weight;
pub use whole::{Job, Refused};

/// What a job asks for: all that is in its files, before it is checked as a whole.
///
/// A job derefs to it, so these are the fields of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobSpec {
    /// A title for the reports.
    pub title: String,
    /// The day on which it is cut, so that pieces that come to the rack have it; `None` where nothing was said.
    pub date: Option<Date>,
    /// Unit, rounding and currency of what is printed.
    pub display: Display,
    /// Saw and shop settings.
    pub shop: Shop,
    /// How frames are put together and hung.
    pub assembly: Assembly,
    /// What labels are printed on.
    pub labels: LabelSheet,
    /// What the shop asks.
    pub prices: PriceRules,
    /// Hardware that is asked for, in the order of the file.
    pub hardware: Vec<Hardware>,
    /// Mouldings, in the order of the file.
    pub mouldings: Vec<Moulding>,
    /// Frames, in the order of the file.
    pub frames: Vec<Frame>,
    /// Loose pieces, in the order of the file.
    pub pieces: Vec<Piece>,
    /// Boards, in the order of the file.
    pub boards: Vec<Board>,
    /// What comes in sheets, in the order of the file.
    pub materials: Vec<Material>,
    /// What all dust covers are cut from, where they come in sheets; `None` where they come off a roll, or are not counted.
    /// There is never such hardware as well.
    pub dust_cover: Option<Sheet>,
    /// What limits the purchase, and in which ways it may be made.
    pub buying: Buying,
}

/// The shop's settings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shop {
    /// Kerf of the saw that cuts the rails, square to the blade; zero for a guillotine chopper.
    pub kerf: Length,
    /// No long point comes nearer than this to either end of a board.
    pub end_trim: Length,
    /// Play of the package in the rabbet, in total per dimension.
    pub fit_allowance: Length,
    /// The shortest offcut that goes back on the rack.
    pub shortest_offcut: Length,
    /// What long offcuts are worth beside less board, among plans of one cost: 0 takes the least board, 100 the longest
    /// offcuts.
    pub long_offcuts: u32,
    /// Room in the rabbet for the points or brads that hold the backing.
    pub point_room: Length,
    /// What is read at the stop of the saw.
    pub stop: StopAt,
    /// What happens to rails that are to come from one strip and fit on no board.
    pub long_chains: LongChains,
    /// How it deals with wood in hand.
    pub in_hand: InHandRules,
    /// How boards are ripped to strips first; `None` where every board is one strip.
    pub rip: Option<Rip>,
}

impl Shop {
    /// Whether parts are cut by the knives of a guillotine chopper, which take no kerf, and by no blade.
    pub fn chops(&self) -> bool {
        self.kerf == Length::ZERO
    }

    /// How long what is left behind the last cut must be between that and the far trim, so that it goes on the rack and
    /// `rail` can be cut from it: the next job trims the fresh end too.
    pub fn offcut_for(&self, rail: Length) -> Length {
        (rail + self.end_trim).max(self.shortest_offcut)
    }

    /// How long a strip from which nothing is cut must be clear for the same: only its raw ends are ever trimmed.
    pub fn uncut_for(&self, rail: Length) -> Length {
        rail.max(self.shortest_offcut)
    }
}

/// What of a mitered part lies against the stop of the saw, so that a figure at the stop is the length there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum StopAt {
    /// The long point: the back edge lies at the fence.
    #[default]
    LongPoint,
    /// The wall of the rabbet, as on a sled whose ruler lies in it.
    Rabbet,
    /// The short point: the sight edge lies at the fence.
    ShortPoint,
}

/// How lengths, money and tables are printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Display {
    /// Unit of printed lengths, and of bare numbers in the files.
    pub unit: Unit,
    /// The step to which printed lengths are rounded: 1/16, 1/32, 1/64 in, or 0.1, 0.5, 1 mm.
    pub step: Length,
    /// Currency of all prices.
    pub currency: Currency,
    /// The form of tables for a spreadsheet.
    pub tables: TableForm,
}

impl JobSpec {
    /// How many boards of a line there are to be cut; `None` is as many as needed.
    ///
    /// Of what must be bought and is longer than the vehicle takes there is none, but where the yard cuts it;
    /// and of the rack where the way of buying leaves it.
    ///
    /// # Panics
    /// If there is no such line.
    pub fn supply(&self, board_idx: usize) -> Option<u32> {
        let board = &self.boards[board_idx];
        let gone = self.buying.gone.as_ref();
        if board.is_from_rack() && gone.is_some_and(|gone| gone.way == Way::WithoutRack) {
            return Some(0);
        }
        let is_cut = board.in_hand.is_some() || board.at_yard.is_some();
        let longest = self.buying.longest.filter(|_| !is_cut);
        match longest {
            Some(longest) if board.length > longest => Some(0),
            _ => board.quantity,
        }
    }

    /// The longest stretch of a board that can carry rails of a moulding; nothing where the board does not suit it.
    ///
    /// # Panics
    /// If there is no such moulding or board.
    pub fn clear_run(&self, moulding_idx: usize, board_idx: usize) -> Option<Length> {
        let section = moulding_section(&self.mouldings[moulding_idx]);
        cross::run_for(self, &section, &self.boards[board_idx])
    }

    /// Whether it is the job of a later sheet: what is left of it once boards have been cut by an earlier plan.
    pub fn is_later_sheet(&self) -> bool {
        self.boards.iter().any(Board::is_at_bench)
    }

    /// How many rails and loose pieces are wanted.
    pub fn n_parts(&self) -> u64 {
        let rails = self
            .frames
            .iter()
            .map(|frame| u64::from(frame.quantity) * u64::from(frame.art.n_sides()));
        let pieces = self.pieces.iter().map(|piece| u64::from(piece.quantity));
        rails.chain(pieces).fold(0, u64::saturating_add)
    }

    /// The sizes of a frame.
    ///
    /// # Panics
    /// If there is no such frame.
    pub fn frame_sizes(&self, frame_idx: usize) -> FrameSizes {
        let frame = &self.frames[frame_idx];
        frame_sizes(frame, &self.mouldings, self.shop.fit_allowance)
    }

    /// Whether a frame is to have its rails from few boards, so that they match in color.
    ///
    /// # Panics
    /// If there is no such frame.
    pub fn matches_color(&self, frame_idx: usize) -> bool {
        let frame = &self.frames[frame_idx];
        let by_moulding = self.mouldings[frame.moulding_idx].match_color;
        frame.match_color.unwrap_or(by_moulding)
    }

    /// Whether any frame is to have its rails from few boards.
    pub fn any_matches_color(&self) -> bool {
        (0..self.frames.len()).any(|frame_idx| self.matches_color(frame_idx))
    }
}

/// How the ends of a loose piece are cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// Square across.
    Square,
    /// Mitered at 45 degrees at both ends; the length is that of the long edge.
    Miter,
    /// Mitered at both ends as a side of a regular polygon is; the length is that of the long edge.
    Corner {
        /// Sides of the polygon, 3 or more.
        sides: u32,
    },
}

impl Ends {
    /// The angle of both ends.
    pub fn miter(self) -> Miter {
        match self {
            Ends::Square => Miter::Square,
            Ends::Miter => Miter::RECTANGLE,
            Ends::Corner { sides } => Miter::Corner { sides },
        }
    }
}

/// One line of the list of loose pieces: spacers, liners, spline stock and anything else cut to length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// The name used on every list.
    pub name: String,
    /// Length along the longest edge.
    pub length: Length,
    /// How many alike, 1 or more.
    pub quantity: u32,
    /// Square or mitered.
    pub ends: Ends,
    /// The moulding it is cut from: an index into `Job::mouldings`; `None` for plain wood.
    pub moulding_idx: Option<usize>,
    /// For plain wood, the material it needs; `None` fits any board.
    pub material: Option<String>,
    /// For plain wood, the thickness it needs; `None` fits any board.
    pub thickness: Option<Length>,
    /// For plain wood, the width it needs: that of its strip where boards are ripped, else the least of the board;
    /// `None` takes the whole board.
    pub width: Option<Length>,
    /// The boards it must come from.
    pub boards: ChosenBoards,
    /// Whether its ends slant across its thickness, as it stands on edge; else they slant across its width.
    pub on_edge: bool,
    /// What it is for.
    pub purpose: Purpose,
}

/// What a loose piece is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// The job wants it.
    Wanted,
    /// It is a strip of a frame's spacer.
    Spacer,
    /// It is cut in case a rail is spoiled, and is in no frame.
    SpareRail,
    /// It is not cut at all: something must be left from which a rail of its length can be cut again, as an offcut or as a
    /// piece on the rack that stays as it lies.
    SpareOffcut,
}

impl Piece {
    /// What the saw takes along the strip at each end; nothing of what is not cut.
    pub fn kerf_along(&self, kerf: Length) -> Length {
        match self.purpose {
            Purpose::Wanted | Purpose::Spacer | Purpose::SpareRail => {
                self.ends.miter().kerf_along(kerf)
            }
            Purpose::SpareOffcut => Length::ZERO,
        }
    }

    /// Whether it is left uncut.
    pub fn is_left(&self) -> bool {
        self.purpose == Purpose::SpareOffcut
    }
}
