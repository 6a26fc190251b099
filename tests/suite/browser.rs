//! The papers in a real browser: what it shows on a phone, a tablet and a desktop, light and dark, what it prints, and that ticks
//! stay. Left out, and said so, where there is no browser that can be driven; `.ci/browser` sees to one.

#![expect(
    clippy::unwrap_used,
    clippy::print_stderr,
    clippy::float_arithmetic,
    reason = "a test stops at the first surprise, says what it has not looked at, and measures in fractions of a pixel"
)]

mod driver;
mod page;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use crate::command::longpoint;
use crate::drawn_frames::drawn_frames;
use crate::texts::Texts;
use driver::{Browser, SHEETS, Sheet, printed_by_command};

/// Screens in the page's pixels: a phone, a tablet, a desktop.
const SCREENS: [(u32, u32); 3] = [(360, 740), (820, 1180), (1400, 900)];
/// The narrowest screen on which nothing but drawings and tables may scroll sideways (WCAG 2.2, 1.4.10).
const NARROWEST: u32 = 320;
/// Margins of the page beside its text, in millimeters, as the style has them.
const MARGINS_MM: f64 = 24.0;
/// Above and below it.
const HEADS_MM: f64 = 27.0;
/// Pixels of a style sheet to a millimeter (CSS Values 4: 96 to the inch).
const PX_PER_MM: f64 = 96.0 / 25.4;

/// The papers of a job, written into a folder.
fn papers(job: &Path, folder: &Path) -> PathBuf {
    let out = folder.join("out");
    let ran = longpoint(
        folder,
        &[
            "plan",
            job.to_str().unwrap(),
            "--out",
            out.to_str().unwrap(),
        ],
    );
    assert!(
        matches!(ran.status.code(), Some(0 | 1)),
        "{}",
        crate::command::text(&ran.stderr)
    );
    out
}

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data")
        .join(name)
}

/// The labels of all cuts of a plan that was written, such as `G-3`.
fn labels_of(out: &Path) -> BTreeSet<String> {
    let list = fs::read_to_string(out.join("cut-list.csv")).unwrap();
    let mut rows = csv::Reader::from_reader(list.as_bytes());
    let heads = rows.headers().unwrap().clone();
    let column = |name: &str| heads.iter().position(|head| head == name).unwrap();
    let (mark, cut) = (column("mark"), column("cut"));
    rows.records()
        .map(|row| {
            let row = row.unwrap();
            format!("{}-{}", &row[mark], &row[cut])
        })
        .collect()
}

#[test]
fn the_papers_work_in_a_browser() {
    let folder = tempfile::tempdir().unwrap();
    let Some(browser) = Browser::start(folder.path()) else {
        return;
    };
    for job in ["show/show.toml", "turned/turned.toml", "rough/rough.toml"] {
        let name = job.split('/').next().unwrap();
        let place = folder.path().join(name);
        fs::create_dir(&place).unwrap();
        let out = papers(&data(job), &place);
        let page = out.join("papers.html");
        browser.open(&page);
        looks_right(&browser, name);
        every_cut_once(&browser, &labels_of(&out), name);
        ticks_stay(&browser, name);
        prints(&browser, &place, name);
        if name == "show" {
            is_short(&browser, &place, 8, name);
            is_what_a_reader_prints(&browser, &place);
        }
    }
    let seventy = of_texts(
        &browser,
        folder.path(),
        "seventy",
        &drawn_frames(70, 20_261),
    );
    is_short(&browser, &seventy, 15, "70 frames");
    // Chapter by chapter, as the driver does not wait long for what is printed.
    for (sheet, chapter) in SHEETS
        .into_iter()
        .flat_map(|sheet| ["stops", "boards"].map(|of| (sheet, of)))
    {
        browser.open_at(&seventy.join("out/papers.html"), chapter);
        nothing_is_parted(&browser, &seventy, sheet, "70 frames");
    }
    let slab = of_texts(&browser, folder.path(), "slab", &slab());
    goes_on_under_its_head(&browser, &slab);
}

