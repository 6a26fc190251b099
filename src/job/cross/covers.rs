//! Whether each dust cover is there and counted once.

use super::Finding;
use crate::job::{HardwareUse, JobSpec, Serves};
use crate::length::Length;

/// Whether margins leave something of each dust cover.
pub(super) fn check_margins(job: &JobSpec, findings: &mut Vec<Finding>) {
    for frame_idx in 0..job.frames.len() {
        let cover = job.dust_cover_size(frame_idx);
        if cover.is_some_and(|cover| (0..2).any(|side| cover.side(side) <= Length::ZERO)) {
            findings.push(Finding::NoCover { frame_idx });
        }
    }
}

/// Whether there is one kind of paper for dust covers: in sheets, and then no second one, or off a roll.
pub(super) fn check_papers(job: &JobSpec, findings: &mut Vec<Finding>) {
    let materials = job.materials.iter().enumerate();
    let mut papers = materials.filter(|(_, own)| own.serves == Serves::DustCover);
    let Some((before_idx, _)) = papers.next() else {
        return;
    };
    let is_roll = |hardware_use| hardware_use == HardwareUse::DustCover;
    let mut hardware = job.hardware.iter();
    let roll = hardware.position(|of| is_roll(of.hardware_use));
    findings.extend(roll.map(|hardware_idx| Finding::PaperAndRoll {
        material_idx: before_idx,
        hardware_idx,
    }));
    findings.extend(papers.map(|(material_idx, _)| Finding::TwoPapers {
        material_idx,
        before_idx,
    }));
}
