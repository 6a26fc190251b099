//! What the claims of a certificate prove.
//!
//! A claim is about some classes of parts: no plan leaves fewer of them missing than it says, and none that leaves just so
//! many costs less than its bound.
//! `effort` says how much work that may take, `table` by what inequality its prices prove that, `tree` goes through their cases, `worth`, `strips`, `places`, `pairs` and `knapsack` find what the
//! best board is worth at them, `rips` the ways to rip a board, and `replace` which board is as good as another.

#![expect(
    clippy::result_large_err,
    reason = "a claim fails once, and then nothing more is done"
)]

mod effort;
mod knapsack;
mod pairs;
mod places;
mod replace;
mod rips;
#[cfg(test)]
mod samples;
mod strips;
mod table;
mod tree;
mod worth;

use std::collections::BTreeSet;

use super::violation::{Kind, Place, Violation};
use super::wanted::{Class, Stick, Stretch, Taken, Wanted, supply};
use crate::job::Job;
use crate::plan::certificate::{BoardKind, Certificate, Claim, ProofNode};
pub use effort::Effort;
use pairs::Asked;
use rips::{Listed, NamedWays, Ways};
use table::{Absent, Board, Case};
use tree::proved_by;

/// More work than this is not done for one board: more ways to rip it, more places for strips, or more loads of one strip
/// than this prove nothing.
const MOST_WAYS: usize = 50_000;

/// A number left its range, or something was more than is worth the work: nothing is proved by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct TooMuch;

/// What a certificate proves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Proved {
    /// No plan leaves fewer parts missing.
    pub missing: u64,
    /// No plan that leaves `missing` parts missing has a smaller value, in the measure of the job.
    pub value: i64,
    /// Tables of prices that were checked for both.
    pub n_tables: usize,
    /// Claims that fail, and why; they add nothing to what is proved.
    pub findings: Vec<Violation>,
}

/// Checks every claim of `certificate` against `job`.
pub fn prove(job: &Job, certificate: &Certificate) -> Proved {
    prove_within(job, certificate, &Effort::new())
}

/// The same with what is left of the work for a file; a claim that would take more is a finding.
pub fn prove_within(job: &Job, certificate: &Certificate, effort: &Effort) -> Proved {
    let wanted = Wanted::by(job);
    let mut proved = Proved::default();
    let mut owner: Vec<Option<usize>> = vec![None; wanted.classes.len()];
    for (number, claim) in certificate.claims.iter().enumerate() {
        let place = Place::claim(number);
        let checked = classes_of(&wanted, claim, number, &mut owner)
            .and_then(|classes| prove_claim(&wanted, claim, place, &classes, effort));
        let added = checked.and_then(|n_tables| {
            let Claim { missing, bound, .. } = *claim;
            let value = proved.value.checked_add(bound);
            let value = value.ok_or(place.has(Kind::NotProved { bound }))?;
            let missing = proved.missing.checked_add(missing);
            let missing = missing.ok_or(place.has(Kind::MissingNotProved {
                missing: claim.missing,
            }))?;
            Ok((missing, value, n_tables))
        });
        match added {
            // As few parts as all claims together say are missing only where each has as few as it says.
            Ok((missing, value, n_tables)) => {
                (proved.missing, proved.value) = (missing, value);
                proved.n_tables += n_tables;
            }
            Err(violation) => proved.findings.push(violation),
        }
    }
    if let Some(line) = shared_line(&wanted, &owner) {
        // One board cut for two claims would be paid for in both.
        proved
            .findings
            .push(Place::line(line).has(Kind::BoardOfTwoClaims));
        (proved.missing, proved.value) = (0, 0);
    }
    proved
}

/// The classes of a claim's parts; each may belong to one claim only, or its price would count twice.
fn classes_of(
    wanted: &Wanted<'_>,
    claim: &Claim,
    number: usize,
    owner: &mut [Option<usize>],
) -> Result<Vec<usize>, Violation> {
    let mut classes = Vec::with_capacity(claim.classes.len());
    for &part in &claim.classes {
        let place = Place::claim(number).with_part(part);
        let (_, part) = wanted.part(part).ok_or(place.has(Kind::UnknownPart))?;
        if owner[part.class].replace(number).is_some() {
            return Err(place.has(Kind::RepeatedPart));
        }
        classes.push(part.class);
    }
    Ok(classes)
}

