//! Ways of buying: the answer first, then the ways side by side, then each wood by itself.

mod answer;

use crate::compare::{Comparison, Reasons, Row};
use crate::job::{Job, Way};
use crate::plan::Measure;
use crate::report::document::{
    Document, Inline, Kind, Show, Table, Text, Tone, amount, name, say, together, total,
    worth_amount,
};
use crate::report::figures::gap;
use crate::report::pocket::worth_in_hand;
use crate::report::way_lines::{WayLine, by_wood, left_behind};
use crate::report::way_words::{label_length, row_name, wood_name};
use crate::stock::Board;

use super::buying::money_head;
use super::{buying, opening, reasons};
use crate::report::figures::in_board_feet;

/// Ways of buying side by side.
///
/// With `reasons` also what the best mix depends on; `with_lists` also what else the job needs and what each frame costs.
///
/// # Panics
/// If `comparison` or `reasons` are not of `job` and `buying`.
pub fn ways_sheet(
    job: &Job,
    comparison: &Comparison,
    reasons: Option<&Reasons>,
    with_lists: bool,
) -> Document {
    let mut doc = Document::new(job);
    let view = View { job, comparison };
    opening::write_title(&mut doc, job);
    view.write_answer(&mut doc);
    view.write_whole(&mut doc);
    view.write_woods(&mut doc);
    view.write_use(&mut doc);
    let best = comparison.best();
    let way = view.name(&best.way);
    buying::write_yard_list(&mut doc, best, &way, &comparison.materials);
    if let Some(reasons) = reasons {
        reasons::write(&mut doc, job, comparison, reasons);
    }
    if with_lists {
        buying::write_needs(&mut doc, best, &comparison.materials);
        buying::write_shares(&mut doc, best, &comparison.materials);
    }
    doc
}

/// What all sections read.
struct View<'a> {
    job: &'a Job,
    comparison: &'a Comparison,
}

