//! The page to work at, over its connection: who comes in, what is written, what others see; and that a command finds the same.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::command::{longpoint, text};

mod begun;
pub(crate) mod day;
mod demos;
mod rack;
mod storm;

/// Whatever is waited for is there by then, on a machine that does other work too.
const PATIENCE: Duration = Duration::from_secs(60);

const JOB: &str = "\
# A job of two frames.
title = \"Quarry\"
frames = \"frames.csv\"
boards = \"boards.csv\"

[saw]
kerf = \"1/8\"

[shop]
shortest-offcut = 8

[[mouldings]]
name = \"ash flat\"
face-width = \"2\"
";
const FRAMES: &str = "frame,quantity,art-width,art-height\nSand,2,13,19 1/2\nLock,1,9,15\n";
const BOARDS: &str = "board,length,price\nash 6 ft,6',13.10\nash 8 ft,8',17.60\n";

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    folder
}

fn write(folder: &Path) {
    for (name, text) in [
        ("job.toml", JOB),
        ("frames.csv", FRAMES),
        ("boards.csv", BOARDS),
    ] {
        fs::write(folder.join(name), text).unwrap();
    }
}

/// A page that is served, with the key of one browser; it ends with the test.
pub(crate) struct Served {
    child: Child,
    host: String,
    /// The word of the invitation.
    word: String,
    cookie: String,
}

/// Serves a page, and gives the address by which one browser comes in, without `http://`.
pub(crate) fn start(folder: &Path, place: &str) -> (Child, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .current_dir(folder)
        .args(["page", place, "--no-open"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    let mut said = BufReader::new(child.stdout.take().unwrap());
    said.read_line(&mut line).unwrap();
    // What is said later must find room.
    thread::spawn(move || said.read_to_string(&mut String::new()));
    let address = line.trim().strip_prefix("the page is at http://");
    (child, address.unwrap().to_owned())
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub(crate) struct Answer {
    status: u16,
    head: String,
    pub(crate) body: String,
}

impl Served {
    pub(crate) fn start(folder: &Path, place: &str) -> Served {
        let (child, address) = start(folder, place);
        Served::admitted(child, &address)
    }

    /// One that a browser was let into.
    pub(crate) fn of(child: Child) -> Served {
        Served {
            child,
            host: String::new(),
            word: String::new(),
            cookie: String::new(),
        }
    }

    /// The exit code, once it ends by itself.
    pub(crate) fn ended(&mut self) -> Option<i32> {
        self.child.wait().unwrap().code()
    }

    /// A browser that comes in by an invitation.
    fn admitted(child: Child, address: &str) -> Served {
        let (host, word) = address.split_once("/?key=").unwrap();
        let mut served = Served {
            child,
            host: host.to_owned(),
            word: word.to_owned(),
            cookie: String::new(),
        };
        let admitted = served.ask(
            &format!("GET /?key={word} HTTP/1.1\r\nHost: {host}\r\n\r\n"),
            b"",
        );
        assert_eq!(admitted.status, 303, "{}", admitted.body);
        let cookie = admitted
            .head
            .lines()
            .find_map(|line| line.strip_prefix("set-cookie: "));
        let cookie = cookie.unwrap();
        assert!(
            cookie.ends_with("; Path=/; HttpOnly; SameSite=Strict"),
            "{cookie}"
        );
        cookie
            .split(';')
            .next()
            .unwrap()
            .clone_into(&mut served.cookie);
        served
    }

    /// Sends a request as it is.
    fn ask(&self, head: &str, body: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.write_all(head.as_bytes()).unwrap();
        // Who is not let in need not be listened to.
        let _ = stream.write_all(body);
        let mut told = Vec::new();
        let _ = stream.read_to_end(&mut told);
        let told = String::from_utf8_lossy(&told).into_owned();
        let (head, body) = told.split_once("\r\n\r\n").unwrap_or((&told, ""));
        let status = head
            .split(' ')
            .nth(1)
            .and_then(|status| status.parse().ok());
        Answer {
            status: status.unwrap_or(0),
            head: head.to_owned(),
            body: body.to_owned(),
        }
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        let (host, cookie) = (&self.host, &self.cookie);
        self.ask(
            &format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\n\r\n"),
            b"",
        )
    }

    fn post(&self, change: &Value) -> Answer {
        let body = change.to_string();
        let (host, cookie) = (&self.host, &self.cookie);
        let head = format!(
            "POST /do HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {cookie}\r\n\
             Content-Type: application/json\r\nContent-Length: {}\r\n\r\n",
            body.len()
        );
        self.ask(&head, body.as_bytes())
    }

    /// What stands in the body's attribute of this name.
    fn number(&self, name: &str) -> u64 {
        let page = self.get("/desk").body;
        let (_, rest) = page.split_once(&format!("data-{name}=\"")).unwrap();
        rest.split('"').next().unwrap().parse().unwrap()
    }

    /// Does something as a window that has seen all; what is told of it.
    fn act(&self, deed: &Value) -> Value {
        let change = json!({ "version": self.number("version"), "deed": deed });
        let told = self.post(&change);
        serde_json::from_str(&told.body).unwrap_or_else(|_| panic_with(&told))
    }

    fn act_well(&self, deed: &Value) {
        let told = self.act(deed);
        assert_eq!(told["fault"], Value::Null, "{deed}");
    }

    /// Waits until a page says something.
    pub(crate) fn wait_for(&self, path: &str, words: &str) -> String {
        let started = Instant::now();
        loop {
            let page = self.get(path).body;
            if page.contains(words) {
                return page;
            }
            assert!(started.elapsed() < PATIENCE, "no {words} in {page}");
            thread::sleep(Duration::from_millis(50));
        }
    }

    /// A file that the page gives, once it is there.
    pub(crate) fn file(&self, name: &str) -> String {
        let started = Instant::now();
        loop {
            let told = self.get(&format!("/file/{name}"));
            if told.status == 200 {
                return told.body;
            }
            assert!(started.elapsed() < PATIENCE, "no {name}");
            thread::sleep(Duration::from_millis(50));
        }
    }

    /// The most memory that it has had, in KiB.
    fn memory(&self) -> Option<u64> {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id())).ok()?;
        let line = status
            .lines()
            .find_map(|line| line.strip_prefix("VmHWM:"))?;
        line.trim().trim_end_matches(" kB").parse().ok()
    }
}

#[expect(clippy::panic, reason = "a test stops at the first surprise")]
fn panic_with(told: &Answer) -> Value {
    panic!("{}: {}", told.status, told.body)
}

/// All files of a folder and those below, by their paths.
fn texts(folder: &Path) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            let below = texts(&path).into_iter();
            found.extend(below.map(|(below, text)| (format!("{name}/{below}"), text)));
        } else {
            found.insert(name, fs::read_to_string(&path).unwrap());
        }
    }
    found
}