/// Opens the papers of a job that is none of the demos; its folder.
fn of_texts(browser: &Browser, folder: &Path, name: &str, texts: &Texts) -> PathBuf {
    let place = folder.join(name);
    fs::create_dir(&place).unwrap();
    for (file, text) in &texts.0 {
        fs::write(place.join(file), text).unwrap();
    }
    let out = papers(&place.join("job.toml"), &place);
    browser.open(&out.join("papers.html"));
    place
}

/// Frames whose rails all come from one wide board, in more strips than a page has room for.
fn slab() -> Texts {
    let job = "frames = \"frames.csv\"\n[saw]\nkerf = \"1/8\"\n[rip]\nkerf = \"1/8\"\n\
               [[mouldings]]\nname = \"bead\"\nface-width = \"7/8\"\nlip = \"1/4\"\nmaterial = \"oak\"\n\
               [[boards]]\nboard = \"wide slab\"\nmaterial = \"oak\"\nlength = 100\nwidth = 20\nprice = 100\n";
    let rows = (7..16).map(|side| format!("picture {side},3,{side},{}\n", side + 2));
    let frames = "frame,quantity,art-width,art-height\n".to_owned() + &rows.collect::<String>();
    Texts::from([("job.toml", job.to_owned()), ("frames.csv", frames)])
}

/// The text of a PDF, page by page; `None`, said in so many words, where nothing reads it.
fn pages_of(file: &Path) -> Option<Vec<String>> {
    let Ok(read) = Command::new("pdftotext").arg(file).arg("-").output() else {
        eprintln!("NOT CHECKED what is printed: there is no pdftotext");
        return None;
    };
    let text = String::from_utf8_lossy(&read.stdout).into_owned();
    // A form feed ends each page.
    Some(text.split_terminator('\u{c}').map(str::to_owned).collect())
}

/// What is printed of one chapter of a job's papers, once its link was followed, page by page.
fn printed_chapter(
    browser: &Browser,
    place: &Path,
    sheet: Sheet,
    chapter: &str,
) -> Option<Vec<String>> {
    browser.open_at(&place.join("out/papers.html"), chapter);
    let file = place.join(format!("{chapter}-{}.pdf", sheet.name));
    fs::write(&file, browser.print(sheet)).unwrap();
    pages_of(&file)
}

/// What is taken to the bench is no longer than this: the first page, by stop and board by board. Each is printed alone.
fn is_short(browser: &Browser, place: &Path, most: usize, name: &str) {
    for sheet in SHEETS {
        let mut count = Vec::new();
        for (chapter, begins) in [
            ("first", ""),
            ("stops", "By stop"),
            ("boards", "Board by board"),
        ] {
            let Some(pages) = printed_chapter(browser, place, sheet, chapter) else {
                return;
            };
            assert!(pages[0].starts_with(begins), "{name}: {}", pages[0]);
            let last = format!("page {0} of {0}", pages.len());
            assert!(
                pages.last().unwrap().contains(&last),
                "{name} on {}: {chapter} has no {last}",
                sheet.name
            );
            count.push(pages.len());
        }
        assert!(
            count.iter().sum::<usize>() <= most,
            "{name} on {}: {count:?}",
            sheet.name
        );
    }
    // The last link leads back to all of it.
    let all = printed_chapter(browser, place, SHEETS[1], "all").unwrap();
    let has = |words: &str| all.iter().any(|page| page.starts_with(words));
    assert!(has("By stop") && has("Frame by frame"), "{name}");
}

/// The browser's own command, which prints as its dialog does, makes the same pages as the driver.
fn is_what_a_reader_prints(browser: &Browser, place: &Path) {
    let letter = SHEETS[1];
    let Some(pages) = printed_chapter(browser, place, letter, "boards") else {
        return;
    };
    let file = place.join("by-command.pdf");
    let printed = printed_by_command(place, &place.join("out/papers.html"), "boards");
    fs::write(&file, printed).unwrap();
    assert_eq!(pages_of(&file).unwrap(), pages);
}

