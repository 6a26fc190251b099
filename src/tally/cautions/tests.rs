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
fn a_job_without_dangers_of_its_own_still_gets_the_general_cautions() {
    let job = plain_job();
    assert_eq!(
        cautions_of(&job),
        [
            Caution::Shop,
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
    let short = found.iter().find_map(|caution| match *caution {
        Caution::ShortParts {
            n_parts,
            shortest,
            length,
            n_tiny,
            ..
        } => Some((n_parts, shortest, length, n_tiny)),
        _ => None,
    });
    let spacer = Part::Loose {
        piece_idx: 2,
        copy: 1,
    };
    assert_eq!(short, Some((11, spacer, inches(7), 0)));
    assert!(found.contains(&Caution::Glazing {
        n_sheets: 2,
        n_glass: 2,
        n_large: 0,
        n_thin: 0,
        n_vast: 0,
        n_heavy: 0,
        n_narrow: 0,
    }));
}

#[test]
fn twelve_inches_are_not_short() {
    let mut job = plain_job();
    job.pieces[0].length = inches(12);
    job.pieces[0].quantity = 1;
    assert_eq!(cautions_of(&job).len(), 3);
    job.pieces[0].length -= Length::from_nm(1);
    assert_eq!(cautions_of(&job).len(), 4);
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
    assert_eq!(cautions_of(&job).len(), 3);
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
    job.pieces[0].width = Some(inches(1));
    assert!(cautions_of(&job).contains(&Caution::ThinRips {
        n_strips: 1,
        narrowest: inches(1),
    }));
}

#[test]
fn boards_more_than_half_of_which_is_planed_away_are_named() {
    // Derived: 3/4 of 2 in is less than half, of 1 1/2 in just half.
    let thick = |eighths: i64| crate::stock::Board {
        thickness: Some(in64(8 * eighths)),
        quantity: Some(1),
        ..crate::samples::board("stick", inches(60), None)
    };
    let mut job = empty_job();
    job.mouldings = vec![crate::frame::Moulding {
        thickness: Some(in64(48)),
        thicker_stock: true,
        ..crate::samples::moulding("cap", in64(64), None)
    }];
    job.pieces = vec![crate::job::Piece {
        moulding_idx: Some(0),
        ..piece("rail", inches(50), 3, crate::job::Ends::Square)
    }];
    job.boards = vec![thick(12), thick(16), thick(20)];
    let found = cautions_of(&job);
    assert!(found.contains(&Caution::ThickBoards {
        n_strips: 2,
        board_idx: 2,
        given: in64(160),
        moulding_idx: 0,
        wanted: in64(48),
    }));
    job.boards.truncate(1);
    let is_thick = |caution: &Caution| matches!(caution, Caution::ThickBoards { .. });
    assert!(!cautions_of(&job).iter().any(is_thick));
}

#[test]
fn boards_cut_at_the_yard_are_to_be_made_fast() {
    let mut job = plain_job();
    job.boards[0].at_yard = Some(crate::stock::AtYard {
        longest: inches(96),
        kerf: in64(8),
        charge: crate::money::Money::ZERO,
        places: crate::stock::YardPlaces::Listed(vec![inches(50)]),
    });
    // Derived: 120 in cut at 50 leave 70 less the kerf, which is the longer piece.
    let longest = inches(70) - in64(8);
    let found = cautions_of(&job);
    assert_eq!(
        found[0],
        Caution::LongBoards {
            n_boards: 1,
            longest,
        }
    );
}

#[test]
fn short_parts_are_sawn_off_while_the_board_is_long() {
    let mut job = plain_job();
    job.pieces = vec![
        piece("long", inches(30), 1, crate::job::Ends::Square),
        piece("middle", inches(20), 2, crate::job::Ends::Square),
        piece("short", inches(5), 2, crate::job::Ends::Square),
    ];
    // Derived: 30 + 2 * 20 + 2 * 5 = 80, four kerfs 1/2, two trims 1: 81-1/2 in.
    job.boards[0].length = inches(81) + in64(32);
    let (instance, origins) = lower(&job);
    let plan = raise(&job, &origins, &first_fit(&instance));
    let lengths = |plan: &Plan| -> Vec<i64> {
        let cuts = plan.boards[0].cuts();
        cuts.map(|cut| (cut.to - cut.from).nm() / inches(1).nm())
            .collect()
    };
    assert_eq!(lengths(&plan), [30, 5, 5, 20, 20]);
    assert_eq!(crate::audit::check(&plan), []);
    assert!(cautions(&plan).contains(&Caution::ShortParts {
        n_parts: 2,
        shortest: plan.boards[0].strips[0].cuts[1].part,
        length: inches(5),
        n_unheld: 0,
        n_all_short: 0,
        n_tiny: 2,
    }));
    // The audit refuses them behind what is longer.
    let mut other = plan.clone();
    let cuts = &mut other.boards[0].strips[0].cuts;
    cuts[1..].rotate_left(2);
    let mut from = job.shop.end_trim;
    for cut in cuts {
        let length = cut.to - cut.from;
        (cut.from, cut.to) = (from, from + length);
        from = cut.to + job.shop.kerf;
    }
    assert_eq!(lengths(&other), [30, 20, 20, 5, 5]);
    assert!(matches!(
        crate::audit::check(&other)[..],
        [crate::audit::Violation {
            kind: crate::audit::Kind::OutOfOrder,
            ..
        }]
    ));
    // Where the kerf of mitered ends puts all that is longer before them, they come last, and the caution says so.
    // Derived: behind the first of two lie one of 5, a kerf of 1/8 and the trim of 1/2; behind the last the trim.
    for piece in &mut job.pieces[..2] {
        piece.ends = crate::job::Ends::Miter;
    }
    job.boards[0].length += in64(32);
    assert!(cautions_of(&job).iter().any(|caution| matches!(
        caution,
        Caution::ShortParts {
            n_parts: 2,
            n_unheld: 2,
            n_all_short: 0,
            ..
        }
    )));
    // On a board that gives nothing longer no order would help, and the caution does not blame it.
    job.pieces.drain(..2);
    job.boards[0].length = inches(12);
    assert!(cautions_of(&job).iter().any(|caution| matches!(
        caution,
        Caution::ShortParts {
            n_unheld: 2,
            n_all_short: 2,
            ..
        }
    )));
}

#[test]
fn a_chopper_has_cautions_of_its_own_and_triangles_fall_between_miters() {
    let mut job = plain_job();
    job.shop.kerf = Length::ZERO;
    job.pieces[0].ends = crate::job::Ends::Miter;
    let found = cautions_of(&job);
    assert_eq!(found[0], Caution::Chopper { n_cuts: 2 });
    assert!(found.contains(&Caution::LooseTriangles { n_triangles: 1 }));
    job.shop.kerf = in64(8);
    assert!(!cautions_of(&job).contains(&Caution::Chopper { n_cuts: 2 }));
}

#[test]
fn glass_is_told_from_plastic_and_large_panes_are_counted() {
    let glazed = |name: &str, width, height, thickness| {
        let mut job = mixed_job();
        job.frames.truncate(1);
        let frame = &mut job.frames[0];
        frame.quantity = 1;
        frame.mat = None;
        frame.art = crate::samples::rectangle(width, height);
        frame.glazing = Some(crate::frame::Sheet {
            name: name.to_owned(),
            thickness,
        });
        let found = sizes_cautions(&job);
        let counts = found.iter().find_map(|caution| match *caution {
            Caution::Glazing {
                n_glass,
                n_large,
                n_thin,
                n_vast,
                ..
            } => Some([n_glass, n_large, n_thin, n_vast]),
            _ => None,
        });
        counts.unwrap_or_default()
    };
    let thin = Length::MILLIMETRE * 2;
    assert_eq!(glazed("glass", 24, 36, thin), [1, 0, 0, 0]);
    assert_eq!(glazed("glass", 25, 36, thin), [1, 0, 1, 0]);
    assert_eq!(glazed("glass", 40, 32, in64(6)), [1, 0, 0, 0]);
    // Thicker glass does not help beyond 32 x 40 in.
    assert_eq!(glazed("glass", 41, 32, in64(6)), [1, 1, 0, 1]);
    assert_eq!(glazed("glass", 41, 32, in64(16)), [1, 1, 0, 1]);
    assert_eq!(glazed("glass", 41, 32, thin), [1, 1, 0, 1]);
    // Derived: 36 x 36 in are 9 sq ft, and no more.
    assert_eq!(glazed("unknown", 36, 36, thin), [1, 0, 0, 0]);
    assert_eq!(glazed("unknown", 37, 36, thin), [1, 1, 0, 0]);
    assert_eq!(glazed("acrylic", 60, 60, thin), [0, 0, 0, 0]);
}

#[test]
fn a_heavy_frame_hangs_from_no_single_wire() {
    let mut job = mixed_job();
    job.frames.truncate(1);
    job.frames[0].mat = None;
    let pane = |job: &mut Job, thickness| {
        job.frames[0].art = crate::samples::rectangle(32, 40);
        job.frames[0].glazing = Some(crate::frame::Sheet {
            name: "glass".to_owned(),
            thickness,
        });
    };
    // Derived: 32 x 40 in = 0.8258048 sq m; of glass 4 mm thick 8.258 kg = 18.21 lb, 5 mm 10.323 kg = 22.76 lb.
    pane(&mut job, Length::MILLIMETRE * 4);
    assert!(heavy_frames(&job).is_none());
    pane(&mut job, Length::MILLIMETRE * 5);
    assert!(matches!(
        heavy_frames(&job),
        Some(Caution::HeavyFrames {
            n_frames: 2,
            heaviest: 0,
            weight,
        }) if weight.tenths_of_pounds() == 228
    ));
}

#[test]
fn heavy_and_narrow_panes_are_told_at_their_frames() {
    let troubles = |name: &str, width, height, thickness| {
        let mut job = mixed_job();
        job.frames.truncate(1);
        job.frames[0].mat = None;
        job.frames[0].art = crate::samples::rectangle(width, height);
        job.frames[0].glazing = Some(crate::samples::sheet(name, thickness));
        pane_troubles(&sized_frames(&job)[0])
    };
    // Derived: 32 x 40 in of glass 4 mm thick weighs 18.21 lb, 5 mm 22.76 lb.
    assert_eq!(troubles("glass", 32, 40, Length::MILLIMETRE * 4), []);
    let heavy = troubles("glass", 32, 40, Length::MILLIMETRE * 5);
    assert_eq!(heavy, [PaneTrouble::Heavy]);
    // 3 in are 76.2 mm, 4 in 101.6 mm.
    assert_eq!(troubles("glass", 3, 20, in64(6)), [PaneTrouble::Narrow]);
    assert_eq!(troubles("glass", 4, 20, in64(6)), []);
    assert_eq!(troubles("acrylic", 3, 20, in64(6)), []);
    let all = troubles("glass", 48, 60, Length::MILLIMETRE * 3);
    assert_eq!(
        all,
        [PaneTrouble::Large, PaneTrouble::Vast, PaneTrouble::Heavy]
    );
}

#[test]
fn hangers_chosen_by_a_weight_that_is_known_in_part_ask_for_a_caution() {
    use crate::frame::Holding;
    use crate::job::{HangBy, Hardware, HardwareUse, Lot};
    let mut job = mixed_job();
    job.frames.truncate(1);
    job.frames[0].mat = None;
    job.frames[0].glazing = Some(crate::samples::sheet("Bilderglas", in64(6)));
    job.mouldings[0].material = Some("Zirbe".to_owned());
    let told = |job: &Job| {
        let found = sizes_cautions(job).into_iter();
        let mut found = found.filter_map(|caution| match caution {
            Caution::HalfWeighed { n_frames } => Some(n_frames),
            _ => None,
        });
        found.next()
    };
    // Nothing is chosen where the job lists nothing to hang by.
    assert_eq!(told(&job), None);
    job.hardware = vec![Hardware {
        name: "ring".to_owned(),
        hardware_use: HardwareUse::Hangers,
        lot: Lot::Count(10),
        price: None,
        bears: Some(Weight::pounds(15)),
        each: None,
        roll_width: None,
    }];
    assert_eq!(told(&job), Some(2));
    job.assembly.hanging.by = Some(HangBy::Cleat);
    assert_eq!(told(&job), None);
    job.assembly.hanging.by = None;
    job.mouldings[0].material = Some("Nussbaum".to_owned());
    job.mouldings[0].thickness = Some(in64(48));
    assert_eq!(told(&job), None);
    // A canvas may weigh more than its tray.
    job.frames[0].holding = Holding::Tray { gap: in64(16) };
    job.frames[0].glazing = None;
    assert_eq!(told(&job), Some(2));
    // What has no rating is not chosen by weight.
    job.hardware[0].bears = None;
    assert_eq!(told(&job), None);
    // A cleat is, unless what is known is enough for one already.
    job.assembly.hanging.cleat_above = Some(Weight::pounds(20));
    assert_eq!(told(&job), Some(2));
    assert_eq!(chosen_by_weight(&job), [HardwareUse::Cleat].into());
    job.assembly.hanging.cleat_above = Some(Weight::ZERO);
    assert_eq!(told(&job), None);
    job.assembly.hanging.cleat_above = None;
    job.hardware[0].bears = Some(Weight::pounds(15));
    job.hardware[0].hardware_use = HardwareUse::Tape;
    assert_eq!(told(&job), None);
}
