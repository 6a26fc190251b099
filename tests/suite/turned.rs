//! Rails that may lie turned end for end, against trying every order and every way round.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::jobs::{self, load_text};
use longpoint::job::Job;
use longpoint::plan::{Plan, Verdict};
use proptest::prelude::*;

fn planned(text: &str) -> (Job, Plan) {
    let job = load_text(text);
    let plan = jobs::planned(&job).plan;
    (job, plan)
}

/// A part in tenths of a millimeter: its outer edge, and how far its ends run along the strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Trapezoid {
    outer: i64,
    slant: i64,
}

/// Mitered and square pieces on one moulding of a symmetric section, without trims, in tenths of a millimeter.
#[derive(Clone, Debug)]
struct Shop {
    face: i64,
    /// The kerf is this many fifths of a tenth square to the blade; along a miter it is rounded up, see below.
    kerf: i64,
    mitered: Vec<i64>,
    square: Vec<i64>,
    /// Length beyond the longest piece, and cents.
    boards: Vec<(i64, u32)>,
}

impl Shop {
    fn lengths(&self) -> Vec<i64> {
        let longest = self.mitered.iter().chain(&self.square).max().unwrap();
        self.boards
            .iter()
            .map(|(extra, _)| longest + extra)
            .collect()
    }

    fn text(&self, section: &str) -> String {
        let mm = |tenths: i64| format!("{}.{}", tenths / 10, tenths % 10);
        let mut text = format!(
            "unit = \"mm\"\n[saw]\nkerf = {}\nend-trim = 0\n[[mouldings]]\nname = \"flat\"\nface-width = {}\n\
             lip = 0\nsection = \"{section}\"\n",
            mm(self.kerf),
            mm(self.face)
        );
        for (ends, lengths) in [("miter", &self.mitered), ("square", &self.square)] {
            for (idx, length) in lengths.iter().enumerate() {
                writeln!(
                    text,
                    "[[pieces]]\npiece = \"{ends} {idx}\"\nlength = {}\nends = \"{ends}\"\nmoulding = \"flat\"",
                    mm(*length)
                )
                .unwrap();
            }
        }
        for ((_, cents), (idx, length)) in self.boards.iter().zip(self.lengths().iter().enumerate())
        {
            writeln!(
                text,
                "[[boards]]\nboard = \"b{idx}\"\nlength = {}\nprice = \"{}.{:02}\"",
                mm(*length),
                cents / 100,
                cents % 100
            )
            .unwrap();
        }
        text
    }

    fn parts(&self) -> Vec<Trapezoid> {
        let mitered = self.mitered.iter().map(|&outer| Trapezoid {
            outer: outer * 100_000,
            slant: self.face * 100_000,
        });
        let square = self.square.iter().map(|&outer| Trapezoid {
            outer: outer * 100_000,
            slant: 0,
        });
        mitered.chain(square).collect()
    }

    /// The gap two neighbors need along the strip: the wider of their kerfs; a miter's is the diagonal, rounded up.
    fn gap(&self, left: Trapezoid, right: Trapezoid) -> i64 {
        let kerf = self.kerf * 100_000;
        if left.slant == 0 && right.slant == 0 {
            return kerf;
        }
        let mut diagonal = kerf;
        while diagonal * diagonal < 2 * kerf * kerf {
            diagonal += ((2 * kerf * kerf - diagonal * diagonal) / (4 * kerf)).max(1);
        }
        diagonal
    }

    /// The shortest strip that holds `parts`, in any order and any of them turned, in nanometers.
    fn shortest(&self, parts: &[Trapezoid]) -> i64 {
        /// Where the last part ends along either edge, the last part, and how far anything reaches.
        type End = ([i64; 2], Trapezoid, i64);
        fn visit(shop: &Shop, left: &mut Vec<Trapezoid>, end: Option<End>, best: &mut i64) {
            if left.is_empty() {
                *best = (*best).min(end.map_or(0, |end| end.2));
                return;
            }
            for idx in 0..left.len() {
                let part = left.remove(idx);
                for turned in [0, 1] {
                    let mut set_back = [part.slant; 2];
                    set_back[turned] = 0;
                    let from = end.map_or(0, |(ends, last, _)| {
                        let gap = shop.gap(last, part);
                        (0..2)
                            .map(|edge| ends[edge] + gap - set_back[edge])
                            .max()
                            .unwrap()
                    });
                    let to = from + part.outer;
                    let ends = [to - set_back[0], to - set_back[1]];
                    let reach = end.map_or(to, |end| end.2.max(to));
                    visit(shop, left, Some((ends, part, reach)), best);
                }
                left.insert(idx, part);
            }
        }
        let mut best = i64::MAX;
        visit(self, &mut parts.to_vec(), None, &mut best);
        best
    }

