//! The integer program of a job, read back and solved by a general solver, against plans that are proved best.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![expect(
    clippy::float_arithmetic,
    reason = "the reference solver computes in floats"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;

use good_lp::{
    Expression, ProblemVariables, Solution as _, SolverModel as _, Variable, microlp, variable,
};
use longpoint::plan::Verdict;
use longpoint::program::{MOST_PATTERNS, program};
use proptest::prelude::*;

use crate::command::{longpoint, text};
use crate::jobs::{load_text, planned};

/// Factors before names.
type Sum = Vec<(f64, String)>;

/// A program in the LP format, as far as ours uses it.
#[derive(Default)]
struct Read {
    costs: Sum,
    rows: Vec<(Sum, bool, f64)>,
    most: BTreeMap<String, f64>,
    general: BTreeSet<String>,
}

/// A sum of words such as `3 a - b + 2 c`.
fn sum(words: &[&str]) -> Sum {
    let (mut sign, mut size, mut found) = (1.0, 1.0, Vec::new());
    for word in words {
        match (*word, word.parse::<i64>()) {
            ("+", _) => sign = 1.0,
            ("-", _) => sign = -1.0,
            // All numbers are whole.
            (_, Ok(number)) => size = f64::from(i32::try_from(number).unwrap()),
            (name, Err(_)) => {
                found.push((sign * size, name.to_owned()));
                (sign, size) = (1.0, 1.0);
            }
        }
    }
    found
}

fn read(lp: &str) -> Read {
    let mut read = Read::default();
    let mut section = "";
    let mut statements: Vec<(String, String)> = Vec::new();
    for line in lp.lines() {
        assert!(line.is_ascii() && line.len() <= 510, "{line}");
        if line.starts_with('\\') || line.is_empty() {
            continue;
        }
        if !line.starts_with(' ') {
            section = line;
        } else if line.contains(':') || ["Bounds", "General"].contains(&section) {
            statements.push((section.to_owned(), line.to_owned()));
        } else {
            statements.last_mut().unwrap().1.push_str(line);
        }
    }
    assert_eq!(section, "End");
    let mut rows = BTreeSet::new();
    for (section, statement) in &statements {
        let mut words: Vec<&str> = statement.split_whitespace().collect();
        match section.as_str() {
            "Minimize" => read.costs = sum(&words[1..]),
            "Subject To" => {
                assert!(rows.insert(words.remove(0)), "{statement}");
                let side: i32 = words.pop().unwrap().parse().unwrap();
                let is_at_least = words.pop().unwrap() == ">=";
                read.rows.push((sum(&words), is_at_least, side.into()));
            }
            "Bounds" => {
                let most: i32 = words[2].parse().unwrap();
                read.most.insert(words[0].to_owned(), most.into());
            }
            "General" => assert!(read.general.insert(words[0].to_owned()), "{statement}"),
            _ => unreachable!("{statement}"),
        }
    }
    let names = read.rows.iter().flat_map(|(terms, ..)| terms);
    for (_, name) in names.chain(&read.costs) {
        assert!(read.general.contains(name), "{name} is whole");
        let mut signs = name.chars();
        assert!(signs.next().unwrap().is_ascii_alphabetic());
        assert!(signs.all(|sign| sign.is_ascii_alphanumeric() || sign == '_'));
    }
    read
}

/// The least value by the general solver, as a whole number.
fn least(lp: &str) -> i64 {
    let read = read(lp);
    let mut variables = ProblemVariables::new();
    let of: BTreeMap<&String, Variable> = read
        .general
        .iter()
        .map(|name| {
            let most = read.most.get(name).copied().unwrap_or(200.0);
            (name, variables.add(variable().integer().min(0).max(most)))
        })
        .collect();
    let sum = |terms: &[(f64, String)]| -> Expression {
        terms.iter().map(|(factor, name)| *factor * of[name]).sum()
    };
    let costs = sum(&read.costs);
    let mut model = variables.minimise(costs.clone()).using(microlp);
    for (terms, is_at_least, side) in &read.rows {
        let terms = sum(terms);
        model = model.with(if *is_at_least {
            terms.geq(*side)
        } else {
            terms.leq(*side)
        });
    }
    let value = model.solve().unwrap().eval(costs);
    assert!((value - value.round()).abs() < 1e-3, "{value}");
    #[expect(clippy::cast_possible_truncation, reason = "a small whole number")]
    let value = value.round() as i64;
    value
}

#[derive(Clone, Copy, Debug)]
enum Of {
    /// As many boards as needed, of several lengths.
    Plenty,
    /// Few of each, so that parts may be missing.
    Few,
    /// Wide boards that are ripped for two sections.
    Ripped,
    /// Without prices, by length.
    Unpriced,
}

