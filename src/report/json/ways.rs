//! Ways of buying as one JSON object.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::compare::{
    Amount, Comparison, Reasons, Row, list_needs, share_boards, share_sheets, yard_list,
};
use crate::job::{Job, Line, Way};
use crate::length::Length;
use crate::money::Money;
use crate::plan::Verdict;
use crate::plan::sheets::MaterialPlan;
use crate::report::hardware_words;
use crate::report::way_lines::WayLine;
use crate::report::way_words::{
    ChangeCode, kind_name, line_kind, line_name, row_code, rule_words, wood_name,
};
use crate::stations::{HardwareAmount, hardware};

use crate::tally::Summary;

use crate::planfile::{MeasuredIn, Settings, json_text};

/// Ways of buying, what they depend on where that was asked for, and the lists for the cheapest of them.
///
/// # Panics
/// If `comparison` or `reasons` are not of `job` and `buying`.
pub fn ways_json(job: &Job, comparison: &Comparison, reasons: Option<&Reasons>) -> String {
    let best = comparison.best();
    json_text(&WaysObject {
        title: &job.title,
        settings: Settings::of(job),
        measure: comparison.measure().into(),
        woods: comparison
            .woods
            .iter()
            .map(|wood| WoodObject {
                name: wood_name(job, wood),
                boards: wood
                    .boards
                    .iter()
                    .map(|&idx| job.boards[idx].name.as_str())
                    .collect(),
            })
            .collect(),
        cheapest: comparison
            .rows
            .iter()
            .position(|row| std::ptr::eq(row, best))
            .unwrap_or(0),
        ways: comparison
            .rows
            .iter()
            .map(|row| WayObject::new(job, comparison, row))
            .collect(),
        what_if: reasons.map(|reasons| changes(job, comparison, reasons)),
        boards_not_bought: reasons.map(|reasons| not_bought(job, reasons)),
        yard_list: yard_lines(best),
        materials: materials(job, &comparison.materials),
        cost_by_line: costs(best, &comparison.materials),
    })
}

#[derive(Serialize)]
struct WaysObject<'a> {
    title: &'a str,
    settings: Settings,
    /// What values, bounds and differences are measured in.
    measure: MeasuredIn,
    woods: Vec<WoodObject<'a>>,
    /// Index into `ways`.
    cheapest: usize,
    ways: Vec<WayObject>,
    /// `null` where it was not asked for.
    what_if: Option<Vec<ChangeObject<'a>>>,
    /// `null` where it was not asked for.
    boards_not_bought: Option<Vec<NotBoughtObject<'a>>>,
    yard_list: Vec<YardObject<'a>>,
    materials: Vec<MaterialObject>,
    /// `null` where no board has a price.
    cost_by_line: Option<Vec<CostObject<'a>>>,
}

#[derive(Serialize)]
struct WoodObject<'a> {
    name: String,
    boards: Vec<&'a str>,
}

#[derive(Serialize)]
struct LengthCount {
    length_nm: i64,
    count: u64,
}

/// A board of a tally by its mark.
#[derive(Serialize)]
struct TalliedObject {
    board: String,
    count: u64,
}

#[derive(Serialize)]
struct WayObject {
    name: String,
    kind: &'static str,
    /// Index into `woods` of the wood that is bought in one length.
    wood: Option<usize>,
    boards: u64,
    /// But of a tally.
    bought_by_length: Vec<LengthCount>,
    bought_of_tally: Vec<TalliedObject>,
    from_rack: u64,
    bought_before: u64,
    value: i64,
    lower_bound: i64,
    proved: bool,
    /// From the cheapest way; `null` where the two cannot be compared.
    difference: Option<i64>,
    missing: u64,
    price_minor: Option<i64>,
    to_pay_minor: Option<i64>,
    board_length_nm: i64,
    board_feet_hundredths: Option<u128>,
    used_per_mille: i64,
    offcuts_kept: u64,
    kept_length_nm: i64,
}

