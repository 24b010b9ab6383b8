//! Evidence on one axis: a row per piece with its name over its bar, so that every bar can be compared with every other.

use super::axis::Axis;
use super::key;
use super::pen::{INK, Pen, drawable, pens};
use super::picture::{LINE_HEIGHT, Picture};
use super::wording::{self, base_line, lines_at, px, wrap};
use super::xy;
use maud::{Markup, html};
use truing::report::document::{Chart, Series, SeriesKind};

/// Height of the strip a bar lies in.
const STRIP: f64 = 18.0;
/// Free room under a strip.
const BETWEEN: f64 = 5.0;
/// Least free room between a name and the number at the right end.
const BEFORE_NUMBER: f64 = 12.0;
/// However wide the number, a name gets so much.
const LEAST_NAME: f64 = 80.0;
/// Half the height of a bar's end stroke.
const END: f64 = 6.0;
/// Free room at both sides, where the words of the outer ticks reach out.
const SIDE: f64 = 18.0;

/// Draws every series as a row, upright lines through all of them.
pub fn picture(chart: &Chart, width: f64) -> Picture {
    let (label, top) = lines_at(&chart.y_label, 0.0, width);
    let values: Vec<f64> = chart
        .series
        .iter()
        .flat_map(|s| &s.points)
        .map(|point| point.0)
        .filter(|x| drawable(&(*x, 0.0)))
        .collect();
    let x = Axis::along(&values, SIDE, width - SIDE);
    let pens = pens(&chart.series);
    let drawn = |(_, series): &(Pen, &Series)| !matches!(series.kind, SeriesKind::Around | SeriesKind::Room);
    let (uprights, rows): (Vec<_>, Vec<_>) = pens
        .into_iter()
        .zip(&chart.series)
        .filter(drawn)
        .partition(|(_, series)| series.kind == SeriesKind::Upright);
    let (strips, bottom) = strips(&rows, top, width);
    let (foot, height) = xy::foot(&x, &chart.x_label, bottom, width);
    let body = html! {
        (label) (grid(&x, &strips, bottom)) (foot)
        @for (pen, upright) in &uprights { (through(*pen, upright, &x, &strips)) }
        @for ((_, series), strip) in rows.iter().zip(&strips) { (row(series, &x, *strip, width)) }
    };
    key::under(Picture { body, height }, &uprights, width)
}

/// Top of the strip of each row, under its name, and where the last one ends; one strip where there is no row.
fn strips(rows: &[(Pen, &Series)], top: f64, width: f64) -> (Vec<f64>, f64) {
    let mut end = top;
    if rows.is_empty() {
        return (vec![top], top + STRIP + BETWEEN);
    }
    let mut strips = Vec::new();
    for (_, series) in rows {
        let strip = end + LINE_HEIGHT * name_lines(series, width).len() as f64;
        strips.push(strip);
        end = strip + STRIP + BETWEEN;
    }
    (strips, end)
}

/// Light lines in the strips only, so that none runs through a name.
fn grid(x: &Axis, strips: &[f64], bottom: f64) -> Markup {
    let (left, right) = x.ends();
    html! {
        g stroke="currentColor" stroke-opacity="0.22" {
            @for strip in strips {
                @for (place, _) in x.ticks() { path d={ "M" (px(place)) " " (px(*strip)) "v" (px(STRIP)) } {} }
            }
        }
        path d={ "M" (px(left)) " " (px(bottom)) "H" (px(right)) } stroke="currentColor" stroke-width="1.5" {}
    }
}

/// An upright line, left out where names stand.
fn through(pen: Pen, upright: &Series, x: &Axis, strips: &[f64]) -> Markup {
    let place =
        upright.points.iter().map(|point| point.0).find(|x| drawable(&(*x, 0.0))).map(|value| x.at(value));
    html! {
        @if let Some(place) = place {
            g class=(pen.tone()) { @for strip in strips { (pen.rule((place, *strip), (place, strip + STRIP))) } }
        }
    }
}

/// The name in lines that leave room for the number at the right end.
fn name_lines(series: &Series, width: f64) -> Vec<String> {
    let taken = if series.says.is_empty() { 0.0 } else { wording::width(&series.says) + BEFORE_NUMBER };
    let lines = wrap(&series.label, (width - taken).max(LEAST_NAME));
    if lines.is_empty() && !series.says.is_empty() { vec![String::new()] } else { lines }
}

fn row(series: &Series, x: &Axis, strip: f64, width: f64) -> Markup {
    let lines = name_lines(series, width);
    let first = strip - LINE_HEIGHT * lines.len() as f64;
    let middle = strip + STRIP / 2.0;
    let places = places(series, x);
    html! {
        @for (index, line) in lines.iter().enumerate() {
            text x="0" y=(px(base_line(first + LINE_HEIGHT * index as f64))) { (line) }
        }
        @if !series.says.is_empty() {
            text x=(px(width)) y=(px(base_line(first))) text-anchor="end" font-weight="700" { (series.says) }
        }
        @if series.kind == SeriesKind::Interval { (bar(&places, middle)) }
        @else { @for place in &places { (INK.marker((*place, middle))) } }
    }
}

/// Where the numbers of a series lie, from left to right.
fn places(series: &Series, x: &Axis) -> Vec<f64> {
    let numbers = series.points.iter().map(|point| point.0).filter(|number| drawable(&(*number, 0.0)));
    let mut places: Vec<f64> = numbers.map(|number| x.at(number)).collect();
    places.sort_by(f64::total_cmp);
    places
}

fn bar(places: &[f64], y: f64) -> Markup {
    let (Some(low), Some(high)) = (places.first(), places.last()) else { return html! {} };
    let end = |x: f64| format!("M{} {}V{}", px(x), px(y - END), px(y + END));
    html! {
        path d={ (end(*low)) (end(*high)) "M" (px(*low)) " " (px(y)) "H" (px(*high)) }
            stroke="currentColor" stroke-width="2.4" fill="none" {}
        @if places.len() % 2 == 1 { (INK.marker((places[places.len() / 2], y))) }
    }
}
