//! Quantities of a reason as JSON: plain numbers, whose unit stands in the key.

use crate::describe::fault::Fault;
use metrology::quantity::{Duration, Length, PerLength, Ratio};
use serde::{Serialize, Serializer};

/// A ratio as a plain number.
pub fn plain<S: Serializer>(ratio: &Ratio, serializer: S) -> Result<S::Ok, S::Error> {
    ratio.plain().serialize(serializer)
}

/// The same of what may be unknown.
pub fn plain_or_none<S: Serializer>(ratio: &Option<Ratio>, serializer: S) -> Result<S::Ok, S::Error> {
    ratio.map(Ratio::plain).serialize(serializer)
}

/// A time in minutes.
pub fn minutes<S: Serializer>(time: &Duration, serializer: S) -> Result<S::Ok, S::Error> {
    time.min().serialize(serializer)
}

/// A length in metres.
pub fn metres<S: Serializer>(length: &Length, serializer: S) -> Result<S::Ok, S::Error> {
    length.m().serialize(serializer)
}

/// As it is printed.
pub fn shown<T: core::fmt::Display, S: Serializer>(it: &T, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(it)
}

/// The same of what may be missing.
pub fn shown_or_none<T: core::fmt::Display, S: Serializer>(
    it: &Option<T>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    it.as_ref().map(ToString::to_string).serialize(serializer)
}

/// Faults, each by what it touches.
pub fn touched<S: Serializer>(faults: &[Fault], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(faults.iter().map(|fault| fault.touches.word()))
}

/// Events per mile.
pub fn per_mile<S: Serializer>(events: &PerLength, serializer: S) -> Result<S::Ok, S::Error> {
    events.per_mi().serialize(serializer)
}
