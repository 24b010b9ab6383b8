//! An edit that was not made because somebody else changed the file meanwhile.

use super::addresses::Stage;
use super::app::App;
use super::error::PageError;
use super::form::{Posted, VERSION, form};
use crate::garage::Refused;
use axum::http::StatusCode;
use maud::{Markup, html};

/// The page for an edit that was not made. For a version that is no longer there it shows the file as it is now and with
/// the change, and offers to make the change on it: nothing that was typed is lost.
pub fn refused_page(app: &App, refused: Refused, action: &str, posted: &Posted) -> PageError {
    let (now, wanted) = match refused {
        Refused::Problems(problems) => return PageError::unusable(problems),
        Refused::Stale { now, wanted } => (now, wanted),
    };
    let says = "Somebody changed this truck's file since this form was loaded, perhaps in another tab. Nothing was overwritten.";
    let body = html! {
        @if let Some(wanted) = &wanted { (beside(&now.text, wanted)) }
        (form(app, action, &html! {
            input type="hidden" name=(VERSION) value=(now.hash);
            @for (name, text) in posted.fields() { input type="hidden" name=(name) value=(text); }
            button { "Make my change on the file as it is now" }
        }))
    };
    PageError::new(StatusCode::CONFLICT, "The file has changed meanwhile", says)
        .or("Leave it as it is now", &Stage::Describe.of(&now.slug))
        .with(body)
}

/// Two texts, line by line; what only one of them has is marked.
fn beside(now: &str, wanted: &str) -> Markup {
    let lines = |text: &'_ str, other: &'_ str| -> Vec<(bool, String)> {
        let known: Vec<&str> = other.lines().collect();
        text.lines().map(|line| (!known.contains(&line), line.to_string())).collect()
    };
    let side = |title: &str, lines: Vec<(bool, String)>| {
        html! {
            section {
                h2 { (title) }
                pre tabindex="0" {
                    @for (differs, line) in &lines {
                        @if *differs { mark { "\u{2192} " (line) } "\n" } @else { "  " (line) "\n" }
                    }
                }
            }
        }
    };
    html! {
        div class="beside" {
            (side("As it is now", lines(now, wanted)))
            (side("With your change", lines(wanted, now)))
        }
    }
}
