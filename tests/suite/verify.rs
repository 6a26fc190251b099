//! `longpoint verify` against plans and proofs that somebody has tampered with: each must be caught.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs;
use std::path::PathBuf;

use crate::command::{in_one_line, longpoint};
use serde_json::{Value, json};

/// A job whose proof needs a split: two kinds of scarce board beside a dear one.
const JOB: &str = "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\n[saw]\nkerf = \"1/8\"\nend-trim = \"1/2\"\n";
const PIECES: &str = "piece,length,quantity,ends\na,31,7,miter\nb,22 1/2,9,miter\nc,17,5,square\n";
const BOARDS: &str =
    "board,length,quantity,price\nshort,50,,7.10\nmiddle,74,3,9.90\nlong,99,4,13.30\n";

struct Case {
    folder: tempfile::TempDir,
    plan: Value,
}

impl Case {
    fn new() -> Case {
        let case = Case::of(JOB, PIECES, BOARDS);
        assert_eq!(case.plan["summary"]["proved_optimal"], true);
        case
    }

    fn of(job: &str, pieces: &str, boards: &str) -> Case {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("job.toml"), job).unwrap();
        fs::write(folder.path().join("pieces.csv"), pieces).unwrap();
        fs::write(folder.path().join("boards.csv"), boards).unwrap();
        let output = longpoint(folder.path(), &["plan", "job.toml", "--format", "json"]);
        assert_eq!(output.status.code(), Some(0));
        let plan: Value = serde_json::from_slice(&output.stdout).unwrap();
        Case { folder, plan }
    }

    /// Exit code and printed text of `verify` on the plan as it now is.
    fn verify(&self) -> (Option<i32>, String) {
        let path: PathBuf = self.folder.path().join("plan.json");
        fs::write(&path, self.plan.to_string()).unwrap();
        let output = longpoint(self.folder.path(), &["verify", "job.toml", "plan.json"]);
        (
            output.status.code(),
            String::from_utf8(output.stdout).unwrap(),
        )
    }
}

/// The plan after `tamper` must be refused, with words about `what`.
fn caught(what: &str, tamper: impl FnOnce(&mut Value)) {
    let mut case = Case::new();
    let before = case.plan.clone();
    tamper(&mut case.plan);
    assert_ne!(case.plan, before, "nothing was tampered with");
    let (code, text) = case.verify();
    assert_eq!(code, Some(1), "{text}");
    assert!(text.starts_with("NOT ALL OF IT HOLDS\n"), "{text}");
    assert!(text.contains(what), "no word of `{what}` in:\n{text}");
}

/// Every table of prices of a proof: one case may be closed by its conditions alone, whatever its prices are.
fn tables(plan: &mut Value, tamper: impl FnMut(&mut Value)) {
    let nodes = &mut plan["certificate"]["claims"][0]["proof"];
    let nodes = nodes.as_array_mut().unwrap().iter_mut();
    nodes
        .filter(|node| node.get("scale").is_some())
        .for_each(tamper);
}

/// All prices of a table times `by / 2`.
fn halves(table: &mut Value, by: i64) {
    for price in table["part_prices"].as_array_mut().unwrap() {
        *price = json!(price.as_i64().unwrap() * by / 2);
    }
}

fn nudge(value: &mut Value, by: i64) {
    *value = json!(value.as_i64().unwrap() + by);
}

#[test]
fn a_sound_plan_is_verified() {
    let (code, text) = Case::new().verify();
    assert_eq!(code, Some(0), "{text}");
    assert!(text.starts_with("ALL OF IT HOLDS\n"), "{text}");
    assert!(text.ends_with("the plan is proved best\n"), "{text}");
}

