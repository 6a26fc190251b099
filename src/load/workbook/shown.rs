//! A number as a cell shows it: rounded as its format says, in whole arithmetic on its decimal digits.

use crate::load::layout::unit_word;
use crate::money::currency_in;

/// Digits of a number that a spreadsheet computes with; what stands behind them is noise.
const DIGITS: usize = 15;

/// Words for pieces, in lower case.
const PIECES: [&str; 10] = [
    "pcs",
    "pc",
    "pieces",
    "piece",
    "ea",
    "each",
    "x",
    "st",
    "stk",
    "st\u{fc}ck",
];

/// The largest denominator that a format can ask for.
const LARGEST_DENOMINATOR: u32 = 1024;

/// A number with the decimals, or the fraction, that its format shows; else with its fifteen digits.
///
/// Thousands are not parted. A unit of length or a currency that the format shows stands behind.
pub(super) fn number(value: f64, format: Option<&str>) -> String {
    let Some(exact) = Decimal::of(value) else {
        return value.to_string();
    };
    let section = format.map(|code| section(code, value));
    let format = match section {
        // A format that shows nothing for nothing: it is none left, not one that is left out.
        Some(section) if section.trim().is_empty() && value == 0.0 => return "0".to_owned(),
        section => section,
    };
    let text = match format.and_then(Format::of) {
        Some(Format::Decimals(places)) => exact.rounded(places).text(),
        Some(Format::Fraction(denominator)) => exact.fraction(denominator),
        None => exact.text(),
    };
    match format.map(literals) {
        Some(words) if !is_idle(&words) => format!("{text} {words}"),
        _ => text,
    }
}

/// Whether words beside a number tell nothing of it: signs that part or enclose it, and words for pieces. A unit or a
/// currency does, and of all others the reader of the cell has to say what they mean.
fn is_idle(words: &str) -> bool {
    if unit_word(words).is_some() || currency_in(words).is_some() {
        return false;
    }
    let is_sign = |sign: char| {
        matches!(sign, '-' | '+' | '(' | ')' | ';' | '\u{2013}') || sign.is_whitespace()
    };
    let word = words.trim_matches(is_sign).to_lowercase();
    word.is_empty() || PIECES.contains(&word.trim_end_matches('.'))
}

/// The part of a format code that is for a number: of parts with conditions, such as `[<1]0.00;0.0`, the first whose
/// condition holds, or that has none; else the first for numbers above zero, the second for those below, the third for zero.
fn section(code: &str, value: f64) -> &str {
    let sections = sections(code);
    let conditions: Vec<Option<Condition>> =
        sections.iter().map(|part| Condition::of(part)).collect();
    let last = sections.len().saturating_sub(1).min(2);
    let chosen = if conditions.iter().any(Option::is_some) {
        let holds = |condition: &Option<Condition>| condition.is_none_or(|it| it.holds(value));
        conditions.iter().position(holds).unwrap_or(last)
    } else if value < 0.0 {
        last.min(1)
    } else if value == 0.0 && last == 2 {
        2
    } else {
        0
    };
    sections.get(chosen).copied().unwrap_or(code)
}

/// The parts of a format code, which semicolons part that are neither quoted nor escaped nor in brackets.
fn sections(code: &str) -> Vec<&str> {
    let (mut parts, mut start) = (Vec::new(), 0);
    let mut symbols = code.char_indices();
    while let Some((at, symbol)) = symbols.next() {
        match symbol {
            ';' => {
                parts.push(&code[start..at]);
                start = at + 1;
            }
            '"' => while symbols.next().is_some_and(|(_, symbol)| symbol != '"') {},
            '[' => while symbols.next().is_some_and(|(_, symbol)| symbol != ']') {},
            '\\' | '_' | '*' => {
                symbols.next();
            }
            _ => {}
        }
    }
    parts.push(&code[start..]);
    parts
}

/// How a number is compared with another.
type Compare = fn(&f64, &f64) -> bool;

/// When a part of a format code is meant, as `[>=100]`.
#[derive(Clone, Copy, Debug)]
struct Condition {
    compare: Compare,
    with: f64,
}

impl Condition {
    /// The condition that a part begins with, after a color.
    fn of(part: &str) -> Option<Condition> {
        let mut rest = part.trim_start();
        while let Some(inside) = rest.strip_prefix('[') {
            let (inner, behind) = inside.split_once(']')?;
            let signs: [(&str, Compare); 6] = [
                ("<=", f64::le),
                (">=", f64::ge),
                ("<>", f64::ne),
                ("<", f64::lt),
                (">", f64::gt),
                ("=", f64::eq),
            ];
            let found = signs.iter().find_map(|(sign, compare)| {
                let with = inner.strip_prefix(sign)?.trim().parse().ok()?;
                Some(Condition {
                    compare: *compare,
                    with,
                })
            });
            if found.is_some() {
                return found;
            }
            rest = behind.trim_start();
        }
        None
    }

    fn holds(self, value: f64) -> bool {
        (self.compare)(&value, &self.with)
    }
}

