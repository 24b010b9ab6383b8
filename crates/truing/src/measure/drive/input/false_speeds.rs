//! Speeds that no vehicle had: false zeros, full scale, a frozen value, spikes.
//!
//! A stop is believed when the vehicle can have braked to it and started from it. Where a stream has shown false zeros, a short stop is
//! believed only after usual braking. What the other stream says comes on top: a place that moved far while the speed was zero.

use super::stream::{Run, Stream};

/// What a vehicle can do (m/s²): braking on a dry road is 8 to 10 (common practice, no source); a start is less, tires and engine
/// set it. With half of either real stops in rows of a second are lost, with twice of either zeros at 15 m/s pass.
const BRAKES: f64 = 10.0;
const STARTS: f64 = 6.0;
/// What the last speed before a stop may be beyond that (m/s): receivers and wheel sensors show nothing below 1 or 2 m/s.
const SLACK_M_PER_S: f64 = 2.0;
/// Usual braking and starting (m/s²), and slack, where zeros are doubted.
const USUALLY_BRAKES: f64 = 4.0;
const USUALLY_STARTS: f64 = 3.0;
const USUAL_SLACK_M_PER_S: f64 = 1.0;
/// Zeros are doubted when this share of the moving rows is a false one; and only in runs of fewer rows than this: of a stream with two
/// zeros in five a run of eight comes by chance once in 1500 rows.
const DOUBT_SHARE: f64 = 0.02;
const DOUBTED_ROWS: usize = 8;
/// Full scale of one byte of km/h, and of two bytes of 1/256 km/h, in m/s: "not available" of many modules.
const FULL_SCALE_M_PER_S: [f64; 2] = [255.0 / 3.6, 65_535.0 / 256.0 / 3.6];
const SCALE_WITHIN_M_PER_S: f64 = 1e-3;
/// The largest value of a stream is a mark and no speed when it stands in so many runs and in most of them cannot have been reached.
const MARK_RUNS: usize = 3;
const MARKS_AT_MOST: usize = 4;
/// A frozen value stands for at least so many rows.
const FROZEN_ROWS: usize = 3;
/// How far a place may seem to move while a vehicle stands (m): errors of two positions.
const PLACE_M: f64 = 20.0;
/// A place that goes slower than this (m/s) may stand.
const PLACE_M_PER_S: f64 = 2.0;

/// How many values were left out.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub struct Dropped {
    pub full_scale: usize,
    pub zeros: usize,
    pub frozen: usize,
    pub spikes: usize,
}

/// Leaves out what no vehicle can have done.
pub fn drop_impossible(speeds: &mut Stream<1>, refresh_s: Option<f64>) -> Dropped {
    let full_scale = drop_full_scale(speeds);
    let within_s = refresh_s.unwrap_or_else(|| speeds.interval_s()).max(0.0);
    let moving = speeds.value.iter().filter(|value| value[0] > 0.0).count();
    let mut zeros = drop_zeros(speeds, within_s, Limits::CAN);
    if zeros as f64 > DOUBT_SHARE * (moving + zeros) as f64 {
        zeros += drop_zeros(speeds, within_s, Limits::USUAL);
    }
    Dropped { full_scale, zeros, frozen: drop_frozen(speeds), spikes: drop_spikes(speeds, within_s) }
}

/// What is believed of a stop.
struct Limits {
    brakes: f64,
    starts: f64,
    slack: f64,
    rows: usize,
}

impl Limits {
    const CAN: Limits = Limits { brakes: BRAKES, starts: STARTS, slack: SLACK_M_PER_S, rows: usize::MAX };
    const USUAL: Limits = Limits {
        brakes: USUALLY_BRAKES,
        starts: USUALLY_STARTS,
        slack: USUAL_SLACK_M_PER_S,
        rows: DOUBTED_ROWS,
    };
}

/// The time (s) a value had to become that of the run: since the value before was last seen, or, where values are held, since it was new.
fn time_before_s(speeds: &Stream<1>, before: Run, run: Run, within_s: f64) -> f64 {
    let [new, last, now] = [before.from, before.to - 1, run.from].map(|index| speeds.time_s[index]);
    (now - last).max((now - new).min(within_s))
}

fn drop_runs(speeds: &mut Stream<1>, runs: &[Run], drops: impl Fn(usize) -> bool) -> usize {
    let mut keep = vec![true; speeds.len()];
    for (index, run) in runs.iter().enumerate() {
        if drops(index) {
            keep[run.from..run.to].fill(false);
        }
    }
    speeds.retain(&keep)
}

