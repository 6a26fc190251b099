use super::*;
use crate::frame::{Milled, Outline};
use crate::job::{HangBy, Keys};
use crate::plan::Plan;
use crate::report::document::Block;
use crate::report::samples::{job, lay, loose, plan_of, rail};
use crate::report::text::{Look, set};
use crate::samples::{in16, inches};

/// A plan in which every rail of the first frames is cut, each frame from a board of its own.
fn plan(job: &Job) -> Plan {
    let copies = [(0, 1), (0, 2), (1, 1), (2, 1)];
    let boards = (1..).zip(copies).map(|(number, (frame_idx, copy))| {
        let n_sides = job.frames[frame_idx].art.n_sides();
        let rails: Vec<_> = (0..n_sides)
            .map(|side| rail(frame_idx, copy, side))
            .collect();
        lay(job, 0, number, number, &rails)
    });
    plan_of(job, boards.collect(), Vec::new())
}

fn shown(plan: &Plan) -> String {
    let look = Look {
        width: 80,
        color: false,
        unicode: true,
    };
    set(&stations_sheet(&Summary::new(plan)), look)
}

/// The ids of the headings.
fn ids(plan: &Plan) -> Vec<&'static str> {
    let blocks = stations_sheet(&Summary::new(plan)).blocks;
    let id = |block: &Block| match block {
        Block::Heading(id, _) => Some(*id),
        _ => None,
    };
    blocks.iter().filter_map(id).collect()
}

#[test]
fn stations_come_in_the_order_of_work_and_are_numbered() {
    let mut job = job();
    job.mouldings[1].milled = Milled::AfterCutting;
    job.assembly.spline_depth = Some(in16(4));
    job.assembly.keys = Some(Keys {
        count: 1,
        depth: inches(1),
        kerf: in16(2),
    });
    let plan = plan(&job);
    let order = [
        "rabbet",
        "miter",
        "rabbet-rails",
        "splines",
        "glue",
        "keys",
        "sheets",
        "mats",
        "closing",
        "hanging",
    ];
    assert_eq!(ids(&plan), order);
    let text = shown(&plan);
    for number in 1..=order.len() {
        let heads = text
            .lines()
            .filter(|line| line.starts_with(&format!("{number}. ")));
        assert_eq!(heads.count(), 1, "{number}");
    }
    // What the sheet is not stands on it once, before anything else.
    assert_eq!(text.matches("never replaces the manual").count(), 1);
    assert!(text.lines().all(|line| line.chars().count() <= 80));
}

#[test]
fn what_a_job_has_no_use_for_is_left_out() {
    let mut job = job();
    job.frames.clear();
    let pieces = lay(&job, 0, 1, 1, &[loose(0, 1)]);
    let plan = plan_of(&job, vec![pieces], Vec::new());
    assert_eq!(ids(&plan), [""; 0]);
}

#[test]
fn the_rabbet_is_set_as_its_table_says() {
    // Derived: F 2, T 13/16, L 1/4, D 3/8, k 1/8: edge 1/4 high, fence 7/16; flat 3/8 high, fence 1 3/4; 1/8 by 1/4 loose.
    let mut job = job();
    job.mouldings[0].thickness = Some(in16(13));
    let text = shown(&plan(&job));
    let row = |words: &str| {
        let line = text.lines().find(|line| line.contains(words));
        let cells = line.unwrap().split("  ").map(str::trim);
        cells
            .filter(|cell| !cell.is_empty())
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        row("sight edge")[1..],
        ["first", "sight edge", "front face", "1/4", "7/16"]
    );
    assert_eq!(
        row("back edge"),
        ["last", "back face", "back edge", "3/8", "1 3/4"]
    );
    assert!(text.contains("A strip of 1/8 by 1/4 comes loose"));
    assert!(text.contains("must lie on the free side"));
    job.mouldings[0].thickness = None;
    let text = shown(&plan(&job));
    assert!(text.contains("its `thickness` is not told"), "{text}");
    assert!(!text.contains("must lie on the free side"));
}

#[test]
fn every_rail_stands_in_the_glue_up_under_its_label() {
    let job = job();
    let plan = plan(&job);
    let text = shown(&plan);
    let glue = text
        .split("Glue up")
        .nth(1)
        .unwrap()
        .split("Mats")
        .next()
        .unwrap();
    let marks = plan.marks();
    for (board, planned) in plan.boards.iter().enumerate() {
        for cut in 0..planned.strips[0].cuts.len() {
            let label = marks.cut(board, 0, cut).to_string();
            let words = glue.split(|sign: char| sign.is_whitespace() || sign == ',');
            assert_eq!(words.filter(|&word| word == label).count(), 1, "{label}");
        }
    }
    // Derived: a package of 16 by 20 has the outside 19 5/8 by 23 5/8, whose diagonal is 30.713, and a band of
    // 2 (19 5/8 + 23 5/8) + 12 = 98 1/2.
    assert!(
        glue.contains("30 23/32") && glue.contains("98 1/2"),
        "{glue}"
    );
}

#[test]
fn a_rail_without_wood_is_a_dash() {
    let job = job();
    let mut plan = plan(&job);
    plan.boards[0].strips[0].cuts.pop();
    plan.missing.push(rail(0, 1, 3));
    let text = shown(&plan);
    assert!(text.contains("1 part left without wood"));
    let first = text.lines().find(|line| line.contains("A-3")).unwrap();
    assert!(first.contains(" –"), "{first}");
}

#[test]
fn what_hangs_badly_is_told_beside_it() {
    let mut job = job();
    job.assembly.hanging.by = Some(HangBy::OneHook);
    job.assembly.hanging.hanger_drop = Some(inches(15));
    job.assembly.hanging.wall = Some(inches(40));
    let text = shown(&plan(&job));
    assert!(text.contains("it would tip over"));
    assert!(text.contains("A wall of 40 in has not room"));
    assert!(!text.contains("Wide or heavy for one hook"));
    job.frames[2].art = Outline::Rectangle {
        width: inches(40),
        height: inches(30),
    };
    assert!(shown(&plan(&job)).contains("Wide or heavy for one hook"));
}
