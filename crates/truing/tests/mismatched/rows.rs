//! The phone or logger: which rows it writes of what the receiver says.

use super::chance::{Chance, GaussMarkov};
use super::motion::{Motion, between, moved};
use super::receiver::Seen;
use metrology::quantity::{Angle, Instant, Length, Speed};
use truing::logs::{Clock, Fix, Track};

/// Start of every drive on clocks with a date (s).
pub const EPOCH_S: f64 = 1_750_000_000.0;

/// When a row is written.
#[derive(Copy, Clone, Debug)]
pub enum Written {
    /// With each fix.
    AsSeen,
    /// Every so many seconds, with the last fix.
    Held(f64),
    /// Every so many seconds, on the line between two fixes.
    Interpolated(f64),
}

/// False zeros in a track: which share, and whether in runs; speed zero, and the place.
#[derive(Copy, Clone, Debug)]
pub struct Zeros {
    pub share: f64,
    pub in_runs: bool,
    pub place: ZeroPlace,
}

/// The place a row with a false zero has.
#[derive(Copy, Clone, Debug)]
pub enum ZeroPlace {
    /// Zero north, zero east.
    Origin,
    /// The last one before.
    Last,
    /// The right one: only the speed is zero.
    Right,
}

/// What is wrong with the times of the rows.
#[derive(Copy, Clone, Debug)]
pub enum Stamps {
    /// Nothing.
    Right,
    /// Some rows come with a time seconds before that of the row before them.
    Reversing,
    /// The clock is set right by a few seconds now and then.
    Jumping,
    /// One row in twenty has the time of the row before it.
    Twice,
    /// Whole seconds.
    Whole,
}

/// A logger of tracks.
#[derive(Clone, Debug)]
pub struct Rows {
    pub written: Written,
    /// Speeds or places are taken over only this often (s).
    pub speed_every_s: Option<f64>,
    pub place_every_s: Option<f64>,
    /// A second source in the same file: coarse (m), late (s), every so often (s).
    pub coarse: Option<(f64, f64, f64)>,
    /// The first row is the last known place of an earlier drive.
    pub stale_first: bool,
    pub zeros: Option<Zeros>,
    pub stamps: Stamps,
    /// Holes (s) somewhere in the track.
    pub holes_s: Vec<f64>,
    /// Spans (s) somewhere during which the last fix is repeated, as in tunnels.
    pub frozen_s: Vec<f64>,
    /// Rows are stamped when they arrive: mean time on the way (s), on which each differs.
    pub arrival_s: f64,
    pub with_places: bool,
    pub with_speeds: bool,
    /// Decimals of the coordinates in degrees.
    pub decimals: Option<i32>,
}

/// A row: what is written, and whether it is a true measurement.
#[derive(Copy, Clone)]
struct Row {
    stamp_s: f64,
    seen: Seen,
    genuine: bool,
    after_hole: bool,
}

impl Rows {
    /// The track of a drive, and the true times (s) of its first and its last usable fix.
    pub fn track(&self, seen: &[Seen], motion: &Motion, chance: &mut Chance) -> (Track, (f64, f64)) {
        let mut rows = self.written(seen);
        self.add_coarse(&mut rows, motion, chance);
        self.add_zeros(&mut rows, chance);
        self.freeze(&mut rows, chance);
        self.cut_holes(&mut rows, chance);
        if self.stale_first {
            add_stale(&mut rows, chance);
        }
        self.stamp(&mut rows, chance);
        let was_s = |row: &Row| if self.with_places { row.seen.was_s } else { row.seen.at_s };
        let mut genuine = rows.iter().filter(|row| row.genuine).map(was_s);
        let first_s = genuine.next().unwrap_or(0.0);
        let last_s = genuine.next_back().unwrap_or(first_s);
        let fixes = rows.iter().enumerate().map(|(index, row)| self.fix(index, row)).collect();
        (Track { fixes, clock: Clock::Absolute, ..Track::default() }, (first_s, last_s))
    }

