//! Which of several kinds a frame takes.

use std::cmp::Reverse;

use super::WhyLacking;
use super::taken::Taken;
use crate::frame::Frame;
use crate::job::{Hardware, HardwareUse, Lot};

/// Which kind a frame takes, or why none serves it; no reason is given where another supply is meant.
pub(super) fn chosen(
    kinds: &[(usize, &Hardware)],
    frame: &Frame,
    taken: &Taken,
) -> Result<usize, Option<WhyLacking>> {
    let name = frame.spacer.as_ref().map(|spacer| &spacer.name);
    let is_meant = |of: &Hardware| of.hardware_use != HardwareUse::Spacer || Some(&of.name) == name;
    let meant: Vec<&(usize, &Hardware)> = kinds.iter().filter(|(_, of)| is_meant(of)).collect();
    if meant.is_empty() {
        return Err(None);
    }
    let bears_it = |of: &Hardware| match (of.bears, taken.rating) {
        (Some(bears), Some(rating)) => bears >= rating,
        _ => true,
    };
    let strong = meant.iter().filter(|(_, of)| bears_it(of));
    // A rating that is known goes before none; where nothing or only the lesser part of the weight is known, what bears most
    // is the only safe choice.
    let bears_frames = matches!(
        meant[0].1.hardware_use,
        HardwareUse::Hangers | HardwareUse::Wire | HardwareUse::Hooks
    );
    let is_unknown = bears_frames && (taken.rating.is_none() || taken.is_much_unknown);
    let strong = strong.min_by_key(|(idx, of)| {
        let most = of.bears.filter(|_| is_unknown).map(Reverse);
        let least = of.bears.filter(|_| !is_unknown);
        (of.bears.is_none(), most, least, *idx)
    });
    let &&(idx, of) = strong.ok_or(taken.rating.map(WhyLacking::Rated))?;
    if let (Some(length), Lot::Length(lot)) = (taken.length, of.lot)
        && length > lot
        && of.hardware_use != HardwareUse::Tape
    {
        return Err(Some(WhyLacking::Longer(length)));
    }
    if let (Some(across), Some(roll)) = (taken.across, of.roll_width)
        && across > roll
    {
        return Err(Some(WhyLacking::Wider(across)));
    }
    Ok(idx)
}
