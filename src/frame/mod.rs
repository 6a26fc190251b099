//! From an artwork to the sizes of everything that frames it: package, rabbet, sight size and rails.
//!
//! This module knows nothing of boards, kerfs on a strip or the cutting model.
//! The formulas stand in `package` and `rails`, their irrational factors in `angle`; the types here are what a
//! user writes down.

mod angle;
mod chosen;
mod dust_cover;
mod grain;
mod package;
mod rails;
mod rectangle;
mod spacer;

pub use angle::Miter;
pub use chosen::ChosenBoards;
pub use dust_cover::dust_cover;
pub use grain::Grain;
pub use package::{
    Depth, Opening, Package, SheetToCut, SheetUse, Window, depth, inner_height, package,
    stack_height,
};
pub use rails::{FrameSizes, Rail, frame_sizes, side_name};
pub use rectangle::{across_corners, across_flats, rectangle_round};
pub use spacer::{Spacer, SpacerPlace, SpacerStock, SpacerStrips, spacer_is_open, spacer_strips};

use crate::length::Length;

/// The section of wood a frame's rails are milled to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moulding {
    /// The name on every list.
    pub name: String,
    /// The name of its profile, which mouldings of several woods share; what is milled to it serves only those.
    pub profile: String,
    /// Full width seen from the front, sight edge to back edge (the letter F).
    pub face_width: Length,
    /// Width of the rabbet under the sight edge (the letter r); zero for a section without a rabbet.
    pub lip: Length,
    /// Depth of the rabbet, for the check of the stack; `None` where it was not given.
    pub rabbet_depth: Option<Length>,
    /// The wood it is milled from; `None` fits any board.
    pub material: Option<String>,
    /// The thickness of board it is milled from; `None` fits any board.
    pub thickness: Option<Length>,
    /// Whether it may be milled from thicker boards too, planed down.
    pub thicker_stock: bool,
    /// Whether the strip carries its profile when the rails are sawn from it.
    pub milled: Milled,
    /// Whether its two edges differ when the rails are sawn from it.
    pub section: Profile,
    /// What its frames ask of the grain, if they say nothing themselves.
    pub grain: Grain,
    /// Whether the rails of each of its frames are to come from few boards, if the frames say nothing themselves.
    pub match_color: bool,
    /// What is to be had of it beyond its frames.
    pub spare: Option<Spare>,
}

/// What a moulding asks for beyond its frames.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spare {
    /// So many spare rails.
    Count(u32),
    /// So many spare rails for each hundred of its rails, rounded up.
    PerCent(u32),
    /// No rail, but an offcut from which the longest can be cut.
    Offcut,
}

impl Moulding {
    /// Whether a rail may be sawn from the strip turned end for end, its outer edge where that of its neighbor is not.
    pub fn may_be_turned(&self) -> bool {
        self.milled == Milled::AfterCutting || self.section == Profile::Symmetric
    }

    /// The profile of which strips that are milled already will do: its own, but none where its rails are sawn from plain
    /// strips and turned end for end, as those of a handed profile cannot be.
    pub fn profile_of_strips(&self) -> Option<&str> {
        let takes_any = self.milled == Milled::BeforeCutting || self.section == Profile::Symmetric;
        takes_any.then_some(&*self.profile)
    }
}

/// Whether the section of a strip has a sight edge and a back edge, or is the same from either.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Profile {
    /// Sight edge and back edge differ.
    Handed,
    /// The same seen from either edge.
    Symmetric,
}

/// When a moulding gets its profile, which decides whether a rail can be turned end for end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Milled {
    /// The strip is moulded and rabbeted first: every rail lies the same way round.
    BeforeCutting,
    /// The rails are sawn from a plain strip and moulded later.
    AfterCutting,
}

/// The outline of an artwork.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outline {
    /// A rectangle, in the orientation in which it hangs.
    Rectangle {
        /// Left to right.
        width: Length,
        /// Top to bottom.
        height: Length,
    },
    /// A regular polygon.
    Regular {
        /// Number of equal sides, 3 or more.
        sides: u32,
        /// Length of one side; where `flats` are known it follows from them, rounded up.
        side: Length,
        /// How far its sides are from its center, twice, which with an even number of them is the distance of opposite ones,
        /// where that is what was told; all that is wider or narrower by some length is then known as exactly.
        flats: Option<Length>,
    },
}

/// The four visible borders of a mat, from the edge of the window to the edge of the package.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Borders {
    /// Above the window.
    pub top: Length,
    /// Right of the window.
    pub right: Length,
    /// Below the window.
    pub bottom: Length,
    /// Left of the window.
    pub left: Length,
}

