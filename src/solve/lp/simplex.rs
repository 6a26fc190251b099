//! The primal and the dual simplex over the live program.
//!
//! # Source
//! Two-pass ratio test: P. M. J. Harris, Pivot selection methods of the Devex LP code, Mathematical Programming 5
//! (1973), doi 10.1007/BF01580108; dual simplex: C. E. Lemke, Naval Research Logistics Quarterly 1 (1954),
//! doi 10.1002/nav.3800010107.

use super::super::meter::Meter;
use super::super::params::{
    CANDIDATE_PROMISE, CANDIDATES, DUAL_TOLERANCE, ETA_LIMIT, PIVOT_TOLERANCE, PRIMAL_TOLERANCE,
    RATIO_SLACK, STALL_LIMIT,
};
use super::{Basic, Lp, Sense};

impl Lp {
    /// Solves the program from the present basis.
    ///
    /// Returns `false` when the meter ended the search; prices and values are then those of some basis.
    ///
    /// With `allowance`, the primal simplex stops after so many steps of work, and [`Lp::is_optimal`] tells of it.
    pub(in super::super) fn solve(&mut self, allowance: Option<u64>, meter: &Meter<'_>) -> bool {
        self.optimal = false;
        self.allowance = allowance.unwrap_or(u64::MAX);
        if !self.active_fresh {
            self.active.clear();
            self.active
                .extend((0..self.barred.len()).filter(|&column| !self.barred[column]));
            self.active_fresh = true;
        }
        self.refresh(meter);
        self.compute_x();
        self.compute_prices();
        for _ in 0..8 {
            if self.worst_infeasible().is_some() && !self.dual(meter) {
                return false;
            }
            if self.worst_infeasible().is_some() {
                // The subset of columns that the dual simplex may use cannot meet the rows: begin anew.
                self.reset();
                self.refactor(meter);
            }
            if !self.primal_simplex(meter) {
                return false;
            }
            if self.stalled && !self.perturbed {
                // A vertex where pivots go round in circles: leave it by disturbed right-hand sides.
                self.perturbed = true;
                self.compute_x();
                let whole = (self.worst_infeasible().is_none() || self.dual(meter))
                    && self.primal_simplex(meter);
                self.perturbed = false;
                if !whole {
                    return false;
                }
                self.refactor(meter);
                self.compute_prices();
            }
            // Judge the end by a fresh factorization.
            if self.factor.n_updates() > 0 {
                self.refactor(meter);
                self.compute_prices();
            }
            if self.worst_infeasible().is_none() || !self.optimal {
                break;
            }
        }
        !meter.halted()
    }

    /// Whether the last call of [`Lp::solve`] went to the end.
    pub(in super::super) fn is_optimal(&self) -> bool {
        self.optimal
    }

    fn reset(&mut self) {
        self.set_basis(&[]);
    }

    fn worst_infeasible(&self) -> Option<usize> {
        let mut worst = None;
        let mut amount = PRIMAL_TOLERANCE;
        for (place, &x) in self.x.iter().enumerate() {
            let excess = if x < 0.0 {
                -x
            } else if self.is_held(self.basis[place]) {
                x
            } else {
                continue;
            };
            if excess > amount {
                amount = excess;
                worst = Some(place);
            }
        }
        worst
    }

