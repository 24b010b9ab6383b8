//! One point of a track while it is being read: attributes and the texts of its children to a fix.

use super::super::tally::{Kind, Tally, shape};
use super::super::{Fix, bounds, time};
use super::scan::Place;
use crate::problem::Severity;
use metrology::quantity::{Angle, Instant, Length, Speed};
use quick_xml::events::BytesStart;

/// A child of a point that is read.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(in super::super) enum Leaf {
    Latitude,
    Longitude,
    Elevation,
    Time,
    Hdop,
    Speed,
    Course,
    /// Radius within which the position lies, as a device says it (m).
    Accuracy,
    /// When the device delivered it, on a clock of its own (s).
    Delivered,
}

/// A point being read, and whether its position can be used.
#[derive(Debug)]
pub(in super::super) struct Point {
    pub(in super::super) fix: Fix,
    pub(in super::super) usable: bool,
    /// Radius within which the position lies (m).
    pub(in super::super) accuracy_m: Option<f64>,
    /// When the device delivered it, on a clock of its own (s).
    pub(in super::super) delivered_s: Option<f64>,
}

const NO_POSITION: &str = "the point was left out; the others were read";
/// Said of a latitude that only a longitude can be.
const SWAPPED: &str = "left out; where most points are like that, latitude and longitude are swapped: exchange the two in what \
     recorded the track and export it again";

/// Whether a latitude is beyond 90 degrees as only a longitude is.
fn is_longitude(latitude: f64) -> bool {
    latitude.abs() > bounds::LATITUDE_DEG && latitude.abs() <= bounds::LONGITUDE_DEG
}

impl Point {
    /// Starts from the attributes of a `trkpt` element that begins on `line`.
    pub(in super::super) fn start(element: &BytesStart<'_>, line: usize, tally: &mut Tally) -> Self {
        let (mut latitude, mut longitude) = (None, None);
        for attribute in element.attributes().with_checks(false).flatten() {
            match attribute.key.as_ref() {
                "lat" => latitude = Some(plain_number(&attribute.value)),
                "lon" => longitude = Some(plain_number(&attribute.value)),
                _ => {}
            }
        }
        let mut coordinate = |part, value: Option<Option<f64>>, limit| {
            let reason = match value {
                None => "no such attribute",
                Some(None) => "something that is no number",
                Some(Some(degrees)) if degrees.abs() <= limit => return Some(Angle::from_deg(degrees)),
                Some(Some(_)) => "a number beyond them",
            };
            let expected =
                if part == "lat" { "a latitude from -90 to 90" } else { "a longitude from -180 to 180" };
            let is_swapped = part == "lat" && value.flatten().is_some_and(is_longitude);
            let hint = if is_swapped { SWAPPED } else { NO_POSITION };
            tally.count(Kind { severity: Severity::Warning, part, expected, hint }, line, || reason.into());
            None
        };
        let latitude = coordinate("lat", latitude, bounds::LATITUDE_DEG);
        let longitude = coordinate("lon", longitude, bounds::LONGITUDE_DEG);
        let usable = latitude.is_some() && longitude.is_some();
        Self { usable, ..Self::with(Fix { line, latitude, longitude, ..Fix::default() }) }
    }

    /// A point on `line` whose position comes with its children.
    pub(in super::super) fn at(line: usize) -> Self {
        Self::with(Fix { line, ..Fix::default() })
    }

    fn with(fix: Fix) -> Self {
        Self { fix, usable: true, accuracy_m: None, delivered_s: None }
    }

    /// Takes the text of a child; a value that was already there stays. The line is only counted where something is wrong.
    #[inline]
    pub(in super::super) fn set(&mut self, leaf: Leaf, text: &str, place: &mut Place<'_>) {
        let text = text.trim_ascii();
        let fix = &mut self.fix;
        let degrees = |limit: f64| bounds::number(text).filter(|deg| deg.abs() <= limit).map(Angle::from_deg);
        let understood = match leaf {
            Leaf::Time => return self.set_time(text, place),
            Leaf::Latitude => keep(&mut fix.latitude, degrees(bounds::LATITUDE_DEG)),
            Leaf::Longitude => keep(&mut fix.longitude, degrees(bounds::LONGITUDE_DEG)),
            Leaf::Elevation => keep(&mut fix.elevation, bounds::elevation_m(text).map(Length::from_m)),
            Leaf::Hdop => keep(&mut fix.hdop, bounds::hdop(text)),
            Leaf::Speed => keep(&mut fix.speed, bounds::speed_m_per_s(text).map(Speed::from_m_per_s)),
            Leaf::Course => keep(&mut fix.course, bounds::course_deg(text).map(Angle::from_deg)),
            Leaf::Accuracy => keep(&mut self.accuracy_m, bounds::number(text).filter(|m| *m >= 0.0)),
            Leaf::Delivered => keep(&mut self.delivered_s, bounds::number(text)),
        };
        if !understood {
            let (part, expected) = match leaf {
                Leaf::Latitude => ("latitude", "a latitude from -90 to 90"),
                Leaf::Longitude => ("longitude", "a longitude from -180 to 180"),
                Leaf::Elevation => ("ele", "a height in metres"),
                Leaf::Hdop => ("hdop", "a dilution of precision from 0 to 1000"),
                Leaf::Speed => ("speed", "a speed in m/s from 0 to 500"),
                Leaf::Accuracy => ("accuracy", "a radius in metres"),
                Leaf::Delivered => ("delivered", "seconds on the device's clock"),
                Leaf::Course | Leaf::Time => ("course", "a course in degrees from 0 to 360"),
            };
            let is_swapped = leaf == Leaf::Latitude && bounds::number(text).is_some_and(is_longitude);
            let hint = if is_swapped { SWAPPED } else { "the value was left out; the point was kept" };
            let line = place.line();
            let kind = Kind { severity: Severity::Warning, part, expected, hint };
            place.tally.count(kind, line, || shape(text));
        }
    }

    fn set_time(&mut self, text: &str, place: &mut Place<'_>) {
        let kind = |severity, expected, hint| Kind { severity, part: "time", expected, hint };
        match time::calendar_time(text) {
            None => {
                let expected = "a time such as 2024-05-24T11:50:21Z";
                let hint = "the point was kept without a time";
                let line = place.line();
                place.tally.count(kind(Severity::Warning, expected, hint), line, || shape(text));
            }
            Some(found) => {
                keep(&mut self.fix.time, Some(Instant::from_s(found.unix_s)));
                if !found.zone_said {
                    let kind = kind(Severity::Note, "a time with its zone, such as Z", "taken as UTC");
                    let line = place.line();
                    place.tally.count(kind, line, || format!("{} without a zone", shape(text)));
                }
            }
        }
    }
}

/// Fills an empty place; whether there was a value to fill it with.
fn keep<T>(place: &mut Option<T>, value: Option<T>) -> bool {
    let understood = value.is_some();
    if place.is_none() {
        *place = value;
    }
    understood
}

fn plain_number(attribute: &str) -> Option<f64> {
    let plain = bounds::plain_decimal(attribute.as_bytes());
    plain.or_else(|| bounds::number(quick_xml::escape::unescape(attribute).ok()?.trim()))
}