/// A line of boards of which parts of two claims could share one; its cost would then count in both.
fn shared_line(wanted: &Wanted<'_>, owner: &[Option<usize>]) -> Option<usize> {
    (0..wanted.job.boards.len()).find(|&line| {
        wanted.portions(line).iter().any(|portion| {
            let fitting = portion.iter().filter(|&&class| wanted.fits(class, line));
            let mut owners = fitting.filter_map(|&class| owner[class]);
            let first = owners.next();
            owners.any(|other| Some(other) != first)
        })
    })
}

/// Whether all indices of a claim are within their lists, and it lists no more than there can be; those of its proof are
/// looked at when it is gone through.
fn is_well_formed(wanted: &Wanted<'_>, claim: &Claim) -> bool {
    let (n_classes, n_kinds) = (claim.classes.len(), claim.kinds.len());
    let lines = 0..wanted.job.boards.len();
    let most_kinds: usize = lines.clone().map(|line| wanted.portions(line).len()).sum();
    // None is named twice, so no list is longer than that of all.
    let are_classes = |classes: &[usize]| {
        classes.len() <= n_classes && classes.iter().all(|&class| class < n_classes)
    };
    n_classes > 0
        && claim.bound >= 0
        && claim.unit >= 1
        && claim.missing_proof.is_empty() == (claim.missing == 0)
        && n_kinds <= most_kinds
        && claim
            .kinds
            .iter()
            .all(|kind| lines.contains(&kind.board_idx) && are_classes(&kind.classes))
        && claim.strips.iter().all(|strip| are_classes(&strip.classes))
        && claim.rips.iter().all(|rip| {
            let mut strips = rip.strips.iter();
            rip.kind < n_kinds && strips.all(|&strip| strip < claim.strips.len())
        })
}

