use super::*;
use crate::samples::{self, in64, sheet};

fn inches(whole: i64, sixty_fourths: i64) -> Length {
    in64(64 * whole + sixty_fourths)
}

fn equal_borders(border: Length) -> Borders {
    Borders {
        top: border,
        right: border,
        bottom: border,
        left: border,
    }
}

fn rectangle(width: Length, height: Length) -> Outline {
    Outline::Rectangle { width, height }
}

fn width(window: impl std::borrow::Borrow<Window>) -> Length {
    window.borrow().opening.size.side(0)
}

/// An artwork on paper, bare, in a rabbet.
fn bare(width: Length, height: Length) -> Frame {
    samples::frame("art", 1, Outline::Rectangle { width, height }, 0)
}

fn mat(borders: Borders, mount: Mount) -> Mat {
    // Published: S. Saitzyk, Art Hardware (1987), mat board: 4-ply is 1/16 in nominal, which is what the samples have.
    Mat {
        name: Some("4-ply".to_owned()),
        mount,
        layers: 1,
        reveal: Length::ZERO,
        ..samples::mat(borders)
    }
}

fn moulding(rabbet_depth: Option<Length>) -> Moulding {
    Moulding {
        rabbet_depth,
        ..samples::moulding("cap", inches(2, 0), None)
    }
}

#[test]
fn borders_and_window_make_the_package() {
    // Derived, both ways round: art 10 x 8, overlap 1/8, borders 2-1/8 left and right, 1-5/8 top and bottom: window
    // 9-3/4 x 7-3/4, package 14 x 11.
    let mut frame = bare(inches(10, 0), inches(8, 0));
    let borders = Borders {
        top: inches(1, 40),
        right: inches(2, 8),
        bottom: inches(1, 40),
        left: inches(2, 8),
    };
    frame.mat = Some(mat(borders, Mount::Overlap(in64(8))));
    let package = package(&frame, &[], Length::ZERO);
    assert_eq!(
        package.windows,
        [Window {
            opening: Opening {
                size: rectangle(inches(9, 48), inches(7, 48)),
                is_oval: false,
            },
            borders,
        }]
    );
    assert_eq!(
        package.size,
        Outline::Rectangle {
            width: inches(14, 0),
            height: inches(11, 0),
        }
    );
}

#[test]
fn a_quarter_inch_overlap_takes_half_an_inch_from_the_art() {
    // Derived: art 8 x 10 in 11 x 14, overlap 1/4: window 7-1/2 x 9-1/2, borders 1-3/4 and 2-1/4.
    let mut frame = bare(inches(8, 0), inches(10, 0));
    let borders = Borders {
        top: inches(2, 16),
        right: inches(1, 48),
        bottom: inches(2, 16),
        left: inches(1, 48),
    };
    frame.mat = Some(mat(borders, Mount::Overlap(in64(16))));
    let package = package(&frame, &[], Length::ZERO);
    let window = package.windows[0];
    assert_eq!(window.opening.size, rectangle(inches(7, 32), inches(9, 32)));
    assert_eq!(
        package.size,
        Outline::Rectangle {
            width: inches(11, 0),
            height: inches(14, 0),
        }
    );
}

#[test]
fn four_different_borders_go_to_their_own_sides() {
    // Derived: window 10 - 1/2 by 20 - 1/2; 9.5 + 4 + 2 = 15.5 wide, 19.5 + 1 + 3 = 23.5 high.
    let mut frame = bare(inches(10, 0), inches(20, 0));
    let borders = Borders {
        top: inches(1, 0),
        right: inches(2, 0),
        bottom: inches(3, 0),
        left: inches(4, 0),
    };
    frame.mat = Some(mat(borders, Mount::Overlap(in64(16))));
    assert_eq!(
        package(&frame, &[], Length::ZERO).size,
        Outline::Rectangle {
            width: inches(15, 32),
            height: inches(23, 32),
        }
    );
}

