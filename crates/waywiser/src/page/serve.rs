//! Starting and stopping the server.

use super::guard::Hosts;
use super::{App, routes};
use crate::garage::{Apart, Garage};
use crate::world;
use std::net::SocketAddr;
use std::path::PathBuf;
use truing::problem::Problem;

/// How the page is served.
pub struct Options {
    /// Where it listens.
    pub address: SocketAddr,
    /// The garage's folder.
    pub garage: PathBuf,
    /// Whether a browser is opened.
    pub browser: bool,
}

/// Serves until it is told to stop; `say` is told the address once it answers.
pub fn serve(options: Options, say: impl FnOnce(&str)) -> Result<(), Vec<Problem>> {
    if options.address.ip().is_unspecified() {
        let problem = Problem::error("--address", "one address of this machine", options.address.to_string());
        return Err(vec![
            problem.hint("Give the address that other machines know this one by, or leave it out."),
        ]);
    }
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build();
    let runtime =
        runtime.map_err(|error| vec![Problem::error("this machine", "a server", error.to_string())])?;
    runtime.block_on(run(options, say))
}

async fn run(options: Options, say: impl FnOnce(&str)) -> Result<(), Vec<Problem>> {
    let bound = tokio::net::TcpListener::bind(options.address).await;
    let listener = bound.map_err(|error| vec![not_free(options.address, &error)])?;
    let address = listener.local_addr().unwrap_or(options.address);
    let garage = Garage::at(options.garage).reading_apart(Apart::usual());
    garage.clear_left_behind();
    let app = App::new(garage, Hosts::of(address))?;
    let shown = format!("http://{address}/");
    say(&shown);
    if options.browser {
        world::open_browser(&shown);
    }
    let server = axum::serve(listener, routes::router(app)).with_graceful_shutdown(async {
        let _ = tokio::signal::ctrl_c().await;
    });
    server.await.map_err(|error| vec![Problem::error(&shown, "a server that runs on", error.to_string())])
}

fn not_free(address: SocketAddr, error: &std::io::Error) -> Problem {
    Problem::error("--address", "an address that is free", format!("{address}: {error}"))
        .hint("waywiser may be running already; or choose another with --address 127.0.0.1:PORT.")
}
