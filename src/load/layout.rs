//! How a table lies in its rows: which of them has the headings, what each heading stands for, and which rows are no data.
//!
//! People's lists have a title above, a total below, headings in words of their own, sometimes in two rows of which the upper
//! one spans several columns, and units in brackets; what is understood here is said once, by [`super::csv_file`].

use super::schema::{Column, Kind, Meaning, Need, Schema, kebab};
use crate::length::Unit;
use crate::money::currency_in;

/// So many filled rows are searched for the headings.
const MOST_TITLES: usize = 20;

/// Words with which a row of sums begins.
const TOTALS: [&str; 14] = [
    "total",
    "totals",
    "subtotal",
    "sub-total",
    "grand total",
    "sum",
    "sums",
    "summe",
    "gesamt",
    "zwischensumme",
    "somme",
    "totaux",
    "total général",
    "\u{3a3}",
];

/// Where the headings of a table are, and what they stand for.
#[derive(Clone, Debug)]
pub(crate) struct Layout {
    /// Which row they are, of those that hold anything.
    pub(crate) head_idx: usize,
    /// One for each field of that row.
    pub(crate) headings: Vec<Heading>,
}

/// A heading.
#[derive(Clone, Debug)]
pub(crate) struct Heading {
    /// As the file has it; with the one above in front where both together are understood.
    pub(crate) text: String,
    /// What it stands for.
    pub(crate) meaning: Meaning,
    /// The unit of bare numbers below it, if it names one.
    pub(crate) unit: Option<Unit>,
    /// What prices below it are for, as `ft`, if it says so.
    pub(crate) per: Option<String>,
    /// The currency of prices below it, if it names one.
    pub(crate) currency: Option<&'static str>,
    /// The heading that names its unit for it, where it has none itself.
    pub(crate) unit_of: Option<String>,
}

/// Words above headings that say no more than these do.
const PLAIN_SPANS: [&str; 20] = [
    "art",
    "artwork",
    "picture",
    "image",
    "print",
    "size",
    "sizes",
    "dimensions",
    "format",
    "bild",
    "ma\u{df}e",
    "gr\u{f6}\u{df}e",
    "tableau",
    "image-size",
    "art-size",
    "picture-size",
    "details",
    "data",
    "list",
    "boards",
];

impl Heading {
    fn unknown() -> Heading {
        Heading {
            text: String::new(),
            meaning: Meaning::Unknown,
            unit: None,
            per: None,
            currency: None,
            unit_of: None,
        }
    }

    /// Takes what a heading above it says that spans it and is no part of its name: a unit, or that something else is meant,
    /// such as the outside of a frame.
    fn below(&mut self, spanning: &str) {
        let Some(column) = self.column().filter(|column| takes_unit(column)) else {
            return;
        };
        let (words, notes) = without_brackets(spanning);
        let (words, behind) = match parted(words.trim()) {
            Some((before, note)) => (before.to_owned(), Some(note.to_owned())),
            None => (words.trim().to_owned(), None),
        };
        let mut units = notes
            .iter()
            .chain(&behind)
            .filter_map(|note| unit_word(note));
        self.unit = self.unit.or(units.next_back()).or(unit_word(&words));
        let says_nothing = words.is_empty()
            || unit_word(&words).is_some()
            || PLAIN_SPANS.contains(&&*kebab(&words));
        if !says_nothing {
            self.text = format!("{spanning} {}", self.text);
            self.meaning = Meaning::OneOf(vec![column.name]);
        }
    }

    /// The column it stands for.
    pub(crate) fn column(&self) -> Option<&'static Column> {
        match self.meaning {
            Meaning::Column(column) => Some(column),
            Meaning::OneOf(_) | Meaning::Unknown => None,
        }
    }

    /// Whether it is the name of its column or the short one, in any case, and nothing more.
    pub(crate) fn is_plain(&self) -> bool {
        let name = kebab(&self.text);
        let is_name = |column: &Column| name == column.name || column.aliases.contains(&&*name);
        self.column().is_none_or(is_name)
    }
}