impl WayObject {
    fn new(job: &Job, comparison: &Comparison, row: &Row) -> WayObject {
        let line = WayLine::new(job, comparison, row, None);
        WayObject {
            kind: row_code(comparison, &row.way),
            wood: match row.way {
                Way::OneLength { wood_idx, .. } => Some(wood_idx),
                _ => None,
            },
            boards: line.n_boards,
            bought_by_length: line
                .bought
                .iter()
                .map(|&(length, count)| LengthCount {
                    length_nm: length.nm(),
                    count,
                })
                .collect(),
            bought_of_tally: line
                .tallied
                .iter()
                .map(|(board, count)| TalliedObject {
                    board: board.clone(),
                    count: *count,
                })
                .collect(),
            from_rack: line.n_from_rack,
            bought_before: line.n_bought_before,
            value: line.value,
            lower_bound: line.bound,
            proved: line.is_proved,
            difference: line.difference,
            missing: line.n_missing,
            price_minor: line.money.map(Money::minor),
            to_pay_minor: line.to_pay.map(Money::minor),
            board_length_nm: line.length.nm(),
            board_feet_hundredths: line.lumber.map(|lumber| lumber.bought.exact.hundredths()),
            used_per_mille: line.used,
            offcuts_kept: line.n_kept,
            kept_length_nm: line.wood.kept.nm(),
            name: line.name,
        }
    }
}

#[derive(Serialize)]
struct ChangeObject<'a> {
    change: &'static str,
    /// The new kerf or trim, or by how much faces are narrower.
    to_nm: Option<i64>,
    /// What there is more or less of.
    of: Option<OfObject<'a>>,
    boards: usize,
    value: i64,
    lower_bound: i64,
    proved: bool,
    /// From the best mix, by the plan that was found; `null` where parts are missing.
    difference: Option<i64>,
    /// Proved: the change makes no less than this difference.
    difference_at_least: Option<i64>,
    missing: usize,
}

/// A line of frames or of loose pieces, or a kind of board.
#[derive(Serialize)]
struct OfObject<'a> {
    kind: &'static str,
    name: &'a str,
}

fn changes<'a>(job: &'a Job, comparison: &Comparison, reasons: &Reasons) -> Vec<ChangeObject<'a>> {
    let best = &comparison.best_mix().plan;
    reasons
        .what_ifs
        .iter()
        .map(|what_if| {
            let plan = &what_if.plan;
            let ChangeCode { code, to, of } = ChangeCode::new(job, what_if.change);
            let (least, more) = what_if.more(best).unzip();
            ChangeObject {
                change: code,
                to_nm: to.map(Length::nm),
                of: of.map(|(kind, name)| OfObject { kind, name }),
                boards: plan.boards.len(),
                value: plan.value,
                lower_bound: plan.lower_bound,
                proved: plan.verdict == Verdict::Optimal,
                difference: more,
                difference_at_least: least,
                missing: plan.missing.len(),
            }
        })
        .collect()
}

#[derive(Serialize)]
struct NotBoughtObject<'a> {
    board: &'a str,
    price_minor: i64,
    /// The highest price at which it is known that some would be bought; `null` where none is low enough.
    pays_at_minor: Option<i64>,
    /// Above this price none would be bought, by proof; `null` where not even for nothing.
    at_most_minor: Option<i64>,
    proved: bool,
}

fn not_bought<'a>(job: &'a Job, reasons: &Reasons) -> Vec<NotBoughtObject<'a>> {
    reasons
        .not_bought
        .iter()
        .map(|board| NotBoughtObject {
            board: &job.boards[board.board_idx].name,
            price_minor: board.price.minor(),
            pays_at_minor: board.pays_at.map(Money::minor),
            at_most_minor: board.at_most.map(Money::minor),
            proved: board.is_proved(),
        })
        .collect()
}

#[derive(Serialize)]
struct YardObject<'a> {
    board: &'a str,
    take: u64,
    length_nm: i64,
    may_be_short_by_nm: i64,
    from_rack: bool,
    /// Where the yard is to cut them, from the near end, and how many so.
    cut_at: Vec<CutAtYard>,
}

#[derive(Serialize)]
struct CutAtYard {
    count: u64,
    places_nm: Vec<i64>,
}

