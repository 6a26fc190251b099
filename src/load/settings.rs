//! The head of the job file, and its tables `[saw]` and `[shop]`.

use super::fields::{Fields, Found, Least, Scope};
use super::record::{Column, Record, optional};
use crate::diag::{Diagnostics, code, quoted};
use crate::frame::Grain;
use crate::job::{Display, LongChains, Shop};
use crate::length::{Length, Notation, Unit, parse};
use crate::money::Currency;
use crate::stock::{BoardMeasure, Rip};

/// Keys above the first table.
pub(super) const HEAD: &[Column] = &[
    optional("title"),
    optional("unit"),
    optional("rounding"),
    optional("currency"),
    optional("currency-decimals"),
];

/// Keys of `[saw]`.
pub(super) const SAW: &[Column] = &[optional("kerf"), optional("end-trim")];

/// Keys of `[shop]`.
pub(super) const SHOP: &[Column] = &[
    optional("fit-allowance"),
    optional("mat-overlap"),
    optional("shortest-offcut"),
    optional("point-room"),
    optional("board-measure"),
    optional("long-chains"),
];

/// Keys of `[rip]`.
pub(super) const RIP: &[Column] = &[
    optional("kerf"),
    optional("straightening"),
    optional("planing"),
    optional("narrowest-offcut"),
];

const BOARD_MEASURES: [(&str, BoardMeasure); 2] = [
    ("exact", BoardMeasure::Exact),
    ("surface", BoardMeasure::Surface),
];

const LONG_CHAINS: [(&str, LongChains); 3] = [
    ("refuse", LongChains::Refused),
    ("opposite", LongChains::InPairs(Grain::Opposite)),
    ("adjacent", LongChains::InPairs(Grain::Adjacent)),
];

/// A longer currency would crowd out the amounts beside it.
const LONGEST_CURRENCY: usize = 8;

const UNITS: [(&str, Unit); 5] = [
    ("in", Unit::Inch),
    ("ft", Unit::Foot),
    ("mm", Unit::Millimetre),
    ("cm", Unit::Centimetre),
    ("m", Unit::Metre),
];

/// Steps of rounding for inches and feet.
const INCH_STEPS: [(&str, Length); 3] = [
    ("1/16", Length::from_nm(1_587_500)),
    ("1/32", Length::from_nm(793_750)),
    ("1/64", Length::from_nm(396_875)),
];

/// Steps of rounding for metric units.
const METRIC_STEPS: [(&str, Length); 3] = [
    ("0.1 mm", Length::from_nm(100_000)),
    ("0.5 mm", Length::from_nm(500_000)),
    ("1 mm", Length::from_nm(1_000_000)),
];

/// Common practice, no source: a full kerf is 1/8 in.
const KERF: Length = Length::from_nm(3_175_000);
/// Common practice, no source: 1/2 in off each end of a surfaced board.
const END_TRIM: Length = Length::from_nm(12_700_000);
/// Common practice, no source: 1/8 in of play in the rabbet.
const FIT_ALLOWANCE: Length = Length::from_nm(3_175_000);
/// Common practice, no source: the mat laps 1/4 in over the art on each side.
const MAT_OVERLAP: Length = Length::from_nm(6_350_000);
/// Common practice, no source: work under 12 in is short.
const SHORTEST_OFFCUT: Length = Length::FOOT;

/// What the head says.
pub(super) struct Head {
    /// `None` takes the file's name.
    pub(super) title: Option<String>,
    pub(super) display: Display,
}

/// The settings of the shop, and its default overlap of mats.
pub(super) struct Settings {
    pub(super) shop: Shop,
    pub(super) mat_overlap: Length,
    pub(super) board_measure: BoardMeasure,
}

/// Reads how numbers are meant; a faulty entry is reported and its default kept, so that reading can go on.
pub(super) fn read_scope(head: &Record<'_>, faults: &mut Diagnostics) -> Scope {
    let default = Scope {
        unit: Unit::Inch,
        currency: Currency {
            code: String::new(),
            decimals: 2,
        },
    };
    let mut fields = Fields {
        record: head,
        scope: &default,
        faults,
    };
    let unit = fields.word("unit", &UNITS);
    let code = read_currency(&mut fields);
    let decimals = fields.quantity("currency-decimals", 0..=4, code::NOT_A_QUANTITY);
    Scope {
        unit: unit.ok().flatten().unwrap_or(Unit::Inch),
        currency: Currency {
            code: code.ok().flatten().unwrap_or_default(),
            decimals: decimals.ok().flatten().unwrap_or(2),
        },
    }
}