impl Layout {
    /// The layout of a table by its first rows that hold anything; in a table of nothing known the first row has the headings.
    pub(crate) fn of<R: AsRef<[C]>, C: AsRef<str>>(rows: &[R], schema: &'static Schema) -> Layout {
        let mut best = (0, 0, Vec::new());
        for (idx, row) in rows.iter().take(MOST_TITLES).enumerate() {
            // A row of fewer fields cannot have more that is understood.
            if idx > 0 && row.as_ref().len() <= best.1 {
                continue;
            }
            let above = idx.checked_sub(1).map(|above| rows[above].as_ref());
            let mut headings = headings(row.as_ref(), above.unwrap_or_default(), schema);
            share_units(&mut headings);
            let n_known = known(&headings);
            if idx == 0 || n_known > best.1 {
                best = (idx, n_known, headings);
            }
        }
        Layout {
            head_idx: best.0,
            headings: best.2,
        }
    }

    /// The column that is read below each heading: a column by its own name goes before one by another word for it, and the
    /// first of several goes before the others.
    pub(crate) fn columns(&self) -> Vec<Option<&'static Column>> {
        let mut taken: Vec<&str> = Vec::new();
        let columns = self.headings.iter().map(|heading| {
            let column = heading.column()?;
            let is_free = !self.is_superseded(heading) && !taken.contains(&column.name);
            is_free.then(|| {
                taken.push(column.name);
                column
            })
        });
        columns.collect()
    }

    /// Whether another heading is the very name of the column that this one means.
    pub(crate) fn is_superseded(&self, heading: &Heading) -> bool {
        let Some(column) = heading.column() else {
            return false;
        };
        let is_name = |other: &&Heading| {
            other.is_plain()
                && other
                    .column()
                    .is_some_and(|other| other.name == column.name)
        };
        !heading.is_plain() && self.headings.iter().any(|other| is_name(&other))
    }

    /// So many rows must be seen to know the layout.
    pub(crate) const ROWS_SEEN: usize = MOST_TITLES;

    /// Whether any heading is understood.
    pub(crate) fn is_known(&self) -> bool {
        known(&self.headings) > 0
    }

    /// What goes down the rows below the headings, and tells data from sums and from headings that come again.
    pub(crate) fn below(&self) -> Below<'_> {
        Below {
            layout: self,
            above: Vec::new(),
            n_rows: 0,
            sums: vec![Some(0); self.headings.len()],
        }
    }
}

/// The rows below the headings, as far as they have been gone through.
pub(crate) struct Below<'l> {
    layout: &'l Layout,
    /// The last row of data.
    above: Vec<String>,
    n_rows: usize,
    /// Of each column what its numbers come to, in thousandths; `None` once it has anything else.
    sums: Vec<Option<i128>>,
}

impl Below<'_> {
    /// Whether the next row, which is not empty, is one of data.
    pub(crate) fn is_data<C: AsRef<str>>(&mut self, row: &[C]) -> bool {
        let cells = (0..self.sums.len()).map(|idx| text(row, idx));
        let cells: Vec<&str> = cells.collect();
        if self.is_headings(&cells) || self.is_sum(row, &cells) {
            return false;
        }
        self.n_rows += 1;
        for (sum, cell) in self.sums.iter_mut().zip(&cells) {
            *sum = sum.and_then(|sum| sum.checked_add(plain_number(cell)?));
        }
        self.above = cells.into_iter().map(str::to_owned).collect();
        true
    }

    fn is_headings(&self, cells: &[&str]) -> bool {
        let headings = &self.layout.headings;
        self.layout.is_known()
            && headings
                .iter()
                .map(|heading| &*heading.text)
                .eq(cells.iter().copied())
    }

    /// Whether a row is a sum of those above it: it begins with a word for a total and lacks something that every row of data
    /// has; or it begins with nothing but that word, and lacks what the row above has, or has what a column comes to.
    fn is_sum<C: AsRef<str>>(&self, row: &[C], cells: &[&str]) -> bool {
        let mut texts = row.iter().map(|cell| cell.as_ref().trim());
        let first = texts.find(|text| !text.is_empty());
        let Some(told) = first.and_then(total_told) else {
            return false;
        };
        let is_needed = |column: &Column| matches!(column.need, Need::Always);
        let headings = self.layout.headings.iter().enumerate();
        let lacks = |(idx, heading): (usize, &Heading)| {
            // A picture may be called `Total eclipse`, and lack what the one above it has.
            let is_above = self.above.get(idx).is_some_and(|above| !above.is_empty());
            let is_expected =
                heading.column().is_some_and(is_needed) || (told == Told::Alone && is_above);
            is_expected && cells[idx].is_empty()
        };
        let comes_to = |(sum, cell): (&Option<i128>, &&str)| {
            !cell.is_empty() && sum.is_some() && *sum == plain_number(cell)
        };
        headings.clone().any(lacks)
            || (told == Told::Alone && self.n_rows > 1 && self.sums.iter().zip(cells).any(comes_to))
    }
}

