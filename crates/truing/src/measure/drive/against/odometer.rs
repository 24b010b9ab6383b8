//! A drive against two odometer readings.
//!
//! The readings belong to the moments at which the recording of the track was started and stopped. A recording holds the fixes
//! between: on average it lacks half the time between two fixes at each end, evenly likely. Where the truck stood at both ends
//! that is no distance; where it rolled, the distance is made up and its uncertainty added, and that of a hand that starts and
//! stops what the eye sees.

use crate::describe::evidence::{OdometerRead, OdometerReadings};
use crate::measure::drive::study::Study;
use crate::measure::drive::types::{Diagnosis, DriveEstimate, MostOfIt, Reads};
use crate::measure::odometer_reading::{REACTION_S, reading_u};
use crate::problem::Problem;
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Length, Ratio};
use metrology::text::Typed;

/// A gap longer than this share of the drive makes the true distance a guess.
const GAPS_SHARE: f64 = 0.2;
/// What makes up more of the variance than this is named (judgement).
const MOST: f64 = 0.6;

pub fn against_odometer(study: &mut Study, readings: &OdometerReadings) -> Option<DriveEstimate> {
    let indicated = readings.end.value - readings.start.value;
    if indicated.m() <= 0.0 {
        let units = Units::of_step(coarser(readings));
        study.problems.push(
            Problem::error(
                study.source,
                "an odometer reading at the end above the one at the start",
                format!("{} further", units.say_road(indicated, 1)),
            )
            .hint("check that the two readings are not swapped"),
        );
        return None;
    }
    let Some(distance) = study.truth.distance() else { return unknown_length(study) };
    let (gaps, number) = study.truth.gaps();
    if gaps > GAPS_SHARE * distance.value.m() || distance.value.m() <= 0.0 {
        let found =
            format!("{number} gaps that make up {:.0} % of it", 100.0 * gaps / distance.value.m().max(1.0));
        study.problems.push(
            Problem::error(study.source, "a track of the whole drive", found)
                .hint("record the drive without pauses"),
        );
        return None;
    }
    let ends = Ends::new(study);
    let compared = OdometerDistance {
        indicated,
        true_m: distance.value.m() + ends.lacking_m,
        read_m: reading_m(readings),
        ends_u_m: ends.u_m,
        track_u_m: distance.standard_uncertainty.m(),
    };
    Some(from_distance(study, &compared, readings.read))
}

/// A distance as the odometer counted it beside the true one.
#[derive(Copy, Clone, Debug)]
pub struct OdometerDistance {
    /// What the odometer counted.
    pub indicated: Length,
    /// What is true (m).
    pub true_m: f64,
    /// Standard uncertainty of what was read off it (m).
    pub read_m: f64,
    /// Standard uncertainty of where it begins and ends (m).
    pub ends_u_m: f64,
    /// Standard uncertainty of the track's length (m).
    pub track_u_m: f64,
}

impl OdometerDistance {
    /// Standard deviations of the true distance (m): from the readings, the ends and the track.
    fn parts_m(&self) -> [f64; 3] {
        [self.read_m * self.true_m / self.indicated.m(), self.ends_u_m, self.track_u_m]
    }

    fn u_m(&self) -> f64 {
        self.parts_m().iter().map(|part| part * part).sum::<f64>().sqrt()
    }

    /// Indicated over true.
    pub fn ratio(&self) -> Measured<Ratio> {
        let ratio = self.indicated.m() / self.true_m;
        let u = Ratio::from_plain(ratio * self.u_m() / self.true_m);
        Measured::symmetric(Ratio::from_plain(ratio), u, f64::INFINITY)
    }
}

/// The estimate from such a distance.
pub fn from_distance(study: &mut Study, compared: &OdometerDistance, read: OdometerRead) -> DriveEstimate {
    study.points.used = study.truth.time_s.len();
    let mut estimate = study.finish(Reads::Distance);
    estimate.reading_ratio = Some(compared.ratio());
    estimate.ratio_by_distance = estimate.reading_ratio;
    estimate.compared_distance = Length::from_m(compared.true_m);
    let most = most(compared.parts_m().map(|part| part / compared.u_m()));
    estimate.diagnosis = Diagnosis::OdometerOnly { read, most };
    estimate
}

/// A track that lacks so much of the drive tells no distance.
fn unknown_length(study: &mut Study) -> Option<DriveEstimate> {
    let missing = study.truth.missing();
    let found = missing.map_or("gaps that nothing bridges".into(), |(from, to)| {
        format!("no data from {:.0} s to {:.0} s after its start", from.s(), to.s())
    });
    study.problems.push(
        Problem::error(study.source, "a track of the whole drive", found)
            .hint("record the drive without pauses"),
    );
    None
}

