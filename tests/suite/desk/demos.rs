//! Every demo: one cell or setting changed, and nothing else.

use std::fs;

use proptest::prelude::*;

use super::memory::{Memory, NASTY, as_cell, differ_in_one_line, differences, shown};
use longpoint::desk::{Edit, Heading};
use longpoint::load::schema::Kind;

const JOBS: [&str; 20] = [
    "data/badday/badday.toml",
    "data/color/color.toml",
    "data/figured/figured.toml",
    "data/grain/grain.toml",
    "data/knots/knots.toml",
    "data/miscut/miscut.toml",
    "data/offcuts/offcuts.toml",
    "data/quote/quote.toml",
    "data/rack/rack.toml",
    "data/reserve/reserve.toml",
    "data/rough/rough.toml",
    "data/shop/week-1/job.toml",
    "data/shop/week-2/job.toml",
    "data/show/show.toml",
    "data/spare/spare.toml",
    "data/starter/job.toml",
    "data/truck/home.toml",
    "data/truck/shop.toml",
    "data/truck/truck.toml",
    "data/turned/turned.toml",
];

/// The jobs that can be opened as such; the file of a shop is none.
fn jobs() -> Vec<&'static str> {
    let is_job = |path: &&str| !path.ends_with("shop.toml");
    JOBS.into_iter().filter(is_job).collect()
}

#[test]
fn all_demos_are_tried() {
    let mut found = Vec::new();
    let mut folders = vec!["data".to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.to_str().unwrap().to_owned();
            if path.is_dir() && name != "data/faulty" {
                folders.push(name);
            } else if path.extension().is_some_and(|it| it == "toml")
                && name != "data/shop/shop.toml"
            {
                found.push(name);
            }
        }
    }
    found.sort();
    assert_eq!(found, JOBS);
}

#[test]
fn every_row_of_every_demo_is_on_its_desk_and_is_sized() {
    for job in jobs() {
        let desk = Memory::on_disk(job).desk();
        let errors: Vec<String> = desk
            .faults
            .iter()
            .filter(|fault| fault.diagnostic.severity == longpoint::diag::Severity::Error)
            .map(|fault| fault.diagnostic.to_string())
            .collect();
        assert_eq!(errors, Vec::<String>::new(), "{job}");
        let frames = desk
            .tables
            .iter()
            .filter(|table| table.schema.name == "frames");
        let n_frames: usize = frames.map(|table| table.rows.len()).sum();
        let sizes = desk.sizes.as_ref().unwrap();
        assert_eq!(sizes.texts().len(), n_frames, "{job}");
        for sized in sizes.texts() {
            let name = desk.tables[sized.table].row_name(sized.row).unwrap();
            let frame = sizes
                .rows
                .iter()
                .position(|row| *row == (sized.table, sized.row));
            assert_eq!(sizes.job.frames[frame.unwrap()].name, name, "{job}");
        }
    }
}

#[test]
fn sizes_are_those_that_the_report_prints() {
    let desk = Memory::on_disk("data/show/show.toml").desk();
    let sizes = desk.sizes.as_ref().unwrap().texts();
    // The art is 8 by 10, the mat 2 all round and 2 1/2 below laps over it by 1/4: a package of 8 + 4 - 1/2 = 11 1/2 by
    // 10 + 4 1/2 - 1/2 = 14; with 1/8 of play, less a lip of 1/4 and more a face of 1 1/4 on each side, 13 5/8 by 16 1/8.
    assert_eq!(sizes[0].package, ["11 1/2", "14"]);
    assert_eq!(sizes[0].outside, ["13 5/8", "16 1/8"]);
    assert_eq!(sizes[0].sight, ["11 1/8", "13 5/8"]);
    assert_eq!(
        sizes[0].rails,
        [(2, "13 5/8".to_owned()), (2, "16 1/8".to_owned())]
    );
}

#[test]
fn a_row_with_a_fault_leaves_the_others_their_sizes() {
    for (job, table) in [
        ("data/show/show.toml", "frames"),
        ("data/shop/week-2/job.toml", "frames"),
    ] {
        let mut memory = Memory::on_disk(job);
        let desk = memory.desk();
        let table = desk.table_of(table).unwrap();
        let before = desk.sizes.unwrap().texts();
        memory.edit(&Edit::Cell {
            table,
            row: 1,
            column: Heading::from("art-width"),
            text: "12 1/".to_owned(),
        });
        let desk = memory.desk();
        let after = desk.sizes.unwrap().texts();
        let without: Vec<_> = before.into_iter().filter(|sizes| sizes.row != 1).collect();
        assert_eq!(after, without, "{job}");
    }
}

