//! Bytes to text.

use super::workbook::SheetText;
use encoding_rs::{Encoding, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// Why bytes are not a text that can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TextFault {
    /// It has the mark of UTF-16.
    Utf16,
    /// It has a zero byte, as no text has.
    Binary,
    /// A byte that is not UTF-8, such as an umlaut in an older encoding.
    NotUtf8 {
        /// The byte.
        byte: u8,
        /// Its line, from 1.
        line: usize,
    },
}

/// What spreadsheets put in front of a text in UTF-8.
pub(super) const BYTE_ORDER_MARK: char = '\u{feff}';

/// The text of a table, and what its bytes were.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct TableText {
    /// Without a mark in front.
    pub(super) text: String,
    /// The encoding, if not UTF-8.
    pub(super) encoding: Option<&'static str>,
    /// Whether there was a byte order mark, or another encoding than UTF-8, as programs write that need one to know UTF-8.
    pub(super) is_marked: bool,
    /// Of a sheet of a workbook, what its text does not say.
    pub(super) sheet: Option<SheetText>,
}

impl TableText {
    /// A text in UTF-8 without a mark.
    pub(super) fn plain(text: String) -> TableText {
        TableText {
            text,
            encoding: None,
            is_marked: false,
            sheet: None,
        }
    }

    fn converted(text: String, encoding: &'static str) -> TableText {
        TableText {
            text,
            encoding: Some(encoding),
            is_marked: true,
            sheet: None,
        }
    }
}

/// The text, without the mark that spreadsheets put in front of it.
pub(super) fn decode(bytes: Vec<u8>) -> Result<String, TextFault> {
    if marked_utf16(&bytes).is_some() {
        return Err(TextFault::Utf16);
    }
    if bytes.contains(&0) {
        return Err(TextFault::Binary);
    }
    let mut text = String::from_utf8(bytes).map_err(|fault| {
        let good = fault.utf8_error().valid_up_to();
        let bytes = fault.as_bytes();
        TextFault::NotUtf8 {
            byte: bytes.get(good).copied().unwrap_or_default(),
            line: 1 + bytes
                .iter()
                .take(good)
                .filter(|byte| **byte == b'\n')
                .count(),
        }
    })?;
    if text.starts_with(BYTE_ORDER_MARK) {
        text.drain(..BYTE_ORDER_MARK.len_utf8());
    }
    Ok(text)
}

/// The text of a table, which older programs write in other encodings than UTF-8.
///
/// UTF-16 is known by its mark, or guessed where every other byte is zero; what is no UTF-8 either is guessed to be
/// Windows-1252, unless it has bytes that mean nothing there.
pub(super) fn decode_table(bytes: &[u8]) -> Result<TableText, TextFault> {
    if let Some(encoding) = marked_utf16(bytes).or_else(|| guessed_utf16(bytes)) {
        let (text, _, has_faults) = encoding.decode(bytes);
        return if has_faults || text.contains('\0') {
            Err(TextFault::Utf16)
        } else {
            Ok(TableText::converted(text.into_owned(), "UTF-16"))
        };
    }
    match decode(bytes.to_vec()) {
        Ok(text) => Ok(TableText {
            text,
            encoding: None,
            is_marked: bytes.starts_with(b"\xef\xbb\xbf"),
            sheet: None,
        }),
        Err(fault @ TextFault::NotUtf8 { .. }) => {
            let (text, _) = WINDOWS_1252.decode_without_bom_handling(bytes);
            // Bytes without a meaning come out as controls.
            if text.contains(|symbol| ('\u{80}'..='\u{9f}').contains(&symbol)) {
                Err(fault)
            } else {
                Ok(TableText::converted(text.into_owned(), "Windows-1252"))
            }
        }
        Err(fault) => Err(fault),
    }
}

/// UTF-16 by the mark in front.
fn marked_utf16(bytes: &[u8]) -> Option<&'static Encoding> {
    match bytes {
        [0xff, 0xfe, ..] => Some(UTF_16LE),
        [0xfe, 0xff, ..] => Some(UTF_16BE),
        _ => None,
    }
}

/// UTF-16 by its zeros: a list is mostly of letters and digits, each of which has a zero on one side.
fn guessed_utf16(bytes: &[u8]) -> Option<&'static Encoding> {
    let n_pairs = bytes.len() / 2;
    let zeros = |side: usize| {
        bytes
            .iter()
            .skip(side)
            .step_by(2)
            .filter(|byte| **byte == 0)
            .count()
    };
    let (first, second) = (zeros(0), zeros(1));
    if !bytes.len().is_multiple_of(2) || n_pairs < 4 || first.min(second) > 0 {
        None
    } else if second * 4 > n_pairs * 3 {
        Some(UTF_16LE)
    } else if first * 4 > n_pairs * 3 {
        Some(UTF_16BE)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utf16(text: &str, is_little: bool, is_marked: bool) -> Vec<u8> {
        let mark = is_marked.then_some('\u{feff}');
        let text: String = mark.into_iter().chain(text.chars()).collect();
        let bytes = |unit: u16| {
            if is_little {
                unit.to_le_bytes()
            } else {
                unit.to_be_bytes()
            }
        };
        text.encode_utf16().flat_map(bytes).collect()
    }

    #[test]
    fn tables_of_older_programs_are_text() {
        let text = "board,length\nchêne,2400\n";
        for is_little in [true, false] {
            for is_marked in [true, false] {
                let found = decode_table(&utf16(text, is_little, is_marked));
                assert_eq!(found, Ok(TableText::converted(text.to_owned(), "UTF-16")));
            }
        }
        let found = decode_table(b"board,length\nch\xeane \x80 \x93x\x94,2400\n");
        let read = "board,length\nchêne € “x”,2400\n".to_owned();
        assert_eq!(found, Ok(TableText::converted(read, "Windows-1252")));
        let plain = TableText::plain(text.to_owned());
        assert_eq!(decode_table(text.as_bytes()), Ok(plain.clone()));
        let marked = format!("\u{feff}{text}").into_bytes();
        let marked_text = TableText {
            is_marked: true,
            ..plain
        };
        assert_eq!(decode_table(&marked), Ok(marked_text));
    }

    #[test]
    fn what_is_no_table_is_no_text() {
        let no_text = [
            (b"\x7fELF\0\0\0\x01".to_vec(), TextFault::Binary),
            // 0x81 means nothing in Windows-1252.
            (
                b"a\n\x81".to_vec(),
                TextFault::NotUtf8 {
                    byte: 0x81,
                    line: 2,
                },
            ),
            // Half of a pair.
            (vec![0xff, 0xfe, 0x00, 0xd8], TextFault::Utf16),
        ];
        for (bytes, fault) in no_text {
            assert_eq!(decode_table(&bytes), Err(fault));
        }
    }
}
