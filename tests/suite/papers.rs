//! The page of the papers, read as a strict parser of HTML reads it: it is valid, holds every cut once in each order, fetches
//! nothing, and shows names as they are given.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use html5ever::tendril::TendrilSink as _;
use html5ever::tokenizer::TokenizerOpts;
use html5ever::tree_builder::TreeBuilderOpts;
use html5ever::{ParseOpts, parse_document};
use longpoint::paper::Papers;
use longpoint::tally::Summary;
use markup5ever_rcdom::{Handle, NodeData, RcDom};
use sha2::{Digest as _, Sha256};

use crate::command::{longpoint, text};
use crate::jobs;
use crate::texts::Texts;

/// One element with its attributes and the text below it.
struct Element {
    name: String,
    attributes: BTreeMap<String, String>,
    text: String,
    /// The ids of all elements it stands in, from the outermost.
    within: Vec<String>,
}

impl Element {
    fn get(&self, name: &str) -> Option<&str> {
        self.attributes.get(name).map(String::as_str)
    }
}

/// All elements of a page, in their order; it must be valid.
fn read(page: &str) -> Vec<Element> {
    let strict = ParseOpts {
        tokenizer: TokenizerOpts {
            exact_errors: true,
            ..TokenizerOpts::default()
        },
        tree_builder: TreeBuilderOpts {
            exact_errors: true,
            ..TreeBuilderOpts::default()
        },
    };
    let dom = parse_document(RcDom::default(), strict).one(page);
    assert_eq!(*dom.errors.borrow(), Vec::<String>::new());
    let mut found = Vec::new();
    gather(&dom.document, &mut Vec::new(), &mut found);
    found
}

fn gather(node: &Handle, within: &mut Vec<String>, found: &mut Vec<Element>) -> String {
    let mut own = None;
    if let NodeData::Element { name, attrs, .. } = &node.data {
        let attributes: BTreeMap<String, String> = attrs
            .borrow()
            .iter()
            .map(|one| (one.name.local.to_string(), one.value.to_string()))
            .collect();
        own = Some(found.len());
        let id = attributes.get("id").cloned();
        found.push(Element {
            name: name.local.to_string(),
            attributes,
            text: String::new(),
            within: within.clone(),
        });
        within.push(id.unwrap_or_default());
    }
    let mut text = match &node.data {
        NodeData::Text { contents } => contents.borrow().to_string(),
        _ => String::new(),
    };
    for child in node.children.borrow().iter() {
        text += &gather(child, within, found);
    }
    if let Some(own) = own {
        within.pop();
        found[own].text.clone_from(&text);
    }
    text
}

fn page(texts: &Texts) -> String {
    let planned = jobs::planned(&jobs::load(texts));
    Papers::new(&Summary::new(&planned.plan), &[]).page()
}

/// What must hold of every page.
fn check(page: &str, elements: &[Element]) {
    let ids: Vec<&str> = elements.iter().filter_map(|one| one.get("id")).collect();
    let once: BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(once.len(), ids.len(), "an id stands twice");
    for element in elements {
        for name in [
            "href",
            "src",
            "xlink:href",
            "action",
            "data",
            "poster",
            "srcset",
        ] {
            if let Some(value) = element.get(name) {
                let id = value
                    .strip_prefix('#')
                    .expect("nothing but places on the page is referred to");
                assert!(once.contains(id), "{value} leads nowhere");
            }
        }
        for name in ["aria-labelledby", "aria-describedby"] {
            for id in element.get(name).unwrap_or_default().split_whitespace() {
                assert!(once.contains(id), "{id} labels nothing");
            }
        }
        assert!(
            !element.attributes.keys().any(|name| name.starts_with("on")),
            "a script in an attribute"
        );
    }
    assert!(!page.contains("url(http") && !page.contains("@import"));
    // The one script is the one that the policy names.
    let scripts: Vec<&Element> = elements.iter().filter(|one| one.name == "script").collect();
    assert_eq!(scripts.len(), 1);
    let hash = STANDARD.encode(Sha256::digest(&scripts[0].text));
    let policy = elements
        .iter()
        .find(|one| one.get("http-equiv").is_some())
        .unwrap();
    let policy = policy.get("content").unwrap();
    assert!(
        policy.contains(&format!("script-src 'sha256-{hash}'")),
        "{policy}"
    );
    assert!(policy.starts_with("default-src 'none'"));
}

