//! One world: what is driven, by what, seen how and written how; its two files; and the truth about them.

use super::chance::Chance;
use super::channel::{Channel, Filter, Steps};
use super::motion::{Motion, Route, STEP_S, between, motion};
use super::receiver::{LowSpeed, Receiver};
use super::rows::{Rows, Stamps, Written};
use super::truck::{Truck, integral_m};
use metrology::quantity::{Length, Speed};
use metrology::text::Typed;
use truing::describe::evidence::{OdometerRead, OdometerReadings};
use truing::describe::tire::size::Construction;
use truing::logs::Track;
use truing::measure::drive::{DriveConditions, Indicated};

/// What is compared with the track.
#[derive(Clone, Debug, PartialEq)]
pub enum Against {
    /// The vehicle's own log.
    Log,
    /// Two readings of an odometer with this last digit (m).
    Odometer(f64),
    /// A dial, with these speeds (m/s) called out and an error of the glance.
    Dial(Vec<f64>),
    /// Nothing: the length alone.
    Nothing,
}

/// Whether something is really wrong with the truck, other than its constant.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Health {
    /// Nothing: to be called proportional or undetermined.
    Sound,
    Offset,
    Curved,
    Dropouts,
}

/// All that is chosen for one drive.
#[derive(Debug)]
pub struct Plan {
    pub route: Route,
    pub duration_s: f64,
    /// Deviation of the grade.
    pub grades: f64,
    pub truck: Truck,
    pub channel: Channel,
    pub receiver: Receiver,
    pub rows: Rows,
    pub against: Against,
    pub health: Health,
    /// How the vehicle file says the tires are built.
    pub construction: Option<Construction>,
}

/// What is true about a drive.
#[derive(Clone, Debug)]
pub struct Truth {
    /// Indicated over true at the drive's own speeds, of the steady channel without steps and without an offset.
    pub ratio: f64,
    /// What is shown over what is true, integrals above [`COUNTS_ABOVE_M_PER_S`].
    pub shown_ratio: f64,
    /// Earliest and latest that the lag can be said to be (s); none where the clock was set on the way.
    pub lag_s: Option<(f64, f64)>,
    /// Along the road, from the first to the last usable fix.
    pub length_m: f64,
    pub health: Health,
}

/// A drive as it is handed over.
pub struct World {
    pub track: Track,
    pub indicated: Indicated,
    pub conditions: DriveConditions,
    pub truth: Truth,
}

/// Speeds above this belong to the usual ones (m/s).
pub const COUNTS_ABOVE_M_PER_S: f64 = 5.0;

/// An ordinary drive of an ordinary truck with an ordinary phone; all of it different from seed to seed.
pub fn ordinary(chance: &mut Chance) -> Plan {
    Plan {
        route: Route::Mixed,
        duration_s: 1200.0,
        grades: chance.between(0.005, 0.02),
        truck: Truck {
            ratio: chance.between(0.88, 1.12),
            growth: chance.between(0.001, 0.003),
            slip: chance.between(0.0, 0.04),
            bow: 0.0,
        },
        channel: Channel {
            filter: Filter::FirstOrder(chance.between(0.3, 1.0)),
            offset_m_per_s: 0.0,
            steps: chance.of_these(&[Steps::KmPerHourRounded, Steps::KmPerHourCut]),
            dead_when_slow: chance.happens(0.5),
            interval_s: chance.of_these(&[0.5, 1.0, 1.0, 1.5]),
            jitter: 0.05,
            latency_s: chance.between(0.05, 0.3),
            refresh_s: None,
            interpolated: false,
            faults: Vec::new(),
            clock_s: chance.between(-30.0, 30.0),
            drift: 0.0,
            elapsed: false,
        },
        receiver: ordinary_receiver(chance),
        rows: Rows {
            written: Written::AsSeen,
            speed_every_s: None,
            place_every_s: None,
            coarse: None,
            stale_first: false,
            zeros: None,
            stamps: Stamps::Right,
            holes_s: Vec::new(),
            frozen_s: Vec::new(),
            arrival_s: chance.of_these(&[0.0, 0.02]),
            with_places: true,
            with_speeds: true,
            decimals: Some(7),
        },
        against: Against::Log,
        health: Health::Sound,
        construction: None,
    }
}

fn ordinary_receiver(chance: &mut Chance) -> Receiver {
    Receiver {
        interval_s: 1.0,
        slow_m: chance.between(1.0, 4.0),
        slow_s: chance.between_log(20.0, 300.0),
        white_m: chance.between(0.3, 0.8),
        reflections_s: None,
        grid_m: None,
        on_road: false,
        pinned: chance.happens(0.5),
        speed_m_per_s: chance.between(0.03, 0.12),
        speed_s: chance.between_log(1.0, 5.0),
        scale: chance.between(-5e-4, 5e-4),
        low: chance.of_these(&[LowSpeed::As, LowSpeed::Floor(0.1), LowSpeed::Zero(0.4)]),
        smooth_speed_s: chance.of_these(&[0.0, 1.0]),
        smooth_position_s: 0.0,
        speed_delay_s: chance.between(0.0, 0.3),
        position_delay_s: chance.between(0.0, 0.2),
        height_m: chance.of_these(&[None, Some(3.0), Some(5.0)]),
        talkative: chance.happens(0.5),
    }
}

