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
use std::net::{IpAddr, Ipv4Addr, TcpListener, UdpSocket};
use std::sync::Arc;
use std::thread;

use crate::page::From;

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
    let open = |address: Ipv4Addr, from| -> io::Result<(TcpListener, Arc<Gate>)> {
        let listener = TcpListener::bind((address, 0))?;
        let gate = Gate::new(listener.local_addr()?, from)?;
        Ok((listener, Arc::new(gate)))
    };
    let (listener, gate) = open(Ipv4Addr::LOCALHOST, From::Here).map_err(unable)?;
    let mut doors = vec![(listener, Arc::clone(&gate))];
    let tablet = if args.share {
        let address = own_address().map_err(Fault::Usage)?;
        let (listener, gate) = open(address, From::Tablet).map_err(unable)?;
        doors.push((listener, Arc::clone(&gate)));
        Some(gate)
    } else {
        None
    };
    let session = Arc::new(Session::new(folder, job, screen.file_look()));
    search::start(&session);
    let on_interrupt = Arc::clone(&session);
    // Where no handler can be set, Ctrl-C ends the program at once; all that was done is in the files then, too.
    let _ = ctrlc::set_handler(move || on_interrupt.close());
    let address = gate.invite().map_err(unable)?;
    print(&format!(
        "the page is at {address}\nthis address serves once; press Enter for another window, Ctrl-C to stop\n"
    ))?;
    if let Some(share) = tablet.and_then(|gate| session.share(&gate)) {
        print(&format!(
            "a tablet in the same network comes in once by {}\n{}\n",
            share.address,
            share.terminal_code().unwrap_or_default()
        ))?;
    }
    if !args.no_open && open::that_detached(&address).is_err() {
        print("no browser could be opened: open the address in one\n")?;
    }
    more_windows(&gate, !args.no_open);
    server::serve(doors, &session).map_err(unable)?;
    session.close();
    print("the page is stopped\n")?;
    Ok(Ended::Complete)
}

/// The address of this machine in its local network.
fn own_address() -> Result<Ipv4Addr, String> {
    // Nothing is sent: the system only says from which of its addresses it would be. That one is for documentation (RFC 5737).
    let asked = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).and_then(|socket| {
        socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9))?;
        socket.local_addr()
    });
    match asked.map(|address| address.ip()) {
        Ok(IpAddr::V4(own)) if own.is_private() || own.is_link_local() => Ok(own),
        Ok(_) => Err(
            "--share is for a local network, and this machine's address is not one of such"
                .to_owned(),
        ),
        Err(error) => Err(format!(
            "--share needs a local network, and there is none: {error}"
        )),
    }
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