fn drop_full_scale(speeds: &mut Stream<1>) -> usize {
    let is_full =
        |value: f64| FULL_SCALE_M_PER_S.iter().any(|full| (value - full).abs() < SCALE_WITHIN_M_PER_S);
    let keep: Vec<bool> = speeds.value.iter().map(|value| !is_full(value[0])).collect();
    let mut dropped = speeds.retain(&keep);
    for _ in 0..MARKS_AT_MOST {
        let runs = speeds.runs();
        let Some(top) = speeds.value.iter().map(|value| value[0]).max_by(f64::total_cmp) else { break };
        let is_top = |run: &Run| speeds.value[run.from][0] == top;
        let cannot = |pair: &&[Run]| {
            let change = speeds.change(pair[1].from)[0].abs();
            change > BRAKES * time_before_s(speeds, pair[0], pair[1], 0.0) + SLACK_M_PER_S
        };
        // Beside zeros, which may be the false ones, nothing tells which of the two cannot be.
        let is_zero = |run: &Run| speeds.value[run.from][0] == 0.0;
        let edges = || {
            let pairs = runs.windows(2).filter(|pair| is_top(&pair[0]) || is_top(&pair[1]));
            pairs.filter(|pair| !pair.iter().any(is_zero))
        };
        let top_runs = runs.iter().filter(|run| is_top(run)).count();
        if top_runs < MARK_RUNS || 2 * edges().filter(cannot).count() <= edges().count() {
            break;
        }
        let tops: Vec<bool> = runs.iter().map(is_top).collect();
        dropped += drop_runs(speeds, &runs, |index| tops[index]);
    }
    dropped
}

fn drop_zeros(speeds: &mut Stream<1>, within_s: f64, limits: Limits) -> usize {
    let runs = speeds.runs();
    let value = |run: Run| speeds.value[run.from][0];
    let falls = |index: usize| {
        let run = runs[index];
        let before = index.checked_sub(1).map(|before| runs[before]);
        let cannot_stop = before.is_some_and(|before| {
            value(before) > limits.brakes * time_before_s(speeds, before, run, within_s) + limits.slack
        });
        let cannot_start = runs.get(index + 1).is_some_and(|after| {
            value(*after) > limits.starts * time_before_s(speeds, run, *after, within_s) + limits.slack
        });
        value(run) == 0.0 && run.rows() < limits.rows && (cannot_stop || cannot_start)
    };
    let falls: Vec<bool> = (0..runs.len()).map(falls).collect();
    drop_runs(speeds, &runs, |index| falls[index])
}

/// Of a value that stood and then became another in less time than it can, the first alone is a measurement.
fn drop_frozen(speeds: &mut Stream<1>) -> usize {
    let runs = speeds.runs();
    let mut keep = vec![true; speeds.len()];
    for pair in runs.windows(2).filter(|pair| pair[0].rows() >= FROZEN_ROWS) {
        let change = speeds.change(pair[1].from)[0].abs();
        let [new, last, now] = [pair[0].from, pair[0].to - 1, pair[1].from].map(|index| speeds.time_s[index]);
        let can = |span_s: f64| change <= BRAKES * span_s + SLACK_M_PER_S;
        if speeds.value[pair[0].from][0] > 0.0 && !can(now - last) && can(now - new) {
            keep[pair[0].from + 1..pair[0].to].fill(false);
        }
    }
    speeds.retain(&keep)
}

/// Values that came and went, there and back, faster than any vehicle.
fn drop_spikes(speeds: &mut Stream<1>, within_s: f64) -> usize {
    let runs = speeds.runs();
    let leap = |index: usize| {
        let (before, run) = (*runs.get(index.checked_sub(1)?)?, *runs.get(index)?);
        let change = speeds.change(run.from)[0];
        let can = BRAKES * time_before_s(speeds, before, run, within_s) + SLACK_M_PER_S;
        (change.abs() > can).then_some(change)
    };
    let leaps: Vec<Option<f64>> = (0..=runs.len()).map(leap).collect();
    let there_and_back = |index: usize| leaps[index].zip(leaps[index + 1]).is_some_and(|(a, b)| a * b < 0.0);
    drop_runs(speeds, &runs, there_and_back)
}

/// Leaves out zeros while the places moved farther than a stop lets them.
pub fn drop_contradicted(speeds: &mut Stream<1>, places: &Stream<2>) -> usize {
    let runs = speeds.runs();
    let mut upper = 0;
    let falls: Vec<bool> = runs
        .iter()
        .map(|run| {
            let (from_s, to_s) = (speeds.time_s[run.from], speeds.time_s[run.to - 1]);
            while places.time_s.get(upper).is_some_and(|time_s| *time_s < from_s) {
                upper += 1;
            }
            speeds.value[run.from][0] == 0.0 && moved(places, upper, from_s, to_s)
        })
        .collect();
    drop_runs(speeds, &runs, |index| falls[index])
}

