//! What a job costs and what is asked for it: a sheet for the shop, and one for the customer that tells no costs.

use crate::compare::Forced;
use crate::frame::Outline;
use crate::job::{CostKind, Job, Line as SoldLine, PriceRules};
use crate::money::Money;
use crate::quote::{JobCosts, Lack, Priced, Quote};
use crate::report::document::{
    Document, Kind, Line, Table, Text, Tone, amount, count_of, in_currency, money, name, say,
    there, there_with_unit, together,
};
use crate::report::figures::{percent, share};
use crate::report::hardware_words::use_name;
use crate::report::naming::polygon_words;
use crate::report::way_words::line_name;

use super::price_rules::{cost_rules, faint, kind_head, markup_rule, raised_words};
use super::sheets::material_name;

/// The sheet for the customer.
///
/// # Panics
/// If `quote` is not of `job`.
pub fn customer_sheet(job: &Job, costs: &JobCosts, quote: &Quote) -> Document {
    let mut doc = Document::new(job);
    super::opening::write_title(&mut doc, job);
    doc.heading("price", "Price");
    let mut table = Table::new()
        .column("what", Kind::Name, Tone::Strong)
        .column("how many", Kind::Number, Tone::Plain)
        .column("each", Kind::Number, Tone::Plain)
        .column(in_currency(job, "price"), Kind::Number, Tone::Strong);
    for line in &quote.lines {
        let (called, quantity) = line_name(job, line.of.line);
        table.row(vec![
            name(called),
            quantity.into(),
            amount(line.each),
            amount(line.price),
        ]);
        table.note(Tone::Faint, described(job, line));
    }
    for (idx, (words, sum)) in totals(&job.prices, quote).into_iter().enumerate() {
        let cells = vec![words, Text::default(), Text::default(), amount(sum)];
        if idx == 0 {
            table.total(cells);
        } else {
            table.row(cells);
        }
    }
    doc.table(table);
    doc.lines(not_final(job, &costs.lacks));
    doc
}

/// What stands for so many.
fn them(count: u64) -> &'static str {
    if count == 1 { "it" } else { "them" }
}

/// Why the prices may still rise, without a word of what anything costs.
pub(super) fn not_final(job: &Job, lacks: &[Lack]) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut unpriced: Vec<Text> = Vec::new();
    for lack in lacks {
        match lack {
            Lack::Wood | Lack::Boards(_) => unpriced.push("wood".into()),
            Lack::Material(key) => unpriced.push(material_name(key)),
            Lack::Hardware(idx) => unpriced.push(name(&job.hardware[*idx].name)),
            Lack::Unserved(of) => unpriced.push(use_name(*of).into()),
            Lack::Parts(count) => lines.push(Line::new(
                Tone::Watch,
                say!(
                    "Not final: for {} there is nothing yet to cut {} from.",
                    count_of(*count, "part"),
                    them(*count)
                ),
            )),
        }
    }
    if !unpriced.is_empty() {
        let unpriced = Text::join(unpriced, "; ");
        lines.push(Line::new(
            Tone::Watch,
            say!("Not final: nothing is asked yet for {}.", unpriced),
        ));
    }
    lines
}

/// What is summed up below the prices.
fn totals(rules: &PriceRules, quote: &Quote) -> Vec<(Text, Money)> {
    let mut totals: Vec<(Text, Money)> = Vec::new();
    if let (Some(off), Some(discount)) = (quote.discount, &rules.discount) {
        totals.push(("all".into(), quote.sum));
        totals.push((
            match discount.from {
                0 | 1 => say!("less {}", together(discount.share.to_string())),
                from => say!(
                    "less {} from {} on",
                    together(discount.share.to_string()),
                    from
                ),
            },
            Money::ZERO - off,
        ));
    }
    let mut of_it = None;
    if let (Some(tax), Some(rule)) = (quote.tax, &rules.tax) {
        let rate = together(rule.rate.to_string());
        if rule.is_included {
            of_it = Some((say!("of it {} {}", name(&rule.name), rate), tax));
        } else {
            totals.push((say!("without {}", name(&rule.name)), quote.net));
            totals.push((say!("{} {}", name(&rule.name), rate), tax));
        }
    }
    totals.push(("to pay".into(), quote.to_pay));
    totals.extend(of_it);
    if let (Some(deposit), Some(balance), Some(share)) =
        (quote.deposit, quote.balance(), rules.deposit)
    {
        let share = together(share.to_string());
        totals.push((say!("before the work, {}", share), deposit));
        totals.push(("when it is done".into(), balance));
    }
    totals
}

