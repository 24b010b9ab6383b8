//! Simulated drives that the estimator was not built for, and how it does on them.
//!
//! What is simulated is written from physics and from how receivers, phones and loggers behave. It shares nothing with
//! `measure::drive` nor with `simulate`, whose motion and errors are those the estimator assumes. Nothing here is to be read
//! by the estimator, and nothing here is to be changed because of it.
//!
//! # How to
//!
//! The table, all worlds, 100 seeds each; fewer by the environment:
//!
//! ```text
//! cargo test --release -p truing --test mismatched -- --ignored --nocapture table
//! SEEDS=20 ROWS='held;odometer' cargo test --release -p truing --test mismatched -- --ignored --nocapture table
//! ```
//!
//! `ROWS`: parts of names between semicolons. One seed with its plan, truth, answers and problems:
//!
//! ```text
//! SEED=7 ROWS='held 2 to 4' cargo test --release -p truing --test mismatched -- --ignored --nocapture one
//! ```
//!
//! Pieces of recorded drives, and of those in a folder of `NAME-track.csv` and `NAME-vehicle.csv`:
//!
//! ```text
//! DRIVES=folder cargo test --release -p truing --test mismatched -- --ignored --nocapture pieces
//! ```
//!
//! # The columns
//!
//! Per cent but for `z` and lags. `answered`: an estimate came out. `told`: it has a ratio that can be told. `u`: the
//! deviation that the 95 % interval claims, half its width over 1.96; `z`: error over `u`. `R` is held against the ratio of
//! distances that tire, constant and slip make at the drive's own speeds above 5 m/s, without steps and without an offset
//! of the dash; `by distance` against what is really shown, both in. `length` is that of the road between the first and the
//! last usable fix. Lags: where the files allow more than one (held values, filters, places and speeds of different age) the
//! nearest counts. `P/O/C/E/U`: diagnoses, proportional, offset, curved, erratic, undetermined. `false`: a sound truck called
//! ill; in the rows of faults, an ill one called proportional. `insane`: values outside their own interval, no numbers, or
//! beyond 1e6 % of the truth.
//!
//! `script`: [`script`], with its bias and error of the same R. It cannot know of steps and offsets, so that its scatter is
//! taken about the ratio of what is shown, the most it can know; `our sd over it` is to be 1.2 at most. `refused, script not`:
//! the script has a ratio, the estimate tells none.
//!
//! # Where things are
//!
//! `road`, `motion`: the true motion. `truck`: tires, slip, constant. `channel`: dash, bus, vehicle log. `receiver`: what it
//! believes. `rows`: what the phone writes. `world`: the ordinary drive, and the truth. `worlds`: the names and what differs:
//! the next one costs three lines.

#![allow(clippy::unwrap_used, reason = "a test that cannot be set up has failed")]

#[path = "mismatched/chance.rs"]
mod chance;
#[path = "mismatched/channel.rs"]
mod channel;
#[path = "mismatched/checks.rs"]
mod checks;
#[path = "mismatched/motion.rs"]
mod motion;
#[path = "mismatched/receiver.rs"]
mod receiver;
#[path = "mismatched/recorded.rs"]
mod recorded;
#[path = "mismatched/road.rs"]
mod road;
#[path = "mismatched/rows.rs"]
mod rows;
#[path = "mismatched/score.rs"]
mod score;
#[path = "mismatched/script.rs"]
mod script;
#[path = "mismatched/table.rs"]
mod table;
#[path = "mismatched/truck.rs"]
mod truck;
#[path = "mismatched/world.rs"]
mod world;
#[path = "mismatched/worlds.rs"]
mod worlds;

use rayon::prelude::*;

/// Seeds of the fast tier.
const FEW_SEEDS: u64 = 2;

/// Whatever the world, an answer is a number inside its own interval, and nothing panics.
#[test]
fn answers_are_sane() {
    let insane: Vec<String> = worlds::WORLDS
        .par_iter()
        .flat_map_iter(|named| (0..FEW_SEEDS).map(move |seed| (named, seed)))
        .filter_map(|(named, seed)| {
            let outcome = score::run(named, seed);
            let told = format!("{}, seed {seed}: {:?} {:?}", named.name, outcome.ratio, outcome.length);
            (outcome.panicked || outcome.insane > 0).then_some(told)
        })
        .collect();
    assert!(insane.is_empty(), "{}", insane.join("\n"));
}

/// The table.
#[test]
#[ignore = "slow tier: thousands of drives"]
fn table() {
    table::print();
}

/// The estimate beside the script on pieces of recorded drives.
#[test]
#[ignore = "prints a table"]
fn pieces() {
    recorded::print();
}

/// One drive in full.
#[test]
#[ignore = "prints one drive"]
fn one() {
    let seed = table::number("SEED", 0);
    for named in table::chosen() {
        let plan = named.plan(&mut chance::Chance::of(named.name, seed));
        let world = score::world(named, seed);
        let (found, problems) = score::estimated(&world);
        println!("{}: {plan:#?}\n{:#?}", named.name, world.truth);
        println!("script: {:?}", script::robust(&world.track, &world.indicated));
        if let Some(found) = found {
            println!("R {:?}\nby distance {:?}", found.reading_ratio, found.ratio_by_distance);
            println!("offset {:?}\nlag {:?}", found.offset, found.clock_lag);
            println!("length {:?}\n{:?}\n{:?}", found.distance, found.diagnosis, found.points);
            println!("usual speed {:?}, doubts {:?}", found.usual_speed, found.doubts);
        }
        problems.iter().for_each(|problem| println!("{problem}"));
    }
}
