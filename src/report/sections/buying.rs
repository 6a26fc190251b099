//! The lists to buy by: boards at the yard, everything else, and what each frame comes to.

use std::collections::{BTreeMap, BTreeSet};

use crate::compare::{
    PaidBefore, Row, YardLine, share_boards, share_paid_before, share_sheets, yard_list,
};
use crate::job::{Job, Line};
use crate::length::Length;
use crate::money::Money;
use crate::plan::PlannedBoard;
use crate::plan::sheets::MaterialPlan;
use crate::report::document::{
    Document, Inline, Kind, Line as SetLine, Table, Text, Tone, amount, count_of, name, say, there,
    there_with_unit,
};
use crate::report::figures::in_board_feet;
use crate::report::hardware_words;
use crate::report::naming::order_note;
use crate::report::other_needs::{SheetsInHand, other_needs, sheets_in_hand};
use crate::report::way_words::{label_length, line_name, sold_size};
use crate::stations::hardware;
use crate::stock::{Board, BoardFeet};
use crate::tally::{Summary, Taken};

/// The boards of a way in the words of a yard, and what it takes from the rack: boards, then sheets.
pub(super) fn write_yard_list(
    doc: &mut Document,
    row: &Row,
    way: &Text,
    materials: &[MaterialPlan],
) {
    let lines = yard_list(&row.plan);
    let summary = Summary::new(&row.plan);
    let (rack, bought): (Vec<YardLine>, Vec<YardLine>) =
        lines.into_iter().partition(|line| line.is_rack);
    let has_bought = row.job.boards.iter().any(Board::is_bought);
    let in_hand = if has_bought {
        "In hand"
    } else {
        "From the rack"
    };
    for (id, from, lines) in [
        ("yard", "At the yard", &bought),
        ("from-rack", in_hand, &rack),
    ] {
        if !lines.is_empty() {
            doc.heading(id, say!("{}, {}", from, way.clone()));
            doc.table(boards_table(row, &summary, lines));
        }
    }
    if has_bought && !rack.is_empty() {
        doc.line(
            Tone::Faint,
            "What was bought before counts nothing here, so these may be more or others than are cut: `plan` weighs what \
             their wood is worth, and says which stay whole.",
        );
    }
    let sheets = sheets_in_hand(&row.job, materials);
    if !sheets.is_empty() {
        doc.heading("sheets-from-rack", "Sheets from the rack");
        doc.table(sheets_table(&row.job, sheets));
    }
    if row.plan.boards.iter().any(PlannedBoard::is_cut_at_yard) {
        doc.line(
            Tone::Faint,
            "Have them cut as the plan says that you will cut by: another of the same cost may have other places.",
        );
    }
    if !(bought.is_empty() && rack.is_empty()) {
        doc.line(
            Tone::Faint,
            "Can be short by: every board of the kind may be this much shorter than its label and still give all its parts.",
        );
    }
}

/// Some boards to take, with their sum.
fn boards_table(row: &Row, summary: &Summary<'_>, lines: &[YardLine]) -> Table {
    let job = &row.job;
    let mut table = Table::new()
        .column("take", Kind::Number, Tone::Strong)
        .column("board", Kind::Name, Tone::Strong)
        .column("size", Kind::Words, Tone::Plain)
        .column("length", Kind::Number, Tone::Strong)
        .column("bd ft", Kind::Number, Tone::Plain)
        .column(money_head(job), Kind::Number, Tone::Plain)
        .column("can be short by", Kind::Length, Tone::Watch);
    let taken: Vec<&Taken> = lines
        .iter()
        .map(|line| {
            let mut taken = summary.taken.iter();
            taken
                .find(|taken| taken.board_idx == line.board_idx)
                .expect("the summary counts every board of the plan")
        })
        .collect();
    let told = in_board_feet(job);
    let in_feet = |taken: &Taken| taken.board_feet.filter(|_| told).map(|feet| feet.exact);
    for (line, taken) in lines.iter().zip(&taken) {
        let board = &job.boards[line.board_idx];
        table.row(vec![
            line.count.into(),
            name(&board.name),
            sold_size(job, board).into(),
            match &board.in_hand {
                // No yard has a name for it, and its own may be any number of nanometers.
                Some(_) => there_with_unit(board.length),
                None => label_length(job, board.length).into(),
            },
            in_feet(taken).map(Inline::BoardFeet).into(),
            taken.price().map(amount).into(),
            if line.may_be_short == Length::ZERO {
                "nothing".into()
            } else {
                there(line.may_be_short)
            },
        ]);
        if let Some(order) = order_note(job, taken) {
            table.note(Tone::Watch, order);
        }
    }
    if lines.len() > 1 {
        let n_boards: u64 = lines.iter().map(|line| line.count).sum();
        let feet = taken.iter().try_fold(BoardFeet::ZERO, |sum, taken| {
            sum.checked_add(in_feet(taken)?)
        });
        let money = taken.iter().filter_map(|taken| taken.price());
        let has_money = taken.iter().any(|taken| taken.price_each.is_some());
        table.total(vec![
            n_boards.into(),
            "in all".into(),
            Text::default(),
            Text::default(),
            feet.filter(|_| told).map(Inline::BoardFeet).into(),
            has_money.then(|| amount(money.sum())).into(),
            Text::default(),
        ]);
    }
    table
}

