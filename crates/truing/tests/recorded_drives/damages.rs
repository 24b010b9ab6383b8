//! What happens to logs, done to recorded ones.

use metrology::quantity::{Angle, Duration, Instant, Speed};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use truing::logs::{Clock, Fix, Track, VehicleLog};

type Chance = ChaCha8Rng;

/// One way in which logs are damaged.
pub struct Damage {
    pub name: &'static str,
    pub apply: fn(&mut Track, &mut VehicleLog, &mut Chance),
}

/// About a metre of latitude (rad).
const METRE_RAD: f64 = 1.0 / 6.37e6;

fn stand(speed: Option<Speed>) -> Option<Speed> {
    speed.map(|_| Speed::from_m_per_s(0.0))
}

/// Keeps what is so long after what was kept before, from anywhere; a twentieth of a second is jitter.
fn every(every_s: f64, chance: &mut Chance) -> impl FnMut(f64) -> bool + use<> {
    let (skipped_s, mut due_s) = (chance.random_range(0.0..every_s), None);
    move |time_s| {
        let kept = time_s > *due_s.get_or_insert(time_s + skipped_s) - 0.05;
        if kept {
            due_s = Some(time_s + every_s);
        }
        kept
    }
}

fn thin_track(track: &mut Track, every_s: f64, chance: &mut Chance) {
    let mut kept = every(every_s, chance);
    track.fixes.retain_mut(|fix| fix.time.is_some_and(|time| kept(time.s())));
}

fn thin_log(log: &mut VehicleLog, every_s: f64, chance: &mut Chance) {
    let mut kept = every(every_s, chance);
    log.samples.retain(|sample| kept(sample.time.s()));
    log.interval = Some(Duration::from_s(every_s));
}

/// Changes each speed of a log (m/s).
pub fn change_log(log: &mut VehicleLog, mut speed: impl FnMut(f64) -> f64) {
    log.samples.iter_mut().for_each(|s| s.speed = Speed::from_m_per_s(speed(s.speed.m_per_s())));
}

/// Cuts gaps of 20 to 60 s into times that begin and end here.
fn gaps(ends_s: (f64, f64), chance: &mut Chance) -> impl Fn(f64) -> bool + use<> {
    let gaps: Vec<(f64, f64)> = (0..3)
        .map(|_| {
            let from_s = chance.random_range(ends_s.0..ends_s.1 - 60.0);
            (from_s, from_s + chance.random_range(20.0..60.0))
        })
        .collect();
    move |time_s| gaps.iter().any(|gap| gap.0 <= time_s && time_s < gap.1)
}

fn ends_s(log: &VehicleLog) -> (f64, f64) {
    (log.samples[0].time.s(), log.samples[log.samples.len() - 1].time.s())
}

fn coordinates(track: &mut Track, change: impl Fn(f64) -> f64) {
    track.fixes.change_each(|fix| {
        for angle in [&mut fix.latitude, &mut fix.longitude] {
            *angle = angle.map(|angle| Angle::from_deg(change(angle.deg())));
        }
    });
}

