//! Published instances, read from a folder beside the project where it is there; none of them is part of the project.

use std::path::{Path, PathBuf};

use crate::job_files::{BoardRow, JobFiles, PieceRow};

/// A published instance.
pub struct Published {
    /// Its name.
    pub name: String,
    /// The job it makes.
    pub job: JobFiles,
    /// Its published or computed optimum: boards, or cost in whole units.
    pub optimum: i64,
    /// Whether the optimum is a cost (in whole units of money, 100 minor units each).
    pub priced: bool,
}

/// The folder of instances: `LONGPOINT_INSTANCES`, or `../shared/data`; `None` where neither is there.
pub fn folder() -> Option<PathBuf> {
    let named = std::env::var_os("LONGPOINT_INSTANCES").map(PathBuf::from);
    let beside = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    named.into_iter().chain([beside]).find(|path| path.is_dir())
}

/// All instances of one CSV file: `name,capacity,items,…` or `name,stocks,items,…`.
pub fn read(path: &Path) -> Vec<Published> {
    let mut rows = csv::Reader::from_path(path).unwrap();
    let priced = rows
        .headers()
        .unwrap()
        .iter()
        .any(|header| header == "stocks");
    rows.records()
        .map(|row| {
            let row = row.unwrap();
            let boards = if priced {
                row[1]
                    .split(' ')
                    .enumerate()
                    .map(|(idx, stock)| {
                        let parts: Vec<&str> = stock.split(':').collect();
                        BoardRow {
                            name: format!("stock {}", idx + 1),
                            length: parts[0].to_owned(),
                            quantity: parts[2].parse().ok(),
                            price: Some(parts[1].to_owned()),
                            section: None,
                        }
                    })
                    .collect()
            } else {
                vec![BoardRow {
                    name: "stock".to_owned(),
                    length: row[1].to_owned(),
                    quantity: None,
                    price: None,
                    section: None,
                }]
            };
            let pieces = row[2]
                .split(' ')
                .enumerate()
                .map(|(idx, item)| {
                    let (size, demand) = item.split_once(':').unwrap();
                    PieceRow {
                        name: format!("item {}", idx + 1),
                        length: size.to_owned(),
                        quantity: demand.parse().unwrap(),
                        ends: "square",
                        width: None,
                    }
                })
                .collect();
            Published {
                name: row[0].to_owned(),
                job: JobFiles {
                    unit: "mm",
                    kerf: "0".to_owned(),
                    end_trim: "0".to_owned(),
                    rip: None,
                    pieces,
                    boards,
                },
                optimum: row[4].parse().unwrap(),
                priced,
            }
        })
        .collect()
}
