#![expect(clippy::unwrap_used, reason = "tests fail by panic")]

use proptest::prelude::*;

use super::*;
use crate::job::{CostKind, Discount, Line, Markup, PriceRules, RoundPrice, Tax};
use crate::money::{Money, Percent};

fn percent(text: &str) -> Percent {
    Percent::parse(text).unwrap()
}

/// A line of costs without waste and overhead, for all copies.
fn sold(quantity: u32, costs: &[(CostKind, i64)]) -> SoldCosts {
    let mut of = Costs::default();
    for &(kind, minor) in costs {
        of.set(kind, Money::from_minor(minor));
    }
    SoldCosts {
        line: Line::Frame(0),
        inner: Vec::new(),
        quantity,
        costs: of,
    }
}

fn marked_up(usual: &str) -> PriceRules {
    PriceRules {
        markup: Markup {
            usual: Some(percent(usual)),
            ..Markup::default()
        },
        ..PriceRules::default()
    }
}

/// Material 38.40 and 1.75 h at 46.00, rent in it: 118.90. Derived: a margin of 30 % is a price of 118.90 / 0.7 = 169.86, a
/// markup of 3/7; a markup of 30 % is 154.57. Tax of 8.25 % on 169.86 is 14.01, together 183.87.
#[test]
fn markup_and_margin_are_two_things() {
    let costs = || {
        vec![sold(
            1,
            &[(CostKind::Wood, 3_840), (CostKind::Labor, 8_050)],
        )]
    };
    let thirty = quote(costs(), &[], &marked_up("30 %")).unwrap();
    assert_eq!((thirty.cost.minor(), thirty.sum.minor()), (11_890, 15_457));
    let rules = PriceRules {
        tax: Some(Tax {
            name: "sales tax".to_owned(),
            rate: percent("8.25 %"),
            is_included: false,
        }),
        ..marked_up("42.8571 %")
    };
    let margin = quote(costs(), &[], &rules).unwrap();
    assert_eq!(margin.sum.minor(), 16_986);
    assert_eq!(margin.margin().minor() * 10, 50_960);
    assert_eq!(margin.tax.unwrap().minor(), 1_401);
    assert_eq!(margin.to_pay.minor(), 18_387);
}

/// Derived: of 119.00 with 19 % in it 100.00 are without; a price of 0.335 is 0.34, three such lines 1.02.
#[test]
fn tax_in_the_price_and_rounding_by_line() {
    let rules = PriceRules {
        tax: Some(Tax {
            name: "VAT".to_owned(),
            rate: percent("19 %"),
            is_included: true,
        }),
        ..PriceRules::default()
    };
    let one = quote(vec![sold(1, &[(CostKind::Wood, 10_000)])], &[], &rules).unwrap();
    assert_eq!((one.sum.minor(), one.net.minor()), (11_900, 10_000));
    assert_eq!(one.tax.unwrap().minor(), 1_900);
    let line = || sold(1, &[(CostKind::Wood, 67)]);
    let half = quote(vec![line(), line(), line()], &[], &marked_up("50 %")).unwrap();
    // 67 and half of it are 100.5, raised to 101; 33.5 is rounded to 34 by itself.
    assert_eq!(half.sum.minor(), 303);
}

#[test]
fn prices_are_raised_to_round_ones() {
    let to = |step, ending| PriceRules {
        rounding: Some(RoundPrice {
            step: Money::from_minor(step),
            ending: Money::from_minor(ending),
        }),
        ..PriceRules::default()
    };
    let each = |cost, rules: &PriceRules| {
        let sold = vec![sold(1, &[(CostKind::Labor, cost)])];
        quote(sold, &[], rules).unwrap().lines[0].each.minor()
    };
    for (cost, fives, nines) in [
        (0, 0, 95),
        (1, 500, 95),
        (95, 500, 95),
        (96, 500, 195),
        (500, 500, 595),
        (501, 1_000, 595),
    ] {
        assert_eq!(each(cost, &to(500, 0)), fives, "{cost}");
        assert_eq!(each(cost, &to(100, 95)), nines, "{cost}");
    }
}

