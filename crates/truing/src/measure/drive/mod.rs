//! One drive: how the vehicle's indication relates to the truth.
//!
//! One way through the rooms, each using only those before it:
//!
//! ```text
//! input (rows, streams, fixes, samples) -> checks (units, speeds beside positions, same source) -> truth (true speed and length)
//!       -> line (ratio, offset, growth, lag) -> against (a log, called-out speeds, an odometer) -> DriveEstimate
//! ```
//!
//! [`planned`] sends drives through it that are still to come.

mod against;
mod checks;
mod conditions;
pub(in crate::measure) use conditions::construction;
mod input;
mod line;
pub mod planned;
mod rejection;
mod shared_kind;
mod study;
mod truth;
mod types;

pub use rejection::{Rejected, RejectionCause};
pub use types::{
    ComponentFit, Diagnosis, DiagnosisKind, Doubt, DriveConditions, DriveEstimate, Hold, Indicated,
    MOVING_M_PER_S, Marked, MostOfIt, OffsetKind, Points, Reads, Trace,
};

pub use shared_kind::share_offset_kind;

use crate::logs::Track;
use crate::problem::Problem;
use input::fixes::Clean;
use study::Study;

/// Estimates what the vehicle's indication is worth from a drive of which nothing is known but its logs. The track's coordinates go
/// no further than this.
pub fn estimate(source: &str, track: &Track, indicated: &Indicated) -> (Option<DriveEstimate>, Vec<Problem>) {
    estimate_under(&DriveConditions::default(), source, track, indicated)
}

/// Fixes of one drive at most: three hours at a hundred a second, a day at fourteen. Each takes some 600 bytes here; beside the
/// longest log that makes 0.9 GB (measured).
const MOST_FIXES: usize = 1_200_000;

fn too_many(source: &str, track: &Track) -> Option<Problem> {
    let expected = format!("a drive of at most {MOST_FIXES} fixes");
    let problem = Problem::error(source, expected, track.fixes.len().to_string());
    (track.fixes.len() > MOST_FIXES).then(|| problem.hint("give the part of the track with the drive"))
}

/// The same with what is known beside the logs.
pub fn estimate_under(
    conditions: &DriveConditions,
    source: &str,
    track: &Track,
    indicated: &Indicated,
) -> (Option<DriveEstimate>, Vec<Problem>) {
    if let Some(problem) = too_many(source, track) {
        return (None, vec![problem]);
    }
    let mut cleaned = input::fixes::clean(track);
    let told = cleaned.times().problem(source);
    let rows = cleaned.problems(source);
    if cleaned.fixes.len() < 3 {
        return (None, told.into_iter().chain([too_little(source, &cleaned)]).collect());
    }
    if told.as_ref().is_some_and(Problem::is_error) {
        return (None, told.into_iter().collect());
    }
    let coarse = input::coarse_grid::leave_out_coarse(source, track, &mut cleaned);
    if coarse.as_ref().is_some_and(Problem::is_error) {
        return (None, coarse.into_iter().collect());
    }
    let inconsistent = checks::speeds_beside_positions::leave_out_inconsistent(source, &mut cleaned);
    cleaned.drop_lonely_positions();
    let truth = truth::truth(&mut cleaned, conditions);
    let log_source = match indicated {
        Indicated::Log(log) if !log.source.is_empty() => &log.source,
        _ => source,
    };
    let mut study = Study {
        source,
        log_source,
        points: Points { read: cleaned.read, used: 0, rejected: cleaned.rejected },
        truth,
        problems: told.into_iter().chain(rows).chain(coarse).chain(inconsistent).collect(),
        clocks: (track.clock, crate::logs::Clock::None),
        conditions: *conditions,
        doubts: Vec::new(),
    };
    study.note_slopes();
    let estimate = match indicated {
        Indicated::Nothing => Some(study.finish(Reads::Distance)),
        Indicated::Log(log) => {
            let same = checks::same_source::same_source(track, log);
            study.doubts.extend(same.as_ref().map(|_| Doubt::SameSource));
            let estimate = against::channel::against_log(&mut study, log);
            study.problems.extend(same.map(|same| same.problem(log_source)));
            estimate
        }
        Indicated::Holds(called) => against::holds::against_holds(&mut study, called),
        Indicated::Marks(which) => against::marks::against_marks(&mut study, &track.marks, *which),
        Indicated::Odometer(readings) => against::odometer::against_odometer(&mut study, readings),
    };
    (estimate.map(DriveEstimate::doubted), study.problems)
}

fn too_little(source: &str, cleaned: &Clean) -> Problem {
    let why: Vec<String> =
        cleaned.rejected.iter().map(|r| format!("{} without use: {}", r.count, r.cause.words())).collect();
    Problem::error(
        source,
        "a track of at least three fixes with time and position or speed",
        format!("{} usable of {} fixes ({})", cleaned.fixes.len(), cleaned.read, why.join("; ")),
    )
    .hint("record the drive with the time of each point switched on")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::{Fix, VehicleLog};
    use crate::simulate::{Plan, drive as simulated};
    use metrology::quantity::{Duration, Speed};

    #[test]
    fn a_track_that_takes_more_memory_than_there_may_be_is_refused() {
        let fixes = std::iter::repeat_n(Fix::default(), MOST_FIXES + 1).collect();
        let (drive, problems) =
            estimate("day.csv", &Track { fixes, ..Track::default() }, &Indicated::Nothing);
        assert!(drive.is_none() && problems[0].found == "1200001", "{problems:?}");
    }

    #[test]
    fn what_is_wrong_with_the_vehicle_log_names_its_file() {
        let mut drive = simulated(&Plan::mixed(7, 1.03, Duration::from_s(3.0)));
        drive.vehicle.source = "truck.csv".into();
        let impossible = Speed::from_m_per_s(500.0);
        drive.vehicle.samples.iter_mut().step_by(10).for_each(|sample| sample.speed = impossible);
        let told = |log: &VehicleLog| estimate("track.gpx", &drive.track, &Indicated::Log(log.clone())).1;
        let named = crate::problem::Wording::from("truck.csv");
        let of_the_log = |problem: &Problem| problem.to_string().contains("samples of the vehicle log");
        let about: Vec<Problem> = told(&drive.vehicle).into_iter().filter(of_the_log).collect();
        assert!(!about.is_empty() && about.iter().all(|problem| problem.source == named), "{about:?}");
        drive.vehicle.samples.truncate(2);
        let short = told(&drive.vehicle);
        let short = short.iter().find(|problem| problem.expected.contains("three usable samples")).unwrap();
        assert_eq!(short.source.to_string(), "truck.csv");
    }
}
