//! Check values of the lumber trade, through the whole program: strips of dressed boards, board feet as reported.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs;

use crate::command::longpoint;

use serde_json::Value;

/// The plan of a job of one piece without end trim, as JSON.
fn planned(piece: &str, boards: &str) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let job = "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[saw]\nend-trim = 0\n[rip]\nkerf = \"1/8\"\n";
    fs::write(folder.path().join("job.toml"), job).unwrap();
    let pieces = format!("piece,length,width,quantity\n{piece}\n");
    fs::write(folder.path().join("pieces.csv"), pieces).unwrap();
    fs::write(folder.path().join("boards.csv"), boards).unwrap();
    let output = longpoint(folder.path(), &["plan", "job.toml", "--format", "json"]);
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let plan: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(plan["summary"]["proved_optimal"], true);
    plan
}

#[test]
fn dressed_boards_give_as_many_strips_as_kerfs_of_an_eighth_allow() {
    // Dressed widths: American Softwood Lumber Standard PS 20, from memory.
    // Derived: floor((B + k) / (w + k)) with k 1/8: 5-1/2 and 1-1/2 give 5.625 / 1.625 = 3; of 2 in, 7-1/4 gives
    // 7.375 / 2.125 = 3, 9-1/4 gives 9.375 / 2.125 = 4, 11-1/4 gives 11.375 / 2.125 = 5.
    for (nominal, width, strips) in [
        ("1x6", "1 1/2", 3),
        ("1x8", "2", 3),
        ("1x10", "2", 4),
        ("1x12", "2", 5),
    ] {
        let boards = format!("board,length,nominal\npine,96,{nominal}\n");
        // Pieces as long as the board: one to a strip.
        for (pieces, n_boards) in [(strips, 1), (strips + 1, 2), (2 * strips, 2)] {
            let plan = planned(&format!("slat,96,{width},{pieces}"), &boards);
            let boards = plan["boards"].as_array().unwrap();
            assert_eq!(boards.len(), n_boards, "{nominal}");
            let of_board = |board: &Value| board["strips"].as_array().unwrap().len();
            assert_eq!(boards.iter().map(of_board).max(), Some(strips), "{nominal}");
        }
    }
}

/// Board feet bought in hundredths, exactly and by surface measure.
fn bought(plan: &Value) -> (u64, u64) {
    let feet = &plan["summary"]["board_feet"]["bought"];
    (
        feet["exact_hundredths"].as_u64().unwrap(),
        feet["by_surface_measure_hundredths"].as_u64().unwrap(),
    )
}

#[test]
fn board_feet_are_reported_both_ways() {
    // NHLA grading rules, from memory: 6-1/2 in x 8 ft, 8 x 12 and 10 x 13 measure 4, 8 and 11.
    // Derived: 23 in all; exactly 13/3 + 8 + 65/6 = 139/6 = 23.1666...
    let tally =
        "board,length,width,thickness,quantity\na,8',6 1/2,4/4,1\nb,12',8,4/4,1\nc,13',10,4/4,1\n";
    // No board is wide or long enough for two of these planks, so all three are taken.
    let all = planned("plank,96,6 1/2,3", tally);
    assert_eq!(all["boards"].as_array().unwrap().len(), 3);
    assert_eq!(bought(&all), (2_317, 2_300));

    // Published: US Army engineer course EN5155, p. 1-28: four pieces 1 x 8 in x 14 ft are 37-1/3 board feet.
    // By surface measure each is 9, derived from 9-1/3.
    let four = "board,length,width,thickness\na,14',8,1\n";
    assert_eq!(bought(&planned("plank,14',8,4", four)), (3_733, 3_600));
    // Published: William Noyes, Handwork in Wood (1910), ch. III: 1 x 6 in x 12 ft is 6 board feet, even if dressed.
    let dressed = "board,length,nominal\na,12',1x6\n";
    assert_eq!(bought(&planned("plank,12',5 1/2,1", dressed)).0, 600);
    // Published: US Navy Engineering Aid Basic, ch. 6, sec. 3: stock under 1 in thick counts as 1 in.
    let thin = "board,length,width,thickness\na,12',6,1/2\n";
    assert_eq!(bought(&planned("plank,12',6,1", thin)), (600, 600));
    // Published: US Navy NAVEDTRA 14044 (Builder): 1 x 7 in x 33 ft is 19.25 board feet, not 19.26.
    let long = "board,length,width,thickness\na,33',7,1\n";
    assert_eq!(bought(&planned("plank,33',7,1", long)).0, 1_925);
}
