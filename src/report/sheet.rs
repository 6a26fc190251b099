//! The sizes of one frame and of everything in it, gathered for the reports.

use crate::frame::{
    Depth, Frame, FrameSizes, Moulding, Package, depth, frame_sizes, package, stack_height,
};
use crate::job::Job;
use crate::length::Length;

/// One line of the list of frames with all its sizes.
#[derive(Clone, Debug)]
pub struct FrameSheet<'a> {
    /// The line.
    pub frame: &'a Frame,
    /// Its moulding.
    pub moulding: &'a Moulding,
    /// Mat, glazing and backing.
    pub package: Package,
    /// Rabbet, sight and outside sizes.
    pub sizes: FrameSizes,
    /// Height of glazing, mats, artwork, backing and the room for points on top of each other.
    pub stack_height: Length,
    /// The stack against the rabbet; `None` for a tray, or where the moulding states no rabbet depth.
    pub depth: Option<Depth>,
}

/// The sizes of all frames, in the order of the job.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn frame_sheets(job: &Job) -> Vec<FrameSheet<'_>> {
    job.frames
        .iter()
        .map(|frame| {
            let moulding = &job.mouldings[frame.moulding_idx];
            FrameSheet {
                frame,
                moulding,
                package: package(frame),
                sizes: frame_sizes(frame, moulding, job.shop.fit_allowance),
                stack_height: stack_height(frame, job.shop.point_room),
                depth: depth(frame, moulding, job.shop.point_room),
            }
        })
        .collect()
}
