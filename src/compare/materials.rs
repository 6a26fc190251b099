//! What else the job needs: sheets as they are planned, and hangers, wire and keys, each by a simple rule that is stated.

use crate::frame::{Frame, FrameSizes, Outline, frame_sizes};
use crate::job::Job;
use crate::length::{Length, Unit};
use crate::money::Money;
use crate::plan::sheets::{Among, MaterialPlan};

use super::sheets::sheet_needs;

/// Our own rule: what a wire is longer than the frame is wide, for its slack and the twists at both ends: a foot, or 300 mm.
fn wire_extra(unit: Unit) -> Length {
    if unit.is_imperial() {
        Length::FOOT
    } else {
        Length::MILLIMETRE * 300
    }
}

/// What is needed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Mat board, by name; `None` where neither the frame nor the job has one for it.
    Mat(Option<String>),
    /// Glass or acrylic, by name.
    Glazing(String),
    /// Backing board, by name.
    Backing(String),
    /// Paper for dust covers, by name.
    DustCover(String),
    /// Hangers, screwed to the back of the side rails.
    Hangers,
    /// Picture wire.
    Wire,
    /// Splines or keys across the miters.
    Keys,
    /// What they are cut from.
    KeyStock,
}

/// How much is needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amount {
    /// Whole sheets, and pieces that no sheet holds.
    Sheets {
        /// How many sheets.
        sheets: u64,
        /// Width and height of one.
        size: (Length, Length),
        /// Pieces cut from them.
        pieces: u64,
        /// Pieces that find no sheet, to be had otherwise.
        missing: u64,
    },
    /// Pieces.
    Count(u64),
    /// Length in all.
    Length(Length),
}

/// The rule by which an amount was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Planned as the boards are, see [`plan_sheets`](crate::pipeline::plan_sheets); no allowance for breakage.
    Planned {
        /// Whether the job states the sizes in which it is sold; if not, a common one is assumed.
        stated: bool,
        /// Of which plans it is proved that none is cheaper; `None` of none.
        best_among: Option<Among>,
    },
    /// Two to a frame. Common practice, no source: a quarter to a third down from the top, each rated at twice the
    /// weight of the frame.
    TwoToAFrame,
    /// The outside width and a foot, or 300 mm, more for each frame; our own rule.
    WidthAndAFoot,
    /// One to a corner, each twice the face width long; our own rule.
    OneToACorner,
}

/// A line of the list for the whole job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// What.
    pub kind: Kind,
    /// How much.
    pub amount: Amount,
    /// By which rule.
    pub rule: Rule,
    /// What it costs, where the job has a price for it.
    pub money: Option<Money>,
}

/// What the frames of a job need besides boards, given what is cut from sheets.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not, or the plans are not of `job`.
pub fn list_needs(job: &Job, materials: &[MaterialPlan]) -> Vec<Need> {
    let (mut hangers, mut keys) = (0, 0);
    let (mut wire, mut key_stock) = (Length::ZERO, Length::ZERO);
    for frame in &job.frames {
        let moulding = &job.mouldings[frame.moulding_idx];
        let sizes = frame_sizes(frame, &job.mouldings, job.shop.fit_allowance);
        let copies = u64::from(frame.quantity);
        let corners = i64::from(frame.quantity) * i64::from(frame.art.n_sides());
        keys += copies * u64::from(frame.art.n_sides());
        key_stock += moulding.face_width * 2 * corners;
        // What another frame holds hangs by that.
        if frame.is_held() {
            continue;
        }
        hangers += 2 * copies;
        wire += (widest(frame, &sizes) + wire_extra(job.display.unit)) * i64::from(frame.quantity);
    }
    let mut needs = sheet_needs(job, materials);
    // A job that lists its hardware has that counted, and nothing besides.
    if hangers > 0 && job.hardware.is_empty() {
        let plain = |kind, amount, rule| Need {
            kind,
            amount,
            rule,
            money: None,
        };
        needs.push(plain(
            Kind::Hangers,
            Amount::Count(hangers),
            Rule::TwoToAFrame,
        ));
        needs.push(plain(Kind::Wire, Amount::Length(wire), Rule::WidthAndAFoot));
        needs.push(plain(Kind::Keys, Amount::Count(keys), Rule::OneToACorner));
        needs.push(plain(
            Kind::KeyStock,
            Amount::Length(key_stock),
            Rule::OneToACorner,
        ));
    }
    needs
}

/// How wide a frame hangs, or of a polygon at most: it is nowhere wider than its sides end to end, halved.
fn widest(frame: &Frame, sizes: &FrameSizes) -> Length {
    match (frame.art, sizes.outside) {
        (Outline::Regular { .. }, Outline::Regular { sides, side, .. }) => {
            Length::from_nm((side.nm() * i64::from(sides) + 1) / 2)
        }
        _ => sizes.rail(0).long_point,
    }
}
