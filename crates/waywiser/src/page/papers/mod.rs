//! Papers to read and to print, each at the stages where somebody wants it in the hand.

mod making;
mod wanted;

pub use wanted::Wanted;

use super::addresses::{Stage, truck as under};
use super::app::{Answer, App, Shared, work};
use super::error::PageError;
use super::frame::html as answer;
use super::{blocks, document, path};
use crate::garage::Truck;
use crate::paper;
use crate::paper::together::kept_together;
use crate::work::asked::YES;
pub use crate::work::paper::Kind;
use crate::work::paper::letters_lacking;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use axum::routing::get;
use making::Maker;
use maud::{Markup, html};
use serde::Deserialize;
use truing::choose::MeasurementKind;
use truing::report::words::measurements::what;

/// Its address.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/papers", get(give_chosen))
        .route("/trucks/{slug}/papers/{file}", get(give))
}

/// What a paper is for.
fn says(kind: Kind) -> &'static str {
    match kind {
        Kind::Job => "what to set and how, to take to the truck",
        Kind::Measuring => "how to measure, with a table to fill in",
        Kind::Proof => "speeds to drive for a proof, with lines to fill in",
        Kind::Sale => "what the record knows, for a sale",
        Kind::SpeedCard => "true speeds for the sun visor",
        Kind::Tires => "the tires of the file, compared",
        Kind::History => "everything in the record, for a buyer",
        Kind::DoorFrame => "what is set since when, to stick on",
    }
}

/// The stage at which somebody wants it.
fn stage(kind: Kind) -> Stage {
    match kind {
        Kind::Job => Stage::Set,
        Kind::Measuring => Stage::Measure,
        Kind::SpeedCard | Kind::Proof => Stage::Prove,
        Kind::Tires => Stage::Choose,
        Kind::History | Kind::DoorFrame | Kind::Sale => Stage::Record,
    }
}

/// Buttons for some papers.
pub fn buttons(truck: &Truck, kinds: &[Kind]) -> Markup {
    buttons_for(truck, kinds, &Wanted::default())
}

/// The same for papers that say what the page says: by what was asked for on it.
pub fn buttons_for(truck: &Truck, kinds: &[Kind], wanted: &Wanted) -> Markup {
    let query = wanted.query();
    html! {
        @if !kinds.is_empty() {
            section class="papers" aria-labelledby="papers" {
                h2 id="papers" { "On paper" }
                ul {
                    @for kind in kinds {
                        @let address = under(&truck.slug, &format!("papers/{}", kind.stem()));
                        li {
                            p { strong { (kind.name()) } ": " span class="said" { (says(*kind)) } }
                            p class="ways-on" {
                                a class="button plain" href={ (address) (query) } { "Read it here" span class="unseen" { ": " (kind.name()) } }
                                a class="button plain" href={ (address) ".pdf" (query) } { (kind.name()) " (PDF)" }
                            }
                        }
                    }
                }
                (chosen_form(truck, kinds, wanted))
            }
        }
    }
}

/// What few need of a paper: its size, another day, gears, other tires, an address for the code.
fn chosen_form(truck: &Truck, kinds: &[Kind], wanted: &Wanted) -> Markup {
    let fields = wanted.fields();
    let line = |name: &str, label: &str, example: &str| {
        let asked = fields.iter().find(|(known, _)| *known == name).and_then(|(_, text)| text.as_deref());
        html! {
            label for={ "paper-" (name) } { (label) }
            input id={ "paper-" (name) } type="text" name=(name) value=[asked] placeholder=(example) autocomplete="off";
        }
    };
    let form = html! {
        form method="get" action=(under(&truck.slug, "papers")) class="asks" {
            label for="paper-document" { "Which paper" }
            select id="paper-document" name="document" { @for kind in kinds { option value=(kind.stem()) { (kind.name()) } } }
            label for="paper-paper" { "Size of the sheets" }
            select id="paper-paper" name="paper" {
                option value="" { "As usual where you are" }
                option value="letter" { "US Letter" }
                option value="a4" { "A4" }
            }
            (line("date", "Another day on it", "2026-05-02"))
            @if kinds.contains(&Kind::SpeedCard) { (line("gears", "Gear ratios, for engine speeds on the card", "2.50, 1.50, 1.00")) }
            @if kinds.contains(&Kind::Tires) { (line("tires", "Other sizes of tires to compare", "235/75R15, 31x10.50R15LT")) }
            @if kinds.contains(&Kind::Measuring) { (measurements()) }
            @if kinds.contains(&Kind::Job) {
                (line("to", "Another value than the advised one", ""))
                (line("adjuster", "What is set, where there are several", ""))
                (line("shows", "What the display shows by now", ""))
                (line("repeat", "Steps a second of a held button", "5"))
                (line("repeat_after", "Seconds until it goes on by itself", "1"))
                (line("despite", "Why, although the advice is to check first", ""))
                label class="pick" { input type="checkbox" name="even_if_worse" value=(YES) checked[wanted.even_if_worse.is_some()]; " even where it reads worse than now" }
                (line("rule", "The rule to keep", "un-r39"))
                (line("reserve", "Writes to keep", "1"))
                (line("link", "An address to print as a code, for a phone", ""))
            }
            @if kinds.contains(&Kind::Sale) {
                (line("model_year", "Model year", "1994"))
                (line("transfer", "Day of the transfer", "2026-11-25"))
                (line("gvwr_lb", "Gross vehicle weight rating, lb", "8800"))
            }
            div class="ways-on" {
                button class="plain" name="as" value="page" { "Read it here" }
                button class="plain" name="as" value="pdf" { "Make the PDF" }
            }
        }
    };
    blocks::opens("Another size, another day, and more", &form)
}