#[test]
fn a_discount_is_taken_from_its_count_on() {
    let rules = PriceRules {
        discount: Some(Discount {
            from: 5,
            share: percent("10 %"),
        }),
        deposit: Some(percent("50 %")),
        ..PriceRules::default()
    };
    let of = |quantity| {
        let line = sold(quantity, &[(CostKind::Wood, 1_001 * i64::from(quantity))]);
        quote(vec![line, sold(2, &[(CostKind::Wood, 2)])], &[], &rules).unwrap()
    };
    assert_eq!(of(2).discount, None);
    let three = of(3);
    // 10 % of 30.05 is 3.005, rounded down to 3.00.
    assert_eq!(three.discount.unwrap().minor(), 300);
    assert_eq!(
        (three.net.minor(), three.deposit.unwrap().minor()),
        (2_705, 1_353)
    );
    assert_eq!(three.balance().unwrap().minor(), 1_352);
}

#[test]
fn amounts_that_do_not_fit_are_refused() {
    let large = i64::MAX / 16;
    let line = || sold(1, &[(CostKind::Wood, large)]);
    assert!(quote(vec![line()], &[], &PriceRules::default()).is_ok());
    assert_eq!(
        quote(vec![line()], &[], &marked_up("10000 %")),
        Err(TooLarge)
    );
    assert_eq!(
        quote(vec![line(), line(), line()], &[], &PriceRules::default()),
        Err(TooLarge)
    );
    let asked = [Some(Money::from_minor(i64::MAX))];
    let many = sold(200_000, &[]);
    assert_eq!(
        quote(vec![many], &asked, &PriceRules::default()),
        Err(TooLarge)
    );
}

fn some_percent(most: u32) -> impl Strategy<Value = Option<Percent>> {
    proptest::option::of((0..=most).prop_map(|tenths| Percent::from_millionths(tenths * 1_000)))
}

fn rules() -> impl Strategy<Value = PriceRules> {
    let rounding = proptest::option::of((1_i64..2_000, 0_i64..2_000)).prop_map(|to| {
        to.map(|(step, ending)| RoundPrice {
            step: Money::from_minor(step),
            ending: Money::from_minor(ending % step),
        })
    });
    let surcharges = (some_percent(300), some_percent(300), some_percent(2_000));
    let off = (0_u32..30, some_percent(999), some_percent(1_000));
    let tax = (some_percent(300), any::<bool>());
    let own = proptest::array::uniform6(some_percent(3_000));
    (surcharges, own, rounding, off, tax).prop_map(
        |((waste, overhead, usual), own, rounding, (from, share, deposit), (rate, is_included))| {
            PriceRules {
                waste,
                overhead,
                markup: Markup { usual, own },
                rounding,
                discount: share.map(|share| Discount { from, share }),
                tax: rate.map(|rate| Tax {
                    name: "tax".to_owned(),
                    rate,
                    is_included,
                }),
                deposit,
                ..PriceRules::default()
            }
        },
    )
}

fn lines() -> impl Strategy<Value = Vec<SoldCosts>> {
    let amount = prop_oneof![
        Just(0_i64),
        1_i64..100,
        0_i64..100_000,
        0_i64..1_000_000_000_000
    ];
    let costs = proptest::array::uniform6(amount);
    let line = (1_u32..40, costs).prop_map(|(quantity, costs)| {
        let kinds = CostKind::ALL.into_iter().zip(costs);
        sold(quantity, &kinds.collect::<Vec<_>>())
    });
    proptest::collection::vec(line, 1..8)
}

