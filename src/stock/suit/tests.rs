use super::*;
use crate::samples;
use crate::stock::InHand;

fn board(material: Option<&str>, thickness: Option<i64>, width: Option<i64>) -> Board {
    Board {
        thickness: thickness.map(Length::from_nm),
        width: width.map(Length::from_nm),
        ..samples::board("board", Length::FOOT, material)
    }
}

fn section(material: Option<&str>, thickness: Option<i64>, width: Option<i64>) -> Section<'_> {
    Section {
        material,
        thickness: thickness.map(Length::from_nm),
        may_be_thicker: false,
        width: width.map(Length::from_nm),
        profile: Some("cap"),
    }
}

#[test]
fn what_is_unset_on_either_side_always_suits() {
    let full = (Some("walnut"), Some(20), Some(50));
    assert!(suits(
        &section(None, None, None),
        &board(full.0, full.1, full.2),
        None
    ));
    assert!(suits(
        &section(full.0, full.1, full.2),
        &board(None, None, None),
        None
    ));
}

#[test]
fn materials_are_compared_without_case_and_outer_space() {
    let wanted = section(Some(" Walnut"), None, None);
    assert!(suits(&wanted, &board(Some("walnut "), None, None), None));
    assert_eq!(
        misfits(&wanted, &board(Some("black walnut"), None, None), None),
        [Misfit::Material]
    );
    assert!(same_material("Ölweide", "ölweide"));
}

#[test]
fn a_board_may_be_wider_but_neither_narrower_nor_of_another_thickness() {
    let wanted = section(None, Some(20), Some(50));
    assert!(suits(&wanted, &board(None, Some(20), Some(51)), None));
    assert!(suits(&wanted, &board(None, Some(20), Some(50)), None));
    assert_eq!(
        misfits(&wanted, &board(None, Some(21), Some(49)), None),
        [Misfit::Thickness, Misfit::Width]
    );
}

#[test]
fn a_thicker_board_suits_where_it_may_be_planed_down_and_a_thinner_one_never() {
    let mut wanted = section(None, Some(20), None);
    assert!(!suits(&wanted, &board(None, Some(21), None), None));
    wanted.may_be_thicker = true;
    assert!(suits(&wanted, &board(None, Some(21), None), None));
    assert!(suits(&wanted, &board(None, Some(20), None), None));
    assert_eq!(
        misfits(&wanted, &board(None, Some(19), None), None),
        [Misfit::Thickness]
    );
}

#[test]
fn a_board_that_is_ripped_must_bear_what_ripping_loses() {
    let rip = Rip {
        kerf: Length::from_nm(3),
        straightening: Length::from_nm(5),
        planing: Length::from_nm(2),
        plane_off: Length::ZERO,
        ..crate::samples::rip()
    };
    let wanted = section(None, None, Some(50));
    let narrow = board(None, None, Some(56));
    assert!(suits(&wanted, &narrow, None));
    // Derived: 50 + 2 + 5 = 57.
    assert_eq!(misfits(&wanted, &narrow, Some(&rip)), [Misfit::Width]);
    assert!(suits(&wanted, &board(None, None, Some(57)), Some(&rip)));
    assert!(suits(&wanted, &board(None, None, Some(50)), Some(&rip)));
}

#[test]
fn what_is_milled_already_serves_its_own_profile_in_its_wood_as_it_is() {
    let milled = |profile: &str, material, thickness, width| Board {
        in_hand: Some(InHand {
            moulding: Some(profile.to_owned()),
            ..InHand::default()
        }),
        ..board(material, thickness, width)
    };
    let wanted = Section {
        may_be_thicker: true,
        ..section(Some("walnut"), Some(20), Some(50))
    };
    let rip = Rip {
        kerf: Length::from_nm(1),
        straightening: Length::ZERO,
        planing: Length::ZERO,
        plane_off: Length::ZERO,
        ..crate::samples::rip()
    };
    for rip in [None, Some(&rip)] {
        let fails = |board: &Board| misfits(&wanted, board, rip);
        assert_eq!(
            fails(&milled("cap", Some("walnut"), Some(20), Some(50))),
            []
        );
        assert_eq!(fails(&milled("cap", None, None, None)), []);
        assert_eq!(
            fails(&milled("flat", Some("walnut"), Some(20), Some(50))),
            [Misfit::Milled]
        );
        assert_eq!(
            fails(&milled("cap", Some("ash"), Some(20), Some(50))),
            [Misfit::Material]
        );
        // It is neither planed down nor ripped any more.
        assert_eq!(
            fails(&milled("cap", Some("walnut"), Some(21), Some(60))),
            [Misfit::Thickness, Misfit::Width]
        );
        // A piece of plain wood takes none.
        let plain = Section {
            profile: None,
            ..wanted
        };
        assert_eq!(
            misfits(&plain, &milled("cap", None, None, None), rip),
            [Misfit::Milled]
        );
    }
}
