//! The true motion: a driver on a road, ten times a second.

use super::chance::{Chance, GaussMarkov};
use super::road::{Kind, Road, STEP_M};

/// Step of the motion (s).
pub const STEP_S: f64 = 0.1;
/// Semi-major axis (m) and squared eccentricity of WGS 84 (NGA.STND.0036).
const EARTH_M: f64 = 6_378_137.0;
const ECCENTRICITY_2: f64 = 0.006_694_379_990_14;

/// What is driven.
#[derive(Clone, Debug, PartialEq)]
pub enum Route {
    /// City, suburb, country and highway in one.
    Mixed,
    /// City streets alone.
    City,
    /// Narrow winding roads.
    Country,
    /// Highway alone.
    Highway,
    /// One speed (m/s) all the way.
    Steady(f64),
    /// These speeds (m/s) held one after the other.
    Holds(Vec<f64>),
}

/// The true motion on an even grid from zero; speeds are those along the road.
#[derive(Default)]
pub struct Motion {
    pub along_m: Vec<f64>,
    pub speed_m_per_s: Vec<f64>,
    pub gain_m_per_s2: Vec<f64>,
    pub grade: Vec<f64>,
    /// Clockwise from north, never wrapped (rad).
    pub heading_rad: Vec<f64>,
    /// Degrees.
    pub latitude: Vec<f64>,
    pub longitude: Vec<f64>,
    pub height_m: Vec<f64>,
}

/// A value between two of a grid; the ends hold.
pub fn between(series: &[f64], at_s: f64) -> f64 {
    let place = (at_s / STEP_S).clamp(0.0, series.len().saturating_sub(1) as f64);
    let low = place.floor() as usize;
    let high = (low + 1).min(series.len() - 1);
    series[low] + (place - low as f64) * (series[high] - series[low])
}

/// Radii of curvature (m) in the meridian and across it.
pub fn radii_m(latitude_deg: f64) -> (f64, f64) {
    let sine = latitude_deg.to_radians().sin();
    let w = 1.0 - ECCENTRICITY_2 * sine * sine;
    (EARTH_M * (1.0 - ECCENTRICITY_2) / w.powf(1.5), EARTH_M / w.sqrt())
}

/// Moves a place by metres north and east.
pub fn moved(place: (f64, f64), height_m: f64, north_m: f64, east_m: f64) -> (f64, f64) {
    let (meridian_m, across_m) = radii_m(place.0);
    let east = east_m / ((across_m + height_m) * place.0.to_radians().cos());
    (place.0 + (north_m / (meridian_m + height_m)).to_degrees(), place.1 + east.to_degrees())
}

/// Longest road that can be needed (m): as fast as the fastest limit all the time.
fn road(route: &Route, duration_s: f64, grades: f64, chance: &mut Chance) -> Road {
    let mut road = Road::default();
    let need_m = 34.0 * duration_s;
    match route {
        Route::City => road.add(Kind::City, 0.5 * need_m, chance),
        Route::Country => road.add(Kind::Country, need_m, chance),
        Route::Highway | Route::Steady(_) | Route::Holds(_) => road.add(Kind::Highway, need_m, chance),
        Route::Mixed => {
            // Legs of a few minutes each, in any order, so that all kinds fit into twenty minutes.
            while (road.limit_m_per_s.len() as f64) * STEP_M < need_m {
                let kinds = [Kind::City, Kind::Suburb, Kind::Highway, Kind::Country, Kind::Suburb];
                let kind = chance.of_these(&kinds);
                let leg_s = chance.between(100.0, 300.0);
                let usual = match kind {
                    Kind::City => 7.0,
                    Kind::Suburb => 13.0,
                    Kind::Country => 19.0,
                    Kind::Highway => 27.0,
                };
                road.add(kind, leg_s * usual, chance);
            }
        }
    }
    road.finish(grades, chance)
}

/// The speed allowed at each place: limits, bends at `side` m/s2, and braking at `brake` m/s2 in time for both.
fn allowed(road: &Road, side: f64, brake: f64) -> Vec<f64> {
    let bend = |k: usize| (side / road.bend_per_m[k].abs().max(1e-6)).sqrt();
    let mut allowed: Vec<f64> =
        (0..road.limit_m_per_s.len()).map(|k| road.limit_m_per_s[k].min(bend(k))).collect();
    for k in (0..allowed.len().saturating_sub(1)).rev() {
        allowed[k] = allowed[k].min((allowed[k + 1].powi(2) + 2.0 * brake * STEP_M).sqrt());
    }
    allowed
}

/// Who drives: how hard, and how the traffic moves the speed wanted.
struct Driver {
    pull_m_per_s2: f64,
    power_w_per_kg: f64,
    brake_m_per_s2: f64,
    wander: GaussMarkov,
    slowed: f64,
    until_s: f64,
    next_s: f64,
}

impl Driver {
    fn new(chance: &mut Chance) -> Self {
        let wander_s = chance.between(15.0, 60.0);
        Self {
            pull_m_per_s2: chance.between(1.2, 2.4),
            power_w_per_kg: chance.between(9.0, 16.0),
            brake_m_per_s2: chance.between(1.3, 2.2),
            wander: GaussMarkov::new(0.05, wander_s, chance),
            slowed: 1.0,
            until_s: 0.0,
            next_s: chance.wait(80.0),
        }
    }

