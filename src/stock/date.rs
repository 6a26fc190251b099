//! Days of the calendar, as a job states them: the program has no clock of its own.

use std::fmt;

/// A day of the Gregorian calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// The day of that number, from 1, in that month, from 1; `None` where there is none.
    ///
    /// The years are 1583, the first whole one of this calendar, to 9999.
    pub fn new(year: u16, month: u8, day: u8) -> Option<Date> {
        let is_day = (1583..=9999).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days_in(year, month)).contains(&day);
        is_day.then_some(Date { year, month, day })
    }

    /// Reads a day as ISO 8601 writes it, `2026-11-25`; `None` for any other text.
    pub fn parse(text: &str) -> Option<Date> {
        let parts: Vec<&str> = text.split('-').collect();
        let [year, month, day] = parts[..] else {
            return None;
        };
        let is_plain = |part: &str, n_digits: usize| {
            part.len() == n_digits && part.bytes().all(|byte| byte.is_ascii_digit())
        };
        if !(is_plain(year, 4) && is_plain(month, 2) && is_plain(day, 2)) {
            return None;
        }
        Date::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)
    }
}

impl fmt::Display for Date {
    /// As [`Date::parse`] reads it.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

fn days_in(year: u16, month: u8) -> u8 {
    let is_leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    match month {
        2 if is_leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_reads_back_as_it_is_written_and_what_is_none_is_refused() {
        // The Gregorian rule: 2000 is a leap year, 1900 and 2100 are not.
        for text in [
            "2026-11-25",
            "2000-02-29",
            "2024-02-29",
            "1583-01-01",
            "9999-12-31",
        ] {
            assert_eq!(
                Date::parse(text).map(|date| date.to_string()).as_deref(),
                Some(text)
            );
        }
        for text in [
            "2026-02-29",
            "1900-02-29",
            "2100-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-04-31",
            "2026-11-0",
            "26-11-25",
            "2026-11-25 ",
            "2026/11/25",
            "25.11.2026",
            "+026-11-25",
            "1582-12-31",
            "2026-11-25-1",
            "",
        ] {
            assert_eq!(Date::parse(text), None, "{text}");
        }
        assert!(Date::parse("2026-09-30") < Date::parse("2026-10-01"));
    }
}
