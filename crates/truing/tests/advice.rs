//! What following the advice loses, over simulated owners, beside the best policy on the same information. The table stands in
//! `docs/choice.md`.
//!
//! Each owner has a truck whose exact constant is drawn, a first measurement of some quality, a few writes, and three stretches
//! of road; before the second and the third an odometer distance comes in. Where the advice is to measure first, the owner does;
//! where it is to check first, the piece in question is measured again in place of the old one.
//! What is lost is the squared ln R over each stretch.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]
#![allow(clippy::print_stdout, reason = "the table is what the ignored test is run for")]

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use truing::choose::{Advice, Checked, Choice, choose};
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::{DAY_U, PieceId, fuse};

/// Stretches of road.
const STRETCHES: usize = 3;
/// Relative uncertainty of the first measurement: a good drive, an odometer distance, holds, a size.
const FIRST_U: [f64; 4] = [0.001, 0.004, 0.008, 0.018];
/// And of those that come in later.
const LATER_U: f64 = 0.004;
/// ln of the exact constant over the present one, one standard deviation: other tires or another axle.
const CHANGED_BY: f64 = 0.04;
/// Measurements an owner makes at most before one decision; drawn owners need fewer.
const MOST_MEASURED: usize = 5;
const STEP: f64 = 0.02;

struct Owner {
    /// ln of the constant with which the truck would be true.
    truth: f64,
    /// What is stored, in steps of the grid.
    stored: i64,
    writes: usize,
    evidence: Vec<(f64, f64, i64)>,
    chance: ChaCha8Rng,
}

/// What was known before a stretch: mean and standard uncertainty of ln of the exact constant.
#[derive(Copy, Clone)]
struct Known {
    mean: f64,
    u: f64,
}

struct Followed {
    loss: f64,
    writes: usize,
    known: Vec<Known>,
    measured: usize,
}

fn ln_value(place: i64) -> f64 {
    (place as f64 * STEP).ln()
}

fn nearest(ln_constant: f64) -> i64 {
    let place = (ln_constant.exp() / STEP).floor() as i64;
    [place, place + 1]
        .into_iter()
        .min_by(|a, b| {
            let off = |place: i64| (ln_value(place) - ln_constant).abs();
            off(*a).total_cmp(&off(*b))
        })
        .unwrap()
        .clamp(250, 600)
}

impl Owner {
    fn new(seed: u64) -> Self {
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        let stored = 350 + (seed / 4 % 101) as i64;
        let normal: f64 = StandardNormal.sample(&mut chance);
        let writes = 1 + (chance.random::<u32>() % 3) as usize;
        Self { truth: ln_value(stored) + CHANGED_BY * normal, stored, writes, evidence: Vec::new(), chance }
    }

    /// A measurement with the present setting: conditions of the day come on top of its own uncertainty.
    fn measure(&mut self, u: f64) {
        let normal: f64 = StandardNormal.sample(&mut self.chance);
        let ln_ratio = self.truth - ln_value(self.stored) + f64::hypot(u, DAY_U) * normal;
        self.evidence.push((ln_ratio.exp(), u, self.stored));
    }

    /// Measures the piece that is to be checked once more, and takes the old one out.
    fn measure_again(&mut self, choice: &Choice) {
        let pieces = choice.checks.iter().flat_map(|check| match &check.what {
            Checked::Pieces(pieces) => pieces.clone(),
            _ => Vec::new(),
        });
        let mut places = pieces.filter_map(|piece| match piece {
            PieceId::Evidence(place) => Some(place),
            _ => None,
        });
        let (_, u, _) = self.evidence.remove(places.next().unwrap_or(0));
        self.measure(u);
    }

    fn file(&self) -> String {
        let setting = |place: i64| format!("{:.2}", place as f64 * STEP);
        let head = format!(
            "[adjuster]\nkind = \"stepped-constant\"\nmin = \"5.00\"\nmax = \"12.00\"\nstep = \"0.02\"\nbuttons = [\"up\"]\nwraps = true\npresent = \"{}\"\nwrites_left = {}\n",
            setting(self.stored),
            self.writes
        );
        let pieces = self.evidence.iter().map(|(ratio, u, place)| {
            format!(
                "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"{:.6} mi\"\ntrue = \"100 mi +/- {:.6}\"\nresolution = \"0.000001 mi\"\nsetting = \"{}\"\n",
                100.0 * ratio,
                100.0 * u,
                setting(*place)
            )
        });
        head + &pieces.collect::<String>()
    }

