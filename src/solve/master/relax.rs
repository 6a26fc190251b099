//! The linear relaxation of a node, by column generation.
#![expect(
    clippy::float_arithmetic,
    reason = "duals are floats until they are rounded to integers for the bound"
)]

use super::super::bound::{IntegerDuals, lagrangian, round_up};
use super::super::lp::{Reached, SimplexWay};
use super::super::meter::Meter;
use super::super::params::{
    CROWDED, INTEGRAL_WITHIN, LEAST_FRACTION, LP_SHARE, NEAR_SHARE, ROUND_WORK, SHORT_ABOVE,
    SMALL_SHORTFALL, SMOOTHING,
};
use super::pricing::Duals;
use super::{Master, NodeState, float, floor};

/// What is asked of the pricing loop.
#[derive(Clone, Copy, Debug)]
pub(in super::super) struct Ask {
    /// The cost already spent; bounds include it.
    pub(in super::super) fixed: i64,
    /// The loop ends as soon as the bound reaches this.
    pub(in super::super) cutoff: i64,
    /// The loop ends after so many pricings.
    pub(in super::super) max_rounds: usize,
    /// Whether it also ends when further rounds cannot raise the bound to the next whole unit.
    pub(in super::super) settle: bool,
    /// Whether it is asked at a node, not below what is fixed in a dive: then the bound needs its proof, duals found at
    /// other nodes are of use, and those found here at others.
    pub(in super::super) at_node: bool,
}

/// How the pricing loop ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in super::super) enum Outcome {
    /// No column improves the program.
    Converged,
    /// The bound reached the cutoff.
    Pruned,
    /// The loop was cut off: by the meter, by its limit of rounds, or because more rounds cannot raise the bound.
    CutShort,
}

/// What the pricing loop found.
#[derive(Clone, Debug)]
pub(in super::super) struct Relaxed {
    /// A proved lower bound on the cost, in whole units.
    pub(in super::super) bound: i64,
    /// Value of the linear program in units; not proved.
    pub(in super::super) value: f64,
    /// How the loop ended.
    pub(in super::super) outcome: Outcome,
    /// Whether the program cannot meet the demand.
    pub(in super::super) short: bool,
    /// The duals that gave the bound.
    pub(in super::super) duals: Option<IntegerDuals>,
}

impl Master<'_> {
    /// Solves the linear relaxation of `state`, at which the program is.
    pub(in super::super) fn relax(
        &mut self,
        state: &NodeState,
        ask: Ask,
        meter: &Meter<'_>,
    ) -> Relaxed {
        let budget = ask.cutoff.saturating_sub(ask.fixed);
        self.fill_boards(state, budget);
        let mixes = ask.at_node && ask.settle && !self.is_full && self.may_mix(state);
        let mut generation = Generation {
            // Disturbed right-hand sides help the long way from nothing; the last rounds are done without.
            way: SimplexWay {
                disturbed: self.lp.is_untouched(),
                allowance: None,
            },
            master: self,
            state,
            budget,
            settle: ask.settle,
            meter,
            best: Best::default(),
            mixes,
            smoothing: Smoothing::default(),
        };
        let mut outcome = generation.run(ask.max_rounds);
        let mut best = generation.best;
        if self.is_full && ask.at_node {
            best = self.proved_beyond_full(state, &best, outcome);
            if outcome == Outcome::Pruned && best.bound < budget {
                outcome = Outcome::CutShort;
            }
        }
        if mixes
            && !best.is_mixed
            && let Some(duals) = &best.duals
        {
            self.keep_duals(duals, &best.worths);
        }
        if !meter.halted() && outcome != Outcome::Pruned {
            self.solve(meter);
        }
        let short = self.shortfall() > SHORT_ABOVE;
        self.lp.reset_penalty();
        Relaxed {
            bound: best.bound.saturating_add(ask.fixed),
            value: self.value(ask.fixed),
            outcome,
            short,
            duals: best.duals,
        }
    }

    /// What of a bound by full patterns holds for all.
    fn proved_beyond_full(&self, state: &NodeState, best: &Best, outcome: Outcome) -> Best {
        // The table at hand is that of the duals that reached the cutoff.
        let known = best.duals.as_ref().filter(|_| outcome == Outcome::Pruned);
        let known = known.map(|duals| {
            let worth = best.worths.iter().copied().max().unwrap_or(0);
            (duals, worth.max(self.net_cost(0, duals)))
        });
        let duals = self.beyond_full(state, known);
        let bound = duals.as_ref().map_or(0, |duals| {
            round_up(lagrangian(&state.demand, duals, &[], &[], &[]), duals)
        });
        Best {
            bound,
            duals,
            ..Best::default()
        }
    }
}

