//! What a drive with marks would tell, before it is driven: drives of the plainest kind, given to the estimator itself, so that
//! what it promises and what it later says come about alike.
//!
//! The road is straight and level, the receiver errs as phones do in the open (slowly by some metres, and by some decimetres from
//! fix to fix; common practice, no source), and what the truck shows is true: no scatter widens what the readings cost by themselves.
//! A real drive with slips or a curved dial is less sure than this.

use super::estimate_under;
use super::types::{DriveConditions, Indicated, Marked};
use crate::logs::{Clock, Fix, MarkedHold, MarkedOdometer, Marks, Track};
use metrology::measured::Measured;
use metrology::quantity::{Angle, Duration, Instant, Length, Ratio, Speed};
use metrology::text::Typed;

/// From one held speed to the next (s), for whoever plans the time as well.
pub const BETWEEN_HOLDS_S: f64 = 20.0;
/// Slow error of the positions (m) and its period (s).
const SLOW_M: f64 = 2.0;
const SLOW_PERIOD_S: f64 = 97.0;
/// White errors of positions (m) and speeds (m/s): steps of these, in a fixed order.
const WHITE_STEP_M: f64 = 0.2;
const SPEED_STEP_M_PER_S: f64 = 0.03;
/// Metres in a degree of latitude, near enough: only uncertainties are asked of these drives.
const METRES_PER_DEGREE: f64 = 111_000.0;

/// A drive of one second a fix.
#[derive(Default)]
struct Planned {
    speeds_m_per_s: Vec<f64>,
    marks: Marks,
}

impl Planned {
    fn now_s(&self) -> f64 {
        self.speeds_m_per_s.len() as f64
    }

    fn change_to(&mut self, to_m_per_s: f64) {
        let from = self.speeds_m_per_s.last().copied().unwrap_or(0.0);
        let steps = BETWEEN_HOLDS_S as usize;
        let share = |step: usize| step as f64 / BETWEEN_HOLDS_S;
        self.speeds_m_per_s.extend((1..=steps).map(|step| from + (to_m_per_s - from) * share(step)));
    }

    fn hold(&mut self, for_s: f64) {
        let speed = self.speeds_m_per_s.last().copied().unwrap_or(0.0);
        self.speeds_m_per_s.extend(std::iter::repeat_n(speed, for_s.ceil() as usize));
    }

    /// The ratio that the estimator would tell.
    fn told(self, conditions: &DriveConditions, which: Marked) -> Option<Measured<Ratio>> {
        let mut metres = 0.0;
        let fix = |(second, speed): (usize, &f64)| {
            metres += speed;
            let slow_m = SLOW_M * (std::f64::consts::TAU * second as f64 / SLOW_PERIOD_S).sin();
            let white_m = WHITE_STEP_M * ((second * 7 % 5) as f64 - 2.0);
            let speed = speed + SPEED_STEP_M_PER_S * ((second * 3 % 7) as f64 - 3.0);
            Fix {
                time: Some(Instant::from_s(second as f64)),
                latitude: Some(Angle::from_deg(45.0 + (metres + slow_m + white_m) / METRES_PER_DEGREE)),
                longitude: Some(Angle::from_deg(9.5)),
                speed: Some(Speed::from_m_per_s(speed.max(0.0))),
                ..Fix::default()
            }
        };
        let fixes = self.speeds_m_per_s.iter().enumerate().map(fix).collect();
        let track = Track { fixes, marks: self.marks, clock: Clock::Absolute };
        estimate_under(conditions, "plan", &track, &Indicated::Marks(which)).0?.reading_ratio
    }
}

/// The ratio of a dial that so many holds tell, each as long, at these speeds in turn.
pub fn by_holds(
    conditions: &DriveConditions,
    speeds: &[Speed],
    holds: usize,
    lasting: Duration,
) -> Option<Measured<Ratio>> {
    let mut planned = Planned::default();
    for shown in speeds.iter().copied().cycle().take(holds) {
        planned.change_to(shown.m_per_s());
        let start = Instant::from_s(planned.now_s());
        planned.hold(lasting.s());
        let end = Instant::from_s(planned.now_s());
        planned.hold(1.0);
        planned.marks.holds.push(MarkedHold { line: 0, shown, start, end });
    }
    planned.told(conditions, Marked::Holds)
}

