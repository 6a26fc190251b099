//! A job file and its tables: a job or errors, and of a job sizes and a rack that is read again as it was.

use std::collections::BTreeMap;
use std::path::Path;

use longpoint::diag::{Diagnostic, disturbs, render};
use longpoint::job::Job;
use longpoint::load::{Boards, FileFault, Files, load_job};
use longpoint::plan::{GivenNumbers, Measure, Plan, Verdict};
use longpoint::report::csv::rack_csv;
use longpoint::report::json::sizes_json;
use longpoint::report::sections::sizes_sheet;
use longpoint::report::text::{Look, set};

/// Files by name, the job file first: `=== NAME` begins one.
pub struct Texts(pub BTreeMap<String, Vec<u8>>);

impl Texts {
    fn new(bytes: &[u8]) -> Texts {
        let mut files = BTreeMap::new();
        let mut name = "job.toml".to_owned();
        for line in bytes.split_inclusive(|&byte| byte == b'\n') {
            match line.strip_prefix(b"=== ") {
                Some(new) => name = String::from_utf8_lossy(new).trim().to_owned(),
                None => files
                    .entry(name.clone())
                    .or_insert_with(Vec::new)
                    .extend_from_slice(line),
            }
        }
        Texts(files)
    }
}

impl Files for Texts {
    fn read(&self, path: &Path) -> Result<Vec<u8>, FileFault> {
        let found = path.to_str().and_then(|name| self.0.get(name));
        found.cloned().ok_or(FileFault::Missing)
    }
}

/// Nothing of a file may reach the terminal but as text.
fn judge(errors: &[Diagnostic]) {
    assert!(!errors.is_empty());
    let said = render(errors, false);
    assert!(!said.lines().any(|line| line.chars().any(disturbs)), "{said:?}");
}

/// A plan of nothing: what lies on the rack stays there.
fn nothing_cut(job: &Job) -> Plan {
    Plan {
        job: job.clone(),
        boards: Vec::new(),
        spare_offcuts: Vec::new(),
        kept_pieces: Vec::new(),
        given_numbers: GivenNumbers::default(),
        missing: Vec::new(),
        measure: Measure::Price,
        value: 0,
        lower_bound: 0,
        missing_lower_bound: 0,
        verdict: Verdict::Stopped,
    }
}

fn read(texts: &Texts) {
    let path = Path::new("job.toml");
    if let Err(errors) = load_job(path, texts, Boards::Needed) {
        judge(&errors);
    }
    let sized = load_job(path, texts, Boards::NotNeeded);
    if let Ok((job, _)) = &sized {
        sizes_json(job);
        let look = Look {
            width: 80,
            color: false,
            unicode: false,
        };
        set(&sizes_sheet(job), look);
    }
    let Ok((job, warnings)) = load_job(path, texts, Boards::Needed) else {
        return;
    };
    assert!(sized.is_ok(), "a job that needs less is refused");
    if !warnings.is_empty() {
        judge(&warnings);
    }
    let on_rack = |job: &Job| {
        let boards = job.boards.iter().filter(|board| board.in_hand.is_some());
        boards.cloned().collect::<Vec<_>>()
    };
    let rack = on_rack(&job);
    if rack.is_empty() || rack.iter().any(|board| board.quantity == Some(0)) {
        return;
    }
    // The same job with the rack that the program would write.
    let mut again = Texts(texts.0.clone());
    let table = rack_csv(&nothing_cut(&job)).into_bytes();
    if again.0.contains_key("rack.csv") {
        again.0.insert("rack.csv".to_owned(), table.clone());
        match load_job(path, &again, Boards::Needed) {
            Ok((job, _)) => assert_eq!(on_rack(&job), rack),
            Err(errors) => panic!(
                "{}\n{}",
                render(&errors, false),
                String::from_utf8_lossy(&table)
            ),
        }
    }
}

/// A job file, and tables behind it.
pub fn job(bytes: &[u8]) {
    read(&Texts::new(bytes));
}

/// A sound job of which all tables are files.
const OF_TABLES: &str = "
frames = \"frames.csv\"
pieces = \"pieces.csv\"
boards = \"boards.csv\"
rack = \"rack.csv\"
[rip]
kerf = \"1/8\"
[[mouldings]]
name = \"cap\"
face-width = \"1 1/4\"
lip = \"1/4\"
[[sheets]]
name = \"glass\"
use = \"glazing\"
thickness = \"3/32\"
[[sheets]]
name = \"4-ply\"
use = \"mat\"
thickness = \"1/16\"
";

/// Tables only.
pub fn tables(bytes: &[u8]) {
    let mut texts = Texts::new(bytes);
    let mut job = OF_TABLES.as_bytes().to_vec();
    if texts.0.contains_key("tally.csv") {
        job.splice(0..0, *b"\ntally = \"tally.csv\"");
    }
    texts.0.insert("job.toml".to_owned(), job);
    read(&texts);
}
