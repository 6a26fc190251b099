//! The list to buy by for a phone or a pocket: plain text, no wider than a narrow screen.

use crate::compare::{Exchange, YardLine, yard_list};
use crate::diag::{TIED, tie_mixed_numbers};
use crate::length::{Rounding, exact_text, format};
use crate::money::Money;
use crate::plan::sheets::MaterialPlan;
use crate::plan::{Measure, Plan, Verdict};
use crate::report::document::{Text, count_of, needed_with_unit, one_line, say};
use crate::tally::{Summary, price_of, unplanned_sheets};

use super::hardware_words::unserved_words;
use super::naming::cuts_to_order;
use super::other_needs::{sheets_in_hand, stated_needs};
use super::sections::material_name;
use super::way_words::{label_length, lifted};

/// Columns of a phone held upright.
const WIDTH: usize = 40;

/// What a list to buy by is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purchase<'a> {
    /// All that a plan buys.
    All,
    /// What is still to be bought beside what was.
    Still,
    /// A way of buying, by what it is called.
    Way(&'a str),
}

/// What a plan buys, each kind of board with the least length that will do and what may stand in for it, and what comes from
/// the rack, boards and sheets; then sheets and hardware as the job says that they are sold, what it says nothing of, and what none of it serves. No line is wider than 40 characters.
///
/// # Panics
/// If an exchange is not of `plan`, or what is cut from sheets is not of its job.
pub fn pocket_text(
    plan: &Plan,
    what: Purchase<'_>,
    exchanges: &[Exchange],
    materials: &[MaterialPlan],
) -> String {
    let job = &plan.job;
    let mut page = Page::default();
    page.say("", &one_line(&job.title));
    let summary = Summary::new(plan);
    let (rack, bought): (Vec<YardLine>, Vec<YardLine>) =
        yard_list(plan).into_iter().partition(|line| line.is_rack);
    let money = |money| job.display.currency.format(money);
    let to_pay = summary.bought.filter(|_| !bought.is_empty());
    let to_buy = |words: &str| match to_pay {
        Some(all) => Some(format!("{words}: {}", money(all))),
        None => (!bought.is_empty()).then(|| words.to_owned()),
    };
    let head = match what {
        Purchase::All => to_buy("To buy"),
        Purchase::Still => to_buy("To buy still"),
        Purchase::Way(way) => Some(match to_pay {
            Some(all) => format!("{way}: {} to pay", money(all)),
            None => way.to_owned(),
        }),
    };
    page.say("", head.as_deref().unwrap_or("No boards to buy"));
    // By this the ways are compared.
    if let (Purchase::Way(_), Some(all), Some(worth)) = (what, to_pay, worth_in_hand(plan)) {
        let both = money(all + worth);
        page.say("", &format!("({both} with wood in hand)"));
    }
    if let (Purchase::Way(_), Some(lifted)) = (what, lifted(&plan.job)) {
        page.say("", lifted);
    }
    if !plan.missing.is_empty() {
        let n_missing = plan.missing.len();
        page.say("", &format!("PARTS WITHOUT WOOD: {n_missing}"));
    }
    page.gap();
    if bought.is_empty() {
        page.say("", "Nothing is to be bought.");
    }
    for line in &bought {
        let board = &job.boards[line.board_idx];
        let name = one_line(&board.name);
        // The mark of a board of a tally says which it is; all others are told by their length.
        let label = label_length(job, board.length);
        let label = if name.contains(&label) {
            String::new()
        } else {
            format!(", {label}")
        };
        page.say("[ ] ", &format!("{} x {name}{label}", line.count));
        page.say("    ", &format!("at least {}", at_least(plan, line)));
        let mut taken = summary.taken.iter();
        let taken = taken.find(|taken| taken.board_idx == line.board_idx);
        if let Some(order) = taken.and_then(|taken| cuts_to_order(job, taken)) {
            page.say("    ", &order);
        }
        let mut found = exchanges.iter();
        if let Some(exchange) = found.find(|found| found.board_idx == line.board_idx) {
            page.say("    ", &format!("none left: {}", instead(plan, exchange)));
        }
    }
    let words = |text: &Text| text.plain(&job.display, one_line);
    say_in_hand(&mut page, plan, &rack, materials);
    let needs = stated_needs(job, materials);
    let unplanned = unplanned_sheets(job);
    let unserved = unserved_words(job);
    if !needs.is_empty() || !unplanned.is_empty() || !unserved.is_empty() {
        let prices = || needs.iter().filter_map(|need| need.money);
        let for_all = prices()
            .next()
            .map_or_else(String::new, |_| format!(": {}", money(prices().sum())));
        page.gap();
        page.say("", &format!("Besides boards{for_all}"));
        for need in &needs {
            let (what, how_much) = (words(&need.what), words(&need.how_much));
            page.say("[ ] ", &format!("{what}: {how_much}"));
        }
        for of in &unplanned {
            let (width, height) = of.largest;
            let text = say!(
                "{}: for {}, the largest {} × {}; no size of sheet is stated",
                material_name(&of.key),
                count_of(of.count, "piece"),
                needed_with_unit(width),
                needed_with_unit(height)
            );
            page.say("[ ] ", &words(&text));
        }
        for text in &unserved {
            page.say("", &words(text));
        }
        if let Some(boards) = summary.bought
            && prices().next().is_some()
        {
            page.gap();
            page.say(
                "",
                &format!("In all: {}", money(prices().sum::<Money>() + boards)),
            );
        }
    }
    page.text
}