/// Checks one claim, whose classes are these of the job, and returns how many tables of prices its proof has.
fn prove_claim(
    wanted: &Wanted<'_>,
    claim: &Claim,
    place: Place,
    classes: &[usize],
    effort: &Effort,
) -> Result<usize, Violation> {
    if !is_well_formed(wanted, claim) {
        return Err(place.has(Kind::Malformed));
    }
    if let Some(line) = forgotten_line(wanted, claim, classes) {
        return Err(place.with_line(line).has(Kind::ForgottenBoard));
    }
    let not_proved = place.has(Kind::NotProved { bound: claim.bound });
    let ways = (0..claim.kinds.len())
        .map(|kind| ways_of(wanted, claim, classes, kind))
        .collect::<Result<Vec<_>, _>>()
        .map_err(|TooMuch| not_proved)?;
    let best_rips = |kind: usize, asked: Asked<'_>| {
        let ways = ways[kind].as_ref();
        ways.map_or(Ok(Vec::new()), |ways| ways.worths(asked))
    };
    let best_board = |kind: usize, asked: Asked<'_>, floor: i64| {
        let kind = &claim.kinds[kind];
        wanted.best_board(kind.board_idx, classes, asked, &kind.classes, floor)
    };
    let kinds = claim.kinds.iter().zip(&ways);
    let kept: Vec<Vec<(Option<usize>, usize)>> = kinds
        .map(|(kind, ways)| kept_of(wanted, classes, kind, ways.as_ref()))
        .collect();
    let of = |figure: &dyn Fn(&Class) -> u64| -> Vec<u64> {
        let classes = classes.iter().map(|&class| &wanted.classes[class]);
        classes.map(figure).collect()
    };
    let demand: Vec<u64> = of(&|class| class.count);
    let n_rails: Vec<u64> = of(&|class| class.n_rails);
    let weigh_one = n_rails.iter().copied().fold(0, common_divisor).max(1);
    let case = |costs: &dyn Fn(usize) -> i64, unit: i64, absent: Absent, bound: i64| {
        let boards: Vec<Board> = claim
            .kinds
            .iter()
            .zip(&kept)
            .map(|(kind, kept)| Board {
                cost: costs(kind.board_idx),
                supply: supply(wanted.job, kind.board_idx),
                classes: &kind.classes,
                kept,
            })
            .collect();
        Case {
            demand: demand.clone(),
            weights: n_rails.iter().map(|rails| rails / weigh_one).collect(),
            absent,
            step: step(&boards, absent, bound),
            boards,
            unit,
            best_board: &best_board,
            rip_kinds: claim.rips.iter().map(|rip| rip.kind).collect(),
            best_rips: &best_rips,
        }
    };
    let proves = |case: &Case<'_>, nodes: &[ProofNode], bound: i64, not_proved: Violation| {
        let (proved, n_tables) =
            proved_by(case, nodes, bound, effort).ok_or(place.has(Kind::Malformed))?;
        if proved >= i128::from(bound) {
            Ok(n_tables)
        } else if effort.is_spent() {
            Err(place.has(Kind::TooMuchWork))
        } else {
            Err(not_proved)
        }
    };
    let mut n_tables = 0;
    let missing = claim.missing;
    if missing > 0 {
        let not_proved = place.has(Kind::MissingNotProved { missing });
        // By weight; only plans with less missing are to be ruled out.
        let weight = missing.div_ceil(weigh_one);
        let absent = Absent {
            cost: 1,
            most: weight - 1,
        };
        let bound = i64::try_from(weight).map_err(|_| not_proved)?;
        let case = case(&|_| 0, 1, absent, bound);
        n_tables += proves(&case, &claim.missing_proof, bound, not_proved)?;
    }
    let absent = Absent {
        cost: 0,
        most: missing / weigh_one,
    };
    let costs = |line: usize| wanted.costs[line].unwrap_or(0);
    let case = case(&costs, claim.unit, absent, claim.bound);
    n_tables += proves(&case, &claim.proof, claim.bound, not_proved)?;
    Ok(n_tables)
}

/// The classes of a kind for which its board may stay as it lies, each with the rip of the claim that this is.
fn kept_of(
    wanted: &Wanted<'_>,
    classes: &[usize],
    kind: &BoardKind,
    ways: Option<&NamedWays>,
) -> Vec<(Option<usize>, usize)> {
    if let Some(ways) = ways {
        return ways.kept.clone();
    }
    let of_kind = kind.classes.iter().copied();
    let kept = of_kind.filter(|&number| wanted.may_keep(kind.board_idx, classes[number]));
    kept.map(|number| (None, number)).collect()
}

/// A line of boards from which parts of the claim can be cut together, and that no kind of the claim covers.
fn forgotten_line(wanted: &Wanted<'_>, claim: &Claim, classes: &[usize]) -> Option<usize> {
    let mut kinds_of_line: Vec<Vec<usize>> = vec![Vec::new(); wanted.job.boards.len()];
    let mut is_of_kind = vec![vec![false; classes.len()]; claim.kinds.len()];
    for (number, kind) in claim.kinds.iter().enumerate() {
        kinds_of_line[kind.board_idx].push(number);
        for &class in &kind.classes {
            is_of_kind[number][class] = true;
        }
    }
    (0..wanted.job.boards.len()).find(|&line| {
        wanted.portions(line).iter().any(|portion| {
            let portion: BTreeSet<usize> = portion.iter().copied().collect();
            let is_needed =
                |n: &usize| portion.contains(&classes[*n]) && wanted.fits(classes[*n], line);
            let needed: Vec<usize> = (0..classes.len()).filter(is_needed).collect();
            let needed_classes: Vec<usize> = needed.iter().map(|&n| classes[n]).collect();
            let covers = |kind: usize| {
                let board_idx = claim.kinds[kind].board_idx;
                needed.iter().all(|&n| is_of_kind[kind][n])
                    && (board_idx == line || wanted.replaces(board_idx, line, &needed_classes))
            };
            // The line's own kinds are the most likely, and need no comparison.
            let own = &kinds_of_line[line];
            let is_covered = || {
                let mut others = 0..claim.kinds.len();
                own.iter().any(|&kind| covers(kind)) || others.any(covers)
            };
            !needed.is_empty() && !is_covered()
        })
    })
}

