//! The mean over the components of an offset, made right on average whichever of two is true.
//!
//! **Problem.** A channel rounds or truncates, and the drive alone shows the offset to within some `u`. The mean of both, each by its
//! posterior weight, errs least over all channels; but what is given to the wrong one draws it always to the same side: on
//! rounded channels the offset comes out low and the ratio high, on those that truncated the other way.
//!
//! **Way.** How far the mean is drawn can be predicted: what a drive like this shows is Student's t about either offset. The mean is
//! stretched about its middle so that it is right on average under both. Of all estimates that are, this is the one of least variance
//! (Lagrange's conditions, for errors of known size); the stretch costs little where the drive tells the two apart, and where it
//! does not it is given up from [`MOST`] on.

use crate::measure::drive::line::fit::Normal;
use crate::measure::drive::line::offset_mixture::{ChannelPrior, REST_M_PER_S};
use metrology::measured::student_density;

/// Longest stretch: beyond it the variance grows faster than what is gained (`docs/drive.md`, judgement).
const MOST: f64 = 1.3;
/// Values of Student's t to either side over which is averaged, and how far they reach (deviations).
const VALUES: i32 = 60;
const REACH: f64 = 8.0;

/// What a drive shows of the offset without any prior.
#[derive(Copy, Clone, Debug)]
pub struct ShownOffset {
    /// Offset (m/s).
    pub offset: f64,
    /// Its standard uncertainty (m/s).
    pub u: f64,
    /// Degrees of freedom.
    pub dof: f64,
}

impl ShownOffset {
    /// How well a component predicted this, times how likely it was before.
    fn evidence(self, (weight, offset): (f64, Normal)) -> f64 {
        let u = self.u.hypot(offset.u);
        weight * student_density((self.offset - offset.mean) / u, self.dof) / u
    }

    /// Mean of the offset over all components (m/s).
    fn mean(self, prior: &ChannelPrior) -> f64 {
        let (mut sum, mut weights) = (0.0, 0.0);
        for (weight, offset) in prior.offsets() {
            let (weight, own) = (self.evidence((weight, offset)), offset.u.powi(2));
            let share = own / (own + self.u * self.u);
            sum += weight * (offset.mean + share * (self.offset - offset.mean));
            weights += weight;
        }
        if weights > 0.0 { sum / weights } else { self.offset }
    }

    /// Mean of those means over what such a drive may show when the offset truly is `offset` (m/s).
    fn expected(self, prior: &ChannelPrior, offset: f64) -> f64 {
        let u = self.u.hypot(REST_M_PER_S);
        let (mut sum, mut weights) = (0.0, 0.0);
        for k in -VALUES..=VALUES {
            let z = REACH * f64::from(k) / f64::from(VALUES);
            let weight = student_density(z, self.dof);
            sum += weight * ShownOffset { offset: offset + z * u, ..self }.mean(prior);
            weights += weight;
        }
        sum / weights
    }
}

/// The mean offset (m/s) stretched; as it is where there are no two narrow components to tell apart, or where the drive says next to
/// nothing of which it is: a stretch of more than [`MOST`] would add more chance than it takes bias away, and is given up the
/// more the longer it is.
pub fn stretched(mean: f64, shown: ShownOffset, prior: &ChannelPrior) -> f64 {
    let narrow = |offset: &Normal| offset.u <= REST_M_PER_S;
    let means = || prior.offsets().map(|(_, offset)| offset).filter(narrow).map(|offset| offset.mean);
    let (one, other) =
        means().fold((f64::MIN, f64::MAX), |(one, other), mean| (one.max(mean), other.min(mean)));
    if one <= other {
        return mean;
    }
    let (of_one, of_other) = (shown.expected(prior, one), shown.expected(prior, other));
    let right = (one - other) / (of_one - of_other);
    let stretch = if right <= MOST { right.max(1.0) } else { (2.0 * MOST - right).max(1.0) };
    let stretched = 0.5 * (one + other) + stretch * (mean - 0.5 * (of_one + of_other));
    if stretched.is_finite() { stretched } else { mean }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEP: f64 = 1.0 / 3.6;

    fn of_channel(step: f64) -> ChannelPrior {
        ChannelPrior::of_channel(step, &[(1.0, Normal { mean: 0.0, u: 1e-4 })])
    }

    /// Averaged over what drives show, the stretched mean is the offset under either component; the plain mean is not.
    #[test]
    fn right_on_average_under_either() {
        let prior = of_channel(STEP);
        for truth in [0.0, -STEP / 2.0] {
            let average = |of: fn(f64, ShownOffset, &ChannelPrior) -> f64| {
                let (mut sum, mut weights) = (0.0, 0.0);
                for k in -400..=400 {
                    let (z, u) = (0.02 * f64::from(k), 0.04);
                    let weight = student_density(z, 18.0);
                    let shown = ShownOffset { offset: truth + z * f64::hypot(u, REST_M_PER_S), u, dof: 18.0 };
                    sum += weight * of(shown.mean(&prior), shown, &prior);
                    weights += weight;
                }
                sum / weights - truth
            };
            // A thousandth of the step between the two; what the coarse sums leave.
            assert!(average(stretched).abs() < 1e-3 * STEP, "{truth}: {}", average(stretched));
            assert!(average(|mean, _, _| mean).abs() > 0.02 * STEP, "{truth}");
        }
    }

    /// A drive that shows nothing of the offset leaves it in the middle; one component alone is left as it is.
    #[test]
    fn nothing_shown_stays_in_the_middle() {
        let prior = of_channel(STEP);
        let nothing = ShownOffset { offset: 0.3, u: 50.0, dof: 10.0 };
        assert!((stretched(nothing.mean(&prior), nothing, &prior) + STEP / 4.0).abs() < 1e-3);
        assert_eq!(stretched(0.1, nothing, &of_channel(0.0)), 0.1);
    }
}