/// A board that no page has room for is parted between its strips, and its name stands on every page of it.
fn goes_on_under_its_head(browser: &Browser, place: &Path) {
    for sheet in SHEETS {
        let Some(pages) = printed_chapter(browser, place, sheet, "boards") else {
            return;
        };
        assert!(pages.len() > 1, "a board of one page");
        for page in &pages {
            assert_eq!(
                page.matches("wide slab").count(),
                1,
                "on {}: {page}",
                sheet.name
            );
        }
        browser.open_at(&place.join("out/papers.html"), "all");
        nothing_is_parted(browser, place, sheet, "slab");
    }
}

/// On every screen: nothing is fetched, nothing but tables and drawings scrolls sideways, and the rules of accessibility hold.
/// Contrast is not among them: axe takes what lies near for what lies behind; `papers.rs` tests the colors themselves.
fn looks_right(browser: &Browser, name: &str) {
    let fetched =
        browser.run("return performance.getEntriesByType('resource').map((one) => one.name)");
    assert_eq!(fetched, Value::Array(vec![]), "{name} fetches something");
    fits(browser, name);
    accessible(browser, name);
}

/// On the narrowest screen nothing but tables and drawings scrolls sideways.
fn fits(browser: &Browser, name: &str) {
    browser.show_as("screen", "light");
    browser.resize(NARROWEST, 700);
    let wide = browser.run(
        "return [document.scrollingElement.scrollWidth, document.scrollingElement.clientWidth]",
    );
    assert!(
        wide[0].as_u64() <= wide[1].as_u64(),
        "{name} scrolls sideways: {wide}"
    );
}

/// The rules of axe-core hold on every screen, light and dark.
fn accessible(browser: &Browser, name: &str) {
    let Some(axe) = std::env::var_os("LONGPOINT_AXE") else {
        eprintln!("NOT CHECKED by axe-core: LONGPOINT_AXE names no file");
        return;
    };
    let axe = fs::read_to_string(axe).unwrap();
    browser.run(&axe);
    for scheme in ["light", "dark"] {
        browser.show_as("screen", scheme);
        for (width, height) in SCREENS {
            browser.resize(width, height);
            let found = browser.wait_for(
                "const done = arguments[arguments.length - 1];
                 axe.run(document, {resultTypes: ['violations'], rules: {'color-contrast': {enabled: false}}}).then(
                   (result) => done(result.violations.map((one) => one.id + ' ' + one.impact + ' ' + one.nodes[0].html)),
                   (error) => done(['axe: ' + error]));",
            );
            assert_eq!(
                found,
                Value::Array(vec![]),
                "{name}, {scheme}, {width} wide"
            );
        }
    }
}

/// Every cut of the plan has one box in each order, and no box is for anything else.
fn every_cut_once(browser: &Browser, labels: &BTreeSet<String>, name: &str) {
    for chapter in ["stops", "boards"] {
        let boxes = browser.run(&format!(
            "return [...document.querySelectorAll('#{chapter} input[data-tick^=\"cut \"]')].map((box) => box.dataset.tick.slice(4))"
        ));
        let boxes: Vec<String> = serde_json::from_value(boxes).unwrap();
        let once: BTreeSet<String> = boxes.iter().cloned().collect();
        assert_eq!(
            once.len(),
            boxes.len(),
            "{name}: a cut has two boxes in {chapter}"
        );
        assert_eq!(&once, labels, "{name}: {chapter}");
    }
}

