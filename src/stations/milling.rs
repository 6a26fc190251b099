//! What is milled in this shop: for each moulding how many strips or rails, how long in all, and from what thickness.

use std::collections::BTreeMap;

use crate::frame::Milled;
use crate::length::Length;
use crate::plan::Plan;

/// The milling of one moulding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Milling {
    /// Index into `Job::mouldings`.
    pub moulding_idx: usize,
    /// Whether strips are milled, or rails after they were sawn.
    pub milled: Milled,
    /// How many strips or rails go through.
    pub count: u64,
    /// Their length in all: of strips all of them, of rails between long points.
    pub length: Length,
    /// The shortest of them.
    pub shortest: Length,
    /// How many strips there are from boards of each thickness; `None` where it is not known.
    pub strips_by_thickness: BTreeMap<Option<Length>, u64>,
    /// Strips from the rack that carry the profile already, and are not counted above.
    pub n_milled_before: u64,
}

/// All mouldings of a plan of which something is cut, in the order of the job.
///
/// # Panics
/// If the plan is not sound.
pub fn millings(plan: &Plan) -> Vec<Milling> {
    let job = &plan.job;
    let mut by_moulding: BTreeMap<usize, Milling> = BTreeMap::new();
    for board in &plan.boards {
        for (strip_idx, strip) in board.strips.iter().enumerate() {
            let Some(moulding_idx) = strip.moulding_idx else {
                continue;
            };
            let milled = job.mouldings[moulding_idx].milled;
            let milling = by_moulding.entry(moulding_idx).or_insert(Milling {
                moulding_idx,
                milled,
                count: 0,
                length: Length::ZERO,
                shortest: Length::ZERO,
                strips_by_thickness: BTreeMap::new(),
                n_milled_before: 0,
            });
            let wood = board.wood_of_strip(job, strip_idx);
            if wood.milled_to().is_some() {
                milling.n_milled_before += 1;
                continue;
            }
            *milling
                .strips_by_thickness
                .entry(wood.thickness)
                .or_default() += 1;
            match milled {
                Milled::BeforeCutting => {
                    let stretch = &board.stretches[strip.stretch];
                    let gone = wood.gone().map(|(from, to)| to - from);
                    let gone = gone.fold(Length::ZERO, |all, gone| all + gone);
                    milling.add(stretch.to - stretch.from - gone);
                }
                Milled::AfterCutting => {
                    for cut in &strip.cuts {
                        milling.add(cut.to - cut.from);
                    }
                }
            }
        }
    }
    by_moulding.into_values().collect()
}

impl Milling {
    fn add(&mut self, length: Length) {
        self.shortest = match self.count {
            0 => length,
            _ => self.shortest.min(length),
        };
        self.count += 1;
        self.length += length;
    }

    /// The thickness to which it is milled: that of its moulding, or where that is open, of all boards it comes from, if they
    /// are alike.
    pub fn thickness(&self, plan: &Plan) -> Option<Length> {
        let own = plan.job.mouldings[self.moulding_idx].thickness;
        let mut boards = self.strips_by_thickness.keys();
        own.or_else(|| match (boards.next(), boards.next()) {
            (Some(&only), None) => only,
            _ => None,
        })
    }

    /// How many strips are to be planed down, and from what, thickest last.
    pub fn planed_down(&self, plan: &Plan) -> Vec<(Length, u64)> {
        let Some(own) = plan.job.mouldings[self.moulding_idx].thickness else {
            return Vec::new();
        };
        let thicker = self.strips_by_thickness.iter();
        let thicker = thicker.filter_map(|(&thickness, &count)| Some((thickness?, count)));
        thicker.filter(|&(thickness, _)| thickness > own).collect()
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;
    use crate::bridge::{lower, raise};
    use crate::job::Job;
    use crate::samples::{board, empty_job, first_fit, frame, in16, inches, moulding, rectangle};

    fn planned(job: &Job) -> Plan {
        let (instance, origins) = lower(job);
        raise(job, &origins, &first_fit(&instance))
    }

    /// Two frames of 8 by 10 from boards of 8 ft that are 1 in thick, milled to 13/16.
    fn job(milled: Milled) -> Job {
        let mut job = empty_job();
        job.mouldings = vec![moulding("cap", inches(2), None)];
        job.mouldings[0].milled = milled;
        job.mouldings[0].thickness = Some(in16(13));
        job.mouldings[0].thicker_stock = true;
        job.frames = vec![frame("Wren", 2, rectangle(8, 10), 0)];
        job.boards = vec![board("oak", Length::FOOT * 8, None)];
        job.boards[0].thickness = Some(inches(1));
        job
    }

    #[test]
    fn strips_are_milled_whole_and_rails_by_their_long_points() {
        let plan = planned(&job(Milled::BeforeCutting));
        let [milling] = &millings(&plan)[..] else {
            unreachable!("one moulding");
        };
        let n_boards = i64::try_from(plan.boards.len()).unwrap();
        assert_eq!(milling.count, plan.boards.len() as u64);
        assert_eq!(milling.length, Length::FOOT * 8 * n_boards);
        let before = milling.count;
        assert_eq!(milling.planed_down(&plan), [(inches(1), before)]);
        assert_eq!(milling.thickness(&plan), Some(in16(13)));

        let plan = planned(&job(Milled::AfterCutting));
        let [milling] = &millings(&plan)[..] else {
            unreachable!("one moulding");
        };
        // Derived: long points 8 + 1/8 + 2 (2 - 1/4) = 11 5/8 and 13 5/8, four of each.
        assert_eq!((milling.count, milling.shortest), (8, in16(186)));
        assert_eq!(milling.length, (in16(186) + in16(218)) * 4);
    }

    #[test]
    fn strips_that_carry_the_profile_already_are_not_milled_again() {
        let mut job = job(Milled::BeforeCutting);
        job.boards[0].in_hand = Some(crate::stock::InHand {
            moulding: Some("cap".to_owned()),
            ..crate::stock::InHand::default()
        });
        job.boards[0].thickness = Some(in16(13));
        job.boards[0].quantity = Some(4);
        let plan = planned(&job);
        let [milling] = &millings(&plan)[..] else {
            unreachable!("one moulding");
        };
        assert_eq!(milling.count, 0);
        assert_eq!(milling.n_milled_before, plan.boards.len() as u64);
        assert!(milling.planed_down(&plan).is_empty());
    }

    #[test]
    fn a_thickness_that_is_open_is_that_of_boards_that_are_alike() {
        let mut job = job(Milled::BeforeCutting);
        job.mouldings[0].thickness = None;
        let plan = planned(&job);
        assert_eq!(millings(&plan)[0].thickness(&plan), Some(inches(1)));
        assert!(millings(&plan)[0].planed_down(&plan).is_empty());
    }
}
