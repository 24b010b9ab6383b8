//! The table: one row per world.

#![allow(clippy::print_stdout, reason = "the table is what it is for")]

use super::score::{Errors, Outcome, root, run};
use super::worlds::{Named, WORLDS};
use rayon::prelude::*;
use truing::measure::drive::DiagnosisKind;

const HEAD: [&str; 30] = [
    "world",
    "answered",
    "told",
    "R bias",
    "sd",
    "rms",
    "mean u",
    "covered",
    "rms z",
    "max z",
    "script: answered",
    "bias",
    "rms",
    "sd about what is shown",
    "our sd over it",
    "refused, script not",
    "length: bias",
    "rms",
    "mean u",
    "covered",
    "rms z",
    "script: bias",
    "rms",
    "by distance: bias",
    "covered",
    "lag error (s)",
    "covered",
    "P/O/C/E/U",
    "false",
    "insane, panics",
];

/// The number an environment variable holds, or this.
pub fn number(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

/// The worlds that `ROWS` names: any of its parts between semicolons stands in the name; all without it.
pub fn chosen() -> Vec<&'static Named> {
    let rows = std::env::var("ROWS").unwrap_or_default();
    let parts: Vec<&str> = rows.split(';').map(str::trim).filter(|part| !part.is_empty()).collect();
    let is_chosen = |named: &&Named| parts.is_empty() || parts.iter().any(|part| named.name.contains(part));
    WORLDS.iter().filter(is_chosen).collect()
}

/// Prints it.
pub fn print() {
    let seeds = number("SEEDS", 100);
    println!("| {} |\n|---|{}", HEAD.join(" | "), "--:|".repeat(HEAD.len() - 1));
    for named in chosen() {
        let outcomes: Vec<Outcome> = (0..seeds).into_par_iter().map(|seed| run(named, seed)).collect();
        println!("| {} | {} |", named.name, row(&outcomes).join(" | "));
    }
}

fn percent(part: usize, whole: usize) -> String {
    cell(100.0 * part as f64 / whole as f64, 0)
}

fn cell(value: f64, decimals: usize) -> String {
    if value.is_finite() { format!("{value:.decimals$}") } else { "-".into() }
}

fn signed(value: f64) -> String {
    if value.is_finite() { format!("{value:+.3}") } else { "-".into() }
}

fn row(outcomes: &[Outcome]) -> Vec<String> {
    let count = |is: &dyn Fn(&Outcome) -> bool| outcomes.iter().filter(|one| is(one)).count();
    let share = |is: &dyn Fn(&Outcome) -> bool| percent(count(is), outcomes.len());
    let ratio = Errors::of(outcomes.iter().filter_map(|one| Some((one.ratio?, one.truth.ratio))));
    let script = Errors::plain(outcomes.iter().filter_map(|one| Some((one.script.ratio?, one.truth.ratio))));
    let script_own =
        Errors::plain(outcomes.iter().filter_map(|one| Some((one.script.ratio?, one.truth.shown_ratio))));
    let length = Errors::of(outcomes.iter().filter_map(|one| Some((one.length?, one.truth.length_m))));
    let script_length = Errors::plain(outcomes.iter().map(|one| (one.script.length_m, one.truth.length_m)));
    let by_distance =
        Errors::of(outcomes.iter().filter_map(|one| Some((one.by_distance?, one.truth.shown_ratio))));
    let mut cells = vec![share(&|one| one.answered), share(&|one| one.told)];
    cells.extend([signed(ratio.bias()), cell(ratio.deviation(), 3), cell(ratio.rms(), 3)]);
    cells.extend([cell(ratio.claimed(), 3), cell(ratio.covered(), 1)]);
    cells.extend([cell(ratio.rms_score(), 2), cell(ratio.worst_score(), 1)]);
    cells.extend([share(&|one| one.script.ratio.is_some()), signed(script.bias())]);
    cells.push(cell(script.rms(), 3));
    cells.extend([cell(script_own.deviation(), 3), cell(ratio.deviation() / script_own.deviation(), 2)]);
    cells.push(share(&|one| one.script.ratio.is_some() && !one.told));
    cells.extend([signed(length.bias()), cell(length.rms(), 3), cell(length.claimed(), 3)]);
    cells.extend([cell(length.covered(), 1), cell(length.rms_score(), 2)]);
    cells.extend([signed(script_length.bias()), cell(script_length.rms(), 3)]);
    cells.extend([signed(by_distance.bias()), cell(by_distance.covered(), 1)]);
    cells.extend(lags(outcomes));
    cells.push(kinds(outcomes));
    cells.push(share(&Outcome::is_false));
    let insane: usize = outcomes.iter().map(|one| one.insane).sum();
    cells.push(format!("{insane}, {}", count(&|one| one.panicked)));
    cells
}

/// How far lags are from the nearest that can be said to be true, root of the mean square; and the share whose interval
/// holds such a one.
fn lags(outcomes: &[Outcome]) -> [String; 2] {
    let both = || outcomes.iter().filter_map(|one| Some((one.lag?, one.truth.lag_s?)));
    let error_s = root(both().map(|(lag, (early_s, late_s))| lag.value - lag.value.clamp(early_s, late_s)));
    let held = both().filter(|(lag, (early_s, late_s))| lag.low <= *late_s && *early_s <= lag.high);
    [cell(error_s, 2), percent(held.count(), both().count())]
}

fn kinds(outcomes: &[Outcome]) -> String {
    use DiagnosisKind::{Curved, Erratic, Offset, Proportional, Undetermined};
    let share = |kind| percent(outcomes.iter().filter(|one| one.kind == Some(kind)).count(), outcomes.len());
    [Proportional, Offset, Curved, Erratic, Undetermined].map(share).join("/")
}
