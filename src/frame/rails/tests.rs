use super::*;
use crate::frame::Inner;
use crate::samples::{self, in64};

fn inches(whole: i64, sixty_fourths: i64) -> Length {
    in64(64 * whole + sixty_fourths)
}

fn moulding(face_width: Length, lip: Length) -> Moulding {
    Moulding {
        lip,
        ..samples::moulding("cap", face_width, None)
    }
}

fn frame(art: Outline, holding: Holding) -> Frame {
    Frame {
        holding,
        ..samples::frame("art", 1, art, 0)
    }
}

fn rectangle(width: Length, height: Length) -> Outline {
    Outline::Rectangle { width, height }
}

#[test]
fn rails_of_a_16_by_20_package() {
    // Derived by the rule "opening + allowance + 2 x (rabbet wall to back edge)" (Fine Woodworking 275, 2019, tips):
    // face 2, lip 1/4, allowance 1/8: 16 + 1/8 + 2 * 1-3/4 = 19-5/8; 20 + 1/8 + 3-1/2 = 23-5/8; less 2 * 2 for the
    // short points; sum of long points 2 * (19-5/8 + 23-5/8) = 86-1/2.
    let art = rectangle(inches(16, 0), inches(20, 0));
    let sizes = frame_sizes(
        &frame(art, Holding::Rabbet),
        &[moulding(inches(2, 0), in64(16))],
        in64(8),
    );
    let rails: Vec<(Length, Length)> = (0..4)
        .map(|side| sizes.rail(side))
        .map(|rail| (rail.long_point, rail.short_point))
        .collect();
    let across = (inches(19, 40), inches(15, 40));
    let upright = (inches(23, 40), inches(19, 40));
    assert_eq!(rails, [across, upright, across, upright]);
    let sum: Length = rails.iter().map(|rail| rail.0).sum();
    assert_eq!(sum, inches(86, 32));
    // Derived: the old rule "perimeter + 8 x width" holds for the width from rabbet wall to back edge, with the
    // rabbet's perimeter: 2 * (16-1/8 + 20-1/8) + 8 * 1-3/4 = 72-1/2 + 14.
    assert_eq!(sum, (inches(16, 8) + inches(20, 8)) * 2 + inches(1, 48) * 8);
    assert_eq!(sizes.rabbet, Some(rectangle(inches(16, 8), inches(20, 8))));
    // Derived: the same four rails in one chain, kerf 1/8: 86.5 + 3 * 0.17678 = 87.030 in, to half a thousandth.
    let chain = sum + sizes.miter().kerf_along(in64(8)) * 3;
    assert!((chain.nm() - 87_030 * 25_400).abs() <= 12_700);
}

#[test]
fn a_rabbet_wall_one_and_an_eighth_from_the_back() {
    // Common practice, no source: art 17, face 1-3/8, lip 1/4, so rabbet wall to back edge 1-1/8; allowance 1/8:
    // 17 + 2 * 1-1/8 + 1/8, long point 19-3/8.
    let art = rectangle(inches(17, 0), inches(17, 0));
    let sizes = frame_sizes(
        &frame(art, Holding::Rabbet),
        &[moulding(inches(1, 24), in64(16))],
        in64(8),
    );
    assert_eq!(sizes.rail(0).long_point, inches(19, 24));
}

#[test]
fn stock_without_a_rabbet_adds_its_full_width_twice() {
    // Common practice, no source: 12 x 14 edged with 3 in stock, no rabbet: long points 18 and 20.
    let art = rectangle(inches(12, 0), inches(14, 0));
    let edged = frame_sizes(
        &frame(art, Holding::Rabbet),
        &[moulding(inches(3, 0), Length::ZERO)],
        Length::ZERO,
    );
    assert_eq!(edged.outside, rectangle(inches(18, 0), inches(20, 0)));
    assert_eq!(edged.sight, art);
    // A tray without a gap comes to the same, whatever lip the moulding may have.
    let tray = Holding::Tray { gap: Length::ZERO };
    let sizes = frame_sizes(
        &frame(art, tray),
        &[moulding(inches(3, 0), in64(16))],
        in64(8),
    );
    assert_eq!((sizes.outside, sizes.rabbet), (edged.outside, None));
}

#[test]
fn a_tray_stands_off_by_its_gap_on_each_side() {
    // Derived: inside 10 + 2 * 1/4 = 10-1/2, long point 10-1/2 + 2 * 3/4 = 12.
    let art = rectangle(inches(10, 0), inches(20, 0));
    let tray = Holding::Tray { gap: in64(16) };
    let sizes = frame_sizes(&frame(art, tray), &[moulding(in64(48), in64(16))], in64(8));
    assert_eq!(
        sizes.rail(0),
        Rail {
            long_point: inches(12, 0),
            short_point: inches(10, 32),
        }
    );
    assert_eq!(sizes.rail(1).short_point, inches(20, 32));
}

#[test]
fn a_polygons_points_differ_by_twice_the_face_times_the_tangent() {
    // Derived: 2 F tan(180/n) with F = 2, to four decimals; 1e-4 in = 2540 nm.
    for (sides, ten_thousandths) in [
        (3, 69_282),
        (4, 40_000),
        (5, 29_062),
        (6, 23_094),
        (8, 16_569),
        (12, 10_718),
    ] {
        let art = Outline::of_side(sides, inches(30, 0));
        let sizes = frame_sizes(
            &frame(art, Holding::Rabbet),
            &[moulding(inches(2, 0), in64(16))],
            in64(8),
        );
        let rail = sizes.rail(sides - 1);
        let difference = rail.long_point - rail.short_point;
        assert!(
            (difference.nm() - 2_540 * ten_thousandths).abs() <= 1_270,
            "{sides} sides: {difference:?}"
        );
        assert_eq!(sizes.miter(), Miter::Corner { sides });
    }
}

