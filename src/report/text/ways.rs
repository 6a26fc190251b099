//! Ways of buying: the answer first, then the ways side by side, then each wood by itself.

mod answer;

use crate::compare::{Comparison, Reasons, Row, Way};
use crate::job::{Buying, Job};
use crate::plan::Measure;
use crate::report::figures::{board_feet, gap, percent, percent_of_gap};
use crate::report::ink::{Look, Tone};
use crate::report::layout::{capitalized, one_line, tie};
use crate::report::table::{Align, Table};
use crate::report::way_lines::{WayLine, by_wood, left_behind};
use crate::report::way_words::{label_length, short_name, way_name, wood_name};

use super::page::Page;
use super::{buying, opening, reasons};

/// Columns of the longest bar.
const BAR: usize = 8;

/// Ways of buying side by side.
///
/// With `reasons` also what the best mix depends on; `with_lists` also what else the job needs and what each frame costs.
/// No line is wider than `look.width` columns (80 at least), whatever the names and lengths.
///
/// # Panics
/// If `comparison` or `reasons` are not of `job` and `buying`.
pub fn ways_text(
    job: &Job,
    buying: &Buying,
    comparison: &Comparison,
    reasons: Option<&Reasons>,
    with_lists: bool,
    look: Look,
) -> String {
    let mut page = Page::new(job, look);
    let view = View {
        job,
        buying,
        comparison,
    };
    opening::write_title(&mut page, job);
    page.space();
    view.write_answer(&mut page);
    view.write_whole(&mut page);
    view.write_woods(&mut page);
    view.write_use(&mut page);
    let best = comparison.best();
    let name = way_name(job, buying, comparison, &best.way);
    buying::write_yard_list(&mut page, best, &name);
    if let Some(reasons) = reasons {
        reasons::write(&mut page, job, comparison, reasons);
    }
    if with_lists {
        buying::write_needs(&mut page, best, buying);
        buying::write_shares(&mut page, best, buying);
    }
    page.into_text()
}

/// What all sections read.
struct View<'a> {
    job: &'a Job,
    buying: &'a Buying,
    comparison: &'a Comparison,
}

