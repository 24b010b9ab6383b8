//! Simulated trucks with random evidence: do intervals cover and probabilities hold?
//!
//! The generator writes a vehicle file from a true truck by plain formulas; it shares the sizes of the errors with the model
//! and nothing else. A longer run and its table: `cargo test -p truing --test whole_round_trucks -- --ignored --nocapture`.

mod trucks;

use metrology::quantity::Quantity;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::fmt::Write;
use trucks::{drive, fused};
use truing::describe::tire::TireSize;
use truing::measure::drive::{DriveEstimate, Reads};
use truing::measure::fusion::VehicleEstimate;

/// Seeds of every run of the tests, and of the long one.
const SEEDS: u64 = 200;
const MANY_SEEDS: u64 = 2000;
/// A two-sided normal deviate of 99.9 %.
const DEVIATE: f64 = 3.29;
/// Coverage that the long run must reach.
const BAND: std::ops::RangeInclusive<f64> = 0.93..=0.97;

/// Metres of a mile, and what a mile is to the module on these trucks.
const MILE_M: f64 = 1609.344;
const MODULE_COUNTS: f64 = 20_000.0;

struct Chance(ChaCha8Rng);

impl Chance {
    fn error(&mut self, u: f64) -> f64 {
        let normal: f64 = StandardNormal.sample(&mut self.0);
        u * normal
    }

    fn share(&mut self) -> f64 {
        f64::from(self.0.next_u32()) / 4_294_967_296.0
    }

    fn happens(&mut self, probability: f64) -> bool {
        self.share() < probability
    }

    fn one_of(&mut self, count: usize) -> usize {
        self.0.random_range(0..count)
    }
}

/// What is true of one truck, and what its errors happen to be.
struct Truth {
    revs: f64,
    counts_per_turn: f64,
    axle: f64,
    needle_gain: f64,
    slip: f64,
    wear: f64,
    differs: f64,
    roll: f64,
    tape: f64,
    habit_mph: f64,
    parallax_mph: f64,
    loaded: f64,
}

impl Truth {
    fn odometer(&self) -> f64 {
        self.revs * self.counts_per_turn / MODULE_COUNTS
    }

    fn needle(&self) -> f64 {
        self.odometer() * self.needle_gain.exp()
    }
}

/// What the file says of the part in question.
#[derive(Copy, Clone, PartialEq)]
enum Said {
    /// Candidates, the true one among them, all equally likely.
    Candidates,
    /// The true one.
    True,
    /// Another one.
    False,
}

struct Truck {
    truth: Truth,
    text: String,
    drives: Vec<(usize, DriveEstimate)>,
    said: Said,
    true_label: String,
}

const AXLES: [(&str, f64); 4] =
    [("39/11", 39.0 / 11.0), ("41/11", 41.0 / 11.0), ("41/10", 4.1), ("43/12", 43.0 / 12.0)];
const RINGS: [f64; 4] = [92.0, 96.0, 97.0, 104.0];
const SIZES: [&str; 3] = ["LT265/75R16", "P235/75R15", "225/70R19.5"];

/// The chain with the part in question, its counts per turn, its axle and the label of the true hypothesis.
fn chain(chance: &mut Chance, said: Said) -> (String, f64, f64, String) {
    let which = chance.one_of(4);
    let other = (which + 1 + chance.one_of(3)) % 4;
    if chance.happens(0.5) {
        let names: Vec<String> = AXLES.iter().map(|(name, _)| format!("\"{name}\"")).collect();
        let axle = match said {
            Said::Candidates => format!("[{}]", names.join(", ")),
            Said::True => names[which].clone(),
            Said::False => names[other].clone(),
        };
        let text = format!("sensor_at = \"transmission-output\"\ncounts_per_turn = 8\naxle_ratio = {axle}\n");
        let label = format!("axle {}, sensor 8", AXLES[which].0);
        return (text, 8.0 * AXLES[which].1, AXLES[which].1, label);
    }
    let ring = match said {
        Said::Candidates => "[92, 96, 97, 104]".to_owned(),
        Said::True => RINGS[which].to_string(),
        Said::False => RINGS[other].to_string(),
    };
    let text = format!("sensor_at = \"axle-ring\"\nring_teeth = {ring}\n");
    (text, RINGS[which], 0.0, format!("tone ring {}", RINGS[which]))
}