/// What a format code shows beside the digits: quoted texts, escaped signs, and the sign of a currency in brackets.
fn literals(code: &str) -> String {
    let mut words = String::new();
    let mut symbols = code.chars();
    while let Some(symbol) = symbols.next() {
        match symbol {
            ';' => break,
            '"' => words.extend(symbols.by_ref().take_while(|symbol| *symbol != '"')),
            '[' => {
                let inner: String = symbols
                    .by_ref()
                    .take_while(|symbol| *symbol != ']')
                    .collect();
                if let Some(sign) = inner.strip_prefix('$') {
                    words.push_str(sign.split('-').next().unwrap_or_default());
                }
            }
            '\\' => words.extend(symbols.next()),
            '_' | '*' => {
                symbols.next();
            }
            '$' | '\u{20ac}' | '\u{a3}' | '\'' => words.push(symbol),
            _ => {}
        }
    }
    words.trim().to_owned()
}

/// What a format shows of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Format {
    /// So many decimals.
    Decimals(usize),
    /// A fraction.
    Fraction(Denominator),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Denominator {
    /// This one.
    Fixed(u32),
    /// Up to this one, whichever is nearest.
    UpTo(u32),
}

impl Format {
    /// Reads the part of a format code that is for numbers above zero; `None` of one that shows all digits, or that is not
    /// of plain numbers.
    fn of(code: &str) -> Option<Format> {
        let digits = plain(code);
        if digits.contains(['E', 'e', '%', '@']) || !digits.contains(['0', '#', '?']) {
            return None;
        }
        if let Some((_, below)) = digits.split_once('/') {
            let below = below.trim();
            if let Ok(fixed) = below.parse::<u32>()
                && fixed > 0
            {
                return (fixed <= LARGEST_DENOMINATOR)
                    .then_some(Format::Fraction(Denominator::Fixed(fixed)));
            }
            let places = below
                .chars()
                .filter(|symbol| matches!(symbol, '?' | '#' | '0'))
                .count();
            let most = 10_u32
                .checked_pow(u32::try_from(places).ok()?)?
                .checked_sub(1)?;
            return (most > 0).then_some(Format::Fraction(Denominator::UpTo(
                most.min(LARGEST_DENOMINATOR),
            )));
        }
        // A comma at the end shows thousands, not units.
        let (whole, behind) = digits.split_once('.').unwrap_or((&digits, ""));
        if digits.trim_end().ends_with(',') {
            return None;
        }
        let is_place = |symbol: &char| matches!(symbol, '0' | '#' | '?');
        whole
            .chars()
            .any(|symbol| is_place(&symbol))
            .then(|| Format::Decimals(behind.chars().take_while(is_place).count()))
    }
}

/// A format code up to its first semicolon, without what it shows as it stands: quoted texts, escaped signs, blanks as wide
/// as a sign, and what is in brackets.
fn plain(code: &str) -> String {
    let mut digits = String::new();
    let mut symbols = code.chars();
    while let Some(symbol) = symbols.next() {
        match symbol {
            ';' => break,
            '"' => while symbols.next().is_some_and(|symbol| symbol != '"') {},
            '[' => while symbols.next().is_some_and(|symbol| symbol != ']') {},
            '\\' | '_' | '*' => {
                symbols.next();
            }
            _ => digits.push(symbol),
        }
    }
    digits
}

/// A decimal number: its digits as a whole number, and how many of them are behind the point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Decimal {
    is_negative: bool,
    digits: i128,
    places: usize,
}

impl Decimal {
    /// The fifteen digits of a number; `None` of one too large or too small to be anything on a list.
    fn of(value: f64) -> Option<Decimal> {
        let text = format!("{:.*e}", DIGITS - 1, value.abs());
        let (mantissa, exponent) = text.split_once('e')?;
        let exponent: i32 = exponent.parse().ok()?;
        let digits: i128 = mantissa.replace('.', "").parse().ok()?;
        let places = i32::try_from(DIGITS).ok()? - 1 - exponent;
        if digits == 0 {
            return Some(Decimal {
                is_negative: false,
                digits,
                places: 0,
            });
        }
        let decimal = match usize::try_from(places) {
            Ok(places) if places <= 30 => Decimal {
                is_negative: value < 0.0,
                digits,
                places,
            },
            Ok(_) => return None,
            Err(_) => {
                let scale = 10_i128.checked_pow(places.unsigned_abs())?;
                Decimal {
                    is_negative: value < 0.0,
                    digits: digits.checked_mul(scale)?,
                    places: 0,
                }
            }
        };
        Some(decimal)
    }

    /// The nearest number with so many places; a half goes up, as spreadsheets have it.
    fn rounded(self, places: usize) -> Decimal {
        let Some(cut) = self.places.checked_sub(places).filter(|cut| *cut > 0) else {
            return self;
        };
        let scale = 10_i128.pow(u32::try_from(cut).unwrap_or_default());
        Decimal {
            digits: (self.digits + scale / 2) / scale,
            places,
            ..self
        }
    }