    /// The most promising variable to enter.
    ///
    /// Slacks are all looked at, columns from a short list; the list is drawn up anew when it has lost its promise.
    fn entering(&mut self, meter: &Meter<'_>) -> Option<Basic> {
        let mut best = -DUAL_TOLERANCE;
        let mut choice = None;
        for row in 0..self.rows.len() {
            let price = self.y[row];
            match self.rows[row].sense {
                Sense::AtLeast => {
                    if !self.slack_basic[row] && price < best {
                        best = price;
                        choice = Some(Basic::Slack(row));
                    }
                    if !self.artificial_basic[row] && self.penalty - price < best {
                        best = self.penalty - price;
                        choice = Some(Basic::Artificial(row));
                    }
                }
                Sense::AtMost => {
                    if !self.slack_basic[row] && -price < best {
                        best = -price;
                        choice = Some(Basic::Slack(row));
                    }
                }
            }
        }
        let mut list = std::mem::take(&mut self.candidates);
        let mut best_column = self.best_of(&mut list);
        if best_column.is_none_or(|(_, reduced)| reduced > CANDIDATE_PROMISE * self.candidate_best)
        {
            list.clear();
            let mut found: Vec<(f64, usize)> = Vec::new();
            for &column in &self.active {
                if !self.column_basic[column] {
                    let reduced = self.reduced_cost(column);
                    if reduced < -DUAL_TOLERANCE {
                        found.push((reduced, column));
                    }
                }
            }
            meter.spend(6 * self.active.len() as u64);
            let order =
                |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
            if found.len() > CANDIDATES {
                found.select_nth_unstable_by(CANDIDATES, order);
                found.truncate(CANDIDATES);
            }
            found.sort_by(order);
            list.extend(found.iter().map(|entry| entry.1));
            best_column = found.first().map(|&(reduced, column)| (column, reduced));
            self.candidate_best = best_column.map_or(0.0, |(_, reduced)| reduced);
        }
        self.candidates = list;
        match best_column {
            Some((column, reduced)) if reduced < best => Some(Basic::Column(column)),
            _ => choice,
        }
    }

    /// The column of least reduced cost in `list`, from which columns without promise are taken out.
    fn best_of(&self, list: &mut Vec<usize>) -> Option<(usize, f64)> {
        let mut best: Option<(usize, f64)> = None;
        list.retain(|&column| {
            if self.barred[column] || self.column_basic[column] {
                return false;
            }
            let reduced = self.reduced_cost(column);
            if reduced >= -DUAL_TOLERANCE {
                return false;
            }
            if best.is_none_or(|known| reduced < known.1) {
                best = Some((column, reduced));
            }
            true
        });
        best
    }

    fn primal_simplex(&mut self, meter: &Meter<'_>) -> bool {
        let mut stalled = 0usize;
        self.stalled = false;
        let mut pivots = 0usize;
        let start = meter.work();
        self.candidates.clear();
        loop {
            if self.factor.n_updates() >= ETA_LIMIT {
                self.refresh(meter);
            }
            self.compute_prices();
            if !meter.spend(self.work_of_iteration()) {
                return false;
            }
            let Some(entering) = self.entering(meter) else {
                self.optimal = true;
                return true;
            };
            if meter.work() - start > self.allowance {
                return true;
            }
            let mut alpha = vec![0.0; self.rows.len()];
            self.scatter_into(entering, &mut alpha);
            self.factor.ftran(&mut alpha);
            let Some(place) = self.leaving(&alpha) else {
                return true;
            };
            let step = if self.is_held(self.basis[place]) {
                0.0
            } else {
                (self.x[place] / alpha[place]).max(0.0)
            };
            pivots += 1;
            stalled = if step > 1e-12 { 0 } else { stalled + 1 };
            self.exchange(place, entering, &alpha, step);
            if stalled > STALL_LIMIT
                || pivots > 20 * (self.rows.len() + self.active.len()) + 10 * STALL_LIMIT
            {
                self.stalled = true;
                return true;
            }
        }
    }

    fn leaving(&self, alpha: &[f64]) -> Option<usize> {
        let mut largest_step = f64::INFINITY;
        for (place, &a) in alpha.iter().enumerate() {
            if self.is_held(self.basis[place]) {
                if a.abs() > PIVOT_TOLERANCE {
                    largest_step = largest_step.min(RATIO_SLACK / a.abs());
                }
            } else if a > PIVOT_TOLERANCE {
                largest_step = largest_step.min((self.x[place].max(0.0) + RATIO_SLACK) / a);
            }
        }
        if largest_step == f64::INFINITY {
            return None;
        }
        let mut choice = None;
        let mut size = 0.0;
        for (place, &a) in alpha.iter().enumerate() {
            let held = self.is_held(self.basis[place]);
            let fits = if held {
                a.abs() > PIVOT_TOLERANCE
            } else {
                a > PIVOT_TOLERANCE && self.x[place].max(0.0) / a <= largest_step
            };
            if fits && a.abs() > size {
                size = a.abs();
                choice = Some(place);
            }
        }
        choice
    }

