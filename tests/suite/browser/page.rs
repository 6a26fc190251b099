//! The page to work at in a browser: seen on every screen, used by keyboard, two windows on one job.

use std::fs;
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

use super::driver::{Browser, SHEETS};
use super::{accessible, data, fits};
use crate::command::{longpoint, text};
use crate::page::day::{self, Happens};
use crate::page::{Served, start};

/// Whatever is waited for is there by then.
const PATIENCE: Duration = Duration::from_secs(60);

const TAB: &str = "\u{E004}";
const ENTER: &str = "\u{E007}";

/// Waits until a script gives `true`.
fn wait_until(browser: &Browser, script: &str) {
    let started = Instant::now();
    while browser.run(script) != Value::Bool(true) {
        let page = browser.run("return document.body.innerText.slice(0, 2000)");
        assert!(started.elapsed() < PATIENCE, "{script}: {page}");
        thread::sleep(Duration::from_millis(100));
    }
}

/// A demo, copied to where it may be worked at.
fn copy(name: &str, to: &Path) {
    fs::create_dir(to).unwrap();
    for entry in fs::read_dir(data(name)).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
    }
}

/// A page that was opened in a browser.
struct Opened<'b> {
    browser: &'b Browser,
    host: String,
    served: Served,
}

impl Opened<'_> {
    fn at<'b>(browser: &'b Browser, folder: &Path, place: &str) -> Opened<'b> {
        let (child, address) = start(folder, place);
        let served = Served::of(child);
        browser.visit(&format!("http://{address}"));
        Opened {
            browser,
            host: address.split('/').next().unwrap().to_owned(),
            served,
        }
    }

    fn visit(&self, view: &str) {
        self.browser.visit(&format!("http://{}{view}", self.host));
    }

    fn wait(&self, script: &str) {
        wait_until(self.browser, script);
    }

    fn wait_for_words(&self, words: &str) {
        self.wait(&format!(
            "return document.body.innerText.includes({words:?})"
        ));
    }

    /// Clicks what a script finds, once it is there.
    fn click(&self, found: &str) {
        self.wait(&format!(
            "const it = {found}; if (it) it.click(); return Boolean(it)"
        ));
    }

    /// Types into a field, which is known by a selector.
    fn typed(&self, field: &str, text: &str) {
        self.wait(&format!(
            "return document.querySelector({field:?}) !== null"
        ));
        self.browser.run(&format!(
            "const field = document.querySelector({field:?}); field.focus(); if (field.select) field.select()"
        ));
        self.browser.press(text);
    }

    fn looks_right(&self, view: &str) {
        fits(self.browser, view);
        accessible(self.browser, view);
    }

    /// Waits until the tile of a cut is as it is when that was tapped.
    fn is_tapped(&self, label: &str, state: &str) {
        self.wait(&format!(
            "const tile = document.getElementById('cut-{label}'); return tile !== null && tile.classList.contains('{state}')"
        ));
    }

    /// Goes by board, where each cut has its tile; boards are gone through with the button below.
    fn to_tile(&self, label: &str) {
        self.visit("/bench?by=board");
        self.wait(&format!(
            "if (document.getElementById('cut-{label}')) return true; const on = document.querySelector('.step.on'); if (on) on.click(); return false"
        ));
    }

    /// Taps what happens at the bench; whether the rest is planned anew by itself then.
    fn tap(&self, happens: &Happens) -> bool {
        match happens {
            Happens::Cut(label) => {
                self.to_tile(label);
                self.click(&format!(
                    "document.querySelector('#cut-{label} .taps button')"
                ));
                self.is_tapped(label, "made");
            }
            Happens::Kerf(kerf) => {
                self.visit("/desk?part=settings");
                self.typed("[id$='-field'] input[data-do*='\"kerf\"']", kerf);
                self.wait_for_words("Undo: kerf");
            }
            Happens::Spoiled(label, good) => {
                self.to_tile(label);
                self.click(&format!("document.querySelector('#cut-{label} summary')"));
                self.typed(&format!("#cut-{label} input"), good);
                self.click(&format!(
                    "document.querySelector('#cut-{label} form button')"
                ));
                return true;
            }
            Happens::Knot(board, from, to) => {
                self.visit("/bench");
                self.click("document.querySelector('#measure summary')");
                self.looks_right("a knot that is found");
                self.browser.run(&format!(
                    "document.getElementById('measure-board').value = '{board}'"
                ));
                self.typed("#measure-from", from);
                self.typed("#measure-to", to);
                self.click("document.querySelector('#measure form button')");
                return true;
            }
            Happens::Dropped(name) => {
                self.visit("/desk?part=pictures");
                self.click(&format!(
                    "[...document.querySelectorAll('tr.row')].find((row) => row.innerHTML.includes('<bdi>{name}</bdi>')).querySelector('a')"
                ));
                self.wait(&format!(
                    "return document.querySelector('.deeds bdi').innerText === '{name}'"
                ));
                self.click("document.querySelector('.deeds button[id$=-out]')");
                self.wait_for_words(&format!("Undo: {name} taken out"));
            }
        }
        false
    }
}

