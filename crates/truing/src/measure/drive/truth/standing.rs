//! Where the vehicle stands: positions that wander and speeds that never come down to zero add no length there.

/// Slower than this (m/s) all the time by positions, which wander, or by speeds alone, which know better ...
pub const CREEPING_M_PER_S: f64 = 0.8;
pub const CREEPING_BY_SPEEDS_M_PER_S: f64 = 0.5;
/// ... for so long (s): a truck that starts or stops is through it in a second or two, and hardly ever creeps so slowly for longer.
const LEAST_S: f64 = 5.0;

/// Which of rising times belong to stretches in which the vehicle stands.
pub fn standing(time_s: &[f64], speed_m_per_s: &[f64], breaks: &[bool], slower_m_per_s: f64) -> Vec<bool> {
    let mut standing = vec![false; time_s.len()];
    let mut from = 0;
    for index in 0..=time_s.len() {
        let goes_on = index < time_s.len()
            && speed_m_per_s[index] < slower_m_per_s
            && (index == from || !breaks[index]);
        if goes_on {
            continue;
        }
        if index > from && time_s[index - 1] - time_s[from] >= LEAST_S {
            standing[from..index].fill(true);
        }
        let begins = index < time_s.len() && speed_m_per_s[index] < slower_m_per_s;
        from = if begins { index } else { index + 1 };
    }
    standing
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(speeds: &[f64], break_at: Option<usize>, expected: std::ops::Range<usize>) {
        let time_s: Vec<f64> = (0..speeds.len()).map(|k| k as f64).collect();
        let breaks: Vec<bool> = (0..speeds.len()).map(|k| k == 0 || Some(k) == break_at).collect();
        let found = standing(&time_s, speeds, &breaks, CREEPING_M_PER_S);
        let expected: Vec<bool> = (0..speeds.len()).map(|k| expected.contains(&k)).collect();
        assert_eq!(found, expected, "{speeds:?}");
    }

    #[test]
    fn long_enough_and_slow_enough() {
        let run = |slow: f64, count: usize| [vec![5.0; 3], vec![slow; count], vec![5.0; 3]].concat();
        check(&run(0.5, 6), None, 3..9);
        check(&run(0.5, 5), None, 0..0);
        check(&run(1.0, 9), None, 0..0);
        // A gap parts two stands, both too short; or of which the second is long enough.
        check(&run(0.5, 9), Some(7), 0..0);
        check(&run(0.5, 10), Some(6), 6..13);
        check(&[0.1; 8], None, 0..8);
    }
}
