//! How the ratio of indicated to true may change with speed.
//!
//! A tire grows with speed, so that it turns less often a mile and the channel reads less; a driven wheel slips more at speed, so that
//! it turns more often. Filters in a vehicle and what a ring sensor does add to either side. None of it is known for one truck: it is
//! a prior, and what the drive cannot say about it stays in the interval.

use super::fit::Normal;
use crate::describe::tire::circumference::growth_30_to_70_mph;
use crate::describe::tire::size::Construction;
use metrology::quantity::Speed;

/// What slip adds from 30 to 70 mph, and its standard uncertainty with what filters do (relative): slip of 0.1 to 1 % at a cruise (from
/// memory), of which a part comes with the drag of the air (judgement).
const SLIP: f64 = 0.0013;

/// How likely the tires of an older truck are bias-ply where nothing is said of them (judgement).
const BIAS_SHARE: f64 = 0.03;

/// Relative changes of the ratio with speed (s/m) and how likely each is, by the construction of the tires: one where it is known.
pub fn priors(construction: Option<Construction>) -> Vec<(f64, Normal)> {
    match construction {
        Some(known) => vec![(1.0, growth_of(known))],
        None => vec![
            (1.0 - BIAS_SHARE, growth_of(Construction::Radial)),
            (BIAS_SHARE, growth_of(Construction::Bias)),
        ],
    }
}

fn growth_of(construction: Construction) -> Normal {
    let span = Speed::from_mi_per_h(70.0).m_per_s() - Speed::from_mi_per_h(30.0).m_per_s();
    let (growth, u) = growth_30_to_70_mph(construction);
    Normal { mean: (SLIP - growth) / span, u: u.hypot(SLIP) / span }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 40 mph are 17.88 m/s; growth of 0.2 ± 0.1 % (radial) and 1 ± 0.5 % (bias) from 30 to 70 mph, slip of 0.13 % against it.
    #[test]
    fn by_construction() {
        let check = |construction, expected: &[(f64, f64, f64)]| {
            let found = priors(construction);
            assert_eq!(found.len(), expected.len());
            for ((share, growth), (expected_share, mean, u)) in found.iter().zip(expected) {
                assert_eq!(share, expected_share);
                assert!((growth.mean * 17.8816 - mean).abs() < 1e-6, "{growth:?}");
                assert!((growth.u * 17.8816 - u).abs() < 1e-5, "{growth:?}");
            }
        };
        let (radial, bias) = ((-0.0007, 0.00164), (-0.0087, 0.005166));
        check(Some(Construction::Radial), &[(1.0, radial.0, radial.1)]);
        check(Some(Construction::Bias), &[(1.0, bias.0, bias.1)]);
        check(None, &[(0.97, radial.0, radial.1), (0.03, bias.0, bias.1)]);
    }
}
