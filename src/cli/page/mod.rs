//! The command `page`: a small server for one browser on this machine.
//!
//! `gate` decides who may come in, `server` takes connections and bounds them, `reply` answers a request; `session` has the
//! state and its one writer, `folder` the files, `cutting` those of the bench, `search` the thread that plans, `given` the papers. What is shown and what an action comes to is
//! decided by [`crate::page`].

mod cutting;
mod folder;
mod gate;
mod given;
mod reply;
mod search;
mod server;
mod session;

use std::io::{self, BufRead as _, IsTerminal as _};
use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;
use std::thread;

use super::args::PageArgs;
use super::screen::Screen;
use super::{Ended, Fault, print};

use folder::Folder;
use gate::Gate;
use session::Session;

/// Runs the command.
pub(super) fn page(args: &PageArgs, screen: Screen) -> Result<Ended, Fault> {
    let (folder, job) = Folder::open(&args.place).map_err(Fault::Usage)?;
    let unable = |error: io::Error| Fault::Usage(format!("the page cannot be served: {error}"));
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).map_err(unable)?;
    let port = listener.local_addr().map_err(unable)?.port();
    let gate = Arc::new(Gate::new(port).map_err(unable)?);
    let session = Arc::new(Session::new(folder, job, screen.file_look()));
    search::start(&session);
    let on_interrupt = Arc::clone(&session);
    // Where no handler can be set, Ctrl-C ends the program at once; all that was done is in the files then, too.
    let _ = ctrlc::set_handler(move || on_interrupt.close());
    let address = gate.invite().map_err(unable)?;
    print(&format!(
        "the page is at {address}\nthis address serves once; press Enter for another window, Ctrl-C to stop\n"
    ))?;
    if !args.no_open && open::that_detached(&address).is_err() {
        print("no browser could be opened: open the address in one\n")?;
    }
    more_windows(&gate, !args.no_open);
    server::serve(listener, &session, gate).map_err(unable)?;
    session.close();
    print("the page is stopped\n")?;
    Ok(Ended::Complete)
}

/// Gives another address whenever Enter is pressed.
fn more_windows(gate: &Arc<Gate>, opens: bool) {
    if !io::stdin().is_terminal() {
        return;
    }
    let gate = Arc::clone(gate);
    thread::spawn(move || {
        for line in io::stdin().lock().lines() {
            let (Ok(_), Ok(address)) = (line, gate.invite()) else {
                return;
            };
            if print(&format!("another window: {address}\n")).is_err() {
                return;
            }
            if opens {
                let _ = open::that_detached(&address);
            }
        }
    });
}
