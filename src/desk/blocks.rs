//! Changes to a job file or to that of its shop: keys set, added and taken out, rows added, taken out and moved.
//!
//! Each function gives splices of the text whose layout it is told.

use std::fmt::Write as _;
use std::ops::Range;

use super::keys::{Block, Entry, Home, Layout, List};
use super::splice::{Splice, line_end, line_start, line_stop, moved, next_line, permuted};
use super::values::{Takes, Written, value};

/// The file is written in a way in which the change cannot be made without harm to something else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Tangled;

/// A key and the text that its cell is to have; an empty one takes the key out.
#[derive(Clone, Debug)]
pub(super) struct Wanted<'a> {
    pub(super) key: &'a str,
    pub(super) text: &'a str,
    pub(super) takes: Takes,
}

/// A file with its layout.
#[derive(Clone, Copy)]
pub(super) struct Keys<'t> {
    pub(super) text: &'t str,
    pub(super) layout: &'t Layout,
}

impl Keys<'_> {
    /// Gives keys of a table or a row the texts that are wanted.
    pub(super) fn fill(self, block: &Block, wanted: &[Wanted<'_>]) -> Result<Vec<Splice>, Tangled> {
        let mut splices = Vec::new();
        let mut added = Vec::new();
        let mut taken_out = Vec::new();
        for one in wanted {
            match block.entry(one.key) {
                Some(entry) if !entry.value.fits_a_cell() => return Err(Tangled),
                Some(entry) if one.text.is_empty() => taken_out.push(entry),
                Some(entry) if entry.value.cell() == one.text => {}
                Some(entry) => splices.push(Splice::new(
                    entry.value_at.clone(),
                    self.value_for(one, Some(entry)),
                )),
                None if one.text.is_empty() => {}
                None => added.push(format!(
                    "{} = {}",
                    bare_key(one.key),
                    self.value_for(one, None)
                )),
            }
        }
        if let Home::Braces(at) = &block.home {
            if taken_out.is_empty() && added.is_empty() {
                return Ok(splices);
            }
            return self.braces_anew(at, block, wanted, &added);
        }
        splices.extend(taken_out.into_iter().map(|entry| self.without_line(entry)));
        splices.extend(self.with_lines(block, &added));
        Ok(splices)
    }

    fn value_for(self, wanted: &Wanted<'_>, now: Option<&Entry>) -> String {
        let now = now.map(|entry| (&entry.value, &self.text[entry.value_at.clone()]));
        value(wanted.text, wanted.takes, now)
    }

    /// What stands between braces, written anew with the values that stay as they are.
    fn braces_anew(
        self,
        at: &Range<usize>,
        block: &Block,
        wanted: &[Wanted<'_>],
        added: &[String],
    ) -> Result<Vec<Splice>, Tangled> {
        let mut pairs = Vec::new();
        let mut gap = at.start;
        for entry in &block.entries {
            if self.text[gap..entry.key_at.start].contains('#') {
                return Err(Tangled);
            }
            gap = entry.value_at.end;
            let one = wanted.iter().find(|one| one.key == entry.key);
            let key = &self.text[entry.key_at.clone()];
            match one {
                Some(one) if one.text.is_empty() => {}
                Some(one) if one.text != entry.value.cell() => {
                    pairs.push(format!("{key} = {}", self.value_for(one, Some(entry))));
                }
                _ => pairs.push(format!("{key} = {}", &self.text[entry.value_at.clone()])),
            }
        }
        let is_dotted = block.entries.iter().any(|entry| !entry.value.fits_a_cell());
        if is_dotted || self.text[gap..at.end].contains('#') {
            return Err(Tangled);
        }
        pairs.extend_from_slice(added);
        Ok(vec![Splice::new(at.clone(), in_braces(&pairs))])
    }

    /// Without the line of an entry; a remark behind its value stays, on a line of its own.
    fn without_line(self, entry: &Entry) -> Splice {
        let start = line_start(self.text, entry.key_at.start);
        let stop = line_stop(self.text, entry.value_at.end);
        let next = next_line(self.text, entry.value_at.end);
        let remark = self.text[entry.value_at.end..stop].trim();
        if remark.is_empty() {
            Splice::new(start..next, "")
        } else {
            Splice::new(start..stop, remark)
        }
    }

    /// With lines below the last one of a table, or of the keys above the first table.
    fn with_lines(self, block: &Block, lines: &[String]) -> Option<Splice> {
        if lines.is_empty() {
            return None;
        }
        let end = line_end(self.text);
        let until = match &block.home {
            Home::Header(at) => self.next_header(at.start),
            _ => self.layout.top_end,
        };
        let own = block
            .entries
            .iter()
            .filter(|entry| entry.value_at.end <= until);
        let last = own.max_by_key(|entry| entry.value_at.end);
        let (lead, last_end) = match (&block.home, last) {
            (Home::Top, _) => (String::new(), self.end_of_top()),
            (_, Some(last)) => {
                let start = line_start(self.text, last.key_at.start);
                let lead = self.text[start..last.key_at.start].to_owned();
                (lead, Some(last.value_at.end))
            }
            (Home::Header(at), None) => (String::new(), Some(at.end)),
            (_, None) => (String::new(), self.end_of_top()),
        };
        let lines = lines.iter().map(|line| format!("{lead}{line}{end}"));
        let lines: String = lines.collect();
        let Some(last_end) = last_end else {
            // The first key above all tables: above the remarks that belong to the first of them.
            let has_tables = !self.layout.headers.is_empty();
            let place = if has_tables {
                self.above_remarks(self.layout.top_end)
            } else {
                self.text.len()
            };
            return Some(if place == self.text.len() {
                Splice::insert(place, self.parted_from_before(place, false) + &lines)
            } else {
                Splice::insert(place, lines + end)
            });
        };
        let place = next_line(self.text, last_end);
        Some(Splice::insert(
            place,
            self.parted_from_before(place, false) + &lines,
        ))
    }

    /// Where the last value above the first table ends.
    fn end_of_top(self) -> Option<usize> {
        let layout = self.layout;
        let entries = layout.head.entries.iter().map(|entry| entry.value_at.end);
        let tables = layout.tables.iter().filter_map(|(_, block)| block.extent());
        let lists = layout
            .lists
            .iter()
            .filter_map(|(_, list)| list.brackets.clone());
        let ends = entries.chain(tables.chain(lists).map(|at| at.end));
        ends.filter(|end| *end <= layout.top_end).max()
    }

    /// Where the header behind one begins; the end of the text where it is the last.
    fn next_header(self, start: usize) -> usize {
        let mut headers = self.layout.headers.iter().map(|at| at.start);
        headers
            .find(|other| *other > start)
            .unwrap_or(self.text.len())
    }

    /// Where the remarks begin that stand right above a line.
    fn above_remarks(self, line: usize) -> usize {
        let mut place = line;
        while place > 0 {
            let above = line_start(self.text, place - 1);
            if !self.text[above..place].trim_start().starts_with('#') {
                break;
            }
            place = above;
        }
        place
    }

    /// What must stand at a place so that a line can begin there; with `blank`, one that is parted by an empty line.
    fn parted_from_before(self, place: usize, blank: bool) -> String {
        let end = line_end(self.text);
        let before = &self.text[..place];
        let mut parted = String::new();
        if !before.is_empty() && !before.ends_with('\n') {
            parted.push_str(end);
        }
        let ends_blank = before.trim_end_matches([' ', '\t', '\r', '\n']);
        let is_parted = before.is_empty() || before[ends_blank.len()..].matches('\n').count() > 1;
        if blank && !is_parted {
            parted.push_str(end);
        }
        parted
    }

    /// Begins a table that the file does not have, at its end.
    pub(super) fn begin_table(self, name: &str, wanted: &[Wanted<'_>]) -> Option<Splice> {
        let pairs = self.pairs(wanted);
        if pairs.is_empty() {
            return None;
        }
        let place = self.text.len();
        let block = self.lines_of(&format!("[{name}]"), &pairs);
        Some(Splice::insert(
            place,
            self.parted_from_before(place, true) + &block,
        ))
    }

    fn pairs(self, wanted: &[Wanted<'_>]) -> Vec<String> {
        let filled = wanted.iter().filter(|one| !one.text.is_empty());
        filled
            .map(|one| format!("{} = {}", bare_key(one.key), self.value_for(one, None)))
            .collect()
    }

    fn lines_of(self, header: &str, pairs: &[String]) -> String {
        let end = line_end(self.text);
        let mut lines = format!("{header}{end}");
        for pair in pairs {
            let _ = write!(lines, "{pair}{end}");
        }
        lines
    }

    /// Adds rows before the row `at` of a list, or behind all others.
    pub(super) fn add_rows(
        self,
        name: &str,
        list: Option<&List>,
        at: usize,
        rows: &[Vec<Wanted<'_>>],
    ) -> Result<Vec<Splice>, Tangled> {
        let end = line_end(self.text);
        let rows = rows.iter().map(|row| self.pairs(row));
        let before = list.and_then(|list| list.rows.get(at));
        let last = list.and_then(|list| list.rows.last());
        if let Some((list, brackets)) = list.and_then(|list| Some((list, list.brackets.clone()?))) {
            let items: Vec<String> = rows.map(|pairs| in_braces(&pairs)).collect();
            let gap = self.gap_between(list, &brackets)?;
            let extent = |row: &Block| row.extent().ok_or(Tangled);
            return Ok(vec![match (before, last) {
                (Some(before), _) => {
                    let items: String = items.iter().map(|item| format!("{item},{gap}")).collect();
                    Splice::insert(extent(before)?.start, items)
                }
                (None, Some(last)) => {
                    let items: String = items.iter().map(|item| format!(",{gap}{item}")).collect();
                    Splice::insert(extent(last)?.end, items)
                }
                (None, None) => Splice::insert(brackets.start + 1, items.join(", ")),
            }]);
        }
        let header = format!("[[{name}]]");
        let blocks: Vec<String> = rows.map(|pairs| self.lines_of(&header, &pairs)).collect();
        if let Some(before) = before {
            let extent = before.extent().ok_or(Tangled)?;
            let place = self.above_remarks(line_start(self.text, extent.start));
            let blocks: String = blocks.iter().map(|block| format!("{block}{end}")).collect();
            return Ok(vec![Splice::insert(place, blocks)]);
        }
        let place = match last {
            Some(last) => next_line(self.text, last.extent().ok_or(Tangled)?.end),
            None => self.text.len(),
        };
        let parted = self.parted_from_before(place, true);
        Ok(vec![Splice::insert(place, parted + &blocks.join(end))])
    }

    /// What stands between two rows in brackets behind the comma.
    fn gap_between(self, list: &List, brackets: &Range<usize>) -> Result<String, Tangled> {
        let extents: Vec<Range<usize>> = list.rows.iter().filter_map(Block::extent).collect();
        let (from, to) = match &extents[..] {
            [] => return Ok(" ".to_owned()),
            [one] => (brackets.start + 1, one.start),
            [one, other, ..] => (one.end, other.start),
        };
        let gap = &self.text[from..to];
        if gap.contains('#') {
            return Err(Tangled);
        }
        let gap = gap.split_once(',').map_or(gap, |(_, gap)| gap);
        Ok(if gap.contains('\n') { gap } else { " " }.to_owned())
    }

    /// Takes rows out of a list.
    pub(super) fn remove_rows(self, list: &List, rows: &[usize]) -> Result<Vec<Splice>, Tangled> {
        let extents = self.extents(list)?;
        if let Some(brackets) = &list.brackets {
            return self.without_items(&extents, brackets, rows);
        }
        let chosen = rows.iter().filter_map(|row| extents.get(*row));
        let without = chosen.map(|extent| {
            let start = line_start(self.text, extent.start);
            let mut stop = next_line(self.text, extent.end);
            // One of the empty lines round it goes with it.
            let above_is_blank = start == 0
                || self.text[..start].ends_with("\n\n")
                || self.text[..start].ends_with("\n\r\n");
            let after = line_stop(self.text, stop);
            if above_is_blank && stop < self.text.len() && self.text[stop..after].trim().is_empty()
            {
                stop = next_line(self.text, stop);
            }
            Splice::new(start..stop, "")
        });
        Ok(without.collect())
    }

    /// Takes items out of brackets, each with one comma.
    fn without_items(
        self,
        extents: &[Range<usize>],
        brackets: &Range<usize>,
        rows: &[usize],
    ) -> Result<Vec<Splice>, Tangled> {
        let n_kept_first = (0..extents.len())
            .rev()
            .find(|row| !rows.contains(row))
            .map_or(0, |last| last + 1);
        let mut stretches = Vec::new();
        for row in (0..n_kept_first).filter(|row| rows.contains(row)) {
            stretches.push(extents[row].start..extents[row + 1].start);
        }
        if n_kept_first < extents.len() {
            let last = extents[extents.len() - 1].end;
            stretches.push(match n_kept_first.checked_sub(1) {
                Some(kept) => extents[kept].end..last,
                None => brackets.start + 1..brackets.end - 1,
            });
        }
        let has_remark = |at: &Range<usize>| {
            let mut inside = extents
                .iter()
                .filter(|row| at.start <= row.start && row.end <= at.end);
            let mut from = at.start;
            let mut found = inside.any(|row| {
                let gap = &self.text[from..row.start];
                from = row.end;
                gap.contains('#')
            });
            found |= self.text[from.min(at.end)..at.end].contains('#');
            found
        };
        if stretches.iter().any(has_remark) {
            return Err(Tangled);
        }
        Ok(stretches
            .into_iter()
            .map(|at| Splice::new(at, ""))
            .collect())
    }

    /// Moves a row of a list to another place.
    pub(super) fn move_row(
        self,
        list: &List,
        from: usize,
        to: usize,
    ) -> Result<Vec<Splice>, Tangled> {
        let extents = self.extents(list)?;
        let whole = |extent: &Range<usize>| match list.brackets {
            Some(_) => extent.clone(),
            None => extent.start..line_stop(self.text, extent.end),
        };
        let stretches: Vec<Range<usize>> = extents.iter().map(whole).collect();
        Ok(permuted(
            self.text,
            &stretches,
            &moved(stretches.len(), from, to),
        ))
    }

    /// Where each row of a list lies, if nothing else lies within it.
    fn extents(self, list: &List) -> Result<Vec<Range<usize>>, Tangled> {
        let extent = |row: &Block| {
            let extent = row.extent().ok_or(Tangled)?;
            let mut headers = self.layout.headers.iter();
            let is_foreign = |at: &Range<usize>| extent.start < at.start && at.start < extent.end;
            if headers.any(is_foreign) {
                Err(Tangled)
            } else {
                Ok(extent)
            }
        };
        list.rows.iter().map(extent).collect()
    }
}

/// A key as it stands before its sign.
fn bare_key(key: &str) -> String {
    let is_bare = |symbol: char| symbol.is_ascii_alphanumeric() || matches!(symbol, '-' | '_');
    if !key.is_empty() && key.chars().all(is_bare) {
        key.to_owned()
    } else {
        value(key, Takes::Unknown, None::<(&Written, &str)>)
    }
}

fn in_braces(pairs: &[String]) -> String {
    if pairs.is_empty() {
        "{}".to_owned()
    } else {
        format!("{{ {} }}", pairs.join(", "))
    }
}
