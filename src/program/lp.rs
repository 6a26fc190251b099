//! A program as text in the CPLEX LP format (not the one of `lp_solve`): objective, rows, bounds, whole numbers.

use std::fmt::Write as _;

use super::{Column, Program};
use crate::job::SHEET_GOODS;
use crate::plan::Measure;

/// No line is longer, so that it can be read, and every reader takes it.
const WIDTH: usize = 78;

impl Program {
    /// The program in the CPLEX LP format. Comments at its head say what its least value proves, and what columns and rows mean.
    pub fn lp(&self) -> String {
        let mut text = String::new();
        for line in self.said() {
            comment(&mut text, &line);
        }
        text += "\\\n";
        for column in &self.columns {
            comment(&mut text, &format!("{}: {}", column.name, column.means));
        }
        text += "\nMinimize\n";
        let costs = self.columns.iter().filter(|column| column.cost != 0);
        let mut costs: Vec<(i64, &Column)> = costs.map(|column| (column.cost, column)).collect();
        if costs.is_empty() {
            costs.extend(self.columns.first().map(|column| (0, column)));
        }
        sum(&mut text, "value", &costs, "");
        text += "Subject To\n";
        for row in &self.rows {
            comment(&mut text, &row.means);
            let terms = row.terms.iter();
            let terms: Vec<(i64, &Column)> = terms
                .map(|&(factor, idx)| (factor, &self.columns[idx]))
                .collect();
            let sense = if row.is_at_least { ">=" } else { "<=" };
            sum(
                &mut text,
                &row.name,
                &terms,
                &format!("{sense} {}", row.side),
            );
        }
        let bounded = self.columns.iter();
        let bounded = bounded.filter_map(|column| Some((column, column.most?)));
        for (number, (column, most)) in bounded.enumerate() {
            if number == 0 {
                text += "Bounds\n";
            }
            let _ = writeln!(text, " {} <= {most}", column.name);
        }
        text += "General\n";
        for column in &self.columns {
            let _ = writeln!(text, " {}", column.name);
        }
        text + "End\n"
    }

    /// What the head says.
    fn said(&self) -> Vec<String> {
        let unit = match (self.measure, self.unit) {
            (Measure::Price, _) => "minor units of the job's currency".to_owned(),
            (Measure::BoardLength, unit) => format!("lengths of board, {unit} nm each"),
        };
        let mut said = vec![
            format!(
                "The boards of {}, as an integer program in the CPLEX LP format.",
                self.title
            ),
            "All variables are whole, and so are all numbers.".to_owned(),
            format!("Costs are {unit}."),
        ];
        said.push(if self.is_complete {
            "It is complete: every way to divide each board is here, and all that can be cut from a strip, so its least value is that \
             of the best plan of the job, and no plan costs less."
                .to_owned()
        } else {
            "It is not complete: there are more ways to rip a board than are listed here. Its least value is that of a plan, and \
             proves nothing of the others."
                .to_owned()
        });
        if self.has_rows {
            said.push(
                "Rails that are to lie in a row do so in it. Where boards are too few for that, `plan` parts rows, and its plan may lack \
                 fewer parts or cost less."
                    .to_owned(),
            );
        }
        if let Some(price) = self.missing {
            said.push(format!(
                "Parts may be missing. A missing rail or piece costs {price}, more than any plan, so the least value has the fewest of \
                 them: divided by {price} it gives their number, and what is left is the cost."
            ));
        }
        said.push(
            "More may be cut than is wanted; what is too much is left uncut. A strip takes as much of its kind of board as it is \
             long, kerfs included."
                .to_owned(),
        );
        if self.n_assigned > 0 {
            said.push(format!(
                "Kinds of strip with too many patterns to list: {}. Of these each strip stands by itself (open), with what lies on it \
                 (lie).",
                self.n_assigned
            ));
        }
        said.push(
            format!(
                "Not in it: {SHEET_GOODS}, color, and which of several plans of one cost leaves the better offcuts."
            ),
        );
        said
    }
}

/// A comment, on as many lines as it takes.
fn comment(text: &mut String, words: &str) {
    let mut line = String::from("\\");
    for word in words.split_whitespace() {
        if line.len() > 1 && line.len() + 1 + word.len() > WIDTH {
            let _ = writeln!(text, "{line}");
            line = String::from("\\  ");
        }
        line.push(' ');
        line.push_str(word);
    }
    let _ = writeln!(text, "{line}");
}

/// A sum under its name, on as many lines as it takes.
fn sum(text: &mut String, name: &str, terms: &[(i64, &Column)], end: &str) {
    let mut line = format!(" {name}:");
    let terms = terms.iter().enumerate().map(|(idx, (factor, column))| {
        let sign = match (*factor < 0, idx) {
            (true, _) => "- ",
            (false, 0) => "",
            (false, _) => "+ ",
        };
        match factor.unsigned_abs() {
            1 => format!("{sign}{}", column.name),
            size => format!("{sign}{size} {}", column.name),
        }
    });
    let end = (!end.is_empty()).then(|| end.to_owned());
    for term in terms.chain(end) {
        if line.len() + 1 + term.len() > WIDTH {
            let _ = writeln!(text, "{line}");
            line = String::from("  ");
        }
        line.push(' ');
        line.push_str(&term);
    }
    let _ = writeln!(text, "{line}");
}