#[test]
fn each_upper_mat_opens_wider_by_twice_the_reveal() {
    // Derived: art 8 x 10, overlap 1/4, borders 2: innermost window 7-1/2 x 9-1/2, package 11-1/2 x 13-1/2.
    // Reveal 1/4: the second opens 8 x 10 with borders 1-3/4, the third 8-1/2 x 10-1/2 with borders 1-1/2.
    let mut frame = bare(inches(8, 0), inches(10, 0));
    frame.mat = Some(Mat {
        layers: 3,
        reveal: in64(16),
        ..mat(equal_borders(inches(2, 0)), Mount::Overlap(in64(16)))
    });
    let package = package(&frame, &[], Length::ZERO);
    let widths: Vec<Length> = package.windows.iter().map(width).collect();
    assert_eq!(widths, [inches(7, 32), inches(8, 0), inches(8, 32)]);
    let borders: Vec<Length> = package
        .windows
        .iter()
        .map(|window| window.borders.bottom)
        .collect();
    assert_eq!(borders, [inches(2, 0), inches(1, 48), inches(1, 32)]);
    let size = Outline::Rectangle {
        width: inches(11, 32),
        height: inches(13, 32),
    };
    assert_eq!(package.size, size);
    // The outermost board comes first, as one looks through them.
    let layers: Vec<(SheetUse, Option<Length>)> = package
        .sheets
        .iter()
        .map(|sheet| (sheet.sheet_use, sheet.window.map(width)))
        .collect();
    assert_eq!(
        layers,
        [
            (SheetUse::Mat { layer: 1 }, Some(inches(8, 32))),
            (SheetUse::Mat { layer: 2 }, Some(inches(8, 0))),
            (SheetUse::Mat { layer: 3 }, Some(inches(7, 32))),
        ]
    );
    assert!(package.sheets.iter().all(|sheet| sheet.size == size));
}

#[test]
fn a_floated_artwork_lies_whole_on_a_board_without_a_window() {
    // Derived: 8 + 2 * 2 = 12, 10 + 2 * 2 = 14.
    let mut frame = bare(inches(8, 0), inches(10, 0));
    frame.mat = Some(mat(equal_borders(inches(2, 0)), Mount::Float));
    let floated = package(&frame, &[], Length::ZERO);
    assert_eq!(
        floated.size,
        Outline::Rectangle {
            width: inches(12, 0),
            height: inches(14, 0),
        }
    );
    assert_eq!(floated.windows, []);
    assert_eq!(floated.sheets.len(), 1);
    assert_eq!(floated.sheets[0].window, None);

    // A second board above it shows the artwork whole and a reveal round it: 8 + 2 * 1/4.
    if let Some(mat) = &mut frame.mat {
        mat.layers = 2;
        mat.reveal = in64(16);
    }
    let with_window = package(&frame, &[], Length::ZERO);
    assert_eq!(with_window.size, floated.size);
    assert_eq!(with_window.sheets[0].window.map(width), Some(inches(8, 32)));
    assert_eq!(with_window.sheets[1].window, None);
}

#[test]
fn without_a_mat_the_art_is_the_package_and_all_sheets_have_its_size() {
    let mut frame = bare(inches(16, 0), inches(20, 0));
    frame.glazing = Some(sheet("glass", in64(6)));
    frame.backing = Some(sheet("foam board", in64(12)));
    let package = package(&frame, &[], Length::ZERO);
    assert_eq!(package.size, frame.art);
    let cut: Vec<(SheetUse, Option<&str>, Outline)> = package
        .sheets
        .iter()
        .map(|sheet| (sheet.sheet_use, sheet.name.as_deref(), sheet.size))
        .collect();
    assert_eq!(
        cut,
        [
            (SheetUse::Glazing, Some("glass"), frame.art),
            (SheetUse::Backing, Some("foam board"), frame.art),
        ]
    );
}

