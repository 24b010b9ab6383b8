//! Which option to hold over each of several spans when changing the option is scarce.
//!
//! Each span has a weight and a wanted value; holding an option `x` over it loses `weight x (x - wanted)²`. At most so many
//! changes are allowed. The least loss over all sequences is found span by span (dynamic programming; Bellman 1957): the
//! best way to end on option `j` with `c` changes comes from the same option, or from the best way of all with one change
//! less. Cost: spans x changes x options.
//!
//! ```
//! use metrology::plan::{Span, plan};
//! let spans = [Span { weight: 9.0, wanted: 0.0 }, Span { weight: 1.0, wanted: 1.0 }];
//! let held = plan(&spans, &[0.0, 0.1, 1.0], Some(0), 1).unwrap();
//! assert_eq!((held.options, held.loss), (vec![0, 2], 0.0));
//! // Without a change the first option stays.
//! assert_eq!(plan(&spans, &[0.0, 0.1, 1.0], Some(0), 0).unwrap().loss, 1.0);
//! ```

/// A stretch over which one option is held.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Span {
    /// What an error over it weighs; not negative.
    pub weight: f64,
    /// The value with which nothing is lost.
    pub wanted: f64,
}

impl Span {
    fn loss(&self, option: f64) -> f64 {
        self.weight * (option - self.wanted).powi(2)
    }
}

/// The option to hold over each span.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Index of the option over each span.
    pub options: Vec<usize>,
    /// All that is lost: weight times squared difference, summed.
    pub loss: f64,
    /// Changes made, the one before the first span among them.
    pub changes: usize,
}

/// The plan that loses least with at most `changes` changes from option `start`; of equals the one with the fewest changes.
/// Without a start, what is held first costs no change. None without spans or options, or for a start that is no option.
pub fn plan(spans: &[Span], options: &[f64], start: Option<usize>, changes: usize) -> Option<Plan> {
    if spans.is_empty() || options.is_empty() || start.is_some_and(|start| start >= options.len()) {
        return None;
    }
    let changes = changes.min(spans.len());
    let mut table = Table::begin(options.len(), start, changes);
    for span in spans {
        table.step(span, options);
    }
    Some(table.trace())
}

/// The one option that loses least over all spans, with its loss: no change is ever made.
pub fn compromise(spans: &[Span], options: &[f64]) -> Option<(usize, f64)> {
    let loss = |option: &f64| spans.iter().map(|span| span.loss(*option)).sum::<f64>();
    let losses = options.iter().map(loss).enumerate();
    losses.filter(|_| !spans.is_empty()).min_by(|a, b| a.1.total_cmp(&b.1))
}

/// The least loss so far for each number of changes and each option, and where each came from.
struct Table {
    options: usize,
    /// Row by number of changes.
    least: Vec<Vec<f64>>,
    /// For each span, number of changes and option: whether it was changed to just before the span, and the option before.
    came: Vec<Vec<Option<usize>>>,
}

impl Table {
    fn begin(options: usize, start: Option<usize>, changes: usize) -> Self {
        let mut least = vec![vec![f64::INFINITY; options]; changes + 1];
        match start {
            Some(start) => least[0][start] = 0.0,
            None => least[0].fill(0.0),
        }
        Self { options, least, came: Vec::new() }
    }

    fn step(&mut self, span: &Span, options: &[f64]) {
        let losses: Vec<f64> = options.iter().map(|option| span.loss(*option)).collect();
        let mut came = vec![None; self.least.len() * self.options];
        // From the most changes down, so that the row with one change less is still that of the span before.
        for changes in (0..self.least.len()).rev() {
            let before = changes.checked_sub(1).map(|fewer| least_of(&self.least[fewer]));
            for (option, loss) in losses.iter().enumerate() {
                let held = &mut self.least[changes][option];
                if let Some((from, least)) = before.filter(|(from, least)| *least < *held && *from != option)
                {
                    *held = least;
                    came[changes * self.options + option] = Some(from);
                }
                *held += loss;
            }
        }
        self.came.push(came);
    }

