//! A picture over two axes.

use super::axis::Axis;
use super::pen::{Pen, drawable, pens, runs};
use super::picture::{FONT_SIZE, LINE_HEIGHT, NARROW, Picture};
use super::place::{Area, Room};
use super::wording::{self, base_line, lines_at, px, wrap};
use super::{key, stakes};
use maud::{Markup, html};
use truing::report::document::{Chart, Series, SeriesKind};

/// Height of the frame.
const FRAME_HEIGHT: f64 = 200.0;
/// The same where what is round is drawn round: as wide as the frame comes out on a phone, beside the numbers of its axis.
const ROUND: f64 = 250.0;
/// Free room right of the frame, where the last tick's words reach out.
const RIGHT: f64 = 16.0;
/// Free room between frame and words.
const GAP: f64 = 6.0;
/// Intervals wanted on the vertical axis.
const INTERVALS_UP: usize = 5;

/// Draws the series over both axes.
pub fn picture(chart: &Chart, width: f64) -> Picture {
    let (width, frame_height) =
        if is_round(chart) { (width.min(NARROW), ROUND) } else { (width, FRAME_HEIGHT) };
    let (label, top) = lines_at(&chart.y_label, 0.0, width);
    let label_end = top + GAP;
    let stakes =
        stakes::laid(&chart.series, &axes(chart, (label_end, frame_height), width).0, label_end, width);
    let top = stakes.bottom;
    let (x, y) = axes(chart, (top, frame_height), width);
    let mut room = Room::new(frame(&x, &y));
    let pens = pens(&chart.series);
    let strokes: Vec<_> = chart.series.iter().map(|series| strokes(series, &x, &y)).collect();
    strokes.iter().flatten().for_each(|run| room.watch(run));
    let (names, unplaced) = names(chart, &pens, &strokes, &mut room);
    let (foot, height) = foot(&x, &chart.x_label, top + frame_height, width);
    let body = html! {
        (label) (grid(&x, &y)) (foot)
        @for (index, (series, runs)) in in_drawing_order(&chart.series, &strokes) {
            g class=(pens[index].tone()) { (drawn(pens[index], series.kind, runs)) }
        }
        (names) (stakes.markup(top + frame_height))
    };
    key::listed(key::under(Picture { body, height }, &unplaced, width), &stakes.listed, width)
}

fn is_round(chart: &Chart) -> bool {
    chart.series.iter().any(|series| series.kind == SeriesKind::Round)
}

/// Areas lie under everything else.
fn in_drawing_order<'a>(series: &'a [Series], strokes: &'a [Vec<Vec<(f64, f64)>>]) -> Vec<Drawn<'a>> {
    let mut order: Vec<Drawn> = series.iter().zip(strokes).enumerate().collect();
    order.sort_by_key(|(_, (series, _))| !matches!(series.kind, SeriesKind::Band | SeriesKind::Around));
    order
}

type Drawn<'a> = (usize, (&'a Series, &'a Vec<Vec<(f64, f64)>>));

fn axes(chart: &Chart, (top, frame_height): (f64, f64), width: f64) -> (Axis, Axis) {
    let of = |without: &[SeriesKind], pick: fn(&(f64, f64)) -> f64| -> Vec<f64> {
        let series = chart.series.iter().filter(|series| !without.contains(&series.kind));
        series.flat_map(|series| &series.points).filter(|point| drawable(point)).map(pick).collect()
    };
    let up = of(&[SeriesKind::Upright, SeriesKind::Stake], |point| point.1);
    if is_round(chart) {
        // One range and one length for both: a circle comes out as one.
        let both = up.into_iter().chain(of(&[], |point| point.0));
        let y = Axis::over(both, INTERVALS_UP).laid(top + frame_height, top);
        let left = y.widest() + GAP;
        return (y.clone().laid(left, left + frame_height), y);
    }
    let y = Axis::over(up.into_iter(), INTERVALS_UP).laid(top + frame_height, top);
    let x = Axis::along(&of(&[SeriesKind::Level], |point| point.0), y.widest() + GAP, width - RIGHT);
    (x, y)
}

fn frame(x: &Axis, y: &Axis) -> Area {
    let ((left, right), (bottom, top)) = (x.ends(), y.ends());
    Area { left, top, width: right - left, height: bottom - top }
}

/// What a series leaves on the paper: the runs of a line, the outline of a band, a rule from edge to edge.
fn strokes(series: &Series, x: &Axis, y: &Axis) -> Vec<Vec<(f64, f64)>> {
    let runs = runs(series, x, y);
    let ((left, right), (bottom, top)) = (x.ends(), y.ends());
    let first = runs.first().and_then(|run| run.first()).copied();
    match (series.kind, first) {
        (SeriesKind::Level, Some((_, y))) => vec![vec![(left, y), (right, y)]],
        (SeriesKind::Upright, Some((x, _))) => vec![vec![(x, bottom), (x, top)]],
        (SeriesKind::Stake, Some((x, _))) => vec![vec![(x, bottom), (x, top)]],
        (SeriesKind::Points, _) => runs.into_iter().flatten().map(|point| vec![point]).collect(),
        (SeriesKind::Band | SeriesKind::Around, _) => vec![runs.into_iter().flatten().collect()],
        (SeriesKind::Room, _) => Vec::new(),
        _ => runs,
    }
}

