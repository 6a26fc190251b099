//! Mouldings: the table `[[mouldings]]`.

use super::fields::{Fields, Found, Reported};
use super::lumber::read_thickness;
use super::spare::read_spare;
use super::words::{GRAINS, MILLED, SECTIONS};
use crate::diag::{code, quoted};
use crate::frame::Moulding;
use crate::length::Length;
use crate::stock::same_material;

/// Reads one moulding: of several woods one for each, in the order in which they are listed.
pub(super) fn read_moulding(mut fields: Fields<'_, '_>) -> Found<Vec<Moulding>> {
    let name = fields.name("name");
    let face_width = fields.length("face-width");
    let lip = fields.length("lip");
    let rabbet_depth = fields.optional_length("rabbet-depth");
    let material = fields.optional_name("material");
    let woods = read_woods(&mut fields);
    let thickness = read_thickness(&mut fields);
    let thicker_stock = fields.flag("thicker-stock");
    let milled = fields.word("milled", &MILLED);
    let section = fields.word("section", &SECTIONS);
    let grain = fields.word("grain", &GRAINS);
    let match_color = fields.flag("match-color");
    let spare = read_spare(&mut fields);
    let lip = check_lip(&mut fields, face_width, lip);
    if !fields.is_filled("thickness") {
        fields.warn_no_effect("thicker-stock", "without `thickness`");
    }
    let name = name?;
    let moulding = Moulding {
        profile: name.clone(),
        name,
        face_width: face_width?,
        lip: lip?,
        rabbet_depth: rabbet_depth?,
        material: material?,
        thickness: thickness?,
        thicker_stock: thicker_stock?,
        milled: milled?,
        section: section?,
        grain: grain?,
        match_color: match_color?,
        spare: spare?,
    };
    let woods = woods?;
    if woods.is_empty() {
        return Ok(vec![moulding]);
    }
    let of_wood = |wood: String| Moulding {
        name: format!("{wood} {}", moulding.profile),
        material: Some(wood),
        ..moulding.clone()
    };
    Ok(woods.into_iter().map(of_wood).collect())
}

/// The woods in which it is made, each once; none where it is made in one.
fn read_woods(fields: &mut Fields<'_, '_>) -> Found<Vec<String>> {
    let mut sound = Ok(());
    if fields.is_filled("woods") {
        sound = fields.check_excluded("material", "`woods`");
    }
    if fields.record.spoiled.contains(&"woods") {
        sound = Err(Reported);
    }
    let mut woods: Vec<String> = Vec::new();
    for field in fields.record.all("woods") {
        let wood = fields.checked_name(field, "woods")?;
        if woods.iter().any(|before| same_material(before, &wood)) {
            let what = format!("{} stands twice in `woods`", quoted(&wood));
            sound = Err(fields.fault(field, code::DUPLICATE_MOULDING, what, None));
        }
        woods.push(wood);
    }
    sound.map(|()| woods)
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
