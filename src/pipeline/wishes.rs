//! A plan of all that a job wishes, what it gives up where boards do not suffice, and plans beside it that are free of a wish.

use std::collections::BTreeSet;

use super::{Answer, MOST_NODES, Planned, Planner, Start};
use crate::audit::{Violation, check, prove};
use crate::bridge::{Lowered, raise_certificate};
use crate::job::{Grains, Job};
use crate::plan::certificate::Certificate;
use crate::plan::{Aside, Part, Plan, Verdict};
use crate::solve::{Control, Share, both};

/// So many lines of frames that come in pairs for want of boards are tried in rows again, each by a search.
const MOST_PUT_BACK: usize = 8;

impl Planner {
    /// Plans `job` with a share of work for its plan, and as much for each that is told beside it.
    ///
    /// Where parts are missing, rails that are to stand in a row come in pairs if that is allowed and fewer are then missing.
    /// Beside it the job is planned without the grain and without the spare offcuts that it asks for, where it does, and
    /// without the vehicle's limit, where that keeps boards away, so that what they cost can be told.
    ///
    /// # Errors
    /// As [`plan()`](super::plan()).
    pub fn plan_with_asides(
        &self,
        job: &Job,
        share: Share,
        control: &Control<'_>,
    ) -> Result<Planned, Vec<Violation>> {
        let (planned, free) = both(
            || {
                let planned = self.plan_wishes(job, share, control)?;
                self.parts_before_rows(job, share, control, planned)
            },
            || self.plan_free(job, share, control),
        );
        let mut planned = planned?;
        let free = if planned.plan.job == *job {
            free?
        } else {
            self.plan_free(&planned.plan.job, share, control)?
        };
        let Planned {
            plan,
            certificate,
            aside,
            ..
        } = &mut planned;
        let claims = certificate.claims.iter();
        let n_nodes = claims.map(|claim| claim.missing_proof.len() + claim.proof.len());
        if plan.verdict != Verdict::Stopped && n_nodes.sum::<usize>() <= MOST_NODES {
            keep_what_holds(&plan.job, certificate);
        }
        let no_worse = |free: Option<Plan>| free.map(|free| no_worse(free, plan));
        aside.without_grain = no_worse(free.without_grain);
        aside.without_spare_offcuts = no_worse(free.without_spare_offcuts);
        aside.without_vehicle_limit = no_worse(free.without_vehicle_limit);
        // What it counts is measured otherwise, so neither plan says anything of the other.
        aside.without_rack_first = free.without_rack_first;
        if !plan.missing.is_empty()
            && let Some(more) = plan.job.beyond_bought()
        {
            aside.beyond_bought = Some(self.plan(&more, share, control)?.plan);
        }
        Ok(planned)
    }

    /// Plans a job without each of its wishes that has a price; told of nothing that it finds on the way, as the job itself is
    /// planned at the same time.
    fn plan_free(
        &self,
        job: &Job,
        share: Share,
        control: &Control<'_>,
    ) -> Result<Aside, Vec<Violation>> {
        let quiet = control.quiet();
        let plan = |free: Option<Job>| -> Result<_, Vec<Violation>> {
            let answer = free.map(|free| self.plan(&free, share, &quiet));
            Ok(answer.transpose()?.map(|answer| answer.plan))
        };
        Ok(Aside {
            without_grain: plan(job.without_grain())?,
            without_spare_offcuts: plan(job.without_spare_offcuts())?,
            without_vehicle_limit: plan(job.without_vehicle_limit())?,
            without_rack_first: plan(job.without_rack_first())?,
            ..Aside::default()
        })
    }

    /// The plan of `job` with its proof; what it may give up for the sake of spare offcuts it gives up.
    fn plan_wishes(
        &self,
        job: &Job,
        share: Share,
        control: &Control<'_>,
    ) -> Result<Planned, Vec<Violation>> {
        self.rails_first(job, share, control, self.plan_alone(job, share, control)?)
    }

    /// `planned`, or where parts are missing in it a plan in which fewer are, as frames come in pairs that may.
    ///
    /// First all of them do; then one line of frames after the other is put back in rows, if no more parts are missing so.
    fn parts_before_rows(
        &self,
        job: &Job,
        share: Share,
        control: &Control<'_>,
        planned: Planned,
    ) -> Result<Planned, Vec<Violation>> {
        let n_missing = |planned: &Planned| planned.plan.missing.len();
        if n_missing(&planned) == 0 {
            return Ok(planned);
        }
        let mut in_pairs = Grains::new(job).rows_that_may_part();
        if in_pairs.is_empty() {
            return Ok(planned);
        }
        let mut best = self.plan_wishes(&job.with_pairs(&in_pairs), share, control)?;
        if n_missing(&best) >= n_missing(&planned) {
            return Ok(planned);
        }
        let tried: Vec<usize> = in_pairs.iter().copied().take(MOST_PUT_BACK).collect();
        for frame_idx in tried {
            in_pairs.remove(&frame_idx);
            let tighter = self.plan_wishes(&job.with_pairs(&in_pairs), share, control)?;
            if n_missing(&tighter) <= n_missing(&best) {
                best = tighter;
            } else {
                in_pairs.insert(frame_idx);
            }
        }
        best.aside.in_rows = Some(planned.plan);
        Ok(best)
    }