/// Nothing but the keyboard: a job begun, five pictures typed, planned and printed; the server killed, and all still there.
#[test]
fn from_nothing_to_a_printed_plan_by_the_keyboard_alone() {
    let folder = tempfile::tempdir().unwrap();
    let Some(browser) = Browser::start(folder.path()) else {
        return;
    };
    let jobs = folder.path().join("jobs");
    fs::create_dir(&jobs).unwrap();
    let page = Opened::at(&browser, folder.path(), "jobs");
    page.wait_for_words("What is to be framed?");
    page.looks_right("begin");
    // To the first question, and on from field to field.
    let is_at = |script: &str| {
        browser.run(&format!(
            "const at = document.activeElement; return {script}"
        ))
    };
    let tab_to = |script: &str| {
        for _ in 0..80 {
            if is_at(script) == Value::Bool(true) {
                return;
            }
            browser.press(TAB);
        }
        assert_eq!(is_at(script), Value::Bool(true), "{script}");
    };
    let named = |name: &str, text: &str| {
        tab_to(&format!("at.name === 'answers.{name}'"));
        browser.press(text);
    };
    named("title", "Weber & Sons");
    for (at, [name, many, wide, high, mat]) in [
        ["Pier", "1", "8", "10", "2"],
        ["Wren", "2", "16", "20", ""],
        ["Sand ripples", "1", "11", "14", "2 1/2"],
        ["Lock", "1", "9 1/2", "12", ""],
        ["Net mender", "1", "5", "7", "1 1/2"],
    ]
    .into_iter()
    .enumerate()
    {
        for (field, text) in [
            ("name", name),
            ("quantity", many),
            ("wide", wide),
            ("high", high),
            ("mat", mat),
        ] {
            named(&format!("pictures.{at}.{field}"), text);
        }
        named(&format!("pictures.{at}.glazed"), " ");
    }
    for (field, text) in [
        ("moulding.name", "walnut cap"),
        ("moulding.face-width", "1 1/2"),
        ("moulding.lip", "1/4"),
        ("moulding.material", "walnut"),
        ("moulding.thickness", "3/4"),
        ("kerf", "1/8"),
        ("boards.0.length", "8'"),
        ("boards.0.price", "21.50"),
        ("boards.1.length", "6'"),
        ("boards.1.price", "15.80"),
    ] {
        named(field, text);
    }
    browser.press(ENTER);
    page.wait_for_words("Proved: nothing costs less");
    page.wait_for_words("5 lines, 6 frames");
    assert_eq!(browser.run("return location.pathname"), "/desk");
    // The command finds the same, at the same cost.
    let ran = longpoint(&jobs, &["plan", "job.toml"]);
    assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
    let cost = browser.run("return document.querySelector('.sum b').innerText");
    assert!(text(&ran.stdout).contains(cost.as_str().unwrap()), "{cost}");
    // To the papers, and to the printed page.
    browser.run("document.body.focus(); document.querySelector('.past').focus()");
    tab_to("at.getAttribute('href') === '/papers'");
    browser.press(ENTER);
    page.wait("return document.querySelector('a[href=\"/file/papers.html\"]') !== null");
    tab_to("at.getAttribute('href') === '/file/papers.html'");
    browser.run("document.activeElement.target = ''");
    browser.press(ENTER);
    page.wait("return document.title.includes('Weber') && document.querySelector('main > section') !== null");
    let shown = browser.run("return document.body.innerText");
    for name in ["Pier", "Wren", "Sand ripples", "Lock", "Net mender"] {
        assert!(shown.as_str().unwrap().contains(name), "{name}");
    }
    let printed = browser.print(SHEETS[0]);
    assert!(printed.starts_with(b"%PDF") && printed.len() > 20_000);

    // Killed while the page is open: it says so, and a new one has all.
    page.visit("/desk");
    page.wait_for_words("Pier from the front");
    drop(page.served);
    wait_until(
        &browser,
        "return document.getElementById('trouble').innerText.includes('does not answer')",
    );
    let page = Opened::at(&browser, folder.path(), "jobs");
    page.wait_for_words("5 lines, 6 frames");
    page.visit("/jobs");
    page.click("document.querySelector('#begin-more summary')");
    page.looks_right("jobs");
    page.visit("/guide?on=boards");
    page.looks_right("guide");
}

