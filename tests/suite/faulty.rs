//! Every faulty job under `data/faulty` against the exact report that stands beside it.
//!
//! There is a folder for each code, and a test for each folder.

use std::env;
use std::fs;
use std::path::Path;

use crate::disk::Disk;
use longpoint::diag::{code, render};
use longpoint::load::{Boards, load_job};

/// What is said of the job in a folder of `data/faulty`, warnings included.
fn report(code: &str) -> String {
    let path = Path::new("data/faulty").join(code).join("job.toml");
    match load_job(&path, &Disk, Boards::Needed) {
        Ok((_, warnings)) => render(&warnings, false),
        Err(faults) => render(&faults, false),
    }
}

fn assert_report(code: &str) {
    let stored = Path::new("data/faulty").join(code).join("report.txt");
    let found = report(code);
    // For a change of words; every rewritten report is to be read, and a check of what is there never writes.
    if env::var_os("LONGPOINT_WRITE_REPORTS").is_some() && env::var_os("CI").is_none() {
        fs::write(&stored, &found).expect("the report can be written");
    }
    let expected = fs::read_to_string(&stored).expect("a report stands beside the job");
    assert_eq!(found, expected, "{}", stored.display());
    assert!(
        found.contains(&format!("\nguide: {code}\n")),
        "the report names its code"
    );
    for line in found.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

macro_rules! faulty_jobs {
    ($($name:ident => $code:literal,)*) => {
        $(
            #[test]
            fn $name() {
                assert_report($code);
            }
        )*

        const TESTED: &[&str] = &[$($code),*];
    };
}

faulty_jobs! {
    file_missing => "E001",
    file_is_directory => "E002",
    file_not_text => "E003",
    toml_syntax => "E005",
    unknown_key => "E006",
    wrong_type => "E007",
    missing_key => "E008",
    unknown_column => "E009",
    missing_column => "E010",
    duplicate_column => "E011",
    field_count => "E012",
    not_a_length => "E013",
    length_not_exact => "E014",
    length_range => "E015",
    not_a_quantity => "E016",
    not_a_price => "E017",
    not_allowed => "E018",
    open_quote => "E020",
    empty_field => "E021",
    bad_name => "E022",
    heading_open => "E027",
    date_for_length => "E028",
    no_sheet => "E029",
    not_a_date => "E030",
    not_of_a_shop => "E031",
    shop_misplaced => "E032",
    not_an_age => "E033",
    not_a_share => "E034",
    labels_do_not_fit => "E035",
    not_a_percentage => "E036",
    unknown_moulding => "E101",
    unknown_sheet => "E102",
    duplicate_moulding => "E103",
    duplicate_sheet => "E104",
    duplicate_frame => "E105",
    lip_too_wide => "E106",
    no_window => "E107",
    excludes => "E108",
    sides => "E109",
    no_border => "E110",
    moulding_needed => "E111",
    needs => "E112",
    no_sight => "E113",
    no_opposite_sides => "E114",
    unknown_wood => "E115",
    wood_needed => "E116",
    hook_in_sight => "E119",
    keys_too_thick => "E120",
    no_cover => "E121",
    unknown_spacer => "E122",
    duplicate_spacer => "E123",
    spacers_meet => "E124",
    oval_rails => "E125",
    duplicate_hardware => "E126",
    not_a_weight => "E127",
    duplicate_board => "E201",
    board_foot_size => "E202",
    trim_eats_board => "E203",
    board_too_dear => "E204",
    straightening_eats_board => "E205",
    nominal_size => "E206",
    a_way_names_an_unknown_board => "E210",
    two_ways_have_the_same_name => "E211",
    a_board_of_a_yards_list_has_no_price => "E212",
    too_many_ways_to_cut_at_the_yard => "E213",
    nothing_is_bought => "E214",
    not_defects => "E220",
    defect_misplaced => "E221",
    nothing_clear => "E222",
    the_trim_leaves_nothing_of_a_sheet => "E230",
    two_sheets_on_the_rack_have_the_same_label => "E231",
    a_size_of_a_sheet_has_no_price => "E232",
    no_parts => "E301",
    no_boards => "E302",
    part_too_long => "E303",
    no_suitable_board => "E304",
    too_many_parts => "E305",
    duplicate_piece => "E306",
    chain_too_long => "E307",
    the_chosen_board_does_not_suit => "E308",
    list_as_read => "N001",
    shallow_rabbet => "W101",
    no_effect => "W102",
    out_of_scale => "W103",
    no_play => "W104",
    a_price_out_of_proportion => "W105",
    thick_paper => "W106",
    price_missing => "W201",
    board_unused => "W202",
    whole_boards => "W203",
    wood_misspelled => "W210",
    beyond_the_vehicle => "W211",
    left_by_itself => "W212",
}

/// Codes of what cannot lie in a folder of small files; `load` tests them on files in memory, those of marks `cli`.
const TESTED_ELSEWHERE: &[&str] = &[
    "E004", "E019", "E023", "E024", "E025", "E026", "E401", "E402", "E403", "E404", "E405", "E406",
];

#[test]
fn every_code_has_its_test_and_every_folder_its_code() {
    let mut tested = [TESTED, TESTED_ELSEWHERE].concat();
    tested.sort_unstable();
    let all: Vec<&str> = code::ALL.iter().map(|entry| entry.code).collect();
    assert_eq!(tested, all);
    let mut folders: Vec<String> = fs::read_dir("data/faulty")
        .expect("the folder is part of the project")
        .map(|entry| {
            entry
                .expect("the folder can be read")
                .file_name()
                .into_string()
        })
        .map(|name| name.expect("the folders have plain names"))
        .collect();
    folders.sort_unstable();
    assert_eq!(folders, TESTED);
}
