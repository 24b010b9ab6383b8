//! The lines on which questions come: taken, answered, and given up when they are late or too many.

use super::timely::{Limits, Timely};
#[cfg(feature = "lan")]
use crate::lan::Encrypted;
use axum::Router;
use axum::extract::Request;
use axum::middleware::map_request;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

/// How long answers that are under way are waited for once the server is told to stop.
const GRACE: Duration = Duration::from_secs(1);
/// More connections at once are closed unanswered; a browser opens six.
const MOST_CONNECTIONS: usize = 256;
/// Where no connection can be taken, for want of handles for instance, it is tried again after this.
const AFTER_A_FAILURE: Duration = Duration::from_millis(100);

/// What a line goes through before the pages answer on it.
#[derive(Clone)]
pub enum Entrance {
    /// Nothing: it is of this machine, or whoever asks brings a key.
    Open,
    /// Encryption.
    #[cfg(feature = "lan")]
    Encrypted(Encrypted),
}

/// Answers until it is told to stop; then answers that are under way get a moment to end.
pub async fn answer(
    listener: TcpListener,
    entrance: Entrance,
    pages: Router,
    limits: Limits,
    stop: impl Future<Output = ()>,
) {
    let within = move |request: Request| async move { request.map(|body| Timely::body(body, limits)) };
    let pages = pages.layer(map_request(within));
    let mut builder = http1::Builder::new();
    builder.timer(TokioTimer::new()).header_read_timeout(limits.head);
    let (open, places) = (GracefulShutdown::new(), Arc::new(Semaphore::new(MOST_CONNECTIONS)));
    let mut stop = std::pin::pin!(stop);
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut stop => break,
        };
        #[cfg_attr(not(feature = "lan"), expect(unused_variables, reason = "it matters in a network alone"))]
        let Ok((stream, peer)) = accepted else {
            tokio::time::sleep(AFTER_A_FAILURE).await;
            continue;
        };
        let Ok(place) = places.clone().try_acquire_owned() else { continue };
        let service = TowerToHyperService::new(pages.clone());
        let (builder, entrance, open) = (builder.clone(), entrance.clone(), open.watcher());
        tokio::spawn(async move {
            // A connection that breaks concerns its other end alone.
            match entrance {
                Entrance::Open => {
                    let _ = open.watch(builder.serve_connection(TokioIo::new(stream), service)).await;
                }
                #[cfg(feature = "lan")]
                Entrance::Encrypted(encrypted) => {
                    if let Some(line) = encrypted.opened(stream, peer).await {
                        let _ = open.watch(builder.serve_connection(TokioIo::new(line), service)).await;
                    }
                }
            }
            drop(place);
        });
    }
    let _ = tokio::time::timeout(GRACE, open.shutdown()).await;
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::body::Bytes;
    use axum::http::StatusCode;
    use axum::routing::{get, post};
    use std::io::{Read, Write};
    use std::net::TcpStream;

    /// Nothing here takes longer, on a busy machine either.
    const PATIENCE: Duration = Duration::from_secs(60);

    /// Sends this to a server with short limits and leaves the line open; what came back until it was closed.
    fn sent(bytes: &[u8], limits: Limits) -> String {
        let runtime = tokio::runtime::Runtime::new().unwrap();
        let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0")).unwrap();
        let address = listener.local_addr().unwrap();
        let taken = |body: Result<Bytes, axum::extract::rejection::BytesRejection>| async move {
            if body.is_ok() { StatusCode::OK } else { StatusCode::REQUEST_TIMEOUT }
        };
        let pages = Router::new().route("/", get(|| async { "here" })).route("/take", post(taken));
        runtime.spawn(answer(listener, Entrance::Open, pages, limits, std::future::pending()));
        let mut stream = TcpStream::connect(address).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.write_all(bytes).unwrap();
        let mut back = Vec::new();
        // A line that is cut is closed too; one that stays open is neither.
        let ended = stream.read_to_end(&mut back).map_err(|error| error.kind());
        assert!(
            !matches!(ended, Err(std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut)),
            "the line is still open"
        );
        String::from_utf8_lossy(&back).into_owned()
    }

    fn limits(head: u64, idle: u64, body: u64) -> Limits {
        let [head, idle, body] = [head, idle, body].map(Duration::from_millis);
        Limits { head, idle, body }
    }

    #[test]
    fn a_head_that_never_ends_loses_its_line() {
        let back = sent(b"GET / HTTP/1.1\r\nhost: a\r\nx: ", limits(200, 60_000, 60_000));
        assert!(!back.contains("here"), "{back}");
    }

    #[test]
    fn a_body_that_stops_is_given_up() {
        let head = b"POST /take HTTP/1.1\r\nhost: a\r\ncontent-length: 100\r\n\r\nhalf";
        let back = sent(head, limits(60_000, 200, 60_000));
        assert!(back.starts_with("HTTP/1.1 408"), "{back}");
        let back = sent(head, limits(60_000, 60_000, 200));
        assert!(back.starts_with("HTTP/1.1 408"), "{back}");
    }

    #[test]
    fn what_comes_in_time_is_answered() {
        let back =
            sent(b"GET / HTTP/1.1\r\nhost: a\r\nconnection: close\r\n\r\n", limits(60_000, 60_000, 60_000));
        assert!(back.starts_with("HTTP/1.1 200") && back.ends_with("here"), "{back}");
    }
}
