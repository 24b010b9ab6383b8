//! From fixes as read to fixes that can be used; what is left out is counted with its reason.

use super::false_speeds;
use super::order::Shared;
use super::places::{self, FlatMap, TwoSources};
use super::refresh::refresh_one_way_s;
use super::repeats::{self, Refreshed};
use super::rows::{self, Row, Rows};
use super::stream::Stream;
use super::times::Times;
use crate::logs::Track;
use crate::measure::drive::rejection::Rejected;
use crate::measure::drive::rejection::RejectionCause;
use metrology::geodesy::{Path, Position};
use metrology::order::usual_interval_s;
use metrology::smooth::PathFix;

/// A speed no road vehicle reaches (m/s): 360 km/h.
pub const IMPOSSIBLE_M_PER_S: f64 = 100.0;
/// A gap longer than this (s), and than [`GAP_INTERVALS`] usual intervals, splits the track.
const GAP_S: f64 = 10.0;
const GAP_INTERVALS: f64 = 4.0;

/// Positions farther apart than this (s) are not joined by a path where speeds are reported between them.
const LONELY_S: f64 = 10.0;

/// Fixes in rising time, positions in a plane.
#[derive(Clone, Debug, Default)]
pub struct Clean {
    /// Usable fixes.
    pub fixes: Vec<PathFix>,
    /// Time (s) and height (m) of the fixes that have one.
    pub heights: Vec<(f64, f64)>,
    /// Latitude and longitude of the first position.
    pub first: Option<Position>,
    /// Fixes as read.
    pub read: usize,
    /// What was left out, by reason.
    pub rejected: Vec<Rejected>,
    /// How often each stream shows a new value, where rows repeat it.
    pub refresh: Refresh,
    /// Rows that stood in another order, and rows that shared a time.
    pub moved: usize,
    pub shared: Shared,
    /// Two sources of positions.
    pub two_sources: Option<TwoSources>,
}

/// How the streams of a track are refreshed; nothing where each row may have been measured.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct Refresh {
    pub place: Option<Refreshed>,
    pub speed: Option<Refreshed>,
    pub height: Option<Refreshed>,
}

impl Clean {
    /// How its times follow one another.
    pub fn times(&self) -> Times<'static> {
        let count = |cause| self.rejected.iter().find(|r| r.cause == cause).map_or(0, |r| r.count);
        Times {
            of: "fixes",
            read: self.read,
            still: count(RejectionCause::TimeStill),
            backward: count(RejectionCause::TimeBackward),
            interval_s: usual_interval_s(self.fixes.iter().map(|fix| fix.time_s)),
        }
    }

    /// Leaves the speeds alone, and the fixes that have one.
    pub fn drop_positions(&mut self) {
        self.drop_all(|fix| fix.position_m = None, |fix| fix.speed_m_per_s.is_some());
    }

    /// Leaves the positions alone, and the fixes that have one.
    pub fn drop_speeds(&mut self) {
        self.drop_all(|fix| fix.speed_m_per_s = None, |fix| fix.position_m.is_some());
    }

    /// Leaves out positions that have no other within [`LONELY_S`] and a speed beside them: between speeds that stand alone, a place tells
    /// nothing of the way, and a path of one place stands.
    pub fn drop_lonely_positions(&mut self) {
        let placed: Vec<usize> =
            (0..self.fixes.len()).filter(|k| self.fixes[*k].position_m.is_some()).collect();
        let time_s = |place: Option<&usize>| place.map_or(f64::INFINITY, |index| self.fixes[*index].time_s);
        let lonely = |place: usize| {
            let at_s = time_s(placed.get(place));
            let before_s =
                place.checked_sub(1).map_or(f64::INFINITY, |before| at_s - time_s(placed.get(before)));
            before_s > LONELY_S && time_s(placed.get(place + 1)) - at_s > LONELY_S
        };
        let lonely: Vec<usize> =
            (0..placed.len()).filter(|place| lonely(*place)).map(|place| placed[place]).collect();
        for index in lonely {
            let fix = &mut self.fixes[index];
            fix.position_m = fix.position_m.filter(|_| fix.speed_m_per_s.is_none());
        }
    }

    /// The start of a segment must not go with a fix that is left out.
    fn drop_all(&mut self, what: fn(&mut PathFix), left: fn(&PathFix) -> bool) {
        let mut starts = false;
        self.fixes.retain_mut(|fix| {
            what(fix);
            starts |= fix.starts;
            left(fix) && {
                fix.starts = std::mem::take(&mut starts);
                true
            }
        });
        split_at_gaps(&mut self.fixes);
    }

    /// Brings the streams together again: rows with a position, a speed or both.
    fn join(&mut self, rows: &[Row], measured: &Measured) {
        let (mut places, mut speeds) =
            (measured.places.row.iter().peekable(), measured.speeds.row.iter().peekable());
        let (mut plane, mut starts) = (None::<Path>, false);
        self.fixes.reserve(rows.len());
        for (index, row) in rows.iter().enumerate() {
            starts |= row.starts;
            let place = places.next_if(|row| **row == index).and(row.place);
            let speed_m_per_s = speeds.next_if(|row| **row == index).and(row.speed_m_per_s);
            if place.is_none() && speed_m_per_s.is_none() {
                continue;
            }
            let position_m = place.map(|here| {
                self.first.get_or_insert(here);
                let (east, north) = plane.get_or_insert_with(|| Path::new(here)).go_to(here);
                [east.m(), north.m()]
            });
            let starts = std::mem::take(&mut starts);
            self.fixes.push(PathFix {
                time_s: row.time_s,
                position_m,
                speed_m_per_s,
                starts,
                ..PathFix::default()
            });
        }
        count(&mut self.rejected, RejectionCause::Repeated, rows.len() - self.fixes.len());
    }
}

