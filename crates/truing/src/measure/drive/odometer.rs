//! A drive against two odometer readings.

use super::{Diagnosis, DiagnosisKind, DriveEstimate, Reads, Study};
use crate::problem::Problem;
use metrology::measured::Measured;
use metrology::quantity::{Length, Ratio};

/// A hole longer than this share of the drive makes the true distance a guess.
const HOLES_SHARE: f64 = 0.2;

pub(super) fn against_odometer(
    study: &mut Study,
    start: Length,
    end: Length,
    resolution: Length,
) -> Option<DriveEstimate> {
    let indicated = end - start;
    if indicated.m() <= 0.0 {
        study.problems.push(
            Problem::error(
                study.source,
                "an odometer reading at the end above the one at the start",
                format!("{:.1} mi further", indicated.mi()),
            )
            .hint("check that the two readings are not swapped"),
        );
        return None;
    }
    let distance = study.truth.distance();
    let (holes, number) = study.truth.holes();
    if holes > HOLES_SHARE * distance.value.m() || distance.value.m() <= 0.0 {
        let found =
            format!("{number} holes that make up {:.0} % of it", 100.0 * holes / distance.value.m().max(1.0));
        study.problems.push(
            Problem::error(study.source, "a track of the whole drive", found)
                .hint("record the drive without pauses"),
        );
        return None;
    }
    let ratio = indicated / distance.value;
    // Each reading is off by up to half its last digit, evenly likely (GUM 4.3.7): two readings, q²/12 each.
    let reading = resolution.m() / 6f64.sqrt() / indicated.m();
    let u = ratio * f64::hypot(reading, distance.relative_uncertainty().plain());
    let measured = Measured::symmetric(Ratio::from_plain(ratio), Ratio::from_plain(u), f64::INFINITY);
    study.points.used = study.truth.time_s.len();
    let mut estimate = Study::finish(study, Reads::Distance);
    estimate.reading_ratio = Some(measured);
    estimate.ratio_by_distance = Some(measured);
    estimate.compared_distance = distance.value;
    let says = "Two odometer readings tell the ratio of distances; what kind of error the speed has takes a speed log or called-out speeds.";
    estimate.diagnosis = Diagnosis::plain(DiagnosisKind::Undetermined, says);
    Some(estimate)
}

#[cfg(test)]
mod tests {
    use crate::logs::{Fix, Track};
    use crate::measure::drive::{Indicated, estimate};
    use metrology::quantity::{Instant, Length, Speed};

    /// 1000 s at 20 m/s: 20 km.
    fn track(pause_s: f64) -> Track {
        let fix = |k: usize| Fix {
            time: Some(Instant::from_s(k as f64 + if k > 500 { pause_s } else { 0.0 })),
            speed: Some(Speed::from_m_per_s(20.0)),
            ..Fix::default()
        };
        Track { fixes: (0..=1000).map(fix).collect(), ..Track::default() }
    }

    #[test]
    fn ratio_of_distances_and_what_the_last_digit_costs() {
        let of = |resolution_m: f64| {
            let indicated = Indicated::Odometer {
                start: Length::from_km(50_000.0),
                end: Length::from_km(50_020.6),
                resolution: Length::from_m(resolution_m),
            };
            estimate("drive", &track(0.0), &indicated).0.unwrap().reading_ratio.unwrap()
        };
        // No heights: the road is taken 1e-4 longer than on the map.
        assert!((of(100.0).value.plain() - 1.03 / 1.0001).abs() < 1e-9);
        // q²/12 for each of two readings: 1000 m / sqrt 6 of 20 600 m, times 1.03.
        let expected = 1.03 * 1000.0 / 6f64.sqrt() / 20_600.0;
        assert!((of(1000.0).standard_uncertainty.plain() / expected - 1.0).abs() < 0.01, "{:?}", of(1000.0));
        assert!(of(100.0).standard_uncertainty.plain() < 0.2 * expected);
    }
}
