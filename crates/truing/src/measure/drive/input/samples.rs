//! The vehicle's samples that can be used.

use super::false_speeds::drop_impossible;
use super::fixes::{IMPOSSIBLE_M_PER_S, count};
use super::order::{order, spread};
use super::refresh::refresh_one_way_s;
use super::repeats::leave_measurements;
use super::stream::Stream;
use super::times::Times;
use super::told;
use crate::logs::VehicleLog;
use crate::measure::drive::rejection::Rejected;
use crate::measure::drive::rejection::RejectionCause;
use crate::problem::Problem;
use metrology::quantity::Speed;

/// The search for lag and line begins with no more samples than this: ten hours' worth at one a second.
pub const THIN: usize = 40_000;

/// Holds shorter than this (s) are left to `line/sample_hold.rs`, which sees sample by sample what is old: in less time a speed
/// hardly changes by two steps. (At half of it ratios by distance of two recorded drives move by 0.0006, at twice it rows of
/// 10 Hz with polls of a second are ten measurements each.)
const LEAST_HOLD_S: f64 = 0.95;

/// The vehicle's samples in rising time (s, m/s), the step they are rounded to (m/s), the usual time between them (s) and how late
/// they are on average because values were held (s).
pub struct Samples {
    pub time_s: Vec<f64>,
    pub speed: Vec<f64>,
    pub step: f64,
    pub interval_s: f64,
    pub late_s: f64,
    /// The refresh interval (s), where the log's rows repeat values: a value is late by up to that.
    pub refresh_s: Option<f64>,
    /// The time between rows (s), repetitions among them: a new value stands in the first row after it came.
    pub row_s: f64,
}

impl Samples {
    /// Standard uncertainty (s) of when the values of repeating rows were measured: a new one stands up to a row late (a rectangle from
    /// zero), and loggers show the last or the nearest answer, half a refresh interval apart at most (GUM 4.3.7).
    pub fn row_late_u_s(&self) -> f64 {
        let hold_s = |refresh_s: f64| (self.row_s / 3f64.sqrt()).hypot(refresh_s / 12f64.sqrt());
        self.refresh_s.map_or(0.0, hold_s)
    }

    /// Every so many-th sample, no more than [`THIN`]; nothing when there are no more.
    pub fn thinned(&self) -> Option<Samples> {
        let every = self.time_s.len().div_ceil(THIN);
        let thin = |values: &[f64]| values.iter().step_by(every).copied().collect();
        (every > 1).then(|| Samples { time_s: thin(&self.time_s), speed: thin(&self.speed), ..*self })
    }

    /// Those of a log that were measured, in rising time; what is left out is counted with its reason, and problems say what is wrong with
    /// its times and values.
    pub fn usable(source: &str, log: &VehicleLog) -> (Samples, Vec<Rejected>, Vec<Problem>) {
        let (mut rejected, mut problems) = (Vec::new(), Vec::new());
        let (mut stream, times) = in_order(source, log, &mut rejected, &mut problems);
        problems.extend(times.problem(source));
        let read = stream.len();
        let refresh = refresh_one_way_s(&stream);
        let dropped = drop_impossible(&mut stream, refresh);
        let why = [
            (RejectionCause::LogAtFullScale, "are at full scale", dropped.full_scale),
            (RejectionCause::LogZero, "are zero while the vehicle moves", dropped.zeros),
            (RejectionCause::LogStands, "stand, then leap", dropped.frozen),
            (RejectionCause::LogTooSoon, "leap there and back", dropped.spikes),
        ];
        for (reason, says, dropped) in why {
            count(&mut rejected, reason, dropped);
            problems.extend(told::false_values(source, OF, says, (dropped, read)));
        }
        let row_s = stream.interval_s();
        let step = log.step.or_else(|| standing_step(&stream));
        let refreshed = leave_measurements(&mut stream, LEAST_HOLD_S);
        problems.extend(refreshed.map(|refreshed| told::refreshed(source, OF, refreshed)));
        count(&mut rejected, RejectionCause::LogRepeated, refreshed.map_or(0, |r| r.repeated));
        let samples = Samples {
            interval_s: stream.interval_s(),
            speed: stream.value.iter().map(|value| value[0]).collect(),
            time_s: stream.time_s,
            step: step.map_or(0.0, Speed::m_per_s),
            late_s: 0.0,
            refresh_s: refreshed.map(|refreshed| refreshed.every_s),
            row_s,
        };
        (samples, rejected, problems)
    }
}

