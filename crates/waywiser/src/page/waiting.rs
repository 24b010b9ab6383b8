//! A truck whose files are being read: an answer where it comes soon, else a page that asks again.

use super::addresses::Stage;
use super::app::{App, Shared};
use super::frame::html;
use super::path;
use crate::garage::{Known, Truck, fault_in};
use axum::response::Response;
use std::sync::Arc;
use std::time::Duration;
use truing::problem::Problems;

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
    html(path::head(app, truck, stage).again_after(1).frame(&body))
}

/// A size as people read it.
fn megabytes(bytes: u64) -> String {
    format!("{:.1} MB", bytes as f64 / 1e6)
}