/// Sheets to take from the rack.
fn sheets_table(job: &Job, sheets: Vec<SheetsInHand>) -> Table {
    let mut table = Table::new()
        .column("take", Kind::Number, Tone::Strong)
        .column("sheet", Kind::Name, Tone::Strong)
        .column("of", Kind::Prose, Tone::Plain)
        .column(money_head(job), Kind::Number, Tone::Plain);
    for of in sheets {
        table.row(vec![
            of.count.into(),
            name(&of.label),
            of.what,
            of.worth.map(amount).into(),
        ]);
    }
    table
}

/// The head of a column of amounts.
pub(super) fn money_head(job: &Job) -> Text {
    if name(&job.display.currency.code) == name("") {
        "money".into()
    } else {
        Inline::Currency.into()
    }
}

/// All that is to be bought: the boards of a row, and everything else.
pub(super) fn write_needs(doc: &mut Document, row: &Row, materials: &[MaterialPlan]) {
    let job = &row.job;
    let needs = other_needs(job, materials);
    doc.heading("needs", "For the whole job");
    let mut table = Table::new()
        .column("what", Kind::Name, Tone::Strong)
        .column("how much", Kind::Prose, Tone::Plain)
        .column(money_head(job), Kind::Number, Tone::Plain);
    let summary = Summary::new(&row.plan);
    let is_bought = |taken: &&Taken| job.boards[taken.board_idx].in_hand.is_none();
    let n_bought = summary
        .taken
        .iter()
        .filter(is_bought)
        .map(|taken| taken.count);
    table.row(vec![
        "wood".into(),
        count_of(n_bought.sum(), "board"),
        summary.bought.map(amount).into(),
    ]);
    table.note(Tone::Faint, "as listed for the yard");
    for need in &needs {
        table.row(vec![
            need.what.clone(),
            need.how_much.clone(),
            need.money.map(amount).into(),
        ]);
        table.note(Tone::Faint, need.rule.clone());
        if let Some(cuts) = &need.cuts {
            table.note(Tone::Plain, cuts.clone());
        }
    }
    let prices = || {
        let needs = needs.iter().filter_map(|need| need.money);
        needs.chain(summary.bought)
    };
    if prices().count() > 1 {
        table.total(vec![
            "what has a price".into(),
            Text::default(),
            amount(prices().sum()),
        ]);
    }
    doc.table(table);
    for lacking in &hardware(job).lacking {
        doc.line(Tone::Watch, hardware_words::lacking_words(job, lacking));
    }
    doc.lines(
        hardware_words::fasteners_not_listed(job)
            .into_iter()
            .map(|text| SetLine::new(Tone::Plain, text))
            .collect(),
    );
    doc.line(
        Tone::Faint,
        "All but wood and sheets follows the simple rule stated below it: enough to buy by, but not proved to be the least.",
    );
}

