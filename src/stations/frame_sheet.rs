//! The sheet of one line of frames: all its sizes, what lies in its rabbet, its parts, and the cut that each rail comes from.

use std::collections::BTreeMap;

use crate::frame::{
    Borders, Frame, FrameSizes, Holding, Mount, Outline, Package, Rail, SheetUse, inner_height,
};
use crate::job::Job;
use crate::length::Length;
use crate::plan::{CutLabel, Part, Plan};
use crate::tally::{self, SizedFrame};

use super::glue::{Across, across};

/// One line of the list of frames, its copies together.
#[derive(Clone, Debug)]
pub struct FrameSheet<'p> {
    /// Index into `Job::frames`.
    pub frame_idx: usize,
    /// The line with all its sizes.
    pub sized: SizedFrame<'p>,
    /// From the edge of the artwork to that of the package; `None` where there is no mat, and the artwork is the package.
    pub art_borders: Option<Borders>,
    /// How far the innermost mat laps over the artwork on each side; `None` where no mat does.
    pub overlap: Option<Length>,
    /// What lies in the frame, in order from the front.
    pub layers: Vec<Layer>,
    /// Which stack it has, from 0: sheets with one number have the same moulding, the same layers and the same way to hold
    /// them, so that one section through the stack shows all of them.
    pub stack: usize,
    /// What to measure across the glued frame.
    pub across: Across,
    /// Its rails for one frame, those of one length together, in the order of the sides.
    pub rails: Vec<RailKind>,
    /// Where the rails of each copy come from, in the order of the copies.
    pub copies: Vec<FrameCopy>,
}

/// One thing in the stack of a frame.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Layer {
    /// What it is.
    pub kind: LayerKind,
    /// What it is called; `None` of the artwork, of room for points, and of mat board without a name.
    pub name: Option<String>,
    /// Its thickness; zero of an artwork on paper.
    pub thickness: Length,
}

/// What a [`Layer`] is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LayerKind {
    /// Glass or acrylic.
    Glazing,
    /// Strips that keep the glazing off.
    Spacer,
    /// A mat board.
    Mat {
        /// From 1, the one next to the artwork.
        layer: u32,
    },
    /// The artwork.
    Art,
    /// A frame inside of this one, with all that it holds.
    Inner,
    /// The board behind.
    Backing,
    /// Nothing: room for the points or brads that hold the backing.
    PointRoom,
}

/// Rails of one frame that are equally long.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RailKind {
    /// The sides they stand on, from 0: top, right, bottom, left, or running round a polygon.
    pub sides: Vec<u32>,
    /// Long and short point.
    pub rail: Rail,
}

/// One frame of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FrameCopy {
    /// Which of the alike frames, from 1.
    pub copy: u32,
    /// Where each rail comes from, by side; `None` of one that this plan does not cut.
    pub rails: Vec<Option<RailPlace>>,
}

/// Where a rail comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RailPlace {
    /// Its label, such as `G-3`.
    pub label: CutLabel,
    /// Position of its board in `Plan::boards`.
    pub board: usize,
    /// Position among the board's strips.
    pub strip: usize,
    /// Position among the strip's cuts.
    pub cut: usize,
}

/// The sheets of all frames of a plan, in the order of the job.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn frame_sheets(plan: &Plan) -> Vec<FrameSheet<'_>> {
    let job = &plan.job;
    let places = places_of_rails(plan);
    let mut stacks = BTreeMap::new();
    let sized = tally::sized_frames(job).into_iter().enumerate();
    sized
        .map(|(frame_idx, sized)| {
            let frame = sized.frame;
            let layers = layers(job, &sized);
            let holding = match frame.holding {
                Holding::Rabbet => None,
                Holding::Tray { gap } => Some(gap),
            };
            let next = stacks.len();
            let key = (frame.moulding_idx, holding, layers.clone());
            let stack = *stacks.entry(key).or_insert(next);
            let place = |copy, side| {
                let part = Part::Rail {
                    frame_idx,
                    copy,
                    side,
                };
                places.get(&part).copied()
            };
            let copies = (1..=frame.quantity).map(|copy| FrameCopy {
                copy,
                rails: (0..sized.sizes.n_sides())
                    .map(|side| place(copy, side))
                    .collect(),
            });
            FrameSheet {
                frame_idx,
                art_borders: frame.own_mat().and_then(|_| mat_round_art(frame)),
                overlap: overlap(frame, &sized.package),
                layers,
                stack,
                across: across(sized.sizes.outside),
                rails: kinds_of_rails(&sized.sizes),
                copies: copies.collect(),
                sized,
            }
        })
        .collect()
}

