//! Spare rails: how many, how long, and that they are told from the rails of frames.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};

use crate::disk::Disk;
use crate::jobs::{self, demo, load, load_from, load_text};
use crate::look::LOOK;
use crate::texts::Texts;
use longpoint::audit::{Figure, Kind, Violation, check};
use longpoint::compare::share_boards;
use longpoint::frame::Miter;
use longpoint::job::{Ends, Job, Line, Piece, Purpose};
use longpoint::length::Length;
use longpoint::load::{FileFault, Files};
use longpoint::money::Money;
use longpoint::pipeline::{Planned, plan};
use longpoint::plan::{Part, Plan, SpareOffcut, Verdict};
use longpoint::planfile::{PlanFile, verify};
use longpoint::report::csv::{cut_list_csv, rack_csv};
use longpoint::report::sections::plan_sheet;
use longpoint::report::text::{Look, set};
use longpoint::solve::Control;
use longpoint::tally::Summary;
use proptest::prelude::*;

/// Derived: art 8 x 10, face 1, lip 1/4, allowance 1/8: long points 9 5/8 and 11 5/8. Eight sides of 5: far shorter.
fn job(spare: &str, frames: &str) -> Job {
    let text = format!(
        "[[mouldings]]\nname = \"cap\"\nface-width = 1\nlip = \"1/4\"\nspare = {spare}\n\
         [[boards]]\nboard = \"b\"\nlength = 48\n{frames}"
    );
    load_text(text)
}

const PORTRAITS: &str =
    "[[frames]]\nframe = \"Heron\"\nart-width = 8\nart-height = 10\nquantity = 3\n";

#[test]
fn spares_are_as_long_as_the_longest_rail_and_as_many_as_asked_for() {
    for (spare, quantity) in [("2", 2), ("\"10 %\"", 2), ("\"100%\"", 12), ("\"1 %\"", 1)] {
        // Derived: 10 % of 12 rails are 1.2, rounded up.
        let job = job(spare, PORTRAITS);
        let piece = &job.pieces[0];
        assert_eq!(
            (piece.quantity, piece.purpose),
            (quantity, Purpose::SpareRail),
            "{spare}"
        );
        assert_eq!(piece.length, Length::from_nm(11 * 25_400_000 + 15_875_000));
        assert_eq!(piece.ends, Ends::Miter);
        assert_eq!(piece.name, "spare cap");
    }
    assert!(job("0", PORTRAITS).pieces.is_empty());
}

#[test]
fn a_spare_for_a_polygon_is_square_and_its_name_is_its_own() {
    let octagon = "[[frames]]\nframe = \"Rose\"\nart-width = 30\nsides = 6\n";
    let own = "[[pieces]]\npiece = \"spare cap\"\nlength = 3\n";
    let job = job("1", &format!("{PORTRAITS}{octagon}{own}"));
    assert_eq!(job.pieces[1].name, "spare cap+");
    assert_eq!(job.pieces[1].ends, Ends::Square);
    assert!(job.pieces[1].length > Length::INCH * 30);
}

#[test]
fn spares_follow_the_frames_of_a_job_that_is_changed() {
    let larger = "[[frames]]\nframe = \"Ibis\"\nart-width = 16\nart-height = 20\n";
    let whole = job("\"10 %\"", &format!("{PORTRAITS}{larger}"));
    let portraits_alone = whole.with_one_fewer(Line::Frame(1));
    assert_eq!(portraits_alone, job("\"10 %\"", PORTRAITS));
    assert!(portraits_alone.pieces[0].length < whole.pieces[0].length);
    // Derived: a tenth of 4 * 5 rails is 2, of 4 * 6 rounded up 3.
    assert_eq!(
        whole
            .with_one_more(Line::Frame(1))
            .with_one_more(Line::Frame(1))
            .pieces[0]
            .quantity,
        3
    );
    // Narrower faces and less trim make what is spare shorter, too; a wish that is dropped stays dropped.
    let offcut = job("\"offcut\"", &format!("{PORTRAITS}{larger}"));
    let narrow = offcut.with_narrower_faces(Length::from_nm(3_175_000));
    assert_eq!(
        narrow.pieces[0].length,
        offcut.pieces[0].length - Length::from_nm(6_350_000)
    );
    let without = offcut.without_spare_offcuts().unwrap();
    assert_eq!(without.with_one_more(Line::Frame(0)).pieces, []);
}