    /// Follows the advice before one stretch; returns what was known and whether it was written.
    fn decide(&mut self, measured: &mut usize) -> (Known, bool) {
        for tried in 0.. {
            let (vehicle, problems) = Vehicle::read("truck.toml", &self.file());
            let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
            let (estimate, _) = fuse("truck.toml", &vehicle, Vec::new());
            let choice = choose("truck.toml", &vehicle, &estimate, None, None).unwrap();
            let ratio = estimate.over_all.distance_ratio.unwrap();
            let mean = ratio.value.plain().ln() + ln_value(self.stored);
            let known = Known { mean, u: ratio.relative_uncertainty().plain() };
            match choice.advice {
                Advice::MeasureFirst if tried < MOST_MEASURED => {
                    *measured += 1;
                    self.measure(choice.measure.unwrap().measurement.u_ln_ratio.plain());
                }
                Advice::CheckFirst if tried < MOST_MEASURED => {
                    *measured += 1;
                    self.measure_again(&choice);
                }
                Advice::Write => {
                    self.stored = (choice.best.unwrap().value / STEP).round() as i64;
                    self.writes -= 1;
                    return (known, true);
                }
                _ => return (known, false),
            }
        }
        unreachable!("the number of measurements is bounded")
    }

    fn follow(mut self, first_u: f64) -> Followed {
        let mut all = Followed { loss: 0.0, writes: 0, known: Vec::new(), measured: 0 };
        for stretch in 0..STRETCHES {
            self.measure(if stretch == 0 { first_u } else { LATER_U });
            let (known, written) = self.decide(&mut all.measured);
            all.writes += usize::from(written);
            all.known.push(known);
            all.loss += (self.truth - ln_value(self.stored)).powi(2);
        }
        all
    }
}

/// Expected loss from a stretch on, by how far off what is stored is believed to be and by the writes left; the uncertainty
/// itself, which no setting takes away, is left out. A later write leaves a twelfth of the squared spacing.
struct Ahead {
    /// By writes left, then by |off| in steps of [`Self::PACE`].
    table: Vec<Vec<f64>>,
}

impl Ahead {
    const PACE: f64 = 0.0005;
    const PLACES: usize = 400;

    fn nothing(writes: usize) -> Self {
        Self { table: vec![vec![0.0; Self::PLACES]; writes + 1] }
    }

    fn at(&self, off: f64, writes: usize) -> f64 {
        let place = (off.abs() / Self::PACE).min((Self::PLACES - 2) as f64);
        let (low, part) = (place.floor() as usize, place.fract());
        self.table[writes][low] * (1.0 - part) + self.table[writes][low + 1] * part
    }

    /// The mean over where the belief moves by the next stretch.
    fn expected(&self, off: f64, writes: usize, shift: f64) -> f64 {
        let nodes = (-16..=16).map(|k| f64::from(k) / 4.0);
        let (sum, weight) = nodes.fold((0.0, 0.0), |(sum, all), z| {
            let density = (-0.5 * z * z).exp();
            (sum + density * self.at(off + shift * z, writes), all + density)
        });
        sum / weight
    }

    /// The stretch before it: stay, or write at a price.
    fn before(&self, shift: f64, price: f64, spacing: f64) -> Self {
        let stay = |off: f64, writes: usize| off * off + self.expected(off, writes, shift);
        let table = (0..self.table.len()).map(|writes| {
            let left = spacing * spacing / 12.0;
            let write = match writes {
                0 => f64::INFINITY,
                _ => price + left + self.expected(left.sqrt(), writes - 1, shift),
            };
            (0..Self::PLACES).map(|k| stay(k as f64 * Self::PACE, writes).min(write)).collect()
        });
        Self { table: table.collect() }
    }
}

/// How far the belief moves between two states of knowledge, one standard deviation.
fn shift(before: Known, after: Known) -> f64 {
    (before.u.powi(2) - after.u.powi(2)).max(0.0).sqrt()
}

