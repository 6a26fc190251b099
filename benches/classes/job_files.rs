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
}

/// A row of `boards.csv`.
pub struct BoardRow {
    /// Name.
    pub name: String,
    /// Length in the job's unit.
    pub length: String,
    /// How many; `None` for as many as needed.
    pub quantity: Option<u64>,
    /// Price of one, in major units.
    pub price: Option<String>,
}

/// A whole job.
pub struct JobFiles {
    /// Unit of the bare numbers.
    pub unit: &'static str,
    /// Kerf of the saw.
    pub kerf: String,
    /// Trim at each end.
    pub end_trim: String,
    /// The pieces.
    pub pieces: Vec<PieceRow>,
    /// The boards.
    pub boards: Vec<BoardRow>,
}

impl JobFiles {
    /// Writes the job into `dir` and returns the path of its TOML file.
    pub fn write(&self, dir: &Path) -> PathBuf {
        let mut pieces = String::from("piece,length,quantity,ends\n");
        for row in &self.pieces {
            writeln!(
                pieces,
                "{},{},{},{}",
                row.name, row.length, row.quantity, row.ends
            )
            .unwrap();
        }
        let mut boards = String::from("board,length,quantity,price\n");
        for row in &self.boards {
            let quantity = row
                .quantity
                .map_or(String::new(), |quantity| quantity.to_string());
            writeln!(
                boards,
                "{},{},{},{}",
                row.name,
                row.length,
                quantity,
                row.price.as_deref().unwrap_or("")
            )
            .unwrap();
        }
        let toml = format!(
            "unit = \"{}\"\npieces = \"pieces.csv\"\nboards = \"boards.csv\"\n\n[saw]\nkerf = {}\nend-trim = {}\n",
            self.unit, self.kerf, self.end_trim
        );
        std::fs::write(dir.join("pieces.csv"), pieces).unwrap();
        std::fs::write(dir.join("boards.csv"), boards).unwrap();
        let path = dir.join("job.toml");
        std::fs::write(&path, toml).unwrap();
        path
    }
}
