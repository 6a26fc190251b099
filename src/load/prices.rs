//! `[price]`: what a shop asks.

use super::fields::{Fields, Found};
use super::price::read_amount;
use crate::diag::{code, quoted};
use crate::job::{CostKind, Discount, Labor, Markup, PriceRules, RoundPrice, Tax, Work};
use crate::money::{Money, Percent};

/// The keys of markups, in the order of [`CostKind::ALL`].
const MARKUPS: [&str; CostKind::N_MARKED] = [
    "markup-wood",
    "markup-mats",
    "markup-glazing",
    "markup-backing",
    "markup-hardware",
    "markup-labor",
];

/// No work on one frame takes longer than a working week.
const LONGEST_WORK: u64 = 40 * 3_600;

/// Reads the rules of a price.
pub(super) fn read_prices(mut fields: Fields<'_, '_>) -> Found<PriceRules> {
    let labor = read_labor(&mut fields);
    let waste = read_percent(&mut fields, "waste");
    let overhead = read_percent(&mut fields, "overhead");
    let usual = read_percent(&mut fields, "markup");
    let own = MARKUPS.map(|name| read_percent(&mut fields, name));
    let rounding = read_rounding(&mut fields);
    let discount = read_discount(&mut fields);
    let tax = read_tax(&mut fields);
    let deposit = read_share(&mut fields, "deposit");
    let mut markup = Markup {
        usual: usual?,
        ..Markup::default()
    };
    for (of_kind, own) in markup.own.iter_mut().zip(own) {
        *of_kind = own?;
    }
    Ok(PriceRules {
        labor: labor?,
        waste: waste?,
        overhead: overhead?,
        markup,
        rounding: rounding?,
        discount: discount?,
        tax: tax?,
        deposit: deposit?,
    })
}

fn read_labor(fields: &mut Fields<'_, '_>) -> Found<Labor> {
    let hour = read_amount(fields, "hour", "write what an hour costs, such as `32.00`");
    let names = [
        "per-frame",
        "per-corner",
        "per-window",
        "glass-square-foot",
        "glass-square-meter",
    ];
    let has_hour = fields.is_filled("hour");
    let works = names.map(|name| read_work(fields, name, has_hour));
    let is_by_time = |work: &Found<Option<Work>>| matches!(work, Ok(Some(Work::Seconds(_))));
    if works.iter().all(Result::is_ok) && !works.iter().any(is_by_time) {
        fields.warn_no_effect("hour", "where no work is told by its time");
    }
    let [frame, corner, window, square_foot, square_meter] = works;
    Ok(Labor {
        hour: hour?,
        frame: frame?,
        corner: corner?,
        window: window?,
        square_foot: square_foot?,
        square_meter: square_meter?,
    })
}

/// Reads an amount, or a time such as `20 min` or `1.5 h`.
fn read_work(fields: &mut Fields<'_, '_>, name: &str, has_hour: bool) -> Found<Option<Work>> {
    let Some(field) = fields.present(name)? else {
        return Ok(None);
    };
    let text = field.text.trim().to_lowercase();
    let unit = [("min", 60), ("h", 3_600)];
    // Words that end in an `h` are no times.
    let is_number = text.starts_with(|first: char| first.is_ascii_digit());
    let by_time = unit
        .into_iter()
        .filter(|_| is_number)
        .find_map(|(unit, seconds)| Some((text.strip_suffix(unit)?.trim_end(), seconds)));
    let Some((number, seconds)) = by_time else {
        let hint = "write an amount such as `12.50`, or a time such as `20 min` or `1.5 h`";
        return Ok(read_amount(fields, name, hint)?.map(Work::Money));
    };
    let Some(seconds) = seconds_of(number, seconds) else {
        let what = format!("{} is not a time that work takes", quoted(&field.text));
        let hint = "write it as in `20 min` or `1.5 h`, in whole seconds and no more than 40 h";
        return Err(fields.fault(field, code::NOT_A_PERCENTAGE, what, hint.to_owned()));
    };
    if !has_hour {
        let what = format!("{} of work needs what an `hour` costs", quoted(&field.text));
        let hint = "say it, as in `hour = \"32.00\"`, or write an amount here".to_owned();
        return Err(fields.fault(field, code::NEEDS, what, hint));
    }
    Ok(Some(Work::Seconds(seconds)))
}