    /// Which fix stands in which row.
    fn written(&self, seen: &[Seen]) -> Vec<Row> {
        let row = |stamp_s: f64, seen: Seen| Row { stamp_s, seen, genuine: true, after_hole: false };
        let (first_s, last_s) = (seen[0].at_s, seen[seen.len() - 1].at_s);
        let step_s = match self.written {
            Written::AsSeen => None,
            Written::Held(step_s) | Written::Interpolated(step_s) => Some(step_s),
        };
        let times: Vec<f64> = match step_s {
            None => seen.iter().map(|one| one.at_s).collect(),
            Some(s) => (0..=((last_s - first_s) / s) as usize).map(|k| first_s + k as f64 * s).collect(),
        };
        let latest = |at_s: f64| seen.partition_point(|one| one.at_s <= at_s + 1e-9).saturating_sub(1);
        let every =
            |at_s: f64, every_s: f64| latest(first_s + ((at_s - first_s) / every_s).floor() * every_s);
        let mut rows = Vec::with_capacity(times.len());
        for at_s in times {
            let index = latest(at_s);
            let mut now = seen[index];
            if let (Written::Interpolated(_), Some(next)) = (self.written, seen.get(index + 1)) {
                now = on_the_line(&now, next, at_s);
            }
            if let Some(every_s) = self.speed_every_s {
                now.speed_m_per_s = seen[every(at_s, every_s)].speed_m_per_s;
            }
            if let Some(every_s) = self.place_every_s {
                let old = seen[every(at_s, every_s)];
                // A speed that is newer than its place is a measurement of its own moment.
                let was_s = if self.with_speeds { now.was_s } else { old.was_s };
                (now.place, now.was_s, now.height_m) = (old.place, was_s, old.height_m);
            }
            rows.push(row(at_s, now));
        }
        rows
    }

    /// A network's guess between the receiver's fixes; some say no speed, some zero.
    fn add_coarse(&self, rows: &mut Vec<Row>, motion: &Motion, chance: &mut Chance) {
        let Some((coarse_m, late_s, every_s)) = self.coarse else { return };
        let mut north = GaussMarkov::new(coarse_m, 90.0, chance);
        let mut east = GaussMarkov::new(coarse_m, 90.0, chance);
        let speed_m_per_s = chance.of_these(&[None, Some(0.0)]);
        let end_s = rows[rows.len() - 1].stamp_s;
        let mut at_s = rows[0].stamp_s + chance.between(0.2, every_s);
        while at_s < end_s {
            let then_s = (at_s - late_s).max(0.0);
            let place = (between(&motion.latitude, then_s), between(&motion.longitude, then_s));
            let (north_m, east_m) = (north.after(every_s, chance), east.after(every_s, chance));
            let place = moved(place, 0.0, north_m, east_m);
            let seen = Seen { at_s, was_s: then_s, place: Some(place), speed_m_per_s, ..Seen::default() };
            rows.push(Row { stamp_s: at_s, seen, genuine: false, after_hole: false });
            at_s += every_s * chance.between(0.8, 1.2);
        }
        rows.sort_by(|one, other| one.stamp_s.total_cmp(&other.stamp_s));
    }

    fn add_zeros(&self, rows: &mut [Row], chance: &mut Chance) {
        let Some(zeros) = self.zeros else { return };
        const MEAN_S: f64 = 8.0;
        let (mut from_s, mut to_s) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut last = rows[0].seen.place;
        for row in rows.iter_mut() {
            if zeros.in_runs && row.stamp_s > to_s {
                from_s = row.stamp_s + chance.wait(MEAN_S * (1.0 - zeros.share) / zeros.share);
                to_s = from_s + chance.between(2.0, 2.0 * MEAN_S - 2.0);
            }
            let hit = if zeros.in_runs { row.stamp_s >= from_s } else { chance.happens(zeros.share) };
            if hit {
                row.seen.speed_m_per_s = Some(0.0);
                row.genuine = matches!(zeros.place, ZeroPlace::Right);
                match zeros.place {
                    ZeroPlace::Origin => row.seen.place = Some((0.0, 0.0)),
                    ZeroPlace::Last => row.seen.place = last,
                    ZeroPlace::Right => (),
                }
            }
            last = row.seen.place;
        }
    }

    fn freeze(&self, rows: &mut [Row], chance: &mut Chance) {
        for frozen_s in &self.frozen_s {
            let from_s = somewhere(rows, *frozen_s, chance);
            let Some(last) = rows.iter().rev().find(|row| row.stamp_s < from_s).copied() else { continue };
            let inside = |row: &&mut Row| (from_s..from_s + frozen_s).contains(&row.stamp_s);
            for row in rows.iter_mut().filter(inside) {
                *row = Row { stamp_s: row.stamp_s, genuine: false, ..last };
            }
        }
    }

    fn cut_holes(&self, rows: &mut Vec<Row>, chance: &mut Chance) {
        for hole_s in &self.holes_s {
            let from_s = somewhere(rows, *hole_s, chance);
            rows.retain(|row| row.stamp_s < from_s || row.stamp_s > from_s + hole_s);
            let marked = chance.happens(0.5);
            if let Some(after) = rows.iter_mut().find(|row| row.stamp_s > from_s) {
                after.after_hole = marked;
            }
        }
    }