#[test]
fn a_polygon_of_four_sides_is_a_square() {
    let side = inches(11, 5);
    let moulding = [moulding(inches(1, 32), in64(16))];
    let polygon = Outline::of_side(4, side);
    let sizes = frame_sizes(&frame(polygon, Holding::Rabbet), &moulding, in64(8));
    let square = frame_sizes(
        &frame(rectangle(side, side), Holding::Rabbet),
        &moulding,
        in64(8),
    );
    assert_eq!(sizes.rail(0), square.rail(0));
}

#[test]
fn sides_are_named_by_place_or_by_number() {
    let art = rectangle(inches(1, 0), inches(1, 0));
    let names: Vec<_> = (0..4).map(|side| side_name(art, side)).collect();
    assert_eq!(names, ["top", "right", "bottom", "left"]);
    let hexagon = Outline::of_side(6, inches(1, 0));
    assert_eq!(side_name(hexagon, 0), "side 1");
    assert_eq!(side_name(hexagon, 5), "side 6");
}

#[test]
fn a_frame_round_a_liner_is_sized_by_its_outside_and_its_own_play() {
    // Derived by the rule above, twice: art 16 x 20, liner of face 1, lip 1/4, play 1/8: 16 + 1/8 + 2 x 3/4 = 17-5/8; round
    // that a face of 2, lip 1/4, play 1/16: 17-5/8 + 1/16 + 2 x 1-3/4 = 21-3/16; the other way 4 more.
    let mouldings = [
        moulding(inches(2, 0), in64(16)),
        moulding(inches(1, 0), in64(16)),
    ];
    let art = rectangle(inches(16, 0), inches(20, 0));
    let play = in64(4);
    let inner = vec![Inner {
        moulding_idx: 1,
        play,
    }];
    let liner = Frame {
        moulding_idx: 1,
        held_by: Some("art".to_owned()),
        ..frame(art, Holding::Rabbet)
    };
    let outer = Frame {
        inner: inner.clone(),
        ..frame(art, Holding::Rabbet)
    };
    let liner = frame_sizes(&liner, &mouldings, in64(8));
    assert_eq!(liner.outside, rectangle(inches(17, 40), inches(21, 40)));
    let round = frame_sizes(&outer, &mouldings, in64(8));
    assert_eq!(round.rabbet, Some(liner.outside.grown(play)));
    assert_eq!(round.outside, rectangle(inches(21, 12), inches(25, 12)));
    let package = crate::frame::package(&outer, &mouldings, in64(8));
    assert_eq!((package.size, package.content), (liner.outside, art));
    assert_eq!(package.inner, [liner]);
    // Derived: the same in a tray with a gap of 1/4 is 17-5/8 + 2 x 1/4 + 2 x 2 = 22-1/8.
    let tray = Frame {
        inner: inner.clone(),
        ..frame(art, Holding::Tray { gap: in64(16) })
    };
    let tray = frame_sizes(&tray, &mouldings, in64(8));
    assert_eq!(tray.outside, rectangle(inches(22, 8), inches(26, 8)));
    // Two liners: 17-5/8 + 1/16 + 2 x 3/4 = 19-3/16, and round that 19-3/16 + 1/16 + 3-1/2 = 22-3/4.
    let twice = Frame {
        inner: [inner.clone(), inner].concat(),
        ..frame(art, Holding::Rabbet)
    };
    let twice = frame_sizes(&twice, &mouldings, in64(8));
    assert_eq!(twice.outside, rectangle(inches(22, 48), inches(26, 48)));
}

#[test]
fn a_liner_stands_in_the_stack_with_what_stands_out_of_it() {
    use crate::frame::{depth, inner_height};
    // Derived: a canvas 3/4 thick in a liner 1/2 thick with a rabbet 1/4 deep stands out by 1/2: 1 in all.
    let mut liner = moulding(inches(1, 0), in64(16));
    liner.thickness = Some(in64(32));
    liner.rabbet_depth = Some(in64(16));
    let mut around = moulding(inches(2, 0), in64(16));
    around.rabbet_depth = Some(inches(1, 0));
    let mut mouldings = [around, liner];
    let mut canvas = frame(rectangle(inches(16, 0), inches(20, 0)), Holding::Rabbet);
    canvas.art_thickness = in64(48);
    canvas.inner = vec![Inner {
        moulding_idx: 1,
        play: in64(4),
    }];
    assert_eq!(inner_height(&canvas, &mouldings), (inches(1, 0), true));
    let told = depth(&canvas, &mouldings, Length::ZERO);
    assert_eq!(told.map(crate::frame::Depth::excess), Some(None));
    // What lies within the rabbet of the liner adds nothing to its thickness.
    canvas.art_thickness = in64(15);
    assert_eq!(inner_height(&canvas, &mouldings), (in64(32), true));
    // Without the thickness of the liner nothing can be said.
    mouldings[1].thickness = None;
    assert_eq!(depth(&canvas, &mouldings, Length::ZERO), None);
    canvas.held_by = Some("other".to_owned());
    canvas.inner.clear();
    assert_eq!(depth(&canvas, &mouldings, Length::ZERO), None);
}