/// How an artwork sits in its mat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mount {
    /// The mat's window laps over the artwork by this much on each side.
    Overlap(Length),
    /// The artwork lies whole on the mat board, its edges visible; there is no window.
    Float,
}

/// Mat board round an artwork.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mat {
    /// What the outermost board is called on the cut list; `None` where the frame names none.
    pub name: Option<String>,
    /// Borders from the edge of the innermost window (or of a floated artwork) to the package edge.
    pub borders: Borders,
    /// Overlapped or floated.
    pub mount: Mount,
    /// Number of mat boards on top of each other, 1 or more.
    pub layers: u32,
    /// How much of each lower layer shows round the window of the one beneath the next.
    pub reveal: Length,
    /// Thickness of that board.
    pub thickness: Length,
    /// The boards of the lower layers, from the outermost inwards, where they are others; the last one serves all that lie
    /// below it too.
    pub lower: Vec<Sheet>,
    /// Whether its windows are ovals, each in the rectangle that is told as its size; so is the artwork then.
    pub is_oval: bool,
}

impl Mat {
    /// Name and thickness of the board of a layer, from 1, the outermost.
    pub fn board(&self, layer: u32) -> (Option<&String>, Length) {
        let below_top = usize::try_from(layer.saturating_sub(1)).unwrap_or(usize::MAX);
        let at = below_top.min(self.lower.len());
        match at.checked_sub(1) {
            Some(at) => (Some(&self.lower[at].name), self.lower[at].thickness),
            None => (self.name.as_ref(), self.thickness),
        }
    }

    /// Thickness of all layers.
    pub fn height(&self) -> Length {
        let layers = (1..=self.layers).map(|layer| self.board(layer).1);
        layers.fold(Length::ZERO, |sum, thickness| sum + thickness)
    }
}

/// How the frame holds the package.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holding {
    /// A rabbet with a lip over the package's edge.
    Rabbet,
    /// A tray: the artwork stands free inside, `gap` away from the rails on each side.
    Tray {
        /// Space between the artwork's edge and the inside of the tray, each side.
        gap: Length,
    },
}

/// A sheet in the package: glazing or backing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// What it is called on the cut list, such as `glass 2 mm`.
    pub name: String,
    /// Its thickness.
    pub thickness: Length,
}

/// A frame inside of another: a liner, a fillet, or the strip round a panel that is framed again.
///
/// Its rails are a line of frames of their own; here is what the sizes of the frame round it follow from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Inner {
    /// Which of the job's mouldings: an index into `Job::mouldings`.
    pub moulding_idx: usize,
    /// Its play in the rabbet of the frame round it, in total per dimension; without meaning in a tray.
    pub play: Length,
}

/// One line of the list of frames: an artwork and how it is to be framed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Frame {
    /// The name used on every list.
    pub name: String,
    /// How many alike, 1 or more.
    pub quantity: u32,
    /// The artwork's outline.
    pub art: Outline,
    /// Thickness of the artwork itself, on its mount; zero for paper.
    pub art_thickness: Length,
    /// Mat board, if any.
    pub mat: Option<Mat>,
    /// Glazing, if any.
    pub glazing: Option<Sheet>,
    /// Strips that keep the glazing off what lies behind it, if any.
    pub spacer: Option<Spacer>,
    /// Backing board, if any.
    pub backing: Option<Sheet>,
    /// Whether paper is glued over its back, as far as it can be: a tray stays open, and what another frame holds is closed with
    /// that.
    pub gets_cover: bool,
    /// Rabbet or tray.
    pub holding: Holding,
    /// Which of the job's mouldings: an index into `Job::mouldings`.
    pub moulding_idx: usize,
    /// The frames inside of it, from the artwork outwards. The outermost of them is what it holds as its package; the
    /// innermost holds artwork and mat, and is a line of frames of its own, as all of them are.
    pub inner: Vec<Inner>,
    /// The name of the line of frames that hold the frames of this one; `None` of what is hung by itself.
    pub held_by: Option<String>,
    /// What it asks of the grain of its rails; `None` asks what the moulding does.
    pub grain: Option<Grain>,
    /// Whether it comes in pairs, though its rails in a row would fit on some board: no file says so, a plan does where too
    /// few boards are as long.
    pub in_pairs: bool,
    /// Whether its rails are to come from few boards; `None` asks what the moulding does.
    pub match_color: Option<bool>,
    /// The boards that its rails must come from.
    pub boards: ChosenBoards,
}

impl Frame {
    /// The mat that lies in its own rabbet, and not in that of a frame inside of it.
    pub fn own_mat(&self) -> Option<&Mat> {
        self.mat.as_ref().filter(|_| self.inner.is_empty())
    }

    /// Whether another frame of the job holds it.
    pub fn is_held(&self) -> bool {
        self.held_by.is_some()
    }
}
