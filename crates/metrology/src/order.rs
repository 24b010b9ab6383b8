//! Values by their rank: quantiles and medians, by counting.

/// The value below which this share of the values lies (JCGM 101:2008, 7.7.2: by counting), the median for a half; reorders
/// them. Not a number where there are none.
///
/// ```
/// use metrology::order::quantile;
/// assert_eq!(quantile(&mut [5.0, 1.0, 3.0], 0.5), 3.0);
/// ```
pub fn quantile(values: &mut [f64], share: f64) -> f64 {
    let rank = ((share * values.len() as f64) as usize).min(values.len().saturating_sub(1));
    if values.is_empty() { f64::NAN } else { *values.select_nth_unstable_by(rank, f64::total_cmp).1 }
}

/// The usual interval (s) between times (s): the median, so that gaps do not count; a second where there are fewer than two.
pub fn usual_interval_s(times_s: impl Iterator<Item = f64> + Clone) -> f64 {
    let mut steps: Vec<f64> = times_s.clone().skip(1).zip(times_s).map(|(b, a)| b - a).collect();
    if steps.is_empty() { 1.0 } else { quantile(&mut steps, 0.5) }
}
