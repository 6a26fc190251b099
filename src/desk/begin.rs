//! The first files of a job, from a few answers.
//!
//! They are those of the starter job with its remarks, which say what each setting is for; what was answered stands in
//! place of its figures.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::{Desk, Edit, Heading, Refusal};
use crate::job::{FileText, Texts};

/// The file that is read first.
const JOB: &str = "job.toml";

/// The starter job: each file with its name, the job file first.
pub fn starter() -> [(&'static str, &'static str); 5] {
    [
        (JOB, include_str!("../../data/starter/job.toml")),
        ("frames.csv", include_str!("../../data/starter/frames.csv")),
        ("pieces.csv", include_str!("../../data/starter/pieces.csv")),
        ("boards.csv", include_str!("../../data/starter/boards.csv")),
        ("rack.csv", include_str!("../../data/starter/rack.csv")),
    ]
}

/// What is asked before a job begins. Every text is as it is to stand in the files; an empty one leaves its setting out, or
/// where there must be one, as usual.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct Answers {
    /// What the job is called.
    pub title: String,
    /// What its bare numbers are.
    pub measures: Measures,
    /// Code or sign of the currency.
    pub currency: String,
    /// What the saw takes.
    pub kerf: String,
    /// The moulding of its frames.
    pub moulding: NewMoulding,
    /// The pictures.
    pub pictures: Vec<NewPicture>,
    /// The boards on sale, of the moulding's wood.
    pub boards: Vec<NewBoard>,
}

/// What bare numbers are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measures {
    /// Inches and their fractions.
    #[default]
    Inches,
    /// Millimeters.
    Millimeters,
}

/// A moulding.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct NewMoulding {
    /// What it is called.
    pub name: String,
    /// Width across its face.
    pub face_width: String,
    /// Width of its rabbet.
    pub lip: String,
    /// Depth of its rabbet.
    pub rabbet_depth: String,
    /// The wood it is made of.
    pub material: String,
    /// Thickness of the boards it is made from.
    pub thickness: String,
}

/// A picture.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct NewPicture {
    /// What it is called.
    pub name: String,
    /// How many alike; empty is one.
    pub quantity: String,
    /// Width of the art.
    pub wide: String,
    /// Height of the art.
    pub high: String,
    /// Width of the mat all round; empty is none.
    pub mat: String,
    /// Whether it has glass in front and a board behind.
    pub glazed: bool,
}

/// A kind of board on sale.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct NewBoard {
    /// What it is called.
    pub name: String,
    /// Its length.
    pub length: String,
    /// How many there are; empty is as many as needed.
    pub quantity: String,
    /// What one costs.
    pub price: String,
}

/// The files of a new job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Begun {
    /// Each with its path from the folder of the job, the job file first.
    pub files: Vec<(PathBuf, String)>,
}

/// Settings and thicknesses of sheets in millimeters. Common practice, no source: those of the starter job in round figures.
const METRIC: [(&str, &str, &str); 8] = [
    ("", "unit", "mm"),
    ("", "rounding", "0.5 mm"),
    ("saw", "kerf", "3"),
    ("saw", "end-trim", "10"),
    ("shop", "fit-allowance", "3"),
    ("shop", "mat-overlap", "5"),
    ("shop", "shortest-offcut", "300"),
    ("shop", "point-room", "3"),
];
const METRIC_SHEETS: [&str; 3] = ["1.5", "2", "5"];

