//! A drive against the vehicle's own speed log: find the lag, then the line.

use super::clocks::{Clocks, bring_together, no_common_motion, same_drive};
use super::diagnose;
use super::doubts;
use super::lag::{Settled, follow_drift, settle, with_held};
use super::lines::{Lines, dof};
use super::observe::observe;
use super::swapped::swapped;
use crate::logs::VehicleLog;
use crate::measure::drive::checks::units;
use crate::measure::drive::input::fixes::count;
use crate::measure::drive::input::samples::Samples;
use crate::measure::drive::line::averages::{by_distance, unexplained_u, windows};
use crate::measure::drive::line::fit::{Fit, Observation, fit};
use crate::measure::drive::line::gap_from_log::Carrier;
use crate::measure::drive::line::growth;
use crate::measure::drive::line::offset_mixture::{ChannelPrior, REST_M_PER_S, fit_mixture};
use crate::measure::drive::line::rounding::Rounding;
use crate::measure::drive::line::whiten::whiten;
use crate::measure::drive::rejection::RejectionCause;
use crate::measure::drive::study::Study;
use crate::measure::drive::types::{Doubt, DriveEstimate, MOVING_M_PER_S, OffsetKind, Reads};
use crate::problem::Problem;
use metrology::align::{Lag, Series};
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Speed};

/// What lateness leaves of an offset (m/s for a second): starts and stops do not quite make up for one another. Set from simulated
/// drives with held values and two recorded ones, made to hold theirs for two seconds.
const UNBALANCED_M_PER_S2: f64 = 0.02;
/// Fixes farther apart than this (s) hide what the truck did between them, and a straight line between bends the channel's.
const DIAGNOSED_S: f64 = 10.0;
/// Fewer averages than this do not carry a line.
const WINDOWS_NEEDED: usize = 4;

pub fn against_log(study: &mut Study, log: &VehicleLog) -> Option<DriveEstimate> {
    study.clocks.1 = log.clock;
    study.points.read += log.samples.len();
    let (mut samples, rejected, problem) = Samples::usable(study.log_source, log);
    if samples.step == 0.0 && few_values(&samples.speed) {
        samples.step = Speed::from_km_per_h(1.0).m_per_s();
    }
    study.points.rejected.extend(rejected);
    study.problems.extend(problem);
    if study.problems.iter().any(Problem::is_error) {
        return None;
    }
    if samples.time_s.len() < 3 {
        let found = format!("{} of {} samples", samples.time_s.len(), log.samples.len());
        study.problems.push(Problem::error(
            study.log_source,
            "a vehicle log with at least three usable samples",
            found,
        ));
        return None;
    }
    study.doubts.extend(doubts::channel_stands(study, &samples));
    let clocks = bring_together(study, Series { time_s: &samples.time_s, value: &samples.speed })?;
    let growths = growth::priors(study.conditions.construction);
    let prior = ChannelPrior::of_channel(samples.step, &growths);
    match clocks {
        Clocks::Found(found) => with_lag(study, samples, found, &prior),
        Clocks::Unknown { low_s, high_s } => without_lag(study, &samples, (low_s, high_s), &prior),
    }
}

/// So few different values show no step; a channel with a fine one shows many. It is then taken to be one of whole km/h, as most are.
const FEW_VALUES: usize = 8;

