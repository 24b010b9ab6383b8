//! Best fractions and best sums out of sets too large to list.
//!
//! *Fractions* `n/d` with `1 <= n <= n_max`, `1 <= d <= d_max`: the tree of Stern and Brocot is walked towards the target in
//! the strides of its continued fraction. Two neighbours `a/b < c/d` of the tree enclose no fraction with a numerator below
//! `a + c` or a denominator below `b + d`, so once their mediant breaks a bound nothing allowed lies between them (Graham,
//! Knuth & Patashnik, Concrete Mathematics, section 4.5). All comparisons are exact: a binary number is a fraction too.
//!
//! *Sums* of a subset of weights: two halves, each listed and sorted, met in the middle.
//!
//! ```
//! use metrology::ratio::nearest;
//! // The convergents of pi: 22/7, 333/106, 355/113.
//! assert_eq!(nearest(std::f64::consts::PI, 400, 112), Some((333, 106)));
//! assert_eq!(nearest(std::f64::consts::PI, 400, 113), Some((355, 113)));
//! ```

/// Most weights whose sums are searched: two halves of four thousand sums each.
pub const MOST_WEIGHTS: usize = 24;

/// A positive target as an exact fraction `p / q`; both below 2^120.
#[derive(Copy, Clone)]
struct Exact {
    p: i128,
    q: i128,
}

impl Exact {
    /// A number within what 32-bit fractions can come near to; anything else is brought to the edge of that range.
    fn new(target: f64) -> Option<Self> {
        const SCALE: i32 = 86;
        if target.is_nan() || target <= 0.0 {
            return None;
        }
        let kept = target.clamp(2f64.powi(-33), 2f64.powi(33));
        // A factor of 2 is exact, and 53 digits from 2^-33 on end before 2^-86.
        Some(Self { p: (kept * 2f64.powi(SCALE)) as i128, q: 1 << SCALE })
    }

    fn of_fraction((n, d): (u32, u32)) -> Self {
        Self { p: n.into(), q: d.into() }
    }

    fn inverse(self) -> Self {
        Self { p: self.q, q: self.p }
    }
}

/// The greatest allowed fraction at or below the target (0/1 for none) and the least above it (1/0 for none).
fn enclose(target: Exact, n_max: u32, d_max: u32) -> ((u32, u32), (u32, u32)) {
    let (n_max, d_max) = (i128::from(n_max), i128::from(d_max));
    let ((mut a, mut b), (mut c, mut d)) = ((0_i128, 1_i128), (1_i128, 0_i128));
    loop {
        // How far the target lies above a/b and below c/d, each times both denominators.
        let stride = |over: i128, from: (i128, i128), by: (i128, i128)| {
            let room = |max: i128, from: i128, by: i128| if by > 0 { (max - from) / by } else { i128::MAX };
            over.min(room(n_max, from.0, by.0)).min(room(d_max, from.1, by.1)).max(0)
        };
        let (above, below) = (target.p * b - a * target.q, c * target.q - target.p * d);
        let up = stride(above / below, (a, b), (c, d));
        (a, b) = (a + up * c, b + up * d);
        let above = target.p * b - a * target.q;
        let over = if above > 0 { (below - 1) / above } else { i128::MAX };
        let down = stride(over, (c, d), (a, b));
        (c, d) = (c + down * a, d + down * b);
        if up == 0 && down == 0 {
            let part = |x: i128| u32::try_from(x).unwrap_or(u32::MAX);
            return ((part(a), part(b)), (part(c), part(d)));
        }
    }
}

/// The least allowed fraction above another.
fn next_above(fraction: (u32, u32), n_max: u32, d_max: u32) -> Option<(u32, u32)> {
    let (_, above) = enclose(Exact::of_fraction(fraction), n_max, d_max);
    (above.1 > 0).then_some(above)
}

/// The greatest allowed fraction below another: the same with everything upside down.
fn next_below(fraction: (u32, u32), n_max: u32, d_max: u32) -> Option<(u32, u32)> {
    let (_, above) = enclose(Exact::of_fraction(fraction).inverse(), d_max, n_max);
    (above.1 > 0).then_some((above.1, above.0))
}