fn jobs() -> impl Strategy<Value = (Of, String)> {
    let of = prop_oneof![
        Just(Of::Plenty),
        Just(Of::Few),
        Just(Of::Ripped),
        Just(Of::Unpriced)
    ];
    let parts = proptest::collection::vec((6_u32..40, 1_u32..4, any::<bool>()), 1..4);
    let boards = proptest::collection::vec((40_u32..72, 5_u32..40, 1_u32..3), 1..3);
    (of, parts, boards).prop_map(|(of, parts, boards)| {
        let mut text = String::from("[saw]\nend-trim = \"1/2\"\n");
        if matches!(of, Of::Ripped) {
            text += "[rip]\nkerf = \"1/8\"\n";
        }
        for (idx, (length, quantity, is_wide)) in parts.into_iter().enumerate() {
            let _ = writeln!(
                text,
                "[[pieces]]\npiece = \"bar {idx}/x\"\nlength = {length}\nquantity = {quantity}"
            );
            if matches!(of, Of::Ripped) {
                text += if is_wide {
                    "width = 2\n"
                } else {
                    "width = 1\n"
                };
            }
        }
        for (idx, (length, price, quantity)) in boards.into_iter().enumerate() {
            let _ = writeln!(text, "[[boards]]\nboard = \"b {idx}\"\nlength = {length}");
            if !matches!(of, Of::Unpriced) {
                let _ = writeln!(text, "price = {price}.25");
            }
            if matches!(of, Of::Few) || (matches!(of, Of::Ripped) && quantity == 1) {
                let _ = writeln!(text, "quantity = {quantity}");
            }
            if matches!(of, Of::Ripped) {
                let _ = writeln!(text, "width = \"4 1/4\"");
            }
        }
        (of, text)
    })
}

proptest! {
    #![proptest_config(cases!(50))]

    /// The least value of what is written is what the best plan costs, and for each part that it leaves missing what that costs.
    #[test]
    fn a_general_solver_finds_what_the_best_plan_costs((of, text) in jobs()) {
        let job = load_text(text.clone());
        let plan = planned(&job).plan;
        prop_assume!(plan.verdict == Verdict::Optimal);
        let listed = program(&job, MOST_PATTERNS).unwrap();
        prop_assert!(listed.is_complete && listed.n_assigned == 0);
        prop_assert_eq!(plan.value % listed.unit, 0);
        let missing = i64::try_from(plan.missing.len()).unwrap() * listed.missing.unwrap_or(0);
        prop_assert_eq!(
            least(&listed.lp()),
            plan.value / listed.unit + missing,
            "{:?}\n{}\n{}", of, text, listed.lp()
        );
    }
}

proptest! {
    #![proptest_config(cases!(12))]

    /// Strips one by one are as complete as their patterns.
    #[test]
    fn strips_one_by_one_come_to_the_same((_, text) in jobs()) {
        let job = load_text(text);
        prop_assume!(job.n_parts() <= 5);
        let plan = planned(&job).plan;
        prop_assume!(plan.verdict == Verdict::Optimal);
        let assigned = program(&job, 0).unwrap();
        prop_assert!(assigned.n_assigned > 0);
        let missing = i64::try_from(plan.missing.len()).unwrap() * assigned.missing.unwrap_or(0);
        prop_assert_eq!(least(&assigned.lp()), plan.value / assigned.unit + missing);
    }
}

/// A job of frames through the command: names of its parts and boards, and a head that says what it proves.
#[test]
fn the_command_names_parts_and_boards() {
    let folder = tempfile::tempdir().unwrap();
    let job = "title = \"Two\\u202e frames\"\n[[mouldings]]\nname = \"ash flat\"\nface-width = 1\n\
               [[frames]]\nframe = \"Quarry, old\"\nart-width = 13\nart-height = 9\nquantity = 2\n\
               [[boards]]\nboard = \"ash 6 ft\"\nlength = 72\nprice = 13.10\nquantity = 3\n\
               [[boards]]\nboard = \"ash/6 ft\"\nlength = 96\nprice = 17\n";
    fs::write(folder.path().join("job.toml"), job).unwrap();
    let output = longpoint(folder.path(), &["program", "job.toml"]);
    assert_eq!(
        (output.status.code(), text(&output.stderr).as_str()),
        (Some(0), "")
    );
    let lp = text(&output.stdout);
    for words in [
        "It is complete",
        "take_ash_6_ft",
        "take_ash_6_ft_n2",
        "need_Quarry_old",
        "have_ash_6_ft: ",
        "1310 take_ash_6_ft",
    ] {
        assert!(lp.contains(words), "{words}\n{lp}");
    }
    // As many as needed of the longer board: nothing can be missing.
    assert!(!lp.contains("missing_"));
    assert!(lp.lines().all(|line| line.chars().count() <= 80), "{lp}");
    let plan = planned(&load_text(job)).plan;
    assert_eq!(least(&lp), plan.value);
}
