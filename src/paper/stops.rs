//! The chapter by stop: every setting of the stop once, with the cuts that it serves.

use askama::Template;

use crate::job::StopAt;
use crate::plan::Plan;
use crate::report::document::{Inline, Show, Text, count_of, exact, name, say};
use crate::stations::{Batch, SawOrder, Setting, Stick};

use super::boards::{part_words, tick_name};
use super::words::Words;

#[derive(Template)]
#[template(path = "stops.html", config = "src/paper/askama.toml")]
struct Stops {
    /// What is said of the order, sentence by sentence.
    about: Vec<String>,
    /// Strips that are cut at a defect before anything else.
    first: Vec<String>,
    batches: Vec<ShownBatch>,
}

struct ShownBatch {
    title: String,
    settings: Vec<ShownSetting>,
}

struct ShownSetting {
    stop: String,
    /// Whether the figure is another than the batch's, in words.
    measures: Option<&'static str>,
    rails: String,
    sticks: Vec<ShownStick>,
}

struct ShownStick {
    mark: String,
    cuts: Vec<ShownCut>,
}

struct ShownCut {
    tick: String,
    number: String,
    says: String,
    is_turned: bool,
}

/// What the stop measures, in words.
pub(super) fn measures(at: StopAt) -> &'static str {
    match at {
        StopAt::LongPoint => "from long point to long point, along the back edge",
        StopAt::Rabbet => "from wall to wall of the rabbet",
        StopAt::ShortPoint => "from short point to short point, along the sight edge",
    }
}

/// What a batch is cut from, and how its ends are cut.
pub(super) fn batch_title(plan: &Plan, batch: &Batch) -> Text {
    let moulding = batch
        .moulding_idx
        .map(|idx| name(&plan.job.mouldings[idx].name));
    say!(
        "{}, {}",
        moulding.unwrap_or_else(|| "plain wood".into()),
        Inline::Miter(batch.miter)
    )
}

/// The chapter.
pub(super) fn chapter(words: Words<'_>, plan: &Plan, order: &SawOrder) -> askama::Result<String> {
    Stops {
        about: about(words, plan, order),
        first: parted(words, order),
        batches: order
            .batches
            .iter()
            .map(|batch| shown_batch(words, plan, batch))
            .collect(),
    }
    .render()
}

fn about(words: Words<'_>, plan: &Plan, order: &SawOrder) -> Vec<String> {
    let settings = count_of(order.n_by_stop, "setting");
    let fewest = match (order.is_fewest, order.n_by_stop < order.n_board_by_board) {
        (true, true) => say!(
            "{} of the stop, the fewest this plan allows; board by board it is set {} times.",
            settings,
            order.n_board_by_board
        ),
        (true, false) => say!("{} of the stop, the fewest this plan allows.", settings),
        (false, _) => say!(
            "{} of the stop; fewer may do. Board by board it is set {} times.",
            settings,
            order.n_board_by_board
        ),
    };
    let handled = say!(
        "{} picked up {} in all.",
        count_of(order.n_sticks, "stick"),
        count_of(order.n_handled, "time")
    );
    let measures = say!("The stop measures {}.", measures(plan.job.shop.stop));
    let keep = "Cut what lies first on a stick before what lies behind it: this order keeps to that. Opposite rails come from one setting, so that they are alike.";
    [measures, fewest, handled, keep.into()]
        .map(|text| words.html(text))
        .to_vec()
}

fn parted(words: Words<'_>, order: &SawOrder) -> Vec<String> {
    let shown = order.parted.iter().map(|parted| {
        let places = parted
            .at
            .iter()
            .map(|&(from, to)| say!("between {} and {}", exact(from), exact(to)));
        say!(
            "{}: cut it in the defect {} from its raw near end, before anything else.",
            parted.mark.to_string(),
            Text::join(places, " and ")
        )
    });
    shown.map(|text| words.html(text)).collect()
}

fn shown_batch(words: Words<'_>, plan: &Plan, batch: &Batch) -> ShownBatch {
    let usual = plan.job.shop.stop;
    ShownBatch {
        title: words.html(batch_title(plan, batch)),
        settings: batch
            .settings
            .iter()
            .map(|setting| ShownSetting {
                stop: words.length(setting.stop, Show::Needed),
                measures: (setting.at != usual).then(|| measures(setting.at)),
                rails: pairs(setting),
                sticks: setting
                    .sticks
                    .iter()
                    .map(|stick| shown_stick(words, plan, stick))
                    .collect(),
            })
            .collect(),
    }
}

/// How many are cut.
fn pairs(setting: &Setting) -> String {
    setting.n_cuts.to_string()
}

fn shown_stick(words: Words<'_>, plan: &Plan, stick: &Stick) -> ShownStick {
    ShownStick {
        mark: stick.mark.to_string(),
        cuts: stick
            .cuts
            .iter()
            .map(|&cut| ShownCut {
                tick: tick_name(cut.label),
                number: cut.label.cut.to_string(),
                says: format!("{}, {}", cut.label, part_words(words, plan, cut)),
                is_turned: cut.turned,
            })
            .collect(),
    }
}