impl View<'_> {
    fn line(&self, row: &Row) -> WayLine {
        WayLine::new(self.job, self.buying, self.comparison, row, None)
    }

    /// A difference in a column: nothing as a dash, less with its sign.
    fn more(&self, page: &Page<'_>, difference: i64) -> String {
        if difference == 0 {
            return page.ink.rule().to_owned();
        }
        let measure = self.comparison.measure();
        let sign = if difference < 0 { "-" } else { "" };
        let amount = page.figures.worth_amount(measure, difference.abs());
        format!("{sign}{amount}")
    }

    /// Boards by length: `7 × 6 ft, 1 × 8 ft, 2 from the rack`.
    fn boards(&self, page: &Page<'_>, line: &WayLine) -> String {
        let mut boards: Vec<String> = line
            .bought
            .iter()
            .map(|&(length, count)| {
                tie(&format!(
                    "{count} {} {}",
                    page.ink.times(),
                    label_length(self.job, length)
                ))
            })
            .collect();
        if line.n_from_rack > 0 {
            boards.push(tie(&format!("{} from the rack", line.n_from_rack)));
        }
        if boards.is_empty() {
            boards.push("none".to_owned());
        }
        boards.join(", ")
    }

    fn money_head(&self, page: &Page<'_>) -> String {
        match self.comparison.measure() {
            Measure::Price => page.money_head(),
            Measure::BoardLength => "length".to_owned(),
        }
    }

    fn money(page: &Page<'_>, line: &WayLine) -> String {
        match line.money {
            Some(money) => page.figures.amount(money),
            None => page.figures.total(line.length),
        }
    }

    fn columns(&self, page: &Page<'_>, first: &str, boards: Align) -> Table {
        Table::new()
            .column(first, Align::Name, Tone::Strong)
            .column("boards", boards, Tone::Plain)
            .column(&self.money_head(page), Align::Right, Tone::Strong)
            .column("more", Align::Right, Tone::Plain)
            .column("", Align::Left, Tone::Watch)
            .column("proof", Align::Left, Tone::Faint)
    }

    /// What a row adds to a table of ways, its bar no longer than that of `most`.
    fn cells(
        &self,
        page: &Page<'_>,
        (line, boards): (&WayLine, String),
        more: Option<i64>,
        most: i64,
    ) -> Vec<String> {
        let money = if line.n_missing == 0 {
            Self::money(page, line)
        } else {
            String::new()
        };
        vec![
            line.name.clone(),
            boards,
            money,
            more.map_or_else(String::new, |more| self.more(page, more)),
            more.map_or_else(String::new, |more| bar(page, more, most)),
            proof_word(line),
        ]
    }

    /// What is bought of each wood: `walnut 13/16: 7 × 6 ft; ash 1 1/16: 4 × 10 ft`.
    fn boards_by_wood(&self, page: &Page<'_>, row: &Row) -> String {
        let woods = by_wood(self.job, self.buying, self.comparison, row);
        let woods: Vec<String> = woods
            .iter()
            .map(|(name, line)| format!("{}: {}", tie(name), self.boards(page, line)))
            .collect();
        if woods.is_empty() {
            return "no boards".to_owned();
        }
        woods.join("; ")
    }

    fn write_whole(&self, page: &mut Page<'_>) {
        let one_wood = self.comparison.woods.len() == 1;
        let rows: Vec<&Row> = self
            .comparison
            .rows
            .iter()
            .filter(|row| match row.way {
                Way::OneLength { .. } => one_wood && row.is_complete(),
                _ => true,
            })
            .collect();
        page.heading("Ways of buying");
        let best = self.comparison.best();
        let best_boards = self.boards_by_wood(page, best);
        // What is bought of several woods has no room in a column.
        let boards = if one_wood { Align::Prose } else { Align::Right };
        let mut table = self.columns(page, "way", boards);
        let differences = || rows.iter().map(|row| self.comparison.difference(row));
        let most = differences().flatten().max().unwrap_or(0);
        for (row, more) in rows.iter().zip(differences()) {
            let line = self.line(row);
            if one_wood {
                let boards = self.boards(page, &line);
                table.row(self.cells(page, (&line, boards), more, most));
            } else {
                let boards = line.n_boards.to_string();
                table.row(self.cells(page, (&line, boards), more, most));
                // The answer above has those of the cheapest.
                if !std::ptr::eq(*row, best) {
                    let boards = self.boards_by_wood(page, row);
                    let is_same = boards == best_boards;
                    let note = if is_same {
                        format!("the same boards as {}", self.line(best).name)
                    } else {
                        boards
                    };
                    table.note(Tone::Plain, note);
                }
            }
            let too_long = left_behind(self.job, self.buying, &row.way);
            if !too_long.is_empty() {
                let names: Vec<String> = too_long.iter().map(|name| tie(&one_line(name))).collect();
                let names = names.join(", ");
                table.note(Tone::Watch, format!("too long for the vehicle: {names}"));
            }
        }
        page.table(2, &table);
        let mut legend = match self.comparison.measure() {
            Measure::Price => {
                "more: than the cheapest; proof: proved that nothing bought in this way is cheaper"
            }
            Measure::BoardLength => {
                "more: than the shortest; proof: proved that nothing bought in this way is shorter"
            }
        }
        .to_owned();
        if rows.iter().any(|row| !row.is_proved() && row.is_complete()) {
            legend.push_str(", or by how much at most it may be");
        }
        if rows.iter().any(|row| !row.is_complete()) {
            legend.push_str("; short: parts without wood");
        }
        if !self.comparison.not_found.is_empty() {
            let ways: Vec<String> = self
                .comparison
                .not_found
                .iter()
                .map(|way| tie(&way_name(self.job, self.buying, self.comparison, way)))
                .collect();
            page.space();
            page.prose(
                2,
                Tone::Watch,
                &format!("Nothing found that cuts all parts: {}.", ways.join(", ")),
            );
        }
        if one_wood {
            self.write_too_few(page, 0);
        }
        let useless: Vec<String> = self
            .comparison
            .useless_boards()
            .map(|board| tie(&one_line(&board.name)))
            .collect();
        if !useless.is_empty() {
            page.space();
            let useless = format!("Of no use for any part: {}.", useless.join(", "));
            page.prose(2, Tone::Watch, &useless);
        }
        page.space();
        page.prose(2, Tone::Faint, &format!("{legend}."));
    }

    fn write_woods(&self, page: &mut Page<'_>) {
        if self.comparison.woods.len() == 1 {
            return;
        }
        for (wood_idx, wood) in self.comparison.woods.iter().enumerate() {
            let rows: Vec<&Row> = self
                .comparison
                .rows
                .iter()
                .filter(|row| is_single(row, wood_idx))
                .collect();
            if rows.is_empty() {
                continue;
            }
            page.heading(&format!(
                "{}: one length alone",
                capitalized(&wood_name(self.job, wood))
            ));
            let mut table = self.columns(page, "length", Align::Prose);
            let mix = self.comparison.best_mix();
            let complete = rows.iter().filter(|row| row.is_complete());
            let rows: Vec<&Row> = std::iter::once(mix).chain(complete.copied()).collect();
            let differences = || rows.iter().map(|row| self.comparison.above(row, mix));
            let most = differences().flatten().max().unwrap_or(0);
            for (row, more) in rows.iter().zip(differences()) {
                let line = WayLine::new(self.job, self.buying, self.comparison, row, Some(wood));
                let boards = self.boards(page, &line);
                table.row(self.cells(page, (&line, boards), more, most));
            }
            page.table(2, &table);
            self.write_too_few(page, wood_idx);
        }
    }

    /// Lengths of a wood that leave parts without wood, in a sentence.
    fn write_too_few(&self, page: &mut Page<'_>, wood_idx: usize) {
        let short: Vec<String> = self
            .comparison
            .rows
            .iter()
            .filter(|row| is_single(row, wood_idx) && !row.is_complete())
            .map(|row| {
                let line = self.line(row);
                tie(&format!(
                    "{} ({} short)",
                    line.name.trim_end_matches(" alone"),
                    line.n_missing
                ))
            })
            .collect();
        if !short.is_empty() {
            page.space();
            page.prose(
                2,
                Tone::Watch,
                &format!(
                    "Too short or too few for all parts alone: {}.",
                    short.join(", ")
                ),
            );
        }
    }

    fn write_use(&self, page: &mut Page<'_>) {
        page.heading("What becomes of the wood");
        let mut table = Table::new()
            .column("way", Align::Name, Tone::Strong)
            .column("boards", Align::Right, Tone::Plain)
            .column("length", Align::Right, Tone::Plain)
            .column("board feet", Align::Right, Tone::Plain)
            .column("in parts", Align::Right, Tone::Strong)
            .column("offcuts kept", Align::Right, Tone::Good);
        let shown = |row: &&Row| row.is_complete() || !matches!(row.way, Way::OneLength { .. });
        for row in self.comparison.rows.iter().filter(shown) {
            let line = self.line(row);
            let name = match &row.way {
                Way::OneLength { wood_idx, length } if self.comparison.woods.len() > 1 => {
                    let wood = short_name(self.job, &self.comparison.woods[*wood_idx]);
                    format!("{wood}, {}", label_length(self.job, *length))
                }
                _ => line.name.clone(),
            };
            let kept = if line.n_kept == 0 {
                page.ink.rule().to_owned()
            } else {
                format!(
                    "{}, {}",
                    line.n_kept,
                    page.figures.rough_there(line.wood.kept)
                )
            };
            table.row(vec![
                name,
                line.n_boards.to_string(),
                page.figures.rough_there(line.length),
                line.lumber
                    .map_or_else(String::new, |lumber| board_feet(lumber.bought.exact)),
                percent(line.used),
                kept,
            ]);
        }
        page.table(2, &table);
    }
}

/// Whether a row is that of one length of a wood.
fn is_single(row: &Row, wood: usize) -> bool {
    matches!(row.way, Way::OneLength { wood_idx, .. } if wood_idx == wood)
}

/// The proof in a word.
pub(super) fn proof_word(line: &WayLine) -> String {
    if line.n_missing > 0 {
        return format!("{} short", line.n_missing);
    }
    if line.is_proved {
        return "proved".to_owned();
    }
    gap(line.value, line.bound).map_or_else(|| "open".to_owned(), percent_of_gap)
}

/// A bar as long as `more` is beside `most`.
fn bar(page: &Page<'_>, more: i64, most: i64) -> String {
    if more <= 0 || most <= 0 {
        return String::new();
    }
    let eighths = i128::from(more) * 8 * 8 / i128::from(most);
    let eighths = usize::try_from(eighths)
        .unwrap_or(BAR * 8)
        .clamp(1, BAR * 8);
    page.ink.bar(eighths)
}
