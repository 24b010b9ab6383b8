//! Slips of the hand in an entry: a number counted or typed wrongly, a unit taken for another. Each moves what the entry
//! says by a known factor, so the evidence can say how likely it is.

use super::order::strongest_first;
use crate::describe::evidence::{Evidence, EvidenceKind, PulseSpan, TurnsOf, WheelsTurned};
use metrology::quantity::{METRES_PER_MILE, Quantity, Ratio};
use metrology::text::Typed;

/// Belief, before looking, that an entry holds one of the slips listed for it (judgement).
const SLIP_PRIOR: f64 = 0.02;
/// An entry that is corrected for the slip must lie this near to the rest (standard deviations).
const EXPLAINED_WITHIN: f64 = 2.5;
/// A slip less likely than this (odds) is not worth a word.
const ODDS_NEEDED: f64 = 10.0;
/// Turns that somebody rolls out at most.
const MOST_TURNS: u32 = 20;

/// A slip in an entry.
#[derive(Copy, Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Slip {
    /// So many turns were made, and others entered.
    Turns {
        /// As entered.
        entered: u32,
        /// As they were made, most likely.
        made: u32,
    },
    /// A mile taken for a kilometre, or the other way round.
    MilesAndKilometres,
    /// A wheel was turned with the other one held, or both, and the other was entered.
    WheelsTurned,
    /// The point stands one place off.
    FactorTen,
    /// One digit is another, or two neighbours are swapped.
    Digit {
        /// The digits as entered, without their point.
        entered: u64,
        /// The digits as they were meant, most likely.
        meant: u64,
    },
}

/// A slip with the factor by which it changed what the entry says.
type Candidate = (Slip, f64);

/// The slips that an entry can hold.
fn candidates(evidence: &Evidence) -> Vec<Candidate> {
    let either = || {
        let factor = METRES_PER_MILE / 1e3;
        vec![(Slip::MilesAndKilometres, factor), (Slip::MilesAndKilometres, 1.0 / factor)]
    };
    match &evidence.kind {
        EvidenceKind::Rollout { turns, lengths } => {
            let made = (1..=MOST_TURNS).filter(|made| made != turns);
            let turns =
                made.map(|made| (Slip::Turns { entered: *turns, made }, f64::from(*turns) / f64::from(made)));
            // A longer length means fewer turns in a mile.
            let length = lengths.first().map(digits).unwrap_or_default();
            turns.chain(length.into_iter().map(|(slip, factor)| (slip, 1.0 / factor))).collect()
        }
        EvidenceKind::OdometerDistance { indicated, true_distance, .. } => {
            let mut all = either();
            all.extend([(Slip::FactorTen, 10.0), (Slip::FactorTen, 0.1)]);
            all.extend(digits(indicated));
            all.extend(digits(true_distance).into_iter().map(|(slip, factor)| (slip, 1.0 / factor)));
            all
        }
        EvidenceKind::Hold { .. }
        | EvidenceKind::TimedMile { .. }
        | EvidenceKind::ShaftSpeed { .. }
        | EvidenceKind::EngineSpeed { .. }
        | EvidenceKind::Earlier { .. }
        | EvidenceKind::Published { .. }
        | EvidenceKind::Pulses { span: PulseSpan::Distance(_), .. } => either(),
        EvidenceKind::Pulses { span: PulseSpan::Turns { of: TurnsOf::Wheel, wheels, .. }, .. } => {
            vec![(Slip::WheelsTurned, one_for_both(*wheels == Some(WheelsTurned::One)))]
        }
        EvidenceKind::ShaftTurns { wheels, .. } => {
            vec![(Slip::WheelsTurned, one_for_both(*wheels == WheelsTurned::One))]
        }
        _ => Vec::new(),
    }
}

/// Digits that somebody types at most; what has more is not typed by hand.
const MOST_DIGITS: u64 = 1_000_000;

/// Every entry that differs in one digit or in two swapped neighbours, with the factor by which what was typed is off.
fn digits<Q: Quantity>(typed: &Typed<Q>) -> Vec<Candidate> {
    let entered = (typed.value.si() / typed.resolution.si()).round();
    if !(1.0..MOST_DIGITS as f64).contains(&entered) {
        return Vec::new();
    }
    let entered = entered as u64;
    let places =
        std::iter::successors(Some(1_u64), |place| place.checked_mul(10)).take_while(|p| *p <= entered);
    let places: Vec<u64> = places.collect();
    let digit = |place: u64| entered / place % 10;
    let one = places
        .iter()
        .flat_map(|place| (0..10).map(move |other| entered - digit(*place) * place + other * place));
    let swapped = places.windows(2).map(|two| {
        let (low, high) = (digit(two[0]), digit(two[1]));
        entered - low * two[0] - high * two[1] + high * two[0] + low * two[1]
    });
    let meant = one.chain(swapped).filter(|meant| *meant > 0 && *meant != entered);
    meant.map(|meant| (Slip::Digit { entered, meant }, entered as f64 / meant as f64)).collect()
}

/// The entry counts twice too many for a turn of both where one was entered, and half otherwise.
fn one_for_both(one_entered: bool) -> f64 {
    if one_entered { 2.0 } else { 0.5 }
}

/// The slip that most likely explains an entry which lies `off` what the rest says (its value over the rest's) by so many
/// standard deviations, with the odds against no slip. Among equally likely ones the first listed: fewer turns first.
pub fn slip_in(evidence: &Evidence, off: Ratio, deviations: f64) -> Option<(Slip, f64)> {
    let all = candidates(evidence);
    let among = all.len();
    let odds = |factor: f64| slip_odds(off, deviations, factor, among);
    let mut likely: Vec<Candidate> =
        all.into_iter().filter_map(|(slip, factor)| Some((slip, odds(factor)?))).collect();
    strongest_first(&mut likely, |it| it.1);
    likely.into_iter().next()
}

/// Odds that an entry which lies `off` the rest by so many standard deviations holds a slip which moves it by a factor, one of
/// so many that it could hold; none where it does not explain it or is not worth a word.
pub fn slip_odds(off: Ratio, deviations: f64, factor: f64, among: usize) -> Option<f64> {
    let (off, u) = (off.plain().ln(), (off.plain().ln() / deviations).abs());
    let prior = SLIP_PRIOR / among.max(1) as f64 / (1.0 - SLIP_PRIOR);
    let left = (off - factor.ln()) / u;
    let ln_odds = prior.ln() + 0.5 * (deviations * deviations - left * left);
    (left.abs() < EXPLAINED_WITHIN && ln_odds >= ODDS_NEEDED.ln()).then(|| ln_odds.exp())
}