fn text<C: AsRef<str>>(row: &[C], idx: usize) -> &str {
    row.get(idx).map_or("", |cell| cell.as_ref().trim())
}

/// A number of at most three decimals, in thousandths; nothing counts nothing.
fn plain_number(text: &str) -> Option<i128> {
    let (whole, decimals) = text.split_once(['.', ',']).unwrap_or((text, ""));
    let is_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !is_digits(whole) || !is_digits(decimals) || whole.len() > 15 || decimals.len() > 3 {
        return None;
    }
    let padded = whole
        .bytes()
        .chain(decimals.bytes().chain([b'0'; 3]).take(3));
    Some(padded.fold(0, |number, digit| 10 * number + i128::from(digit - b'0')))
}

/// How a text tells of a total.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Told {
    /// By a word for it alone, perhaps with a colon.
    Alone,
    /// By such a word in front of others.
    InFront,
}

/// How a text that begins with a word for a total tells of it.
fn total_told(text: &str) -> Option<Told> {
    let text = text.to_lowercase();
    let rests = TOTALS.iter().filter_map(|word| text.strip_prefix(word));
    let told = rests.filter_map(|rest| match rest.trim_matches([':', '.', ' ']) {
        "" => Some(Told::Alone),
        _ if rest.starts_with(|symbol: char| symbol.is_alphanumeric()) => None,
        _ => Some(Told::InFront),
    });
    told.min_by_key(|told| *told == Told::InFront)
}

/// How many columns the headings stand for; one that may be several counts, as it is meant for one of them.
fn known(headings: &[Heading]) -> usize {
    let mut columns: Vec<&str> = Vec::new();
    let mut n_open = 0;
    for heading in headings {
        match &heading.meaning {
            Meaning::Column(column) if !columns.contains(&column.name) => columns.push(column.name),
            Meaning::OneOf(_) => n_open += 1,
            Meaning::Column(_) | Meaning::Unknown => {}
        }
    }
    columns.len() + n_open
}

/// The headings of a row. A heading of the row above, which spans the fields right of it up to the next, belongs in front
/// where both together have a meaning; it stands alone above a field that is empty.
fn headings<C: AsRef<str>, A: AsRef<str>>(
    row: &[C],
    above: &[A],
    schema: &'static Schema,
) -> Vec<Heading> {
    let mut spanning = "";
    let mut headings = Vec::new();
    let spans = spans(row, above);
    for (idx, cell) in row.iter().enumerate() {
        let own = cell.as_ref().trim();
        let over = above.get(idx).map_or("", |cell| cell.as_ref().trim());
        if !over.is_empty() {
            spanning = over;
        }
        let both = format!("{spanning} {own}");
        let tried = [
            (!own.is_empty() && !spanning.is_empty()).then_some(both.as_str()),
            (!own.is_empty()).then_some(own),
            (own.is_empty() && !over.is_empty()).then_some(over),
        ];
        let mut tried = tried
            .into_iter()
            .flatten()
            .map(|text| heading(text, schema));
        let is_known = |heading: &Heading| !matches!(heading.meaning, Meaning::Unknown);
        let mut found = tried.find(is_known).unwrap_or_else(|| Heading {
            text: if own.is_empty() { over } else { own }.to_owned(),
            ..Heading::unknown()
        });
        if spans && !spanning.is_empty() && found.text == own {
            found.below(spanning);
        }
        headings.push(found);
    }
    headings
}

