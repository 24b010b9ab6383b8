//! What phones and loggers make of streams, done to simulated drives: nothing becomes no number, nothing panics, and no unit is blamed for
//! what zeros and repetitions explain.

#![allow(clippy::unwrap_used, reason = "a test that cannot be set up has failed")]

#[path = "recorded_drives/damages.rs"]
#[allow(dead_code, reason = "the recorded drives use the rest")]
mod damages;
#[path = "recorded_drives/streams.rs"]
#[allow(dead_code, reason = "the recorded drives use the rest")]
mod streams;

use metrology::quantity::{Duration, Quantity, Speed};
use proptest::prelude::*;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use streams::{
    False, false_rows, false_samples, faster_rows, hold, hold_log, line_log, second_source, stale_first,
};
use truing::logs::{Track, VehicleLog};
use truing::measure::drive::{DriveEstimate, Indicated, estimate};
use truing::problem::Problem;
use truing::simulate::{Plan, drive};

const LAG_S: f64 = 2.0;

/// A drive of so many minutes with reported speeds.
fn simulated(seed: u64, minutes: f64, ratio: f64) -> (Track, VehicleLog, f64) {
    let plan = Plan {
        duration: Duration::from_min(minutes),
        reported_speed_error: Some(Speed::from_m_per_s(0.1)),
        ..Plan::mixed(seed, ratio, Duration::from_s(LAG_S))
    };
    let simulated = drive(&plan);
    (simulated.track, simulated.vehicle, simulated.distance.m())
}

/// A fault of a stream.
#[derive(Clone, Debug)]
enum Fault {
    Faster { each: usize, on_lines: bool },
    Hold { every_s: f64, places: bool, speeds: bool },
    HoldLog { every_s: f64 },
    LineLog { every_s: f64 },
    Rows { what: False, share: f64, run: usize },
    Samples { what: False, share: f64, run: usize },
    SecondSource { says_zero: bool },
    Stale { ago_s: f64 },
}

impl Fault {
    fn apply(&self, track: &mut Track, log: &mut VehicleLog, chance: &mut ChaCha8Rng) {
        match *self {
            Fault::Faster { each, on_lines } => faster_rows(track, each, on_lines),
            Fault::Hold { every_s, places, speeds } => hold(track, every_s, places, speeds),
            Fault::HoldLog { every_s } => hold_log(log, every_s),
            Fault::LineLog { every_s } => line_log(log, every_s),
            Fault::Rows { what, share, run } => false_rows(track, what, share, run, chance),
            Fault::Samples { what, share, run } => false_samples(log, what, share, run, chance),
            Fault::SecondSource { says_zero } => second_source(track, says_zero, chance),
            Fault::Stale { ago_s } => stale_first(track, ago_s),
        }
    }
}

fn falsehood() -> impl Strategy<Value = False> {
    prop_oneof![
        Just(False::Zero),
        Just(False::Origin),
        Just(False::LastPlace),
        Just(False::LastRow),
        Just(False::FullScale)
    ]
}

fn fault() -> impl Strategy<Value = Fault> {
    let every_s = 1.0..30.0_f64;
    prop_oneof![
        (1..12_usize, any::<bool>()).prop_map(|(each, on_lines)| Fault::Faster { each, on_lines }),
        (every_s.clone(), any::<bool>(), any::<bool>()).prop_map(|(every_s, places, speeds)| Fault::Hold {
            every_s,
            places,
            speeds
        }),
        every_s.clone().prop_map(|every_s| Fault::HoldLog { every_s }),
        every_s.prop_map(|every_s| Fault::LineLog { every_s }),
        (falsehood(), 0.0..0.95_f64, 1..30_usize).prop_map(|(what, share, run)| Fault::Rows {
            what,
            share,
            run
        }),
        (falsehood(), 0.0..0.95_f64, 1..30_usize).prop_map(|(what, share, run)| Fault::Samples {
            what,
            share,
            run
        }),
        any::<bool>().prop_map(|says_zero| Fault::SecondSource { says_zero }),
        (0.0..5000.0_f64).prop_map(|ago_s| Fault::Stale { ago_s }),
    ]
}

