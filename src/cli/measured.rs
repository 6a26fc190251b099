//! What was measured of boards at the saw, as typed.

use std::collections::BTreeMap;

use crate::diag::{Diagnostic, Diagnostics, Place, code, quoted};
use crate::length::{Length, Unit, exact_text};
use crate::plan::ChalkMark;
use crate::replan::{Bench, Marks, Measured, Stick};

use super::typed_length;

/// How lengths of boards are named on the command line.
const FORM_OF_LENGTH: &str =
    "write the mark of the board and its length from end to end, as in `--board \"A=94 1/2\"`";

/// How knots are named on the command line.
const FORM_OF_KNOT: &str = "write the mark of the board, and where the knot begins and ends, from the near end of the board as it \
                            was before the first cut, as in `--knot \"A=30 to 31 1/2\"`";

/// Reads what was typed for `--board` and `--knot`, of boards that a bench has, once `marks` are made; bare numbers are of the
/// job's unit.
pub(super) fn read(
    bench: &Bench,
    marks: &Marks,
    unit: Unit,
    lengths: &[String],
    knots: &[String],
    faults: &mut Diagnostics,
) -> BTreeMap<Stick, Measured> {
    let reader = Reader {
        bench,
        marks,
        unit,
        sticks: bench.sticks(),
    };
    let mut all: BTreeMap<Stick, Measured> = BTreeMap::new();
    let mut fault = |option: &'static str, text: &str, what: String, hint: &str| {
        let place = Place::Argument {
            option,
            text: text.to_owned(),
        };
        let error = Diagnostic::error(code::NOT_MEASURED, place, what);
        faults.push(error.with_hint(hint.to_owned()));
    };
    for text in lengths {
        match reader.length(text) {
            Ok((stick, length)) => all.entry(stick).or_default().length = Some(length),
            Err(what) => fault("--board", text, what, FORM_OF_LENGTH),
        }
    }
    for text in knots {
        let measured = |stick| {
            all.get(&stick)
                .and_then(|measured: &Measured| measured.length)
        };
        match reader.knot(text, measured) {
            Ok((stick, knot)) => {
                all.entry(stick).or_default().knots.insert(knot);
            }
            Err(what) => fault("--knot", text, what, FORM_OF_KNOT),
        }
    }
    all
}

struct Reader<'b> {
    bench: &'b Bench,
    marks: &'b Marks,
    unit: Unit,
    sticks: Vec<Stick>,
}