/// One unit of the last digit of the reading that was typed with fewer.
fn coarser(readings: &OdometerReadings) -> Length {
    let (start, end) = (readings.start.resolution, readings.end.resolution);
    if start.m() > end.m() { start } else { end }
}

/// Standard uncertainty of the difference of both readings (m): what was typed behind them, else by how they were read. Two
/// readings of one odometer were read alike, so the fewer digits tell how both were.
fn reading_m(readings: &OdometerReadings) -> f64 {
    let read = reading_u(readings.read, coarser(readings));
    let one_m = |typed: &Typed<Length>| typed.standard_uncertainty.unwrap_or(read).m();
    f64::hypot(one_m(&readings.start), one_m(&readings.end))
}

/// What lies between the readings and the first and the last fix.
struct Ends {
    /// What the track lacks on average (m).
    lacking_m: f64,
    /// Standard uncertainty of that, and of the hand (m).
    u_m: f64,
}

impl Ends {
    fn new(study: &Study) -> Ends {
        let (speeds, interval_s) = (&study.truth.speed_m_per_s, study.truth.interval_s());
        let ends = [speeds.first(), speeds.last()].map(|speed| speed.copied().unwrap_or(0.0));
        // Evenly likely within the interval (GUM 4.3.7).
        let each_s = f64::hypot(interval_s / 12f64.sqrt(), REACTION_S);
        Ends {
            lacking_m: 0.5 * interval_s * ends.iter().sum::<f64>(),
            u_m: each_s * f64::hypot(ends[0], ends[1]),
        }
    }
}