/// The best bound proved so far, with the duals that gave it.
#[derive(Default)]
struct Best {
    bound: i64,
    duals: Option<IntegerDuals>,
    /// What boards are worth at them at most.
    worths: Vec<i64>,
    /// Whether they are a mixture of what was known before.
    is_mixed: bool,
}

/// Smoothing: prices are asked for at a point between the best duals so far and those of the program.
struct Smoothing {
    /// The duals that gave the best bound, and the bound in units of the dearest board.
    center: Option<Duals>,
    level: f64,
    /// Off for one round after a point between gave no column that improves the program.
    is_on: bool,
}

impl Default for Smoothing {
    fn default() -> Smoothing {
        Smoothing {
            center: None,
            level: f64::NEG_INFINITY,
            is_on: true,
        }
    }
}

impl Smoothing {
    /// Takes the duals `point` as center if the bound that they gave is the best.
    fn note(&mut self, level: f64, point: Duals) {
        if level > self.level {
            self.level = level;
            self.center = Some(point);
        }
    }
}

/// The state of the pricing loop.
struct Generation<'a, 'p> {
    master: &'a mut Master<'p>,
    state: &'a NodeState,
    /// What the bound must reach.
    budget: i64,
    settle: bool,
    /// Whether duals found before are of use here, and those found here elsewhere.
    mixes: bool,
    meter: &'a Meter<'a>,
    /// How the program is solved next.
    way: SimplexWay,
    best: Best,
    smoothing: Smoothing,
}

impl Generation<'_, '_> {
    /// Solves the program and prices in turn.
    fn run(&mut self, max_rounds: usize) -> Outcome {
        let mut is_mixed = false;
        if self.mixes {
            is_mixed = self.begin_mixed();
            if self.best.bound >= self.budget {
                return Outcome::Pruned;
            }
        }
        for round in 0.. {
            if !self.meter.spend(ROUND_WORK) {
                break;
            }
            let reached = self.master.lp.solve(self.way, self.meter);
            if reached == Reached::Halted || round >= max_rounds {
                break;
            }
            let is_optimal = reached == Reached::Optimum;
            if is_mixed && round == 0 && is_optimal && self.is_near() {
                return Outcome::CutShort;
            }
            if let Some(outcome) = self.round(is_optimal) {
                return outcome;
            }
        }
        Outcome::CutShort
    }

    /// Whether the bound is so near to the value of the program with the columns at hand that more of them would change
    /// little, and its solution can be split.
    fn is_near(&self) -> bool {
        if self.master.shortfall() >= SMALL_SHORTFALL {
            return false;
        }
        let above = self.master.value(0) - float(self.best.bound);
        if above > NEAR_SHARE * (float(self.budget) - float(self.best.bound)) {
            return false;
        }
        let mut used = self.master.primal().into_iter();
        used.any(|(column, value)| {
            let is_cut = !self.master.columns()[column].counts.is_empty();
            is_cut && (value - value.round()).abs() > LEAST_FRACTION
        })
    }

