//! Answering the network: one port on every private address of this machine, encrypted.

use super::super::app::Shared;
use super::super::lines::{Entrance, answer};
use super::super::timely::Limits;
use super::gate;
use crate::lan::{Encrypted, Network};
use crate::world::told_to_stop;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use truing::problem::{Field, Problem, Problems, Wording};

/// How often it is looked whether this machine has another address by now.
const LOOKED_AGAIN: Duration = Duration::from_secs(5);
/// How long a request from the network may take to come in: what a phone sends is small.
const LIMITS: Limits =
    Limits { head: Duration::from_secs(10), idle: Duration::from_secs(10), body: Duration::from_secs(120) };

/// A port that is taken for the network.
pub struct InNetwork {
    listener: TcpListener,
    encrypted: Encrypted,
    /// What stands there.
    pub network: Arc<Network>,
}

impl InNetwork {
    /// Takes a port. It hears all addresses, as those of a network come and go; who asks from elsewhere is not answered.
    pub async fn at(garage: &Path, port: u16) -> Result<Self, Problems> {
        let address = SocketAddr::from((Ipv4Addr::UNSPECIFIED, port));
        let bound = TcpListener::bind(address).await;
        let listener = bound.map_err(|error| not_free(port, &error))?;
        let port = listener.local_addr().map_or(port, |address| address.port());
        let network = Arc::new(Network::of(garage, port)?);
        let encrypted = Encrypted::new(network.clone())?;
        Ok(Self { listener, encrypted, network })
    }

    /// Answers until the program is told to stop.
    pub async fn answer(self, app: Shared) {
        let network = self.network;
        let looking = tokio::spawn(async move {
            loop {
                tokio::time::sleep(LOOKED_AGAIN).await;
                let network = network.clone();
                let _ = tokio::task::spawn_blocking(move || network.look_again()).await;
            }
        });
        answer(self.listener, Entrance::Encrypted(self.encrypted), gate::router(app), LIMITS, told_to_stop())
            .await;
        looking.abort();
    }
}

fn not_free(port: u16, error: &std::io::Error) -> Box<Problem> {
    let problem = Problem::error(Field::Port, "a port that is free", format!("{port}: {error}"));
    Box::new(
        problem.hint(
            Wording::from("waywiser may be running already; or choose another with ")
                .field(Field::Port.such_as("7173"))
                .text(". Phones that were let in know the one from before."),
        ),
    )
}