/// One truck: a tire that departs from its size, hardware, and a handful of evidence.
fn truck(seed: u64) -> Truck {
    let chance = &mut Chance(ChaCha8Rng::seed_from_u64(seed));
    let said = match chance.one_of(20) {
        0 => Said::False,
        1..=9 => Said::True,
        _ => Said::Candidates,
    };
    let (chain, counts_per_turn, axle, true_label) = chain(chance, said);
    let size = SIZES[chance.one_of(3)];
    let tire = TireSize::parse(size).expect("a size of the list");
    // Factor 1 %, pressure 0.2 %, load 0.5 %, speed 0.1 %, and the size's own tolerance.
    let spread =
        tire.diameter.relative_uncertainty().plain().hypot(0.01).hypot(0.002).hypot(0.005).hypot(0.001);
    // Both only ever add turns: slip of 0.3 % or so, wear as one half of a normal distribution.
    let (slip, wear) = ((0.003 + chance.error(0.002)).max(0.0), chance.error(0.007).abs());
    let ln_new = (MILE_M / (3.05 * tire.diameter.value.m())).ln() + chance.error(spread);
    let truth = Truth {
        revs: (ln_new + slip + wear).exp(),
        counts_per_turn,
        axle,
        needle_gain: chance.error(0.015),
        slip,
        wear,
        differs: chance.error(0.015 / 6f64.sqrt()),
        roll: chance.error(0.003),
        tape: chance.error(0.0003),
        habit_mph: chance.error(0.577),
        parallax_mph: chance.error(1.2),
        loaded: chance.error(0.012),
    };
    let mut text = format!(
        "[tire]\nsize = \"{size}\"\n[chain]\n{chain}[head]\ncounts_per_mile = {MODULE_COUNTS}\nneedle = \"analog\"\n"
    );
    let mut drives = Vec::new();
    let mut pieces = 0;
    let kinds: [fn(&mut Chance, &Truth) -> Option<String>; 9] =
        [rollout, rollout, published, loaded_radius, hold, hold, timed_mile, odometer_distance, turned];
    for kind in kinds {
        if let Some(piece) = chance.happens(0.3).then(|| kind(chance, &truth)).flatten() {
            let _ = write!(text, "[[evidence]]\n{piece}\n");
            pieces += 1;
        }
    }
    if chance.happens(0.5) {
        text += "[[evidence]]\nkind = \"drive\"\ntrack = \"a.gpx\"\nvehicle_log = \"a.csv\"\n";
        let ratio = truth.odometer() * (chance.error(0.001) + chance.error(0.002)).exp();
        drives.push((pieces, drive(Reads::Channel, ratio, 0.002)));
    }
    Truck { truth, text, drives, said, true_label }
}

fn rollout(chance: &mut Chance, truth: &Truth) -> Option<String> {
    let ln = (5.0 * MILE_M / truth.revs).ln() + truth.slip - truth.roll - truth.tape - chance.error(0.001);
    let tries = 1 + chance.one_of(3);
    let lengths: Vec<String> =
        (0..tries).map(|_| format!("\"{:.4} m\"", ln.exp() + chance.error(0.006))).collect();
    Some(format!("kind = \"rollout\"\nturns = 5\nlengths = [{}]", lengths.join(", ")))
}

fn published(chance: &mut Chance, truth: &Truth) -> Option<String> {
    let ln = truth.revs.ln() - truth.wear - truth.differs + chance.error(0.015 / 6f64.sqrt());
    Some(format!("kind = \"published\"\nrevs_per_mile = {:.3}", ln.exp()))
}

fn loaded_radius(chance: &mut Chance, truth: &Truth) -> Option<String> {
    let rolling_m = MILE_M / truth.revs * truth.slip.exp() / std::f64::consts::TAU;
    let radius_m = rolling_m / 1.05 * (-truth.loaded).exp() + chance.error(0.002);
    Some(format!("kind = \"loaded-radius\"\nradius = \"{radius_m:.4} m +/- 0.002 m\""))
}

fn shown_mph(chance: &mut Chance) -> f64 {
    [30.0, 45.0, 60.0][chance.one_of(3)]
}

