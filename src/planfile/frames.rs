//! What a plan file tells of mouldings, frames, loose pieces and sheets; all of it follows from the job.

mod of_job;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::frame::Grain;

pub use of_job::frames_and_sheets;
pub(super) use of_job::{mouldings, pieces};

/// A section of wood that rails are milled to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Moulding {
    /// The name on every list.
    pub name: String,
    /// The name of its profile, which mouldings of several woods share.
    pub profile: String,
    /// Full width from the front, sight edge to back edge.
    pub face_nm: i64,
    /// Width of the rabbet under the sight edge.
    pub lip_nm: i64,
    /// Depth of the rabbet, where that was given.
    pub rabbet_depth_nm: Option<i64>,
    /// The wood it is milled from; null fits any board.
    pub material: Option<String>,
    /// The thickness of board it is milled from; null fits any board.
    pub thickness_nm: Option<i64>,
    /// Whether it may be milled from thicker boards too.
    pub thicker_stock: bool,
    /// Whether the strip is milled before the rails are cut, or the rails afterwards.
    pub milled: MilledWhen,
    /// Whether the section is the same from either edge.
    pub symmetric: bool,
}

/// When a moulding gets its profile.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum MilledWhen {
    /// The strip is moulded first: every rail lies the same way round.
    BeforeCutting,
    /// The rails are sawn from a plain strip and moulded later.
    AfterCutting,
}

/// Sizes of an outline: a rectangle has width and height, a regular polygon its side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Size {
    /// Left to right; null for a polygon.
    pub width_nm: Option<i64>,
    /// Top to bottom; null for a polygon.
    pub height_nm: Option<i64>,
    /// Length of each side of a polygon; null for a rectangle.
    pub side_nm: Option<i64>,
}

/// One line of the list of frames.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    /// Its name.
    pub name: String,
    /// How many alike.
    pub quantity: u32,
    /// Its moulding.
    pub moulding: String,
    /// Number of sides.
    pub sides: u32,
    /// Angle of all ends off square, in thousandths of a degree, to the nearest.
    pub miter_millidegrees: u32,
    /// The artwork.
    pub art: Size,
    /// Mat, glazing and backing are cut to this; without a mat it is the artwork's size.
    pub package: Size,
    /// Wall to wall in the rabbet; null for a tray.
    pub rabbet: Option<Size>,
    /// What is seen through the frame.
    pub sight: Size,
    /// Over everything.
    pub outside: Size,
    /// Its rails, side by side.
    pub rails: Vec<Rail>,
    /// The frames inside of it, from the artwork outwards; the outside of the last is its package. Each is a line of frames
    /// of its own.
    pub inner: Vec<Inner>,
    /// The line of frames that hold those of this one; null where nothing does.
    pub held_by: Option<String>,
    /// Its mat; null without one, and where a frame inside holds it.
    pub mat: Option<Mat>,
    /// The strips that keep its glazing off; null without.
    pub spacer: Option<Spacer>,
    /// The window of each mat board that has one, the innermost first.
    pub windows: Vec<Window>,
    /// Space between artwork and tray on each side; null where a rabbet holds it.
    pub tray_gap_nm: Option<i64>,
    /// What lies in the frame, from the front, with the room for points at the end.
    pub stack: Vec<Layer>,
    /// Height of all of the stack, the room for points included.
    pub stack_height_nm: i64,
    /// Depth of the rabbet that is to hold it; null for a tray, and where it was not given.
    pub rabbet_depth_nm: Option<i64>,
    /// By how much the stack is too high for the rabbet; 0 where it fits or nothing is known.
    pub too_deep_by_nm: i64,
    /// Weight without the artwork, rounded up to the gram.
    pub weight_g: i128,
    /// What of it is not known, and left out.
    pub weight_without: Vec<Unweighed>,
    /// What is granted of the grain: `none`, `frame`, `opposite` or `adjacent`.
    pub grain: GrainWish,
    /// Whether its rails are to come from few boards.
    pub match_color: bool,
}

/// A frame inside of another.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Inner {
    /// Its moulding.
    pub moulding: String,
    /// Its play in the rabbet of the frame round it, in all; without meaning in a tray.
    pub play_nm: i64,
}

/// Strips between glazing and art.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spacer {
    /// Its name.
    pub name: String,
    /// Width of a strip from the front.
    pub width_nm: i64,
    /// How far it keeps the glazing off.
    pub depth_nm: i64,
    /// Whether its ends are butted, those across running through; else they are mitered.
    pub butted: bool,
    /// Whether its strips are bought; else they are pieces of the job, cut from its boards.
    pub bought: bool,
    /// Its strips for one frame.
    pub strips: Vec<SpacerStrips>,
}

/// Strips that are alike.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SpacerStrips {
    /// How many.
    pub count: u32,
    /// Length of each over all.
    pub length_nm: i64,
}

/// A part of a frame whose weight is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Unweighed {
    /// Its wood.
    Wood,
    /// Its glazing.
    Glazing,
    /// Its backing.
    Backing,
    /// Its spacer.
    Spacer,
}

