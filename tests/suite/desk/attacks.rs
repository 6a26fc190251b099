//! Tables and job files as spreadsheets, editors and odd hands write them: what an edit makes of them is held against a
//! model of the table, and what it does not touch against its bytes.

use csv::ReaderBuilder;
use proptest::prelude::*;

use super::memory::{Memory, NASTY, as_cell, differ_in_one_line, shown};
use longpoint::desk::{Content, Desk, Edit, Heading, History, Refusal, Spot, Table};
use longpoint::diag::unguarded;
use longpoint::load::csv_delimiter;

const JOB: &str = "frames = \"frames.csv\"\n\n[[mouldings]]\nname = \"cap\"\nface-width = 1\n";

/// Tables of three columns or fewer, each written otherwise.
const TABLES: [&str; 20] = [
    "frame,art-width,art-height\nPier,8,10\nWren,9,12\n",
    "frame,art-width,art-height\r\nPier,8,10\r\nWren,9,12\r\n",
    "frame,art-width,art-height\rPier,8,10\rWren,9,12\r",
    "\u{feff}frame;art-width;art-height\r\nPier;29,7;42\r\nWren;9;12",
    "sep=;\r\nframe;art-width;art-height\r\nPier;29,7;42\r\n",
    "frame\tart-width\tart-height\nPier\t8\t10\nWren\t9\t12",
    "\"frame\",\"art-width\",\"art-height\"\n\"Pier, old\",\"8\",\"10\"\n\"say \"\"hi\"\"\",9,12\n",
    "frame,art-width,art-height\nPier,8\nWren\n",
    "frame,art-width,art-height\nPier,8,10,,,\nWren,9,12,more\n",
    "frame,art-width,art-height\n,,\nPier,8,10\n,,\n,,\n",
    "\n\nframe,art-width,art-height\n\n\nPier,8,10\n\n   \nWren,9,12\n\n",
    "frame,frame,art-width\nPier,x,10\nWren,,12\n",
    "frame,note,art-width\nPier,blue,10\nWren,,12\n",
    "frame\nPier\nWren\n\"\"\n",
    "frame,art-width,art-height",
    "frame,art-width,art-height\n\"two\nlines\",8,10\nWren,9,12\n",
    "Frame , Art Width,ART_HEIGHT\n Pier , 8 1/2,10\n",
    "frame,art-width,art-height\nb\"q\"b,8,10\n\"a\"b,9,12\n \"c\",7,7\n",
    "frame,art-width,art-height\n\u{645}\u{631}\u{62d}\u{628}\u{627},8,10\n'=x,9,12\n",
    "frame,art-width,art-height\nPier,8,10\n\"open,9,12\nWren,7,7\n",
];

fn files(table: &str) -> Memory {
    Memory::of(&[("job.toml", JOB), ("frames.csv", table)])
}

fn frames(desk: &Desk) -> (usize, &Table) {
    let table = desk.table_of("frames").unwrap();
    (table, &desk.tables[table])
}

/// What a table holds by the reader of tables alone: headings, then rows that have anything.
fn read(text: &str) -> Vec<Vec<String>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (start, delimiter) = csv_delimiter(text);
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(&text.as_bytes()[start..]);
    let rows = reader.records().map(|row| {
        let row = row.unwrap();
        let cells = row.iter().map(|cell| unguarded(cell.trim()).into_owned());
        cells.collect::<Vec<String>>()
    });
    rows.filter(|row| row.iter().any(|cell| !cell.is_empty()))
        .collect()
}

/// The rows of a table that have anything, without what is empty at their ends.
fn trimmed(rows: &[Vec<String>]) -> Vec<Vec<String>> {
    let rows = rows.iter().map(|row| {
        let filled = row.iter().rposition(|cell| !cell.is_empty());
        row[..filled.map_or(0, |last| last + 1)].to_vec()
    });
    rows.filter(|row| !row.is_empty()).collect()
}

#[test]
fn the_desk_reads_tables_as_the_reader_does() {
    for text in TABLES {
        let desk = files(text).desk();
        let (_, table) = frames(&desk);
        let read = read(text);
        let headings: Vec<&String> = table.columns.iter().map(|column| &column.heading).collect();
        assert_eq!(headings, read[0].iter().collect::<Vec<_>>(), "{text:?}");
        assert_eq!(trimmed(&table.rows), trimmed(&read[1..]), "{text:?}");
    }
}