/// Claims name only boards that others cannot stand in for; which those are must be found out from the job.
#[test]
fn a_claim_may_leave_out_a_board_that_another_stands_in_for() {
    let rip = format!("{JOB}[rip]\nkerf = \"1/8\"\nplaning = \"1/16\"\n");
    let pieces = "piece,length,width,quantity\na,31,2,3\n";
    for (why, boards) in [
        (
            "the wide board gives one strip only, as the narrow one does",
            "board,length,width,quantity,price\nnarrow,99,2 1/2,,9\nwide,99,4,,10\n",
        ),
        (
            "one strip for one strip, whether ripped or not",
            "board,length,width,quantity,price\nnarrow,99,2,,9\nwide,99,4,,10\n",
        ),
        (
            "three boards are as many as three parts can use",
            "board,length,width,quantity,price\nnarrow,99,2 1/2,3,9\nwide,99,4,,10\n",
        ),
        (
            "the shorter one gives no more strips than the longer one, and neither is longer for them",
            "board,length,width,quantity,price\nlong,99,8,,9\nshort,70,8,,10\n",
        ),
    ] {
        let case = Case::of(&rip, pieces, boards);
        let (code, text) = case.verify();
        assert_eq!(code, Some(0), "{why}\n{text}");
        assert!(text.starts_with("ALL OF IT HOLDS\n"), "{why}\n{text}");
    }
}

/// A job whose proof needs cases of how boards are ripped.
fn ripped() -> Case {
    let rip = format!("{JOB}[rip]\nkerf = \"1/8\"\nstraightening = \"1/4\"\nplaning = \"1/16\"\n");
    let pieces = "piece,length,quantity,ends,width\n\
                  rail 1,38.75,4,miter,2.5\n\
                  rail 2,12.375,2,miter,2.125\n\
                  rail 3,32.4375,4,miter,2.5\n\
                  rail 4,10.875,2,miter,2.125\n";
    let boards = "board,length,price,width,thickness\n\
                  board 7.0000 x 11,132,11.71/bf,7,1\n\
                  board 5.0000 x 11,132,11.71/bf,5,1\n\
                  board 7.0000 x 8,96,11.71/bf,7,1\n\
                  board 5.0000 x 8,96,11.71/bf,5,1\n";
    let case = Case::of(&rip, pieces, boards);
    let rips = &case.plan["certificate"]["claims"][0]["rips"];
    assert!(!rips.as_array().unwrap().is_empty());
    case
}

#[test]
fn boards_are_counted_by_how_they_are_ripped() {
    let mut case = ripped();
    let (code, text) = case.verify();
    assert_eq!(code, Some(0), "{text}");
    assert!(text.ends_with("the plan is proved best\n"), "{text}");
    let claim = &mut case.plan["certificate"]["claims"][0];
    for rip in claim["rips"].as_array_mut().unwrap() {
        // No board gives no strip, so nothing is counted, and the prices of the cases prove nothing.
        rip["strips"] = json!([]);
    }
    let (code, text) = case.verify();
    assert_eq!(code, Some(1), "{text}");
    assert!(text.contains("do not prove its bound"), "{text}");
    // Nor is a strip of another capacity one that a board gives.
    let mut case = ripped();
    let claim = &mut case.plan["certificate"]["claims"][0];
    for strip in claim["strips"].as_array_mut().unwrap() {
        nudge(&mut strip["capacity_nm"], 1);
    }
    let (code, text) = case.verify();
    assert_eq!(code, Some(1), "{text}");
    assert!(text.contains("do not prove its bound"), "{text}");
}

#[test]
fn rips_of_what_a_claim_does_not_list_are_caught() {
    for (place, unlisted) in [
        ("/rips/0/strips/0", json!(99)),
        ("/rips/0/board", json!(99)),
        ("/strips/0/parts/0", json!(99)),
    ] {
        let mut case = ripped();
        let claim = &mut case.plan["certificate"]["claims"][0];
        *claim.pointer_mut(place).unwrap() = unlisted;
        let (code, text) = case.verify();
        assert_eq!(code, Some(1), "{text}");
        assert!(text.contains("refers to what it does not list"), "{text}");
    }
}

#[test]
fn a_claim_that_leaves_out_a_board_of_more_strips_is_caught() {
    let rip = format!("{JOB}[rip]\nkerf = \"1/8\"\n");
    let pieces = "piece,length,width,quantity\na,31,2,7\n";
    // Derived: with kerfs of 1/8 in the wide board gives three strips of 2 in, and 6-1/4 in of them are enough.
    let boards = "board,length,width,price\nnarrow,99,2 1/2,9\nwide,99,6 1/4,20\n";
    let mut case = Case::of(&rip, pieces, boards);
    let claim = &mut case.plan["certificate"]["claims"][0];
    let named: Vec<&str> = claim["boards"]
        .as_array()
        .unwrap()
        .iter()
        .map(|board| board["name"].as_str().unwrap())
        .collect();
    assert_eq!(named, ["narrow", "wide"]);
    for name in ["narrow", "wide"] {
        // Both kinds of the claim now are of one line of boards, and none of the other.
        let claim = &mut case.plan["certificate"]["claims"][0];
        claim["boards"][0]["name"] = json!(name);
        claim["boards"][1]["name"] = json!(name);
        let (code, text) = case.verify();
        assert_eq!(code, Some(1), "{text}");
        assert!(text.contains("forgets"), "{text}");
    }
}

