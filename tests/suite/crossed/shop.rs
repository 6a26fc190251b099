//! Jobs with some wishes out of all that there are, as texts.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::ops::Range;
use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};

use crate::jobs::load;
use crate::texts::Texts;
use longpoint::job::Job;
use longpoint::load::{Boards, load_job};
use longpoint::pipeline::{Planned, plan};
use longpoint::solve::Control;
use proptest::prelude::*;

/// What a job may ask for beside its frames, or be short of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Wish {
    /// Boards are ripped to strips.
    Rip,
    /// A cheap board with two knots.
    Knots,
    /// Rails in a row.
    Grain,
    /// Rails that may lie turned end for end.
    Turned,
    /// Pieces on the rack.
    Rack,
    /// More rails.
    SpareRails,
    /// An offcut to cut a rail from again.
    SpareOffcut,
    /// Rails of a frame from few boards.
    Color,
    /// The first frame from the first line of boards.
    Chosen,
    /// Few of the first line of boards.
    Few,
    /// Few of all.
    Shortage,
}

pub(crate) const WISHES: [Wish; 11] = [
    Wish::Rip,
    Wish::Knots,
    Wish::Grain,
    Wish::Turned,
    Wish::Rack,
    Wish::SpareRails,
    Wish::SpareOffcut,
    Wish::Color,
    Wish::Chosen,
    Wish::Few,
    Wish::Shortage,
];

/// Face width, what the rabbet adds to the art on both sides, and the saw's kerf, in eighths of an inch.
pub(crate) const FACE: i64 = 8;
pub(crate) const ADDED: i64 = 12;
pub(crate) const KERF: i64 = 1;
pub(crate) const SHORTEST_OFFCUT: i64 = 80;
pub(crate) const RIP_KERF: i64 = 1;
pub(crate) const STRAIGHTENING: i64 = 1;

/// A line of boards.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub(crate) length: i64,
    pub(crate) cents: i64,
    pub(crate) quantity: Option<u32>,
    pub(crate) is_rack: bool,
    /// From and to.
    pub(crate) knots: Vec<(i64, i64)>,
}

/// A job; lengths are eighths of an inch.
#[derive(Clone, Debug)]
pub(crate) struct Shop {
    pub(crate) wishes: BTreeSet<Wish>,
    /// Width, height and quantity.
    pub(crate) frames: Vec<(i64, i64, u32)>,
    pub(crate) trim: i64,
    pub(crate) planing: i64,
    /// Width of all boards where they are ripped.
    pub(crate) width: i64,
    /// `frame`, `opposite` or `adjacent`.
    pub(crate) grain: usize,
    /// Whether a row may come in pairs, and in which.
    pub(crate) long_chains: Option<usize>,
    pub(crate) n_spare: u32,
    pub(crate) lines: Vec<Line>,
    pub(crate) knotty: Line,
    pub(crate) rack: Vec<Line>,
    pub(crate) n_few: Vec<u32>,
}

pub(crate) const GRAINS: [&str; 3] = ["frame", "opposite", "adjacent"];

impl Shop {
    pub(crate) fn asks(&self, wish: Wish) -> bool {
        self.wishes.contains(&wish)
    }

    /// Whether rows may come in pairs for want of boards.
    pub(crate) fn may_part(&self) -> bool {
        self.asks(Wish::Grain) && self.grain == 0 && self.long_chains.is_some()
    }

    /// All lines of boards that there are.
    pub(crate) fn boards(&self) -> Vec<Line> {
        let mut boards = self.lines.clone();
        for (idx, line) in boards.iter_mut().enumerate() {
            if self.asks(Wish::Shortage) || self.asks(Wish::Few) && idx == 0 {
                line.quantity = Some(self.n_few[idx]);
            }
        }
        if self.asks(Wish::Knots) {
            boards.push(self.knotty.clone());
        }
        if self.asks(Wish::Rack) {
            boards.extend(self.rack.iter().cloned());
        }
        boards
    }

    /// What the job says of saw, shop, ripping and moulding.
    fn head(&self) -> String {
        let mut job = format!(
            "rack = \"rack.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = {}\n[shop]\nshortest-offcut = 10\nfit-allowance = 0\n",
            eighths(self.trim)
        );
        if let Some(pairs) = self.long_chains {
            writeln!(job, "long-chains = \"{}\"", GRAINS[pairs]).unwrap();
        }
        if self.asks(Wish::Rip) {
            let planing = eighths(self.planing);
            write!(
                job,
                "[rip]\nkerf = \"1/8\"\nstraightening = \"1/8\"\nplaning = {planing}\nplane-off = 0\n"
            )
            .unwrap();
        }
        job += "[[mouldings]]\nname = \"cap\"\nface-width = 1\nlip = \"1/4\"\n";
        if self.asks(Wish::Turned) {
            job += "section = \"symmetric\"\n";
        }
        if self.asks(Wish::Grain) {
            writeln!(job, "grain = \"{}\"", GRAINS[self.grain]).unwrap();
        }
        if self.asks(Wish::Color) {
            job += "match-color = true\n";
        }
        if self.asks(Wish::SpareOffcut) {
            job += "spare = \"offcut\"\n";
        } else if self.asks(Wish::SpareRails) {
            writeln!(job, "spare = {}", self.n_spare).unwrap();
        }
        job
    }

