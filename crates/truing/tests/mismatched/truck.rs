//! The truck: what its output shaft and the constants behind it make of the true motion.

use super::motion::{Motion, STEP_S};

/// Gravity (m/s2).
const GRAVITY: f64 = 9.81;
/// Rolling resistance of a truck on asphalt, and its air drag over weight at 1 m/s: half of 1.2 kg/m3 times 2.2 m2 over
/// 2900 kg and gravity. From memory, handbook size.
const ROLLING: f64 = 0.011;
const DRAG_PER_M2_PER_S2: f64 = 0.5 * 1.2 * 2.2 / (2900.0 * GRAVITY);
/// Most slip before a tire spins.
const MOST_SLIP: f64 = 0.03;
/// The two speeds (m/s) between which the growth of a tire is told: 30 and 70 mph.
const GROWTH_FROM: f64 = 13.41;
const GROWTH_TO: f64 = 31.29;

/// What turns true speed into indicated speed, before any electronics of the dash or the logger.
#[derive(Copy, Clone, Debug)]
pub struct Truck {
    /// Indicated over true while standing still: the constant that is set.
    pub ratio: f64,
    /// How much the rolling radius grows from 30 to 70 mph, quadratic in speed: radial 0.002, bias 0.010.
    pub growth: f64,
    /// Slip of the driven wheels per tractive force over weight, under power only.
    pub slip: f64,
    /// A worn magnetic head: share that is lost at 25 m/s, growing with the square of the distance from 15 m/s.
    pub bow: f64,
}

impl Truck {
    /// Indicated speed (m/s) on the grid of the motion.
    pub fn indicated_m_per_s(&self, motion: &Motion) -> Vec<f64> {
        let radius = |v: f64| {
            let from = GROWTH_FROM * GROWTH_FROM;
            1.0 + self.growth * (v * v - from) / (GROWTH_TO * GROWTH_TO - from)
        };
        let at = |k: usize| {
            let v = motion.speed_m_per_s[k];
            let force =
                motion.gain_m_per_s2[k] / GRAVITY + motion.grade[k] + ROLLING + DRAG_PER_M2_PER_S2 * v * v;
            let slip = (self.slip * force).clamp(0.0, MOST_SLIP);
            let bow = self.bow * ((v - 15.0) / 10.0).powi(2).min(2.0);
            v * self.ratio * (1.0 + slip) * (1.0 - bow) / radius(v)
        };
        (0..motion.speed_m_per_s.len()).map(at).collect()
    }
}

/// Integral (m) of speeds on the grid.
pub fn integral_m(speeds: &[f64]) -> Vec<f64> {
    let mut along = Vec::with_capacity(speeds.len());
    let mut sum = 0.0;
    for (k, speed) in speeds.iter().enumerate() {
        if k > 0 {
            sum += 0.5 * (speed + speeds[k - 1]) * STEP_S;
        }
        along.push(sum);
    }
    along
}