#[test]
fn the_cut_list_of_the_demo_marks_its_spares() {
    let plan = jobs::planned(&demo("spare")).plan;
    assert!(plan.missing.is_empty());
    let list = cut_list_csv(&plan);
    let spares: Vec<&str> = list
        .lines()
        .filter(|line| line.contains(",spare,"))
        .collect();
    // Derived: a tenth of 12 rails, rounded up, and one.
    assert_eq!(spares.len(), 3, "{list}");
}

#[test]
fn a_spare_offcut_is_as_long_as_the_rack_needs_it_and_is_never_too_short_to_be_kept() {
    let job_with = |settings: &str| {
        let text = format!(
            "{settings}[[mouldings]]\nname = \"cap\"\nface-width = 1\nlip = \"1/4\"\nspare = \"offcut\"\n\
             [[boards]]\nboard = \"b\"\nlength = 48\n{PORTRAITS}"
        );
        load_text(text)
    };
    let eighths = |eighths: i64| Length::from_nm(3_175_000 * eighths);
    let job = job_with("[saw]\nend-trim = \"1/2\"\n");
    let piece = &job.pieces[0];
    assert_eq!((piece.purpose, piece.quantity), (Purpose::SpareOffcut, 1));
    assert_eq!(piece.name, "spare offcut cap");
    // Derived: longest rail 11 5/8; behind cuts the trim of the end that is freshly cut comes on top.
    assert_eq!(piece.length, eighths(93));
    let needed = |job: &Job| {
        let rail = job.pieces[0].length;
        (job.shop.offcut_for(rail), job.shop.uncut_for(rail))
    };
    // Uncut only the raw ends are trimmed, but what is under 12 in is not kept.
    assert_eq!(needed(&job), (eighths(97), eighths(96)));
    let job = job_with("[saw]\nend-trim = \"1/2\"\n[shop]\nshortest-offcut = 10\n");
    assert_eq!(needed(&job), (eighths(97), eighths(93)));
    let job = job_with("[shop]\nshortest-offcut = 20\n");
    assert_eq!(needed(&job), (Length::INCH * 20, Length::INCH * 20));
}

/// Rails of 20 and 12 in: face 1, lip 1/4, no allowance; a trim of 1/2, and what is 10 in or longer is kept.
fn with_rack(boards: &str, rack: &str) -> Job {
    let text = format!(
        "rack = \"rack.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n[shop]\nshortest-offcut = 10\nfit-allowance = 0\n\
         [[mouldings]]\nname = \"cap\"\nface-width = 1\nlip = \"1/4\"\nspare = \"offcut\"\n\
         [[frames]]\nframe = \"A\"\nart-width = \"10 1/2\"\nart-height = \"18 1/2\"\n{boards}"
    );
    let rack = format!("board,length,value\n{rack}");
    load(&Texts::from([("job.toml", text), ("rack.csv", rack)]))
}

const SHORT: &str = "[[boards]]\nboard = \"short\"\nlength = 21\nprice = 4\n";
const LONGER: &str = "[[boards]]\nboard = \"longer\"\nlength = \"21 1/2\"\nprice = 7\n";

/// What a plan comes to, the names of what stays on the rack, and the plan file's text, all checked.
fn outcome(job: &Job) -> (i64, Vec<String>, String) {
    let planned = jobs::planned(job);
    let plan = &planned.plan;
    assert_eq!(
        (plan.verdict, &plan.missing[..]),
        (Verdict::Optimal, &[][..])
    );
    let text = PlanFile::of(&planned).text();
    let verified = verify(job, &text).unwrap();
    assert_eq!(verified.findings, []);
    assert_eq!(verified.proved, plan.value);
    let kept = plan.kept_pieces.iter();
    let kept = kept.map(|kept| job.boards[kept.board_idx].name.clone());
    (plan.value, kept.collect(), text)
}