fn hold(chance: &mut Chance, truth: &Truth) -> Option<String> {
    let shown = shown_mph(chance);
    let (seat, parallax_mph) = match chance.happens(0.5) {
        true => ("driver", 0.0),
        false => ("passenger", truth.parallax_mph + chance.error(0.72)),
    };
    let off = (truth.habit_mph + parallax_mph + chance.error(0.6)) / shown + chance.error(0.001);
    let speed = shown / (truth.needle() * off.exp());
    let receiver = speed * (1.0 + chance.error(0.1) / shown);
    Some(format!(
        "kind = \"hold\"\nindicated = \"{shown} mph\"\ntrue = \"{receiver:.4} mph +/- 0.1 mph\"\nread_from = \"{seat}\""
    ))
}

fn timed_mile(chance: &mut Chance, truth: &Truth) -> Option<String> {
    let shown = shown_mph(chance);
    let shared = truth.habit_mph / shown + chance.error(0.001);
    let between_posts_m = MILE_M + chance.error(8.7 * 2f64.sqrt());
    let passes = 2 + chance.one_of(3);
    let seconds: Vec<String> = (0..passes)
        .map(|_| {
            let mph = shown / (truth.needle() * (shared + chance.error(0.6 / shown)).exp());
            let time = between_posts_m / MILE_M * 3600.0 / mph;
            format!("{:.3}", time + chance.error(0.15) - chance.error(0.15))
        })
        .collect();
    Some(format!("kind = \"timed-mile\"\nindicated = \"{shown} mph\"\nseconds = [{}]", seconds.join(", ")))
}

fn odometer_distance(chance: &mut Chance, truth: &Truth) -> Option<String> {
    let miles = 20.0 + 60.0 * chance.share();
    let counted = miles * truth.odometer() * chance.error(0.001).exp();
    // Tenths turn over anywhere: both readings are cut down to the last one.
    let start = chance.share();
    let shown = ((start + counted) * 10.0).floor() / 10.0 - (start * 10.0).floor() / 10.0;
    let mapped = miles + chance.error(0.05);
    Some(format!(
        "kind = \"odometer-distance\"\nindicated = \"{shown:.1} mi\"\ntrue = \"{mapped:.4} mi +/- 0.05 mi\""
    ))
}

/// Counts over a distance, or where there is an axle to see: the shaft by hand or the engine.
fn turned(chance: &mut Chance, truth: &Truth) -> Option<String> {
    let day = chance.error(0.001);
    match chance.one_of(3) {
        0 if truth.axle > 0.0 => {
            let (wheel, shaft) = (3.0 + chance.error(0.03), 3.0 * truth.axle + chance.error(0.03));
            // The chalk mark on the wheel is taken to be round after three turns; the shaft is read to a hundredth.
            let shaft = shaft * 3.0 / wheel;
            Some(format!("kind = \"shaft-turns\"\nshaft = \"{shaft:.2}\"\nwheel = 3\nwheels = \"both\""))
        }
        1 if truth.axle > 0.0 => {
            let rpm = truth.revs * truth.axle * 0.7 * (day + chance.error(0.005)).exp();
            let mph = 60.0 * (1.0 + chance.error(0.3 / 60.0));
            Some(format!(
                "kind = \"engine-speed\"\nrpm = {rpm:.3}\ntrue = \"{mph:.4} mph +/- 0.3 mph\"\ngear_ratio = \"0.70\""
            ))
        }
        _ => {
            let miles = 1.0 + chance.error(0.002);
            let counts = (truth.revs * truth.counts_per_turn * day.exp() + chance.share() - 0.5).round();
            Some(format!("kind = \"pulses\"\ncount = {counts}\ndistance = \"{miles:.5} mi +/- 0.002 mi\""))
        }
    }
}

/// How often something held, out of how many.
#[derive(Default)]
struct Tally {
    held: f64,
    of: f64,
}

impl Tally {
    fn note(&mut self, held: bool) {
        self.of += 1.0;
        self.held += f64::from(u8::from(held));
    }

    fn share(&self) -> f64 {
        self.held / self.of
    }

    /// Whether 95 % is within what chance allows at 99.9 %.
    fn is_95_by_chance(&self) -> bool {
        (self.held - 0.95 * self.of).abs() <= DEVIATE * (0.95 * 0.05 * self.of).sqrt()
    }
}

/// Upper ends of the classes of stated probability.
const CLASSES: [f64; 5] = [0.5, 0.8, 0.95, 0.99, 1.01];

#[derive(Default)]
struct Report {
    revs: Tally,
    odometer: Tally,
    needle: Tally,
    /// The top hypothesis is the true one, with the probability it was given, by class.
    top: [(Tally, f64); 5],
    alarm_when_true: Tally,
    alarm_when_false: Tally,
    /// Sum of p (1 - p) over tops.
    variance: f64,
}