/// The ratio of an odometer that is marked as it turns, twice so far from each other, its last digit counting in steps of `step`.
pub fn by_odometer(
    conditions: &DriveConditions,
    distance: Length,
    step: Length,
    speed: Speed,
) -> Option<Measured<Ratio>> {
    let mut planned = Planned::default();
    planned.change_to(speed.m_per_s());
    let lasting_s = distance.m() / speed.m_per_s();
    let from_s = planned.now_s();
    planned.hold(lasting_s + 2.0);
    let mark = |at_s: f64, value: Length| MarkedOdometer {
        line: 0,
        shown: Typed { value, standard_uncertainty: None, resolution: step },
        at: Instant::from_s(at_s),
    };
    let start = Length::from_m(1e5 * step.m());
    planned.marks.odometer =
        vec![mark(from_s, start), mark(from_s + lasting_s, Length::from_m(start.m() + distance.m()))];
    planned.told(conditions, Marked::Odometer)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::evidence::ReadFrom;

    fn half_width(ratio: Option<Measured<Ratio>>) -> f64 {
        let ratio = ratio.unwrap();
        0.5 * (ratio.high_95.plain() - ratio.low_95.plain())
    }

    /// Fifty holds with the offset of the needle free within its prior: the weighted line by hand, as a sum over the holds.
    fn by_hand(speeds: &[f64], offset_u: f64, each_u: f64) -> f64 {
        let w = 1.0 / (each_u * each_u);
        let sxx: f64 = speeds.iter().map(|v| w * v * v).sum();
        let sx: f64 = speeds.iter().map(|v| w * v).sum();
        let s: f64 = 1.0 / (offset_u * offset_u) + w * speeds.len() as f64;
        1.96 * (s / (sxx * s - sx * sx)).sqrt()
    }

    #[test]
    fn holds_cost_what_reading_a_dial_costs() {
        let speeds = [30.0, 45.0, 60.0].map(Speed::from_mi_per_h);
        let m_per_s: Vec<f64> = speeds.iter().map(|speed| speed.m_per_s()).collect();
        // The driver's seat: 0.258 m/s shared and 0.27 m/s each, see `against::holds`; the track adds some hundredths.
        let conditions = DriveConditions { read_from: ReadFrom::Driver, ..DriveConditions::default() };
        for holds in [1, 3, 6, 12] {
            let told = half_width(by_holds(&conditions, &speeds, holds, Duration::from_s(20.0)));
            let all: Vec<f64> = m_per_s.iter().copied().cycle().take(holds).collect();
            let expected = by_hand(&all, 0.258, 0.27);
            assert!((told / expected - 1.0).abs() < 0.1, "{holds} holds: {told}, by hand {expected}");
        }
    }

    #[test]
    fn more_holds_and_a_longer_way_tell_more() {
        let conditions = DriveConditions::default();
        let speeds = [30.0, 45.0, 60.0].map(Speed::from_mi_per_h);
        let widths: Vec<f64> = (1..9)
            .map(|holds| half_width(by_holds(&conditions, &speeds, holds, Duration::from_s(20.0))))
            .collect();
        assert!(widths.windows(2).all(|pair| pair[1] < pair[0] * 1.001), "{widths:?}");
        let odometer = |miles: f64| {
            let (distance, step) = (Length::from_mi(miles), Length::from_mi(0.1));
            half_width(by_odometer(&conditions, distance, step, Speed::from_mi_per_h(55.0)))
        };
        // Play of 0.1 mi / 36 and 0.15 s at 24.6 m/s for each of two marks: sqrt(2) * hypot(4.47, 3.69) m = 8.2 m in a mile.
        let expected = 1.96 * 8.2 / Length::from_mi(1.0).m();
        assert!((odometer(1.0) / expected - 1.0).abs() < 0.1, "{} and {expected}", odometer(1.0));
        // What the marks cost falls with the way; what the track's own length costs stays, and is less than 0.12 % of it
        // (`truth::length`: the carrier's scale and slopes without heights make up most of that).
        for miles in [2.0, 5.0, 10.0, 20.0] {
            let (told, marks) = (odometer(miles), expected / miles);
            assert!(
                marks < told && told < marks.hypot(1.96 * 1.2e-3),
                "{miles} mi: {told}, the marks {marks}"
            );
        }
    }
}