/// What is taken from the rack, with what the boards are worth: boards, then sheets.
fn say_in_hand(page: &mut Page, plan: &Plan, rack: &[YardLine], materials: &[MaterialPlan]) {
    let job = &plan.job;
    if !rack.is_empty() {
        page.gap();
        let worth = worth_in_hand(plan).map_or_else(String::new, |worth| {
            format!(", worth {}", job.display.currency.format(worth))
        });
        page.say("", &format!("In hand{worth}:"));
        for line in rack {
            let name = one_line(&job.boards[line.board_idx].name);
            page.say("[ ] ", &format!("{} x {name}", line.count));
        }
    }
    let sheets = sheets_in_hand(job, materials);
    if !sheets.is_empty() {
        page.gap();
        page.say("", "Sheets in hand:");
        for of in &sheets {
            let what = of.what.plain(&job.display, one_line);
            let label = one_line(&of.label);
            page.say("[ ] ", &format!("{} x {label}: {what}", of.count));
        }
    }
}

/// The length that will do, rounded up to the job's step as far as the label goes.
pub(crate) fn at_least(plan: &Plan, line: &YardLine) -> String {
    let display = &plan.job.display;
    let label = plan.job.boards[line.board_idx].length;
    let needed = label - line.may_be_short;
    if needed.rounded(display.step, Rounding::Up) >= label {
        return exact_text(label, display.unit);
    }
    format(needed, display.unit, display.step, Rounding::Up)
}

/// What to take where a kind of board is not there, and what that costs more.
pub(crate) fn instead(plan: &Plan, exchange: &Exchange) -> String {
    let (job, other) = (&plan.job, &exchange.plan);
    let count = |plan: &Plan, idx: usize| {
        let boards = plan.boards.iter();
        boards.filter(|board| board.board_idx == idx).count()
    };
    let summary = Summary::new(other);
    let (mut more, mut less) = (Vec::new(), Vec::new());
    for (idx, board) in job.boards.iter().enumerate() {
        if idx == exchange.board_idx {
            continue;
        }
        let (now, then) = (count(plan, idx), count(other, idx));
        let name = one_line(&board.name);
        if then > now {
            let mut taken = summary.taken.iter();
            let taken = taken.find(|taken| taken.board_idx == idx);
            let order = taken.and_then(|taken| cuts_to_order(job, taken));
            let order = order.map_or_else(String::new, |order| format!(" ({order})"));
            more.push(format!("{} x {name}{order}", then - now));
        } else if then < now {
            less.push(format!("{} x {name}", now - then));
        }
    }
    let mut words = Vec::new();
    if !more.is_empty() {
        words.push(format!("take {}", more.join(", ")));
    }
    if !less.is_empty() {
        words.push(format!("leave {}", less.join(", ")));
    }
    let (n_now, n_then) = (plan.missing.len(), other.missing.len());
    let parts = |count: usize| match count {
        1 => "1 part".to_owned(),
        _ => format!("{count} parts"),
    };
    if n_then > n_now {
        words.push(match other.missing_lower_bound {
            bound if u64::try_from(n_then) == Ok(bound) => format!("{} missing", parts(n_then)),
            _ => format!("at most {} missing", parts(n_then)),
        });
    } else if other.measure == plan.measure {
        words.push(difference(plan, other));
    }
    words.join("; ")
}

