//! Connections: how many, how long, how large. One thread waits for all of them; what takes its time is done by a few others.

use std::convert::Infallible;
use std::io;
use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;

use http_body_util::{BodyExt as _, Full, Limited};
use hyper::body::{Bytes, Incoming};
use hyper::header::CONTENT_LENGTH;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Request, Response, StatusCode};
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::runtime;
use tokio::sync::Semaphore;
use tokio::time::{sleep, timeout};

use super::gate::Gate;
use super::reply::{self, Asked, Reply};
use super::session::Session;

/// So many connections at once; others wait until one is done.
const MOST_CONNECTIONS: usize = 64;

/// So many of them may wait for news: as many windows see at once what others do.
const MOST_WAITING: usize = 24;

/// So many answers are made at once.
const MOST_WORKERS: usize = 4;

/// No change that is sent is larger, in bytes.
const LARGEST_BODY: usize = 1 << 20;

/// The first line and the headers of a request are no larger, in bytes.
const LARGEST_HEAD: usize = 32 << 10;

/// A request that has not told all by then is given up.
const PATIENCE: Duration = Duration::from_secs(5);

/// A question for news that finds none by then is answered all the same.
const NEWS: Duration = Duration::from_secs(20);

/// No connection lives longer.
const LONGEST: Duration = Duration::from_secs(60);

/// Serves until the session is closed.
///
/// # Errors
/// What the system said when it began.
pub(super) fn serve(
    doors: Vec<(TcpListener, Arc<Gate>)>,
    session: &Arc<Session>,
) -> io::Result<()> {
    let runtime = runtime::Builder::new_current_thread()
        .enable_io()
        .enable_time()
        .max_blocking_threads(MOST_WORKERS)
        .build()?;
    let served = runtime.block_on(async {
        let waiting = Arc::new(Semaphore::new(MOST_WAITING));
        let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
        for (listener, gate) in doors {
            listener.set_nonblocking(true)?;
            let listener = tokio::net::TcpListener::from_std(listener)?;
            let door = Arc::new(Door {
                session: Arc::clone(session),
                gate,
                waiting: Arc::clone(&waiting),
            });
            tokio::spawn(accept(listener, door, Arc::clone(&room)));
        }
        session.closed().await;
        // The answer to whoever closed it may be on its way.
        sleep(Duration::from_millis(200)).await;
        Ok(())
    });
    runtime.shutdown_timeout(Duration::from_secs(1));
    served
}

struct Door {
    session: Arc<Session>,
    gate: Arc<Gate>,
    waiting: Arc<Semaphore>,
}

async fn accept(listener: tokio::net::TcpListener, door: Arc<Door>, room: Arc<Semaphore>) {
    loop {
        let Ok(place) = Arc::clone(&room).acquire_owned().await else {
            return;
        };
        let Ok((stream, _)) = listener.accept().await else {
            // Such as too many open files: it passes.
            sleep(Duration::from_millis(50)).await;
            continue;
        };
        let door = Arc::clone(&door);
        tokio::spawn(async move {
            let service = service_fn(move |request| {
                let door = Arc::clone(&door);
                async move { Ok::<_, Infallible>(answer(&door, request).await) }
            });
            let mut http = http1::Builder::new();
            http.timer(TokioTimer::new())
                .header_read_timeout(PATIENCE)
                .max_buf_size(LARGEST_HEAD)
                .keep_alive(false);
            let served = http.serve_connection(TokioIo::new(stream), service);
            // Whoever goes away before the answer has no more of it.
            let _ = timeout(LONGEST, served).await;
            drop(place);
        });
    }
}

async fn answer(door: &Arc<Door>, request: Request<Incoming>) -> Response<Full<Bytes>> {
    let (head, body) = request.into_parts();
    let path = head.uri.path().to_owned();
    let query = head.uri.query().unwrap_or("").to_owned();
    if let Err(refused) = door.gate.check_way(&head.method, &head.headers) {
        return Reply::refused(&refused).into_response();
    }
    if let (Some(word), "/") = (query.strip_prefix("key="), path.as_str()) {
        return reply::admit(&door.session, &door.gate, word).into_response();
    }
    if let Err(refused) = door.gate.check_key(&head.headers) {
        return Reply::refused(&refused).into_response();
    }
    if path == "/news" {
        return news(door, &query).await.into_response();
    }
    let told = head.headers.get(CONTENT_LENGTH);
    let told = told.and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    if told.is_some_and(|length| length > LARGEST_BODY) {
        return Reply::words(StatusCode::PAYLOAD_TOO_LARGE, "no change is so large")
            .into_response();
    }
    let body = timeout(PATIENCE, Limited::new(body, LARGEST_BODY).collect());
    let body = match body.await {
        Ok(Ok(body)) => body.to_bytes(),
        Ok(Err(_)) => {
            return Reply::words(StatusCode::PAYLOAD_TOO_LARGE, "no change is so large")
                .into_response();
        }
        Err(_) => {
            return Reply::words(
                StatusCode::REQUEST_TIMEOUT,
                "the change did not come to its end",
            )
            .into_response();
        }
    };
    let session = Arc::clone(&door.session);
    let asked = Asked {
        from: door.gate.from,
        method: head.method,
        path,
        query,
        body,
    };
    let made = tokio::task::spawn_blocking(move || reply::answer(&session, &asked));
    let made = made.await.unwrap_or_else(|_| {
        let what = "internal error: longpoint is wrong here, not the job; please report it with the job's files";
        Reply::words(StatusCode::INTERNAL_SERVER_ERROR, what)
    });
    made.into_response()
}

/// Waits until more is known than a window has seen. While one waits, files that are changed outside are noticed.
async fn news(door: &Arc<Door>, query: &str) -> Reply {
    let seen = query
        .strip_prefix("since=")
        .and_then(|seen| seen.parse().ok());
    let (Some(seen), Ok(_place)) = (seen, door.waiting.try_acquire()) else {
        return Reply::words(StatusCode::SERVICE_UNAVAILABLE, "too many windows wait");
    };
    let session = &door.session;
    let _ = timeout(NEWS, async {
        loop {
            // Each second, as far as no news comes before.
            if timeout(Duration::from_secs(1), session.news_since(seen))
                .await
                .is_ok()
            {
                return;
            }
            let looking = Arc::clone(session);
            let _ = tokio::task::spawn_blocking(move || looking.look_at_files()).await;
        }
    })
    .await;
    Reply::words(StatusCode::OK, &session.state().news.to_string())
}