#[test]
fn a_piece_on_the_rack_that_stays_as_it_lies_is_a_spare_offcut_for_nothing() {
    // Derived: a rail of 20 takes a board of 21 to the end, two of 12 take two, as 24 1/8 and two trims fit on none.
    let boards = format!("{SHORT}{LONGER}");
    let job = with_rack(&boards, "r1,24,5.00\n");
    let (value, kept, text) = outcome(&job);
    assert_eq!((value, &kept[..]), (1600, &["r1".to_owned()][..]));
    let planned = jobs::planned(&job);
    assert!(
        planned
            .plan
            .boards
            .iter()
            .all(|board| job.boards[board.board_idx].in_hand.is_none())
    );
    let look = Look {
        width: 120,
        color: false,
        unicode: true,
    };
    let sheet = set(&plan_sheet(&Summary::new(&planned.plan)), look);
    assert!(sheet.contains("stays on the rack as it lies"), "{sheet}");
    // It is on the rack afterwards, under its name and as long as it was.
    let rack = rack_csv(&planned.plan);
    assert!(rack.lines().any(|line| line.starts_with("r1,24")), "{rack}");
    // A file that keeps what is to be bought is no plan.
    let (kept, bought) = ("\"board\": \"r1\"", "\"board\": \"short\"");
    assert!(text.contains(kept), "{text}");
    assert_ne!(
        verify(&job, &text.replace(kept, bought)).unwrap().findings,
        []
    );
    // Derived: 21 less two trims is the rail to the hair; a hair less is no spare.
    assert_eq!(outcome(&with_rack(&boards, "r1,21,9\n")).0, 1600);
    let too_short = outcome(&with_rack(&boards, "r1,\"20 15/16\",9\n"));
    assert_eq!(too_short.1, Vec::<String>::new());
    assert_eq!(too_short.0, 2000);
    // Cheaper to cut the piece and buy a board that stays whole: 3 * 4.00 + 0.50 and 4.00 for the spare.
    let cut = outcome(&with_rack(SHORT, "r1,25,0.50\n"));
    assert_eq!((cut.0, cut.1.len()), (1600, 1));
}

#[test]
fn a_kept_piece_is_on_the_rack_long_enough_and_not_cut() {
    let job = with_rack(&format!("{SHORT}{LONGER}"), "r1,24,5.00\nr2,12,1.00\n");
    let sound = jobs::planned(&job).plan;
    let kinds_after = |tamper: &dyn Fn(&mut Plan)| -> Vec<Kind> {
        let mut plan = sound.clone();
        tamper(&mut plan);
        check(&plan).into_iter().map(|found| found.kind).collect()
    };
    assert_eq!(kinds_after(&|_| {}), []);
    let line = |name: &str| {
        job.boards
            .iter()
            .position(|board| board.name == name)
            .unwrap()
    };
    let keep = |board_idx: usize| move |plan: &mut Plan| plan.kept_pieces[0].board_idx = board_idx;
    assert_eq!(kinds_after(&keep(line("short"))), [Kind::UnsuitableBoard]);
    assert_eq!(kinds_after(&keep(line("r2"))), [Kind::UnsuitableBoard]);
    assert_eq!(kinds_after(&keep(99)), [Kind::UnknownBoard]);
    assert_eq!(
        kinds_after(&|plan| plan.kept_pieces.clear()),
        [Kind::LostPart]
    );
    let twice = kinds_after(&|plan| plan.kept_pieces.push(plan.kept_pieces[0]));
    let exceeded = Kind::SupplyExceeded {
        taken: 2,
        supply: 1,
    };
    assert_eq!(twice, [Kind::RepeatedPart, exceeded]);
    let rail = sound.boards[0].strips[0].cuts[0].part;
    assert!(kinds_after(&|plan| plan.kept_pieces[0].part = rail).contains(&Kind::NotLeft));
    let cut = kinds_after(&|plan| plan.boards[0].board_idx = line("r1"));
    assert!(cut.contains(&exceeded), "{cut:?}");
}

