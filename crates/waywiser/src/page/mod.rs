//! The page: all six stages in a browser, served to this machine alone.
//!
//! Every answer is made on the server from the same `truing::report` that the command line prints; scripts are small,
//! our own, and never needed to read. `routes.rs` is the address map; each page has a file with its handlers, its view
//! and its tests. Whoever adds a page: an address in `routes.rs`, a file here, `frame::Head` around what it shows,
//! `form::form` around what it changes.

mod add;
mod answers;
mod api;
mod assets;
mod batch;
mod bench;
mod blocks;
mod choose;
mod describe;
mod difference;
mod document;
mod drive_fields;
mod error;
mod evidence;
mod fields;
mod files;
mod form;
mod frame;
mod guard;
mod home;
mod keep;
mod look_at;
mod look_up;
mod measure;
mod named;
mod papers;
mod parts;
mod prove;
mod read_on;
mod record;
mod rename;
mod routes;
mod serve;
mod set;
#[cfg(test)]
mod tests;
mod timely;
mod upload;

pub use api::description;
pub use serve::{Options, serve};

use crate::garage::{Garage, Known, Slug, Truck, fault_in};
use axum::response::{Html, IntoResponse, Response};
use error::PageError;
use maud::Markup;
use routes::Stage;
use std::sync::Arc;
use std::time::Duration;
use truing::problem::Problems;

/// What all pages share.
pub struct App {
    /// The garage that is shown.
    pub garage: Garage,
    token: String,
    hosts: guard::Hosts,
    reading: Arc<tokio::sync::Mutex<()>>,
    batches: batch::Batches,
    looked: look_at::Looked,
}

/// The same, as handlers take it.
pub type Shared = Arc<App>;
/// What a handler gives back.
pub type Answer = Result<Response, PageError>;

impl App {
    /// The pages of a garage, for requests to these hosts alone.
    pub fn new(garage: Garage, hosts: guard::Hosts) -> Result<Shared, Problems> {
        let secret = crate::world::secret()?;
        let token = secret.iter().map(|byte| format!("{byte:02x}")).collect();
        // What stands in its way is told when something is about to be recorded.
        let _ = garage.settle_record_names();
        Ok(Arc::new(Self {
            garage,
            token,
            hosts,
            reading: Arc::default(),
            batches: batch::Batches::default(),
            looked: look_at::Looked::default(),
        }))
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
fn unlike_any() -> Result<String, PageError> {
    let secret = crate::world::secret()?;
    Ok(secret.iter().take(8).map(|byte| format!("{byte:02x}")).collect())
}

/// How long a page waits for files that are being read before it shows that it waits.
const PATIENCE: Duration = Duration::from_millis(1500);

/// All that is known of a truck; nothing yet where its files take longer to read.
pub async fn known(app: &Shared, truck: &Truck) -> Option<Result<Arc<Known>, Problems>> {
    let (app, slug) = (app.clone(), truck.slug.clone());
    let reading = tokio::task::spawn_blocking(move || app.garage.known(&slug));
    let read = tokio::time::timeout(PATIENCE, reading).await.ok()?;
    // A fault is an answer: whoever waits for it would wait for ever.
    Some(read.unwrap_or_else(|_| Err(fault_in(&[]).into())))
}

/// The page that is shown meanwhile; it asks again by itself.
pub fn wait(app: &App, truck: &Truck, stage: Stage) -> Response {
    let body = maud::html! {
        p role="status" class="waiting" { "Reading the files of this truck. The page goes on by itself." }
        progress aria-label="Reading" {}
        ul {
            @for (file, bytes) in app.garage.sizes(truck) {
                li { (file) @if let Some(bytes) = bytes { span class="said" { ", " (megabytes(bytes)) } } }
            }
        }
        p { a class="button" href=(stage.of(&truck.slug)) { "Look now" } }
    };
    html(frame::Head::of(truck, stage).again_after(1).frame(&body))
}

/// A size as people read it.
fn megabytes(bytes: u64) -> String {
    format!("{:.1} MB", bytes as f64 / 1e6)
}

/// Answers with a page.
pub fn html(markup: Markup) -> Response {
    Html(crate::chart::printable(&markup.into_string())).into_response()
}
