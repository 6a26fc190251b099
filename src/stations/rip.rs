//! Ripping: what the fence and the blade are set to, and what is left beside the strips.

use crate::length::Length;
use crate::plan::Plan;
use crate::tally::{Fence, Summary, planed_off};

use super::rabbet::blade_over;

/// One setting of the rip fence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RipSetting<'s> {
    /// The fence, and what is ripped with it.
    pub fence: &'s Fence,
    /// Of the blade above the table, for the thickest board; `None` where the thickness of a board is not known.
    pub blade_height: Option<Length>,
}

/// A board and a width on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Edge {
    /// Position in `Plan::boards`.
    pub board: usize,
    /// Position of the stretch among the board's.
    pub stretch: usize,
    /// The width.
    pub width: Length,
}

/// All settings of the fence, widest first.
pub fn rip_settings<'s>(summary: &'s Summary<'_>) -> Vec<RipSetting<'s>> {
    let plan = summary.plan;
    let setting = |fence: &'s Fence| {
        let thicknesses = fence.boards.iter().map(|stick| {
            let board = &plan.boards[stick.board];
            // A slice is planed as soon as it is off the saw, before it is ripped.
            let board_thickness = plan.job.boards[board.board_idx].thickness;
            board.resawn.or(board_thickness)
        });
        let thickest = thicknesses.collect::<Option<Vec<Length>>>();
        let thickest = thickest.and_then(|all| all.into_iter().max());
        RipSetting {
            fence,
            blade_height: thickest.map(|it| blade_over(it, plan.job.display.unit)),
        }
    };
    summary.fences.iter().map(setting).collect()
}

/// What is left beside the strips of boards that are ripped, kept or not, in the order of the plan.
pub fn beside_strips(plan: &Plan) -> Vec<Edge> {
    let edges = plan.boards.iter().enumerate().flat_map(|(board, planned)| {
        let stretches = planned.stretches.iter().enumerate();
        stretches.flat_map(move |(stretch, of)| {
            of.beside.iter().map(move |beside| Edge {
                board,
                stretch,
                width: beside.width,
            })
        })
    });
    edges.collect()
}

/// What is planed off the edge of boards and stretches that are too narrow to be ripped, in the order of the plan.
pub fn planed_edges(plan: &Plan) -> Vec<Edge> {
    let edges = plan.boards.iter().enumerate().flat_map(|(board, planned)| {
        (0..planned.stretches.len()).map(move |stretch| Edge {
            board,
            stretch,
            width: planed_off(&plan.job, planned, stretch),
        })
    });
    edges.filter(|edge| edge.width > Length::ZERO).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bridge::{lower, raise};
    use crate::samples::{board, empty_job, first_fit, in16, inches, slat};
    use crate::stock::Rip;

    /// Slats 1 1/2 in wide from boards of 5 1/2 in.
    fn plan(planing: Length) -> Plan {
        let mut job = empty_job();
        job.shop.rip = Some(Rip {
            kerf: in16(2),
            straightening: Length::ZERO,
            planing,
            plane_off: in16(2),
            narrowest_offcut: None,
            resaw: None,
        });
        job.pieces = vec![slat("slat", inches(80), 3, in16(24))];
        job.boards = vec![board("oak", inches(90), None)];
        job.boards[0].width = Some(in16(88));
        job.boards[0].thickness = Some(in16(13));
        let (instance, origins) = lower(&job);
        raise(&job, &origins, &first_fit(&instance))
    }

    #[test]
    fn the_fence_stands_at_the_width_and_the_blade_above_the_board() {
        let plan = plan(Length::ZERO);
        let summary = Summary::new(&plan);
        let [setting] = &rip_settings(&summary)[..] else {
            unreachable!("one width");
        };
        // Derived: 13/16 + 1/8 = 15/16; 5 1/2 less three strips of 1 1/2 and three kerfs of 1/8 leaves 5/8.
        assert_eq!((setting.fence.width, setting.fence.n_strips), (in16(24), 3));
        assert_eq!(setting.blade_height, Some(in16(15)));
        let beside: Vec<Length> = beside_strips(&plan).iter().map(|edge| edge.width).collect();
        assert_eq!(beside, [in16(10)]);
        assert!(planed_edges(&plan).is_empty());
    }

    #[test]
    fn a_slice_is_ripped_as_planed() {
        let mut plan = plan(Length::ZERO);
        plan.boards[0].resawn = Some(in16(6));
        let summary = Summary::new(&plan);
        // Derived: slices of 3/8 in and 1/8 above them, whatever there was to plane away: 1/2.
        assert_eq!(rip_settings(&summary)[0].blade_height, Some(in16(8)));
    }

    #[test]
    fn a_thickness_that_is_not_known_leaves_the_blade_open() {
        let mut plan = plan(Length::ZERO);
        plan.job.boards[0].thickness = None;
        let summary = Summary::new(&plan);
        assert_eq!(rip_settings(&summary)[0].blade_height, None);
        // With 1/16 to be planed the fence stands as much wider.
        let plan = super::tests::plan(in16(1));
        assert_eq!(Summary::new(&plan).fences[0].width, in16(25));
    }
}
