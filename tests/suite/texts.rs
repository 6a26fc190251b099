//! The files of a job as texts in memory.

use std::collections::BTreeMap;
use std::path::Path;

use longpoint::load::{FileFault, Files};

/// Texts by file name; the job file is `job.toml`.
#[derive(Clone, Default)]
pub(crate) struct Texts(pub(crate) BTreeMap<&'static str, String>);

/// Texts whose lengths are counted in eighths or sixteenths (`141/8`) are written as a reader wants them (`17 5/8`).
impl<const N: usize> From<[(&'static str, String); N]> for Texts {
    fn from(files: [(&'static str, String); N]) -> Texts {
        Texts(files.map(|(name, text)| (name, mixed(&text))).into())
    }
}

/// The text with a whole number before each fraction that is more than one.
fn mixed(text: &str) -> String {
    let mut mixed = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(|symbol: char| symbol.is_ascii_digit()) {
        let (before, number) = rest.split_at(at);
        mixed.push_str(before);
        let n_digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
        let (over, behind) = number.split_at(n_digits(number));
        let under = behind
            .strip_prefix('/')
            .map_or("", |text| &text[..n_digits(text)]);
        match (over.parse::<u64>(), under.parse::<u64>()) {
            // Digits behind a point are of a price.
            (Ok(numerator), Ok(denominator))
                if numerator >= denominator && denominator > 0 && !mixed.ends_with('.') =>
            {
                let (whole, left) = (numerator / denominator, numerator % denominator);
                mixed += &format!("{whole} {left}/{denominator}");
                rest = &behind[1 + under.len()..];
            }
            _ => {
                mixed.push_str(over);
                rest = behind;
            }
        }
    }
    mixed + rest
}

impl Files for Texts {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        let text = path.to_str().and_then(|name| self.0.get(name));
        text.map(|text| text.clone().into_bytes())
            .ok_or(FileFault::Missing)
    }
}
