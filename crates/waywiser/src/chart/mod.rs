//! A chart of the report as inline SVG: axes, grid, series and their names, laid out so that no two words collide.
//!
//! The picture carries no ids and no style sheet of its own, so many can stand in one page; [`STYLE`] gives the page
//! the few rules they share. Without it the picture is still complete in the colour of the text around it.
//! Series differ by dash and marker as well as by tone. A name stands at its line where there is room, else in the
//! key under the picture, in both cases behind a sample of the line.

mod axis;
mod key;
mod pen;
mod picture;
mod place;
mod rows;
mod sketches;
mod stakes;
mod wording;
mod xy;

pub use picture::{BROAD, NARROW};
pub use sketches::{drawing, drawing_file};

use maud::{Markup, PreEscaped, html};
use picture::{FONT_SIZE, Picture, WIDTH};
use truing::report::document::{Chart, SeriesKind};

/// The rules a page needs once for all its charts: tones by the variables `--tone-0` to `--tone-3`, the ground by `--ground`.
pub const STYLE: &str = include_str!("chart.css");

/// Draws a chart.
///
/// Points without a finite number cannot be drawn; the picture says how many there were.
pub fn svg(chart: &Chart) -> Markup {
    svg_of(chart, WIDTH)
}

/// The same laid out for another width, with words of the same size.
pub fn svg_of(chart: &Chart, width: f64) -> Markup {
    let picture = with_note(drawn(chart, width), undrawable(chart), width);
    let markup = html! {
        svg class="chart" role="img" viewBox={ "0 0 " (width) " " (picture.height.ceil()) }
            font-size=(FONT_SIZE) fill="currentColor" stroke="none" aria-label=(chart.title) {
            title { (chart.title) }
            desc { (chart.description) }
            (picture.body)
        }
    };
    PreEscaped(printable(&markup.into_string()))
}

/// The same as a file of its own: on white ground, so that it can be read wherever it is shown.
pub fn file(chart: &Chart) -> String {
    let open = r##"<svg xmlns="http://www.w3.org/2000/svg" style="background:#fff;color:#000;font-family:sans-serif" "##;
    svg(chart).into_string().replacen("<svg ", open, 1) + "\n"
}

fn drawn(chart: &Chart, width: f64) -> Picture {
    let mut points = chart.series.iter().flat_map(|series| &series.points);
    let kinds = || chart.series.iter().map(|series| series.kind);
    let rows =
        kinds().any(|kind| kind == SeriesKind::Interval) || kinds().all(|kind| kind == SeriesKind::Upright);
    if !points.any(pen::drawable) {
        let (body, height) = wording::lines_at("Nothing to draw yet.", 0.0, width);
        Picture { body, height }
    } else if rows {
        rows::picture(chart, width)
    } else {
        xy::picture(chart, width)
    }
}

/// The same text with control characters, which no page may carry, shown as the replacement character.
pub(crate) fn printable(text: &str) -> String {
    text.chars().map(|c| if is_forbidden(c) { '\u{fffd}' } else { c }).collect()
}

fn is_forbidden(c: char) -> bool {
    (c.is_control() && c != '\n' && c != '\t') || matches!(c, '\u{fffe}' | '\u{ffff}')
}

fn undrawable(chart: &Chart) -> usize {
    chart.series.iter().flat_map(|series| &series.points).filter(|point| !pen::drawable(point)).count()
}

fn with_note(picture: Picture, undrawable: usize, width: f64) -> Picture {
    if undrawable == 0 {
        return picture;
    }
    let text = match undrawable {
        1 => "1 point has no number and is not drawn.".to_string(),
        many => format!("{many} points have no number and are not drawn."),
    };
    let (words, height) = wording::lines_at(&text, picture.height, width);
    Picture { body: html! { (picture.body) (words) }, height }
}
