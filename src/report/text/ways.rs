//! Ways of buying: the answer first, then the ways side by side, then each wood by itself.

use crate::compare::{Comparison, Reasons, Row, Way};
use crate::job::{Buying, Job};
use crate::length::Length;
use crate::money::Money;
use crate::plan::Measure;
use crate::report::figures::{board_feet, count_of, gap, per_mille_down, percent, percent_of_gap};
use crate::report::ink::{Look, Tone};
use crate::report::layout::{fit, one_line, tie};
use crate::report::table::{Align, Table};
use crate::report::way_lines::{WayLine, label_length, short_name, way_name, wood_name};

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
    buying::write_yard_list(&mut page, comparison.best());
    if let Some(reasons) = reasons {
        reasons::write(&mut page, job, comparison, reasons);
    }
    if with_lists {
        buying::write_needs(&mut page, job, buying);
        buying::write_shares(&mut page, comparison.best(), buying);
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

    /// A value of a plan with its unit.
    fn worth(&self, page: &Page<'_>, value: i64) -> String {
        match self.comparison.measure() {
            Measure::Price => page.figures.money(Money::from_minor(value)),
            Measure::BoardLength => tie(&page.figures.total(Length::from_nm(value))),
        }
    }

    /// A difference in a column: nothing as a dash, less with its sign.
    fn more(&self, page: &Page<'_>, difference: i64) -> String {
        let sign = if difference < 0 { "-" } else { "" };
        match self.comparison.measure() {
            _ if difference == 0 => page.ink.rule().to_owned(),
            Measure::Price => format!(
                "{sign}{}",
                page.figures.amount(Money::from_minor(difference.abs()))
            ),
            Measure::BoardLength => format!(
                "{sign}{}",
                page.figures.total(Length::from_nm(difference.abs()))
            ),
        }
    }

    /// Boards by length: `7 × 6 ft, 1 × 8 ft`.
    fn boards(&self, page: &Page<'_>, line: &WayLine) -> String {
        let lengths: Vec<String> = line
            .boards
            .iter()
            .map(|&(length, count)| {
                tie(&format!(
                    "{count} {} {}",
                    page.ink.times(),
                    label_length(self.job, length)
                ))
            })
            .collect();
        lengths.join(", ")
    }

    fn write_answer(&self, page: &mut Page<'_>) {
        let best = self.comparison.best();
        let line = self.line(best);
        let (tone, word) = match (best.is_complete(), line.is_proved) {
            (true, true) => (Tone::Good, "PROVED CHEAPEST"),
            (true, false) => (Tone::Watch, "CHEAPEST FOUND, NOT PROVED CHEAPEST"),
            (false, _) => (Tone::Bad, "NOT ALL CAN BE CUT"),
        };
        let word = match self.comparison.measure() {
            Measure::Price => word.to_owned(),
            Measure::BoardLength => word.replace("CHEAPEST", "SHORTEST"),
        };
        let word = page.ink.paint(tone, &word);
        page.line(&word);
        let mut sentences = vec![format!(
            "{}, {}: {} for {}.",
            capitalized(&line.name),
            tie(&count_of(line.n_boards, "board")),
            self.boards(page, &line),
            self.worth(page, best.plan.value)
        )];
        if !best.is_complete() {
            sentences.push(format!(
                "{} no wood in any way.",
                count_of(line.n_missing, "part") + " find"
            ));
        }
        let mut dearer: Vec<String> = Vec::new();
        for row in &self.comparison.rows {
            let Some(more) = self.comparison.difference(row) else {
                continue;
            };
            if let (Way::AtMost(most), true) = (&row.way, row != best) {
                let what = match most {
                    1 => "one length of each wood".to_owned(),
                    2 => "two lengths".to_owned(),
                    _ => format!("{most} lengths"),
                };
                dearer.push(self.against(page, &what, more));
            }
        }
        if self.comparison.woods.len() == 1
            && let Some(row) = self.cheapest_single(0)
            && let (Way::OneLength { length, .. }, Some(more)) =
                (&row.way, self.comparison.difference(row))
        {
            dearer.push(self.against(
                page,
                &format!("one length, {}", tie(&label_length(self.job, *length))),
                more,
            ));
        }
        dearer.reverse();
        if !dearer.is_empty() {
            sentences.push(format!("{}.", capitalized(&dearer.join("; "))));
        }
        page.prose(0, Tone::Plain, &sentences.join(" "));
    }

    /// `two lengths cost 3.70 USD more (1.1 %)`.
    fn against(&self, page: &Page<'_>, what: &str, more: i64) -> String {
        if more == 0 {
            return format!("{what} will do as well");
        }
        let best = self.comparison.best().plan.value;
        let share = Length::from_nm(more);
        format!(
            "{what}: {} more ({})",
            self.worth(page, more),
            tie(&percent(per_mille_down(
                share,
                Length::from_nm(best.max(1))
            )))
        )
    }

    /// The cheapest complete row of a single length of a wood.
    fn cheapest_single(&self, wood: usize) -> Option<&Row> {
        self.comparison
            .rows
            .iter()
            .filter(|row| Self::is_single(row, wood) && row.is_complete())
            .min_by_key(|row| row.plan.value)
    }

    fn money_head(&self, page: &Page<'_>) -> String {
        match self.comparison.measure() {
            Measure::Price => {
                let code = fit(&one_line(&self.job.display.currency.code), 8, page.ink);
                if code.is_empty() {
                    "money".to_owned()
                } else {
                    code
                }
            }
            Measure::BoardLength => "length".to_owned(),
        }
    }

    fn money(page: &Page<'_>, line: &WayLine) -> String {
        match line.money {
            Some(money) => page.figures.amount(money),
            None => page.figures.total(line.length),
        }
    }

    fn columns(&self, page: &Page<'_>, first: &str) -> Table {
        Table::new()
            .column(first, Align::Name, Tone::Strong)
            .column("boards", Align::Prose, Tone::Plain)
            .column(&self.money_head(page), Align::Right, Tone::Strong)
            .column("more", Align::Right, Tone::Plain)
            .column("", Align::Left, Tone::Watch)
            .column("proof", Align::Left, Tone::Faint)
    }

    /// What a row adds to the table of ways.
    fn cells(&self, page: &Page<'_>, line: &WayLine, most: i64) -> Vec<String> {
        let (more, bar) = match line.difference {
            Some(more) => (self.more(page, more), bar(page, more, most)),
            None => (String::new(), String::new()),
        };
        vec![
            line.name.clone(),
            self.boards(page, line),
            if line.n_missing == 0 {
                Self::money(page, line)
            } else {
                String::new()
            },
            more,
            bar,
            proof_word(line),
        ]
    }

    /// The largest difference to draw a bar for.
    fn most(&self, rows: &[&Row]) -> i64 {
        rows.iter()
            .filter_map(|row| self.comparison.difference(row))
            .max()
            .unwrap_or(0)
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
        let mut table = self.columns(page, "way");
        let most = self.most(&rows);
        for row in &rows {
            table.row(self.cells(page, &self.line(row), most));
        }
        page.table(2, &table);
        let mut legend = String::from(
            "more: than the cheapest; proof: proved that nothing bought in this way is cheaper",
        );
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
                .filter(|row| Self::is_single(row, wood_idx))
                .collect();
            if rows.is_empty() {
                continue;
            }
            let rows: Vec<&Row> = rows.into_iter().filter(|row| row.is_complete()).collect();
            page.heading(&format!(
                "{}: one length alone",
                capitalized(&wood_name(self.job, wood))
            ));
            let mut table = self.columns(page, "length");
            let most = self.most(&rows);
            for row in std::iter::once(self.comparison.best_mix()).chain(rows) {
                let line = WayLine::new(self.job, self.buying, self.comparison, row, Some(wood));
                table.row(self.cells(page, &line, most));
            }
            page.table(2, &table);
            self.write_too_few(page, wood_idx);
        }
    }

    /// Whether a row is that of one length of a wood.
    fn is_single(row: &Row, wood: usize) -> bool {
        matches!(row.way, Way::OneLength { wood_idx, .. } if wood_idx == wood)
    }

    /// Lengths of a wood that leave parts without wood, in a sentence.
    fn write_too_few(&self, page: &mut Page<'_>, wood_idx: usize) {
        let short: Vec<String> = self
            .comparison
            .rows
            .iter()
            .filter(|row| Self::is_single(row, wood_idx) && !row.is_complete())
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
                    short_name(self.job, &self.comparison.woods[*wood_idx], *length)
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

fn capitalized(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
