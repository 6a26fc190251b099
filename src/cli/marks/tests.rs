use std::path::Path;

use super::*;
use crate::load::{Boards, FileFault, Files, load_job, read_marks, schema};
use crate::pipeline;
use crate::plan::Plan;
use crate::plan::certificate::Certificate;
use crate::report::csv::{cut_list_csv, rack_csv};
use crate::solve::Control;

/// One file in memory.
struct Text(&'static str);

impl Files for Text {
    fn read(&self, _: &Path) -> Result<Vec<u8>, FileFault> {
        Ok(self.0.as_bytes().to_vec())
    }
}

const JOB: Text = Text(
    "[[pieces]]\npiece = \"spacer\"\nlength = 20\nquantity = 5\n\
     [[boards]]\nboard = \"oak 7 ft\"\nlength = 84\n",
);

/// Five spacers of 20 in; derived: four and their kerfs fit 83 in, so that the plan has four cuts and one.
fn planned() -> Plan {
    let (job, _) = load_job(Path::new("job.toml"), &JOB, Boards::Needed).expect("a sound job");
    let control = Control {
        stop: &|| false,
        progress: &|_| {},
    };
    pipeline::plan(&job, &control).expect("a sound plan").plan
}

/// How many cuts texts of `--done` and `--spoiled` mark, and the codes and words of what is wrong with them.
fn mark(done: &[&str], spoiled: &[&str]) -> ((usize, usize), Vec<(&'static str, String)>) {
    let plan = planned();
    let bench = Bench::new(plan, Certificate::default());
    let mut faults = Diagnostics::default();
    let mut marked = Vec::new();
    for (option, texts, state) in [
        ("--done", done, State::Done),
        ("--spoiled", spoiled, State::Spoiled),
    ] {
        for text in texts {
            marked.append(&mut read_typed(
                option,
                text,
                state,
                Unit::Inch,
                &mut faults,
            ));
        }
    }
    let marks = find(&bench, &marked, &mut faults);
    let wrong = faults.into_sorted().into_iter();
    (
        (marks.done.len(), marks.spoiled.len()),
        wrong.map(|fault| (fault.code, fault.what)).collect(),
    )
}

#[test]
fn cuts_are_named_one_by_one_and_in_stretches() {
    assert_eq!(mark(&["oak 7 ft#1:1-3"], &["oak 7 ft # 2 : 1"]).0, (3, 1));
    assert_eq!(mark(&["oak 7 ft#1:1, 3", "oak 7 ft#1/1:3"], &[]).0, (2, 0));
    assert_eq!(mark(&["oak 7 ft#1:2-2"], &[]), ((1, 0), Vec::new()));
}

#[test]
fn everything_wrong_with_typed_cuts_is_told_at_once() {
    let texts = [
        "oak 7 ft#1:3-1",
        "oak 7 ft#1",
        "oak 7 ft:1",
        "oak 7 ft#one:1",
        "oak 7 ft#1/0:1",
        "oak 7 ft#1:1,",
        "oak 7 ft#1:2-4294967295",
        "oak 7 ft#4294967296:1",
        "ash#1:1",
    ];
    let (marked, wrong) = mark(&texts, &["oak 7 ft#1:2"]);
    let wrong: Vec<(&str, &str)> = wrong
        .iter()
        .map(|(code, what)| (*code, what.as_str()))
        .collect();
    assert_eq!(
        wrong,
        [
            ("E401", "cuts `3-1` run backward"),
            ("E401", "there is no `:` before the cuts"),
            (
                "E401",
                "`oak 7 ft` is not a chalk mark such as `G`, or `B4` for a strip of a ripped board"
            ),
            ("E401", "`one` is not a number of a board"),
            ("E401", "`0` is not a number of a strip"),
            ("E401", "`` is not a number of a cut"),
            ("E401", "`4294967296` is not a number of a board"),
            ("E402", "the plan has no cut 5 on strip 1 of `oak 7 ft` #1"),
            ("E402", "the plan has no cut 1 on strip 1 of `ash` #1"),
            (
                "E403",
                "cut 2 on strip 1 of `oak 7 ft` #1 is marked both as cut and as spoiled"
            ),
        ]
    );
    // Cuts 2, 3 and 4, before the one that is not there.
    assert_eq!(marked, (3, 0));
}

#[test]
fn a_mark_of_a_ripped_board_says_how_that_is_ripped() {
    let wrong = |plan: Plan, text: &str| -> Vec<(&'static str, String)> {
        let bench = Bench::new(plan, Certificate::default());
        let mut faults = Diagnostics::default();
        let marked = read_typed("--done", text, State::Done, Unit::Inch, &mut faults);
        find(&bench, &marked, &mut faults);
        let wrong = faults.into_sorted().into_iter();
        wrong.map(|fault| (fault.code, fault.what)).collect()
    };
    let ripped = || crate::report::samples::ripped().1;
    let unknown = |what: &str| vec![("E402", what.to_owned())];
    assert_eq!(
        wrong(ripped(), "A:1"),
        unknown("the plan has no cut A-1: board A is ripped, and its strips are A1 to A3")
    );
    assert_eq!(wrong(ripped(), "A1:1"), []);
    assert_eq!(wrong(ripped(), "A7:1"), unknown("the plan has no cut A7-1"));
    assert_eq!(wrong(ripped(), "B:1"), unknown("the plan has no cut B-1"));
    assert_eq!(
        wrong(planned(), "A2:1"),
        unknown("the plan has no cut A2-1: board A is one strip, A")
    );
}

#[test]
fn a_cut_that_is_not_there_comes_with_those_that_are() {
    let hint = |text: &str| {
        let bench = Bench::new(planned(), Certificate::default());
        let mut faults = Diagnostics::default();
        let marked = read_typed("--done", text, State::Done, Unit::Inch, &mut faults);
        find(&bench, &marked, &mut faults);
        let mut wrong = faults.into_sorted().into_iter();
        wrong.next().and_then(|fault| fault.hint)
    };
    let offered = hint("A:9").expect("there is one");
    // What is offered can be typed as it stands there.
    let typed = offered.split('`').nth(1).expect("it names cuts");
    assert!(typed.starts_with("A:1-"), "{typed}");
    assert_eq!(hint(typed), None);
    assert_eq!(hint("oak 7 ft#1:9"), Some(offered));
    let boards = hint("Z:1").expect("there are boards");
    assert!(boards.starts_with("the plan has"), "{boards}");
    assert_eq!(stretches(&BTreeSet::from([1, 2, 3, 5, 7, 8])), "1-3,5,7-8");
}

#[test]
fn a_spoiled_cut_may_have_a_good_length() {
    let good = |text: &'static str| {
        let (marked, wrong) = mark(&[], &[text]);
        (marked.1, wrong)
    };
    assert_eq!(good("A:1-2=16 1/2"), (2, Vec::new()));
    assert_eq!(good("oak 7 ft#1:4 = 20"), (1, Vec::new()));
    for (text, what) in [
        (
            "A:1=21",
            "cut A-1 is 20 in long, so not 21 in of it are good",
        ),
        ("A:1=", "the good length is not one: no length is given"),
        (
            "A:1=-3",
            "the good length is not one: a length must not be negative",
        ),
    ] {
        let (marked, wrong) = good(text);
        assert_eq!((marked, wrong.len()), (0, 1), "{text}");
        assert_eq!((wrong[0].0, &*wrong[0].1), ("E405", what), "{text}");
    }
    let (_, wrong) = mark(&["A:1=16"], &[]);
    assert_eq!(wrong[0].1, "cut A-1 is cut well, so all of it is good");
    let (_, wrong) = mark(&[], &["A:1=16", "A:1=15"]);
    assert_eq!(
        wrong[0],
        ("E403", "cut A-1 is marked with two good lengths".to_owned())
    );
}

#[test]
fn tables_that_are_written_have_the_columns_that_are_read() {
    let plan = planned();
    let header = |table: String| -> Vec<String> {
        let line = table.lines().next().unwrap_or_default();
        line.split(',').map(str::to_owned).collect()
    };
    let cut_list = header(cut_list_csv(&plan));
    for name in schema::MARKS.names() {
        assert_eq!(
            cut_list.iter().filter(|column| *column == name).count(),
            1,
            "{name}"
        );
    }
    assert_eq!(header(rack_csv(&plan)), schema::RACK.names());
}

/// What is wrong with a cut list in which every row is marked as cut.
fn mark_list(list: &str) -> Vec<(&'static str, String)> {
    struct List(String);
    impl Files for List {
        fn read(&self, _: &Path) -> Result<Vec<u8>, FileFault> {
            Ok(self.0.clone().into_bytes())
        }
    }
    let mut reader = csv::Reader::from_reader(list.as_bytes());
    let state = reader.headers().expect("a header").iter();
    let state = state.clone().position(|column| column == "state");
    let state = state.expect("a column for marks");
    let mut marked = csv::Writer::from_writer(Vec::new());
    marked
        .write_record(reader.headers().expect("a header"))
        .expect("memory takes all");
    for row in reader.records() {
        let row = row.expect("a row");
        let cells = row.iter().enumerate();
        let cells = cells.map(|(at, cell)| if at == state { "cut" } else { cell });
        marked.write_record(cells).expect("memory takes all");
    }
    let text = String::from_utf8(marked.into_inner().expect("memory takes all"));
    let mut faults = Diagnostics::default();
    let files = List(text.expect("only text is written"));
    let rows = read_marks(Path::new("cut-list.csv"), &files, Unit::Inch, &mut faults);
    let bench = Bench::new(planned(), Certificate::default());
    let marks = find(&bench, &rows, &mut faults);
    let wrong: Vec<_> = faults
        .into_sorted()
        .into_iter()
        .map(|fault| (fault.code, fault.what))
        .collect();
    assert_eq!(marks.done.len() == 5, wrong.is_empty());
    wrong
}

#[test]
fn a_list_of_another_plan_is_told_once() {
    let list = cut_list_csv(&planned());
    assert_eq!(mark_list(&list), []);
    assert_eq!(
        mark_list(&list.replace("spacer", "batten")),
        [(
            "E404",
            "cut A-1 makes `batten #1` in the list and `spacer #1` in the plan".to_owned()
        )]
    );
    assert_eq!(
        mark_list(&list.replace("oak 7 ft", "oak 8 ft")),
        [(
            "E404",
            "cut A-1 is of board `oak 8 ft` in the list and `oak 7 ft` in the plan".to_owned()
        )]
    );
}
