//! What was really bought: the list to buy by filled in, and named by the job.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::report::csv::buying_list_csv;

use super::action::{Edit, Step};
use super::cells::Cells;
use super::state::Work;

/// The table beside the job file.
pub(super) const TABLE: &str = "bought.csv";

/// The columns that one fills in.
pub(super) const FILLED: [&str; 3] = ["bought", "measured", "price"];

/// The list that is filled in: of what was bought already that, else what the plan takes; `None` before there is a plan, and
/// where the job says in another place what was bought.
pub(super) fn list(work: &Work) -> Option<String> {
    let job = work.job.as_ref()?;
    if job.buying.purchase.is_some() {
        return work.texts.text(Path::new(TABLE)).map(str::to_owned);
    }
    work.plan()
        .map(|found| buying_list_csv(&found.planned.plan))
}

/// The step that fills the list in; fields are named by a column and a record, such as `bought-1`.
///
/// # Errors
/// Why not, in words.
pub(super) fn fill_in(work: &Work, fields: &BTreeMap<String, String>) -> Result<Step, String> {
    let list = list(work).ok_or("there is no list to fill in yet")?;
    let cells = Cells::of(&list);
    let mut changes = BTreeMap::new();
    for (name, words) in fields {
        let place = name.rsplit_once('-').and_then(|(head, record)| {
            let record: usize = record.parse().ok()?;
            let is_known = FILLED.contains(&head) && (1..cells.n_records()).contains(&record);
            Some((record, cells.column(head).filter(|_| is_known)?))
        });
        let place = place.ok_or_else(|| format!("the list has no field {name}"))?;
        changes.insert(place, words.trim().to_owned());
    }
    let after = cells
        .with(&changes)
        .ok_or("a row of the list is too short")?;
    let before = work.texts.text(Path::new(TABLE)).map(str::to_owned);
    let mut edits = vec![Edit {
        path: PathBuf::from(TABLE),
        before,
        after: Some(after),
        is_own: false,
    }];
    let is_named = work
        .job
        .as_ref()
        .is_some_and(|job| job.buying.purchase.is_some());
    if !is_named {
        let job = work
            .texts
            .files()
            .first()
            .ok_or("the job was read from no file")?;
        edits.push(Edit {
            is_own: false,
            path: job.path.clone(),
            before: Some(job.text.clone()),
            after: Some(
                named(&job.text).ok_or("the job names a table of what was bought already")?,
            ),
        });
    }
    Ok(Step {
        words: "what was bought".to_owned(),
        edits,
    })
}

/// A job file that names the table as well; `None` where it names one, or is no TOML.
fn named(text: &str) -> Option<String> {
    let before: toml::Table = toml::from_str(text).ok()?;
    if before.contains_key("bought") {
        return None;
    }
    let line_end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let line = format!("bought = \"{TABLE}\"{line_end}");
    let is_right = |after: &str| {
        let Ok(mut after) = toml::from_str::<toml::Table>(after) else {
            return false;
        };
        after
            .remove("bought")
            .and_then(|value| value.as_str().map(str::to_owned))
            .as_deref()
            == Some(TABLE)
            && after == before
    };
    // Behind the last line above the first table; which that is shows in what the file then says.
    let mut behind = 0;
    let mut at = 0;
    for whole in text.split_inclusive('\n') {
        let bare = whole.trim();
        if bare.starts_with('[') {
            let after = format!("{}{line}{}", &text[..behind], &text[behind..]);
            if is_right(&after) {
                return Some(after);
            }
        }
        at += whole.len();
        if !bare.is_empty() && !bare.starts_with('#') {
            behind = at;
        }
    }
    let gap = if text.is_empty() || text.ends_with('\n') {
        ""
    } else {
        line_end
    };
    let after = format!("{text}{gap}{line}");
    is_right(&after).then_some(after)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_file_names_the_table_and_is_else_as_it_was() {
        let text = "# a job\r\ntitle = \"x\" # y\r\n\r\n# the saw\r\n[saw]\r\nkerf = 1\r\n";
        let after = "# a job\r\ntitle = \"x\" # y\r\nbought = \"bought.csv\"\r\n\r\n# the saw\r\n[saw]\r\nkerf = 1\r\n";
        assert_eq!(named(text).as_deref(), Some(after));
        assert_eq!(named(after), None);
        assert_eq!(
            named("a = 1").as_deref(),
            Some("a = 1\nbought = \"bought.csv\"\n")
        );
        assert_eq!(named("").as_deref(), Some("bought = \"bought.csv\"\n"));
        // Brackets in a list and in a text are no tables.
        let text = "list = [\n[1],\n]\ntext = '''\n[no]\n'''\n[a]\n";
        let after = "list = [\n[1],\n]\ntext = '''\n[no]\n'''\nbought = \"bought.csv\"\n[a]\n";
        assert_eq!(named(text).as_deref(), Some(after));
        assert_eq!(
            named("[[boards]]\nlength = 1\n").as_deref(),
            Some("bought = \"bought.csv\"\n[[boards]]\nlength = 1\n")
        );
        assert_eq!(named("no toml"), None);
    }
}
