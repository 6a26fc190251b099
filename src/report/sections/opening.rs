//! The opening: title, what the job holds, the answer, and how good it is.

use crate::job::{Job, Purpose};
use crate::length::Length;
use crate::money::Money;
use crate::plan::{Measure, Plan, Verdict};
use crate::report::document::{
    Block, Document, Inline, Kind, Line, Table, Text, Tone, count_of, money, name, needed, say,
    together, total, worth,
};
use crate::report::figures::gap;
use crate::report::naming::{name_together, part_sizes};
use crate::report::way_words::{gone_name, label_length, lifted};
use crate::tally::{AtBench, Kept, Summary, group_missing, price_of};

use super::grain::{in_short, what_it_costs};
use super::rack::{self, in_hand_words};
use super::sheets;

/// What was found, without the title, in the order in which one asks: what to take and what it costs, what is left, how
/// sure that is.
pub(super) fn write_found(doc: &mut Document, summary: &Summary<'_>) {
    let plan = summary.plan;
    let mut lines = Vec::new();
    if !plan.missing.is_empty() {
        let text = say!(
            "NOT ALL CAN BE CUT: {} left without wood; all others are planned.",
            count_of(summary.n_missing, "part")
        );
        lines.push(Line::new(Tone::Bad, text));
    }
    if let Some(way) = gone_name(&plan.job) {
        lines.push(Line::new(
            Tone::Plain,
            say!("Way of buying: {}.", name(&way)),
        ));
        if let Some(lifted) = lifted(&plan.job) {
            lines.push(Line::new(Tone::Watch, say!("{}.", lifted)));
        }
    }
    lines.push(Line::new(Tone::Strong, taken(summary)));
    if let Some(purchase) = purchase(plan) {
        lines.push(Line::new(Tone::Plain, purchase));
    }
    if let Some(more) = &summary.aside.beyond_bought {
        lines.push(Line::new(Tone::Watch, what_to_buy_more(more)));
    }
    if summary.n_without_price > 0 {
        let text = say!(
            "{} without a price among them, counted as paid for.",
            count_of(summary.n_without_price, "board")
        );
        lines.push(Line::new(Tone::Watch, text));
    }
    if summary.n_boards > 0 {
        lines.push(Line::new(Tone::Plain, left(summary)));
    }
    if let Some(without) = &summary.aside.without_grain {
        let text = what_it_costs(plan, without, ["this grain", "it"]);
        lines.push(Line::new(Tone::Plain, text));
    }
    if let Some(without) = &summary.aside.without_spare_offcuts {
        let pieces = plan.job.pieces.iter();
        let wish = match pieces.filter(|piece| piece.is_left()).count() {
            1 => ["the spare offcut", "it"],
            _ => ["spare offcuts", "them"],
        };
        lines.push(Line::new(Tone::Plain, what_it_costs(plan, without, wish)));
    }
    if let (Some(without), Some(longest)) = (
        &summary.aside.without_vehicle_limit,
        plan.job.buying.longest,
    ) {
        lines.push(Line::new(
            Tone::Plain,
            what_the_limit_costs(plan, without, longest),
        ));
    }
    if let Some(without) = &summary.aside.without_rack_first {
        lines.extend(rack::what_first_costs(summary, without));
    }
    lines.push(how_sure(summary));
    lines.extend(sheets::in_short(&plan.job, &summary.materials));
    doc.lines(lines);
    if !plan.missing.is_empty() {
        write_missing(doc, plan);
    }
}

