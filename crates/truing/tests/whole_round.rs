//! The whole estimate of one drive on simulated drives whose truth is known.

#![allow(clippy::unwrap_used, reason = "a test that cannot be set up has failed")]

#[path = "whole_round/bound.rs"]
mod bound;
#[path = "whole_round/damage.rs"]
mod damage;
#[path = "whole_round/scenario.rs"]
mod scenario;
#[path = "whole_round/tables.rs"]
mod tables;

use metrology::quantity::{Duration, Instant, Length, Speed};
use rand::RngExt;
use scenario::{
    Chance, MIXED, Scenario, count, normal, odometer, odometer_turned, run, truncated, with_speed,
};
use truing::describe::evidence::OdometerRead;
use truing::logs::{Clock, Track, VehicleLog};
use truing::measure::drive::{DiagnosisKind, Indicated, Reads, estimate};
use truing::simulate::{Plan, Steps, drive};

/// Covered out of a hundred: a 95 % interval that is honest falls below it once in 35 (binomial: P(X < 90) = 0.028
/// at 0.95; the seeds are fixed, so it either always does or never).
const COVERED_OF_100: usize = 90;
/// Worst lag error (s).
const LAG_WITHIN_S: f64 = 0.3;
/// Dial readings called out at a glance, one standard deviation (m/s): 0.6 mph.
const READING_M_PER_S: f64 = 0.27;

const ROUNDED: Scenario = Scenario { name: "rounded, positions", ..MIXED };
const TRUNCATED: Scenario =
    Scenario { name: "truncated, positions", plan: |plan, _| truncated(plan), ..MIXED };
/// Channels of which half round and half truncated, as one meets them.
const EITHER: Scenario = Scenario {
    name: "rounded or truncated, positions",
    plan: |plan, _| {
        if plan.seed % 2 == 1 {
            truncated(plan)
        }
    },
    ..MIXED
};
const ROUNDED_SPEED: Scenario =
    Scenario { name: "rounded, positions and speeds", plan: |plan, _| with_speed(plan), ..MIXED };
const CUT_OFF_SPEED: Scenario = Scenario {
    name: "truncated, positions and speeds",
    plan: |plan, _| {
        truncated(plan);
        with_speed(plan);
    },
    ..MIXED
};
const FINE: Scenario =
    Scenario { name: "without steps, positions", plan: |plan, _| plan.steps = Steps::None, ..MIXED };
const FINE_SPEED: Scenario = Scenario {
    name: "without steps, positions and speeds",
    plan: |plan, _| {
        plan.steps = Steps::None;
        with_speed(plan);
    },
    ..MIXED
};
const CONSTANT: Scenario = Scenario {
    name: "one speed all the way",
    plan: |plan, chance| {
        plan.constant_speed = Some(Speed::from_m_per_s(chance.random_range(20.0..30.0)));
        with_speed(plan);
    },
    ..MIXED
};
/// A passenger calls out 30, 45 and 60 mph; needle off by up to 1 mph, each hold off by a glance's error.
const HOLDS: Scenario = Scenario {
    name: "30, 45, 60 mph called out",
    plan: |plan, chance| {
        plan.duration = Duration::from_min(5.0);
        plan.offset = Speed::from_mi_per_h(chance.random_range(-1.0..1.0));
        let held = [30.0, 45.0, 60.0].map(|mph| {
            Speed::from_m_per_s(Speed::from_mi_per_h(mph).m_per_s() + READING_M_PER_S * normal(chance))
        });
        plan.holds = held.to_vec();
    },
    indicated: |_, _, _, _| Indicated::Holds([30.0, 45.0, 60.0].map(Speed::from_mi_per_h).to_vec()),
    ..MIXED
};
const ODOMETER: Scenario =
    Scenario { name: "odometer in tenths of a mile", indicated: odometer, ..ROUNDED_SPEED };
