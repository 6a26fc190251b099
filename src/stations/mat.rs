//! The mat: how windows are drawn on the back of a board, and where it is hinged.
//!
//! A window is drawn and cut from behind, where left and right change places: derived. The figures are those of the line
//! that is drawn, the back edge of the bevel; seen from the front the opening is larger by twice the thickness of the board,
//! if the blade stands at 45 degrees: derived.

use crate::frame::{Borders, Outline, SheetUse, Window};
use crate::job::{Hinge, Job};
use crate::tally;

/// A mat board with a window, for every frame of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MatSetting {
    /// Index into `Job::frames`.
    pub frame_idx: usize,
    /// Which mat of the frame, from 1, the one next to the artwork.
    pub layer: u32,
    /// How many are cut alike.
    pub count: u64,
    /// Over all, as it is seen from the front.
    pub size: Outline,
    /// The window.
    pub window: Window,
    /// From each edge of the board to the line, as one sees its back.
    pub drawn: Borders,
    /// The edge along which it is hinged.
    pub hinge: HingeSide,
}

/// The edge along which a mat is hinged to the board behind it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HingeSide {
    /// The top.
    Top,
    /// The left, as seen from the front.
    Left,
}

/// All mat boards with windows, in the order of the job, the outermost of a frame first.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn mats(job: &Job) -> Vec<MatSetting> {
    let mut mats = Vec::new();
    for (frame_idx, sized) in tally::sized_frames(job).into_iter().enumerate() {
        let size = sized.package.content;
        for sheet in &sized.package.sheets {
            if let (SheetUse::Mat { layer }, Some(window)) = (sheet.sheet_use, sheet.window) {
                mats.push(MatSetting {
                    frame_idx,
                    layer,
                    count: u64::from(sized.frame.quantity),
                    size,
                    window,
                    drawn: from_behind(window.borders),
                    hinge: hinge(job.assembly.mat_hinge, size),
                });
            }
        }
    }
    mats
}

/// Borders as one sees them on the back.
fn from_behind(borders: Borders) -> Borders {
    Borders {
        left: borders.right,
        right: borders.left,
        ..borders
    }
}

fn hinge(rule: Hinge, size: Outline) -> HingeSide {
    match rule {
        Hinge::LongSide if size.side(1) > size.side(0) => HingeSide::Left,
        Hinge::Top | Hinge::LongSide => HingeSide::Top,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Mount;
    use crate::samples::{empty_job, frame, in16, inches, mat, moulding, rectangle};

    #[test]
    fn lines_are_drawn_from_behind_with_left_and_right_changed() {
        let mut job = empty_job();
        job.mouldings = vec![moulding("cap", inches(2), None)];
        let mut print = frame("Wren", 3, rectangle(8, 10), 0);
        let borders = Borders {
            top: inches(3),
            right: inches(2),
            bottom: inches(4),
            left: inches(3),
        };
        print.mat = Some(mat(borders));
        let mut bare = frame("Gull", 1, rectangle(8, 10), 0);
        bare.mat = Some(crate::frame::Mat {
            mount: Mount::Float,
            layers: 1,
            ..mat(borders)
        });
        job.frames = vec![print, bare];
        let mats = mats(&job);
        // Two layers over 1/4 in of the art, reveal 1/4: derived, 8 - 1/2 + 2 + 3 = 12 1/2 by 10 - 1/2 + 3 + 4 = 16 1/2.
        assert_eq!(mats.len(), 2, "a floated art has no window");
        let [outer, inner] = [mats[0], mats[1]];
        assert_eq!((outer.layer, inner.layer, inner.count), (1, 2, 3));
        let size = Outline::Rectangle {
            width: in16(200),
            height: in16(264),
        };
        assert_eq!(inner.size, size);
        assert_eq!(
            (inner.drawn.left, inner.drawn.right),
            (inches(2), inches(3))
        );
        assert_eq!(
            (inner.drawn.top, inner.drawn.bottom),
            (inches(3), inches(4))
        );
        // The outer window begins a reveal nearer to each edge.
        assert_eq!(outer.drawn.left, inches(2) - in16(4));
        // Lines and window fill the board, whichever side one looks from.
        for mat in mats {
            let (drawn, window) = (mat.drawn, mat.window);
            let open = window.opening.size;
            assert_eq!(drawn.left + open.side(0) + drawn.right, mat.size.side(0));
            assert_eq!(drawn.top + open.side(1) + drawn.bottom, mat.size.side(1));
        }
    }

    #[test]
    fn a_mat_is_hinged_at_the_top_or_along_its_longer_side() {
        let (short, long) = (inches(12), inches(16));
        let size = |width, height| Outline::Rectangle { width, height };
        assert_eq!(hinge(Hinge::Top, size(short, long)), HingeSide::Top);
        assert_eq!(hinge(Hinge::LongSide, size(short, long)), HingeSide::Left);
        assert_eq!(hinge(Hinge::LongSide, size(long, short)), HingeSide::Top);
    }
}
