//! Values typed with their unit, and dates.

use crate::describe::file::document::Node;
use crate::describe::file::key::{Kind, Measure};
use jiff::civil::Date;
use metrology::quantity::{Length, Speed};
use metrology::text::{self, TextError, Typed};
use serde_json::{Value as Json, json};
use toml::de::DeValue;

fn typed<K: Kind, Q: Copy>(
    node: &Node<'_>,
    read: fn(&str) -> Result<Typed<Q>, TextError>,
    allowed: fn(Q) -> bool,
) -> Option<Typed<Q>> {
    let DeValue::String(written) = node.value else {
        return node
            .not_a::<K, _>("Put it in quotes with its unit; a bare number would leave the unit to guess");
    };
    match read(written) {
        Ok(typed) if allowed(typed.value) => Some(typed),
        Ok(_) => node.not_a::<K, _>("It must be above zero"),
        Err(error) => node.wrong(error.expected, error.found, capitalised(&error.hint)),
    }
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// A length with its unit, as people write it.
pub struct TypedLength;

impl Kind for TypedLength {
    type Out = Typed<Length>;
    fn read(node: &Node<'_>) -> Option<Typed<Length>> {
        typed::<Self, Length>(node, text::length, |length| length.m() > 0.0)
    }
    fn expected() -> String {
        "a length with its unit, such as \"41 ft 2 1/4 in\", \"12.55 m\" or \"9.70 mi +/- 0.02\"".into()
    }
    fn schema() -> Json {
        json!({"type": "string", "minLength": 1})
    }
    fn measure() -> Option<Measure> {
        Some(Measure::Length)
    }
}

/// What an odometer shows, which may be zero.
pub struct TypedReading;

impl Kind for TypedReading {
    type Out = Typed<Length>;
    fn read(node: &Node<'_>) -> Option<Typed<Length>> {
        typed::<Self, Length>(node, text::length, |length| length.m() >= 0.0)
    }
    fn expected() -> String {
        "an odometer reading with its unit, such as \"84210.3 mi\"".into()
    }
    fn schema() -> Json {
        TypedLength::schema()
    }
    fn measure() -> Option<Measure> {
        Some(Measure::Reading)
    }
}

/// A speed with its unit, as people write it.
pub struct TypedSpeed;

impl Kind for TypedSpeed {
    type Out = Typed<Speed>;
    fn read(node: &Node<'_>) -> Option<Typed<Speed>> {
        typed::<Self, Speed>(node, text::speed, |speed| speed.m_per_s() >= 0.0)
    }
    fn expected() -> String {
        "a speed with its unit, such as \"60 mph\" or \"100 km/h\"".into()
    }
    fn schema() -> Json {
        json!({"type": "string", "minLength": 1})
    }
    fn measure() -> Option<Measure> {
        Some(Measure::Speed)
    }
}

/// A day, as a bare TOML date or in quotes.
pub struct Day;

impl Kind for Day {
    type Out = Date;
    fn read(node: &Node<'_>) -> Option<Date> {
        let date = match node.value {
            DeValue::Datetime(written) => written.date.and_then(|date| {
                let (year, month, day) =
                    (i16::try_from(date.year), i8::try_from(date.month), i8::try_from(date.day));
                Date::new(year.ok()?, month.ok()?, day.ok()?).ok()
            }),
            DeValue::String(written) => written.trim().parse().ok(),
            _ => None,
        };
        date.or_else(|| node.not_a::<Self, _>("Write year, month and day"))
    }
    fn expected() -> String {
        "a date such as 2026-05-02".into()
    }
    fn schema() -> Json {
        json!({"type": "string"})
    }
}
