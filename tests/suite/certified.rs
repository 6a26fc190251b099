//! Certificates: every proof that a plan carries is accepted, and none that somebody has tampered with proves too much.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};

use crate::texts::Texts;
use longpoint::audit::{Kind, prove};
use longpoint::job::Job;
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::pipeline::{Planned, plan};
use longpoint::plan::certificate::{Certificate, Claim, ProofNode};
use longpoint::plan::{Plan, Verdict};
use longpoint::planfile::{PlanFile, Standing, verify};
use longpoint::solve::Control;
use proptest::prelude::*;

/// A job from its three texts.
fn job(shop: &str, pieces: &str, boards: &str) -> Job {
    let job = format!("pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n{shop}");
    let texts = Texts::from([
        ("job.toml", job),
        ("pieces.csv", pieces.to_owned()),
        ("boards.csv", boards.to_owned()),
    ]);
    load_job(Path::new("job.toml"), &texts, Boards::Needed)
        .unwrap()
        .0
}

/// The plan of a small job; a search that does not end must fail the test, not hang it.
fn planned(job: &Job) -> Planned {
    let n_asked = AtomicU32::new(0);
    let control = Control {
        stop: &|| n_asked.fetch_add(1, Ordering::Relaxed) > 1_000,
        progress: &|_| {},
    };
    plan(job, &control).unwrap()
}

/// From, length, depth, and whether it lies on the left.
type Defect = (u32, u32, u32, bool);

/// Length, width, quantity, cents and defects.
type Stock = (u32, u32, Option<u32>, u32, Vec<Defect>);

/// Random jobs that rip, in sixteenths of an inch.
#[derive(Clone, Debug)]
struct Ripping {
    kerf: u32,
    trim: u32,
    rip: (u32, u32, u32),
    /// Length, width, quantity, mitered.
    pieces: Vec<(u32, u32, u32, bool)>,
    /// Length, width, quantity, cents, and of a defect on one side: from, length, depth, left.
    boards: Vec<Stock>,
}

impl Ripping {
    fn job(&self) -> Option<Job> {
        let (kerf, straightening, planing) = self.rip;
        let shop = format!(
            "[saw]\nkerf = \"{}/16\"\nend-trim = \"{}/16\"\n\
             [rip]\nkerf = \"{kerf}/16\"\nstraightening = \"{straightening}/16\"\nplaning = \"{planing}/16\"\n",
            self.kerf, self.trim
        );
        let mut pieces = "piece,length,width,quantity,ends\n".to_owned();
        for (idx, (length, width, quantity, mitered)) in self.pieces.iter().enumerate() {
            let ends = if *mitered { "miter" } else { "square" };
            pieces += &format!("p{idx},{length}/16,{width}/16,{quantity},{ends}\n");
        }
        let mut boards = "board,length,width,quantity,price,defects\n".to_owned();
        for (idx, (length, width, quantity, cents, spots)) in self.boards.iter().enumerate() {
            let quantity = quantity.map_or(String::new(), |quantity| quantity.to_string());
            let spots: Vec<String> = spots
                .iter()
                .filter(|(from, ..)| from < length)
                .map(|&(from, long, depth, left)| {
                    let (to, side) = (
                        (from + long).min(*length),
                        if left { "left" } else { "right" },
                    );
                    format!("{from}/16 to {to}/16 {side} {}/16", depth.min(width - 1))
                })
                .collect();
            boards += &format!(
                "b{idx},{length}/16,{width}/16,{quantity},{}.{:02},{}\n",
                cents / 100,
                cents % 100,
                spots.join("; ")
            );
        }
        let job = format!("pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n{shop}");
        let texts = Texts::from([
            ("job.toml", job),
            ("pieces.csv", pieces),
            ("boards.csv", boards),
        ]);
        // Some are no jobs, as a piece is longer than every board.
        load_job(Path::new("job.toml"), &texts, Boards::Needed)
            .ok()
            .map(|loaded| loaded.0)
    }
}

