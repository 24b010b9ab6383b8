//! The rows of a track as read, in the order of their times.

use super::fixes::{IMPOSSIBLE_M_PER_S, count};
use super::order::{Shared, order, spread};
use super::places::is_zero;
use crate::logs::{Fix, Track};
use crate::measure::drive::rejection::Rejected;
use crate::measure::drive::rejection::RejectionCause;
use metrology::geodesy::Position;

/// Beyond this horizontal dilution of precision a fix is of no use (common practice, no source).
const POOR_HDOP: f64 = 20.0;
/// Heights (m) that no road has: the lowest is 430 m below the sea, the highest under 6000 m above.
const HEIGHTS_M: std::ops::Range<f64> = -500.0..7000.0;
/// Zeros among heights of more than this (m, median) are no heights.
const HIGH_M: f64 = 60.0;

/// A row.
#[derive(Copy, Clone, Debug)]
pub struct Row {
    pub time_s: f64,
    pub place: Option<Position>,
    pub speed_m_per_s: Option<f64>,
    pub height_m: Option<f64>,
    /// Which values it was read with beside its place, a bit each: a second source says others.
    pub said: u8,
    pub starts: bool,
}

/// Rows in rising time.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    pub rows: Vec<Row>,
    /// Rows that were put elsewhere in the order of time.
    pub moved: usize,
    /// Rows that shared a time.
    pub shared: Shared,
}

/// The rows of a track that have a time and a value that can be.
pub fn rows(track: &Track, rejected: &mut Vec<Rejected>) -> Rows {
    let mut rows = Vec::with_capacity(track.fixes.len());
    let mut starts = false;
    for fix in track.fixes.iter() {
        starts |= fix.starts_segment;
        match row(&fix, starts) {
            Ok(row) => {
                starts = false;
                rows.push(row);
            }
            Err(cause) => count(rejected, cause, 1),
        }
    }
    drop_zero_heights(&mut rows);
    drop_zero_coordinates(&mut rows);
    let mut rows = in_order(rows, rejected);
    rows.shared = share_times(&mut rows.rows, rejected);
    rows
}

fn row(fix: &Fix, starts: bool) -> Result<Row, RejectionCause> {
    let time = fix.time.filter(|time| time.s().is_finite()).ok_or(RejectionCause::NoTime)?;
    if fix.hdop.is_some_and(|hdop| hdop > POOR_HDOP) {
        return Err(RejectionCause::PoorGeometry);
    }
    let place = fix.latitude.zip(fix.longitude).map(|(latitude, longitude)| Position { latitude, longitude });
    let known = place.filter(|place| !is_zero(*place));
    let speed = fix.speed.map(|speed| speed.m_per_s()).filter(|v| (0.0..IMPOSSIBLE_M_PER_S).contains(v));
    match (place, known, speed) {
        (Some(_), None, None) => return Err(RejectionCause::ZeroPosition),
        (None, _, None) => return Err(RejectionCause::Empty),
        _ => (),
    }
    let height_m = fix.elevation.map(|height| height.m()).filter(|height| HEIGHTS_M.contains(height));
    let said = [speed.is_some(), height_m.is_some(), fix.hdop.is_some(), fix.course.is_some()];
    let said = said.iter().fold(0, |bits, said| 2 * bits + u8::from(*said));
    Ok(Row { time_s: time.s(), place: known, speed_m_per_s: speed, height_m, said, starts })
}

fn drop_zero_heights(rows: &mut [Row]) {
    let mut heights: Vec<f64> = rows.iter().filter_map(|row| row.height_m).collect();
    let zeros = heights.iter().filter(|height| **height == 0.0).count();
    if zeros == 0 || metrology::order::quantile(&mut heights, 0.5) < HIGH_M {
        return;
    }
    rows.iter_mut().for_each(|row| row.height_m = row.height_m.filter(|height| *height != 0.0));
}

/// A coordinate of exactly zero among others was not known; a road along the equator or the first meridian has many.
fn drop_zero_coordinates(rows: &mut [Row]) {
    let places = rows.iter().filter_map(|row| row.place);
    let zeros = places.clone().filter(|place| half_zero(*place)).count();
    if zeros > 0 && 2 * zeros < places.count() {
        rows.iter_mut().for_each(|row| row.place = row.place.filter(|place| !half_zero(*place)));
    }
}

fn half_zero(place: Position) -> bool {
    place.latitude.rad() == 0.0 || place.longitude.rad() == 0.0
}

fn in_order(rows: Vec<Row>, rejected: &mut Vec<Rejected>) -> Rows {
    let times_s: Vec<f64> = rows.iter().map(|row| row.time_s).collect();
    let order = order(&times_s);
    count(rejected, RejectionCause::TimeBackward, order.backward);
    count(rejected, RejectionCause::Alone, order.alone);
    let ordered = if order.rows.len() == rows.len() && order.moved == 0 {
        rows
    } else {
        order.rows.iter().map(|index| rows[*index]).collect()
    };
    Rows { rows: ordered, moved: order.moved, shared: Shared::default() }
}

/// Rows of one time get one of their own where there is room for it. Others become one row, which has what the first did not say from those
/// after it.
fn share_times(rows: &mut Vec<Row>, rejected: &mut Vec<Rejected>) -> Shared {
    let mut times_s: Vec<f64> = rows.iter().map(|row| row.time_s).collect();
    let said = |row: &Row| (row.place, row.speed_m_per_s);
    let alike = |from: usize, to: usize| rows[from..to].iter().all(|row| said(row) == said(&rows[from]));
    let shared = spread(&mut times_s, alike);
    rows.iter_mut().zip(times_s).for_each(|(row, time_s)| row.time_s = time_s);
    let before = rows.len();
    rows.dedup_by(|row, first| {
        let same = row.time_s == first.time_s;
        if same {
            first.place = first.place.or(row.place);
            first.speed_m_per_s = first.speed_m_per_s.or(row.speed_m_per_s);
            first.height_m = first.height_m.or(row.height_m);
            first.starts |= row.starts;
        }
        same
    });
    count(rejected, RejectionCause::TimeStill, before - rows.len());
    shared
}
