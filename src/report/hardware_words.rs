//! Hardware in words: how each kind is counted, and what none serves.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::job::{Hardware, HardwareUse, Job, Lot};
use crate::length::Length;
use crate::report::document::{
    Inline, Text, count_of, exact, name, needed_with_unit, say, together, total,
};
use crate::report::naming::frames_together;
use crate::stations::{
    HardwareAmount, HardwareNeed, Lacking, WhyLacking, closings, count_points, hardware,
};

/// The rule by which a kind is counted.
pub(super) fn rule_words(hardware: &Hardware) -> &'static str {
    match hardware.hardware_use {
        HardwareUse::Keys => "as many to a corner as `keys` says",
        HardwareUse::Splines => "one to a corner",
        HardwareUse::Hangers => "as the frame hangs: two, or one; rated for twice what each bears",
        HardwareUse::Wire => {
            "as it is to be cut, longest first, each from the first lot with room; rated for twice its pull"
        }
        HardwareUse::Hooks => "as the frame hangs: one or two; rated for twice what each bears",
        HardwareUse::Cleat => "one on the frame and one on the wall, each two thirds of its width",
        HardwareUse::Bumpers => "two at the lower corners of a frame, or as many as `each` says",
        HardwareUse::DustCover => {
            "across the roll where it is wide enough, else along it; longest first, each from the first roll with room"
        }
        HardwareUse::Tape => "once round each dust cover, end to end",
        HardwareUse::Points => "no farther apart than `point-spacing`, on all sides",
        HardwareUse::Spacer => "longest first, each from the first strip with room",
    }
}

/// How much is needed of a kind, and in how many lots.
pub(super) fn amount_words(hardware: &Hardware, need: &HardwareNeed) -> Text {
    let amount: Text = match need.amount {
        HardwareAmount::Count(count) => count.into(),
        HardwareAmount::Length(length) => total(length),
    };
    match hardware.lot {
        Lot::Count(1) => amount,
        Lot::Count(count) => say!("{}; {} of {}", amount, count_of(need.lots, "lot"), count),
        Lot::Length(length) => {
            say!(
                "{}; {} of {}",
                amount,
                count_of(need.lots, "lot"),
                total(length)
            )
        }
    }
}

/// What is cut off a roll for dust covers: alike lengths together, the longest first; `None` of all other hardware.
pub(super) fn cuts_words(job: &Job, need: &HardwareNeed) -> Option<Text> {
    if job.hardware[need.hardware_idx].hardware_use != HardwareUse::DustCover {
        return None;
    }
    let mut alike: BTreeMap<Reverse<Length>, (u64, Vec<Text>)> = BTreeMap::new();
    for cut in &need.cuts {
        let (count, frames) = alike.entry(Reverse(cut.length)).or_default();
        *count += cut.count;
        frames.push(together(name(&job.frames[cut.frame_idx].name)));
    }
    let alike = alike.into_iter().map(|(Reverse(length), (count, frames))| {
        let several = (count > 1).then(|| say!("{} of ", count));
        let piece = together(say!("{}{}", several, needed_with_unit(length)));
        say!("{} ({})", piece, Text::join(frames, ", "))
    });
    Some(say!("off the roll: {}", Text::join(alike, ", ")))
}

/// What serves a use, as several.
pub(super) fn use_name(of: HardwareUse) -> &'static str {
    match of {
        HardwareUse::Keys => "keys",
        HardwareUse::Splines => "splines",
        HardwareUse::Hangers => "hangers",
        HardwareUse::Wire => "wire",
        HardwareUse::Hooks => "hooks",
        HardwareUse::Cleat => "cleats",
        HardwareUse::Bumpers => "bumpers",
        HardwareUse::DustCover => "dust covers",
        HardwareUse::Tape => "tape",
        HardwareUse::Points => "points",
        HardwareUse::Spacer => "strips of spacers",
    }
}

/// What holds packages in their rabbets and is on no list: points where the job lists none, and clips, which no use of hardware
/// counts.
pub(super) fn fasteners_not_listed(job: &Job) -> Vec<Text> {
    let closings = closings(job);
    let mut lines = Vec::new();
    let lists_points = job
        .hardware
        .iter()
        .any(|of| of.hardware_use == HardwareUse::Points);
    let n_points = count_points(&closings);
    if n_points > 0 && !lists_points {
        lines.push(say!(
            "On no list: {}, no farther apart than {} (`point-spacing`); hardware with `use = \"points\"` has them counted in \
             lots.",
            count_of(n_points, "point"),
            exact(job.assembly.point_spacing)
        ));
    }
    let without_points = closings.iter().filter(|closing| closing.points.is_none());
    let shallow = without_points.filter(|closing| closing.shallow.is_some());
    let shallow: Vec<usize> = shallow.map(|closing| closing.frame_idx).collect();
    if !shallow.is_empty() {
        lines.push(say!(
            "On no list: offset clips for {}, whose rabbets are not deep enough for points; `--format stations` of `plan` tells \
             how far they must reach.",
            frames_together(job, &shallow)
        ));
    }
    lines
}

/// What the hardware of the job does not serve, without reasons: for each use the frames.
pub(super) fn unserved_words(job: &Job) -> Vec<Text> {
    let mut of_use: BTreeMap<HardwareUse, Vec<usize>> = BTreeMap::new();
    for lacking in hardware(job).lacking {
        let frames = of_use.entry(lacking.hardware_use).or_default();
        frames.push(lacking.frame_idx);
    }
    let words = of_use.into_iter().map(|(hardware_use, frames)| {
        let what = use_name(hardware_use);
        say!(
            "Not served: {} for {}.",
            what,
            frames_together(job, &frames)
        )
    });
    words.collect()
}

/// What is needed where nothing serves it.
pub(super) fn lacking_amount(why: WhyLacking) -> Text {
    match why {
        WhyLacking::Rated(weight) => Inline::Weight(weight).into(),
        WhyLacking::Longer(length) | WhyLacking::Wider(length) => exact(length),
    }
}

/// What no kind of the job serves, and why.
pub(super) fn lacking_words(job: &Job, lacking: &Lacking) -> Text {
    let what = use_name(lacking.hardware_use);
    let frame = name(&job.frames[lacking.frame_idx].name);
    match lacking.why {
        WhyLacking::Rated(weight) => {
            let twice = match lacking.hardware_use {
                HardwareUse::Wire => "twice its pull",
                _ => "twice what each bears",
            };
            say!(
                "For {} none of the {} of the job is rated for enough: {} is needed, {}.",
                frame,
                what,
                Inline::Weight(weight),
                twice
            )
        }
        WhyLacking::Longer(length) => {
            say!(
                "For {} none of the {} is so long: {} is needed.",
                frame,
                what,
                exact(length)
            )
        }
        WhyLacking::Wider(length) => say!(
            "For {} the roll of the {} is too narrow: {} is needed.",
            frame,
            what,
            exact(length)
        ),
    }
}