#[test]
fn a_whole_board_needs_the_rail_and_two_trims() {
    // Derived: four boards for the rails, and one of 21 that stays whole: 5 * 4.00.
    let job = with_rack(&format!("{SHORT}{LONGER}"), "");
    let (value, kept, _) = outcome(&job);
    assert_eq!((value, kept.len()), (2000, 0));
    let plan = jobs::planned(&job).plan;
    let left = plan.spare_offcuts[0];
    assert_eq!(left.to - left.from, Length::INCH * 20);
    assert_eq!(plan.boards[left.board].cuts().count(), 0);
}

/// Rails of two frames, kerf, trim, kinds of board with prices, and pieces on the rack with values; all as the job's text
/// has them.
fn small_job(art: [(u32, u32); 2], trim: u32, boards: &[(u32, u32)], rack: &[(u32, u32)]) -> Job {
    let frame = |(name, (width, height)): (&str, (u32, u32))| {
        format!("[[frames]]\nframe = \"{name}\"\nart-width = {width}\nart-height = {height}\n")
    };
    let frames: Vec<String> = ["A", "B"].into_iter().zip(art).map(frame).collect();
    let board = |(idx, &(length, price)): (usize, &(u32, u32))| {
        format!("[[boards]]\nboard = \"b{idx}\"\nlength = {length}\nprice = {price}\n")
    };
    let boards: Vec<String> = boards.iter().enumerate().map(board).collect();
    let text = format!(
        "rack = \"rack.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = {trim}\n[shop]\nshortest-offcut = 1\nfit-allowance = 0\n\
         [[mouldings]]\nname = \"cap\"\nface-width = 1\nlip = \"1/4\"\nspare = \"offcut\"\n{}{}",
        frames.concat(),
        boards.concat()
    );
    let piece =
        |(idx, &(length, value)): (usize, &(u32, u32))| format!("r{idx},{length},{value}\n");
    let pieces: String = rack.iter().enumerate().map(piece).collect();
    let rack = format!("board,length,value\n{pieces}");
    load(&Texts::from([("job.toml", text), ("rack.csv", rack)]))
}

