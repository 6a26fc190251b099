//! The order of sawing by stop: each setting once, and what is cut at it.

use crate::job::{Job, StopAt};
use crate::plan::{Part, Plan};
use crate::report::document::{
    Document, Kind, Line, Table, Text, Tone, count_of, needed, say, together,
};
use crate::report::naming::{
    batch_name, from_trim, name_together, sticks, stop_measures, stop_word,
};
use crate::stations::{Batch, SawOrder, Setting, Stick, is_measured_elsewhere};

/// Adds how to use the order, and a table for each moulding and miter.
pub(super) fn write(doc: &mut Document, plan: &Plan, order: &SawOrder) {
    let job = &plan.job;
    doc.heading("by-stop", "By stop");
    doc.lines(how_often(order));
    doc.table(how_to_read(job, order));
    if !order.parted.is_empty() {
        doc.lines(where_to_part(job, order));
    }
    for batch in &order.batches {
        doc.heading("stops", batch_name(job, batch).capitalized());
        doc.table(settings(job, order, batch));
    }
}

/// How often the stop is set in this order and in the other one, and how sure that is.
fn how_often(order: &SawOrder) -> Vec<Line> {
    let counts = say!(
        "{}; board by board {}.",
        count_of(order.n_by_stop, "setting"),
        order.n_board_by_board
    );
    let handled = say!(
        "{}, picked up {} by stop; board by board each once.",
        sticks(order),
        count_of(order.n_picked_up, "time")
    );
    let proof = if order.is_fewest {
        Line::new(
            Tone::Good,
            "No order that takes one moulding after the other, and each strip from its near end on, has fewer settings.",
        )
    } else {
        Line::new(
            Tone::Watch,
            "Fewer settings may be possible: the search for them ended at its limit.",
        )
    };
    vec![
        Line::new(Tone::Strong, counts),
        Line::new(Tone::Plain, handled),
        proof,
    ]
}

fn how_to_read(job: &Job, order: &SawOrder) -> Table {
    let any_turned = order.by_board.iter().any(|cut| cut.turned);
    let any_skipped = order.by_stop().any(|cut| order.skip_before(cut).is_some());
    let elsewhere = (job.shop.stop != StopAt::LongPoint).then_some(
        "; square parts are as long everywhere, and others are measured as the column says",
    );
    let mut table =
        Table::new()
            .column("", Kind::Words, Tone::Strong)
            .column("", Kind::Prose, Tone::Faint);
    for (is_needed, word, meaning) in [
        (
            true,
            "stop",
            say!(
                "what is read at it: {}, rounded up{}",
                stop_measures(job.shop.stop),
                elsewhere
            ),
        ),
        (
            true,
            "A 1 2",
            "cuts 1 and 2 of board A; their parts stand below, to be written on their backs".into(),
        ),
        (
            any_turned,
            "3t",
            "the part of cut 3 lies turned end for end".into(),
        ),
        (
            any_skipped,
            "A 1 ! 2",
            "before cut 2 a defect is left out, from and to as said: saw a fresh end behind it"
                .into(),
        ),
        (
            true,
            "pairs",
            "opposite rails of one frame, equal because they come from one setting".into(),
        ),
    ] {
        if is_needed {
            table.row(vec![word.into(), meaning]);
        }
    }
    table
}

/// Strips that are cut at a defect before anything else.
fn where_to_part(job: &Job, order: &SawOrder) -> Vec<Line> {
    let head = Line::new(
        Tone::Watch,
        "Cut through these first, at the defect; each piece is then a stick of its own:",
    );
    let strips = order.parted.iter().map(|parted| {
        let at = parted.at.iter().map(|&run| from_trim(job, run));
        Line::item(say!(
            "{} from {}",
            parted.mark.to_string(),
            Text::join(at, ", ")
        ))
    });
    std::iter::once(head).chain(strips).collect()
}

/// The settings of a moulding and miter.
fn settings(job: &Job, order: &SawOrder, batch: &Batch) -> Table {
    let mut table = Table::new()
        .column("", Kind::Number, Tone::Faint)
        .column("stop", Kind::Length, Tone::Strong)
        .column("at", Kind::Words, Tone::Watch)
        .column("parts", Kind::Number, Tone::Plain)
        .column("pairs", Kind::Number, Tone::Faint)
        .column("board and cuts", Kind::Prose, Tone::Strong);
    for setting in &batch.settings {
        let elsewhere = is_measured_elsewhere(job, batch.miter, setting.at);
        table.row(vec![
            setting.number.into(),
            needed(setting.stop),
            elsewhere.then(|| stop_word(setting.at)).into(),
            setting.n_cuts.into(),
            (setting.n_pairs > 0).then_some(setting.n_pairs).into(),
            cuts(job, order, setting),
        ]);
        let parts: Vec<Part> = setting.cuts().map(|cut| cut.part).collect();
        table.note(Tone::Faint, name_together(job, &parts));
    }
    table
}

/// `A 1 2, C ! 14 to 16 1/2: 2`.
fn cuts(job: &Job, order: &SawOrder, setting: &Setting) -> Text {
    let of_stick = |stick: &Stick| {
        let cuts = stick.cuts.iter().map(|cut| {
            let turned = if cut.turned { "t" } else { "" };
            let number = format!("{}{turned}", cut.label.cut);
            match order.skip_before(cut) {
                Some(skip) => say!("! {}: {}", from_trim(job, skip), number),
                None => number.into(),
            }
        });
        let all = say!("{} {}", stick.mark.to_string(), Text::join(cuts, " "));
        let is_plain = stick
            .cuts
            .iter()
            .all(|cut| order.skip_before(cut).is_none());
        if is_plain { together(all) } else { all }
    };
    Text::join(setting.sticks.iter().map(of_stick), ", ")
}