const ODOMETER_TURNED: Scenario = Scenario {
    name: "odometer as its digit turned",
    plan: |plan, chance| {
        with_speed(plan);
        plan.constant_speed = Some(Speed::from_m_per_s(chance.random_range(15.0..30.0)));
    },
    indicated: odometer_turned,
    ..MIXED
};
const DAMAGED: [Scenario; 14] = [
    Scenario { name: "teleports", damage: damage::teleports, ..ROUNDED_SPEED },
    Scenario { name: "teleports, positions", damage: damage::teleports, ..ROUNDED },
    Scenario {
        name: "false zeros in reported speeds",
        damage: damage::false_zeros_reported,
        ..ROUNDED_SPEED
    },
    Scenario { name: "false zeros in the log", damage: damage::false_zeros_indicated, ..ROUNDED_SPEED },
    Scenario { name: "outliers of 1 %", damage: damage::outliers, ..ROUNDED_SPEED },
    Scenario { name: "outliers of 1 %, positions", damage: damage::outliers, ..ROUNDED },
    Scenario { name: "gaps", damage: damage::gaps, ..ROUNDED },
    Scenario { name: "positions missing in part", damage: damage::positions_missing, ..ROUNDED_SPEED },
    Scenario { name: "coordinates of four decimals, positions", damage: damage::four_decimals, ..ROUNDED },
    Scenario { name: "coordinates of three decimals", damage: damage::three_decimals, ..ROUNDED_SPEED },
    Scenario { name: "speeds only", damage: damage::speeds_only, ..ROUNDED_SPEED },
    Scenario { name: "held samples", damage: damage::held_samples, ..ROUNDED_SPEED },
    Scenario {
        name: "log every 10 s",
        plan: |plan, _| {
            with_speed(plan);
            plan.vehicle_interval = Duration::from_s(10.0);
        },
        ..MIXED
    },
    Scenario {
        name: "log every 5 s",
        plan: |plan, _| {
            with_speed(plan);
            plan.vehicle_interval = Duration::from_s(5.0);
        },
        ..MIXED
    },
];
/// Six speeds held again and again by a governor: each is rounded alike every time.
const GOVERNOR: Scenario = Scenario {
    name: "six speeds held by a governor",
    plan: |plan, chance| {
        with_speed(plan);
        plan.wander = Speed::from_m_per_s(0.0);
        plan.holds = (0..6).map(|_| Speed::from_m_per_s(chance.random_range(8.0..29.0))).collect();
    },
    ..MIXED
};
const SLOW_FIXES: Scenario = Scenario {
    name: "fixes every 5 s, positions",
    plan: |plan, _| plan.fix_interval = Duration::from_s(5.0),
    ..MIXED
};

/// A road of 5 % grades is 0.125 % longer than on the map, one of 2 % 0.02 %.
const HILLY: Scenario = Scenario {
    name: "grades of 5 %, heights",
    plan: |plan, _| {
        with_speed(plan);
        plan.grades = 0.05;
        plan.height_error = Some(Length::from_m(0.7));
    },
    ..MIXED
};
const HILLY_BLIND: Scenario = Scenario {
    name: "grades of 2 %, no heights",
    plan: |plan, _| {
        with_speed(plan);
        plan.grades = 0.02;
    },
    ..MIXED
};

/// A hundred seeds of a mixed drive.
fn check_mixed(scenario: &Scenario) {
    let counts = count(scenario, 0..100);
    let told = counts.row(scenario.name);
    assert_eq!(counts.answered, 100, "{told}");
    assert!(counts.covered >= COVERED_OF_100, "{told}");
    assert!(counts.distance_covered >= COVERED_OF_100, "{told}");
    assert!(counts.worst_lag_s() < LAG_WITHIN_S, "{} {told}", counts.worst_lag_s());
    assert_eq!(counts.lags_missing(), 0, "{told}");
    // A sound channel is never called anything else.
    assert_eq!(counts.of_kind(DiagnosisKind::Proportional), 100, "{:?}", counts.kinds);
}

#[test]
fn rounded() {
    check_mixed(&ROUNDED);
}

#[test]
fn cut_off_steps() {
    check_mixed(&TRUNCATED);
}

#[test]
fn rounded_with_reported_speeds() {
    check_mixed(&ROUNDED_SPEED);
}

#[test]
fn cut_off_with_reported_speeds() {
    check_mixed(&CUT_OFF_SPEED);
}

/// The ratio is given; lag and offset cannot be known and are not.
#[test]
fn constant_speed() {
    let counts = count(&CONSTANT, 0..50);
    assert_eq!((counts.answered, counts.lags_missing()), (50, 50));
    assert!(counts.covered >= COVERED_OF_100 / 2, "{}", counts.row(CONSTANT.name));
    for seed in 0..50 {
        assert_eq!(run(&CONSTANT, seed).estimate.unwrap().offset, None);
    }
}

#[test]
fn holds() {
    let counts = count(&HOLDS, 0..100);
    assert_eq!(counts.answered, 100);
    assert!(counts.covered >= COVERED_OF_100, "{}", counts.row(HOLDS.name));
    let found = run(&HOLDS, 1).estimate.unwrap();
    assert_eq!((found.reads, found.holds.len()), (Reads::Needle, 3));
}

