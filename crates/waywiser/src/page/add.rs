//! Adding a truck: the fewest questions that give an answer.

use super::addresses::{ADD, Stage};
use super::app::{Answer, App, Shared, work};
use super::fields::{Preview, not_so, sidewall};
use super::form::{Posted, form};
use super::frame::Head;
use super::frame::html as answer;
use super::named::by_label;
use super::preview;
use super::rename::objection;
use crate::garage::errors_of;
use axum::Router;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect};
use axum::routing::get;
use maud::{Markup, html};
use toml_edit::{DocumentMut, Item, Table, value};
use truing::problem::{Problem, Problems};

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new().route(ADD, get(ask).post(add))
}

async fn ask(State(app): State<Shared>) -> Answer {
    Ok(answer(view(&app, "", "", &[])))
}

fn view(app: &App, name: &str, size: &str, wrong: &[Problem]) -> Markup {
    // A size that cannot be read is said under its field, everything else under the name.
    let (of_size, of_name): (Vec<&Problem>, Vec<&Problem>) =
        wrong.iter().partition(|problem| problem.key.is_some());
    let fields = html! {
        (field("name", "What do you call it?", name, "", "Any name. It can be changed later; the record goes on.", &of_name, true))
        (field("size", "Tire size on it now", size, "LT275/75R17", "As printed on the sidewall. Brings a first figure at once and a check on every later one. May be left out.", &of_size, of_name.is_empty()))
        output class="preview" data-preview=(preview::address(Preview::Tire, None)) data-fields="size" {}
        button { "Add it" }
    };
    let body = html! {
        div class="asked" {
            (form(app, ADD, &fields))
            div class="beside-form" { (sidewall()) }
        }
        section class="help" {
            h2 { "What comes next" }
            ul {
                li { "A drive with a phone's track and the truck's own log, called-out speeds or two odometer readings brings how far off it reads." }
                li { "The value stored now and the way it is set bring what to store, and whether it is worth a write." }
                li { "Where the sensor sits and how many teeth it sees brings a warning when the truck is not what you believe." }
            }
        }
    };
    Head::new("Add a truck").with_scripts(&["live.js"]).frame(&body)
}

/// A line with what is wrong with it under it; the first that is wrong has the focus.
fn field(
    name: &str,
    label: &str,
    value: &str,
    example: &str,
    hint: &str,
    wrong: &[&Problem],
    may_have_focus: bool,
) -> Markup {
    let is_wrong = !wrong.is_empty();
    let described = if is_wrong { format!("{name}-wrong {name}-hint") } else { format!("{name}-hint") };
    html! {
        div class={ "field" (if is_wrong { " is-wrong" } else { "" }) } {
            label for=(name) { (label) @if name == "name" { span class="must" { " (needed)" } } }
            input type="text" id=(name) name=(name) value=(value) required[name == "name"] maxlength="80" placeholder=[Some(example).filter(|example| !example.is_empty())]
                aria-describedby=(described) aria-invalid=[is_wrong.then_some("true")] autofocus[is_wrong && may_have_focus] autocomplete="off" spellcheck="false";
            @for problem in wrong {
                p class="wrong" id=[(problem == &wrong[0]).then(|| format!("{name}-wrong"))] { (not_so(&problem.expected, &problem.found, &problem.hint.named_by(by_label))) }
            }
            p class="hint" id={ (name) "-hint" } { (hint) }
        }
    }
}

async fn add(State(app): State<Shared>, posted: Posted) -> Answer {
    work(&app, move |app| {
        let (name, size) = (posted.text("name"), posted.text("size"));
        let text = file_text(name, size);
        let wrong = wrong(app, name, &text);
        if !wrong.is_empty() {
            let page = view(app, name, size, &wrong);
            return Ok((axum::http::StatusCode::UNPROCESSABLE_ENTITY, answer(page)).into_response());
        }
        let slug = app.garage.add(name, &text, &[])?;
        Ok(Redirect::to(&Stage::Describe.of(&slug)).into_response())
    })
    .await
}

/// A vehicle file with what was answered.
fn file_text(name: &str, size: &str) -> String {
    let mut document = DocumentMut::new();
    document.insert("name", value(name));
    let mut table = Table::new();
    // Something has to be said of a vehicle; that distance shall be true is what is meant unless said otherwise.
    let (section, key, text) =
        if size.is_empty() { ("use", "make_true", "distance") } else { ("tire", "size", size) };
    table.insert(key, value(text));
    document.insert(section, Item::Table(table));
    document.to_string()
}

fn wrong(app: &App, name: &str, text: &str) -> Problems {
    let mut wrong = errors_of("the form", text);
    wrong.extend(objection(app, name, None));
    wrong
}