/// The cuts that have a box in a chapter.
fn ticks(elements: &[Element], chapter: &str) -> Vec<String> {
    let boxes = elements
        .iter()
        .filter(|one| one.within.iter().any(|id| id == chapter));
    boxes
        .filter_map(|one| {
            one.get("data-tick")?
                .strip_prefix("cut ")
                .map(str::to_owned)
        })
        .collect()
}

#[test]
fn every_demo_has_a_valid_page_with_every_cut_once_in_each_order() {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    for demo in [
        "show", "rough", "turned", "knots", "grain", "truck", "color", "reserve", "figured",
    ] {
        let folder = tempfile::tempdir().unwrap();
        let job = data.join(demo).join(format!("{demo}.toml"));
        let ran = longpoint(
            folder.path(),
            &["plan", job.to_str().unwrap(), "--out", "out"],
        );
        assert!(
            ran.status.code().is_some_and(|code| code < 2),
            "{demo}: {}",
            text(&ran.stderr)
        );
        let page = fs::read_to_string(folder.path().join("out/papers.html")).unwrap();
        let elements = read(&page);
        check(&page, &elements);
        let list = fs::read_to_string(folder.path().join("out/cut-list.csv")).unwrap();
        let mut rows = csv::Reader::from_reader(list.as_bytes());
        let heads = rows.headers().unwrap().clone();
        let at = |name: &str| heads.iter().position(|head| head == name).unwrap();
        let (mark, cut) = (at("mark"), at("cut"));
        let mut wanted: Vec<String> = rows
            .records()
            .map(|row| {
                row.map(|row| format!("{}-{}", &row[mark], &row[cut]))
                    .unwrap()
            })
            .collect();
        wanted.sort();
        for chapter in ["stops", "boards"] {
            let mut found = ticks(&elements, chapter);
            found.sort();
            assert_eq!(found, wanted, "{demo}: {chapter}");
        }
    }
}

#[test]
fn the_pages_of_ways_and_of_a_price_are_valid_and_have_nothing_of_others() {
    let folder = tempfile::tempdir().unwrap();
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    for (command, name) in [("buy", "ways.html"), ("quote", "quote.html")] {
        let job = fs::read_to_string(data.join("quote/quote.toml")).unwrap();
        let job = job.replace("the Lockside Inn", "<b>the</b> \\\"Inn\\\" & <script>");
        fs::write(folder.path().join("quote.toml"), job).unwrap();
        for table in ["frames.csv", "boards.csv", "sheet-stock.csv"] {
            let text = fs::read_to_string(data.join("quote").join(table)).unwrap();
            let text = text.replace("Towpath", "<i onclick=x()>Tow</i>path");
            fs::write(folder.path().join(table), text).unwrap();
        }
        let ran = longpoint(folder.path(), &[command, "quote.toml", "--out", command]);
        assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
        let page = fs::read_to_string(folder.path().join(command).join(name)).unwrap();
        let elements = read(&page);
        check(&page, &elements);
        let is_of_name = |one: &Element| one.name == "i" || one.get("onclick").is_some();
        assert!(!elements.iter().any(is_of_name), "{name}");
        let title = elements.iter().find(|one| one.name == "title").unwrap();
        assert!(
            title.text.contains("<b>the</b> \"Inn\" & <script>"),
            "{}",
            title.text
        );
        if command == "quote" {
            let rows = elements
                .iter()
                .filter(|one| one.name == "td" || one.name == "th");
            assert!(
                rows.filter(|one| one.text.contains("<i onclick=x()>Tow</i>path"))
                    .count()
                    > 0
            );
        }
    }
}

