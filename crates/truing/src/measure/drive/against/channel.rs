//! A drive against the vehicle's own speed log: find the lag, then the line.

use super::clocks::{Clocks, bring_together, no_common_motion, same_drive};
use super::diagnose;
use super::swapped::warn_of_swapped;
use crate::logs::VehicleLog;
use crate::measure::drive::checks::units;
use crate::measure::drive::input::fixes::count;
use crate::measure::drive::input::samples::{Samples, THIN};
use crate::measure::drive::line::averages::{Averages, by_distance, unexplained_u, windows};
use crate::measure::drive::line::clock_drift;
use crate::measure::drive::line::fit::{Fit, Observation, Unseen, fit, fit_near};
use crate::measure::drive::line::gap_from_log::Carrier;
use crate::measure::drive::line::offset_mixture::{
    self, Component, Part, fit_mixture, interval_95, together,
};
use crate::measure::drive::line::rounding::Rounding;
use crate::measure::drive::line::sample_hold;
use crate::measure::drive::line::whiten::whiten;
use crate::measure::drive::study::Study;
use crate::measure::drive::types::{DriveEstimate, MOVING_M_PER_S, Reads};
use crate::problem::Problem;
use metrology::align::{Lag, Series};
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Ratio, Speed};

/// A lag less sure than this (s) is not reported.
const LAG_U_S: f64 = 3.0;
/// Share of the time between samples by which taking them for straight lines between moves the lag (simulated drives).
const LAG_SHARE: f64 = 0.01;
/// How late a sample may be beyond the common lag (s): polling and filtering in the vehicle (judgement).
const TIMING_S: f64 = 0.3;
/// What lateness leaves of an offset (m/s for a second): starts and stops do not quite make up for one another. Set from simulated
/// drives with held values and two recorded ones, made to hold theirs for two seconds.
const UNBALANCED_M_PER_S2: f64 = 0.02;
/// Noise of a channel beyond its step (m/s), a floor.
const NOISE_M_PER_S: f64 = 0.03;
/// Fewer averages than this do not carry a line.
const WINDOWS_NEEDED: usize = 4;
/// How far the log is moved to see what its lag makes of it (s): less than a start takes.
const SENSE_S: f64 = 0.3;
/// Refits while the lag settles, and the step (s) below which it has.
const LAG_ROUNDS: usize = 8;
const LAG_SETTLED_S: f64 = 1e-3;

pub fn against_log(study: &mut Study, log: &VehicleLog) -> Option<DriveEstimate> {
    study.clocks.1 = log.clock;
    study.points.read += log.samples.len();
    let (samples, rejected, problem) = Samples::usable(study.source, log);
    study.points.rejected.extend(rejected);
    study.problems.extend(problem);
    if study.problems.iter().any(Problem::is_error) {
        return None;
    }
    if samples.time_s.len() < 3 {
        let found = format!("{} of {} samples", samples.time_s.len(), log.samples.len());
        study.problems.push(Problem::error(
            study.source,
            "a vehicle log with at least three usable samples",
            found,
        ));
        return None;
    }
    let clocks = bring_together(study, Series { time_s: &samples.time_s, value: &samples.speed })?;
    let components = offset_mixture::of_channel(samples.step);
    match clocks {
        Clocks::Found(found) => with_lag(study, samples, found, &components),
        Clocks::Unknown { low_s, high_s } => without_lag(study, &samples, (low_s, high_s), &components),
    }
}

/// The samples beside the truth when the vehicle's clock is `lag_s` ahead of the track's.
fn observe(study: &Study, samples: &Samples, lag_s: f64, ratio: f64) -> Vec<Observation> {
    let mut observations = Vec::with_capacity(samples.time_s.len());
    observe_into(&mut observations, study, samples, lag_s, ratio);
    observations
}

/// The same in the room of earlier ones.
fn observe_into(
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
            truth_rate,
            sigma: variance.sqrt(),
            own: own.sqrt(),
            share_s: 0.5 * (before.min(longest_s) + after.min(longest_s)),
        })
    }));
}

fn nothing_moving(study: &mut Study) -> Option<DriveEstimate> {
    let moving = study.truth.moving_s(MOVING_M_PER_S);
    study.problems.push(
        Problem::error(
            study.source,
            format!("samples of the vehicle log while the track moves faster than {MOVING_M_PER_S} m/s"),
            format!("too few ({moving:.0} s of the track are that fast)"),
        )
        .hint("drive at steady road speeds for several minutes with both logs running"),
    );
    None
}

