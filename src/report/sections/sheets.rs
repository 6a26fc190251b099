//! What is cut from sheets, material by material: sheets to take, each drawn with its cuts in order, and what is left.

mod missing;

use std::collections::BTreeMap;

use crate::frame::SheetUse;
use crate::job::{Job, MaterialKey, SHEET_GOODS_HEAD, Serves, SheetTrim};
use crate::length::Length;
use crate::money::Money;
use crate::plan::Verdict;
use crate::plan::sheets::{Among, MaterialPlan, PlannedSheet, SheetPiece, SheetSource};
use crate::report::document::{
    Block, Document, DrawnPanel, Inline, Kind, Line, PanelDrawing, PanelSheet, Table, Text, Tone,
    amount, count_of, exact, in_currency, listed, money, name, say, there, there_with_unit,
    together,
};
use crate::report::figures::gap;
use crate::sheets::job::{Along, Stages};
use crate::tally::{
    LeftOf, MaterialTally, SheetLeft, UnusedSheet, WhySheetUnused, material_tallies,
    unplanned_sheets,
};

/// The sections of all materials; nothing where none is planned.
pub(super) fn write(doc: &mut Document, job: &Job, plans: &[MaterialPlan]) {
    let tallies = material_tallies(job, plans);
    let mut is_first = true;
    for tally in &tallies {
        doc.heading(
            "sheets",
            say!("Sheets of {}", material_name(&tally.plan.key)),
        );
        doc.lines(found(tally));
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
            doc.lines(how_to_cut(tally, is_first));
            is_first = false;
        }
        let longest = tally.plan.sheets.iter().map(|sheet| {
            let blank = sheet.blank(job, &tally.material);
            blank.width.max(blank.height)
        });
        let longest = longest.max().unwrap_or_default();
        for group in &tally.groups {
            let sheet = panel(job, tally, group, longest);
            doc.blocks.push(Block::Panel(Box::new(sheet)));
        }
        doc.lines(unused(tally));
        if let Some(rack) = rack(job, tally) {
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
    let proof = match n_best {
        n if n == plans.len() => say!("each proved best"),
        n => say!("{} of {} proved best{}", n, plans.len(), in_two),
    };
    let text = say!(
        "{}: {} of {} to buy{}, {}.",
        SHEET_GOODS_HEAD,
        count_of(n_bought, "sheet"),
        count_of(count(plans.len()), "material"),
        price,
        proof
    );
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

/// What was found, in the order in which one asks.
fn found(tally: &MaterialTally<'_>) -> Vec<Line> {
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
        parts.push(say!("{} that drop out of windows", tally.n_fallout));
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

/// How it is cut, and with the first material in which order.
fn how_to_cut(tally: &MaterialTally<'_>, with_order: bool) -> Vec<Line> {
    let cutting = &tally.material.cutting;
    let cuts = if cutting.kerf > Length::ZERO {
        say!("Sawn, kerf {}; ", exact(cutting.kerf))
    } else {
        "Scored or cut by a knife, which takes nothing; ".into()
    };
    let turned = if cutting.may_turn {
        "pieces may be turned by a right angle."
    } else {
        "no piece is turned: its width lies along the width of the sheet."
    };
    let order = "Order: first the cuts across the whole sheet, one after another from the reference edge, then those \
                 across each strip from its end. The fence stands at the figure for each; a piece narrower than its \
                 strip is trimmed last.";
    let mut lines = vec![Line::new(Tone::Faint, say!("{}{}", cuts, turned))];
    if with_order {
        lines.push(Line::new(Tone::Faint, order));
    }
    if tally.plan.stages() == Stages::Three {
        let third = "Third cuts: a length of a strip that holds several pieces is turned by a right angle and cut along the strip, \
                     from the edge where the strip begins; the fence stands at the figure for each, and what is longer than its \
                     piece is trimmed last.";
        lines.push(Line::new(Tone::Watch, third));
    }
    lines
}

/// Sheets that are cut alike: drawing, and cuts in order.
fn panel(
    job: &Job,
    tally: &MaterialTally<'_>,
    group: &std::ops::Range<usize>,
    longest: Length,
) -> PanelSheet {
    let sheets = &tally.plan.sheets[group.clone()];
    let sheet = &sheets[0];
    let blank = sheet.blank(job, &tally.material);
    let source = match sheet.source {
        SheetSource::Stock(idx) => match &tally.stock(idx).label {
            Some(label) => say!("from the rack: {}", name(label)),
            None => "to buy".into(),
        },
        SheetSource::Fallout(mat) => {
            say!("out of the window of {}", piece_name(job, mat))
        }
    };
    let label = match group.len() {
        1 => say!("Sheet {}", group.start + 1),
        _ => say!("Sheets {}–{}", group.start + 1, group.end),
    };
    let mut pieces = Vec::new();
    for stack in sheet.strips.iter().flat_map(|strip| &strip.stacks) {
        for cut in &stack.cuts {
            let (along, across) = ((stack.from, cut.along), (cut.from, cut.across()));
            let ((left, width), (bottom, height)) = match sheet.along {
                Along::Width => (along, across),
                Along::Height => (across, along),
            };
            pieces.push(DrawnPanel {
                number: u32::try_from(pieces.len() + 1).unwrap_or(u32::MAX),
                left,
                bottom,
                width,
                height,
            });
        }
    }
    let of_it =
        |left: &&SheetLeft| matches!(left.of, LeftOf::Sheet { sheet, .. } if sheet == group.start);
    let kept = tally.left.iter().filter(of_it).filter_map(|piece| {
        let LeftOf::Sheet { left, bottom, .. } = piece.of else {
            return None;
        };
        // As it lies on the rack: with the edges that are not cut.
        let (width, height) = piece.whole();
        Some(DrawnPanel {
            number: 0,
            left: left - piece.trim.left,
            bottom: bottom - piece.trim.bottom,
            width,
            height,
        })
    });
    PanelSheet {
        label,
        count: count(group.len()),
        name: tally
            .plan
            .key
            .name
            .as_deref()
            .map_or("mat board".into(), name),
        detail: say!(
            "{} × {}, {}",
            there(blank.width),
            there_with_unit(blank.height),
            source
        ),
        drawing: PanelDrawing {
            width: blank.width,
            height: blank.height,
            longest,
            trim: blank.trim,
            kept: kept.collect(),
            pieces,
        },
        cuts: cut_order(job, sheets, blank.trim),
    }
}

/// The cuts of sheets that are cut alike, in order, with what the fence is set to.
fn cut_order(job: &Job, sheets: &[PlannedSheet], trim: SheetTrim) -> Table {
    let mut table = Table::new()
        .column("cut", Kind::Words, Tone::Strong)
        .column("fence", Kind::Length, Tone::Strong)
        .column("piece", Kind::Number, Tone::Strong)
        .column("for", Kind::Prose, Tone::Plain)
        .column("then trim to", Kind::Length, Tone::Watch);
    let sheet = &sheets[0];
    let (edge, first_trim, end, second_trim) = match sheet.along {
        Along::Width => ("lower", trim.bottom, "left", trim.left),
        Along::Height => ("left", trim.left, "lower", trim.bottom),
    };
    let across = match sheet.along {
        Along::Width => "first cuts run from left to right",
        Along::Height => "first cuts run from bottom to top",
    };
    if first_trim > Length::ZERO {
        table.row(vec![
            say!("{} edge off", edge),
            there(first_trim),
            Text::default(),
            Text::default(),
            Text::default(),
        ]);
    }
    let strips = &sheet.strips;
    let mut at = 0;
    for alike in strips.chunk_by(|one, next| one.width == next.width) {
        let range = at..at + alike.len();
        at = range.end;
        table.row(vec![
            match alike.len() {
                1 => say!("strip {}", range.start + 1),
                _ => say!("strips {}–{}", range.start + 1, range.end),
            },
            there(alike[0].width),
            Text::default(),
            Text::default(),
            Text::default(),
        ]);
    }
    table.note(Tone::Faint, across);
    if second_trim > Length::ZERO {
        table.row(vec![
            say!("{} ends off", end),
            there(second_trim),
            Text::default(),
            Text::default(),
            Text::default(),
        ]);
    }
    let mut number = 0;
    let none = Text::default;
    for (position, strip) in strips.iter().enumerate() {
        for (nth, stack) in strip.stacks.iter().enumerate() {
            let lead = (nth == 0).then(|| say!("of strip {}", position + 1));
            if let [cut] = &stack.cuts[..] {
                number += 1;
                let trim_to = (cut.across() < strip.width).then(|| cut.across());
                let fence = stack.length;
                table.row(piece_row(job, sheets, number, lead.into(), fence, trim_to));
                continue;
            }
            let several = count_of(count(stack.cuts.len()), "piece");
            let several = say!("{} one above another:", several);
            table.row(vec![
                lead.into(),
                there(stack.length),
                none(),
                several,
                none(),
            ]);
            for (nth, cut) in stack.cuts.iter().enumerate() {
                number += 1;
                let lead = if nth == 0 {
                    "third cuts".into()
                } else {
                    none()
                };
                let trim_to = (cut.along < stack.length).then_some(cut.along);
                table.row(piece_row(job, sheets, number, lead, cut.across(), trim_to));
            }
        }
    }
    table
}

/// The cut that gives the piece of this number, which counts from 1, of sheets that are cut alike.
fn piece_row(
    job: &Job,
    sheets: &[PlannedSheet],
    number: usize,
    lead: Text,
    fence: Length,
    trim_to: Option<Length>,
) -> Vec<Text> {
    let same = |sheet: &PlannedSheet| sheet.cuts().nth(number - 1).map(|cut| cut.piece);
    let mut own: Vec<SheetPiece> = sheets.iter().filter_map(same).collect();
    own.sort_unstable();
    vec![
        lead,
        there(fence),
        number.into(),
        names_together(job, &own),
        trim_to.map(there).into(),
    ]
}

/// So many names are listed of one reason.
const MOST_NAMES: usize = 8;

/// What of the rack is left while sheets are bought, or pieces are missing, and why: a line for each reason.
fn unused(tally: &MaterialTally<'_>) -> Vec<Line> {
    let mut by_reason: BTreeMap<WhySheetUnused, Vec<&UnusedSheet>> = BTreeMap::new();
    for unused in &tally.unused {
        by_reason.entry(unused.why).or_default().push(unused);
    }
    let lines = by_reason.into_iter().map(|(why, sheets)| {
        let mut names: Vec<Text> = sheets
            .iter()
            .take(MOST_NAMES)
            .map(|unused| {
                let label = tally.stock(unused.stock_idx).label.as_deref();
                let times = (unused.count > 1).then(|| say!(" ×{}", unused.count));
                together(say!("{}{}", listed(label.unwrap_or_default()), times))
            })
            .collect();
        if sheets.len() > MOST_NAMES {
            names.push(say!("{} more", sheets.len() - MOST_NAMES));
        }
        let stages = match why {
            WhySheetUnused::SavesNothing(Among::TwoStages) => " in two stages of cuts",
            WhySheetUnused::SavesNothing(Among::ThreeStages) => " in three stages of cuts",
            _ => "",
        };
        let reason = match why {
            WhySheetUnused::FitsNothing => "no piece can be cut from it".into(),
            WhySheetUnused::SavesNothing(_) => {
                say!("pieces fit on it, but no plan{} is better with it", stages)
            }
            WhySheetUnused::NoUseFound => {
                "pieces fit on it, but the search found nothing better with it".into()
            }
        };
        let text = say!("Left on the rack: {}: {}.", Text::enumerated(names), reason);
        Line::new(Tone::Plain, text)
    });
    lines.collect()
}

/// What lies on the rack afterwards; nothing where nothing does.
fn rack(job: &Job, tally: &MaterialTally<'_>) -> Option<Table> {
    if tally.rack_after.is_empty() {
        return None;
    }
    let mut table = Table::new()
        .column("pieces", Kind::Number, Tone::Good)
        .column("label", Kind::Name, Tone::Plain)
        .column("size", Kind::Words, Tone::Plain)
        .column("left of", Kind::Prose, Tone::Faint);
    for line in &tally.rack_after {
        let of_it = tally
            .left
            .iter()
            .filter(|piece| (piece.whole(), piece.trim) == ((line.width, line.height), line.trim));
        let mut sheets: Vec<usize> = Vec::new();
        let mut windows: Vec<SheetPiece> = Vec::new();
        for piece in of_it {
            match piece.of {
                LeftOf::Sheet { sheet, .. } => sheets.push(sheet),
                LeftOf::Window(mat) => windows.push(mat),
            }
        }
        sheets.sort_unstable();
        windows.sort_unstable();
        let was_there = tally
            .material
            .stock
            .iter()
            .any(|stock| stock.label.as_ref() == Some(&line.label));
        let mut of = Vec::new();
        if was_there {
            of.push("was there".into());
        } else {
            if !sheets.is_empty() {
                let plural = if sheets.len() > 1 { "s" } else { "" };
                of.push(say!("sheet{} {}", plural, numbers(sheets.into_iter())));
            }
            if !windows.is_empty() {
                of.push(say!("the window of {}", names_together(job, &windows)));
            }
        }
        table.row(vec![
            line.quantity.into(),
            name(&line.label),
            size(line.width, line.height),
            Text::join(of, "; "),
        ]);
    }
    table.note(
        Tone::Faint,
        say!(
            "what is at least {} wide and high; an edge that was not cut is as it was, and comes off when the piece is used",
            exact(tally.material.cutting.least_piece)
        ),
    );
    Some(table)
}

fn count(n: usize) -> u64 {
    u64::try_from(n).expect("a count in memory fits 64 bits")
}
