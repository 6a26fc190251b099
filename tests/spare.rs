//! Spare rails: how many, how long, and that they are told from the rails of frames.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod disk;
mod texts;

use std::path::Path;

use disk::Disk;
use longpoint::job::{Ends, Job};
use longpoint::length::Length;
use longpoint::load::{Boards, load_job};
use longpoint::pipeline::plan;
use longpoint::report::csv_files::cut_list_csv;
use longpoint::solve::Control;
use texts::Texts;

/// Derived: art 8 x 10, face 1, lip 1/4, allowance 1/8: long points 9 5/8 and 11 5/8. Eight sides of 5: far shorter.
fn job(spare: &str, frames: &str) -> Job {
    let text = format!(
        "[[mouldings]]\nname = \"cap\"\nface-width = 1\nlip = \"1/4\"\nspare = {spare}\n\
         [[boards]]\nboard = \"b\"\nlength = 48\n{frames}"
    );
    load_job(
        Path::new("job.toml"),
        &Texts::from([("job.toml", text)]),
        Boards::Needed,
    )
    .unwrap()
    .0
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
            (piece.quantity, piece.is_spare),
            (quantity, true),
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
fn the_cut_list_of_the_demo_marks_its_spares() {
    let (job, _) = load_job(Path::new("data/spare/spare.toml"), &Disk, Boards::Needed).unwrap();
    let control = Control {
        stop: &|| false,
        progress: &|_| {},
    };
    let plan = plan(&job, &control).unwrap().plan;
    assert!(plan.missing.is_empty());
    let list = cut_list_csv(&job, &plan);
    let spares: Vec<&str> = list
        .lines()
        .filter(|line| line.contains(",spare,"))
        .collect();
    // Derived: a tenth of 12 rails, rounded up, and one.
    assert_eq!(spares.len(), 3, "{list}");
}
