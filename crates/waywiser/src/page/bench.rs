//! A signal for the bench: what a sensor would make at given speeds, as a file to play or to load.

use super::addresses::{self, BENCH};
use super::answers;
use super::app::{Answer, Shared, work};
use super::blocks;
use super::error::PageError;
use super::frame::html as answer;
use super::frame::{Head, caution};
use super::named::label;
use crate::work::bench::{Format, LASTING, LEVEL, RATE_HZ, ShapeName, Wanted};
use crate::work::typed::given;
use axum::Router;
use axum::extract::{Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use maud::{Markup, html};
use std::collections::BTreeMap;
use truing::problem::{Field, Problem, Problems};
use truing::report::answers::bench::BenchReport;
use truing::report::document::Block;
use truing::units::Units;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(BENCH, get(show))
        .route("/bench/signal.wav", get(sound))
        .route("/bench/signal.csv", get(edges))
}

/// The fields of the form, by their names.
type Fields = BTreeMap<String, String>;

/// The shapes, with the word of each in an address and what it is.
const SHAPES: [(ShapeName, &str, &str); 3] = [
    (ShapeName::Square, "square", "Square: two levels, half and half (a switching sensor)"),
    (ShapeName::Sine, "sine", "Sine of one amplitude"),
    (ShapeName::Sensor, "sensor", "Sine that grows with the speed (a coil before a ring)"),
];

async fn show(State(app): State<Shared>, Query(fields): Query<Fields>) -> Answer {
    work(&app, move |app| {
        let units = app.garage.settings().units;
        let made = is_asked(&fields).then(|| report(&fields)).transpose()?;
        let body = html! {
            @for text in cautions() { (caution(text)) }
            @if let Some(report) = &made { (result(report, &fields)) }
            (ask(&fields, units, made.is_some()))
        };
        Ok(answer(Head::new("A signal for the bench").leading(LEAD).frame(&body)))
    })
    .await
}

const LEAD: &str = "A file that makes a module read given speeds: to play from a computer, or to load into a signal generator.";

/// What to mind, before there is any signal.
fn cautions() -> &'static [&'static str] {
    &truing::report::answers::bench::CAUTIONS
}

/// Whether the form was sent, rather than opened.
fn is_asked(fields: &Fields) -> bool {
    fields.contains_key("lasting")
}

fn report(fields: &Fields) -> Result<BenchReport, PageError> {
    let signal = wanted(fields)?.signal().map_err(not_made)?;
    Ok(BenchReport::new(&signal, "The signal"))
}

/// What the fields ask for.
fn wanted(fields: &Fields) -> Result<Wanted, PageError> {
    let text = |name: &str| fields.get(name).and_then(|text| given(text)).map(str::to_string);
    let whole = |name: &str| answers::number::<usize>(name, fields.get(name).map(String::as_str));
    let counts = real("counts", text("counts").as_deref())?;
    let per_km = text("per").as_deref() == Some("km");
    let shape = text("shape");
    let shape = SHAPES.iter().find(|(_, word, _)| shape.as_deref() == Some(word)).map(|(shape, ..)| *shape);
    Ok(Wanted {
        counts_per_mile: counts.filter(|_| !per_km),
        counts_per_km: counts.filter(|_| per_km),
        speed: None,
        speeds: text("speeds"),
        from: text("from"),
        to: text("to"),
        lasting: text("lasting").unwrap_or(LASTING.into()),
        shape: shape.unwrap_or_default(),
        level: real("level", text("level").as_deref())?.unwrap_or(LEVEL),
        rate: answers::number("rate", fields.get("rate").map(String::as_str))?.unwrap_or(RATE_HZ),
        ring_teeth: whole("ring_teeth")?,
        missing_tooth: whole("missing_tooth")?,
        bent_tooth: whole("bent_tooth")?,
    })
}

fn real(name: &str, text: Option<&str>) -> Result<Option<f64>, PageError> {
    let wrong = |text: &str| PageError::unusable(Problem::error(name, "a number", format!("`{text}`")));
    text.map(|text| text.parse().map_err(|_| wrong(text))).transpose()
}

/// What was wrong with the fields.
fn not_made(problems: Problems) -> PageError {
    PageError::unusable(problems).or("Back to the form", BENCH)
}

