//! A drive against the vehicle's own speed log: find the lag, then the line.

use super::clean::{count, usual_interval_s};
use super::fit::{Fit, Observation, fit};
use super::humps::{self, Hump, fit_humps, together};
use super::truth::MOVING_SCALE_U;
use super::{DriveEstimate, MOVING_M_PER_S, Reads, Study, diagnose};
use crate::logs::{Clock, VehicleLog};
use crate::problem::Problem;
use metrology::align::{Lag, Series, lag};
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Ratio, Speed};

/// Clocks that both show the date are taken to agree within this (s); a hand-set clock is minutes off, not hours.
const CLOCKS_WITHIN_S: f64 = 120.0;
/// Local times differ by no more than this (h): UTC-12 to UTC+14.
const ZONES_APART_H: f64 = 26.0;
/// Least common time (s), and share of the shorter log, for a lag to be believed.
const OVERLAP_S: f64 = 30.0;
const OVERLAP_SHARE: f64 = 0.3;
/// Log-likelihood gain and explained share below which the speeds show no common motion to align by.
const SCORE_NEEDED: f64 = 12.0;
const EXPLAINED_NEEDED: f64 = 0.5;
/// A rival lag within this of the best score cannot be told from it.
const RIVAL_WITHIN: f64 = 6.0;
/// A lag less sure than this (s) is not reported.
const LAG_U_S: f64 = 3.0;
/// How late a sample may be beyond the common lag (s): polling and filtering in the vehicle (judgement).
const TIMING_S: f64 = 0.3;
/// Noise of a channel beyond its step (m/s), a floor.
const NOISE_M_PER_S: f64 = 0.03;
/// Span over which both channels are averaged for the line (s): longer than receivers' and vehicles' filters, shorter
/// than a usual stretch at one speed.
const WINDOW_S: f64 = 10.0;
/// Fewer averages than this do not carry a line.
const WINDOWS_NEEDED: usize = 4;
/// Refits while the lag settles.
const LAG_ROUNDS: usize = 8;

struct Samples {
    time_s: Vec<f64>,
    speed: Vec<f64>,
    step: f64,
    interval_s: f64,
}

/// How the clocks were brought together.
enum Clocks {
    /// A common motion fixed the lag.
    Found(Lag),
    /// No motion to align by: the lag may be anything within these (s).
    Unknown { low_s: f64, high_s: f64 },
}

pub(super) fn against_log(study: &mut Study, log: &VehicleLog) -> Option<DriveEstimate> {
    study.clocks.1 = log.clock;
    study.points.read += log.samples.len();
    let samples = usable(study, log);
    if samples.time_s.len() < 3 {
        let found = format!("{} of {} samples", samples.time_s.len(), log.samples.len());
        study.problems.push(Problem::error(
            study.source,
            "a vehicle log with at least three usable samples",
            found,
        ));
        return None;
    }
    let clocks = bring_together(study, &samples)?;
    let humps = humps::of_channel(samples.step);
    match clocks {
        Clocks::Found(found) => with_lag(study, &samples, found, &humps),
        Clocks::Unknown { low_s, high_s } => without_lag(study, &samples, (low_s, high_s), &humps),
    }
}

fn usable(study: &mut Study, log: &VehicleLog) -> Samples {
    let (mut time_s, mut speed): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
    let mut backward = 0;
    for sample in &log.samples {
        if time_s.last().is_some_and(|last| sample.time.s() <= *last) {
            backward += 1;
            continue;
        }
        time_s.push(sample.time.s());
        speed.push(sample.speed.m_per_s());
    }
    count(&mut study.points.rejected, "vehicle log: time stands still or runs backward", backward);
    let interval_s = usual_interval_s(time_s.iter().copied());
    Samples { time_s, speed, step: log.step.map_or(0.0, Speed::m_per_s), interval_s }
}