/// Whether the places around a stop from `from_s` to `to_s` lie farther apart than it lets them. `inside` is the first place in it.
fn moved(places: &Stream<2>, inside: usize, from_s: f64, to_s: f64) -> bool {
    let after = inside + places.time_s[inside..].partition_point(|time_s| *time_s <= to_s);
    let Some(before) = inside.checked_sub(1) else { return far(places, inside, after, 0.0) };
    if after >= places.len() {
        return far(places, before, after - 1, from_s - places.time_s[before]);
    }
    let (braking_s, starting_s) = (from_s - places.time_s[before], places.time_s[after] - to_s);
    let rolls_m = 0.5 * (BRAKES * braking_s.powi(2) + STARTS * starting_s.powi(2));
    let far_m = super::stream::apart(places.value[before], places.value[after]);
    let span_s = places.time_s[after] - places.time_s[before];
    (far_m > rolls_m + PLACE_M && far_m > PLACE_M_PER_S * span_s)
        || far(places, inside, after.saturating_sub(1), 0.0)
}

/// Whether two places are farther apart than a standing vehicle's, which had so many seconds to stop.
fn far(places: &Stream<2>, one: usize, other: usize, stops_s: f64) -> bool {
    let last = places.len().saturating_sub(1);
    let (one, other) = (one.min(last), other.min(last));
    if one >= other {
        return false;
    }
    let far_m = super::stream::apart(places.value[one], places.value[other]);
    let span_s = places.time_s[other] - places.time_s[one];
    far_m > PLACE_M + 0.5 * BRAKES * stops_s.powi(2) && far_m > PLACE_M_PER_S * span_s
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One row in `row_s`; what is left of them.
    fn check(row_s: f64, speeds: &[f64], expected: &[f64], dropped: Dropped) {
        let rows = speeds.iter().enumerate().map(|(k, speed)| (k as f64 * row_s, Some([*speed])));
        let mut stream = Stream::new(rows);
        assert_eq!(drop_impossible(&mut stream, None), dropped, "{speeds:?}");
        let left: Vec<f64> = stream.value.iter().map(|value| value[0]).collect();
        assert_eq!(left, expected, "{speeds:?}");
    }

    #[test]
    fn what_no_vehicle_can_do() {
        let none = Dropped::default();
        let sound = [12.0, 9.0, 6.0, 3.0, 0.0, 0.0, 0.0, 2.0, 4.0, 6.0];
        check(1.0, &sound, &sound, none);
        // A full stop on a dry road.
        let hard = [25.0, 16.0, 7.0, 0.0, 0.0, 2.0, 5.0];
        check(1.0, &hard, &hard, none);
        // Rows every five seconds: 20 m/s are braked away in one.
        let sparse = [20.0, 20.0, 0.0, 0.0, 15.0, 20.0];
        check(5.0, &sparse, &sparse, none);
        check(1.0, &[25.0, 0.0, 25.0, 26.0], &[25.0, 25.0, 26.0], Dropped { zeros: 1, ..none });
        check(1.0, &[0.0, 0.0, 24.0, 25.0], &[24.0, 25.0], Dropped { zeros: 2, ..none });
        check(1.0, &[25.0, 24.0, 0.0, 0.0, 0.0, 0.0], &[25.0, 24.0], Dropped { zeros: 4, ..none });
        // A dropout while the vehicle slows down.
        check(1.0, &[25.0, 0.0, 0.0, 0.0, 4.0, 3.0], &[25.0, 4.0, 3.0], Dropped { zeros: 3, ..none });
        let full = 255.0 / 3.6;
        check(1.0, &[25.0, full, 24.0, full, full], &[25.0, 24.0], Dropped { full_scale: 3, ..none });
        let mark = 65.535;
        check(
            1.0,
            &[25.0, mark, 24.0, mark, 23.0, mark, 22.0],
            &[25.0, 24.0, 23.0, 22.0],
            Dropped { full_scale: 3, ..none },
        );
        check(1.0, &[25.0, 60.0, 24.0], &[25.0, 24.0], Dropped { spikes: 1, ..none });
        check(
            1.0,
            &[20.0, 25.0, 25.0, 25.0, 25.0, 5.0, 5.5],
            &[20.0, 25.0, 5.0, 5.5],
            Dropped { frozen: 3, ..none },
        );
        // Where zeros are false, one at 6 m/s is too; a long stop is not.
        let slow = [25.0, 0.0, 25.0, 15.0, 6.0, 0.0, 6.0, 3.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 3.0];
        let left = [25.0, 25.0, 15.0, 6.0, 6.0, 3.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 3.0];
        check(1.0, &slow, &left, Dropped { zeros: 2, ..none });
    }

    /// Ten seconds of zeros; the places go `along` (m/s) all the time.
    fn check_places(along: f64, left: usize) {
        let speed = |k: usize| if (10..20).contains(&k) { 0.0 } else { along };
        let mut speeds = Stream::new((0..40).map(|k| (k as f64, Some([speed(k)]))));
        let places = Stream::new((0..40).map(|k| (k as f64, Some([along * k as f64, 0.0]))));
        drop_contradicted(&mut speeds, &places);
        assert_eq!(speeds.len(), left, "{along}");
    }

    #[test]
    fn zeros_while_places_move() {
        check_places(8.0, 30);
        check_places(0.5, 40);
    }
}
