//! What drawings look like: their style sheet, and the hatches that all of a page share.

use super::xml::Element;

/// The style of all drawings: variables for light, dark and print, and a rule for each class.
///
/// On a page it stands once in a `<style>`, with [`defs`] once in the body. Everything is scoped below `.dw`:
///
/// - `dw-board`, `dw-corner`, `dw-front`, `dw-stack`, `dw-use`, `dw-ways`, `dw-panel`: the kinds of drawings, beside `dw`;
/// - `rail`, `pane`, `outer`, `kerf`, `rip`, `trim`, `frame`: parts, their outer edges, what the saw takes, the board's own outline;
/// - `scrap`, `keep`, `defect`, `gone`: hatched rectangles;
/// - `wood`, `lip`, `miter`, `break`, `lead`, `dim`, `point`, `flag`, `flagged`: corners and sections: wood, the line of the
///   rabbet, the joint, where a drawing breaks off, lines to words and of dimensions, points, a word that is set off;
/// - `outside`, `sight`, `inner`, `window`, `art`, `hidden`: a frame from the front, `inner` those inside of it;
/// - `glazing`, `spacer`, `mat`, `artwork`, `inner`, `backing`, `room`, `deep`: a stack, `inner` a frame in it; `deep` lies beyond the rabbet;
/// - `use-parts`, `use-rack`, `use-ends`, `use-saw`, `more`, `less`, `zero`: bars;
/// - `fig`, `num`, `ring`, `mark`, `word`, `head`, `plate`, `sheet`: figures, numbers of cuts and their rings, chalk marks,
///   words, what stands behind a figure, and the ground of a file.
///
/// The variables are `--dw-ink`, `--dw-paper`, `--dw-wood`, `--dw-soft` (lines of the scrap hatch) and `--dw-keep` (the
/// ground of what is kept); a page sets them where its own colors differ.
/// No color tells anything that a hatch, a line or a word does not tell too.
pub const CSS: &str = include_str!("svg.css");

/// Hatches of a page, in an `<svg>` that takes no room: lines are told apart in black and white.
pub fn defs() -> String {
    Element::new("svg")
        .set("class", "dw-defs")
        .set("aria-hidden", "true")
        .set("width", 0)
        .set("height", 0)
        .with(&hatches())
        .to_string()
}

/// The style as an element of a file.
pub(super) fn style() -> Element {
    // Nothing in it needs escaping, which a test holds.
    Element::new("style").text(CSS)
}

pub(super) fn hatches() -> Element {
    let tile = |id: &str, size: &str, turned: Option<i64>| {
        let tile = Element::new("pattern")
            .set("id", id)
            .set("width", size)
            .set("height", size)
            .set("patternUnits", "userSpaceOnUse");
        turned.map_or(tile.clone(), |degrees| {
            tile.set("patternTransform", format!("rotate({degrees})"))
        })
    };
    let ground = |class: &str, size: &str| {
        Element::new("rect")
            .set("class", class)
            .set("width", size)
            .set("height", size)
    };
    let line = |class: &str, d: &str| Element::new("path").set("class", class).set("d", d);
    Element::new("defs")
        .with(
            &tile("dw-scrap", "1.6", Some(45))
                .with(&ground("h-paper", "1.6"))
                .with(&line("h-soft", "M0 0V1.6")),
        )
        .with(
            &tile("dw-keep", "2.4", Some(-45))
                .with(&ground("h-keep", "2.4"))
                .with(&line("h-ink", "M0 0V2.4")),
        )
        .with(
            &tile("dw-dots", "1.8", None)
                .with(&ground("h-keep", "1.8"))
                .with(&line("h-dot", "M.5 .9H.9M1.4 0H1.8")),
        )
        .with(
            &tile("dw-grain", "3", Some(20))
                .with(&ground("h-wood", "3"))
                .with(&line("h-soft h-thin", "M0 0V3")),
        )
        .with(
            &tile("dw-sheet", "2", None)
                .with(&ground("h-paper", "2"))
                .with(&line("h-ink h-thin", "M1 0V2")),
        )
        .with(
            &tile("dw-defect", "1", Some(45))
                .with(&ground("h-paper", "1"))
                .with(&line("h-heavy", "M0 0V1M0 0H1")),
        )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_style_is_the_same_in_a_page_and_in_a_file() {
        assert_eq!(super::super::xml::escaped(CSS), CSS);
    }
}