#[test]
fn nobody_comes_in_who_was_not_invited() {
    let folder = folder();
    let before = texts(folder.path());
    let served = Served::start(folder.path(), ".");
    let Served {
        host, word, cookie, ..
    } = &served;
    let port = host.rsplit(':').next().unwrap();
    let host_line = format!("Host: {host}\r\n");
    let key = format!("Cookie: {cookie}\r\n");
    let json_line = "Content-Type: application/json\r\n";
    let own = format!("Origin: http://{host}\r\n");
    let close = json!({ "version": 1, "deed": { "close": {} } }).to_string();
    let length = format!("Content-Length: {}\r\n", close.len());
    for head in [
        // No key, a wrong one, that of another port; an invitation that is spent, and one that never was.
        format!("GET / HTTP/1.1\r\n{host_line}\r\n"),
        format!("GET /page.js HTTP/1.1\r\n{host_line}\r\n"),
        format!(
            "GET /desk HTTP/1.1\r\n{host_line}Cookie: {}{}\r\n\r\n",
            &cookie[..cookie.len() - 1],
            if cookie.ends_with('0') { '1' } else { '0' }
        ),
        format!(
            "GET /desk HTTP/1.1\r\n{host_line}Cookie: longpoint-1={}\r\n\r\n",
            cookie.split('=').nth(1).unwrap()
        ),
        format!("GET /?key={word} HTTP/1.1\r\n{host_line}\r\n"),
        format!("GET /?key=0 HTTP/1.1\r\n{host_line}{key}\r\n"),
        // A name that was made to lead here.
        format!("GET /desk HTTP/1.1\r\nHost: evil.test:{port}\r\n{key}\r\n"),
        format!("GET /desk HTTP/1.1\r\nHost: localhost:{port}\r\n{key}\r\n"),
        format!("GET /desk HTTP/1.1\r\nHost: 127.0.0.1\r\n{key}\r\n"),
        format!("GET /desk HTTP/1.1\r\n{host_line}Origin: http://evil.test\r\n{key}\r\n"),
    ] {
        let told = served.ask(&head, b"");
        assert_eq!(told.status, 403, "{head}{}", told.body);
        assert!(
            !told.body.contains("Quarry") && !told.head.contains("set-cookie"),
            "{head}"
        );
    }
    for head in [
        format!("POST /do HTTP/1.1\r\n{host_line}{key}{json_line}{length}\r\n"),
        format!("POST /do HTTP/1.1\r\n{host_line}{own}{json_line}{length}\r\n"),
        format!(
            "POST /do HTTP/1.1\r\n{host_line}{key}Origin: http://evil.test\r\n{json_line}{length}\r\n"
        ),
        format!("POST /do HTTP/1.1\r\n{host_line}{key}Origin: null\r\n{json_line}{length}\r\n"),
        format!(
            "POST /do HTTP/1.1\r\n{host_line}{key}{own}Sec-Fetch-Site: cross-site\r\n{json_line}{length}\r\n"
        ),
        format!("POST /do HTTP/1.1\r\nHost: evil.test\r\n{key}{own}{json_line}{length}\r\n"),
    ] {
        let told = served.ask(&head, close.as_bytes());
        assert_eq!(told.status, 403, "{head}{}", told.body);
    }
    let form = format!(
        "POST /do HTTP/1.1\r\n{host_line}{key}{own}Content-Type: text/plain\r\n{length}\r\n"
    );
    assert_eq!(served.ask(&form, close.as_bytes()).status, 415);
    for method in ["PUT", "DELETE", "OPTIONS", "TRACE"] {
        let head = format!("{method} /do HTTP/1.1\r\n{host_line}{key}{own}{json_line}{length}\r\n");
        assert_eq!(served.ask(&head, close.as_bytes()).status, 405, "{method}");
    }
    // After all this it serves whoever may come in, with all bounds told to the browser.
    let page = served.get("/desk");
    assert_eq!(page.status, 200);
    for line in [
        "content-security-policy: default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
        "cache-control: no-store",
        "referrer-policy: no-referrer",
        "x-content-type-options: nosniff",
        "x-frame-options: DENY",
        "cross-origin-resource-policy: same-origin",
        "cross-origin-opener-policy: same-origin",
    ] {
        assert!(page.head.contains(line), "{line} in {}", page.head);
    }
    assert!(!page.body.contains("style=") && page.body.matches("<script").count() == 1);
    assert_eq!(texts(folder.path()), before);
}

