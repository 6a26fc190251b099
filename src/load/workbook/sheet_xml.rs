//! What the reader of workbooks does not tell of a sheet: which rows are hidden, and which cells are merged downward.
//!
//! Both stand in the XML of the sheet (ISO/IEC 29500 for `.xlsx`, `OpenDocument` 1.3 part 3 for `.ods`).
//! A workbook that has this in another way than these standards is read without it.

use std::io::{BufRead, BufReader, Cursor};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;

use super::{Kind, ROWS_READ, index};

/// Rows and cells of a sheet, from 0.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct SheetXml {
    /// Rows that are hidden, by hand or by a filter: the first and the last of each run.
    pub(super) hidden: Vec<(u32, u32)>,
    /// Cells that are merged with those below.
    pub(super) merged: Vec<MergedCell>,
}

impl SheetXml {
    /// Notes rows that are hidden; those beyond any table, and more runs than one has rows, are nothing to it.
    fn hide(&mut self, first: u32, last: u32) {
        if index(first) >= ROWS_READ {
            return;
        }
        if let Some((_, before)) = self.hidden.last_mut()
            && before.checked_add(1) == Some(first)
        {
            *before = last;
        } else if self.hidden.len() < ROWS_READ {
            self.hidden.push((first, last));
        }
    }

    /// Notes a cell that is merged, in the same bounds.
    fn merge(&mut self, cell: MergedCell) {
        if index(cell.row) < ROWS_READ && self.merged.len() < ROWS_READ {
            self.merged.push(cell);
        }
    }
}

/// A cell that is merged with those below it in its column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct MergedCell {
    /// Its row.
    pub(super) row: u32,
    /// Its column.
    pub(super) column: u32,
    /// The last row that it reaches.
    pub(super) last_row: u32,
}

type Archive<'b> = ZipArchive<Cursor<&'b [u8]>>;

/// What the XML of a sheet says; nothing where it is not found.
pub(super) fn sheet_xml(kind: Kind, bytes: &[u8], sheet: &str) -> SheetXml {
    let found = ZipArchive::new(Cursor::new(bytes))
        .ok()
        .and_then(|mut archive| match kind {
            Kind::Xlsx => of_xlsx(&mut archive, sheet),
            Kind::Ods => of_ods(&mut archive, sheet),
        });
    found.unwrap_or_default()
}