fn ripping(most_defects: usize) -> impl Strategy<Value = Ripping> {
    let piece = (
        120_u32..800,
        prop_oneof![Just(34_u32), Just(40), 24_u32..48],
        1_u32..5,
        any::<bool>(),
    );
    let spot = (0_u32..1600, 20_u32..400, 8_u32..90, any::<bool>());
    let board = (
        prop_oneof![Just(1536_u32), Just(2112), 900_u32..2200],
        prop_oneof![Just(80_u32), Just(112), 50_u32..140],
        prop_oneof![3 => Just(None), 1 => (1_u32..6).prop_map(Some)],
        500_u32..6000,
        prop::collection::vec(spot, 0..=most_defects),
    );
    (
        0_u32..3,
        0_u32..17,
        (0_u32..3, 0_u32..5, 0_u32..2),
        prop::collection::vec(piece, 3..6),
        prop::collection::vec(board, 2..5),
    )
        .prop_map(|(kerf, trim, rip, pieces, boards)| Ripping {
            kerf,
            trim,
            rip,
            pieces,
            boards,
        })
}

/// Across each ripped stretch there is nothing but strips, pieces beside them, one kerf at most for each of both, what is
/// straightened, and before a strip that keeps clear of a defect a sliver that its cut takes whole.
fn nothing_is_lost(plan: &Plan) -> Result<(), TestCaseError> {
    let rip = plan.job.shop.rip.unwrap();
    for planned in &plan.boards {
        let width = plan.job.boards[planned.board_idx].width.unwrap();
        if planned
            .strips
            .iter()
            .any(|strip| strip.width == Some(width))
        {
            continue;
        }
        let beside = &planned.stretches[0].beside;
        let strips: Length = planned.strips.iter().filter_map(|strip| strip.width).sum();
        let pieces: Length = beside.iter().map(|edge| edge.width).sum();
        let lost = rip.room(width) - strips - pieces;
        let n_cuts = i64::try_from(planned.strips.len() * 2 + beside.len()).unwrap();
        prop_assert!(lost >= Length::ZERO, "{:?}", planned);
        prop_assert!(lost <= rip.kerf * n_cuts, "{:?}", planned);
        prop_assert!(beside.iter().all(|edge| edge.width > Length::ZERO));
    }
    Ok(())
}

/// Whether the certificate of a plan holds, and proves no more than is so where the plan is called best.
///
/// It may prove less: of splits by single patterns, and of some by pairs, it says nothing. How seldom that is, `forged`
/// counts.
fn holds(shop: &Ripping) -> Result<(), TestCaseError> {
    let Some(job) = shop.job() else {
        return Ok(());
    };
    let Planned {
        plan, certificate, ..
    } = planned(&job);
    nothing_is_lost(&plan)?;
    let proved = prove(&job, &certificate);
    prop_assert_eq!(proved.findings, [], "of {:?}", certificate);
    if plan.verdict == Verdict::Optimal {
        let missing = u64::try_from(plan.missing.len()).unwrap();
        prop_assert!(proved.missing <= missing, "of {:?}", certificate);
        let is_so = proved.missing < missing || proved.value <= plan.value;
        prop_assert!(is_so, "of {:?}", certificate);
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases!(60))]

    #[test]
    fn proofs_of_ripped_boards_hold(shop in ripping(0)) {
        holds(&shop)?;
    }

    #[test]
    fn proofs_of_boards_ripped_past_defects_hold(shop in ripping(2)) {
        holds(&shop)?;
    }
}