fn bring_together(study: &mut Study, samples: &Samples) -> Option<Clocks> {
    let reference = Series { time_s: &study.truth.time_s, value: &study.truth.speed_m_per_s };
    let other = Series { time_s: &samples.time_s, value: &samples.speed };
    let (from, to) = ends(reference.time_s);
    let (other_from, other_to) = ends(other.time_s);
    let shorter = (to - from).min(other_to - other_from);
    let absolute = study.clocks == (Clock::Absolute, Clock::Absolute);
    let (low_s, high_s, overlap_s) = if absolute {
        (-CLOCKS_WITHIN_S, CLOCKS_WITHIN_S, OVERLAP_S.min(0.5 * shorter))
    } else {
        (f64::NEG_INFINITY, f64::INFINITY, OVERLAP_S.min(0.5 * shorter).max(OVERLAP_SHARE * shorter))
    };
    let met = to.min(other_to + high_s) - from.max(other_from + low_s);
    if absolute && met < overlap_s {
        study.problems.push(apart(study.source, (from, to), (other_from, other_to)));
        return None;
    }
    let found = lag(reference, other, low_s, high_s, overlap_s);
    let believed = found.filter(|l| l.score >= SCORE_NEEDED && l.explained >= EXPLAINED_NEEDED);
    if let Some(found) = believed {
        if found.rival_score.is_some_and(|rival| rival > found.score - RIVAL_WITHIN) {
            study.problems.push(
                Problem::warning(study.source, "one lag that fits best", "two lags that fit about equally")
                    .hint("the clock lag may be the wrong one of the two; a drive with more speed changes settles it"),
            );
        }
        return Some(Clocks::Found(found));
    }
    let free = if absolute { (low_s, high_s) } else { unaligned(from, to, other_from, other_to) };
    Some(Clocks::Unknown { low_s: free.0, high_s: free.1 })
}

fn ends(time_s: &[f64]) -> (f64, f64) {
    (time_s.first().copied().unwrap_or(0.0), time_s.last().copied().unwrap_or(0.0))
}

/// Lags between "starts together" and "ends together" for logs without a date.
fn unaligned(from: f64, to: f64, other_from: f64, other_to: f64) -> (f64, f64) {
    let (a, b) = (other_from - from, other_to - to);
    (a.min(b), a.max(b))
}

fn apart(source: &str, track: (f64, f64), log: (f64, f64)) -> Problem {
    let shorter = (track.1 - track.0).min(log.1 - log.0);
    // Zones differ by whole hours, some by half ones.
    let hours = ((log.0 + log.1 - track.0 - track.1) / 3600.0).round() / 2.0;
    let shifted = track.1.min(log.1 - 3600.0 * hours) - track.0.max(log.0 - 3600.0 * hours);
    let away = if log.0 > track.1 { log.0 - track.1 } else { track.0 - log.1 };
    let problem = Problem::error(
        source,
        "a track and a vehicle log that overlap in time",
        format!(
            "the vehicle log {} the track, {:.0} s away",
            if log.0 > track.1 { "after" } else { "before" },
            away
        ),
    );
    if hours != 0.0 && hours.abs() <= ZONES_APART_H && shifted > 0.5 * shorter {
        let moved = if hours > 0.0 { "earlier" } else { "later" };
        problem.hint(format!(
            "they would overlap if the vehicle log's clock were {} h {moved}: is one of them in local time? give the log's times with their zone",
            hours.abs()
        ))
    } else {
        problem.hint("check that both files are from the same drive")
    }
}

/// The samples beside the truth when the vehicle's clock is `lag_s` ahead of the track's.
fn observe(study: &Study, samples: &Samples, lag_s: f64, ratio: f64) -> Vec<Observation> {
    let timing_s = f64::hypot(TIMING_S, samples.interval_s.min(5.0) / 12f64.sqrt());
    let longest_s = 3.0 * samples.interval_s.max(1.0);
    let rounding = samples.step * samples.step / 12.0;
    let times = &samples.time_s;
    (0..times.len())
        .filter_map(|k| {
            let (truth, truth_rate, u) = study.truth.at(times[k] - lag_s)?;
            let before = if k > 0 { times[k] - times[k - 1] } else { 0.0 };
            let after = times.get(k + 1).map_or(0.0, |next| next - times[k]);
            let variance = rounding
                + NOISE_M_PER_S.powi(2)
                + (ratio * u).powi(2)
                + (ratio * truth_rate * timing_s).powi(2);
            (truth > MOVING_M_PER_S).then_some(Observation {
                time_s: times[k],
                indicated: samples.speed[k],
                truth,
                truth_rate,
                sigma: variance.sqrt(),
                share_s: 0.5 * (before.min(longest_s) + after.min(longest_s)),
            })
        })
        .collect()
}