/// The order of the pictures in the file.
fn order(job: &Path) -> Vec<String> {
    let frames = fs::read_to_string(job.join("frames.csv")).unwrap();
    let names = frames
        .lines()
        .skip(1)
        .map(|line| line.split(',').next().unwrap().to_owned());
    names.collect()
}

#[test]
fn rows_are_put_in_order_by_mouse_by_touch_and_by_keys_and_lists_are_pasted() {
    let folder = tempfile::tempdir().unwrap();
    let Some(browser) = Browser::start(folder.path()) else {
        return;
    };
    let job = folder.path().join("badday");
    copy("badday", &job);
    let page = Opened::at(&browser, folder.path(), "badday");
    page.wait_for_words("Proved: nothing costs less");
    browser.resize(1400, 900);
    let before = order(&job);
    assert_eq!(before, ["Harbor", "Pier", "Cove", "Buoy"]);
    // Where the grip of a row is, and how far the row reaches.
    let place = |row: usize| {
        let found = browser.run(&format!(
            "document.querySelector('.typed table').scrollIntoView({{block: 'center'}}); const row = document.querySelectorAll('.typed tr.row')[{row}]; const grip = row.querySelector('.grip').getBoundingClientRect();              const box = row.getBoundingClientRect(); return [grip.x + grip.width / 2, grip.y + grip.height / 2, box.y, box.bottom].map(Math.round)"
        ));
        let at = |idx: usize| found[idx].as_i64().unwrap();
        (at(0), at(1), at(2), at(3))
    };
    let ordered = |wanted: &[&str]| {
        let started = Instant::now();
        while order(&job) != wanted {
            assert!(
                started.elapsed() < PATIENCE,
                "{:?}, not {wanted:?}",
                order(&job)
            );
            thread::sleep(Duration::from_millis(50));
        }
        page.wait(&format!(
            "return document.querySelector('.typed tr.now td input').value === {:?} || document.querySelectorAll('.typed tr.row td:nth-child(2) input')[0].value === {:?}",
            wanted[0], wanted[0]
        ));
    };
    // The first behind the third, by the mouse.
    let ((x, y, ..), (.., bottom)) = (place(0), place(2));
    browser.drag_by_mouse(&[(x, y), (x, y + 20), (x, bottom - 2)]);
    ordered(&["Pier", "Cove", "Harbor", "Buoy"]);
    // The last to the top, by a finger, on a tablet.
    browser.resize(820, 1180);
    page.wait_for_words("Proved: nothing costs less");
    let ((x, y, ..), (_, _, top, _)) = (place(3), place(0));
    browser.drag_by_finger(&[(x, y), (x, y - 20), (x, top - 6)]);
    ordered(&["Buoy", "Pier", "Cove", "Harbor"]);
    // Put down where it was taken up, nothing is another.
    page.wait_for_words("Proved: nothing costs less");
    let (x, y, ..) = place(1);
    browser.drag_by_mouse(&[(x, y), (x, y + 60), (x, y + 2)]);
    // By keys: the second line down, and on with the cell that one was in.
    browser.run("const field = document.querySelectorAll('.typed tr.row')[1].querySelector('td input'); field.focus()");
    browser.press_with("\u{E00A}", "\u{E015}");
    ordered(&["Buoy", "Cove", "Pier", "Harbor"]);
    page.wait("return document.activeElement.value === 'Pier'");
    // Each is a step, and all of them are taken back.
    for _ in 0..3 {
        page.click("document.getElementById('undo')");
        thread::sleep(Duration::from_millis(400));
    }
    ordered(&["Harbor", "Pier", "Cove", "Buoy"]);

    // Thirty rows as a spreadsheet copies them, put into the empty cell below the last.
    page.wait("return document.querySelector('tr.new td input') !== null");
    browser.run(
        "const field = document.querySelector('tr.new td input'); field.focus();
         const lines = [...Array(30)].map((_, at) => ['Picture ' + at, 5 + at % 7 + ' 3/8', 10 + at % 5, 1].join('\\t'));
         const data = new DataTransfer(); data.setData('text/plain', lines.join('\\r\\n') + '\\r\\n');
         field.dispatchEvent(new ClipboardEvent('paste', {clipboardData: data, bubbles: true, cancelable: true}))",
    );
    page.wait_for_words("34 lines, 35 frames");
    assert_eq!(order(&job).len(), 34);
    assert_eq!(order(&job)[33], "Picture 29");
    // More than there are boards for.
    page.wait_for_words("There is no wood for");
    browser.reload();
    page.wait_for_words("34 lines, 35 frames");
    page.click("document.getElementById('undo')");
    page.wait_for_words("4 lines, 5 frames");
    // Seen: only a row that can go up or down has a grip, and no grip is in the way of axe.
    page.looks_right("desk with grips");
}

