//! Who may come in: requests of a browser that was invited, from the page itself, to this very address.
//!
//! Any page on the web can make a browser send requests here. So the name that was asked for must be ours (a name of a stranger
//! that was made to lead here is not), whatever changes something must come from our own page, and every request must carry the
//! key that only an invited browser has. An invitation is an address with a word that serves once.

use std::fmt::Write as _;
use std::io;
use std::net::SocketAddr;
use std::sync::{Mutex, PoisonError};

use hyper::header::{CONTENT_TYPE, COOKIE, HOST, HeaderMap, HeaderValue, ORIGIN};
use hyper::{Method, StatusCode};

use crate::page::From;

/// Of all invitations only so many of the last still serve.
const MOST_INVITATIONS: usize = 4;

/// Who comes in, and by what.
pub(super) struct Gate {
    /// From where those come whom it lets in.
    pub(super) from: From,
    host: String,
    origin: String,
    cookie: String,
    key: String,
    invitations: Mutex<Vec<String>>,
}

/// Why a request is not let in.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Refused {
    /// What the browser is told.
    pub(super) status: StatusCode,
    /// What whoever sits before it is told.
    pub(super) words: &'static str,
}

/// A word that nobody guesses: 256 random bits in hex.
fn random_word() -> io::Result<String> {
    let mut bytes = [0_u8; 32];
    getrandom::fill(&mut bytes).map_err(io::Error::other)?;
    Ok(bytes.iter().fold(String::new(), |mut word, byte| {
        let _ = write!(word, "{byte:02x}");
        word
    }))
}

/// Whether two words are the same, in a time that does not tell how much of them is.
fn same(one: &str, other: &str) -> bool {
    let differ = one.bytes().zip(other.bytes());
    let differ = differ.fold(0, |sum, (one, other)| sum | (one ^ other));
    one.len() == other.len() && differ == 0
}

impl Gate {
    /// The gate of a server at this address, for whoever comes from there.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub(super) fn new(address: SocketAddr, from: From) -> io::Result<Gate> {
        let (host, port) = (address.to_string(), address.port());
        Ok(Gate {
            from,
            origin: format!("http://{host}"),
            host,
            // Browsers keep the cookies of all ports of a machine together.
            cookie: format!("longpoint-{port}"),
            key: random_word()?,
            invitations: Mutex::default(),
        })
    }

    /// An address that lets one browser in, once.
    ///
    /// # Errors
    /// When the system gives no random numbers.
    pub(super) fn invite(&self) -> io::Result<String> {
        let word = random_word()?;
        let address = format!("{}/?key={word}", self.origin);
        let mut invitations = self.invitations();
        invitations.push(word);
        let n_old = invitations.len().saturating_sub(MOST_INVITATIONS);
        invitations.drain(..n_old);
        Ok(address)
    }

    fn invitations(&self) -> std::sync::MutexGuard<'_, Vec<String>> {
        self.invitations
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether a request was sent to this address, by a page of this address or by nobody; before anyone asks who sent it.
    ///
    /// # Errors
    /// Why not.
    pub(super) fn check_way(&self, method: &Method, headers: &HeaderMap) -> Result<(), Refused> {
        let refused = |words| {
            Err(Refused {
                status: StatusCode::FORBIDDEN,
                words,
            })
        };
        if only(headers.get_all(HOST)) != Some(self.host.as_str()) {
            return refused("this is not the address of the page");
        }
        let is_change = match *method {
            Method::GET | Method::HEAD => false,
            Method::POST => true,
            _ => {
                return Err(Refused {
                    status: StatusCode::METHOD_NOT_ALLOWED,
                    words: "the page is read by GET and changed by POST",
                });
            }
        };
        let from_here = only(headers.get_all(ORIGIN)) == Some(self.origin.as_str());
        if (is_change || headers.contains_key(ORIGIN)) && !from_here {
            return refused("this was not sent by the page");
        }
        // Browsers say it themselves; what is typed or opened by the system comes from none.
        let site = headers.get_all("sec-fetch-site");
        let is_own = |site: &HeaderValue| site == "same-origin" || (!is_change && site == "none");
        // A link that another site has to us shows no more than the word that there is nothing to see.
        if is_change && !site.iter().all(is_own) {
            return refused("this was not sent by the page");
        }
        if is_change && only(headers.get_all(CONTENT_TYPE)) != Some("application/json") {
            return Err(Refused {
                status: StatusCode::UNSUPPORTED_MEDIA_TYPE,
                words: "changes come as application/json",
            });
        }
        Ok(())
    }

    /// Whether a request comes from a browser that was let in.
    ///
    /// # Errors
    /// If not.
    pub(super) fn check_key(&self, headers: &HeaderMap) -> Result<(), Refused> {
        let cookies = headers.get_all(COOKIE);
        let cookies = cookies.iter().filter_map(|cookie| cookie.to_str().ok());
        let mut pairs = cookies
            .flat_map(|cookie| cookie.split(';'))
            .filter_map(|pair| pair.trim().split_once('='));
        if pairs.any(|(name, value)| name == self.cookie && same(value, &self.key)) {
            Ok(())
        } else {
            Err(Refused {
                status: StatusCode::FORBIDDEN,
                words: "This browser was not invited, or longpoint was started again since. Press Enter in the terminal where \
                        longpoint runs for a new address, or start it again.",
            })
        }
    }

    /// What a browser is given that comes by an invitation, whose word is then spent; `None` where it was spent before.
    pub(super) fn admit(&self, word: &str) -> Option<String> {
        let mut invitations = self.invitations();
        let at = invitations.iter().position(|known| same(known, word))?;
        invitations.remove(at);
        Some(format!(
            "{}={}; Path=/; HttpOnly; SameSite=Strict",
            self.cookie, self.key
        ))
    }
}