impl View<'_> {
    fn line(&self, row: &Row) -> WayLine {
        WayLine::new(self.job, self.comparison, row, None)
    }

    fn name(&self, way: &Way) -> Text {
        name(&row_name(self.job, self.comparison, way))
    }

    /// A difference in a column: nothing as a dash, less with its sign.
    fn more(&self, difference: i64) -> Text {
        let amount = worth_amount(self.comparison.measure(), difference.abs());
        match difference {
            0 => "─".into(),
            ..0 => say!("-{}", amount),
            _ => amount,
        }
    }

    /// Boards by length, of a tally by their marks: `7 × 6 ft, 1 × 8 ft, W3, W7, 2 from the rack`.
    fn boards(&self, line: &WayLine) -> Text {
        let mut boards: Vec<Text> = line
            .bought
            .iter()
            .map(|&(length, count)| {
                together(say!("{} × {}", count, label_length(self.job, length)))
            })
            .collect();
        boards.extend(line.tallied.iter().map(|(mark, count)| match count {
            1 => together(name(mark)),
            _ => together(say!("{} × {}", *count, name(mark))),
        }));
        if line.n_from_rack > 0 {
            boards.push(together(say!("{} from the rack", line.n_from_rack)));
        }
        if line.n_bought_before > 0 {
            boards.push(together(say!("{} bought before", line.n_bought_before)));
        }
        if boards.is_empty() {
            boards.push("none".into());
        }
        Text::join(boards, ", ")
    }

    fn columns(&self, first: &str, boards: Kind) -> Table {
        let cost = match self.comparison.measure() {
            Measure::Price => money_head(self.job),
            Measure::BoardLength => "length".into(),
        };
        Table::new()
            .column(first, Kind::Name, Tone::Strong)
            .column("boards", boards, Tone::Plain)
            .column(cost, Kind::Number, Tone::Strong)
            .column("more", Kind::Number, Tone::Plain)
            .column("", Kind::Words, Tone::Watch)
            .column("proof", Kind::Words, Tone::Faint)
    }

    /// What a row adds to a table of ways, its bar no longer than that of `most`.
    fn cells(&self, (line, boards): (&WayLine, Text), more: Option<i64>, most: i64) -> Vec<Text> {
        let cost = line.money.map_or_else(|| total(line.length), amount);
        let bar = more
            .filter(|&more| more > 0)
            .map(|part| Inline::Bar { part, whole: most });
        vec![
            name(&line.name),
            boards,
            (line.n_missing == 0).then_some(cost).into(),
            more.map(|more| self.more(more)).into(),
            bar.into(),
            proof_word(line),
        ]
    }

    /// Whether a row has a line of its own: of those that lack parts only the answer has.
    fn is_listed(&self, row: &Row) -> bool {
        row.is_complete() || std::ptr::eq(row, self.comparison.best())
    }

    /// The boards of a row that the vehicle does not take, where it names any.
    fn too_long(&self, row: &Row) -> Option<Text> {
        let too_long = left_behind(self.job, &row.way);
        let names = too_long.iter().map(|board| together(name(board)));
        (!too_long.is_empty()).then(|| Text::join(names, ", "))
    }

    /// All ways that end short of parts, but single lengths and the answer itself, in one sentence.
    fn write_short(&self, doc: &mut Document) {
        let rows = self.comparison.rows.iter();
        let short: Vec<Text> = rows
            .filter(|row| !self.is_listed(row) && !matches!(row.way, Way::OneLength { .. }))
            .map(|row| {
                let n_missing = together(say!("{} missing", row.plan.missing.len()));
                let too_long = self
                    .too_long(row)
                    .map(|names| say!("; too long for the vehicle: {}", names));
                say!("{} ({}{})", self.name(&row.way), n_missing, too_long)
            })
            .collect();
        if !short.is_empty() {
            let short = Text::join(short, ", ");
            doc.line(Tone::Watch, say!("Not enough for all parts: {}.", short));
        }
    }

    /// What is bought of each wood: `walnut 13/16: 7 × 6 ft; ash 1 1/16: 4 × 10 ft`.
    fn boards_by_wood(&self, row: &Row) -> Text {
        let woods = by_wood(self.job, self.comparison, row);
        if woods.is_empty() {
            return "no boards".into();
        }
        let woods = woods
            .iter()
            .map(|(wood, line)| say!("{}: {}", together(name(wood)), self.boards(line)));
        Text::join(woods, "; ")
    }

    fn write_whole(&self, doc: &mut Document) {
        let one_wood = self.comparison.woods.len() == 1;
        let rows: Vec<&Row> = self
            .comparison
            .rows
            .iter()
            .filter(|row| one_wood || !matches!(row.way, Way::OneLength { .. }))
            .filter(|row| self.is_listed(row))
            .collect();
        doc.heading("ways", "Ways of buying");
        let best = self.comparison.best();
        let best_boards = self.boards_by_wood(best);
        // What is bought of several woods has no room in a column.
        let boards = if one_wood { Kind::Prose } else { Kind::Number };
        let mut table = self.columns("way", boards);
        let differences = || rows.iter().map(|row| self.comparison.difference(row));
        let most = differences().flatten().max().unwrap_or(0);
        for (row, more) in rows.iter().zip(differences()) {
            let line = self.line(row);
            if one_wood {
                let boards = self.boards(&line);
                table.row(self.cells((&line, boards), more, most));
            } else {
                table.row(self.cells((&line, line.n_boards.into()), more, most));
                // The answer above has those of the cheapest.
                if !std::ptr::eq(*row, best) {
                    let boards = self.boards_by_wood(row);
                    let note = if boards == best_boards {
                        say!("the same boards as {}", self.name(&best.way))
                    } else {
                        boards
                    };
                    table.note(Tone::Plain, note);
                }
            }
            if let Some(names) = self.too_long(row) {
                table.note(Tone::Watch, say!("too long for the vehicle: {}", names));
            }
        }
        doc.table(table);
        self.write_short(doc);
        for (why, ways) in [
            (
                "Nothing found that cuts all parts",
                &self.comparison.not_found,
            ),
            (
                "Not tried, as the time was over",
                &self.comparison.not_tried,
            ),
        ] {
            if !ways.is_empty() {
                let ways = Text::join(ways.iter().map(|way| together(self.name(way))), ", ");
                doc.line(Tone::Watch, say!("{}: {}.", why, ways));
            }
        }
        if one_wood {
            self.write_too_few(doc, 0);
        }
        let useless: Vec<Text> = self
            .comparison
            .useless_boards()
            .map(|board| together(name(&board.name)))
            .collect();
        if !useless.is_empty() {
            let useless = say!("No part can be cut from: {}.", Text::join(useless, ", "));
            doc.line(Tone::Watch, useless);
        }
        let (most, better) = match self.comparison.measure() {
            Measure::Price => ("cheapest", "cheaper"),
            Measure::BoardLength => ("shortest", "shorter"),
        };
        let mut legend = say!(
            "More: than the {}. Proof: proved that nothing bought in this way is {}",
            most,
            better
        );
        if rows.iter().any(|row| !row.is_proved() && row.is_complete()) {
            legend.push(", or at most how much so");
        }
        if rows.iter().any(|row| !row.is_complete()) {
            legend.push("; missing: parts without wood");
        }
        legend.push(".");
        let takes_wood_of_worth = |row: &&Row| worth_in_hand(&row.plan).is_some();
        if rows.iter().any(takes_wood_of_worth) {
            legend.push(
                " Amounts are what is paid at the yard and what the wood taken from the rack is worth; the list for the \
                 pocket tells them apart.",
            );
        }
        doc.line(Tone::Faint, legend);
        self.write_how_to_plan(doc, &rows);
    }

    /// What is typed to plan a way that is listed, with one for an example.
    fn write_how_to_plan(&self, doc: &mut Document, rows: &[&Row]) {
        // Once boards are bought, a plan has no others.
        let is_on_sale = !self.job.boards.iter().any(Board::is_bought);
        let is_other = |row: &&&Row| row.way != Way::BestMix && row.way.is_open();
        // One that costs something else tells more.
        let mix = self.comparison.best_mix().plan.value;
        let others = || rows.iter().filter(is_other);
        let differs = others().find(|row| row.plan.value != mix);
        let other = differs.or_else(|| others().next()).filter(|_| is_on_sale);
        if let Some(row) = other {
            let way = format!("longpoint plan JOB.toml --way \"{}\"", self.line(row).name);
            doc.line(
                Tone::Faint,
                say!("To plan one of these, type its name: {}", together(&*way)),
            );
        }
    }

    fn write_woods(&self, doc: &mut Document) {
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
            let of = name(&wood_name(self.job, wood)).capitalized();
            doc.heading("one-length", say!("{}: one length alone", of));
            let mut table = self.columns("way", Kind::Prose);
            let mix = self.comparison.best_mix();
            let complete = rows.iter().filter(|row| row.is_complete());
            let rows: Vec<&Row> = std::iter::once(mix).chain(complete.copied()).collect();
            let differences = || rows.iter().map(|row| self.comparison.above(row, mix));
            let most = differences().flatten().max().unwrap_or(0);
            for (row, more) in rows.iter().zip(differences()) {
                let line = WayLine::new(self.job, self.comparison, row, Some(wood));
                let boards = self.boards(&line);
                table.row(self.cells((&line, boards), more, most));
            }
            doc.table(table);
            self.write_too_few(doc, wood_idx);
        }
    }

    /// Lengths of a wood that leave parts without wood, in a sentence.
    fn write_too_few(&self, doc: &mut Document, wood_idx: usize) {
        let short: Vec<Text> = self
            .comparison
            .rows
            .iter()
            .filter(|row| is_single(row, wood_idx) && !row.is_complete())
            .map(|row| {
                let length = match row.way {
                    Way::OneLength { length, .. } => label_length(self.job, length),
                    _ => String::new(),
                };
                together(say!("{} ({} missing)", length, row.plan.missing.len()))
            })
            .collect();
        if !short.is_empty() {
            let short = Text::join(short, ", ");
            let text = say!("Not enough of one length alone for all parts: {}.", short);
            doc.line(Tone::Watch, text);
        }
    }

    fn write_use(&self, doc: &mut Document) {
        doc.heading("wood", "What becomes of the wood");
        let mut table = Table::new()
            .column("way", Kind::Name, Tone::Strong)
            .column("boards", Kind::Number, Tone::Plain)
            .column("length", Kind::Number, Tone::Plain)
            .column("board feet", Kind::Number, Tone::Plain)
            .column("in parts", Kind::Number, Tone::Strong)
            .column("offcuts kept", Kind::Number, Tone::Good);
        let rough = |length| Inline::Length(length, Show::RoughThere);
        let rows = self.comparison.rows.iter();
        for row in rows.filter(|row| self.is_listed(row)) {
            let line = self.line(row);
            let feet = line.lumber.filter(|_| in_board_feet(self.job));
            let feet = feet.map(|lumber| lumber.bought.exact);
            table.row(vec![
                name(&line.name),
                line.n_boards.into(),
                rough(line.length).into(),
                feet.map(Inline::BoardFeet).into(),
                Inline::PerMille(line.used).into(),
                if line.n_kept == 0 {
                    "─".into()
                } else {
                    let length = line
                        .kept_end_to_end
                        .map(|length| say!(", {}", rough(length)));
                    say!("{}{}", line.n_kept, length)
                },
            ]);
        }
        doc.table(table);
    }
}

/// Whether a row is that of one length of a wood.
fn is_single(row: &Row, wood: usize) -> bool {
    matches!(row.way, Way::OneLength { wood_idx, .. } if wood_idx == wood)
}

/// The proof in a word.
fn proof_word(line: &WayLine) -> Text {
    if line.n_missing > 0 {
        return say!("{} missing", line.n_missing);
    }
    match gap(line.value, line.bound) {
        _ if line.is_proved => "proved".into(),
        Some(gap) => Inline::Gap(gap).into(),
        None => "not proved".into(),
    }
}
