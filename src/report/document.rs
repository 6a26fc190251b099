//! A report as a document: what it says, before anyone decides how it looks.
//!
//! Sections make it from counted facts; a renderer sets it. It holds headings, sentences, tables and boards as
//! geometry, and no widths, line breaks or characters of a drawing. Figures stay what they are, lengths in nanometers
//! and money in minor units, beside what they mean ([`Show`]); a renderer prints them as its medium allows.
//!
//! Our own words may have the signs `×`, `·`, `–`, `°` and `─`, which a renderer may replace. Names from a file stand
//! apart ([`Inline::Name`]), for they are shown as they were given. A no-break space keeps words together.

use crate::frame::Miter;
use crate::job::{Display, Job};
use crate::length::Length;
use crate::money::Money;
use crate::plan::Measure;
use crate::stock::BoardFeet;

/// A whole report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// Unit, step and currency of its figures.
    pub display: Display,
    /// What it says, from top to bottom.
    pub blocks: Vec<Block>,
}

/// One piece of a [`Document`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Block {
    /// The title of the sheet, and a line on what it is about.
    Title(Text, Option<Text>),
    /// The heading of a section: its kind, which a renderer may make an anchor of (several woods have a section each),
    /// and its words.
    Heading(&'static str, Text),
    /// Sentences, items of a list or boxes to tick, each on a line of its own.
    Lines(Vec<Line>),
    /// A table.
    Table(Table),
    /// A board as it is cut.
    Board(Box<BoardSheet>),
    /// A sheet within the sheet begins.
    Break,
}

/// What a stretch of text is, which decides its color.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tone {
    /// Ordinary text.
    #[default]
    Plain,
    /// Headings and what must be found at a glance.
    Strong,
    /// Explanations, rules and scrap.
    Faint,
    /// Proved, or kept.
    Good,
    /// Not proved, or to be watched.
    Watch,
    /// Missing.
    Bad,
}

/// Sentences that stand together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What stands before it.
    pub lead: Lead,
    /// What it is.
    pub tone: Tone,
    /// Its words.
    pub text: Text,
}

/// What stands before a [`Line`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lead {
    /// Nothing.
    None,
    /// The mark of an item.
    Item,
}

/// Words and figures.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Text(pub Vec<Inline>);

/// One stretch of a [`Text`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Inline {
    /// Our own words.
    Words(String),
    /// A name from a file, on one line.
    Name(String),
    /// A name that stands in a list of many: it may be shortened where room is scarce.
    Listed(String),
    /// What belongs on one line.
    Together(Text),
    /// A length.
    Length(Length, Show),
    /// A face in square nanometers.
    Face(i128),
    /// Board feet.
    BoardFeet(BoardFeet),
    /// An amount with its currency.
    Money(Money),
    /// An amount whose currency is named elsewhere.
    Amount(Money),
    /// The code of the document's currency.
    Currency,
    /// A number of things.
    Count(u64),
    /// A share in tenths of a percent.
    PerMille(i64),
    /// How far a plan may lie above the best, in hundredths of a percent.
    Gap(i128),
    /// How an end is set on the saw.
    Miter(Miter),
    /// The unit in which plain lengths are printed, in words.
    UnitWords,
    /// What the step of the display is.
    Step,
    /// How a drawing shows scrap.
    ScrapSign,
    /// How a drawing shows a defect.
    DefectSign,
    /// A bar of so much of the longest one.
    Bar {
        /// Its value.
        part: i64,
        /// That of the longest bar.
        whole: i64,
    },
}

/// What a length means, which decides how it may be rounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Show {
    /// Must be reached: rounded up to the step, and marked if that changes it.
    Needed,
    /// Is there: rounded down to the step, and marked if that changes it.
    There,
    /// [`Show::Needed`], with its unit.
    NeededWithUnit,
    /// [`Show::There`], with its unit.
    ThereWithUnit,
    /// Where to look: to the nearest step, without a mark.
    Place,
    /// A setting, exactly as it is reckoned with, with its unit.
    Exact,
    /// A sum in the unit one buys by, rounded down to the step or to the centimeter.
    Total,
    /// A sum to compare by eye, to the nearest inch or centimeter.
    Rough,
    /// A sum that is there, for a narrow column: rounded down to the inch or the centimeter.
    RoughThere,
}

