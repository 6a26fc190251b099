//! Rip jobs against an exact program of another kind: every rip layout with every run on every strip, listed by plain
//! recursion, and a dynamic program over what is cut so far.
//!
//! The rules are worked out again from the numbers of the job, in nanometers; nothing is taken from the library but the
//! plan that is judged.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::atomic::{AtomicU32, Ordering};

use crate::jobs::load;
use crate::texts::Texts;
use longpoint::job::Job;
use longpoint::pipeline::{Planned, plan};
use longpoint::plan::Verdict;
use longpoint::planfile::{PlanFile, Standing, Verified, verify};
use longpoint::solve::Control;
use proptest::prelude::*;
use serde_json::Value;

/// Nanometers in a sixteenth of an inch.
const SIXTEENTH: i64 = 1_587_500;

/// A piece: lengths in sixteenths of an inch.
#[derive(Clone, Debug)]
struct Piece {
    length: i64,
    width: i64,
    quantity: usize,
    mitered: bool,
}

/// A line of boards.
#[derive(Clone, Debug)]
struct Board {
    length: i64,
    width: Option<i64>,
    /// As many as needed, where `None`.
    quantity: Option<usize>,
    cents: Option<i64>,
}

/// What ripping loses.
#[derive(Clone, Copy, Debug)]
struct Rip {
    kerf: i64,
    straightening: i64,
    planing: i64,
    plane_off: i64,
}

/// A job of loose pieces, all in sixteenths of an inch and cents.
#[derive(Clone, Debug)]
struct Shop {
    kerf: i64,
    trim: i64,
    rip: Option<Rip>,
    pieces: Vec<Piece>,
    boards: Vec<Board>,
}

fn inches(sixteenths: i64) -> String {
    format!("{} {}/16", sixteenths / 16, sixteenths % 16)
}

impl Shop {
    fn load(&self) -> Job {
        let mut pieces = String::from("piece,length,width,quantity,ends\n");
        for (idx, piece) in self.pieces.iter().enumerate() {
            writeln!(
                pieces,
                "p{idx},{},{},{},{}",
                inches(piece.length),
                inches(piece.width),
                piece.quantity,
                if piece.mitered { "miter" } else { "square" }
            )
            .unwrap();
        }
        let mut boards = String::from("board,length,width,quantity,price\n");
        for (idx, board) in self.boards.iter().enumerate() {
            writeln!(
                boards,
                "b{idx},{},{},{},{}",
                inches(board.length),
                board.width.map_or(String::new(), inches),
                board
                    .quantity
                    .map_or(String::new(), |quantity| quantity.to_string()),
                board.cents.map_or(String::new(), |cents| format!(
                    "{}.{:02}",
                    cents / 100,
                    cents % 100
                )),
            )
            .unwrap();
        }
        let mut job = format!(
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[saw]\nkerf = \"{}\"\nend-trim = \"{}\"\n",
            inches(self.kerf),
            inches(self.trim)
        );
        if let Some(rip) = self.rip {
            write!(
                job,
                "[rip]\nkerf = \"{}\"\nstraightening = \"{}\"\nplaning = \"{}\"\nplane-off = \"{}\"\n",
                inches(rip.kerf),
                inches(rip.straightening),
                inches(rip.planing),
                inches(rip.plane_off)
            )
            .unwrap();
        }
        let texts = Texts::from([
            ("job.toml", job),
            ("pieces.csv", pieces),
            ("boards.csv", boards),
        ]);
        load(&texts)
    }

    fn planned(&self) -> (Job, Planned) {
        let job = self.load();
        // Small jobs need far less; a search that does not end must fail the test, not hang it.
        let n_asked = AtomicU32::new(0);
        let control = Control {
            stop: &|| n_asked.fetch_add(1, Ordering::Relaxed) > 2_000,
            progress: &|_| {},
        };
        let planned = plan(&job, &control).unwrap();
        (job, planned)
    }

    /// What the saw takes along the strip at an end of `piece`, in nanometers.
    fn kerf_along(&self, piece: &Piece) -> i64 {
        let kerf = self.kerf * SIXTEENTH;
        if !piece.mitered {
            return kerf;
        }
        // At 45 degrees off square the root of 2 times as much, rounded up.
        let square = 2 * kerf * kerf;
        let root = square.isqrt();
        root + i64::from(root * root < square)
    }

