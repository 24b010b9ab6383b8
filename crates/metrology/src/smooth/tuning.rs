//! The noise levels of a path, chosen from a small grid by likelihood.

use super::motion::Guide;
use super::{Levels, PathFix, Run, SLOW_ERROR_TIME_S};
use std::ops::Range;

/// Levels tried for the white error of positions (m), the slow error (m) and its time constant (s), the random walk of velocity (m²/s³) and
/// the error of a reported speed (m/s).
const WHITE_M: [f64; 6] = [0.05, 0.15, 0.3, 0.6, 1.2, 3.0];
const SLOW_M: [f64; 4] = [0.5, 1.5, 3.0, 6.0];
const SLOW_TIME_S: [f64; 3] = [15.0, 60.0, 240.0];
const WALK_M2_PER_S3: [f64; 2] = [0.3, 2.0];
pub(super) const REPORTED_M_PER_S: [f64; 4] = [0.05, 0.1, 0.2, 0.5];
/// Fixes used to choose the levels, and the pieces in which they are taken from the path: a drive that begins in a yard is not all yard.
const TUNING_FIXES: usize = 600;
const PIECES: usize = 3;

/// Where the levels are chosen: pieces spread evenly, or all of it.
pub(super) fn pieces(all: Range<usize>) -> Vec<Range<usize>> {
    if all.len() <= TUNING_FIXES {
        return vec![all];
    }
    let (each, apart) = (TUNING_FIXES / PIECES, all.len() / PIECES);
    let begin = |piece| all.start + piece * apart + (apart - each) / 2;
    (0..PIECES).map(|piece| begin(piece)..begin(piece) + each).collect()
}

/// White errors and walks to try on positions alone.
pub(super) fn quick_levels(base: Levels) -> impl Iterator<Item = Levels> {
    WHITE_M.into_iter().flat_map(move |white_m| {
        WALK_M2_PER_S3.into_iter().map(move |walk_m2_per_s3| Levels { white_m, walk_m2_per_s3, ..base })
    })
}

/// Slow errors to try on positions alone: they hardly show beside the white ones, so they come second.
pub(super) fn slow_levels(base: Levels) -> impl Iterator<Item = Levels> {
    SLOW_M.into_iter().flat_map(move |slow_m| {
        SLOW_TIME_S.into_iter().map(move |slow_time_s| Levels { slow_m, slow_time_s, ..base })
    })
}

/// A usual receiver's white and slow error (m), and how far others are from it (natural logarithm, one standard deviation): sparse
/// fixes hardly tell errors from motion, and without this the smallest would win (judgement).
const USUAL_M: (f64, f64) = (0.6, 2.5);
const USUAL_WITHIN: f64 = 0.8;

/// Logarithm of how likely levels are before the path is seen.
fn before(levels: &Levels) -> f64 {
    let away = |found: f64, usual: f64| ((found / usual).ln() / USUAL_WITHIN).powi(2);
    let slow_time = away(levels.slow_time_s, SLOW_ERROR_TIME_S);
    -0.5 * (away(levels.white_m, USUAL_M.0) + away(levels.slow_m, USUAL_M.1) + slow_time)
}

/// The likeliest of some levels on pieces of a path; `base` when there is none to try.
pub(super) fn best(
    fixes: &[PathFix],
    pieces: &[Range<usize>],
    guide: Guide,
    base: Levels,
    candidates: impl IntoIterator<Item = Levels>,
) -> Levels {
    let score = |levels: Levels| {
        let of = |piece: &Range<usize>| {
            let known = Guide(guide.0.get(piece.clone()).unwrap_or_default());
            Run::forward(&fixes[piece.clone()], known, levels, Vec::new()).log_likelihood
        };
        pieces.iter().map(of).sum::<f64>() + before(&levels)
    };
    let scored = candidates.into_iter().map(|levels| (score(levels), levels));
    scored.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(base, |(_, levels)| levels)
}