/// Where each rail of a plan lies.
fn places_of_rails(plan: &Plan) -> BTreeMap<Part, RailPlace> {
    let marks = plan.marks();
    let mut places = BTreeMap::new();
    for (board, planned) in plan.boards.iter().enumerate() {
        for (strip, on_strip) in planned.strips.iter().enumerate() {
            for (cut, at) in on_strip.cuts.iter().enumerate() {
                let place = RailPlace {
                    label: marks.cut(board, strip, cut),
                    board,
                    strip,
                    cut,
                };
                places.insert(at.part, place);
            }
        }
    }
    places
}

/// What lies in a frame, from the front.
fn layers(job: &Job, sized: &SizedFrame<'_>) -> Vec<Layer> {
    let frame = sized.frame;
    let art = match sized.inner.last() {
        Some(moulding) => Layer {
            kind: LayerKind::Inner,
            name: Some(moulding.name.clone()),
            thickness: inner_height(frame, &job.mouldings).0,
        },
        None => Layer {
            kind: LayerKind::Art,
            name: None,
            thickness: frame.art_thickness,
        },
    };
    let thickness_of = |sheet: &Option<crate::frame::Sheet>| {
        let thickness = sheet.as_ref().map(|sheet| sheet.thickness);
        thickness.unwrap_or(Length::ZERO)
    };
    let mut layers = Vec::new();
    let mut art = Some(art);
    for sheet in &sized.package.sheets {
        let (kind, thickness) = match sheet.sheet_use {
            SheetUse::Glazing => (LayerKind::Glazing, thickness_of(&frame.glazing)),
            SheetUse::Mat { layer } => {
                // Floated art lies on the first board, whole.
                let is_ground = sheet.window.is_none();
                if is_ground {
                    layers.extend(art.take());
                }
                let mat = frame.mat.as_ref();
                let thickness = mat.map_or(Length::ZERO, |mat| mat.board(layer).1);
                (LayerKind::Mat { layer }, thickness)
            }
            SheetUse::Backing => {
                layers.extend(art.take());
                (LayerKind::Backing, thickness_of(&frame.backing))
            }
            // It is glued over the back of the rails.
            SheetUse::DustCover => continue,
        };
        layers.push(Layer {
            kind,
            name: sheet.name.clone(),
            thickness,
        });
        if kind == LayerKind::Glazing {
            layers.extend(frame.spacer.as_ref().map(|spacer| Layer {
                kind: LayerKind::Spacer,
                name: Some(spacer.name.clone()),
                thickness: spacer.depth,
            }));
        }
    }
    layers.extend(art);
    let room = job.shop.point_room;
    if frame.holding == Holding::Rabbet && !frame.is_held() && room > Length::ZERO {
        layers.push(Layer {
            kind: LayerKind::PointRoom,
            name: None,
            thickness: room,
        });
    }
    layers
}

/// How far a mat in the frame's own rabbet laps over the artwork.
fn overlap(frame: &Frame, package: &Package) -> Option<Length> {
    match frame.own_mat()?.mount {
        Mount::Overlap(overlap) if !package.windows.is_empty() => Some(overlap),
        Mount::Overlap(_) | Mount::Float => None,
    }
}

/// From the edge of the artwork to that of the mat round it, which a frame inside may hold; `None` where there is none.
pub fn mat_round_art(frame: &Frame) -> Option<Borders> {
    let mat = frame.mat.as_ref()?;
    let is_sized = frame.holding == Holding::Rabbet;
    let lap = match mat.mount {
        Mount::Overlap(overlap) => overlap,
        Mount::Float => Length::ZERO,
    };
    let borders = mat.borders;
    is_sized.then(|| Borders {
        top: borders.top - lap,
        right: borders.right - lap,
        bottom: borders.bottom - lap,
        left: borders.left - lap,
    })
}

/// The rails of one frame, those of one length together.
fn kinds_of_rails(sizes: &FrameSizes) -> Vec<RailKind> {
    let mut kinds: Vec<RailKind> = Vec::new();
    for side in 0..sizes.n_sides() {
        let rail = sizes.rail(side);
        match kinds.iter_mut().find(|kind| kind.rail == rail) {
            Some(kind) => kind.sides.push(side),
            None => kinds.push(RailKind {
                sides: vec![side],
                rail,
            }),
        }
    }
    kinds
}

