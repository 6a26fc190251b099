//! Much at once: windows that write at the same time, kills between, lists pasted, requests that never end.

use std::fs;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::{FRAMES, Served, folder, texts};
use crate::command::longpoint;

/// The number of the table of pictures on the desk.
fn pictures(served: &Served) -> usize {
    let page = served.get("/desk?part=pictures").body;
    let (_, rest) = page.split_once("<section id=\"t").unwrap();
    rest.split('"').next().unwrap().parse().unwrap()
}

fn named(table: usize, row: usize, name: &str) -> Value {
    json!({ "desk": { "do": "cell", "table": table, "row": row, "column": "frame", "text": name } })
}

#[test]
fn of_two_hundred_changes_at_once_each_is_made_or_refused() {
    let folder = folder();
    let served = Served::start(folder.path(), ".");
    let table = pictures(&served);
    // Each as a window that has seen the newest state at its time.
    let made: Vec<String> = thread::scope(|scope| {
        let all: Vec<_> = (0..200)
            .map(|number| {
                let served = &served;
                scope.spawn(move || {
                    let name = format!("name {number}");
                    let list = format!("frame\tart-width\tart-height\n{name}\t5\t7");
                    let deed = json!({ "do": "paste", "table": table, "row": 2, "text": list });
                    let change =
                        json!({ "version": served.number("version"), "deed": { "desk": deed } });
                    match served.post(&change).status {
                        200 => Some(name),
                        409 => None,
                        other => unreachable!("{other}"),
                    }
                })
            })
            .collect();
        all.into_iter()
            .filter_map(|one| one.join().unwrap())
            .collect()
    });
    assert!(!made.is_empty());
    // What was refused is nowhere, and of what was made the last stands there, as all wrote the same row.
    let frames = fs::read_to_string(folder.path().join("frames.csv")).unwrap();
    let third = frames.lines().nth(3).unwrap();
    assert!(
        made.iter()
            .any(|name| third.starts_with(&format!("{name},"))),
        "{frames}"
    );
    assert_eq!(frames.lines().count(), 4, "{frames}");
    if let Some(memory) = served.memory() {
        assert!(memory < 200 << 10, "{memory} KiB");
    }
    // All of them are taken back, one after the other.
    for _ in 0..made.len() {
        served.act_well(&json!({ "undo": {} }));
    }
    assert_eq!(
        fs::read_to_string(folder.path().join("frames.csv")).unwrap(),
        FRAMES
    );
}

#[test]
fn a_request_that_never_ends_is_given_up_and_others_are_served_meanwhile() {
    let folder = folder();
    let served = Served::start(folder.path(), ".");
    let head = format!(
        "POST /do HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {}\r\nContent-Type: application/json\r\n\
         Content-Length: 1000\r\n\r\n",
        served.cookie,
        host = served.host
    );
    let slow = [
        format!("GET /desk HTTP/1.1\r\nHost: {}\r\n", served.host),
        head,
    ];
    let started = Instant::now();
    thread::scope(|scope| {
        let all: Vec<_> = slow
            .iter()
            .map(|text| {
                scope.spawn(|| {
                    let mut stream = TcpStream::connect(&served.host).unwrap();
                    stream
                        .set_read_timeout(Some(Duration::from_millis(300)))
                        .unwrap();
                    stream.write_all(text.as_bytes()).unwrap();
                    // A byte now and then does not keep it alive.
                    let mut told = [0; 512];
                    while started.elapsed() < Duration::from_secs(30) {
                        if stream.write_all(b"x").is_err() {
                            return started.elapsed();
                        }
                        match stream.read(&mut told) {
                            Err(error) if error.kind() == std::io::ErrorKind::WouldBlock => {}
                            Ok(_) | Err(_) => return started.elapsed(),
                        }
                    }
                    started.elapsed()
                })
            })
            .collect();
        assert_eq!(served.get("/desk").status, 200);
        for one in all {
            let took = one.join().unwrap();
            assert!(took < Duration::from_secs(20), "{took:?}");
        }
    });
}

#[test]
fn thirty_rows_are_pasted_and_one_tap_takes_them_back() {
    let folder = folder();
    let served = Served::start(folder.path(), ".");
    let before = texts(folder.path());
    let table = pictures(&served);
    let mut list = "Frame\tQty\tArt Width\tArt Height\r\n".to_owned();
    for number in 0..30 {
        list += &format!(
            "Picture {number}\t1\t{} 3/8\t{}\r\n",
            5 + number % 7,
            10 + number % 5
        );
    }
    served.act_well(&json!({ "desk": { "do": "paste", "table": table, "row": 2, "text": list } }));
    let frames = fs::read_to_string(folder.path().join("frames.csv")).unwrap();
    assert!(frames.starts_with(FRAMES), "{frames}");
    assert_eq!(frames.lines().count(), 33, "{frames}");
    assert!(frames.ends_with("Picture 29,1,6 3/8,14\n"), "{frames}");
    let page = served.get("/desk?part=pictures").body;
    assert!(page.contains("32 lines, 33 frames"), "{page}");
    // The plan is that of the command.
    let plan = served.file("plan.json");
    let ran = longpoint(folder.path(), &["plan", "job.toml", "--format", "json"]);
    assert!(plan.as_bytes() == ran.stdout);
    served.act_well(&json!({ "undo": {} }));
    assert_eq!(texts(folder.path()), before);
}

#[test]
fn killed_between_two_keys_the_files_are_as_the_last_key_left_them() {
    let folder = folder();
    let mut served = Served::start(folder.path(), ".");
    let table = pictures(&served);
    for number in 0..6 {
        let name = format!("typed {number}");
        served.act_well(&named(table, 0, &name));
        // Killed at once, while its plan is searched for.
        drop(served);
        let frames = fs::read_to_string(folder.path().join("frames.csv")).unwrap();
        assert_eq!(frames, FRAMES.replace("Sand", &name));
        served = Served::start(folder.path(), "job.toml");
        assert!(served.get("/desk").body.contains(&name));
    }
}

#[test]
fn what_another_program_wrote_is_not_taken_back() {
    let folder = folder();
    let served = Served::start(folder.path(), ".");
    let table = pictures(&served);
    let path = folder.path().join("frames.csv");
    served.act_well(&named(table, 0, "Shore"));
    // A spreadsheet changes another line, and the same cell is typed on: that is a step of its own.
    let outside = FRAMES.replace("Sand", "Shore").replace("Lock", "Weir");
    fs::write(&path, &outside).unwrap();
    served.wait_for("/desk", "Weir");
    served.act_well(&named(table, 0, "Shoreline"));
    served.act_well(&json!({ "undo": {} }));
    assert_eq!(fs::read_to_string(&path).unwrap(), outside);
    // The step before it would take back what the spreadsheet wrote.
    let told = served.act(&json!({ "undo": {} }));
    assert!(
        told["fault"].as_str().unwrap().starts_with("not written"),
        "{told}"
    );
    assert_eq!(fs::read_to_string(&path).unwrap(), outside);
}