    fn trace(&self) -> Plan {
        let ends = self.least.iter().map(|row| least_of(row)).enumerate();
        let best = ends.reduce(|best, next| if next.1.1 < best.1.1 { next } else { best });
        let (mut changes, (mut option, loss)) = best.unwrap_or((0, (0, 0.0)));
        let made = changes;
        let mut options = Vec::with_capacity(self.came.len());
        for came in self.came.iter().rev() {
            options.push(option);
            if let Some(from) = came[changes * self.options + option] {
                (option, changes) = (from, changes - 1);
            }
        }
        options.reverse();
        Plan { options, loss, changes: made }
    }
}

/// The first of the least in a row.
fn least_of(row: &[f64]) -> (usize, f64) {
    row.iter()
        .copied()
        .enumerate()
        .fold((0, f64::INFINITY), |best, next| if next.1 < best.1 { next } else { best })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every sequence of options.
    fn by_trying_all(spans: &[Span], options: &[f64], start: Option<usize>, changes: usize) -> f64 {
        let mut least = f64::INFINITY;
        for code in 0..options.len().pow(spans.len() as u32) {
            let held: Vec<usize> =
                (0..spans.len()).map(|k| code / options.len().pow(k as u32) % options.len()).collect();
            let mut made = usize::from(start.is_some_and(|start| start != held[0]));
            made += held.windows(2).filter(|pair| pair[0] != pair[1]).count();
            if made <= changes {
                let loss: f64 = spans.iter().zip(&held).map(|(span, k)| span.loss(options[*k])).sum();
                least = least.min(loss);
            }
        }
        least
    }

    #[test]
    fn says_nothing_about_nothing() {
        let span = Span { weight: 1.0, wanted: 0.0 };
        assert_eq!(plan(&[], &[0.0], None, 1), None);
        assert_eq!(plan(&[span], &[], None, 1), None);
        assert_eq!(plan(&[span], &[0.0], Some(1), 1), None);
        assert_eq!(compromise(&[], &[0.0]), None);
    }

    #[test]
    fn the_best_compromise_is_the_weighted_mean() {
        // (3 x 0.01 + 1 x 0.05) / 4 = 0.02
        let spans = [Span { weight: 3.0, wanted: 0.01 }, Span { weight: 1.0, wanted: 0.05 }];
        let options: Vec<f64> = (0..=60).map(|k| f64::from(k) / 1000.0).collect();
        let (index, loss) = compromise(&spans, &options).unwrap();
        // 3 x 0.01² + 1 x 0.03² = 0.0012
        assert!(index == 20 && (loss - 0.0012).abs() < 1e-15, "{index} {loss}");
    }

    proptest! {
        #[test]
        fn agrees_with_trying_all(
            spans in prop::collection::vec((0.0_f64..9.0, -0.1_f64..0.1), 1..6),
            options in prop::collection::vec(-0.1_f64..0.1, 1..5),
            start in prop::option::of(0_usize..5),
            changes in 0_usize..6,
        ) {
            let spans: Vec<Span> = spans.iter().map(|s| Span { weight: s.0, wanted: s.1 }).collect();
            let start = start.map(|start| start % options.len());
            let expected = by_trying_all(&spans, &options, start, changes);
            let found = plan(&spans, &options, start, changes).unwrap();
            prop_assert!((found.loss - expected).abs() <= 1e-12 * (1.0 + expected), "{:?} {}", found, expected);
            // What is said adds up to what it is said to lose, and keeps the limit.
            let held: f64 = spans.iter().zip(&found.options).map(|(span, k)| span.loss(options[*k])).sum();
            prop_assert!((held - found.loss).abs() <= 1e-12 * (1.0 + expected));
            let made = usize::from(start.is_some_and(|start| start != found.options[0]))
                + found.options.windows(2).filter(|pair| pair[0] != pair[1]).count();
            prop_assert!(made == found.changes && made <= changes);
            let (_, single) = compromise(&spans, &options).unwrap();
            prop_assert!(start.is_some() || single >= found.loss - 1e-12);
        }
    }
}