fn numbers(estimate: &DriveEstimate) -> Vec<f64> {
    let ratios = [estimate.reading_ratio, estimate.ratio_by_distance];
    let ratios = ratios.iter().flatten().flat_map(|m| [m.value, m.standard_uncertainty, m.low_95, m.high_95]);
    let distance = estimate.distance.iter().flat_map(|m| [m.value, m.standard_uncertainty]);
    let trace = estimate.trace.truth.iter().map(|(_, speed)| speed.si());
    ratios.map(|ratio| ratio.si()).chain(distance.map(|length| length.si())).chain(trace).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Any three faults, one on the other.
    #[test]
    fn nothing_becomes_no_number(seed in 0..1000_u64, faults in proptest::collection::vec(fault(), 1..4)) {
        let (mut track, mut log, _) = simulated(seed, 4.0, 1.02);
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        faults.iter().for_each(|fault| fault.apply(&mut track, &mut log, &mut chance));
        for indicated in [Indicated::Nothing, Indicated::Log(log)] {
            let (found, problems) = estimate("faulty", &track, &indicated);
            prop_assert!(found.is_some() || !problems.is_empty());
            let numbers = found.as_ref().map_or(Vec::new(), numbers);
            prop_assert!(numbers.iter().all(|number| number.is_finite()), "{:?}", problems);
        }
    }
}

fn told(problems: &[Problem]) -> String {
    problems.iter().map(|problem| format!("{problem}; ")).collect()
}

/// One fault of a drive of twelve minutes: the length within so much (share), the ratio in its interval, and no blame.
fn check(fault: Fault, length_within: f64) {
    const RATIO: f64 = 1.03;
    for seed in 0..3 {
        let (mut track, mut log, length_m) = simulated(seed, 12.0, RATIO);
        fault.apply(&mut track, &mut log, &mut ChaCha8Rng::seed_from_u64(seed));
        let (found, problems) = estimate("faulty", &track, &Indicated::Log(log));
        let told = told(&problems);
        let found = found.unwrap_or_else(|| panic!("{seed} {fault:?}: {told}"));
        assert!(!told.contains("taken for") && !told.contains("swapped"), "{seed} {fault:?}: {told}");
        let off = found.distance.unwrap().value.m() / length_m - 1.0;
        assert!(off.abs() < length_within, "{seed} {fault:?}: length off by {off:.4}; {told}");
        let ratio = found.reading_ratio.unwrap();
        // Dozens of intervals of 95 %: one may be missed by a quarter of its width.
        let (low, high) = (ratio.low_95.plain(), ratio.high_95.plain());
        let reach = 0.25 * (high - low);
        assert!((low - reach..high + reach).contains(&RATIO), "{seed} {fault:?}: {ratio:?}; {told}");
        assert!(high - low < 0.08, "{seed} {fault:?}: {ratio:?}; {told}");
    }
}

#[test]
fn rows_faster_than_the_receiver() {
    for each in [2, 5, 10] {
        check(Fault::Faster { each, on_lines: false }, 0.003);
        check(Fault::Faster { each, on_lines: true }, 0.006);
    }
}

#[test]
fn values_that_are_held() {
    for every_s in [2.0, 3.0, 5.0, 10.0, 20.0] {
        check(Fault::Hold { every_s, places: true, speeds: false }, 0.01);
        check(Fault::Hold { every_s, places: false, speeds: true }, 0.01);
    }
    for every_s in [2.0, 5.0] {
        check(Fault::Hold { every_s, places: true, speeds: true }, 0.01);
        check(Fault::HoldLog { every_s }, 0.003);
        check(Fault::LineLog { every_s }, 0.003);
    }
}

/// Each at one row in ten, a quarter and two fifths; one by one and in runs.
fn check_shares(of: impl Fn(f64, usize) -> Fault, length_within: f64) {
    for share in [0.1, 0.25, 0.4] {
        for run in [1, 6] {
            check(of(share, run), length_within);
        }
    }
}

#[test]
fn false_values_in_the_track() {
    check_shares(|share, run| Fault::Rows { what: False::Zero, share, run }, 0.005);
    check_shares(|share, run| Fault::Rows { what: False::Origin, share, run }, 0.01);
    check_shares(|share, run| Fault::Rows { what: False::LastPlace, share, run }, 0.01);
    check_shares(|share, run| Fault::Rows { what: False::LastRow, share, run }, 0.01);
    check_shares(|share, run| Fault::Rows { what: False::FullScale, share, run }, 0.005);
}

#[test]
fn false_values_in_the_log() {
    for what in [False::Zero, False::LastRow, False::FullScale] {
        check_shares(|share, run| Fault::Samples { what, share, run }, 0.003);
    }
}

#[test]
fn other_sources_and_other_drives() {
    check(Fault::SecondSource { says_zero: false }, 0.003);
    check(Fault::SecondSource { says_zero: true }, 0.003);
    check(Fault::Stale { ago_s: 1.0 }, 0.003);
    check(Fault::Stale { ago_s: 2000.0 }, 0.003);
}