proptest! {
    #![proptest_config(cases!(1_000))]

    #[test]
    fn sums_of_parts_are_the_totals(rules in rules(), lines in lines()) {
        let lines: Vec<SoldCosts> = lines
            .into_iter()
            .map(|line| SoldCosts {
                costs: line.costs.with_surcharges(&rules).unwrap(),
                ..line
            })
            .collect();
        let made = quote(lines.clone(), &[], &rules).unwrap();
        let sum = |of: &dyn Fn(&Priced) -> Money| made.lines.iter().map(of).sum::<Money>();
        prop_assert_eq!(sum(&|line| line.price), made.sum);
        prop_assert_eq!(sum(&|line| line.net), made.net);
        prop_assert_eq!(sum(&|line| line.of.costs.sum()), made.cost);
        prop_assert_eq!(sum(&Priced::margin), made.margin());
        prop_assert_eq!(made.net + made.tax.unwrap_or_default(), made.to_pay);
        let is_included = rules.tax.as_ref().is_some_and(|tax| tax.is_included);
        let told = if is_included { made.to_pay } else { made.net };
        prop_assert_eq!(told + made.discount.unwrap_or_default(), made.sum);
        if let Some(balance) = made.balance() {
            prop_assert_eq!(made.deposit.unwrap() + balance, made.to_pay);
        }
        let tax = rules.tax.as_ref().filter(|tax| tax.is_included);
        let with_tax = 1_000_000 + tax.map_or(0, |tax| i128::from(tax.rate.millionths()));
        for (line, of) in made.lines.iter().zip(&lines) {
            let quantity = i128::from(of.quantity);
            prop_assert_eq!(line.price, line.each * i64::from(of.quantity));
            // Raised by less than a minor unit and a step.
            let price = i128::from(line.price.minor()) * 1_000_000;
            let wanted = i128::from(line.marked_up.minor()) * with_tax;
            let step = rules.rounding.map_or(0, |to| i128::from(to.step.minor()) - 1);
            prop_assert!(price >= wanted && price < wanted + quantity * (step + 1) * 1_000_000);
            if let Some(to) = rules.rounding {
                let beyond = line.each - to.ending;
                prop_assert_eq!(beyond.minor().rem_euclid(to.step.minor()), 0);
            }
            // Markups are on top, and each kind is off by no more than half a minor unit.
            prop_assert!(line.marked_up >= of.costs.sum());
        }
        // At the least prices the job as a whole is covered, and one minor unit less for one would not do for its line.
        let least: Vec<Option<Money>> = made.lines.iter().map(|line| line.least_each).collect();
        let covered = quote(lines, &least, &rules).unwrap();
        prop_assert!(covered.net >= covered.cost);
        let off = rules.discount.filter(|_| covered.discount.is_some());
        let left = 1_000_000 - off.map_or(0, |off| i128::from(off.share.millionths()));
        for line in &covered.lines {
            let stays = |each: i64| i128::from(each) * i128::from(line.of.quantity) * left;
            let cost = i128::from(line.of.costs.sum().minor()) * with_tax;
            prop_assert!(stays(line.each.minor()) >= cost);
            prop_assert!(cost == 0 || stays(line.each.minor() - 1) < cost);
            // The shares of what stays are off by less than two minor units.
            prop_assert!(line.covers_cost() && line.margin().minor() >= -1);
        }
    }

    #[test]
    fn waste_and_overhead_are_on_top_of_what_they_say(rules in rules(), lines in lines()) {
        for SoldCosts { costs, .. } in lines {
            let with = costs.with_surcharges(&rules).unwrap();
            let materials = costs.sum() - costs.of(CostKind::Labor) - costs.of(CostKind::Hardware);
            let near = |part: Money, percent: Option<Percent>, whole: Money| {
                let wanted = i128::from(percent.unwrap_or(Percent::ZERO).millionths());
                let off = i128::from(part.minor()) * 1_000_000 - wanted * i128::from(whole.minor());
                off.abs() <= 500_000
            };
            prop_assert!(near(with.of(CostKind::Waste), rules.waste, materials));
            let before = costs.sum() + with.of(CostKind::Waste);
            prop_assert!(near(with.of(CostKind::Overhead), rules.overhead, before));
            prop_assert_eq!(with.sum(), before + with.of(CostKind::Overhead));
        }
    }
}