/// What is to be paid for a plan, where it is counted in money: wood in hand costs nothing more.
fn to_pay(plan: &Plan) -> i64 {
    if plan.measure == Measure::BoardLength {
        return plan.value;
    }
    let boards = plan.boards.iter().map(|board| board.board_idx);
    let bought = boards.filter(|&idx| plan.job.boards[idx].in_hand.is_none());
    let paid = bought.filter_map(|idx| price_of(&plan.job, idx));
    paid.map(Money::minor).sum()
}

/// What the wood in hand that a plan takes counts; `None` where that is nothing.
pub(crate) fn worth_in_hand(plan: &Plan) -> Option<Money> {
    let worth = plan.value - to_pay(plan);
    (worth > 0).then(|| Money::from_minor(worth))
}

/// How much more another plan comes to, as far as that is proved, as `buy` counts it; where it takes other wood in hand, what of it
/// is paid at the yard.
fn difference(plan: &Plan, other: &Plan) -> String {
    let display = &plan.job.display;
    let more = other.value - plan.value;
    let to_pay_more = to_pay(other) - to_pay(plan);
    let in_hand_more = more - to_pay_more;
    let is_best = |plan: &Plan| plan.verdict == Verdict::Optimal;
    let hedge = match (is_best(plan), is_best(other)) {
        (true, true) => "",
        (true, false) => "at most ",
        (false, _) => "about ",
    };
    let amount = |value: i64| plan.measure.text(display, value);
    let told = |more: i64| match more {
        0 => "the same cost".to_owned(),
        1.. => format!("{} more", amount(more)),
        _ => format!("{} less", amount(-more)),
    };
    if in_hand_more == 0 {
        return format!("{hedge}{}", told(more));
    }
    let to_pay = match to_pay_more {
        0 => "as much to pay".to_owned(),
        more => format!("{} to pay", told(more)),
    };
    format!(
        "{to_pay}, {} in wood in hand: {hedge}{} in all",
        told(in_hand_more),
        told(more)
    )
}

/// A page under way.
#[derive(Default)]
struct Page {
    text: String,
}

impl Page {
    /// Adds a paragraph behind `first` in its first line, in which words are kept whole as far as they fit.
    fn say(&mut self, first: &str, words: &str) {
        let indent = " ".repeat(first.chars().count());
        let mut line = first.to_owned();
        let mut is_empty = true;
        let words = tie_mixed_numbers(words);
        for word in words.split(' ').filter(|word| !word.is_empty()) {
            let mut word: Vec<char> = word.replace(TIED, " ").chars().collect();
            let room = |line: &str| WIDTH.saturating_sub(line.chars().count());
            if !is_empty && word.len() + 1 > room(&line) {
                self.end(&mut line, &indent);
                is_empty = true;
            }
            if !is_empty {
                line.push(' ');
            }
            while word.len() > room(&line) {
                let rest = word.split_off(room(&line));
                line.extend(word);
                self.end(&mut line, &indent);
                word = rest;
            }
            line.extend(word);
            is_empty = false;
        }
        self.end(&mut line, "");
    }

    fn end(&mut self, line: &mut String, next: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
        next.clone_into(line);
    }

    fn gap(&mut self) {
        self.text.push('\n');
    }
}