/// What a strict parser cannot tell: which element may stand in which, and which attributes it may have.
#[test]
#[expect(clippy::print_stderr, reason = "it says that it has not looked")]
fn the_checker_of_html_finds_no_fault() {
    let Some(checker) = std::env::var_os("LONGPOINT_VNU") else {
        eprintln!("NOT CHECKED by the checker of HTML: LONGPOINT_VNU names no file");
        return;
    };
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    let folder = bad_day(&CHIPPED_AND_KNOTTY);
    for demo in ["show", "rough", "turned", "grain", "knots", "truck"] {
        let job = data.join(demo).join(format!("{demo}.toml"));
        let job = job.to_str().unwrap();
        longpoint(folder.path(), &["plan", job, "--out", demo]);
    }
    let show = data.join("show/show.toml");
    let show = show.to_str().unwrap();
    longpoint(folder.path(), &["buy", show, "--out", "ways"]);
    let quote = data.join("quote/quote.toml");
    let quote = quote.to_str().unwrap();
    longpoint(folder.path(), &["quote", quote, "--out", "price"]);
    let rest = ["papers", "badday.toml", "day/rest.json", "--out", "day"];
    longpoint(folder.path(), &rest);
    let pages = [
        "show/papers.html",
        "rough/papers.html",
        "turned/papers.html",
        "grain/papers.html",
        "knots/papers.html",
        "truck/papers.html",
        "ways/ways.html",
        "price/quote.html",
        "day/rest-papers.html",
    ];
    let check = |pages: &[&str]| {
        let ran = std::process::Command::new("java")
            .arg("-jar")
            .arg(&checker)
            // Its list of properties lacks one of SVG 2 (Scalable Vector Graphics 2, section 8.13).
            .args(["--filterpattern", ".*vector-effect.*", "--errors-only"])
            .args(pages)
            .current_dir(folder.path())
            .output()
            .unwrap();
        (ran.status.success(), text(&ran.stderr))
    };
    assert_eq!(check(&pages), (true, String::new()));
    // It would tell.
    let page = fs::read_to_string(folder.path().join("show/papers.html")).unwrap();
    let wrong = page.replacen("<ul>", "<ul><p>in a list</p>", 1);
    fs::write(folder.path().join("wrong.html"), wrong).unwrap();
    let (is_valid, found) = check(&["wrong.html"]);
    assert!(!is_valid && found.contains("not allowed"), "{found}");
}

#[test]
fn papers_of_a_plan_file_are_those_of_the_plan() {
    let show = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/show/show.toml");
    let show = show.to_str().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| {
        let ran = longpoint(folder.path(), args);
        assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
        text(&ran.stdout)
    };
    run(&["plan", show, "--out", "out"]);
    let written = fs::read_to_string(folder.path().join("out/papers.html")).unwrap();
    assert_eq!(run(&["papers", show]), written);
    // A plan file does not tell what was found beside the plan.
    let parts = |page: &str| {
        let notes = page.find("<section id=\"notes\">").unwrap();
        let behind = page.find("<section id=\"pocket\">").unwrap();
        [page[..notes].to_owned(), page[behind..].to_owned()]
    };
    let of_file = run(&["papers", show, "out/plan.json"]);
    assert_eq!(parts(&of_file), parts(&written));
    assert_eq!(
        run(&["papers", show, "--out", "papers"]),
        "papers:\n\x20 papers.html, boards.svg, saw-order.csv, labels.csv, frame-labels.csv\n\
         open papers.html in a browser; to print one chapter, follow its link first\n"
    );
    let again = fs::read_to_string(folder.path().join("papers/papers.html")).unwrap();
    assert_eq!(again, written);
}