/// What is ticked in one order is ticked in the other, and after the page is opened again; the keyboard does for it.
fn ticks_stay(browser: &Browser, name: &str) {
    let ticked = "return [...document.querySelectorAll('input[data-tick]')].filter((box) => box.checked).map((box) => box.dataset.tick)";
    browser.run("localStorage.clear()");
    browser.reload();
    // The first stop of the keyboard leads past the chapters.
    browser.press("\u{E004}");
    let first = browser.run("return document.activeElement.className");
    assert_eq!(first, "past", "{name}");
    browser.run("document.querySelector('#stops input').focus()");
    browser.press(" ");
    let now: Vec<String> = serde_json::from_value(browser.run(ticked)).unwrap();
    assert_eq!(now.len(), 2, "{name}: {now:?}");
    assert_eq!(now[0], now[1], "{name}");
    let told = browser.run("return document.getElementById('done').textContent");
    assert!(
        told.as_str().unwrap().starts_with("1 of "),
        "{name}: {told}"
    );
    browser.reload();
    let again: Vec<String> = serde_json::from_value(browser.run(ticked)).unwrap();
    assert_eq!(again, now, "{name}: after it was opened again");
}

/// Nothing is wider than the sheet or, if it must not be parted, higher; and no board is parted.
fn prints(browser: &Browser, place: &Path, name: &str) {
    for sheet in SHEETS {
        let width = ((sheet.width_mm - MARGINS_MM) * PX_PER_MM).ceil();
        let height = (sheet.height_mm - HEADS_MM) * PX_PER_MM;
        browser.show_as("print", "light");
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few hundred"
        )]
        browser.resize(width as u32, height as u32);
        let wide = browser.run(&format!(
            "return [...document.querySelectorAll('main > section:not(#labels) *')].filter((one) => one.getBoundingClientRect().right > {width} + 0.1 || one.scrollWidth > {width} + 0.1)\
             .map((one) => one.outerHTML.slice(0, 200))"
        ));
        assert_eq!(wide, Value::Array(vec![]), "{name} on {}", sheet.name);
        let high = browser.run(&format!(
            "return [...document.querySelectorAll('article.frame, .label')].filter((one) => one.getBoundingClientRect().height > {height})\
             .map((one) => one.outerHTML.slice(0, 200))"
        ));
        assert_eq!(high, Value::Array(vec![]), "{name} on {}", sheet.name);
        // Labels have the whole sheet, and their paper is the usual one of the job's unit: the demos are in inches.
        let labels = browser.run(
            "return Math.max(0, ...[...document.querySelectorAll('#labels *')].map((one) => one.getBoundingClientRect().right))",
        );
        let paper = SHEETS[1].width_mm * PX_PER_MM;
        assert!(
            labels.as_f64().unwrap() <= paper + 1.0,
            "{name}: labels reach {labels} px"
        );
        let size = browser.run(
            "return ['.stops tbody .stop', '.cuts .stop'].map((one) => parseFloat(getComputedStyle(document.querySelector(one)).fontSize))",
        );
        // Digits are 0.71 of the size high in the fonts that the page names, as measured: 5.5 and 4.5 mm.
        for (at_least, size) in [5.5, 4.5].into_iter().zip(size.as_array().unwrap()) {
            assert!(
                size.as_f64().unwrap() * 0.71 / PX_PER_MM >= at_least,
                "{name}: {size} px"
            );
        }
        nothing_is_parted(browser, place, sheet, name);
        browser.show_as("screen", "light");
    }
}

