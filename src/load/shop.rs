//! The shop: a file in a folder beside a job or above it, with what all jobs of the shop share.
//!
//! `toml_file` lays what it says beneath what the job says; here it is found.

use std::path::{Component, Path, PathBuf};

use super::fields::{Found, Reported};
use super::files::Files;
use super::tables::read_text_by;
use super::toml_file::{JobFile, TomlText};
use crate::diag::{Diagnostic, Diagnostics, code, quoted};

/// What the file of a shop is called.
const NAME: &str = "shop.toml";

/// The file of the shop that a job names; `None` where it names none.
pub(super) fn find(
    job: &JobFile<'_>,
    toml: &TomlText,
    files: &dyn Files,
    faults: &mut Diagnostics,
) -> Found<Option<TomlText>> {
    let Some(field) = job.head.field("shop-file") else {
        return if job.head.is_spoiled("shop-file") {
            Err(Reported)
        } else {
            Ok(None)
        };
    };
    let place = field.origin.place();
    let Some(path) = shop_path(toml.folder(), &field.text) else {
        let what = format!("{} is no place for the file of a shop", quoted(&field.text));
        let hint = format!(
            "it is called `{NAME}` and lies beside the job or in a folder above it: `{NAME}`, `../{NAME}` and so on"
        );
        faults.push(Diagnostic::error(code::SHOP_MISPLACED, place, what).with_hint(hint));
        return Err(Reported);
    };
    let folder = path.parent().unwrap_or(Path::new(""));
    let text = read_text_by(
        &path,
        |path| files.read_of_shop(path, folder),
        &place,
        faults,
    )?;
    Ok(Some(TomlText::new(&path, text).of_shop()))
}

/// The path of the file of a shop that a job in `folder` names by `text`, if it is called as it must be and lies beside the job
/// or above it.
pub fn shop_path(folder: &Path, text: &str) -> Option<PathBuf> {
    let given = Path::new(text);
    let is_shop = given.file_name().is_some_and(|name| name == NAME);
    let is_above = given
        .parent()?
        .components()
        .all(|part| matches!(part, Component::ParentDir | Component::CurDir));
    if !(is_shop && is_above) {
        return None;
    }
    // The folder above as it is written, so that no path goes down and up again.
    let mut path = folder.to_owned();
    for part in given.parent()?.components() {
        let ends_in_a_name = matches!(path.components().next_back(), Some(Component::Normal(_)));
        match part {
            Component::ParentDir if ends_in_a_name => {
                path.pop();
            }
            Component::ParentDir => path.push(".."),
            _ => {}
        }
    }
    Some(path.join(NAME))
}

/// Amounts of a job and of its shop are added up, so they must be in one currency.
pub(super) fn check_currency(job: &JobFile<'_>, shop: &JobFile<'_>, faults: &mut Diagnostics) {
    for name in ["currency", "currency-decimals"] {
        if let (Some(own), Some(other)) = (job.head.field(name), shop.head.field(name))
            && own.text != other.text
        {
            let what = format!(
                "`{name}` is {} here and {} in the shop",
                quoted(&own.text),
                quoted(&other.text)
            );
            let hint = format!(
                "leave it out; the shop's is meant then: {}",
                other.origin.place()
            );
            faults
                .push(Diagnostic::error(code::EXCLUDES, own.origin.place(), what).with_hint(hint));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shop_lies_beside_the_job_or_above_it_and_has_its_own_name() {
        let path = |folder: &str, text| shop_path(Path::new(folder), text);
        for (folder, text, found) in [
            ("jobs/week 1", "shop.toml", "jobs/week 1/shop.toml"),
            ("jobs/week 1", "./shop.toml", "jobs/week 1/shop.toml"),
            ("jobs/week 1", "../shop.toml", "jobs/shop.toml"),
            ("jobs/week 1", "../../shop.toml", "shop.toml"),
            ("jobs/week 1", "../../../shop.toml", "../shop.toml"),
            ("..", "../shop.toml", "../../shop.toml"),
            ("", "../shop.toml", "../shop.toml"),
            ("/jobs", "../shop.toml", "/shop.toml"),
        ] {
            assert_eq!(
                path(folder, text).as_deref(),
                Some(Path::new(found)),
                "{text}"
            );
        }
        for text in [
            "",
            "..",
            "/shop.toml",
            "../job.toml",
            "../other/shop.toml",
            "below/shop.toml",
            "../../etc/passwd",
            "../shop.toml/x",
        ] {
            assert_eq!(path("jobs/week 1", text), None, "{text}");
        }
    }
}
