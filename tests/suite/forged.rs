//! An adversary: honest plans of all kinds, which must pass, and forgeries of them, of which none may.
//!
//! A forger here has the whole library: what is changed in a plan or a certificate is written again as a file in which
//! all that follows from it agrees. A forged file passes where all of it is said to hold though it claims what is not so.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod shops;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};

use longpoint::job::Job;
use longpoint::money::Money;
use longpoint::pipeline::{Planned, plan};
use longpoint::plan::certificate::{BoardKind, Certificate, Claim, ProofNode};
use longpoint::plan::{Measure, Plan, PlannedBoard, Verdict};
use longpoint::planfile::{PlanFile, Standing, verify};
use longpoint::solve::Control;
use longpoint::stock::board_cost;
use serde_json::{Value, json};

use shops::{Draw, WISHES, Wish, job, wishes};

/// So many honest plans are made.
const N_HONEST: usize = 500;

/// A job with its plan, and what it asks for.
struct Honest {
    wishes: BTreeSet<Wish>,
    job: Job,
    planned: Planned,
}

impl Honest {
    fn is_best(&self) -> bool {
        self.planned.plan.verdict == Verdict::Optimal
    }

    /// Parts missing, and value, of a best plan.
    fn best(&self) -> (usize, i64) {
        assert!(self.is_best());
        let plan = &self.planned.plan;
        (plan.missing.len(), plan.value)
    }
}

/// The plan of the job of a number, if there is such a job.
fn honest(number: u64) -> Option<Honest> {
    let wishes = wishes(number);
    let job = job(number, &wishes)?;
    let is_stopped = wishes.contains(&Wish::Stopped);
    // One that is hard ends here, too: it is asked so often on every machine alike.
    let n_asked = AtomicU32::new(0);
    let control = Control {
        stop: &|| is_stopped || n_asked.fetch_add(1, Ordering::Relaxed) > 150,
        progress: &|_| {},
    };
    let planned = plan(&job, &control).unwrap();
    Some(Honest {
        wishes,
        job,
        planned,
    })
}

fn all() -> &'static [Honest] {
    static ALL: OnceLock<Vec<Honest>> = OnceLock::new();
    ALL.get_or_init(|| (0..).filter_map(honest).take(N_HONEST).collect())
}

/// How much of the file of a plan holds.
fn standing(job: &Job, planned: &Planned) -> Standing {
    let text = PlanFile::of(planned).text();
    verify(job, &text).map_or(Standing::Fails, |verified| verified.standing())
}

#[test]
fn five_hundred_honest_plans_of_all_kinds_pass() {
    let mut by_wish: BTreeMap<Option<Wish>, usize> = BTreeMap::new();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for honest in all() {
        let verified = verify(&honest.job, &PlanFile::of(&honest.planned).text()).unwrap();
        // Where the search split by single patterns some of the bound may rest on its word: so few are counted below.
        let is_on_trust = verified.standing() == Standing::OnTrust;
        if !is_on_trust {
            assert_eq!(verified.findings, [], "{:?}", honest.wishes);
            assert_eq!(verified.is_best(), honest.is_best(), "{:?}", honest.wishes);
        }
        let plan = &honest.planned.plan;
        let n_parts = plan.missing.len()
            + plan.spare_offcuts.len()
            + plan
                .boards
                .iter()
                .map(|board| board.cuts().count())
                .sum::<usize>();
        let claims = || honest.planned.certificate.claims.iter();
        let has_cases = |proof: &[ProofNode]| proof.len() > 1;
        let is_ripped = plan.boards.iter().any(|board| board.strips.len() > 1);
        let kinds = [
            (
                "ripped, 9 to 17 parts, by cases",
                is_ripped
                    && (9..=17).contains(&n_parts)
                    && claims().any(|claim| has_cases(&claim.proof)),
            ),
            (
                "short, with a value",
                claims().any(|claim| claim.missing > 0 && claim.bound > 0),
            ),
            ("best", honest.is_best()),
            (
                "best and short",
                honest.is_best() && !plan.missing.is_empty(),
            ),
            ("not best", !honest.is_best()),
            ("on trust", is_on_trust),
            ("spare offcuts", !plan.spare_offcuts.is_empty()),
            (
                "turned",
                plan.boards
                    .iter()
                    .flat_map(PlannedBoard::cuts)
                    .any(|cut| cut.turned),
            ),
            ("ripped", is_ripped),
            ("two claims", honest.planned.certificate.claims.len() > 1),
        ];
        for (kind, _) in kinds.into_iter().filter(|kind| kind.1) {
            *counts.entry(kind).or_default() += 1;
        }
        for wish in &honest.wishes {
            *by_wish.entry(Some(*wish)).or_default() += 1;
        }
        if honest.wishes.is_empty() {
            *by_wish.entry(None).or_default() += 1;
        }
    }
    for wish in WISHES {
        assert!(by_wish[&Some(wish)] >= 30, "{wish:?} in {by_wish:?}");
    }
    assert!(
        counts.get("on trust").is_none_or(|&count| count <= 5),
        "{counts:?}"
    );
    for (kind, least) in [
        ("best", 300),
        ("best and short", 30),
        ("not best", 20),
        ("spare offcuts", 10),
        ("turned", 20),
        ("ripped", 30),
        ("two claims", 30),
        ("ripped, 9 to 17 parts, by cases", 3),
        ("short, with a value", 20),
    ] {
        assert!(
            counts.get(kind).is_some_and(|&count| count >= least),
            "{kind} in {counts:?}"
        );
    }
}