/// What the boards and sheets of each frame cost.
pub(super) fn write_shares(doc: &mut Document, row: &Row, materials: &[MaterialPlan]) {
    let Some(boards) = share_boards(&row.plan) else {
        return;
    };
    let sheets = share_sheets(&row.job, materials);
    let paid = share_paid_before(&row.plan);
    doc.heading("shares", "Cost by frame: the cheapest way");
    let mut table = Table::new()
        .column("frame or piece", Kind::Name, Tone::Strong)
        .column("how many", Kind::Number, Tone::Plain)
        .column("boards", Kind::Number, Tone::Plain)
        .column("sheets", Kind::Number, Tone::Plain)
        .column("hardware", Kind::Number, Tone::Plain)
        .column("for all", Kind::Number, Tone::Strong)
        .column("for one, about", Kind::Number, Tone::Plain)
        .column("paid before", Kind::Number, Tone::Faint);
    let hardware = hardware(&row.job).shares();
    let lines = boards.keys().chain(sheets.keys()).chain(hardware.keys());
    let lines: BTreeSet<Line> = lines.copied().collect();
    let of =
        |shares: &BTreeMap<Line, Money>, line: Line| shares.get(&line).copied().unwrap_or_default();
    let shown = |money: Money| (!sheets.is_empty()).then(|| amount(money)).into();
    let fitted = |money: Money| (!hardware.is_empty()).then(|| amount(money)).into();
    let before = |money: Money| (!paid.by_line.is_empty()).then(|| amount(money)).into();
    for &line in &lines {
        let (line_name, quantity) = line_name(&row.job, line);
        let share = of(&boards, line) + of(&sheets, line) + of(&hardware, line);
        let half = i64::from(quantity) / 2;
        let one = Money::from_minor((share.minor() + half) / i64::from(quantity));
        table.row(vec![
            name(line_name),
            quantity.into(),
            amount(of(&boards, line)),
            shown(of(&sheets, line)),
            fitted(of(&hardware, line)),
            amount(share),
            amount(one),
            before(of(&paid.by_line, line)),
        ]);
    }
    let sum = |shares: &BTreeMap<Line, Money>| -> Money { shares.values().copied().sum() };
    let (all_boards, all_sheets, all_hardware) = (sum(&boards), sum(&sheets), sum(&hardware));
    table.total(vec![
        "in all".into(),
        Text::default(),
        amount(all_boards),
        shown(all_sheets),
        fitted(all_hardware),
        amount(all_boards + all_sheets + all_hardware),
        Text::default(),
        before(sum(&paid.by_line)),
    ]);
    doc.table(table);
    write_paid_before(doc, &row.job, &paid);
    let mut text = say!(
        "The parts cut from a board share its price (a piece from the rack: its value) by their length, or where boards \
         are ripped by their face, so each pays for the scrap of its own board. Of each material that has a price all \
         sheets, those from the rack at their value, are shared by the faces of the pieces"
    );
    if !hardware.is_empty() {
        text.push(", lots of hardware by what each line takes of them");
    }
    text.push(
        ". The sums are exact. `longpoint quote` shares boards otherwise: what kept offcuts are worth is taken off, and all \
         parts of one moulding pay alike.",
    );
    doc.line(Tone::Faint, text);
}

/// What of the wood was paid for before, and is in no cost.
fn write_paid_before(doc: &mut Document, job: &Job, paid: &PaidBefore) {
    if paid.n_boards == 0 {
        return;
    }
    let mut text = say!(
        "Wood in hand that costs nothing here: {}.",
        count_of(paid.n_boards, "piece")
    );
    if !paid.by_line.is_empty() {
        text.push(" It was paid for before; what it is worth stands beside, and is in no sum.");
    }
    if paid.n_unknown > 0 {
        text.push(say!(
            " Of {} no worth is known.",
            count_of(paid.n_unknown, "piece")
        ));
    }
    if job.boards.iter().any(Board::is_bought) {
        text.push(" `longpoint quote` counts what was bought for the job at what was paid.");
    }
    if job.shop.in_hand.first {
        text.push(" Wood of the rack that is used first counts nothing in a quote either.");
    }
    doc.line(Tone::Plain, text);
}
