//! Bytes to text.

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

/// The text, without the mark that spreadsheets put in front of it.
pub(super) fn decode(bytes: Vec<u8>) -> Result<String, TextFault> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
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
            line: 1 + bytes.iter().take(good).filter(|byte| **byte == b'\n').count(),
        }
    })?;
    if text.starts_with('\u{feff}') {
        text.drain(..'\u{feff}'.len_utf8());
    }
    Ok(text)
}
