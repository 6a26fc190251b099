//! The answer in the first lines: the cheapest way, what it buys of each wood, what a simpler purchase costs, and how sure
//! that is.

use crate::compare::Row;
use crate::job::Way;
use crate::plan::Measure;
use crate::report::document::{
    Document, Inline, Line, Text, Tone, count_of, money, name, say, together, worth,
};
use crate::report::figures::share;
use crate::report::sections::opening::write_missing;
use crate::report::sections::reasons::limit_sentence;
use crate::report::way_lines::{WayLine, by_wood};
use crate::report::way_words::label_length;

use crate::stock::Board;

use super::{View, is_single};

impl View<'_> {
    pub(super) fn write_answer(&self, doc: &mut Document) {
        let best = self.comparison.best();
        let line = self.line(best);
        let mut lines = Vec::new();
        if self.job.boards.iter().any(Board::is_bought) {
            let text = if best.is_complete() && line.bought.is_empty() && line.tallied.is_empty() {
                "Nothing more is to be bought: what was bought before, and counts nothing here, will do."
            } else {
                "What was bought before counts nothing here: this is what is to be bought beyond it."
            };
            lines.push(Line::new(Tone::Plain, text));
        }
        if !best.is_complete() {
            let without = together(count_of(line.n_missing, "part"));
            let text = say!("NOT ALL CAN BE CUT: there is no wood for {}.", without);
            lines.push(Line::new(Tone::Bad, text));
            for row in self.comparison.rows.iter().filter(|row| row.is_complete()) {
                if let Some(sentence) = limit_sentence(self.comparison, row) {
                    lines.push(Line::new(Tone::Plain, sentence));
                }
            }
        }
        let way = self.name(&best.way).capitalized();
        let worth = self.worth_in_words(best, &line);
        if self.comparison.woods.len() > 1 {
            let n_boards = together(count_of(line.n_boards, "board"));
            lines.push(Line::new(
                Tone::Plain,
                say!("{}, {} for {}:", way, n_boards, worth),
            ));
            for (wood, line) in by_wood(self.job, self.comparison, best) {
                lines.push(Line::item(say!("{}: {}", name(&wood), self.boards(&line))));
            }
        } else {
            let boards = self.boards(&line);
            lines.push(Line::new(
                Tone::Plain,
                say!("{}: {} for {}.", way, boards, worth),
            ));
        }
        if line.n_kept > 0 {
            let kept = together(count_of(line.n_kept, "offcut"));
            lines.push(Line::new(Tone::Plain, say!("Left to keep: {}.", kept)));
        }
        let simpler = self.simpler_ways();
        if !simpler.is_empty() {
            let simpler = Text::join(simpler, "; ").capitalized();
            lines.push(Line::new(Tone::Plain, say!("{}.", simpler)));
        }
        let longest = self.job.buying.longest.filter(|&longest| {
            let boards = self.job.boards.iter();
            let mut to_buy = boards.filter(|board| board.in_hand.is_none());
            to_buy.any(|board| board.length > longest)
        });
        if let Some(longest) = longest {
            let limit = say!(
                "No {} over {}, the longest that the vehicle takes.",
                if best.job.boards.iter().any(Board::is_to_be_cut) {
                    "piece"
                } else {
                    "board"
                },
                together(label_length(self.job, longest))
            );
            lines.push(Line::new(Tone::Plain, limit));
        }
        let mix = self.comparison.best_mix();
        if let Some(more) = self.comparison.difference(mix).filter(|&more| more > 0) {
            let more = self.against_best("the job's own boards".into(), more);
            lines.push(Line::new(Tone::Plain, say!("{}.", more.capitalized())));
        }
        if best.is_complete() {
            lines.push(self.how_sure(line.is_proved));
        }
        doc.lines(lines);
        if !best.is_complete() {
            write_missing(doc, &best.plan);
        }
    }

    /// What is proved, in one line.
    fn how_sure(&self, is_proved: bool) -> Line {
        let (cheapest, less) = match self.comparison.measure() {
            Measure::Price => ("CHEAPEST", "costs less"),
            Measure::BoardLength => ("SHORTEST", "takes less board"),
        };
        if is_proved {
            let text = say!(
                "PROVED {}: no purchase of these boards {} (proved in exact arithmetic).",
                cheapest,
                less
            );
            Line::new(Tone::Good, text)
        } else {
            let text = say!("{} FOUND, NOT PROVED {}.", cheapest, cheapest);
            Line::new(Tone::Watch, text)
        }
    }

    /// What a way comes to, and where pieces come from the rack, what is paid of it.
    fn worth_in_words(&self, row: &Row, line: &WayLine) -> Text {
        let worth = worth(self.comparison.measure(), row.plan.value);
        match (line.n_from_rack, line.to_pay, line.money) {
            (1.., Some(to_pay), Some(all)) if all > to_pay => say!(
                "{} ({} to pay, {} for what is taken from the rack)",
                worth,
                money(to_pay),
                money(all - to_pay)
            ),
            _ => worth,
        }
    }

    /// What fewer lengths cost more, the fewest first.
    fn simpler_ways(&self) -> Vec<Text> {
        let best = self.comparison.best();
        let mut simpler: Vec<(usize, i64, Text)> = Vec::new();
        for row in &self.comparison.rows {
            if let Way::AtMost(most) = row.way
                && !std::ptr::eq(row, best)
            {
                let number = ["one length", "two lengths", "three lengths"][most.clamp(1, 3) - 1];
                let what = match self.comparison.woods.len() {
                    1 => number.into(),
                    _ => say!("{} of each wood", number),
                };
                let more = self.comparison.difference(row);
                simpler.extend(more.map(|more| (most, more, what)));
            }
        }
        if self.comparison.woods.len() == 1
            && let Some(row) = self.cheapest_single(0)
            && let Way::OneLength { length, .. } = row.way
        {
            let what = say!("one length, {}", together(label_length(self.job, length)));
            let more = self.comparison.difference(row);
            simpler.extend(more.map(|more| (1, more, what)));
        }
        // Where two lengths cost no more than three, three say nothing new.
        simpler.sort_by_key(|&(n_lengths, ..)| n_lengths);
        simpler.dedup_by_key(|&mut (_, more, _)| more);
        simpler
            .into_iter()
            .map(|(_, more, what)| self.against_best(what, more))
            .collect()
    }

    /// `two lengths: 3.70 USD more (1.1 %)`.
    fn against_best(&self, what: Text, more: i64) -> Text {
        if more == 0 {
            return say!("{}: the same cost", what);
        }
        let share = Inline::PerMille(share(more, self.comparison.best().plan.value));
        say!(
            "{}: {} more ({})",
            what,
            worth(self.comparison.measure(), more),
            together(share)
        )
    }

    /// The cheapest complete row of a single length of a wood.
    fn cheapest_single(&self, wood_idx: usize) -> Option<&Row> {
        let rows = self.comparison.rows.iter();
        rows.filter(|row| is_single(row, wood_idx) && row.is_complete())
            .min_by_key(|row| row.plan.value)
    }
}
