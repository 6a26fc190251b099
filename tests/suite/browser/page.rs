//! The page to work at in a browser: seen on every screen, used by keyboard, two windows on one job.

use std::fs;
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

use super::driver::Browser;
use super::{accessible, data, fits};
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
