//! The order of sawing by stop.

use crate::plan::{Plan, part_label};
use crate::report::figures::degrees;
use crate::report::naming::{part_sizes, stop_word};
use crate::stations::SawOrder;

use super::plan_tables::{ends, from_one, moulding_name, naming_cells};
use super::rows::{Rows, decimal, length, number};

/// Every cut in the order by stop, with the setting at which it is made: what the stop is set to, and what that measures.
///
/// All cuts of a setting have its figure at the stop, the longest of theirs; each has its own length beside. What is
/// `parted` is cut at a defect first, and lies on that part of its strip, from 1. Where a defect is left out before a cut,
/// `skip-from` and `skip-to` say from and to where, from the trimmed near end.
pub fn saw_order_csv(plan: &Plan, order: &SawOrder) -> String {
    let job = &plan.job;
    let mut rows = Rows::new(
        &job.display,
        &[
            "setting",
            "stop@",
            "measured",
            "moulding",
            "ends",
            "miter-degrees",
            "mark",
            "strip",
            "parted",
            "cut",
            "part",
            "kind",
            "frame",
            "piece",
            "copy",
            "side",
            "length@",
            "short-point@",
            "turned",
            "shares-cut",
            "skip-from@",
            "skip-to@",
        ],
    );
    let yes = |is: bool| if is { "yes" } else { "no" };
    for batch in &order.batches {
        for setting in &batch.settings {
            for (stick, cut) in setting.sticks.iter().flat_map(|stick| {
                let cuts = stick.cuts.iter();
                cuts.map(move |cut| (stick, cut))
            }) {
                let mut cells = vec![
                    number(setting.number),
                    length(setting.stop),
                    stop_word(setting.at).replace(' ', "-").into(),
                    moulding_name(job, batch.moulding_idx).into(),
                    ends(batch.miter),
                    decimal(degrees(batch.miter, 3)),
                    stick.mark.to_string().into(),
                    number(from_one(stick.strip)),
                    stick
                        .run
                        .map_or_else(|| "".into(), |run| number(from_one(run))),
                    number(cut.label.cut),
                    part_label(job, cut.part).into(),
                ];
                cells.extend(naming_cells(job, cut.part));
                let (long_point, short_point) = part_sizes(job, cut.part);
                cells.extend([
                    length(long_point),
                    length(short_point),
                    yes(cut.turned).into(),
                    yes(cut.shares_cut).into(),
                ]);
                let skip = order.skip_before(cut);
                let trim = job.shop.end_trim;
                cells.extend([
                    length(skip.map(|(from, _)| from - trim)),
                    length(skip.map(|(_, to)| to - trim)),
                ]);
                rows.row(cells);
            }
        }
    }
    rows.into_text()
}
