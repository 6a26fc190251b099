//! A browser driven over the `WebDriver` protocol (W3C), with what the standard library and `serde_json` offer: start, open,
//! run a script, print, stop. No process outlives a test, also one that fails.

use std::fs;
use std::io::{BufRead as _, BufReader, Error, Read as _, Result, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

/// How long the driver may take to answer.
const PATIENCE: Duration = Duration::from_secs(120);
/// How long the browser may take to end.
const LAST_WORDS: Duration = Duration::from_secs(5);

/// A browser with one window.
pub(crate) struct Browser {
    driver: Child,
    port: u16,
    session: String,
    folder: PathBuf,
}

/// A sheet of paper, in millimeters.
#[derive(Clone, Copy)]
pub(crate) struct Sheet {
    pub(crate) name: &'static str,
    pub(crate) width_mm: f64,
    pub(crate) height_mm: f64,
}

/// The two papers of the world's printers: ISO 216, and the sizes named in W3C CSS Paged Media 3, "page sizes".
pub(crate) const SHEETS: [Sheet; 2] = [
    Sheet {
        name: "A4",
        width_mm: 210.0,
        height_mm: 297.0,
    },
    Sheet {
        name: "letter",
        width_mm: 215.9,
        height_mm: 279.4,
    },
];

/// Whether a program is to be found.
fn is_there(program: &str) -> bool {
    let paths = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&paths).any(|folder| folder.join(program).is_file())
}

impl Browser {
    /// Starts one; `None`, said in so many words, where this machine has no browser that can be driven.
    pub(crate) fn start(folder: &Path) -> Option<Browser> {
        let missing: Vec<&str> = ["chromium", "chromedriver"]
            .into_iter()
            .filter(|program| !is_there(program))
            .collect();
        let why = if missing.is_empty() {
            match Browser::launch(folder.to_path_buf()) {
                Ok(browser) => return Some(browser),
                Err(error) => format!("it does not start: {error}"),
            }
        } else {
            format!("there is no {}", missing.join(" and no "))
        };
        assert!(
            std::env::var_os("LONGPOINT_BROWSER").is_none(),
            "a browser was asked for, but {why}"
        );
        eprintln!("NOT CHECKED in a browser: {why}");
        None
    }

