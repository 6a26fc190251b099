#![expect(clippy::unwrap_used, reason = "tests")]

use super::*;
use crate::length::Length;
use crate::plan::Plan;
use crate::report::document::{Block, Drawing, DrawnCut, Inline, Lead, Line, Row, Table, Text};
use crate::report::samples;
use crate::report::text::{Look, set};

/// A second renderer: one line for each thing that a document says, lengths in nanometers and money in minor units.
fn outline(document: &Document) -> Vec<String> {
    document.blocks.iter().flat_map(outline_block).collect()
}

fn outline_block(block: &Block) -> Vec<String> {
    match block {
        Block::Title(title, about) => {
            let mut lines = vec![format!("# {}", words(title))];
            lines.extend(about.as_ref().map(words));
            lines
        }
        Block::Heading(id, text) => vec![format!("## {} ({id})", words(text))],
        Block::Lines(lines) => lines.iter().map(outline_line).collect(),
        Block::Table(table) => outline_table(table),
        Block::Board(sheet) => {
            let mut lines = vec![format!(
                "{} x{} {} {}",
                words(&sheet.label),
                sheet.count,
                words(&sheet.name),
                words(&sheet.detail)
            )];
            lines.extend(sheet.drawings.iter().flat_map(outline_drawing));
            lines.extend(outline_table(&sheet.cuts));
            lines.extend(sheet.watch.as_ref().map(words));
            lines
        }
        Block::Panel(sheet) => {
            let mut lines = vec![format!(
                "{} x{} {} {}",
                words(&sheet.label),
                sheet.count,
                words(&sheet.name),
                words(&sheet.detail)
            )];
            lines.extend(outline_table(&sheet.cuts));
            lines
        }
        Block::Break => vec!["***".to_owned()],
    }
}

fn outline_line(line: &Line) -> String {
    match line.lead {
        Lead::None => words(&line.text),
        Lead::Item => format!("* {}", words(&line.text)),
    }
}

fn outline_table(table: &Table) -> Vec<String> {
    let heads: Vec<String> = table
        .columns
        .iter()
        .map(|column| words(&column.head))
        .collect();
    let row_lines = |row: &Row| {
        let cells = heads.iter().zip(&row.cells);
        let cells: Vec<String> = cells
            .filter(|(_, cell)| !cell.0.is_empty())
            .map(|(head, cell)| format!("{head}={}", words(cell)))
            .collect();
        let notes = row.notes.iter().map(|(_, note)| words(note));
        std::iter::once(cells.join(", "))
            .chain(notes)
            .collect::<Vec<_>>()
    };
    table.rows.iter().flat_map(row_lines).collect()
}

fn outline_drawing(drawing: &Drawing) -> Vec<String> {
    let cut = |cut: &DrawnCut| {
        let (from, to) = (cut.from.nm(), cut.to.nm());
        format!("{} {} {from}..{to}", cut.number, words(&cut.name))
    };
    let strips = drawing.strips.iter();
    strips
        .flat_map(|strip| strip.cuts.iter().map(cut))
        .collect()
}

fn words(text: &Text) -> String {
    let shown = |inline: &Inline| match inline {
        Inline::Words(words) | Inline::Name(words) | Inline::Listed(words) => words.clone(),
        Inline::Together(text) => words(text),
        Inline::Length(length, _) => format!("{}nm", length.nm()),
        Inline::Money(money) | Inline::Amount(money) => format!("{}minor", money.minor()),
        Inline::Count(count) => count.to_string(),
        other => format!("<{other:?}>"),
    };
    text.0.iter().map(shown).collect()
}

fn sheets() -> [Plan; 2] {
    let job = samples::job();
    let mut plan = samples::plan(&job);
    // The last board is not there: what is cut from it is missing.
    let gone = plan.boards.pop().unwrap();
    let missing = gone.cuts().map(|cut| cut.part).collect();
    [
        samples::plan_of(&job, plan.boards, missing),
        samples::ripped().1,
    ]
}

