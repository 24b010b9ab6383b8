//! What happens to real logs.

use super::scenario::Chance;
use metrology::quantity::{Angle, Speed};
use rand::RngExt;
use truing::logs::{Fix, Track, VehicleLog};

/// About a metre of latitude.
const METRE_RAD: f64 = 1.0 / 6.37e6;

fn shift(angle: &mut Option<Angle>, m: f64) {
    *angle = angle.map(|a| Angle::from_rad(a.rad() + m * METRE_RAD));
}

/// Changes the fixes of a track.
fn change(track: &mut Track, change: impl FnOnce(&mut Vec<Fix>)) {
    let mut fixes = track.fixes.iter().collect();
    change(&mut fixes);
    track.fixes = fixes.into_iter().collect();
}

/// Three leaps of a kilometre or so, each held for twenty fixes.
pub fn teleports(track: &mut Track, _: &mut VehicleLog, chance: &mut Chance) {
    change(track, |fixes| {
        for _ in 0..3 {
            let from = chance.random_range(0..fixes.len() - 20);
            let away_m = chance.random_range(500.0..5000.0);
            fixes[from..from + 20].iter_mut().for_each(|fix| shift(&mut fix.latitude, away_m));
        }
    });
}

/// Three per cent of the reported speeds are zero, whatever the vehicle does.
pub fn false_zeros_reported(track: &mut Track, _: &mut VehicleLog, chance: &mut Chance) {
    track.fixes.change_each(|fix| {
        if chance.random_bool(0.03) {
            fix.speed = fix.speed.map(|_| Speed::from_m_per_s(0.0));
        }
    });
}

/// Three per cent of the vehicle's samples are zero.
pub fn false_zeros_indicated(_: &mut Track, log: &mut VehicleLog, chance: &mut Chance) {
    for sample in &mut log.samples {
        if chance.random_bool(0.03) {
            sample.speed = Speed::from_m_per_s(0.0);
        }
    }
}

/// One per cent of positions are off by 20 to 200 m, one per cent of samples and reported speeds are any speed.
pub fn outliers(track: &mut Track, log: &mut VehicleLog, chance: &mut Chance) {
    track.fixes.change_each(|fix| {
        if chance.random_bool(0.01) {
            shift(&mut fix.latitude, chance.random_range(20.0..200.0));
        }
        if chance.random_bool(0.01) {
            fix.speed = fix.speed.map(|_| Speed::from_m_per_s(chance.random_range(0.0..60.0)));
        }
    });
    for sample in &mut log.samples {
        if chance.random_bool(0.01) {
            sample.speed = Speed::from_m_per_s(chance.random_range(0.0..60.0));
        }
    }
}

/// Three gaps of 20 to 90 s in the track, one in the vehicle's log.
pub fn gaps(track: &mut Track, log: &mut VehicleLog, chance: &mut Chance) {
    change(track, |fixes| {
        for _ in 0..3 {
            let from = chance.random_range(100..fixes.len() - 200);
            fixes.drain(from..from + chance.random_range(20..90));
        }
    });
    let from = chance.random_range(100..log.samples.len() - 200);
    log.samples.drain(from..from + chance.random_range(20..90));
}

/// Positions missing for three minutes and in one fix of ten; the speeds go on.
pub fn positions_missing(track: &mut Track, _: &mut VehicleLog, chance: &mut Chance) {
    let from = chance.random_range(0..track.fixes.len() - 180);
    let mut index = 0;
    track.fixes.change_each(|fix| {
        if (from..from + 180).contains(&index) || chance.random_bool(0.1) {
            (fix.latitude, fix.longitude) = (None, None);
        }
        index += 1;
    });
}

fn decimals(track: &mut Track, places: i32) {
    let written =
        |angle: Angle| Angle::from_deg((angle.deg() * 10f64.powi(places)).round() / 10f64.powi(places));
    track.fixes.change_each(|fix| {
        (fix.latitude, fix.longitude) = (fix.latitude.map(written), fix.longitude.map(written));
    });
}

/// Coordinates in steps of 11 m.
pub fn four_decimals(track: &mut Track, _: &mut VehicleLog, _: &mut Chance) {
    decimals(track, 4);
}

/// Coordinates in steps of 111 m.
pub fn three_decimals(track: &mut Track, _: &mut VehicleLog, _: &mut Chance) {
    decimals(track, 3);
}

/// No positions at all.
pub fn speeds_only(track: &mut Track, _: &mut VehicleLog, _: &mut Chance) {
    track.fixes.change_each(|fix| (fix.latitude, fix.longitude) = (None, None));
}

/// The vehicle's log holds each value for up to two seconds, as slow polling does.
pub fn held_samples(_: &mut Track, log: &mut VehicleLog, chance: &mut Chance) {
    let mut held = log.samples[0].speed;
    for sample in &mut log.samples {
        if chance.random_bool(0.5) {
            held = sample.speed;
        }
        sample.speed = held;
    }
}

/// A worn magnetic head: true in the middle, low at both ends of the speeds by 3 to 5 %.
pub fn bent(_: &mut Track, log: &mut VehicleLog, _: &mut Chance) {
    for sample in &mut log.samples {
        let v = sample.speed.m_per_s();
        let bow = 0.04 * ((v - 17.0) / 10.0).powi(2).min(2.0);
        sample.speed = Speed::from_km_per_h((3.6 * v * (1.0 - bow)).round());
    }
}

/// One sample in eight drops to nothing or to half.
pub fn dropouts(_: &mut Track, log: &mut VehicleLog, chance: &mut Chance) {
    for sample in &mut log.samples {
        if chance.random_bool(0.125) {
            let left = chance.random_range(0.0..0.5);
            sample.speed = Speed::from_km_per_h((sample.speed.km_per_h() * left).round());
        }
    }
}
