//! How long the main parts take, in one run: `cargo bench -p truing`. Each figure is the best of several.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a benchmark reads the clock and prints"
)]

use metrology::quantity::Duration;
use std::fmt::Write;
use std::time::Instant;
use truing::describe::vehicle::Vehicle;
use truing::measure::drive::{Indicated, estimate};
use truing::measure::fusion::fuse;
use truing::problem::any_error;
use truing::simulate::{Plan, drive};

/// Best of some runs (ms).
fn best_ms(runs: usize, mut work: impl FnMut()) -> f64 {
    let once = |_| {
        let start = Instant::now();
        work();
        start.elapsed().as_secs_f64() * 1e3
    };
    (0..runs).map(once).fold(f64::INFINITY, f64::min)
}

/// A truck of 200 hardware combinations and 30 pieces of evidence.
fn truck() -> Vehicle {
    let teeth: Vec<String> = (90..110).map(|teeth| teeth.to_string()).collect();
    let axles = "\"41/11\", \"39/11\", \"37/10\", \"41/10\", \"43/12\", \"46/11\", \"47/14\", \"49/16\", \"37/12\", \"35/12\"";
    let mut text = format!(
        "[chain]\nsensor_at = \"transmission-output\"\ncounts_per_turn = [{}]\naxle_ratio = [{axles}]\n[adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 999999\npresent = 250000\n",
        teeth.join(", ")
    );
    for piece in 0..15 {
        let length = 40.0 + 0.01 * f64::from(piece);
        write!(text, "[[evidence]]\nkind = \"rollout\"\nturns = 5\nlength = \"{length:.2} ft\"\n").unwrap();
        let indicated = 9.8 + 0.01 * f64::from(piece);
        write!(text, "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"{indicated:.2} mi\"\ntrue = \"10.00 mi\"\n").unwrap();
    }
    let (vehicle, problems) = Vehicle::read("bench", &text);
    assert!(!any_error(&problems), "{problems:?}");
    vehicle.unwrap()
}

fn fusion() -> f64 {
    let vehicle = truck();
    assert_eq!((vehicle.chain.hypotheses().len(), vehicle.evidence.len()), (200, 30));
    best_ms(10, || {
        let (estimate, _) = fuse("bench", &vehicle, Vec::new());
        assert!(estimate.hypotheses.len() >= 200);
    })
}

/// A truck measured on so many days, once on each.
fn many_days(pieces: u32) -> f64 {
    let mut text = String::from(
        "[chain]\nsensor_at = \"transmission-output\"\ncounts_per_turn = 8\naxle_ratio = \"41/11\"\n[adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 999999\npresent = 250000\n",
    );
    for piece in 0..pieces {
        let indicated = 9.8 + 0.001 * f64::from(piece % 13);
        write!(text, "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"{indicated:.3} mi\"\ntrue = \"10.00 mi\"\n").unwrap();
    }
    let (vehicle, problems) = Vehicle::read("bench", &text);
    assert!(!any_error(&problems), "{problems:?}");
    let vehicle = vehicle.unwrap();
    best_ms(3, || assert!(fuse("bench", &vehicle, Vec::new()).0.birge_ratio.is_some()))
}

/// A 20-minute drive at 1 Hz beside its log.
fn one_drive() -> f64 {
    let made = drive(&Plan::mixed(5, 0.95, Duration::from_s(7.0)));
    let indicated = Indicated::Log(made.vehicle);
    best_ms(10, || assert!(estimate("bench", &made.track, &indicated).0.is_some()))
}

fn main() {
    println!("30 pieces x 200 hardware combinations:  {:8.1} ms", fusion());
    println!("1000 pieces, each with a day of its own: {:7.1} ms", many_days(1000));
    println!("a 20-minute drive beside its log:       {:8.1} ms", one_drive());
}
