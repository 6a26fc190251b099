use super::screen::{Screen, on_screen};
use super::{TOPICS, speaking_of, topic};

const PLAIN: Screen = Screen {
    width: 80,
    color: false,
    unicode: true,
};

#[test]
fn every_topic_is_filled_and_fits_a_screen() {
    for topic in TOPICS {
        assert!(!topic.title().ends_with('.'), "{}", topic.name);
        let markdown = topic.markdown();
        assert!(!markdown.contains("{{"), "{}", topic.name);
        assert!(
            !markdown.contains("**"),
            "{}: only backticks are known",
            topic.name
        );
        for color in [false, true] {
            let shown = on_screen(&markdown, Screen { color, ..PLAIN });
            assert_eq!(shown.contains('\u{1b}'), color, "{}", topic.name);
            let seen = |line: &str| line.chars().count();
            if !color {
                let wide = shown.lines().find(|line| seen(line) > 80);
                assert_eq!(wide, None, "{}", topic.name);
            }
        }
    }
    assert!(topic("boards").is_some() && topic("bords").is_none());
}

#[test]
fn words_of_the_bench_are_found_where_they_are_spoken_of() {
    let names = |word| -> Vec<&str> {
        speaking_of(word)
            .iter()
            .map(|(topic, _)| topic.name)
            .collect()
    };
    for word in [
        "rabbet", "kerf", "miter", "glass", "price", "knot", "spline", "offcut",
    ] {
        assert!(!names(word).is_empty(), "{word}");
    }
    assert!(
        names("Rabbet").contains(&"frames"),
        "capitals do not matter"
    );
    assert!(
        names("abbet").is_empty(),
        "only the beginning of a word is enough"
    );
    let (_, line) = speaking_of("rabbet")[0];
    assert!(
        !line.starts_with(['#', '|', '`']) && line.contains("rabbet"),
        "{line}"
    );
}

#[test]
fn columns_and_codes_come_from_the_lists_of_the_readers() {
    let boards = topic("boards")
        .map(super::Topic::markdown)
        .unwrap_or_default();
    assert!(
        boards.contains("\n| `quantity` or `qty` | whole number, "),
        "{boards}"
    );
    let errors = topic("errors")
        .map(super::Topic::markdown)
        .unwrap_or_default();
    for entry in crate::diag::code::ALL {
        assert!(errors.contains(&format!("\n| {} | {} | ", entry.code, entry.meaning)));
    }
}

#[test]
fn a_text_is_laid_out_to_its_width() {
    let text = "# A title\n\nOne sentence of words, with `a mark` in it.\nAnd one more that is long enough.\n\n\
                - first\n- second entry\n  goes on\n\n```toml job.toml\nkey = 1\n```\n\n## A part\n\n\
                | name | meaning |\n| --- | --- |\n| `long-name` | what the name of this row means, in many words |\n";
    let screen = Screen {
        width: 60,
        color: false,
        unicode: false,
    };
    assert_eq!(
        on_screen(text, screen),
        "\
A title
------------------------------------------------------------

One sentence of words, with `a mark` in it. And one more
that is long enough.

- first
- second entry goes on

  job.toml:
    key = 1

A part -----------------------------------------------------

name         meaning
-----------  ----------------------------------------------
`long-name`  what the name of this row means, in many words
"
    );
    let colored = on_screen(
        text,
        Screen {
            color: true,
            ..screen
        },
    );
    assert!(colored.contains("with \u{1b}[36ma mark\u{1b}[0m in it"));
}
