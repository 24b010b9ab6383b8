//! Roads by their length: speed limits, bends, corners, grades, and places where one has to stop.

use super::chance::{Chance, GaussMarkov};

/// Step along the road (m).
pub const STEP_M: f64 = 2.0;
/// Bends of roads begin and end over about so many metres.
const EASING_M: f64 = 16.0;

/// What kind of road.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Kind {
    City,
    Suburb,
    Country,
    Highway,
}

/// Somewhere to stop: place along the road (m) and how long (s).
#[derive(Copy, Clone, Debug)]
pub struct Stop {
    pub at_m: f64,
    pub wait_s: f64,
}

/// A road, every [`STEP_M`].
#[derive(Default)]
pub struct Road {
    pub limit_m_per_s: Vec<f64>,
    pub bend_per_m: Vec<f64>,
    pub grade: Vec<f64>,
    pub stops: Vec<Stop>,
}

/// What a piece of road of one kind is made of. Lengths, radii (m) and limits (m/s) are those of ordinary street
/// design, from memory; shares are judgements.
struct Make {
    straight_m: (f64, f64),
    radius_m: (f64, f64),
    bend_deg: (f64, f64),
    limits: &'static [f64],
    corner: f64,
    corner_radius_m: (f64, f64),
    stop: f64,
    wait_s: (f64, f64),
}

fn make(kind: Kind) -> Make {
    let none = (1.0, 1.0);
    match kind {
        Kind::City => Make {
            straight_m: (60.0, 260.0),
            radius_m: (60.0, 300.0),
            bend_deg: (0.0, 12.0),
            limits: &[8.3, 11.2, 13.4, 13.9],
            corner: 0.2,
            corner_radius_m: (8.0, 15.0),
            stop: 0.35,
            wait_s: (2.0, 45.0),
        },
        Kind::Suburb => Make {
            straight_m: (120.0, 700.0),
            radius_m: (70.0, 400.0),
            bend_deg: (5.0, 70.0),
            limits: &[13.4, 15.6, 17.9, 20.1],
            corner: 0.1,
            corner_radius_m: (12.0, 22.0),
            stop: 0.16,
            wait_s: (2.0, 40.0),
        },
        Kind::Country => Make {
            straight_m: (80.0, 900.0),
            radius_m: (50.0, 350.0),
            bend_deg: (10.0, 90.0),
            limits: &[20.1, 22.4, 24.6],
            corner: 0.03,
            corner_radius_m: (15.0, 30.0),
            stop: 0.03,
            wait_s: (2.0, 8.0),
        },
        Kind::Highway => Make {
            straight_m: (400.0, 2500.0),
            radius_m: (500.0, 2500.0),
            bend_deg: (3.0, 40.0),
            limits: &[26.8, 29.1, 31.3],
            corner: 0.0,
            corner_radius_m: none,
            stop: 0.0,
            wait_s: none,
        },
    }
}

impl Road {
    fn len_m(&self) -> f64 {
        self.limit_m_per_s.len() as f64 * STEP_M
    }

    fn lay(&mut self, length_m: f64, limit_m_per_s: f64, bend_per_m: f64) {
        let count = (length_m / STEP_M).ceil().max(1.0) as usize;
        self.limit_m_per_s.extend(std::iter::repeat_n(limit_m_per_s, count));
        self.bend_per_m.extend(std::iter::repeat_n(bend_per_m, count));
    }

    /// Adds so many metres of one kind.
    pub fn add(&mut self, kind: Kind, length_m: f64, chance: &mut Chance) {
        let (make, end_m) = (make(kind), self.len_m() + length_m);
        while self.len_m() < end_m {
            let mut limit = chance.of_these(make.limits);
            // One stretch of highway in ten is slow with traffic.
            if kind == Kind::Highway && chance.happens(0.1) {
                limit = chance.between(8.0, 18.0);
            }
            let side = chance.of_these(&[-1.0, 1.0]);
            self.lay(chance.between(make.straight_m.0, make.straight_m.1), limit, 0.0);
            let radius_m = chance.between_log(make.radius_m.0, make.radius_m.1);
            let turn = chance.between(make.bend_deg.0, make.bend_deg.1).to_radians();
            self.lay(turn * radius_m, limit, side / radius_m);
            if chance.happens(make.stop) {
                let wait_s = chance.between(make.wait_s.0, make.wait_s.1);
                self.stops.push(Stop { at_m: self.len_m(), wait_s });
            }
            if chance.happens(make.corner) {
                let radius_m = chance.between(make.corner_radius_m.0, make.corner_radius_m.1);
                let angle = chance.between(70.0, 100.0).to_radians();
                self.lay(angle * radius_m, limit, side / radius_m);
            }
        }
    }

    /// Eases the bends and lays the road over hills with grades of this deviation.
    pub fn finish(mut self, grade_deviation: f64, chance: &mut Chance) -> Self {
        let reach = (EASING_M / STEP_M / 2.0) as usize;
        let (len, sharp) = (self.bend_per_m.len(), &self.bend_per_m);
        let mut sums = vec![0.0; len + 1];
        (0..len).for_each(|k| sums[k + 1] = sums[k] + sharp[k]);
        let span = |k: usize| (k.saturating_sub(reach), (k + reach + 1).min(len));
        let eased = (0..len).map(span).map(|(from, to)| (sums[to] - sums[from]) / (to - from) as f64);
        self.bend_per_m = eased.collect();
        // Hills a few hundred metres long; the grade itself changes over vertical curves, not at once.
        let hill_m = chance.between(250.0, 900.0);
        let mut hills = GaussMarkov::new(grade_deviation, hill_m, chance);
        let mut grade = 0.0;
        let easing = 1.0 - (-STEP_M / 60.0_f64).exp();
        for _ in 0..len {
            grade += easing * (hills.after(STEP_M, chance) - grade);
            self.grade.push(grade);
        }
        self
    }
}
