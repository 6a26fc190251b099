#![expect(clippy::unwrap_used, reason = "tests")]

use serde_json::Value;

use super::*;
use crate::plan::{Measure, Verdict};
use crate::report::json::sizes_json;
use crate::report::samples;

fn planned(plan: &Plan) -> Planned {
    Planned {
        plan: plan.clone(),
        certificate: plan::certificate::Certificate::default(),
        aside: plan::Aside::default(),
        materials: Vec::new(),
    }
}

fn parsed(plan: &Plan) -> Value {
    serde_json::from_str(&PlanFile::of(&planned(plan)).text()).unwrap()
}

#[test]
fn the_summary_holds_what_scripts_rely_on() {
    let job = samples::job();
    let mut plan = samples::plan(&job);
    let object = parsed(&plan);
    let summary = &object["summary"];
    assert_eq!(summary["boards"], 6);
    assert_eq!(summary["value"], 11000);
    assert_eq!(summary["lower_bound"], 11000);
    assert_eq!(summary["missing"], 0);
    assert_eq!(summary["measure"], "price_minor");
    assert_eq!(summary["proved_optimal"], true);
    plan.verdict = Verdict::Stopped;
    plan.measure = Measure::BoardLength;
    plan.missing.push(samples::loose(0, 5));
    let object = parsed(&plan);
    assert_eq!(object["summary"]["proved_optimal"], false);
    assert_eq!(object["summary"]["measure"], "board_length_nm");
    assert_eq!(object["summary"]["missing"], 1);
    assert_eq!(object["missing"][0]["part"]["piece"], "spacer");
    assert_eq!(object["missing"][0]["part"]["copy"], 5);
}

#[test]
fn cuts_lie_in_order_along_the_outer_edge_from_the_untrimmed_end() {
    let job = samples::job();
    let plan = samples::plan(&job);
    let object = parsed(&plan);
    let board = &object["boards"][0];
    assert_eq!(board["name"], "cherry 8 ft");
    assert_eq!(board["length_nm"], 2_438_400_000_i64);
    let first = &board["cuts"][0];
    assert_eq!(first["part"]["item"], "Harbor at dawn #1 right");
    assert_eq!(first["part"]["frame"], "Harbor at dawn");
    assert_eq!(first["part"]["copy"], 1);
    assert_eq!(first["part"]["side"], "right");
    // Derived: the trim of 1/2 in, and 23-5/8 in beyond it.
    assert_eq!(first["from_nm"], 12_700_000);
    assert_eq!(first["to_nm"], 12_700_000 + 600_075_000);
    for board in object["boards"].as_array().unwrap() {
        let mut end = 0;
        for cut in board["cuts"].as_array().unwrap() {
            assert!(cut["from_nm"].as_i64().unwrap() >= end);
            end = cut["to_nm"].as_i64().unwrap();
            assert!(end > cut["from_nm"].as_i64().unwrap());
        }
        assert!(end <= board["length_nm"].as_i64().unwrap());
    }
}

#[test]
fn copies_of_a_loose_piece_have_names_of_their_own() {
    let mut job = samples::job();
    job.pieces[0].name = "spacer  \"thin\" #2".to_owned();
    let plan = samples::plan(&job);
    let object = parsed(&plan);
    let part = &object["boards"][5]["cuts"][1]["part"];
    assert_eq!(part["item"], "spacer  \"thin\" #2 #5");
    assert_eq!(part["piece"], "spacer  \"thin\" #2");
    assert_eq!(part["frame"], Value::Null);
    assert_eq!(part["side"], Value::Null);
    assert_eq!(part["copy"], 5);
}

#[test]
fn fields_stand_in_the_order_in_which_they_are_told() {
    let job = samples::job();
    let text = PlanFile::of(&planned(&samples::plan(&job))).text();
    let keys = |indent: usize| -> Vec<&str> {
        let lines = text.lines();
        lines
            .filter_map(|line| line.strip_prefix(&" ".repeat(indent))?.strip_prefix('"'))
            .filter_map(|line| line.split_once("\":").map(|(key, _)| key))
            .collect()
    };
    assert_eq!(
        keys(2)[..4],
        ["format", "format_number", "written_by", "title"]
    );
    let of_board: Vec<&str> = keys(6)
        .into_iter()
        .skip_while(|key| *key != "mark")
        .take(6)
        .collect();
    assert_eq!(
        of_board,
        ["mark", "name", "number", "pattern", "material", "length_nm"]
    );
}

