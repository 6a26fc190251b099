//! What to look out for at the miter saw, in short: it stands on every chapter that goes there alone.

use crate::plan::Plan;
use crate::report::document::{
    Text, count_of, needed_with_unit, round_figure, say, there_with_unit,
};
use crate::tally::{Caution, Limits, cautions};

use super::words::Words;

/// One line; `None` where the plan's own figures call for nothing.
pub(super) fn at_the_saw(words: Words<'_>, plan: &Plan) -> Option<String> {
    let shop = &plan.job.shop;
    let stock = if shop.rip.is_some() { "strip" } else { "board" };
    let limits = Limits::of(plan.job.display.unit);
    let said = cautions(plan);
    let said = said.iter();
    let said: Vec<Text> = said
        .filter_map(|it| in_short(*it, shop.chops(), stock, limits))
        .collect();
    (!said.is_empty()).then(|| words.html(Text::join(said, " ")))
}

/// A caution that belongs to the saw; what is cut there is called `stock`.
fn in_short(caution: Caution, chops: bool, stock: &str, limits: Limits) -> Option<Text> {
    let short = || round_figure(limits.short_work);
    let wait = if chops {
        "your foot is off the pedal"
    } else {
        "the blade stands still"
    };
    let text = match caution {
        Caution::Chopper { .. } => {
            "Chopper: guard on, both hands away from the knives before your foot moves.".into()
        }
        Caution::ShortParts {
            n_parts,
            length,
            n_unheld,
            n_tiny,
            ..
        } => {
            let near = if chops {
                "under the knives"
            } else {
                "near the blade"
            };
            let unheld = (n_unheld > 0).then(|| {
                say!(
                    "; {} of them with less than {} left to hold: a clamp or a carrier",
                    n_unheld,
                    short()
                )
            });
            let tiny = (n_tiny > 0).then(|| {
                say!(
                    "; {} under {}: only in a carrier or with a hold-down",
                    n_tiny,
                    round_figure(limits.tiny_work)
                )
            });
            say!(
                "Short work: {} under {}, the shortest {}, never by hand {}{}{}.",
                count_of(n_parts, "part"),
                short(),
                needed_with_unit(length),
                near,
                unheld,
                tiny
            )
        }
        Caution::ShortOffcuts { n_strips, shortest } => say!(
            "Short offcuts: under {} left on {}, the least {}: let them lie until {}.",
            short(),
            count_of(n_strips, stock),
            there_with_unit(shortest),
            wait
        ),
        Caution::LooseTriangles { n_triangles } => say!(
            "Loose triangles: {}, each falls free at the second cut: leave it until {}.",
            n_triangles,
            wait
        ),
        _ => return None,
    };
    Some(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bridge::{lower, raise};
    use crate::samples::{board, empty_job, first_fit, inches, piece};

    /// A plan of one piece so long from a board so long, with its ends trimmed by nothing.
    fn said(piece_inches: i64, board_inches: i64) -> Option<String> {
        let mut job = empty_job();
        job.pieces = vec![piece(
            "slat",
            inches(piece_inches),
            1,
            crate::job::Ends::Square,
        )];
        job.boards = vec![board("oak", inches(board_inches), None)];
        let (instance, origins) = lower(&job);
        let plan = raise(&job, &origins, &first_fit(&instance));
        at_the_saw(Words::new(&job.display), &plan)
    }

    #[test]
    fn only_what_the_plan_calls_for_is_said() {
        assert_eq!(said(30, 90), None);
        let short = said(4, 90).expect("a part of 4 in is short");
        assert!(short.starts_with("Short work: 1 part"), "{short}");
        assert!(!short.contains("Short offcuts"), "{short}");
        let offcut = said(30, 33).expect("about 3 in are left");
        assert!(offcut.starts_with("Short offcuts: under"), "{offcut}");
        assert!(offcut.contains("left on 1 board"), "{offcut}");
    }
}
