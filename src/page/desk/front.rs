//! The frame that is being edited: its drawing and its sizes, beside the answer.

use askama::Template;

use crate::desk::RowSizes;
use crate::paper::frame_front;
use crate::paper::svg::figure::Figure;
use crate::tally::sized_frames;

use super::AtDesk;

#[derive(Template)]
#[template(path = "front.html", config = "src/page/askama.toml")]
struct Front {
    name: String,
    drawing: String,
    sizes: Vec<(&'static str, String)>,
    rails: String,
}

impl AtDesk {
    /// The frame that is looked at, if it can be sized.
    pub(in crate::page) fn front(&self) -> Option<askama::Result<String>> {
        let sizes = self.desk.sizes.as_ref()?;
        let idx = sizes.rows.iter().position(|row| Some(*row) == self.at)?;
        let texts = sizes.texts();
        let frames = sized_frames(&sizes.job);
        let frame = frames.get(idx)?;
        let text = texts.get(idx)?;
        let front = Front {
            name: frame.frame.name.clone(),
            drawing: frame_front(&sizes.job.display, frame, "now"),
            sizes: measures(text),
            rails: rails(text),
        };
        Some(front.render())
    }
}

fn figures(texts: &[String]) -> String {
    let figures = texts.iter().map(|text| Figure::read(text).html());
    figures.collect::<Vec<String>>().join(" × ")
}

fn measures(sizes: &RowSizes) -> Vec<(&'static str, String)> {
    let all = [
        ("outside", &sizes.outside),
        ("sight", &sizes.sight),
        ("rabbet", &sizes.rabbet),
        ("package", &sizes.package),
    ];
    let known = all.into_iter().filter(|(_, texts)| !texts.is_empty());
    known.map(|(name, texts)| (name, figures(texts))).collect()
}

fn rails(sizes: &RowSizes) -> String {
    let rails = sizes.rails.iter();
    let rails = rails.map(|(count, text)| format!("{count} of {}", Figure::read(text).html()));
    rails.collect::<Vec<String>>().join(", ")
}
