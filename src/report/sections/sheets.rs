//! What is cut from sheets, material by material: sheets to take, each drawn with its cuts in order, and what is left.

mod drawn;
mod left;
mod missing;
mod sure;

use crate::frame::SheetUse;
use crate::job::{Job, MaterialKey, SHEET_GOODS_HEAD, Serves};
use crate::length::Length;
use crate::money::Money;
use crate::plan::sheets::{MaterialPlan, SheetPiece, SheetSource};
use crate::report::document::{
    Block, Document, Kind, Line, Table, Text, Tone, amount, count_of, exact, in_currency, listed,
    money, name, say, there, together,
};
use crate::tally::{MaterialTally, material_tallies, unplanned_sheets};

/// The sections of all materials; nothing where none is planned.
pub(super) fn write(doc: &mut Document, job: &Job, plans: &[MaterialPlan]) {
    let tallies = material_tallies(job, plans);
    let mut is_first = true;
    for tally in &tallies {
        doc.heading(
            "sheets",
            say!("Sheets of {}", material_name(&tally.plan.key)),
        );
        doc.lines(sure::found(tally));
        if tally.plan.key.serves == Serves::DustCover
            && let Some(text) = oversize_words(job, "Each")
        {
            doc.line(Tone::Plain, text);
        }
        if !tally.plan.missing.is_empty() {
            doc.table(missing::table(job, tally));
        }
        if !tally.plan.sheets.is_empty() {
            doc.table(to_take(job, tally));
            doc.lines(drawn::how_to_cut(tally, is_first));
            is_first = false;
        }
        let longest = tally.plan.sheets.iter().map(|sheet| {
            let blank = sheet.blank(job, &tally.material);
            blank.width.max(blank.height)
        });
        let longest = longest.max().unwrap_or_default();
        for group in &tally.groups {
            let sheet = drawn::panel(job, tally, group, longest);
            doc.blocks.push(Block::Panel(Box::new(sheet)));
        }
        doc.lines(left::unused(tally));
        if let Some(rack) = left::rack(job, tally) {
            doc.line(Tone::Plain, "On the rack afterwards:");
            doc.table(rack);
        }
    }
    if !tallies.is_empty() {
        doc.line(
            Tone::Faint,
            "Some sheets break or spoil: nothing is planned for that. Sizes of pieces are rounded down, as for a rabbet.",
        );
    }
}

/// All materials in short: what is to be bought, what is missing, and which are in no plan.
pub(super) fn in_short(job: &Job, plans: &[MaterialPlan]) -> Vec<Line> {
    let unplanned = unplanned_sheets(job);
    let names = unplanned.iter().map(|of| material_name(&of.key));
    let left_out = (!unplanned.is_empty()).then(|| {
        let text = say!(
            "Not planned, as the job does not say in what sizes it is sold: {}.",
            Text::join(names, ", ")
        );
        Line::new(Tone::Plain, text)
    });
    let mut lines = planned_in_short(job, plans);
    lines.extend(left_out);
    lines
}

/// Those that are planned.
fn planned_in_short(job: &Job, plans: &[MaterialPlan]) -> Vec<Line> {
    let tallies = material_tallies(job, plans);
    if tallies.is_empty() {
        return Vec::new();
    }
    let n_missing = plans.iter().map(|plan| plan.missing.len()).sum();
    let mut lines: Vec<Line> = not_all(n_missing).into_iter().collect();
    let n_bought: u64 = tallies.iter().map(n_bought).sum();
    let prices = || tallies.iter().filter_map(|tally| tally.bought);
    let price = prices()
        .next()
        .is_some()
        .then(|| say!(" for {}", money(prices().sum())));
    let n_best = tallies
        .iter()
        .filter(|tally| tally.plan.is_best(&tally.material))
        .count();
    // With third cuts none was found, and none ruled out.
    let n_best_in_two = tallies
        .iter()
        .filter(|tally| tally.plan.best_among(&tally.material).is_some())
        .count()
        - n_best;
    let in_two = (n_best_in_two > 0).then(|| {
        say!(
            "; {} in two stages of cuts only, not with third cuts",
            n_best_in_two
        )
    });
    // Of some materials the rack may have all that is wanted.
    let n_of = tallies.iter().filter(|tally| self::n_bought(tally) > 0);
    let n_of = n_of.count();
    let is_of_all = n_of == plans.len();
    let to_buy = match n_of {
        0 => "nothing to buy".into(),
        _ => say!(
            "{} of {} to buy{}",
            count_of(n_bought, "sheet"),
            count_of(count(n_of), "material"),
            price
        ),
    };
    let all = count_of(count(plans.len()), "material");
    let proof = match n_best {
        n if n == plans.len() && is_of_all => "each proved best".into(),
        n if n == plans.len() => say!("{}, each proved best", all),
        n if is_of_all => say!("{} of {} proved best{}", n, plans.len(), in_two),
        n => say!("{} of {} proved best{}", n, all, in_two),
    };
    let text = if is_of_all {
        say!("{}: {}, {}.", SHEET_GOODS_HEAD, to_buy, proof)
    } else {
        say!("{}: {}; {}.", SHEET_GOODS_HEAD, to_buy, proof)
    };
    lines.push(Line::new(Tone::Plain, text));
    lines
}

