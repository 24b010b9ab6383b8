//! Plain numbers, whose unit stands in the name of the key.

use crate::describe::file::decimal::{NotDecimal, decimal, to_f64};
use crate::describe::file::document::Node;
use crate::describe::file::key::Kind;
use metrology::quantity::{Duration, Frequency, PerLength, Pressure, Ratio, Speed};
use rust_decimal::Decimal;
use serde_json::{Value as Json, json};
use std::borrow::Cow;
use toml::de::DeValue;

/// The digits of a number or of a text, exactly as they were written.
pub(super) fn written<'n>(node: &'n Node<'_>) -> Option<Cow<'n, str>> {
    match node.value {
        DeValue::String(text) => Some(Cow::Borrowed(text)),
        DeValue::Integer(number) if number.radix() == 10 => Some(Cow::Borrowed(number.as_str())),
        DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
            .ok()
            .map(|value| Cow::Owned(value.to_string())),
        DeValue::Float(number) => Some(Cow::Borrowed(number.as_str())),
        _ => None,
    }
}

fn read_decimal<K: Kind>(
    node: &Node<'_>,
    allowed: impl Fn(Decimal) -> bool,
    out_of_range: &str,
) -> Option<Decimal> {
    match written(node).ok_or(NotDecimal::NoNumber).and_then(|text| decimal(&text)) {
        Ok(value) if allowed(value) => Some(value),
        Ok(_) => node.not_a::<K, _>(out_of_range),
        Err(reason) => node.not_a::<K, _>(reason.hint()),
    }
}

/// A number or a quoted decimal in the schema.
pub(super) fn decimal_schema() -> Json {
    json!({"type": ["number", "string"], "pattern": r"^\s*[+-]?[0-9]*\.?[0-9]*\s*$"})
}

/// An exact decimal of either sign.
pub struct AnyDecimal;

impl Kind for AnyDecimal {
    type Out = Decimal;
    fn read(node: &Node<'_>) -> Option<Decimal> {
        read_decimal::<Self>(node, |_| true, "")
    }
    fn expected() -> String {
        "a decimal".into()
    }
    fn schema() -> Json {
        decimal_schema()
    }
}

/// An exact decimal above zero.
pub struct PositiveDecimal;

impl Kind for PositiveDecimal {
    type Out = Decimal;
    fn read(node: &Node<'_>) -> Option<Decimal> {
        read_decimal::<Self>(node, |value| value > Decimal::ZERO, "It must be above zero")
    }
    fn expected() -> String {
        "a decimal above zero".into()
    }
    fn schema() -> Json {
        decimal_schema()
    }
}

/// A whole number from `MIN` to `MAX`.
pub struct Count<const MIN: u32, const MAX: u32>;

impl<const MIN: u32, const MAX: u32> Kind for Count<MIN, MAX> {
    type Out = u32;
    fn read(node: &Node<'_>) -> Option<u32> {
        let whole =
            written(node).and_then(|text| decimal(&text).ok()).filter(|value| value.fract().is_zero());
        match whole.map(|value| u32::try_from(value.normalize())) {
            Some(Ok(value)) if (MIN..=MAX).contains(&value) => Some(value),
            _ => node.not_a::<Self, _>(""),
        }
    }
    fn expected() -> String {
        format!("a whole number from {MIN} to {MAX}")
    }
    fn schema() -> Json {
        json!({"type": ["integer", "string"], "minimum": MIN, "maximum": MAX, "pattern": r"^\s*[0-9]+\s*$"})
    }
}

fn above_zero(value: Decimal) -> bool {
    value > Decimal::ZERO
}

fn not_negative(value: Decimal) -> bool {
    value >= Decimal::ZERO
}

/// No vehicle on a road goes faster (mph; judgement): what is worked out for each speed up to it stays a page long.
const FASTEST_MPH: Decimal = Decimal::from_parts(300, 0, 0, false, 0);

fn road_speed(value: Decimal) -> bool {
    above_zero(value) && value <= FASTEST_MPH
}

/// The same in km/h.
const FASTEST_KM_H: Decimal = Decimal::from_parts(480, 0, 0, false, 0);

fn road_speed_km_h(value: Decimal) -> bool {
    above_zero(value) && value <= FASTEST_KM_H
}

fn tire_pressure(value: Decimal) -> bool {
    value >= Decimal::from(5) && value <= Decimal::from(200)
}

fn tire_load(value: Decimal) -> bool {
    tire_pressure(value)
}

macro_rules! plain_numbers {
    ($($(#[$doc:meta])* $name:ident = $quantity:ident::$from:ident, $allowed:ident, $expected:literal;)+) => {$(
        $(#[$doc])*
        pub struct $name;

        impl Kind for $name {
            type Out = $quantity;
            fn read(node: &Node<'_>) -> Option<$quantity> {
                let value = read_decimal::<Self>(node, $allowed, "")?;
                Some($quantity::$from(to_f64(value)))
            }
            fn expected() -> String {
                $expected.into()
            }
            fn schema() -> Json {
                decimal_schema()
            }
        }
    )+};
}

plain_numbers! {
    /// Turns or counts per mile.
    PerMile = PerLength::from_per_mi, above_zero, "a number per mile, above zero";
    /// Turns or counts per kilometre.
    PerKilometre = PerLength::from_per_km, above_zero, "a number per km, above zero";
    /// A speed in miles per hour.
    MilesPerHour = Speed::from_mi_per_h, road_speed, "a number of miles per hour, above zero and up to 300";
    /// A speed in kilometres per hour.
    KilometresPerHour = Speed::from_km_per_h, road_speed_km_h, "a number of km/h, above zero and up to 480";
    /// A time in seconds.
    Seconds = Duration::from_s, above_zero, "a number of seconds, above zero";
    /// Turns of a shaft per minute.
    RevsPerMinute = Frequency::from_per_min, above_zero, "a number of turns per minute, above zero";
    /// Pressure of a tire over the air's (psi): no more than any road tire holds (judgement).
    TirePressure = Ratio::from_plain, tire_pressure, "a number of psi, from 5 to 200";
    /// Load on a tire over its rated load.
    TireLoad = Ratio::from_percent, tire_load, "a number of per cent, from 5 to 200";
    /// A share in per cent.
    Percent = Ratio::from_percent, not_negative, "a number of per cent, zero or more";
}

/// Pressure of a tire over the air's, written in kPa; given over 1 psi as [`TirePressure`] is.
pub struct TirePressureKpa;

impl Kind for TirePressureKpa {
    type Out = Ratio;
    fn read(node: &Node<'_>) -> Option<Ratio> {
        let psi = |kpa: Decimal| Pressure::from_kpa(to_f64(kpa)).psi();
        let value = read_decimal::<Self>(node, |kpa| (5.0..=200.0).contains(&psi(kpa)), "")?;
        Some(Ratio::from_plain(psi(value)))
    }
    fn expected() -> String {
        "a number of kPa, from 35 to 1378".into()
    }
    fn schema() -> Json {
        decimal_schema()
    }
}
