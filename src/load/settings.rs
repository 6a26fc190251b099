//! The head of the job file, and its tables `[saw]` and `[shop]`.

use super::fields::{Fields, Found, Scope};
use super::limits::LONGEST_CURRENCY;
use super::record::{Field, Record};
use super::words::{BOARD_MEASURES, INCH_STEPS, LONG_CHAINS, METRIC_STEPS, STOPS, UNITS};
use crate::diag::{Diagnostics, code, quoted};
use crate::job::{Display, Shop, TableForm};
use crate::length::{Length, Notation, Unit, parse};
use crate::money::Currency;
use crate::stock::{Age, BoardMeasure, Date, InHandRules, Resaw, Rip, Worth};

/// What the head says.
pub(super) struct Head {
    /// `None` takes the file's name.
    pub(super) title: Option<String>,
    pub(super) date: Option<Date>,
    pub(super) display: Display,
}

/// The settings of the shop, and its default overlap of mats.
pub(super) struct Settings {
    pub(super) shop: Shop,
    pub(super) mat_overlap: Length,
    pub(super) board_measure: BoardMeasure,
}

/// Reads how numbers are meant; a faulty entry is reported and its default kept, so that reading can go on.
///
/// `shop_unit` is the unit that the file of the shop states; the job's own stands in the head.
pub(super) fn read_scope(
    head: &Record<'_>,
    shop_unit: Option<Field<'_>>,
    faults: &mut Diagnostics,
) -> Scope {
    let default = Scope::default();
    let mut fields = Fields::new(head, &default, faults);
    let unit = fields.word("unit", &UNITS);
    let code = read_currency(&mut fields);
    let decimals = fields.count("currency-decimals");
    // If the head has it as well, a fault is reported once.
    let shop_unit = shop_unit.and_then(|field| {
        let mut units = UNITS.iter();
        let found = units.find(|(word, _)| field.text.eq_ignore_ascii_case(word));
        found.map(|(_, unit)| *unit)
    });
    Scope {
        unit: unit.unwrap_or(default.unit),
        shop_unit: shop_unit.unwrap_or(default.shop_unit),
        currency: Currency {
            code: code.ok().flatten().unwrap_or_default(),
            decimals: decimals.unwrap_or(default.currency.decimals),
        },
    }
}