#[test]
fn every_cut_of_a_plan_is_in_its_document_at_its_exact_place() {
    for plan in sheets() {
        let sheet = plan_sheet(&Summary::new(&plan));
        let drawn = sheet.blocks.iter().filter_map(|block| match block {
            Block::Board(sheet) => Some(sheet),
            _ => None,
        });
        let mut places: Vec<(Length, Length)> = drawn
            .flat_map(|board| {
                let strips = board.drawings.iter().flat_map(|drawing| &drawing.strips);
                let cuts = strips.flat_map(|strip| &strip.cuts);
                let places: Vec<_> = cuts.map(|cut| (cut.from, cut.to)).collect();
                places.repeat(usize::try_from(board.count).unwrap())
            })
            .collect();
        let cuts = plan.boards.iter().flat_map(crate::plan::PlannedBoard::cuts);
        let mut expected: Vec<_> = cuts.map(|cut| (cut.from, cut.to)).collect();
        places.sort();
        expected.sort();
        assert_eq!(places, expected);
    }
}

#[test]
fn a_second_renderer_has_every_name_and_sum_of_the_plan() {
    for plan in sheets() {
        let summary = Summary::new(&plan);
        let text = outline(&plan_sheet(&summary)).join("\n");
        let job = &plan.job;
        let taken = plan
            .boards
            .iter()
            .map(|board| &job.boards[board.board_idx].name);
        let kept = summary.kept.iter().filter_map(|kept| kept.names.first());
        let frames = job.frames.iter().map(|frame| &frame.name);
        let pieces = job.pieces.iter().map(|piece| &piece.name);
        let mouldings = job.mouldings.iter().map(|moulding| &moulding.name);
        let names = taken
            .chain(kept)
            .chain(frames)
            .chain(pieces)
            .chain(mouldings);
        for name in names {
            assert!(text.contains(name.as_str()), "{name} in:\n{text}");
        }
        let price = summary.price.unwrap().minor();
        assert!(
            text.contains(&format!("{price}minor")),
            "{price} in:\n{text}"
        );
        for parts in crate::tally::group_missing(&plan) {
            assert!(text.contains(&format!("parts={}", parts.len())), "{text}");
        }
        assert!(text.contains(&job.title));
    }
}

#[test]
fn the_text_renderer_leaves_out_no_word_of_a_document() {
    for plan in sheets() {
        let sheet = plan_sheet(&Summary::new(&plan));
        let look = Look {
            width: 160,
            color: false,
            unicode: true,
        };
        let printed = set(&sheet, look);
        let drawn: Vec<&str> = printed.split_whitespace().collect();
        for text in texts(&sheet) {
            let words = text.0.iter().filter_map(|inline| match inline {
                Inline::Words(words) => Some(words),
                _ => None,
            });
            // Words beside a figure are printed as one with it.
            for word in words.flat_map(|words| words.split_whitespace()) {
                assert!(
                    drawn.iter().any(|drawn| drawn.contains(word)),
                    "{word} in:\n{printed}"
                );
            }
        }
    }
}

/// All texts of a document that are printed.
fn texts(document: &Document) -> Vec<&Text> {
    let mut texts = Vec::new();
    for block in &document.blocks {
        match block {
            Block::Title(title, about) => texts.extend(std::iter::once(title).chain(about)),
            Block::Heading(_, text) => texts.push(text),
            Block::Lines(lines) => texts.extend(lines.iter().map(|line| &line.text)),
            Block::Table(table) => texts.extend(cells(table)),
            Block::Board(sheet) => {
                texts.extend([&sheet.label, &sheet.name, &sheet.detail]);
                texts.extend(cells(&sheet.cuts));
                texts.extend(&sheet.watch);
            }
            Block::Panel(sheet) => {
                texts.extend([&sheet.label, &sheet.name, &sheet.detail]);
                texts.extend(cells(&sheet.cuts));
            }
            Block::Break => {}
        }
    }
    texts
}

