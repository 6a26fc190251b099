//! The guide, as it stands beside the tables.

use askama::Template;

use crate::help::screen::{Screen, on_screen};
use crate::help::{TOPICS, Topic, of_code, topic};

/// The text is as wide as that of a terminal.
const WIDTH: usize = 80;

#[derive(Template)]
#[template(path = "guide.html", config = "src/page/askama.toml")]
struct Guide {
    topics: Vec<Link>,
    text: String,
}

struct Link {
    name: &'static str,
    title: &'static str,
    is_here: bool,
}

/// A topic of the guide, or what a code means; `query` says which: `on=boards`, `on=E301`.
pub(super) fn view(query: &str) -> askama::Result<String> {
    let asked = query.strip_prefix("on=").unwrap_or_default();
    let of_topic = |name: &str| topic(name).map(Topic::markdown);
    let text = of_topic(asked).or_else(|| of_code(asked));
    let topics = TOPICS.iter().map(|topic| Link {
        name: topic.name,
        title: topic.title(),
        is_here: topic.name == asked,
    });
    let screen = Screen {
        width: WIDTH,
        color: false,
        unicode: true,
    };
    Guide {
        topics: topics.collect(),
        text: text
            .or_else(|| of_topic("page"))
            .map_or_else(String::new, |text| on_screen(&text, screen)),
    }
    .render()
}
