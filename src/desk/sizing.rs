//! Sizes of the frames on a desk, as far as they can be sized.

use std::path::Path;

use super::blocks::Keys;
use super::reading::Held;
use super::records::Records;
use super::splice::spliced;
use super::spots::located;
use super::{Content, Desk, DeskFile, Role};
use crate::diag::Severity;
use crate::frame::Outline;
use crate::job::Job;
use crate::load::schema::{FRAMES, PIECES};
use crate::load::{Boards, Files, load_job};
use crate::report::document::{needed, there};
use crate::tally::sized_frames;

/// The frames that can be sized.
#[derive(Clone, Debug)]
pub struct Sizes {
    /// A job of them; its boards are not read, and rows with faults are not in it.
    pub job: Job,
    /// Of each frame of the job, its table and its row.
    pub rows: Vec<(usize, usize)>,
}

/// Sizes of the frames of one row, as the report prints them: without a unit, `~` before what is rounded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowSizes {
    /// The table.
    pub table: usize,
    /// Its row.
    pub row: usize,
    /// What glazing, mats and backing are cut to: width and height, or the side of a polygon.
    pub package: Vec<String>,
    /// The rabbet, likewise; empty of a tray.
    pub rabbet: Vec<String>,
    /// What is seen through it, likewise.
    pub sight: Vec<String>,
    /// Over everything, likewise.
    pub outside: Vec<String>,
    /// How many rails of each length one frame takes, between long points.
    pub rails: Vec<(u32, String)>,
}

impl Sizes {
    /// Sizes what can be sized: all frames, or where rows have faults the others.
    pub(super) fn of(desk: &Desk, from: &dyn Files) -> Option<Sizes> {
        let path = desk.job_path();
        match sized(path, &desk.files, from) {
            Ok(job) => Sizes::by_rows(desk, job, &[]),
            Err(faults) => {
                let spots = faults.into_iter().map(|fault| located(desk, fault).spot);
                let rows: Option<Vec<(usize, usize)>> = spots.map(super::Spot::row).collect();
                let mut rows = rows?;
                rows.sort_unstable();
                rows.dedup();
                let may_go = |table: usize| {
                    let table = &desk.tables[table];
                    let is_list = [FRAMES.name, PIECES.name].contains(&table.schema.name);
                    is_list && desk.files[table.file].role != Role::Shop
                };
                if !rows.iter().all(|(table, _)| may_go(*table)) {
                    return None;
                }
                let job = sized(path, &without(desk, &rows)?, from).ok()?;
                Sizes::by_rows(desk, job, &rows)
            }
        }
    }

    /// Frames are read in the order of their rows, but for empty ones and those left out.
    fn by_rows(desk: &Desk, job: Job, left_out: &[(usize, usize)]) -> Option<Sizes> {
        let mut rows = Vec::with_capacity(job.frames.len());
        for (table_idx, table) in desk.tables.iter().enumerate() {
            let of_shop = match desk.files[table.file].role {
                Role::Shop => true,
                Role::Table { of_shop } => of_shop,
                Role::Job => false,
            };
            if table.schema.name != FRAMES.name || of_shop {
                continue;
            }
            for (row_idx, row) in table.rows.iter().enumerate() {
                let is_empty = row.iter().all(String::is_empty);
                if !is_empty
                    && !table.unread.contains(&row_idx)
                    && !left_out.contains(&(table_idx, row_idx))
                {
                    rows.push((table_idx, row_idx));
                }
            }
        }
        // Frames inside of another are of its row, and stand behind it.
        let mut of_rows = rows.into_iter();
        let mut rows = Vec::with_capacity(job.frames.len());
        for frame in &job.frames {
            let row = if frame.is_held() {
                rows.last().copied()
            } else {
                of_rows.next()
            };
            rows.push(row?);
        }
        of_rows.next().is_none().then_some(Sizes { job, rows })
    }

    /// What the report prints of each frame.
    pub fn texts(&self) -> Vec<RowSizes> {
        let display = &self.job.display;
        let plain = |text: crate::report::document::Text| text.plain(display, str::to_owned);
        let frames = sized_frames(&self.job);
        let rows = frames.iter().zip(&self.rows);
        rows.map(|(frame, &(table, row))| {
            let n_measures = match frame.sizes.outside {
                Outline::Rectangle { .. } => 2,
                Outline::Regular { .. } => 1,
            };
            let measures = |outline: Outline, is_needed: bool| {
                let sides = (0..n_measures).map(|side| outline.side(side));
                let texts =
                    sides.map(|side| plain(if is_needed { needed(side) } else { there(side) }));
                texts.collect::<Vec<String>>()
            };
            let mut rails: Vec<(u32, String)> = Vec::new();
            for side in 0..frame.sizes.n_sides() {
                let text = plain(needed(frame.sizes.rail(side).long_point));
                match rails.iter_mut().find(|(_, other)| *other == text) {
                    Some((count, _)) => *count += 1,
                    None => rails.push((1, text)),
                }
            }
            RowSizes {
                table,
                row,
                package: measures(frame.package.size, false),
                rabbet: frame
                    .sizes
                    .rabbet
                    .map_or_else(Vec::new, |rabbet| measures(rabbet, false)),
                sight: measures(frame.sizes.sight, true),
                outside: measures(frame.sizes.outside, true),
                rails,
            }
        })
        .collect()
    }
}

/// The job of these files without boards, or its errors.
fn sized(
    path: &Path,
    files: &[DeskFile],
    under: &dyn Files,
) -> Result<Job, Vec<crate::diag::Diagnostic>> {
    let held = Held { files, under };
    load_job(path, &held, Boards::NotNeeded)
        .map(|(job, _)| job)
        .map_err(|mut faults| {
            faults.retain(|fault| fault.severity == Severity::Error);
            faults
        })
}

/// The files without some rows.
fn without(desk: &Desk, rows: &[(usize, usize)]) -> Option<Vec<DeskFile>> {
    let mut files = desk.files.clone();
    for (table_idx, table) in desk.tables.iter().enumerate() {
        let of_table = rows.iter().filter(|(table, _)| *table == table_idx);
        let of_table: Vec<usize> = of_table.map(|(_, row)| *row).collect();
        if of_table.is_empty() {
            continue;
        }
        let file = &desk.files[table.file];
        // Rows of several lists may go from the same file.
        let body = files[table.file].body()?.to_owned();
        let splices = if table.is_own_file {
            Records::of(&body, table.schema).remove(&of_table)
        } else {
            let layout = super::keys::Layout::of(&body)?;
            let keys = Keys {
                text: &body,
                layout: &layout,
            };
            keys.remove_rows(layout.list(table.schema.name)?, &of_table)
                .ok()?
        };
        files[table.file].content = Content::Text(file.with_body(spliced(&body, splices)));
    }
    Some(files)
}
