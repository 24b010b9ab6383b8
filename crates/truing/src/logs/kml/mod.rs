//! Tracks in KML, fed in chunks of any size; in a KMZ archive it is the file that ends in `.kml`.
//!
//! Two shapes have times and are read: a `Track` of an extension, with `when` and `coord` elements that belong together by
//! their order, and placemarks that each hold a point and a time. Speeds are taken where the name of their data says the unit
//! (`speed_kmh`). A line without times is said. Positions are longitude, latitude, height.
//!
//! Source: OGC 07-147r2 (KML 2.2) and its widely used extension for tracks, by OGC 12-007r2 part of KML 2.3 (from memory).

use super::bounds::keep_within;
use super::csv::{ColumnUnit, speed_unit};
use super::tally::{Kind, Tally, shape};
use super::text::Blocks;
use super::xml::point::{Leaf, Point};
use super::xml::scan::{Document, Place, Root, Scan};
use super::{Fix, Track, bounds};
use crate::problem::{Problem, Severity};
use metrology::quantity::{Angle, Instant, Length, Speed};
use quick_xml::events::BytesStart;

const ROOT: Root = Root { name: "kml", says: "KML, which begins with <kml>" };

/// A push parser for one KML file; memory is bounded by one track beside the fixes themselves.
#[derive(Debug)]
pub struct KmlReader {
    blocks: Blocks,
    scan: Scan<Places>,
    source: String,
}

impl KmlReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>) -> Self {
        Self { blocks: Blocks::default(), scan: Scan::default(), source: source.into() }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        let Self { blocks, scan, .. } = self;
        blocks.feed(bytes, |text| scan.block(text, false));
    }

    /// What was understood, and what was not.
    pub fn finish(mut self) -> (Track, Vec<Problem>) {
        self.scan.block(self.blocks.rest(), true);
        let mut problems = super::encoding_problems(&self.blocks.decoder, &self.source);
        let mut places = self.scan.finish(&self.source, ROOT, &mut problems);
        let mut tally = Tally::default();
        // A file that was cut within a track.
        places.end_track(places.last_line, &mut tally);
        problems.extend(tally.into_problems(&self.source));
        if places.track.fixes.is_empty() && places.lines > 0 {
            let expected = "a track with a time for each position";
            let problem = Problem::warning(&self.source, expected, "only lines without times");
            problems.push(problem.hint("export the drive with its times, as GPX if it is offered"));
        }
        (places.track.with_dates(), problems)
    }
}

/// What was read so far.
#[derive(Debug, Default)]
struct Places {
    track: Track,
    value: Option<Value>,
    /// The track that is open, and its depth.
    open: Option<(OpenTrack, usize)>,
    /// The placemark that is open, and its depth.
    mark: Option<(Point, usize)>,
    in_point: bool,
    /// The data whose values are speeds, where their unit is known.
    speed_unit: Option<f64>,
    lines: usize,
    last_line: usize,
}

/// A value that is read.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Value {
    When,
    Coordinates,
    Speed,
}

/// Values of one list of a track: a whole day at twenty a second. They wait for each other in more memory than fixes take.
const MOST_IN_TRACK: usize = 1_728_000;

/// Lists of a track that belong together by their order.
#[derive(Debug, Default)]
struct OpenTrack {
    left_out: usize,
    times: Vec<Option<Instant>>,
    fixes: Vec<Fix>,
    speeds: Vec<Option<Speed>>,
}

impl Document for Places {
    fn open(&mut self, name: &str, element: &BytesStart<'_>, depth: usize, place: &mut Place<'_>) -> bool {
        match name {
            "Track" if self.open.is_none() => self.open = Some((OpenTrack::default(), depth)),
            "Placemark" if self.mark.is_none() => self.mark = Some((Point::at(place.line()), depth)),
            "Point" => self.in_point = true,
            "LineString" => self.lines += 1,
            "Data" | "SimpleData" | "SimpleArrayData" => {
                self.speed_unit = self.unit_of(element, place);
                if name == "SimpleData" && self.speed_unit.is_some() {
                    self.value = Some(Value::Speed);
                }
            }
            "value" if self.speed_unit.is_some() => self.value = Some(Value::Speed),
            "when" | "begin" if self.mark.is_some() || self.open.is_some() => self.value = Some(Value::When),
            "coord" if self.open.is_some() => self.value = Some(Value::Coordinates),
            "coordinates" if self.in_point && self.mark.is_some() => self.value = Some(Value::Coordinates),
            _ => {}
        }
        self.value.is_some()
    }

    fn close(&mut self, depth: usize, text: Option<&str>, place: &mut Place<'_>) {
        if let (Some(value), Some(text)) = (self.value.take(), text) {
            return self.take(value, text.trim(), place);
        }
        if self.open.as_ref().is_some_and(|(_, open_depth)| *open_depth == depth) {
            let line = place.line();
            return self.end_track(line, place.tally);
        }
        if let Some((mark, _)) = self.mark.take_if(|(_, mark_depth)| *mark_depth == depth) {
            (self.in_point, self.speed_unit) = (false, None);
            if mark.fix.latitude.is_some() && mark.fix.time.is_some() {
                let starts_segment = self.track.fixes.is_empty();
                self.track.fixes.push(Fix { starts_segment, ..mark.fix });
            }
        }
    }
}