/// What was made: how long it is, where to have it, and the table of speeds.
fn result(report: &BenchReport, fields: &Fields) -> Markup {
    let query: Vec<String> = fields
        .iter()
        .filter(|(_, value)| !value.trim().is_empty())
        .map(|(name, value)| format!("{name}={}", addresses::encoded(value)))
        .collect();
    let address = |file: &str| format!("{BENCH}/{file}?{}", query.join("&"));
    let blocks = report.document().blocks;
    html! {
        section id="made" {
            h2 { "The signal" }
            @for block in &blocks { @if let Block::Sentence(text) = block { p role="status" { (text) } } }
            ul class="ways" {
                li { a class="button" href=(address("signal.wav")) download="signal.wav" { "Download it as sound (WAV)" } }
                li { a class="button plain" href=(address("signal.csv")) download="signal.csv" { "Download its edges (CSV)" } }
            }
            p class="hint" { "Sound is for a computer's output, behind a transformer; edges are for a signal generator, which can also make what is too slow for sound." }
            @for block in &blocks { @if let Block::Table(table) = block { (blocks::opens("What it reads at which frequency", &blocks::table(table))) } }
        }
    }
}

fn ask(fields: &Fields, units: Units, again: bool) -> Markup {
    let said = |name: &str| fields.get(name).map_or("", String::as_str);
    let is_said = |names: &[&str]| names.iter().any(|name| !said(name).trim().is_empty());
    let line = |name: &str, label: &str, example: &str, hint: &str| {
        blocks::line(name, label, said(name), example, hint)
    };
    let (one, several) = units.by_road(("60 mph", "20, 40, 60 mph"), ("100 km/h", "30, 60, 90 km/h"));
    let per = if said("per").is_empty() { units.by_road("mile", "km") } else { said("per") };
    html! {
        section {
            h2 { @if again { "Another one" } @else { "Which signal?" } }
            form method="get" action={ (BENCH) "#made" } class="asks" {
                (line("counts", label(Field::Counts), "9500", "As its instructions say, or as the chain on the truck's first page has it."))
                label for="per" { "Counted over" }
                select id="per" name="per" {
                    option value="mile" selected[per == "mile"] { "a mile" }
                    option value="km" selected[per == "km"] { "a kilometre" }
                }
                (line("speeds", label(Field::Speeds), one, &format!("Each steady, such as {several}. Left blank for a sweep.")))
                (line("lasting", label(Field::Lasting), LASTING, ""))
                label for="shape" { "What it looks like" }
                select id="shape" name="shape" {
                    @for (_, word, says) in SHAPES { option value=(word) selected[said("shape") == word] { (says) } }
                }
                (blocks::opens_at("A sweep instead, at an even rate", is_said(&["from", "to"]), &html! {
                    (line("from", label(Field::FirstSpeed), units.by_road("5 mph", "10 km/h"), ""))
                    (line("to", label(Field::LastSpeed), units.by_road("70 mph", "110 km/h"), ""))
                }))
                (blocks::opens_at("A faulty tooth of the ring", is_said(&["ring_teeth", "missing_tooth", "bent_tooth"]), &html! {
                    (line("ring_teeth", label(Field::RingTeeth), "96", ""))
                    (line("missing_tooth", label(Field::MissingTooth), "12", "Counted from 1. Or the one that is bent, below."))
                    (line("bent_tooth", "Which one stands a tenth of a pitch late", "", ""))
                }))
                (blocks::opens_at("Level and rate of the sound", is_said(&["level", "rate"]), &html! {
                    (line("level", label(Field::Level), &LEVEL.to_string(), "Start low."))
                    (line("rate", label(Field::Rate), &RATE_HZ.to_string(), ""))
                }))
                button { "Make the signal" }
            }
        }
    }
}

async fn sound(State(app): State<Shared>, Query(fields): Query<Fields>) -> Answer {
    work(&app, move |_| file(&wanted(&fields)?, Format::Wav)).await
}

async fn edges(State(app): State<Shared>, Query(fields): Query<Fields>) -> Answer {
    work(&app, move |_| file(&wanted(&fields)?, Format::Csv)).await
}

/// The file of a signal.
pub fn file(wanted: &Wanted, format: Format) -> Result<Response, PageError> {
    let signal = wanted.signal().map_err(not_made)?;
    let bytes = wanted.bytes(&signal, format).map_err(not_made)?;
    let (kind, name) = match format {
        Format::Wav => ("audio/wav", "attachment; filename=\"signal.wav\""),
        Format::Csv => ("text/csv; charset=utf-8", "attachment; filename=\"signal.csv\""),
    };
    Ok(([(header::CONTENT_TYPE, kind), (header::CONTENT_DISPOSITION, name)], bytes).into_response())
}