/// Reads what else the head says; the scope has been read and reported on.
pub(super) fn read_head(head: &Record<'_>, scope: &Scope, faults: &mut Diagnostics) -> Found<Head> {
    let mut fields = Fields {
        record: head,
        scope,
        faults,
    };
    let title = fields.name("title");
    let step = read_step(&mut fields);
    Ok(Head {
        title: title?,
        display: Display {
            unit: scope.unit,
            step: step?,
            currency: scope.currency.clone(),
        },
    })
}

/// Reads `[saw]`, `[shop]` and `[rip]`.
pub(super) fn read_settings(
    saw: &Record<'_>,
    shop: &Record<'_>,
    rip: Option<&Record<'_>>,
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Found<Settings> {
    let board_measure = Fields {
        record: shop,
        scope,
        faults: &mut *faults,
    }
    .word("board-measure", &BOARD_MEASURES);
    let long_chains = Fields {
        record: shop,
        scope,
        faults: &mut *faults,
    }
    .word("long-chains", &LONG_CHAINS);
    let mut read = |record: &Record<'_>, name: &str, default: Length| {
        let mut fields = Fields {
            record,
            scope,
            faults: &mut *faults,
        };
        let length = fields.length(name, Least::Zero)?;
        Ok(length.unwrap_or(default))
    };
    let kerf = read(saw, "kerf", KERF);
    let end_trim = read(saw, "end-trim", END_TRIM);
    let fit_allowance = read(shop, "fit-allowance", FIT_ALLOWANCE);
    let mat_overlap = read(shop, "mat-overlap", MAT_OVERLAP);
    let shortest_offcut = read(shop, "shortest-offcut", SHORTEST_OFFCUT);
    let point_room = read(shop, "point-room", Length::ZERO);
    let rip = rip.map(|rip| {
        let kerf = read(rip, "kerf", KERF);
        let straightening = read(rip, "straightening", Length::ZERO);
        let planing = read(rip, "planing", Length::ZERO);
        (rip, kerf, straightening, planing)
    });
    let rip = rip.map(|(record, kerf, straightening, planing)| {
        let narrowest_offcut = Fields {
            record,
            scope,
            faults: &mut *faults,
        }
        .length("narrowest-offcut", Least::Zero);
        Ok(Rip {
            kerf: kerf?,
            straightening: straightening?,
            planing: planing?,
            narrowest_offcut: narrowest_offcut?,
        })
    });
    Ok(Settings {
        shop: Shop {
            kerf: kerf?,
            end_trim: end_trim?,
            fit_allowance: fit_allowance?,
            shortest_offcut: shortest_offcut?,
            point_room: point_room?,
            long_chains: long_chains?.unwrap_or(LongChains::Refused),
            rip: rip.transpose()?,
        },
        mat_overlap: mat_overlap?,
        board_measure: board_measure?.unwrap_or(BoardMeasure::Exact),
    })
}

/// A currency's code or sign, which must not look like part of an amount.
fn read_currency(fields: &mut Fields<'_, '_>) -> Found<Option<String>> {
    let Some(field) = fields.field("currency") else {
        return Ok(None);
    };
    let looks_like_amount =
        |symbol: char| symbol.is_ascii_digit() || symbol.is_control() || ".,-+/".contains(symbol);
    let is_long = field.text.chars().nth(LONGEST_CURRENCY).is_some();
    if is_long || field.text.chars().any(looks_like_amount) {
        let what = format!("{} is not a currency", quoted(&field.text));
        let hint = format!(
            "write a code or a sign of at most {LONGEST_CURRENCY} letters, such as `USD` or `$`"
        );
        return Err(fields.fault(field, code::NOT_ALLOWED, what, hint));
    }
    Ok(Some(field.text.clone().into_owned()))
}

/// The step of rounding, which must be one of a few, as rules are marked.
fn read_step(fields: &mut Fields<'_, '_>) -> Found<Length> {
    let (steps, unit, default) = if fields.scope.unit.is_imperial() {
        (INCH_STEPS, Unit::Inch, INCH_STEPS[1].1)
    } else {
        (METRIC_STEPS, Unit::Millimetre, METRIC_STEPS[1].1)
    };
    let Some(field) = fields.present("rounding")? else {
        return Ok(default);
    };
    let notation = Notation {
        unit,
        decimal_comma: false,
    };
    let given = parse(&field.text, notation).ok();
    if let Some((_, step)) = steps.iter().find(|(_, step)| Some(*step) == given) {
        return Ok(*step);
    }
    let what = format!("{} is not a value of `rounding`", quoted(&field.text));
    let words: Vec<String> = steps.iter().map(|(word, _)| format!("`{word}`")).collect();
    let hint = format!(
        "with unit `{}`, values are {}",
        fields.scope.unit.symbol(),
        words.join(", ")
    );
    Err(fields.fault(field, code::NOT_ALLOWED, what, hint))
}
