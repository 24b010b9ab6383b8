//! The owner's own routine: written once, used for every setting of the truck.

use crate::garage::{NotKept, Truck};
use crate::page::addresses::{Stage, truck as under};
use crate::page::app::{Answer, App, Shared, work};
use crate::page::blocks;
use crate::page::error::PageError;
use crate::page::form::{self, Posted, form};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use maud::{Markup, html};
use truing::describe::vehicle::Vehicle;
use truing::problem::Problem;
use truing::record::Hash;
use truing::set::{PLACEHOLDERS, generic_procedure};

/// The form, folded; it begins with the steps that ship where none were written.
pub fn form_of(app: &App, truck: &Truck, vehicle: &Vehicle) -> Markup {
    let Ok(own) = app.garage.routine(&truck.slug) else { return html! {} };
    let kind = vehicle.adjusters.first().map(|adjuster| adjuster.kind_word());
    let shipped = kind.and_then(generic_procedure).unwrap_or_default();
    let text = if own.is_empty() { shipped } else { &own };
    let inside = html! {
        p {
            "One step a line. A line that begins with " code { "*" } " is a caution, with " code { "?" } " a check that must come true, with "
            code { "<" } " the way out without spending a write, with " code { "!" } " a step that cannot be taken back. "
            "Before each of those stand a check that names the target and a way out."
        }
        p class="hint" { "Filled in on the way: " (PLACEHOLDERS.map(|word| format!("{{{word}}}")).join(" ")) "." }
        (editor(app, truck, &Hash::new(own.as_bytes()), text))
        @if !own.is_empty() { p class="hint" { "Kept empty, the steps that ship are used again." } }
    };
    let summary =
        if own.is_empty() { "Write your own module's routine" } else { "Your own module's routine is used" };
    html! { div id="routine" { (blocks::opens(summary, &inside)) } }
}

fn editor(app: &App, truck: &Truck, version: &Hash, text: &str) -> Markup {
    form(
        app,
        &under(&truck.slug, "set/routine"),
        &html! {
            (form::version(version))
            label for="routine-text" { "The routine" }
            textarea id="routine-text" name="text" rows="14" spellcheck="false" { "\n" (text) }
            button { "Keep this routine" }
        },
    )
}

/// Keeps it.
pub async fn keep(State(app): State<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let text = posted.whole("text").replace("\r\n", "\n");
        kept(app, &truck, posted.version()?, &text)?;
        Ok(Redirect::to(&Stage::Set.of(&truck.slug)).into_response())
    })
    .await
}

/// Keeps a routine that was made from a version. One that was changed meanwhile is not overwritten, and what was typed is
/// shown again.
pub fn kept(app: &App, truck: &Truck, version: Hash, text: &str) -> Result<(), PageError> {
    let set = Stage::Set.of(&truck.slug);
    app.garage.keep_routine(&truck.slug, version, text).map_err(|refused| match refused {
        NotKept::Problems(problems) => PageError::unusable(problems).or("The steps", &set),
        NotKept::Stale(now) => {
            let says = "The routine was changed in another window since this form was loaded. Nothing was overwritten. What was \
                        typed here stands below; keep it if it is to take the place of the other.";
            PageError::new(StatusCode::CONFLICT, "The routine was changed meanwhile", says)
                .or("Leave it as it is now", &set)
                .with(editor(app, truck, &Hash::new(now.as_bytes()), text))
        }
    })
}

/// A rate and a delay that were typed, as the command line takes them.
pub fn number(name: &str, text: Option<&str>) -> Result<Option<f64>, PageError> {
    let wrong =
        |text: &str| PageError::unusable(Problem::error(name, "a number above 0", format!("`{text}`")));
    let one = |text: &str| match text.parse::<f64>() {
        Ok(number) if number.is_finite() && number > 0.0 => Ok(number),
        _ => Err(wrong(text)),
    };
    text.map(one).transpose()
}