/// Adds to the count of a cause.
pub fn count(rejected: &mut Vec<Rejected>, cause: RejectionCause, count: usize) {
    if count == 0 {
        return;
    }
    match rejected.iter_mut().find(|r| r.cause == cause) {
        Some(found) => found.count += count,
        None => rejected.push(Rejected { cause, count }),
    }
}

/// Cleans a track. Coordinates become metres east and north of the first position and go no further.
pub fn clean(track: &Track) -> Clean {
    let mut clean = Clean { read: track.fixes.len(), ..Clean::default() };
    let Rows { rows, moved, shared } = rows::rows(track, &mut clean.rejected);
    (clean.moved, clean.shared) = (moved, shared);
    let mut measured = Measured::new(&rows);
    measured.keep_measurements(&rows, &mut clean);
    clean.heights =
        measured.heights.time_s.iter().copied().zip(measured.heights.value.iter().map(|h| h[0])).collect();
    clean.join(&rows, &measured);
    split_at_gaps(&mut clean.fixes);
    clean
}

/// The streams of a track.
struct Measured {
    places: Stream<2>,
    speeds: Stream<1>,
    heights: Stream<1>,
}

impl Measured {
    fn new(rows: &[Row]) -> Measured {
        // One from the middle: the first may be far away.
        let middle = rows.len() / 2;
        let one = rows[middle..].iter().chain(&rows[..middle]).find_map(|row| row.place);
        let map = one.map(FlatMap::about);
        let place = |row: &Row| Some(map.as_ref()?.place_m(row.place?));
        let one = |value: Option<f64>| value.map(|value| [value]);
        Measured {
            places: Stream::new(rows.iter().map(|row| (row.time_s, place(row)))),
            speeds: Stream::new(rows.iter().map(|row| (row.time_s, one(row.speed_m_per_s)))),
            heights: Stream::new(rows.iter().map(|row| (row.time_s, one(row.height_m)))),
        }
    }