/// The least cost of boards for all rails, one of which leaves room for the longest rail behind its last cut and the
/// trim of its fresh end, or a board more that is as long as that rail and two trims, or a piece on the rack that long
/// which stays there; by trying all sets of rails for a board, and all sets of pieces that are cut.
fn least_cost(art: [(u32, u32); 2], trim: u32, boards: &[(u32, u32)], rack: &[(u32, u32)]) -> i64 {
    let kerf = Miter::RECTANGLE.kerf_along(Length::from_nm(3_175_000)).nm();
    // Derived: long point = art + 2 (face - lip), no allowance.
    let rail = |inches: u32| 25_400_000 * i64::from(inches) + 38_100_000;
    let sides = |(width, height): (u32, u32)| [width, width, height, height].map(rail);
    let rails: Vec<i64> = art.into_iter().flat_map(sides).collect();
    let trim = 25_400_000 * i64::from(trim);
    let left = rails.iter().max().unwrap() + trim;
    let longest = left - trim;
    let usable = |board: &(u32, u32)| 25_400_000 * i64::from(board.0) - 2 * trim;
    let cheapest = |needed: i64| {
        let fitting = boards.iter().filter(|board| needed <= usable(board));
        fitting.map(|board| i64::from(board.1) * 100).min()
    };
    let all = (1_usize << rails.len()) - 1;
    let sum = |set: usize| -> (i64, i64) {
        let chosen = (0..rails.len()).filter(|bit| set >> bit & 1 == 1);
        chosen.fold((0, 0), |(sum, count), bit| {
            (sum + rails[bit] + kerf, count + 1)
        })
    };
    let one_board: Vec<Option<i64>> = (0..=all).map(|set| cheapest(sum(set).0 - kerf)).collect();
    let mut best: Vec<Option<i64>> = vec![Some(0)];
    for set in 1..=all {
        let mut least: Option<i64> = None;
        let mut part = set;
        while part > 0 {
            if let (Some(here), Some(rest)) = (one_board[part], best[set ^ part]) {
                least = Some(least.map_or(here + rest, |least| least.min(here + rest)));
            }
            part = (part - 1) & set;
        }
        best.push(least);
    }
    // `done[set]`: the least cost of cutting just these rails from the pieces looked at so far, and of leaving an offcut on
    // one of them or keeping one; then the rest is bought.
    let mut cut: Vec<Option<i64>> = vec![None; all + 1];
    cut[0] = Some(0);
    let mut cut_and_left: Vec<Option<i64>> = vec![None; all + 1];
    let lesser = |one: Option<i64>, other: Option<i64>| one.into_iter().chain(other).min();
    for piece in rack {
        let value = i64::from(piece.1) * 100;
        let (mut next, mut next_left) = (cut.clone(), cut_and_left.clone());
        for set in 0..=all {
            let mut part = set;
            while part > 0 {
                let size = sum(part).0;
                if size - kerf <= usable(piece) {
                    let more = |cost: &Option<i64>| cost.map(|cost| cost + value);
                    next[set] = lesser(next[set], more(&cut[set ^ part]));
                    next_left[set] = lesser(next_left[set], more(&cut_and_left[set ^ part]));
                    if size + left <= usable(piece) {
                        next_left[set] = lesser(next_left[set], more(&cut[set ^ part]));
                    }
                }
                part = (part - 1) & set;
            }
            if longest <= usable(piece) {
                next_left[set] = lesser(next_left[set], cut[set]);
            }
        }
        (cut, cut_and_left) = (next, next_left);
    }
    // What is bought for a set, with the offcut on one of its boards or on a board of its own.
    let with_offcut = |set: usize| {
        let mut least = cheapest(longest).and_then(|whole| Some(whole + best[set]?));
        let mut part = set;
        while part > 0 {
            let one = cheapest(sum(part).0 + left).and_then(|one| Some(one + best[set ^ part]?));
            least = lesser(least, one);
            part = (part - 1) & set;
        }
        least
    };
    let total = |set: usize| {
        let rest = all ^ set;
        let bought = cut_and_left[set].and_then(|cost| Some(cost + best[rest]?));
        let left_of_bought = cut[set].and_then(|cost| Some(cost + with_offcut(rest)?));
        lesser(bought, left_of_bought)
    };
    (0..=all).filter_map(total).min().unwrap()
}

proptest! {
    #![proptest_config(cases!(200))]

    #[test]
    fn no_plan_that_leaves_the_offcut_costs_less(
        first in (4_u32..16, 4_u32..16),
        second in (4_u32..16, 4_u32..16),
        trim in 0_u32..2,
        boards in prop::collection::vec((24_u32..60, 3_u32..12), 1..3),
        rack in prop::collection::vec((8_u32..50, 0_u32..8), 0..4),
    ) {
        let art = [first, second];
        let job = small_job(art, trim, &boards, &rack);
        let planned = jobs::planned(&job);
        let Planned { plan, aside, .. } = &planned;
        prop_assert_eq!(plan.verdict, Verdict::Optimal);
        prop_assert_eq!(plan.value, least_cost(art, trim, &boards, &rack));
        // Whoever pays for a board that only the offcut needs, all shares sum to what the boards cost.
        let shares = share_boards(plan).unwrap();
        prop_assert_eq!(shares.into_values().map(Money::minor).sum::<i64>(), plan.value);
        // The wish is never a gain.
        let without = aside.without_spare_offcuts.clone().unwrap();
        prop_assert!(without.value <= plan.value);
        let verified = verify(&job, &PlanFile::of(&planned).text()).unwrap();
        prop_assert_eq!(&verified.findings, &[]);
        prop_assert_eq!(verified.proved, plan.value);
    }
}