fn yard_lines(row: &Row) -> Vec<YardObject<'_>> {
    let summary = Summary::new(&row.plan);
    let cut_at = |board_idx: usize| {
        let taken = summary.taken.iter();
        let of_line = taken.filter(|taken| taken.board_idx == board_idx);
        let cut_at = of_line.flat_map(|taken| &taken.yard_cuts);
        let cut_at = cut_at.map(|(places, count)| CutAtYard {
            count: *count,
            places_nm: places.iter().map(|at| at.nm()).collect(),
        });
        cut_at.collect()
    };
    yard_list(&row.plan)
        .into_iter()
        .map(|line| YardObject {
            board: &row.job.boards[line.board_idx].name,
            take: line.count,
            length_nm: row.job.boards[line.board_idx].length.nm(),
            may_be_short_by_nm: line.may_be_short.nm(),
            from_rack: line.is_rack,
            cut_at: cut_at(line.board_idx),
        })
        .collect()
}

#[derive(Serialize)]
struct MaterialObject {
    what: String,
    /// Sheets, or pieces of what is no sheet; `null` of what is measured by length.
    count: Option<u64>,
    length_nm: Option<i64>,
    pieces: Option<u64>,
    missing: Option<u64>,
    sheet_nm: Option<(i64, i64)>,
    /// Of hardware, how many lots as they are sold.
    lots: Option<u64>,
    price_minor: Option<i64>,
    rule: &'static str,
}

fn materials(job: &Job, sheets: &[MaterialPlan]) -> Vec<MaterialObject> {
    list_needs(job, sheets)
        .into_iter()
        .map(|need| {
            let mut object = MaterialObject {
                what: kind_name(&need.kind),
                count: None,
                length_nm: None,
                pieces: None,
                missing: None,
                sheet_nm: None,
                lots: None,
                price_minor: need.money.map(Money::minor),
                rule: rule_words(job, need.rule),
            };
            match need.amount {
                Amount::Count(count) => object.count = Some(count),
                Amount::Length(length) => object.length_nm = Some(length.nm()),
                Amount::Sheets {
                    sheets,
                    size,
                    pieces,
                    missing,
                } => {
                    object.count = Some(sheets);
                    object.pieces = Some(pieces);
                    object.missing = Some(missing);
                    object.sheet_nm = Some((size.0.nm(), size.1.nm()));
                }
            }
            object
        })
        .chain(hardware(job).needs.into_iter().map(|need| {
            let of = &job.hardware[need.hardware_idx];
            let (count, length_nm) = match need.amount {
                HardwareAmount::Count(count) => (Some(count), None),
                HardwareAmount::Length(length) => (None, Some(length.nm())),
            };
            MaterialObject {
                what: of.name.clone(),
                count,
                length_nm,
                pieces: None,
                missing: None,
                sheet_nm: None,
                lots: Some(need.lots),
                price_minor: need.money.map(Money::minor),
                rule: hardware_words::rule_words(of),
            }
        }))
        .collect()
}

#[derive(Serialize)]
struct CostObject<'a> {
    kind: &'static str,
    name: &'a str,
    quantity: u32,
    boards_minor: i64,
    /// What its sheets cost, as far as the job has prices for them.
    sheets_minor: i64,
    /// What its hardware costs, likewise.
    hardware_minor: i64,
}

fn costs<'a>(row: &'a Row, sheets: &[MaterialPlan]) -> Option<Vec<CostObject<'a>>> {
    let boards = share_boards(&row.plan)?;
    let sheets = share_sheets(&row.job, sheets);
    let hardware = hardware(&row.job).shares();
    let lines = boards.keys().chain(sheets.keys()).chain(hardware.keys());
    let lines: BTreeSet<Line> = lines.copied().collect();
    let of =
        |shares: &BTreeMap<Line, Money>, line| shares.get(&line).map_or(0, |share| share.minor());
    let cost = |line: Line| {
        let (name, quantity) = line_name(&row.job, line);
        CostObject {
            kind: line_kind(line),
            name,
            quantity,
            boards_minor: of(&boards, line),
            sheets_minor: of(&sheets, line),
            hardware_minor: of(&hardware, line),
        }
    };
    Some(lines.into_iter().map(cost).collect())
}
