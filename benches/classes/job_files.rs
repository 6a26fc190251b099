//! A job of loose pieces, written as the files a user would write.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// A row of `pieces.csv`.
pub struct PieceRow {
    /// Name.
    pub name: String,
    /// Length in the job's unit.
    pub length: String,
    /// How many.
    pub quantity: u64,
    /// `square` or `miter`.
    pub ends: &'static str,
    /// Width of its section, in the job's unit; `None` takes a board as it is.
    pub width: Option<String>,
}

/// A row of `boards.csv`.
pub struct BoardRow {
    /// Name.
    pub name: String,
    /// Length in the job's unit.
    pub length: String,
    /// How many; `None` for as many as needed.
    pub quantity: Option<u64>,
    /// Price of one, in major units, or as the table takes it.
    pub price: Option<String>,
    /// Width and thickness in the job's unit.
    pub section: Option<(String, String)>,
}

/// What is lost when boards are ripped, in the job's unit.
pub struct Rip {
    /// Kerf between two strips.
    pub kerf: String,
    /// Width lost to both edges of a board.
    pub straightening: String,
    /// Width added to every strip.
    pub planing: String,
}

/// A whole job.
pub struct JobFiles {
    /// Unit of the bare numbers.
    pub unit: &'static str,
    /// Kerf of the saw.
    pub kerf: String,
    /// Trim at each end.
    pub end_trim: String,
    /// How boards are ripped; `None` for boards that are one strip each.
    pub rip: Option<Rip>,
    /// The pieces.
    pub pieces: Vec<PieceRow>,
    /// The boards.
    pub boards: Vec<BoardRow>,
}

impl JobFiles {
    /// Writes the job into `dir` and returns the path of its TOML file.
    pub fn write(&self, dir: &Path) -> PathBuf {
        let mut pieces = String::from("piece,length,quantity,ends,width\n");
        for row in &self.pieces {
            writeln!(
                pieces,
                "{},{},{},{},{}",
                row.name,
                row.length,
                row.quantity,
                row.ends,
                row.width.as_deref().unwrap_or("")
            )
            .unwrap();
        }
        let mut boards = String::from("board,length,quantity,price,width,thickness\n");
        for row in &self.boards {
            let quantity = row
                .quantity
                .map_or(String::new(), |quantity| quantity.to_string());
            let (width, thickness) = row
                .section
                .as_ref()
                .map_or(("", ""), |(width, thickness)| (width, thickness));
            writeln!(
                boards,
                "{},{},{},{},{},{}",
                row.name,
                row.length,
                quantity,
                row.price.as_deref().unwrap_or(""),
                width,
                thickness
            )
            .unwrap();
        }
        let mut toml = format!(
            "unit = \"{}\"\npieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\n[saw]\nkerf = {}\nend-trim = {}\n",
            self.unit, self.kerf, self.end_trim
        );
        if let Some(rip) = &self.rip {
            writeln!(
                toml,
                "\n[rip]\nkerf = {}\nstraightening = {}\nplaning = {}",
                rip.kerf, rip.straightening, rip.planing
            )
            .unwrap();
        }
        std::fs::write(dir.join("pieces.csv"), pieces).unwrap();
        std::fs::write(dir.join("boards.csv"), boards).unwrap();
        let path = dir.join("job.toml");
        std::fs::write(&path, toml).unwrap();
        path
    }
}