    /// Leaves what was measured, and of that what can be. False zeros go first: what repeats while the speed is zero was taken to stand.
    fn keep_measurements(&mut self, rows: &[Row], clean: &mut Clean) {
        clean.two_sources = places::drop_coarser(&mut self.places, rows);
        let coarser = clean.two_sources.map_or(0, |two| two.dropped);
        count(&mut clean.rejected, RejectionCause::PositionOfCoarserSource, coarser);
        let refresh_s = refresh_one_way_s(&self.speeds);
        let dropped = false_speeds::drop_impossible(&mut self.speeds, refresh_s);
        clean.refresh.place = repeats::leave_measurements(&mut self.places, 0.0);
        let [standing, repeated] = repeats::drop_standing(&mut self.places, &mut self.speeds);
        count(&mut clean.rejected, RejectionCause::PositionStands, standing);
        count(&mut clean.rejected, RejectionCause::SpeedRepeated, repeated);
        count(
            &mut clean.rejected,
            RejectionCause::PositionOfEarlierDrive,
            places::drop_stale(&mut self.places),
        );
        let contradicted = false_speeds::drop_contradicted(&mut self.speeds, &self.places);
        clean.refresh.speed = repeats::leave_measurements(&mut self.speeds, 0.0);
        clean.refresh.height = repeats::leave_measurements(&mut self.heights, 0.0);
        let why = [
            (RejectionCause::SpeedAtFullScale, dropped.full_scale),
            (RejectionCause::SpeedZero, dropped.zeros + contradicted),
            (RejectionCause::SpeedStands, dropped.frozen),
            (RejectionCause::SpeedTooSoon, dropped.spikes),
        ];
        why.into_iter().for_each(|(cause, dropped)| count(&mut clean.rejected, cause, dropped));
    }
}

