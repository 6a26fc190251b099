//! What goes into a frame: windows and borders of the mat, the package, the sheets to cut, the height of the stack.
//!
//! All of it follows from the list of frames alone; the moulding enters only where the stack meets the rabbet.

use crate::frame::{Borders, Frame, Holding, Mat, Moulding, Mount, Outline};
use crate::length::Length;

/// Everything a frame holds, as sizes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Package {
    /// The package's outline: mat, glazing and backing are all cut to it.
    /// Without a mat it is the artwork's own outline.
    pub size: Outline,
    /// One window for each mat board that has one, from the innermost (next to the artwork) outwards.
    pub windows: Vec<Window>,
    /// What to cut from sheets, in the order in which one looks through them: glazing, mat boards from the outermost
    /// to the innermost, backing.
    pub sheets: Vec<SheetToCut>,
}

/// A window in a mat board, and what the board shows round it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// Left to right.
    pub width: Length,
    /// Top to bottom.
    pub height: Length,
    /// From the window's edges to the package's.
    pub borders: Borders,
}

/// One sheet to cut for every frame of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetToCut {
    /// What it is for.
    pub sheet_use: SheetUse,
    /// The sheet's name; `None` for mat board that the frame does not name.
    pub name: Option<String>,
    /// The outline to cut it to.
    pub size: Outline,
    /// The window to cut in it; only mat boards have one, and not the board under a floated artwork.
    pub window: Option<Window>,
}

/// What a sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SheetUse {
    /// Glass or acrylic in front.
    Glazing,
    /// A mat board.
    Mat {
        /// From 1, the innermost.
        layer: u32,
    },
    /// The board behind.
    Backing,
}

/// The stack of a package against the rabbet that is to hold it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Depth {
    /// Height of the stack with the room for points: the depth that would do.
    pub needed: Length,
    /// Depth of the rabbet.
    pub rabbet_depth: Length,
}

impl Depth {
    /// By how much the stack is too high; `None` where it fits.
    pub fn excess(self) -> Option<Length> {
        (self.needed > self.rabbet_depth).then(|| self.needed - self.rabbet_depth)
    }
}

/// Sizes the package of `frame`.
///
/// Borders are measured from the innermost window, or from the edge of a floated artwork.
/// Each mat board above the first has a window larger by twice the reveal; the first board under a floated artwork
/// has none.
/// A mat round a polygon is not sized, nor one in a tray: `load` refuses both, and here such a mat is left out.
/// Windows are not checked for being positive; a faulty frame gives lengths of zero or less, never a panic.
pub fn package(frame: &Frame) -> Package {
    let mat = frame
        .mat
        .as_ref()
        .filter(|_| frame.holding == Holding::Rabbet);
    let (size, windows) = match (frame.art, mat) {
        (Outline::Rectangle { width, height }, Some(mat)) => matted(width, height, mat),
        (art, _) => (art, Vec::new()),
    };
    let sheets = sheets_to_cut(frame, size, &windows);
    Package {
        size,
        windows,
        sheets,
    }
}

/// Package size and windows of an artwork of `width` by `height` in `mat`.
fn matted(width: Length, height: Length, mat: &Mat) -> (Outline, Vec<Window>) {
    let Borders {
        top,
        right,
        bottom,
        left,
    } = mat.borders;
    let overlap = match mat.mount {
        Mount::Overlap(overlap) => overlap,
        Mount::Float => Length::ZERO,
    };
    let inner_width = width - overlap * 2;
    let inner_height = height - overlap * 2;
    let size = Outline::Rectangle {
        width: inner_width + left + right,
        height: inner_height + top + bottom,
    };
    let first_with_window = u32::from(mat.mount == Mount::Float);
    let windows = (first_with_window..mat.layers)
        .map(|layer| {
            let shown_below = mat.reveal * i64::from(layer);
            Window {
                width: inner_width + shown_below * 2,
                height: inner_height + shown_below * 2,
                borders: Borders {
                    top: top - shown_below,
                    right: right - shown_below,
                    bottom: bottom - shown_below,
                    left: left - shown_below,
                },
            }
        })
        .collect();
    (size, windows)
}

/// The sheets of one frame, each cut to `size`.
fn sheets_to_cut(frame: &Frame, size: Outline, windows: &[Window]) -> Vec<SheetToCut> {
    let plain = |sheet_use, name| SheetToCut {
        sheet_use,
        name,
        size,
        window: None,
    };
    let mut sheets = Vec::new();
    if let Some(glazing) = &frame.glazing {
        sheets.push(plain(SheetUse::Glazing, Some(glazing.name.clone())));
    }
    if let Some(mat) = &frame.mat
        && matches!(frame.art, Outline::Rectangle { .. })
        && frame.holding == Holding::Rabbet
    {
        // Under a floated artwork the first board has no window, so the windows belong to the boards above it.
        let mut outermost_first = windows.iter().rev().copied();
        for layer in (1..=mat.layers).rev() {
            sheets.push(SheetToCut {
                window: outermost_first.next(),
                ..plain(SheetUse::Mat { layer }, mat.board(layer).0.cloned())
            });
        }
    }
    if let Some(backing) = &frame.backing {
        sheets.push(plain(SheetUse::Backing, Some(backing.name.clone())));
    }
    sheets
}

/// Height of all that lies in the rabbet: glazing, mat boards, artwork, backing, and room for points or brads.
pub fn stack_height(frame: &Frame, point_room: Length) -> Length {
    let sheet = |thickness: Option<Length>| thickness.unwrap_or(Length::ZERO);
    sheet(frame.glazing.as_ref().map(|glazing| glazing.thickness))
        + sheet(frame.mat.as_ref().map(Mat::height))
        + frame.art_thickness
        + sheet(frame.backing.as_ref().map(|backing| backing.thickness))
        + point_room
}

/// The stack of `frame` against the rabbet of `moulding`.
///
/// `None` where nothing can be said: the rabbet's depth was not given, or the frame is a tray.
pub fn depth(frame: &Frame, moulding: &Moulding, point_room: Length) -> Option<Depth> {
    match frame.holding {
        Holding::Rabbet => Some(Depth {
            needed: stack_height(frame, point_room),
            rabbet_depth: moulding.rabbet_depth?,
        }),
        Holding::Tray { .. } => None,
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests;
