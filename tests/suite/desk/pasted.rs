//! Lists pasted from a spreadsheet.

use super::memory::Memory;
use longpoint::desk::{Edit, Heading, Refusal};

const JOB: &str = "frames = \"frames.csv\"\nboards = \"boards.csv\"\n\n[[mouldings]]\nname = \"cap\"\nface-width = \"1 1/4\"\n";
const BOARDS: &str = "board,length\nash,10 ft\n";

fn job(frames: &str) -> Memory {
    Memory::of(&[
        ("job.toml", JOB),
        ("frames.csv", frames),
        ("boards.csv", BOARDS),
    ])
}

fn paste(memory: &mut Memory, row: usize, column: Option<&str>, text: &str) -> Vec<String> {
    let table = memory.desk().table_of("frames").unwrap();
    let edit = Edit::Paste {
        table,
        row,
        column: column.map(Heading::from),
        text: text.to_owned(),
    };
    memory.edit(&edit).left_out
}

/// Thirty pictures as a spreadsheet copies them: quotes in a name are doubled, and the cell stands in quotes.
fn thirty(with_headings: bool) -> String {
    let mut text = String::new();
    if with_headings {
        text.push_str("Art Height\tFrame\tQty\tRemarks\tArt Width\r\n");
    }
    for number in 0..30 {
        let name = match number {
            3 => "\"Say \"\"hi\"\"\tagain\"".to_owned(),
            4 => "\"Two\nlines\"".to_owned(),
            _ => format!("Picture {number}"),
        };
        let (wide, high) = (format!("{} 3/8", 5 + number % 7), 10 + number % 5);
        text += &if with_headings {
            format!("{high}\t{name}\t2\tblue\t{wide}\r\n")
        } else {
            format!("{name}\t2\t{wide}\t{high}\r\n")
        };
    }
    text
}

#[test]
fn thirty_rows_are_pasted_below_with_headings_and_without() {
    for with_headings in [false, true] {
        let mut memory = job("frame,quantity,art-width,art-height\nPier,1,8,10\n");
        let left_out = paste(&mut memory, 1, None, &thirty(with_headings));
        assert_eq!(
            left_out,
            if with_headings {
                vec!["Remarks"]
            } else {
                vec![]
            }
        );
        let text = memory.text("frames.csv").to_owned();
        assert!(
            text.starts_with(
                "frame,quantity,art-width,art-height\nPier,1,8,10\nPicture 0,2,5 3/8,10\n"
            ),
            "{text}"
        );
        assert!(
            text.contains("\n\"Say \"\"hi\"\" again\",2,8 3/8,13\nTwo lines,2,9 3/8,14\n"),
            "{text}"
        );
        let desk = memory.desk();
        assert!(
            desk.faults
                .iter()
                .all(|fault| fault.diagnostic.code.starts_with('W')),
            "{:?}",
            desk.faults
        );
        assert_eq!(desk.sizes.unwrap().job.frames.len(), 31);
    }
}

#[test]
fn headings_bring_columns_that_the_table_lacks() {
    let mut memory = job("frame,art-width,art-height\nPier,8,10\n");
    paste(&mut memory, 0, None, "art-width\tmat-border\n9\t2\n7\t\n");
    assert_eq!(
        memory.text("frames.csv"),
        "frame,art-width,art-height,mat-border\nPier,9,10,2\n,7,,\n"
    );
    // A column of which nothing is pasted is not added.
    let mut memory = job("frame,art-width,art-height\nPier,8,10\n");
    paste(&mut memory, 0, None, "art-width\tmat-border\n9\t\n");
    assert_eq!(
        memory.text("frames.csv"),
        "frame,art-width,art-height\nPier,9,10\n"
    );
}

#[test]
fn cells_go_where_the_paste_begins() {
    let mut memory = job("frame,art-width,art-height\nPier,8,10\nWren,9,12\n");
    paste(&mut memory, 1, Some("art-width"), "1\t2\n3\t4");
    assert_eq!(
        memory.text("frames.csv"),
        "frame,art-width,art-height\nPier,8,10\nWren,1,2\n,3,4\n"
    );
    let desk = memory.desk();
    let table = desk.table_of("frames").unwrap();
    let paste = |column: &str, text: &str| {
        let edit = Edit::Paste {
            table,
            row: 0,
            column: Some(Heading::from(column)),
            text: text.to_owned(),
        };
        desk.change(&edit, &desk.version).unwrap_err()
    };
    assert_eq!(
        paste("art-width", "1\t2\t3"),
        Refusal::TooWide { pasted: 3, room: 2 }
    );
    assert_eq!(paste("frame", "\n\n"), Refusal::NothingToPaste);
}

#[test]
fn rows_are_pasted_into_a_job_file() {
    let mut memory = Memory::of(&[(
        "job.toml",
        "# Two.\n[[frames]]\nframe = \"Pier\"   # by the sea\nart-width = 8\nart-height = 10\n\n[saw]\nkerf = 0\n",
    )]);
    paste(
        &mut memory,
        0,
        None,
        "frame\tart-width\tquantity\nPier\t8 1/2\t3\nWren\t9\t\n",
    );
    assert_eq!(
        memory.text("job.toml"),
        "# Two.\n[[frames]]\nframe = \"Pier\"   # by the sea\nart-width = \"8 1/2\"\nart-height = 10\nquantity = 3\n\n[[frames]]\nframe = \"Wren\"\nart-width = \"9\"\n\n[saw]\nkerf = 0\n"
    );
}