impl Reader<'_> {
    /// Reads `A=94 1/2`.
    fn length(&self, text: &str) -> Result<(Stick, Length), String> {
        let (stick, length) = self.stick(text)?;
        let length = self.parse(length)?;
        if length == Length::ZERO {
            return Err("the length of a board must be more than zero".to_owned());
        }
        let cut_to = self.bench.cut_to(stick, self.marks);
        if length < cut_to {
            let cut_to = exact_text(cut_to, self.unit);
            return Err(format!("it has been cut as far as {cut_to} already"));
        }
        let last_cut = self.bench.last_yard_cut(stick);
        if length <= last_cut {
            let last_cut = exact_text(last_cut, self.unit);
            return Err(format!(
                "the yard has cut it so that its last stretch begins at {last_cut}; a board is measured as if it were whole"
            ));
        }
        Ok((stick, length))
    }

    /// Reads `A=30 to 31 1/2`.
    fn knot(
        &self,
        text: &str,
        measured: impl Fn(Stick) -> Option<Length>,
    ) -> Result<(Stick, (Length, Length)), String> {
        let (stick, stretch) = self.stick(text)?;
        let (from, to) = stretch
            .split_once(" to ")
            .ok_or("there is no ` to ` between where it begins and where it ends")?;
        let (from, to) = (self.parse(from)?, self.parse(to)?);
        if from >= to {
            return Err("it ends before it begins".to_owned());
        }
        let length = measured(stick).unwrap_or(self.bench.length(stick));
        if to > length {
            let length = exact_text(length, self.unit);
            return Err(format!("it ends beyond the board, which is {length} long"));
        }
        Ok((stick, (from, to)))
    }

    /// The board whose mark stands before the sign, and what stands behind it.
    fn stick<'t>(&self, text: &'t str) -> Result<(Stick, &'t str), String> {
        let (mark, rest) = text
            .split_once('=')
            .ok_or("there is no `=` behind the mark")?;
        let shown = quoted(mark.trim());
        let mark = ChalkMark::parse(mark.trim())
            .ok_or_else(|| format!("{shown} is not a chalk mark of a board, such as `G`"))?;
        let marked = (0..).map(ChalkMark::nth).zip(&self.sticks);
        let found = marked.into_iter().find(|(of, _)| *of == mark);
        match found {
            Some((_, &stick @ Stick::Board { .. })) => Ok((stick, rest)),
            Some((_, Stick::Rail(_))) => Err(format!(
                "{shown} is no board but a part that is cut again; what is good of it is said where it is marked as spoiled"
            )),
            Some((_, Stick::Piece { .. })) => Err(format!(
                "{shown} was left of a board that is ripped or cut up; measure that one, and the piece follows"
            )),
            None => Err(format!("no plan takes a board {shown}")),
        }
    }

    fn parse(&self, text: &str) -> Result<Length, String> {
        typed_length(text, self.unit)
            .map_err(|error| format!("{} is not a length: {error}", quoted(text.trim())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bridge::{lower, raise};
    use crate::job::Ends;
    use crate::plan::certificate::Certificate;
    use crate::samples::{board, empty_job, first_fit, inches, piece};

    /// One board of 90 in, and what of some texts is measured of it, with what is wrong with the others.
    fn measure(lengths: &[&str], knots: &[&str]) -> (Vec<Measured>, Vec<(&'static str, String)>) {
        let mut job = empty_job();
        job.pieces = vec![piece("slat", inches(40), 2, Ends::Square)];
        job.boards = vec![board("stick", inches(90), None)];
        let (instance, origins) = lower(&job);
        let plan = raise(&job, &origins, &first_fit(&instance));
        let bench = Bench::new(plan, Certificate::default());
        let mut faults = Diagnostics::default();
        let texts = |texts: &[&str]| -> Vec<String> {
            texts.iter().map(|text| (*text).to_owned()).collect()
        };
        let found = read(
            &bench,
            &Marks::default(),
            Unit::Inch,
            &texts(lengths),
            &texts(knots),
            &mut faults,
        );
        let wrong = faults.into_sorted().into_iter();
        let wrong = wrong.map(|fault| (fault.code, fault.what)).collect();
        (found.into_values().collect(), wrong)
    }

    #[test]
    fn lengths_and_knots_are_read_by_the_mark_of_their_board() {
        let (found, wrong) = measure(&["a = 7' 4 1/2"], &["A=30 to 31 1/2", "A=1/2 to 2"]);
        assert_eq!(wrong, []);
        let half = Length::from_nm(inches(1).nm() / 2);
        let knots = [(half, inches(2)), (inches(30), inches(31) + half)];
        assert_eq!(
            found,
            [Measured {
                length: Some(inches(88) + half),
                knots: knots.into(),
            }]
        );
    }

    #[test]
    fn all_that_is_wrong_with_what_was_measured_is_told_at_once() {
        let knots = ["A=31 to 30", "A=80 to 91", "A=80", "B=1 to 2"];
        let (found, wrong) = measure(&["A=0", "A", "I=90", "A=long", "B=90"], &knots);
        assert_eq!(found, []);
        let wrong: Vec<(&str, &str)> = wrong.iter().map(|(code, what)| (*code, &**what)).collect();
        assert!(wrong.iter().all(|(code, _)| *code == "E406"));
        let mut words: Vec<&str> = wrong.into_iter().map(|(_, what)| what).collect();
        words.sort_unstable();
        assert_eq!(
            words,
            [
                "`I` is not a chalk mark of a board, such as `G`",
                "`long` is not a length: expected a number, found `long`",
                "it ends before it begins",
                "it ends beyond the board, which is 90 in long",
                "no plan takes a board `B`",
                "no plan takes a board `B`",
                "the length of a board must be more than zero",
                "there is no ` to ` between where it begins and where it ends",
                "there is no `=` behind the mark",
            ]
        );
    }
}