#[test]
fn the_bad_day_is_tapped_and_taken_back() {
    let folder = tempfile::tempdir().unwrap();
    let Some(browser) = Browser::start(folder.path()) else {
        return;
    };
    let sheets = day::by_command();
    let job = folder.path().join("day");
    day::copy(&job);
    let page = Opened::at(&browser, folder.path(), "day");
    browser.resize(820, 1180);
    page.wait_for_words("Proved: nothing costs less");
    page.visit("/bench");
    page.click("document.querySelector('main button')");
    page.wait("return document.querySelectorAll('.tile').length > 1");
    let bench = || fs::read_to_string(job.join("badday-plan/rest.json")).ok();
    // A tap, and taken back in the same place.
    page.to_tile("A-3");
    page.click("document.querySelector('#cut-A-3 .taps button')");
    page.is_tapped("A-3", "made");
    page.click("document.querySelector('#cut-A-3 .taps button')");
    page.is_tapped("A-3", "open");
    for (number, sheet) in sheets.iter().enumerate() {
        let before = bench();
        let mut is_by_itself = false;
        for happens in &sheet.happens {
            is_by_itself |= page.tap(happens);
        }
        if !is_by_itself {
            page.visit("/bench");
            page.click("document.querySelector('.warn button')");
        }
        page.wait_for_words(&format!("Plan {}: ", number + 2));
        assert!(
            bench().as_ref() == Some(&sheet.bench),
            "sheet {}",
            number + 2
        );
        if number == 1 {
            // Taken back as one: the rail is whole, and spoiled once more the rest is the same again.
            page.click("document.getElementById('undo')");
            page.wait("return !document.body.innerText.includes('Plan 3: ')");
            assert_eq!(bench(), before);
            page.to_tile("B-1");
            page.is_tapped("B-1", "open");
            page.click("document.querySelector('#cut-B-1 summary')");
            page.typed("#cut-B-1 input", "15");
            page.click("document.querySelector('#cut-B-1 form button')");
            page.wait_for_words("Plan 3: ");
            assert!(bench().as_ref() == Some(&sheet.bench), "sheet 3 again");
        }
    }
}

#[test]
fn the_page_works_in_a_browser() {
    let folder = tempfile::tempdir().unwrap();
    let Some(browser) = Browser::start(folder.path()) else {
        return;
    };
    let job = folder.path().join("show");
    copy("show", &job);
    let (child, address) = start(folder.path(), "show");
    // It ends with the test, whatever happens.
    let mut served = Served::of(child);
    browser.visit(&format!("http://{address}"));
    // The word is gone from the address, and the browser keeps its key where no script finds it.
    let seen = browser.run("return [location.href, document.cookie]");
    let (_, word) = address.split_once("/?key=").unwrap();
    assert!(
        word.len() > 10 && !seen[0].as_str().unwrap().contains(word),
        "{seen}"
    );
    assert_eq!(seen[1], "");
    let here = |view: &str| format!("http://{}{view}", address.split('/').next().unwrap());
    let says = |words: &str| format!("return document.body.innerText.includes({words:?})");
    wait_until(&browser, &says("Proved: nothing costs less"));
    let see = |view: &str| {
        fits(&browser, view);
        accessible(&browser, view);
    };
    see("desk");
    browser.resize(1400, 900);
    // A width is typed; the fault stands beside it while it is none, and the new size is there when it is.
    browser.run("const field = document.querySelector('[aria-label=\"Net mender: art width\"]'); field.focus(); field.select()");
    browser.press("12 1/");
    wait_until(
        &browser,
        "return document.activeElement.getAttribute('aria-invalid') === 'true'",
    );
    see("desk with a fault");
    browser.press("2");
    // 12 1/2 of art with 5 of mat less 1/2 of lap, 1/8 of play and two times 1 1/4 less 1/4 of moulding: 19 1/8.
    wait_until(
        &browser,
        "return document.querySelector('.typed tr.now .outside').innerText.startsWith('19 1/8') && document.querySelector('.wrong') === null",
    );
    assert_eq!(browser.run("return document.activeElement.value"), "12 1/2");
    // What was typed with a pause between may be two steps.
    wait_until(
        &browser,
        "const undo = document.getElementById('undo'); \
         if (undo && !(Date.now() - window.pressed < 2000)) { \
             document.activeElement.blur(); undo.click(); window.pressed = Date.now(); \
         } \
         return undo === null && document.querySelector('[aria-label=\"Net mender: art width\"]').value === '11'",
    );
    for part in [
        "mouldings",
        "boards",
        "rack",
        "sheets",
        "pieces",
        "settings",
        "files",
    ] {
        browser.visit(&here(&format!("/desk?part={part}")));
        see(part);
    }
    wait_until(&browser, &says("Proved: nothing costs less"));
    browser.visit(&here("/papers"));
    wait_until(&browser, &says("papers.html"));
    see("papers");
    browser.visit(&here("/yard"));
    wait_until(
        &browser,
        "return document.querySelectorAll('.ways tr').length > 3",
    );
    see("yard");
    // A way is chosen by the keyboard, and its plan comes by itself.
    browser.run("document.getElementById('way-4').focus()");
    browser.press(" ");
    wait_until(&browser, &says("361.30 USD\n"));
    browser.run("document.getElementById('way-1').focus()");
    browser.press(" ");
    wait_until(
        &browser,
        "return document.querySelector('.sum').innerText.includes('347.30')",
    );

    at_the_bench(&browser, &here, &job);
    // Stopped by its button, it says so.
    browser.run("document.getElementById('close').click()");
    wait_until(&browser, &says("longpoint is stopped"));
    assert_eq!(served.ended(), Some(0));
}

