//! The sizes of one frame and of everything in it, gathered for the reports.

use std::collections::BTreeMap;

use crate::frame::{
    Depth, Frame, FrameSizes, Moulding, Opening, Outline, Package, Sheet, SheetToCut, SheetUse,
    depth, frame_sizes, package, rectangle_round, stack_height,
};
use crate::job::{Job, MaterialKey};
use crate::length::Length;

/// One line of the list of frames with all its sizes.
#[derive(Clone, Debug)]
pub struct SizedFrame<'a> {
    /// The line.
    pub frame: &'a Frame,
    /// Its moulding.
    pub moulding: &'a Moulding,
    /// The mouldings of the frames inside of it, from the artwork outwards.
    pub inner: Vec<&'a Moulding>,
    /// Mat, glazing and backing.
    pub package: Package,
    /// All that is cut from sheets for it.
    pub sheets: Vec<SheetToCut>,
    /// What its dust cover is cut from and how large that is on the frame, where it gets one that comes in sheets.
    pub dust_cover: Option<(&'a Sheet, Outline)>,
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
pub fn sized_frames(job: &Job) -> Vec<SizedFrame<'_>> {
    job.frames
        .iter()
        .enumerate()
        .map(|(frame_idx, frame)| {
            let sheets = job.sheets_to_cut(frame_idx);
            let moulding = &job.mouldings[frame.moulding_idx];
            SizedFrame {
                frame,
                moulding,
                inner: frame
                    .inner
                    .iter()
                    .map(|one| &job.mouldings[one.moulding_idx])
                    .collect(),
                package: package(frame, &job.mouldings, job.shop.fit_allowance),
                dust_cover: job.dust_cover.as_ref().zip(job.dust_cover_size(frame_idx)),
                sheets,
                sizes: frame_sizes(frame, &job.mouldings, job.shop.fit_allowance),
                stack_height: stack_height(frame, &job.mouldings, job.shop.point_room),
                depth: depth(frame, &job.mouldings, job.shop.point_room),
            }
        })
        .collect()
}

/// Pieces of a material that is in no plan, as the job does not state in which sheets it is sold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unplanned {
    /// What it is.
    pub key: MaterialKey,
    /// How many pieces, copies of frames counted.
    pub count: u64,
    /// Width and height of the largest of them.
    pub largest: (Length, Length),
}

/// What the frames need of materials whose sheets are not stated; nothing of a job that plans no sheets at all and has no paper
/// for dust covers, as it means to leave them out.
pub fn unplanned_sheets(job: &Job) -> Vec<Unplanned> {
    let mut found: BTreeMap<MaterialKey, Unplanned> = BTreeMap::new();
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        for sheet in job.sheets_to_cut(frame_idx) {
            let key = job.material_of(&sheet);
            if job.stated_material(&key).is_some() {
                continue;
            }
            let (width, height) = rectangle_round(sheet.size);
            let own = found.entry(key.clone()).or_insert(Unplanned {
                key,
                count: 0,
                largest: (width, height),
            });
            own.count += u64::from(frame.quantity);
            let face = |(width, height): (Length, Length)| {
                i128::from(width.nm()) * i128::from(height.nm())
            };
            if face((width, height)) > face(own.largest) {
                own.largest = (width, height);
            }
        }
    }
    let mut stated = job.materials.iter().map(|own| !own.stock.is_empty());
    let is_told = job.dust_cover.is_some() || stated.any(|is_stated| is_stated);
    found.into_values().filter(|_| is_told).collect()
}

/// Mat boards, panes, backings or dust covers that are cut alike.
#[derive(Clone, Debug)]
pub struct AlikeSheets<'a> {
    /// What they are for.
    pub sheet_use: SheetUse,
    /// The sheet's name; `None` for mat board that the frames do not name.
    pub name: Option<String>,
    /// What to cut them to.
    pub size: Outline,
    /// What they stay once they are trimmed, where that is less: dust covers that are cut larger.
    pub trimmed: Option<Outline>,
    /// What its window leaves open, if it has one.
    pub window: Option<Opening>,
    /// How many, copies of frames counted.
    pub count: u64,
    /// The lines of frames they are for, in the order of the job.
    pub frames: Vec<&'a Frame>,
}

/// All sheets to cut, alike ones together: glazing, mats, backing, dust covers, each by name and size.
pub fn alike_sheets<'a>(sheets: &[SizedFrame<'a>]) -> Vec<AlikeSheets<'a>> {
    let mut together: BTreeMap<_, AlikeSheets<'a>> = BTreeMap::new();
    for sheet in sheets {
        for to_cut in &sheet.sheets {
            // What has no order of its own is ordered by its measures.
            let measures = |outline: Outline| match outline {
                Outline::Rectangle { width, height } => (4, width, height),
                Outline::Regular { sides, side, .. } => (sides, side, Length::ZERO),
            };
            let size = measures(to_cut.size);
            let window = to_cut.window.map(|window| window.opening);
            let by_window = window.map(|window| (measures(window.size), window.is_oval));
            let alike = together
                .entry((to_cut.sheet_use, to_cut.name.clone(), size, by_window))
                .or_insert_with(|| AlikeSheets {
                    sheet_use: to_cut.sheet_use,
                    name: to_cut.name.clone(),
                    size: to_cut.size,
                    trimmed: sheet
                        .dust_cover
                        .filter(|_| to_cut.sheet_use == SheetUse::DustCover)
                        .map(|(_, size)| size)
                        .filter(|&size| size != to_cut.size),
                    window,
                    count: 0,
                    frames: Vec::new(),
                });
            alike.count += u64::from(sheet.frame.quantity);
            alike.frames.push(sheet.frame);
        }
    }
    together.into_values().collect()
}