#[test]
fn nothing_outside_of_the_folder_is_read_or_written() {
    let above = folder();
    fs::write(
        above.path().join("secret.csv"),
        "board,length\nsecret wood,10\n",
    )
    .unwrap();
    let folder = above.path().join("jobs");
    fs::create_dir(&folder).unwrap();
    write(&folder);
    fs::write(
        folder.join("out.toml"),
        JOB.replace("boards.csv", "../secret.csv"),
    )
    .unwrap();
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(above.path().join("secret.csv"), folder.join("link.csv"))
            .unwrap();
        fs::write(
            folder.join("link.toml"),
            JOB.replace("boards.csv", "link.csv"),
        )
        .unwrap();
        std::os::unix::fs::symlink(above.path().join("job.toml"), folder.join("job-link.toml"))
            .unwrap();
    }
    let before = texts(above.path());
    let served = Served::start(above.path(), "jobs");
    for job in ["out.toml", "link.toml", "job-link.toml"] {
        served.act_well(&json!({ "open": { "job": job } }));
        let page = served.wait_for("/desk", "The files have errors");
        let boards = served.get("/desk?part=boards").body;
        assert!(!page.contains("secret wood"), "{job}: {page}");
        assert!(!boards.contains("secret wood"), "{job}: {boards}");
        // The job file itself may be the link.
        assert_eq!(page.contains("Sand"), job != "job-link.toml", "{job}");
    }
    for job in ["../job.toml", "/etc/passwd", "boards.csv", ""] {
        let told = served.act(&json!({ "open": { "job": job } }));
        assert!(told["fault"].is_string(), "{job}: {told}");
    }
    for path in [
        "/file/../job.toml",
        "/file/%2e%2e%2fjob.toml",
        "/file/job.toml",
        "/../../etc/passwd",
        "//etc/passwd",
        "/file/",
        "/do",
        "/job.toml",
    ] {
        assert_eq!(served.get(path).status, 404, "{path}");
    }
    assert_eq!(texts(above.path()), before);
}

#[test]
#[cfg(unix)]
fn a_plan_is_not_taken_through_a_link_out_of_the_folder() {
    let above = tempfile::tempdir().unwrap();
    let folder = above.path().join("jobs");
    fs::create_dir(&folder).unwrap();
    write(&folder);
    let elsewhere = above.path().join("elsewhere");
    fs::create_dir(&elsewhere).unwrap();
    std::os::unix::fs::symlink(&elsewhere, folder.join("job-plan")).unwrap();
    let served = Served::start(above.path(), "jobs/job.toml");
    served.file("papers.html");
    let told = served.act(&json!({ "lay": {} }));
    assert!(
        told["fault"]
            .as_str()
            .unwrap()
            .contains("outside of the folder"),
        "{told}"
    );
    assert_eq!(fs::read_dir(&elsewhere).unwrap().count(), 0);
}