impl FrameSheet<'_> {
    /// Over everything, left to right and top to bottom; `None` of a polygon.
    pub fn outside(&self) -> Option<(Length, Length)> {
        match self.sized.sizes.outside {
            Outline::Rectangle { width, height } => Some((width, height)),
            Outline::Regular { .. } => None,
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;
    use crate::bridge::{lower, raise};
    use crate::samples::{first_fit, in16, inches, mixed_job};

    fn plan() -> Plan {
        let job = mixed_job();
        let (instance, origins) = lower(&job);
        raise(&job, &origins, &first_fit(&instance))
    }

    #[test]
    fn every_rail_of_the_plan_stands_on_one_sheet_at_its_place() {
        let plan = plan();
        let mut found = 0;
        for sheet in frame_sheets(&plan) {
            assert_eq!(sheet.copies.len(), sheet.sized.frame.quantity as usize);
            for copy in &sheet.copies {
                for (side, place) in (0..).zip(&copy.rails) {
                    let part = Part::Rail {
                        frame_idx: sheet.frame_idx,
                        copy: copy.copy,
                        side,
                    };
                    match place {
                        Some(at) => {
                            let strip = &plan.boards[at.board].strips[at.strip];
                            assert_eq!(strip.cuts[at.cut].part, part);
                            let label = plan.marks().cut(at.board, at.strip, at.cut);
                            assert_eq!(at.label, label);
                            found += 1;
                        }
                        None => assert!(plan.missing.contains(&part)),
                    }
                }
            }
        }
        let cut = plan.boards.iter().flat_map(crate::plan::PlannedBoard::cuts);
        let rails = cut.filter(|cut| matches!(cut.part, Part::Rail { .. }));
        assert_eq!(found, rails.count());
        assert!(found > 0);
    }

    #[test]
    fn layers_come_from_the_front_and_add_up_to_the_stack() {
        let mut job = mixed_job();
        job.shop.point_room = in16(2);
        let (instance, origins) = lower(&job);
        let plan = raise(&job, &origins, &first_fit(&instance));
        let sheets = frame_sheets(&plan);
        let kinds = |sheet: &FrameSheet<'_>| -> Vec<LayerKind> {
            sheet.layers.iter().map(|layer| layer.kind).collect()
        };
        let [matted, floated, tray, polygon] = &sheets[..] else {
            unreachable!("four lines of frames");
        };
        let mat = |layer| LayerKind::Mat { layer };
        let (glazing, art, room) = (LayerKind::Glazing, LayerKind::Art, LayerKind::PointRoom);
        assert_eq!(kinds(matted), [glazing, mat(1), mat(2), art, room]);
        // Art that floats lies before the only board.
        assert_eq!(kinds(floated), [art, mat(1), room]);
        assert_eq!(kinds(tray), [art]);
        assert_eq!(kinds(polygon), [art, room]);
        for (sheet, sized) in sheets.iter().zip(tally::sized_frames(&job)) {
            if sheet.sized.frame.holding == Holding::Rabbet {
                let height: Length = sheet.layers.iter().map(|layer| layer.thickness).sum();
                assert_eq!(height, sized.stack_height);
            }
        }
    }

    #[test]
    fn borders_of_the_art_are_those_of_the_window_less_the_lap() {
        let plan = plan();
        let sheets = frame_sheets(&plan);
        // Derived: borders of 2, 2, 3, 2 in from the window, which laps 1/4 in over the art.
        let borders = sheets[0].art_borders.unwrap();
        assert_eq!(borders.top, inches(2) - in16(4));
        assert_eq!(borders.bottom, inches(3) - in16(4));
        assert_eq!(sheets[0].overlap, Some(in16(4)));
        // Floated art has all of its border.
        assert_eq!(sheets[1].art_borders.unwrap().left, inches(2));
        assert_eq!((sheets[1].overlap, sheets[2].art_borders), (None, None));
        // The artwork and its borders fill the package.
        for sheet in &sheets {
            if let Some(borders) = sheet.art_borders {
                let wide = sheet.sized.frame.art.side(0) + borders.left + borders.right;
                let high = sheet.sized.frame.art.side(1) + borders.top + borders.bottom;
                let package = sheet.sized.package.size;
                assert_eq!((wide, high), (package.side(0), package.side(1)));
            }
        }
    }

    #[test]
    fn stacks_that_are_alike_share_a_number() {
        let mut job = mixed_job();
        let mut again = job.frames[0].clone();
        "Dunes again".clone_into(&mut again.name);
        again.art = crate::samples::rectangle(5, 7);
        let mut thinner = again.clone();
        "Dunes thin".clone_into(&mut thinner.name);
        thinner.glazing = None;
        job.frames.extend([again, thinner]);
        let (instance, origins) = lower(&job);
        let plan = raise(&job, &origins, &first_fit(&instance));
        let stacks: Vec<usize> = frame_sheets(&plan).iter().map(|it| it.stack).collect();
        assert_eq!(stacks, [0, 1, 2, 3, 0, 4]);
    }

    #[test]
    fn rails_of_one_length_are_one_kind() {
        let plan = plan();
        let sheets = frame_sheets(&plan);
        let sides: Vec<Vec<u32>> = sheets[0].rails.iter().map(|it| it.sides.clone()).collect();
        assert_eq!(sides, [[0, 2], [1, 3]]);
        assert_eq!(sheets[3].rails.len(), 1);
        assert_eq!(sheets[3].rails[0].sides.len(), 6);
    }
}
