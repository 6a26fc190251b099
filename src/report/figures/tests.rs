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
fn printed_shares_add_up_to_all_there_is() {
    // Derived: thirds are 333.3 each, and the one tenth left over goes to the first.
    assert_eq!(shares([1, 1, 1]), [334, 333, 333]);
    // Derived: 99.9 %, 0.05 % and 0.05 %: one tenth is left over.
    assert_eq!(shares([19_980, 10, 10]), [999, 1, 0]);
    // Derived: 66.67, 16.67 and 16.67 % all lose as much by rounding down: the first two have it back.
    assert_eq!(shares([4, 1, 1]), [667, 167, 166]);
    assert_eq!(shares([7, 0, 0]), [1000, 0, 0]);
    assert_eq!(shares([0, 0, 0]), [0, 0, 0]);
    for parts in [[3, 5, 11], [1, 998, 7], [i128::from(i64::MAX), 1, 2]] {
        assert_eq!(shares(parts).iter().sum::<i64>(), 1000, "{parts:?}");
    }
}

#[test]
fn one_share_is_rounded_to_the_nearest_tenth() {
    assert_eq!(percent(share(1, 3)), "33.3 %");
    assert_eq!(percent(share(2, 3)), "66.7 %");
    assert_eq!(share(5, 0), 0);
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
