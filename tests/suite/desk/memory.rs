//! Files in memory, a desk on them, and what an edit makes of them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use longpoint::desk::{Change, Desk, Edit, History};
use longpoint::load::{FileFault, Files};

/// Files by their paths; the first one that was given is the job file.
#[derive(Clone, Debug)]
pub(super) struct Memory {
    pub(super) job: PathBuf,
    pub(super) files: BTreeMap<PathBuf, Vec<u8>>,
}

impl Memory {
    /// Files in one folder.
    pub(super) fn of(files: &[(&str, &str)]) -> Memory {
        let bytes = |text: &str| text.as_bytes().to_vec();
        Memory {
            job: PathBuf::from(files[0].0),
            files: files
                .iter()
                .map(|(name, text)| (PathBuf::from(name), bytes(text)))
                .collect(),
        }
    }

    /// A job as it lies on the disk, with all files round it.
    pub(super) fn on_disk(job: &str) -> Memory {
        let job = PathBuf::from(job);
        let mut files = BTreeMap::new();
        let mut folders = vec![job.parent().unwrap().to_owned()];
        // The shop's files lie above.
        if job.starts_with("data/shop") {
            folders.push(PathBuf::from("data/shop"));
        }
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    files.insert(path.clone(), fs::read(&path).unwrap());
                }
            }
        }
        Memory { job, files }
    }

    pub(super) fn desk(&self) -> Desk {
        Desk::open(&self.job, self)
    }

    pub(super) fn text(&self, path: &str) -> &str {
        std::str::from_utf8(&self.files[Path::new(path)]).unwrap()
    }

    /// Writes what has changed; every text is as the change found it.
    pub(super) fn write(&mut self, change: &Change) {
        for text in &change.texts {
            let now = self.files.get(&text.path).map(Vec::as_slice);
            assert_eq!(now, text.before.as_ref().map(String::as_bytes));
            assert_ne!(text.before, text.after, "only what changes is in a change");
            match &text.after {
                Some(after) => {
                    let bytes = after.clone().into_bytes();
                    self.files.insert(text.path.clone(), bytes);
                }
                None => {
                    self.files.remove(&text.path);
                }
            }
        }
    }

    /// Makes an edit, and holds that it can be taken back and done again to the byte.
    pub(super) fn edit(&mut self, edit: &Edit) -> Change {
        let desk = self.desk();
        let change = desk.change(edit, &desk.version).unwrap();
        let before = self.files.clone();
        self.write(&change);
        let after = self.files.clone();
        let mut history = History::default();
        history.keep(&change);
        if change.texts.is_empty() {
            assert_eq!(history.says(), None);
            return change;
        }
        assert_eq!(history.says(), Some(change.says.as_str()));
        let (back, history) = history.undo(&self.desk()).unwrap();
        self.write(&back);
        assert_eq!(self.files, before, "taken back");
        let (again, _) = history.redo(&self.desk()).unwrap();
        self.write(&again);
        assert_eq!(self.files, after, "done again");
        change
    }
}

impl Files for Memory {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        if self.files.keys().any(|file| file.parent() == Some(path)) {
            return Err(FileFault::Directory);
        }
        self.files.get(path).cloned().ok_or(FileFault::Missing)
    }
}

/// All that a desk shows, each by what it is called: cells by table, row and column, settings by file and key.
pub(super) fn shown(desk: &Desk) -> BTreeMap<String, String> {
    let mut shown = BTreeMap::new();
    for (table_idx, table) in desk.tables.iter().enumerate() {
        let name = table.schema.name;
        for (row_idx, row) in table.rows.iter().enumerate() {
            let place = format!("{table_idx} {name} {row_idx}");
            shown.insert(place.clone(), "row".to_owned());
            for (column_idx, text) in row.iter().enumerate() {
                let heading = match table.columns.get(column_idx) {
                    // Columns of rows in a job file are those that any row has.
                    Some(column) if !table.is_own_file => column.heading.clone(),
                    _ => column_idx.to_string(),
                };
                if !text.is_empty() {
                    shown.insert(format!("{place} {heading}"), text.clone());
                }
            }
        }
    }
    for form in &desk.forms {
        for field in form.fields.iter().filter(|field| !field.text.is_empty()) {
            let place = format!("{} [{}] {}", form.file, form.schema.name, field.key);
            shown.insert(place, field.text.clone());
        }
    }
    shown
}

/// What one map has otherwise than another.
pub(super) fn differences(
    one: &BTreeMap<String, String>,
    other: &BTreeMap<String, String>,
) -> Vec<String> {
    let keys = one.keys().chain(other.keys());
    let mut different: Vec<String> = keys
        .filter(|key| one.get(*key) != other.get(*key))
        .cloned()
        .collect();
    different.sort();
    different.dedup();
    different
}

/// Whether two texts are the same but for one line that is another, more or less.
pub(super) fn differ_in_one_line(one: &str, other: &str) -> bool {
    let one: Vec<&str> = one.split_inclusive('\n').collect();
    let other: Vec<&str> = other.split_inclusive('\n').collect();
    let pairs = one.iter().zip(&other);
    let head = pairs.take_while(|(one, other)| one == other).count();
    let pairs = one[head..].iter().rev().zip(other[head..].iter().rev());
    let tail = pairs.take_while(|(one, other)| one == other).count();
    one.len() - head - tail <= 1 && other.len() - head - tail <= 1
}

/// Texts that try the ways to write a cell.
pub(super) const NASTY: [&str; 30] = [
    "12 3/8",
    "8' 2 1/2\"",
    "12\"",
    "",
    "Sea, sky; land",
    "say \"hi\"",
    "\"",
    "\"\"quoted\"\"",
    "'",
    "'tis",
    "''",
    "=SUM(A1:A9)",
    "-1 1/2",
    "+x",
    "@home",
    "two\nlines",
    "two\r\nlines",
    "a\tb",
    "  blanks  ",
    "\u{645}\u{631}\u{62d}\u{628}\u{627}",
    "a\u{202e}b",
    "[U+202E]",
    "\\ back \\n",
    "# no remark",
    "[[frames]]",
    "key = \"value\"",
    "true",
    "3",
    "2026-11-25",
    "½ 🖼 ﬁ",
];

/// A text as a cell shows it.
pub(super) fn as_cell(text: &str) -> String {
    let lines = text.split(['\n', '\r', '\t']).map(str::trim);
    let lines: Vec<&str> = lines.filter(|line| !line.is_empty()).collect();
    lines.join(" ")
}