/// All of them.
pub const DAMAGES: [Damage; 27] = [
    Damage {
        name: "false zeros in the track, one in twenty",
        apply: |track, _, chance| {
            track.fixes.change_each(|fix| {
                if chance.random_bool(0.05) {
                    fix.speed = stand(fix.speed);
                }
            });
        },
    },
    Damage {
        name: "false zeros in the log, one in twenty",
        apply: |_, log, chance| change_log(log, |v| if chance.random_bool(0.05) { 0.0 } else { v }),
    },
    Damage {
        name: "the log zero for five seconds at a time",
        apply: |_, log, chance| {
            let (from, to) = ends_s(log);
            for _ in 0..5 {
                let at = chance.random_range(from..to - 5.0);
                let dead = |s: &&mut truing::logs::Sample| (at..at + 5.0).contains(&s.time.s());
                log.samples.iter_mut().filter(dead).for_each(|s| s.speed = Speed::from_m_per_s(0.0));
            }
        },
    },
    Damage {
        name: "255 km/h in the log, one in fifty",
        apply: |_, log, chance| change_log(log, |v| if chance.random_bool(0.02) { 255.0 / 3.6 } else { v }),
    },
    Damage {
        name: "teleports",
        apply: |track, _, chance| {
            let count = track.fixes.len();
            let leaps: Vec<(usize, f64)> = (0..3)
                .map(|_| (chance.random_range(0..count - 20), chance.random_range(500.0..5000.0)))
                .collect();
            let mut index = 0;
            track.fixes.change_each(|fix| {
                for (from, away_m) in &leaps {
                    if (*from..from + 20).contains(&index) {
                        fix.latitude =
                            fix.latitude.map(|angle| Angle::from_rad(angle.rad() + away_m * METRE_RAD));
                    }
                }
                index += 1;
            });
        },
    },
    Damage {
        name: "positions frozen for twenty seconds",
        apply: |track, _, chance| {
            let from = chance.random_range(100..track.fixes.len() - 100);
            let held = track.fixes.get(from).unwrap_or_default();
            let mut index = 0;
            track.fixes.change_each(|fix| {
                if (from..from + 20).contains(&index) {
                    (fix.latitude, fix.longitude, fix.speed) = (held.latitude, held.longitude, held.speed);
                }
                index += 1;
            });
        },
    },
    Damage { name: "log every 5 s", apply: |_, log, chance| thin_log(log, 5.0, chance) },
    Damage { name: "track every 5 s", apply: |track, _, chance| thin_track(track, 5.0, chance) },
    Damage {
        name: "both every 5 s",
        apply: |track, log, chance| {
            thin_track(track, 5.0, chance);
            thin_log(log, 5.0, chance);
        },
    },
    Damage { name: "log every 10 s", apply: |_, log, chance| thin_log(log, 10.0, chance) },
    Damage {
        name: "coordinates missing for three minutes and one in ten",
        apply: |track, log, chance| {
            let (from, to) = ends_s(log);
            let at = chance.random_range(from..to - 180.0);
            track.fixes.change_each(|fix| {
                let inside = fix.time.is_some_and(|time| (at..at + 180.0).contains(&time.s()));
                if inside || chance.random_bool(0.1) {
                    (fix.latitude, fix.longitude) = (None, None);
                }
            });
        },
    },
    Damage {
        name: "reported speeds missing, one in three",
        apply: |track, _, chance| {
            track.fixes.change_each(|fix| {
                if fix.latitude.is_some() && chance.random_bool(0.33) {
                    fix.speed = None;
                }
            });
        },
    },
    Damage {
        name: "gaps in both",
        apply: |track, log, chance| {
            let (one, other) = (gaps(ends_s(log), chance), gaps(ends_s(log), chance));
            track.fixes.retain_mut(|fix| fix.time.is_some_and(|time| !one(time.s())));
            log.samples.retain(|sample| !other(sample.time.s()));
        },
    },
    Damage {
        name: "the log's clock from zero",
        apply: |_, log, _| {
            let start = log.samples[0].time;
            log.samples.iter_mut().for_each(|s| s.time = Instant::from_s(s.time.since(start).s()));
            log.clock = Clock::Elapsed;
        },
    },
    Damage {
        name: "both clocks from zero",
        apply: |track, log, _| {
            let start = log.samples[0].time;
            log.samples.iter_mut().for_each(|s| s.time = Instant::from_s(s.time.since(start).s()));
            let first = track.fixes.iter().find_map(|fix| fix.time).unwrap_or(start);
            track.fixes.change_each(|fix| {
                fix.time = fix.time.map(|time| Instant::from_s(time.since(first).s()));
            });
            (log.clock, track.clock) = (Clock::Elapsed, Clock::Elapsed);
        },
    },
    Damage {
        name: "the log's clock 40 s ahead",
        apply: |_, log, _| {
            log.samples.iter_mut().for_each(|s| s.time = s.time.after(Duration::from_s(40.0)));
        },
    },
    Damage {
        name: "the log's times in whole seconds",
        apply: |_, log, _| {
            log.samples.iter_mut().for_each(|s| s.time = Instant::from_s(s.time.s().floor()));
        },
    },
    Damage {
        name: "the track's times in whole seconds",
        apply: |track, _, _| {
            track.fixes.change_each(|fix| fix.time = fix.time.map(|time| Instant::from_s(time.s().floor())));
        },
    },
    Damage {
        name: "rows twice, one in ten",
        apply: |track, log, chance| {
            let mut twice = |count: usize| if chance.random_bool(0.1) { 2 * count } else { count };
            log.samples = log.samples.iter().flat_map(|s| std::iter::repeat_n(*s, twice(1))).collect();
            track.fixes = track.fixes.iter().flat_map(|fix| std::iter::repeat_n(fix, twice(1))).collect();
        },
    },
    Damage {
        name: "only the first 60 % of the log",
        apply: |_, log, _| log.samples.truncate(log.samples.len() * 6 / 10),
    },
    Damage {
        name: "only the last half of the track",
        apply: |track, _, _| {
            let skip = track.fixes.len() / 2;
            track.fixes = track.fixes.iter().skip(skip).collect::<Vec<Fix>>().into_iter().collect();
        },
    },
    Damage {
        name: "the log in whole mph",
        apply: |_, log, _| {
            change_log(log, |v| Speed::from_mi_per_h(Speed::from_m_per_s(v).mi_per_h().round()).m_per_s());
            log.step = Some(Speed::from_mi_per_h(1.0));
        },
    },
    Damage {
        name: "values held up to two seconds",
        apply: |_, log, chance| {
            let mut held = log.samples[0];
            for sample in &mut log.samples {
                if sample.time.since(held.time).s() > 2.0 || chance.random_bool(0.05) {
                    held = *sample;
                }
                sample.speed = held.speed;
            }
        },
    },
    Damage {
        name: "positions five metres off the path each",
        apply: |track, _, chance| {
            track.fixes.change_each(|fix| {
                for angle in [&mut fix.latitude, &mut fix.longitude] {
                    let away = chance.random_range(-5.0..5.0) * METRE_RAD;
                    *angle = angle.map(|angle| Angle::from_rad(angle.rad() + away));
                }
            });
        },
    },
    Damage {
        name: "coordinates of four decimals",
        apply: |track, _, _| coordinates(track, |deg| (deg * 1e4).round() / 1e4),
    },
    Damage {
        name: "coordinates of three decimals, where there are speeds",
        apply: |track, _, _| {
            if track.fixes.iter().any(|fix| fix.speed.is_some()) {
                coordinates(track, |deg| (deg * 1e3).round() / 1e3);
            }
        },
    },
    Damage {
        name: "coordinates of five decimals",
        apply: |track, _, _| coordinates(track, |deg| (deg * 1e5).round() / 1e5),
    },
];
