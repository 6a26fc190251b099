//! The page that the sections write on.

use crate::job::Job;
use crate::report::figures::Figures;
use crate::report::ink::{Ink, Look, Tone};
use crate::report::layout::{TIED, blanks, fit, one_line, width_of, wrap};
use crate::report::table::Table;

/// The narrowest page.
const NARROWEST: usize = 80;
/// Beyond this, rows are too long for the eye to follow.
const WIDEST: usize = 160;
/// Prose is set no wider than this.
const PROSE: usize = 96;

/// Lines of text under way.
pub(super) struct Page<'a> {
    pub(super) ink: Ink,
    pub(super) figures: Figures<'a>,
    pub(super) width: usize,
    text: String,
}

impl<'a> Page<'a> {
    pub(super) fn new(job: &'a Job, look: Look) -> Page<'a> {
        let ink = Ink::new(look);
        Page {
            ink,
            figures: Figures::new(&job.display, ink),
            width: look.width.clamp(NARROWEST, WIDEST),
            text: String::new(),
        }
    }

    /// A line that is already no wider than the page; what is tied has done its work.
    pub(super) fn line(&mut self, line: &str) {
        self.text.push_str(line.replace(TIED, " ").trim_end());
        self.text.push('\n');
    }

    /// An empty line.
    pub(super) fn space(&mut self) {
        self.text.push('\n');
    }

    /// A heading with a rule to the right edge.
    pub(super) fn heading(&mut self, title: &str) {
        let title = fit(title, self.width - 2, self.ink);
        let rule = self.ink.rule().repeat(self.width - width_of(&title) - 1);
        let line = format!(
            "{} {}",
            self.ink.paint(Tone::Strong, &title),
            self.ink.paint(Tone::Faint, &rule)
        );
        self.space();
        self.line(&line);
    }

    /// Prose, wrapped.
    pub(super) fn prose(&mut self, indent: usize, tone: Tone, text: &str) {
        self.hanging(&blanks(indent), tone, text);
    }

    /// Prose after a mark on its first line, such as a bullet.
    pub(super) fn hanging(&mut self, mark: &str, tone: Tone, text: &str) {
        let indent = width_of(mark);
        let mut lead = mark.to_owned();
        for line in wrap(text, self.width.min(PROSE) - indent) {
            let painted = self.ink.paint(tone, &line);
            self.line(&format!("{lead}{painted}"));
            lead = blanks(indent);
        }
    }

    /// A table.
    pub(super) fn table(&mut self, indent: usize, table: &Table) {
        for line in table.lines(self.width, indent, self.ink) {
            self.line(&line);
        }
    }

    /// The head of a column of amounts: the currency's code, shortened.
    pub(super) fn money_head(&self) -> String {
        let code = fit(&one_line(&self.figures.currency().code), 8, self.ink);
        if code.is_empty() {
            "money".to_owned()
        } else {
            code
        }
    }

    pub(super) fn into_text(self) -> String {
        self.text
    }
}
