//! How frames are put together, closed and hung behind the saw. None of it changes a plan.

use super::Weight;
use crate::length::{Length, Unit};

/// What the stations behind the saw are set by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assembly {
    /// Keys across the corners; `None` where there are none.
    pub keys: Option<Keys>,
    /// How deep the slot for a spline goes into each end of a rail; `None` where there are no splines.
    pub spline_depth: Option<Length>,
    /// How much of a band or a tape is needed beyond once round the frame.
    pub clamp_spare: Length,
    /// Along which edge a mat is hinged to the board behind it.
    pub mat_hinge: Hinge,
    /// The most between two points or brads behind a package.
    pub point_spacing: Length,
    /// How far a dust cover stays inside of each outer edge.
    pub dust_cover_margin: Length,
    /// By how much a dust cover is cut larger at each edge, to be trimmed once it is glued.
    pub dust_cover_oversize: Length,
    /// How frames hang.
    pub hanging: Hanging,
}

/// Slips of wood glued into saw kerfs across each corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Keys {
    /// How many in each corner, 1 or more.
    pub count: u32,
    /// How deep their slots go in from the corner, along the line that halves it.
    pub depth: Length,
    /// Width of a slot, which is the thickness of a key.
    pub kerf: Length,
}

/// Along which edge a mat is hinged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hinge {
    /// The top edge.
    Top,
    /// A longer edge: the left one, where a mat is higher than wide, else the top.
    LongSide,
}

/// What hangs a frame on the wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HangBy {
    /// A wire between two hangers, over one hook.
    OneHook,
    /// Such a wire over two hooks.
    TwoHooks,
    /// No wire: two hangers, each on a hook of its own.
    Hangers,
    /// No hangers: a cleat on the frame, on its like on the wall.
    Cleat,
}

/// How frames hang.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hanging {
    /// Height of the middle of every frame above the floor.
    pub center_line: Length,
    /// `None` takes a wire over one hook for what is small and light, and two hangers for all else.
    pub by: Option<HangBy>,
    /// A frame that is heavier hangs by a cleat, whatever `by` says; `None` where nothing is said.
    pub cleat_above: Option<Weight>,
    /// How far the hangers are below the top edge; `None` is a third of the frame's height.
    pub hanger_drop: Option<Length>,
    /// How far the wire is drawn up above the hangers; `None` is half of their drop.
    pub wire_rise: Option<Length>,
    /// How far two hooks under one wire are apart; `None` is half of what the hangers are apart.
    pub hook_spacing: Option<Length>,
    /// What is needed of the wire beyond each hanger, for wrapping.
    pub wire_tail: Length,
    /// The wall on which all frames hang in one row; `None` where no row is asked for.
    pub wall: Option<Length>,
    /// What is between neighbors in that row; `None` makes all gaps alike, those at the ends too.
    pub gap: Option<Length>,
}

impl Assembly {
    /// What is meant where a job says nothing: lengths that are usual where its unit is.
    ///
    /// # Source
    /// The center line: 57 in (145 cm), common practice; galleries use 56 to 63 in. Tails of 4 in, points every 3 in, a
    /// cover 1/8 in inside of the edge, a foot of band to pull at: common practice, no source.
    pub fn usual(unit: Unit) -> Assembly {
        let usual = |sixteenths: i64, millimeters: i64| {
            if unit.is_imperial() {
                Length::from_nm(Length::INCH.nm() / 16 * sixteenths)
            } else {
                Length::MILLIMETRE * millimeters
            }
        };
        Assembly {
            keys: None,
            spline_depth: None,
            clamp_spare: usual(12 * 16, 300),
            mat_hinge: Hinge::Top,
            point_spacing: usual(3 * 16, 75),
            dust_cover_margin: usual(2, 3),
            dust_cover_oversize: Length::ZERO,
            hanging: Hanging {
                center_line: usual(57 * 16, 1_450),
                by: None,
                cleat_above: None,
                hanger_drop: None,
                wire_rise: None,
                hook_spacing: None,
                wire_tail: usual(4 * 16, 100),
                wall: None,
                gap: None,
            },
        }
    }
}
