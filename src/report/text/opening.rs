//! The opening: title, what the job holds, and how good the answer is.

use crate::job::{Job, Purpose};
use crate::money::Money;
use crate::plan::{Measure, Plan, Verdict};
use crate::report::figures::{count_of, gap, percent_of_gap};
use crate::report::ink::Tone;
use crate::report::layout::{fit, one_line};
use crate::report::naming::{name_together, part_sizes};
use crate::report::table::{Align, Table};
use crate::tally::{Summary, group_missing};

use super::grain::what_it_costs;
use super::page::Page;
use super::rack::in_hand_words;

/// Columns for a name within a list of missing parts.
const NAME_WIDTH: usize = 30;

pub(super) fn write(page: &mut Page<'_>, plan: &Plan, summary: &Summary) {
    let job = &plan.job;
    write_title(page, job);
    page.space();
    write_found(page, plan, summary);
}

/// What was found, without the title.
pub(super) fn write_found(page: &mut Page<'_>, plan: &Plan, summary: &Summary) {
    let job = &plan.job;
    let (tone, word) = headline(plan);
    let word = page.ink.paint(tone, word);
    page.line(&word);
    let found = found(page, plan, summary);
    page.prose(0, Tone::Plain, &found);
    if let Some(without) = &summary.aside.without_grain {
        let text = what_it_costs(page, plan, without, ["this grain", "it"]);
        page.prose(0, Tone::Plain, &text);
    }
    if let Some(without) = &summary.aside.without_spare_offcuts {
        let wish = match job.pieces.iter().filter(|piece| piece.is_left()).count() {
            1 => ["the spare offcut", "it"],
            _ => ["spare offcuts", "them"],
        };
        let text = what_it_costs(page, plan, without, wish);
        page.prose(0, Tone::Plain, &text);
    }
    if summary.n_without_price > 0 {
        let text = format!(
            "{} without a price among them, counted as paid for.",
            count_of(summary.n_without_price, "board")
        );
        page.prose(0, Tone::Watch, &text);
    }
    if !plan.missing.is_empty() {
        write_missing(page, plan);
    }
}

/// The title, and a line on what the job holds.
pub(super) fn write_title(page: &mut Page<'_>, job: &Job) {
    let title = fit(&one_line(&job.title), page.width, page.ink);
    let title = page.ink.paint(Tone::Strong, &title);
    page.line(&title);
    let n_frames: u64 = job
        .frames
        .iter()
        .map(|frame| u64::from(frame.quantity))
        .sum();
    let n_rails: u64 = job
        .frames
        .iter()
        .map(|frame| u64::from(frame.quantity) * u64::from(frame.art.n_sides()))
        .sum();
    let count_pieces = |purpose: Purpose| -> u64 {
        let pieces = job.pieces.iter().filter(|piece| piece.purpose == purpose);
        pieces.map(|piece| u64::from(piece.quantity)).sum()
    };
    let mut holds = Vec::new();
    if n_frames > 0 {
        holds.push(count_of(n_frames, "frame"));
        holds.push(count_of(n_rails, "rail"));
    }
    for (purpose, noun) in [
        (Purpose::Wanted, "loose piece"),
        (Purpose::SpareRail, "spare rail"),
        (Purpose::SpareOffcut, "spare offcut"),
    ] {
        let count = count_pieces(purpose);
        if count > 0 {
            holds.push(count_of(count, noun));
        }
    }
    let holds = format!(
        "{}; lengths in {}",
        holds.join(", "),
        page.figures.unit_words()
    );
    page.prose(0, Tone::Faint, &holds);
}

/// The word at the top of the sheet.
fn headline(plan: &Plan) -> (Tone, &'static str) {
    match (plan.missing.is_empty(), plan.verdict) {
        (true, Verdict::Optimal) => (Tone::Good, "PROVED BEST"),
        (true, _) => (Tone::Watch, "BEST FOUND, NOT PROVED BEST"),
        (false, _) => (Tone::Bad, "NOT ALL CAN BE CUT"),
    }
}

