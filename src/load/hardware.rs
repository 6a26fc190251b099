//! Hardware: the table `[[hardware]]`, and weights.

use super::fields::{Fields, Found};
use super::price::read_amount;
use super::words::HARDWARE_USES;
use crate::diag::{code, quoted};
use crate::job::{Hardware, HardwareUse, Lot, Weight};

/// Reads one kind of hardware.
pub(super) fn read_hardware(mut fields: Fields<'_, '_>) -> Found<Hardware> {
    let name = fields.name("name");
    let hardware_use = fields.word("use", &HARDWARE_USES);
    let count = fields.count("lot-count");
    let length = fields.optional_length("lot-length");
    let price = read_amount(
        &mut fields,
        "price",
        "write the price of one lot, such as `6.50`",
    );
    let bears = read_weight(&mut fields, "bears");
    let each = fields.optional_count("each");
    let roll_width = fields.optional_length("roll-width");
    let hardware_use = hardware_use?;
    let lot = if hardware_use.is_by_length() {
        if count != Ok(1) {
            fields.warn_no_effect("lot-count", "on what is sold by length");
        }
        match length? {
            Some(length) => Lot::Length(length),
            None => {
                return Err(lacks(
                    &mut fields,
                    "lot-length",
                    "how long a piece is as it is sold",
                ));
            }
        }
    } else {
        fields.warn_no_effect("lot-length", "on what is sold by the piece");
        Lot::Count(count?)
    };
    if hardware_use != HardwareUse::Bumpers {
        fields.warn_no_effect("each", "but on bumpers");
    }
    if !matches!(
        hardware_use,
        HardwareUse::Hangers | HardwareUse::Wire | HardwareUse::Hooks
    ) {
        fields.warn_no_effect("bears", "but on hangers, wire and hooks");
    }
    let roll_width = roll_width?;
    match (hardware_use, roll_width) {
        (HardwareUse::DustCover, None) => {
            return Err(lacks(
                &mut fields,
                "roll-width",
                "how wide the roll is that covers are cut from",
            ));
        }
        (HardwareUse::DustCover, Some(_)) => {}
        _ => fields.warn_no_effect("roll-width", "but on dust covers"),
    }
    Ok(Hardware {
        name: name?,
        hardware_use,
        lot,
        price: price?,
        bears: bears?,
        each: each?,
        roll_width,
    })
}

fn lacks(fields: &mut Fields<'_, '_>, column: &str, what_it_is: &str) -> super::fields::Reported {
    let what = format!("hardware for this use needs `{column}`");
    fields.record_fault(code::NEEDS, what, format!("say {what_it_is}"))
}

/// Reads a weight with its unit.
pub(super) fn read_weight(fields: &mut Fields<'_, '_>, name: &str) -> Found<Option<Weight>> {
    let Some(field) = fields.present(name)? else {
        return Ok(None);
    };
    if let Some(weight) = Weight::parse(&field.text) {
        return Ok(Some(weight));
    }
    let what = format!("{} is not a weight", quoted(&field.text));
    let hint = "write a number with its unit, such as `20 lb`, `9 kg`, `450 g` or `12 oz`";
    Err(fields.fault(field, code::NOT_A_WEIGHT, what, hint.to_owned()))
}
