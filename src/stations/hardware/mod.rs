//! Hardware: what the frames need of each kind that the job asks for, counted into lots as they are sold, and what it costs.
//!
//! A frame takes, of the kinds for hangers, wire and hooks, the one of the least rating that is twice what it must bear, or
//! else one without a rating: a hanger at the end of a wire, and the wire, bear its pull; one of two hangers or hooks half of
//! the weight. Frames inside of others have keys or splines of their own, and nothing else.
//!
//! Pieces of what is sold by length are cut longest first, each from the first lot with room; tape alone may be joined. So
//! there are enough lots, but it is not proved that fewer would not do.
//!
//! # Source
//! Twice what it bears, two bumpers at the lower corners: common practice, no source; no standard was found.

mod chosen;
mod lots;
mod taken;

use std::collections::BTreeMap;

use super::closing::closings;
use super::hanging::hung;
use crate::job::{Hardware, HardwareUse, Job, Line, Weight};
use crate::length::Length;
use crate::money::{Money, shared};
use crate::tally::sized_frames;
use chosen::chosen;
use lots::need;
use taken::{Known, taken};

/// All hardware of a job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct HardwareList {
    /// Of each kind that some frame takes, in the order of the job.
    pub needs: Vec<HardwareNeed>,
    /// What no kind of the job serves.
    pub lacking: Vec<Lacking>,
}

/// What the frames need of one kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HardwareNeed {
    /// Index into `Job::hardware`.
    pub hardware_idx: usize,
    /// In all.
    pub amount: HardwareAmount,
    /// Lots to be bought.
    pub lots: u64,
    /// What they cost; `None` where no price is given.
    pub money: Option<Money>,
    /// Of each line of frames that takes some, its index and how much for all its frames.
    pub frames: Vec<(usize, HardwareAmount)>,
    /// What is to be cut of what is sold by length, line of frames by line of frames; nothing of tape, which may be joined.
    pub cuts: Vec<HardwareCut>,
}

/// Pieces of one length for a line of frames.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HardwareCut {
    /// Index into `Job::frames`.
    pub frame_idx: usize,
    /// For all its frames.
    pub count: u64,
    /// How long each is.
    pub length: Length,
}

/// How much of something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HardwareAmount {
    /// Pieces.
    Count(u64),
    /// Length of all pieces.
    Length(Length),
}

impl HardwareAmount {
    /// As a number: pieces, or nanometers.
    fn number(self) -> i128 {
        match self {
            HardwareAmount::Count(count) => count.into(),
            HardwareAmount::Length(length) => length.nm().into(),
        }
    }
}

/// What a line of frames needs and no kind of the job serves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lacking {
    /// Index into `Job::frames`.
    pub frame_idx: usize,
    /// What it is for.
    pub hardware_use: HardwareUse,
    /// Why.
    pub why: WhyLacking,
}

/// Why nothing serves a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyLacking {
    /// Nothing is rated for so much.
    Rated(Weight),
    /// No lot is so long.
    Longer(Length),
    /// The roll is narrower than the cover.
    Wider(Length),
}

/// All hardware that a job asks for.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn hardware(job: &Job) -> HardwareList {
    let mut list = HardwareList::default();
    if job.hardware.is_empty() {
        return list;
    }
    let (sized, hung, closings) = (sized_frames(job), hung(job), closings(job));
    let mut pieces: Vec<Vec<lots::Pieces>> = vec![Vec::new(); job.hardware.len()];
    let mut uses: Vec<HardwareUse> = job.hardware.iter().map(|of| of.hardware_use).collect();
    uses.sort_unstable();
    uses.dedup();
    for (frame_idx, sized) in sized.iter().enumerate() {
        let known = Known {
            sized,
            hung: hung.iter().find(|hung| hung.frame_idx == frame_idx),
            closing: closings
                .iter()
                .find(|closing| closing.frame_idx == frame_idx),
        };
        let copies = u64::from(sized.frame.quantity);
        for &hardware_use in &uses {
            let kinds = job.hardware.iter().enumerate();
            let kinds = kinds.filter(|(_, of)| of.hardware_use == hardware_use);
            let kinds: Vec<(usize, &Hardware)> = kinds.collect();
            for taken in taken(job, &known, hardware_use, &kinds) {
                match chosen(&kinds, sized.frame, &taken) {
                    Ok(idx) => pieces[idx].push(lots::Pieces {
                        frame_idx,
                        count: taken.count * copies,
                        length: taken.length,
                    }),
                    Err(Some(why)) => list.lacking.push(Lacking {
                        frame_idx,
                        hardware_use,
                        why,
                    }),
                    Err(None) => {}
                }
            }
        }
    }
    for (hardware_idx, pieces) in pieces.into_iter().enumerate() {
        if !pieces.is_empty() {
            list.needs
                .push(need(&job.hardware[hardware_idx], hardware_idx, &pieces));
        }
    }
    list
}

impl HardwareList {
    /// What the hardware of each line of frames costs, as far as it has prices.
    ///
    /// The rule: the price of all lots of a kind is shared in proportion to what each line takes of it, by largest remainder.
    /// The shares sum to the prices exactly.
    pub fn shares(&self) -> BTreeMap<Line, Money> {
        let mut shares: BTreeMap<Line, Money> = BTreeMap::new();
        for need in &self.needs {
            let Some(money) = need.money else {
                continue;
            };
            let weights = need.frames.iter().map(|(_, amount)| amount.number());
            let weights: Vec<i128> = weights.collect();
            for (&(idx, _), share) in need.frames.iter().zip(shared(money.minor(), &weights)) {
                *shares.entry(Line::Frame(idx)).or_default() += Money::from_minor(share);
            }
        }
        shares
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests;
