//! Every faulty job: the fault stands at the field that its picture marks.

use std::fs;

use super::memory::Memory;
use longpoint::desk::{Desk, Edit, Fault, Heading, Spot};
use longpoint::diag::{Place, render};
use longpoint::load::{Boards, load_job};

/// Codes of faults that no field, row or table has.
const APART: [&str; 5] = ["E003", "E005", "E214", "E301", "E302"];

/// The text at a spot, where it is one.
fn text_at(desk: &Desk, spot: Spot) -> Option<&str> {
    match spot {
        Spot::Cell { table, row, column } => Some(&desk.tables[table].rows[row][column]),
        Spot::Setting { form, field } => Some(&desk.forms[form].fields[field].text),
        Spot::Column { table, column } => Some(&desk.tables[table].columns[column].heading),
        _ => None,
    }
}

/// What the place of a fault marks, as a cell would show it.
fn marked(place: &Place) -> Option<String> {
    match place {
        Place::Text {
            column,
            width,
            source,
            ..
        } => {
            let marked: String = source.chars().skip(column - 1).take(*width).collect();
            Some(marked.trim_matches(['"', '\'', '[', ']']).to_owned())
        }
        _ => None,
    }
}

fn key_of(desk: &Desk, spot: Spot) -> &str {
    match spot {
        Spot::Cell { table, column, .. } => &desk.tables[table].columns[column].heading,
        Spot::Setting { form, field } => &desk.forms[form].fields[field].key,
        _ => "",
    }
}

#[test]
fn every_fault_stands_where_its_picture_marks() {
    let mut n_fields = 0;
    for entry in fs::read_dir("data/faulty").unwrap() {
        let folder = entry.unwrap().path();
        let code = folder.file_name().unwrap().to_str().unwrap().to_owned();
        let memory = Memory::on_disk(&format!("data/faulty/{code}/job.toml"));
        let desk = memory.desk();
        // The words are those of the command line.
        let words: Vec<_> = desk
            .faults
            .iter()
            .map(|fault| fault.diagnostic.clone())
            .collect();
        let told = match load_job(&memory.job, &memory, Boards::Needed) {
            Ok((_, warnings)) => warnings,
            Err(faults) => faults,
        };
        assert_eq!(render(&words, false), render(&told, false), "{code}");
        let fault = desk
            .faults
            .iter()
            .find(|fault| fault.diagnostic.code == code);
        let Fault { diagnostic, spot } = fault.unwrap();
        let is_apart = matches!(spot, Spot::Apart | Spot::File(_));
        let is_of_file = matches!(diagnostic.place, Place::File(_));
        assert_eq!(
            is_apart,
            APART.contains(&code.as_str()) || is_of_file,
            "{code}: {spot:?}"
        );
        for Fault { diagnostic, spot } in &desk.faults {
            let Some(text) = text_at(&desk, *spot) else {
                continue;
            };
            n_fields += 1;
            if let Some(marked) = marked(&diagnostic.place) {
                // An unknown key is marked itself; of a list one item is.
                let key = key_of(&desk, *spot);
                let is_it = text == marked
                    || key == marked
                    || text.contains(marked.trim())
                    || marked.contains('\\');
                assert!(is_it, "{code}: {marked} is not {key} = {text}");
            } else {
                let place = diagnostic.place.to_string();
                let heading = match spot {
                    Spot::Cell { table, column, .. } | Spot::Column { table, column } => {
                        &desk.tables[*table].columns[*column].heading
                    }
                    _ => "",
                };
                assert!(
                    place.ends_with(&format!("column `{heading}`")),
                    "{code}: {place}"
                );
            }
        }
    }
    assert!(n_fields > 45, "{n_fields}");
}

#[test]
fn a_fault_in_a_column_far_to_the_right_stands_there() {
    let headings = "frame,art-width,art-height,quantity,sides,art-thickness,mat-border,mat-top,mat-right,mat-bottom,mat-left,\
        package-width,package-height,mount,overlap,mat-layers,reveal,mat,glazing,backing,tray-gap,grain,board";
    let frames = format!(
        "{headings}\nPier,8,10{}\nWren,8,10{},no\n",
        ",".repeat(20),
        ",".repeat(19)
    );
    let memory = Memory::of(&[
        (
            "job.toml",
            "frames = \"frames.csv\"\n[[mouldings]]\nname = \"cap\"\nface-width = 1\n[[boards]]\nboard = \"b\"\nlength = 96\n",
        ),
        ("frames.csv", &frames),
    ]);
    let desk = memory.desk();
    let table = desk.table_of("frames").unwrap();
    let spots: Vec<Spot> = desk.faults.iter().map(|fault| fault.spot).collect();
    assert_eq!(
        spots,
        [Spot::Cell {
            table,
            row: 1,
            column: 22
        }],
        "{:?}",
        desk.faults
    );
}

#[test]
fn mending_the_field_mends_the_fault() {
    let mut memory = Memory::on_disk("data/faulty/E013/job.toml");
    let desk = memory.desk();
    let Spot::Cell { table, row, column } = desk.faults[0].spot else {
        unreachable!("the length is at fault");
    };
    memory.edit(&Edit::Cell {
        table,
        row,
        column: Heading::At(column),
        text: "8 ft".to_owned(),
    });
    let mended = memory.desk();
    let spots: Vec<Spot> = mended.faults.iter().map(|fault| fault.spot).collect();
    assert_eq!(spots.len(), desk.faults.len() - 1);
    assert!(!spots.contains(&desk.faults[0].spot));
}