/// A table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, from top to bottom.
    pub rows: Vec<Row>,
}

/// One column of a [`Table`]; one that is empty from top to bottom need not be shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// What stands over it.
    pub head: Text,
    /// What it holds.
    pub kind: Kind,
    /// What its cells are.
    pub tone: Tone,
}

/// What a [`Column`] holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Names, which may be shortened.
    Name,
    /// Prose, which may be broken into lines.
    Prose,
    /// A few words, which may be neither.
    Words,
    /// Lengths: whole numbers stand above each other, fractions after them.
    Length,
    /// Counts, sums, shares and amounts of money: flush right.
    Number,
}

/// One row of a [`Table`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// A cell for each column.
    pub cells: Vec<Text>,
    /// Whether the row begins the totals.
    pub is_total: bool,
    /// Prose under the row, across all columns.
    pub notes: Vec<(Tone, Text)>,
}

/// A board as it is cut: title, drawing and list of cuts. The lists of all boards have the same columns and line up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardSheet {
    /// What it is referred to by.
    pub label: Text,
    /// How many boards are cut so.
    pub count: u64,
    /// The board's name.
    pub name: Text,
    /// Its size, which of its kind it is, and what for.
    pub detail: Text,
    /// The drawing.
    pub drawing: Drawing,
    /// Its cuts.
    pub cuts: Table,
    /// What to look out for.
    pub watch: Option<Text>,
}

/// A board as geometry. Places run along it from the untrimmed near end, and across from the straightened edge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawing {
    /// Its length.
    pub length: Length,
    /// Its width, where it is known.
    pub width: Option<Length>,
    /// The length of the longest board of the document, so that all are drawn to one scale.
    pub longest: Length,
    /// What is trimmed off either end.
    pub end_trim: Length,
    /// Width of a cut across.
    pub kerf: Length,
    /// Whether it is ripped: then strips have labels.
    pub is_ripped: bool,
    /// Its strips, side by side; one where it is not ripped.
    pub strips: Vec<DrawnStrip>,
    /// What is left beside them, if anything.
    pub edge: Option<DrawnEdge>,
}

/// One strip of a [`Drawing`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnStrip {
    /// What it is.
    pub label: Text,
    /// Where it begins across the board.
    pub from_edge: Length,
    /// Its width, where it is known.
    pub width: Option<Length>,
    /// Its parts, from the near end on.
    pub cuts: Vec<DrawnCut>,
    /// Stretches from which nothing is cut and that are worth a label.
    pub left: Vec<DrawnRest>,
    /// Defects, from and to.
    pub defects: Vec<(Length, Length)>,
}

/// One part of a [`DrawnStrip`]: a rail is a trapezoid with its long points on the outer edge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnCut {
    /// Its number on the strip.
    pub number: usize,
    /// Its name.
    pub name: Text,
    /// Long point from.
    pub from: Length,
    /// Long point to.
    pub to: Length,
    /// Its length along the other edge, if that differs.
    pub short_point: Option<Length>,
    /// How its ends are cut.
    pub miter: Miter,
    /// Whether it lies end for end, with its outer edge below.
    pub is_turned: bool,
    /// Whether one slanting cut parts it from the part before.
    pub shares_cut: bool,
}

/// A stretch of a [`DrawnStrip`] from which nothing is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DrawnRest {
    /// From.
    pub from: Length,
    /// To.
    pub to: Length,
    /// Whether it is kept; if not it is scrap.
    pub is_kept: bool,
}

/// What is left beside the strips of a [`Drawing`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnEdge {
    /// What it is.
    pub label: Text,
    /// Its width.
    pub width: Length,
    /// Whether it is kept; if not it is scrap.
    pub is_kept: bool,
}

impl Document {
    /// An empty document with the figures of a job.
    pub(super) fn new(job: &Job) -> Document {
        Document {
            display: job.display.clone(),
            blocks: Vec::new(),
        }
    }