/// What the search takes apart the proof takes apart, too, and no more: of each of these all is certified.
#[test]
fn parts_that_no_single_board_holds_together_are_proved_as_far_as_the_search_proves_them() {
    let saw = "[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n";
    let rip = "[rip]\nkerf = \"1/8\"\nstraightening = \"1/4\"\nplaning = \"1/16\"\n";
    let resaw = "resaw-kerf = \"1/8\"\nresaw-planing = \"1/8\"\n";
    let yard = "[buying]\nlongest = \"8'\"\nyard-cuts = \"1'\"\nyard-cut-price = 0.50\n";
    let mouldings = "[[mouldings]]\nname = \"cap\"\nface-width = 1\nmaterial = \"oak\"\n\
                     [[mouldings]]\nname = \"tray\"\nface-width = 2\nmaterial = \"oak\"\n";
    let pieces = |rows: &str| format!("piece,length,quantity,material,thickness,width\n{rows}");
    let boards =
        |rows: &str| format!("board,material,thickness,width,length,quantity,price\n{rows}");
    let wide = boards("oak 6,oak,3/4,5 1/2,6',,14.50\noak 8,oak,3/4,5 1/2,8',,18.90\n");
    let jobs = [
        // Two widths, never both from one board.
        (
            format!("{saw}{rip}"),
            pieces("shelf,30,5,oak,3/4,4\nrail,25,7,oak,3/4,3\n"),
            wide,
        ),
        // Slices of two thicknesses, never both from one board.
        (
            format!("{saw}{rip}{resaw}"),
            pieces("shelf,30,5,oak,1/2,5\nrail,25,7,oak,1/4,5\n"),
            boards("oak 6,oak,1 1/2,5 1/2,6',,14.50\noak 8,oak,1 1/2,5 1/2,8',,18.90\n"),
        ),
        // Cut at the yard.
        (
            format!("{saw}{rip}{yard}"),
            pieces("shelf,80,5,oak,3/4,4\nrail,75,7,oak,3/4,3\n"),
            boards("oak 12,oak,3/4,5 1/2,12',,24.50\noak 8,oak,3/4,5 1/2,8',,18.90\n"),
        ),
        // Of one section, and yet never on one board.
        (
            saw.to_owned(),
            "piece,length,quantity,ends\nlong,71,2,miter\nshort,25,7,square\n".to_owned(),
            "board,length,price\noak 6,6',14.50\n".to_owned(),
        ),
        // Two mouldings of one wood, with boards of which there are few.
        (
            format!("{saw}{mouldings}"),
            "piece,length,quantity,moulding\na,25,7,cap\nb,31,6,tray\n".to_owned(),
            "board,material,length,quantity,price\noak 6,oak,6',,14.50\noak 8,oak,8',3,18.00\n"
                .to_owned(),
        ),
    ];
    let mut n_claims = Vec::new();
    for (shop, pieces, boards) in &jobs {
        let job = job(shop, pieces, boards);
        let planned = planned(&job);
        assert_eq!(planned.plan.verdict, Verdict::Optimal, "{boards}");
        let proved = prove(&job, &planned.certificate);
        assert_eq!(proved.findings, [], "{boards}");
        assert_eq!(proved.value, planned.plan.value, "{boards}");
        n_claims.push(planned.certificate.claims.len());
    }
    // Only the last falls into blocks.
    assert_eq!(n_claims, [1, 1, 1, 1, 2]);
}

/// A spare offcut without kerf and trim is as long as the rail it stands for, and yet another part: it is not cut.
#[test]
fn a_spare_offcut_without_kerf_and_trim_is_proved() {
    let text = "[saw]\nkerf = 0\nend-trim = 0\n\
                [[mouldings]]\nname = \"cap\"\nface-width = 1\nlip = \"1/4\"\nspare = \"offcut\"\n\
                [[frames]]\nframe = \"Sea\"\nart-width = 16\nart-height = 20\n\
                [[boards]]\nboard = \"long\"\nlength = 96\nprice = 9\n\
                [[boards]]\nboard = \"short\"\nlength = 60\nprice = 6\n";
    let texts = Texts::from([("job.toml", text.to_owned())]);
    let job = load_job(Path::new("job.toml"), &texts, Boards::Needed)
        .unwrap()
        .0;
    let Planned {
        plan, certificate, ..
    } = planned(&job);
    assert_eq!(
        (plan.verdict, plan.spare_offcuts.len()),
        (Verdict::Optimal, 1)
    );
    let proved = prove(&job, &certificate);
    assert_eq!(proved.findings, []);
    assert_eq!(proved.value, plan.value);
}

