//! Claims by hand: what is sound holds, and what is out of range is refused and never followed.

use super::*;
use crate::job::Ends;
use crate::length::Length;
use crate::plan::Part;
use crate::plan::certificate::{BoardKind, ProofNode, Rip, StripName};
use crate::samples::{board, empty_job, in64, inches, piece, priced, slat};
use crate::stock::{Across, Board, Defect, Rip as RipOfShop};

/// A job, and what is changed of its claim before it is judged.
type Tampered = (&'static str, fn(&mut Claim));

/// Four bars of which two come from a board of 7.00, or one from a board of 5.00.
fn bars() -> Job {
    let mut job = empty_job();
    job.pieces = vec![piece("bar", inches(30), 4, Ends::Square)];
    job.boards = vec![
        priced(board("long", inches(72), None), 700),
        priced(board("short", inches(40), None), 500),
    ];
    job
}

/// That the bars cost 14.00: each is worth 3.50 on any board.
fn claim() -> Claim {
    let kind = |board_idx| BoardKind {
        board_idx,
        classes: vec![0],
    };
    Claim {
        missing: 0,
        missing_proof: Vec::new(),
        bound: 1_400,
        unit: 1,
        classes: vec![Part::Loose {
            piece_idx: 0,
            copy: 1,
        }],
        kinds: vec![kind(0), kind(1)],
        strips: Vec::new(),
        rips: Vec::new(),
        proof: prices(1, 350),
    }
}

fn prices(scale: i64, each: i64) -> Vec<ProofNode> {
    vec![ProofNode::Prices {
        scale,
        classes: vec![each],
        conditions: Vec::new(),
    }]
}

fn proved(job: &Job, claims: Vec<Claim>) -> (i64, Vec<Kind>) {
    let proved = prove(job, &Certificate { claims });
    let kinds = proved.findings.iter().map(|finding| finding.kind);
    (proved.value, kinds.collect())
}

#[test]
fn a_sound_claim_proves_its_bound_and_one_cent_more_is_refused() {
    assert_eq!(proved(&bars(), vec![claim()]), (1_400, vec![]));
    // Prices of half as much, each worth two.
    let doubled = Claim {
        unit: 2,
        proof: prices(1, 175),
        ..claim()
    };
    assert_eq!(proved(&bars(), vec![doubled]), (1_400, vec![]));
    let more = Claim {
        bound: 1_401,
        ..claim()
    };
    let not_proved = Kind::NotProved { bound: 1_401 };
    assert_eq!(proved(&bars(), vec![more]), (0, vec![not_proved]));
}

#[test]
fn every_value_is_a_multiple_of_what_all_costs_have_in_common() {
    let mut job = bars();
    job.boards.pop();
    let mut low = claim();
    low.kinds.pop();
    // Derived: 4 x 3.00 = 12.00, and no board is worth more than it costs; sums of boards of 7.00 are 7.00, 14.00, ...
    low.proof = prices(1, 300);
    assert_eq!(proved(&job, vec![low]), (1_400, vec![]));
}

#[test]
fn boards_that_cost_nothing_prove_nothing_and_harm_nothing() {
    let mut job = bars();
    job.boards[0] = priced(board("long", inches(72), None), 0);
    job.boards[1] = priced(board("short", inches(40), None), 0);
    for (bound, is_proved) in [(0, true), (1, false)] {
        let claim = Claim {
            bound,
            proof: prices(1, 0),
            ..claim()
        };
        let (value, kinds) = proved(&job, vec![claim]);
        assert_eq!((value, kinds.is_empty()), (0, is_proved));
    }
}

/// The claim with one rip of a strip that holds the bar.
fn with_rip(claim: &mut Claim) {
    claim.strips = vec![StripName {
        classes: vec![0],
        capacity: 1,
    }];
    claim.rips = vec![Rip {
        kind: 0,
        strips: vec![0],
    }];
}

#[test]
fn what_is_out_of_range_is_refused_before_it_is_used() {
    let cases: [Tampered; 13] = [
        ("a bound", |claim| claim.bound = -1),
        ("a unit", |claim| claim.unit = 0),
        ("a line of boards", |claim| claim.kinds[1].board_idx = 2),
        ("a class of a kind", |claim| claim.kinds[1].classes[0] = 1),
        ("a class twice", |claim| claim.kinds[1].classes.push(0)),
        ("a class twice in a strip", |claim| {
            claim.strips[0].classes.push(0);
        }),
        ("kinds", |claim| claim.kinds.push(claim.kinds[0].clone())),
        ("a class of a strip", |claim| claim.strips[0].classes[0] = 1),
        ("the kind of a rip", |claim| claim.rips[0].kind = 2),
        ("a strip of a rip", |claim| claim.rips[0].strips[0] = 1),
        ("a second rip", |claim| {
            claim.rips.push(Rip {
                kind: 2,
                strips: vec![0],
            });
        }),
        ("a kind that is counted", |claim| {
            split(claim, vec![2], vec![]);
        }),
        ("a rip that is counted", |claim| {
            split(claim, vec![], vec![1]);
        }),
    ];
    for (what, tamper) in cases {
        let mut claim = claim();
        with_rip(&mut claim);
        tamper(&mut claim);
        assert_eq!(
            proved(&bars(), vec![claim]),
            (0, vec![Kind::Malformed]),
            "{what}"
        );
    }
    // All that is in range is as good as without.
    let mut sound = claim();
    with_rip(&mut sound);
    assert_eq!(proved(&bars(), vec![sound]), (1_400, vec![]));
}

/// Puts two cases above the prices of a claim.
fn split(claim: &mut Claim, kinds: Vec<usize>, rips: Vec<usize>) {
    let table = claim.proof[0].clone();
    let cases = ProofNode::Split {
        kinds,
        rips,
        missing: false,
        at_most: 0,
        under: 1,
        over: 2,
    };
    claim.proof = vec![cases, table.clone(), table];
}

#[test]
fn no_line_of_boards_may_be_left_out_that_no_other_stands_in_for() {
    for left_out in [0, 1] {
        let mut claim = claim();
        claim.kinds.remove(left_out);
        let (value, kinds) = proved(&bars(), vec![claim]);
        assert_eq!((value, kinds), (0, vec![Kind::ForgottenBoard]));
    }
    // A longer board that costs as much stands in for the shorter one, and one as long does too.
    for length in [72, 40] {
        let mut job = bars();
        job.boards[0] = priced(board("long", inches(length), None), 500);
        let mut claim = claim();
        claim.kinds.pop();
        claim.bound = 500;
        claim.proof = prices(1, 125);
        assert_eq!(proved(&job, vec![claim]), (500, vec![]), "{length}");
    }
}

#[test]
fn one_board_is_not_paid_for_by_two_claims() {
    let mut job = bars();
    let other = piece("strut", inches(31), 4, Ends::Square);
    job.pieces.push(other);
    let mut second = claim();
    second.classes = vec![Part::Loose {
        piece_idx: 1,
        copy: 1,
    }];
    let (value, kinds) = proved(&job, vec![claim(), second]);
    assert_eq!((value, kinds), (0, vec![Kind::BoardOfTwoClaims]));
    // Nor may one class be in two.
    let (value, kinds) = proved(&job, vec![claim(), claim()]);
    assert_eq!((value, kinds), (1_400, vec![Kind::RepeatedPart]));
}

/// Boards of 40 in of these widths and costs, ripped with a kerf of 1/8 in.
fn planks(job: &mut Job, widths_and_costs: [(Length, i64); 2]) {
    job.shop.rip = Some(RipOfShop {
        kerf: in64(8),
        straightening: Length::ZERO,
        planing: Length::ZERO,
        plane_off: Length::ZERO,
        ..crate::samples::rip()
    });
    for (of, (width, cost)) in job.boards.iter_mut().zip(widths_and_costs) {
        let plank = Board {
            width: Some(width),
            ..board(&of.name, inches(40), None)
        };
        *of = priced(plank, cost);
    }
}

#[test]
fn a_board_is_worth_all_the_strips_that_are_ripped_from_it() {
    // Derived: eight strips of 1 in with seven kerfs between them take 8 7/8 in, and each holds one bar.
    let mut job = bars();
    job.pieces = vec![slat("bar", inches(30), 8, inches(1))];
    let width = inches(8) + in64(56);
    planks(&mut job, [(width, 800), (width, 801)]);
    // The dearer board of the same size is replaced by the other.
    let of_cheaper = |bound: i64, each: i64| {
        let mut claim = claim();
        claim.kinds.pop();
        claim.bound = bound;
        claim.proof = prices(1, each);
        proved(&job, vec![claim])
    };
    assert_eq!(of_cheaper(800, 100), (800, vec![]));
    let not_proved = vec![Kind::NotProved { bound: 900 }];
    assert_eq!(of_cheaper(900, 113), (0, not_proved));
}

#[test]
fn a_board_of_one_strip_does_not_replace_one_that_also_gives_two() {
    // Derived: the board of 4 1/8 in gives two strips of 2 in or one of 3 in, that of 3 in one of either.
    let mut job = bars();
    job.pieces = vec![
        slat("narrow", inches(30), 2, inches(2)),
        slat("wide", inches(30), 1, inches(3)),
    ];
    let wider = inches(4) + in64(8);
    planks(&mut job, [(inches(3), 700), (wider, 700)]);
    let part = |piece_idx| Part::Loose { piece_idx, copy: 1 };
    let mut claim = claim();
    claim.classes = vec![part(0), part(1)];
    claim.kinds.pop();
    claim.kinds[0].classes = vec![0, 1];
    claim.bound = 2_100;
    claim.proof = vec![ProofNode::Prices {
        scale: 1,
        classes: vec![700, 700],
        conditions: Vec::new(),
    }];
    assert_eq!(proved(&job, vec![claim]), (0, vec![Kind::ForgottenBoard]));
}

#[test]
fn a_board_may_not_be_left_out_for_a_defect_that_strips_can_be_ripped_past() {
    // Derived: the knot leaves 10 and 10 in of the whole width, and all of the length to three strips behind it.
    let mut job = bars();
    job.pieces = vec![slat("bar", inches(30), 4, inches(1))];
    let wide = inches(5) + in64(24);
    planks(&mut job, [(inches(1), 700), (wide, 800)]);
    job.boards[1].defects = vec![Defect {
        from: inches(10),
        to: inches(30),
        across: Across::Left(Some(inches(2))),
    }];
    let mut claim = claim();
    claim.kinds.pop();
    claim.bound = 2_800;
    claim.proof = prices(1, 700);
    assert_eq!(
        proved(&job, vec![claim.clone()]),
        (0, vec![Kind::ForgottenBoard])
    );
    // What takes the whole width leaves nothing long enough.
    job.boards[1].defects[0].across = Across::Full;
    assert_eq!(proved(&job, vec![claim]), (2_800, vec![]));
}

#[test]
fn a_board_is_replaced_by_one_whose_strip_holds_all_of_its_only_one() {
    // Derived: the longer board is clear from 1/2 in to 35 in only, the other from 1/2 in to 39 1/2 in.
    let mut job = bars();
    job.boards[0] = priced(board("clear", inches(40), None), 500);
    job.boards[1] = priced(board("knotty", inches(60), None), 500);
    job.boards[1].defects = vec![Defect {
        from: inches(35),
        to: inches(59),
        across: Across::Full,
    }];
    let mut claim = claim();
    claim.kinds.pop();
    claim.bound = 2_000;
    claim.proof = prices(1, 500);
    assert_eq!(proved(&job, vec![claim.clone()]), (2_000, vec![]));
    // A second stretch that holds a bar is a second strip.
    job.boards[1].length = inches(72);
    job.boards[1].defects[0].from = inches(31);
    job.boards[1].defects[0].to = inches(32);
    assert_eq!(proved(&job, vec![claim]), (0, vec![Kind::ForgottenBoard]));
}
