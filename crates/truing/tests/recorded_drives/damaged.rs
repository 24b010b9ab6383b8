//! Recorded drives damaged in every way that logs are: the answer stays within what it claims, or says what is wrong.

use super::damages::{DAMAGES, Damage, change_log};
use super::streams::STREAMS;
use super::{Recorded, city_1, city_2, clocks_1, without_positions};
use metrology::measured::Measured;
use metrology::quantity::{Quantity, Ratio, Speed};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use truing::measure::drive::{DriveEstimate, Indicated, estimate};
use truing::problem::Problem;

fn drives() -> Vec<(&'static str, Recorded)> {
    let (mut speeds, mut positions) = (clocks_1(), clocks_1());
    without_positions(&mut speeds.track);
    positions.track.fixes.change_each(|fix| fix.speed = None);
    vec![
        ("two cities, 1", city_1()),
        ("two cities, 2", city_2()),
        ("two clocks, 1", clocks_1()),
        ("two clocks, 1, positions", positions),
        ("two clocks, 1, speeds", speeds),
    ]
}

fn damaged(drive: &Recorded, damage: &Damage, seed: u64) -> (Option<DriveEstimate>, Vec<Problem>) {
    let (mut track, mut log) = (drive.track.clone(), drive.log.clone());
    (damage.apply)(&mut track, &mut log, &mut ChaCha8Rng::seed_from_u64(seed));
    estimate("damaged", &track, &Indicated::Log(log))
}

/// How far two figures are apart, in how far both intervals together let them be.
fn apart<Q: Quantity>(one: &Measured<Q>, other: &Measured<Q>) -> f64 {
    let (low, high) = if one.value.si() < other.value.si() { (one, other) } else { (other, one) };
    let reach = f64::hypot(low.high_95.si() - low.value.si(), high.value.si() - high.low_95.si());
    (high.value.si() - low.value.si()) / reach
}

/// Damages that move a clock, so that another lag is right.
const MOVE_A_CLOCK: [&str; 5] = [
    "the log's clock from zero",
    "both clocks from zero",
    "the log's clock 40 s ahead",
    "the log's times in whole seconds",
    "the track's times in whole seconds",
];
/// One receiver's speeds come so much after its positions (s): which of both tell the lag depends on what is left of them.
const AFTER_S: f64 = 0.45;
/// Of a hundred intervals of 95 % so many may be wrong, and none may be off by more than this many times what it claims.
const WRONG_OF_100: usize = 5;
const WRONG_BY: f64 = 2.0;

#[test]
fn damage_stays_within_what_is_claimed() {
    stays_within(&DAMAGES);
}

/// Of rows that are no measurements none is taken for one, and none puts a blame on units or coordinates.
#[test]
fn streams_stay_within_what_is_claimed() {
    stays_within(&STREAMS);
}

fn stays_within(damages: &[Damage]) {
    let (mut off, mut count) = (Vec::new(), 0);
    for (name, drive) in drives() {
        let whole = drive.estimate();
        for (damage, seed) in damages.iter().zip(1..) {
            let what = format!("{name}, {}", damage.name);
            let (found, problems) = damaged(&drive, damage, seed);
            let found = found.unwrap_or_else(|| panic!("{what}: {problems:?}"));
            let ratios = [
                (whole.reading_ratio, found.reading_ratio),
                (whole.ratio_by_distance, found.ratio_by_distance),
            ];
            for (whole, found) in ratios {
                let (whole, found) = (whole.unwrap(), found.unwrap());
                let apart = apart(&whole, &found);
                assert!(apart < WRONG_BY, "{what}: {whole:?} {found:?} {problems:?}");
                count += 1;
                if apart > 1.0 {
                    off.push(format!("{what}: {whole:?} {found:?}"));
                }
            }
            // Two sources that log the same fields, late by different times, are not told apart: the lag is that of their mixture.
            let alike = name.contains("positions") && damage.name.starts_with("a second source");
            if !alike && !MOVE_A_CLOCK.contains(&damage.name) {
                let (whole, found) = (
                    whole.clock_lag.unwrap(),
                    found.clock_lag.unwrap_or_else(|| panic!("{what}: {problems:?}")),
                );
                let between_s = (whole.value.s() - found.value.s()).abs();
                assert!(apart(&whole, &found) < 1.0 || between_s < AFTER_S, "{what}: {whole:?} {found:?}");
            }
        }
    }
    println!("{} of {count} off: {}", off.len(), off.join("; "));
    assert!(off.len() * 100 <= WRONG_OF_100 * count, "{off:?}");
}

/// Speeds in another unit than they are taken for, in the log and in the track: named, and the ratio goes with it or stays.
#[test]
fn units_are_named() {
    // An international mile is 1609.344 m, a nautical one 1852 m, a foot 0.3048 m.
    let slips = [
        ("mph taken for km/h", 1.0 / 1.609_344),
        ("km/h taken for mph", 1.609_344),
        ("knots taken for km/h", 1.0 / 1.852),
        ("km/h taken for knots", 1.852),
        ("m/s taken for km/h", 1.0 / 3.6),
        ("km/h taken for m/s", 3.6),
        ("mph taken for m/s", 1.0 / 0.447_04),
        ("knots taken for m/s", 3600.0 / 1852.0),
        ("ft/s taken for m/s", 1.0 / 0.3048),
        ("ft/s taken for mph", 0.447_04 / 0.3048),
    ];
    let told = |problems: &[Problem]| problems.iter().map(|p| format!("{p}; ")).collect::<String>();
    for (what, factor) in slips {
        for (name, drive) in drives() {
            let whole = drive.estimate().reading_ratio.unwrap();
            let mut log = drive.log.clone();
            change_log(&mut log, |v| factor * v);
            log.step = log.step.map(|step| Speed::from_m_per_s(factor * step.m_per_s()));
            let (found, problems) = estimate("damaged", &drive.track, &Indicated::Log(log));
            let told = told(&problems);
            assert!(told.contains(what), "{name}, {what}: {told}");
            let found = found.unwrap().reading_ratio.unwrap();
            let scaled = |r: Ratio| Ratio::from_plain(r.plain() / factor);
            let found = Measured {
                value: scaled(found.value),
                low_95: scaled(found.low_95),
                high_95: scaled(found.high_95),
                ..found
            };
            assert!(apart(&whole, &found) < 1.0, "{name}, {what}: {found:?} {whole:?}");
        }
    }
    let drive = clocks_1();
    let whole = drive.estimate().reading_ratio.unwrap();
    for (what, factor) in [slips[5], slips[6], slips[7], slips[8], ("mph taken for knots", 1.852 / 1.609_344)]
    {
        let mut track = drive.track.clone();
        track.fixes.change_each(|fix| {
            fix.speed = fix.speed.map(|speed| Speed::from_m_per_s(factor * speed.m_per_s()));
        });
        let (found, problems) = estimate("damaged", &track, &Indicated::Log(drive.log.clone()));
        let told = told(&problems);
        assert!(told.contains(what), "{what}: {told}");
        let found = found.unwrap().reading_ratio.unwrap();
        assert!(apart(&whole, &found) < 1.0, "{what}: {found:?} {whole:?}");
    }
}
