use super::*;
use crate::frame::{Milled, Outline};
use crate::job::Ends;
use crate::report::samples::{lay, loose, rail};
use crate::samples::{board, empty_job, frame, in64, inches, moulding, piece, rectangle};
use crate::stock::Rip;

/// A job of one board whose parts are cut from a moulding 2 in wide with a lip of 1/4 in, measured at `stop`.
fn job(stop: StopAt) -> Job {
    let mut job = empty_job();
    job.shop.stop = stop;
    job.mouldings = vec![moulding("cap", inches(2), None)];
    job.boards = vec![board("stick", inches(96), None)];
    job
}

/// What the stop is set to for a part.
fn figure(job: &Job, part: Part) -> StopFigure {
    let planned = lay(job, 0, 1, 1, &[part]);
    stop_figure(job, &planned, 0, &planned.strips[0].cuts[0])
}

#[test]
fn a_rail_is_measured_at_long_point_rabbet_or_short_point() {
    // Derived, as in the table of the module: package 16 by 20, face 2, lip 1/4, allowance 1/8. Long points
    // 16 + 1/8 + 2 (2 - 1/4) = 19-5/8; rabbet 19-5/8 - 2 (1-3/4) = 16-1/8; short points 19-5/8 - 4 = 15-5/8.
    for (stop, sixteenths) in [
        (StopAt::LongPoint, 314),
        (StopAt::Rabbet, 258),
        (StopAt::ShortPoint, 250),
    ] {
        let mut job = job(stop);
        job.frames = vec![frame("Dunes", 1, rectangle(16, 20), 0)];
        let wanted = StopFigure {
            at: stop,
            length: in64(sixteenths * 4),
        };
        assert_eq!(figure(&job, rail(0, 1, 0)), wanted);
    }
}

#[test]
fn a_side_of_an_octagon_is_nearer_by_the_tangent_of_its_miter() {
    // Derived: 10 - 2 (1.75) tan 22.5 = 8.5503 and 10 - 4 tan 22.5 = 8.3431 in, both rounded up to the nanometer.
    for (stop, nm) in [
        (StopAt::LongPoint, 254_000_000),
        (StopAt::Rabbet, 217_176_415),
        (StopAt::ShortPoint, 211_915_903),
    ] {
        let mut job = job(stop);
        job.pieces = vec![piece("side", inches(10), 1, Ends::Corner { sides: 8 })];
        job.pieces[0].moulding_idx = Some(0);
        let figure = figure(&job, loose(0, 1));
        assert_eq!((figure.at, figure.length.nm()), (stop, nm));
    }
    // A polygon's rail is measured where its frame's sizes say.
    let mut job = job(StopAt::Rabbet);
    let art = Outline::of_side(8, inches(8));
    job.frames = vec![frame("Clock", 1, art, 0)];
    let rabbet = job.frame_sizes(0).rabbet.map(|rabbet| rabbet.side(0));
    assert_eq!(Some(figure(&job, rail(0, 1, 3)).length), rabbet);
    job.shop.stop = StopAt::ShortPoint;
    let short = job.frame_sizes(0).rail(3).short_point;
    assert_eq!(figure(&job, rail(0, 1, 3)).length, short);
}

#[test]
fn what_has_not_what_the_shop_measures_is_measured_at_its_long_points() {
    let mut job = job(StopAt::Rabbet);
    job.frames = vec![frame("Canvas", 1, rectangle(16, 20), 0)];
    job.frames[0].holding = Holding::Tray { gap: in64(16) };
    job.pieces = vec![
        piece("spare", inches(20), 1, Ends::Miter),
        piece("brace", inches(20), 1, Ends::Miter),
        piece("liner", inches(20), 1, Ends::Square),
    ];
    job.pieces[0].moulding_idx = Some(0);
    job.pieces[2].moulding_idx = Some(0);
    let long = |length| StopFigure {
        at: StopAt::LongPoint,
        length,
    };
    // A tray 16 + 2 (1/4) + 4 in outside; the spare rail stands for its rails.
    assert_eq!(figure(&job, rail(0, 1, 0)), long(in64(20 * 64 + 32)));
    for part in [loose(0, 1), loose(1, 1), loose(2, 1)] {
        assert_eq!(figure(&job, part), long(inches(20)));
    }
    // A moulding of frames with and without rabbets has one; one without a lip has none.
    job.frames.push(frame("Dunes", 1, rectangle(16, 20), 0));
    assert_eq!(figure(&job, loose(0, 1)).length, in64(16 * 64 + 32));
    job.mouldings[0].lip = Length::ZERO;
    assert_eq!(figure(&job, loose(0, 1)), long(inches(20)));
    assert_eq!(figure(&job, rail(1, 1, 0)).at, StopAt::LongPoint);
}

#[test]
fn plain_wood_has_short_points_where_its_width_is_known() {
    let mut job = job(StopAt::ShortPoint);
    job.pieces = vec![piece("brace", inches(20), 1, Ends::Miter)];
    job.pieces[0].width = Some(inches(1));
    assert_eq!(figure(&job, loose(0, 1)).at, StopAt::LongPoint);
    // The whole board is sawn, which is wider than the piece asks for.
    job.boards[0].width = Some(inches(3));
    assert_eq!(figure(&job, loose(0, 1)).length, inches(14));
    // Ripped to 1-1/16 and planed to 1 in.
    job.shop.rip = Some(Rip {
        kerf: in64(8),
        straightening: Length::ZERO,
        planing: in64(4),
        plane_off: Length::ZERO,
        narrowest_offcut: None,
        resaw: None,
    });
    let mut planned = lay(&job, 0, 1, 1, &[loose(0, 1)]);
    planned.strips[0].width = Some(in64(68));
    let cut = planned.strips[0].cuts[0];
    assert_eq!(stop_figure(&job, &planned, 0, &cut).length, inches(18));
}

#[test]
fn a_side_lies_opposite_where_the_sides_are_even() {
    assert_eq!(opposite_side(4, 1), Some(3));
    assert_eq!(opposite_side(6, 5), Some(2));
    assert_eq!(opposite_side(5, 1), None);
}

#[test]
fn a_rail_that_is_milled_after_cutting_has_no_rabbet_at_the_saw() {
    // Derived: long points 16 + 1/8 + 2 (2 - 1/4) = 19-5/8; short points, which a plain strip has too, 4 less: 15-5/8.
    for (stop, at, sixteenths) in [
        (StopAt::Rabbet, StopAt::LongPoint, 314),
        (StopAt::ShortPoint, StopAt::ShortPoint, 250),
    ] {
        let mut job = job(stop);
        job.mouldings[0].milled = Milled::AfterCutting;
        job.frames = vec![frame("Dunes", 1, rectangle(16, 20), 0)];
        let length = in64(sixteenths * 4);
        assert_eq!(figure(&job, rail(0, 1, 0)), StopFigure { at, length });
    }
    // So is a spare rail.
    let mut job = job(StopAt::Rabbet);
    job.mouldings[0].milled = Milled::AfterCutting;
    job.pieces = vec![piece("spare", inches(10), 1, Ends::Corner { sides: 4 })];
    job.pieces[0].moulding_idx = Some(0);
    let figure = figure(&job, loose(0, 1));
    assert_eq!((figure.at, figure.length), (StopAt::LongPoint, inches(10)));
}
