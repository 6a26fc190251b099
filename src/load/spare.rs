//! Spare rails and offcuts: what a moulding asks for beyond its frames.

use super::fields::{Fields, Found};
use crate::diag::{code, quoted};
use crate::frame::Spare;
use crate::job::MOST_PARTS;

/// Reads `spare` of a moulding: a number of rails, a share such as `10 %`, or `offcut`.
pub(super) fn read_spare(fields: &mut Fields<'_, '_>) -> Found<Option<Spare>> {
    let Some(field) = fields.present("spare")? else {
        return Ok(None);
    };
    if field.text.trim().eq_ignore_ascii_case("offcut") {
        return Ok(Some(Spare::Offcut));
    }
    let number = |text: &str| text.trim().parse::<u32>().ok();
    let spare = match field.text.strip_suffix('%') {
        Some(share) => number(share)
            .filter(|&share| share <= 100)
            .map(Spare::PerCent),
        None => number(&field.text)
            .filter(|&count| count <= MOST_PARTS)
            .map(Spare::Count),
    };
    if spare.is_some() {
        return Ok(spare);
    }
    let what = format!("{} is not a number of spare rails", quoted(&field.text));
    let hint = "write a number such as `2`, a share of the moulding's rails from `0 %` to `100 %`, or `offcut`";
    Err(fields.fault(field, code::NOT_A_QUANTITY, what, hint.to_owned()))
}
