//! The simplex against an independent one: `microlp` through `good_lp`.
#![expect(
    clippy::float_arithmetic,
    reason = "values of linear programs are compared"
)]

use good_lp::{
    Expression, ProblemVariables, Solution, SolverModel, Variable, constraint, microlp, variable,
};
use proptest::prelude::*;

use super::inverse::Inverse;
use super::{Lp, Reached, Sense, SimplexWay};
use crate::solve::meter::{Meter, Share};

/// A made-up program: demand by item, `(cost, limit)` by kind, `(kind, counts)` by column.
#[derive(Debug)]
struct MadeUp {
    demand: Vec<u32>,
    kinds: Vec<(f64, Option<u32>)>,
    columns: Vec<(usize, Vec<(usize, u32)>)>,
}

impl MadeUp {
    fn new(demand: &[u32], kinds: &[(u32, Option<u32>)], columns: &[(usize, Vec<u32>)]) -> MadeUp {
        let mut columns: Vec<(usize, Vec<(usize, u32)>)> = columns
            .iter()
            .map(|(kind, counts)| {
                let counts = (0..demand.len()).map(|item| (item, counts[item]));
                (
                    kind % kinds.len(),
                    counts.filter(|entry| entry.1 > 0).collect(),
                )
            })
            .collect();
        // One piece of each item from the unlimited first kind keeps the program feasible.
        columns.push((0, (0..demand.len()).map(|item| (item, 1)).collect()));
        let mut kinds: Vec<(f64, Option<u32>)> = kinds
            .iter()
            .map(|&(cost, limit)| (f64::from(cost), limit))
            .collect();
        kinds[0].1 = None;
        MadeUp {
            demand: demand.to_vec(),
            kinds,
            columns,
        }
    }

    fn by_crate(&self) -> f64 {
        let mut variables = ProblemVariables::new();
        let uses: Vec<Variable> = self
            .columns
            .iter()
            .map(|_| variables.add(variable().min(0)))
            .collect();
        let cost: Expression = self
            .columns
            .iter()
            .zip(&uses)
            .map(|(column, &used)| self.kinds[column.0].0 * used)
            .sum();
        let mut model = variables.minimise(cost).using(microlp);
        for (item, &demand) in self.demand.iter().enumerate() {
            let mut cut = Expression::with_capacity(self.columns.len());
            for ((_, counts), &used) in self.columns.iter().zip(&uses) {
                for &(_, count) in counts.iter().filter(|entry| entry.0 == item) {
                    cut += f64::from(count) * used;
                }
            }
            model = model.with(constraint!(cut >= f64::from(demand)));
        }
        for (idx, kind) in self.kinds.iter().enumerate() {
            let Some(limit) = kind.1 else { continue };
            let taken: Expression = self
                .columns
                .iter()
                .zip(&uses)
                .filter(|(column, _)| column.0 == idx)
                .map(|(_, &used)| 1.0 * used)
                .sum();
            model = model.with(constraint!(taken <= f64::from(limit)));
        }
        let solution = model.solve().expect("the program is feasible and bounded");
        let values = self.columns.iter().zip(&uses);
        values
            .map(|(column, &used)| self.kinds[column.0].0 * solution.value(used))
            .sum()
    }

    /// The program in our simplex, not solved yet; the rows of limits come after those of items.
    fn lp(&self) -> Lp {
        let costs: Vec<f64> = self.kinds.iter().map(|kind| kind.0).collect();
        let mut lp = Lp::new(&costs, 1e5);
        for &demand in &self.demand {
            lp.add_row(Sense::AtLeast, f64::from(demand), &[]);
        }
        for (idx, kind) in self.kinds.iter().enumerate() {
            if let Some(limit) = kind.1 {
                lp.add_row(Sense::AtMost, f64::from(limit), &[idx]);
            }
        }
        for (kind, counts) in &self.columns {
            let counts: Vec<(usize, i32)> = counts
                .iter()
                .map(|&(row, count)| (row, i32::try_from(count).expect("small")))
                .collect();
            lp.add_column(*kind, 1, &counts);
        }
        lp
    }
}

/// The value of `lp` with its right-hand sides as they are.
fn solved(lp: &mut Lp) -> f64 {
    let stop = || false;
    let meter = Meter::new(&stop, Share::FULL);
    for disturbed in [true, false] {
        let way = SimplexWay {
            disturbed,
            allowance: None,
        };
        assert_ne!(lp.solve(way, &meter), Reached::Halted);
    }
    assert!(lp.shortfall() < 1e-6);
    lp.value()
}

/// The value of `lp`, penalties of rows that cannot be met included; infinite where a row cannot be kept.
fn value_or_penalty(lp: &mut Lp) -> f64 {
    let stop = || false;
    let reached = lp.solve(SimplexWay::default(), &Meter::new(&stop, Share::FULL));
    assert_ne!(reached, Reached::Halted);
    if lp.shortfall() > 1e-6 {
        f64::INFINITY
    } else {
        lp.value()
    }
}

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() < 1e-6 * (1.0 + one.abs())
}