/// `number` units of so many seconds, if that is a whole number of them.
fn seconds_of(number: &str, unit: u64) -> Option<u32> {
    // Up to four decimals, as of a percentage.
    let hundredths_of_percent = u64::from(Percent::parse(number)?.millionths());
    let scaled = hundredths_of_percent.checked_mul(unit)?;
    let seconds = scaled / 10_000;
    let is_time = scaled % 10_000 == 0 && seconds <= LONGEST_WORK && !number.contains('%');
    is_time.then(|| u32::try_from(seconds).ok()).flatten()
}

/// Reads a percentage.
fn read_percent(fields: &mut Fields<'_, '_>, name: &str) -> Found<Option<Percent>> {
    let Some(field) = fields.present(name)? else {
        return Ok(None);
    };
    if let Some(percent) = Percent::parse(&field.text) {
        return Ok(Some(percent));
    }
    let what = format!("{} is not a percentage", quoted(&field.text));
    let hint = "write it as in `15 %` or `8.25 %`, with up to four decimals, from 0 to 10000";
    Err(fields.fault(field, code::NOT_A_PERCENTAGE, what, hint.to_owned()))
}

/// Reads a percentage of up to all.
fn read_share(fields: &mut Fields<'_, '_>, name: &str) -> Found<Option<Percent>> {
    match (read_percent(fields, name)?, fields.field(name)) {
        (Some(share), Some(field)) if share > Percent::ALL => {
            let what = format!("{} is more than all of it", quoted(&field.text));
            let hint = "write a percentage from 0 to 100".to_owned();
            Err(fields.fault(field, code::NOT_A_PERCENTAGE, what, hint))
        }
        (share, _) => Ok(share),
    }
}

fn read_rounding(fields: &mut Fields<'_, '_>) -> Found<Option<RoundPrice>> {
    let step = read_amount(fields, "round-to", "write an amount such as `5`");
    let ending = read_amount(fields, "ending", "write an amount such as `0.95`");
    let (step, ending) = (step?, ending?);
    if step.is_none() && ending.is_none() {
        return Ok(None);
    }
    let whole = 10_i64.pow(fields.scope.currency.decimals);
    let step = step.unwrap_or(Money::from_minor(whole));
    let ending = ending.unwrap_or_default();
    let fault = if step == Money::ZERO {
        Some(("round-to", "prices cannot be raised to steps of nothing"))
    } else if ending >= step {
        Some((
            "ending",
            "an ending must be less than the step from one price to the next",
        ))
    } else {
        None
    };
    match fault.and_then(|(name, what)| Some((fields.field(name)?, what))) {
        Some((field, what)) => {
            let hint = "`round-to` is the step, 1 if left out, and `ending` where steps begin: \
                        `round-to = 10` with `ending = 9.95` gives 9.95, 19.95, 29.95 and so on";
            Err(fields.fault(field, code::NOT_A_PRICE, what, hint.to_owned()))
        }
        None => Ok(Some(RoundPrice { step, ending })),
    }
}

fn read_discount(fields: &mut Fields<'_, '_>) -> Found<Option<Discount>> {
    let share = read_share(fields, "discount");
    let from = fields.count("discount-from");
    let (share, from) = (share?, from?);
    if share.is_none() {
        fields.warn_no_effect("discount-from", "without `discount`");
    }
    Ok(share.map(|share| Discount { from, share }))
}