/// Drives, sees and writes what was planned.
pub fn make(plan: &Plan, chance: &mut Chance) -> World {
    let motion = motion(&plan.route, plan.duration_s, plan.grades, chance);
    let turned = plan.truck.indicated_m_per_s(&motion);
    let shown = plan.channel.shown(&turned);
    let seen = plan.receiver.see(&motion, chance);
    let (track, span_s) = plan.rows.track(&seen, &motion, chance);
    let indicated = indicated(plan, &turned, &shown, span_s, chance);
    let on_road = |s: f64| between(&motion.along_m, s);
    let truth = Truth {
        ratio: ratio(&turned, &motion, span_s),
        shown_ratio: if plan.against == Against::Log {
            ratio(&shown, &motion, span_s)
        } else {
            ratio(&turned, &motion, span_s)
        },
        lag_s: lag_s(plan, &turned),
        length_m: on_road(span_s.1) - on_road(span_s.0),
        health: plan.health,
    };
    let conditions = DriveConditions { construction: plan.construction, ..DriveConditions::default() };
    World { track, indicated, conditions, truth }
}

fn ratio(shown: &[f64], motion: &Motion, span_s: (f64, f64)) -> f64 {
    let (first, last) = ((span_s.0.max(0.0) / STEP_S) as usize, (span_s.1.max(0.0) / STEP_S) as usize);
    let counted =
        (first..=last.min(shown.len() - 1)).filter(|k| motion.speed_m_per_s[*k] > COUNTS_ABOVE_M_PER_S);
    let sums = counted.fold((0.0, 0.0), |sums, k| (sums.0 + shown[k], sums.1 + motion.speed_m_per_s[k]));
    sums.0 / sums.1
}

/// The log's clock minus the track's as the files show it: filter, latency and held values make the log late, the
/// receiver's own delays the track, by its places or by its speeds.
fn lag_s(plan: &Plan, turned: &[f64]) -> Option<(f64, f64)> {
    if matches!(plan.rows.stamps, Stamps::Jumping) || plan.against != Against::Log || plan.channel.elapsed {
        return None;
    }
    let (early_s, late_s) = plan.channel.late_s(turned);
    let drifted_s = plan.channel.drift * plan.duration_s;
    let (places_s, speeds_s) = plan.receiver.late_s();
    let mut tracks = Vec::new();
    if plan.rows.with_places {
        tracks.push(places_s + held_s(plan, plan.rows.place_every_s));
    }
    if plan.rows.with_speeds {
        tracks.push(speeds_s + held_s(plan, plan.rows.speed_every_s));
    }
    let most_s = tracks.iter().copied().fold(0.0, f64::max);
    let least_s = tracks.iter().copied().fold(f64::INFINITY, f64::min);
    let arrival_s = plan.rows.arrival_s;
    Some((
        early_s - most_s - arrival_s + drifted_s.min(0.0),
        late_s - least_s - arrival_s + drifted_s.max(0.0),
    ))
}

/// How old a repeated fix is on average.
fn held_s(plan: &Plan, every_s: Option<f64>) -> f64 {
    let own_s = match plan.rows.written {
        Written::Held(step_s) => (plan.receiver.interval_s - step_s).max(0.0),
        Written::AsSeen | Written::Interpolated(_) => 0.0,
    };
    0.5 * every_s.map_or(own_s, |every_s| every_s.max(own_s))
}

fn indicated(
    plan: &Plan,
    turned: &[f64],
    shown: &[f64],
    span_s: (f64, f64),
    chance: &mut Chance,
) -> Indicated {
    match &plan.against {
        Against::Nothing => Indicated::Nothing,
        Against::Log => Indicated::Log(plan.channel.log(shown, chance)),
        Against::Dial(called) => {
            Indicated::Holds(called.iter().map(|speed| Speed::from_m_per_s(*speed)).collect())
        }
        Against::Odometer(step_m) => {
            let along_m = integral_m(turned);
            // Read by eye within a second of pressing the button.
            let first_s = span_s.0 - chance.between(0.0, 1.0);
            let last_s = span_s.1 + chance.between(0.0, 1.0);
            let start_m = chance.between(1e7, 3e8);
            let read = |s: f64| Typed {
                value: Length::from_m(((start_m + between(&along_m, s)) / step_m).floor() * step_m),
                standard_uncertainty: None,
                resolution: Length::from_m(*step_m),
            };
            let (start, end) = (read(first_s), read(last_s));
            Indicated::Odometer(OdometerReadings { start, end, read: OdometerRead::Digits })
        }
    }
}
