//! Bars for what one looks at rather than reads: the use of the wood, and ways of buying by what they cost more.
//!
//! No hatch stands for two things, and every bar has its words.

use crate::length::Length;
use crate::report::figures::percent;

use super::figure::wide;
use super::scale::{Area, Scale};
use super::strokes::{area, drawing, half, line, words, words_from};
use super::xml::isolated;

/// What wood is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    /// It is in the parts.
    Parts,
    /// It goes back on the rack.
    Rack,
    /// It is too short to be kept.
    Ends,
    /// It becomes dust, or is trimmed off.
    Saw,
}

/// A share of the wood.
#[derive(Clone, Copy, Debug)]
pub struct Share<'a> {
    /// What it is for.
    pub used: Use,
    /// The same in words.
    pub words: &'a str,
    /// How much it is, in tenths of a percent.
    pub per_mille: i64,
}

/// A way of buying beside the cheapest that is to be had.
#[derive(Clone, Copy, Debug)]
pub struct WayBar<'a> {
    /// What it is called.
    pub name: &'a str,
    /// What it costs beside the cheapest, in words: `14.00 more`; or why it will not do.
    pub words: &'a str,
    /// What it costs more than the cheapest, in minor units; less than nothing where it is cheaper and not to be had;
    /// `None` where it will not do.
    pub more: Option<i64>,
    /// Whether it is the one that the plan goes.
    pub is_chosen: bool,
}

/// Width of a drawing on paper.
const PAPER: Length = Length::from_nm(186_000_000);

/// How high a bar is.
const BAR: Length = Length::from_nm(8_000_000);

/// Type of words.
const WORDS: Length = Length::from_nm(4_100_000);

/// What stands before the names, for the mark of the one that is chosen.
const MARK: Length = Length::from_nm(5_000_000);

/// From row to row.
const ROW: Length = Length::from_nm(7_500_000);

impl Use {
    fn class(self) -> &'static str {
        match self {
            Use::Parts => "use-parts",
            Use::Rack => "use-rack",
            Use::Ends => "use-ends",
            Use::Saw => "use-saw",
        }
    }
}

/// The use of the wood as one bar with a legend, of which `id` is the beginning of its ids; the shares come to 1000.
pub fn use_of_wood(shares: &[Share<'_>], id: &str) -> String {
    let (key, gap) = (Length::MILLIMETRE * 8, Length::MILLIMETRE * 2);
    let text = |share: &Share<'_>| format!("{} {}", share.words, percent(share.per_mille));
    let entry = |share: &Share<'_>| key + gap + wide(&text(share), WORDS);
    // The legend, broken into rows.
    let mut places: Vec<(Length, i64)> = Vec::new();
    let (mut x, mut row) = (Length::ZERO, 0);
    for share in shares {
        if x > Length::ZERO && x + entry(share) > PAPER {
            (x, row) = (Length::ZERO, row + 1);
        }
        places.push((x, row));
        x += entry(share) + Length::MILLIMETRE * 4;
    }
    let margin = half(Length::MILLIMETRE);
    let height = margin + BAR + ROW * (row + 1) + gap;
    let lines: Vec<String> = shares.iter().map(text).collect();
    let mut svg = drawing("dw-use", id, (PAPER, height), "Use of the wood", &lines);
    let scale = Scale::new(PAPER - margin * 2, Length::METRE);
    let mut from = 0;
    for share in shares {
        let place = |per_mille: i64| margin + scale.of(Length::MILLIMETRE * per_mille);
        let (begin, end) = (place(from), place(from + share.per_mille));
        from += share.per_mille;
        if end > begin {
            let part = Area {
                x: begin,
                y: margin,
                width: end - begin,
                height: BAR,
            };
            svg.push(&area(share.used.class(), part));
        }
    }
    for (share, (x, row)) in shares.iter().zip(places) {
        let middle = margin + BAR + gap + ROW * row + half(ROW);
        let swatch = Area {
            x: x + margin,
            y: middle - Length::MILLIMETRE * 2,
            width: key - margin,
            height: Length::MILLIMETRE * 4,
        };
        svg.push(&area(share.used.class(), swatch));
        let place = (x + key + gap, middle);
        svg.push(&words_from(&text(share), place, WORDS, "word", PAPER));
    }
    svg.to_string()
}

/// Ways of buying, each with a bar of what it costs more than the cheapest, from a zero line; to the left of it what would
/// cost less and is not to be had.
pub fn ways(ways: &[WayBar<'_>], id: &str) -> String {
    let room = |widths: &mut dyn Iterator<Item = Length>, most: i64| {
        let widest = widths.max().unwrap_or(Length::ZERO);
        (widest + Length::MILLIMETRE * 4).min(Length::MILLIMETRE * most)
    };
    let name_room = room(&mut ways.iter().map(|way| wide(way.name, WORDS)), 75) + MARK;
    let with_bar = || ways.iter().filter(|way| way.more.is_some());
    let words_room = room(&mut with_bar().map(|way| wide(way.words, WORDS)), 60);
    let bars = name_room + words_room + Length::MILLIMETRE * 2;
    let margin = Length::MILLIMETRE;
    let rows = i64::try_from(ways.len()).unwrap_or(0);
    let height = ROW * rows + margin * 2;
    let lines: Vec<String> = ways
        .iter()
        .map(|way| {
            let chosen = if way.is_chosen { " (this plan)" } else { "" };
            format!("{}{chosen}: {}", isolated(way.name), way.words)
        })
        .collect();
    let mut svg = drawing("dw-ways", id, (PAPER, height), "Ways of buying", &lines);
    let money = |of: fn(i64) -> i64| {
        let more = ways.iter().filter_map(|way| way.more);
        more.map(of).max().unwrap_or(0).max(0)
    };
    let (most, least) = (money(|more| more), money(|more| -more));
    // The longest bars to either side share what room there is.
    let scale = Scale::new(
        PAPER - bars - margin,
        Length::from_nm(most.saturating_add(least).max(1)),
    );
    let zero = bars + scale.of(Length::from_nm(least));
    let mut y = margin + half(ROW);
    for way in ways {
        let class = if way.is_chosen { "word strong" } else { "word" };
        if way.is_chosen {
            svg.push(&words(
                "▸",
                (Length::MILLIMETRE * 2, y),
                WORDS,
                "word strong",
            ));
        }
        let from = MARK;
        svg.push(&words_from(
            way.name,
            (from, y),
            WORDS,
            class,
            name_room - from - margin,
        ));
        let Some(more) = way.more else {
            svg.push(&words_from(
                way.words,
                (name_room, y),
                WORDS,
                class,
                PAPER - name_room,
            ));
            y += ROW;
            continue;
        };
        svg.push(&words_from(
            way.words,
            (name_room, y),
            WORDS,
            class,
            words_room,
        ));
        let size = scale.of(Length::from_nm(more.saturating_abs()));
        if size > Length::ZERO {
            let bar = Area {
                x: if more < 0 { zero - size } else { zero },
                y: y - Length::MILLIMETRE * 2,
                width: size,
                height: Length::MILLIMETRE * 4,
            };
            svg.push(&area(if more < 0 { "less" } else { "more" }, bar));
        }
        let row = (y - half(ROW), y + half(ROW));
        svg.push(&line("zero", (zero, row.0), (zero, row.1)));
        y += ROW;
    }
    svg.to_string()
}
