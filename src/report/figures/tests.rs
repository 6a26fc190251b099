use super::*;

#[test]
fn a_gap_is_never_printed_smaller_than_it_is() {
    assert_eq!(gap(100, 100).map(percent_of_gap).as_deref(), Some("0.00 %"));
    // One part in a million is not nothing.
    assert_eq!(
        gap(1_000_001, 1_000_000).map(percent_of_gap).as_deref(),
        Some("0.01 %")
    );
    assert_eq!(gap(105, 100).map(percent_of_gap).as_deref(), Some("5.00 %"));
    assert!(gap(i64::MAX, 1).is_some());
    assert_eq!(gap(5, 0), None);
}

#[test]
fn a_share_is_never_printed_larger_than_it_is() {
    let nm = Length::from_nm;
    assert_eq!(percent(per_mille_down(nm(9999), nm(10_000))), "99.9 %");
    assert_eq!(percent(per_mille_down(nm(10_000), nm(10_000))), "100.0 %");
    assert_eq!(per_mille_down(nm(0), nm(0)), 0);
}

#[test]
fn angles_are_those_of_the_regular_polygons() {
    // Derived: 180 / n degrees off square.
    let angle = |sides| degrees(Miter::Corner { sides }, 3);
    assert_eq!(
        [angle(3), angle(4), angle(5), angle(8)],
        ["60", "45", "36", "22.5"]
    );
    assert_eq!(angle(7), "25.714");
    assert_eq!(degrees(Miter::Square, 3), "0");
}