/// Averages over [`WINDOW_S`], samples off the line left out.
///
/// The error of a speed made of positions falls with the time it is averaged over while the driver's changes of speed
/// stay: a line through averages is not flattened by that error as a line through single samples is. Held and late
/// samples average out as well.
fn windows(observations: &[Observation], weights: &[f64], step: f64) -> Vec<Observation> {
    let mut windows: Vec<Observation> = Vec::new();
    let mut open: Vec<&Observation> = Vec::new();
    let kept = observations.iter().zip(weights).filter(|(_, w)| **w > 0.0).map(|(o, _)| o);
    for o in kept {
        if open.first().is_some_and(|first| o.time_s - first.time_s >= WINDOW_S) {
            windows.extend(window(&open, step));
            open.clear();
        }
        open.push(o);
    }
    windows.extend(window(&open, step));
    windows
}

fn window(open: &[&Observation], step: f64) -> Option<Observation> {
    let share_s: f64 = open.iter().map(|o| o.share_s).sum();
    if share_s < 0.3 * WINDOW_S {
        return None;
    }
    let mean = |get: fn(&Observation) -> f64| open.iter().map(|o| get(o) * o.share_s).sum::<f64>() / share_s;
    // Neighbouring samples err alike: three of them count as one. One rounding error may last the whole window.
    let alike = (open.len() as f64 / 3.0).max(1.0);
    let variance = mean(|o| o.sigma * o.sigma) / alike + step * step / 24.0;
    Some(Observation {
        time_s: mean(|o| o.time_s),
        indicated: mean(|o| o.indicated),
        truth: mean(|o| o.truth),
        truth_rate: mean(|o| o.truth_rate),
        sigma: variance.sqrt(),
        share_s,
    })
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

fn with_lag(study: &mut Study, samples: &Samples, found: Lag, humps: &[Hump]) -> Option<DriveEstimate> {
    let mut lag_s = found.lag_s;
    let mut ratio = 1.0;
    let mut fitted = None;
    for _ in 0..LAG_ROUNDS {
        let observations = observe(study, samples, lag_s, ratio);
        let Some(line) = fit(&observations, together(humps), true) else { return nothing_moving(study) };
        ratio = line.ratio;
        let step = line.lag_step.clamp(-2.0 * found.step_s, 2.0 * found.step_s);
        lag_s += step;
        fitted = Some((line, observations));
        if step.abs() < 1e-3 {
            break;
        }
    }
    let (samples_line, observations) = fitted?;
    let lag_u = samples_line.covariance[(2, 2)].sqrt();
    let windows = windows(&observations, &samples_line.weights, samples.step);
    let lines = match fit_humps(&windows, humps) {
        Some(line) if windows.len() >= WINDOWS_NEEDED => {
            Lines { dof: dof(line.blocks, 2), line, averages: windows, samples_line, observations }
        }
        _ => Lines::without_averages(samples_line, observations, 3),
    };
    let line = lines.line.clone();
    let dof = lines.dof;
    let mut estimate = conclude(study, samples, &lines, lag_s, 0.0);
    if lag_u < LAG_U_S {
        let lag = Measured::symmetric(Duration::from_s(lag_s), Duration::from_s(lag_u), dof);
        estimate.clock_lag = Some(lag);
    }
    let offset_u = line.covariance[(1, 1)].sqrt();
    // At one speed the offset is what was assumed of it, not what was measured.
    estimate.offset = line
        .free
        .map(|_| Measured::symmetric(Speed::from_m_per_s(line.offset), Speed::from_m_per_s(offset_u), dof));
    Some(estimate)
}

/// The line through single samples, which tells the lag and the samples that are off, and the line that counts.
struct Lines {
    observations: Vec<Observation>,
    samples_line: Fit,
    averages: Vec<Observation>,
    line: Fit,
    dof: f64,
}

impl Lines {
    fn without_averages(samples_line: Fit, observations: Vec<Observation>, parameters: usize) -> Lines {
        let dof = dof(samples_line.blocks, parameters);
        Lines { dof, line: samples_line.clone(), averages: observations.clone(), samples_line, observations }
    }
}

/// Without speed changes the lag does not matter much: how much is found by trying lags over their whole range.
fn without_lag(
    study: &mut Study,
    samples: &Samples,
    (low_s, high_s): (f64, f64),
    humps: &[Hump],
) -> Option<DriveEstimate> {
    const TRIES: usize = 9;
    let tries: Vec<(f64, Fit, Vec<Observation>)> = (0..TRIES)
        .filter_map(|k| {
            let lag_s = low_s + (high_s - low_s) * k as f64 / (TRIES - 1) as f64;
            let observations = observe(study, samples, lag_s, 1.0);
            Some((lag_s, fit_humps(&observations, humps)?, observations))
        })
        .collect();
    let centre = 0.5 * (low_s + high_s);
    let mean = tries.iter().map(|t| t.1.ratio).sum::<f64>() / tries.len().max(1) as f64;
    let spread =
        (tries.iter().map(|t| (t.1.ratio - mean).powi(2)).sum::<f64>() / tries.len().max(1) as f64).sqrt();
    let nearest = tries.into_iter().min_by(|a, b| (a.0 - centre).abs().total_cmp(&(b.0 - centre).abs()));
    let Some((lag_s, line, observations)) = nearest else { return nothing_moving(study) };
    study.problems.push(
        Problem::note(
            study.source,
            "speed changes to bring the two clocks together",
            "an almost constant speed",
        )
        .hint("the ratio does not need the clock lag here; the offset cannot be told from the ratio"),
    );
    Some(conclude(study, samples, &Lines::without_averages(line, observations, 1), lag_s, spread))
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
    let Lines { observations, samples_line, averages, line, dof } = lines;
    let used = samples_line.weights.iter().filter(|w| **w > 0.0).count();
    count(&mut study.points.rejected, "vehicle log: far from the line", observations.len() - used);
    let aside = samples.time_s.len() - observations.len();
    count(&mut study.points.rejected, "vehicle log: too slow, or outside the track", aside);
    study.points.used = used;
    let compared: f64 = observations.iter().map(|o| o.truth * o.share_s).sum();
    let quantisation = quantisation_u(samples.step, observations);
    let extra = (lag_spread.powi(2)
        + quantisation.powi(2)
        + (line.ratio * MOVING_SCALE_U * study.truth.coarseness()).powi(2))
    .sqrt();
    let unexplained =
        unexplained_u(line, samples.step, compared / observations.iter().map(|o| o.share_s).sum::<f64>());
    let ratio_u = (line.covariance[(0, 0)] + extra.powi(2) + unexplained.powi(2)).sqrt();
    warn_of_units(study, line.ratio);
    let mut estimate = Study::finish(study, Reads::Channel);
    estimate.diagnosis = diagnose::diagnose(samples_line, line, averages, samples.step);
    estimate.reading_ratio =
        Some(Measured::symmetric(Ratio::from_plain(line.ratio), Ratio::from_plain(ratio_u), *dof));
    estimate.ratio_offset_correlation =
        line.covariance[(0, 1)] / (ratio_u * line.covariance[(1, 1)].sqrt()).max(f64::MIN_POSITIVE);
    estimate.ratio_by_distance = by_distance(observations, &samples_line.weights, extra, *dof);
    estimate.compared_distance = Length::from_m(compared);
    let start = study.truth.time_s.first().copied().unwrap_or(0.0);
    let trace = samples.time_s.iter().zip(&samples.speed);
    estimate.trace.indicated =
        trace.map(|(t, v)| (Duration::from_s(t - lag_s - start), Speed::from_m_per_s(*v))).collect();
    estimate
}

/// An offset of the line that rounding cannot explain (above nil, or below a whole step cut off) comes from something the
/// line does not know (beyond one deviation of chance): held samples, a filter in the vehicle. It is the measure of how far the ratio may be off for it.
fn unexplained_u(line: &Fit, step: f64, mean_speed: f64) -> f64 {
    line.free.map_or(0.0, |(_, offset, u)| {
        let beyond = (offset.max(0.0) + (-offset - step / 2.0).max(0.0) - u).max(0.0);
        beyond / mean_speed.max(1.0)
    })
}

/// Rounding averages out only as often as the rounded value changes: the relative uncertainty left by it. Each stretch of
/// one value carries one rounding error of variance `q²/12`; stretches count by their length.
fn quantisation_u(step: f64, observations: &[Observation]) -> f64 {
    let mut stretches: Vec<f64> = Vec::new();
    let mut last = None;
    for o in observations {
        let same = last.is_some_and(|value: f64| (value - o.indicated).abs() < 0.5 * step);
        match stretches.last_mut() {
            Some(length) if same => *length += o.share_s,
            _ => stretches.push(o.share_s),
        }
        last = Some(o.indicated);
    }
    let total: f64 = stretches.iter().sum();
    let squares: f64 = stretches.iter().map(|s| s * s).sum();
    let mean = observations.iter().map(|o| o.truth * o.share_s).sum::<f64>() / total.max(f64::MIN_POSITIVE);
    step / 12f64.sqrt() * squares.sqrt() / total.max(f64::MIN_POSITIVE) / mean.max(1.0)
}

/// Integral of indicated over integral of true, samples off the line left out; its uncertainty from the same blocks of
/// time, as a ratio of sums.
fn by_distance(
    observations: &[Observation],
    weights: &[f64],
    extra: f64,
    dof: f64,
) -> Option<Measured<Ratio>> {
    let kept = observations.iter().zip(weights).filter(|(_, w)| **w > 0.0);
    let observations: Vec<Observation> = kept.map(|(o, _)| *o).collect();
    let truth: f64 = observations.iter().map(|o| o.truth * o.share_s).sum();
    let indicated: f64 = observations.iter().map(|o| o.indicated * o.share_s).sum();
    if truth <= 0.0 {
        return None;
    }
    let ratio = indicated / truth;
    let blocks = super::fit::block_of(&observations);
    let mut sums = vec![0.0; blocks.last()? + 1];
    for (o, block) in observations.iter().zip(blocks) {
        sums[block] += (o.indicated - ratio * o.truth) * o.share_s;
    }
    let n = sums.len() as f64;
    let variance = sums.iter().map(|s| s * s).sum::<f64>() * n / (n - 1.0).max(0.5);
    let u = f64::hypot(variance.sqrt() / truth, extra);
    Some(Measured::symmetric(Ratio::from_plain(ratio), Ratio::from_plain(u), dof))
}

/// Ratios that smell of a unit taken for another, and what they would be.
const UNIT_SLIPS: [(f64, &str); 4] = [
    (1.609344, "km/h taken for mph"),
    (1.0 / 1.609344, "mph taken for km/h"),
    (3.6, "km/h taken for m/s"),
    (1.0 / 3.6, "m/s taken for km/h"),
];
/// A truck is rarely further off than this; a ratio within it of a unit slip is suspect.
const UNIT_SLIP_WITHIN: f64 = 0.12;

fn warn_of_units(study: &mut Study, ratio: f64) {
    for (slip, what) in UNIT_SLIPS {
        if (ratio / slip - 1.0).abs() < UNIT_SLIP_WITHIN {
            let found = format!("{ratio:.3}, which smells of {what} (a factor of {slip:.4})");
            study.problems.push(
                Problem::warning(study.source, "a reading ratio near 1", found)
                    .hint("check the unit of both speed columns"),
            );
        }
    }
}