/// Jobs whose plans are proved best, so that nothing may prove more: prices alone, cases of boards, of rips, two claims.
fn honest() -> Vec<(Job, Planned)> {
    let saw = "[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n";
    let rip = format!("{saw}[rip]\nkerf = \"1/8\"\nstraightening = \"1/4\"\nplaning = \"1/16\"\n");
    let jobs = [
        job(
            saw,
            "piece,length,quantity,ends\na,31,7,miter\nb,22 1/2,9,miter\nc,17,5,square\n",
            "board,length,quantity,price\nshort,50,,7.10\nmiddle,74,3,9.90\nlong,99,4,13.30\nnone,99,0,0.01\n",
        ),
        job(
            saw,
            "piece,length,quantity,material\na,31,7,oak\nb,22 1/2,9,ash\n",
            "board,length,quantity,price,material\no,74,,9.90,oak\na,99,,13.30,ash\n",
        ),
        job(
            &rip,
            "piece,length,quantity,ends,width\nr1,38.75,4,miter,2.5\nr2,12.375,2,miter,2.125\n\
             r3,32.4375,4,miter,2.5\nr4,10.875,2,miter,2.125\n",
            "board,length,price,width,thickness\nw11,132,11.71/bf,7,1\nn11,132,11.71/bf,5,1\n\
             w8,96,11.71/bf,7,1\nn8,96,11.71/bf,5,1\n",
        ),
        job(
            &rip,
            "piece,length,quantity,width\na,30,3,2\nb,21,4,2\n",
            "board,length,quantity,price,width,defects\nk,96,2,9,5,30 to 34 left 2\nl,72,,11,5,\n",
        ),
    ];
    let with_plan = |job: Job| {
        let planned = planned(&job);
        assert_eq!(planned.plan.verdict, Verdict::Optimal);
        let proved = prove(&job, &planned.certificate);
        assert_eq!(proved.findings, []);
        assert_eq!(proved.value, planned.plan.value);
        (job, planned)
    };
    jobs.into_iter().map(with_plan).collect()
}

