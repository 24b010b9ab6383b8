//! The lag between the vehicle's clock and the track's, refined below the sample interval, and what it takes to be sure of it.

use super::observe::{observe, observe_into};
use crate::measure::drive::input::samples::{Samples, THIN};
use crate::measure::drive::line::clock_drift;
use crate::measure::drive::line::fit::{Fit, Observation, fit, fit_near};
use crate::measure::drive::line::offset_mixture::ChannelPrior;
use crate::measure::drive::line::sample_hold;
use crate::measure::drive::study::Study;
use metrology::align::Lag;
use metrology::measured::Measured;
use metrology::quantity::Duration;

/// A lag less sure than this (s) is not reported.
const LAG_U_S: f64 = 3.0;
/// Share of the time between samples by which taking them for straight lines between moves the lag (simulated drives).
const LAG_SHARE: f64 = 0.01;
/// How far the log is moved to see what its lag makes of it (s): less than a start takes.
const SENSE_S: f64 = 0.3;
/// Refits while the lag settles, and the step (s) below which it has.
const LAG_ROUNDS: usize = 8;
const LAG_SETTLED_S: f64 = 1e-3;

/// What the samples say when the lag has settled: the lag, the line through all of them and the samples beside the truth.
pub struct Settled {
    pub lag_s: f64,
    pub line: Fit,
    pub observations: Vec<Observation>,
}

/// The line through all samples at the lag that fits best; nothing when nothing moves.
pub fn settle(study: &Study, samples: &Samples, found: Lag, prior: &ChannelPrior) -> Option<Settled> {
    let begin = samples.thinned().and_then(|thin| approach(study, &thin, found, None, prior));
    let found = begin.as_ref().map_or(found, |begin| Lag { lag_s: begin.lag_s, ..found });
    approach(study, samples, found, begin.map(|begin| begin.line), prior)
}

fn approach(
    study: &Study,
    samples: &Samples,
    found: Lag,
    mut near: Option<Fit>,
    prior: &ChannelPrior,
) -> Option<Settled> {
    let mut lag_s = found.lag_s;
    let mut observations = Vec::with_capacity(samples.time_s.len());
    for _ in 0..LAG_ROUNDS {
        let ratio = near.as_ref().map_or(1.0, |line| line.ratio);
        observe_into(&mut observations, study, samples, lag_s, ratio);
        let line = fit_near(&observations, prior.together(), true, near.as_ref())?;
        let step = line.lag_step.clamp(-2.0 * found.step_s, 2.0 * found.step_s);
        lag_s += step;
        near = Some(line);
        if step.abs() < LAG_SETTLED_S {
            break;
        }
    }
    Some(Settled { lag_s, line: near?, observations })
}

/// Brings the vehicle's times to the rate of the track's clock where the two drift apart.
pub fn follow_drift(
    study: &mut Study,
    samples: Samples,
    settled: Settled,
    found: Lag,
    prior: &ChannelPrior,
) -> Option<(Samples, Settled)> {
    let every = settled.observations.len().div_ceil(THIN);
    let thin: Vec<Observation> = settled.observations.iter().step_by(every).copied().collect();
    let Some(drift) = clock_drift::find(&thin, prior.together()) else { return Some((samples, settled)) };
    drop(thin);
    study.problems.push(drift.problem(study.log_source));
    let samples = Samples { time_s: drift.corrected(&samples.time_s), ..samples };
    let settled = settle(study, &samples, Lag { lag_s: settled.lag_s, ..found }, prior)?;
    Some((samples, settled))
}

/// What the samples say when values were held: samples that count for less while the speed changes, and the clock lag by the
/// values that are new.
pub fn with_held(
    study: &mut Study,
    samples: Samples,
    settled: Settled,
    found: Lag,
    prior: &ChannelPrior,
) -> Option<(Samples, Settled, Option<Measured<Duration>>)> {
    let Some(held) = sample_hold::find(&study.truth, &samples, settled.lag_s, settled.line.ratio) else {
        let lag = clock_lag(study, &samples, &settled, 0.0, prior);
        return Some((samples, settled, lag));
    };
    study.problems.push(held.problem(study.log_source));
    let found = Lag { lag_s: settled.lag_s, ..found };
    let fresh = samples.without(&held);
    let lag = settle(study, &fresh, found, prior)
        .and_then(|new| clock_lag(study, &fresh, &new, held.late_s, prior));
    let samples = Samples { late_s: held.late_s, ..samples };
    let settled = settle(study, &samples, found, prior)?;
    Some((samples, settled, lag))
}

/// The lag between the clocks with its uncertainty; nothing where that says nothing.
fn clock_lag(
    study: &Study,
    samples: &Samples,
    settled: &Settled,
    late_s: f64,
    prior: &ChannelPrior,
) -> Option<Measured<Duration>> {
    let Settled { lag_s, line, .. } = settled;
    let by_scatter = line.covariance[(2, 2)].sqrt() / lag_sensitivity(study, samples, *lag_s, line, prior);
    let between_s = LAG_SHARE * samples.interval_s.max(study.truth.interval_s());
    // When within a hold its value was measured is not known: anywhere, evenly likely (GUM 4.3.7).
    let u = by_scatter.hypot(between_s).hypot(late_s / 3f64.sqrt()).hypot(samples.row_late_u_s());
    let dof = (line.lag_blocks - 1.0).max(1.0);
    let lag = || Measured::symmetric(Duration::from_s(*lag_s), Duration::from_s(u), dof);
    (u < LAG_U_S).then(lag)
}

/// By how much the lag that is found moves when the log is moved by a second: 1 if the rates of change were the truth's.
/// They are smoothed, and the truth's error is in them too; what the scatter of the lag is made of has to be divided by this.
fn lag_sensitivity(study: &Study, samples: &Samples, lag_s: f64, line: &Fit, prior: &ChannelPrior) -> f64 {
    let thin = samples.thinned();
    let samples = thin.as_ref().unwrap_or(samples);
    let step = |lag_s: f64| {
        let observations = observe(study, samples, lag_s, line.ratio);
        fit(&observations, prior.together(), true).map(|line| line.lag_step)
    };
    let (before, after) = (step(lag_s - SENSE_S), step(lag_s + SENSE_S));
    let moved = before.zip(after).map_or(1.0, |(before, after)| (before - after) / (2.0 * SENSE_S));
    moved.clamp(0.5, 2.0)
}
