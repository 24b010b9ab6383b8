//! `waywiser serve`, and `waywiser` alone.

use super::answer;
use super::record::garage::Garage;
use crate::page;
use clap::Args;
use std::io::Write;
use std::net::SocketAddr;
use std::process::ExitCode;

/// The local page: all six stages in a browser.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser serve --address 127.0.0.1:7171 --no-browser")]
pub struct Serve {
    /// Where it listens; only this machine can reach the usual one
    #[arg(long, value_name = "ADDRESS:PORT", default_value = DEFAULT_ADDRESS)]
    address: SocketAddr,
    /// Let only whoever has the key in: it is made at each start, and stands in the address that is printed. Needed where other
    /// machines can reach the address
    #[arg(long)]
    with_key: bool,
    /// Do not open a browser
    #[arg(long)]
    no_browser: bool,
    #[command(flatten)]
    garage: Garage,
}

/// Only this machine; the port is ours by choice, nothing else is known there.
const DEFAULT_ADDRESS: &str = "127.0.0.1:7171";

impl Serve {
    /// Runs it until it is stopped.
    pub fn run(&self) -> ExitCode {
        let served = self.garage.private_folder().and_then(|garage| {
            let (address, with_key, browser) = (self.address, self.with_key, !self.no_browser);
            let options = page::Options { address, with_key, garage, browser };
            page::serve(options, say)
        });
        match served {
            Ok(()) => ExitCode::SUCCESS,
            Err(problems) => answer::print_problems(&problems),
        }
    }

    /// As `waywiser` alone means it.
    pub fn usual() -> Self {
        let address = SocketAddr::from(([127, 0, 0, 1], DEFAULT_PORT));
        Self { address, with_key: false, no_browser: false, garage: Garage::default() }
    }
}

const DEFAULT_PORT: u16 = 7171;

fn say(address: &str) {
    let mut out = std::io::stdout();
    let _ = writeln!(out, "waywiser answers at {address} until you stop it (Ctrl+C).");
    let _ = out.flush();
}