#[test]
fn large_slow_half_and_many_requests_do_no_harm() {
    let folder = folder();
    let before = texts(folder.path());
    let served = Served::start(folder.path(), ".");
    let Served { host, cookie, .. } = &served;
    let head = |more: &str| {
        format!(
            "POST /do HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {cookie}\r\n\
             Content-Type: application/json\r\n{more}\r\n"
        )
    };
    let hundred = 100 << 20;
    let told = served.ask(&head(&format!("Content-Length: {hundred}\r\n")), b"");
    assert_eq!(told.status, 413);
    // The same, and all of it is sent; and in pieces, without a word on how large it is.
    let body = vec![b'x'; hundred];
    served.ask(&head(&format!("Content-Length: {hundred}\r\n")), &body);
    let mut pieces = format!("{hundred:x}\r\n").into_bytes();
    pieces.extend(body);
    served.ask(&head("Transfer-Encoding: chunked\r\n"), &pieces);
    let long = "x".repeat(1 << 20);
    let told = served.ask(
        &format!("GET /{long} HTTP/1.1\r\nHost: {host}\r\n\r\n"),
        b"",
    );
    assert!(
        matches!(told.status, 0 | 400 | 414 | 431),
        "{}",
        told.status
    );
    // Half requests, which never end, and connections that say nothing.
    let halves: Vec<TcpStream> = (0..40)
        .map(|number| {
            let mut stream = TcpStream::connect(host).unwrap();
            let half = match number % 3 {
                0 => "",
                1 => "GET /desk HTTP/1.1\r\nHo",
                _ => &head("Content-Length: 100\r\n"),
            };
            stream.write_all(half.as_bytes()).unwrap();
            stream
        })
        .collect();
    assert_eq!(served.get("/desk").status, 200);
    // 200 at once are all served.
    thread::scope(|scope| {
        let all: Vec<_> = (0..200)
            .map(|_| scope.spawn(|| served.get("/desk").status))
            .collect();
        for one in all {
            assert_eq!(one.join().unwrap(), 200);
        }
    });
    drop(halves);
    if let Some(memory) = served.memory() {
        assert!(memory < 200 << 10, "{memory} KiB");
    }
    for wrong in [
        "",
        "{",
        "[]",
        "null",
        r#"{"version":1}"#,
        r#"{"version":-1,"deed":{"undo":{}}}"#,
        r#"{"version":1,"deed":{"format-disk":{}}}"#,
        r#"{"version":1,"deed":{"undo":{"a":1}}}"#,
    ] {
        let told = served.ask(
            &head(&format!("Content-Length: {}\r\n", wrong.len())),
            wrong.as_bytes(),
        );
        assert_eq!(told.status, 400, "{wrong}");
    }
    assert_eq!(texts(folder.path()), before);
}

#[test]
fn names_with_tags_are_text_in_every_view() {
    let folder = folder();
    let tag = "</bdi><script>alert(1)</script><img src=x onerror=alert(2)>";
    let edit = |name: &str, from: &str, to: &str| {
        let path = folder.path().join(name);
        let text = fs::read_to_string(&path).unwrap().replace(from, to);
        fs::write(path, text).unwrap();
    };
    edit("job.toml", "Quarry", tag);
    edit("job.toml", "ash flat", tag);
    edit("frames.csv", "Sand", tag);
    edit("boards.csv", "ash 6 ft,", &format!("{tag} 6,"));
    edit("boards.csv", "ash 8 ft,", &format!("{tag} 8,"));
    let served = Served::start(folder.path(), ".");
    served.file("papers.html");
    served.wait_for("/yard", "way-1");
    served.act_well(&json!({ "lay": {} }));
    for view in [
        "/",
        "/desk",
        "/yard",
        "/bench?by=stop",
        "/bench?by=board",
        "/papers",
        "/jobs",
        "/guide",
        "/bench?by=%3Cscript%3E&at=%3Cb%3E",
    ] {
        let page = served.get(view).body;
        // The title stands above each of them.
        assert!(page.contains("alert(1)"), "{view}");
        assert_eq!(page.matches("<script").count(), 1, "{view}");
        assert!(!page.contains("<img") && !page.contains("<b>\""), "{view}");
    }
}