    fn dual(&mut self, meter: &Meter<'_>) -> bool {
        let mut rounds = 0u32;
        loop {
            if self.factor.n_updates() >= ETA_LIMIT {
                self.refactor(meter);
                self.compute_prices();
            }
            let Some(place) = self.worst_infeasible() else {
                return true;
            };
            if !meter.spend(self.work_of_iteration() + 8 * self.active.len() as u64) {
                return false;
            }
            rounds += 1;
            if rounds > 20_000 {
                return true;
            }
            let mut rho = vec![0.0; self.rows.len()];
            rho[place] = 1.0;
            self.factor.btran(&mut rho);
            let sign = if self.x[place] < 0.0 { -1.0 } else { 1.0 };
            let Some(entering) = self.dual_entering(&rho, sign) else {
                return true;
            };
            let mut alpha = vec![0.0; self.rows.len()];
            self.scatter_into(entering, &mut alpha);
            self.factor.ftran(&mut alpha);
            if alpha[place].abs() < PIVOT_TOLERANCE {
                if self.factor.n_updates() == 0 {
                    return true;
                }
                self.refactor(meter);
                self.compute_prices();
                continue;
            }
            let step = self.x[place] / alpha[place];
            self.exchange(place, entering, &alpha, step);
            self.compute_prices();
        }
    }

    /// The variable that enters for the row `rho` of the inverse: least ratio of reduced cost to size.
    fn dual_entering(&self, rho: &[f64], sign: f64) -> Option<Basic> {
        let mut best_ratio = f64::INFINITY;
        let mut best_size = 0.0;
        let mut choice = None;
        let mut consider = |basic: Basic, reduced: f64, entry: f64| {
            let size = entry * sign;
            if size <= 1e-9 || reduced < -DUAL_TOLERANCE {
                return;
            }
            let ratio = reduced.max(0.0) / size;
            if ratio < best_ratio - 1e-12 || (ratio <= best_ratio + 1e-12 && size > best_size) {
                best_ratio = best_ratio.min(ratio);
                best_size = size;
                choice = Some(basic);
            }
        };
        for (row, (&price, &entry)) in self.y.iter().zip(rho).enumerate() {
            match self.rows[row].sense {
                Sense::AtLeast => {
                    if !self.slack_basic[row] {
                        consider(Basic::Slack(row), price, -entry);
                    }
                    if !self.artificial_basic[row] {
                        consider(Basic::Artificial(row), self.penalty - price, entry);
                    }
                }
                Sense::AtMost => {
                    if !self.slack_basic[row] {
                        consider(Basic::Slack(row), -price, entry);
                    }
                }
            }
        }
        let kind_rho: Vec<f64> = self
            .kinds
            .iter()
            .map(|kind| kind.rows.iter().map(|&row| rho[row]).sum())
            .collect();
        for &column in &self.active {
            if self.column_basic[column] {
                continue;
            }
            let kind = self.column_kind[column] as usize;
            let weight = self.column_weight[column];
            let mut entry = weight * kind_rho[kind];
            let mut reduced = weight * self.kind_price[kind];
            for &(row, count) in
                &self.entries[self.column_start[column]..self.column_start[column + 1]]
            {
                let count = f64::from(count);
                entry += rho[row as usize] * count;
                reduced -= self.y[row as usize] * count;
            }
            consider(Basic::Column(column), reduced, entry);
        }
        choice
    }
}
