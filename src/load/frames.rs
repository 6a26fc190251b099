//! Frames: the table of artworks and how each is to be framed.

use super::fields::{Fields, Found, Names, Reported};
use super::mats::read_mat;
use super::sheets::{Sheets, find_sheet};
use super::woods::Profiles;
use super::words::{FLAGS, GRAINS, Use};
use crate::diag::code;
use crate::frame::{ChosenBoards, Frame, Holding, Outline};
use crate::length::Length;

/// What frames refer to.
pub(super) struct Shelf<'n, 'a> {
    pub(super) mouldings: &'n Profiles<'a>,
    pub(super) sheets: &'n Sheets<'a>,
    /// All boards by name; `None` where they are not read.
    pub(super) boards: Option<&'n Names<'a>>,
    /// Overlap of a mat that states none; `None` if the shop's is faulty.
    pub(super) mat_overlap: Option<Length>,
}

/// Reads one frame.
pub(super) fn read_frame(mut fields: Fields<'_, '_>, shelf: &Shelf<'_, '_>) -> Found<Frame> {
    let name = fields.name("frame");
    let quantity = fields.count("quantity");
    let art = read_outline(&mut fields);
    let art_thickness = fields.length("art-thickness");
    let holding = read_holding(&mut fields);
    let mat = read_mat(&mut fields, art, shelf);
    let glazing = find_sheet(&mut fields, shelf.sheets, Use::Glazing);
    let backing = find_sheet(&mut fields, shelf.sheets, Use::Backing);
    let moulding_idx = read_moulding_idx(&mut fields, shelf);
    let grain = fields.optional_word("grain", &GRAINS);
    let match_color = fields.optional_word("match-color", &FLAGS);
    let boards = read_boards(&mut fields, shelf);
    Ok(Frame {
        name: name?,
        quantity: quantity?,
        art: art?,
        art_thickness: art_thickness?,
        mat: mat?,
        glazing: glazing?,
        backing: backing?,
        holding: holding?,
        moulding_idx: moulding_idx?,
        grain: grain?,
        in_pairs: false,
        match_color: match_color?,
        boards: boards?,
    })
}

/// A rectangle, or a polygon where `sides` is filled.
fn read_outline(fields: &mut Fields<'_, '_>) -> Found<Outline> {
    let width = fields.length("art-width");
    let height = fields.optional_length("art-height");
    if !fields.is_filled("sides") && !fields.record.spoiled.contains(&"sides") {
        let height = match height {
            Ok(None) if fields.record.is_spoiled("art-height") => {
                // The whole column is absent: legal if all frames are polygons, so it is told here, where it is needed.
                Err(fields.lacks(
                    "art-height",
                    code::NEEDS,
                    "a rectangle needs `art-height`",
                    "add the column, or give the number of `sides` of a regular polygon".to_owned(),
                ))
            }
            height => fields.required("art-height", height),
        };
        return Ok(Outline::Rectangle {
            width: width?,
            height: height?,
        });
    }
    let sides = fields.optional_count("sides");
    let excluded = fields.check_excluded("art-height", "`sides`");
    excluded?;
    Ok(Outline::Regular {
        sides: sides?.ok_or(Reported)?,
        side: width?,
    })
}

/// A tray where `tray-gap` is filled, which leaves no room for glazing; `mats` sees to the mat.
fn read_holding(fields: &mut Fields<'_, '_>) -> Found<Holding> {
    match fields.optional_length("tray-gap")? {
        None => Ok(Holding::Rabbet),
        Some(gap) => {
            fields.check_excluded("glazing", "`tray-gap`")?;
            Ok(Holding::Tray { gap })
        }
    }
}

/// The line of boards named, if one is.
fn read_boards(fields: &mut Fields<'_, '_>, shelf: &Shelf<'_, '_>) -> Found<ChosenBoards> {
    let Some(names) = shelf.boards else {
        return Ok(ChosenBoards::ANY);
    };
    let named = fields.reference("board", names, code::UNKNOWN_BOARD, "board")?;
    Ok(named.map_or(ChosenBoards::ANY, |idx| ChosenBoards::only([idx])))
}

/// The moulding named, or the only one there is, in the wood named.
fn read_moulding_idx(fields: &mut Fields<'_, '_>, shelf: &Shelf<'_, '_>) -> Found<usize> {
    let named = fields.reference(
        "moulding",
        &shelf.mouldings.names,
        code::UNKNOWN_MOULDING,
        "moulding",
    )?;
    match (named, shelf.mouldings.count()) {
        (Some(profile), _) => shelf.mouldings.in_wood(fields, profile),
        (None, 1) => shelf.mouldings.in_wood(fields, 0),
        (None, 0) => Err(fields.lacks(
            "moulding",
            code::MOULDING_NEEDED,
            "a frame needs a moulding, and the job has none",
            "describe it in the job file under `[[mouldings]]`".to_owned(),
        )),
        (None, number) => Err(fields.lacks(
            "moulding",
            code::MOULDING_NEEDED,
            format!("the frame names no moulding, and the job has {number}"),
            "name one in column `moulding`".to_owned(),
        )),
    }
}
