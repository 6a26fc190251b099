use super::*;

fn board(material: Option<&str>, thickness: Option<i64>, width: Option<i64>) -> Board {
    Board {
        name: "board".to_owned(),
        material: material.map(str::to_owned),
        thickness: thickness.map(Length::from_nm),
        width: width.map(Length::from_nm),
        length: Length::FOOT,
        quantity: None,
        price: None,
    }
}

fn section(material: Option<&str>, thickness: Option<i64>, width: Option<i64>) -> Section<'_> {
    Section {
        material,
        thickness: thickness.map(Length::from_nm),
        width: width.map(Length::from_nm),
    }
}

#[test]
fn what_is_unset_on_either_side_always_suits() {
    let full = (Some("walnut"), Some(20), Some(50));
    assert!(suits(
        &section(None, None, None),
        &board(full.0, full.1, full.2)
    ));
    assert!(suits(
        &section(full.0, full.1, full.2),
        &board(None, None, None)
    ));
}

#[test]
fn materials_are_compared_without_case_and_outer_space() {
    let wanted = section(Some(" Walnut"), None, None);
    assert!(suits(&wanted, &board(Some("walnut "), None, None)));
    assert_eq!(
        misfits(&wanted, &board(Some("black walnut"), None, None)),
        [Misfit::Material]
    );
    assert!(same_material("Ölweide", "ölweide"));
}

#[test]
fn a_board_may_be_wider_but_neither_narrower_nor_of_another_thickness() {
    let wanted = section(None, Some(20), Some(50));
    assert!(suits(&wanted, &board(None, Some(20), Some(51))));
    assert!(suits(&wanted, &board(None, Some(20), Some(50))));
    assert_eq!(
        misfits(&wanted, &board(None, Some(21), Some(49))),
        [Misfit::Thickness, Misfit::Width]
    );
}