#[test]
fn what_is_tapped_is_in_the_files_and_a_command_finds_the_same() {
    let folder = folder();
    let path = folder.path();
    let served = Served::start(path, ".");
    let by_command = |args: &[&str]| {
        let ran = longpoint(path, args);
        assert_eq!(ran.status.code(), Some(0), "{}", text(&ran.stderr));
        text(&ran.stdout)
    };
    assert_eq!(
        served.file("plan.json"),
        by_command(&["plan", "job.toml", "--format", "json"])
    );
    assert_eq!(
        served.file("papers.html"),
        by_command(&["papers", "job.toml"])
    );
    assert_eq!(
        served.file("stops.txt"),
        by_command(&["plan", "job.toml", "--format", "stops"])
    );
    assert!(
        served.file("verified.txt").contains("proved")
            || served.file("verified.txt").contains("holds")
    );

    // At the bench lies what `plan --out` writes.
    served.act_well(&json!({ "lay": {} }));
    by_command(&["plan", "job.toml", "--out", "other"]);
    let all = texts(path);
    let of = |all: &BTreeMap<String, String>, folder: &str| -> BTreeMap<String, String> {
        let files = all
            .iter()
            .filter_map(|(name, text)| Some((name.strip_prefix(folder)?.to_owned(), text.clone())));
        files.filter(|(name, _)| name != ".longpoint").collect()
    };
    assert_eq!(of(&all, "job-plan/"), of(&all, "other/"));
    // It is the program's own, so a command may write over it.
    by_command(&["plan", "job.toml", "--out", "job-plan"]);

    let page = served.wait_for("/bench", "of 12 cut");
    assert!(page.contains("0 of 12 cut"));
    served.act_well(&json!({ "cut": { "cuts": "A-1 A-2", "made": true } }));
    served.act_well(&json!({ "cut": { "cuts": "A-2", "made": false } }));
    served.wait_for("/bench", "1 of 12 cut");
    let list = fs::read_to_string(path.join("job-plan/cut-list.csv")).unwrap();
    assert_eq!(list.matches(",no,,,cut,,").count(), 1, "{list}");
    // Marks are the user's: a command does not write over them unasked.
    let ran = longpoint(path, &["plan", "job.toml", "--out", "job-plan"]);
    assert_eq!(ran.status.code(), Some(2));

    let faults = [
        json!({ "cut": { "cuts": "Z-9", "made": true } }),
        json!({ "spoil": { "cut": "A-2", "good": "eight" } }),
        json!({ "spoil": { "cut": "A-2", "good": "900" } }),
        json!({ "lay": {} }),
    ];
    for deed in faults {
        assert!(served.act(&deed)["fault"].is_string(), "{deed}");
    }
    served.act_well(&json!({ "spoil": { "cut": "A-2", "good": "8 1/2" } }));
    served.wait_for("/bench", "id=\"changed\"");
    let marks = fs::read_to_string(path.join("job-plan/cut-list.csv")).unwrap();
    assert!(marks.contains(",spoiled,8 1/2"), "{marks}");
    // The command, told the same, writes the same.
    fs::create_dir(path.join("again")).unwrap();
    for name in ["plan.json", "cut-list.csv"] {
        fs::copy(
            path.join("job-plan").join(name),
            path.join("again").join(name),
        )
        .unwrap();
    }
    by_command(&[
        "replan",
        "job.toml",
        "again/plan.json",
        "--marks",
        "again/cut-list.csv",
        "--out",
        "again",
    ]);
    let all = texts(path);
    let [page, command] = ["job-plan/", "again/"].map(|folder| of(&all, folder));
    assert!(command.len() > 12);
    for (name, text) in &command {
        assert_eq!(page.get(name), Some(text), "{name}");
    }
}

#[test]
fn killed_and_started_again_nothing_is_lost_and_what_is_taken_back_leaves_no_trace() {
    let folder = folder();
    let path = folder.path();
    let served = Served::start(path, ".");
    served.file("papers.html");
    served.act_well(&json!({ "lay": {} }));
    served.act_well(&json!({ "cut": { "cuts": "A-1", "made": true } }));
    let before = texts(path);
    served.act_well(&json!({ "spoil": { "cut": "A-2", "good": "8 1/2" } }));
    served.wait_for("/bench", "id=\"changed\"");
    drop(served);
    let served = Served::start(path, "job.toml");
    let page = served.wait_for("/bench", "of 13 cut");
    assert!(
        page.contains("2 of 13 cut") && page.contains("<b>A-2</b>"),
        "{page}"
    );
    drop(served);

    for (name, _) in texts(path)
        .iter()
        .filter(|(name, _)| !before.contains_key(*name))
    {
        fs::remove_file(path.join(name)).unwrap();
    }
    for (name, text) in &before {
        fs::write(path.join(name), text).unwrap();
    }
    let served = Served::start(path, ".");
    served.act_well(&json!({ "spoil": { "cut": "A-2", "good": "" } }));
    served.wait_for("/bench", "id=\"changed\"");
    served.act_well(&json!({ "undo": {} }));
    let mut after = texts(path);
    let mut before = before;
    for all in [&mut before, &mut after] {
        all.remove("job-plan/.longpoint");
    }
    assert_eq!(after, before);
    assert!(served.act(&json!({ "undo": {} }))["fault"].is_string());
}

