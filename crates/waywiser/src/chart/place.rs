//! Finding room for the names at their lines: a place that covers no stroke, no other name, and lies in the frame.

use super::pen::SAMPLE;
use super::picture::LINE_HEIGHT;
use super::wording::width;
use truing::report::document::SeriesKind;

/// Strokes are watched at points this far apart.
const WATCHED_EVERY: f64 = 3.0;
/// Free room kept around a name.
const MARGIN: f64 = 2.0;
/// How far a name may stand from its line.
const GAPS: [f64; 3] = [4.0, 10.0, 16.0];
/// Places along a line where its name may stand, from the best to the last resort.
const ALONG: [f64; 9] = [0.85, 0.97, 0.7, 0.5, 0.3, 0.15, 0.6, 0.4, 0.03];
/// A name wider than this part of the frame goes to the key.
const WIDEST_NAME: f64 = 0.75;

/// A rectangle: left, top, width, height.
#[derive(Copy, Clone, Debug)]
pub struct Area {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
}

impl Area {
    fn overlaps(&self, other: &Self) -> bool {
        self.left < other.left + other.width
            && other.left < self.left + self.width
            && self.top < other.top + other.height
            && other.top < self.top + self.height
    }

    fn holds(&self, (x, y): (f64, f64), margin: f64) -> bool {
        x > self.left - margin
            && x < self.left + self.width + margin
            && y > self.top - margin
            && y < self.top + self.height + margin
    }

    fn inside(&self, frame: &Self) -> bool {
        self.left >= frame.left
            && self.top >= frame.top
            && self.left + self.width <= frame.left + frame.width
            && self.top + self.height <= frame.top + frame.height
    }
}

/// What stands in the picture already.
pub struct Room {
    frame: Area,
    strokes: Vec<(f64, f64)>,
    names: Vec<Area>,
}

impl Room {
    /// A frame with nothing in it.
    pub fn new(frame: Area) -> Self {
        Self { frame, strokes: Vec::new(), names: Vec::new() }
    }

    /// A stroke no name may cover.
    pub fn watch(&mut self, run: &[(f64, f64)]) {
        self.strokes.extend(run.first());
        self.strokes.extend(run.windows(2).flat_map(|pair| between(pair[0], pair[1])));
    }

    /// Takes the first free place for a name of a series that runs through `run`; none when there is none.
    pub fn take(&mut self, name: &str, kind: SeriesKind, run: &[(f64, f64)]) -> Option<Area> {
        let (wide, height) = (SAMPLE + width(name), LINE_HEIGHT);
        if run.is_empty() || wide > WIDEST_NAME * self.frame.width {
            return None;
        }
        let anchors = if kind == SeriesKind::Band { inside_of(run) } else { along(run) };
        let gaps: &[f64] = if kind == SeriesKind::Band { &[-LINE_HEIGHT / 2.0] } else { &GAPS };
        let frame = self.frame;
        let areas = gaps
            .iter()
            .flat_map(|gap| anchors.iter().flat_map(move |a| around(*a, *gap, wide, height, frame)));
        let free = areas.into_iter().find(|area| self.is_free(area))?;
        self.names.push(free);
        Some(free)
    }

    fn is_free(&self, area: &Area) -> bool {
        area.inside(&self.frame)
            && !self.names.iter().any(|name| name.overlaps(area))
            && !self.strokes.iter().any(|point| area.holds(*point, MARGIN))
    }
}

fn around((x, y): (f64, f64), gap: f64, width: f64, height: f64, frame: Area) -> [Area; 4] {
    let slid = (x - width / 2.0).min(frame.left + frame.width - width - MARGIN).max(frame.left + MARGIN);
    let (above, below) = (y - gap - height, y + gap);
    [
        (slid, above),
        (slid, below),
        (x + gap.abs() + 2.0, y - height / 2.0),
        (x - gap.abs() - 2.0 - width, y - height / 2.0),
    ]
    .map(|(left, top)| Area { left, top, width, height })
}

fn along(run: &[(f64, f64)]) -> Vec<(f64, f64)> {
    ALONG.iter().map(|part| part_way(run, *part)).collect()
}

/// The point at a part of the run's way from its first to its last point, by count.
fn part_way(run: &[(f64, f64)], part: f64) -> (f64, f64) {
    let place = part * (run.len() - 1) as f64;
    let (index, rest) = (place.floor() as usize, place.fract());
    let (a, b) = (run[index], run[(index + 1).min(run.len() - 1)]);
    (a.0 + rest * (b.0 - a.0), a.1 + rest * (b.1 - a.1))
}

/// Middles of a band: between its upper edge and the lower edge that runs back.
fn inside_of(outline: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let (upper, lower) = outline.split_at(outline.len() / 2);
    if upper.is_empty() {
        return Vec::new();
    }
    let back: Vec<_> = lower.iter().rev().copied().collect();
    let middle = |part: &f64| {
        let (a, b) = (part_way(upper, *part), part_way(&back, *part));
        ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0)
    };
    ALONG.iter().map(middle).collect()
}

fn between(a: (f64, f64), b: (f64, f64)) -> impl Iterator<Item = (f64, f64)> {
    let pieces = ((b.0 - a.0).hypot(b.1 - a.1) / WATCHED_EVERY).ceil().max(1.0);
    (1..=pieces as usize).map(move |index| {
        let part = index as f64 / pieces;
        (a.0 + part * (b.0 - a.0), a.1 + part * (b.1 - a.1))
    })
}