#[test]
fn a_plan_of_another_job_has_no_papers() {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    let folder = tempfile::tempdir().unwrap();
    let show = data.join("show/show.toml");
    longpoint(
        folder.path(),
        &["plan", show.to_str().unwrap(), "--out", "out"],
    );
    let other = data.join("turned/turned.toml");
    let ran = longpoint(
        folder.path(),
        &[
            "papers",
            other.to_str().unwrap(),
            "out/plan.json",
            "--out",
            "papers",
        ],
    );
    assert_eq!(ran.status.code(), Some(2), "{}", text(&ran.stdout));
    assert!(!folder.path().join("papers").exists());
}

/// On the bad day: a rail of board B is chipped, and a knot lies under two cuts of board C.
const CHIPPED_AND_KNOTTY: [&str; 6] = [
    "--done",
    "A:1-2",
    "--spoiled",
    "B:2=15",
    "--knot",
    "C=30 to 31 1/2",
];

/// The demo of a bad day in a folder of its own, planned and replanned into `day`.
fn bad_day(replan: &[&str]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/badday");
    for file in fs::read_dir(data).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), folder.path().join(file.file_name())).unwrap();
    }
    let plan = ["plan", "badday.toml", "--out", "day"];
    let rest = ["replan", "badday.toml", "day/plan.json", "--out", "day"];
    for args in [&plan[..], &[&rest, replan].concat()] {
        let ran = longpoint(folder.path(), args);
        assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
    }
    folder
}

/// Paragraphs and rows of tables of a chapter, in their order.
fn lines_of<'e>(elements: &'e [Element], chapter: &str) -> Vec<&'e str> {
    let of_chapter = elements
        .iter()
        .filter(|one| ["p", "li", "h2", "h3", "tr"].contains(&&*one.name));
    let of_chapter = of_chapter.filter(|one| one.within.iter().any(|id| id == chapter));
    of_chapter.map(|one| one.text.trim()).collect()
}

#[test]
fn papers_of_the_rest_begin_with_what_is_not_to_be_cut_any_more() {
    // On board C a knot lies under two cuts; a rail of board B is chipped.
    let folder = bad_day(&CHIPPED_AND_KNOTTY);
    let told = fs::read_to_string(folder.path().join("day/rest.txt")).unwrap();
    assert!(
        told.contains("\nDo not cut any more: C-2, C-3.\n"),
        "{told}"
    );
    let ran = longpoint(folder.path(), &["papers", "badday.toml", "day/rest.json"]);
    assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
    let page = text(&ran.stdout);
    let elements = read(&page);
    check(&page, &elements);
    let lines = lines_of(&elements, "first");
    assert_eq!(lines[0], "Do not cut any more: C-2, C-3.");
    let at = |begin: &str| {
        let mut lines = lines.iter();
        lines.position(|line| line.starts_with(begin)).unwrap()
    };
    // What was spoiled, and what stays on which board, stand before what is new.
    assert!(lines[at("Spoiled, to be cut again") + 2].contains("B-2"));
    let stays = at("To be cut as before");
    let kept: Vec<&str> = lines[stays + 2..stays + 6].to_vec();
    assert_eq!(
        kept,
        [
            "Awalnut 8 ft13–5",
            "Bwalnut 8 ft11, 3–5",
            "Cwalnut 6 ft11, 4–5",
            "Dwalnut 6 ft11–5"
        ]
    );
    assert!(stays < at("Plan 2: below is only what is new."));
    // The frame of the rail that is cut anew is glued from the new one.
    let glued = at("Frames with other rails: how they go together now");
    assert!(stays < glued);
    let rails = lines[glued + 2];
    assert!(rails.contains("top ") && !rails.contains("B-2"), "{rails}");
    assert!(told.contains("Frames with other rails"), "{told}");
    // What goes on the rack is that of all sheets, and there is no other.
    let notes = lines_of(&elements, "notes");
    assert!(
        notes.contains(&"For the rack, once all is cut"),
        "{notes:?}"
    );
    assert!(!notes.contains(&"The rack"), "{notes:?}");
}

