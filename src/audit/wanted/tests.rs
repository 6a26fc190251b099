use proptest::prelude::*;

use super::*;
use crate::audit::polygon::bounds;
use crate::frame::{Borders, Grain, Inner, Mat, frame_sizes, package, rectangle_round};
use crate::job::LongChains;
use crate::samples::{
    board, empty_job, frame, in16, in64, inches, mat, moulding, piece, rectangle, slat,
};
use crate::stock::{Across, Board, Defect, Rip};

/// Chain, place and number of rails of each side of a frame of rails of 10 in whose longest board has this clear stretch.
fn chains(
    art: Outline,
    grain: Grain,
    long: LongChains,
    longest_nm: i128,
) -> Vec<Option<(u32, u32, u32)>> {
    let mut job = empty_job();
    job.mouldings = vec![Moulding {
        grain,
        ..moulding("cap", inches(1), None)
    }];
    job.shop.long_chains = long;
    let frame = frame("Sea", 1, art, 0);
    let n_sides = usize::try_from(art.n_sides()).expect("small");
    let lengths = vec![nm(inches(10)); n_sides];
    let links = links(&job, &frame, &lengths, nm(in64(8)), longest_nm);
    let told = links.into_iter().map(|link| {
        let link = link?;
        Some((link.chain, link.place, link.n_rails))
    });
    told.collect()
}

fn polygon(sides: u32) -> Outline {
    Outline::of_side(sides, inches(9))
}