/// A place in a certificate that holds a number.
enum Number<'c> {
    Signed(&'c mut i64),
    Small(&'c mut u32),
    Index(&'c mut usize),
}

/// Every number of a certificate, in a fixed order.
fn numbers(certificate: &mut Certificate) -> Vec<Number<'_>> {
    let mut found = Vec::new();
    for claim in &mut certificate.claims {
        found.extend([&mut claim.bound, &mut claim.unit].map(Number::Signed));
        for kind in &mut claim.kinds {
            found.push(Number::Index(&mut kind.board_idx));
            found.extend(kind.classes.iter_mut().map(Number::Index));
        }
        for strip in &mut claim.strips {
            found.push(Number::Signed(&mut strip.capacity));
            found.extend(strip.classes.iter_mut().map(Number::Index));
        }
        for rip in &mut claim.rips {
            found.push(Number::Index(&mut rip.kind));
            found.extend(rip.strips.iter_mut().map(Number::Index));
        }
        for node in claim.missing_proof.iter_mut().chain(&mut claim.proof) {
            match node {
                ProofNode::Prices {
                    scale,
                    classes,
                    conditions,
                } => {
                    found.push(Number::Signed(scale));
                    found.extend(classes.iter_mut().chain(conditions).map(Number::Signed));
                }
                ProofNode::Split {
                    kinds,
                    rips,
                    missing: _,
                    at_most,
                    under,
                    over,
                } => {
                    found.push(Number::Small(at_most));
                    let cases = [under, over].into_iter();
                    found.extend(kinds.iter_mut().chain(rips).chain(cases).map(Number::Index));
                }
                ProofNode::Pair {
                    pair,
                    apart,
                    together,
                } => found.extend([&mut pair.0, &mut pair.1, apart, together].map(Number::Index)),
            }
        }
    }
    found
}

/// The number changed in the `way`-th way; `false` where there are no more.
fn change(number: Number<'_>, way: usize) -> bool {
    match number {
        Number::Signed(value) => {
            let was = *value;
            let ways = [
                was.wrapping_add(1),
                was.wrapping_sub(1),
                was.wrapping_neg(),
                0,
                was.saturating_mul(2),
                1 << 40,
                i64::MAX,
                i64::MIN,
            ];
            ways.get(way).map(|new| *value = *new).is_some()
        }
        Number::Small(value) => {
            let ways = [value.wrapping_add(1), value.wrapping_sub(1), 0, u32::MAX];
            ways.get(way).map(|new| *value = *new).is_some()
        }
        Number::Index(value) => {
            let ways = [value.wrapping_add(1), value.wrapping_sub(1), 0, usize::MAX];
            ways.get(way).map(|new| *value = *new).is_some()
        }
    }
}

/// Nothing that is proved of the job may be above what a plan costs.
fn proves_no_more(job: &Job, best: i64, forged: &Certificate) {
    let proved = prove(job, forged);
    assert!(
        proved.value <= best,
        "{} is proved where {best} is best, by {forged:?}",
        proved.value
    );
}

/// The bounds of all claims raised to more than is true, so that whatever weakens the check shows.
fn greedy(certificate: &Certificate) -> Certificate {
    let mut greedy = certificate.clone();
    for claim in &mut greedy.claims {
        claim.bound += 1;
    }
    greedy
}

#[test]
fn no_single_number_changed_proves_more_than_the_best_plan() {
    let mut n_forged = 0;
    for (job, planned) in honest() {
        let best = planned.plan.value;
        for certificate in [planned.certificate.clone(), greedy(&planned.certificate)] {
            for place in 0..numbers(&mut certificate.clone()).len() {
                for way in 0.. {
                    let mut forged = certificate.clone();
                    if !change(numbers(&mut forged).swap_remove(place), way) {
                        break;
                    }
                    n_forged += 1;
                    proves_no_more(&job, best, &forged);
                }
            }
        }
    }
    assert!(n_forged > 1_000, "only {n_forged} were tried");
}

#[test]
fn no_two_numbers_changed_prove_more_than_the_best_plan() {
    let (job, planned) = honest().swap_remove(0);
    let certificate = greedy(&planned.certificate);
    let n_places = numbers(&mut certificate.clone()).len();
    for first in 0..n_places {
        for second in 0..first {
            for way in 0..8 {
                let mut forged = certificate.clone();
                let is_first = change(numbers(&mut forged).swap_remove(first), way);
                let is_second = change(numbers(&mut forged).swap_remove(second), 7 - way);
                if is_first || is_second {
                    proves_no_more(&job, planned.plan.value, &forged);
                }
            }
        }
    }
}

#[test]
fn no_claim_doubled_dropped_or_changed_in_its_lists_proves_more_than_the_best_plan() {
    let lists: [&dyn Fn(&mut Claim); 8] = [
        &|claim| claim.kinds.clear(),
        &|claim| claim.kinds.reverse(),
        &|claim| claim.kinds.truncate(claim.kinds.len().saturating_sub(1)),
        &|claim| {
            claim
                .classes
                .truncate(claim.classes.len().saturating_sub(1));
        },
        &|claim| claim.classes.reverse(),
        &|claim| claim.rips.clear(),
        &|claim| claim.strips.clear(),
        &|claim| {
            let kinds = claim.kinds.clone();
            claim.kinds.extend(kinds);
        },
    ];
    for (job, planned) in honest() {
        for certificate in [planned.certificate.clone(), greedy(&planned.certificate)] {
            for at in 0..certificate.claims.len() {
                let mut doubled = certificate.clone();
                doubled.claims.push(certificate.claims[at].clone());
                proves_no_more(&job, planned.plan.value, &doubled);
                let mut dropped = certificate.clone();
                dropped.claims.remove(at);
                proves_no_more(&job, planned.plan.value, &dropped);
                for change in lists {
                    let mut forged = certificate.clone();
                    change(&mut forged.claims[at]);
                    proves_no_more(&job, planned.plan.value, &forged);
                }
            }
        }
    }
}

/// The first claim is that everything costs a thousand times as much, and its only board is one of which there is none.
#[test]
fn a_board_of_which_there_is_none_stands_in_for_no_other() {
    let (job, planned) = honest().swap_remove(0);
    let none = job
        .boards
        .iter()
        .position(|board| board.quantity == Some(0));
    let mut forged = planned.certificate;
    let claim = &mut forged.claims[0];
    claim.bound *= 1_000;
    claim.kinds.truncate(1);
    claim.kinds[0].board_idx = none.unwrap();
    claim.kinds[0].classes = (0..claim.classes.len()).collect();
    claim.proof = vec![ProofNode::Prices {
        scale: 1,
        classes: vec![claim.bound; claim.classes.len()],
        conditions: Vec::new(),
    }];
    let proved = prove(&job, &forged);
    assert_eq!(proved.value, 0);
    assert_eq!(proved.findings[0].kind, Kind::ForgottenBoard);
}

#[test]
fn numbers_that_leave_their_range_prove_nothing() {
    let (job, planned) = honest().swap_remove(1);
    for unit in [i64::MAX, i64::MAX / 2, 1 << 62, 1 << 52] {
        for price in [1 << 40, 1 << 39] {
            let mut forged = planned.certificate.clone();
            for claim in &mut forged.claims {
                claim.unit = unit;
                claim.bound = i64::MAX;
                claim.proof = vec![ProofNode::Prices {
                    scale: 1 << 40,
                    classes: vec![price; claim.classes.len()],
                    conditions: Vec::new(),
                }];
            }
            assert_eq!(prove(&job, &forged).value, 0);
        }
    }
}

/// A chain of `depth` splits, each of which has a table with so many conditions as its first case.
fn chain(n_classes: usize, depth: usize, n_conditions: impl Fn(usize) -> usize) -> Vec<ProofNode> {
    let table = |level: usize| ProofNode::Prices {
        scale: 1,
        classes: vec![0; n_classes],
        conditions: vec![0; n_conditions(level)],
    };
    let split = |level: usize| ProofNode::Split {
        kinds: vec![0],
        rips: Vec::new(),
        missing: level.is_multiple_of(2),
        at_most: 0,
        under: 2 * level + 1,
        over: 2 * level + 2,
    };
    let levels = (0..depth).flat_map(|level| [split(level), table(level + 1)]);
    levels.chain([table(depth)]).collect()
}

#[test]
fn a_deep_proof_is_judged_as_it_is() {
    let (job, planned) = honest().swap_remove(1);
    for (depth, has_conditions) in [(1_000, true), (50_000, false)] {
        let mut deep = planned.certificate.clone();
        let claim = &mut deep.claims[0];
        let n_conditions = |level| if has_conditions { level } else { 0 };
        claim.proof = chain(claim.classes.len(), depth, n_conditions);
        let proved = prove(&job, &deep);
        assert_eq!(proved.findings.len(), 1);
        assert!(proved.value <= planned.plan.value);
        if !has_conditions {
            // Nor does its file, read and judged, need room for each level on the stack.
            let planned = Planned {
                certificate: deep,
                ..planned.clone()
            };
            let found = verify(&job, &PlanFile::of(&planned).text()).unwrap();
            assert_eq!(found.standing(), Standing::Fails);
        }
    }
}
