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
use driver::{Browser, SHEETS, Sheet};

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
        let printed = browser.print(sheet);
        assert!(printed.starts_with(b"%PDF"), "{name} on {}", sheet.name);
        no_board_is_parted(browser, place, sheet, name);
        browser.show_as("screen", "light");
    }
}

/// Prints with a word before and behind each block and looks for both on one page.
fn no_board_is_parted(browser: &Browser, place: &Path, sheet: Sheet, name: &str) {
    let count = browser.run(
        "const blocks = document.querySelectorAll('.board, .several > .piece, article.frame, .label, .stops tbody tr');
         const fits = [...blocks].filter((block) => block.getBoundingClientRect().height < 0.95 * innerHeight);
         fits.forEach((block, at) => {
           const first = block.matches('tr') ? block.cells[2] : block.querySelector('h3, h4, p, li');
           const last = block.matches('tr') ? block.cells[2] : [...block.querySelectorAll('p, li, dd')].at(-1);
           const word = (text) => { const one = document.createElement('span'); one.className = 'probe'; one.textContent = text;
             one.style.cssText = 'font-size:1pt;line-height:0'; return one; };
           first.prepend(word(' from' + at + 'x ')); last.append(word(' upto' + at + 'x ')); });
         return [fits.length, blocks.length]",
    );
    // One that is higher than a page is broken, whatever it asks for; of these there are few.
    assert!(
        count[0].as_u64().unwrap() * 10 >= count[1].as_u64().unwrap() * 9,
        "{name}: {count}"
    );
    let printed = browser.print(sheet);
    browser.run("document.querySelectorAll('.probe').forEach((one) => one.remove())");
    let file = place.join(format!("{}.pdf", sheet.name));
    fs::write(&file, printed).unwrap();
    let Ok(read) = Command::new("pdftotext").arg(&file).arg("-").output() else {
        eprintln!("NOT CHECKED whether a board is parted: there is no pdftotext");
        return;
    };
    let text = String::from_utf8_lossy(&read.stdout).into_owned();
    let mut pages: BTreeMap<u64, [Option<usize>; 2]> = BTreeMap::new();
    for (page, text) in text.split('\u{c}').enumerate() {
        for (side, lead) in ["from", "upto"].into_iter().enumerate() {
            // What stands before and behind it may be read as one word with it.
            for behind in text.split(lead).skip(1) {
                let number = behind.split_once('x').map(|(number, _)| number.parse());
                if let Some(Ok(number)) = number {
                    pages.entry(number).or_default()[side] = Some(page);
                }
            }
        }
    }
    assert_eq!(
        u64::try_from(pages.len()).unwrap(),
        count[0].as_u64().unwrap(),
        "{name} on {}",
        sheet.name
    );
    for (number, [from, upto]) in pages {
        assert!(
            from.is_some() && from == upto,
            "{name} on {}: block {number} from page {from:?} to {upto:?}",
            sheet.name
        );
    }
}