/// The title, and a line on what the job holds.
pub(super) fn write_title(doc: &mut Document, job: &Job) {
    let count_frames = |is_held: bool| -> u64 {
        let frames = job.frames.iter().filter(|frame| frame.is_held() == is_held);
        frames.map(|frame| u64::from(frame.quantity)).sum()
    };
    let n_rails: u64 = job
        .frames
        .iter()
        .map(|frame| u64::from(frame.quantity) * u64::from(frame.art.n_sides()))
        .sum();
    let count_pieces = |purpose: Purpose| -> u64 {
        let pieces = job.pieces.iter().filter(|piece| piece.purpose == purpose);
        pieces.map(|piece| u64::from(piece.quantity)).sum()
    };
    let holds = [
        (count_frames(false), "frame"),
        (count_frames(true), "liner"),
        (n_rails, "rail"),
        (count_pieces(Purpose::Wanted), "loose piece"),
        (count_pieces(Purpose::Spacer), "spacer strip"),
        (count_pieces(Purpose::SpareRail), "spare rail"),
        (count_pieces(Purpose::SpareOffcut), "spare offcut"),
    ];
    let holds = holds
        .into_iter()
        .filter(|&(count, _)| count > 0)
        .map(|(count, noun)| count_of(count, noun));
    let about = say!(
        "{}; lengths in {}",
        Text::join(holds, ", "),
        Inline::UnitWords
    );
    doc.blocks.push(Block::Title(name(&job.title), Some(about)));
}

/// What was bought and what of it stays over; nothing where nothing was bought.
fn purchase(plan: &Plan) -> Option<Text> {
    let job = &plan.job;
    let lines = &job.buying.purchase.as_ref()?.lines;
    let mut paid = Money::ZERO;
    let (mut n_bought, mut over) = (0, Vec::new());
    for (board_idx, line) in lines.iter().enumerate() {
        let board = &line.board;
        let quantity = board.quantity.unwrap_or(0);
        let taken = plan.boards.iter();
        let n_taken = taken.filter(|taken| taken.board_idx == board_idx).count();
        let n_over = usize::try_from(quantity).map_or(0, |n| n.saturating_sub(n_taken));
        n_bought += u64::from(quantity);
        paid += price_of(job, board_idx).unwrap_or(Money::ZERO) * i64::from(quantity);
        if n_over > 0 {
            over.push(together(say!("{} × {}", n_over, name(&board.name))));
        }
    }
    let paid = (plan.measure == Measure::Price).then(|| say!(", {} paid", money(paid)));
    let over = if over.is_empty() {
        "all are used".into()
    } else {
        say!("over, whole, for the rack: {}", Text::join(over, ", "))
    };
    Some(say!(
        "Bought: {}{}; {}.",
        count_of(n_bought, "board"),
        paid,
        over
    ))
}

/// Boards that a plan takes and that are not in hand: how many of each, by name.
pub(super) fn boards_to_buy(summary: &Summary<'_>) -> Vec<Text> {
    let boards = &summary.plan.job.boards;
    let lines = summary.taken.iter();
    lines
        .filter(|line| boards[line.board_idx].in_hand.is_none())
        .map(|line| {
            together(say!(
                "{} × {}",
                line.count,
                name(&boards[line.board_idx].name)
            ))
        })
        .collect()
}

/// What is still to be bought so that as few parts as can be are missing.
fn what_to_buy_more(more: &Plan) -> Text {
    let summary = Summary::new(more);
    let lines = boards_to_buy(&summary);
    if lines.is_empty() {
        return "No board on sale would help.".into();
    }
    let cost = summary.bought.map(|cost| say!(" for {}", money(cost)));
    let then = match summary.n_missing {
        0 => "then no part is missing".into(),
        n => say!("then {} still missing", count_of(n, "part")),
    };
    let proof = match more.verdict {
        Verdict::Optimal => "proved best",
        _ => "not proved best",
    };
    say!(
        "To buy still: {}{}; {} ({}).",
        Text::join(lines, ", "),
        cost,
        then,
        proof
    )
}

