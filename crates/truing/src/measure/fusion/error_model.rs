//! How far off each kind of evidence may be: one standard uncertainty each, relative (of the logarithm) unless a unit is named.
//!
//! None of these was found measured and published for old trucks; each says what it rests on.

/// A wheel pushed at walking pace beside the same wheel at road speed: a radial grows 0.1 to 0.3 % from 30 to 70 mph, load
/// and warmth add as much (from memory).
pub(super) const SLOW_ROLL_U: f64 = 0.003;
/// Slip of the driven wheels: 0.1 to 1 % at a steady cruise (from memory); published figures of drive tires hold part of it
/// already (SAE J1025, cited by 40 CFR 1037.520(c)(1), is about drive tires), so it stands around zero.
pub(super) const SLIP_U: f64 = 0.002;
/// A tape's own scale: class II steel is within 0.3 mm + 0.2 mm/m (Directive 2014/32/EU, annex X; from memory), cloth several
/// times that.
pub(super) const TAPE_U: f64 = 0.0003;
/// Starting and stopping a turn at a chalk mark over a tape, both ends of one try (mm; judgement). A path that deviates 0.1 m
/// sideways on 12 m is 0.003 % longer: nothing beside it.
pub(super) const CHALK_MM: f64 = 6.0;
/// Tries of a rollout from which their own scatter is believed.
pub(super) const TRIES_THAT_SCATTER: usize = 3;
/// Wear of the tire on the truck beside the new tire of the book, depth unsaid (judgement, as in the tire's own corrections).
pub(super) const WEAR_U: f64 = 0.007;
/// Pressure, load and warmth of one day beside another (judgement: 0.1 to 0.2 % per 10 % of pressure, from memory).
pub const DAY_U: f64 = 0.001;
/// A book of revolutions per mile: 1.5 % (from memory) evenly likely gives 0.87 % (GUM 4.3.7). Half of its variance is how this
/// tire differs from any book, shared by all books; half is each book's own (judgement).
pub(super) const BOOK_U: f64 = 0.015 / 1.732 / std::f64::consts::SQRT_2;
/// Rolling radius over loaded radius: 1.05 for radials, 1.035 to 1.064 for deflections of 5 to 9 % with a third of the
/// deflection lost in rolling (computed from the relation, which is from memory).
pub(super) const LOADED_TO_ROLLING: (f64, f64) = (1.05, 0.012);
/// Gain of an analog needle: about 1.5 % (common practice, no source; SAE J1226 allowed 2 % of full scale, read second-hand).
pub const NEEDLE_U: f64 = 0.015;
/// Reading a pointer at a glance while the speed is kept (mph, each reading; judgement).
pub(super) const GLANCE_MPH: f64 = 0.6;
/// Habit of one reader and set of the pointer on its spindle: 1 mph evenly likely (mph, shared by all readings; judgement).
pub(super) const HABIT_MPH: f64 = 0.577;
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