/// The allowed fractions nearest to a positive target: up to `each_side` at or below it and as many above, ascending and
/// in lowest terms. Empty where there is no such target or no fraction.
pub fn around(target: f64, n_max: u32, d_max: u32, each_side: usize) -> Vec<(u32, u32)> {
    let Some(exact) = Exact::new(target).filter(|_| n_max > 0 && d_max > 0) else { return Vec::new() };
    let (below, above) = enclose(exact, n_max, d_max);
    let down = std::iter::successors((below.0 > 0).then_some(below), |f| next_below(*f, n_max, d_max));
    let up = std::iter::successors((above.1 > 0).then_some(above), |f| next_above(*f, n_max, d_max));
    let mut all: Vec<(u32, u32)> = down.take(each_side).collect();
    all.reverse();
    all.extend(up.take(each_side));
    all
}

/// The allowed fraction nearest to a positive target in ratio; of two equally near the lesser.
pub fn nearest(target: f64, n_max: u32, d_max: u32) -> Option<(u32, u32)> {
    let off = |f: &(u32, u32)| (f64::from(f.0) / f64::from(f.1) / target).ln().abs();
    around(target, n_max, d_max, 1).into_iter().min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// The sums of subsets of the weights nearest to a target: up to `each_side` different sums at or below it and as many
/// above, ascending. None for more than [`MOST_WEIGHTS`] weights. The empty subset, with sum 0, is one of them.
pub fn sums_around(weights: &[u32], target: f64, each_side: usize) -> Option<Vec<u64>> {
    if weights.len() > MOST_WEIGHTS {
        return None;
    }
    let (one, other) = weights.split_at(weights.len() / 2);
    let (one, other) = (sums(one), sums(other));
    let (mut below, mut above) = (Vec::new(), Vec::new());
    for sum in one {
        let from = other.partition_point(|more| (sum + more) as f64 <= target);
        below.extend(other[from.saturating_sub(each_side)..from].iter().map(|more| sum + more));
        above.extend(other[from..].iter().take(each_side).map(|more| sum + more));
    }
    let first = |mut all: Vec<u64>, descending: bool| {
        all.sort_unstable();
        all.dedup();
        if descending {
            all.reverse();
        }
        all.truncate(each_side);
        all
    };
    let mut all = first(below, true);
    all.reverse();
    all.extend(first(above, false));
    Some(all)
}

/// All different sums, ascending.
fn sums(weights: &[u32]) -> Vec<u64> {
    let mut all = vec![0_u64];
    for weight in weights {
        all.extend(all.clone().iter().map(|sum| sum + u64::from(*weight)));
        all.sort_unstable();
        all.dedup();
    }
    all
}

/// The subset that makes a sum, where one does: which of the weights are in it, the first ones preferred. Meant for sums
/// that [`sums_around`] found.
pub fn subset_for(weights: &[u32], sum: u64) -> Option<Vec<bool>> {
    let Some((first, rest)) = weights.split_first() else {
        return (sum == 0).then(Vec::new);
    };
    let reachable = |left: u64| {
        sums_around(rest, left as f64, 1).is_some_and(|found| found.contains(&left)).then_some(left)
    };
    let with = sum.checked_sub(u64::from(*first)).and_then(reachable);
    let (used, left) = match with {
        Some(left) => (true, left),
        None => (false, sum),
    };
    let mut subset = vec![used];
    subset.extend(subset_for(rest, left)?);
    Some(subset)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every allowed fraction in lowest terms, ascending.
    fn listed(n_max: u32, d_max: u32) -> Vec<(u32, u32)> {
        let mut all: Vec<(u32, u32)> = (1..=n_max).flat_map(|n| (1..=d_max).map(move |d| (n, d))).collect();
        all.sort_by(|x, y| {
            (u64::from(x.0) * u64::from(y.1), x.0).cmp(&(u64::from(y.0) * u64::from(x.1), y.0))
        });
        all.dedup_by(|later, kept| {
            u64::from(later.0) * u64::from(kept.1) == u64::from(kept.0) * u64::from(later.1)
        });
        all
    }

    fn by_listing(target: f64, n_max: u32, d_max: u32, each_side: usize) -> Vec<(u32, u32)> {
        let all = listed(n_max, d_max);
        // The quotient of two small numbers is right to half a unit of the last place, and equal numbers give equal quotients.
        let from = all.partition_point(|f| f64::from(f.0) <= target * f64::from(f.1));
        all[from.saturating_sub(each_side)..(from + each_side).min(all.len())].to_vec()
    }

    #[test]
    fn holds_at_the_edges() {
        assert_eq!(around(1.0, 1, 1, 3), [(1, 1)]);
        assert_eq!(around(0.001, 9, 9, 2), [(1, 9), (1, 8)]);
        assert_eq!(around(1e300, 9, 9, 2), [(8, 1), (9, 1)]);
        assert_eq!(around(f64::MIN_POSITIVE, 9, 9, 1), [(1, 9)]);
        for nothing in [0.0, -1.0, f64::NAN] {
            assert!(around(nothing, 9, 9, 2).is_empty());
        }
        assert!(around(1.0, 0, 9, 2).is_empty());
        assert_eq!(nearest(1.0, u32::MAX, u32::MAX), Some((1, 1)));
        assert_eq!(nearest(f64::INFINITY, u32::MAX, 5), Some((u32::MAX, 1)));
        assert_eq!(sums_around(&[], 3.0, 2), Some(vec![0]));
        assert_eq!(sums_around(&[1; MOST_WEIGHTS + 1], 3.0, 2), None);
    }

    #[test]
    fn a_known_best() {
        // Convergents of sqrt 2: 1/1, 3/2, 7/5, 17/12, 41/29, 99/70, 239/169, 577/408, 1393/985, 3363/2378, 8119/5741.
        assert_eq!(nearest(2f64.sqrt(), 9999, 9999), Some((8119, 5741)));
        assert_eq!(nearest(2f64.sqrt(), 9999, 5740), Some((3363, 2378)));
    }

    proptest! {
        #[test]
        fn fractions_agree_with_listing(target in 0.005_f64..200.0, n_max in 1_u32..70, d_max in 1_u32..70, side in 1_usize..6) {
            prop_assert_eq!(around(target, n_max, d_max, side), by_listing(target, n_max, d_max, side));
        }

        /// At a fraction itself, where ties are decided.
        #[test]
        fn fractions_agree_with_listing_at_a_fraction(n in 1_u32..64, k in 0_u32..6, n_max in 1_u32..70, d_max in 1_u32..70) {
            let target = f64::from(n) / f64::from(1_u32 << k);
            prop_assert_eq!(around(target, n_max, d_max, 3), by_listing(target, n_max, d_max, 3));
        }

        /// Large bounds: no denominator does better with its own best numerators.
        #[test]
        fn no_denominator_does_better(target in 0.2_f64..5.0, n_max in 1_u32..9999, d_max in 1_u32..9999) {
            let (n, d) = nearest(target, n_max, d_max).unwrap();
            let off = |n: f64, d: u32| (n / f64::from(d) / target).ln().abs();
            let best = (1..=d_max).map(|d| {
                let floor = (target * f64::from(d)).floor();
                let kept = |n: f64| n.clamp(1.0, f64::from(n_max));
                off(kept(floor), d).min(off(kept(floor + 1.0), d))
            }).fold(f64::INFINITY, f64::min);
            // Two logarithms of rounded quotients.
            prop_assert!(off(f64::from(n), d) <= best + 4.0 * f64::EPSILON, "{}/{} {}", n, d, best);
        }

        #[test]
        fn sums_agree_with_listing(weights in prop::collection::vec(1_u32..200, 0..11), target in -10.0_f64..1500.0, side in 1_usize..5) {
            let mut all: Vec<u64> = (0..1_u32 << weights.len())
                .map(|set| (0..weights.len()).filter(|k| set >> k & 1 == 1).map(|k| u64::from(weights[k])).sum())
                .collect();
            all.sort_unstable();
            all.dedup();
            let from = all.partition_point(|sum| *sum as f64 <= target);
            let expected = &all[from.saturating_sub(side)..(from + side).min(all.len())];
            let found = sums_around(&weights, target, side).unwrap();
            prop_assert_eq!(&found[..], expected);
            for sum in found {
                let subset = subset_for(&weights, sum).unwrap();
                let made: u64 = subset.iter().zip(&weights).filter(|(used, _)| **used).map(|(_, w)| u64::from(*w)).sum();
                prop_assert_eq!(made, sum);
            }
        }
    }
}
