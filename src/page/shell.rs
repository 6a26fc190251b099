//! What stands round every view: the places one can go to, what was kept, and the answer beside.

use askama::Template;

use crate::paper::svg;

use super::state::{State, Work};
use super::{answer, bench, desk, papers, start, yard};

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
pub fn show(state: &State, view: View, query: &str) -> String {
    let shown = match &state.work {
        None => whole(state, None, "Begin", start::view(state), None),
        Some(work) => {
            let main = match view {
                View::Desk => desk::view(work),
                View::Yard => yard::view(work),
                View::Bench => bench::view(work, query),
                View::Papers => papers::view(work),
            };
            // At the bench the answer is what is cut, and nothing else is to distract.
            let answer = (view != View::Bench).then(|| answer::beside(work));
            whole(state, Some((work, view)), view.name(), main, answer)
        }
    };
    shown.expect("a template that compiles renders into a string")
}

fn whole(
    state: &State,
    at: Option<(&Work, View)>,
    name: &'static str,
    main: askama::Result<String>,
    answer: Option<askama::Result<String>>,
) -> askama::Result<String> {
    let work = at.map(|(work, _)| work);
    let places = View::ALL.into_iter().filter(|_| at.is_some());
    let kept = work.filter(|work| !work.kept_in.is_empty());
    let kept = kept.map(|work| {
        let names = work.kept_in.iter().map(|path| path.display().to_string());
        format!("kept in {}", names.collect::<Vec<_>>().join(", "))
    });
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
        kept: kept.unwrap_or_default(),
        undo: work.and_then(|work| work.past.last().map(|step| step.words.clone())),
        notice: state.notice.clone(),
        defs: svg::defs(),
        main: main?,
        answer: answer.transpose()?,
    }
    .render()
}