    /// The next job: one rail as long as the longest, to be cut from a rack and nothing else.
    pub(crate) fn next(&self, rack: String) -> Job {
        let rails = self
            .frames
            .iter()
            .map(|&(width, height, _)| width.max(height) + ADDED);
        let plain = Shop {
            wishes: self
                .wishes
                .intersection(&BTreeSet::from([Wish::Rip]))
                .copied()
                .collect(),
            ..self.clone()
        };
        let job = format!(
            "{}[[pieces]]\npiece = \"rail\"\nmoulding = \"cap\"\nends = \"miter\"\nlength = {}\n",
            plain.head(),
            eighths(rails.max().unwrap())
        );
        load(&Texts::from([("job.toml", job), ("rack.csv", rack)]))
    }

    fn texts(&self) -> Texts {
        let mut job = self.head();
        for (idx, &(width, height, quantity)) in self.frames.iter().enumerate() {
            let (width, height) = (eighths(width), eighths(height));
            write!(
                job,
                "[[frames]]\nframe = \"f{idx}\"\nart-width = {width}\nart-height = {height}\nquantity = {quantity}\n"
            )
            .unwrap();
            if idx == 0 && self.asks(Wish::Chosen) {
                job += "board = \"b0\"\n";
            }
        }
        let width = if self.asks(Wish::Rip) {
            eighths(self.width)
        } else {
            String::new()
        };
        let mut rack = String::from("board,length,quantity,value,width\n");
        for (idx, line) in self.boards().iter().enumerate() {
            let (length, money) = (
                eighths(line.length),
                format!("{}.{:02}", line.cents / 100, line.cents % 100),
            );
            if line.is_rack {
                writeln!(rack, "r{idx},{length},1,{money},{width}").unwrap();
                continue;
            }
            write!(
                job,
                "[[boards]]\nboard = \"b{idx}\"\nlength = {length}\nprice = \"{money}\"\n"
            )
            .unwrap();
            if let Some(quantity) = line.quantity {
                writeln!(job, "quantity = {quantity}").unwrap();
            }
            if !width.is_empty() {
                writeln!(job, "width = {width}").unwrap();
            }
            let knots = line.knots.iter().map(|&(from, to)| {
                format!("{} {}/8 to {} {}/8", from / 8, from % 8, to / 8, to % 8)
            });
            let knots: Vec<String> = knots.collect();
            if !knots.is_empty() {
                writeln!(job, "defects = \"{}\"", knots.join("; ")).unwrap();
            }
        }
        Texts::from([("job.toml", job), ("rack.csv", rack)])
    }

    /// The job; `None` where some rail, or some row that may not part, fits on no board.
    pub(crate) fn load(&self) -> Option<Job> {
        let loaded = load_job(Path::new("job.toml"), &self.texts(), Boards::Needed);
        loaded.ok().map(|(job, _)| job)
    }

    /// Its plan; a search that does not end must fail the test, not hang it.
    pub(crate) fn planned(&self, job: &Job, patience: u32) -> Planned {
        let n_asked = AtomicU32::new(0);
        let control = Control {
            stop: &|| n_asked.fetch_add(1, Ordering::Relaxed) > patience,
            progress: &|_| {},
        };
        plan(job, &control).unwrap_or_else(|violations| panic!("{violations:?} in {self:?}"))
    }
}

fn eighths(eighths: i64) -> String {
    format!("\"{} {}/8\"", eighths / 8, eighths % 8)
}

/// Two or three wishes, but not two that shut each other out.
fn wishes() -> impl Strategy<Value = BTreeSet<Wish>> {
    prop::collection::btree_set(prop::sample::select(&WISHES[..]), 2..=3).prop_filter(
        "they shut each other out",
        |wishes| {
            let both = |one, other| wishes.contains(&one) && wishes.contains(&other);
            !both(Wish::SpareRails, Wish::SpareOffcut) && !both(Wish::Few, Wish::Shortage)
        },
    )
}

/// Jobs with so many lines of frames, each of so many copies at the most, and so many lines of boards.
pub(crate) fn shops(
    n_frames: Range<usize>,
    most_copies: u32,
    n_lines: Range<usize>,
) -> impl Strategy<Value = Shop> {
    let line = |is_rack: bool| {
        (60_i64..420, 50_i64..900).prop_map(move |(length, cents)| Line {
            length,
            cents,
            quantity: is_rack.then_some(1),
            is_rack,
            knots: Vec::new(),
        })
    };
    let most_lines = n_lines.end;
    let knotty = (
        150_i64..400,
        50_i64..400,
        10_i64..90,
        1_i64..12,
        4_i64..90,
        1_i64..12,
    )
        .prop_map(|(length, cents, before, first, between, second)| {
            let at = before + first + between;
            Line {
                length: length.max(at + second + 1),
                cents,
                quantity: Some(1),
                is_rack: false,
                knots: vec![(before, before + first), (at, at + second)],
            }
        });
    let sizes = (
        prop::collection::vec((40_i64..130, 40_i64..130, 1..=most_copies), n_frames),
        0_i64..6,
        0_i64..2,
        prop_oneof![Just(FACE), FACE + 1..FACE * 4],
    );
    let asked = (wishes(), 0_usize..3, prop::option::of(1_usize..3), 1_u32..3);
    let wood = (
        prop::collection::vec(line(false), n_lines),
        knotty,
        prop::collection::vec(line(true), 1..4),
        prop::collection::vec(1_u32..4, most_lines),
    );
    (sizes, asked, wood).prop_map(
        |(
            (frames, trim, planing, width),
            (wishes, grain, long_chains, n_spare),
            (lines, knotty, rack, n_few),
        )| Shop {
            wishes,
            frames,
            trim,
            planing,
            width,
            grain,
            long_chains,
            n_spare,
            lines,
            knotty,
            rack,
            n_few,
        },
    )
}
