//! The strokes: lines with dashes, markers, bands, and the samples of them that stand before a name.

use super::axis::Axis;
use super::wording::px;
use maud::{Markup, html};
use truing::report::document::{Series, SeriesKind};

/// Beyond this a number is taken for a fault of the data; far above anything a chart shows, far below overflow.
const LARGEST_DRAWN: f64 = 1e100;
/// Dash patterns in order of use; the first is unbroken.
const DASHES: [&str; 8] = ["none", "8 4", "2 3", "11 3 2 3", "5 2 1 2 1 2", "14 3", "4 4", "11 3 2 3 2 3"];
/// Tones there are; the first is the ink of references and areas, the others are for what is compared.
const TONES: usize = 4;
/// Shades of areas in order of use.
const SHADES: [&str; 2] = ["0.14", "0.3"];
/// Width of a sample before a name.
pub const SAMPLE: f64 = 26.0;
/// Half the size of a marker.
const MARKER: f64 = 3.6;

/// Whether a point has two numbers one can draw.
pub fn drawable(point: &(f64, f64)) -> bool {
    point.0.abs() <= LARGEST_DRAWN && point.1.abs() <= LARGEST_DRAWN
}

/// How one series differs from the others: its tone, and its dash or marker among those of its kind.
#[derive(Copy, Clone)]
pub struct Pen {
    tone: usize,
    form: usize,
}

/// The pen of a lone mark in plain ink.
pub const INK: Pen = Pen { tone: 0, form: 0 };

/// A pen for each series. Lines and reference lines share the dashes, so that no two look alike.
pub fn pens(series: &[Series]) -> Vec<Pen> {
    let lines =
        series.iter().filter(|series| matches!(series.kind, SeriesKind::Line | SeriesKind::Round)).count();
    let (mut line, mut rule, mut band, mut marker, mut tone) = (0, lines, 0, 0, 1);
    let mut next = |kind| match kind {
        SeriesKind::Line | SeriesKind::Round => Pen { tone: count(&mut tone), form: count(&mut line) },
        SeriesKind::Level | SeriesKind::Upright => Pen { tone: 0, form: count(&mut rule) },
        SeriesKind::Stake | SeriesKind::Room => INK,
        // Of the line that comes next.
        SeriesKind::Around => Pen { tone, form: 0 },
        SeriesKind::Band => Pen { tone: 0, form: count(&mut band) },
        SeriesKind::Points | SeriesKind::Interval => Pen { tone: count(&mut tone), form: count(&mut marker) },
    };
    series.iter().map(|series| next(series.kind)).collect()
}

fn count(counter: &mut usize) -> usize {
    *counter += 1;
    *counter - 1
}

impl Pen {
    /// The class of its tone.
    pub fn tone(self) -> String {
        let compared = TONES - 1;
        format!("tone-{}", if self.tone == 0 { 0 } else { 1 + (self.tone - 1) % compared })
    }

    fn dash(self) -> &'static str {
        DASHES[self.form % DASHES.len()]
    }

    /// Runs of drawable points joined by a line.
    pub fn line(self, runs: &[Vec<(f64, f64)>]) -> Markup {
        let path: String = runs.iter().map(|run| path(run)).collect();
        html! { path d=(path) fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round" stroke-dasharray=(self.dash()) {} }
    }

    /// A straight reference line, thinner than a series.
    pub fn rule(self, from: (f64, f64), to: (f64, f64)) -> Markup {
        html! { path d=(path(&[from, to])) fill="none" stroke="currentColor" stroke-width="1.4" stroke-dasharray=(self.dash()) {} }
    }

    /// An area with its edge.
    pub fn band(self, outline: &[(f64, f64)]) -> Markup {
        let shade = SHADES[self.form % SHADES.len()];
        html! {
            path d={ (path(outline)) "Z" } fill="currentColor" fill-opacity=(shade) stroke="currentColor"
                stroke-width="1.2" stroke-dasharray=(self.dash()) {}
        }
    }

    /// The area around a line, without an edge of its own.
    pub fn around(self, outline: &[(f64, f64)]) -> Markup {
        html! { path d={ (path(outline)) "Z" } fill="currentColor" fill-opacity="0.22" {} }
    }

    /// One marker.
    pub fn marker(self, (x, y): (f64, f64)) -> Markup {
        let m = MARKER;
        let corners: &[(f64, f64)] = match self.form % 5 {
            0 => return html! { circle cx=(px(x)) cy=(px(y)) r=(m) {} },
            1 => &[(-m, -m), (m, -m), (m, m), (-m, m)],
            2 => &[(0.0, -1.3 * m), (1.2 * m, m), (-1.2 * m, m)],
            3 => &[(0.0, -1.4 * m), (1.4 * m, 0.0), (0.0, 1.4 * m), (-1.4 * m, 0.0)],
            _ => &[(-1.2 * m, -m), (1.2 * m, -m), (0.0, 1.3 * m)],
        };
        let outline: Vec<_> = corners.iter().map(|(right, down)| (x + right, y + down)).collect();
        html! { path d={ (path(&outline)) "Z" } {} }
    }

    /// What stands before the name of a series: a piece of it, its middle line at `y`.
    pub fn sample(self, kind: SeriesKind, x: f64, y: f64) -> Markup {
        let (end, half) = (x + SAMPLE - 6.0, 5.0);
        match kind {
            SeriesKind::Line | SeriesKind::Round => self.line(&[vec![(x, y), (end, y)]]),
            SeriesKind::Level | SeriesKind::Upright | SeriesKind::Stake => self.rule((x, y), (end, y)),
            SeriesKind::Band => self.band(&[(x, y - half), (end, y - half), (end, y + half), (x, y + half)]),
            SeriesKind::Points | SeriesKind::Interval => self.marker(((x + end) / 2.0, y)),
            SeriesKind::Around | SeriesKind::Room => html! {},
        }
    }
}

/// Drawable points of a series in picture units, broken where a point cannot be drawn.
pub fn runs(series: &Series, x: &Axis, y: &Axis) -> Vec<Vec<(f64, f64)>> {
    let split = series.points.split(|point| !drawable(point));
    let placed = split.map(|run| run.iter().map(|point| (x.at(point.0), y.at(point.1))).collect());
    placed.filter(|run: &Vec<_>| !run.is_empty()).collect()
}

fn path(points: &[(f64, f64)]) -> String {
    let letter = |index| if index == 0 { 'M' } else { 'L' };
    points.iter().enumerate().map(|(i, (x, y))| format!("{}{} {}", letter(i), px(*x), px(*y))).collect()
}
