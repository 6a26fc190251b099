//! What the program has written into a folder, so that it knows its own files again.
//!
//! A folder has this list as the file `.longpoint`: below its first line one for each file, with the number of its bytes,
//! their sum in hex (FNV-1a of 64 bits, which finds any change made by hand) and its name, with blanks between. Where the
//! list is not there or cannot be read, no file is the program's own.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::io::Read as _;
use std::path::Path;

/// Its name in the folder.
pub(super) const NAME: &str = ".longpoint";

/// No list is longer than this.
const LONGEST: u64 = 1 << 20;

/// Its first line, without which it is a file of somebody else.
const HEAD: &str = "longpoint: sizes and sums of the files it has written here";

/// The list: bytes, sum and name of each file; while files are being replaced, a name may stand there twice.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Manifest {
    files: BTreeSet<(String, u64, u64)>,
}

impl Manifest {
    /// The list in `dir`, empty where there is none; nothing where something else lies in its place.
    pub(super) fn read(dir: &Path) -> Option<Manifest> {
        let path = dir.join(NAME);
        let Ok(about) = path.symlink_metadata() else {
            return Some(Manifest::default());
        };
        let mut text = String::new();
        let read = about.is_file().then(|| {
            fs::File::open(path).and_then(|file| file.take(LONGEST).read_to_string(&mut text))
        });
        read?.ok()?;
        Manifest::of(&text)
    }

    fn of(text: &str) -> Option<Manifest> {
        let (head, list) = text.split_once('\n')?;
        let entry = |line: &str| {
            let mut words = line.splitn(3, ' ');
            let size = words.next()?.parse().ok()?;
            let sum = u64::from_str_radix(words.next()?, 16).ok()?;
            Some((words.next()?.to_owned(), size, sum))
        };
        (head == HEAD).then(|| Manifest {
            files: list.lines().filter_map(entry).collect(),
        })
    }

    /// Whether the file of this name, which has these bytes now, is as the program wrote it.
    pub(super) fn has_written(&self, name: &str, bytes: &[u8]) -> bool {
        self.files.contains(&entry(name, bytes))
    }

    /// The list of `texts` alone.
    pub(super) fn new(texts: &[(&str, &str)]) -> Manifest {
        let entries = texts.iter();
        Manifest {
            files: entries
                .map(|(name, text)| entry(name, text.as_bytes()))
                .collect(),
        }
    }

    /// The list when those of `new` are written as well, in the place of those of their names.
    pub(super) fn with(&self, new: &Manifest) -> Manifest {
        let mut after = self.clone();
        after
            .files
            .retain(|file| !new.files.iter().any(|new| new.0 == file.0));
        after.beside(new)
    }

    /// The list with those of `new` beside those of their names.
    pub(super) fn beside(&self, new: &Manifest) -> Manifest {
        Manifest {
            files: &self.files | &new.files,
        }
    }

    /// The list as it is written.
    pub(super) fn text(&self) -> String {
        let mut text = format!("{HEAD}\n");
        for (name, size, sum) in &self.files {
            let _ = writeln!(text, "{size} {sum:016x} {name}");
        }
        text
    }
}

fn entry(name: &str, bytes: &[u8]) -> (String, u64, u64) {
    let sum = bytes.iter().fold(0xcbf2_9ce4_8422_2325, |sum: u64, byte| {
        (sum ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    });
    (name.to_owned(), bytes.len() as u64, sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_known_by_name_and_bytes() {
        let list = Manifest::new(&[("a.csv", "one"), ("b c.csv", "two")]);
        assert!(list.has_written("a.csv", b"one") && list.has_written("b c.csv", b"two"));
        assert!(!list.has_written("a.csv", b"two") && !list.has_written("c.csv", b"one"));
        let new = Manifest::new(&[("a.csv", "three")]);
        let both = list.beside(&new);
        assert!(both.has_written("a.csv", b"one") && both.has_written("a.csv", b"three"));
        let after = list.with(&new);
        assert!(!after.has_written("a.csv", b"one") && after.has_written("b c.csv", b"two"));
    }

    #[test]
    fn sums_are_those_of_the_published_function() {
        // Published test values of FNV-1a, 64 bits (draft-eastlake-fnv, appendix C): "", "a", "foobar".
        for (text, sum) in [
            ("", 0xcbf2_9ce4_8422_2325),
            ("a", 0xaf63_dc4c_8601_ec8c),
            ("foobar", 0x8594_4171_f739_67e8),
        ] {
            assert_eq!(entry("name", text.as_bytes()).2, sum);
        }
        assert_eq!(Manifest::of("junk\n3 0 a\n"), None);
        let of = |lines: &str| Manifest::of(&format!("{HEAD}\n{lines}"));
        assert_eq!(of("3 zz a\n"), Some(Manifest::default()));
    }

    #[test]
    fn a_list_is_read_as_it_was_written() {
        let dir = tempfile::tempdir().expect("a folder");
        assert_eq!(Manifest::read(dir.path()), Some(Manifest::default()));
        let list = Manifest::new(&[("a.csv", "one"), ("b c.csv", "two")]);
        fs::write(dir.path().join(NAME), list.text()).expect("it can be written");
        assert_eq!(Manifest::read(dir.path()), Some(list));
        fs::write(dir.path().join(NAME), [0xff]).expect("it can be written");
        assert_eq!(Manifest::read(dir.path()), None);
    }
}