impl Places {
    /// The unit of the values of some data, where they are speeds.
    fn unit_of(&self, element: &BytesStart<'_>, place: &mut Place<'_>) -> Option<f64> {
        let mut attributes = element.attributes();
        let mut attributes = attributes.with_checks(false).flatten();
        let name = attributes.find(|attribute| attribute.key.as_ref() == "name")?.value;
        match speed_unit(&name) {
            ColumnUnit::OtherThing => None,
            ColumnUnit::Known(factor) => Some(factor),
            ColumnUnit::NotSaid => {
                let hint = "these speeds were left out; export the drive as CSV with the unit in the name of the column";
                let (severity, part, expected) =
                    (Severity::Note, "speed", "the unit of the speed in its name");
                let line = place.line();
                place.tally.count(Kind { severity, part, expected, hint }, line, || "none".to_owned());
                None
            }
        }
    }

    fn take(&mut self, value: Value, text: &str, place: &mut Place<'_>) {
        let line = place.line();
        self.last_line = line;
        match (value, &mut self.open, &mut self.mark) {
            (Value::When, Some((track, _)), _) => {
                let mut point = Point::at(line);
                point.set(Leaf::Time, text, place);
                track.left_out += usize::from(!keep_within(MOST_IN_TRACK, &mut track.times, point.fix.time));
            }
            (Value::When, None, Some((mark, _))) => mark.set(Leaf::Time, text, place),
            (Value::Coordinates, Some((track, _)), _) => {
                let fix = position(text, line, place.tally).unwrap_or(Fix { line, ..Fix::default() });
                track.left_out += usize::from(!keep_within(MOST_IN_TRACK, &mut track.fixes, fix));
            }
            (Value::Coordinates, None, Some((mark, _))) => {
                let fix = position(text, line, place.tally).unwrap_or_default();
                mark.fix = Fix { time: mark.fix.time, speed: mark.fix.speed, line: mark.fix.line, ..fix };
            }
            (Value::Speed, open, mark) => {
                let speed = self.speed_unit.and_then(|unit| Some(bounds::number(text)? * unit));
                let speed = speed.filter(|speed| bounds::is_speed(*speed)).map(Speed::from_m_per_s);
                match (open, mark) {
                    (Some((track, _)), _) => {
                        keep_within(MOST_IN_TRACK, &mut track.speeds, speed);
                    }
                    (None, Some((mark, _))) => mark.fix.speed = mark.fix.speed.or(speed),
                    (None, None) => {}
                }
            }
            _ => {}
        }
    }

    /// Brings together what belongs together by its order.
    fn end_track(&mut self, line: usize, tally: &mut Tally) {
        let Some((open, _)) = self.open.take() else { return };
        let OpenTrack { times, fixes, speeds, left_out } = open;
        if left_out > 0 {
            let hint = "what came after that many was left out; give the part of the track with the drive";
            let (severity, part, expected) =
                (Severity::Warning, "Track", "at most 1728000 positions in a track");
            tally.count(Kind { severity, part, expected, hint }, line, || "more".to_owned());
        }
        self.speed_unit = None;
        if times.len() != fixes.len() {
            let hint = "times and positions were brought together by their order as far as both go";
            let (severity, part, expected) = (Severity::Warning, "Track", "as many times as positions");
            let found = || format!("{} and {}", times.len(), fixes.len());
            tally.count(Kind { severity, part, expected, hint }, line, found);
        }
        // A list of another length belongs to something else.
        let speeds = if speeds.len() == fixes.len() { speeds } else { Vec::new() };
        let mut starts_segment = true;
        for (index, (time, fix)) in times.into_iter().zip(fixes).enumerate() {
            let speed = speeds.get(index).copied().flatten();
            if fix.latitude.is_some() || speed.is_some() {
                self.track.fixes.push(Fix { time, speed, starts_segment, ..fix });
                starts_segment = false;
            }
        }
    }
}

/// `11.5 48.25 520` or `11.5,48.25,520`: longitude, latitude, height.
fn position(text: &str, line: usize, tally: &mut Tally) -> Option<Fix> {
    let is_break = |sign: char| sign == ',' || sign.is_whitespace();
    let mut numbers = text.split(is_break).filter(|part| !part.is_empty()).map(bounds::number);
    let longitude = numbers.next().flatten().filter(|deg| deg.abs() <= bounds::LONGITUDE_DEG);
    let latitude = numbers.next().flatten().filter(|deg| deg.abs() <= bounds::LATITUDE_DEG);
    let elevation = numbers.next().flatten().filter(|m| bounds::is_elevation(*m)).map(Length::from_m);
    // An empty element stands for a time without a position.
    let (Some(longitude), Some(latitude)) = (longitude, latitude) else {
        if !text.is_empty() {
            let hint = "the position was left out";
            let (severity, expected) = (Severity::Warning, "longitude, latitude and height");
            tally.count(Kind { severity, part: "coordinates", expected, hint }, line, || shape(text));
        }
        return None;
    };
    let (latitude, longitude) = (Some(Angle::from_deg(latitude)), Some(Angle::from_deg(longitude)));
    Some(Fix { line, latitude, longitude, elevation, ..Fix::default() })
}

#[cfg(test)]
mod tests;