/// Puts words into the page, a pair for each of what must stand on one page (`from1x` and `upto1x`, and so on): before and
/// behind each block that must not be parted, on each head and at the beginning of what it is the head of, but for heads that
/// are printed again. And `over1x` on the head of each
/// table, which is printed again on every page, with `rows1x` on all of its rows. Returns how many pairs there are, how many
/// blocks, how many of these no page has room for, and how many tables.
const PUT_WORDS: &str = "
    const word = (text) => {
      const one = document.createElement('span');
      one.className = 'probe';
      one.textContent = ' ' + text + 'x ';
      one.style.cssText = 'font-size:2pt;line-height:0;white-space:nowrap';
      return one;
    };
    const shown = (one) => one.getClientRects().length > 0;
    const blocks = [...document.querySelectorAll('.board, .several > .piece, article.frame, .label, .stops tbody tr')].filter(shown);
    const share = (block) => block.getBoundingClientRect().height / innerHeight;
    // A board that letter has no room for may be parted on A4 too.
    const fits = blocks.filter((block) => share(block) < (block.matches('.long') ? 0.75 : 0.95));
    const tooHigh = blocks.filter((block) => share(block) >= 0.95);
    const pairs = fits.map((block) => block.matches('tr')
      ? [block.cells[2], block.cells[2]]
      : [block.querySelector('h3, h4, p, li'), [...block.querySelectorAll('p, li, dd')].at(-1)]);
    const said = [...document.querySelectorAll('main :is(p, li, tbody td, tbody th, dt, .part)')].filter(shown);
    for (const head of [...document.querySelectorAll('main :is(h2, h3, h4):not(.several > .head *)')].filter(shown)) {
      const behind = said.find((one) => head.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING);
      if (behind && behind.closest('main > section') === head.closest('main > section')) pairs.push([head, behind, true]);
    }
    pairs.forEach(([first, last, isHead], at) => {
      first.prepend(word('from' + at));
      if (isHead) last.prepend(word('upto' + at)); else last.append(word('upto' + at));
    });
    const tables = [...document.querySelectorAll('main table:has(thead)')].filter(shown);
    tables.forEach((table, at) => {
      [...table.tHead.querySelectorAll('th')].at(-1).append(word('over' + at));
      for (const row of table.tBodies[0].rows) [...row.cells].at(-1).append(word('rows' + at));
    });
    return [pairs.length, blocks.length, tooHigh.length, tables.length];";

/// Nothing that belongs together is parted by a page: no block, no head from what it is the head of.
fn nothing_is_parted(browser: &Browser, place: &Path, sheet: Sheet, name: &str) {
    browser.show_as("print", "light");
    let [pairs, blocks, too_high, tables]: [usize; 4] =
        serde_json::from_value(browser.run(PUT_WORDS)).unwrap();
    // One that is higher than a page is broken, whatever it asks for; of these there are few.
    assert!(
        too_high * 10 <= blocks,
        "{name}: {too_high} of {blocks} are higher than a page"
    );
    let file = place.join(format!("{}.pdf", sheet.name));
    fs::write(&file, browser.print(sheet)).unwrap();
    browser.run("document.querySelectorAll('.probe').forEach((one) => one.remove())");
    let Some(pages) = pages_of(&file) else {
        return;
    };
    let [from, upto, over, rows] = ["from", "upto", "over", "rows"].map(|lead| found(&pages, lead));
    let named = |what: &str| format!("{name} on {}: {what}", sheet.name);
    assert_eq!(
        (from.len(), upto.len()),
        (pairs, pairs),
        "{}",
        named("words")
    );
    for (number, from) in &from {
        assert_eq!(from.len(), 1, "{}", named("a word stands twice"));
        assert_eq!(from, &upto[number], "{}", named(&number.to_string()));
    }
    assert_eq!(
        (over.len(), rows.len()),
        (tables, tables),
        "{}",
        named("tables")
    );
    assert_eq!(over, rows, "{}", named("a table's head and its rows"));
}

/// On which pages there are words such as `from7x`, by their number.
fn found(pages: &[String], lead: &str) -> BTreeMap<usize, BTreeSet<usize>> {
    let mut found: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for (page, text) in pages.iter().enumerate() {
        // What stands before and behind it may be read as one word with it.
        for behind in text.split(lead).skip(1) {
            let number = behind.split_once('x').map(|(number, _)| number.parse());
            if let Some(Ok(number)) = number {
                found.entry(number).or_default().insert(page);
            }
        }
    }
    found
}
