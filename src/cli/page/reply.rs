//! From a request that was let in to its answer.

use http_body_util::Full;
use hyper::body::Bytes;
use hyper::header::{
    CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderName,
    HeaderValue, LOCATION, REFERRER_POLICY, SET_COOKIE, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use hyper::{Method, Response, StatusCode};
use serde::{Deserialize, Serialize};

use crate::page::{Action, From, SCRIPT, STYLE, View, show};
use crate::paper::{FIGURES, content_policy, svg};

use super::gate::{Gate, Refused};
use super::given;
use super::session::Session;

/// What the page may load, run and ask: what this server gives, and nothing that stands in the page itself.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; base-uri 'none'; \
                      form-action 'none'; frame-ancestors 'none'";

/// A request, as far as it matters here.
pub(super) struct Asked {
    pub(super) from: From,
    pub(super) method: Method,
    pub(super) path: String,
    /// What stands behind the `?`.
    pub(super) query: String,
    pub(super) body: Bytes,
}

/// An answer.
pub(super) struct Reply {
    status: StatusCode,
    kind: &'static str,
    policy: String,
    more: Vec<(HeaderName, String)>,
    body: String,
}

/// A change as the page sends it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Change {
    /// The version of the texts that whoever made it saw.
    version: u64,
    /// What was done.
    deed: Action,
    /// The address that is looked at, which is told as it is then; nothing where that is not wished.
    #[serde(default)]
    at: String,
}

/// What the page is told of a change.
#[derive(Serialize)]
struct Told {
    /// Why it was not made.
    fault: Option<String>,
    /// Whether the program stops.
    closed: bool,
    /// The page as it is then, so that it need not be asked for.
    page: Option<String>,
}

impl Reply {
    fn new(status: StatusCode, kind: &'static str, body: String) -> Reply {
        Reply {
            status,
            kind,
            policy: POLICY.to_owned(),
            more: Vec::new(),
            body,
        }
    }

    /// Plain words.
    pub(super) fn words(status: StatusCode, words: &str) -> Reply {
        Reply::new(status, "text/plain; charset=utf-8", words.to_owned())
    }

    /// The words for a request that was not let in.
    pub(super) fn refused(refused: &Refused) -> Reply {
        Reply::words(refused.status, refused.words)
    }

    fn told(status: StatusCode, told: &Told) -> Reply {
        let body = serde_json::to_string(told).unwrap_or_default();
        Reply::new(status, "application/json", body)
    }

    /// As it is sent.
    pub(super) fn into_response(self) -> Response<Full<Bytes>> {
        let mut response = Response::new(Full::new(Bytes::from(self.body)));
        *response.status_mut() = self.status;
        let headers = response.headers_mut();
        let fixed = [
            (CONTENT_TYPE, self.kind),
            (CACHE_CONTROL, "no-store"),
            (REFERRER_POLICY, "no-referrer"),
            (X_CONTENT_TYPE_OPTIONS, "nosniff"),
            (X_FRAME_OPTIONS, "DENY"),
            (
                HeaderName::from_static("cross-origin-resource-policy"),
                "same-origin",
            ),
            (
                HeaderName::from_static("cross-origin-opener-policy"),
                "same-origin",
            ),
        ];
        for (name, value) in fixed {
            headers.insert(name, HeaderValue::from_static(value));
        }
        let more = self.more.into_iter();
        for (name, value) in more.chain([(CONTENT_SECURITY_POLICY, self.policy)]) {
            if let Ok(value) = HeaderValue::from_str(&value) {
                headers.insert(name, value);
            }
        }
        response
    }
}

/// Lets a browser in that comes by an invitation: it has the key from now on, and its address no longer the word.
pub(super) fn admit(session: &Session, gate: &Gate, word: &str) -> Reply {
    match gate.admit(word) {
        Some(cookie) => {
            if gate.from == From::Tablet {
                session.share(gate);
            }
            let mut reply = Reply::words(StatusCode::SEE_OTHER, "");
            reply.more = vec![(SET_COOKIE, cookie), (LOCATION, "/".to_owned())];
            reply
        }
        None => Reply::words(
            StatusCode::FORBIDDEN,
            "This address has served already. Press Enter in the terminal where longpoint runs for another one.",
        ),
    }
}

/// Answers a request.
pub(super) fn answer(session: &Session, asked: &Asked) -> Reply {
    let nothing = || Reply::words(StatusCode::NOT_FOUND, "there is nothing here");
    if asked.method == Method::POST {
        return match asked.path.as_str() {
            "/do" => change(session, asked),
            _ => nothing(),
        };
    }
    let html = "text/html; charset=utf-8";
    match asked.path.as_str() {
        "/page.css" => {
            let style = format!("{FIGURES}{STYLE}\n{}", svg::CSS);
            Reply::new(StatusCode::OK, "text/css; charset=utf-8", style)
        }
        "/page.js" => {
            let kind = "text/javascript; charset=utf-8";
            Reply::new(StatusCode::OK, kind, SCRIPT.to_owned())
        }
        path => {
            let reply = match path.strip_prefix("/file/") {
                Some(name) => paper(session, name, asked),
                None => view(session, &format!("{path}?{}", asked.query), asked.from)
                    .map(|page| Reply::new(StatusCode::OK, html, page)),
            };
            reply.unwrap_or_else(nothing)
        }
    }
}

/// A paper or a file, to be looked at or saved.
fn paper(session: &Session, name: &str, asked: &Asked) -> Option<Reply> {
    let (name, text) = given::file(session, name, asked.from)?;
    let is_saved = asked.query == "save";
    let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending);
    let kind = match ending {
        "html" => "text/html; charset=utf-8",
        "json" => "application/json",
        "svg" => "image/svg+xml",
        "csv" if is_saved => "text/csv; charset=utf-8",
        _ => "text/plain; charset=utf-8",
    };
    let mut reply = Reply::new(StatusCode::OK, kind, text);
    if ending == "svg" {
        // A drawing has its style in itself, and nothing else.
        "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
            .clone_into(&mut reply.policy);
    }
    if ending == "html" {
        reply.policy = format!("{}; frame-ancestors 'none'", content_policy());
    }
    if is_saved {
        let value = format!("attachment; filename=\"{name}\"");
        reply.more.push((CONTENT_DISPOSITION, value));
    }
    Some(reply)
}

/// Makes a change, or says why not.
fn change(session: &Session, asked: &Asked) -> Reply {
    let change: Change = match serde_json::from_slice(&asked.body) {
        Ok(change) => change,
        Err(error) => {
            let fault = format!("the page sent what longpoint does not know: {error}");
            let told = Told {
                fault: Some(fault),
                closed: false,
                page: None,
            };
            return Reply::told(StatusCode::BAD_REQUEST, &told);
        }
    };
    let (status, fault, closed) = match session.act(change.version, &change.deed, asked.from) {
        Ok(closed) => (StatusCode::OK, None, closed),
        Err(fault) => (StatusCode::CONFLICT, Some(fault), false),
    };
    let page = view(session, &change.at, asked.from).filter(|_| !closed);
    let told = Told {
        fault,
        closed,
        page,
    };
    Reply::told(status, &told)
}

/// What is seen at an address of the page; `None` where there is nothing.
fn view(session: &Session, address: &str, from: From) -> Option<String> {
    let (path, query) = address.split_once('?').unwrap_or((address, ""));
    let view = match path {
        "/" => View::first(from),
        _ => View::at(path).filter(|view| view.is_open_to(from))?,
    };
    session.look_at(view);
    Some(show(&session.state(), view, query, from))
}