fn few_values(speeds: &[f64]) -> bool {
    let mut seen: Vec<f64> = Vec::with_capacity(FEW_VALUES);
    for speed in speeds {
        if !seen.contains(speed) {
            if seen.len() == FEW_VALUES {
                return false;
            }
            seen.push(*speed);
        }
    }
    true
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

fn with_lag(study: &mut Study, samples: Samples, found: Lag, prior: &ChannelPrior) -> Option<DriveEstimate> {
    let Some(settled) = settle(study, &samples, found, prior) else { return nothing_moving(study) };
    study.problems.extend(same_drive(study, &samples, &settled.line, &settled.observations));
    let (samples, settled) = follow_drift(study, samples, settled, found, prior)?;
    let (samples, settled, clock_lag) = with_held(study, samples, settled, found, prior)?;
    let Settled { lag_s, line: samples_line, observations } = settled;
    study.doubts.extend(doubts::other_drive(&observations, &samples_line));
    if let Some(problem) = swapped(study, &observations, lag_s) {
        study.problems.push(problem);
        study.doubts.push(Doubt::SwappedCoordinates);
    }
    let lines = lines(study, &samples, observations, samples_line, prior);
    let line = lines.line.clone();
    let dof = lines.dof;
    let mut estimate = conclude(study, &samples, &lines, lag_s, 0.0);
    // Without the lag nothing is told apart, nor from fixes between which several speeds were driven.
    if study.truth.interval_s() <= DIAGNOSED_S {
        estimate.diagnosis =
            diagnose::diagnose(&lines.observations, &line, &lines.averages.rows, samples.step);
    }
    estimate.clock_lag = clock_lag;
    let offset_u = line.covariance[(1, 1)].sqrt();
    // At one speed the offset is what was assumed of it, not what was measured.
    estimate.offset = line
        .free
        .map(|_| Measured::symmetric(Speed::from_m_per_s(line.offset), Speed::from_m_per_s(offset_u), dof));
    Some(estimate)
}

/// The line through averages of the samples, or through the samples where there are too few.
fn lines(
    study: &Study,
    samples: &Samples,
    observations: Vec<Observation>,
    samples_line: Fit,
    prior: &ChannelPrior,
) -> Lines {
    let ratio = samples_line.ratio;
    let rounding = Rounding::new(samples.step, &observations);
    let apart_m = study.truth.apart_m();
    let mut windows = windows(&observations, &samples_line.weights, &rounding.shared, samples.step, apart_m);
    rounding.weigh(&mut windows);
    let windows = windows.without_narrow_spread(study.usual_speed().m_per_s());
    let mut unseen = rounding.unseen(&windows);
    unseen.offset_u = unseen.offset_u.hypot(UNBALANCED_M_PER_S2 * samples.refresh_s.unwrap_or(0.0));
    match fit_mixture(&whiten(&windows.rows, study.truth.drift(), ratio), prior, unseen) {
        Some((line, parts)) if windows.rows.len() >= WINDOWS_NEEDED => {
            let dof = dof(line.blocks, 2);
            Lines { dof, line, parts, averages: windows, samples_line, rounding, observations }
        }
        _ => Lines::without_averages(samples_line, observations, rounding, 3),
    }
}

/// Without speed changes the lag does not matter much: how much is found by trying lags over their whole range.
fn without_lag(
    study: &mut Study,
    samples: &Samples,
    (low_s, high_s): (f64, f64),
    prior: &ChannelPrior,
) -> Option<DriveEstimate> {
    const TRIES: usize = 9;
    let tries: Vec<(f64, Fit, Vec<Observation>)> = (0..TRIES)
        .filter_map(|k| {
            let lag_s = low_s + (high_s - low_s) * k as f64 / (TRIES - 1) as f64;
            let observations = observe(study, samples, lag_s, 1.0);
            Some((lag_s, fit(&observations, prior.together(), false)?, observations))
        })
        .collect();
    let centre = 0.5 * (low_s + high_s);
    let spread = deviation(tries.iter().map(|t| ratio_of_sums(&t.2)));
    let nearest = tries.into_iter().min_by(|a, b| (a.0 - centre).abs().total_cmp(&(b.0 - centre).abs()));
    let Some((lag_s, line, observations)) = nearest else { return nothing_moving(study) };
    let (problem, doubt) = no_common_motion(study.source, &observations);
    study.problems.push(problem);
    study.doubts.extend(doubt);
    let lines = lines(study, samples, observations, line, prior);
    Some(conclude(study, samples, &lines, lag_s, spread))
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

fn conclude(
    study: &mut Study,
    samples: &Samples,
    lines: &Lines,
    lag_s: f64,
    lag_spread: f64,
) -> DriveEstimate {
    let Lines { observations, samples_line, rounding, line, .. } = lines;
    let used = samples_line.weights.iter().filter(|w| **w > 0.0).count();
    count(&mut study.points.rejected, RejectionCause::LogOffLine, observations.len() - used);
    let aside = samples.time_s.len() - observations.len();
    count(&mut study.points.rejected, RejectionCause::LogAside, aside);
    study.points.used = used;
    let compared: f64 = observations.iter().map(|o| o.truth * o.share_s).sum();
    let extra = lag_spread.hypot(line.ratio * study.truth.moving_scale_u());
    let mean_speed = compared / observations.iter().map(|o| o.share_s).sum::<f64>().max(f64::MIN_POSITIVE);
    // What the broadest component takes on is explained: it has the line without a prior.
    let own =
        lines.parts.iter().filter(|part| part.kind == OffsetKind::Own).map(|part| part.weight).sum::<f64>();
    let unexplained = (1.0 - own) * unexplained_u(line, samples.step, REST_M_PER_S, mean_speed);
    let held = UNBALANCED_M_PER_S2 * samples.late_s / mean_speed.max(1.0);
    let extra = extra.hypot(held);
    let (ratio, by_offset_kind) = lines.ratio(extra.hypot(unexplained));
    let suspects = units::problems(study.source, line.ratio, ratio.standard_uncertainty.plain());
    study.problems.extend(suspects);
    if units::is_suspect(line.ratio) {
        study.doubts.push(Doubt::Unit { ratio: line.ratio });
    }
    let usual_m_per_s = study.usual_speed().m_per_s();
    Carrier { samples, lag_s, line, dof: lines.dof, usual_m_per_s }.bridge(&mut study.truth, observations);
    let mut estimate = study.finish(Reads::Channel);
    estimate.by_offset_kind = by_offset_kind;
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
