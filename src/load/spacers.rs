//! Spacers: the table `[[spacers]]`, and what a frame says of its own.

use super::fields::{Fields, Found, Names, Reported};
use super::words::{LIES, SPACER_ENDS};
use crate::diag::{code, quoted};
use crate::frame::{Spacer, SpacerStock};
use crate::length::Length;

/// All spacers of a job; a faulty one is there without its data.
#[derive(Default)]
pub(super) struct Spacers<'a> {
    pub(super) names: Names<'a>,
    pub(super) spacers: Vec<Found<SpacerKind>>,
}

/// A spacer as the job describes it: its depth may be told by the frames.
#[derive(Clone)]
pub(super) struct SpacerKind {
    depth: Option<Length>,
    /// All else of it.
    rest: Spacer,
}

/// Reads one spacer.
pub(super) fn read_spacer(mut fields: Fields<'_, '_>) -> Found<SpacerKind> {
    let name = fields.name("name");
    let width = fields.length("width");
    let depth = fields.optional_length("depth");
    let is_butted = fields.word("ends", &SPACER_ENDS);
    let on_edge = fields.word("strips", &LIES);
    let material = fields.optional_name("material");
    let is_bought = fields.flag("bought");
    if is_bought == Ok(true) {
        for name in ["material", "strips"] {
            fields.warn_no_effect(name, "where strips are `bought`");
        }
    }
    let stock = if is_bought? {
        SpacerStock::Bought
    } else {
        SpacerStock::Boards {
            material: material?,
            on_edge: on_edge?,
        }
    };
    Ok(SpacerKind {
        depth: depth?,
        rest: Spacer {
            name: name?,
            width: width?,
            depth: Length::ZERO,
            is_butted: is_butted?,
            stock,
        },
    })
}

/// The spacer that a frame names, as deep as the frame says, or else the spacer.
pub(super) fn find_spacer(
    fields: &mut Fields<'_, '_>,
    spacers: &Spacers<'_>,
) -> Found<Option<Spacer>> {
    let depth = fields.optional_length("box-depth");
    let Some(idx) = fields.reference("spacer", &spacers.names, code::UNKNOWN_SPACER, "spacer")?
    else {
        fields.warn_no_effect("box-depth", "without `spacer`");
        return Ok(None);
    };
    let kind = spacers.spacers.get(idx).ok_or(Reported)?.clone()?;
    let field = fields.field("spacer").ok_or(Reported)?;
    let name = quoted(&kind.rest.name);
    if !fields.is_filled("glazing") {
        let what = format!("spacer {name} needs `glazing`, which it keeps off the art");
        let hint = "name the sheet in front of the art".to_owned();
        return Err(fields.fault(field, code::NEEDS, what, hint));
    }
    if kind.rest.is_butted && fields.is_filled("sides") {
        let what = format!("spacer {name} is butted, and a polygon has no such ends");
        return Err(fields.fault(field, code::EXCLUDES, what, None));
    }
    if let Some(depth) = depth?.or(kind.depth) {
        return Ok(Some(Spacer { depth, ..kind.rest }));
    }
    let what = format!("spacer {name} has no `depth`, and the frame no `box-depth`");
    let hint = "say in one of the two how far it keeps the glazing off".to_owned();
    Err(fields.fault(field, code::NEEDS, what, hint))
}
