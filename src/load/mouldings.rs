//! Mouldings: the table `[[mouldings]]`.

use super::fields::{Fields, Found, Least};
use super::lumber::read_thickness;
use super::record::{Column, flag, optional, required};
use crate::diag::{code, quoted};
use crate::frame::{Grain, Milled, Moulding, Profile};
use crate::length::Length;

pub(super) const COLUMNS: &[Column] = &[
    required("name"),
    required("face-width"),
    optional("lip"),
    optional("rabbet-depth"),
    optional("material"),
    optional("thickness"),
    flag("thicker-stock"),
    optional("milled"),
    optional("section"),
    optional("grain"),
    flag("match-color"),
    optional("spare"),
];

const MILLED: [(&str, Milled); 2] = [
    ("before-cutting", Milled::BeforeCutting),
    ("after-cutting", Milled::AfterCutting),
];

const SECTIONS: [(&str, Profile); 2] = [
    ("handed", Profile::Handed),
    ("symmetric", Profile::Symmetric),
];

/// What may be asked of the grain, by a moulding or by a frame.
pub(super) const GRAINS: [(&str, Grain); 4] = [
    ("none", Grain::Free),
    ("frame", Grain::Frame),
    ("opposite", Grain::Opposite),
    ("adjacent", Grain::Adjacent),
];

/// Common practice, no source: 1/4 in of rabbet under the sight edge.
const LIP: Length = Length::from_nm(6_350_000);

/// Reads one moulding.
pub(super) fn read_moulding(mut fields: Fields<'_, '_>) -> Found<Moulding> {
    let name = fields.name("name");
    let name = fields.required("name", name);
    let face_width = fields.length("face-width", Least::Positive);
    let face_width = fields.required("face-width", face_width);
    let lip = fields
        .length("lip", Least::Zero)
        .map(|lip| lip.unwrap_or(LIP));
    let rabbet_depth = fields.length("rabbet-depth", Least::Positive);
    let material = fields.name("material");
    let thickness = read_thickness(&mut fields);
    let thicker_stock = fields.flag("thicker-stock");
    let milled = fields.word("milled", &MILLED);
    let section = fields.word("section", &SECTIONS);
    let grain = fields.word("grain", &GRAINS);
    let match_color = fields.flag("match-color");
    let lip = check_lip(&mut fields, face_width, lip);
    if !fields.is_filled("thickness") {
        fields.warn_no_effect("thicker-stock", "without `thickness`");
    }
    Ok(Moulding {
        name: name?,
        face_width: face_width?,
        lip: lip?,
        rabbet_depth: rabbet_depth?,
        material: material?,
        thickness: thickness?,
        thicker_stock: thicker_stock?.unwrap_or(false),
        milled: milled?.unwrap_or(Milled::BeforeCutting),
        section: section?.unwrap_or(Profile::Handed),
        grain: grain?.unwrap_or(Grain::Free),
        match_color: match_color?.unwrap_or(false),
    })
}

/// The lip, which must leave some wood between the rabbet and the back edge.
fn check_lip(
    fields: &mut Fields<'_, '_>,
    face_width: Found<Length>,
    lip: Found<Length>,
) -> Found<Length> {
    let (face_width, lip) = (face_width?, lip?);
    if lip < face_width {
        return Ok(lip);
    }
    Err(match fields.field("lip") {
        Some(field) => {
            let what = format!(
                "a lip of {} is not narrower than the face",
                quoted(&field.text)
            );
            fields.fault(field, code::LIP_TOO_WIDE, what, None)
        }
        None => fields.record_fault(
            code::LIP_TOO_WIDE,
            "the usual lip of `1/4 in` is not narrower than the face",
            "write the moulding's own `lip`, or `lip = 0` if it has no rabbet".to_owned(),
        ),
    })
}