impl Report {
    fn of(seeds: u64) -> Report {
        let mut report = Report::default();
        for seed in 0..seeds {
            let truck = truck(seed);
            let (estimate, problems) = fused(&truck.text, &truck.drives);
            assert!(problems.is_empty(), "seed {seed}: {problems:?}");
            report.add(&truck, &estimate);
        }
        report
    }

    fn add(&mut self, truck: &Truck, estimate: &VehicleEstimate) {
        match truck.said {
            Said::False => return self.alarm_when_false.note(!estimate.alarms.is_empty()),
            Said::True => self.alarm_when_true.note(!estimate.alarms.is_empty()),
            Said::Candidates => self.add_top(truck, estimate),
        }
        let (all, truth) = (&estimate.over_all, &truck.truth);
        let within = |found: Option<(f64, f64)>, truth: f64| {
            let (low, high) = found.expect("a size makes everything known");
            (low..=high).contains(&truth)
        };
        self.revs.note(within(all.revs.map(|m| (m.low_95.per_mi(), m.high_95.per_mi())), truth.revs));
        self.odometer
            .note(within(all.distance_ratio.map(|m| (m.low_95.si(), m.high_95.si())), truth.odometer()));
        self.needle.note(within(all.needle_ratio.map(|m| (m.low_95.si(), m.high_95.si())), truth.needle()));
    }

    fn add_top(&mut self, truck: &Truck, estimate: &VehicleEstimate) {
        let top = &estimate.hypotheses[0];
        let stated = top.probability.plain();
        let class = CLASSES.iter().position(|end| stated < *end).expect("the last class holds all");
        let (tally, sum) = &mut self.top[class];
        tally.note(top.label == truck.true_label);
        *sum += stated;
        self.variance += stated * (1.0 - stated);
    }

    /// The true hardware is top at least as often as was stated, within what chance allows.
    fn tops_hold(&self) -> bool {
        let (held, stated) = self.top.iter().fold((0.0, 0.0), |sum, it| (sum.0 + it.0.held, sum.1 + it.1));
        held >= stated - DEVIATE * self.variance.sqrt()
    }

    fn table(&self) -> String {
        let mut table = String::from("| interval of | covers | of |\n|---|---|---|\n");
        for (what, tally) in [
            ("revolutions per mile", &self.revs),
            ("distance ratio", &self.odometer),
            ("needle ratio", &self.needle),
        ] {
            let _ = writeln!(table, "| {what} | {:.1} % | {} |", 100.0 * tally.share(), tally.of);
        }
        table += "\n| stated below | mean stated | true hardware on top | of |\n|---|---|---|---|\n";
        for (end, (tally, stated)) in CLASSES.iter().zip(&self.top).filter(|(_, it)| it.0.of > 0.0) {
            let _ = writeln!(
                table,
                "| {:.2} | {:.1} % | {:.1} % | {} |",
                end.min(1.0),
                100.0 * stated / tally.of,
                100.0 * tally.share(),
                tally.of
            );
        }
        table += "\n| the file names | alarm raised | of |\n|---|---|---|\n";
        for (what, tally) in
            [("the true part", &self.alarm_when_true), ("another part", &self.alarm_when_false)]
        {
            let _ = writeln!(table, "| {what} | {} | {} |", tally.held, tally.of);
        }
        table
    }
}

#[test]
fn intervals_cover_and_probabilities_hold() {
    let report = Report::of(SEEDS);
    for tally in [&report.revs, &report.odometer, &report.needle] {
        assert!(tally.is_95_by_chance(), "{}", report.table());
    }
    assert!(report.tops_hold(), "{}", report.table());
    // An alarm at 20 to 1 from a doubt of 3 % against a true belief: fewer than one in a hundred, here three at most.
    assert!(report.alarm_when_true.held <= 3.0, "{}", report.table());
}

#[test]
#[ignore = "2000 trucks; makes the table of docs/fusion.md"]
fn two_thousand_trucks() {
    let report = Report::of(MANY_SEEDS);
    println!("{}", report.table());
    for tally in [&report.revs, &report.odometer, &report.needle] {
        assert!(BAND.contains(&tally.share()), "{}", report.table());
    }
    assert!(report.tops_hold(), "{}", report.table());
}