/// The files of a demo, with a spare offcut asked for of every moulding.
struct WithWish;

impl Files for WithWish {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        let bytes = Disk.read(path)?;
        if path.extension().is_none_or(|ending| ending != "toml") {
            return Ok(bytes);
        }
        let text = String::from_utf8(bytes).unwrap();
        let lines = text.lines().filter(|line| !line.starts_with("spare = "));
        let with_wish = lines.map(|line| match line {
            "[[mouldings]]" => "[[mouldings]]\nspare = \"offcut\"\n".to_owned(),
            line => format!("{line}\n"),
        });
        Ok(with_wish.collect::<String>().into_bytes())
    }
}

fn demo_with_wish(demo: &str) -> Job {
    load_from(&format!("data/{demo}/{demo}.toml"), &WithWish)
}

#[test]
fn the_next_job_can_cut_the_longest_rail_from_the_rack() {
    for demo in ["spare", "show", "turned", "knots", "rough", "grain"] {
        let job = demo_with_wish(demo);
        // Nothing is to be proved here, so the search may end early; counted, so that it ends so everywhere.
        let asked = AtomicU32::new(0);
        let control = Control {
            stop: &|| asked.fetch_add(1, Ordering::Relaxed) >= 40,
            progress: &|_| {},
        };
        let planned = plan(&job, &control).unwrap();
        assert_eq!(planned.plan.missing, [], "{demo}");
        let n_asked = job.pieces.iter().filter(|piece| piece.is_left()).count();
        assert_eq!(
            (planned.plan.spare_offcuts.len(), n_asked > 0),
            (n_asked, true),
            "{demo}"
        );
        // A job of one rail of each moulding, as long as its longest, and no board but the rack as this job leaves it.
        let rack = rack_csv(&planned.plan);
        let rack = Texts::from([
            ("rack.csv", rack),
            (
                "job.toml",
                "rack = \"rack.csv\"\n[[pieces]]\npiece = \"p\"\nlength = \"1 mm\"\n\
                 [[boards]]\nboard = \"plain\"\nlength = \"1 m\"\n"
                    .to_owned(),
            ),
        ]);
        let read = load(&rack);
        let mut next = job.spec();
        next.pieces.retain(Piece::is_left);
        let on_rack = read.boards.iter().filter(|board| board.in_hand.is_some());
        next.boards = on_rack.cloned().collect();
        for piece in &mut next.pieces {
            let moulding_idx = piece.moulding_idx.unwrap();
            let frames =
                (0..job.frames.len()).filter(|&idx| job.frames[idx].moulding_idx == moulding_idx);
            let rails = frames.flat_map(|idx| {
                let sizes = job.frame_sizes(idx);
                (0..sizes.n_sides()).map(move |side| sizes.rail(side).long_point)
            });
            piece.length = rails.max().unwrap();
            piece.purpose = Purpose::Wanted;
            piece.ends = Ends::Miter;
        }
        next.frames.clear();
        let (next, _) = Job::new(next).unwrap();
        assert_eq!(jobs::planned(&next).plan.missing, [], "{demo}");
    }
}

