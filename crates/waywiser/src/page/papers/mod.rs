//! Papers to read and to print, each at the stages where somebody wants it in the hand.

mod making;
mod wanted;

pub use wanted::Wanted;

use super::addresses::{Stage, encoded, truck as under};
use super::app::{Answer, App, Shared, work};
use super::error::PageError;
use super::frame::{Head, html as answer};
use super::{blocks, document};
use crate::garage::Truck;
use crate::paper;
pub use crate::work::paper::Kind;
use crate::work::typed;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use axum::routing::get;
use making::Maker;
use maud::{Markup, html};
use serde::Deserialize;

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
        Kind::SpeedCard => Stage::Prove,
        Kind::Tires => Stage::Choose,
        Kind::History | Kind::DoorFrame => Stage::Record,
    }
}

/// Buttons for some papers.
pub fn buttons(truck: &Truck, kinds: &[Kind]) -> Markup {
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
                                a class="button plain" href=(address) { "Read it here" span class="unseen" { ": " (kind.name()) } }
                                a class="button plain" href={ (address) ".pdf" } { (kind.name()) " (PDF)" }
                            }
                        }
                    }
                }
                (chosen_form(truck, kinds))
            }
        }
    }
}

/// What few need of a paper: its size, another day, gears, other tires, an address for the code.
fn chosen_form(truck: &Truck, kinds: &[Kind]) -> Markup {
    let line = |name: &str, label: &str, example: &str| {
        html! {
            label for={ "paper-" (name) } { (label) }
            input id={ "paper-" (name) } type="text" name=(name) placeholder=(example) autocomplete="off";
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
            @if kinds.contains(&Kind::Job) { (line("link", "An address for the code, instead of the vehicle file", "")) }
            div class="ways-on" {
                button class="plain" name="as" value="page" { "Read it here" }
                button class="plain" name="as" value="pdf" { "Make the PDF" }
            }
        }
    };
    blocks::opens("Another size, another day, and more", &form)
}

/// What stands in the address of a chosen paper.
#[derive(Clone, Default, Deserialize)]
#[serde(default)]
struct PaperQuery {
    r#as: Option<String>,
    document: String,
    paper: Option<String>,
    date: Option<String>,
    gears: Option<String>,
    tires: Option<String>,
    link: Option<String>,
}

impl PaperQuery {
    fn wanted(self, document: &str) -> Wanted {
        let Self { paper, date, gears, tires, link, .. } = self;
        Wanted { document: document.to_string(), paper, date, gears, tires, link }
    }

    /// The same in an address.
    fn query(&self) -> String {
        let all = [
            ("paper", &self.paper),
            ("date", &self.date),
            ("gears", &self.gears),
            ("tires", &self.tires),
            ("link", &self.link),
        ];
        let said = all.into_iter().filter_map(|(name, text)| Some((name, typed::given(text.as_deref()?)?)));
        let pairs: Vec<String> = said.map(|(name, text)| format!("{name}={}", encoded(text))).collect();
        if pairs.is_empty() { String::new() } else { format!("?{}", pairs.join("&")) }
    }
}

async fn give_chosen(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Query(asked): Query<PaperQuery>,
) -> Answer {
    let back = slug.clone();
    let made = work(&app, move |app| {
        let document = asked.document.clone();
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
            "There are a job sheet, a speed card, a comparison of tires, a history and a door-frame note.";
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
    // A job sheet is of the day on which it is made, the others of the day they speak of.
    let day = day.filter(|_| kind != Kind::Job);
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
    let (document, _) = Maker::new(app, &known, &asked.clone().wanted(document))?.document(kind)?;
    let (truck, stage) = (&known.truck, stage(kind));
    let file =
        |ending: &str| under(&truck.slug, &format!("papers/{}.{ending}{}", kind.stem(), asked.query()));
    let body = html! {
        nav class="ways" aria-label="This paper" {
            a class="button plain" href=(file("pdf")) { "The same as PDF" }
            a class="button plain" href=(file("html")) { "Save it as one file" }
            a class="button plain" href=(stage.of(&truck.slug)) { "Back to " (stage.name()) }
        }
        (document::whole(&document))
    };
    // What a job sheet comes to stands in its title.
    let of = if kind == Kind::Job { &document.title } else { &truck.name };
    let title = format!("{}: {of}", kind.name());
    Ok(answer(Head::of(truck, stage).titled(&title).frame(&body)))
}