/// Values that stand are taken for a scale's when there are so many different ones, and so large a share of them lies on it.
const LEAST_STANDING: usize = 12;
const ON_SCALE: f64 = 0.98;
/// How far off a whole number a value may lie (steps): what three decimals of km/h leave.
const OFF_SCALE: f64 = 1e-3;

/// The step (m/s) of whole km/h or mph that hides in a log whose logger drew lines between polls, or ran a mean over them: the values
/// between are none of the scale's, so that the log as a whole shows no step, but those that stand for three rows are.
fn standing_step(stream: &Stream<1>) -> Option<Speed> {
    let stands = |rows: &[[f64; 1]]| rows[0] == rows[1] && rows[1] == rows[2] && rows[1][0] > 0.0;
    let mut standing: Vec<f64> =
        stream.value.windows(3).filter(|rows| stands(rows)).map(|rows| rows[1][0]).collect();
    standing.sort_by(f64::total_cmp);
    standing.dedup();
    let is_scale = |step: &Speed| {
        let off = |value: &&f64| {
            let steps = **value / step.m_per_s();
            (steps - steps.round()).abs() < OFF_SCALE
        };
        let on = standing.iter().filter(off).count();
        on >= LEAST_STANDING && on as f64 >= ON_SCALE * standing.len() as f64
    };
    [Speed::from_km_per_h(1.0), Speed::from_mi_per_h(1.0)].into_iter().find(is_scale)
}

/// What the samples are called.
const OF: &str = "samples of the vehicle log";

