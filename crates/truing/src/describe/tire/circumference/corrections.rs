//! Wear, pressure, load and speed: what each does to the rolling circumference. All of it wide.

use super::super::size::{Construction, TireSize};
use super::{Cause, reference_speed};
use crate::problem::Problem;
use metrology::quantity::{Length, Quantity, Ratio, Speed};

/// Deepest tread of a road tire: 40 mm.
const DEEPEST_TREAD_MM: f64 = 40.0;
/// Pressures over the reference that a drive can be made with.
const PRESSURE_RANGE: (f64, f64) = (0.2, 2.0);
/// Loads over the rated one.
const LOAD_RANGE: (f64, f64) = (0.0, 2.0);
/// Fastest speed a correction is offered for, km/h.
const FASTEST_KM_PER_H: f64 = 250.0;
/// What a tread gauge is off by, mm: judgement.
const TREAD_GAUGE_MM: f64 = 0.5;
/// Spread of the part of geometric wear that is seen: judgement.
const WEAR_PART_SPREAD: f64 = 0.15;

/// What is known of how the tire rolls; what is left out is taken as reference, with an uncertainty for that.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct RollingConditions {
    /// Tread worn off since new, in depth.
    pub tread_lost: Option<Length>,
    /// Pressure over the one the size is rated at.
    pub pressure_over_rated: Option<Ratio>,
    /// Load on the tire over its rated load.
    pub load_over_rated: Option<Ratio>,
    /// Speed of travel.
    pub speed: Option<Speed>,
}

/// A correction on the logarithm of the circumference.
pub(super) struct Correction {
    pub cause: Cause,
    pub ln: f64,
    pub u: f64,
    pub how_known: &'static str,
}

/// What a construction is sensitive to; all relative to the circumference.
struct Sensitivity {
    /// Part of the geometric wear that is seen.
    wear_part: f64,
    /// Per unit of the logarithm of pressure: value, uncertainty.
    pressure: (f64, f64),
    /// From no load to the rated one: value, uncertainty.
    load: (f64, f64),
    /// Each further load adds less than the one before.
    saturates: bool,
    /// Growth from 30 to 70 mph: value, uncertainty.
    speed: (f64, f64),
    /// What not knowing wear, pressure, load and speed is worth: judgement, from the sensitivities and how far a
    /// tire in use departs from reference.
    untold: [f64; 4],
}

const RADIAL: Sensitivity = Sensitivity {
    wear_part: 0.6,
    pressure: (0.015, 0.01),
    load: (-0.029, 0.0145),
    saturates: true,
    speed: (0.002, 0.001),
    untold: [0.007, 0.002, 0.005, 0.001],
};

const BIAS: Sensitivity = Sensitivity {
    wear_part: 0.85,
    pressure: (0.06, 0.03),
    load: (-0.048, 0.024),
    saturates: false,
    speed: (0.01, 0.005),
    untold: [0.01, 0.008, 0.008, 0.004],
};

/// By how much a tire grows from 30 to 70 mph, relative to its circumference, and the standard uncertainty of that.
pub fn growth_30_to_70_mph(construction: Construction) -> (f64, f64) {
    sensitivity(construction).speed
}

/// By how much the circumference grows with each unit of the logarithm of pressure, relative, and the standard uncertainty of that.
pub fn pressure_effect(construction: Construction) -> (f64, f64) {
    sensitivity(construction).pressure
}

/// By how much the circumference shrinks from no load to the rated one, relative, and the standard uncertainty of that.
pub fn load_effect(construction: Construction) -> (f64, f64) {
    let (value, u) = sensitivity(construction).load;
    (-value, u)
}

/// Wear of which nothing is told, relative: as much as likely, and only ever turns that are added.
pub fn untold_wear(construction: Construction) -> f64 {
    sensitivity(construction).untold[0]
}

/// Shape of how a radial's rolling radius shrinks with load, x being load over rated: D atan(B x) + E x. The form is a
/// textbook's on tire dynamics, B, D and E are typical ones from memory.
const LOAD_SHAPE: (f64, f64, f64) = (8.4, 0.27, 0.07);

