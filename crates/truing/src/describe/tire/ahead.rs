//! Sets of tires over the miles to come.

use crate::describe::chain::axle::AxleRatio;
use crate::describe::file::decimal::to_f64;
use crate::describe::file::document::Entry;
use crate::describe::file::keys::plan as keys;
use metrology::quantity::Length;
use metrology::text::Typed;

/// A stretch of miles to come.
#[derive(Clone, Debug, PartialEq)]
pub struct Ahead {
    /// The name of a set of tires, or a size.
    pub tires: String,
    /// How far they will be driven.
    pub distance: Length,
    /// The axle that will be fitted by then; the one of today unless said.
    pub axle_ratio: Option<AxleRatio>,
    /// Depth of their tread at the end of it; no wear is reckoned with unless said.
    pub tread_at_end: Option<Typed<Length>>,
    /// Line in the file, counted from 1.
    pub line: usize,
}

/// Reads one `[[plan]]`.
pub(crate) fn read(entry: &Entry<'_>) -> Option<Ahead> {
    let (tires, miles, km) = (entry.get(&keys::TIRES), entry.get(&keys::MILES), entry.get(&keys::KM));
    let (axle_ratio, tread_at_end) = (entry.get(&keys::AXLE_RATIO), entry.get(&keys::TREAD_AT_END));
    entry
        .exactly_one(&[(keys::MILES.name, entry.has(&keys::MILES)), (keys::KM.name, entry.has(&keys::KM))])?;
    let in_miles = miles.map(|miles| Length::from_mi(to_f64(miles)));
    let distance = in_miles.or(km.map(|km| Length::from_km(to_f64(km))))?;
    Some(Ahead { tires: tires?, distance, axle_ratio, tread_at_end, line: entry.line() })
}
