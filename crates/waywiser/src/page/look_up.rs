//! What can be looked up without a truck: a size of tire, the rules, what a choice is decided by.

use super::addresses::{DECISION, GARAGE, RULES, TIRE};
use super::app::{Answer, App, Shared, work};
use super::document;
use super::error::PageError;
use super::frame::Head;
use super::frame::html as answer;
use crate::work::typed;
use axum::Router;
use axum::extract::{Query, State};
use axum::routing::get;
use maud::{Markup, html};
use serde::Deserialize;
use truing::describe::thresholds::Thresholds;
use truing::describe::tire::TireSize;
use truing::describe::tire::circumference::RollingConditions;
use truing::problem::Problems;
use truing::report::answers::decision::DecisionReport;
use truing::report::answers::rules::RulesReport;
use truing::report::answers::tire::TireReport;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new().route(TIRE, get(tire)).route(RULES, get(rules)).route(DECISION, get(decision))
}

/// What stands in the address.
#[derive(Deserialize)]
struct LookUpQuery {
    size: Option<String>,
}

/// What a size of tire means.
pub fn tire_report(app: &App, size: &str) -> Result<TireReport, Problems> {
    let tire = TireSize::parse(size)?;
    let report = TireReport::new(&tire, &RollingConditions::default(), app.garage.settings().units);
    report.map_err(Problems::from)
}

async fn tire(State(app): State<Shared>, Query(asked): Query<LookUpQuery>) -> Answer {
    work(&app, move |app| {
        let size = asked.size.as_deref().and_then(typed::given);
        let report = size.map(|size| tire_report(app, size)).transpose();
        let report = report.map_err(|problems| PageError::unusable(problems).or("Another size", TIRE))?;
        let body = html! {
            @if let Some(report) = &report { (document::whole(&report.document())) }
            form method="get" action=(TIRE) class="asks" {
                label for="size" { "Size as printed on the sidewall, or a diameter" }
                input type="text" id="size" name="size" value=(size.unwrap_or_default()) placeholder="LT275/75R17" required autocomplete="off" autocapitalize="characters" spellcheck="false";
                button { "Look it up" }
            }
            (back())
        };
        let title = size.map_or("A size of tire".to_string(), |size| format!("Tire: {size}"));
        Ok(answer(Head::new(&title).frame(&body)))
    })
    .await
}

async fn rules(State(_): State<Shared>) -> Answer {
    let body = html! { (document::whole(&RulesReport::new().document())) (back()) };
    Ok(answer(Head::new("The rules").frame(&body)))
}

async fn decision(State(_): State<Shared>) -> Answer {
    let report = DecisionReport::new(&Thresholds::default());
    let body = html! { (document::whole(&report.document())) (back()) };
    Ok(answer(Head::new("What a choice is decided by").frame(&body)))
}

fn back() -> Markup {
    html! { p { a href=(GARAGE) { "Back to the garage" } } }
}
