//! What stands round every view: the places one can go to, what was kept, and the answer beside.

use std::path::{Path, PathBuf};

use askama::Template;

use crate::paper::svg;

use super::action::From;
use super::desk::AtDesk;
use super::state::{State, Work};
use super::{answer, bench, papers, start, yard};

/// A place on the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// The tables of the job, to type into.
    Desk,
    /// Ways of buying, and what was bought.
    Yard,
    /// What to cut now.
    Bench,
    /// Papers and files.
    Papers,
}

impl View {
    /// All of them, in the order in which a job passes through.
    pub const ALL: [View; 4] = [View::Desk, View::Yard, View::Bench, View::Papers];

    /// Whether it can be looked at from there.
    pub fn is_open_to(self, from: From) -> bool {
        from == From::Here || matches!(self, View::Bench | View::Papers)
    }

    /// What is looked at first.
    pub fn first(from: From) -> View {
        match from {
            From::Here => View::Desk,
            From::Tablet => View::Bench,
        }
    }

    /// Its address on the page.
    pub fn address(self) -> &'static str {
        match self {
            View::Desk => "/desk",
            View::Yard => "/yard",
            View::Bench => "/bench",
            View::Papers => "/papers",
        }
    }

    /// What it is called.
    fn name(self) -> &'static str {
        match self {
            View::Desk => "Desk",
            View::Yard => "Yard",
            View::Bench => "Bench",
            View::Papers => "Papers",
        }
    }

    /// The view of an address.
    pub fn at(address: &str) -> Option<View> {
        View::ALL.into_iter().find(|view| view.address() == address)
    }
}

#[derive(Template)]
#[template(path = "shell.html", config = "src/page/askama.toml")]
struct Shell {
    title: String,
    version: u64,
    news: u64,
    view: &'static str,
    places: Vec<Link>,
    kept: String,
    undo: Option<String>,
    /// Whether this is the machine that has the files.
    is_here: bool,
    /// A code and an address for a tablet.
    share: Option<(String, String)>,
    notice: Option<String>,
    defs: String,
    main: String,
    answer: Option<String>,
}

struct Link {
    address: &'static str,
    name: &'static str,
    is_here: bool,
}

/// A view as a whole page; `query` is what stands in its address behind the `?`.
///
/// # Panics
/// Never: a template that compiles renders into a string.
pub fn show(state: &State, view: View, query: &str, from: From) -> String {
    let shown = match &state.work {
        None => whole(state, (None, from), "Begin", start::view(state), None),
        Some(work) => {
            let at_desk = (view == View::Desk).then(|| AtDesk::open(work, query));
            let main = match view {
                View::Desk => at_desk.as_ref().map_or(Ok(String::new()), AtDesk::view),
                View::Yard => yard::view(work),
                View::Bench => bench::view(work, query, from),
                View::Papers => papers::view(work, from),
            };
            // At the bench the answer is what is cut, and nothing else is to distract.
            let answer = (view != View::Bench).then(|| {
                let mut beside = answer::beside(work)?;
                if let Some(front) = at_desk.as_ref().and_then(AtDesk::front) {
                    beside += &front?;
                }
                Ok(beside)
            });
            whole(state, (Some((work, view)), from), view.name(), main, answer)
        }
    };
    shown.expect("a template that compiles renders into a string")
}

fn whole(
    state: &State,
    (at, from): (Option<(&Work, View)>, From),
    name: &'static str,
    main: askama::Result<String>,
    answer: Option<askama::Result<String>>,
) -> askama::Result<String> {
    let work = at.map(|(work, _)| work);
    let places = View::ALL.into_iter();
    let places = places.filter(|view| at.is_some() && view.is_open_to(from));
    let here = from == From::Here;
    let share = state.share.as_ref().filter(|_| here);
    let kept = work.map_or_else(String::new, |work| kept(&work.kept_in));
    Shell {
        title: work.map_or_else(|| "longpoint".to_owned(), Work::title),
        version: work.map_or(0, |work| work.version),
        news: state.news,
        view: name,
        places: places
            .map(|view| Link {
                address: view.address(),
                name: view.name(),
                is_here: at.is_some_and(|(_, here)| here == view),
            })
            .collect(),
        kept,
        undo: work
            .filter(|_| here)
            .and_then(|work| work.past.last().map(|step| step.words.clone())),
        is_here: here,
        share: share.map(|share| (share.drawing(), share.address.clone())),
        notice: state.notice.clone(),
        defs: svg::defs(),
        main: main?,
        answer: answer.transpose()?,
    }
    .render()
}

/// Where what was done is kept: the files, or of many their folder.
fn kept(paths: &[PathBuf]) -> String {
    let folder = paths.first().and_then(|path| path.parent());
    match paths {
        [] => String::new(),
        _ if paths.len() > 2 => {
            let folder = folder.unwrap_or(Path::new("")).display();
            format!("kept in {folder}")
        }
        _ => {
            let names = paths.iter().map(|path| path.display().to_string());
            format!("kept in {}", names.collect::<Vec<_>>().join(", "))
        }
    }
}
