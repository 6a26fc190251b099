//! Tables of what is cut from sheets: every cut, the sheets to buy, and the rack of sheets as it is read again.

use crate::diag::guarded;
use crate::frame::SheetUse;
use crate::job::{Job, Serves};
use crate::length::{Length, exact_text};
use crate::money::Money;
use crate::plan::sheets::{MaterialPlan, SheetSource};
use crate::sheets::job::Along;
use crate::tally::material_tallies;

use super::plan_tables::from_one;
use super::rows::{Cell, Records, Rows, decimal, length, number};

/// The word of the job file for what a material is for.
fn use_word(serves: Serves) -> &'static str {
    match serves {
        Serves::Mat => "mat",
        Serves::Glazing => "glazing",
        Serves::Backing => "backing",
        Serves::DustCover => "dust-cover",
    }
}

/// Every piece of every sheet, in the order in which it is cut: its labels.
///
/// # Panics
/// If the plans are not of `job`.
pub fn sheet_cuts_csv(job: &Job, materials: &[MaterialPlan]) -> String {
    let mut rows = Rows::new(
        &job.display,
        &[
            "material",
            "use",
            "sheet",
            "from",
            "label",
            "strips-along",
            "strip",
            "stack",
            "piece",
            "frame",
            "copy",
            "mat-layer",
            "turned",
            "sheet-width@",
            "sheet-height@",
            "strip-from@",
            "strip-width@",
            "stack-from@",
            "stack-length@",
            "piece-from@",
            "piece-across@",
            "piece-along@",
        ],
    );
    for tally in material_tallies(job, materials) {
        let plan = tally.plan;
        for (position, sheet) in plan.sheets.iter().enumerate() {
            let blank = sheet.blank(job, &tally.material);
            let (from, label) = match sheet.source {
                SheetSource::Stock(idx) => match &tally.stock(idx).label {
                    Some(label) => ("rack", label.clone()),
                    None => ("sale", String::new()),
                },
                SheetSource::Fallout(mat) => ("window", job.frames[mat.frame_idx].name.clone()),
            };
            let mut piece = 0_u64;
            let of_strips = sheet.strips.iter().enumerate();
            let stacks = of_strips.flat_map(|(strip_idx, strip)| {
                let of_strip = strip.stacks.iter().enumerate();
                of_strip.map(move |(stack_idx, stack)| (strip_idx, strip, stack_idx, stack))
            });
            for (strip_idx, strip, stack_idx, stack) in stacks {
                for cut in &stack.cuts {
                    piece += 1;
                    let layer = match cut.piece.sheet_use {
                        SheetUse::Mat { layer } => layer.to_string(),
                        SheetUse::Glazing | SheetUse::Backing | SheetUse::DustCover => {
                            String::new()
                        }
                    };
                    let along = match sheet.along {
                        Along::Width => "width",
                        Along::Height => "height",
                    };
                    rows.row(vec![
                        plan.key.name.clone().unwrap_or_default().into(),
                        use_word(plan.key.serves).into(),
                        number(from_one(position)),
                        from.into(),
                        label.as_str().into(),
                        along.into(),
                        number(from_one(strip_idx)),
                        number(from_one(stack_idx)),
                        number(piece),
                        job.frames[cut.piece.frame_idx].name.as_str().into(),
                        number(cut.piece.copy),
                        layer.into(),
                        if cut.turned { "yes" } else { "no" }.into(),
                        length(blank.width),
                        length(blank.height),
                        length(strip.from),
                        length(strip.width),
                        length(stack.from),
                        length(stack.length),
                        length(cut.from),
                        length(cut.across()),
                        length(cut.along),
                    ]);
                }
            }
        }
    }
    rows.into_text()
}

/// The sheets to buy, of each material and size a line, and what is missing of each material.
///
/// # Panics
/// If the plans are not of `job`.
pub fn sheets_to_buy_csv(job: &Job, materials: &[MaterialPlan]) -> String {
    let mut rows = Rows::new(
        &job.display,
        &[
            "take", "material", "use", "price", "all", "currency", "width@", "height@",
        ],
    );
    let money = |money: Option<Money>| -> Cell {
        let text = money.map(|money| job.display.currency.format_amount(money));
        decimal(text.unwrap_or_default())
    };
    for tally in material_tallies(job, materials) {
        for &(idx, count) in &tally.taken {
            let stock = tally.stock(idx);
            if stock.label.is_some() {
                continue;
            }
            let n = i64::try_from(count).expect("a count in memory fits 63 bits");
            rows.row(vec![
                number(count),
                tally.plan.key.name.clone().unwrap_or_default().into(),
                use_word(tally.plan.key.serves).into(),
                money(stock.price),
                money(stock.price.map(|price| price * n)),
                job.display.currency.code.as_str().into(),
                length(stock.width),
                length(stock.height),
            ]);
        }
    }
    rows.into_text()
}

/// The rack of sheets as it will be when the plan is cut, as a job is given it as `sheet-rack`: every length with its unit.
///
/// What lies there of materials of which nothing is planned stays.
///
/// # Panics
/// If the plans are not of `job`.
pub fn sheet_rack_csv(job: &Job, materials: &[MaterialPlan]) -> String {
    let form = job.display.tables;
    let header = [
        "label",
        "sheet",
        "width",
        "height",
        "quantity",
        "value",
        "trim-left",
        "trim-right",
        "trim-top",
        "trim-bottom",
    ];
    let mut records = Records::new(form, &header.map(str::to_owned));
    let mut record = |cells: [String; 10]| records.record(&cells.map(guarded));
    let size = |length: Length| form.figures(&exact_text(length, job.display.unit));
    let value = |money: Option<Money>| {
        let text = money.map(|money| form.amount(&job.display.currency.format_amount(money)));
        text.unwrap_or_default()
    };
    let tallies = material_tallies(job, materials);
    for tally in &tallies {
        let sheet = tally.plan.key.name.clone().unwrap_or_default();
        for line in &tally.rack_after {
            record([
                line.label.clone(),
                sheet.clone(),
                size(line.width),
                size(line.height),
                line.quantity.to_string(),
                value(line.value),
                size(line.trim.left),
                size(line.trim.right),
                size(line.trim.top),
                size(line.trim.bottom),
            ]);
        }
    }
    for material in &job.materials {
        let is_planned = tallies
            .iter()
            .any(|tally| tally.plan.key.name == material.name);
        let stays = material.stock.iter().filter(|_| !is_planned);
        for stock in stays {
            if let Some(label) = &stock.label {
                record([
                    label.clone(),
                    material.name.clone().unwrap_or_default(),
                    size(stock.width),
                    size(stock.height),
                    stock.quantity.unwrap_or(1).to_string(),
                    value(stock.price),
                    size(stock.trim.left),
                    size(stock.trim.right),
                    size(stock.trim.top),
                    size(stock.trim.bottom),
                ]);
            }
        }
    }
    records.into_text()
}
