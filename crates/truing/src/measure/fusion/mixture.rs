//! One answer over several hypotheses: each has its own estimate and a weight.

use metrology::adjust::LinearEstimate;
use metrology::measured::{Measured, coverage_factor_95, student_cdf};
use metrology::quantity::Quantity;

/// A hypothesis lighter than this decides nothing.
pub const LIGHTEST: f64 = 1e-6;

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
    if let [(_, only)] = heavy.as_slice() {
        let measured = Measured::<Q>::from_log(only.value + unit.ln(), only.standard_uncertainty, only.dof);
        return Some(measured);
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

/// Halves the interval that holds the quantile until it is far narrower than any uncertainty that matters.
fn quantile(heavy: &[(f64, LinearEstimate)], total: f64, probability: f64) -> f64 {
    let reach = |e: &LinearEstimate| 3.0 * coverage_factor_95(e.dof) * e.standard_uncertainty + 1e-12;
    let mut low = heavy.iter().map(|(_, e)| e.value - reach(e)).fold(f64::INFINITY, f64::min);
    let mut high = heavy.iter().map(|(_, e)| e.value + reach(e)).fold(f64::NEG_INFINITY, f64::max);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        let below: f64 = heavy
            .iter()
            .map(|(w, e)| w * student_cdf((middle - e.value) / e.standard_uncertainty.max(1e-15), e.dof))
            .sum();
        if below < probability * total { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}