/// What the samples say when the lag has settled: the lag, the line through all of them and the samples beside the truth.
struct Settled {
    lag_s: f64,
    line: Fit,
    observations: Vec<Observation>,
}

/// The line through all samples at the lag that fits best; nothing when nothing moves.
fn settle(study: &Study, samples: &Samples, found: Lag, components: &[Component]) -> Option<Settled> {
    let begin = samples.thinned().and_then(|thin| approach(study, &thin, found, None, components));
    let found = begin.as_ref().map_or(found, |begin| Lag { lag_s: begin.lag_s, ..found });
    approach(study, samples, found, begin.map(|begin| begin.line), components)
}

fn approach(
    study: &Study,
    samples: &Samples,
    found: Lag,
    mut near: Option<Fit>,
    components: &[Component],
) -> Option<Settled> {
    let mut lag_s = found.lag_s;
    let mut observations = Vec::with_capacity(samples.time_s.len());
    for _ in 0..LAG_ROUNDS {
        let ratio = near.as_ref().map_or(1.0, |line| line.ratio);
        observe_into(&mut observations, study, samples, lag_s, ratio);
        let line = fit_near(&observations, together(components), true, near.as_ref())?;
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
fn follow_drift(
    study: &mut Study,
    samples: Samples,
    settled: Settled,
    found: Lag,
    components: &[Component],
) -> Option<(Samples, Settled)> {
    let every = settled.observations.len().div_ceil(THIN);
    let thin: Vec<Observation> = settled.observations.iter().step_by(every).copied().collect();
    let Some(drift) = clock_drift::of(&thin, components) else { return Some((samples, settled)) };
    drop(thin);
    study.problems.push(drift.problem(study.source));
    let samples = Samples { time_s: drift.corrected(&samples.time_s), ..samples };
    let settled = settle(study, &samples, Lag { lag_s: settled.lag_s, ..found }, components)?;
    Some((samples, settled))
}

/// What the samples say when values were held: samples that count for less while the speed changes, and the clock lag by the
/// values that are new.
fn with_held(
    study: &mut Study,
    samples: Samples,
    settled: Settled,
    found: Lag,
    components: &[Component],
) -> Option<(Samples, Settled, Option<Measured<Duration>>)> {
    let Some(held) = sample_hold::of(&study.truth, &samples, settled.lag_s, settled.line.ratio) else {
        let lag = clock_lag(study, &samples, &settled, 0.0, components);
        return Some((samples, settled, lag));
    };
    study.problems.push(held.problem(study.source));
    let found = Lag { lag_s: settled.lag_s, ..found };
    let fresh = samples.without(&held);
    let lag = settle(study, &fresh, found, components)
        .and_then(|new| clock_lag(study, &fresh, &new, held.late_s, components));
    let samples = Samples { late_s: held.late_s, ..samples };
    let settled = settle(study, &samples, found, components)?;
    Some((samples, settled, lag))
}

/// The lag between the clocks with its uncertainty; nothing where that says nothing.
fn clock_lag(
    study: &Study,
    samples: &Samples,
    settled: &Settled,
    late_s: f64,
    components: &[Component],
) -> Option<Measured<Duration>> {
    let Settled { lag_s, line, .. } = settled;
    let by_scatter =
        line.covariance[(2, 2)].sqrt() / lag_sensitivity(study, samples, *lag_s, line, components);
    let between_s = LAG_SHARE * samples.interval_s.max(study.truth.interval_s());
    // When within a hold its value was measured is not known: anywhere, evenly likely (GUM 4.3.7).
    let u = by_scatter.hypot(between_s).hypot(late_s / 3f64.sqrt());
    let dof = (line.lag_blocks - 1.0).max(1.0);
    let lag = || Measured::symmetric(Duration::from_s(*lag_s), Duration::from_s(u), dof);
    (u < LAG_U_S).then(lag)
}

fn with_lag(
    study: &mut Study,
    samples: Samples,
    found: Lag,
    components: &[Component],
) -> Option<DriveEstimate> {
    let Some(settled) = settle(study, &samples, found, components) else { return nothing_moving(study) };
    study.problems.extend(same_drive(study, &samples, &settled.line, &settled.observations));
    let (samples, settled) = follow_drift(study, samples, settled, found, components)?;
    let (samples, settled, clock_lag) = with_held(study, samples, settled, found, components)?;
    let Settled { lag_s, line: samples_line, observations } = settled;
    warn_of_swapped(study, &observations, lag_s);
    let ratio = samples_line.ratio;
    let rounding = Rounding::of(samples.step, &observations);
    let apart_m = study.truth.apart_m();
    let mut windows = windows(&observations, &samples_line.weights, &rounding.shared, samples.step, apart_m);
    rounding.weigh(&mut windows);
    let unseen = rounding.unseen(&windows);
    let lines = match fit_mixture(&whiten(&windows.rows, study.truth.drift(), ratio), components, unseen) {
        Some((line, parts)) if windows.rows.len() >= WINDOWS_NEEDED => {
            let dof = dof(line.blocks, 2);
            Lines { dof, line, parts, averages: windows, samples_line, rounding, observations }
        }
        _ => Lines::without_averages(samples_line, observations, rounding, 3),
    };
    let line = lines.line.clone();
    let dof = lines.dof;
    let mut estimate = conclude(study, &samples, &lines, lag_s, 0.0);
    estimate.clock_lag = clock_lag;
    let offset_u = line.covariance[(1, 1)].sqrt();
    // At one speed the offset is what was assumed of it, not what was measured.
    estimate.offset = line
        .free
        .map(|_| Measured::symmetric(Speed::from_m_per_s(line.offset), Speed::from_m_per_s(offset_u), dof));
    Some(estimate)
}

/// By how much the lag that is found moves when the log is moved by a second: 1 if the rates of change were the truth's.
/// They are smoothed, and the truth's error is in them too; what the scatter of the lag is made of has to be divided by this.
fn lag_sensitivity(
    study: &Study,
    samples: &Samples,
    lag_s: f64,
    line: &Fit,
    components: &[Component],
) -> f64 {
    let thin = samples.thinned();
    let samples = thin.as_ref().unwrap_or(samples);
    let step = |lag_s: f64| {
        let observations = observe(study, samples, lag_s, line.ratio);
        fit(&observations, together(components), true).map(|line| line.lag_step)
    };
    let (before, after) = (step(lag_s - SENSE_S), step(lag_s + SENSE_S));
    let moved = before.zip(after).map_or(1.0, |(before, after)| (before - after) / (2.0 * SENSE_S));
    moved.clamp(0.5, 2.0)
}

/// The line through single samples, which tells the lag and the samples that are off, and the line that counts.
struct Lines {
    observations: Vec<Observation>,
    samples_line: Fit,
    rounding: Rounding,
    averages: Averages,
    line: Fit,
    /// The line's ratio under each way the offset may come about.
    parts: Vec<Part>,
    dof: f64,
}

impl Lines {
    fn without_averages(
        samples_line: Fit,
        observations: Vec<Observation>,
        rounding: Rounding,
        parameters: usize,
    ) -> Lines {
        let dof = dof(samples_line.blocks, parameters);
        let line = samples_line.clone();
        let averages = Averages { rows: observations.clone(), shared: rounding.shared.clone() };
        let parts = vec![Part {
            weight: 1.0,
            ratio: line.ratio,
            u: line.covariance[(0, 0)].sqrt(),
            dof,
            offset_u: offset_mixture::REST_M_PER_S,
        }];
        Lines { dof, line, parts, averages, samples_line, rounding, observations }
    }

    /// The ratio with its interval; `extra` and what long stretches share are added to every part.
    fn ratio(&self, extra: f64) -> Measured<Ratio> {
        let widen = |part: &Part| {
            let shared = self.rounding.of_slope(&self.averages, self.line.inflation, part.offset_u);
            part.wider(shared.hypot(extra))
        };
        let parts: Vec<Part> = self.parts.iter().map(widen).collect();
        let apart = |p: &Part| p.weight * (p.u.powi(2) + (p.ratio - self.line.ratio).powi(2));
        let u = parts.iter().map(apart).sum::<f64>().sqrt();
        let (low, high) = interval_95(&parts);
        let scatter = self.parts.iter().map(|p| p.weight * p.u.powi(2)).sum::<f64>().sqrt();
        Measured {
            value: Ratio::from_plain(self.line.ratio),
            standard_uncertainty: Ratio::from_plain(u),
            dof: self.dof * (u / scatter).powi(4),
            low_95: Ratio::from_plain(low),
            high_95: Ratio::from_plain(high),
        }
    }
}

/// Without speed changes the lag does not matter much: how much is found by trying lags over their whole range.
fn without_lag(
    study: &mut Study,
    samples: &Samples,
    (low_s, high_s): (f64, f64),
    components: &[Component],
) -> Option<DriveEstimate> {
    const TRIES: usize = 9;
    let tries: Vec<(f64, Fit, Vec<Observation>)> = (0..TRIES)
        .filter_map(|k| {
            let lag_s = low_s + (high_s - low_s) * k as f64 / (TRIES - 1) as f64;
            let observations = observe(study, samples, lag_s, 1.0);
            Some((lag_s, fit_mixture(&observations, components, Unseen::NOTHING)?.0, observations))
        })
        .collect();
    let centre = 0.5 * (low_s + high_s);
    let spread =
        deviation(tries.iter().map(|t| t.1.ratio)).max(deviation(tries.iter().map(|t| ratio_of_sums(&t.2))));
    let nearest = tries.into_iter().min_by(|a, b| (a.0 - centre).abs().total_cmp(&(b.0 - centre).abs()));
    let Some((lag_s, line, observations)) = nearest else { return nothing_moving(study) };
    study.problems.push(no_common_motion(study.source, &observations));
    let rounding = Rounding::of(samples.step, &observations);
    Some(conclude(study, samples, &Lines::without_averages(line, observations, rounding, 1), lag_s, spread))
}

fn deviation(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let count = values.clone().count().max(1) as f64;
    let mean = values.clone().sum::<f64>() / count;
    (values.map(|value| (value - mean).powi(2)).sum::<f64>() / count).sqrt()
}

fn ratio_of_sums(observations: &[Observation]) -> f64 {
    let sum = |of: fn(&Observation) -> f64| observations.iter().map(|o| of(o) * o.share_s).sum::<f64>();
    sum(|o| o.indicated) / sum(|o| o.truth).max(f64::MIN_POSITIVE)
}

fn dof(blocks: usize, parameters: usize) -> f64 {
    (blocks.saturating_sub(parameters)).max(1) as f64
}

fn conclude(
    study: &mut Study,
    samples: &Samples,
    lines: &Lines,
    lag_s: f64,
    lag_spread: f64,
) -> DriveEstimate {
    let Lines { observations, samples_line, averages, rounding, line, .. } = lines;
    let used = samples_line.weights.iter().filter(|w| **w > 0.0).count();
    count(&mut study.points.rejected, "vehicle log: far from the line", observations.len() - used);
    let aside = samples.time_s.len() - observations.len();
    count(&mut study.points.rejected, "vehicle log: too slow, or outside the track", aside);
    study.points.used = used;
    let compared: f64 = observations.iter().map(|o| o.truth * o.share_s).sum();
    let extra = lag_spread.hypot(line.ratio * study.truth.moving_scale_u());
    let mean_speed = compared / observations.iter().map(|o| o.share_s).sum::<f64>().max(f64::MIN_POSITIVE);
    // What the broadest component takes on is explained: it has the line without a prior.
    let own =
        lines.parts.split_last().filter(|(_, others)| !others.is_empty()).map_or(0.0, |(own, _)| own.weight);
    let unexplained =
        (1.0 - own) * unexplained_u(line, samples.step, offset_mixture::REST_M_PER_S, mean_speed);
    let held = UNBALANCED_M_PER_S2 * samples.late_s / mean_speed.max(1.0);
    let extra = extra.hypot(held);
    let ratio = lines.ratio(extra.hypot(unexplained));
    let suspects = units::problems(study.source, line.ratio, ratio.standard_uncertainty.plain());
    study.problems.extend(suspects);
    Carrier { samples, lag_s, line, dof: lines.dof }.bridge(&mut study.truth, observations);
    let mut estimate = study.finish(Reads::Channel);
    estimate.diagnosis = diagnose::diagnose(samples_line, line, &averages.rows, samples.step);
    estimate.reading_ratio = Some(ratio);
    estimate.ratio_offset_correlation = line.covariance[(0, 1)]
        / (ratio.standard_uncertainty.plain() * line.covariance[(1, 1)].sqrt()).max(f64::MIN_POSITIVE);
    estimate.ratio_by_distance =
        by_distance(observations, &samples_line.weights, extra, rounding.by_distance(), lines.dof);
    estimate.compared_distance = Length::from_m(compared);
    let start = study.truth.time_s.first().copied().unwrap_or(0.0);
    let trace = samples.time_s.iter().zip(&samples.speed);
    estimate.trace.indicated =
        trace.map(|(t, v)| (Duration::from_s(t - lag_s - start), Speed::from_m_per_s(*v))).collect();
    estimate
}
