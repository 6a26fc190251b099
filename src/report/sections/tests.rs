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