    /// Every choice of pieces of `width` that can be cut from one strip as long as `board`: counts of each piece.
    fn runs(&self, board: &Board, width: i64) -> BTreeSet<Vec<usize>> {
        let usable = (board.length - 2 * self.trim) * SIXTEENTH;
        let mut found = BTreeSet::from([vec![0; self.pieces.len()]]);
        let mut fresh: Vec<Vec<usize>> = found.iter().cloned().collect();
        while let Some(counts) = fresh.pop() {
            for (idx, piece) in self.pieces.iter().enumerate() {
                let mut more = counts.clone();
                more[idx] += 1;
                if piece.width == width
                    && more[idx] <= piece.quantity
                    && self.run_length(&more) <= usable
                    && found.insert(more.clone())
                {
                    fresh.push(more);
                }
            }
        }
        found
    }

    /// The least length of a run of these pieces: the wider kerf of two neighbors lies between them, so the widest
    /// kerfs stand first, and the last piece needs none.
    fn run_length(&self, counts: &[usize]) -> i64 {
        let mut kerfs: Vec<i64> = Vec::new();
        let mut length = 0;
        for (piece, &count) in self.pieces.iter().zip(counts) {
            kerfs.extend(vec![self.kerf_along(piece); count]);
            length += piece.length * SIXTEENTH * i64::try_from(count).unwrap();
        }
        kerfs.sort_unstable();
        length + kerfs.iter().skip(1).sum::<i64>()
    }

    /// Every choice of pieces that can be cut from one `board`.
    fn cuts(&self, board: &Board) -> BTreeSet<Vec<usize>> {
        let mut widths: Vec<i64> = self.pieces.iter().map(|piece| piece.width).collect();
        widths.sort_unstable();
        widths.dedup();
        let mut found = BTreeSet::new();
        let mut ripped = Vec::new();
        for width in widths {
            let runs = self.runs(board, width);
            match (board.width, self.rip) {
                // A hair too wide, and too narrow to be ripped: planed, and one strip.
                (Some(given), Some(rip))
                    if given > width
                        && given <= width + rip.plane_off
                        && given < width + rip.planing + rip.straightening =>
                {
                    found.extend(runs);
                }
                (Some(given), Some(rip)) if given != width => {
                    ripped.push((width + rip.planing + rip.kerf, runs));
                }
                (Some(given), _) if given < width => {}
                _ => found.extend(runs),
            }
        }
        if let (Some(given), Some(rip)) = (board.width, self.rip) {
            let mut known = BTreeMap::new();
            // A kerf lies between two strips only, so the board is as good as one kerf wider.
            found.extend(self.side_by_side(
                given - rip.straightening + rip.kerf,
                &ripped,
                &mut known,
            ));
        }
        found
    }

    /// Every choice of pieces from strips that fit side by side into `room`, each with its kerf.
    fn side_by_side(
        &self,
        room: i64,
        ripped: &[(i64, BTreeSet<Vec<usize>>)],
        known: &mut BTreeMap<i64, BTreeSet<Vec<usize>>>,
    ) -> BTreeSet<Vec<usize>> {
        if let Some(found) = known.get(&room) {
            return found.clone();
        }
        let mut found = BTreeSet::from([vec![0; self.pieces.len()]]);
        for (taken, runs) in ripped {
            if *taken > room {
                continue;
            }
            let rest = self.side_by_side(room - taken, ripped, known);
            for run in runs {
                for other in &rest {
                    let sum: Vec<usize> = run.iter().zip(other).map(|(a, b)| a + b).collect();
                    let wanted = sum
                        .iter()
                        .zip(&self.pieces)
                        .all(|(&count, piece)| count <= piece.quantity);
                    if wanted {
                        found.insert(sum);
                    }
                }
            }
        }
        known.insert(room, found.clone());
        found
    }

