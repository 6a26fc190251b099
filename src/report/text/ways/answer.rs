//! The answer in the first lines: the cheapest way, what it buys of each wood, and what a simpler purchase costs.

use crate::compare::{Row, Way};
use crate::length::Length;
use crate::plan::Measure;
use crate::report::figures::{count_of, per_mille_down, percent};
use crate::report::ink::Tone;
use crate::report::layout::{capitalized, tie};
use crate::report::text::opening::write_missing;
use crate::report::text::page::Page;
use crate::report::text::reasons::limit_sentence;
use crate::report::way_lines::{WayLine, by_wood};
use crate::report::way_words::label_length;

use super::{View, is_single};

impl View<'_> {
    pub(super) fn write_answer(&self, page: &mut Page<'_>) {
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
        if !best.is_complete() {
            let without = tie(&count_of(line.n_missing, "part"));
            page.prose(0, Tone::Bad, &format!("No wood for {without}."));
            for row in self.comparison.rows.iter().filter(|row| row.is_complete()) {
                if let Some(sentence) = limit_sentence(page, self.comparison, row) {
                    page.prose(0, Tone::Plain, &sentence);
                }
            }
        }
        let name = capitalized(&line.name);
        let worth = self.worth_in_words(page, best, &line);
        if self.comparison.woods.len() > 1 {
            let n_boards = tie(&count_of(line.n_boards, "board"));
            page.prose(0, Tone::Plain, &format!("{name}, {n_boards} for {worth}:"));
            for (wood, line) in by_wood(self.job, self.buying, self.comparison, best) {
                let boards = self.boards(page, &line);
                page.hanging("  - ", Tone::Plain, &format!("{wood}: {boards}"));
            }
        } else {
            let boards = self.boards(page, &line);
            page.prose(0, Tone::Plain, &format!("{name}: {boards} for {worth}."));
        }
        let simpler = self.simpler_ways(page);
        if !simpler.is_empty() {
            let simpler = format!("{}.", capitalized(&simpler.join("; ")));
            page.prose(0, Tone::Plain, &simpler);
        }
        if let Some(longest) = self.buying.longest {
            let longest = tie(&label_length(self.job, longest));
            let limit = format!("Nothing over {longest}, which is what the vehicle takes.");
            page.prose(0, Tone::Plain, &limit);
        }
        if !best.is_complete() {
            write_missing(page, &best.plan);
        }
    }

    /// What a way comes to, and where pieces come from the rack, what is paid of it.
    fn worth_in_words(&self, page: &Page<'_>, row: &Row, line: &WayLine) -> String {
        let worth = page
            .figures
            .worth(self.comparison.measure(), row.plan.value);
        match (line.n_from_rack, line.to_pay, line.money) {
            (1.., Some(to_pay), Some(money)) if money > to_pay => format!(
                "{worth} ({} to pay, {} for what is taken from the rack)",
                page.figures.money(to_pay),
                page.figures.money(money - to_pay)
            ),
            _ => worth,
        }
    }

    /// What fewer lengths cost more, the fewest first.
    fn simpler_ways(&self, page: &Page<'_>) -> Vec<String> {
        let best = self.comparison.best();
        let mut simpler: Vec<(usize, i64, String)> = Vec::new();
        for row in &self.comparison.rows {
            if let Way::AtMost(most) = row.way
                && !std::ptr::eq(row, best)
            {
                let number = ["one length", "two lengths", "three lengths"][most.clamp(1, 3) - 1];
                let what = match self.comparison.woods.len() {
                    1 => number.to_owned(),
                    _ => format!("{number} of each wood"),
                };
                let more = self.comparison.difference(row);
                simpler.extend(more.map(|more| (most, more, what)));
            }
        }
        if self.comparison.woods.len() == 1
            && let Some(row) = self.cheapest_single(0)
            && let Way::OneLength { length, .. } = row.way
        {
            let what = format!("one length, {}", tie(&label_length(self.job, length)));
            let more = self.comparison.difference(row);
            simpler.extend(more.map(|more| (1, more, what)));
        }
        // Where two lengths cost no more than three, three say nothing new.
        simpler.sort_by_key(|&(n_lengths, ..)| n_lengths);
        simpler.dedup_by_key(|&mut (_, more, _)| more);
        simpler
            .into_iter()
            .map(|(_, more, what)| self.against_best(page, &what, more))
            .collect()
    }

    /// `two lengths: 3.70 USD more (1.1 %)`.
    fn against_best(&self, page: &Page<'_>, what: &str, more: i64) -> String {
        if more == 0 {
            return format!("{what} will do as well");
        }
        let measure = self.comparison.measure();
        let whole = Length::from_nm(self.comparison.best().plan.value.max(1));
        format!(
            "{what}: {} more ({})",
            page.figures.worth(measure, more),
            tie(&percent(per_mille_down(Length::from_nm(more), whole)))
        )
    }

    /// The cheapest complete row of a single length of a wood.
    fn cheapest_single(&self, wood_idx: usize) -> Option<&Row> {
        let rows = self.comparison.rows.iter();
        rows.filter(|row| is_single(row, wood_idx) && row.is_complete())
            .min_by_key(|row| row.plan.value)
    }
}