/// One side of a frame.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rail {
    /// Which side, as parts name it.
    pub side: String,
    /// Length of the outer edge.
    pub long_point_nm: i64,
    /// Length of the sight edge.
    pub short_point_nm: i64,
}

/// What a frame asks of the grain of its rails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum GrainWish {
    /// Nothing.
    None,
    /// All rails in a row from one strip.
    Frame,
    /// Opposite rails side by side from one strip.
    Opposite,
    /// Neighboring rails in pairs, each from one strip.
    Adjacent,
}

impl GrainWish {
    pub(super) fn of(grain: Grain) -> GrainWish {
        match grain {
            Grain::Free => GrainWish::None,
            Grain::Frame => GrainWish::Frame,
            Grain::Opposite => GrainWish::Opposite,
            Grain::Adjacent => GrainWish::Adjacent,
        }
    }
}

/// Mat board round an artwork. Borders run from the innermost window, or from a floated artwork, to the package's edge.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mat {
    /// What the outermost board is called; null where the frame names none.
    pub name: Option<String>,
    /// The boards of the lower layers, from the outermost inwards, where they are others; the last serves all below it.
    pub lower: Vec<String>,
    /// Whether the window laps over the artwork, or the artwork floats on the board.
    pub mount: MatMount,
    /// By how much the window laps over the artwork on each side: it begins so far inside of its edge; null if it floats.
    pub overlap_nm: Option<i64>,
    /// Number of mat boards on top of each other.
    pub layers: u32,
    /// How much of each lower board shows round the window of the one above.
    pub reveal_nm: i64,
    /// Thickness of the outermost board.
    pub thickness_nm: i64,
    /// Above.
    pub top_nm: i64,
    /// Right.
    pub right_nm: i64,
    /// Below.
    pub bottom_nm: i64,
    /// Left.
    pub left_nm: i64,
}

/// How an artwork sits in its mat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum MatMount {
    /// The window laps over it.
    Overlap,
    /// It lies whole on the board.
    Float,
}

/// The window of one mat board, and what the board has round it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Window {
    /// What is open.
    pub size: Size,
    /// Whether that is an oval in the rectangle of its size.
    pub oval: bool,
    /// From the window to the package's upper edge.
    pub top_nm: i64,
    /// To its right edge.
    pub right_nm: i64,
    /// To its lower edge.
    pub bottom_nm: i64,
    /// To its left edge.
    pub left_nm: i64,
}

/// One layer of what lies in a frame.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Layer {
    /// What it is.
    pub r#use: LayerUse,
    /// The sheet's name; null where there is none.
    pub name: Option<String>,
    /// Its thickness.
    pub thickness_nm: i64,
}

/// What a layer of a stack, or a sheet, is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LayerUse {
    /// Glass or acrylic in front.
    Glazing,
    /// Strips that keep the glazing off.
    Spacer,
    /// A mat board.
    Mat,
    /// The artwork.
    Art,
    /// A frame inside, with all that it holds; its name is that of its moulding.
    Inner,
    /// The board behind.
    Backing,
    /// A dust cover; only a sheet is for it, as it lies in no stack.
    DustCover,
    /// Room for the points or brads that hold the backing.
    PointRoom,
}

/// One line of the list of loose pieces.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Piece {
    /// Its name.
    pub name: String,
    /// How many alike.
    pub quantity: u32,
    /// Length of its longest edge.
    pub length_nm: i64,
    /// Length of its shortest edge; null where it is square, or its width is not known.
    pub short_point_nm: Option<i64>,
    /// Sides of the polygon whose corner its ends close, 4 for a miter of 45 degrees; null where they are square.
    pub miter_sides: Option<u32>,
    /// The moulding it is cut from; null for plain wood.
    pub moulding: Option<String>,
    /// For plain wood, its material; null takes any.
    pub material: Option<String>,
    /// For plain wood, its thickness; null takes any.
    pub thickness_nm: Option<i64>,
    /// For plain wood, its width; null takes the whole board.
    pub width_nm: Option<i64>,
    /// Whether its ends slant across its thickness; else they slant across its width.
    pub on_edge: bool,
    /// What it is for.
    pub purpose: PiecePurpose,
}

/// What a loose piece is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PiecePurpose {
    /// The job wants it.
    Wanted,
    /// It is a strip of a frame's spacer.
    Spacer,
    /// It is cut in case a rail is spoiled.
    SpareRail,
    /// It is left uncut in one piece.
    SpareOffcut,
}

/// Sheets to cut alike.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    /// What they are for.
    pub r#use: LayerUse,
    /// Which mat board, from 1, the outermost; null for other sheets.
    pub mat_layer: Option<u32>,
    /// The sheet's name; null for mat board that the frames do not name.
    pub name: Option<String>,
    /// How many.
    pub count: u64,
    /// What to cut them to.
    pub size: Size,
    /// The window to cut in each; null without one.
    pub window: Option<Opening>,
    /// The frames they are for.
    pub frames: Vec<String>,
}

/// What a window leaves open.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// Its size.
    pub size: Size,
    /// Whether it is an oval in the rectangle of its size.
    pub oval: bool,
}