    /// The fewest pieces that are left out, and the least cost with as few.
    fn best(&self) -> (usize, i64) {
        let priced = self.boards.iter().any(|board| board.cents.is_some());
        let n_pieces: usize = self.pieces.iter().map(|piece| piece.quantity).sum();
        // cost[counts]: the least for which just that many of each piece are cut.
        let mut cost = BTreeMap::from([(vec![0; self.pieces.len()], 0)]);
        for board in &self.boards {
            let each = if priced {
                board.cents.unwrap_or(0)
            } else {
                board.length * SIXTEENTH
            };
            let cuts = self.cuts(board);
            // No plan has more boards than pieces.
            for _ in 0..board.quantity.map_or(n_pieces, |most| most.min(n_pieces)) {
                let mut next = cost.clone();
                for (counts, spent) in &cost {
                    for cut in &cuts {
                        let sum: Vec<usize> = counts.iter().zip(cut).map(|(a, b)| a + b).collect();
                        let wanted = sum
                            .iter()
                            .zip(&self.pieces)
                            .all(|(&count, piece)| count <= piece.quantity);
                        if wanted {
                            let known = next.entry(sum).or_insert(i64::MAX);
                            *known = (*known).min(spent + each);
                        }
                    }
                }
                if next == cost {
                    break;
                }
                cost = next;
            }
        }
        cost.iter()
            .map(|(counts, &spent)| (n_pieces - counts.iter().sum::<usize>(), spent))
            .min()
            .unwrap()
    }
}

/// Plan files whose first claim is that nothing is as cheap as `value`: with the prices as they are or higher, with all
/// boards or without one of them, with other cases.
fn lies(text: &str, value: i64) -> Vec<String> {
    let mut plan: Value = serde_json::from_str(text).unwrap();
    let Some(claim) = plan["certificate"]["claims"].get_mut(0) else {
        return Vec::new();
    };
    claim["bound"] = (value + 1).into();
    let boards = claim["boards"].as_array().unwrap().len();
    let mut lies = Vec::new();
    for left_out in 0..=boards {
        for eighths in [8, 9, 10, 12, 16] {
            let mut lie = plan.clone();
            let claim = &mut lie["certificate"]["claims"][0];
            let boards = claim["boards"].as_array_mut().unwrap();
            if left_out < boards.len() {
                boards.remove(left_out);
            }
            // A tree of cases has prices in its leaves only; there the boards alone are changed.
            let prices = claim["proof"][0].get_mut("part_prices");
            for price in prices.and_then(Value::as_array_mut).into_iter().flatten() {
                *price = (price.as_i64().unwrap() * eighths / 8).into();
            }
            lies.push(lie.to_string());
        }
    }
    // More parts missing than are, by the one proof or the other.
    for proof in ["missing_proof", "proof"] {
        for eighths in [8, 9, 16] {
            let mut lie = plan.clone();
            let claim = &mut lie["certificate"]["claims"][0];
            claim["missing"] = (claim["missing"].as_u64().unwrap() + 1).into();
            let mut nodes = claim[proof].clone();
            let tables = nodes.as_array_mut().unwrap().iter_mut();
            let prices = tables.filter_map(|table| table.get_mut("part_prices")?.as_array_mut());
            for price in prices.flatten() {
                *price = (price.as_i64().unwrap() * eighths / 8).into();
            }
            claim["missing_proof"] = nodes;
            claim["bound"] = 0.into();
            lies.push(lie.to_string());
        }
    }
    // Cases that are told apart by other rips, or by other numbers.
    let claim = &plan["certificate"]["claims"][0];
    let rips = claim
        .get("rips")
        .and_then(Value::as_array)
        .map_or(0, Vec::len);
    for rip in 0..rips {
        let mut lie = plan.clone();
        lie["certificate"]["claims"][0]["rips"][rip]["strips"] = Value::Array(Vec::new());
        lies.push(lie.to_string());
    }
    if let Some(number) = claim["proof"][0].get("at_most").and_then(Value::as_u64) {
        for other in [number.saturating_sub(1), number + 1] {
            let mut lie = plan.clone();
            lie["certificate"]["claims"][0]["proof"][0]["at_most"] = other.into();
            lies.push(lie.to_string());
        }
    }
    lies
}

fn rips() -> impl Strategy<Value = Rip> {
    (0_i64..4, 0_i64..6, 0_i64..3, 0_i64..6).prop_map(
        |(kerf, straightening, planing, plane_off)| Rip {
            kerf,
            straightening,
            planing,
            plane_off,
        },
    )
}

