//! Wood in hand that the plan leaves while it buys boards or lacks some: why, equal reasons summed up.

use std::collections::BTreeMap;

use crate::job::JobSpec;
use crate::plan::Plan;
use crate::report::document::{Document, Kind, Table, Text, Tone, exact, needed_with_unit, say};
use crate::report::naming::{MOST_NAMED, name_times};
use crate::tally::{Unused, WhyUnused, unused};

pub(super) fn write(doc: &mut Document, plan: &Plan) {
    let mut by_reason: BTreeMap<WhyUnused, Vec<Unused>> = BTreeMap::new();
    // What an earlier sheet mills otherwise is cut as that says, and does not lie unused.
    let is_told = |unused: &Unused| {
        unused.why != WhyUnused::Milled || !plan.job.boards[unused.board_idx].is_at_bench()
    };
    for unused in unused(plan).into_iter().filter(is_told) {
        by_reason.entry(unused.why).or_default().push(unused);
    }
    if by_reason.is_empty() {
        return;
    }
    doc.heading("unused", "Wood that is not used, and why");
    let mut table = Table::new()
        .column("left", Kind::Number, Tone::Strong)
        .column("why", Kind::Prose, Tone::Plain)
        .column("which", Kind::Prose, Tone::Plain);
    for (why, pieces) in by_reason {
        let count: u64 = pieces.iter().map(|piece| u64::from(piece.count)).sum();
        table.row(vec![
            count.into(),
            reason(&plan.job, why),
            names(&plan.job, &pieces),
        ]);
    }
    doc.table(table);
}

/// Names with how many there are of each; the table `not-used.csv` has them all.
fn names(job: &JobSpec, pieces: &[Unused]) -> Text {
    let name = |piece: &Unused| name_times(&job.boards[piece.board_idx].name, piece.count);
    let shown = pieces.iter().take(MOST_NAMED).map(name);
    // Names may have commas.
    let mut text = Text::join(shown, "; ");
    if pieces.len() > MOST_NAMED {
        text.push(say!(" and {} more", pieces.len() - MOST_NAMED));
    }
    text
}

fn reason(job: &JobSpec, why: WhyUnused) -> Text {
    match why {
        WhyUnused::Kept => "left on purpose, for a rail that may be spoiled".into(),
        WhyUnused::OtherWood => "other wood than anything that is wanted".into(),
        WhyUnused::Milled => "milled already, to another moulding or size".into(),
        WhyUnused::TooThin => "too thin".into(),
        WhyUnused::TooThick => "too thick, and not to be planed down".into(),
        WhyUnused::TooNarrow => "too narrow".into(),
        WhyUnused::BetweenWidths => match job.shop.rip {
            Some(rip) => say!(
                "too narrow to be ripped, and more than {} (`plane-off`) too wide to be planed",
                exact(rip.plane_off)
            ),
            None => "of another width".into(),
        },
        WhyUnused::OtherBoards => "what it suits must come from other boards".into(),
        WhyUnused::TooShort { needed } => say!(
            "too short between its trims and defects: the shortest part for it is {}",
            needed_with_unit(needed)
        ),
        WhyUnused::SavesNothing => {
            "worth more than it would save: no plan with it is better".into()
        }
        WhyUnused::NoUseFound => {
            "parts fit on it, but the search found nothing better with it".into()
        }
    }
}