/// The one value of a header; `None` where there is none, or more than one.
fn only<'h>(values: impl IntoIterator<Item = &'h HeaderValue>) -> Option<&'h str> {
    let mut values = values.into_iter();
    let value = values.next()?.to_str().ok()?;
    values.next().is_none().then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gate() -> io::Result<Gate> {
        Gate::new(SocketAddr::from(([127, 0, 0, 1], 8000)), From::Here)
    }

    fn headers(pairs: &[(&'static str, &str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(*name, HeaderValue::from_str(value).expect("plain"));
        }
        headers
    }

    #[test]
    fn only_requests_of_the_page_to_its_own_address_pass() {
        let gate = gate().expect("random");
        let get =
            |pairs: &[(&'static str, &str)]| gate.check_way(&Method::GET, &headers(pairs)).is_ok();
        let host = ("host", "127.0.0.1:8000");
        assert!(get(&[host]));
        for other in [
            "localhost:8000",
            "127.0.0.1",
            "127.0.0.1:8001",
            "evil.test:8000",
            "127.0.0.1:8000.evil.test",
            "",
        ] {
            assert!(!get(&[("host", other)]), "{other}");
        }
        assert!(!get(&[]) && !get(&[host, host]));
        assert!(!get(&[host, ("origin", "http://evil.test")]) && !get(&[host, ("origin", "null")]));
        let own = ("origin", "http://127.0.0.1:8000");
        let json = ("content-type", "application/json");
        let post =
            |pairs: &[(&'static str, &str)]| gate.check_way(&Method::POST, &headers(pairs)).is_ok();
        assert!(post(&[host, own, json]));
        assert!(post(&[host, own, json, ("sec-fetch-site", "same-origin")]));
        for wrong in [
            &[host, json][..],
            &[host, own],
            &[host, own, ("content-type", "text/plain")],
            &[host, ("origin", "http://127.0.0.1:8001"), json],
            &[host, ("origin", "https://127.0.0.1:8000"), json],
            &[host, own, json, ("sec-fetch-site", "cross-site")],
            &[host, own, json, ("sec-fetch-site", "same-site")],
        ] {
            assert!(!post(wrong), "{wrong:?}");
        }
        assert!(
            gate.check_way(&Method::DELETE, &headers(&[host, own, json]))
                .is_err()
        );
    }

    #[test]
    fn an_invitation_serves_once_and_gives_the_key() {
        let gate = gate().expect("random");
        let address = gate.invite().expect("random");
        let (_, word) = address.split_once("?key=").expect("has a word");
        assert_eq!(gate.admit("0"), None);
        let cookie = gate.admit(word).expect("is fresh");
        assert_eq!(gate.admit(word), None);
        let (pair, rest) = cookie.split_once("; ").expect("has its bounds");
        assert_eq!(rest, "Path=/; HttpOnly; SameSite=Strict");
        assert!(!address.contains(&gate.key));
        assert!(
            gate.check_key(&headers(&[("cookie", &format!("a=b; {pair}"))]))
                .is_ok()
        );
        for wrong in [
            "",
            "a=b",
            "longpoint-8000=",
            &pair[..pair.len() - 1],
            &format!("x{pair}"),
        ] {
            assert!(
                gate.check_key(&headers(&[("cookie", wrong)])).is_err(),
                "{wrong}"
            );
        }
    }
}
