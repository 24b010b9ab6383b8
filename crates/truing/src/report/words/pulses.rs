//! What is wrong with a recording, as problems with what to do.

use crate::measure::pulses::{PulseEstimate, Trouble};
use crate::problem::{Field, Problem, Wording};

/// Everything that is wrong with the recording called `source`.
pub fn problems(source: &str, estimate: &PulseEstimate) -> Vec<Problem> {
    estimate.troubles.iter().map(|trouble| problem(source, trouble)).collect()
}

/// One trouble.
pub fn problem(source: &str, trouble: &Trouble) -> Problem {
    match trouble {
        Trouble::Silent => {
            let hint = "check that the sensor turned and the clips made contact; choose another channel with ";
            Problem::warning(source, "pulses that stand out of the noise", "none")
                .hint(Wording::from(hint).field(Field::Channel))
        }
        Trouble::Lossy => {
            Problem::note(source, "sound coded without loss (WAV, FLAC, ALAC)", "sound coded with loss").hint(
                "counts stand; when a single pulse came is less certain, and with it frequencies and the ring: record WAV to \
                 count teeth",
            )
        }
        Trouble::AtLimit { share } => {
            let found = format!("{:.1} % of the samples at its limit", share.percent());
            Problem::note(source, "a level below the limit of the input", found).hint("counts and frequencies stand; attenuate: a variable-reluctance sensor can far exceed what a sound input takes")
        }
        Trouble::Hum { share, frequency } => {
            let found = format!("{:.0} % of the signal is hum at {:.0} Hz", share.percent(), frequency.hz());
            Problem::note(source, "a signal without hum", found)
                .hint("it was not counted; run the computer on its battery, or isolate the input")
        }
        Trouble::AtMains { duration } => {
            let found = format!("{:.1} s of it at 50 or 60 Hz", duration.s());
            Problem::warning(source, "a signal that changes with the speed", found).hint(
                "this may be hum of the mains and no sensor at all; run the computer on its battery and compare",
            )
        }
        Trouble::Noisy { signal_to_noise_db } => {
            Problem::warning(source, "a signal well above the noise", format!("{signal_to_noise_db:.0} dB"))
                .hint("pulses may be lost; a shorter wire, a better contact or a higher level helps")
        }
        Trouble::Holes { count, missing, first_start, first_missing } => {
            let found = format!(
                "{count} holes with room for {missing} pulses, the first at {:.3} s with room for {first_missing:.0}",
                first_start.s()
            );
            Problem::warning(source, "a regular train of pulses", found)
                .hint("a loose clip or a damaged ring; pulses lost there are not counted")
        }
        Trouble::Doubled { edges } => {
            let found = format!("{edges} edges that came again for the same pulse");
            Problem::warning(source, "one edge for each pulse", found).hint(
                "they were not counted: a contact that bounces, or a trigger that fires twice; a module that takes them for teeth \
                 shows too much",
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use metrology::quantity::{Duration, Frequency, Ratio};

    #[test]
    fn every_trouble_is_told() {
        let (share, duration) = (Ratio::from_plain(0.25), Duration::from_s(4.0));
        let hum = Trouble::Hum { share, frequency: Frequency::from_hz(50.0) };
        let holes = Trouble::Holes { count: 2, missing: 11, first_start: duration, first_missing: 9.7 };
        for (trouble, expected) in [
            (Trouble::Silent, "found none. check that the sensor turned"),
            (Trouble::Lossy, "record WAV to count teeth"),
            (Trouble::AtLimit { share }, "25.0 % of the samples at its limit"),
            (hum, "25 % of the signal is hum at 50 Hz"),
            (Trouble::AtMains { duration }, "4.0 s of it at 50 or 60 Hz"),
            (Trouble::Noisy { signal_to_noise_db: 7.4 }, "found 7 dB"),
            (holes, "2 holes with room for 11 pulses, the first at 4.000 s with room for 10"),
            (Trouble::Doubled { edges: 40 }, "40 edges that came again"),
        ] {
            let told = problem("wire.wav", &trouble);
            assert!(told.to_string().contains(expected) && !told.hint.is_empty(), "{told}");
        }
    }
}