#[test]
fn odometer_readings() {
    for scenario in [ODOMETER, ODOMETER_TURNED] {
        let counts = count(&scenario, 0..100);
        assert_eq!(counts.answered, 100);
        assert!(counts.covered >= COVERED_OF_100, "{}", counts.row(scenario.name));
    }
}

#[test]
fn speeds_held_by_a_governor() {
    let counts = count(&GOVERNOR, 0..100);
    assert_eq!(counts.answered, 100);
    assert!(counts.covered >= COVERED_OF_100, "{}", counts.row(GOVERNOR.name));
}

/// Hills with heights and without, to the same intervals.
#[test]
fn hills() {
    for scenario in [HILLY, HILLY_BLIND] {
        let counts = count(&scenario, 0..50);
        assert!(counts.covered >= COVERED_OF_100 / 2, "{}", counts.row(scenario.name));
    }
}

/// Damage that no seed may be led off the path by: of 12 a 95 % interval holds 9 or more all but once in 450 (binomial), and
/// no error of a ratio is beyond a per cent, none of a length beyond two.
#[test]
fn damaged_logs() {
    for scenario in &DAMAGED {
        let counts = count(scenario, 0..12);
        let told = counts.row(scenario.name);
        assert_eq!(counts.answered, 12, "{told}");
        assert!(counts.covered >= 9 && counts.distance_covered >= 9, "{told}");
        assert!(counts.errors.iter().all(|e| e.abs() < 0.01), "{told}");
        assert!(counts.distance_errors.iter().all(|e| e.abs() < 0.02), "{told}");
    }
}

/// Faults that each have a name; how many of 10 seeds are recognised.
#[test]
fn faults_are_recognised() {
    let check = |scenario: Scenario, kind: DiagnosisKind, least: usize| {
        let counts = count(&scenario, 0..10);
        assert!(counts.of_kind(kind) >= least, "{}: {:?}", scenario.name, counts.kinds);
    };
    let offset = |plan: &mut Plan, _: &mut Chance| {
        with_speed(plan);
        plan.offset = Speed::from_mi_per_h(3.0);
    };
    check(Scenario { name: "3 mph more", plan: offset, ..MIXED }, DiagnosisKind::Offset, 10);
    let bent = Scenario { name: "bent", damage: damage::bent, ..ROUNDED_SPEED };
    check(bent, DiagnosisKind::Curved, 8);
    let dropouts = Scenario { name: "drops out", damage: damage::dropouts, ..ROUNDED_SPEED };
    check(dropouts, DiagnosisKind::Erratic, 10);
}

/// What is read twice as high reads twice as fast, whatever else.
#[test]
fn doubling_the_indication_doubles_the_ratio() {
    let simulated = drive(&Plan { steps: Steps::None, ..Plan::mixed(3, 1.04, Duration::from_s(5.0)) });
    let mut doubled = simulated.vehicle.clone();
    doubled.samples.iter_mut().for_each(|s| s.speed = Speed::from_m_per_s(2.0 * s.speed.m_per_s()));
    let of =
        |log| estimate("simulated", &simulated.track, &Indicated::Log(log)).0.unwrap().reading_ratio.unwrap();
    let (single, double) = (of(simulated.vehicle.clone()), of(doubled));
    // The offset's prior and the noise floor are in m/s and do not double: within half the uncertainty.
    let apart = double.value.plain() / 2.0 - single.value.plain();
    assert!(apart.abs() < 0.5 * single.standard_uncertainty.plain(), "{apart} {single:?} {double:?}");
}

/// The same drive, its log on a clock that counts from its own start.
#[test]
fn elapsed_times_are_searched_over_their_whole_length() {
    let simulated = drive(&Plan::mixed(5, 1.02, Duration::from_s(0.0)));
    let mut log = simulated.vehicle.clone();
    let start = log.samples[400].time;
    log.samples.drain(..400);
    log.samples.iter_mut().for_each(|s| s.time = Instant::from_s(s.time.since(start).s()));
    log.clock = Clock::Elapsed;
    let found = estimate("simulated", &simulated.track, &Indicated::Log(log)).0.unwrap();
    let lag_s = found.clock_lag.unwrap().value.s();
    assert!((lag_s + start.s()).abs() < LAG_WITHIN_S, "{lag_s}");
}

