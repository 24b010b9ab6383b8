//! Starting and stopping the server.

use super::app::App;
use super::hosts::Hosts;
use super::lines::{Entrance, answer};
use super::routes;
use super::timely::Limits;
#[cfg(feature = "lan")]
use super::{addresses::DEVICES, phones::InNetwork};
use crate::garage::{Apart, Garage};
use crate::world::{self, told_to_stop};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;
use tokio::net::TcpListener;
use truing::problem::{Field, Problem, Problems, Wording};

/// How the page is served.
pub struct Options {
    /// Where it listens.
    pub address: SocketAddr,
    /// Whether whoever asks needs a key, which is made at each start and stands in the address that is said.
    pub with_key: bool,
    /// The port at which phones in the same network reach the page for a drive, where they may.
    pub lan: Option<u16>,
    /// The garage's folder.
    pub garage: PathBuf,
    /// Whether a browser is opened.
    pub browser: bool,
}

/// How long work beside the server is waited for once it is told to stop.
const GRACE_BESIDE: Duration = Duration::from_millis(300);

/// Where the page answers.
pub struct Answering {
    /// For this machine, or whoever has the key.
    pub address: String,
    /// For phones in the same network.
    pub network: Option<ForPhones>,
}

/// Where phones in the same network are answered.
pub struct ForPhones {
    /// By this machine's name.
    pub by_name: String,
    /// By its addresses.
    pub by_address: Vec<String>,
    /// Whether its name can be found.
    pub is_announced: bool,
    /// Where a phone is let in.
    pub letting_in: String,
}

/// Serves until it is told to stop; `say` is told where, once it answers.
pub fn serve(options: Options, say: impl FnOnce(&Answering)) -> Result<(), Problems> {
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
    if !address.ip().is_loopback() && options.lan.is_some() {
        let expected = "an address that only this machine can reach; phones have one of their own";
        let problem = Problem::error(Field::Address, expected, address.to_string());
        return Err(Box::new(problem.hint("The garage stays on this machine. Leave the address out.")));
    }
    if !address.ip().is_loopback() && !options.with_key {
        let expected = "an address that only this machine can reach, or a key for whoever asks";
        let problem = Problem::error(Field::Address, expected, address.to_string());
        let hint = Wording::from("A phone that is to record a drive reaches what it needs, encrypted, by ")
            .field(Field::Lan)
            .text(". Otherwise others in the network could read and change everything. Only whoever has the whole address that is printed can \
             where a key is asked for: ")
            .field(Field::WithKey)
        .text(". What is sent is not encrypted: do it only in a network of people you trust.");
        return Err(Box::new(problem.hint(hint)));
    }
    Ok(())
}

async fn run(options: Options, say: impl FnOnce(&Answering)) -> Result<(), Problems> {
    let bound = TcpListener::bind(options.address).await;
    let listener = bound.map_err(|error| vec![not_free(options.address, &error)])?;
    let address = listener.local_addr().unwrap_or(options.address);
    let garage = Garage::at(options.garage).reading_apart(Apart::usual());
    garage.clear_left_behind();
    let key = if options.with_key { Some(new_key()?) } else { None };
    let hosts = Hosts::new(address).with_key(key.clone());
    let shown = match key {
        Some(key) => format!("http://{address}/?key={key}"),
        None => format!("http://{address}/"),
    };
    match options.lan {
        Some(port) => with_phones(listener, garage, hosts, port, shown, options.browser, say).await,
        None => {
            let app = App::new(garage, hosts)?;
            begin(&Answering { address: shown, network: None }, options.browser, say);
            answer(listener, Entrance::Open, routes::router(app), Limits::default(), told_to_stop()).await;
            Ok(())
        }
    }
}

/// The same for phones in the network as well, on a line of its own.
#[cfg(feature = "lan")]
async fn with_phones(
    listener: TcpListener,
    garage: Garage,
    hosts: Hosts,
    port: u16,
    shown: String,
    browser: bool,
    say: impl FnOnce(&Answering),
) -> Result<(), Problems> {
    let reached = InNetwork::at(garage.folder(), port).await?;
    let app = App::in_network(garage, hosts, reached.network.clone())?;
    let network = ForPhones {
        by_name: reached.network.origin(),
        by_address: reached.network.origins_by_address(),
        is_announced: reached.network.announce(),
        letting_in: format!("{}{}", shown.trim_end_matches('/'), DEVICES),
    };
    begin(&Answering { address: shown, network: Some(network) }, browser, say);
    let here =
        answer(listener, Entrance::Open, routes::router(app.clone()), Limits::default(), told_to_stop());
    tokio::join!(here, reached.answer(app));
    Ok(())
}

/// Nobody is answered: that part was left out.
#[cfg(not(feature = "lan"))]
async fn with_phones(
    _listener: TcpListener,
    _garage: Garage,
    _hosts: Hosts,
    _port: u16,
    _shown: String,
    _browser: bool,
    _say: impl FnOnce(&Answering),
) -> Result<(), Problems> {
    let problem = Problem::error("this program", "one that answers phones", "one that was built without it");
    Err(problem.hint("Take a program with the feature `lan`.").into())
}

fn begin(answering: &Answering, browser: bool, say: impl FnOnce(&Answering)) {
    say(answering);
    if browser {
        world::open_browser(&answering.address);
    }
}

fn new_key() -> Result<String, Problems> {
    let secret = world::secret()?;
    Ok(secret.iter().take(16).map(|byte| format!("{byte:02x}")).collect())
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

    #[test]
    fn other_machines_need_a_key() {
        let check = |address: &str, with_key: bool| {
            let (garage, address) = (PathBuf::new(), address.parse().unwrap());
            refuse(&Options { address, with_key, lan: None, garage, browser: false })
                .map_err(|problem| problem.hint.to_string())
        };
        assert_eq!(check("127.0.0.1:7171", false), Ok(()));
        assert_eq!(check("[::1]:7171", false), Ok(()));
        assert_eq!(check("192.0.2.7:7171", true), Ok(()));
        for address in ["192.0.2.7:7171", "[2001:db8::7]:7171"] {
            let told = check(address, false).unwrap_err();
            assert!(told.contains("with key") && told.contains("not encrypted"), "{told}");
            assert!(told.contains("encrypted, by lan"), "{told}");
        }
        assert!(check("0.0.0.0:7171", true).is_err());
    }
}