#[test]
fn chains_go_round_from_the_left_rail_of_a_rectangle_and_the_first_of_a_polygon() {
    let square = rectangle(9, 9);
    let far = nm(inches(999));
    let refused = LongChains::Refused;
    // Top, right, bottom, left.
    assert_eq!(
        chains(square, Grain::Frame, refused, far),
        [1, 2, 3, 0].map(|place| Some((0, place, 4)))
    );
    let pairs = [(0, 1), (1, 0), (1, 1), (0, 0)];
    let pairs = pairs.map(|(chain, place)| Some((chain, place, 2)));
    assert_eq!(chains(square, Grain::Adjacent, refused, far), pairs);
    let opposite = [(0, 0), (1, 0), (0, 1), (1, 1)];
    let opposite = opposite.map(|(chain, place)| Some((chain, place, 2)));
    assert_eq!(chains(square, Grain::Opposite, refused, far), opposite);
    // The fifth rail of a pentagon has no neighbor left, and none of its rails has one opposite.
    let fifth_alone = [(0, 0), (0, 1), (1, 0), (1, 1)];
    let mut fifth_alone = fifth_alone
        .map(|(chain, place)| Some((chain, place, 2)))
        .to_vec();
    fifth_alone.push(None);
    assert_eq!(
        chains(polygon(5), Grain::Adjacent, refused, far),
        fifth_alone
    );
    assert_eq!(chains(polygon(5), Grain::Opposite, refused, far), [None; 5]);
    let third = [(0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (2, 1)];
    assert_eq!(
        chains(polygon(6), Grain::Opposite, refused, far),
        third.map(|(chain, place)| Some((chain, place, 2)))
    );
    assert_eq!(chains(square, Grain::Free, refused, far), [None; 4]);
}

#[test]
fn a_chain_goes_in_pairs_only_where_it_is_longer_than_what_is_clear() {
    let square = rectangle(9, 9);
    // Derived: four rails of 10 in with three kerfs of 1/8 in between them take 40 3/8 in.
    let all = nm(inches(40) + in64(24));
    for (asked, pairs) in [
        (Grain::Adjacent, [1, 0, 1, 0]),
        (Grain::Opposite, [0, 0, 1, 1]),
    ] {
        let long = LongChains::InPairs(asked);
        let n_rails = |longest| chains(square, Grain::Frame, long, longest)[0].map(|link| link.2);
        assert_eq!((n_rails(all), n_rails(all - 1)), (Some(4), Some(2)));
        let places = chains(square, Grain::Frame, long, 0);
        let places: Vec<u32> = places.into_iter().flatten().map(|link| link.1).collect();
        assert_eq!(places, pairs);
    }
    // No two rails of a pentagon lie opposite, so its chain stays whole.
    let long = LongChains::InPairs(Grain::Opposite);
    let whole = chains(polygon(5), Grain::Frame, long, 0);
    assert_eq!(whole[4], Some((0, 4, 5)));
}

fn spot(from: i64, to: i64, across: Across) -> Defect {
    Defect {
        from: inches(from),
        to: inches(to),
        across,
    }
}

/// A job with trims of 1/2 in and one slat of 3 in that is ripped from a board of 8 in, of which 7 are left.
fn ripped(defects: Vec<Defect>) -> Job {
    let mut job = empty_job();
    job.shop.rip = Some(Rip {
        kerf: in64(8),
        straightening: inches(1),
        planing: Length::ZERO,
        plane_off: Length::ZERO,
        ..crate::samples::rip()
    });
    job.pieces = vec![slat("slat", inches(20), 1, inches(3))];
    job.boards = vec![Board {
        width: Some(inches(8)),
        defects,
        ..board("plank", inches(60), None)
    }];
    job
}

/// From and to in sixty-fourths of an inch.
fn in_64ths(stretches: Vec<Stretch>) -> Vec<(i128, i128)> {
    let unit = nm(in64(1));
    let told = stretches
        .into_iter()
        .map(|(from, to)| (from / unit, to / unit));
    told.collect()
}

#[test]
fn what_is_clear_lies_between_the_spoiled_stretches() {
    let job = ripped(vec![
        spot(10, 20, Across::Left(None)),
        spot(15, 25, Across::Right(None)),
        spot(50, 60, Across::Full),
    ]);
    let wanted = Wanted::by(&job);
    // Derived: 1/2 in to 10 in, and 25 in to 50 in; nothing is clear between 20 and 15, nor behind 60.
    assert_eq!(
        in_64ths(wanted.clear(wanted.whole(0), 0, None)),
        [(32, 640), (1_600, 3_200)]
    );
    let job = ripped(vec![spot(0, 60, Across::Full)]);
    let wanted = Wanted::by(&job);
    assert_eq!(wanted.clear(wanted.whole(0), 0, None), []);
}

#[test]
fn a_defect_is_as_long_as_the_widest_kerf_at_least() {
    let mut job = ripped(vec![spot(10, 11, Across::Full)]);
    job.boards[0].defects[0].to = job.boards[0].defects[0].from + Length::from_nm(1);
    let wanted = Wanted::by(&job);
    assert_eq!(
        in_64ths(wanted.spoiled(wanted.whole(0), 0, None)),
        [(640, 648)]
    );
}

#[test]
fn a_defect_on_one_side_reaches_strips_up_to_its_depth() {
    let job = ripped(vec![
        spot(10, 20, Across::Left(Some(inches(2)))),
        spot(30, 40, Across::Right(Some(inches(3)))),
    ]);
    let wanted = Wanted::by(&job);
    // Derived: from 0 to 2 in, and from 7 - 3 = 4 in on to the edge; what only touches is not reached.
    for (from, to, n_spoiled) in [(2, 4, 0), (1, 4, 1), (2, 5, 1), (1, 5, 2), (0, 7, 2)] {
        let across = Some((nm(inches(from)), nm(inches(to))));
        assert_eq!(
            wanted.spoiled(wanted.whole(0), 0, across).len(),
            n_spoiled,
            "{from} {to}"
        );
    }
    assert_eq!(wanted.starts(wanted.whole(0)), [nm(inches(2))]);
    assert!(wanted.has_partial_defects(wanted.whole(0)));
    // A strip begins a kerf from the edge at least, and nowhere behind what takes all the width.
    let job = ripped(vec![
        spot(10, 20, Across::Left(Some(in64(1)))),
        spot(30, 40, Across::Left(Some(inches(8)))),
        spot(50, 55, Across::Left(None)),
    ]);
    let wanted = Wanted::by(&job);
    assert_eq!(wanted.starts(wanted.whole(0)), [nm(in64(8)), nm(inches(4))]);
}

#[test]
fn the_longest_clear_stretch_is_that_of_the_best_place_on_a_board_there_is() {
    let any = ChosenBoards::ANY;
    // Derived: behind 4 in of the left edge 3 in are left of 7, so a strip has all 59 in between the trims.
    let mut job = ripped(vec![spot(10, 40, Across::Left(None))]);
    assert_eq!(Wanted::by(&job).longest_clear(0, &any), nm(inches(59)));
    // Derived: a strip of 3 1/64 in has no room there, and 40 in to 59 1/2 in beside the defect.
    job.pieces[0].width = Some(inches(3) + in64(1));
    let beside = nm(inches(19) + in64(32));
    assert_eq!(Wanted::by(&job).longest_clear(0, &any), beside);
    assert_eq!(
        Wanted::by(&job).longest_clear(0, &ChosenBoards::only([1])),
        0
    );
    job.boards[0].quantity = Some(1);
    assert_eq!(Wanted::by(&job).longest_clear(0, &any), beside);
    job.boards[0].quantity = Some(0);
    assert_eq!(Wanted::by(&job).longest_clear(0, &any), 0);
}

#[test]
fn a_board_as_wide_as_the_section_is_not_ripped() {
    let mut job = ripped(Vec::new());
    let width_nm = nm(inches(3));
    assert_eq!(
        Wanted::by(&job).takings,
        [[Some(Taken::Ripped { width_nm })]]
    );
    job.boards[0].width = Some(inches(3));
    assert_eq!(Wanted::by(&job).takings, [[Some(Taken::Whole)]]);
    // Derived: straightening takes 1 in, so 4 in is the least that can be ripped.
    job.boards[0].width = Some(inches(4));
    assert_eq!(
        Wanted::by(&job).takings,
        [[Some(Taken::Ripped { width_nm })]]
    );
    job.boards[0].width = Some(inches(4) - Length::from_nm(1));
    assert_eq!(Wanted::by(&job).takings, [[None]]);
}

#[test]
fn what_is_too_short_to_be_a_trapezoid_has_no_slant() {
    let mut job = empty_job();
    job.mouldings = vec![moulding("cap", inches(1), None)];
    job.boards = vec![board("stick", inches(60), None)];
    // Derived: at 45 degrees an end runs as far along as the face is wide, 1 in; two of them take 2 in.
    for (sixty_fourths, slant_nm) in [(96, 0), (128, 0), (129, nm(inches(1)))] {
        let mut bar = piece("bar", in64(sixty_fourths), 1, Ends::Miter);
        bar.moulding_idx = Some(0);
        job.pieces = vec![bar];
        let wanted = Wanted::by(&job);
        let part = Part::Loose {
            piece_idx: 0,
            copy: 1,
        };
        let found = wanted.part(part).map(|(_, part)| part.slant_nm);
        assert_eq!(found, Some(slant_nm), "{sixty_fourths}");
    }
}

#[test]
fn nothing_is_sawn_at_what_is_only_left() {
    let mut job = empty_job();
    let spare = Piece {
        purpose: Purpose::SpareOffcut,
        ..piece("spare", inches(20), 1, Ends::Square)
    };
    job.pieces = vec![piece("bar", inches(20), 1, Ends::Square), spare];
    let wanted = Wanted::by(&job);
    let facts = |piece_idx| {
        let part = wanted.part(Part::Loose { piece_idx, copy: 1 });
        part.map(|(_, part)| (part.is_left(), part.kerf.least, part.kerf.most))
    };
    let kerf = nm(in64(8));
    assert_eq!(facts(0), Some((false, kerf, kerf)));
    assert_eq!(facts(1), Some((true, 0, 0)));
}

/// A mat with borders of so many sixteenths; a float has no lap.
fn drawn_mat(border: i64, lap: Option<i64>) -> Mat {
    Mat {
        mount: lap.map_or(Mount::Float, |lap| Mount::Overlap(in16(lap))),
        ..mat(Borders {
            top: in16(border),
            right: in16(border),
            bottom: in16(border),
            left: in16(border),
        })
    }
}

proptest! {
    #![proptest_config(cases!(200))]

    /// What a frame holds and its outside, summed up here, are those that the frame was sized with: rectangles and polygons,
    /// with mats, frames inside and in trays.
    #[test]
    fn frames_have_the_sizes_that_they_were_made_with(
        sides in prop_oneof![Just(4_u32), 3_u32..=48],
        (width, height) in (20_000_000_i64..2_000_000_000, 20_000_000_i64..2_000_000_000),
        mat in prop::option::of((8_i64..80, prop::option::of(0_i64..8))),
        inner in prop::collection::vec((0_usize..2, 0_i64..4), 0..3),
        (gap, play) in (prop::option::of(0_i64..16), 0_i64..6),
        is_rectangle in any::<bool>(),
    ) {
        let mut job = empty_job();
        job.shop.fit_allowance = in16(play);
        job.mouldings = vec![moulding("cap", in16(29), None), moulding("slip", in16(11), None)];
        let (width, height) = (Length::from_nm(width), Length::from_nm(height));
        let art = if is_rectangle {
            Outline::Rectangle { width, height }
        } else {
            Outline::of_side(sides, width)
        };
        let inner = inner.into_iter().map(|(moulding_idx, play)| Inner {
            moulding_idx,
            play: in16(play),
        });
        let drawn = Frame {
            mat: mat.map(|(border, lap)| drawn_mat(border, lap)),
            inner: inner.collect(),
            holding: gap.map_or(Holding::Rabbet, |gap| Holding::Tray { gap: in16(gap) }),
            ..frame("Sea", 1, art, 0)
        };
        let package = package(&drawn, &job.mouldings, job.shop.fit_allowance);
        let sizes = frame_sizes(&drawn, &job.mouldings, job.shop.fit_allowance);
        prop_assert_eq!(in_rabbet(&job, &drawn), (package.size, package.play));
        prop_assert_eq!(outside(&job, &drawn), sizes.outside);
        prop_assert_eq!(bounds(outside(&job, &drawn)), rectangle_round(sizes.outside));
        let long = [0, 1].map(|side| sizes.rail(side).long_point);
        prop_assert_eq!(long_points(&job, &drawn), (sizes.n_sides(), long));
    }
}