/// That some pieces find no sheet, where that is so.
fn not_all(n_missing: usize) -> Option<Line> {
    let text = say!(
        "NOT ALL CAN BE CUT: there is no sheet for {}.",
        count_of(count(n_missing), "piece")
    );
    (n_missing > 0).then(|| Line::new(Tone::Bad, text))
}

/// How many sheets of a material are bought.
fn n_bought(tally: &MaterialTally<'_>) -> u64 {
    let bought = tally
        .taken
        .iter()
        .filter(|(idx, _)| tally.stock(*idx).label.is_none());
    bought.map(|(_, count)| count).sum()
}

/// That paper is cut larger than it stays, of what is called so; nothing where it is not.
pub(super) fn oversize_words(job: &Job, each: &'static str) -> Option<Text> {
    let oversize = job.assembly.dust_cover_oversize;
    let words = || {
        say!(
            "{} is {} larger at each edge than it stays: trim it once it is glued.",
            each,
            exact(oversize)
        )
    };
    (oversize > Length::ZERO).then(words)
}

/// What a material is called.
pub(crate) fn material_name(key: &MaterialKey) -> Text {
    let serves = match key.serves {
        Serves::Mat => "mat board",
        Serves::Glazing => "glazing",
        Serves::Backing => "backing",
        Serves::DustCover => "dust cover",
    };
    match &key.name {
        Some(own) => say!("{} ({})", name(own), serves),
        None => serves.into(),
    }
}

/// A piece by its frame, with its copy and its layer where there are more.
pub(crate) fn piece_name(job: &Job, piece: SheetPiece) -> Text {
    let frame = &job.frames[piece.frame_idx];
    let copy = (frame.quantity > 1).then(|| say!(" #{}", piece.copy));
    let is_layered = frame.mat.as_ref().is_some_and(|mat| mat.layers > 1);
    let layer = match piece.sheet_use {
        SheetUse::Mat { layer } if is_layered => Some(say!(", layer {}", layer)),
        _ => None,
    };
    together(say!("{}{}{}", listed(&frame.name), copy, layer))
}

/// Pieces of several sheets that are cut alike, named together: copies that follow each other as one.
fn names_together(job: &Job, pieces: &[SheetPiece]) -> Text {
    let follows = |one: &SheetPiece, next: &SheetPiece| {
        (one.frame_idx, one.sheet_use) == (next.frame_idx, next.sheet_use)
            && one.copy + 1 == next.copy
    };
    let runs = pieces.chunk_by(follows).map(|run| {
        let first = piece_name(job, run[0]);
        match run {
            [_] => first,
            [.., last] => together(say!("{} to #{}", first, last.copy)),
            [] => Text::default(),
        }
    });
    Text::join(runs, "; ")
}

/// Width and height in one cell.
fn size(width: Length, height: Length) -> Text {
    together(say!("{} × {}", there(width), there(height)))
}

/// The sheets to take.
fn to_take(job: &Job, tally: &MaterialTally<'_>) -> Table {
    let mut table = Table::new()
        .column("take", Kind::Number, Tone::Strong)
        .column("sheet", Kind::Words, Tone::Strong)
        .column("from", Kind::Name, Tone::Plain)
        .column("marked", Kind::Prose, Tone::Strong)
        .column("each", Kind::Number, Tone::Plain)
        .column(in_currency(job, "all"), Kind::Number, Tone::Plain);
    for &(idx, n) in &tally.taken {
        let stock = tally.stock(idx);
        let price = stock.price.filter(|_| tally.bought.is_some());
        let of_it = tally.plan.sheets.iter().enumerate();
        let of_it = of_it.filter(|(_, sheet)| sheet.source == SheetSource::Stock(idx));
        table.row(vec![
            n.into(),
            size(stock.width, stock.height),
            match &stock.label {
                Some(label) => say!("the rack: {}", name(label)),
                None => "to buy".into(),
            },
            numbers(of_it.map(|(position, _)| position)),
            price.map(amount).into(),
            price
                .map(|price| price * i64::try_from(n).unwrap_or(i64::MAX))
                .map(amount)
                .into(),
        ]);
    }
    if tally.taken.len() > 1 && tally.bought.is_some() {
        let n: u64 = tally.taken.iter().map(|&(_, n)| n).sum();
        table.total(vec![
            n.into(),
            "in all".into(),
            Text::default(),
            Text::default(),
            Text::default(),
            amount(Money::from_minor(tally.plan.value)),
        ]);
    }
    table
}

/// Sheets by their numbers, which count from 1: `1–3, 5`.
fn numbers(positions: impl Iterator<Item = usize>) -> Text {
    let positions: Vec<usize> = positions.collect();
    let runs = positions.chunk_by(|one, next| one + 1 == *next);
    let runs = runs.map(|run| match run {
        [first, .., last] => say!("{}–{}", first + 1, last + 1),
        one => Text::join(one.iter().map(|position| Text::from(position + 1)), ""),
    });
    Text::join(runs.map(together), ", ")
}

fn count(n: usize) -> u64 {
    u64::try_from(n).expect("a count in memory fits 64 bits")
}
