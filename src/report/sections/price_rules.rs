//! The rules of the table `[price]` in words, for every sheet that has figures by them.

use crate::job::{CostKind, PriceRules, Work};
use crate::money::{Money, Percent};
use crate::report::document::{Line, Text, Tone, money, say, together};

/// What a kind of cost is called over its column.
pub(super) fn kind_head(kind: CostKind) -> &'static str {
    match kind {
        CostKind::Wood => "wood",
        CostKind::Mats => "mats",
        CostKind::Glazing => "glazing",
        CostKind::Backing => "backing",
        CostKind::Hardware => "hardware",
        CostKind::Labor => "labor",
        CostKind::Waste => "waste",
        CostKind::Overhead => "overhead",
    }
}

/// A rule below a table.
pub(super) fn faint(text: impl Into<Text>) -> Line {
    Line::new(Tone::Faint, text)
}

/// How labor, waste and overhead are reckoned.
pub(super) fn cost_rules(rules: &PriceRules) -> Vec<Line> {
    let labor = &rules.labor;
    let works = [
        (labor.frame, "a picture with its frame"),
        (labor.corner, "a corner"),
        (labor.window, "a window in a mat board"),
        (labor.square_foot, "a square foot of glazing"),
        (labor.square_meter, "a square meter of glazing"),
    ];
    let works = works
        .into_iter()
        .filter_map(|(work, of)| Some(say!("{} for {}", together(work_words(work?)), of)));
    let works: Vec<Text> = works.collect();
    let mut lines = Vec::new();
    if !works.is_empty() {
        let mut text = say!("Labor: {}", Text::join(works, ", "));
        if let Some(hour) = labor.hour {
            text.push(say!("; an hour is {}", money(hour)));
        }
        text.push(". Each kind of work on one picture is rounded to the nearest, half up; all copies are so many times that.");
        lines.push(faint(text));
    }
    if let Some(waste) = rules.waste {
        lines.push(faint(say!(
            "Waste: {} of wood, mats, glazing and backing, of each line rounded to the nearest, half up.",
            together(waste.to_string())
        )));
    }
    if let Some(overhead) = rules.overhead {
        lines.push(faint(say!(
            "Overhead: {} of all other costs, of each line rounded to the nearest, half up.",
            together(overhead.to_string())
        )));
    }
    lines
}

fn work_words(work: Work) -> Text {
    match work {
        Work::Money(amount) => money(amount),
        Work::Seconds(seconds) if seconds % 3_600 == 0 => say!("{} h", seconds / 3_600),
        Work::Seconds(seconds) if seconds % 60 == 0 => say!("{} min", seconds / 60),
        Work::Seconds(seconds) => say!("{} s", seconds),
    }
}

/// What is added to costs, if anything is.
pub(super) fn markup_rule(rules: &PriceRules) -> Option<Line> {
    if !rules.markup.is_said() {
        return None;
    }
    let own = CostKind::ALL.into_iter().zip(rules.markup.own);
    let own = own.filter_map(|(kind, markup)| Some((kind_head(kind), markup?)));
    let own: Vec<(&str, Percent)> = own.collect();
    let usual = if own.is_empty() { "all" } else { "all else" };
    let usual = rules.markup.usual.map(|markup| (usual, markup));
    let kinds = own.into_iter().chain(usual);
    let kinds = kinds.map(|(of, markup)| together(say!("{} {}", of, markup.to_string())));
    Some(faint(say!(
        "Markup on cost: {}; each kind of each line is rounded to the nearest, half up.",
        Text::join(kinds, ", ")
    )))
}

/// To which price one is raised then; nothing where it is not.
pub(super) fn raised_words(rules: &PriceRules) -> Text {
    let Some(rounding) = rules.rounding else {
        return Text::default();
    };
    if rounding.ending == Money::ZERO {
        say!(", then to the next multiple of {}", money(rounding.step))
    } else {
        let second = rounding.ending + rounding.step;
        say!(
            ", then to the next of {}, {} and so on",
            money(rounding.ending),
            money(second)
        )
    }
}
