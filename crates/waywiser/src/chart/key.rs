//! The key under a picture: names that found no room at their line, each behind a sample.

use super::pen::{Pen, SAMPLE};
use super::picture::{LINE_HEIGHT, Picture};
use super::wording::{base_line, lines_at, px, wrap};
use maud::{Markup, html};
use truing::report::document::Series;

/// A sample and the first line of a name, the middle of the sample at half the line.
pub fn named(pen: Pen, series: &Series, words: &str, x: f64, top: f64) -> Markup {
    html! {
        g class=(pen.tone()) {
            (pen.sample(series.kind, x, top + LINE_HEIGHT / 2.0))
            text x=(px(x + SAMPLE)) y=(px(base_line(top))) { (words) }
        }
    }
}

/// The picture with the key under it.
pub fn under(picture: Picture, entries: &[(Pen, &Series)], width: f64) -> Picture {
    let mut top = picture.height;
    let mut parts = vec![picture.body];
    for (pen, series) in entries.iter().filter(|(_, series)| !series.label.trim().is_empty()) {
        for (index, line) in wrap(&series.label, width - SAMPLE).iter().enumerate() {
            parts.push(match index {
                0 => named(*pen, series, line, 0.0, top),
                _ => html! { text class=(pen.tone()) x=(px(SAMPLE)) y=(px(base_line(top))) { (line) } },
            });
            top += LINE_HEIGHT;
        }
    }
    Picture { body: html! { @for part in &parts { (part) } }, height: top }
}

/// The picture with lines of words under it.
pub fn listed(picture: Picture, lines: &[String], width: f64) -> Picture {
    lines.iter().fold(picture, |picture, line| {
        let (words, height) = lines_at(line, picture.height, width);
        Picture { body: html! { (picture.body) (words) }, height }
    })
}
