//! The headings of a table: which column each stands for, what is wrong with them, and what was made of them.

use super::CsvTable;
use crate::diag::{Diagnostic, Diagnostics, code, quoted};
use crate::load::near::{did_you_mean, few};
use crate::load::schema::{Kind, Meaning, Need, Schema, Shape, kebab};

impl CsvTable {
    /// Notes what is not read, and what was understood in another way than it stands there; nothing of a table in our form.
    pub(super) fn say_what_was_made_of_it(
        &self,
        encoding: Option<&'static str>,
        faults: &mut Diagnostics,
    ) {
        let mut said = Vec::new();
        if let Some(encoding) = encoding {
            let letter = self
                .rows
                .text()
                .split_whitespace()
                .find(|word| !word.is_ascii());
            let such_as = letter.map(|word| format!(", such as {}", quoted(word)));
            said.push(format!("read as {encoding}{}", such_as.unwrap_or_default()));
        }
        let titles = self.rows.all()[..self.layout.head_idx].iter();
        let titles = titles.map(|row| row.line);
        if self.layout.head_idx > 0 {
            said.push(format!(
                "the headings are in {}",
                Self::lines([self.header_line])
            ));
        }
        let understood = self.layout.headings.iter().zip(&self.columns);
        let understood = understood.filter_map(|(heading, name)| {
            let unit = heading.unit.map(|unit| format!(" in {}", unit.symbol()));
            let per = heading.per.as_ref().map(|per| format!(" per {per}"));
            let name = (*name)?;
            (!heading.is_plain() || heading.unit_of.is_some()).then(|| {
                let measure = unit.or(per).unwrap_or_default();
                let of = heading.unit_of.as_deref().map(quoted);
                let of = of.map_or_else(String::new, |of| format!(", the unit of {of}"));
                format!("{} is read as `{name}`{measure}{of}", quoted(&heading.text))
            })
        });
        said.extend(understood);
        if self.schema.shape != Shape::Apart {
            let others = self.layout.headings.iter().zip(&self.columns);
            let others =
                others.filter(|(heading, name)| name.is_none() && !heading.text.is_empty());
            let others: Vec<String> = others.map(|(heading, _)| quoted(&heading.text)).collect();
            if !others.is_empty() {
                said.push(format!("not read: {}", few(others, ", ")));
            }
        }
        said.extend(self.sheet.notes.iter().cloned());
        let passed_over: Vec<u64> = titles.chain(self.data().others.iter().copied()).collect();
        if !passed_over.is_empty() {
            said.push(format!("no data in {}", Self::lines(passed_over)));
        }
        if !said.is_empty() {
            faults.push(Diagnostic::note(
                code::LIST_AS_READ,
                self.file_place(),
                said.join("; "),
            ));
        }
    }

    /// Reports counts in cells that are merged over several rows: whether each row has as many is not told.
    pub(super) fn report_merged_counts(&self, faults: &mut Diagnostics) {
        for &(first, last, field_idx) in &self.sheet.merged {
            let column = self.columns.get(field_idx).copied().flatten();
            let column = column.and_then(|name| self.schema.column(name));
            let is_count = column.is_some_and(|column| matches!(column.kind, Kind::Count(_)));
            if first <= self.header_line || !is_count {
                continue;
            }
            let what =
                format!("one number stands in a cell that is merged over lines {first} to {last}");
            let hint = "take the cell apart, and write how many are meant into each row";
            faults.push(
                Diagnostic::error(
                    code::NOT_A_QUANTITY,
                    self.field_place(first, field_idx),
                    what,
                )
                .with_hint(hint.to_owned()),
            );
        }
    }

    /// Lines by their numbers, as `lines 1 to 3, 27`.
    fn lines(lines: impl IntoIterator<Item = u64>) -> String {
        let mut runs: Vec<(u64, u64)> = Vec::new();
        for line in lines {
            match runs.last_mut() {
                Some((_, last)) if *last + 1 == line => *last = line,
                _ => runs.push((line, line)),
            }
        }
        let is_one = matches!(runs[..], [(from, to)] if from == to);
        let runs = runs.into_iter().map(|(from, to)| match to - from {
            0 => from.to_string(),
            1 => format!("{from}, {to}"),
            _ => format!("{from} to {to}"),
        });
        let noun = if is_one { "line" } else { "lines" };
        format!("{noun} {}", few(runs.collect(), ", "))
    }

