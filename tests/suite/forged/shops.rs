//! Small jobs of every kind, drawn by number: the same number gives the same job on every machine.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

use longpoint::job::Job;
use longpoint::load::{Boards, load_job};

use crate::texts::Texts;

/// What a job asks for, or lacks, besides plain frames and boards with prices.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Wish {
    /// Of each line of boards there are one or two.
    Short,
    /// Boards are ripped.
    Rip,
    /// Rails of a frame stand in a row.
    Chain,
    /// Strips may be turned end for end.
    Turned,
    /// Pieces in hand.
    Rack,
    /// A spare rail, or a spare offcut.
    Spare,
    /// Boards have defects.
    Knots,
    /// Some frames name their board.
    Chosen,
    /// No board has a price.
    NoPrice,
    /// Two woods, so that the job falls apart in two.
    TwoWoods,
    /// The search is stopped before it has proved anything.
    Stopped,
}

pub(super) const WISHES: [Wish; 11] = [
    Wish::Short,
    Wish::Rip,
    Wish::Chain,
    Wish::Turned,
    Wish::Rack,
    Wish::Spare,
    Wish::Knots,
    Wish::Chosen,
    Wish::NoPrice,
    Wish::TwoWoods,
    Wish::Stopped,
];

/// Numbers that look random (G. Marsaglia, Journal of Statistical Software 8(14), 2003: xorshift).
pub(super) struct Draw(u64);

impl Draw {
    pub(super) fn new(number: u64) -> Draw {
        // Small numbers are spread over all bits.
        let mut draw = Draw(number.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for _ in 0..4 {
            draw.below(2);
        }
        draw
    }

    /// A number from 0 to `n - 1`.
    pub(super) fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % n
    }

    fn between(&mut self, from: u64, to: u64) -> u64 {
        from + self.below(to - from + 1)
    }
}

/// The wishes of the job of a number: each alone in turn, then two or three together.
pub(super) fn wishes(number: u64) -> BTreeSet<Wish> {
    let n_wishes = WISHES.len() as u64;
    let round = number % (2 * n_wishes + 1);
    let mut draw = Draw::new(number);
    let mut any = || WISHES[usize::try_from(draw.below(n_wishes)).unwrap()];
    if round < n_wishes {
        [WISHES[usize::try_from(round).unwrap()]].into()
    } else if round < 2 * n_wishes {
        [
            WISHES[usize::try_from(round - n_wishes).unwrap()],
            any(),
            any(),
        ]
        .into()
    } else {
        BTreeSet::new()
    }
}

/// The job of a number with these wishes; `None` where it is none, as a rail is longer than every board.
pub(super) fn job(number: u64, wishes: &BTreeSet<Wish>) -> Option<Job> {
    let texts = texts(&mut Draw::new(number + 1_000_000), wishes);
    load_job(Path::new("job.toml"), &texts, Boards::Needed)
        .ok()
        .map(|(job, _)| job)
}

