//! Steps relative to the speed, folded at a candidate.

use super::LEAST_TURNS;
use super::slots::SlotStep;
use std::ops::Range;

/// Variance (of a pitch, squared) that is nothing: a millionth of a pitch.
const NOTHING: f64 = 1e-12;
/// Turns lost at each end to the running means.
const TURNS_LOST: usize = 1;

/// Steps after which the start of the sum is forgotten, times one over what is lost at each: e^-2.
const FORGOTTEN: f64 = 2.0;
/// What a candidate explains.
#[derive(Clone, Debug)]
pub(super) struct Fold {
    pub marks: usize,
    /// Logarithm of the likelihood ratio against no pattern.
    pub score: f64,
    /// Share of the variance explained.
    pub explained: f64,
    /// Correlation of the patterns of the two halves.
    pub halves_agree: f64,
    /// Mean departure of the step behind each slot (by slot modulo marks) from the usual, where known.
    pub pattern: Vec<Option<f64>>,
}

/// Sums of one residue class.
#[derive(Copy, Clone, Default)]
struct Class {
    count: f64,
    sum: f64,
}

impl Class {
    fn mean(&self) -> Option<f64> {
        (self.count > 0.0).then(|| self.sum / self.count)
    }
}

impl Fold {
    /// Folds at `marks` after adding up steps of which `kept` is kept each time; `None` where that leaves too few turns.
    pub(super) fn new(steps: &[SlotStep], kept: f64, marks: usize) -> Option<Fold> {
        Fold::over(steps, &Relative::new(steps, kept, marks)?, marks)
    }

    /// How much better `rival` explains the steps than `best` does: the difference of the scores, both over the same steps,
    /// relative to the mean over the longer turn. The mean over the shorter would follow the pattern of the longer.
    pub(super) fn duel(steps: &[SlotStep], kept: f64, rival: usize, best: usize) -> Option<f64> {
        let relative = Relative::new(steps, kept, rival.max(best))?;
        Some(Fold::over(steps, &relative, rival)?.score - Fold::over(steps, &relative, best)?.score)
    }

    fn over(steps: &[SlotStep], relative: &Relative, marks: usize) -> Option<Fold> {
        let white = Classes::new(steps, &relative.white, &relative.used, marks);
        let plain = Classes::new(steps, &relative.plain, &relative.used, marks);
        let overall = plain.total.mean()?;
        let (all, between) = white.squares()?;
        let groups = white.joined.iter().filter(|class| class.count > 0.0).count() as f64;
        Some(Fold {
            marks,
            score: score(white.total.count, groups, all, (all - between).max(0.0), between),
            explained: if all > 0.0 { between / all } else { 0.0 },
            halves_agree: correlation(&white.halves[0], &white.halves[1]),
            pattern: plain.joined.iter().map(|class| class.mean().map(|mean| mean - overall)).collect(),
        })
    }
}

/// Sums by residue class, of each half of the stretch and of the whole.
struct Classes {
    halves: [Vec<Class>; 2],
    joined: Vec<Class>,
    total: Class,
    squares: f64,
}

impl Classes {
    fn new(steps: &[SlotStep], values: &[f64], used: &Range<usize>, marks: usize) -> Classes {
        let middle = steps.len() / 2;
        let mut halves = [vec![Class::default(); marks], vec![Class::default(); marks]];
        let (mut total, mut squares) = (Class::default(), 0.0);
        for index in used.clone().filter(|index| steps[*index].counts) {
            let value = values[index];
            let class = &mut halves[usize::from(index >= middle)][index % marks];
            *class = Class { count: class.count + 1.0, sum: class.sum + value };
            total = Class { count: total.count + 1.0, sum: total.sum + value };
            squares += value * value;
        }
        let pairs = halves[0].iter().zip(&halves[1]);
        let joined = pairs.map(|(a, b)| Class { count: a.count + b.count, sum: a.sum + b.sum }).collect();
        Classes { halves, joined, total, squares }
    }

    /// Sums of squares about the mean: of all, and between the classes.
    fn squares(&self) -> Option<(f64, f64)> {
        let overall = self.total.mean()?;
        let of = |class: &Class| class.mean().map(|mean| class.count * (mean - overall).powi(2));
        let between = self.joined.iter().filter_map(of).sum();
        Some((self.squares - self.total.count * overall * overall, between))
    }
}