/// What a customer gets, in a line.
fn described(job: &Job, line: &Priced) -> Text {
    let idx = match line.of.line {
        SoldLine::Frame(idx) => idx,
        SoldLine::Piece(idx) => return say!("{} long", there_with_unit(job.pieces[idx].length)),
    };
    let sized = |called: &'static str, polygon: &'static str, outline| match outline {
        Outline::Rectangle { width, height } => together(say!(
            "{} {} × {}",
            called,
            there(width),
            there_with_unit(height)
        )),
        Outline::Regular { sides, side, flats } => together(say!(
            "{} {}",
            polygon,
            polygon_words(sides, side, flats, there_with_unit)
        )),
    };
    let mut parts = vec![
        sized("art", "art of", job.frames[idx].art),
        sized("outside", "outside", job.frame_sizes(idx).outside),
    ];
    let mut add = |called: Text| {
        if !parts.contains(&called) {
            parts.push(called);
        }
    };
    let frames = [idx].into_iter().chain(line.of.inner.iter().copied());
    let frames: Vec<usize> = frames.collect();
    for &frame in &frames {
        add(name(&job.mouldings[job.frames[frame].moulding_idx].name));
    }
    for &frame in &frames {
        for sheet in job.sheets_to_cut(frame) {
            add(material_name(&job.material_of(&sheet)));
        }
    }
    Text::join(parts, "; ")
}

/// The sheet for the shop.
///
/// # Panics
/// If `costs`, `quote` and `forced` are not of `job`.
pub fn shop_sheet(job: &Job, costs: &JobCosts, quote: &Quote, forced: &[Forced]) -> Document {
    let mut doc = Document::new(job);
    super::opening::write_title(&mut doc, job);
    write_lacks(&mut doc, job, &costs.lacks);
    write_costs(&mut doc, job, costs, quote);
    write_prices(&mut doc, job, quote);
    write_wood(&mut doc, job, costs, quote, forced);
    doc
}

/// What is in no cost.
pub(super) fn write_lacks(doc: &mut Document, job: &Job, lacks: &[Lack]) {
    let lines = lacks.iter().map(|lack| {
        let text = match lack {
            Lack::Wood => "No cost has wood in it, as no board has a price.".into(),
            Lack::Boards(count) => say!(
                "{} without a price cost nothing here.",
                count_of(*count, "board")
            ),
            Lack::Material(key) => {
                say!(
                    "{}: no cost has it, as it has no price.",
                    material_name(key)
                )
            }
            Lack::Hardware(idx) => {
                say!(
                    "{}: no cost has it, as it has no price.",
                    name(&job.hardware[*idx].name)
                )
            }
            Lack::Unserved(of) => say!(
                "The {} of some frames are in no cost: none of the job's hardware serves them.",
                use_name(*of)
            ),
            Lack::Parts(count) => say!(
                "{} missing in the plan: what {} would cost is not known.",
                count_of(*count, "part"),
                if *count == 1 { "it" } else { "they" }
            ),
        };
        Line::new(Tone::Watch, text)
    });
    doc.lines(lines.collect());
}

fn write_costs(doc: &mut Document, job: &Job, costs: &JobCosts, quote: &Quote) {
    let (materials, rest) = CostKind::ALL.split_at(5);
    let sum_of = |kinds: &[CostKind], line: &Priced| -> Money {
        kinds.iter().map(|&kind| line.of.costs.of(kind)).sum()
    };
    let all_of =
        |kinds: &[CostKind]| -> Money { quote.lines.iter().map(|line| sum_of(kinds, line)).sum() };
    let is_used = |kind: CostKind| all_of(&[kind]) > Money::ZERO;
    let tables = [
        ("materials", "Materials", materials, materials, "materials"),
        ("cost", "Cost", rest, &CostKind::ALL[..], "cost"),
    ];
    for (id, heading, kinds, summed, sum_head) in tables {
        if id == "materials" && all_of(kinds) == Money::ZERO {
            continue;
        }
        doc.heading(id, in_currency(job, heading));
        let mut table = Table::new()
            .column("frame or piece", Kind::Name, Tone::Strong)
            .column("how many", Kind::Number, Tone::Plain);
        if id == "cost" {
            table = table.column("materials", Kind::Number, Tone::Plain);
        }
        for &kind in kinds {
            table = table.column(kind_head(kind), Kind::Number, Tone::Plain);
        }
        let mut table = table.column(sum_head, Kind::Number, Tone::Strong);
        let row = |called: Text, quantity: Text, sum: &dyn Fn(&[CostKind]) -> Money| {
            let mut cells = vec![called, quantity];
            if id == "cost" {
                cells.push(amount(sum(materials)));
            }
            cells.extend(kinds.iter().map(|&kind| {
                let shown = is_used(kind).then(|| amount(sum(&[kind])));
                Text::from(shown)
            }));
            cells.push(amount(sum(summed)));
            cells
        };
        for line in &quote.lines {
            let (called, quantity) = line_name(job, line.of.line);
            table.row(row(name(called), quantity.into(), &|kinds| {
                sum_of(kinds, line)
            }));
        }
        table.total(row("in all".into(), Text::default(), &all_of));
        doc.table(table);
        doc.lines(if id == "materials" {
            material_rules(job, costs, &is_used)
        } else {
            cost_rules(&job.prices)
        });
    }
}

