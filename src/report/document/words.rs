//! Words and figures of a document.

use crate::diag::disturbs;
use crate::frame::Miter;
use crate::job::Job;
use crate::length::Length;
use crate::money::Money;
use crate::plan::Measure;
use crate::stock::BoardFeet;
use crate::tally::Weight;

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
    /// A weight.
    Weight(Weight),
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
    /// Where a part ends, rounded up as the part is: what it is cut to never reaches beyond it.
    PlaceTo,
    /// A setting as it is reckoned with, with its unit: exactly, or marked where it has more decimals than any rule or
    /// caliper shows.
    Exact,
    /// A rule of thumb in its round figure, with its unit: to the half inch or the millimeter.
    RoundFigure,
    /// A sum in the unit one buys by, rounded down to the step or to the centimeter.
    Total,
    /// A sum that is there, for a narrow column: rounded down to the inch or the centimeter.
    RoughThere,
}

impl Text {
    /// Several texts with `between` between them.
    pub(crate) fn join(texts: impl IntoIterator<Item = Text>, between: &str) -> Text {
        let mut joined = Text::default();
        for (idx, text) in texts.into_iter().enumerate() {
            if idx > 0 {
                joined.push(between);
            }
            joined.push(text);
        }
        joined
    }

    /// One, or several as a sentence has them: `a, b and c`.
    pub(crate) fn enumerated(mut texts: Vec<Text>) -> Text {
        let last = texts.pop();
        if texts.is_empty() {
            return last.unwrap_or_default();
        }
        let mut all = Text::join(texts, ", ");
        all.push(last.map(|last| say!(" and {}", last)));
        all
    }

    /// So many of the first of several, and how many more there are, as [`Text::enumerated`] has them.
    pub(crate) fn first_of(mut texts: Vec<Text>, n_named: usize) -> Text {
        let n_more = texts.len().saturating_sub(n_named);
        texts.truncate(n_named);
        if n_more > 0 {
            texts.push(say!("{} more", n_more));
        }
        Text::enumerated(texts)
    }

    /// Adds to the end.
    pub(crate) fn push(&mut self, text: impl Into<Text>) {
        self.0.extend(text.into().0);
    }

    /// With its first letter as at the head of a sentence.
    #[must_use]
    pub(crate) fn capitalized(mut self) -> Text {
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
pub(crate) use say;

/// See [`say`].
pub(crate) fn fill(template: &str, arguments: Vec<Text>) -> Text {
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
pub(crate) fn name(name: &str) -> Text {
    Inline::Name(one_line(name)).into()
}

/// A name that stands in a list of many.
pub(crate) fn listed(name: &str) -> Text {
    Inline::Listed(one_line(name)).into()
}

/// What belongs on one line.
pub(crate) fn together(text: impl Into<Text>) -> Text {
    Inline::Together(text.into()).into()
}

/// See [`Show::Needed`].
pub(crate) fn needed(length: Length) -> Text {
    Inline::Length(length, Show::Needed).into()
}

/// See [`Show::There`].
pub(crate) fn there(length: Length) -> Text {
    Inline::Length(length, Show::There).into()
}

/// See [`Show::NeededWithUnit`].
pub(crate) fn needed_with_unit(length: Length) -> Text {
    Inline::Length(length, Show::NeededWithUnit).into()
}

/// See [`Show::ThereWithUnit`].
pub(crate) fn there_with_unit(length: Length) -> Text {
    Inline::Length(length, Show::ThereWithUnit).into()
}

/// See [`Show::Place`].
pub(crate) fn place(length: Length) -> Text {
    Inline::Length(length, Show::Place).into()
}

/// See [`Show::PlaceTo`].
pub(crate) fn place_to(length: Length) -> Text {
    Inline::Length(length, Show::PlaceTo).into()
}

/// See [`Show::Exact`].
pub(crate) fn exact(length: Length) -> Text {
    Inline::Length(length, Show::Exact).into()
}

/// See [`Show::RoundFigure`].
pub(crate) fn round_figure(length: Length) -> Text {
    Inline::Length(length, Show::RoundFigure).into()
}

/// See [`Show::Total`].
pub(crate) fn total(length: Length) -> Text {
    Inline::Length(length, Show::Total).into()
}

/// An amount with its currency.
pub(crate) fn money(money: Money) -> Text {
    Inline::Money(money).into()
}

/// An amount whose currency is named elsewhere.
pub(crate) fn amount(money: Money) -> Text {
    Inline::Amount(money).into()
}

/// A value of a plan with its unit, whichever it is measured in.
pub(crate) fn worth(measure: Measure, value: i64) -> Text {
    match measure {
        Measure::Price => money(Money::from_minor(value)),
        Measure::BoardLength => together(total(Length::from_nm(value))),
    }
}

/// The same for a column whose head names the unit.
pub(crate) fn worth_amount(measure: Measure, value: i64) -> Text {
    match measure {
        Measure::Price => amount(Money::from_minor(value)),
        Measure::BoardLength => total(Length::from_nm(value)),
    }
}

/// A count and its noun, such as `1 board` or `3 boards`; the plural takes an s.
pub(crate) fn count_of(count: u64, noun: &str) -> Text {
    say!("{} {}{}", count, noun, if count == 1 { "" } else { "s" })
}

/// The currency's code after a few words, such as `all, USD`; `words` alone where there is none.
pub(crate) fn in_currency(job: &Job, words: &str) -> Text {
    if one_line(&job.display.currency.code).is_empty() {
        words.into()
    } else {
        say!("{}, {}", words, Inline::Currency)
    }
}

/// A name from a file as it can stand on one line: control characters become blanks, blanks at the ends go.
pub(crate) fn one_line(name: &str) -> String {
    let plain: String = name
        .chars()
        .map(|symbol| if disturbs(symbol) { ' ' } else { symbol })
        .collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}