proptest! {
    #![proptest_config(cases!())]

    #[test]
    fn the_simplex_agrees_with_the_crate(
        demand in prop::collection::vec(1u32..20, 1..7),
        kinds in prop::collection::vec((1u32..50, prop::option::of(0u32..8)), 1..4),
        columns in prop::collection::vec((0usize..4, prop::collection::vec(0u32..4, 7)), 1..30),
    ) {
        let program = MadeUp::new(&demand, &kinds, &columns);
        let (ours, theirs) = (solved(&mut program.lp()), program.by_crate());
        prop_assert!(near(ours, theirs), "{ours} against {theirs}");
    }

    #[test]
    fn a_factorized_basis_does_as_well_as_an_inverse(
        demand in prop::collection::vec((1u32..20, 0u32..20), 1..7),
        kinds in prop::collection::vec((1u32..50, prop::option::of(0u32..8)), 1..4),
        columns in prop::collection::vec((0usize..4, prop::collection::vec(0u32..4, 7)), 1..30),
    ) {
        let (before, after): (Vec<u32>, Vec<u32>) = demand.into_iter().unzip();
        let program = MadeUp::new(&before, &kinds, &columns);
        let (mut written_out, mut factorized) = (program.lp(), program.lp());
        factorized.inverse = Inverse::new(0);
        prop_assert!(near(solved(&mut written_out), solved(&mut factorized)));
        for lp in [&mut written_out, &mut factorized] {
            for (row, &demand) in after.iter().enumerate() {
                lp.set_side(row, f64::from(demand));
            }
        }
        prop_assert!(near(solved(&mut written_out), solved(&mut factorized)));
    }

    #[test]
    fn a_bound_costs_at_least_what_the_rates_foretell(
        demand in prop::collection::vec(1u32..20, 1..7),
        kinds in prop::collection::vec((1u32..50, prop::option::of(0u32..8)), 2..4),
        columns in prop::collection::vec((0usize..4, prop::collection::vec(0u32..4, 7)), 1..30),
        by in 1u32..8,
    ) {
        let program = MadeUp::new(&demand, &kinds, &columns);
        let mut lp = program.lp();
        let value = solved(&mut lp);
        let mut is_member = vec![false; kinds.len()];
        is_member[1] = true;
        let total: f64 = lp
            .primal()
            .iter()
            .filter(|&&(column, _)| program.columns[column].0 == 1)
            .map(|entry| entry.1)
            .sum();
        let (down, up) = lp.rates(&is_member);
        let by = f64::from(by) / 4.0;
        for (sense, side, rate) in [
            (Sense::AtMost, total - by, down),
            (Sense::AtLeast, total + by, up),
        ] {
            if side < 0.0 {
                continue;
            }
            let mut bounded = program.lp();
            bounded.add_row(sense, side, &[1]);
            // Where nothing can move the total, an artificial pays for it.
            let least = value + by * rate.min(1e3);
            let bounded = value_or_penalty(&mut bounded);
            prop_assert!(bounded >= least - 1e-5 * (1.0 + least.abs()), "{bounded} below {least}");
        }
    }

    #[test]
    fn a_changed_demand_is_solved_from_the_old_basis(
        demand in prop::collection::vec((1u32..20, 0u32..20), 1..7),
        kinds in prop::collection::vec((1u32..50, prop::option::of(0u32..8)), 1..4),
        columns in prop::collection::vec((0usize..4, prop::collection::vec(0u32..4, 7)), 1..30),
    ) {
        let (before, after): (Vec<u32>, Vec<u32>) = demand.into_iter().unzip();
        let mut lp = MadeUp::new(&before, &kinds, &columns).lp();
        solved(&mut lp);
        for (row, &demand) in after.iter().enumerate() {
            lp.set_side(row, f64::from(demand));
        }
        let (ours, theirs) = (solved(&mut lp), MadeUp::new(&after, &kinds, &columns).by_crate());
        prop_assert!(near(ours, theirs), "{ours} against {theirs}");
    }

    #[test]
    fn barred_columns_are_as_good_as_absent(
        demand in prop::collection::vec(1u32..20, 1..7),
        kinds in prop::collection::vec((1u32..50, prop::option::of(0u32..8)), 1..4),
        columns in prop::collection::vec((0usize..4, prop::collection::vec(0u32..4, 7)), 1..30),
        barred in prop::collection::vec(any::<bool>(), 30),
    ) {
        let mut lp = MadeUp::new(&demand, &kinds, &columns).lp();
        solved(&mut lp);
        for (idx, &barred) in barred.iter().take(columns.len()).enumerate() {
            lp.bar(idx, barred);
        }
        let kept: Vec<(usize, Vec<u32>)> =
            columns.iter().zip(&barred).filter(|(_, barred)| !**barred).map(|(column, _)| column.clone()).collect();
        let (ours, theirs) = (solved(&mut lp), MadeUp::new(&demand, &kinds, &kept).by_crate());
        prop_assert!(near(ours, theirs), "{ours} against {theirs}");
    }
}
