//! The words of fixed lists, each with what it stands for.

use crate::frame::{Grain, Milled, Profile};
use crate::job::{
    Ends, HangBy, HardwareUse, Hinge, LabelOrder, LineEnd, LongChains, Paper, Separator, StopAt,
};
use crate::length::{Length, Unit};
use crate::stock::BoardMeasure;

/// What a sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Use {
    /// Glass or acrylic.
    Glazing,
    /// Behind the art.
    Backing,
    /// Behind the art, sawn, with a grain that is to run one way.
    Plywood,
    /// Round the art.
    Mat,
    /// Over the back of each frame, which names none.
    DustCover,
}

impl Use {
    /// The word for it in the job file, which is also the column of a frame that names such a sheet, if it may.
    pub(super) fn word(self) -> &'static str {
        match self {
            Use::Glazing => "glazing",
            Use::Backing | Use::Plywood => "backing",
            Use::Mat => "mat",
            Use::DustCover => "dust-cover",
        }
    }

    /// What such a sheet is for, in a sentence.
    pub(super) fn meant_for(self) -> &'static str {
        match self {
            Use::DustCover => "dust covers",
            other => other.word(),
        }
    }
}

/// How a mat is mounted, as written; its overlap stands in another column.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum MountWord {
    /// It laps over the art.
    Overlap,
    /// The art lies open in its window.
    Float,
}

/// What was done to the faces of a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Surface {
    /// As sawn.
    Rough,
    /// Surfaced on two sides.
    TwoSides,
}

/// What was done at a cut of a cut list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Cut well.
    Done,
    /// Cut, and spoiled.
    Spoiled,
}

/// What of a polygon is told as its size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Across {
    /// Its side.
    Side,
    /// From side to side.
    Flats,
    /// From corner to corner.
    Corners,
}

pub(super) const ACROSS: [(&str, Across); 3] = [
    ("side", Across::Side),
    ("flats", Across::Flats),
    ("corners", Across::Corners),
];

/// Whether art is an oval.
pub(super) const SHAPES: [(&str, bool); 2] = [("straight", false), ("oval", true)];

/// Whether the ends of a spacer are butted.
pub(super) const SPACER_ENDS: [(&str, bool); 2] = [("mitered", false), ("butted", true)];

/// Whether the strips of a spacer stand on edge.
pub(super) const LIES: [(&str, bool); 2] = [("on-edge", true), ("flat", false)];

pub(super) const HINGES: [(&str, Hinge); 2] = [("top", Hinge::Top), ("long-side", Hinge::LongSide)];

/// Whether a frame of a price list has a mat.
pub(super) const MATTED: [(&str, bool); 2] = [("mat", true), ("none", false)];

/// What hardware is for.
pub(super) const HARDWARE_USES: [(&str, HardwareUse); HardwareUse::ALL.len()] = {
    let mut uses = [("", HardwareUse::Keys); HardwareUse::ALL.len()];
    let mut at = 0;
    while at < uses.len() {
        uses[at] = (HardwareUse::ALL[at].code(), HardwareUse::ALL[at]);
        at += 1;
    }
    uses
};

pub(super) const HANG_BY: [(&str, HangBy); 4] = [
    ("one-hook", HangBy::OneHook),
    ("two-hooks", HangBy::TwoHooks),
    ("hangers", HangBy::Hangers),
    ("cleat", HangBy::Cleat),
];

pub(super) const UNITS: [(&str, Unit); 5] = [
    ("in", Unit::Inch),
    ("ft", Unit::Foot),
    ("mm", Unit::Millimeter),
    ("cm", Unit::Centimeter),
    ("m", Unit::Meter),
];

/// Steps of rounding for inches and feet.
pub(super) const INCH_STEPS: [(&str, Length); 3] = [
    ("1/16", Length::from_nm(1_587_500)),
    ("1/32", Length::from_nm(793_750)),
    ("1/64", Length::from_nm(396_875)),
];

