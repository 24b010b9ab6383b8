//! What phones and loggers make of streams: rows faster than a receiver, values held or on straight lines, zeros, a second source.

use super::damages::Damage;
use metrology::quantity::{Angle, Duration, Instant, Speed};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use truing::logs::{Fix, Sample, Track, VehicleLog};

type Chance = ChaCha8Rng;

const METRE_RAD: f64 = 1.0 / 6.37e6;

fn fixes(track: &Track) -> Vec<Fix> {
    track.fixes.iter().collect()
}

fn time_s(fix: &Fix) -> f64 {
    fix.time.map_or(0.0, |time| time.s())
}

/// So many rows from fix to fix, each with what `row` makes of both and the share of the way.
fn rows(track: &mut Track, each: usize, row: impl Fn(&Fix, &Fix, f64) -> Fix) {
    let all = fixes(track);
    let between = all.windows(2).flat_map(|pair| {
        let row = &row;
        (0..each).map(move |k| {
            let share = k as f64 / each as f64;
            let at_s = time_s(&pair[0]) + share * (time_s(&pair[1]) - time_s(&pair[0]));
            Fix { time: Some(Instant::from_s(at_s)), ..row(&pair[0], &pair[1], share) }
        })
    });
    track.fixes = between.collect();
}

fn on_line(one: Option<f64>, other: Option<f64>, share: f64) -> Option<f64> {
    one.zip(other).map(|(one, other)| one + share * (other - one))
}

/// Rows between fixes, held or on straight lines.
pub fn faster_rows(track: &mut Track, each: usize, on_lines: bool) {
    rows(track, each, |now, next, share| {
        if !on_lines {
            return *now;
        }
        let angle = |one: Option<Angle>, other: Option<Angle>| {
            on_line(one.map(Angle::deg), other.map(Angle::deg), share).map(Angle::from_deg)
        };
        let speed = on_line(now.speed.map(Speed::m_per_s), next.speed.map(Speed::m_per_s), share);
        Fix {
            latitude: angle(now.latitude, next.latitude),
            longitude: angle(now.longitude, next.longitude),
            speed: speed.map(Speed::from_m_per_s),
            ..*now
        }
    });
}

/// Places, speeds or both taken over only every so many seconds.
pub fn hold(track: &mut Track, every_s: f64, places: bool, speeds: bool) {
    let mut held = Fix::default();
    let mut due_s = f64::NEG_INFINITY;
    track.fixes.change_each(|fix| {
        if time_s(fix) >= due_s {
            (held, due_s) = (*fix, time_s(fix) + every_s - 0.05);
        }
        if places {
            (fix.latitude, fix.longitude) = (held.latitude, held.longitude);
        }
        if speeds {
            fix.speed = held.speed;
        }
    });
}

/// Samples held for so long.
pub fn hold_log(log: &mut VehicleLog, every_s: f64) {
    let (mut held, mut due_s) = (Speed::from_m_per_s(0.0), f64::NEG_INFINITY);
    for sample in &mut log.samples {
        if sample.time.s() >= due_s {
            (held, due_s) = (sample.speed, sample.time.s() + every_s - 0.02);
        }
        sample.speed = held;
    }
}

/// Samples on straight lines between those every so many seconds.
pub fn line_log(log: &mut VehicleLog, every_s: f64) {
    let mut due_s = f64::NEG_INFINITY;
    let polled = |sample: &&Sample| {
        let polled = sample.time.s() >= due_s;
        if polled {
            due_s = sample.time.s() + every_s - 0.02;
        }
        polled
    };
    let polls: Vec<Sample> = log.samples.iter().filter(polled).copied().collect();
    let mut next = 1;
    for sample in &mut log.samples {
        while next + 1 < polls.len() && polls[next].time < sample.time {
            next += 1;
        }
        let (from, to) = (polls[next - 1], polls[next]);
        let share = (sample.time.since(from.time).s() / to.time.since(from.time).s()).clamp(0.0, 1.0);
        let line = from.speed.m_per_s() + share * (to.speed.m_per_s() - from.speed.m_per_s());
        sample.speed = Speed::from_m_per_s((line * 1000.0).round() / 1000.0);
    }
    log.step = None;
}

