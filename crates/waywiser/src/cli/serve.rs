//! `waywiser serve`, and `waywiser` alone.

use super::answer;
use super::record::garage::Garage;
use crate::page::{self, Answering};
use clap::Args;
use std::io::Write;
use std::net::SocketAddr;
use std::process::ExitCode;

/// The local page: all six stages in a browser.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser serve --address 127.0.0.1:7171 --no-browser\n  waywiser serve --lan"
)]
pub struct Serve {
    /// Where it listens; only this machine can reach the usual one
    #[arg(long, value_name = "ADDRESS:PORT", default_value = DEFAULT_ADDRESS)]
    address: SocketAddr,
    /// Let only whoever has the key in: it is made at each start, and stands in the address that is printed. Needed where other
    /// machines can reach the address
    #[arg(long)]
    with_key: bool,
    /// Let phones in the same network reach the page for a drive, encrypted, and nothing else; the garage stays on this machine
    #[arg(long, conflicts_with = "with_key")]
    lan: bool,
    /// The port for phones; they know it, so take the same each time
    #[arg(long, value_name = "PORT", requires = "lan", default_value_t = PHONES_PORT)]
    port: u16,
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
            let lan = self.lan.then_some(self.port);
            let options = page::Options { address, with_key, lan, garage, browser };
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
        Self {
            address,
            with_key: false,
            lan: false,
            port: PHONES_PORT,
            no_browser: false,
            garage: Garage::default(),
        }
    }
}

const DEFAULT_PORT: u16 = 7171;

#[cfg(feature = "lan")]
const PHONES_PORT: u16 = crate::lan::PORT;
/// Nothing answers there: that part was left out.
#[cfg(not(feature = "lan"))]
const PHONES_PORT: u16 = 7172;

fn say(answering: &Answering) {
    let mut out = std::io::stdout();
    let _ = writeln!(out, "waywiser answers at {} until you stop it (Ctrl+C).", answering.address);
    if let Some(phones) = &answering.network {
        let _ = writeln!(
            out,
            "Phones in the same network reach {}/run once they are let in at {}",
            phones.by_name, phones.letting_in
        );
        let addresses = match &phones.by_address[..] {
            [] => "This machine is in no private network at the moment; join one, and it is reached."
                .to_string(),
            several => format!("By address: {}", several.join(", ")),
        };
        let _ = writeln!(out, "{addresses}");
        if !phones.is_announced {
            let _ = writeln!(out, "Its name could not be announced in the network; take the address.");
        }
    }
    let _ = out.flush();
}