proptest! {
    #![proptest_config(cases!(60))]

    #[test]
    fn a_cell_is_changed_and_nothing_else(
        job in prop::sample::select(jobs()),
        (table, row, column) in any::<(prop::sample::Index, prop::sample::Index, prop::sample::Index)>(),
        text in prop::sample::select(NASTY.to_vec()),
    ) {
        let mut memory = Memory::on_disk(job);
        let desk = memory.desk();
        let filled: Vec<usize> = (0..desk.tables.len())
            .filter(|table| !desk.tables[*table].rows.is_empty())
            .collect();
        let table = filled[table.index(filled.len())];
        let of = &desk.tables[table];
        let row = row.index(of.rows.len());
        let column = column.index(of.columns.len());
        // A list is shown with one blank behind each comma.
        let known = of.columns[column].column;
        prop_assume!(known.is_none_or(|known| {
            !matches!(known.kind, Kind::Names | Kind::Boards | Kind::Places)
        }));
        let before = shown(&desk);
        let path = desk.files[of.file].path.to_str().unwrap().to_owned();
        let text_before = memory.text(&path).to_owned();
        let change = memory.edit(&Edit::Cell {
            table,
            row,
            column: Heading::At(column),
            text: text.to_owned(),
        });
        let place = format!(
            "{table} {} {row} {}",
            of.schema.name,
            if of.is_own_file { column.to_string() } else { of.columns[column].heading.clone() }
        );
        let after = shown(&memory.desk());
        let expected = as_cell(text);
        prop_assert_eq!(after.get(&place).map_or("", String::as_str), &expected);
        let others = differences(&before, &after);
        prop_assert!(others.is_empty() || others == [place], "{:?}", others);
        prop_assert!(differ_in_one_line(&text_before, memory.text(&path)));
        if expected == of.rows[row][column] {
            prop_assert!(change.texts.is_empty());
        }
    }

    #[test]
    fn a_setting_is_changed_and_nothing_else(
        job in prop::sample::select(jobs()),
        (form, field) in any::<(prop::sample::Index, prop::sample::Index)>(),
        text in prop::sample::select(NASTY.to_vec()),
    ) {
        let mut memory = Memory::on_disk(job);
        let desk = memory.desk();
        let form = form.index(desk.forms.len());
        let of = &desk.forms[form];
        let field = &of.fields[field.index(of.fields.len())];
        let is_list = field.column.is_some_and(|known| known.kind == Kind::Places);
        prop_assume!(!field.is_path && !is_list && field.key != "shop-file");
        let before = shown(&desk);
        let path = desk.files[of.file].path.to_str().unwrap().to_owned();
        let text_before = memory.text(&path).to_owned();
        memory.edit(&Edit::Setting { form, key: field.key.clone(), text: text.to_owned() });
        let place = format!("{} [{}] {}", of.file, of.schema.name, field.key);
        let after = shown(&memory.desk());
        prop_assert_eq!(after.get(&place).map_or("", String::as_str), &as_cell(text));
        let others = differences(&before, &after);
        prop_assert!(others.is_empty() || others == [place], "{:?}", others);
        // A table that was not there begins with an empty line and its header; all that was there stays.
        let begins = text_before.contains(&format!("[{}]", of.schema.name)) || of.schema.name.is_empty();
        if begins {
            prop_assert!(differ_in_one_line(&text_before, memory.text(&path)));
        } else {
            prop_assert!(memory.text(&path).starts_with(&text_before));
        }
    }

    #[test]
    fn rows_come_go_and_move(
        job in prop::sample::select(jobs()),
        table in any::<prop::sample::Index>(),
        (from, to) in any::<(prop::sample::Index, prop::sample::Index)>(),
    ) {
        let mut memory = Memory::on_disk(job);
        let desk = memory.desk();
        let filled: Vec<usize> = (0..desk.tables.len())
            .filter(|table| !desk.tables[*table].rows.is_empty())
            .collect();
        let table = filled[table.index(filled.len())];
        let rows = desk.tables[table].rows.clone();
        let (from, to) = (from.index(rows.len()), to.index(rows.len()));
        let path = desk.files[desk.tables[table].file].path.to_str().unwrap().to_owned();
        let text = memory.text(&path).to_owned();

        memory.edit(&Edit::MoveRow { table, row: from, to });
        let mut moved = rows.clone();
        let row = moved.remove(from);
        moved.insert(to, row);
        prop_assert_eq!(&memory.desk().tables[table].rows, &moved);
        let lines = |text: &str| {
            let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
            lines.sort();
            lines
        };
        prop_assert_eq!(lines(memory.text(&path)), lines(&text));
        memory.edit(&Edit::MoveRow { table, row: to, to: from });
        prop_assert_eq!(memory.text(&path), &text);

        // A row put in and taken out again leaves what was there, but perhaps for an empty line.
        let column = desk.tables[table].column(desk.tables[table].schema.columns[0].name);
        let column = column.unwrap_or(0);
        let cells = vec![(Heading::At(column), "new, with a comma".to_owned())];
        memory.edit(&Edit::AddRow { table, at: Some(from), cells });
        let desk = memory.desk();
        prop_assert_eq!(desk.tables[table].rows.len(), rows.len() + 1);
        prop_assert_eq!(&desk.tables[table].rows[from][column], "new, with a comma");
        memory.edit(&Edit::RemoveRow { table, row: from });
        prop_assert_eq!(&memory.desk().tables[table].rows, &rows);
        let filled_lines = |text: &str| {
            let lines = text.lines().filter(|line| !line.trim().is_empty());
            lines.map(str::to_owned).collect::<Vec<String>>()
        };
        prop_assert_eq!(filled_lines(memory.text(&path)), filled_lines(&text));

        memory.edit(&Edit::RemoveRow { table, row: from });
        let mut fewer = rows;
        fewer.remove(from);
        let left = memory.desk();
        let left = &left.tables[table].rows;
        prop_assert_eq!(left.len(), fewer.len());
    }
}
