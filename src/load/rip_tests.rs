//! Boards as yards and mills name them, and the settings for ripping.

use proptest::prelude::*;

use super::tests::{Memory, job, listed, load};
use super::*;
use crate::length::{Length, Unit};
use crate::money::Money;
use crate::stock::{NominalSize, Price, Rip};

const PIECES: (&str, &str) = ("pieces.csv", "piece,length\nspacer,10\n");

fn inches_16(parts: i64) -> Length {
    Length::from_nm(parts * 1_587_500)
}

#[test]
fn ripping_is_on_where_its_table_stands_even_if_that_is_empty() {
    let read = |rip: &str| {
        let toml =
            format!("pieces = \"pieces.csv\"\n[[boards]]\nboard = \"oak\"\nlength = 96\n{rip}");
        job(&[("job.toml", &toml), PIECES]).shop.rip
    };
    assert_eq!(read(""), None);
    // Common practice, no source: a full kerf is 1/8 in, and as much is planed off an edge.
    let bare = Rip {
        kerf: inches_16(2),
        straightening: Length::ZERO,
        planing: Length::ZERO,
        plane_off: inches_16(2),
        ..crate::samples::rip()
    };
    assert_eq!(read("[rip]\n"), Some(bare));
    assert_eq!(
        read(
            "[rip]\nkerf = 0\nstraightening = \"1/4\"\nplaning = \"1/16\"\nplane-off = 0\nnarrowest-offcut = 1\n"
        ),
        Some(Rip {
            kerf: Length::ZERO,
            straightening: inches_16(4),
            planing: inches_16(1),
            plane_off: Length::ZERO,
            narrowest_offcut: Some(Length::INCH),
            resaw: None,
        })
    );
}

#[test]
fn boards_come_from_several_files_and_a_tally_names_its_own() {
    let toml = "pieces = \"pieces.csv\"\nboards = [\"yard.csv\", \"rack.csv\"]\ntally = \"mill/june.csv\"\n";
    let job = job(&[
        ("job.toml", toml),
        PIECES,
        ("yard.csv", "board,length\noak 8 ft,96\n"),
        ("rack.csv", "board,length,quantity\nstub,30,2\n"),
        (
            "mill/june.csv",
            "length,width,board,quantity\n80,6 1/2,,\n\n91,4,,\n70,5,twin,2\n",
        ),
    ]);
    let boards: Vec<(&str, Option<u32>)> = job
        .boards
        .iter()
        .map(|board| (board.name.as_str(), board.quantity))
        .collect();
    assert_eq!(
        boards,
        [
            ("oak 8 ft", None),
            ("stub", Some(2)),
            ("june row 1", Some(1)),
            ("june row 2", Some(1)),
            ("twin", Some(2)),
        ]
    );
    assert_eq!(job.boards[2].width, Some(inches_16(6 * 16 + 8)));
}

#[test]
fn a_name_that_stands_in_two_files_is_a_fault_and_so_is_a_list_of_other_things() {
    let toml = "pieces = \"pieces.csv\"\nboards = [\"a.csv\", \"b.csv\"]\n";
    let table = "board,length\noak,96\n";
    let faults = load(&[
        ("job.toml", toml),
        PIECES,
        ("a.csv", table),
        ("b.csv", table),
    ]);
    assert_eq!(
        faults.expect_err("two boards have one name"),
        "\
b.csv, line 2, column `board`: error: two boards are named `oak` (E201); the first is at a.csv, line 2, column `board`
"
    );
    let toml = "pieces = \"pieces.csv\"\nboards = [\"a.csv\", 7]\n";
    let faults = load(&[("job.toml", toml), PIECES, ("a.csv", table)]);
    assert!(faults.expect_err("7 is no path").starts_with(
        "job.toml, line 2: error: `boards` must be the path of a CSV file, not a number (E007)"
    ));
}

#[test]
fn sizes_are_read_as_yards_name_them_and_what_was_measured_wins() {
    let table = "\
board,length,nominal,thickness,width,surfaced
six,96,1x6,,,
wider,96,1 X 6,,5 5/8,
rough,96,,5/4,7,rough
planed,96,,8/4,7,s2s
plain,96,,3/4,7,
";
    let toml = "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n";
    let job = job(&[("job.toml", toml), PIECES, ("boards.csv", table)]);
    let sizes: Vec<_> = job
        .boards
        .iter()
        .map(|board| (board.thickness, board.width, board.nominal))
        .collect();
    let seven = Some(Length::INCH * 7);
    let softwood = Some(NominalSize {
        thickness: Length::INCH,
        width: Some(Length::INCH * 6),
    });
    // From memory: 3/4 x 5-1/2 by PS 20, 1-3/4 in for surfaced 8/4.
    assert_eq!(
        sizes,
        [
            (Some(inches_16(12)), Some(inches_16(88)), softwood),
            (Some(inches_16(12)), Some(inches_16(90)), softwood),
            (Some(inches_16(20)), seven, None),
            (
                Some(inches_16(28)),
                seven,
                Some(NominalSize {
                    thickness: Length::INCH * 2,
                    width: None,
                })
            ),
            (Some(inches_16(12)), seven, None),
        ]
    );
}

