//! What a vehicle file may hold, for programs that write or check one.

use super::answer::{Given, given};
use super::ask;
use super::taken::Asked;
use crate::page::app::Shared;
use axum::extract::State;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Map, Value};
use truing::describe::file::schema::vehicle_schema;
use truing::report::answers::keys::KeysReport;
use truing::report::papers::starting_file::starting_file;

/// The JSON Schema (draft 2020-12) of vehicle files.
#[derive(Serialize, JsonSchema)]
pub struct VehicleSchema(Map<String, Value>);

/// A vehicle file to start from.
#[derive(Serialize, JsonSchema)]
pub struct StartingFile {
    /// The file (TOML). Its lines marked FILL IN are to be filled in.
    file: String,
}

/// The schema.
pub async fn schema(State(app): State<Shared>) -> Given<VehicleSchema> {
    given(&app, |_| {
        Ok(VehicleSchema(match vehicle_schema() {
            Value::Object(schema) => schema,
            _ => Map::new(),
        }))
    })
    .await
}

/// Every section and key.
pub async fn keys(State(app): State<Shared>, Asked(asked): Asked<ask::SectionAsked>) -> Given<KeysReport> {
    given(&app, move |app| Ok(KeysReport::new(asked.section.as_deref(), app.garage.settings().units)?)).await
}

/// A file to start from.
pub async fn start(State(app): State<Shared>, Asked(asked): Asked<ask::StartAsked>) -> Given<StartingFile> {
    given(&app, move |app| {
        let file = starting_file(asked.kind.as_deref(), app.garage.settings().units)?;
        Ok(StartingFile { file })
    })
    .await
}
