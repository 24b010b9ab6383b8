//! The receiver: where it believes to be and how fast, with the errors that receivers have.

use super::chance::{Chance, GaussMarkov};
use super::motion::{Motion, between, moved};
use std::collections::VecDeque;

/// What a receiver does to low speeds (m/s).
#[derive(Copy, Clone, Debug)]
pub enum LowSpeed {
    /// Nothing.
    As,
    /// Noise of the velocity's two parts makes the speed never fall below about this.
    Floor(f64),
    /// Below this it says zero.
    Zero(f64),
}

/// A receiver.
#[derive(Clone, Debug)]
pub struct Receiver {
    pub interval_s: f64,
    /// Slow error of each coordinate: deviation (m) and correlation time (s); white error (m).
    pub slow_m: f64,
    pub slow_s: f64,
    pub white_m: f64,
    /// Reflections: mean time between runs (s) where slow; tens of metres for minutes.
    pub reflections_s: Option<f64>,
    /// Positions lie on a grid of this size (m).
    pub grid_m: Option<f64>,
    /// Positions are put on the middle of the road.
    pub on_road: bool,
    /// A position is kept while standing.
    pub pinned: bool,
    /// Error of the reported speed: deviation (m/s), correlation time (s), and share of the speed.
    pub speed_m_per_s: f64,
    pub speed_s: f64,
    pub scale: f64,
    pub low: LowSpeed,
    /// Running means over the last so many seconds.
    pub smooth_speed_s: f64,
    pub smooth_position_s: f64,
    /// How late they are (s), running means apart.
    pub speed_delay_s: f64,
    pub position_delay_s: f64,
    /// Deviation of the height (m), if it has one.
    pub height_m: Option<f64>,
    /// Says dilution of precision and course.
    pub talkative: bool,
}

/// What a receiver says at one moment.
#[derive(Copy, Clone, Debug, Default)]
pub struct Seen {
    /// True time of the saying (s).
    pub at_s: f64,
    /// True time at which the place was, or the speed where there is no place.
    pub was_s: f64,
    pub place: Option<(f64, f64)>,
    pub height_m: Option<f64>,
    pub speed_m_per_s: Option<f64>,
    pub course_rad: Option<f64>,
    pub hdop: Option<f64>,
}

/// Below this (m/s) a receiver that pins believes to stand, and above that to move again.
const PINS_BELOW: f64 = 0.3;
const MOVES_ABOVE: f64 = 1.0;

/// Errors that go on from one fix to the next.
struct Errors {
    north: GaussMarkov,
    east: GaussMarkov,
    height: GaussMarkov,
    speed: GaussMarkov,
    reflected: [GaussMarkov; 2],
    reflected_until_s: f64,
    reflected_share: f64,
}

impl Receiver {
    /// How late its positions and its speeds are (s).
    pub fn late_s(&self) -> (f64, f64) {
        let position_s = self.position_delay_s + 0.5 * (self.smooth_position_s - self.interval_s).max(0.0);
        let speed_s = self.speed_delay_s + 0.5 * self.smooth_speed_s;
        (position_s, speed_s)
    }

    /// Everything it says during a drive.
    pub fn see(&self, motion: &Motion, chance: &mut Chance) -> Vec<Seen> {
        let end_s = (motion.along_m.len() - 1) as f64 * super::motion::STEP_S;
        let phase_s = chance.between(0.0, self.interval_s.min(1.0));
        let reflected_m = chance.between(10.0, 40.0);
        let reflected_s = chance.between(10.0, 40.0);
        let height_m = self.height_m.unwrap_or(0.0);
        let mut errors = Errors {
            north: GaussMarkov::new(self.slow_m, self.slow_s, chance),
            east: GaussMarkov::new(self.slow_m, self.slow_s, chance),
            height: GaussMarkov::new(height_m, 2.0 * self.slow_s, chance),
            speed: GaussMarkov::new(self.speed_m_per_s, self.speed_s, chance),
            reflected: [0, 1].map(|_| GaussMarkov::new(reflected_m, reflected_s, chance)),
            reflected_until_s: 0.0,
            reflected_share: 0.0,
        };
        let mut recent = VecDeque::new();
        let mut pinned: Option<(f64, f64)> = None;
        let count = ((end_s - phase_s) / self.interval_s) as usize + 1;
        let mut seen = Vec::with_capacity(count);
        for index in 0..count {
            let at_s = phase_s + index as f64 * self.interval_s;
            let speed = between(&motion.speed_m_per_s, at_s);
            let mut place = self.place(motion, at_s, &mut errors, chance);
            recent.push_back(place);
            let keep = ((self.smooth_position_s / self.interval_s).round() as usize).max(1);
            while recent.len() > keep {
                recent.pop_front();
            }
            let share = 1.0 / recent.len() as f64;
            place = recent.iter().fold((0.0, 0.0), |sum, one| (sum.0 + share * one.0, sum.1 + share * one.1));
            if self.pinned {
                pinned = match pinned {
                    Some(kept) if speed < MOVES_ABOVE => Some(kept),
                    None if speed < PINS_BELOW => Some(place),
                    _ => None,
                };
            }
            let place = self.on_grid(pinned.unwrap_or(place));
            seen.push(Seen { place: Some(place), ..self.rest(motion, at_s, &mut errors, chance) });
        }
        seen
    }