/// The policy that loses least with a price on each write, on the information that came in for the advice: every setting is
/// tried before every stretch. Returns loss and writes.
fn priced(owner: &Owner, known: &[Known], price: f64) -> (f64, usize) {
    let spacing = STEP / (owner.stored as f64 * STEP);
    let mut ahead = vec![Ahead::nothing(owner.writes)];
    for stretch in (1..STRETCHES).rev() {
        let moves = if stretch + 1 < STRETCHES { shift(known[stretch], known[stretch + 1]) } else { 0.0 };
        ahead.insert(0, ahead[0].before(moves, price, spacing));
    }
    let (mut stored, mut writes, mut loss) = (owner.stored, owner.writes, 0.0);
    for stretch in 0..STRETCHES {
        let moves = if stretch + 1 < STRETCHES { shift(known[stretch], known[stretch + 1]) } else { 0.0 };
        let cost = |place: i64, writes: usize| {
            let off = known[stretch].mean - ln_value(place);
            off * off + ahead[stretch].expected(off, writes, moves)
        };
        let mut best = (cost(stored, writes), stored);
        if writes > 0 {
            for place in 250..=600 {
                let written = price + cost(place, writes - 1);
                if place != stored && written < best.0 {
                    best = (written, place);
                }
            }
        }
        writes -= usize::from(best.1 != stored);
        stored = best.1;
        loss += (owner.truth - ln_value(stored)).powi(2);
    }
    (loss, owner.writes - writes)
}

/// Who knows the truth: writes at once where that gains anything.
fn oracle(owner: &Owner) -> (f64, usize) {
    let best = nearest(owner.truth);
    let loss = STRETCHES as f64 * (owner.truth - ln_value(best)).powi(2);
    (loss, usize::from(best != owner.stored))
}

struct Sum {
    loss: f64,
    writes: usize,
}

fn sum(all: impl Iterator<Item = (f64, usize)>) -> Sum {
    all.fold(Sum { loss: 0.0, writes: 0 }, |sum, (loss, writes)| Sum {
        loss: sum.loss + loss,
        writes: sum.writes + writes,
    })
}

fn show(name: &str, sum: &Sum, owners: usize) {
    let rms = 100.0 * (sum.loss / (owners * STRETCHES) as f64).sqrt();
    println!(
        "{name:<46} {:>9.3} {rms:>8.3} % {:>8.3}",
        1e6 * sum.loss / owners as f64,
        sum.writes as f64 / owners as f64
    );
}

/// At most so much more squared error than the best policy that spends as many writes.
const MOST_EXCESS: f64 = 0.05;

fn check(owners: u64) {
    let followed: Vec<(u64, Followed)> =
        (0..owners).map(|seed| (seed, Owner::new(seed).follow(FIRST_U[(seed % 4) as usize]))).collect();
    let advice = sum(followed.iter().map(|(_, one)| (one.loss, one.writes)));
    let best_at =
        |price: f64| sum(followed.iter().map(|(seed, one)| priced(&Owner::new(*seed), &one.known, price)));
    // The dearest price at which the best policy still spends as many writes as the advice does.
    let (mut low, mut high) = (0.0, 1e-3);
    for _ in 0..14 {
        let middle = 0.5 * (low + high);
        if best_at(middle).writes >= advice.writes { low = middle } else { high = middle }
    }
    let (best, free) = (best_at(low), best_at(0.0));
    let count = followed.len();
    let measured: usize = followed.iter().map(|(_, one)| one.measured).sum();
    println!("{:<46} {:>9} {:>10} {:>8}", "over one owner", "loss 1e-6", "rms", "writes");
    show("the advice", &advice, count);
    show("best policy, as many writes", &best, count);
    show("best policy, all writes", &free, count);
    show("an oracle that knows the truth", &sum((0..owners).map(|seed| oracle(&Owner::new(seed)))), count);
    println!("measured first {:.3} times, price of a write {low:.2e}", measured as f64 / count as f64);
    let excess = advice.loss / best.loss - 1.0;
    println!("the advice loses {:.2} % more than the best policy", 100.0 * excess);
    assert!(excess < MOST_EXCESS, "{excess}");
    assert!(advice.writes <= best.writes, "{} {}", advice.writes, best.writes);
}

#[test]
fn the_advice_loses_little() {
    check(200);
}

#[test]
#[ignore = "the table of docs/choice.md: minutes"]
fn the_advice_loses_little_over_two_thousand_owners() {
    check(2000);
}