    fn launch(folder: PathBuf) -> Result<Browser> {
        let profile = folder.join("profile");
        fs::create_dir_all(&profile)?;
        let mut command = Command::new("chromedriver");
        command
            .args(["--port=0", "--allowed-ips=127.0.0.1"])
            .env("TMPDIR", &folder)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null());
        // A group of its own, so that all of the browser's helpers can be ended.
        #[cfg(unix)]
        std::os::unix::process::CommandExt::process_group(&mut command, 0);
        let mut driver = command.spawn()?;
        let mut told = BufReader::new(driver.stdout.take().unwrap());
        let port = port_of(&mut told);
        let mut browser = Browser {
            driver,
            port: 0,
            session: String::new(),
            folder,
        };
        browser.port = port?;
        // Read on, so that the pipe never fills.
        thread::spawn(move || told.read_to_end(&mut Vec::new()));
        let arguments = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--no-first-run",
            "--disable-background-networking",
            // Whatever a page would fetch is not found.
            "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1",
        ];
        let mut arguments: Vec<String> = arguments.map(str::to_owned).to_vec();
        arguments.push(format!("--user-data-dir={}", profile.display()));
        let wanted = json!({"capabilities": {"alwaysMatch": {
            "timeouts": {"pageLoad": 60_000, "script": 100_000},
            "goog:chromeOptions": {"args": arguments},
        }}});
        let session = browser.call("POST", "/session", &wanted)?;
        session["sessionId"]
            .as_str()
            .unwrap()
            .clone_into(&mut browser.session);
        Ok(browser)
    }

    /// One request to the driver; what its answer holds.
    fn call(&self, method: &str, path: &str, body: &Value) -> Result<Value> {
        let body = body.to_string();
        let mut stream = TcpStream::connect(("127.0.0.1", self.port))?;
        stream.set_read_timeout(Some(PATIENCE))?;
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\nConnection: close\r\n\r\n{body}",
            self.port,
            body.len()
        )?;
        let mut answer = BufReader::new(stream);
        let mut length = 0;
        loop {
            let mut line = String::new();
            answer.read_line(&mut line)?;
            let line = line.trim().to_ascii_lowercase();
            if line.is_empty() {
                break;
            }
            if let Some(given) = line.strip_prefix("content-length:") {
                length = given.trim().parse().map_err(Error::other)?;
            }
        }
        let mut text = vec![0; length];
        answer.read_exact(&mut text)?;
        let mut told: Value = serde_json::from_slice(&text)?;
        let told = told["value"].take();
        match told["error"].as_str() {
            Some(_) => Err(Error::other(told.to_string())),
            None => Ok(told),
        }
    }

    fn ask(&self, path: &str, body: &Value) -> Value {
        let path = format!("/session/{}{path}", self.session);
        self.call("POST", &path, body).unwrap()
    }

    /// Opens a file.
    pub(crate) fn open(&self, file: &Path) {
        let address = format!("file://{}", file.display());
        self.ask("/url", &json!({ "url": address }));
    }

    /// Opens a file at one of its chapters, as a link to that does.
    pub(crate) fn open_at(&self, file: &Path, chapter: &str) {
        let address = format!("file://{}#{chapter}", file.display());
        self.ask("/url", &json!({ "url": address }));
    }

    /// Opens a page that is served.
    pub(crate) fn visit(&self, address: &str) {
        self.ask("/url", &json!({ "url": address }));
    }

    /// Opens the same page once more.
    pub(crate) fn reload(&self) {
        self.ask("/refresh", &json!({}));
    }

    /// Makes the window so large, in the page's pixels.
    pub(crate) fn resize(&self, width: u32, height: u32) {
        self.ask(
            "/goog/cdp/execute",
            &json!({"cmd": "Emulation.setDeviceMetricsOverride", "params": {
                "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false,
            }}),
        );
    }

    /// Shows the page as on `print` or `screen`, in light or dark.
    pub(crate) fn show_as(&self, medium: &str, scheme: &str) {
        self.ask(
            "/goog/cdp/execute",
            &json!({"cmd": "Emulation.setEmulatedMedia", "params": {
                "media": medium,
                "features": [{"name": "prefers-color-scheme", "value": scheme}],
            }}),
        );
    }

    /// Runs a script and tells what it returns.
    pub(crate) fn run(&self, script: &str) -> Value {
        self.ask("/execute/sync", &json!({"script": script, "args": []}))
    }

    /// Runs a script that calls its last argument with what it found.
    pub(crate) fn wait_for(&self, script: &str) -> Value {
        self.ask("/execute/async", &json!({"script": script, "args": []}))
    }

    /// Presses keys in turn, such as Tab (`\u{E004}`).
    pub(crate) fn press(&self, keys: &str) {
        let actions: Vec<Value> = keys
            .chars()
            .flat_map(|key| {
                ["keyDown", "keyUp"].map(|kind| json!({"type": kind, "value": key.to_string()}))
            })
            .collect();
        self.ask(
            "/actions",
            &json!({"actions": [{"type": "key", "id": "keyboard", "actions": actions}]}),
        );
    }

    /// Holds a key, such as Alt (`\u{E00A}`), while another is pressed.
    pub(crate) fn press_with(&self, held: &str, key: &str) {
        let actions = [
            json!({"type": "keyDown", "value": held}),
            json!({"type": "keyDown", "value": key}),
            json!({"type": "keyUp", "value": key}),
            json!({"type": "keyUp", "value": held}),
        ];
        self.ask(
            "/actions",
            &json!({"actions": [{"type": "key", "id": "keyboard", "actions": actions}]}),
        );
    }

    /// Drags by the mouse through some places of the window, in pixels from its corner.
    pub(crate) fn drag_by_mouse(&self, places: &[(i64, i64)]) {
        let places = places.iter();
        let moves =
            places.map(|(x, y)| json!({"type": "pointerMove", "duration": 60, "x": x, "y": y}));
        let mut actions: Vec<Value> = moves.collect();
        actions.insert(1, json!({"type": "pointerDown", "button": 0}));
        actions.push(json!({"type": "pointerUp", "button": 0}));
        self.ask(
            "/actions",
            &json!({"actions": [{"type": "pointer", "id": "mouse", "actions": actions}]}),
        );
    }

    /// The same by a finger.
    pub(crate) fn drag_by_finger(&self, places: &[(i64, i64)]) {
        let touch = |kind: &str, points: Value| {
            self.ask(
                "/goog/cdp/execute",
                &json!({"cmd": "Input.dispatchTouchEvent", "params": {"type": kind, "touchPoints": points}}),
            );
        };
        for (at, (x, y)) in places.iter().enumerate() {
            let kind = if at == 0 { "touchStart" } else { "touchMove" };
            touch(kind, json!([{"x": x, "y": y}]));
        }
        touch("touchEnd", json!([]));
    }

    /// Prints the page, in the paper's size and the margins of its style; the bytes of the PDF. It is shown as on paper from
    /// then on.
    pub(crate) fn print(&self, sheet: Sheet) -> Vec<u8> {
        // A medium that was asked for holds for what is printed too: of `screen` all would be as it looks there.
        self.show_as("print", "light");
        let centimeters = |mm: f64| mm / 10.0;
        let printed = self.ask(
            "/print",
            &json!({
                "page": {"width": centimeters(sheet.width_mm), "height": centimeters(sheet.height_mm)},
                "background": true,
            }),
        );
        // What is looked at next is on the screen again.
        self.show_as("", "light");
        STANDARD.decode(printed.as_str().unwrap()).unwrap()
    }
}

