//! The form of tables that are written for a spreadsheet.

/// How a table is written: what parts its fields, what marks decimals, and what begins the file and ends its lines.
///
/// The default is that of RFC 4180 but for its line ends, with decimal points.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct TableForm {
    /// What stands between two fields.
    pub separator: Separator,
    /// Whether decimals stand after a comma, not after a point.
    pub decimal_comma: bool,
    /// Whether the file begins with a byte order mark, by which spreadsheets know UTF-8.
    pub byte_order_mark: bool,
    /// What ends a line.
    pub line_end: LineEnd,
}

/// What parts two fields of a table.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Separator {
    /// `,`
    #[default]
    Comma,
    /// `;`, as spreadsheets write where the comma marks decimals.
    Semicolon,
    /// A tab.
    Tab,
}

impl Separator {
    /// All of them.
    pub const ALL: [Separator; 3] = [Separator::Comma, Separator::Semicolon, Separator::Tab];

    /// The byte it is.
    pub fn byte(self) -> u8 {
        match self {
            Separator::Comma => b',',
            Separator::Semicolon => b';',
            Separator::Tab => b'\t',
        }
    }
}

/// What ends a line of a table.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum LineEnd {
    /// A line feed.
    #[default]
    Lf,
    /// A carriage return and a line feed, as RFC 4180 has it.
    Crlf,
}

impl TableForm {
    /// A decimal number with a point, in this form.
    pub fn decimal(&self, number: &str) -> String {
        if self.decimal_comma {
            number.replace('.', ",")
        } else {
            number.to_owned()
        }
    }

    /// A text of lengths and amounts, such as `1.20/ft` or `23.5 mm to 25.5 mm`, in this form: its decimal points alone change.
    ///
    /// Where a reader cannot tell decimals from a group of three digits, as in `23,125`, a zero is added that says it.
    pub fn figures(&self, text: &str) -> String {
        let mut told = String::with_capacity(text.len());
        let mut rest = text;
        while let Some(start) = rest.find(|symbol: char| symbol.is_ascii_digit()) {
            let (before, from) = rest.split_at(start);
            let end = from.find(|symbol: char| !symbol.is_ascii_digit() && symbol != '.');
            let (number, behind) = from.split_at(end.unwrap_or(from.len()));
            told.push_str(before);
            told.push_str(&self.decimal(number));
            let is_group = number.split_once('.').is_some_and(|(whole, decimals)| {
                decimals.len() == 3 && whole.len() <= 3 && !whole.starts_with('0')
            });
            if is_group && *self != TableForm::default() {
                told.push('0');
            }
            rest = behind;
        }
        told + rest
    }

    /// An amount of money with a point, in this form, such that it cannot be taken for a group of three digits: where the
    /// currency has three decimals, a zero in front says so.
    pub fn amount(&self, number: &str) -> String {
        let could_be_group = number.split_once('.').is_some_and(|(whole, decimals)| {
            decimals.len() == 3 && whole.len() <= 3 && !whole.starts_with(['0', '-'])
        });
        let zero = if could_be_group { "0" } else { "" };
        format!("{zero}{}", self.decimal(number))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_their_decimals_after_a_comma_and_no_number_is_a_group() {
        let comma = TableForm {
            decimal_comma: true,
            separator: Separator::Semicolon,
            ..TableForm::default()
        };
        let swiss = TableForm {
            separator: Separator::Semicolon,
            ..TableForm::default()
        };
        for (text, with_comma, with_point) in [
            ("1066.8 mm", "1066,8 mm", "1066.8 mm"),
            ("23.125 mm", "23,1250 mm", "23.1250 mm"),
            ("0.125 m", "0,125 m", "0.125 m"),
            ("1234.125 mm", "1234,125 mm", "1234.125 mm"),
            ("8 ft 2 1/2 in", "8 ft 2 1/2 in", "8 ft 2 1/2 in"),
            (
                "23.5 mm to 25.5 mm; 61 mm to 62 mm left",
                "23,5 mm to 25,5 mm; 61 mm to 62 mm left",
                "23.5 mm to 25.5 mm; 61 mm to 62 mm left",
            ),
            ("", "", ""),
        ] {
            assert_eq!(comma.figures(text), with_comma);
            assert_eq!(swiss.figures(text), with_point);
            assert_eq!(TableForm::default().figures(text), text);
        }
        for (text, with_comma, with_point) in [
            ("18.90", "18,90", "18.90"),
            ("1.450", "01,450", "01.450"),
            ("0.450", "0,450", "0.450"),
            ("1234.450", "1234,450", "1234.450"),
            ("12", "12", "12"),
        ] {
            assert_eq!(comma.amount(text), with_comma);
            assert_eq!(TableForm::default().amount(text), with_point);
        }
        assert_eq!(comma.decimal("-5.25"), "-5,25");
    }
}