/// How wood, sheets and hardware are shared.
fn material_rules(job: &Job, costs: &JobCosts, is_used: &dyn Fn(CostKind) -> bool) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some(wood) = &costs.wood {
        let mut text = say!(
            "Wood: the boards cost {}, wood in hand at its worth",
            money(wood.boards)
        );
        if wood.kept > Money::ZERO {
            text.push(say!(
                "; offcuts that are kept are worth {} of it on the rack, and no frame pays for them",
                money(wood.kept)
            ));
        }
        text.push(if wood.kept > Money::ZERO {
            ". The rest is shared"
        } else {
            ". It is shared"
        });
        text.push(
            " by the parts cut from each board, by length, of ripped boards by face; then all parts of one moulding pay \
             alike by length, from whichever board they come, unless a board was chosen for them. Spares are paid by the \
             frames of their moulding.",
        );
        lines.push(faint(text));
    }
    if [CostKind::Mats, CostKind::Glazing, CostKind::Backing]
        .into_iter()
        .any(is_used)
    {
        lines.push(faint(
            "Mats, glazing, backing: of each material all sheets of the plan, those from the rack at their value, are \
             shared by the faces of the pieces. Nothing is taken off for what is left of them: it goes on the rack of sheets \
             without a value, and costs the next job nothing, until you write one.",
        ));
    }
    if job.dust_cover.is_some() && is_used(CostKind::Backing) {
        lines.push(faint(
            "Dust covers that are cut from sheets count as backing.",
        ));
    }
    if is_used(CostKind::Hardware) {
        lines.push(faint(
            "Hardware: whole lots are shared by what each frame takes of them.",
        ));
    }
    lines.push(faint(
        "Shares are whole: what is left over goes to the largest remainders, the earlier line first. All sums are exact.",
    ));
    lines
}

/// An amount that may be less than nothing, as a share of another.
fn share_words(part: Money, whole: Money) -> Text {
    let tenths = share(part.minor().saturating_abs(), whole.minor());
    let is_less = part < Money::ZERO && tenths > 0;
    let sign = if is_less { "-" } else { "" };
    Text::from((whole > Money::ZERO).then(|| format!("{sign}{}", percent(tenths))))
}

fn write_prices(doc: &mut Document, job: &Job, quote: &Quote) {
    let rules = &job.prices;
    let has_list = quote.lines.iter().any(|line| line.is_listed);
    doc.heading("margin", in_currency(job, "Price and margin"));
    let has_net = rules.tax.as_ref().is_some_and(|tax| tax.is_included) || quote.discount.is_some();
    let mut table = Table::new()
        .column("frame or piece", Kind::Name, Tone::Strong)
        .column("each", Kind::Number, Tone::Strong)
        .column("at least", Kind::Number, Tone::Plain)
        .column("price", Kind::Number, Tone::Plain)
        .column("net", Kind::Number, Tone::Plain)
        .column("cost", Kind::Number, Tone::Plain)
        .column("margin", Kind::Number, Tone::Strong)
        .column("of net", Kind::Number, Tone::Plain);
    let net = |net: Money| Text::from(has_net.then(|| amount(net)));
    for line in &quote.lines {
        let (called, _) = line_name(job, line.of.line);
        table.row(vec![
            name(called),
            amount(line.each),
            line.least_each.map(amount).into(),
            amount(line.price),
            net(line.net),
            amount(line.of.costs.sum()),
            amount(line.margin()),
            share_words(line.margin(), line.net),
        ]);
        if !line.covers_cost() {
            let mut text = Text::from("Does not cover what it costs");
            if let Some(least) = line.least_each {
                text.push(say!("; {} would", money(least)));
            }
            text.push(".");
            table.note(Tone::Watch, text);
        }
        if has_list && !line.is_listed {
            table.note(
                Tone::Faint,
                "Not in the price list: by the rules of the shop.",
            );
        }
    }
    table.total(vec![
        "in all".into(),
        Text::default(),
        Text::default(),
        amount(quote.sum),
        net(quote.net),
        amount(quote.cost),
        amount(quote.margin()),
        share_words(quote.margin(), quote.net),
    ]);
    doc.table(table);
    if has_list {
        let lossy = quote.lines.iter();
        let lossy = lossy.filter(|line| !line.covers_cost());
        let names: Vec<Text> = lossy
            .map(|line| name(line_name(job, line.of.line).0))
            .collect();
        doc.line(
            Tone::Strong,
            if names.is_empty() {
                "At these prices every line covers what it costs.".into()
            } else {
                say!("Sold below cost: {}.", Text::join(names, ", "))
            },
        );
    }
    doc.lines(price_rules(rules, quote));
}