/// Which of `count` rows are hit: this share of them, one by one or in runs of about so many.
pub fn hit(count: usize, share: f64, run: usize, chance: &mut Chance) -> Vec<bool> {
    let mut hit = vec![false; count];
    let mut row = 0;
    while row < count {
        if chance.random_bool((share / (run as f64 * (1.0 - share) + share)).min(1.0)) {
            let to = (row + if run > 1 { chance.random_range(run / 2..run * 3 / 2) } else { 1 }).min(count);
            hit[row..to].fill(true);
            row = to;
        }
        row += 1;
    }
    hit
}

/// What a false row has.
#[derive(Copy, Clone, Debug)]
pub enum False {
    /// A speed of zero.
    Zero,
    /// Speed zero, zero north and zero east.
    Origin,
    /// Speed zero, the last place.
    LastPlace,
    /// The last row.
    LastRow,
    /// Full scale.
    FullScale,
}

fn full_scale(speed: Option<Speed>, chance: &mut Chance) -> Option<Speed> {
    let of = [255.0, 65_535.0, -1.0, 65_535.0 / 256.0];
    speed.map(|_| Speed::from_km_per_h(of[chance.random_range(0..of.len())]))
}

/// Makes this share of a track's rows false.
pub fn false_rows(track: &mut Track, what: False, share: f64, run: usize, chance: &mut Chance) {
    let hit = hit(track.fixes.len(), share, run, chance);
    let (mut index, mut last) = (0, Fix::default());
    track.fixes.change_each(|fix| {
        if hit[index] && index > 0 {
            let zero = fix.speed.map(|_| Speed::from_m_per_s(0.0));
            let origin = fix.latitude.map(|_| Angle::from_rad(0.0));
            match what {
                False::Zero => fix.speed = zero,
                False::Origin => (fix.speed, fix.latitude, fix.longitude) = (zero, origin, origin),
                False::LastPlace => {
                    (fix.speed, fix.latitude, fix.longitude) = (zero, last.latitude, last.longitude);
                }
                False::LastRow => {
                    (fix.speed, fix.latitude, fix.longitude) = (last.speed, last.latitude, last.longitude);
                }
                False::FullScale => fix.speed = full_scale(fix.speed, chance),
            }
        }
        last = *fix;
        index += 1;
    });
}

/// The same of a log's samples.
pub fn false_samples(log: &mut VehicleLog, what: False, share: f64, run: usize, chance: &mut Chance) {
    let hit = hit(log.samples.len(), share, run, chance);
    let mut last = Speed::from_m_per_s(0.0);
    for (sample, hit) in log.samples.iter_mut().zip(hit) {
        if hit {
            sample.speed = match what {
                False::LastRow => last,
                False::FullScale => full_scale(Some(sample.speed), chance).unwrap_or(last),
                _ => Speed::from_m_per_s(0.0),
            };
        }
        last = sample.speed;
    }
}

/// A coarse place, late, every five seconds between the others, without a speed or with one of zero.
pub fn second_source(track: &mut Track, says_zero: bool, chance: &mut Chance) {
    let all = fixes(track);
    let mut due_s = f64::NEG_INFINITY;
    let (mut mixed, mut off) = (Vec::with_capacity(all.len()), [0.0; 2]);
    for (index, fix) in all.iter().enumerate() {
        mixed.push(*fix);
        if fix.latitude.is_none() || time_s(fix) < due_s {
            continue;
        }
        due_s = time_s(fix) + 5.0;
        off = off.map(|off: f64| 0.9 * off + chance.random_range(-12.0..12.0) * METRE_RAD);
        let late = all[index.saturating_sub(4)];
        let moved = |angle: Option<Angle>, off: f64| angle.map(|angle| Angle::from_rad(angle.rad() + off));
        mixed.push(Fix {
            time: Some(Instant::from_s(time_s(fix) + 0.37)),
            latitude: moved(late.latitude, off[0]),
            longitude: moved(late.longitude, off[1]),
            speed: says_zero.then(|| Speed::from_m_per_s(0.0)),
            ..Fix::default()
        });
    }
    track.fixes = mixed.into_iter().collect();
}

/// The first row is that of an earlier drive, kilometres away.
pub fn stale_first(track: &mut Track, ago_s: f64) {
    let mut all = fixes(track);
    let Some(first) = all.iter().find(|fix| fix.latitude.is_some()).copied() else { return };
    let away = |angle: Option<Angle>| angle.map(|angle| Angle::from_rad(angle.rad() + 4000.0 * METRE_RAD));
    let time = Some(Instant::from_s(time_s(&all[0]) - ago_s));
    all.insert(0, Fix { time, latitude: away(first.latitude), ..first });
    track.fixes = all.into_iter().collect();
}