/// Two hours with a clock that gains a second an hour: said, repaired, and the ratio as good as ever. Without drift, nothing.
#[test]
fn clocks_that_drift() {
    let plan = Plan { duration: Duration::from_min(120.0), ..Plan::mixed(7, 1.03, Duration::from_s(4.0)) };
    let simulated = drive(&plan);
    let check = |gained_s_per_h: f64, told: bool| {
        let mut log = simulated.vehicle.clone();
        let first = log.samples[0].time;
        log.samples.iter_mut().for_each(|sample| {
            let gained_s = sample.time.since(first).s() * gained_s_per_h / 3600.0;
            sample.time = sample.time.after(Duration::from_s(gained_s));
        });
        let (found, problems) = estimate("simulated", &simulated.track, &Indicated::Log(log));
        let ratio = found.unwrap().reading_ratio.unwrap();
        let said = problems.iter().map(ToString::to_string).collect::<String>();
        assert_eq!(said.contains("s an hour"), told, "{said}");
        assert!(ratio.low_95.plain() < 1.03 && 1.03 < ratio.high_95.plain(), "{ratio:?}");
    };
    check(0.0, false);
    check(1.0, true);
    check(-1.0, true);
}

/// Ninety minutes ten times a second: more samples than the search for the lag begins with.
#[test]
fn a_long_dense_drive() {
    let often = Duration::from_s(0.1);
    let plan = Plan { duration: Duration::from_min(90.0), ..Plan::mixed(3, 1.03, Duration::from_s(7.3)) };
    let simulated = drive(&Plan { fix_interval: often, vehicle_interval: often, ..plan });
    let found = estimate("simulated", &simulated.track, &Indicated::Log(simulated.vehicle)).0.unwrap();
    let (ratio, lag) = (found.reading_ratio.unwrap(), found.clock_lag.unwrap());
    assert!(ratio.low_95.plain() < 1.03 && 1.03 < ratio.high_95.plain(), "{ratio:?}");
    assert!(lag.low_95.s() < 7.3 && 7.3 < lag.high_95.s() && lag.standard_uncertainty.s() < 0.1, "{lag:?}");
}

/// Values held for a second and more: said, and the lag's interval allows for it.
#[test]
fn held_values() {
    let held = DAMAGED.iter().find(|scenario| scenario.name == "held samples").unwrap();
    let counts = count(held, 0..20);
    assert_eq!(counts.lag_covered, 20, "{}", counts.row(held.name));
    let simulated = drive(&Plan::mixed(2, 1.0, Duration::from_s(0.0)));
    let told = |log: VehicleLog| {
        let problems = estimate("simulated", &simulated.track, &Indicated::Log(log)).1;
        problems.iter().map(ToString::to_string).collect::<String>()
    };
    let mut log = simulated.vehicle.clone();
    assert!(!told(log.clone()).contains("stand while the speed changes"));
    for k in 1..log.samples.len() {
        if k % 3 > 0 {
            log.samples[k].speed = log.samples[k - 1].speed;
        }
    }
    assert!(told(log).contains("stand while the speed changes"));
}

/// What is said of logs that cannot be used: expectation, finding, hint.
#[test]
fn problems_say_what_to_do() {
    let simulated = drive(&Plan::mixed(5, 1.02, Duration::from_s(0.0)));
    let shifted = |by_s: f64| {
        let mut log = simulated.vehicle.clone();
        log.samples.iter_mut().for_each(|s| s.time = s.time.after(Duration::from_s(by_s)));
        Indicated::Log(log)
    };
    let check = |track: &Track, indicated: &Indicated, expected: &[&str]| {
        let (found, problems) = estimate("drive.gpx", track, indicated);
        assert!(found.is_none(), "{problems:?}");
        let told = problems.iter().map(ToString::to_string).collect::<String>();
        assert!(expected.iter().all(|part| told.contains(part)), "{told}");
    };
    check(&simulated.track, &shifted(5.0 * 3600.0), &["overlap in time", "5 h earlier", "local time"]);
    check(&simulated.track, &shifted(-7.0 * 3600.0), &["before the track", "7 h later"]);
    check(&simulated.track, &shifted(9.0e6), &["after the track", "same drive"]);
    check(&Track::default(), &shifted(0.0), &["at least three fixes", "0 usable of 0"]);
    check(&simulated.track, &Indicated::Log(VehicleLog::default()), &["at least three usable samples"]);
    let holds = [30.0, 45.0, 60.0, 70.0, 50.0, 40.0].map(Speed::from_mi_per_h).repeat(10);
    check(&simulated.track, &Indicated::Holds(holds), &["steady stretches", "leave out"]);
    let read = |start, end| scenario::readings(start, end, OdometerRead::Digits);
    let miles = read(Length::from_mi(10.0), Length::from_mi(9.0));
    check(&simulated.track, &miles, &["-1.0 mi further", "swapped"]);
}

#[test]
fn the_bound_by_filter_and_by_dense_matrices() {
    bound::check_against_dense(&ROUNDED);
    bound::check_against_dense(&ROUNDED_SPEED);
}