#[test]
fn a_way_is_chosen_and_what_was_bought_is_what_the_plan_is_cut_from() {
    let folder = folder();
    let path = folder.path();
    let served = Served::start(path, ".");
    let page = served.wait_for("/yard", "way-1");
    assert!(page.contains("the cheapest"));
    served.act_well(&json!({ "way": { "name": "8 ft alone" } }));
    served.wait_for("/yard", "8 ft alone</bdi>");
    let command = |args: &[&str]| text(&longpoint(path, args).stdout);
    let plan = command(&[
        "plan",
        "job.toml",
        "--way",
        "8 ft alone",
        "--format",
        "json",
    ]);
    assert!(
        plan.contains("one_length") || plan.contains("8 ft"),
        "the way is gone"
    );
    assert_eq!(served.file("plan.json"), plan);
    // Another way went before; whoever looks has the comparison taken up again.
    served.get("/yard");
    assert_eq!(
        served.file("ways.csv"),
        command(&["buy", "job.toml", "--format", "csv"])
    );
    served.act_well(&json!({ "way": { "name": "" } }));
    assert_eq!(
        served.file("plan.json"),
        command(&["plan", "job.toml", "--format", "json"])
    );

    served.wait_for("/yard", "bought-1");
    served.act_well(
        &json!({ "bought": { "bought-1": "4", "measured-1": "7' 11", "price-1": "17.00" } }),
    );
    let job = fs::read_to_string(path.join("job.toml")).unwrap();
    assert_eq!(
        job,
        JOB.replace(
            "boards = \"boards.csv\"\n",
            "boards = \"boards.csv\"\nbought = \"bought.csv\"\n"
        )
    );
    let table = fs::read_to_string(path.join("bought.csv")).unwrap();
    assert!(
        table.lines().nth(1).unwrap().contains(",4,7' 11,"),
        "{table}"
    );
    assert_eq!(
        served.file("plan.json"),
        command(&["plan", "job.toml", "--format", "json"])
    );
    served.wait_for("/yard", "What was bought");
    served.act_well(&json!({ "undo": {} }));
    assert_eq!(fs::read_to_string(path.join("job.toml")).unwrap(), JOB);
    assert!(!path.join("bought.csv").exists());
    let told = served.act(&json!({ "bought": { "take-1": "4" } }));
    assert!(told["fault"].is_string());
}

#[test]
fn a_file_that_is_changed_outside_is_shown_and_never_written_over() {
    let folder = folder();
    let path = folder.path();
    let served = Served::start(path, ".");
    served.file("papers.html");
    served.act_well(&json!({ "lay": {} }));
    let list = path.join("job-plan/cut-list.csv");
    let version = served.number("version");
    // Somebody marks a cut in a spreadsheet, and this window does not know yet.
    let by_hand = fs::read_to_string(&list)
        .unwrap()
        .replacen(",no,,,,,", ",no,,,cut,,", 1);
    fs::write(&list, &by_hand).unwrap();
    let told = served
        .post(&json!({ "version": version, "deed": { "cut": { "cuts": "B-1", "made": true } } }));
    assert_eq!(told.status, 409, "{}", told.body);
    assert_eq!(fs::read_to_string(&list).unwrap(), by_hand);
    served.wait_for("/bench", "1 of 12 cut");
    // What is done to what was shown before is not done to what is shown now.
    let told = served
        .post(&json!({ "version": version, "deed": { "cut": { "cuts": "B-1", "made": true } } }));
    assert_eq!(told.status, 409, "{}", told.body);
    served.act_well(&json!({ "cut": { "cuts": "B-1", "made": true } }));
    served.wait_for("/bench", "2 of 12 cut");

    // A window that waits sees it by itself.
    let news = served.number("news");
    fs::write(path.join("frames.csv"), FRAMES.replace("Sand", "Gravel")).unwrap();
    let told = served.get(&format!("/news?since={news}"));
    assert_ne!(told.body, news.to_string());
    let page = served.get("/desk").body;
    assert!(
        page.contains("Gravel") && page.contains("Changed outside: frames.csv."),
        "{page}"
    );
    // Faults are told, and the older answer stays as one.
    fs::write(path.join("frames.csv"), FRAMES.replace("13,", "wide,")).unwrap();
    served.get(&format!("/news?since={}", served.number("news")));
    served.wait_for("/desk", "Older answer; the files have errors");
    assert_eq!(served.get("/file/plan.json").status, 404);
}