#[test]
fn a_cut_that_is_moved_lost_doubled_or_renamed_is_caught() {
    caught("a", |plan| {
        nudge(&mut plan["boards"][0]["cuts"][0]["to_nm"], 1);
    });
    caught("a", |plan| {
        nudge(&mut plan["boards"][0]["cuts"][1]["from_nm"], -1);
    });
    caught("part", |plan| {
        plan["boards"][0]["cuts"].as_array_mut().unwrap().pop();
    });
    caught("part", |plan| {
        let cut = plan["boards"][0]["cuts"][0].clone();
        plan["boards"][1]["cuts"].as_array_mut().unwrap().push(cut);
    });
    caught("the job has no piece `z`", |plan| {
        plan["boards"][0]["cuts"][0]["part"]["piece"] = json!("z");
    });
}

#[test]
fn a_length_out_of_all_measure_is_told_as_it_is() {
    for nm in [i64::MIN, i64::MAX] {
        // What follows from it is as far from the size of anything.
        caught(" nm", |plan| {
            plan["boards"][0]["cuts"][0]["from_nm"] = json!(nm);
        });
    }
}

#[test]
fn where_parts_fit_no_board_any_more_the_way_out_of_a_stowed_plan_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = "rack = \"rack.csv\"\n[[pieces]]\npiece = \"bar\"\nlength = \"20\"\n[[boards]]\nboard = \"lath\"\nlength = \"16\"\n";
    fs::write(at.join("job.toml"), job).unwrap();
    fs::write(at.join("rack.csv"), "board,length\noff,24\n").unwrap();
    let ran = |args: &[&str]| longpoint(at, args);
    assert_eq!(
        ran(&["plan", "job.toml", "--out", "out"]).status.code(),
        Some(0)
    );
    assert_eq!(
        ran(&["stow", "job.toml", "out/plan.json"]).status.code(),
        Some(0)
    );
    let refused = ran(&["verify", "job.toml", "out/plan.json"]);
    assert_eq!(refused.status.code(), Some(2));
    let said = in_one_line(&String::from_utf8(refused.stderr).unwrap());
    assert!(said.contains("E303"), "{said}");
    assert!(said.contains("`stow --undo` puts it back"), "{said}");
}

#[test]
fn a_board_too_many_too_few_or_of_another_kind_is_caught() {
    caught("it is neither cut nor called missing", |plan| {
        plan["boards"].as_array_mut().unwrap().pop();
    });
    caught("the job has no board `oak`", |plan| {
        plan["boards"][0]["name"] = json!("oak");
    });
    caught("length_nm", |plan| {
        nudge(&mut plan["boards"][0]["length_nm"], 1);
    });
}

#[test]
fn a_summary_that_flatters_is_caught() {
    caught("the value of the plan", |plan| {
        nudge(&mut plan["summary"]["value"], -1);
    });
    caught("`/summary/boards`", |plan| {
        nudge(&mut plan["summary"]["boards"], -1);
    });
    caught("the value of the plan", |plan| {
        // Raised together, so that the two agree.
        nudge(&mut plan["summary"]["value"], 1);
        nudge(&mut plan["summary"]["lower_bound"], 1);
    });
    caught("is measured in", |plan| {
        plan["summary"]["measure"] = json!("board_length_nm");
    });
}

