//! Cells as spreadsheets put them on the clipboard: parted by tabs, rows by ends of lines, in quotes where a cell holds
//! either.

use csv::ReaderBuilder;

use super::changing::cell_text;
use crate::load::schema::Schema;

/// What was copied.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Copied {
    /// The names of the columns, where the first row tells them.
    pub(super) headings: Option<Vec<String>>,
    /// The other rows.
    pub(super) rows: Vec<Vec<String>>,
}

impl Copied {
    /// Reads a text; `schema` tells which names a heading may have.
    ///
    /// Cells are parted by tabs. A list out of a file, parted by commas or semicolons, is known by its headings alone, since
    /// a name may hold either.
    pub(super) fn read(text: &str, schema: &Schema) -> Copied {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let by_tabs = parted(text, b'\t');
        let is_one_column = by_tabs.iter().all(|row| row.len() <= 1);
        let others = [b',', b';'].into_iter().filter(|_| is_one_column);
        let mut others = others.map(|delimiter| parted(text, delimiter));
        let named = others.find(|rows| are_headings(rows, schema));
        let mut rows = named.unwrap_or(by_tabs);
        let headings = are_headings(&rows, schema).then(|| rows.remove(0));
        Copied { headings, rows }
    }

    /// The most cells of a row.
    pub(super) fn width(&self) -> usize {
        self.rows.iter().map(Vec::len).max().unwrap_or(0)
    }
}

/// Whether the first of several rows names columns: half of its names are known, two at least, or its only one.
fn are_headings(rows: &[Vec<String>], schema: &Schema) -> bool {
    let [first, _, ..] = rows else {
        return false;
    };
    let filled = first.iter().filter(|name| !name.is_empty()).count();
    let known = first.iter().filter(|name| schema.headed(name).is_some());
    let known = known.count();
    known * 2 >= filled && (known >= 2 || (known == 1 && first.len() == 1))
}

/// Rows of cells; empty rows at the end are none, and those between stay.
fn parted(text: &str, delimiter: u8) -> Vec<Vec<String>> {
    // The reader of tables passes empty lines over, which here are rows of one empty cell.
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let (line, after) = one_row(rest);
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter)
            .from_reader(line.as_bytes());
        let record = reader.records().find_map(Result::ok).unwrap_or_default();
        rows.push(record.iter().map(cell_text).collect());
        rest = after;
    }
    while rows
        .last()
        .is_some_and(|row| row.iter().all(String::is_empty))
    {
        rows.pop();
    }
    rows
}

/// The first row of a text and what comes behind it; an end of a line between quotes does not end it.
fn one_row(text: &str) -> (&str, &str) {
    let bytes = text.as_bytes();
    let mut is_quoted = false;
    let mut begins_cell = true;
    let mut at = 0;
    while at < bytes.len() {
        match bytes[at] {
            b'"' if is_quoted && bytes.get(at + 1) == Some(&b'"') => at += 1,
            b'"' if is_quoted => is_quoted = false,
            b'"' if begins_cell => is_quoted = true,
            b'\n' | b'\r' if !is_quoted => {
                let is_pair = bytes[at] == b'\r' && bytes.get(at + 1) == Some(&b'\n');
                return (&text[..at], &text[at + 1 + usize::from(is_pair)..]);
            }
            _ => {}
        }
        begins_cell = matches!(bytes[at], b'\t' | b',' | b';') && !is_quoted;
        at += 1;
    }
    if is_quoted {
        // A quote that nothing closes is a sign like any other, such as that of inches in front of a name.
        let end = text.find(['\n', '\r']).unwrap_or(text.len());
        let pair = usize::from(text[end..].starts_with("\r\n"));
        let after = (end + 1 + pair).min(text.len());
        return (&text[..end], &text[after..]);
    }
    (text, "")
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;
    use crate::load::schema::FRAMES;

    fn rows(text: &str) -> Vec<Vec<String>> {
        Copied::read(text, &FRAMES).rows
    }

    #[test]
    fn cells_are_what_a_spreadsheet_shows() {
        assert_eq!(rows("a\tb\r\nc\td\r\n"), [["a", "b"], ["c", "d"]]);
        assert_eq!(
            rows("\"a\tb\"\t\"say \"\"hi\"\"\"\n"),
            [["a\tb".replace('\t', " "), "say \"hi\"".to_owned()]]
        );
        assert_eq!(rows("\"two\nlines\"\t1"), [["two lines", "1"]]);
        assert_eq!(rows("a\n\nb\n\n\n"), [vec!["a"], vec![], vec!["b"]]);
        assert_eq!(
            rows("8' 2 1/2\"\t12\"\nx\ty"),
            [["8' 2 1/2\"", "12\""], ["x", "y"]]
        );
        assert_eq!(rows(""), Vec::<Vec<String>>::new());
        assert_eq!(rows("Sea, sky; land"), [["Sea, sky; land"]]);
    }

    #[test]
    fn a_quote_that_nothing_closes_ends_with_its_line() {
        assert_eq!(rows("\"open\tb\nc\td"), [vec!["open b"], vec!["c", "d"]]);
    }

    #[test]
    fn headings_are_known_by_their_names() {
        let copied = Copied::read("Frame\tQty\tArt Width\tNote\nPier\t2\t8\tblue", &FRAMES);
        assert_eq!(
            copied.headings.unwrap(),
            ["Frame", "Qty", "Art Width", "Note"]
        );
        assert_eq!(copied.rows, [["Pier", "2", "8", "blue"]]);
        assert!(Copied::read("Frame\nPier", &FRAMES).headings.is_some());
        assert!(
            Copied::read("Frame\t2\nPier\t3", &FRAMES)
                .headings
                .is_none()
        );
        assert!(Copied::read("Frame\tQty", &FRAMES).headings.is_none());
        let of_a_file = Copied::read("frame;art-width\nPier;29,7\n", &FRAMES);
        assert_eq!(of_a_file.rows, [["Pier", "29,7"]]);
    }
}
