//! What is wrong with a recording: silence, clipping, hum, noise, holes, repetitions.

use super::PulseEstimate;
use metrology::pulse::Findings;
use metrology::quantity::{Duration, Frequency, Ratio};

/// Share of the samples at the limit of the input from which it is worth a word.
const AT_LIMIT_SHARE: f64 = 1e-3;
/// Hum from this share of the wave is worth a word.
const HUM_SHARE: f64 = 0.1;
/// Share of the time with a wave in which the wave itself stood at the frequency of the mains.
const AT_MAINS_SHARE: f64 = 0.5;
/// Signal over noise (dB) below which edges may be lost: see the table in docs/pulses.md.
const NOISY_DB: f64 = 12.0;

/// Something wrong with a recording.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Trouble {
    /// No pulse stands out of the noise.
    Silent,
    /// The sound was coded with loss.
    Lossy,
    /// Samples stand at the limit of the input.
    AtLimit {
        /// Their share of all samples.
        share: Ratio,
    },
    /// Hum of the mains beside the signal.
    Hum {
        /// Root mean square of it over that of the signal.
        share: Ratio,
        /// Its frequency.
        frequency: Frequency,
    },
    /// The signal itself stands at the frequency of the mains.
    AtMains {
        /// For how long.
        duration: Duration,
    },
    /// The signal hardly stands out of the noise.
    Noisy {
        /// Power of the signal over that of the noise, in decibels.
        signal_to_noise_db: f64,
    },
    /// Holes in the train of pulses that no fault of the ring explains.
    Holes {
        /// How many.
        count: u64,
        /// Pulses that would have fitted into all of them.
        missing: u64,
        /// Since the start: when the first begins.
        first_start: Duration,
        /// Pulses that would have fitted into the first, a fraction as the times say.
        first_missing: f64,
    },
    /// Edges that came again for a pulse that had been counted.
    Doubled {
        /// How many.
        edges: u64,
    },
}

/// Everything worth a word.
pub(super) fn find(estimate: &PulseEstimate) -> Vec<Trouble> {
    let ring = estimate.ring.as_ref();
    let explained = ring.is_ok_and(|ring| ring.faults.iter().any(|fault| fault.share >= 0.5));
    let first_hole = estimate.first_holes.first().filter(|_| !explained);
    let wave = |findings: &Findings| of_wave(findings, estimate.duration.s());
    let mut troubles = Vec::new();
    troubles.extend((estimate.pulses == 0).then_some(Trouble::Silent));
    troubles.extend(estimate.lossy.then_some(Trouble::Lossy));
    troubles.extend(estimate.findings.as_ref().map(wave).into_iter().flatten());
    troubles.extend(first_hole.map(|first| Trouble::Holes {
        count: estimate.holes,
        missing: estimate.missing,
        first_start: Duration::from_s(first.start_s),
        first_missing: first.missing,
    }));
    troubles.extend((estimate.doubled > 0).then_some(Trouble::Doubled { edges: estimate.doubled }));
    troubles
}

fn of_wave(findings: &Findings, duration_s: f64) -> Vec<Trouble> {
    let share = findings.at_limit as f64 / findings.samples.max(1) as f64;
    let limit = (share > AT_LIMIT_SHARE).then(|| Trouble::AtLimit { share: Ratio::from_plain(share) });
    let hum = findings.hum.filter(|hum| hum.share > HUM_SHARE).map(|hum| Trouble::Hum {
        share: Ratio::from_plain(hum.share),
        frequency: Frequency::from_hz(hum.frequency_hz),
    });
    let active_s = duration_s - findings.idle_s;
    let mains = (findings.at_mains_s > AT_MAINS_SHARE * active_s && active_s > 0.0)
        .then(|| Trouble::AtMains { duration: Duration::from_s(findings.at_mains_s) });
    let noisy = findings.signal_to_noise_db.filter(|db| *db < NOISY_DB);
    let noisy = noisy.map(|signal_to_noise_db| Trouble::Noisy { signal_to_noise_db });
    [limit, hum, mains, noisy].into_iter().flatten().collect()
}