    /// Prices at the mixture of what is known; tells whether there was something to mix.
    fn begin_mixed(&mut self) -> bool {
        let Some(point) = self.master.mixed(self.state, self.meter) else {
            return false;
        };
        let rounded = self.master.rounded(self.state, &point);
        let priced = self
            .master
            .price(self.state, self.budget, &rounded, &point, self.meter);
        if self.meter.halted() {
            return false;
        }
        let scaled = float(i64::try_from(priced.bound).unwrap_or(i64::MIN));
        self.smoothing.note(scaled / float(rounded.scale), point);
        self.best = Best {
            bound: round_up(priced.bound, &rounded),
            duals: Some(rounded),
            worths: priced.worths,
            is_mixed: true,
        };
        true
    }

    /// One pricing of the program just solved; an outcome ends the loop.
    fn round(&mut self, is_optimal: bool) -> Option<Outcome> {
        self.master.retire(CROWDED);
        let duals = self.master.duals(self.state);
        let point = self.point(&duals);
        let is_smoothed = point != duals;
        let rounded = self.master.rounded(self.state, &point);
        let n_before = self.master.columns().len();
        let work_before = self.meter.work();
        let priced = self
            .master
            .price(self.state, self.budget, &rounded, &point, self.meter);
        let scaled = float(i64::try_from(priced.bound).unwrap_or(i64::MIN));
        self.smoothing.note(scaled / float(rounded.scale), point);
        if self.meter.halted() {
            return Some(Outcome::CutShort);
        }
        let bound = round_up(priced.bound, &rounded);
        if bound > self.best.bound || self.best.duals.is_none() {
            self.best = Best {
                bound: bound.max(self.best.bound),
                duals: Some(rounded),
                worths: priced.worths,
                is_mixed: false,
            };
        }
        if self.best.bound >= self.budget {
            return Some(Outcome::Pruned);
        }
        // Neither the simplex nor the pricing should wait long for the other.
        let allowance = LP_SHARE * (self.meter.work() - work_before);
        let was_limited = self.way.allowance.replace(allowance).is_some();
        self.smoothing.is_on = true;
        if priced.n_new == 0 && !is_optimal {
            self.way.allowance = None;
            return (!was_limited).then_some(Outcome::CutShort);
        }
        let is_idle = !self.improves(n_before);
        if is_smoothed && is_idle {
            self.smoothing.is_on = false;
            return None;
        }
        // At high penalties there are always columns that improve the program by no more than rounding. What was set aside and
        // has come back is not among those that were looked at.
        let is_idle = is_idle && n_before + priced.n_new == self.master.columns().len();
        if is_idle && priced.refined {
            return None;
        }
        if is_idle && is_optimal {
            return self.conclude();
        }
        if is_optimal { self.settled() } else { None }
    }

    /// The duals to price at.
    fn point(&self, duals: &Duals) -> Duals {
        match &self.smoothing.center {
            Some(center) if self.smoothing.is_on && self.master.shortfall() < SMALL_SHORTFALL => {
                center.blend(SMOOTHING, duals)
            }
            _ => duals.clone(),
        }
    }

    /// Whether a column behind the first `n_before` improves the program.
    fn improves(&self, n_before: usize) -> bool {
        let noise = self.master.lp.noise();
        let mut fresh = n_before..self.master.columns().len();
        fresh.any(|column| self.master.lp.reduced_cost(column) < -noise)
    }

    /// No column is worth more than it costs: the end, unless the program can be asked more sharply.
    fn conclude(&mut self) -> Option<Outcome> {
        if self.way.disturbed {
            self.way.disturbed = false;
            return None;
        }
        if self.master.shortfall() > SHORT_ABOVE && self.master.lp.raise_penalty() {
            return None;
        }
        Some(Outcome::Converged)
    }

    /// The end where the bound is as high as the value of the program, rounded up, allows.
    fn settled(&mut self) -> Option<Outcome> {
        if !self.settle || self.master.shortfall() >= SMALL_SHORTFALL {
            return None;
        }
        let rounded_value = floor(self.master.value(0) - INTEGRAL_WITHIN) + 1;
        if self.best.bound < rounded_value {
            return None;
        }
        if !self.way.disturbed {
            return Some(Outcome::CutShort);
        }
        // The value may owe its place below the whole number to the disturbance.
        self.way.disturbed = false;
        None
    }
}
