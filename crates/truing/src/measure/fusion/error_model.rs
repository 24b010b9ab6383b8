//! How far off each kind of evidence may be: one standard uncertainty each, relative (of the logarithm) unless a unit is named.
//!
//! None of these was found measured and published for old trucks; each says what it rests on.

use crate::describe::tire::circumference::untold_wear;
use crate::describe::tire::size::Construction;

/// What differs with the construction of a tire.
pub(super) struct TireErrors {
    /// By how much a wheel pushed at walking pace turns more often than the same wheel on the road, and the uncertainty.
    pub slow_roll: (f64, f64),
    /// Pressure, load and warmth of one day beside another.
    pub day: f64,
    /// The same where pressure and load are told and corrected: warmth is left.
    pub day_told: f64,
    /// Rolling radius over loaded radius, and its relative uncertainty.
    pub loaded_to_rolling: (f64, f64),
    /// Wear of the tire on the truck beside the new tire of the book, depth unsaid. It only adds turns.
    pub wear: (f64, f64),
}

/// Slow roll: a radial grows 0.1 to 0.3 % from 30 to 70 mph, load and warmth add as much. Day: 0.1 to 0.2 % per 10 % of pressure.
/// Loaded radius: 1.035 to 1.064 for deflections of 5 to 9 % of which a third is lost in rolling. All computed from relations that
/// are from memory.
const RADIAL: (f64, f64, f64, f64, f64, f64) = (0.0, SLOW_ROLL_U, DAY_U, 0.0006, 1.05, 0.012);
/// Slow roll: growth of 1 % from 30 to 70 mph with speed squared is 0.6 % up to 50 mph, half of it uncertain; the speed meant and
/// warmth add 0.15 and 0.3 %. Day: 0.6 % per 10 % of pressure, four times a radial's. Loaded radius: 1.021 to 1.056 for deflections
/// of 5 to 10 % of which 0.5 to 0.6 is lost in rolling. All computed from relations that are from memory.
const BIAS: (f64, f64, f64, f64, f64, f64) = (0.006, 0.0046, 0.004, 0.0012, 1.04, 0.012);

/// What is said of a tire's construction; one of which nothing is said is taken as a radial.
pub(super) fn tire_errors(construction: Option<Construction>) -> TireErrors {
    let construction = construction.unwrap_or(Construction::Radial);
    let (more, more_u, day, day_told, factor, factor_u) = match construction {
        Construction::Radial => RADIAL,
        Construction::Bias => BIAS,
    };
    TireErrors {
        slow_roll: (more, more_u),
        day,
        day_told,
        loaded_to_rolling: (factor, factor_u),
        wear: one_sided(untold_wear(construction)),
    }
}

/// Mean and standard deviation of what only ever adds: the half of a normal distribution of this scale that lies above zero.
fn one_sided(scale: f64) -> (f64, f64) {
    let part = 2.0 / core::f64::consts::PI;
    (scale * part.sqrt(), scale * (1.0 - part).sqrt())
}

/// A wheel pushed at walking pace beside the same wheel at road speed, radial; others are told in these.
pub(super) const SLOW_ROLL_U: f64 = 0.003;
/// Slip of the driven wheels at a steady cruise, 0.1 to 1 % (from memory): value and uncertainty. It only adds turns. Published
/// figures of drive tires hold it already (SAE J1025, cited by 40 CFR 1037.520(c)(1), is about drive tires); tape and size do not.
pub(super) const SLIP: (f64, f64) = (0.003, 0.002);
/// A tape's own scale: class II steel is within 0.3 mm + 0.2 mm/m (Directive 2014/32/EU, annex X; from memory), cloth several
/// times that.
pub(super) const TAPE_U: f64 = 0.0003;
/// Starting and stopping a turn at a chalk mark over a tape, both ends of one try (mm; judgement). A path that deviates 0.1 m
/// sideways on 12 m is 0.003 % longer: nothing beside it.
pub(super) const CHALK_MM: f64 = 6.0;
/// Tries of a rollout from which their own scatter is believed.
pub(super) const TRIES_THAT_SCATTER: usize = 3;
/// Pressure, load and warmth of one day beside another, radial; others are told in these.
pub const DAY_U: f64 = 0.001;
/// A book of revolutions per mile: 1.5 % (from memory) evenly likely gives 0.87 % (GUM 4.3.7). Half of its variance is how this
/// tire differs from any book, shared by all books; half is each book's own (judgement).
pub(super) const BOOK_U: f64 = 0.015 / 1.732 / std::f64::consts::SQRT_2;
/// Uncertainty of rolling over loaded radius in which those of all constructions are told.
pub(super) const LOADED_RADIUS_U: f64 = 0.012;
/// Gain of an analog needle: about 1.5 % (common practice, no source; SAE J1226 allowed 2 % of full scale, read second-hand).
pub const NEEDLE_U: f64 = 0.015;
/// Reading a pointer at a glance while the speed is kept (mph, each reading; judgement).
pub(super) const GLANCE_MPH: f64 = 0.6;
/// Habit of one reader and set of the pointer on its spindle: 1 mph evenly likely (mph, shared by all readings; judgement).
pub(super) const HABIT_MPH: f64 = 0.577;
/// A pointer stands before its dial, so that from the passenger's seat it is before another mark: 1.4 mph rms in all (common
/// practice, no source), of which this is the same at every speed and the rest goes with where the pointer stands (mph; judgement).
pub(in crate::measure) const PARALLAX_SHARED_MPH: f64 = 1.2;
/// The rest (mph, each reading): 1.2 and 0.72 make 1.4.
pub(in crate::measure) const PARALLAX_EACH_MPH: f64 = 0.72;
/// Digits: whole mph, evenly likely, and keeping the speed (mph; GUM 4.3.7 and judgement).
pub(super) const DIGITS_MPH: f64 = 0.4;
/// A marker post stands within about 15 m of its place, evenly likely (m, each; judgement): where no uncertainty was typed.
pub(super) const POST_M: f64 = 8.7;
/// Seeing by eye when a chalk mark on a shaft or wheel has come round: 10 degrees (turns; judgement).
pub(super) const TURN_BY_EYE: f64 = 0.03;
/// Keeping an engine or shaft speed while it is read off (judgement).
pub(super) const SHAFT_READING_U: f64 = 0.005;
/// Speed at which an odometer is read as its digit turns, where no track tells it (m/s): 60 mph, a usual one at most (judgement).
pub(super) const PASSING_M_PER_S: f64 = 26.8;

/// Standard deviation of a span between two readings, each evenly likely within one unit of the last digit (GUM 4.3.7):
/// the unit over this.
pub(super) const TWO_READINGS: f64 = 2.449_489_742_783_178;
