//! The page as a whole: its head, its chapters, its style and its script.

use askama::Template;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

use crate::compare::{Comparison, Exchange};
use crate::job::Job;
use crate::plan::{Plan, part_label};
use crate::replan::Bench;
use crate::report::document::{Block, Document, one_line};
use crate::report::sections::{left_sheet, plan_sheet, sheets_before, stations_sheet};
use crate::stations::{SawOrder, saw_order};
use crate::tally::Summary;

use super::words::Words;
use super::{boards, corners, document, first, frames, labels, pocket, stops, svg, ways, wood};

/// How figures and signs of a document look, wherever it is shown.
pub const FIGURES: &str = include_str!("figures.css");
const STYLE: &str = concat!(include_str!("figures.css"), include_str!("papers.css"));
const SCRIPT: &str = include_str!("ticks.js");

/// The whole page.
#[derive(Template)]
#[template(path = "page.html", config = "src/paper/askama.toml")]
struct Page<'a> {
    title: String,
    /// The title as a string of CSS.
    css_title: String,
    /// What the ticks of this plan are kept under.
    plan: String,
    content_policy: String,
    style: &'a str,
    svg_style: &'a str,
    script: &'a str,
    defs: String,
    label_grid: String,
    chapters: Vec<Chapter>,
}

struct Chapter {
    id: &'static str,
    /// In the list of chapters.
    short: &'static str,
    /// Over the chapter; the first has the title of the job.
    heading: Option<&'static str>,
    html: String,
}

/// The papers of a plan; what all of them are made from is reckoned once.
pub struct Papers<'s> {
    summary: &'s Summary<'s>,
    exchanges: &'s [Exchange],
    at_bench: Option<AtBench>,
    order: SawOrder,
    document: Document,
}

/// A later sheet at the bench.
pub(super) struct AtBench {
    /// Its number, from 1.
    pub(super) sheet: usize,
    /// What is to be said of the sheets before.
    pub(super) before: Document,
    /// What all sheets leave.
    left: Document,
}

impl<'s> Papers<'s> {
    /// Those of a plan.
    ///
    /// `exchanges` are what may stand in for a kind of board that is not there, of the plan by which one buys, see
    /// [`Aside::to_buy`](crate::plan::Aside::to_buy).
    pub fn new(summary: &'s Summary<'s>, exchanges: &'s [Exchange]) -> Papers<'s> {
        Papers {
            summary,
            exchanges,
            at_bench: None,
            order: saw_order(summary.plan),
            document: plan_sheet(summary),
        }
    }

    /// Those of the newest sheet of a bench, of which the plan is that one: on a later sheet there is only what is new, and
    /// the first page says which cuts of the sheets before are called off, and which stay.
    #[must_use]
    pub fn at_bench(self, bench: &Bench) -> Papers<'s> {
        let is_later = !bench.rounds().is_empty();
        Papers {
            at_bench: is_later.then(|| AtBench {
                sheet: bench.sheets().len(),
                before: sheets_before(bench),
                left: left_sheet(bench),
            }),
            ..self
        }
    }

    /// Whether they are those of a later sheet at a bench.
    pub fn is_of_rest(&self) -> bool {
        self.at_bench.is_some()
    }

    /// The plan.
    pub fn plan(&self) -> &'s Plan {
        self.summary.plan
    }

    /// The order in which it is sawn.
    pub fn order(&self) -> &SawOrder {
        &self.order
    }

    /// All papers as one page of HTML: nothing in it is fetched from elsewhere, and all of it can be read without its script,
    /// which only remembers ticks.
    ///
    /// # Panics
    /// If the exchanges are of another plan.
    pub fn page(&self) -> String {
        render(self).expect("a template that compiles renders into a string")
    }

    /// All boards as one drawing at true scale, those that are cut alike once.
    pub fn boards_svg(&self) -> String {
        let sheets = self.document.boards();
        let drawings =
            sheets.flat_map(|sheet| sheet.drawings.iter().map(move |drawing| (sheet, drawing)));
        let drawings: Vec<_> = drawings.collect();
        svg::true_scale::true_scale(&drawings, &self.document.display)
    }
}

fn render(papers: &Papers<'_>) -> askama::Result<String> {
    let Papers {
        summary,
        exchanges,
        at_bench,
        order,
        document: plan_document,
    } = papers;
    let plan = summary.plan;
    let job = &plan.job;
    let words = Words::new(&job.display);
    let stations = stations_sheet(summary);
    let stations: Vec<&Block> = stations
        .blocks
        .iter()
        .filter(|block| !matches!(block, Block::Title(..)))
        .collect();
    let left = at_bench.iter().flat_map(|at| &at.left.blocks);
    let notes: Vec<&Block> = notes(&plan_document.blocks, at_bench.is_some())
        .into_iter()
        .chain(left)
        .collect();
    let chapters = [
        (
            "first",
            "First",
            None,
            first::chapter(words, summary, order, plan_document, at_bench.as_ref())?,
        ),
        (
            "stations",
            "Stations",
            Some("Station by station"),
            document::blocks(words, &stations, ("station", 3))?,
        ),
        (
            "stops",
            "By stop",
            Some("By stop"),
            stops::chapter(words, plan, order)?,
        ),
        (
            "boards",
            "By board",
            Some("Board by board"),
            boards::chapter(words, summary, plan_document)?,
        ),
        (
            "sheets",
            "Sheets",
            Some("Sheet by sheet"),
            document::blocks(words, &of_sheets(&plan_document.blocks), ("sheet", 3))?,
        ),
        (
            "frames",
            "Frames",
            Some("Frame by frame"),
            frames::chapter(words, plan)?,
        ),
        (
            "labels",
            "Labels",
            Some("Labels"),
            labels::chapter(words, plan, order)?,
        ),
        (
            "corners",
            "Corners",
            Some("Corners"),
            corners::chapter(plan)?,
        ),
        (
            "notes",
            "Notes",
            Some("Wood and notes"),
            wood::bar(summary) + &document::blocks(words, &notes, ("note", 3))?,
        ),
        (
            "pocket",
            "Pocket",
            Some("For the pocket"),
            pocket::chapter(
                words,
                summary.aside.to_buy(plan),
                exchanges,
                if at_bench.is_some() {
                    &[]
                } else {
                    &summary.materials
                },
            )?,
        ),
    ];
    assemble(job, plan_key(plan), chapters)
}

