//! `[labels]`: the sheet that labels are printed on.

use super::fields::{Fields, Found};
use super::words::{LABEL_ORDERS, PAPERS};
use crate::diag::code;
use crate::job::{LabelSheet, Paper};
use crate::length::{Length, exact_text};

/// Reads the sheet of labels; where its margins are left out the labels lie in the middle.
pub(super) fn read_labels(mut fields: Fields<'_, '_>) -> Found<LabelSheet> {
    let paper = fields.optional_word("paper", &PAPERS);
    let columns = fields.optional_count("columns");
    let rows = fields.optional_count("rows");
    let width = fields.optional_length("width");
    let height = fields.optional_length("height");
    let gap_across = fields.optional_length("gap-across");
    let gap_down = fields.length("gap-down");
    let margins = [
        fields.optional_length("margin-left"),
        fields.optional_length("margin-top"),
    ];
    let shifts = [
        shift(&mut fields, "shift-left", "shift-right"),
        shift(&mut fields, "shift-up", "shift-down"),
    ];
    let order = fields.word("order", &LABEL_ORDERS);
    let [margin_left, margin_top] = margins;
    let [across, down] = shifts;
    let (margin_left, margin_top, across, down) = (margin_left?, margin_top?, across?, down?);
    let paper = paper?.unwrap_or(Paper::usual(fields.scope.unit));
    let usual = LabelSheet::usual(paper);
    let mut sheet = LabelSheet {
        paper,
        columns: columns?.unwrap_or(usual.columns),
        rows: rows?.unwrap_or(usual.rows),
        width: width?.unwrap_or(usual.width),
        height: height?.unwrap_or(usual.height),
        gap_across: gap_across?.unwrap_or(usual.gap_across),
        gap_down: gap_down?,
        left: Length::ZERO,
        top: Length::ZERO,
        shift_right: across,
        shift_down: down,
        order: order?,
    };
    let (left, top) = sheet.centered();
    let (left, top) = (margin_left.unwrap_or(left), margin_top.unwrap_or(top));
    check_room(&mut fields, &sheet, (left, top))?;
    (sheet.left, sheet.top) = (left, top);
    Ok(sheet)
}

/// How far all labels are moved, as a test print asks: towards one side or the other.
fn shift(fields: &mut Fields<'_, '_>, back: &str, on: &str) -> Found<Length> {
    let (less, more) = (fields.optional_length(back), fields.optional_length(on));
    if fields.is_filled(back) {
        fields.check_excluded(on, &format!("`{back}`"))?;
    }
    Ok(more?.unwrap_or_default() - less?.unwrap_or_default())
}

/// Whether the labels lie on their paper; what a test print asks for does not count.
fn check_room(
    fields: &mut Fields<'_, '_>,
    sheet: &LabelSheet,
    (left, top): (Length, Length),
) -> Found<()> {
    let (labels, paper) = (sheet.labels_size(), sheet.paper.size());
    let unit = fields.scope.unit;
    let shown = |length| exact_text(length, unit);
    let ways = [
        (
            "wide",
            sheet.columns,
            "columns",
            labels.0,
            left.max(Length::ZERO),
            paper.0,
        ),
        (
            "high",
            sheet.rows,
            "rows",
            labels.1,
            top.max(Length::ZERO),
            paper.1,
        ),
    ];
    let mut found = Ok(());
    for (along, count, noun, labels, margin, paper) in ways {
        if margin + labels > paper {
            let what = format!(
                "{count} {noun} of labels with their gaps and margin are {} {along}, the paper is {}",
                shown(margin + labels),
                shown(paper)
            );
            let hint =
                format!("give fewer {noun}, a smaller margin, or the size on the pack of labels");
            found = Err(fields.record_fault(code::LABELS_DO_NOT_FIT, what, hint));
        }
    }
    found
}
