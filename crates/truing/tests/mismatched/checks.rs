//! Whether the worlds are what they are said to be.

use super::chance::Chance;
use super::channel::{Filter, Steps};
use super::motion::{Motion, Route, STEP_S, motion};
use super::receiver::LowSpeed;
use super::recorded::{Recorded, drives, read};
use super::script::robust;
use super::truck::{Truck, integral_m};
use super::world::{Plan, World, make, ordinary};
use metrology::geodesy::{Position, distance};
use truing::measure::drive::Indicated;

fn motions() -> impl Iterator<Item = Motion> {
    let routes = [Route::Mixed, Route::City, Route::Country, Route::Highway];
    (0..20).map(move |seed| motion(&routes[seed % 4], 1200.0, 0.03, &mut Chance::of("checks", seed as u64)))
}

/// Limits of ordinary driving, from memory: under 4.5 m/s2 along the road and across it, 126 km/h.
#[test]
fn people_drive_like_that() {
    for motion in motions() {
        let (speeds, headings) = (&motion.speed_m_per_s, &motion.heading_rad);
        assert_eq!(speeds.len(), 12_001);
        for k in 1..speeds.len() {
            let along = (speeds[k] - speeds[k - 1]) / STEP_S;
            let across = speeds[k] * (headings[k] - headings[k - 1]) / STEP_S;
            assert!(along.abs() < 4.5 && across.abs() < 4.5, "{k}: {along} {across} at {}", speeds[k]);
            assert!((0.0..35.0).contains(&speeds[k]));
        }
        assert!(motion.along_m[12_000] > 4000.0, "{}", motion.along_m[12_000]);
    }
}

/// Speed, way and places say the same: steps over the ellipsoid, lifted to the height and laid on the grade, add up to the
/// way. A mean radius does for the lift.
#[test]
fn places_lie_along_the_way() {
    for motion in motions() {
        let mut way_m = 0.0;
        for k in 1..motion.along_m.len() {
            let at = |k: usize| Position::from_deg(motion.latitude[k], motion.longitude[k]);
            let lifted = 1.0 + motion.height_m[k] / 6.371e6;
            let flat_m = distance(at(k - 1), at(k)).m() * lifted;
            way_m += flat_m.hypot(motion.height_m[k] - motion.height_m[k - 1]);
        }
        let (told_m, speeds_m) = (motion.along_m[12_000], integral_m(&motion.speed_m_per_s)[12_000]);
        assert!((way_m / told_m - 1.0).abs() < 2e-5, "{way_m} {told_m}");
        // A stop takes away what little speed was left.
        assert!((speeds_m / told_m - 1.0).abs() < 1e-3, "{speeds_m} {told_m}");
    }
}

/// Indicated over true of a truck at one speed.
fn steady(truck: &Truck, speed: f64) -> f64 {
    let motion = motion(&Route::Steady(speed), 60.0, 0.0, &mut Chance::of("steady", 1));
    let shown = truck.indicated_m_per_s(&motion);
    integral_m(&shown)[600] / motion.along_m[600]
}

/// From 30 to 70 mph (13.41 and 31.29 m/s) a tire grows by what it is said to, and turns less by that.
#[test]
fn tires_grow() {
    for growth in [0.002, 0.010] {
        let truck = Truck { ratio: 1.03, growth, slip: 0.0, bow: 0.0 };
        let (slow, fast) = (steady(&truck, 13.41), steady(&truck, 31.29));
        assert!(
            (slow / 1.03 - 1.0).abs() < 1e-4 && (slow / fast - 1.0 - growth).abs() < 2e-4,
            "{slow} {fast}"
        );
    }
}

/// Slip is to one side, and up to a per cent or two while pulling away.
#[test]
fn tires_slip() {
    let (still, slipping) = (Truck { ratio: 1.0, growth: 0.0, slip: 0.0, bow: 0.0 }, 0.04);
    for motion in motions() {
        let slips = Truck { slip: slipping, ..still }.indicated_m_per_s(&motion);
        let shares =
            slips.iter().zip(&motion.speed_m_per_s).filter(|(_, v)| **v > 1.0).map(|(s, v)| s / v - 1.0);
        let (low, high) = shares.fold((f64::MAX, 0.0_f64), |(low, high), s| (low.min(s), high.max(s)));
        assert!(low >= 0.0 && high > 0.004 && high < 0.02, "{low} {high}");
    }
}

