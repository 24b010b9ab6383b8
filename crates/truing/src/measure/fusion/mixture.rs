//! One answer over several hypotheses: each has its own estimate and a weight.

use metrology::adjust::LinearEstimate;
use metrology::measured::{Measured, coverage_factor_95, student_cdf};
use metrology::quantity::Quantity;

/// A hypothesis lighter than this decides nothing.
pub const LIGHTEST: f64 = 1e-6;

/// Estimates closer than this share of their uncertainty are the same.
const SAME: f64 = 1e-6;

/// Combines estimates of one logarithm by weight. `unit` turns the exponential into SI units. None when a hypothesis
/// that weighs anything cannot tell.
pub fn mix<Q: Quantity>(estimates: &[(f64, Option<LinearEstimate>)], unit: f64) -> Option<Measured<Q>> {
    let heavy: Vec<(f64, LinearEstimate)> = estimates
        .iter()
        .filter(|(weight, _)| *weight > LIGHTEST)
        .map(|(weight, estimate)| estimate.map(|e| (*weight, e)))
        .collect::<Option<_>>()?;
    let total: f64 = heavy.iter().map(|h| h.0).sum();
    if total <= 0.0 {
        return None;
    }
    // Every hypothesis the same, as where the parts in question do not matter: the one estimate, without searching.
    let first = heavy[0].1;
    if heavy.iter().all(|(_, e)| {
        (e.value - first.value).abs() < SAME * first.standard_uncertainty
            && e.standard_uncertainty == first.standard_uncertainty
    }) {
        return Some(Measured::from_log(first.value + unit.ln(), first.standard_uncertainty, first.dof));
    }
    let mean = heavy.iter().map(|(w, e)| w * e.value).sum::<f64>() / total;
    let variance = heavy
        .iter()
        .map(|(w, e)| w * (e.standard_uncertainty.powi(2) + (e.value - mean).powi(2)))
        .sum::<f64>()
        / total;
    let value = mean.exp() * unit;
    let end = |probability: f64| Q::from_si(quantile(&heavy, total, probability).exp() * unit);
    Some(Measured {
        value: Q::from_si(value),
        standard_uncertainty: Q::from_si(value * variance.sqrt()),
        dof: heavy.iter().map(|h| h.1.dof).fold(f64::INFINITY, f64::min),
        low_95: end(0.025),
        high_95: end(0.975),
    })
}

/// The interval that holds the quantile is narrowed until it is a hundredth of a thousandth of the narrowest uncertainty.
const NARROW: f64 = 1e-5;

/// Regula falsi with the Illinois step, which cannot leave the interval that holds the quantile (Dahlquist and Bjorck 1974,
/// from memory).
fn quantile(heavy: &[(f64, LinearEstimate)], total: f64, probability: f64) -> f64 {
    let reach = |e: &LinearEstimate| 3.0 * coverage_factor_95(e.dof) * e.standard_uncertainty + 1e-12;
    let beyond = |at: f64| {
        let below = heavy
            .iter()
            .map(|(w, e)| w * student_cdf((at - e.value) / e.standard_uncertainty.max(1e-15), e.dof));
        below.sum::<f64>() / total - probability
    };
    let mut low = heavy.iter().map(|(_, e)| e.value - reach(e)).fold(f64::INFINITY, f64::min);
    let mut high = heavy.iter().map(|(_, e)| e.value + reach(e)).fold(f64::NEG_INFINITY, f64::max);
    let narrowest =
        heavy.iter().map(|(_, e)| e.standard_uncertainty).fold(f64::INFINITY, f64::min).max(1e-12);
    let (mut at_low, mut at_high) = (beyond(low), beyond(high));
    let mut middle = 0.5 * (low + high);
    for round in 0..60 {
        // Every third step halves, so a flat stretch between two hypotheses cannot hold it up.
        let share = if round % 3 == 2 || at_high <= at_low { 0.5 } else { -at_low / (at_high - at_low) };
        middle = low + share.clamp(0.0, 1.0) * (high - low);
        let off = beyond(middle);
        if off < 0.0 {
            (low, at_low, at_high) = (middle, off, at_high * 0.5);
        } else {
            (high, at_high, at_low) = (middle, off, at_low * 0.5);
        }
        if high - low < NARROW * narrowest || off.abs() < 1e-7 {
            break;
        }
    }
    middle
}

#[cfg(test)]
mod tests {
    use super::*;
    use metrology::quantity::Ratio;

    fn at(value: f64, standard_uncertainty: f64, dof: f64) -> Option<LinearEstimate> {
        Some(LinearEstimate { value, standard_uncertainty, dof })
    }

    #[test]
    fn ends_of_a_mixture_by_tables_of_the_normal_distribution() {
        for (estimates, low, high) in [
            // Far apart, half each: 5 % of the lower lies below -1.6449 of its deviations, 5 % of the upper above.
            (
                vec![(0.5, at(0.0, 0.01, f64::INFINITY)), (0.5, at(1.0, 0.02, f64::INFINITY))],
                -0.016449,
                1.032897,
            ),
            // One in ten far above: 2.5 / 90 = 2.778 % below (-1.9145), 2.5 / 10 = 25 % of it above (0.67449).
            (
                vec![(0.9, at(0.0, 0.01, f64::INFINITY)), (0.1, at(1.0, 0.01, f64::INFINITY))],
                -0.019145,
                1.0067449,
            ),
            // Alone, nine degrees of freedom: t = 2.2622 (JCGM 100:2008, table G.2).
            (vec![(1.0, at(0.0, 0.01, 9.0))], -0.022622, 0.022622),
        ] {
            let mixed: Measured<Ratio> = mix(&estimates, 1.0).unwrap();
            // The tables give five digits.
            assert!((mixed.low_95.plain().ln() - low).abs() < 2e-6, "{mixed:?}");
            assert!((mixed.high_95.plain().ln() - high).abs() < 2e-6, "{mixed:?}");
        }
    }

    #[test]
    fn what_a_heavy_hypothesis_cannot_tell_is_not_told() {
        let one = at(0.0, 0.01, f64::INFINITY);
        assert!(mix::<Ratio>(&[(0.6, one), (0.4, None)], 1.0).is_none());
        assert!(mix::<Ratio>(&[(1.0 - 1e-9, one), (1e-9, None)], 1.0).is_some());
        assert!(mix::<Ratio>(&[], 1.0).is_none());
    }
}
