//! How far a tire rolls per turn, and what each thing that bears on it is worth.
//!
//! Rolling circumference = F x D x corrections, all factors, so their relative uncertainties add in quadrature.
//!
//! | factor | value | standard uncertainty | known from |
//! |---|---|---|---|
//! | D | the size | about 1 % | [`super::size`] |
//! | F, radial | 3.05 at 60 km/h, rated load and pressure | 1 % | ETRTO design guide, from memory; agrees with 3.00 to 3.05 in `Rims.csv` of the EU heavy-vehicle CO2 simulator (read) |
//! | F, bias | 2.99 | 1 % | ETRTO, from memory; that file has 2.94 |
//! | wear | 0.6 (radial), 0.85 (bias) of the geometric loss | 0.15 of it | judgement: a belt carries a radial's circumference, often half to two thirds of geometry is seen |
//! | pressure | 0.15 % (bias 0.6 %) per 10 % | two thirds (bias: half) of it | from memory, no paper opened |
//! | load | a third of the extra deflection: 2.9 % (bias 4.8 %) from none to the rated load; a radial's part grows as D atan(B x) + E x, a bias tire's with the load x | half of it | from memory of the radius relations |
//! | speed | growth with speed squared: 0.2 % (bias 1 %) from 30 to 70 mph | half of it | from memory |
//!
//! What is not told is taken as reference - new, rated load and pressure, 60 km/h - and carries an uncertainty for
//! not being told. What the owner measures outweighs all of it.
//!
//! ```
//! use truing::describe::tire::{TireSize, circumference::{RollingConditions, roll}};
//! let tire = TireSize::parse("LT265/75R16").expect("a size");
//! let rolling = roll(&tire, &RollingConditions::default()).expect("nothing out of range");
//! assert!((rolling.revs_per_mile.value.per_mi() - 656.37).abs() < 0.005);
//! ```

use super::size::{Construction, TireSize};
use crate::problem::Problem;
use metrology::measured::Measured;
use metrology::quantity::{Length, PerLength, Ratio, Speed};

mod corrections;

pub use corrections::{
    RollingConditions, growth_30_to_70_mph, load_effect, load_share, pressure_effect, untold_wear,
};

/// Rolling circumference over design diameter, radial.
const FACTOR_RADIAL: f64 = 3.05;
/// Rolling circumference over design diameter, bias.
const FACTOR_BIAS: f64 = 2.99;
/// Relative standard uncertainty of either: the spread of the published factors (2.94 to 3.05), judgement.
const FACTOR_SPREAD: f64 = 0.01;
/// The same where it is not known how the tire is built: the two factors lie 2 % apart.
const FACTOR_SPREAD_UNSAID: f64 = 0.014;

/// A value on the logarithm with its standard uncertainty, which is the relative uncertainty of the value.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct LogPrior {
    /// Natural logarithm of the value, in the unit its function names.
    pub ln: f64,
    /// Standard uncertainty of the logarithm.
    pub standard_uncertainty: f64,
}

/// The value of one factor.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Factor {
    /// The diameter.
    Diameter(Length),
    /// A plain factor; 1 where nothing is corrected.
    Plain(Ratio),
}

/// What a rolling circumference owes its size to.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The outside diameter.
    Diameter,
    /// How a loaded tire rolls.
    RollingFactor,
    /// Lost tread.
    Wear,
    /// Pressure beside the rated one.
    Pressure,
    /// Load beside the rated one.
    Load,
    /// Growth with speed.
    Speed,
}

impl Cause {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Diameter => "diameter",
            Self::RollingFactor => "rolling factor",
            Self::Wear => "wear",
            Self::Pressure => "pressure",
            Self::Load => "load",
            Self::Speed => "speed",
        }
    }
}

/// One factor of the rolling circumference and what its uncertainty is worth.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    /// What it is.
    pub cause: Cause,
    /// Its value.
    pub factor: Factor,
    /// Relative standard uncertainty.
    pub relative_uncertainty: Ratio,
    /// The same in revolutions per mile.
    pub in_revs_per_mile: PerLength,
    /// Its part of the variance; all parts add up to one.
    pub share: Ratio,
    /// How it is known.
    pub how_known: &'static str,
}

/// How a tire rolls under given conditions.
#[derive(Clone, Debug, PartialEq)]
pub struct Rolling {
    /// Distance per turn.
    pub circumference: Measured<Length>,
    /// Turns per distance.
    pub revs_per_mile: Measured<PerLength>,
    /// Every factor, in the order of the product.
    pub budget: Vec<Contribution>,
}

