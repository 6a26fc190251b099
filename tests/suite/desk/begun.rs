//! A job that begins from nothing.

use longpoint::desk::{Answers, Measures, NewBoard, NewMoulding, NewPicture, begin, starter};
use longpoint::length::Unit;

use super::memory::Memory;

fn answers() -> Answers {
    let text = str::to_owned;
    let picture = |name: &str, wide: &str, high: &str, mat: &str| NewPicture {
        name: text(name),
        quantity: text("2"),
        wide: text(wide),
        high: text(high),
        mat: text(mat),
        glazed: !mat.is_empty(),
    };
    Answers {
        title: text("Five \"pictures\""),
        measures: Measures::Inches,
        currency: text("EUR"),
        kerf: text("3/32"),
        moulding: NewMoulding {
            name: text("oak cap"),
            face_width: text("1 3/4"),
            lip: text("3/8"),
            material: text("oak"),
            thickness: text("13/16"),
            ..NewMoulding::default()
        },
        pictures: vec![
            picture("Pier, early", "8 1/2", "11", "2"),
            picture("Wren", "16", "20", ""),
        ],
        boards: vec![NewBoard {
            name: text("oak 8 ft"),
            length: text("8'"),
            price: text("21.50"),
            ..NewBoard::default()
        }],
    }
}

fn begun(answers: &Answers) -> Memory {
    let files = begin(answers).unwrap().files;
    Memory {
        job: files[0].0.clone(),
        files: files
            .into_iter()
            .map(|(path, text)| (path, text.into_bytes()))
            .collect(),
    }
}

#[test]
fn a_job_begins_from_a_few_answers() {
    let memory = begun(&answers());
    assert_eq!(
        memory.text("frames.csv"),
        "frame,quantity,art-width,art-height,moulding,mat-border,mat-bottom,mat,glazing,backing\n\
         \"Pier, early\",2,8 1/2,11,oak cap,2,,4-ply,glass,foam board\n\
         Wren,2,16,20,oak cap,,,,,\n"
    );
    assert_eq!(
        memory.text("boards.csv"),
        "board,material,thickness,length,quantity,price\noak 8 ft,oak,13/16,8',,21.50\n"
    );
    let desk = memory.desk();
    assert!(desk.faults.is_empty(), "{:?}", desk.faults);
    let job = desk.sizes.unwrap().job;
    assert_eq!(job.title, "Five \"pictures\"");
    assert_eq!(job.display.currency.code, "EUR");
    assert_eq!(job.mouldings[0].rabbet_depth, None);
    // What the starter job says of each setting stays.
    for remark in starter()[0].1.lines().filter(|line| line.starts_with('#')) {
        assert!(memory.text("job.toml").contains(remark), "{remark}");
    }
    assert!(
        memory
            .text("job.toml")
            .contains("# remove if you don't want the depth checked")
    );
}

#[test]
fn a_job_in_millimeters_has_metric_settings() {
    let mut answers = answers();
    answers.measures = Measures::Millimeters;
    answers.kerf = String::new();
    answers.moulding.face_width = "40".to_owned();
    answers.moulding.lip = "6".to_owned();
    answers.moulding.thickness = "20".to_owned();
    answers.pictures[0].wide = "210".to_owned();
    answers.pictures[0].high = "297".to_owned();
    answers.pictures[0].mat = "50".to_owned();
    answers.pictures[1].wide = "400".to_owned();
    answers.pictures[1].high = "500".to_owned();
    answers.boards[0].length = "2.4 m".to_owned();
    let memory = begun(&answers);
    let desk = memory.desk();
    assert!(desk.faults.is_empty(), "{:?}", desk.faults);
    let sizes = desk.sizes.unwrap();
    assert_eq!(sizes.job.display.unit, Unit::Millimeter);
    // 210 + 100 - 10 of lap is 300; with 3 of play, and 34 of moulding beyond the rabbet on each side, 371.
    assert_eq!(sizes.texts()[0].outside[0], "371");
}

#[test]
fn a_wrong_answer_is_a_fault_at_its_field() {
    let mut answers = answers();
    answers.pictures[0].wide = "eight".to_owned();
    let desk = begun(&answers).desk();
    let spots: Vec<_> = desk
        .faults
        .iter()
        .filter_map(|fault| fault.spot.row())
        .collect();
    assert_eq!(spots, [(desk.table_of("frames").unwrap(), 0)]);
    assert_eq!(desk.sizes.unwrap().job.frames.len(), 1);
    // Nothing answered is a job without frames and boards.
    let desk = begun(&Answers::default()).desk();
    assert!(desk.sizes.is_none());
    assert!(
        desk.faults
            .iter()
            .any(|fault| fault.diagnostic.code == "E301")
    );
}

#[test]
fn answers_are_told_in_json() {
    let text = r#"{"title":"A","measures":"millimeters","moulding":{"name":"cap","face-width":"40"},"pictures":[{"name":"Pier","glazed":true}]}"#;
    let answers: Answers = serde_json::from_str(text).unwrap();
    assert_eq!(answers.moulding.face_width, "40");
    assert!(serde_json::from_str::<Answers>(r#"{"colour":"red"}"#).is_err());
}