/// One thing that is done to a table.
#[derive(Clone, Debug)]
enum Step {
    Cell(prop::sample::Index, prop::sample::Index, &'static str),
    Add(prop::sample::Index, &'static str),
    Remove(prop::sample::Index),
    Move(prop::sample::Index, prop::sample::Index),
    Widen(&'static str),
    Paste(prop::sample::Index),
}

fn step() -> impl Strategy<Value = Step> {
    let text = || prop::sample::select(NASTY.to_vec());
    let idx = any::<prop::sample::Index>;
    prop_oneof![
        4 => (idx(), idx(), text()).prop_map(|(row, column, text)| Step::Cell(row, column, text)),
        1 => (idx(), text()).prop_map(|(at, text)| Step::Add(at, text)),
        1 => idx().prop_map(Step::Remove),
        1 => (idx(), idx()).prop_map(|(from, to)| Step::Move(from, to)),
        1 => prop::sample::select(vec!["glazing", "quantity", "art-width"]).prop_map(Step::Widen),
        1 => idx().prop_map(Step::Paste),
    ]
}

/// Does a step to a table and to its model.
fn take(step: &Step, memory: &mut Memory) {
    let desk = memory.desk();
    let (table, of) = frames(&desk);
    let mut model = of.rows.clone();
    let mut headings: Vec<String> = of
        .columns
        .iter()
        .map(|column| column.heading.clone())
        .collect();
    let before = memory.text("frames.csv").to_owned();
    let n_rows = model.len();
    match step {
        Step::Cell(..) | Step::Remove(_) | Step::Move(..) if n_rows == 0 => return,
        Step::Cell(row, column, text) => {
            let (row, column) = (row.index(n_rows), column.index(headings.len()));
            model[row][column] = as_cell(text);
            let spans_lines = before.contains("\"two\n") || before.contains("\"open");
            memory.edit(&Edit::Cell {
                table,
                row,
                column: Heading::At(column),
                text: (*text).to_owned(),
            });
            assert!(
                spans_lines
                    || before.contains('\r') && !before.contains('\n')
                    || differ_in_one_line(&before, memory.text("frames.csv"))
            );
        }
        Step::Add(at, text) => {
            let at = at.index(n_rows + 1);
            let mut row = vec![String::new(); headings.len()];
            row[0] = as_cell(text);
            model.insert(at, row);
            memory.edit(&Edit::AddRow {
                table,
                at: Some(at),
                cells: vec![(Heading::At(0), (*text).to_owned())],
            });
        }
        Step::Remove(row) => {
            let row = row.index(n_rows);
            model.remove(row);
            memory.edit(&Edit::RemoveRow { table, row });
        }
        Step::Move(from, to) => {
            let (row, to) = (from.index(n_rows), to.index(n_rows));
            let moved = model.remove(row);
            model.insert(to, moved);
            memory.edit(&Edit::MoveRow { table, row, to });
        }
        Step::Widen(name) => {
            if of.column(name).is_none() {
                headings.push((*name).to_owned());
                let n = headings.len();
                for row in &mut model {
                    // A row that has a text beyond the last column has it in the new one then, behind an empty one.
                    if row.len() >= n {
                        row.insert(n - 1, String::new());
                    }
                    row.resize(row.len().max(n), String::new());
                }
            }
            let column = (*name).to_owned();
            memory.edit(&Edit::AddColumn { table, column });
        }
        Step::Paste(at) => {
            let at = at.index(n_rows + 1);
            let text = "\"p, q\"\r\nr\r\n";
            for (idx, cell) in ["p, q", "r"].into_iter().enumerate() {
                if at + idx == model.len() {
                    model.push(vec![String::new(); headings.len()]);
                }
                cell.clone_into(&mut model[at + idx][0]);
            }
            memory.edit(&Edit::Paste {
                table,
                row: at,
                column: None,
                text: text.to_owned(),
            });
        }
    }
    let desk = memory.desk();
    let (_, after) = frames(&desk);
    assert_eq!(
        after.rows,
        model,
        "{step:?} of {before:?} is {:?}",
        memory.text("frames.csv")
    );
    let after: Vec<&String> = after.columns.iter().map(|column| &column.heading).collect();
    assert_eq!(after, headings.iter().collect::<Vec<_>>());
    let text = memory.text("frames.csv");
    assert_eq!(text.starts_with('\u{feff}'), before.starts_with('\u{feff}'));
    assert_eq!(trimmed(&model), trimmed(&read(text)[1..]), "{text:?}");
}

proptest! {
    #![proptest_config(cases!(120))]

    #[test]
    fn a_table_is_what_its_model_is(
        table in prop::sample::select(TABLES.to_vec()),
        steps in prop::collection::vec(step(), 1..6),
    ) {
        let mut memory = files(table);
        for step in &steps {
            take(step, &mut memory);
        }
    }
}

#[test]
fn a_change_keeps_the_manner_of_its_table() {
    let cell = |row: usize, column: usize, text: &str| Edit::Cell {
        table: 0,
        row,
        column: Heading::At(column),
        text: text.to_owned(),
    };
    let cells = vec![
        (Heading::from("frame"), "Rook".to_owned()),
        (Heading::from("art-height"), "1,5".to_owned()),
    ];
    let add = |at| Edit::AddRow {
        table: 0,
        at,
        cells: cells.clone(),
    };
    for (before, edit, after) in [
        (
            TABLES[0],
            cell(0, 1, "12 3/8"),
            "frame,art-width,art-height\nPier,12 3/8,10\nWren,9,12\n",
        ),
        (
            TABLES[1],
            cell(1, 2, ""),
            "frame,art-width,art-height\r\nPier,8,10\r\nWren,9,\r\n",
        ),
        (
            TABLES[3],
            cell(1, 2, "1,5"),
            "\u{feff}frame;art-width;art-height\r\nPier;29,7;42\r\nWren;9;1,5",
        ),
        (
            TABLES[6],
            cell(0, 1, "9"),
            "\"frame\",\"art-width\",\"art-height\"\n\"Pier, old\",\"9\",\"10\"\n\"say \"\"hi\"\"\",9,12\n",
        ),
        (
            TABLES[7],
            cell(1, 2, "12"),
            "frame,art-width,art-height\nPier,8\nWren,,12\n",
        ),
        (
            TABLES[3],
            add(None),
            "\u{feff}frame;art-width;art-height\r\nPier;29,7;42\r\nWren;9;12\r\nRook;;1,5",
        ),
        (
            TABLES[1],
            add(Some(1)),
            "frame,art-width,art-height\r\nPier,8,10\r\nRook,,\"1,5\"\r\nWren,9,12\r\n",
        ),
        (
            TABLES[14],
            add(None),
            "frame,art-width,art-height\nRook,,\"1,5\"",
        ),
        (
            TABLES[5],
            Edit::RemoveRow { table: 0, row: 1 },
            "frame\tart-width\tart-height\nPier\t8\t10",
        ),
        (
            TABLES[5],
            Edit::MoveRow {
                table: 0,
                row: 1,
                to: 0,
            },
            "frame\tart-width\tart-height\nWren\t9\t12\nPier\t8\t10",
        ),
        (
            TABLES[4],
            Edit::AddColumn {
                table: 0,
                column: "glazing".to_owned(),
            },
            "sep=;\r\nframe;art-width;art-height;glazing\r\nPier;29,7;42;\r\n",
        ),
    ] {
        let mut memory = files(before);
        let table = frames(&memory.desk()).0;
        let edit = serde_json::to_string(&edit)
            .unwrap()
            .replace("\"table\":0", &format!("\"table\":{table}"));
        memory.edit(&serde_json::from_str(&edit).unwrap());
        assert_eq!(memory.text("frames.csv"), after, "{edit}");
    }
}

#[test]
fn a_table_that_is_empty_or_not_there_begins_with_its_first_row() {
    for table in [None, Some(""), Some("\n\n"), Some("\u{feff}")] {
        let mut memory = files(table.unwrap_or_default());
        if table.is_none() {
            memory.files.remove(std::path::Path::new("frames.csv"));
        }
        let desk = memory.desk();
        let (table_idx, of) = frames(&desk);
        assert!(of.is_own_file && of.rows.is_empty() && of.columns.is_empty());
        if table.is_none() {
            assert_eq!(desk.files[of.file].content, Content::Missing);
            let form = desk
                .forms
                .iter()
                .position(|form| form.schema.name.is_empty())
                .unwrap();
            let mut fields = desk.forms[form].fields.iter();
            let field = fields.position(|field| field.key == "frames").unwrap();
            assert!(
                desk.faults
                    .iter()
                    .any(|fault| fault.spot == Spot::Setting { form, field })
            );
        }
        memory.edit(&Edit::AddRow {
            table: table_idx,
            at: None,
            cells: vec![
                (Heading::from("frame"), "Pier".to_owned()),
                (Heading::from("art-height"), "10".to_owned()),
                (Heading::from("art-width"), "8".to_owned()),
            ],
        });
        let text = memory.text("frames.csv");
        assert!(
            text.ends_with("frame,art-width,art-height\nPier,8,10\n"),
            "{text:?}"
        );
        let desk = memory.desk();
        assert_eq!(desk.sizes.unwrap().rows.len(), 1);
    }
}

/// Job files that say the same in several ways, and lists in them.
const WRITTEN: [&str; 7] = [
    "title = \"x\"   # a name\n\n[saw]\nkerf = \"1/8\"  # measured\nend-trim = 0\n\n# The first.\n[[frames]]\nframe = 'Pier' # by the sea\nart-width = 8\nart-height = \"10\"\n\n# The second.\n[[frames]]\nframe = \"Wren\"\nart-width = 9\nart-height = 12\n\n[[mouldings]]\nname = \"cap\"\nface-width = 1\n",
    "saw.kerf = \"1/8\"\ntitle = \"x\"\nsaw.end-trim = 0\nframes = [{ frame = \"Pier\", art-width = 8, art-height = 10 }, { frame = \"Wren\", art-width = 9, art-height = 12 }]\n[[mouldings]]\nname = \"cap\"\nface-width = 1\n",
    "saw = { kerf = \"1/8\", end-trim = 0 }\nframes = [\n  { frame = \"Pier\", art-width = 8, art-height = 10 },\n  { frame = \"Wren\", art-width = 9, art-height = 12 },\n]\nmouldings = [{name='cap',face-width=1}]\n",
    "\u{feff}[saw]\r\nkerf = \"1/8\"\r\nend-trim = 0\r\n[[frames]]\r\nframe = \"Pier\"\r\nart-width = 8\r\nart-height = 10\r\n[[mouldings]]\r\nname = \"cap\"\r\nface-width = 1\r\n[[frames]]\r\nframe = \"Wren\"\r\nart-width = 9\r\nart-height = 12",
    "\"saw\".\"kerf\" = \"\"\"1/8\"\"\"\n[[\"frames\"]]\n\"frame\" = '''Pier'''\nart-width = 8\nart-height = 10\n[[ frames ]]\n  frame = \"W\\u0072en\"\n  art-width = 9\n  art-height = 12\n  note = 3\n[[mouldings]]\nname = \"cap\"\nface-width = 1",
    "[mouldings]\n[saw]\nkerf = 0.125\n[[frames]]\nframe = \"Pier\"\nmat.border = 2\n[[frames]]\nframe = \"Wren\"\n[frames.deep]\nx = 1\n[shop]\n",
    "",
];

proptest! {
    #![proptest_config(cases!(120))]

    #[test]
    fn a_job_file_is_changed_where_it_says_so(
        written in prop::sample::select(WRITTEN.to_vec()),
        steps in prop::collection::vec((0..7_usize, any::<prop::sample::Index>(), any::<prop::sample::Index>(), prop::sample::select(NASTY.to_vec())), 1..6),
    ) {
        let mut memory = Memory::of(&[("job.toml", written)]);
        for (what, one, other, text) in steps {
            let desk = memory.desk();
            let before = memory.text("job.toml").to_owned();
            let Some(table) = desk.table_of("frames") else { continue };
            let of = &desk.tables[table];
            let n_rows = of.rows.len();
            let keys = ["frame", "art-width", "quantity", "match-color", "mat-border", "note"];
            let column = Heading::from(keys[other.index(keys.len())]);
            let edit = match what {
                0 | 1 if n_rows > 0 => Edit::Cell { table, row: one.index(n_rows), column, text: text.to_owned() },
                2 => Edit::AddRow { table, at: Some(one.index(n_rows + 1)), cells: vec![(Heading::from("frame"), text.to_owned())] },
                3 if n_rows > 0 => Edit::RemoveRow { table, row: one.index(n_rows) },
                4 if n_rows > 0 => Edit::MoveRow { table, row: one.index(n_rows), to: other.index(n_rows) },
                5 => {
                    let form = one.index(desk.forms.len());
                    let fields = &desk.forms[form].fields;
                    Edit::Setting { form, key: fields[other.index(fields.len())].key.clone(), text: text.to_owned() }
                }
                _ => Edit::Paste { table, row: one.index(n_rows + 1), column: None, text: format!("{}\t{}", as_cell(text).replace('"', ""), "7") },
            };
            let change = match desk.change(&edit, &desk.version) {
                Ok(_) => memory.edit(&edit),
                // What cannot be done without harm is refused; then nothing has changed.
                Err(Refusal::Tangled(_) | Refusal::UnknownColumn(_) | Refusal::NothingToPaste) => continue,
                Err(other) => return Err(TestCaseError::fail(format!("{other:?}"))),
            };
            let after = memory.text("job.toml").to_owned();
            prop_assert_eq!(after.starts_with('\u{feff}'), before.starts_with('\u{feff}'));
            // Line ends are those of the file.
            let has_crlf = before.contains("\r\n");
            if has_crlf {
                prop_assert_eq!(after.matches('\n').count(), after.matches("\r\n").count());
            }
            // Every remark is still there, but those of a row that went.
            if !matches!(edit, Edit::RemoveRow { .. }) {
                for remark in ["# a name", "# measured", "# The first.", "# by the sea", "# The second."] {
                    prop_assert!(!before.contains(remark) || after.contains(remark), "{}", after);
                }
            }
            let desk_after = memory.desk();
            let Some(after_of) = desk_after.table_of("frames").map(|table| &desk_after.tables[table]) else { continue };
            let value = |of: &Table, row: usize, key: &str| {
                let at = of.columns.iter().position(|column| column.heading == key);
                at.map_or(String::new(), |at| of.rows[row][at].clone())
            };
            match &edit {
                Edit::Cell { row, column: Heading::Named(key), text, .. } => {
                    prop_assert_eq!(value(after_of, *row, key), as_cell(text), "{}", after);
                    prop_assert_eq!(after_of.rows.len(), n_rows);
                    let others: Vec<String> = super::memory::differences(&shown(&desk), &shown(&desk_after));
                    prop_assert!(others.len() <= 1, "{:?} {}", others, after);
                }
                Edit::AddRow { at, .. } => {
                    prop_assert_eq!(after_of.rows.len(), n_rows + 1);
                    prop_assert_eq!(value(after_of, at.unwrap(), "frame"), as_cell(text));
                }
                Edit::RemoveRow { row, .. } => {
                    prop_assert_eq!(after_of.rows.len(), n_rows - 1);
                    for other in 0..n_rows - 1 {
                        let was = if other < *row { other } else { other + 1 };
                        prop_assert_eq!(value(after_of, other, "frame"), value(of, was, "frame"));
                    }
                }
                Edit::MoveRow { row, to, .. } => {
                    prop_assert_eq!(value(after_of, *to, "frame"), value(of, *row, "frame"), "{}", after);
                }
                Edit::Setting { form, key, text } if desk.forms[*form].schema.column(key).is_some() => {
                    let field = desk_after.forms[*form].fields.iter().find(|field| field.key == *key);
                    let is_list = key == "yard-cuts";
                    if !is_list {
                        prop_assert_eq!(field.map(|field| field.text.clone()), Some(as_cell(text)), "{}", after);
                    }
                    let others = super::memory::differences(&shown(&desk), &shown(&desk_after));
                    prop_assert!(others.len() <= 1 || key == "shop-file", "{:?} {}", others, after);
                }
                Edit::Paste { row, .. } => {
                    prop_assert_eq!(value(after_of, *row, "frame"), as_cell(text).replace('"', "").trim().to_owned());
                }
                _ => {}
            }
            if change.texts.is_empty() {
                prop_assert_eq!(before, after);
            }
        }
    }
}

#[test]
#[expect(clippy::too_many_lines, reason = "a case for each manner of writing")]
fn a_key_is_written_as_its_file_writes_keys() {
    let setting = |memory: &Memory, table: &str, key: &str, text: &str| {
        let desk = memory.desk();
        let form = desk
            .forms
            .iter()
            .position(|form| form.schema.name == table)
            .unwrap();
        Edit::Setting {
            form,
            key: key.to_owned(),
            text: text.to_owned(),
        }
    };
    for (before, table, key, text, after) in [
        (
            "[saw]\nkerf = \"1/8\"  # measured\n",
            "saw",
            "kerf",
            "3/32",
            "[saw]\nkerf = \"3/32\"  # measured\n",
        ),
        (
            "[saw]\nkerf = '1/8'",
            "saw",
            "kerf",
            "3/32",
            "[saw]\nkerf = '3/32'",
        ),
        (
            "[saw]\nkerf = 0.125\n",
            "saw",
            "kerf",
            "0.1",
            "[saw]\nkerf = 0.1\n",
        ),
        (
            "[saw]\nkerf = 0.125\n",
            "saw",
            "kerf",
            "1/8",
            "[saw]\nkerf = \"1/8\"\n",
        ),
        (
            "[saw]\n  kerf = 1 # thin\n[shop]\n",
            "saw",
            "kerf",
            "",
            "[saw]\n# thin\n[shop]\n",
        ),
        (
            "[saw]\n  kerf = 1\n\n[shop]\n",
            "saw",
            "end-trim",
            "2",
            "[saw]\n  kerf = 1\n  end-trim = \"2\"\n\n[shop]\n",
        ),
        (
            "saw.kerf = 1\nunit = \"mm\"\n",
            "saw",
            "end-trim",
            "2",
            "saw.kerf = 1\nsaw.end-trim = \"2\"\nunit = \"mm\"\n",
        ),
        (
            "saw = { kerf = 1 }\n",
            "saw",
            "end-trim",
            "2",
            "saw = { kerf = 1, end-trim = \"2\" }\n",
        ),
        (
            "saw = { kerf = 1, end-trim = 2 }\n",
            "saw",
            "kerf",
            "",
            "saw = { end-trim = 2 }\n",
        ),
        (
            "unit = \"mm\"\r\n[shop]\r\n",
            "saw",
            "kerf",
            "3",
            "unit = \"mm\"\r\n[shop]\r\n\r\n[saw]\r\nkerf = \"3\"\r\n",
        ),
        (
            "unit = \"mm\"",
            "",
            "title",
            "A",
            "unit = \"mm\"\ntitle = \"A\"\n",
        ),
        (
            "# The job.\n\n# Its saw.\n[saw]\n",
            "",
            "title",
            "A",
            "# The job.\n\ntitle = \"A\"\n\n# Its saw.\n[saw]\n",
        ),
        (
            "# The job.\n",
            "",
            "title",
            "A",
            "# The job.\ntitle = \"A\"\n",
        ),
        ("", "", "date", "2026-11-26", "date = 2026-11-26\n"),
        (
            "frames = \"a.csv\"\n",
            "",
            "frames",
            "a.csv, b.csv",
            "frames = [\"a.csv\", \"b.csv\"]\n",
        ),
        (
            "title = \"A\"\n",
            "",
            "boards",
            "boards.csv",
            "title = \"A\"\nboards = \"boards.csv\"\n",
        ),
    ] {
        let mut memory = Memory::of(&[("job.toml", before)]);
        let edit = setting(&memory, table, key, text);
        memory.edit(&edit);
        assert_eq!(
            memory.text("job.toml"),
            after,
            "{key} = {text} in {before:?}"
        );
    }
}

#[test]
fn rows_of_a_job_file_are_written_as_it_writes_them() {
    let add = |at: Option<usize>, table: usize| Edit::AddRow {
        table,
        at,
        cells: vec![
            (Heading::from("name"), "new".to_owned()),
            (Heading::from("face-width"), "2".to_owned()),
        ],
    };
    let one = "[[mouldings]]\nname = \"a\"\n";
    for (before, at, after) in [
        (
            "",
            None,
            "[[mouldings]]\nname = \"new\"\nface-width = \"2\"\n",
        ),
        (
            "[saw]\n",
            None,
            "[saw]\n\n[[mouldings]]\nname = \"new\"\nface-width = \"2\"\n",
        ),
        (
            one,
            None,
            "[[mouldings]]\nname = \"a\"\n\n[[mouldings]]\nname = \"new\"\nface-width = \"2\"\n",
        ),
        (
            "# One.\n[[mouldings]]\nname = \"a\"\n",
            Some(0),
            "[[mouldings]]\nname = \"new\"\nface-width = \"2\"\n\n# One.\n[[mouldings]]\nname = \"a\"\n",
        ),
        (
            "mouldings = []\n",
            None,
            "mouldings = [{ name = \"new\", face-width = \"2\" }]\n",
        ),
        (
            "mouldings = [{ name = 'a' }]\n",
            Some(0),
            "mouldings = [{ name = \"new\", face-width = \"2\" }, { name = 'a' }]\n",
        ),
        (
            "mouldings = [\n\t{ name = 'a' },\n]\n",
            None,
            "mouldings = [\n\t{ name = 'a' },\n\t{ name = \"new\", face-width = \"2\" },\n]\n",
        ),
    ] {
        let mut memory = Memory::of(&[("job.toml", before)]);
        let table = memory.desk().table_of("mouldings").unwrap();
        memory.edit(&add(at, table));
        assert_eq!(memory.text("job.toml"), after, "{before:?}");
    }
}

#[test]
fn an_edit_of_older_files_is_refused_with_both() {
    let mut memory = files(TABLES[0]);
    let old = memory.desk();
    let table = frames(&old).0;
    let edit = |text: &str| Edit::Cell {
        table,
        row: 0,
        column: Heading::from("art-width"),
        text: text.to_owned(),
    };
    memory.edit(&edit("7"));
    let now = memory.desk();
    let refusal = now.change(&edit("6"), &old.version).unwrap_err();
    assert_eq!(
        refusal,
        Refusal::Older {
            made_on: old.version.clone(),
            now: now.version.clone(),
            stands: Some("7".to_owned()),
        }
    );
    assert_eq!(
        refusal.to_string(),
        "the files have changed meanwhile; `7` stands here now"
    );
    assert_ne!(old.version, now.version);
    // A table that goes is another version too.
    memory.files.remove(std::path::Path::new("frames.csv"));
    assert_ne!(memory.desk().version, now.version);
}

#[test]
fn nothing_is_taken_back_over_a_change_from_outside() {
    let mut memory = files(TABLES[0]);
    let desk = memory.desk();
    let (table, of) = frames(&desk);
    let path = desk.files[of.file].path.clone();
    let edit = Edit::RemoveRow { table, row: 1 };
    let change = desk.change(&edit, &desk.version).unwrap();
    let mut history = History::default();
    history.keep(&change);
    memory.write(&change);
    assert_eq!(history.says(), Some("Wren taken out"));
    let text = memory.text("frames.csv").to_owned();
    memory
        .files
        .insert(path.clone(), text.replace("Pier", "Mole").into_bytes());
    let refusal = history.undo(&memory.desk()).unwrap_err();
    assert_eq!(refusal, Refusal::ChangedSince(path.clone()));
    // The job file may change meanwhile.
    memory.files.insert(path, text.into_bytes());
    memory.files.insert(
        "job.toml".into(),
        format!("title = \"x\"\n{JOB}").into_bytes(),
    );
    let (back, history) = history.undo(&memory.desk()).unwrap();
    memory.write(&back);
    assert_eq!(memory.text("frames.csv"), TABLES[0]);
    assert_eq!(
        history.undo(&memory.desk()).unwrap_err(),
        Refusal::NothingToTakeBack
    );
    assert_eq!(history.says_again(), Some("Wren taken out"));
}

#[test]
fn the_history_is_limited() {
    let mut memory = files(TABLES[0]);
    let mut history = History::default();
    for step in 0..230 {
        let desk = memory.desk();
        let table = frames(&desk).0;
        let edit = Edit::Cell {
            table,
            row: 0,
            column: Heading::from("frame"),
            text: format!("name {step}"),
        };
        let change = desk.change(&edit, &desk.version).unwrap();
        memory.write(&change);
        history.keep(&change);
    }
    let mut n_back = 0;
    while let Ok((back, then)) = history.undo(&memory.desk()) {
        memory.write(&back);
        history = then;
        n_back += 1;
    }
    assert_eq!(n_back, 200);
    assert!(memory.text("frames.csv").contains("name 29,8"));
}

#[test]
fn a_file_that_is_no_toml_can_be_mended_as_a_text() {
    let broken = "frames = \"frames.csv\"\r\n[saw]\r\nkerf = 1/8\r\n";
    let mut memory = Memory::of(&[("job.toml", broken), ("frames.csv", TABLES[0])]);
    let desk = memory.desk();
    assert!(desk.tables.is_empty() && desk.forms.is_empty() && desk.sizes.is_none());
    assert_eq!(desk.faults[0].spot, Spot::File(0));
    // A browser gives lines that end in line feeds.
    let text = broken.replace("1/8", "\"1/8\"").replace("\r\n", "\n");
    memory.edit(&Edit::File { file: 0, text });
    assert_eq!(memory.text("job.toml"), broken.replace("1/8", "\"1/8\""));
    assert_eq!(frames(&memory.desk()).1.rows.len(), 2);
}

#[test]
fn what_is_not_there_is_refused() {
    let desk = files(TABLES[0]).desk();
    let table = frames(&desk).0;
    let refused = |edit: Edit| desk.change(&edit, &desk.version).unwrap_err();
    assert_eq!(
        refused(Edit::RemoveRow { table: 99, row: 0 }),
        Refusal::NotThere
    );
    assert_eq!(
        refused(Edit::RemoveRow { table, row: 2 }),
        Refusal::NotThere
    );
    assert_eq!(
        refused(Edit::MoveRow {
            table,
            row: 0,
            to: 2
        }),
        Refusal::NotThere
    );
    let cell = |row, column: Heading| Edit::Cell {
        table,
        row,
        column,
        text: "x".to_owned(),
    };
    assert_eq!(refused(cell(3, Heading::At(0))), Refusal::NotThere);
    assert_eq!(refused(cell(0, Heading::At(3))), Refusal::NotThere);
    assert_eq!(
        refused(cell(0, Heading::from("price"))),
        Refusal::UnknownColumn("price".to_owned())
    );
    let column = "price".to_owned();
    assert_eq!(
        refused(Edit::AddColumn { table, column }),
        Refusal::UnknownColumn("price".to_owned())
    );
    let setting = Edit::Setting {
        form: 0,
        key: "saw".to_owned(),
        text: "x".to_owned(),
    };
    assert_eq!(refused(setting), Refusal::UnknownKey("saw".to_owned()));
    assert_eq!(
        refused(Edit::File {
            file: 7,
            text: String::new()
        }),
        Refusal::NotThere
    );
}

#[test]
fn edits_are_told_in_json() {
    let text = r#"{"do":"cell","table":2,"row":5,"column":"art-width","text":"12 3/8"}"#;
    let edit: Edit = serde_json::from_str(text).unwrap();
    assert_eq!(serde_json::to_string(&edit).unwrap(), text);
    let text = r#"{"do":"add-row","table":1,"cells":[["frame","Pier"],[3,"8"]]}"#;
    let edit: Edit = serde_json::from_str(text).unwrap();
    assert!(matches!(edit, Edit::AddRow { at: None, ref cells, .. } if cells.len() == 2));
    for text in [
        r#"{"do":"cell","table":-1}"#,
        r#"{"do":"erase"}"#,
        r#"{"do":"remove-row","table":1,"row":0,"all":true}"#,
    ] {
        assert!(serde_json::from_str::<Edit>(text).is_err(), "{text}");
    }
}
