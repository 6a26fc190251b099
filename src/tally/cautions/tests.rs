use super::*;
use crate::bridge::{lower, raise};
use crate::samples::{empty_job, first_fit, in64, inches, mixed_job, piece};

fn cautions_of(job: &Job) -> Vec<Caution> {
    let (instance, origins) = lower(job);
    cautions(&raise(job, &origins, &first_fit(&instance)))
}

/// Two slats of 40 in on a board that leaves no offcut worth a word.
fn plain_job() -> Job {
    let mut job = empty_job();
    job.pieces = vec![piece("slat", inches(40), 2, crate::job::Ends::Square)];
    job.boards = vec![crate::samples::board("stick", inches(120), None)];
    job
}

#[test]
fn a_job_without_dangers_of_its_own_still_gets_the_two_general_cautions() {
    let job = plain_job();
    assert_eq!(
        cautions_of(&job),
        [
            Caution::MeasureFirst {
                kerf: in64(8),
                n_boards: 1,
            },
            Caution::Deferral,
        ]
    );
}

#[test]
fn short_parts_are_counted_and_the_shortest_named() {
    let job = mixed_job();
    // The spacers of 7 in are the only loose work below 12 in. Derived: the hexagon's rails are
    // 10 + (1/8 + 2 * 1/2) tan 30 = 10.65 in, six of them.
    let found = cautions_of(&job);
    assert!(found.contains(&Caution::ShortParts {
        n_parts: 11,
        shortest: Part::Loose {
            piece_idx: 2,
            copy: 1,
        },
        length: inches(7),
    }));
    assert!(found.contains(&Caution::Glazing { n_sheets: 2 }));
}

#[test]
fn twelve_inches_are_not_short() {
    let mut job = plain_job();
    job.pieces[0].length = inches(12);
    job.pieces[0].quantity = 1;
    assert_eq!(cautions_of(&job).len(), 2);
    job.pieces[0].length -= Length::from_nm(1);
    assert_eq!(cautions_of(&job).len(), 3);
}

#[test]
fn short_rails_milled_after_cutting_are_not_to_be_planed() {
    let mut job = mixed_job();
    job.mouldings[1].milled = Milled::AfterCutting;
    assert!(
        cautions_of(&job)
            .iter()
            .any(|caution| matches!(caution, Caution::ShortMilledAfterCutting { n_parts: 6, .. }))
    );
}

#[test]
fn a_board_used_up_leaves_no_offcut_to_warn_of() {
    let mut job = plain_job();
    // Derived: 2 * 40 + 1/8 + 2 * 1/2 = 81-1/8.
    job.boards[0].length = inches(81) + in64(8);
    assert_eq!(cautions_of(&job).len(), 2);
}

#[test]
fn short_offcuts_and_boards_to_be_ripped_are_counted() {
    let mut job = plain_job();
    // Derived: 91-1/4 - 2 * 1/2 - 2 * 40 - 2 * 1/8 = 10 in.
    job.boards[0].length = inches(91) + in64(16);
    job.boards[0].width = Some(inches(6));
    job.pieces[0].width = Some(inches(2));
    let found = cautions_of(&job);
    assert_eq!(
        found[..2],
        [
            Caution::ShortOffcuts {
                n_strips: 1,
                shortest: inches(10),
            },
            Caution::Ripping {
                n_boards: 1,
                narrowest: inches(2),
            },
        ]
    );
    assert_eq!(
        found[1].to_string(),
        "boards to be ripped first: 1, the narrowest strip 50.8 mm; keep guard and riving knife in place and push \
         sticks at hand, for the last 300 mm of every rip"
    );
}