#[test]
fn the_stack_agrees_with_the_trade() {
    // Common practice, no source: acrylic 1/8 + mat 1/16 + foam board 3/16 wants a rabbet at least 3/8 deep.
    let mut frame = bare(inches(8, 0), inches(10, 0));
    frame.mat = Some(mat(equal_borders(inches(2, 0)), Mount::Overlap(in64(16))));
    frame.glazing = Some(sheet("acrylic", in64(8)));
    frame.backing = Some(sheet("foam board", in64(12)));
    assert_eq!(stack_height(&frame, &[], Length::ZERO), in64(24));
    let just_deep = depth(&frame, &[moulding(Some(in64(24)))], Length::ZERO);
    assert_eq!(just_deep.and_then(Depth::excess), None);

    // Derived: glass 3/32 + two mats 1/16 + foam board 3/16 = 13/32, before art and paper.
    frame.glazing = Some(sheet("glass", in64(6)));
    if let Some(mat) = &mut frame.mat {
        mat.layers = 2;
    }
    assert_eq!(stack_height(&frame, &[], Length::ZERO), in64(26));
    // With art of 1/8 and 1/8 for the points: 13/32 + 8/32 = 21/32 against 3/8 = 12/32 is 9/32 too much.
    frame.art_thickness = in64(8);
    let too_shallow = depth(&frame, &[moulding(Some(in64(24)))], in64(8)).unwrap();
    assert_eq!(too_shallow.needed, in64(42));
    assert_eq!(too_shallow.excess(), Some(in64(18)));
}

#[test]
fn depth_is_not_judged_where_it_is_unknown_or_there_is_no_rabbet() {
    let mut frame = bare(inches(8, 0), inches(10, 0));
    assert_eq!(depth(&frame, &[moulding(None)], Length::ZERO), None);
    frame.holding = Holding::Tray { gap: in64(16) };
    assert_eq!(
        depth(&frame, &[moulding(Some(in64(1)))], Length::ZERO),
        None
    );
}

#[test]
fn a_polygon_in_a_mat_grows_across_its_flats() {
    // Derived: a hexagon 10 across the flats, lap 1/4, border 2: window 9-1/2 and package 13-1/2 across the flats, sides
    // 9.5 tan 30 = 5.4848 and 13.5 tan 30 = 7.7942; the upper of two with a reveal of 1/4 opens 10 across, its border 1-3/4.
    let mut frame = bare(inches(1, 0), inches(1, 0));
    frame.art = Outline::of_flats(6, inches(10, 0));
    frame.mat = Some(Mat {
        layers: 2,
        reveal: in64(16),
        ..mat(equal_borders(inches(2, 0)), Mount::Overlap(in64(16)))
    });
    let package = package(&frame, &[], Length::ZERO);
    let about = |outline: Outline, ten_thousandths: i64| {
        let off = (outline.side(0).nm() - 2_540 * ten_thousandths).abs();
        assert!(off <= 1_270, "{outline:?} is not {ten_thousandths}e-4 in");
    };
    about(package.size, 77_942);
    // What is told across the flats stays exact.
    assert_eq!(package.size, Outline::of_flats(6, inches(13, 32)));
    about(package.windows[0].opening.size, 54_848);
    about(package.windows[1].opening.size, 57_735);
    assert_eq!(package.windows[1].borders, equal_borders(inches(1, 48)));
    assert_eq!(package.sheets.len(), 2);
}

#[test]
fn an_oval_in_a_mat_has_the_package_of_its_rectangle() {
    // Derived: an oval of 8 x 10, lap 1/4, border 2: window 7-1/2 x 9-1/2, oval; package 11-1/2 x 13-1/2.
    let mut frame = bare(inches(8, 0), inches(10, 0));
    frame.mat = Some(Mat {
        is_oval: true,
        ..mat(equal_borders(inches(2, 0)), Mount::Overlap(in64(16)))
    });
    let package = package(&frame, &[], Length::ZERO);
    let size = rectangle(inches(7, 32), inches(9, 32));
    let is_oval = true;
    assert_eq!(package.windows[0].opening, Opening { size, is_oval });
    assert_eq!(package.size, rectangle(inches(11, 32), inches(13, 32)));
}
