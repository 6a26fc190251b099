//! What the terminal can show, and what of it is wished.

use std::env;
use std::io::{self, IsTerminal as _};

use crate::help::screen::Screen as Page;
use crate::report::text::Look;

use super::args::{ColorWhen, Drawing, ScreenArgs};

/// Columns of a report that goes to a file or a pipe.
pub(super) const PIPED_WIDTH: usize = 80;

/// The looks of everything a command prints or writes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Screen {
    /// Whether standard output gets lines and blocks.
    has_lines: bool,
    /// Whether files get them.
    files_have_lines: bool,
}

impl Screen {
    /// Settles color for the whole process, and the signs to draw with.
    pub(super) fn new(args: ScreenArgs) -> Screen {
        match args.color {
            ColorWhen::Auto => anstream::ColorChoice::Auto,
            ColorWhen::Always => anstream::ColorChoice::Always,
            ColorWhen::Never => anstream::ColorChoice::Never,
        }
        .write_global();
        let (has_lines, files_have_lines) = match args.drawing {
            Drawing::Auto => {
                let variable = |name: &str| env::var(name).ok();
                (shows_lines(io::stdout().is_terminal(), variable), true)
            }
            Drawing::Ascii => (false, false),
            Drawing::Lines => (true, true),
        };
        Screen {
            has_lines,
            files_have_lines,
        }
    }

    /// The look of a report on standard output.
    pub(super) fn look(self, width: Option<u16>) -> Look {
        let terminal = terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
        let width = match width {
            Some(width) => usize::from(width),
            None if io::stdout().is_terminal() => terminal.unwrap_or(PIPED_WIDTH).max(PIPED_WIDTH),
            None => PIPED_WIDTH,
        };
        Look {
            width,
            color: color_on(&io::stdout()),
            unicode: self.has_lines,
        }
    }

    /// The look of a page of the guide on standard output.
    pub(super) fn page(self) -> Page {
        let Look {
            width,
            color,
            unicode,
        } = self.look(None);
        Page {
            width,
            color,
            unicode,
        }
    }

    /// The look of a report in a file.
    pub(super) fn file_look(self) -> Look {
        Look {
            width: PIPED_WIDTH,
            color: false,
            unicode: self.files_have_lines,
        }
    }
}

/// Whether text for `stream` may carry color: as `--color` says, else where it is a terminal and `NO_COLOR` is unset or
/// empty.
pub(super) fn color_on(stream: &impl anstream::stream::RawStream) -> bool {
    anstream::AutoStream::choice(stream) != anstream::ColorChoice::Never
}

/// Whether lines and blocks come out right; a pipe gets them always, so that it does not depend on the place it runs at.
fn shows_lines(is_terminal: bool, variable: impl Fn(&str) -> Option<String>) -> bool {
    if !is_terminal {
        return true;
    }
    // The console of Linux has no slants in its font.
    if matches!(variable("TERM").as_deref(), Some("dumb" | "linux")) {
        return false;
    }
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
        .into_iter()
        .find_map(|name| variable(name).filter(|value| !value.is_empty()));
    match locale {
        Some(locale) => {
            let locale = locale.to_lowercase();
            locale.contains("utf-8") || locale.contains("utf8")
        }
        // Windows has no such variables and takes all signs; elsewhere none of them means plain ASCII.
        None => cfg!(windows),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_drawn_where_locale_and_terminal_show_them() {
        let shows = |is_terminal, variables: &[(&str, &str)]| {
            shows_lines(is_terminal, |name| {
                let found = variables.iter().find(|(known, _)| *known == name);
                found.map(|(_, value)| (*value).to_owned())
            })
        };
        assert!(shows(true, &[("TERM", "xterm"), ("LANG", "en_US.UTF-8")]));
        assert!(shows(true, &[("LC_ALL", ""), ("LC_CTYPE", "C.utf8")]));
        // What stands first decides.
        assert!(!shows(true, &[("LC_ALL", "C"), ("LANG", "en_US.UTF-8")]));
        assert!(!shows(true, &[("LANG", "de_DE.ISO-8859-1")]));
        assert!(!shows(true, &[("TERM", "dumb"), ("LANG", "en_US.UTF-8")]));
        assert!(!shows(true, &[("TERM", "linux"), ("LANG", "en_US.UTF-8")]));
        assert_eq!(shows(true, &[("TERM", "xterm")]), cfg!(windows));
        assert!(shows(false, &[("TERM", "dumb"), ("LC_ALL", "C")]));
    }
}