    fn text(self) -> String {
        let width = self.places + 1;
        let digits = format!("{:0width$}", self.digits);
        let (whole, behind) = digits.split_at(digits.len() - self.places);
        let behind = behind.trim_end_matches('0');
        let sign = if self.is_negative && self.digits != 0 {
            "-"
        } else {
            ""
        };
        if behind.is_empty() {
            format!("{sign}{whole}")
        } else {
            format!("{sign}{whole}.{behind}")
        }
    }

    /// As a whole number and the nearest fraction.
    fn fraction(self, denominator: Denominator) -> String {
        let scale = 10_i128.pow(u32::try_from(self.places).unwrap_or_default());
        let whole = self.digits / scale;
        let rest = self.digits % scale;
        let over = |below: u32| {
            let below = i128::from(below);
            let above = (rest * below * 2 + scale) / (scale * 2);
            // How far off it is, as a multiple of 1 / (scale * below).
            (above, below, (rest * below - above * scale).abs())
        };
        let (above, below) = match denominator {
            Denominator::Fixed(fixed) => {
                let (above, below, _) = over(fixed);
                (above, below)
            }
            Denominator::UpTo(most) => {
                let (mut best_above, mut best_below, mut best_off) = over(1);
                for below in 2..=most {
                    let (above, below, off) = over(below);
                    if off * best_below < best_off * below {
                        (best_above, best_below, best_off) = (above, below, off);
                    }
                }
                (best_above, best_below)
            }
        };
        let sign = if self.is_negative && self.digits != 0 {
            "-"
        } else {
            ""
        };
        match (whole + above / below, above % below) {
            (whole, 0) => format!("{sign}{whole}"),
            (0, above) => format!("{sign}{above}/{below}"),
            (whole, above) => format!("{sign}{whole} {above}/{below}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn a_number_is_read_as_its_cell_shows_it() {
        for (value, format, shown) in [
            (0.1 + 0.2, None, "0.3"),
            (12.0, None, "12"),
            (1e15, None, "1000000000000000"),
            (14.125, Some("General"), "14.125"),
            (12.3456, Some("0.00"), "12.35"),
            (12.345, Some("#,##0.00"), "12.35"),
            (1234.5, Some("\"$\"#,##0.00"), "1234.5 $"),
            (25.4, Some("0.0\" cm\""), "25.4 cm"),
            (8.0, Some("0\\ \\f\\t"), "8 ft"),
            (8.0, Some("0\" pcs\""), "8"),
            (
                1234.5,
                Some("#,##0.00\\ [$€-407];[Red]-#,##0.00"),
                "1234.5 €",
            ),
            (-3.456, Some("0.0_);(0.0)"), "-3.5"),
            (12.5, Some("0"), "13"),
            (0.625, Some("# ?/?"), "5/8"),
            (14.125, Some("# ??/??"), "14 1/8"),
            (1.0 / 3.0, Some("# ?/?"), "1/3"),
            (20.0, Some("# ?/?"), "20"),
            (20.99, Some("# ?/2"), "21"),
            (10.4375, Some("# ??/16"), "10 7/16"),
            (10.5, Some("# ??/16"), "10 8/16"),
            (-0.5, Some("# ?/?"), "-1/2"),
            (0.25, Some("0%"), "0.25"),
            (12_000.0, Some("0,"), "12000"),
            (0.0, Some("0.00"), "0"),
            // Parts for signs and for conditions (ISO/IEC 29500-1, 18.8.31).
            (0.456, Some("[<1]0.00;0.0"), "0.46"),
            (12.345, Some("[<1]0.00;0.0"), "12.3"),
            (12.345, Some("[Red][>=100]0;[>=10]0.0;0.00"), "12.3"),
            (123.456, Some("[Red][>=100]0;[>=10]0.0;0.00"), "123"),
            (1.236, Some("[Red][>=100]0;[>=10]0.0;0.00"), "1.24"),
            (5.55, Some("[=1]0\" pc\";0.0\" cm\""), "5.6 cm"),
            (-3.456, Some("0.00;-0.0;0"), "-3.5"),
            (3.456, Some("0.00;-0.0;0"), "3.46"),
            (0.0, Some("0;-0;;@"), "0"),
            (2.4, Some("0.00\"/ft\""), "2.4 /ft"),
            (48.0, Some("0'"), "48 '"),
            (2.4, Some("0\" ct\""), "2 ct"),
            (1250.0, Some("0\\.00"), "1250 ."),
            (5.0, Some("0\" St\u{fc}ck\""), "5"),
            (3.0, Some(";;;"), "3"),
            (1.25, Some("0.0\";\";0"), "1.3"),
            (-0.0, None, "0"),
        ] {
            assert_eq!(number(value, format), shown, "{value} {format:?}");
        }
    }

    #[test]
    fn numbers_beyond_any_list_do_no_harm() {
        for value in [
            f64::MAX,
            f64::MIN_POSITIVE,
            f64::INFINITY,
            f64::NAN,
            1e30,
            -1e-30,
        ] {
            for format in [
                None,
                Some("0.00"),
                Some("# ?/?"),
                Some("0.000000000000000000000000000000"),
                Some("# ?/99999999999"),
            ] {
                assert!(!number(value, format).is_empty());
            }
        }
    }
}