/// Its files, in millimeters.
fn texts(draw: &mut Draw, wishes: &BTreeSet<Wish>) -> Texts {
    let has = |wish| wishes.contains(&wish);
    let kerf = draw.below(4);
    let trim = [0, 0, 10, 13][usize::try_from(draw.below(4)).unwrap()];
    let mut text = String::from("unit = \"mm\"\nboards = \"boards.csv\"\n");
    if has(Wish::Rack) {
        text += "rack = \"rack.csv\"\n";
    }
    write!(
        text,
        "[saw]\nkerf = {kerf}\nend-trim = {trim}\n\
         [shop]\nfit-allowance = 0\nshortest-offcut = 150\nlong-chains = \"adjacent\"\n"
    )
    .unwrap();
    if has(Wish::Rip) {
        let (kerf, straight) = (draw.below(4), draw.below(5));
        write!(text, "[rip]\nkerf = {kerf}\nstraightening = {straight}\n").unwrap();
    }
    let woods: &[&str] = if has(Wish::TwoWoods) {
        &["oak", "ash"]
    } else {
        &["oak"]
    };
    let n_lines = draw.between(2, 3);
    for (idx, wood) in woods.iter().enumerate() {
        let face = draw.between(20, 45);
        write!(
            text,
            "[[mouldings]]\nname = \"m{idx}\"\nface-width = {face}\nlip = 5\nmaterial = \"{wood}\"\n"
        )
        .unwrap();
        if has(Wish::Turned) {
            text += "section = \"symmetric\"\n";
        }
        if has(Wish::Chain) {
            let grain = ["adjacent", "opposite", "frame"][usize::try_from(draw.below(3)).unwrap()];
            writeln!(text, "grain = \"{grain}\"").unwrap();
        }
        if has(Wish::Spare) && idx == 0 {
            text += if draw.below(2) == 0 {
                "spare = \"offcut\"\n"
            } else {
                "spare = 1\n"
            };
        }
    }
    for frame in 0..draw.between(1, 3) {
        let (width, height) = (draw.between(80, 420), draw.between(80, 420));
        let (moulding, copies) = (draw.below(woods.len() as u64), draw.between(1, 2));
        write!(
            text,
            "[[frames]]\nframe = \"f{frame}\"\nmoulding = \"m{moulding}\"\n\
             art-width = {width}\nart-height = {height}\nquantity = {copies}\n"
        )
        .unwrap();
        if has(Wish::Chosen) && draw.below(2) == 0 {
            writeln!(text, "board = \"b{moulding}-{}\"", draw.below(n_lines)).unwrap();
        }
    }
    for piece in 0..draw.below(3) {
        let (length, copies) = (draw.between(60, 500), draw.between(1, 3));
        let (wood, width) = (
            woods[usize::try_from(draw.below(woods.len() as u64)).unwrap()],
            draw.between(15, 60),
        );
        write!(
            text,
            "[[pieces]]\npiece = \"p{piece}\"\nlength = {length}\nquantity = {copies}\n\
             material = \"{wood}\"\nwidth = {width}\n"
        )
        .unwrap();
    }
    let mut boards = String::from("board,material,length,width,quantity,price,defects\n");
    for (idx, wood) in woods.iter().enumerate() {
        for line in 0..n_lines {
            let length = draw.between(560, 1_900);
            let width = draw.between(70, 140);
            let quantity = match (has(Wish::Short), draw.below(4)) {
                (true, _) => draw.between(0, 2).to_string(),
                (false, 0) => draw.between(1, 6).to_string(),
                _ => String::new(),
            };
            let price = if has(Wish::NoPrice) {
                String::new()
            } else {
                let cents = draw.between(100, 3_000);
                format!("{}.{:02}", cents / 100, cents % 100)
            };
            let knot = if has(Wish::Knots) && draw.below(3) > 0 {
                let from = draw.between(20, length - 60);
                let across =
                    ["", "", " left 30", " right 40"][usize::try_from(draw.below(4)).unwrap()];
                format!("{from} to {}{across}", from + draw.between(5, 50))
            } else {
                String::new()
            };
            writeln!(
                boards,
                "b{idx}-{line},{wood},{length},{width},{quantity},{price},{knot}"
            )
            .unwrap();
        }
    }
    let mut rack = String::from("board,length,quantity,material,width,value\n");
    for piece in 0..2 {
        let (length, quantity) = (draw.between(250, 900), draw.between(1, 2));
        let value = ["", "0", "1.50", "0.75"][usize::try_from(draw.below(4)).unwrap()];
        // A piece without a value of its own needs what it cost.
        let value = if value.is_empty() { "0.20" } else { value };
        writeln!(
            rack,
            "r{piece},{length},{quantity},oak,{},{value}",
            draw.between(70, 140)
        )
        .unwrap();
    }
    Texts::from([
        ("job.toml", text),
        ("boards.csv", boards),
        ("rack.csv", rack),
    ])
}