/// The formula of the module's head.
fn score(count: f64, groups: f64, all: f64, within: f64, between: f64) -> f64 {
    let free = count - groups;
    if groups < 2.0 || free < groups {
        return 0.0;
    }
    let (total, within, between) =
        (all / count + NOTHING, within / free + NOTHING, between / groups + NOTHING);
    if between <= within {
        return 0.0;
    }
    0.5 * (count * total.ln() - free * within.ln() - groups * between.ln())
}

fn correlation(a: &[Class], b: &[Class]) -> f64 {
    let pairs: Vec<(f64, f64)> = a.iter().zip(b).filter_map(|(a, b)| Some((a.mean()?, b.mean()?))).collect();
    let count = pairs.len() as f64;
    let (x, y) = pairs.iter().fold((0.0, 0.0), |(x, y), pair| (x + pair.0 / count, y + pair.1 / count));
    let sum = |f: &dyn Fn(f64, f64) -> f64| pairs.iter().map(|pair| f(pair.0 - x, pair.1 - y)).sum::<f64>();
    let (xx, yy, xy) = (sum(&|a, _| a * a), sum(&|_, b| b * b), sum(&|a, b| a * b));
    if xx * yy > 0.0 { xy / (xx * yy).sqrt() } else { 0.0 }
}

/// Each step over the speed there, less one, and where that speed is a mean over whole turns.
pub(super) struct Relative {
    pub plain: Vec<f64>,
    /// The same, leakily added up.
    white: Vec<f64>,
    pub used: Range<usize>,
}

impl Relative {
    /// With the mean over `marks`; `None` where that leaves too few turns.
    pub fn new(steps: &[SlotStep], kept: f64, marks: usize) -> Option<Relative> {
        let lost = TURNS_LOST * marks + 1;
        if steps.len() < 2 * lost + (LEAST_TURNS - 2 * TURNS_LOST) * marks {
            return None;
        }
        let spans: Vec<f64> = steps.iter().map(|step| step.span_s).collect();
        let mean = over_a_turn(&spans, marks);
        let again = over_a_turn(&mean, marks);
        let speed = mean.iter().zip(&again).map(|(once, twice)| 2.0 * once - twice);
        let of = |(step, usual): (&SlotStep, f64)| {
            step.span_s / usual - 1.0 + if step.counts { step.extra } else { 0.0 }
        };
        let plain: Vec<f64> = steps.iter().zip(speed).map(of).collect();
        let forget = (FORGOTTEN / (1.0 - kept)).ceil() as usize;
        let used = lost + forget..(steps.len() - lost).max(lost + forget);
        let mut sum = 0.0;
        // The first mean over whole turns, sharpened, stands at `marks`.
        let add = |(index, value): (usize, &f64)| {
            sum = if index < marks { 0.0 } else { kept * sum + value };
            sum
        };
        Some(Relative { white: plain.iter().enumerate().map(add).collect(), plain, used })
    }
}

/// Centred mean over exactly `marks` steps (half weights at the ends for an even number), over what there is near the
/// ends, which are not used.
fn over_a_turn(values: &[f64], marks: usize) -> Vec<f64> {
    let half = marks / 2;
    let mut sums = Vec::with_capacity(values.len() + 1);
    let mut sum = 0.0;
    sums.push(0.0);
    sums.extend(values.iter().map(|value| {
        sum += value;
        sum
    }));
    let mean = |index: usize| {
        let (from, to) = (index.saturating_sub(half), (index + half + 1).min(values.len()));
        let whole = sums[to] - sums[from];
        if to - from <= 2 * half || marks % 2 == 1 {
            return whole / (to - from) as f64;
        }
        (whole - 0.5 * (values[from] + values[to - 1])) / marks as f64
    };
    (0..values.len()).map(mean).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_whole_turn_leaves_no_pattern_in_the_mean() {
        for marks in [3, 4, 7, 12] {
            let values: Vec<f64> = (0..20 * marks).map(|i| [1.0, 2.5, 0.3, 7.0][i % marks % 4]).collect();
            let turn = values[..marks].iter().sum::<f64>() / marks as f64;
            let mean = over_a_turn(&values, marks);
            // Sums of 240 numbers up to 7
            assert!(mean[marks..19 * marks].iter().all(|m| (m - turn).abs() < 1e-12), "{marks}");
        }
    }
}