    pub(super) fn heading(&mut self, id: &'static str, words: impl Into<Text>) {
        self.blocks.push(Block::Heading(id, words.into()));
    }

    /// Lines that stand together; nothing where there are none.
    pub(super) fn lines(&mut self, lines: Vec<Line>) {
        if !lines.is_empty() {
            self.blocks.push(Block::Lines(lines));
        }
    }

    /// One line by itself.
    pub(super) fn line(&mut self, tone: Tone, text: impl Into<Text>) {
        self.lines(vec![Line::new(tone, text)]);
    }

    pub(super) fn table(&mut self, table: Table) {
        self.blocks.push(Block::Table(table));
    }
}

impl Line {
    pub(super) fn new(tone: Tone, text: impl Into<Text>) -> Line {
        Line {
            lead: Lead::None,
            tone,
            text: text.into(),
        }
    }

    pub(super) fn item(text: impl Into<Text>) -> Line {
        Line {
            lead: Lead::Item,
            tone: Tone::Plain,
            text: text.into(),
        }
    }
}

impl Table {
    pub(super) fn new() -> Table {
        Table::default()
    }

    /// Adds a column on the right.
    #[must_use]
    pub(super) fn column(mut self, head: impl Into<Text>, kind: Kind, tone: Tone) -> Table {
        let head = head.into();
        self.columns.push(Column { head, kind, tone });
        self
    }

    /// Adds a row with one cell for each column.
    pub(super) fn row(&mut self, cells: Vec<Text>) {
        debug_assert_eq!(cells.len(), self.columns.len(), "a cell for each column");
        self.rows.push(Row {
            cells,
            ..Row::default()
        });
    }

    /// Adds the first row of the totals.
    pub(super) fn total(&mut self, cells: Vec<Text>) {
        self.row(cells);
        if let Some(row) = self.rows.last_mut() {
            row.is_total = true;
        }
    }

    /// Adds prose under the last row.
    pub(super) fn note(&mut self, tone: Tone, text: impl Into<Text>) {
        if let Some(row) = self.rows.last_mut() {
            row.notes.push((tone, text.into()));
        }
    }
}

impl Text {
    /// Several texts with `between` between them.
    pub(super) fn join(texts: impl IntoIterator<Item = Text>, between: &str) -> Text {
        let mut joined = Text::default();
        for (idx, text) in texts.into_iter().enumerate() {
            if idx > 0 {
                joined.push(between);
            }
            joined.push(text);
        }
        joined
    }

    /// Adds to the end.
    pub(super) fn push(&mut self, text: impl Into<Text>) {
        self.0.extend(text.into().0);
    }

    /// With its first letter as at the head of a sentence.
    #[must_use]
    pub(super) fn capitalized(mut self) -> Text {
        match self.0.first_mut() {
            Some(Inline::Words(words) | Inline::Name(words)) => {
                let mut letters = words.chars();
                if let Some(first) = letters.next() {
                    *words = first.to_uppercase().chain(letters).collect();
                }
            }
            Some(Inline::Together(text)) => *text = std::mem::take(text).capitalized(),
            _ => {}
        }
        self
    }
}

impl From<Inline> for Text {
    fn from(inline: Inline) -> Text {
        Text(vec![inline])
    }
}

impl From<String> for Text {
    fn from(words: String) -> Text {
        if words.is_empty() {
            Text::default()
        } else {
            Inline::Words(words).into()
        }
    }
}

impl From<&str> for Text {
    fn from(words: &str) -> Text {
        words.to_owned().into()
    }
}

impl From<u64> for Text {
    fn from(count: u64) -> Text {
        Inline::Count(count).into()
    }
}

impl From<u32> for Text {
    fn from(count: u32) -> Text {
        u64::from(count).into()
    }
}

impl From<usize> for Text {
    fn from(count: usize) -> Text {
        u64::try_from(count)
            .expect("a count in memory fits 64 bits")
            .into()
    }
}