/// Columns that are measured together.
const MEASURED_TOGETHER: [&[&str]; 5] = [
    &["art-width", "art-height"],
    &["package-width", "package-height"],
    &["width", "height"],
    &["mat-top", "mat-right", "mat-bottom", "mat-left"],
    &["trim-left", "trim-right", "trim-top", "trim-bottom"],
];

/// Gives a unit that only some headings of columns that are measured together name, as `Width (mm)` beside `Height`, to the
/// others; but not where they name several.
fn share_units(headings: &mut [Heading]) {
    for together in MEASURED_TOGETHER {
        let is_of = |heading: &Heading| {
            heading
                .column()
                .is_some_and(|column| together.contains(&column.name))
        };
        let with_unit = |heading: &&Heading| is_of(heading) && heading.unit.is_some();
        let Some(first) = headings.iter().find(with_unit).cloned() else {
            continue;
        };
        if headings
            .iter()
            .filter(with_unit)
            .any(|heading| heading.unit != first.unit)
        {
            continue;
        }
        let without = |heading: &&mut Heading| is_of(heading) && heading.unit.is_none();
        for heading in headings.iter_mut().filter(without) {
            heading.unit = first.unit;
            heading.unit_of = Some(first.text.clone());
        }
    }
}

/// Whether a row spans headings below it; one that begins where they do is a title, unless it begins with a word for sizes.
fn spans<C: AsRef<str>, A: AsRef<str>>(row: &[C], above: &[A]) -> bool {
    let first = above
        .iter()
        .position(|cell| !cell.as_ref().trim().is_empty());
    let begins = row.iter().position(|cell| !cell.as_ref().trim().is_empty());
    let Some(first) = first else {
        return false;
    };
    let (words, _) = without_brackets(above[first].as_ref());
    let is_of_sizes = unit_word(&words).is_some() || PLAIN_SPANS.contains(&&*kebab(words.trim()));
    begins.is_some_and(|begins| begins < first) || is_of_sizes
}

/// What a heading says: its words, then a unit or what a price is for, in brackets or behind.
fn heading(text: &str, schema: &'static Schema) -> Heading {
    let (words, notes) = without_brackets(text);
    let words = words.trim().trim_end_matches([':', '*', '.', '#']).trim();
    let mut heading = Heading {
        text: text.to_owned(),
        meaning: schema.meaning_of(words),
        ..Heading::unknown()
    };
    let mut behind = None;
    if matches!(heading.meaning, Meaning::Unknown)
        && let Some((before, note)) = parted(words)
    {
        let meaning = schema.meaning_of(before);
        let says_more = match &meaning {
            Meaning::Column(column) => {
                matches!(column.kind, Kind::Price | Kind::Amount) || takes_unit(column)
            }
            Meaning::OneOf(_) => true,
            Meaning::Unknown => false,
        };
        if says_more {
            heading.meaning = meaning;
            behind = Some(note.to_owned());
        }
    }
    // What stands in brackets and is not understood may be the very point, as in `Width (outside)`.
    for note in notes.into_iter().chain(behind) {
        let Some(column) = heading.column() else {
            break;
        };
        let is_for_price = matches!(column.kind, Kind::Price | Kind::Amount);
        match (unit_word(&note), measure(&note)) {
            (Some(unit), _) if takes_unit(column) => heading.unit = Some(unit),
            (_, Some(per)) if column.kind == Kind::Price => {
                heading.per = Some(per);
                let before = note.split('/').next().unwrap_or_default();
                heading.currency = currency_in(before).or(heading.currency);
            }
            _ if is_for_price && is_each(&note) => {}
            _ if is_for_price && currency_in(&note).is_some() => {
                heading.currency = currency_in(&note);
            }
            _ if schema
                .headed(&note)
                .is_some_and(|other| other.name == column.name) => {}
            // A mat with a unit is the width of its border.
            (Some(_), _) if column.name == "mat" => {
                heading.meaning = Meaning::OneOf(vec!["mat", "mat-border"]);
            }
            _ => heading.meaning = Meaning::OneOf(vec![column.name]),
        }
    }
    heading
}

