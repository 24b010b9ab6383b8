//! What a form would come to, while somebody types: for the script, which shows it under the fields.

use super::app::{App, Shared, work};
use super::error::PageError;
use super::fields::{Preview, section, typed, variant};
use super::form::Posted;
use super::look_up::tire_report;
use crate::garage::Truck;
use axum::extract::{Path, RawQuery, State};
use axum::routing::get;
use axum::{Json, Router};
use serde::Serialize;
use toml_edit::{DocumentMut, Table};
use truing::describe::evidence::EvidenceKind;
use truing::describe::tire::TireSize;
use truing::describe::vehicle::Vehicle;
use truing::report::answers::rolled::RolledReport;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new().route(TIRE, get(tire)).route("/trucks/{slug}/preview/rollout", get(rollout))
}

/// Where a size of tire is asked about.
const TIRE: &str = "/preview/tire";

/// Where the script asks.
pub fn address(preview: Preview, truck: Option<&Truck>) -> String {
    match (preview, truck) {
        (Preview::Rollout, Some(truck)) => super::addresses::truck(&truck.slug, "preview/rollout"),
        _ => TIRE.to_string(),
    }
}

/// What is shown; nothing while what was typed says nothing yet.
#[derive(Serialize)]
struct Shown {
    says: Option<String>,
}

async fn tire(State(app): State<Shared>, RawQuery(query): RawQuery) -> Result<Json<Shown>, PageError> {
    work(&app, move |app| {
        let posted = asked(query);
        let says = tire_report(app, posted.text("size")).ok().map(|report| report.in_short());
        Ok(Json(Shown { says }))
    })
    .await
}

async fn rollout(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    RawQuery(query): RawQuery,
) -> Result<Json<Shown>, PageError> {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        Ok(Json(Shown { says: rolled(app, &truck, &asked(query)) }))
    })
    .await
}

fn asked(query: Option<String>) -> Posted {
    Posted::new(serde_urlencoded::from_str(&query.unwrap_or_default()).unwrap_or_default())
}

/// What a rollout as it was typed comes to beside the tires that are on.
fn rolled(app: &App, truck: &Truck, posted: &Posted) -> Option<String> {
    let section = section("evidence")?;
    let kind = variant(section, "rollout")?;
    let units = app.garage.settings().units;
    let keys = kind.keys.to_vec();
    let changes = typed(&keys, &[], None, posted, units).ok()?;
    let mut table = Table::new();
    table.insert("kind", toml_edit::value(kind.word));
    super::fields::set(&mut table, changes);
    let mut document = DocumentMut::new();
    document.insert(section.name, toml_edit::Item::ArrayOfTables(std::iter::once(table).collect()));
    let read = Vehicle::read("the form", &document.to_string()).0?;
    let EvidenceKind::Rollout { turns, lengths } = &read.evidence.first()?.kind else { return None };
    let mounted = truck.vehicle.as_ref().and_then(|vehicle| vehicle.mounted());
    let fitted = mounted.and_then(|set| set.size.as_deref()).and_then(|size| TireSize::parse(size).ok());
    RolledReport::new(*turns, lengths, fitted.as_ref(), units).map(|report| report.says())
}