fn drawn(pen: Pen, kind: SeriesKind, runs: &[Vec<(f64, f64)>]) -> Markup {
    html! {
        @match kind {
            SeriesKind::Line | SeriesKind::Round => { (pen.line(runs)) (dots(pen, runs, 2)) },
            SeriesKind::Band => {
                @for run in runs.iter().filter(|run| run.len() >= 3) { (pen.band(run)) }
                (dots(pen, runs, 3))
            },
            SeriesKind::Level | SeriesKind::Upright => {
                @for run in runs { (pen.rule(run[0], run[1])) }
            },
            SeriesKind::Around => {
                @for run in runs.iter().filter(|run| run.len() >= 3) { (pen.around(run)) }
            },
            SeriesKind::Stake | SeriesKind::Room => {},
            SeriesKind::Points | SeriesKind::Interval => {
                @for point in runs.iter().flatten() { (pen.marker(*point)) }
            },
        }
    }
}

/// Runs with too few points for a stroke would not be seen; their points are marked.
fn dots(pen: Pen, runs: &[Vec<(f64, f64)>], enough: usize) -> Markup {
    html! {
        @for point in runs.iter().filter(|run| run.len() < enough).flatten() { (pen.marker(*point)) }
    }
}

/// Names at their lines, and the series whose name found no room. A marker before the name of points would pass for
/// one of them, so they are named in the key.
fn names<'a>(
    chart: &'a Chart,
    pens: &[Pen],
    strokes: &[Vec<Vec<(f64, f64)>>],
    room: &mut Room,
) -> (Markup, Vec<(Pen, &'a Series)>) {
    let mut placed = Vec::new();
    let mut unplaced = Vec::new();
    let all = chart.series.iter().zip(strokes).zip(pens);
    let is_named = |kind| !matches!(kind, SeriesKind::Stake | SeriesKind::Around | SeriesKind::Room);
    for ((series, runs), pen) in all.filter(|((series, _), _)| is_named(series.kind)) {
        let name = series.label.trim();
        let run: Vec<_> = runs.iter().flatten().copied().collect();
        let at_line = series.kind != SeriesKind::Points && !name.is_empty();
        match at_line.then(|| room.take(name, series.kind, &run)).flatten() {
            Some(area) => placed.push(key::named(*pen, series, name, area.left, area.top)),
            None => unplaced.push((*pen, series)),
        }
    }
    (html! { @for name in &placed { (name) } }, unplaced)
}

/// Light lines at the ticks, the words of the vertical axis.
fn grid(x: &Axis, y: &Axis) -> Markup {
    let ((left, right), (bottom, top)) = (x.ends(), y.ends());
    let line = |x1, y1, x2, y2| html! { path d={ "M" (px(x1)) " " (px(y1)) "L" (px(x2)) " " (px(y2)) } {} };
    html! {
        g stroke="currentColor" stroke-opacity="0.22" {
            @for (place, _) in x.ticks() { (line(place, bottom, place, top)) }
            @for (place, _) in y.ticks() { (line(left, place, right, place)) }
        }
        g stroke="currentColor" stroke-width="1.5" { (line(left, bottom, right, bottom)) (line(left, bottom, left, top)) }
        @for (place, words) in y.ticks() {
            text x=(px(left - GAP)) y=(px(place + 0.35 * FONT_SIZE)) text-anchor="end" { (words) }
        }
    }
}

/// The words under the frame: ticks and the axis' label; and where they end.
pub fn foot(x: &Axis, label: &str, top: f64, width: f64) -> (Markup, f64) {
    let (left, right) = x.ends();
    let label = wrap(label, width);
    let label_top = top + GAP + LINE_HEIGHT;
    let body = html! {
        @for (place, words) in words_with_room(x, width) {
            text x=(px(place)) y=(px(base_line(top + GAP))) text-anchor="middle" { (words) }
        }
        @for (index, line) in label.iter().enumerate() {
            @let half = wording::width(line) / 2.0;
            text x=(px(((left + right) / 2.0).min(width - half).max(half)))
                y=(px(base_line(label_top + LINE_HEIGHT * index as f64))) text-anchor="middle" { (line) }
        }
    };
    (body, label_top + LINE_HEIGHT * label.len() as f64 + GAP)
}

/// Tick words that do not run into the one before or over the edge of the picture.
fn words_with_room(x: &Axis, width: f64) -> Vec<(f64, String)> {
    let mut end = 0.0;
    let mut kept = Vec::new();
    for (place, words) in x.ticks() {
        let half = wording::width(&words) / 2.0;
        let place = place.min(width - half).max(half);
        if place - half >= end {
            end = place + half + GAP;
            kept.push((place, words));
        }
    }
    kept
}
