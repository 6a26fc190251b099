#![expect(clippy::unwrap_used, reason = "tests")]

use serde_json::Value;

use super::*;
use crate::report::samples;

fn parsed(plan: &Plan) -> Value {
    serde_json::from_str(&plan_json(
        plan,
        &Certificate::default(),
        &Summary::new(plan),
    ))
    .unwrap()
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
    assert_eq!(summary["unplaced"], 0);
    assert_eq!(summary["measure"], "price");
    assert_eq!(summary["proved_optimal"], true);
    plan.verdict = Verdict::Stopped;
    plan.measure = Measure::BoardLength;
    plan.missing.push(samples::loose(0, 5));
    let object = parsed(&plan);
    assert_eq!(object["summary"]["proved_optimal"], false);
    assert_eq!(object["summary"]["measure"], "board_length_nm");
    assert_eq!(object["summary"]["unplaced"], 1);
    assert_eq!(object["missing"][0]["item"], "spacer");
    assert_eq!(object["missing"][0]["copy"], 5);
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
    assert_eq!(first["item"], "Harbor at dawn #1 right");
    assert_eq!(first["frame"], "Harbor at dawn");
    assert_eq!(first["copy"], 1);
    assert_eq!(first["side"], "right");
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
fn copies_of_a_loose_piece_share_its_name_as_it_stands_in_the_table() {
    let mut job = samples::job();
    job.pieces[0].name = "spacer  \"thin\" #2".to_owned();
    let plan = samples::plan(&job);
    let object = parsed(&plan);
    for cut in [
        &object["boards"][5]["cuts"][0],
        &object["boards"][5]["cuts"][1],
    ] {
        assert_eq!(cut["item"], "spacer  \"thin\" #2");
        assert_eq!(cut.get("frame"), None);
        assert_eq!(cut.get("side"), None);
    }
    assert_eq!(object["boards"][5]["cuts"][1]["copy"], 5);
}

#[test]
fn one_board_as_it_is_written() {
    let job = samples::job();
    let plan = samples::plan(&job);
    let text = plan_json(&plan, &Certificate::default(), &Summary::new(&plan));
    let board: Vec<&str> = text
        .lines()
        .skip_while(|line| *line != r#"  "boards": ["#)
        .take(40)
        .collect();
    insta::assert_snapshot!(board.join("\n"), @r#"
"boards": [
  {
    "name": "cherry 8 ft",
    "number": 1,
    "pattern": 1,
    "length_nm": 2438400000,
    "width_nm": null,
    "moulding": "cherry cap",
    "price_minor": 2450,
    "offcut_nm": 197939484,
    "offcut_kept": false,
    "edge_left_nm": 0,
    "edge_kept": false,
    "strips": [
      {
        "width_nm": null,
        "from_edge_nm": 0,
        "moulding": "cherry cap",
        "offcut_nm": 197939484,
        "offcut_kept": false
      }
    ],
    "cuts": [
      {
        "item": "Harbor at dawn #1 right",
        "frame": "Harbor at dawn",
        "copy": 1,
        "side": "right",
        "strip": 0,
        "from_nm": 12700000,
        "to_nm": 612775000,
        "turned": false,
        "miter_millidegrees": 45000,
        "short_point_nm": 498475000
      },
      {
        "item": "Harbor at dawn #1 left",
        "frame": "Harbor at dawn",
        "copy": 1,
        "side": "left",
"#);
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
    assert_eq!(sixteenths(&board["edge_left_nm"]), 19);
    assert_eq!(board["edge_kept"], true);
    assert_eq!(board["offcut_nm"], Value::Null);
    let feet = &object["summary"]["board_feet"];
    assert_eq!(feet["bought"]["exact_hundredths"], 400);
    assert_eq!(feet["used"]["exact_hundredths"], 203);
    assert_eq!(feet["used"]["by_surface_measure_hundredths"], 200);
    assert_eq!(object["settings"]["rip"]["straightening_nm"], 6_350_000);
}
