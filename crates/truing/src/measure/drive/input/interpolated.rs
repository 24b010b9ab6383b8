//! Values on straight lines between measurements: loggers fill the rows between two polls so.
//!
//! Such rows are no measurements either: taken as some they make a path of chords that seems to have no error at all. They are recognised by
//! what they lack: from row to row the slope does not change at all, then it does, again and again after the same time.

use super::stream::Stream;
use metrology::order::quantile;

/// A row stands on the line between its neighbours when it is no farther off than so many times the usual distance (rounding of values
/// and times), or half a step of the scale.
const ON_LINE: f64 = 4.0;
/// The rows between two bends must be at least so many: on fewer the bend itself is all there is.
const LEAST_ROWS: f64 = 3.0;
/// Bends needed, and share of the times between them that are the usual one to within a quarter or a row. Bends by chance, at any
/// row alike, would be that near in fewer than a third.
const LEAST: usize = 20;
const REGULAR: f64 = 0.6;
const ALIKE: f64 = 0.25;

/// What a stream of straight lines is made of.
pub struct Lines {
    /// The usual time between measurements (s).
    pub every_s: f64,
    /// The rows nearest to a measurement.
    pub knots: Vec<usize>,
}

/// The straight lines a stream is made of; nothing where it is none.
pub fn lines<const N: usize>(stream: &Stream<N>) -> Option<Lines> {
    let off: Vec<f64> = (0..stream.len()).map(|index| off_line(stream, index)).collect();
    let mut changing: Vec<f64> = off.iter().copied().filter(|off| off.is_finite()).collect();
    if changing.len() < 3 * LEAST {
        return None;
    }
    let usual = quantile(&mut changing, 0.5);
    let step = stream.step(&stream.runs()).into_iter().fold(0.0, f64::max);
    let on_line = (ON_LINE * usual).max(if usual > 0.0 { 0.0 } else { 1e-3 * step });
    let knots = bends(&off, on_line);
    let between_s: Vec<f64> =
        knots.windows(2).map(|pair| stream.time_s[pair[1]] - stream.time_s[pair[0]]).collect();
    if between_s.len() < LEAST {
        return None;
    }
    let row_s = stream.interval_s();
    let every_s = quantile(&mut between_s.clone(), 0.5);
    let near_s = (ALIKE * every_s).max(1.01 * row_s);
    let regular = between_s.iter().filter(|s| (*s - every_s).abs() <= near_s).count();
    let enough = regular as f64 >= REGULAR * between_s.len() as f64;
    (enough && every_s >= LEAST_ROWS * row_s).then_some(Lines { every_s, knots })
}

/// How far a value is from the line between its neighbours; not a number where nothing changes.
fn off_line<const N: usize>(stream: &Stream<N>, index: usize) -> f64 {
    if index == 0 || index + 1 >= stream.len() {
        return f64::NAN;
    }
    let [before, now, after] = [index - 1, index, index + 1].map(|k| (stream.time_s[k], stream.value[k]));
    let share = (now.0 - before.0) / (after.0 - before.0).max(f64::MIN_POSITIVE);
    let line = |axis: usize| before.1[axis] + share * (after.1[axis] - before.1[axis]);
    let changes = (0..N).any(|axis| before.1[axis] != now.1[axis] || now.1[axis] != after.1[axis]);
    let off = (0..N).map(|axis| (now.1[axis] - line(axis)).abs()).fold(0.0, f64::max);
    if changes { off } else { f64::NAN }
}

/// The rows that are farthest off the line, one of neighbouring ones: a measurement between two rows bends the line at both.
fn bends(off: &[f64], on_line: f64) -> Vec<usize> {
    let mut knots: Vec<usize> = Vec::new();
    for index in (0..off.len()).filter(|index| off[*index] > on_line) {
        match knots.last_mut() {
            Some(last) if index - *last <= 1 => {
                if off[index] > off[*last] {
                    *last = index;
                }
            }
            _ => knots.push(index),
        }
    }
    knots
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// A speed (m/s) that waves with an error of `error`, measured every `every_s`, in rows of `row_s` on the lines between, printed in steps
    /// of `step`.
    fn check(row_s: f64, every_s: f64, error: f64, step: f64, expected_s: Option<f64>) {
        let mut chance = ChaCha8Rng::seed_from_u64(3);
        let wave = |t: f64| 18.0 + 8.0 * (t / 8.0).sin() + 3.0 * (t / 2.7).sin();
        let measured: Vec<f64> = (0..(620.0 / every_s) as usize)
            .map(|k| wave(k as f64 * every_s + 0.03) + chance.random_range(-error..error))
            .collect();
        let value = |t: f64| {
            let (before, share) = ((t / every_s) as usize, (t / every_s).fract());
            let line = measured[before] + share * (measured[before + 1] - measured[before]);
            (line / step).round() * step
        };
        let rows = (0..(600.0 / row_s) as usize).map(|k| 0.013 + k as f64 * row_s);
        let found = lines(&Stream::new(rows.map(|t| (t, Some([value(t)]))))).map(|lines| lines.every_s);
        let near = found.zip(expected_s).is_none_or(|(found, expected)| (found / expected - 1.0).abs() < 0.1);
        assert!(found.is_some() == expected_s.is_some() && near, "{row_s} {every_s} {step}: {found:?}");
    }

    #[test]
    fn straight_lines_between_measurements() {
        for step in [1e-6, 1e-3] {
            check(0.1, 1.0, 0.05, step, Some(1.0));
            check(0.2, 2.0, 0.05, step, Some(2.0));
            check(1.0, 10.0, 0.05, step, Some(10.0));
            check(1.0, 1.0, 0.05, step, None);
            check(0.1, 0.1, 0.05, step, None);
        }
        check(0.1, 0.1, 0.05, 1.0 / 3.6, None);
        check(1.0, 1.0, 0.05, 1.0 / 3.6, None);
    }
}
