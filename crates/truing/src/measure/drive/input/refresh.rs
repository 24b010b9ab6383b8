//! How often a stream shows a new value (sample-and-hold): a receiver of 1 Hz in rows of 10 Hz, a phone that takes a new fix every ten
//! seconds, a module that is polled in turn with others.
//!
//! Values stand for natural reasons too: a speed written in whole km/h stands while it changes by less, a parked truck stays where it is.
//! So only values that changed fast are asked: those that came and went by more than one step of their scale. Where every row is measured such a value stands for one row; where rows repeat, for the refresh interval.

use super::stream::Stream;
use metrology::order::quantile;

/// A change of more steps of the scale than this is a fast one: one step may be rounding, two are not.
const FAST_STEPS: f64 = 1.5;
/// Fewer values that came and went fast tell nothing: chance, or a truck that hardly moved. (With 6 a drive of ten fixes would tell,
/// with 24 one of two minutes at a fix every ten seconds would not.)
const LEAST: usize = 12;
/// Rows are repeated when values that change fast stand for more rows than this in the median: between one row and two.
const ROWS: f64 = 1.5;

/// How long values of a stream stand (s).
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Stand {
    /// The refresh interval: the median.
    pub every_s: f64,
    /// Nine tenths stand no longer than this.
    pub longest_s: f64,
}

/// The refresh interval of a stream; nothing where each row may have been measured.
pub fn refresh<const N: usize>(stream: &Stream<N>) -> Option<Stand> {
    stand(stream, |_, _| true)
}

/// The same where false zeros and spikes may be among the values: those count that came and went on the same way.
pub fn refresh_one_way_s<const N: usize>(stream: &Stream<N>) -> Option<f64> {
    let on = |came: [f64; N], went: [f64; N]| (0..N).map(|axis| came[axis] * went[axis]).sum::<f64>() > 0.0;
    stand(stream, on).map(|stand| stand.every_s)
}

/// How long values stand that came and went fast and as `counts` says, where that is longer than rows are apart.
fn stand<const N: usize>(stream: &Stream<N>, counts: impl Fn([f64; N], [f64; N]) -> bool) -> Option<Stand> {
    let runs = stream.runs();
    let step = stream.step(&runs);
    let fast = |change: &[f64; N]| (0..N).any(|axis| change[axis].abs() > FAST_STEPS * step[axis]);
    let mut stood_s = Vec::new();
    for pair in runs.windows(2).skip(1) {
        let (came, went) = (stream.change(pair[0].from), stream.change(pair[1].from));
        if counts(came, went) && fast(&came) && fast(&went) {
            stood_s.push(stream.time_s[pair[1].from] - stream.time_s[pair[0].from]);
        }
    }
    if stood_s.len() < LEAST {
        return None;
    }
    let every_s = quantile(&mut stood_s, 0.5);
    let longest_s = quantile(&mut stood_s, 0.9);
    (every_s > ROWS * stream.interval_s()).then_some(Stand { every_s, longest_s })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A speed (m/s) that waves for ten minutes, in rows of `row_s`, measured every `hold_s`, in steps of `step`.
    fn check(row_s: f64, hold_s: f64, step: f64, expected_s: Option<f64>) {
        let wave = |t: f64| 18.0 + 8.0 * (t / 8.0).sin();
        let measured = |t: f64| (wave((t / hold_s + 1e-9).floor() * hold_s) / step).round() * step;
        let rows = (0..(600.0 / row_s) as usize).map(|k| k as f64 * row_s);
        let found = refresh(&Stream::new(rows.map(|t| (t, Some([measured(t)]))))).map(|stand| stand.every_s);
        let near = found.zip(expected_s).is_none_or(|(found, expected)| (found / expected - 1.0).abs() < 0.1);
        assert!(found.is_some() == expected_s.is_some() && near, "{row_s} {hold_s} {step}: {found:?}");
    }

    #[test]
    fn refresh_intervals() {
        const KM_PER_H: f64 = 1.0 / 3.6;
        for step in [1e-3, 0.01, 0.1, KM_PER_H] {
            for row_s in [0.1, 0.2, 1.0, 5.0] {
                check(row_s, row_s, step, None);
            }
            check(1.0, 2.0, step, Some(2.0));
            check(1.0, 5.0, step, Some(5.0));
            check(0.1, 1.0, step, Some(1.0));
            check(0.1, 0.7, step, Some(0.7));
            check(0.5, 2.0, step, Some(2.0));
        }
        // Whole steps of 1.4 m/s: a value stands for a second because it is rounded.
        check(0.1, 0.1, 1.4, None);
    }
}
