//! What all pages share: the garage, and how work is done beside the server.

use super::batch::kept::Batches;
use super::error::PageError;
use super::hosts::Hosts;
use super::look_at::kept::Looked;
use crate::garage::{Garage, Known, Slug, Truck, fault_in};
use axum::response::Response;
use std::sync::Arc;
use truing::problem::Problems;

/// What all pages share.
pub struct App {
    /// The garage that is shown.
    pub garage: Garage,
    pub(super) token: String,
    pub(super) hosts: Hosts,
    pub(super) reading: Arc<tokio::sync::Mutex<()>>,
    pub(super) batches: Batches,
    pub(super) looked: Looked,
    #[cfg(feature = "lan")]
    pub(super) network: Option<Arc<crate::lan::Network>>,
}

/// The same, as handlers take it.
pub type Shared = Arc<App>;
/// What a handler gives back.
pub type Answer = Result<Response, PageError>;

impl App {
    /// The pages of a garage, for requests to these hosts alone.
    pub fn new(garage: Garage, hosts: Hosts) -> Result<Shared, Problems> {
        Self::made(garage, hosts).map(Arc::new)
    }

    /// The same, where phones in the network reach the page for the drive.
    #[cfg(feature = "lan")]
    pub fn in_network(
        garage: Garage,
        hosts: Hosts,
        network: Arc<crate::lan::Network>,
    ) -> Result<Shared, Problems> {
        Ok(Arc::new(Self { network: Some(network), ..Self::made(garage, hosts)? }))
    }

    fn made(garage: Garage, hosts: Hosts) -> Result<Self, Problems> {
        let secret = crate::world::secret()?;
        let token = secret.iter().map(|byte| format!("{byte:02x}")).collect();
        // What stands in its way is told when something is about to be recorded.
        let _ = garage.settle_record_names();
        Ok(Self {
            garage,
            token,
            hosts,
            reading: Arc::default(),
            batches: Batches::default(),
            looked: Looked::default(),
            #[cfg(feature = "lan")]
            network: None,
        })
    }

    /// The truck of an address.
    pub fn truck(&self, slug: &str) -> Result<Arc<Truck>, PageError> {
        let slug = Slug::read(slug).ok_or_else(PageError::no_such_truck)?;
        let truck = self.garage.truck(&slug);
        truck.map_err(|_| PageError::no_such_truck())
    }

    /// All that is known of the truck of an address.
    pub fn known(&self, slug: &str) -> Result<Arc<Known>, PageError> {
        let truck = self.truck(slug)?;
        self.garage.known(&truck.slug).map_err(|problems| PageError::of_truck(&truck, problems))
    }
}

/// Does blocking work beside the server, and comes back with what it gave.
pub async fn work<T: Send + 'static>(
    app: &Shared,
    act: impl FnOnce(&App) -> Result<T, PageError> + Send + 'static,
) -> Result<T, PageError> {
    let app = app.clone();
    let done =
        tokio::task::spawn_blocking(move || crate::world::caught(|| act(&app)).map_err(|files| (app, files)));
    match done.await {
        Ok(Ok(done)) => done,
        Ok(Err((app, files))) => Err(PageError::fault(app.garage.shown(fault_in(&files)))),
        Err(_) => Err(PageError::unexpected()),
    }
}

/// A part of an address that nobody has had yet and nobody can guess.
pub fn unlike_any() -> Result<String, PageError> {
    let secret = crate::world::secret()?;
    Ok(secret.iter().take(8).map(|byte| format!("{byte:02x}")).collect())
}