#[test]
fn what_is_typed_on_the_desk_is_in_the_files_and_nothing_else_is_changed() {
    let folder = folder();
    let served = Served::start(folder.path(), ".");
    let before = texts(folder.path());
    let page = served.get("/desk?part=pictures").body;
    let table: usize = page
        .split_once("<section id=\"t")
        .and_then(|(_, rest)| rest.split('"').next()?.parse().ok())
        .unwrap();
    let typed = |text: &str| json!({ "desk": { "do": "cell", "table": table, "row": 0, "column": "art-width", "text": text } });
    // Letter by letter, with a fault on the way beside its field, and one step to take all of it back.
    for text in ["1", "12", "12 3/"] {
        served.act_well(&typed(text));
    }
    let page = served.get("/desk?part=pictures").body;
    assert!(
        page.contains("aria-invalid=\"true\"") && page.contains(">E013<"),
        "{page}"
    );
    served.act_well(&typed("12 3/8"));
    let page = served.get("/desk?part=pictures").body;
    assert!(!page.contains(">E013<"), "{page}");
    let name = before
        .keys()
        .find(|name| name.ends_with("frames.csv"))
        .unwrap();
    let now = texts(folder.path());
    let different: Vec<&String> = before
        .keys()
        .filter(|name| before[*name] != now[*name])
        .collect();
    assert_eq!(different, [name]);
    assert_eq!(now[name], before[name].replacen("13,", "12 3/8,", 1));
    // What stands there already is no step.
    served.act_well(&typed("12 3/8"));
    served.act_well(&json!({ "undo": {} }));
    assert_eq!(texts(folder.path()), before);
    // A list as a spreadsheet copies it, and what cannot be.
    let list = "frame\tart-width\tart-height\tshade\nAlder\t7\t9\tred\n";
    served.act_well(&json!({ "desk": { "do": "paste", "table": table, "row": 1, "text": list } }));
    let page = served.get("/desk?part=pictures").body;
    assert!(
        page.contains("Undo: what was pasted into frames, without shade"),
        "{page}"
    );
    let told = served.act(&json!({ "desk": { "do": "remove-row", "table": table, "row": 99 } }));
    assert_eq!(told["fault"], "what was to be changed is not there");
    // Names with tags are text, and a file that is no TOML can be mended as a text.
    served.act_well(&json!({ "desk": { "do": "cell", "table": table, "row": 0, "column": 0, "text": "</td><script>x" } }));
    for part in [
        "pictures",
        "mouldings",
        "boards",
        "rack",
        "sheets",
        "pieces",
        "settings",
        "files",
    ] {
        let page = served.get(&format!("/desk?part={part}"));
        assert_eq!(
            (page.status, page.body.matches("<script").count()),
            (200, 1),
            "{part}"
        );
    }
    served.act_well(&json!({ "desk": { "do": "file", "file": 0, "text": "[saw\n" } }));
    let page = served.wait_for("/desk", ">E005<");
    assert!(page.contains("Keep this text"), "{page}");
    served.act_well(&json!({ "undo": {} }));
    served.wait_for("/desk", "Alder");
}

#[test]
fn two_windows_see_what_is_done_in_either() {
    let folder = folder();
    let served = Served::start(folder.path(), ".");
    served.file("papers.html");
    served.act_well(&json!({ "lay": {} }));
    // Until nothing is searched for any more.
    let mut news = served.number("news");
    let before = loop {
        thread::sleep(Duration::from_millis(300));
        let now = served.number("news");
        if now == news {
            break now;
        }
        news = now;
    };
    let started = Instant::now();
    thread::scope(|scope| {
        let other = scope.spawn(|| served.get(&format!("/news?since={before}")).body);
        thread::sleep(Duration::from_millis(100));
        served.act_well(&json!({ "cut": { "cuts": "A-1", "made": true } }));
        assert!(other.join().unwrap().parse::<u64>().unwrap() > before);
    });
    assert!(started.elapsed() < Duration::from_secs(10));
}

/// Whoever adds a command says where it is on the page, or that it is not.
#[test]
fn the_guide_says_of_every_command_where_it_is_on_the_page() {
    let folder = tempfile::tempdir().unwrap();
    let guide = text(&longpoint(folder.path(), &["help", "page"]).stdout);
    let all = text(&longpoint(folder.path(), &["--help"]).stdout);
    let (_, commands) = all.split_once("Commands:\n").unwrap();
    let commands: Vec<&str> = commands
        .lines()
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|name| !name.is_empty() && *name != "page")
        .collect();
    assert!(commands.len() > 10, "{all}");
    for command in commands {
        assert!(guide.contains(&format!("`{command}`")), "{command}");
        // Nor is any option of it forgotten; how and where it prints or writes is the same for all.
        let help = text(&longpoint(folder.path(), &[command, "--help"]).stdout);
        let options = help.split("--").skip(1);
        let options = options.map(|rest| {
            rest.split(|sign: char| !sign.is_alphanumeric() && sign != '-')
                .next()
        });
        for option in options.flatten() {
            let known = [
                "help", "version", "out", "format", "marks", "done", "spoiled", "",
            ];
            assert!(
                known.contains(&option) || guide.contains(&format!("`--{option}`")),
                "{command} --{option}"
            );
        }
    }
}

