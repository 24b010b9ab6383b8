//! A drive against two odometer readings.

use super::{Diagnosis, DriveEstimate, Reads, Study};
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
    estimate.diagnosis = Diagnosis {
        sentence: "Two odometer readings tell the ratio of distances; what kind of error the speed has takes a speed log or called-out speeds.".into(),
        ..Diagnosis::undetermined()
    };
    Some(estimate)
}
