//! A channel's offset has a prior of several components: a whole step is rounded, or truncated, or the channel has an offset of
//! its own. Each component gets its own fit; they are joined by how well each predicted the offset that the drive shows.

use crate::measure::drive::line::balance::{ShownOffset, stretched};
use crate::measure::drive::line::fit::{Fit, Normal, Observation, Prior, Shown, Unseen, fit_shared};
use crate::measure::drive::types::{ComponentFit, OffsetKind};
use metrology::measured::{Measured, student_cdf, student_quantile};
use metrology::quantity::Ratio;
use nalgebra::{Matrix2, Matrix4, Vector2, Vector4};

/// What any channel's offset has beside its rounding (m/s). Pieces of one recorded drive differ by so much (`docs/drive.md`):
/// how long each value is shown, and when the module samples, leave a little of the rounding.
pub const REST_M_PER_S: f64 = 0.02;
/// A channel with an offset of its own, by a filter, held samples or on purpose: how far off (m/s) and how often that is
/// expected (judgement).
const OWN_M_PER_S: f64 = 0.15;
const OWN_SHARE: f64 = 0.07;

/// One component of the mixture prior.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Component {
    /// How the offset comes about.
    pub kind: OffsetKind,
    /// What is known of the line then.
    pub prior: Prior,
    /// How likely this is before the drive.
    pub weight: f64,
}

impl Component {
    /// How well it predicted what the drive shows, times how likely it was: Student's t in two dimensions.
    fn evidence(&self, shown: &Shown, dof: f64) -> f64 {
        let Prior { offset, growth } = self.prior;
        let away = shown.value - Vector2::new(offset.mean, growth.mean);
        let spread = shown.covariance + Matrix2::new(offset.u.powi(2), 0.0, 0.0, growth.u.powi(2));
        let Some(inverse) = spread.try_inverse() else { return self.weight };
        let squared = away.dot(&(inverse * away)).max(0.0);
        self.weight / spread.determinant().max(f64::MIN_POSITIVE).sqrt()
            * (1.0 + squared / dof).powf(-0.5 * (dof + 2.0))
    }
}

/// What is known of a channel before the drive.
#[derive(Clone, Debug, PartialEq)]
pub struct ChannelPrior {
    /// Each kind of offset with each growth that the tires may have.
    pub components: Vec<Component>,
}

/// The kinds of offset of a channel in whole steps of `step` (m/s), 0 when no step is seen: offset and how likely it is.
fn offsets(step: f64) -> Vec<(OffsetKind, f64, Normal)> {
    let known = 1.0 - OWN_SHARE;
    if step <= 0.0 {
        return vec![
            (OffsetKind::Rounded, known, Normal { mean: 0.0, u: REST_M_PER_S }),
            (OffsetKind::Own, OWN_SHARE, Normal { mean: 0.0, u: OWN_M_PER_S }),
        ];
    }
    let own = Normal { mean: -step / 4.0, u: f64::hypot(step / 4.0, OWN_M_PER_S) };
    vec![
        (OffsetKind::Rounded, 0.5 * known, Normal { mean: 0.0, u: REST_M_PER_S }),
        (OffsetKind::Truncated, 0.5 * known, Normal { mean: -step / 2.0, u: REST_M_PER_S }),
        (OffsetKind::Own, OWN_SHARE, own),
    ]
}

impl ChannelPrior {
    /// A channel in whole steps of `step` (m/s), on tires that may grow in these ways.
    pub fn of_channel(step: f64, growths: &[(f64, Normal)]) -> ChannelPrior {
        let beside = |(kind, weight, offset): (OffsetKind, f64, Normal)| {
            growths.iter().map(move |(share, growth)| Component {
                kind,
                prior: Prior { offset, growth: *growth },
                weight: weight * share,
            })
        };
        ChannelPrior { components: offsets(step).into_iter().flat_map(beside).collect() }
    }

    /// One normal distribution for each parameter, with the mean and the deviation of all components together.
    pub fn together(&self) -> Prior {
        let normal = |get: fn(&Component) -> Normal| {
            let mean = self.components.iter().map(|c| c.weight * get(c).mean).sum::<f64>();
            let square = |c: &Component| c.weight * (get(c).u.powi(2) + (get(c).mean - mean).powi(2));
            Normal { mean, u: self.components.iter().map(square).sum::<f64>().sqrt() }
        };
        Prior { offset: normal(|c| c.prior.offset), growth: normal(|c| c.prior.growth) }
    }

