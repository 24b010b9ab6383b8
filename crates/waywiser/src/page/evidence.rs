//! A drive's own page, and a recording's.

use super::addresses::Stage;
use super::app::{Answer, App, Shared, work};
use super::error::{PageError, problems};
use super::frame::html as answer;
use super::parts::{Ask, Part, part_form};
use super::waiting;
use super::{blocks, path};
use crate::garage::Known;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::routing::get;
use maud::{Markup, html};
use metrology::quantity::Length;
use truing::describe::evidence::{EvidenceKind, PulseSource, PulseSpan};
use truing::report::answers::drive::DriveReport;
use truing::report::charts::drive::residuals;
use truing::units::Units;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new().route("/trucks/{slug}/evidence/{index}", get(show))
}

async fn show(State(app): State<Shared>, Path((slug, index)): Path<(String, String)>) -> Answer {
    let truck = work(&app, move |app| app.truck(&slug)).await?;
    let to_evidence = || no_page().or("To the evidence", &Stage::Measure.of(&truck.slug));
    let index: usize = index.parse().map_err(|_| to_evidence())?;
    let known = match waiting::known(&app, &truck).await {
        Some(Ok(known)) => known,
        Some(Err(wrong)) => return Err(PageError::of_truck(&truck, wrong)),
        None => return Ok(waiting::wait(&app, &truck, Stage::Measure)),
    };
    work(&app, move |app| {
        let evidence = known.truck.vehicle.as_ref().and_then(|vehicle| vehicle.evidence.get(index));
        let page = match evidence.map(|evidence| &evidence.kind) {
            Some(EvidenceKind::Drive { track, .. }) => drive(app, &known, index, track)?,
            Some(EvidenceKind::Pulses { source: PulseSource::File { name, channel }, span, .. }) => {
                recording(app, &known, index, (name, channel.as_deref(), span))?
            }
            _ => return Err(no_page().or("To the evidence", &Stage::Measure.of(&known.truck.slug))),
        };
        Ok(answer(page))
    })
    .await
}

fn no_page() -> PageError {
    let says =
        "Only drives and recordings have a page of their own. The file may have been changed meanwhile.";
    PageError::new(StatusCode::NOT_FOUND, "There is no such page", says)
}

fn drive(app: &App, known: &Known, index: usize, track: &str) -> Result<Markup, PageError> {
    let found = known.estimate.drives.iter().find(|(at, _)| *at == index);
    let (_, drive) =
        found.ok_or_else(|| no_page().or("To the evidence", &Stage::Measure.of(&known.truck.slug)))?;
    let units = app.garage.settings().units;
    let report = DriveReport::new(drive, Vec::new(), units);
    let road = app.garage.road(known, index)?;
    let title = format!("A drive: {track}");
    let body = html! {
        (back(known, index))
        (blocks::first_of("This drive", &report.first(), &report.document()))
        @if let Some(chart) = residuals(drive, units) { (blocks::opens(&chart.title, &blocks::figure(&chart))) }
        (blocks::opens("The shape of the road", &sketch(&road, units)))
        (blocks::opens("What was read, used and left out", &left_out(&report)))
        (in_file(app, known, index, "What was called out and read"))
    };
    Ok(path::head(app, &known.truck, Stage::Measure).titled(&title).frame(&body))
}

fn left_out(report: &DriveReport) -> Markup {
    let points = &report.points;
    html! {
        p {
            (points.read) " points of track and log were read, the result rests on " (points.used) ", and " (points.rejected)
            " were left out" @if points.rejected > 0 { ", for the reasons in the table" } ". None is thrown away: the file is kept whole."
        }
    }
}

fn back(known: &Known, index: usize) -> Markup {
    html! { p { a href={ (Stage::Measure.of(&known.truck.slug)) "#evidence-" (index) } { "Back to all evidence" } } }
}

/// What the vehicle file says of a piece, to be changed here.
fn in_file(app: &App, known: &Known, index: usize, heading: &str) -> Markup {
    let Ok(part) = Part::new("evidence", index) else { return html! {} };
    let document: toml_edit::DocumentMut = known.truck.text.parse().unwrap_or_default();
    let word =
        super::parts::table(&document, &part).and_then(|table| table.get("kind")).map(super::fields::text_of);
    let kind = super::fields::variant(part.section, &word.unwrap_or_default());
    blocks::opens(heading, &part_form(app, &known.truck, &Ask::all(&part, kind), app.garage.settings().units))
}

/// The picture is this wide and high at most, in its own units.
const SKETCH: f64 = 360.0;
/// Room around it for the marks.
const MARGIN: f64 = 14.0;

/// The shape of the road, north up, with no word of where on earth it is.
fn sketch(road: &[(Length, Length)], units: Units) -> Markup {
    let places: Vec<(f64, f64)> =
        road.iter().map(|(east, north)| (units.of_road(*east), units.of_road(*north))).collect();
    let ends = |of: fn(&(f64, f64)) -> f64| {
        places
            .iter()
            .map(of)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    let ((west, east), (south, north)) = (ends(|place| place.0), ends(|place| place.1));
    let span = (east - west).max(north - south);
    if places.len() < 2 || !span.is_finite() || span <= 0.0 {
        return html! {};
    }
    let scale = (SKETCH - 2.0 * MARGIN) / span;
    let at = |place: &(f64, f64)| (MARGIN + (place.0 - west) * scale, MARGIN + (north - place.1) * scale);
    let line: Vec<String> = places.iter().map(at).map(|(x, y)| format!("{x:.1} {y:.1}")).collect();
    let (width, height) = (2.0 * MARGIN + (east - west) * scale, 2.0 * MARGIN + (north - south) * scale);
    let (start, end) = (places.first().map(at), places.last().map(at));
    let says = format!(
        "{:.1} {word} from west to east and {:.1} {word} from south to north. The ring is the start, the square the end.",
        east - west,
        north - south,
        word = units.road_word()
    );
    html! {
        figure class="sketch" {
            svg role="img" viewBox={ "0 0 " (format!("{width:.0}")) " " (format!("{height:.0}")) } aria-label="The shape of the road" fill="none"
                stroke="currentColor" stroke-width="2.5" stroke-linejoin="round" {
                path d={ "M" (line.join("L")) } {}
                @if let Some((x, y)) = start { circle cx=(format!("{x:.1}")) cy=(format!("{y:.1}")) r="7" class="ground" {} }
                @if let Some((x, y)) = end { rect x=(format!("{:.1}", x - 5.0)) y=(format!("{:.1}", y - 5.0)) width="10" height="10" fill="currentColor" {} }
            }
            figcaption { strong { "The shape of the road" } " " (says) " Its place is not shown and goes nowhere." }
        }
    }
}

fn recording(
    app: &App,
    known: &Known,
    index: usize,
    source: (&str, Option<&str>, &PulseSpan),
) -> Result<Markup, PageError> {
    let heard = app.garage.recording(known, index, source)?;
    let title = format!("A recording: {}", source.0);
    let body = html! {
        (back(known, index))
        (blocks::first_of("This recording", &heard.report.first(), &heard.report.document()))
        (problems(&heard.report.problems))
        (in_file(app, known, index, "What it was recorded over"))
    };
    Ok(path::head(app, &known.truck, Stage::Measure).titled(&title).frame(&body))
}