/// Nothing where there is nothing.
impl<T: Into<Text>> From<Option<T>> for Text {
    fn from(some: Option<T>) -> Text {
        some.map_or_else(Text::default, Into::into)
    }
}

/// A template with each `{}` filled by the next argument, whatever [`Text`] can be made of.
macro_rules! say {
    ($template:literal $(, $argument:expr)* $(,)?) => {
        $crate::report::document::fill($template, vec![$($crate::report::document::Text::from($argument)),*])
    };
}
pub(super) use say;

/// See [`say`].
pub(super) fn fill(template: &str, arguments: Vec<Text>) -> Text {
    let mut pieces = template.split("{}");
    let mut text = Text::from(pieces.next().unwrap_or_default());
    debug_assert_eq!(template.matches("{}").count(), arguments.len());
    for (argument, piece) in arguments.into_iter().zip(pieces) {
        text.push(argument);
        text.push(piece);
    }
    text
}

/// A name from a file.
pub(super) fn name(name: &str) -> Text {
    Inline::Name(one_line(name)).into()
}

/// A name that stands in a list of many.
pub(super) fn listed(name: &str) -> Text {
    Inline::Listed(one_line(name)).into()
}

/// What belongs on one line.
pub(super) fn together(text: impl Into<Text>) -> Text {
    Inline::Together(text.into()).into()
}

/// See [`Show::Needed`].
pub(super) fn needed(length: Length) -> Text {
    Inline::Length(length, Show::Needed).into()
}

/// See [`Show::There`].
pub(super) fn there(length: Length) -> Text {
    Inline::Length(length, Show::There).into()
}

/// See [`Show::NeededWithUnit`].
pub(super) fn needed_with_unit(length: Length) -> Text {
    Inline::Length(length, Show::NeededWithUnit).into()
}

/// See [`Show::ThereWithUnit`].
pub(super) fn there_with_unit(length: Length) -> Text {
    Inline::Length(length, Show::ThereWithUnit).into()
}

/// See [`Show::Place`].
pub(super) fn place(length: Length) -> Text {
    Inline::Length(length, Show::Place).into()
}

/// See [`Show::Exact`].
pub(super) fn exact(length: Length) -> Text {
    Inline::Length(length, Show::Exact).into()
}

/// See [`Show::Total`].
pub(super) fn total(length: Length) -> Text {
    Inline::Length(length, Show::Total).into()
}

/// An amount with its currency.
pub(super) fn money(money: Money) -> Text {
    Inline::Money(money).into()
}

/// An amount whose currency is named elsewhere.
pub(super) fn amount(money: Money) -> Text {
    Inline::Amount(money).into()
}

/// A value of a plan with its unit, whichever it is measured in.
pub(super) fn worth(measure: Measure, value: i64) -> Text {
    match measure {
        Measure::Price => money(Money::from_minor(value)),
        Measure::BoardLength => together(total(Length::from_nm(value))),
    }
}

/// The same for a column whose head names the unit.
pub(super) fn worth_amount(measure: Measure, value: i64) -> Text {
    match measure {
        Measure::Price => amount(Money::from_minor(value)),
        Measure::BoardLength => total(Length::from_nm(value)),
    }
}

/// A count and its noun, such as `1 board` or `3 boards`; the plural takes an s.
pub(super) fn count_of(count: u64, noun: &str) -> Text {
    say!("{} {}{}", count, noun, if count == 1 { "" } else { "s" })
}

/// The currency's code after a few words, such as `all, USD`; `words` alone where there is none.
pub(super) fn in_currency(job: &Job, words: &str) -> Text {
    if one_line(&job.display.currency.code).is_empty() {
        words.into()
    } else {
        say!("{}, {}", words, Inline::Currency)
    }
}

/// A name from a file as it can stand on one line: control characters become blanks, blanks at the ends go.
pub(super) fn one_line(name: &str) -> String {
    let plain: String = name
        .chars()
        .map(|symbol| if disturbs(symbol) { ' ' } else { symbol })
        .collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a character would move the cursor, break the line or turn the direction of what follows.
fn disturbs(symbol: char) -> bool {
    symbol.is_control()
        || matches!(symbol, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}
