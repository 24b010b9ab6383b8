//! Running means, symmetric, at a cost that does not depend on their width.

/// The running mean over `2 half + 1` samples, over as many as there are near the ends.
pub(super) fn once(samples: &[f64], half: usize) -> Vec<f64> {
    let length = samples.len();
    let mut sum: f64 = samples.iter().take(half).sum();
    let mut means = Vec::with_capacity(length);
    let mut count = half.min(length);
    for index in 0..length {
        if let Some(entering) = samples.get(index + half) {
            sum += entering;
            count += 1;
        }
        if index > half {
            sum -= samples[index - half - 1];
            count -= 1;
        }
        means.push(sum / count as f64);
    }
    means
}

/// The same twice: a triangular weight.
pub(super) fn twice(samples: &[f64], half: usize) -> Vec<f64> {
    if half == 0 { samples.to_vec() } else { once(&once(samples, half), half) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Slow and obvious.
    fn plain(samples: &[f64], half: usize) -> Vec<f64> {
        let around = |i: usize| &samples[i.saturating_sub(half)..(i + half + 1).min(samples.len())];
        (0..samples.len()).map(|i| around(i).iter().sum::<f64>() / around(i).len() as f64).collect()
    }

    proptest! {
        #[test]
        fn as_the_plain_sum(samples in proptest::collection::vec(-1.0..1.0, 0..80), half in 0usize..100) {
            for (fast, slow) in once(&samples, half).iter().zip(plain(&samples, half)) {
                // A few hundred roundings of numbers up to one
                prop_assert!((fast - slow).abs() < 1e-12, "{fast} {slow}");
            }
            prop_assert_eq!(once(&samples, half).len(), samples.len());
        }
    }
}