/// How prices come about.
fn price_rules(rules: &PriceRules, quote: &Quote) -> Vec<Line> {
    let mut lines = Vec::new();
    lines.extend(markup_rule(rules));
    let with_tax = rules.tax.as_ref().filter(|tax| tax.is_included);
    let mut text = Text::from(if quote.lines.iter().any(|line| line.is_listed) {
        "Where the list has none, the price of one is that of all copies"
    } else {
        "The price of one is that of all copies"
    });
    if let Some(tax) = with_tax {
        text.push(say!(", with {}", name(&tax.name)));
    }
    text.push(", divided and raised to the next minor unit");
    text.push(raised_words(rules));
    text.push("; the price of all is so many times that of one.");
    lines.push(faint(text));
    if let (Some(off), Some(rule)) = (quote.discount, &rules.discount) {
        lines.push(faint(say!(
            "The discount, {} from {} frames and pieces on, is {}, rounded down.",
            together(rule.share.to_string()),
            rule.from,
            money(off)
        )));
    }
    if let (Some(sum), Some(tax)) = (quote.tax, &rules.tax) {
        let how = if tax.is_included {
            "in what is paid"
        } else {
            "on top"
        };
        lines.push(faint(say!(
            "{} of {}, {} {}, is rounded to the nearest, half up, for the job as a whole.",
            money(sum),
            name(&tax.name),
            together(tax.rate.to_string()),
            how
        )));
    }
    lines.push(faint(
        "Net is what stays without discount and tax, shared by the prices; margin is net less cost, and its share that of \
         the net price. At least: the lowest price of one, as the customer reads it, that covers its cost.",
    ));
    lines.push(Line::new(
        Tone::Plain,
        say!("To pay: {}.", money(quote.to_pay)),
    ));
    lines
}

/// What wood one frame forces to be bought, beside its share.
fn write_wood(doc: &mut Document, job: &Job, costs: &JobCosts, quote: &Quote, forced: &[Forced]) {
    if forced.is_empty() || costs.wood.is_none() {
        return;
    }
    doc.heading("forced", in_currency(job, "Wood for one"));
    let mut table = Table::new()
        .column("frame or piece", Kind::Name, Tone::Strong)
        .column("share, about", Kind::Number, Tone::Plain)
        .column("saved by one fewer", Kind::Number, Tone::Strong)
        .column("", Kind::Words, Tone::Faint);
    for line in &quote.lines {
        let Some(forced) = forced.iter().find(|forced| forced.line == line.of.line) else {
            continue;
        };
        let (called, quantity) = line_name(job, line.of.line);
        let share = line.of.costs.of(CostKind::Wood).minor();
        let half = i64::from(quantity) / 2;
        table.row(vec![
            name(called),
            amount(Money::from_minor((share + half) / i64::from(quantity))),
            match forced.at_most {
                Some(most) if most == forced.money => amount(most),
                Some(most) => say!("{} to {}", amount(forced.money), amount(most)),
                None => say!("at least {}", amount(forced.money)),
            },
            if forced.is_proved { "" } else { "not proved" }.into(),
        ]);
    }
    doc.table(table);
    doc.line(
        Tone::Faint,
        "Saved by one fewer: by how much the best plan for the job without one of them is cheaper, which may be a whole board \
         or nothing. It is told beside the share and enters no cost, since it depends on which frame is thought of last.",
    );
}
