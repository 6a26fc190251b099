//! The integer program over a small pool of columns, stated in `good_lp` and solved by `microlp`.
//!
//! This is the only file that names the LP crate.
//! The crate gives no duals and cannot be stopped while it branches, so it finishes small pools only, where it takes
//! a moment; column generation runs on the simplex of `lp`, against which the tests of this file hold the crate.

use good_lp::{
    Expression, ProblemVariables, Solution, SolverModel, Variable, constraint, microlp, variable,
};

use super::params::{PROGRAM_COLUMNS, PROGRAM_ROWS};
use super::problem::{Column, Problem};

/// The best plan over `columns`, if the pool is small and the solver finds one.
///
/// The boards are rounded from floats: the caller checks them in integers before they count as a plan.
pub(super) fn best_of_pool(problem: &Problem, columns: &[Column]) -> Option<Vec<(Column, u32)>> {
    if columns.len() > PROGRAM_COLUMNS || problem.n_items() + problem.kinds.len() > PROGRAM_ROWS {
        return None;
    }
    let values = solve(problem, columns, true)?;
    Some(
        columns
            .iter()
            .cloned()
            .zip(values.iter().map(|&value| whole(value)))
            .collect(),
    )
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the use of a column is small and not negative; a cast saturates in any case"
)]
fn whole(value: f64) -> u32 {
    value.round() as u32
}

#[expect(
    clippy::cast_precision_loss,
    reason = "the program is solved in floats; plans are checked in integers"
)]
fn float(value: i64) -> f64 {
    value as f64
}

/// How often each column is used in a cheapest cover of the demand within the supply.
#[expect(
    clippy::float_arithmetic,
    reason = "a linear program is stated in floats"
)]
fn solve(problem: &Problem, columns: &[Column], whole: bool) -> Option<Vec<f64>> {
    let mut variables = ProblemVariables::new();
    let uses: Vec<Variable> = columns
        .iter()
        .map(|_| {
            variables.add(if whole {
                variable().integer().min(0)
            } else {
                variable().min(0)
            })
        })
        .collect();
    let weight = |column: &Column| f64::from(problem.weight(column));
    let cost: Expression = columns
        .iter()
        .zip(&uses)
        .map(|(column, &used)| float(problem.kinds[column.kind].cost) * weight(column) * used)
        .sum();
    let mut model = variables.minimise(cost).using(microlp);
    for item in 0..problem.n_items() {
        let cut: Expression = columns
            .iter()
            .zip(&uses)
            .flat_map(|(column, &used)| {
                column
                    .counts
                    .iter()
                    .filter(|entry| entry.0 == item)
                    .map(move |entry| f64::from(entry.1) * used)
            })
            .sum();
        model = model.with(constraint!(cut >= f64::from(problem.demand[item])));
    }
    for (idx, kind) in problem
        .kinds
        .iter()
        .enumerate()
        .filter(|(_, kind)| kind.limited)
    {
        let taken: Expression = columns
            .iter()
            .zip(&uses)
            .filter(|(column, _)| column.kind == idx)
            .map(|(column, &used)| weight(column) * used)
            .sum();
        model = model.with(constraint!(taken <= f64::from(kind.limit)));
    }
    let solution = model.solve().ok()?;
    Some(uses.iter().map(|&used| solution.value(used)).collect())
}

#[cfg(test)]
#[expect(
    clippy::float_arithmetic,
    reason = "values of linear programs are compared"
)]
mod tests {
    use proptest::prelude::*;

    use super::super::lp::{Lp, Sense};
    use super::super::meter::Meter;
    use super::super::problem::{Kind, StripKind};
    use super::*;

    /// A problem with made-up columns: the tests are about linear programs, so lengths do not matter.
    fn made_up(
        demand: &[u32],
        kinds: &[(i64, Option<u32>)],
        columns: &[(usize, Vec<u32>)],
    ) -> (Problem, Vec<Column>) {
        let problem = Problem {
            sizes: vec![1; demand.len()],
            demand: demand.to_vec(),
            pieces: vec![1; demand.len()],
            strips: vec![StripKind {
                capacity: 1,
                group: 0,
            }],
            groups: vec![(0..demand.len()).collect()],
            kinds: kinds
                .iter()
                .map(|&(cost, limit)| Kind {
                    cost,
                    length: 1,
                    limit: limit.unwrap_or(1_000),
                    limited: limit.is_some(),
                    layouts: vec![vec![0]],
                    absent: false,
                })
                .collect(),
        };
        // A column of one piece of each item keeps the program feasible.
        let mut pool: Vec<Column> = columns
            .iter()
            .map(|(kind, counts)| Column {
                kind: kind % kinds.len(),
                layout: 0,
                counts: (0..demand.len())
                    .map(|item| (item, counts[item]))
                    .filter(|entry| entry.1 > 0)
                    .collect(),
                parts: Vec::new(),
            })
            .collect();
        pool.push(Column {
            kind: 0,
            layout: 0,
            counts: (0..demand.len()).map(|item| (item, 1)).collect(),
            parts: Vec::new(),
        });
        (problem, pool)
    }

    fn by_simplex(problem: &Problem, columns: &[Column]) -> f64 {
        let stop = || false;
        let meter = Meter::new(&stop);
        let costs: Vec<f64> = problem.kinds.iter().map(|kind| float(kind.cost)).collect();
        let mut lp = Lp::new(&costs, 1e5);
        for &demand in &problem.demand {
            lp.add_row(Sense::AtLeast, f64::from(demand), &[]);
        }
        for (idx, kind) in problem
            .kinds
            .iter()
            .enumerate()
            .filter(|(_, kind)| kind.limited)
        {
            lp.add_row(Sense::AtMost, f64::from(kind.limit), &[idx]);
        }
        for column in columns {
            lp.add_column(column.kind, 1, &column.counts);
        }
        lp.solve(None, &meter);
        lp.set_perturbed(false);
        lp.solve(None, &meter);
        assert!(lp.shortfall() < 1e-6);
        lp.value()
    }

    proptest! {
        #[test]
        fn the_simplex_agrees_with_the_crate(
            demand in prop::collection::vec(1u32..20, 1..7),
            kinds in prop::collection::vec((1i64..50, prop::option::of(0u32..8)), 1..4),
            columns in prop::collection::vec((0usize..4, prop::collection::vec(0u32..4, 7)), 1..30),
        ) {
            let mut kinds = kinds;
            kinds[0].1 = None;
            let (problem, pool) = made_up(&demand, &kinds, &columns);
            let values = solve(&problem, &pool, false).expect("the program is feasible and bounded");
            let value: f64 = pool
                .iter()
                .zip(&values)
                .map(|(column, value)| float(problem.kinds[column.kind].cost) * value)
                .sum();
            let ours = by_simplex(&problem, &pool);
            prop_assert!((value - ours).abs() < 1e-5 * (1.0 + value.abs()), "{value} against {ours}");
        }
    }

    #[test]
    fn a_small_pool_is_solved_in_whole_boards() {
        // Derived: pieces 3 + 2; patterns (2, 0), (0, 2), (1, 1) at one each: 5 pieces at 2 a board need 3 boards.
        let (problem, pool) = made_up(&[3, 2], &[(1, None)], &[(0, vec![2, 0]), (0, vec![0, 2])]);
        let boards =
            best_of_pool(&problem, &pool).expect("the pool is small and covers the demand");
        assert_eq!(boards.iter().map(|(_, times)| times).sum::<u32>(), 3);
    }
}