/// Counts forgeries, and holds each against what is so.
struct Adversary<'h> {
    of: &'h Honest,
    n_tried: usize,
    n_true: usize,
}

impl<'h> Adversary<'h> {
    fn new(of: &'h Honest) -> Adversary<'h> {
        Adversary {
            of,
            n_tried: 0,
            n_true: 0,
        }
    }

    /// The forged plan must not pass, but where all that it claims is so all the same.
    fn try_out(&mut self, what: &str, plan: &Plan, certificate: &Certificate) {
        self.n_tried += 1;
        let planned = Planned {
            plan: plan.clone(),
            certificate: certificate.clone(),
            aside: self.of.planned.aside.clone(),
            materials: self.of.planned.materials.clone(),
        };
        if standing(&self.of.job, &planned) != Standing::Holds {
            return;
        }
        self.n_true += 1;
        let (fewest, least) = self.of.best();
        let missing = usize::try_from(plan.missing_lower_bound).unwrap();
        let is_so = missing <= fewest
            && plan.missing.len() >= fewest
            && (plan.missing.len() > fewest || plan.value >= least)
            && plan.lower_bound <= if missing == fewest { least } else { 0 }
            && (plan.verdict != Verdict::Optimal
                || (plan.missing.len(), plan.value) == (fewest, least));
        assert!(
            is_so,
            "{what} passes: {plan:?} with {certificate:?} of {:?}",
            self.of.wishes
        );
    }
}

/// A plan that says it is best.
fn called_best(plan: &Plan) -> Plan {
    Plan {
        missing_lower_bound: plan.missing.len().try_into().unwrap(),
        lower_bound: plan.value,
        verdict: Verdict::Optimal,
        ..plan.clone()
    }
}

/// What a board of a line counts in the value of a plan.
fn cost(plan: &Plan, board_idx: usize) -> i64 {
    let board = &plan.job.boards[board_idx];
    match plan.measure {
        Measure::Price => board_cost(board).unwrap().map_or(0, Money::minor),
        Measure::BoardLength => board.cost_in_length().nm(),
    }
}

/// The plan with its first boards only; the parts of the others are missing.
fn with_fewer_boards(plan: &Plan, n_boards: usize) -> Plan {
    let mut less = plan.clone();
    for board in less.boards.split_off(n_boards) {
        less.missing.extend(board.cuts().map(|cut| cut.part));
        less.value -= cost(plan, board.board_idx);
    }
    let left = std::mem::take(&mut less.spare_offcuts).into_iter();
    let (kept, lost): (Vec<_>, Vec<_>) = left.partition(|left| left.board < n_boards);
    less.spare_offcuts = kept;
    less.missing.extend(lost.into_iter().map(|left| left.part));
    less.missing.sort_unstable();
    less
}

/// The plan of a search that was stopped at once.
fn hasty(job: &Job) -> Plan {
    let control = Control {
        stop: &|| true,
        progress: &|_| {},
    };
    plan(job, &control).unwrap().plan
}

/// Plans worse than the best: of a search that was stopped, and with boards left out. The worst is cut from none.
fn worse_plans(honest: &Honest) -> Vec<Plan> {
    let plan = &honest.planned.plan;
    let n_boards = plan.boards.len();
    let mut worse: Vec<Plan> = [0, n_boards / 2, n_boards.saturating_sub(1)]
        .map(|n_boards| with_fewer_boards(plan, n_boards))
        .into();
    worse.push(hasty(&honest.job));
    worse.retain(|worse| (worse.missing.len(), worse.value) > honest.best());
    worse.dedup();
    worse
}

/// The certificate with bounds raised to what the plan comes to, by one of its claims.
fn raised(certificate: &Certificate, plan: &Plan, by: usize) -> Option<Certificate> {
    let mut raised = certificate.clone();
    let missing: u64 = raised.claims.iter().map(|claim| claim.missing).sum();
    let value: i64 = raised.claims.iter().map(|claim| claim.bound).sum();
    let claim = raised.claims.get_mut(by)?;
    claim.missing =
        (claim.missing + u64::try_from(plan.missing.len()).unwrap()).checked_sub(missing)?;
    claim.bound = (claim.bound + plan.value - value).max(0);
    if claim.missing > 0 && claim.missing_proof.is_empty() {
        // The other proof may do.
        claim.missing_proof = claim.proof.clone();
    }
    Some(raised)
}

/// A table with one price for all parts.
fn table(claim: &Claim, scale: i64, price: i64) -> Vec<ProofNode> {
    vec![ProofNode::Prices {
        scale,
        classes: vec![price; claim.classes.len()],
        conditions: Vec::new(),
    }]
}

/// A proof whose root tells a pair apart: by `apart` where the two lie apart, else by one table.
fn below_a_pair(
    pair: (usize, usize),
    apart: &[ProofNode],
    together: &[ProofNode],
) -> Vec<ProofNode> {
    let mut nodes = vec![ProofNode::Pair {
        pair,
        apart: 1,
        together: apart.len() + 1,
    }];
    nodes.extend(apart.iter().cloned().map(|mut node| {
        match &mut node {
            ProofNode::Prices { .. } => {}
            ProofNode::Split {
                under: one,
                over: other,
                ..
            }
            | ProofNode::Pair {
                apart: one,
                together: other,
                ..
            } => (*one, *other) = (*one + 1, *other + 1),
        }
        node
    }));
    nodes.extend_from_slice(together);
    nodes
}

/// A way to forge a claim, with its name.
type Rule = (&'static str, Box<dyn Fn(&Job, &mut Claim)>);

/// Claims with other lists, tables or numbers than they have.
#[expect(clippy::too_many_lines, reason = "a list of rules")]
fn other_claims() -> Vec<Rule> {
    let mut rules: Vec<Rule> = vec![
        ("no board", Box::new(|_, claim| claim.kinds.clear())),
        (
            "one board less",
            Box::new(|_, claim| claim.kinds.truncate(claim.kinds.len().saturating_sub(1))),
        ),
        (
            "boards for no part",
            Box::new(|_, claim| claim.kinds.iter_mut().for_each(|kind| kind.classes.clear())),
        ),
        (
            "a board of which there is none",
            Box::new(|job, claim| {
                let none = job
                    .boards
                    .iter()
                    .position(|board| board.quantity == Some(0));
                let classes: Vec<usize> = (0..claim.classes.len()).collect();
                let kind = none.map(|board_idx| BoardKind { board_idx, classes });
                claim.kinds = Vec::from_iter(kind);
            }),
        ),
        (
            "a class less",
            Box::new(|_, claim| {
                claim
                    .classes
                    .truncate(claim.classes.len().saturating_sub(1));
            }),
        ),
        (
            "a class twice",
            Box::new(|_, claim| claim.classes.extend(claim.classes.first().copied())),
        ),
        (
            "proofs exchanged",
            Box::new(|_, claim| {
                std::mem::swap(&mut claim.missing_proof, &mut claim.proof);
            }),
        ),
        (
            "no proof of what is missing",
            Box::new(|_, claim| claim.missing_proof.clear()),
        ),
        (
            "an overflow of what is missing",
            Box::new(|_, claim| claim.missing = u64::MAX),
        ),
        (
            "another overflow of what is missing",
            Box::new(|_, claim| claim.missing = 1 << 63),
        ),
    ];
    rules.push((
        "other things counted",
        Box::new(|_, claim| {
            for node in claim.missing_proof.iter_mut().chain(&mut claim.proof) {
                if let ProofNode::Split { missing, .. } = node {
                    *missing = !*missing;
                }
            }
        }),
    ));
    for (first, second) in [(0, 0), (0, 1), (1, 0), (0, usize::MAX)] {
        for (price, own) in [(1, 0), (1 << 30, 0), (1 << 30, 1 << 20)] {
            rules.push((
                "told apart by a pair",
                Box::new(move |_, claim| {
                    let mut together = table(claim, 1, own);
                    if let Some(ProofNode::Prices { classes, .. }) = together.first_mut() {
                        classes.push(price);
                    }
                    if !claim.missing_proof.is_empty() {
                        claim.missing_proof =
                            below_a_pair((first, second), &claim.missing_proof, &together);
                    }
                    claim.proof = below_a_pair((first, second), &claim.proof, &together);
                }),
            ));
        }
    }
    for (scale, price) in [
        (1, 1),
        (1, 1 << 40),
        (1 << 40, 1 << 40),
        (1, i64::MAX),
        (i64::MAX, 1),
        (0, 1),
        (-1, 1),
        (1, -1),
    ] {
        for unit in [1, 0, -1, i64::MAX, i64::MIN] {
            rules.push((
                "a table of its own",
                Box::new(move |_, claim| {
                    claim.unit = unit;
                    claim.proof = table(claim, scale, price);
                    claim.missing_proof = table(claim, scale, price);
                }),
            ));
        }
    }
    rules
}

/// Every price of a proof, and what it is over.
fn prices(proof: &mut [ProofNode]) -> Vec<&mut i64> {
    let mut found = Vec::new();
    for node in proof {
        if let ProofNode::Prices {
            scale,
            classes,
            conditions,
        } = node
        {
            found.push(scale);
            found.extend(classes.iter_mut().chain(conditions));
        }
    }
    found
}

/// Plans that are proved best, a part of those that were made.
fn best_ones(of: usize) -> impl Iterator<Item = &'static Honest> {
    all().iter().filter(|honest| honest.is_best()).step_by(of)
}

#[test]
fn no_worse_plan_passes_as_the_best() {
    let (mut n_tried, mut n_true) = (0, 0);
    for honest in best_ones(25) {
        let mut adversary = Adversary::new(honest);
        let own = &honest.planned.certificate;
        for worse in worse_plans(honest) {
            let lie = called_best(&worse);
            adversary.try_out("its own certificate", &lie, own);
            adversary.try_out("no certificate", &lie, &Certificate::default());
            for by in 0..own.claims.len() {
                let Some(greedy) = raised(own, &lie, by) else {
                    continue;
                };
                adversary.try_out("bounds raised", &lie, &greedy);
                for (what, change) in other_claims() {
                    let mut forged = greedy.clone();
                    change(&honest.job, &mut forged.claims[by]);
                    adversary.try_out(what, &lie, &forged);
                }
                let mut doubled = own.clone();
                doubled.claims.push(greedy.claims[by].clone());
                adversary.try_out("a claim twice", &lie, &doubled);
            }
        }
        n_tried += adversary.n_tried;
        n_true += adversary.n_true;
    }
    assert!(n_tried > 2_000, "only {n_tried} forgeries");
    assert_eq!(n_true, 0, "of {n_tried}");
}

#[test]
fn no_number_of_a_proof_changed_lets_a_worse_plan_pass() {
    let mut n_tried = 0;
    let mut draw = Draw::new(7);
    for honest in best_ones(4) {
        let mut adversary = Adversary::new(honest);
        for worse in worse_plans(honest) {
            let lie = called_best(&worse);
            let by = usize::try_from(draw.below(honest.planned.certificate.claims.len() as u64))
                .unwrap();
            let Some(greedy) = raised(&honest.planned.certificate, &lie, by) else {
                continue;
            };
            for _ in 0..12 {
                let mut forged = greedy.clone();
                let claim = &mut forged.claims[by];
                let is_of_missing = !claim.missing_proof.is_empty() && draw.below(2) == 0;
                let mut numbers = if is_of_missing {
                    prices(&mut claim.missing_proof)
                } else {
                    prices(&mut claim.proof)
                };
                let at = usize::try_from(draw.below(numbers.len() as u64)).unwrap();
                let was = *numbers[at];
                let ways = [
                    was + 1,
                    was - 1,
                    -was,
                    0,
                    was.saturating_mul(2),
                    1 << 40,
                    i64::MAX,
                    i64::MIN,
                ];
                *numbers[at] = ways[usize::try_from(draw.below(8)).unwrap()];
                adversary.try_out("a number changed", &lie, &forged);
            }
        }
        n_tried += adversary.n_tried;
        assert_eq!(adversary.n_true, 0);
    }
    assert!(n_tried > 1_000, "only {n_tried} forgeries");
}

#[test]
fn bounds_one_higher_do_not_pass_and_lower_ones_prove_less() {
    let mut n_tried = 0;
    for honest in best_ones(4) {
        let mut adversary = Adversary::new(honest);
        let Planned {
            plan, certificate, ..
        } = &honest.planned;
        for (missing, value) in [(1, 0), (0, 1), (-1, 0), (0, -1), (1, -1), (-1, 1)] {
            // In the summary alone, in the certificate alone, and in both.
            let mut other = plan.clone();
            other.missing_lower_bound = other.missing_lower_bound.wrapping_add_signed(missing);
            other.lower_bound += value;
            adversary.try_out("bounds of the summary", &other, certificate);
            for by in 0..certificate.claims.len() {
                let mut forged = certificate.clone();
                let claim = &mut forged.claims[by];
                claim.missing = claim.missing.wrapping_add_signed(missing);
                claim.bound += value;
                adversary.try_out("bounds of a claim", plan, &forged);
                other.verdict = Verdict::WorkLimit;
                adversary.try_out("bounds of both", &other, &forged);
            }
        }
        n_tried += adversary.n_tried;
    }
    assert!(n_tried > 1_000, "only {n_tried} forgeries");
}

#[test]
fn plans_and_certificates_of_other_jobs_do_not_pass() {
    let ones: Vec<&Honest> = best_ones(1).collect();
    let mut n_tried = 0;
    for (at, honest) in ones.iter().enumerate() {
        for step in 1..4 {
            let other = ones[(at + step * step) % ones.len()];
            if other.job == honest.job {
                continue;
            }
            n_tried += 1;
            let text = PlanFile::of(&other.planned).text();
            let passes =
                verify(&honest.job, &text).is_ok_and(|found| found.standing() == Standing::Holds);
            assert!(!passes, "{:?} as {:?}", other.wishes, honest.wishes);
            // A bad plan of its own with the proof of the other.
            let others: Value = serde_json::from_str(&text).unwrap();
            for worse in worse_plans(honest) {
                let lie = Planned {
                    plan: called_best(&worse),
                    ..honest.planned.clone()
                };
                let mut file: Value = serde_json::from_str(&PlanFile::of(&lie).text()).unwrap();
                file["certificate"] = others["certificate"].clone();
                for figure in ["missing_lower_bound", "lower_bound"] {
                    file["summary"][format!("certified_{figure}")] =
                        file["summary"][figure].clone();
                }
                n_tried += 1;
                let found = verify(&honest.job, &file.to_string());
                let passes = found.is_ok_and(|found| found.standing() == Standing::Holds);
                assert!(
                    !passes,
                    "a proof of {:?} for {:?}",
                    other.wishes, honest.wishes
                );
            }
        }
    }
    assert!(n_tried > 1_000, "only {n_tried} were tried");
}

/// A plan for which not all wood is there, called the best without a word of proof: it once passed.
#[test]
fn all_parts_called_missing_without_a_claim_do_not_pass() {
    for honest in best_ones(5) {
        let nothing = called_best(&with_fewer_boards(&honest.planned.plan, 0));
        if nothing.missing.len() == honest.best().0 {
            continue;
        }
        let planned = Planned {
            plan: nothing,
            certificate: Certificate::default(),
            aside: honest.planned.aside.clone(),
            materials: honest.planned.materials.clone(),
        };
        // What the file says of its certificate is so; what it says of the plan rests on its word.
        assert_eq!(standing(&honest.job, &planned), Standing::OnTrust);
        let mut file: Value = serde_json::from_str(&PlanFile::of(&planned).text()).unwrap();
        file["summary"]["certified_missing_lower_bound"] = json!(planned.plan.missing.len());
        let found = verify(&honest.job, &file.to_string()).unwrap();
        assert_eq!(found.standing(), Standing::Fails);
    }
}
