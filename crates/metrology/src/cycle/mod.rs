//! How many marks a turning ring has, from nothing but the times at which they pass.
//!
//! **Problem.** No ring is divided evenly. Its spacing errors return every turn, at a speed that changes meanwhile. Wanted is
//! the number of marks, or that it cannot be told; and which marks are missing or out of place.
//!
//! **Method.** The count of marks stands for the angle. Where a step is two to four times its neighbours, the marks missing
//! in it are put in and kept out of all sums. For each candidate `N` the speed is a running mean `M` of the steps over
//! exactly one turn, sharpened to `2 M - M M` so that a parabola passes; a pattern of period `N` leaves no trace in it. The
//! steps relative to it, `n` of them, are folded at `N`. With total, within and between sums of squares `T`, `W`, `B`, the
//! logarithm of the likelihood ratio of a repeating pattern of normal errors against none is
//! `n/2 ln(T/n) - (n-N)/2 ln(W/(n-N)) - N/2 ln(B/N)` (variance components, balanced one-way layout). A multiple of `N`
//! pays for parts it does not need, a divisor does not explain enough; two candidates are compared over the same steps, with
//! the mean over the longer turn. A late mark makes one step long and the next
//! short; before folding, steps are leakily added up, which leaves nearly independent errors and favours the slow part of the
//! pattern, where most of it is. Where that does not decide (few marks, fast changes of speed), the steps alone are tried.
//! Only [`TEMPER`] of the logarithm is believed. The candidates share the probability with "no pattern"; the best is told if
//! it has [`TOLD_FROM`] of it and if the patterns of the two halves of the recording agree.
//!
//! Other things repeat as well: a piston machine coupled to the shaft swings the speed, a joint does, times are rounded. Hence the
//! pattern is then taken apart into its harmonics, each against what the turns scatter there (F with 2 and 2 (turns - 1)
//! degrees of freedom). Spacing errors of marks fill all of them; a swing of the speed has a few orders that fall off. The
//! weaker half has to stand out by itself, also of those harmonics that a divisor of `N` lacks: else neither is told. The pattern must keep its share of a pitch while the speed changes, must not look like falling orders, and must
//! exceed what a grid of the times may leave where turns fall on the same places of it.
//!
//! **Accuracy.** Spacing errors of 0.3 % (rms), 20 turns, speed varying two to one: right in more than 99 % of simulated rings
//! of 6 to 200 marks while the crossings jitter by 0.05 % of a pitch or less, none wrong at any jitter tried;
//! `crates/truing/docs/pulses.md` has the table. Fewer than 64 marks at a steady speed are told more seldom: nothing shows then
//! that the pattern is none of the speed. Needs [`LEAST_TURNS`] turns. Rings of fewer than [`FEWEST`] marks stay untold.
//!
//! Source: S. R. Searle, G. Casella, C. E. McCulloch, Variance Components (1992), chapter 4 (from memory).
//!
//! ```
//! let error = [0.004, -0.002, 0.0, 0.003, -0.005, 0.001, -0.001]; // of a pitch, by mark
//! let times: Vec<f64> = (0..210).map(|i| f64::from(i) / 80.0 + error[i as usize % 7] / 80.0).collect();
//! assert_eq!(metrology::cycle::ring(&times).unwrap().marks, 7);
//! ```

mod fold;
mod grid;
mod lines;
mod place;
mod slots;
mod spacing;

use fold::Fold;
pub use grid::Grid;
use slots::{SlotStep, Slots};
use spacing::Judged;

/// Fewest marks told: below, a pattern cannot be told from other things that repeat.
pub const FEWEST: usize = 6;
/// Most marks told.
pub const MOST: usize = 200;
/// Fewest turns that a candidate is judged by.
pub const LEAST_TURNS: usize = 8;
/// What is kept of the sum at each step when steps are added up, in the order tried. With much the jitter becomes nearly
/// white; with nothing, what is left of a fast change of speed does not add up.
const KEPT: [f64; 2] = [0.8, 0.0];
/// Share of the log-likelihood that is believed. Judgement: errors are only nearly independent.
pub const TEMPER: f64 = 0.9;
/// Probability from which a count is told.
pub const TOLD_FROM: f64 = 0.99;
/// Candidates beyond those told, which have to lose as well.
const RIVAL_MOST: usize = 2 * MOST + 10;
/// How often a better candidate may take the place of the best.
const ROUNDS: usize = 6;
/// Edges used at most, eighty turns of the largest ring: more add time and little knowledge.
const MOST_EDGES: usize = 16_000;
/// The halves of a recording agree when the correlation of their patterns times the root of the number of marks
/// exceeds this many standard deviations of chance; six marks that agree fully reach 2.4.
const AGREE: f64 = 2.2;

/// What is wrong at a mark.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// It does not show.
    Missing,
    /// It stands too near to one neighbour and too far from the other.
    Displaced,
    /// The space before it is too wide.
    WideBefore,
    /// The space before it is too narrow.
    NarrowBefore,
}

/// A mark with a fault.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Fault {
    /// Which, counted from 0 at [`Ring::first_s`].
    pub mark: usize,
    /// What.
    pub kind: FaultKind,
    /// By how much of a pitch the space before it is off; a whole pitch where it is missing.
    pub share: f64,
}

