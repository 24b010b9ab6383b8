//! What a drive needs, as the run page takes it along; without a truck, which trucks there are.

use crate::page::api::ApiError;
use crate::page::app::{Shared, work};
use crate::page::error::PageError;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Json, Response};
use serde::{Deserialize, Serialize};
use truing::report::answers::run_needs::RunNeeds;

#[derive(Deserialize)]
pub struct Asked {
    truck: Option<String>,
}

/// A truck, as it is called in addresses and by its owner.
#[derive(Serialize)]
struct Named {
    truck: String,
    name: String,
}

#[derive(Serialize)]
struct Trucks {
    trucks: Vec<Named>,
}

#[derive(Serialize)]
struct Needs {
    #[serde(flatten)]
    named: Named,
    #[serde(flatten)]
    needs: RunNeeds,
}

pub async fn show(State(app): State<Shared>, Query(asked): Query<Asked>) -> Result<Response, ApiError> {
    let answer = work(&app, move |app| {
        let Some(name) = asked.truck.filter(|name| !name.is_empty()) else {
            let slugs = app.garage.slugs().into_iter();
            let truck = |slug| app.garage.truck(&slug).ok();
            let named = |truck: std::sync::Arc<crate::garage::Truck>| Named {
                truck: truck.slug.to_string(),
                name: truck.name.clone(),
            };
            return Ok(Json(Trucks { trucks: slugs.filter_map(truck).map(named).collect() }).into_response());
        };
        let truck = app.truck(&name)?;
        let Some(vehicle) = &truck.vehicle else {
            return Err(PageError::of_truck(&truck, truck.problems.clone().into()));
        };
        let named = Named { truck: truck.slug.to_string(), name: truck.name.clone() };
        let needs = RunNeeds::new(vehicle, app.garage.settings().units);
        Ok((StatusCode::OK, Json(Needs { named, needs })).into_response())
    });
    Ok(answer.await?)
}
