//! A drive under study: what its truth channel says and what was said of it so far.

use super::truth::{Truth, slope::Slope};
use super::types::{Diagnosis, Doubt, DriveConditions, DriveEstimate, MOVING_M_PER_S, Points, Reads, Trace};
use crate::logs::Clock;
use crate::problem::Problem;
use metrology::quantity::{Duration, Length, Speed};

/// A drive under study: the truth and what was read to get there.
pub struct Study<'a> {
    pub source: &'a str,
    /// What the vehicle's own log is called in problems: what is wrong with it is not wrong with the track.
    pub log_source: &'a str,
    pub truth: Truth,
    pub points: Points,
    pub problems: Vec<Problem>,
    pub clocks: (Clock, Clock),
    /// What is known beside the logs.
    pub conditions: DriveConditions,
    /// Why the ratio cannot be told.
    pub doubts: Vec<Doubt>,
}

impl Study<'_> {
    pub fn note_slopes(&mut self) {
        if let Slope::TooRough { scatter_m } = self.truth.slope {
            let found = format!("heights that err by some {scatter_m:.0} m");
            let problem = Problem::note(self.source, "heights good enough to count slopes", found);
            let hint =
                "lengths are those on the map; a grade of 3 % adds 0.045 %, which the uncertainty holds";
            self.problems.push(problem.hint(hint));
        }
    }

    /// The speed at which the ratio is wanted: what was said, else the mean over the distance under way.
    pub fn usual_speed(&self) -> Speed {
        let own = || Speed::from_m_per_s(self.truth.mean_speed_by_distance(MOVING_M_PER_S));
        self.conditions.usual_speed.unwrap_or_else(own)
    }

    pub fn finish(&mut self, reads: Reads) -> DriveEstimate {
        let start = self.truth.time_s.first().copied().unwrap_or(0.0);
        let truth = self.truth.time_s.iter().zip(&self.truth.speed_m_per_s);
        // The smoother may leave a standing truck a breath below zero; no speed is.
        let trace_truth =
            truth.map(|(t, v)| (Duration::from_s(t - start), Speed::from_m_per_s(v.max(0.0)))).collect();
        DriveEstimate {
            reads,
            reading_ratio: None,
            usual_speed: self.usual_speed(),
            doubts: std::mem::take(&mut self.doubts),
            by_offset_kind: Vec::new(),
            ratio_by_distance: None,
            by_odometer: None,
            offset: None,
            ratio_offset_correlation: 0.0,
            clock_lag: None,
            distance: self.truth.distance(),
            missing: self.truth.missing(),
            compared_distance: Length::from_m(0.0),
            duration: self.truth.duration(),
            points: std::mem::take(&mut self.points),
            holds: Vec::new(),
            diagnosis: Diagnosis::Undetermined,
            trace: Trace { truth: trace_truth, indicated: Vec::new() },
        }
    }
}