/// The samples that can be a vehicle's, in rising time.
fn in_order(
    source: &str,
    log: &VehicleLog,
    rejected: &mut Vec<Rejected>,
    problems: &mut Vec<Problem>,
) -> (Stream<1>, Times<'static>) {
    let speed = |row: usize| log.samples[row].speed.m_per_s();
    let stamps: Vec<f64> = log.samples.iter().map(|sample| sample.time.s()).collect();
    let order = order(&stamps);
    count(rejected, RejectionCause::LogTimeBackward, order.backward);
    count(rejected, RejectionCause::LogAlone, order.alone);
    problems.extend(told::moved(source, OF, order.moved));
    let rows = &order.rows;
    let mut times_s: Vec<f64> = rows.iter().map(|row| stamps[*row]).collect();
    let alike = |from: usize, to: usize| rows[from..to].iter().all(|row| speed(*row) == speed(rows[from]));
    let shared = spread(&mut times_s, alike);
    problems.extend(told::shared(source, OF, &shared));
    let can = |row: usize| (0.0..IMPOSSIBLE_M_PER_S).contains(&speed(row));
    let values = (0..rows.len()).filter(|k| *k == 0 || times_s[*k] != times_s[k - 1]);
    let mut still = rows.len();
    let values = values.inspect(|_| still -= 1).map(|k| (times_s[k], can(rows[k]).then(|| [speed(rows[k])])));
    let stream = Stream::new(values);
    count(rejected, RejectionCause::LogTimeStill, still);
    let impossible = rows.len() - still - stream.len();
    count(rejected, RejectionCause::LogImpossible, impossible);
    problems.extend(told::false_values(
        source,
        OF,
        "are no speed of a road vehicle",
        (impossible, rows.len()),
    ));
    let interval_s = stream.interval_s();
    let times = Times { of: OF, read: log.samples.len(), still, backward: order.backward, interval_s };
    (stream, times)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::Sample;
    use metrology::quantity::Instant;

    const STEP: f64 = 1.0 / 3.6;

    /// Ten minutes in rows of `row_s`: how many are left, the refresh interval, and what is said.
    fn check(
        row_s: f64,
        speed: impl Fn(f64) -> f64,
        left: std::ops::Range<usize>,
        refresh_s: Option<f64>,
        said: &str,
    ) {
        let sample = |k: usize| Sample {
            line: k,
            time: Instant::from_s(k as f64 * row_s),
            speed: Speed::from_m_per_s(speed(k as f64 * row_s)),
        };
        let samples = (0..(600.0 / row_s) as usize).map(sample).collect();
        let log = VehicleLog { samples, step: Some(Speed::from_m_per_s(STEP)), ..VehicleLog::default() };
        let (samples, rejected, problems) = Samples::usable("log", &log);
        let told: String = problems.iter().map(|problem| format!("{problem}; ")).collect();
        assert!(left.contains(&samples.time_s.len()), "{} {told} {rejected:?}", samples.time_s.len());
        let near = |found: f64, expected: f64| (found / expected - 1.0).abs() < 0.15;
        let refreshed = samples.refresh_s.zip(refresh_s).map(|(found, expected)| near(found, expected));
        assert!(refreshed.unwrap_or(samples.refresh_s == refresh_s), "{:?} {told}", samples.refresh_s);
        assert!(told.contains(said) && (told.is_empty() || !said.is_empty()), "{told}");
    }

    #[test]
    fn what_the_vehicle_measured() {
        let wave = |t: f64| 18.0 + 8.0 * (t / 8.0).sin() + 3.0 * (t / 3.1).sin();
        let whole = |v: f64| (v / STEP).round() * STEP;
        let hit = |t: f64, of: usize| ((t * 10.0) as usize * 7919 / 13).is_multiple_of(of);
        check(1.0, |t| whole(wave(t)), 600..601, None, "");
        check(0.1, |t| whole(wave(t)), 6000..6001, None, "");
        check(0.1, |t| whole(wave(t.floor())), 590..640, Some(1.0), "every 1.0 s in rows of 0.10 s");
        check(0.5, |t| whole(wave((t / 4.0).floor() * 4.0)), 145..160, Some(4.0), "every 4.0 s");
        check(
            1.0,
            |t| if hit(t, 3) { 0.0 } else { whole(wave(t)) },
            360..440,
            None,
            "zero while the vehicle moves",
        );
        check(
            1.0,
            |t| if hit(t, 3) { 255.0 * STEP } else { whole(wave(t)) },
            360..440,
            None,
            "at full scale",
        );
        check(
            1.0,
            |t| if hit(t, 3) { 65_535.0 * STEP } else { whole(wave(t)) },
            360..440,
            None,
            "no speed of a road",
        );
        check(1.0, |t| if hit(t, 3) { -STEP } else { whole(wave(t)) }, 360..440, None, "no speed of a road");
        // Polled each second, in rows of a fifth of one on straight lines.
        let line = |t: f64| wave(t.floor()) + t.fract() * (wave(t.floor() + 1.0) - wave(t.floor()));
        check(0.2, |t| (1000.0 * line(t)).round() / 1000.0, 560..660, Some(1.0), "straight lines");
    }

    #[test]
    fn a_scale_hides_between_straight_lines() {
        let wave = |t: f64| 18.0 + 8.0 * (t / 40.0).sin() + 3.0 * (t / 31.0).sin();
        let line = |t: f64, shown: &dyn Fn(f64) -> f64| {
            let last = (t / 2.0).floor() * 2.0;
            let share = (t - last) / 2.0;
            (1.0 - share) * shown(wave(last)) + share * shown(wave(last + 2.0))
        };
        let check = |shown: &dyn Fn(f64) -> f64, expected: f64| {
            let sample = |k: usize| Sample {
                line: k,
                time: Instant::from_s(k as f64 * 0.2),
                speed: Speed::from_m_per_s(line(k as f64 * 0.2, shown)),
            };
            let log = VehicleLog { samples: (0..3000).map(sample).collect(), ..VehicleLog::default() };
            let step = Samples::usable("log", &log).0.step;
            assert!((step - expected).abs() < 1e-9, "{step} {expected}");
        };
        check(&|v| (v / STEP).floor() * STEP, STEP);
        check(&|v| (v / 0.44704).round() * 0.44704, 0.44704);
        // Hundredths of km/h, half km/h, and no scale at all.
        check(&|v| (v * 360.0).round() / 360.0, 0.0);
        check(&|v| (v * 7.2).floor() / 7.2, 0.0);
        check(&|v| v, 0.0);
    }
}
