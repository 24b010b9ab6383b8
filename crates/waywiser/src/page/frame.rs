//! The one layout: head, the six stages, what a page shows, foot.

use super::addresses::{GARAGE, MANUAL, SETTINGS, Stage};
use super::unbroken::unbroken;
use super::{assets, stages};
use crate::garage::Truck;
use crate::world::version::BUILD;
use axum::response::{Html, IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};
use truing::report::answers::path::PathFacts;

/// What stands around a page.
pub struct Head<'a> {
    title: &'a str,
    lead: Option<&'a str>,
    truck: Option<(&'a Truck, Option<Stage>)>,
    facts: Option<PathFacts>,
    scripts: &'a [&'a str],
    refresh_s: Option<u32>,
    notice: Option<Markup>,
}

impl<'a> Head<'a> {
    /// A page of the garage.
    pub fn new(title: &'a str) -> Self {
        Self { title, lead: None, truck: None, facts: None, scripts: &[], refresh_s: None, notice: None }
    }

    /// A page of a truck, at a stage.
    pub fn of(truck: &'a Truck, stage: Stage) -> Self {
        Self { truck: Some((truck, Some(stage))), ..Self::new(stage.name()) }
    }

    /// The same with how each stage stands.
    pub fn standing(self, facts: PathFacts) -> Self {
        Self { facts: Some(facts), ..self }
    }

    /// The same under another title.
    pub fn titled(self, title: &'a str) -> Self {
        Self { title, ..self }
    }

    /// The same with the most important sentence under the title.
    pub fn leading(self, lead: &'a str) -> Self {
        Self { lead: Some(lead), ..self }
    }

    /// The same with scripts, by the names of their files.
    pub fn with_scripts(self, scripts: &'a [&'a str]) -> Self {
        Self { scripts, ..self }
    }

    /// The same, loaded again after so many seconds: for what is still being worked out.
    pub fn again_after(self, seconds: u32) -> Self {
        Self { refresh_s: Some(seconds), ..self }
    }

    /// The same with what is to be seen first, where there is such.
    pub fn noticing(self, notice: Option<Markup>) -> Self {
        Self { notice, ..self }
    }

    /// The whole page.
    pub fn frame(&self, body: &Markup) -> Markup {
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    @if let Some(seconds) = self.refresh_s { meta http-equiv="refresh" content=(seconds); }
                    title { (self.whole_title()) }
                    link rel="icon" href=(assets::address("mark.svg")) type="image/svg+xml";
                    link rel="stylesheet" href=(assets::address("page.css"));
                    @for script in ["print.js"].iter().chain(self.scripts) { script src=(assets::address(script)) defer {} }
                }
                body {
                    a class="skip" href="#content" { "Skip to the content" }
                    (self.top())
                    main id="content" tabindex="-1" {
                        h1 { (self.title) }
                        @if let Some(lead) = self.lead { p class="lead" { (lead) } }
                        @if let Some(notice) = &self.notice { (notice) }
                        (body)
                    }
                    (foot())
                }
            }
        }
    }

    fn whole_title(&self) -> String {
        let truck = self.truck.map(|(truck, ..)| truck.name.as_str());
        [Some(self.title), truck, Some("waywiser")]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(" \u{2013} ")
    }

    fn top(&self) -> Markup {
        html! {
            header class="top" {
                div class="plate" {
                    a class="home" href=(GARAGE) { span class="wheel" aria-hidden="true" {} "Garage" }
                    @if let Some((truck, ..)) = self.truck { p class="truck-name" { (truck.name) } }
                }
                @if let Some((truck, now)) = self.truck { (stages::all(truck, now, self.facts.as_ref())) }
            }
        }
    }
}

fn foot() -> Markup {
    html! {
        footer {
            p { a href=(MANUAL) { "Manual" } " " a href=(SETTINGS) { "Units" } }
            p { "Local law and the vehicle's own service literature come first. waywiser " (BUILD) }
        }
    }
}

/// Answers with a page.
pub fn html(markup: Markup) -> Response {
    Html(unbroken(&crate::chart::printable(&markup.into_string()))).into_response()
}

/// A caution, where the hazard is.
pub fn caution(text: &str) -> Markup {
    html! { p class="caution" role="note" { strong { "Caution" } " " span { (text) } } }
}

/// Something that opens to more.
pub fn opens(summary: &Markup, body: &Markup) -> Markup {
    html! { details { summary { (summary) } div class="opened" { (body) } } }
}
