//! Edits done: from what is asked to the texts that change.

use super::blocks::{Keys, Tangled, Wanted};
use super::clipboard::Copied;
use super::edit::{Change, Edit, Heading, NewText, Refusal};
use super::keys::Layout;
use super::sheets::Sheet;
use super::splice::{Splice, line_end, spliced};
use super::values::Takes;
use super::{Content, Desk, Table, Version};
use crate::load::LARGEST_FILE;
use crate::load::schema::{Column, JOB, Shape};

/// A text as a cell holds it: without blanks at its ends, on one line.
pub(super) fn cell_text(text: &str) -> String {
    let text = text.trim();
    if !text.contains(['\n', '\r', '\t']) {
        return text.to_owned();
    }
    let lines = text.split(['\n', '\r', '\t']).map(str::trim);
    let lines: Vec<&str> = lines.filter(|line| !line.is_empty()).collect();
    lines.join(" ")
}

/// A file and what becomes of its text.
type Changed = (usize, String);

impl Desk {
    /// Makes an edit that was asked for while the files were those of `made_on`.
    ///
    /// # Errors
    /// Why it is not made; an edit made on other files is refused, with both versions.
    pub fn change(&self, edit: &Edit, made_on: &Version) -> Result<Change, Refusal> {
        if *made_on != self.version {
            return Err(Refusal::Older {
                made_on: made_on.clone(),
                now: self.version.clone(),
                stands: self.stands(edit),
            });
        }
        let mut left_out = Vec::new();
        let (file, body) = match edit {
            Edit::Setting { form, key, text } => self.set(*form, key, &cell_text(text))?,
            Edit::File { file, text } => self.whole(*file, text)?,
            Edit::Cell {
                table,
                row,
                column,
                text,
            } => {
                let column = self.target(*table, column)?;
                self.write(*table, *row, &[vec![(column, cell_text(text))]], false)?
            }
            Edit::AddRow { table, at, cells } => {
                let cells = cells.iter().map(|(column, text)| {
                    let column = self.target(*table, column)?;
                    Ok((column, cell_text(text)))
                });
                let cells = cells.collect::<Result<Vec<_>, Refusal>>()?;
                let at = at.unwrap_or(self.table(*table)?.rows.len());
                self.write(*table, at, &[cells], true)?
            }
            Edit::Paste {
                table,
                row,
                column,
                text,
            } => {
                let copied = Copied::read(text, self.table(*table)?.schema);
                let targets = self.targets(*table, column.as_ref(), &copied, &mut left_out)?;
                let rows = copied.rows.iter().map(|row| {
                    let cells = row.iter().zip(&targets);
                    let cells =
                        cells.filter_map(|(text, target)| Some((target.clone()?, text.clone())));
                    cells.collect()
                });
                self.write(*table, *row, &rows.collect::<Vec<_>>(), false)?
            }
            Edit::RemoveRow { table, row } => self.reorder(*table, *row, None)?,
            Edit::MoveRow { table, row, to } => self.reorder(*table, *row, Some(*to))?,
            Edit::AddColumn { table, column } => {
                let known = self.table(*table)?.schema.column(column);
                let known = known.ok_or_else(|| Refusal::UnknownColumn(column.clone()))?;
                self.widen(*table, known)?
            }
        };
        let held = &self.files[file];
        let after = held.with_body(body);
        if after.len() as u64 > LARGEST_FILE {
            return Err(Refusal::TooLarge(held.path.clone()));
        }
        let is_whole = matches!(edit, Edit::File { .. });
        if self.layout(file).is_some() && !is_whole {
            // A change that would spoil the file is none; this cannot be seen before in every file.
            let body = after.trim_start_matches(super::MARK);
            Layout::of(body).ok_or_else(|| Refusal::Tangled(held.path.clone()))?;
        }
        let before = match &held.content {
            Content::Text(text) => Some(text.clone()),
            Content::Converted(_) | Content::Missing | Content::Unreadable => None,
        };
        let is_changed = before.as_ref() != Some(&after);
        let texts = is_changed.then(|| NewText {
            path: held.path.clone(),
            before,
            after: Some(after),
        });
        Ok(Change {
            says: self.says(edit),
            texts: texts.into_iter().collect(),
            left_out,
        })
    }

    fn table(&self, table: usize) -> Result<&Table, Refusal> {
        self.tables.get(table).ok_or(Refusal::NotThere)
    }

    /// The text of a file to be changed; of one that is not there, an empty one.
    fn body(&self, file: usize) -> Result<&str, Refusal> {
        let held = &self.files[file];
        match held.content {
            Content::Missing => Ok(""),
            Content::Converted(_) => Err(Refusal::NotOurs(held.path.clone())),
            Content::Text(_) | Content::Unreadable => held
                .body()
                .ok_or_else(|| Refusal::NotReadable(held.path.clone())),
        }
    }

