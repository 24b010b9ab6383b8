//! Averages and sums over the observations of a channel.

use crate::measure::drive::line::fit::{Fit, Observation, block_at};
use metrology::measured::Measured;
use metrology::order::quantile;
use metrology::quantity::Ratio;

/// Span over which both channels are averaged for the line (s): longer than receivers' and vehicles' filters, shorter
/// than a usual stretch at one speed.
const WINDOW_S: f64 = 10.0;
/// Rows that a line is drawn through, and the error that each shares with others of them, if it does.
pub struct Averages {
    pub rows: Vec<Observation>,
    pub shared: Vec<Option<usize>>,
}

/// Averages over [`WINDOW_S`], samples off the line left out.
///
/// The error of a speed made of positions falls with the time it is averaged over while the driver's changes of speed
/// stay: a line through averages is not flattened by that error as a line through single samples is. Held and late
/// samples average out as well.
///
/// `sigma` of an average is what it errs of its own, `truth_m` (m) being what the truth errs over it beside its drift. An average
/// shares the error that more than half of it does.
pub fn windows(
    observations: &[Observation],
    weights: &[f64],
    shared: &[Option<usize>],
    step: f64,
    truth_m: f64,
) -> Averages {
    let mut averages = Averages { rows: Vec::new(), shared: Vec::new() };
    let mut open: Vec<(&Observation, Option<usize>)> = Vec::new();
    let mut close = |open: &mut Vec<(&Observation, Option<usize>)>| {
        if let Some((row, error)) = window(open, step, truth_m) {
            averages.rows.push(row);
            averages.shared.push(error);
        }
        open.clear();
    };
    let kept = observations.iter().zip(shared).zip(weights).filter(|(_, w)| **w > 0.0).map(|(o, _)| o);
    for (o, error) in kept {
        if open.first().is_some_and(|(first, _)| o.time_s - first.time_s >= WINDOW_S) {
            close(&mut open);
        }
        open.push((o, *error));
    }
    close(&mut open);
    averages
}

fn window(
    open: &[(&Observation, Option<usize>)],
    step: f64,
    truth_m: f64,
) -> Option<(Observation, Option<usize>)> {
    let share_s: f64 = open.iter().map(|(o, _)| o.share_s).sum();
    if share_s < 0.3 * WINDOW_S {
        return None;
    }
    let mean =
        |get: fn(&Observation) -> f64| open.iter().map(|(o, _)| get(o) * o.share_s).sum::<f64>() / share_s;
    let of_error = |error: Option<usize>| -> f64 {
        open.iter().filter(|(_, other)| *other == error).map(|(o, _)| o.share_s).sum()
    };
    let error = open[open.len() / 2].1.filter(|error| of_error(Some(*error)) > 0.5 * share_s);
    // Neighbouring samples err alike: three of them count as one. One rounding error may last the whole window.
    let alike = (open.len() as f64 / 3.0).max(1.0);
    let own = mean(|o| o.own * o.own) / alike + step * step / 24.0;
    let variance = own + (truth_m / share_s).powi(2);
    let row = Observation {
        time_s: mean(|o| o.time_s),
        indicated: mean(|o| o.indicated),
        truth: mean(|o| o.truth),
        one: 1.0,
        growth: mean(|o| o.growth),
        truth_rate: mean(|o| o.truth_rate),
        sigma: variance.sqrt(),
        own: own.sqrt(),
        share_s,
    };
    Some((row, error))
}

/// True speeds of which four fifths differ by less than this (over the median) do not tell an offset from a ratio: what they differ by
/// is as much error as speed, and the few others are a start and a stop, which tell more of the lag than of the line (judgement).
const NARROW: f64 = 0.04;

impl Averages {
    /// Where the drive held one speed: the rows at it, all at one true speed, because their errors would make an offset.
    pub fn without_narrow_spread(mut self, usual_m_per_s: f64) -> Averages {
        let mut speeds: Vec<f64> = self.rows.iter().map(|o| o.truth).collect();
        if speeds.is_empty() {
            return self;
        }
        let [low, median, high] = [0.1, 0.5, 0.9].map(|share| quantile(&mut speeds, share));
        if high - low > NARROW * median {
            return self;
        }
        let near = |o: &Observation| (o.truth - median).abs() < NARROW * median;
        let kept: Vec<bool> = self.rows.iter().map(near).collect();
        let mut keep = kept.iter();
        self.shared.retain(|_| keep.next().is_none_or(|kept| *kept));
        self.rows.retain(near);
        let sum = |get: fn(&Observation) -> f64| self.rows.iter().map(|o| get(o) * o.share_s).sum::<f64>();
        let (ratio, mean) = (sum(|o| o.indicated) / sum(|o| o.truth), sum(|o| o.truth) / sum(|_| 1.0));
        for o in &mut self.rows {
            o.indicated -= ratio * (o.truth - mean);
            (o.truth, o.growth) = (mean, mean * (mean - usual_m_per_s));
        }
        self
    }
}

/// So many standard uncertainties of an offset are chance, not something unexplained (judgement): the first where rounding leaves room to
/// one side only, the second where there is no step and chance goes to either side of zero. A sixth and a tenth of sound
/// channels are beyond.
const CHANCE: (f64, f64) = (1.0, 1.64);

/// An offset of the line that neither rounding nor `rest` explains (above zero, or below a whole step truncated) comes from
/// something the line does not know: held samples, a filter in the vehicle. It is the measure of how far the ratio may be
/// off for it.
pub fn unexplained_u(line: &Fit, step: f64, rest: f64, mean_speed: f64) -> f64 {
    line.free.map_or(0.0, |(_, offset, u)| {
        let outside = offset.max(0.0) + (-offset - step / 2.0).max(0.0);
        let chance = if step > 0.0 { CHANCE.0 } else { CHANCE.1 };
        (outside - chance * u.hypot(rest)).max(0.0) / mean_speed.max(1.0)
    })
}

/// Integral of indicated over integral of true, samples off the line left out; its uncertainty from the same blocks of
/// time, as a ratio of sums.
pub fn by_distance(
    observations: &[Observation],
    weights: &[f64],
    extra: f64,
    rounding: f64,
    dof: f64,
) -> Option<Measured<Ratio>> {
    let kept = || observations.iter().zip(weights).filter(|(_, w)| **w > 0.0).map(|(o, _)| o);
    let truth: f64 = kept().map(|o| o.truth * o.share_s).sum();
    let indicated: f64 = kept().map(|o| o.indicated * o.share_s).sum();
    if truth <= 0.0 {
        return None;
    }
    let ratio = indicated / truth;
    let block = block_at(kept().next()?.time_s, kept().next_back()?.time_s);
    let mut sums = vec![0.0; block(kept().next_back()?.time_s) + 1];
    for o in kept() {
        sums[block(o.time_s)] += (o.indicated - ratio * o.truth) * o.share_s;
    }
    let n = sums.len() as f64;
    let variance = sums.iter().map(|s| s * s).sum::<f64>() * n / (n - 1.0).max(0.5);
    let u = f64::hypot((variance.sqrt() / truth).max(rounding), extra);
    Some(Measured::symmetric(Ratio::from_plain(ratio), Ratio::from_plain(u), dof))
}
