//! The tables of `docs/drive.md`: thousands of drives, only when asked for.

#![allow(clippy::print_stdout, reason = "the slow tier prints its tables")]

use super::scenario::{Counts, HEAD, Scenario, count};
use super::{
    CONSTANT, COVERED_OF_100, CUT_OFF_SPEED, DAMAGED, EITHER, FINE, FINE_SPEED, GOVERNOR, HILLY, HILLY_BLIND,
    HOLDS, ODOMETER, ODOMETER_TURNED, ROUNDED, ROUNDED_SPEED, SLOW_FIXES, TRUNCATED, bound, scenario,
};

/// Seeds of the slow tier: sound logs, and everything else.
const SLOW_SEEDS: u64 = 2000;
const SLOW_SEEDS_OTHERS: u64 = 200;
/// Seeds for the bound.
const BOUND_SEEDS: u64 = 200;
/// Stated uncertainty over the bound: no more than this, and without steps of the channel, where the bound knows the receiver's scale and the
/// rest of the offset is all there is.
const OVER_THE_BOUND: f64 = 1.5;
const OVER_THE_BOUND_FINE: f64 = 1.8;

/// Covered of a thousand sound logs, no less and no more, and the bias of the ratio as a share of the root of the mean square error. The growth
/// of the tires is unknown to the estimate, and so is whether a channel rounds or truncates.
const SOUND_COVERED: (usize, usize) = (930, 985);
const SOUND_BIAS: f64 = 1.0 / 3.0;

fn print_table(rows: &[Scenario], seeds: u64, check: fn(&Counts) -> bool) {
    println!("{HEAD}");
    let mut missed = Vec::new();
    for scenario in rows {
        let counts = count(scenario, 0..seeds);
        println!("{}", counts.row(scenario.name));
        if !check(&counts) {
            missed.push(scenario.name);
        }
    }
    assert!(missed.is_empty(), "{missed:?}");
}

fn sound(counts: &Counts) -> bool {
    let covered = SOUND_COVERED.0 * counts.answered..=SOUND_COVERED.1 * counts.answered;
    let square = scenario::mean(&counts.errors.iter().map(|error| error.powi(2)).collect::<Vec<_>>());
    covered.contains(&(1000 * counts.covered))
        && scenario::mean(&counts.errors).abs() < SOUND_BIAS * square.sqrt()
        && counts.answered == counts.seeds
}

/// The first table in `docs/drive.md`; some minutes.
#[test]
#[ignore = "slow tier: thousands of drives"]
fn table_of_sound_logs_by_positions() {
    print_table(&[ROUNDED, TRUNCATED, EITHER, FINE], SLOW_SEEDS, sound);
}

/// Its second half.
#[test]
#[ignore = "slow tier: thousands of drives"]
fn table_of_sound_logs_with_speeds() {
    print_table(&[ROUNDED_SPEED, CUT_OFF_SPEED, FINE_SPEED], SLOW_SEEDS, sound);
}

/// The second table in `docs/drive.md`.
#[test]
#[ignore = "slow tier: thousands of drives"]
fn table_of_other_drives() {
    print_table(
        &[
            &[CONSTANT, GOVERNOR, HOLDS, ODOMETER, ODOMETER_TURNED, SLOW_FIXES, HILLY, HILLY_BLIND][..],
            &DAMAGED[..],
        ]
        .concat(),
        SLOW_SEEDS_OTHERS,
        |counts| counts.covered * 100 >= COVERED_OF_100 * counts.answered,
    );
}

/// The third table: what any estimate can reach, and what this one states (per cent of the ratio).
#[test]
#[ignore = "slow tier: hundreds of drives"]
fn table_of_bounds() {
    println!(
        "| drives | offset known to 0.02 m/s | zero or half a step down, nobody knows which | on average off by | not off on average | nothing known of it | stated u, mean | over the bound |"
    );
    println!("|---|--:|--:|--:|--:|--:|--:|--:|");
    for scenario in [ROUNDED, ROUNDED_SPEED, FINE, FINE_SPEED] {
        let bounds: Vec<bound::Bound> = (0..BOUND_SEEDS).map(|seed| bound::bound(&scenario, seed)).collect();
        let all = |get: fn(&bound::Bound) -> f64| bounds.iter().map(get).collect::<Vec<f64>>();
        let root = |get: fn(&bound::Bound) -> f64| {
            100.0 * scenario::mean(&all(get).iter().map(|b| b.powi(2)).collect::<Vec<_>>()).sqrt()
        };
        let stated = 100.0 * scenario::mean(&count(&scenario, 0..BOUND_SEEDS).u);
        let (known, either, free) = (root(|b| b.known), root(|b| b.either), root(|b| b.free));
        let (drawn, undrawn) = (100.0 * scenario::mean(&all(|b| b.drawn)), root(|b| b.undrawn));
        let over = stated / either;
        println!(
            "| {} | {known:.3} | {either:.3} | {drawn:.3} | {undrawn:.3} | {free:.3} | {stated:.3} | {over:.2} |",
            scenario.name
        );
        let limit = if either > known { OVER_THE_BOUND } else { OVER_THE_BOUND_FINE };
        assert!(over < limit, "{}: {over}", scenario.name);
    }
}