fn split_at_gaps(fixes: &mut [PathFix]) {
    let usual = usual_interval_s(fixes.iter().map(|fix| fix.time_s));
    let gap = GAP_S.max(GAP_INTERVALS * usual);
    for index in 1..fixes.len() {
        let apart = fixes[index].time_s - fixes[index - 1].time_s;
        // A new segment without a pause is a logger's habit, not a gap.
        fixes[index].starts = apart > gap || (fixes[index].starts && apart > 2.0 * usual);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::Fix;
    use metrology::quantity::{Angle, Instant, Speed};

    fn fix(time_s: f64, speed_m_per_s: Option<f64>) -> Fix {
        Fix {
            time: Some(Instant::from_s(time_s)),
            speed: speed_m_per_s.map(Speed::from_m_per_s),
            ..Fix::default()
        }
    }

    fn check(fixes: Vec<Fix>, kept_s: &[f64], cause: RejectionCause) {
        let cleaned = clean(&Track { fixes: fixes.into_iter().collect(), ..Track::default() });
        assert_eq!(cleaned.fixes.iter().map(|f| f.time_s).collect::<Vec<_>>(), kept_s);
        assert_eq!(cleaned.rejected.iter().map(|r| (r.cause, r.count)).collect::<Vec<_>>(), [(cause, 1)]);
    }

    #[test]
    fn every_fix_left_out_has_its_reason() {
        let at = |time_s| fix(time_s, Some(10.0));
        check(vec![at(0.0), at(2.0), at(1.0), at(3.0)], &[0.0, 2.0, 3.0], RejectionCause::TimeBackward);
        check(vec![at(0.0), at(0.0), at(3.0)], &[0.0, 3.0], RejectionCause::TimeStill);
        check(vec![at(0.0), Fix { time: None, ..at(1.0) }], &[0.0], RejectionCause::NoTime);
        check(vec![at(0.0), Fix { hdop: Some(30.0), ..at(1.0) }], &[0.0], RejectionCause::PoorGeometry);
        check(vec![at(0.0), fix(1.0, None)], &[0.0], RejectionCause::Empty);
        check(vec![at(0.0), fix(1.0, Some(400.0))], &[0.0], RejectionCause::Empty);
    }

    #[test]
    fn a_pause_splits_and_a_new_segment_without_pause_does_not() {
        let mut fixes: Vec<Fix> = [0.0, 1.0, 2.0, 3.0, 40.0, 41.0].map(|t| fix(t, Some(5.0))).to_vec();
        fixes[2].starts_segment = true;
        let starts: Vec<bool> = clean(&Track { fixes: fixes.into_iter().collect(), ..Track::default() })
            .fixes
            .iter()
            .map(|f| f.starts)
            .collect();
        assert_eq!(starts, [false, false, false, false, true, false]);
    }

    /// Forty seconds due north at 20 m/s, each row as `row` has it (time s, metres north, m/s): times and counts of what is left.
    fn check_rows(
        row: impl Fn(usize) -> (f64, Option<f64>, Option<f64>),
        left: [usize; 3],
        cause: impl Into<Option<RejectionCause>>,
    ) {
        let cause = cause.into();
        let degrees = |m: f64| 45.0 + m / 111_130.0;
        let fix = |k: usize| {
            let (time_s, north_m, speed) = row(k);
            // 0 is no place on this globe but the one at zero north and zero east.
            let place = north_m.map(|m| if m == 0.0 { (0.0, 0.0) } else { (degrees(m), 7.0) });
            Fix {
                latitude: place.map(|place| Angle::from_deg(place.0)),
                longitude: place.map(|place| Angle::from_deg(place.1)),
                ..fix(time_s, speed)
            }
        };
        let cleaned = clean(&Track { fixes: (0..40).map(fix).collect(), ..Track::default() });
        let places = cleaned.fixes.iter().filter(|fix| fix.position_m.is_some()).count();
        let speeds = cleaned.fixes.iter().filter(|fix| fix.speed_m_per_s.is_some()).count();
        assert_eq!([cleaned.fixes.len(), places, speeds], left, "{cause:?} {:?}", cleaned.rejected);
        assert!(cleaned.fixes.is_sorted_by(|one, other| one.time_s < other.time_s));
        let told = cleaned.rejected.iter().any(|rejected| cause == Some(rejected.cause));
        assert!(told || cause.is_none(), "{:?}", cleaned.rejected);
    }

    #[test]
    fn rows_that_are_no_measurements() {
        let sound = |k: usize| (k as f64, Some(20.0 * k as f64 + 1.0), Some(20.0));
        let at = |k: usize, every: usize| k.is_multiple_of(every);
        let stands = RejectionCause::PositionStands;
        check_rows(sound, [40, 40, 40], None);
        let bent = |k: usize| 20.0 * k as f64 + 60.0 * (k as f64 / 5.0).sin() + 1.0;
        // Twenty places tell that each stands for two rows; ten that stand for four would be too few.
        check_rows(|k| (k as f64, Some(bent(k / 2 * 2)), Some(20.0)), [40, 20, 40], None);
        let zero = RejectionCause::SpeedZero;
        check_rows(|k| (k as f64, sound(k).1, Some(if at(k, 4) { 0.0 } else { 20.0 })), [40, 40, 30], zero);
        check_rows(
            |k| if at(k, 4) { (k as f64, Some(0.0), Some(0.0)) } else { sound(k) },
            [30, 30, 30],
            zero,
        );
        let origin = RejectionCause::ZeroPosition;
        check_rows(|k| if at(k, 4) { (k as f64, Some(0.0), None) } else { sound(k) }, [30, 30, 30], origin);
        let stale = RejectionCause::PositionOfEarlierDrive;
        check_rows(|k| if k == 0 { (0.0, Some(9000.0), Some(20.0)) } else { sound(k) }, [40, 39, 40], stale);
        check_rows(|k| (k as f64, sound(k.min(20)).1, Some(20.0)), [40, 21, 40], stands);
        let far = RejectionCause::Alone;
        check_rows(|k| if k == 0 { (-3000.0, sound(0).1, None) } else { sound(k) }, [39, 39, 39], far);
        let backward = RejectionCause::TimeBackward;
        check_rows(|k| if k == 9 { (3e9, sound(9).1, Some(20.0)) } else { sound(k) }, [39, 39, 39], backward);
        // The second half first, and four rows to a whole second.
        check_rows(|k| sound((k + 20) % 40), [40, 40, 40], None);
        check_rows(|k| ((k / 4) as f64, Some(5.0 * k as f64 + 1.0), Some(20.0)), [40, 40, 40], None);
    }

    /// A minute of latitude at 45 degrees is 1852.2 m (WGS84, by the series of any handbook; from memory).
    #[test]
    fn coordinates_become_metres() {
        let at = |time_s, degrees| Fix {
            latitude: Some(Angle::from_deg(degrees)),
            longitude: Some(Angle::from_deg(7.0)),
            ..fix(time_s, None)
        };
        let fixes = vec![at(0.0, 45.0 - 0.5 / 60.0), at(1.0, 45.0 + 0.5 / 60.0)];
        let cleaned = clean(&Track { fixes: fixes.into_iter().collect(), ..Track::default() });
        let [east, north] = cleaned.fixes[1].position_m.unwrap();
        assert!(east.abs() < 1e-6 && (north - 1852.2).abs() < 0.1, "{east} {north}");
    }
}