fn cells(table: &Table) -> impl Iterator<Item = &Text> {
    table.rows.iter().flat_map(|row| {
        let notes = row.notes.iter().map(|(_, note)| note);
        row.cells.iter().chain(notes)
    })
}

#[test]
fn the_order_by_stop_has_each_setting_once_with_all_that_is_cut_at_it() {
    let job = samples::job();
    let plan = samples::plan(&job);
    let lines = outline(&order_sheet(&plan));
    let settings = lines.iter().filter(|line| line.contains("stop="));
    let settings: Vec<&str> = settings.map(String::as_str).collect();
    // As worked by hand beside the order itself.
    assert_eq!(
        settings,
        [
            "=1, stop=600075000nm, parts=4, pairs=2, board and cuts=A 1 2, B 1 2",
            "=2, stop=498475000nm, parts=4, pairs=2, board and cuts=A 3 4, B 3 4",
            "=3, stop=180159527nm, parts=6, pairs=3, board and cuts=C 1 2 3 4 5 6",
            "=4, stop=355600000nm, parts=2, pairs=1, board and cuts=D 1 2",
            "=5, stop=279400000nm, parts=2, pairs=1, board and cuts=D 3 4",
            "=6, stop=363537500nm, parts=1, board and cuts=E 1",
            "=7, stop=254000000nm, parts=5, board and cuts=E 2 3 4, F 1 2",
        ]
    );
    let wanted = [
        "7 settings; board by board 9.",
        "6 boards, picked up 10 times by stop; board by board each once.",
        "Harbor at dawn #1 right, left; Harbor at dawn #2 right, left",
        "## Plain wood, <Miter(Square)> (stops)",
    ];
    for line in wanted {
        assert!(lines.iter().any(|has| has == line), "{line}: {lines:#?}");
    }
}

#[test]
fn what_the_stop_measures_is_said_once_and_all_figures_follow() {
    let mut job = samples::job();
    job.shop.stop = crate::job::StopAt::Rabbet;
    let plan = samples::plan(&job);
    let by_stop = outline(&order_sheet(&plan));
    let by_board = outline(&plan_sheet(&Summary::new(&plan)));
    // Derived: 23-5/8 less twice 2 - 1/4 in is 20-1/8 in, 511175000 nm; the tray and the liner of plain wood have no rabbet.
    for (lines, start, end) in [
        (&by_stop, "=1, stop=511175000nm, parts=4", "B 1 2"),
        (&by_stop, "=4, stop=355600000nm, at=long point", "D 1 2"),
        (&by_stop, "=7, stop=254000000nm, parts=5", "F 1 2"),
        (
            &by_board,
            "cut=1, stop block=511175000nm, ends=<Miter(Corner { sides: 4 })>, from=",
            "#1 right; ",
        ),
        (
            &by_board,
            "cut=1, stop block=355600000nm, ends=<Miter(Corner { sides: 4 })>, long, ",
            "",
        ),
        (
            &by_board,
            "cut=2–4, stop block=254000000nm, ends=<Miter(Square)>, from",
            "",
        ),
        (
            &by_board,
            "=stop block, =set it by this, from wall to wall of the rabbet, ",
            "only show where those are",
        ),
    ] {
        let found = lines
            .iter()
            .any(|line| line.starts_with(start) && line.contains(end));
        assert!(found, "{start}: {lines:#?}");
    }
}

#[test]
fn a_later_sheet_that_leaves_nothing_has_no_chapter_of_what_is_left() {
    let chapter = |shortest_offcut: Length| {
        let mut job = samples::job();
        job.shop.shortest_offcut = shortest_offcut;
        job.boards[0].given.mark = Some(0);
        let plan = samples::plan(&job);
        let lines = outline(&plan_sheet(&Summary::new(&plan)));
        lines.into_iter().find(|line| line.ends_with("(wood)"))
    };
    let left = Some("## What is left of the wood (wood)".to_owned());
    assert_eq!(chapter(Length::INCH), left);
    assert_eq!(chapter(Length::LONGEST), None);
}