    /// Share of the allowed speed wanted now: slower behind others now and then.
    fn share(&mut self, now_s: f64, chance: &mut Chance) -> f64 {
        if now_s > self.next_s {
            self.slowed = chance.between(0.4, 0.85);
            self.until_s = now_s + chance.between(5.0, 25.0);
            self.next_s = self.until_s + chance.wait(80.0);
        }
        let slowed = if now_s < self.until_s { self.slowed } else { 1.0 };
        slowed * (0.98 + self.wander.after(STEP_S, chance)).min(1.1)
    }
}

/// Drives `route` for so long over grades of this deviation.
pub fn motion(route: &Route, duration_s: f64, grades: f64, chance: &mut Chance) -> Motion {
    let road = road(route, duration_s, grades, chance);
    let mut driver = Driver::new(chance);
    let allowed = allowed(&road, chance.between(1.8, 2.8), driver.brake_m_per_s2);
    let mut motion = Motion::default();
    drive(&mut motion, route, duration_s, &road, &allowed, &mut driver, chance);
    place(&mut motion, &road, chance);
    motion
}

/// The speed wanted at a time: that of the route, or the road's.
fn wanted(route: &Route, now_s: f64, duration_s: f64, by_road: f64) -> f64 {
    match route {
        Route::Steady(speed) => *speed,
        Route::Holds(speeds) => {
            let each_s = duration_s / speeds.len() as f64;
            speeds[((now_s / each_s) as usize).min(speeds.len() - 1)]
        }
        _ => by_road,
    }
}

/// The speed along the road.
fn drive(
    motion: &mut Motion,
    route: &Route,
    duration_s: f64,
    road: &Road,
    allowed: &[f64],
    driver: &mut Driver,
    chance: &mut Chance,
) {
    let steady = matches!(route, Route::Steady(_) | Route::Holds(_));
    let standing_first = !steady && chance.happens(0.7);
    let mut wait_s = if standing_first { chance.between(3.0, 40.0) } else { 0.0 };
    let (mut along_m, mut speed, mut gain) = (0.0, if standing_first { 0.0 } else { 8.0 }, 0.0_f64);
    if let Route::Steady(held) = route {
        speed = *held;
    }
    let mut stops = road.stops.iter().peekable();
    let steps = (duration_s / STEP_S).round() as usize;
    for step in 0..=steps {
        motion.along_m.push(along_m);
        motion.speed_m_per_s.push(speed);
        let now_s = step as f64 * STEP_S;
        let share = driver.share(now_s, chance);
        let here = ((along_m / STEP_M) as usize).min(allowed.len() - 1);
        // Who drives looks ahead by as long as it takes to answer.
        let ahead = (((along_m + 1.5 * speed) / STEP_M) as usize).min(allowed.len() - 1);
        let (limit, share) = match route {
            Route::Steady(_) | Route::Holds(_) => (wanted(route, now_s, duration_s, 0.0), 1.0),
            _ => (allowed[here].min(allowed[ahead]), share),
        };
        let pull = driver.pull_m_per_s2.min(driver.power_w_per_kg / speed.max(1.0));
        let mut ask = ((limit * share - speed) / 1.4).clamp(-3.2, pull);
        let left_m = stops.peek().filter(|_| !steady).map(|stop| stop.at_m - along_m);
        if let Some(left_m) = left_m.filter(|left| *left < 3.0 + speed * speed / driver.brake_m_per_s2 / 1.6)
        {
            ask =
                ask.min(-speed * speed / (2.0 * left_m.max(0.5))).min(if left_m < 0.5 { -0.7 } else { 0.0 });
            if speed < 0.2 {
                wait_s = stops.next().map_or(0.0, |stop| stop.wait_s);
                (speed, gain) = (0.0, 0.0);
            }
        }
        if wait_s > 0.0 {
            wait_s -= STEP_S;
            motion.gain_m_per_s2.push(0.0);
            continue;
        }
        gain += (ask - gain) * (STEP_S / 0.35);
        let next = (speed + gain * STEP_S).max(0.0);
        motion.gain_m_per_s2.push((next - speed) / STEP_S);
        along_m += 0.5 * (speed + next) * STEP_S;
        speed = next;
    }
}

/// Where on earth that is.
fn place(motion: &mut Motion, road: &Road, chance: &mut Chance) {
    let mut heading = chance.between(0.0, std::f64::consts::TAU);
    let mut place = (chance.between(28.0, 58.0), chance.between(-110.0, 20.0));
    let mut height_m = chance.between(5.0, 700.0);
    let mut last_m = 0.0;
    for step in 0..motion.along_m.len() {
        let along_m = motion.along_m[step];
        let here = ((along_m / STEP_M) as usize).min(road.grade.len() - 1);
        let (way_m, grade) = (along_m - last_m, road.grade[here]);
        let turn = way_m * road.bend_per_m[here];
        let middle = heading + 0.5 * turn;
        let flat_m = way_m / (1.0 + grade * grade).sqrt();
        place = moved(place, height_m, flat_m * middle.cos(), flat_m * middle.sin());
        (heading, height_m, last_m) = (heading + turn, height_m + flat_m * grade, along_m);
        motion.heading_rad.push(heading);
        motion.latitude.push(place.0);
        motion.longitude.push(place.1);
        motion.height_m.push(height_m);
        motion.grade.push(grade);
    }
}
