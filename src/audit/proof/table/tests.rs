use super::super::samples::{case, kind};
use super::*;

/// The largest total of excesses, 1 for a board of the first kind, 2 for one of the second, and so on.
fn total(demand: &[u64], kinds: &[Board<'_>], path: &[Condition], claimed: i64) -> i128 {
    let case = case(demand, kinds.to_vec(), &|_, _, floor| Ok(floor));
    let excesses: Vec<i128> = (1..).take(kinds.len()).collect();
    largest_excess(&case, claimed, path, &excesses).unwrap()
}

#[test]
fn boards_of_one_cost_share_what_a_cheaper_plan_can_pay_for() {
    // A plan of less than 18 has five boards of cost 3 at the most: two of the second line, three of the first.
    let (one, two) = (kind(3, None, &[0]), kind(3, Some(2), &[0]));
    assert_eq!(total(&[9], &[one, two], &[], 18), 2 * 2 + 3);
    assert_eq!(total(&[9], &[one, one], &[], 18), 5 * 2);
    // Of different costs they do not: five of the one, eight of the other.
    assert_eq!(total(&[9], &[one, kind(2, None, &[0])], &[], 18), 8 * 2 + 5);
}

#[test]
fn no_more_boards_are_counted_than_there_are_parts_for_them() {
    let free = |parts| kind(0, None, parts);
    assert_eq!(total(&[1, 5], &[free(&[0])], &[], 18), 1);
    assert_eq!(total(&[1, 5], &[free(&[0, 1])], &[], 18), 6);
    // Lines that are alike share them, and a part that is listed twice is still one.
    assert_eq!(total(&[1, 5], &[free(&[0]), free(&[0, 0])], &[], 18), 2);
    assert_eq!(total(&[1, 5], &[free(&[0, 1]), free(&[0])], &[], 18), 2 + 5);
}

#[test]
fn lines_that_a_case_counts_together_share_its_number() {
    let lines = [kind(1, None, &[0]); 3];
    let condition = |at_most| Condition {
        kinds: vec![true, true, false],
        rips: Vec::new(),
        missing: false,
        count: 4,
        at_most,
    };
    // Fifty boards can be paid for; of the third line there may be as many as there are parts.
    assert_eq!(total(&[9], &lines, &[condition(true)], 51), 4 * 2 + 9 * 3);
    // At least so many is no limit: all nine are of the third line.
    assert_eq!(total(&[9], &lines, &[condition(false)], 51), 9 * 3);
}

#[test]
fn what_need_not_be_paid_for_takes_no_place_of_what_must() {
    // Derived: a plan of less than 20 pays for one board of 10; at most one is of the last line or of the piece on the rack,
    // which may stay for nothing. That piece and a board of the third line are worth 2 + 3, more than the last line's 4.
    let (none, bought) = (kind(10, None, &[]), kind(10, Some(1), &[0]));
    let piece = Board {
        kept: &[(None, 0)],
        ..bought
    };
    let one_of_both = Condition {
        kinds: vec![false, true, false, true],
        rips: Vec::new(),
        missing: false,
        count: 1,
        at_most: true,
    };
    let found = total(&[9], &[none, piece, bought, bought], &[one_of_both], 20);
    assert!(found >= 2 + 3, "{found}");
}