#[test]
fn quarters_are_inches_in_a_metric_job_too() {
    let toml = "unit = \"mm\"\npieces = \"pieces.csv\"\nboards = \"boards.csv\"\n";
    let job = job(&[
        ("job.toml", toml),
        PIECES,
        (
            "boards.csv",
            "board;length;thickness\noak;2400;5/4\nash;2400;27,5\n",
        ),
    ]);
    assert_eq!(job.display.unit, Unit::Millimeter);
    assert_eq!(job.boards[0].thickness, Some(inches_16(20)));
    assert_eq!(job.boards[1].thickness, Some(Length::from_nm(27_500_000)));
}

#[test]
fn nominal_and_surfaced_exclude_each_other_and_surfaced_needs_a_thickness() {
    let faults = load(&[
        (
            "job.toml",
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n",
        ),
        PIECES,
        (
            "boards.csv",
            "board,length,nominal,surfaced\none,96,1x6,s2s\ntwo,96,,s2s\n",
        ),
    ]);
    assert_eq!(
        faults.expect_err("both boards are at fault"),
        "\
boards.csv, line 2, column `surfaced`: error: `surfaced` and `nominal` exclude each other (E108)
boards.csv, line 3, column `surfaced`: error: `surfaced` needs `thickness`, in quarters such as `4/4` (E112)
"
    );
}

#[test]
fn board_feet_are_charged_as_the_shop_says() {
    let table = "board,length,width,thickness,price\noak,8',6 1/2,4/4,6/bf\n";
    for (measure, minor) in [("exact", 2_600), ("surface", 2_400)] {
        let toml = format!(
            "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n[shop]\nboard-measure = \"{measure}\"\n"
        );
        let job = job(&[("job.toml", &toml), PIECES, ("boards.csv", table)]);
        // Derived: 6-1/2 in x 8 ft is 13/3 square feet, 4 as a whole number.
        let cost = crate::stock::board_cost(&job.boards[0]);
        assert_eq!(cost, Ok(Some(Money::from_minor(minor))));
        assert!(matches!(
            job.boards[0].price,
            Some(Price::PerBoardFoot { .. })
        ));
    }
}

#[test]
fn thicker_stock_is_true_or_false() {
    let toml = |value: &str| {
        format!(
            "pieces = \"pieces.csv\"\n[[boards]]\nboard = \"oak\"\nlength = 96\n\
             [[mouldings]]\nname = \"cap\"\nface-width = 2\nthickness = \"13/16\"\nthicker-stock = {value}\n"
        )
    };
    for (value, expected) in [("true", true), ("false", false)] {
        let job = job(&[("job.toml", &toml(value)), PIECES]);
        assert_eq!(job.mouldings[0].thicker_stock, expected);
    }
    let faults = load(&[("job.toml", &toml("1")), PIECES]).expect_err("1 is neither");
    assert!(
        faults.contains(": error: `thicker-stock` must be true or false, not a number (E007)"),
        "{faults}"
    );
}

/// What is said of a job with one moulding and one board.
fn report(rip: &str, moulding: &str, board: &str) -> String {
    let toml = format!(
        "[rip]\n{rip}\n[[mouldings]]\nname = \"cap\"\nface-width = 2\n{moulding}\n[[frames]]\nframe = \"Dunes\"\n\
         art-width = 10\nart-height = 12\n[[boards]]\nboard = \"oak\"\nlength = 96\n{board}\n"
    );
    let memory = Memory::new(&[("job.toml", &toml)]);
    match load_job(Path::new("job.toml"), &memory, Boards::Needed) {
        Ok((_, warnings)) => listed(&warnings),
        Err(faults) => listed(&faults),
    }
}