/// Which measurement a sheet is for.
fn measurements() -> Markup {
    html! {
        label for="paper-measurement" { "Which measurement" }
        select id="paper-measurement" name="measurement" {
            option value="" { "The one that the advice asks for" }
            @for kind in MeasurementKind::ALL { option value=(kind.word()) { (what(kind)) } }
        }
    }
}

/// What stands in the address of a chosen paper.
#[derive(Clone, Default, Deserialize)]
#[serde(default)]
struct PaperQuery {
    r#as: Option<String>,
    #[serde(flatten)]
    wanted: Wanted,
}

impl PaperQuery {
    fn wanted(self, document: &str) -> Wanted {
        Wanted { document: document.to_string(), ..self.wanted }
    }
}

async fn give_chosen(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Query(asked): Query<PaperQuery>,
) -> Answer {
    let back = slug.clone();
    let made = work(&app, move |app| {
        let document = asked.wanted.document.clone();
        match asked.r#as.as_deref() {
            Some("page") => page(app, &slug, &document, &asked),
            _ => made(app, &slug, &asked.wanted(&document)),
        }
    });
    made.await.map_err(|error| error.back_to(Stage::Record, &back))
}

/// Under its own name to be read, with an ending as a file.
async fn give(
    State(app): State<Shared>,
    Path((slug, name)): Path<(String, String)>,
    Query(asked): Query<PaperQuery>,
) -> Answer {
    let back = slug.clone();
    let made = work(&app, move |app| match name.rsplit_once('.') {
        Some((_, "pdf")) => made(app, &slug, &asked.wanted(&name)),
        Some((stem, "html")) => made_as_html(app, &slug, &asked.wanted(stem)),
        _ => page(app, &slug, &name, &asked),
    });
    made.await.map_err(|error| error.back_to(Stage::Record, &back))
}

fn kind_of(document: &str) -> Result<Kind, PageError> {
    let stem = document.strip_suffix(".pdf").unwrap_or(document);
    Kind::ALL.into_iter().find(|kind| kind.stem() == stem).ok_or_else(|| {
        let says =
            "There are a job sheet, sheets to measure, to prove and for a sale, a speed card, a comparison of tires, a history and a door-frame note.";
        PageError::new(StatusCode::NOT_FOUND, "There is no such paper", says)
    })
}

/// A paper as PDF.
pub fn made(app: &App, slug: &str, wanted: &Wanted) -> Answer {
    let kind = kind_of(&wanted.document)?;
    let known = app.known(slug)?;
    let bytes = Maker::new(app, &known, wanted)?.pdf(kind)?;
    let shown = format!("inline; filename=\"{}-{}.pdf\"", known.truck.slug, kind.stem());
    let headers =
        [(header::CONTENT_TYPE, "application/pdf".to_string()), (header::CONTENT_DISPOSITION, shown)];
    Ok((headers, bytes).into_response())
}

/// A paper as one HTML file with all it needs.
pub fn made_as_html(app: &App, slug: &str, wanted: &Wanted) -> Answer {
    let kind = kind_of(&wanted.document)?;
    let known = app.known(slug)?;
    let maker = Maker::new(app, &known, wanted)?;
    let (document, day) = maker.document(kind)?;
    let text = paper::html_of(&document, kind.name(), &maker.info(day));
    let saved = format!("attachment; filename=\"{}-{}.html\"", known.truck.slug, kind.stem());
    let headers = [
        (header::CONTENT_TYPE, "text/html; charset=utf-8".to_string()),
        (header::CONTENT_DISPOSITION, saved),
    ];
    Ok((headers, text).into_response())
}

/// A paper to be read, and printed as it stands.
fn page(app: &App, slug: &str, document: &str, asked: &PaperQuery) -> Answer {
    let kind = kind_of(document)?;
    let known = app.known(slug)?;
    let wanted = asked.clone().wanted(document);
    let maker = Maker::new(app, &known, &wanted)?;
    let (document, day) = maker.document(kind)?;
    let lacking = letters_lacking(&document);
    let as_of = maker.info(day).as_of;
    let document = kept_together(&document);
    let (truck, stage) = (&known.truck, stage(kind));
    let file =
        |ending: &str| under(&truck.slug, &format!("papers/{}.{ending}{}", kind.stem(), wanted.query()));
    let body = html! {
        nav class="ways" aria-label="This paper" {
            a class="button plain" href=(file("pdf")) { "The same as PDF" }
            a class="button plain" href=(file("html")) { "Save it as one file" }
            a class="button plain" href=(stage.of(&truck.slug)) { "Back to " (stage.name()) }
        }
        @if let Some(lacking) = &lacking {
            p class="told" role="status" { "The PDF cannot show these letters: " (lacking.found) ". " (lacking.hint.to_string()) }
        }
        @if let Some(day) = &as_of { p class="made" { "As of " (day) } }
        (document::whole(&document))
    };
    let title = format!("{}: {}", kind.name(), truck.name);
    Ok(answer(path::head(app, truck, stage).titled(&title).frame(&body)))
}
