//! What is to be said about a recording: silence, clipping, hum, noise, holes, repetitions.

use super::PulseEstimate;
use crate::problem::{Field, Problem, Wording};
use metrology::pulse::Findings;

/// Share of the samples at the limit of the input from which it is worth a word.
const AT_LIMIT_SHARE: f64 = 1e-3;
/// Hum from this share of the wave is worth a word.
const HUM_SHARE: f64 = 0.1;
/// Share of the time with a wave in which the wave itself stood at the frequency of the mains.
const AT_MAINS_SHARE: f64 = 0.5;
/// Signal over noise (dB) below which edges may be lost: see the table in docs/pulses.md.
const NOISY_DB: f64 = 12.0;

/// Everything worth saying.
pub(super) fn problems(source: &str, estimate: &PulseEstimate) -> Vec<Problem> {
    let mut problems = Vec::new();
    if estimate.pulses == 0 {
        let problem = Problem::warning(source, "pulses that stand out of the noise", "none");
        problems.push(
            problem.hint(
                Wording::from(
                    "check that the sensor turned and the clips made contact; choose another channel with ",
                )
                .field(Field::Channel),
            ),
        );
    }
    if estimate.lossy {
        let note =
            Problem::note(source, "sound coded without loss (WAV, FLAC, ALAC)", "sound coded with loss");
        problems.push(note.hint(
            "counts stand; when a single pulse came is less certain, and with it frequencies and the ring: record WAV to \
             count teeth",
        ));
    }
    if let Some(findings) = &estimate.findings {
        problems.extend(of_wave(source, findings, estimate.duration.s()));
    }
    let explained =
        estimate.ring.as_ref().is_ok_and(|ring| ring.faults.iter().any(|fault| fault.share >= 0.5));
    if let Some(first) = estimate.first_holes.first().filter(|_| !explained) {
        let found = format!(
            "{} holes with room for {} pulses, the first at {:.3} s with room for {:.0}",
            estimate.holes, estimate.missing, first.start_s, first.missing
        );
        let problem = Problem::warning(source, "a regular train of pulses", found);
        problems.push(problem.hint("a loose clip or a damaged ring; pulses lost there are not counted"));
    }
    if estimate.doubled > 0 {
        let found = format!("{} edges that came again for the same pulse", estimate.doubled);
        let problem = Problem::warning(source, "one edge for each pulse", found);
        problems.push(problem.hint(
            "they were not counted: a contact that bounces, or a trigger that fires twice; a module that takes them for teeth \
             shows too much",
        ));
    }
    problems
}

fn of_wave(source: &str, findings: &Findings, duration_s: f64) -> Vec<Problem> {
    let share = findings.at_limit as f64 / findings.samples.max(1) as f64;
    let limit = (share > AT_LIMIT_SHARE).then(|| {
        let found = format!("{:.1} % of the samples at its limit", 100.0 * share);
        let note = Problem::note(source, "a level below the limit of the input", found);
        note.hint("counts and frequencies stand; attenuate: a variable-reluctance sensor can far exceed what a sound input takes")
    });
    let hum = findings.hum.filter(|hum| hum.share > HUM_SHARE).map(|hum| {
        let found = format!("{:.0} % of the signal is hum at {:.0} Hz", 100.0 * hum.share, hum.frequency_hz);
        Problem::note(source, "a signal without hum", found)
            .hint("it was not counted; run the computer on its battery, or isolate the input")
    });
    let active_s = duration_s - findings.idle_s;
    let mains = (findings.at_mains_s > AT_MAINS_SHARE * active_s && active_s > 0.0).then(|| {
        let found = format!("{:.1} s of it at 50 or 60 Hz", findings.at_mains_s);
        Problem::warning(source, "a signal that changes with the speed", found).hint(
            "this may be hum of the mains and no sensor at all; run the computer on its battery and compare",
        )
    });
    let noisy = findings.signal_to_noise_db.filter(|db| *db < NOISY_DB).map(|db| {
        Problem::warning(source, "a signal well above the noise", format!("{db:.0} dB"))
            .hint("pulses may be lost; a shorter wire, a better contact or a higher level helps")
    });
    [limit, hum, mains, noisy].into_iter().flatten().collect()
}