#[test]
fn what_cannot_be_opened_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let ran = longpoint(folder.path(), &["page", "nothing.toml", "--no-open"]);
    assert_eq!(ran.status.code(), Some(2));
    assert!(text(&ran.stderr).starts_with("error: cannot open nothing.toml: "));
}

#[test]
fn a_tablet_looks_and_ticks_and_does_nothing_else() {
    let folder = folder();
    let mut child = Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .current_dir(folder.path())
        .args(["page", ".", "--no-open", "--share"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut said = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut address = |before: &str| {
        let mut lines = said.by_ref().map_while(Result::ok);
        lines.find_map(|line| Some(line.strip_prefix(before)?.to_owned()))
    };
    let Some(here) = address("the page is at http://") else {
        // A machine without a local network: then `--share` is refused.
        assert_eq!(child.wait().unwrap().code(), Some(2));
        return;
    };
    let tablet = address("a tablet in the same network comes in once by http://").unwrap();
    thread::spawn(move || said.count());
    let here = Served::admitted(child, &here);
    // A second one of the same process, which ends with the first.
    let idle = Command::new(env!("CARGO_BIN_EXE_longpoint"))
        .arg("--version")
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let tablet = Served::admitted(idle, &tablet);
    assert_ne!(
        here.cookie.split('=').nth(1),
        tablet.cookie.split('=').nth(1)
    );
    // The keys of one are none of the other.
    let crossed = here.ask(
        &format!(
            "GET /bench HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\n\r\n",
            here.host, tablet.cookie
        ),
        b"",
    );
    assert_eq!(crossed.status, 403);
    here.file("papers.html");
    here.act_well(&json!({ "lay": {} }));
    for path in ["/desk", "/yard", "/jobs"] {
        assert_eq!(tablet.get(path).status, 404, "{path}");
    }
    let page = tablet.get("/bench").body;
    assert!(
        page.contains("0 of 12 cut")
            && !page.contains("class=\"spoil\"")
            && !page.contains("id=\"close\"")
    );
    assert!(!page.contains("?key=") && here.get("/bench").body.contains("?key="));
    // Of files it has those of the bench.
    for name in [
        "papers.html",
        "cut-list.csv",
        "boards.svg",
        "stations.txt",
        "sizes.txt",
    ] {
        assert_eq!(tablet.get(&format!("/file/{name}")).status, 200, "{name}");
    }
    let papers = tablet.get("/papers").body;
    for name in [
        "plan.json",
        "plan.txt",
        "ways.csv",
        "rack.csv",
        "buying-list.csv",
        "check.txt",
    ] {
        here.file(name);
        assert_eq!(tablet.get(&format!("/file/{name}")).status, 404, "{name}");
        assert!(!papers.contains(&format!("/file/{name}\"")), "{name}");
    }
    let version = here.number("version");
    let deed = |deed: &Value| tablet.post(&json!({ "version": version, "deed": deed }));
    for wrong in [
        json!({ "close": {} }),
        json!({ "undo": {} }),
        json!({ "open": { "job": "job.toml" } }),
        json!({ "spoil": { "cut": "A-1", "good": "" } }),
        json!({ "bought": { "bought-1": "1" } }),
        json!({ "way": { "name": "" } }),
        json!({ "lay": {} }),
        json!({ "replan": {} }),
        json!({ "stow": {} }),
        json!({ "measure": { "board": "A", "length": "70" } }),
        json!({ "starter": { "folder": "x" } }),
    ] {
        assert_eq!(deed(&wrong).status, 409, "{wrong}");
    }
    assert_eq!(
        deed(&json!({ "cut": { "cuts": "A-1", "made": true } })).status,
        200
    );
    here.wait_for("/bench", "1 of 12 cut");
}

/// A tablet at the bench has the papers of the bench, and no costs, prices for customers, or files that carry the job.
#[test]
fn no_costs_are_open_to_a_tablet() {
    use longpoint::page::{FILES, From, Of, is_open_to};
    let open: Vec<&str> = FILES
        .iter()
        .filter(|(of, name, _)| is_open_to(*of, name, From::Tablet))
        .map(|(_, name, _)| *name)
        .collect();
    for name in [
        "papers.html",
        "cut-list.csv",
        "boards.svg",
        "stations.txt",
        "rest-papers.html",
    ] {
        assert!(open.contains(&name), "{name}");
    }
    for (of, name, _) in FILES {
        assert!(is_open_to(of, name, From::Here), "{name}");
        let is_told = ["quote", "cost", "rack", "buy", "json"]
            .iter()
            .any(|word| name.contains(word));
        if (is_told && name != "sizes.json") || of == Of::Ways {
            assert!(!open.contains(&name), "{name}");
        }
    }
}
