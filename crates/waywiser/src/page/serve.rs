//! Starting and stopping the server.

use super::app::App;
use super::hosts::Hosts;
use super::routes;
use super::timely::{Limits, Timely};
use crate::garage::{Apart, Garage};
use crate::world;
use axum::Router;
use axum::extract::Request;
use axum::middleware::map_request;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;
use truing::problem::{Field, Problem, Problems, Wording};

/// How the page is served.
pub struct Options {
    /// Where it listens.
    pub address: SocketAddr,
    /// Whether whoever asks needs a key, which is made at each start and stands in the address that is said.
    pub with_key: bool,
    /// The garage's folder.
    pub garage: PathBuf,
    /// Whether a browser is opened.
    pub browser: bool,
}

/// How long answers that are under way are waited for once the server is told to stop, and how long work beside it.
const GRACE: Duration = Duration::from_secs(1);
const GRACE_BESIDE: Duration = Duration::from_millis(300);
/// More connections at once are closed unanswered; a browser opens six.
const MOST_CONNECTIONS: usize = 256;
/// Where no connection can be taken, for want of handles for instance, it is tried again after this.
const AFTER_A_FAILURE: Duration = Duration::from_millis(100);

/// Serves until it is told to stop; `say` is told the address once it answers.
pub fn serve(options: Options, say: impl FnOnce(&str)) -> Result<(), Problems> {
    refuse(&options)?;
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build();
    let runtime = runtime
        .map_err(|error| Problems::from(Problem::error("this machine", "a server", error.to_string())))?;
    let served = runtime.block_on(run(options, say));
    // What is still worked out then is given up. Whatever was confirmed is on the disk.
    runtime.shutdown_timeout(GRACE_BESIDE);
    served
}

fn refuse(options: &Options) -> Result<(), Box<Problem>> {
    let address = options.address;
    if address.ip().is_unspecified() {
        let problem = Problem::error(Field::Address, "one address of this machine", address.to_string());
        return Err(Box::new(
            problem.hint("Give the address that other machines know this one by, or leave it out."),
        ));
    }
    if !address.ip().is_loopback() && !options.with_key {
        let expected = "an address that only this machine can reach, or a key for whoever asks";
        let problem = Problem::error(Field::Address, expected, address.to_string());
        let hint = Wording::from(
            "Others in the network could read and change everything. Only whoever has the whole address that is printed can \
             where a key is asked for: ",
        )
        .field(Field::WithKey)
        .text(". What is sent is not encrypted: do it only in a network of people you trust.");
        return Err(Box::new(problem.hint(hint)));
    }
    Ok(())
}

async fn run(options: Options, say: impl FnOnce(&str)) -> Result<(), Problems> {
    let bound = TcpListener::bind(options.address).await;
    let listener = bound.map_err(|error| vec![not_free(options.address, &error)])?;
    let address = listener.local_addr().unwrap_or(options.address);
    let garage = Garage::at(options.garage).reading_apart(Apart::usual());
    garage.clear_left_behind();
    let key = if options.with_key { Some(new_key()?) } else { None };
    let app = App::new(garage, Hosts::new(address).with_key(key.clone()))?;
    let shown = match key {
        Some(key) => format!("http://{address}/?key={key}"),
        None => format!("http://{address}/"),
    };
    say(&shown);
    if options.browser {
        world::open_browser(&shown);
    }
    answer(listener, routes::router(app), Limits::default(), told_to_stop()).await;
    Ok(())
}

fn new_key() -> Result<String, Problems> {
    let secret = world::secret()?;
    Ok(secret.iter().take(16).map(|byte| format!("{byte:02x}")).collect())
}

/// Ctrl+C, or what a system says to a program that is to end.
async fn told_to_stop() {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut ended) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = tokio::signal::ctrl_c() => {}
                _ = ended.recv() => {}
            }
            return;
        }
    }
    let _ = tokio::signal::ctrl_c().await;
}

/// Answers until it is told to stop; then answers that are under way get a moment to end.
async fn answer(listener: TcpListener, pages: Router, limits: Limits, stop: impl Future<Output = ()>) {
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
        let Ok((stream, _)) = accepted else {
            tokio::time::sleep(AFTER_A_FAILURE).await;
            continue;
        };
        let Ok(place) = places.clone().try_acquire_owned() else { continue };
        let service = TowerToHyperService::new(pages.clone());
        let connection = open.watch(builder.serve_connection(TokioIo::new(stream), service));
        tokio::spawn(async move {
            // A connection that breaks concerns its other end alone.
            let _ = connection.await;
            drop(place);
        });
    }
    let _ = tokio::time::timeout(GRACE, open.shutdown()).await;
}

fn not_free(address: SocketAddr, error: &std::io::Error) -> Problem {
    Problem::error(Field::Address, "an address that is free", format!("{address}: {error}")).hint(
        Wording::from("waywiser may be running already; or choose another with ")
            .field(Field::Address.such_as("127.0.0.1:PORT"))
            .text("."),
    )
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
        runtime.spawn(answer(listener, pages, limits, std::future::pending()));
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

    #[test]
    fn other_machines_need_a_key() {
        let check = |address: &str, with_key: bool| {
            let (garage, address) = (PathBuf::new(), address.parse().unwrap());
            refuse(&Options { address, with_key, garage, browser: false })
                .map_err(|problem| problem.hint.to_string())
        };
        assert_eq!(check("127.0.0.1:7171", false), Ok(()));
        assert_eq!(check("[::1]:7171", false), Ok(()));
        assert_eq!(check("192.0.2.7:7171", true), Ok(()));
        for address in ["192.0.2.7:7171", "[2001:db8::7]:7171"] {
            let told = check(address, false).unwrap_err();
            assert!(told.contains("with key") && told.contains("not encrypted"), "{told}");
        }
        assert!(check("0.0.0.0:7171", true).is_err());
    }
}
