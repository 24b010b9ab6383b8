//! The samples of a vehicle's log beside the truth at the same moments.

use crate::measure::drive::input::samples::Samples;
use crate::measure::drive::line::fit::Observation;
use crate::measure::drive::study::Study;
use crate::measure::drive::types::MOVING_M_PER_S;

/// How late a sample may be beyond the common lag (s): polling and filtering in the vehicle (judgement).
const TIMING_S: f64 = 0.3;
/// Noise of a channel beyond its step (m/s), a floor.
const NOISE_M_PER_S: f64 = 0.03;

/// The samples beside the truth when the vehicle's clock is `lag_s` ahead of the track's.
pub fn observe(study: &Study, samples: &Samples, lag_s: f64, ratio: f64) -> Vec<Observation> {
    let mut observations = Vec::with_capacity(samples.time_s.len());
    observe_into(&mut observations, study, samples, lag_s, ratio);
    observations
}

/// The same in the room of earlier ones.
pub fn observe_into(
    observations: &mut Vec<Observation>,
    study: &Study,
    samples: &Samples,
    lag_s: f64,
    ratio: f64,
) {
    // A held value is anything from new to twice the mean lateness old (GUM 4.3.7).
    let timing_s = f64::hypot(TIMING_S, samples.interval_s.min(5.0) / 12f64.sqrt())
        .hypot(2.0 * samples.late_s / 3f64.sqrt());
    let longest_s = 3.0 * samples.interval_s.max(1.0);
    let rounding = samples.step * samples.step / 12.0;
    let times = &samples.time_s;
    let usual = study.usual_speed().m_per_s();
    let mut near = 0;
    observations.clear();
    observations.extend((0..times.len()).filter_map(|k| {
        let (truth, truth_rate, u) = study.truth.at(times[k] - lag_s, &mut near)?;
        let before = if k > 0 { times[k] - times[k - 1] } else { 0.0 };
        let after = times.get(k + 1).map_or(0.0, |next| next - times[k]);
        let own = rounding + NOISE_M_PER_S.powi(2) + (ratio * truth_rate * timing_s).powi(2);
        let variance = own + (ratio * u).powi(2);
        (truth > MOVING_M_PER_S).then_some(Observation {
            time_s: times[k],
            indicated: samples.speed[k],
            truth,
            one: 1.0,
            growth: truth * (truth - usual),
            truth_rate,
            sigma: variance.sqrt(),
            own: own.sqrt(),
            share_s: 0.5 * (before.min(longest_s) + after.min(longest_s)),
        })
    }));
}
