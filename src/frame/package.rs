//! What goes into a frame: windows and borders of the mat, the package, the sheets to cut, the height of the stack.
//!
//! All of it follows from the list of frames alone; the moulding enters only where the stack meets the rabbet.

use crate::frame::rails::sizes_round;
use crate::frame::{Borders, Frame, FrameSizes, Holding, Mat, Moulding, Mount, Outline};
use crate::length::Length;

/// Everything a frame holds, as sizes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Package {
    /// The package's outline: what is cut for the frame's own rabbet is cut to it.
    /// Without a mat it is the artwork's own outline; with a frame inside it is the outside of that.
    pub size: Outline,
    /// Artwork and mat together, without the frames round them.
    pub content: Outline,
    /// The sizes of the frames inside, from the artwork outwards, in the order of [`Frame::inner`].
    pub inner: Vec<FrameSizes>,
    /// Its play in the rabbet, in total per dimension.
    pub play: Length,
    /// One window for each mat board that has one, from the innermost (next to the artwork) outwards; none where a frame
    /// inside holds the mat.
    pub windows: Vec<Window>,
    /// What to cut from sheets, in the order in which one looks through them: glazing, mat boards from the outermost
    /// to the innermost, backing.
    pub sheets: Vec<SheetToCut>,
}

/// A window in a mat board, and what the board shows round it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// What is open.
    pub opening: Opening,
    /// From the window's edges to the package's.
    pub borders: Borders,
}

/// What a window leaves open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Opening {
    /// Its outline; of an oval the rectangle round it, which it touches in the middle of each side.
    pub size: Outline,
    /// Whether it is an oval.
    pub is_oval: bool,
}

impl Opening {
    /// Width and height of what drops out of it, if that is a rectangle.
    pub fn rectangle(&self) -> Option<(Length, Length)> {
        match self.size {
            Outline::Rectangle { width, height } if !self.is_oval => Some((width, height)),
            Outline::Rectangle { .. } | Outline::Regular { .. } => None,
        }
    }
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
        /// From 1, the outermost, as `lower-mat` counts on from there.
        layer: u32,
    },
    /// The board behind.
    Backing,
    /// The paper over the back of the frame, which is in no package.
    DustCover,
}

/// The stack of a package against the rabbet that is to hold it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Depth {
    /// Height of the stack with the room for points: the depth that would do.
    pub needed: Length,
    /// Of that the room that the points ask for.
    pub point_room: Length,
    /// Depth of the rabbet.
    pub rabbet_depth: Length,
}

impl Depth {
    /// By how much the stack is too high; `None` where it fits.
    pub fn excess(self) -> Option<Length> {
        (self.needed > self.rabbet_depth).then(|| self.needed - self.rabbet_depth)
    }

    /// How far the package itself stands out of the rabbet; `None` where it does not, though its points may have less room
    /// than they ask for.
    pub fn proud(self) -> Option<Length> {
        let proud = self.needed - self.point_room - self.rabbet_depth;
        (proud > Length::ZERO).then_some(proud)
    }
}