/// A plan without any error at all.
fn faultless(chance: &mut Chance) -> Plan {
    let mut plan = ordinary(chance);
    plan.truck = Truck { growth: 0.0, slip: 0.0, ..plan.truck };
    plan.channel.filter = Filter::None;
    plan.channel.steps = Steps::None;
    (plan.channel.latency_s, plan.channel.jitter, plan.channel.clock_s) = (0.0, 0.0, 7.0);
    plan.channel.dead_when_slow = false;
    (plan.grades, plan.rows.arrival_s) = (0.0, 0.0);
    let receiver = &mut plan.receiver;
    (receiver.slow_m, receiver.white_m, receiver.speed_m_per_s, receiver.scale) = (0.0, 0.0, 0.0, 0.0);
    (receiver.smooth_speed_s, receiver.speed_delay_s, receiver.position_delay_s) = (0.0, 0.0, 0.0);
    (receiver.low, receiver.pinned) = (LowSpeed::As, false);
    plan
}

/// Without errors the script finds ratio and length to what its own seconds allow, by speeds and by places: so the truth
/// that goes with the files is theirs.
#[test]
fn truths_belong_to_the_files() {
    for seed in 0..10 {
        let chance = &mut Chance::of("faultless", seed);
        let mut plan = faultless(chance);
        plan.rows.with_speeds = seed % 2 == 0;
        let ratio = plan.truck.ratio;
        let World { track, indicated, truth, .. } = make(&plan, chance);
        let found = robust(&track, &indicated);
        assert!((truth.ratio / ratio - 1.0).abs() < 1e-9 && (truth.shown_ratio / ratio - 1.0).abs() < 1e-3);
        // Places five seconds apart cut corners: a piece of up to 5 s of road is missing at both ends, and chords in bends.
        let within = if plan.rows.with_speeds { (0.001, 0.002) } else { (0.01, 0.02) };
        let off = (found.ratio.unwrap() / ratio - 1.0, found.length_m / truth.length_m - 1.0);
        assert!(off.0.abs() < within.0 && off.1.abs() < within.1, "{seed}: {off:?}");
        assert_eq!(found.lag_s, Some(7.0));
        assert_eq!(truth.lag_s, Some((7.0, 7.0)));
    }
}

/// The same seed makes the same files; another makes others.
#[test]
fn seeds_make_worlds() {
    let of = |seed| {
        let chance = &mut Chance::of("same", seed);
        let plan = ordinary(chance);
        make(&plan, chance)
    };
    assert_eq!(of(1).track, of(1).track);
    assert_eq!(of(1).indicated, of(1).indicated);
    assert_ne!(of(1).track, of(2).track);
}

fn check_script(drive: &Recorded, expected: (f64, f64, f64)) {
    let found = robust(&drive.track, &Indicated::Log(drive.log.clone()));
    let close = |one: f64, other: f64| (one / other - 1.0).abs() < 1e-9;
    assert!(close(found.ratio.unwrap(), expected.0), "{}: {found:?}", drive.name);
    assert!(close(found.length_m, expected.1), "{}: {found:?}", drive.name);
    assert_eq!(found.lag_s.map(f64::round), Some(expected.2), "{}", drive.name);
}

/// Ratio, length (m) and lag (s) as `compare/robust.py` prints them for the recorded drives.
#[test]
fn the_script_agrees_with_its_twin() {
    let drives = drives();
    check_script(&drives[0], (0.9966592855708026, 12609.81339999994, 0.0));
    check_script(&drives[1], (0.9992826194762465, 21662.21291000004, 0.0));
    check_script(&drives[2], (0.991831609015623, 14663.69052853789, -1.0));
    let track = include_bytes!("../data/two-clocks-2-track.csv");
    let log = include_bytes!("../data/two-clocks-2-vehicle.csv");
    let short = read("two clocks, 2", (track, ""), (log, ""));
    check_script(&short, (0.9563431896641885, 836.8279693337221, -1.0));
}
