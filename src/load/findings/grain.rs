//! Wishes for the grain that cannot be met.

use super::{fine, longest_board};
use crate::diag::{Diagnostic, Place, code, quoted};
use crate::job::{Finding, JobSpec, LongChains, Subject};
use crate::length::Rounding;

/// What is wrong with the wish of a frame, and what would do.
pub(super) fn fault(
    finding: &Finding,
    job: &JobSpec,
    frame_idx: usize,
    place: Place,
) -> Diagnostic {
    let frame = &job.frames[frame_idx];
    let name = quoted(&frame.name);
    let Finding::ChainTooLong {
        n_rails,
        length,
        board_idx,
        usable,
        ..
    } = finding
    else {
        let n_sides = frame.art.n_sides();
        let what = format!("frame {name} has {n_sides} sides, so none is opposite to another");
        return Diagnostic::error(code::NO_OPPOSITE_SIDES, place, what)
            .with_hint("`grain` may be `frame` or `adjacent` here".to_owned());
    };
    let unit = job.display.unit;
    let between = if job.boards[*board_idx].defects.is_empty() {
        "trims"
    } else {
        "trims and defects"
    };
    let what = format!(
        "{n_rails} rails of frame {name} in a row take {}, but {}, {}, has {} between its \
         {between}",
        fine(*length, unit, Rounding::Up),
        longest_board(job, Subject::Frame(frame_idx)),
        quoted(&job.boards[*board_idx].name),
        fine(*usable, unit, Rounding::Down)
    );
    let shorter = match (*n_rails, job.shop.long_chains) {
        (3.., LongChains::Refused) => {
            "`long-chains = \"adjacent\"` under `[shop]` lets such frames be cut in pairs"
        }
        _ => "ask less of the `grain`",
    };
    let enough = fine(*length + job.shop.end_trim * 2, unit, Rounding::Up);
    let hint = format!("a board of {enough} would do; or {shorter}");
    Diagnostic::error(code::CHAIN_TOO_LONG, place, what).with_hint(hint)
}