/// Calls `each` with every tag that begins, until it says to end.
fn each_tag(
    archive: &mut Archive<'_>,
    part: &str,
    mut each: impl FnMut(&BytesStart<'_>, bool) -> Option<bool>,
) -> Option<()> {
    let part = archive.by_name(part).ok()?;
    let mut reader = Reader::from_reader(BufReader::new(part));
    let mut buffer = Vec::new();
    while let Some((tag, is_empty)) = next_tag(&mut reader, &mut buffer) {
        if !each(&tag, is_empty)? {
            break;
        }
    }
    Some(())
}

fn next_tag<R: BufRead>(
    reader: &mut Reader<R>,
    buffer: &mut Vec<u8>,
) -> Option<(BytesStart<'static>, bool)> {
    loop {
        buffer.clear();
        match reader.read_event_into(buffer).ok()? {
            Event::Start(tag) => return Some((tag.into_owned(), false)),
            Event::Empty(tag) => return Some((tag.into_owned(), true)),
            Event::Eof => return None,
            _ => {}
        }
    }
}

/// The value of an attribute, whatever its prefix.
fn attribute(tag: &BytesStart<'_>, name: &str) -> Option<String> {
    let mut attributes = tag.attributes().flatten();
    let found = attributes.find(|one| one.key.local_name().as_ref() == name)?;
    Some(quick_xml::escape::unescape(&found.value).ok()?.into_owned())
}

fn is_named(tag: &BytesStart<'_>, name: &str) -> bool {
    tag.local_name().as_ref() == name
}

fn of_xlsx(archive: &mut Archive<'_>, sheet: &str) -> Option<SheetXml> {
    let mut id = None;
    each_tag(archive, "xl/workbook.xml", |tag, _| {
        if is_named(tag, "sheet") && attribute(tag, "name")? == sheet {
            id = attribute(tag, "id");
        }
        Some(id.is_none())
    })?;
    let id = id?;
    let mut target = None;
    each_tag(archive, "xl/_rels/workbook.xml.rels", |tag, _| {
        if is_named(tag, "Relationship") && attribute(tag, "Id")? == id {
            target = attribute(tag, "Target");
        }
        Some(target.is_none())
    })?;
    let target = target?;
    let part = match target.strip_prefix('/') {
        Some(whole) => whole.to_owned(),
        None => format!("xl/{target}"),
    };
    let mut found = SheetXml::default();
    let mut row = 0_u32;
    each_tag(archive, &part, |tag, _| {
        if is_named(tag, "row") {
            // A row without a number follows the one before.
            row = attribute(tag, "r")
                .and_then(|number| number.parse().ok())
                .unwrap_or(row.saturating_add(1));
            let is_hidden =
                attribute(tag, "hidden").is_some_and(|told| told != "0" && told != "false");
            // Rows are counted from 1.
            if is_hidden && let Some(row) = row.checked_sub(1) {
                found.hide(row, row);
            }
        } else if is_named(tag, "mergeCell")
            && let Some((first, last)) = attribute(tag, "ref")?.split_once(':')
            && let (Some((row, column)), Some((last_row, _))) = (cell(first), cell(last))
            && last_row > row
        {
            found.merge(MergedCell {
                row,
                column,
                last_row,
            });
        }
        Some(true)
    })?;
    Some(found)
}

/// A cell such as `B3`, as row and column from 0.
fn cell(name: &str) -> Option<(u32, u32)> {
    let at = name.find(|symbol: char| symbol.is_ascii_digit())?;
    let (letters, row) = name.split_at(at);
    let column = letters.bytes().try_fold(0_u32, |column, letter| {
        let digit = letter.to_ascii_uppercase().checked_sub(b'A')?;
        let digit = (digit < 26).then_some(u32::from(digit))?;
        column.checked_mul(26)?.checked_add(digit + 1)
    })?;
    Some((
        row.parse::<u32>().ok()?.checked_sub(1)?,
        column.checked_sub(1)?,
    ))
}

fn of_ods(archive: &mut Archive<'_>, sheet: &str) -> Option<SheetXml> {
    let mut found = SheetXml::default();
    let (mut is_in_sheet, mut next_row, mut column) = (false, 0_u32, 0_u32);
    let times = |tag: &BytesStart<'_>, name: &str| {
        let number = attribute(tag, name).and_then(|number| number.parse::<u32>().ok());
        number.unwrap_or(1).max(1)
    };
    each_tag(archive, "content.xml", |tag, _| {
        if is_named(tag, "table") {
            if is_in_sheet {
                return Some(false);
            }
            is_in_sheet = attribute(tag, "name").as_deref() == Some(sheet);
        } else if !is_in_sheet {
        } else if is_named(tag, "table-row") {
            let count = times(tag, "number-rows-repeated");
            let is_hidden = attribute(tag, "visibility").is_some_and(|told| told != "visible");
            if is_hidden {
                found.hide(next_row, next_row.saturating_add(count - 1));
            }
            next_row = next_row.saturating_add(count);
            column = 0;
        } else if is_named(tag, "table-cell") || is_named(tag, "covered-table-cell") {
            let rows = times(tag, "number-rows-spanned");
            if rows > 1
                && let Some(row) = next_row.checked_sub(1)
            {
                found.merge(MergedCell {
                    row,
                    column,
                    last_row: row.saturating_add(rows - 1),
                });
            }
            column = column.saturating_add(times(tag, "number-columns-repeated"));
        }
        Some(true)
    })?;
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::{MergedCell, ROWS_READ, SheetXml, cell};

    #[test]
    fn cells_are_named_by_letters_and_row() {
        for (name, found) in [
            ("A1", Some((0, 0))),
            ("b3", Some((2, 1))),
            ("Z10", Some((9, 25))),
            ("AA1", Some((0, 26))),
            ("IV7", Some((6, 255))),
            ("A0", None),
            ("7", None),
            ("A", None),
            ("$A$1", None),
            ("ZZZZZZZZ1", None),
        ] {
            assert_eq!(cell(name), found, "{name}");
        }
    }
    #[test]
    fn what_is_noted_of_a_sheet_is_bounded() {
        let mut found = SheetXml::default();
        for (first, last) in [(0, 0), (1, 4), (7, u32::MAX), (u32::MAX, u32::MAX)] {
            found.hide(first, last);
        }
        assert_eq!(found.hidden, [(0, 4), (7, u32::MAX)]);
        for _ in 0..2 * ROWS_READ {
            found.hide(9, 9);
            found.merge(MergedCell {
                row: 9,
                column: 0,
                last_row: u32::MAX,
            });
        }
        assert_eq!(found.hidden.len(), ROWS_READ);
        assert_eq!(found.merged.len(), ROWS_READ);
    }
}