/// Sizes the package of `frame`, with `fit_allowance` of play for artwork and mat in the rabbet that holds them.
///
/// With frames inside, the innermost is sized round artwork and mat, the next round its outside with its play, and so on;
/// the outside of the last is the package.
///
/// Borders are measured from the innermost window, or from the edge of a floated artwork.
/// Each mat board above the first has a window larger by twice the reveal; the first board under a floated artwork
/// has none.
/// Round a polygon its borders are measured across the flats, and all are as the one on top.
/// A mat in a tray is not sized: `load` refuses it, and here it is left out.
/// Windows are not checked for being positive; a faulty frame gives lengths of zero or less, never a panic.
///
/// # Panics
/// If a frame inside is of no moulding of `mouldings`.
pub fn package(frame: &Frame, mouldings: &[Moulding], fit_allowance: Length) -> Package {
    let mat = frame
        .mat
        .as_ref()
        .filter(|_| frame.holding == Holding::Rabbet);
    let (content, mut windows) = match (frame.art, mat) {
        (Outline::Rectangle { width, height }, Some(mat)) => matted(width, height, mat),
        (art @ Outline::Regular { .. }, Some(mat)) => matted_polygon(art, mat),
        (art, None) => (art, Vec::new()),
    };
    let (mut size, mut play) = (content, fit_allowance);
    let mut inner = Vec::with_capacity(frame.inner.len());
    for one in &frame.inner {
        let sizes = sizes_round(size, play, &mouldings[one.moulding_idx]);
        (size, play) = (sizes.outside, one.play);
        inner.push(sizes);
        windows.clear();
    }
    let sheets = sheets_to_cut(frame, size, &windows);
    Package {
        size,
        content,
        inner,
        play,
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
                opening: Opening {
                    size: Outline::Rectangle {
                        width: inner_width + shown_below * 2,
                        height: inner_height + shown_below * 2,
                    },
                    is_oval: mat.is_oval,
                },
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

/// Package and windows of a polygon in `mat`: every size is the artwork's, grown across the flats.
fn matted_polygon(art: Outline, mat: &Mat) -> (Outline, Vec<Window>) {
    let lap = match mat.mount {
        Mount::Overlap(overlap) => overlap * 2,
        Mount::Float => Length::ZERO,
    };
    let border = mat.borders.top;
    let first_with_window = u32::from(mat.mount == Mount::Float);
    let windows = (first_with_window..mat.layers).map(|layer| {
        let shown_below = mat.reveal * i64::from(layer);
        let border = border - shown_below;
        Window {
            opening: Opening {
                size: art.grown(shown_below * 2 - lap),
                is_oval: false,
            },
            borders: Borders {
                top: border,
                right: border,
                bottom: border,
                left: border,
            },
        }
    });
    (art.grown(border * 2 - lap), windows.collect())
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
    if let Some(mat) = frame.own_mat()
        && frame.holding == Holding::Rabbet
    {
        // Under a floated artwork the first board has no window, so the windows belong to the boards above it.
        let mut outermost_first = windows.iter().rev().copied();
        for layer in 1..=mat.layers {
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

/// Height of all that lies in the rabbet: glazing, spacer, mat boards, artwork or the frame inside, backing, and room for points or
/// brads.
///
/// # Panics
/// As [`package`].
pub fn stack_height(frame: &Frame, mouldings: &[Moulding], point_room: Length) -> Length {
    let sheet = |thickness: Option<Length>| thickness.unwrap_or(Length::ZERO);
    sheet(frame.glazing.as_ref().map(|glazing| glazing.thickness))
        + sheet(frame.spacer.as_ref().map(|spacer| spacer.depth))
        + inner_height(frame, mouldings).0
        + sheet(frame.backing.as_ref().map(|backing| backing.thickness))
        + point_room
}

/// Height of what lies between glazing and backing, and whether all of it is known.
///
/// That is mat boards and artwork; with a frame inside it is that frame, `T` thick with a rabbet `D` deep, and what stands out
/// of its rabbet: `T + max(0, h - D)` for a height `h` of what it holds. A thickness that is not given counts as nothing, and
/// of a rabbet whose depth is not given nothing stands out.
///
/// # Panics
/// As [`package`].
pub fn inner_height(frame: &Frame, mouldings: &[Moulding]) -> (Length, bool) {
    let mats = frame.mat.as_ref().map_or(Length::ZERO, Mat::height);
    let mut height = mats + frame.art_thickness;
    let mut is_known = true;
    for one in &frame.inner {
        let moulding = &mouldings[one.moulding_idx];
        is_known &= moulding.thickness.is_some() && moulding.rabbet_depth.is_some();
        let depth = moulding.rabbet_depth.unwrap_or(height);
        height = moulding.thickness.unwrap_or(Length::ZERO) + (height - depth).max(Length::ZERO);
    }
    (height, is_known)
}

/// The stack of `frame` against its rabbet.
///
/// `None` where nothing can be said: a depth or the thickness of a frame inside was not given, or the frame is a tray; nor of
/// a frame that another holds, as what stands out of it has room in the rabbet of that.
///
/// # Panics
/// As [`package`].
pub fn depth(frame: &Frame, mouldings: &[Moulding], point_room: Length) -> Option<Depth> {
    let (_, is_known) = inner_height(frame, mouldings);
    match frame.holding {
        Holding::Rabbet if is_known && !frame.is_held() => Some(Depth {
            needed: stack_height(frame, mouldings, point_room),
            point_room,
            rabbet_depth: mouldings[frame.moulding_idx].rabbet_depth?,
        }),
        Holding::Rabbet | Holding::Tray { .. } => None,
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests;
