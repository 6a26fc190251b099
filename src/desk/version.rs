//! Which texts a desk was opened from.

use std::fmt;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::{Content, DeskFile};

/// A sum over all files of a desk, their names and whether they are there: 32 hexadecimal digits.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Version(String);

/// Digits of a sum that are kept: 128 bits, which nobody finds twice by chance.
const DIGITS: usize = 32;

impl Version {
    /// The version of some files.
    pub(super) fn of(files: &[DeskFile]) -> Version {
        let mut sum = Sha256::new();
        for file in files {
            let path = file.path.as_os_str().as_encoded_bytes();
            let (sign, text) = match &file.content {
                Content::Text(text) => (b't', text.as_str()),
                Content::Converted(text) => (b'c', text.as_str()),
                Content::Missing => (b'm', ""),
                Content::Unreadable => (b'u', ""),
            };
            // Each part with its length, so that no two lists of files run together to the same bytes.
            for part in [path, &[sign], text.as_bytes()] {
                sum.update((part.len() as u64).to_le_bytes());
                sum.update(part);
            }
        }
        Version(hex(&sum.finalize(), DIGITS))
    }
}

impl fmt::Display for Version {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

fn hex(bytes: &[u8], digits: usize) -> String {
    let mut text: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    text.truncate(digits);
    text
}