/// A ring as found.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// How many marks, the missing ones included.
    pub marks: usize,
    /// Probability of that count among all candidates.
    pub confidence: f64,
    /// Share of the variance of the steps that the pattern explains.
    pub explained: f64,
    /// Turns in the stretch it was found in.
    pub turns: f64,
    /// When mark 0 passed first (s).
    pub first_s: f64,
    /// The space before each mark over the mean space; none where a missing mark hides it.
    pub spacing: Vec<Option<f64>>,
    /// Marks with faults, in order.
    pub faults: Vec<Fault>,
    /// Nothing repeats but the faults: a ring of twice the marks with the same faults twice would look the same.
    pub faults_alone: bool,
    /// Once-per-turn part of the spacing (amplitude, of a pitch) where it stands out: the ring runs out of true.
    pub off_centre: Option<f64>,
}

/// Why a count cannot be told.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Untold {
    /// Too few turns without a break.
    TooShort,
    /// No pattern repeats above the jitter of the crossings.
    NoPattern,
    /// Several counts explain it about as well.
    Undecided,
    /// What repeats may be an uneven speed as well as the spacing.
    UnevenSpeed,
    /// What repeats is no larger than what the rounding of the times makes, or finer than rings are made.
    TooFine,
    /// It repeats after fewer than [`FEWEST`] or more than [`MOST`] marks.
    OutOfRange,
}

/// Counts the marks of a ring from the times (s) at which they passed, rising. A grid to which the times were rounded is
/// found from them.
pub fn ring(times_s: &[f64]) -> Result<Ring, Untold> {
    ring_on(times_s, None)
}

/// The same for times that are off by what is said of their grid: the crossings of a sampled wave.
pub fn ring_on(times_s: &[f64], grid: Option<Grid>) -> Result<Ring, Untold> {
    let slots = Slots::longest(&times_s[..times_s.len().min(MOST_EDGES)]);
    let grid = grid.or_else(|| Grid::new(&times_s[..times_s.len().min(MOST_EDGES)]));
    // Marks missing in every turn may be all the pattern there is.
    let with_missing = (slots.missing() >= LEAST_TURNS).then_some(true);
    let ways = [Some(false), with_missing]
        .into_iter()
        .flatten()
        .flat_map(|missing| KEPT.map(|kept| (missing, kept)));
    let mut untold = Untold::TooShort;
    for (missing_counts, kept) in ways {
        match decide(&slots, missing_counts, kept, grid) {
            // What repeats without being the spacing is worth more words than that nothing does.
            Err(why) if !matches!(untold, Untold::UnevenSpeed | Untold::TooFine) => untold = why,
            Err(_) => {}
            told => return told,
        }
    }
    Err(untold)
}

fn decide(slots: &Slots, missing_counts: bool, kept: f64, grid: Option<Grid>) -> Result<Ring, Untold> {
    let steps = slots.steps(missing_counts);
    let most = RIVAL_MOST.min(steps.len() / LEAST_TURNS);
    if most < FEWEST {
        return Err(Untold::TooShort);
    }
    let (best, rivals) = contest(&steps, kept, most).ok_or(Untold::Undecided)?;
    if best.score <= 0.0 {
        return Err(Untold::NoPattern);
    }
    // The lone "no pattern" has the score zero.
    let against: f64 = rivals.iter().map(|lead| (TEMPER * lead).exp()).sum();
    let confidence = 1.0 / (1.0 + against + (-TEMPER * best.score).exp());
    if confidence < TOLD_FROM || best.halves_agree * (best.marks as f64).sqrt() < AGREE {
        return Err(if TEMPER * best.score < -(1.0 - TOLD_FROM).ln() {
            Untold::NoPattern
        } else {
            Untold::Undecided
        });
    }
    let confidence = match spacing::judge(slots, missing_counts, best.marks, grid) {
        Judged::Spacing(share) if share * confidence >= TOLD_FROM => share * confidence,
        Judged::Spacing(_) | Judged::Speed => return Err(Untold::UnevenSpeed),
        Judged::Fine => return Err(Untold::TooFine),
        Judged::Shorter => return Err(Untold::Undecided),
    };
    if !(FEWEST..=MOST).contains(&best.marks) {
        return Err(Untold::OutOfRange);
    }
    let mut ring = place::ring(slots, &best, confidence);
    let share = spacing::beside_faults(slots, missing_counts, ring.marks, ring.faults.len());
    ring.faults_alone = share < 1.0;
    ring.confidence *= share;
    Ok(ring)
}

/// The candidate that beats every other over the same steps, and by how much each of them leads (all are behind); `None`
/// where they go round in circles.
fn contest(steps: &[SlotStep], kept: f64, most: usize) -> Option<(Fold, Vec<f64>)> {
    let folds = (2..=most).filter_map(|marks| Fold::new(steps, kept, marks));
    let mut best = folds.max_by(|a, b| a.score.total_cmp(&b.score))?;
    for _ in 0..ROUNDS {
        let others = (2..=most).filter(|marks| *marks != best.marks);
        let leads: Vec<(usize, f64)> =
            others.filter_map(|marks| Some((marks, Fold::duel(steps, kept, marks, best.marks)?))).collect();
        match leads.iter().max_by(|a, b| a.1.total_cmp(&b.1)) {
            Some((marks, lead)) if *lead > 0.0 => best = Fold::new(steps, kept, *marks)?,
            _ => return Some((best, leads.into_iter().map(|(_, lead)| lead).collect())),
        }
    }
    None
}

#[cfg(test)]
mod tests;