    /// A place with its errors.
    fn place(&self, motion: &Motion, at_s: f64, errors: &mut Errors, chance: &mut Chance) -> (f64, f64) {
        let then_s = (at_s - self.position_delay_s).max(0.0);
        let mut north_m = errors.north.after(self.interval_s, chance) + self.white_m * chance.normal();
        let mut east_m = errors.east.after(self.interval_s, chance) + self.white_m * chance.normal();
        self.reflect(at_s, between(&motion.speed_m_per_s, at_s), errors, chance);
        let reflected = errors.reflected.each_mut().map(|process| process.after(self.interval_s, chance));
        north_m += errors.reflected_share * reflected[0];
        east_m += errors.reflected_share * reflected[1];
        if self.on_road {
            let heading = between(&motion.heading_rad, then_s);
            let along_m = north_m * heading.cos() + east_m * heading.sin();
            (north_m, east_m) = (along_m * heading.cos(), along_m * heading.sin());
        }
        let true_place = (between(&motion.latitude, then_s), between(&motion.longitude, then_s));
        moved(true_place, between(&motion.height_m, then_s), north_m, east_m)
    }

    /// Whether it listens to reflections now; they come and go within seconds, three times as often where slow.
    fn reflect(&self, at_s: f64, speed: f64, errors: &mut Errors, chance: &mut Chance) {
        let Some(mean_s) = self.reflections_s else { return };
        let often = if speed < 8.0 { 1.0 } else { 1.0 / 3.0 };
        if at_s > errors.reflected_until_s && chance.happens(often * self.interval_s / mean_s) {
            errors.reflected_until_s = at_s + chance.between(20.0, 180.0);
        }
        let aim = if at_s < errors.reflected_until_s { 1.0 } else { 0.0 };
        errors.reflected_share += (aim - errors.reflected_share) * (self.interval_s / 3.0).min(1.0);
    }

    fn on_grid(&self, place: (f64, f64)) -> (f64, f64) {
        let Some(grid_m) = self.grid_m else { return place };
        // A degree of latitude is about 111 km; the grid is one of degrees.
        let step = grid_m / 111_200.0;
        ((place.0 / step).round() * step, (place.1 / step).round() * step)
    }

    /// Speed, height and what else it says.
    fn rest(&self, motion: &Motion, at_s: f64, errors: &mut Errors, chance: &mut Chance) -> Seen {
        let then_s = (at_s - self.speed_delay_s).max(0.0);
        let over = (self.smooth_speed_s / 0.5).round() as usize;
        let flat = |s: f64| {
            let grade = between(&motion.grade, s);
            between(&motion.speed_m_per_s, s) / (1.0 + grade * grade).sqrt()
        };
        let true_speed =
            (0..=over).map(|k| flat((then_s - 0.5 * k as f64).max(0.0))).sum::<f64>() / (over + 1) as f64;
        let noise = errors.speed.after(self.interval_s, chance) * (1.0 + 4.0 * errors.reflected_share);
        let speed = (true_speed * (1.0 + self.scale) + noise).abs();
        let speed = match self.low {
            LowSpeed::As => speed,
            LowSpeed::Floor(floor) => speed.hypot(floor * (1.0 + 0.3 * chance.normal())),
            LowSpeed::Zero(below) if speed < below => 0.0,
            LowSpeed::Zero(_) => speed,
        };
        let height_error_m = errors.height.after(self.interval_s, chance);
        let height_m = between(&motion.height_m, at_s - self.position_delay_s) + height_error_m;
        let course = between(&motion.heading_rad, then_s) + 0.15 * chance.normal() / speed.max(0.1);
        Seen {
            at_s,
            was_s: at_s - self.position_delay_s,
            place: None,
            height_m: self.height_m.map(|_| height_m + 0.3 * chance.normal()),
            speed_m_per_s: Some(speed),
            course_rad: self.talkative.then_some(course.rem_euclid(std::f64::consts::TAU)),
            hdop: self.talkative.then_some(if errors.reflected_share > 0.3 { 2.4 } else { 0.9 }),
        }
    }
}