/// The part of the effect of the rated load that a load has: 0 without load, 1 at the rated one. A radial's belt takes most of it
/// at little load, a bias tire shrinks in proportion.
pub fn load_share(construction: Construction, load_over_rated: Ratio) -> f64 {
    let x = load_over_rated.plain();
    let (b, d, e) = LOAD_SHAPE;
    let shape = |x: f64| d * (b * x).atan() + e * x;
    if sensitivity(construction).saturates { shape(x) / shape(1.0) } else { x }
}

fn sensitivity(construction: Construction) -> &'static Sensitivity {
    match construction {
        Construction::Radial => &RADIAL,
        Construction::Bias => &BIAS,
    }
}

impl RollingConditions {
    /// Refuses what no tire on a road has.
    pub(super) fn check(&self, tire: &TireSize) -> Result<(), Problem> {
        // at most a tenth of the diameter can be tread, both sides together
        let deepest_mm = DEEPEST_TREAD_MM.min(tire.diameter.value.mm() / 20.0);
        within("tread lost", self.tread_lost.map(Length::mm), (0.0, deepest_mm), "mm")?;
        within(
            "pressure over rated",
            self.pressure_over_rated.map(Ratio::plain),
            PRESSURE_RANGE,
            "as a ratio",
        )?;
        within("load over rated", self.load_over_rated.map(Ratio::plain), LOAD_RANGE, "as a ratio")?;
        within("speed", self.speed.map(Speed::km_per_h), (0.0, FASTEST_KM_PER_H), "km/h")
    }
}

fn within(part: &str, value: Option<f64>, (low, high): (f64, f64), unit: &str) -> Result<(), Problem> {
    match value {
        Some(value) if !(low..=high).contains(&value) => Err(Problem::error(
            "rolling conditions",
            format!("{low} to {high} {unit}"),
            format!("{value} {unit}"),
        )
        .in_part(part)
        .hint("leave it out if it is not known")),
        _ => Ok(()),
    }
}

/// The four corrections, known or not.
pub(super) fn all(tire: &TireSize, conditions: &RollingConditions) -> impl Iterator<Item = Correction> {
    let sensitivity = sensitivity(tire.construction);
    let [wear_u, pressure_u, load_u, speed_u] = sensitivity.untold;
    let wear = conditions.tread_lost.map(|lost| wear(sensitivity, lost, tire.diameter.value));
    let pressure =
        conditions.pressure_over_rated.map(|ratio| scaled(sensitivity.pressure, ratio.plain().ln()));
    let load = conditions
        .load_over_rated
        .map(|ratio| scaled(sensitivity.load, load_share(tire.construction, ratio) - 1.0));
    let speed = conditions.speed.map(|speed| scaled(sensitivity.speed, growth_steps(speed)));
    [
        correction(Cause::Wear, wear, wear_u, "judgement: part of the geometric loss"),
        correction(Cause::Pressure, pressure, pressure_u, "from memory, no source opened"),
        correction(Cause::Load, load, load_u, "from memory: a third of the extra deflection"),
        correction(Cause::Speed, speed, speed_u, "from memory"),
    ]
    .into_iter()
}

fn correction(cause: Cause, known: Option<(f64, f64)>, untold_u: f64, how_known: &'static str) -> Correction {
    match known {
        Some((ln, u)) => Correction { cause, ln, u, how_known },
        None => Correction { cause, ln: 0.0, u: untold_u, how_known: "not told; judgement" },
    }
}

fn scaled((value, u): (f64, f64), by: f64) -> (f64, f64) {
    (value * by, (u * by).abs())
}

fn wear(sensitivity: &Sensitivity, lost: Length, diameter: Length) -> (f64, f64) {
    let geometric = (1.0 - 2.0 * (lost / diameter)).ln();
    let gauge = sensitivity.wear_part * 2.0 * (Length::from_mm(TREAD_GAUGE_MM) / diameter);
    (sensitivity.wear_part * geometric, (WEAR_PART_SPREAD * geometric).hypot(gauge))
}

/// Growth goes with speed squared; one step is from 30 to 70 mph.
fn growth_steps(speed: Speed) -> f64 {
    let squared = |speed: Speed| speed.si() * speed.si();
    let step = squared(Speed::from_mi_per_h(70.0)) - squared(Speed::from_mi_per_h(30.0));
    (squared(speed) - squared(reference_speed())) / step
}