#[test]
fn what_no_board_can_be_ripped_to_is_told_with_what_would_do() {
    let narrow = report(
        "straightening = \"1/4\"\nplaning = \"1/16\"",
        "",
        "width = \"2 3/16\"",
    );
    assert!(
        narrow.contains(
            "error: no board suits moulding `cap`: the nearest, `oak`, has width `2 3/16 in`, less than a strip of \
             `2 1/16 in` and `1/4 in` for straightening (E304); \
             a board, `2 5/16 in` or more, or `2 in` to `2 1/8 in` (`plane-off`) wide, would do; a property that is left empty on \
             either side suits\n"
        ),
        "{narrow}"
    );
    let thick = report("", "thickness = \"13/16\"", "thickness = \"4/4\"");
    assert!(
        thick.contains("has thickness `1 in`, not `13/16 in`")
            && thick.contains("`thicker-stock = true` lets a moulding be planed down"),
        "{thick}"
    );
    let thin = report(
        "",
        "thickness = \"13/16\"\nthicker-stock = true",
        "thickness = \"3/4\"",
    );
    assert!(
        thin.contains("has thickness `3/4 in`, less than `13/16 in`")
            && thin
                .contains("; a board, `13/16 in` or more thick and `2 in` or more wide, would do"),
        "{thin}"
    );
    assert_eq!(report("straightening = \"1/4\"", "", "width = 2"), "");
    assert_eq!(
        report("straightening = \"1/4\"", "", "width = \"2 1/8\""),
        ""
    );
    assert_eq!(
        report("straightening = \"1/4\"", "", "width = \"2 1/4\""),
        ""
    );
}

/// What is said of a job with one piece and one board, widths as they stand in a table.
fn said(straightening: i64, planing: i64, plane_off: i64, piece: &str, board: &str) -> String {
    let toml = format!(
        "pieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\
         [rip]\nstraightening = \"{}\"\nplaning = \"{}\"\nplane-off = \"{}\"\n",
        sixteenths(straightening),
        sixteenths(planing),
        sixteenths(plane_off),
    );
    let memory = Memory::new(&[
        ("job.toml", &toml),
        (
            "pieces.csv",
            &format!("piece,length,width\nslat,10,{piece}\n"),
        ),
        (
            "boards.csv",
            &format!("board,length,width\noak,96,{board}\n"),
        ),
    ]);
    match load_job(Path::new("job.toml"), &memory, Boards::Needed) {
        Ok((_, warnings)) => listed(&warnings),
        Err(faults) => listed(&faults),
    }
}

#[test]
fn a_board_that_is_taken_whole_need_not_be_straightened() {
    assert_eq!(said(8, 0, 0, "", "1/2"), "");
    assert_eq!(said(8, 0, 0, "1/2", "1/2"), "");
    assert_eq!(said(8, 0, 2, "3/8", "1/2"), "");
    assert!(said(8, 0, 1, "3/8", "1/2").contains(": error: straightening takes `1/2 in` "));
}

/// So many sixteenths as a table has them.
fn sixteenths(count: i64) -> String {
    format!("{} {}/16", count / 16, count % 16)
}

proptest! {
    #![proptest_config(cases!())]

    #[test]
    fn the_width_that_would_do_does_and_nothing_less(
        straightening in 0_i64..24,
        planing in 0_i64..6,
        plane_off in 0_i64..5,
        piece in 4_i64..48,
        board in 1_i64..80,
    ) {
        let said = |board: &str| said(straightening, planing, plane_off, &sixteenths(piece), board);
        // Derived: a strip is as wide as the piece and the planing, and straightening comes off the board.
        let least = piece + planing + straightening;
        // What is no wider than the piece and what may be planed off its edge is not ripped.
        let planed = piece + plane_off;
        let is_whole = |board: i64| (piece..=planed).contains(&board);
        let report = said(&sixteenths(board));
        prop_assert_eq!(report.is_empty(), is_whole(board) || board >= least, "{}", report);
        if report.is_empty() {
            return Ok(());
        }
        let code = if board <= straightening { "E205" } else { "E304" };
        prop_assert!(report.contains(&format!("({code}); ")), "{report}");
        for hint in report.lines().filter_map(|line| line.split_once("); ")).map(|(_, hint)| hint) {
            let widths: Vec<&str> = hint
                .split('`')
                .filter(|quoted| quoted.ends_with(" in"))
                .collect();
            let n_widths = if least <= planed { 1 } else if plane_off > 0 { 3 } else { 2 };
            prop_assert_eq!(widths.len(), n_widths, "{}", hint);
            for width in widths {
                prop_assert_eq!(said(width), "", "{}", width);
            }
        }
        let too_little = said(&sixteenths(least - 1));
        prop_assert!(is_whole(least - 1) || !too_little.is_empty());
    }
}