/// What the vehicle's limit costs beside a plan for one that takes boards of any length, and what is proved of that.
fn what_the_limit_costs(plan: &Plan, without: &Plan, longest: Length) -> Text {
    let n_missing = |plan: &Plan| plan.missing.len();
    let (left, free) = (n_missing(plan), n_missing(without));
    let effect = if left > free {
        let more = u64::try_from(left - free).expect("a count in memory fits 64 bits");
        say!("leaves {} without wood", count_of(more, "part"))
    } else if plan.value == without.value {
        "adds nothing to the cost".into()
    } else {
        say!("adds {}", worth(plan.measure, plan.value - without.value))
    };
    say!(
        "The vehicle's limit of {} {}: without it {}.",
        label_length(&plan.job, longest),
        effect,
        in_short(without)
    )
}

/// What to take, and what it costs.
fn taken(summary: &Summary<'_>) -> Text {
    let plan = summary.plan;
    if plan.job.is_later_sheet() {
        return cut_from(summary);
    }
    let n_boards = count_of(summary.n_boards, "board");
    let value = worth(plan.measure, plan.value);
    match plan.measure {
        Measure::Price => say!("{} for {}{}.", n_boards, value, where_from(summary)),
        Measure::BoardLength => {
            say!("{}, {} end to end{}.", n_boards, value, where_from(summary))
        }
    }
}

/// What a later sheet of a job takes: boards of the sheets before, of which several strips may be taken, what was left of them or
/// cut before, what lies on the rack, and what is still to be bought.
fn cut_from(summary: &Summary<'_>) -> Text {
    let plan = summary.plan;
    let AtBench {
        boards,
        strips,
        pieces,
        on_rack,
        new,
    } = AtBench::of(plan);
    let them = if boards == 1 { "it" } else { "them" };
    let of_strips = (strips > 0).then(|| say!(" ({} of {})", count_of(strips, "strip"), them));
    let counts = [
        (boards, "board paid for", "boards paid for", of_strips),
        (pieces, "piece at the bench", "pieces at the bench", None),
        (on_rack, "piece of the rack", "pieces of the rack", None),
        (new, "new board", "new boards", None),
    ];
    let counts = counts.into_iter().filter(|&(count, ..)| count > 0);
    let counts = counts.map(|(count, one, many, more)| {
        let what = if count == 1 { one } else { many };
        say!("{} {}{}", count, what, more)
    });
    let counts: Vec<Text> = counts.collect();
    if counts.is_empty() {
        return "Nothing is cut anew.".into();
    }
    let to_pay = (plan.measure == Measure::Price && new > 0)
        .then(|| say!("; {} to pay", money(summary.bought.unwrap_or(Money::ZERO))));
    let worth = summary.rack.map(|rack| rack.taken.worth);
    let worth = worth.filter(|&worth| worth > Money::ZERO && plan.measure == Measure::Price);
    let worth = worth.map(|worth| say!("; what is taken from the rack is worth {}", money(worth)));
    say!("Cut from {}{}{}.", Text::join(counts, ", "), to_pay, worth)
}

/// What is left to keep.
fn left(summary: &Summary<'_>) -> Text {
    let n_kept = summary.kept.iter().map(Kept::count).sum();
    if n_kept == 0 {
        return "Left to keep: nothing that is long enough.".into();
    }
    // Pieces of all widths have no sensible length together.
    let length = summary.face.is_none().then(|| {
        let end_to_end = if n_kept > 1 { " end to end" } else { "" };
        say!(", {}{}", total(summary.wood.kept), end_to_end)
    });
    say!("Left to keep: {}{}.", count_of(n_kept, "offcut"), length)
}