fn read_tax(fields: &mut Fields<'_, '_>) -> Found<Option<Tax>> {
    let rate = read_percent(fields, "tax");
    let name = fields.optional_name("tax-name");
    let is_included = fields.flag("tax-included");
    let (rate, name, is_included) = (rate?, name?, is_included?);
    if rate.is_none() {
        for key in ["tax-name", "tax-included"] {
            fields.warn_no_effect(key, "without `tax`");
        }
    }
    Ok(rate.map(|rate| Tax {
        name: name.unwrap_or_else(|| "tax".to_owned()),
        rate,
        is_included,
    }))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::diag::Diagnostic;
    use crate::load::tests::Memory;
    use crate::load::{Boards, load_job};

    fn load(more: &str) -> Result<(PriceRules, Vec<String>), Vec<String>> {
        let text = format!("[price]\n{more}\n[[pieces]]\npiece = \"bar\"\nlength = \"1 in\"\n");
        let memory = Memory::new(&[("job.toml", &text)]);
        let codes = |said: Vec<Diagnostic>| said.iter().map(|one| one.code.to_owned()).collect();
        match load_job(Path::new("job.toml"), &memory, Boards::NotNeeded) {
            Ok((job, warnings)) => Ok((job.prices.clone(), codes(warnings))),
            Err(errors) => Err(codes(errors)),
        }
    }

    #[test]
    fn rules_are_read_and_what_is_left_out_is_nothing() {
        assert_eq!(load("").unwrap(), (PriceRules::default(), Vec::new()));
        let text = "hour = 32\nper-frame = \"20 min\"\nper-corner = 1.50\nper-window = \"0.1 h\"\n\
                    waste = \"5 %\"\nmarkup = 100\nmarkup-labor = \"12,5 %\"\nround-to = 5\n\
                    tax = \"8.25 %\"\ndiscount = \"10 %\"\ndiscount-from = 12\ndeposit = 50";
        let (rules, warnings) = load(text).unwrap();
        assert_eq!(warnings, [""; 0]);
        assert_eq!(rules.labor.frame, Some(Work::Seconds(1_200)));
        assert_eq!(
            rules.labor.corner,
            Some(Work::Money(Money::from_minor(150)))
        );
        assert_eq!(rules.labor.window, Some(Work::Seconds(360)));
        assert_eq!(rules.markup.on(CostKind::Wood), Percent::ALL);
        assert_eq!(
            rules.markup.on(CostKind::Labor),
            Percent::from_millionths(125_000)
        );
        assert_eq!(rules.markup.on(CostKind::Overhead), Percent::ALL);
        let rounding = rules.rounding.unwrap();
        assert_eq!((rounding.step.minor(), rounding.ending.minor()), (500, 0));
        assert_eq!(rules.discount.unwrap().from, 12);
        let tax = rules.tax.unwrap();
        assert_eq!((tax.name.as_str(), tax.is_included), ("tax", false));
        let rounding = load("ending = 0.95").unwrap().0.rounding.unwrap();
        assert_eq!((rounding.step.minor(), rounding.ending.minor()), (100, 95));
    }

    #[test]
    fn what_is_no_rule_is_refused() {
        for (text, code) in [
            ("waste = \"-5 %\"", code::NOT_A_PERCENTAGE),
            ("markup = \"double\"", code::NOT_A_PERCENTAGE),
            ("discount = 101", code::NOT_A_PERCENTAGE),
            ("deposit = \"100.1 %\"", code::NOT_A_PERCENTAGE),
            ("hour = 30\nper-frame = \"41 h\"", code::NOT_A_PERCENTAGE),
            (
                "hour = 30\nper-frame = \"0.0001 h\"",
                code::NOT_A_PERCENTAGE,
            ),
            ("hour = 30\nper-frame = \"5 % h\"", code::NOT_A_PERCENTAGE),
            ("per-frame = \"20 min\"", code::NEEDS),
            ("per-corner = \"much\"", code::NOT_A_PRICE),
            ("round-to = 0", code::NOT_A_PRICE),
            ("round-to = 5\nending = 5", code::NOT_A_PRICE),
        ] {
            assert_eq!(load(text).unwrap_err(), [code], "{text}");
        }
        for text in [
            "hour = 30\nper-frame = 4",
            "discount-from = 3",
            "tax-name = \"VAT\"",
            "tax-included = true",
        ] {
            assert_eq!(load(text).unwrap().1, [code::NO_EFFECT], "{text}");
        }
    }
}