#[test]
fn papers_of_the_rest_lie_beside_those_of_the_plan() {
    let folder = bad_day(&["--spoiled", "B:2=15"]);
    let names = [
        "papers.html",
        "boards.svg",
        "saw-order.csv",
        "labels.csv",
        "frame-labels.csv",
    ];
    let lies = |name: &str| fs::read_to_string(folder.path().join("day").join(name)).unwrap();
    let before = names.map(lies);
    let args = ["papers", "badday.toml", "day/rest.json", "--out", "day"];
    let ran = longpoint(folder.path(), &args);
    assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
    assert_eq!(
        text(&ran.stdout),
        "day:\n\x20 rest-papers.html, rest-boards.svg, rest-saw-order.csv, rest-labels.csv,\n\
         \x20 rest-frame-labels.csv\n\
         open rest-papers.html in a browser; to print one chapter, follow its link first\n"
    );
    assert_eq!(names.map(lies), before);
    for (name, before) in names.iter().zip(before) {
        assert_ne!(lies(&format!("rest-{name}")), before, "{name}");
    }
}

#[test]
fn papers_without_frames_have_no_chapter_of_them() {
    let job =
        "[[pieces]]\npiece = \"bar\"\nlength = 20\n[[boards]]\nboard = \"lath\"\nlength = 72\n";
    let page = page(&Texts::from([("job.toml", job.to_owned())]));
    let elements = read(&page);
    check(&page, &elements);
    assert!(elements.iter().all(|one| one.get("id") != Some("frames")));
    assert!(
        elements
            .iter()
            .all(|one| one.get("href") != Some("#frames"))
    );
    assert!(elements.iter().any(|one| one.get("id") == Some("boards")));
}

#[test]
fn papers_say_of_a_rail_that_is_cut_again_what_is_done_to_it() {
    // F is the rail that was chipped; C is begun, and E is bought.
    let folder = bad_day(&CHIPPED_AND_KNOTTY);
    let ran = longpoint(folder.path(), &["papers", "badday.toml", "day/rest.json"]);
    let elements = read(&text(&ran.stdout));
    let done = "milled and mitered already; both ends are cut";
    let stops = lines_of(&elements, "stops");
    assert!(stops.contains(&&*format!("F: {done}.")), "{stops:?}");
    let boards = lines_of(&elements, "boards");
    let of_rail = boards.iter().find(|line| line.starts_with("F ")).unwrap();
    assert!(of_rail.contains(done), "{of_rail}");
    assert_eq!(boards.iter().filter(|line| line.contains(done)).count(), 1);
    let first = lines_of(&elements, "first");
    assert!(!first.contains(&"Take from the rack"));
    assert!(first.contains(&"At the bench already"));
    let trims = first
        .iter()
        .find(|line| line.starts_with("The stop"))
        .unwrap();
    assert!(
        trims.ends_with(
            "comes off every end that is still raw, and nothing off F, whose ends are cut."
        ),
        "{trims}"
    );
}

/// Ticks are remembered by plan: the same cuts from other boards begin without any.
#[test]
fn the_same_cuts_from_other_boards_are_another_plan() {
    let key = |board: &str| {
        let job = format!(
            "[[pieces]]\npiece = \"bar\"\nlength = 20\nquantity = 3\n[[boards]]\nboard = \"{board}\"\nlength = 72\n"
        );
        let elements = read(&page(&Texts::from([("job.toml", job)])));
        let body = elements.iter().find(|one| one.name == "body").unwrap();
        body.get("data-plan").unwrap().to_owned()
    };
    assert_eq!(key("oak 6 ft"), key("oak 6 ft"));
    assert_ne!(key("oak 6 ft"), key("pine 6 ft"));
}

