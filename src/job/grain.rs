//! Rails that must follow each other on one strip, as far as the job's boards are long enough.

use std::collections::{BTreeMap, BTreeSet};

use super::{Finding, JobSpec, moulding_section};
use crate::frame::{ChosenBoards, Grain};
use crate::length::Length;

/// What happens to the rails of a frame that are to come from one strip and fit on no board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LongChains {
    /// It is a fault of the job.
    Refused,
    /// They are cut in pairs of this kind.
    InPairs(Grain),
}

impl JobSpec {
    /// Whether some frame asks for rails in a row from one strip.
    pub fn asks_for_rows(&self) -> bool {
        let grains = Grains::new(self);
        (0..self.frames.len()).any(|frame_idx| grains.asked(frame_idx) != Grain::Free)
    }
}

/// The grain of every frame of a job.
pub struct Grains<'j> {
    job: &'j JobSpec,
    /// For each moulding, and choice of boards, that has frames with a wish for the grain the board with the longest clear
    /// run: its index, and that run.
    longest: BTreeMap<(usize, &'j ChosenBoards), (usize, Length)>,
}

impl<'j> Grains<'j> {
    /// Finds the longest run for each moulding and choice of boards of which it matters.
    pub fn new(job: &'j JobSpec) -> Grains<'j> {
        let mut grains = Grains {
            job,
            longest: BTreeMap::new(),
        };
        for frame_idx in 0..job.frames.len() {
            let source = grains.source(frame_idx);
            if grains.asked(frame_idx) != Grain::Free && !grains.longest.contains_key(&source) {
                let longest = longest_board(job, source);
                grains.longest.extend(longest.map(|found| (source, found)));
            }
        }
        grains
    }

    /// What the rails of a frame are cut from.
    fn source(&self, frame_idx: usize) -> (usize, &'j ChosenBoards) {
        let frame = &self.job.frames[frame_idx];
        (frame.moulding_idx, &frame.boards)
    }

    /// What a frame asks for: its own wish, else its moulding's.
    pub fn asked(&self, frame_idx: usize) -> Grain {
        let frame = &self.job.frames[frame_idx];
        frame
            .grain
            .unwrap_or(self.job.mouldings[frame.moulding_idx].grain)
    }

    /// What a frame gets: what it asks for, or pairs where all its rails in a row fit on no board, or it comes so for want of
    /// boards, and the shop allows it.
    pub fn granted(&self, frame_idx: usize) -> Grain {
        let asked = self.asked(frame_idx);
        let is_loosened = self.job.frames[frame_idx].in_pairs;
        self.pairs(frame_idx)
            .filter(|_| is_loosened || !self.fits(frame_idx, asked))
            .unwrap_or(asked)
    }

    /// The pairs in which a frame may come that asks for all its rails in a row.
    pub fn pairs(&self, frame_idx: usize) -> Option<Grain> {
        match self.job.shop.long_chains {
            LongChains::InPairs(pairs)
                if self.asked(frame_idx) == Grain::Frame
                    && pairs.suits(self.job.frames[frame_idx].art) =>
            {
                Some(pairs)
            }
            _ => None,
        }
    }

    /// The frames that stand in a row now and may come in pairs.
    pub fn rows_that_may_part(&self) -> BTreeSet<usize> {
        let frames = 0..self.job.frames.len();
        frames
            .filter(|&idx| self.pairs(idx).is_some() && self.granted(idx) == Grain::Frame)
            .collect()
    }

    /// Whether every chain of a frame fits on the longest run.
    pub fn fits(&self, frame_idx: usize, grain: Grain) -> bool {
        let longest = self.longest.get(&self.source(frame_idx));
        longest.is_some_and(|&(_, usable)| self.longest_chain(frame_idx, grain).1 <= usable)
    }

    /// The longest of a frame's chains: how many rails, and their length from the first long point to the last.
    ///
    /// # Panics
    /// If a size is out of range, which those of a loaded job are not.
    pub fn longest_chain(&self, frame_idx: usize, grain: Grain) -> (usize, Length) {
        let chains = grain.chains(self.job.frames[frame_idx].art);
        let of_chain = |chain: &Vec<u32>| (chain.len(), chain_length(self.job, frame_idx, chain));
        chains
            .iter()
            .map(of_chain)
            .max_by_key(|&(_, length)| length)
            .expect("a frame has rails")
    }
}

/// Length of some rails of a frame in a row, from the first long point to the last, with the kerfs between them.
pub fn chain_length(job: &JobSpec, frame_idx: usize, sides: &[u32]) -> Length {
    let sizes = job.frame_sizes(frame_idx);
    let kerf_along = sizes.miter().kerf_along(job.shop.kerf);
    let rails: Length = sides
        .iter()
        .map(|&side| sizes.rail(side).long_point + kerf_along)
        .sum();
    rails - kerf_along
}

/// The board of a moulding, among those chosen, with the longest clear run, and that run.
fn longest_board(
    job: &JobSpec,
    (moulding_idx, chosen): (usize, &ChosenBoards),
) -> Option<(usize, Length)> {
    let section = moulding_section(&job.mouldings[moulding_idx]);
    let frames = job.frames.iter();
    let of_frames = frames
        .filter(|frame| frame.moulding_idx == moulding_idx)
        .map(|frame| frame.art.miter().kerf_along(job.shop.kerf));
    let pieces = job.pieces.iter();
    let of_pieces = pieces
        .filter(|piece| piece.moulding_idx == Some(moulding_idx))
        .map(|piece| piece.kerf_along(job.shop.kerf));
    let widest_kerf = of_frames.chain(of_pieces).max().unwrap_or_default();
    let boards = job.boards.iter().enumerate();
    boards
        .filter(|(idx, _)| chosen.allow(*idx) && job.supply(*idx) != Some(0))
        .filter_map(|(idx, board)| {
            let rip = job.shop.rip.as_ref();
            let run = board.longest_run(&section, rip, job.shop.end_trim, widest_kerf);
            Some((idx, run?))
        })
        .min_by_key(|&(idx, usable)| (std::cmp::Reverse(usable), idx))
}

/// Whether the rails that are to follow each other have room on some board.
///
/// Of frames of which a single rail has none, that is said already.
pub(super) fn check_grain(job: &JobSpec, findings: &mut Vec<Finding>) {
    let grains = Grains::new(job);
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        let asked = grains.asked(frame_idx);
        if !asked.suits(frame.art) {
            findings.push(Finding::NoOppositeSides { frame_idx });
            continue;
        }
        let grain = grains.granted(frame_idx);
        let Some(&(board_idx, usable)) = grains.longest.get(&grains.source(frame_idx)) else {
            continue;
        };
        let (_, single) = grains.longest_chain(frame_idx, Grain::Free);
        let (n_rails, length) = grains.longest_chain(frame_idx, grain);
        if single <= usable && length > usable {
            findings.push(Finding::ChainTooLong {
                frame_idx,
                n_rails,
                length,
                board_idx,
                usable,
            });
        }
    }
}
