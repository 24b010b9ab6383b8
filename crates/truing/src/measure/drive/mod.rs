//! One drive: how the vehicle's indication relates to the truth.
//!
//! Track -> `clean` -> `truth` -> beside a vehicle log (`channel`), called-out speeds (`holds`) or two odometer
//! readings (`odometer`) -> [`DriveEstimate`].

mod averages;
mod balance;
mod belied;
mod blind;
mod carried;
mod channel;
mod clean;
mod clocks;
mod coarse;
mod curved;
mod diagnose;
mod drift;
mod exchanged;
mod fit;
mod holds;
mod holes;
mod humps;
mod odometer;
mod rounding;
mod samples;
mod slope;
mod stale;
mod times;
mod truth;
mod units;
mod whiten;

pub use diagnose::{Diagnosis, DiagnosisKind};
pub use holds::Hold;

use crate::describe::evidence::OdometerReadings;
use crate::logs::{Track, VehicleLog};
use crate::problem::Problem;
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Ratio, Speed};
use serde::Serialize;

/// What indicated.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Reads {
    /// A bus or logger speed.
    Channel,
    /// The dial, as called out.
    Needle,
    /// The odometer.
    Distance,
}

/// What the vehicle indicated during the drive.
#[derive(Clone, Debug, PartialEq)]
pub enum Indicated {
    /// Nothing: the track alone tells the true distance.
    Nothing,
    /// The vehicle's own log.
    Log(VehicleLog),
    /// Steady speeds called out, in order.
    Holds(Vec<Speed>),
    /// Odometer readings, taken where the recording of the track was started and where it was stopped.
    Odometer(OdometerReadings),
}

/// How many points were left out for one reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Rejected {
    /// Why.
    pub reason: &'static str,
    /// How many.
    pub count: usize,
}

/// Points of the drive.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Points {
    /// Points read, track and vehicle log together.
    pub read: usize,
    /// Points the result rests on.
    pub used: usize,
    /// Points left out, by reason.
    pub rejected: Vec<Rejected>,
}

/// Both channels for drawing: time since the start, true speed, indicated speed at the truth's time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trace {
    /// True speed over time since the start of the track.
    pub truth: Vec<(Duration, Speed)>,
    /// Indicated speed over the same time.
    pub indicated: Vec<(Duration, Speed)>,
}

/// What a drive says.
#[derive(Clone, Debug, PartialEq)]
pub struct DriveEstimate {
    /// What indicated.
    pub reads: Reads,
    /// Indicated over true, the offset held by its prior.
    pub reading_ratio: Option<Measured<Ratio>>,
    /// Integral of indicated over integral of true above [`MOVING_M_PER_S`], no offset.
    pub ratio_by_distance: Option<Measured<Ratio>>,
    /// The offset of the indication.
    pub offset: Option<Measured<Speed>>,
    /// Correlation of ratio and offset.
    pub ratio_offset_correlation: f64,
    /// The vehicle log's clock minus the track's.
    pub clock_lag: Option<Measured<Duration>>,
    /// True length of the drive; holes in the track that the vehicle's log covers are as long as it says.
    pub distance: Measured<Length>,
    /// Length of the drive that the ratio rests on.
    pub compared_distance: Length,
    /// From first to last fix.
    pub duration: Duration,
    /// What was read, used and left out.
    pub points: Points,
    /// Steady stretches, where speeds were called out.
    pub holds: Vec<Hold>,
    /// What kind of error it is.
    pub diagnosis: Diagnosis,
    /// For drawing.
    pub trace: Trace,
}

/// The speed (m/s) above which samples count: below it, rounding and wheel-lock say more than the ratio.
pub const MOVING_M_PER_S: f64 = 5.0;

/// A drive under study: the truth and what was read to get there.
struct Study<'a> {
    source: &'a str,
    truth: truth::Truth,
    points: Points,
    problems: Vec<Problem>,
    clocks: (crate::logs::Clock, crate::logs::Clock),
}

/// Estimates what the vehicle's indication is worth from a drive. The track's coordinates go no further than this.
pub fn estimate(source: &str, track: &Track, indicated: &Indicated) -> (Option<DriveEstimate>, Vec<Problem>) {
    let mut cleaned = clean::clean(track);
    let told = cleaned.times().problem(source);
    if cleaned.fixes.len() < 3 {
        return (None, told.into_iter().chain([too_little(source, &cleaned)]).collect());
    }
    if told.as_ref().is_some_and(Problem::is_error) {
        return (None, told.into_iter().collect());
    }
    let coarse = coarse::leave_out_coarse(source, track, &mut cleaned);
    if coarse.as_ref().is_some_and(Problem::is_error) {
        return (None, coarse.into_iter().collect());
    }
    let belied = belied::leave_out_belied(source, &mut cleaned);
    let truth = truth::truth(&mut cleaned);
    let mut study = Study {
        source,
        points: Points { read: cleaned.read, used: 0, rejected: cleaned.rejected },
        truth,
        problems: told.into_iter().chain(coarse).chain(belied).collect(),
        clocks: (track.clock, crate::logs::Clock::None),
    };
    study.tell_of_slopes();
    let estimate = match indicated {
        Indicated::Nothing => Some(study.finish(Reads::Distance)),
        Indicated::Log(log) => channel::against_log(&mut study, log),
        Indicated::Holds(called) => holds::against_holds(&mut study, called),
        Indicated::Odometer(readings) => odometer::against_odometer(&mut study, readings),
    };
    (estimate, study.problems)
}

fn too_little(source: &str, cleaned: &clean::Clean) -> Problem {
    let why: Vec<String> =
        cleaned.rejected.iter().map(|r| format!("{} without use: {}", r.count, r.reason)).collect();
    Problem::error(
        source,
        "a track of at least three fixes with time and position or speed",
        format!("{} usable of {} fixes ({})", cleaned.fixes.len(), cleaned.read, why.join("; ")),
    )
    .hint("record the drive with the time of each point switched on")
}

impl Study<'_> {
    fn tell_of_slopes(&mut self) {
        if let slope::Slope::TooRough { scatter_m } = self.truth.slope {
            let found = format!("heights that err by some {scatter_m:.0} m from one 50 m to the next");
            let problem = Problem::note(self.source, "heights good enough to count slopes", found);
            let hint =
                "lengths are those on the map; a grade of 3 % adds 0.045 %, which the uncertainty holds";
            self.problems.push(problem.hint(hint));
        }
    }

    fn finish(&mut self, reads: Reads) -> DriveEstimate {
        let start = self.truth.time_s.first().copied().unwrap_or(0.0);
        let truth = self.truth.time_s.iter().zip(&self.truth.speed_m_per_s);
        // The smoother may leave a standing truck a breath below nil; no speed is.
        let trace_truth =
            truth.map(|(t, v)| (Duration::from_s(t - start), Speed::from_m_per_s(v.max(0.0)))).collect();
        DriveEstimate {
            reads,
            reading_ratio: None,
            ratio_by_distance: None,
            offset: None,
            ratio_offset_correlation: 0.0,
            clock_lag: None,
            distance: self.truth.distance(),
            compared_distance: Length::from_m(0.0),
            duration: self.truth.duration(),
            points: std::mem::take(&mut self.points),
            holds: Vec::new(),
            diagnosis: Diagnosis::undetermined(),
            trace: Trace { truth: trace_truth, indicated: Vec::new() },
        }
    }
}