/// What was found and what is proved of it, in sentences.
fn found(page: &Page<'_>, plan: &Plan, summary: &Summary) -> String {
    let figures = &page.figures;
    let worth = |value: i64| figures.worth(plan.measure, value);
    let n_boards = count_of(summary.n_boards, "board");
    let boards = match plan.measure {
        Measure::Price => format!("{n_boards} for {}", worth(plan.value)),
        Measure::BoardLength => format!("{n_boards}, {} end to end", worth(plan.value)),
    };
    let boards = format!("{boards}{}", where_from(page, plan, summary));
    let cuts_it = match plan.measure {
        Measure::Price => "costs less",
        Measure::BoardLength => "takes less board",
    };
    let reason = match plan.verdict {
        Verdict::Optimal => "",
        Verdict::WorkLimit => " The search ended at its own limit on work.",
        Verdict::Stopped => " The search was stopped before it ended.",
    };
    if plan.missing.is_empty() {
        return match plan.verdict {
            Verdict::Optimal => {
                format!("{boards}: no plan {cuts_it}, by a proof in whole numbers.")
            }
            _ => format!("{boards}; {}.{reason}", above_bound(plan, worth)),
        };
    }
    let missing = format!(
        "{} left without wood; all others are planned: {boards}.",
        count_of(summary.n_missing, "part")
    );
    let proved = if plan.missing_lower_bound >= summary.n_missing {
        format!(
            "No plan leaves fewer missing, by a proof in whole numbers{}",
            match plan.verdict {
                Verdict::Optimal => format!(", and none that leaves as few {cuts_it}."),
                _ => format!(
                    "; of those that leave as few, this one is {}.",
                    above_bound(plan, worth)
                ),
            }
        )
    } else {
        format!(
            "It is not proved that no plan leaves fewer missing: at least {} must be.",
            plan.missing_lower_bound
        )
    };
    format!("{missing} {proved}{reason}")
}

/// What is bought and what comes from the rack, where anything does.
fn where_from(page: &Page<'_>, plan: &Plan, summary: &Summary) -> String {
    let job = &plan.job;
    let Some(rack) = summary.rack.filter(|rack| rack.taken.count > 0) else {
        return String::new();
    };
    let n_bought = summary.n_boards - rack.taken.count;
    let money = |money: Money| page.figures.money(money);
    match plan.measure {
        Measure::Price => format!(
            " ({n_bought} bought for {}, {} {} at {})",
            money(summary.bought.unwrap_or(Money::ZERO)),
            rack.taken.count,
            in_hand_words(job),
            money(rack.taken.worth)
        ),
        Measure::BoardLength => {
            format!(
                " ({n_bought} bought, {} {})",
                rack.taken.count,
                in_hand_words(job)
            )
        }
    }
}

/// How far the plan may be above the best.
fn above_bound(plan: &Plan, worth: impl Fn(i64) -> String) -> String {
    match gap(plan.value, plan.lower_bound) {
        Some(gap) => format!(
            "at most {} above the least that is proved possible, {}",
            percent_of_gap(gap),
            worth(plan.lower_bound)
        ),
        None => "no useful bound was proved".to_owned(),
    }
}

/// The list of missing parts.
pub(super) fn write_missing(page: &mut Page<'_>, plan: &Plan) {
    let job = &plan.job;
    page.heading("Missing");
    let mut table = Table::new()
        .column("parts", Align::Right, Tone::Bad)
        .column("length", Align::Figure, Tone::Strong)
        .column("which", Align::Prose, Tone::Plain);
    for parts in group_missing(plan) {
        let names = name_together(job, &parts, NAME_WIDTH, page.ink);
        let (length, _) = part_sizes(job, parts[0]);
        table.row(vec![
            parts.len().to_string(),
            page.figures.needed(length),
            names,
        ]);
    }
    page.table(2, &table);
}