#[test]
#[expect(clippy::too_many_lines, reason = "one story")]
fn what_is_to_be_left_is_left() {
    let job = demo("reserve");
    let sound = jobs::planned(&job).plan;
    let after = |tamper: &dyn Fn(&mut Plan)| {
        let mut plan = sound.clone();
        tamper(&mut plan);
        check(&plan)
    };
    assert_eq!(after(&|_| {}), []);
    let text = set(&plan_sheet(&Summary::new(&sound)), LOOK);
    // Once below the list of offcuts, and once where it is drawn.
    assert!(text.contains("can be cut again from offcut 1"), "{text}");
    assert_eq!(text.matches("the spare offcut").count(), 1, "{text}");
    let is_found = |found: Vec<Violation>, wanted: fn(&Violation) -> bool| {
        assert!(found.iter().any(wanted), "{found:?}");
    };
    let nm = Length::from_nm(1);
    is_found(after(&|plan| plan.spare_offcuts.clear()), |found| {
        matches!(
            found,
            Violation {
                kind: Kind::LostPart,
                ..
            }
        )
    });
    is_found(
        after(&|plan| {
            let left = plan.spare_offcuts[0];
            plan.spare_offcuts.push(left);
        }),
        |found| {
            matches!(
                found,
                Violation {
                    kind: Kind::RepeatedPart,
                    ..
                }
            )
        },
    );
    let shifted = |by: Length| {
        move |plan: &mut Plan| {
            let left = plan.spare_offcuts[0];
            plan.spare_offcuts[0] = SpareOffcut {
                from: left.from + by,
                to: left.to + by,
                ..left
            };
        }
    };
    is_found(after(&shifted(Length::ZERO - nm)), |found| {
        matches!(
            found,
            Violation {
                kind: Kind::NarrowGap { .. },
                ..
            }
        )
    });
    is_found(after(&shifted(Length::INCH * 40)), |found| {
        matches!(
            found,
            Violation {
                kind: Kind::InFarTrim { .. },
                ..
            }
        )
    });
    is_found(after(&|plan| plan.spare_offcuts[0].to -= nm), |found| {
        matches!(
            found,
            Violation {
                kind: Kind::Wrong {
                    figure: Figure::Length,
                    ..
                },
                ..
            }
        )
    });
    is_found(after(&|plan| plan.spare_offcuts[0].strip = 7), |found| {
        matches!(
            found,
            Violation {
                kind: Kind::NotLeft,
                ..
            }
        )
    });
    is_found(
        after(&|plan| plan.spare_offcuts[0].part = plan.boards[0].strips[0].cuts[0].part),
        |found| {
            matches!(
                found,
                Violation {
                    kind: Kind::NotLeft,
                    ..
                }
            )
        },
    );
    is_found(
        after(&|plan| {
            let part = plan.spare_offcuts[0].part;
            plan.boards[0].strips[0].cuts[0].part = part;
        }),
        |found| {
            matches!(
                found,
                Violation {
                    kind: Kind::MustBeLeft,
                    ..
                }
            )
        },
    );
    // Another moulding's board.
    let maple = sound.boards.len() - 1;
    is_found(
        after(&|plan| plan.spare_offcuts[0].board = maple),
        |found| {
            matches!(
                found,
                Violation {
                    kind: Kind::MixedSections,
                    ..
                }
            )
        },
    );
}

#[test]
fn where_wood_runs_short_the_offcut_is_given_up_before_any_rail() {
    let job = demo("reserve");
    let kind = |job: &Job, name: &str| {
        job.boards
            .iter()
            .position(|board| board.name == name)
            .unwrap()
    };
    // Derived: all cherry rails come from four boards of 6 ft, but then nothing of use is left.
    let (short, long) = (kind(&job, "cherry 6 ft"), kind(&job, "cherry 8 ft"));
    let mut spec = job.spec();
    spec.boards[short].quantity = Some(4);
    spec.boards.remove(long);
    let (job, _) = Job::new(spec).unwrap();
    let planned = jobs::planned(&job);
    let left = (0..job.pieces.len())
        .find(|&idx| job.pieces[idx].is_left())
        .unwrap();
    assert_eq!(
        planned.plan.missing,
        [Part::Loose {
            piece_idx: left,
            copy: 1
        }]
    );
    assert_eq!(planned.plan.missing_lower_bound, 1);
    assert_eq!(planned.plan.verdict, Verdict::Optimal);
    assert_eq!(check(&planned.plan), []);
    // With a single board rails are missing too, and the offcut with them.
    let mut spec = job.spec();
    spec.boards[short].quantity = Some(1);
    let (job, _) = Job::new(spec).unwrap();
    let planned = jobs::planned(&job);
    assert!(planned.plan.missing.len() > 1);
    assert!(planned.plan.spare_offcuts.is_empty());
}
