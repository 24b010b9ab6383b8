//! How the ratio of indicated to true may change with speed.
//!
//! A tire grows with speed, so that it turns less often a mile and the channel reads less; a driven wheel slips more at speed, so that
//! it turns more often. Filters in a vehicle and what a ring sensor does add to either side. None of it is known for one truck: it is
//! a prior, and what the drive cannot tell of it stays in the interval.

use super::fit::Normal;
use crate::describe::tire::circumference::growth_30_to_70_mph;
use crate::describe::tire::size::Construction;
use metrology::quantity::Speed;

/// What slip and filters do from 30 to 70 mph (relative, one standard uncertainty): slip of 0.1 to 1 % at a cruise (from memory) of
/// which a part comes with speed (judgement).
const SLIP_U: f64 = 0.0015;

/// Relative change of the ratio with speed (s/m), by the construction of the tires; where it is not known they are most likely radial.
pub fn prior(construction: Option<Construction>) -> Normal {
    let span = Speed::from_mi_per_h(70.0).m_per_s() - Speed::from_mi_per_h(30.0).m_per_s();
    let (growth, u) = growth_30_to_70_mph(construction.unwrap_or(Construction::Radial));
    let (mean, u) = match construction {
        // A radial's growth and the slip of its wheels are of like size and go to opposite sides.
        None | Some(Construction::Radial) => (0.0, growth),
        Some(Construction::Bias) => (-growth, u),
    };
    Normal { mean: mean / span, u: u.hypot(SLIP_U) / span }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 40 mph are 17.88 m/s; growth of 0.2 % (radial) and 1 % (bias) from 30 to 70 mph.
    #[test]
    fn by_construction() {
        let radial = prior(Some(Construction::Radial));
        assert!(radial.mean == 0.0 && (radial.u * 17.88 - 0.0025).abs() < 1e-5, "{radial:?}");
        let bias = prior(Some(Construction::Bias));
        assert!((bias.mean * 17.88 + 0.01).abs() < 1e-5 && bias.u > radial.u, "{bias:?}");
        assert_eq!(prior(None), radial);
    }
}