/// The ways to cut boards of a kind of the claim, where it lists some.
fn ways_of(
    wanted: &Wanted<'_>,
    claim: &Claim,
    classes: &[usize],
    kind: usize,
) -> Result<Option<NamedWays>, TooMuch> {
    let rips = claim.rips.iter().enumerate();
    let listed: Vec<Listed<'_>> = rips
        .filter(|(_, rip)| rip.kind == kind)
        .map(|(number, rip)| Listed {
            number,
            strips: rip
                .strips
                .iter()
                .map(|&strip| &claim.strips[strip])
                .collect(),
        })
        .collect();
    if listed.is_empty() {
        return Ok(None);
    }
    let kind = &claim.kinds[kind];
    let ways = Ways::of(wanted, kind.board_idx, classes, &kind.classes)?;
    Ok(Some(ways.named(&listed)))
}

/// What the value of every plan below `bound` is a multiple of: the greatest common divisor of the costs of boards that such
/// a plan can pay for, and of what it may leave out. Where these cost nothing, its value is 0, a multiple of the bound.
///
/// A board that another replaces may cost anything: what replaces it is counted instead.
fn step(boards: &[Board<'_>], absent: Absent, bound: i64) -> u64 {
    let payable = boards.iter().filter(|board| board.cost < bound);
    let costs = payable.map(|board| board.cost.unsigned_abs());
    match costs.fold(absent.cost.unsigned_abs(), common_divisor) {
        0 => bound.unsigned_abs().max(1),
        step => step,
    }
}

/// The greatest common divisor; 0 only of two zeros.
fn common_divisor(mut one: u64, mut other: u64) -> u64 {
    while other != 0 {
        (one, other) = (other, one % other);
    }
    one
}

impl Wanted<'_> {
    /// The sets of classes that can be cut from one board of a line together, whether they are too long or not: those of each
    /// section for which it is one strip, and those of all sections that are ripped from it; all, where it may be parted, as
    /// each stick may be used for another.
    fn portions(&self, line: usize) -> Vec<Vec<usize>> {
        let mut portions = Vec::new();
        let mut together = Vec::new();
        for (section, taken) in self.takings[line].iter().enumerate() {
            let classes = 0..self.classes.len();
            let of_section = classes.filter(|&class| {
                self.classes[class].section == section && self.may_give(line, class)
            });
            match taken {
                None => {}
                Some(Taken::Whole) if !self.may_be_parted(line) => {
                    portions.push(of_section.collect());
                }
                Some(Taken::Whole | Taken::Ripped { .. }) => together.extend(of_section),
            }
        }
        if !together.is_empty() {
            portions.push(together);
        }
        portions
    }

    /// The sections that are ripped from a stick, each with the width of its strips.
    fn ripped(&self, stick: Stick) -> Vec<(usize, i128)> {
        let sections = 0..self.sections.len();
        sections
            .filter_map(|section| match self.taken(stick, section) {
                Some(Taken::Ripped { width_nm }) => Some((section, width_nm)),
                Some(Taken::Whole) | None => None,
            })
            .collect()
    }

    /// The classes of one section among the classes `allowed`, which are numbers in `classes`.
    fn of_section(
        &self,
        section: usize,
        classes: &[usize],
        allowed: &[usize],
    ) -> Vec<(usize, &Class)> {
        let parts = allowed.iter().map(|&n| (n, &self.classes[classes[n]]));
        parts
            .filter(|(_, class)| class.section == section)
            .collect()
    }
}

/// How long a stretch is.
fn length((from, to): Stretch) -> i128 {
    to - from
}

#[cfg(test)]
mod tests;
