//! The order of what is about equally strong: arithmetic must not decide it by its last bit.

/// Strengths that differ by less than this share are the same: what the same equations give on another way differs by some
/// 1e-12.
const SAME: f64 = 1e-9;

/// Whether two strengths are the same.
pub(super) fn same(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= SAME * a.abs().max(b.abs())
}

/// Sorts by strength, the largest first. What is as strong as the first of its like keeps the order it came in.
pub(super) fn strongest_first<T>(all: &mut Vec<T>, strength: impl Fn(&T) -> f64) {
    let mut sorted: Vec<(usize, f64, T)> =
        all.drain(..).enumerate().map(|(place, one)| (place, strength(&one), one)).collect();
    sorted.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut rest = &mut sorted[..];
    while let Some(first) = rest.first().map(|one| one.1) {
        let alike = rest.iter().take_while(|one| same(one.1, first)).count().max(1);
        let (run, after) = rest.split_at_mut(alike);
        run.sort_by_key(|one| one.0);
        rest = after;
    }
    all.extend(sorted.into_iter().map(|(_, _, one)| one));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(strengths: &[f64], expected: &[usize]) {
        let mut all: Vec<(usize, f64)> = strengths.iter().copied().enumerate().collect();
        strongest_first(&mut all, |one| one.1);
        assert_eq!(all.iter().map(|one| one.0).collect::<Vec<usize>>(), expected, "{strengths:?}");
    }

    #[test]
    fn the_last_bit_decides_nothing() {
        check(&[1.0, 3.0, 2.0], &[1, 2, 0]);
        let next = f64::from_bits(2.0_f64.to_bits() + 1);
        check(&[2.0, next, 5.0], &[2, 0, 1]);
        check(&[next, 2.0, 5.0], &[2, 0, 1]);
        check(&[1.0, 1.000_001], &[1, 0]);
        check(&[0.0, 0.0, -1.0], &[0, 1, 2]);
        check(&[], &[]);
    }
}