fn rotate(track: &mut Track, log: &mut VehicleLog) {
    let mut all = fixes(track);
    all.rotate_left(track.fixes.len() / 3);
    track.fixes = all.into_iter().collect();
    let third = log.samples.len() / 3;
    log.samples.rotate_left(third);
}

fn far_stamps(track: &mut Track, log: &mut VehicleLog, chance: &mut Chance) {
    let hit = chance.random_range(0..track.fixes.len());
    let mut index = 0;
    track.fixes.change_each(|fix| {
        if index == hit {
            fix.time = Some(Instant::from_s(4e9));
        }
        index += 1;
    });
    let hit = chance.random_range(0..log.samples.len());
    log.samples[hit].time = log.samples[hit].time.after(Duration::from_s(-40_000.0));
}

macro_rules! damage {
    ($name:literal, $apply:expr) => {
        Damage { name: $name, apply: $apply }
    };
}

/// All of them.
pub const STREAMS: [Damage; 28] = [
    damage!("fixes repeated in ten rows each", |track, _, _| faster_rows(track, 10, false)),
    damage!("fixes on straight lines in ten rows each", |track, _, _| faster_rows(track, 10, true)),
    damage!("positions held for 3 s", |track, _, _| hold(track, 3.0, true, false)),
    damage!("positions held for 10 s", |track, _, _| hold(track, 10.0, true, false)),
    damage!("reported speeds held for 3 s", |track, _, _| hold(track, 3.0, false, true)),
    damage!("fixes held for 5 s", |track, _, _| hold(track, 5.0, true, true)),
    damage!("log held for 1 s", |_, log, _| hold_log(log, 1.0)),
    damage!("log held for 5 s", |_, log, _| hold_log(log, 5.0)),
    damage!("log on straight lines of 2 s", |_, log, _| line_log(log, 2.0)),
    damage!("zeros, a quarter of the track's speeds", |t, _, c| false_rows(t, False::Zero, 0.25, 1, c)),
    damage!("zeros, two fifths of the track's speeds", |t, _, c| false_rows(t, False::Zero, 0.4, 1, c)),
    damage!("zeros in runs, a quarter of the track's speeds", |t, _, c| false_rows(
        t,
        False::Zero,
        0.25,
        8,
        c
    )),
    damage!("zero places, a quarter", |t, _, c| false_rows(t, False::Origin, 0.25, 1, c)),
    damage!("zero places in runs, two fifths", |t, _, c| false_rows(t, False::Origin, 0.4, 6, c)),
    damage!("zeros at the last place, a quarter", |t, _, c| false_rows(t, False::LastPlace, 0.25, 1, c)),
    damage!("zeros at the last place in runs, a quarter", |t, _, c| false_rows(
        t,
        False::LastPlace,
        0.25,
        6,
        c
    )),
    damage!("the last row again in runs, a quarter", |t, _, c| false_rows(t, False::LastRow, 0.25, 6, c)),
    damage!("full scale, two fifths of the track's speeds", |t, _, c| false_rows(
        t,
        False::FullScale,
        0.4,
        1,
        c
    )),
    damage!("zeros, a quarter of the log", |_, log, c| false_samples(log, False::Zero, 0.25, 1, c)),
    damage!("zeros, two fifths of the log", |_, log, c| false_samples(log, False::Zero, 0.4, 1, c)),
    damage!("zeros in runs, a quarter of the log", |_, log, c| false_samples(log, False::Zero, 0.25, 30, c)),
    damage!("full scale, two fifths of the log", |_, log, c| false_samples(log, False::FullScale, 0.4, 1, c)),
    damage!("a second source that says no speed", |track, _, c| second_source(track, false, c)),
    damage!("a second source that says zero", |track, _, c| second_source(track, true, c)),
    damage!("the place of an earlier drive", |track, _, _| stale_first(track, 1.0)),
    damage!("the place of a drive an hour before", |track, _, _| stale_first(track, 3000.0)),
    damage!("a third of both in another order", |track, log, _| rotate(track, log)),
    damage!("single times far away", far_stamps),
];