#[test]
fn sizes_alone_are_those_of_the_plan() {
    let job = samples::job();
    let plan = samples::plan(&job);
    let sizes: Value = serde_json::from_str(&sizes_json(&job)).unwrap();
    let plan = parsed(&plan);
    assert_eq!(sizes["frames"], plan["frames"]);
    assert_eq!(sizes["sheets"], plan["sheets"]);
    assert_eq!(sizes["settings"], plan["settings"]);
    // Derived: package 16 x 20, face 2, lip 1/4, allowance 1/8 give an outside of 19-5/8 x 23-5/8.
    assert_eq!(
        sizes["frames"][0]["outside"]["width_nm"],
        25_400_000_i64 * 157 / 8
    );
    assert_eq!(
        sizes["frames"][0]["outside"]["height_nm"],
        25_400_000_i64 * 189 / 8
    );
    assert_eq!(sizes["frames"][1]["outside"]["height_nm"], Value::Null);
    assert!(sizes["frames"][1]["outside"]["side_nm"].is_i64());
    assert_eq!(sizes["frames"][0]["too_deep_by_nm"], 1_587_500);
}

#[test]
fn a_ripped_board_has_its_strips_and_each_cut_its_strip() {
    let (_job, plan) = samples::ripped();
    let object = parsed(&plan);
    let board = &object["boards"][0];
    let sixteenths = |value: &Value| value.as_i64().unwrap() / 1_587_500;
    let strips: Vec<(i64, i64)> = board["strips"]
        .as_array()
        .unwrap()
        .iter()
        .map(|strip| {
            (
                sixteenths(&strip["width_nm"]),
                sixteenths(&strip["from_edge_nm"]),
            )
        })
        .collect();
    assert_eq!(strips, [(33, 0), (17, 35), (17, 54)]);
    let of_cuts: Vec<i64> = board["cuts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|cut| cut["strip"].as_i64().unwrap())
        .collect();
    assert_eq!(of_cuts, [0, 0, 1, 1, 1, 2]);
    let beside = &board["stretches"][0]["beside"];
    assert_eq!(beside.as_array().map(Vec::len), Some(1));
    assert_eq!(sixteenths(&beside[0]["from_edge_nm"]), 73);
    assert_eq!(sixteenths(&beside[0]["width_nm"]), 19);
    assert_eq!(board["stretches"][0]["beside"][0]["kept"], true);
    let feet = &object["summary"]["board_feet"];
    assert_eq!(feet["bought"]["exact_hundredths"], 400);
    assert_eq!(feet["used"]["exact_hundredths"], 203);
    assert_eq!(feet["used"]["by_surface_measure_hundredths"], 200);
    assert_eq!(object["settings"]["rip"]["straightening_nm"], 6_350_000);
}

#[test]
fn the_stack_lies_in_order_from_the_front_and_sums_to_its_height() {
    let job = samples::job();
    let (frames, _) = frames_and_sheets(&job);
    for frame in &frames {
        let sum: i64 = frame.stack.iter().map(|layer| layer.thickness_nm).sum();
        assert_eq!(sum, frame.stack_height_nm, "{}", frame.name);
        let uses: Vec<LayerUse> = frame.stack.iter().map(|layer| layer.r#use).collect();
        assert_eq!(uses.last(), Some(&LayerUse::PointRoom));
        let art = uses.iter().position(|of| *of == LayerUse::Art).unwrap();
        assert!(!uses[art..].contains(&LayerUse::Glazing));
        assert!(!uses[..art].contains(&LayerUse::Backing));
    }
}

#[test]
fn a_mitered_piece_has_a_short_point() {
    let job = samples::job();
    let pieces = frames::pieces(&job);
    for (piece, of) in pieces.iter().zip(&job.pieces) {
        assert_eq!(
            piece.miter_sides.is_some(),
            of.ends != crate::job::Ends::Square
        );
        if let (Some(4), Some(idx)) = (piece.miter_sides, of.moulding_idx) {
            // Derived: at 45 degrees each miter runs as far along the strip as it is wide.
            let both = job.mouldings[idx].face_width * 2;
            assert_eq!(piece.short_point_nm, Some((of.length - both).nm()));
        }
    }
}

#[test]
fn differences_are_told_by_their_place() {
    let says = serde_json::json!({"a": [1, {"b/c": 2}], "d": null});
    let must_be = serde_json::json!({"a": [1, {"b/c": 3}, 4], "e": true});
    let found: Vec<String> = compare::differences(&says, &must_be)
        .into_iter()
        .map(|found| Finding::Field(found).to_string())
        .collect();
    assert_eq!(
        found,
        [
            "`/a/1/b~1c` is 2; it must be 3",
            "`/a/2` is nothing; it must be 4",
            "`/e` is nothing; it must be true",
            "`/d` is null; it must be nothing",
        ]
    );
}