    /// A job file or that of its shop with its layout.
    fn keys(&self, file: usize) -> Result<Keys<'_>, Refusal> {
        let layout = self.layout(file);
        let layout = layout.ok_or_else(|| Refusal::NotReadable(self.files[file].path.clone()))?;
        let text = self.body(file)?;
        Ok(Keys { text, layout })
    }

    fn spliced(
        &self,
        file: usize,
        splices: Result<Vec<Splice>, Tangled>,
    ) -> Result<Changed, Refusal> {
        let splices = splices.map_err(|Tangled| Refusal::Tangled(self.files[file].path.clone()))?;
        Ok((file, spliced(self.body(file)?, splices)))
    }

    /// Writes a setting.
    fn set(&self, form: usize, key: &str, text: &str) -> Result<Changed, Refusal> {
        let form = self.forms.get(form).ok_or(Refusal::NotThere)?;
        let keys = self.keys(form.file)?;
        let name = form.schema.name;
        let is_head = form.schema.shape == Shape::Head;
        let of_list = JOB.iter().find(|schema| schema.name == key);
        let may_be_path =
            is_head && of_list.is_some_and(|schema| schema.shape == Shape::ListOrFiles);
        let is_there = form.fields.iter().any(|field| field.key == key);
        let takes = match form.schema.column(key) {
            Some(column) => Takes::Column(column),
            None if may_be_path => Takes::Paths,
            None if is_there => Takes::Unknown,
            None => return Err(Refusal::UnknownKey(key.to_owned())),
        };
        if may_be_path && keys.layout.list(key).is_some() {
            // The rows stand in the job file, so there is no place for a path.
            return Err(Refusal::Tangled(self.files[form.file].path.clone()));
        }
        let wanted = [Wanted { key, text, takes }];
        let block = if is_head {
            Some(&keys.layout.head)
        } else {
            keys.layout.table(name)
        };
        let splices = match block {
            Some(block) => keys.fill(block, &wanted),
            None => Ok(keys.begin_table(name, &wanted).into_iter().collect()),
        };
        self.spliced(form.file, splices)
    }

    /// Writes a whole file; its lines end as they did.
    fn whole(&self, file: usize, text: &str) -> Result<Changed, Refusal> {
        let held = self.files.get(file).ok_or(Refusal::NotThere)?;
        let before = self.body(file)?;
        let text = text.strip_prefix(super::MARK).unwrap_or(text);
        let plain = text.replace("\r\n", "\n");
        let end = line_end(before);
        let body = if before.contains(end)
            && end != "\n"
            && before.matches('\n').count() == before.matches(end).count()
        {
            plain.replace('\n', end)
        } else if held.body() == Some(text) {
            text.to_owned()
        } else {
            plain
        };
        Ok((file, body))
    }

    /// The column that is meant.
    fn target(&self, table: usize, heading: &Heading) -> Result<Target, Refusal> {
        let table = self.table(table)?;
        match heading {
            Heading::At(at) => {
                let column = table.columns.get(*at).ok_or(Refusal::NotThere)?;
                Ok(match column.column {
                    Some(known) if !table.is_own_file => Target::Known(known),
                    _ if table.is_own_file => Target::At(*at),
                    _ => Target::Key(column.heading.clone()),
                })
            }
            Heading::Named(name) => {
                let known = table
                    .schema
                    .column(name)
                    .or_else(|| table.schema.headed(name));
                if let Some(known) = known {
                    return Ok(Target::Known(known));
                }
                let mut columns = table.columns.iter();
                let at = columns.position(|column| column.heading == *name);
                match at {
                    Some(at) if table.is_own_file => Ok(Target::At(at)),
                    Some(_) => Ok(Target::Key(name.clone())),
                    None => Err(Refusal::UnknownColumn(name.clone())),
                }
            }
        }
    }

    /// The columns that the cells of what is pasted belong into; `None` for those that are left out.
    fn targets(
        &self,
        table: usize,
        from: Option<&Heading>,
        copied: &Copied,
        left_out: &mut Vec<String>,
    ) -> Result<Vec<Option<Target>>, Refusal> {
        if copied.rows.is_empty() {
            return Err(Refusal::NothingToPaste);
        }
        if let Some(headings) = &copied.headings {
            let mut targets: Vec<Option<Target>> = Vec::new();
            for heading in headings {
                let target = self.target(table, &Heading::Named(heading.clone())).ok();
                let target = target.filter(|target| !targets.contains(&Some(target.clone())));
                if target.is_none() && !heading.is_empty() {
                    left_out.push(heading.clone());
                }
                targets.push(target);
            }
            return Ok(targets);
        }
        let of = self.table(table)?;
        let first = match from {
            None => 0,
            Some(Heading::At(at)) => *at,
            Some(Heading::Named(name)) => {
                let at = of.column(name).or_else(|| {
                    let mut columns = of.columns.iter();
                    columns.position(|column| column.heading == *name)
                });
                at.ok_or_else(|| Refusal::UnknownColumn(name.clone()))?
            }
        };
        let room = of.columns.len().saturating_sub(first);
        if copied.width() > room {
            return Err(Refusal::TooWide {
                pasted: copied.width(),
                room,
            });
        }
        let targets =
            (first..first + copied.width()).map(|at| self.target(table, &Heading::At(at)));
        targets.map(|target| target.map(Some)).collect()
    }

    /// Writes cells into rows from `row` on, or with `add` into rows that are put before it; rows beyond the last are added.
    fn write(
        &self,
        table: usize,
        row: usize,
        rows: &[Vec<(Target, String)>],
        add: bool,
    ) -> Result<Changed, Refusal> {
        let of = self.table(table)?;
        let n_rows = of.rows.len();
        if row > n_rows {
            return Err(Refusal::NotThere);
        }
        let is_empty = rows.iter().flatten().all(|(_, text)| text.is_empty());
        if row == n_rows && is_empty && !add {
            return Ok((of.file, self.body(of.file)?.to_owned()));
        }
        let n_set = if add {
            0
        } else {
            (n_rows - row).min(rows.len())
        };
        if of.is_own_file {
            self.write_sheet(of, row, rows, n_set)
        } else {
            self.write_list(of, row, rows, n_set)
        }
    }

    fn write_sheet(
        &self,
        of: &Table,
        row: usize,
        rows: &[Vec<(Target, String)>],
        n_set: usize,
    ) -> Result<Changed, Refusal> {
        let mut sheet = Sheet::new(self.body(of.file)?, of.schema);
        let mut placed: Vec<Vec<(usize, &str)>> = Vec::with_capacity(rows.len());
        for cells in rows {
            let mut row = Vec::with_capacity(cells.len());
            for (target, text) in cells {
                let at = match target {
                    Target::At(at) => *at,
                    // Nothing is to be written into a column that is not there.
                    Target::Known(known) if text.is_empty() && of.column(known.name).is_none() => {
                        continue;
                    }
                    Target::Known(known) => sheet.column(known),
                    Target::Key(_) => return Err(Refusal::NotThere),
                };
                row.push((at, text.as_str()));
            }
            placed.push(row);
        }
        let (set, added) = placed.split_at(n_set);
        let cells = set.iter().enumerate().flat_map(|(idx, cells)| {
            cells
                .iter()
                .map(move |&(column, text)| (row + idx, column, text))
        });
        let cells: Vec<(usize, usize, &str)> = cells.collect();
        sheet.set(&cells);
        if !added.is_empty() {
            let at = if n_set > 0 { sheet.n_rows() } else { row };
            sheet.add(at, added);
        }
        Ok((of.file, sheet.body))
    }

    fn write_list(
        &self,
        of: &Table,
        row: usize,
        rows: &[Vec<(Target, String)>],
        n_set: usize,
    ) -> Result<Changed, Refusal> {
        let keys = self.keys(of.file)?;
        let list = keys.layout.list(of.schema.name);
        let wanted = rows.iter().map(|cells| {
            let cells = cells.iter().map(|(target, text)| {
                let (key, takes) = match target {
                    Target::Known(column) => (column.name, Takes::Column(column)),
                    Target::Key(key) => (key.as_str(), Takes::Unknown),
                    Target::At(_) => return Err(Refusal::NotThere),
                };
                Ok(Wanted { key, text, takes })
            });
            cells.collect::<Result<Vec<_>, Refusal>>()
        });
        let wanted = wanted.collect::<Result<Vec<_>, Refusal>>()?;
        let (set, added) = wanted.split_at(n_set);
        let splices = || {
            let mut splices = Vec::new();
            for (idx, cells) in set.iter().enumerate() {
                let block = list
                    .and_then(|list| list.rows.get(row + idx))
                    .ok_or(Tangled)?;
                splices.append(&mut keys.fill(block, cells)?);
            }
            if !added.is_empty() {
                let at = row + n_set;
                splices.append(&mut keys.add_rows(of.schema.name, list, at, added)?);
            }
            Ok(splices)
        };
        self.spliced(of.file, splices())
    }

    /// Takes a row out, or moves it.
    fn reorder(&self, table: usize, row: usize, to: Option<usize>) -> Result<Changed, Refusal> {
        let of = self.table(table)?;
        if row >= of.rows.len() || to.is_some_and(|to| to >= of.rows.len()) {
            return Err(Refusal::NotThere);
        }
        if of.is_own_file {
            let mut sheet = Sheet::new(self.body(of.file)?, of.schema);
            match to {
                Some(to) => sheet.shift(row, to),
                None => sheet.remove(row),
            }
            return Ok((of.file, sheet.body));
        }
        let keys = self.keys(of.file)?;
        let list = keys.layout.list(of.schema.name).ok_or(Refusal::NotThere)?;
        let splices = match to {
            Some(to) => keys.move_row(list, row, to),
            None => keys.remove_rows(list, &[row]),
        };
        self.spliced(of.file, splices)
    }

    /// Adds a column.
    fn widen(&self, table: usize, column: &'static Column) -> Result<Changed, Refusal> {
        let of = self.table(table)?;
        let body = self.body(of.file)?;
        if !of.is_own_file {
            return Ok((of.file, body.to_owned()));
        }
        let mut sheet = Sheet::new(body, of.schema);
        sheet.column(column);
        Ok((of.file, sheet.body))
    }

    /// What stands where an edit of one text is to go.
    fn stands(&self, edit: &Edit) -> Option<String> {
        match edit {
            Edit::Cell {
                table, row, column, ..
            } => {
                let table = self.tables.get(*table)?;
                let column = match column {
                    Heading::At(at) => *at,
                    Heading::Named(name) => table.column(name)?,
                };
                table.rows.get(*row)?.get(column).cloned()
            }
            Edit::Setting { form, key, .. } => {
                let mut fields = self.forms.get(*form)?.fields.iter();
                let field = fields.find(|field| field.key == *key)?;
                Some(field.text.clone())
            }
            _ => None,
        }
    }

    /// What an edit changes, in a few words.
    fn says(&self, edit: &Edit) -> String {
        let row_of = |table: usize, row: usize| {
            let Some(table) = self.tables.get(table) else {
                return String::new();
            };
            match table.row_name(row) {
                Some(name) => name.to_owned(),
                None => format!("row {} of {}", row + 1, table.schema.name),
            }
        };
        let list = |table: usize| self.tables.get(table).map_or("", |table| table.schema.name);
        match edit {
            Edit::Cell {
                table, row, column, ..
            } => {
                let column = match column {
                    Heading::Named(name) => name.clone(),
                    Heading::At(at) => {
                        let columns = self.tables.get(*table).map(|table| &table.columns);
                        let column = columns.and_then(|columns| columns.get(*at));
                        column
                            .map(|column| column.heading.clone())
                            .unwrap_or_default()
                    }
                };
                // While a name is typed it is another with every letter.
                let of = self.tables.get(*table);
                let is_name = of.is_some_and(|of| match of.schema.columns.first() {
                    Some(first) => first.name == column || of.rows.get(*row).is_none(),
                    None => false,
                });
                if is_name {
                    format!("row {} of {}", row + 1, list(*table))
                } else {
                    format!("{column} of {}", row_of(*table, *row))
                }
            }
            Edit::AddRow { table, .. } => format!("a new row of {}", list(*table)),
            Edit::RemoveRow { table, row } => format!("{} taken out", row_of(*table, *row)),
            Edit::MoveRow { table, row, .. } => format!("{} moved", row_of(*table, *row)),
            Edit::Paste { table, .. } => format!("what was pasted into {}", list(*table)),
            Edit::AddColumn { table, column } => format!("column {column} of {}", list(*table)),
            Edit::Setting { form, key, .. } => {
                let name = self.forms.get(*form).map_or("", |form| form.schema.name);
                if name.is_empty() {
                    key.clone()
                } else {
                    format!("{key} of [{name}]")
                }
            }
            Edit::File { file, .. } => {
                let name = self.files.get(*file).and_then(|file| file.path.file_name());
                let name = name.unwrap_or_default().to_string_lossy();
                format!("the text of {name}")
            }
        }
    }
}

/// A column to write to.
#[derive(Clone, Debug)]
enum Target {
    /// By its place in a CSV table.
    At(usize),
    /// By its name in the schema.
    Known(&'static Column),
    /// By a key that nobody knows.
    Key(String),
}

impl PartialEq for Target {
    fn eq(&self, other: &Target) -> bool {
        match (self, other) {
            (Target::At(one), Target::At(other)) => one == other,
            (Target::Known(one), Target::Known(other)) => std::ptr::eq(*one, *other),
            (Target::Key(one), Target::Key(other)) => one == other,
            _ => false,
        }
    }
}