    /// The least money for all parts, by trying every way to divide them among boards.
    fn cheapest(&self) -> i64 {
        let parts = self.parts();
        let all = (1_usize << parts.len()) - 1;
        let chosen = |set: usize| -> Vec<Trapezoid> {
            let mut chosen: Vec<Trapezoid> = (0..parts.len())
                .filter(|bit| set >> bit & 1 == 1)
                .map(|bit| parts[bit])
                .collect();
            chosen.sort_unstable();
            chosen
        };
        let mut known: BTreeMap<Vec<Trapezoid>, i64> = BTreeMap::new();
        let board_for = |set: usize, known: &mut BTreeMap<Vec<Trapezoid>, i64>| {
            let needed = *known
                .entry(chosen(set))
                .or_insert_with(|| self.shortest(&chosen(set)));
            self.lengths()
                .iter()
                .zip(&self.boards)
                .filter(|(length, _)| **length * 100_000 >= needed)
                .map(|(_, (_, cents))| i64::from(*cents))
                .min()
        };
        let mut least = vec![Some(0_i64); all + 1];
        for set in 1..=all {
            let first = set & set.wrapping_neg();
            let rest = set & !first;
            let mut best = None;
            let mut part = rest;
            loop {
                // One board holds the first part and `part`; all others are what is left.
                let cost = board_for(first | part, &mut known).zip(least[rest & !part]);
                if let Some((board, others)) = cost {
                    best = Some(best.map_or(board + others, |best: i64| best.min(board + others)));
                }
                if part == 0 {
                    break;
                }
                part = (part - 1) & rest;
            }
            least[set] = best;
        }
        least[all].unwrap()
    }
}

fn shops(most_square: usize) -> impl Strategy<Value = Shop> {
    (200_i64..900, 0_i64..60).prop_flat_map(move |(face, kerf)| {
        let mitered = 2 * face + 1..6_000_i64;
        (
            prop::collection::vec(mitered, 1..5),
            prop::collection::vec(500_i64..3_000, 0..=most_square),
            prop::collection::vec((0_i64..6_000, 100_u32..900), 1..3),
        )
            .prop_map(move |(mitered, square, boards)| Shop {
                face,
                kerf,
                mitered,
                square,
                boards,
            })
    })
}

/// Derived: three rails of 400 mm with faces of 50 mm and a kerf of 3 mm, 4.243 mm along a miter, take
/// 3 * 400 - 2 * 50 + 2 * 4.243 = 1108.486 mm; lying the same way round they take 1208.486 mm.
#[test]
fn a_run_of_turned_rails_saves_a_face_width_at_every_shared_cut() {
    let shop = |board: i64| Shop {
        face: 500,
        kerf: 30,
        mitered: vec![4_000; 3],
        square: vec![],
        boards: vec![(board - 4_000, 700)],
    };
    let boards = |board, section| planned(&shop(board).text(section)).1.boards.len();
    assert_eq!(boards(11_085, "symmetric"), 1);
    assert_eq!(boards(11_084, "symmetric"), 2);
    assert_eq!(boards(12_085, "handed"), 1);
    assert_eq!(boards(12_084, "handed"), 2);
    let (_, plan) = planned(&shop(11_085).text("symmetric"));
    let turned: Vec<bool> = plan.boards[0].cuts().map(|cut| cut.turned).collect();
    assert_eq!(turned, [false, true, false]);
    let from: Vec<i64> = plan.boards[0].cuts().map(|cut| cut.from.nm()).collect();
    // Derived: 3 mm times the square root of 2 is 4242640.69 nm, rounded up; 400 - 50 and that, twice.
    assert_eq!(from, [0, 354_242_641, 708_485_282]);
}

/// The order and the way round of polygons with other miters and of square pieces: one run of each miter, apart.
#[test]
fn runs_of_different_miters_share_nothing_with_each_other() {
    let job = |section: &str| {
        format!(
            "unit = \"mm\"\n[saw]\nkerf = 0\nend-trim = 0\n[[mouldings]]\nname = \"flat\"\nface-width = 40\nlip = 0\n\
             section = \"{section}\"\n[shop]\nfit-allowance = 0\n[[frames]]\nframe = \"a\"\nart-width = 200\n\
             art-height = 200\n[[frames]]\nframe = \"b\"\nart-width = 200\nsides = 3\n[[boards]]\nboard = \"long\"\n\
             length = 5000\n"
        )
    };
    let (_, plan) = planned(&job("symmetric"));
    let cuts: Vec<(i64, i64, bool)> = plan.boards[0]
        .cuts()
        .map(|cut| (cut.from.nm(), cut.to.nm(), cut.turned))
        .collect();
    // Derived: F tan 60 = 40 sqrt 3 = 69.282 mm; the triangle's side is 200 + 2 * 69.282 = 338.565 mm, rounded up.
    let slant = 69_282_032;
    let side = 338_564_065;
    let triangle = [
        (0, side, false),
        (side - slant, 2 * side - slant, true),
        (2 * side - 2 * slant, 3 * side - 2 * slant, false),
    ];
    assert_eq!(&cuts[..3], triangle);
    // The square's rails of 280 mm begin where the triangle's last long point ends.
    let begin = 3 * side - 2 * slant;
    assert_eq!(cuts[3], (begin, begin + 280_000_000, false));
    assert_eq!(cuts[4], (begin + 240_000_000, begin + 520_000_000, true));
}

proptest! {
    #![proptest_config(cases!(120))]

    #[test]
    fn rails_of_one_miter_cost_what_the_best_order_and_way_round_costs(shop in shops(0)) {
        let (_, plan) = planned(&shop.text("symmetric"));
        prop_assert_eq!(plan.verdict, Verdict::Optimal);
        prop_assert_eq!(plan.value, shop.cheapest());
    }

    #[test]
    fn with_square_pieces_the_plan_is_between_the_best_geometry_and_lying_all_one_way(shop in shops(2)) {
        let (_, turned) = planned(&shop.text("symmetric"));
        let (_, handed) = planned(&shop.text("handed"));
        prop_assert_eq!(turned.verdict, Verdict::Optimal);
        prop_assert!(shop.cheapest() <= turned.value, "no plan beats trying everything");
        prop_assert!(turned.value <= handed.value, "turning never costs more");
    }
}
