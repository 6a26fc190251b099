//! Instances of CUTGEN1, drawn anew by its published rule.
//!
//! # Source
//! T. Gau, G. Waescher, CUTGEN1: A problem generator for the standard one-dimensional cutting stock problem,
//! European Journal of Operational Research 84 (1995) 572-579, doi 10.1016/0377-2217(95)00023-J.
#![expect(
    clippy::float_arithmetic,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "the published rule is stated in real numbers"
)]

use super::{boards, solved};
use crate::cutting::{Bound, End};

/// The generator: minimal standard Lehmer numbers, then lengths, then demands.
struct Cutgen {
    state: u64,
    n_orders: usize,
    stock: f64,
    shortest: f64,
    longest: f64,
    mean_demand: f64,
}

impl Cutgen {
    fn number(&mut self) -> f64 {
        self.state = self.state * 16_807 % 2_147_483_647;
        self.state as f64 / 2_147_483_647.0
    }

    /// Lengths by falling size with their demands, equal lengths merged.
    fn draw(&mut self) -> Vec<(i64, u32)> {
        let mut lengths: Vec<i64> = (0..self.n_orders)
            .map(|_| {
                let number = self.number();
                let share = self.shortest + (self.longest - self.shortest) * number;
                (share * self.stock + number).floor() as i64
            })
            .collect();
        lengths.sort_unstable_by(|a, b| b.cmp(a));
        let numbers: Vec<f64> = (0..self.n_orders).map(|_| self.number()).collect();
        let sum: f64 = numbers.iter().sum();
        let total = self.n_orders as f64 * self.mean_demand;
        let mut rest = total as i64;
        let mut orders: Vec<(i64, u32)> = Vec::new();
        for (idx, (&length, &number)) in lengths.iter().zip(&numbers).enumerate() {
            let demand = if idx + 1 == self.n_orders {
                rest.max(1)
            } else {
                ((total * number / sum + 0.5).floor() as i64).max(1)
            };
            rest -= demand;
            match orders.last_mut() {
                Some(last) if last.0 == length => last.1 += demand as u32,
                _ => orders.push((length, demand as u32)),
            }
        }
        orders
    }
}

fn optimum(items: &[(i64, u32)]) -> i64 {
    let solution = solved(&boards(&[(1_000, 1, None)], items));
    assert_eq!(solution.end, End::Proved);
    assert_eq!(
        solution.bound,
        Bound {
            missing_pieces: 0,
            cost: solution.cost
        }
    );
    solution.cost
}

#[test]
fn the_two_printed_instances_come_out_and_are_solved() {
    // Both instances are printed in the paper (seed 1994); the optima 394 and 322 are not published:
    // they were computed beforehand with other software, by column generation and an integer program.
    let mut generator = Cutgen {
        state: 1994,
        n_orders: 10,
        stock: 1_000.0,
        shortest: 0.375,
        longest: 0.625,
        mean_demand: 50.0,
    };
    let drawn: Vec<Vec<(i64, u32)>> = (0..150).map(|_| generator.draw()).collect();
    let first = [
        (577, 63),
        (570, 64),
        (544, 85),
        (539, 84),
        (526, 54),
        (512, 20),
        (504, 24),
        (459, 31),
        (446, 48),
        (378, 27),
    ];
    let last = [
        (570, 16),
        (558, 94),
        (543, 20),
        (540, 99),
        (513, 59),
        (490, 48),
        (476, 78),
        (453, 35),
        (434, 51),
    ];
    assert_eq!(drawn[0], first);
    assert_eq!(drawn[149], last);
    assert_eq!(optimum(&drawn[0]), 394);
    assert_eq!(optimum(&drawn[149]), 322);
}

#[test]
fn drawn_instances_of_many_small_pieces_meet_the_material_bound_or_one_more() {
    // Derived: no plan takes fewer boards than the total length does; for pieces up to a fifth of the board a plan
    // that takes two boards more would leave a fifth of nearly every board unused, which first fit never does here.
    let mut generator = Cutgen {
        state: 1994,
        n_orders: 20,
        stock: 1_000.0,
        shortest: 0.01,
        longest: 0.2,
        mean_demand: 10.0,
    };
    for _ in 0..20 {
        let items = generator.draw();
        let total: i64 = items
            .iter()
            .map(|&(size, demand)| size * i64::from(demand))
            .sum();
        let least = (total + 999) / 1_000;
        assert!((least..=least + 1).contains(&optimum(&items)));
    }
}