/// What the browser's own command prints of a chapter of a file; the bytes of the PDF. That is what its dialog prints, on the
/// paper that it takes where nobody chooses one: letter.
pub(crate) fn printed_by_command(folder: &Path, file: &Path, chapter: &str) -> Vec<u8> {
    let (profile, printed) = (folder.join("printing"), folder.join("by-command.pdf"));
    let mut command = Command::new("chromium");
    command
        .args(["--headless", "--no-sandbox", "--disable-gpu"])
        .args(["--disable-dev-shm-usage", "--no-pdf-header-footer"])
        .arg(format!("--user-data-dir={}", profile.display()))
        .arg(format!("--print-to-pdf={}", printed.display()))
        .arg(format!("file://{}#{chapter}", file.display()))
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    let mut running = command.spawn().unwrap();
    let end = Instant::now() + PATIENCE;
    while Instant::now() < end && running.try_wait().unwrap().is_none() {
        thread::sleep(Duration::from_millis(50));
    }
    let _ = running.kill();
    let _ = running.wait();
    let _ = fs::remove_dir_all(profile);
    fs::read(printed).unwrap()
}

/// The port at which the driver says that it listens.
fn port_of(told: &mut impl std::io::BufRead) -> Result<u16> {
    loop {
        let mut line = String::new();
        if told.read_line(&mut line)? == 0 {
            return Err(Error::other("the driver ended before it listened"));
        }
        if let Some((_, port)) = line.split_once("started successfully on port ") {
            return port
                .trim()
                .trim_end_matches('.')
                .parse()
                .map_err(Error::other);
        }
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if !self.session.is_empty() {
            // Whatever it answers, it is ended below.
            let _ = self.call("DELETE", &format!("/session/{}", self.session), &json!({}));
        }
        let group = format!("-{}", self.driver.id());
        let _ = Command::new("kill")
            .args(["--", &group])
            .stderr(Stdio::null())
            .status();
        let end = Instant::now() + LAST_WORDS;
        while Instant::now() < end && !matches!(self.driver.try_wait(), Ok(Some(_))) {
            thread::sleep(Duration::from_millis(20));
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
        let _ = fs::remove_dir_all(self.folder.join("profile"));
    }
}