/// What makes up most of the uncertainty, where one thing does. `shares` are the deviations of readings, ends and track over
/// that of all.
fn most(shares: [f64; 3]) -> Option<MostOfIt> {
    let [readings, ends, _] = shares.map(|share| share * share > MOST);
    readings.then_some(MostOfIt::Readings).or(ends.then_some(MostOfIt::Ends))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::{Fix, Track};
    use crate::measure::drive::{Indicated, estimate};
    use metrology::quantity::{Angle, Instant, Speed};
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// 1000 s at 20 m/s between two stops: 20 km.
    fn track() -> Track {
        let fix = |k: usize| Fix {
            time: Some(Instant::from_s(k as f64)),
            speed: Some(Speed::from_m_per_s(if k.is_multiple_of(1001) { 0.0 } else { 20.0 })),
            ..Fix::default()
        };
        Track { fixes: (0..=1001).map(fix).collect(), ..Track::default() }
    }

    fn readings(start_m: f64, end_m: f64, step_m: f64, read: OdometerRead) -> OdometerReadings {
        let typed = |m: f64| Typed {
            value: Length::from_m(m),
            standard_uncertainty: None,
            resolution: Length::from_m(step_m),
        };
        OdometerReadings { start: typed(start_m), end: typed(end_m), read }
    }

    fn found(track: &Track, readings: OdometerReadings) -> DriveEstimate {
        estimate("drive", track, &Indicated::Odometer(readings)).0.unwrap()
    }

    #[test]
    fn ratio_of_distances_and_what_the_last_digit_costs() {
        let of = |step_m: f64, read| {
            let found = found(&track(), readings(5e7, 5e7 + 20_600.0, step_m, read));
            let track_u = 1.03 * found.distance.unwrap().relative_uncertainty().plain();
            (found.reading_ratio.unwrap(), found.diagnosis, track_u)
        };
        // No heights: the road is taken 1.3e-4 longer than on the map.
        let (fine, diagnosis, track_u) = of(10.0, OdometerRead::Digits);
        assert!((fine.value.plain() - 1.03 / 1.00013).abs() < 1e-9, "{fine:?}");
        let expected = Diagnosis::OdometerOnly { read: OdometerRead::Digits, most: None };
        assert_eq!(diagnosis, expected);
        // q²/12 for each of two readings: 1000 m / sqrt 6 of 20 600 m, times 1.03.
        let expected = f64::hypot(1.03 * 1000.0 / 6f64.sqrt() / 20_600.0, track_u);
        let (coarse, diagnosis, _) = of(1000.0, OdometerRead::Digits);
        assert!((coarse.standard_uncertainty.plain() / expected - 1.0).abs() < 0.01, "{coarse:?}");
        let expected_most = Some(MostOfIt::Readings);
        assert_eq!(diagnosis, Diagnosis::OdometerOnly { read: OdometerRead::Digits, most: expected_most });
        // 1000 m / 36 for each of two: a tenth of that and less.
        let (turned, ..) = of(1000.0, OdometerRead::AsItTurned);
        let beside_track = (turned.standard_uncertainty.plain().powi(2) - track_u * track_u).sqrt();
        assert!(beside_track < 0.15 * expected, "{turned:?}");
    }

    #[test]
    fn an_uncertainty_that_was_typed_counts() {
        let mut readings = readings(5e7, 5e7 + 20_600.0, 1000.0, OdometerRead::Digits);
        readings.start.standard_uncertainty = Some(Length::from_m(30.0));
        readings.end.standard_uncertainty = Some(Length::from_m(40.0));
        // 30 m and 40 m make 50 m.
        assert!((reading_m(&readings) - 50.0).abs() < 1e-9);
    }

    #[test]
    fn problems_speak_the_units_that_were_typed() {
        let told = |step_m: f64| {
            let readings = readings(5e6, 4.999e6, step_m, OdometerRead::Digits);
            let problems = estimate("drive", &track(), &Indicated::Odometer(readings)).1;
            problems.iter().map(ToString::to_string).collect::<String>()
        };
        assert!(told(100.0).contains("-1.0 km further"), "{}", told(100.0));
        assert!(told(160.9344).contains("-0.6 mi further"), "{}", told(160.9344));
    }

    /// One drive of `minutes` at one speed as it happens: the recording is started at any instant and holds the whole seconds
    /// after it; the odometer's wheel stands where it stands; whoever reads it does so in this way. Speed and distance are
    /// exact, so what is covered is what the readings and the ends cost. Returns whether the interval holds the ratio.
    fn covers(read: OdometerRead, minutes: f64, speed_m_per_s: f64, chance: &mut ChaCha8Rng) -> bool {
        const RATIO: f64 = 1.03;
        let step_m = Length::from_mi(0.1).m();
        let wheel = chance.random_range(0.0..step_m) + 1e7 * step_m;
        let mut begin_s = chance.random_range(0.0..1.0);
        let mut end_s = begin_s + 60.0 * minutes + chance.random_range(0.0..60.0);
        let shown_at = |time_s: f64| wheel + RATIO * speed_m_per_s * time_s;
        // A sum of twelve even chances is near enough to normal.
        let mut normal = || (0..12).map(|_| chance.random_range(-0.5..0.5)).sum::<f64>();
        let mut edge = |time_s: &mut f64| {
            // The digit comes up as the wheel stands on its edge, give or take its play; then a hand moves.
            let shown = (shown_at(*time_s) / step_m).ceil() * step_m;
            *time_s += (shown + normal() * step_m / 36.0 - shown_at(*time_s)) / (RATIO * speed_m_per_s);
            *time_s += REACTION_S * normal();
            shown
        };
        let (start, end, step) = match read {
            OdometerRead::AsItTurned => (edge(&mut begin_s), edge(&mut end_s), step_m),
            OdometerRead::Digits => {
                let shown = |time_s| (shown_at(time_s) / step_m).floor() * step_m;
                (shown(begin_s), shown(end_s), step_m)
            }
            OdometerRead::BetweenDigits => {
                let fine = step_m / 10.0;
                let mut shown = |time_s| {
                    let seen = shown_at(time_s) + chance.random_range(-fine..fine);
                    let plays = (0..12).map(|_| chance.random_range(-0.5..0.5)).sum::<f64>() * step_m / 36.0;
                    seen + plays
                };
                (shown(begin_s), shown(end_s), fine)
            }
        };
        // Due north with exact positions, so that the length of the track is sure; 111 131.7 m a degree at 45 degrees (WGS84).
        let fix = |k: i64| Fix {
            time: Some(Instant::from_s(k as f64)),
            latitude: Some(Angle::from_deg(45.0 + speed_m_per_s * k as f64 / 111_131.7)),
            longitude: Some(Angle::from_deg(7.0)),
            speed: Some(Speed::from_m_per_s(speed_m_per_s)),
            ..Fix::default()
        };
        let fixes = (begin_s.ceil() as i64..=end_s.floor() as i64).map(fix).collect();
        let track = Track { fixes, ..Track::default() };
        let ratio = found(&track, readings(start, end, step, read)).reading_ratio.unwrap();
        ratio.low_95.plain() < RATIO && RATIO < ratio.high_95.plain()
    }

    /// Of 4000 an interval of 95 % holds 93 to 97 % all but never (binomial: 0.34 % one standard deviation).
    #[test]
    fn intervals_hold_what_they_say() {
        for read in [OdometerRead::Digits, OdometerRead::BetweenDigits, OdometerRead::AsItTurned] {
            for speed_m_per_s in [2.0, 27.0] {
                let mut chance = ChaCha8Rng::seed_from_u64(11);
                let hits = (0..4000).filter(|_| covers(read, 2.0, speed_m_per_s, &mut chance)).count();
                assert!((3720..=3880).contains(&hits), "{read} at {speed_m_per_s} m/s: {hits} of 4000");
            }
        }
    }
}