/// Writes the first files of a job.
///
/// Answers are written as they are: what is no length or no price is a fault of the job, at its field.
///
/// # Errors
/// [`Refusal::TooLarge`] alone, where an answer is larger than a file may be.
pub fn begin(answers: &Answers) -> Result<Begun, Refusal> {
    let mut draft = Draft::from_starter();
    draft.setting("", "title", &answers.title)?;
    draft.setting("", "currency", &answers.currency)?;
    if answers.measures == Measures::Millimeters {
        for (form, key, text) in METRIC {
            draft.setting(form, key, text)?;
        }
        for (row, thickness) in METRIC_SHEETS.into_iter().enumerate() {
            draft.cells("sheets", row, &[("thickness", thickness)])?;
        }
    }
    if !answers.kerf.is_empty() {
        draft.setting("saw", "kerf", &answers.kerf)?;
    }
    let moulding = &answers.moulding;
    draft.cells(
        "mouldings",
        0,
        &[
            ("name", &moulding.name),
            ("face-width", &moulding.face_width),
            ("lip", &moulding.lip),
            ("rabbet-depth", &moulding.rabbet_depth),
            ("material", &moulding.material),
            ("thickness", &moulding.thickness),
        ],
    )?;
    for picture in &answers.pictures {
        let matted = if picture.mat.is_empty() { "" } else { "4-ply" };
        let (glazing, backing) = if picture.glazed {
            ("glass", "foam board")
        } else {
            ("", "")
        };
        draft.row(
            "frames",
            &[
                ("frame", &picture.name),
                ("quantity", &picture.quantity),
                ("art-width", &picture.wide),
                ("art-height", &picture.high),
                ("moulding", &moulding.name),
                ("mat-border", &picture.mat),
                ("mat", matted),
                ("glazing", glazing),
                ("backing", backing),
            ],
        )?;
    }
    for board in &answers.boards {
        draft.row(
            "boards",
            &[
                ("board", &board.name),
                ("material", &moulding.material),
                ("thickness", &moulding.thickness),
                ("length", &board.length),
                ("quantity", &board.quantity),
                ("price", &board.price),
            ],
        )?;
    }
    Ok(Begun {
        files: draft
            .files
            .into_iter()
            .map(|file| (file.path, file.text))
            .collect(),
    })
}

/// Files on the way.
struct Draft {
    files: Vec<FileText>,
}

impl Draft {
    /// The starter job with tables that have headings and no rows.
    fn from_starter() -> Draft {
        let files = starter().into_iter().map(|(name, text)| {
            let headings = text.find('\n').map_or(text, |end| &text[..=end]);
            FileText {
                path: PathBuf::from(name),
                text: if name == JOB { text } else { headings }.to_owned(),
            }
        });
        Draft {
            files: files.collect(),
        }
    }

    fn desk(&self) -> Desk {
        Desk::open(Path::new(JOB), &Texts::new(self.files.clone()))
    }

    fn change(&mut self, edit: impl FnOnce(&Desk) -> Option<Edit>) -> Result<(), Refusal> {
        let desk = self.desk();
        let edit = edit(&desk).ok_or(Refusal::NotThere)?;
        for text in desk.change(&edit, &desk.version)?.texts {
            let mut files = self.files.iter_mut();
            let file = files.find(|file| file.path == text.path);
            if let (Some(file), Some(after)) = (file, text.after) {
                file.text = after;
            }
        }
        Ok(())
    }

    fn setting(&mut self, form: &str, key: &str, text: &str) -> Result<(), Refusal> {
        self.change(|desk| {
            let mut forms = desk.forms.iter();
            Some(Edit::Setting {
                form: forms.position(|other| other.schema.name == form)?,
                key: key.to_owned(),
                text: text.to_owned(),
            })
        })
    }

    fn cells(&mut self, table: &str, row: usize, cells: &[(&str, &str)]) -> Result<(), Refusal> {
        for (column, text) in cells {
            self.change(|desk| {
                Some(Edit::Cell {
                    table: desk.table_of(table)?,
                    row,
                    column: Heading::from(*column),
                    text: (*text).to_owned(),
                })
            })?;
        }
        Ok(())
    }

    fn row(&mut self, table: &str, cells: &[(&str, &str)]) -> Result<(), Refusal> {
        let filled = cells.iter().filter(|(_, text)| !text.is_empty());
        let cells = filled.map(|(column, text)| (Heading::from(*column), (*text).to_owned()));
        let cells: Vec<(Heading, String)> = cells.collect();
        self.change(|desk| {
            Some(Edit::AddRow {
                table: desk.table_of(table)?,
                at: None,
                cells,
            })
        })
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;

    #[test]
    fn the_sheets_of_the_starter_are_those_that_have_metric_figures() {
        let desk = Draft::from_starter().desk();
        let sheets = &desk.tables[desk.table_of("sheets").unwrap()];
        assert_eq!(sheets.rows.len(), METRIC_SHEETS.len());
    }
}
