//! Frames: the table of artworks and how each is to be framed.

use super::fields::{Fields, Found, Names, Reported};
use super::mats::read_mat;
use super::record::Field;
use super::sheets::{Sheets, find_sheet};
use super::spacers::{Spacers, find_spacer};
use super::woods::Profiles;
use super::words::{ACROSS, Across, FLAGS, GRAINS, Use};
use crate::diag::code;
use crate::frame::{ChosenBoards, Frame, Holding, Inner, Miter, Outline};
use crate::length::Length;

/// What frames refer to.
pub(super) struct Shelf<'n, 'a> {
    pub(super) mouldings: &'n Profiles<'a>,
    pub(super) sheets: &'n Sheets<'a>,
    pub(super) spacers: &'n Spacers<'a>,
    /// All boards by name; `None` where they are not read.
    pub(super) boards: Option<&'n Names<'a>>,
    /// Overlap of a mat that states none; `None` if the shop's is faulty.
    pub(super) mat_overlap: Option<Length>,
}

/// Reads one frame, and behind it those inside of it, from the artwork outwards.
pub(super) fn read_frame(mut fields: Fields<'_, '_>, shelf: &Shelf<'_, '_>) -> Found<Vec<Frame>> {
    let name = fields.name("frame");
    let quantity = fields.count("quantity");
    let art = read_outline(&mut fields);
    let art_thickness = fields.length("art-thickness");
    let holding = read_holding(&mut fields);
    let mat = read_mat(&mut fields, art, shelf);
    let glazing = find_sheet(&mut fields, shelf.sheets, Use::Glazing);
    let backing = find_sheet(&mut fields, shelf.sheets, Use::Backing);
    let gets_cover = fields.flag("dust-cover");
    let spacer = find_spacer(&mut fields, shelf.spacers);
    let moulding_idx = read_moulding_idx(&mut fields, shelf);
    let inner = read_inner(&mut fields, shelf);
    let grain = fields.optional_word("grain", &GRAINS);
    let match_color = fields.optional_word("match-color", &FLAGS);
    let boards = read_boards(&mut fields, shelf);
    if gets_cover == Ok(true) && matches!(holding, Ok(Holding::Tray { .. })) {
        fields.warn_no_effect("dust-cover", "in a tray, which stays open behind");
    }
    let frame = Frame {
        name: name?,
        quantity: quantity?,
        art: art?,
        art_thickness: art_thickness?,
        mat: mat?,
        glazing: glazing?,
        spacer: spacer?,
        backing: backing?,
        gets_cover: gets_cover?,
        holding: holding?,
        moulding_idx: moulding_idx?,
        inner: inner?,
        held_by: None,
        grain: grain?,
        in_pairs: false,
        match_color: match_color?,
        boards: boards?,
    };
    let inner: Vec<Frame> = (0..frame.inner.len())
        .map(|number| inside(&frame, number))
        .collect();
    Ok([vec![frame], inner].concat())
}

/// The frame of this number inside of another, from the artwork outwards: rails alone, round artwork and mat.
fn inside(outer: &Frame, number: usize) -> Frame {
    Frame {
        name: match number {
            0 => format!("{} liner", outer.name),
            _ => format!("{} liner {}", outer.name, number + 1),
        },
        glazing: None,
        spacer: None,
        backing: None,
        holding: Holding::Rabbet,
        moulding_idx: outer.inner[number].moulding_idx,
        inner: outer.inner[..number].to_vec(),
        held_by: Some(outer.name.clone()),
        grain: None,
        match_color: None,
        boards: ChosenBoards::ANY,
        ..outer.clone()
    }
}

/// The mouldings named as liners, from the artwork outwards, each with the play of its frame.
fn read_inner(fields: &mut Fields<'_, '_>, shelf: &Shelf<'_, '_>) -> Found<Vec<Inner>> {
    let play = fields.length("liner-play");
    let Some(field) = fields.present("liner")? else {
        if play != fields.length_by_default("liner-play") {
            fields.warn_no_effect("liner-play", "without `liner`");
        }
        return Ok(Vec::new());
    };
    let names: Vec<&str> = field.text.split(';').map(str::trim).collect();
    if names.len() == 1 && fields.is_filled("tray-gap") {
        fields.warn_no_effect("liner-play", "in a tray, where `tray-gap` tells the room");
    }
    let mut mouldings = Vec::with_capacity(names.len());
    for name in names {
        mouldings.push(shelf.mouldings.by_name(fields, field, name)?);
    }
    let play = play?;
    let of_moulding = |moulding_idx| Inner { moulding_idx, play };
    Ok(mouldings.into_iter().map(of_moulding).collect())
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
        let is_usual = |field: &Field<'_>| field.text.eq_ignore_ascii_case("side");
        if !fields.field("measured").is_some_and(is_usual) {
            fields.warn_no_effect("measured", "without `sides`");
        }
        return Ok(Outline::Rectangle {
            width: width?,
            height: height?,
        });
    }
    let sides = fields.optional_count("sides");
    let across = fields.word("measured", &ACROSS);
    let excluded = fields.check_excluded("art-height", "`sides`");
    excluded?;
    let sides = sides?.ok_or(Reported)?;
    polygon(fields, sides, across?, width?)
}

/// The polygon of a size; what follows from that is rounded up so that nothing is cut too small for the art.
fn polygon(
    fields: &mut Fields<'_, '_>,
    sides: u32,
    across: Across,
    size: Length,
) -> Found<Outline> {
    match across {
        Across::Side => return Ok(Outline::of_side(sides, size)),
        Across::Flats if sides.is_multiple_of(2) => return Ok(Outline::of_flats(sides, size)),
        Across::Corners if sides.is_multiple_of(2) => {
            let side = Miter::Corner { sides }.times_sine(size);
            return Ok(Outline::of_side(sides, side));
        }
        Across::Flats | Across::Corners => {}
    }
    let what = format!("a polygon of {sides} sides has none opposite to measure across");
    let hint = "give the length of its side, with `measured` left empty".to_owned();
    Err(match fields.field("measured") {
        Some(field) => fields.fault(field, code::NO_OPPOSITE_SIDES, what, hint),
        None => fields.record_fault(code::NO_OPPOSITE_SIDES, what, hint),
    })
}

/// A tray where `tray-gap` is filled, which leaves no room for glazing; `mats` sees to the mat.
fn read_holding(fields: &mut Fields<'_, '_>) -> Found<Holding> {
    match fields.optional_length("tray-gap")? {
        None => Ok(Holding::Rabbet),
        Some(gap) => {
            let hint = "a tray is open in front: leave `glazing` empty, or `tray-gap` for a frame with a rabbet";
            fields.check_excluded_but("glazing", "`tray-gap`", hint.to_owned())?;
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
