//! Calling a truck something else. Its record goes on under the name it was begun with.

use super::addresses::{Stage, truck as under};
use super::app::{Answer, App, Shared, work};
use super::error::PageError;
use super::form::{Posted, form, version};
use super::refused::refused_page;
use crate::garage::Truck;
use axum::Router;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect};
use axum::routing::post;
use maud::{Markup, html};
use truing::problem::Problem;

/// Its address.
pub fn routes() -> Router<Shared> {
    Router::new().route("/trucks/{slug}/name", post(rename))
}

/// The form, folded.
pub fn rename_form(app: &App, truck: &Truck) -> Markup {
    html! {
        details class="quiet" {
            summary { "Call it something else" }
            (form(app, &under(&truck.slug, "name"), &html! {
                (version(&truck.hash))
                label for="name" { "What do you call it?" }
                input type="text" id="name" name="name" value=(truck.name) required maxlength="80" autocomplete="off";
                p class="hint" { "Its record goes on, under the name it was begun with." }
                button { "Keep the name" }
            }))
        }
    }
}

/// What speaks against calling a truck so: nothing, or that it could not be told apart in the garage.
pub fn objection(app: &App, name: &str, own: Option<&Truck>) -> Option<Problem> {
    if name.is_empty() {
        return Some(Problem::error("the form", "a name", "none").hint("Any name will do."));
    }
    let others = app.garage.slugs().into_iter().filter(|slug| own.is_none_or(|own| own.slug != *slug));
    let is_taken = others.filter_map(|slug| app.garage.truck(&slug).ok()).any(|truck| truck.name == name);
    is_taken.then(|| {
        Problem::error("the form", "a name of its own", format!("`{name}`, which another truck has"))
            .hint("Two trucks of one name could not be told apart in the garage.")
    })
}

async fn rename(State(app): State<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    work(&app, move |app| {
        let (truck, name) = (app.truck(&slug)?, posted.text("name"));
        if let Some(problem) = objection(app, name, Some(&truck)) {
            return Err(
                PageError::unusable(problem).or("Back to the truck", &Stage::Describe.of(&truck.slug))
            );
        }
        let renamed = app.garage.rename(&truck.slug, posted.version()?, name);
        let again = under(&truck.slug, "name");
        renamed.map_err(|refused| refused_page(app, refused, &again, &posted))?;
        Ok(Redirect::to(&Stage::Describe.of(&truck.slug)).into_response())
    })
    .await
}