#[test]
fn prices_that_prove_nothing_are_caught() {
    let claims =
        |plan: &mut Value| -> usize { plan["certificate"]["claims"].as_array().unwrap().len() };
    assert!(claims(&mut Case::new().plan) >= 1);
    caught("do not prove", |plan| {
        nudge(&mut plan["certificate"]["claims"][0]["bound"], 1);
    });
    caught("do not prove", |plan| {
        tables(plan, |table| halves(table, 1));
    });
    caught("do not prove", |plan| {
        tables(plan, |table| halves(table, 4));
    });
    caught("do not prove", |plan| {
        tables(plan, |table| {
            table["scale"] = json!(table["scale"].as_i64().unwrap() * 2);
        });
    });
    caught("out of range", |plan| {
        tables(plan, |table| table["part_prices"][0] = json!(-1));
    });
    caught("out of range", |plan| {
        tables(plan, |table| table["part_prices"][0] = json!(i64::MAX));
    });
    caught("do not prove", |plan| {
        tables(plan, |table| {
            table["part_prices"].as_array_mut().unwrap().pop();
        });
    });
}

#[test]
fn claims_that_forget_or_repeat_are_caught() {
    caught("forgets", |plan| {
        let other = plan["certificate"]["claims"][0]["boards"][1]["name"].clone();
        plan["certificate"]["claims"][0]["boards"][0]["name"] = other;
    });
    caught("counted already", |plan| {
        let claim = plan["certificate"]["claims"][0].clone();
        plan["certificate"]["claims"]
            .as_array_mut()
            .unwrap()
            .push(claim);
    });
    caught("a bound of", |plan| {
        plan["certificate"]["claims"] = json!([]);
    });
}

/// What `verify` says of a text that is no plan file of this program.
fn refused(case: &Case, text: &str) -> String {
    fs::write(case.folder.path().join("plan.json"), text).unwrap();
    let output = longpoint(case.folder.path(), &["verify", "job.toml", "plan.json"]);
    assert_eq!(output.status.code(), Some(2));
    String::from_utf8(output.stderr).unwrap()
}

#[test]
fn no_plan_another_format_and_a_damaged_plan_are_told_apart() {
    let case = Case::new();
    let write_one =
        "hint: write one with `longpoint plan JOB.toml --out DIR`, as `DIR/plan.json`\n";
    for (text, what) in [
        ("[saw]\nkerf = 3\n", "it is not JSON"),
        ("[3]", "it is JSON, but no object"),
        (
            "{\n  \"summary\": 3\n}\n",
            "it is JSON, but does not name the format of a plan",
        ),
        (
            "{\"format\": \"glTF\"}",
            "it is JSON, but does not name the format of a plan",
        ),
    ] {
        let said = refused(&case, text);
        assert!(
            said.lines().all(|line| line.chars().count() <= 80),
            "{said}"
        );
        assert!(said.ends_with(write_one), "{said}");
        let words = said.split_whitespace().collect::<Vec<_>>().join(" ");
        let error = format!("error: plan.json: not a plan of longpoint: {what} hint: ");
        assert!(words.starts_with(&error), "{said}");
    }
    let mut other = case.plan.clone();
    other["format_number"] = json!(99);
    assert_eq!(
        refused(&case, &other.to_string()),
        "error: plan.json: a plan file of format 99, and this program reads format 6\n\
         hint: plan the job again with this program, or use the version that `written_by`\n      names in the file\n"
    );
    let output = longpoint(
        case.folder.path(),
        &["plan", "job.toml", "--format", "json"],
    );
    let whole = String::from_utf8(output.stdout).unwrap();
    // A line that has only begun counts as well.
    let n_lines = whole[..whole.len() / 2].matches('\n').count() + 1;
    let said = refused(&case, &whole[..whole.len() / 2]);
    assert!(
        said.starts_with("error: plan.json: a damaged plan file: EOF while parsing"),
        "{said}"
    );
    assert!(
        in_one_line(&said).contains(&format!("(line {n_lines}, column ")),
        "{said}"
    );
    let said = refused(
        &case,
        &whole.replacen("\"boards\": [", "\"boards\": 7, \"x\": [", 1),
    );
    assert!(
        in_one_line(&said)
            .contains("damaged plan file: invalid type: integer `7`, expected a sequence (line "),
        "{said}"
    );
    assert!(said.contains("hint: write it again"), "{said}");
    let output = longpoint(case.folder.path(), &["verify", "job.toml", "none.json"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        String::from_utf8(output.stderr)
            .unwrap()
            .starts_with("error: none.json: there is no such file\n")
    );
}