/// What is proved, in one line.
fn how_sure(summary: &Summary<'_>) -> Line {
    let plan = summary.plan;
    let cuts_it = match plan.measure {
        Measure::Price => "costs less",
        Measure::BoardLength => "takes less board",
    };
    let reason = match plan.verdict {
        Verdict::Optimal => "",
        Verdict::WorkLimit => " The search ended at its own limit on work.",
        Verdict::Stopped => " The search was stopped before it ended.",
    };
    let in_this_way = plan.job.buying.gone.is_some().then_some(" in this way");
    if plan.missing.is_empty() {
        return match plan.verdict {
            Verdict::Optimal => Line::new(
                Tone::Good,
                say!(
                    "PROVED BEST: no plan{} {} (proved in exact arithmetic).",
                    in_this_way,
                    cuts_it
                ),
            ),
            _ => Line::new(
                Tone::Watch,
                say!(
                    "BEST FOUND, NOT PROVED BEST: {}.{}",
                    above_bound(plan),
                    reason
                ),
            ),
        };
    }
    if plan.missing_lower_bound < summary.n_missing {
        let text = say!(
            "It is not proved that no plan{} leaves fewer missing: at least {} must be.{}",
            in_this_way,
            plan.missing_lower_bound,
            reason
        );
        return Line::new(Tone::Watch, text);
    }
    let text = match plan.verdict {
        Verdict::Optimal => say!(
            "No plan{} leaves fewer missing, and none that leaves as few {} (proved in exact arithmetic).",
            in_this_way,
            cuts_it
        ),
        _ => say!(
            "No plan{} leaves fewer missing (proved in exact arithmetic); of those that leave as few, this one is {}.{}",
            in_this_way,
            above_bound(plan),
            reason
        ),
    };
    Line::new(Tone::Plain, text)
}

/// What is bought and what comes from the rack, where anything does.
fn where_from(summary: &Summary<'_>) -> Text {
    let Some(rack) = summary.rack.filter(|rack| rack.taken.count > 0) else {
        return Text::default();
    };
    let job = &summary.plan.job;
    if job.buying.purchase.is_some() {
        let taken = summary.taken.iter();
        let taken = taken.filter(|line| job.boards[line.board_idx].is_from_rack());
        return match taken.map(|line| line.count).sum::<u64>() {
            0 => Text::default(),
            n => say!(" ({} of them from the rack)", n),
        };
    }
    let n_bought = summary.n_boards - rack.taken.count;
    let in_hand = in_hand_words(job, rack.taken.count);
    let bought = match (n_bought, summary.plan.measure) {
        (0, _) => "none to buy".into(),
        (_, Measure::BoardLength) => say!("{} to buy", n_bought),
        (_, Measure::Price) => {
            let paid = money(summary.bought.unwrap_or(Money::ZERO));
            say!("{} to buy for {}", n_bought, paid)
        }
    };
    match summary.plan.measure {
        // Wood in hand that counts nothing has no worth to tell.
        Measure::Price if rack.taken.worth > Money::ZERO => say!(
            " ({}; {} {}, worth {})",
            bought,
            rack.taken.count,
            in_hand,
            money(rack.taken.worth)
        ),
        Measure::Price | Measure::BoardLength => {
            say!(" ({}; {} {})", bought, rack.taken.count, in_hand)
        }
    }
}

/// How far the plan may be above the best.
fn above_bound(plan: &Plan) -> Text {
    match gap(plan.value, plan.lower_bound) {
        Some(gap) => say!(
            "at most {} above {}, which no plan can beat",
            Inline::Gap(gap),
            worth(plan.measure, plan.lower_bound)
        ),
        None => "no useful bound was proved".into(),
    }
}

/// The list of missing parts.
pub(super) fn write_missing(doc: &mut Document, plan: &Plan) {
    doc.heading("missing", "Missing");
    let mut table = Table::new()
        .column("parts", Kind::Number, Tone::Bad)
        .column("length", Kind::Length, Tone::Strong)
        .column("which", Kind::Prose, Tone::Plain);
    for parts in group_missing(plan) {
        let (length, _) = part_sizes(&plan.job, parts[0]);
        table.row(vec![
            parts.len().into(),
            needed(length),
            name_together(&plan.job, &parts),
        ]);
    }
    doc.table(table);
}