    /// `planned`, or where rails are missing in it for the sake of spare offcuts, a plan of as many missing parts that leaves
    /// out the offcuts instead.
    ///
    /// For the model an offcut is a part like any other. Those of mouldings that lack a rail are left out.
    fn rails_first(
        &self,
        job: &Job,
        share: Share,
        control: &Control<'_>,
        planned: Planned,
    ) -> Result<Planned, Vec<Violation>> {
        let with = &planned.plan;
        let moulding_of = |part: &Part| match *part {
            Part::Rail { frame_idx, .. } => Some(job.frames[frame_idx].moulding_idx),
            Part::Loose { piece_idx, .. } => job.pieces[piece_idx].moulding_idx,
        };
        let lacking = with.missing.iter().filter(|part| !part.is_left(job));
        let lacking: BTreeSet<usize> = lacking.filter_map(moulding_of).collect();
        let (free, kept) = job.without_spare_offcuts_of(&lacking);
        let dropped: Vec<usize> = (0..job.pieces.len())
            .filter(|piece_idx| !kept.contains(piece_idx))
            .collect();
        if dropped.is_empty() {
            return Ok(planned);
        }
        let Planned {
            mut plan, aside, ..
        } = self.plan_alone(&free, share, control)?;
        if plan.missing.len() + dropped.len() > with.missing.len() {
            return Ok(planned);
        }
        // The parts by their places in the job itself.
        plan.job = job.clone();
        let named = |part: &mut Part| {
            if let Part::Loose { piece_idx, .. } = part {
                *piece_idx = kept[*piece_idx];
            }
        };
        let strips = plan.boards.iter_mut().flat_map(|board| &mut board.strips);
        strips
            .flat_map(|strip| &mut strip.cuts)
            .for_each(|cut| named(&mut cut.part));
        plan.spare_offcuts
            .iter_mut()
            .for_each(|left| named(&mut left.part));
        plan.kept_pieces
            .iter_mut()
            .for_each(|kept| named(&mut kept.part));
        plan.missing.iter_mut().for_each(named);
        let left_out = dropped.into_iter();
        plan.missing
            .extend(left_out.map(|piece_idx| Part::Loose { piece_idx, copy: 1 }));
        plan.missing.sort_unstable();
        // Bounds are those of the job with its wish, of which this is a plan too.
        plan.missing_lower_bound = with.missing_lower_bound;
        plan.lower_bound = with.lower_bound.min(plan.value);
        plan.verdict = match with.verdict {
            Verdict::Optimal if plan.value > plan.lower_bound => Verdict::WorkLimit,
            verdict => verdict,
        };
        let violations = check(&plan);
        if !violations.is_empty() {
            return Err(violations);
        }
        Ok(Planned {
            plan,
            aside,
            ..planned
        })
    }

    /// Plans `job` with its proof and nothing beside it.
    fn plan_alone(
        &self,
        job: &Job,
        share: Share,
        control: &Control<'_>,
    ) -> Result<Planned, Vec<Violation>> {
        let (Answer { plan, start }, gathered) =
            self.answer(Lowered::new(job), &[], share, control)?;
        let Start {
            lowered, solution, ..
        } = start;
        // A bound of an instance that lacks ways to rip is no bound of the job.
        let proof = solution.certificate.as_ref();
        let proof = proof.filter(|_| lowered.origins.is_complete);
        let certificate =
            proof.map(|proof| raise_certificate(&lowered.instance, &lowered.origins, proof));
        Ok(Planned {
            plan,
            certificate: certificate.unwrap_or_default(),
            aside: Aside {
                gathered: Some(gathered),
                ..Aside::default()
            },
            materials: Vec::new(),
        })
    }
}

/// The plan of a job that is free of some wish; never worse than `with`, the plan of the job that has it, whose cuts would do
/// as well.
fn no_worse(free: Plan, with: &Plan) -> Plan {
    let worth = |plan: &Plan| (plan.missing.len(), plan.value);
    if worth(&free) <= worth(with) {
        return free;
    }
    // Only a search that ended early misses it; then its bound is all that is of use.
    Plan {
        lower_bound: free.lower_bound.min(with.value),
        missing_lower_bound: free.missing_lower_bound,
        verdict: free.verdict,
        job: free.job,
        ..with.clone()
    }
}

/// Leaves out claims that the audit does not follow, as it gives up on what is too much work or sees less of which board
/// stands in for which: a plan says of its certificate only what holds.
fn keep_what_holds(job: &Job, certificate: &mut Certificate) {
    let findings = prove(job, certificate).findings;
    let failed = |claim: usize| {
        // What concerns no claim by itself concerns all of them.
        let mut claims = findings.iter().map(|finding| finding.place.claim);
        claims.any(|failed| failed.is_none_or(|failed| failed == claim))
    };
    let mut numbers = 0..;
    certificate
        .claims
        .retain(|_| numbers.next().is_some_and(|number| !failed(number)));
}