/// A heading and the unit or measure that stands behind it without brackets.
fn parted(words: &str) -> Option<(&str, &str)> {
    let lower = words.to_lowercase();
    let at = |sign: &str| {
        lower
            .rfind(sign)
            .filter(|at| words.is_char_boundary(*at))
            .map(|at| (at, sign.len()))
    };
    let (at, len) = at(" per ")
        .or_else(|| at("/"))
        .or_else(|| at(","))
        .or_else(|| at(" in "))
        .or_else(|| at(" "))?;
    let (before, note) = (words.get(..at)?.trim(), words.get(at + len..)?.trim());
    (unit_word(note).is_some() || measure(note).is_some() || is_each(note))
        .then_some((before, note))
}

/// Whether numbers below a heading for this column can have its unit.
fn takes_unit(column: &Column) -> bool {
    matches!(
        column.kind,
        Kind::Length(_) | Kind::Thickness | Kind::Places | Kind::Defects
    )
}

/// A heading without what stands in brackets, and what does.
fn without_brackets(text: &str) -> (String, Vec<String>) {
    let (mut words, mut notes) = (String::new(), Vec::new());
    let mut rest = text;
    while let Some(start) = rest.find(['(', '[']) {
        let Some(len) = rest[start..].find([')', ']']) else {
            break;
        };
        words.push_str(&rest[..start]);
        notes.push(rest[start + 1..start + len].trim().to_owned());
        rest = &rest[start + len + 1..];
    }
    words.push_str(rest);
    (words, notes)
}

/// A unit of length as headings name it.
pub(super) fn unit_word(text: &str) -> Option<Unit> {
    let text = text.trim().trim_end_matches('.').to_lowercase();
    Some(match text.as_str() {
        "in" | "inch" | "inches" | "\"" | "\u{2033}" | "zoll" | "pouces" => Unit::Inch,
        "ft" | "foot" | "feet" | "'" | "\u{2032}" => Unit::Foot,
        "mm" | "millimeters" | "millimetres" => Unit::Millimeter,
        "cm" | "centimeters" | "centimetres" => Unit::Centimeter,
        "m" | "meters" | "metres" | "meter" | "metre" | "m\u{e8}tre" => Unit::Meter,
        _ => return None,
    })
}

/// What a price is for, as prices write it; a sign of a currency and `per` may stand in front, as in `$/ft`.
fn measure(text: &str) -> Option<String> {
    let text = text.trim().trim_end_matches('.').to_lowercase();
    let text = text.split_once('/').map_or(text.as_str(), |(_, per)| per);
    let text = text.split_once("per ").map_or(text, |(_, per)| per).trim();
    Some(match text {
        "bf" | "bd ft" | "bdft" | "board foot" | "board feet" => "bf".to_owned(),
        "lf" | "lin ft" | "linear foot" | "lineal foot" | "running foot" => "ft".to_owned(),
        "lfm" | "lm" => "m".to_owned(),
        "m2" | "m\u{b2}" | "sqm" | "qm" | "square meter" | "square metre" => "m2".to_owned(),
        "m3" | "m\u{b3}" | "cbm" | "cubic meter" | "cubic metre" => "m3".to_owned(),
        text => unit_word(text)?.symbol().to_owned(),
    })
}

/// Whether a price is for one whole thing.
fn is_each(text: &str) -> bool {
    let text = text.trim().to_lowercase();
    matches!(
        text.as_str(),
        "each" | "ea" | "piece" | "pc" | "board" | "unit" | "st\u{fc}ck" | "stk" | "pi\u{e8}ce"
    )
}

#[cfg(test)]
mod tests;