    /// The times as the rows tell them.
    fn stamp(&self, rows: &mut [Row], chance: &mut Chance) {
        let mut set_s = 0.0;
        let mut left = chance.wait(100.0) as usize;
        for index in 0..rows.len() {
            let before_s = if index > 0 { rows[index - 1].stamp_s } else { f64::NEG_INFINITY };
            let row = &mut rows[index];
            row.stamp_s += chance.wait(self.arrival_s);
            match self.stamps {
                Stamps::Right => (),
                Stamps::Whole => row.stamp_s = row.stamp_s.floor(),
                Stamps::Twice if chance.happens(0.05) && index > 0 => row.stamp_s = before_s,
                Stamps::Twice => (),
                Stamps::Reversing => {
                    if left == 0 {
                        row.stamp_s -= chance.between(2.0, 8.0);
                        left = chance.wait(100.0) as usize + 3;
                    }
                    left -= 1;
                }
                Stamps::Jumping => {
                    if left == 0 {
                        set_s += chance.of_these(&[-2.0, -1.0, 1.0, 2.0]);
                        left = chance.wait(300.0) as usize + 20;
                    }
                    left -= 1;
                    row.stamp_s += set_s;
                }
            }
        }
    }

    fn fix(&self, index: usize, row: &Row) -> Fix {
        let rounded = |degrees: f64| match self.decimals {
            Some(decimals) => (degrees * 10f64.powi(decimals)).round() / 10f64.powi(decimals),
            None => degrees,
        };
        let angle = |degrees: f64| Angle::from_deg(rounded(degrees));
        let place = row.seen.place.filter(|_| self.with_places);
        let speed = row.seen.speed_m_per_s.filter(|_| self.with_speeds);
        Fix {
            line: index + 2,
            // Milliseconds, as loggers write them.
            time: Some(Instant::from_s(((EPOCH_S + row.stamp_s) * 1000.0).round() / 1000.0)),
            latitude: place.map(|place| angle(place.0)),
            longitude: place.map(|place| angle(place.1)),
            elevation: row.seen.height_m.filter(|_| self.with_places).map(Length::from_m),
            speed: speed.map(|speed| Speed::from_m_per_s((speed * 1000.0).round() / 1000.0)),
            course: row.seen.course_rad.filter(|_| self.with_speeds).map(Angle::from_rad),
            hdop: row.seen.hdop,
            starts_segment: index == 0 || row.after_hole,
        }
    }
}

/// Where a span of so many seconds begins that has half a minute of track on either side.
fn somewhere(rows: &[Row], span_s: f64, chance: &mut Chance) -> f64 {
    let (first_s, last_s) = (rows[0].stamp_s, rows[rows.len() - 1].stamp_s);
    chance.between(first_s + 30.0, (last_s - span_s - 30.0).max(first_s + 31.0))
}

fn on_the_line(now: &Seen, next: &Seen, at_s: f64) -> Seen {
    let share = ((at_s - now.at_s) / (next.at_s - now.at_s)).clamp(0.0, 1.0);
    let mix = |one: f64, other: f64| one + share * (other - one);
    let both = |one: Option<f64>, other: Option<f64>| one.zip(other).map(|(one, other)| mix(one, other));
    let places = now.place.zip(next.place);
    Seen {
        at_s,
        was_s: mix(now.was_s, next.was_s),
        place: places.map(|(one, other)| (mix(one.0, other.0), mix(one.1, other.1))),
        height_m: both(now.height_m, next.height_m),
        speed_m_per_s: both(now.speed_m_per_s, next.speed_m_per_s),
        ..*now
    }
}

/// A place kilometres away; it has either the time it was taken, up to an hour ago, or that of the start.
fn add_stale(rows: &mut Vec<Row>, chance: &mut Chance) {
    let first = rows[0];
    let (north_m, east_m) = (chance.between(-9e3, 9e3), chance.between(-9e3, 9e3));
    let place = first.seen.place.map(|place| moved(place, 0.0, north_m, east_m));
    let ago_s = if chance.happens(0.5) { chance.between(60.0, 3600.0) } else { 1.0 };
    let speed_m_per_s = Some(chance.of_these(&[0.0, 12.3]));
    let seen = Seen { place, speed_m_per_s, ..first.seen };
    let row = Row { stamp_s: first.stamp_s - ago_s, seen, genuine: false, after_hole: false };
    rows.insert(0, row);
}