    /// Finds for each heading the column it stands for.
    pub(super) fn match_columns(&mut self, line: u64, faults: &mut Diagnostics) {
        let headings = self.layout.headings.clone();
        self.columns = vec![None; headings.len()];
        // A file that is no table of ours at all may be anything; nothing of it is shown.
        if !self.layout.is_known() {
            let what = "this is no such table: its first row names none of the columns";
            faults.push(
                Diagnostic::error(code::MISSING_COLUMN, self.file_place(), what)
                    .with_hint(columns_are(self.schema)),
            );
            return;
        }
        let columns = self.layout.columns();
        self.columns = columns
            .iter()
            .map(|column| column.map(|column| column.name))
            .collect();
        for (field_idx, heading) in headings.iter().enumerate() {
            if let Some(column) = heading.column()
                && columns[field_idx].is_none()
                && !self.layout.is_superseded(heading)
            {
                let what = format!("column `{}` appears twice", column.name);
                let place = self.field_place(line, field_idx);
                faults.push(Diagnostic::error(code::DUPLICATE_COLUMN, place, what));
            }
        }
        // Pictures may have titles, and frames be something else.
        let first = self.schema.columns.first().map(|column| column.name);
        let of_name = headings.iter().enumerate();
        let of_name =
            of_name.filter(|(_, heading)| heading.column().map(|column| column.name) == first);
        if let [(one_idx, one), (_, other)] = of_name.collect::<Vec<_>>()[..]
            && (self.layout.is_superseded(one) || self.layout.is_superseded(other))
        {
            let what = format!(
                "{} and {} may both be what a row is called",
                quoted(&one.text),
                quoted(&other.text)
            );
            let hint =
                "rename the one that is something else; what frames are made of is `moulding`";
            faults.push(
                Diagnostic::error(code::HEADING_OPEN, self.field_place(line, one_idx), what)
                    .with_hint(hint.to_owned()),
            );
        }
        let lacking = |table: &CsvTable| {
            let mut names = table.schema.names();
            names.retain(|name| !table.has_column(name));
            names
        };
        let mut meant: Vec<String> = Vec::new();
        for (field_idx, heading) in headings.iter().enumerate() {
            let place = || self.field_place(line, field_idx);
            let lacking = lacking(self);
            match &heading.meaning {
                Meaning::OneOf(names) if names.iter().any(|name| lacking.contains(name)) => {
                    let what = format!(
                        "{} may mean `{}`",
                        quoted(&heading.text),
                        names.join("` or `")
                    );
                    let hint = "rename it: take the one that is meant, or a word of your own for a column that is not to be read";
                    faults.push(
                        Diagnostic::error(code::HEADING_OPEN, place(), what)
                            .with_hint(hint.to_owned()),
                    );
                }
                Meaning::Unknown if self.schema.shape != Shape::Apart => {
                    if let Some(hint) = did_you_mean(&kebab(&heading.text), lacking) {
                        let what = format!("unknown column {}", quoted(&heading.text));
                        meant.push(hint.clone());
                        faults.push(
                            Diagnostic::error(code::UNKNOWN_COLUMN, place(), what).with_hint(hint),
                        );
                    }
                }
                _ => {}
            }
        }
        // What is missing may be what another heading was meant for.
        let is_open = |name: &str| {
            let mut all = headings.iter();
            all.any(|heading| matches!(&heading.meaning, Meaning::OneOf(names) if names.contains(&name)))
        };
        for column in self.schema.columns {
            let is_needed = matches!(column.need, Need::Always | Need::AsHeading);
            let is_misspelled = meant.iter().any(|hint| hint.contains(&quoted(column.name)));
            let is_told = is_misspelled || is_open(column.name);
            if is_needed && !self.has_column(column.name) && !is_told {
                let what = format!("column `{}` is missing", column.name);
                faults.push(
                    Diagnostic::error(code::MISSING_COLUMN, self.row_place(line), what)
                        .with_hint(columns_are(self.schema)),
                );
            }
        }
    }
}

/// A hint that names all columns.
pub(super) fn columns_are(schema: &Schema) -> String {
    format!("columns are `{}`", schema.names().join("`, `"))
}