#[test]
fn names_are_shown_as_they_are_given_and_are_never_markup() {
    let long = "w".repeat(200);
    let names = [
        "</script><script>alert('x')</script>",
        "\"quoted\" & 'so' <b>bold</b>",
        "</style><style>*{display:none}",
        "\u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{5e2}\u{5d5}\u{5dc}\u{5dd}",
        "\u{1f5bc}\u{fe0f} sunset \u{1f305}",
        "{{ title }} {% raw %}",
        &long,
    ];
    let quote = |name: &str| format!("\"{}\"", name.replace('"', "\"\""));
    let mut frames = String::from("frame,art-width,art-height\n");
    for name in names {
        frames += &format!("{},8,10\n", quote(name));
    }
    let toml = |name: &str| format!("'''{name}'''");
    let job = format!(
        "title = {}\nframes = \"frames.csv\"\n[saw]\nkerf = \"1/8\"\n[[mouldings]]\nname = {}\nface-width = 1\n\
         [[boards]]\nboard = {}\nlength = 96\nprice = 5\n",
        toml("</title></style><script>t()</script> \\ \""),
        toml("<i>flat</i> & \"round\""),
        toml("<svg onload=x()> 8 ft"),
    );
    let page = page(&Texts::from([("job.toml", job), ("frames.csv", frames)]));
    let elements = read(&page);
    check(&page, &elements);
    let title = elements.iter().find(|one| one.name == "title").unwrap();
    assert_eq!(title.text, "</title></style><script>t()</script> \\ \"");
    for name in names {
        let shown = elements
            .iter()
            .filter(|one| one.name == "bdi" && one.text == name);
        assert!(shown.count() >= 4, "{name}");
    }
    for tag in ["b", "i"] {
        let marked = elements
            .iter()
            .filter(|one| one.name == tag && (one.text == "bold" || one.text == "flat"));
        assert_eq!(marked.count(), 0, "a name has become markup");
    }
}

/// The ratio of contrast of two colors such as `#17150f`, by the definition of WCAG 2.2.
#[expect(clippy::float_arithmetic, reason = "the definition is in fractions")]
fn contrast(one: &str, other: &str) -> f64 {
    let luminance = |color: &str| {
        let digits = color.trim_start_matches('#');
        let digits = match digits.len() {
            3 => digits.chars().flat_map(|digit| [digit, digit]).collect(),
            _ => digits.to_owned(),
        };
        let part = |at: usize| {
            let value = u8::from_str_radix(&digits[at..at + 2], 16).unwrap();
            let value = f64::from(value) / 255.0;
            if value <= 0.040_45 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(0) + 0.7152 * part(2) + 0.0722 * part(4)
    };
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// WCAG 2.2, 1.4.3 (text 4.5) and 1.4.11 (lines and boxes 3), of the variables of the style in light and dark.
#[test]
fn what_is_read_stands_out_from_its_ground() {
    // Published values: black on white 21, #767676 on white 4.54 (WCAG's definition).
    assert!(
        (contrast("#000", "#fff") - 21.0).abs() < 0.01
            && (contrast("#767676", "#fff") - 4.54).abs() < 0.01
    );
    let style = include_str!("../../src/paper/papers.css");
    let rules: Vec<&str> = style
        .split(":root {")
        .skip(1)
        .map(|rule| rule.split('}').next().unwrap())
        .collect();
    assert_eq!(rules.len(), 3, "light, dark and paper");
    for rule in rules {
        let colors: BTreeMap<&str, &str> = rule
            .split(';')
            .filter_map(|line| line.trim().split_once(':'))
            .map(|(name, color)| (name.trim(), color.trim()))
            .collect();
        let paper = colors["--paper"];
        for (name, least) in [
            ("--ink", 7.0),
            ("--soft", 4.5),
            ("--watch", 4.5),
            ("--link", 4.5),
            ("--line", 3.0),
        ] {
            let ratio = contrast(colors[name], paper);
            assert!(ratio >= least, "{name} has {ratio:.2} on {paper}");
        }
    }
}
