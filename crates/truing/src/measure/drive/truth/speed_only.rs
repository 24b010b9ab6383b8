//! Stretches of a track without positions, where a reported speed stands alone.

use super::length::REPORTED_U_M_PER_S;
use metrology::smooth::{PathFix, PathPoint};
use std::borrow::Cow;

/// Time (s) between positions beyond which the path is not known.
const BLIND_S: f64 = 10.0;

/// The fixes near positions. After others the path starts again: carried on by speeds alone it would turn with nothing, and come
/// out as far from the next position as if that were a leap.
pub fn sighted<'a>(fixes: &'a [PathFix], blind: &[bool]) -> Cow<'a, [PathFix]> {
    if !blind.contains(&true) {
        return fixes.into();
    }
    let mut parted = false;
    let sighted = fixes.iter().zip(blind).filter_map(|(fix, blind)| {
        let starts = fix.starts || parted;
        parted = *blind;
        (!blind).then_some(PathFix { starts, ..*fix })
    });
    sighted.collect()
}

/// What a reported speed says where there is no position near; without one, what the smoother would carry on is no measurement.
pub fn unseen(fix: &PathFix, reported_m_per_s: f64) -> Option<PathPoint> {
    fix.speed_m_per_s.map(|speed_m_per_s| PathPoint {
        time_s: fix.time_s,
        position_m: [f64::NAN; 2],
        speed_m_per_s,
        middle_m_per_s: speed_m_per_s,
        speed_uncertainty_m_per_s: reported_m_per_s.max(REPORTED_U_M_PER_S),
        position_rejected: false,
        speed_rejected: false,
        breaks: false,
    })
}

/// Marks the fixes between positions more than [`BLIND_S`] apart: the direction of travel is not known there, so a speed along it
/// is not either, and the reported speed stands alone.
pub fn without_position(fixes: &[PathFix]) -> Vec<bool> {
    let mut blind = vec![false; fixes.len()];
    let mut from = 0;
    let seen = (0..fixes.len()).filter(|index| fixes[*index].position_m.is_some());
    for to in seen.chain(std::iter::once(fixes.len())) {
        if to > from {
            let edge_s = |index: usize| fixes[index.min(fixes.len() - 1)].time_s;
            blind[from..to].fill(edge_s(to) - edge_s(from.saturating_sub(1)) > BLIND_S);
        }
        from = to + 1;
    }
    blind
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Which of fixes a second apart are blind; `true` has a position.
    fn check(seen: &[bool], blind_at: std::ops::Range<usize>) {
        let fix = |(k, seen): (usize, &bool)| PathFix {
            time_s: k as f64,
            position_m: seen.then_some([15.0 * k as f64, 0.0]),
            ..PathFix::default()
        };
        let fixes: Vec<PathFix> = seen.iter().enumerate().map(fix).collect();
        let blind = without_position(&fixes);
        let expected: Vec<bool> = (0..seen.len()).map(|k| blind_at.contains(&k)).collect();
        assert_eq!(blind, expected, "{seen:?}");
        let sighted = sighted(&fixes, &blind);
        assert_eq!(sighted.len(), seen.len() - blind_at.len());
        let parted = !blind_at.is_empty() && blind_at.end < seen.len();
        assert_eq!(sighted.iter().position(|fix| fix.starts), parted.then_some(blind_at.start));
    }

    #[test]
    fn long_stretches_without_positions() {
        let runs = |runs: &[(bool, usize)]| -> Vec<bool> {
            runs.iter().flat_map(|(seen, count)| vec![*seen; *count]).collect()
        };
        check(&runs(&[(true, 5), (false, 9), (true, 5)]), 0..0);
        check(&runs(&[(true, 5), (false, 10), (true, 5)]), 5..15);
        check(&runs(&[(false, 12), (true, 5)]), 0..12);
        check(&runs(&[(true, 5), (false, 12)]), 5..17);
    }
}