/// Up to five kinds of piece in up to three widths, from boards of up to three kinds of which some are scarce.
fn shops() -> impl Strategy<Value = Shop> {
    let piece = (100_i64..480, 0_usize..3, 1_usize..4, any::<bool>());
    let board = (
        0_i64..600,
        -8_i64..50,
        prop::option::weighted(0.4, 1_usize..4),
        100_i64..3_000,
    );
    (
        (0_i64..4, 0_i64..9, rips(), any::<bool>()),
        prop::collection::vec(12_i64..40, 3),
        prop::collection::vec(piece, 1..6),
        prop::collection::vec(board, 1..4),
    )
        .prop_map(|((kerf, trim, rip, priced), widths, pieces, boards)| {
            let pieces: Vec<Piece> = pieces
                .into_iter()
                .map(|(length, width, quantity, mitered)| Piece {
                    length,
                    width: widths[width],
                    quantity,
                    mitered,
                })
                .collect();
            let longest = pieces.iter().map(|piece| piece.length).max().unwrap();
            let widest = pieces.iter().map(|piece| piece.width).max().unwrap();
            // Every piece fits every board, but for those as wide as the widest or a hair wider.
            let boards = boards
                .into_iter()
                .enumerate()
                .map(|(idx, (extra, wider, quantity, cents))| Board {
                    length: longest + 2 * trim + extra,
                    width: Some(if wider < 0 && idx > 0 {
                        widest - 1 - wider
                    } else {
                        widest + rip.planing + rip.straightening + wider.max(0)
                    }),
                    quantity,
                    cents: priced.then_some(cents),
                })
                .collect();
            Shop {
                kerf,
                trim,
                rip: Some(rip),
                pieces,
                boards,
            }
        })
}

/// Jobs of one width, from boards that give just one strip of it.
fn one_strip_shops() -> impl Strategy<Value = Shop> {
    (shops(), 12_i64..40, prop::collection::vec(0_i64..40, 3)).prop_map(|(shop, width, over)| {
        let rip = shop.rip.unwrap();
        let mut shop = shop;
        for piece in &mut shop.pieces {
            piece.width = width;
        }
        for (board, over) in shop.boards.iter_mut().zip(over) {
            // A second strip would take another `width + planing + kerf`; where nothing is over, the board is as wide
            // as the piece and not ripped at all.
            let most = width + rip.planing + rip.kerf;
            board.width = Some(match over % most {
                0 => width,
                over => width + rip.planing + rip.straightening + over - 1,
            });
        }
        shop
    })
}

proptest! {
    #![proptest_config(cases!(150))]

    #[test]
    fn nothing_is_proved_of_a_rip_job_that_is_not_true(shop in shops()) {
        let (job, planned) = shop.planned();
        let (missing, value) = shop.best();
        let found = &planned.plan;
        let cut = (found.missing.len(), found.value);
        prop_assert!(cut >= (missing, value), "{cut:?}, but none is better than {missing}, {value}");
        let missing_lower_bound = usize::try_from(found.missing_lower_bound).unwrap();
        prop_assert!(
            missing_lower_bound < missing
                || missing_lower_bound == missing && found.lower_bound <= value,
            "a bound of {missing_lower_bound}, {} but {missing}, {value} can be had", found.lower_bound
        );
        if found.verdict == Verdict::Optimal {
            prop_assert_eq!(cut, (missing, value));
        }

        // What the written proof shows may be less than the bound, never more than is true.
        let text = PlanFile::of(&planned).text();
        let verified = verify(&job, &text).unwrap();
        let is_so = |verified: &Verified| {
            let fewest = usize::try_from(verified.proved_missing).unwrap();
            fewest < missing || fewest == missing && verified.proved <= value
        };
        prop_assert!(is_so(&verified), "{verified:?}, but {missing} and {value} can be had");
        prop_assert!(verified.standing() != Standing::Fails, "{:?}", verified.findings);
        for lie in lies(&text, value) {
            let verified = verify(&job, &lie).unwrap();
            prop_assert!(is_so(&verified), "{verified:?} by {lie}");
        }
    }

    #[test]
    fn a_rip_job_is_planned_as_well_as_every_layout_and_every_run_allow(shop in shops()) {
        let (_, planned) = shop.planned();
        let found = &planned.plan;
        prop_assert_eq!((found.missing.len(), found.value), shop.best());
        prop_assert_eq!(found.verdict, Verdict::Optimal);
    }

    #[test]
    fn boards_that_give_one_strip_each_are_planned_as_without_ripping(shop in one_strip_shops()) {
        let (_, ripped) = shop.planned();
        let mut one_stage = shop.clone();
        one_stage.rip = None;
        let (_, plain) = one_stage.planned();
        prop_assert_eq!(ripped.plan.missing.len(), plain.plan.missing.len());
        prop_assert_eq!(ripped.plan.value, plain.plan.value);
        prop_assert_eq!(ripped.plan.verdict, plain.plan.verdict);
        prop_assert_eq!(ripped.plan.boards.len(), plain.plan.boards.len());
    }
}