    /// The offsets alone (m/s), each with how likely it is.
    pub fn offsets(&self) -> impl Iterator<Item = (f64, Normal)> {
        self.components.iter().map(|c| (c.weight, c.prior.offset))
    }
}

impl ComponentFit {
    /// With what is known of other causes beside its own scatter. Degrees of freedom after Welch and Satterthwaite (JCGM 100:2008, G.4.1):
    /// only the scatter is found from few blocks.
    pub fn wider(self, by: f64) -> ComponentFit {
        let u = self.u.hypot(by);
        ComponentFit { u, dof: self.dof * (u / self.u).powi(4), ..self }
    }
}

/// Both ends of the interval that leaves 2.5 % on either side of all parts together; each part is Student's t.
pub fn interval_95(parts: &[ComponentFit]) -> (f64, f64) {
    let below =
        |x: f64| parts.iter().map(|p| p.weight * student_cdf((x - p.ratio) / p.u, p.dof)).sum::<f64>();
    let end = |probability: f64| {
        let reach = |p: &ComponentFit| student_quantile(probability, p.dof) * p.u;
        let ends = parts.iter().map(|p| p.ratio + reach(p));
        let (mut low, mut high) = (ends.clone().fold(f64::MAX, f64::min), ends.fold(f64::MIN, f64::max));
        // Each halving is a binary digit: 50 leave nothing.
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if below(middle) < probability { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    };
    (end(0.025), end(0.975))
}

/// A ratio with the deviation and the interval of all parts together. The value is inside its interval: where the mean over the
/// parts was moved out of it, the interval reaches to the value.
pub fn joined(value: f64, parts: &[ComponentFit]) -> Measured<Ratio> {
    let apart = |p: &ComponentFit| p.weight * (p.u.powi(2) + (p.ratio - value).powi(2));
    let u = parts.iter().map(apart).sum::<f64>().sqrt();
    let (low, high) = interval_95(parts);
    let dof = parts.iter().map(|p| p.dof).fold(f64::INFINITY, f64::min);
    Measured {
        value: Ratio::from_plain(value),
        standard_uncertainty: Ratio::from_plain(u),
        dof,
        low_95: Ratio::from_plain(low.min(value)),
        high_95: Ratio::from_plain(high.max(value)),
    }
}

/// The line under all components. The evidence of each is the density of Student's t, with the drive's degrees of freedom, of
/// the offset and the growth that the drive alone shows; a drive that shows none leaves the components as they were.
pub fn fit_mixture(
    observations: &[Observation],
    prior: &ChannelPrior,
    unseen: Unseen,
) -> Option<(Fit, Vec<ComponentFit>)> {
    let whole = fit_shared(observations, prior.together(), unseen)?;
    let dof = whole.blocks.saturating_sub(2).max(1) as f64;
    let evidence = |c: &Component| whole.shown.as_ref().map_or(c.weight, |shown| c.evidence(shown, dof));
    let total: f64 = prior.components.iter().map(evidence).sum();
    // All or none of them can be fitted: they differ by their prior alone.
    let fits: Option<Vec<(Component, f64, Fit)>> = prior
        .components
        .iter()
        .map(|c| Some((*c, evidence(c), fit_shared(observations, c.prior, unseen)?)))
        .collect();
    let fits = fits?;
    let offset = fits.iter().map(|(_, evidence, fit)| evidence / total * fit.offset).sum::<f64>();
    let shown = whole.free.map(|(_, offset, u)| ShownOffset { offset, u, dof });
    let moved = shown.map_or(0.0, |shown| stretched(offset, shown, prior) - offset);
    join(whole, &fits, total, moved, dof)
}

/// All fits together, the mean offset moved by so much (m/s) and the ratio with it.
fn join(
    whole: Fit,
    fits: &[(Component, f64, Fit)],
    total: f64,
    moved: f64,
    dof: f64,
) -> Option<(Fit, Vec<ComponentFit>)> {
    // How far the ratio goes with the offset: both are held apart by the mean speed.
    let with_offset = whole.covariance[(0, 1)] / whole.covariance[(1, 1)].max(f64::MIN_POSITIVE);
    let mean = |get: fn(&Fit) -> f64| fits.iter().map(|(_, e, fit)| e / total * get(fit)).sum::<f64>();
    let ratio = mean(|fit| fit.ratio) + moved * with_offset;
    let offset = mean(|fit| fit.offset) + moved;
    let growth = mean(|fit| fit.growth);
    let mut covariance = Matrix4::zeros();
    for (_, evidence, fit) in fits {
        let apart = Vector4::new(fit.ratio - ratio, fit.offset - offset, 0.0, fit.growth - growth);
        covariance += (fit.covariance + apart * apart.transpose()) * (evidence / total);
    }
    let part = |(component, evidence, fit): &(Component, f64, Fit)| ComponentFit {
        kind: component.kind,
        evidence: *evidence,
        prior_weight: component.weight,
        weight: evidence / total,
        ratio: fit.ratio,
        u: fit.covariance[(0, 0)].sqrt(),
        dof,
        offset_u: component.prior.offset.u,
    };
    let parts = fits.iter().map(part).collect();
    let line = Fit { ratio, offset, growth, covariance, ..whole };
    (ratio.is_finite() && offset.is_finite()).then_some((line, parts))
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEP: f64 = 1.0 / 3.6;
    /// A channel in whole km/h whose ratio does not change with speed.
    fn channel() -> ChannelPrior {
        ChannelPrior::of_channel(STEP, &[(1.0, Normal { mean: 0.0, u: 1e-7 })])
    }

    fn observations(offset: f64, speeds: (f64, f64)) -> Vec<Observation> {
        let wave = |k: usize| 0.5 * (1.0 + (k as f64 / 7.0).sin());
        // Errors that repeat every few observations and sum to nothing.
        let error = |k: usize| 0.05 * [1.0, -1.0, 0.5, -0.5, 0.0][k % 5];
        (0..400)
            .map(|k| {
                let truth = speeds.0 + (speeds.1 - speeds.0) * wave(k);
                let indicated = 1.02 * truth + offset + error(k);
                Observation {
                    time_s: 3.0 * k as f64,
                    indicated,
                    truth,
                    one: 1.0,
                    growth: truth * (truth - 20.0),
                    truth_rate: 0.0,
                    sigma: 0.1,
                    own: 0.1,
                    share_s: 3.0,
                }
            })
            .collect()
    }

    fn check(offset: f64, speeds: (f64, f64), expected: (f64, f64)) {
        let found = fit_mixture(&observations(offset, speeds), &channel(), Unseen::NOTHING).unwrap().0;
        assert!(
            (found.offset - expected.0).abs() < expected.1,
            "{offset}: {} {:?}",
            found.offset,
            found.covariance
        );
    }

    #[test]
    fn the_drive_chooses_the_component() {
        check(0.0, (8.0, 30.0), (0.0, 0.01));
        check(-STEP / 2.0, (8.0, 30.0), (-STEP / 2.0, 0.01));
        check(0.4, (8.0, 30.0), (0.4, 0.05));
    }

    /// One part is plain Student's t; two far apart leave their outer 2.5 % of all, which is 5 % of each.
    #[test]
    fn interval_of_parts() {
        let part = |weight, ratio| ComponentFit {
            kind: OffsetKind::Rounded,
            evidence: weight,
            prior_weight: weight,
            weight,
            ratio,
            u: 0.01,
            dof: 9.0,
            offset_u: 0.02,
        };
        let check = |parts: &[ComponentFit], expected: (f64, f64)| {
            let found = interval_95(parts);
            assert!((found.0 - expected.0).abs() < 1e-5 && (found.1 - expected.1).abs() < 1e-5, "{found:?}");
        };
        // Table G.2 of JCGM 100: 2.262 for 9 degrees of freedom at 95 %, 1.833 at 90 %.
        check(&[part(1.0, 1.0)], (1.0 - 0.02262, 1.0 + 0.02262));
        // What is known as well as nothing else makes it surer: 1.96 for many degrees of freedom.
        check(&[part(1.0, 1.0).wider(1.0)], (1.0 - 1.96006, 1.0 + 1.96006));
        check(&[part(0.5, 1.0), part(0.5, 2.0)], (1.0 - 0.01833, 2.0 + 0.01833));
    }

    /// At one speed nothing tells rounded from truncated: the middle, and the whole width as uncertainty.
    #[test]
    fn one_speed_leaves_the_components_as_they_were() {
        check(0.0, (25.0, 25.0), (-STEP / 4.0, 1e-3));
        let found = fit_mixture(&observations(0.0, (25.0, 25.0)), &channel(), Unseen::NOTHING).unwrap().0;
        let expected = channel().together().offset.u;
        assert!((found.covariance[(1, 1)].sqrt() / expected - 1.0).abs() < 0.05, "{:?}", found.covariance);
    }
}