/// Reads what else the head says; the scope has been read and reported on.
pub(super) fn read_head(
    head: &Record<'_>,
    tables: Found<TableForm>,
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Found<Head> {
    let mut fields = Fields::new(head, scope, faults);
    let title = fields.optional_name("title");
    let date = fields.optional_date("date");
    let step = read_step(&mut fields);
    Ok(Head {
        title: title?,
        date: date?,
        display: Display {
            unit: scope.unit,
            step: step?,
            currency: scope.currency.clone(),
            tables: tables?,
        },
    })
}

/// The tables that say how a shop works.
pub(super) struct ShopTables<'r, 'a> {
    pub(super) saw: &'r Record<'a>,
    pub(super) shop: &'r Record<'a>,
    /// `None` where boards are not ripped.
    pub(super) rip: Option<&'r Record<'a>>,
    pub(super) in_hand: &'r Record<'a>,
}

/// Reads `[saw]`, `[shop]`, `[rip]` and `[in-hand]`.
pub(super) fn read_settings(
    tables: &ShopTables<'_, '_>,
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Found<Settings> {
    let mut fields = Fields::new(tables.saw, scope, faults);
    let kerf = fields.length("kerf");
    let end_trim = fields.length("end-trim");
    let rip = tables
        .rip
        .map(|rip| read_rip(Fields::new(rip, scope, fields.faults)));
    let in_hand = read_in_hand(Fields::new(tables.in_hand, scope, fields.faults));
    let mut fields = Fields::new(tables.shop, scope, fields.faults);
    let fit_allowance = fields.length("fit-allowance");
    let mat_overlap = fields.length("mat-overlap");
    let shortest_offcut = fields.length("shortest-offcut");
    let point_room = fields.length("point-room");
    let board_measure = fields.word("board-measure", &BOARD_MEASURES);
    let stop = fields.word("stop", &STOPS);
    let long_chains = fields.word("long-chains", &LONG_CHAINS);
    let long_offcuts = fields.count("long-offcuts");
    Ok(Settings {
        shop: Shop {
            kerf: kerf?,
            end_trim: end_trim?,
            fit_allowance: fit_allowance?,
            shortest_offcut: shortest_offcut?,
            long_offcuts: long_offcuts?,
            point_room: point_room?,
            stop: stop?,
            long_chains: long_chains?,
            in_hand: in_hand?,
            rip: rip.transpose()?,
        },
        mat_overlap: mat_overlap?,
        board_measure: board_measure?,
    })
}

/// Reads what wood in hand counts, and what becomes of it.
fn read_in_hand(mut fields: Fields<'_, '_>) -> Found<InHandRules> {
    let worth = read_worth(&mut fields);
    let first = fields.flag("first");
    let stove_below = fields.optional_length("stove-below");
    let stove_after = match fields.present("stove-after") {
        Ok(Some(field)) => Age::parse(&field.text).map(Some).ok_or_else(|| {
            let what = format!("{} is not an age", quoted(&field.text));
            let hint = "write years, months, weeks or days, as in `2 years` or `18 months`";
            fields.fault(field, code::NOT_AN_AGE, what, hint.to_owned())
        }),
        Ok(None) => Ok(None),
        Err(reported) => Err(reported),
    };
    if first == Ok(true) {
        fields.warn_no_effect("worth", "where wood in hand is used `first`");
    }
    Ok(InHandRules {
        worth: worth?,
        first: first?,
        stove_below: stove_below?,
        stove_after: stove_after?,
    })
}

/// Reads `cost`, `nothing`, or a share such as `1/2` or `50 %`.
fn read_worth(fields: &mut Fields<'_, '_>) -> Found<Worth> {
    let Some(field) = fields.present("worth")? else {
        return Ok(Worth::COST);
    };
    let text = field.text.trim().to_lowercase();
    let number = |text: &str| text.trim().parse::<u32>().ok();
    let (part, of) = match (text.as_str(), text.strip_suffix('%')) {
        ("cost" | "1", _) => (Some(1), Some(1)),
        ("nothing" | "0", _) => (Some(0), Some(1)),
        (_, Some(share)) => (number(share), Some(100)),
        (text, None) => match text.split_once('/') {
            Some((part, of)) => (number(part), number(of)),
            None => (None, None),
        },
    };
    match (part, of) {
        (Some(part), Some(of @ 1..=1_000)) if part <= of => Ok(Worth { part, of }),
        _ => {
            let what = format!("{} is not what wood in hand may count", quoted(&field.text));
            let hint = "write `cost`, `nothing`, or a share of the cost such as `1/2` or `50 %`"
                .to_owned();
            Err(fields.fault(field, code::NOT_A_SHARE, what, hint))
        }
    }
}

fn read_rip(mut fields: Fields<'_, '_>) -> Found<Rip> {
    let kerf = fields.length("kerf");
    let straightening = fields.length("straightening");
    let planing = fields.length("planing");
    let plane_off = fields.length("plane-off");
    let narrowest_offcut = fields.optional_length("narrowest-offcut");
    let resaw = read_resaw(&mut fields);
    Ok(Rip {
        kerf: kerf?,
        straightening: straightening?,
        planing: planing?,
        plane_off: plane_off?,
        narrowest_offcut: narrowest_offcut?,
        resaw: resaw?,
    })
}

/// Reads how boards are resawn; they are where the kerf of that is given.
fn read_resaw(fields: &mut Fields<'_, '_>) -> Found<Option<Resaw>> {
    let kerf = fields.optional_length("resaw-kerf");
    let planing = fields.length("resaw-planing");
    let widest = fields.optional_length("resaw-widest");
    let Some(kerf) = kerf? else {
        for name in ["resaw-planing", "resaw-widest"] {
            fields.warn_no_effect(name, "without `resaw-kerf`");
        }
        return Ok(None);
    };
    Ok(Some(Resaw {
        kerf,
        planing: planing?,
        widest: widest?,
    }))
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
        (METRIC_STEPS, Unit::Millimeter, METRIC_STEPS[1].1)
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
