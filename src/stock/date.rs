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

    /// Whether `age` or more lies between this day and `today`.
    pub fn is_past(self, age: Age, today: Date) -> bool {
        let months = u32::from(self.year) * 12 + u32::from(self.month) - 1 + age.months;
        let (Ok(year), Ok(month)) = (u16::try_from(months / 12), u8::try_from(months % 12 + 1))
        else {
            return false;
        };
        // The 31st of a shorter month is its last day.
        let day = self.day.min(days_in(year, month));
        day_number(year, month, day) + u64::from(age.days)
            <= day_number(today.year, today.month, today.day)
    }
}

/// An age in months and days.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Age {
    months: u32,
    days: u32,
}

impl Age {
    /// Reads `2 years`, `18 months`, `6 weeks` or `90 days`, up to a thousand years; `None` for any other text.
    pub fn parse(text: &str) -> Option<Age> {
        let (count, unit) = text.trim().split_once(char::is_whitespace)?;
        let is_plain = !count.is_empty() && count.bytes().all(|byte| byte.is_ascii_digit());
        let count: u32 = count.parse().ok().filter(|_| is_plain)?;
        let (months, days) = match unit.trim().to_lowercase().as_str() {
            "year" | "years" => (count.checked_mul(12)?, 0),
            "month" | "months" => (count, 0),
            "week" | "weeks" => (0, count.checked_mul(7)?),
            "day" | "days" => (0, count),
            _ => return None,
        };
        (months <= 12_000 && days <= 366_000).then_some(Age { months, days })
    }
}

/// The number of a day, one more for each later day.
fn day_number(year: u16, month: u8, day: u8) -> u64 {
    let before = u64::from(year) - 1;
    let leap_days = before / 4 - before / 100 + before / 400;
    let months = (1..month).map(|month| u64::from(days_in(year, month)));
    before * 365 + leap_days + months.sum::<u64>() + u64::from(day)
}

impl fmt::Display for Date {
    /// As [`Date::parse`] reads it.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

fn days_in(year: u16, month: u8) -> u8 {
    let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 if is_leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
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

    #[test]
    fn an_age_is_reached_on_the_day_itself() {
        let date = |text: &str| Date::parse(text).unwrap();
        let age = |text: &str| Age::parse(text).unwrap();
        for (since, of, first) in [
            ("2024-11-25", "2 years", "2026-11-25"),
            ("2024-02-29", "1 year", "2025-02-28"),
            ("2025-12-31", "2 months", "2026-02-28"),
            ("2026-02-27", "3 days", "2026-03-02"),
            ("2026-12-25", "2 weeks", "2027-01-08"),
        ] {
            assert!(date(since).is_past(age(of), date(first)), "{since} {of}");
            let days = age("1 day");
            // The day before is the last from which a day more leads there.
            let before = (1..=31).rev().find_map(|day| {
                let month = &first[..8];
                let before = Date::parse(&format!("{month}{day:02}"))?;
                (before < date(first) && before.is_past(days, date(first))).then_some(before)
            });
            if let Some(before) = before {
                assert!(!date(since).is_past(age(of), before), "{since} {of}");
            }
        }
        for text in [
            "",
            "2",
            "years",
            "2 moons",
            "-1 days",
            "1.5 years",
            "1001 years",
            "99999999999 days",
        ] {
            assert_eq!(Age::parse(text), None, "{text}");
        }
        assert_eq!(
            Age::parse("18 Months"),
            Some(Age {
                months: 18,
                days: 0
            })
        );
    }
}
