//! The noise levels of a path, chosen from a small grid by likelihood.

use super::motion::Guide;
use super::{Levels, PathFix, Run};

/// Levels tried for the white error of positions (m), the slow error (m), the random walk of velocity (m²/s³) and
/// the error of a reported speed (m/s).
const WHITE_M: [f64; 6] = [0.05, 0.15, 0.3, 0.6, 1.2, 3.0];
const SLOW_M: [f64; 3] = [0.5, 1.5, 3.0];
const WALK_M2_PER_S3: [f64; 2] = [0.3, 2.0];
pub(super) const REPORTED_M_PER_S: [f64; 4] = [0.05, 0.1, 0.2, 0.5];
/// Fixes used to choose the levels.
pub(super) const TUNING_FIXES: usize = 600;
/// Tail weight of the likelihood that chooses the levels (Student's t): outliers must not choose them.
pub(super) const TUNING_DOF: f64 = 4.0;

/// White errors and walks to try on positions alone.
pub(super) fn quick_levels(base: Levels) -> impl Iterator<Item = Levels> {
    WHITE_M.into_iter().flat_map(move |white_m| {
        WALK_M2_PER_S3.into_iter().map(move |walk_m2_per_s3| Levels { white_m, walk_m2_per_s3, ..base })
    })
}

/// Slow errors to try on positions alone: they hardly show beside the white ones, so they come second.
pub(super) fn slow_levels(base: Levels) -> impl Iterator<Item = Levels> {
    SLOW_M.into_iter().map(move |slow_m| Levels { slow_m, ..base })
}

/// A usual receiver's white and slow error (m), and how far others are from it (natural logarithm, one standard deviation): sparse
/// fixes hardly tell errors from motion, and without this the smallest would win (judgement).
const USUAL_M: (f64, f64) = (0.6, 2.5);
const USUAL_WITHIN: f64 = 0.8;

/// Logarithm of how likely levels are before the path is seen.
fn before(levels: &Levels) -> f64 {
    let away = |m: f64, usual_m: f64| ((m / usual_m).ln() / USUAL_WITHIN).powi(2);
    -0.5 * (away(levels.white_m, USUAL_M.0) + away(levels.slow_m, USUAL_M.1))
}

/// The likeliest of some levels; `base` when there is none to try.
pub(super) fn best(
    fixes: &[PathFix],
    guide: Guide,
    base: Levels,
    candidates: impl IntoIterator<Item = Levels>,
) -> Levels {
    let scored = candidates
        .into_iter()
        .map(|levels| (Run::forward(fixes, guide, levels).log_likelihood + before(&levels), levels));
    scored.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(base, |(_, levels)| levels)
}
