//! True distance, for a person.

use crate::problem::{Field, Problem};
use crate::record::{Mileage, Place, TrueDistance};
use crate::report::document::Document;
use crate::report::words;
use crate::report::words::value::V;
use crate::units::Units;
use jiff::civil::Date;
use jiff::{Timestamp, ToSpan};
use metrology::quantity::Length;
use metrology::text::length;
use schemars::JsonSchema;
use serde::Serialize;

/// How far a vehicle truly went.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DistanceReport {
    /// The vehicle.
    pub vehicle: String,
    /// What its odometer counted, in metres; `None` without a reading.
    pub indicated_distance_m: Option<f64>,
    /// True distance in metres; `None` where it cannot be known.
    pub distance_m: Option<V>,
    /// The same in miles.
    pub distance_mi: Option<V>,
    /// Why it is not known, or what is left out.
    pub unknowable: Vec<String>,
    /// Readings of the odometer in the record.
    pub readings: usize,
    #[serde(skip)]
    units: Units,
}

impl DistanceReport {
    /// Of a distance, where there is a reading to tell it from.
    pub fn new(vehicle: &str, found: Option<&TrueDistance>, mileage: &Mileage, units: Units) -> Self {
        let distance = found.and_then(|found| found.distance);
        let none = || {
            vec!["There is no reading of the odometer. Add one to the record (by hand: `record add odometer`).".to_string()]
        };
        Self {
            vehicle: vehicle.to_string(),
            indicated_distance_m: found.map(|found| found.indicated.m()),
            distance_m: V::maybe(distance.as_ref(), |length| length.m()),
            distance_mi: V::maybe(distance.as_ref(), |length| length.mi()),
            unknowable: found.map_or_else(none, |found| found.unknowable.clone()),
            readings: mileage.readings.len(),
            units,
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("True distance: {}", self.vehicle));
        let (units, word) = (self.units, self.units.road_word());
        if let Some(v) = self.distance_m.map(|v| v.to(|m| units.of_road(Length::from_m(m)))) {
            let text = words::value_and_uncertainty(v.value, v.standard_uncertainty);
            let between = words::interval(v.low_95, v.high_95, v.standard_uncertainty);
            document
                .sentence(format!("It truly went {text} {word}; with 95 % probability {between} {word}."));
        }
        if let Some(indicated) = self.indicated_distance_m {
            let indicated = units.say_road(Length::from_m(indicated), 1);
            document.sentence(format!("The odometer counted {indicated}."));
        }
        for why in &self.unknowable {
            document.sentence(why.clone());
        }
        document
    }
}

/// An end of a way.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum End {
    /// Where it starts.
    Start,
    /// Where it is over.
    Finish,
}

/// A place in a vehicle's life as people name it: a day, a time or a reading. Nothing said is the first reading at the
/// start of a way, the last at its end. A day is its first moment at the start, its last at the end.
pub fn place(mileage: &Mileage, end: End, text: Option<&str>) -> Result<Option<Place>, Problem> {
    let is_start = end == End::Start;
    let asked_in = if is_start { Field::From } else { Field::To };
    let Some((first, last)) = mileage.ends() else { return Ok(None) };
    let Some(text) = text.map(str::trim) else { return Ok(Some(if is_start { first } else { last })) };
    if let Some(time) = moment(text, is_start) {
        return Ok(mileage.place_at(time));
    }
    let typed = length(text).map_err(|error| {
        Problem::error(
            asked_in,
            "a day such as 2026-05-02 or a reading such as 128406.3 mi",
            format!("`{text}`"),
        )
        .hint(error.hint)
    })?;
    mileage.place_of_reading(typed.value, typed.resolution).map(Some).ok_or_else(|| {
        Problem::error(
            asked_in,
            "a reading between the first and the last in the record",
            format!("`{text}`"),
        )
        .hint("Look at `record show`; add the reading if it was really seen.")
    })
}

fn moment(text: &str, is_start: bool) -> Option<Timestamp> {
    if let Ok(time) = text.parse::<Timestamp>() {
        return Some(time);
    }
    let day: Date = text.parse().ok().filter(|_| text.len() <= 10)?;
    let start = format!("{day}T00:00:00Z").parse::<Timestamp>().ok()?;
    if is_start { Some(start) } else { start.checked_add(24.hours()).ok() }
}
