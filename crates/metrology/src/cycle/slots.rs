//! Places where marks passed or should have: the angle, in pitches.

/// Steps on each side whose median is the usual one.
const BESIDE: usize = 4;
/// A step is a whole number of usual ones if it is this near to it.
const NEAR_WHOLE: f64 = 0.4;
/// Marks put into one step at most, plus one.
const MOST_STEPS: usize = 4;

/// A stretch without breaks.
#[derive(Clone, Debug, Default)]
pub(super) struct Slots {
    pub times_s: Vec<f64>,
    pub present: Vec<bool>,
}

/// A step between neighbouring slots.
#[derive(Copy, Clone, Debug)]
pub(super) struct SlotStep {
    /// How long (s).
    pub span_s: f64,
    /// Whether it counts in the pattern.
    pub counts: bool,
    /// Added to the step relative to the speed: a mark missing in it.
    pub extra: f64,
}

impl Slots {
    /// The longest stretch in which every step is a whole number of usual ones.
    pub(super) fn longest(times_s: &[f64]) -> Self {
        let steps: Vec<f64> = times_s.windows(2).map(|two| two[1] - two[0]).collect();
        let (mut best, mut current) = (Slots::default(), Slots::default());
        for (index, time_s) in times_s.iter().enumerate() {
            if index > 0 {
                match whole(&steps, index - 1) {
                    Some(count) => current.fill(times_s[index - 1], steps[index - 1], count),
                    None if current.times_s.len() > best.times_s.len() => best = std::mem::take(&mut current),
                    None => current = Slots::default(),
                }
            }
            current.times_s.push(*time_s);
            current.present.push(true);
        }
        if current.times_s.len() > best.times_s.len() { current } else { best }
    }

    fn fill(&mut self, from_s: f64, step_s: f64, count: usize) {
        for part in 1..count {
            self.times_s.push(from_s + step_s * part as f64 / count as f64);
            self.present.push(false);
        }
    }

    /// How many marks were put in.
    pub(super) fn missing(&self) -> usize {
        self.present.iter().filter(|present| !**present).count()
    }

    /// The steps between the slots; those beside a missing mark count only when asked, as twice as wide.
    pub(super) fn steps(&self, missing_counts: bool) -> Vec<SlotStep> {
        let pairs = self.times_s.windows(2).zip(self.present.windows(2));
        pairs
            .map(|(times, present)| {
                let whole = present[0] && present[1];
                let extra = if whole { 0.0 } else { 1.0 };
                SlotStep { span_s: times[1] - times[0], counts: whole || missing_counts, extra }
            })
            .collect()
    }
}

/// How many usual steps make this one; none when it is no whole number of them.
fn whole(steps: &[f64], index: usize) -> Option<usize> {
    let near = index.saturating_sub(BESIDE)..(index + BESIDE + 1).min(steps.len());
    let mut around: Vec<f64> = near.filter(|other| *other != index).map(|other| steps[other]).collect();
    if around.is_empty() {
        return Some(1);
    }
    let middle = around.len() / 2;
    let (_, usual, _) = around.select_nth_unstable_by(middle, f64::total_cmp);
    let ratio = steps[index] / *usual;
    let count = ratio.round();
    let is_whole = (ratio - count).abs() <= NEAR_WHOLE && (1.0..=MOST_STEPS as f64).contains(&count);
    is_whole.then_some(count as usize)
}
