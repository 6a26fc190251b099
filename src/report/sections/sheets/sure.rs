//! How many pieces of a material are on how many sheets, and how sure it is that no plan is better.

use crate::money::Money;
use crate::plan::Verdict;
use crate::plan::sheets::Among;
use crate::report::document::{Inline, Line, Text, Tone, count_of, money, say};
use crate::report::figures::gap;
use crate::sheets::job::Stages;
use crate::tally::MaterialTally;

use super::{count, n_bought, not_all};

/// What was found, in the order in which one asks.
pub(super) fn found(tally: &MaterialTally<'_>) -> Vec<Line> {
    let plan = tally.plan;
    let mut lines: Vec<Line> = not_all(plan.missing.len()).into_iter().collect();
    let n_bought = n_bought(tally);
    let n_in_hand = tally.n_sheets() - n_bought - tally.n_fallout;
    let mut parts = vec![match tally.bought {
        Some(price) => say!(
            "{} to buy for {}",
            count_of(n_bought, "sheet"),
            money(price)
        ),
        None => say!("{} to buy", count_of(n_bought, "sheet")),
    }];
    if n_in_hand > 0 {
        let worth = (tally.worth_in_hand > Money::ZERO)
            .then(|| say!(", worth {}", money(tally.worth_in_hand)));
        parts.push(say!("{} from the rack{}", n_in_hand, worth));
    }
    if tally.n_fallout > 0 {
        parts.push(match tally.n_fallout {
            1 => "1 that drops out of a window".into(),
            several => say!("{} that drop out of windows", several),
        });
    }
    let text = say!(
        "{}, for {}.",
        Text::join(parts, ", "),
        count_of(count(plan.n_pieces()), "piece")
    );
    lines.push(Line::new(Tone::Strong, text));
    lines.push(how_sure(tally));
    lines
}

/// What is proved, in one line.
fn how_sure(tally: &MaterialTally<'_>) -> Line {
    let plan = tally.plan;
    let costs_less = if tally.bought.is_some() {
        "costs less"
    } else {
        "takes less of it"
    };
    let reason = match plan.verdict {
        Verdict::Optimal => "",
        Verdict::WorkLimit => " The search ended at its own limit on work.",
        Verdict::Stopped => " The search was stopped before it ended.",
    };
    let is_fewest = plan.missing_lower_bound == count(plan.missing.len());
    let is_best_without = plan.verdict == Verdict::Optimal && plan.lacks_fallout(&tally.material);
    if plan.stages() == Stages::Three && !is_best_without {
        return in_three(tally, costs_less, reason);
    }
    match plan.verdict {
        Verdict::Optimal if is_best_without => Line::new(
            Tone::Watch,
            say!(
                "As sheets are too few for all mats, none is cut from what drops out of windows. Of such plans in two stages of cuts \
                 none leaves fewer missing, and none that leaves as few {} (proved in exact arithmetic); with it there may be a \
                 better one: take out what is missing, and plan again.",
                costs_less
            ),
        ),
        Verdict::Optimal if plan.missing.is_empty() => Line::new(
            Tone::Good,
            say!(
                "PROVED BEST: no plan in two stages of cuts {} (proved in exact arithmetic).{}",
                costs_less,
                if plan.any_cuts {
                    " Nor does any in three stages or more: the face of the pieces alone asks for as much."
                } else if plan.best_among(&tally.material) >= Some(Among::ThreeStages) {
                    " Nor does any in three stages."
                } else if tally.material.cutting.third_cuts {
                    " With third cuts none was found either; that there is none is not proved."
                } else {
                    ""
                }
            ),
        ),
        Verdict::Optimal => Line::new(
            Tone::Plain,
            say!(
                "In two stages of cuts no plan leaves fewer missing, and none that leaves as few {} (proved in exact arithmetic).",
                costs_less
            ),
        ),
        _ if !is_fewest => Line::new(
            Tone::Watch,
            say!(
                "It is not proved that no plan leaves fewer missing: at least {} must be.{}",
                plan.missing_lower_bound,
                reason
            ),
        ),
        _ => {
            let above = match (gap(plan.value, plan.lower_bound), tally.bought) {
                (Some(gap), Some(_)) => say!(
                    "at most {} above {}, which no plan in two stages of cuts can beat",
                    Inline::Gap(gap),
                    money(Money::from_minor(plan.lower_bound))
                ),
                (Some(gap), None) => say!(
                    "at most {} more sheet than some plan in two stages of cuts takes",
                    Inline::Gap(gap)
                ),
                (None, _) => "no useful bound was proved".into(),
            };
            Line::new(
                Tone::Watch,
                say!("BEST FOUND, NOT PROVED BEST: {}.{}", above, reason),
            )
        }
    }
}

/// What is proved of a plan in three stages.
fn in_three(tally: &MaterialTally<'_>, costs_less: &str, reason: &str) -> Line {
    let plan = tally.plan;
    let in_two = match tally.bought {
        Some(_) => say!(
            " In two stages of cuts no plan costs less than {} (proved in exact arithmetic).",
            money(Money::from_minor(plan.lower_bound))
        ),
        None if plan.lower_bound > plan.value => {
            " In two stages of cuts no plan takes as little (proved in exact arithmetic).".into()
        }
        None => Text::default(),
    };
    if plan.verdict == Verdict::Optimal && !plan.missing.is_empty() {
        // What is missing fits no sheet.
        let text = say!(
            "With third cuts no plan leaves fewer missing, and none that leaves as few {} in three stages of cuts (proved in exact \
             arithmetic).",
            costs_less
        );
        return Line::new(Tone::Plain, text);
    }
    if plan.verdict == Verdict::Optimal {
        let why = if plan.any_cuts {
            ", in however many stages of cuts, as the face of the pieces alone asks for as much."
        } else {
            " in three stages of cuts (proved in exact arithmetic)."
        };
        let text = say!(
            "PROVED BEST, with third cuts: no plan {}{}{}",
            costs_less,
            why,
            in_two
        );
        return Line::new(Tone::Good, text);
    }
    let bound = plan.lower_bound_in_three();
    let in_three = (bound > 0 && tally.bought.is_some()).then(|| {
        let bound = money(Money::from_minor(bound));
        say!(" In three none costs less than {} (proved as well).", bound)
    });
    let text = say!(
        "BEST FOUND WITH THIRD CUTS, NOT PROVED BEST.{}{}{}",
        in_two,
        in_three,
        reason
    );
    Line::new(Tone::Watch, text)
}