/// The ways of buying of a job as one page; `sheet` is what the comparison says in words.
///
/// # Panics
/// If `comparison` is not of `job`.
pub fn ways_page(job: &Job, comparison: &Comparison, sheet: &Document) -> String {
    let words = Words::new(&job.display);
    let page = ways::chapter(words, job, comparison, sheet).and_then(|html| {
        let chapters = [("ways", "Ways of buying", Some("Ways of buying"), html)];
        assemble(job, "ways".to_owned(), chapters)
    });
    page.expect("a template that compiles renders into a string")
}

/// The quote for a customer as one page; `sheet` is what it says.
///
/// # Panics
/// Never: its template compiles.
pub fn quote_page(job: &Job, sheet: &Document) -> String {
    let words = Words::new(&job.display);
    let said = sheet.blocks.iter();
    let said: Vec<&Block> = said
        .filter(|block| !matches!(block, Block::Title(..)))
        .collect();
    let page = document::blocks(words, &said, ("price", 2)).and_then(|html| {
        let chapters = [("price", "Price", None, html)];
        assemble(job, "price".to_owned(), chapters)
    });
    page.expect("a template that compiles renders into a string")
}

/// What a page of papers may load and run: its own style, and its own script. The page says so itself, and whoever serves it
/// says no more and no less.
pub fn content_policy() -> String {
    let script = STANDARD.encode(Sha256::digest(SCRIPT));
    format!(
        "default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{script}'; base-uri 'none'; form-action 'none'"
    )
}

/// Chapters by id, name in the list, heading and content; those without any are left out.
fn assemble(
    job: &Job,
    plan: String,
    chapters: impl IntoIterator<Item = (&'static str, &'static str, Option<&'static str>, String)>,
) -> askama::Result<String> {
    let title = one_line(&job.title);
    Page {
        css_title: css_string(&title),
        title,
        plan,
        content_policy: content_policy(),
        style: STYLE,
        svg_style: svg::CSS,
        script: SCRIPT,
        defs: svg::defs(),
        label_grid: labels::grid_style(&job.labels),
        chapters: chapters
            .into_iter()
            .filter(|(.., html)| !html.trim().is_empty())
            .map(|(id, short, heading, html)| Chapter {
                id,
                short,
                heading,
                html,
            })
            .collect(),
    }
    .render()
}

/// What the plan says beside boards, cuts, sheets and what was found: the chapters before have these. On a later sheet what
/// goes on the rack is told of all sheets together.
fn notes(blocks: &[Block], is_later: bool) -> Vec<&Block> {
    under(blocks, |id| {
        let is_elsewhere = matches!(id, "boards" | "cuts" | "sheets");
        !is_elsewhere && (!is_later || id != "rack")
    })
}

/// What the plan says of glass and board.
fn of_sheets(blocks: &[Block]) -> Vec<&Block> {
    under(blocks, |id| id == "sheets")
}

/// What stands under some headings, by their kinds.
fn under(blocks: &[Block], is_wanted: impl Fn(&str) -> bool) -> Vec<&Block> {
    let mut is_shown = false;
    let shown = blocks.iter().filter(|block| {
        if let Block::Heading(id, _) = block {
            is_shown = is_wanted(id);
        }
        is_shown
    });
    shown.collect()
}

/// By what the ticks of a plan are remembered: the same cuts at the same places are the same plan.
fn plan_key(plan: &Plan) -> String {
    let mut sum = Sha256::new();
    sum.update(&plan.job.title);
    for board in &plan.boards {
        let name = &plan.job.boards[board.board_idx].name;
        sum.update(format!("\nboard {name} {}", board.number));
        for stretch in &board.stretches {
            sum.update(format!(
                "\nstretch {} {}",
                stretch.from.nm(),
                stretch.to.nm()
            ));
        }
        for strip in &board.strips {
            sum.update(format!(
                "\nstrip {} {}",
                strip.stretch,
                strip.from_edge.nm()
            ));
            for cut in &strip.cuts {
                let part = part_label(&plan.job, cut.part);
                sum.update(format!("\n{part} {} {}", cut.from.nm(), cut.to.nm()));
            }
        }
    }
    let sum = sum.finalize();
    sum.iter()
        .take(8)
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// A text as a string of CSS in which nothing can end it, nor the style that holds it: all but letters, digits and blanks by
/// their numbers (CSS Syntax 3, section 4.3.7).
fn css_string(text: &str) -> String {
    let written = text.chars().map(|sign| match sign {
        ' ' => " ".to_owned(),
        _ if sign.is_ascii_alphanumeric() => sign.to_string(),
        _ => format!("\\{:x} ", u32::from(sign)),
    });
    format!("\"{}\"", written.collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_cannot_leave_its_string_of_css() {
        let written = css_string("a\"}</style><script>\\ é");
        assert_eq!(
            written,
            "\"a\\22 \\7d \\3c \\2f style\\3e \\3c script\\3e \\5c  \\e9 \""
        );
        assert_eq!(written.matches('"').count(), 2);
    }
}