/// Logarithm of the diameter in metres.
pub fn ln_diameter_prior(tire: &TireSize) -> LogPrior {
    LogPrior {
        ln: tire.diameter.value.m().ln(),
        standard_uncertainty: tire.diameter.relative_uncertainty().plain(),
    }
}

/// Logarithm of F, rolling circumference over diameter.
pub fn ln_factor_prior(tire: &TireSize) -> LogPrior {
    let spread = if tire.construction_is_known { FACTOR_SPREAD } else { FACTOR_SPREAD_UNSAID };
    LogPrior { ln: factor_value(tire.construction).ln(), standard_uncertainty: spread }
}

fn factor_value(construction: Construction) -> f64 {
    match construction {
        Construction::Radial => FACTOR_RADIAL,
        Construction::Bias => FACTOR_BIAS,
    }
}

/// Logarithm of the revolutions per **mile** that the size promises.
///
/// # Errors
/// A condition out of its range.
pub fn ln_revs_per_mile_prior(tire: &TireSize, conditions: &RollingConditions) -> Result<LogPrior, Problem> {
    let circumference = roll(tire, conditions)?.circumference;
    let mile_m = Length::from_mi(1.0).m();
    Ok(LogPrior {
        ln: (mile_m / circumference.value.m()).ln(),
        standard_uncertainty: circumference.relative_uncertainty().plain(),
    })
}

/// Revolutions per mile of a rigid wheel of that diameter: mile / (pi x D). A radial tire makes 3 % more.
pub fn geometric_revs_per_mile(diameter: Length) -> PerLength {
    PerLength::from_per_m(1.0 / (core::f64::consts::PI * diameter.m()))
}

/// Rolling circumference, revolutions per mile and the budget behind them.
///
/// # Errors
/// A condition out of its range.
pub fn roll(tire: &TireSize, conditions: &RollingConditions) -> Result<Rolling, Problem> {
    let parts = factors(tire, conditions)?;
    let ln: f64 = parts.iter().map(|part| part.value.ln()).sum();
    let variance: f64 = parts.iter().map(|part| part.u * part.u).sum();
    let u = variance.sqrt();
    let revs_per_mile: Measured<PerLength> = Measured::from_log(-ln, u, f64::INFINITY);
    let budget = parts.iter().map(|part| part.contribution(revs_per_mile.value, variance)).collect();
    Ok(Rolling { circumference: Measured::from_log(ln, u, f64::INFINITY), revs_per_mile, budget })
}

/// One factor, a length in metres, with its relative uncertainty.
struct LengthFactor {
    cause: Cause,
    value: f64,
    u: f64,
    how_known: &'static str,
    is_length: bool,
}

impl LengthFactor {
    fn contribution(&self, revs_per_mile: PerLength, variance: f64) -> Contribution {
        let factor = if self.is_length {
            Factor::Diameter(Length::from_m(self.value))
        } else {
            Factor::Plain(Ratio::from_plain(self.value))
        };
        // without any uncertainty nobody has a share in it
        let share = if variance > 0.0 { self.u * self.u / variance } else { 0.0 };
        Contribution {
            cause: self.cause,
            factor,
            relative_uncertainty: Ratio::from_plain(self.u),
            in_revs_per_mile: revs_per_mile * self.u,
            share: Ratio::from_plain(share),
            how_known: self.how_known,
        }
    }
}

fn factors(tire: &TireSize, conditions: &RollingConditions) -> Result<Vec<LengthFactor>, Problem> {
    conditions.check(tire)?;
    let (diameter, factor) = (ln_diameter_prior(tire), ln_factor_prior(tire));
    let mut parts = vec![
        LengthFactor {
            cause: Cause::Diameter,
            value: tire.diameter.value.m(),
            u: diameter.standard_uncertainty,
            how_known: tire.how_known.words(),
            is_length: true,
        },
        LengthFactor {
            cause: Cause::RollingFactor,
            value: factor_value(tire.construction),
            u: factor.standard_uncertainty,
            how_known: "design guide, from memory; near a public table",
            is_length: false,
        },
    ];
    parts.extend(corrections::all(tire, conditions).map(|correction| LengthFactor {
        cause: correction.cause,
        value: correction.ln.exp(),
        u: correction.u,
        how_known: correction.how_known,
        is_length: false,
    }));
    Ok(parts)
}

/// The speed at which F holds: 60 km/h.
pub(super) fn reference_speed() -> Speed {
    Speed::from_km_per_h(60.0)
}