/// Cuts made and spoiled by keyboard, and marked outside while somebody types.
fn at_the_bench(browser: &Browser, here: &dyn Fn(&str) -> String, job: &Path) {
    let says = |words: &str| format!("return document.body.innerText.includes({words:?})");
    let see = |view: &str| {
        fits(browser, view);
        accessible(browser, view);
    };
    browser.visit(&here("/bench"));
    wait_until(
        browser,
        "return document.querySelector('main button') !== null",
    );
    see("before the bench");
    browser.run("document.querySelector('main button').focus()");
    browser.press(ENTER);
    wait_until(
        browser,
        "return document.querySelectorAll('.tile').length > 1",
    );
    see("bench");
    // Cut by keyboard; the place is kept, and so is the address.
    browser.run("document.querySelector('.tile button').focus()");
    browser.press(ENTER);
    wait_until(
        browser,
        "return document.querySelectorAll('.tile.made').length === 1",
    );
    let at = browser.run("return location.search");
    assert_eq!(at, "?by=stop&at=1.1");
    // Spoiled: opened, typed and sent by keyboard.
    browser.run("document.querySelector('.tile.open summary').focus()");
    browser.press(ENTER);
    browser.press(TAB);
    browser.press("8 1/2");
    see("a cut that is spoiled");
    browser.press(ENTER);
    wait_until(
        browser,
        "return document.getElementById('changed') !== null",
    );
    see("what changed");
    browser.visit(&here("/bench?by=board"));
    wait_until(browser, "return document.querySelector('svg.dw') !== null");
    see("by board");
    // Reloaded, nothing is lost; the figure of the stop is read at arm's length (in pixels of 96 to the inch).
    browser.visit(&here("/bench"));
    wait_until(browser, &says("2 of 103 cut"));
    let size = browser
        .run("return parseFloat(getComputedStyle(document.querySelector('.figure')).fontSize)");
    assert!(size.as_f64().unwrap() >= 64.0, "{size}");
    // What is typed and not sent yet is not lost to what another window does.
    browser.run("document.querySelector('.tile.open details').open = true; document.querySelector('.tile.open input').focus()");
    browser.press("12");
    let news = "return Number(document.body.dataset.news)";
    let before = browser.run(news).as_u64().unwrap();
    let list = job.join("show-plan/rest-cut-list.csv");
    let text = fs::read_to_string(&list).unwrap();
    fs::write(&list, text.replacen(",no,,,,,", ",no,,,cut,,", 1)).unwrap();
    wait_until(
        browser,
        &format!("return Number(document.body.dataset.news) > {before}"),
    );
    wait_until(browser, &says("3 of 103 cut"));
    let typed = browser.run("return document.activeElement.value");
    assert_eq!(typed, "12");
    // An element that runs a script is text, also for the browser.
    let fetched = browser.run(
        "return performance.getEntriesByType('resource').map((one) => new URL(one.name).host).filter((host) => host !== location.host)",
    );
    assert_eq!(fetched, Value::Array(vec![]));
}
