//! Printing with no more digits than are known.

use super::{Typable, Typed};

/// Significant digits of a printed standard uncertainty.
///
/// Source: JCGM 100:2008, 7.2.6: an uncertainty is quoted to at most two significant digits, and the value is
/// rounded to the same place.
const UNCERTAINTY_DIGITS: i32 = 2;

/// More decimals than an `f64` holds are noise.
const MOST_DECIMALS: i32 = 12;

/// `"127.732 +/- 0.071"`: uncertainty to two digits, value to the same place (JCGM 100:2008, 7.2.6). Rounding is
/// to the nearest. Without a usable uncertainty (0, infinite, not a number) the value stands alone, in full.
///
/// ```
/// use metrology::text::round_to_uncertainty;
/// assert_eq!(round_to_uncertainty(127.732194, 0.070999), "127.732 +/- 0.071");
/// assert_eq!(round_to_uncertainty(53_217.0, 1_234.0), "53200 +/- 1200");
/// ```
pub fn round_to_uncertainty(value: f64, standard_uncertainty: f64) -> String {
    if !(standard_uncertainty.is_finite() && standard_uncertainty > 0.0 && value.is_finite()) {
        return format!("{value}");
    }
    let decimals = decimals_for(standard_uncertainty);
    format!("{} +/- {}", round_at(value, decimals), round_at(standard_uncertainty, decimals))
}

/// A typed quantity in one of its units, so that reading it again gives the same: digits follow the uncertainty,
/// or, where there is none, the resolution. `None` for a unit the quantity does not have.
pub fn print<Q: Typable>(typed: &Typed<Q>, unit: &str) -> Option<String> {
    let unit = Q::UNITS.iter().find(|known| known.names.contains(&unit))?;
    let one = (unit.of)(1.0).si();
    let value = typed.value.si() / one;
    let name = unit.names[0];
    let uncertainty = typed.standard_uncertainty.map_or(0.0, |u| u.si() / one);
    if uncertainty > 0.0 {
        return Some(format!("{} {name}", round_to_uncertainty(value, uncertainty)));
    }
    let step = typed.resolution.si() / one;
    // A step like 0.0625 needs all its digits; one like 0.01 has two.
    let exact = (0..=MOST_DECIMALS).find(|&d| is_multiple(step, d)).unwrap_or(MOST_DECIMALS);
    Some(format!("{} {name}", round_at(value, exact)))
}

/// Whether `step` has no more than `decimals` decimals, but for rounding.
fn is_multiple(step: f64, decimals: i32) -> bool {
    let scaled = step * 10f64.powi(decimals);
    scaled >= 0.5 && (scaled - scaled.round()).abs() <= 1e-9 * scaled
}

/// Decimals (negative: digits before the point) at which two digits of the uncertainty remain.
fn decimals_for(uncertainty: f64) -> i32 {
    let decimals = UNCERTAINTY_DIGITS - 1 - uncertainty.log10().floor() as i32;
    let carries = (uncertainty * 10f64.powi(decimals)).round() >= 10f64.powi(UNCERTAINTY_DIGITS);
    // 0.0996 becomes 0.10, not 0.100.
    if carries { decimals - 1 } else { decimals }
}

fn round_at(value: f64, decimals: i32) -> String {
    let text = if decimals >= 0 {
        format!("{value:.*}", decimals as usize)
    } else {
        let step = 10f64.powi(-decimals);
        format!("{:.0}", (value / step).round() * step)
    };
    let is_zero = text.starts_with('-') && text.chars().all(|sign| "-0.".contains(sign));
    if is_zero { text[1..].to_string() } else { text }
}