/// Steps of rounding for metric units.
pub(super) const METRIC_STEPS: [(&str, Length); 3] = [
    ("0.1 mm", Length::from_nm(100_000)),
    ("0.5 mm", Length::from_nm(500_000)),
    ("1 mm", Length::from_nm(1_000_000)),
];

pub(super) const BOARD_MEASURES: [(&str, BoardMeasure); 2] = [
    ("exact", BoardMeasure::Exact),
    ("surface", BoardMeasure::Surface),
];

pub(super) const STOPS: [(&str, StopAt); 3] = [
    ("long-point", StopAt::LongPoint),
    ("rabbet", StopAt::Rabbet),
    ("short-point", StopAt::ShortPoint),
];

pub(super) const PAPERS: [(&str, Paper); 2] = [("A4", Paper::A4), ("letter", Paper::Letter)];

pub(super) const LABEL_ORDERS: [(&str, LabelOrder); 2] =
    [("stops", LabelOrder::Stops), ("frames", LabelOrder::Frames)];

pub(super) const SEPARATORS: [(&str, Separator); 3] = [
    ("comma", Separator::Comma),
    ("semicolon", Separator::Semicolon),
    ("tab", Separator::Tab),
];

/// Whether decimals stand after a comma.
pub(super) const DECIMAL_MARKS: [(&str, bool); 2] = [("point", false), ("comma", true)];

pub(super) const LINE_ENDS: [(&str, LineEnd); 2] = [("lf", LineEnd::Lf), ("crlf", LineEnd::Crlf)];

pub(super) const LONG_CHAINS: [(&str, LongChains); 3] = [
    ("refuse", LongChains::Refused),
    ("opposite", LongChains::InPairs(Grain::Opposite)),
    ("adjacent", LongChains::InPairs(Grain::Adjacent)),
];

pub(super) const MILLED: [(&str, Milled); 2] = [
    ("before-cutting", Milled::BeforeCutting),
    ("after-cutting", Milled::AfterCutting),
];

pub(super) const SECTIONS: [(&str, Profile); 2] = [
    ("handed", Profile::Handed),
    ("symmetric", Profile::Symmetric),
];

/// What may be asked of the grain, by a moulding or by a frame.
pub(super) const GRAINS: [(&str, Grain); 4] = [
    ("none", Grain::Free),
    ("frame", Grain::Frame),
    ("opposite", Grain::Opposite),
    ("adjacent", Grain::Adjacent),
];

pub(super) const ENDS: [(&str, Ends); 2] = [("square", Ends::Square), ("miter", Ends::Miter)];

pub(super) const USES: [(&str, Use); 5] = [
    ("glazing", Use::Glazing),
    ("backing", Use::Backing),
    ("plywood", Use::Plywood),
    ("mat", Use::Mat),
    ("dust-cover", Use::DustCover),
];

/// How sheets are cut: whether the cut takes anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cut {
    /// Scored and snapped, or cut by a knife.
    Scored,
    /// By a blade with a kerf.
    Sawn,
}

pub(super) const CUTS: [(&str, Cut); 2] = [("scored", Cut::Scored), ("sawn", Cut::Sawn)];

pub(super) const MOUNTS: [(&str, MountWord); 2] =
    [("overlap", MountWord::Overlap), ("float", MountWord::Float)];

pub(super) const SURFACES: [(&str, Surface); 2] =
    [("rough", Surface::Rough), ("s2s", Surface::TwoSides)];

pub(super) const STATES: [(&str, State); 3] = [
    ("cut", State::Done),
    ("done", State::Done),
    ("spoiled", State::Spoiled),
];

/// Where a board of the list to buy by lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lies {
    /// At the yard.
    AtYard,
    /// On the rack.
    OnRack,
}

pub(super) const FROM: [(&str, Lies); 2] = [("yard", Lies::AtYard), ("rack", Lies::OnRack)];

pub(super) const FLAGS: [(&str, bool); 2] = [("true", true), ("false", false)];
